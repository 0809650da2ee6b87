"""Rows of rivet holes along the free edges of a part that is cut flat: laid out evenly, held to the rules of
rows, and drawn with their measures. A row in a lap has a matching one in the sheet that the lap covers, at
the other side of the seam: its holes meet those of the lap when the part is closed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, did_you_mean
from buildlog.kinds.declaration import Input, Number, Output, Outputs, Source, Table, Text, Whole, Working
from buildlog.kinds.keys import address_key, row_keys
from buildlog.kinds.pattern import Dimension, Hole, Line, Point, pieces_cross
from buildlog.physics import rivets
from buildlog.physics.rivets import RowInSheet
from buildlog.said import said

_LENGTH = Number(dimension="length", unit="mm", low=0.5, high=500, why="rows in sheet")
_SIZE = Number(dimension="length", unit="mm", low=1.5, high=12, why="rivets for sheet")

ROWS = "rivet_rows"
_NEEDS = (ROWS,)


def rows_input(column: str, along: str, about: str, *, required: bool = True) -> Input:
    """The input. Its `column` names the edge that a row is laid out along, of which `along` says which there
    are; it is not `required` where there may be one alone."""
    return Input(
        name=ROWS,
        form=Table(
            (
                Input(name="name", form=Text(24), about="what figures in the text call it", required=False),
                Input(name=column, form=Text(24), about=along, required=required),
                Input(name="edge_distance", form=_LENGTH, about="from the free edge to the holes' middles"),
                Input(
                    name="end_distance",
                    form=_LENGTH,
                    about="from the ends of the edge to the middles of the first hole and of the last",
                ),
                Input(
                    name="end_distance_after",
                    form=_LENGTH,
                    about="the same of the last hole, where it is another one",
                    required=False,
                ),
                Input(name="count", form=Whole(2, 60, "rows that one can drill"), about="holes of the row"),
                Input(name="rivet_diameter", form=_SIZE, about="diameter of the rivets, for the rules"),
                Input(name="hole_diameter", form=_SIZE, about="diameter of the holes, as they are drilled"),
            ),
            1,
            8,
        ),
        about=about,
        required=False,
    )


def _output(name: str, title: str, about: str) -> Output:
    return Output(
        name=name,
        title=title,
        dimension="length",
        unit="mm",
        about=about,
        key="row",
        of=ROWS,
        needs=_NEEDS,
    )


_COMMON = (
    _output("rivet_pitch", "pitch of the row of rivets", "from middle to middle"),
    _output("rivet_edge", "edge distance of the row of rivets", "from the free edge to the middles"),
    _output("rivet_end", "end distance of the row of rivets", "from the ends of the edge"),
    _output(
        "rivet_end_after",
        "end distance of the row’s last rivet",
        "from the other end of the edge, where it is another one",
    ),
)
OUTPUTS = (
    *_COMMON,
    _output(
        "rivet_clearance",
        "distance from the rims of the row to the bend",
        "to the tangent line of its flange",
    ),
)
LAP_OUTPUTS = (
    *_COMMON,
    _output(
        "rivet_edge_matching",
        "edge distance of the matching row",
        "from the edge of the sheet that the lap covers",
    ),
    _output(
        "rivet_margin",
        "distance from the rivets to the nearest cut edge",
        "of both rows, from their middles",
    ),
    _output(
        "rivet_clearance",
        "distance from the rims of the row to the bend",
        "to the nearest bend line beside the seam",
    ),
    _output(
        "rivet_shift",
        "shift of the lap’s holes by the thickness",
        "at most, past their partners, on a round wall",
    ),
)

SOURCES = (
    Source(
        id="army-rows",
        title="TM 10-5410-229-13&P, rivet replacement",
        publisher="U.S. Army",
        where="5-6: edge 2 diameters, pitch 3, rows 2.5",
    ),
    Source(
        id="cox",
        title="Aircraft Riveting Review, J. Cox",
        publisher="Aviation Pros",
        edition="March 1999",
        where="edge 2 to 4 diameters, pitch 3 to 10, rows 2.5 or more",
    ),
)

_EDGE, _PITCH, _MOST = 2.0, 3.0, 10.0
"""Rules in diameters."""


@dataclass(frozen=True, kw_only=True)
class Edge:
    """A free edge in the flat: where it begins, the unit steps along it and into the sheet, its length, and
    how deep the flange is straight behind it. `piece` names the flat piece that it belongs to, where there
    are several. The edge of a `lap` is that of the seam, a lap's width aside."""

    begin: Point
    along: Point
    inward: Point
    length: float
    depth: float
    piece: str = ""
    lap: Lap | None = None

    def place(self, along: float, inward: float) -> Point:
        return (
            self.begin[0] + along * self.along[0] + inward * self.inward[0],
            self.begin[1] + along * self.along[1] + inward * self.inward[1],
        )


