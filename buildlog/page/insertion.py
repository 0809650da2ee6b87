"""Puts HTML in pieces into Python-Markdown's tree, so that it lives through every nesting.

Text goes through the stash of raw HTML and comes out untouched; links are elements of the tree, so that
the site generator writes their addresses as it does for any other link.
"""

from __future__ import annotations

import re
import secrets
from collections import Counter
from collections.abc import Callable, Mapping
from functools import partial
from html import escape
from xml.etree.ElementTree import Element, SubElement

from markdown import Markdown
from markdown.util import HTML_PLACEHOLDER, AtomicString, code_escape

from buildlog.render import LinkPiece, Rendered
from buildlog.render.ours import BOX, FIGURE_PLACE, replace_ours
from buildlog.render.pieces import BRACKETS, NOWHERE
from buildlog.render.searched import plain_spellings

HEADINGS = frozenset(("h1", "h2", "h3", "h4", "h5", "h6"))
_OF_LINKS = {"href", "title"}
_BEFORE_HEADING = re.compile("(?=<h[1-6][ >])")
_NOTHING = 0  # the number of what nothing is put in for
_PLACEHOLDER = re.compile(HTML_PLACEHOLDER % "([0-9]+)")
_TAKEN = re.compile("\x02([0-9]+)\x02(.*?)\x03", re.DOTALL)
"""Stands for a stand-in where the mark is not known: Python-Markdown leaves none of these two in a page."""


class DeferredHtml:
    """HTML that is put into pages once they are rendered.

    Cards are many times longer than the text around them: while a page is rendered, and kept, a short
    stand-in is in their place, the card's text as a search should find it, between two comments. The search
    of a site reads these; whatever else reads a page has the whole.
    """

    def __init__(self) -> None:
        self._mark = secrets.token_hex(16)  # nobody can write it into a page beforehand
        self._parts: dict[int, tuple[str, Rendered]] = {}
        self._numbers: dict[str, list[int]] = {}
        self._last = 0
        self._pattern = re.compile(f"<!--{self._mark}-([0-9]+)-->(.*?)<!--/{self._mark}-->", re.DOTALL)

    def stand_in(self, page: str, rendered: Rendered) -> str:
        """What stands in a page until it is finished."""
        return self._mark_off(self._number(page, rendered), rendered.searched)

    def _number(self, page: str, rendered: Rendered) -> int:
        self._last += 1
        self._parts[self._last] = page, rendered
        self._numbers.setdefault(page, []).append(self._last)
        return self._last

    def _mark_off(self, number: int, text: str) -> str:
        return f"<!--{self._mark}-{number}-->{text}<!--/{self._mark}-->"

    def add_spellings(self, content: str) -> str:
        """A page's content with its figures as readers type them, at the end of each section, for a search
        alone: they are gone when the page is finished."""
        whole, end = content, ""
        if (at := content.rfind("</body>")) >= 0:  # another plugin has made a document of it
            whole, end = content[:at], content[at:]
        sections = _BEFORE_HEADING.split(whole)
        typed = ("; ".join(plain_spellings(section)) for section in sections)
        asides = (self._mark_off(_NOTHING, f"<p>{escape(each)}</p>") if each else "" for each in typed)
        return "".join(part for pair in zip(sections, asides, strict=True) for part in pair) + end

    def take_out(self, content: str) -> str:
        """A page's content with stand-ins in place of what is ours."""
        return replace_ours(content, lambda inside: self.stand_in("", Rendered((inside,))))

    def take_apart(self, text: str) -> tuple[str, tuple[Rendered, ...]] | None:
        """A text for another run, and what its stand-ins stand for; None for a text that looks like one."""
        parts: list[Rendered] = []

        def take(stand_in: re.Match[str]) -> str:
            _, rendered = self._parts[int(stand_in[1])]
            parts.append(Rendered(rendered.pieces))
            return f"\x02{len(parts) - 1}\x02{stand_in[2]}\x03"

        if "\x02" in text or "\x03" in text:
            return None
        return self._pattern.sub(take, text), tuple(parts)

    def put_together(self, page: str, text: str, parts: tuple[Rendered, ...]) -> str:
        """A text that an earlier run took apart, with stand-ins of this one."""

        def put(taken: re.Match[str]) -> str:
            return self._mark_off(self._number(page, parts[int(taken[1])]), taken[2])

        return _TAKEN.sub(put, text)

    def begin(self, page: str) -> None:
        """Forget what was put into a page before: it is made anew, or is gone."""
        for number in self._numbers.pop(page, ()):
            del self._parts[number]

    @property
    def pages(self) -> list[str]:
        """The pages with stand-ins."""
        return list(self._numbers)

    def stands_in(self, text: str) -> bool:
        """Whether there is a stand-in in a text."""
        return self._mark in text

    def finish(self, text: str, href: Callable[[str, LinkPiece], str]) -> str:
        """A text with the HTML in its stand-ins' places. `href` writes the address of a link; it is
        told which page the link was made for, since a site may show the text of one in another."""

        def put_in(stand_in: re.Match[str]) -> str:
            number = int(stand_in[1])
            if number == _NOTHING:
                return ""
            page, rendered = self._parts[number]
            return rendered.html(partial(href, page))

        # Most pages of a site have none, and a pattern is slow to find nothing in a long page.
        if not self.stands_in(text):
            return text
        return self._pattern.sub(put_in, text)


