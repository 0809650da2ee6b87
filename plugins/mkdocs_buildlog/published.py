"""The files that our pages lead to, and where links of a page lead."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Collection, Mapping
from functools import partial
from types import MappingProxyType
from urllib.parse import urljoin

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

from buildlog.book.book import Book
from buildlog.book.book import Page as BookPage
from buildlog.built.files import pack_of, patterns_of, sheet_of
from buildlog.diagnostics import Refused
from buildlog.files.page_names import ENDINGS, without_ending
from buildlog.proof.overview import Overview
from buildlog.render import LinkPiece
from buildlog.render.bundle import (
    bundle_path,
    packed_as_they_are,
    page_bundle,
    program_path,
    shared_by_bundles,
)
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.part_pack import files_of_part
from buildlog.render.parts import pack_path
from buildlog.render.program import Program, running_program
from buildlog.render.reproduce import page_files
from buildlog.render.sheet import has_sheet, sheet_path
from buildlog.render.words import words_of_page
from mkdocs_buildlog.generated import MadeFile
from mkdocs_buildlog.messages import log


def key_of(page: Page) -> str:
    """A page's path under content, without its ending."""
    return without_ending(page.file.src_uri)


def file_of(files: Files, key: str) -> File | None:
    """The file of a page, whatever its ending."""
    named = (files.get_file_from_path(key + ending) for ending in ENDINGS)
    return next((file for file in named if file is not None), None)


def own_file_of(files: Files, key: str) -> File | None:
    """The file of a page and no other one's: a plugin may have the page of another language stand for it."""
    named = (files.src_uris.get(key + ending) for ending in ENDINGS)
    return next((file for file in named if file is not None), None)


def is_shown(file: File, book: Book) -> bool:
    """Whether this build has a file as a page: serving has drafts too."""
    least = InclusionLevel.DRAFT if book.settings.drafts else InclusionLevel.NOT_IN_NAV
    shown = file.inclusion.value >= least.value
    return bool(shown or is_set_aside(file, book.pages.get(without_ending(file.src_uri))))


def is_set_aside(file: File, page: BookPage | None) -> bool:
    """Whether a plugin keeps a file out of the site only until it has made the navigation, as a blog its
    posts: their pages are there already."""
    has_page = file.inclusion is InclusionLevel.EXCLUDED and file.page is not None
    return has_page and page is not None and page.published


def add_files(
    config: MkDocsConfig,
    files: Files,
    overview: Overview,
    cache: IdentityCache,
    *,
    besides: Mapping[str, str],
) -> None:
    """Add each page's workshop sheet, results, inputs and bundle, and what is made besides."""
    made: dict[str, str | bytes] = dict(besides)
    of_pages, addresses = _make_files_of_pages(config, files, overview, cache)
    made.update(of_pages)
    made.update(_make_packs(files, overview, cache))
    if overview.book.settings.bundles:
        made.update(_make_bundles(files, overview, cache))
    append_made(config, files, made, addresses)


