"""A header or an exhaust as bends and straights: cut marks, material, lengths and where it ends.

**What you buy** goes into `stock`: mandrel bends with their diameter, wall, centre-line radius, angle and the
straight legs that they come with; straight tube with the length that it is sold in. **What you make** goes
into `tubes`, one row a primary, secondary or tail, and `pieces`, one row a piece in the order in which the
gas meets them, each `cut_from` a row of the stock: a straight has a `length`, a bend an `angle` up to that of
its stock, and keeps a `leg_before` or a `leg_after` where you say so.

| piece | columns it needs | besides |
|---|---|---|
| straight | tube, cut_from, length | section |
| first bend of a tube | tube, cut_from, angle | leg_before, leg_after, section |
| any later bend | tube, cut_from, angle, rotation | leg_before, leg_after, section |

**Rotation** is that of a bend's plane against the plane of the bend before it, clockwise as the gas sees it:
0° bends on the same way, 180° back the other way. The first bend of a tube has none before it; its plane is
the tube's `first_plane`, from upwards. x runs backwards, y to the right and z upwards, and a tube leaves by
`heading` (from straight back towards the right, seen from above) and `pitch` (upwards). Say where it `ends`
and how it is to point there, and the block tells by how much it misses: that is the gap to close with the
next cut, and the kink to take out of the last bend.

**Marks.** A bend is marked on its outside and on its inside, from the line where it begins, and cut square
from mark to mark; `chord` is the check with a calliper. `rotation_mark` is the rotation as a distance round
the bend's own tube, the later one at a joint where the size changes: draw the line of the back of each bend,
lay a strip of paper round it there, turn by so much, and tack. All lengths are those of the tube's outer wall
as bought; a bend that is out of round at its back has its own.

**Cuts.** `kerf` is what a cut takes with what is dressed off after it. In a bend its slot is as wide inside
as outside, so it costs an angle that counts at the inside: 2 mm in a bend of 63 mm of 42 mm tube are 2.7°,
not 1.8°, and where it is wider than the inside radius each piece gets a bend of its own. `cutting_plan` has
one bracket for each length of stock, with the pieces that come out of it in order; it puts the largest piece
first into the first length that has room, and then searches for less. Where `stock_needed` is
`least_possible` there is no plan with fewer; where it is more, the search was given up. A piece with a leg
takes an end of its bend with it. Rests of legs are not cut into straights, and the ends of stock are taken to
be square.

**Length.** `cut_length` is the sum of the centre lines; `tube_length` is that less what the welds draw in,
and the one to compare and to hand on. `weld_shrinkage` is what a weld draws in, less the gap it was fitted
with: 0 to 1 mm in thin tube (common practice, no source). `marks_within` is how far a cut, or a rotation
round the tube, may be beside its mark, either way, each by itself. Lengths of the tubes that are `compared`
come with their `spread`, which has to stay `equal_within` a length of yours.

**Sections.** Pieces that follow each other may be named as one `section` of a stepped primary, all of one
size of tube. Their mean length over the compared tubes, and their bore, are what the kind `header` takes as
a row of its sections; `straight_length` and `bend_angle` of a tube are what the kind `exhaust` takes.

**Wall.** A bend's outside is drawn thin: by constant volume s·R/(R + D/2), three quarters of the wall at a
radius of 1.5 diameters. Heat exchangers reckon with less thinning (1/(1 + D/4R), TEMA), power piping with
about as much (ASME B31.1 adds 25 % at 3 diameters), so the result has 15 % either way. Say what you want left
as `least_wall`, and grind no weld there.

**Mass** is that of the tube by its centre line (Pappus): flanges, collectors and filler are not in it. Walls
may be 0.2 mm off either way by EN 10296-2, which is most of its uncertainty: weigh the stock.

**What it does not show.** Whether a tube clears the steering, the starter and its neighbours: leave a
finger's width. Nor the development of a mitre or of a collector's merge.

```yaml
id: two-primaries
kind: tube_set
inputs:
  material: stainless-304
  kerf: 2 mm
  compared: [one, two]
  equal_within: 10 mm
  stock:
    - {name: bend 42, kind: bend, outer_diameter: 42 mm, wall_thickness: 1.5 mm, bend_radius: 63 mm,
       angle: 90°, leg_length: 60 mm}
    - {name: tube 42, kind: straight, outer_diameter: 42 mm, wall_thickness: 1.5 mm, length: 1000 mm}
    - {name: tube 45, kind: straight, outer_diameter: 45 mm, wall_thickness: 1.5 mm, length: 1000 mm}
  tubes:
    - {name: one, first_plane: 180°, ends_x: 330 mm, ends_y: 0 mm, ends_z: -330 mm, ends_heading: 0°,
       ends_pitch: 0°}
    - {name: two, y: 95 mm, first_plane: 180°}
  pieces:
    - {name: one out, tube: one, cut_from: tube 42, length: 80 mm, section: first}
    - {name: one down, tube: one, cut_from: bend 42, angle: 90°, section: first}
    - {name: one drop, tube: one, cut_from: tube 42, length: 200 mm, section: first}
    - {name: one back, tube: one, cut_from: bend 42, angle: 90°, rotation: 180°, section: first}
    - {name: one run, tube: one, cut_from: tube 45, length: 120 mm, section: last}
    - {name: two down, tube: two, cut_from: bend 42, angle: 60°, leg_before: 50 mm, section: first}
    - {name: two drop, tube: two, cut_from: tube 42, length: 330 mm, section: first}
    - {name: two back, tube: two, cut_from: bend 42, angle: 60°, rotation: 180°, section: first}
    - {name: two run, tube: two, cut_from: tube 45, length: 120 mm, section: last}
```
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import degrees
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, did_you_mean, in_row
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Listed,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Working,
    Zone,
    given_together,
)
from buildlog.kinds.keys import address_key, row_keys
from buildlog.physics import bends, cutting, tube
from buildlog.physics.bends import Place, Span
from buildlog.physics.cutting import CutPlan
from buildlog.physics.tube import MATERIALS
from buildlog.said import said

KIND = "tube_set"

_WALL = Doubt(
    name="wall_of_bought_tube",
    about="wall of a welded tube that nobody measured",
    source="en-10296-2",
    absolute=0.2e-3,
    unit="m",
    limits=True,
    range="walls up to 2 mm",
)
_MARKING = Doubt(
    name="marking",
    about="a cut beside its mark, or a rotation; its size is that of marks_within",
    source="practice",
    formula="geometry",
    absolute=1e-3,
    unit="m",
    limits=True,
)
_THINNING = Doubt(
    name="thinning_of_a_bend",
    about="wall at the outside of a bend: how it was pushed and held, which catalogues do not tell",
    source="thinning",
    formula="constant-volume",
    relative=0.15,
    limits=True,
    range="radii from 1.5 diameters",
)

_PLACE = Number(dimension="length", unit="mm", low=-10_000, high=10_000, why="tubes within a car")
_TURN = Number(dimension="angle", unit="°", low=-360, high=360, why="a turn either way")
_HEADING = Number(dimension="angle", unit="°", low=-180, high=180, why="half a turn either way")
_PITCH = Number(dimension="angle", unit="°", low=-90, high=90, why="from straight down to straight up")
_LEG = Number(dimension="length", unit="mm", low=0, high=1000, why="mandrel bends as they are sold")
_NAME = Text(40)

INPUTS = (
    Input(
        name="material",
        form=Choice({name: material.name for name, material in MATERIALS.items()}),
        about="what all tubes are made of",
    ),
    Input(
        name="kerf",
        title="width of a cut",
        form=Number(dimension="length", unit="mm", low=0, high=10, why="saws and cut-off discs"),
        about="of the saw, with what is dressed off after it",
    ),
    Input(
        name="stock",
        form=Table(
            (
                Input(name="name", form=_NAME, about="what pieces call it"),
                Input(
                    name="kind",
                    form=Choice({"straight": "straight tube", "bend": "mandrel bend"}),
                    about="what it is",
                ),
                Input(
                    name="outer_diameter",
                    form=Number(dimension="length", unit="mm", low=15, high=200, why="exhausts of cars"),
                    about="outer diameter of the tube",
                ),
                Input(
                    name="wall_thickness",
                    form=Number(
                        dimension="length",
                        unit="mm",
                        low=0.4,
                        high=6,
                        why="from thin titanium to thick steel",
                    ),
                    about="of the tube before it was bent",
                    doubt=_WALL,
                ),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="mm", low=50, high=12_000, why="tube as it is sold"),
                    about="of a straight, as it is sold",
                    required=False,
                ),
                Input(
                    name="bend_radius",
                    form=Number(dimension="length", unit="mm", low=10, high=1500, why="bent tube"),
                    about="of the centre line of a bend",
                    required=False,
                ),
                Input(
                    name="angle",
                    form=Number(dimension="angle", unit="°", low=1, high=180, why="mandrel bends"),
                    about="of a bend, as it is sold",
                    required=False,
                ),
                Input(
                    name="leg_length",
                    form=_LEG,
                    about="straight at each end of a bend; none if left out",
                    required=False,
                ),
            ),
            1,
            24,
        ),
        about="bends and straight tube as they are bought",
    ),
    Input(
        name="tubes",
        form=Table(
            (
                Input(name="name", form=_NAME, about="what pieces and figures in the text call it"),
                Input(
                    name="x",
                    form=_PLACE,
                    about="where it begins, behind the zero",
                    default="0 mm",
                    default_source="the zero itself",
                ),
                Input(
                    name="y",
                    form=_PLACE,
                    about="where it begins, to the right of the zero",
                    default="0 mm",
                    default_source="the zero itself",
                ),
                Input(
                    name="z",
                    form=_PLACE,
                    about="where it begins, above the zero",
                    default="0 mm",
                    default_source="the zero itself",
                ),
                Input(
                    name="heading",
                    form=_HEADING,
                    about="how it leaves, seen from above: from straight back towards the right",
                    default="0°",
                    default_source="straight back",
                ),
                Input(
                    name="pitch",
                    form=_PITCH,
                    about="how it leaves: upwards from the level",
                    default="0°",
                    default_source="level",
                ),
                Input(
                    name="first_plane",
                    title="plane of the first bend",
                    form=_TURN,
                    about="of its first bend, from upwards, clockwise as the gas sees it",
                    default="0°",
                    default_source="a first bend that goes upwards",
                ),
                Input(name="ends_x", title="wanted end, x", form=_PLACE, about="where", required=False),
                Input(name="ends_y", title="wanted end, y", form=_PLACE, about="where", required=False),
                Input(name="ends_z", title="wanted end, z", form=_PLACE, about="where", required=False),
                Input(
                    name="ends_heading",
                    title="wanted heading at the end",
                    form=_HEADING,
                    about="as heading",
                    required=False,
                ),
                Input(
                    name="ends_pitch",
                    title="wanted pitch at the end",
                    form=_PITCH,
                    about="as pitch",
                    required=False,
                ),
            ),
            1,
            24,
        ),
        about="what is made: each tube, where it begins and, if you like, where it is to end",
    ),
    Input(
        name="pieces",
        form=Table(
            (
                Input(name="name", form=_NAME, about="what figures in the text call it", required=False),
                Input(name="tube", form=_NAME, about="the tube that it is part of"),
                Input(name="cut_from", title="stock", form=_NAME, about="the stock that it is cut from"),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="mm", low=5, high=12_000, why="pieces of tube"),
                    about="of a straight",
                    required=False,
                ),
                Input(
                    name="angle",
                    form=Number(dimension="angle", unit="°", low=1, high=180, why="mandrel bends"),
                    about="of a bend",
                    required=False,
                ),
                Input(
                    name="rotation",
                    form=_TURN,
                    about="of a bend's plane against that of the bend before, clockwise as the gas sees it",
                    required=False,
                ),
                Input(name="leg_before", form=_LEG, about="straight that it keeps in front", required=False),
                Input(name="leg_after", form=_LEG, about="straight that it keeps behind", required=False),
                Input(
                    name="section", form=_NAME, about="of a stepped tube, that it is part of", required=False
                ),
            ),
            1,
            120,
        ),
        about="the pieces in the order in which the gas meets them",
    ),
    Input(
        name="weld_shrinkage",
        form=Number(dimension="length", unit="mm", low=-3, high=3, why="butt welds of thin tube"),
        about="what a weld between two pieces draws in, less the gap it had; below 0 where the gap was wider",
        default="0.5 ± 0.5 mm",
        default_source="common practice, no source: 0 to 1 mm in thin tube",
    ),
    Input(
        name="marks_within",
        title="tolerance of a mark",
        form=Number(dimension="length", unit="mm", low=0, high=10, why="work with a scriber and a saw"),
        about="how far a cut, or a rotation round the tube, may be beside its mark, either way",
        default="1 mm",
        default_source="common practice, no source: scribed, sawn and dressed",
    ),
    Input(
        name="compared",
        title="compared tubes",
        form=Listed(_NAME, 2, 24),
        about="tubes that are to be equally long",
        required=False,
    ),
    Input(
        name="equal_within",
        title="spread allowed",
        form=Number(dimension="length", unit="mm", low=0.1, high=1000, why="primaries"),
        about="by how much the longest of them may be longer than the shortest",
        required=False,
    ),
    Input(
        name="ends_within",
        title="gap allowed at an end",
        form=Number(dimension="length", unit="mm", low=0.1, high=500, why="what a slip joint takes"),
        about="how far a tube may end from where it is to",
        required=False,
    ),
    Input(
        name="least_wall",
        title="least wall wanted",
        form=Number(dimension="length", unit="mm", low=0.2, high=6, why="tube that is welded"),
        about="that is to be left at the outside of every bend",
        required=False,
    ),
)

_BY_TUBE: dict[str, Any] = {"key": "tube", "of": "tubes", "beside": True}
_BY_PIECE: dict[str, Any] = {"key": "piece", "of": "pieces", "beside": True}
_BY_STOCK: dict[str, Any] = {"key": "stock", "of": "stock", "beside": True}

OUTPUTS = (
    Output(
        name="cut_length",
        title="centre-line length as cut",
        dimension="length",
        unit="mm",
        about="sum of its pieces, before a weld draws them in",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="tube_length",
        title="centre-line length as welded",
        dimension="length",
        unit="mm",
        about="of each tube",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="length_off_mean",
        title="difference from the mean length",
        dimension="length",
        unit="mm",
        about="of each tube that is compared",
        decimals=1,
        is_change=True,
        needs=("compared",),
        **_BY_TUBE,
    ),
    Output(
        name="straight_length",
        title="straight length in the tube",
        dimension="length",
        unit="mm",
        about="legs of bends with it, as cut",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="bend_angle",
        title="angle of all bends of the tube",
        dimension="angle",
        unit="°",
        about="added up, whichever way they go",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="tube_mass",
        title="mass of the tube",
        dimension="mass",
        unit="kg",
        about="without flange and filler",
        decimals=3,
        **_BY_TUBE,
    ),
    Output(
        name="spread",
        title="spread of the compared lengths",
        dimension="length",
        unit="mm",
        about="longest less shortest",
        decimals=1,
        needs=("compared",),
    ),
    Output(
        name="mean_length",
        title="mean length of the compared tubes",
        dimension="length",
        unit="mm",
        about="as welded",
        decimals=1,
        needs=("compared",),
    ),
    Output(
        name="mass",
        title="mass of all tubes",
        dimension="mass",
        unit="kg",
        about="without flanges, collectors and filler",
        decimals=2,
    ),
    Output(
        name="end_x",
        title="end of the tube, x",
        dimension="length",
        unit="mm",
        about="behind the zero",
        decimals=1,
        key="tube",
        of="tubes",
        beside=True,
    ),
    Output(
        name="end_y",
        title="end of the tube, y",
        dimension="length",
        unit="mm",
        about="to the right of the zero",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="end_z",
        title="end of the tube, z",
        dimension="length",
        unit="mm",
        about="above the zero",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="end_heading",
        title="heading at the end of the tube",
        dimension="angle",
        unit="°",
        about="from straight back towards the right; none where it points straight up or down",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="end_pitch",
        title="pitch at the end of the tube",
        dimension="angle",
        unit="°",
        about="upwards from the level",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="gap_at_end",
        title="gap at the end of the tube",
        dimension="length",
        unit="mm",
        about="from where it is to end",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="kink_at_end",
        title="kink at the end of the tube",
        dimension="angle",
        unit="°",
        about="against the way it is to point there",
        decimals=1,
        **_BY_TUBE,
    ),
    Output(
        name="centre_length",
        title="centre-line length of the piece",
        dimension="length",
        unit="mm",
        about="legs with it",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="outside_mark",
        title="outside length of the bend",
        dimension="length",
        unit="mm",
        about="along the back of the bend, without legs",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="inside_mark",
        title="inside length of the bend",
        dimension="length",
        unit="mm",
        about="along the belly of the bend, without legs",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="chord",
        title="chord of the bend over its outside",
        dimension="length",
        unit="mm",
        about="from mark to mark, with a calliper",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="rotation_mark",
        title="rotation as a distance round the tube",
        dimension="length",
        unit="mm",
        about="from the line of the bend before; clockwise as the gas sees it",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="cut_begins",
        title="beginning of the piece on its stock",
        dimension="length",
        unit="mm",
        about="along a straight, or along the outside from the line where the bend begins",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="cut_ends",
        title="end of the piece on its stock",
        dimension="length",
        unit="mm",
        about="as its beginning is measured",
        decimals=1,
        **_BY_PIECE,
    ),
    Output(
        name="piece_mass",
        title="mass of the piece",
        dimension="mass",
        unit="g",
        about="by its centre line",
        decimals=0,
        **_BY_PIECE,
    ),
    Output(
        name="stock_needed",
        title="number to buy of the stock",
        dimension="count",
        unit="",
        about="lengths of tube, or bends",
        decimals=0,
        **_BY_STOCK,
    ),
    Output(
        name="least_possible",
        title="least number that could do",
        dimension="count",
        unit="",
        about="no cutting plan has fewer",
        decimals=0,
        **_BY_STOCK,
    ),
    Output(
        name="waste",
        title="waste of the stock",
        dimension="length",
        unit="mm",
        about="cuts and rests, on the centre line",
        decimals=0,
        **_BY_STOCK,
    ),
    Output(
        name="waste_share",
        title="share of the stock that is waste",
        dimension="ratio",
        unit="%",
        about="of all that is bought of it",
        decimals=0,
        **_BY_STOCK,
    ),
    Output(
        name="outside_wall",
        title="wall left at the outside of the bend",
        dimension="length",
        unit="mm",
        about="drawn thin as it was bent",
        decimals=2,
        **_BY_STOCK,
    ),
    Output(
        name="cutting_plan",
        title="cutting plan of the stock",
        dimension="text",
        unit="",
        about="a bracket for each length, with its pieces in order",
        key="stock",
        of="stock",
    ),
    Output(
        name="section_length",
        title="length of the tube's section",
        dimension="length",
        unit="mm",
        about="as welded",
        decimals=1,
        key="section of a tube",
    ),
    Output(
        name="mean_section_length",
        title="mean length of the section",
        dimension="length",
        unit="mm",
        about="over the compared tubes, as welded",
        decimals=1,
        key="section",
        beside=True,
        needs=("compared",),
    ),
    Output(
        name="section_bore",
        title="bore of the section",
        dimension="length",
        unit="mm",
        about="inner diameter",
        decimals=1,
        key="section",
        beside=True,
    ),
)

SOURCES = (
    Source(id="geometry", title="Arcs, chords and rotations in space", standing="derived"),
    Source(
        id="pappus",
        title="A body of revolution has the volume of its section times the way of its centre (Pappus)",
        standing="derived",
    ),
    Source(
        id="bin-packing",
        title="First fit decreasing, then a search through all placements; lower bounds by sum and by halves",
        standing="derived",
    ),
    Source(id="constant-volume", title="A wall that is drawn longer is as much thinner", standing="derived"),
    Source(
        id="thinning",
        title="Wall to bend from: Power Piping, B31.1, and Standards of the Tubular Exchanger Manufacturers",
        publisher="ASME; TEMA",
        where="B31.1, table 102.4.5: 1.25, 1.14, 1.08 and 1.06 at 3, 4, 5 and 6 diameters; TEMA RCB-2.31: "
        "1 + D/4R; both as quoted in public documents",
    ),
    Source(
        id="en-10296-2",
        title="Welded circular steel tubes for mechanical and general engineering purposes, stainless",
        publisher="CEN",
        edition="EN 10296-2",
        where="wall ± 10 % or ± 0.2 mm, whichever is more, as a trade body quotes it",
    ),
    Source(id="densities", title="Densities by the data sheets that the kind exhaust names"),
    Source(
        id="practice",
        title="What a scriber, a saw and a weld are off by",
        standing="common practice, no source",
    ),
)

DOUBTS = (_MARKING, _THINNING)

HAZARDS = ("sparks", "fumes", "arc-light", "hot-parts", "exhaust-gas", "noise-emissions")


# --- what was given -------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class _Stock:
    """One sort of tube or bend that is bought."""

    key: str
    name: str
    is_bend: bool
    outer_diameter: float
    wall_thickness: float
    length: float
    radius: float
    angle: float
    leg: float

    def is_as_large_as(self, other: _Stock) -> bool:
        """Whether both are tube of one size, each within what its author doubts of it."""
        diameters = self.outer_diameter, other.outer_diameter
        walls = self.wall_thickness, other.wall_thickness
        return all(abs(one - two) < _SAME_SIZE for one, two in (diameters, walls))


@dataclass(frozen=True, kw_only=True)
class _Piece:
    """One piece: its place in the table, its stock, and what it keeps of it."""

    index: int
    key: str
    tube: str
    stock: _Stock
    length: float
    angle: float
    rotation: float | None
    leg_before: float
    leg_after: float
    section: str

    @property
    def ends(self) -> int:
        """How many ends of its stock it takes with it."""
        return (self.leg_before > 0) + (self.leg_after > 0)

    @property
    def straight(self) -> float:
        return self.length + self.leg_before + self.leg_after


@dataclass(frozen=True, kw_only=True)
class _Made:
    """One piece as it may come out: its cut and its rotation beside their marks by so much."""

    piece: _Piece
    centre_length: float
    cut_off: float
    turned_off: float

    @property
    def as_made(self) -> float:
        return self.centre_length + self.cut_off

    def span(self, drawn_in: float) -> Span:
        piece = self.piece
        if not piece.stock.is_bend:
            return Span(leg_before=piece.length + self.cut_off, drawn_in=drawn_in)
        return Span(
            leg_before=piece.leg_before,
            radius=piece.stock.radius,
            angle=piece.angle + self.cut_off / piece.stock.radius,
            leg_after=piece.leg_after,
            rotation=(piece.rotation or 0.0) + self.turned_off,
            drawn_in=drawn_in,
        )


_SAME_SIZE = 0.5e-3
"""Walls of one nominal size differ by up to 0.4 mm, each within its tolerance; sizes by 1 mm or more."""
_OF_STRAIGHTS = ("length",)
_OF_BENDS = ("bend_radius", "angle", "leg_length")


def _stock(given: Mapping[str, Any]) -> dict[str, _Stock]:
    """The stock by its key. Each row has what its kind needs, and nothing of the other."""
    rows: list[dict[str, Any]] = given["stock"]
    stock = {}
    for index, (key, row) in enumerate(zip(row_keys("stock", rows), rows, strict=True)):
        is_bend = row["kind"] == "bend"
        _has("stock", index, row, needs=_OF_BENDS[:2] if is_bend else _OF_STRAIGHTS)
        _has_no("stock", index, row, _OF_STRAIGHTS if is_bend else _OF_BENDS, row["kind"])
        with in_row(index):
            if is_bend and not row["bend_radius"] > row["outer_diameter"] / 2:
                raise OutOfRange(
                    "stock",
                    f"a bend_radius of {1000 * row['bend_radius']:.4g} mm",
                    f"more than half of the outer_diameter of {1000 * row['outer_diameter']:.4g} mm",
                    help="it is the radius of the centre line; of a smaller one the inside would have none",
                    at=("bend_radius",),
                )
            if row["wall_thickness"] > 0.45 * row["outer_diameter"]:
                raise OutOfRange(
                    "stock",
                    f"a wall of {1000 * row['wall_thickness']:.4g} mm",
                    f"at most {450 * row['outer_diameter']:.4g} mm of this outer_diameter",
                    help="a tube has a bore",
                    at=("wall_thickness",),
                )
        stock[key] = _Stock(
            key=key,
            name=str(row["name"]),
            is_bend=is_bend,
            outer_diameter=float(row["outer_diameter"]),
            wall_thickness=float(row["wall_thickness"]),
            length=float(row.get("length", 0.0)),
            radius=float(row.get("bend_radius", 0.0)),
            angle=float(row["angle"]) if is_bend else 0.0,
            leg=float(row.get("leg_length", 0.0)),
        )
    return stock


def _has(name: str, index: int, row: Mapping[str, Any], needs: Sequence[str], of: str = "kind") -> None:
    for column in needs:
        if column not in row:
            raise MissingInput(
                name,
                f"no {column} of a {row.get('kind', of)}",
                f"its {column}",
                help="give it in this row",
                at=(index,),
            )


def _has_no(name: str, index: int, row: Mapping[str, Any], columns: Sequence[str], what: str) -> None:
    for column in columns:
        if column in row:
            raise InputsConflict(
                name,
                f"{column} of a {what}",
                "what belongs to it",
                help="leave it out, or correct what it is cut from" if name == "pieces" else "leave it out",
                at=(index, column),
            )


def _named(name: str, index: int, column: str, word: str, known: Mapping[str, str]) -> str:
    """The key of what a row names. `known` has the names by their keys."""
    key = address_key(word)
    if key not in known:
        at = (index, column) if column else (index,)
        raise InputsConflict(
            name,
            f"“{word}”",
            "one of " + ", ".join(known.values()),
            help=did_you_mean(word, known.values()) or "correct the name, or add what it names",
            at=at,
        )
    return key


def _pieces(given: Mapping[str, Any], stock: Mapping[str, _Stock]) -> dict[str, list[_Piece]]:
    """The pieces of each tube in their order, by the tube's key."""
    tubes = _names("tubes", given)
    sorts = {key: one.name for key, one in stock.items()}
    rows: list[dict[str, Any]] = given["pieces"]
    pieces: dict[str, list[_Piece]] = {key: [] for key in tubes}
    for index, (key, row) in enumerate(zip(row_keys("pieces", rows), rows, strict=True)):
        in_tube = _named("pieces", index, "tube", str(row["tube"]), tubes)
        sort = stock[_named("pieces", index, "cut_from", str(row["cut_from"]), sorts)]
        _check_piece(index, row, sort, is_later_bend=any(one.stock.is_bend for one in pieces[in_tube]))
        pieces[in_tube].append(
            _Piece(
                index=index,
                key=key,
                tube=in_tube,
                stock=sort,
                length=float(row.get("length", 0.0)),
                angle=float(row.get("angle", 0.0)),
                rotation=float(row["rotation"]) if "rotation" in row else None,
                leg_before=float(row.get("leg_before", 0.0)),
                leg_after=float(row.get("leg_after", 0.0)),
                section=str(row.get("section", "")),
            )
        )
    for index, key in enumerate(pieces):
        if not pieces[key]:
            raise MissingInput(
                "tubes",
                f"no piece of “{tubes[key]}”",
                "a piece at least",
                at=(index,),
                help="or leave it out",
            )
    return pieces


