"""How formulae are printed: precedence, and numbers; nothing can be read two ways."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable
from typing import Annotated

import pytest
from hypothesis import given as given_any
from hypothesis import strategies as st

from buildlog.formulae import notation
from buildlog.formulae.expression import (
    Binary,
    Comparison,
    Conditional,
    Expression,
    Literal,
    Negative,
    Power,
    Symbol,
    evaluate,
    holds,
    negated,
)
from buildlog.formulae.formula import formula_of
from tests.formulae.printed_formula import Reader, Unclear, mathml_as_text, reckon, values_by_symbol

# --- precedence ----------------------------------------------------------------------------

Number = Annotated[float, "y", "1"]
A = Annotated[float, "a", "1"]
B = Annotated[float, "b", "1"]
C = Annotated[float, "c", "1"]
X = Annotated[float, "x", "1"]


def _a_over_bc(a: A, b: B, c: C) -> Number:
    return a / (b * c)


def _a_over_b_times_c(a: A, b: B, c: C) -> Number:
    return a / b * c


def _a_times_b_over_c(a: A, b: B, c: C) -> Number:
    return a * (b / c)


def _a_over_b_over_c(a: A, b: B, c: C) -> Number:
    return a / b / c


def _minus_a_difference(a: A, b: B, c: C) -> Number:
    return a - (b - c)


def _minus_a_sum(a: A, b: B, c: C) -> Number:
    return a - (b + c)


def _difference_twice(a: A, b: B, c: C) -> Number:
    return a - b - c


def _negative_square(x: X) -> Number:
    return -(x**2)


def _square_of_negative(x: X) -> Number:
    return (-x) ** 2


def _square_of_sum(a: A, b: B) -> Number:
    return (a + b) ** 2


def _power_of_power(a: A, b: B, c: C) -> Number:
    return float(a**b**c)


def _power_raised(a: A, b: B, c: C) -> Number:
    return float((a**b) ** c)


def _times_negative(a: A, b: B) -> Number:
    return a * -b


def _minus_negative(a: A, b: B) -> Number:
    return a - -b


def _negative_quotient_times(a: A, b: B, c: C) -> Number:
    return -a / b * c


def _negative_sum(a: A, b: B) -> Number:
    return -(a + b)


def _square_of_quotient(a: A, b: B) -> Number:
    return (a / b) ** 2


def _over_a_power(a: A, b: B) -> Number:
    return a / b**2


def _inverse(x: X) -> Number:
    return x**-1


def _fractional(x: X, a: A) -> Number:
    return float(x ** ((a - 1) / a))


def _numbers(x: X) -> Number:
    return 2 * 3 * x * 4


def _small_divisor(x: X) -> Number:
    return x / 2.1e11


def _bars(a: A, b: B) -> Number:
    return a * abs(b - a)


def _half_power(x: X) -> Number:
    return float(x**0.5)


def _functions(a: A, b: B) -> Number:
    return min(a, b) * math.tanh(a / b) + math.log10(a) - math.atan(b)


PRECEDENCE = [
    (_a_over_bc, "a / (b c)"),
    (_a_over_b_times_c, "(a / b) c"),
    (_a_times_b_over_c, "a (b / c)"),
    (_a_over_b_over_c, "(a / b) / c"),
    (_minus_a_difference, "a − (b − c)"),
    (_minus_a_sum, "a − (b + c)"),
    (_difference_twice, "a − b − c"),
    (_negative_square, "−x²"),
    (_square_of_negative, "(−x)²"),
    (_square_of_sum, "(a + b)²"),
    (_power_of_power, "a^(b^c)"),
    (_power_raised, "(a^b)^c"),
    (_times_negative, "a (−b)"),
    (_minus_negative, "a − (−b)"),
    (_negative_quotient_times, "(−a / b) c"),
    (_negative_sum, "−(a + b)"),
    (_square_of_quotient, "(a / b)²"),
    (_over_a_power, "a / b²"),
    (_inverse, "x⁻¹"),
    (_fractional, "x^((a − 1) / a)"),
    (_numbers, "2 × 3 x × 4"),
    (_small_divisor, "x / (2.1 × 10¹¹)"),
    (_bars, "a · |b − a|"),
    (_half_power, "√(x)"),
    (_functions, "min(a, b) tanh(a / b) + lg(a) − arctan(b)"),
]


@pytest.mark.parametrize("function, text", PRECEDENCE, ids=[one.__name__ for one, _ in PRECEDENCE])
def test_precedence(function: Callable[..., float], text: str) -> None:
    formula = formula_of(function)
    assert formula.text() == f"y = {text}"
    arguments = dict(zip(inspect.signature(function).parameters, (1.7, 2.3, 0.6), strict=False))
    for shown in (formula.text(), mathml_as_text(formula.mathml())):
        assert reckon(shown, values_by_symbol(formula, arguments)) == pytest.approx(function(**arguments))


LETTERS = [Symbol(name, name, "1") for name in ("a", "b_1", "ω")]
NODES: st.SearchStrategy[Expression] = st.recursive(
    st.one_of(st.sampled_from(LETTERS), st.sampled_from([0.5, 2.0, 3.0, 1e-5, 12.25]).map(Literal)),
    lambda inner: st.one_of(
        st.builds(Negative, inner),
        st.builds(Binary, st.sampled_from("+−×/"), inner, inner),
        st.builds(Power, inner, st.one_of(inner, st.sampled_from([-2.0, 2.0, 3.0]).map(Literal))),
        # The reader works both values out, so neither may fail.
        st.builds(
            Conditional,
            st.builds(Comparison, st.sampled_from([("<",), (">=",)]), st.tuples(inner, inner)),
            *[st.sampled_from(LETTERS)] * 2,
        ),
    ),
    max_leaves=8,
)


@given_any(NODES)
def test_any_expression_is_printed_without_a_second_reading(node: Expression) -> None:
    values = {"a": 1.3, "b_1": 0.7, "ω": 2.1}
    try:
        expected = evaluate(node, values)
    except (ArithmeticError, TypeError):
        return
    if isinstance(expected, complex) or not math.isfinite(expected):
        return
    near = pytest.approx(expected, rel=1e-6, abs=1e-9)
    assert Reader(notation.text(node), values).value() == near
    if "otherwise" not in notation.text(node):
        line = mathml_as_text(f"<math>{notation.mathml(node)}</math>")
        assert Reader(line, values).value() == near


@pytest.mark.parametrize("sign", ["<", "<=", ">", ">=", "==", "!="])
def test_the_opposite_of_a_condition(sign: str) -> None:
    one = Comparison((sign,), (Symbol("x", "x"), Literal(2.0)))
    for x in (1.0, 2.0, 3.0):
        assert holds(negated(one), {"x": x}) is not holds(one, {"x": x})


def test_the_reader_refuses_what_is_unclear() -> None:
    for text in ("a / b c", "a / b / c", "a 2", "a − −b", "a^b^c"):
        with pytest.raises(Unclear):
            Reader(text, {"a": 1.0, "b": 2.0, "c": 3.0}).value()


# --- numbers -------------------------------------------------------------------------------------

NUMBERS = [
    (0.0, "0"),
    (-0.0, "0"),
    (1.0, "1"),
    (-2.5, "−2.5"),
    (101325.0, "101325"),
    (1234567.0, "1.23457 × 10⁶"),
    (1e6, "10⁶"),
    (0.00012345678, "0.000123457"),
    (0.0000123, "1.23 × 10⁻⁵"),
    (2 / 3, "0.666667"),
    (1e-7, "10⁻⁷"),
    (-1e9, "−10⁹"),
    (math.inf, "∞"),
]


@pytest.mark.parametrize("value, text", NUMBERS)
def test_numbers(value: float, text: str) -> None:
    assert notation.number(value) == text


@given_any(st.floats(-1e12, 1e12, allow_nan=False))
def test_a_number_is_right_to_six_digits(value: float) -> None:
    assert Reader(notation.number(value), {}).value() == pytest.approx(value, rel=5.1e-6)
