"""Formulae of repeated readings against scipy, published tables and the Guide."""

from __future__ import annotations

from math import sqrt
from typing import get_type_hints

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buildlog.diagnostics import OutOfRange
from buildlog.figures.spread import student_t
from buildlog.formulae.formula import formula_of
from buildlog.kinds.models import readings
from buildlog.physics import repeated
from buildlog.physics.repeated import Readings

numbers = st.floats(-1e4, 1e4)


@given(st.lists(numbers, min_size=2, max_size=30))
def test_mean_and_deviation_by_numpy(values: list[float]) -> None:
    taken, count = Readings(values), len(values)
    assert repeated.mean(taken, count) == pytest.approx(np.mean(values), rel=1e-12, abs=1e-9)
    assert repeated.deviation(taken, count) == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    "count, printed",
    # Chemistry LibreTexts, Analytic references, appendix 7 (read), one outlier, 5 % for both sides;
    # n = 20 is of ISO 5725-2:1994, table 5 (from memory).
    [(3, 1.155), (4, 1.481), (5, 1.715), (6, 1.887), (8, 2.126), (10, 2.290), (15, 2.549), (20, 2.709)],
)
def test_outliers_by_the_printed_table(count: int, printed: float) -> None:
    t = student_t(count - 2, 1 - 0.05 / count)
    assert repeated.outlier_limit(count, t) == pytest.approx(printed, abs=0.001)


def test_one_sample_in_twenty_has_a_suspect_by_chance() -> None:
    # 4000 seeded samples of 8 normal readings by numpy.
    limit = repeated.outlier_limit(8, student_t(6, 1 - 0.05 / 8))
    samples = np.random.default_rng(5).normal(size=(4000, 8))
    off = np.abs(samples - samples.mean(axis=1, keepdims=True)).max(axis=1) / samples.std(axis=1, ddof=1)
    assert np.mean(off > limit) == pytest.approx(0.05, abs=0.01)


def test_twice_the_standard_uncertainty_is_the_interval_of_scipy() -> None:
    values = [12.1, 12.4, 12.0, 12.2]
    s = repeated.deviation(Readings(values), 4)
    low, high = stats.t.interval(0.9545, 3, loc=np.mean(values), scale=stats.sem(values))
    assert 2 * repeated.standard_of_mean(s, 4, student_t(3)) == pytest.approx((high - low) / 2, rel=1e-9)


def test_the_difference_by_scipy() -> None:
    # scipy.stats.ttest_ind, equal_var=False: degrees of freedom and the interval of 95.45 %.
    before, after = [12.1, 12.4, 12.0, 12.2], [11.6, 11.9, 11.3]
    expected = stats.ttest_ind(after, before, equal_var=False)
    low, high = expected.confidence_interval(0.9545)
    spread = (
        repeated.deviation(Readings(before), 4),
        4,
        repeated.deviation(Readings(after), 3),
        3,
    )
    freedom = repeated.freedom_of_change(*spread)
    assert freedom == pytest.approx(expected.df, rel=1e-9)
    u = repeated.standard_of_change(*spread, student_t(freedom))
    assert 4 * u == pytest.approx(high - low, rel=1e-9)
    # And as the statistics that other kinds use have it.
    compared = readings.welch(readings.sample_of(before), readings.sample_of(after))
    assert (compared.freedom, compared.half_width) == pytest.approx((freedom, 2 * u), rel=1e-12)


def test_a_step_of_an_indication() -> None:
    # JCGM 100:2008, F.2.2.1: a resolution δx contributes u = 0.29 δx.
    assert repeated.standard_of_rounding(1.0) == pytest.approx(0.29, abs=0.005)


def test_a_correction_and_a_change() -> None:
    assert repeated.corrected(12.0, -0.1) == pytest.approx(11.9)  # by hand
    assert repeated.change(before=12.0, after=11.5) == -0.5  # by hand


def test_a_formula_in_the_unit_of_the_readings() -> None:
    in_seconds = repeated.in_unit(repeated.standard_of_mean, "s", "deviation")
    hints = get_type_hints(in_seconds, include_extras=True)
    assert [hints[name].__metadata__[1] for name in ("deviation", "count", "t", "return")] == [
        "s",
        "1",
        "1",
        "s",
    ]
    assert in_seconds(0.4, 4, 2.0) == repeated.standard_of_mean(0.4, 4, 2.0) == 0.2
    assert "√" in formula_of(in_seconds).text()
    filled = formula_of(in_seconds).filled_text({"deviation": 0.4, "count": 4, "t": 2}, 0.2)
    assert filled.replace("\u00a0", " ").endswith("0.2 s")
    assert in_seconds is repeated.in_unit(repeated.standard_of_mean, "s", "deviation")


@pytest.mark.parametrize(
    "formula, arguments",
    [
        (repeated.mean, (Readings(), 0)),
        (repeated.mean, (Readings([1.0, 2.0]), 3)),
        (repeated.deviation, (Readings([1.0]), 1)),
        (repeated.standard_of_mean, (-0.1, 3, 2)),
        (repeated.standard_of_mean, (0.1, 0, 2)),
        (repeated.standard_of_mean, (0.1, 3, 0)),
        (repeated.standard_of_rounding, (0,)),
        (repeated.freedom_of_change, (0, 3, 0, 3)),
        (repeated.freedom_of_change, (1, 1, 1, 3)),
        (repeated.freedom_of_change, (1, 3, 1, 1)),
        (repeated.freedom_of_change, (-1, 3, 1, 3)),
        (repeated.standard_of_change, (1, 3, -1, 3, 2)),
        (repeated.standard_of_change, (1, 3, 1, 3, 0)),
        (repeated.outlier_limit, (2, 2)),
        (repeated.outlier_limit, (5, 0)),
    ],
)
def test_refused(formula, arguments: tuple[object, ...]) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange):
        formula(*arguments)


def test_readings_far_from_nothing_keep_their_last_digits() -> None:
    # By hand: 1e12 + 0.25 and + 0.75, exact in binary.
    taken = Readings([1e12 + 0.25, 1e12 + 0.75])
    assert repeated.mean(taken, 2) == 1e12 + 0.5
    assert repeated.deviation(taken, 2) == pytest.approx(0.5 / sqrt(2))
