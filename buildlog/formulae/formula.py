"""The formula that a reader sees, made from the function that ran.

A formula function takes and gives SI floats, each ``Annotated[float, "symbol", "unit"]``. What is shown is
read from the syntax tree of its source, never typed a second time. Guards are left out: they refuse a value
and change none. Where the function is no plain formula (it iterates, say) the reader is told so in words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from html import escape
from math import isclose
from typing import Any, cast

from buildlog.formulae import notation
from buildlog.formulae.docstring import section
from buildlog.formulae.expression import (
    Assigned,
    Branch,
    Call,
    Expression,
    Literal,
    Quantity,
    Refusal,
    Returned,
    Statement,
    Symbol,
    SymbolMeaning,
    decided,
    evaluate,
    filled,
    holds,
    negated,
    rebuilt,
)
from buildlog.formulae.function_source import read_function

__all__ = ["Formula", "SymbolMeaning", "formula_of"]

_SPACE = notation.NO_BREAK_SPACE
_RESULT = ""
"""The result's name among the values of a run."""

_LONG = 28
"""Signs of plain text: a longer equation is one that a phone may have to break."""

_PART = re.compile("<[^<>]*>|[^<]+")
_ROW, _SIGN = "<mrow>", "<mo>"

_SAME = 1e-9
"""Relative: how near the formula as shown must come to what the function gave, to be shown with numbers."""


@dataclass(frozen=True, kw_only=True)
class _Line:
    """One equation. `conditions` are those under which it holds; `otherwise` says that earlier ones failed,
    `since` that the conditions were met; `value` is what it gave."""

    quantity: Symbol
    expression: Expression
    conditions: tuple[Expression, ...] = ()
    otherwise: bool = False
    since: bool = False
    value: float | None = None


