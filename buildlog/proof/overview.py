"""The whole site in view: what its proof found and its series, for pages that list them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from buildlog.book.book import Book
from buildlog.book.parts import parts_named
from buildlog.proof.judging import Entry, Judged
from buildlog.proof.predicting import Foretold
from buildlog.proof.proof import Report, proof_book
from buildlog.proof.series import Place, SeriesOfPages, all_series, places
from buildlog.reading.glossary import Term, read_terms


@dataclass
class Overview:
    """A book with what is worked out of all its pages, each when it is first wanted.

    `made` is the proof of the whole book where somebody has made it.
    """

    book: Book
    made: Report | None = None

    @cached_property
    def report(self) -> Report:
        return self.made or proof_book(self.book)

    def judged(self, page: str, label: str, address: str, title: str) -> Judged | None:
        """The judgement on a link of a page, where the proof of the whole book has been made."""
        return self._judged.get((page, label, address, title)) if self.made is not None else None

    def rests_on(self, page: str) -> tuple[object, ...]:
        """All that a page says and shows, but for its neighbours: its text, its blocks' results, and the
        judgements on its figures. Where these are the same objects the page is the same."""
        return (
            self.book.pages[page],
            *(self.book.by_place[block.position] for block in self.book.pages[page].blocks),
            *(entry.judged for entry in self.entries.get(page, ()) if entry.judged is not None),
            *(one.predicted.block for one in self.foretold.get(page, ())),
            *self.parts_on(page),
        )

    def parts_on(self, page: str) -> tuple[object, ...]:
        """The parts that a page's blocks name, or whose files tell of the page, and what is known of them."""
        book = self.book
        if not book.parts:
            return ()
        named = {name.text.strip() for block in book.pages[page].blocks for name in parts_named(block)}
        told = self._parts_told.get(page, set())
        names = sorted((named | told) & book.parts.keys())
        return (*(book.parts[name] for name in names), *map(book.part_result, names))

    @cached_property
    def _parts_told(self) -> dict[str, set[str]]:
        """By page, the parts whose files tell of it."""
        found: dict[str, set[str]] = {}
        for name, part in self.book.parts.items():
            for event in part.history:
                found.setdefault(event.by, set()).add(name)
        return found

    def part_rests_on(self, name: str) -> tuple[object, ...]:
        """All that a part's pack is made of, but for files that go into it as they are."""
        book, part = self.book, self.book.parts[name]
        blocks = [drawing.block for drawing in part.drawings]
        drawn = [book.results[block[:2]] for block in blocks if block and block[:2] in book.results]
        return (part, *drawn, *(self.rests_on(part.page) if part.page in book.pages else ()))

    @cached_property
    def _judged(self) -> dict[tuple[str, str, str, str], Judged]:
        entries = [(entry.page, entry.judged) for entry in self.report.entries if entry.judged is not None]
        return {(page, judged.label, judged.address, judged.title): judged for page, judged in entries}

    @cached_property
    def foretold(self) -> dict[str, list[Foretold]]:
        """By page, the predictions that its blocks are held beside."""
        found: dict[str, list[Foretold]] = {}
        for one in self.report.predictions:
            if isinstance(one, Foretold) and one.by_block:
                found.setdefault(one.page, []).append(one)
        return found

    @cached_property
    def entries(self) -> dict[str, list[Entry]]:
        """The ledger page by page."""
        found: dict[str, list[Entry]] = {}
        for entry in self.report.entries:
            found.setdefault(entry.page, []).append(entry)
        return found

    def reading_order(self, keys: Iterable[str]) -> list[str]:
        """Pages as they are read: the episodes of a series by number, in the places that they have among
        the other pages."""
        found = list(keys)
        places = {key: place for place, key in enumerate(found)}
        for series in self.series:
            episodes = [episode.page.key for episode in series.episodes if episode.page.key in places]
            for place, key in zip(sorted(places[key] for key in episodes), episodes, strict=True):
                found[place] = key
        return found

    @cached_property
    def terms(self) -> tuple[Term, ...]:
        """The terms that the site's glossary explains."""
        found: dict[str, Term] = {}
        for page in self.book.published.values():
            if page.howto.glossary is not None:
                for term in read_terms(page.scanned, page.key):
                    found.setdefault(term.anchor, term)
        return tuple(found.values())

    @cached_property
    def series(self) -> list[SeriesOfPages]:
        return all_series(self.book)

    @cached_property
    def places(self) -> dict[str, Place]:
        return places(self.series)
