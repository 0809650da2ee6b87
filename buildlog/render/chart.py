"""The data of a chart as a table, for readers who cannot see it or want the numbers."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from buildlog.charts.data import System, thinned, unit_of
from buildlog.figures.labels import write_number
from buildlog.kinds.declaration import Axis, ChartSpec

MOST_ROWS = 60
_SYSTEMS: tuple[System, ...] = ("metric", "us")


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
    return f"{axis.label}, {unit}" if unit else axis.label


def _decimals(axis: Axis, system: System, values: list[float]) -> int:
    """Enough decimals for about four digits of the largest value."""
    unit = unit_of(axis, system)
    largest = max((abs(unit.from_si(value)) for value in values if isfinite(value)), default=0.0)
    return next((count for count, limit in enumerate((1000, 100, 10, 1)) if largest >= limit), 4)


def _written(axis: Axis, system: System, value: float, decimals: int) -> str:
    return write_number(unit_of(axis, system).from_si(value), decimals) if isfinite(value) else "–"


def chart_table(spec: ChartSpec, system: System = "author") -> ChartTable:
    """The points of every curve, in a system of units; of a long one its ends and extremes among others."""
    x_decimals = _decimals(spec.x, system, [value for series in spec.series for value in series.x])
    y_decimals = _decimals(spec.y, system, [value for series in spec.series for value in series.y])
    curves = []
    left_out = 0
    for series in spec.series:
        points = list(zip(series.x, series.y, strict=True))
        kept = thinned(points, MOST_ROWS)
        left_out += len(points) - len(kept)
        curves.append(
            (
                series.label,
                tuple(
                    (_written(spec.x, system, x, x_decimals), _written(spec.y, system, y, y_decimals))
                    for x, y in kept
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
