"""Charts ready for a page: drawn in each system of units, with their data as tables for readers who
cannot see them or want the numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from markupsafe import Markup

from buildlog.charts.data import System, other_systems, thinned, unit_of
from buildlog.diagnostics import Refused
from buildlog.figures.labels import write_number
from buildlog.kinds.chart import Axis, Bar, BarSpec, Chart, ChartSpec, Marker, Zone
from buildlog.render.pieces import ready
from buildlog.render.translated import chart_in_words

MOST_ROWS = 60
_MOST_BESIDE = 4
"""Curves in one table of a chart's data: as many columns as a phone has room for."""


Draw = Callable[[Chart, str, System], str]
"""Draws a chart as SVG; the second argument makes its ids unique on the page, the third chooses the units."""


@dataclass(frozen=True, kw_only=True)
class ChartTable:
    """The points of each curve. `left_out` counts those that the table has not room for."""

    x: str
    y: str
    curves: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    markers: tuple[tuple[str, str], ...]
    left_out: int = 0

    @property
    def tables(self) -> list[PointsTable]:
        """The curves as tables: those that have their points at the same x stand beside each other."""
        alike: dict[tuple[str, ...], list[tuple[str, tuple[tuple[str, str], ...]]]] = {}
        for curve in self.curves:
            alike.setdefault(tuple(x for x, _ in curve[1]), []).append(curve)
        return [
            PointsTable(
                names=tuple(label for label, _ in beside),
                rows=tuple((x, tuple(points[at][1] for _, points in beside)) for at, x in enumerate(places)),
            )
            for places, curves in alike.items()
            for beside in (curves[at : at + _MOST_BESIDE] for at in range(0, len(curves), _MOST_BESIDE))
        ]


