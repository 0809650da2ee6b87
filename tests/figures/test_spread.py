"""The forms of ± against the Guide (JCGM 100:2008) and scipy."""

from __future__ import annotations

from fractions import Fraction
from math import inf, sqrt
from statistics import mean, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buildlog.diagnostics import OutOfRange
from buildlog.figures import spread
from buildlog.figures.numbers import Unreadable
from buildlog.figures.values import parse_value

# NIST Technical Note 1297 (1994), table B.1, column 95.45 % (read; the same table as G.2 of JCGM 100:2008).
PRINTED = {
    **{1: 13.97, 2: 4.53, 3: 3.31, 4: 2.87, 5: 2.65, 6: 2.52, 7: 2.43, 8: 2.37, 9: 2.32, 10: 2.28},
    **{11: 2.25, 12: 2.23, 15: 2.18, 20: 2.13, 25: 2.11, 30: 2.09, 40: 2.06, 50: 2.05},
}


@pytest.mark.parametrize("freedom, printed", PRINTED.items())
def test_quantiles_of_the_guide(freedom: int, printed: float) -> None:
    assert spread.student_t(freedom) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("freedom", [*range(1, 30), 99, 100, 999])
def test_quantiles_of_scipy(freedom: int) -> None:
    # scipy.stats.t.ppf, an independent implementation (the incomplete beta function).
    assert spread.student_t(freedom) == pytest.approx(stats.t.ppf(0.5 + 0.9545 / 2, freedom), rel=1e-9)


@pytest.mark.parametrize("coverage", [0.5, 0.68, 0.95, 0.9545, 0.99, 0.99999])
@pytest.mark.parametrize("freedom", [1, 1.01, 1.5, 2.7, 16.0, 19.04, 333.3, 9_999, 10_001, 3e6, 1e12])
def test_fractions_of_a_degree_of_freedom_by_scipy(freedom: float, coverage: float) -> None:
    # scipy.stats.t.ppf takes degrees of freedom that are not whole; scipy 1.17.
    expected = stats.t.ppf(0.5 + coverage / 2, freedom)
    assert spread.student_t(freedom, coverage) == pytest.approx(expected, rel=2e-9)


def test_endlessly_many_degrees_of_freedom_are_the_normal_distribution() -> None:
    # NIST Technical Note 1297 (1994), table B.1, last line: 95 %, 95.45 % and 99 %.
    printed = [(0.95, 1.960), (0.9545, 2.000), (0.99, 2.576)]
    for coverage, expected in printed:
        assert spread.student_t(inf, coverage) == pytest.approx(expected, abs=0.0005)


@pytest.mark.parametrize("freedom", [0, 0.99, -1, float("nan")])
def test_no_interval_of_less_than_one_degree_of_freedom(freedom: float) -> None:
    with pytest.raises(OutOfRange, match="1 degree of freedom or more"):
        spread.student_t(freedom)


@pytest.mark.parametrize("coverage", [0.0, 0.49, 0.999995, 1.0, float("nan")])
def test_no_interval_that_covers_nothing_or_all(coverage: float) -> None:
    with pytest.raises(OutOfRange, match=r"0\.5 to 0\.99999"):
        spread.student_t(5, coverage)


