"""What the search of the site finds first, and what it says where it cannot run."""

from __future__ import annotations

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.pages import Page

from buildlog.book.book import Page as BookPage

_SEARCHES = ("search", "material/search")
_ALWAYS_RUN = ("offline", "material/offline")
# The theme's search weighs a word of a title a thousand times one of the text. A word in the text of an
# episode is to come before a title of any other page.
_OF_AN_EPISODE = 1e6


def rank_in_search(page: Page, read: BookPage | None) -> None:
    """Let an episode, or what else tells of a job, be found before other pages; a page that says itself how
    far up it belongs is left alone."""
    if read is None or not (read.howto.series or read.howto.is_job):
        return
    wished = page.meta.setdefault("search", {})
    if isinstance(wished, dict):
        wished.setdefault("boost", _OF_AN_EPISODE)


def has_search(config: MkDocsConfig) -> bool:
    """Whether the site has a search that a browser refuses to a page from a folder."""
    names = config.plugins.keys()
    return any(name in names for name in _SEARCHES) and not any(name in names for name in _ALWAYS_RUN)
