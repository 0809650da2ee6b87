"""Figures in words: what states a size, a multiple or a share, and what is a name or a way of speaking."""

from __future__ import annotations

import pytest

from buildlog.proof.number_words import figures_in_words, is_share_after, multiple_after


def found(text: str) -> list[str]:
    return [text[start:end] for start, end in figures_in_words(text)]


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        # sizes
        ("It is ten millimetres wide.", ["ten millimetres"]),
        ("It is two mm off.", ["two mm"]),
        ("We took off three kilograms and two pounds.", ["three kilograms", "two pounds"]),
        ("He is six foot two.", ["six foot two"]),
        ("An inch lower it rubs.", ["An inch"]),
        ("A degree cooler would do.", ["A degree"]),
        ("Half a litre of oil.", ["Half a litre"]),
        ("It is two seconds slower.", ["two seconds"]),
        # multiples
        ("It is twice as stiff.", ["twice"]),
        ("It has double the torque.", ["double"]),
        ("The stiffness is double.", ["double"]),
        ("It is three times as stiff.", ["three times"]),
        ("It is three times stiffer.", ["three times"]),
        # shares
        ("It has half the mass.", ["half"]),
        ("It was cut by a third.", ["a third"]),
        ("It is a quarter lighter.", ["a quarter"]),
        # names and ways of speaking
        ("An inch away is the pump.", []),
        ("Hold it for two seconds.", []),
        ("Measure it twice.", []),
        ("Double valve springs went in.", []),
        ("We tried three times.", []),
        ("Third gear whines.", []),
        ("Half the bolts were loose.", []),
        ("Too long by half.", []),
        ("One second, please.", []),
        ("One foot on the brake.", []),
        ("We are one hundred percent sure.", []),
        ("Ten turns out.", []),
        ("It took two hours.", []),
        ("Two in a row.", []),
    ],
)
def test_figures_in_words(text: str, figures: list[str]) -> None:
    assert found(text) == figures


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("2.1 times as stiff", "2.1 times"),
        ("2 times stiffer", "2 times"),
        ("2× the flow", "2×"),
        ("2 times we tried", ""),
    ],
)
def test_a_multiple_in_digits(text: str, read: str) -> None:
    digits = len(text) - len(text.lstrip("0123456789."))
    assert text[: multiple_after(text, digits)] == read


@pytest.mark.parametrize(
    ("text", "is_share"),
    [(" the mass", True), (" more", True), (" as much", True), (" the bolts", False), (" turn", False)],
)
def test_a_fraction_is_a_share_of_a_quantity(text: str, is_share: bool) -> None:
    assert is_share_after(f"1/3{text}", 3) == is_share
