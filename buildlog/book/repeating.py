"""What the figures of a page rest on beyond its own text, so that they can be repeated elsewhere: blocks of
other pages, cars, data files; and the hashes by which two runs are compared."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field

from buildlog.book.book import Book, Page
from buildlog.book.provenance import (
    data_files,
    files_of_sheet,
    part_provenance,
    provenance,
    sheet_provenance,
)
from buildlog.diagnostics import Refused
from buildlog.kinds.results import BlockResult
from buildlog.reading.addresses import CARS, PARTS, addressed, read_address, read_options
from buildlog.reading.blocks import Block
from buildlog.reading.record import Hashes

BlockName = tuple[str, str]
"""(page, id) of a block."""
HEADINGS = ("inputs", "calculator", "data", "block")
_WIDTH = 16  # of a hash


@dataclass(kw_only=True)
class Grounds:
    """`blocks` are those of other pages, by page; `cars` are all sheets, `sheets` those of which values are
    named by their address; `parts` are the parts that are named; `data` are the files as blocks name them."""

    blocks: dict[str, set[str]] = field(default_factory=dict)
    cars: set[str] = field(default_factory=set)
    sheets: set[str] = field(default_factory=set)
    parts: set[str] = field(default_factory=set)
    data: set[str] = field(default_factory=set)


def grounds_of(book: Book, key: str) -> Grounds:
    """All that the blocks and the figures of a page rest on, followed to its end."""
    page = book.pages[key]
    grounds = Grounds()
    waiting = [*((key, block.id) for block in page.blocks), *named_by_figures(page)]
    seen: set[BlockName] = set()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        if name[1].startswith(CARS):
            grounds.sheets.add(name[1].removeprefix(CARS))
        if name[1].startswith(PARTS):
            grounds.parts.add(name[1].removeprefix(PARTS))
        if name not in book.blocks:
            continue
        block = book.blocks[name]
        if block.page != key:
            grounds.blocks.setdefault(block.page, set()).add(block.id)
        if block.car:
            grounds.cars.add(block.car)
        grounds.data |= data_files(book, block)
        waiting += [*book.needed(block), *_foretold(block)]
    grounds.sheets &= book.cars.keys()
    grounds.parts &= book.parts.keys()
    grounds.cars |= grounds.sheets
    for car in grounds.sheets:
        grounds.data |= files_of_sheet(book, car)
    return grounds


def named_by_figures(page: Page) -> Iterator[BlockName]:
    """The blocks that the page's figures rest on, or that foretold what its blocks measure."""
    for block in page.blocks:
        yield from _foretold(block)
    for link in page.read.links:
        try:
            addresses = [read_address(link.address), *addressed(read_options(link.title or ""))]
        except Refused:
            continue  # a finding of its own page
        for address in addresses:
            if address.scheme == "calc":
                yield address.page or page.key, address.block


def _foretold(block: Block) -> Iterator[BlockName]:
    for prediction in block.predicts:
        address = read_address(prediction.address)
        yield address.page or block.page, address.block


# --- the hashes ------------------------------------------------------------------------------


def computed_blocks(book: Book, key: str) -> list[tuple[Block, BlockResult]]:
    """The blocks of a page that were computed and have a name, in its order."""
    page = book.pages[key]
    computed = []
    for block in page.blocks:
        result = book.by_place.get(block.position)
        if result is not None and block.id and result.cases and book.result(key, block.id) is result:
            computed.append((block, result))
    return computed


def hashes_of(book: Book, key: str) -> list[tuple[str, Hashes]]:
    """The hashes of all that a page's results rest on, each with its name: its blocks in their order, then
    those of other pages, then cars whose values are named, then parts. None where the page computes
    nothing."""
    own = [block for block, _ in computed_blocks(book, key)]
    if not own:
        return []
    grounds = grounds_of(book, key)
    others = [
        block
        for other, wanted in sorted(grounds.blocks.items())
        for block in book.pages[other].blocks
        if block.id in wanted
    ]
    found = [(f"{block.page}#{block.id}", provenance(book, block)) for block in (*own, *others)]
    found += [(f"{CARS}{car}", sheet_provenance(book, car)) for car in sorted(grounds.sheets)]
    return [*found, *((f"{PARTS}{part}", part_provenance(book, part)) for part in sorted(grounds.parts))]


def input_hash(book: Book, key: str) -> str:
    """One hash for all that authors decide about the page's results, and for the code that computed them; ""
    where the page computes nothing."""
    parts = [(name, made.inputs, made.calculator, made.data) for name, made in hashes_of(book, key)]
    return hashlib.sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()[:_WIDTH] if parts else ""


def hash_lines(book: Book, key: str) -> list[str]:
    """The hashes of a page as lines, as the page shows them and as ``buildlog ledger --hashes`` prints them;
    none where the page computes nothing."""
    rows = [(made.inputs, made.calculator, made.data, name) for name, made in hashes_of(book, key)]
    if not rows:
        return []
    lines = ["  ".join((*(cell.ljust(_WIDTH) for cell in row[:3]), row[3])) for row in (HEADINGS, *rows)]
    return [*lines, f"{input_hash(book, key)}  {key}, all of it"]
