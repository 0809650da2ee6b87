"""Where everything of a chart of bars goes: each bar on a line of its own, its label over it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from buildlog.charts.data import Point, Scale, System, check, plain, scale, text_width
from buildlog.charts.layout import FONT, LINE, SMALL, WIDTH, Box, Fill, Label, Layout, Mark, marks_of
from buildlog.figures.labels import write_number
from buildlog.kinds.chart import Bar, BarSpec, Zone

_ROW = 42.0
_THICK = 16.0
_ABOVE = 10.0
_CAP = 5.0


def lay_out_bars(spec: BarSpec, system: System = "author") -> Layout:
    """Check a chart's bars and find the place of everything. Raises `Refused` (chart-not-drawn)."""
    check(spec)
    values = [end for bar in spec.bars for end in _ends(bar)]
    values += [marker.x for marker in spec.markers if marker.x is not None]
    values += [end for zone in spec.zones for end in (zone.low, zone.high) if end is not None]
    x = scale(replace(spec.x, from_zero=True), system, values, 6, even=True)
    rows = Scale(heading="", low=0.0, high=1.0, ticks=(), from_si=float)
    above = [marker for marker in spec.markers if marker.x is not None]
    zones = [zone for zone in spec.zones if zone.label]
    top = 8 + LINE * (len(above) + len(zones))
    right = max(text_width(x.ticks[-1][1], SMALL) / 2 + 2, 10)
    plot = Box(8.0, top, WIDTH - right, top + _ROW * len(spec.bars) + 4)
    layout = Layout(
        height=plot.bottom + 44, plot=plot, x=x, y=rows, curves=(), marks=(), labels=(), legend=()
    )
    marks = marks_of(above, layout)
    return replace(
        layout,
        marks=marks,
        labels=(
            *_names(layout, marks, zones),
            *(label for row, bar in enumerate(spec.bars) for label in _written(bar, row, layout)),
        ),
        fills=(
            *(_zone(zone, layout) for zone in spec.zones),
            *(_bar(bar, row, layout) for row, bar in enumerate(spec.bars)),
        ),
        strokes=(
            *_axis(layout),
            *(line for row, bar in enumerate(spec.bars) for line in _spread(bar, row, layout)),
            *(_step(bar, after, row, layout) for row, (bar, after) in enumerate(_steps(spec))),
        ),
    )


def _ends(bar: Bar) -> Iterator[float]:
    yield bar.start
    yield bar.start + bar.value
    yield from (end for end in (bar.low, bar.high) if end is not None)


def _place(value: float, layout: Layout) -> float:
    return layout.across(layout.x.share(value))


def _middle(row: int, layout: Layout) -> float:
    return layout.plot.top + row * _ROW + _ABOVE + LINE / 2 + _THICK / 2 + 2


def _bar(bar: Bar, row: int, layout: Layout) -> Fill:
    left, right = _place(bar.start, layout), _place(bar.start + bar.value, layout)
    y = _middle(row, layout)
    corners = _corners(left, right, y - _THICK / 2, y + _THICK / 2)
    return Fill(points=corners, style=None if bar.tone else bar.style, tone=bar.tone, strength=0.85)


def _corners(left: float, right: float, top: float, bottom: float) -> tuple[Point, ...]:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _zone(zone: Zone, layout: Layout) -> Fill:
    """A zone over the whole height of the plot."""
    plot = layout.plot
    left, right = (
        edge if end is None else min(plot.right, max(plot.left, _place(end, layout)))
        for end, edge in ((zone.low, plot.left), (zone.high, plot.right))
    )
    return Fill(points=_corners(left, right, plot.top, plot.bottom), tone=zone.tone)


def _axis(layout: Layout) -> Iterator[tuple[Point, ...]]:
    """The line that the bars stand on: zero."""
    share = layout.x.share_of(0.0)
    if 0 <= share <= 1:
        x = layout.across(share)
        yield ((x, layout.plot.top), (x, layout.plot.bottom))


def _spread(bar: Bar, row: int, layout: Layout) -> Iterator[tuple[Point, ...]]:
    """Where a bar may end: a line between two caps."""
    if bar.low is None or bar.high is None:
        return
    y = _middle(row, layout)
    left, right = _place(bar.low, layout), _place(bar.high, layout)
    yield ((left, y), (right, y))
    for x in (left, right):
        yield ((x, y - _CAP), (x, y + _CAP))


def _steps(spec: BarSpec) -> list[tuple[Bar, Bar]]:
    """Neighbours in a waterfall: the second starts where the first ends."""
    return [
        (bar, after) for bar, after in zip(spec.bars, spec.bars[1:], strict=False) if after.start or bar.start
    ]


def _step(bar: Bar, after: Bar, row: int, layout: Layout) -> tuple[Point, ...]:
    """A thin line from a bar's end down to where the next begins."""
    x = _place(after.start, layout)
    return ((x, _middle(row, layout) + _THICK / 2), (x, _middle(row + 1, layout) - _THICK / 2))


def _names(layout: Layout, marks: tuple[Mark, ...], zones: list[Zone]) -> Iterator[Label]:
    """The markers and zones by name, each in a row above the plot, at its place."""
    row = 0
    for mark in marks:
        yield _over(mark.label, mark.x or 0.0, row, layout)
        row += 1
    for zone in zones:
        fill = _zone(zone, layout)
        x = (fill.points[0][0] + fill.points[1][0]) / 2
        yield _over(plain(zone.label), x, row, layout)
        row += 1


def _over(text: str, x: float, row: int, layout: Layout) -> Label:
    half = text_width(text, SMALL) / 2
    x = min(max(x, half), WIDTH - half)
    return Label(text=text, x=x, y=9 + row * LINE, anchor="middle", size=SMALL)


def _written(bar: Bar, row: int, layout: Layout) -> Iterator[Label]:
    """A bar's label and its value, over the bar: both are read before the bar is."""
    shown = layout.x.from_si(bar.value)
    decimals = next((count for count, limit in enumerate((100, 10, 1)) if abs(shown) >= limit), 2)
    y = layout.plot.top + row * _ROW + _ABOVE
    value = write_number(shown, decimals)
    yield Label(text=value, x=layout.plot.right, y=y, anchor="end", size=FONT)
    room = layout.plot.right - layout.plot.left - text_width(value, FONT) - 12
    text = plain(bar.label)
    while text and text_width(text, FONT) > room:
        text = text[:-2].rstrip() + "…"
    yield Label(text=text, x=layout.plot.left, y=y, size=FONT)
