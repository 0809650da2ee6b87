"""Our HTML for those that have no style sheet of ours: feeds, and texts that are made of HTML.

What a style sheet folds, hides or shows to one of two readers is said once here, in elements that every
converter knows: tables with headings, paragraphs, formulae as text.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import escape, unescape
from html.parser import HTMLParser
from xml.etree import ElementTree

from buildlog.render.ours import replace_ours
from buildlog.render.searched import VOID

_DROPPED_TAGS = frozenset(("script", "style", "svg", "button", "form", "input"))
# Links beside a row, notes behind a figure, tables to fill in by hand; charts in the other system of units.
_DROPPED = frozenset(
    ("buildlog-here", "buildlog-note", "buildlog-blank", "buildlog-only-us", "buildlog-way-up")
)
_ON_SCREEN = "buildlog-on-screen"
_WORKING = "buildlog-working"
_KEPT = frozenset(
    "a blockquote br cite code dd dl dt em figure h1 h2 h3 h4 h5 h6 hr i img li ol p pre strong table tbody "
    "td th thead time tr ul".split()
)
_INSTEAD = {"b": "strong", "figcaption": "p", "section": "div", "div": "div", "details": "div"}
_BEFORE = {"sub": "_", "sup": "^"}
_TITLES = frozenset(("summary", "caption"))
_ATTRIBUTES = frozenset(("href", "src", "alt", "colspan", "datetime", "lang"))
_ROUND_CLASSES = {
    "buildlog-equation": ("<p><code>", "</code></p>"),
    "buildlog-filled": ("<p><code>", "</code></p>"),
    "buildlog-tag": (" (", ")"),
    "buildlog-unit": (" [", "]"),
    "buildlog-below": (" (", ")"),
    "buildlog-besides": (": ", ""),
    "buildlog-percent": (", ", ""),
}
_ADDRESS = re.compile(r'(<[a-zA-Z][^<>]*?\s(?:href|src)=")([^"]*)(?=")')
_FORMULA = re.compile("<math\\b.*?</math>", re.DOTALL)
_NAMED = re.compile(r"&\w+;")
_INVISIBLE = {"\u2061": "", "\u2062": "·"}
_SPACED = frozenset("=+−×<>≤≥≠")


def exported(html: str, *, working: bool) -> str:
    """A page's HTML with ours in plain elements. `working` is whether each step of the calculations is there
    too."""

    def write(inside: str) -> str:
        reader = _Exported(working)
        reader.feed(_FORMULA.sub(lambda found: escape(formula_text(found[0]), quote=False), inside))
        reader.close()
        return "".join(reader.kept)

    return replace_ours(html, write)


def with_addresses(html: str, address: Callable[[str], str]) -> str:
    """HTML with each address in an attribute written anew."""
    return _ADDRESS.sub(lambda found: found[1] + escape(address(unescape(found[2]))), html)


class _Exported(HTMLParser):
    """Writes what it reads in plain elements."""

    def __init__(self, working: bool) -> None:
        super().__init__()
        self.working = working
        self.kept: list[str] = []
        self.open: list[tuple[str, str, bool]] = []  # the tag, what ends it, whether it is left out
        self.table = self.caption = 0  # where in `kept` the last table and its caption begin
        self.rows_to_go = 0  # rows that the heading of a row above is for too

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = {name: value or "" for name, value in attrs}
        classes = attributes.get("class", "").split()
        out = self._out or self._is_dropped(tag, classes)
        begins, ends = ("", "") if out else self._written(tag, attributes, classes)
        if tag == "caption":
            self.caption = len(self.kept)
        self._add(begins)
        if tag not in VOID:
            self.open.append((tag, ends, out))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1][0] != tag:
            return
        _, ends, out = self.open.pop()
        self._add(ends)
        if tag == "caption" and not out:
            self._move_caption()

    def handle_data(self, data: str) -> None:
        if not self._out:
            self._add(escape(data, quote=False))

    def _add(self, written: str) -> None:
        """Add what is written, with no white space after an opening bracket nor before a comma or colon."""
        before = self.kept[-1] if self.kept else ""
        if before.endswith(("(", "[")):
            written = written.lstrip()
        elif written.startswith((", ", ": ")):
            self.kept[-1:] = [before.rstrip()]
        if written:
            self.kept.append(written)

    @property
    def _out(self) -> bool:
        return bool(self.open) and self.open[-1][2]

    def _is_dropped(self, tag: str, classes: list[str]) -> bool:
        if tag in _DROPPED_TAGS or not _DROPPED.isdisjoint(classes):
            return True
        if _ON_SCREEN in classes:
            return not (self.working and _WORKING in classes)
        return tag == "caption" and "buildlog-hidden" in classes

    def _written(self, tag: str, attributes: dict[str, str], classes: list[str]) -> tuple[str, str]:
        """What begins an element, and what ends it."""
        for name in classes:
            if name in _ROUND_CLASSES:
                return _ROUND_CLASSES[name]
        if tag in _TITLES:
            return "<p><strong>", "</strong></p>"
        if tag == "table":
            self.table, self.rows_to_go = len(self.kept), 0
        elif tag == "tr" and self.rows_to_go:  # converters know no heading of several rows
            self.rows_to_go -= 1
            return "<tr><th></th>", "</tr>"
        self.rows_to_go = self.rows_to_go or int(attributes.get("rowspan") or 1) - 1
        if tag not in _KEPT and tag not in _INSTEAD:
            return _BEFORE.get(tag, ""), ""
        instead = _INSTEAD.get(tag, tag)
        return f"<{instead}{self._attributes(attributes)}>", f"</{instead}>"

    def _attributes(self, attributes: dict[str, str]) -> str:
        kept = ((name, value) for name, value in attributes.items() if name in _ATTRIBUTES)
        return "".join(f' {name}="{escape(value)}"' for name, value in kept)

    def _move_caption(self) -> None:
        """A caption stands before its table: converters have none."""
        caption = self.kept[self.caption :]
        del self.kept[self.caption :]
        self.kept[self.table : self.table] = caption


# --- formulae ---------------------------------------------------------------------------------


def formula_text(mathml: str) -> str:
    """A formula as text in one line."""
    # Another plugin may have written the page anew, with names of HTML that XML has not.
    element = ElementTree.fromstring(_NAMED.sub(lambda name: escape(unescape(name[0])), mathml))
    return " ".join((element.get("alttext") or _formula(element)).split())


def _formula(element: ElementTree.Element) -> str:
    parts = [_formula(child) for child in element]
    if element.tag == "mfrac":
        return "/".join(map(_in_brackets, parts))
    if element.tag == "msub":
        return "_".join(map(_in_brackets, parts))
    if element.tag == "msup":
        return "^".join(map(_in_brackets, parts))
    if element.tag == "msubsup":
        return f"{parts[0]}_{_in_brackets(parts[1])}^{_in_brackets(parts[2])}"
    if element.tag == "msqrt":
        return f"√({''.join(parts)})"
    if element.tag == "mtr":
        return " ".join(parts) + "; "
    text = (element.text or "") + "".join(parts)
    if element.tag == "mo":
        text = _INVISIBLE.get(text, text)
        return f" {text} " if text in _SPACED else text
    return text


def _in_brackets(text: str) -> str:
    """A part of a formula that is more than a symbol or a number, in brackets."""
    text = text.strip()
    return text if text.replace("_", "").replace(".", "").isalnum() else f"({text})"
