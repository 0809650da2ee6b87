"""What is read from a function: branches, constants, other formulae, and what is no formula."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import FunctionType
from typing import Annotated

import pytest

from buildlog.diagnostics import OutOfRange
from buildlog.formulae.formula import formula_of
from buildlog.formulae.function_source import reading_fault
from tests.formulae.printed_formula import mathml_as_text, reckon, symbols_of, values_by_symbol

Number = Annotated[float, "y", "1"]
A = Annotated[float, "a", "1"]
B = Annotated[float, "b", "1"]
C = Annotated[float, "c", "1"]
X = Annotated[float, "x", "1"]


# --- branches, constants, other functions ----------------------------------------------------

GAS_CONSTANT: Annotated[float, "R", "J/(kg·K)"] = 287.05
LAMINAR = 2300


def _friction_factor(
    reynolds_number: Annotated[float, "Re", "1"], roughness: Annotated[float, "k", "1"]
) -> Annotated[float, "f", "1"]:
    if reynolds_number <= 0:
        raise OutOfRange("reynolds_number", "0", "more")
    if reynolds_number < LAMINAR:
        return 64 / reynolds_number
    elif reynolds_number < 4000:
        return 0.03
    rough = (roughness / 3.7) ** 1.11 + 6.9 / reynolds_number
    return 1 / (1.8 * math.log10(rough)) ** 2


def _loss(
    reynolds_number: Annotated[float, "Re", "1"], dynamic_pressure: Annotated[float, "q", "Pa"]
) -> Annotated[float, "Δp", "Pa"]:
    return _friction_factor(reynolds_number, 0.01) * dynamic_pressure


def _density(
    pressure: Annotated[float, "p", "Pa"], temperature: Annotated[float, "T", "K"]
) -> Annotated[float, "ρ", "kg/m³"]:
    return pressure / (GAS_CONSTANT * temperature)


def _mass_flow(
    pressure: Annotated[float, "p", "Pa"], flow: Annotated[float, "V̇", "m³/s"]
) -> Annotated[float, "ṁ", "kg/s"]:
    return _density(pressure, 293.15) * flow


def _clipped(x: X) -> Number:
    top = 2.0 if x > 2 else x
    return top * 3


def _area_after(diameter: Annotated[float, "d", "m"]) -> Annotated[float, "F", "N"]:
    area: Annotated[float, "A", "m²"] = math.pi / 4 * diameter**2
    return 1000 * area


def test_branches_are_shown_with_their_conditions() -> None:
    formula = formula_of(_friction_factor)
    assert formula.text() == (
        "f = 64 / Re, if Re < 2300\n"
        "f = 0.03, otherwise if Re < 4000\n"
        "rough = (k / 3.7)^1.11 + 6.9 / Re, otherwise\n"
        "f = 1 / (1.8 lg(rough))², otherwise"
    )
    turbulent = {"reynolds_number": 1e5, "roughness": 0.01}
    assert (
        formula.text(turbulent).split("\n")[-1] == "f = 1 / (1.8 lg(rough))², since Re ≥ 2300 and Re ≥ 4000"
    )
    laminar = {"reynolds_number": 1600.0, "roughness": 0.01}
    assert formula.filled_text(laminar, 0.04) == "f = 64 / 1600 = 0.04, since 1600 < 2300"
    for reynolds_number in (100.0, 3000.0, 5e4):
        arguments = {"reynolds_number": reynolds_number, "roughness": 0.01}
        expected = pytest.approx(_friction_factor(**arguments))
        values = {**symbols_of(formula), **values_by_symbol(formula, arguments)}
        assert reckon(formula.text(), values) == expected
        assert reckon(mathml_as_text(formula.mathml()), values) == expected


def test_a_function_with_branches_is_shown_as_a_function() -> None:
    formula = formula_of(_loss)
    assert formula.text() == "Δp = f(Re, 0.01) q"
    assert ("_friction_factor", "f", "1", "function") in [
        (row.name, row.symbol, row.unit, row.kind) for row in formula.symbols
    ]
    arguments = {"reynolds_number": 1600.0, "dynamic_pressure": 100.0}
    assert reckon(
        formula.text(), values_by_symbol(formula, arguments), {"f": _friction_factor}
    ) == pytest.approx(4)
    assert formula.filled_text(arguments, 4.0).replace("\u00a0", " ") == "Δp = f(1600, 0.01) × 100 Pa = 4 Pa"


def test_another_formula_is_written_out_and_a_constant_keeps_its_symbol() -> None:
    formula = formula_of(_mass_flow)
    assert formula.text() == "ρ = p / (R × 293.15)\nṁ = ρ V̇"
    assert [(row.symbol, row.value) for row in formula.symbols if row.kind == "constant"] == [("R", 287.05)]
    assert "<mover" in formula.mathml()
    arguments = {"pressure": 101325.0, "flow": 0.1}
    result = _mass_flow(**arguments)
    assert formula.filled_text(arguments, result).replace("\u00a0", " ") == (
        "ρ = 101325 Pa / ((287.05 J/(kg·K)) × 293.15) = 1.20412 kg/m³\n"
        "ṁ = (1.20412 kg/m³) × (0.1 m³/s) = 0.120412 kg/s"
    )


def _square(a: A, b: B) -> Number:
    y = a * b
    return y


def _round_number(speed: X, length: A) -> Annotated[float, "Re", "1"]:
    if speed < 0:
        raise OutOfRange("speed", "less", "more")
    if speed > 1:
        return speed * length
    return speed


def _drag(speed: X, length: A) -> Number:
    Re = _round_number(speed, length) if length > 1 else _round_number(speed, 1 + length)
    return 24 / Re


def test_a_result_that_is_named_before_it_is_returned() -> None:
    formula = formula_of(_square)
    assert formula.text() == "y = a b"
    assert formula.filled_text({"a": 2.0, "b": 3.0}, 6.0) == "y = 2 × 3 = 6"


def test_no_function_takes_the_symbol_of_a_local_quantity() -> None:
    formula = formula_of(_drag)
    assert formula.text() == (
        "Re = round number(x, a), if a > 1\nRe = round number(x, 1 + a), otherwise\ny = 24 / Re"
    )
    assert [row.symbol for row in formula.symbols] == ["x", "a", "round number", "Re", "y"]


def test_a_choice_for_a_quantity_on_the_way() -> None:
    formula = formula_of(_clipped)
    assert formula.text() == "top = 2, if x > 2\ntop = x, otherwise\ny = top × 3"
    assert formula.filled_text({"x": 5.0}, 6.0) == "top = 2, since 5 > 2\ny = 2 × 3 = 6, since 5 > 2"


def test_a_local_quantity_may_have_a_symbol_and_a_unit() -> None:
    formula = formula_of(_area_after)
    assert formula.text() == "A = (π / 4) d²\nF = 1000 A"
    shown = formula.filled_text({"diameter": 0.1}, _area_after(0.1)).replace("\u00a0", " ")
    assert shown.startswith("A = (π / 4) × (0.1 m)² = 0.00785398 m²\n")


# --- what is no formula ------------------------------------------------------------------------


def _iterated(x: X) -> Number:
    """Fixed point.

    Formula: y = cos y, found from x.
    Symbols: x start (1).
    In words: found by iteration.
    """
    for _ in range(100):
        x = math.cos(x)
    return x


def _changing(x: X) -> Number:
    """Formula: y = 3 x. Symbols: x, y."""
    x *= 3
    return x


def _looked_up(x: X) -> Number:
    return {1.0: 2.0}.get(x, 0.0)


def test_iteration_is_told_in_words() -> None:
    formula = formula_of(_iterated)
    assert formula.text() == "y = cos y, found from x (found by iteration; see _iterated)"
    assert formula.filled_text({"x": 1.0}, 0.739085) == "y = 0.739085, found by iteration from x = 1"
    assert formula.mathml().startswith("<p>")


def _added_up(x: X) -> Number:
    """In words: worked out over a list."""
    return sum(part * x for part in (1, 2, 3))


def test_a_sum_over_a_list_is_told_in_words() -> None:
    assert formula_of(_added_up).text() == "(worked out over a list; see _added_up)"


def _at(held: dict[str, float], x: X) -> Number:
    return held["first"] * x


def _passed_on(held: dict[str, float], x: X) -> Number:
    return _at(held, x) - x


@pytest.mark.parametrize("function", [_changing, _looked_up, _passed_on])
def test_other_statements_are_told_in_words(function: Callable[..., float]) -> None:
    assert "worked out in steps" in formula_of(function).text()


def test_numbers_are_not_put_into_a_formula_that_gave_another_value() -> None:
    shown = formula_of(_square).filled_text({"a": 2.0, "b": 3.0}, 6.5)
    assert shown == "y = 6.5, worked out by _square from a = 2, b = 3"


# --- what its author is told ---------------------------------------------------------------------


def _with_comprehension(x: X) -> Number:
    """A sum."""
    return sum([part * x for part in (1, 2, 3)])


def _with_while(x: X) -> Number:
    y = x

    while y > 1:
        y /= 2
    return y


def _with_default_left_out(x: X) -> Number:
    return _with_default(x) + 1


def _with_default(x: X, factor: X = 2.0) -> Number:
    return factor * x


def _with_whole_division(x: X) -> Number:
    return x // 2


def _assigned_again(x: X) -> Number:
    top = x + 1
    top = top * 2
    return top


def _without_an_end(x: X) -> Number:  # type: ignore[return]
    if x > 1:
        return x


def _of_a_record(held: dict[str, float], x: X) -> Number:
    return held["first"] * x


UNREAD: list[tuple[Callable[..., float], int, str]] = [
    (_with_comprehension, 2, "a comprehension (`[part * x for part in (1, 2, 3)]`)"),
    (_with_while, 3, "a while loop (`while y > 1:`)"),
    (_changing, 2, "a variable that is changed (`x *= 3`)"),
    (_looked_up, 1, "a call of what is no formula, or with defaults left out (`{1.0: 2.0}.get(x, 0.0)`)"),
    (
        _with_default_left_out,
        1,
        "a call of what is no formula, or with defaults left out (`_with_default(x)`)",
    ),
    (_with_whole_division, 1, "the operator // (`x // 2`)"),
    (_assigned_again, 2, "a variable that is assigned again (top) (`top = top * 2`)"),
    (_without_an_end, 1, "an end without a return (`if x > 1:`)"),
    (_of_a_record, 1, "an item of a list or a mapping (`held['first']`)"),
]


@pytest.mark.parametrize(("function", "line", "construct"), UNREAD)
def test_what_is_not_read_is_told_with_function_line_and_construct(
    function: Callable[..., float], line: int, construct: str
) -> None:
    first = function.__code__.co_firstlineno
    place = f"tests/formulae/test_function_source.py:{first + line}"
    fault = reading_fault(function)
    assert fault.startswith(f"{place}: {function.__name__}: {construct} is not read")
    assert "“In words: found by iteration.”" in fault


@pytest.mark.parametrize("function", [_iterated, _added_up, _square, _friction_factor, _loss])
def test_no_fault_where_a_formula_is_read_or_told_in_words(function: Callable[..., float]) -> None:
    assert reading_fault(function) == ""


def _no_longer_iterated(x: X) -> Number:
    """In words: found by iteration."""
    return 2 * x


def test_words_of_what_is_read_are_a_fault_too() -> None:
    assert reading_fault(_no_longer_iterated).endswith(
        "_no_longer_iterated: “In words: found by iteration.” of what is read as a formula"
    )


def test_a_function_whose_source_is_not_at_hand_is_told() -> None:
    code = _square.__code__.replace(co_filename="<typed in>")
    typed = FunctionType(code, globals(), "typed")
    assert reading_fault(typed).startswith(
        f"{__name__}: typed: a function whose source is not at hand is not read"
    )
