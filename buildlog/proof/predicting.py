"""What was foretold beside what was found: the predictions of a block, and those that the text compares.

A prediction may fail, and that is a result like any other: it is no finding, and stands on the page. What is
a finding is a comparison that would mean nothing, with what is not there, is of another dimension, or was
itself made from the result.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt

from buildlog.book.addresses import Target, change, in_case
from buildlog.book.book import Book
from buildlog.book.evaluation import references
from buildlog.diagnostics import Diagnostic, Position, Refused, Severity, declare
from buildlog.figures import units
from buildlog.figures.comparison import signed_normalised_error, within_uncertainty
from buildlog.kinds.logs import logs_in
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.judging import Entry, Judged
from buildlog.reading.addresses import read_address
from buildlog.reading.blocks import Block
from buildlog.reading.predictions import Prediction
from buildlog.said import said

AGREES: str = said("agrees")
DISAGREES: str = said("does not agree")
UNTOLD: str = said("cannot tell")
_NOISE = 1e-9
"""Of the values: what is left of exact ones is rounding."""

PREDICTION_FROM_RESULT = declare(
    "prediction-from-result",
    "the prediction was made from the result that it is held to",
    why="What takes the measured value foretells nothing: the two agree whatever is true.",
    mend="Give the prediction's block a value that was known before, or take the line out of predicts.",
    example="predicts: {time: calc:guess.time}        # where the block guess takes calc:watch.time",
)


@dataclass(frozen=True, kw_only=True)
class Foretold:
    """A predicted value beside the measured one.

    `difference` is predicted − measured. `error` is its normalised error with its sign, None where nothing in
    it is uncertain. `shared` says that both rest on an error, which counts once; `logs` are those that both
    rest on. `by_block` says that a block names the two; else a figure's title does. `position` is where they
    are named.
    """

    page: str
    position: Position
    predicted: Target
    measured: Target
    difference: Value
    error: float | None
    shared: bool
    logs: tuple[str, ...] = ()
    by_block: bool = True

    @property
    def verdict(self) -> str:
        """One of `AGREES`, `DISAGREES` and `UNTOLD`."""
        if self.error is None:
            return UNTOLD
        return AGREES if within_uncertainty(self.error) else DISAGREES


@dataclass(frozen=True, kw_only=True)
class Claim:
    """Somebody's word beside what is computed of it."""

    page: str
    position: Position
    judged: Judged

    @property
    def verdict(self) -> str:
        comparison = self.judged.comparison
        return AGREES if comparison is not None and comparison.agrees else DISAGREES


@dataclass(frozen=True, kw_only=True)
class Tally:
    """How a site's predictions came out: how many, how many agreed, did not, or could not be told. `mean` is
    the mean of their normalised errors with signs, and `size` the root of their mean square; None where no
    error is known."""

    count: int
    agreed: int
    failed: int
    untold: int
    mean: float | None = None
    size: float | None = None

    @property
    def known(self) -> int:
        """How many have a normalised error."""
        return self.agreed + self.failed


def foretell(
    book: Book, predicted: Target, measured: Target, *, page: str, position: Position, by_block: bool = True
) -> Foretold:
    """Set a prediction beside what was measured. Raises `Refused` for what cannot be compared."""
    value, found = predicted.number, measured.number
    if value.dimension != found.dimension:
        raise Refused(
            "address",
            f"{predicted.words}, a {value.dimension}",
            f"a {found.dimension}, as {measured.words} is",
            help="a prediction is of the same quantity as what is measured",
            code=units.WRONG_DIMENSION,
        )
    difference = change(predicted, measured, "difference")  # from the measured value to the predicted one
    error = None
    if difference.expanded_uncertainty > _NOISE * max(abs(value.si), abs(found.si)):
        error = signed_normalised_error(difference.si, difference.expanded_uncertainty)
    return Foretold(
        page=page,
        position=position,
        predicted=predicted,
        measured=measured,
        difference=difference,
        error=error,
        shared=not value.contributions.keys().isdisjoint(found.contributions),
        logs=tuple(sorted(_logs_behind(book, predicted.block) & _logs_behind(book, measured.block))),
        by_block=by_block,
    )


# --- of a block -------------------------------------------------------------------------------


def predictions_of(book: Book, block: Block) -> tuple[list[Foretold], list[Diagnostic]]:
    """The predictions that a block names, case by case, and what is wrong with the others. A block that is at
    fault has none: its own faults say why."""
    result = book.by_place[block.position]
    at_fault = any(one.severity is Severity.ERROR for one in result.faults) or not result.cases
    held: list[Foretold] = []
    wrong: list[Diagnostic] = []
    for prediction in () if at_fault else block.predicts:
        for one in _of_one(book, block, result, prediction):
            if isinstance(one, Foretold):
                held.append(one)
            else:
                wrong.append(one)
    return held, wrong


def _of_one(
    book: Book, block: Block, result: BlockResult, prediction: Prediction
) -> Iterator[Foretold | Diagnostic]:
    """A prediction, or one for each case of the block where it names none of several."""
    own = prediction.own
    address = read_address(f"calc:{block.id}.{own.text}")
    cases = [""]
    if len(result.cases) > 1 and address.rest[0] not in result.cases and address.rest[0] in result.outputs:
        cases = list(result.cases)
    for case in cases:
        try:
            measured = _number(book.target(block.page, in_case(result, address, case) if case else address))
        except Refused as error:
            yield _refused(error, own.position, len(own.text), result.position, "the block that measured")
            return
        found = _held_to(book, block, prediction, measured)
        yield found
        if isinstance(found, Diagnostic):
            return


