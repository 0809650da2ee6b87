"""The files that the site gets besides its pages, and where links and scripts of a page lead."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from functools import partial
from pathlib import Path
from urllib.parse import urljoin

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.diagnostics import Refused
from buildlog.files.page_names import ENDINGS, without_ending
from buildlog.proof.overview import Overview
from buildlog.reading.words import Words
from buildlog.render import LinkPiece, ledger_script, page_scripts, search_script, stylesheet
from buildlog.render.bundle import bundle_path, page_bundle, program_path, shared_files
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.pieces import words_script
from buildlog.render.program import Program, running_program
from buildlog.render.reproduce import page_files
from buildlog.render.sheet import has_sheet, sheet_path, workshop_sheet
from buildlog.render.words import speaking, words_of_page
from mkdocs_buildlog.found import SEARCH_SCRIPT, has_search
from mkdocs_buildlog.messages import log

STYLESHEET = "assets/buildlog.css"
SCRIPTS = "assets/"
"""Where the scripts of every page are."""
LEDGER_SCRIPT = "assets/buildlog-ledger.js"


def key_of(page: Page) -> str:
    """A page's path under content, without its ending."""
    return without_ending(page.file.src_uri)


def file_of(files: Files, key: str) -> File | None:
    """The file of a page, whatever its ending."""
    named = (files.get_file_from_path(key + ending) for ending in ENDINGS)
    return next((file for file in named if file is not None), None)


def add_files(
    config: MkDocsConfig,
    files: Files,
    overview: Overview,
    cache: IdentityCache,
    *,
    serving: bool,
    besides: Mapping[str, str],
) -> None:
    """Add the style sheet and the scripts, each page's workshop sheet, results, inputs and bundle, and what
    is made besides."""
    made: dict[str, str | bytes] = {
        **besides,
        STYLESHEET: stylesheet(),
        **{f"{SCRIPTS}{name}": text for name, text in page_scripts().items()},
        LEDGER_SCRIPT: ledger_script(),
    }
    spoken = {words_of_page(overview.book, page) for page in overview.book.pages.values()}
    made |= {words_path(words): words_script(words) for words in spoken if not words.is_english}
    if has_search(config):
        made[SEARCH_SCRIPT] = search_script()
    made.update(_make_files_of_pages(config, files, overview, cache))
    if overview.book.settings.bundles:
        made.update(_make_bundles(files, overview, cache, serving=serving))
    for path, content in made.items():
        if (in_the_way := files.get_file_from_path(path)) is not None:
            raise PluginError(
                f"buildlog: {in_the_way.src_uri} is in the way of a file that is made; give it another name. "
                "No page was written."
            )
        files.append(File.generated(config, path, content=content))


def _make_files_of_pages(
    config: MkDocsConfig, files: Files, overview: Overview, cache: IdentityCache
) -> dict[str, str]:
    """The files that the pages of the site lead to, by path under content."""
    made: dict[str, str] = {}
    for key in overview.book.pages:
        page = file_of(files, key)
        if page is None or page.inclusion is InclusionLevel.EXCLUDED:
            continue
        rests_on = overview.rests_on(key)
        made.update(cache.get(("files", key), rests_on, partial(page_files, overview.book, key)))
        if has_sheet(overview.book, key):
            path, place = sheet_path(key), overview.places.get(key)
            address = get_relative_url(page.url, path)
            whole = urljoin(config.site_url or "", page.url)
            with speaking(words_of_page(overview.book, overview.book.pages[key])):
                made[path] = cache.get(
                    ("sheet", key),
                    rests_on,
                    partial(workshop_sheet, overview.book, key, place, address, whole),
                    like=(place and place.shown, address, whole),
                )
    return made


def _make_bundles(
    files: Files, overview: Overview, cache: IdentityCache, *, serving: bool
) -> dict[str, bytes]:
    """The bundles of the site's pages, and the program that they are proofed with. What a bundle has is made
    of what the page rests on, and of files that all pages share."""
    book, program = overview.book, running_program()
    least = InclusionLevel.DRAFT if serving else InclusionLevel.NOT_IN_NAV
    published = frozenset(file.src_uri for file in files if file.inclusion.value >= least.value)
    shared = (book.settings, published, tuple(map(_state_of, shared_files(book))))
    made: dict[str, bytes] = {}
    for key in book.pages:
        page = file_of(files, key)
        if page is None or page.src_uri not in published:
            continue
        bundle = cache.get(
            ("bundle", key),
            overview.rests_on(key),
            partial(_bundle, overview, key, program, published),
            like=shared,
        )
        if bundle is not None:
            made[bundle_path(key)] = bundle
    if made:
        made[program_path(program)] = program.content
    return made


def _bundle(overview: Overview, key: str, program: Program, published: Collection[str]) -> bytes | None:
    try:
        return page_bundle(overview.book, key, program, published.__contains__)
    except Refused as error:
        log.info(
            "%s has no bundle: it rests on %s, and a bundle takes %s.",
            overview.book.pages[key].path,
            error.found,
            error.expected,
        )
        return None


def _state_of(path: Path) -> tuple[int, int] | None:
    """By which a file is known to be the same as at the last save; None where there is none."""
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size


def words_path(words: Words) -> str:
    """Where the script with the words of a language is, under content."""
    return f"{SCRIPTS}buildlog-words-{words.language}.js"


def script_addresses(page: Page, words: Words, besides: Iterable[str]) -> list[str]:
    """Where the scripts are that a page loads, ours for every page and those besides, seen from the page. The
    `words` of another language come before those that say them."""
    first, *others = (f"{SCRIPTS}{name}" for name in page_scripts())
    paths = [first, *([] if words.is_english else [words_path(words)]), *others, *besides]
    return [get_relative_url(path, page.url) for path in paths]


def addresses_from(page: Page, files: Files) -> Callable[[str, LinkPiece], str]:
    """Writes where links lead from a finished page, as MkDocs does."""
    here = key_of(page)
    known: dict[str, str] = {}

    def write_address(made_for: str, link: LinkPiece) -> str:
        target = link.page or made_for
        anchor = f"#{link.anchor}" if link.anchor else ""
        if anchor and not link.file and target == here:
            return anchor
        path = link.file or target
        if path not in known:
            file = files.get_file_from_path(path) if link.file else file_of(files, target)
            known[path] = path
            if file is not None:
                known[path] = file.url_relative_to(page.file)
        return known[path] + anchor

    return write_address
