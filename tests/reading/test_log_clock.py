"""Times of day as loggers write them. Days by Python's proleptic Gregorian ordinal."""

from __future__ import annotations

from datetime import date

import pytest

from buildlog.reading.log_clock import DAY_FIRST, MONTH_FIRST, clock_time

DAY = date(2026, 4, 3).toordinal() * 86400.0


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("00:00:00", 0.0), ("1:02:03", 3723.0), ("23:59:59", 86399.0), ("10:00:00.25", 36000.25),
        ("10:00:00,25", 36000.25), ("10:00:60", 36060.0),  # a leap second
        ("12:00:00 AM", 0.0), ("12:30:00 pm", 45000.0), ("1:00:00PM", 46800.0), ("11:00:00 am", 39600.0),
        # a clock east of Greenwich shows later hours
        ("10:00:00Z", 36000.0), ("10:00:00+02:00", 28800.0), ("10:00:00-0130", 41400.0),
        ("10:00:00+0530", 16200.0),
    ],
)  # fmt: skip
def test_a_time_without_a_date(cell: str, seconds: float) -> None:
    assert clock_time(cell) == pytest.approx(seconds)


@pytest.mark.parametrize(
    ("cell", "order"),
    [
        ("2026-04-03 00:00:10", ""), ("2026/04/03T00:00:10", ""), ("2026.04.03 00:00:10", ""),
        ("03-Apr-2026 00:00:10", ""), ("3/apr/2026 00:00:10", ""), ("03.APR.2026 00:00:10", ""),
        ("03/04/2026 00:00:10", DAY_FIRST), ("3.4.2026  00:00:10", DAY_FIRST),
        ("04/03/2026 00:00:10", MONTH_FIRST), ("4-3-2026 00:00:10", MONTH_FIRST),
    ],
)  # fmt: skip
def test_a_time_with_its_date(cell: str, order: str) -> None:
    assert clock_time(cell, order) == pytest.approx(DAY + 10.0, abs=1e-6)


def test_every_month_by_name() -> None:
    names = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
    for month, name in enumerate(names, start=1):
        assert clock_time(f"03-{name}-2026 00:00:00") == date(2026, month, 3).toordinal() * 86400.0


@pytest.mark.parametrize(
    "cell",
    [
        "", "10:00", "24:00:00", "10:60:00", "10:00:61", "13:00:00 PM", "0:00:00 AM", "10:00:00 XM", "ten",
        "03/04/2026 10:00:00",  # nobody can tell which is the day
        "2026-02-29 10:00:00", "2026-13-01 10:00:00", "03-Foo-2026 10:00:00", "-10:00:00",
    ],
)  # fmt: skip
def test_what_is_no_time(cell: str) -> None:
    assert clock_time(cell) is None


def test_a_date_that_there_is_not_in_that_order() -> None:
    assert clock_time("13/04/2026 10:00:00", MONTH_FIRST) is None
    assert clock_time("13/04/2026 10:00:00", DAY_FIRST) is not None


def test_a_date_with_a_named_month_may_have_blanks() -> None:
    """Nobody can take the day for the month there."""
    expected = clock_time("2026-04-03 10:00:00")
    assert expected is not None
    assert clock_time("3 Apr 2026 10:00:00") == expected
    assert clock_time("03 apr 2026T10:00:00") == expected
    assert clock_time("3 Foo 2026 10:00:00") is None
    assert clock_time("3 4 2026 10:00:00", DAY_FIRST) is None
