"""Reads a printed formula back and reckons with it, as a reader with a pocket calculator would.

Written against the notation, not against the code that prints it: it knows nothing of the expression tree.
It refuses what could be read two ways.
"""

from __future__ import annotations

import math
import re
import unicodedata
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Mapping

from buildlog.formulae.formula import Formula

_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"
_TIMES = ("×", "·")
_WORDS = ("if", "and", "or", "otherwise", "not")
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "exp": math.exp,
    "ln": math.log,
    "lg": math.log10,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arcsin": math.asin,
    "arccos": math.acos,
    "arctan": math.atan,
    "sinh": math.sinh,
    "cosh": math.cosh,
    "tanh": math.tanh,
    "arsinh": math.asinh,
    "arcosh": math.acosh,
    "artanh": math.atanh,
    "abs": abs,
    "min": min,
    "max": max,
    "√": math.sqrt,
}
_COMPARED: dict[str, Callable[[float, float], bool]] = {
    "<": lambda a, b: a < b,
    "≤": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    "≥": lambda a, b: a >= b,
    "=": lambda a, b: a == b,
    "≠": lambda a, b: a != b,
}


class Unclear(Exception):
    """The notation could be read two ways, or not at all."""


class Reader:
    """One printed expression or condition; `values` by symbol, `functions` besides the elementary ones."""

    def __init__(
        self,
        text: str,
        values: Mapping[str, float],
        functions: Mapping[str, Callable[..., float]] | None = None,
    ) -> None:
        self.values = {"π": math.pi, **values}
        self.functions = {**_FUNCTIONS, **(functions or {})}
        self.tokens = self._tokens(unicodedata.normalize("NFC", text).replace("\u00a0", " "))
        self.at = 0

    def _tokens(self, text: str) -> list[str]:
        names = sorted(
            (unicodedata.normalize("NFC", one) for one in (*self.values, *self.functions)), key=len
        )
        words = [*reversed(names), "otherwise", "and", "not", "or", "if"]
        tokens, at = [], 0
        while at < len(text):
            if text[at] == " ":
                at += 1
                continue
            kinds = (_RAISED, "0123456789.")
            kind = next((kind for kind in kinds if text[at] in kind), "")
            end = at
            while end < len(text) and text[end] in kind:
                end += 1
            if end == at:
                found = next((word for word in words if text.startswith(word, at)), text[at])
                end = at + len(found)
            tokens.append(text[at:end])
            at = end
        return tokens

    # --- reading ----------------------------------------------------------------------

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, *wanted: str) -> str:
        token = self.peek()
        if wanted and token not in wanted:
            raise Unclear(f"{token!r} where {wanted} was looked for, in {self.tokens}")
        self.at += 1
        return token

    def done(self, value: float) -> float:
        if self.peek():
            raise Unclear(f"{self.tokens[self.at :]} left over")
        return value

    def value(self) -> float:
        return self.done(self.sum())

    def condition(self) -> bool:
        return bool(self.done(self.logic()))

    def logic(self) -> bool:
        met = self.comparison()
        while self.peek() in ("and", "or"):
            word, following = self.take(), self.comparison()
            met = (met and following) if word == "and" else (met or following)
        return met

    def comparison(self) -> bool:
        if self.peek() == "not":
            self.take()
            self.take("(")
            met = not self.logic()
            self.take(")")
            return met
        left, met = self.sum(), True
        if self.peek() not in _COMPARED:
            raise Unclear(f"no comparison in {self.tokens}")
        while self.peek() in _COMPARED:
            sign, right = self.take(), self.sum()
            met, left = met and _COMPARED[sign](left, right), right
        return met

    def sum(self) -> float:
        value = self.term(signed=True)
        while self.peek() in ("+", "−"):
            sign = self.take()
            following = self.term(signed=False)
            value = value + following if sign == "+" else value - following
        return value

    def term(self, signed: bool) -> float:
        if self.peek() == "−":
            if not signed:
                raise Unclear("two signs in a row")
            self.take()
            return -self.term(signed=False)
        value, divided = self.factor(), False
        while True:
            if self.peek() == "/":
                value, divided = value / self.divisor(divided), True
            elif self.multiplies():
                value *= self.multiplier(divided)
            else:
                return value

    def divisor(self, divided: bool) -> float:
        """The factor after a solidus, which may be the only one of its term."""
        if divided:
            raise Unclear("two solidi in one term (ISO 80000-1, 7.1.3)")
        self.take("/")
        return self.factor()

    def multiplies(self) -> bool:
        """Whether what follows is another factor of the term, with a sign of multiplication or without."""
        token = self.peek()
        if token in _WORDS:
            return False
        begins = token in self.values or token in (*"(√⌊⌈", *self.functions)
        return begins or token in _TIMES or token[:1].isalnum()

    def multiplier(self, divided: bool) -> float:
        """A further factor, which must not leave open whether a solidus before it reaches that far."""
        if divided:
            raise Unclear("a product after a solidus (ISO 80000-1, 7.1.3)")
        token = self.peek()
        if token in _TIMES:
            self.take()
        elif token[0].isdigit():
            raise Unclear("a number beside something without ×")
        return self.factor()

    def factor(self) -> float:
        base = self.atom()
        token = self.peek()
        if token and token[0] in _RAISED:
            digits = self.take().translate(str.maketrans(_RAISED, "0123456789-"))
            return float(base ** int(digits))
        if token == "^":
            self.take()
            exponent = self.atom()
            if self.peek() == "^" or self.peek()[:1] in (*_RAISED,):
                raise Unclear("a power of a power without parentheses")
            return float(base**exponent)
        return base

    def atom(self) -> float:
        token = self.take()
        if token in self.functions:
            self.take("(")
            arguments = [self.sum()]
            while self.peek() == ",":
                self.take()
                arguments.append(self.sum())
            self.take(")")
            return self.functions[token](*arguments)
        if token in self.values:
            return self.values[token]
        if token == "(":
            value = self.sum()
            if self.peek() == "if":
                self.take()
                met = self.logic()
                self.take(",")
                self.take("otherwise")
                other = self.sum()
                value = value if met else other
            self.take(")")
            return value
        for opening, closing, function in (("|", "|", abs), ("⌊", "⌋", math.floor), ("⌈", "⌉", math.ceil)):
            if token == opening:
                value = function(self.sum())
                self.take(closing)
                return value
        if token and token[0].isdigit():
            return float(token)
        raise Unclear(f"{token!r} in {self.tokens}")


