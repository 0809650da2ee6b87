"""The normalised error of two values, ISO 13528, En score (NIST, Dataplot, read), and how it is written."""

from __future__ import annotations

from math import inf, nan

import pytest

from buildlog.diagnostics import OutOfRange
from buildlog.figures.comparison import (
    normalised_error,
    signed_normalised_error,
    within_uncertainty,
    write_error,
)


def test_the_normalised_error_is_the_difference_over_its_uncertainty() -> None:
    assert signed_normalised_error(-3.0, 1.5) == -2.0
    assert normalised_error(-3.0, 1.5) == 2.0
    assert signed_normalised_error(0.0, 1.5) == 0.0


@pytest.mark.parametrize(
    ("difference", "expanded"), [(1, 0), (1, -1), (1, inf), (1, nan), (nan, 1), (inf, 1)]
)
def test_no_error_without_an_uncertainty(difference: float, expanded: float) -> None:
    with pytest.raises(OutOfRange):
        normalised_error(difference, expanded)


@pytest.mark.parametrize(
    ("error", "agrees"),
    [(0.0, True), (1.0, True), (-1.0, True), (1 + 5e-10, True), (1 + 1e-8, False), (-1.2, False)],
)
def test_two_values_agree_up_to_an_error_of_one(error: float, agrees: bool) -> None:
    assert within_uncertainty(error) == agrees


@pytest.mark.parametrize(
    ("error", "text"),
    [
        (0.0, "0.00"), (0.004, "0.00"), (0.5, "+0.50"), (-0.5, "−0.50"), (1.0, "+1.00"),
        # on its own side of 1
        (1.001, "+1.001"), (-1.00004, "−1.00004"), (0.999, "+1.00"),
        (9.994, "+9.99"), (10.0, "+10.0"), (12.34, "+12.3"), (100.0, "+100"), (-123.4, "−123"),
    ],
)  # fmt: skip
def test_an_error_is_written_so_that_its_side_of_one_shows(error: float, text: str) -> None:
    assert write_error(error) == text
