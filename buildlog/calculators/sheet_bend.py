"""A part of sheet as flanges and bends: its flat, where each bend lies, and what may go wrong.

**The flanges** stand in a row, from the datum edge on, with a bend between each two: `bends` has one row
less than `flanges`. `measured_to` says what their lengths run to, and it is the same for all of them:

| `measured_to` | a length runs | setback of a bend of α, radius r, thickness s |
|---|---|---|
| `outside` | to where a rule reads the outside, as in DIN 6935 | (r + s) tan(α/2); r + s beyond 90° |
| `sharp` | to the sharp corner where the outer faces would meet | (r + s) tan(α/2) |
| `inside` | to the sharp corner where the inner faces would meet | r tan(α/2) |

`angle` is what the sheet is bent by: 90° for a square corner, 0° for none. `direction` is as seen with the
same face up all the time. The bend lines run over the whole `width`.

**Two forms** say how much sheet goes into a bend, and both are shown with their difference. By DIN 6935 the
neutral axis lies k/2 of the thickness from the inside, with k = 0.65 + 0.5 lg(r/s), and 1 beyond r/s = 5;
the standard is for steel. The other form has the axis at K thicknesses, whatever the radius: your
`k_factor`, or the one that a test strip gives, or else 0.447, which is what aircraft mechanics lay out by.
The flat is cut by your k-factor or your strip where there is one, otherwise by DIN 6935.

**The test strip** is the best of them, and costs a strip: cut it (`strip_length`), bend it once by
`strip_angle` over the same tool, measure both legs to the outside (`strip_leg`, `strip_other_leg`) and the
inside radius (`strip_radius`, with a radius gauge or a drill shank), and the block works K back with your ±.
A k-factor that was not measured is taken to be known to ± 0.05, and DIN 6935's as well: tables of shops go
from 0.33 to 0.45 for one and the same bend (common practice, no source).

**The least inside radius** of a bend, below which it may crack, by material, thickness and angle:

| material | source of the radii |
|---|---|
| 5052, 5754, 6082 | EN 485-2, as suppliers publish it, columns for 90° and for 180° |
| 1050A-H14 | EN 485-2, from memory |
| 1100 | table of the Aluminum Association, January 2005 |
| DC01 | DIN 6935 (1975-10), steel of up to 390 MPa |
| titanium grade 2 | bend test of ASTM B265, to 105°, as a supplier publishes it |
| stainless steel 304 | common practice, no source: 1 thickness annealed; half hard 2, above 1.27 mm 3 |

They are for a bend line across the direction of rolling. For one `along` it, or where the `grain` is
unknown, steel takes the row of the next thickness (DIN 6935), and aluminium and stainless steel half as much
again (common practice, no source); titanium is tested both ways. Where the source has no value beyond 90°,
none is told. `least_radius` of your supplier's data sheet goes before all of these. A `material` of `other`
wants `yield_strength`, `elastic_modulus`, `density` and `least_radius`.

**Springback.** An elastic, ideally plastic sheet springs from the radius R_i to R_f by R_i/R_f = 4 x³ − 3 x
+ 1, x = R_i Y/(E s) (Gardiner, 1957), and its middle keeps its length. So the block tells the radius of the
tool and the angle to fold to. It is a guess to start from: real sheet hardens and was rolled. Against the
springback factors of a book of tables it is within half of itself and 0.03 rad for mild steel and aluminium
up to radii of 40 thicknesses, but annealed stainless steel springs back two to four times as far; and the
yield strength, where you give none, is the middle of the standard's range or a fifth above its least, ± 25
%. Fold a trial piece, measure, correct.

**The folder.** With `bar_height` and the rest, the block looks for an order of folds: it puts the section of
the part into the machine, clamped on either side of the bend and turned over for a bend down, and swings the
flap up step by step. What would run into the clamping bar, the bed, the leaf or the part itself does not go.
All orders are tried, so that “no order” means that there is none. It knows the section alone: the machine is
as long as the part, and the part can be slid in from the end. A bend begins at its tangent line, where the
flat of the bar has to end; a round nose stands out from there by its radius. So draw a line to sight by, one
inside radius from the tangent line on the clamped side into the bend, and bring it under the nose's foremost
edge (aircraft mechanics call it the sight line). **The least flange** is the straight part that
the machine needs: `least_straight` of its maker, half the `vee_width` (from corner to shoulder), or, with
neither, two thicknesses (common practice, no source).

**Holes** are told by their flange, the end of it that they are measured from (`from_end`: `first` is the end
nearer the datum edge), the `distance` from there, as `measured_to` says, and the distance `across` from the
lower edge. A rim nearer than two thicknesses to a tangent line is drawn out of round (common practice, no
source).

**Rows of rivets** (`rivet_rows`) are laid out evenly along a free edge: that of the first flange, of the
last one or of a side. Their holes are drawn with the line through their middles, pitch, edge and end
distance as results. A hole in a bend is refused; the rules, 2 diameters or more to an edge and 3 to 10
between rivets, are those of the U.S. Army's and of aircraft handbooks. What the rivets bear is the kind
`rivet_line`.

**Side flanges** stand on one flange (`sides_on`), at its `lower` edge, its `upper` one or both, and their
bend lines cross the others: a tray is a floor with flanges at its ends and two `sides`. `width` then runs to
where `measured_to` says at those edges, too, and the neighbours end at the tangent lines of the sides. In
each corner where two bends meet a relief hole is drilled first, at the crossing of their tangent lines, or
the corner tears: by a handbook of aircraft mechanics at least 1/8 in, above 0.064 in of thickness 3/16 in,
or your `relief_diameter`. The grain meets the sides the other way round. `finger_room` is what the folder's
fingers have between the flanges that stand by then, and the fingers have to be as tall as those, or what
carries them is in the way: shallow trays alone. Otherwise such a side is brought up round a loose bar.

**A score** along the bend line is a shop's way to get a sharp corner, and the reason why it cracks: the line
bears only (s_r/s)² of the moment, so that the bend gathers there, in a hinge about as long as the thickness
left, and its face is strained by α/2 (own estimate, half of it either way), however wide the tool is.

```yaml
id: tray-side
kind: sheet_bend
inputs:
  material: 5754-H22
  thickness: 1.5 ± 0.02 mm
  measured_to: outside
  grain: across
  width: 180 mm
  flanges:
    - {name: lip, length: 15 mm}
    - {name: wall, length: 80 mm}
    - {name: floor, length: 120 mm}
  bends:
    - {name: top, angle: 90°, inside_radius: 2.5 mm, direction: up}
    - {name: foot, angle: 90°, inside_radius: 2.5 mm, direction: up}
  holes:
    - {name: drain, flange: floor, from_end: last, distance: 30 mm, across: 90 mm, diameter: 11 mm}
  bar_height: 45 mm
  bar_depth: 60 mm
  bar_face: 45°
  bed_depth: 90 mm
  leaf_width: 12 mm
cases:
  din: {}
  tray:
    sides_on: floor
    sides:
      - {name: left, edge: lower, length: 30 mm, angle: 90°, inside_radius: 2.5 mm, direction: up}
      - {name: right, edge: upper, length: 30 mm, angle: 90°, inside_radius: 2.5 mm, direction: up}
  strip:
    strip_length: 100.0 ± 0.03 mm
    strip_leg: 51.5 ± 0.03 mm
    strip_other_leg: 51.6 ± 0.03 mm
    strip_radius: 2.5 ± 0.05 mm
    score_depth: 0.4 mm
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, did_you_mean
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
    Table,
    Text,
    Working,
    given_together,
)
from buildlog.kinds.keys import address_key, row_keys
from buildlog.kinds.models import rivet_rows
from buildlog.kinds.models.rivet_rows import Edge
from buildlog.kinds.pattern import Dimension, Hole, Line, LineKind, Note, Pattern
from buildlog.physics import bending, folder, sheet_metals
from buildlog.said import Said, listed, said

KIND = "sheet_bend"

_OTHER = "other"

_AXIS = Doubt(
    name="neutral_axis",
    about="where the neutral axis lies in a bend that was not tried on a strip",
    source="axis-spread",
    formula="aircraft-mechanics",
    absolute=0.05,
    unit="1",
    range="inside radii up to five thicknesses",
)
_CORRECTION = Doubt(
    name="correction_factor",
    about="the correction factor k of DIN 6935, which is twice the neutral axis's place",
    source="axis-spread",
    formula="din-6935",
    absolute=0.1,
    unit="1",
    range="steel; other sheet may be further off",
)
_GUESSED_K = Doubt(
    name="guessed_k_factor",
    about="a k-factor that was not measured",
    source="axis-spread",
    absolute=0.05,
    unit="1",
)
_STRENGTH = Doubt(
    name="yield_strength_of_sheet",
    about="a yield strength by a standard's range, of sheet that was not tested",
    source="practice",
    relative=0.25,
)
_SPRINGBACK = Doubt(
    name="springback",
    about="springback of a sheet that hardens and was rolled, by a formula for one that does not",
    source="springback-factors",
    formula="gardiner",
    relative=0.5,
    absolute=0.03,
    unit="rad",
    range="aluminium and mild steel, inside radii up to 40 thicknesses; stainless steel springs back two to "
    "four times as far",
)
_HINGE = Doubt(
    name="hinge_of_a_score",
    about="a hinge that is as long as the sheet is thick under the score",
    source="practice",
    formula="geometry",
    relative=0.5,
)

_FLANGE = Number(dimension="length", unit="mm", low=2, high=3000, why="parts of cars, from sheet")
_RADIUS = Number(dimension="length", unit="mm", low=0.05, high=200, why="from a sharp tool to a roll")
_ANGLE = Number(dimension="angle", unit="°", low=2, high=150, why="from a crease to what a folder closes to")
_MACHINE = Number(dimension="length", unit="mm", low=2, high=500, why="folders for sheet")

_NAME = Input(name="name", form=Text(24), about="what figures in the text call it", required=False)

INPUTS = (
    Input(
        name="material",
        form=Choice(
            {
                **{name: metal.words for name, metal in sheet_metals.METALS.items()},
                _OTHER: "any other; say how strong, stiff and heavy it is, and how tightly it may be bent",
            }
        ),
        about="alloy and temper",
    ),
    Input(
        name="thickness",
        form=Number(dimension="length", unit="mm", low=0.2, high=6, why="sheet that is folded by hand"),
        about="thickness as measured",
    ),
    Input(
        name="grain",
        title="direction of the bend lines to the grain",
        form=Choice(
            {
                "across": "the bend lines run across the direction of rolling",
                "along": "they run along it",
                "unknown": "nobody knows",
            }
        ),
        about="the grain is the direction of rolling, and shows as fine lines",
        default="unknown",
        default_source="what is not known counts as along the grain, which is the worse",
    ),
    Input(
        name="measured_to",
        title="ends of the lengths",
        form=Choice(
            {
                "outside": "to where a rule reads the outside, as DIN 6935 does",
                "sharp": "to the sharp corner where the outer faces would meet",
                "inside": "to the sharp corner where the inner faces would meet",
            }
        ),
        about="what the lengths of the flanges run to at a bend",
    ),
    Input(
        name="flanges",
        form=Table(
            (
                _NAME,
                Input(name="length", form=_FLANGE, about="from edge or bend to bend, as measured_to says"),
            ),
            2,
            7,
        ),
        about="from the datum edge on",
    ),
    Input(
        name="bends",
        form=Table(
            (
                _NAME,
                Input(name="angle", form=_ANGLE, about="what the sheet is bent by: 90° for a square corner"),
                Input(name="inside_radius", form=_RADIUS, about="inside radius when it has sprung back"),
                Input(
                    name="direction",
                    form=Choice({"up": "the flange after it rises", "down": "it falls"}),
                    about="with the same face up all the time",
                ),
            ),
            1,
            6,
        ),
        about="between the flanges, one fewer than they are",
    ),
    Input(
        name="width",
        form=Number(dimension="length", unit="mm", low=2, high=3000, why="sheet"),
        about="length of the bend lines",
    ),
    Input(
        name="holes",
        form=Table(
            (
                _NAME,
                Input(
                    name="flange",
                    form=Text(24),
                    about="name of the flange it is in; its number, where it has no name",
                ),
                Input(
                    name="from_end",
                    title="end of the flange",
                    form=Choice(
                        {
                            "first": "from the end of the flange nearer the datum edge",
                            "last": "from its other end",
                        }
                    ),
                    about="which end of the flange the distance is from",
                ),
                Input(
                    name="distance",
                    form=Number(dimension="length", unit="mm", low=0, high=3000, why="flanges"),
                    about="from there to its middle, as measured_to says",
                ),
                Input(
                    name="across",
                    title="distance from the lower edge",
                    form=Number(dimension="length", unit="mm", low=0, high=3000, why="sheet"),
                    about="from the lower edge to its middle, along the bend lines",
                ),
                Input(
                    name="diameter",
                    form=Number(dimension="length", unit="mm", low=0.5, high=500, why="drills and cutters"),
                    about="diameter",
                ),
            ),
            1,
            40,
        ),
        about="holes that are cut in the flat",
        required=False,
    ),
    rivet_rows.rows_input(
        "flange",
        "name of the first flange, of the last one or of a side, along its free edge",
        "rows of rivet holes along free edges, laid out evenly",
    ),
    Input(
        name="sides",
        form=Table(
            (
                _NAME,
                Input(
                    name="edge",
                    form=Choice(
                        {"lower": "at the edge that across is measured from", "upper": "at the other one"}
                    ),
                    about="which edge of the flange it stands at",
                ),
                Input(name="length", form=_FLANGE, about="from bend to edge, as measured_to says"),
                Input(name="angle", form=_ANGLE, about="what the sheet is bent by"),
                Input(name="inside_radius", form=_RADIUS, about="inside radius when it has sprung back"),
                Input(
                    name="direction",
                    form=Choice({"up": "it rises", "down": "it falls"}),
                    about="with the same face up all the time",
                ),
            ),
            1,
            2,
        ),
        about="side flanges of one flange, whose bend lines cross the others",
        required=False,
    ),
    Input(
        name="sides_on",
        title="flange with the sides",
        form=Text(24),
        about="name of the flange that the sides stand on; its number, where it has no name",
        required=False,
    ),
    Input(
        name="relief_diameter",
        form=Number(dimension="length", unit="mm", low=0.5, high=30, why="drills"),
        about="diameter of the relief holes in the corners, instead of the handbook's",
        required=False,
    ),
    Input(
        name="k_factor",
        form=Number(dimension="ratio", unit="", low=0.2, high=0.6, why="bends that shops have measured"),
        about="distance of the neutral axis from the inside, in thicknesses; or a test strip",
        required=False,
        doubt=_GUESSED_K,
    ),
    *(
        Input(name=name, form=form, about=about, required=False)
        for name, form, about in (
            ("strip_length", _FLANGE, "length of a test strip when flat"),
            ("strip_leg", _FLANGE, "one leg of it, bent, to the outside"),
            ("strip_other_leg", _FLANGE, "its other leg, to the outside"),
            ("strip_radius", _RADIUS, "its inside radius, as measured"),
        )
    ),
    Input(
        name="strip_angle",
        form=Number(dimension="angle", unit="°", low=20, high=90, why="legs are measured to the outside"),
        about="angle that it was bent by, as measured",
        default="90°",
        default_source="the usual test strip",
    ),
    *(
        Input(name=name, form=form, about=about, required=False)
        for name, form, about in (
            (
                "least_radius",
                Number(dimension="length", unit="mm", low=0, high=100, why="data sheets"),
                "least inside radius by the supplier's data sheet, instead of the table's",
            ),
            (
                "yield_strength",
                Number(
                    dimension="pressure", unit="MPa", low=10, high=2000, why="soft aluminium to spring steel"
                ),
                "0.2 % proof strength, by the certificate or a test, instead of the table's",
            ),
            (
                "elastic_modulus",
                Number(dimension="pressure", unit="GPa", low=10, high=400, why="metals"),
                "modulus of elasticity, instead of the table's",
            ),
            (
                "density",
                Number(dimension="density", unit="kg/m³", low=1000, high=20_000, why="metals"),
                "density, instead of the table's",
            ),
            (
                "score_depth",
                Number(dimension="length", unit="mm", low=0.01, high=6, why="less than the sheet"),
                "depth of a score along the bend lines, if there is to be one",
            ),
            (
                "least_straight",
                Number(dimension="length", unit="mm", low=0.5, high=200, why="folders and presses"),
                "straight part beside a bend that the machine needs, by its maker",
            ),
            (
                "vee_width",
                Number(dimension="length", unit="mm", low=2, high=200, why="vees for sheet"),
                "opening of the vee, if the bends are pressed",
            ),
            ("bar_height", _MACHINE, "height of the folder's clamping bar over the sheet"),
            ("bar_depth", _MACHINE, "depth of the clamping bar, from its nose to its back"),
            (
                "bar_face",
                Number(dimension="angle", unit="°", low=20, high=90, why="noses of clamping bars"),
                "angle of the bar's front face to the sheet",
            ),
            ("bed_depth", _MACHINE, "depth of the bed behind the bend line"),
            ("leaf_width", _MACHINE, "how far the leaf reaches along the flap"),
            ("revision", Text(24), "of the drawing, as its pattern tells it"),
        )
    ),
)

_STRIP = ("strip_length", "strip_leg", "strip_other_leg", "strip_radius")
_FOLDER = ("bar_height", "bar_depth", "bar_face", "bed_depth", "leaf_width")
_SCORE = ("score_depth",)
_SIDES = ("sides", "sides_on")
_HOLES = ("holes",)


def _by(key: str, of: str, name: str, title: str, unit: str = "mm", about: str = "", **more: Any) -> Output:
    dimension = {"mm": "length", "°": "angle", "%": "ratio", "": "ratio"}[unit]
    return Output(name=name, title=title, dimension=dimension, unit=unit, about=about, key=key, of=of, **more)


def _bend(name: str, title: str, unit: str = "mm", about: str = "", **more: Any) -> Output:
    return _by("bend", "bends", name, title, unit, about, **more)


OUTPUTS = (
    Output(
        name="bend_order",
        title="order of the folds",
        dimension="text",
        unit="",
        needs=_FOLDER,
        leading=True,
    ),
    Output(
        name="flat_length",
        title="length of the flat",
        dimension="length",
        unit="mm",
        about="by the test strip or the k-factor where there is one, otherwise by DIN 6935",
    ),
    Output(
        name="flat_length_din",
        title="length of the flat by DIN 6935",
        dimension="length",
        unit="mm",
    ),
    Output(
        name="flat_length_neutral",
        title="length of the flat by the k-factor",
        dimension="length",
        unit="mm",
    ),
    Output(
        name="flat_length_difference",
        title="difference of the two lengths of the flat",
        dimension="length",
        unit="mm",
        about="k-factor less DIN 6935",
        is_change=True,
    ),
    Output(
        name="k_factor_used",
        title="k-factor of the sheet",
        dimension="ratio",
        unit="",
        about="distance of the neutral axis from the inside, in thicknesses: measured, given, or as aircraft "
        "mechanics have it",
        decimals=3,
    ),
    Output(
        name="mass",
        title="mass of the part",
        dimension="mass",
        unit="kg",
        about="without its holes",
        decimals=3,
    ),
    _bend("bend_line", "middle of the bend in the flat", about="from the datum edge"),
    _bend("tangent_before", "first tangent line of the bend in the flat", about="from the datum edge"),
    _bend("tangent_after", "second tangent line of the bend in the flat", about="from the datum edge"),
    _bend(
        "bend_allowance",
        "bend allowance by the k-factor",
        about="flat sheet that goes into the bend, between its tangent lines",
        decimals=2,
    ),
    _bend("bend_allowance_din", "bend allowance by DIN 6935", decimals=2),
    _bend(
        "allowance_difference",
        "difference of the two bend allowances",
        about="k-factor less DIN 6935",
        decimals=2,
        is_change=True,
    ),
    _bend(
        "bend_deduction",
        "bend deduction by the k-factor",
        about="what the bend takes off the sum of the two lengths, as they are measured; below 0 it adds",
        decimals=2,
    ),
    _bend("bend_deduction_din", "bend deduction by DIN 6935", decimals=2),
    _bend(
        "correction_factor",
        "correction factor k of DIN 6935",
        "",
        "half of it is a k-factor",
        decimals=3,
    ),
    _bend(
        "setback",
        "setback of the bend",
        about="from a tangent line to where the lengths are measured to",
        decimals=2,
    ),
    _bend(
        "least_inside_radius", "least inside radius of the bend", about="a tighter one may crack", decimals=2
    ),
    _bend(
        "radius_reserve",
        "reserve of the inside radius",
        about="over the least one",
        decimals=2,
    ),
    _bend("outer_strain", "strain of the outer face of the bend", "%"),
    _bend("fold_angle", "angle to fold to", "°", "so that it springs back to the one wanted", decimals=1),
    _bend("overbend", "angle that the bend springs back by", "°", decimals=1),
    _bend("tool_radius", "inside radius of the bend under load", about="the radius of the tool", decimals=2),
    _bend("straight_needed", "least straight part beside the bend", about="that the machine can hold"),
    _by(
        "flange",
        "flanges",
        "straight_length",
        "straight part of the flange",
        about="between tangent lines and edges",
    ),
    _by(
        "hole",
        "holes",
        "hole_place",
        "place of the hole in the flat",
        about="from the datum edge",
        needs=_HOLES,
    ),
    _by(
        "hole",
        "holes",
        "hole_across",
        "place of the hole across the flat",
        about="from the lower edge of the flat, with its side",
        needs=_HOLES,
    ),
    _by(
        "hole",
        "holes",
        "hole_clearance",
        "distance from the rim of the hole to the bend",
        about="to the nearest tangent line",
        needs=_HOLES,
    ),
    *rivet_rows.OUTPUTS,
    Output(
        name="flat_width",
        title="width of the flat",
        dimension="length",
        unit="mm",
        about="with its side flanges",
    ),
    _by(
        "side",
        "sides",
        "side_bend_line",
        "middle of the side's bend in the flat",
        about="inside of the edge that the width is measured to; below 0 outside of it",
        needs=_SIDES,
    ),
    _by(
        "side",
        "sides",
        "side_reach",
        "reach of the side's flat beyond the width",
        about="from the edge that the width is measured to",
        needs=_SIDES,
    ),
    _by(
        "side",
        "sides",
        "side_fold_angle",
        "angle to fold the side to",
        "°",
        "so that it springs back to the one wanted",
        decimals=1,
        needs=_SIDES,
    ),
    _by(
        "side",
        "sides",
        "side_radius_reserve",
        "reserve of the side's inside radius",
        about="over the least one; the grain lies the other way than for the other bends",
        decimals=2,
        needs=_SIDES,
    ),
    Output(
        name="relief_hole_diameter",
        title="diameter of the relief holes in the corners",
        dimension="length",
        unit="mm",
        about="each centred where the tangent lines of two bends cross",
        needs=_SIDES,
    ),
    Output(
        name="finger_room",
        title="room for the folder's fingers between the bends",
        dimension="length",
        unit="mm",
        about="on the flange with the sides, which are folded with fingers no wider than this together",
        needs=_SIDES,
    ),
    Output(
        name="thickness_left",
        title="thickness left under the score",
        dimension="length",
        unit="mm",
        decimals=2,
        needs=_SCORE,
    ),
    Output(
        name="bending_strength_left",
        title="bending strength left at the score",
        dimension="ratio",
        unit="%",
        about="share of the moment that the sheet bears beside it",
        decimals=0,
        needs=_SCORE,
    ),
    _bend("score_strain", "strain at the bottom of the score", "%", decimals=0, needs=_SCORE),
    _bend(
        "score_strain_rise",
        "rise of the strain by the score",
        "",
        "over the strain of the outer face without one",
        needs=_SCORE,
    ),
    Output(
        name="folding",
        title="fold of the bend",
        dimension="text",
        unit="",
        about="when it is folded, which side is clamped, and what is in its way",
        key="bend",
        of="bends",
        needs=_FOLDER,
    ),
)

SOURCES = (
    Source(
        id="din-6935",
        title="DIN 6935, Cold bending of flat rolled steel",
        publisher="DIN",
        edition="1975-10",
        where="k and compensation value v for openings of 0 to 90° and 90 to 165°, with a worked example, "
        "as a book of tables for metalworkers quotes them",
    ),
    Source(
        id="din-6935-radii",
        title="DIN 6935, Cold bending of flat rolled steel, least inside radii",
        publisher="DIN",
        edition="1975-10",
        where="table for steel of up to 390 MPa, footnote on grain and angle, as quoted in a workbook",
    ),
    Source(
        id="aircraft-mechanics",
        title="Training manual of the U.S. Navy for aviation structural mechanics",
        publisher="U.S. Navy",
        where="bend allowance formula, (0.0173 R + 0.0078 T) N",
    ),
    Source(
        id="en-485-2",
        title="EN 485-2, Aluminium and aluminium alloys, sheet, strip and plate, mechanical properties",
        publisher="CEN",
        edition="2007",
        where="bend radii for 90° and 180°, proof strengths: two suppliers' pages of 5052, 5754, 6082",
    ),
    Source(
        id="en-485-2-from-memory",
        title="EN 485-2, the same for EN AW-1050A",
        publisher="CEN",
        standing="from memory",
    ),
    Source(
        id="aluminum-association",
        title="Recommended minimum bend radii for 90° cold bends of sheet and plate",
        publisher="Aluminum Association",
        edition="January 2005",
        where="table 3-1, page VII-78; the strengths of 1100 are from memory",
    ),
    Source(
        id="astm-b265",
        title="ASTM B265, Titanium and titanium alloy strip, sheet and plate",
        publisher="ASTM",
        where="bend test and yield strength of grade 2, both ways of rolling, as a supplier publishes them",
    ),
    Source(
        id="faa-h-8083-31",
        title="FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe",
        publisher="Federal Aviation Administration",
        where="vol. 1, chapter 4: relief holes, as flight-mechanic.com has it; the sight line is "
        "asked for in its examinations",
    ),
    Source(
        id="gardiner",
        title="The spring back of metals, F. J. Gardiner",
        publisher="ASME",
        edition="Trans. ASME 79 (1957) 1–9",
        where="R_i/R_f = 4 x³ − 3 x + 1, as papers and textbooks quote it",
    ),
    Source(
        id="springback-factors",
        title="Springback factors of a book of tables for metalworkers",
        where="DC01, stainless steel 18-8, aluminium; against Gardiner in the tests",
    ),
    *rivet_rows.SOURCES,
    Source(id="geometry", title="Geometry and definitions", standing="derived"),
    Source(
        id="axis-spread",
        title="Spread of the k-factors that shops use, 0.33 to 0.45",
        standing="common practice, no source",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

DOUBTS = (_AXIS, _CORRECTION, _STRENGTH, _SPRINGBACK, _HINGE)

HAZARDS = ("sharp-edges", "folding", "own-limits")

_SETBACKS: Mapping[str, Callable[..., float]] = {
    "outside": bending.setback_to_outside,
    "sharp": bending.setback_to_sharp,
    "inside": bending.setback_to_inside,
}
_CLEAR = 2.0
"""Thicknesses: what a machine needs beside a bend, and how near a hole may come to it (common practice)."""


@dataclass(frozen=True, kw_only=True)
class _Sheet:
    """What the sheet is: SI. `metal` is None where its author says all of it."""

    metal: sheet_metals.SheetMetal | None
    thickness: float
    yield_strength: float
    elastic_modulus: float
    density: float


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The flat of one case, its bends, its holes and what may go wrong; SI in, SI out."""
    _check(given)
    sheet = _sheet(given, working)
    outputs: Outputs = {}
    bends = dict(zip(row_keys("bends", given["bends"]), given["bends"], strict=True))
    setbacks = {key: _setback(key, row, given, working) for key, row in bends.items()}
    straights = _straights(given, list(setbacks.values()), working)
    allowances = _allowances(given, bends, setbacks, working, outputs)
    _flat(given, straights, allowances, working, outputs)
    outputs |= {"setback": setbacks, "straight_length": straights}
    _tightness(given, sheet, bends, working, outputs)
    _springback(given, sheet, bends, working, outputs)
    _machine(given, bends, working, outputs)
    _sides(given, sheet, working, outputs)
    outputs["flat_width"] = working.step(
        "flat_width",
        bending.flat_width_of,
        source="geometry",
        width=given["width"],
        reaches=sum(_keyed(outputs, "side_reach").values()) if "side_reach" in outputs else 0.0,
    )
    _holes(given, working, outputs)
    if rivet_rows.ROWS in given:
        rivet_rows.lay_rows(
            given,
            _edges(given, outputs),
            working,
            outputs,
            column="flange",
            holes=_single_holes(given, outputs),
        )
    _score(given, bends, working, outputs)
    _mass(given, sheet, working, outputs)
    return outputs