def _split(line: str) -> tuple[str, str]:
    """What stands before and after a comma outside all parentheses that begins a condition."""
    depth = 0
    for at, char in enumerate(line):
        depth += (char == "(") - (char == ")")
        if char == "," and not depth and line[at + 2 :].startswith(("if ", "otherwise")):
            return line[:at], line[at + 2 :]
    return line, ""


def reckon(
    text: str,
    values: Mapping[str, float],
    functions: Mapping[str, Callable[..., float]] | None = None,
) -> float:
    """Work the lines of a printed formula through, from the top; the last that holds is the result."""
    known = dict(values)
    result = math.nan
    met = False  # one of the conditions of this chain of if, otherwise if, otherwise
    previous, applied = "", False
    for line in text.split("\n"):
        quantity, _, expression = line.partition(" = ")
        expression, condition = _split(expression)
        if condition and condition == previous:
            applies = applied
        else:
            plain = condition.removeprefix("otherwise").strip().removeprefix("if ")
            applies = Reader(plain, known, functions).condition() if plain else True
            if condition.startswith("otherwise"):
                applies = applies and not met
                met = met or (applies and bool(plain))
            elif condition:
                met = applies
        previous, applied = condition, applies
        if applies:
            result = known[quantity] = Reader(expression, known, functions).value()
    return result


def from_mathml(element: ElementTree.Element) -> str:
    """MathML on one line as one would read it aloud: a row adds no parentheses, a fraction bar does."""
    parts = [from_mathml(child) for child in element]
    match element.tag:
        case "math" | "mrow" | "mtd":
            return " ".join(parts)
        case "mi" | "mn" | "mo" | "mtext":
            return _read_token(element)
        case "msub" | "msup" | "msubsup":
            return _read_scripts(element, parts)
        case "mfrac":
            return f"(({parts[0]}) / ({parts[1]}))"
        case "msqrt":
            return f"√({' '.join(parts)})"
        case "mover":
            return unicodedata.normalize("NFC", parts[0] + {"˙": "\u0307", "¯": "\u0304"}[parts[1]])
    raise Unclear(f"<{element.tag}>")


def _read_token(element: ElementTree.Element) -> str:
    """A letter, a number, an operator or words: what holds text and no other element."""
    text = (element.text or "").replace("\u00a0", " ")
    if element.tag == "mtext":
        return f" {text} "
    if element.tag == "mo" and text in ("\u2062", "\u2061"):  # times and application, both invisible
        return ""
    return text


def _read_scripts(element: ElementTree.Element, parts: list[str]) -> str:
    """A base with what stands lowered or raised at it; primes belong to the symbol, the rest is a power."""
    if element.tag == "msup":
        if parts[1].strip("′") == "":
            return parts[0] + parts[1]
        if not _is_one_thing(element[0]):
            raise Unclear(f"a power of {parts[0]} without parentheses")
        return f"{parts[0]}^({parts[1]})"
    symbol = f"{parts[0]}_{parts[1]}".replace(" ", "")
    return symbol if element.tag == "msub" else f"{symbol}^({parts[2]})"


def values_by_symbol(formula: Formula, arguments: dict[str, float]) -> dict[str, float]:
    given = {**formula.defaults, **arguments}
    constants = {row.symbol: row.value for row in formula.symbols if row.value is not None}
    return {row.symbol: given[row.name] for row in formula.symbols if row.name in given} | constants


def symbols_of(formula: Formula) -> dict[str, float]:
    return {row.symbol: math.nan for row in formula.symbols if row.kind != "function"}


def _is_one_thing(base: ElementTree.Element) -> bool:
    """Whether a raised figure can only belong to all of the base: a letter, a number, something fenced."""
    while base.tag == "mrow" and len(base) == 1:
        base = base[0]
    if base.tag == "mrow":
        return (base[-1].text or "") in (*")|⌋⌉",) and (
            base[0].tag == "mi" or (base[0].text or "") in (*"(|⌊⌈",)
        )
    return base.tag in ("mi", "mn", "msub", "mover", "msqrt")


def mathml_as_text(mathml: str, ratios: Mapping[str, str] | None = None) -> str:
    """The equations of a run of ``<math>`` elements, a line each; `ratios` are symbols like Δρ/ρ with
    the MathML that stands for each."""
    page = ElementTree.fromstring(f"<page>{mathml}</page>")
    lines = []
    for equation in page:
        words = re.sub(r"Δ (?=\w)", "Δ", " ".join(from_mathml(equation).split()))
        for symbol, shown in (ratios or {}).items():
            words = words.replace(mathml_as_text(f"<math>{shown}</math>"), symbol)
        for word in ("if", "otherwise"):
            words = words.replace(f" {word}", f", {word}", 1) if f", {word}" not in words else words
        lines.append(words.replace("otherwise, if", "otherwise if"))
    return "\n".join(lines)
