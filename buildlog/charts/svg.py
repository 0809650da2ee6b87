"""Makes matplotlib's SVG fit to stand in a page: ids of its own, the page's colours and font, no ballast."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Mapping
from html import escape

_PRECISE = re.compile(r"-?\d+\.\d{3,}(?:e-?\d+)?")
_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}\b")
_NOT_TURNED = re.compile(r"rotate\(-?0 ")
_KEPT_STYLES = frozenset(
    "fill stroke stroke-width stroke-dasharray stroke-dashoffset stroke-linecap stroke-linejoin "
    "stroke-miterlimit opacity text-anchor font-size".split()
)
_DROPPED = frozenset(("metadata", "style"))
_NUMERIC = frozenset("d x y width height transform points viewBox style x1 y1 x2 y2".split())


def _name(tag: str) -> str:
    return tag.rpartition("}")[2]


def _rounded(text: str) -> str:
    """Numbers to two decimals: a hundredth of a unit is less than any screen shows."""

    def shorter(match: re.Match[str]) -> str:
        number = f"{float(match[0]):.2f}".rstrip("0").rstrip(".")
        return "0" if number in ("-0", "") else number

    return " ".join(_PRECISE.sub(shorter, text).split())


def _shared_style(element: ElementTree.Element) -> str:
    """The style that all children of a group have, where there are several: the dots of one curve, say."""
    if _name(element.tag) != "g" or element.get("style") or len(element) < 2:
        return ""
    styles = {child.get("style", "") if _name(child.tag) == "use" else "" for child in element}
    return styles.pop() if len(styles) == 1 else ""


class _Tidy:
    def __init__(self, prefix: str, colours: Mapping[str, str], used: frozenset[str]) -> None:
        self.prefix = prefix
        self.colours = colours
        self.names = {name: f"{prefix}_{number}" for number, name in enumerate(sorted(used), start=1)}

    def styles(self, text: str) -> dict[str, str]:
        pairs = (part.partition(":")[::2] for part in text.split(";") if ":" in part)
        return {
            name.strip(): self.value(value.strip()) for name, value in pairs if name.strip() in _KEPT_STYLES
        }

    def style(self, text: str) -> str:
        return "; ".join(f"{part}: {set_to}" for part, set_to in self.styles(text).items())

    def value(self, text: str) -> str:
        text = _REFERENCE.sub(lambda match: f"url(#{self.names[match[1]]})", text)
        return _COLOUR.sub(lambda match: self.colours[match[0].lower()], text)

    def written(self, element: ElementTree.Element) -> str:
        name = _name(element.tag)
        if name in _DROPPED:
            return ""
        shared = _shared_style(element)
        for child in element if shared else ():
            del child.attrib["style"]
        inner = "".join(self.written(child) for child in element)
        text = ""
        if element.text and name == "text":
            text = escape(element.text, quote=False)
        if not inner and not text and name in ("g", "defs"):
            return ""
        attributes = self._attributes(element)
        if shared:
            attributes["style"] = "; ".join(
                f"{part}: {set_to}" for part, set_to in self.styles(shared).items()
            )
        if name == "g" and not attributes:
            return inner
        shown = "".join(
            f' {key}="{escape(_rounded(value) if key in _NUMERIC else value)}"'
            for key, value in attributes.items()
            if value
        )
        if not text and not inner:
            return f"<{name}{shown}/>"
        return f"<{name}{shown}>{text}{inner}</{name}>"

    def _attributes(self, element: ElementTree.Element) -> dict[str, str]:
        """What a page needs of an element's attributes, with its ids and colours."""
        attributes: dict[str, str] = {}
        for key, value in element.attrib.items():
            key = _name(key)
            if key == "id":
                if value in self.names:
                    attributes["id"] = self.names[value]
            elif key == "style":
                attributes["style"] = self.style(value)
            elif key == "transform" and _NOT_TURNED.match(value):
                continue
            elif key == "href":
                attributes["href"] = "#" + self.names[value.removeprefix("#")]
            else:
                attributes[key] = self.value(value)
        return attributes


def for_page(svg: str, *, anchor: str, title: str, description: str, colours: Mapping[str, str]) -> str:
    """The drawing as an element for a page. Every colour of it must be one of `colours`."""
    root = ElementTree.fromstring(svg)
    used: set[str] = set()
    for element in root.iter():
        for key, value in element.attrib.items():
            if _name(key) == "href":
                used.add(value.removeprefix("#"))
            used.update(_REFERENCE.findall(value))
    tidy = _Tidy(anchor, colours, frozenset(used))
    inner = "".join(tidy.written(child) for child in root)
    name = escape(anchor)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" id="{name}" viewBox="{_rounded(root.attrib["viewBox"])}" '
        f'role="img" aria-labelledby="{name}-title" aria-describedby="{name}-desc" class="buildlog-drawing" '
        'style="width: 100%; height: auto; font-family: inherit; font-variant-numeric: tabular-nums; '
        'stroke-linejoin: round; stroke-linecap: butt; overflow: visible">'
        f'<title id="{name}-title">{escape(title, quote=False)}</title>'
        f'<desc id="{name}-desc">{escape(description, quote=False)}</desc>{inner}</svg>'
    )
