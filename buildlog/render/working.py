"""The working of a block for the reader: each step once, with its formula, what its symbols stand for and
where each comes from, and a table of numbers where several cases or rows went through it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from markupsafe import Markup

from buildlog.figures import units
from buildlog.figures.labels import telling_decimals, write_figure, write_number
from buildlog.figures.units import si_unit
from buildlog.formulae import notation
from buildlog.formulae.expression import SymbolMeaning
from buildlog.formulae.formula import Formula, formula_of
from buildlog.kinds.chain import Origin, origins_of_steps, way_to
from buildlog.kinds.declaration import Output, Source, Step
from buildlog.kinds.key_texts import key_text, key_words
from buildlog.kinds.results import (
    BlockResult,
    CaseResult,
    Value,
    input_anchor,
    row_anchor,
    step_anchor,
)
from buildlog.kinds.symbols import Function, formulae_of, shown_symbols
from buildlog.render.inputs import name_cases
from buildlog.render.pieces import ready
from buildlog.render.table import sentence
from buildlog.render.words import foreign, say, say_count

_WORDS = re.compile("[a-z]{2,} [a-z]{2,}|since|otherwise")
_MOST_ON_THE_WAY = 10
"""Steps that lead to another are listed up to this many; of more the reader goes from one to the next."""


@dataclass(frozen=True)
class Way:
    """A link to what gave a number: a step of the working or an input."""

    text: str
    anchor: str


@dataclass(frozen=True, kw_only=True)
class ShownSymbol:
    """One symbol of a step. `value` is "" where it is in the table of uses or nowhere; `name` is the
    argument's, "" for what is none; `ways` lead to what gave it."""

    symbol: Markup
    about: str
    unit: str
    value: str = ""
    name: str = ""
    ways: tuple[Way, ...] = ()
    tabled: bool = False

    @property
    def itself(self) -> Way | None:
        """The way to what gave it, where that is called as it is: one text is enough for both."""
        if len(self.ways) == 1 and self.ways[0].text.casefold() == self.about.casefold():
            return self.ways[0]
        return None


@dataclass(frozen=True, kw_only=True)
class FormulaUse:
    """One use of a formula: for which key ("gear 3") and cases, with the numbers that differ between uses,
    arguments and quantities on the way.

    `step` is its name with its key, `names` are all its cases. `result` is in the unit of the card, "" where
    that is the unit that the formula gives.
    """

    step: str
    key: str
    cases: tuple[str, ...]
    names: tuple[str, ...]
    numbers: tuple[str, ...]
    given: str
    result: str


@dataclass(frozen=True, kw_only=True)
class Column:
    """A symbol that differs between the uses of a step; `name` is the argument's."""

    symbol: Markup
    unit: str
    name: str


@dataclass(frozen=True, kw_only=True)
class ShownStep:
    """A step and its uses. `reference` is the number of its source in the card's list; `filled` is the
    formula with its numbers, where there is one use; `way` are the steps that lead to it and `steps_before`
    how many there are; `leads_to` is what it is on the way to, "" for a result of the card."""

    anchor: str
    step: str
    label: str
    formula: Markup
    reference: int
    gives: str
    symbols: tuple[ShownSymbol, ...]
    columns: tuple[Column, ...]
    uses: tuple[FormulaUse, ...]
    result: Column
    card_unit: str
    keyed: str
    filled: tuple[str, ...] = ()
    way: tuple[Way, ...] = ()
    steps_before: int = 0
    leads_to: str = ""

    @property
    def by_key(self) -> bool:
        """Whether its uses are of several rows."""
        return any(use.key for use in self.uses)

    @property
    def by_case(self) -> bool:
        """Whether its uses are of several cases."""
        return any(use.cases for use in self.uses)

    @property
    def in_card(self) -> bool:
        """Whether the card shows its results in another unit."""
        return any(use.result for use in self.uses)


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