def _names(name: str, given: Mapping[str, Any]) -> dict[str, str]:
    rows = given[name]
    return {key: str(row["name"]) for key, row in zip(row_keys(name, rows), rows, strict=True)}


def _check_piece(index: int, row: Mapping[str, Any], sort: _Stock, is_later_bend: bool) -> None:
    """Refuse a piece that its stock does not have, and a rotation too many or too few."""
    if not sort.is_bend:
        _has("pieces", index, row, ("length",), "straight")
        _has_no("pieces", index, row, ("angle", "rotation", "leg_before", "leg_after"), "straight")
        _no_longer(index, "length", row["length"], sort.length, sort.name)
        return
    _has("pieces", index, row, ("angle",), "bend")
    _has_no("pieces", index, row, ("length",), "bend")
    if row["angle"] > sort.angle * (1 + 1e-12):
        raise OutOfRange(
            "pieces",
            f"{degrees(row['angle']):.4g}°",
            f"at most the {degrees(sort.angle):.4g}° of “{sort.name}”",
            help="two pieces that follow each other at rotation 0° make a larger bend",
            at=(index, "angle"),
        )
    for leg in ("leg_before", "leg_after"):
        _no_longer(index, leg, row.get(leg, 0.0), sort.leg, f"a leg of {sort.name}")
    if row.get("leg_before") and row.get("leg_after") and row["angle"] < sort.angle * (1 - 1e-12):
        raise InputsConflict(
            "pieces",
            f"both legs and {degrees(row['angle']):.4g}° of a bend of {degrees(sort.angle):.4g}°",
            "one leg, or the whole bend",
            help="the cut is at one end of what is left of it",
            at=(index, "leg_after"),
        )
    if "rotation" in row and not is_later_bend:
        raise InputsConflict(
            "pieces",
            f"a rotation of the first bend of “{row['tube']}”",
            "none: there is no bend before it",
            help="the plane of a first bend is the first_plane of its tube",
            at=(index, "rotation"),
        )
    if "rotation" not in row and is_later_bend:
        raise MissingInput(
            "pieces",
            f"no rotation of a later bend of “{row['tube']}”",
            "its rotation against the bend before",
            help="0° where it bends on the same way, 180° where it bends back",
            at=(index,),
        )


