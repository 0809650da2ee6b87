"""The ledger as a table for people, as CSV and as JSON."""

from __future__ import annotations

from buildlog.files.spreadsheet import csv_text
from buildlog.kinds.key_texts import result_in_words
from buildlog.proof.judging import Entry, Judged
from buildlog.proof.proof import Report
from buildlog.report.json_text import json_text
from buildlog.report.predictions import prediction_rows, predictions_text
from buildlog.report.printable import printable, printable_path
from buildlog.report.text import percent
from buildlog.report.wording import plural

COLUMNS = (
    "page",
    "line",
    "column",
    "label",
    "standing",
    "address",
    "computed",
    "agrees",
    "anchor",
    "quantity",
)
FORMAT = 1


def _row(entry: Entry) -> dict[str, object]:
    row: dict[str, object] = {
        "page": entry.page,
        "line": entry.position.line,
        "column": entry.position.column,
        "label": entry.label,
        "standing": entry.standing,
        "address": entry.address,
        "computed": "",
        "agrees": None,
        "anchor": entry.anchor,
        "quantity": "",
    }
    if entry.judged is not None:
        row["label"] = entry.label or entry.judged.text  # an empty label is filled in by the build
        row["computed"] = entry.judged.computed_text
        row["quantity"] = _quantity(entry.judged)
    if entry.standing == "computed":
        row["agrees"] = entry.agrees
    return row


def _quantity(judged: Judged) -> str:
    """What a figure rests on, as readers call it; "" where that is no result and no input of a block."""
    target = judged.target
    if target is None:
        return ""
    if (declared := target.block.outputs.get(target.output)) is not None:
        return result_in_words(target.block, declared, target.key)
    return "" if target.given is None else target.given.declared.label


def ledger_json(report: Report) -> str:
    """All figures and predictions as JSON: ``{"format": 1, "coverage": …, "figures": [{page, line, …}],
    "predictions": …}``; see schemas/ledger.schema.json."""
    document = {
        "format": FORMAT,
        "coverage": report.coverage,
        "figures": [_row(entry) for entry in report.entries],
        "predictions": prediction_rows(report),
    }
    return json_text(document)


def ledger_csv(report: Report) -> str:
    """All figures as CSV, which has no escapes: signs that steer a terminal are shown as in the table."""
    rows = ([_shown(name, cell) for name, cell in _row(entry).items()] for entry in report.entries)
    return csv_text(COLUMNS, rows)


def _shown(column: str, cell: object) -> object:
    if not isinstance(cell, str):
        return cell
    return printable_path(cell) if column == COLUMNS[0] else printable(cell)


def ledger_text(report: Report) -> str:
    """All figures as a table, page by page."""
    lines: list[str] = []
    for page in report.pages:
        rows = [entry for entry in report.entries if entry.page == page]
        if not rows:
            continue
        resting = sum(entry.standing != "loose" for entry in rows)
        share = percent(resting / len(rows))
        head = f"{printable_path(page)}: {plural(len(rows), 'figure')}, {share} rest on something"
        lines += [head, *(_line(entry) for entry in rows), ""]
    return "\n".join([*lines, predictions_text(report)])


def _line(entry: Entry) -> str:
    row = _row(entry)
    mark = ""
    if entry.standing == "computed":
        mark = "agrees" if entry.agrees else "DISAGREES"
    elif entry.standing == "loose":
        mark = "rests on nothing"
    place = f"{row['line']}:{row['column']}"
    label = printable(str(row["label"]))
    return f"  {place:>8}  {label:<24} {entry.standing:<9} {mark:<17} {printable(entry.address)}".rstrip()
