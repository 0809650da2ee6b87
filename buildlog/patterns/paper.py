"""A pattern on sheets of paper at full size: how it is divided into tiles, and the PDF that prints them.

Neighbouring tiles overlap. Both show the same line along the middle of the overlap, so that one sheet is cut
along it and laid on that of the other. Every sheet has a bar of 100 mm, the name of the pattern, its digest
and its place; where there are several a plan of all comes first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from buildlog.diagnostics import Refused
from buildlog.kinds.pattern import Point
from buildlog.patterns.identity import Origin
from buildlog.patterns.layout import (
    BAR,
    PATTERN_NOT_DRAWN,
    WORDS,
    Drawing,
    Ring,
    Stroke,
    StrokeKind,
    control_bar,
)
from buildlog.patterns.svg import DASHES, WIDTHS

MM = 72 / 25.4
"""Points of PDF, of which 72 are an inch."""
SIZES: dict[str, Point] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""mm: ISO 216; ANSI/ASME Y14.1, A size, 8½ by 11 in (both as public pages on paper sizes have them)."""
MARGIN = 10.0
"""mm that a printer may leave white at each edge (common practice, no source)."""
OVERLAP = 10.0
FOOT = 20.0
"""mm under the drawing for the bar and the words."""
MOST_TILES = 80
_FONT = "Helvetica"
_LINE = 1.5 * WORDS


@dataclass(frozen=True, kw_only=True)
class Tile:
    """What one sheet shows: the part of the drawing from `low` on, in mm."""

    row: int
    column: int
    low: Point

    @property
    def name(self) -> str:
        """Columns are letters, from the left, and rows numbers, from the top."""
        return f"{_letters(self.column)}{self.row + 1}"


@dataclass(frozen=True, kw_only=True)
class Plan:
    """How a drawing is divided: the paper as it lies, what a sheet shows of the drawing, the tiles."""

    paper: Point
    shown: Point
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


@dataclass(frozen=True, kw_only=True)
class Told:
    """The words on every sheet: what it is, how to print and measure it, how to join sheets, what each kind
    of line means, and which limits are not kept."""

    title: str
    details: tuple[str, ...]
    measure: str
    join: str
    lines: tuple[tuple[StrokeKind, str], ...]
    unkept: tuple[str, ...] = ()


def plan_of(drawing: Drawing, size: str) -> Plan:
    """The plan with the fewest sheets, upright if both ways take as many. Raises `Refused`
    (pattern-not-drawn)."""
    upright = SIZES[size]
    return min((_plan(drawing, paper) for paper in (upright, upright[::-1])), key=lambda one: len(one.tiles))


def _plan(drawing: Drawing, paper: Point) -> Plan:
    shown = paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN - FOOT
    columns, rows = (
        1 + max(0, math.ceil((whole - room) / (room - OVERLAP) - 1e-9))
        for whole, room in zip(drawing.size, shown, strict=True)
    )
    if rows * columns > MOST_TILES:
        raise Refused(
            "",
            f"{rows * columns} sheets of paper",
            f"at most {MOST_TILES}",
            help="have it cut from the DXF, or plotted from the SVG",
            code=PATTERN_NOT_DRAWN,
        )
    covered = [
        room + (count - 1) * (room - OVERLAP) for room, count in zip(shown, (columns, rows), strict=True)
    ]
    # The drawing lies in the middle of what the sheets cover.
    left = drawing.low[0] - (covered[0] - drawing.size[0]) / 2
    top = drawing.high[1] + (covered[1] - drawing.size[1]) / 2
    tiles = tuple(
        Tile(
            row=row,
            column=column,
            low=(
                left + column * (shown[0] - OVERLAP),
                top - shown[1] - row * (shown[1] - OVERLAP),
            ),
        )
        for row in range(rows)
        for column in range(columns)
    )
    return Plan(paper=paper, shown=shown, rows=rows, columns=columns, tiles=tiles)


def as_pdf(drawing: Drawing, size: str, told: Told, origin: Origin) -> bytes:
    """The drawing as a PDF on paper of a size. The same drawing gives the same bytes."""
    plan = plan_of(drawing, size)
    file = BytesIO()
    canvas = Canvas(file, pagesize=_points(plan.paper), invariant=1, pageCompression=1)
    canvas.setTitle(_latin(told.title))
    canvas.setSubject(origin.written())
    canvas.setViewerPreference("PrintScaling", "None")
    if len(plan.tiles) > 1:
        _draw_plan(canvas, plan, drawing, told)
        canvas.showPage()
    for tile in plan.tiles:
        _draw_tile(canvas, plan, tile, drawing, told)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


