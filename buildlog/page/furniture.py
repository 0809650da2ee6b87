"""What a page carries around its text: a panel under the title, lists at their markers, and at the end its
sources, how to repeat its figures, and the episodes before and after."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import TypeVar
from xml.etree.ElementTree import Element

from buildlog.book.book import Page
from buildlog.book.repeating import input_hash
from buildlog.kinds.hazards import HAZARDS
from buildlog.page.insertion import TreeInserter
from buildlog.proof.figure_anchors import anchors_in_front
from buildlog.proof.judging import Judged, judge_link
from buildlog.proof.overview import Overview
from buildlog.proof.series import Place
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.markdown.page import Link as FigureLink
from buildlog.reading.markdown.page import ScannedPage
from buildlog.reading.markdown.scanner import CAUTION
from buildlog.reading.markers import LISTS, ListMarker, read_markers
from buildlog.render import Rendered, render_figure, render_sources
from buildlog.render.card import caution_anchor
from buildlog.render.chart import Draw
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.lists import render_list
from buildlog.render.page_parts import (
    at_top,
    render_caution,
    render_needs,
    render_neighbours,
    render_panel,
    shown_in_panel,
)
from buildlog.render.reporting import ReportsOf
from buildlog.render.reproduce import render_reproduce
from buildlog.render.sheet import has_sheet, sheet_path
from buildlog.render.words import say

T = TypeVar("T")
_HOLDS_NO_BLOCK = frozenset(("td", "th", "caption", "h1", "h2", "h3", "h4", "h5", "h6", "summary", "dt"))
_BLOCKS = frozenset(("p", "ul", "ol", "dl", "div", "table", "blockquote", "pre", "details", "section"))


class PageFurniture:
    """The parts around one page's text. `published` are the paths under content of files that the site has
    besides its pages; what is not among them is not linked to. `address` is the page's on the web."""

    def __init__(
        self,
        overview: Overview,
        page: Page,
        published: Collection[str],
        cache: IdentityCache,
        *,
        address: str = "",
    ) -> None:
        self.overview = overview
        self.page = page
        self.published = published
        self.cache = cache
        self.rests_on = overview.rests_on(page.key) if overview.made else ()
        self.reports = self._reports(address or page.key)
        self.cautions = self._cached("cautions", lambda: at_top(overview.book, page))
        self.figures = self._cached(
            "panel's figures",
            lambda: [(link, judge_link(overview.book, page.key, link)) for link in shown_in_panel(page)],
        )

    def _cached(self, name: str, make: Callable[[], T], like: object = None) -> T:
        """A part of the page that rests on no other page than its figures do."""
        return self.cache.get((name, self.page.key), self.rests_on, make, like)

    def _reports(self, address: str) -> ReportsOf | None:
        """Where reports on the page's figures go, where the site takes any."""
        book = self.overview.book
        if not book.settings.report:
            return None
        version = self._cached("version", lambda: input_hash(book, self.page.key))
        return ReportsOf(address=book.settings.report, page=address, version=version)

    @property
    def cautioned(self) -> dict[str, str]:
        """The cautions whose text stands in the panel, with its anchor: cards only name them."""
        return {name: caution_anchor(name) for name in self.cautions}

    @property
    def judged(self) -> list[Judged]:
        return [judged for _, judged in self.figures]

    @property
    def _place(self) -> Place | None:
        """Where the page stands in its series."""
        return self.overview.places.get(self.page.key)

    def fill_markers(self, scanned: ScannedPage, draw: Draw) -> list[tuple[ListMarker, Rendered]]:
        """What stands at the page's markers; each name once, since its list has ids. An unknown one is a
        finding and shows nothing."""
        shown: dict[str, tuple[ListMarker, Rendered]] = {}
        for marker in self.cache.get(("markers", self.page.key), (scanned,), lambda: read_markers(scanned)):
            if marker.name in shown:
                continue
            if marker.name in LISTS:
                shown[marker.name] = marker, self._list(marker.name, draw)
            elif marker.name == "needs":
                needs = self._cached("needs", lambda: render_needs(self.overview.book, self.page))
                shown[marker.name] = marker, needs
        return list(shown.values())

    def _list(self, name: str, draw: Draw) -> Rendered:
        return render_list(name, self.overview, draw, self.cache, self.published)

    def make_panel(self, numbers: dict[str, int], at_steps: Collection[str]) -> Rendered | None:
        """The panel; `numbers` are those of the page's sources, `at_steps` the cautions that stand there."""
        notes = {
            id(link): (f"buildlog-panel-note-{at}", judged)
            for at, (link, judged) in enumerate(self.figures, 1)
        }

        anchors = anchors_in_front(self.page)

        def render_own(link: FigureLink) -> Rendered:
            note, judged = notes[id(link)]
            number, anchor = number_of(judged, numbers), anchors.get(link.start, "")
            return render_figure(
                judged, self.page.key, note, number=number, anchor=anchor, reports=self.reports
            )

        path = sheet_path(self.page.key)
        sheet = ""
        if has_sheet(self.overview.book, self.page.key) and path in self.published:
            sheet = path
        place = self._place
        return self._cached(
            "panel",
            lambda: render_panel(
                self.page,
                place,
                cautions=self.cautions,
                figure=render_own,
                sheet=sheet,
                at_steps=at_steps,
            ),
            like=(numbers, sheet, place and place.shown, at_steps, self.reports),
        )

    def make_ending(self, sources: Sequence[SourceEntry]) -> list[Rendered]:
        """What stands after the text, in order."""
        parts: list[Rendered | None] = []
        if sources:
            parts.append(self._cached("sources", lambda: render_sources(sources), like=list(sources)))
        parts.append(
            self._cached(
                "reproduce",
                lambda: render_reproduce(self.overview.book, self.page, self.published),
                like=self.published,
            )
        )
        if (place := self._place) is not None:
            parts.append(self._cached("neighbours", lambda: render_neighbours(place), like=place.shown))
        return [part for part in parts if part is not None]


