"""How a formula is printed for readers: plain text, and MathML that needs no script.

Text: ``v = ω U / (2 π i)``. A product is written side by side, with × where a number follows and · beside
a word; a solidus divides all of the product before it by the one thing after it. The same tree gives both
forms, so they cannot differ. Signs and names of functions follow ISO 80000-2.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from html import escape

from buildlog.formulae.expression import (
    Binary,
    Call,
    Comparison,
    Conditional,
    Constant,
    Expression,
    Literal,
    Logic,
    Negative,
    Not,
    Power,
    Quantity,
    Symbol,
    holds_number,
)

MINUS = "\u2212"
NO_BREAK_SPACE = "\u00a0"
_INVISIBLE_TIMES = "\u2062"
_APPLIED = "\u2061"
_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"
_SUPERSCRIPTS = str.maketrans("0123456789−", _RAISED) | {ord("-"): "⁻"}
_LOWERED = str.maketrans(_RAISED, "0123456789−")
_SIGNS = {"<": "<", "<=": "≤", ">": ">", ">=": "≥", "==": "=", "!=": "≠"}
_NAMES = {
    "log": "ln", "log10": "lg", "asin": "arcsin", "acos": "arccos", "atan": "arctan",
    "asinh": "arsinh", "acosh": "arcosh", "atanh": "artanh",
}  # fmt: skip
_FENCES = {"abs": ("|", "|"), "floor": ("⌊", "⌋"), "ceil": ("⌈", "⌉")}
_ACCENTS = {"\u0307": "˙", "\u0304": "¯", "\u0302": "^", "\u0303": "~", "\u0308": "¨"}

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "zeta": "ζ", "eta": "η",
    "theta": "θ", "kappa": "κ", "lambda_": "λ", "mu": "μ", "nu": "ν", "xi": "ξ", "rho": "ρ", "sigma": "σ",
    "tau": "τ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω",
}  # fmt: skip

# How tightly a printed expression holds together: what is looser than its place wants takes parentheses.
_LOGIC, _COMPARED, _SUM, _TERM, _QUOTIENT, _PRODUCT, _POWER, _ATOM = range(8)


# --- numbers --------------------------------------------------------------------------


def number(value: float, digits: int = 6) -> str:
    """A number at `digits` significant digits, trailing zeros dropped: −0.25, 1.5 × 10⁻⁷."""
    return _scientific(f"{value:.{digits}g}")


def literal(value: float) -> str:
    """A number of the formula itself: all its digits, or ten where it was worked out."""
    # The shortest digits that give the same float are those that were typed, unless it was worked out.
    shortest = repr(float(value))
    if len(shortest.lstrip("-").partition("e")[0].replace(".", "").strip("0")) > 10:
        shortest = f"{value:.10g}"
    if "e" not in shortest and abs(value) >= 1e6:  # zeros that nobody counts: 2 × 10⁶
        shortest = f"{value:.15e}"
    return _scientific(shortest)


def _scientific(text: str) -> str:
    mantissa, _, exponent = text.partition("e")
    if "." in mantissa:
        mantissa = mantissa.rstrip("0").rstrip(".")
    if mantissa in ("inf", "-inf"):
        mantissa = mantissa.replace("inf", "∞")
    if mantissa == "-0":
        mantissa = "0"
    mantissa = mantissa.replace("-", MINUS)
    if not exponent:
        return mantissa
    power = "10" + str(int(exponent)).translate(_SUPERSCRIPTS)
    if mantissa in ("1", f"{MINUS}1"):
        return mantissa.removesuffix("1") + power
    return f"{mantissa} × {power}"


def quantity(value: float, unit: str, digits: int = 6) -> str:
    """A number with its SI unit; the unit "1" is not written."""
    if unit in ("", "1"):
        return number(value, digits)
    return number(value, digits) + NO_BREAK_SPACE + unit


def _tightness(text: str) -> int:
    """Of a number with or without its unit."""
    value, _, unit = text.partition(NO_BREAK_SPACE)
    if any(sign in unit for sign in "/·* "):
        return _TERM
    if unit or "×" in value:
        return _PRODUCT
    if value[-1] in _RAISED:
        return _POWER
    return _ATOM


# --- symbols --------------------------------------------------------------------------


def name_in_words(name: str) -> str:
    """``lost_power`` as words."""
    return name.strip("_").replace("_", " ")


def local_symbol(name: str) -> str:
    """The symbol of a local variable: a letter or a Greek letter's name with what stands below, or words."""
    if name in GREEK:
        return GREEK[name]
    first, _, below = name.partition("_")
    letter = GREEK.get(first, first)
    if len(letter) == 1 and below:
        return f"{letter}_{below}"
    return name_in_words(name)


