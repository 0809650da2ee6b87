"""The Markdown extension: puts computed cards and checked figures into a page. It inserts, and no more.

What is right or wrong is settled by the book and the proof, which read the source files themselves; so a
page that a site generator takes from its cache loses nothing. Fences marked ``yaml calc`` are found by our
own scanner and swapped for placeholders before any other extension looks for fences, which is why they
work in lists, quotes, admonitions and tabs with or without pymdownx.superfences. Links to ``calc:``,
``cite:`` and ``told:`` are numbered then too, and become figures once all inline markup is done; `identity`
says why, and compares the rendered page with what was judged.

Options: `content` (the folder of pages, where the generator does not say it), `page` (which of them this is,
its path under `content` without ``.md``; without it the text itself is computed), `style` (put the style
sheet and the scripts into the page), `findings` (list the page's errors and warnings at its top), `refuse`
(stop the build where the proof of the site finds an error), `files` (lead to the files that ``buildlog
files`` writes beside the built pages).
"""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from markdown import Extension, Markdown
from markdown.postprocessors import Postprocessor
from markdown.preprocessors import Preprocessor
from markdown.treeprocessors import Treeprocessor
from markdown.util import AtomicString

from buildlog.book.book import Book, Page
from buildlog.book.kept_pages import program_of
from buildlog.charts.data import System
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.files.page_names import without_ending
from buildlog.kept.once import kept_or_made
from buildlog.kept.store import key_for
from buildlog.kinds.chart import Chart
from buildlog.kinds.results import BlockResult
from buildlog.page.alone import Shelf, Site, head_of, own_numbers_loader, told_by_generator
from buildlog.page.furniture import PageFurniture, link_cautions, number_of, place_furniture
from buildlog.page.identity import (
    FigureMarks,
    TreeComparison,
    TreeFigure,
    count_places,
)
from buildlog.page.insertion import HEADINGS, DeferredHtml, TreeInserter, levels_down, place_blocks
from buildlog.page.photographs import Sizes, place_photographs
from buildlog.page.terms import link_terms, name_terms
from buildlog.proof.figure_anchors import anchors_in_text
from buildlog.proof.finished_page import bears_scheme, find_addresses
from buildlog.proof.judging import Judged, Places, judge_figure
from buildlog.proof.overview import Overview
from buildlog.proof.predicting import predictions_of
from buildlog.proof.proof import proof_book
from buildlog.proof.rendered_page import (
    FIGURE_CHANGED,
    PagePlaces,
    compare_cards,
    compare_with_proof,
    not_proofed,
)
from buildlog.proof.rows_in_use import Row, rows_in_use
from buildlog.reading.blocks import DUPLICATE_BLOCK, MOST_BLOCKS
from buildlog.reading.decisions import KIND as DECISION
from buildlog.reading.markdown.page import Link, LinkForm, ScannedPage
from buildlog.reading.markdown.scanner import NESTED_TOO_DEEP, scan
from buildlog.reading.settings import Settings
from buildlog.reading.words import ENGLISH
from buildlog.render import (
    LinkPiece,
    Rendered,
    render_card,
    render_figure,
    render_findings,
)
from buildlog.render.card import cautions_of
from buildlog.render.decision import render_way_up
from buildlog.render.elsewhere import shown_elsewhere
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.own_numbers import NO_OWN_NUMBERS, OwnNumbers
from buildlog.render.pattern import pattern_paths
from buildlog.render.words import speaking, words_mark, words_of_page

IN_MEMORY = "-"
"""The key of a page that is no file."""

# Below front matter (27), above fenced code (25) and raw HTML (20).
_BLOCKS_PRIORITY = 26
# After all that changes text (smart symbols 6.1, smarty 6), before the table of contents and the list of
# anchors (5), so that both know the cards' ids.
_CARDS_PRIORITY = 5.5
# After the table of contents and the page's title (1), before links are made relative (0).
_HEADINGS_PRIORITY = 0.5
# After all that changes the tree, and all that writes HTML.
_COMPARISON_PRIORITY = -1000


