"""Charts as inline SVG that takes the page's colours and font; finished ones are kept by what they show."""

from __future__ import annotations

import contextlib
import hashlib
from functools import cache
from pathlib import Path

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import System, plain
from buildlog.charts.layout import Layout, lay_out
from buildlog.charts.shapes import shapes, view_box
from buildlog.charts.svg import for_page
from buildlog.files.whole_file import write_whole
from buildlog.kinds.chart import BarSpec, Chart

__all__ = ["CACHE", "System", "draw"]

CACHE = Path(".cache") / "buildlog"


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
        shapes(layout),
        view_box(layout),
        anchor=anchor,
        title=plain(spec.title, most=400),
        description=_description(spec, layout),
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
    """What a drawing depends on besides its data: our own source."""
    folder = Path(__file__).parent
    own = b"".join(
        (folder / name).read_bytes()
        for name in ("bars.py", "drawing.py", "data.py", "layout.py", "shapes.py", "svg.py")
    )
    return hashlib.sha256(own).hexdigest()


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