def is_word(symbol: str) -> bool:
    """Whether a symbol is a word or a name of several letters, like Re: beside it a product takes a sign."""
    if "/" in symbol:
        return False
    base = symbol.partition("_")[0].removeprefix("Δ").rstrip("′")
    return sum(not unicodedata.combining(char) for char in base) > 1


def _letter(base: str) -> str:
    """One letter with its accent, or a word, as MathML."""
    if len(base) > 1 and base[0] == "Δ" and base[1:].strip("′"):
        return f'<mrow><mi mathvariant="normal">Δ</mi>{_letter(base[1:])}</mrow>'
    plain = base.rstrip("′")
    if primes := base[len(plain) :]:
        return f"<msup>{_letter(plain)}<mo>{primes}</mo></msup>"
    parts = unicodedata.normalize("NFD", base)
    if len(parts) == 2 and parts[1] in _ACCENTS:
        return f'<mover accent="true"><mi>{escape(parts[0])}</mi><mo>{_ACCENTS[parts[1]]}</mo></mover>'
    return f"<mi>{escape(base)}</mi>"


def _change(symbol: str) -> str:
    """One side of a symbol like dT/dt or Δρ/ρ: the d of a derivative is upright (ISO 80000-2)."""
    if symbol.startswith("d") and symbol[1:2].isalpha():
        return f'<mi mathvariant="normal">d</mi>{symbol_mathml(symbol[1:])}'
    return symbol_mathml(symbol)


def _subscript(symbol: str) -> str:
    below = symbol.partition("_")[2].replace("_", " ")
    if not below:
        return ""
    if below.isdigit():
        return f"<mn>{below}</mn>"
    return f'<mi mathvariant="normal">{escape(below)}</mi>'


def symbol_mathml(symbol: str) -> str:
    """A symbol as MathML: what follows the underscore is set below, upright."""
    if "/" in symbol:
        above, _, below = symbol.partition("/")
        return f"<mfrac><mrow>{_change(above)}</mrow><mrow>{_change(below)}</mrow></mfrac>"
    base = _letter(symbol.partition("_")[0])
    if below := _subscript(symbol):
        return f"<msub>{base}{below}</msub>"
    return base


def _letter_html(base: str) -> str:
    """One letter, which is slanted, or a word, which is not."""
    upright, letter = ("Δ", base[1:]) if len(base) > 1 and base[0] == "Δ" else ("", base)
    plain = letter.rstrip("′")
    slanted = not is_word(plain) and not plain.isdigit()
    shown = f"<i>{escape(plain)}</i>" if slanted else escape(plain)
    return f"{upright}{shown}{letter[len(plain) :]}"


def symbol_html(symbol: str) -> str:
    """A symbol as plain HTML, for tables, where MathML would be most of their length."""
    if "/" in symbol:
        above, _, below = symbol.partition("/")
        return f"{symbol_html(above)}/{symbol_html(below)}"
    base, _, below = symbol.partition("_")
    index = f"<sub>{escape(below.replace('_', ' '))}</sub>" if below else ""
    return _letter_html(base) + index


# --- the two printers -----------------------------------------------------------------