def _check(given: Mapping[str, Any]) -> None:
    """Refuse what contradicts itself."""
    row_keys("flanges", given["flanges"])
    number = len(given["flanges"])
    if len(given["bends"]) != number - 1:
        raise InputsConflict(
            "bends",
            f"{len(given['bends'])} bends between {number} flanges",
            f"{number - 1}",
            help="one bend between each two flanges",
        )
    given_together(given, _STRIP, "a k-factor comes of all of them")
    given_together(given, _FOLDER, "the folder's section is made of all of them")
    for first, second in (("k_factor", "strip_length"), ("least_straight", "vee_width")):
        if first in given and second in given:
            raise InputsConflict(second, f"{first} as well", "one of the two", help="leave one out")
    thickness = given["thickness"]
    for index, row in enumerate(given["bends"]):
        _not_a_crease("bends", index, row, thickness)
    if given.get("score_depth", 0.0) >= thickness:
        raise OutOfRange(
            "score_depth",
            f"{1000 * given['score_depth']:g} mm",
            f"less than the thickness, {1000 * thickness:g} mm",
        )


def _not_a_crease(name: str, index: int, row: Mapping[str, Any], thickness: float) -> None:
    if row["inside_radius"] < 0.1 * thickness:
        raise OutOfRange(
            name,
            f"{1000 * row['inside_radius']:g} mm",
            f"{100 * thickness:g} mm or more, a tenth of the thickness",
            help="DIN 6935 and the arc of a neutral axis say nothing of a crease",
            at=(index, "inside_radius"),
        )


