"""The MkDocs plugin: refuses to build a site with a disagreement, and lends MkDocs the Markdown extension.

Each event of MkDocs is a call to what does the work, in `work`. That is loaded where the site has something
of ours, and not before: on a site that has nothing, the plugin looks over the pages, and that is all it does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from markdown import Extension
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

import mkdocs_buildlog.in_place  # noqa: F401 - before anything of buildlog is imported

# isort: split
from buildlog.files.page_names import ENDINGS
from mkdocs_buildlog.look import Lookout, folder_has_signs
from mkdocs_buildlog.options import BuildlogConfig as BuildlogConfig
from mkdocs_buildlog.options import sets_something

if TYPE_CHECKING:
    from mkdocs_buildlog.memory import BuildMemory
    from mkdocs_buildlog.work import Work

# However a site names our extension, the plugin's own instance takes its place.
_NAMES = ("buildlog", "buildlog.page.extension")


class BuildlogPlugin(BasePlugin[BuildlogConfig]):  # type: ignore[no-untyped-call]
    """Maps the events of MkDocs, in the order in which they come. See the module."""

    def __init__(self) -> None:
        self.serving = False
        self.awake = False
        self.lookout = Lookout(self._extension)
        self._work: Work | None = None
        self._site: tuple[MkDocsConfig, Files] | None = None
        self._page: Page | None = None

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Only serving shows a page with a disagreement."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Take our place in the list of extensions, which other plugins hold on to: it stays the same
        list."""
        self.awake, self._site = False, None
        if self.config.enabled:
            ours = (*_NAMES, self.lookout)
            names = [name for name in config.markdown_extensions if name not in ours]
            config.markdown_extensions[:] = [*names, self.lookout]  # type: ignore[list-item]
        return config

    # Before MkDocs empties the site's folder: a site that was published stays as it was.
    @event_priority(100)
    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Where the site has something of ours, or sets something, compute the book and proof it. Building,
        an error (in strict mode a warning too) ends it here."""
        asked = sets_something(self.config)
        if self.config.enabled and (asked or folder_has_signs(config.docs_dir, ENDINGS)):
            self._wake(config, asked=asked)

    # After plugins that give pages other addresses, such as one of several languages.
    @event_priority(-150)
    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add the files that our pages lead to, and take in what all pages of this build rest on."""
        self._site = config, files
        if self.awake:
            self.work.add_files(config, files)
        return files

    def on_page_markdown(self, markdown: str, *, page: Page, config: MkDocsConfig, files: Files) -> None:
        """Say which page is rendered next. Its text is left alone."""
        self._page = page
        self.lookout.wanted = self.config.enabled and "buildlog" in page.meta
        if self.awake:
            self.lookout.wanted = self.work.begin_page(page, files) or self.lookout.wanted

    # Before other plugins, which then have the whole page.
    @event_priority(100)
    def on_page_content(self, html: str, *, page: Page, config: MkDocsConfig, files: Files) -> str:
        """The page is rendered; what renders Markdown between pages is none of them. Our cards and notes are
        put in place of our own stand-ins, for whatever reads the page next."""
        self._page, self.lookout.wanted = None, False
        return self.work.end_page(html, page, files) if self.awake else html

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files) -> None:
        """All pages are rendered and none is written: the last place to stop what only rendering showed."""
        if self.awake:
            self.work.end_pages(config, files)

    def on_post_template(self, output: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Leave no days of ours in the sitemap but those that pages state."""
        return self.work.finish_template(output, template_name) if self.awake else output

    # After other plugins, which have the description as its author wrote it.
    @event_priority(-100)
    def on_page_context(self, context: Any, *, page: Page, config: MkDocsConfig, nav: Any) -> None:
        """Say what the page is about, for those that show it elsewhere."""
        if self.awake:
            self.work.describe(page)

    # Before other plugins, which then have the whole page.
    @event_priority(100)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Complete the head, put in what another plugin has kept from us until now, and load what it
        needs."""
        return self.work.finish_page(output, page, config) if self.awake else output

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """All is done but for the feed."""
        if self.awake:
            self.work.end(config)

    def on_build_error(self, *, error: Exception) -> None:
        """Nothing more is done; MkDocs says why."""
        if self.awake:
            self.work.memory.progress.end()

    # --- what the events need ---------------------------------------------------------------

    @property
    def work(self) -> Work:
        """What does the work; with it, most of buildlog is loaded."""
        if self._work is None:
            from mkdocs_buildlog.work import Work

            self._work = Work(serving=self.serving)
        return self._work

    @property
    def memory(self) -> BuildMemory:
        """What is held between builds."""
        return self.work.memory

    @memory.setter
    def memory(self, memory: BuildMemory) -> None:
        self.work.memory = memory

    def _wake(self, config: MkDocsConfig, *, asked: bool) -> None:
        self.work.serving = self.serving
        self.awake = self.work.begin(config, self.config, asked=asked)

    def _extension(self, text: str) -> Extension | None:
        """Our extension, for a page that wants it. A page that another plugin made, or brought something
        into, may be the first: then the site is read now. One that only speaks of us does not want it."""
        if not self.awake and not self.lookout.wanted:
            from buildlog.reading.whole_page import read_page

            if not read_page("-", "-", text).is_ours:
                return None
        if not self.awake and self._site is not None:
            self._wake(self._site[0], asked=True)
            self.work.add_files(*self._site)
            if self._page is not None:
                self.work.begin_page(self._page, self._site[1])
        return self.work.extension