@dataclass(frozen=True, kw_only=True)
class Lap:
    """What a lap is held to: the edge that it `covers`, at the other side of the seam, which has stations of
    its own at the same places; the cut line and the bend lines of the piece, without that of the seam; and
    the least radius of the wall at the seam, which a flat one has not."""

    covers: Edge
    outline: tuple[Point, ...]
    folds: tuple[tuple[Point, Point], ...]
    wall_radius: float | None


def lay_rows(
    given: Mapping[str, Any],
    edges: Mapping[str, Edge],
    working: Working,
    outputs: Outputs,
    *,
    column: str,
    holes: Sequence[Hole] = (),
) -> None:
    """Pitch, distances and rules of each row; `column` names its edge, and `holes` are the others of the
    part."""
    rows = given.get(ROWS, ())
    made: dict[str, dict[str, float]] = {}
    there: dict[str, list[Hole]] = {edge.piece: list(holes) for edge in edges.values()}
    for index, (key, row) in enumerate(zip(row_keys(ROWS, rows), rows, strict=True)):
        edge = _edge_of(index, row, edges, column)
        _fits(index, row, edge)
        measured = _measured(key, row, edge, working)
        pitch = measured["rivet_pitch"]
        _apart(index, row, edge, pitch, there[edge.piece])
        if edge.lap:
            measured |= _measured_in_lap(index, key, row, edge, given["thickness"], pitch, working)
        there[edge.piece] += _holes(row, edge, pitch)
        for name, value in measured.items():
            made.setdefault(name, {})[key] = value
        _rules(key, row, given["thickness"], measured, working)
    outputs.update(made)


def _edge_of(index: int, row: Mapping[str, Any], edges: Mapping[str, Edge], column: str) -> Edge:
    if column not in row:
        if len(edges) == 1:
            return next(iter(edges.values()))
        raise MissingInput(
            ROWS,
            f"a row without {column}",
            f"{column}: " + " or ".join(edges),
            at=(index,),
        )
    wanted = address_key(row[column])
    if wanted in edges:
        return edges[wanted]
    raise InputsConflict(
        ROWS,
        f"a row along the {column} “{row[column]}”",
        "one with a free edge: " + ", ".join(edges),
        help=did_you_mean(wanted, edges) or "write one of them as it stands here",
        at=(index, column),
    )


def _mm(length: float) -> str:
    return f"{1000 * length:.4g} mm"


def _end_after(row: Mapping[str, Any]) -> float:
    return float(row.get("end_distance_after", row["end_distance"]))


def _fits(index: int, row: Mapping[str, Any], edge: Edge) -> None:
    """Refuse holes over an edge or in a bend."""
    radius = row["hole_diameter"] / 2
    if row["hole_diameter"] < row["rivet_diameter"]:
        raise InputsConflict(
            ROWS,
            _mm(row["hole_diameter"]),
            f"at least the rivet, {_mm(row['rivet_diameter'])}",
            at=(index, "hole_diameter"),
        )
    deepest = edge.depth - radius
    if edge.lap and not radius < row["edge_distance"] < deepest:
        raise _no_room_in_lap(index, row, edge)
    if not radius < row["edge_distance"] <= deepest:
        raise InputsConflict(
            ROWS,
            f"{_mm(row['edge_distance'])} from the edge",
            f"{_mm(radius)} to {_mm(deepest)}: the holes neither over the edge nor in the bend",
            help="correct the distance, or make the flange wider",
            at=(index, "edge_distance"),
        )
    for column in ("end_distance", "end_distance_after"):
        _within_ends(index, row, edge, column)


def _no_room_in_lap(index: int, row: Mapping[str, Any], edge: Edge) -> InputsConflict:
    """What to say of a hole over the edge of its lap or over that of the sheet below."""
    radius, diameter = row["hole_diameter"] / 2, row["rivet_diameter"]
    room = f"{_mm(radius)} to {_mm(edge.depth - radius)}: within the lap and within the sheet that it covers"
    if edge.depth <= 2 * radius:
        room = f"a lap wider than a hole, {_mm(2 * radius)}"
    return InputsConflict(
        ROWS,
        f"{_mm(row['edge_distance'])} from the edge of a lap of {_mm(edge.depth)}",
        room,
        help=f"a lap of 4 rivet diameters, {_mm(2 * _EDGE * diameter)}, with the row in its middle has 2 on "
        "both sides",
        at=(index, "edge_distance"),
    )


