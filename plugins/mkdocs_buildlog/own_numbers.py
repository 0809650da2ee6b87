"""The blocks of a site whose cards take a reader's own numbers."""

from __future__ import annotations

from functools import partial

from mkdocs.structure.files import Files

from buildlog.browser.packing import Packed, packed
from buildlog.browser.published import Described
from buildlog.built.files import described_blocks
from buildlog.proof.overview import Overview
from buildlog.render.identity_cache import OF_THE_SITE, IdentityCache
from buildlog.render.words import words_of_page
from mkdocs_buildlog.published import is_shown, own_file_of


def described_on_pages(overview: Overview, cache: IdentityCache, files: Files) -> list[Described]:
    """The blocks of the site's pages that take a reader's own numbers, or say why not."""
    found: list[Described] = []
    for key in overview.book.keys_of_ours:
        page = own_file_of(files, key)
        if page is not None and is_shown(page, overview.book):
            of_page = partial(described_blocks, overview.book, key)
            words = words_of_page(overview.book, overview.book.pages[key])
            found += cache.get(("own numbers", key), overview.rests_on(key), of_page, like=words)
    return found


def packed_scripts(cache: IdentityCache, kinds: tuple[str, ...]) -> Packed:
    """The scripts that compute some kinds in a browser, as `packed` makes them."""
    return cache.get(("scripts", OF_THE_SITE, kinds), (), partial(packed, kinds))
