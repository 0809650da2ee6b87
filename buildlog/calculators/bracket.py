"""A bracket that sticks out from a wall: its stress, its sag, what shakes it, and what its foot asks for.

**For light parts alone.** `duty` has to be answered. Whatever holds a person, a wheel, a brake, the
steering, fuel, pressure, or is lifted by, is refused and belongs to licensed practice.

**The section** is the same all along, with sharp corners. The load acts along `height`:

| `section` | what it is | its sizes |
|---|---|---|
| `strip` | flat strip, loaded square to its face | `width`, `thickness` |
| `blade` | the same on edge | `height`, `thickness` |
| `angle` | one leg lies, one stands along the load | `width`, `height`, `thickness` |
| `channel` | folded sheet: a flat with two legs along the load | `width`, `height`, `thickness` |
| `square_tube` | tube with flat walls | `width`, `height`, `thickness` |
| `round_tube` | round tube, `height` its outside diameter | `height`, `thickness` |

A free angle goes sideways under a load along a leg, and is weaker and softer by that: the block counts it by
unsymmetric bending. That it twists, since the load is not in its shear centre, is not counted. Nor is a
shock sideways of any section: where there is one, turn it and count again.

**The load** is a `mass` at `length` from the foot, times an `acceleration` that you answer for: gravity
and the shock together. A car's body is commonly reckoned with 3 g over rough road, and what hangs on an
engine with 10 g or more (common practice, no source): measure, or take more. The bracket's own mass is
counted.

**Stress** is that of a beam with a stiff foot, in the outermost fibre there. With shear it makes the
equivalent stress, which is held to `yield_strength`. A `hole_diameter` amid the flat at the foot leaves less
width and raises the stress at its rim; a `bend_radius` at the foot of a strip, across the stress, raises it
inside the bend. A crack begins at that `peak_stress`; a ductile metal that is loaded once does not mind it.

| stress raiser | factor | source |
|---|---|---|
| hole in a strip that is bent | 3 in a thick one, 1.8 in a thin one | Roark, table 17.1 |
| hole in the flat of the other sections | 3, less as it takes the width | Roark, table 17.1 |
| bend | 1.5 with a radius of half the thickness, 1.1 of 2.5 | Winkler and Bach |

**The free edge of a leg** buckles where it is pressed, and a shock goes both ways, so that of an angle the
wider leg counts: `buckling_reserve` is the buckling stress over the stress, `slenderness` the free width in
thicknesses, `slenderness_limit` up to where the yield strength comes first: 14 ε of EN 1993-1-1, by the
modulus of the metal. EN 1999-1-1 has 6 ε for aluminium, which for the same sheet is about three quarters of
it.

**What shakes it.** `natural_frequency` is the first, by Rayleigh: the way in which it bends the most easily,
which of a blade, of an angle and of whatever is narrower than high is not along the load. Twisting is not in
it. With `engine_order` (2 of a four-cylinder engine's firing) and `rev_limit` the block gives the engine
speed at which they meet. Below the limit there is one at which the bracket is shaken to pieces, or not, by
its damping: stiffen it. A foot on thin sheet is soft, so that both, the frequency and the sag, are worse than
a stiff foot has it.

**Fatigue** is a caution with a number, no proof. `vibration` is the amplitude by which the mass itself
shakes, measured there; its stress at the peak and that of the standing weight are held to Goodman's line. Of
`fatigue_strength`, the amplitude about no mean, published values scatter by a fifth and are of polished bars:
typically half the tensile strength of steel, up to 690 MPa, and 0.4 of aluminium's at 500 million cycles, up
to 130 MPa (an encyclopaedia's article on the fatigue limit), and what is sheared, bent cold, welded or rusty
bears half of that or less (common practice, no source). Aluminium has no limit below which it lasts for ever.
A reserve below 2 is told.

**The foot.** Of its fasteners `foot_pulled` hold the tilting at a `foot_lever` from the edge that it tilts
about, and all `foot_fasteners` share the shear: `foot_pull` goes into the block `rivet_line` as `pull`. A
thin foot pries, which adds up to a third.

```yaml
id: relay-box
kind: bracket
inputs:
  duty: sensor
  thickness: 2 ± 0.05 mm
  length: 90 mm
  mass: 0.6 kg
  acceleration: 10 g
  elastic_modulus: 70 GPa
  density: 2660 kg/m³
  yield_strength: 130 MPa
  tensile_strength: 220 MPa
  engine_order: 2
  rev_limit: 7000 rpm
  vibration: 2 g
  fatigue_strength: 80 MPa
  foot_fasteners: 4
  foot_pulled: 2
  foot_lever: 24 mm
cases:
  strip: {section: strip, width: 40 mm, hole_diameter: 6.6 mm, bend_radius: 3 mm}
  channel: {section: channel, width: 40 mm, height: 15 mm, hole_diameter: 6.6 mm}
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.duty import duty_input, refuse_duty
from buildlog.physics import brackets
from buildlog.said import said

KIND = "bracket"

_SIZE = Number(dimension="length", unit="mm", low=3, high=200, why="brackets for light parts")
_STRENGTH = Number(dimension="pressure", unit="MPa", low=20, high=2000, why="soft aluminium to spring steel")

_BEAM = Doubt(
    name="beam_of_sharp_corners",
    about="a beam with sharp corners and a stiff foot, for the stress",
    source="practice",
    formula="mechanics",
    relative=0.1,
)
_SOFT_FOOT = Doubt(
    name="soft_foot",
    about="a foot that gives, where a stiff one is counted, for the sag",
    source="practice",
    formula="roark",
    relative=0.25,
    range="feet on sheet at least as thick as the bracket's; on thinner ones it is more",
)
_SHAKEN_FOOT = Doubt(
    name="soft_foot_of_frequency",
    about="a foot that gives, where a stiff one is counted, for the frequency",
    source="practice",
    formula="rayleigh",
    relative=0.12,
    range="feet on sheet at least as thick as the bracket's; on thinner ones it is more",
)
_FATIGUE = Doubt(
    name="fatigue_strength_scatter",
    about="a published fatigue strength, of polished bars, for the metal at hand",
    source="practice",
    relative=0.2,
)
_PRYING = Doubt(
    name="prying_foot",
    about="a thin foot that pries at its fasteners, where a stiff one is counted",
    source="practice",
    formula="mechanics",
    relative=0.33,
)

INPUTS = (
    duty_input(
        {
            "sensor": "a sensor, a relay, a switch, a small box of electronics",
            "line": "a cable, a loom, a hose or a pipe without pressure",
            "duct": "a duct, an air box, a shroud, a heat shield",
            "cover": "a cover, a lid or a panel",
            "light_part": "any other light part whose loss harms nobody",
        }
    ),
    Input(
        name="section",
        form=Choice(
            {
                "strip": "flat strip, loaded square to its face",
                "blade": "flat strip on edge",
                "angle": "one leg lies, one stands along the load",
                "channel": "a flat with two legs along the load",
                "square_tube": "tube with flat walls",
                "round_tube": "round tube",
            }
        ),
        about="what the bracket is made of",
    ),
    Input(name="width", form=_SIZE, about="outside, across the load", required=False),
    Input(name="height", form=_SIZE, about="outside, along the load", required=False),
    Input(
        name="thickness",
        form=Number(dimension="length", unit="mm", low=0.5, high=12, why="sheet, strip and tube"),
        about="of the sheet or the wall",
    ),
    Input(
        name="length",
        form=Number(dimension="length", unit="mm", low=5, high=1000, why="brackets for light parts"),
        about="from the foot to the middle of the load",
    ),
    Input(
        name="mass",
        form=Number(dimension="mass", unit="kg", low=0.01, high=10, why="light parts"),
        about="what hangs at its end",
    ),
    Input(
        name="acceleration",
        form=Number(dimension="acceleration", unit="g", low=1, high=100, why="standing to an engine's worst"),
        about="what the load is counted with, gravity and shock together",
    ),
    Input(
        name="elastic_modulus",
        form=Number(dimension="pressure", unit="GPa", low=10, high=400, why="metals"),
        about="modulus of elasticity",
    ),
    Input(
        name="density",
        form=Number(dimension="density", unit="kg/m³", low=1000, high=20_000, why="metals"),
        about="density of the metal",
    ),
    Input(name="yield_strength", form=_STRENGTH, about="0.2 % proof strength, the least of its standard"),
    *(
        Input(name=name, title=title, form=form, about=about, required=False, doubt=doubt)
        for name, title, form, about, doubt in (
            (
                "hole_diameter",
                "",
                Number(dimension="length", unit="mm", low=1, high=100, why="holes in brackets"),
                "of a hole amid the flat at the foot",
                None,
            ),
            (
                "bend_radius",
                "",
                Number(dimension="length", unit="mm", low=0.2, high=100, why="bends in strip"),
                "inside radius of the bend at the foot of a strip",
                None,
            ),
            (
                "engine_order",
                "",
                Number(dimension="ratio", unit="", low=0.25, high=24, why="what engines shake with"),
                "order of the engine that shakes it: 2 of a four-cylinder engine's firing",
                None,
            ),
            (
                "rev_limit",
                "",
                Number(dimension="rotational speed", unit="rpm", low=500, high=20_000, why="engines of cars"),
                "highest speed of the engine",
                None,
            ),
            (
                "vibration",
                "amplitude of the vibration of the load",
                Number(dimension="acceleration", unit="g", low=0.01, high=100, why="what is measured"),
                "amplitude by which the mass itself shakes, as measured there",
                None,
            ),
            (
                "fatigue_strength",
                "",
                _STRENGTH,
                "amplitude about no mean that the metal bears, as published",
                _FATIGUE,
            ),
            ("tensile_strength", "", _STRENGTH, "tensile strength, the least of its standard", None),
            ("foot_fasteners", "", Whole(1, 40, "feet of brackets"), "all fasteners of the foot", None),
            (
                "foot_pulled",
                "pulled fasteners of the foot",
                Whole(1, 40, "feet of brackets"),
                "those of them that hold it against tilting",
                None,
            ),
            (
                "foot_lever",
                "",
                Number(dimension="length", unit="mm", low=2, high=500, why="feet of brackets"),
                "from those to the edge that it tilts about",
                None,
            ),
        )
    ),
)

_ENGINE = ("engine_order", "rev_limit")
_SHAKEN = ("vibration", "fatigue_strength", "tensile_strength")
_FOOT = ("foot_fasteners", "foot_pulled", "foot_lever")


def _number(name: str, title: str, dimension: str, unit: str, about: str = "", **more: Any) -> Output:
    return Output(name=name, title=title, dimension=dimension, unit=unit, about=about, **more)


def _stress(name: str, title: str, about: str = "", **more: Any) -> Output:
    return _number(name, title, "pressure", "MPa", about, decimals=0, **more)


def _ratio(name: str, title: str, about: str = "", **more: Any) -> Output:
    return _number(name, title, "ratio", "", about, **more)


OUTPUTS = (
    _stress("stress", "bending stress at the foot", "in the outermost fibre"),
    _stress("equivalent_stress", "equivalent stress at the foot", "with the shear, beside a hole if any"),
    _number(
        "yield_use",
        "equivalent stress as a share of the yield strength",
        "ratio",
        "%",
        decimals=0,
    ),
    _stress("peak_stress", "peak stress at the foot", "at the rim of the hole or inside the bend"),
    _ratio("stress_raiser", "factor of the stress raiser", "peak stress over bending stress", decimals=2),
    _stress("shear_stress", "shear stress at the foot"),
    _number("sag", "sag of the end, standing", "length", "mm", "under the weight alone", decimals=2),
    _number("shock_sag", "sag of the end under the shock", "length", "mm", decimals=2),
    _number(
        "natural_frequency",
        "first natural frequency of the bracket",
        "frequency",
        "Hz",
        "the way in which it bends the most easily",
        decimals=0,
    ),
    _number(
        "resonant_speed",
        "engine speed that shakes the bracket",
        "rotational speed",
        "rpm",
        "at which the order meets its frequency",
        decimals=0,
        needs=_ENGINE,
    ),
    _ratio(
        "fatigue_reserve",
        "fatigue reserve of the bracket",
        "how many times as large the stresses might be",
        needs=_SHAKEN,
    ),
    _stress("stress_amplitude", "stress amplitude at the peak", "by the vibration", needs=_SHAKEN),
    _stress("mean_stress", "mean stress at the peak", "by the standing weight", needs=_SHAKEN),
    _ratio(
        "buckling_reserve",
        "buckling reserve of the free edge",
        "buckling stress over the bending stress; of an angle or a channel",
    ),
    _ratio("slenderness", "slenderness of a leg", "its free width in thicknesses; of an angle or a channel"),
    _ratio(
        "slenderness_limit",
        "slenderness limit of a leg",
        "up to which it yields before it buckles; of an angle or a channel",
    ),
    _number("force", "force of the load", "force", "N", "with the shock", decimals=0),
    _number("moment", "bending moment at the foot", "torque", "N·m"),
    _number("foot_pull", "pull in a fastener of the foot", "force", "N", decimals=0, needs=_FOOT),
    _number("foot_shear", "shear in a fastener of the foot", "force", "N", decimals=0, needs=_FOOT),
    _number("bracket_mass", "mass of the bracket", "mass", "kg", "from the foot to the load", decimals=3),
    _number(
        "second_moment", "second moment of area of the section", "second moment of area", "mm⁴", decimals=0
    ),
    _number("section_area", "area of the section", "area", "mm²"),
)

SOURCES = (
    Source(id="geometry", title="Geometry of sections", standing="derived"),
    Source(id="mechanics", title="Statics, and the beam of Bernoulli", standing="derived"),
    Source(
        id="roark",
        title="Roark's Formulas for Stress and Strain",
        publisher="McGraw-Hill",
        edition="7th",
        where="table 17.1, circular holes, as a public page has it; the width in bending as a public program "
        "has it (both read)",
    ),
    Source(
        id="winkler-bach",
        title="Curved beam of Winkler and Bach",
        where="rectangle, neutral radius t/ln(r_o/r_i)",
        standing="derived",
    ),
    Source(
        id="rayleigh",
        title="Rayleigh's method",
        where="cantilever with a mass at its end, 33/140 of its own mass; against the frequency equation in "
        "the tests",
        standing="derived",
    ),
    Source(
        id="en-1993-1-5",
        title="EN 1993-1-5, Plated structural elements",
        publisher="CEN",
        edition="2006",
        where="table 4.2, outstand, k 0.43, and annex A.1, as a public program has them; EN 1993-1-1, table "
        "5.2, 14 ε, as others have it (all read)",
    ),
    Source(
        id="goodman",
        title="Goodman's line",
        where="public pages of a course and of a primer on fatigue: σ_a/S_e + σ_m/S_ut = 1/n (read)",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

DOUBTS = (_BEAM, _SOFT_FOOT, _SHAKEN_FOOT, _FATIGUE, _PRYING)

HAZARDS = ("own-limits", "sharp-edges", "fasteners")

_SIZES = {
    "strip": ("width",),
    "blade": ("height",),
    "angle": ("width", "height"),
    "channel": ("width", "height"),
    "square_tube": ("width", "height"),
    "round_tube": ("height",),
}
_DOUBLE = {"square_tube": ("width", "height"), "round_tube": ("height",), "channel": ("width",)}
"""Sizes that have to be more than two thicknesses."""
_LEGS = {"angle": 1.0, "channel": 2.0}
_FLAT = ("strip", "angle", "channel", "square_tube")
_GRAVITY = 9.80665
_SOFTER = 0.999
"""Of two second moments: nearer they are alike, but for rounding."""
_RESERVE = 2.0
"""Of fatigue: below it there is a caution (common practice)."""


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Stress, sag, frequency, fatigue and foot of one bracket; SI in, SI out."""
    refuse_duty(given)
    _check(given)
    outputs: Outputs = {}
    section = _section(given, working, outputs)
    loads = _loads(given, section, working, outputs)
    _stresses(given, section, loads, working, outputs)
    _sags(given, section, loads, working, outputs)
    _shaken(given, section, loads, working, outputs)
    if "vibration" in given:
        _fatigue(given, working, outputs)
    if given["section"] in _LEGS:
        _buckling(given, working, outputs)
    if "foot_lever" in given:
        _foot(given, loads, working, outputs)
    if given["section"] == "angle":
        working.remark(said("An angle also twists, which is not counted: a channel or a tube does not."))
    working.remark(
        said(
            "Cracks begin at sheared edges, sharp bends and holes: file edges round, and look at the foot "
            "again after the first runs."
        )
    )
    return outputs


