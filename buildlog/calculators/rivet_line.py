"""What rivets or bolts in a line or a pattern bear in thin sheet, and what the sheet bears about them.

**For light parts alone.** `duty` has to be answered. Whatever holds a person, a seat, belts, a wheel, a
brake, the steering, the suspension, the drivetrain, fuel, pressure, or is lifted by, is refused: that is
for licensed practice. So is anything that the law has somebody approve.

**The pattern.** Either a line: `count` fasteners at a `pitch`, in one row or in several `rows` at a
`row_pitch`; or a table of `places`, `along` the line and `across` it. The `force` acts in the plane of the
sheets, at `force_angle` to the line (0° along it, 90° across it), at the place `force_along`, `force_across`.
Without a place it goes through the middle of the pattern. Places are counted from the first fastener of the
line, or as the table counts.

**The load of each** is its share of the force, and what the moment about the middle of the pattern adds, by
its distance from there: the elastic method of textbooks. It takes the sheets for stiff and the fasteners for
alike; in a long row in line with the force the ends take more, for which the block counts 10 %. What a
bracket's foot pulls at its worst fastener, out of the plane, is `pull`: the block `bracket` tells it. Both
uses are then added, which is on the safe side: EN 1993-1-8 lets bolts count 1/1.4 of the pull. That is of the
fastener; what a pull takes of the sheet's bearing is not counted.

**What they bear.** `shear_load` and `tension_load` are the least loads of *one* fastener, by its maker's
sheet or its standard (ISO 15977 and its neighbours for blind rivets), for its material and size: none is
known here. Of a bolt of grade 4.6, 5.6 or 8.8 it is 0.6 times its tensile strength times the stress area, of
4.8, 5.8, 6.8 and 10.9 0.5 times; pulled it is 0.9 times (EN 1993-1-3). All resistances are divided by
`partial_factor`, 1.25 by that standard.

| of the sheet | blind rivet | bolt | solid rivet |
|---|---|---|---|
| bearing, times f_u d t | 3.6 √(t/d), at most 2.1 | 2.5; below 1.25 mm 1.5 + 0.8 t/mm | 1.6 |
| edge | f_u e t/1.2 | a third of its bearing factor times f_u e t | f_u e t/1.2 |
| source | EN 1993-1-3, table 8.1 | table 8.4 | AC 43.13-1B, tables 4-10 and 4-11 |

A blind rivet in a sheet beside one of 2.5 times its thickness has 2.1, and between it is interpolated. The
aircraft handbook's 1.6 is told for all of them beside the standard's own. It is the more careful of the two,
but for a blind rivet in a sheet of less than a fifth of its diameter. EN 1993-1-3 is for steel: EN 1999-1-4
counts screws in aluminium with 2.5 √(t/d), at most 1.5, which is seven tenths of the rivet's form in steel,
and no strength above 260 MPa. Its form for blind rivets was not found in public, so keep the bearing of
aluminium below seven tenths. `width` is the sheet's, across the force, with `holes_across` in one section:
what is left between them is the net section, with bolts less by the standard's factor.

**Rules of the row.** They differ, and the block tells where one is passed:

| rule | value | source |
|---|---|---|
| edge, from the middle | 2 d or more; EN 1993-1-3 takes 1.5 d | U.S. Army TM 10-5410-229-13&P |
| pitch, least | 3 d | the same; U.S. Navy; EN 1993-1-3 |
| pitch, usual | 4 to 8 d | U.S. Navy, training manual for structural mechanics |
| pitch, most | 10 d | Aircraft Riveting Review, J. Cox, 1999 |
| rows apart | 2.5 d or more | the same, and the Army's |
| diameter | 1 to 3 thicknesses of the thicker sheet | U.S. Navy |
| hole of a blind rivet | 0.1 to 0.2 mm wider | a supplier's page of ISO 15977 |

Between two fasteners a sheet that is pressed along the row buckles: with `compression`, the stress there, and
`elastic_modulus` the block gives the pitch at which it does, with ends half clamped by solid rivets (fixity
3), by bolts (4), and by blind rivets counted as hinged (1), for which nobody has published one. That is of a
line of two or more: the widest gap of a table of `places` is not known.

**Not in it:** fatigue and what vibration does to rivets, sealants and glue, corrosion between two metals (an
aluminium rivet in steel, a steel bolt in aluminium), heat, a head that is pulled through a soft sheet. The
numbers are for a load that stands still: count shocks into the `force`.

```yaml
id: lid
kind: rivet_line
inputs:
  duty: duct
  fastener: blind_rivet
  diameter: 4 mm
  hole_diameter: 4.1 mm
  shear_load: 1000 N
  grip_least: 1.0 mm
  grip_most: 3.5 mm
  count: 5
  pitch: 24 mm
  force: 450 ± 50 N
  force_angle: 90°
  force_along: 20 mm
  sheets:
    - {name: lid, thickness: 1.0 mm, tensile_strength: 240 MPa, edge_distance: 9 mm}
    - {name: box, thickness: 1.5 mm, tensile_strength: 240 MPa, edge_distance: 10 mm}
  width: 120 mm
  holes_across: 5
cases:
  five: {}
  four: {count: 4, pitch: 32 mm, holes_across: 4}
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import cos, hypot, sin
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    Choice,
    Doubt,
    Input,
    Marker,
    Number,
    Output,
    Outputs,
    Source,
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.duty import duty_input, refuse_duty
from buildlog.kinds.keys import row_keys
from buildlog.physics import rivets
from buildlog.said import Said, said

KIND = "rivet_line"

_PLACE = Number(dimension="length", unit="mm", low=-2000, high=2000, why="panels of cars")
_LOAD = Number(dimension="force", unit="N", low=1, high=100_000, why="one small rivet to a bolt")
_SHEET = Number(dimension="length", unit="mm", low=0.3, high=6, why="sheet")
_GRIP = Number(dimension="length", unit="mm", low=0.1, high=60, why="rivets and bolts for sheet")
_NAME = Input(name="name", form=Text(24), about="what figures in the text call it", required=False)

INPUTS = (
    duty_input(
        {
            "cover": "a cover, a lid or a panel, and nothing on it",
            "duct": "a duct, an air box, a shroud, a heat shield",
            "sensor": "a sensor, a relay, a switch, a small box of electronics",
            "line": "a cable, a loom, a hose or a pipe without pressure",
            "light_part": "any other light part whose loss harms nobody",
        }
    ),
    Input(
        name="fastener",
        form=Choice(
            {
                "blind_rivet": "blind rivet, of 2.6 to 6.4 mm",
                "solid_rivet": "solid rivet",
                "bolt": "bolt with nut and washers, in sheet of 0.75 to 4 mm",
            }
        ),
        about="what holds the sheets together",
    ),
    Input(
        name="diameter",
        form=Number(dimension="length", unit="mm", low=2, high=12, why="rivets and bolts for sheet"),
        about="diameter of the fastener, or of its shank",
    ),
    Input(
        name="hole_diameter",
        form=Number(dimension="length", unit="mm", low=2, high=16, why="holes of these"),
        about="diameter of the holes",
    ),
    Input(name="shear_load", form=_LOAD, about="least shear load of one fastener, by its maker or standard"),
    Input(
        name="tension_load",
        form=_LOAD,
        about="least tension load of one fastener, by its maker or standard",
        required=False,
    ),
    Input(
        name="grip_least",
        title="least grip of the fastener",
        form=_GRIP,
        about="least grip that it is made for",
        required=False,
    ),
    Input(
        name="grip_most",
        title="greatest grip of the fastener",
        form=_GRIP,
        about="greatest grip that it is made for",
        required=False,
    ),
    *(
        Input(name=name, form=form, about=about, required=False)
        for name, form, about in (
            ("count", Whole(1, 60, "rows that one can drill"), "fasteners in a row"),
            (
                "pitch",
                Number(dimension="length", unit="mm", low=4, high=500, why="rows in sheet"),
                "from middle to middle in a row",
            ),
            (
                "row_pitch",
                Number(dimension="length", unit="mm", low=4, high=500, why="rows in sheet"),
                "from row to row",
            ),
        )
    ),
    Input(
        name="rows",
        form=Whole(1, 6, "rows beside each other"),
        about="rows of the line",
        default="1",
        default_source="a single row",
    ),
    Input(
        name="places",
        form=Table(
            (
                _NAME,
                Input(name="along", title="place along the line", form=_PLACE, about="along the line"),
                Input(name="across", title="place across the line", form=_PLACE, about="across the line"),
            ),
            1,
            60,
        ),
        about="places of the fasteners, instead of a line",
        required=False,
    ),
    Input(name="force", form=_LOAD, about="force in the plane of the sheets, shocks counted"),
    Input(
        name="force_angle",
        title="angle of the force",
        form=Number(dimension="angle", unit="°", low=-180, high=180, why="all around"),
        about="angle of the force to the line",
    ),
    Input(
        name="force_along",
        title="place of the force along the line",
        form=_PLACE,
        about="where the force acts, along the line",
        required=False,
    ),
    Input(
        name="force_across",
        title="place of the force across the line",
        form=_PLACE,
        about="where the force acts, across the line",
        required=False,
    ),
    Input(
        name="pull",
        form=_LOAD,
        about="pull out of the plane at the worst fastener, as the foot of a bracket has it",
        required=False,
    ),
    Input(
        name="sheets",
        form=Table(
            (
                _NAME,
                Input(name="thickness", form=_SHEET, about="thickness"),
                Input(
                    name="tensile_strength",
                    form=Number(
                        dimension="pressure", unit="MPa", low=50, high=550, why="sheet of EN 1993-1-3"
                    ),
                    about="least tensile strength, by its standard or certificate",
                ),
                Input(
                    name="edge_distance",
                    form=Number(dimension="length", unit="mm", low=1, high=500, why="rows near edges"),
                    about="from a fastener's middle to the nearest edge that it is pushed to",
                ),
            ),
            2,
            2,
        ),
        about="the two sheets, in single shear",
    ),
    Input(
        name="width",
        form=Number(dimension="length", unit="mm", low=5, high=3000, why="strips and panels"),
        about="width of the sheets across the force",
        required=False,
    ),
    Input(
        name="holes_across",
        form=Whole(1, 60, "a row across the force"),
        about="holes in one section across the force",
        required=False,
    ),
    Input(
        name="compression",
        title="compressive stress along the row",
        form=Number(dimension="pressure", unit="MPa", low=0.5, high=300, why="below what sheet yields at"),
        about="compressive stress in the thinner sheet, along the row",
        required=False,
    ),
    Input(
        name="elastic_modulus",
        form=Number(dimension="pressure", unit="GPa", low=10, high=400, why="metals"),
        about="modulus of elasticity of the thinner sheet",
        required=False,
    ),
    Input(
        name="partial_factor",
        form=Number(dimension="ratio", unit="", low=1.0, high=5, why="from none to a careful one"),
        about="what all resistances are divided by",
        default="1.25",
        default_source="EN 1993-1-3, γ_M2",
    ),
)

_LINE = ("count", "pitch")
_NET = ("width", "holes_across")
_BUCKLING = ("compression", "elastic_modulus")
_PULL = ("pull", "tension_load")


def _length(name: str, title: str, about: str = "", **more: Any) -> Output:
    return Output(name=name, title=title, dimension="length", unit="mm", about=about, **more)


def _force(name: str, title: str, about: str = "", **more: Any) -> Output:
    return Output(name=name, title=title, dimension="force", unit="N", about=about, decimals=0, **more)


def _share(name: str, title: str, about: str = "", **more: Any) -> Output:
    return Output(name=name, title=title, dimension="ratio", unit="%", about=about, decimals=0, **more)


def _ratio(name: str, title: str, about: str = "", **more: Any) -> Output:
    return Output(name=name, title=title, dimension="ratio", unit="", about=about, **more)


_SHEETS: dict[str, Any] = {"key": "sheet", "of": "sheets"}

OUTPUTS = (
    Output(
        name="governs",
        title="mode that governs",
        dimension="text",
        unit="",
        about="which is used the most",
        leading=True,
    ),
    _share("greatest_use", "greatest use of the joint", "of the mode that governs"),
    _force("greatest_load", "load of the most loaded fastener", "in the plane of the sheets"),
    Output(
        name="most_loaded",
        title="most loaded fastener",
        dimension="text",
        unit="",
    ),
    _force("direct_load", "share of each fastener of the force"),
    Output(
        name="torsion",
        title="moment about the middle of the pattern",
        dimension="torque",
        unit="N·m",
    ),
    _length("centroid_along", "place of the middle of the pattern along the line"),
    _length("centroid_across", "place of the middle of the pattern across the line"),
    _ratio(
        "fasteners_needed",
        "number of fasteners needed for the force",
        "through their middle, each alike; to be rounded up",
    ),
    _force("shear_resistance", "shear resistance of one fastener", "its least load over the partial factor"),
    _share("shear_use", "use of the fasteners by shear", "at the most loaded one"),
    _share("tension_use", "use of the fasteners by tension", needs=_PULL),
    _share("combined_use", "use of the fasteners by shear and tension", "both in full", needs=_PULL),
    _force("bearing_resistance", "bearing resistance of the sheet", "by the fastener's own form", **_SHEETS),
    _force(
        "bearing_resistance_aircraft", "bearing resistance of the sheet by the aircraft handbook", **_SHEETS
    ),
    _force("edge_resistance", "resistance of the sheet to tearing out at its edge", **_SHEETS),
    _share("bearing_use", "use of the sheet in bearing", "by the fastener's own form", **_SHEETS),
    _share("bearing_use_aircraft", "use of the sheet in bearing by the aircraft handbook", **_SHEETS),
    _share("edge_use", "use of the edge of the sheet", **_SHEETS),
    _force("net_resistance", "resistance of the sheet between its holes", needs=_NET, **_SHEETS),
    _share("net_use", "use of the sheet between its holes", needs=_NET, **_SHEETS),
    _length(
        "least_thickness",
        "least thickness of the sheet",
        "for bearing and edge at the most loaded fastener",
        decimals=2,
        **_SHEETS,
    ),
    _ratio("edge_in_diameters", "edge distance of the sheet in diameters", **_SHEETS),
    _ratio(
        "pitch_in_diameters",
        "pitch in diameters",
        "of a row; of a table of places the least distance of two; 2 or more fasteners",
    ),
    _ratio("row_pitch_in_diameters", "distance of the rows in diameters", "2 or more rows"),
    _ratio("diameter_in_thicknesses", "diameter in thicknesses of the thicker sheet"),
    _length("least_edge", "least edge distance by the rule", "2 diameters"),
    _length("least_pitch", "least pitch by the rule", "3 diameters"),
    _length("most_pitch", "greatest pitch by the rule", "10 diameters"),
    _length(
        "buckling_pitch",
        "pitch at which the sheet buckles between fasteners",
        needs=_BUCKLING,
    ),
    _length("grip", "grip of the fasteners", "both sheets together"),
    _length("hole_clearance", "clearance of the holes", decimals=2),
    _force("load", "load of the fastener", "in the plane of the sheets", key="fastener", of="places"),
    _force("moment_load", "load of the fastener by the moment", key="fastener", of="places"),
)

SOURCES = (
    Source(id="mechanics", title="Statics and geometry of a pattern", standing="derived"),
    Source(
        id="elastic-method",
        title="Design of Machine Elements, V. B. Bhandari",
        publisher="McGraw-Hill",
        where="examples 7.3 and 8.27 and their solutions, in a public collection: direct and moment shares "
        "added as vectors",
    ),
    Source(
        id="en-1993-1-3",
        title="EN 1993-1-3, Design of steel structures, cold-formed members and sheeting",
        publisher="CEN",
        edition="2006",
        where="table 8.1, blind rivets, as an early version of a public program has it (K. Mela, "
        "en1993_1_3.py); table 8.4, bolts, as another has it (P. Biel): k_t, α_b, grades, range (both read)",
    ),
    Source(
        id="env-1993-1-3",
        title="ENV 1993-1-3, the same, prestandard",
        publisher="CEN",
        edition="1996",
        where="table 8.4, bolts: bearing, edge, net section, range, as a public page has it",
    ),
    Source(
        id="en-1993-1-8",
        title="EN 1993-1-8, Design of joints",
        publisher="CEN",
        edition="2005",
        where="table 3.4, shear and tension together, as public pages have it (read)",
    ),
    Source(
        id="en-1999-1-4",
        title="EN 1999-1-4, Design of aluminium structures, cold-formed structural sheeting",
        publisher="CEN",
        edition="2007",
        where="8.3.2.1, screws in aluminium, as a public page has it (read)",
    ),
    Source(
        id="ac-43-13-1b",
        title="AC 43.13-1B, Acceptable Methods, Techniques and Practices, Aircraft Inspection and Repair",
        publisher="Federal Aviation Administration",
        edition="1998",
        where="tables 4-10 and 4-11 with their engineering notes",
    ),
    Source(
        id="army-rows",
        title="TM 10-5410-229-13&P, rivet replacement",
        publisher="U.S. Army",
        where="5-6: edge 2 diameters, pitch 3, rows 2.5",
    ),
    Source(
        id="navy-rows",
        title="Aviation Structural Mechanic, training manual, spacing and edge distance",
        publisher="U.S. Navy",
        where="chapter 13: pitch never below 3, seldom below 4 or above 8 diameters; diameter 1 to 3 "
        "thicknesses",
    ),
    Source(
        id="cox",
        title="Aircraft Riveting Review, J. Cox",
        publisher="Aviation Pros",
        edition="March 1999",
        where="edge 2 to 4 diameters, pitch 3 to 10, rows 2.5 or more",
    ),
    Source(
        id="flabel",
        title="Practical Stress Analysis for Design Engineers, J.-C. Flabel",
        where="buckling between fasteners, fixities, as a public page quotes it",
    ),
    Source(
        id="iso-15977",
        title="A supplier's page of ISO 15977 and ISO 15978",
        where="drill 0.1 to 0.2 mm over the rivet",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

_SHARING = Doubt(
    name="sharing_of_a_pattern",
    about="fasteners that do not share as alike ones between stiff sheets would",
    source="practice",
    formula="elastic-method",
    relative=0.1,
    range="up to some six in line with the force; the ends of a longer row take more",
)
_BEARING = Doubt(
    name="bearing_of_thin_sheet",
    about="a bearing resistance by a standard's form for one that was not tested",
    source="practice",
    formula="en-1993-1-3",
    relative=0.15,
    range="steel of the standard's ranges; aluminium may bear three tenths less",
)

DOUBTS = (_SHARING, _BEARING)

HAZARDS = ("sharp-edges", "own-limits", "fasteners")

_FIXITY = {"blind_rivet": 1.0, "solid_rivet": 3.0, "bolt": 4.0}
_EDGE, _PITCH, _MOST, _ROWS = 2.0, 3.0, 10.0, 2.5
"""Rules in diameters."""
_USUAL = 8.0


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Loads of the fasteners, uses of all modes, and the rules of the row; SI in, SI out."""
    refuse_duty(given)
    _check(given)
    outputs: Outputs = {}
    places = _places(given)
    loads = _loads(given, places, working, outputs)
    worst = max(loads, key=lambda key: loads[key])
    outputs["most_loaded"] = worst
    outputs["greatest_load"] = working.step(
        "greatest_load", rivets.stated_load, source="mechanics", stated=loads[worst]
    )
    uses = _fastener_uses(given, working, outputs)
    uses |= _sheet_uses(given, len(places), working, outputs)
    _needed(given, working, outputs)
    governing = max(uses, key=lambda words: uses[words])
    outputs["governs"] = governing
    outputs["greatest_use"] = working.step(
        "greatest_use", rivets.stated_use, source="mechanics", stated=uses[governing]
    )
    _rules(given, places, working, outputs)
    if given["fastener"] == "blind_rivet":
        working.remark(
            said(
                "The bearing is by EN 1993-1-3, which is for steel. Of aluminium sheet keep its use below 70 "
                "%: EN 1999-1-4 counts screws in it with seven tenths of that."
            )
        )
    if given["fastener"] == "bolt" and _beyond_the_table(given):
        working.remark(
            said(
                "EN 1993-1-3 has its form for bolts from M6 on, in sheet of less than 3 mm: these are beyond "
                "it."
            )
        )
    working.remark(
        said(
            "This is for a load that stands still. What vibrates works rivets loose: look at them again "
            "after the first runs."
        )
    )
    return outputs


