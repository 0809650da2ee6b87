"""The agreement rule: whether a stated figure agrees with a computed value.

A figure that restates a result is a copy of it: it agrees when the result rounds to it, widened by nothing
but what the author wrote. The result's own uncertainty excuses no digit. It says how far the truth may be
from the result, not how far a copy may be: with U as an excuse a wrong digit passed wherever U was wide.

x is the stated value, h half a unit of its last digit written, t the author's tolerance, c the computed
value in the stated unit.

=====================  ======================================================================
the label              agrees when
=====================  ======================================================================
plain                  x − h − t ≤ c ≤ x + h + t
about                  the same, with the wider of h and 5 % of x in place of h
nearly, just under     0.95 x − t ≤ c ≤ x + t
just over              x − t ≤ c ≤ 1.05 x + t
a range                low − t ≤ c ≤ high + t; the ends are not rounded figures
a comparison           c compares so, exactly: t does not help
tooth counts           c is the ratio: 41/9 has no last digit, so h = 0
=====================  ======================================================================

h is ISO 80000-1:2009, Annex B: a value rounded to a multiple of the last digit's unit is at most half of
it away. A tie is as far from one multiple as from the other; rule A of that annex takes the even one,
rule B the larger, and here either agrees. A fraction is a multiple of 1/denominator in the same way,
feet and inches of the last inch or part of one. The 5 % of the words is a house rule.

A relative tolerance is a percentage of x (of each end of a range). For a change against another case,
an unsigned label states its size (“10 % less” is said in words outside the label), a signed one also
its direction.

Float noise: values within 1e-9 of the value, but never more than a thousandth of h, count as equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import inf, isfinite

from buildlog.diagnostics import OutOfRange, Refused, declare
from buildlog.figures import units
from buildlog.figures.labels import exact, write_figure
from buildlog.figures.stated import Stated
from buildlog.figures.units import Unit

WORD_SHARE = Fraction(5, 100)
"""How far about, nearly and just over reach: 5 % of the stated value (house rule)."""
NOISE = Fraction(1, 10**9)

FIGURE_WITHOUT_UNIT = declare(
    "figure-without-unit",
    "the figure has no unit",
    why="a bare number could be in any unit of the quantity",
    mend='write the unit in the label, or name it in the title: (calc:… "in km/h")',
    example="[124.8](calc:final.speed.3)",
)
TOLERANCE_ON_COMPARISON = declare(
    "tolerance-on-comparison",
    "a comparison takes no tolerance",
    why="“less than 5 ± 1” does not say what must hold",
    mend="drop the tolerance, or move the limit",
    example='[under 5 mm](calc:gap.width "± 1 mm")',
)


@dataclass(frozen=True)
class Computed:
    """A computed value: SI, with its dimension and its expanded uncertainty (k = 2, SI, a difference), which
    is told to the reader and changes no verdict."""

    si: float
    dimension: str
    expanded: float = 0.0


@dataclass(frozen=True)
class Tolerance:
    """An author's tolerance: `amount` in percent of the figure where `relative`, else in `unit` or,
    without one, in the stated unit. A tolerance is a difference, so °C and K are the same here."""

    amount: Fraction
    relative: bool = False
    unit: Unit | None = None


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """`computed` and the allowed interval (infinite on the open side of a comparison) are in `unit`.

    For an unsigned change `computed` is its size. `difference` is computed minus stated, of a range to
    the nearer end (0 inside). `shown` is the computed value with the digits it takes to see the verdict.
    `why` has one sentence for each thing that set the interval.
    """

    agrees: bool
    computed: float
    difference: float
    allowed_low: float
    allowed_high: float
    unit: Unit
    shown: str
    why: tuple[str, ...]


def unit_of(stated: Stated, dimension: str, given: str = "") -> Unit:
    """The unit that a label is in: its own, or else `given` by the title, or none for a ratio or count.

    Raises `units.UnknownUnit`, `units.WrongDimension`, or `Refused` (figure-without-unit).
    """
    if stated.low.form == "ratio" and dimension != "ratio":
        raise units.WrongDimension(
            "", f"“{stated.label}”, a ratio", f"a figure of {dimension}", help="state it in a unit of that"
        )
    if stated.unit and given and units.find(given, dimension) != units.find(stated.unit, dimension):
        raise Refused(
            "",
            f"“{stated.unit}” in the label and “{given}” in the title",
            "one unit",
            help="drop one",
            code=units.WRONG_DIMENSION,
        )
    spelling = stated.unit or given
    if spelling:
        return units.find(spelling, dimension)
    for unit in units.units_of(dimension):
        if not unit.symbol:
            return unit
    symbols = ", ".join(unit.symbol for unit in units.units_of(dimension)[:6])
    raise Refused(
        "",
        f"“{stated.label}”, a bare number",
        f"a unit of {dimension}: {symbols}",
        help=FIGURE_WITHOUT_UNIT.mend,
        code=FIGURE_WITHOUT_UNIT,
    )


def judge(
    stated: Stated,
    computed: Computed,
    unit: Unit,
    tolerance: Tolerance | None = None,
    *,
    change: bool = False,
) -> Verdict:
    """Apply the rule. `unit` is the label's (see `unit_of`); `change` marks a value against another case.

    Raises `units.WrongDimension`, `OutOfRange` (a computed value that is no number) and `Refused`
    (tolerance-on-comparison).
    """
    _same_dimension(unit.dimension, computed.dimension)
    if not (isfinite(computed.si) and isfinite(computed.expanded) and computed.expanded >= 0):
        raise OutOfRange("", f"{computed.si:g} ± {computed.expanded:g}", "a finite computed value")
    why: list[str] = []
    value = exact(unit.from_si(computed.si))
    if change and not stated.signed:
        value = abs(value)
        why.append("no sign is written, so the size of the change is compared")
    low, high, half = _allowed(stated, unit, why)
    if stated.comparator:
        if tolerance is not None:
            raise Refused(
                "",
                f"“{stated.label}” with a tolerance",
                "a comparison without one",
                help=TOLERANCE_ON_COMPARISON.mend,
                code=TOLERANCE_ON_COMPARISON,
            )
        low_reach = high_reach = Fraction(0)
    else:
        low_reach, high_reach = _widening(stated, unit=unit, tolerance=tolerance, why=why)
    if computed.expanded > 0:
        expanded = exact(unit.from_si_difference(computed.expanded))
        why.append(f"the uncertainty of the result, ± {_plainly(expanded, unit)} (k = 2), excuses no digit")
    # 0 °C is 273.15 K: near it the noise is that of the SI value, not of the few degrees shown.
    scale = max(abs(value), abs(stated.low.value), abs(stated.high.value), abs(exact(unit.from_si(0.0))))
    slack = scale * NOISE
    if half:
        slack = min(slack, half / 1000)  # never so much that it counts beside the last digit written
    allowed_low = None if low is None else low - low_reach
    allowed_high = None if high is None else high + high_reach
    # On a strict side a value that equals the limit, noise aside, does not agree.
    strict = stated.comparator in ("<", ">")
    margin = -slack if strict else slack
    agrees = (allowed_low is None or _above(value, allowed_low - margin, strict)) and (
        allowed_high is None or _above(allowed_high + margin, value, strict)
    )
    return Verdict(
        agrees=agrees,
        computed=float(value),
        difference=float(_difference(stated, value)),
        allowed_low=-inf if allowed_low is None else float(allowed_low),
        allowed_high=inf if allowed_high is None else float(allowed_high),
        unit=unit,
        shown=_shown(stated, value, unit=unit, agrees=agrees, low=allowed_low, high=allowed_high),
        why=tuple(why),
    )


def _above(larger: Fraction, smaller: Fraction, strict: bool) -> bool:
    return larger > smaller if strict else larger >= smaller


def _same_dimension(stated: str, computed: str) -> None:
    if stated != computed:
        raise units.WrongDimension(
            "",
            f"a figure of {stated}",
            f"a figure of {computed}",
            help=f"state it in a unit of {computed}, or point the address at a {stated}",
            found_dimensions=(stated,),
            expected_dimension=computed,
        )


def _allowed(stated: Stated, unit: Unit, why: list[str]) -> tuple[Fraction | None, Fraction | None, Fraction]:
    """The interval before tolerance, and h (0 for what has no last digit)."""
    x, half = stated.low.value, stated.half_unit
    if stated.form == "range":
        why.append("a range holds its two ends and all between")
        return x, stated.high.value, half
    if stated.comparator:
        why.append(f"“{stated.lead}” must hold for the computed value itself")
        return (x, None, half) if stated.comparator in (">", "≥") else (None, x, half)
    if stated.teeth and unit.dimension == "ratio":
        half = Fraction(0)
        if stated.hedge is None:
            why.append("tooth counts are exact; a rounded ratio is written 4.56:1")
    share = abs(x) * WORD_SHARE
    if stated.hedge == "nearly":
        why.append(f"“{stated.lead}” means 95 to 100 % of the figure (house rule)")
        # Nearly −20 is between −20 and −19: nearer to 0, as nearly 20 is.
        low, high = (x - share, x) if x > 0 else (x, x + share)
        return low, high, half
    if stated.hedge == "just over":
        why.append(f"“{stated.lead}” means 100 to 105 % of the figure (house rule)")
        low, high = (x, x + share) if x > 0 else (x - share, x)
        return low, high, half
    reach = half
    if stated.hedge == "about" and share > half:
        reach = share
        why.append(f"“{stated.lead}” allows ± 5 % of the figure (house rule), {_plainly(share, unit)}")
    elif half:
        why.append(f"half a unit of the last digit written is {_plainly(half, unit)} (ISO 80000-1, Annex B)")
        if stated.hedge == "about":
            why.append(f"“{stated.lead}” (± 5 %) is no wider than that")
    return x - reach, x + reach, half


def _widening(
    stated: Stated, unit: Unit, tolerance: Tolerance | None, why: list[str]
) -> tuple[Fraction, Fraction]:
    """t at the low and at the high end."""
    low = high = Fraction(0)
    if tolerance is not None:
        if tolerance.relative:
            low, high = (abs(end.value) * tolerance.amount / 100 for end in (stated.low, stated.high))
            why.append(f"the author allows ± {float(tolerance.amount):g} % of the figure")
        else:
            low = high = _in_unit(tolerance, unit)
            why.append(f"the author allows ± {_plainly(low, unit)}")
    return low, high


def _in_unit(tolerance: Tolerance, unit: Unit) -> Fraction:
    given = tolerance.unit
    if given is None or given == unit:
        return tolerance.amount
    if given.dimension != unit.dimension and {given.dimension, unit.dimension} != {
        "temperature",
        "temperature difference",
    }:
        _same_dimension(given.dimension, unit.dimension)
    return exact(unit.from_si_difference(given.to_si_difference(float(tolerance.amount))))


def _plainly(amount: Fraction, unit: Unit) -> str:
    """How far something reaches, in words."""
    number = f"{float(amount):.4g}"
    return f"{number} {unit.difference_symbol(number)}".rstrip()


def _difference(stated: Stated, value: Fraction) -> Fraction:
    """Computed minus stated; of a range, minus its nearer end, and 0 inside."""
    if value < stated.low.value:
        return value - stated.low.value
    if value > stated.high.value:
        return value - stated.high.value
    return Fraction(0)


def _shown(
    stated: Stated, value: Fraction, unit: Unit, agrees: bool, low: Fraction | None, high: Fraction | None
) -> str:
    """The computed value to one digit more than stated, or as many as put it outside what is allowed."""
    decimals, step = 0, min(stated.low.step, stated.high.step)
    while Fraction(1, 10**decimals) > step:
        decimals += 1
    decimals += 1
    fewest = decimals
    while not agrees:
        rounded = Fraction(round(value * 10**decimals), 10**decimals)
        if (low is not None and rounded < low) or (high is not None and rounded > high):
            break
        decimals += 1
        if decimals > fewest + 12:  # it is the limit itself, which a strict comparison leaves out
            decimals = fewest
            break
    return write_figure(value, decimals, unit.symbol)