def _no_longer(index: int, column: str, length: float, most: float, whose: str) -> None:
    if length > most * (1 + 1e-12):
        help = "weld it of two, or name another stock"
        if column != "length":
            help = "weld a straight on, or name a stock with a longer leg_length"
        raise OutOfRange(
            "pieces",
            f"{1000 * length:.4g} mm",
            f"at most the {1000 * most:.4g} mm of {whose}",
            help=help,
            at=(index, column),
        )


_END = ("ends_x", "ends_y", "ends_z")
_END_WAY = ("ends_heading", "ends_pitch")


def _beginning(row: Mapping[str, Any]) -> Place:
    return Place.beginning((row["x"], row["y"], row["z"]), row["heading"], row["pitch"], row["first_plane"])


def _wanted(row: Mapping[str, Any]) -> tuple[Place | None, bool]:
    """Where a tube is to end, and whether it is to point somewhere there."""
    try:
        has_place = given_together(row, _END, "a place has three")
        has_way = given_together(row, _END_WAY, "a direction has both", _END[0])
    except MissingInput as error:
        raise MissingInput("tubes", error.found, error.expected, help=error.help) from None
    if not has_place:
        return None, False
    at = (row["ends_x"], row["ends_y"], row["ends_z"])
    return Place.beginning(at, row.get("ends_heading", 0.0), row.get("ends_pitch", 0.0), 0.0), has_way