class TreeInserter:
    """Inserts into one page's tree. `href` writes the address of a link; `defer` gives what makes the
    stand-in for pieces that are put in when the page is finished, or None where they go in now. `language` is
    that of our words, where the page's is another."""

    def __init__(
        self,
        md: Markdown,
        href: Callable[[LinkPiece], str],
        defer: Callable[[], Callable[[Rendered], str] | None] = lambda: None,
    ) -> None:
        self.md = md
        self.href = href
        self.defer = defer
        self.waiting: list[tuple[Element, Rendered]] = []
        self.language = ""
        self._stand_ins: list[tuple[Element, Element]] = []

    def block(self, rendered: Rendered) -> Element:
        """A block element with the pieces in it.

        The ids of raw HTML are invisible to the table of contents and to a generator that checks
        anchors; empty elements stand in for them until `finish`.
        """
        box = Element("div", {"class": BOX})
        if self.language:
            box.set("lang", self.language)
        stand_in = self.defer()
        if stand_in is not None:
            box.text = self.md.htmlStash.store(stand_in(rendered))
        else:
            self._fill(box, rendered.pieces, None)
        self._announce(box, rendered)
        return box

    def _announce(self, box: Element, rendered: Rendered) -> None:
        """Put in what stands in for ids."""
        for name in rendered.ids:
            self._stand_ins.append((box, SubElement(box, "span", {"id": name})))

    def into_figure(self, element: Element, figure: Rendered) -> None:
        """Turn the link that an author wrote into the figure, emphasis in its label kept."""
        stand_in = self.defer()
        if stand_in is not None and _is_bare(element, figure):
            text = self.md.htmlStash.store(stand_in(figure))
            element.attrib.clear()
            element.tag, element.text = "span", text
            element.set("class", FIGURE_PLACE)
            self._announce(element, figure)
            return
        label = Element("a")
        label.text, label[:] = element.text, element[:]
        tail = element.tail
        given = {name: value for name, value in element.attrib.items() if name not in ("href", "title")}
        element.clear()
        element.tag, element.tail = "span", tail
        element.set("class", FIGURE_PLACE)
        self._fill(element, self._pieces(figure), label)
        self._announce(element, figure)
        if given and label.tag == "a":
            classes = " ".join(filter(None, (label.get("class"), given.pop("class", ""))))
            label.attrib.update(given)
            label.set("class", classes)

    def finish(self) -> None:
        """Take out what stood in for ids."""
        for box, stand_in in self._stand_ins:
            if stand_in in list(box):  # another extension may have put one element into a tree twice
                box.remove(stand_in)
        self._stand_ins = []
        self.waiting = []

    def _pieces(self, figure: Rendered) -> tuple[str | LinkPiece, ...]:
        """The pieces of a figure; with what stands behind its label put in later, where that is done."""
        stand_in = self.defer()
        if stand_in is None or figure.after_label is None:
            return figure.pieces
        first, rest = figure.after_label
        return (*first, stand_in(rest)) if rest.pieces else first

    def _fill(self, box: Element, pieces: tuple[str | LinkPiece, ...], label: Element | None) -> None:
        last: Element | None = None
        for piece in pieces:
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
            href = self.href(piece)
            if piece.only and not href:
                continue
            if href:
                last.set("href", href)
            else:  # MkDocs takes no link without an address
                last.tag = "span"
                last.attrib.update(NOWHERE if piece.label else {})
            for name, value in piece.attributes.items():
                last.set(name, value)
            box.append(last)