def test_the_temperatures_of_the_guide() -> None:
    # JCGM 100:2008, 4.4.3 and table 1: 20 observations of a temperature, mean 100.14 °C, s = 1.489 °C,
    # s/√n = 0.33 °C (from memory, sure: the printed mean and s are reproduced by the readings).
    readings = [
        96.90,
        98.18,
        98.25,
        98.61,
        99.03,
        99.49,
        99.56,
        99.74,
        99.89,
        100.07,
        100.33,
        100.42,
        100.68,
        100.95,
        101.11,
        101.20,
        101.57,
        101.84,
        102.36,
        102.72,
    ]
    middle, deviation = spread.mean_and_deviation(readings)
    assert middle == pytest.approx(100.145, abs=0.0051)
    assert deviation == pytest.approx(1.489, abs=0.0005)
    assert deviation / sqrt(20) == pytest.approx(0.333, abs=0.0005)


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=40))
def test_mean_and_deviation_of_the_standard_library(readings: list[float]) -> None:
    middle, deviation = spread.mean_and_deviation(readings)
    assert middle == pytest.approx(mean(readings), rel=1e-9, abs=1e-6)
    assert deviation == pytest.approx(stdev(readings), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("count", [2, 3, 5, 10])
def test_twice_the_uncertainty_of_few_readings_is_the_interval_of_scipy(count: int) -> None:
    # scipy.stats.t.interval of 95.45 % about the mean, with scale s/√n.
    low, high = stats.t.interval(0.9545, count - 1, loc=0, scale=0.4 / sqrt(count))
    assert 2 * spread.of_readings(0.4, count) == pytest.approx((high - low) / 2, rel=1e-9)


@pytest.mark.parametrize(
    "uncertainty, decimals",
    [
        # JCGM 100:2008, 7.2.6 (read, as a calibration program's notes quote it): 10.47 mΩ is given as 11 mΩ,
        # 28.05 kHz as 28 kHz, and of 27 mΩ all digits.
        (10.47, 0),
        (28.05, 0),
        (0.027, 3),
        (0.35, 2),
        (123, -1),
        (0.0996, 2),
        (99.6, -1),
        (9.96, 0),
        (1.0, 1),
        (0.00079, 5),
    ],
)
def test_two_digits(uncertainty: float, decimals: int) -> None:
    assert spread.decimals_of_uncertainty(uncertainty) == decimals


def test_a_value_goes_to_the_place_of_its_uncertainty() -> None:
    # JCGM 100:2008, 7.2.6 (read as quoted): y = 10.057 62 Ω with 27 mΩ is 10.058 Ω.
    assert spread.rounded(10.05762, spread.decimals_of_uncertainty(0.027)) == 10.058


@given(st.floats(1e-12, 1e12))
def test_two_digits_always(uncertainty: float) -> None:
    shown = spread.rounded(uncertainty, spread.decimals_of_uncertainty(uncertainty))
    digits = f"{shown:.12e}".split("e")[0].replace(".", "").rstrip("0")
    assert len(digits) <= 2
    assert shown == pytest.approx(uncertainty, rel=0.051)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_no_digits_of_what_is_no_uncertainty(bad: float) -> None:
    with pytest.raises(OutOfRange):
        spread.decimals_of_uncertainty(bad)


@pytest.mark.parametrize("count", [0, 1, spread.MOST_READINGS + 1])
def test_too_few_and_too_many_readings(count: int) -> None:
    with pytest.raises(OutOfRange):
        spread.mean_and_deviation([1.0] * count)


@pytest.mark.parametrize(
    "text, expected, shape",
    [
        # JCGM 100:2008, 4.3.7: limits of half-width a, u² = a²/3; 4.3.9: triangular, u² = a²/6.
        ("12.0 kg ± 0.5 kg limits", 0.5 / sqrt(3), "rectangular"),
        ("12.0 ± 0.5 kg (limits)", 0.5 / sqrt(3), "rectangular"),
        ("12.0 kg ± 5 % limits", 0.6 / sqrt(3), "rectangular"),
        ("(96 ± 2) % limits", 2 / sqrt(3), "rectangular"),
        ("12.0 kg ± 0.5 kg triangular", 0.5 / sqrt(6), "triangular"),
        ("12.0 kg ± 0.5 kg", 0.5, "normal"),
        # 4.2.3 and G.3.2: s/√n, times t/2.
        ("154.0 ± 0.4 kg (s of 5 readings)", 0.4 / sqrt(5) * 2.869315 / 2, "normal"),
        ("154.0 ± 0.4 kg (s of 2)", 0.4 / sqrt(2) * 13.967811 / 2, "normal"),
    ],
)
def test_what_stands_after_the_uncertainty(text: str, expected: float, shape: str) -> None:
    written = parse_value(text)
    assert float(written.standard_uncertainty or 0) == pytest.approx(expected, rel=1e-6)
    assert written.shape == shape
    assert written.unit in ("kg", "%")


def test_an_example_of_limits_of_the_guide() -> None:
    # JCGM 100:2008, 4.3.7, example 1: a handbook gives 16.52·10⁻⁶ °C⁻¹ and “the error should not exceed
    # 0.40·10⁻⁶ °C⁻¹”: u = 0.40/√3 = 0.23 of it (as an examination on the guide quotes it, read).
    written = parse_value("16.52 ± 0.40 limits")
    assert float(written.standard_uncertainty or 0) == pytest.approx(0.23, abs=0.005)


def test_nothing_after_plus_minus_is_exact() -> None:
    written = parse_value("12.0 kg ± 0 kg")
    assert written.uncertainty == 0
    assert written.standard_uncertainty == Fraction(0)


@pytest.mark.parametrize(
    "text, said",
    [
        ("12 kg limits", "an uncertainty"),
        ("12 ± 0.5 kg (s of 1 readings)", "2 to 1000 readings"),
        ("12 ± 0.5 kg (s of five)", "2 to 1000 readings"),
        ("12 ± 0.5 kg (s of 9999)", "(s of 5 readings)"),
    ],
)
def test_refused(text: str, said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        parse_value(text)
    assert said in f"{caught.value.expected} {caught.value.help}"


@pytest.mark.parametrize(
    ("uncertainty", "decimals", "place"),
    # The value's last place rules, unless nothing would be left: 0.09 beside 0.90, and 0.30 beside 11.
    [(0.090, 2, 2), (2.7, 0, 0), (0.3, 0, 2), (480.0, 0, -1), (0.0123, 5, 3)],
)
def test_an_uncertainty_has_no_more_decimals_than_the_value(
    uncertainty: float, decimals: int, place: int
) -> None:
    """JCGM 100:2008, 7.2.6 (as quoted): the value and its uncertainty end at the same place."""
    assert spread.place_beside(uncertainty, decimals) == place
