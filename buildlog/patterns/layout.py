"""The place of everything in the drawing of a pattern, in millimetres: lines, dimensions, words and the bar
that a print is measured by.

A drawing is at full size. Only its words have another size where it is shown small, in a page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from textwrap import wrap
from typing import Literal

from buildlog.diagnostics import Refused, declare
from buildlog.kinds.pattern import Dimension, Hole, Note, Pattern, Point

PATTERN_NOT_DRAWN = declare(
    "pattern-not-drawn",
    "the pattern cannot be drawn from these data",
    why="a part that is cut by a wrong drawing is scrap at best",
    mend="look at the block's inputs: the lengths that the pattern rests on are given above it",
    example="an outline with a point that is no number",
)

StrokeKind = Literal["cut", "bend", "centre", "mark", "dimension"]
WORDS = 3.5
"""mm: height of lettering on workshop drawings (ISO 3098-0, the series 1.8, 2.5, 3.5, 5, as a guide has
it, read)."""
BAR = 100.0
LARGEST = 10_000.0
"""mm: ten metres are no sheet that a workshop folds."""
MOST_POINTS = 50_000
_FEWEST_SIGNS = 30
"""On a line of words below a drawing, however small that one is in its page."""
_SAME = 1e-6
"""mm: what a dimension may differ by from the value that it tells; numbers of SI are no nearer."""
_HEAD = 0.7
_GAP = 0.3
"""Length of an arrow's head, and space beside lines, in heights of the words."""


@dataclass(frozen=True, kw_only=True)
class Written:
    """A value as a drawing tells it: its text, its length in mm where it is one, and the address of the
    result."""

    text: str
    length: float | None
    address: str


Tell = Callable[[str, str], Written]
"""The value of an output, by its name and key."""


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """A line to draw, in mm."""

    kind: StrokeKind
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True, kw_only=True)
class Ring:
    """A circle to draw, in mm."""

    kind: StrokeKind
    centre: Point
    radius: float


@dataclass(frozen=True, kw_only=True)
class Lettering:
    """Words to draw: `place` is the middle of their line, `size` their height in mm, `turned` in degrees
    against the clock. `value` is the part of them that is a result, and `address` that result's."""

    text: str
    place: Point
    size: float
    turned: float = 0.0
    anchor: Literal["start", "middle"] = "middle"
    value: str = ""
    address: str = ""


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """All that is drawn of a pattern. `low` and `high` are opposite corners of what it takes up."""

    strokes: tuple[Stroke, ...]
    rings: tuple[Ring, ...]
    words: tuple[Lettering, ...]
    low: Point
    high: Point

    @property
    def size(self) -> Point:
        return self.high[0] - self.low[0], self.high[1] - self.low[1]


def lay_out(pattern: Pattern, tell: Tell, *, words: float = WORDS) -> Drawing:
    """The drawing of a pattern, its words so high in mm. Raises `Refused` (pattern-not-drawn)."""
    check(pattern)
    made = _Parts(words)
    for line in pattern.lines:
        points = tuple(map(_in_mm, line.points))
        made.strokes.append(Stroke(kind=line.kind, points=points, closed=line.closed))
    for hole in pattern.holes:
        _draw_hole(made, hole)
    for dimension in pattern.dimensions:
        _draw_dimension(made, dimension, tell)
    for note in pattern.notes:
        _draw_note(made, note, tell)
    return made.drawing()


def with_bar(drawing: Drawing, *says: str, words: float = WORDS) -> Drawing:
    """The drawing with a bar of 100 mm below it, and what it is for; whatever else has to be said of it
    stands below, on lines no longer than the drawing is wide, or twice the bar."""
    left, top = drawing.low[0], drawing.low[1] - 3 * words
    bar = control_bar((left, top - words), words)
    signs = int(max(drawing.size[0], 2 * BAR) / _width("x", words))
    first, *others = says
    lines = [first, *(line for text in others for line in wrap(str(text), max(signs, _FEWEST_SIGNS)))]
    texts = [
        Lettering(text=line, place=(left, top - words * (2.4 + 1.5 * place)), size=words, anchor="start")
        for place, line in enumerate(lines)
    ]
    longest = max(_width(line, words) for line in lines)
    return Drawing(
        strokes=(*drawing.strokes, *bar),
        rings=drawing.rings,
        words=(*drawing.words, *texts),
        low=(left, texts[-1].place[1] - words),
        high=(max(drawing.high[0], left + max(BAR, longest)), drawing.high[1]),
    )


