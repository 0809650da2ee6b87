"""The whole site in view: what its proof found and its series, for pages that list them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from buildlog.book import Book
from buildlog.proof import Report, proof
from buildlog.series import Place, SeriesOfPages, all_series, places


@dataclass
class Overview:
    """A book with what is worked out of all its pages, each when it is first wanted.

    `made` is the proof of the whole book where somebody has made it.
    """

    book: Book
    made: Report | None = None

    @cached_property
    def report(self) -> Report:
        return self.made or proof(self.book)

    @cached_property
    def series(self) -> list[SeriesOfPages]:
        return all_series(self.book)

    @cached_property
    def places(self) -> dict[str, Place]:
        return places(self.series)
