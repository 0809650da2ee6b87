"""Computed values as a reader sees them: in the output's unit, with its decimals and its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt

from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.kinds.results import Value
from buildlog.render.conversion import other_decimals, other_unit, system_of, write_rounded


@dataclass(frozen=True)
class Shown:
    """A number, its expanded uncertainty ("" where there is none) and the unit's symbol."""

    number: str
    uncertainty: str = ""
    unit: str = ""

    @property
    def text(self) -> str:
        """The whole on one line: ``124.8 ± 0.9 km/h``."""
        number = f"{self.number} ± {self.uncertainty}" if self.uncertainty else self.number
        return f"{number}\u00a0{self.unit}" if self.unit else number


def _margin(value: float, decimals: int) -> str:
    """An uncertainty with the decimals of its value; "" where it does not reach the digits shown."""
    text = write_rounded(value, decimals)
    return text if any(digit in text for digit in "123456789") else ""


def shown(value: Value, more: int = 0) -> Shown:
    """A value in its output's unit; `more` decimals than the output declares."""
    unit = units.find(value.unit, value.dimension)
    decimals = value.decimals + more
    spread = unit.from_si_difference(value.expanded_uncertainty)
    return Shown(write_number(unit.from_si(value.si), decimals), _margin(spread, decimals), unit.symbol)


@dataclass(frozen=True)
class Other:
    """How a column of values is shown in the other system of units. `system` is the author's own."""

    unit: units.Unit
    decimals: int
    system: str

    def shown(self, value: Value) -> Shown:
        """A value of the column."""
        spread = self.unit.from_si_difference(value.expanded_uncertainty)
        number = write_rounded(self.unit.from_si(value.si), self.decimals)
        return Shown(number, _margin(spread, self.decimals), self.unit.symbol)


def other_of(values: list[Value], more: int = 0) -> Other | None:
    """The other system for values of one output, with as many significant digits; None where both use
    the same unit."""
    if not values:
        return None
    first = values[0]
    unit = units.find(first.unit, first.dimension)
    other = other_unit(unit)
    if other is None:
        return None
    largest = max(abs(unit.from_si(value.si)) for value in values)
    if not largest and not unit.offset:  # all are zero: a step of about the same size
        largest = 1.0
    return Other(other, other_decimals(largest, first.decimals + more, unit, other), system_of(unit))


@dataclass(frozen=True)
class Change:
    """A value against the first case's: the difference, and as a percentage where that means something.

    `other` is the difference and its uncertainty in the other system of units.
    """

    difference: str
    uncertainty: str = ""
    percent: str = ""
    other: Shown | None = None

    @property
    def same(self) -> bool:
        return not self.difference


def _signed(value: float, decimals: int) -> str:
    text = write_rounded(value, decimals)
    return f"+{text}" if value > 0 and any(digit in text for digit in "123456789") else text


def change(first: Value, second: Value, other: Other | None = None) -> Change:
    """The change from one case to another; "" as difference where there is none.

    Origins that both values share are correlated, so contributions subtract origin by origin before
    they are combined (JCGM 100:2008, 5.2).
    """
    if first.si == second.si:
        return Change("")
    unit = units.find(second.unit, second.dimension)
    origins = {*first.contributions, *second.contributions}
    spread = sqrt(
        sum(
            (second.contributions.get(o, 0.0) - first.contributions.get(o, 0.0)) ** 2 for o in sorted(origins)
        )
    )
    percent = ""
    if unit.offset == 0 and unit.symbol != "%" and not second.dimension.startswith("temperature"):
        share = 100 * (second.si - first.si) / first.si if first.si else float("nan")
        percent = f"{_signed(share, 1)}\u00a0%" if isfinite(share) else ""

    def written(unit: units.Unit, decimals: int) -> Shown:
        return Shown(
            _signed(unit.from_si_difference(second.si - first.si), decimals),
            _margin(unit.from_si_difference(2 * spread), decimals),
        )

    own = written(unit, second.decimals)
    return Change(
        own.number, own.uncertainty, percent, written(other.unit, other.decimals) if other else None
    )