def _is_bare(element: Element, figure: Rendered) -> bool:
    """Whether a figure's label shows just what the author's link shows, so that the one can stand for the
    other."""
    text = next((piece.text for piece in figure.pieces if isinstance(piece, LinkPiece) and piece.label), None)
    return (
        text is not None
        and not len(element)
        and element.text == text
        and _OF_LINKS.issuperset(element.keys())
    )


def _add_other(link: Element, text: str) -> None:
    """Put what a link says into one part, and the same in the other system of units into another."""
    own = Element("span", {"class": "buildlog-own"})
    own.text, own[:] = link.text, link[:]
    link.text, link[:] = None, [own]
    other = SubElement(link, "span", {"class": "buildlog-other"})
    first, second = (SubElement(other, "span") for _ in BRACKETS)
    first.text, second.text = (AtomicString(bracket) for bracket in BRACKETS)
    first.tail = AtomicString(text)


def place_blocks(
    root: Element, cards: Mapping[int, tuple[Rendered, str]], inserter: TreeInserter
) -> Counter[int]:
    """Put the cards where their placeholders stand, out of the paragraphs that those stand in; how often each
    was put in.

    `cards` maps a number of the stash to the card and the source that it took the place of; in a block
    of code the source comes back.
    """
    boxes: set[Element] = set()
    placed: Counter[int] = Counter()
    cards = _at_their_levels(root, cards, levels_down(inserter.md))
    for parent in list(root.iter()):
        in_code = parent.tag in ("code", "pre")
        if parent.text and "\x02" in parent.text:
            parent.text, made = _split(parent.text, cards, inserter, in_code, placed)
            parent[:0] = made
            boxes.update(made)
        for child in list(parent):
            if child.tail and "\x02" in child.tail and child not in boxes:
                child.tail, made = _split(child.tail, cards, inserter, in_code, placed)
                place = list(parent).index(child) + 1
                parent[place:place] = made
                boxes.update(made)
    if boxes:
        for parent in list(root.iter()):
            _free(parent, boxes)
    return placed


def levels_down(md: Markdown) -> int:
    """By how many levels the site moves all headings of a page down, once ours are among them."""
    if "toc" not in md.treeprocessors:
        return 0
    return int(getattr(md.treeprocessors["toc"], "base_level", 0))


def _at_their_levels(
    root: Element, cards: Mapping[int, tuple[Rendered, str]], moved: int
) -> dict[int, tuple[Rendered, str]]:
    """The cards with their headings a level below the heading that each stands under, which is to be moved
    down by some."""
    found = dict(cards)
    level = 0
    waiting: list[Element | str] = [root]
    while waiting:
        one = waiting.pop()
        if isinstance(one, str):
            for match in _PLACEHOLDER.finditer(one):
                if (card := found.get(int(match[1]))) is not None:
                    found[int(match[1])] = card[0].at_level(min(6, max(2, level + 1 + moved))), card[1]
            continue
        if one.tag in HEADINGS:
            level = int(one.tag[1])
        waiting += [part for child in reversed(one) for part in (child.tail or "", child)]
        waiting.append(one.text or "")
    return found


def _split(
    text: str,
    cards: Mapping[int, tuple[Rendered, str]],
    inserter: TreeInserter,
    in_code: bool,
    placed: Counter[int],
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
            placed[int(match[1])] += 1
            made.append(inserter.block(known[0]))
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
        filled = [part for part in parts if part in boxes or len(part) or (part.text or "").strip()]
        filled[-1].tail = child.tail
        children += filled
    parent[:] = children
