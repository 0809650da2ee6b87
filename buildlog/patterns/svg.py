"""A pattern's drawing as SVG: in a page, in its colours; as a file, at full size."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape

from buildlog.kinds.pattern import Point
from buildlog.patterns.identity import Origin
from buildlog.patterns.layout import WORDS, Drawing, Lettering, Ring, Stroke, StrokeKind

WIDTHS: dict[StrokeKind, float] = {"cut": 0.5, "bend": 0.25, "centre": 0.25, "mark": 0.25, "dimension": 0.18}
"""mm: wide for what is cut, narrow for the rest (ISO 128-2, widths in the ratio 2 : 1; from memory)."""
DASHES: dict[StrokeKind, tuple[float, ...]] = {
    "cut": (),
    "bend": (6, 2),
    "centre": (12, 1.5, 1, 1.5),
    "mark": (1, 1.5),
    "dimension": (),
}
"""mm: dashed where it is bent, long-dashed dotted for middles (ISO 128-2, line types 02 and 04), dotted for
marks (07)."""
_MARGIN = 2.0
LEAST_WORDS = 11.2
"""px: no words of a page are smaller than 11."""
MOST_WORDS = 14.0
"""px: nor are those of a small part larger than the text about it."""
_NO_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def in_page(
    drawing: Drawing,
    *,
    anchor: str,
    title: str,
    description: str,
    words: float,
    href: Callable[[str], str],
) -> str:
    """The drawing as an ``<svg>`` of a page, as wide as there is room; `anchor` is its id. Lines are as
    wide as its words are high; `href` is where a result's address leads in the page."""
    name = escape(anchor)
    scale = words / WORDS
    width, height = (LEAST_WORDS * (size + 2 * _MARGIN) / words for size in drawing.size)
    most = MOST_WORDS / LEAST_WORDS * width
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" viewBox="{_box(drawing)}" role="group" '
        f'aria-labelledby="{name}-title" aria-describedby="{name}-desc" class="buildlog-pattern-drawing" '
        f'style="--buildlog-least-width: {width:.0f}px; --buildlog-least-height: {height:.0f}px; '
        f"--buildlog-most-width: {most:.0f}px; "
        'width: 100%; height: auto; font-family: inherit; color: var(--buildlog-ink, currentColor)">'
        f'<title id="{name}-title">{_text(title)}</title><desc id="{name}-desc">{_text(description)}</desc>'
        f"{_drawn(drawing, scale, href)}</svg>"
    )


def as_file(drawing: Drawing, *, title: str, origin: Origin) -> str:
    """The drawing as an SVG file at full size. Its values are links to the results that they tell."""
    width, height = (size + 2 * _MARGIN for size in drawing.size)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" '
        f'viewBox="{_box(drawing)}" font-family="sans-serif" color="black">\n'
        f"<title>{_text(title)}</title>\n<metadata>{_text(origin.written())}</metadata>\n"
        f"{_drawn(drawing, 1.0, lambda address: address)}</svg>\n"
    )


def _box(drawing: Drawing) -> str:
    width, height = (size + 2 * _MARGIN for size in drawing.size)
    return f"{drawing.low[0] - _MARGIN:.3f} {-drawing.high[1] - _MARGIN:.3f} {width:.3f} {height:.3f}"


def _drawn(drawing: Drawing, scale: float, href: Callable[[str], str]) -> str:
    parts = []
    for kind, width in WIDTHS.items():
        paths = "".join(_path(one) for one in drawing.strokes if one.kind == kind)
        paths += "".join(_circle(one) for one in drawing.rings if one.kind == kind)
        if not paths:
            continue
        dash = " ".join(f"{scale * one:g}" for one in DASHES[kind])
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        parts.append(
            f'<path data-line="{kind}" d="{paths}" fill="none" stroke="currentColor" '
            f'stroke-width="{scale * width:g}" stroke-linejoin="round"{dashed}/>\n'
        )
    return "".join(parts) + "".join(_written(one, href) for one in drawing.words)


def _path(stroke: Stroke) -> str:
    return "M" + "L".join(map(_place, stroke.points)) + ("Z" if stroke.closed else "")


def _circle(ring: Ring) -> str:
    """A circle is two half arcs."""
    (x, y), reach = ring.centre, ring.radius
    half = f"A{_number(reach)} {_number(reach)} 0 0 0 "
    return f"M{_place((x - reach, y))}{half}{_place((x + reach, y))}{half}{_place((x - reach, y))}Z"


def _written(words: Lettering, href: Callable[[str], str]) -> str:
    x, y = words.place
    turned = f' transform="rotate({_number(-words.turned)} {_place(words.place)})"' if words.turned else ""
    text = (
        f'<text x="{_number(x)}" y="{_number(-y + 0.36 * words.size)}" font-size="{_number(words.size)}" '
        f'text-anchor="{words.anchor}" fill="currentColor"{turned}>'
    )
    address = href(words.address) if words.address else ""
    before, value, after = words.text.partition(words.value) if words.value else (words.text, "", "")
    link = f'<a href="{escape(address)}">{_text(value)}</a>' if address and value else _text(value)
    return f"{text}{_text(before)}{link}{_text(after)}</text>\n"


def _place(point: Point) -> str:
    return f"{_number(point[0])} {_number(-point[1])}"


def _number(value: float) -> str:
    """To a micrometre, without noughts at the end."""
    written = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def _text(text: str) -> str:
    """Text escaped; for signs that XML 1.0 does not have (section 2.2, Char) stands the replacement sign."""
    return escape(_NO_XML.sub("\ufffd", str(text)), quote=False)
