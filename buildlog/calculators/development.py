"""Flat patterns of what is made of sheet, and of tube ends that have to fit.

Name the `shape`, give its sizes, and the block gives what to mark out: the flat piece with its lines, the
size of its blank, its edges, and the angles of its bends. The pieces are handed over as patterns at full
size.

| shape | what it is | its sizes, and in brackets what it may have |
|---|---|---|
| `rectangle_to_round` | transition | `width`, `height`, `diameter`, `length` (`offset`, `corner_radius`) |
| `oval_to_round` | transition | `width`, `height`, `oval`, `diameter`, `length` (`offset`) |
| `cone` | straight cone without its tip | `diameter`, `diameter_after`, `length` |
| `offset_cone` | cone, its ends beside each other | `diameter`, `diameter_after`, `length`, `offset` |
| `square_scoop` | hood of four flat walls | the next line, `length` (`offset`, `return_width`, `returns`) |
| | from its mouth to its end | `width`, `height`, `width_after`, `height_after` |
| `tube_on_tube` | saddle | `diameter`, `main_diameter`, `angle`, `length` (`offset`, `meets`, `hole_for`) |
| `tube_on_plane` | mitre | `diameter`, `angle`, `length` |
| `segmented_bend` | bend of pieces | `diameter`, `bend_radius`, `angle`, `segments` (`end_length`) |

An oval is `flat`, with two straight sides, or an `ellipse`. A scoop's returns are strips along its mouth,
flanges or a hem. What is cut from a tube or rolled from sheet says so as `cut_from`.

**What lies flat.** All of these can be laid flat without stretching: flat walls, cylinders, and between two
ends in parallel planes a surface of straight lines that joins places where the edges are parallel. Of a
rectangle to a circle these are four flat triangles and four quarters of slanting cones with their tips in the
corners. The shape as the trade triangulates it takes chords for arcs and comes out short by them; this does
not.

**Where it is laid flat.** Bent sheet is stretched outside and pressed inside, and the surface between keeps
its length. In rolled sheet it is the middle, so that a rolled tube is cut to π times the *mean* diameter
(`rolled_length`), while a paper that is wrapped round a tube is π times its *outside* (`wrap_length`).
`sizes_are` says what you measured of the piece: its outside, its inside, or the middle of its wall.

**Lines.** A whole turn is marked in `divisions` parts. Of a transition these are the lines that a folder
bends along, each with its true length and its angle out of the flat; a roller shapes it between them. One
half of the piece is listed, from the middle of the pattern to the seam; the other is its mirror image. Lines
from the two corners of that half begin with A and B. Of a tube they are stations, from 0° round to there
again: 0° is where a mitred tube is shortest, at the throat of a bend, and of a branch on the side of the
acute angle.

**A saddle's wall.** The inside and the outside of a wall meet the main tube at different heights. `meets`
says which the pattern is cut by: `first` takes at each station the one that touches, so that a cut square
through the wall fits without filing; the other line is on the pattern too. The hole in the main tube comes as
a pattern of its own, for the branch's bore or, with `hole_for: outside`, for all of the branch to pass.

**Which way.** Patterns show the outside of the piece. `offset` moves the second end along the `width`,
towards the middle of the pattern and away from the seam, or below 0 towards the seam. Of a branch it is the
distance of the axes, the branch lying towards its station 90°. The angle of `tube_on_tube` is between the
axes, that of `tube_on_plane` between axis and plane: a corner of two like tubes has half its own angle there.

**Rivets.** `rivet_rows` lays rows of rivets out in the lap, evenly along the seam from end to end, and with
each the matching row in the sheet that the lap covers, at the other side of the pattern: as far from its edge
as the lap's holes are from the seam, at the same stations, so that they meet when the piece is closed. Of a
segmented bend `piece` says whose seam, `end` or `segment`. `edge_distance` is from the lap's free edge;
what the lap has beyond it is the edge distance of the other row. `end_distance_after` is for a row
that ends earlier at the second end, before a bend line that runs into the seam there. Holes over a bend line
or a cut edge are refused; the rules are those of the U.S. Army and of aircraft handbooks, 2 diameters or
more to an edge and 3 to 10 between rivets, and the nearest cut edge of both rows counts (`rivet_margin`).
They meet on the neutral surface; on a round wall the lap lies a thickness off, which `rivet_shift` is
about. Rivets fill their holes: the mass is that of the sheet without them. What rivets bear is the kind
`rivet_line`.

**How sure it is.** The geometry is exact. The neutral surface is the middle of the sheet within a tenth of
its depth where the radius is ten thicknesses or more (common practice, no source). Folds are taken as sharp:
a right-angled one with an inside radius of one thickness takes about 0.8 thicknesses less than is laid out
here (geometry, with a neutral surface at 0.42 of the thickness). Cut one from card first.

```yaml
id: adapter
kind: development
inputs:
  thickness: 1 mm
  lap: 10 mm
  density: 2700 kg/m³
cases:
  funnel:
    shape: rectangle_to_round
    width: 120 mm
    height: 70 mm
    diameter: 76 mm
    length: 90 mm
    offset: 15 mm
  cone:
    shape: cone
    diameter: 110 mm
    diameter_after: 76 mm
    length: 60 mm
  mouth:
    shape: square_scoop
    width: 160 mm
    height: 90 mm
    width_after: 120 mm
    height_after: 70 mm
    length: 60 mm
    return_width: 12 mm
    returns: outwards
  branch:
    shape: tube_on_tube
    cut_from: tube
    diameter: 38 mm
    main_diameter: 60 mm
    angle: 60°
    length: 80 mm
  bend:
    shape: segmented_bend
    cut_from: sheet
    diameter: 76 mm
    bend_radius: 114 mm
    angle: 90°
    segments: 5
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from math import atan2, hypot, pi
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
    Text,
    Whole,
    Working,
)
from buildlog.kinds.models import rivet_rows
from buildlog.kinds.models.rivet_rows import Edge, Lap
from buildlog.kinds.pattern import (
    Dimension,
    Hole,
    Line,
    LineKind,
    Note,
    Pattern,
    Point,
    curve_points,
    pieces_cross,
)
from buildlog.physics import developed_surfaces, tube_saddles
from buildlog.physics.developed_surfaces import End, Laid, Outline
from buildlog.physics.tube_saddles import Profile
from buildlog.said import said

KIND = "development"

_NEUTRAL = Doubt(
    name="neutral_surface",
    about="where in rolled sheet the surface lies that keeps its length; the middle is taken",
    source="neutral",
    relative=0.1,
    limits=True,
    range="radii from ten thicknesses",
)

_SHAPES = {
    "rectangle_to_round": "transition from a rectangle to a round end",
    "oval_to_round": "transition from an oval to a round end",
    "cone": "straight cone without its tip",
    "offset_cone": "cone whose ends are beside each other",
    "square_scoop": "hood of four flat walls, with returns",
    "tube_on_tube": "branch on another tube, a saddle",
    "tube_on_plane": "tube cut by a plane, a mitre",
    "segmented_bend": "bend of pieces with mitred joints",
}
_TUBES = ("tube_on_tube", "tube_on_plane", "segmented_bend")
_FITTED = Number(dimension="length", unit="mm", low=5, high=1000, why="ducts and exhausts of cars")

INPUTS = (
    Input(name="shape", form=Choice(_SHAPES), about="what is made; the table above says its sizes"),
    Input(
        name="thickness",
        form=Number(dimension="length", unit="mm", low=0.05, high=6, why="from paper to plate"),
        about="of the sheet, or the wall of the tube",
    ),
    Input(
        name="sizes_are",
        title="place of the sizes",
        form=Choice(
            {
                "outside": "over the outside of the piece",
                "inside": "within the piece",
                "middle": "to the middle of the wall",
            }
        ),
        about="what the sizes of ends are measured over; of tubes always the outside",
        default="outside",
        default_source="what a rule measures",
    ),
    Input(
        name="width",
        form=_FITTED,
        about="of the rectangle, the oval or the mouth",
        required=False,
    ),
    Input(name="height", form=_FITTED, about="of the same, across it", required=False),
    Input(
        name="corner_radius",
        form=Number(dimension="length", unit="mm", low=0, high=500, why="at most half of a side"),
        about="of a rectangle; sharp corners if left out",
        required=False,
    ),
    Input(
        name="oval",
        title="form of the oval",
        form=Choice(
            {"flat": "two half circles and two straight sides", "ellipse": "an ellipse, nowhere straight"}
        ),
        about="which oval",
        required=False,
    ),
    Input(
        name="diameter",
        form=_FITTED,
        about="of the round end, the first end of a cone, the tube",
        required=False,
    ),
    Input(name="diameter_after", form=_FITTED, about="of a cone's second end", required=False),
    Input(name="width_after", form=_FITTED, about="width of a scoop's second end", required=False),
    Input(name="height_after", form=_FITTED, about="height of a scoop's second end", required=False),
    Input(
        name="length",
        form=Number(dimension="length", unit="mm", low=2, high=2000, why="pieces that one can carry"),
        about="between the planes of the ends; of a tube on its axis, from its square end to the plane or to "
        "beside the axis of the main tube",
        required=False,
    ),
    Input(
        name="offset",
        form=Number(dimension="length", unit="mm", low=-1000, high=1000, why="pieces that one can carry"),
        about="by how much the second end lies aside, along the width; of a branch, between the axes",
        required=False,
    ),
    Input(
        name="return_width",
        form=Number(dimension="length", unit="mm", low=2, high=60, why="what a folder grips"),
        about="of the strip along a scoop's mouth that is folded over",
        required=False,
    ),
    Input(
        name="returns",
        title="way of the returns",
        form=Choice(
            {
                "outwards": "flanges to the outside, ends square",
                "inwards": "flanges to the inside, ends cut at 45°",
                "hem": "folded flat on the wall, ends cut at 45°",
            }
        ),
        about="which way a scoop's returns are folded",
        required=False,
    ),
    Input(
        name="main_diameter",
        form=_FITTED,
        about="outside of the tube that a branch sits on",
        required=False,
    ),
    Input(
        name="angle",
        form=Number(dimension="angle", unit="°", low=1, high=180, why="from nearly straight to back"),
        about="between the axes, between axis and plane, or of the bend",
        required=False,
    ),
    Input(
        name="bend_radius",
        form=Number(dimension="length", unit="mm", low=5, high=3000, why="ducts and exhausts of cars"),
        about="of a segmented bend, on its centre line",
        required=False,
    ),
    Input(
        name="segments",
        form=Whole(2, 20, "pieces of a bend, with both ends"),
        about="pieces of a bend, with its two end pieces, which are halves",
        required=False,
    ),
    Input(
        name="end_length",
        form=Number(dimension="length", unit="mm", low=0, high=1000, why="pieces that one can carry"),
        about="straight length added to both end pieces of a bend",
        required=False,
    ),
    Input(
        name="cut_from",
        title="stock of the piece",
        form=Choice(
            {
                "tube": "a tube: the pattern is a paper wrapped round it",
                "sheet": "a sheet: the pattern is cut and rolled",
            }
        ),
        about="what a tube's piece is cut from",
        required=False,
    ),
    Input(
        name="meets",
        title="edge of the wall that meets",
        form=Choice(
            {
                "first": "whichever edge of the wall touches first, all round",
                "outside": "the outside of the wall",
                "inside": "the inside of the wall",
            }
        ),
        about="by which edge of its wall a branch is cut; first if left out",
        required=False,
    ),
    Input(
        name="hole_for",
        title="measure of the hole",
        form=Choice({"bore": "the branch's bore", "outside": "the branch's outside, which then passes"}),
        about="how large the hole in the main tube is; bore if left out",
        required=False,
    ),
    Input(
        name="divisions",
        form=Whole(8, 72, "parts of a turn"),
        about="parts that a whole turn is marked in, a multiple of 4",
        default="16",
        default_source="halves of halves, as one folds a strip of paper",
    ),
    Input(
        name="lap",
        form=Number(dimension="length", unit="mm", low=0, high=60, why="rivets, spot welds, glue"),
        about="added along the seam; of a paper, what lies double; none if left out",
        required=False,
    ),
    rivet_rows.rows_input(
        "piece",
        "end or segment, of a segmented bend: whose seam; every other shape has one",
        "rows of rivet holes in the lap and in the sheet that it covers, laid out evenly along the seam",
        required=False,
    ),
    Input(
        name="density",
        form=Number(dimension="density", unit="kg/m³", low=200, high=12_000, why="card to copper"),
        about="of the material; needed for the mass",
        required=False,
    ),
    Input(name="material", form=Text(60), about="what it is cut from, for the pattern", required=False),
    Input(name="revision", form=Text(20), about="your mark of this version, for the pattern", required=False),
)

OUTPUTS = (
    Output(
        name="blank_length",
        title="length of the flat blank",
        dimension="length",
        unit="mm",
        about="of the rectangle that the piece as drawn fits into, with lap and returns",
    ),
    Output(
        name="blank_width",
        title="width of the flat blank",
        dimension="length",
        unit="mm",
        about="the other way",
    ),
    Output(
        name="edge_length",
        title="length of the first end's edge",
        dimension="length",
        unit="mm",
        about="of the rectangle, the oval, the mouth or the cone's first end, on the neutral surface",
    ),
    Output(
        name="edge_length_after",
        title="length of the second end's edge",
        dimension="length",
        unit="mm",
        about="of the round end, on the neutral surface",
    ),
    Output(name="seam_length", title="length of the seam", dimension="length", unit="mm"),
    Output(
        name="slant_height",
        title="slant height of the cone",
        dimension="length",
        unit="mm",
        about="from end to end along its side",
    ),
    Output(
        name="outer_radius",
        title="outer radius of the cone's pattern",
        dimension="length",
        unit="mm",
        about="of the arc that the large end becomes",
    ),
    Output(
        name="inner_radius",
        title="inner radius of the cone's pattern",
        dimension="length",
        unit="mm",
        about="of the arc that the small end becomes",
    ),
    Output(
        name="sector_angle",
        title="sector angle of the cone's pattern",
        dimension="angle",
        unit="°",
        decimals=2,
    ),
    Output(
        name="line_length",
        title="true length of the line",
        dimension="length",
        unit="mm",
        key="line",
        beside=True,
    ),
    Output(
        name="bend_angle",
        title="bend along the line",
        dimension="angle",
        unit="°",
        about="out of the flat",
        key="line",
        beside=True,
    ),
    Output(
        name="wrap_length",
        title="wrap length round the outside",
        dimension="length",
        unit="mm",
        about="of a paper that goes once round the tube",
        decimals=2,
    ),
    Output(
        name="rolled_length",
        title="rolled length on the neutral surface",
        dimension="length",
        unit="mm",
        about="of a sheet that is rolled to the tube",
        decimals=2,
    ),
    Output(
        name="station_mark",
        title="distance of the station along the strip",
        dimension="length",
        unit="mm",
        about="from 0°",
        key="station",
        beside=True,
    ),
    Output(
        name="cut_height",
        title="height of the cut",
        dimension="length",
        unit="mm",
        about="from the square end; of a bend's end piece",
        decimals=2,
        key="station",
        beside=True,
    ),
    Output(
        name="cut_height_outside",
        title="height of the wall's outside",
        dimension="length",
        unit="mm",
        about="where it meets",
        decimals=2,
        key="station",
        beside=True,
    ),
    Output(
        name="cut_height_inside",
        title="height of the wall's inside",
        dimension="length",
        unit="mm",
        about="where it meets",
        decimals=2,
        key="station",
        beside=True,
    ),
    Output(
        name="segment_height",
        title="height of a whole segment",
        dimension="length",
        unit="mm",
        about="from cut to cut",
        decimals=2,
        key="station",
        beside=True,
    ),
    Output(
        name="cut_depth",
        title="depth of the cut",
        dimension="length",
        unit="mm",
        about="highest over lowest place",
        decimals=2,
    ),
    Output(
        name="cut_length",
        title="length of the cut edge",
        dimension="length",
        unit="mm",
        about="on the surface that is marked: what is welded",
    ),
    Output(
        name="hole_length",
        title="length of the hole along the main tube",
        dimension="length",
        unit="mm",
    ),
    Output(
        name="hole_width",
        title="width of the hole round the main tube",
        dimension="length",
        unit="mm",
        about="of a paper laid on its outside",
    ),
    Output(
        name="mitre_angle",
        title="angle of the bend's cuts to square",
        dimension="angle",
        unit="°",
        decimals=2,
    ),
    Output(
        name="middle_length",
        title="length of the bend along its axes",
        dimension="length",
        unit="mm",
        about="without the straight ends",
    ),
    Output(
        name="surface_area",
        title="area of the surface",
        dimension="area",
        unit="cm²",
        about="of the neutral surface, without laps",
    ),
    Output(
        name="sheet_area",
        title="area of the flat sheet",
        dimension="area",
        unit="cm²",
        about="with lap and returns",
    ),
    Output(
        name="mass", title="mass of the piece", dimension="mass", unit="kg", decimals=3, needs=("density",)
    ),
    *rivet_rows.LAP_OUTPUTS,
)

SOURCES = (
    Source(
        id="geometry",
        title="Geometry of developable surfaces",
        standing="derived",
        where="lines that join places of parallel edges; Pythagoras; Guldin's rule",
    ),
    Source(
        id="drafting",
        title="Sheet Metal Drafting, E. M. Longfield",
        publisher="McGraw-Hill",
        edition="1st ed. (1921)",
        where="§ 43, p. 91, area of a frustum; p. 128, its slant height",
    ),
    Source(
        id="neutral",
        title="Neutral surface of rolled sheet: the middle, within a tenth of its depth",
        standing="common practice, no source",
    ),
    Source(id="definition", title="Definitions", standing="derived"),
    *rivet_rows.SOURCES,
)

DOUBTS = (_NEUTRAL,)
DRAWS = 100

HAZARDS = ("sharp-edges", "sparks", "fumes")

# What each shape needs, and what it may have.
_SIZES: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "rectangle_to_round": (("width", "height", "diameter", "length"), ("offset", "corner_radius")),
    "oval_to_round": (("width", "height", "oval", "diameter", "length"), ("offset",)),
    "cone": (("diameter", "diameter_after", "length"), ()),
    "offset_cone": (("diameter", "diameter_after", "length", "offset"), ()),
    "square_scoop": (
        ("width", "height", "width_after", "height_after", "length"),
        ("offset", "return_width", "returns"),
    ),
    "tube_on_tube": (
        ("diameter", "main_diameter", "angle", "length", "cut_from"),
        ("offset", "meets", "hole_for"),
    ),
    "tube_on_plane": (("diameter", "angle", "length", "cut_from"), ()),
    "segmented_bend": (("diameter", "bend_radius", "angle", "segments", "cut_from"), ("end_length",)),
}
_OF_SHAPES = {name for sizes in _SIZES.values() for names in sizes for name in names}
_SHARE = 0.5


def _check(given: Mapping[str, Any]) -> None:
    """Every size that the shape needs, and none that it has no use for."""
    shape = given["shape"]
    needed, allowed = _SIZES[shape]
    for name in needed:
        if name not in given:
            raise MissingInput(name, f"{shape} without {name}", f"{name} as well")
    for name in sorted(_OF_SHAPES & given.keys()):
        if name not in needed and name not in allowed:
            raise InputsConflict(
                name, f"{name} of {shape}", "sizes of this shape: " + ", ".join((*needed, *allowed))
            )
    if given["divisions"] % 4:
        raise OutOfRange("divisions", str(given["divisions"]), "a multiple of 4", help="quarters are alike")
    if shape in _TUBES and given["sizes_are"] != "outside":
        raise InputsConflict(
            "sizes_are", f"{given['sizes_are']} of {shape}", "outside", help="a tube is known by its outside"
        )
    if ("returns" in given) != ("return_width" in given):
        missing = "return_width" if "returns" in given else "returns"
        raise MissingInput(missing, f"a return without {missing}", f"{missing} as well")
    if rivet_rows.ROWS in given:
        _check_rivets(given)


def _check_rivets(given: Mapping[str, Any]) -> None:
    """Rivets want a lap of sheet."""
    if given.get("cut_from") == "tube":
        raise InputsConflict(
            rivet_rows.ROWS,
            "rivets of a tube, whose pattern is a paper",
            "a piece that is cut from sheet",
            help="leave the rows out; the lap of a paper is glued",
        )
    if not given.get("lap"):
        raise MissingInput(
            "lap",
            "rows of rivets without a lap",
            "the width of the lap",
            help="4 rivet diameters have room for a row with 2 on both sides",
        )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The development of one piece; SI in, SI out."""
    _check(given)
    depth = working.step(
        "neutral_depth",
        developed_surfaces.neutral_depth,
        source=_NEUTRAL,
        neutral_share=_SHARE,
        thickness=given["thickness"],
    )
    outputs: Outputs = {}
    area, added = (_tube if given["shape"] in _TUBES else _transition)(given, depth, working, outputs)
    outputs["surface_area"] = area
    sheet = outputs["sheet_area"] = working.step(
        "sheet_area",
        developed_surfaces.sheet_area,
        source="geometry",
        surface_area=area,
        added_area=added,
    )
    if "density" in given:
        outputs["mass"] = working.step(
            "mass",
            developed_surfaces.mass_of_sheet,
            source="definition",
            sheet_area=sheet,
            thickness=given["thickness"],
            density=given["density"],
        )
    return outputs


