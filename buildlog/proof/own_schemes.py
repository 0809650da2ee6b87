"""Schemes that a site has of its own: ``site:``, ``call:``, ``tool:``, which some other program reads there.

``[call us](call:workshop)`` is nearly ``calc:`` and was meant for no figure. A scheme is the site's own where
one of its links has a label without a number, and its address names no block, no source and no caution:
``[4.1](cal:gears.ratio)`` is a slip, and so is ``[the ratio](cal:gears.ratio)`` of a block that is there. An
empty label, which `amend` fills in, says nothing either way. Addresses with a scheme of the site's own are
not told as nearly figures.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildlog.book.book import Book, Page
from buildlog.diagnostics import Diagnostic
from buildlog.kinds.hazards import HAZARDS
from buildlog.reading.markdown.page import OtherLink
from buildlog.reading.markdown.slips import NEARLY_A_FIGURE, is_figure, scheme_and_rest


def own_schemes(book: Book) -> frozenset[str]:
    """The schemes of a site that are its own."""
    others = [link for page in book.pages.values() for link in page.scanned.surroundings.others]
    if not others:
        return frozenset()
    named = {block.id for page in book.pages.values() for block in page.blocks}
    named |= {*book.sources, *HAZARDS}
    return frozenset(link.scheme for link in others if _is_of_others(link, named))


def _is_of_others(link: OtherLink, named: Iterable[str]) -> bool:
    label = link.label.strip()
    if not label or any(sign.isdigit() for sign in label) or is_figure(label):
        return False
    return link.rest.rpartition("#")[2].partition(".")[0] not in named


def faults_of(page: Page, own: frozenset[str]) -> list[Diagnostic]:
    """The faults of a page, without those on addresses whose scheme is the site's own."""
    return [
        fault
        for fault in page.faults
        if fault.code != NEARLY_A_FIGURE or scheme_and_rest(fault.found.strip("“”"))[0] not in own
    ]
