"""Charts ready for a page: drawn in each system of units, with their data as tables for readers who
cannot see them or want the numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from markupsafe import Markup

from buildlog.charts.data import System, thinned, unit_of
from buildlog.diagnostics import Refused
from buildlog.figures.labels import write_number
from buildlog.kinds.declaration import Axis, ChartSpec
from buildlog.render.pieces import ready

MOST_ROWS = 60
_SYSTEMS: tuple[System, ...] = ("metric", "us")


Draw = Callable[[ChartSpec, str, System], str]
"""Draws a chart as SVG; the second argument makes its ids unique on the page, the third chooses the units."""


@dataclass(frozen=True, kw_only=True)
class ChartTable:
    """Columns of x and y for each curve. `left_out` counts the points that the table has not room for."""

    x: str
    y: str
    curves: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    markers: tuple[tuple[str, str], ...]
    left_out: int = 0


def other_systems(spec: ChartSpec) -> list[System]:
    """The systems of units in which an axis has another unit than the chart's own."""
    return [
        system
        for system in _SYSTEMS
        if any(unit_of(axis, system) != unit_of(axis, "author") for axis in (spec.x, spec.y))
    ]


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


def chart_table(spec: ChartSpec, system: System = "author") -> ChartTable:
    """The points of every curve, in a system of units; of a long one its ends and extremes among others."""
    x_decimals = _decimals(spec.x, system, [value for series in spec.series for value in series.x])
    y_decimals = _decimals(spec.y, system, [value for series in spec.series for value in series.y])
    curves = []
    left_out = 0
    for series in spec.series:
        points = list(zip(series.x, series.y, strict=True))
        shown = thinned(points, MOST_ROWS)
        left_out += len(points) - len(shown)
        curves.append(
            (
                series.label,
                tuple(
                    (_written(spec.x, system, x, x_decimals), _written(spec.y, system, y, y_decimals))
                    for x, y in shown
                ),
            )
        )
    markers = []
    for marker in spec.markers:
        places = [
            f"{axis.label} {_written(axis, system, value, decimals)} {unit_of(axis, system).symbol}".rstrip()
            for axis, value, decimals in ((spec.x, marker.x, x_decimals), (spec.y, marker.y, y_decimals))
            if value is not None
        ]
        markers.append((marker.label, ", ".join(places)))
    return ChartTable(
        x=_heading(spec.x, system),
        y=_heading(spec.y, system),
        curves=tuple(curves),
        markers=tuple(markers),
        left_out=left_out,
    )


@dataclass(frozen=True)
class ChartView:
    """A chart in one system of units. `shown_for` are the classes that say which readers get it."""

    svg: Markup
    table: ChartTable
    shown_for: str = ""


@dataclass(frozen=True)
class DrawnChart:
    """A chart ready for the page, or `refusal`: why it was not drawn."""

    chart: ChartSpec
    views: tuple[ChartView, ...] = ()
    refusal: Refused | None = None


def draw_charts(charts: Sequence[ChartSpec], draw: Draw, anchor: str) -> list[DrawnChart]:
    """Every chart, or why it is not drawn. Their ids begin with `anchor`."""
    drawn = []
    for number, chart in enumerate(charts):
        own = anchor if number == 0 else f"{anchor}{number + 1}"
        try:
            drawn.append(DrawnChart(chart, tuple(_views(chart, draw, own))))
        except Refused as refusal:
            drawn.append(DrawnChart(chart, refusal=refusal))
    return drawn


def _views(chart: ChartSpec, draw: Draw, anchor: str) -> Iterator[ChartView]:
    """The chart as its calculator has it, and in each system of units in which it looks different."""
    others = other_systems(chart)
    hidden = "".join(f" buildlog-not-{system}" for system in others)
    yield ChartView(ready(draw(chart, anchor, "author")), chart_table(chart), hidden)
    for system in others:
        svg = draw(chart, f"{anchor}_{system}", system)
        yield ChartView(ready(svg), chart_table(chart, system), f" buildlog-only-{system}")
