"""The id of each figure in its page, so that ledgers, reports and readers lead to the figure itself.

It is made of the figure's address, and where the page has several of one address of how many came before it:
lines may be added and figures of other values, and a link still finds its figure. Front matter has a count of
its own, since its figures stand in the panel.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from buildlog.book.book import Page
from buildlog.reading.markdown.page import Link

_PREFIX = "figure."
"""No heading's id has a full stop, nor does any other id of ours begin so."""
_IN_FRONT = "figure.front."
_AWKWARD = re.compile(r"[^\w.-]+")


def anchors_in_text(links: Iterable[Link]) -> list[str]:
    """The ids of a text's figures, in its order."""
    return _anchors(links, _PREFIX)


def anchors_in_front(page: Page) -> dict[int, str]:
    """Start of a link of the front matter → its id, of those that the page's panel shows."""
    shown = [link for words in (page.howto.time, page.howto.skill) if words for link in words.links]
    return dict(zip((link.start for link in shown), _anchors(shown, _IN_FRONT), strict=True))


def anchors_of(page: Page) -> dict[int, str]:
    """Start of a link → its id, of every figure that stands in the page."""
    in_front = {link.start for link in page.howto.links}
    text = [link for link in page.read.links if link.start not in in_front]
    starts = (link.start for link in text)
    return anchors_in_front(page) | dict(zip(starts, anchors_in_text(text), strict=True))


def _anchors(links: Iterable[Link], prefix: str) -> list[str]:
    seen: dict[str, int] = {}
    found = []
    for link in links:
        name = prefix + _AWKWARD.sub("-", link.address.removeprefix("calc:"))
        seen[name] = seen.get(name, 0) + 1
        found.append(name if seen[name] == 1 else f"{name}~{seen[name]}")
    return found
