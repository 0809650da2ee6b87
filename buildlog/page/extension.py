"""The Markdown extension: puts computed cards and checked figures into a page. It inserts, and no more.

What is right or wrong is settled by the book and the proof, which read the source files themselves; so a
page that a site generator takes from its cache loses nothing. Fences marked ``yaml calc`` are found by our
own scanner and swapped for placeholders before any other extension looks for fences, which is why they
work in lists, quotes, admonitions and tabs with or without pymdownx.superfences. Links to ``calc:``,
``cite:`` and ``told:`` become figures once all inline markup is done.

Options: `content` (the folder of pages), `page` (which of them this is, its path under `content` without
``.md``; without it the text itself is computed), `style` (put the style sheet into the page), `findings`
(list the page's errors and warnings at its top).
"""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from markdown import Extension, Markdown
from markdown.preprocessors import Preprocessor
from markdown.treeprocessors import Treeprocessor
from markdown.util import AtomicString

from buildlog.book.book import Book, Page
from buildlog.charts.data import System
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.kinds.declaration import ChartSpec
from buildlog.kinds.results import BlockResult
from buildlog.page.furniture import PageFurniture, link_cautions, place_surroundings
from buildlog.page.insertion import DeferredHtml, TreeInserter, place_blocks
from buildlog.proof.judging import Judged, Places, judge_figure
from buildlog.proof.overview import Overview
from buildlog.proof.proof import proof
from buildlog.reading.blocks import DUPLICATE_BLOCK
from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.markdown.scanner import SCHEMES, scan
from buildlog.reading.settings import Settings
from buildlog.render import (
    LinkPiece,
    Rendered,
    render_card,
    render_figure,
    render_findings,
    stylesheet,
)
from buildlog.render.card import cautions_of
from buildlog.render.identity_cache import IdentityCache

IN_MEMORY = "-"
"""The key of a page that is no file."""

# Below front matter (27), above fenced code (25) and raw HTML (20).
_BLOCKS_PRIORITY = 26
# After all that changes text (smart symbols 6.1, smarty 6), before the table of contents and the list of
# anchors (5), so that both know the cards' ids.
_CARDS_PRIORITY = 5.5
# After the table of contents and the page's title (1), before links are made relative (0).
_HEADINGS_PRIORITY = 0.5
_HEADINGS = frozenset(("h1", "h2", "h3", "h4", "h5", "h6"))


class Shelf:
    """The book of a content folder, read again only when a file of it has changed.

    A generator without our plugin makes a new extension for every page; without this each of them would
    compute the whole site.
    """

    def __init__(self) -> None:
        self._kept: tuple[Path, tuple[tuple[str, int, int], ...], Book] | None = None

    def book(self, content: Path) -> Book:
        signature = tuple(
            (path.as_posix(), status.st_mtime_ns, status.st_size)
            for path in sorted(content.rglob("*"))
            if path.suffix in (".md", ".yml", ".csv") and path.is_file()
            for status in (path.stat(),)
        )
        if self._kept is None or self._kept[:2] != (content, signature):
            self._kept = (content, signature, Book.open(content))
        return self._kept[2]


_SHELF = Shelf()


