"""The parts that stand round a page's text: findings and the panel under the title, what the job needs at its
marker, and at the end the sources and the episodes before and after."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from markupsafe import escape

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Diagnostic
from buildlog.kinds.hazards import HAZARDS
from buildlog.proof.series import Episode, Place
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.front_matter import Words
from buildlog.reading.front_matter_keys import REVERSIBLE
from buildlog.reading.markdown.page import Link as FigureLink
from buildlog.render.card import caution_anchor
from buildlog.render.figure import source_anchor
from buildlog.render.needs import caution_ids, needs_of
from buildlog.render.pieces import LinkPiece, Rendered, clean, render
from buildlog.render.words import say

Figure = Callable[[FigureLink], Rendered]
"""Renders a figure of the front matter."""

CAUTIONS_ANCHOR = "cautions"


def at_top(book: Book, page: Page) -> list[str]:
    """The cautions whose text stands under the page's title. Where a page tells of no job and names none, its
    cards have them."""
    if not (page.howto.is_job or page.scanned.cautions):
        return []
    return caution_ids(book, page)


def shown_in_panel(page: Page) -> tuple[FigureLink, ...]:
    """The figures of the front matter that the panel shows."""
    return tuple(link for words in (page.howto.time, page.howto.skill) if words for link in words.links)


def render_caution(name: str) -> Rendered:
    """A caution's text, where a step names it."""
    return render("caution-here.html.j2", caution=HAZARDS[name], anchor=caution_anchor(name))


def render_panel(
    page: Page,
    place: Place | None,
    cautions: Sequence[str],
    figure: Figure,
    sheet: str = "",
    at_steps: Collection[str] = (),
) -> Rendered | None:
    """The panel of a page, or None where there is nothing to say. `sheet` is the workshop sheet's path,
    `at_steps` are the cautions whose text stands at a step: the panel leads there."""
    howto = page.howto
    if not (howto.is_job or place or cautions):
        return None

    def write(words: Words | None) -> Rendered | None:
        if words is None:
            return None
        pieces: list[str | LinkPiece] = []
        for piece in words.pieces():
            if isinstance(piece, str):
                pieces.append(str(escape(clean(piece))))
            else:
                pieces += figure(piece).pieces
        return Rendered(tuple(pieces))

    to_sheet = None
    if sheet:
        to_sheet = LinkPiece(page=None, anchor="", text=say("Workshop sheet, to print"), file=sheet)
    return render(
        "panel.html.j2",
        howto=howto,
        place=place,
        time=write(howto.time),
        skill=write(howto.skill),
        reversible=REVERSIBLE.get(howto.reversible, ""),
        sheet=to_sheet,
        cautions=[HAZARDS[name] for name in cautions],
        at_steps=at_steps,
        caution_anchor=caution_anchor,
        anchor=CAUTIONS_ANCHOR,
    )


def page_link(page: Page) -> LinkPiece:
    """A link to a page by its title."""
    return LinkPiece(page=page.key, anchor="", text=page.title)


def _link_to(episode: Episode | None) -> LinkPiece | None:
    if episode is None:
        return None
    return page_link(episode.page)


def render_neighbours(place: Place) -> Rendered | None:
    """The episodes before and after, at the end of a page."""
    if place.before is None and place.after is None:
        return None
    return render(
        "neighbours.html.j2",
        series=place.series.name,
        before=_link_to(place.before),
        after=_link_to(place.after),
    )


def render_needs(book: Book, page: Page) -> Rendered:
    """The list of what the job needs, where the page's author has put its marker."""
    return render("needs.html.j2", needs=needs_of(book, page))


def render_findings(findings: Sequence[Diagnostic]) -> Rendered:
    """The list of a page's findings, which an author must not be able to overlook."""
    return render("page-findings.html.j2", findings=findings)


def render_sources(sources: Sequence[SourceEntry]) -> Rendered:
    """The sources that the page's figures name, in order of first use."""
    return render("sources.html.j2", sources=sources, source_anchor=source_anchor)
