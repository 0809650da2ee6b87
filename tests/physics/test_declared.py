"""Declared formulae: called, documented, read and refused as functions are, and seen by the hashes."""

from __future__ import annotations

import dataclasses
import inspect
from collections.abc import Callable
from math import inf, nan, pi
from typing import Annotated, Any, get_type_hints

import pytest

from buildlog.book.provenance import Followed
from buildlog.diagnostics import OutOfRange
from buildlog.formulae.formula import formula_of
from buildlog.physics.declared import (
    DeclaredFormula,
    UpTo,
    Variable,
    Within,
    difference_of,
    product_of,
    ratio_of,
    sum_of,
)
from buildlog.physics.limits import not_negative, positive, within

A = Variable("a", "m", "first length", positive)
B = Variable("b", "m", "second length", not_negative)
C = Variable("c", "m", "third length")

area = product_of("area", "An area.", a=A, b=B, gives=Variable("A", "m²", "area"), source="geometry")
together = sum_of("together", "A sum.", a=A, b=B, c=C, gives=Variable("s", "m", "sum"), source="geometry")
D = Variable("b", "m", "second length", positive)
slope = ratio_of("slope", "A slope.", a=A, b=D, gives=Variable("m", "1", "slope"), source="geometry")
gap = difference_of(
    "gap",
    "A gap.",
    a=Variable("a", "m", "end of the first"),
    b=Variable("b", "m", "begin of the second"),
    gives=Variable("g", "m", "gap"),
    order=("b", "a"),
    note="negative where they overlap",
    source="geometry",
)


def slope_in_full(a: Annotated[float, "a", "m"], b: Annotated[float, "b", "m"]) -> Annotated[float, "m", "1"]:
    positive("a", a)
    positive("b", b)
    return a / b


def test_each_operation_on_its_terms_in_the_order_of_the_formula() -> None:
    assert area(2, 3) == area(a=2, b=3) == area(2, b=3) == 6
    assert together(1, 2, -4) == -1
    assert slope(1, 4) == 0.25
    assert gap(a=3, b=10) == gap(3, 10) == 7


def test_readers_and_tools_see_what_they_see_of_a_function() -> None:
    assert formula_of(slope).text() == "m = a / b"
    assert formula_of(gap).text() == "g = b − a"
    shown, expected = formula_of(slope), formula_of(slope_in_full)
    assert shown.mathml() == expected.mathml()
    numbers = {"a": 1.0, "b": 4.0}
    assert shown.filled_text(numbers, 0.25) == expected.filled_text(numbers, 0.25)
    assert get_type_hints(slope, include_extras=True) == get_type_hints(slope_in_full, include_extras=True)
    assert list(inspect.signature(gap).parameters) == ["a", "b"]
    assert (slope.__module__, slope.__qualname__) == (__name__, "slope")  # type: ignore[attr-defined]


def test_the_docstring_has_all_that_was_declared() -> None:
    assert inspect.getdoc(gap) == (
        "A gap.\n\n"
        "Formula: g = b − a. Symbols: a end of the first (m), b begin of the second (m), g gap (m).\n"
        "Range: a any, b any; negative where they overlap. Source: geometry."
    )
    assert "Range: a positive, b zero or more. Errors: `OutOfRange`. Source:" in str(inspect.getdoc(area))


@pytest.mark.parametrize(
    ("arguments", "named"),
    [((1,), {}), ((1, 2, 3), {}), ((), {"a": 1, "length": 2}), ((1,), {"a": 1, "b": 2}), ((1, 2), {"c": 3})],
)
def test_wrong_arguments_are_type_errors(arguments: tuple[float, ...], named: dict[str, float]) -> None:
    for function in (slope, slope_in_full):
        with pytest.raises(TypeError):
            function(*arguments, **named)


def outcome(run: Callable[[], float]) -> object:
    """What it gives, or all that it says where it refuses."""
    try:
        return run()
    except OutOfRange as refused:
        return vars(refused)


