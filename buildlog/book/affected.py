"""Which pages changed files bear on: the pages themselves, and those that rest on what is in them.

A figure can go wrong on a page that nobody has touched: by a block on another page, by the car's sheet, by
a data file. So a change is followed from block to block to every figure that rests on it.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from buildlog.book.book import Book, Page
from buildlog.book.provenance import data_files
from buildlog.book.repeating import BlockName, named_by_figures
from buildlog.files.page_names import ending_of, without_ending
from buildlog.reading.addresses import CARS, PARTS
from buildlog.reading.blocks import Block
from buildlog.reading.configuration import NAMES
from buildlog.reading.known import NAME as KNOWN
from buildlog.reading.own_units import NAME as OWN_UNITS
from buildlog.reading.record import NAME as RECORD


def files_for_all(book: Book) -> tuple[Path, ...]:
    """Files that every page rests on: the settings, the units, the record and the list of known findings."""
    settings = book.settings.configuration_files or tuple(book.root / name for name in NAMES)
    return *settings, book.content / OWN_UNITS, book.content / RECORD, book.root / KNOWN


def affected_pages(book: Book, changed: set[Path]) -> list[str]:
    """Keys of the pages that some of the changed files (resolved paths) bear on, in the book's order."""
    content = book.content.resolve()
    if any(Path(os.path.realpath(path)) in changed for path in files_for_all(book)):
        return list(book.published)

    def has_changed(name: str) -> bool:
        path = content / name
        return path in changed or Path(os.path.realpath(path)) in changed

    def of_changed_sheet(block: BlockName) -> bool:
        return block[1].startswith((CARS, PARTS)) and has_changed(f"{block[1]}.yml")

    gone = {
        without_ending(path.relative_to(content).as_posix())
        for path in changed
        if path.is_relative_to(content) and ending_of(path.name)
    }
    pages = gone | {
        page.key
        for page in book.pages.values()
        if has_changed(page.file) or not changed.isdisjoint(page.snippets)
    }
    blocks = {(page.key, block.id): block for page in book.pages.values() for block in page.blocks}
    needs = {name: book.needed(block) for name, block in blocks.items()}
    stale = {name for name, block in blocks.items() if name[0] in pages or _reads(book, block, has_changed)}
    stale |= {name for name, needed in needs.items() if any(of_changed_sheet(block) for block in needed)}
    while found := {
        name
        for name, needed in needs.items()
        if name not in stale and any(block in stale or block[0] in pages for block in needed)
    }:
        stale |= found
    by_source = has_changed("sources.yml")

    def bears_on(page: Page) -> bool:
        return (
            page.key in pages
            or any((page.key, block.id) in stale for block in page.blocks)
            or any(
                block in stale or block[0] in pages or of_changed_sheet(block)
                for block in named_by_figures(page)
            )
            or (by_source and any(link.scheme in ("cite", "told") for link in page.read.links))
        )

    return [page.key for page in book.published.values() if bears_on(page)]


def _reads(book: Book, block: Block, has_changed: Callable[[str], bool]) -> bool:
    """Whether a block takes values from a changed car's sheet or a changed data file."""
    by_car = bool(block.car) and has_changed(f"cars/{block.car}.yml")
    return by_car or any(has_changed(name) for name in data_files(book, block))
