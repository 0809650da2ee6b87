"""A laid-out chart as a list of plain shapes: a page's drawing is written of them, and a reader's browser
draws them where it computes with other numbers.

The place of everything is the layout's. Paths are as short as they can be written: a page has many.
"""

from __future__ import annotations

import math
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
    words = _words_of_scales(layout)
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
        words += [sample.label, *sample.more]
    words += layout.labels
    # Words of one look stand together, so that the look is said once.
    words.sort(key=lambda label: (label.size, label.anchor))
    return [*drawn, *map(_write, words)]


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
    return _lines([points], colour, width, dash)


def _lines(
    several: Sequence[Sequence[Point]], colour: str, width: float, dash: Sequence[float] = ()
) -> Shape:
    path = "".join(_path(_straightened(points)) for points in several)
    attributes = {"d": path, "fill": "none", "stroke": IN_PAGE[colour], "stroke-width": f"{width:g}"}
    if dash:
        attributes["stroke-dasharray"] = " ".join(_number(part * width) for part in dash)
    return Shape("path", attributes)


def _dots(points: Sequence[Point], colour: str, shape: str, size: float) -> Shape:
    """A point is a line without length where its shape is that of a line's ends, and an outline otherwise."""
    if shape in _ENDS:
        look = {"fill": "none", "stroke": IN_PAGE[colour], "stroke-width": f"{size:g}"}
        dots = _places(points, "h0")
        return Shape("path", {"d": dots, **look, "stroke-linecap": _ENDS[shape]})
    half = size / 2
    if shape == "P":  # a cross is two short lines
        arm = _hundredths(half)
        lines = f"h{_short(2 * arm)}m{_joined(-arm, -arm)}v{_short(2 * arm)}"
        dots = _places([(x - half, y) for x, y in points], lines, (arm, arm))
        look = {"fill": "none", "stroke": IN_PAGE[colour], "stroke-width": f"{size / 3:.3g}"}
        return Shape("path", {"d": dots, **look})
    (across, down), *_ = corners = _CORNERS[shape]
    # From its first corner, which is at nought then.
    outline = _path([((x - across) * half, (y - down) * half) for x, y in corners]).removeprefix("M0 0")
    starts = [(x + across * half, y + down * half) for x, y in points]
    return Shape("path", {"d": _places(starts, outline + "z"), "fill": IN_PAGE[colour]})


def _places(points: Sequence[Point], drawn: str, ends: tuple[int, int] = (0, 0)) -> str:
    """A path that draws the same at every point, and ends so many hundredths from where it began."""
    found, at = "", (0, 0)
    for point in points:
        x, y = map(_hundredths, point)
        found += ("m" if found else "M") + _joined(x - at[0], y - at[1]) + drawn
        at = x + ends[0], y + ends[1]
    return found


_ENDS = {"o": "round", "s": "square"}
_CORNERS: dict[str, tuple[Point, ...]] = {
    "^": ((0, -1), (1, 1), (-1, 1)),
    "v": ((0, 1), (1, -1), (-1, -1)),
    "D": ((0, -1.41), (1.41, 0), (0, 1.41), (-1.41, 0)),
}


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
    """The grid, and the axis at zero."""
    plot = layout.plot
    across = [layout.across(layout.x.share_of(value)) for value, _ in layout.x.ticks]
    down = [layout.down(layout.y.share_of(value)) for value, _ in layout.y.ticks]
    grid = [((x, plot.top), (x, plot.bottom)) for x in across]
    grid += [((plot.left, y), (plot.right, y)) for y in down]
    yield _lines(grid, GRID, 0.8)
    if layout.y.ticks:
        yield _line(((plot.left, layout.base), (plot.right, layout.base)), INK, 1.0)


def _words_of_scales(layout: Layout) -> list[Label]:
    """The ticks' numbers, and what the axes show."""
    plot = layout.plot
    words = []
    for value, text in layout.x.ticks:
        x = layout.across(layout.x.share_of(value))
        words.append(Label(text=text, x=x, y=plot.bottom + 12, anchor="middle", size=SMALL))
    for value, text in layout.y.ticks:
        y = layout.down(layout.y.share_of(value))
        words.append(Label(text=text, x=plot.left - 6, y=y, anchor="end", size=SMALL))
    middle = (plot.left + plot.right) / 2
    words.append(Label(text=layout.x.heading, x=middle, y=plot.bottom + 31, anchor="middle"))
    if layout.y.heading:
        words.append(Label(text=layout.y.heading, x=0, y=9))
    return words


def view_box(layout: Layout) -> str:
    """The drawing's size as SVG has it."""
    return f"0 0 {_number(WIDTH)} {_number(layout.height)}"


_UNSEEN = 0.1
"""How far a line may pass by a point of it that is left out: less than any screen shows."""


def _straightened(points: Sequence[Point]) -> list[Point]:
    """A line without the points that lie on a straight stretch of it."""
    kept = [points[0]]
    last = points[0]
    low, high, reach = -math.pi, math.pi, 0.0  # in which directions, and how far, the line may go on
    toward: float | None = None
    for point in points[1:]:
        across, down = point[0] - kept[-1][0], point[1] - kept[-1][1]
        away = math.hypot(across, down)
        if toward is None or away <= _UNSEEN:
            turned = 0.0
        else:
            turned = math.remainder(math.atan2(down, across) - toward, math.tau)
        if toward is not None and (away < reach or not low <= turned <= high):
            kept.append(last)
            low, high, reach, toward = -math.pi, math.pi, 0.0, None
            across, down = point[0] - last[0], point[1] - last[1]
            away, turned = math.hypot(across, down), 0.0
        if away > _UNSEEN:
            if toward is None:
                toward = math.atan2(down, across)
            room = math.asin(min(1.0, _UNSEEN / away))
            low, high, reach = max(low, turned - room), min(high, turned + room), away
        last = point
    return [*kept, last]


def _path(points: Sequence[Point]) -> str:
    """A line through points, each told by its step from the one before: in whole hundredths, so that no error
    grows."""
    (x, y), *others = [tuple(map(_hundredths, point)) for point in points]
    found, command = "M" + _joined(x, y), ""
    for to_x, to_y in others:
        across, down = to_x - x, to_y - y
        x, y = to_x, to_y
        if not (across or down) and len(others) > 1:
            continue
        if not down:
            found, command = f"{found}h{_short(across)}", "h"
        elif not across:
            found, command = f"{found}v{_short(down)}", "v"
        else:
            step = _joined(across, down)
            found += step if command == "l" and step[0] == "-" else f"{' ' if command == 'l' else 'l'}{step}"
            command = "l"
    return found


def _joined(x: int, y: int) -> str:
    """Two numbers; a minus parts them as well as a space."""
    second = _short(y)
    return _short(x) + ("" if second[0] == "-" else " ") + second


def _hundredths(value: float) -> int:
    """A hundredth of a unit is less than any screen shows."""
    return round(value * 100)


def _short(hundredths: int) -> str:
    """A number of hundredths as paths have it, without the nought in front of its point."""
    sign, (whole, rest) = "-" * (hundredths < 0), divmod(abs(hundredths), 100)
    decimals = f".{rest:02}".rstrip("0").rstrip(".")
    return f"{sign}{whole or ('' if decimals else '0')}{decimals}"


def _number(value: float) -> str:
    """To two decimals: a hundredth of a unit is less than any screen shows."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
