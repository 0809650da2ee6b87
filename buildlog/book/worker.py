"""What runs in a process that computes blocks for another's book, see `ahead.py`.

It reads blocks from its standard input and writes what came of them to its standard output: the result, or
nothing where there were findings, or anything else went wrong. It ends when its input does, in the middle of
a block too: then whoever started it is gone.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from queue import SimpleQueue
from threading import Thread

from buildlog.book.ahead import Name, packed, read_packed
from buildlog.book.book import Book, read_page
from buildlog.book.frames import receive, send
from buildlog.figures.units import OwnUnits
from buildlog.kept.packing import unpack
from buildlog.kinds.results import BlockResult
from buildlog.reading.blocks import Block, CarSheet
from buildlog.reading.parts import Part
from buildlog.reading.settings import Settings


def site_of(content: bytes) -> Book:
    """A book of a site without its pages, for single blocks: of the two folders, units, cars and parts."""
    root: Path
    folder: Path
    own_units: OwnUnits
    cars: dict[str, CarSheet]
    parts: dict[str, Part]
    root, folder, own_units, cars, parts = unpack(content)
    book = Book(settings=Settings(content=folder, own_units=own_units), root=root, cars=cars, parts=parts)
    book.use_units()
    return book


def answer(book: Book, request: bytes) -> bytes:
    """What comes of a block with the results that it rests on; b"" where the book is to compute it."""
    try:
        written, given = unpack(request)
        block: Block = unpack(written)
        results: dict[Name, BlockResult] = {name: read_packed(result)[0] for name, result in given.items()}
        book.results = results
        book.pages = {page: read_page(page, page, "") for page, _ in results}
        result = book.evaluated(block)
        return b"" if result.faults else packed(result, book.digests_of(block))
    except Exception:  # the book meets it again, and tells of it
        return b""


def work() -> None:
    """Answer until nobody asks."""
    answers = sys.stdout.buffer
    sys.stdout = sys.stderr  # what anything prints is no answer
    requests: SimpleQueue[bytes] = SimpleQueue()
    Thread(target=_listen, args=(requests,), daemon=True).start()
    book = site_of(requests.get())
    send(answers, b"")
    while True:
        send(answers, answer(book, requests.get()))


def _listen(requests: SimpleQueue[bytes]) -> None:
    try:
        while True:
            requests.put(receive(sys.stdin.buffer))
    finally:
        os._exit(0)
