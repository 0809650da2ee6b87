"""Charts ready for a page: drawn in each system of units, with their data as tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from buildlog.charts.data import System
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import ChartSpec
from buildlog.render.chart import ChartTable, chart_table, other_systems
from buildlog.render.pieces import ready

Draw = Callable[[ChartSpec, str, System], str]
"""Draws a chart as SVG; the second argument makes its ids unique on the page, the third chooses the units."""


@dataclass(frozen=True)
class View:
    """A chart in one system of units. `shown_for` are the classes that say which readers get it."""

    svg: Markup
    table: ChartTable
    shown_for: str = ""


@dataclass(frozen=True)
class Drawn:
    """A chart ready for the page, or `refusal`: why it was not drawn."""

    chart: ChartSpec
    views: tuple[View, ...] = ()
    refusal: Refused | None = None


def drawn_charts(charts: Sequence[ChartSpec], draw: Draw, anchor: str) -> list[Drawn]:
    """Every chart, or why it is not drawn. Their ids begin with `anchor`."""
    drawn = []
    for number, chart in enumerate(charts):
        own = anchor + (f"{number + 1}" if number else "")
        try:
            drawn.append(Drawn(chart, tuple(_views(chart, draw, own))))
        except Refused as refusal:
            drawn.append(Drawn(chart, refusal=refusal))
    return drawn


def _views(chart: ChartSpec, draw: Draw, anchor: str) -> Iterator[View]:
    """The chart as its calculator has it, and in each system of units in which it looks different."""
    others = other_systems(chart)
    hidden = "".join(f" buildlog-not-{system}" for system in others)
    yield View(ready(draw(chart, anchor, "author")), chart_table(chart), hidden)
    for system in others:
        svg = draw(chart, f"{anchor}_{system}", system)
        yield View(ready(svg), chart_table(chart, system), f" buildlog-only-{system}")