def _beside(left: Expression, right: Expression, left_text: str, right_text: str) -> str:
    """The sign of a product: × beside numbers, · beside words and bars, nothing between symbols."""
    if holds_number(left) or holds_number(right) or right_text[0].isdigit():
        return "×"
    # Of products only the factors that come to stand beside each other matter.
    while isinstance(left, Binary) and left.sign == "×":
        left = left.right
    while isinstance(right, Binary) and right.sign == "×":
        right = right.left
    barred = left_text.endswith("|") or right_text.startswith("|")
    if barred or is_word(_name(left)) or is_word(_name(right)):
        return "·"
    return ""


def _name(factor: Expression) -> str:
    """What a reader sees of a factor first, if that is a symbol or the name of a function."""
    match factor:
        case Power(base, _):
            return _name(base) if not isinstance(base, Power) else ""
        case Symbol(_, symbol):
            return symbol
        case Call(name, elementary=False):
            return name
    return ""


def _whole(node: Expression) -> str | None:
    """An exponent that is a whole number, as its digits."""
    match node:
        case Literal(value) if abs(value) < 100 and value == int(value):
            return str(int(value)).replace("-", MINUS)
        case Negative(Literal() as of) if (digits := _whole(of)) and digits[0] != MINUS:
            return MINUS + digits
    return None


@dataclass(frozen=True)
class _Printed:
    """Something printed: as text, as MathML, and how tightly each holds together."""

    text: str
    mathml: str
    tightness: int
    mathml_tightness: int

    @classmethod
    def alike(cls, text: str, mathml: str, tightness: int) -> _Printed:
        return cls(text, mathml, tightness, tightness)

    def within(self, tightness: int, *, signed: bool = True) -> tuple[str, str]:
        """Text and MathML for a place that wants at least `tightness`, and may or may not begin with −."""
        text, mathml = self.text, self.row
        loose = not signed and self.text.startswith(MINUS)
        if loose or self.tightness < tightness:
            text = f"({self.text})"
        # A fraction in MathML has a bar, which holds together what a solidus in text does not.
        if loose or self.mathml_tightness < tightness:
            mathml = f"<mrow><mo>(</mo>{self.mathml}<mo>)</mo></mrow>"
        return text, mathml

    @property
    def row(self) -> str:
        return f"<mrow>{self.mathml}</mrow>"


def _number(text: str) -> _Printed:
    value, _, unit = text.partition(NO_BREAK_SPACE)
    mathml = _number_mathml(value)
    if unit:
        mathml += f"<mtext>{NO_BREAK_SPACE}{escape(unit)}</mtext>"
    return _Printed.alike(text, mathml, _tightness(text))


def _number_mathml(text: str) -> str:
    if text.startswith(MINUS):
        return f'<mo form="prefix">{MINUS}</mo>{_number_mathml(text[1:])}'
    if text[-1] not in _RAISED:
        return f"<mn>{text}</mn>"
    mantissa, times, power = text.rpartition(" × ")
    above = _number_mathml(power.removeprefix("10").translate(_LOWERED))
    raised = f"<msup><mn>10</mn><mrow>{above}</mrow></msup>"
    if times:
        return f"<mn>{mantissa}</mn><mo>×</mo>{raised}"
    return raised


def _print(node: Expression, *, small: bool = False) -> _Printed:
    """`small` is for exponents, where a fraction is set on one line."""
    match node:
        case Comparison() | Logic() | Not():
            return _print_condition(node)
        case Literal(value):
            return _number(literal(value))
        case Quantity(value, unit):
            return _number(quantity(value, unit))
        case Symbol(_, symbol) | Constant(symbol, _):
            return _Printed.alike(symbol, symbol_mathml(symbol), _symbol_tightness(symbol))
        case Negative(of):
            return _print_negative(_print(of, small=small))
        case Binary():
            return _print_binary(node, small)
        case Power(base, exponent):
            return _print_power(base, exponent, small)
        case Call():
            return _print_call(node)
        case Conditional():
            return _print_conditional(node)
    raise TypeError(f"{node!r} cannot be printed")