def _beyond_the_table(given: Mapping[str, Any]) -> bool:
    thickest: float = max(row["thickness"] for row in given["sheets"])
    return bool(given["diameter"] < 0.006 - 1e-9 or thickest >= 0.003)


def _check(given: Mapping[str, Any]) -> None:
    """Refuse what contradicts itself."""
    _check_line(given)
    _check_sections(given)
    if "pull" in given:
        given_together(given, _PULL, "a pull is compared with what a fastener bears")
    diameter, hole = given["diameter"], given["hole_diameter"]
    if hole < diameter:
        raise InputsConflict(
            "hole_diameter",
            f"{1000 * hole:g} mm",
            f"at least the fastener's diameter, {1000 * diameter:g} mm",
        )
    if given.get("grip_least", 0.0) > given.get("grip_most", 1.0):
        raise InputsConflict(
            "grip_least",
            f"{1000 * given['grip_least']:g} mm",
            f"at most grip_most, {1000 * given['grip_most']:g} mm",
        )
    _ranges(given)


def _check_line(given: Mapping[str, Any]) -> None:
    """Either a line or places, and all that it takes."""
    for name in _LINE:
        if name in given and "places" in given:
            raise InputsConflict(name, "places as well", "a line or places", help="leave one of them out")
    if "row_pitch" in given and (given["rows"] < 2 or "places" in given):
        found = "places, which say it of each" if "places" in given else "one row"
        raise InputsConflict("row_pitch", found, "2 rows or more", help="leave it out, or state rows")
    if "places" not in given:
        if "count" not in given:
            raise MissingInput("count", "neither a line nor places", "count and pitch, or places")
        if given["count"] > 1:
            given_together(given, _LINE, "a line has both")
        if given["rows"] > 1:
            given_together({"rows": 1, **given}, ("rows", "row_pitch"), "rows are so far apart")


