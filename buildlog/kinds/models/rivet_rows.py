"""Rows of rivet holes along the free edges of a part that is cut flat: laid out evenly, held to the rules of
rows, and drawn with their measures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

from buildlog.diagnostics import InputsConflict, did_you_mean
from buildlog.kinds.declaration import Input, Number, Output, Outputs, Source, Table, Text, Whole, Working
from buildlog.kinds.keys import address_key, row_keys
from buildlog.kinds.pattern import Dimension, Hole, Line, Point
from buildlog.physics import rivets
from buildlog.said import said

_LENGTH = Number(dimension="length", unit="mm", low=0.5, high=500, why="rows in sheet")
_SIZE = Number(dimension="length", unit="mm", low=1.5, high=12, why="rivets for sheet")

ROWS = "rivet_rows"
_NEEDS = (ROWS,)


def rows_input(along: str) -> Input:
    """The input; `along` says which edges a row can be laid out along."""
    return Input(
        name=ROWS,
        form=Table(
            (
                Input(name="name", form=Text(24), about="what figures in the text call it", required=False),
                Input(name="flange", form=Text(24), about=along),
                Input(name="edge_distance", form=_LENGTH, about="from the free edge to the holes' middles"),
                Input(
                    name="end_distance",
                    form=_LENGTH,
                    about="from the ends of the edge to the middles of the first hole and of the last",
                ),
                Input(name="count", form=Whole(2, 60, "rows that one can drill"), about="holes of the row"),
                Input(name="rivet_diameter", form=_SIZE, about="diameter of the rivets, for the rules"),
                Input(name="hole_diameter", form=_SIZE, about="diameter of the holes, as they are drilled"),
            ),
            1,
            8,
        ),
        about="rows of rivet holes along free edges, laid out evenly",
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


OUTPUTS = (
    _output("rivet_pitch", "pitch of the row of rivets", "from middle to middle"),
    _output("rivet_edge", "edge distance of the row of rivets", "from the free edge to the middles"),
    _output("rivet_end", "end distance of the row of rivets", "from the ends of the edge"),
    _output(
        "rivet_clearance",
        "distance from the rims of the row to the bend",
        "to the tangent line of its flange",
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
    how deep the flange is straight behind it."""

    begin: Point
    along: Point
    inward: Point
    length: float
    depth: float

    def place(self, along: float, inward: float) -> Point:
        return (
            self.begin[0] + along * self.along[0] + inward * self.inward[0],
            self.begin[1] + along * self.along[1] + inward * self.inward[1],
        )


def lay_rows(
    given: Mapping[str, Any],
    edges: Mapping[str, Edge],
    working: Working,
    outputs: Outputs,
    *,
    holes: Sequence[Hole],
) -> None:
    """Pitch, distances and rules of each row; `holes` are the others of the part."""
    rows = given.get(ROWS, ())
    made: dict[str, dict[str, float]] = {output.name: {} for output in OUTPUTS}
    there = list(holes)
    for index, (key, row) in enumerate(zip(row_keys(ROWS, rows), rows, strict=True)):
        edge = _edge_of(index, row, edges)
        _fits(index, row, edge)
        for name, stated in (("rivet_edge", "edge_distance"), ("rivet_end", "end_distance")):
            made[name][key] = working.step(
                f"{name}.{key}", rivets.stated_distance, source="army-rows", stated=row[stated]
            )
        made["rivet_pitch"][key] = working.step(
            f"rivet_pitch.{key}",
            rivets.row_pitch,
            source="geometry",
            edge_length=edge.length,
            end_distance=row["end_distance"],
            count=float(row["count"]),
        )
        made["rivet_clearance"][key] = working.step(
            f"rivet_clearance.{key}",
            rivets.row_clearance,
            source="geometry",
            straight=edge.depth,
            edge_distance=row["edge_distance"],
            hole_diameter=row["hole_diameter"],
        )
        _apart(index, row, edge, made["rivet_pitch"][key], there)
        there += _holes(row, edge, made["rivet_pitch"][key])
        _rules(key, row, given["thickness"], working)
    if rows:
        outputs.update(made)