# --- the sheet ---------------------------------------------------------------------------------

_OWN = ("yield_strength", "elastic_modulus", "density")


def _sheet(given: Mapping[str, Any], working: Working) -> _Sheet:
    metal = sheet_metals.METALS.get(given["material"])
    if metal is None:
        for name in (*_OWN, "least_radius"):
            if name not in given:
                raise MissingInput(name, "material other", name, help="no table knows it")
        return _Sheet(metal=None, thickness=given["thickness"], **{name: given[name] for name in _OWN})
    own = {name: given.get(name, getattr(metal, name)) for name in _OWN}
    if "yield_strength" not in given:
        own["yield_strength"] *= working.factor(_STRENGTH)
    return _Sheet(metal=metal, thickness=given["thickness"], **own)


def _setback(key: str, row: Mapping[str, Any], given: Mapping[str, Any], working: Working) -> float:
    return working.step(
        f"setback.{key}",
        _SETBACKS[given["measured_to"]],
        source="geometry",
        bend_angle=row["angle"],
        inside_radius=row["inside_radius"],
        thickness=given["thickness"],
    )


def _straights(given: Mapping[str, Any], setbacks: Sequence[float], working: Working) -> dict[str, float]:
    """What of each flange is straight."""
    rows = given["flanges"]
    ends = [0.0, *setbacks, 0.0]
    made: dict[str, float] = {}
    for index, (key, row) in enumerate(zip(row_keys("flanges", rows), rows, strict=True)):
        before, after = ends[index], ends[index + 1]
        if row["length"] < before + after:
            raise OutOfRange(
                "flanges",
                f"{1000 * row['length']:g} mm",
                f"{1000 * (before + after):.4g} mm or more, which its bends take",
                help="a longer flange or a smaller inside radius",
                at=(index, "length"),
            )
        made[key] = working.step(
            f"straight_length.{key}",
            bending.straight_length,
            source="geometry",
            length=row["length"],
            setback_before=before,
            setback_after=after,
        )
    return made