def _check(given: Mapping[str, Any]) -> None:
    """Refuse what contradicts itself."""
    sizes = _SIZES[given["section"]]
    for name in ("width", "height"):
        if name in sizes and name not in given:
            raise MissingInput(name, f"{_article(given)} without {name}", name)
        if name not in sizes and name in given:
            raise InputsConflict(
                name, f"{name} of {_article(given)}", f"only {', '.join(sizes)} and thickness"
            )
    _thin_enough(given)
    given_together(given, _ENGINE, "an order meets a frequency at a speed")
    if "vibration" in given or "fatigue_strength" in given:
        given_together(given, _SHAKEN, "Goodman's line needs all of them")
    if given_together(given, _FOOT, "the foot needs all of them"):
        pulled, fasteners = given["foot_pulled"], given["foot_fasteners"]
        if pulled > fasteners:
            raise InputsConflict("foot_pulled", f"{pulled}", f"at most all, {fasteners}")
    _raisers_fit(given)
    _strengths_fit(given)


def _article(given: Mapping[str, Any]) -> str:
    """The section with its article."""
    section = given["section"]
    return f"an {section}" if section[0] in "aeiou" else f"a {section}"


def _strengths_fit(given: Mapping[str, Any]) -> None:
    """A metal yields, and breaks by fatigue, at no more than its tensile strength."""
    tensile = given.get("tensile_strength")
    for name in ("yield_strength", "fatigue_strength"):
        if tensile is not None and given.get(name, 0.0) > tensile:
            raise InputsConflict(
                name, f"{given[name] / 1e6:g} MPa", f"at most tensile_strength, {tensile / 1e6:g} MPa"
            )


