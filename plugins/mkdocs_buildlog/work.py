"""What the plugin does on a site that has something of ours.

The book and the proof read the source files, as ``buildlog proof`` does; the extension renders; what is held
between builds stands in `memory`. Nothing is written under a watched folder. Pages that have nothing of ours
are left as they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from buildlog.book.book import Page as BookPage
from buildlog.built.files import is_for_own_numbers, own_number_files
from buildlog.diagnostics import Diagnostic
from buildlog.page.abstract import without_ours
from buildlog.page.extension import BuildlogExtension
from buildlog.proof.overview import Overview
from buildlog.reading.markdown.page import Link
from buildlog.reading.markers import LISTS, read_markers
from buildlog.reading.publication import ALWAYS_EXCLUDED, Publication
from buildlog.reading.report_address import fault_of
from buildlog.reading.settings import SERVED, Settings, read_settings
from buildlog.render.words import words_of_page
from mkdocs_buildlog.assets import Assets
from mkdocs_buildlog.found import rank_in_search
from mkdocs_buildlog.head import SITEMAP, PageHeads
from mkdocs_buildlog.memory import BuildMemory
from mkdocs_buildlog.messages import (
    quote_line,
    refusal_of,
    refuse_if_any_stops,
    relay_findings,
    tell_of_pages,
)
from mkdocs_buildlog.options import BuildlogConfig
from mkdocs_buildlog.own_numbers import described_on_pages, packed_scripts
from mkdocs_buildlog.published import add_files, addresses_from, key_of
from mkdocs_buildlog.readers import PageReaders, excerpt_of


def _level(value: object) -> str:
    """A level; MkDocs' YAML reads the word off as no."""
    return "off" if value is False else str(value)


