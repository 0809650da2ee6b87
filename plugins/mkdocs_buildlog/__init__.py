"""The MkDocs plugin: refuses to build a site with a disagreement, and lends MkDocs the Markdown extension.

It holds nothing of its own. The book and the proof read the source files, as ``buildlog proof`` does; the
extension renders; here they are only bound to MkDocs' events. Nothing is written under a watched folder.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, Literal

from mkdocs.config import base
from mkdocs.config import config_options as option
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.page.extension import BuildlogExtension
from buildlog.page.insertion import DeferredHtml
from buildlog.proof.overview import Overview
from buildlog.proof.proof import Report, proof
from buildlog.reading.markers import LISTS, read_markers
from buildlog.reading.settings import Settings, read_settings
from buildlog.render import LinkPiece, ledger_script, script, stylesheet
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.reproduce import page_files
from buildlog.render.sheet import has_sheet, sheet_path, workshop_sheet
from buildlog.report.baseline import of_site
from buildlog.report.text import findings_text, plural, summary_text
from mkdocs_buildlog.rendered import RenderedPages
from mkdocs_buildlog.watched import BuildProgress

log = get_plugin_logger("buildlog")

STYLESHEET = "assets/buildlog.css"
SCRIPT = "assets/buildlog.js"
LEDGER_SCRIPT = "assets/buildlog-ledger.js"
# What readers without sight miss in the theme: a name for the dialog of the search, and no heading where a
# table has none.
_MENDED = (
    (
        '<div class="md-search" data-md-component="search" role="dialog">',
        '<div class="md-search" data-md-component="search" role="dialog" aria-label="Search">',
    ),
    ("<th></th>", "<td></td>"),
)
_NAMES = ("buildlog", "buildlog.page.extension")
_LOUDNESS = {Severity.ERROR: log.error, Severity.WARNING: log.warning, Severity.NOTE: log.info}


class BuildlogConfig(base.Config):  # type: ignore[no-untyped-call]
    """Options under ``plugins: - buildlog:``. `buildlog.reading.settings` reads and checks the same ones."""

    loose = option.Type((str, bool), default="note")
    """How bad a loose figure is: off, note, warn or fail."""
    nominal_nouns = option.ListOfItems(option.Type(str), default=[])
    """Nouns that make a number before them a nominal size."""
    findings = option.Type(dict, default={})
    """Code of a finding → off, note, warn or fail."""


def _level(value: object) -> str:
    """A level; MkDocs' YAML reads the word off as no."""
    return "off" if value is False else str(value)


def _what(finding: Diagnostic) -> tuple[str, ...]:
    """A finding but for its place, which rendering does not know exactly."""
    return finding.position.path, finding.code.name, finding.found, finding.expected


def _key(page: Page) -> str:
    """A page's path under content, without its ending."""
    return page.file.src_uri.removesuffix(".md")