def _number(target: Target) -> Target:
    """The target where it is a number. Raises `Refused` for words."""
    assert target.number is not None
    return target


def _held_to(book: Book, block: Block, prediction: Prediction, measured: Target) -> Foretold | Diagnostic:
    """One measured value beside the one that foretold it."""
    place, length = prediction.by.position, len(prediction.by.text)
    address = read_address(prediction.address)
    other = book.result(address.page or block.page, address.block)
    try:
        if measured.case and other is not None and other.cases:
            address = in_case(other, address, measured.case)
        predicted = book.target(block.page, address)
        foretold = foretell(book, predicted, measured, page=block.page, position=prediction.own.position)
    except Refused as error:
        second = other.position if other is not None else None
        return _refused(error, place, length, second, "the block that it names")
    if way := _way_to(book, predicted, measured):
        return PREDICTION_FROM_RESULT.at(
            place,
            found=way,
            expected="a prediction that does not take what it is held to",
            length=length,
            second=predicted.block.position,
            second_label="the prediction",
        )
    return foretold


def _refused(
    error: Refused, place: Position, length: int, second: Position | None, second_label: str
) -> Diagnostic:
    return error.code.at(
        place,
        found=error.found,
        expected=error.expected,
        help=error.help,
        length=length,
        second=second,
        second_label=second_label if second is not None else "",
    )


def _way_to(book: Book, predicted: Target, measured: Target) -> str:
    """How a prediction comes from the measured value, in words: it is that, or its block takes it, or takes
    what a block made of it. "" where it does not. Another quantity of the block that measured may go into a
    prediction, as the air of the day does."""
    if predicted.name == measured.name:
        return f"{predicted.words}, the measured value itself"
    wanted = measured.name[:2] + measured.name[3:]  # whichever case of it
    waiting = [(predicted.block, predicted.block.id)]
    seen = {(measured.block.page, measured.block.id)}
    while waiting:
        block, way = waiting.pop()
        if (block.page, block.id) in seen:
            continue
        seen.add((block.page, block.id))
        for target in values_taken(book, block):
            told = f"{way}, which takes {target.words}"
            if target.name[:2] + target.name[3:] == wanted:
                return told
            waiting.append((target.block, told))
    return ""


def values_taken(book: Book, block: BlockResult) -> Iterator[Target]:
    """The values of other blocks that a block takes, in whichever of its cases."""
    written = next((one for one in _blocks_of(book, block.page) if one.position == block.position), None)
    for text, _ in references(written) if written is not None else ():
        address = read_address(text)
        other = book.result(address.page or block.page, address.block)
        for case in block.cases:
            try:
                where = in_case(other, address, case) if case and other is not None else address
                yield book.target(block.page, where)
            except Refused:
                continue  # not of this case


def _logs_behind(book: Book, block: BlockResult) -> set[str]:
    """The logs that a block's values come from, by way of other blocks too."""
    found: set[str] = set()
    seen: set[tuple[str, str]] = set()
    waiting = [block]
    while waiting:
        one = waiting.pop()
        if (one.page, one.id) in seen:
            continue
        seen.add((one.page, one.id))
        waiting += [target.block for target in values_taken(book, one)]
        for case in one.cases.values():
            for given in case.given.values():
                found |= {log.file for log in logs_in(given.value)}
    return found


def _blocks_of(book: Book, page: str) -> tuple[Block, ...]:
    return tuple(book.pages[page].blocks) if page in book.pages else ()


# --- of the text --------------------------------------------------------------------------------


def compared_in_text(
    book: Book, entries: Iterable[Entry], known: Iterable[Foretold]
) -> Iterator[Foretold | Claim]:
    """What figures are set beside by their titles, each pair once: a computed value “against” one that was
    found without it, and somebody's word “of” one. `known` are what blocks name."""
    seen = {(one.predicted.name, one.measured.name) for one in known}
    for entry in entries:
        judged = entry.judged
        if judged is None or judged.comparison is None:
            continue
        if judged.kind == "told":
            yield Claim(page=entry.page, position=entry.position, judged=judged)
        elif judged.target is not None:
            against = judged.comparison.target
            names = judged.target.name, against.name
            if names not in seen and names[::-1] not in seen:
                seen.add(names)
                yield foretell(
                    book, judged.target, against, page=entry.page, position=entry.position, by_block=False
                )


def tally(predictions: Iterable[Foretold]) -> Tally:
    """How predictions came out, all of them together."""
    listed = list(predictions)
    errors = [one.error for one in listed if one.error is not None]
    agreed = sum(one.verdict == AGREES for one in listed)
    mean = size = None
    if errors:
        mean = sum(errors) / len(errors)
        size = sqrt(sum(error * error for error in errors) / len(errors))
    return Tally(
        count=len(listed),
        agreed=agreed,
        failed=len(errors) - agreed,
        untold=len(listed) - len(errors),
        mean=mean,
        size=size,
    )
