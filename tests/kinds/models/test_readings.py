"""Statistics of readings against NIST's certified values, the Guide's examples and scipy.stats."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import inf, nan, sqrt
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buildlog.diagnostics import OutOfRange
from buildlog.kinds.models import readings
from buildlog.kinds.models.readings import Sample
from tests.house import ROOT

NIST = ROOT / "tests" / "data" / "nist"


@cache
def columns(name: str, first_line: int) -> list[list[float]]:
    """The columns of numbers of one of NIST's files, from a line that its head names."""
    lines = (NIST / name).read_text(encoding="ascii").splitlines()[first_line - 1 :]
    rows = [[float(cell) for cell in line.split()] for line in lines if line.strip() and line[0] != "#"]
    return [list(column) for column in zip(*rows, strict=True)]


def of_instrument(name: str, number: int) -> list[float]:
    instruments, values = columns(name, 61)
    return [value for which, value in zip(instruments, values, strict=True) if which == number]


# --- a sample ---------------------------------------------------------------------------------------------


def test_michelsons_speeds_of_light() -> None:
    # NIST StRD, Michelso: certified mean 299.852400000000 (exact), s = 0.0790105478190518 and the
    # autocorrelation at lag one 0.535199668621283.
    (values,) = columns("Michelso.txt", 1)
    sample = readings.sample_of(values)
    assert sample.count == 100
    assert sample.mean == pytest.approx(299.8524, rel=1e-15)
    assert sample.deviation == pytest.approx(0.0790105478190518, rel=1e-12)
    assert readings.autocorrelation(values, 1) == pytest.approx([1.0, 0.535199668621283], rel=1e-12)


@pytest.mark.parametrize("size, figures", [(1e6, 9), (1e7, 8)])
def test_readings_that_differ_in_their_last_digits(size: float, figures: int) -> None:
    # NIST StRD, NumAcc3 and NumAcc4 (heads of the files as others quote them, read): 1001 values, 1000000.2
    # and then 1000000.1 and 1000000.3 by turns (10000000.2 …); certified mean as the first value, s = 0.1 and
    # r(1) = −0.999, all exact. The values themselves have no more than so many figures of their differences
    # left in binary.
    values = [size + 0.2] + [size + 0.1, size + 0.3] * 500
    sample = readings.sample_of(values)
    assert sample.mean == pytest.approx(size + 0.2, rel=1e-15)
    assert sample.deviation == pytest.approx(0.1, rel=10.0**-figures)
    assert readings.autocorrelation(values, 1)[1] == pytest.approx(-0.999, rel=10.0**-figures)


@pytest.mark.parametrize(
    "name, freedom, within",
    # NIST StRD: AtmWtAg, within instruments 46 degrees of freedom and mean square 2.28155932971014E-10, with
    # seven constant leading digits; SiRstv, 20 and 1.08318280000000E-02.
    [("AtmWtAg.dat", 46, 2.28155932971014e-10), ("SiRstv.dat", 20, 1.08318280000000e-02)],
)
def test_mean_squares_within_instruments(name: str, freedom: int, within: float) -> None:
    instruments = sorted({int(one) for one in columns(name, 61)[0]})
    samples = [readings.sample_of(of_instrument(name, number)) for number in instruments]
    squares = sum(sample.freedom * sample.deviation**2 for sample in samples)
    assert sum(sample.freedom for sample in samples) == freedom
    assert squares / freedom == pytest.approx(within, rel=1e-9)


def test_the_f_statistic_of_two_instruments_is_the_square_of_the_difference() -> None:
    # NIST StRD, AtmWtAg: F = 15.9467335677930 with 1 and 46 degrees of freedom. With as many readings of
    # both, Welch's difference over its standard uncertainty is √F.
    before, after = (readings.sample_of(of_instrument("AtmWtAg.dat", number)) for number in (1, 2))
    compared = readings.welch(before, after)
    assert (compared.difference / compared.standard) ** 2 == pytest.approx(15.9467335677930, rel=1e-8)
    assert compared.shows


numbers = st.floats(-1e6, 1e6)


@given(st.lists(numbers, min_size=2, max_size=60))
def test_a_sample_by_numpy(values: list[float]) -> None:
    sample = readings.sample_of(values)
    assert sample.mean == pytest.approx(np.mean(values), rel=1e-12, abs=1e-9)
    assert sample.deviation == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-9)


def test_the_interval_of_a_sample_by_scipy() -> None:
    values = [9.81, 9.79, 9.83, 9.80]
    sample = readings.sample_of(values)
    # scipy.stats.t.interval about the mean, with scipy.stats.sem for its scale.
    low, high = stats.t.interval(0.95, 3, loc=np.mean(values), scale=stats.sem(values))
    assert sample.mean - sample.half_width(0.95) == pytest.approx(low, rel=1e-9)
    assert sample.mean + sample.half_width(0.95) == pytest.approx(high, rel=1e-9)