def append_made(
    config: MkDocsConfig,
    files: Files,
    made: Mapping[str, str | bytes],
    elsewhere: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """Give the site files by their paths under content; what the site has `elsewhere`, by its path there.
    What has the name of one of them stops the build."""
    for path, content in made.items():
        in_the_way = files.src_uris.get(path)
        if in_the_way is not None:
            raise PluginError(
                f"buildlog: {in_the_way.src_uri} is in the way of a file that is made; give it another name. "
                "No page was written."
            )
        files.append(MadeFile(config, path, content, dest_uri=elsewhere.get(path)))


def _make_files_of_pages(
    config: MkDocsConfig, files: Files, overview: Overview, cache: IdentityCache
) -> tuple[dict[str, str | bytes], dict[str, str]]:
    """The files that the pages of the site lead to, by path under content; and which of them have what path
    in the site."""
    made: dict[str, str | bytes] = {}
    elsewhere: dict[str, str] = {}
    for key in overview.book.keys_of_ours:
        page = own_file_of(files, key)
        if page is None or not is_shown(page, overview.book):
            continue
        rests_on = overview.rests_on(key)
        made.update(cache.get(("files", key), rests_on, partial(page_files, overview.book, key)))
        made.update(
            cache.get(
                ("patterns", key),
                rests_on,
                partial(patterns_of, overview.book, key),
                like=words_of_page(overview.book, overview.book.pages[key]),
            )
        )
        if has_sheet(overview.book, key):
            path, place = sheet_path(key), overview.places.get(key)
            elsewhere[path] = _beside(page)
            address = get_relative_url(page.url, elsewhere[path])
            whole = urljoin(config.site_url or "", page.url)
            made[path] = cache.get(
                ("sheet", key),
                rests_on,
                partial(sheet_of, overview, key, address, whole),
                like=(
                    place and place.shown,
                    address,
                    whole,
                    words_of_page(overview.book, overview.book.pages[key]),
                ),
            )
    return made, elsewhere


def _beside(page: File) -> str:
    """Where the site has a page's sheet: beside the page, wherever a plugin has put that."""
    folder, name = posixpath.split(page.dest_uri)
    if name == "index.html" and page.name != "index":
        return sheet_path(folder)
    return sheet_path(posixpath.join(folder, name.removesuffix(".html")))


def _make_bundles(files: Files, overview: Overview, cache: IdentityCache) -> dict[str, bytes]:
    """The bundles of the site's pages, and the program that they are proofed with. What a bundle has is made
    of what the page rests on, and of files that all pages share."""
    book, program = overview.book, running_program()
    published = frozenset(file.src_uri for file in files if is_shown(file, book))
    shared = shared_by_bundles(book)
    made: dict[str, bytes] = {}
    for key in book.keys_of_ours:
        page = own_file_of(files, key)
        if page is None or page.src_uri not in published:
            continue
        bundle = cache.get(
            ("bundle", key),
            overview.rests_on(key),
            partial(_bundle, overview, key, program, published),
            like=(published, shared, packed_as_they_are(book, key)),
        )
        if bundle is not None:
            made[bundle_path(key)] = bundle
    if made:
        made[program_path(program)] = program.content
    return made


def _make_packs(files: Files, overview: Overview, cache: IdentityCache) -> dict[str, bytes]:
    """The packs of parts that may be copied, where a page of the site lists them."""
    book = overview.book
    page = own_file_of(files, book.parts_page) if book.parts_page else None
    if page is None or not is_shown(page, book):
        return {}
    published = frozenset(file.src_uri for file in files if is_shown(file, book) or _is_no_page(file))
    made = {}
    for name, part in book.parts.items():
        spoken = part.page if part.page in book.pages else book.parts_page
        pack = cache.get(
            ("part pack", name),
            overview.part_rests_on(name),
            partial(_pack, book, name, published),
            like=(published, files_of_part(book, part), words_of_page(book, book.pages[spoken])),
        )
        if pack is not None:
            made[pack_path(name)] = pack
    return made


def _is_no_page(file: File) -> bool:
    least = InclusionLevel.NOT_IN_NAV.value
    return bool(not file.is_documentation_page() and file.inclusion.value >= least)


def _pack(book: Book, name: str, published: Collection[str]) -> bytes | None:
    def tell(refusal: Refused) -> None:
        log.info(
            "%s has no hand-over pack: it rests on %s, and a pack takes %s.",
            book.parts[name].path,
            refusal.found,
            refusal.expected,
        )

    return pack_of(book, name, published.__contains__, tell)


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


def addresses_from(page: Page, files: Files, book: Book) -> Callable[[str, LinkPiece], str]:
    """Writes where links lead from a finished page, as MkDocs does; "" to a page that is not published."""
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
            known[path] = path if link.file else ""
            if file is not None and (link.file or is_shown(file, book)):
                known[path] = file.url_relative_to(page.file)
        return known[path] and known[path] + anchor

    return write_address
