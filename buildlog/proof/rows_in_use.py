"""Which results of a page's blocks its text and its other blocks rest on: these a card shows first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildlog.book.addresses import Target
from buildlog.book.book import Book
from buildlog.proof.judging import Judged
from buildlog.proof.predicting import predictions_of, values_taken

Row = tuple[str, str]
"""An output and its key, "" for one that has a single value."""


def rows_in_use(book: Book, page: str, figures: Iterable[Judged]) -> dict[str, frozenset[Row]]:
    """By a block's id, the rows that figures of the page lead to, that its other blocks take, a decision's
    requirements among them, and that predictions name. Those of other pages do not count: the card answers
    the text around it, and a page is to be the same whatever is written elsewhere."""
    found: dict[str, set[Row]] = {}
    for target in _targets(book, page, figures):
        if target.block.page == page and target.given is None and not target.at:
            found.setdefault(target.block.id, set()).add((target.output, target.key))
    return {block: frozenset(rows) for block, rows in found.items()}


def _targets(book: Book, page: str, figures: Iterable[Judged]) -> Iterator[Target]:
    for figure in figures:
        yield from figure.targets
    for block in book.pages[page].blocks:
        yield from values_taken(book, book.by_place[block.position])
        held, _ = predictions_of(book, block)
        for one in held:
            yield from (one.predicted, one.measured)