# --- between two ends ------------------------------------------------------------------------


def _on_neutral(given: Mapping[str, Any], name: str, depth: float, working: Working) -> float:
    """A size of an end on the neutral surface."""
    size: float = given[name]
    if given["sizes_are"] == "outside" and size < 2.5 * given["thickness"]:
        raise OutOfRange(
            "thickness",
            f"{given['thickness'] * 1000:g} mm of {size * 1000:g} mm {name}",
            f"at most {size * 400:g} mm",
            help="a hollow piece has an inside",
        )
    if given["sizes_are"] == "outside":
        return working.step(
            f"neutral_{name}",
            developed_surfaces.size_from_outside,
            source="geometry",
            outside_size=size,
            neutral_depth=depth,
        )
    if given["sizes_are"] == "inside":
        return working.step(
            f"neutral_{name}",
            developed_surfaces.size_from_inside,
            source="geometry",
            inside_size=size,
            thickness=given["thickness"],
            neutral_depth=depth,
        )
    return size


def _corner(given: Mapping[str, Any], depth: float, width: float, height: float) -> float:
    """Radius of a rectangle's corners on the neutral surface."""
    if "corner_radius" not in given or not given["corner_radius"]:
        return 0.0
    inset = {"outside": -depth, "inside": given["thickness"] - depth, "middle": 0.0}[given["sizes_are"]]
    radius: float = given["corner_radius"] + inset
    if not 0 < radius <= min(width, height) / 2:
        raise OutOfRange(
            "corner_radius",
            f"{given['corner_radius'] * 1000:g} mm",
            f"more than the sheet's half thickness, up to {min(width, height) * 500:g} mm",
            help="two corners fit on a side; leave it out where they are sharp",
        )
    return radius


