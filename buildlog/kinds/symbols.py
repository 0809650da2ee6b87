"""The formulae of one block with every symbol for one thing.

Formulae are written one by one, each with the symbols of its field, and a block brings many together: K is a
loss coefficient in one and a constant of a reaction in another. Here the same thing is found again by what is
said of it, by what it is called and by where its value comes from; what else bears a symbol that is taken
gets a prime.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from buildlog.formulae.expression import SymbolMeaning
from buildlog.formulae.formula import Formula, formula_of
from buildlog.kinds.chain import origins_of_steps
from buildlog.kinds.results import BlockResult

Function = Callable[..., float]
_Place = tuple[Function, str]
"""A symbol of a formula, by the formula and the name it has there."""
_SAYING_LITTLE = frozenset(
    (
        "share",
        "part",
        "whole",
        "first",
        "second",
        "value",
        "limit",
        "number",
        "count",
        "changed",
        "before",
        "after",
    )
)
"""Names that formulae give to anything."""


def formulae_of(block: BlockResult) -> dict[Function, Formula]:
    """The formula of every function that ran for the block, with symbols that mean one thing in all of it."""
    things = _Things()
    for function in dict.fromkeys(step.function for case in block.cases.values() for step in case.steps):
        things.add(function)
    for case in block.cases.values():
        for step, origins in zip(case.steps, origins_of_steps(case), strict=True):
            for name, origin in origins.items():
                if not origin.is_sure:
                    continue
                if origin.steps:
                    source = case.steps[origin.steps[0]].function
                    things.join((step.function, name), (source, _result_of(source).name))
                else:
                    things.join_by((step.function, name), f"input {origin.inputs[0]}")
    return things.formulae()


def shown_symbols(formula: Formula) -> tuple[SymbolMeaning, ...]:
    """The symbols of a formula that a reader sees: records have none, and where a value is told in words
    what stands between is not shown."""
    return tuple(
        row
        for row in formula.symbols
        if row.unit and (row.kind in ("given", "result") or not formula.in_words)
    )


def _result_of(function: Function) -> SymbolMeaning:
    return formula_of(function).symbols[-1]


@dataclass
class _Things:
    """Which symbols of which formulae are the same thing: a forest, joined as more is known."""

    rows: dict[_Place, SymbolMeaning] = field(default_factory=dict)
    above: dict[_Place, _Place] = field(default_factory=dict)
    known: dict[tuple[str, str, str], _Place] = field(default_factory=dict)

    def add(self, function: Function) -> None:
        for row in shown_symbols(formula_of(function)):
            place = function, row.name
            self.rows[place], self.above[place] = row, place
            self.join_by(place, f"said {row.about}")
            if row.kind != "between" and row.name not in _SAYING_LITTLE:
                self.join_by(place, f"called {row.name}")

    def join_by(self, place: _Place, mark: str) -> None:
        """Join what has a symbol, a unit and a mark in common."""
        if place not in self.rows:
            return
        row = self.rows[place]
        self.join(place, self.known.setdefault((row.symbol, row.unit, mark), place))

    def join(self, one: _Place, other: _Place) -> None:
        """Two are the same thing, if they have one symbol and one unit."""
        if one not in self.rows or other not in self.rows:
            return
        first, second = self.rows[one], self.rows[other]
        if (first.symbol, first.unit) == (second.symbol, second.unit):
            self.above[self.top(one)] = self.top(other)

    def top(self, place: _Place) -> _Place:
        while self.above[place] != place:
            place = self.above[place]
        return place

    def formulae(self) -> dict[Function, Formula]:
        """The formulae, with a prime where a symbol is taken by another thing."""
        names = dict(self._names())
        shown: dict[Function, dict[str, str]] = {}
        for (function, name), row in self.rows.items():
            shown.setdefault(function, {})
            if (symbol := names[self.top((function, name))]) != row.symbol:
                shown[function][name] = symbol
        return {function: formula_of(function).renamed(changes) for function, changes in shown.items()}

    def _names(self) -> Iterator[tuple[_Place, str]]:
        """What each thing is shown by. Of those that share a symbol the one that most formulae have keeps it,
        and before one that is only met on the way inside of a formula."""
        met: dict[_Place, int] = {}
        for place, row in self.rows.items():
            thing = self.top(place)
            met[thing] = met.get(thing, 0) + (1 if row.kind == "between" else 1000)
        taken = {row.symbol for row in self.rows.values()}
        owned: set[str] = set()
        for thing in sorted(met, key=lambda thing: -met[thing]):
            symbol = self.rows[thing].symbol
            while symbol in owned or (symbol in taken and symbol != self.rows[thing].symbol):
                symbol = primed(symbol)
            owned.add(symbol)
            yield thing, symbol


def primed(symbol: str) -> str:
    """A symbol with a prime more, which stands at the letter: T′_2."""
    above, solidus, below = symbol.partition("/")
    letter, line, index = above.partition("_")
    return f"{letter}′{line}{index}{solidus}{below}"
