"""Every formula computes what its docstring tells readers: the text after `Formula:` is read and reckoned
with here, from left to right as it is printed, and knows nothing of the code.

What is told in words, by cases or as found by iteration is left to the formula's own tests.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import cache
from random import Random
from typing import NamedTuple

import pytest

from buildlog.diagnostics import Refused
from buildlog.formulae.docstring import described
from buildlog.physics.air import saturation_vapour_pressure
from buildlog.physics.declared import DeclaredFormula
from buildlog.physics.drops import water_density
from tests.physics.told import Case, cases, parameters_of, usual_value

_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_FUNCTIONS = {
    "exp": math.exp, "ln": math.log, "lg": math.log10, "log10": math.log10, "sin": math.sin, "cos": math.cos,
    "tan": math.tan, "arcsin": math.asin, "arccos": math.acos, "arctan": math.atan, "asin": math.asin,
    "acos": math.acos, "atan": math.atan, "sinh": math.sinh, "cosh": math.cosh, "tanh": math.tanh,
    "sqrt": math.sqrt, "min": min, "max": max,
}  # fmt: skip
_KNOWN = {"π": math.pi, "e": math.e, "g": 9.80665, "R": 8.314462618}
POINTS = 4


class Untold(Exception):
    """The text is none that can be reckoned with."""


class _Reckoner:
    """Reads an expression: products without a sign, functions without brackets, raised digits."""

    def __init__(self, text: str, values: dict[str, float]) -> None:
        names = sorted({*values, *_KNOWN, *_FUNCTIONS}, key=len, reverse=True)
        pattern = "|".join(
            (
                r"\d{1,3}(?: \d{3})+(?![\d.])|\d+(?:\.\d+)?(?:e-?\d+)?",
                *(rf"{re.escape(name)}(?![A-Za-zα-ωΑ-Ω0-9_*'])" for name in names),
                r"[⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+|[-+−·×/^()√|,½]",
            )
        )
        self._tokens, at = [], 0
        while at < len(text):
            if text[at] == " ":
                at += 1
                continue
            match = re.compile(pattern).match(text, at)
            if match is None:
                raise Untold(text[at:])
            self._tokens.append(match[0])
            at = match.end()
        self._values = _KNOWN | values
        self._at = 0

    @property
    def _next(self) -> str:
        return self._tokens[self._at] if self._at < len(self._tokens) else ""

    def _take(self, *wanted: str) -> str:
        found = self._next
        if wanted and found not in wanted:
            raise Untold(f"{found} where {wanted} was expected")
        self._at += 1
        return found

    def value(self) -> float:
        found = self._sum()
        if self._next:
            raise Untold(self._next)
        return found

    def _sum(self) -> float:
        total = self._product()
        while self._next in ("+", "-", "−"):
            total = total + self._product() if self._take() == "+" else total - self._product()
        return total

    def _product(self) -> float:
        if self._next in ("-", "−"):
            self._take()
            return -self._product()
        total = self._power()
        while self._next and self._next not in (")", "+", "-", "−", ",", "|"):
            sign = self._take() if self._next in ("·", "×", "/") else "·"
            other = self._power()
            total = total / other if sign == "/" else total * other
        return total

    def _power(self) -> float:
        base = self._factor()
        while True:
            if self._next and self._next[0] in "⁻⁰¹²³⁴⁵⁶⁷⁸⁹":
                base = base ** int(self._take().translate(_RAISED))
            elif self._next == "^":
                self._take()
                sign = -1 if self._next in ("-", "−") and self._take() else 1
                base = base ** (sign * self._factor())
            else:
                return base

    def _factor(self) -> float:
        token = self._take()
        if token in self._values and not (token in _FUNCTIONS and self._next == "("):
            return self._values[token]
        if token == "(":
            found = self._sum()
            self._take(")")
            return found
        if token == "|":
            found = self._sum()
            self._take("|")
            return abs(found)
        if token == "½":
            return 0.5
        if token == "√":
            return math.sqrt(self._power() if self._next != "(" else self._factor())
        if token in _FUNCTIONS:
            return self._function(token)
        if token[:1].isdigit():
            return float(token.replace(" ", ""))
        raise Untold(token)

    def _function(self, name: str) -> float:
        raised = 1
        if self._next and self._next[0] in "²³":
            raised = int(self._take().translate(_RAISED))
        if self._next != "(":
            return float(_FUNCTIONS[name](self._power()) ** raised)  # type: ignore[operator]
        self._take("(")
        arguments = [self._sum()]
        while self._next == ",":
            self._take()
            arguments.append(self._sum())
        self._take(")")
        return float(_FUNCTIONS[name](*arguments) ** raised)  # type: ignore[operator]


def reckoned(told: str, values: dict[str, float]) -> float:
    """The value of ``y = …, a = …``: what is told behind the first is used in it, the last first."""
    if " in = " in told:  # inches
        raise Untold(told)
    first, *others = re.split(r",? (?:and |with |where )?(?=(?<!\()[^\s=,()]+ = )", told.strip())
    known = dict(values)
    for text in reversed(others):
        name, _, rest = text.partition(" = ")
        number = re.fullmatch(r"(-?[\d.]+(?:e-?\d+)?(?: \d{3})*)(?: [^\d\s=]*)?", rest.strip(" ,"))
        known[name] = float(number[1].replace(" ", "")) if number else _reckon(rest.strip(" ,"), known)
    name, _, rest = first.partition(" = ")
    if " " in name.replace(" / ", "/") or name == "in":
        raise Untold(name)
    return _reckon(rest, known)


def _reckon(text: str, known: dict[str, float]) -> float:
    """An expression, or ``… for x above 2, otherwise …``."""
    choice = re.fullmatch(r"(.+) for (\S+) (above|below) (\S+), otherwise (.+)", text)
    if choice is None:
        return _Reckoner(text, known).value()
    here, there = _Reckoner(choice[2], known).value(), _Reckoner(choice[4], known).value()
    holds = here > there if choice[3] == "above" else here < there
    return _Reckoner(choice[1] if holds else choice[5], known).value()


def formula_told(docstring: str) -> str:
    found = re.search(r"Formula: (.*?)(?:\. [A-Z]|\.$|\.\s*\n|;)", " ".join(docstring.split()) + "\n")
    return found[1] if found else ""


class Told(NamedTuple):
    case: Case
    told: str


@cache
def told() -> dict[str, Told]:
    """Formulae that are told so that they can be reckoned with."""
    found = {}
    for address, case in cases().items():
        if isinstance(case.function, DeclaredFormula):
            continue  # its docstring is made of what it computes
        text = formula_told(case.function.__doc__ or "")
        parameters = parameters_of(case.function) or {}
        try:
            reckoned(text, {symbol: case.usual[name] for name, (symbol, _) in parameters.items()})
        except (Untold, ArithmeticError, ValueError, TypeError, KeyError):
            continue
        found[address] = Told(case, text)
    return found


@pytest.mark.parametrize("address", list(told()))
def test_a_formula_computes_what_it_tells(address: str) -> None:
    case, text = told()[address]
    parameters = parameters_of(case.function) or {}
    among, tried = Random(address), 0
    for _ in range(60):
        inputs = {
            name: usual_value(unit, case.told.get(name), among) for name, (_, unit) in parameters.items()
        }
        if not tried:
            inputs = case.usual
        try:
            ours = case.function(**inputs)
        except (Refused, ArithmeticError, ValueError):
            continue
        theirs = reckoned(text, {symbol: inputs[name] for name, (symbol, _) in parameters.items()})
        assert ours == pytest.approx(theirs, rel=1e-6, abs=1e-12), f"{text} with {inputs}"
        tried += 1
        if tried == POINTS:
            break


def test_most_written_formulae_are_told_so() -> None:
    assert len(told()) > 250


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("y = 2 x / (3 z)", 2 * 5 / 21),
        ("y = x / 2 z", 5 / 2 * 7),
        ("y = 3 sin²(x / 2) - √z", 3 * math.sin(2.5) ** 2 - math.sqrt(7)),
        ("y = -x² + z^(1/2) 99 000", -25 + math.sqrt(7) * 99000),
        ("y = t / 2, t = x - 3", 1.0),
        ("y = |x - z| cos x", 2 * math.cos(5)),
        ("y = x β, β = 1.5e-3 kg/m", 7.5e-3),
    ],
)
def test_reading_of_formulae(text: str, value: float) -> None:
    assert reckoned(text, {"x": 5.0, "z": 7.0}) == pytest.approx(value)


@pytest.mark.parametrize("function", [saturation_vapour_pressure, water_density])
def test_a_temperature_told_in_celsius_has_no_unit_of_its_neighbour(
    function: Callable[[float], float],
) -> None:
    """They read “t = 292.75 K − 273.15 = 19.6 Pa”."""
    assert described(function.__doc__ or "", ["T", "t"])["t"].unit == "°C"