@dataclass(frozen=True)
class Working:
    """The working of a card. `ways` has for each of its rows, by anchor, that of the step that gave it."""

    steps: list[ShownStep]
    ways: dict[str, str]


def working(block: BlockResult) -> Working:
    """The steps of all cases, each with its uses; those that are no results of the card stand before the
    first result that they lead to."""
    made = _Working(block)
    ways: dict[str, str] = {}
    for group in made.groups:
        for use in group.uses:
            name, _, key = use.step.name.partition(".")
            ways.setdefault(row_anchor(block.id, name, key), made.anchors[group.identity])
    return Working([made.shown(group) for group in made.in_order()], ways)


# --- the groups -----------------------------------------------------------------------

_Identity = tuple[str, Function, str]
"""Steps of one name, formula and source are one step of the working."""


@dataclass
class _Use:
    """What several cases did alike: one of their steps, which stands at `place` of the first `case`."""

    step: Step
    case: CaseResult
    place: int
    names: list[str]


@dataclass
class _Group:
    identity: _Identity
    uses: list[_Use] = field(default_factory=list)
    leads_to: str = ""

    @property
    def name(self) -> str:
        return self.identity[0]


def _identity(step: Step) -> _Identity:
    return step.name.partition(".")[0], step.function, step.source


class _Working:
    """The steps of a block, grouped, with where each argument comes from."""

    def __init__(self, block: BlockResult) -> None:
        self.block = block
        self.outputs: Mapping[str, Output] = block.outputs
        self.formulae = formulae_of(block)
        self.numbers = {reference.source.id: reference.number for reference in references(block)}
        self.origins = {name: origins_of_steps(case) for name, case in block.cases.items()}
        self.groups = list(self._grouped())
        numbered: dict[str, int] = {}
        self.anchors: dict[_Identity, str] = {}
        for group in self.groups:
            numbered[group.name] = numbered.get(group.name, 0) + 1
            self.anchors[group.identity] = step_anchor(block.id, group.name, numbered[group.name])

    def _grouped(self) -> Iterator[_Group]:
        groups: dict[_Identity, _Group] = {}
        alike: dict[tuple[object, ...], _Use] = {}
        for case in self.block.cases.values():
            for place, step in enumerate(case.steps):
                identity = _identity(step)
                group = groups.setdefault(identity, _Group(identity))
                same = (identity, step.name, *sorted(step.arguments.items()), step.result)
                if same not in alike:
                    alike[same] = _Use(step, case, place, [])
                    group.uses.append(alike[same])
                alike[same].names.append(case.name)
        yield from groups.values()

    def in_order(self) -> list[_Group]:
        """The groups in the order in which they ran, but for those that are no results: they stand before
        the first result that they lead to, where one is known."""
        before: dict[_Identity, list[_Group]] = {}
        on_the_way = {group.identity: group for group in self.groups if group.name not in self.outputs}
        for result in [group for group in self.groups if group.name in self.outputs]:
            leading = {
                _identity(use.case.steps[place])
                for use in result.uses
                for place in way_to(use.place, self.origins[use.case.name])
            }
            before[result.identity] = [
                on_the_way.pop(identity) for identity in list(on_the_way) if identity in leading
            ]
            for group in before[result.identity]:
                group.leads_to = result.name
        order: list[_Group] = []
        for group in self.groups:
            if not group.leads_to:
                order += [*before.get(group.identity, ()), group]
        return order

    # --- words ------------------------------------------------------------------------

    def label(self, name: str) -> str:
        """What a step is called: as its result, or by the formula's own name."""
        output = self.outputs.get(name)
        if output is None:
            return foreign(sentence(notation.name_in_words(name)))
        return sentence(output.title)

    def key(self, step: Step) -> str:
        """Which row a step is of: ``gear 3``."""
        name, _, key = step.name.partition(".")
        output = self.outputs.get(name)
        if output is None or not output.key:
            return key_words(key)
        return key_text(self.block, output, key).text

    # --- one step ---------------------------------------------------------------------

    def shown(self, group: _Group) -> ShownStep:
        """The step as the card shows it."""
        name, function, source = group.identity
        formula = self.formulae[function]
        first = group.uses[0].step
        rows = shown_symbols(formula)
        values = [formula.values(use.step.arguments, use.step.result) for use in group.uses]
        differing = _differing(values)
        result = _Result(self.block, group)
        tabled = [
            row
            for row in rows
            if row.name in differing and (row.kind == "between" or row.name in first.arguments)
        ]
        way = [] if len(group.uses) > 1 else self.way(group.uses[0])
        return ShownStep(
            anchor=self.anchors[group.identity],
            step=name,
            label=self.label(name),
            formula=ready(formula.equations()),
            reference=self.numbers.get(source, 0),
            gives=result.gives,
            symbols=tuple(self.symbols(group, rows, values[0], differing)),
            columns=tuple(_column(row) for row in tabled),
            uses=tuple(
                self.use(use, tabled, of_use, result) for use, of_use in zip(group.uses, values, strict=True)
            ),
            result=_column(rows[-1]),
            card_unit=result.card_unit,
            keyed=result.keyed,
            filled=_filled(formula, first) if len(group.uses) == 1 else (),
            way=tuple(way) if len(way) <= _MOST_ON_THE_WAY else (),
            steps_before=len(way),
            leads_to=self.label(group.leads_to) if group.leads_to else "",
        )

    def symbols(
        self,
        group: _Group,
        rows: Sequence[SymbolMeaning],
        values: Mapping[str, float],
        differing: set[str],
    ) -> Iterator[ShownSymbol]:
        """What a step's symbols stand for; `values` are those of its first use."""
        first = group.uses[0].step
        for row in rows:
            if row.kind == "given" and row.name not in first.arguments:
                continue
            value = ""
            if row.kind == "constant" and row.value is not None:
                value = notation.quantity(row.value, row.unit)
            elif row.kind == "result" and len(group.uses) == 1:
                value = notation.quantity(first.result, row.unit)
            elif row.kind not in ("result", "function") and row.name in values and row.name not in differing:
                value = notation.quantity(values[row.name], row.unit)
            yield ShownSymbol(
                symbol=ready(_symbol(row)),
                about=row.about,
                unit="" if row.unit == "1" else row.unit,
                value=value,
                name=row.name if row.kind == "given" else "",
                ways=tuple(self.ways(group, row.name)) if row.kind == "given" else (),
                tabled=row.name in differing or (row.kind == "result" and not value),
            )

    def ways(self, group: _Group, argument: str) -> Iterator[Way]:
        """To what gave an argument in all uses of a step."""
        found: dict[str, Way] = {}
        origins = [self.origins[use.case.name][use.place].get(argument, Origin()) for use in group.uses]
        # Where it is one input, the symbol's own words say which.
        is_one = len({origin.inputs for origin in origins}) == 1 and origins[0].is_sure
        for use, origin in zip(group.uses, origins, strict=True):
            for place in origin.steps:
                step = use.case.steps[place]
                way = self.way_to_step(step, with_key=len(group.uses) == 1)
                found.setdefault(way.text, way)
            for name in origin.inputs if "inputs" in self.block.show else ():
                about = say("input")
                if not is_one:
                    about = say("input {what}", what=use.case.given[name].declared.label)
                found.setdefault(name, Way(about, input_anchor(self.block.id, name)))
        yield from found.values()

    def way_to_step(self, step: Step, *, with_key: bool = False) -> Way:
        key = self.key(step) if with_key else ""
        label = self.label(step.name.partition(".")[0])
        return Way(say("{step}, {row}", step=label, row=key) if key else label, self.anchors[_identity(step)])

    def way(self, use: _Use) -> list[Way]:
        """All steps that lead to a use, each once; none where its arguments say all of them."""
        origins = self.origins[use.case.name]
        places = way_to(use.place, origins)
        if set(places) == {place for origin in origins[use.place].values() for place in origin.steps}:
            return []
        found = {_identity(use.case.steps[place]): use.case.steps[place] for place in places}
        return [self.way_to_step(step) for step in found.values()]

    def use(
        self,
        use: _Use,
        tabled: Sequence[SymbolMeaning],
        values: Mapping[str, float],
        result: _Result,
    ) -> FormulaUse:
        step = use.step
        return FormulaUse(
            step=step.name,
            key=self.key(step),
            cases=name_cases(self.block, use.names),
            names=tuple(use.names),
            numbers=tuple(notation.number(values[row.name]) if row.name in values else "–" for row in tabled),
            given=notation.number(step.result),
            result=result.number(use),
        )


