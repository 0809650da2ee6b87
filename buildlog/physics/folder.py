"""Which bends a simple folder can do, and in which order: by the section of the part in the machine.

The machine: the sheet lies on a bed under a clamping bar, whose nose is at the tangent line of the bend; a
leaf in front swings up about that line and takes the flap along. Only the section counts: bar, bed and leaf
are as long as the part, and it can be slid in from the end. All lengths are metres, angles rad.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import cos, hypot, sin, tan

Point = tuple[float, float]

_STEPS = 8
"""Into how many steps a swing is divided to look whether something is in the way."""
_TOUCHING = 0.45
"""Of a thickness: the middle of a sheet that lies on a face is half a thickness from it."""
_FAR = 2.0
"""How far below its face the bed reaches: to the floor."""


@dataclass(frozen=True, kw_only=True)
class Folder:
    """`bar_height` is that of the clamping bar over the sheet, `bar_depth` from its nose to its back, and
    `bar_face` the angle of its front face to the sheet: the smaller, the further a bend can go. `bed_depth`
    is that of the bed behind the nose, `leaf_width` how far the leaf reaches along the flap."""

    bar_height: float
    bar_depth: float
    bar_face: float
    bed_depth: float
    leaf_width: float

    def bar(self, thickness: float) -> tuple[Point, ...]:
        back = min(self.bar_depth, self.bar_height / tan(self.bar_face))
        height = back * tan(self.bar_face)
        return (
            (0.0, thickness),
            (-back, thickness + height),
            (-back, thickness + self.bar_height),
            (-self.bar_depth, thickness + self.bar_height),
            (-self.bar_depth, thickness),
        )

    @cached_property
    def bed(self) -> tuple[Point, ...]:
        return ((0.0, 0.0), (0.0, -_FAR), (-self.bed_depth, -_FAR), (-self.bed_depth, 0.0))

    @cached_property
    def leaf(self) -> tuple[Point, ...]:
        """In the frame of the flap; it is taken to be as thick as it is wide."""
        return (
            (0.0, 0.0),
            (self.leaf_width, 0.0),
            (self.leaf_width, -self.leaf_width),
            (0, -self.leaf_width),
        )

    def obstacle(self, section: Section, done: frozenset[int], fold: Fold) -> str:
        """What a fold would run into: "bar", "bed", "leaf" or "itself"; "" where it goes."""
        last = len(section.straights)
        before, after = range(fold.bend, -1, -1), range(fold.bend + 1, last)
        clamped, flap = (before, after) if fold.before_is_clamped else (after, before)
        sign = -1.0 if fold.turned_over else 1.0
        angles = [sign * angle if bend in done else 0.0 for bend, angle in enumerate(section.angles)]
        half = section.thickness / 2
        held = [(-x, y + half) for x, y in _walked(section, clamped, angles, 0.0)]
        wanted = abs(section.angles[fold.bend])
        for step in range(_STEPS + 1):
            swung = wanted * step / _STEPS
            free = _flap(section, flap, angles, fold.bend, swung)
            in_the_way = _in_the_way(section, held, free, swung, self)
            if in_the_way:
                return in_the_way
        return ""

    def order(self, section: Section) -> Order:
        """An order in which every bend can be folded, found by trying: at each place the bend that wants the
        part turned least, then the first from the datum edge. None is left out, so that “no order” means
        none."""
        search = _Search(section, self)
        search.run(())
        if search.found is not None:
            return Order(folds=search.found, in_the_way={})
        left = [
            bend for bend in range(len(section.angles)) if bend not in {fold.bend for fold in search.longest}
        ]
        done = frozenset(fold.bend for fold in search.longest)
        ways = {
            bend: tuple(dict.fromkeys(self.obstacle(section, done, fold) for fold in search.ways_of(bend)))
            for bend in left
        }
        return Order(folds=search.longest, in_the_way=ways)


@dataclass(frozen=True, kw_only=True)
class Section:
    """A part: straight lengths, and between them the bends: the angle of each (above 0 for up, below for
    down), its inside radius and its allowance."""

    thickness: float
    straights: tuple[float, ...]
    angles: tuple[float, ...]
    radii: tuple[float, ...]
    allowances: tuple[float, ...]

    def corner(self, bend: int, angle: float) -> float:
        """From a tangent line to the corner in which the middles of two flanges meet."""
        return (self.radii[bend] + self.thickness / 2) * tan(abs(angle) / 2)

    def outline(self, angles: Sequence[float]) -> list[Point]:
        """The middle of the sheet from the datum edge on, with each bend at an angle, 0 where it is flat."""
        return list(_walked(self, range(len(self.straights)), angles, 0.0))


def _walked(
    section: Section, flanges: Sequence[int], angles: Sequence[float], heading: float
) -> Iterator[Point]:
    """The middle of the sheet along neighbouring flanges, from the origin on; bends count as they are met."""
    x = y = 0.0
    yield x, y
    for number, flange in enumerate(flanges):
        reach = section.straights[flange]
        if number + 1 == len(flanges):
            yield x + reach * cos(heading), y + reach * sin(heading)
            return
        bend = min(flange, flanges[number + 1])
        turn = angles[bend]
        into = section.corner(bend, turn) if turn else section.allowances[bend]
        x, y = x + (reach + into) * cos(heading), y + (reach + into) * sin(heading)
        if turn:
            yield x, y
            heading += turn
            x, y = x + into * cos(heading), y + into * sin(heading)


@dataclass(frozen=True)
class Fold:
    """One fold: which bend, whether the flanges before it (on the side of the datum edge) are clamped or
    those after it, and whether the sheet lies with its other face up."""

    bend: int
    before_is_clamped: bool
    turned_over: bool


def _flap(
    section: Section, flap: Sequence[int], angles: Sequence[float], bend: int, swung: float
) -> list[Point]:
    """The flap in the frame of the machine, swung up by an angle."""
    into = section.corner(bend, swung) if swung else section.allowances[bend] / 2
    start = (into + into * cos(swung), section.thickness / 2 + into * sin(swung))
    return [(start[0] + x, start[1] + y) for x, y in _walked(section, flap, angles, swung)]


def _in_the_way(section: Section, held: list[Point], free: list[Point], swung: float, folder: Folder) -> str:
    near = _TOUCHING * section.thickness
    bar = folder.bar(section.thickness)
    # What lies flat in the machine touches it: the first piece of each side counts only where it goes in.
    for points, shape, name in (
        (held, bar, "bar"),
        (held, folder.bed, "bed"),
        (free, bar, "bar"),
        (free, folder.bed, "bed"),
    ):
        if _meets(points, shape, near):
            return name
    if _meets(_in_frame_of_leaf(free, swung, section.thickness), folder.leaf, near):
        return "leaf"
    crossed = any(_cross(one, other) for one in pairwise(held[1:]) for other in pairwise(free[1:]))
    crossed = crossed or any(_cross(one, other) for one in pairwise(held[:2]) for other in pairwise(free[1:]))
    crossed = crossed or any(_cross(one, other) for one in pairwise(held[1:]) for other in pairwise(free[:2]))
    return "itself" if crossed else ""


def _in_frame_of_leaf(free: list[Point], swung: float, thickness: float) -> list[Point]:
    """The flap as the leaf sees it: x along the leaf, y from its face."""
    start = free[0]
    turned = [
        (
            (x - start[0]) * cos(swung) + (y - start[1]) * sin(swung),
            (y - start[1]) * cos(swung) - (x - start[0]) * sin(swung) + thickness / 2,
        )
        for x, y in free
    ]
    return turned


def _meets(points: list[Point], shape: Sequence[Point], near: float) -> bool:
    """Whether a line goes into a shape, or comes nearer to it than its own half thickness allows; the first
    piece of the line, which lies on the machine, only whether it goes in."""
    edges = list(zip(shape, [*shape[1:], shape[0]], strict=True))
    for number, piece in enumerate(pairwise(points)):
        if _inside(piece[1], shape) or any(_cross(piece, edge) for edge in edges):
            return True
        if number and any(_gap(piece, edge) < near for edge in edges):
            return True
    return False


def _inside(point: Point, shape: Sequence[Point]) -> bool:
    x, y = point
    is_inside = False
    for (x_1, y_1), (x_2, y_2) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if (y_1 > y) != (y_2 > y) and x < x_1 + (y - y_1) * (x_2 - x_1) / (y_2 - y_1):
            is_inside = not is_inside
    return is_inside


def _side(start: Point, end: Point, point: Point) -> float:
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    first = _side(*one, other[0]) * _side(*one, other[1])
    return first < 0 and _side(*other, one[0]) * _side(*other, one[1]) < 0


def _gap(one: tuple[Point, Point], other: tuple[Point, Point]) -> float:
    """The distance of two pieces of line that do not cross."""
    ends = [(point, other) for point in one] + [(point, one) for point in other]
    return min(_from_piece(point, piece) for point, piece in ends)


def _from_piece(point: Point, piece: tuple[Point, Point]) -> float:
    (x_1, y_1), (x_2, y_2) = piece
    along, up = x_2 - x_1, y_2 - y_1
    length = along * along + up * up
    share = 0.0
    if length:
        share = min(1.0, max(0.0, ((point[0] - x_1) * along + (point[1] - y_1) * up) / length))
    return hypot(point[0] - x_1 - share * along, point[1] - y_1 - share * up)


@dataclass(frozen=True, kw_only=True)
class Order:
    """The folds in their order where there is one. Where there is none, `folds` is as far as one comes, and
    `in_the_way` says of each bend that is left what its fold would run into, with either side clamped."""

    folds: tuple[Fold, ...]
    in_the_way: dict[int, tuple[str, ...]]

    @property
    def is_whole(self) -> bool:
        return not self.in_the_way


class _Search:
    def __init__(self, section: Section, folder: Folder) -> None:
        self.section, self.folder = section, folder
        self.dead: set[frozenset[int]] = set()
        self.longest: tuple[Fold, ...] = ()
        self.found: tuple[Fold, ...] | None = None

    def ways_of(self, bend: int) -> list[Fold]:
        over = self.section.angles[bend] < 0
        return [Fold(bend, clamped, over) for clamped in (True, False)]

    def run(self, folds: tuple[Fold, ...]) -> None:
        """Go on from some folds, until all bends are done or nothing is left to try."""
        done = frozenset(fold.bend for fold in folds)
        if done in self.dead or self.found is not None:
            return
        if len(folds) > len(self.longest):
            self.longest = folds
        if len(done) == len(self.section.angles):
            self.found = folds
            return
        for fold in sorted(self._next(done), key=lambda fold: (self._turns(folds, fold), fold.bend)):
            if not self.folder.obstacle(self.section, done, fold):
                self.run((*folds, fold))
        self.dead.add(done)

    def _next(self, done: frozenset[int]) -> list[Fold]:
        return [
            fold
            for bend in range(len(self.section.angles))
            if bend not in done
            for fold in self.ways_of(bend)
        ]

    @staticmethod
    def _turns(folds: tuple[Fold, ...], fold: Fold) -> int:
        if not folds:
            return 0
        last = folds[-1]
        return (last.turned_over != fold.turned_over) + (last.before_is_clamped != fold.before_is_clamped)
