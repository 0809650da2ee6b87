"""The files that the site gets besides its pages, and where links and scripts of a page lead."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.files.page_names import ENDINGS, without_ending
from buildlog.proof.overview import Overview
from buildlog.render import LinkPiece, ledger_script, script, search_script, stylesheet
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.reproduce import page_files
from buildlog.render.sheet import has_sheet, sheet_path, workshop_sheet
from mkdocs_buildlog.found import SEARCH_SCRIPT, has_search

STYLESHEET = "assets/buildlog.css"
SCRIPT = "assets/buildlog.js"
LEDGER_SCRIPT = "assets/buildlog-ledger.js"


def key_of(page: Page) -> str:
    """A page's path under content, without its ending."""
    return without_ending(page.file.src_uri)


def file_of(files: Files, key: str) -> File | None:
    """The file of a page, whatever its ending."""
    named = (files.get_file_from_path(key + ending) for ending in ENDINGS)
    return next((file for file in named if file is not None), None)


def add_files(config: MkDocsConfig, files: Files, overview: Overview, cache: IdentityCache) -> None:
    """Add the style sheet and the scripts, and each page's workshop sheet, results and inputs."""
    made = {STYLESHEET: stylesheet(), SCRIPT: script(), LEDGER_SCRIPT: ledger_script()}
    if has_search(config):
        made[SEARCH_SCRIPT] = search_script()
    made.update(_make_files_of_pages(files, overview, cache))
    for path, content in made.items():
        if (in_the_way := files.get_file_from_path(path)) is not None:
            raise PluginError(
                f"buildlog: {in_the_way.src_uri} is in the way of a file that is made; give it another name. "
                "No page was written."
            )
        files.append(File.generated(config, path, content=content))


def _make_files_of_pages(files: Files, overview: Overview, cache: IdentityCache) -> dict[str, str]:
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
            made[path] = cache.get(
                ("sheet", key),
                rests_on,
                partial(workshop_sheet, overview.book, key, place, address),
                like=(place and place.shown, address),
            )
    return made


def script_addresses(page: Page, *, with_ledger: bool) -> list[str]:
    """Where the scripts are that a page loads, seen from the page."""
    paths = [SCRIPT, LEDGER_SCRIPT] if with_ledger else [SCRIPT]
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
