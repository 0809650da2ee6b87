"""A chart's shapes as an element that stands in a page, in the page's colours and font."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from itertools import groupby

from buildlog.charts.shapes import Shape

_PLACE = frozenset(("d", "x", "y"))
"""What is a shape's own; the rest is its look, which shapes that stand together share."""
_LOOK = (
    "width: 100%; height: auto; font-family: inherit; font-variant-numeric: tabular-nums; "
    "stroke-linejoin: round; overflow: visible"
)


def for_page(shapes: Sequence[Shape], box: str, *, anchor: str, title: str, description: str) -> str:
    """The drawing as an ``<svg>`` element; `anchor` is its id. It looks the same where no style sheet of ours
    is, in a feed say."""
    name = escape(anchor)
    inner = "".join(_together(style, list(alike)) for style, alike in groupby(shapes, _style))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" viewBox="{box}" '
        f'role="img" aria-labelledby="{name}-title" aria-describedby="{name}-desc" class="buildlog-drawing" '
        f'style="{_LOOK}">'
        f'<title id="{name}-title">{escape(title, quote=False)}</title>'
        f'<desc id="{name}-desc">{escape(description, quote=False)}</desc>{inner}</svg>'
    )


def _together(style: str, shapes: Sequence[Shape]) -> str:
    """Shapes of one look, which is said once."""
    if len(shapes) == 1:
        return _written(shapes[0], style)
    return f'<g style="{style}">{"".join(_written(shape) for shape in shapes)}</g>'


def _written(shape: Shape, style: str = "") -> str:
    own = {name: value for name, value in shape.attributes.items() if name in _PLACE}
    attributes = _attributes({**own, "style": style} if style else own)
    inner = f">{escape(shape.text, quote=False)}</{shape.tag}>" if shape.text else "/>"
    return f"<{shape.tag}{attributes}{inner}"


def _attributes(values: Mapping[str, str]) -> str:
    return "".join(f' {name}="{escape(value)}"' for name, value in values.items())


def _style(shape: Shape) -> str:
    """A shape's look. It is a style and no attributes, which know no colours of the page."""
    look = {name: value for name, value in shape.attributes.items() if name not in _PLACE}
    if "font-size" in look:
        look["font-size"] += "px"
    return "; ".join(f"{name}: {value}" for name, value in look.items())