class BuildlogExtension(Extension):
    """The extension. A site generator's adapter sets `book`, `page` and `findings` instead of the options,
    and `published`, the paths under content of the files that it publishes for the pages to lead to.

    `unexpected` collects the errors that rendering met; an adapter that has stopped at the proof's errors
    finds there what other extensions and plugins have changed. `drawing` is called before each chart. `kept`
    outlives a build; where there is a `later`, the adapter finishes the pages with it. `apart` collects the
    pages that show something of which no proof has told: they rest on more than their file.
    """

    def __init__(self, **options: Any) -> None:
        self.config = {
            "content": ["", "folder of the pages"],
            "page": ["", "path of this page under the folder, without .md"],
            "style": [True, "put the style sheet into the page"],
            "findings": [True, "list the errors and warnings of the page at its top"],
        }
        self.book: Book | None = None
        self.page = ""
        self.findings: Mapping[str, Sequence[Diagnostic]] | None = None
        self.overview: Overview | None = None
        self.published: Collection[str] = ()
        self.unexpected: list[Diagnostic] = []
        self.drawing: Callable[[], None] = lambda: None
        self.kept = IdentityCache()
        self.later: DeferredHtml | None = None
        self.apart: set[str] = set()
        super().__init__(**options)

    def extendMarkdown(self, md: Markdown) -> None:
        """Register the three steps; they share what is known of the page."""
        sheet = PageInWork(self, md)
        md.preprocessors.register(_Blocks(md, sheet), "buildlog_blocks", _BLOCKS_PRIORITY)
        md.treeprocessors.register(_Cards(md, sheet), "buildlog_cards", _CARDS_PRIORITY)
        md.treeprocessors.register(_Headings(md, sheet), "buildlog_headings", _HEADINGS_PRIORITY)

    def overview_of(self, book: Book) -> Overview:
        """The whole site in view, worked out once for a book."""
        if self.overview is None or self.overview.book is not book:
            self.overview = Overview(book)
        return self.overview

    def page_of(self, md: Markdown) -> str:
        """Which page this is: as set, as configured, or as the generator's own context says."""
        named = self.page or str(self.getConfig("page"))
        if not named and "rendering_context" in md.preprocessors:
            context = md.preprocessors["rendering_context"]
            named = str(getattr(getattr(context, "page", None), "path", "") or "")
        return named.removesuffix(".md")

    def open(self, md: Markdown, scanned: ScannedPage) -> tuple[Book, str]:
        """The book, and the key of the page in it whose blocks are those scanned."""
        content = str(self.getConfig("content"))
        if self.book is not None:
            book = self.book
        elif content:
            book = _SHELF.book(Path(content))
        else:
            book = Book(settings=Settings(content=Path(".no-content-folder")), root=Path.cwd())
        key = self.page_of(md) or IN_MEMORY
        page = book.pages.get(key)
        if page is None or _bodies(page.scanned) != _bodies(scanned):
            # Not a file of the folder, or another extension has changed its blocks: take what is here.
            book = book.with_page(key, scanned.text)
        return book, key


def makeExtension(**options: Any) -> BuildlogExtension:
    """What Python-Markdown calls for ``extensions=["buildlog.page.extension"]``."""
    return BuildlogExtension(**options)


def _bodies(scanned: ScannedPage) -> list[list[str]]:
    """The calculation fences' bodies, as they are after Python-Markdown has widened tabs."""
    return [
        [line.expandtabs(4).rstrip() for line in fence.body_lines]
        for fence in scanned.fences
        if fence.is_calc and fence.closed
    ]


