"""What reads the pages of a site on their way, and gets them in the form that it can read.

Every plugin has the whole page from `on_page_content` on. A few are known to want it otherwise, and get it so
while they read: a search the words that are to be found, for a card is many times longer than these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial, wraps
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.pages import Page

from buildlog.page.insertion import DeferredHtml
from buildlog.render import LinkPiece

Handler = Callable[..., Any]


class PageReaders:
    """The forms of the pages of one build. What a plugin is, its package says: its name is the site's."""

    def __init__(self) -> None:
        self._completed: dict[str, tuple[str, str, Callable[[str], str]]] = {}

    def begin(self, config: MkDocsConfig) -> None:
        """Stand before each plugin that is known, in this build."""
        self._completed = {}
        known: dict[tuple[str, str], Callable[..., Any]] = {
            ("page_context", "mkdocs.contrib.search"): self._search,
            ("page_context", "material.plugins.search"): self._search,
        }
        for (event, package), reads in known.items():
            handlers = config.plugins.events[event]
            for place, handler in enumerate(handlers):
                if _is_of(handler, package):
                    handlers[place] = wraps(handler)(partial(reads, handler))

    def complete(
        self, html: str, page: Page, deferred: DeferredHtml, addresses: Callable[[str, LinkPiece], str]
    ) -> str:
        """A page as it was rendered, with its cards and notes."""
        if not deferred.stands_in(html):
            return html
        whole = deferred.finish(html, addresses)
        words = deferred.add_spellings(html)
        self._completed[page.file.src_uri] = whole, words, partial(deferred.finish, href=addresses)
        page.content = whole  # some read this instead of what they are given
        return whole

    def _search(self, handler: Handler, context: Any, *, page: Page, **given: Any) -> Any:
        """A search has words in place of cards and notes, and figures as readers type them."""
        with self._in_words(page):
            return handler(context, page=page, **given)

    @contextmanager
    def _in_words(self, page: Page) -> Iterator[None]:
        if page.file.src_uri not in self._completed:
            yield
            return
        whole = page.content
        completed, words, finish = self._completed[page.file.src_uri]
        if whole != completed:  # another plugin has changed it
            window = DeferredHtml()
            words = window.add_spellings(window.take_out(whole or ""))
            finish = partial(window.finish, href=lambda page, link: "")
        page.content = words
        try:
            yield
        finally:
            page.content = whole if page.content == words else finish(page.content or "")


def _is_of(handler: Handler, package: str) -> bool:
    module = type(getattr(handler, "__self__", None)).__module__
    return module == package or module.startswith(f"{package}.")