# --- sheets ---------------------------------------------------------------------------------


def _draw_tile(canvas: Any, plan: Plan, tile: Tile, drawing: Drawing, told: Told) -> None:
    """One sheet: its part of the drawing, the lines of its overlaps, and its foot."""
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(*_points((MARGIN, MARGIN + FOOT)), *_points(plan.shown))
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(*_points((MARGIN - tile.low[0], MARGIN + FOOT - tile.low[1])))
    _draw(canvas, drawing)
    canvas.restoreState()
    _draw_overlaps(canvas, plan, tile)
    _draw_foot(canvas, plan, tile, told)


def _draw_overlaps(canvas: Any, plan: Plan, tile: Tile) -> None:
    """The line along the middle of each overlap, and beyond it the name of the neighbour."""
    left, low = MARGIN, MARGIN + FOOT
    right, top = left + plan.shown[0], low + plan.shown[1]
    _pen(canvas, "mark")
    across = [(left + OVERLAP / 2, -1), (right - OVERLAP / 2, 1)]
    upwards = [(low + OVERLAP / 2, 1), (top - OVERLAP / 2, -1)]
    columns = [x for x, way in across if 0 <= tile.column + way < plan.columns]
    rows = [y for y, way in upwards if 0 <= tile.row + way < plan.rows]
    for x in columns:
        canvas.line(*_points((x, low)), *_points((x, top)))
    for y in rows:
        canvas.line(*_points((left, y)), *_points((right, y)))
    for x, way in across:
        if x in columns:
            name = Tile(row=tile.row, column=tile.column + way, low=(0, 0)).name
            _write(canvas, name, (x + way * OVERLAP / 4, (low + top) / 2), 2.5, turned=90)
    for y, way in upwards:
        if y in rows:
            name = Tile(row=tile.row + way, column=tile.column, low=(0, 0)).name
            _write(canvas, name, ((left + right) / 2, y - way * OVERLAP / 4), 2.5)


def _draw_foot(canvas: Any, plan: Plan, tile: Tile, told: Told) -> None:
    """The bar to measure, and what the sheet is."""
    for stroke in control_bar((MARGIN, MARGIN + 2), WORDS):
        _draw_stroke(canvas, stroke)
    _write(canvas, told.measure, (MARGIN + BAR / 2, MARGIN + 2 + 1.6 * WORDS), 2.5)
    y = MARGIN + FOOT - 2
    for text in _lines(" ".join(told.unkept), 2.0, BAR, 3):
        _write(canvas, text, (MARGIN, y), 2.0, anchor="start", room=BAR)
        y -= 3.2
    number = tile.row * plan.columns + tile.column + 1
    left = MARGIN + BAR + 6
    room = plan.paper[0] - MARGIN - left
    y = MARGIN + FOOT - 4
    _write(canvas, f"{tile.name}  ({number}/{len(plan.tiles)})", (left, y), 2.5, anchor="start", room=room)
    for text in (*_lines(told.title, 2.0, room, 2), *_lines(" · ".join(told.details), 2.0, room, 3)):
        y -= 3.2
        _write(canvas, text, (left, y), 2.0, anchor="start", room=room)


def _draw_plan(canvas: Any, plan: Plan, drawing: Drawing, told: Told) -> None:
    """The first sheet: what it is, what the lines mean, and where each sheet lies in the whole."""
    width, height = plan.paper
    y = height - MARGIN - 8
    room = width - 2 * MARGIN
    for text in _lines(told.title, 5, room, 3):
        _write(canvas, text, (MARGIN, y), 5, anchor="start", room=room)
        y -= 7
    for text in (*told.unkept, *told.details, told.measure, told.join):
        for line in _lines(text, WORDS, room, 3):
            _write(canvas, line, (MARGIN, y), WORDS, anchor="start", room=room)
            y -= _LINE
    for kind, text in told.lines:
        _pen(canvas, kind)
        canvas.line(*_points((MARGIN, y)), *_points((MARGIN + 25, y)))
        _write(canvas, text, (MARGIN + 30, y), WORDS, anchor="start", room=room - 30)
        y -= _LINE
    y -= _LINE
    low, high = _covered(plan)
    scale = min((width - 2 * MARGIN) / (high[0] - low[0]), (y - MARGIN) / (high[1] - low[1]))
    canvas.saveState()
    canvas.translate(*_points((MARGIN, y - scale * (high[1] - low[1]))))
    canvas.scale(scale, scale)
    canvas.translate(*_points((-low[0], -low[1])))
    for stroke in drawing.strokes:
        _draw_stroke(canvas, stroke)
    for ring in drawing.rings:
        _draw_ring(canvas, ring)
    for tile in plan.tiles:
        _pen(canvas, "dimension")
        canvas.rect(*_points(tile.low), *_points(plan.shown), stroke=1, fill=0)
        middle = (tile.low[0] + plan.shown[0] / 2, tile.low[1] + plan.shown[1] / 2)
        _write(canvas, tile.name, middle, 5 / scale)
    canvas.restoreState()