def _symbol_tightness(symbol: str) -> int:
    """Of a symbol as a whole: Δρ/ρ is a quotient, and a name of several words reads as a product."""
    if "/" in symbol:
        return _QUOTIENT
    if " " in symbol:
        return _PRODUCT
    return _ATOM


def _print_negative(inner: _Printed) -> _Printed:
    text, mathml = inner.within(_TERM, signed=False)
    # Only a product keeps its tightness behind the sign: −a b is −(a b), but (−a)² is not −a².
    return _Printed(
        MINUS + text,
        f'<mo form="prefix">{MINUS}</mo>{mathml}',
        min(inner.tightness, _PRODUCT),
        min(inner.mathml_tightness, _PRODUCT),
    )


def _print_conditional(node: Conditional) -> _Printed:
    chosen, otherwise, test = (_print(part) for part in (node.chosen, node.otherwise, node.test))
    return _Printed.alike(
        f"({chosen.text} if {test.text}, otherwise {otherwise.text})",
        '<mrow><mo fence="true">{</mo><mtable>'
        f"<mtr><mtd>{chosen.row}</mtd><mtd><mtext>if </mtext>{test.row}</mtd></mtr>"
        f"<mtr><mtd>{otherwise.row}</mtd><mtd><mtext>otherwise</mtext></mtd></mtr></mtable></mrow>",
        _ATOM,
    )


def _print_condition(node: Comparison | Logic | Not) -> _Printed:
    match node:
        case Comparison(signs, terms):
            texts = [_print(term) for term in terms]
            text, mathml = texts[0].text, texts[0].row
            for sign, term in zip(signs, texts[1:], strict=True):
                text += f" {_SIGNS[sign]} {term.text}"
                mathml += f"<mo>{escape(_SIGNS[sign])}</mo>{term.row}"
            return _Printed.alike(text, mathml, _COMPARED)
        case Logic(word, terms):
            parts = [_print(term).within(_COMPARED) for term in terms]
            between = f"<mtext>{NO_BREAK_SPACE}{word}{NO_BREAK_SPACE}</mtext>"
            return _Printed.alike(
                f" {word} ".join(text for text, _ in parts), between.join(row for _, row in parts), _LOGIC
            )
        case Not(of):
            inner = _print(of)
            return _Printed.alike(
                f"not ({inner.text})", f"<mtext>not </mtext><mo>(</mo>{inner.row}<mo>)</mo>", _COMPARED
            )


def _print_binary(node: Binary, small: bool) -> _Printed:
    left, right = _print(node.left, small=small), _print(node.right, small=small)
    if node.sign in "+−":
        a, a_mathml = left.within(_SUM)
        # What is taken away keeps its parentheses when it is a sum: a − (b + c).
        wanted = {"+": _SUM, "−": _TERM}[node.sign]
        b, b_mathml = right.within(wanted, signed=False)
        return _Printed.alike(f"{a} {node.sign} {b}", f"{a_mathml}<mo>{node.sign}</mo>{b_mathml}", _SUM)
    if node.sign == "×":
        a, a_mathml = left.within(_PRODUCT)
        b, b_mathml = right.within(_PRODUCT, signed=False)
        sign = _beside(node.left, node.right, a, b)
        mathml = f"{a_mathml}<mo>{sign or _INVISIBLE_TIMES}</mo>{b_mathml}"
        return _Printed.alike(" ".join(filter(None, (a, sign, b))), mathml, _PRODUCT)
    a, a_mathml = left.within(_PRODUCT)
    b, b_mathml = right.within(_POWER, signed=False)
    text = f"{a} / {b}"
    if small:
        return _Printed.alike(text, f"{a_mathml}<mo>/</mo>{b_mathml}", _QUOTIENT)
    return _Printed(text, f"<mfrac>{left.row}{right.row}</mfrac>", _QUOTIENT, _PRODUCT)


