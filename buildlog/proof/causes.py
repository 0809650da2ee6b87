"""One cause, one finding: which findings only follow from another, and are mended with it.

A figure or an input that rests on a block at fault follows from the block's own fault; an input that is
missing follows from the car's sheet that misspells it; and of a name that is not there, each place follows
from the first. Nothing is left out of a report: what follows says so, and whoever shows it may fold it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildlog.book.addresses import RESTS_ON_FAULT
from buildlog.book.book import BLOCK_LOOP, UNKNOWN_CAR, UNKNOWN_CAR_INPUT, Book
from buildlog.book.evaluation import references
from buildlog.book.named_values import UNKNOWN_ADDRESS
from buildlog.diagnostics import MISSING_INPUT, Cause, Diagnostic, Refused, Severity, Tie
from buildlog.files.text import FILE_TOO_LARGE, FILE_UNREADABLE, NOT_UTF8, NUL_CHARACTER
from buildlog.kinds.results import BlockResult
from buildlog.proof.judging import UNKNOWN_SOURCE, Entry
from buildlog.reading.addresses import Address, read_address
from buildlog.reading.blocks import TOO_MANY_BLOCKS, Block
from buildlog.reading.content_folder import OUTSIDE
from buildlog.reading.markdown.scanner import BLOCK_NOT_READ, BLOCK_UNCLOSED

# What is wrong with a name is wrong wherever it is named.
_OF_A_NAME = (UNKNOWN_ADDRESS, UNKNOWN_SOURCE, UNKNOWN_CAR, BLOCK_LOOP)
# With these some or all of a file is not there to rest on.
_UNREAD = (
    OUTSIDE,
    FILE_UNREADABLE,
    FILE_TOO_LARGE,
    NOT_UTF8,
    NUL_CHARACTER,
    BLOCK_UNCLOSED,
    BLOCK_NOT_READ,
    TOO_MANY_BLOCKS,
)


@dataclass(frozen=True)
class _Link:
    """What a finding follows from directly."""

    cause: Diagnostic
    tie: Tie


def trace_causes(book: Book, entries: Sequence[Entry], findings: Iterable[Diagnostic]) -> list[Diagnostic]:
    """The findings in their order, each that follows from another with its first cause."""
    ordered = list(findings)
    told = {_without_level(finding): finding for finding in ordered}
    links = _Tracer(book, entries, ordered).links()
    traced = []
    for finding in ordered:
        link = links.get(_without_level(finding))
        cause = None
        if link is not None:
            first = told.get(_without_level(root := _root(link.cause, links)), root)
            if first.severity <= finding.severity:  # a cause that stops nothing hides nothing that does
                cause = Cause(first.position, first.code.name, link.tie)
        traced.append(replace(finding, follows=cause))
    return traced


def _without_level(finding: Diagnostic) -> Diagnostic:
    """The finding whatever level the site gives it."""
    return finding.with_severity(Severity.ERROR)


def _root(cause: Diagnostic, links: dict[Diagnostic, _Link]) -> Diagnostic:
    """Where a chain of causes begins."""
    met = set()
    while (link := links.get(_without_level(cause))) is not None and cause not in met:
        met.add(cause)
        cause = link.cause
    return cause


class _Tracer:
    """Looks for the direct cause of each finding."""

    def __init__(self, book: Book, entries: Sequence[Entry], findings: Sequence[Diagnostic]) -> None:
        self.book = book
        self.entries = entries
        self.findings = findings
        self.written = {block.position: block for page in book.pages.values() for block in page.blocks}
        self.at_path: dict[str, list[Diagnostic]] = {}
        for fault in (*book.faults, *(fault for page in book.pages.values() for fault in page.faults)):
            self.at_path.setdefault(fault.position.path, []).append(fault)

    def links(self) -> dict[Diagnostic, _Link]:
        """Each finding that follows from another, with what it follows from."""
        links = dict(self._of_names())
        for result in self.book.by_place.values():
            block = self.written.get(result.position)
            if result.faults and block is not None:
                links |= self._of_block(result, block)
        for block in self.written.values():
            if block.predicts:
                links |= self._of_predictions(block)
        for entry in self.entries:
            for fault in entry.judged.diagnostics if entry.judged else ():
                cause = self._of_figure(fault, entry)
                if cause is not None:
                    links[_without_level(fault)] = _Link(cause, Tie.FIGURE)
        return links

    def _of_names(self) -> Iterable[tuple[Diagnostic, _Link]]:
        """The places after the first at which the same name leads nowhere."""
        first: dict[tuple[str, str, str], Diagnostic] = {}
        for finding in self.findings:
            if finding.code in _OF_A_NAME:
                before = first.setdefault((finding.code.name, finding.found, finding.expected), finding)
                if before is not finding:
                    yield _without_level(finding), _Link(before, Tie.SAME)

    def _of_block(self, result: BlockResult, block: Block) -> dict[Diagnostic, _Link]:
        """The faults of a block that follow from another block, a page or the car's sheet."""
        at = {place: text for text, place in references(block)}
        links = {}
        for fault in result.faults:
            cause = None
            if fault.position in at:
                cause = self._of_address(fault, at[fault.position], block.page)
            elif fault.code in (MISSING_INPUT, UNKNOWN_CAR):
                cause = self._of_sheet(fault, block.car) if block.car else _unread_car(block)
            if cause is not None:
                links[_without_level(fault)] = _Link(cause, Tie.INPUT)
        return links

    def _of_predictions(self, block: Block) -> dict[Diagnostic, _Link]:
        """What is wrong with the predictions of a block because of another block or a page."""
        at = {prediction.by.position: prediction.address for prediction in block.predicts}
        links = {}
        for fault in self.findings:
            if fault.position in at and (cause := self._of_address(fault, at[fault.position], block.page)):
                links[_without_level(fault)] = _Link(cause, Tie.FIGURE)
        return links

    def _of_figure(self, fault: Diagnostic, entry: Entry) -> Diagnostic | None:
        if fault.code == UNKNOWN_SOURCE and not self.book.sources:
            return self._unread(f"{self.book.shown(self.book.content)}/sources.yml")
        judged = entry.judged
        if fault.code == UNKNOWN_ADDRESS and judged is not None and judged.block is not None:
            return self._misspelt(fault.expected, judged.block.car.partition("@")[0])
        return self._of_address(fault, entry.address, entry.page)

    def _of_address(self, fault: Diagnostic, text: str, page: str) -> Diagnostic | None:
        """The cause of what is wrong with an address."""
        try:
            address = read_address(text)
        except Refused:
            return None
        if fault.code == RESTS_ON_FAULT:
            result = self.book.result(address.page or page, address.block)
            return _first_fault(result) if result else None
        if fault.code == UNKNOWN_ADDRESS:
            return self._of_missing_block(address, page)
        return None

    def _of_missing_block(self, address: Address, page: str) -> Diagnostic | None:
        """Why a block is not there: its page, or the name of a block there, cannot be read."""
        where = address.page or page
        if (where, address.block) in self.book.results:
            return None
        known = self.book.pages.get(where)
        for block in known.blocks if known else ():
            if not block.id and (faults := self.book.by_place[block.position].faults):
                return faults[0]
        return self._unread(known.path if known else f"{self.book.shown(self.book.content)}/{where}.md")

    def _unread(self, path: str) -> Diagnostic | None:
        """What keeps a file, or a part of it, from being read."""
        stops = (fault for fault in self.at_path.get(path, ()) if fault.code in _UNREAD or _is_yaml(path))
        return next(stops, None)

    def _of_sheet(self, fault: Diagnostic, car: str) -> Diagnostic | None:
        """What in a car's sheet makes an input missing, or the sheet itself."""
        if fault.code == MISSING_INPUT:
            name = fault.expected.partition(":")[0]
            if misspelt := self._misspelt(name, car):
                return misspelt
        shape = [fault for fault in self.at_path.get(self._sheet(car), ()) if fault.code != UNKNOWN_CAR_INPUT]
        return next((fault for fault in shape if fault.severity is Severity.ERROR), None)

    def _misspelt(self, names: str, car: str) -> Diagnostic | None:
        """The value of a car's sheet that is perhaps meant to be one of some inputs."""
        for fault in self.at_path.get(self._sheet(car), ()):
            meant = re.findall("“(\\w+)”", fault.help) if fault.code == UNKNOWN_CAR_INPUT else ()
            if any(re.search(rf"\b{name}\b", names) for name in meant):
                return fault
        return None

    def _sheet(self, car: str) -> str:
        """The path of a car's sheet."""
        known = self.book.cars.get(car)
        return known.path if known else f"{self.book.shown(self.book.content)}/cars/{car}.yml"


def _is_yaml(path: str) -> bool:
    return path.endswith(".yml")


def _first_fault(result: BlockResult) -> Diagnostic | None:
    """The fault of a block that the others wait for: one of its own, if it has any."""
    echoes = (RESTS_ON_FAULT, MISSING_INPUT)
    own = (fault for fault in result.faults if fault.code not in echoes)
    return next(own, None) or next(iter(result.faults), None)


def _unread_car(block: Block) -> Diagnostic | None:
    """The fault of a block's car, whose name could not be read."""
    return next((fault for fault in block.faults if fault.position == block.places.get("car")), None)