def _column(row: SymbolMeaning) -> Column:
    return Column(
        symbol=ready(_symbol(row)),
        unit="" if row.unit == "1" else row.unit,
        name="" if row.kind == "result" else row.name,
    )


def _symbol(row: SymbolMeaning) -> str:
    return notation.symbol_html(row.symbol)


def _differing(values: Sequence[Mapping[str, float]]) -> set[str]:
    """The quantities that are not the same in all uses, or not in all of them."""
    names = dict.fromkeys(name for of_use in values for name in of_use)
    return {name for name in names if len({of_use.get(name) for of_use in values}) > 1}


def _filled(formula: Formula, step: Step) -> tuple[str, ...]:
    """The formula with its numbers, an equation a line; what is told in words has only its value."""
    if formula.in_words:
        return ()
    lines = formula.filled_text(step.arguments, step.result).splitlines()
    return tuple(foreign(line) if _WORDS.search(line) else line for line in lines)


class _Result:
    """What a step gives, in the unit of the card where that is another than the formula's."""

    def __init__(self, block: BlockResult, group: _Group) -> None:
        self.block, self.group = block, group
        self.output = block.outputs.get(group.name)
        self.keyed = self.output.key if self.output else ""

    def _value(self, use: _Use) -> Value | Output | None:
        if self.output is None or self.output.dimension == "text":
            return None
        name, _, key = use.step.name.partition(".")
        value = self.block.value(use.names[0], name, key)
        return value if isinstance(value, Value) else self.output

    @cached_property
    def _units(self) -> set[tuple[str, str]]:
        """The unit and the dimension in which the card shows the values."""
        shown = [self._value(use) for use in self.group.uses]
        return {(one.unit, one.dimension) if one else ("", "") for one in shown}

    @property
    def card_unit(self) -> str:
        """The symbol of the card's unit, where it is one for all and another than the formula's."""
        if len(self._units) != 1:
            return ""
        unit, dimension = next(iter(self._units))
        if not dimension or units.find(unit, dimension) == si_unit(dimension):
            return ""
        return units.find(unit, dimension).symbol

    def number(self, use: _Use) -> str:
        """One result in the unit of the card, which stands beside it where it is not the column's."""
        value = self._value(use)
        if value is None:
            return ""
        unit = units.find(value.unit, value.dimension)
        if unit == si_unit(value.dimension):
            return ""
        number = unit.from_si(use.step.result)
        if self.card_unit and self.card_unit == unit.symbol:
            return write_number(number, telling_decimals(number, value.decimals))
        return write_figure(number, value.decimals, unit.symbol)

    @property
    def gives(self) -> str:
        """What the step gives, for its heading: one value, or how many."""
        uses = self.group.uses
        if len(uses) > 1:
            return say_count(len(uses), "{count} value", "{count} values")
        value = self._value(uses[0])
        if value is None:
            return notation.quantity(uses[0].step.result, _unit_of(uses[0].step))
        unit = units.find(value.unit, value.dimension)
        return write_figure(unit.from_si(uses[0].step.result), value.decimals, unit.symbol)


def _unit_of(step: Step) -> str:
    return formula_of(step.function).result.unit