def _ends(given: Mapping[str, Any], depth: float, working: Working) -> tuple[End, End]:
    """Both ends on the neutral surface."""
    size = partial(_on_neutral, given, depth=depth, working=working)
    shape = given["shape"]
    if shape in ("cone", "offset_cone"):
        return _circle(size("diameter")), _circle(size("diameter_after"))
    width, height = size("width"), size("height")
    if shape == "square_scoop":
        return End(width=width, height=height), End(width=size("width_after"), height=size("height_after"))
    if shape == "rectangle_to_round":
        corner = _corner(given, depth, width, height)
        first = End(width=width, height=height, corner_radius=corner)
    elif given["oval"] == "ellipse":
        first = End(width=width, height=height, is_ellipse=True)
    else:
        first = End(width=width, height=height, corner_radius=min(width, height) / 2)
    return first, _circle(size("diameter"))


def _circle(diameter: float) -> End:
    return End(width=diameter, height=diameter, corner_radius=diameter / 2)


def _laid(given: Mapping[str, Any], ends: tuple[End, End]) -> Laid:
    return developed_surfaces.laid(
        *ends, given.get("offset", 0.0), given["length"], divisions=int(given["divisions"])
    )


def _outline(given: Mapping[str, Any], half: Laid) -> Outline:
    returns: tuple[Point, ...] = ()
    if "return_width" in given:
        mitred = given["returns"] != "outwards"
        returns = half.return_points(given["return_width"], mitred)
    return half.outline(given.get("lap", 0.0), returns)