def _check_sections(given: Mapping[str, Any]) -> None:
    """Net section and buckling: of as many fasteners as there are, in a row."""
    given_together(given, _NET, "the section between the holes needs both")
    number = len(given["places"]) if "places" in given else given["rows"] * given["count"]
    if given.get("holes_across", 0) > number:
        raise InputsConflict("holes_across", f"{given['holes_across']}", f"at most all fasteners, {number}")
    if given_together(given, _BUCKLING, "buckling between fasteners needs both") and (
        "places" in given or given["count"] < 2
    ):
        raise InputsConflict(
            "compression",
            "places" if "places" in given else "a single fastener in a row",
            "a line of two or more",
            help="a sheet buckles in the widest gap of a row, which a table of places does not tell",
        )


def _ranges(given: Mapping[str, Any]) -> None:
    """The ranges of the standard's forms, by fastener."""
    diameter = given["diameter"]
    if given["fastener"] == "blind_rivet" and not 0.0026 - 1e-9 <= diameter <= 0.0064 + 1e-9:
        raise OutOfRange(
            "diameter", f"{1000 * diameter:g} mm", "2.6 to 6.4 mm", help="blind rivets of EN 1993-1-3"
        )
    for index, row in enumerate(given["sheets"]):
        thickness = row["thickness"]
        if given["fastener"] == "bolt" and not 0.00075 - 1e-9 <= thickness <= 0.004 + 1e-9:
            raise OutOfRange(
                "sheets",
                f"{1000 * thickness:g} mm",
                "0.75 to 4 mm",
                help="the standard's form for bolts in sheet",
                at=(index, "thickness"),
            )
        if row["edge_distance"] <= given["hole_diameter"] / 2:
            raise OutOfRange(
                "sheets",
                f"{1000 * row['edge_distance']:g} mm",
                f"more than half a hole, {500 * given['hole_diameter']:g} mm",
                help="the hole is open at the edge",
                at=(index, "edge_distance"),
            )
    if "width" in given and given["holes_across"] * given["hole_diameter"] >= given["width"]:
        raise InputsConflict(
            "width",
            f"{1000 * given['width']:g} mm",
            f"more than its holes take, {1000 * given['holes_across'] * given['hole_diameter']:g} mm",
        )


