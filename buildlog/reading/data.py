"""Data files that a block names: CSV tables under the content folder, read as untrusted data."""

from __future__ import annotations

import csv
import io
import re
from math import isfinite
from pathlib import Path
from typing import Any

from buildlog.diagnostics import Refused, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.kinds.declaration import Number, Table, Text, Whole

LARGEST = 16 * 1024 * 1024
MOST_ROWS = 200_000
_LINES_NAMED = 5
_LINE_END = re.compile(r"\r\n|\r|\n")
_CELL = re.compile(r"[+\-−]?[0-9]{1,20}(?:\.[0-9]{0,20})?(?:[eE][+\-]?[0-9]{1,3})?")
_HEADER = re.compile(r"\s*([A-Za-z_][A-Za-z0-9_ ]{0,60}?)\s*(?:\[([^\[\]]{1,40})\])?\s*")

DATA_UNREADABLE = declare(
    "data-unreadable",
    "the data file cannot be read",
    why="Figures that rest on a file that cannot be read rest on nothing.",
    mend="Give a CSV file (UTF-8, one header line with units in brackets) under the content folder.",
    example="torque_curve: {data: runs/before.csv}",
)


def _refused(found: str, expected: str, help: str = "") -> Refused:
    return Refused("data", found, expected, help=help, code=DATA_UNREADABLE)


def data_path(content: Path, name: str) -> Path:
    """The file that a block names: a regular file inside the content folder, links followed first."""
    root = content.resolve()
    if "\x00" in name or len(name) > 500:
        raise _refused(f"“{shorten(name)}”", "the path of a file under the content folder")
    try:
        path = (root / name).resolve()
        inside = path.is_relative_to(root) and not Path(name).is_absolute()
        regular = inside and path.is_file()
    except (OSError, ValueError, RuntimeError):
        inside = regular = False
    if not inside:
        raise _refused(f"“{shorten(name)}”", "a path inside the content folder", "move the file there")
    if not regular:
        near = [one.relative_to(root).as_posix() for one in sorted(root.rglob("*.csv"))[:500]]
        raise _refused(
            f"“{shorten(name)}”, which is not there",
            f"a file; paths are counted from {content.name}/",
            did_you_mean(name, near),
        )
    return path


def read_data(content: Path, name: str, form: Table) -> tuple[list[dict[str, Any]], bytes]:
    """Rows of a CSV file as SI values by column name, and the file's bytes (for the record).

    The header names the columns, with units in brackets: ``engine_speed [rpm],torque [N·m]``. The
    separator is a comma, a semicolon or a tab, whichever the header has. Columns that the calculator
    does not take are passed over; every cell of the others must be a number.
    """
    path = data_path(content, name)
    if path.stat().st_size > LARGEST:
        raise _refused(f"{path.stat().st_size} bytes", f"at most {LARGEST} bytes", "thin the data out")
    raw = path.read_bytes()
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = len(_LINE_END.findall(raw[: error.start].decode("utf-8-sig", "replace"))) + 1
        raise _refused(f"{name}:{line} is not UTF-8", "UTF-8 text", "save it as UTF-8") from error
    text = _LINE_END.sub("\n", text)
    header = text.split("\n", 1)[0]
    separators = [mark for mark in ";\t," if mark in header]
    reader = csv.reader(io.StringIO(text), delimiter=separators[0] if separators else ",", strict=True)
    try:
        return _rows(reader, name, form), raw
    except csv.Error as error:
        raise _refused(f"{name}:{reader.line_num}: {error}", "a plain CSV table") from error


def _rows(reader: Any, name: str, form: Table) -> list[dict[str, Any]]:
    known = {column.name: column for column in form.columns}
    columns: list[tuple[int, str, units.Unit | None]] = []
    for index, cell in enumerate(next(reader, [])):
        match = _HEADER.fullmatch(cell)
        if match is None:
            raise _refused(f"{name}:1: the heading “{shorten(cell)}”", "a name, with its unit in brackets")
        title = match[1].strip().replace(" ", "_")
        if title not in known:
            continue
        if any(title == taken for _, taken, _ in columns):
            raise _refused(f"{name}:1: the column {title} twice", "each column once")
        columns.append((index, title, _unit(name, title, known[title].form, match[2])))
    for column in form.columns:
        if column.required and not any(column.name == title for _, title, _ in columns):
            raise _refused(f"{name}:1: no column {column.name}", "columns " + ", ".join(known))
    rows: list[dict[str, Any]] = []
    wrong: list[tuple[int, Refused]] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        if len(rows) >= MOST_ROWS:
            raise _refused(f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS}", "thin the data out")
        row: dict[str, Any] = {}
        for index, title, unit in columns:
            cell = cells[index].strip() if index < len(cells) else ""
            if not cell and not known[title].required:
                continue
            try:
                row[title] = _value(
                    name, reader.line_num, title=title, form=known[title].form, cell=cell, unit=unit
                )
            except Refused as error:
                wrong.append((reader.line_num, error))
        rows.append(row)
    if wrong:
        raise _all_of(wrong)
    if not form.shortest <= len(rows) <= max(form.longest, MOST_ROWS if form.from_data else 0):
        raise _refused(f"{len(rows)} rows in {name}", f"at least {form.shortest}")
    return rows


def _all_of(wrong: list[tuple[int, Refused]]) -> Refused:
    """The first of the cells that cannot be read, with the lines of the others."""
    (_, first), *others = wrong
    if not others:
        return first
    lines = list(dict.fromkeys(str(line) for line, _ in others))
    shown = ", ".join(lines[:_LINES_NAMED]) + (" …" if len(lines) > _LINES_NAMED else "")
    more = f"{len(others)} more {'cell' if len(others) == 1 else 'cells'} to mend, in line {shown}"
    first.help = f"{first.help}; {more}" if first.help else more
    return first


def _unit(name: str, title: str, form: Any, spelling: str | None) -> units.Unit | None:
    if not isinstance(form, Number):
        return None
    if spelling is None:
        if form.dimension in ("ratio", "count"):
            return None
        raise _refused(f"{name}:1: the column {title} without a unit", f"{title} [{form.unit}], say")
    try:
        return units.find(spelling, form.dimension)
    except Refused as error:
        raise _refused(f"{name}:1: {title} [{shorten(spelling)}]", error.expected, error.help) from error


def _value(name: str, line: int, title: str, form: Any, cell: str, unit: units.Unit | None) -> Any:
    if isinstance(form, Text):
        return cell[: form.longest]
    if not _CELL.fullmatch(cell):
        raise _refused(f"{name}:{line}: {title} “{shorten(cell)}”", "a number with a decimal point")
    value = float(cell.replace("−", "-"))
    if not isfinite(value):
        raise _refused(f"{name}:{line}: {title} {cell}", "an exponent within ±99")
    if isinstance(form, Whole):
        if value != int(value):
            raise _refused(f"{name}:{line}: {title} {cell}", "a whole number")
        return int(value)
    low, high = (form.low, form.high) if isinstance(form, Number) else (None, None)
    si = unit.to_si(value) if unit else value
    if isinstance(form, Number) and (low is not None or high is not None):
        declared = units.find(form.unit, form.dimension) if form.unit else None
        shown = declared.from_si(si) if declared else si
        if (low is not None and shown < low) or (high is not None and shown > high):
            raise _refused(f"{name}:{line}: {title} {cell}", f"{low} to {high} {form.unit}", form.why)
    return si