def _transition(
    given: Mapping[str, Any], depth: float, working: Working, outputs: Outputs
) -> tuple[float, float]:
    """A surface between two ends: its area, and what is added to it."""
    ends = _ends(given, depth, working)
    if given["shape"] == "cone":
        _cone(ends, given["length"], working, outputs)
    half = _laid(given, ends)
    for name, end in zip(("edge_length", "edge_length_after"), ends, strict=True):
        outputs[name] = working.step(name, developed_surfaces.edge_length, end, source="geometry")
    seam = outputs["seam_length"] = working.step(
        "seam_length", developed_surfaces.line_length, half.seam, source="geometry"
    )
    _lines(half, working, outputs)
    added = working.step(
        "lap_area",
        developed_surfaces.lap_area,
        source="geometry",
        seam_length=seam,
        lap=given.get("lap", 0.0),
    )
    if "return_width" in given:
        added += _returns(given, half, working, outputs)
    _blank(_outline(given, half), working, outputs)
    _rivets(given, half, working, outputs)
    _see_that_it_can_be_cut(given, half)
    if given["shape"] == "square_scoop":
        working.remark(
            said(
                "Folds are taken as sharp. A right-angled one with an inside radius of one thickness takes "
                "about 0.8 thicknesses less: fold a strip first and measure it."
            )
        )
    area = working.step("surface_area", developed_surfaces.surface_area, half, source="geometry")
    return area, added


def _cone(ends: tuple[End, End], length: float, working: Working, outputs: Outputs) -> None:
    """What a compass and a protractor draw a straight cone's pattern from."""
    first, second = ends[0].width, ends[1].width
    if first == second:
        raise InputsConflict(
            "diameter_after", "the diameter again", "another one", help="a tube is rolled from a rectangle"
        )
    slant = outputs["slant_height"] = working.step(
        "slant_height",
        developed_surfaces.slant_height,
        source="drafting",
        diameter=first,
        diameter_after=second,
        length=length,
    )
    large, small = max(first, second), min(first, second)
    for name, diameter in (("outer_radius", large), ("inner_radius", small)):
        outputs[name] = working.step(
            name,
            developed_surfaces.pattern_radius,
            source="geometry",
            diameter=diameter,
            slant_height=slant,
            large_diameter=large,
            small_diameter=small,
        )
    outputs["sector_angle"] = working.step(
        "sector_angle",
        developed_surfaces.sector_angle,
        source="geometry",
        large_diameter=large,
        small_diameter=small,
        slant_height=slant,
    )


def _lines(half: Laid, working: Working, outputs: Outputs) -> None:
    lengths: dict[str, float] = {}
    bends: dict[str, float] = {}
    for fold in half.bends:
        key = fold.ruling.key
        lengths[key] = working.step(
            f"line_length.{key}", developed_surfaces.line_length, fold.ruling, source="geometry"
        )
        bends[key] = working.step(f"bend_angle.{key}", developed_surfaces.bend_angle, fold, source="geometry")
    outputs.update(line_length=lengths, bend_angle=bends)


def _see_that_it_can_be_cut(given: Mapping[str, Any], half: Laid) -> None:
    """Refuse a lap or returns that lie over another edge in the flat: a sheet has each place once. A flat
    cone is nearly a whole disc, without room for a lap."""
    outline = _outline(given, half).points
    edges = (*outline, outline[0])
    behind = len(outline) - len(half.edge(second=True)) + 1
    before = 0 if "return_width" in given else len(half.edge(second=False)) - 1
    strips = list(pairwise(edges[before:behind]))
    if not any(pieces_cross(strip, edge) for strip in strips for edge in pairwise(edges)):
        return
    name = next(name for name in ("return_width", "lap", "length") if name in given)
    raise OutOfRange(
        name,
        f"edges that lie over each other in the flat, with {name} {given[name] * 1000:g} mm",
        "edges beside each other, to be cut from one sheet",
        help="the sides slant so much that strips meet: narrower ones, less slant, or strips of their own",
    )