class PageInWork:
    """What the steps share of one page. Filled by the first, used up by the last."""

    def __init__(self, extension: BuildlogExtension, md: Markdown) -> None:
        self.extension = extension
        self.md = md
        self.book: Book | None = None
        self.key = ""
        self.around: PageFurniture | None = None
        self.shift = 0
        self.cards: dict[int, tuple[Rendered, str]] = {}
        self.links: dict[str, list[tuple[str, str]]] = {}
        self.kept = IdentityCache()
        self.inserter = TreeInserter(md, self.href, lambda: self.stand_in if extension.later else None)

    def begin(self, text: str) -> ScannedPage:
        """Read a page's text. What looks like front matter here is none any more: an empty line hides it."""
        self.shift = 1 if text.startswith("---") else 0
        name = ("scanned", self.extension.page_of(self.md))
        scanned = self.extension.kept.get(
            name, (), lambda: scan("\n" * self.shift + text, IN_MEMORY), like=text
        )
        self.book, self.key = self.extension.open(self.md, scanned)
        overview = self.extension.overview_of(self.book)
        # Of a page that another extension has changed, nothing is kept: it is not the book's.
        proofed = self.book is self.extension.book and overview.made is not None
        self.kept = self.extension.kept if proofed else IdentityCache()
        if not proofed:
            self.extension.apart.add(self.key)
        self.around = PageFurniture(overview, self.page, self.extension.published, self.kept)
        self.cards = {}
        self.links = {}
        for link in reversed(scanned.links):
            self.links.setdefault(link.address, []).append((link.label, link.title or ""))
        return scanned

    def draw(self, spec: ChartSpec, anchor: str, system: System) -> str:
        """Draw a chart; finished ones are kept beside the site, never in a folder that is watched."""
        from buildlog.charts import drawing  # brings matplotlib, which only a page with a chart wants

        assert self.book is not None
        self.extension.drawing()
        return drawing.draw(spec, anchor=anchor, system=system, cache_folder=self.book.root / drawing.CACHE)

    def href(self, link: LinkPiece) -> str:
        """Where a link leads: to this page, or to another one's source file, for the generator to map."""
        if not link.file and (link.page is None or link.page == self.key) and link.anchor:
            return f"#{link.anchor}"
        path = link.file or f"{link.page or self.key}.md"
        anchor = f"#{link.anchor}" if link.anchor else ""
        return posixpath.relpath(path, posixpath.dirname(self.key) or ".") + anchor

    def stand_in(self, rendered: Rendered) -> str:
        """What stands in the page for pieces that the adapter puts in later."""
        assert self.extension.later is not None
        return self.extension.later.stand_in(self.key, rendered)

    def raw(self, rendered: Rendered) -> str:
        """Pieces as HTML for the stash, where nothing of a tree is wanted."""
        return self.stand_in(rendered) if self.extension.later else rendered.html(self.href)

    @property
    def page(self) -> Page:
        assert self.book is not None
        return self.book.pages[self.key]

    def judge(self, element: Element) -> Judged:
        """The judgement on a link of the page, by its label as the author wrote it."""
        assert self.book is not None
        address = element.get("href", "")
        written = self.links.get(address)
        label, title = written.pop() if written else ("".join(element.itertext()), element.get("title", ""))
        judged = self.extension.overview_of(self.book).judged(self.key, label, address, title)
        if judged is None:
            self.extension.apart.add(self.key)
            place = Places.all_at(Position(self.page.path))
            judged = judge_figure(
                self.book, self.key, label=label, address=address, title=title, places=place
            )
        self.note(judged.diagnostics)
        return judged

    def note(self, found: Sequence[Diagnostic]) -> None:
        """Keep errors met while rendering: whoever has proofed the files knows whether they are news."""
        self.extension.unexpected += [one for one in found if one.severity is Severity.ERROR]

    def findings(self) -> list[Diagnostic]:
        """Errors and warnings of this page."""
        assert self.book is not None
        known = self.extension.findings
        found: Sequence[Diagnostic] = (
            proof(self.book, (self.key,)).findings if known is None else known.get(self.page.path, ())
        )
        return [one for one in found if one.severity < Severity.NOTE and one.position.path == self.page.path]


class _Blocks(Preprocessor):
    """Swaps every calculation fence for a placeholder of its card."""

    def __init__(self, md: Markdown, sheet: PageInWork) -> None:
        super().__init__(md)
        self.sheet = sheet

    def run(self, lines: list[str]) -> list[str]:
        sheet = self.sheet
        scanned = sheet.begin("\n".join(lines))
        assert sheet.book is not None
        assert sheet.around is not None
        # an unclosed one is a finding, and its text stands as it was written
        fences = [fence for fence in scanned.fences if fence.is_calc and fence.closed]
        seen: set[str] = set()
        cautioned = sheet.around.cautioned
        replaced: list[tuple[int, int, str]] = []
        for place, (fence, block) in enumerate(zip(fences, sheet.page.blocks, strict=True)):
            result = sheet.book.by_place[block.position]
            if result.id in seen:
                result = self._again(result)
            seen.add(result.id)
            sheet.note(result.faults)
            card = sheet.kept.get(
                ("card", sheet.key, place),
                (result,),
                partial(render_card, result, draw=sheet.draw, cautioned=cautioned),
                like=cautioned,
            )
            cautioned = {**cautions_of(result), **cautioned}
            first, last = fence.line - 1 - sheet.shift, fence.end_line - sheet.shift
            number = self.md.htmlStash.html_counter
            placeholder = self.md.htmlStash.store(sheet.raw(card))
            sheet.cards[number] = (card, "\n".join(lines[first:last]))
            replaced.append((first, last, fence.prefix + placeholder))
        for marker, rendered in sheet.around.markers(scanned, sheet.draw):
            at = marker.line - 1 - sheet.shift
            number = self.md.htmlStash.html_counter
            replaced.append((at, at + 1, self.md.htmlStash.store(sheet.raw(rendered))))
            sheet.cards[number] = (rendered, lines[at])
        kept: list[str] = []
        at = 0
        for first, last, line in sorted(replaced):
            kept += [*lines[at:first], line]
            at = last
        return kept + lines[at:]

    def _again(self, result: BlockResult) -> BlockResult:
        """A block whose id another one has: its faults only, so that no two elements share an id."""
        line = result.position.line
        faults = [
            one for one in self.sheet.page.faults if one.code == DUPLICATE_BLOCK and one.position.line > line
        ]
        return replace(result, id="", cases={}, charts=(), faults=(*faults[:1], *result.faults))


