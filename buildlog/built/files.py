"""The files that pages lead to besides other pages: sheets, data, bundles, and what computes own numbers.

A plugin of the generator publishes them, or they are written into the site once it is built; a page leads to
those that will be there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import chain

from buildlog.book.book import Book
from buildlog.book.repeating import computed_blocks
from buildlog.browser.packing import Packed, packed
from buildlog.browser.published import Described, describe_page, files_of
from buildlog.diagnostics import Refused
from buildlog.proof.overview import Overview
from buildlog.render.bundle import bundle_path, page_bundle, program_path
from buildlog.render.own_numbers import FOLDER
from buildlog.render.part_pack import may_be_handed_over, part_pack
from buildlog.render.parts import pack_path
from buildlog.render.pattern import pattern_files, pattern_paths
from buildlog.render.pieces import own_numbers_script
from buildlog.render.program import running_program
from buildlog.render.reproduce import page_files, record_path
from buildlog.render.sheet import has_sheet, sheet_path, workshop_sheet
from buildlog.render.words import speaking, words_of_page

OWN_NUMBERS_SCRIPT = "assets/buildlog-yours.js"

Publishes = Callable[[str], bool]
"""Whether a site publishes a file under content."""


def described_blocks(book: Book, key: str) -> tuple[Described, ...]:
    """The blocks of a page that take a reader's own numbers, or say why not, in the page's language."""
    with speaking(words_of_page(book, book.pages[key])):
        return describe_page(book, key)


def own_number_files(
    described: Iterable[Described], pack: Callable[[tuple[str, ...]], Packed] = packed
) -> dict[str, str]:
    """The scripts by path under content: what fills the forms, and what computes the blocks. `pack` gives
    what several blocks need, by their kinds."""
    computing = files_of(described, pack)
    return {OWN_NUMBERS_SCRIPT: own_numbers_script(), **computing} if computing else {}


def is_for_own_numbers(path: str) -> bool:
    """Whether a file is one that computes blocks: no page links to it, so that a change to it makes no other
    page new."""
    return path.startswith(f"{FOLDER}/")


def sheet_of(overview: Overview, key: str, page_address: str, site_address: str) -> str:
    """The sheet of a page in the page's language. The addresses are `workshop_sheet`'s."""
    book = overview.book
    with speaking(words_of_page(book, book.pages[key])):
        return workshop_sheet(book, key, overview.places.get(key), page_address, site_address)


def patterns_of(book: Book, key: str) -> dict[str, bytes]:
    """The files of all patterns of a page, in the page's language."""
    with speaking(words_of_page(book, book.pages[key])):
        made = (pattern_files(result) for _, result in computed_blocks(book, key))
        return {path: content for files in made for path, content in files.items()}


def linked_files(book: Book, key: str, publishes: Publishes) -> frozenset[str]:
    """The files that a page may lead to, of those that `site_files` makes and those that its blocks read."""
    results = (result for _, result in computed_blocks(book, key))
    cases = chain.from_iterable(result.cases.values() for result in results)
    given = chain.from_iterable(case.given.values() for case in cases)
    found = {name for one in given for name in one.files if publishes(name)}
    if has_sheet(book, key):
        found.add(sheet_path(key))
    if computed_blocks(book, key):
        found.add(record_path(key))
        found.update(chain.from_iterable(pattern_paths(result) for _, result in computed_blocks(book, key)))
    if key == book.parts_page:
        found.update(pack_path(name) for name in book.parts if pack_of(book, name, publishes) is not None)
    if bundle_of(book, key, publishes) is not None:
        found |= {bundle_path(key), program_path(running_program())}
    return frozenset(found)


def bundle_of(book: Book, key: str, publishes: Publishes) -> bytes | None:
    """The bundle of a page; None where the site has none, or it rests on what cannot go in."""
    if not book.settings.bundles:
        return None
    try:
        return page_bundle(book, key, running_program(), publishes)
    except Refused:
        return None


def pack_of(
    book: Book, name: str, publishes: Publishes, tell: Callable[[Refused], None] = lambda refusal: None
) -> bytes | None:
    """The pack of a part, in the language of the page that lists it; None where it has none, or it rests on
    what cannot go in, which `tell` is told."""
    part = book.parts[name]
    if not may_be_handed_over(part):
        return None
    page = book.pages[part.page if part.page in book.pages else book.parts_page]
    try:
        with speaking(words_of_page(book, page)):
            return part_pack(book, part, publishes)
    except Refused as refusal:
        tell(refusal)
        return None


def site_files(
    overview: Overview,
    pages: Iterable[str],
    publishes: Publishes,
    addresses: Callable[[str], tuple[str, str]],
) -> dict[str, bytes]:
    """The files of these pages by path under content. `addresses` says of a page where its sheet leads to it,
    and where it is on the web."""
    made: dict[str, bytes] = {}
    described: list[Described] = []
    for key in pages:
        texts = page_files(overview.book, key)
        if has_sheet(overview.book, key):
            texts[sheet_path(key)] = sheet_of(overview, key, *addresses(key))
        made |= {path: text.encode("utf-8", "backslashreplace") for path, text in texts.items()}
        made |= patterns_of(overview.book, key)
        bundle = bundle_of(overview.book, key, publishes)
        if bundle is not None:
            program = running_program()
            made |= {bundle_path(key): bundle, program_path(program): program.content}
        if key == overview.book.parts_page:
            packs = {name: pack_of(overview.book, name, publishes) for name in overview.book.parts}
            made |= {pack_path(name): pack for name, pack in packs.items() if pack is not None}
        described += described_blocks(overview.book, key)
    computing = own_number_files(described)
    return made | {path: text.encode("utf-8", "backslashreplace") for path, text in computing.items()}
