"""Repeated readings of one thing: their mean, what it is worth, what two of them differ by, and which reading
lies far off.

Readings are of whatever is measured, so that the unit of these formulae is that of the readings: "1" stands
for it here, and `in_unit` puts it in for whoever reads the working.
"""

from __future__ import annotations

from math import fsum, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.in_unit import in_unit as in_unit
from buildlog.physics.limits import not_negative, positive, within

FEWEST_FOR_AN_OUTLIER = 3
"""Of two readings neither lies further off than the other."""


class Readings(tuple[float, ...]):
    """Readings of one thing, SI, in the order in which they were taken."""

    __slots__ = ()


def mean(readings: Readings, count: Annotated[float, "n", "1"]) -> Annotated[float, "x̄", "1"]:
    """Arithmetic mean of readings.

    Formula: x̄ = Σ xᵢ / n. Symbols: n number of readings (1), x̄ mean, in the unit of the readings (1).
    In words: added up without rounding in between.
    Range: one reading or more, n as many as there are. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.1.
    """
    _check(readings, count, 1)
    first = fsum(readings) / count
    # What the mean's own rounding left is taken out, for readings that differ in their last digits only.
    return first + fsum(one - first for one in readings) / count


def deviation(readings: Readings, count: Annotated[float, "n", "1"]) -> Annotated[float, "s", "1"]:
    """Experimental standard deviation of readings.

    Formula: s = √(Σ (xᵢ − x̄)² / (n − 1)). Symbols: n number of readings (1), s standard deviation of a single
    reading, in the unit of the readings (1).
    In words: added up without rounding in between.
    Range: two readings or more, n as many as there are. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.2.
    """
    _check(readings, count, 2)
    middle = fsum(readings) / count
    off = [one - middle for one in readings]
    rest = fsum(off)
    squares = fsum(one * one for one in off) - rest * rest / count
    return sqrt(max(squares, 0.0) / (count - 1))


def _check(readings: Readings, count: float, fewest: int) -> None:
    if count != len(readings) or count < fewest:
        raise OutOfRange("count", f"{count:g}", f"{fewest} or more, as many as there are readings")


def standard_of_mean(
    deviation: Annotated[float, "s", "1"],
    count: Annotated[float, "n", "1"],
    t: Annotated[float, "t", "1"],
) -> Annotated[float, "u", "1"]:
    """Standard uncertainty of a mean of readings, widened so that twice of it is the interval by Student's t.

    Formula: u = t · s / (2 · √n). Symbols: s standard deviation of a single reading, in the unit of the
    readings (1), n number of readings (1), t Student's t for 95.45 % and n − 1 degrees of freedom (1), u
    standard uncertainty of the mean, in the unit of the readings (1).
    Range: s 0 or more, n 1 or more, t above 0. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.3 and G.3.2.
    """
    not_negative("deviation", deviation)
    within("count", count, 1)
    positive("t", t)
    return t * deviation / (2 * sqrt(count))


def standard_of_rounding(step: Annotated[float, "q", "1"]) -> Annotated[float, "u_q", "1"]:
    """Standard uncertainty of what an instrument shows in steps: anywhere within half a step.

    Formula: u_q = q / √12. Symbols: q step, in the unit of the readings (1), u_q standard uncertainty, in the
    unit of the readings (1).
    Range: q above 0. Errors: `OutOfRange`. Source: JCGM 100:2008, F.2.2.1.
    """
    positive("step", step)
    return step / sqrt(12)


def corrected(
    mean: Annotated[float, "x̄", "1"], correction: Annotated[float, "c", "1"]
) -> Annotated[float, "x", "1"]:
    """A mean with the instrument's correction.

    Formula: x = x̄ + c. Symbols: x̄ mean of what was shown, in the unit of the readings (1), c correction, in
    the unit of the readings (1), x corrected mean, in the unit of the readings (1).
    Range: any. Source: JCGM 100:2008, 3.2.3.
    """
    return mean + correction