class _Cards(Treeprocessor):
    """Puts the cards, the figures outside headings, the findings and the sources into the page."""

    def __init__(self, md: Markdown, sheet: PageInWork) -> None:
        super().__init__(md)
        self.sheet = sheet

    def run(self, root: Element) -> None:
        sheet, inserter = self.sheet, self.sheet.inserter
        if sheet.book is None or sheet.around is None:
            return
        place_blocks(root, sheet.cards, inserter)
        link_cautions(root, sheet.around.cautions)
        judged = [(element, heading, sheet.judge(element)) for element, heading in _figures(root)]
        every = [*sheet.around.judged, *(one for _, _, one in judged)]
        sources = {one.source.id: one.source for one in every if one.source is not None}
        numbers = {name: number for number, name in enumerate(sources, start=1)}
        inserter.waiting = []
        for count, (element, heading, one) in enumerate(judged, start=1):
            if not "".join(element.itertext()).strip() and not len(element):
                element.text = AtomicString(one.text)
            number = numbers.get(one.source.id, 0) if one.source else 0
            note = f"buildlog-note-{count}"
            figure = sheet.kept.get(
                (note, sheet.key),
                (one,),
                partial(render_figure, one, sheet.key, note, number=number, in_heading=heading),
                like=(number, heading),
            )
            if heading:
                inserter.waiting.append((element, figure))
            else:
                inserter.into_figure(element, figure)
        findings = sheet.findings() if sheet.extension.getConfig("findings") else []
        top = [render_findings(findings) if findings else None, sheet.around.panel(numbers)]
        ending = sheet.around.ending(list(sources.values()))
        place_surroundings(root, inserter, top, ending)
        if sheet.extension.getConfig("style") and (sheet.cards or judged or any(top) or ending):
            root.append(inserter.block(Rendered((f"<style>\n{stylesheet()}</style>",))))


class _Headings(Treeprocessor):
    """Puts in what the table of contents must not see: figures in headings, and no ids twice."""

    def __init__(self, md: Markdown, sheet: PageInWork) -> None:
        super().__init__(md)
        self.sheet = sheet

    def run(self, root: Element) -> None:
        inserter = self.sheet.inserter
        for element, figure in inserter.waiting:
            inserter.into_figure(element, figure)
        inserter.finish()
        self.sheet.book = None


def _figures(root: Element) -> list[tuple[Element, bool]]:
    """Every link that is a figure, in the page's order, and whether it stands in a heading."""
    found: list[tuple[Element, bool]] = []
    waiting: list[tuple[Element, bool]] = [(root, False)]
    while waiting:
        element, heading = waiting.pop()
        if element.tag == "a" and element.get("href", "").startswith(SCHEMES):
            found.append((element, heading))
        inside = heading or element.tag in _HEADINGS
        waiting.extend((child, inside) for child in reversed(element))
    return found