def _covered(plan: Plan) -> tuple[Point, Point]:
    """Opposite corners of what all sheets show."""
    across, upwards = [one.low[0] for one in plan.tiles], [one.low[1] for one in plan.tiles]
    return (min(across), min(upwards)), (max(across) + plan.shown[0], max(upwards) + plan.shown[1])


# --- lines and words ------------------------------------------------------------------------


def _draw(canvas: Any, drawing: Drawing) -> None:
    for stroke in drawing.strokes:
        _draw_stroke(canvas, stroke)
    for ring in drawing.rings:
        _draw_ring(canvas, ring)
    for words in drawing.words:
        _write(canvas, words.text, words.place, words.size, anchor=words.anchor, turned=words.turned)


def _draw_stroke(canvas: Any, stroke: Stroke) -> None:
    _pen(canvas, stroke.kind)
    path = canvas.beginPath()
    path.moveTo(*_points(stroke.points[0]))
    for point in stroke.points[1:]:
        path.lineTo(*_points(point))
    if stroke.closed:
        path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def _draw_ring(canvas: Any, ring: Ring) -> None:
    _pen(canvas, ring.kind)
    canvas.circle(*_points(ring.centre), ring.radius * MM, stroke=1, fill=0)


def _pen(canvas: Any, kind: StrokeKind) -> None:
    canvas.setLineWidth(WIDTHS[kind] * MM)
    canvas.setLineJoin(1)
    canvas.setDash([one * MM for one in DASHES[kind]])


def _write(
    canvas: Any,
    text: str,
    place: Point,
    size: float,
    *,
    anchor: str = "middle",
    turned: float = 0.0,
    room: float = 0.0,
) -> None:
    """Words with the middle of their line at a place; smaller where they have not the room."""
    text = _latin(text)
    points = _size_of_font(size)
    if room:
        points = min(points, points * room * MM / canvas.stringWidth(text, _FONT, points)) if text else points
    canvas.saveState()
    canvas.translate(*_points(place))
    canvas.rotate(turned)
    canvas.setFont(_FONT, points)
    draw = canvas.drawString if anchor == "start" else canvas.drawCentredString
    draw(0, -0.36 * points, text)
    canvas.restoreState()


def _lines(text: str, size: float, room: float, most: int) -> list[str]:
    """Words on at most so many lines; what is left over stands on the last, where it is written smaller."""
    lines: list[str] = simpleSplit(_latin(text), _FONT, _size_of_font(size), room * MM)
    return [*lines[: most - 1], *filter(None, (" ".join(lines[most - 1 :]),))]


def _size_of_font(height: float) -> float:
    """The size in points at which words are so many mm high: capitals of this font are 0.72 of its size."""
    return height * MM / 0.72


_SIGNS = {"−": "-", "\u202f": " ", "⌀": "Ø", "″": '"', "′": "'"}


def _latin(text: str) -> str:
    """Words on one line, in the signs that the font has; one that it does not have is a question mark."""
    known = "".join(_SIGNS.get(sign, sign) for sign in " ".join(str(text).split()))
    return known.encode("cp1252", "replace").decode("cp1252")


def _points(place: Point) -> Point:
    return place[0] * MM, place[1] * MM


def _letters(number: int) -> str:
    """A, B … Z, AA, AB …"""
    return (_letters(number // 26 - 1) if number >= 26 else "") + chr(ord("A") + number % 26)


def sheets_of(drawing: Drawing) -> Iterator[tuple[str, int]]:
    """How many sheets of each size of paper it takes, the plan counted."""
    for size in SIZES:
        tiles = len(plan_of(drawing, size).tiles)
        yield size, tiles + (tiles > 1)
