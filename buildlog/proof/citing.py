"""A figure that restates what a source gives: against the source's fact of that name.

A fact is copied, as a result is: it must round to the figure. Where the source gives a tolerance or a range,
the figure either has the middle alone or both ends.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import repeat

from buildlog.diagnostics import Diagnostic, Position, Row, Severity, declare, did_you_mean
from buildlog.figures import units
from buildlog.figures.agreement import Computed, Verdict, judge, unit_of
from buildlog.figures.labels import plain
from buildlog.figures.money import amount_decimals
from buildlog.figures.numbers import WrittenNumber
from buildlog.figures.stated import Stated
from buildlog.kinds.results import Value
from buildlog.reading.blocks import SourceEntry
from buildlog.reading.facts import Fact
from buildlog.reading.inputs import decimals_of_step

CITED_DIFFERENTLY = declare(
    "cited-differently",
    "the figure is not what its source gives",
    why="Who follows the page does what the figure says, not what the document does.",
    mend="Write the source's figure, or mend the fact in sources.yml if the figure is right.",
    example="[93 N·m](cite:axle-sheet.drain-plug)        # whose fact is 39 ± 3 N·m",
)
UNKNOWN_FACT = declare(
    "unknown-fact",
    "the source has no fact of this name",
    why="A figure that rests on a fact which is not there rests on nothing.",
    mend="Correct the name, or add the fact to the source's entry in sources.yml.",
    example="[39 N·m](cite:axle-sheet.drian-plug)",
)
TORQUE_WITHOUT_FACT = declare(
    "torque-without-fact",
    "a cited torque that no fact of the source gives",
    why="Under a right key any number would pass, and who holds the wrench trusts it.",
    mend="Give the torque among the source's facts in sources.yml, and name the fact in the address. "
    "The workshop sheet takes torques from facts alone; elsewhere it is a warning.",
    example='[39 N·m](cite:axle-sheet "for the drain plug")',
)


@dataclass(frozen=True, kw_only=True)
class Cited:
    """How a figure compares with a fact; `verdict` is that of the first of its numbers that differs."""

    agrees: bool
    value: Value
    verdict: Verdict


def fact_of(source: SourceEntry, name: str, place: Position, length: int) -> Fact | Diagnostic:
    """The fact of this name, or the finding that there is none."""
    fact = source.facts.get(name)
    if fact is not None:
        return fact
    expected = f"a fact of {source.id}, which has none"
    if source.facts:
        expected = "one of " + ", ".join(source.facts)
    return UNKNOWN_FACT.at(
        place,
        found=f"“{name}”",
        expected=expected[:200],
        help=did_you_mean(name, source.facts),
        length=length,
        second=source.position,
        second_label="the source's entry",
    )


def compare_with_fact(stated: Stated, fact: Fact, given_unit: str = "") -> Cited:
    """A figure against a fact. Raises `Refused` for what cannot be compared."""
    spelling = stated.unit or given_unit
    meant = [unit.dimension for unit in units.spelt(spelling)] if spelling else []
    dimension = next((known for known in fact.dimensions if known in meant), fact.dimensions[0])
    unit = unit_of(stated, dimension, given_unit)
    own = units.find(fact.stated.unit, dimension)
    verdicts = [
        judge(label, Computed(own.to_si(float(number.value)), dimension), unit)
        for label, number in _pairs(stated, fact.stated)
    ]
    telling = next((verdict for verdict in verdicts if not verdict.agrees), verdicts[0])
    whole = len(verdicts) == 2 or fact.stated.form != "range"
    return Cited(agrees=telling.agrees and whole, value=fact_value(fact, dimension), verdict=telling)


def fact_value(fact: Fact, dimension: str) -> Value:
    """A fact as a value; of a range its lower end."""
    unit = units.find(fact.stated.unit, dimension)
    number = fact.stated.low
    return Value(
        si=unit.to_si(float(number.value)),
        dimension=dimension,
        unit=unit.symbol,
        decimals=amount_decimals(unit.symbol, decimals_of_step(number.step)),
    )


def _pairs(stated: Stated, fact: Stated) -> list[tuple[Stated, WrittenNumber]]:
    """What of a label is compared with what of a fact: two ends with two ends, or else the one number."""
    if stated.form == "range" or stated.tolerance is not None:
        return list(zip(map(_plain, repeat(stated), _ends(stated)), _ends(fact), strict=True))
    if stated.form == "comparison":  # “at most 0.05 mm” restates the limit
        return [(_plain(stated, stated.low), fact.low)]
    return [(stated, fact.low)]


def _ends(stated: Stated) -> tuple[WrittenNumber, WrittenNumber]:
    """Both ends of a range, or of a figure with its tolerance; of a plain figure it is itself both."""
    reach = stated.tolerance or 0
    return (
        replace(stated.low, value=stated.low.value - reach),
        replace(stated.high, value=stated.high.value + reach),
    )


def _plain(stated: Stated, number: WrittenNumber) -> Stated:
    """One number of a label as a figure of its own."""
    return replace(stated, form="plain", low=number, high=number, comparator=None, tolerance=None)


def differing(label: str, fact: Fact, source: SourceEntry, place: Position) -> Diagnostic:
    """That a figure is not what its source gives."""
    shown = plain(label).text
    return CITED_DIFFERENTLY.at(
        place,
        f"“{shown}” is stated, {source.id} gives {fact.text}",
        found=shown,
        expected=f"{fact.text} ({source.id}.{fact.name})",
        help=f"write “{fact.text}”, or mend the fact at {fact.position}",
        second=fact.position,
        second_label="the fact",
        length=len(label),
        rows=(
            Row("stated", shown),
            Row("cited", fact.text),
            Row("rests on", f"{source.id}.{fact.name}"),
        ),
    )


def torque_without_fact(
    label: str, source: SourceEntry, purpose: str, place: Position, length: int
) -> Diagnostic:
    """That a torque is cited which no fact gives: an error where it goes onto the workshop sheet."""
    severity = Severity.ERROR if purpose else Severity.WARNING
    shown = plain(label).text
    return TORQUE_WITHOUT_FACT.at(
        place,
        found=f"“{shown}” of {source.id}",
        expected="cite:source.fact",
        help=f"add “facts: {{name: {shown}}}” to {source.id} in sources.yml, and write cite:{source.id}.name",
        length=length,
        severity=severity,
        second=source.position,
        second_label="the source's entry",
    )