def _raisers_fit(given: Mapping[str, Any]) -> None:
    """Hole and bend have to be where their factors hold."""
    if "hole_diameter" in given:
        if given["section"] not in _FLAT:
            raise InputsConflict(
                "hole_diameter", f"a hole in {_article(given)}", "a strip, angle, channel or square tube"
            )
        if given["hole_diameter"] > 0.9 * given["width"]:
            raise OutOfRange(
                "hole_diameter",
                f"{1000 * given['hole_diameter']:g} mm",
                f"at most 0.9 of the width, {900 * given['width']:g} mm",
            )
    if "bend_radius" in given:
        if given["section"] != "strip":
            raise InputsConflict("bend_radius", f"a bend of {_article(given)}", "the bend of a strip")
        if given["bend_radius"] < 0.1 * given["thickness"]:
            raise OutOfRange(
                "bend_radius",
                f"{1000 * given['bend_radius']:g} mm",
                f"a tenth of the thickness or more, {100 * given['thickness']:g} mm",
                help="a crease is no curved beam",
            )


def _thin_enough(given: Mapping[str, Any]) -> None:
    """The sheet has to leave a section of its sort."""
    for name in _SIZES[given["section"]]:
        share = 0.5 if name in _DOUBLE.get(given["section"], ()) else 1.0
        if given["thickness"] >= share * given[name]:
            raise OutOfRange(
                "thickness",
                f"{1000 * given['thickness']:g} mm",
                f"less than {1000 * share * given[name]:g} mm",
                help=f"the {name} is {1000 * given[name]:g} mm",
            )


