"""A log's file, read row by row with bounded memory by the rules that its block states.

The file is untrusted data. What cannot be read in one way, or has to be stated before it is used, is a
finding with its row and column; what is left out by a stated rule is counted by cause.
"""

from __future__ import annotations

import csv
import re
from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import pairwise
from math import isfinite, nan
from pathlib import Path
from statistics import median
from typing import Protocol

from buildlog.diagnostics import (
    MISSING_INPUT,
    VALUE_UNREADABLE,
    Code,
    Diagnostic,
    Position,
    Refused,
    declare,
    did_you_mean,
    shorten,
)
from buildlog.figures import units
from buildlog.files.text import NOT_UTF8, NUL_CHARACTER
from buildlog.kinds.declaration import Doubt
from buildlog.kinds.logs import Log, LogAccount
from buildlog.reading.data import DATA_UNREADABLE, before_unit, data_path, heading_words, unit_in
from buildlog.reading.log_alignment import at_times, smallest_step, spans_of, spread_repeated
from buildlog.reading.log_rules import ColumnRule, LogRules
from buildlog.reading.nodes import YamlScalar

LARGEST_LOG = 1024**3
MOST_ROWS = 5_000_000
_MOST_PREAMBLE = 200
_LONGEST_LINE = 1_000_000
_LONGEST_HEADING = 10
_MANY_STEPS = 5.0
"""Of the median: from what step on rows are not simply uneven, and an author has to say what a gap is."""
_SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
_ENCODINGS = {"": "utf-8-sig", "utf-8": "utf-8-sig", "windows-1252": "cp1252", "utf-16": "utf-16"}
_CLOCK = re.compile(
    r"(?:(\d{4})[-/](\d{2})[-/](\d{2})[ T]+)?(\d{1,2}):(\d{2}):(\d{2}(?:[.,]\d+)?)\s*(Z|[+-]\d{2}:?\d{2})?"
)
_EXPONENT = re.compile(r"[0-9][eE][+-]?[0-9]")
_WHAT_IS_A_CLOCK = "a time like 14:03:22.5, or 2026-05-01 14:03:22"

LOG_UNCLEAR = declare(
    "log-unclear",
    "a log can be read in more than one way, and the block does not say in which",
    why="What is dropped, joined or moved in a log decides what it shows; nothing of it is guessed.",
    mend="State the rule in the block; the page shows it and how many rows it met.",
    example="two rows with the time 12.4 s, and no repeated: in the block",
)


@dataclass(frozen=True, kw_only=True)
class LogRead:
    """A log, or None where it cannot be read, with what is wrong."""

    log: Log | None
    findings: tuple[Diagnostic, ...] = ()


class ReadLog(Protocol):
    """Gives the log of a file that a block names, or of the text that it has."""

    def __call__(self, written: YamlScalar, rules: LogRules, typed: bool, /) -> LogRead: ...


def read_typed(written: YamlScalar, rules: LogRules, typed: bool, /) -> LogRead:
    """A log that is typed into the block; there are no files here."""
    if not typed:
        raise Refused("data", f"“{shorten(written.text)}”", "a page of a site", code=DATA_UNREADABLE)
    place = written.position
    reading = _Reading(rules=rules, path=place.path, file="this block", written=written, above=place.line)
    return reading.result(iter(written.text.splitlines(keepends=True)))


def read_log(content: Path, written: YamlScalar, rules: LogRules, shown: Callable[[Path], str]) -> LogRead:
    """The log of a file under the content folder. `shown` gives a path as people see it."""
    path = data_path(content, written.text)
    encoding = _ENCODINGS[rules.says("encoding")]
    reading = _Reading(rules=rules, path=shown(path), file=written.text, written=written)
    try:
        size = path.stat().st_size
        if size > LARGEST_LOG:
            raise Refused(
                "data",
                f"{size} bytes",
                f"at most {LARGEST_LOG} bytes",
                help="split the log; data: takes a list of files",
                code=DATA_UNREADABLE,
            )
        with path.open(encoding=encoding, errors="strict", newline="") as lines:
            return reading.result(lines)
    except UnicodeError:
        return LogRead(log=None, findings=(_not_decoded(path, encoding, reading),))
    except OSError as error:
        found = f"“{shorten(written.text)}”: {error.strerror or type(error).__name__}"
        raise Refused("data", found, "a file that can be read", code=DATA_UNREADABLE) from error