# --- the load of each --------------------------------------------------------------------------


def _places(given: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
    """Where the fasteners are, by their keys."""
    if "places" in given:
        rows = given["places"]
        return {
            key: (row["along"], row["across"])
            for key, row in zip(row_keys("places", rows), rows, strict=True)
        }
    pitch, apart = given.get("pitch", 0.0), given.get("row_pitch", 0.0)
    single = given["rows"] == 1
    return {
        f"{number + 1}" if single else f"{row + 1}-{number + 1}": (number * pitch, row * apart)
        for row in range(given["rows"])
        for number in range(given["count"])
    }


def _loads(
    given: Mapping[str, Any],
    places: Mapping[str, tuple[float, float]],
    working: Working,
    outputs: Outputs,
) -> dict[str, float]:
    """The load of each fastener; the middle, the moment and the direct share go to the outputs."""
    number = float(len(places))
    centres = [
        working.step(
            name,
            rivets.centroid_place,
            source="mechanics",
            places_sum=sum(place[axis] for place in places.values()),
            number=number,
        )
        for axis, name in enumerate(("centroid_along", "centroid_across"))
    ]
    outputs["centroid_along"], outputs["centroid_across"] = centres
    along, across = given["force"] * cos(given["force_angle"]), given["force"] * sin(given["force_angle"])
    moment = outputs["torsion"] = _moment(given, centres, along, across, working)
    outputs["direct_load"] = working.step(
        "direct_load", rivets.direct_load, source="mechanics", force=given["force"], number=number
    )
    polar = working.step(
        "polar sum",
        rivets.polar_sum,
        source="mechanics",
        squares_across=sum((place[0] - centres[0]) ** 2 for place in places.values()),
        squares_up=sum((place[1] - centres[1]) ** 2 for place in places.values()),
    )
    _turns(given, moment, polar)
    loads: dict[str, float] = {}
    turning: dict[str, float] = {}
    for key, place in places.items():
        offs = (place[0] - centres[0], place[1] - centres[1])
        turned = [0.0, 0.0]
        if polar > 0:
            turning[key] = working.step(
                f"moment_load.{key}",
                rivets.moment_load,
                source="elastic-method",
                moment=moment,
                distance=hypot(*offs),
                polar_sum=polar,
            )
            turned = [
                working.step(
                    f"load of {key} by the moment {way}",
                    rivets.turned_load,
                    source="elastic-method",
                    moment=moment,
                    off=off,
                    polar_sum=polar,
                )
                for way, off in (("along", -offs[1]), ("across", offs[0]))
            ]
        loads[key] = working.step(
            f"load.{key}",
            rivets.fastener_load,
            source=_SHARING,
            force_along=along,
            force_across=across,
            number=number,
            turned_along=turned[0],
            turned_across=turned[1],
        )
    outputs["load"] = loads
    if turning:
        outputs["moment_load"] = turning
    return loads


def _moment(
    given: Mapping[str, Any], centres: list[float], along: float, across: float, working: Working
) -> float:
    """The moment about the middle of the pattern."""
    arms = [
        working.step(
            f"arm {way}",
            rivets.arm,
            source="mechanics",
            place=given.get(f"force_{way}", centre),
            centroid=centre,
        )
        for way, centre in zip(("along", "across"), centres, strict=True)
    ]
    return working.step(
        "torsion",
        rivets.torsion,
        source="mechanics",
        force_along=along,
        force_across=across,
        arm_along=arms[0],
        arm_across=arms[1],
    )


_TURNS = 1e-9
"""Of force times a metre: what rounding makes of no moment."""


def _turns(given: Mapping[str, Any], moment: float, polar: float) -> None:
    """Refuse a pattern that cannot hold the moment."""
    if polar <= 0 and abs(moment) > _TURNS * given["force"]:
        raise InputsConflict(
            "places" if "places" in given else "count",
            "a force beside the only place of the fasteners",
            "two places or more",
            help="one fastener holds no moment: the part turns about it",
        )


# --- uses --------------------------------------------------------------------------------------


def _use(name: str, load: float, resistance: float, working: Working) -> float:
    return working.step(name, rivets.use, source="mechanics", load=load, resistance=resistance)


def _fastener_uses(given: Mapping[str, Any], working: Working, outputs: Outputs) -> dict[Said, float]:
    """Uses of the fasteners, by their modes in words."""
    load = _single(outputs, "greatest_load")
    resistance = outputs["shear_resistance"] = working.step(
        "shear_resistance",
        rivets.fastener_resistance,
        source="en-1993-1-3",
        least_load=given["shear_load"],
        partial_factor=given["partial_factor"],
    )
    sheared = outputs["shear_use"] = _use("shear_use", load, resistance, working)
    if "pull" not in given:
        working.limit(
            "shear_use",
            most=1.0,
            says=said("The most loaded fastener [may be|is] sheared."),
            together="fastener",
        )
        return {said("shear of the fastener"): sheared}
    bears = working.step(
        "tension resistance",
        rivets.fastener_resistance,
        source="en-1993-1-3",
        least_load=given["tension_load"],
        partial_factor=given["partial_factor"],
    )
    pulled = outputs["tension_use"] = _use("tension_use", given["pull"], bears, working)
    both = outputs["combined_use"] = working.step(
        "combined_use", rivets.combined_use, source="en-1993-1-8", shear_use=sheared, tension_use=pulled
    )
    working.limit(
        "combined_use",
        most=1.0,
        says=said("The worst fastener [may be|is] torn off, sheared and pulled at once."),
        together="fastener",
    )
    working.remark(
        said(
            "Whether the head of a fastener is pulled through a thin sheet is not in it: the standard leaves "
            "that to tests. Put a washer or a strip under it."
        )
    )
    return {said("shear and pull of the fastener"): both}


def _bearing_factor(given: Mapping[str, Any], index: int, key: str, working: Working) -> tuple[float, str]:
    """The bearing factor of a sheet by the fastener's own form, and its source."""
    thickness = given["sheets"][index]["thickness"]
    name = f"bearing factor of {key}"
    if given["fastener"] == "blind_rivet":
        thicker = max(row["thickness"] for row in given["sheets"])
        factor = working.step(
            name,
            rivets.blind_rivet_factor,
            source="en-1993-1-3",
            thickness=thickness,
            thicker=thicker,
            diameter=given["diameter"],
        )
        return factor, "en-1993-1-3"
    if given["fastener"] == "bolt":
        factor = working.step(name, rivets.bolt_factor, source="env-1993-1-3", thickness=thickness)
        return factor, "env-1993-1-3"
    return working.step(name, rivets.aircraft_factor, source="ac-43-13-1b"), "ac-43-13-1b"


_PER_SHEET = (
    "bearing_resistance",
    "bearing_resistance_aircraft",
    "edge_resistance",
    "bearing_use",
    "bearing_use_aircraft",
    "edge_use",
    "net_resistance",
    "net_use",
    "least_thickness",
    "edge_in_diameters",
)
_THICKNESSES: Mapping[str, Callable[..., float]] = {
    "blind_rivet": rivets.thickness_for_blind_rivet,
    "solid_rivet": rivets.thickness_by_aircraft,
}


def _sheet_uses(
    given: Mapping[str, Any], number: int, working: Working, outputs: Outputs
) -> dict[Said, float]:
    """Uses of the sheets, by their modes in words."""
    made: dict[str, dict[str, float]] = {name: {} for name in _PER_SHEET}
    uses: dict[Said, float] = {}
    load = _single(outputs, "greatest_load")
    for index, key in enumerate(row_keys("sheets", given["sheets"])):
        factor = _bearing(given, index, key, load, working, made)
        _edge(given, index, key, load, factor, working, made)
        uses[said("bearing of {sheet}", sheet=key)] = made["bearing_use"][key]
        uses[said("tearing out at the edge of {sheet}", sheet=key)] = made["edge_use"][key]
        if "width" in given:
            _net(given, index, key, number, working, made)
            uses[said("net section of {sheet}", sheet=key)] = made["net_use"][key]
    outputs.update({name: by_key for name, by_key in made.items() if by_key})
    return uses


def _bearing(
    given: Mapping[str, Any],
    index: int,
    key: str,
    load: float,
    working: Working,
    made: dict[str, dict[str, float]],
) -> float:
    """Bearing by the fastener's own form, whose factor is returned, and by the handbook's."""
    row = given["sheets"][index]
    factor, source = _bearing_factor(given, index, key, working)
    forms = (
        ("", factor, source),
        (
            "_aircraft",
            working.step(
                f"bearing factor of {key} by the handbook", rivets.aircraft_factor, source="ac-43-13-1b"
            ),
            "ac-43-13-1b",
        ),
    )
    says = {
        "": said("A hole of the sheet [may be|is] drawn long: it bears less than the fastener brings."),
        "_aircraft": said(
            "By the aircraft handbook's bearing stress a hole of the sheet [may be|is] drawn long."
        ),
    }
    for ending, by, from_source in forms:
        resistance = made[f"bearing_resistance{ending}"][key] = working.step(
            f"bearing_resistance{ending}.{key}",
            rivets.bearing_resistance,
            source=_BEARING if from_source != "ac-43-13-1b" else from_source,
            bearing_factor=by,
            tensile_strength=row["tensile_strength"],
            diameter=given["diameter"],
            thickness=row["thickness"],
            partial_factor=given["partial_factor"],
        )
        name = f"bearing_use{ending}"
        made[name][key] = _use(f"{name}.{key}", load, resistance, working)
        working.limit(name, key, most=1.0, says=says[ending], together=name)
    return factor


def _edge(
    given: Mapping[str, Any],
    index: int,
    key: str,
    load: float,
    factor: float,
    working: Working,
    made: dict[str, dict[str, float]],
) -> None:
    row = given["sheets"][index]
    borne = {
        "tensile_strength": row["tensile_strength"],
        "edge_distance": row["edge_distance"],
        "thickness": row["thickness"],
        "partial_factor": given["partial_factor"],
    }
    if given["fastener"] == "bolt":
        resistance = working.step(
            f"edge_resistance.{key}",
            rivets.edge_resistance_of_bolt,
            source="en-1993-1-3",
            bearing_factor=factor,
            **borne,
        )
    else:
        resistance = working.step(
            f"edge_resistance.{key}", rivets.edge_resistance, source="en-1993-1-3", **borne
        )
    made["edge_resistance"][key] = resistance
    made["edge_use"][key] = _use(f"edge_use.{key}", load, resistance, working)
    working.limit(
        "edge_use",
        key,
        most=1.0,
        says=said("A fastener [may tear|tears] out to the edge."),
        together="edge_use",
    )
    made["least_thickness"][key] = _least_thickness(given, row, key, load, working)
    made["edge_in_diameters"][key] = working.step(
        f"edge_in_diameters.{key}",
        rivets.in_diameters,
        source="army-rows",
        distance=row["edge_distance"],
        diameter=given["diameter"],
    )
    working.limit(
        "edge_in_diameters",
        key,
        least=_EDGE,
        says=said(
            "The fasteners [may be|are] nearer to an edge than 2 diameters, the handbooks' rule; EN "
            "1993-1-3 takes 1.5."
        ),
        together="edge_in_diameters",
    )


def _least_thickness(
    given: Mapping[str, Any], row: Mapping[str, Any], key: str, load: float, working: Working
) -> float:
    """Of a sheet beside a like one, for bearing and for its edge."""
    borne = {
        "load": load,
        "tensile_strength": row["tensile_strength"],
        "partial_factor": given["partial_factor"],
    }
    if given["fastener"] == "bolt":
        width = working.step(
            f"width of {key} that bears",
            rivets.bearing_width,
            source="en-1993-1-3",
            diameter=given["diameter"],
            edge_distance=row["edge_distance"],
        )
        return working.step(
            f"least_thickness.{key}",
            rivets.thickness_for_bolt,
            source="en-1993-1-3",
            bearing_width=width,
            **borne,
        )
    needed = working.step(
        f"thickness of {key} for bearing",
        _THICKNESSES[given["fastener"]],
        source="ac-43-13-1b" if given["fastener"] == "solid_rivet" else "en-1993-1-3",
        diameter=given["diameter"],
        **borne,
    )
    return working.step(
        f"least_thickness.{key}",
        rivets.least_thickness,
        source="en-1993-1-3",
        bearing_thickness=needed,
        edge_distance=row["edge_distance"],
        **borne,
    )


def _net(
    given: Mapping[str, Any],
    index: int,
    key: str,
    number: int,
    working: Working,
    made: dict[str, dict[str, float]],
) -> None:
    """The section between the holes, which bears all of the force."""
    row = given["sheets"][index]
    across = float(given["holes_across"])
    factor = 1.0
    if given["fastener"] == "bolt":
        factor = working.step(
            f"factor of the net section of {key}",
            rivets.net_factor,
            source="env-1993-1-3",
            across=across,
            number=float(number),
            hole_diameter=given["hole_diameter"],
            width=given["width"],
        )
    resistance = made["net_resistance"][key] = working.step(
        f"net_resistance.{key}",
        rivets.net_resistance,
        source="env-1993-1-3",
        net_factor=factor,
        width=given["width"],
        across=across,
        hole_diameter=given["hole_diameter"],
        thickness=row["thickness"],
        tensile_strength=row["tensile_strength"],
        partial_factor=given["partial_factor"],
    )
    made["net_use"][key] = _use(f"net_use.{key}", given["force"], resistance, working)
    working.limit(
        "net_use",
        key,
        most=1.0,
        says=said("The sheet [may tear|tears] from hole to hole."),
        together="net_use",
    )


def _needed(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """How many fasteners the force wants, by the weakest of all at one of them."""
    least = _single(outputs, "shear_resistance")
    for name in ("bearing_resistance", "edge_resistance"):
        for key, resistance in _keyed(outputs, name).items():
            least = working.step(
                f"least resistance up to {name} of {key}",
                rivets.least_of_two,
                source="mechanics",
                first_resistance=least,
                other_resistance=resistance,
            )
    outputs["fasteners_needed"] = working.step(
        "fasteners_needed",
        rivets.fasteners_needed,
        source="mechanics",
        force=given["force"],
        least_resistance=least,
    )


# --- rules -------------------------------------------------------------------------------------


def _nearest(places: Mapping[str, tuple[float, float]]) -> float | None:
    """The least distance of two fasteners; None where there is one."""
    points = list(places.values())
    return min(
        (
            hypot(one[0] - other[0], one[1] - other[1])
            for index, one in enumerate(points)
            for other in points[:index]
        ),
        default=None,
    )


def _rules(
    given: Mapping[str, Any],
    places: Mapping[str, tuple[float, float]],
    working: Working,
    outputs: Outputs,
) -> None:
    diameter = given["diameter"]
    for name, times, source in (
        ("least_edge", _EDGE, "army-rows"),
        ("least_pitch", _PITCH, "navy-rows"),
        ("most_pitch", _MOST, "cox"),
    ):
        outputs[name] = working.step(
            name, rivets.rule_distance, source=source, diameters=times, diameter=diameter
        )
    nearest = _nearest(places)
    if nearest is not None:
        _pitch_rules(given, nearest, working, outputs)
    thickest = max(row["thickness"] for row in given["sheets"])
    outputs["diameter_in_thicknesses"] = working.step(
        "diameter_in_thicknesses",
        rivets.diameter_in_thicknesses,
        source="navy-rows",
        diameter=diameter,
        thicker=thickest,
    )
    if given["fastener"] != "bolt":
        working.limit(
            "diameter_in_thicknesses",
            least=1.0,
            most=3.0,
            says=said(
                "A rivet [may be|is] thinner than the thicker sheet or thicker than three of it, beyond the "
                "Navy's rule."
            ),
        )
    _fit(given, working, outputs)


def _pitch_rules(given: Mapping[str, Any], nearest: float, working: Working, outputs: Outputs) -> None:
    """Rules about how near to each other, and how far."""
    if nearest <= given["hole_diameter"]:
        raise InputsConflict(
            "places" if "places" in given else "pitch",
            f"{1000 * nearest:g} mm between two fasteners",
            f"more than a hole, {1000 * given['hole_diameter']:g} mm",
            help="two holes run into each other",
        )
    if given["rows"] > 1 and "row_pitch" in given:
        outputs["row_pitch_in_diameters"] = _in_diameters(
            "row_pitch_in_diameters", given["row_pitch"], given, working
        )
        working.limit(
            "row_pitch_in_diameters",
            least=_ROWS,
            says=said("Two rows [may be|are] nearer than 2.5 diameters, the handbooks' rule."),
        )
    pitch = nearest if "places" in given else given["pitch"] if given["count"] > 1 else None
    if pitch is None:
        return
    outputs["pitch_in_diameters"] = _in_diameters("pitch_in_diameters", pitch, given, working)
    working.limit(
        "pitch_in_diameters",
        least=_PITCH,
        most=_MOST,
        says=said(
            "The fasteners [may stand|stand] nearer than 3 or further apart than 10 diameters, the "
            "handbooks' rules."
        ),
    )
    if pitch > _USUAL * given["diameter"]:
        working.remark(
            said(
                "The pitch is more than the usual 4 to 8 diameters: the sheets gape between the fasteners, "
                "and a seam that has to be tight is not."
            )
        )
    if "compression" in given:
        outputs["buckling_pitch"] = working.step(
            "buckling_pitch",
            rivets.buckling_pitch,
            source="flabel",
            thickness=min(row["thickness"] for row in given["sheets"]),
            elastic_modulus=given["elastic_modulus"],
            compression=given["compression"],
            fixity=_FIXITY[given["fastener"]],
        )
        working.limit(
            "buckling_pitch",
            least=pitch,
            says=said("The thinner sheet [may buckle|buckles] between two fasteners."),
        )


def _in_diameters(name: str, distance: float, given: Mapping[str, Any], working: Working) -> float:
    return working.step(
        name, rivets.in_diameters, source="navy-rows", distance=distance, diameter=given["diameter"]
    )


def _fit(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Grip and hole."""
    first, second = (row["thickness"] for row in given["sheets"])
    outputs["grip"] = working.step(
        "grip", rivets.grip, source="mechanics", thickness=first, other_thickness=second
    )
    if "grip_least" in given or "grip_most" in given:
        working.limit(
            "grip",
            least=given.get("grip_least"),
            most=given.get("grip_most"),
            says=said("The sheets together [may lie|lie] outside of the fastener's grip."),
        )
    outputs["hole_clearance"] = working.step(
        "hole_clearance",
        rivets.hole_clearance,
        source="iso-15977",
        hole_diameter=given["hole_diameter"],
        diameter=given["diameter"],
    )
    if given["fastener"] == "blind_rivet":
        working.limit(
            "hole_clearance",
            most=0.0002 + 1e-9,
            says=said(
                "The holes [may be|are] more than 0.2 mm wider than the rivets, which do not fill them."
            ),
        )


def _single(outputs: Outputs, name: str) -> float:
    value = outputs[name]
    assert isinstance(value, float)
    return value


def _keyed(outputs: Outputs, name: str) -> dict[str, float]:
    value = outputs[name]
    assert isinstance(value, dict)
    return value


_BARS = 12


def chart(cases: Mapping[str, CaseView]) -> BarSpec:
    """The load of each fastener, of the most loaded ones where there are many."""
    bars: list[Bar] = []
    markers: dict[float, str] = {}
    for style, (name, case) in enumerate(cases.items()):
        loads = case.outputs["load"]
        shown = sorted(loads, key=lambda key: -loads[key])[:_BARS]
        for key in (one for one in loads if one in shown):
            sure = case.uncertainty("load", key)
            bars.append(
                Bar(
                    label=f"{key}, {name}" if name else key,
                    value=loads[key],
                    low=max(loads[key] - sure, 0.0),
                    high=loads[key] + sure,
                    style=style,
                )
            )
        markers[case.outputs["shear_resistance"]] = "shear resistance"
    return BarSpec(
        title="Loads of the fasteners",
        description="The load of each fastener in the plane of the sheets, by its key, and what one of them "
        f"bears in shear. Of a large pattern the {_BARS} most loaded are shown.",
        x=Axis("load", "force", "N", from_zero=True),
        bars=tuple(bars),
        markers=tuple(Marker(label, x=at) for at, label in sorted(markers.items())),
    )
