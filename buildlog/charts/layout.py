"""Where everything of a chart goes: the plot, the curves, and labels that cover neither curve nor each other.

In the units of the drawing: `WIDTH` across, y downwards. Nothing here draws.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from buildlog.charts.data import (
    MOST_POINTS,
    Point,
    Scale,
    System,
    check,
    merged,
    plain,
    scale,
    text_width,
    thinned,
    wrapped,
)
from buildlog.kinds.chart import Arrow, ChartSpec, Marker, Series, Tone, Zone

# A phone 360 px wide has 303 px for the drawing, in an item of a list, so that the text is 11 px high there.
WIDTH = 356.0
PLOT_HEIGHT = 224.0
FONT = 13.0
SMALL = 13.0
LINE = 18.0
MOST_OF_WIDTH = 0.23
"""Of the drawing, for labels beside the curves' ends; broader ones have to find room in the plot."""
_HIGHEST = 1.2
"""Of a plan to scale: as many times as broad."""
_MOST_DIRECT = 8
_SAMPLE = 32.0
_BEFORE_NAME = _SAMPLE + 6
_AT_THE_EDGE = 3.0
_COARSE = 120
"""As many points of a curve tell whether a label covers it."""


@dataclass(frozen=True)
class Box:
    """A rectangle; y is downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def crossed(self, first: Point, second: Point) -> bool:
        """Whether a line from one point to another touches the rectangle (Liang and Barsky's clipping)."""
        (x, y), (end_x, end_y) = first, second
        if (
            (x < self.left and end_x < self.left)
            or (x > self.right and end_x > self.right)
            or (y < self.top and end_y < self.top)
            or (y > self.bottom and end_y > self.bottom)
        ):
            return False  # as most are
        dx, dy = end_x - x, end_y - y
        near, far = 0.0, 1.0
        for step, room in (
            (-dx, x - self.left),
            (dx, self.right - x),
            (-dy, y - self.top),
            (dy, self.bottom - y),
        ):
            if step == 0:
                if room < 0:
                    return False
            elif step < 0:
                near = max(near, room / step)
            else:
                far = min(far, room / step)
        return near <= far


@dataclass(frozen=True, kw_only=True)
class Label:
    """A text at a place: its middle's height, and the x of its start, middle or end."""

    text: str
    x: float
    y: float
    anchor: Literal["start", "middle", "end"] = "start"
    size: float = FONT

    @property
    def box(self) -> Box:
        width = text_width(self.text, self.size)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return Box(left, self.y - self.size * 0.55, left + width, self.y + self.size * 0.55)


@dataclass(frozen=True, kw_only=True)
class Curve:
    """A curve or a row of points, in place. Its `style` is its colour, dash and marker; a `dense` one has
    been thinned and is drawn with a finer line."""

    points: tuple[Point, ...]
    style: int
    points_only: bool
    label: str
    dense: bool = False
    coarse: tuple[Point, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Fill:
    """A closed shape, lightly filled: in a curve's colour, or in that of a tone, or in the text's own."""

    points: tuple[Point, ...]
    style: int | None = None
    tone: Tone = ""
    strength: float = 0.16


@dataclass(frozen=True)
class Sample:
    """An entry of the legend: a piece of a curve's line from `x`, and its label; a name too long for one line
    goes on in `more`."""

    curve: Curve
    x: float
    label: Label
    more: tuple[Label, ...] = ()
    length: float = _SAMPLE


@dataclass(frozen=True)
class Mark:
    """A marker in place: a point, or a line up (`y` is None) or across (`x` is None). One that is not `shown`
    is only where a label stands."""

    x: float | None
    y: float | None
    label: str
    shown: bool = True


@dataclass(frozen=True, kw_only=True)
class Layout:
    """All that is drawn."""

    height: float
    plot: Box
    x: Scale
    y: Scale
    curves: tuple[Curve, ...]
    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]
    legend: tuple[Sample, ...]
    fills: tuple[Fill, ...] = ()
    strokes: tuple[tuple[Point, ...], ...] = ()
    """Thin lines of the text's colour: the shafts of arrows, the ends of an uncertainty."""

    def across(self, share: float) -> float:
        return self.plot.left + share * (self.plot.right - self.plot.left)

    def down(self, share: float) -> float:
        return self.plot.bottom - share * (self.plot.bottom - self.plot.top)

    @property
    def base(self) -> float:
        """The height of the x axis: at zero, or at the foot of a plot without zero."""
        if not self.y.ticks:
            return self.plot.bottom
        zero = self.y.share_of(0)
        return self.down(zero) if 0 <= zero <= 1 else self.plot.bottom


def lay_out(spec: ChartSpec, system: System = "author") -> Layout:
    """Check a chart's data and find the place of everything. Raises `Refused` (chart-not-drawn)."""
    check(spec)
    several = len({(plain(one.label), one.style) for one in spec.series}) > 1
    spec = replace(spec, series=merged(spec.series))
    x, y = _scales(spec, system)
    named = _named(spec.series) if several else []
    widest = max((text_width(series.label, FONT) for series in named), default=0.0)
    ends = max((x.share(series.x[-1]) for series in named), default=0.0)
    beside = widest + 12 if widest <= MOST_OF_WIDTH * WIDTH and ends > 0.94 else 0.0
    for margin in dict.fromkeys((beside, 0.0)):
        blank = _frame(spec, x, y, margin, rows=0)
        if (labels := _along_the_curves(blank, several)) is not None:
            return _with_mark_labels(replace(blank, labels=tuple(labels)), spec.zones)
    legend = _legend(named)
    blank = _frame(spec, x, y, 0.0, rows=len({line.y for _, lines in legend for line in lines}))
    curves = {(curve.label, curve.style): curve for curve in blank.curves}
    samples = tuple(
        Sample(curves[series.label, series.style], label.x - _BEFORE_NAME, label, tuple(more))
        for series, (label, *more) in legend
    )
    return _with_mark_labels(replace(blank, legend=samples), spec.zones)


def _scales(spec: ChartSpec, system: System) -> tuple[Scale, Scale]:
    """The axes, with room for all that is drawn."""
    x_values = [value for series in spec.series for value in series.x]
    x_values += [marker.x for marker in spec.markers if marker.x is not None]
    x_values += [x for arrow in spec.arrows for x, _ in (arrow.start, arrow.end)]
    y_values = [value for series in spec.series for value in (*series.y, *series.low, *series.high)]
    y_values += [marker.y for marker in spec.markers if marker.y is not None]
    y_values += [y for arrow in spec.arrows for _, y in (arrow.start, arrow.end)]
    y_values += [end for zone in spec.zones for end in (zone.low, zone.high) if end is not None]
    points_only = all(series.points_only for series in spec.series)
    if spec.equal_scale:
        # A plan that is much higher than broad would fill a screen: it gets room at its sides.
        missing = (max(y_values) - min(y_values)) / _HIGHEST - (max(x_values) - min(x_values))
        if missing > 0:
            x_values += [min(x_values) - missing / 2, max(x_values) + missing / 2]
    x = scale(spec.x, system, x_values, 7, even=points_only or spec.equal_scale)
    return x, scale(spec.y, system, y_values, 6, even=True)


def _named(series: Sequence[Series]) -> list[Series]:
    """The curves that need a name, each label once."""
    first: dict[tuple[str, int], Series] = {}
    for one in series:
        first.setdefault((one.label, one.style), one)
    return [one for one in first.values() if one.label]


def _frame(spec: ChartSpec, x: Scale, y: Scale, beside: float, rows: int) -> Layout:
    """The plot with its curves and marks, no label placed yet."""
    left = max(text_width(label, SMALL) for _, label in y.ticks) + 8
    right = max(beside, text_width(x.ticks[-1][1], SMALL) / 2 + 2, 10)
    top = 30 + rows * LINE
    height = PLOT_HEIGHT
    if spec.equal_scale:
        height = (WIDTH - right - left) * (y.high - y.low) / (x.high - x.low)
    plot = Box(left, top, WIDTH - right, top + height)
    layout = Layout(height=plot.bottom + 44, plot=plot, x=x, y=y, curves=(), marks=(), labels=(), legend=())
    arrows = [_arrow(arrow, layout) for arrow in spec.arrows]
    marks = (*marks_of(spec.markers, layout), *(mark for mark, _, _ in arrows))
    fills = [_zone(zone, layout) for zone in spec.zones]
    fills += [fill for series in spec.series for fill in _areas(series, layout)]
    fills += [head for _, _, head in arrows]
    return replace(
        layout,
        curves=tuple(_placed(series, layout) for series in spec.series),
        marks=marks,
        fills=tuple(fills),
        strokes=tuple(shaft for _, shaft, _ in arrows),
    )


def marks_of(markers: Sequence[Marker], layout: Layout) -> tuple[Mark, ...]:
    """The markers in place."""
    return tuple(
        Mark(
            None if marker.x is None else layout.across(layout.x.share(marker.x)),
            None if marker.y is None else layout.down(layout.y.share(marker.y)),
            plain(marker.label),
        )
        for marker in markers
        if marker.x is not None or marker.y is not None
    )


def _areas(series: Series, layout: Layout) -> Iterator[Fill]:
    """The band of a curve's uncertainty, or the inside of an outline."""
    if series.low:
        there = _in_place(series.x, series.high, layout)
        back = _in_place(series.x, series.low, layout)
        yield Fill(points=(*there, *reversed(back)), style=series.style)
    if series.filled:
        yield Fill(points=tuple(_in_place(series.x, series.y, layout)), style=series.style, strength=0.1)


def _zone(zone: Zone, layout: Layout) -> Fill:
    """A zone over the whole breadth of the plot."""
    ends = [
        edge if end is None else layout.down(min(1.0, max(0.0, layout.y.share(end))))
        for end, edge in ((zone.low, layout.plot.bottom), (zone.high, layout.plot.top))
    ]
    left, right = layout.plot.left, layout.plot.right
    corners = ((left, ends[0]), (right, ends[0]), (right, ends[1]), (left, ends[1]))
    return Fill(points=corners, tone=zone.tone)


def _arrow(arrow: Arrow, layout: Layout) -> tuple[Mark, tuple[Point, ...], Fill]:
    """The mark that an arrow's label stands at, its shaft and its head. One too short to be seen has a head
    of its own length."""
    (x0, y0), (x1, y1) = (_in_place([x], [y], layout)[0] for x, y in (arrow.start, arrow.end))
    length = math.dist((x0, y0), (x1, y1)) or 1.0
    along = ((x1 - x0) / length, (y1 - y0) / length)
    head = min(9.0, length)
    foot = (x1 - head * along[0], y1 - head * along[1])
    side = (-along[1] * head * 0.4, along[0] * head * 0.4)
    corners = ((x1, y1), (foot[0] + side[0], foot[1] + side[1]), (foot[0] - side[0], foot[1] - side[1]))
    middle = Mark((x0 + x1) / 2, (y0 + y1) / 2, plain(arrow.label), shown=False)
    return middle, ((x0, y0), foot), Fill(points=corners, strength=1.0)


def _in_place(x: Sequence[float], y: Sequence[float], layout: Layout) -> list[Point]:
    """Points of SI values in the drawing."""
    return [
        (layout.across(layout.x.share(along)), layout.down(layout.y.share(up)))
        for along, up in zip(x, y, strict=True)
    ]


def _placed(series: Series, layout: Layout) -> Curve:
    points = thinned(_in_place(series.x, series.y, layout))
    if series.filled:
        points.append(points[0])
    return Curve(
        points=tuple(points),
        style=series.style,
        points_only=series.points_only,
        label=series.label,
        dense=len(series.x) > MOST_POINTS,
        coarse=tuple(thinned(points, _COARSE)),
    )


def _legend(named: Sequence[Series]) -> list[tuple[Series, list[Label]]]:
    """The curves' names in rows above the plot.

    A curve that stands for several has all their names, which may be broader than the drawing.
    """
    entries: list[tuple[Series, list[Label]]] = []
    x, y = 0.0, 30.0
    for series in named:
        lines = wrapped(series.label, FONT, WIDTH - _BEFORE_NAME)
        width = _BEFORE_NAME + max(text_width(line, FONT) for line in lines)
        if x and (len(lines) > 1 or x + width > WIDTH):
            x, y = 0.0, y + LINE
        labels = [Label(text=line, x=x + _BEFORE_NAME, y=y + row * LINE) for row, line in enumerate(lines)]
        entries.append((series, labels))
        y = labels[-1].y
        x += width + 16
    return entries


# --- labels ---------------------------------------------------------------------------


@dataclass(frozen=True)
class _Room:
    """What a label must keep clear of: curves and marks, with room about those that are not its own."""

    layout: Layout
    own: Curve | None
    clear: float

    def covered(self, label: Label, taken: Sequence[Label]) -> int:
        """How many curves, marks and labels a label would cover."""
        box, plot = label.box, self.layout.plot
        found = sum(box.meets(other.box) for other in taken)
        for curve in self.layout.curves:
            near = box.grown(1.0 if curve is self.own else self.clear)
            points = curve.coarse
            pairs = pairwise(points) if not curve.points_only else zip(points, points, strict=True)
            found += any(near.crossed(first, second) for first, second in pairs)
        near = box.grown(self.clear)
        found += box.crossed((plot.left, self.layout.base), (plot.right, self.layout.base))
        for mark in self.layout.marks:
            first = (plot.left if mark.x is None else mark.x, plot.top if mark.y is None else mark.y)
            second = (plot.right if mark.x is None else mark.x, plot.bottom if mark.y is None else mark.y)
            found += near.crossed(first, second)
        return found


def _along_the_curves(layout: Layout, several: bool) -> list[Label] | None:
    """A label at each curve, nearer to it than to any other, or None where one has no room. One curve alone
    needs no name, unless it stands for `several`."""
    named = {(curve.label, curve.style): curve for curve in reversed(layout.curves) if curve.label}
    if not several:
        return []
    if len(named) > _MOST_DIRECT:
        return None
    paper = Box(0, layout.plot.top - 8, WIDTH, layout.plot.bottom - 2)
    placed: list[Label] = []
    for curve in sorted(named.values(), key=lambda curve: curve.points[-1][1]):
        free = [
            (rank, label)
            for rank, label, clear in _near(curve)
            if paper.holds(label.box) and not _Room(layout, curve, clear).covered(label, placed)
        ]
        if not free:
            return None
        placed.append(min(free, key=lambda ranked: (ranked[0], _gap(curve, ranked[1])))[1])
    return placed


def _gap(curve: Curve, label: Label) -> float:
    """How far the farthest of a label's ends and middle is from its curve."""
    box, points = label.box, curve.coarse
    spots = [(x, label.y) for x in (box.left, (box.left + box.right) / 2, box.right)]
    return max(min(math.dist(spot, point) for point in points) for spot in spots)


def _near(curve: Curve) -> Iterator[tuple[int, Label, float]]:
    """Places for a curve's label with their rank and the room it wants there: beside its end, or failing
    that about its later half, where it must be nearer to this curve than to any other."""
    x, y = curve.points[-1]
    for shift in (0, 4, -4, 8, -8):
        yield 0, Label(text=curve.label, x=x + 7, y=y + shift), 2
    if curve.points_only:
        return
    for share in (1.0, 0.92, 0.85, 0.78, 0.7, 0.62, 0.55, 0.48, 0.4, 0.3):
        x, y = curve.points[round(share * (len(curve.points) - 1))]
        for up in (11, 14):
            yield 1, Label(text=curve.label, x=x - 3, y=y - up, anchor="end"), 9
            yield 1, Label(text=curve.label, x=x + 4, y=y + up), 9
            yield 1, Label(text=curve.label, x=x - 3, y=y + up, anchor="end"), 9
            yield 1, Label(text=curve.label, x=x + 4, y=y - up), 9


def _with_mark_labels(layout: Layout, zones: Sequence[Zone] = ()) -> Layout:
    """The layout with each marker and each zone named, where least is covered."""
    placed = list(layout.labels)
    room, within = _Room(layout, None, 1), _Room(layout, None, -_AT_THE_EDGE)
    inside = replace(layout.plot, left=layout.plot.left + 2, right=WIDTH)
    for mark in (*layout.marks, *(_middle(zone, layout) for zone in zones)):
        if not mark.label:
            continue
        candidates = [label for label in _beside(mark, layout.plot) if inside.holds(label.box)]
        if candidates:
            # Of places that cover as much, the one that a curve touches at the edge, not through the words.
            placed.append(
                min(
                    candidates, key=lambda label: (room.covered(label, placed), within.covered(label, placed))
                )
            )
    return replace(layout, labels=tuple(placed))


def _middle(zone: Zone, layout: Layout) -> Mark:
    """Where a zone's label stands: a line across its middle that is not drawn."""
    low, high = (
        edge if end is None else min(1.0, max(0.0, layout.y.share(end)))
        for end, edge in ((zone.low, 0.0), (zone.high, 1.0))
    )
    return Mark(None, layout.down((low + high) / 2) + 9, plain(zone.label), shown=False)


def _beside(mark: Mark, plot: Box) -> Iterator[Label]:
    """Places for a marker's label, the best first."""
    if mark.x is not None and mark.y is not None:
        for dx, dy, anchor in (
            (8.0, -9.0, "start"),
            (-8.0, -9.0, "end"),
            (8.0, 10.0, "start"),
            (-8.0, 10.0, "end"),
            (8.0, -22.0, "start"),
            (-8.0, -22.0, "end"),
            (8.0, 24.0, "start"),
            (-8.0, 24.0, "end"),
        ):
            yield Label(text=mark.label, x=mark.x + dx, y=mark.y + dy, anchor=anchor)  # type: ignore[arg-type]
    elif mark.x is not None:
        for row in range(12):
            y = plot.top + 9 + row * LINE
            yield Label(text=mark.label, x=mark.x + 5, y=y)
            yield Label(text=mark.label, x=mark.x - 5, y=y, anchor="end")
    elif mark.y is not None:
        for share in (0.0, 0.25, 0.5, 0.75):
            x = plot.right - 4 - share * (plot.right - plot.left)
            yield Label(text=mark.label, x=x, y=mark.y - 9, anchor="end")
            yield Label(text=mark.label, x=x, y=mark.y + 10, anchor="end")
