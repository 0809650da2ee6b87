"""Charts as inline SVG that takes the page's colours and font."""

from __future__ import annotations

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import System, plain
from buildlog.charts.layout import Layout, lay_out
from buildlog.charts.shapes import shapes, view_box
from buildlog.charts.svg import for_page
from buildlog.kinds.chart import BarSpec, Chart

__all__ = ["System", "draw"]


def draw(
    spec: Chart,
    *,
    anchor: str,
    system: System = "author",
) -> str:
    """The chart as an ``<svg>`` element; `anchor` is its id, and its inner ids begin with it.

    `system` chooses the units of the axes. Raises `Refused` (chart-not-drawn) where the data cannot be
    drawn honestly.
    """
    layout = lay_out_bars(spec, system) if isinstance(spec, BarSpec) else lay_out(spec, system)
    return for_page(
        shapes(layout),
        view_box(layout),
        anchor=anchor,
        title=plain(spec.title, most=400),
        description=_description(spec, layout),
    )


def _description(spec: Chart, layout: Layout) -> str:
    names = list(dict.fromkeys(curve.label for curve in layout.curves if curve.label))
    curves = f" Curves: {', '.join(names)}." if len(names) > 1 else ""
    named = [mark.label for mark in layout.marks if mark.label]
    named += [plain(zone.label) for zone in spec.zones if zone.label]
    marks = f" Marked: {', '.join(named)}." if named else ""
    axes = f" Across: {layout.x.heading}."
    if isinstance(spec, BarSpec):
        return plain(spec.description, most=1000) + axes + marks
    axes += f" Up: {layout.y.heading}."
    return plain(spec.description, most=1000) + axes + curves + marks
