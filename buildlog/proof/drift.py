"""Computed figures against the record of what they were: which have moved, and what moved them.

The record is `buildlog.reading.record`'s file. A figure that moved is told once a value: because the author
changed an input, because a data file changed, or because the calculator did.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from buildlog.book.book import Book
from buildlog.book.provenance import provenance
from buildlog.diagnostics import Code, Diagnostic, Severity, declare
from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.judging import Entry
from buildlog.reading.addresses import CARS, PARTS, called
from buildlog.reading.blocks import Block
from buildlog.reading.record import NAME, BlockName, Record, ValueName, read_record

_ACCEPT = "Look at it; `buildlog ledger --record` then accepts it."
MOVED_BY_INPUT = declare(
    "moved-by-input",
    "a figure has moved since it was recorded, because an input was changed",
    why="A changed input moves every figure that rests on it, on other pages too.",
    mend=_ACCEPT,
    severity=Severity.NOTE,
    example="final_drive: 4.30        # 4.10 when figures.lock was recorded",
)
MOVED_BY_DATA = declare(
    "moved-by-data",
    "a figure has moved since it was recorded, because a data file was changed",
    why="A measured file that is not what it was is another measurement.",
    mend=_ACCEPT,
    severity=Severity.NOTE,
    example="data/brindle-torque.csv with another row than when figures.lock was recorded",
)
MOVED_BY_CALCULATOR = declare(
    "moved-by-calculator",
    "a figure has moved since it was recorded, though nobody changed what it is computed from",
    why="An upgrade of buildlog must not change what was published without anybody noticing.",
    mend="See in the changes of buildlog why. " + _ACCEPT,
    severity=Severity.WARNING,
    example="[124.8 km/h](calc:shorter-final.after.speed_at_limit.3)        # 124.2 km/h before the upgrade",
)

# Less than this share of the value, and of a millionth of its last shown digit, is the arithmetic's own:
# mathematical libraries differ in the last bits, and searches for a root end where they may.
_NOISE = 1e-9
_SHARE_OF_LAST_DIGIT = 1e-6
_UNEXPLAINED = "the same inputs, data and calculator: buildlog itself, or what it computes with"


def record_of(book: Book, entries: Iterable[Entry]) -> Record:
    """What the figures rest on now: their values, and every block that these come from."""
    values = {name: value.si for _, name, value, _ in _used(entries)}
    by_name = _blocks(book)
    wanted: set[BlockName] = set()
    waiting = [(name[0], name[1]) for name in values]
    while waiting:
        block = waiting.pop()
        if block in by_name and block not in wanted:
            wanted.add(block)
            waiting += book.needed(by_name[block])
    return Record({name: provenance(book, by_name[name]) for name in wanted}, values)


def drift(book: Book, entries: Iterable[Entry]) -> list[Diagnostic]:
    """Findings on every value that a figure uses and that is not what the site's record says."""
    path = book.content / NAME
    record, faults = read_record(path, f"{book.shown(book.content)}/{NAME}")
    if record is None:
        return faults
    return [*faults, *_findings(book, entries, record)]


def moved(book: Book, entries: Iterable[Entry], record: Record) -> list[ValueName]:
    """Names of the values that have moved against a record."""
    return [name for _, name, value, _ in _used(entries) if _has_moved(value, record.values.get(name))]


def _code_of(cause: _Cause) -> Code:
    """What the finding is named for: the cause that its reader has to look at first."""
    # Where nothing of the block is known to have changed, only the code can have.
    if cause.calculator or not cause.words:
        return MOVED_BY_CALCULATOR
    if cause.data and not cause.inputs:
        return MOVED_BY_DATA
    return MOVED_BY_INPUT


