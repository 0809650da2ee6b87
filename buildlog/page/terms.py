"""Leads from the first mention of a term on a page to its explanation in the site's glossary.

Terms are looked for in the tree, after the figures are in it: nothing that the proof reads is changed. None
is linked in a heading, in code, in another link or a figure, in a caption, or in the glossary itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from xml.etree.ElementTree import Element

from markdown.util import HTML_PLACEHOLDER, AtomicString

from buildlog.reading.glossary import Term, term_anchor
from buildlog.render import LinkPiece

_LEFT_ALONE = frozenset(
    (
        *(
            "a",
            "abbr",
            "button",
            "code",
            "figcaption",
            "figure",
            "kbd",
            "math",
            "pre",
            "samp",
            "summary",
            "svg",
        ),
        *("h1", "h2", "h3", "h4", "h5", "h6"),
    )
)
_PLACE = HTML_PLACEHOLDER % "(?P<number>[0-9]+)"
_PLACE_ALONE = re.compile(HTML_PLACEHOLDER % "[0-9]+")
_RAW_TAG = re.compile(r"<(/?)([A-Za-z][A-Za-z0-9]*)")
_OURS = frozenset(("buildlog", "buildlog-figure-place"))


def name_terms(root: Element) -> None:
    """Give the terms of a glossary their ids, each once."""
    taken: set[str] = set()
    for element in root.iter("dt"):
        # Raw HTML, a block of code among it, is only a place in the tree yet: no words of a term.
        words = " ".join(_PLACE_ALONE.sub("", "".join(element.itertext())).split())
        anchor = term_anchor(words)
        if words and anchor not in taken and "id" not in element.attrib:
            element.set("id", anchor)
            taken.add(anchor)


def link_terms(
    root: Element, terms: Sequence[Term], href: Callable[[LinkPiece], str], stash: Sequence[object]
) -> None:
    """Link the first mention of each term. `stash` has the page's raw HTML, of which the tree has places."""
    if terms:
        _TermLinker(terms, href, stash).walk(root)


class _TermLinker:
    """What is still to be linked on one page."""

    def __init__(
        self, terms: Sequence[Term], href: Callable[[LinkPiece], str], stash: Sequence[object]
    ) -> None:
        self.href = href
        self.stash = stash
        self.within_raw = 0  # tags that an author has opened as raw HTML, in which nothing is linked
        self.by_words = {_fold(term.words): term for term in terms}
        self.linked: set[str] = set()
        # Of two that begin alike the longer one is meant.
        words = sorted((term.words for term in terms), key=len, reverse=True)
        self.pattern = re.compile(rf"{_PLACE}|(?<!\w)(?:{'|'.join(map(_spelt, words))})(?!\w)")

    def walk(self, element: Element) -> None:
        """Everything below an element, in the order in which it is read."""
        if not isinstance(element.text, AtomicString):
            text, links = self._split(element.text or "")
            element.text = text
            element[:0] = links
        else:
            links = []
        for child in list(element)[len(links) :]:
            if not _is_left_alone(child):
                self.walk(child)
            if child.tail:
                text, links = self._split(child.tail)
                child.tail = text
                place = list(element).index(child) + 1
                element[place:place] = links

    def _split(self, text: str) -> tuple[str, list[Element]]:
        """A text up to the first link, and the links, each with what follows it."""
        head, at = "", 0
        links: list[Element] = []

        def add(piece: str) -> None:
            nonlocal head
            if links:
                links[-1].tail = (links[-1].tail or "") + piece
            else:
                head += piece

        for match in self.pattern.finditer(text):
            if match["number"]:
                self._pass_raw(int(match["number"]))
                continue
            term = self.by_words[_fold(match[0])]
            if self.within_raw or term.anchor in self.linked:
                continue
            self.linked.add(term.anchor)
            add(text[at : match.start()])
            at = match.end()
            to = LinkPiece(page=term.page, anchor=term.anchor, text=match[0])
            link = Element("a", {"class": "buildlog-term", "href": self.href(to)})
            link.text = AtomicString(match[0])
            links.append(link)
        add(text[at:])
        return head, links

    def _pass_raw(self, number: int) -> None:
        """Count what raw HTML opens and closes."""
        raw = self.stash[number] if number < len(self.stash) else ""
        for end, name in _RAW_TAG.findall(raw if isinstance(raw, str) else ""):
            if name.lower() in _LEFT_ALONE:
                self.within_raw = max(0, self.within_raw + (-1 if end else 1))


def _is_left_alone(element: Element) -> bool:
    classes = element.get("class", "").split()
    return element.tag in _LEFT_ALONE or not _OURS.isdisjoint(classes)


def _fold(words: str) -> str:
    """A term without what a sentence changes: the first letter, and the spaces."""
    words = " ".join(words.split())
    return words[:1].casefold() + words[1:]


def _spelt(words: str) -> str:
    """A pattern of a term as it stands in a sentence."""
    first, *rest = words.split()
    start = (
        f"[{re.escape(first[0].lower() + first[0].upper())}]" if first[0].isalpha() else re.escape(first[0])
    )
    return r"\s+".join((start + re.escape(first[1:]), *map(re.escape, rest)))