def control_bar(place: Point, words: float = WORDS) -> tuple[Stroke, ...]:
    """A bar of 100 mm from a place to the right, with a tick every 10 mm, by which a print is measured."""
    x, y = place
    ticks = [
        Stroke(
            kind="dimension",
            points=((x + at, y), (x + at, y + words * (1.0 if at in (0, 50, 100) else 0.6))),
        )
        for at in range(0, 101, 10)
    ]
    return (Stroke(kind="dimension", points=((x, y), (x + BAR, y))), *ticks)


# --- what is drawn ------------------------------------------------------------------------


@dataclass
class _Parts:
    """What a drawing is being made of."""

    words: float
    strokes: list[Stroke] = field(default_factory=list)
    rings: list[Ring] = field(default_factory=list)
    letterings: list[Lettering] = field(default_factory=list)

    def line(self, *points: Point, closed: bool = False) -> None:
        """A thin line, of a dimension."""
        self.strokes.append(Stroke(kind="dimension", points=points, closed=closed))

    def drawing(self) -> Drawing:
        corners = [point for stroke in self.strokes for point in stroke.points]
        for ring in self.rings:
            (x, y), reach = ring.centre, ring.radius
            corners += [(x - reach, y - reach), (x + reach, y + reach)]
        for lettering in self.letterings:
            corners += _corners(lettering)
        across, upwards = [x for x, _ in corners], [y for _, y in corners]
        return Drawing(
            strokes=tuple(self.strokes),
            rings=tuple(self.rings),
            words=tuple(self.letterings),
            low=(min(across), min(upwards)),
            high=(max(across), max(upwards)),
        )


def _draw_hole(made: _Parts, hole: Hole) -> None:
    """A hole, and the cross of its middle, which reaches beyond its edge."""
    (x, y), radius = _in_mm(hole.centre), 500 * hole.diameter
    made.rings.append(Ring(kind="cut", centre=(x, y), radius=radius))
    arm = radius + min(radius, made.words)
    for cross in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
        made.strokes.append(Stroke(kind="centre", points=cross))


def _draw_dimension(made: _Parts, dimension: Dimension, tell: Tell) -> None:
    """A dimension line beside the two places, with lines that lead to it, arrows and its value."""
    told = tell(dimension.output, dimension.key)
    start, end = _measured(dimension)
    length = math.dist(start, end)
    if told.length is None or abs(told.length - length) > max(_SAME, 1e-9 * length):
        raise _refuse(
            f"a dimension of {length:.6g} mm that tells {told.text}", "the length of what it measures"
        )
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    left = (-along[1], along[0])
    room = (dimension.away - dimension.past) * max(1.0, made.words / WORDS)
    away = 1000 * (dimension.past + room)
    first, last = _moved(start, left, away), _moved(end, left, away)
    made.line(first, last)
    beyond = math.copysign(_GAP * made.words, away)
    for measured, at, other in ((dimension.start, first, last), (dimension.end, last, first)):
        if away:
            made.line(_in_mm(measured), _moved(at, left, beyond))
        made.strokes.append(_arrow(at, other, made.words, inwards=length > 3 * _HEAD * made.words))
    middle = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
    made.letterings.append(_upright(told, middle, left, along, made.words))


def _measured(dimension: Dimension) -> tuple[Point, Point]:
    """The two ends of what is measured, in mm; of one along an axis the second is level with the first."""
    start, end = _in_mm(dimension.start), _in_mm(dimension.end)
    if dimension.along == "horizontal":
        end = end[0], start[1]
    if dimension.along == "vertical":
        end = start[0], end[1]
    if math.dist(start, end) < _SAME:
        raise _refuse("a dimension without length", "two places that are apart")
    return start, end


def _arrow(at: Point, other: Point, words: float, *, inwards: bool) -> Stroke:
    """An arrow that points at a place, from the side of the other; where there is no room from outside."""
    length = math.dist(at, other)
    way = 1 if inwards else -1
    x, y = way * (other[0] - at[0]) / length, way * (other[1] - at[1]) / length
    back, side = _HEAD * words, _HEAD * words / 5
    ends = [(at[0] + back * x - side * y * turn, at[1] + back * y + side * x * turn) for turn in (1, -1)]
    return Stroke(kind="dimension", points=(ends[0], at, ends[1]))