def _findings(book: Book, entries: Iterable[Entry], record: Record) -> Iterator[Diagnostic]:
    causes = _Causes(book, record)
    for entry, name, value, result in _used(entries):
        before = record.values.get(name)
        if before is None or not _has_moved(value, before):
            continue
        cause = causes.of(name[:2])
        code = _code_of(cause)
        now, then = _shown(value, before)
        why = cause.words or (_UNEXPLAINED,)
        yield code.at(
            entry.position,
            found=f"{now} ({'.'.join(filter(None, map(called, name[1:])))}); {'; '.join(why)}",
            expected=f"{then}, as recorded",
            second=result.position,
            second_label=f"computed by {result.id} ({result.kind})",
            length=len(entry.label),
        )


def _used(entries: Iterable[Entry]) -> Iterator[tuple[Entry, ValueName, Value, BlockResult]]:
    """Each value that a figure rests on, once, at the first figure that does."""
    seen: set[ValueName] = set()
    for entry in entries:
        judged = entry.judged
        if judged is None:
            continue
        for target in judged.targets:
            if target.value is not None and target.name not in seen:
                seen.add(target.name)
                yield entry, target.name, target.value, target.block


def _has_moved(value: Value, before: float | None) -> bool:
    if before is None:
        return False
    last_digit = abs(units.find(value.unit, value.dimension).to_si_difference(10.0**-value.decimals))
    noise = max(_NOISE * max(abs(value.si), abs(before)), _SHARE_OF_LAST_DIGIT * last_digit)
    return abs(value.si - before) > noise


def _shown(value: Value, before: float) -> tuple[str, str]:
    """Both values with as many decimals as it takes to tell them apart."""
    unit = units.find(value.unit, value.dimension)
    for decimals in range(value.decimals, value.decimals + 10):
        texts = [write_figure(unit.from_si(si), decimals, unit.symbol) for si in (value.si, before)]
        if texts[0] != texts[1]:
            break
    return texts[0], texts[1]


# --- why ---------------------------------------------------------------------------------


def _blocks(book: Book) -> dict[BlockName, Block]:
    return {(page.key, block.id): block for page in book.pages.values() for block in page.blocks if block.id}


@dataclass(frozen=True)
class _Cause:
    """What has changed in a block or in a block that it takes values from, and that in words."""

    inputs: bool = False
    calculator: bool = False
    data: bool = False
    words: tuple[str, ...] = ()


class _Causes:
    """Finds out what has changed, block by block; only for blocks whose values have moved."""

    def __init__(self, book: Book, record: Record) -> None:
        self.book = book
        self.record = record
        self.blocks = _blocks(book)
        self.known: dict[BlockName, tuple[bool, bool, bool]] = {}

    def of(self, name: BlockName) -> _Cause:
        """The changes of a block and of all that it rests on."""
        if name[1].startswith(CARS):
            return _Cause(inputs=True, words=("the car's sheet was changed",))
        if name[1].startswith(PARTS):
            return _Cause(inputs=True, words=("the part's file was changed",))
        inputs = calculator = data = False
        words: list[str] = []
        seen: set[BlockName] = set()
        waiting = [name]
        while waiting:
            at = waiting.pop(0)
            if at in seen or at not in self.blocks:
                continue
            seen.add(at)
            own = self._own(at)
            where = "" if at == name else f" of {at[0]}#{at[1]}"
            kind = self.blocks[at].kind
            said = ("an input", f"the calculator {kind}", "a data file")
            words += [
                f"{what}{where} was changed" for what, changed in zip(said, own, strict=True) if changed
            ]
            inputs, calculator, data = inputs or own[0], calculator or own[1], data or own[2]
            waiting += self.book.needed(self.blocks[at])
        return _Cause(inputs, calculator, data, tuple(words))

    def _own(self, name: BlockName) -> tuple[bool, bool, bool]:
        """Whether inputs, calculator and data of one block differ from the record's."""
        if name not in self.known:
            now = provenance(self.book, self.blocks[name])
            then = self.record.blocks.get(name, now)
            self.known[name] = (
                now.inputs != then.inputs,
                now.calculator != then.calculator,
                now.data != then.data,
            )
        return self.known[name]
