"""A decision's results as a table: options as columns, requirements as rows, each cell's verdict in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from buildlog.figures.labels import write_number
from buildlog.kinds.budget import amount_in_words
from buildlog.kinds.quantities import Shown, other_of, shown
from buildlog.kinds.results import BlockResult, CaseResult, Value, card_anchor, row_anchor
from buildlog.kinds.verdicts import CLOSE, FAILS, HOLDS, requirement_key
from buildlog.physics.requirement import coverage_factor
from buildlog.reading.decisions import KIND, REQUIRES
from buildlog.render.pieces import LinkPiece, Rendered, render
from buildlog.render.sureness import Budget, Sure, budgets
from buildlog.render.words import say, to_say

_MOST_DECIMALS = 6
_ON_IT = to_say("the least change: it is on the limit")
_EXACT = 1e-9
"""Of a margin: what is left of exact values is rounding."""


@dataclass(frozen=True, kw_only=True)
class BothUnits:
    """A value as its author has it, and in the other system of units; `system` is the author's."""

    own: Shown
    other: Shown | None = None
    system: str = ""


@dataclass(frozen=True, kw_only=True)
class OptionCell:
    """One option held to one requirement. `limit` is its own where the options do not share it."""

    verdict: str
    mark: str
    value: BothUnits
    margin: BothUnits
    limit: BothUnits | None = None


@dataclass(frozen=True, kw_only=True)
class RequirementRow:
    """`anchors` are the ids of its row, by what figures name: the margin, and what it was made of."""

    name: str
    is_least: bool
    limit: BothUnits | None
    sure: str
    anchor: str
    anchors: tuple[str, ...]
    cells: tuple[OptionCell, ...]


@dataclass(frozen=True, kw_only=True)
class OptionColumn:
    """An option, the verdict over all, and the names of the requirements that it failed or left open."""

    name: str
    chosen: bool
    verdict: str
    mark: str
    rejected: bool
    because: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DecidingRow:
    """A verdict that decides, and what would turn it."""

    requirement: str
    option: str
    verdict: str
    mark: str
    turned_by: str


@dataclass(frozen=True, kw_only=True)
class DecisionTable:
    """The table of a decision's card. `budgets` are those of the margins that decide."""

    options: tuple[OptionColumn, ...]
    rows: tuple[RequirementRow, ...]
    anchor: str
    deciding: tuple[DecidingRow, ...] = ()
    budgets: tuple[Budget, ...] = ()


_MARKS = {HOLDS: "holds", FAILS: "fails", CLOSE: "close"}


def decision_table(block: BlockResult) -> DecisionTable | None:
    """The table of a decision that was computed; None for any other block."""
    if block.kind != KIND or not block.cases:
        return None
    options = tuple(_column(block, case) for case in block.cases.values())
    (first, *_) = block.cases.values()
    rows = tuple(_row(block, number) for number in range(len(first.inputs[REQUIRES])))
    return DecisionTable(
        options=options,
        rows=rows,
        anchor=row_anchor(block.id, "overall"),
        deciding=tuple(_row_of(block, case, row) for case, row in _deciding(block)),
        budgets=_budgets(block),
    )


def _deciding(block: BlockResult) -> Iterator[tuple[CaseResult, Mapping[str, Any]]]:
    """What decides: of an option that was not chosen what it failed or left open, of any other all rows. For
    another option to win, all of the first would have to turn, or one of the others."""
    for case in block.cases.values():
        rejected = bool(block.chosen) and case.name != block.chosen and case.values["overall"] != HOLDS
        for row in case.inputs[REQUIRES]:
            if not (rejected and block.value(case.name, "verdict", requirement_key(row)) == HOLDS):
                yield case, row


def _row_of(block: BlockResult, case: CaseResult, row: Mapping[str, Any]) -> DecidingRow:
    key = requirement_key(row)
    verdict = str(block.value(case.name, "verdict", key))
    return DecidingRow(
        requirement=str(row["name"]),
        option=case.name,
        verdict=verdict,
        mark=_MARKS[verdict],
        turned_by=_turned_by(_measured(block, case.name, "margin", key), verdict, row.get("sure")),
    )