def _returns(given: Mapping[str, Any], half: Laid, working: Working, outputs: Outputs) -> float:
    """Sheet in the returns along the mouth."""
    mouth = half.ends[0]
    width = given["return_width"]
    if width > 0.4 * min(mouth.width, mouth.height):
        raise OutOfRange(
            "return_width",
            f"{width * 1000:g} mm",
            f"at most {400 * min(mouth.width, mouth.height):.3g} mm",
            help="returns of two sides may not meet",
        )
    perimeter = outputs["edge_length"]
    assert isinstance(perimeter, float)
    return working.step(
        "returns_area",
        developed_surfaces.returns_area,
        source="geometry",
        edge_length=perimeter,
        return_width=width,
        corners=0.0 if given["returns"] == "outwards" else 4.0,
    )


def _blank(outline: Outline, working: Working, outputs: Outputs) -> None:
    outputs["blank_length"] = working.step(
        "blank_length", developed_surfaces.width_of, outline, source="geometry"
    )
    outputs["blank_width"] = working.step(
        "blank_width", developed_surfaces.height_of, outline, source="geometry"
    )


# --- ends of tubes -----------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class _Tube:
    """A tube of a case: its outside, inside and neutral radius, and the one that is marked on."""

    given: Mapping[str, Any]
    neutral: float

    @property
    def outside(self) -> float:
        return float(self.given["diameter"] / 2)

    @property
    def inside(self) -> float:
        return float(self.given["diameter"] / 2 - self.given["thickness"])

    @property
    def marked(self) -> float:
        return self.outside if self.given["cut_from"] == "tube" else self.neutral

    @property
    def bare(self) -> _Tube:
        """The same without the straight end of a bend: half of its whole segment."""
        return _Tube(given={**self.given, "end_length": 0.0}, neutral=self.neutral)

    @property
    def middle(self) -> float:
        """Straight length of the piece below the cut, on its axis."""
        return float(self.given.get("end_length", 0.0))

    def formula(self) -> tuple[Callable[..., float], dict[str, float]]:
        """What gives the height at a radius and a station; of a branch, how far along it the main tube is."""
        given = self.given
        if given["shape"] == "tube_on_tube":
            return tube_saddles.saddle_distance, {
                "main_radius": given["main_diameter"] / 2,
                "angle": given["angle"],
                "offset": given.get("offset", 0.0),
            }
        if given["shape"] == "tube_on_plane":
            return tube_saddles.mitre_height, {"length": given["length"], "angle": given["angle"]}
        return tube_saddles.half_segment_height, {
            "bend_radius": given["bend_radius"],
            "mitre_angle": tube_saddles.mitre_angle(given["angle"], given["segments"]),
        }

    def height(self, radius: float, station: float) -> float:
        """Height of the cut at a radius."""
        function, sizes = self.formula()
        found = function(radius=radius, station=station, **sizes)
        if self.given["shape"] == "tube_on_tube":
            return float(self.given["length"] - found)
        return found + self.middle

    def cut(self, station: float) -> float:
        """Height of the cut that the pattern has."""
        if self.given["shape"] != "tube_on_tube":
            return self.height(self.marked, station)
        meets = self.given.get("meets", "first")
        if meets != "first":
            return self.height(self.outside if meets == "outside" else self.inside, station)
        return min(self.height(self.outside, station), self.height(self.inside, station))

    def other(self, station: float) -> float:
        """Height of the edge of the wall that the pattern is not cut by, or not there."""
        outside, inside = self.height(self.outside, station), self.height(self.inside, station)
        cut = self.cut(station)
        return inside if abs(cut - outside) <= abs(cut - inside) else outside

    def stations(self) -> dict[str, float]:
        """Angle by key."""
        count = int(self.given["divisions"])
        return {f"{360 * number / count:.4g}°": 2 * pi * number / count for number in range(count + 1)}

    def curve(self, height: Callable[[float], float]) -> tuple[Point, ...]:
        """A curve of heights along the strip."""
        return curve_points(
            lambda x: (x, height(x / self.marked)), 0.0, 2 * pi * self.marked, int(self.given["divisions"])
        )

    def outline(self, twice: bool = False) -> Outline:
        """The strip, its square end below; a whole segment has its two cuts above and below."""
        above = self.curve(self.cut)
        below = tuple((x, -y) for x, y in above) if twice else ((0.0, 0.0), (above[-1][0], 0.0))
        lap = self.given.get("lap", 0.0)
        beside: tuple[Point, ...] = ()
        if lap:
            beside = ((above[-1][0] + lap, below[-1][1]), (above[-1][0] + lap, above[-1][1]))
        return Outline((*below, *beside, *reversed(above)))


def _tube(given: Mapping[str, Any], depth: float, working: Working, outputs: Outputs) -> tuple[float, float]:
    """A tube's piece: the area of its wall, and what is added to it."""
    _check_tube(given)
    neutral = working.step(
        "neutral_diameter",
        developed_surfaces.size_from_outside,
        source="geometry",
        outside_size=given["diameter"],
        neutral_depth=depth,
    )
    tube = _Tube(given=given, neutral=neutral / 2)
    outputs["wrap_length"] = working.step(
        "wrap_length", tube_saddles.girth, source="geometry", diameter=given["diameter"]
    )
    round_neutral = outputs["rolled_length"] = working.step(
        "rolled_length", tube_saddles.girth, source="geometry", diameter=neutral
    )
    if given["shape"] == "segmented_bend":
        _bend(given, working, outputs)
    round_tube = tube_saddles.profile(tube.cut)
    lowest = min(round_tube.heights)
    if lowest <= 0:
        raise OutOfRange(
            "length",
            f"{given['length'] * 1000:g} mm",
            f"more than {(given['length'] - lowest) * 1000:.4g} mm",
            help="the cut would go through the square end",
        )
    _stations(tube, working, outputs)
    outputs["cut_depth"] = working.step("cut_depth", tube_saddles.cut_depth, round_tube, source="geometry")
    outputs["cut_length"] = working.step(
        "cut_length", tube_saddles.cut_length, round_tube, source="geometry", diameter=2 * tube.marked
    )
    if given["shape"] == "tube_on_tube":
        _hole(tube, working, outputs)
    _blank(tube.outline(_has_whole(given)), working, outputs)
    _rivets(given, tube, working, outputs)
    _of_lap(tube, working)
    return _wall(tube, round_tube, round_neutral, working, outputs)


_TRIMMED = 0.1e-3
"""m: what is filed off without a thought."""


def _of_lap(tube: _Tube, working: Working) -> None:
    """Say where a lap, which ends square, stands above the cut that falls away under it."""
    width = tube.given.get("lap", 0.0)
    over = max(tube.cut(0.0) - tube.cut(width / tube.marked * share / 8) for share in range(9))
    if over > _TRIMMED:
        working.remark(
            said(
                "The lap stands up to {over} mm above the cut that it covers: trim it when the tube is "
                "rolled.",
                over=f"{over * 1000:.1f}",
            )
        )


def _has_whole(given: Mapping[str, Any]) -> bool:
    """Whether there are whole segments between the ends of a bend."""
    return bool(given["shape"] == "segmented_bend" and given["segments"] > 2)