def _edge_of(index: int, row: Mapping[str, Any], edges: Mapping[str, Edge]) -> Edge:
    wanted = address_key(row["flange"])
    if wanted in edges:
        return edges[wanted]
    raise InputsConflict(
        ROWS,
        f"a row along the flange “{row['flange']}”",
        "one with a free edge: " + ", ".join(edges),
        help=did_you_mean(wanted, edges) or "write one of them as it stands here",
        at=(index, "flange"),
    )


def _mm(length: float) -> str:
    return f"{1000 * length:.4g} mm"


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
    if not radius < row["edge_distance"] <= deepest:
        raise InputsConflict(
            ROWS,
            f"{_mm(row['edge_distance'])} from the edge",
            f"{_mm(radius)} to {_mm(deepest)}: the holes neither over the edge nor in the bend",
            help="correct the distance, or make the flange wider",
            at=(index, "edge_distance"),
        )
    if not radius < row["end_distance"] < edge.length / 2:
        raise InputsConflict(
            ROWS,
            f"{_mm(row['end_distance'])} from the ends",
            f"{_mm(radius)} to {_mm(edge.length / 2)}, half of the edge",
            help="correct the distance",
            at=(index, "end_distance"),
        )


def _holes(row: Mapping[str, Any], edge: Edge, pitch: float) -> list[Hole]:
    return [
        Hole(
            centre=edge.place(row["end_distance"] + number * pitch, row["edge_distance"]),
            diameter=row["hole_diameter"],
        )
        for number in range(row["count"])
    ]


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


def _rules(key: str, row: Mapping[str, Any], thickness: float, working: Working) -> None:
    diameter = row["rivet_diameter"]
    for name in ("rivet_edge", "rivet_end"):
        working.limit(
            name,
            key,
            least=_EDGE * diameter,
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
    working.limit(
        "rivet_clearance",
        key,
        least=2 * thickness,
        says=said(
            "A row of rivets [may lie|lies] so near to a bend that the bend draws its holes out of round: "
            "drill it afterwards."
        ),
        together="rivet_clearance",
    )


def rivet_squares(given: Mapping[str, Any]) -> float:
    """Sum of the squared diameters of all holes of rows."""
    return float(sum(row["count"] * row["hole_diameter"] ** 2 for row in given.get(ROWS, ())))


# --- what is drawn -----------------------------------------------------------------------------

_OUTSIDE = 0.005
_FARTHER = 0.013
"""How far outside of the edge the pitch is told, and beyond its words the end distance, in m."""


def drawn_rows(
    given: Mapping[str, Any], edges: Mapping[str, Edge], outputs: Mapping[str, Any]
) -> tuple[list[Hole], list[Line], list[Dimension]]:
    """The holes of all rows, the lines through their middles, and pitch, edge and end distance."""
    holes: list[Hole] = []
    lines: list[Line] = []
    dimensions: list[Dimension] = []
    rows = given.get(ROWS, ())
    for key, row in zip(row_keys(ROWS, rows), rows, strict=True):
        edge = edges[address_key(row["flange"])]
        pitch = float(outputs["rivet_pitch"][key])
        these = _holes(row, edge, pitch)
        holes += these
        lines.append(Line(kind="centre", points=(these[0].centre, these[-1].centre)))
        dimensions += _measures(key, row, edge, pitch)
    return holes, lines, dimensions


def _measures(key: str, row: Mapping[str, Any], edge: Edge, pitch: float) -> list[Dimension]:
    """Pitch and end distance outside of the edge; edge distance behind the second hole, where the words of
    the pitch are not."""
    across, end = row["edge_distance"], row["end_distance"]
    # The left of the way along an edge is outside of the sheet, or inside of it.
    left = (-edge.along[1], edge.along[0])
    is_left_inside = left[0] * edge.inward[0] + left[1] * edge.inward[1] > 0
    side = -1 if is_left_inside else 1
    first = edge.place(end, across)
    # Of the way inward the step along the edge is to the right where it is to the left of it.
    away = 1.5 * pitch if row["count"] > 2 else 0.5 * pitch
    beside = -away if is_left_inside else away
    return [
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
        Dimension(start=edge.place(end, 0.0), end=first, output="rivet_edge", key=key, away=beside),
    ]