def _budgets(block: BlockResult) -> tuple[Budget, ...]:
    """The budgets of the margins that decide; where one is too close to call, which halving settles it."""
    output = block.outputs["margin"]
    found: list[Sure] = []
    enough: dict[tuple[str, str], float] = {}
    for case, row in _deciding(block):
        key = requirement_key(row)
        margin = _measured(block, case.name, "margin", key)
        if margin.expanded_uncertainty > _EXACT * abs(margin.si):
            found.append(Sure(output, key, case, margin, called=str(row["name"])))
            if block.value(case.name, "verdict", key) == CLOSE:
                enough[case.name, key] = _enough(margin, row.get("sure"))

    def then(one: Sure, halved: float) -> str:
        if halved >= enough.get((one.case.name, one.key), 0.0):
            return ""
        return say("then it holds") if one.value.si > 0 else say("then it fails")

    return budgets(block, found, then)


def _enough(margin: Value, sure: float | None) -> float:
    """The expanded uncertainty (k = 2) below which a margin is no longer too close to call."""
    return abs(margin.si) * 2 / (coverage_factor(sure) if sure else 2.0)


def _turned_by(margin: Value, verdict: str, sure: float | None) -> str:
    """How far a margin has to move for another verdict, beside its expanded uncertainty; where it is too
    close to call, how small that would have to be."""
    expanded = margin.expanded_uncertainty
    if verdict == CLOSE:
        enough = _enough(margin, sure)
        if not enough:
            return say(_ON_IT)
        return say("± of less than {amount}", amount=amount_in_words(margin, enough))
    if not margin.si:
        return say(_ON_IT)
    amount = amount_in_words(margin, abs(margin.si))
    moved = say("{amount} less", amount=amount) if verdict == HOLDS else say("{amount} more", amount=amount)
    if expanded <= _EXACT * abs(margin.si):
        return say("{moved}; nothing in it is doubtful", moved=moved)
    times = abs(margin.si) / expanded
    number = write_number(times, 1 if times < 10 else 0)
    return say("{moved}, {number} times its ±", moved=moved, number=number)


def _column(block: BlockResult, case: CaseResult) -> OptionColumn:
    verdict = str(case.values["overall"])
    because = [
        str(row["name"])
        for row in case.inputs[REQUIRES]
        if verdict != HOLDS and block.value(case.name, "verdict", requirement_key(row)) == verdict
    ]
    chosen = bool(case.name) and case.name == block.chosen
    rejected = verdict == FAILS and bool(block.chosen) and not chosen
    return OptionColumn(
        name=case.name,
        chosen=chosen,
        verdict=verdict,
        mark=_MARKS[verdict],
        rejected=rejected,
        because=tuple(because),
    )


def _row(block: BlockResult, number: int) -> RequirementRow:
    """The requirement of a number. Options differ in its values and limits, and in nothing else."""
    first = next(iter(block.cases.values())).inputs[REQUIRES][number]
    key = requirement_key(first)
    limits = [_measured(block, case, "limit", key) for case in block.cases]
    shared = len({limit.si for limit in limits}) == 1
    cells = tuple(_cell(block, case, key, own_limit=not shared) for case in block.cases)
    return RequirementRow(
        name=str(first["name"]),
        is_least="at_least" in first,
        limit=_in_both(limits[0]) if shared else None,
        sure=f"{100 * first['sure']:g}\u00a0%" if "sure" in first else "",
        anchor=row_anchor(block.id, "margin", key),
        anchors=tuple(row_anchor(block.id, name, key) for name in ("value", "limit", "verdict")),
        cells=cells,
    )


def _cell(block: BlockResult, case: str, key: str, *, own_limit: bool) -> OptionCell:
    verdict = str(block.value(case, "verdict", key))
    return OptionCell(
        verdict=verdict,
        mark=_MARKS[verdict],
        value=_in_both(_measured(block, case, "value", key)),
        margin=_in_both(_measured(block, case, "margin", key)),
        limit=_in_both(_measured(block, case, "limit", key)) if own_limit else None,
    )


def _measured(block: BlockResult, case: str, name: str, key: str) -> Value:
    value = block.value(case, name, key)
    assert isinstance(value, Value)
    return value


def _in_both(value: Value) -> BothUnits:
    """A value with so many decimals that a margin of next to nothing does not read as none."""
    more = 0
    while value.si and more < _MOST_DECIMALS and not _shows_a_digit(shown(value, more).number):
        more += 1
    other = other_of([value], more)
    if other is None:
        return BothUnits(own=shown(value, more))
    return BothUnits(own=shown(value, more), other=other.shown(value), system=other.system)


def _shows_a_digit(text: str) -> bool:
    return any(digit in text for digit in "123456789")


def render_way_up(block: BlockResult) -> Rendered:
    """What stands where a decision was written: its card stands first on the page."""
    card = LinkPiece(page=None, anchor=card_anchor(block.id), text=block.title or block.id)
    return render("way-up.html.j2", card=card)
