"""A number in the other system of units: which unit that is, and how many digits tell as much there.

Why so many digits is said in `buildlog.render.conversion`, which writes whole labels with them.
"""

from __future__ import annotations

from fractions import Fraction
from math import floor, inf, isfinite, log10

from buildlog.figures import units
from buildlog.figures.labels import exact, write_number
from buildlog.figures.units import Unit

FEWEST_DIGITS = 2
"""Significant digits of a converted figure that was written with one."""
COARSER = 3
"""How many units of the author's last digit one of the converted last digit may be worth."""


def other_unit(unit: Unit, largest: float = inf) -> Unit | None:
    """The unit that a reader of the other system wants, or None where the unit serves both. `largest` is the
    largest number that is to be written, in `unit`: small ones may have a unit of their own."""
    if unit.system == "both":
        return None
    return units.counterpart(unit, largest)


def to_other(value: float, unit: Unit, other: Unit) -> float:
    """A number in `unit` as one in `other`."""
    return other.from_si(unit.to_si(value))


def write_rounded(value: float | Fraction, decimals: int, separator: str | None = None) -> str:
    """The value to so many decimals; fewer than none rounds to tens, hundreds and so on."""
    if decimals >= 0:
        return write_number(value, decimals, separator)
    step = Fraction(10) ** -decimals
    return write_number(round(exact(value) / step) * step, 0, separator)


def decimals_of(value: float, digits: int, step: float = 0.0) -> int:
    """Decimals that show so many significant digits of a value; may be below 0. One more where the last
    digit would be `COARSER` than the author's, of whose last digit one unit is `step`, both in one unit."""
    if not value or not isfinite(value):
        return max(0, digits - 1)
    decimals = digits - 1 - floor(log10(abs(value)))
    # 9.96 to two digits is 10, not 10.0.
    if round(exact(abs(value)) * Fraction(10) ** decimals) >= 10**digits:
        decimals -= 1
    return decimals + (0 < COARSER * step < 10.0**-decimals)


def other_decimals(largest: float, decimals: int, unit: Unit, other: Unit) -> int:
    """Decimals for a column in the other unit, of whose author's column this is the largest number."""
    if unit.offset or other.offset:
        return decimals
    share = unit.factor / other.factor
    return decimals_of(largest * share, _digits_of(largest, decimals), share * 10.0**-decimals)


def _digits_of(value: float, decimals: int) -> int:
    """How many significant digits a value has that is shown with so many decimals."""
    size = abs(round(exact(value) * Fraction(10) ** decimals))
    return max(FEWEST_DIGITS, len(str(size)))


def system_of(unit: Unit) -> str:
    """``metric`` or ``us`` where a figure in this unit has a counterpart, else ""."""
    if other_unit(unit) is None:
        return ""
    return unit.system
