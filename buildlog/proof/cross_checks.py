"""What only a look over the whole site shows: what might be computed, things that nobody uses, states of a
car that go by their number.

A site sets each code's own level in mkdocs.yml.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress

from buildlog.book.book import Book, Page
from buildlog.book.evaluation import references
from buildlog.book.repeating import named_by_figures
from buildlog.diagnostics import Diagnostic, Position, Refused, Severity, declare
from buildlog.figures import units
from buildlog.figures.agreement import Computed, judge
from buildlog.figures.stated import Stated
from buildlog.files.text import FILE_TOO_LARGE, FILE_UNREADABLE, NOT_UTF8, NUL_CHARACTER
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.judging import Entry, Judged
from buildlog.reading.addresses import CARS, read_address
from buildlog.reading.blocks import TOO_MANY_BLOCKS
from buildlog.reading.decisions import KIND as DECISION
from buildlog.reading.howto import BILL_KIND
from buildlog.reading.markdown.page import LINE_TOO_LONG
from buildlog.reading.markdown.scanner import LINKS_TANGLED, NESTED_TOO_DEEP

UNUSED_BLOCK = declare(
    "unused-block",
    "a block that no figure and no other block uses",
    why="It may be left over, or the prose states its results without saying so.",
    mend="Rest a figure on it, or take it out.",
    severity=Severity.NOTE,
    example="id: old-try        # and no figure with calc:old-try",
)
UNUSED_SOURCE = declare(
    "unused-source",
    "a source that nobody cites",
    why="A list of sources that were not used tells readers nothing.",
    mend="Cite it, or take it out of sources.yml.",
    severity=Severity.NOTE,
    example="tyre-card: {title: Fitting card}        # and no figure with cite:tyre-card",
)
UNUSED_CAR_VALUE = declare(
    "unused-car-value",
    "a value in a car's sheet that no block uses",
    why="A value that nothing rests on is never checked, and goes stale unseen.",
    mend="Use it in a block, or take it out of the sheet.",
    severity=Severity.NOTE,
    example="static_radius: 267 mm        # and no block that takes it from the car",
)
TOLD_COULD_BE_COMPUTED = declare(
    "told-could-be-computed",
    "somebody's word for what a block of this page computes",
    why="A computed figure can be repeated by a reader, somebody's word cannot.",
    mend="Rest the figure on the block, if it is the same quantity.",
    severity=Severity.NOTE,
    example="[133 km/h](told:first-driver)        # where shorter-final computes 133.1 km/h",
)
STATE_BY_NUMBER = declare(
    "state-by-number",
    "a state of the car goes by its number",
    why="A state that is added to the sheet before it would give the block another car.",
    mend="Name the state: car: NAME, and state: the name that the sheet gives it.",
    severity=Severity.WARNING,
    example="car: brindle@2",
)
PURPOSE_GIVEN_TWICE = declare(
    "purpose-given-twice",
    "two cited figures for the same thing differ",
    why="Of two torques for one plug at least one is wrong, and the sheet would have both.",
    mend="Look it up and mend the wrong one, or say what each is for.",
    example='[93 N·m](cite:axle-sheet.case "for the drain plug"), and 39 N·m for it above',
)
_UNREAD = frozenset(
    (
        FILE_UNREADABLE,
        FILE_TOO_LARGE,
        NOT_UTF8,
        NUL_CHARACTER,
        LINE_TOO_LONG,
        NESTED_TOO_DEEP,
        LINKS_TANGLED,
        TOO_MANY_BLOCKS,
    )
)
"""Codes of the findings by which a page, or a part of it, was not read."""


def crosscheck(book: Book, entries: Sequence[Entry]) -> list[Diagnostic]:
    """Findings about the whole site. `entries` are all its figures.

    Nothing is called unused while a page is not read in full: what was passed over may use it.
    """
    unread = any(fault.code in _UNREAD for page in book.pages.values() for fault in page.faults)
    unused = (
        *_unused_blocks(book, entries),
        *_unused_sources(book, entries),
        *_unused_car_values(book, entries),
    )
    return [
        *([] if unread else unused),
        *_told_could_be_computed(book, entries),
        *_states_by_number(book),
    ]


def purposes_given_twice(entries: Sequence[Entry]) -> Iterator[Diagnostic]:
    """Cited figures that are for the same thing, on one page or by one source, and differ."""
    seen: dict[tuple[str, str], list[Entry]] = {}
    for entry in entries:
        judged = entry.judged
        if judged is None or judged.kind != "cite" or judged.source is None or not judged.purpose:
            continue
        purpose = " ".join(judged.purpose.casefold().split())
        places = [("page", f"{entry.page} {purpose}"), ("source", f"{judged.source.id} {purpose}")]
        others = [other for place in places for other in seen.get(place, ())]
        differing = next((other for other in others if _differ(judged, other.judged)), None)
        for place in places:
            seen.setdefault(place, []).append(entry)
        if differing is not None:
            yield PURPOSE_GIVEN_TWICE.at(
                entry.position,
                found=f"“{entry.label}” for {judged.purpose}",
                expected=f"“{differing.label}”, as it is given at {differing.position}",
                help="look it up, or say in each what it is for",
                length=len(entry.label),
                second=differing.position,
                second_label="the other one",
            )


def _differ(judged: Judged, other: Judged | None) -> bool:
    """Whether two figures are not of the same value: each may be rounded by half its last digit."""
    if other is None or judged.stated is None or other.stated is None:
        return False
    meant = {unit.dimension: unit for unit in units.spelt(other.stated.unit)}
    for unit in units.spelt(judged.stated.unit):
        if unit.dimension in meant:
            low, high = _span(judged.stated, unit)
            other_low, other_high = _span(other.stated, meant[unit.dimension])
            return low > other_high or high < other_low
    return bool(judged.stated.unit and other.stated.unit)


def _span(stated: Stated, unit: units.Unit) -> tuple[float, float]:
    """What a figure stands for, SI."""
    low, high = stated.low.value - stated.half_unit, stated.high.value + stated.half_unit
    return unit.to_si(float(low)), unit.to_si(float(high))


def _plain(stated: Stated | None) -> bool:
    return stated is not None and stated.form == "plain" and not (stated.hedge or stated.direction_word)


def _unused_blocks(book: Book, entries: Sequence[Entry]) -> Iterator[Diagnostic]:
    used = {(block.page, block.id) for entry in entries if entry.judged for block in entry.judged.blocks}
    for page in book.pages.values():
        for block in page.blocks:
            for text, _ in references(block):
                try:
                    address = read_address(text)
                except Refused:
                    continue
                used.add((address.page or page.key, address.block))
            for prediction in block.predicts:  # the card has both beside each other
                address = read_address(prediction.address)
                used |= {(address.page or page.key, address.block), (page.key, block.id)}
        # A decision stands first on its page whether or not the words rest on it.
        used |= {(page.key, block.id) for block in page.blocks if block.kind == DECISION}
        if page.howto.is_job or page.howto.series:  # then its bills are on the sheet, or in the series' sums
            used |= {(page.key, block.id) for block in page.blocks if block.kind == BILL_KIND}
    used |= _named_by_unpublished(book)
    drawings = (drawing.block for part in book.parts.values() for drawing in part.drawings)
    used |= {named[:2] for named in drawings if named is not None}
    for page in book.published.values():
        for block in page.blocks:
            result = book.result(page.key, block.id)
            at_fault = result is not None and any(one.severity is Severity.ERROR for one in result.faults)
            if block.id and (page.key, block.id) not in used and not at_fault:
                yield UNUSED_BLOCK.at(
                    block.place("id"),
                    found=f"“{block.id}”",
                    expected="a figure or a block that rests on it",
                    length=len(block.id),
                )


def _named_by_unpublished(book: Book) -> set[tuple[str, str]]:
    """(page, block) or ("", source) that figures of unpublished pages name: they are not judged, but what a
    draft rests on is used."""
    return {
        named
        for page in book.pages.values()
        if not page.published
        for named in (*named_by_figures(page), *_sources_named(page))
    }


def _sources_named(page: Page) -> Iterator[tuple[str, str]]:
    for link in page.read.links:
        with suppress(Refused):  # an address that cannot be read
            address = read_address(link.address)
            if address.scheme != "calc":
                yield "", address.block


def _unused_sources(book: Book, entries: Sequence[Entry]) -> Iterator[Diagnostic]:
    used = {entry.judged.source.id for entry in entries if entry.judged and entry.judged.source}
    used |= {source for page, source in _named_by_unpublished(book) if not page}
    for source in book.sources.values():
        if source.id not in used:
            yield UNUSED_SOURCE.at(
                source.position,
                found=f"“{source.id}”",
                expected=f"a figure with {'told' if source.hearsay else 'cite'}:{source.id}",
                length=len(source.id),
            )


def _unused_car_values(book: Book, entries: Sequence[Entry]) -> Iterator[Diagnostic]:
    """None of a sheet whose blocks could not all be computed: what those take is not known."""
    used: dict[str, set[str]] = {}
    sheets = {
        name: {key.position.path for key, _ in sheet.inputs.values()} for name, sheet in book.cars.items()
    }
    failed = [result for result in book.by_place.values() if result.faults]
    if any(not result.kind for result in failed):
        return
    unknown = {result.car for result in failed}
    for result in book.results.values():
        for case in result.cases.values():
            # By where it stands: a log of the sheet comes from a file, and is the sheet's all the same.
            taken = {
                name
                for name, given in case.given.items()
                if given.position is not None and given.position.path in sheets.get(result.car, ())
            }
            used.setdefault(result.car, set()).update(taken)
    for entry in entries:
        for target in entry.judged.targets if entry.judged is not None else ():
            if target.block.id.startswith(CARS):
                used.setdefault(target.block.id.removeprefix(CARS), set()).add(target.output)
    for name, sheet in book.cars.items():
        for value, (key, _) in sheet.inputs.items():
            if name not in unknown and value not in used.get(name, set()):
                yield UNUSED_CAR_VALUE.at(
                    key.position,
                    found=f"“{value}”",
                    expected=f"a block with car: {name} that takes {value}",
                    length=len(value),
                )


def _states_by_number(book: Book) -> Iterator[Diagnostic]:
    for page in book.published.values():
        for block in page.blocks:
            car, number = book.cars.get(block.car), block.car_state
            if car is None or not isinstance(number, int) or car.number(number) is None:
                continue
            written = f"{block.car}@{number}"
            name = car.states[number - 1]
            yield STATE_BY_NUMBER.at(
                block.place("car"),
                found=f"“{written}”",
                expected=f"car: {block.car} and state: {name or 'NAME'}",
                help="" if name else f"give the state a name in {car.path} first: state: NAME",
                length=len(written),
            )


def _told_could_be_computed(book: Book, entries: Sequence[Entry]) -> Iterator[Diagnostic]:
    results: dict[str, list[BlockResult]] = {}
    for (page, _), result in book.results.items():
        if result.kind != DECISION:  # whose values are other blocks', and whose limits are its author's
            results.setdefault(page, []).append(result)
    for entry in entries:
        judged = entry.judged
        if judged is None or judged.kind != "told" or not judged.agrees or not _plain(judged.stated):
            continue
        stated = judged.stated
        assert stated is not None
        if judged.comparison is not None or not stated.unit or stated.low.value == 0:
            continue
        if computing := _computing(results.get(entry.page, ()), stated):
            address, place = computing
            yield TOLD_COULD_BE_COMPUTED.at(
                entry.position,
                found=f"“{entry.label}” by {judged.address}",
                expected=f"calc:{address}, if it is the same quantity",
                second=place,
                second_label="the block that computes it",
                length=len(entry.label),
            )


def _near(value: float, stated: Stated) -> bool:
    """Whether a value is so near that it is worth judging: no plain figure reaches a tenth of itself here."""
    return abs(value - float(stated.low.value)) <= 0.11 * abs(float(stated.low.value))


def _computing(results: Iterable[BlockResult], stated: Stated) -> tuple[str, Position] | None:
    """Address and place of the first value of a page's results that the stated figure is a rounding of, with
    the value's own dimension."""
    if stated.half_unit * 20 > abs(stated.low.value):
        return None  # one digit agrees with too much by chance
    by_dimension = {unit.dimension: unit for unit in reversed(units.spelt(stated.unit))}
    for result in results:
        for case in result.cases.values():
            for name, value in case.values.items():
                for item, cell in (value if isinstance(value, dict) else {"": value}).items():
                    unit = by_dimension.get(cell.dimension) if isinstance(cell, Value) else None
                    if (
                        unit is None
                        or not isinstance(cell, Value)
                        or not _near(unit.from_si(cell.si), stated)
                    ):
                        continue
                    if judge(stated, Computed(cell.si, cell.dimension), unit).agrees:
                        return ".".join(filter(None, (result.id, case.name, name, item))), result.position
    return None