# --- the flat ----------------------------------------------------------------------------------


def _k_factor(given: Mapping[str, Any], working: Working) -> float:
    """Measured, given, or as aircraft mechanics have it."""
    if "strip_length" in given:
        return _of_strip(given, working)
    if "k_factor" in given:
        return working.step("k_factor_used", bending.stated_axis, source="geometry", stated=given["k_factor"])
    return working.step("k_factor_used", bending.axis_of_aircraft_mechanics, source=_AXIS)


def _of_strip(given: Mapping[str, Any], working: Working) -> float:
    measured = {
        "strip_length": given["strip_length"],
        "leg": given["strip_leg"],
        "other_leg": given["strip_other_leg"],
        "bend_angle": given["strip_angle"],
        "inside_radius": given["strip_radius"],
        "thickness": given["thickness"],
    }
    try:
        return working.step("k_factor_used", bending.axis_of_strip, source="geometry", **measured)
    except OutOfRange as error:
        raise OutOfRange(
            "strip_length",
            f"a k-factor of {error.found}",
            "0 to 1",
            help="measure length, legs and radius again: the legs to the outside, all by one rule",
        ) from None


def _allowances(
    given: Mapping[str, Any],
    bends: Mapping[str, Mapping[str, Any]],
    setbacks: Mapping[str, float],
    working: Working,
    outputs: Outputs,
) -> dict[str, dict[str, float]]:
    """The allowance of each bend by both forms, and what it takes off; the one that the flat is cut by is
    under its own name."""
    axis = outputs["k_factor_used"] = _k_factor(given, working)
    made: dict[str, dict[str, float]] = {name: {} for name in _PER_BEND}
    for key, row in bends.items():
        bent = {
            "bend_angle": row["angle"],
            "inside_radius": row["inside_radius"],
            "thickness": given["thickness"],
        }
        k = made["correction_factor"][key] = working.step(
            f"correction_factor.{key}",
            bending.correction_factor,
            source=_CORRECTION,
            inside_radius=row["inside_radius"],
            thickness=given["thickness"],
        )
        half = working.step(
            f"k-factor by DIN 6935 of bend {key}",
            bending.axis_of_correction,
            source="din-6935",
            half=0.5,
            correction_factor=k,
        )
        for ending, source, where in (("", "geometry", axis), ("_din", "din-6935", half)):
            allowance = made["bend_allowance" + ending][key] = working.step(
                f"bend_allowance{ending}.{key}",
                bending.bend_allowance,
                source=source,
                **bent,
                neutral_axis=where,
            )
            made["bend_deduction" + ending][key] = working.step(
                f"bend_deduction{ending}.{key}",
                bending.bend_deduction,
                source=source,
                setback=setbacks[key],
                allowance=allowance,
            )
        made["allowance_difference"][key] = working.step(
            f"allowance_difference.{key}",
            bending.allowance_difference,
            source="geometry",
            allowance=made["bend_allowance"][key],
            other_allowance=made["bend_allowance_din"][key],
        )
    outputs |= made
    return made


_PER_BEND = (
    "correction_factor",
    "bend_allowance",
    "bend_allowance_din",
    "allowance_difference",
    "bend_deduction",
    "bend_deduction_din",
)


def _form(given: Mapping[str, Any]) -> str:
    """The form that the flat is cut by: "neutral" or "din"."""
    return "neutral" if "k_factor" in given or "strip_length" in given else "din"


def _flat(
    given: Mapping[str, Any],
    straights: Mapping[str, float],
    made: Mapping[str, Mapping[str, float]],
    working: Working,
    outputs: Outputs,
) -> None:
    """Length of the flat by both forms, and the places of the bends by the one that it is cut by."""
    straight = sum(straights.values())
    totals: dict[str, float] = {}
    for form, name in (("din", "bend_allowance_din"), ("neutral", "bend_allowance")):
        totals[form] = outputs[f"flat_length_{form}"] = working.step(
            f"flat_length_{form}",
            bending.flat_length_of,
            source="geometry",
            straight=straight,
            bent=sum(made[name].values()),
        )
    outputs["flat_length_difference"] = working.step(
        "flat_length_difference",
        bending.length_difference,
        source="geometry",
        length=totals["neutral"],
        other_length=totals["din"],
    )
    chosen = made["bend_allowance_din" if _form(given) == "din" else "bend_allowance"]
    places: dict[str, dict[str, float]] = {"tangent_before": {}, "bend_line": {}, "tangent_after": {}}
    place = 0.0
    for (key, allowance), reach in zip(chosen.items(), straights.values(), strict=False):
        place = places["tangent_before"][key] = _further(f"tangent_before.{key}", place, reach, working)
        places["bend_line"][key] = working.step(
            f"bend_line.{key}",
            bending.middle_of_bend,
            source="geometry",
            tangent_line=place,
            allowance=allowance,
        )
        place = places["tangent_after"][key] = _further(f"tangent_after.{key}", place, allowance, working)
    outputs["flat_length"] = _further("flat_length", place, list(straights.values())[-1], working)
    outputs |= places
    if _form(given) == "din" and given["material"] not in _STEELS:
        working.remark(
            said(
                "DIN 6935 is for steel. Bend a test strip of this sheet over this tool before the flat is "
                "cut."
            )
        )


_STEELS = (sheet_metals.STEEL, "304-annealed", "304-half-hard")


def _further(name: str, place: float, length: float, working: Working) -> float:
    return working.step(name, bending.further_along, source="geometry", place=place, length=length)


# --- what the sheet bears ----------------------------------------------------------------------


