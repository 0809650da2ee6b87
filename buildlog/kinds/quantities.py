"""Computed values as a reader sees them: in the output's unit, with its decimals and its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from buildlog.figures import units
from buildlog.figures.labels import telling_decimals
from buildlog.figures.money import amount_decimals, coin_decimals
from buildlog.figures.spread import decimals_of_uncertainty
from buildlog.figures.systems import other_decimals, other_unit, system_of, write_rounded
from buildlog.kinds.results import Value, change_between, share_means_something


@dataclass(frozen=True)
class Shown:
    """A number, its expanded uncertainty ("" where there is none) and the unit's symbol. Where value ± U
    would not tell how far the quantity may be, `interval` has the ends of its coverage interval instead."""

    number: str
    uncertainty: str = ""
    unit: str = ""
    interval: str = ""

    @property
    def margin(self) -> str:
        """What stands behind the number: ``± 0.9``, ``(0.0 to 2.1)``, or nothing."""
        if self.interval:
            return f"({self.interval})"
        return f"± {self.uncertainty}" if self.uncertainty else ""

    @property
    def text(self) -> str:
        """The whole on one line: ``124.8 ± 0.9 km/h``."""
        text = f"{self.number} {self.margin}".rstrip()
        if self.unit:
            text += f"\u00a0{self.unit}"
        return text


def _shows_a_digit(text: str) -> bool:
    """Whether a written number is more than zeros."""
    return any(digit in text for digit in "123456789")


def _written(value: Value, unit: units.Unit, decimals: int, *, is_difference: bool = False) -> Shown:
    """A value with its uncertainty: two digits of that at most and the value to the same place (JCGM
    100:2008, 7.2.6), be it tens or hundreds. An uncertainty that does not reach the digits shown is left
    out."""
    convert = unit.from_si_difference if is_difference else unit.from_si
    number = convert(value.si)
    decimals = decimals and amount_decimals(unit.symbol, decimals)
    if value.is_whole and not is_difference:
        return _count(value)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    if not isfinite(spread) or not _shows_a_digit(write_rounded(spread, decimals)):
        decimals = decimals if is_difference else telling_decimals(number, decimals)
        return Shown(write_rounded(number, decimals), "", unit.symbol)
    place = coin_decimals(unit.symbol, decimals_of_uncertainty(spread))
    decimals = min(decimals, place)
    written = write_rounded(number, decimals)
    interval = ""
    if value.interval is not None:
        low, high = (write_rounded(convert(end), decimals) for end in value.interval)
        interval = f"{low} to {high}"
    return Shown(written, write_rounded(spread, decimals), unit.symbol, interval)


def _count(value: Value) -> Shown:
    """A count: whole, and from which to which it may be."""
    ends = "" if value.interval is None else " to ".join(write_rounded(end, 0) for end in value.interval)
    return Shown(write_rounded(value.si, 0), "", "", ends)


def shown(value: Value, more: int = 0) -> Shown:
    """A value in its output's unit; `more` decimals than the output declares."""
    return shown_in(value, units.find(value.unit, value.dimension), more)


def shown_in(value: Value, unit: units.Unit, more: int = 0) -> Shown:
    """A value in any unit of its dimension, with as many significant digits as in its output's."""
    return _written(value, unit, _decimals_in(value, unit, more))


def _decimals_in(value: Value, unit: units.Unit, more: int) -> int:
    own = units.find(value.unit, value.dimension)
    if unit == own:
        return value.decimals + more
    return other_decimals(abs(own.from_si(value.si)), value.decimals + more, own, unit)


@dataclass(frozen=True)
class OtherUnit:
    """How a column of values is shown in the other system of units. `system` is the author's own."""

    unit: units.Unit
    decimals: int
    system: str

    def shown(self, value: Value) -> Shown:
        """A value of the column."""
        return _written(value, self.unit, self.decimals)


def other_of(values: list[Value], more: int = 0) -> OtherUnit | None:
    """The other system for values of one output, with as many significant digits; None where both use
    the same unit."""
    if not values:
        return None
    first = values[0]
    unit = units.find(first.unit, first.dimension)
    largest = max(abs(unit.from_si(value.si)) for value in values)
    other = other_unit(unit, largest)
    if other is None:
        return None
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
    margin: str = ""
    percent: str = ""
    unit: str = ""
    other: Shown | None = None

    @property
    def same(self) -> bool:
        return not self.difference


def _signed(value: Value, unit: units.Unit, decimals: int) -> Shown:
    """A change with its sign."""
    text = _written(value, unit, decimals, is_difference=True)
    plus = "+" if value.si > 0 and _shows_a_digit(text.number) else ""
    return replace(text, number=plus + text.number)


def change(first: Value, second: Value, other: OtherUnit | None = None) -> Change:
    """The change from one case to another; "" as difference where there is none."""
    if first.si == second.si:
        return Change(difference="")
    unit = units.find(second.unit, second.dimension)
    difference = change_between(first, second)
    percent = ""
    if unit.offset == 0 and unit.symbol != "%" and not second.dimension.startswith("temperature"):
        meant = share_means_something(first, second)
        share = change_between(first, second, relative=True) if meant else None
        if share is not None and isfinite(100 * share.si):
            percent = _signed(share, units.find("%"), 1).text

    def written(unit: units.Unit, decimals: int) -> Shown:
        return _signed(difference, unit, decimals)

    own = written(unit, second.decimals)
    return Change(
        difference=own.number,
        margin=own.margin,
        percent=percent,
        unit="points" if unit.symbol == "%" else "",
        other=written(other.unit, other.decimals) if other else None,
    )
