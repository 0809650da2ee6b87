"""A laid-out chart as a list of plain shapes: what a reader's browser draws where matplotlib cannot run.

The place of everything is the layout's, and colours, widths and dashes are those of `drawing`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from buildlog.charts.data import Point
from buildlog.charts.layout import SMALL, WIDTH, Curve, Fill, Label, Layout, Mark

COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#2a8cc4", "#b37a00")
"""Okabe and Ito's ("Color Universal Design", 2008), orange and sky blue darkened to 3:1 on white."""
INK, GRID = "#101010", "#d0d0d0"
TONES = {"good": "#2b7a3d", "near": "#9a6a00", "bad": "#b3261e"}
IN_PAGE = {
    **{colour: f"var(--buildlog-c{number}, {colour})" for number, colour in enumerate(COLOURS, start=1)},
    **{colour: f"var(--buildlog-{tone}, {colour})" for tone, colour in TONES.items()},
    INK: "var(--buildlog-ink, currentColor)",
    GRID: "var(--buildlog-grid, rgba(128, 128, 128, 0.28))",
}
"""What stands in the page for each colour: the site's style sheet has others for dark pages."""
DASHES: tuple[tuple[float, ...], ...] = ((), (7, 2.5), (2, 1.6), (8, 2, 2, 2), (9, 3), (4, 2, 1.5, 2))
"""In widths of the line, so that curves are told apart without their colour."""
SHAPES = "os^DvP"
FINE = (3, 3)
FEW = 30
"""Up to so many points of a curve are shown as larger ones: they stand for themselves."""


@dataclass(frozen=True)
class Shape:
    """An element of SVG: a path or a text, its attributes and its words."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    text: str = ""


def shapes(layout: Layout) -> list[Shape]:
    """Everything that is drawn of a layout, what lies below first."""
    drawn = [*_scales(layout)]
    drawn += [_fill(fill) for fill in layout.fills]
    drawn += [_line(stroke, INK, 1.2) for stroke in layout.strokes]
    drawn += [_curve(curve) for curve in layout.curves]
    drawn += [_mark(mark, layout) for mark in layout.marks if mark.shown]
    for sample in layout.legend:
        y, ends = sample.label.y, (sample.x, sample.x + sample.length)
        line: tuple[Point, ...] = ((ends[0], y), (ends[1], y))
        if sample.curve.points_only:
            line = ((sum(ends) / 2, y),)
        drawn.append(_curve(sample.curve, line))
        drawn += [_write(label) for label in (sample.label, *sample.more)]
    return [*drawn, *(_write(label) for label in layout.labels)]


def style_of(curve: Curve) -> tuple[str, int]:
    """A curve's colour, and the number of its dash and shape. The second time round the colours, every dash
    and shape has another colour than before."""
    return COLOURS[curve.style % len(COLOURS)], (curve.style + curve.style // len(COLOURS)) % len(DASHES)


def _write(label: Label) -> Shape:
    """A text with its middle at the label's place: figures reach 0.36 of their size to either side of it."""
    attributes = {
        "x": _number(label.x),
        "y": _number(label.y + 0.36 * label.size),
        "font-size": _number(label.size),
        "text-anchor": label.anchor,
        "fill": IN_PAGE[INK],
    }
    return Shape("text", attributes, label.text)


def _line(points: Sequence[Point], colour: str, width: float, dash: Sequence[float] = ()) -> Shape:
    attributes = {"d": _path(points), "fill": "none", "stroke": IN_PAGE[colour], "stroke-width": f"{width:g}"}
    if dash:
        attributes["stroke-dasharray"] = " ".join(_number(part * width) for part in dash)
    return Shape("path", attributes)


def _dots(points: Sequence[Point], colour: str, shape: str, size: float) -> Shape:
    outline = "".join(_dot(x, y, shape, size / 2) for x, y in points)
    return Shape("path", {"d": outline, "fill": IN_PAGE[colour]})