def _tightness(
    given: Mapping[str, Any],
    sheet: _Sheet,
    bends: Mapping[str, Mapping[str, Any]],
    working: Working,
    outputs: Outputs,
) -> None:
    """Least inside radii, and the strain of the outer face."""
    made: dict[str, dict[str, float]] = {"least_inside_radius": {}, "radius_reserve": {}, "outer_strain": {}}
    for key, row in bends.items():
        made["outer_strain"][key] = working.step(
            f"outer_strain.{key}",
            bending.outer_strain,
            source="geometry",
            inside_radius=row["inside_radius"],
            thickness=sheet.thickness,
        )
        least = _least_radius(f"least_inside_radius.{key}", row, given, sheet, working, given["grain"])
        if least is None:
            continue
        made["least_inside_radius"][key] = least
        made["radius_reserve"][key] = working.step(
            f"radius_reserve.{key}",
            bending.radius_reserve,
            source="geometry",
            inside_radius=row["inside_radius"],
            least_radius=least,
        )
        working.limit(
            "radius_reserve",
            key,
            least=0.0,
            says=said("A bend [may be|is] tighter than the least radius of this sheet: it may crack."),
            together="radius",
        )
    if given["grain"] == "unknown" and "least_radius" not in given:
        working.remark(said("The grain is not known: the least radii are those along it, the worse ones."))
    outputs.update({name: by_key for name, by_key in made.items() if by_key})


def _least_radius(
    name: str, row: Mapping[str, Any], given: Mapping[str, Any], sheet: _Sheet, working: Working, grain: str
) -> float | None:
    """The least inside radius of a bend; None where nobody has said one."""
    if "least_radius" in given:
        return working.step(name, bending.stated_radius, source="geometry", stated=given["least_radius"])
    assert sheet.metal is not None  # _sheet asks for a least_radius where no table is known
    along = grain != "across"
    if given["material"] == sheet_metals.STEEL:
        radius = sheet_metals.steel_radius(sheet.thickness, row["angle"], along)
        return working.step(name, bending.stated_radius, source=sheet.metal.source, stated=radius)
    reach = sheet.metal.reach(sheet.thickness)
    thicknesses = reach.square if row["angle"] <= _SQUARE else reach.beyond
    if thicknesses is None:
        working.remark(
            said(
                "The table of this sheet has no least radius for a bend beyond 90°: try it on a strip first."
            )
        )
        return None
    return working.step(
        name,
        bending.radius_of_thicknesses,
        source=sheet.metal.source,
        thicknesses=float(thicknesses),
        grain_factor=sheet.metal.grain_factor if along else 1.0,
        thickness=sheet.thickness,
    )


_ROLLED = 40.0
"""Thicknesses of inside radius: up to there the springback was held to measured factors."""
_SQUARE = pi / 2 * (1 + 1e-9)
"""A bend of 90°, however its unit was converted."""


def _springback(
    given: Mapping[str, Any],
    sheet: _Sheet,
    bends: Mapping[str, Mapping[str, Any]],
    working: Working,
    outputs: Outputs,
) -> None:
    """Radius of the tool and angle to fold to."""
    made: dict[str, dict[str, float]] = {"tool_radius": {}, "overbend": {}, "fold_angle": {}}
    for key, row in bends.items():
        names = tuple(f"{name}.{key}" for name in made)
        for name, value in zip(made, _folded(names, row, sheet, working), strict=True):
            made[name][key] = value
        if "bar_face" in given:
            working.limit(
                "fold_angle",
                key,
                most=pi - given["bar_face"],
                says=said(
                    "The face of the clamping bar [may stop|stops] the leaf before the bend is folded far "
                    "enough to spring back to its angle."
                ),
                together="fold_angle",
            )
    if any(row["inside_radius"] > _ROLLED * sheet.thickness for row in bends.values()):
        working.remark(
            said(
                "Beyond 40 thicknesses of inside radius the springback is further off than its ± says: roll "
                "a trial piece."
            )
        )
    if given["material"].startswith("304"):
        working.remark(
            said(
                "Stainless steel springs back two to four times as far as this formula says: fold a trial "
                "piece."
            )
        )
    outputs.update(made)


def _folded(
    names: Sequence[str], row: Mapping[str, Any], sheet: _Sheet, working: Working
) -> tuple[float, float, float]:
    """Radius under load, angle beyond and angle to fold to of a bend; `names` are those of their steps."""
    radius = working.step(
        names[0],
        bending.radius_under_load,
        source="gardiner",
        inside_radius=row["inside_radius"],
        thickness=sheet.thickness,
        yield_strength=sheet.yield_strength,
        elastic_modulus=sheet.elastic_modulus,
    )
    beyond = working.step(
        names[1],
        bending.overbend,
        source=_SPRINGBACK,
        bend_angle=row["angle"],
        inside_radius=row["inside_radius"],
        radius_under_load=radius,
        thickness=sheet.thickness,
    )
    angle = working.step(
        names[2], bending.fold_angle, source="geometry", bend_angle=row["angle"], overbend=beyond
    )
    return radius, beyond, angle


# --- side flanges ------------------------------------------------------------------------------

_TURNED = {"across": "along", "along": "across", "unknown": "unknown"}
"""The grain as the bend of a side flange meets it, which runs along the part."""


def _sides(given: Mapping[str, Any], sheet: _Sheet, working: Working, outputs: Outputs) -> None:
    """Flat, bends and corner reliefs of the side flanges."""
    if not given_together(given, _SIDES, "which flange the sides stand on"):
        given_together(given, ("relief_diameter",), "reliefs are in the corners of sides", "sides")
        return
    base = _flange_with_sides(given)
    _across(given)
    made: dict[str, dict[str, float]] = {
        name: {} for name in ("side_bend_line", "side_reach", "side_fold_angle", "side_radius_reserve")
    }
    for index, (key, row) in enumerate(zip(row_keys("sides", given["sides"]), given["sides"], strict=True)):
        if any(row["edge"] == other["edge"] for other in given["sides"][:index]):
            raise InputsConflict(
                "sides", f"two sides at the {row['edge']} edge", "one at each", at=(index, "edge")
            )
        _side(index, key, row, given, sheet, working, made, outputs)
    outputs.update({name: by_key for name, by_key in made.items() if by_key})
    outputs["finger_room"] = working.step(
        "finger_room",
        bending.stated_straight,
        source="geometry",
        stated=list(_keyed(outputs, "straight_length").values())[base],
    )
    outputs["relief_hole_diameter"] = _relief(given, working)
    working.remark(
        said(
            "The side flanges are not in the order of the folds: fold them last, with fingers that go "
            "between the flanges that stand and are as tall as those, or round a loose bar. Drill the relief "
            "holes before anything is cut or folded."
        )
    )


def _side_setbacks(given: Mapping[str, Any]) -> dict[str, float]:
    """By edge, how far inside of it the tangent line of its side lies."""
    setback = _SETBACKS[given["measured_to"]]
    return {
        row["edge"]: setback(row["angle"], row["inside_radius"], given["thickness"])
        for row in given.get("sides", ())
    }


def _across(given: Mapping[str, Any]) -> tuple[float, float]:
    """From where to where the strip reaches across: to the tangent lines of its sides, or to its edges."""
    setbacks = _side_setbacks(given)
    low, high = setbacks.get("lower", 0.0), given["width"] - setbacks.get("upper", 0.0)
    if low >= high:
        raise OutOfRange(
            "width",
            f"{1000 * given['width']:g} mm",
            f"more than {1000 * (low + given['width'] - high):.4g} mm, which its sides take",
        )
    return low, high


def _relief(given: Mapping[str, Any], working: Working) -> float:
    if "relief_diameter" in given:
        return working.step(
            "relief_hole_diameter", bending.stated_relief, source="geometry", stated=given["relief_diameter"]
        )
    if given["thickness"] > 0.128 * 0.0254:
        raise MissingInput(
            "relief_diameter",
            "sides of sheet over 3.25 mm",
            "relief_diameter",
            help="the handbook's rule ends there",
        )
    return working.step(
        "relief_hole_diameter",
        bending.relief_diameter,
        source="faa-h-8083-31",
        thickness=given["thickness"],
    )


def _flange_with_sides(given: Mapping[str, Any]) -> int:
    flanges = row_keys("flanges", given["flanges"])
    wanted = address_key(given["sides_on"])
    if wanted not in flanges:
        raise InputsConflict(
            "sides_on",
            f"“{given['sides_on']}”",
            "one of " + ", ".join(flanges),
            help=did_you_mean(wanted, flanges) or "write one of them as it stands here",
        )
    return flanges.index(wanted)


def _side(
    index: int,
    key: str,
    row: Mapping[str, Any],
    given: Mapping[str, Any],
    sheet: _Sheet,
    working: Working,
    made: Mapping[str, dict[str, float]],
    outputs: Outputs,
) -> None:
    """One side flange, by the form that the flat is cut by."""
    _not_a_crease("sides", index, row, given["thickness"])
    bent = {
        "bend_angle": row["angle"],
        "inside_radius": row["inside_radius"],
        "thickness": given["thickness"],
    }
    setback = working.step(
        f"setback of side {key}", _SETBACKS[given["measured_to"]], source="geometry", **bent
    )
    if row["length"] < setback:
        raise OutOfRange(
            "sides",
            f"{1000 * row['length']:g} mm",
            f"{1000 * setback:.4g} mm or more, which its bend takes",
            at=(index, "length"),
        )
    axis = outputs["k_factor_used"]
    if _form(given) == "din":
        k = working.step(
            f"correction factor of side {key}",
            bending.correction_factor,
            source=_CORRECTION,
            inside_radius=row["inside_radius"],
            thickness=given["thickness"],
        )
        axis = working.step(
            f"k-factor by DIN 6935 of side {key}",
            bending.axis_of_correction,
            source="din-6935",
            half=0.5,
            correction_factor=k,
        )
    allowance = working.step(
        f"bend allowance of side {key}",
        bending.bend_allowance,
        source="geometry",
        **bent,
        neutral_axis=axis,  # type: ignore[arg-type]
    )
    straight = working.step(
        f"straight part of side {key}",
        bending.straight_length,
        source="geometry",
        length=row["length"],
        setback_before=setback,
        setback_after=0.0,
    )
    made["side_reach"][key] = working.step(
        f"side_reach.{key}",
        bending.side_reach,
        source="geometry",
        setback=setback,
        allowance=allowance,
        straight=straight,
    )
    made["side_bend_line"][key] = working.step(
        f"side_bend_line.{key}",
        bending.side_bend_line,
        source="geometry",
        setback=setback,
        half_allowance=allowance / 2,
    )
    names = (f"tool radius of side {key}", f"springback of side {key}", f"side_fold_angle.{key}")
    made["side_fold_angle"][key] = _folded(names, row, sheet, working)[2]
    least = _least_radius(
        f"least inside radius of side {key}", row, given, sheet, working, _TURNED[given["grain"]]
    )
    if least is not None:
        made["side_radius_reserve"][key] = working.step(
            f"side_radius_reserve.{key}",
            bending.radius_reserve,
            source="geometry",
            inside_radius=row["inside_radius"],
            least_radius=least,
        )
        working.limit(
            "side_radius_reserve",
            key,
            least=0.0,
            says=said("A bend [may be|is] tighter than the least radius of this sheet: it may crack."),
            together="radius",
        )