# --- section -----------------------------------------------------------------------------------

_Section = dict[str, float]
"""Of a section `modulus`, `stiff` (the second moment that counts for the sag), `least` (that of the
frequency) and `standing` (shear)."""


def _section(given: Mapping[str, Any], working: Working, outputs: Outputs) -> _Section:
    kind = given["section"]
    if kind in _LEGS:
        section = _legs(given, _LEGS[kind], working)
    else:
        section = _plain(given, working)
    outputs["section_area"], outputs["second_moment"] = section["area"], section["moment"]
    if kind != "round_tube":
        section["least"] = _least(section, working)
    return section


def _least(section: _Section, working: Working) -> float:
    """The least second moment: of an angle about a slanting axis."""
    about = {"second_moment": section["moment"], "other_moment": section["other"]}
    if "product" not in section:
        return _of_section("least second moment", brackets.lesser_second_moment, working, **about)
    return _of_section(
        "least second moment", brackets.least_second_moment, working, **about, product=section["product"]
    )


def _of_section(name: str, formula: Callable[..., float], working: Working, **sizes: float) -> float:
    return working.step(name, formula, source="geometry", **sizes)


def _plain(given: Mapping[str, Any], working: Working) -> _Section:
    """Sections that are alike above and below their middle."""
    thickness = given["thickness"]
    if given["section"] in ("strip", "blade"):
        flat = given["section"] == "strip"
        sizes = {
            "width": given["width"] if flat else thickness,
            "height": thickness if flat else given["height"],
        }
        area = _of_section("section_area", brackets.rectangle_area, working, **sizes)
        moment = _of_section("second_moment", brackets.rectangle_second_moment, working, **sizes)
        other = _of_section(_ALONG, brackets.rectangle_other_moment, working, **sizes)
        standing = area
    elif given["section"] == "square_tube":
        sizes = {"width": given["width"], "height": given["height"], "thickness": thickness}
        area = _of_section("section_area", brackets.box_area, working, **sizes)
        moment = _of_section("second_moment", brackets.box_second_moment, working, **sizes)
        other = _of_section(_ALONG, brackets.box_other_moment, working, **sizes)
        standing = _of_section(
            "area along the load",
            brackets.standing_area,
            working,
            thickness=thickness,
            height=given["height"],
            walls=2.0,
        )
    else:
        sizes = {"height": given["height"], "thickness": thickness}
        area = _of_section("section_area", brackets.tube_area, working, **sizes)
        moment = other = _of_section("second_moment", brackets.tube_second_moment, working, **sizes)
        standing = _of_section("area along the load", brackets.tube_standing_area, working, area=area)
    modulus = working.step(
        "section modulus",
        brackets.section_modulus,
        source="mechanics",
        second_moment=moment,
        height=sizes["height"],
        depth=sizes["height"] / 2,
    )
    return {
        "area": area,
        "moment": moment,
        "other": other,
        "stiff": moment,
        "least": moment,
        "modulus": modulus,
        "standing": standing,
    }


