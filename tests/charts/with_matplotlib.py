"""matplotlib's drawing of a chart's layout, which ours is held to."""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence
from dataclasses import replace
from io import StringIO
from typing import Any

import matplotlib
from matplotlib.figure import Figure

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import Point, System
from buildlog.charts.layout import SMALL, WIDTH, Curve, Fill, Label, Layout, Mark, lay_out
from buildlog.charts.shapes import COLOURS, DASHES, FEW, FINE, GRID, INK, SHAPES, TONES, style_of
from buildlog.kinds.chart import BarSpec, Chart

# matplotlib has a word for a line without gaps.
_SOLID = "solid"
_DASHES: tuple[Any, ...] = tuple((0, dash) if dash else _SOLID for dash in DASHES)
_FINE = (0, FINE)


def drawn_by_matplotlib(spec: Chart, system: System = "author") -> str:
    """Its SVG of the chart."""
    return _drawn(lay_out_bars(spec, system) if isinstance(spec, BarSpec) else lay_out(spec, system))


def _drawn(layout: Layout) -> str:
    """matplotlib's own SVG of a layout. One unit of the layout is one point at 72 to the inch."""
    with matplotlib.rc_context(), warnings.catch_warnings():
        matplotlib.rcdefaults()  # not the machine's own settings
        matplotlib.rcParams.update(
            {"svg.fonttype": "none", "svg.hashsalt": "buildlog", "text.parse_math": False}
        )
        # Widths are our own, and the page has fonts for letters that matplotlib's has not.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = Figure(figsize=(WIDTH / 72, layout.height / 72), dpi=72)
        figure.patch.set_visible(False)
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_axis_off()
        axes.set_xlim(0, WIDTH)
        axes.set_ylim(layout.height, 0)
        _draw_scales(axes, layout)
        for fill in layout.fills:
            _draw_fill(axes, fill)
        for stroke in layout.strokes:
            _line(axes, stroke, colour=INK, width=1.2)
        for curve in layout.curves:
            _draw_curve(axes, curve)
        for mark in layout.marks:
            if mark.shown:
                _draw_mark(axes, mark, layout)
        for sample in layout.legend:
            y = sample.label.y
            line = ((sample.x, y), (sample.x + sample.length, y))
            middle = ((sample.x + sample.length / 2, y),)
            _draw_curve(axes, replace(sample.curve, points=middle if sample.curve.points_only else line))
            for label in (sample.label, *sample.more):
                _write(axes, label)
        for label in layout.labels:
            _write(axes, label)
        made = StringIO()
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        figure.savefig(made, format="svg", metadata=nothing)
    return made.getvalue()


def _write(axes: Any, label: Label) -> None:
    """A text with its middle at the label's place: figures reach 0.36 of their size to either side of it."""
    sides = {"start": "left", "middle": "center", "end": "right"}
    axes.text(
        label.x,
        label.y + 0.36 * label.size,
        label.text,
        color=INK,
        fontsize=label.size,
        ha=sides[label.anchor],
        va="baseline",
        parse_math=False,
    )


def _line(axes: Any, points: Sequence[Point], colour: str, width: float, dash: Any = _SOLID) -> None:
    axes.plot(
        [x for x, _ in points],
        [y for _, y in points],
        color=colour,
        linewidth=width,
        linestyle=dash,
        solid_capstyle="butt",
        dash_capstyle="butt",
        clip_on=False,
    )


def _dots(axes: Any, points: Sequence[Point], colour: str, shape: str, size: float) -> None:
    axes.plot(
        [x for x, _ in points],
        [y for _, y in points],
        color=colour,
        linestyle="none",
        marker=shape,
        markersize=size,
        markeredgewidth=0,
        clip_on=False,
    )


def _draw_scales(axes: Any, layout: Layout) -> None:
    plot, gap = layout.plot, (math.nan, math.nan)
    grid: list[Point] = []
    for value, text in layout.x.ticks:
        x = layout.across(layout.x.share_of(value))
        grid += (x, plot.top), (x, plot.bottom), gap
        _write(axes, Label(text=text, x=x, y=plot.bottom + 12, anchor="middle", size=SMALL))
    for value, text in layout.y.ticks:
        y = layout.down(layout.y.share_of(value))
        grid += (plot.left, y), (plot.right, y), gap
        _write(axes, Label(text=text, x=plot.left - 6, y=y, anchor="end", size=SMALL))
    _line(axes, grid, GRID, 0.8)
    if layout.y.ticks:
        _line(axes, ((plot.left, layout.base), (plot.right, layout.base)), INK, 1.0)
    _write(
        axes,
        Label(text=layout.x.heading, x=(plot.left + plot.right) / 2, y=plot.bottom + 31, anchor="middle"),
    )
    if layout.y.heading:
        _write(axes, Label(text=layout.y.heading, x=0, y=9))


def _draw_curve(axes: Any, curve: Curve) -> None:
    colour, other = style_of(curve)
    if curve.points_only:
        _dots(
            axes,
            curve.points,
            colour=colour,
            shape=SHAPES[other],
            size=5.2 if len(curve.points) > FEW else 7.5,
        )
    else:
        _line(axes, curve.points, colour=colour, width=1.2 if curve.dense else 1.9, dash=_DASHES[other])


def _draw_fill(axes: Any, fill: Fill) -> None:
    """A closed shape under all lines."""
    colour = TONES.get(fill.tone, INK) if fill.style is None else COLOURS[fill.style % len(COLOURS)]
    across, down = zip(*fill.points, strict=True)
    axes.fill(across, down, color=colour, alpha=fill.strength, linewidth=0, clip_on=False, zorder=1.5)


def _draw_mark(axes: Any, mark: Mark, layout: Layout) -> None:
    plot = layout.plot
    if mark.x is not None and mark.y is not None:
        _dots(axes, ((mark.x, mark.y),), colour=INK, shape="o", size=6.5)
    elif mark.x is not None:
        _line(axes, ((mark.x, plot.top), (mark.x, plot.bottom)), colour=INK, width=1.0, dash=_FINE)
    elif mark.y is not None:
        _line(axes, ((plot.left, mark.y), (plot.right, mark.y)), colour=INK, width=1.0, dash=_FINE)
