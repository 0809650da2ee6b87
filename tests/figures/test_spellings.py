"""Spellings of units in one form, with where each character of it ends in the text."""

from __future__ import annotations

import pytest

from buildlog.figures.spellings import forms, may_end, one_form, read


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("kg/m³", "kg/m3"), (" kg / m^3 ", "kg/m3"), ("kg/m**3", "kg/m3"), ("kg m^-3", "kg m⁻3"),
        ("kg m**-3", "kg m⁻3"), ("kg m⁻³", "kg m⁻3"), ("lb-ft", "lb·ft"), ("lb‑ft", "lb·ft"), ("N⋅m", "N·m"),
        ("N * m", "N·m"), ("N × m", "N·m"), ("N  m", "N m"), ("m^x", "m^x"), ("m^", "m^"),
        # a minus before a digit multiplies nothing
        ("m-3", "m-3"),
    ],
)  # fmt: skip
def test_one_form(text: str, form: str) -> None:
    assert one_form(text) == form


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("kg/m³", [("k", 1), ("g", 2), ("/", 3), ("m", 4), ("3", 5)]),
        ("m^-3", [("m", 1), ("⁻", 3), ("3", 4)]),
        ("m**2", [("m", 1), ("2", 4)]),
        ("N · m", [("N", 1), ("·", 4), ("m", 5)]),
        ("N m", [("N", 1), (" ", 2), ("m", 3)]),
        ("m^x", [("m", 1), ("^", 2), ("x", 3)]),
    ],
)
def test_each_character_ends_where_it_does_in_the_text(text: str, ends: list[tuple[str, int]]) -> None:
    assert list(read(text, 0)) == ends
    assert list(read(f"5 {text}", 2)) == [(sign, end + 2) for sign, end in ends]


def test_a_separator_may_be_a_dot_or_a_space() -> None:
    assert forms("N·m") == ("N·m", "N m")
    assert forms("N m") == ("N m", "N·m")
    assert forms("kg") == ("kg",)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("kg|", True), ("kg| of", True), ("kg|.", True), ("kg|)", True), ("kg|s", False), ("m|²", False),
        ("m|^2", False), ("m|_x", False), ("m|2", False), ("%|2", True), ('4"|x6"', True), ("4″|x6″", True),
        ('4"|y', False), ("m|x6", False), ("kg|/m", False), ("kg|/2", True),
        ("kg|·m", False), ("kg|(m", False),
        ("kg|(2", True),
    ],
)  # fmt: skip
def test_where_a_unit_may_end(text: str, ends: bool) -> None:
    unit, _, rest = text.partition("|")
    assert may_end(unit + rest, len(unit)) == ends
