"""A figure keeps its identity from the page's text to the rendered page; what was rendered is compared with
what was judged.

Python-Markdown's tree has another order than the text (footnotes, titles of tabs), and other extensions
change it. So each link that the scanner found gets a number of its own in place of its address and title,
before anything else reads the text. What bears a number in the tree is that link and no other; what bears an
address of ours instead was never proofed; what is missing is not shown. Each of these is a finding, at its
place.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape, unescape
from xml.etree.ElementTree import Element

from markdown.util import HTML_PLACEHOLDER

from buildlog.diagnostics import Diagnostic, Position, shorten
from buildlog.figures.labels import plain
from buildlog.proof.finished_page import fold
from buildlog.proof.rendered_page import (
    FIGURE_CHANGED,
    FIGURE_NOT_PROOFED,
    PagePlaces,
    not_proofed,
    not_shown,
    quoted,
)
from buildlog.reading.markdown.fences import PREFIX
from buildlog.reading.markdown.page import Link, LinkForm
from buildlog.render.ours import FIGURE_PLACE

_STASHED = re.compile(HTML_PLACEHOLDER % "([0-9]+)")
_ESCAPED = re.compile("\x02([0-9]+)\x03")
# What a browser reads to its end tag, or to the end of the page, without looking for elements in it.
_UNREAD = re.compile(
    r"<!--.*?(?:-->|\Z)|<(script|style|textarea|title|iframe|xmp|noembed|noframes)\b[^>]*>"
    r".*?(?:</\1\s*>|\Z)|<plaintext\b.*",
    re.DOTALL | re.IGNORECASE,
)
_TAG = re.compile(r"<[^<>]*>")


class FigureMarks:
    """Writes the number of a link in place of its address, and finds it again. Nobody can write such a mark
    into a page beforehand."""

    def __init__(self) -> None:
        # Letters and digits only: no extension reads them as anything.
        self._word = f"buildlog{secrets.token_hex(8)}n"
        self._pattern = re.compile(f"{self._word}([0-9]+)x", re.IGNORECASE)

    def mark(self, number: int) -> str:
        return f"{self._word}{number}x"

    def write(self, text: str, link: Link, number: int) -> tuple[int, int, str]:
        """Where in a page's text something is to be replaced, and what stands there then. Lines stay lines:
        joined to the one before, the end of a link could make a title or a heading of it."""
        if link.form is LinkForm.AUTOMATIC:
            return link.start, link.end, f"<{self.mark(number)}://>"
        if link.form is LinkForm.INLINE:
            return link.address_start, link.address_end, self.mark(number)
        _, *below = text[link.label_end : link.end].split("\n")
        prefixes = "".join("\n" + line[: len(line) - len(line.lstrip(PREFIX))] for line in below)
        return link.label_end, link.end, f"]({self.mark(number)}{prefixes})"

    def number_in(self, address: str) -> int | None:
        """The number that an address bears."""
        match = self._pattern.match(address)
        return int(match[1]) if match else None

    def take_out(self, html: str, links: Sequence[Link]) -> str:
        """Put the addresses back that stand in a page where no link was made of them."""
        if self._word not in html:
            return html
        return self._pattern.sub(lambda match: escape(links[int(match[1])].address), html)


@dataclass(frozen=True, kw_only=True)
class TreeFigure:
    """A link of the tree that is a figure, or that looks like one: then it has no number."""

    element: Element
    in_heading: bool
    number: int | None


class TreeComparison:
    """Compares the figures of a page's tree with the links that were judged."""

    def __init__(
        self,
        marks: FigureMarks,
        links: Sequence[Link],
        places: PagePlaces,
        stash: Sequence[object],
        agreeing: Mapping[int, bool],
    ) -> None:
        self.marks = marks
        self.links = links
        self.places = places
        self.stash = stash
        self.agreeing = agreeing

    def findings(self, figures: Sequence[TreeFigure]) -> Iterator[tuple[TreeFigure | None, Diagnostic]]:
        """What is wrong, and with which of the figures; None for one that is not there."""
        shown: set[int] = set()
        strangers: list[TreeFigure] = []
        for figure in figures:
            if figure.number is None:
                strangers.append(figure)
                continue
            if figure.number in shown:
                yield figure, self._twice(figure.number)
            shown.add(figure.number)
            if (finding := self._changed(figure, figure.number)) is not None:
                yield figure, finding
        for number, link in enumerate(self.links):
            if number in shown:
                continue
            stranger = self._in_place_of(link, strangers)
            if stranger is None:
                yield None, not_shown(link, self._place(link))
            else:
                strangers.remove(stranger)
                yield stranger, self._redirected(link, stranger)
        for stranger in strangers:
            address = stranger.element.get("href", "")
            yield stranger, not_proofed(self._shown(stranger.element), address, self.places.find(address))

    def _place(self, link: Link) -> Position:
        return self.places.at(link.label_start)

    def _twice(self, number: int) -> Diagnostic:
        link = self.links[number]
        return FIGURE_NOT_PROOFED.at(
            self._place(link),
            found=f"{quoted(link)} more than once on the page",
            expected="each figure once",
            length=len(link.label),
        )

    def _changed(self, figure: TreeFigure, number: int) -> Diagnostic | None:
        """A label or a title that is another one now. What disagrees is refused in any case."""
        link = self.links[number]
        title = self._plain(figure.element.get("title", ""))
        judged = (link.title or "") if link.form is LinkForm.INLINE else ""
        if fold(title) != fold(judged):
            return FIGURE_CHANGED.at(
                self._place(link),
                found=f"the title “{shorten(title)}”",
                expected=f"the title that was judged: {quoted(link)}",
                help="write the title in the link itself",
                length=len(link.label),
            )
        if not self.agreeing[number]:
            return None
        shown = self._shown(figure.element)
        if fold(shown) == fold(plain(link.label).text):
            return None
        return FIGURE_CHANGED.at(
            self._place(link),
            found=f"“{shorten(shown)}” on the page",
            expected=f"“{shorten(link.label)}”, which was judged",
            length=len(link.label),
        )

    def _in_place_of(self, link: Link, strangers: Sequence[TreeFigure]) -> TreeFigure | None:
        """The link of the tree that shows a link's label under another address."""
        label = fold(plain(link.label).text)
        return next((figure for figure in strangers if fold(self._shown(figure.element)) == label), None)

    def _redirected(self, link: Link, stranger: TreeFigure) -> Diagnostic:
        address = stranger.element.get("href", "")
        return FIGURE_CHANGED.at(
            self._place(link),
            found=f"the address {shorten(address)}",
            expected=f"the address that was judged: {quoted(link)}",
            length=len(link.label),
        )

    def _shown(self, element: Element) -> str:
        """What a reader sees of an element."""
        return self._plain("".join(element.itertext()))

    def _plain(self, text: str) -> str:
        text = self.marks.take_out(_STASHED.sub(self._unstashed, text), self.links)
        return _ESCAPED.sub(lambda match: chr(int(match[1])), text)

    def _unstashed(self, match: re.Match[str]) -> str:
        """Entities are kept in the stash of raw HTML, and tags, which show nothing."""
        stashed = self.stash[int(match[1])] if int(match[1]) < len(self.stash) else ""
        return unescape(_TAG.sub("", stashed)) if isinstance(stashed, str) else ""


def count_places(html: str) -> tuple[int, str]:
    """How many figures a browser finds in a finished page, and the tag that hides some where one does."""
    place = f'<span class="{FIGURE_PLACE}">'
    hiding = next((match[0] for match in _UNREAD.finditer(html) if place in match[0]), "")
    tag = _TAG.match(hiding)
    return _UNREAD.sub("", html).count(place), tag[0] if tag else ""