# --- what is computed -------------------------------------------------------------------------


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Marks, cutting plans, lengths, ends and masses of one case; SI in, SI out."""
    stock = _stock(given)
    pieces = _pieces(given, stock)
    outputs: Outputs = {}
    made = _made(given, pieces, working, outputs)
    _marks([piece for row in pieces.values() for piece in row], working, outputs)
    _buy(given, stock, pieces, made, working, outputs)
    _lengths(given, pieces, made, working, outputs)
    _ends(given, pieces, made, working, outputs)
    _masses(given, pieces, made, working, outputs)
    _walls(given, stock, pieces, working, outputs)
    _compare(given, working, outputs)
    _sections(given, pieces, made, working, outputs)
    return outputs


def _of(outputs: Outputs, name: str) -> dict[str, float]:
    found = outputs[name]
    assert isinstance(found, dict)
    return found


def _made(
    given: Mapping[str, Any], pieces: Mapping[str, Sequence[_Piece]], working: Working, outputs: Outputs
) -> dict[str, _Made]:
    """Each piece by its key, with what its cut and its rotation are off by: nothing in the ordinary run."""
    within = float(given["marks_within"])
    made = {}
    for piece in _all(pieces):
        turned = 0.0
        if piece.rotation is not None:
            turned = working.offset(_off(within, f"{piece.key} round")) / (piece.stock.outer_diameter / 2)
        made[piece.key] = _Made(
            piece=piece,
            centre_length=_centre_length(piece, working),
            cut_off=working.offset(_off(within, piece.key)),
            turned_off=turned,
        )
    outputs["centre_length"] = {key: one.centre_length for key, one in made.items()}
    return made


def _all(pieces: Mapping[str, Sequence[_Piece]]) -> Iterator[_Piece]:
    for row in pieces.values():
        yield from row


@lru_cache(maxsize=1024)  # a case is computed again and again with the same pieces
def _off(within: float, part: str) -> Doubt:
    """By how much one cut or rotation may be beside its mark."""
    return replace(_MARKING, absolute=within, part=part)


def _centre_length(piece: _Piece, working: Working) -> float:
    name = f"centre_length.{piece.key}"
    if not piece.stock.is_bend:
        return working.step(name, bends.total, [piece.length], source="geometry")
    return working.step(
        name,
        bends.length_of_bend,
        source="geometry",
        bend_radius=piece.stock.radius,
        angle=piece.angle,
        leg_before=piece.leg_before,
        leg_after=piece.leg_after,
    )


def _marks(pieces: Sequence[_Piece], working: Working, outputs: Outputs) -> None:
    """Where to mark each bend, and how far round to turn it."""
    formulae = {
        "outside_mark": bends.outside_length,
        "inside_mark": bends.inside_length,
        "chord": bends.chord,
    }
    curved = [piece for piece in pieces if piece.stock.is_bend]
    for name, formula in formulae.items():
        found = {
            piece.key: working.step(
                f"{name}.{piece.key}",
                formula,
                source="geometry",
                bend_radius=piece.stock.radius,
                outer_diameter=piece.stock.outer_diameter,
                angle=piece.angle,
            )
            for piece in curved
        }
        if found:
            outputs[name] = found
    turned = {
        piece.key: working.step(
            f"rotation_mark.{piece.key}",
            bends.rotation_mark,
            source="geometry",
            rotation=piece.rotation,
            outer_diameter=piece.stock.outer_diameter,
        )
        for piece in curved
        if piece.rotation is not None
    }
    if turned:
        outputs["rotation_mark"] = turned


# --- stock ------------------------------------------------------------------------------------


def _buy(
    given: Mapping[str, Any],
    stock: Mapping[str, _Stock],
    pieces: Mapping[str, Sequence[_Piece]],
    made: Mapping[str, _Made],
    working: Working,
    outputs: Outputs,
) -> None:
    """How many of each stock to buy, which pieces come from which, and what is left."""
    names = ("stock_needed", "least_possible", "waste", "waste_share")
    bought: dict[str, dict[str, float]] = {name: {} for name in names}
    places: dict[str, dict[str, float]] = {"cut_begins": {}, "cut_ends": {}}
    for sort in stock.values():
        cut = [piece for piece in _all(pieces) if piece.stock is sort]
        if not cut:
            working.remark(said("Nothing is cut from {stock}.", stock=sort.name))
            continue
        lost = _lost(given, sort, working)
        plan = _plan(sort, lost, cut)
        used = [made[piece.key].centre_length for piece in cut]
        _count(sort, plan, used, working, bought)
        for one in _as_laid_out(plan, cut):
            _place(sort, lost, one, working, places)
        if not plan.is_proven:
            working.remark(
                said(
                    "The search for fewer of {stock} was given up: there is no doing with fewer than "
                    "{least}, but {least} may not do.",
                    stock=sort.name,
                    least=plan.least,
                )
            )
    outputs |= {**bought, **places}


def _lost(given: Mapping[str, Any], sort: _Stock, working: Working) -> float:
    """Lost between two pieces: a length, of a bend an angle, all of it where a cut eats its inside."""
    if not sort.is_bend:
        return float(given["kerf"])
    if given["kerf"] >= sort.radius - sort.outer_diameter / 2:
        working.remark(
            said(
                "The saw's cut is wider than the inside radius of {stock}: no two pieces are cut from one.",
                stock=sort.name,
            )
        )
        return sort.angle
    return working.step(
        f"kerf angle of {sort.key}",
        bends.kerf_angle,
        source="geometry",
        kerf=given["kerf"],
        bend_radius=sort.radius,
        outer_diameter=sort.outer_diameter,
    )


def _plan(sort: _Stock, lost: float, cut: Sequence[_Piece]) -> CutPlan:
    if sort.is_bend:
        sizes, ends = tuple(piece.angle for piece in cut), tuple(piece.ends for piece in cut)
        return cutting.cut_plan(sort.angle, lost, sizes, ends)
    return cutting.cut_plan(sort.length, lost, tuple(piece.length for piece in cut))


def _count(
    sort: _Stock,
    plan: CutPlan,
    used: Sequence[float],
    working: Working,
    bought: Mapping[str, dict[str, float]],
) -> None:
    """Number, least number and waste of one stock."""
    key = sort.key

    def step(name: str, *formula: Any, **arguments: float) -> float:
        return working.step(f"{name}.{key}", *formula, source="bin-packing", **arguments)

    number = bought["stock_needed"][key] = step("stock_needed", cutting.number_bought, plan)
    bought["least_possible"][key] = step("least_possible", cutting.least_number, plan)
    length = sort.length
    if sort.is_bend:
        length = working.step(
            f"length of one {key}",
            bends.length_of_bend,
            source="geometry",
            bend_radius=sort.radius,
            angle=sort.angle,
            leg_before=sort.leg,
            leg_after=sort.leg,
        )
    whole = step(f"length of all {key}", bends.stock_length, count=number, length_of_one=length)
    used_length = step(f"length used of {key}", bends.total, list(used))
    bought["waste"][key] = step("waste", bends.waste, stock_length=whole, used_length=used_length)
    bought["waste_share"][key] = step(
        "waste_share", bends.waste_share, waste=bought["waste"][key], stock_length=whole
    )


def _as_laid_out(plan: CutPlan, cut: Sequence[_Piece]) -> list[list[_Piece]]:
    """The pieces of each length of stock as they lie in it: those with a leg at its ends."""
    order = []
    for numbers in plan.stocks:
        here = [cut[number] for number in numbers]
        legged = [piece for piece in here if piece.ends]
        order.append([*legged[:1], *(piece for piece in here if not piece.ends), *legged[1:]])
    return order


def _place(
    sort: _Stock,
    lost: float,
    order: Sequence[_Piece],
    working: Working,
    places: Mapping[str, dict[str, float]],
) -> None:
    """Where each piece begins and ends on its stock."""
    at = 0.0
    for number, piece in enumerate(order):
        size = piece.angle if sort.is_bend else piece.length
        if number and piece.ends:
            at = sort.angle - size  # its leg is the far one
        for name, where in (("cut_begins", at), ("cut_ends", at + size)):
            address = f"{name}.{piece.key}"
            if sort.is_bend:
                places[name][piece.key] = working.step(
                    address,
                    bends.outside_length,
                    source="geometry",
                    bend_radius=sort.radius,
                    outer_diameter=sort.outer_diameter,
                    angle=where,
                )
            else:
                places[name][piece.key] = working.step(address, bends.total, [where], source="geometry")
        at += size + lost


# --- tubes ------------------------------------------------------------------------------------


def _lengths(
    given: Mapping[str, Any],
    pieces: Mapping[str, Sequence[_Piece]],
    made: Mapping[str, _Made],
    working: Working,
    outputs: Outputs,
) -> None:
    """Length of each tube as cut and as welded, and what of it is straight and what bent."""
    cut: dict[str, float] = {}
    welded: dict[str, float] = {}
    straight: dict[str, float] = {}
    angle: dict[str, float] = {}
    for key, row in pieces.items():
        cut[key] = working.step(
            f"cut_length.{key}", bends.total, [made[one.key].as_made for one in row], source="geometry"
        )
        welded[key] = working.step(
            f"tube_length.{key}",
            bends.length_as_welded,
            source="geometry",
            cut_length=cut[key],
            welds=float(len(row) - 1),
            weld_shrinkage=given["weld_shrinkage"],
        )
        straight[key] = working.step(
            f"straight_length.{key}", bends.total, [one.straight for one in row], source="geometry"
        )
        angle[key] = working.step(
            f"bend_angle.{key}", bends.total_angle, [one.angle for one in row], source="geometry"
        )
    outputs |= {
        "cut_length": cut,
        "tube_length": welded,
        "straight_length": straight,
        "bend_angle": angle,
    }


def _spans(given: Mapping[str, Any], row: Sequence[_Piece], made: Mapping[str, _Made]) -> list[Span]:
    """The pieces of a tube on its centre line; each but the first has a weld in front."""
    return [
        made[piece.key].span(given["weld_shrinkage"] if number else 0.0) for number, piece in enumerate(row)
    ]


def _ends(
    given: Mapping[str, Any],
    pieces: Mapping[str, Sequence[_Piece]],
    made: Mapping[str, _Made],
    working: Working,
    outputs: Outputs,
) -> None:
    """Where each tube ends and how it points there, and by how much that is not where it is to."""
    found: dict[str, dict[str, float]] = {
        name: {}
        for name in ("end_x", "end_y", "end_z", "end_heading", "end_pitch", "gap_at_end", "kink_at_end")
    }

    def step(name: str, key: str, formula: Any, *places: Place) -> None:
        found[name][key] = working.step(f"{name}.{key}", formula, *places, source="geometry")

    for index, (key, row) in enumerate(pieces.items()):
        tube_row = given["tubes"][index]
        end = _beginning(tube_row).after_all(_spans(given, row, made))
        for name, formula in (("end_x", bends.end_x), ("end_y", bends.end_y), ("end_z", bends.end_z)):
            step(name, key, formula, end)
        if not end.is_upright:
            step("end_heading", key, bends.end_heading, end)
        step("end_pitch", key, bends.end_pitch, end)
        with in_row(index):
            wanted, has_way = _wanted(tube_row)
        if wanted is not None:
            step("gap_at_end", key, bends.gap, end, wanted)
        if wanted is not None and has_way:
            step("kink_at_end", key, bends.kink, end, wanted)
    outputs |= {name: values for name, values in found.items() if values}
    _keep_ends(given, found["gap_at_end"], working)


def _keep_ends(given: Mapping[str, Any], gaps: Mapping[str, float], working: Working) -> None:
    if "ends_within" not in given:
        return
    if not gaps:
        raise MissingInput(
            "tubes",
            "ends_within without a tube that is to end anywhere",
            "ends_x, ends_y and ends_z of a tube",
            at=(0,),
        )
    names = _names("tubes", given)
    for key in gaps:
        working.limit(
            "gap_at_end",
            key,
            most=given["ends_within"],
            together="gap_at_end",
            says=said(
                "The end of {tube} [may be|is] further from its place than ends_within, as others "
                "may be: tack the last bend in place.",
                tube=names[key],
            ),
        )


def _masses(
    given: Mapping[str, Any],
    pieces: Mapping[str, Sequence[_Piece]],
    made: Mapping[str, _Made],
    working: Working,
    outputs: Outputs,
) -> None:
    """Mass of each piece, tube and all, by the centre lines."""
    density = MATERIALS[given["material"]].density
    by_metre: dict[str, float] = {}
    weighed: dict[str, float] = {}
    tubes: dict[str, float] = {}
    for key, row in pieces.items():
        for piece in row:
            if piece.stock.key not in by_metre:
                by_metre[piece.stock.key] = _mass_per_metre(piece.stock, density, working)
            weighed[piece.key] = working.step(
                f"piece_mass.{piece.key}",
                tube.mass_of_length,
                source="pappus",
                mass_per_metre=by_metre[piece.stock.key],
                length=made[piece.key].centre_length,
                count=1.0,
            )
        tubes[key] = working.step(
            f"tube_mass.{key}", bends.total_mass, [weighed[piece.key] for piece in row], source="pappus"
        )
    outputs |= {
        "piece_mass": weighed,
        "tube_mass": tubes,
        "mass": working.step("mass", bends.total_mass, list(tubes.values()), source="pappus"),
    }


def _mass_per_metre(sort: _Stock, density: float, working: Working) -> float:
    section = working.step(
        f"wall section of {sort.key}",
        tube.wall_section,
        source="geometry",
        outer_diameter=sort.outer_diameter,
        wall_thickness=sort.wall_thickness,
    )
    return working.step(
        f"mass per metre of {sort.key}",
        tube.mass_per_metre,
        source="densities",
        wall_section=section,
        density=density,
    )


def _walls(
    given: Mapping[str, Any],
    stock: Mapping[str, _Stock],
    pieces: Mapping[str, Sequence[_Piece]],
    working: Working,
    outputs: Outputs,
) -> None:
    """Wall at the outside of each bend that is used."""
    used = {piece.stock.key for piece in _all(pieces)}
    walls = {
        key: working.step(
            f"outside_wall.{key}",
            bends.outside_wall,
            source=_THINNING.of(key),
            wall_thickness=sort.wall_thickness,
            bend_radius=sort.radius,
            outer_diameter=sort.outer_diameter,
        )
        for key, sort in stock.items()
        if sort.is_bend and key in used
    }
    if not walls:
        return
    outputs["outside_wall"] = walls
    working.remark(
        said(
            "The outside of a bend is thinner than its stock: turn down the heat where a weld crosses it, "
            "and do not dress the weld flush there."
        )
    )
    for key in walls if "least_wall" in given else ():
        working.limit(
            "outside_wall",
            key,
            least=given["least_wall"],
            together="outside_wall",
            says=said(
                "The outside of {stock} [may be|is] thinner than least_wall: take a larger "
                "radius or a thicker wall.",
                stock=stock[key].name,
            ),
        )


# --- several tubes ----------------------------------------------------------------------------


def _compared(given: Mapping[str, Any]) -> list[str]:
    """The keys of the tubes that are compared."""
    if "compared" not in given:
        if "equal_within" in given:
            raise MissingInput(
                "compared", "equal_within without compared", "which tubes are to be equally long"
            )
        return []
    tubes = _names("tubes", given)
    keys = [_named("compared", index, "", str(name), tubes) for index, name in enumerate(given["compared"])]
    for index, key in enumerate(keys):
        if key in keys[:index]:
            raise InputsConflict("compared", f"“{tubes[key]}” twice", "each tube once", at=(index,))
    return keys


def _compare(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Mean and spread of the compared tubes."""
    keys = _compared(given)
    if not keys:
        return
    lengths = {key: _of(outputs, "tube_length")[key] for key in keys}
    middle = outputs["mean_length"] = working.step(
        "mean_length", bends.mean, list(lengths.values()), source="geometry"
    )
    outputs["length_off_mean"] = {
        key: working.step(
            f"length_off_mean.{key}", bends.length_off, source="geometry", length=length, mean_length=middle
        )
        for key, length in lengths.items()
    }
    outputs["spread"] = working.step(
        "spread",
        bends.spread,
        source="geometry",
        longest=max(lengths.values()),
        shortest=min(lengths.values()),
    )
    if "equal_within" in given:
        working.limit(
            "spread",
            most=given["equal_within"],
            says=said("The compared tubes [may differ|differ] by more than equal_within."),
        )


