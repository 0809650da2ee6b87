"""The MkDocs plugin: refuses to build a site with a disagreement, and lends MkDocs the Markdown extension.

Each event of MkDocs is a call to what does the work. The book and the proof read the source files, as
``buildlog proof`` does; the extension renders; what is held between builds stands in `memory`. Nothing is
written under a watched folder.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from mkdocs.config import base
from mkdocs.config import config_options as option
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from buildlog.diagnostics import Diagnostic
from buildlog.page.abstract import without_ours
from buildlog.page.extension import BuildlogExtension
from buildlog.page.photographs import picture_files
from buildlog.proof.overview import Overview
from buildlog.reading.markdown.page import Link
from buildlog.reading.markers import LISTS, read_markers
from buildlog.reading.plugin_options import UNIT_SYSTEMS
from buildlog.reading.report_address import fault_of
from buildlog.reading.settings import Settings, read_settings
from buildlog.reading.words import ENGLISH
from buildlog.render.words import words_of_page
from mkdocs_buildlog.found import add_notice, rank_in_search
from mkdocs_buildlog.head import SITEMAP, PageHeads
from mkdocs_buildlog.memory import BuildMemory
from mkdocs_buildlog.messages import quote_line, refusal_of, refuse_if_any_stops, relay_findings
from mkdocs_buildlog.own_numbers import (
    OWN_NUMBERS_SCRIPT,
    described_blocks,
    is_for_own_numbers,
    own_number_files,
)
from mkdocs_buildlog.published import (
    LEDGER_SCRIPT,
    STYLESHEET,
    add_files,
    addresses_from,
    key_of,
    script_addresses,
)
from mkdocs_buildlog.readers import PageReaders, excerpt_of

# However a site names our extension, the plugin's own instance takes its place.
_NAMES = ("buildlog", "buildlog.page.extension")
# The lists with tables that readers can sort and search.
_SORTED = frozenset(("ledger", "coverage"))


class BuildlogConfig(base.Config):  # type: ignore[no-untyped-call]
    """Options under ``plugins: - buildlog:``. `buildlog.reading.settings` reads and checks the same ones."""

    loose = option.Type((str, bool), default="note")
    """How bad a loose figure is: off, note, warn or fail."""
    nominal_nouns = option.ListOfItems(option.Type(str), default=[])
    """Nouns that make a number before them a nominal size."""
    findings = option.Type(dict, default={})
    """Code of a finding → off, note, warn or fail."""
    units = option.Choice(UNIT_SYSTEMS, default="written")
    """The system of units that pages are shown in until a reader chooses another."""
    report = option.Type(str, default="")
    """Where readers report a figure: an https or mailto address with {title} and {body}."""
    bundles = option.Type(bool, default=True)
    """Whether the bundles of pages are published, with which a reader repeats their figures."""
    enabled = option.Type(bool, default=True)
    """Off: the plugin does nothing at all."""


def _level(value: object) -> str:
    """A level; MkDocs' YAML reads the word off as no."""
    return "off" if value is False else str(value)


