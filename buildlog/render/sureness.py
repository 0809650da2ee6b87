"""How sure results are: the part from the inputs and that of the method, and the budget of each: what its ±
comes from, and what would be left of it if a doubt were half as large."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from buildlog.kinds.budget import BudgetLine, amount_in_words, budget_lines, part_in_words, parts_in_words
from buildlog.kinds.declaration import Output
from buildlog.kinds.doubt import Doubt
from buildlog.kinds.key_texts import key_text
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BENT, BlockResult, CaseResult, Value
from buildlog.render.inputs import name_cases
from buildlog.render.table import in_words, sentence
from buildlog.render.words import say
from buildlog.render.working import references
from buildlog.said import said

_SHOWN = 0.005
"""Of the variance: less is 0 % and is left to `buildlog working`."""
_BAR = 5.0
"""How long the bar of all of the variance is, in em."""


@dataclass(frozen=True)
class SureOf:
    """How sure some results of one quantity are: which, by key and case, and ± with its two parts."""

    names: tuple[str, ...]
    amount: str


@dataclass(frozen=True)
class SureResult:
    """One quantity among the results that have a budget in common."""

    label: str
    amounts: tuple[SureOf, ...]


@dataclass(frozen=True, kw_only=True)
class BudgetRow:
    """One doubt in a budget, in words. `alone` is the ± that it would bring by itself, `bar` the length of
    its bar in em, `halved` the ± that would be left if it were half as large, and `less` how much less that
    is; both "" of what cannot be halved. `then` is what would be certain then that is not so now."""

    name: str
    stated: str
    alone: str
    share: str
    bar: str
    halved: str = ""
    less: str = ""
    then: str = ""


@dataclass(frozen=True)
class Budget:
    """The doubts of results that have the same shares of them. Amounts are those of the first result."""

    of: tuple[SureResult, ...]
    rows: tuple[BudgetRow, ...]


@dataclass(frozen=True, kw_only=True)
class ShownDoubt:
    """A doubt of the method, with the number of its source in the card."""

    about: str
    size: str
    range: str
    reference: int


@dataclass(frozen=True)
class Drawn:
    """How a Monte Carlo was made, and for which cases."""

    text: str
    cases: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Sureness:
    """All that a card says of uncertainty. `of_what` is the sentence that explains ±."""

    of_what: str = ""
    budgets: tuple[Budget, ...] = ()
    doubts: tuple[ShownDoubt, ...] = ()
    drawn: tuple[Drawn, ...] = ()


NOT_UNCERTAIN = Sureness()


def sureness(block: BlockResult) -> Sureness:
    """What the card of a computed block says of uncertainty: of every result that is shown with a ±."""
    found = [
        Sure(output, key, case, value)
        for output, key in block.rows()
        for case in block.cases.values()
        if isinstance(value := block.value(case.name, output.name, key), Value) and shown(value).margin
    ]
    values = [one.value for one in found]
    return Sureness(
        of_what=_of_what(values),
        budgets=budgets(block, found),
        doubts=_doubts(block, values),
        drawn=_drawn(block),
    )


@dataclass(frozen=True)
class Sure:
    """A result that has a budget. `called` is its name where that is not its quantity and key."""

    output: Output
    key: str
    case: CaseResult
    value: Value
    called: str = ""


def budgets(
    block: BlockResult, results: Iterable[Sure], then: Callable[[Sure, float], str] = lambda one, halved: ""
) -> tuple[Budget, ...]:
    """The budgets of some results: those with the same shares, as a card shows them, have one together. Of a
    speed in each gear, say, everything is in proportion. `then` says what an expanded uncertainty that is
    left would make certain of a result."""
    rows: dict[tuple[tuple[str, ...], ...], tuple[BudgetRow, ...]] = {}
    having: dict[tuple[tuple[str, ...], ...], list[Sure]] = {}
    for one in results:
        told = budget_lines(one.case, one.value)
        lines = tuple(
            replace(_row(one.value, line), then="" if line.halved is None else then(one, line.halved))
            for line in told
            if line.share >= _SHOWN
        )
        same = tuple((line.name, line.share, line.less, line.then) for line in lines)
        rows.setdefault(same, lines)
        having.setdefault(same, []).append(one)
    return tuple(Budget(_results(block, having[same]), lines) for same, lines in rows.items())


def _row(value: Value, line: BudgetLine) -> BudgetRow:
    row = BudgetRow(
        name=say(line.name),
        stated=say(line.stated),
        alone=_plus_minus(value, line.alone),
        share=f"{round(100 * line.share)}\u00a0%",
        bar=f"{_BAR * line.share:.2g}",
    )
    if line.halved is None:
        return row
    less = round(100 * (1 - line.halved / value.expanded_uncertainty))
    return replace(
        row,
        halved=_plus_minus(value, line.halved),
        less=f"−{less}\u00a0%" if less else say("hardly less"),
    )


def _plus_minus(value: Value, expanded: float) -> str:
    return f"±\u00a0{amount_in_words(value, expanded)}"


def _results(block: BlockResult, having: Iterable[Sure]) -> tuple[SureResult, ...]:
    """Results by quantity, then by their ±; what all cases share is said without them."""
    cases: dict[tuple[str, str], dict[str, list[str]]] = {}
    texts: dict[tuple[str, str], tuple[str, str]] = {}
    for one in having:
        place = (one.output.name, one.key)
        texts[place] = (one.called, "") if one.called else (sentence(one.output.title), _named(block, one))
        cases.setdefault(place, {}).setdefault(_amount(one.value), []).append(one.case.name)
    quantities: dict[str, dict[str, list[str]]] = {}
    for place, amounts in cases.items():
        label, key = texts[place]
        for amount, names in amounts.items():
            of_cases = ", ".join(name_cases(block, names))
            named = key or of_cases
            if key and of_cases:
                named = said("{key} ({cases})", key=key, cases=of_cases)
            quantities.setdefault(label, {}).setdefault(amount, []).append(named)
    return tuple(
        SureResult(label, tuple(SureOf(tuple(filter(None, names)), amount) for amount, names in told.items()))
        for label, told in quantities.items()
    )


def _named(block: BlockResult, one: Sure) -> str:
    """The key of a result, with what it counts where it is a number: gear 2."""
    text = key_text(block, one.output, one.key).text if one.key else ""
    return f"{in_words(one.output.key)} {text}" if text.isdecimal() else text


def _amount(value: Value) -> str:
    if value.is_whole:  # so much and a half of a count is nothing
        return shown(value).margin
    parts = say(parts_in_words(value))
    return _plus_minus(value, value.expanded_uncertainty) + (f" ({parts})" if parts else "")


def _of_what(values: list[Value]) -> str:
    inputs = any(part_in_words(value, value.expanded_of_inputs) for value in values)
    method = any(part_in_words(value, value.expanded_of_method) for value in values)
    if inputs and method:
        return say("± is the expanded uncertainty, k = 2, from your inputs and of the method together.")
    if method:
        return say("± is the expanded uncertainty, k = 2, of the method.")
    return say("± is the expanded uncertainty, k = 2, from your inputs.")


def _doubts(block: BlockResult, values: list[Value]) -> tuple[ShownDoubt, ...]:
    """The doubts of the method that move any result, each once."""
    moving = {origin.removesuffix(BENT) for value in values for origin in value.contributions}
    found: dict[str, Doubt] = {}
    for case in block.cases.values():
        for origin, doubt in case.doubted.items():
            if origin in moving and not doubt.own:
                found.setdefault(doubt.name, doubt)
    numbers = {reference.source.id: reference.number for reference in references(block)}
    return tuple(
        ShownDoubt(
            about=sentence(say(doubt.about)),
            size=say(doubt.size()),
            range=doubt.range,
            reference=numbers.get(doubt.source, 0),
        )
        for doubt in found.values()
    )


def _drawn(block: BlockResult) -> tuple[Drawn, ...]:
    cases: dict[str, list[str]] = {}
    for case in block.cases.values():
        if case.simulation is not None:
            cases.setdefault(say(case.simulation.words), []).append(case.name)
    return tuple(Drawn(text, name_cases(block, names)) for text, names in cases.items())
