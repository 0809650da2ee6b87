"""Values that were found independently of each other, beside each other: predicted and measured, told and
computed.

Such a comparison is no copy: a claim may be wrong, and a prediction fail, and the page says so. Both
uncertainties count, and what both values rest on counts once.
"""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.book.addresses import Mode, Target, change
from buildlog.diagnostics import Diagnostic, Position, Refused, Severity, declare
from buildlog.figures import units
from buildlog.figures.agreement import Computed, judge, unit_of
from buildlog.figures.comparison import normalised_error, within_uncertainty, write_error
from buildlog.figures.labels import plain, write_figure
from buildlog.figures.stated import Stated
from buildlog.kinds.results import Value
from buildlog.reading.addresses import OPTION_UNREADABLE
from buildlog.said import listed, said

VALUES_DIFFER = declare(
    "values-differ",
    "two values that were found independently differ by more than their uncertainties",
    why="One of them is wrong, or more uncertain than is said.",
    mend="Look for what is wrong or left out, and say so in the text; the page shows both.",
    severity=Severity.WARNING,
    example='[132.7 km/h](calc:final.after.speed_at_limit.3 "against calc:run.top_speed")',
)
CLAIM_DIFFERS = declare(
    "claim-differs",
    "what is told is not what is computed",
    why="A claim may be wrong, and the page shows both; but its author should know.",
    mend="Leave it, if it is what was said: the page says that they do not agree.",
    severity=Severity.NOTE,
    example='[half a second](told:first-driver "of calc:hill.new.time vs old")',
)


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """What a figure was compared with, and how that came out, in a sentence for readers.

    `other` is what a change is against; `shown` the value that it was compared with.
    """

    target: Target
    other: Target | None = None
    agrees: bool
    shown: str
    sentence: str

    @property
    def targets(self) -> tuple[Target, ...]:
        return (self.target,) if self.other is None else (self.target, self.other)


def compare_values(own: Target, against: Target) -> Comparison:
    """Two values by their normalised error. Raises `Refused` where neither has an uncertainty."""
    value, other = own.number, against.number
    difference = change(own, against, "difference")
    if difference.expanded_uncertainty == 0:
        raise Refused(
            "title",
            f"against {against.words}, and neither is uncertain",
            "a value with ±",
            help="write the uncertainty of what was measured into its block, or compare with “vs”",
            code=OPTION_UNREADABLE,
        )
    error = normalised_error(difference.si, difference.expanded_uncertainty)
    shared = value.contributions.keys() & other.contributions.keys()
    agrees = within_uncertainty(error)
    compared = said(
        "Compared with {what}, {value}: En = {error}",
        what=against.words,
        value=_with_uncertainty(other),
        error=write_error(error).lstrip("+"),
    )
    if agrees:
        sentence = said(
            "{compared}, not more than 1: they agree within their uncertainties (ISO/IEC 17043)",
            compared=compared,
        )
    else:
        sentence = said(
            "{compared}, more than 1: they differ by more than their uncertainties (ISO/IEC 17043)",
            compared=compared,
        )
    if shared:
        sentence = listed([sentence, said("what both rest on counts once")], "; ")
    return Comparison(target=against, agrees=agrees, shown=_with_uncertainty(other), sentence=sentence)


def values_differ(comparison: Comparison, label: str, place: Position, length: int) -> Diagnostic:
    """That two values differ."""
    return VALUES_DIFFER.at(
        place,
        found=f"“{plain(label).text}”. {comparison.sentence}",
        expected="an En of 1 or less",
        length=length,
        second=comparison.target.block.position,
        second_label="what it is compared with",
    )


def compare_claim(stated: Stated, target: Target, other: Target | None, given_unit: str) -> Comparison:
    """What somebody said beside the computed value: it agrees where what is said and the value with its
    uncertainty have anything in common. Raises `Refused` for what cannot be compared."""
    value = target.number
    if other is not None:
        value = change(target, other, _mode(stated, given_unit))
    unit = unit_of(stated, value.dimension, given_unit)
    verdict = judge(
        stated,
        Computed(value.si, value.dimension),
        unit,
        change=other is not None,
        of=target.number.dimension,
    )
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    inside = verdict.allowed_low - spread <= verdict.computed <= verdict.allowed_high + spread
    agrees = inside and not verdict.wrong_way
    shown = _with_uncertainty(value, unit, verdict.shown if value.si >= 0 else "")
    what = target.words
    if other is not None:
        what = said("{what}, against {other}", what=target.words, other=other.words)
    how = said("Computed:") if target.given is None else said("Given:")
    if agrees:
        sentence = said("{how} {value} ({what}), with which it agrees", how=how, value=shown, what=what)
    else:
        sentence = said(
            "{how} {value} ({what}), with which it does not agree", how=how, value=shown, what=what
        )
    return Comparison(target=target, other=other, agrees=agrees, shown=shown, sentence=sentence)


def claim_differs(comparison: Comparison, label: str, place: Position) -> Diagnostic:
    """That a claim is not what is computed."""
    return CLAIM_DIFFERS.at(
        place,
        found=f"“{plain(label).text}”",
        expected=f"{comparison.shown} ({comparison.target.words})",
        length=len(label),
        second=comparison.target.block.position,
        second_label="what it is compared with",
    )


def _mode(stated: Stated, given_unit: str) -> Mode:
    if stated.multiple:
        return "times"
    spelling = stated.unit or given_unit
    percent = bool(spelling) and any(unit.symbol == "%" for unit in units.spelt(spelling))
    return "percent" if percent else "difference"


def _with_uncertainty(value: Value, unit: units.Unit | None = None, shown: str = "") -> str:
    """A value with its expanded uncertainty, for a sentence."""
    unit = unit or units.find(value.unit, value.dimension)
    decimals = value.decimals + 1
    text = shown or write_figure(unit.from_si(value.si), decimals, unit.symbol)
    spread = abs(unit.from_si_difference(value.expanded_uncertainty))
    if not spread:
        return text
    return f"{text} ± {write_figure(spread, decimals, unit.difference_symbol())}"