# --- two samples ------------------------------------------------------------------------------------------


def test_degrees_of_freedom_of_the_guide() -> None:
    # JCGM 100:2008, H.1.6 and G.4.1 example (from memory, sure): relative standard uncertainties 0.25 %,
    # 0.57 % and 0.82 % of means of 10, 5 and 15 readings: 1.03 % together, and 19.0 degrees of freedom.
    parts = [(0.25, 9.0), (0.57, 4.0), (0.82, 14.0)]
    assert readings.effective_freedom(parts) == pytest.approx(19.0, abs=0.05)


def test_a_part_that_is_known_exactly_adds_degrees_of_freedom() -> None:
    # By hand: u² = 2, so that ν = 2² / (1/4 + 0) = 16.
    assert readings.effective_freedom([(1.0, 4), (1.0, inf)]) == pytest.approx(16)
    assert readings.effective_freedom([(1.0, inf)]) == inf
    assert readings.effective_freedom([]) == inf


def test_degrees_of_freedom_do_not_depend_on_the_unit() -> None:
    small = readings.effective_freedom([(1e-90, 4), (2e-90, 7)])
    assert small == pytest.approx(readings.effective_freedom([(1, 4), (2, 7)]))


@given(
    st.lists(numbers, min_size=2, max_size=30).filter(lambda values: np.std(values) > 1e-3),
    st.lists(numbers, min_size=2, max_size=30).filter(lambda values: np.std(values) > 1e-3),
)
def test_welch_by_scipy(before: list[float], after: list[float]) -> None:
    # scipy.stats.ttest_ind with equal_var=False: statistic, degrees of freedom, confidence interval.
    expected = stats.ttest_ind(after, before, equal_var=False)
    low, high = expected.confidence_interval(0.95)
    compared = readings.welch(readings.sample_of(before), readings.sample_of(after), 0.95)
    assert compared.freedom == pytest.approx(expected.df, rel=1e-6)
    assert 2 * compared.half_width == pytest.approx(high - low, rel=1e-6)
    assert compared.difference == pytest.approx((low + high) / 2, rel=1e-6, abs=1e-6)
    # By the interval or by the statistic, but for what lies on the edge.
    if abs(expected.pvalue - 0.0455) > 1e-6:
        wide = readings.welch(readings.sample_of(before), readings.sample_of(after))
        assert wide.shows == (expected.pvalue < 0.0455)


def test_no_scatter_at_all_leaves_no_interval() -> None:
    compared = readings.welch(Sample(3, 7.0, 0.0), Sample(5, 7.5, 0.0))
    assert (compared.difference, compared.half_width, compared.freedom) == (0.5, 0.0, 2)
    assert compared.shows
    assert not readings.welch(Sample(3, 7.0, 0.0), Sample(5, 7.0, 0.0)).shows


# --- a line -----------------------------------------------------------------------------------------------


def test_calibration_of_ozone_monitors() -> None:
    # NIST StRD, Norris: certified estimates, their standard deviations, and the residual one.
    y, x = columns("Norris.dat", 61)
    line = readings.line_through(x, y)
    assert line.offset == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.offset_standard == pytest.approx(0.232818234301152, rel=1e-11)
    assert line.slope_standard == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert line.deviation == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.freedom == 34


def test_the_thermometer_of_the_guide() -> None:
    # JCGM 100:2008, H.3, readings and results as the manual of GTC has them (docs/API/GUM_H3.rst, read; s
    # from memory): corrections of a thermometer at 11 temperatures, t₀ = 20 °C. Intercept −0.1712 °C with
    # 0.0029 °C, slope 0.00218 with 0.00067, correlation −0.930, s = 0.0035 °C; at 30 °C −0.1494 °C with
    # 0.0041 °C.
    # fmt: off
    at = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    correction = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    # fmt: on
    line = readings.line_through([one - 20 for one in at], correction)
    assert line.offset == pytest.approx(-0.1712, abs=5e-5)
    assert line.offset_standard == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.slope_standard == pytest.approx(0.00067, abs=5e-6)
    assert line.covariance / (line.offset_standard * line.slope_standard) == pytest.approx(-0.930, abs=5e-4)
    assert line.deviation == pytest.approx(0.0035, abs=5e-5)
    assert line.at(10) == pytest.approx(-0.1494, abs=5e-5)
    assert line.standard_at(10) == pytest.approx(0.0041, abs=5e-5)


def test_a_line_by_scipy() -> None:
    maker = np.random.default_rng(12)
    x = maker.uniform(1000, 1010, 200)
    y = 3 - 0.2 * x + maker.normal(0, 0.1, 200)
    # scipy.stats.linregress: slope, intercept and their standard errors.
    expected = stats.linregress(x, y)
    line = readings.line_through(x, y)
    assert line.slope == pytest.approx(expected.slope, rel=1e-9)
    assert line.offset == pytest.approx(expected.intercept, rel=1e-9)
    assert line.slope_standard == pytest.approx(expected.stderr, rel=1e-9)
    assert line.offset_standard == pytest.approx(expected.intercept_stderr, rel=1e-9)