@dataclass(frozen=True, kw_only=True)
class Formula:
    """A formula function as a reader sees it.

    `symbols` has the parameters in their order, then constants and functions used, then the result.
    `in_words` is "" for a plain formula and otherwise says how the value is found; `stated` is what the
    docstring gives as the formula then.
    """

    name: str
    about: str
    result: Symbol
    symbols: tuple[SymbolMeaning, ...]
    body: tuple[Statement, ...]
    defaults: Mapping[str, float]
    constants: Mapping[str, float]
    in_words: str = ""
    stated: str = ""

    def text(self, arguments: Mapping[str, float] | None = None) -> str:
        """Plain text, an equation a line. With `arguments`, only the branches that they lead to."""
        if self.in_words:
            return self._words()
        return "\n".join(_text(line) for line in self._shown(arguments))

    def mathml(self, arguments: Mapping[str, float] | None = None) -> str:
        """MathML, an element an equation; a paragraph where the formula is told in words."""
        if self.in_words:
            return _paragraph(self._words())
        return "".join(_mathml(line) for line in self._shown(arguments))

    def filled_text(self, arguments: Mapping[str, float], result: float) -> str:
        """The equations with their numbers put in, in SI units, and what they give."""
        lines = self._filled(arguments, result)
        if lines is None:
            return self._result_in_words(arguments, result)
        return "\n".join(map(_text, lines))

    def equations(self) -> str:
        """The formula as MathML for a page of any width, an element an equation: a long one is in pieces,
        between which a line may end."""
        if self.in_words:
            return _paragraph(self._words())
        return "".join(_in_pieces(line) for line in self._shown(None))

    def values(self, arguments: Mapping[str, float], result: float) -> Mapping[str, float]:
        """The value of every quantity by its name in the function; only the arguments where the formula as
        shown does not lead to the result."""
        given = {**self.defaults, **arguments}
        ran = self._run_to(result, given)
        return ran[1] if ran else {**self.constants, **given}

    def renamed(self, names: Mapping[str, str]) -> Formula:
        """The same formula with other symbols, by the names that its quantities have in the function; the
        result's is the function's. What is told in words has them too."""
        if not names:
            return self
        own = {row.name: row.symbol for row in self.symbols}
        result = self.result
        if self.name in names:
            result = replace(result, symbol=names[self.name])
        return replace(
            self,
            result=result,
            symbols=tuple(replace(row, symbol=names.get(row.name, row.symbol)) for row in self.symbols),
            body=_with_symbols(self.body, names),
            stated=_in_text(self.stated, {own[name]: symbol for name, symbol in names.items()}),
        )

    def evaluate(self, arguments: Mapping[str, float]) -> float:
        """What the formula as shown gives. Raises as arithmetic does."""
        return self._run({**self.defaults, **arguments})[1][_RESULT]

    # --- in words ---------------------------------------------------------------------

    def _words(self) -> str:
        return f"{self.stated} ({self.in_words}; see {self.name})".lstrip()

    def _result_in_words(self, arguments: Mapping[str, float], result: float) -> str:
        shown = {meaning.name: meaning for meaning in self.symbols}
        known = ", ".join(
            f"{shown[name].symbol} = {notation.quantity(value, shown[name].unit)}"
            for name, value in {**self.defaults, **arguments}.items()
            if name in shown and isinstance(value, int | float)
        )
        how = self.in_words or f"worked out by {self.name}"
        shown_result = f"{self.result.symbol} = {notation.quantity(result, self.result.unit)}, {how}"
        return f"{shown_result} from {known}" if known else shown_result

    # --- the lines --------------------------------------------------------------------

    def _shown(self, arguments: Mapping[str, float] | None) -> list[_Line]:
        if arguments is None:
            return self._every(self.body, (), False)
        return [replace(line, value=None) for line in self._run({**self.defaults, **arguments})[0]]

    def _every(
        self, body: tuple[Statement, ...], conditions: tuple[Expression, ...], otherwise: bool
    ) -> list[_Line]:
        """Every equation with the conditions under which it holds."""
        lines: list[_Line] = []
        for statement in body:
            match statement:
                case Assigned(quantity, expression):
                    lines.append(
                        _Line(
                            quantity=quantity,
                            expression=expression,
                            conditions=conditions,
                            otherwise=otherwise,
                        )
                    )
                case Returned(expression) if not self._is_result(expression):
                    lines.append(
                        _Line(
                            quantity=self.result,
                            expression=expression,
                            conditions=conditions,
                            otherwise=otherwise,
                        )
                    )
                case Branch(test, chosen, rest):
                    lines += self._every(chosen, (*conditions, test), otherwise)
                    # A bare "otherwise" would be misread where other conditions hold as well.
                    if conditions:
                        lines += self._every(rest, (*conditions, negated(test)), otherwise)
                    else:
                        lines += self._every(rest, (), True)
        return lines

    def _is_result(self, expression: Expression) -> bool:
        """Whether a return only hands on what already stands as the result."""
        return isinstance(expression, Symbol) and expression.symbol == self.result.symbol

    def _run(self, arguments: Mapping[str, float]) -> tuple[list[_Line], dict[str, float]]:
        """The equations that `arguments` lead to, choices made, with their values; and all values by name."""
        known = {**self.constants, **arguments}
        lines: list[_Line] = []
        conditions: tuple[Expression, ...] = ()
        body = list(self.body)
        while body:
            # What follows a branch follows each of its arms, so the arm that was chosen goes in front.
            statement = body.pop(0)
            match statement:
                case Branch(test, chosen, rest):
                    if holds(test, known):
                        conditions, body = (*conditions, test), [*chosen, *body]
                    else:
                        conditions, body = (*conditions, negated(test)), [*rest, *body]
                case Assigned() | Returned():
                    quantity = statement.quantity if isinstance(statement, Assigned) else self.result
                    expression, held = decided(statement.expression, known)
                    value = evaluate(expression, known)
                    if isinstance(statement, Assigned) or not self._is_result(expression):
                        since = (*conditions, *held)
                        lines.append(
                            _Line(
                                quantity=quantity,
                                expression=expression,
                                conditions=since,
                                since=True,
                                value=value,
                            )
                        )
                    known[quantity.name] = value
                case Refusal():
                    raise ValueError("the function refuses these arguments")
        return lines, known

    def _filled(self, arguments: Mapping[str, float], result: float) -> list[_Line] | None:
        """The equations with numbers, or None where they would not be those of the value that was found."""
        ran = self._run_to(result, {**self.defaults, **arguments})
        if ran is None:
            return None
        lines, known = ran
        return [
            replace(
                line,
                expression=filled(line.expression, known),
                conditions=tuple(filled(condition, known) for condition in line.conditions),
            )
            for line in lines
        ]

    def _run_to(
        self, result: float, arguments: Mapping[str, float]
    ) -> tuple[list[_Line], dict[str, float]] | None:
        """A run that gives the result; None where there is none: no numbers are better than wrong ones."""
        if self.in_words:
            return None
        try:
            lines, known = self._run(arguments)
        except (ArithmeticError, ValueError, TypeError, KeyError):
            return None
        if not isclose(known[_RESULT], result, rel_tol=_SAME, abs_tol=1e-300):
            return None
        return lines, known


# --- one line -------------------------------------------------------------------------


def _text(line: _Line) -> str:
    shown = f"{line.quantity.symbol} = {notation.text(line.expression)}"
    if line.value is not None and not isinstance(line.expression, Quantity | Literal):
        shown += f" = {notation.quantity(line.value, line.quantity.unit)}"
    conditions = " and ".join(notation.text(condition) for condition in line.conditions)
    return shown + _clause(line, conditions)


def _clause(line: _Line, conditions: str) -> str:
    if line.since:
        return f", since {conditions}" if conditions else ""
    words = []
    if line.otherwise:
        words.append("otherwise")
    if conditions:
        words += ["if", conditions]
    return f", {' '.join(words)}" if words else ""


