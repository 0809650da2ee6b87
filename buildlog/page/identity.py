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
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from html import escape, unescape
from xml.etree.ElementTree import Element

from markdown.util import HTML_PLACEHOLDER

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.figures.labels import plain
from buildlog.files.text import expand
from buildlog.reading.markdown.page import Link, LinkForm, ScannedPage
from buildlog.reading.markdown.scanner import SCHEMES

FIGURE_NOT_SHOWN = declare(
    "figure-not-shown",
    "a figure that was judged is not on the page",
    why="The ledger would list a figure that no reader sees.",
    mend="Write the place more plainly: code, raw HTML and footnotes defined twice hide what is in them.",
    example="an extension that the proof does not know, which takes the paragraph out of the page",
)
BLOCK_NOT_SHOWN = declare(
    "block-not-shown",
    "a calculation block has no card on the page, or more than one",
    why="Figures rest on it, and a reader who follows them to its card finds none.",
    mend="Write the place more plainly: code, raw HTML and extensions hide what is in them.",
    example="a block in a tab, on a site that has no extension for tabs",
)
FIGURE_NOT_PROOFED = declare(
    "figure-not-proofed",
    "the page shows a figure that was not proofed",
    why="It looks checked, and nothing has compared it with anything.",
    mend="Write it as a link in the page's own text: [LABEL](ADDRESS).",
    example="a figure in a text that another file brings into the page",
)
FIGURE_CHANGED = declare(
    "figure-changed",
    "the page shows a figure otherwise than it was judged",
    why="What a reader sees is not what was compared.",
    mend="Take out what changes it: an attribute list, an abbreviation, an extension or a plugin.",
    example="[39 N·m](told:last-owner){href=cite:manual}",
)

_STASHED = re.compile(HTML_PLACEHOLDER % "([0-9]+)")
_ESCAPED = re.compile("\x02([0-9]+)\x03")
_TAG = re.compile(r"<[^<>]*>")
_LEADS_TO = re.compile(
    r"<[a-z][^<>]*?\s(?:href|src)\s*=\s*(?:\"([^\"]*)\"|'([^']*)'|([^\s\"'<>]+))", re.IGNORECASE
)
# Typography that extensions write in place of what an author typed: it says the same.
_SAME = str.maketrans(
    {
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212", "-"),
        **dict.fromkeys('“”„«»"″', "'"),
        **dict.fromkeys("‘’‚′", "'"),
        "\u2044": "/",
        "±": "+/-",
        "→": "->",
    }
)
_NO_MATTER = re.compile(r"[\s*_`^~\\]+")
_HYPHENS = re.compile(r"-{2,}")


class FigureMarks:
    """Writes the number of a link in place of its address, and finds it again. Nobody can write such a mark
    into a page beforehand."""

    def __init__(self) -> None:
        # Letters and digits only: no extension reads them as anything.
        self._word = f"buildlog{secrets.token_hex(8)}n"
        self._pattern = re.compile(f"{self._word}([0-9]+)x", re.IGNORECASE)

    def mark(self, number: int) -> str:
        return f"{self._word}{number}x"

    def write(self, link: Link, number: int) -> tuple[int, int, str]:
        """Where in the page's text something is to be replaced, and what stands there then."""
        if link.form is LinkForm.AUTOMATIC:
            return link.start, link.end, f"<{self.mark(number)}://>"
        return link.label_end, link.end, f"]({self.mark(number)})"

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
class PagePlaces:
    """Where in a page's file a place of the text is that is being rendered: the text without front matter,
    which other plugins may have changed. `first` is the file's line that the text begins with, from 0."""

    path: str
    file_lines: Sequence[str]
    first: int
    scanned: ScannedPage
    shift: int

    @classmethod
    def of(cls, path: str, scanned: ScannedPage, shift: int, proofed: ScannedPage | None) -> PagePlaces:
        first = 0
        lines: Sequence[str] = scanned.lines.raw[shift:]
        if proofed is not None:
            lines = proofed.lines.raw
            if proofed.front_matter is not None:
                first = proofed.front_matter.end_line
                while first < len(lines) - 1 and not lines[first]:
                    first += 1
        return cls(path=path, file_lines=lines, first=first, scanned=scanned, shift=shift)

    def at(self, offset: int) -> Position:
        """The place in the file; where its line is not the file's, the first line that differs."""
        here = self.scanned.lines.position(offset, self.path)
        line = here.line - 1 - self.shift
        rendered = self.scanned.lines.raw[self.shift :]
        if self._is_same(line, rendered):
            return Position(self.path, self.first + line + 1, here.column)
        differing = next((at for at in range(line) if not self._is_same(at, rendered)), line)
        return Position(self.path, min(self.first + differing + 1, len(self.file_lines)))

    def _is_same(self, line: int, rendered: Sequence[str]) -> bool:
        at = self.first + line
        return at < len(self.file_lines) and expand(self.file_lines[at]).strip() == rendered[line].strip()

    def find(self, address: str) -> Position:
        """Where an address stands that is no scanned link's, as far as that can be told."""
        text = self.scanned.text
        taken = [(link.address_start, link.address_end) for link in self.scanned.links]
        for match in re.finditer(re.escape(address), text, re.IGNORECASE):
            if not any(low <= match.start() < high for low, high in taken):
                return self.at(match.start())
        return Position(self.path)


def bears_scheme(address: str) -> bool:
    """Whether a browser, or a reader, would take an address for one of ours."""
    return unescape(address).strip().lower().startswith(SCHEMES)


