"""A pattern as data: the outline of a part that lies flat, at full size, as a calculator hands it over and
`buildlog.patterns` draws it. All lengths are metres; x goes to the right and y upwards.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import acos, ceil, cos, hypot, sin
from typing import Literal

Point = tuple[float, float]

CHORD_ERROR = 0.02e-3
"""By how much, in metres, the chord between two points of a curve may leave it: less than a blade is wide."""

LineKind = Literal["cut", "bend", "centre", "mark"]
"""What is done along a line: it is cut through, it is bent, it is the middle of something (of a hole, of a
row of rivets), or it is only marked (where another part lies)."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line through points, straight between them; a `closed` one comes back to its first. Curves are given
    as points so near to each other that a chord leaves its arc by no more than `CHORD_ERROR`: `arc_points`
    for an arc of a circle, `curve_points` for any other."""

    kind: LineKind
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A round hole to be cut, with the cross of its middle."""

    centre: Point
    diameter: float


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """A measured distance between two places of the pattern. Its text is the value of an output: one that is
    not as long as that value is not drawn. The dimension line lies beside the two places, `away` to the left
    of the way from `start` to `end` (to the right where it is negative). So much of that as lies `past` other
    lines of the part stays where words are larger; the rest, room for words, grows with them. A `horizontal`
    or `vertical` one measures along x or y alone."""

    start: Point
    end: Point
    output: str
    key: str = ""
    away: float = 0.0
    past: float = 0.0
    along: Literal["", "horizontal", "vertical"] = ""


@dataclass(frozen=True, kw_only=True)
class Note:
    """Words at a place: what a line is, which way to bend. `{value}` in them stands for an output's value,
    with its unit, where one is named; `turned` is the angle of the words to the x axis, in rad."""

    place: Point
    text: str
    output: str = ""
    key: str = ""
    turned: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """One flat piece. `name` tells the patterns of one case apart; "" where there is one. `title` says what
    it is, `material` what it is cut from, `revision` is the author's. One that lies on a tube and is wrapped
    round it says so in `use`: how it is used. `case` is filled in where the block is computed."""

    name: str = ""
    case: str = ""
    title: str
    material: str = ""
    revision: str = ""
    use: str = ""
    lines: tuple[Line, ...]
    holes: tuple[Hole, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    notes: tuple[Note, ...] = ()


def arc_points(centre: Point, radius: float, start: float, end: float) -> tuple[Point, ...]:
    """An arc about `centre` from the angle `start` to `end` (rad from the x axis, counter-clockwise where
    `end` is the larger), both of its ends among the points."""
    # A chord over the angle δ leaves its arc by r (1 - cos δ/2).
    widest = 2 * acos(max(1 - CHORD_ERROR / radius, 0.0))
    spans = max(ceil(abs(end - start) / widest), 1)
    angles = [start + (end - start) * span / spans for span in range(spans + 1)]
    return tuple((centre[0] + radius * cos(angle), centre[1] + radius * sin(angle)) for angle in angles)


def curve_points(
    curve: Callable[[float], Point], start: float, end: float, spans: int = 16
) -> tuple[Point, ...]:
    """A smooth curve by its parameter from `start` to `end`, both of its ends among the points. It begins
    with so many `spans` of one size and halves those whose chord leaves the curve by too much."""
    places = [start + (end - start) * span / spans for span in range(spans + 1)]
    points = [curve(places[0])]
    for first, last in pairwise(places):
        points += _halved(curve, first, last, points[-1], curve(last))
    return tuple(points)


def pieces_cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two lines that end at their places cross each other; where they only touch they do not."""
    first = _turn(*one, other[0]) * _turn(*one, other[1])
    second = _turn(*other, one[0]) * _turn(*other, one[1])
    return first < 0 and second < 0


def _turn(begin: Point, end: Point, place: Point) -> float:
    return (end[0] - begin[0]) * (place[1] - begin[1]) - (end[1] - begin[1]) * (place[0] - begin[0])


def _halved(
    curve: Callable[[float], Point], first: float, last: float, begin: Point, end: Point, depth: int = 16
) -> list[Point]:
    """The points after `begin` up to `end`."""
    # One point between could lie on the chord by chance, where the curve goes from one side to the other.
    between = [curve(first + (last - first) * share) for share in (0.25, 0.5, 0.75)]
    if not depth or max(_beside(point, begin, end) for point in between) <= CHORD_ERROR:
        return [end]
    middle, at = (first + last) / 2, between[1]
    return [
        *_halved(curve, first, middle, begin, at, depth - 1),
        *_halved(curve, middle, last, at, end, depth - 1),
    ]


def _beside(point: Point, begin: Point, end: Point) -> float:
    """How far a point lies from the line through two others."""
    across, up = end[0] - begin[0], end[1] - begin[1]
    away, over = point[0] - begin[0], point[1] - begin[1]
    length = hypot(across, up)
    return abs(across * over - up * away) / length if length else hypot(away, over)