def change(
    before: Annotated[float, "x_1", "1"], after: Annotated[float, "x_2", "1"]
) -> Annotated[float, "Δx", "1"]:
    """What came after less what was before.

    Formula: Δx = x_2 − x_1. Symbols: x_1 mean before, in the unit of the readings (1), x_2 mean after, in the
    unit of the readings (1), Δx change, in the unit of the readings (1).
    Range: any. Source: definition.
    """
    return after - before


def freedom_of_change(
    deviation_before: Annotated[float, "s_1", "1"],
    count_before: Annotated[float, "n_1", "1"],
    deviation_after: Annotated[float, "s_2", "1"],
    count_after: Annotated[float, "n_2", "1"],
) -> Annotated[float, "ν", "1"]:
    """Degrees of freedom of the difference of two means whose scatters need not be the same.

    Formula: ν = (s_1²/n_1 + s_2²/n_2)² / ((s_1²/n_1)² / (n_1 − 1) + (s_2²/n_2)² / (n_2 − 1)). Symbols: s_1
    standard deviation of a single reading before (1), s_2 standard deviation of a single reading after (1),
    n_1 number of readings before (1), n_2 number of readings after (1), before s_1²/n_1 (1), after s_2²/n_2
    (1), ν degrees of freedom (1).
    Range: s_1 and s_2 0 or more, and not both 0; n_1 and n_2 2 or more. Errors: `OutOfRange`.
    Source: B. L. Welch, Biometrika 34 (1947); JCGM 100:2008, G.4.1, equation G.2b.
    """
    not_negative("deviation_before", deviation_before)
    not_negative("deviation_after", deviation_after)
    positive("deviation_after", deviation_before + deviation_after, "nothing scatters")
    within("count_before", count_before, 2)
    within("count_after", count_after, 2)
    before = deviation_before**2 / count_before
    after = deviation_after**2 / count_after
    return (before + after) ** 2 / (before**2 / (count_before - 1) + after**2 / (count_after - 1))


def standard_of_change(
    deviation_before: Annotated[float, "s_1", "1"],
    count_before: Annotated[float, "n_1", "1"],
    deviation_after: Annotated[float, "s_2", "1"],
    count_after: Annotated[float, "n_2", "1"],
    t: Annotated[float, "t", "1"],
) -> Annotated[float, "u", "1"]:
    """Standard uncertainty of the difference of two means by their scatter, widened so that twice of it is
    the interval by Student's t.

    Formula: u = t / 2 · √(s_1²/n_1 + s_2²/n_2). Symbols: s_1 standard deviation of a single reading before,
    in the unit of the readings (1), s_2 standard deviation of a single reading after, in the unit of the
    readings (1), n_1 number of readings before (1), n_2 number of readings after (1), t Student's t for 95.45
    % (1), u standard uncertainty of the difference, in the unit of the readings (1).
    Range: s_1 and s_2 0 or more, n_1 and n_2 1 or more, t above 0. Errors: `OutOfRange`.
    Source: JCGM 100:2008, 5.1.2 and G.3.2.
    """
    not_negative("deviation_before", deviation_before)
    not_negative("deviation_after", deviation_after)
    within("count_before", count_before, 1)
    within("count_after", count_after, 1)
    positive("t", t)
    return t / 2 * sqrt(deviation_before**2 / count_before + deviation_after**2 / count_after)


def outlier_limit(
    count: Annotated[float, "n", "1"], t: Annotated[float, "t", "1"]
) -> Annotated[float, "G", "1"]:
    """How many standard deviations the furthest of readings lies from their mean before it is suspect.

    Formula: G = (n − 1) / √n · √(t² / (n − 2 + t²)). Symbols: n number of readings (1), t Student's t for
    1 − 0.05/n within and n − 2 degrees of freedom (1), G deviation over s (1).
    Range: n 3 or more, t above 0; of readings that scatter normally one in twenty samples has one beyond.
    Errors: `OutOfRange`. Source: F. E. Grubbs, Technometrics 11 (1969); ISO 5725-2:1994, table 5.
    """
    within("count", count, FEWEST_FOR_AN_OUTLIER)
    positive("t", t)
    return (count - 1) / sqrt(count) * sqrt(t**2 / (count - 2 + t**2))
