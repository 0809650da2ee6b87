"""The working of a block for the reader: each formula once, then every use of it with its numbers."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.figures.units import si_unit
from buildlog.formulae.formula import formula_of
from buildlog.kinds.declaration import Output, Source, Step
from buildlog.kinds.key_texts import key_text, key_words
from buildlog.kinds.results import BlockResult, Value
from buildlog.render.inputs import name_cases
from buildlog.render.pieces import ready
from buildlog.render.table import sentence


@dataclass(frozen=True)
class FormulaUse:
    """One use of a formula: for which key ("gear 3") and cases, with the numbers put in.

    `result` is in the card's unit, "" where that is the SI unit.
    """

    key: str
    cases: tuple[str, ...]
    numbers: Markup
    result: str


@dataclass(frozen=True)
class ShownFormula:
    """A formula and its uses. `reference` is the number of its source in the card's list."""

    label: str
    formula: Markup
    reference: int
    uses: tuple[FormulaUse, ...]


@dataclass(frozen=True)
class Reference:
    """A numbered source of a card."""

    number: int
    source: Source

    @property
    def details(self) -> str:
        """Publisher, edition and place, as far as they are known."""
        return ", ".join(
            part for part in (self.source.publisher, self.source.edition, self.source.where) if part
        )


def references(block: BlockResult) -> list[Reference]:
    """The calculator's sources, numbered: those of the working by first use, then the others."""
    declared = {source.id: source for source in (block.calculator.sources if block.calculator else ())}
    order = dict.fromkeys(step.source for case in block.cases.values() for step in case.steps)
    order.update(dict.fromkeys(declared))
    known = [declared[name] for name in order if name in declared]
    return [Reference(number, source) for number, source in enumerate(known, start=1)]


def _result(step: Step, output: Output | None, value: Value | str | None) -> str:
    """The result in the unit of the card, or "" where that is the SI unit that the formula gave."""
    if output is None or output.dimension == "text":
        return ""
    says = value if isinstance(value, Value) else output
    unit = units.find(says.unit, says.dimension)
    if unit == si_unit(says.dimension):
        return ""
    return write_figure(unit.from_si(step.result), says.decimals, unit.symbol)


def _of_key(block: BlockResult, output: Output | None, key: str) -> str:
    """Which row a step is of: ``gear 3``."""
    if output is None or not output.key:
        return key_words(key)
    return f"{output.key} {key_text(block, output, key).text}"


def working(block: BlockResult) -> list[ShownFormula]:
    """The steps of all cases in order. A step that several cases share is shown once."""
    numbers = {reference.source.id: reference.number for reference in references(block)}
    outputs = block.outputs
    grouped: dict[tuple[str, object, str], dict[tuple[object, ...], tuple[str, Step, list[str]]]] = {}
    for case in block.cases.values():
        for step in case.steps:
            name, _, key = step.name.partition(".")
            uses = grouped.setdefault((name, step.function, step.source), {})
            same = (key, *sorted(step.arguments.items()), step.result)
            uses.setdefault(same, (key, step, []))[2].append(case.name)
    made = []
    for (name, _, source), uses in grouped.items():
        output = outputs.get(name)
        first = next(iter(uses.values()))[1]
        made.append(
            ShownFormula(
                sentence(output.title if output else name),
                ready(formula_of(first.function).mathml()),
                numbers.get(source, 0),
                tuple(
                    FormulaUse(
                        _of_key(block, output, key),
                        name_cases(block, cases),
                        ready(formula_of(step.function).filled_mathml(step.arguments, step.result)),
                        _result(step, output, block.value(cases[0], name, key)),
                    )
                    for key, step, cases in uses.values()
                ),
            )
        )
    return made