_ALONG = "second moment about the axis along the load"


def _legs(given: Mapping[str, Any], legs: float, working: Working) -> _Section:
    """A flat with one leg or two along the load."""
    sizes = {"width": given["width"], "height": given["height"], "thickness": given["thickness"]}
    area = _of_section("section_area", brackets.legs_area, working, **sizes, legs=legs)
    depth = _of_section(
        "depth of the centroid", brackets.centroid_depth, working, **sizes, legs=legs, area=area
    )
    moment = _of_section(
        "second_moment", brackets.legs_second_moment, working, **sizes, legs=legs, area=area, depth=depth
    )
    standing = _of_section(
        "area along the load",
        brackets.standing_area,
        working,
        thickness=given["thickness"],
        height=given["height"],
        walls=legs,
    )
    section = {"area": area, "moment": moment, "standing": standing}
    if legs > 1:
        modulus = working.step(
            "section modulus",
            brackets.section_modulus,
            source="mechanics",
            second_moment=moment,
            height=given["height"],
            depth=depth,
        )
        other = _of_section(_ALONG, brackets.channel_other_moment, working, **sizes)
        return {**section, "other": other, "stiff": moment, "modulus": modulus}
    return {**section, **_angle(sizes, area, depth, moment, working)}


def _angle(
    sizes: Mapping[str, float], area: float, depth: float, moment: float, working: Working
) -> _Section:
    """Unsymmetric bending of a free angle."""
    side = _of_section(
        "centroid from the standing leg's face", brackets.angle_side, working, **sizes, area=area
    )
    other = _of_section(_ALONG, brackets.angle_other_moment, working, **sizes, area=area, side=side)
    product = _of_section(
        "product of area", brackets.angle_product, working, **sizes, area=area, depth=depth, side=side
    )
    about = {"second_moment": moment, "other_moment": other, "product": product}
    return {
        "other": other,
        "product": product,
        "stiff": working.step(
            "second moment that counts", brackets.angle_stiff_moment, source="mechanics", **about
        ),
        "modulus": working.step(
            "section modulus",
            brackets.angle_modulus,
            source="mechanics",
            **about,
            **sizes,
            depth=depth,
            side=side,
        ),
    }


