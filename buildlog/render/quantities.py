"""Computed values as a reader sees them: in the output's unit, with its decimals and its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, nan

from buildlog.figures import units
from buildlog.figures.labels import telling_decimals, write_number
from buildlog.kinds.results import Value, change_between
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
        text = self.number
        if self.uncertainty:
            text += f" ± {self.uncertainty}"
        if self.unit:
            text += f"\u00a0{self.unit}"
        return text


def _margin(value: float, decimals: int) -> str:
    """An uncertainty with the decimals of its value; "" where it does not reach the digits shown."""
    text = write_rounded(value, decimals)
    return text if _shows_a_digit(text) else ""


def _shows_a_digit(text: str) -> bool:
    """Whether a written number is more than zeros."""
    return any(digit in text for digit in "123456789")


def shown(value: Value, more: int = 0) -> Shown:
    """A value in its output's unit; `more` decimals than the output declares."""
    unit = units.find(value.unit, value.dimension)
    decimals = value.decimals + more
    spread = unit.from_si_difference(value.expanded_uncertainty)
    number = unit.from_si(value.si)
    decimals = telling_decimals(number, decimals)
    return Shown(write_number(number, decimals), _margin(spread, decimals), unit.symbol)


@dataclass(frozen=True)
class OtherUnit:
    """How a column of values is shown in the other system of units. `system` is the author's own."""

    unit: units.Unit
    decimals: int
    system: str

    def shown(self, value: Value) -> Shown:
        """A value of the column."""
        spread = self.unit.from_si_difference(value.expanded_uncertainty)
        number = write_rounded(self.unit.from_si(value.si), self.decimals)
        return Shown(number, _margin(spread, self.decimals), self.unit.symbol)


def other_of(values: list[Value], more: int = 0) -> OtherUnit | None:
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
    return OtherUnit(other, other_decimals(largest, first.decimals + more, unit, other), system_of(unit))


@dataclass(frozen=True, kw_only=True)
class Change:
    """A value against the first case's: the difference, and as a percentage where that means something.

    `other` is the difference and its uncertainty in the other system of units. `unit` is said only where it
    is not the row's: two percentages differ by points.
    """

    difference: str
    uncertainty: str = ""
    percent: str = ""
    unit: str = ""
    other: Shown | None = None

    @property
    def same(self) -> bool:
        return not self.difference


def _signed(value: float, decimals: int) -> str:
    text = write_rounded(value, decimals)
    plus = "+" if value > 0 and _shows_a_digit(text) else ""
    return plus + text


def change(first: Value, second: Value, other: OtherUnit | None = None) -> Change:
    """The change from one case to another; "" as difference where there is none."""
    if first.si == second.si:
        return Change(difference="")
    unit = units.find(second.unit, second.dimension)
    difference = change_between(first, second)
    percent = ""
    if unit.offset == 0 and unit.symbol != "%" and not second.dimension.startswith("temperature"):
        share = 100 * change_between(first, second, relative=True).si if first.si else nan
        percent = f"{_signed(share, 1)}\u00a0%" if isfinite(share) else ""

    def written(unit: units.Unit, decimals: int) -> Shown:
        return Shown(
            _signed(unit.from_si_difference(difference.si), decimals),
            _margin(unit.from_si_difference(difference.expanded_uncertainty), decimals),
        )

    own = written(unit, second.decimals)
    return Change(
        difference=own.number,
        uncertainty=own.uncertainty,
        percent=percent,
        unit="points" if unit.symbol == "%" else "",
        other=written(other.unit, other.decimals) if other else None,
    )
