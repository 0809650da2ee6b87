"""Puts HTML in pieces into Python-Markdown's tree, so that it lives through every nesting.

Text goes through the stash of raw HTML and comes out untouched; links are elements of the tree, so that
the site generator writes their addresses as it does for any other link.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from xml.etree.ElementTree import Element, SubElement

from markdown import Markdown
from markdown.util import HTML_PLACEHOLDER, AtomicString, code_escape

from buildlog.render import Link, Rendered
from buildlog.render.pieces import BRACKETS

_PLACEHOLDER = re.compile(HTML_PLACEHOLDER % "([0-9]+)")


class Planter:
    """Plants into one page's tree. `href` writes the address of a link."""

    def __init__(self, md: Markdown, href: Callable[[Link], str]) -> None:
        self.md = md
        self.href = href
        self.waiting: list[tuple[Element, Rendered]] = []
        self._stand_ins: list[tuple[Element, Element]] = []

    def block(self, rendered: Rendered) -> Element:
        """A block element with the pieces in it.

        The ids of raw HTML are invisible to the table of contents and to a generator that checks
        anchors; empty elements stand in for them until `finish`.
        """
        box = Element("div", {"class": "buildlog"})
        self._fill(box, rendered, None)
        for name in rendered.ids:
            self._stand_ins.append((box, SubElement(box, "span", {"id": name})))
        return box

    def into_figure(self, element: Element, figure: Rendered) -> None:
        """Turn the link that an author wrote into the figure, emphasis in its label kept."""
        label = Element("a")
        label.text, label[:] = element.text, element[:]
        tail = element.tail
        given = {name: value for name, value in element.attrib.items() if name not in ("href", "title")}
        element.clear()
        element.tag, element.tail = "span", tail
        element.set("class", "buildlog-figure-place")
        self._fill(element, figure, label)
        if given and label.tag == "a":
            classes = " ".join(filter(None, (label.get("class"), given.pop("class", ""))))
            label.attrib.update(given)
            label.set("class", classes)

    def finish(self) -> None:
        """Take out what stood in for ids."""
        for box, stand_in in self._stand_ins:
            box.remove(stand_in)
        self._stand_ins = []
        self.waiting = []

    def _fill(self, box: Element, rendered: Rendered, label: Element | None) -> None:
        last: Element | None = None
        for piece in rendered.pieces:
            if isinstance(piece, str):
                text = self.md.htmlStash.store(piece)
                if last is None:
                    box.text = (box.text or "") + text
                else:
                    last.tail = (last.tail or "") + text
                continue
            if piece.label and label is not None:
                last = label
                if not len(label) and not (label.text or "").strip():
                    label.text = AtomicString(piece.text)
            else:
                last = Element("a")
                last.text = AtomicString(piece.text)
            if piece.other:
                _add_other(last, piece.other)
            last.set("href", self.href(piece))
            for name, value in piece.attributes.items():
                last.set(name, value)
            box.append(last)


def _add_other(link: Element, text: str) -> None:
    """Put what a link says into one part, and the same in the other system of units into another."""
    own = Element("span", {"class": "buildlog-own"})
    own.text, own[:] = link.text, link[:]
    link.text, link[:] = None, [own]
    other = SubElement(link, "span", {"class": "buildlog-other"})
    first, second = (SubElement(other, "span", {"class": "buildlog-bracket"}) for _ in BRACKETS)
    first.text, second.text = (AtomicString(bracket) for bracket in BRACKETS)
    first.tail = AtomicString(text)


def place_blocks(root: Element, cards: Mapping[int, tuple[Rendered, str]], planter: Planter) -> None:
    """Put the cards where their placeholders stand, out of the paragraphs that those stand in.

    `cards` maps a number of the stash to the card and the source that it took the place of; in a block
    of code the source comes back.
    """
    boxes: set[Element] = set()
    for parent in list(root.iter()):
        in_code = parent.tag in ("code", "pre")
        if parent.text and "\x02" in parent.text:
            parent.text, made = _split(parent.text, cards, planter, in_code)
            parent[:0] = made
            boxes.update(made)
        for child in list(parent):
            if child.tail and "\x02" in child.tail and child not in boxes:
                child.tail, made = _split(child.tail, cards, planter, in_code)
                place = list(parent).index(child) + 1
                parent[place:place] = made
                boxes.update(made)
    if boxes:
        for parent in list(root.iter()):
            _free(parent, boxes)


def _split(
    text: str, cards: Mapping[int, tuple[Rendered, str]], planter: Planter, in_code: bool
) -> tuple[str, list[Element]]:
    """Text up to the first card, and the cards, each with the text after it as its tail."""
    head, at = "", 0
    made: list[Element] = []

    def add(piece: str) -> None:
        nonlocal head
        if made:
            made[-1].tail = (made[-1].tail or "") + piece
        else:
            head += piece

    for match in _PLACEHOLDER.finditer(text):
        known = cards.get(int(match[1]))
        if known is None:
            continue
        add(text[at : match.start()])
        at = match.end()
        if in_code:
            add(code_escape(known[1]))
        else:
            made.append(planter.block(known[0]))
    add(text[at:])
    return (AtomicString(head) if in_code else head), made


def _free(parent: Element, boxes: set[Element]) -> None:
    """Split the paragraphs of a parent around the cards in them: a paragraph holds no block."""
    if not any(child.tag == "p" and any(inner in boxes for inner in child) for child in parent):
        return
    children: list[Element] = []
    for child in parent:
        if child.tag != "p" or not any(inner in boxes for inner in child):
            children.append(child)
            continue
        current = Element("p", dict(child.attrib))
        current.text = child.text
        parts: list[Element] = [current]
        for inner in child:
            if inner in boxes:
                current = Element("p")
                current.text, inner.tail = inner.tail, "\n"
                parts += [inner, current]
            else:
                current.append(inner)
        kept = [part for part in parts if part in boxes or len(part) or (part.text or "").strip()]
        kept[-1].tail = child.tail
        children += kept
    parent[:] = children