# --- load, stress, sag -------------------------------------------------------------------------


def _loads(
    given: Mapping[str, Any], section: _Section, working: Working, outputs: Outputs
) -> dict[str, float]:
    """Force, own mass and acceleration, as the formulae take them."""
    own = outputs["bracket_mass"] = working.step(
        "bracket_mass",
        brackets.own_mass,
        source="mechanics",
        area=section["area"],
        length=given["length"],
        density=given["density"],
    )
    force = outputs["force"] = working.step(
        "force",
        brackets.tip_force,
        source="mechanics",
        mass=given["mass"],
        acceleration=given["acceleration"],
    )
    loads = {"tip_force": force, "own_mass": own, "acceleration": given["acceleration"]}
    outputs["moment"] = working.step(
        "moment", brackets.foot_moment, source="mechanics", length=given["length"], **loads
    )
    return loads


def _raisers(given: Mapping[str, Any], working: Working) -> tuple[float, float, float]:
    """Factor of the hole, share of the width beside it, factor of the bend."""
    hole, share, bend = 1.0, 1.0, 1.0
    if "hole_diameter" in given:
        sizes = {"hole_diameter": given["hole_diameter"], "width": given["width"]}
        share = working.step(
            "share of the width beside the hole", brackets.net_share, source="geometry", **sizes
        )
        if given["section"] == "strip":
            hole = working.step(
                "factor of the hole",
                brackets.hole_factor_bent,
                source="roark",
                **sizes,
                thickness=given["thickness"],
            )
        else:
            hole = working.step("factor of the hole", brackets.hole_factor_pulled, source="roark", **sizes)
    if "bend_radius" in given:
        bend = working.step(
            "factor of the bend",
            brackets.bend_factor,
            source="winkler-bach",
            bend_radius=given["bend_radius"],
            thickness=given["thickness"],
        )
    return hole, share, bend


