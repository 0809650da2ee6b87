"""Figures in sentences that our own code made, in both systems of units: “At 158 km/h (98 mph) in gear 4 …”.

Remarks and results in words hold figures as text. They are found as loose figures of prose are, and
each number of one is written about as exactly in the other system.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil, log10

from buildlog.figures import units
from buildlog.figures.numbers import MINUS
from buildlog.figures.systems import (
    COARSER,
    FEWEST_DIGITS,
    decimals_of,
    other_unit,
    system_of,
    to_other,
    write_rounded,
)
from buildlog.figures.units import Unit
from buildlog.proof.loose_figures import loose_spans

_FIGURE = re.compile(r"(?P<numbers>.*[0-9])(?P<blank>[ \u00a0\u202f]?)(?P<unit>[^0-9]*[^0-9\s]\S*|[^0-9\s])")
_NUMBER = re.compile(r"(?<![\w.])[-−]?[0-9]+(?:[\u202f\u00a0][0-9]{3})*(?:\.[0-9]+)?")
_DIFFERENCES = {"K": "temperature difference"}
# “12 °C warmer” and “by 12 °C” are differences, which our own sentences write in K: anything else is left.
_COMPARED = re.compile(
    r"[ \u00a0](?:more|less|above|below|over|under|higher|lower|warmer|cooler|hotter|colder|rise|fall|drop)\b"
)
_COMPARED_BEFORE = re.compile(r"\b(?:by|of|to within|rises?|falls?|drops?)[ \u00a0]$|[±+−-][ \u00a0]?$")


@dataclass(frozen=True)
class WordsPart:
    """A stretch of a sentence. Of a figure, `other` is the same in the other system than `system`."""

    text: str
    other: str = ""
    system: str = ""


def in_both_systems(text: str) -> list[WordsPart]:
    """A sentence in stretches: its words, and the figures that readers of the other system want otherwise."""
    parts: list[WordsPart] = []
    done = 0
    for start, end in loose_spans(text):
        part = _figure(text, start, end)
        if part is not None:
            parts += [WordsPart(text[done:start]), part]
            done = end
    return [part for part in (*parts, WordsPart(text[done:])) if part.text]


def _figure(text: str, start: int, end: int) -> WordsPart | None:
    """A figure of a sentence; None where it stays as it is in both systems."""
    match = _FIGURE.fullmatch(text, start, end)
    if match is None:
        return None
    unit = _unit(match["unit"].strip(), text[:start], text[end:])
    numbers = list(_NUMBER.finditer(match["numbers"]))
    if unit is None or not numbers:
        return None
    values = [_value(number[0]) for number in numbers]
    other = other_unit(unit, max(map(abs, values)))
    if other is None:
        return None
    decimals = max(_decimals(number[0], unit, other) for number in numbers)
    made, at = "", 0
    for number, value in zip(numbers, values, strict=True):
        between = match["numbers"][at : number.start()]
        made += between + _write(value, decimals, unit, other, spread="±" in between)
        at = number.end()
    made += match["numbers"][at:] + (match["blank"] or "\u00a0") + other.symbol
    return WordsPart(text[start:end], made, system_of(unit))


def _unit(symbol: str, before: str, after: str) -> Unit | None:
    if not units.spelt(symbol):  # most words are no unit: none is to be told what it is like
        return None
    unit = units.find(symbol, _DIFFERENCES.get(symbol))
    if unit.offset and (_COMPARED.match(after) or _COMPARED_BEFORE.search(before)):
        return None
    return unit


def _value(number: str) -> float:
    return float(re.sub("[\u202f\u00a0]", "", number).replace(MINUS, "-"))


def _decimals(number: str, unit: Unit, other: Unit) -> int:
    """So many that the last is worth no more than `COARSER` of the number's own; two digits at least."""
    value, decimals = _value(number), len(number.partition(".")[2])
    if unit.offset or other.offset:
        return decimals
    share = unit.factor / other.factor
    by_last_digit = ceil(-log10(COARSER * share * 10.0**-decimals))
    return max(by_last_digit, decimals_of(value * share, FEWEST_DIGITS)) if value else by_last_digit


def _write(value: float, decimals: int, unit: Unit, other: Unit, *, spread: bool) -> str:
    if spread:
        converted = other.from_si_difference(unit.to_si_difference(value))
    else:
        converted = to_other(value, unit, other)
    return (MINUS if converted < 0 else "") + write_rounded(abs(converted), decimals)