def _within_ends(index: int, row: Mapping[str, Any], edge: Edge, column: str) -> None:
    if column not in row:
        return
    radius = row["hole_diameter"] / 2
    stated = "end_distance_after" in row
    most = edge.length - row["end_distance"] if column == "end_distance_after" else edge.length / 2
    if stated and column == "end_distance":
        most = edge.length
    if not radius < row[column] < most:
        half = "" if stated else ", half of the edge"
        raise InputsConflict(
            ROWS,
            f"{_mm(row[column])} from the end" if stated else f"{_mm(row[column])} from the ends",
            f"{_mm(radius)} to {_mm(most)}{half}",
            help="correct the distance",
            at=(index, column),
        )


def _measured(key: str, row: Mapping[str, Any], edge: Edge, working: Working) -> dict[str, float]:
    """Pitch and distances of a row; of one before a bend, how far it is from it."""
    made = {
        name: working.step(f"{name}.{key}", rivets.stated_distance, source="army-rows", stated=row[stated])
        for name, stated in _STATED.items()
        if stated in row
    }
    made["rivet_pitch"] = working.step(
        f"rivet_pitch.{key}",
        rivets.row_pitch,
        source="geometry",
        edge_length=edge.length,
        end_distance=row["end_distance"],
        end_distance_after=_end_after(row),
        count=float(row["count"]),
    )
    if not edge.lap:
        made["rivet_clearance"] = working.step(
            f"rivet_clearance.{key}",
            rivets.row_clearance,
            source="geometry",
            straight=edge.depth,
            edge_distance=row["edge_distance"],
            hole_diameter=row["hole_diameter"],
        )
    return made


_STATED = {
    "rivet_edge": "edge_distance",
    "rivet_end": "end_distance",
    "rivet_end_after": "end_distance_after",
}


def _row(row: Mapping[str, Any], edge: Edge, pitch: float, inward: float) -> list[Hole]:
    """Holes at the stations of a row, so far inside of an edge."""
    return [
        Hole(
            centre=edge.place(row["end_distance"] + number * pitch, inward),
            diameter=row["hole_diameter"],
        )
        for number in range(row["count"])
    ]


def _matching(row: Mapping[str, Any], edge: Edge, pitch: float) -> list[Hole]:
    """The holes that those in a lap meet: as far beyond the seam as those are before it."""
    return _row(row, edge.lap.covers, pitch, edge.depth - row["edge_distance"]) if edge.lap else []


def _holes(row: Mapping[str, Any], edge: Edge, pitch: float) -> list[Hole]:
    return [*_row(row, edge, pitch, row["edge_distance"]), *_matching(row, edge, pitch)]


def _apart(index: int, row: Mapping[str, Any], edge: Edge, pitch: float, there: Sequence[Hole]) -> None:
    """Refuse holes that run into each other or into another of the part."""
    if pitch <= row["hole_diameter"]:
        raise InputsConflict(
            ROWS,
            f"a pitch of {_mm(pitch)}",
            f"more than a hole, {_mm(row['hole_diameter'])}",
            help="fewer holes",
            at=(index, "count"),
        )
    for hole in _holes(row, edge, pitch):
        for other in there:
            between = hypot(hole.centre[0] - other.centre[0], hole.centre[1] - other.centre[1])
            if between < (hole.diameter + other.diameter) / 2:
                raise InputsConflict(
                    ROWS,
                    f"a hole {_mm(between)} from the middle of another",
                    f"more than {_mm((hole.diameter + other.diameter) / 2)}, so that they are apart",
                    help="correct the row or the hole",
                    at=(index,),
                )


# --- rows in a lap -------------------------------------------------------------------------------


def _measured_in_lap(
    index: int,
    key: str,
    row: Mapping[str, Any],
    edge: Edge,
    thickness: float,
    pitch: float,
    working: Working,
) -> dict[str, float]:
    """What a row in a lap has besides: the matching row, the cut edges and bend lines about both, and what
    the thickness of the lap takes from their meeting."""
    lap = edge.lap
    assert lap
    both = RowInSheet(middles=_middles(_holes(row, edge, pitch)), outline=lap.outline)
    made = {
        "rivet_edge_matching": working.step(
            f"rivet_edge_matching.{key}",
            rivets.matching_edge,
            source="geometry",
            lap=edge.depth,
            edge_distance=row["edge_distance"],
        ),
        "rivet_margin": working.step(f"rivet_margin.{key}", rivets.row_margin, both, source="geometry"),
    }
    _off_cut_edges(index, row, edge, pitch, made["rivet_margin"])
    if lap.folds:
        matching = RowInSheet(middles=_middles(_matching(row, edge, pitch)), folds=lap.folds)
        made["rivet_clearance"] = working.step(
            f"rivet_clearance.{key}",
            rivets.fold_clearance,
            matching,
            source="geometry",
            hole_diameter=row["hole_diameter"],
        )
        _off_folds(index, row, edge, pitch)
    if lap.wall_radius is not None:
        made["rivet_shift"] = working.step(
            f"rivet_shift.{key}",
            rivets.lap_shift,
            source="geometry",
            matching_edge=made["rivet_edge_matching"],
            thickness=thickness,
            wall_radius=lap.wall_radius,
        )
    return made