def _not_decoded(path: Path, encoding: str, reading: _Reading) -> Diagnostic:
    """Where the first byte is that the encoding has not."""
    place, found = Position(reading.path), "bytes that are no text"
    if encoding != "utf-16":
        with path.open("rb") as file:
            for number, line in enumerate(file, start=1):
                try:
                    line.decode(encoding)
                except UnicodeDecodeError as error:
                    good = line[: error.start].decode(encoding)
                    place = Position(reading.path, number, len(good) + 1)
                    found = f"byte {line[error.start]:02X}"
                    break
    said = reading.rules.says("encoding") or "UTF-8"
    help = "write encoding: windows-1252 into the block if the file is in that, or save it as UTF-8"
    return NOT_UTF8.at(
        place,
        found=found,
        expected=f"{said} text",
        help=help,
        second=reading.written.position,
        second_label="read for this input",
    )


@dataclass(frozen=True, kw_only=True)
class _Column:
    """A channel with its place in the file and what makes SI of its numbers: factor and offset."""

    rule: ColumnRule
    index: int
    factor: float
    offset: float
    dimension: str
    unit: str
    heading: str
    quantum: float = 0.0
    doubt: Doubt | None = None


@dataclass(kw_only=True)
class _Series:
    """What one channel has been read of: values beside the log's own times, or with times of their own."""

    times: array[float] = field(default_factory=lambda: array("d"))
    values: array[float] = field(default_factory=lambda: array("d"))


class _Stop(Exception):
    """The file cannot be read any further; why has been told."""


@dataclass(kw_only=True)
class _Reading:
    """One file while it is read. `above` is how many lines of the same file stand before the text."""

    rules: LogRules
    path: str
    file: str
    written: YamlScalar
    above: int = 0
    told: dict[tuple[str, str], list[Diagnostic]] = field(default_factory=dict)
    dropped: Counter[str] = field(default_factory=Counter)
    cells: Counter[str] = field(default_factory=Counter)
    often: Counter[tuple[str, str]] = field(default_factory=Counter)
    line: int = 0
    text: str = ""
    separator: str = ","
    rows: int = 0

    # --- what is wrong ------------------------------------------------------------------------

    def wrong(
        self,
        code: Code,
        found: str,
        expected: str,
        help: str = "",
        *,
        cause: str = "",
        index: int | None = None,
        at: Position | None = None,
        length: int = 1,
    ) -> None:
        """Report something at a cell of the line that is being read. Of one cause the first is told."""
        place = at or Position(self.path, self.above + self.line, self._column(index))
        other = self.written.position if place.path != self.written.position.path or self.above else None
        fault = code.at(
            place,
            found=found,
            expected=expected,
            help=help,
            length=length,
            second=other,
            second_label="read for this input" if other else "",
        )
        self.told.setdefault((code.name, cause or found), []).append(fault)
        if len(self.told[code.name, cause or found]) > 2:
            self.told[code.name, cause or found][-2:] = [fault]
        self.often[code.name, cause or found] += 1

    def _column(self, index: int | None) -> int:
        """Where a cell of the line begins, counted from 1."""
        if index is None:
            return 1
        at, column = 0, 0
        quoted = False
        for at, character in enumerate(self.text):
            if column == index and not character.isspace():
                return at + 1
            if character == '"':
                quoted = not quoted
            elif character == self.separator and not quoted:
                column += 1
        return at + 1

    def findings(self) -> tuple[Diagnostic, ...]:
        """All that is wrong, in the order of the file, with how often where it is often."""
        found = []
        for (code, cause), faults in self.told.items():
            first, more = faults[0], self.often[code, cause] - 1
            if more:
                last = faults[-1].position.line
                first = replace(first, found=f"{first.found}; {more} more like it, the last in line {last}")
            found.append(first)
        return tuple(sorted(found, key=lambda fault: fault.sort_key))

    # --- the file -----------------------------------------------------------------------------

    def result(self, lines: Iterable[str]) -> LogRead:
        """The log, or what is wrong with it."""
        log = None
        try:
            log = self._read(self._followed(lines))
        except _Stop:
            pass
        except csv.Error as error:
            help = "a quote that is never closed, perhaps" if "end of data" in str(error) else ""
            self.wrong(DATA_UNREADABLE, f"{error}", "a plain CSV table", help)
        findings = self.findings()
        return LogRead(log=None if findings else log, findings=findings)

    def _followed(self, lines: Iterable[str]) -> Iterator[str]:
        """The lines, with the one that is being read kept for messages."""
        for text in lines:
            self.line += 1
            self.text = text
            if "\0" in text:
                self.wrong(NUL_CHARACTER, "a NUL character", "text", "the file is no text, or is UTF-16")
                raise _Stop
            if len(text) > _LONGEST_LINE:
                self.wrong(DATA_UNREADABLE, f"a line of {len(text)} characters", f"at most {_LONGEST_LINE}")
                raise _Stop
            yield text

    def _read(self, lines: Iterator[str]) -> Log:
        head = _Head(self)
        names = head.find(lines)
        columns, time = head.columns(names, self._units_row(lines, names))
        if self.told:
            raise _Stop
        table = _Rows(self, columns, time, len(names), head.name_index)
        table.read(csv.reader(lines, delimiter=self.separator, strict=True))
        if self.told:
            raise _Stop
        return table.log()

    def _units_row(self, lines: Iterator[str], names: Sequence[str]) -> list[str]:
        """What stands in the row below the headings, where the block says that units do."""
        if not self.rules.says("units"):
            return [""] * len(names)
        row = next(csv.reader([next(lines, "")], delimiter=self.separator), [])
        return [cell.strip().strip("[]()") for cell in row] + [""] * (len(names) - len(row))


