"""What reads the pages of a site on their way, and gets them in the form that it can read.

Every plugin has the whole page from `on_page_content` on. A few are known to want it otherwise, and get it so
while they read:

==================== =========================================================================================
a search             the words that are to be found: a card is many times longer than these
a time to read       the same words
a text export        plain elements with the working, and formulae as text; links within the page lead to it
a feed               plain elements without the working, all addresses whole; an abstract without blocks
a page of all pages  ids that are a page's own, and links that lead right from there
==================== =========================================================================================
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial, wraps
from importlib import import_module
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

from markdown import Markdown
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.book.book import Book
from buildlog.files.page_names import without_ending
from buildlog.page.extension import Elsewhere
from buildlog.page.insertion import DeferredHtml
from buildlog.render import LinkPiece
from buildlog.render.elsewhere import shown_elsewhere
from buildlog.render.exported import exported, with_addresses
from mkdocs_buildlog.messages import writing
from mkdocs_buildlog.published import addresses_from

Handler = Callable[..., Any]


class PageReaders:
    """The forms of the pages of one build. What a plugin is, its package says: its name is the site's.
    `abstract_of` makes Markdown without blocks and figures of ours; `dress` lets a finished page load what it
    needs, where no event shows it to us."""

    def __init__(self, abstract_of: Callable[[Page], str], dress: Callable[[str, Page], str]) -> None:
        self._abstract_of = abstract_of
        self._dress = dress
        self._completed: dict[str, tuple[str, str, Callable[[str], str]]] = {}

    def begin(self, config: MkDocsConfig) -> None:
        """Stand before each plugin that is known, in this build."""
        self._completed = {}
        known: dict[tuple[str, str], Callable[..., Any]] = {
            ("page_context", "mkdocs.contrib.search"): self._search,
            ("page_context", "material.plugins.search"): self._search,
            ("page_content", "material.plugins.blog"): self._time_to_read,
            ("page_content", "mkdocs_llmstxt"): self._text,
            ("page_content", "mkdocs_rss_plugin"): self._feed,
            ("page_content", "mkdocs_print_site_plugin"): self._all_pages,
            ("post_build", "mkdocs_print_site_plugin"): self._finish_all_pages,
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

    def _is_ours(self, page: Page) -> bool:
        return page.file.src_uri in self._completed

    def _search(self, handler: Handler, context: Any, *, page: Page, **given: Any) -> Any:
        with self._in_words(page):
            return handler(context, page=page, **given)

    @contextmanager
    def _in_words(self, page: Page) -> Iterator[None]:
        """While a page's content has words in place of cards and notes, and figures as readers type them."""
        if not self._is_ours(page):
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

    def _time_to_read(self, handler: Handler, html: str, *, page: Page, **given: Any) -> None:
        words = self._completed[page.file.src_uri][1] if self._is_ours(page) else html
        handler(words, page=page, **given)

    def _text(self, handler: Handler, html: str, *, page: Page, **given: Any) -> None:
        def address(written: str) -> str:
            return _whole(page, written) if written.startswith("#") else written

        if self._is_ours(page):
            html = with_addresses(exported(html, working=True), address)
        handler(html, page=page, **given)

    def _feed(self, handler: Handler, html: str, *, page: Page, **given: Any) -> None:
        if not self._is_ours(page):
            handler(html, page=page, **given)
            return
        content, markdown = page.content, page.markdown
        page.content = with_addresses(exported(html, working=False), partial(_whole, page))
        page.markdown = self._abstract_of(page)
        try:
            handler(page.content, page=page, **given)
        finally:
            page.content, page.markdown = content, markdown

    def _all_pages(self, handler: Handler, html: str, *, page: Page, **given: Any) -> str | None:
        result: str | None = handler(html, page=page, **given)
        if self._is_ours(page) and hasattr(page, "html"):
            shows_all = handler.__self__  # type: ignore[attr-defined]
            page.html = _for_all_pages(page.html, page, shows_all)
        return result

    def _finish_all_pages(self, handler: Handler, *, config: MkDocsConfig) -> None:
        handler(config=config)
        page = getattr(handler.__self__, "print_page", None)  # type: ignore[attr-defined]
        if page is None or not self._completed:
            return
        file = Path(page.file.abs_dest_path)
        if file.is_file():
            with writing(file):
                file.write_text(self._dress(file.read_text("utf-8"), page), encoding="utf-8", newline="")


def _whole(page: Page, address: str) -> str:
    """An address with the site's before it, where that is known."""
    return urljoin(page.canonical_url or "", address)


def _pages_in(items: Iterable[Any]) -> Iterator[Page]:
    """The pages of a navigation."""
    for item in items:
        if isinstance(item, Page):
            yield item
        yield from _pages_in(item.children or ())


def _for_all_pages(html: str, page: Page, shows_all: Any) -> str:
    """A page for the page that shows all. That writes links to pages, and ids of headings and items, anew
    where they are in double quotes: what is right already is in single ones."""
    package = type(shows_all).__module__.partition(".")[0]
    exclude = import_module(f"{package}.exclude").exclude
    get_page_key = import_module(f"{package}.urls").get_page_key
    left_out = shows_all.config.get("exclude") or []
    among = {
        one.url for one in _pages_in(shows_all.renderer.items) if not exclude(one.file.src_path, left_out)
    }
    here = shows_all.print_page.url
    prefix = f"{get_page_key(page.url)}-"

    def address(written: str) -> str:
        if written.startswith("#"):
            return f"#{prefix}{written[1:]}"
        parts = urlsplit(written)
        if parts.scheme or parts.netloc:
            return written
        path = urljoin(f"/{page.url}", parts.path).lstrip("/")
        if path in among:
            return f"#{get_page_key(path)}" + (f"-{parts.fragment}" if parts.fragment else "")
        fragment = f"#{parts.fragment}" if parts.fragment else ""
        return get_relative_url(path, here) + fragment

    return shown_elsewhere(html, prefix, address, quote="'")


def excerpt_of(md: Markdown, files: Files, book: Book) -> Elsewhere | None:
    """Which page is rendered as an excerpt in the list of a blog, where one is."""
    if "excerpt" not in md.treeprocessors:
        return None
    excerpt: Any = md.treeprocessors["excerpt"]
    post, view = getattr(excerpt, "page", None), getattr(excerpt, "base", None)
    if not (isinstance(post, Page) and isinstance(view, Page)):
        return None
    key = without_ending(post.file.src_uri)
    return Elsewhere(
        page=key,
        address=post.canonical_url or post.url,
        seen=get_relative_url(post.url, view.url),
        href=partial(addresses_from(view, files, book), key),
    )


def _is_of(handler: Handler, package: str) -> bool:
    module = type(getattr(handler, "__self__", None)).__module__
    return module == package or module.startswith(f"{package}.")
