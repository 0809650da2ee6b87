"""What finished pages say of themselves in their heads, and the feed of those that state a day.

All of it needs to know where the site will be; nothing is guessed for a site that does not say it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape, unescape
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import get_plugin_logger
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.book.book import Page as BookPage
from buildlog.render.feed import Feed, FeedEntry, render_feed
from buildlog.render.head import PageHead, add_to_head, say_language
from buildlog.render.summary import first_sentence, paragraphs, shown_text
from mkdocs_buildlog.messages import writing
from mkdocs_buildlog.published import file_of, is_set_aside, key_of

FEED = "feed.xml"
SITEMAP = "sitemap.xml"

_log = get_plugin_logger("buildlog")
_IMAGE = re.compile(r"<img\b[^>]*>")
_ATTRIBUTE = re.compile(r'\b(src|alt)="([^"]*)"')
_LAST_CHANGE = re.compile(r"(<loc>([^<]*)</loc>\s*)<lastmod>[^<]*</lastmod>\s*")
_PHOTOGRAPHS = (".png", ".jpg", ".jpeg", ".webp", ".gif")  # previews show no drawings


class PageHeads:
    """The heads of the pages of one build."""

    def __init__(self) -> None:
        self.entries: dict[str, FeedEntry] = {}
        self._days: dict[str, str] = {}
        self._has_feed = False
        self._feed = FEED

    def begin(self, config: MkDocsConfig, files: Files, pages: Mapping[str, BookPage]) -> None:
        """Take in the site before its pages are made, and say what it has to state for which of this."""
        self.entries, self._days = {}, {}
        ours = ((key, page) for key, page in pages.items() if page.is_ours)
        dated = any(page.howto.date and _is_published(files, key, page) for key, page in ours)
        self._has_feed = bool(dated and config.site_url and config.site_author)
        self._feed = _feed_of_language(config)
        if self._has_feed and self._feed in files.src_uris:
            raise PluginError(
                f"buildlog: {self._feed} is in the way of the feed; give it another name. "
                "No page was written."
            )
        if not config.site_url:
            _log.info("site_url is not set: no canonical addresses, no tags for previews and no feed.")
        elif dated and not config.site_author:
            _log.info("site_author is not set: no feed, which has to name an author (RFC 4287, 4.1.1).")

    def take_in(self, page: Page, read: BookPage | None) -> None:
        """Keep the day that a page states, before the list of pages for search engines is made."""
        if read is not None and page.canonical_url:
            self._days[page.canonical_url] = read.howto.updated or read.howto.date

    def date_sitemap(self, sitemap: str) -> str:
        """The list of pages for search engines with the days that our pages state, and none where they state
        none: MkDocs writes the day of the build, on which most of them did not change."""

        def write_day(match: re.Match[str]) -> str:
            day = self._days.get(unescape(match[2]))
            if day is None:  # no page of ours
                return match[0]
            return match[1] + (f"<lastmod>{day}</lastmod>\n    " if day else "")

        return _LAST_CHANGE.sub(write_day, sitemap)

    def describe(self, page: Page) -> None:
        """Let the page's description be its first sentence where its front matter has none. The theme puts it
        into an attribute as it is, so it is escaped here."""
        described = page.meta.get("description") or ""
        if not isinstance(described, str) or not described.strip():
            texts = (shown_text(one) for one in paragraphs(page.content or ""))
            described = first_sentence(next(filter(None, texts), ""))
        if described:
            page.meta["description"] = escape(unescape(" ".join(described.split())))

    def add(self, output: str, page: Page, config: MkDocsConfig, read: BookPage) -> str:
        """A finished page with its head; what the feed has of it is kept."""
        address = page.canonical_url or ""
        description = unescape(str(page.meta.get("description") or ""))
        howto = read.howto
        title = howto.title or shown_text(str(page.title or "")) or config.site_name
        day, updated = howto.date, howto.updated
        image, words = _picture(page, address, config.site_url or "")
        head = PageHead(
            title=title,
            site=config.site_name,
            description=description,
            address=address,
            published=day,
            updated=updated,
            image=image,
            image_words=words,
            feed=get_relative_url(self._feed, page.url) if self._has_feed else "",
        )
        if day and self._has_feed and _is_included(page.file):
            self.entries[key_of(page)] = FeedEntry(
                title=title, address=address, published=day, updated=updated, summary=description
            )
        return say_language(add_to_head(output, head), howto.lang)

    def write_feed(self, config: MkDocsConfig) -> None:
        """Write the feed of the pages that were made."""
        if not self.entries:
            return
        site = str(config.site_url)
        feed = Feed(
            title=config.site_name,
            author=str(config.site_author),
            site=site,
            address=urljoin(site, self._feed),
            entries=list(self.entries.values()),
        )
        path = Path(config.site_dir) / self._feed
        with writing(path):
            path.write_text(render_feed(feed), encoding="utf-8")


def _feed_of_language(config: MkDocsConfig) -> str:
    """Where the feed is: beside the pages of their language, where a plugin builds the site once for each."""
    languages: Any = config.plugins.get("i18n")
    if languages is None or getattr(languages, "is_default_language_build", True):
        return FEED
    return f"{languages.current_language}/{FEED}"


def _is_published(files: Files, key: str, page: BookPage) -> bool:
    file = file_of(files, key)
    return file is not None and (_is_included(file) or is_set_aside(file, page))


def _is_included(file: File) -> bool:
    return bool(file.inclusion.is_included())  # type: ignore[no-untyped-call]


def _picture(page: Page, address: str, site: str) -> tuple[str, str]:
    """The first picture of a page that the site itself has, by its whole address, and its words."""
    if not address:
        return "", ""
    for tag in _IMAGE.findall(page.content or ""):
        attributes = {name: unescape(value) for name, value in _ATTRIBUTE.findall(tag)}
        whole = urljoin(address, attributes.get("src", ""))
        if whole.startswith(site) and whole.lower().endswith(_PHOTOGRAPHS):
            return whole, attributes.get("alt", "")
    return "", ""
