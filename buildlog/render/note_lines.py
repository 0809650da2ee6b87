"""The lines of a figure's note that state values: what was computed, and whether the figure agrees with it.

Both are in the words and the unit of the label, whatever unit the card has, so that a note has one system of
units; the other one is there for readers who choose it. Numbers are compared by the agreement rule
(`buildlog.figures.agreement`), whose verdict is told here and not found again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.agreement import Verdict
from buildlog.figures.labels import plain, write_number
from buildlog.figures.numbers import NO_BREAK_SPACE
from buildlog.figures.stated import Stated, parse
from buildlog.figures.systems import to_other
from buildlog.figures.units import Unit
from buildlog.kinds.budget import parts_in_words
from buildlog.kinds.quantities import Shown, shown_in
from buildlog.kinds.results import Value
from buildlog.proof.judging import Judged
from buildlog.render.conversion import other_label
from buildlog.render.words import say, to_say
from buildlog.render.words_in_units import in_both_systems

_TURNED = {">": "<", "≥": "≤", "<": ">", "≤": "≥"}
_NOT = {">": "≤", "≥": "<", "<": "≥", "≤": ">"}
_MONEY = "money in "
_SAME = 1e-9
_WIDENED = to_say("within the ± that the author allows")


@dataclass(frozen=True, kw_only=True)
class NoteLine:
    """A line of a note: a value between words. `other` is the value in the other system of units, where it is
    not the same there, and `system` the one that `text` is in."""

    text: str
    other: str = ""
    system: str = ""
    before: str = ""
    after: str = ""


def sentence_line(text: str, system: str = "") -> NoteLine:
    """A sentence of ours with its values in both systems; `system` is the one that its note is in, "" where
    nothing else in it has one. Values of several systems stay as they are."""
    parts = in_both_systems(text)
    own = {part.system for part in parts if part.other}
    if len(own) != 1:
        return NoteLine(text=text)
    turned = "".join(part.other or part.text for part in parts)
    if system and system not in own:
        return NoteLine(text=turned, other=text, system=system)
    return NoteLine(text=text, other=turned, system=own.pop())


def computed_line(value: Value, judged: Judged) -> NoteLine:
    """The computed value with its uncertainty, in the unit of the label and to a digit more than the card
    shows; a given one as it was given."""
    own = units.find(value.unit, value.dimension)
    unit = judged.verdict.unit if judged.verdict is not None else own
    exactly = value.unit == "%" or judged.is_given or _is_money(value)
    more = 0 if exactly else 1
    found = shown_in(value, unit, more)
    how = (say("Computed:") if judged.found_how == "computed" else say("Given:")) + " "
    line = NoteLine(text=_as_spelt(found, judged) + _made_of(value, found, unit), before=how)
    if (in_other := _in_other(judged, value.dimension)) is not None:
        _, other, system = in_other
        found = shown_in(value, other, more)
        line = replace(line, other=found.text + _made_of(value, found, other), system=system)
    return line


def _in_other(judged: Judged, dimension: str) -> tuple[Stated, Unit, str] | None:
    """The label in the other system of units, its unit there, and the author's system; None where it stays as
    it is, and its note with it."""
    other = other_label(judged)
    if other is None:
        return None
    try:
        stated = parse(other.text)
        return stated, units.find(stated.unit, dimension), other.system
    except Refused:
        return None


def _made_of(value: Value, found: Shown, unit: Unit) -> str:
    """What stands behind an uncertainty: its coverage factor, and its two parts in the same unit."""
    if not found.margin:
        return ""
    parts = say(parts_in_words(replace(value, unit=unit.symbol)))
    return f" (k = 2; {parts})" if parts else " (k = 2)"


def verdict_line(judged: Judged) -> NoteLine | None:
    """Whether a figure agrees with the value that it restates, and by which rule; None where nothing was
    compared."""
    if judged.spoken and judged.stated is not None:
        both = say("“{stated}” and “{computed}”", stated=plain(judged.label).text, computed=judged.spoken)
        return NoteLine(text=both, after=_whether(judged))
    verdict, value = judged.verdict, judged.value
    if verdict is None or value is None:
        return None
    label = plain(judged.text).text
    try:
        stated = parse(label)
    except Refused:  # it was read before: only a label that another extension made can come here
        return None
    if judged.is_given and abs(verdict.difference) <= _SAME * abs(verdict.computed):
        other = other_label(judged)
        line = NoteLine(text=label, after=say(": agrees, as given"))
        return replace(line, other=other.text, system=other.system) if other else line
    line = NoteLine(
        text=_beside(stated, verdict, _digits(verdict, value), verdict.unit),
        after=f"{_by_how_much(stated, verdict)}{_whether(judged)}{_reason(stated, verdict, judged)}",
    )
    return _with_other(line, judged, verdict)


def _with_other(line: NoteLine, judged: Judged, verdict: Verdict) -> NoteLine:
    """The line with the same comparison in the other system of units, where the label has one."""
    in_other = _in_other(judged, verdict.unit.dimension)
    if in_other is None:
        return line
    stated, unit, system = in_other

    def write(number: float) -> str:
        decimals = max(stated.low.decimals, stated.high.decimals) + 1
        return write_number(to_other(number, verdict.unit, unit), decimals)

    return replace(line, other=_beside(stated, verdict, write, unit), system=system)


def _is_money(value: Value) -> bool:
    return value.dimension.startswith(_MONEY)


def _digits(verdict: Verdict, value: Value) -> Callable[[float], str]:
    """Writes the computed value with the digits that show the verdict. Money has the decimals of its coins,
    and what is counted none, unless they would hide why it is wrong."""
    decimals = None
    if value.is_whole or _is_money(value):
        decimals = 0 if value.is_whole else value.decimals
    symbol = verdict.unit.symbol

    def write(number: float) -> str:
        if decimals is not None and verdict.agrees:
            return write_number(number, decimals)
        return verdict.shown.removesuffix(symbol).rstrip(f" {NO_BREAK_SPACE}")

    return write


def _beside(stated: Stated, verdict: Verdict, write: Callable[[float], str], unit: Unit) -> str:
    """What is stated beside what was computed: ``160 < 165.8 km/h``, ``about 160 and 165.8 km/h``."""
    label = stated.label
    if stated.form == "pair":
        if unit != verdict.unit:
            return ""
        return say("{stated} and {computed}", stated=label, computed=verdict.shown)
    computed = write(verdict.computed)
    if stated.comparator:
        limit = stated.low.text
        if verdict.agrees or stated.well:
            return _spelt(f"{limit} {_TURNED[stated.comparator]} {computed}", stated, unit)
        return _spelt(f"{computed} {_NOT[stated.comparator]} {limit}", stated, unit)
    return say(
        "{stated} and {computed}", stated=_without_unit(stated), computed=_spelt(computed, stated, unit)
    )


def _without_unit(stated: Stated) -> str:
    """The label without the unit at its end, which is said once for both numbers."""
    if len(stated.unit_spans) != 1:
        return stated.label
    start, end = stated.unit_spans[0]
    if stated.label[end:].strip() or not stated.label[:start].strip():
        return stated.label
    return stated.label[:start].rstrip(f" {NO_BREAK_SPACE}")


def _spelt(number: str, stated: Stated, unit: Unit) -> str:
    """A number with the unit as the label spells it, before it or behind."""
    spelling = stated.unit or unit.symbol
    if stated.multiple:
        return say("{number} times", number=number)
    if not spelling:
        return number
    if stated.unit_spans and stated.unit_spans[0][0] < stated.number_spans[0][0]:
        return f"{spelling}{number}"
    return f"{number}{NO_BREAK_SPACE}{spelling}"


def _as_spelt(found: Shown, judged: Judged) -> str:
    """A computed value with the unit as the label spells it, where that stands before the number."""
    stated = judged.stated
    if stated is None or not (stated.unit_spans and stated.unit_spans[0][0] < stated.number_spans[0][0]):
        return found.text
    return f"{stated.unit}{found.number} {found.margin}".rstrip()


def _whether(judged: Judged) -> str:
    return say(": agrees") if judged.agrees else say(": does not agree")


def _by_how_much(stated: Stated, verdict: Verdict) -> str:
    """Of “well over” and “well under”, which want more than the limit."""
    if not stated.well:
        return ""
    if verdict.agrees:
        return ", " + say("by more than 5\u00a0%")
    return ", " + say("not by more than 5\u00a0%")


def _reason(stated: Stated, verdict: Verdict, judged: Judged) -> str:
    """Why a figure that is not the computed value itself agrees with it, in a few words."""
    if verdict.wrong_way:
        return ": " + say("it goes the other way")
    is_exact = stated.comparator or stated.count or stated.teeth
    if not judged.agrees or is_exact or (judged.value is not None and judged.value.is_whole):
        return ""
    if stated.form == "pair":
        return ", " + say("both round to it")
    widened = any("allows ±" in why for why in verdict.why)
    if stated.form == "range":
        return ", " + (say(_WIDENED) if verdict.difference else say("it is between them"))
    within_half = abs(verdict.difference) <= stated.half_unit_of(verdict.unit.dimension)
    if stated.hedge not in (None, "about"):
        return ", " + say("by no more than the 5\u00a0% of “{words}”", words=stated.lead)
    if stated.hedge == "about" and not within_half:
        return ", " + say("within the 5\u00a0% of “{words}”", words=stated.lead)
    if any("only keep the place" in why for why in verdict.why) and not within_half:
        return ", " + say("to the place of its uncertainty")
    if widened and not within_half:
        return ", " + say(_WIDENED)
    return ", " + say("it rounds to it")