def above_zero_to_one(name: str, value: float) -> None:
    positive(name, value)
    within(name, value, 0, 1, "a share")


REFUSING: list[tuple[Callable[[str, float], None], Callable[[str, float], None]]] = [
    (Within(2, 3, "why"), lambda name, value: within(name, value, 2, 3, "why")),
    (Within(), within),
    (UpTo(1, "a share"), above_zero_to_one),
]


@pytest.mark.parametrize(("limit", "guard"), REFUSING)
@pytest.mark.parametrize("value", [-1.0, 0.0, 0.5, 1.0, 1.5, 2.5, 3.5, inf, -inf, nan])
def test_limits_refuse_as_the_guards_do(limit: Any, guard: Any, value: float) -> None:
    formula = product_of(
        "formula",
        "Doubled.",
        given=Variable("x", "1", "given", limit),
        two=C,
        gives=Variable("y", "1", "twice"),
        source="none",
    )

    def guarded() -> float:
        guard("given", value)
        return 2 * value

    assert outcome(lambda: formula(value, 2.0)) == outcome(guarded)


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        (Within(), "any"),
        (Within(low=1), "1 or more"),
        (Within(high=2.5), "up to 2.5"),
        (Within(0, pi), "0 to 3.14159"),
        (UpTo(1), "above 0 to 1"),
    ],
)
def test_ranges_in_words(limit: Any, words: str) -> None:
    assert Variable("x", "1", "given", limit).range == words


def test_a_declaration_that_is_no_formula_is_refused_at_once() -> None:
    gives = Variable("x", "1", "result")
    with pytest.raises(ValueError, match="3 terms for one /"):
        ratio_of("wrong", "Wrong.", a=A, b=B, c=C, gives=gives, source="none")
    with pytest.raises(ValueError, match="1 terms"):
        sum_of("wrong", "Wrong.", a=A, gives=gives, source="none")
    with pytest.raises(ValueError, match="the order names"):
        sum_of("wrong", "Wrong.", a=A, b=B, order=("a", "c"), gives=gives, source="none")


# --- what the hash of a calculator sees ---------------------------------------------------


def followed(formula: DeclaredFormula) -> dict[str, str]:
    """What is hashed of a calculator that runs only this formula."""
    collected = Followed()
    collected.thing(formula, "formula")
    return collected.found


def changed_terms(**changes: Any) -> dict[str, Variable]:
    return {**area.terms, "b": dataclasses.replace(area.terms["b"], **changes)}


@pytest.mark.parametrize(
    "changes",
    [
        {"sign": "+"},
        {"order": ("b", "a")},
        {"gives": Variable("A", "mm²", "area")},
        {"terms": changed_terms(symbol="β")},
        {"terms": changed_terms(limit=positive)},
        {"terms": changed_terms(limit=None)},
        {"terms": changed_terms(limit=Within(0, 2))},
    ],
)
def test_the_hash_sees_operator_order_symbols_and_ranges(changes: dict[str, Any]) -> None:
    assert followed(dataclasses.replace(area, **changes)) != followed(area)


def test_the_hash_sees_the_numbers_of_a_range() -> None:
    ranges = [Within(0, 2), Within(0, 2.5), UpTo(2), UpTo(2, "why")]
    formulae = [dataclasses.replace(area, terms=changed_terms(limit=limit)) for limit in ranges]
    assert len({repr(followed(formula)) for formula in formulae}) == len(ranges)


def test_the_hash_does_not_see_words() -> None:
    words = dataclasses.replace(
        area, about="Else.", source="elsewhere", note="a note", terms=changed_terms(meaning="else")
    )
    assert followed(words) == followed(area)


def test_the_hash_sees_how_a_declared_formula_is_computed_and_refused() -> None:
    seen = followed(area)
    assert "ARITHMETIC[self.sign]" in seen["buildlog.physics.declared.DeclaredFormula"]
    assert "isfinite" in seen["buildlog.physics.limits.positive"]
    assert "isfinite" in seen["buildlog.physics.limits.not_negative"]
