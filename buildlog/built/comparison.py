"""A built site against its proof: each card and each figure has to be on its page, as it was judged, and what
its pages lead to has to be there.

The files of the built site are read as a browser finds them, so that it does not matter which generator wrote
them, and whether its addresses are those of files or of folders.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import unquote, urlsplit

from buildlog.book.book import Page
from buildlog.book.repeating import hash_lines
from buildlog.built.html import FinishedPage
from buildlog.built.places import built_page
from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.figures.labels import plain
from buildlog.kinds.results import card_anchor
from buildlog.proof.finished_page import bears_scheme, fold
from buildlog.proof.judging import Entry
from buildlog.proof.proof import Report
from buildlog.proof.rendered_page import (
    BLOCK_NOT_SHOWN,
    FIGURE_CHANGED,
    FIGURE_NOT_PROOFED,
    FIGURE_NOT_SHOWN,
)
from buildlog.reading.markdown.scanner import BLOCK_NOT_READ
from buildlog.reading.markers import read_markers

_NO_PAGE = "-"
"""How the extension calls a text of which it was not told the page."""
PAGE_NOT_BUILT = declare(
    "page-not-built",
    "a page with figures is not in the built site",
    why="What was proofed is not what is published.",
    mend="Build the site again, and name the folder that the generator writes to.",
    example="buildlog proof --built site, before the site was built",
)
PAGE_NOT_COMPUTED = declare(
    "page-not-computed",
    "a built page has none of its cards and figures",
    why="The generator has published blocks as code and figures as links that lead nowhere.",
    mend="Name the Markdown extension buildlog in the generator's settings, and build the site again.",
    example="a site built by a generator that passes over MkDocs plugins, without the extension",
)
PAGE_STALE = declare(
    "page-stale",
    "a built page was computed from other inputs than were proofed",
    why="A reader sees the results of an earlier state: generators keep pages whose own files are the same.",
    mend="Build the site again without what the generator has kept, and let it watch the content folder.",
    example="a page that Zensical has kept, after a data file of the page was changed",
)
LIST_NOT_SHOWN = declare(
    "list-not-shown",
    "a list is not on the built page",
    why="Where its marker stands, readers see nothing.",
    mend="Name the Markdown extension buildlog in the generator's settings, and build the site again.",
    example='<div data-buildlog="ledger"></div> in the finished page',
)
BLOCK_AS_CODE = declare(
    "block-as-code",
    "a built page shows a calculation block as code",
    why="Nothing computed the block: its fence is not quite ours, or the proof has not read the page.",
    mend="Write ```yaml calc and nothing more where the block begins. A page that the proof has not read "
    "belongs into the content folder, or is to be taken out of the site.",
    example="a page that a plugin has made, with a yaml calc block in it",
)
DEAD_LINK = declare(
    "dead-link",
    "a built page leads to a file or a place of ours that is not there",
    why="A reader who wants to follow a figure, or to take away its data, finds nothing.",
    mend="Run buildlog files on the built site, or leave out files: true of the extension's entry.",
    example="the workshop sheet of a page, where buildlog files was not run after the build",
)

# What Markdown without our extension makes of the fence; one that is quoted has its marks.
_AS_CODE = re.compile(
    r"\s*yaml +calc[ \t]*\n|\s*(?:ya?ml\b[^\n]*)?\bcalc\b[^\n]*\n(?:.*\n)?kind: ", re.IGNORECASE
)
_TAG = re.compile("<[^<>]*>")
_LINES = 3  # of a block, by which it is told from others
_OUR_FILES = re.compile(r"(?:^|/)assets/buildlog[-./]|-sheet\.html$")
_OUR_PLACES = ("calc-", "figure.", "source-", "term-")


def compare_built(report: Report, site: Path, shown: str) -> list[Diagnostic]:
    """What a built site shows otherwise than it was proofed. `shown` is how its folder is called."""
    return list(_BuiltSite(report, site, shown).findings())


class _BuiltSite:
    """The finished pages of a site, each read when it is first wanted."""

    def __init__(self, report: Report, site: Path, shown: str) -> None:
        self.report = report
        self.site = site
        self.shown = shown
        self.files = {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}
        self._read: dict[str, FinishedPage] = {}

    def page(self, path: str) -> FinishedPage:
        if path not in self._read:
            self._read[path] = FinishedPage((self.site / path).read_text("utf-8", "replace"))
        return self._read[path]

    def findings(self) -> Iterator[Diagnostic]:
        """Page by page of the proof, and then what stands on the others."""
        pages = self.report.book.pages
        entries: dict[str, list[Entry]] = {}
        for entry in self.report.entries:
            if entry.judged is not None and entry.anchor:  # what its page shows
                entries.setdefault(entry.page, []).append(entry)
        places = {path: key for key in pages if (path := built_page(self.site, key)) is not None}
        built = {key: path for path, key in places.items()}
        for key in self.report.pages:
            if not pages[key].is_ours:
                continue
            if key in built:
                yield from self._of_page(pages[key], built[key], entries.get(key, []))
            else:
                yield PAGE_NOT_BUILT.at(
                    Position(pages[key].path),
                    found=f"no page for it in {self.shown}",
                    expected=f"{key}.html or {key}/index.html",
                )
        if len(self.report.pages) < len(self.report.book.published):
            return  # it was asked about some pages only
        for path in sorted(self.files - built_of_ours(places, self.report)):
            if path.endswith(".html"):
                yield from self._of_other_page(path, pages.get(places.get(path, "")))

    def _of_page(self, page: Page, path: str, entries: list[Entry]) -> Iterator[Diagnostic]:
        finished = self.page(path)
        blocks = [block for block in page.blocks if block.id]
        missing = [block for block in blocks if finished.ids.get(card_anchor(block.id), 0) != 1]
        lost = [entry for entry in entries if not finished.ids.get(entry.anchor)]
        markers = [marker for marker in read_markers(page.scanned) if marker.name in finished.markers]
        is_bare = not finished.cards and len(lost) == len(entries) and len(missing) == len(blocks)
        if is_bare and (page.blocks or entries):
            yield PAGE_NOT_COMPUTED.at(
                Position(page.path),
                found=f"{self.shown}/{path} with none of them",
                expected=" and ".join(filter(None, (_count(page.blocks, "card"), _count(entries, "figure")))),
            )
        else:
            for block in missing:
                times = finished.ids.get(card_anchor(block.id), 0)
                yield BLOCK_NOT_SHOWN.at(
                    block.position, found=f"its card {times} times in {self.shown}/{path}", expected="once"
                )
            for entry in lost:
                yield FIGURE_NOT_SHOWN.at(
                    entry.position,
                    found=f"no such figure in {self.shown}/{path}",
                    expected=f"“{shorten(entry.label)}”",
                    length=len(entry.label),
                )
            yield from self._changed(finished, path, entries)
            yield from self._stale(finished, page, path)
            yield from self._left(finished, page, path)
        yield from self._not_read(page, path)
        for marker in markers:
            yield LIST_NOT_SHOWN.at(
                Position(page.path, marker.line, marker.column),
                found=f"its marker in {self.shown}/{path}",
                expected=f"the list “{marker.name}”",
            )
        yield from self._dead_links(finished, page.path, path)

    def _changed(self, finished: FinishedPage, path: str, entries: list[Entry]) -> Iterator[Diagnostic]:
        """Figures whose label is another one."""
        for entry in entries:
            if entry.anchor not in finished.labels or entry.judged is None:
                continue
            written = entry.judged.label if plain(entry.judged.label).text.strip() else entry.judged.text
            label = finished.labels[entry.anchor]
            if fold(label) not in (fold(plain(written).text), fold(entry.judged.text)):
                yield FIGURE_CHANGED.at(
                    entry.position,
                    found=f"“{shorten(label)}” in {self.shown}/{path}",
                    expected=f"“{shorten(written)}”, which was judged",
                    length=len(entry.label),
                )

    def _stale(self, finished: FinishedPage, page: Page, path: str) -> Iterator[Diagnostic]:
        """A page whose inputs, calculators or data were others: it states the hashes of all that it is of."""
        expected = hash_lines(self.report.book, page.key)
        shown = {line for code in finished.code for line in code.splitlines()}
        if expected and expected[0] in shown and not shown.issuperset(expected):
            other = next(line for line in expected if line not in shown)
            found, help = f"other hashes in {self.shown}/{path}", ""
            if other.replace(f" {page.key}#", f" {_NO_PAGE}#") in shown:
                found = f"{self.shown}/{path}, computed without the site around it"
                help = (
                    "the generator did not tell the Markdown extension which page it rendered, and "
                    "MkDocs never does: give it the option page, or use the plugin for MkDocs"
                )
            yield PAGE_STALE.at(Position(page.path), found=found, expected=other, help=help)

    def _left(self, finished: FinishedPage, page: Page | None, path: str) -> Iterator[Diagnostic]:
        """Addresses of ours that still stand in a page: no figure was made of them."""
        for address in finished.addresses:
            if not bears_scheme(address):
                continue
            links = page.read.links if page is not None else ()
            link = next((one for one in links if one.address == unquote(address)), None)
            position = Position(self._named(page, path)) if link is None else link.address_position
            yield FIGURE_NOT_PROOFED.at(
                position,
                found=f"a link to {shorten(address)} in {self.shown}/{path}",
                expected="a figure, or no such link",
            )

    def _not_read(self, page: Page, path: str) -> Iterator[Diagnostic]:
        """Blocks whose fence is nearly ours, at their places in the text, where the page shows their
        lines."""
        lines = page.scanned.lines.raw
        shown = ""
        for finding in (*self.report.findings, *self.report.known):
            if finding.code != BLOCK_NOT_READ or finding.position.path != page.path:
                continue
            shown = shown or _words((self.site / path).read_text("utf-8", "replace"))
            inside = [line for line in lines[finding.position.line :] if line.strip()]
            block = " ".join(" ".join(inside[:_LINES]).split())
            if block and block in shown:
                yield BLOCK_AS_CODE.at(
                    finding.position,
                    found=f"the block below “{shorten(finding.found)}” as text in {self.shown}/{path}",
                    expected="its card",
                    length=finding.length,
                )

    def _of_other_page(self, path: str, page: Page | None) -> Iterator[Diagnostic]:
        """A finished page that has nothing of ours in its file, or that the proof knows no file of."""
        html = (self.site / path).read_text("utf-8", "replace")
        not_read = list(self._not_read(page, path)) if page is not None else []
        yield from not_read
        if not any(sign in html for sign in ("buildlog", "yaml", "calc", "cite:", "told:")):
            return
        finished = self.page(path)
        yield from self._left(finished, page, path)
        if not not_read and any(_AS_CODE.match(code) for code in finished.code):
            yield BLOCK_AS_CODE.at(
                Position(self._named(page, path)),
                found=f"a block as code in {self.shown}/{path}",
                expected="its card",
            )
        for name in finished.markers:
            yield LIST_NOT_SHOWN.at(
                Position(self._named(page, path)),
                found=f"its marker in {self.shown}/{path}",
                expected=f"the list “{shorten(name)}”",
            )
        yield from self._dead_links(finished, self._named(page, path), path)

    def _named(self, page: Page | None, path: str) -> str:
        return page.path if page is not None else f"{self.shown}/{path}"

    def _dead_links(self, finished: FinishedPage, where: str, path: str) -> Iterator[Diagnostic]:
        """Links to files of ours, and to cards, figures and sources, that lead nowhere: one a page."""
        dead = {address: lost for address in finished.addresses if (lost := self._lost(path, address))}
        if not dead:
            return
        address, expected = next(iter(dead.items()))
        more = f" and {len(dead) - 1} more" if len(dead) > 1 else ""
        yield DEAD_LINK.at(
            Position(where),
            found=f"a link to {shorten(address)}{more} in {self.shown}/{path}",
            expected=expected,
        )

    def _lost(self, path: str, address: str) -> str:
        """What an address of a page leads to if it is ours and not there, "" otherwise."""
        target, anchor = self._target(path, address)
        if target is None:
            return ""
        to_place = anchor.startswith(_OUR_PLACES)
        if target not in self.files:  # what is not ours is the generator's own matter
            return f"{self.shown}/{shorten(target)}" if to_place or _OUR_FILES.search(target) else ""
        if to_place and target.endswith(".html") and anchor not in self.page(target).ids:
            return f"“{shorten(anchor)}” in {self.shown}/{shorten(target)}"
        return ""

    def _target(self, path: str, address: str) -> tuple[str | None, str]:
        """The file under the site that an address of a page leads to, and the place in it; None where it
        leads elsewhere."""
        try:
            parts = urlsplit(address)
        except ValueError:
            return None, ""
        if parts.scheme or parts.netloc or parts.path.startswith("/"):
            return None, ""
        target = path
        if parts.path:
            target = posixpath.normpath(posixpath.join(posixpath.dirname(path), unquote(parts.path)))
        if target.startswith(".."):
            return None, ""
        if parts.path and target not in self.files:
            index = posixpath.normpath(posixpath.join(target, "index.html"))
            target = index if index in self.files else target
        return target, unquote(parts.fragment)


def built_of_ours(places: dict[str, str], report: Report) -> set[str]:
    """The finished files of the pages that were compared."""
    pages = report.book.pages
    return {path for path, key in places.items() if key in report.pages and pages[key].is_ours}


def _words(html: str) -> str:
    """A page without its tags, a blank between two words."""
    return " ".join(unescape(_TAG.sub("", html)).split())


def _count(things: object, name: str) -> str:
    count = len(things)  # type: ignore[arg-type]
    return f"{count} {name}{'' if count == 1 else 's'}" if count else ""