def _off_cut_edges(index: int, row: Mapping[str, Any], edge: Edge, pitch: float, margin: float) -> None:
    """Refuse a hole over a cut edge: the ends of the lap and of the sheet below are not always square."""
    if margin > row["hole_diameter"] / 2:
        return
    lap = edge.lap
    assert lap
    alone = [RowInSheet(middles=(hole.centre,), outline=lap.outline) for hole in _holes(row, edge, pitch)]
    margins = [rivets.row_margin(one) for one in alone]
    number = margins.index(margin) % int(row["count"])
    # Two diameters to an end that is cut at 45°, so far into the lap.
    enough = edge.depth - row["edge_distance"] + sqrt(2) * _EDGE * row["rivet_diameter"]
    raise InputsConflict(
        ROWS,
        f"the middle of hole {number + 1} {_mm(margin)} within the cut edge",
        f"more than {_mm(row['hole_diameter'] / 2)}: lap and sheet have ends of their own",
        help=f"a greater end distance; {_mm(enough)} is two diameters from a lap's end that is cut at 45°",
        at=(index, _end_of(row, number)),
    )


def _off_folds(index: int, row: Mapping[str, Any], edge: Edge, pitch: float) -> None:
    """Refuse a hole over a bend line, and one beyond the flat wall that the seam is in: there the wall and
    its lap are round, and folded between."""
    lap = edge.lap
    assert lap
    radius = row["hole_diameter"] / 2
    feet = _row(row, lap.covers, pitch, 0.0)
    for number, (hole, foot) in enumerate(zip(_matching(row, edge, pitch), feet, strict=True)):
        alone = RowInSheet(middles=(hole.centre,), folds=lap.folds)
        nearest = rivets.fold_clearance(alone, row["hole_diameter"]) + radius
        found = f"hole {number + 1} of the matching row {_mm(nearest)} from a bend line"
        is_beyond = lap.wall_radius is None and any(
            pieces_cross((foot.centre, hole.centre), fold) for fold in lap.folds
        )
        if is_beyond:
            found = f"hole {number + 1} of the matching row beyond a bend line"
        if is_beyond or nearest <= radius:
            raise InputsConflict(
                ROWS,
                found,
                f"more than {_mm(radius)} before it: no hole in a fold",
                help="end the row before the bend line, with a greater end distance there; or a narrower lap",
                at=(index, _end_of(row, number)),
            )


def _middles(holes: Sequence[Hole]) -> tuple[Point, ...]:
    return tuple(hole.centre for hole in holes)


def _end_of(row: Mapping[str, Any], number: int) -> str:
    """The column that moves a hole of the row away from the end that it is nearer to."""
    after = "end_distance_after" in row and 2 * number >= row["count"]
    return "end_distance_after" if after else "end_distance"


def _rules(
    key: str, row: Mapping[str, Any], thickness: float, measured: Mapping[str, float], working: Working
) -> None:
    diameter = row["rivet_diameter"]
    for name in _EDGES:
        if name in measured:
            working.limit(
                name,
                key,
                least=_EDGE * diameter - (_ROUNDING if name == "rivet_margin" else 0.0),
                says=said(
                    "A row of rivets [may be|is] nearer to an edge than 2 diameters, the U.S. Army's rule."
                ),
                together="rivet_edge",
            )
    working.limit(
        "rivet_pitch",
        key,
        least=_PITCH * diameter,
        most=_MOST * diameter,
        says=said(
            "Rivets of a row [may stand|stand] nearer than 3 or further apart than 10 diameters, the rules "
            "of aircraft handbooks."
        ),
        together="rivet_pitch",
    )
    if "rivet_clearance" in measured:
        working.limit(
            "rivet_clearance",
            key,
            least=2 * thickness,
            says=said(
                "A row of rivets [may lie|lies] so near to a bend that the bend draws its holes out of "
                "round: drill it afterwards."
            ),
            together="rivet_clearance",
        )
    if "rivet_shift" in measured:
        working.limit(
            "rivet_shift",
            key,
            most=row["hole_diameter"] - diameter,
            says=said(
                "The lap lies a thickness off the round wall that it covers, and its holes [may miss|miss] "
                "their partners by more than the rivets have play: drill the lap alone, and the other row "
                "through it when it is closed."
            ),
            together="rivet_shift",
        )


