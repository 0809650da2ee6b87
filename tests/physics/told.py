"""What the docstrings of formulae tell: ranges in words, `both positive`, `θ from 20°`, `x 0 to 1`, and
inputs that a formula takes. The docstrings are read here, not the code."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from functools import cache
from math import inf, isinf, pi
from random import Random
from typing import Any, NamedTuple, get_type_hints

from buildlog import physics
from buildlog.diagnostics import Refused
from buildlog.physics.declared import DeclaredFormula


class Range(NamedTuple):
    """`open` where the lower end itself is refused."""

    low: float = -inf
    high: float = inf
    open: bool = False


POSITIVE, NOT_NEGATIVE = Range(0.0, open=True), Range(0.0)

_UNITS = {"°": pi / 180, "K": 1.0, "m": 1.0, "mm": 1e-3, "Pa": 1.0, "kPa": 1e3, "rad": 1.0, "%": 0.01,
          "m/s": 1.0, "kg/mol": 1.0, "J/(kg·K)": 1.0, "J/(mol·K)": 1.0}  # fmt: skip
_NUMBER = r"(?:a right angle|[−-]?\d+(?: \d{3})*(?:\.\d+)?(?:e-?\d+)?(?:/\d+)?π?|π)"
_UNIT = (
    rf"(?:\s?(?:{'|'.join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))})(?![\w/²³]))?"
)
_ENDS = r"(?=\s*(?:$|[,;:]|\.(?!\d)|and\b|to\b|up\b|or\b))"
_QUANTITY = rf"({_NUMBER}{_UNIT}){_ENDS}"


def number(text: str) -> float:
    text = text.strip().replace("a right angle", "90°").replace("−", "-")
    match = re.fullmatch(r"(-?[\d .e-]*(?:/\d+)?)(π?)\s*(\D*)", text)
    assert match is not None, text
    digits = match[1].replace(" ", "")
    above, _, below = (digits or "1").partition("/")
    return (
        float(above) / float(below or 1) * (pi if match[2] else 1) * _UNITS.get(match[3].strip() or "K", 1.0)
    )


class _Reader:
    """Reads the words of a range. What is said first of a parameter holds."""

    def __init__(self, text: str, symbols: dict[str, str]) -> None:
        self.told: dict[str, Range] = {}
        self._text, self._symbols = text, symbols
        self._one = "(?:" + "|".join(re.escape(one) for one in sorted(symbols, key=len, reverse=True)) + ")"
        # not of “d_1 below d_2, θ 2° to 180°”, nor of a sum
        self._some = rf"((?<![\w/])(?<!below )(?<!above )(?<![+−-] )(?<![+−-]){self._one}"
        self._some += rf"(?:(?:, and |, | and ){self._one})*)"

    def _clauses(self, words: str) -> Iterator[re.Match[str]]:
        return re.finditer(f"{self._some} {words}", self._text)

    def _named(self, names: str) -> list[str]:
        found = re.findall(rf"(?:(?<=^)|(?<=[ ,])){self._one}(?=$|[ ,])", names)
        return [self._symbols[symbol] for symbol in found]

    def _say(self, names: list[str], value: Range) -> None:
        for name in names:
            self.told.setdefault(name, value)

    def read(self) -> dict[str, Range]:
        self._with_ends()
        self._of_nouns()
        for words, value in (("positive", POSITIVE), ("zero or more", NOT_NEGATIVE)):
            self._one_sided(words, value)
        for clause in self._clauses(f"up to {_QUANTITY}"):
            for name in self._named(clause[1]):
                self.told[name] = self.told.get(name, Range())._replace(high=number(clause[2]))
        return self.told

    def _with_ends(self) -> None:
        for clause in self._clauses(f"(?:from )?{_QUANTITY} (?:up )?to {_QUANTITY}"):
            low, high = clause[2], clause[3]
            if low[-1].isdigit():  # 0.05 to 7 mm
                low += re.sub(f"^{_NUMBER}", "", high)
            self._say(self._named(clause[1]), Range(number(low), number(high)))
        for clause in self._clauses(f"above 0,? (?:up )?to {_QUANTITY}"):
            self._say(self._named(clause[1]), Range(0.0, number(clause[2]), open=True))
        for words in (f"from {_QUANTITY}(?! to)(?! up to)", f"{_QUANTITY} or more"):
            for clause in self._clauses(words):
                self._say(self._named(clause[1]), Range(number(clause[2])))

    def _of_nouns(self) -> None:
        """Inertias zero or more; both numbers positive, where no term is called a number."""
        for plural in re.finditer(r"\b(\w+)s (positive|zero or more)", self._text):
            value = POSITIVE if plural[2] == "positive" else NOT_NEGATIVE
            named = [name for name in self._symbols.values() if plural[1] in name.split("_")]
            self._say(self._unmentioned() if plural[1] == "number" else named, value)

    def _unmentioned(self) -> list[str]:
        mentioned = set(re.findall(rf"(?<![\w/]){self._one}(?!\w)", self._text))
        return [name for symbol, name in self._symbols.items() if symbol not in mentioned]

    def _one_sided(self, words: str, value: Range) -> None:
        for clause in self._clauses(words):
            self._say(self._named(clause[1]), value)
        if re.search(rf"(?:^|\bboth |\ball ){words}", self._text):
            self._say(list(self._symbols.values()), value)
        elif re.search(rf"\bothers? {words}", self._text):
            self._say(self._unmentioned(), value)


def ranges_told(docstring: str, symbols: dict[str, str]) -> dict[str, Range]:
    """By parameter the range that the docstring says, as far as it says one in numbers."""
    found = re.search(r"Range:(.*?)(?:Errors:|Source:|\Z)", docstring, re.DOTALL)
    return _Reader(" ".join(found[1].split()), symbols).read() if found else {}


class Case(NamedTuple):
    function: Callable[..., float]
    usual: dict[str, float]
    told: dict[str, Range]


_TYPICAL = {
    "K": (300.0, 320.0, 340.0), "Pa": (1e5, 2e5, 500.0), "rad": (0.5, 1.0), "kg": (500.0, 20.0),
    "m": (0.3, 0.05, 0.5, 0.01, 0.0015, 2.5), "kg/m³": (1.2,), "rad/s": (300.0, 500.0), "m/s": (20.0, 40.0),
    "J/(kg·K)": (287.0, 1005.0),
}  # fmt: skip
_ATTEMPTS = 200


def usual_value(unit: str, told: Range | None, among: Random) -> float:
    """A value to begin with: amid the range that is told, or one that is common in that unit."""
    if told is not None and not isinf(told.high) and not isinf(told.low):
        return told.low + (told.high - told.low) * among.choice((0.2, 0.4, 0.6))
    return among.choice(_TYPICAL.get(unit, (0.5, 1.5, 0.1, 3.0)))


def parameters_of(function: Callable[..., Any]) -> dict[str, tuple[str, str]] | None:
    """(symbol, unit) by parameter where all are annotated floats."""
    found = {}
    hints = get_type_hints(function, include_extras=True)
    for name in inspect.signature(function).parameters:
        marks: tuple[str, ...] = getattr(hints.get(name), "__metadata__", ())
        if len(marks) != 2 or getattr(hints[name], "__origin__", None) is not float:
            return None
        found[name] = (marks[0], marks[1])
    return found


def _formulae() -> Iterator[tuple[str, Callable[..., float]]]:
    for info in pkgutil.iter_modules(physics.__path__):
        module = importlib.import_module(f"buildlog.physics.{info.name}")
        for name, one in vars(module).items():
            is_formula = inspect.isfunction(one) or isinstance(one, DeclaredFormula)
            if is_formula and one.__module__ == module.__name__ and "Range:" in (one.__doc__ or ""):
                yield f"{info.name}.{name}", one


def _case(address: str, function: Callable[..., float]) -> Case | None:
    """A formula with inputs that it takes; None where some are no numbers, or none are found."""
    parameters = parameters_of(function)
    if not parameters:
        return None
    symbols = {symbol: parameter for parameter, (symbol, _) in parameters.items()}
    told = ranges_told(function.__doc__ or "", symbols)
    among = Random(address)
    for _ in range(_ATTEMPTS):
        usual = {name: usual_value(unit, told.get(name), among) for name, (_, unit) in parameters.items()}
        try:
            function(**usual)
        except (Refused, ArithmeticError, ValueError):
            continue
        return Case(function, usual, told)
    return None


@cache
def cases() -> dict[str, Case]:
    """Every formula whose docstring says a range."""
    found = {address: _case(address, function) for address, function in _formulae()}
    return {address: case for address, case in found.items() if case is not None}
