"""Digits of a number in the other system of units: as many as tell as much there, by hand."""

from __future__ import annotations

from math import inf

import pytest

from buildlog.figures import units
from buildlog.figures.systems import (
    decimals_of,
    other_decimals,
    other_unit,
    system_of,
    to_other,
    write_rounded,
)


@pytest.mark.parametrize(
    ("value", "digits", "decimals"),
    [
        (0.0456, 2, 3), (0.0456, 1, 2), (1.0, 2, 1), (5.64, 3, 2), (123.4, 4, 1), (123.4, 2, -1),
        (-0.2, 2, 2),
        # what rounds up to the next power of ten has its digits already
        (9.96, 2, 0), (99.6, 3, 1), (0.0996, 2, 2), (9.94, 2, 1),
        (0.0, 2, 1), (0.0, 1, 0), (inf, 3, 2),
    ],
)  # fmt: skip
def test_decimals_of_significant_digits(value: float, digits: int, decimals: int) -> None:
    assert decimals_of(value, digits) == decimals


@pytest.mark.parametrize(
    ("step", "decimals"),
    # 5.2 to one digit is 5, whose last digit is 1: one decimal more where that is over three of the author's
    [(0.0, 0), (0.34, 0), (0.32, 1), (0.1, 1)],
)
def test_one_decimal_more_where_the_last_digit_would_be_too_coarse(step: float, decimals: int) -> None:
    assert decimals_of(5.2, 1, step) == decimals


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (84.0, -1, "80"),
        (86.0, -1, "90"),
        (850.0, -2, "800"),
        (84.26, 1, "84.3"),
        (84.4, 0, "84"),
        (-86, -1, "−90"),
    ],
)
def test_rounded_to_decimals_or_to_tens(value: float, decimals: int, text: str) -> None:
    assert write_rounded(value, decimals) == text


@pytest.mark.parametrize(
    ("own", "other", "largest", "decimals", "expected"),
    [
        ("km/h", "mph", 201.3, 1, 1),  # 125.1 mph: four digits of each
        ("km/h", "mph", 95.0, 1, 1),  # 59.0 mph: three
        ("km/h", "mph", 0.04, 1, 3),  # 0.025 mph: never less than two
        ("N·m", "lb·ft", 165.0, 0, 0),  # 122 lb·ft
        ("mm", "in", 12.0, 0, 2),  # 0.47 in
        ("°C", "°F", 95.0, 1, 1),  # a degree of either is about as fine
    ],
)
def test_decimals_of_a_column_in_the_other_unit(
    own: str, other: str, largest: float, decimals: int, expected: int
) -> None:
    assert other_decimals(largest, decimals, units.find(own), units.find(other)) == expected


def test_the_other_unit_of_a_figure() -> None:
    speed = units.find("km/h")
    other = other_unit(speed)
    assert other is not None
    assert other.symbol == "mph"
    assert to_other(160.9344, speed, other) == pytest.approx(100)
    assert (system_of(speed), system_of(other)) == ("metric", "us")
    assert other_unit(units.find("s")) is None
    assert system_of(units.find("s")) == ""
