"""A formula as a tree: what `formula` reads from a function and `notation` prints."""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace

ELEMENTARY: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "log": math.log,
    "log10": math.log10,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "asin": math.asin,
    "acos": math.acos,
    "atan": math.atan,
    "sinh": math.sinh,
    "cosh": math.cosh,
    "tanh": math.tanh,
    "asinh": math.asinh,
    "acosh": math.acosh,
    "atanh": math.atanh,
    "abs": abs,
    "min": min,
    "max": max,
    "floor": math.floor,
    "ceil": math.ceil,
}
"""Functions that a formula may use, by the name they have in Python."""


class Expression:
    """A part of a formula."""


@dataclass(frozen=True)
class Literal(Expression):
    """A number of the formula itself."""

    value: float


@dataclass(frozen=True)
class Symbol(Expression):
    """A quantity. `name` is what the function calls it; the reader sees `symbol`."""

    name: str
    symbol: str
    unit: str = ""


@dataclass(frozen=True)
class Constant(Expression):
    """A fixed quantity that is shown by its symbol."""

    symbol: str
    value: float


@dataclass(frozen=True)
class Quantity(Expression):
    """A symbol with its number put in."""

    value: float
    unit: str = ""


@dataclass(frozen=True)
class Negative(Expression):
    of: Expression


@dataclass(frozen=True)
class Binary(Expression):
    """`sign` is + − × or /."""

    sign: str
    left: Expression
    right: Expression


@dataclass(frozen=True)
class Power(Expression):
    base: Expression
    exponent: Expression


@dataclass(frozen=True)
class Call(Expression):
    """An elementary function, or a formula that is not written out here, shown by `name`."""

    name: str
    arguments: tuple[Expression, ...]
    function: Callable[..., float]
    elementary: bool = True


@dataclass(frozen=True)
class Comparison(Expression):
    """``left < middle <= right``: `signs` are those of Python."""

    signs: tuple[str, ...]
    terms: tuple[Expression, ...]


@dataclass(frozen=True)
class Logic(Expression):
    """`word` is "and" or "or"."""

    word: str
    terms: tuple[Expression, ...]


@dataclass(frozen=True)
class Not(Expression):
    of: Expression


@dataclass(frozen=True)
class Conditional(Expression):
    """One value if `test` holds, otherwise another."""

    test: Expression
    chosen: Expression
    otherwise: Expression


@dataclass(frozen=True, kw_only=True)
class SymbolMeaning:
    """A row of the table of symbols. `kind` is given, between, constant, function or result; `about` is what
    it stands for, "" where nothing says so."""

    name: str
    symbol: str
    unit: str
    kind: str = "given"
    value: float | None = None
    about: str = ""


@dataclass(frozen=True)
class Assigned:
    """A quantity on the way to the result."""

    quantity: Symbol
    expression: Expression


@dataclass(frozen=True)
class Returned:
    """The result."""

    expression: Expression


@dataclass(frozen=True)
class Branch:
    """What follows if `test` holds, and what otherwise."""

    test: Expression
    chosen: tuple[Statement, ...]
    rest: tuple[Statement, ...]


@dataclass(frozen=True)
class Refusal:
    """Where a function only raises."""


Statement = Assigned | Returned | Branch | Refusal


ARITHMETIC: dict[str, Callable[[float, float], float]] = {
    "+": operator.add,
    "−": operator.sub,
    "×": operator.mul,
    "/": operator.truediv,
}
_COMPARED: dict[str, Callable[[float, float], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "==": operator.eq,
    "!=": operator.ne,
}
_OPPOSITE = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!=", "!=": "=="}


def evaluate(node: Expression, values: Mapping[str, float]) -> float:
    """The value of an expression, quantities by their Python names. Raises as arithmetic does."""
    match node:
        case Literal(value) | Constant(_, value) | Quantity(value):
            return value
        case Symbol(name):
            return values[name]
        case Negative(of):
            return -evaluate(of, values)
        case Binary(sign, left, right):
            return ARITHMETIC[sign](evaluate(left, values), evaluate(right, values))
        case Power(base, exponent):
            power = evaluate(base, values) ** evaluate(exponent, values)
            return float(power)
        case Call(_, arguments, function):
            return function(*(evaluate(argument, values) for argument in arguments))
        case Conditional(test, chosen, otherwise):
            return evaluate(chosen if holds(test, values) else otherwise, values)
    raise TypeError(f"{node!r} has no value")


def holds(test: Expression, values: Mapping[str, float]) -> bool:
    """Whether a condition is met."""
    match test:
        case Comparison(signs, terms):
            numbers = [evaluate(term, values) for term in terms]
            pairs = zip(signs, numbers, numbers[1:], strict=False)
            return all(_COMPARED[sign](left, right) for sign, left, right in pairs)
        case Logic(word, terms):
            decide = {"and": all, "or": any}[word]
            return decide(holds(term, values) for term in terms)
        case Not(of):
            return not holds(of, values)
    raise TypeError(f"{test!r} is no condition")


def negated(test: Expression) -> Expression:
    """The opposite condition, as a reader would put it."""
    match test:
        case Comparison((sign,), terms):
            return Comparison((_OPPOSITE[sign],), terms)
        case Not(of):
            return of
    return Not(test)


def rebuilt(node: Expression, change: Callable[[Expression], Expression | None]) -> Expression:
    """The tree with every part that `change` has something else for replaced, from the top down."""
    changed = change(node)
    if changed is not None:
        return changed
    parts: dict[str, object] = {}
    for part in fields(node):  # type: ignore[arg-type]
        value = getattr(node, part.name)
        if isinstance(value, Expression):
            parts[part.name] = rebuilt(value, change)
        elif isinstance(value, tuple) and value and isinstance(value[0], Expression):
            parts[part.name] = tuple(rebuilt(item, change) for item in value)
    if not parts:
        return node
    return replace(node, **parts)  # type: ignore[type-var]


def decided(node: Expression, values: Mapping[str, float]) -> tuple[Expression, tuple[Expression, ...]]:
    """The expression with every choice made as it falls out for `values`, and the conditions that held."""
    held: list[Expression] = []

    def change(part: Expression) -> Expression | None:
        if not isinstance(part, Conditional):
            return None
        test, arm = part.test, part.chosen
        if not holds(part.test, values):
            test, arm = negated(part.test), part.otherwise
        held.append(test)
        return rebuilt(arm, change)

    return rebuilt(node, change), tuple(held)


def filled(node: Expression, values: Mapping[str, float]) -> Expression:
    """The expression with the numbers put in."""

    def number_of(part: Expression) -> Expression | None:
        if not isinstance(part, Symbol):
            return None
        return Quantity(values[part.name], part.unit)

    return rebuilt(node, number_of)


def holds_number(node: Expression) -> bool:
    """Whether a number has been put in anywhere."""
    if isinstance(node, Quantity):
        return True
    for part in fields(node):  # type: ignore[arg-type]
        value = getattr(node, part.name)
        items = value if isinstance(value, tuple) else (value,)
        if any(holds_number(item) for item in items if isinstance(item, Expression)):
            return True
    return False