def _mathml(line: _Line) -> str:
    shown = f"{notation.symbol_mathml(line.quantity.symbol)}<mo>=</mo>{notation.mathml(line.expression)}"
    if line.value is not None and not isinstance(line.expression, Quantity | Literal):
        shown += f"<mo>=</mo>{notation.mathml(Quantity(line.value, line.quantity.unit))}"
    rows = f"<mtext>{_SPACE}and{_SPACE}</mtext>".join(map(notation.mathml, line.conditions))
    word = _clause(line, "…" if rows else "").removesuffix("…").strip()
    if word:
        shown += f"<mtext>{word}{_SPACE}</mtext>{rows}"
    return f'<math display="block" alttext="{escape(_text(line))}"><mrow>{shown}</mrow></math>'


def _in_pieces(line: _Line) -> str:
    """An equation for a page: in pieces where it is long, its condition always in one of its own."""
    left = f"{notation.symbol_mathml(line.quantity.symbol)}<mo>=</mo>"
    if len(notation.text(line.expression)) > _LONG:
        first, *rest = notation.mathml_pieces(line.expression)
        pieces = [left + first, *rest]
    else:
        pieces = [left + notation.mathml(line.expression)]
    rows = f"<mtext>{_SPACE}and{_SPACE}</mtext>".join(map(notation.mathml, line.conditions))
    word = _clause(line, "…" if rows else "").removesuffix("…").strip(" ,")
    if word:
        pieces.append(f"<mtext>{word}{_SPACE if rows else ''}</mtext>{rows}")
    shown = " ".join(f"<math>{_without_rows(piece)}</math>" for piece in pieces)
    return f'<div class="buildlog-equation">{shown}</div>'


def _without_rows(mathml: str) -> str:
    """A row of MathML without the rows in it that nothing looks different without: those of one element, and
    those within a row, unless they begin or end with a sign. It would be another sign in the midst of a row,
    and a bracket grows with what stands in its row."""
    parts: list[str] = []
    elements = [_Element(-1, _ROW)]
    for part in _PART.findall(mathml):
        parts.append(part)
        if part.startswith("</"):
            done = elements.pop()
            inside, around = done.children, elements[-1]
            is_needless = len(inside) == 1 or (
                around.tag == _ROW and not {inside[0], inside[-1]} & {_SIGN} if inside else False
            )
            if done.tag == _ROW and is_needless:
                parts[done.place] = parts[-1] = ""
                around.children += inside
            else:
                around.children.append(done.tag)
        elif part.startswith("<"):
            elements.append(_Element(len(parts) - 1, part))
    return "".join(parts)


@dataclass
class _Element:
    """An element that is read, with the place of its tag and the tags of its children."""

    place: int
    tag: str
    children: list[str] = field(default_factory=list)


def _paragraph(text: str) -> str:
    return f"<p>{escape(text)}</p>"


# --- other symbols --------------------------------------------------------------------


def _with_symbols(body: tuple[Statement, ...], names: Mapping[str, str]) -> tuple[Statement, ...]:
    def change(part: Expression) -> Expression | None:
        match part:
            case Symbol(name) if name in names:
                return replace(part, symbol=names[name])
            case Call(elementary=False) if part.function.__name__ in names:
                own = replace(part, name=names[part.function.__name__], elementary=True)
                return replace(cast(Call, rebuilt(own, change)), elementary=False)
        return None

    changed: list[Statement] = []
    for statement in body:
        match statement:
            case Assigned(quantity, expression):
                shown = replace(quantity, symbol=names.get(quantity.name, quantity.symbol))
                changed.append(Assigned(shown, rebuilt(expression, change)))
            case Returned(expression):
                changed.append(Returned(rebuilt(expression, change)))
            case Branch(test, chosen, rest):
                arms = (_with_symbols(arm, names) for arm in (chosen, rest))
                changed.append(Branch(rebuilt(test, change), *arms))
            case Refusal():
                changed.append(statement)
    return tuple(changed)


def _in_text(text: str, symbols: Mapping[str, str]) -> str:
    """Plain text with some of its symbols changed, where they stand by themselves."""
    if not symbols:
        return text
    longest_first = sorted(symbols, key=len, reverse=True)
    alone = rf"(?<![\w′])({'|'.join(map(re.escape, longest_first))})(?![\w′])"
    return re.sub(alone, lambda match: symbols[match[1]], text)


# --- from the function ----------------------------------------------------------------


@cache
def formula_of(function: Callable[..., Any]) -> Formula:
    """The formula of a formula function. Source that is no formula is told in words, never guessed at."""
    source = read_function(function)
    return Formula(
        name=source.name,
        about=source.docstring.partition("\n")[0],
        result=source.result,
        symbols=source.symbols,
        body=source.body,
        defaults=source.defaults,
        constants={
            row.name: row.value for row in source.symbols if row.kind == "constant" and row.value is not None
        },
        in_words=source.in_words,
        stated=section(source.docstring, "Formula:") if source.in_words else "",
    )
