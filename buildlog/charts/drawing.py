"""Charts as inline SVG that takes the page's colours and font.

matplotlib is imported only when a chart has to be drawn anew: finished charts are kept by what they show.
"""

from __future__ import annotations

import contextlib
import hashlib
import math
import warnings
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from importlib import metadata
from io import StringIO
from pathlib import Path
from typing import Any

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import Point, System, plain
from buildlog.charts.layout import SMALL, WIDTH, Curve, Fill, Label, Layout, Mark, lay_out
from buildlog.charts.shapes import COLOURS, DASHES, FEW, FINE, GRID, IN_PAGE, INK, SHAPES, TONES, style_of
from buildlog.charts.svg import for_page
from buildlog.files.whole_file import write_whole
from buildlog.kinds.chart import BarSpec, Chart

__all__ = ["CACHE", "System", "draw"]

CACHE = Path(".cache") / "buildlog"

# matplotlib has a word for a line without gaps.
_SOLID = "solid"
_DASHES: tuple[Any, ...] = tuple((0, dash) if dash else _SOLID for dash in DASHES)
_FINE = (0, FINE)


def draw(
    spec: Chart,
    *,
    anchor: str,
    system: System = "author",
    cache_folder: Path | None = CACHE,
) -> str:
    """The chart as an ``<svg>`` element; `anchor` is its id, and its inner ids begin with it.

    `system` chooses the units of the axes. Raises `Refused` (chart-not-drawn) where the data cannot be
    drawn honestly. `cache_folder` None draws anew.
    """
    key = hashlib.sha256(repr((_made_by(), spec, anchor, system)).encode("utf-8", "replace")).hexdigest()
    kept = None if cache_folder is None else cache_folder / "charts" / f"{key}.svg"
    if kept is not None and (found := _kept(kept)) is not None:
        return found
    layout = lay_out_bars(spec, system) if isinstance(spec, BarSpec) else lay_out(spec, system)
    svg = for_page(
        _drawn(layout),
        anchor=anchor,
        title=plain(spec.title, most=400),
        description=_description(spec, layout),
        colours=IN_PAGE,
    )
    if kept is not None:
        _keep(kept, svg)
    return svg


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


# --- finished charts ------------------------------------------------------------------


@cache
def _made_by() -> str:
    """What a drawing depends on besides its data: matplotlib's version and our own source."""
    folder = Path(__file__).parent
    own = b"".join(
        (folder / name).read_bytes()
        for name in ("bars.py", "drawing.py", "data.py", "layout.py", "shapes.py", "svg.py")
    )
    return f"matplotlib {metadata.version('matplotlib')} {hashlib.sha256(own).hexdigest()}"


def _kept(path: Path) -> str | None:
    """A finished chart, if it is there whole."""
    try:
        check, _, svg = path.read_text(encoding="utf-8").partition("\n")
    except (OSError, UnicodeDecodeError):
        return None
    return svg if check == hashlib.sha256(svg.encode()).hexdigest() else None


def _keep(path: Path, svg: str) -> None:
    """Keep a chart for the next time; where that is not to be had, it is drawn again then."""
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        _hide_from_git(path.parent.parent)
        write_whole(path, f"{hashlib.sha256(svg.encode()).hexdigest()}\n{svg}".encode())


def _hide_from_git(folder: Path) -> None:
    """Our folder in `.cache` is nobody's to commit, whatever the site's own list says; what others keep in
    `.cache` is theirs to hide."""
    listed = folder / ".gitignore"
    if not listed.exists():
        write_whole(listed, b"*\n")


# --- with matplotlib --------------------------------------------------------------------


def _drawn(layout: Layout) -> str:
    """matplotlib's own SVG of a layout. One unit of the layout is one point at 72 to the inch."""
    import matplotlib
    from matplotlib.figure import Figure

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