class _Head:
    """The headings of a file: where they are, and which column is which."""

    def __init__(self, reading: _Reading) -> None:
        self.reading = reading
        self.rules = reading.rules
        self.name_index = -1

    def wanted(self) -> dict[str, YamlScalar]:
        """Every heading that the block names, with its place there."""
        rules = self.rules
        found = {rules.time.heading: rules.time.written} if rules.time.heading else {}
        if any(rules.long):
            return {**found, **dict.fromkeys(rules.long, self.reading.written)}
        return {**found, **{rule.heading: rule.written for rule in rules.columns if rule.heading}}

    def find(self, lines: Iterator[str]) -> list[str]:
        """The headings as the file has them, with the lines before them read; [] where it has none."""
        wanted = self.wanted()
        if self.rules.headings == 0:
            return self._without(wanted)
        if self.rules.headings:
            return self._in_line(lines, self.rules.headings, wanted)
        if not wanted:
            self._ask("no heading is named", "headings: the number of their line, or none")
        best: tuple[int, list[str]] = (-1, [])
        for _, text in zip(range(_MOST_PREAMBLE), _whole_lines(lines), strict=False):
            names = self._split(text, wanted)
            missing = self._missing(names, wanted)
            if not missing:
                return names
            if len(wanted) - len(missing) > best[0]:
                best = (len(wanted) - len(missing), names)
        self._tell_missing(best[1], wanted)
        raise _Stop

    def _ask(self, found: str, expected: str) -> None:
        self.reading.wrong(LOG_UNCLEAR, found, expected, at=self.reading.written.position)
        raise _Stop

    def _without(self, wanted: dict[str, YamlScalar]) -> list[str]:
        """A file without headings: every column goes by its place."""
        if wanted:
            found = f"heading: {shorten(next(iter(wanted)))}, of a file with headings: none"
            self._ask(found, "position: the place of each column, counted from 1")
        if not (said := self.rules.says("separator")):
            self._ask("no headings to show the separator", "separator: comma, semicolon or tab")
        self.reading.separator = _SEPARATORS[said]
        return []

    def _in_line(self, lines: Iterator[str], number: int, wanted: dict[str, YamlScalar]) -> list[str]:
        names: list[str] = []
        for text in _whole_lines(lines):
            if self.reading.line >= number:
                names = self._split(text, wanted)
                break
        if self._missing(names, wanted):
            self._tell_missing(names, wanted)
            raise _Stop
        return names

    def _split(self, text: str, wanted: dict[str, YamlScalar]) -> list[str]:
        """The cells of a line, by the separator under which most of what is wanted is found."""
        said = self.rules.says("separator")
        marks = [_SEPARATORS[said]] if said else [";", "\t", ","]
        best: list[str] = []
        least = len(wanted) + 1
        for mark in marks:
            try:
                names = next(csv.reader([text], delimiter=mark), [])
            except csv.Error:
                continue
            missing = len(self._missing(names, wanted))
            if missing < least or (missing == least and len(names) > len(best)):
                best, least, self.reading.separator = names, missing, mark
        return [name.strip() for name in best]

    @staticmethod
    def _places(names: Sequence[str], heading: str) -> list[int]:
        """Where a heading stands: as a whole, or else without its unit."""
        word = heading_words(heading)
        whole = [place for place, name in enumerate(names) if heading_words(name) == word]
        return whole or [
            place for place, name in enumerate(names) if heading_words(before_unit(name)) == word
        ]

    def _missing(self, names: Sequence[str], wanted: dict[str, YamlScalar]) -> list[str]:
        return [heading for heading in wanted if not self._places(names, heading)]

    def _tell_missing(self, names: Sequence[str], wanted: dict[str, YamlScalar]) -> None:
        there = [name for name in names if name]
        for heading in self._missing(names, wanted):
            at = wanted[heading]
            expected = "a heading of the file: " + ", ".join(there) if there else "a file with headings"
            self.reading.wrong(
                DATA_UNREADABLE,
                f"“{shorten(heading)}”, which {self.reading.file} has not",
                shorten(expected, 200),
                did_you_mean(heading, there),
                at=at.position,
                length=len(at.text),
            )

    # --- columns ------------------------------------------------------------------------------

    def columns(self, names: Sequence[str], below: Sequence[str]) -> tuple[list[_Column], int]:
        """Every channel with its column, and the column of the times (−1 where rows have a rate)."""
        time = -1
        rule = self.rules.time
        if rule.form != "rate":
            time = self._index(names, rule.heading, rule.position, rule.written)
        if any(self.rules.long):
            self.name_index, value = (
                self._index(names, heading, 0, self.reading.written) for heading in self.rules.long
            )
            made = [self._made(one, value, "", "") for one in self.rules.columns]
            return [column for column in made if column], time
        columns = []
        for one in self.rules.columns:
            index = self._index(names, one.heading, one.position, one.written)
            heading = names[index] if 0 <= index < len(names) else f"column {index + 1}"
            unit = unit_in(heading) or _in_round_brackets(heading)
            unit = unit or (below[index] if index < len(below) else "")
            columns.append(self._made(one, index, heading, unit))
        return [column for column in columns if column], time

    def _index(self, names: Sequence[str], heading: str, position: int, at: YamlScalar) -> int:
        if position:
            if names and position > len(names):
                found = f"position {position}, in a table of {len(names)} columns"
                self.reading.wrong(DATA_UNREADABLE, found, "a column that is there", at=at.position)
            return position - 1
        places = self._places(names, heading)
        if len(places) > 1:
            numbers = " or ".join(str(place + 1) for place in places)
            self.reading.wrong(
                LOG_UNCLEAR,
                f"“{shorten(heading)}”, which stands over {len(places)} columns",
                f"position: {numbers}, in place of heading",
                "say which of them is meant",
                at=at.position,
                length=len(at.text),
            )
        return places[0] if places else -1

    def _made(self, rule: ColumnRule, index: int, heading: str, in_file: str) -> _Column | None:
        """A channel with its unit: the block's own, or what the file says."""
        spelling = rule.unit or in_file
        if not spelling and rule.channel.dimension not in ("ratio", "count"):
            name = rule.channel.name
            self.reading.wrong(
                MISSING_INPUT,
                f"no unit of {name}",
                f"{{heading: {rule.heading or '…'}, unit: {rule.channel.unit or 'its unit'}}}",
                "the file does not say it in brackets behind the heading",
                at=rule.written.position,
            )
            return None
        try:
            unit = units.find(spelling, rule.channel.dimension or None)
            self._agree(rule, unit, heading, in_file)
            factor, offset = unit.to_si(1.0) - unit.to_si(0.0), unit.to_si(0.0)
            return _Column(
                rule=rule,
                index=index,
                factor=factor,
                offset=offset,
                dimension=unit.dimension,
                unit=unit.symbol,
                heading=heading,
                quantum=rule.quantum_in(unit.dimension),
                doubt=rule.doubt_in(unit.dimension),
            )
        except Refused as error:
            self.reading.wrong(error.code, error.found, error.expected, error.help, at=rule.written.position)
            return None

    def _agree(self, rule: ColumnRule, unit: units.Unit, heading: str, in_file: str) -> None:
        """Refuse a unit beside a heading that has another one: one of the two is wrong."""
        if not rule.unit or not in_file:
            return
        try:
            other = units.find(in_file, rule.channel.dimension or None)
        except Refused:  # no unit that we know; the author's own holds
            return
        if other != unit:
            found = f"unit: {rule.unit} for “{shorten(heading)}”, which the file has in {other.symbol}"
            self.reading.wrong(
                DATA_UNREADABLE,
                found,
                "one unit",
                "correct the unit, or leave it out",
                at=rule.written.position,
            )


