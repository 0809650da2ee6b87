"""Figures in the other system of units: metric for readers of US customary, and the other way round.

The number of significant digits stays the author's, with one more where a unit of the last would be worth
more than three of the author's (“6.5 in” is “165 mm”, not “170 mm”), and never less than two: “3 N·m” as
“2 lbf·ft” would be a tenth off. What has none to count, a fraction or feet and inches, takes three; a
temperature keeps its decimals, since its zero is no zero of the quantity. Zeros at the end of a hedged
integer (“about 350”) are not significant; those of a plain one are, as the agreement rule has it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, inf
from typing import Protocol

from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.agreement import Computed, Tolerance, Verdict, judge
from buildlog.figures.labels import plain
from buildlog.figures.numbers import MINUS, NO_BREAK_SPACE, WrittenNumber
from buildlog.figures.stated import Stated, parse
from buildlog.figures.systems import FEWEST_DIGITS, decimals_of, other_unit, to_other, write_rounded
from buildlog.figures.units import Unit
from buildlog.kinds.results import Value
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.facts import Fact

FRACTION_DIGITS = 3
"""Significant digits of a converted fraction or compound."""
_MOST_ADDED = 6
_LEFT_OVER = 1e-9
"""Of a unit of the last decimal."""
# Common practice, no source.
_OF_FLUIDS = ((0.5, "US pt"), (15.0, "US qt"), (inf, "US gal"))
_ROOMS = ("displacement", "swept", "volume")


# --- the label of a figure ----------------------------------------------------------------


@dataclass(frozen=True)
class OtherLabel:
    """A figure in the other system: its text, and the system that the author wrote it in."""

    text: str
    system: str


class Labelled(Protocol):
    """What is converted: a label with what it was compared with. A judged figure is one."""

    @property
    def text(self) -> str: ...
    @property
    def agrees(self) -> bool: ...
    @property
    def value(self) -> Value | None: ...
    @property
    def verdict(self) -> Verdict | None: ...
    @property
    def versus(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def source(self) -> SourceEntry | None: ...
    @property
    def fact(self) -> Fact | None: ...


def other_label(judged: Labelled) -> OtherLabel | None:
    """A figure's label in the other system, in the author's own words; None where it stays as it is.

    It states what the author stated, and is judged like the author's. Where rounding alone would make a
    wrong one of an agreeing figure, a plain one (or “about”) takes the computed value instead, a range that
    was computed is rounded outwards, and a limit, “nearly” or “just over” takes as many digits more as it
    needs. A range that copies its source's is rounded end by end, as the source's own would be.
    """
    text = plain(judged.text).text
    read = _read(judged, text)
    if read is None:
        return None
    stated, unit, other = read
    share = 0.0
    if not (unit.offset or other.offset):
        share = unit.factor / other.factor
    values = [to_other(float(number.value), unit, other) for number in _numbers(stated)]
    if judged.value is not None and judged.verdict is None:  # filled in: nobody rounded it before us
        values = [other.from_si(judged.value.si)]
    plainly = stated.form == "plain" and stated.hedge in (None, "about")
    is_range = stated.form == "range"
    copied = is_range and judged.fact is not None and judged.fact.stated.form == "range"
    for added in range(1 if plainly else _MOST_ADDED + 1):
        for outwards in (False, True) if is_range else (False,):
            made = _converted(
                text, stated, values=values, other=other, share=share, added=added, outwards=outwards
            )
            if made is not None and (copied or _agrees(judged, *made, other)):
                return OtherLabel(made[0], unit.system)
    if not plainly:
        return None
    written = _of_plain(judged, text, stated=stated, values=values, other=other, share=share)
    if not written:
        return None
    return OtherLabel(written, unit.system)


def _read(judged: Labelled, text: str) -> tuple[Stated, Unit, Unit] | None:
    """What a label states, its unit and that of the other system; None where it stays as it is."""
    try:
        stated = parse(text)
        unit = _unit_of(judged, stated)
    except Refused:
        return None
    if not judged.agrees or unit is None or (stated.unit_spans and _unit_comes_first(stated)):
        return None
    if _has_other_numbers(stated) or (stated.form == "pair" and judged.versus):
        return None
    largest = max(abs(float(number.value)) for number in _numbers(stated))
    other = _of_fluid(judged, unit, largest) or other_unit(unit, largest)
    return None if other is None else (stated, unit, other)


def _of_fluid(judged: Labelled, unit: Unit, largest: float) -> Unit | None:
    """What a filling in litres that is cited or told is measured in: oil is bought by the quart. What was
    computed in litres is the room of something, and what names a displacement is one."""
    if judged.source is None or unit.name != "litre":
        return None
    said = f"{judged.fact.name if judged.fact is not None else ''} {judged.title}".casefold()
    if any(word in said for word in _ROOMS):
        return None
    symbol = next(symbol for most, symbol in _OF_FLUIDS if largest <= most)
    return units.find(symbol, unit.dimension)


def _of_plain(
    judged: Labelled, text: str, stated: Stated, values: list[float], other: Unit, share: float
) -> str | None:
    """A plain figure that rounding alone makes disagree: the computed value, to the author's digits.

    One that agrees only by the author's tolerance stays what the author stated.
    """
    assert judged.value is not None
    assert judged.verdict is not None
    if _agrees(judged, text, 0, judged.verdict.unit):
        computed = other.from_si(judged.value.si)
        closer = _converted(
            text, stated, values=[computed if stated.signed else abs(computed)], other=other, share=share
        )
        if closer and _agrees(judged, *closer, other):
            return closer[0]
    made = _converted(text, stated, values=values, other=other, share=share)
    if made is None:
        return None
    return made[0]


def _has_other_numbers(stated: Stated) -> bool:
    """Whether something would stay as it was beside a converted number: a tolerance, a second unit, a sign
    in words."""
    sign_apart = any(number.sign not in number.text for number in _numbers(stated))
    return stated.tolerance is not None or stated.twice or sign_apart


def _numbers(stated: Stated) -> list[WrittenNumber]:
    if stated.form in ("range", "pair"):
        return [stated.low, stated.high]
    return [stated.low]


def _unit_of(judged: Labelled, stated: Stated) -> Unit | None:
    if judged.verdict is not None:
        return judged.verdict.unit
    if not stated.unit:
        return None
    return units.find(stated.unit, judged.value.dimension if judged.value else None)


def _unit_comes_first(stated: Stated) -> bool:
    return stated.unit_spans[0][0] < stated.number_spans[0][0]


def _digits(number: WrittenNumber, hedged: bool) -> tuple[int, float]:
    """How many significant digits a number is written with, and what a unit of the last is worth (0 where
    that does not say how exact the number is)."""
    if number.parts or number.form in ("fraction", "mixed"):
        return FRACTION_DIGITS, 0.0
    text = str(int(abs(number.value / number.step)))
    significant = text
    if hedged and number.form == "integer":
        significant = text.rstrip("0")
    digits = max(FEWEST_DIGITS, len(significant))
    return digits, float(number.step) * 10 ** (len(text) - len(significant))


def _converted(
    text: str,
    stated: Stated,
    values: list[float],
    other: Unit,
    share: float,
    added: int = 0,
    outwards: bool = False,
) -> tuple[str, int] | None:
    """The label with these numbers in place of its own, to `added` digits more than the author's, and their
    decimals. `share` is the author's unit in the other, 0 for temperatures. A range may be rounded
    `outwards`, so that it holds all that it held."""
    numbers = _numbers(stated)
    lowest = None
    if not share:
        decimals = max(number.decimals for number in numbers) + added
    else:  # the ends of a range are written alike, as the larger one is, but for a lower one left too few
        digits, step = _digits(numbers[-1], stated.hedge is not None)
        decimals = decimals_of(values[-1], digits, step * share) + added
        if len(values) == 2 and values[0]:
            lowest = max(decimals, decimals_of(values[0], FEWEST_DIGITS))
    if lowest is None:
        lowest = decimals
    if outwards:
        values = [_rounded(floor, values[0], lowest), _rounded(ceil, values[-1], decimals)]
    written = [_write(number, value, decimals) for number, value in zip(numbers, values, strict=True)]
    written[0] = _write(numbers[0], values[0], lowest)
    if len(written) == 2 and written[0] == written[1]:
        return None
    return _put(text, stated, written, other), decimals


def _rounded(way: Callable[[float], int], value: float, decimals: int) -> float:
    """A value down or up to its last decimal; what floats leave over is no reason to go further."""
    shifted = value * 10.0**decimals
    near = round(shifted)
    return (near if abs(shifted - near) < _LEFT_OVER else way(shifted)) / 10.0**decimals


def _write(number: WrittenNumber, value: float, decimals: int) -> str:
    body = write_rounded(abs(value), decimals, number.separator or None)
    if value < 0:
        # The author's own minus, be it a hyphen; ours where the sign came with the conversion.
        return ("-" if number.sign == "-" else MINUS) + body
    if number.sign == "+":
        return "+" + body
    return body


def _put(text: str, stated: Stated, written: list[str], other: Unit) -> str:
    """New numbers and units where the old ones stand."""
    replaced = list(zip(stated.number_spans, written, strict=True))
    replaced += [(span, other.symbol) for span in stated.unit_spans]
    made, at = "", 0
    for (start, end), new in sorted(replaced):
        between = text[at:start]
        if new == other.symbol and not between.strip():
            between = NO_BREAK_SPACE
        made, at = made + between + new, end
    made += text[at:]
    if not stated.unit_spans:  # the author gave the unit in the title, or left it to the result
        made += f"{NO_BREAK_SPACE}{other.symbol}"
    return made


def _agrees(judged: Labelled, written: str, decimals: int, unit: Unit) -> bool:
    """Whether a label in `unit` agrees with the computed value, the author's tolerance aside.

    An integer that was rounded to tens or hundreds is off by up to half of one.
    """
    if judged.value is None or judged.verdict is None:
        return True
    value = Computed(judged.value.si, judged.value.dimension, judged.value.expanded_uncertainty)
    try:
        again = parse(written)
        tens = None
        if decimals < 0 and again.form == "plain":
            tens = Tolerance((Fraction(10) ** -decimals - 1) / 2)
        return judge(again, value, unit, tens, change=bool(judged.versus)).agrees
    except Refused:
        return False
