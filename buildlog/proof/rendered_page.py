"""The figures of a page as a site renders it against those that were judged: its findings, and their places.

What renders the page tells what it has put where; see `buildlog.page.identity`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.files.text import expand
from buildlog.reading.markdown.page import Link, ScannedPage

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
    mend="Write it as a link in the page's own text.",
    example="a figure in a text that another file brings into the page",
)
FIGURE_CHANGED = declare(
    "figure-changed",
    "the page shows a figure otherwise than it was judged",
    why="What a reader sees is not what was compared.",
    mend="Take out what changes it: an attribute list, an abbreviation, an extension or a plugin.",
    example="[39 N·m](told:last-owner){href=cite:manual}",
)


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
                link.label_position, found=quoted(shown), expected=quoted(link), length=len(link.label)
            )
        for link in lost[paired:]:
            yield not_shown(link, link.label_position)
        for link in added[paired:]:
            yield not_proofed(link.label, link.address, places.at(link.label_start))


def _links_of_text(page: ScannedPage) -> list[Link]:
    """The links of a page's text: those of its front matter stand in the panel, which we write ourselves."""
    if page.front_matter is None:
        return list(page.links)
    return [link for link in page.links if link.lines.line_of(link.start) >= page.front_matter.end_line]


def _key(link: Link) -> tuple[str, str, str]:
    return " ".join(link.label.split()), link.address, " ".join((link.title or "").split())


def quoted(link: Link) -> str:
    """A link as it was written, for a finding to show."""
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
        position, found="no such figure on the page", expected=quoted(link), length=len(link.label)
    )


def not_proofed(label: str, address: str, position: Position) -> Diagnostic:
    """The finding on a figure of the page that is none of the text's."""
    return FIGURE_NOT_PROOFED.at(
        position,
        found=f"“{shorten(label)}”, which leads to {shorten(address)}",
        expected="only figures that the proof has read",
        length=len(address),
    )