def _whole_lines(lines: Iterator[str]) -> Iterator[str]:
    """Lines, those together over which a quoted heading goes."""
    held = ""
    for text in lines:
        held += text
        if held.count('"') % 2 == 0 or held.count("\n") > _LONGEST_HEADING:
            yield held
            held = ""


_ROUND = re.compile(r"\(\s*([^()]{1,40}?)\s*\)\s*$")


def _in_round_brackets(heading: str) -> str:
    """A unit in round brackets behind a heading, where it is one that we know."""
    match = _ROUND.search(heading)
    if match is None:
        return ""
    try:
        units.find(match[1])
    except Refused:
        return ""
    return match[1]


class _Rows:
    """The rows of a table, read one by one."""

    def __init__(
        self, reading: _Reading, columns: list[_Column], time: int, width: int, name_index: int
    ) -> None:
        self.reading, self.columns, self.time, self.width = reading, columns, time, width
        self.rules = reading.rules
        self.long, self.name_index = name_index >= 0, name_index
        self.times: array[float] = array("d")
        self.lines: array[int] = array("l")
        self.series = {column.rule.channel.name: _Series() for column in columns}
        self.first: float | None = None
        self.latest: dict[str, float] = {}
        self.comma = self.rules.says("decimal") == "comma"
        self.names = {heading_words(column.rule.heading): column for column in columns}

    def read(self, rows: Iterator[list[str]]) -> None:
        """Read all rows. What a stated rule leaves out is counted; what no rule covers is told."""
        for cells in rows:
            if not any(cell.strip() for cell in cells):
                continue
            self.reading.rows += 1
            if self.reading.rows > MOST_ROWS:
                self.reading.wrong(
                    DATA_UNREADABLE, f"more than {MOST_ROWS} rows", "a shorter log, or several"
                )
                raise _Stop
            if self.width and len(cells) > self.width and not self._fits(cells):
                continue
            time = self._time_of(cells)
            if time is not None and self._in_window(time):
                self._long_row(cells, time) if self.long else self._row(cells, time)

    def _fits(self, cells: list[str]) -> bool:
        """Whether a row has no more cells than there are headings, but for empty ones."""
        filled = [place for place in range(self.width, len(cells)) if cells[place].strip()]
        if not filled:
            return True
        if self.rules.says("extra"):
            self.reading.dropped["with cells beyond the headings, which were left out"] += 1
            return True
        help = "write extra: drop to leave out what stands beyond them"
        if not self.comma and self.reading.separator == ",":
            help = "decimal commas? Then the file needs another separator, or quotes. Else " + help
        self.reading.wrong(
            LOG_UNCLEAR,
            f"{len(cells)} cells under {self.width} headings",
            "a cell for each heading",
            help,
            cause="extra",
            index=filled[0],
        )
        return False

    # --- cells --------------------------------------------------------------------------------

    def _number(self, cell: str) -> float | None:
        """A cell as a number, or None where it is none."""
        if self.comma:
            if "." in cell:
                return None
            cell = cell.replace(",", ".")
        try:
            number = float(cell)
        except ValueError:
            return None
        # What Python takes besides: 1_000, nan, inf.
        return number if isfinite(number) and "_" not in cell else None

    def _value(self, cells: list[str], column: _Column) -> float:
        """The reading of a channel in a row, SI; nan where there is none."""
        cell = cells[column.index].strip() if column.index < len(cells) else ""
        channel = column.rule.channel.name.replace("_", " ")
        if not cell:
            self.reading.cells[f"{channel}: empty"] += 1
            return nan
        number = self._number(cell)
        if number is not None:
            return number * column.factor + column.offset
        if self.rules.says("no_number"):
            self.reading.cells[f"{channel}: no number"] += 1
            return nan
        self._no_number(cell, column.index, column.heading or column.rule.heading)
        return nan

    def _no_number(self, cell: str, index: int, heading: str) -> None:
        code, help = LOG_UNCLEAR, "write no_number: drop to leave out such cells; the page counts them"
        if not self.comma and "," in cell and self._with_comma(cell):
            code, help = VALUE_UNREADABLE, "write decimal: comma if that is a decimal comma"
        elif self.comma and "." in cell:
            help = f"the block says decimal: comma. Else {help}"
        self.reading.wrong(
            code,
            f"“{shorten(cell)}” under “{shorten(heading)}”",
            "a number",
            help,
            cause=f"number {index}",
            index=index,
            length=len(cell),
        )

    def _with_comma(self, cell: str) -> bool:
        return "." not in cell and cell.count(",") == 1 and self._number(cell.replace(",", ".")) is not None

    # --- times --------------------------------------------------------------------------------

    def _time_of(self, cells: list[str]) -> float | None:
        """The time of a row, s; None where it has none, which has been counted or told."""
        rule = self.rules.time
        if rule.form == "rate":
            return (self.reading.rows - 1) * rule.scale
        cell = cells[self.time].strip() if self.time < len(cells) else ""
        number = _clock(cell) if rule.form == "clock" else self._number(cell)
        if number is not None:
            if rule.form == "seconds":
                return number * rule.scale
            if self.first is None:
                self.first = number
            return (number - self.first) * rule.scale
        if not cell or self.rules.says("no_number"):
            self.reading.dropped["without a time"] += 1
            return None
        if rule.form == "clock":
            self.reading.wrong(
                VALUE_UNREADABLE,
                f"“{shorten(cell)}”",
                _WHAT_IS_A_CLOCK,
                cause="clock",
                index=self.time,
                length=len(cell),
            )
        else:
            self._no_number(cell, self.time, rule.heading or "time")
        return None

    def _in_window(self, time: float) -> bool:
        start, stop = self.rules.start, self.rules.stop
        inside = (start is None or time >= start) and (stop is None or time <= stop)
        if not inside:
            self.reading.dropped["outside of from and to"] += 1
        return inside

    def _follows(self, time: float, who: str, cell: str) -> bool:
        """Whether a row is kept that comes after others; for those that are not, why."""
        before = self.latest.get(who)
        if before is None or time > before:
            self.latest[who] = time
            return True
        if time < before:
            if self.rules.says("backwards"):
                self.reading.dropped["with a time before that of an earlier row"] += 1
            else:
                self.reading.wrong(
                    LOG_UNCLEAR,
                    f"a time {before - time:.4g} s before that of the row above",
                    "times that go on",
                    "write backwards: drop to leave out such rows, or name another clock of the file",
                    cause="backwards",
                    index=max(self.time, 0),
                )
            return False
        rule = self.rules.says("repeated")
        if rule:
            if rule == "first":
                self.reading.dropped["with a repeated time"] += 1
            return rule != "first"
        help = "write repeated: first, last or spread, or time: {rate: …} if the rows are evenly spaced"
        if _EXPONENT.search(cell):
            help = (
                "the times are in exponent form, as a spreadsheet rounds them: export them in full. Else "
                + help
            )
        found = f"the time of the row above once more: “{shorten(cell)}”"
        expected = "a time of its own for each row"
        self.reading.wrong(
            LOG_UNCLEAR, found, expected, help, cause="repeated", index=max(self.time, 0), length=len(cell)
        )
        return False

    # --- rows ---------------------------------------------------------------------------------

    def _row(self, cells: list[str], time: float) -> None:
        cell = cells[self.time].strip() if 0 <= self.time < len(cells) else ""
        if not self._follows(time, "", cell):
            return
        values = [self._value(cells, column) for column in self.columns]
        if self.rules.says("repeated") == "last" and self.times and self.times[-1] == time:
            self.reading.dropped["with a repeated time"] += 1
            for series, value in zip(self.series.values(), values, strict=True):
                series.values[-1] = value
            return
        self.times.append(time)
        self.lines.append(self.reading.line)
        for series, value in zip(self.series.values(), values, strict=True):
            series.values.append(value)

    def _long_row(self, cells: list[str], time: float) -> None:
        name = cells[self.name_index] if self.name_index < len(cells) else ""
        column = self.names.get(heading_words(name))
        if column is None:
            self.reading.dropped["of other things"] += 1
            return
        channel = column.rule.channel.name
        if not self._follows(time, channel, cells[self.time].strip()):
            return
        value = self._value(cells, column)
        if value == value:
            series = self.series[channel]
            if self.rules.says("repeated") == "last" and series.times and series.times[-1] == time:
                self.reading.dropped["with a repeated time"] += 1
                series.values[-1] = value
                return
            series.times.append(time)
            series.values.append(value)
            if channel == self.columns[0].rule.channel.name:
                self.times.append(time)
                self.lines.append(self.reading.line)

    # --- what becomes of them -----------------------------------------------------------------

    def log(self) -> Log:
        """The log of all that was read."""
        reading, rules = self.reading, self.rules
        self._check_filled()
        times = spread_repeated(self.times) if rules.says("repeated") == "spread" else self.times
        self._check_gaps(times)
        values = {name: self._aligned(column, times) for name, column in self._by_name().items()}
        account = LogAccount(
            rows=reading.rows,
            kept=len(times),
            dropped=dict(reading.dropped),
            cells=dict(reading.cells),
            rules=rules.in_words,
        )
        named = self._by_name()
        return Log(
            file=reading.file,
            times=times,
            values=values,
            spans=spans_of(times, rules.gap),
            account=account,
            dimensions={name: column.dimension for name, column in named.items()},
            units={name: column.unit for name, column in named.items()},
            quantum={name: column.quantum for name, column in named.items() if column.quantum},
            steps={name: smallest_step(self.series[name].values) for name in named},
            doubts={name: column.doubt for name, column in named.items() if column.doubt},
            lag_doubts={name: one.rule.lag_doubt for name, one in named.items() if one.rule.lag_doubt},
        )

    def _by_name(self) -> dict[str, _Column]:
        return {column.rule.channel.name: column for column in self.columns}

    def _check_filled(self) -> None:
        """Refuse a log without rows, and a channel without a single reading."""
        at = self.reading.written
        if len(self.times) < 2:
            dropped = ", ".join(f"{count} {cause}" for cause, count in self.reading.dropped.items())
            found = f"{len(self.times)} rows to read of {self.reading.rows}" + (
                f" ({dropped})" if dropped else ""
            )
            self.reading.wrong(DATA_UNREADABLE, found, "a log of two rows or more", at=at.position)
            raise _Stop
        for name, column in self._by_name().items():
            if not any(value == value for value in self.series[name].values):
                found = f"no reading of {name} in {len(self.times)} rows"
                self.reading.wrong(DATA_UNREADABLE, found, "readings", at=column.rule.written.position)
        if self.reading.told:
            raise _Stop

    def _check_gaps(self, times: array[float]) -> None:
        """Ask what a gap is where one step is far longer than the others."""
        if self.rules.gap:
            return
        steps = [later - earlier for earlier, later in pairwise(times)]
        longest, usual = max(steps), median(steps)
        if longest > _MANY_STEPS * usual:
            row = steps.index(longest) + 1
            self.reading.wrong(
                LOG_UNCLEAR,
                f"a step of {longest:.4g} s among rows {usual:.4g} s apart",
                f"gap: from what step on it is one, such as gap: {2 * usual:.2g} s",
                "nothing is joined over a gap",
                at=Position(self.reading.path, self.reading.above + self.lines[row]),
            )
            raise _Stop

    def _aligned(self, column: _Column, times: array[float]) -> array[float]:
        """The readings of a channel at the times of the rows, with its lag taken out."""
        series = self.series[column.rule.channel.name]
        own = series.times if self.long else times
        lag = column.rule.lag
        if not lag and own is times:
            return series.values
        if not lag and own == times:
            return series.values
        pairs = [
            (time - lag, value) for time, value in zip(own, series.values, strict=True) if value == value
        ]
        return at_times(times, pairs, self.rules.gap)


def _clock(cell: str) -> float | None:
    """A time of day as seconds, with its date where it has one."""
    match = _CLOCK.fullmatch(cell)
    if match is None:
        return None
    year, month, day, hour, minute, second, zone = match.groups()
    if int(hour) > 23 or int(minute) > 59:
        return None
    seconds = int(hour) * 3600 + int(minute) * 60 + float(second.replace(",", "."))
    if year:
        try:
            seconds += date(int(year), int(month), int(day)).toordinal() * 86400.0
        except ValueError:
            return None
    if zone and zone != "Z":
        sign = -1 if zone[0] == "+" else 1
        seconds += sign * (int(zone[1:3]) * 3600 + int(zone[-2:]) * 60)
    return seconds