class BuildlogPlugin(BasePlugin[BuildlogConfig]):  # type: ignore[no-untyped-call]
    """Proofs the content before each build. See the module."""

    def __init__(self) -> None:
        self.serving = False
        self.settled = False
        self.extension = BuildlogExtension()
        self.book: Book | None = None
        self.report: Report | None = None
        self.kept = IdentityCache()
        self.later = DeferredHtml()
        self.rendered = RenderedPages(self.kept, self.later.begin)
        self.files: Files | None = None
        self.known: frozenset[tuple[str, ...]] = frozenset()
        self.progress = BuildProgress()

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Only serving shows a page with a disagreement."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Add the style sheet, and our instance of the extension in place of one that the site names."""
        self.extension = BuildlogExtension(style=False, findings=self.serving)
        self.extension.kept = self.kept
        self.extension.later = self.later
        names = [name for name in config.markdown_extensions if name not in _NAMES]
        config.markdown_extensions = [*names, self.extension]  # type: ignore[list-item]
        if STYLESHEET not in config.extra_css:
            config.extra_css = [STYLESHEET, *config.extra_css]
        return config

    # Before MkDocs empties the site's folder: a site that was published stays as it was.
    @event_priority(100)
    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Compute the book and proof it; serving, only what rests on what has changed since the last time.
        Building, an error (in strict mode a warning too) ends it here."""
        self.progress.begin()
        self.extension.drawing = lambda: self.progress.next("charts drawn")
        self.book = Book.open(
            root=self._root(config),
            settings=self._settings(config),
            earlier=self.book,
            progress=self.progress,
        )
        self.report = proof(self.book, earlier=self.report)
        report = of_site(self.report)
        self.known = frozenset(_what(one) for one in report.known)
        self.extension.book = self.book
        found: dict[str, list[Diagnostic]] = {}
        for finding in report.findings:
            found.setdefault(finding.position.path, []).append(finding)
        self.extension.findings = found
        self.extension.overview = Overview(self.book, report)
        self._relay(report, strict=config.strict)

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add the style sheet and the scripts, and each page's workshop sheet, results and inputs."""
        made = {STYLESHEET: stylesheet(), SCRIPT: script(), LEDGER_SCRIPT: ledger_script()}
        made.update(self._files_of_pages(files))
        for path, content in made.items():
            if (there := files.get_file_from_path(path)) is not None:
                raise PluginError(
                    f"buildlog: {there.src_uri} is in the way of a file that is made; give it another name. "
                    "No page was written."
                )
            files.append(File.generated(config, path, content=content))
        self.files = files
        self.rendered.begin(config, files, self.extension)
        for key in self.later.pages:
            if files.get_file_from_path(f"{key}.md") is None:
                self.later.begin(key)
        self.extension.published = frozenset(file.src_uri for file in files)
        return files

    def _files_of_pages(self, files: Files) -> dict[str, str]:
        """The files that the pages of the site lead to, by path under content."""
        made: dict[str, str] = {}
        overview = self.extension.overview
        if overview is None:
            return made
        for key in overview.book.pages:
            page = files.get_file_from_path(f"{key}.md")
            if page is None or page.inclusion is InclusionLevel.EXCLUDED:
                continue
            rests_on = overview.rests_on(key)
            made.update(self.kept.get(("files", key), rests_on, partial(page_files, overview.book, key)))
            if has_sheet(overview.book, key):
                path, place = sheet_path(key), overview.places.get(key)
                address = get_relative_url(page.url, path)
                made[path] = self.kept.get(
                    ("sheet", key),
                    rests_on,
                    partial(workshop_sheet, overview.book, key, place, address),
                    like=(place and place.shown, address),
                )
        return made

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> None:
        """Say which page is rendered next. Its text is left alone."""
        self.extension.page = _key(page)
        self.progress.pages = self.progress.pages or len(files.documentation_pages())
        self.progress.next("pages rendered", self.progress.pages)
        if not (self.serving and self._take_over(page)):
            self.later.begin(_key(page))

    def _take_over(self, page: Page) -> bool:
        """Let a page that rests on nothing new be what it was a build before; false where it cannot be."""
        key, overview = _key(page), self.extension.overview
        if overview is None or key not in overview.book.pages:
            return False
        own = overview.book.pages[key]
        markers = self.kept.get(("lists", key), (own,), lambda: read_markers(own.scanned))
        if any(marker.name in LISTS for marker in markers):
            return False  # it rests on all pages
        place = overview.places.get(key)
        findings = (self.extension.findings or {}).get(own.path, ())
        self.rendered.bind(
            page,
            overview.rests_on(key),
            (place and place.shown, list(findings), self.extension.published),
        )
        return True

    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> None:
        """The page is rendered; what renders Markdown between pages is none of them."""
        self.extension.page = ""
        if _key(page) in self.extension.apart:
            self.rendered.forget(_key(page))

    # Before other plugins, which then have the whole page.
    @event_priority(100)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Load the script in the head, since it has to know the reader's units before the page is drawn, and
        mend the theme."""
        self.progress.next("pages written", self.progress.pages)
        head, end, body = output.partition("</head>")
        body = self.later.finish(body, self._address_on(page))
        wanted = [SCRIPT, LEDGER_SCRIPT] if "buildlog-sortable" in body else [SCRIPT]
        scripts = [f'<script src="{get_relative_url(one, page.url)}"></script>' for one in wanted]
        loaded = "".join(scripts) if end else ""
        for found, mended in _MENDED:
            body = body.replace(found, mended)
        return f"{head}{loaded}{end}{body}"

    def _address_on(self, page: Page) -> Callable[[str, LinkPiece], str]:
        """Writes where links lead from a finished page, as MkDocs does."""
        here = _key(page)
        known: dict[str, str] = {}

        def address(made_for: str, link: LinkPiece) -> str:
            target = link.page or made_for
            anchor = f"#{link.anchor}" if link.anchor else ""
            if anchor and not link.file and target == here:
                return anchor
            path = link.file or f"{target}.md"
            if path not in known:
                file = self.files.get_file_from_path(path) if self.files is not None else None
                known[path] = file.url_relative_to(page.file) if file is not None else path
            return known[path] + anchor

        return address

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """All is done."""
        self.progress.end()
        self.kept.sweep(self.book.pages if self.book is not None else ())
        if self.serving and not self.settled:
            # What the first build has made stays: the collector need not look through it at every later one.
            gc.collect()
            gc.freeze()
            self.settled = True

    def on_build_error(self, *, error: Exception) -> None:
        """Nothing more is done; MkDocs says why."""
        self.progress.end()

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files) -> None:
        """All pages are rendered and none is written: the last place to stop what only rendering showed.

        Pages that another plugin made or changed are not in the files that the proof reads.
        """
        met = dict.fromkeys(self.extension.unexpected)
        unexpected = [one for one in met if _what(one) not in self.known]
        self.extension.unexpected = []
        if unexpected and not self.serving:
            remark = "on pages that another plugin made or changed; the places are not exact"
            raise PluginError(self._refusal(unexpected, remark, lambda position: ""))

    # --- what was found ---------------------------------------------------------------------

    def _root(self, config: MkDocsConfig) -> Path:
        return Path(config.config_file_path or "mkdocs.yml").resolve().parent

    def _settings(self, config: MkDocsConfig) -> Settings:
        return replace(
            read_settings(self._root(config)),
            content=Path(config.docs_dir).resolve(),
            loose=_level(self.config.loose),
            nominal_nouns=tuple(self.config.nominal_nouns),
            levels={str(code): _level(value) for code, value in self.config.findings.items()},
        )

    def _relay(self, report: Report, *, strict: bool) -> None:
        if not self.serving:
            worst = Severity.WARNING if strict else Severity.ERROR
            stopping = tuple(one for one in report.findings if one.severity <= worst)
            if stopping:
                raise PluginError(self._refusal(stopping, "strict: warnings count" if strict else ""))
        for finding in report.findings:
            _LOUDNESS[finding.severity](findings_text((finding,), self._line).rstrip())
        log.info(summary_text(report).strip())

    def _refusal(
        self,
        findings: Sequence[Diagnostic],
        remark: str = "",
        line_of: Callable[[Position], str] | None = None,
    ) -> str:
        count = plural(len(findings), "finding")
        return (
            f"buildlog: {count}{f' ({remark})' if remark else ''}; no page was written.\n\n"
            f"{findings_text(findings, line_of or self._line)}"
            "Mend them, or see each in its page with “mkdocs serve”."
        )

    def _line(self, position: Position) -> str:
        """The text of a line of a page, for the message to quote."""
        if self.book is None:
            return ""
        text = next((page.text for page in self.book.pages.values() if page.path == position.path), "")
        lines = text.splitlines()
        return lines[position.line - 1] if position.line <= len(lines) else ""