class Work:
    """One site's, over its builds. Each method is called at an event of MkDocs."""

    def __init__(self, *, serving: bool) -> None:
        self.serving = serving
        self.memory = BuildMemory()
        self.extension = BuildlogExtension()
        self.heads = PageHeads()
        self.readers = PageReaders(self._abstract_of, self._dress)
        self.assets: Assets | None = None
        self._told_before = 0  # errors that rendering had met when the page began
        self._is_ours = False  # whether something of ours is on a page of this build

    def begin(self, config: MkDocsConfig, options: BuildlogConfig, *, asked: bool) -> bool:
        """Compute the book and proof it. Building, an error (in strict mode a warning too) ends it here.
        Where no page has anything of ours and nobody `asked`, files with names like ours are none either, and
        there is nothing more to do: false."""
        self.extension = BuildlogExtension(style=False, findings=self.serving)
        self.extension.cache = self.memory.cache
        self.extension.deferred = self.memory.deferred
        self.extension.pictures = self.memory.rendered.pictures
        self.extension.drawing = lambda: self.memory.progress.next("charts drawn")
        self.assets, self._is_ours = None, False
        self.memory.progress.begin()
        self.readers.begin(config)
        overview = self.memory.read_site(_root(config), settings_of(config, options, serving=self.serving))
        self.extension.book = overview.book
        self.extension.overview = overview
        self.extension.findings = _by_page(overview.report.findings)
        if not asked and not any(page.is_ours for page in overview.book.pages.values()):
            tell_of_pages(overview.report, overview.book)
            self.memory.progress.end()
            return False
        if not self.serving:
            refuse_if_any_stops(overview.report, overview.book, strict=config.strict)
        self.memory.told = relay_findings(
            overview.report, overview.book, serving=self.serving, before=self.memory.told
        )
        return True

    def add_files(self, config: MkDocsConfig, files: Files) -> None:
        """Add the files that our pages lead to, and take in what all pages of this build rest on."""
        described = described_on_pages(self._overview, self.memory.cache, files)
        made = own_number_files(described, partial(packed_scripts, self.memory.cache))
        add_files(config, files, self._overview, self.memory.cache, besides=made)
        self.extension.own_numbers = {(one.page, one.id): one.offer for one in described}
        self.heads.begin(config, files, self._overview.book.pages)
        self.memory.rendered.begin(config)
        self.memory.take_in(files)
        self.extension.elsewhere = lambda md: excerpt_of(md, self.memory.files, self._overview.book)
        self.extension.published = frozenset(
            file.src_uri for file in files if not is_for_own_numbers(file.src_uri)
        )

    def begin_page(self, page: Page, files: Files) -> bool:
        """Say which page is rendered next; whether it has something of ours as it stands in its file."""
        key = key_of(page)
        read = self._read(key)
        self.extension.page, self.extension.address = key, page.canonical_url or page.url
        self.extension.at_work = None
        rank_in_search(page, read)
        self.heads.take_in(page, read)
        progress = self.memory.progress
        progress.pages = progress.pages or len(files.documentation_pages())
        progress.next("pages rendered", progress.pages)
        in_book = self._overview.book.pages.get(key)
        if in_book is None or not self._take_over(page, in_book):
            self.memory.rendered.forget(key)
            self.memory.deferred.begin(key)
        self._told_before = len(self.extension.unexpected)
        self._is_ours = self._is_ours or read is not None
        return read is not None

    def end_page(self, html: str, page: Page, files: Files) -> str:
        """The page is rendered: put in our cards and notes."""
        key = key_of(page)
        self.extension.page = ""
        if key in self.extension.apart:
            self.memory.rendered.forget(key)
        elif len(self.extension.unexpected) == self._told_before:
            self.memory.rendered.keep(key)
        whole = self.readers.complete(
            html, page, self.memory.deferred, addresses_from(page, files, self._overview.book)
        )
        self._is_ours = self._is_ours or whole is not html
        return whole

    def end_pages(self, config: MkDocsConfig, files: Files) -> None:
        """Stop at what only rendering showed, and add what pages of ours load.

        Pages that another plugin made or changed are not in the files that the proof reads, and what was
        rendered has to be what was judged.
        """
        met = dict.fromkeys(self.extension.unexpected)
        self.extension.unexpected = []
        unexpected = [finding for finding in met if not self.memory.is_known(finding)]
        if unexpected and not self.serving:
            remark = "on the rendered pages: another plugin made or changed them, or an extension of the site"
            book = self._overview.book
            raise refusal_of(unexpected, remark, lambda position: quote_line(book, position))
        if self._is_ours:
            self.assets = Assets(config, files, self._overview.book)

    def finish_template(self, output: str, name: str) -> str:
        """The list of pages for search engines, with the days that our pages state."""
        return self.heads.date_sitemap(output) if name == SITEMAP else output

    def describe(self, page: Page) -> None:
        """Say what a page of ours is about, for those that show it elsewhere."""
        if self._read(key_of(page)) is not None:
            self.heads.describe(page)

    def finish_page(self, output: str, page: Page, config: MkDocsConfig) -> str:
        """Complete the head of a page of ours, and put in what another plugin has kept from us until now.
        Where anything of ours is in the page then, let it load what that needs; any other comes out as it
        was."""
        self.memory.progress.next("pages written", self.memory.progress.pages)
        finished = self.memory.deferred.finish(
            output, addresses_from(page, self.memory.files, self._overview.book)
        )
        read = self._read(key_of(page))
        finished = self._dress(finished, page)
        return finished if read is None else self.heads.add(finished, page, config, read)

    def end(self, config: MkDocsConfig) -> None:
        """All is done but for the feed."""
        self.heads.write_feed(config)
        self.memory.end_build()

    # --- what these need --------------------------------------------------------------------

    @property
    def _overview(self) -> Overview:
        """This build's. MkDocs' order of events has it made before it is wanted."""
        assert self.memory.overview is not None
        return self.memory.overview

    def _read(self, key: str) -> BookPage | None:
        """A page as the book has it, where it has something of ours."""
        page = self._overview.book.pages.get(key)
        return page if page is not None and page.is_ours else None

    def _dress(self, html: str, page: Page) -> str:
        """A finished page with what it loads."""
        if self.assets is None:
            return html
        return self.assets.dress(html, page, self._read(key_of(page)))

    def _abstract_of(self, page: Page) -> str:
        """A page's Markdown for those that render it themselves."""
        key = key_of(page)

        def text_of(link: Link) -> str:
            judged = self._overview.judged(key, link.label, link.address, link.title or "")
            return "" if judged is None else judged.text

        return without_ours(page.markdown or "", text_of)

    def _lists_on(self, page: BookPage) -> frozenset[str]:
        """The lists of the whole site that a page shows."""
        cache = self.memory.cache
        markers = cache.get(("lists", page.key), (page,), lambda: read_markers(page.scanned))
        return frozenset(marker.name for marker in markers if marker.name in LISTS)

    def _offers(self, read: BookPage) -> Iterator[tuple[str, str]]:
        """What the cards of a page offer of a reader's own numbers."""
        for block in read.blocks:
            if (offer := self.extension.own_numbers.get((read.key, block.id))) is not None:
                yield offer.script, offer.refused

    def _take_over(self, page: Page, read: BookPage) -> bool:
        """Let a page that rests on nothing new be what it was a build or a run before; false where it cannot
        be."""
        overview = self._overview
        if self._lists_on(read):  # a list rests on all pages
            return False
        place = overview.places.get(read.key)
        findings = (self.extension.findings or {}).get(read.path, ())
        settings = overview.book.settings
        return self.memory.rendered.bind(
            page,
            overview.rests_on(read.key),
            (
                place and place.shown,
                list(findings),
                self.extension.published,
                settings.units,
                overview.terms,
                words_of_page(overview.book, read),
                self.serving,
                self.extension.address,
                tuple(self._offers(read)),
            ),
            settings.content,
        )