def _check_tube(given: Mapping[str, Any]) -> None:
    """What can be said of a tube before its formulae: they name their own symbols."""
    outside = given["diameter"] / 2
    if given["thickness"] > 0.45 * given["diameter"]:
        raise OutOfRange(
            "thickness",
            f"{given['thickness'] * 1000:g} mm",
            f"at most {450 * given['diameter']:.4g} mm",
            help="a tube has a bore",
        )
    low, high = (1.0, 180.0) if given["shape"] == "segmented_bend" else (10.0, 90.0)
    degrees = given["angle"] * 180 / pi
    if not low - 1e-9 <= degrees <= high + 1e-9:
        help = "count the smaller of the two angles between them" if degrees > high else "no joint is flatter"
        raise OutOfRange("angle", f"{degrees:g}°", f"{low:g} to {high:g}°", help=help)
    if given["shape"] == "tube_on_tube":
        reach = outside + abs(given.get("offset", 0.0))
        if reach > given["main_diameter"] / 2 * (1 + 1e-12):
            raise OutOfRange(
                "main_diameter",
                f"{given['main_diameter'] * 1000:g} mm",
                f"at least {2000 * reach:.4g} mm",
                help="all of the branch has to meet the main tube",
            )
    if given["shape"] == "segmented_bend" and given["bend_radius"] <= outside:
        raise OutOfRange(
            "bend_radius",
            f"{given['bend_radius'] * 1000:g} mm",
            f"more than {outside * 1000:g} mm",
            help="its pieces have a throat",
        )


