"""Statistics of readings: a sample and its interval, two samples compared, a line through readings, and how
many independent readings a row of neighbours is worth.

All take plain numbers and refuse what is none: a reading that is missing is left out by who calls, and
counted there, never here in silence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum, inf, isfinite, sqrt
from typing import TYPE_CHECKING

from buildlog.diagnostics import OutOfRange
from buildlog.figures.spread import COVERAGE, student_t
from buildlog.physics import repeated
from buildlog.physics.limits import not_negative

if TYPE_CHECKING:
    import numpy as np

__all__ = (
    "COVERAGE",
    "Comparison",
    "Line",
    "Sample",
    "autocorrelation",
    "effective_count",
    "effective_freedom",
    "line_through",
    "sample_of",
    "student_t",
    "welch",
)

_LEAST_IN_A_ROW = 4
"""Fewer neighbours say nothing of how they hang together."""
_LEAST_ON_A_LINE = 3
"""Through two points a line goes exactly, and says nothing of how sure it is."""


@dataclass(frozen=True)
class Sample:
    """Readings of one thing: how many independent ones, their mean and their experimental standard deviation.

    The count need not be whole: of readings that hang together it is the `effective_count`.
    """

    count: float
    mean: float
    deviation: float

    @property
    def freedom(self) -> float:
        return self.count - 1

    @property
    def standard(self) -> float:
        """The standard uncertainty of the mean, s / √n (JCGM 100:2008, 4.2.3)."""
        return self.deviation / sqrt(self.count)

    def half_width(self, coverage: float = COVERAGE) -> float:
        """Half of the interval about the mean, t · s / √n (JCGM 100:2008, G.3.2)."""
        return student_t(self.freedom, coverage) * self.standard


@dataclass(frozen=True)
class Comparison:
    """What came after less what was before: the difference of the means, its standard uncertainty, its
    degrees of freedom and half of its interval."""

    difference: float
    standard: float
    freedom: float
    half_width: float

    @property
    def shows(self) -> bool:
        """Whether the readings show a change: the interval does not hold zero."""
        return abs(self.difference) > self.half_width


@dataclass(frozen=True, kw_only=True)
class Line:
    """A least-squares line y = offset + slope · x through `count` readings, with standard uncertainties of
    both, their covariance, and the standard deviation of the readings about it."""

    slope: float
    offset: float
    slope_standard: float
    offset_standard: float
    deviation: float
    covariance: float
    count: int

    @property
    def freedom(self) -> int:
        return self.count - 2

    def at(self, x: float) -> float:
        return self.offset + self.slope * x

    def standard_at(self, x: float) -> float:
        """The standard uncertainty of the line at x (JCGM 100:2008, H.3.4)."""
        variance = self.offset_standard**2 + (x * self.slope_standard) ** 2 + 2 * x * self.covariance
        # Rounding alone may bring a variance of nothing below zero.
        return sqrt(max(variance, 0.0))


def sample_of(values: Iterable[float]) -> Sample:
    """The mean and the experimental standard deviation of readings that are independent.

    Two passes: a mean by exact summation, then deviations from it, whose own sum takes out what the mean's
    rounding left. So it holds where readings differ in their last digits only (NIST StRD, NumAcc4).
    Source: JCGM 100:2008, 4.2.1 and 4.2.2.
    """
    numbers = repeated.Readings(_finite("values", values, 2))
    count = len(numbers)
    return Sample(count, repeated.mean(numbers, count), repeated.deviation(numbers, count))


def effective_freedom(parts: Iterable[tuple[float, float]]) -> float:
    """Degrees of freedom of a sum of independent parts, each a standard uncertainty with its own degrees of
    freedom (infinite where it is known exactly), by Welch and Satterthwaite.

    Where no part has any uncertainty there is nothing to weigh them by: then the fewest, which is what the
    formula never goes below. Source: JCGM 100:2008, G.4.1, equation G.2b.
    """
    known = [(standard, freedom) for standard, freedom in parts]
    for standard, freedom in known:
        not_negative("standard", standard)
        if not freedom > 0:
            raise OutOfRange("freedom", f"{freedom:g}", "more than 0")
    most = max((standard for standard, _ in known), default=0.0)
    if not most:
        return min((freedom for _, freedom in known), default=inf)
    # As shares of the largest, whose fourth powers neither vanish nor overflow.
    shares = [(standard / most, freedom) for standard, freedom in known]
    below = fsum(share**4 / freedom for share, freedom in shares)
    return fsum(share**2 for share, _ in shares) ** 2 / below if below else inf


def welch(before: Sample, after: Sample, coverage: float = COVERAGE) -> Comparison:
    """The difference of two means whose scatters need not be the same.

    Source: B. L. Welch, Biometrika 34 (1947), as JCGM 100:2008, G.4.1 has it for two parts.
    """
    parts = [(sample.standard, sample.freedom) for sample in (before, after)]
    standard = sqrt(fsum(one * one for one, _ in parts))
    freedom = effective_freedom(parts)
    return Comparison(after.mean - before.mean, standard, freedom, student_t(freedom, coverage) * standard)


def line_through(x: Iterable[float], y: Iterable[float]) -> Line:
    """The least-squares line through readings; all doubt is taken to be in y.

    Where x is doubtful too, by its quantum or its noise, the slope comes out flatter by the share that this
    doubt has in the variance of x. Source: JCGM 100:2008, H.3.2 and H.3.3.
    """
    across, upwards = _finite("x", x, _LEAST_ON_A_LINE), _finite("y", y, _LEAST_ON_A_LINE)
    if len(across) != len(upwards):
        raise OutOfRange("y", f"{len(upwards)} readings", f"as many as x, {len(across)}")
    count = len(across)
    middle, height = fsum(across) / count, fsum(upwards) / count
    from_middle = [one - middle for one in across]
    spread = fsum(one * one for one in from_middle)
    if not spread:
        raise OutOfRange("x", f"{across[0]:g} everywhere", "two different values at least")
    # The middle is rounded, so that the deviations from it do not quite add up to nothing.
    slope = fsum(one * (up - height) for one, up in zip(from_middle, upwards, strict=True)) / spread
    squares = fsum((up - height - slope * one) ** 2 for one, up in zip(from_middle, upwards, strict=True))
    variance = squares / (count - 2)
    return Line(
        slope=slope,
        offset=height - slope * middle,
        slope_standard=sqrt(variance / spread),
        offset_standard=sqrt(variance * (1 / count + middle * middle / spread)),
        deviation=sqrt(variance),
        covariance=-variance * middle / spread,
        count=count,
    )


def autocorrelation(values: Iterable[float], most: int) -> list[float]:
    """How readings taken at equal steps resemble themselves `0` to `most` steps later: r(0) = 1, r(1), ….

    By fast Fourier transform, so that a million rows take half a second whatever `most` is.
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12, autocorrelation (sums over all
    readings below the line, so that far lags are drawn towards zero).
    """
    series = _finite("values", values, 2)
    if not 0 <= most < len(series):
        raise OutOfRange("most", f"{most}", f"0 to {len(series) - 1} steps: fewer than there are readings")
    if min(series) == max(series):
        raise OutOfRange("values", f"{series[0]:g} everywhere", "readings that differ")
    products = _products(series)[: most + 1]
    return [float(one) for one in products / products[0]]


def _products(series: list[float]) -> np.ndarray:
    """The sums of products of deviations, by lag."""
    import numpy as np

    mean = fsum(series) / len(series)
    off = np.asarray(series) - mean
    # A transform goes round in a circle: zeros keep the end from meeting the beginning.
    room = 1 << (2 * len(series) - 1).bit_length()
    transformed = np.fft.rfft(off, room)
    products: np.ndarray = np.fft.irfft(transformed * transformed.conj(), room)[: len(series)]
    return products


def effective_count(values: Iterable[float]) -> float:
    """How many independent readings a row of neighbours is worth: n / (1 + 2 Σ (1 − k/n) r(k)).

    The sum goes on while r(2m) + r(2m + 1) is positive: what comes beyond is chance. No row counts for more
    readings than it has, even where neighbours alternate about the mean: a mean of them is surer than that,
    but that they go on alternating is more than a sample tells. A row shorter than some ten times its memory
    shows only part of it, and its count is too high.

    Source: N. F. Zhang, Calculation of the uncertainty of the mean of autocorrelated measurements, Metrologia
    43 (2006), S276, equation for the mean's variance; C. J. Geyer, Practical Markov chain Monte Carlo,
    Statistical Science 7 (1992), 473, initial positive sequence, for where to stop (both from memory).
    """
    series = _finite("values", values, _LEAST_IN_A_ROW)
    count = len(series)
    together = autocorrelation(series, count - 1)
    total = 0.0
    for lag in range(0, count - 1, 2):
        pair = together[lag] + together[lag + 1]
        if pair <= 0:
            break
        total += (1 - lag / count) * together[lag] + (1 - (lag + 1) / count) * together[lag + 1]
    # r(0) = 1 is in the sum once, and every other lag counts to both sides.
    return count / max(2 * total - 1, 1.0)


def _finite(name: str, values: Iterable[float], least: int) -> list[float]:
    """The values as a list, where there are enough and each is a number."""
    numbers = list(values)
    if len(numbers) < least:
        raise OutOfRange(name, f"{len(numbers)} of them", f"{least} readings or more")
    if not all(map(isfinite, numbers)):
        bad = next(index for index, one in enumerate(numbers) if not isfinite(one))
        raise OutOfRange(name, f"{numbers[bad]:g} in place {bad + 1}", "numbers only")
    return numbers