def number_of(judged: Judged, numbers: Mapping[str, int]) -> int:
    """The number of a figure's source in the page's list; 0 where it has none."""
    if judged.source is None:
        return 0
    return numbers.get(judged.source.id, 0)


def place_furniture(
    root: Element, inserter: TreeInserter, top: Iterable[Rendered | None], ending: Iterable[Rendered]
) -> None:
    """Put what stands under the title and at the end into a page's tree."""
    after_title = _place_after_title(root)
    for rendered in top:
        if rendered is not None:
            root.insert(after_title, inserter.block(rendered))
            after_title += 1
    for rendered in ending:
        root.append(inserter.block(rendered))


def _place_after_title(root: Element) -> int:
    return 1 if len(root) and root[0].tag == "h1" else 0


def link_cautions(root: Element, cautions: Collection[str], inserter: TreeInserter) -> tuple[str, ...]:
    """Links to ``caution:`` lead to the caution's text, which stands at the first step that names it; which
    ones do. One that is in no list is a finding, and stays as words."""
    parents = {child: parent for parent in root.iter() for child in parent}
    placed: dict[str, None] = {}
    for element in list(root.iter("a")):
        address = element.get("href", "")
        if not address.startswith(CAUTION):
            continue
        name = address.partition(":")[2]
        if name not in cautions:
            element.tag = "span"
            del element.attrib["href"]
            continue
        element.set("href", f"#{caution_anchor(name)}")
        element.set("class", "buildlog-caution-link")
        if not len(element) and not (element.text or "").strip():
            element.text = say(HAZARDS[name].title)
        if name not in placed and _place_caution(name, element, parents, inserter):
            placed[name] = None
    return tuple(placed)


def _place_caution(
    name: str, link: Element, parents: Mapping[Element, Element], inserter: TreeInserter
) -> bool:
    """Put a caution's text behind the paragraph or the step that a link of it is in; whether there is one."""
    step = link
    while step.tag not in ("p", "li", "dd") and step in parents:
        step = parents[step]
        if step.tag in _HOLDS_NO_BLOCK:
            return False
    if step not in parents:
        return False
    box = inserter.block(render_caution(name))
    if step.tag == "p":
        parent = parents[step]
        parent.insert(list(parent).index(step) + 1, box)
        box.tail, step.tail = step.tail, "\n"
        return True
    inner = [place for place, child in enumerate(step) if child.tag in _BLOCKS]
    place = inner[0] if inner else len(step)
    step.insert(place, box)
    return True