def _bend(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    mitre = outputs["mitre_angle"] = working.step(
        "mitre_angle",
        tube_saddles.mitre_angle,
        source="geometry",
        angle=given["angle"],
        segments=given["segments"],
    )
    if mitre > pi / 3:
        raise OutOfRange(
            "segments",
            f"{given['segments']} for {given['angle'] * 180 / pi:g}°",
            "more of them: cuts of at most 60° to square",
        )
    outputs["middle_length"] = working.step(
        "middle_length",
        tube_saddles.middle_length,
        source="geometry",
        bend_radius=given["bend_radius"],
        mitre_angle=mitre,
        segments=given["segments"],
    )


def _stations(tube: _Tube, working: Working, outputs: Outputs) -> None:
    """The table that a fabricator marks from."""
    given = tube.given
    listed: dict[str, dict[str, float]] = {
        name: {} for name in ("station_mark", "cut_height", "cut_height_outside", "cut_height_inside")
    }
    whole: dict[str, float] = {}
    strip = outputs["wrap_length" if given["cut_from"] == "tube" else "rolled_length"]
    assert isinstance(strip, float)
    for key, station in tube.stations().items():
        listed["station_mark"][key] = working.step(
            f"station_mark.{key}",
            tube_saddles.station_mark,
            source="geometry",
            girth=strip,
            share=station / (2 * pi),
        )
        for name, radius in (("outside", tube.outside), ("inside", tube.inside)):
            listed[f"cut_height_{name}"][key] = _height(
                tube, f"cut_height_{name}.{key}", radius, station, working
            )
        cut = listed["cut_height"][key] = _cut_height(tube, key, station, listed, working)
        if _has_whole(given):
            whole[key] = working.step(
                f"segment_height.{key}",
                tube_saddles.twice,
                source="geometry",
                half=cut - tube.middle,
                times=2.0,
            )
    outputs.update(listed)
    if whole:
        outputs["segment_height"] = whole


def _height(tube: _Tube, name: str, radius: float, station: float, working: Working) -> float:
    """The height of the wall at a radius; of a branch by way of the distance to the main tube."""
    function, sizes = tube.formula()
    if tube.given["shape"] == "tube_on_tube":
        along = working.step(
            f"distance_along.{name}", function, source="geometry", radius=radius, station=station, **sizes
        )
        return working.step(
            name,
            tube_saddles.height_left,
            source="geometry",
            length=tube.given["length"],
            saddle_distance=along,
        )
    if not tube.middle:
        return working.step(name, function, source="geometry", radius=radius, station=station, **sizes)
    half = working.step(f"half.{name}", function, source="geometry", radius=radius, station=station, **sizes)
    return working.step(
        name, tube_saddles.with_straight, source="geometry", half=half, end_length=tube.middle
    )


def _cut_height(
    tube: _Tube, key: str, station: float, listed: Mapping[str, dict[str, float]], working: Working
) -> float:
    """The height that is cut: by the edge of the wall that meets, or on the surface that is marked."""
    if tube.given["shape"] != "tube_on_tube":
        return _height(tube, f"cut_height.{key}", tube.marked, station, working)
    meets = tube.given.get("meets", "first")
    if meets == "first":
        return working.step(
            f"cut_height.{key}",
            tube_saddles.lower_of,
            source="geometry",
            outside_height=listed["cut_height_outside"][key],
            inside_height=listed["cut_height_inside"][key],
        )
    return _height(
        tube, f"cut_height.{key}", tube.outside if meets == "outside" else tube.inside, station, working
    )


def _hole_edge(tube: _Tube) -> Outline:
    given = tube.given
    radius = tube.outside if given.get("hole_for", "bore") == "outside" else tube.inside
    return tube_saddles.hole(given["main_diameter"] / 2, radius, given["angle"], given.get("offset", 0.0))


def _hole(tube: _Tube, working: Working, outputs: Outputs) -> None:
    edge = _hole_edge(tube)
    outputs["hole_length"] = working.step("hole_length", developed_surfaces.width_of, edge, source="geometry")
    outputs["hole_width"] = working.step("hole_width", developed_surfaces.height_of, edge, source="geometry")


def _wall(
    tube: _Tube, round_tube: Profile, round_neutral: float, working: Working, outputs: Outputs
) -> tuple[float, float]:
    """Area of the wall, and of the lap of what is rolled."""
    given = tube.given
    if given["shape"] == "tube_on_tube":
        length = working.step("mean_height", tube_saddles.mean_height, round_tube, source="geometry")
    elif given["shape"] == "tube_on_plane":
        length = given["length"]
    else:
        middle = outputs["middle_length"]
        assert isinstance(middle, float)
        length = working.step(
            "whole_length",
            tube_saddles.with_straight,
            source="geometry",
            half=middle,
            end_length=2 * tube.middle,
        )
    area = working.step(
        "surface_area", tube_saddles.wall_area, source="geometry", girth=round_neutral, length=length
    )
    if given["cut_from"] == "tube":
        return area, 0.0
    if not given.get("lap"):
        return area, 0.0
    seams = first = round_tube.heights[0]
    if given["shape"] == "segmented_bend":
        seams = 2 * (given["segments"] - 1) * (first - tube.middle) + 2 * tube.middle
    added = working.step(
        "lap_area", tube_saddles.strip_area, source="geometry", strip_length=seams, lap=given["lap"]
    )
    return area, added


# --- rivets along the seam ---------------------------------------------------------------------


def _rivets(given: Mapping[str, Any], piece: _Tube | Laid, working: Working, outputs: Outputs) -> None:
    if rivet_rows.ROWS in given:
        rivet_rows.lay_rows(given, _laps(given, piece), working, outputs, column="piece")


def _laps(given: Mapping[str, Any], piece: _Tube | Laid) -> dict[str, Edge]:
    """The free edge of each lap, with what it covers, by the piece that has it."""
    if isinstance(piece, Laid):
        return {"seam": _lap_of_surface(given, piece)}
    if given["shape"] != "segmented_bend":
        return {"seam": _lap_of_strip(piece)}
    laps = {"end": _lap_of_strip(piece, "end")}
    if _has_whole(given):
        laps["segment"] = _lap_of_strip(piece.bare, "segment")
    return laps


def _lap_of_surface(given: Mapping[str, Any], half: Laid) -> Edge:
    """The lap at the right seam covers the sheet at the left one, which is its mirror image."""
    lap = given["lap"]
    (x, y), (x_2, y_2) = half.seam.flat_first, half.seam.flat_second
    length = hypot(x_2 - x, y_2 - y)
    along = ((x_2 - x) / length, (y_2 - y) / length)
    inward = (-along[1], along[0])
    folds = [
        (_left(ruling.flat_first), _left(ruling.flat_second)) for ruling in half.folds if ruling != half.seam
    ]
    if "return_width" in given:
        folds += pairwise(half.edge(second=False))
    is_flat = any(end.straight(2) for end in half.ends)
    covers = Edge(begin=_left((x, y)), along=_left(along), inward=_left(inward), length=length, depth=lap)
    return Edge(
        begin=(x - lap * inward[0], y - lap * inward[1]),
        along=along,
        inward=inward,
        length=length,
        depth=lap,
        lap=Lap(
            covers=covers,
            outline=_outline(given, half).points,
            folds=tuple(folds),
            wall_radius=None if is_flat else min(end.radius(pi) for end in half.ends),
        ),
    )


def _lap_of_strip(tube: _Tube, piece: str = "") -> Edge:
    """The lap beyond 360° covers the strip from 0° on."""
    lap, height, end = tube.given["lap"], tube.cut(0.0), 2 * pi * tube.marked
    foot = -height if piece == "segment" else 0.0
    up, length = (0.0, 1.0), height - foot
    covers = Edge(begin=(0.0, foot), along=up, inward=(1.0, 0.0), length=length, depth=lap)
    return Edge(
        begin=(end + lap, foot),
        along=up,
        inward=(-1.0, 0.0),
        length=length,
        depth=lap,
        piece=piece,
        lap=Lap(
            covers=covers,
            outline=tube.outline(piece == "segment").points,
            folds=(),
            wall_radius=tube.marked,
        ),
    )


# --- what is drawn -----------------------------------------------------------------------------


def _of(case: CaseView) -> _Tube | Laid:
    """The piece of a case, from its inputs; no doubt is moved here."""
    given, silent = case.inputs, Working(noted=False)
    depth = developed_surfaces.neutral_depth(neutral_share=_SHARE, thickness=given["thickness"])
    if given["shape"] in _TUBES:
        return _Tube(given=given, neutral=given["diameter"] / 2 - depth)
    return _laid(given, _ends(given, depth, silent))


def _outline_of(case: CaseView, piece: _Tube | Laid) -> Outline:
    if isinstance(piece, Laid):
        return _outline(case.inputs, piece)
    return piece.outline(_has_whole(case.inputs))


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """The flat piece of each case."""
    charts = []
    for name, case in cases.items():
        outline = _outline_of(case, _of(case)).points
        closed = (*outline, outline[0])
        words = _SHAPES[case.inputs["shape"]]
        charts.append(
            ChartSpec(
                title=f"Flat pattern, {name}" if name else "Flat pattern",
                description=f"The outline of the flat piece, of a {words}, to one scale both ways.",
                x=Axis("across", "length", "mm"),
                y=Axis("upwards", "length", "mm"),
                series=(
                    Series(label="cut line", x=[x for x, _ in closed], y=[y for _, y in closed], filled=True),
                ),
                equal_scale=True,
            )
        )
    return tuple(charts)


def patterns(cases: Mapping[str, CaseView]) -> tuple[Pattern, ...]:
    """The flat pieces at full size."""
    found: list[Pattern] = []
    for case in cases.values():
        piece = _of(case)
        if isinstance(piece, Laid):
            found.append(_pattern_of_surface(case, piece))
        else:
            found += _patterns_of_tube(case, piece)
    return tuple(found)


_WRAP = said(
    "Wrap it round the outside of the tube until its ends meet at 0°, the straight edge along the tube's "
    "square end; scribe along the curve."
)
_WRAP_SEGMENT = said(
    "Wrap it round the outside of the tube until its ends meet at 0°, its middle square to the tube; scribe "
    "along both curves."
)
_ROLL = said("Cut it from sheet and roll it until its ends meet at 0°, which is the shortest side.")


def _pattern(piece: str, case: CaseView, title: str, use: str, **drawn: Any) -> Pattern:
    given = case.inputs
    return Pattern(
        name=piece,
        title=title,
        material=given.get("material", ""),
        revision=given.get("revision", ""),
        use=use,
        **drawn,
    )


_BEYOND = 0.012
"""How far outside of a piece its dimension lines lie, in m."""


def _right_of(case: CaseView) -> float:
    """How far beyond a strip's lap its height is told: beyond the measures of its rivets."""
    return 2 * _BEYOND if rivet_rows.ROWS in case.inputs else _BEYOND


def _extents(outline: tuple[Point, ...], length: str, width: str) -> tuple[Dimension, Dimension]:
    """The dimensions of the blank: below and at the left."""
    left, right = min(outline), max(outline)
    low = min(outline, key=lambda point: point[1])
    high = max(outline, key=lambda point: point[1])
    return (
        Dimension(
            start=left,
            end=right,
            output=length,
            away=-(left[1] - low[1]) - _BEYOND,
            past=-(left[1] - low[1]),
            along="horizontal",
        ),
        Dimension(
            start=low,
            end=high,
            output=width,
            away=low[0] - left[0] + _BEYOND,
            past=low[0] - left[0],
            along="vertical",
        ),
    )


def _pattern_of_surface(case: CaseView, half: Laid) -> Pattern:
    outline = _outline(case.inputs, half).points
    lines = [Line(kind="cut", points=outline, closed=True)]
    notes: list[Note] = []
    middle, seam = half.rulings[0], half.seam
    for ruling in half.folds:
        if ruling == seam and case.inputs["shape"] != "square_scoop":
            continue  # the seam lies on it
        lines.append(Line(kind="bend", points=(ruling.flat_first, ruling.flat_second)))
        notes += _fold_notes(ruling.key, ruling.flat_first, ruling.flat_second)
        if ruling != middle:
            lines.append(Line(kind="bend", points=(_left(ruling.flat_first), _left(ruling.flat_second))))
    if not middle.fold:
        lines.append(Line(kind="centre", points=(middle.flat_first, middle.flat_second)))
    if case.inputs.get("lap"):
        lines.append(Line(kind="mark", points=(seam.flat_first, seam.flat_second)))
    if "return_width" in case.inputs:
        lines.append(Line(kind="bend", points=half.edge(second=False)))
    holes, middles, measures = _drawn_rivets(case, half)
    dimensions = (
        *_extents(outline, "blank_length", "blank_width"),
        Dimension(
            start=_left(seam.flat_first),
            end=_left(seam.flat_second),
            output="seam_length",
            away=_BEYOND / 2,
        ),
        *measures,
    )
    return _pattern(
        "",
        case,
        said("Flat pattern of the piece"),
        _RETURNED if case.inputs.get("returns") == "outwards" else _BENT,
        lines=(*lines, *middles),
        holes=holes,
        dimensions=dimensions,
        notes=tuple(notes),
    )


_BENT = said("Seen on the outside of the piece: bend away from you along the bend lines.")
_RETURNED = said(
    "Seen on the outside of the piece: bend away from you along the bend lines, and the returns along the "
    "mouth towards you."
)


def _drawn_rivets(
    case: CaseView, piece: _Tube | Laid, name: str = ""
) -> tuple[tuple[Hole, ...], tuple[Line, ...], tuple[Dimension, ...]]:
    """Holes of rivets in a pattern, the lines through their middles, and their measures."""
    if rivet_rows.ROWS not in case.inputs:
        return (), (), ()
    holes, lines, dimensions = rivet_rows.drawn_rows(
        case.inputs, _laps(case.inputs, piece), case.outputs, column="piece", piece=name
    )
    return tuple(holes), tuple(lines), tuple(dimensions)


def _left(point: Point) -> Point:
    return -point[0], point[1]


_ASIDE = 0.0024
"""How far words stand beside their line, in m: they are 3.5 mm high."""


def _beside(begin: Point, end: Point, share: float) -> Point:
    """A place beside a line, so far along it."""
    across, up = end[0] - begin[0], end[1] - begin[1]
    aside = _ASIDE / hypot(across, up)
    return begin[0] + across * share - up * aside, begin[1] + up * share + across * aside


def _fold_notes(key: str, begin: Point, end: Point) -> tuple[Note, Note]:
    """What a fold is called, near the second end, and by how much it is bent."""
    turned = atan2(end[1] - begin[1], end[0] - begin[0])
    return (
        Note(place=_beside(begin, end, 0.84), text=key, turned=turned),
        Note(place=_beside(begin, end, 0.5), text="{value}", output="bend_angle", key=key, turned=turned),
    )


def _patterns_of_tube(case: CaseView, tube: _Tube) -> list[Pattern]:
    given = case.inputs
    use = _WRAP if given["cut_from"] == "tube" else _ROLL
    if given["shape"] != "segmented_bend":
        found = [_strip("", case, tube, said("Pattern of the tube’s end"), use)]
    else:
        found = [_strip("end", case, tube, said("Pattern of the bend’s end piece"), use)]
        if _has_whole(given):
            found.append(_segment(case, tube))
    if given["shape"] == "tube_on_tube":
        found.append(_hole_pattern(case, tube))
    return found


def _strip(piece: str, case: CaseView, tube: _Tube, title: str, use: str) -> Pattern:
    """The strip with one cut end, its stations marked."""
    outline = tube.outline().points
    end = 2 * pi * tube.marked
    lines = [Line(kind="cut", points=outline, closed=True)]
    notes: list[Note] = []
    for key, station in tube.stations().items():
        x = station * tube.marked
        lines.append(Line(kind="mark", points=((x, 0.0), (x, tube.cut(station)))))
        notes += _station_notes(tube, key, station, tube.cut(station) / 2)
    kind: LineKind = "mark"
    if case.inputs["shape"] != "segmented_bend":
        lines.append(Line(kind=kind, points=tube.curve(tube.other)))
    length = "wrap_length" if case.inputs["cut_from"] == "tube" else "rolled_length"
    half_way = pi * tube.marked
    dimensions = (
        Dimension(start=(0.0, 0.0), end=(end, 0.0), output=length, away=-_BEYOND),
        Dimension(start=(0.0, 0.0), end=(0.0, tube.cut(0.0)), output="cut_height", key="0°", away=_BEYOND),
        Dimension(
            start=(half_way, 0.0),
            end=(half_way, tube.cut(pi)),
            output="cut_height",
            key="180°",
            away=-half_way - case.inputs.get("lap", 0.0) - _right_of(case),
            past=-half_way - case.inputs.get("lap", 0.0),
        ),
    )
    holes, middles, measures = _drawn_rivets(case, tube, piece)
    return _pattern(
        piece,
        case,
        title,
        use,
        lines=(*lines, *middles),
        holes=holes,
        dimensions=(*dimensions, *measures),
        notes=tuple(notes),
    )


def _station_notes(tube: _Tube, key: str, station: float, height: float) -> tuple[Note, ...]:
    """What a station is called, beside its line; only the quarters where lines are near to each other."""
    last = station == 2 * pi
    near = 2 * pi * tube.marked / tube.given["divisions"] < 2 * _ASIDE
    if near and (station / (pi / 2)) % 1 > 1e-9:
        return ()
    x = station * tube.marked + (-_ASIDE if last else _ASIDE)
    return (Note(place=(x, height), text=key, turned=pi / 2),)


def _segment(case: CaseView, tube: _Tube) -> Pattern:
    """A whole segment between two cuts, about its middle."""
    bare = tube.bare
    outline, low = bare.outline(twice=True).points, bare.cut(0.0)
    lines = [Line(kind="cut", points=outline, closed=True)]
    notes: list[Note] = []
    for key, station in bare.stations().items():
        x, reach = station * bare.marked, bare.cut(station)
        lines.append(Line(kind="mark", points=((x, -reach), (x, reach))))
        notes += _station_notes(bare, key, station, low / 2)
    end = 2 * pi * bare.marked
    lines.append(Line(kind="centre", points=((0.0, 0.0), (end, 0.0))))
    length = "wrap_length" if case.inputs["cut_from"] == "tube" else "rolled_length"
    high = bare.cut(pi)
    dimensions = (
        Dimension(
            start=(0.0, -low), end=(end, -low), output=length, away=low - high - _BEYOND, past=low - high
        ),
        Dimension(start=(0.0, -low), end=(0.0, low), output="segment_height", key="0°", away=_BEYOND),
        Dimension(
            start=(end / 2, -high),
            end=(end / 2, high),
            output="segment_height",
            key="180°",
            away=-end / 2 - case.inputs.get("lap", 0.0) - _right_of(case),
            past=-end / 2 - case.inputs.get("lap", 0.0),
        ),
    )
    holes, middles, measures = _drawn_rivets(case, tube, "segment")
    return _pattern(
        "segment",
        case,
        said("Pattern of the bend’s whole segment"),
        _WRAP_SEGMENT if case.inputs["cut_from"] == "tube" else _ROLL,
        lines=(*lines, *middles),
        holes=holes,
        dimensions=(*dimensions, *measures),
        notes=tuple(notes),
    )


def _hole_pattern(case: CaseView, tube: _Tube) -> Pattern:
    edge = _hole_edge(tube).points
    xs, ys = [x for x, _ in edge], [y for _, y in edge]
    lines = (
        Line(kind="cut", points=edge, closed=True),
        Line(kind="centre", points=((min(xs) - _BEYOND, 0.0), (max(xs) + _BEYOND, 0.0))),
        Line(kind="centre", points=((0.0, min(ys) - _BEYOND), (0.0, max(ys) + _BEYOND))),
    )
    return _pattern(
        "hole",
        case,
        said("Pattern of the hole in the main tube"),
        said(
            "Lay it on the outside of the main tube, the long line along the tube and over the middle of the "
            "side that the branch comes from, the cross where the axes pass each other; 0° and 90° are the "
            "branch's stations."
        ),
        lines=lines,
        dimensions=_extents(edge, "hole_length", "hole_width"),
        notes=(
            Note(place=(max(xs) + _BEYOND / 2, _ASIDE), text="0°"),
            Note(place=(2 * _ASIDE, min(ys) - _BEYOND / 2), text="90°"),
        ),
    )