def _sections(
    given: Mapping[str, Any],
    pieces: Mapping[str, Sequence[_Piece]],
    made: Mapping[str, _Made],
    working: Working,
    outputs: Outputs,
) -> None:
    """Length of each section of a stepped tube, and the mean of it over the compared tubes."""
    sizes: dict[str, _Stock] = {}
    lengths: dict[str, dict[str, float]] = {}
    own: dict[str, float] = {}
    for key, row in pieces.items():
        for section, there in _by_section(row, sizes).items():
            address = address_key(f"{key}-{section}")
            if address in own:
                raise InputsConflict(
                    "pieces",
                    f"two sections that go by “{address}”",
                    "tubes and sections whose names together are different",
                    at=(there[0].index, "section"),
                )
            own[address] = working.step(
                f"section_length.{address}",
                bends.length_as_welded,
                source="geometry",
                cut_length=sum(made[piece.key].as_made for piece in there),
                welds=float(sum(piece is not row[0] for piece in there)),
                weld_shrinkage=given["weld_shrinkage"],
            )
            lengths.setdefault(section, {})[key] = own[address]
    if not own:
        return
    outputs["section_length"] = own
    outputs["section_bore"] = {
        address_key(section): working.step(
            f"section_bore.{address_key(section)}",
            tube.bore_of_tube,
            source="geometry",
            outer_diameter=sort.outer_diameter,
            wall_thickness=sort.wall_thickness,
        )
        for section, sort in sizes.items()
    }
    _mean_sections(_compared(given), lengths, pieces, working, outputs)