def _stresses(
    given: Mapping[str, Any],
    section: _Section,
    loads: Mapping[str, float],
    working: Working,
    outputs: Outputs,
) -> None:
    stress = outputs["stress"] = working.step(
        "stress",
        brackets.bending_stress,
        source=_BEAM,
        moment=_single(outputs, "moment"),
        section_modulus=section["modulus"],
    )
    shear = outputs["shear_stress"] = working.step(
        "shear_stress",
        brackets.shear_stress,
        source="mechanics",
        shear_area=section["standing"],
        **loads,
    )
    hole, share, bend = _raisers(given, working)
    net = working.step("net stress", brackets.net_stress, source="mechanics", stress=stress, net_share=share)
    equivalent = outputs["equivalent_stress"] = working.step(
        "equivalent_stress", brackets.equivalent_stress, source="mechanics", stress=net, shear=shear
    )
    outputs["yield_use"] = working.step(
        "yield_use",
        brackets.stress_use,
        source="mechanics",
        stress=equivalent,
        strength=given["yield_strength"],
    )
    working.limit("yield_use", most=1.0, says=said("Under the shock the bracket [may stay|stays] bent."))
    peak = outputs["peak_stress"] = working.step(
        "peak_stress",
        brackets.peak_stress,
        source="roark",
        stress=stress,
        net_stress=net,
        hole_factor=hole,
        bend_factor=bend,
    )
    outputs["stress_raiser"] = working.step(
        "stress_raiser", brackets.stress_use, source="roark", stress=peak, strength=stress
    )


def _sags(
    given: Mapping[str, Any],
    section: _Section,
    loads: Mapping[str, float],
    working: Working,
    outputs: Outputs,
) -> None:
    """Sag under the shock and standing."""
    beam = {
        "length": given["length"],
        "elastic_modulus": given["elastic_modulus"],
        "second_moment": section["stiff"],
    }
    outputs["shock_sag"] = working.step("shock_sag", brackets.sag, source=_SOFT_FOOT, **loads, **beam)
    weight = working.step(
        "weight of the load",
        brackets.tip_force,
        source="mechanics",
        mass=given["mass"],
        acceleration=_GRAVITY,
    )
    outputs["sag"] = working.step(
        "sag",
        brackets.sag,
        source=_SOFT_FOOT,
        tip_force=weight,
        own_mass=loads["own_mass"],
        acceleration=_GRAVITY,
        **beam,
    )
    working.limit(
        "shock_sag",
        most=given["length"] / 10,
        says=said(
            "The end [may go|goes] aside by more than a tenth of the length: the beam's formulae hold no "
            "longer."
        ),
    )


# --- what shakes it ----------------------------------------------------------------------------


def _shaken(
    given: Mapping[str, Any],
    section: _Section,
    loads: Mapping[str, float],
    working: Working,
    outputs: Outputs,
) -> None:
    frequency = outputs["natural_frequency"] = working.step(
        "natural_frequency",
        brackets.natural_frequency,
        source=_SHAKEN_FOOT,
        elastic_modulus=given["elastic_modulus"],
        second_moment=section["least"],
        length=given["length"],
        mass=given["mass"],
        own_mass=loads["own_mass"],
    )
    if section["least"] < _SOFTER * section["moment"]:
        working.remark(
            said(
                "It bends more easily another way than along the load: its first natural frequency is of "
                "that way."
            )
        )
    if "engine_order" not in given:
        return
    outputs["resonant_speed"] = working.step(
        "resonant_speed",
        brackets.resonant_speed,
        source="mechanics",
        frequency=frequency,
        order=given["engine_order"],
    )
    working.limit(
        "resonant_speed",
        least=given["rev_limit"],
        says=said(
            "The engine [may shake|shakes] the bracket at its own frequency, at a speed that it runs at."
        ),
    )