def _upright(told: Written, middle: Point, left: Point, along: Point, words: float) -> Lettering:
    """A dimension's value over its line: read from below or from the right."""
    turned = math.degrees(math.atan2(along[1], along[0]))
    over = left
    if not -90 + 1e-9 < turned <= 90 + 1e-9:
        turned, over = turned - math.copysign(180, turned), (-left[0], -left[1])
    return Lettering(
        text=told.text,
        place=_moved(middle, over, words * (0.5 + _GAP)),
        size=words,
        turned=turned,
        value=told.text,
        address=told.address,
    )


def _draw_note(made: _Parts, note: Note, tell: Tell) -> None:
    told = tell(note.output, note.key) if note.output else None
    text = note.text.replace("{value}", told.text) if told else note.text
    made.letterings.append(
        Lettering(
            text=text,
            place=_in_mm(note.place),
            size=made.words,
            turned=math.degrees(note.turned),
            value=told.text if told else "",
            address=told.address if told else "",
        )
    )


# --- checks and lengths -------------------------------------------------------------------


def check(pattern: Pattern) -> None:
    """Refuse what cannot be drawn honestly."""
    places = list(_places(pattern))
    if not pattern.lines:
        raise _refuse("no line", "at least one")
    if len(places) > MOST_POINTS:
        raise _refuse(f"{len(places)} points", f"at most {MOST_POINTS}")
    for x, y in places:
        if not (math.isfinite(x) and math.isfinite(y)):
            raise _refuse(f"a point at {x}, {y}", "a finite place")
    across, upwards = [x for x, _ in places], [y for _, y in places]
    span = 1000 * max(max(across) - min(across), max(upwards) - min(upwards))
    if span > LARGEST:
        raise _refuse(f"a pattern of {span:.6g} mm", f"at most {LARGEST:.0f} mm")
    far = 1000 * max(map(abs, (*across, *upwards)))
    if far > 10 * LARGEST:  # so far out numbers have not the digits for a nanometre any more
        raise _refuse(f"a point {far:.6g} mm from the origin", f"at most {10 * LARGEST:.0f} mm")
    if any(len(line.points) < 2 for line in pattern.lines):
        raise _refuse("a line with one point", "at least two")
    _check_sizes(pattern)


def _check_sizes(pattern: Pattern) -> None:
    """Refuse sizes that are none, or that reach beyond any sheet."""
    for hole in pattern.holes:
        if not 0 < 1000 * hole.diameter <= LARGEST:
            raise _refuse(f"a hole of {1000 * hole.diameter:.6g} mm", "one that can be cut")
    for dimension in pattern.dimensions:
        if not abs(1000 * dimension.away) <= LARGEST:
            raise _refuse(f"a dimension {1000 * dimension.away:.6g} mm away", f"at most {LARGEST:.0f} mm")
    if not all(math.isfinite(note.turned) for note in pattern.notes):
        raise _refuse("words turned by no angle", "a finite angle")


def _places(pattern: Pattern) -> Iterator[Point]:
    for line in pattern.lines:
        yield from line.points
    for hole in pattern.holes:
        yield hole.centre
    for dimension in pattern.dimensions:
        yield from (dimension.start, dimension.end)
    for note in pattern.notes:
        yield note.place


def _refuse(found: str, expected: str) -> Refused:
    return Refused("", found, expected, help=PATTERN_NOT_DRAWN.mend, code=PATTERN_NOT_DRAWN)


def _in_mm(point: Point) -> Point:
    return 1000 * point[0], 1000 * point[1]


def _moved(point: Point, way: Point, far: float) -> Point:
    return point[0] + far * way[0], point[1] + far * way[1]


def _width(text: str, size: float) -> float:
    """About how long words are, on the broad side."""
    return 0.62 * size * len(text)


def _corners(lettering: Lettering) -> Iterable[Point]:
    """The corners of what words take up."""
    width, half = _width(lettering.text, lettering.size), 0.6 * lettering.size
    ends = (0.0, width) if lettering.anchor == "start" else (-width / 2, width / 2)
    turn = math.radians(lettering.turned)
    x, y = lettering.place
    for across in ends:
        for up in (-half, half):
            yield (
                x + across * math.cos(turn) - up * math.sin(turn),
                y + across * math.sin(turn) + up * math.cos(turn),
            )