def _by_section(row: Sequence[_Piece], sizes: dict[str, _Stock]) -> dict[str, list[_Piece]]:
    """The pieces of a tube by their section. Each section is of one size, wherever it is, and in one run."""
    if not any(piece.section for piece in row):
        return {}
    found: dict[str, list[_Piece]] = {}
    last = ""
    for piece in row:
        section, at = piece.section, (piece.index, "section")
        if not section:
            raise MissingInput(
                "pieces", "no section of a piece whose tube has some", "its section", at=(piece.index,)
            )
        if section != last and section in found:
            raise InputsConflict(
                "pieces",
                f"the section “{section}” once more",
                "pieces of a section one after the other",
                at=at,
            )
        if not sizes.setdefault(section, piece.stock).is_as_large_as(piece.stock):
            raise InputsConflict(
                "pieces",
                f"“{piece.stock.name}” in the section “{section}”, which has “{sizes[section].name}”",
                "one outer diameter and wall to a section",
                help="where the bore changes a new section begins",
                at=at,
            )
        found.setdefault(section, []).append(piece)
        last = section
    return found


def _mean_sections(
    compared: Sequence[str],
    lengths: Mapping[str, Mapping[str, float]],
    pieces: Mapping[str, Sequence[_Piece]],
    working: Working,
    outputs: Outputs,
) -> None:
    means: dict[str, float] = {}
    for section, by_tube in lengths.items():
        there = [by_tube[key] for key in compared if key in by_tube]
        if not there:
            continue
        if len(there) < len(compared):
            without = next(key for key in compared if key not in by_tube)
            raise InputsConflict(
                "pieces",
                f"no section “{section}” of the compared tube “{without}”",
                "the same sections in all compared tubes",
                at=(pieces[without][0].index,),
            )
        key = address_key(section)
        means[key] = working.step(f"mean_section_length.{key}", bends.mean, there, source="geometry")
    if means:
        outputs["mean_section_length"] = means


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str | dict[str, str]]:
    """The cutting plan of each stock in words: a bracket for each length."""
    del values
    stock = _stock(given)
    pieces = _pieces(given, stock)
    plans = {}
    for key, sort in stock.items():
        cut = [piece for piece in _all(pieces) if piece.stock is sort]
        if cut:
            plan = _plan(sort, _lost(given, sort, Working(noted=False)), cut)
            plans[key] = " ".join(
                f"({', '.join(piece.key for piece in one)})" for one in _as_laid_out(plan, cut)
            )
    return {"cutting_plan": plans}