def _fatigue(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Goodman's line at the peak."""
    stresses: dict[str, float] = {}
    for name, other in (("stress_amplitude", given["vibration"]), ("mean_stress", _GRAVITY)):
        share = working.step(
            f"acceleration of the {name.replace('_', ' ')} over the one counted",
            brackets.acceleration_share,
            source="mechanics",
            other=other,
            acceleration=given["acceleration"],
        )
        stresses[name] = outputs[name] = working.step(
            name,
            brackets.scaled_stress,
            source="mechanics",
            peak=_single(outputs, "peak_stress"),
            share=share,
        )
    outputs["fatigue_reserve"] = working.step(
        "fatigue_reserve",
        brackets.goodman_reserve,
        source="goodman",
        amplitude=stresses["stress_amplitude"],
        mean=stresses["mean_stress"],
        fatigue_strength=given["fatigue_strength"],
        tensile_strength=given["tensile_strength"],
    )
    working.limit(
        "fatigue_reserve",
        least=_RESERVE,
        says=said("A crack [may have|has] to be feared: the stresses pass half of what polished bars bear."),
    )


def _buckling(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """The free edge of a leg."""
    wider = max(given["height"], given["width"]) if given["section"] == "angle" else given["height"]
    free = wider - given["thickness"]
    outputs["slenderness"] = working.step(
        "slenderness",
        brackets.slenderness,
        source="en-1993-1-5",
        free_width=free,
        thickness=given["thickness"],
    )
    outputs["slenderness_limit"] = working.step(
        "slenderness_limit",
        brackets.slenderness_limit,
        source="en-1993-1-5",
        elastic_modulus=given["elastic_modulus"],
        yield_strength=given["yield_strength"],
    )
    buckles = working.step(
        "buckling stress",
        brackets.edge_buckling_stress,
        source="en-1993-1-5",
        elastic_modulus=given["elastic_modulus"],
        thickness=given["thickness"],
        free_width=free,
    )
    outputs["buckling_reserve"] = working.step(
        "buckling_reserve",
        brackets.stress_use,
        source="mechanics",
        stress=buckles,
        strength=_single(outputs, "stress"),
    )
    working.limit(
        "buckling_reserve",
        least=1.0,
        says=said("The free edge of a leg [may buckle|buckles] under the shock."),
    )
    working.limit(
        "slenderness",
        most=_single(outputs, "slenderness_limit"),
        says=said("The leg [may be|is] so wide and thin that it buckles before it yields."),
    )


def _foot(given: Mapping[str, Any], loads: Mapping[str, float], working: Working, outputs: Outputs) -> None:
    """What the fasteners of the foot get."""
    outputs["foot_pull"] = working.step(
        "foot_pull",
        brackets.foot_pull,
        source=_PRYING,
        moment=_single(outputs, "moment"),
        lever=given["foot_lever"],
        pulled=float(given["foot_pulled"]),
    )
    outputs["foot_shear"] = working.step(
        "foot_shear",
        brackets.foot_shear,
        source="mechanics",
        fasteners=float(given["foot_fasteners"]),
        **loads,
    )


def _single(outputs: Outputs, name: str) -> float:
    value = outputs[name]
    assert isinstance(value, float)
    return value


_PARTS = 24


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """How the bracket hangs under the shock, each case a curve."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        given, sag = case.inputs, case.outputs["shock_sag"]
        own = case.outputs["bracket_mass"] * given["acceleration"]
        whole = case.outputs["force"] / 3 + own / 8
        share = case.uncertainty("shock_sag") / sag if sag else 0.0
        x = [given["length"] * part / _PARTS for part in range(_PARTS + 1)]
        shares = [part / _PARTS for part in range(_PARTS + 1)]
        y = [
            sag
            * (case.outputs["force"] / 6 * (3 * at**2 - at**3) + own / 24 * (at**4 - 4 * at**3 + 6 * at**2))
            / whole
            for at in shares
        ]
        series.append(
            Series(
                label=name or "sag",
                x=x,
                y=y,
                style=style,
                low=[at * (1 - share) for at in y],
                high=[at * (1 + share) for at in y],
            )
        )
    return ChartSpec(
        title="Sag along the bracket",
        description="How far the bracket goes aside under the shock, from its foot to the load.",
        x=Axis("distance from the foot", "length", "mm", from_zero=True),
        y=Axis("sag under the shock", "length", "mm", from_zero=True),
        series=tuple(series),
    )