def compare_with_proof(
    proofed: ScannedPage, rendered: ScannedPage, places: PagePlaces
) -> Iterator[Diagnostic]:
    """The figures of the text that is rendered against those of the file that was proofed."""
    judged = _links_of_text(proofed)
    ours, theirs = ([_key(link) for link in links] for links in (judged, rendered.links))
    if ours == theirs:
        return
    matcher = SequenceMatcher(None, ours, theirs, autojunk=False)
    for change, low, high, begin, end in matcher.get_opcodes():
        if change == "equal":
            continue
        lost, added = judged[low:high], rendered.links[begin:end]
        paired = min(len(lost), len(added))
        for link, shown in zip(lost[:paired], added[:paired], strict=True):
            yield FIGURE_CHANGED.at(
                link.label_position, found=_quoted(shown), expected=_quoted(link), length=len(link.label)
            )
        for link in lost[paired:]:
            yield not_shown(link, link.label_position)
        for link in added[paired:]:
            yield not_proofed(link.label, link.address, places.at(link.label_start))


def _links_of_text(page: ScannedPage) -> list[Link]:
    """The links of a page's text: those of its front matter stand in the panel, which we write ourselves."""
    if page.front_matter is None:
        return list(page.links)
    return [link for link in page.links if link.position.line > page.front_matter.end_line]


def _key(link: Link) -> tuple[str, str, str]:
    return " ".join(link.label.split()), link.address, " ".join((link.title or "").split())


def _quoted(link: Link) -> str:
    title = f' "{link.title}"' if link.title else ""
    return shorten(f"[{link.label}]({link.address}{title})")


def compare_cards(placed: Counter[int], expected: Mapping[int, Position]) -> Iterator[Diagnostic]:
    """The cards that were put into a page, by number, against those that it should have and their blocks."""
    for number, position in expected.items():
        if placed[number] != 1:
            yield BLOCK_NOT_SHOWN.at(
                position, found=f"its card {placed[number]} times on the page", expected="its card once"
            )


def not_shown(link: Link, position: Position) -> Diagnostic:
    """The finding on a figure that the page does not show."""
    return FIGURE_NOT_SHOWN.at(
        position, found="no such figure on the page", expected=_quoted(link), length=len(link.label)
    )


def not_proofed(label: str, address: str, position: Position) -> Diagnostic:
    """The finding on a figure of the page that is none of the text's."""
    return FIGURE_NOT_PROOFED.at(
        position,
        found=f"“{shorten(label)}”, which leads to {shorten(address)}",
        expected="only figures that the proof has read",
        length=len(address),
    )


@dataclass(frozen=True, kw_only=True)
class TreeFigure:
    """A link of the tree that is a figure, or that looks like one: then it has no number."""

    element: Element
    in_heading: bool
    number: int | None


class TreeComparison:
    """Compares the figures of a page's tree with the links that were judged."""

    def __init__(
        self, links: Sequence[Link], places: PagePlaces, stash: Sequence[object], agreeing: Mapping[int, bool]
    ) -> None:
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
            found=f"{_quoted(link)} more than once on the page",
            expected="each figure once",
            length=len(link.label),
        )

    def _changed(self, figure: TreeFigure, number: int) -> Diagnostic | None:
        """A label or a title that is another one now. What disagrees is refused in any case."""
        link = self.links[number]
        if figure.element.get("title") is not None:
            title = figure.element.get("title", "")
            return FIGURE_CHANGED.at(
                self._place(link),
                found=f"the title “{shorten(title)}” in an attribute list",
                expected=f"the title that was judged: {_quoted(link)}",
                help="write the title in the link itself",
                length=len(link.label),
            )
        if not self.agreeing[number]:
            return None
        shown = self._shown(figure.element)
        if _fold(shown) == _fold(plain(link.label).text):
            return None
        return FIGURE_CHANGED.at(
            self._place(link),
            found=f"“{shorten(shown)}” on the page",
            expected=f"“{shorten(link.label)}”, which was judged",
            length=len(link.label),
        )

    def _in_place_of(self, link: Link, strangers: Sequence[TreeFigure]) -> TreeFigure | None:
        """The link of the tree that shows a link's label under another address."""
        label = _fold(plain(link.label).text)
        return next((figure for figure in strangers if _fold(self._shown(figure.element)) == label), None)

    def _redirected(self, link: Link, stranger: TreeFigure) -> Diagnostic:
        address = stranger.element.get("href", "")
        return FIGURE_CHANGED.at(
            self._place(link),
            found=f"the address {shorten(address)}",
            expected=f"the address that was judged: {_quoted(link)}",
            length=len(link.label),
        )

    def _shown(self, element: Element) -> str:
        """What a reader sees of an element."""
        text = _STASHED.sub(self._unstashed, "".join(element.itertext()))
        return _ESCAPED.sub(lambda match: chr(int(match[1])), text)

    def _unstashed(self, match: re.Match[str]) -> str:
        """Entities are kept in the stash of raw HTML, and tags, which show nothing."""
        stashed = self.stash[int(match[1])] if int(match[1]) < len(self.stash) else ""
        return unescape(_TAG.sub("", stashed)) if isinstance(stashed, str) else ""


def _fold(text: str) -> str:
    """A label without what typography changes, and without marks of emphasis."""
    text = unicodedata.normalize("NFKC", text.translate(_SAME)).translate(_SAME)
    return _HYPHENS.sub("-", _NO_MATTER.sub("", _TAG.sub("", text)))


def find_addresses(html: str) -> Iterator[str]:
    """The addresses of ours that a finished page still leads to."""
    for match in _LEADS_TO.finditer(html):
        address = next(filter(None, match.groups()), "")
        if bears_scheme(address):
            yield address
