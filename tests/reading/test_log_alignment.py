"""Times of a log brought into order, by hand."""

from __future__ import annotations

from array import array
from math import isnan, nan

import pytest

from buildlog.reading.log_alignment import at_times, smallest_step, spans_of, spread_repeated


@pytest.mark.parametrize(
    ("times", "spread"),
    [
        ([], []),
        ([5.0], [5.0]),
        ([0.0, 1.0, 2.0], [0.0, 1.0, 2.0]),
        # a clock of whole seconds, two rows each: halves; the last ones go on so
        ([0.0, 0.0, 1.0, 1.0, 2.0, 2.0], [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]),
        ([0.0, 0.0, 0.0, 0.0, 2.0], [0.0, 0.5, 1.0, 1.5, 2.0]),
        ([0.0, 3.0, 3.0, 3.0], [0.0, 3.0, 6.0, 9.0]),
        ([7.0, 7.0], [7.0, 7.0]),
    ],
)
def test_rows_that_share_a_time(times: list[float], spread: list[float]) -> None:
    assert list(spread_repeated(array("d", times))) == pytest.approx(spread)


@pytest.mark.parametrize(
    ("gap", "spans"),
    [
        (0.0, [range(0, 6)]),
        (1.0, [range(0, 3), range(3, 5), range(5, 6)]),  # a step of the gap itself is none
        (0.9, [range(0, 1), range(1, 2), range(2, 3), range(3, 4), range(4, 5), range(5, 6)]),
        (5.0, [range(0, 5), range(5, 6)]),
        (99.0, [range(0, 6)]),
    ],
)
def test_stretches_between_gaps(gap: float, spans: list[range]) -> None:
    assert list(spans_of([0.0, 1.0, 2.0, 5.0, 6.0, 12.0], gap)) == spans


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([1.0, 1.0, 1.5, 1.25, 3.0], 0.25), ([1.0, nan, 1.5], 0.5), ([nan, 1.0, nan, 1.0], 0.0), ([], 0.0),
        ([2.0], 0.0), ([3.0, 1.0], 2.0),
    ],
)  # fmt: skip
def test_the_smallest_step(values: list[float], step: float) -> None:
    assert smallest_step(values) == step


def test_readings_at_other_times_lie_on_straight_lines() -> None:
    found = at_times([-1.0, 0.0, 0.5, 1.0, 2.5, 4.0, 5.0], [0.0, 1.0, 4.0], [10.0, 20.0, 50.0], 0.0)
    assert isnan(found[0])
    assert list(found[1:6]) == pytest.approx([10.0, 15.0, 20.0, 35.0, 50.0])
    assert isnan(found[6])


def test_nothing_is_read_within_a_gap() -> None:
    found = at_times([0.5, 1.0, 2.5, 4.0], [0.0, 1.0, 4.0], [10.0, 20.0, 50.0], 2.9)
    assert [found[0], found[1], found[3]] == pytest.approx([15.0, 20.0, 50.0])
    assert isnan(found[2])
    assert list(at_times([2.5], [1.0, 4.0], [20.0, 50.0], 3.0)) == pytest.approx([35.0])