# --- the machine -------------------------------------------------------------------------------


def _machine(
    given: Mapping[str, Any],
    bends: Mapping[str, Mapping[str, Any]],
    working: Working,
    outputs: Outputs,
) -> None:
    """The straight part that each bend needs beside it, and whether the flanges have it."""
    needed = {key: _straight_needed(key, row, given, working) for key, row in bends.items()}
    outputs["straight_needed"] = needed
    wanted = [0.0, *needed.values(), 0.0]
    for index, key in enumerate(row_keys("flanges", given["flanges"])):
        working.limit(
            "straight_length",
            key,
            least=max(wanted[index], wanted[index + 1], 0.0),
            says=said("The straight part of a flange [may be|is] too short for the machine to hold."),
            together="straight",
        )


def _straight_needed(key: str, row: Mapping[str, Any], given: Mapping[str, Any], working: Working) -> float:
    name = f"straight_needed.{key}"
    if "vee_width" in given:
        corner = working.step(
            f"setback of bend {key} to the sharp corner",
            bending.setback_to_sharp,
            source="geometry",
            bend_angle=row["angle"],
            inside_radius=row["inside_radius"],
            thickness=given["thickness"],
        )
        return working.step(
            name,
            bending.straight_for_vee,
            source="geometry",
            vee_width=given["vee_width"],
            bend_angle=row["angle"],
            setback=corner,
        )
    if "least_straight" in given:
        return working.step(name, bending.stated_straight, source="geometry", stated=given["least_straight"])
    return working.step(
        name,
        bending.straight_for_folder,
        source="practice",
        thicknesses=_CLEAR,
        thickness=given["thickness"],
    )


# --- holes -------------------------------------------------------------------------------------