# --- charts -----------------------------------------------------------------------------------

_MOST_LINES = 24
"""As many curves as a chart shows apart."""


def chart(cases: Mapping[str, CaseView]) -> tuple[Chart, ...]:
    """The centre lines from above and from the side, at one scale each; the compared lengths. Cases that are
    drawn alike, of another wall or material, say, are drawn once, under the name of none."""
    views: list[dict[str, Chart]] = [
        {name: _plan_view(case, 1, "from above", "to the right") for name, case in cases.items()},
        {name: _plan_view(case, 2, "from the side", "upwards") for name, case in cases.items()},
        {name: _bars(case) for name, case in cases.items() if "length_off_mean" in case.outputs},
    ]
    charts: list[Chart] = []
    for view in views:
        different: list[tuple[str, Chart]] = []
        for name, spec in view.items():
            if all(spec != other for _, other in different):
                different.append((name, spec))
        for name, spec in different:
            prefix = f"{name}: " if name and len(different) > 1 else ""
            charts.append(replace(spec, title=f"{prefix}{spec.title}"))
    return tuple(charts)


def _plan_view(case: CaseView, axis: int, words: str, label: str) -> ChartSpec:
    given = case.inputs
    pieces = _pieces(given, _stock(given))
    made = _made(given, pieces, Working(noted=False), {})
    names = _names("tubes", given)
    series: list[Series] = []
    ends: list[tuple[float, float]] = []
    for index, (key, row) in enumerate(pieces.items()):
        tube_row = given["tubes"][index]
        points = _beginning(tube_row).centre_line(_spans(given, row, made))
        series.append(
            Series(
                label=names[key],
                x=[point[0] for point in points],
                y=[point[axis] for point in points],
                style=index,
            )
        )
        wanted, _ = _wanted(tube_row)
        if wanted is not None:
            ends.append((wanted.at[0], wanted.at[axis]))
    if ends and len(series) < _MOST_LINES:
        xs, ys = zip(*ends, strict=True)
        series.append(Series(label="wanted ends", x=xs, y=ys, style=len(series), points_only=True))
    return ChartSpec(
        title=f"Centre lines {words}",
        description=f"The centre line of each tube {words}, backwards to the right, as far across as "
        "upwards; where an end is wanted, it is marked.",
        x=Axis("backwards", "length", "mm"),
        y=Axis(label, "length", "mm"),
        series=tuple(series),
        equal_scale=True,
    )


def _bars(case: CaseView) -> BarSpec:
    names = _names("tubes", case.inputs)
    bars = []
    for key, off in case.outputs["length_off_mean"].items():
        sure = case.uncertainty("length_off_mean", key)
        bars.append(Bar(label=names[key], value=off, low=off - sure, high=off + sure))
    zones: tuple[Zone, ...] = ()
    if "equal_within" in case.inputs:
        half = case.inputs["equal_within"] / 2
        zones = (Zone(label="half of the spread allowed", low=-half, high=half, tone="good"),)
    return BarSpec(
        title="Lengths against their mean",
        description="By how much each compared tube is longer or shorter than the mean of all, with its "
        "uncertainty; the band is half of the spread allowed, either way.",
        x=Axis("longer than the mean", "length", "mm"),
        bars=tuple(bars),
        zones=zones,
    )
