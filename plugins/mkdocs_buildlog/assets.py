"""The style sheet and the scripts: which of them the site gets, and which a finished page loads from
where."""

from __future__ import annotations

from posixpath import normpath
from urllib.parse import unquote, urljoin, urlsplit

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url, normalize_url

from buildlog.book.book import Book
from buildlog.book.book import Page as BookPage
from buildlog.built.files import OWN_NUMBERS_SCRIPT
from buildlog.reading.words import Words, words_for
from buildlog.render import ledger_script, page_scripts, search_script, stylesheet
from buildlog.render.loading import add_scripts, add_sheet, has_ours, script_tags, wants_scripts
from buildlog.render.pieces import words_script
from buildlog.render.words import words_of_page
from mkdocs_buildlog.found import has_search
from mkdocs_buildlog.published import append_made

FOLDER = "assets/"
STYLESHEET = "assets/buildlog.css"
LEDGER_SCRIPT = "assets/buildlog-ledger.js"
SEARCH_SCRIPT = "assets/buildlog-search.js"


class Assets:
    """Those of one build, on which some page has something of ours."""

    def __init__(self, config: MkDocsConfig, files: Files, book: Book) -> None:
        self.config = config
        self.book = book
        self._add(files)
        themes = [folder for folder in config.theme.dirs if folder != config.theme.custom_dir]
        self._of_theme = frozenset(
            file.dest_uri for file in files if file.src_dir in themes and file.dest_uri.endswith(".css")
        )
        self._of_site = [str(path) for path in config.extra_css]

    def _add(self, files: Files) -> None:
        """Give the site the files."""
        made: dict[str, str | bytes] = {
            STYLESHEET: stylesheet(),
            **{f"{FOLDER}{name}": text for name, text in page_scripts().items()},
            LEDGER_SCRIPT: ledger_script(),
        }
        spoken = {words_of_page(self.book, page) for page in self.book.pages.values() if page.is_ours}
        spoken.add(self._words(None))
        made |= {_words_path(words): words_script(words) for words in spoken if not words.is_english}
        if has_search(self.config):
            made[SEARCH_SCRIPT] = search_script()
        append_made(self.config, files, made)

    def dress(self, html: str, page: Page, read: BookPage | None) -> str:
        """A finished page with what it loads for what is ours in it; one that has nothing is left as it
        is."""
        if not has_ours(html):
            return html
        sheet = get_relative_url(STYLESHEET, page.url)
        own = {normalize_url(path, page) for path in self._of_site}
        html = add_sheet(
            html,
            sheet,
            of_theme=lambda address: _path_of(address, page) in self._of_theme,
            of_site=lambda address: address in own,
        )
        if not wants_scripts(html):
            return html
        scripts = [get_relative_url(path, page.url) for path in self._scripts(html, self._words(read))]
        tags = script_tags(
            scripts,
            units=self.book.settings.units,
            sheet=STYLESHEET,
            before=next((path.lstrip("./") for path in self._of_site if '"' not in path), ""),
        )
        return add_scripts(html, tags)

    def _scripts(self, html: str, words: Words) -> list[str]:
        """The scripts that a page wants; the words of another language come before those that say them."""
        first, *others = (f"{FOLDER}{name}" for name in page_scripts())
        scripts = [first, *([] if words.is_english else [_words_path(words)]), *others]
        if "buildlog-sortable" in html or "buildlog-ledger" in html:
            scripts.append(LEDGER_SCRIPT)
        if "data-own=" in html:
            scripts.append(OWN_NUMBERS_SCRIPT)
        if has_search(self.config):
            scripts.append(SEARCH_SCRIPT)
        return scripts

    def _words(self, read: BookPage | None) -> Words:
        """Those of a page, or of the site where a page shows what stands on others."""
        if read is not None:
            return words_of_page(self.book, read)
        return words_for(self.book.settings.language, self.book.words)


def _words_path(words: Words) -> str:
    """Where the script with the words of a language is, under content."""
    return f"{FOLDER}buildlog-words-{words.language}.js"


def _path_of(address: str, page: Page) -> str:
    """The path in the site that an address in a page leads to."""
    return normpath(unquote(urlsplit(urljoin(f"/{page.url}", address)).path)).lstrip("/")
