"""How far a value may be off, in numbers: intervals of few readings, and the digits that a doubt leaves."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, floor, fsum, isfinite, lgamma, log, log1p, log10, sqrt
from statistics import NormalDist

from buildlog.diagnostics import OutOfRange

COVERAGE = 0.9545
"""What a normal distribution has within two standard deviations (JCGM 100:2008, table G.1)."""
SIGNIFICANT = 2
"""As many digits as an uncertainty is given (JCGM 100:2008, 7.2.6)."""
MOST_READINGS = 1000
_HALVINGS = 60
_MANY = 1e4
"""Degrees of freedom from which the expansion leaves less than 1e-15."""
_MOST_COVERAGE = 0.99999
_MOST_TERMS = 2000
_CONVERGED = 1e-15


def decimals_of_uncertainty(uncertainty: float) -> int:
    """The decimals with which an uncertainty has two significant digits: 2 of 0.1234, 1 of 3.98 (which is
    4.0), −1 of 123. A value is given to the same place (JCGM 100:2008, 7.2.6)."""
    if not (isfinite(uncertainty) and uncertainty > 0):
        raise OutOfRange("uncertainty", f"{uncertainty:g}", "a finite uncertainty above 0")
    decimals = SIGNIFICANT - 1 - floor(log10(uncertainty))
    # 0.0996 becomes 0.100 by rounding, which has a digit too many.
    if rounded(uncertainty, decimals) >= 10.0 ** (SIGNIFICANT - decimals):
        decimals -= 1
    return decimals


def place_beside(uncertainty: float, decimals: int) -> int:
    """The decimals of an uncertainty beside a value that is shown with so many: no more than the value has,
    unless nothing would be left of it."""
    place = decimals_of_uncertainty(uncertainty)
    kept = min(place, decimals)
    return kept if rounded(uncertainty, kept) else place


def rounded(value: float, decimals: int) -> float:
    """A value rounded to a decimal place; to tens and hundreds where `decimals` is below zero."""
    return float(round(value, decimals))


def mean_and_deviation(readings: Sequence[float]) -> tuple[float, float]:
    """The mean of readings and their experimental standard deviation s (JCGM 100:2008, 4.2.1 and 4.2.2)."""
    count = len(readings)
    _countable(count)
    mean = fsum(readings) / count
    return mean, sqrt(fsum((one - mean) ** 2 for one in readings) / (count - 1))


def _countable(count: int) -> None:
    if not 2 <= count <= MOST_READINGS:
        raise OutOfRange("readings", f"{count} of them", f"2 to {MOST_READINGS} readings")


def of_readings(deviation: float, count: int) -> float:
    """The standard uncertainty of a mean of readings, widened so that twice of it is the t interval.

    u = s / √n (JCGM 100:2008, 4.2.3) is too small for few readings, whose s is itself hardly known. With
    t₉₅(ν) / 2 times that, ν = n − 1, ± 2 u is the interval of 95.45 % (G.3.2 and table G.2). Of 3 readings it
    is 2.3 times as wide, of 10 1.2 times.
    """
    _countable(count)
    return deviation / sqrt(count) * student_t(count - 1) / 2


@lru_cache(maxsize=4096)
def student_t(freedom: float, coverage: float = COVERAGE) -> float:
    """t for which Student's distribution has the share `coverage` within ±t.

    Degrees of freedom need not be whole: those of Welch and Satterthwaite are not (JCGM 100:2008, G.4.1), nor
    are those of readings that hang together. With infinitely many it is the normal distribution.

    In words: found by halving, of A(t, ν) = 1 − I(x; ν/2, 1/2) with x = ν / (ν + t²), I being the incomplete
    beta function; from 10 000 degrees of freedom up by the expansion in powers of 1/ν.
    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.1 and 26.7.5 (from memory; the
    values agree with table B.1 of NIST Technical Note 1297, which is table G.2 of JCGM 100:2008).
    """
    if not freedom >= 1:
        raise OutOfRange("freedom", f"{freedom:g}", "1 degree of freedom or more")
    if not 0.5 <= coverage <= _MOST_COVERAGE:
        raise OutOfRange("coverage", f"{coverage:g}", f"0.5 to {_MOST_COVERAGE:g}")
    normal = NormalDist().inv_cdf((1 + coverage) / 2)
    if freedom > _MANY:
        return _expanded(normal, 1 / freedom)
    # Student's distribution is wider than the normal one, so that its t is not below.
    low, high = normal, 2 * normal
    while _within(high, freedom) < coverage:
        low, high = high, 2 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _within(middle, freedom) < coverage:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _expanded(normal: float, smallness: float) -> float:
    """t of many degrees of freedom from the normal quantile and 1/ν (Abramowitz and Stegun, 26.7.5)."""
    square = normal**2
    first = (square + 1) / 4
    second = (5 * square**2 + 16 * square + 3) / 96
    third = (3 * square**3 + 19 * square**2 + 17 * square - 15) / 384
    return normal * (1 + smallness * (first + smallness * (second + smallness * third)))


def _within(t: float, freedom: float) -> float:
    """How much of Student's distribution lies within ±t."""
    share = freedom / (freedom + t * t)
    return 1 - _incomplete_beta(share, freedom / 2, 0.5)


def _incomplete_beta(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function I(x; a, b), by its continued fraction.

    Source: NIST Digital Library of Mathematical Functions, 8.17.4 and 8.17.22, evaluated as in 3.10(iii).
    """
    # The fraction converges fast below this share; beyond it, that of the mirrored function does.
    if x > (a + 1) / (a + b + 2):
        return 1 - _incomplete_beta(1 - x, b, a)
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b)) / a
    above, below = 1.0, 1 / (1 - (a + b) / (a + 1) * x)
    fraction = below
    for m in range(1, _MOST_TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        before = fraction
        for part in (even, odd):
            below = 1 / (1 + part * below)
            above = 1 + part / above
            fraction *= above * below
        if abs(fraction - before) <= _CONVERGED * abs(fraction):
            return front * fraction
    raise OutOfRange("x", f"{x:g}", "a share for which the continued fraction converges")
