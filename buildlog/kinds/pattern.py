"""A pattern as data: the outline of a part that lies flat, at full size, as a calculator hands it over and
`buildlog.patterns` draws it. All lengths are metres; x goes to the right and y upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]

LineKind = Literal["cut", "bend", "centre", "mark"]
"""What is done along a line: it is cut through, it is bent, it is the middle of something (of a hole, of a
row of rivets), or it is only marked (where another part lies)."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line through points, straight between them; a `closed` one comes back to its first. Curves are given
    as points so near to each other that a chord leaves its arc by less than a blade is wide: `arc_points`."""

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
    of the way from `start` to `end` (to the right where it is negative). A `horizontal` or `vertical` one
    measures along x or y alone."""

    start: Point
    end: Point
    output: str
    key: str = ""
    away: float = 0.0
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
    """One flat piece. `name` tells the patterns of one block apart: the name of the case, of the piece or
    both; "" where there is one. `title` says what it is, `material` what it is cut from, `revision` is the
    author's. One that lies on a tube and is wrapped round it says so in `use`: how it is used."""

    name: str = ""
    title: str
    material: str = ""
    revision: str = ""
    use: str = ""
    lines: tuple[Line, ...]
    holes: tuple[Hole, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    notes: tuple[Note, ...] = ()