_SHELF = Shelf()


@dataclass(frozen=True, kw_only=True)
class Elsewhere:
    """A page as another one shows it. `address` is its own on the web, as far as it is known, `seen` from
    where it is shown; `href` writes where a link leads from there."""

    page: str
    address: str
    seen: str
    href: Callable[[LinkPiece], str]

    def show(self, html: str) -> str:
        """Its HTML with ids that are its own there, and what leads to one of them leading to the page."""
        prefix = f"{self.page.replace('/', '-')}-"
        return shown_elsewhere(
            html, prefix, lambda address: self.seen + address if address.startswith("#") else address
        )


class BuildlogExtension(Extension):
    """The extension. A site generator's adapter sets `book`, `page` and `findings` instead of the options,
    and `published`, the paths under content of the files that it publishes for the pages to lead to.

    `unexpected` collects the errors that rendering met; an adapter that has stopped at the proof's errors
    finds there what other extensions and plugins have changed. `drawing` is called before each chart. `cache`
    outlives a build; where HTML is `deferred`, the adapter finishes the pages with it. `apart` collects the
    pages that show something of which no proof has told: they rest on more than their file. `own_numbers`
    says of blocks, by page and id, whether their cards take a reader's own numbers. `pictures` collects the
    pictures that pages show, with the sizes that they were given. `address` is the page's
    own on the web, as far as it is known. `elsewhere` says of what is rendered while no page is whether it is
    a page as another one shows it. `at_work` is the page that is being rendered, which other extensions may
    ask us to render texts of theirs within, a docstring say; an adapter that begins a page sets it to None.
    """

    def __init__(self, **options: Any) -> None:
        self.config = {
            "content": ["", "folder of the pages"],
            "page": ["", "path of this page under the folder, without .md"],
            "style": [True, "put the style sheet and the scripts into the page"],
            "findings": [True, "list the errors and warnings of the page at its top"],
            "refuse": [False, "stop the build where the proof of the site finds an error"],
            "files": [False, "lead to the files that “buildlog files” writes beside the built pages"],
        }
        self.book: Book | None = None
        self.page = ""
        self.findings: Mapping[str, Sequence[Diagnostic]] | None = None
        self.overview: Overview | None = None
        self.published: Collection[str] = ()
        self.unexpected: list[Diagnostic] = []
        self.drawing: Callable[[], None] = lambda: None
        self.cache = IdentityCache()
        self.deferred: DeferredHtml | None = None
        self.apart: set[str] = set()
        self.own_numbers: Mapping[tuple[str, str], OwnNumbers] = {}
        self.pictures: dict[str, Sizes] = {}
        self.address = ""
        self.elsewhere: Callable[[Markdown], Elsewhere | None] = lambda md: None
        self.at_work: PageInWork | None = None
        super().__init__(**options)

    def extendMarkdown(self, md: Markdown) -> None:
        """Register the steps; they share what is known of the page."""
        work = PageInWork(self, md)
        md.preprocessors.register(_Blocks(md, work), "buildlog_blocks", _BLOCKS_PRIORITY)
        md.treeprocessors.register(_Cards(md, work), "buildlog_cards", _CARDS_PRIORITY)
        md.treeprocessors.register(_Headings(md, work), "buildlog_headings", _HEADINGS_PRIORITY)
        md.treeprocessors.register(_TreeDone(md, work), "buildlog_tree_done", _COMPARISON_PRIORITY)
        md.postprocessors.register(_Comparison(md, work), "buildlog_comparison", _COMPARISON_PRIORITY)

    def overview_of(self, book: Book) -> Overview:
        """The whole site in view, worked out once for a book."""
        if self.overview is None or self.overview.book is not book:
            self.overview = Overview(book)
        return self.overview

    def page_of(self, md: Markdown) -> str:
        """Which page this is: as set, as configured, or as the generator's own context says."""
        named = self.page or str(self.getConfig("page")) or told_by_generator(md).path
        if not named and (elsewhere := self.elsewhere(md)) is not None:
            named = elsewhere.page
        return without_ending(named)

    def site(self, md: Markdown) -> Site | None:
        """The site that the page is of, where no adapter sets the book; None where there is none."""
        told = told_by_generator(md)
        content = Path(named) if (named := str(self.getConfig("content"))) else told.content
        if self.book is not None or content is None:
            return None
        content = content.resolve()
        site = _SHELF.site(content, (told.root or content.parent).resolve())
        if self.getConfig("refuse"):
            site.refuse_errors()
        return site

    def open(
        self, md: Markdown, scanned: ScannedPage, site: Site | None, key: str = ""
    ) -> tuple[Book, str, ScannedPage | None]:
        """The book, the key of the page in it whose blocks are those scanned, and the page's file as it was
        proofed, if it has one."""
        if self.book is not None:
            book = self.book
        elif site is not None:
            book = site.overview.book
        else:
            book = Book(settings=Settings(content=Path(".no-content-folder")), root=Path.cwd())
        book.use_units()
        key = key or self.page_of(md) or IN_MEMORY
        page = book.pages.get(key)
        if page is None or _bodies(page.scanned) != _bodies(scanned):
            # Not a file of the folder, or another extension has changed its blocks: take what is here.
            book = book.with_page(key, scanned.text)
        return book, key, page.read if page is not None else None


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
        self.furniture: PageFurniture | None = None
        self.site: Site | None = None
        self.own_numbers: Mapping[tuple[str, str], OwnNumbers] = {}
        self.shift = 0
        self.cards: dict[int, tuple[Rendered, str]] = {}
        self.decisions: list[Rendered] = []
        self.blocks: dict[int, Position] = {}
        self.marks = FigureMarks()
        self.links: Sequence[Link] = ()
        self.anchors: Sequence[str] = ()
        self.judgements: list[Judged] = []
        self.places: PagePlaces | None = None
        self.differences: list[Diagnostic] = []
        self.too_deep: Diagnostic | None = None
        self.placed = 0
        self.tree_done = False
        self.words = ENGLISH
        self.elsewhere: Elsewhere | None = None
        self.within = False
        self.cache = IdentityCache()
        self.inserter = TreeInserter(md, self.href, lambda: self.stand_in if self.defers else None)

    def begin(self, text: str) -> ScannedPage | None:
        """Read a page's text. What looks like front matter here is none any more: an empty line hides it.
        None for a text within a page that has nothing of ours."""
        self.shift = 1 if text.startswith("---") else 0
        name = ("scanned", self.extension.page_of(self.md), self.extension.at_work in (None, self))
        scanned = self.extension.cache.get(
            name, (), lambda: scan("\n" * self.shift + text, IN_MEMORY), like=text
        )
        self.within = self.extension.at_work not in (None, self)
        if self.within and not scanned.links and not any(fence.is_calc for fence in scanned.fences):
            self.book = None
            return None
        if self.extension.page and not self.within:
            self.extension.at_work = self
        self.elsewhere = None if self.extension.page else self.extension.elsewhere(self.md)
        self.site = self.extension.site(self.md)
        within = IN_MEMORY if self.within else ""
        self.book, self.key, proofed_page = self.extension.open(self.md, scanned, self.site, within)
        if self.site is not None and self.book is self.site.overview.book:
            overview = self.site.overview
        else:
            overview = self.extension.overview_of(self.book)
        # Of a page that another extension has changed, nothing is kept: it is not the book's.
        proofed = self.book is self.extension.book and overview.made is not None
        self.cache = self.extension.cache if proofed else IdentityCache()
        if not proofed:
            self.extension.apart.add(self.key)
        published, self.own_numbers = self.extension.published, self.extension.own_numbers
        if self.site is not None and self.extension.getConfig("files"):
            published, self.own_numbers = self.site.files_of(self.key), self.site.own_numbers_of(self.key)
        address = self.extension.address or told_by_generator(self.md).address
        if self.elsewhere is not None:
            address = self.elsewhere.address
        self.furniture = PageFurniture(overview, self.page, published, self.cache, address=address)
        self.words = words_of_page(self.book, self.page)
        self.inserter.language = words_mark(self.page.howto.lang or self.book.settings.language, self.words)
        self.cards, self.blocks, self.decisions = {}, {}, []
        self.links, self.judgements = scanned.links, []
        self.anchors = anchors_in_text(scanned.links)
        self.places = PagePlaces.of(self.page.path, scanned, self.shift, proofed_page)
        self.differences, self.placed, self.tree_done = [], 0, False
        self.too_deep = self._too_deep(scanned)
        if proofed_page is not None:
            self.differ(compare_with_proof(proofed_page, scanned, self.places))
        return scanned

    def _too_deep(self, scanned: ScannedPage) -> Diagnostic | None:
        """The finding on a page that nests deeper than is read. Nothing of it is taken for a block or a
        figure: what was scanned need not be what Python-Markdown makes of it."""
        found = next((one for one in scanned.diagnostics if one.code == NESTED_TOO_DEEP), None)
        if found is None:
            return None
        assert self.places is not None
        self.links, self.anchors = (), ()
        place = self.places.at(scanned.lines.starts[found.position.line - 1])
        found = replace(found, position=place)
        told = any(fault.code == NESTED_TOO_DEEP for fault in self.page.faults)
        self.note([found]) if told else self.differ([found])
        return found

    def differ(self, findings: Iterable[Diagnostic]) -> None:
        """Note where the page that is rendered is not the page that was judged."""
        differences = list(findings)
        if differences:
            self.extension.apart.add(self.key)
        self.differences += differences
        self.note(differences)

    def draw(self, spec: Chart, anchor: str, system: System) -> str:
        """Draw a chart, or take it as an earlier run has drawn it."""
        from buildlog.charts import drawing  # only a page with a chart wants it

        assert self.book is not None
        self.extension.drawing()
        store, key = self.book.store, ""
        if store is not None:
            program = program_of(self.book.settings.own_units)
            key = key_for("chart", program, repr((spec, anchor, system)))
        return kept_or_made(store, key, str, partial(drawing.draw, spec, anchor=anchor, system=system))

    def href(self, link: LinkPiece) -> str:
        """Where a link leads: to this page, or to another one's source file, for the generator to map; ""
        where a page is not published."""
        if not link.file and (link.page is None or link.page == self.key) and link.anchor:
            return f"#{link.anchor}"
        assert self.book is not None
        leads_to = self.book.pages.get(link.page or self.key)
        if not link.file and leads_to is not None and not leads_to.published:
            return ""
        path = link.file or self.book.file_of(link.page or self.key)
        anchor = f"#{link.anchor}" if link.anchor else ""
        return posixpath.relpath(path, posixpath.dirname(self.key) or ".") + anchor

    def stand_in(self, rendered: Rendered) -> str:
        """What stands in the page for pieces that the adapter puts in later."""
        assert self.extension.deferred is not None
        return self.extension.deferred.stand_in(self.key, rendered)

    def raw(self, rendered: Rendered) -> str:
        """Pieces as HTML for the stash, where nothing of a tree is wanted."""
        return self.stand_in(rendered) if self.defers else rendered.html(self.href)

    @property
    def defers(self) -> bool:
        """Whether the adapter puts HTML in later: it does so with the pages that it has told of."""
        return bool(self.extension.deferred and self.extension.page and not self.within)

    @property
    def page(self) -> Page:
        assert self.book is not None
        return self.book.pages[self.key]

    @property
    def overview(self) -> Overview:
        assert self.furniture is not None
        return self.furniture.overview

    def judge(self, number: int) -> Judged:
        """The judgement on a link of the text, by its label as the author wrote it: other extensions may have
        changed the label by now."""
        assert self.book is not None
        assert self.places is not None
        link = self.links[number]
        label, address, title = link.label, link.address, link.title or ""
        judged = self.overview.judged(self.key, label, address, title)
        if judged is None:
            self.extension.apart.add(self.key)
            places = Places.all_at(self.places.at(link.label_start))
            judged = judge_figure(
                self.book, self.key, label=label, address=address, title=title, places=places
            )
        self.note(judged.diagnostics)
        return judged

    def judge_all(self) -> list[Judged]:
        """The judgements on all links of the text, in its order; each is made once."""
        self.judgements = self.judgements or [self.judge(number) for number in range(len(self.links))]
        return self.judgements

    def rows_in_use(self) -> dict[str, frozenset[Row]]:
        """By block, the rows that the page rests on."""
        assert self.book is not None
        assert self.furniture is not None
        return rows_in_use(self.book, self.key, [*self.furniture.judged, *self.judge_all()])

    def note(self, findings: Sequence[Diagnostic]) -> None:
        """Keep errors met while rendering: whoever has proofed the files knows whether they are news."""
        self.extension.unexpected += [finding for finding in findings if finding.severity is Severity.ERROR]

    def findings(self) -> list[Diagnostic]:
        """Errors and warnings of this page."""
        assert self.book is not None
        findings: Sequence[Diagnostic]
        if self.site is not None and self.book is self.site.overview.book:
            findings = self.site.by_path.get(self.page.path, ())
        elif self.extension.findings is None:
            findings = proof_book(self.book, (self.key,)).findings
        else:
            findings = self.extension.findings.get(self.page.path, ())
        return [
            finding
            for finding in [*self.differences, *findings]
            if finding.severity < Severity.NOTE and finding.position.path == self.page.path
        ]


