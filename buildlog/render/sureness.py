"""How sure results are: the part from the inputs, the part of the method, and what most of it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.kinds.budget import amount_in_words, budget, part_in_words
from buildlog.kinds.declaration import Output
from buildlog.kinds.doubt import Doubt
from buildlog.kinds.results import BENT, BlockResult, CaseResult, Value
from buildlog.render.inputs import name_cases
from buildlog.render.keys import key_text
from buildlog.render.table import sentence
from buildlog.render.working import references

_MOST = 3
_NOISE = 1e-6
"""Of the value: what is left of exact inputs is rounding."""


@dataclass(frozen=True, kw_only=True)
class SureRow:
    """One result of a case. `mostly` are what its uncertainty comes from, with the share of the variance."""

    label: str
    case: str
    total: str
    of_inputs: str
    of_method: str
    mostly: tuple[tuple[str, int], ...]


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
    """All that a card says of uncertainty. `of_what` ends the sentence that explains ±."""

    of_what: str = ""
    rows: tuple[SureRow, ...] = ()
    doubts: tuple[ShownDoubt, ...] = ()
    drawn: tuple[Drawn, ...] = ()


NOT_UNCERTAIN = Sureness()


def sureness(block: BlockResult) -> Sureness:
    """What the card of a computed block says of uncertainty."""
    rows: list[SureRow] = []
    values: list[Value] = []
    for output, key in block.rows():
        for case in block.cases.values():
            value = block.value(case.name, output.name, key)
            if isinstance(value, Value) and value.expanded_uncertainty > _NOISE * abs(value.si):
                values.append(value)
                rows.append(_row(block, output, key, case, value))
    return Sureness(
        of_what=_of_what(values),
        rows=tuple(rows),
        doubts=_doubts(block, values),
        drawn=_drawn(block),
    )


def _of_what(values: list[Value]) -> str:
    inputs = any(part_in_words(value, value.expanded_of_inputs) for value in values)
    method = any(part_in_words(value, value.expanded_of_method) for value in values)
    if inputs and method:
        return ", from your inputs and of the method together"
    return ", of the method" if method else ", from your inputs"


def _row(block: BlockResult, output: Output, key: str, case: CaseResult, value: Value) -> SureRow:
    label = sentence(output.about)
    if key:
        label += f", {key_text(block, output, key).text}"
    return SureRow(
        label=label,
        case=case.name,
        total=amount_in_words(value, value.expanded_uncertainty),
        of_inputs=part_in_words(value, value.expanded_of_inputs),
        of_method=part_in_words(value, value.expanded_of_method),
        mostly=tuple(budget(case, value)[:_MOST]),
    )


def _doubts(block: BlockResult, values: list[Value]) -> tuple[ShownDoubt, ...]:
    """The doubts of the method that move any result, each once."""
    moving = {origin.removesuffix(BENT) for value in values for origin in value.contributions}
    found: dict[str, Doubt] = {}
    for case in block.cases.values():
        for origin, doubt in case.doubted.items():
            if origin in moving:
                found.setdefault(doubt.name, doubt)
    numbers = {reference.source.id: reference.number for reference in references(block)}
    return tuple(
        ShownDoubt(
            about=sentence(doubt.about),
            size=doubt.size(),
            range=doubt.range,
            reference=numbers.get(doubt.source, 0),
        )
        for doubt in found.values()
    )


def _drawn(block: BlockResult) -> tuple[Drawn, ...]:
    cases: dict[str, list[str]] = {}
    for case in block.cases.values():
        if case.simulation is not None:
            cases.setdefault(case.simulation.words, []).append(case.name)
    return tuple(Drawn(text, name_cases(block, names)) for text, names in cases.items())