def _dot(x: float, y: float, shape: str, half: float) -> str:
    """The outline of one point."""
    if shape == "o":
        size = _number(half)
        arc = f"a{size} {size} 0 1 0"
        return f"M{_number(x - half)} {_number(y)}{arc} {_number(2 * half)} 0{arc} {_number(-2 * half)} 0Z"
    corners = {
        "s": ((-1, -1), (1, -1), (1, 1), (-1, 1)),
        "^": ((0, -1), (1, 1), (-1, 1)),
        "v": ((0, 1), (1, -1), (-1, -1)),
        "D": ((0, -1.41), (1.41, 0), (0, 1.41), (-1.41, 0)),
        "P": _CROSS,
    }[shape]
    return _path([(x + across * half, y + down * half) for across, down in corners]) + "Z"


_THIRD = 1 / 3
_CROSS: tuple[Point, ...] = (
    (-_THIRD, -1), (_THIRD, -1), (_THIRD, -_THIRD), (1, -_THIRD), (1, _THIRD), (_THIRD, _THIRD),
    (_THIRD, 1), (-_THIRD, 1), (-_THIRD, _THIRD), (-1, _THIRD), (-1, -_THIRD), (-_THIRD, -_THIRD),
)  # fmt: skip


def _curve(curve: Curve, points: Sequence[Point] = ()) -> Shape:
    colour, other = style_of(curve)
    if curve.points_only:
        size = 5.2 if len(curve.points) > FEW else 7.5
        return _dots(points or curve.points, colour, SHAPES[other], size)
    return _line(points or curve.points, colour, 1.2 if curve.dense else 1.9, DASHES[other])


def _fill(fill: Fill) -> Shape:
    """A closed shape under all lines."""
    colour = TONES.get(fill.tone, INK) if fill.style is None else COLOURS[fill.style % len(COLOURS)]
    attributes = {
        "d": _path(fill.points) + "Z",
        "fill": IN_PAGE[colour],
        "fill-opacity": f"{fill.strength:g}",
    }
    return Shape("path", attributes)


def _mark(mark: Mark, layout: Layout) -> Shape:
    plot = layout.plot
    if mark.x is not None and mark.y is not None:
        return _dots(((mark.x, mark.y),), INK, "o", 6.5)
    if mark.x is not None:
        return _line(((mark.x, plot.top), (mark.x, plot.bottom)), INK, 1.0, FINE)
    assert mark.y is not None
    return _line(((plot.left, mark.y), (plot.right, mark.y)), INK, 1.0, FINE)


def _scales(layout: Layout) -> Iterator[Shape]:
    plot = layout.plot
    for value, text in layout.x.ticks:
        x = layout.across(layout.x.share_of(value))
        yield _line(((x, plot.top), (x, plot.bottom)), GRID, 0.8)
        yield _write(Label(text=text, x=x, y=plot.bottom + 12, anchor="middle", size=SMALL))
    for value, text in layout.y.ticks:
        y = layout.down(layout.y.share_of(value))
        yield _line(((plot.left, y), (plot.right, y)), GRID, 0.8)
        yield _write(Label(text=text, x=plot.left - 6, y=y, anchor="end", size=SMALL))
    if layout.y.ticks:
        yield _line(((plot.left, layout.base), (plot.right, layout.base)), INK, 1.0)
    middle = (plot.left + plot.right) / 2
    yield _write(Label(text=layout.x.heading, x=middle, y=plot.bottom + 31, anchor="middle"))
    if layout.y.heading:
        yield _write(Label(text=layout.y.heading, x=0, y=9))


def view_box(layout: Layout) -> str:
    """The drawing's size as SVG has it."""
    return f"0 0 {_number(WIDTH)} {_number(layout.height)}"


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points)


def _number(value: float) -> str:
    """To two decimals: a hundredth of a unit is less than any screen shows."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
