"""Every formula refuses what its docstring says lies outside its range, and takes the ends of it.

What one term may be by another (`d up to 0.45 D`) is left to the formula's own tests.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf, pi
from typing import Any

import pytest

from buildlog.diagnostics import Refused
from tests.physics.told import NOT_NEGATIVE, POSITIVE, Case, Range, cases, ranges_told


def _refused(case: Case, name: str, value: float) -> str:
    """The name of what is refused, which may be another term whose range rests on this one."""
    try:
        case.function(**case.usual | {name: value})
    except Refused as refused:
        return refused.name
    except ArithmeticError:
        return ""
    return ""


def _questions() -> Iterator[Any]:
    for address, case in cases().items():
        for name, told in case.told.items():
            yield pytest.param(case, name, told, id=f"{address}-{name}")


_PRINTED = 1e-5
"""Relative: a declared formula tells its range to six digits, 4π as 12.5664."""


def _beyond(bound: float, way: int) -> float:
    return bound + way * max(0.004 * abs(bound), 1e-6)


@pytest.mark.parametrize(("case", "name", "told"), list(_questions()))
def test_a_formula_keeps_to_the_range_that_it_tells(case: Case, name: str, told: Range) -> None:
    if not isinf(told.low):
        assert _refused(case, name, _beyond(told.low, -1)), f"{_beyond(told.low, -1)} is below the range"
        at_end = _refused(case, name, told.low + _PRINTED * abs(told.low))
        assert at_end if told.open else at_end != name, f"{told.low} is the lower end"
    if not isinf(told.high):
        assert _refused(case, name, _beyond(told.high, 1)), f"{_beyond(told.high, 1)} is above the range"
        assert _refused(case, name, told.high - _PRINTED * abs(told.high)) != name, (
            f"{told.high} is the upper end"
        )


def test_most_formulae_are_asked() -> None:
    assert sum(len(case.told) for case in cases().values()) > 800


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("both positive.", {"x": POSITIVE, "y": POSITIVE}),
        ("x from 20° to 90°, y zero or more.", {"x": Range(pi / 9, pi / 2), "y": NOT_NEGATIVE}),
        (
            "x above 0 to 4π; y −1000 to 11 000 m.",
            {"x": Range(0, 4 * pi, open=True), "y": Range(-1000, 11000)},
        ),
        ("x and y 1 to 5/3.", {"x": Range(1, 5 / 3), "y": Range(1, 5 / 3)}),
        ("x 0 to 0.3 y, y positive.", {"y": POSITIVE}),
        ("x up to 2; others zero or more.", {"x": Range(high=2.0), "y": NOT_NEGATIVE}),
        ("all positive, x up to 0.5.", {"x": Range(0.0, 0.5, open=True), "y": POSITIVE}),
        ("x from 2, y 3 or more.", {"x": Range(2.0), "y": Range(3.0)}),
        ("any.", {}),
    ],
)
def test_ranges_in_words(text: str, told: dict[str, Range]) -> None:
    assert ranges_told(f"What.\n\nRange: {text} Source: it.", {"x": "x", "y": "y"}) == told