class _Blocks(Preprocessor):
    """Swaps calculation fences for placeholders of their cards, and the addresses of figures for numbers."""

    def __init__(self, md: Markdown, work: PageInWork) -> None:
        super().__init__(md)
        self.work = work

    def run(self, lines: list[str]) -> list[str]:
        work = self.work
        if (scanned := work.begin("\n".join(lines))) is None or work.too_deep is not None:
            return lines
        with speaking(work.words):
            replaced = [
                *self._replace_lines(scanned, self._place_cards(scanned, lines)),
                *self._replace_lines(scanned, self._place_lists(scanned, lines)),
                *self._mistyped_openings(scanned),
                *(work.marks.write(scanned.text, link, number) for number, link in enumerate(scanned.links)),
            ]
        pieces: list[str] = []
        at = work.shift
        for start, end, text in sorted(replaced):
            if start >= at:
                pieces += [scanned.text[at:start], text]
                at = end
        return "".join([*pieces, scanned.text[at:]]).split("\n")

    def _mistyped_openings(self, scanned: ScannedPage) -> Iterator[tuple[int, int, str]]:
        """Make code of blocks that are nearly calculations: as they are written they open nothing, and what
        closes them would take the next block for code."""
        starts = scanned.lines.starts
        for fence in scanned.fences:
            if fence.is_mistyped:
                line = fence.line - 1
                end = starts[line] + len(scanned.lines.raw[line])
                yield starts[line] + len(fence.prefix) + len(fence.marker), end, "yaml"

    def _replace_lines(
        self, scanned: ScannedPage, replaced: Iterable[tuple[int, int, str]]
    ) -> Iterator[tuple[int, int, str]]:
        """Lines, from one up to another, as a stretch of the scanned text."""
        starts, shift = scanned.lines.starts, self.work.shift
        for first, last, text in replaced:
            end = last - 1 + shift
            yield starts[first + shift], starts[end] + len(scanned.lines.raw[end]), text

    def _place_cards(self, scanned: ScannedPage, lines: list[str]) -> Iterator[tuple[int, int, str]]:
        """The first line of each fence, the line after it, and what stands there instead."""
        work = self.work
        assert work.book is not None
        assert work.furniture is not None
        # An unclosed one is a finding, and its text stands as it was written.
        fences = [fence for fence in scanned.fences if fence.is_calc and fence.closed]
        seen: set[str] = set()
        cautioned, parts_page = work.furniture.cautioned, work.book.parts_page
        in_use = work.rows_in_use() if fences else {}
        blocks = work.page.blocks
        # Those beyond the limit of a page are a finding; nothing stands in their place.
        for fence in fences[MOST_BLOCKS:]:
            first, last = fence.line - 1 - work.shift, fence.end_line - work.shift
            yield first, last, fence.prefix + self._stash(Rendered(()), "\n".join(lines[first:last]))
        for place, (fence, block) in enumerate(zip(fences[:MOST_BLOCKS], blocks, strict=True)):
            result = work.book.by_place[block.position]
            foretold, _ = predictions_of(work.book, block)
            if result.id in seen:
                result, foretold = self._only_its_faults(result), []
            seen.add(result.id)
            work.note(result.faults)
            yours = work.own_numbers.get((result.page, result.id), NO_OWN_NUMBERS)
            published = tuple(path for path in pattern_paths(result) if path in work.furniture.published)
            card = work.cache.get(
                ("card", work.key, place),
                (result, *(one.predicted.block for one in foretold)),
                partial(
                    render_card,
                    result,
                    draw=work.draw,
                    cautioned=cautioned,
                    foretold=foretold,
                    yours=yours,
                    in_use=in_use.get(result.id, ()),
                    published=published,
                    parts_page=parts_page,
                ),
                like=(cautioned, yours, in_use.get(result.id), published, parts_page),
            )
            cautioned = {**cautions_of(result), **cautioned}
            first, last = fence.line - 1 - work.shift, fence.end_line - work.shift
            work.blocks[self.md.htmlStash.html_counter] = block.position
            if result.kind == DECISION:
                card = self._to_the_top(result, card)
            placeholder = self._stash(card, "\n".join(lines[first:last]))
            yield first, last, fence.prefix + placeholder

    def _to_the_top(self, result: BlockResult, card: Rendered) -> Rendered:
        """Keep a card for the top of the page; what stands in its place is the way to it."""
        self.work.decisions.append(card.at_level(min(6, 2 + levels_down(self.md))))
        if not result.id:
            return Rendered(())
        return render_way_up(result)

    def _place_lists(self, scanned: ScannedPage, lines: list[str]) -> Iterator[tuple[int, int, str]]:
        """The same of each marker of a list."""
        work = self.work
        assert work.furniture is not None
        for marker, rendered in work.furniture.fill_markers(scanned, work.draw):
            at = marker.line - 1 - work.shift
            yield at, at + 1, self._stash(rendered, lines[at])

    def _stash(self, rendered: Rendered, source: str) -> str:
        """Put HTML into Python-Markdown's stash; its placeholder. `source` comes back in a block of code."""
        number = self.md.htmlStash.html_counter
        placeholder = self.md.htmlStash.store(self.work.raw(rendered))
        self.work.cards[number] = (rendered, source)
        return placeholder

    def _only_its_faults(self, result: BlockResult) -> BlockResult:
        """A block whose id another one has: its faults only, so that no two elements share an id."""
        line = result.position.line
        faults = [
            fault
            for fault in self.work.page.faults
            if fault.code == DUPLICATE_BLOCK and fault.position.line > line
        ]
        return replace(result, id="", cases={}, charts=(), faults=(*faults[:1], *result.faults))


