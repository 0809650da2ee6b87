"""Formulae that are one operation on their terms, declared instead of written as functions.

``step = ratio_of("step", …)`` says once what a function says four times: in its parameters, its guards, its
docstring and its last line. What is declared is called, documented, shown to readers and checked as any other
formula is. Better left a function: more than one operation, and a term whose range rests on another term.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial, reduce
from math import inf
from typing import Annotated

from buildlog.formulae.expression import ARITHMETIC, Binary, Expression, Symbol
from buildlog.physics.limits import not_negative, positive, range_in_words, within

Limit = Callable[[str, float], None]
"""Refuses a value outside the range, given its name: `positive`, `not_negative`, a `Within` or an `UpTo`."""


@dataclass(frozen=True)
class Within:
    """From `low` to `high`, both allowed."""

    low: float = -inf
    high: float = inf
    why: str = ""

    def __call__(self, name: str, value: float) -> None:
        within(name, value, self.low, self.high, self.why)

    def __str__(self) -> str:
        return range_in_words(self.low, self.high)


@dataclass(frozen=True)
class UpTo:
    """More than zero, up to `high`, which is allowed."""

    high: float
    why: str = ""

    def __call__(self, name: str, value: float) -> None:
        positive(name, value)
        within(name, value, 0, self.high, self.why)

    def __str__(self) -> str:
        return f"above 0 to {self.high:g}"


@dataclass(frozen=True)
class Variable:
    """A term or the result: its symbol, its coherent SI unit, what it is, and what refuses a bad value."""

    symbol: str
    unit: str
    meaning: str = field(compare=False)
    limit: Limit | None = None

    @property
    def hint(self) -> object:
        """Its type, as a formula that is written as a function annotates it."""
        return Annotated[float, self.symbol, self.unit]

    @property
    def range(self) -> str:
        """The range in words."""
        if self.limit is None:
            return "any"
        named: dict[Limit, str] = {positive: "positive", not_negative: "zero or more"}
        return named.get(self.limit, str(self.limit))


@dataclass(frozen=True, eq=False, repr=False, kw_only=True)
class DeclaredFormula:
    """A formula function of SI floats that is `sign` (+ − × /) between its terms.

    `terms` are the parameters in their order, `order` their names as they stand in the formula. Fields that
    take no part in comparisons are words: no result and nothing that readers of a page see rests on them.
    """

    name: str
    module: str
    sign: str
    gives: Variable
    terms: Mapping[str, Variable]
    order: tuple[str, ...]
    about: str = field(compare=False)
    source: str = field(compare=False)
    note: str = field(compare=False)
    _limits: tuple[tuple[str, Limit], ...] = field(default=(), init=False, compare=False)

    def __post_init__(self) -> None:
        if sorted(self.order) != sorted(self.terms):
            raise ValueError(f"{self.name}: the order names {self.order}, the terms are {(*self.terms,)}")
        if len(self.order) < 2 or (len(self.order) > 2 and self.sign in "−/"):
            raise ValueError(f"{self.name}: {len(self.order)} terms for one {self.sign}")
        hints = {name: term.hint for name, term in self.terms.items()}
        # What typing and the working look for on a function; the record itself stays frozen.
        as_on_functions = {
            "__module__": self.module,
            "__name__": self.name,
            "__qualname__": self.name,
            "__annotations__": {**hints, "return": self.gives.hint},
        }
        for attribute, value in as_on_functions.items():
            object.__setattr__(self, attribute, value)
        limits = tuple((name, term.limit) for name, term in self.terms.items() if term.limit is not None)
        object.__setattr__(self, "_limits", limits)

    # Both are worked out when somebody reads them: a program that only computes starts without.
    __doc__ = property(lambda self: self._docstring())

    @property
    def __signature__(self) -> object:
        import inspect

        parameters = [
            inspect.Parameter(name, inspect.Parameter.POSITIONAL_OR_KEYWORD, annotation=term.hint)
            for name, term in self.terms.items()
        ]
        return inspect.Signature(parameters, return_annotation=self.gives.hint)

    def __call__(self, *values: float, **named: float) -> float:
        if not named and len(values) == len(self.terms):
            named = dict(zip(self.terms, values, strict=True))
        elif values or named.keys() != self.terms.keys():
            # Ten times slower, so only where values are mixed, or wrong: then it raises as a function does.
            import inspect

            named = inspect.signature(self).bind(*values, **named).arguments
        for name, limit in self._limits:
            limit(name, named[name])
        return reduce(ARITHMETIC[self.sign], [named[name] for name in self.order])

    def __repr__(self) -> str:
        return f"<formula {self.name}({', '.join(self.terms)})>"

    @property
    def expression(self) -> Expression:
        """What is computed, for the working that readers see."""
        terms = [(name, self.terms[name]) for name in self.order]
        symbols: list[Expression] = [Symbol(name, term.symbol, term.unit) for name, term in terms]
        return reduce(lambda before, term: Binary(self.sign, before, term), symbols)

    def _docstring(self) -> str:
        from textwrap import fill

        from buildlog.formulae import notation

        variables = (*self.terms.values(), self.gives)
        symbols = ", ".join(
            f"{variable.symbol} {variable.meaning} ({variable.unit})" for variable in variables
        )
        ranges = ", ".join(f"{term.symbol} {term.range}" for term in self.terms.values())
        if self.note:
            ranges += f"; {self.note}"
        errors = " Errors: `OutOfRange`." if any(term.limit for term in self.terms.values()) else ""
        formula = f"{self.gives.symbol} = {notation.text(self.expression)}"
        paragraphs = [
            f"Formula: {formula}. Symbols: {symbols}.",
            f"Range: {ranges}.{errors} Source: {self.source}.",
        ]
        return "\n".join([self.about, "", *(fill(paragraph, 110) for paragraph in paragraphs)])


def _declare(
    sign: str,
    name: str,
    about: str,
    /,
    *,
    gives: Variable,
    source: str,
    order: tuple[str, ...] = (),
    note: str = "",
    **terms: Variable,
) -> DeclaredFormula:
    """`name` is the one that the formula is assigned to; `order` is left out where it is the parameters'."""
    return DeclaredFormula(
        name=name,
        module=sys._getframe(1).f_globals["__name__"],  # whose file it stands in, as namedtuple finds it
        sign=sign,
        gives=gives,
        terms=terms,
        order=order or tuple(terms),
        about=about,
        source=source,
        note=note,
    )


product_of = partial(_declare, "×")
sum_of = partial(_declare, "+")
ratio_of = partial(_declare, "/")
"""The first term over the second."""
difference_of = partial(_declare, "−")
"""The first term less the second."""