def _print_power(base: Expression, exponent: Expression, small: bool) -> _Printed:
    printed, above = _print(base, small=small), _print(exponent, small=True)
    text, mathml = printed.within(_ATOM, signed=False)
    if (digits := _whole(exponent)) is not None:
        text += digits.translate(_SUPERSCRIPTS)
    elif (
        above.tightness == _ATOM
        and above.text[0] != MINUS
        and isinstance(exponent, Literal | Symbol | Constant | Quantity)
    ):
        text += f"^{above.text}"
    else:
        text += f"^({above.text})"
    if (
        isinstance(base, Symbol | Constant)
        and printed.tightness == _ATOM
        and (below := _subscript(base.symbol))
    ):
        # x_1²: index and exponent stand above each other, which msup of an msub would not give.
        letter = _letter(base.symbol.partition("_")[0])
        return _Printed.alike(text, f"<msubsup>{letter}{below}{above.row}</msubsup>", _POWER)
    return _Printed.alike(text, f"<msup>{mathml}{above.row}</msup>", _POWER)


def _print_call(node: Call) -> _Printed:
    arguments = [_print(argument) for argument in node.arguments]
    text = ", ".join(argument.text for argument in arguments)
    mathml = "<mo>,</mo>".join(argument.row for argument in arguments)
    if node.elementary and node.name == "sqrt":
        return _Printed.alike(f"√({text})", f"<msqrt>{mathml}</msqrt>", _ATOM)
    if node.elementary and node.name in _FENCES:
        opening, closing = _FENCES[node.name]
        if "|" in text and opening == "|":  # bars within bars cannot be told apart
            return _Printed.alike(
                f"abs({text})", f"<mrow><mi>abs</mi><mo>(</mo>{mathml}<mo>)</mo></mrow>", _ATOM
            )
        fenced = f'<mrow><mo fence="true">{opening}</mo>{mathml}<mo fence="true">{closing}</mo></mrow>'
        return _Printed.alike(opening + text + closing, fenced, _ATOM)
    name, shown = node.name, symbol_mathml(node.name)
    if node.elementary:
        name = _NAMES.get(node.name, node.name)
        shown = f"<mi>{name}</mi>"
    return _Printed.alike(
        f"{name}({text})", f"<mrow>{shown}<mo>{_APPLIED}</mo><mo>(</mo>{mathml}<mo>)</mo></mrow>", _ATOM
    )


def text(node: Expression) -> str:
    """An expression or a condition as plain text."""
    return _print(node).text


def mathml(node: Expression) -> str:
    """An expression or a condition as MathML, to stand inside ``<math>``."""
    return _print(node).row


def mathml_pieces(node: Expression) -> list[str]:
    """An expression as MathML in the pieces between which a line may end: the terms of a sum, or else the
    factors of a product, each with the sign before it."""
    if isinstance(node, Binary) and node.sign in "+−":
        first, *others = _terms(node, "+−")
        pieces = [_print(first[1]).within(_SUM)[1]]
        for sign, term in others:
            wanted = {"+": _SUM, "−": _TERM}[sign]
            pieces.append(f"<mo>{sign}</mo>{_print(term).within(wanted, signed=False)[1]}")
        return pieces
    if isinstance(node, Binary) and node.sign == "×":
        signs = [sign for sign, _ in _terms(node, "×")]
        factors = [factor for _, factor in _terms(node, "×")]
        printed = [_print(factor).within(_PRODUCT, signed=not place) for place, factor in enumerate(factors)]
        pieces = [printed[0][1]]
        for place in range(1, len(signs)):
            before, after = printed[place - 1][0], printed[place][0]
            sign = _beside(factors[place - 1], factors[place], before, after) or _INVISIBLE_TIMES
            pieces.append(f"<mo>{sign}</mo>{printed[place][1]}")
        return pieces
    return [mathml(node)]


def _terms(node: Expression, signs: str) -> list[tuple[str, Expression]]:
    """What is added up or multiplied from left to right, each with its sign; the first has none."""
    if isinstance(node, Binary) and node.sign in signs:
        return [*_terms(node.left, signs), (node.sign, node.right)]
    return [("", node)]