class _Cards(Treeprocessor):
    """Puts the cards, the figures outside headings, the findings and the sources into the page."""

    def __init__(self, md: Markdown, work: PageInWork) -> None:
        super().__init__(md)
        self.work = work

    def run(self, root: Element) -> None:
        with speaking(self.work.words):
            self._put_in(root)

    def _put_in(self, root: Element) -> None:
        work, inserter = self.work, self.work.inserter
        if work.book is None or work.furniture is None:
            return
        work.differ(compare_cards(place_blocks(root, work.cards, inserter), work.blocks))
        ours = work.page.is_ours or bool(work.cards)
        at_steps = link_cautions(root, work.furniture.cautions, inserter) if ours else ()
        figures = self._judge_figures(root)
        judgements = [*work.furniture.judged, *(judged for _, judged in figures)]
        sources = {judged.source.id: judged.source for judged in judgements if judged.source is not None}
        numbers = {name: number for number, name in enumerate(sources, start=1)}
        self._place_figures(figures, numbers)
        if ours:
            self._explain_terms(root)
        top = [self._list_findings(), *work.decisions, work.furniture.make_panel(numbers, at_steps)]
        ending = work.furniture.make_ending(list(sources.values()))
        if not (work.cards or figures or any(top) or ending):
            return  # nothing of ours: the page is left alone
        place_furniture(root, inserter, top, ending)
        sizes = place_photographs(root, work.book.settings.content, work.key)
        if work.elsewhere is None:
            work.extension.pictures[work.key] = sizes
        if work.extension.getConfig("style"):
            head = head_of(work.page, work.words, work.book.settings.units)
            place_furniture(root, inserter, [head], [])
        if work.site is not None and any(offer.script for offer in work.own_numbers.values()):
            root.append(own_numbers_loader(work.key))

    def _judge_figures(self, root: Element) -> list[tuple[TreeFigure, Judged]]:
        """The figures of the tree with their judgements; one that was not judged is shown as wrong."""
        work = self.work
        assert work.places is not None
        judgements = dict(enumerate(work.judge_all()))
        agreeing = {number: judged.agrees for number, judged in judgements.items()}
        figures = _find_figures(root, work.marks)
        if work.too_deep is not None:
            return [(figure, _judged_of(figure, {}, (), work.too_deep)) for figure in figures]
        comparison = TreeComparison(
            work.marks, work.links, work.places, self.md.htmlStash.rawHtmlBlocks, agreeing
        )
        wrong: dict[int, Diagnostic] = {}
        for figure, finding in comparison.findings(figures):
            work.differ([finding])
            if figure is not None:
                wrong[id(figure)] = finding
        return [
            (figure, _judged_of(figure, judgements, work.links, wrong.get(id(figure)))) for figure in figures
        ]

    def _explain_terms(self, root: Element) -> None:
        """Lead from the first mention of a term to its explanation, and give the glossary's own their ids."""
        work = self.work
        assert work.book is not None
        if work.page.howto.glossary is not None:
            name_terms(root)
        else:
            link_terms(root, work.overview.terms, work.href, self.md.htmlStash.rawHtmlBlocks)

    def _list_findings(self) -> Rendered | None:
        """The page's findings, where the site's author is to see them and there are any."""
        if not self.work.extension.getConfig("findings"):
            return None
        findings = self.work.findings()
        if not findings:
            return None
        return render_findings(findings)

    def _place_figures(
        self, figures: Sequence[tuple[TreeFigure, Judged]], numbers: Mapping[str, int]
    ) -> None:
        """Turn links into figures; those in headings wait until the table of contents is made."""
        work, inserter = self.work, self.work.inserter
        assert work.furniture is not None
        inserter.waiting = []
        work.placed = len(figures)
        for count, (found, judged) in enumerate(figures, start=1):
            element, heading = found.element, found.in_heading
            element.set("href", judged.address)
            element.attrib.pop("title", None)
            if not "".join(element.itertext()).strip() and not len(element):
                element.text = AtomicString(judged.text)
            number = number_of(judged, numbers)
            note = f"buildlog-note-{count}"
            anchor = "" if found.number is None else work.anchors[found.number]
            figure = work.cache.get(
                (note, work.key),
                (judged,),
                partial(
                    render_figure,
                    judged,
                    work.key,
                    note,
                    number=number,
                    in_heading=heading,
                    anchor=anchor,
                    reports=work.furniture.reports,
                    language=inserter.language,
                ),
                like=(number, heading, anchor, work.furniture.reports, inserter.language),
            )
            if heading:
                inserter.waiting.append((element, figure))
            else:
                inserter.into_figure(element, figure)