def test_points_on_a_line_leave_no_doubt() -> None:
    line = readings.line_through([0, 1, 2], [5, 7, 9])
    assert (line.slope, line.offset, line.deviation, line.standard_at(1)) == (2, 5, 0, 0)


# --- neighbours -------------------------------------------------------------------------------------------


@given(st.lists(numbers, min_size=4, max_size=60).filter(lambda values: np.std(values) > 1e-3))
def test_autocorrelation_by_its_sums(values: list[float]) -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12, r(k) = Σ (y(i) − ȳ)(y(i+k) − ȳ) over
    # Σ (y(i) − ȳ)², by numpy.correlate.
    off = np.asarray(values) - np.mean(values)
    sums = np.correlate(off, off, "full")[len(values) - 1 :]
    assert readings.autocorrelation(values, len(values) - 1) == pytest.approx(list(sums / sums[0]), abs=1e-9)


def remembering(memory: float, count: int, seed: int) -> np.ndarray:
    """Readings of which each keeps the share `memory` of the one before: standard deviation 1."""
    maker = np.random.default_rng(seed)
    fresh = maker.normal(0, sqrt(1 - memory**2), count)
    fresh[0] = maker.normal()
    values = np.empty(count)
    values[0] = fresh[0]
    for index in range(1, count):
        values[index] = memory * values[index - 1] + fresh[index]
    return values


@pytest.mark.parametrize("memory", [0.0, 0.5, 0.9])
def test_what_readings_with_a_memory_are_worth(memory: float) -> None:
    # Zhang, Metrologia 43 (2006) S276 (the sum as in suncal; 1 + 2 Σ φ^k by hand): of a first-order
    # autoregressive series a long row of n is worth n (1 − φ) / (1 + φ). Median of 40 seeded rows of 4000.
    counts = [readings.effective_count(remembering(memory, 4000, seed)) for seed in range(40)]
    assert np.median(counts) == pytest.approx(4000 * (1 - memory) / (1 + memory), rel=0.1)


def test_an_interval_of_what_they_are_worth_covers_the_mean() -> None:
    # 500 seeded rows of 400 with φ = 0.8: ± 2 u of the mean has to hold 0 in 95 % of them, and without the
    # effective count it holds it in some half.
    within = alone = 0
    for seed in range(500):
        values = remembering(0.8, 400, 1000 + seed)
        plain = readings.sample_of(values)
        sample = Sample(readings.effective_count(values), plain.mean, plain.deviation)
        within += abs(sample.mean) <= sample.half_width()
        alone += abs(plain.mean) <= plain.half_width()
    assert 0.90 <= within / 500 <= 0.98
    assert alone / 500 < 0.65


def test_alternating_readings_count_no_more_than_they_are() -> None:
    assert readings.effective_count([1.0, -1.0] * 50) == 100


def test_a_million_rows_do_not_take_for_ever() -> None:
    values = np.random.default_rng(3).normal(size=1_000_000)
    start = perf_counter()
    assert readings.effective_count(values) > 900_000
    assert perf_counter() - start < 20  # some two seconds; all lags one by one would take days


# --- what is refused --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "refused, said",
    [
        (lambda: readings.sample_of([1.0]), "2 readings or more"),
        (lambda: readings.sample_of([1.0, nan, 2.0]), "numbers only"),
        (lambda: readings.sample_of([1.0, inf]), "numbers only"),
        (lambda: readings.effective_freedom([(-1.0, 3)]), "0 or more"),
        (lambda: readings.effective_freedom([(1.0, 0)]), "more than 0"),
        (lambda: readings.welch(Sample(1, 2.0, 0.0), Sample(1, 3.0, 0.0)), "more than 0"),
        (lambda: readings.line_through([1, 2, 3, 4], [1, 2, 3]), "as many as x"),
        (lambda: readings.line_through([1, 2], [1, 2]), "3 readings or more"),
        (lambda: readings.line_through([2, 2, 2], [1, 2, 3]), "two different values"),
        (lambda: readings.line_through([1, 2, nan], [1, 2, 3]), "numbers only"),
        (lambda: readings.autocorrelation([1, 2, 3], 3), "fewer than there are readings"),
        (lambda: readings.autocorrelation([1, 2, 3], -1), "fewer than there are readings"),
        (lambda: readings.autocorrelation([7.1, 7.1, 7.1], 1), "readings that differ"),
        (lambda: readings.effective_count([1, 2, 3]), "4 readings or more"),
        (lambda: readings.effective_count([0.1] * 9), "readings that differ"),
    ],
)
def test_refused(refused: Callable[[], object], said: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        refused()
    assert said in str(caught.value)
