"""What the site gets besides its pages so that readers can put in their own numbers."""

from __future__ import annotations

from functools import partial

from mkdocs.structure.files import Files

from buildlog.browser.published import Described, describe_page, files_of
from buildlog.proof.overview import Overview
from buildlog.render.identity_cache import IdentityCache
from buildlog.render.own_numbers import FOLDER
from buildlog.render.pieces import own_numbers_script
from buildlog.render.words import speaking, words_of_page
from mkdocs_buildlog.published import is_shown, own_file_of

OWN_NUMBERS_SCRIPT = "assets/buildlog-yours.js"


def described_blocks(overview: Overview, cache: IdentityCache, files: Files) -> list[Described]:
    """The blocks of the site's pages that take a reader's own numbers, or say why not."""
    found: list[Described] = []
    for key in overview.book.keys_of_ours:
        page = own_file_of(files, key)
        if page is not None and is_shown(page, overview.book):
            of_page = partial(describe_page, overview.book, key)
            with speaking(words_of_page(overview.book, overview.book.pages[key])):
                found += cache.get(("own numbers", key), overview.rests_on(key), of_page)
    return found


def own_number_files(described: list[Described]) -> dict[str, str]:
    """The scripts by path under content: what fills the forms, and what computes the blocks."""
    computing = files_of(described)
    return {OWN_NUMBERS_SCRIPT: own_numbers_script(), **computing} if computing else {}


def is_for_own_numbers(path: str) -> bool:
    """Whether a file is one that computes blocks: no page links to it, so that a change to it makes no other
    page new."""
    return path.startswith(f"{FOLDER}/")