class _Headings(Treeprocessor):
    """Puts in what the table of contents must not see: figures in headings, and no ids twice."""

    def __init__(self, md: Markdown, work: PageInWork) -> None:
        super().__init__(md)
        self.work = work

    def run(self, root: Element) -> None:
        inserter, elsewhere = self.work.inserter, self.work.elsewhere
        # What shows a page elsewhere has written the addresses of its links by now.
        inserter.href = self.work.href if elsewhere is None else elsewhere.href
        for element, figure in inserter.waiting:
            inserter.into_figure(element, figure)
        inserter.href = self.work.href
        inserter.finish()


class _TreeDone(Treeprocessor):
    """Says that the HTML that is written next is the page: the table of contents writes headings before."""

    def __init__(self, md: Markdown, work: PageInWork) -> None:
        super().__init__(md)
        self.work = work

    def run(self, root: Element) -> None:
        self.work.tree_done = True


class _Comparison(Postprocessor):
    """Looks at the finished HTML: every figure has to be there once, and no address of ours beside them."""

    def __init__(self, md: Markdown, work: PageInWork) -> None:
        super().__init__(md)
        self.work = work

    def run(self, text: str) -> str:
        work = self.work
        if work.book is None or not work.tree_done:
            return text
        text = work.marks.take_out(text, work.links)
        before = len(work.differences)
        work.differ(self._compare(text))
        after = work.differences[before:]
        if after and work.extension.getConfig("findings"):
            with speaking(work.words):
                text = f"{work.raw(render_findings(after))}\n{text}"
        work.book = None
        if work.extension.at_work is work:
            work.extension.at_work = None
        return text if work.elsewhere is None else work.elsewhere.show(text)

    def _compare(self, html: str) -> Iterator[Diagnostic]:
        work = self.work
        assert work.places is not None
        for address in dict.fromkeys(find_addresses(html)):
            yield not_proofed(address, address, work.places.find(address))
        places, tag = count_places(html)
        if places != work.placed:
            hidden = f", the others hidden by {tag}" if tag else ""
            yield FIGURE_CHANGED.at(
                work.places.find(tag) if tag else Position(work.page.path),
                found=f"{places} figures on the finished page{hidden}",
                expected=f"the {work.placed} that were put into it",
            )