@dataclass(frozen=True)
class PointsTable:
    """Curves beside each other: their names, and for each x the value of each."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def _heading(axis: Axis, system: System) -> str:
    unit = unit_of(axis, system).symbol
    return ", ".join(filter(None, (axis.label, unit)))


def _decimals(axis: Axis, system: System, values: list[float]) -> int:
    """Enough decimals for about four digits of the largest value."""
    unit = unit_of(axis, system)
    largest = max((abs(unit.from_si(value)) for value in values if isfinite(value)), default=0.0)
    return next((count for count, limit in enumerate((1000, 100, 10, 1)) if largest >= limit), 4)


def _written(axis: Axis, system: System, value: float, decimals: int) -> str:
    if not isfinite(value):
        return "–"
    return write_number(unit_of(axis, system).from_si(value), decimals)


def chart_table(spec: Chart, system: System = "author") -> ChartTable:
    """What the chart shows as numbers, in a system of units."""
    return _bar_table(spec, system) if isinstance(spec, BarSpec) else _curve_table(spec, system)


def _curve_table(spec: ChartSpec, system: System) -> ChartTable:
    """The points of every curve; of a long one its ends and extremes among others."""
    x_decimals = _decimals(spec.x, system, [value for series in spec.series for value in series.x])
    y_decimals = _decimals(spec.y, system, [value for series in spec.series for value in series.y])

    def along(value: float) -> str:
        return _written(spec.x, system, value, x_decimals)

    def up(value: float) -> str:
        return _written(spec.y, system, value, y_decimals)

    curves = []
    left_out = 0
    for series in spec.series:
        ends = zip(series.low, series.high, strict=True) if series.low else ()
        spread = {at: f" ({up(low)} to {up(high)})" for at, (low, high) in enumerate(ends)}
        at = {point: number for number, point in enumerate(zip(series.x, series.y, strict=True))}
        points = list(zip(series.x, series.y, strict=True))
        shown = thinned(points, MOST_ROWS)
        left_out += len(points) - len(shown)
        rows = tuple((along(x), up(y) + spread.get(at[x, y], "")) for x, y in shown)
        curves.append((series.label, rows))
    places = [
        (arrow.label, " to ".join(f"{along(x)}, {up(y)}" for x, y in (arrow.start, arrow.end)))
        for arrow in spec.arrows
    ]
    return ChartTable(
        x=_heading(spec.x, system),
        y=_heading(spec.y, system),
        curves=tuple(curves),
        markers=(
            *_marked(spec.markers, system, (spec.x, x_decimals), (spec.y, y_decimals)),
            *_zones(spec.zones, spec.y, system, y_decimals),
            *places,
        ),
        left_out=left_out,
    )


def _bar_table(spec: BarSpec, system: System) -> ChartTable:
    """Every bar with its value, and where it may end."""
    # Three digits: a bar's length and its uncertainty tell no more.
    decimals = max(0, _decimals(spec.x, system, [bar.value for bar in spec.bars]) - 1)

    def written(value: float) -> str:
        return _written(spec.x, system, value, decimals)

    def spread(bar: Bar) -> str:
        if bar.low is None or bar.high is None:
            return ""
        return f" ({written(bar.low - bar.start)} to {written(bar.high - bar.start)})"

    rows = tuple((bar.label, written(bar.value) + spread(bar)) for bar in spec.bars)
    return ChartTable(
        x="",
        y=_heading(spec.x, system),
        curves=((spec.title, rows),),
        markers=(
            *_marked(spec.markers, system, (spec.x, decimals)),
            *_zones(spec.zones, spec.x, system, decimals),
        ),
    )


def _marked(markers: Sequence[Marker], system: System, *axes: tuple[Axis, int]) -> Iterator[tuple[str, str]]:
    """Every marker with its place in words."""
    for marker in markers:
        places = [
            f"{axis.label} {_written(axis, system, value, decimals)} {unit_of(axis, system).symbol}".rstrip()
            for (axis, decimals), value in zip(axes, (marker.x, marker.y), strict=False)
            if value is not None
        ]
        yield marker.label, ", ".join(places)


def _zones(zones: Sequence[Zone], axis: Axis, system: System, decimals: int) -> Iterator[tuple[str, str]]:
    """Every zone with its ends in words."""
    unit = unit_of(axis, system).symbol
    for zone in zones:
        ends = [
            f"{word} {_written(axis, system, end, decimals)} {unit}".rstrip()
            for word, end in (("from", zone.low), ("to", zone.high))
            if end is not None
        ]
        yield zone.label, " ".join(ends)


@dataclass(frozen=True)
class ChartView:
    """A chart in one system of units. `shown_for` are the classes that say which readers get it."""

    svg: Markup
    table: ChartTable
    shown_for: str = ""


@dataclass(frozen=True)
class DrawnChart:
    """A chart ready for the page, or `refusal`: why it was not drawn."""

    chart: Chart
    views: tuple[ChartView, ...] = ()
    refusal: Refused | None = None


def draw_charts(charts: Sequence[Chart], draw: Draw, anchor: str) -> list[DrawnChart]:
    """Every chart, or why it is not drawn. Their ids begin with `anchor`."""
    drawn = []
    for number, chart in enumerate(map(chart_in_words, charts)):
        own = anchor if number == 0 else f"{anchor}{number + 1}"
        try:
            drawn.append(DrawnChart(chart, tuple(_views(chart, draw, own))))
        except Refused as refusal:
            drawn.append(DrawnChart(chart, refusal=refusal))
    return drawn


def _views(chart: Chart, draw: Draw, anchor: str) -> Iterator[ChartView]:
    """The chart as its calculator has it, and in each system of units in which it looks different."""
    others = other_systems(chart)
    hidden = "".join(f" buildlog-not-{system}" for system in others)
    yield ChartView(ready(draw(chart, anchor, "author")), chart_table(chart), hidden)
    for system in others:
        svg = draw(chart, f"{anchor}_{system}", system)
        yield ChartView(ready(svg), chart_table(chart, system), f" buildlog-only-{system}")
