"""The agreement rule: whether a stated figure agrees with a computed value.

A figure that restates a result is a copy of it: it agrees when the result rounds to it, widened by nothing
but what the author wrote. The result's own uncertainty excuses no digit: it says how far the truth may be
from the result, not how far a copy may be. With U as an excuse a wrong digit passed wherever U was wide. Only
zeros that do no more than keep a place, since the digits there are beyond U, are no digits.

x is the stated value, h how far rounding can have moved it, t the author's tolerance (in the title, or after
± in the label), c the computed value in the stated unit, s the wider of h and 5 % of x.

=====================  ======================================================================
the label              agrees when
=====================  ======================================================================
plain                  x − h − t ≤ c ≤ x + h + t
about                  x − s − t ≤ c ≤ x + s + t
nearly                 x − s − t ≤ c ≤ x + t, for x above 0; below 0 it is nearer to 0 too
just under             x − s − t ≤ c ≤ x + t, below 0 too
just over              x − t ≤ c ≤ x + s + t, below 0 too
a range                low − t ≤ c ≤ high + t; the ends are not rounded figures
a limit                c compares so, exactly: t does not help; “well over” means x + s, “well under” x − s
zeros beyond U         14 400 of 14 408 ± 1400: as plain, with h half a unit of the last digit that U leaves
a plain 0              c is 0, to a thousandth of the last digit; of a temperature 0 is as any other value
a count in words       c is that count
a multiple             as plain, with the narrower of h and 5 % of x for a whole number: twice
tooth counts           c is the ratio: 41/9 has no last digit, so h = 0
a pair                 both ends, each as a plain figure, in their order (`judge_pair`)
=====================  ======================================================================

h is half a unit of the last digit (ISO 80000-1:2009, Annex B): a value rounded to a multiple of it is at most
half of it away. A tie is as far from one multiple as from the other; rule A of that annex takes the even
one, rule B the larger, and here either agrees. Fractions have an h of their own, `numbers.fraction_half`. The
5 % of the words is a house rule.

A relative tolerance is a percentage of x (of each end of a range). For a change against another case,
an unsigned label states its size (“10 % less” is said in words outside the label), a signed one also
its direction, and so does a word of direction in the label: what it says and the sign must be the same.

Float noise: values within 1e-9 of the value, but never more than a thousandth of h, count as equal.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf, isfinite

from buildlog.diagnostics import OutOfRange, Refused, declare
from buildlog.figures import directions, units
from buildlog.figures.labels import VANISHES, exact, write_figure, zero_is_a_value
from buildlog.figures.money import amount_decimals
from buildlog.figures.numbers import WrittenNumber
from buildlog.figures.spread import decimals_of_uncertainty
from buildlog.figures.stated import FIGURE_UNREADABLE, WORD_SHARE, Stated, restated_pair
from buildlog.figures.units import Unit

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

    For an unsigned change `computed` is its size, and `wrong_way` says that a word of direction in the label
    contradicts its sign. `difference` is computed minus stated, of a range to the nearer end (0 inside).
    `shown` is the computed value with the digits it takes to see the verdict, and `instead` the label of a
    pair as it would agree.
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
    wrong_way: bool = False
    instead: str = ""


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
    of: str = "",
) -> Verdict:
    """Apply the rule. `unit` is the label's (see `unit_of`); `change` marks a value against another case.
    `of` is the dimension of what has changed, where the change is in percent: it says what “quicker” means.

    Raises `units.WrongDimension`, `OutOfRange` (a computed value that is no number) and `Refused`
    (tolerance-on-comparison, or a label that states no single value).
    """
    _finite(computed, unit)
    stated = _one_value(stated, tolerance)
    why: list[str] = []
    value = exact(unit.from_si(computed.si))
    wrong_way = False
    if stated.direction_word:
        wrong_way = _contradicts(stated, value, of or computed.dimension, why)
        value = abs(value)
    elif change and not stated.signed:
        value = abs(value)
        why.append("no sign is written, so the size of the change is compared")
    stated = _to_the_place(stated, computed, unit, why)
    bounds = _bounds(stated, unit, tolerance, why)
    if computed.expanded > 0:
        expanded = exact(unit.from_si_difference(computed.expanded))
        why.append(f"the uncertainty of the result, ± {_plainly(expanded, unit)} (k = 2), excuses no digit")
    agrees = _inside(stated, value, bounds, unit) and not wrong_way
    return Verdict(
        agrees=agrees,
        computed=float(value),
        difference=float(_difference(stated, value)),
        allowed_low=-inf if bounds.low is None else float(bounds.low),
        allowed_high=inf if bounds.high is None else float(bounds.high),
        unit=unit,
        shown=_shown(stated, value, unit=unit, agrees=agrees or wrong_way, low=bounds.low, high=bounds.high),
        why=tuple(why),
        wrong_way=wrong_way,
    )


def judge_pair(
    stated: Stated,
    before: Computed,
    after: Computed,
    unit: Unit,
    tolerance: Tolerance | None = None,
) -> Verdict:
    """Whether both ends of a pair agree, each as a plain figure, in the order in which they are stated.

    The verdict is on the first end that does not agree, or else on the second; `shown` has both values.
    """
    ends = [_end(stated, number) for number in (stated.low, stated.high)]
    verdicts = [judge(end, value, unit, tolerance) for end, value in zip(ends, (before, after), strict=True)]
    telling = verdicts[1] if verdicts[0].agrees else verdicts[0]
    why = [
        f"{name}: {each}" for name, one in zip(("before", "after"), verdicts, strict=True) for each in one.why
    ]
    wrong_way = False
    if stated.direction_word:
        way = exact(unit.from_si(after.si)) - exact(unit.from_si(before.si))
        wrong_way = _contradicts(stated, way, after.dimension, why)
    return replace(
        telling,
        agrees=all(each.agrees for each in verdicts) and not wrong_way,
        shown=" → ".join(each.shown for each in verdicts),
        why=tuple(why),
        wrong_way=wrong_way,
        instead=restated_pair(stated, *(exact(unit.from_si(end.si)) for end in (before, after))),
    )


def _to_the_place(stated: Stated, computed: Computed, unit: Unit, why: list[str]) -> Stated:
    """A plain figure whose last zeros only keep the place, to the place of the result's uncertainty: the card
    shows 14 408 ± 1400 as 14 400 ± 1400 (JCGM 100:2008, 7.2.6), and so it may be copied."""
    number = stated.low
    if stated.form != "plain" or stated.hedge or stated.multiple or number.step != 1 or not number.value:
        return stated
    spread = abs(unit.from_si_difference(computed.expanded))
    place = decimals_of_uncertainty(spread) if spread else 0
    if place >= 0 or number.form != "integer" or number.value % 10**-place:
        return stated
    why.append(f"its last {-place} digits are beyond the uncertainty, and only keep the place")
    number = replace(number, step=Fraction(10) ** -place)
    return replace(stated, low=number, high=number)


def _end(stated: Stated, number: WrittenNumber) -> Stated:
    """One end of a pair as a figure of its own."""
    return replace(
        stated, form="plain", low=number, high=number, hedge=None, lead="", direction=0, direction_word=""
    )


def _finite(computed: Computed, unit: Unit) -> None:
    _same_dimension(unit.dimension, computed.dimension)
    if not (isfinite(computed.si) and isfinite(computed.expanded) and computed.expanded >= 0):
        raise OutOfRange("", f"{computed.si:g} ± {computed.expanded:g}", "a finite computed value")


def _one_value(stated: Stated, tolerance: Tolerance | None) -> Stated:
    """The label as one that states one value, with at most one tolerance; else `Refused`."""
    found = f"“{stated.label}”"
    if stated.form == "words":
        raise Refused("", found, "a number", help="write the number", code=FIGURE_UNREADABLE)
    if stated.tolerance is not None and tolerance is not None:
        raise Refused(
            "", f"{found} with a tolerance", "one tolerance", help="drop one", code=FIGURE_UNREADABLE
        )
    if stated.form == "comparison" and tolerance is not None:
        raise Refused(
            "",
            f"{found} with a tolerance",
            "a comparison without one",
            help=TOLERANCE_ON_COMPARISON.mend,
            code=TOLERANCE_ON_COMPARISON,
        )
    if stated.form != "pair":
        return stated
    if stated.low.value > stated.high.value:
        raise Refused(
            "",
            f"{found}, two values in the order in which they came",
            "a case to compare with, or a range from low to high",
            help="name the case before in the title, “vs CASE”, or write "
            + f"{stated.high.text}–{stated.low.text} {stated.unit}".rstrip(),
            code=FIGURE_UNREADABLE,
        )
    return replace(stated, form="range")


def _contradicts(stated: Stated, value: Fraction, dimension: str, why: list[str]) -> bool:
    """Whether the word of direction in the label says the opposite of the sign."""
    word = stated.direction_word
    way = directions.sense(word, dimension)
    if not way:
        why.append(f"“{word}” does not tell which way a {dimension} went, so the size is compared")
        return False
    said = "more" if way > 0 else "less"
    if value * way >= 0:
        why.append(f"“{word}” says {said}, and the sign says so too")
        return False
    why.append(f"“{word}” says {said}, and the computed change is {'less' if way > 0 else 'more'}")
    return True


@dataclass(frozen=True)
class _Bounds:
    """The allowed interval, None on the open side of a limit, and h (0 for what has no last digit)."""

    low: Fraction | None
    high: Fraction | None
    half: Fraction


def _bounds(stated: Stated, unit: Unit, tolerance: Tolerance | None, why: list[str]) -> _Bounds:
    exactly = tolerance is None and stated.tolerance is None
    low, high, half = _allowed(
        stated, unit, why, zero_is_nothing=exactly and not zero_is_a_value(unit.dimension)
    )
    if stated.comparator:
        return _Bounds(low, high, half)
    low_reach, high_reach = _widening(stated, unit=unit, tolerance=tolerance, why=why)
    return _Bounds(
        None if low is None else low - low_reach, None if high is None else high + high_reach, half
    )


def _inside(stated: Stated, value: Fraction, bounds: _Bounds, unit: Unit) -> bool:
    # 0 °C is 273.15 K: near it the noise is that of the SI value, not of the few degrees shown.
    scale = max(abs(value), abs(stated.low.value), abs(stated.high.value), abs(exact(unit.from_si(0.0))))
    slack = scale * NOISE
    if bounds.half:
        slack = min(slack, bounds.half / 1000)  # never so much that it counts beside the last digit written
    # On a strict side a value that equals the limit, noise aside, does not agree.
    strict = stated.comparator in ("<", ">")
    margin = -slack if strict else slack
    return (bounds.low is None or _above(value, bounds.low - margin, strict)) and (
        bounds.high is None or _above(bounds.high + margin, value, strict)
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


def _allowed(
    stated: Stated, unit: Unit, why: list[str], *, zero_is_nothing: bool
) -> tuple[Fraction | None, Fraction | None, Fraction]:
    """The interval before tolerance, and h."""
    x, half = stated.low.value, stated.half_unit_of(unit.dimension)
    if stated.form == "range":
        why.append("a range holds its two ends and all between")
        return x, stated.high.value, half
    if stated.comparator:
        return (*_limit(stated, half, why), half)
    if x == 0 and stated.hedge is None and not stated.multiple and zero_is_nothing:
        why.append("a plain 0 is exactly that; “about 0” allows half a unit of its last digit")
        return -half * 2 * VANISHES, half * 2 * VANISHES, half
    share = max(abs(x) * WORD_SHARE, half)
    if stated.hedge in ("nearly", "just over"):
        return (*_one_side(stated, share, unit, why), half)
    if stated.hedge == "about" and share > half:
        why.append(f"“{stated.lead}” allows ± 5 % of the figure (house rule), {_plainly(share, unit)}")
        return x - share, x + share, half
    _say_rounding(stated, half, unit, why)
    return x - half, x + half, half


def _limit(stated: Stated, half: Fraction, why: list[str]) -> tuple[Fraction | None, Fraction | None]:
    x = stated.low.value
    why.append(f"“{stated.lead}” must hold for the computed value itself")
    if stated.well:
        beyond = max(abs(x) * WORD_SHARE, half)
        x += beyond if stated.comparator == ">" else -beyond
        why.append("“well” means by more than 5 % of the figure (house rule)")
    return (x, None) if stated.comparator in (">", "≥") else (None, x)


def _one_side(stated: Stated, share: Fraction, unit: Unit, why: list[str]) -> tuple[Fraction, Fraction]:
    """Of nearly, just under and just over. Under and over mean the same below 0 as above; nearly −20 is
    between −20 and −19, nearer to 0, as nearly 20 is."""
    x = stated.low.value
    below = stated.hedge == "nearly"
    if below and x < 0 and not stated.lead.lower().endswith(("under", "below", "than")):
        below = False
    side = "below" if below else "above"
    why.append(
        f"“{stated.lead}” means up to 5 % of the figure {side} it (house rule), {_plainly(share, unit)}"
    )
    return (x - share, x) if below else (x, x + share)


def _say_rounding(stated: Stated, half: Fraction, unit: Unit, why: list[str]) -> None:
    number = stated.low.parts[1] if stated.low.parts else stated.low
    if not half:
        exactly = "a count in words is exact"
        if stated.teeth:
            exactly = "tooth counts are exact; a rounded ratio is written 4.56:1"
        why.append(exactly)
    elif number.form in ("fraction", "mixed", "words"):
        why.append(f"a number so written is rounded by up to {_plainly(half, unit)} (house rule)")
    else:
        why.append(f"half a unit of the last digit written is {_plainly(half, unit)} (ISO 80000-1, Annex B)")
    if stated.hedge == "about":
        why.append(f"“{stated.lead}” (± 5 %) is no wider than that")


def _widening(
    stated: Stated, unit: Unit, tolerance: Tolerance | None, why: list[str]
) -> tuple[Fraction, Fraction]:
    """t at the low and at the high end."""
    low = high = stated.tolerance or Fraction(0)
    if low:
        why.append(f"the label allows ± {_plainly(low, unit)}")
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
    if given is not None and given.dimension != unit.dimension:
        # ft·lb is a torque and an energy: the figure says which.
        meant = [known for known in units.spelt(given.symbol) if known.dimension == unit.dimension]
        given = meant[0] if meant else given
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
    if agrees:  # tenths of a coin tell nobody anything
        decimals = min(decimals, max(decimals - 1, amount_decimals(unit.symbol, decimals)))
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
