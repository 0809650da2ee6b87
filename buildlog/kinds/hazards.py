"""The cautions a page shows: one list, each with a stable id.

Calculators and pages name ids; the words are here only. Every caution defers to
the maker's manual, local codes and licensed practice.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Hazard:
    """One caution: `id` is stable, `title` is a few words, `text` is what to do."""

    id: str
    title: str
    text: str


_LIST = (
    Hazard(
        "lifting",
        "Working under a raised car",
        "Lift on firm, level ground at the points the maker names, chock the wheels, and put rated "
        "stands under the car before any part of you goes there. A jack alone holds nothing. "
        "Follow the maker's manual.",
    ),
    Hazard(
        "fuel",
        "Fuel and its vapour",
        "Petrol vapour ignites far from where it leaked. Work cold and in moving air, release the "
        "pressure as the maker's manual says, keep flames, sparks and hot lamps away and have an "
        "extinguisher for liquid fires within reach. Local fire codes apply.",
    ),
    Hazard(
        "hot-parts",
        "Hot parts",
        "Exhausts, coolant and brakes burn long after the engine has stopped. Let them cool, and "
        "never open a hot cooling system. The maker's manual says how long to wait.",
    ),
    Hazard(
        "spinning-parts",
        "Spinning parts",
        "Belts, fans, flywheels and driven wheels catch sleeves, hair and tools. Nobody stands in "
        "line with a spinning part, guards stay on, and parts that turn with the engine are bought "
        "certified for their speed. Follow the maker's manual and licensed practice.",
    ),
    Hazard(
        "stored-energy",
        "Springs and stored energy",
        "Compressed springs, diaphragm covers and gas struts let go without warning. Use the tool "
        "made for the job and follow the maker's manual.",
    ),
    Hazard(
        "friction-dust",
        "Friction dust",
        "Dust from clutches and brakes can harm the lungs and old linings may hold asbestos. No air "
        "line and no dry brush: wet it or use a rated vacuum, wear a fitted mask, and dispose of it as "
        "local rules say.",
    ),
    Hazard(
        "sparks",
        "Cutting, grinding and welding",
        "Sparks start fires and grit takes eyes. Clear fuel and dust, shield, wear eye and ear "
        "protection, disconnect the battery, and keep a fire watch afterwards. Titanium swarf and dust "
        "burn and cannot be put out with water. Welding of structural parts is for licensed practice.",
    ),
    Hazard(
        "sharp-edges",
        "Edges of sheet",
        "Cut sheet opens hands to the bone, and its offcuts are worse. Wear gloves that resist cuts and eye "
        "protection, take the edge off as soon as it is cut, and clamp what is drilled. Snips, shears and "
        "folders are used as the maker's manual says.",
    ),
    Hazard(
        "fumes",
        "Fumes of welding and of coatings",
        "Zinc, plating, paint and solvent become poison in an arc or a flame, and the fume of stainless "
        "steel harms for years. Strip coatings well back, draw the fume off where it rises, and wear a mask "
        "that is rated for it. The safety sheets, local rules and licensed practice apply.",
    ),
    Hazard(
        "arc-light",
        "Arc light and purge gas",
        "A welding arc burns eyes and skin, a bystander's too: helmet, gloves, screens. Shielding and purge "
        "gas take the air out of a pit or a small room without a smell. Data sheets, local rules and "
        "licensed practice say the rest.",
    ),
    Hazard(
        "folding",
        "Folders and metal dust",
        "The bar and the leaf of a folder take fingers, and its weights swing back: one person works it, "
        "nobody stands in front. Fine dust of aluminium and titanium burns, and a spark of steel lights it: "
        "never grind both in one place, nor without extraction. Follow the maker's manual.",
    ),
    Hazard(
        "printing",
        "Printing plastics",
        "Nozzle and bed burn, and melted plastic gives off fume and dust too fine to see, of ABS and ASA "
        "styrene as well: print in an enclosure that is led outside, or in a room where nobody stays. Sanded "
        "carbon and glass fibre harm the lungs. The printer runs watched, with a smoke alarm. The maker's "
        "manual, the safety sheets and local fire codes apply.",
    ),
    Hazard(
        "brakes",
        "Brakes",
        "A mistake here shows when it matters most. Work on brakes follows the maker's manual to the "
        "letter and is checked by a licensed workshop before the car is driven.",
    ),
    Hazard(
        "fasteners",
        "Tightening",
        "Torque figures computed here explain; they do not instruct. The maker's manual gives the "
        "figure, the sequence and which fasteners are used once only.",
    ),
    Hazard(
        "driveline",
        "Driveline work",
        "Gearboxes and axles are heavier than they look and oil under load is hot. Support the part "
        "before the last bolt, and set bearings and gear mesh as the maker's manual says.",
    ),
    Hazard(
        "road-testing",
        "Testing",
        "Speed and acceleration are tested on closed ground with a second person to read the "
        "instruments, never on a public road. Check lights, wheels, brakes and leaks first. The law of "
        "the road and the rules of the venue apply.",
    ),
    Hazard(
        "dynamometer",
        "Dynamometer runs",
        "A car on rollers is held by straps and by luck: a licensed operator runs it, the straps are looked "
        "at again after the first pull, tyres are sound, rated for the speed and left to cool, nobody stands "
        "before or behind it, and exhaust gas is led outside.",
    ),
    Hazard(
        "intake-water",
        "Water in the intake",
        "An engine that swallows water stops for good. Keep the inlet above the depth the maker's "
        "manual allows and drain every low point.",
    ),
    Hazard(
        "noise-emissions",
        "Noise and emissions",
        "Intake and exhaust parts change noise and emissions. Whether the car may be used on the road "
        "with them is settled by the law where you are and by its inspectors, not by this page. Keep "
        "the parts that come off.",
    ),
    Hazard(
        "exhaust-gas",
        "Exhaust gas",
        "Carbon monoxide has no smell and kills indoors. Run the engine outside or with extraction, "
        "and check every joint for leaks before the car is driven.",
    ),
    Hazard(
        "own-limits",
        "Limits of one's own",
        "A requirement that holds here is met by these numbers and no more. The maker's limits, the law's "
        "and the venue's rule over it: see the maker's manual, and let a licensed workshop look at what "
        "lives depend on.",
    ),
    Hazard(
        "speed-rating",
        "Tyres and speed",
        "Load and speed ratings are the maker's and the law's to set, and a changed tyre or final "
        "drive changes what the speedometer shows. Have it checked before the road.",
    ),
)

HAZARDS: dict[str, Hazard] = {hazard.id: hazard for hazard in _LIST}
