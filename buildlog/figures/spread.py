"""How far a value may be off, in numbers: intervals of few readings, and the digits that a doubt leaves."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import atan, cos, floor, fsum, isfinite, log10, pi, sin, sqrt

from buildlog.diagnostics import OutOfRange

COVERAGE = 0.9545
"""What a normal distribution has within two standard deviations (JCGM 100:2008, table G.1)."""
SIGNIFICANT = 2
"""As many digits as an uncertainty is given (JCGM 100:2008, 7.2.6)."""
MOST_READINGS = 1000
_HALVINGS = 60


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
    if not 2 <= count <= MOST_READINGS:
        raise OutOfRange("readings", f"{count} of them", f"2 to {MOST_READINGS} readings")
    mean = fsum(readings) / count
    return mean, sqrt(fsum((one - mean) ** 2 for one in readings) / (count - 1))


def of_readings(deviation: float, count: int) -> float:
    """The standard uncertainty of a mean of readings, widened so that twice of it is the t interval.

    u = s / √n (JCGM 100:2008, 4.2.3) is too small for few readings, whose s is itself hardly known. With
    t₉₅(ν) / 2 times that, ν = n − 1, ± 2 u is the interval of 95.45 % (G.3.2 and table G.2). Of 3 readings it
    is 2.3 times as wide, of 10 1.2 times.
    """
    return deviation / sqrt(count) * quantile(count - 1) / 2


@cache
def quantile(freedom: int) -> float:
    """t for which Student's distribution has 95.45 % within ±t, for whole degrees of freedom.

    In words: found by halving, of the distribution that 26.7.3 and 26.7.4 give.
    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4 (from memory; the
    values agree with table B.1 of NIST Technical Note 1297, which is table G.2 of JCGM 100:2008).
    """
    if not 1 <= freedom < MOST_READINGS:
        raise OutOfRange("freedom", f"{freedom}", f"1 to {MOST_READINGS - 1} degrees of freedom")
    low, high = 1.0, 20.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _within(middle, freedom) < COVERAGE:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _within(t: float, freedom: int) -> float:
    """How much of Student's distribution lies within ±t."""
    angle = atan(t / sqrt(freedom))
    square = cos(angle) ** 2
    odd = freedom % 2
    term, total = cos(angle) if odd else 1.0, 0.0
    first = 3 if odd else 2
    for denominator in range(first, freedom + 1, 2):
        total += term
        term *= square * (denominator - 1) / denominator
    if odd:
        return 2 / pi * (angle + sin(angle) * total)
    return sin(angle) * total