def _holes(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Where each hole lies in the flat, and how near to a bend."""
    if "holes" not in given:
        return
    flanges = row_keys("flanges", given["flanges"])
    starts, ends = _spans(flanges, outputs)
    setbacks = [0.0, *_keyed(outputs, "setback").values(), 0.0]
    places: dict[str, float] = {}
    across: dict[str, float] = {}
    clear: dict[str, float] = {}
    reach = _lower_reach(given, outputs)
    for index, (key, row) in enumerate(zip(row_keys("holes", given["holes"]), given["holes"], strict=True)):
        flange = _flange_of(index, row, flanges)
        first = row["from_end"] == "first"
        setback = setbacks[flange] if first else setbacks[flange + 1]
        place = places[key] = working.step(
            f"hole_place.{key}",
            bending.place_of_hole if first else bending.place_of_hole_from_last,
            source="geometry",
            tangent_line=starts[flange] if first else ends[flange],
            distance=row["distance"],
            setback=setback,
        )
        across[key] = working.step(
            f"hole_across.{key}",
            bending.place_across,
            source="geometry",
            across=row["across"],
            reach=reach,
        )
        free = [flange == 0, flange + 1 == len(flanges)]
        _on_sheet(index, row, place, given, (starts[flange], ends[flange]), free)
        near = [place - starts[flange]] if flange else []
        near += [ends[flange] - place] if flange + 1 < len(flanges) else []
        if "sides_on" in given and flange == _flange_with_sides(given):
            low, high = _across(given)
            edges = _side_setbacks(given)
            near += [row["across"] - low] if "lower" in edges else []
            near += [high - row["across"]] if "upper" in edges else []
        clear[key] = working.step(
            f"hole_clearance.{key}",
            bending.hole_clearance,
            source="geometry",
            distance=min(near),
            diameter=row["diameter"],
        )
        working.limit(
            "hole_clearance",
            key,
            least=_CLEAR * given["thickness"],
            says=said(
                "A hole [may lie|lies] so near to a bend that the bend draws it out of round: drill it "
                "afterwards."
            ),
            together="hole",
        )
    _apart(given["holes"], list(places.values()))
    outputs |= {"hole_place": places, "hole_across": across, "hole_clearance": clear}


def _lower_reach(given: Mapping[str, Any], outputs: Outputs) -> float:
    """How far the side at the lower edge reaches beyond it; 0 where there is none."""
    sides = given.get("sides", ())
    keys = zip(row_keys("sides", sides), sides, strict=True)
    return sum(_keyed(outputs, "side_reach")[key] for key, row in keys if row["edge"] == "lower")


def _keyed(outputs: Outputs, name: str) -> dict[str, float]:
    values = outputs[name]
    assert isinstance(values, dict)
    return values


def _spans(flanges: Sequence[str], outputs: Outputs) -> tuple[list[float], list[float]]:
    """Where the straight part of each flange begins and ends in the flat."""
    length = outputs["flat_length"]
    assert isinstance(length, float)
    return (
        [0.0, *_keyed(outputs, "tangent_after").values()],
        [*_keyed(outputs, "tangent_before").values(), length],
    )


def _flange_of(index: int, row: Mapping[str, Any], flanges: Sequence[str]) -> int:
    wanted = address_key(row["flange"])
    if wanted in flanges:
        return flanges.index(wanted)
    raise InputsConflict(
        "holes",
        f"a hole in the flange “{row['flange']}”",
        "one of " + ", ".join(flanges),
        help=did_you_mean(wanted, flanges) or "write one of them as it stands here",
        at=(index, "flange"),
    )


def _on_sheet(
    index: int,
    row: Mapping[str, Any],
    place: float,
    given: Mapping[str, Any],
    straight: tuple[float, float],
    free: Sequence[bool],
) -> None:
    """Refuse a hole whose middle is not on the straight part of its flange, or whose rim is not on the sheet.

    Over a bend a rim may come: it is drawn out of round there. `free` says which of its ends are edges.
    What is expected is told as its author counts, from an end of the flange and from the lower edge.
    """
    distance, across, radius = row["distance"], row["across"], row["diameter"] / 2
    start, end = straight
    low, high = _across(given)
    room = [high - low, *([2 * (end - start)] if any(free) else []), *([end - start] if all(free) else [])]
    if row["diameter"] > min(room):
        raise InputsConflict(
            "holes",
            f"a hole of {1000 * row['diameter']:.4g} mm",
            f"at most {1000 * min(room):.4g} mm, for which the flange has room",
            help="a larger flange or a smaller hole",
            at=(index, "diameter"),
        )
    start, end = start + radius * free[0], end - radius * free[1]
    if not start <= place <= end:
        least = distance + (start - place if row["from_end"] == "first" else place - end)
        raise InputsConflict(
            "holes",
            f"{1000 * distance:.4g} mm from the {row['from_end']} end of the flange",
            f"{1000 * least:.4g} to {1000 * (least + end - start):.4g} mm: its middle on the straight part, "
            "its rim on the sheet",
            help="correct distance, from_end or flange",
            at=(index, "distance"),
        )
    if not low + radius <= across <= high - radius:
        raise InputsConflict(
            "holes",
            f"{1000 * across:.4g} mm from the lower edge",
            f"{1000 * (low + radius):.4g} to {1000 * (high - radius):.4g} mm: its rim on the sheet",
            help="correct across, or the width",
            at=(index, "across"),
        )


def _apart(rows: Sequence[Mapping[str, Any]], places: Sequence[float]) -> None:
    """Refuse holes that run into each other: what is left of the sheet is then not what is computed."""
    for index, (row, place) in enumerate(zip(rows, places, strict=True)):
        for other, before in zip(rows[:index], places[:index], strict=True):
            between = hypot(place - before, row["across"] - other["across"])
            if between < (row["diameter"] + other["diameter"]) / 2:
                raise InputsConflict(
                    "holes",
                    f"its middle {1000 * between:.4g} mm from that of another hole in the flat",
                    f"more than {500 * (row['diameter'] + other['diameter']):.4g} mm, so that they are apart",
                    help="correct their places; of a slot this kind knows nothing",
                    at=(index,),
                )


def _single_holes(given: Mapping[str, Any], outputs: Mapping[str, Any]) -> list[Hole]:
    """The holes of the table, where they lie in the flat."""
    rows = given.get("holes", ())
    return [
        Hole(centre=(float(outputs["hole_place"][key]), row["across"]), diameter=row["diameter"])
        for key, row in zip(row_keys("holes", rows), rows, strict=True)
    ]


def _edges(given: Mapping[str, Any], outputs: Mapping[str, Any]) -> dict[str, Edge]:
    """The free edges that rivets can stand along: of the first flange, of the last one, and of sides."""
    flanges = row_keys("flanges", given["flanges"])
    low, high = _across(given)
    straights = list(outputs["straight_length"].values())
    length = float(outputs["flat_length"])
    edges = {
        key: Edge(
            begin=(place, low),
            along=(0.0, 1.0),
            inward=(inward, 0.0),
            length=high - low,
            depth=float(straights[index]),
        )
        for key, place, inward, index in ((flanges[0], 0.0, 1.0, 0), (flanges[-1], length, -1.0, -1))
    }
    if "sides" not in given:
        return edges
    base, setbacks = _flange_with_sides(given), _side_setbacks(given)
    start = [0.0, *outputs["tangent_after"].values()][base]
    for index, (key, row) in enumerate(zip(row_keys("sides", given["sides"]), given["sides"], strict=True)):
        if key in edges:
            raise InputsConflict(
                "sides",
                f"a side named “{key}” as a flange is",
                "a name of its own",
                help="a row of rivets calls both by their names",
                at=(index, "name"),
            )
        lower, reach = row["edge"] == "lower", float(outputs["side_reach"][key])
        edges[key] = Edge(
            begin=(float(start), -reach if lower else given["width"] + reach),
            along=(1.0, 0.0),
            inward=(0.0, 1.0 if lower else -1.0),
            length=float(straights[base]),
            depth=row["length"] - setbacks[row["edge"]],
        )
    return edges


# --- score and mass ----------------------------------------------------------------------------


def _score(
    given: Mapping[str, Any],
    bends: Mapping[str, Mapping[str, Any]],
    working: Working,
    outputs: Outputs,
) -> None:
    if "score_depth" not in given:
        return
    values = {"thickness": given["thickness"], "score_depth": given["score_depth"]}
    working.chain(
        values,
        "geometry",
        thickness_left=bending.thickness_left,
        bending_strength_left=bending.bending_strength_left,
    )
    outputs |= {name: values[name] for name in ("thickness_left", "bending_strength_left")}
    strains: dict[str, float] = {}
    rises: dict[str, float] = {}
    for key, row in bends.items():
        strains[key] = working.step(
            f"score_strain.{key}", bending.strain_of_hinge, source=_HINGE, bend_angle=row["angle"]
        )
        rises[key] = working.step(
            f"score_strain_rise.{key}",
            bending.strain_rise,
            source="geometry",
            strain_with=strains[key],
            strain_without=_keyed(outputs, "outer_strain")[key],
        )
    outputs |= {"score_strain": strains, "score_strain_rise": rises}
    working.remark(
        said(
            "A scored bend line cracks: the whole bend gathers in what the score leaves, and shaking opens "
            "it further. Do not score what carries or shakes, nor mark bend lines with a scriber; a pencil "
            "will do, of soft lead on steel only."
        )
    )


def _mass(given: Mapping[str, Any], sheet: _Sheet, working: Working, outputs: Outputs) -> None:
    low, high = _across(given)
    strip = working.step(
        "area of the strip",
        bending.outline_area,
        source="geometry",
        length=outputs["flat_length"],  # type: ignore[arg-type]
        width=high - low,
    )
    squares = sum(row["diameter"] ** 2 for row in given.get("holes", ())) + rivet_rows.rivet_squares(given)
    sides = 0.0
    if "sides" in given:
        base = _flange_with_sides(given)
        setbacks = _side_setbacks(given)
        room = list(_keyed(outputs, "straight_length").values())[base]
        reaches = _keyed(outputs, "side_reach").values()
        sides = sum(
            room * (reach + setbacks[row["edge"]]) for reach, row in zip(reaches, given["sides"], strict=True)
        )
        # A relief stands in a corner: three quarters of it are sheet.
        corners = (base > 0) + (base + 1 < len(given["flanges"]))
        squares += 0.75 * len(setbacks) * corners * outputs["relief_hole_diameter"] ** 2  # type: ignore[operator]
    area = working.step(
        "area of the outline", bending.area_with_sides, source="geometry", strip=strip, sides=sides
    )
    holes = working.step(
        "area of the holes", bending.area_of_holes, source="geometry", diameters_squared=squares
    )
    outputs["mass"] = working.step(
        "mass",
        bending.sheet_mass,
        source="geometry",
        area=area,
        area_of_holes=holes,
        thickness=sheet.thickness,
        density=sheet.density,
    )


# --- the order of the folds --------------------------------------------------------------------


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str | dict[str, str]]:
    """The order in which the folder can do the bends, or what is in the way."""
    if "bar_height" not in given:
        return {}
    keys = row_keys("bends", given["bends"])
    machine = folder.Folder(**{name: float(given[name]) for name in _FOLDER})
    found = machine.order(_section(given, values))
    steps = {keys[fold.bend]: _told(number, fold) for number, fold in enumerate(found.folds, start=1)}
    steps |= {keys[bend]: _blocked(ways) for bend, ways in found.in_the_way.items()}
    names = ", ".join(keys[fold.bend] for fold in found.folds)
    if found.is_whole:
        order: str = said("{bends}", bends=names)
    elif names:
        order = said("no order: none comes further than {bends}", bends=names)
    else:
        order = said("no order: no bend can be folded")
    return {"bend_order": order, "folding": {key: steps[key] for key in keys}}


def _told(number: int, fold: folder.Fold) -> str:
    side = (
        said("the flanges before it clamped")
        if fold.before_is_clamped
        else said("the flanges after it clamped")
    )
    if fold.turned_over:
        return said("{number}: {side}, sheet turned over", number=number, side=side)
    return said("{number}: {side}", number=number, side=side)


_OBSTACLES = {
    "bar": said("the clamping bar"),
    "bed": said("the bed"),
    "leaf": said("the leaf"),
    "itself": said("the part itself"),
}


def _blocked(ways: Sequence[str]) -> str:
    """Another bend may have been the one that could not follow: then this one has no obstacle of its own."""
    obstacles = [_OBSTACLES[way] for way in ways if way]
    return said("runs into {obstacles}", obstacles=listed(dict.fromkeys(obstacles)))


def _section(given: Mapping[str, Any], values: Mapping[str, Any]) -> folder.Section:
    signs = [1.0 if row["direction"] == "up" else -1.0 for row in given["bends"]]
    chosen = values["bend_allowance_din" if _form(given) == "din" else "bend_allowance"]
    return folder.Section(
        thickness=float(given["thickness"]),
        straights=tuple(_si(one) for one in values["straight_length"].values()),
        angles=tuple(sign * row["angle"] for sign, row in zip(signs, given["bends"], strict=True)),
        radii=tuple(float(row["inside_radius"]) for row in given["bends"]),
        allowances=tuple(_si(one) for one in chosen.values()),
    )


def _si(value: Any) -> float:
    """Of a result with its uncertainty, or of a plain number."""
    return float(getattr(value, "si", value))


# --- chart and pattern -------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """The section of the part as it is bent, from the datum edge on."""
    series: list[Series] = []
    for name, case in cases.items():
        section = _section(case.inputs, case.outputs)
        points = section.outline(section.angles)
        label = said("section, {case}", case=name) if name else said("section")
        series.append(
            Series(label=label, x=[x for x, _ in points], y=[y for _, y in points], style=len(series))
        )
    shapes = {(tuple(one.x), tuple(one.y)): one for one in reversed(series)}
    return ChartSpec(
        title="The part from its end",
        description="The middle of the sheet after all bends, with sharp corners, from the datum edge at the "
        "origin on.",
        x=Axis("along the first flange", "length", "mm"),
        y=Axis("up", "length", "mm"),
        series=tuple(reversed(shapes.values())),
        equal_scale=True,
    )


def patterns(cases: Mapping[str, CaseView]) -> tuple[Pattern, ...]:
    """The flat of each case: outline, bend lines, tangent lines and holes, with what to fold to."""
    return tuple(_pattern(name, case) for name, case in cases.items())


def _pattern(name: str, case: CaseView) -> Pattern:
    given, outputs = case.inputs, case.outputs
    low, high = _across(given)
    flat = _Flat(given=given, outputs=outputs, low=low, high=high)
    parts = [flat.outline(), *flat.bends()]
    holes = []
    dimensions = flat.dimensions()
    told: list[float] = []
    for key, row in zip(row_keys("holes", given.get("holes", ())), given.get("holes", ()), strict=True):
        centre = (outputs["hole_place"][key], row["across"])
        holes.append(Hole(centre=centre, diameter=row["diameter"]))
        away = _free_level(row, outputs["hole_place"][key], flat, told)
        is_on_sheet = low <= row["across"] + away <= high
        dimensions.append(
            Dimension(
                start=(0, row["across"]),
                end=centre,
                output="hole_place",
                key=key,
                away=away,
                # The way past words of bends does not grow with words; the room beside the rim does.
                past=away - _beside_hole(row, low, high) if is_on_sheet else 0.0,
                along="horizontal",
            )
        )
    dimensions += _across_of_holes(flat, holes)
    if rivet_rows.ROWS in given:
        rows = rivet_rows.drawn_rows(given, _edges(given, outputs), outputs, column="flange")
        holes += rows[0]
        parts += rows[1]
        dimensions += rows[2]
    return Pattern(
        name=name,
        title=said("Flat of the part"),
        material=said(
            "{material}, {thickness} mm",
            material=given["material"],
            thickness=f"{1000 * given['thickness']:g}",
        ),
        revision=given.get("revision", ""),
        use=_used(given, outputs),
        lines=tuple(parts),
        holes=(*holes, *flat.reliefs()),
        dimensions=tuple(dimensions),
        notes=tuple(flat.notes()),
    )


def _across_of_holes(flat: _Flat, holes: Sequence[Hole]) -> list[Dimension]:
    """How far from the lower edge holes lie, to the left of the datum edge, the least far the nearest to it;
    of several that lie as far it is told once."""
    lowest = flat.end_across("lower")
    keys = flat.outputs["hole_across"] if holes else {}
    told: dict[float, str] = {}
    for key, hole in zip(keys, holes, strict=True):
        told.setdefault(round(hole.centre[1], 9), key)
    return [
        Dimension(
            start=(0, lowest),
            end=(0, across),
            output="hole_across",
            key=told[across],
            away=0.012 + 0.009 * number,
            along="vertical",
        )
        for number, across in enumerate(sorted(told))
    ]


def _beside_hole(row: Mapping[str, Any], low: float, high: float) -> float:
    """How far beside a hole's middle its dimension lies, so that its value keeps off its rim and cross:
    towards the middle of the sheet, where there is room for it."""
    radius = row["diameter"] / 2
    far = radius + min(radius, _LETTERS) + 1.5 * _LETTERS
    away = far if row["across"] < (low + high) / 2 else -far
    has_room = low <= row["across"] + away <= high - 1.5 * _LETTERS
    return float(away) if has_room else 0.0


def _free_level(row: Mapping[str, Any], place: float, flat: _Flat, told: list[float]) -> float:
    """How far beside its middle a hole's place is told: across no words of a bend where there is room, its
    own words on none of those that are `told` across the sheet already. Without room for all some are told
    below the flat's lowest edge, past the other measures there."""
    low, high = flat.low, flat.high
    first = row["across"] + _beside_hole(row, low, high)
    step = 1.8 * _LETTERS
    way = 1 if row["across"] < (low + high) / 2 else -1
    levels = [first + way * step * number for number in range(1, int((high - low) / step) + 1)]
    levels = [first, *(at for at in levels if low <= at <= high - step)]
    lowest = flat.end_across("lower") - _BELOW_MEASURES
    below = [lowest - step * number for number in range(2 * len(told) + 1)]
    free = [at for at in (*levels, *below) if all(abs(at - one) >= 0.9 * step for one in told)]
    level = next((at for at in free if at in levels and not flat.has_words_at(at, place)), free[0])
    told.append(level)
    return float(level - row["across"])


@dataclass(frozen=True, kw_only=True)
class _Flat:
    """The flat of a case as lines. `low` and `high` are where the strip ends across."""

    given: Mapping[str, Any]
    outputs: Mapping[str, Any]
    low: float
    high: float

    @property
    def base(self) -> tuple[float, float]:
        """Where the straight part of the flange with the sides begins and ends."""
        flange = _flange_with_sides(self.given)
        starts = [0.0, *self.outputs["tangent_after"].values()]
        ends = [*self.outputs["tangent_before"].values(), self.outputs["flat_length"]]
        return starts[flange], ends[flange]

    def sides(self) -> dict[str, tuple[str, Mapping[str, Any]]]:
        rows = self.given.get("sides", ())
        return {row["edge"]: (key, row) for key, row in zip(row_keys("sides", rows), rows, strict=True)}

    def end_across(self, edge: str) -> float:
        """Where the flat ends across at an edge, with its side."""
        width = self.given["width"]
        if edge not in self.sides():
            return 0.0 if edge == "lower" else float(width)
        reach: float = self.outputs["side_reach"][self.sides()[edge][0]]
        return -reach if edge == "lower" else width + reach

    def has_words_at(self, level: float, before: float) -> bool:
        """Whether words along a bend line before a place are in the way of a measure at this level."""
        return any(
            note.turned and note.place[0] < before and abs(note.place[1] - level) < _ALONG_A_BEND / 2
            for note in self.notes()
        )

    def outline(self) -> Line:
        length = self.outputs["flat_length"]
        lower: list[tuple[float, float]] = []
        upper: list[tuple[float, float]] = []
        for edge, points, y in (("lower", lower, self.low), ("upper", upper, self.high)):
            if edge in self.sides():
                (start, end), beyond = self.base, self.end_across(edge)
                points += [(start, y), (start, beyond), (end, beyond), (end, y)]
        points = [(0.0, self.low), *lower, (length, self.low), (length, self.high), *reversed(upper)]
        points.append((0.0, self.high))
        return Line(kind="cut", points=tuple(dict.fromkeys(points)), closed=True)

    def bends(self) -> list[Line]:
        lines = []
        for key, place in self.outputs["bend_line"].items():
            marks = (self.outputs["tangent_before"][key], self.outputs["tangent_after"][key])
            lines.append(_line("bend", (place, self.low), (place, self.high)))
            lines += [_line("mark", (x, self.low), (x, self.high)) for x in marks]
        for edge, (key, _) in self.sides().items():
            start, end = self.base
            tangent = self.low if edge == "lower" else self.high
            middle = self.side_line(edge, key)
            lines.append(_line("bend", (start, middle), (end, middle)))
            marks = (tangent, 2 * middle - tangent)
            lines += [_line("mark", (start, y), (end, y)) for y in marks]
        return lines

    def side_line(self, edge: str, key: str) -> float:
        """Where across the middle of a side's bend lies."""
        inside: float = self.outputs["side_bend_line"][key]
        return inside if edge == "lower" else self.given["width"] - inside

    def reliefs(self) -> list[Hole]:
        """In the corners where a side's bend meets another."""
        if not self.sides():
            return []
        length = self.outputs["flat_length"]
        places = [x for x in self.base if 0 < x < length]
        diameter = self.outputs["relief_hole_diameter"]
        heights = [self.low if edge == "lower" else self.high for edge in self.sides()]
        return [Hole(centre=(x, y), diameter=diameter) for x in places for y in heights]

    def dimensions(self) -> list[Dimension]:
        length, low, high = self.outputs["flat_length"], self.end_across("lower"), self.end_across("upper")
        made = [
            Dimension(
                start=(0, self.low),
                end=(length, self.low),
                output="flat_length",
                away=-0.015 - max(0.0, self.low - low),
            )
        ]
        for number, (key, place) in enumerate(self.outputs["bend_line"].items()):
            made.append(
                Dimension(
                    start=(0, self.high),
                    end=(place, self.high),
                    output="bend_line",
                    key=key,
                    away=0.01 + 0.01 * number + max(0.0, high - self.high),
                    along="horizontal",
                )
            )
        made.append(
            Dimension(
                start=(length, low),
                end=(length, high),
                output="flat_width",
                away=-0.015,
                along="vertical",
            )
        )
        return made

    def notes(self) -> list[Note]:
        made: list[Note] = []
        keys = row_keys("bends", self.given["bends"])
        for key, row in zip(keys, self.given["bends"], strict=True):
            made += _notes_of_bend(key, row, self.outputs["bend_line"][key], self.low, self.high)
        for edge, (key, row) in self.sides().items():
            start, end = self.base
            # Inside of the bend, where the side has rivets.
            is_inside = edge == "upper" and rivet_rows.ROWS in self.given
            line = self.side_line(edge, key) + (-_BESIDE if is_inside else _BESIDE)
            made.append(Note(place=(start + (end - start) / 4, line), text=key))
            made.append(
                Note(
                    place=(end - (end - start) / 4, line),
                    text=_FOLD_UP if row["direction"] == "up" else _FOLD_DOWN,
                    output="side_fold_angle",
                    key=key,
                )
            )
        return made


def _line(kind: LineKind, start: tuple[float, float], end: tuple[float, float]) -> Line:
    return Line(kind=kind, points=(start, end))


def _used(given: Mapping[str, Any], outputs: Mapping[str, Any]) -> Said:
    """Which face is drawn, and which drills its holes want."""
    drills = [
        (key, row["diameter"])
        for key, row in zip(row_keys("holes", given.get("holes", ())), given.get("holes", ()), strict=True)
    ]
    rows = given.get(rivet_rows.ROWS, ())
    drills += [
        (key, row["hole_diameter"]) for key, row in zip(row_keys(rivet_rows.ROWS, rows), rows, strict=True)
    ]
    if "relief_hole_diameter" in outputs:
        drills.append((said("reliefs"), outputs["relief_hole_diameter"]))
    if not drills:
        return _FACE
    each = listed(
        said("{name} {diameter} mm", name=name, diameter=f"{1000 * size:.4g}") for name, size in drills
    )
    return listed([_FACE, said("Holes: {holes}.", holes=each)], " ")


_FACE = said(
    "Drawn is the face that is up: a fold up comes towards you, a fold down goes away from you, and wants "
    "its lines on the other face if the sheet is turned over for it."
)
_FOLD_UP = said("fold up to {value}")
_FOLD_DOWN = said("fold down to {value}")


def _notes_of_bend(key: str, row: Mapping[str, Any], place: float, low: float, high: float) -> list[Note]:
    """At the end of a bend line what it is called; along it, or below where it is too short for that, which
    way it goes, how far, over which radius."""
    way = _FOLD_UP if row["direction"] == "up" else _FOLD_DOWN
    quarter = (high - low) / 4
    angle_at, radius_at = (place + _BESIDE, low + quarter), (place + _BESIDE, high - quarter)
    if high - low < _BOTH_IN_A_ROW:
        # A strip that is narrower than its words has them below, past its name tag and its length.
        level = (low + high) / 2 if high - low >= _ALONG_A_BEND else low - _BELOW_MEASURES - _ALONG_A_BEND / 2
        angle_at, radius_at = (place + _BESIDE, level), (place - _BESIDE, level)
    return [
        Note(place=(place, low - _BESIDE), text=key),
        Note(place=angle_at, text=way, output="fold_angle", key=key, turned=pi / 2),
        Note(
            place=radius_at,
            text=said("over a radius of {value}"),
            output="tool_radius",
            key=key,
            turned=pi / 2,
        ),
    ]


_BESIDE = 0.006
"""How far words stand from the line that they are about."""
_BELOW_MEASURES = 0.024
"""How far below the sheet there is room beyond its name tags and its length."""
_LETTERS = 0.0035
"""How high words are in a drawing."""
_ALONG_A_BEND = 0.062
"""About how long words along a bend line are, in German too."""
_BOTH_IN_A_ROW = 0.13
"""Length that the angle and the radius take behind each other, in the longest words of a language."""