def _find_figures(root: Element, marks: FigureMarks) -> list[TreeFigure]:
    """Every link that is a figure or looks like one, in the tree's order."""
    figures: list[TreeFigure] = []
    waiting: list[tuple[Element, bool]] = [(root, False)]
    while waiting:
        element, heading = waiting.pop()
        if element.tag == "a":
            address = element.get("href", "")
            number = marks.number_in(address)
            if number is not None or bears_scheme(address):
                figures.append(TreeFigure(element=element, in_heading=heading, number=number))
        inside = heading or element.tag in HEADINGS
        waiting.extend((child, inside) for child in reversed(element))
    return figures


def _judged_of(
    figure: TreeFigure,
    judgements: Mapping[int, Judged],
    links: Sequence[Link],
    wrong: Diagnostic | None,
) -> Judged:
    """The judgement that a figure of the tree is shown with."""
    if figure.number is None:
        address = figure.element.get("href", "")
        judged = Judged(kind=address.partition(":")[0], label="", address=address, text="", agrees=False)
    else:
        judged = judgements[figure.number]
        if links[figure.number].form is LinkForm.AUTOMATIC:
            figure.element.text = AtomicString(judged.address)
    if wrong is None:
        return judged
    return replace(judged, agrees=False, verdict=None, diagnostics=(wrong, *judged.diagnostics))