class BuildlogPlugin(BasePlugin[BuildlogConfig]):  # type: ignore[no-untyped-call]
    """Maps the events of MkDocs, in the order in which they come. See the module."""

    def __init__(self) -> None:
        self.serving = False
        self.memory = BuildMemory()
        self.extension = BuildlogExtension()
        self.heads = PageHeads()
        self.readers = PageReaders(self._abstract_of)

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Only serving shows a page with a disagreement."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Add the style sheet, and our instance of the extension in place of one that the site names."""
        self.extension = BuildlogExtension(style=False, findings=self.serving)
        self.extension.cache = self.memory.cache
        self.extension.deferred = self.memory.deferred
        self.extension.drawing = lambda: self.memory.progress.next("charts drawn")
        names = [name for name in config.markdown_extensions if name not in _NAMES]
        config.markdown_extensions = [*names, self.extension]  # type: ignore[list-item]
        if STYLESHEET not in config.extra_css:
            config.extra_css = [STYLESHEET, *config.extra_css]
        add_notice(config)
        return config

    # Before MkDocs empties the site's folder: a site that was published stays as it was.
    @event_priority(100)
    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Compute the book and proof it. Building, an error (in strict mode a warning too) ends it here."""
        self.memory.progress.begin()
        self.readers.begin(config)
        overview = self.memory.read_site(_root(config), self._settings(config))
        self.extension.book = overview.book
        self.extension.overview = overview
        self.extension.findings = _by_page(overview.report.findings)
        if not self.serving:
            refuse_if_any_stops(overview.report, overview.book, strict=config.strict)
        self.memory.told = relay_findings(
            overview.report, overview.book, serving=self.serving, before=self.memory.told
        )

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add the files that our pages lead to, and take in what all pages of this build rest on."""
        described = described_blocks(self._overview, self.memory.cache, files)
        add_files(
            config,
            files,
            self._overview,
            self.memory.cache,
            serving=self.serving,
            besides=own_number_files(described),
        )
        self.extension.own_numbers = {(one.page, one.id): one.offer for one in described}
        self.heads.begin(config, files, self._overview.book.pages)
        self.memory.rendered.begin(config, files, self.extension)
        self.memory.take_in(files)
        self.extension.elsewhere = lambda md: excerpt_of(md, self.memory.files)
        self.extension.published = frozenset(
            file.src_uri for file in files if not is_for_own_numbers(file.src_uri)
        )
        return files

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> None:
        """Say which page is rendered next, and from where it loads the scripts. Its text is left alone."""
        key = key_of(page)
        self.extension.page, self.extension.address = key, page.canonical_url or page.url
        read = self._overview.book.pages.get(key)
        rank_in_search(page, read)
        self.heads.take_in(page, read)
        words = ENGLISH if read is None else words_of_page(self._overview.book, read)
        self.extension.scripts = script_addresses(page, words, self._scripts_of(key))
        progress = self.memory.progress
        progress.pages = progress.pages or len(files.documentation_pages())
        progress.next("pages rendered", progress.pages)
        if not (self.serving and self._take_over(page)):
            self.memory.deferred.begin(key)

    # Before other plugins, which then have the whole page.
    @event_priority(100)
    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """The page is rendered; what renders Markdown between pages is none of them. Our cards and notes are
        put in place of our own stand-ins, for whatever reads the page next."""
        self.extension.page, self.extension.scripts = "", ()
        if key_of(page) in self.extension.apart:
            self.memory.rendered.forget(key_of(page))
        return self.readers.complete(html, page, self.memory.deferred, addresses_from(page, files))

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files) -> None:
        """All pages are rendered and none is written: the last place to stop what only rendering showed.

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

    def on_post_template(self, output: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Leave no days in the sitemap but those that pages state."""
        return self.heads.date_sitemap(output) if template_name == SITEMAP else output

    # After other plugins, which have the description as its author wrote it.
    @event_priority(-100)
    def on_page_context(self, context: Any, *, page: Page, config: MkDocsConfig, nav: Any) -> None:
        """Say what the page is about, for those that show it elsewhere."""
        self.heads.describe(page)

    # Before other plugins, which then have the whole page.
    @event_priority(100)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Complete the head, and put in what another plugin has kept from us until now."""
        self.memory.progress.next("pages written", self.memory.progress.pages)
        finished = self.memory.deferred.finish(output, addresses_from(page, self.memory.files))
        return self.heads.add(finished, page, config, self._overview.book.pages.get(key_of(page)))

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """All is done but for the feed."""
        self.heads.write_feed(config)
        self.memory.end_build()

    def on_build_error(self, *, error: Exception) -> None:
        """Nothing more is done; MkDocs says why."""
        self.memory.progress.end()

    # --- what the events need ---------------------------------------------------------------

    @property
    def _overview(self) -> Overview:
        """This build's. MkDocs' order of events has it made before it is wanted."""
        assert self.memory.overview is not None
        return self.memory.overview

    def _settings(self, config: MkDocsConfig) -> Settings:
        """What the proof reads, with the values that MkDocs has by now: other plugins may change them."""
        settings = read_settings(_root(config), _settings_file(config))
        report = self.config.report
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
            loose=_level(self.config.loose),
            nominal_nouns=tuple(self.config.nominal_nouns),
            report="" if fault else report,
            levels={str(code): _level(value) for code, value in self.config.findings.items()},
            units=self.config.units,
            bundles=self.config.bundles,
            language=str(config.theme.get("language") or ""),
            plugins=tuple(_running_plugins(config)),
            enabled=True,
        )

    def _abstract_of(self, page: Page) -> str:
        """A page's Markdown for those that render it themselves."""
        key = key_of(page)

        def text_of(link: Link) -> str:
            judged = self._overview.judged(key, link.label, link.address, link.title or "")
            return "" if judged is None else judged.text

        return without_ours(page.markdown or "", text_of)

    def _lists_on(self, key: str) -> frozenset[str]:
        """The lists of the whole site that a page shows."""
        page = self._overview.book.pages.get(key)
        if page is None:
            return frozenset()
        markers = self.memory.cache.get(("lists", key), (page,), lambda: read_markers(page.scanned))
        return frozenset(marker.name for marker in markers if marker.name in LISTS)

    def _scripts_of(self, key: str) -> Iterator[str]:
        """The scripts that a page loads besides the one of every page."""
        if not _SORTED.isdisjoint(self._lists_on(key)):
            yield LEDGER_SCRIPT
        if any(page == key and offer.script for (page, _), offer in self.extension.own_numbers.items()):
            yield OWN_NUMBERS_SCRIPT

    def _take_over(self, page: Page) -> bool:
        """Let a page that rests on nothing new be what it was a build before; false where it cannot be."""
        key, overview = key_of(page), self._overview
        if key not in overview.book.pages or self._lists_on(key):  # a list rests on all pages
            return False
        place = overview.places.get(key)
        of_book = overview.book.pages[key]
        findings = (self.extension.findings or {}).get(of_book.path, ())
        pictures = picture_files(of_book.scanned, overview.book.settings.content, key)
        units = overview.book.settings.units
        self.memory.rendered.bind(
            page,
            overview.rests_on(key),
            (
                place and place.shown,
                list(findings),
                self.extension.published,
                pictures,
                units,
                overview.terms,
                words_of_page(overview.book, of_book),
            ),
        )
        return True


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