_ROUNDING = 1e-9
"""m: what a distance that was turned in the plane is rounded by."""
_EDGES = ("rivet_edge", "rivet_end", "rivet_end_after", "rivet_edge_matching", "rivet_margin")


def rivet_squares(given: Mapping[str, Any]) -> float:
    """Sum of the squared diameters of all holes of rows."""
    return float(sum(row["count"] * row["hole_diameter"] ** 2 for row in given.get(ROWS, ())))


# --- what is drawn -----------------------------------------------------------------------------

_OUTSIDE = 0.005
_FARTHER = 0.013
"""How far outside of the edge the pitch is told, and beyond its words the end distance, in m."""


def drawn_rows(
    given: Mapping[str, Any],
    edges: Mapping[str, Edge],
    outputs: Mapping[str, Any],
    *,
    column: str,
    piece: str = "",
) -> tuple[list[Hole], list[Line], list[Dimension]]:
    """The holes of all rows of a flat piece, the lines through their middles, and pitch, edge and end
    distance."""
    holes: list[Hole] = []
    lines: list[Line] = []
    dimensions: list[Dimension] = []
    rows = given.get(ROWS, ())
    for index, (key, row) in enumerate(zip(row_keys(ROWS, rows), rows, strict=True)):
        edge = _edge_of(index, row, edges, column)
        if edge.piece != piece:
            continue
        pitch = float(outputs["rivet_pitch"][key])
        these = _row(row, edge, pitch, row["edge_distance"])
        others = _matching(row, edge, pitch)
        holes += [*these, *others]
        for along in filter(None, (these, others)):
            lines.append(Line(kind="centre", points=(along[0].centre, along[-1].centre)))
        dimensions += _measures(key, row, edge, pitch)
    return holes, lines, dimensions


def _side_of(edge: Edge) -> int:
    """On which side of the way along an edge the outside is: 1 to its left, -1 to its right."""
    left = (-edge.along[1], edge.along[0])
    return -1 if left[0] * edge.inward[0] + left[1] * edge.inward[1] > 0 else 1


def _measures(key: str, row: Mapping[str, Any], edge: Edge, pitch: float) -> list[Dimension]:
    """Pitch and end distances outside of the edge; edge distances behind the second hole, where the words of
    the pitch are not."""
    across, end = row["edge_distance"], row["end_distance"]
    side = _side_of(edge)
    first, last = edge.place(end, across), edge.place(edge.length - _end_after(row), across)
    made = [
        Dimension(
            start=first,
            end=edge.place(end + pitch, across),
            output="rivet_pitch",
            key=key,
            away=side * (across + _OUTSIDE),
            past=side * across,
        ),
        Dimension(
            start=edge.place(0.0, across),
            end=first,
            output="rivet_end",
            key=key,
            away=side * (across + _FARTHER),
            past=side * across,
        ),
        _edge_measure(key, row, edge, pitch, across, "rivet_edge"),
    ]
    if "end_distance_after" in row:
        made.append(
            Dimension(
                start=last,
                end=edge.place(edge.length, across),
                output="rivet_end_after",
                key=key,
                away=side * (across + _FARTHER),
                past=side * across,
            )
        )
    if edge.lap:
        inward = edge.depth - across
        made.append(_edge_measure(key, row, edge.lap.covers, pitch, inward, "rivet_edge_matching"))
    return made


def _edge_measure(
    key: str, row: Mapping[str, Any], edge: Edge, pitch: float, inward: float, output: str
) -> Dimension:
    """From an edge to the first hole of a row: beside the second, or of a lap, which is short and has its
    words beside it, before the end of the seam."""
    # Of the way inward the step along the edge is to the right where it is to the left of it.
    away = 1.5 * pitch if row["count"] > 2 else 0.5 * pitch
    end, past = row["end_distance"], 0.0
    if output == "rivet_edge_matching" or edge.lap:
        away, past = -end - _OUTSIDE, -end
    side = _side_of(edge)
    return Dimension(
        start=edge.place(end, 0.0),
        end=edge.place(end, inward),
        output=output,
        key=key,
        away=side * away,
        past=side * past,
    )
