"""The budgets of a block's results: as a table for a terminal, and with all values as JSON.

The JSON is ``{"format": 1, "address": …, "kind": …, "title": …, "cases": [{"name", "drawn", "results":
[{"name", "title", "about", "unit", "value", "uncertainty", "interval", "budget": [{"doubt", "stated",
"alone", "share", "halved", "together"}]}]}]}``. Uncertainties are expanded, k = 2, in the result's unit,
`share` is one of the variance. `halved` is null where a doubt cannot be halved, and `together` counts the
doubts that a line sums up, 0 where it is one. Words have their text as `value` and none of the rest.
"""

from __future__ import annotations

from typing import Any

from buildlog.diagnostics import did_you_mean
from buildlog.figures import units
from buildlog.kinds.budget import BudgetLine, amount_in_words, budget_lines
from buildlog.kinds.declaration import Output
from buildlog.kinds.key_texts import result_in_words
from buildlog.kinds.results import BlockResult, CaseResult, Value
from buildlog.report.json_text import json_text
from buildlog.report.printable import printable

FORMAT = 1
_EXACT = 1e-9
_BAR = 20
"""How many signs the bar of all of the variance has."""


class NoBudget(Exception):
    """A result that is not there, or that is exact; says which have a budget."""


def working_json(block: BlockResult) -> str:
    """Every result of a block with its budget."""
    return json_text(
        {
            "format": FORMAT,
            "address": block.address,
            "kind": block.kind,
            "title": block.title,
            "cases": [_case(block, case) for case in block.cases.values()],
        }
    )


def _case(block: BlockResult, case: CaseResult) -> dict[str, Any]:
    results = []
    for output, key in block.rows():
        value = block.value(case.name, output.name, key)
        if value is not None:
            results.append(
                {
                    "name": _name(output, key),
                    "title": result_in_words(block, output, key),
                    "about": output.about,
                    **_result(case, value),
                }
            )
    drawn = case.simulation.words.replace("\u00a0", " ") if case.simulation else None
    return {"name": case.name, "drawn": drawn, "results": results}


def _result(case: CaseResult, value: Value | str) -> dict[str, Any]:
    if isinstance(value, str):
        return {"value": value}
    unit = units.find(value.unit, value.dimension)

    def spread(si: float) -> float:
        return abs(unit.from_si_difference(si))

    lines = budget_lines(case, value) if _is_doubtful(value) else ()
    return {
        "unit": unit.symbol,
        "value": unit.from_si(value.si),
        "uncertainty": spread(value.expanded_uncertainty) if lines else 0.0,
        "interval": [unit.from_si(end) for end in value.interval] if value.interval else None,
        "budget": [
            {
                "doubt": line.name,
                "stated": line.stated,
                "alone": spread(line.alone),
                "share": line.share,
                "halved": None if line.halved is None else spread(line.halved),
                "together": line.together,
            }
            for line in lines
        ],
    }


def budget_text(block: BlockResult, result: str) -> str:
    """The budget of one result, as its address names it (``speed_at_limit.2``), in every case."""
    lines: list[str] = []
    having: list[str] = []
    for output, key in block.rows():
        for case in block.cases.values():
            value = block.value(case.name, output.name, key)
            if isinstance(value, Value) and _is_doubtful(value):
                having.append(_name(output, key))
                if having[-1] == result:
                    lines += _table(result, case, value)
    if not lines:
        known = list(dict.fromkeys(having))
        near = did_you_mean(result, known)
        told = f"no result “{printable(result)}” that has an uncertainty" + (f": {near}" if near else "")
        raise NoBudget("\n".join([told, *(["These have one:"] if known else []), *(f"  {n}" for n in known)]))
    return "\n".join([*lines, "Shares are of the variance; ± are expanded uncertainties, k = 2.", ""])


def _table(result: str, case: CaseResult, value: Value) -> list[str]:
    """The doubts stand last, since some are sentences."""
    rows = [("Share", "", "Alone", "If halved", "As stated", "Doubt")]
    rows += [_row(value, line) for line in budget_lines(case, value)]
    width = [max(len(row[column]) for row in rows) for column in range(6)]
    table = [
        f"  {share:>{width[0]}}  {bar:<{width[1]}}  {alone:>{width[2]}}  {halved:>{width[3]}}  "
        f"{stated:<{width[4]}}  {name}"
        for share, bar, alone, halved, stated, name in rows
    ]
    head = f"{result} {case.name}".rstrip() + f": {_plus_minus(value, value.expanded_uncertainty)}"
    return [head, *table, ""]


def _row(value: Value, line: BudgetLine) -> tuple[str, str, str, str, str, str]:
    return (
        f"{100 * line.share:.0f} %",
        "█" * round(_BAR * line.share),
        _plus_minus(value, line.alone),
        "–" if line.halved is None else _plus_minus(value, line.halved),
        printable(line.stated),
        printable(line.name),
    )


def _plus_minus(value: Value, expanded: float) -> str:
    return f"± {amount_in_words(value, expanded)}".replace("\u00a0", " ")


def _is_doubtful(value: Value) -> bool:
    return value.expanded_uncertainty > _EXACT * abs(value.si)


def _name(output: Output, key: str) -> str:
    return f"{output.name}.{key}" if key else output.name