def settings_of(config: MkDocsConfig, options: BuildlogConfig, *, serving: bool = False) -> Settings:
    """What the proof reads, with the values that MkDocs has by now: other plugins may change them."""
    settings = read_settings(_root(config), _settings_file(config))
    report = options.report
    fault = fault_of(report) if report else None
    if fault is not None and not settings.faults:  # it came from elsewhere than the file that was read
        raise PluginError(
            f"buildlog: the setting report has {fault[0]}; expected {fault[1]}. No page was written."
        )
    content = Path(config.docs_dir)
    if settings.content.exists() and content.samefile(settings.content):
        content = settings.content
    return replace(
        settings,
        content=content,
        loose=_level(options.loose),
        nominal_nouns=tuple(options.nominal_nouns),
        report="" if fault else report,
        levels={str(code): _level(value) for code, value in options.findings.items()},
        units=options.units,
        bundles=options.bundles,
        cache=options.cache,
        language=str(config.theme.get("language") or ""),
        plugins=tuple(_running_plugins(config)),
        enabled=True,
        publication=_publication(config, settings.publication),
        drafts=SERVED if serving else "",
    )


def _publication(config: MkDocsConfig, read: Publication) -> Publication:
    """Which files MkDocs publishes, by the patterns that it has by now."""
    excluded = config.exclude_docs
    return replace(
        read,
        excluded=ALWAYS_EXCLUDED + excluded if excluded else ALWAYS_EXCLUDED,
        drafts=config.draft_docs,
        hidden=config.not_in_nav,
    )


def _settings_file(config: MkDocsConfig) -> Path | None:
    """The site's file of settings; None where a program has set it up without one."""
    return _root(config) / Path(config.config_file_path).name if config.config_file_path else None


def _root(config: MkDocsConfig) -> Path:
    return Path(config.config_file_path or "mkdocs.yml").parent.resolve()


def _running_plugins(config: MkDocsConfig) -> Iterator[str]:
    """The plugins that run, as a site names them: without their theme's name, and each as often."""
    for name, plugin in config.plugins.items():
        options = getattr(plugin, "config", None)
        if name not in (config.hooks or ()) and not (options and options.get("enabled") is False):
            yield name.partition(" #")[0].rpartition("/")[2]


def _by_page(findings: Sequence[Diagnostic]) -> dict[str, list[Diagnostic]]:
    by_page: dict[str, list[Diagnostic]] = {}
    for finding in findings:
        by_page.setdefault(finding.position.path, []).append(finding)
    return by_page
