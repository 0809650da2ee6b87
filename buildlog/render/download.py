"""What a reader can take away from a card: its results, and each table of inputs, as CSV inside the page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from buildlog.figures import units
from buildlog.files.spreadsheet import csv_text
from buildlog.kinds.declaration import Input, Measure
from buildlog.kinds.key_texts import result_in_words
from buildlog.kinds.money import CURRENCY, inputs_in
from buildlog.kinds.results import BlockResult, Value
from buildlog.render.table import sentence
from buildlog.render.words import say, spoken

_PLAIN = ",/:;=@!$*()"
"""Signs that stand in the data of an address as they are: a comma stands in it more often than any letter."""


@dataclass(frozen=True)
class Download:
    """`address` holds the file itself, so that it needs no script and no server."""

    label: str
    name: str
    address: str


def downloads(block: BlockResult) -> list[Download]:
    """The card's files. Values have 12 significant digits, in the unit that the card shows."""
    made = [_download(say("Results as CSV"), f"{block.id}.csv", results_csv(block))]
    for case in block.cases.values():
        declared = block.calculator.inputs if block.calculator else ()
        code = str(case.inputs.get(CURRENCY, "EUR"))
        for table in inputs_in(declared, code):
            rows = case.inputs.get(table.name)
            if table.form.row and rows:
                name = "-".join(filter(None, (block.id, case.name, table.name.replace("_", "-"))))
                called = table.name.replace("_", " ") if spoken().is_english else table.label
                words = ", ".join(filter(None, (sentence(called), case.name)))
                label = say("{table} as CSV", table=words)
                made.append(_download(label, f"{name}.csv", table_csv(table.form.row, rows)))
    for sheet in block.sheets:
        name = "-".join(filter(None, (block.id, sheet.name, "sheet")))
        words = ", ".join(filter(None, (say("Empty sheet"), sheet.name)))
        label = say("{table} as CSV", table=words)
        made.append(_download(label, f"{name}.csv", csv_text(sheet.headings, sheet.rows)))
    return made


def _download(label: str, name: str, text: str) -> Download:
    return Download(label, name, f"data:text/csv;charset=utf-8,{quote(text, safe=_PLAIN)}")


def results_csv(block: BlockResult) -> str:
    """One row a quantity: its name, its title with the words of its row, its key, its unit, and for each case
    value, expanded uncertainty (k = 2) and its two parts."""
    cases = list(block.cases)
    header = ["quantity", "title", "key", "unit"]
    for case in cases:
        name = case or "value"
        header += [name, f"{name} expanded uncertainty", f"{name} of the inputs", f"{name} of the method"]
    rows: list[list[object]] = []
    for output, key in block.rows():
        values = [block.value(case, output.name, key) for case in cases]
        # The cases of one output share its unit, but where each value has one of its own.
        symbol = next((value.unit for value in values if isinstance(value, Value)), output.unit)
        row: list[object] = [output.name, result_in_words(block, output, key), key, symbol]
        for value in values:
            if isinstance(value, Value):
                unit = units.find(symbol, value.dimension)
                parts = (value.expanded_uncertainty, value.expanded_of_inputs, value.expanded_of_method)
                spreads = (abs(unit.from_si_difference(part)) for part in parts)
                row += [f"{unit.from_si(value.si):.12g}", *(f"{one:.3g}" if one else None for one in spreads)]
            else:
                row += [value, None, None, None]
        rows.append(row)
    return csv_text(header, rows)


def table_csv(columns: tuple[Input, ...], rows: list[dict[str, Any]]) -> str:
    """A table of inputs as the calculation had it, numbers in the declared units."""
    header = []
    for column in columns:
        heading, number = column.name, column.form.number
        if number and number.unit:
            heading += f" [{number.unit}]"
        header.append(heading)

    def cell(column: Input, row: dict[str, Any]) -> object:
        value = row.get(column.name)
        if isinstance(value, Measure):
            unit = units.find(value.unit, value.dimension)
            return f"{unit.from_si(value):.12g} {unit.symbol}".rstrip()
        number = column.form.number
        if number is None or value is None:
            return value
        return f"{units.find(number.unit, number.dimension).from_si(float(value)):.12g}"

    return csv_text(header, ([cell(column, row) for column in columns] for row in rows))
