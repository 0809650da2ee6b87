"""What a figure’s label is compared with: a value as it stands, its change, or how many times another."""

from __future__ import annotations

from buildlog.book.addresses import Target, change
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.agreement import Tolerance
from buildlog.figures.labels import plain
from buildlog.figures.stated import FIGURE_UNREADABLE, Stated
from buildlog.kinds.results import Value
from buildlog.reading.addresses import Options


def compared_value(target: Target, other: Target | None, stated: Stated | None, options: Options) -> Value:
    """What a label is compared with: the value, or against another one its change or how many times it is.

    Raises `Refused`.
    """
    if other is None:
        if stated is not None and stated.multiple and target.number.dimension != "ratio":
            raise Refused(
                "",
                f"“{plain(stated.label).text}” of a {target.number.dimension}",
                "a value to compare with",
                help="name the other case in the title: “vs CASE”",
                code=FIGURE_UNREADABLE,
            )
        return target.number
    if stated is not None and stated.multiple:
        return change(target, other, "times")
    percent = _is_percent(stated.unit if stated and stated.unit else options.unit)
    return change(target, other, "percent" if percent else "difference")


def is_change(target: Target) -> bool:
    """Whether a value is a change by itself, whose sign says which way."""
    declared = target.block.outputs.get(target.output)
    return target.given is None and declared is not None and declared.is_change


def tolerance_of(options: Options) -> Tolerance | None:
    """The author's tolerance for a label. Raises `Refused` where its unit is none."""
    if options.tolerance is None:
        return None
    if not options.tolerance_unit:
        return Tolerance(options.tolerance)
    if _is_percent(options.tolerance_unit):
        return Tolerance(options.tolerance, relative=True)
    spelt = units.spelt(options.tolerance_unit)
    if not spelt:
        units.find(options.tolerance_unit)  # raises with what is near
    return Tolerance(options.tolerance, unit=spelt[0])


def decimals_in(value: Value, unit: units.Unit) -> int:
    """Decimals that keep about the digits which the block shows, in another unit."""
    own = units.find(value.unit, value.dimension)
    if unit == own:
        return value.decimals
    ratio = own.factor / unit.factor
    shift = 0
    while ratio < 0.5:
        ratio, shift = ratio * 10, shift + 1
    while ratio >= 5:
        ratio, shift = ratio / 10, shift - 1
    return max(0, value.decimals + shift)


def _is_percent(spelling: str) -> bool:
    return bool(spelling) and any(unit.symbol == "%" for unit in units.spelt(spelling))
