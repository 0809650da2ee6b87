"""A log's file, read row by row with bounded memory by the rules that its block states.

The file is untrusted data. What cannot be read in one way, or has to be stated before it is used, is a
finding with its row and column; what is left out by a stated rule is counted by cause.
"""

from __future__ import annotations

import csv
import re
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from buildlog.diagnostics import Diagnostic, Position, Refused, shorten
from buildlog.files.text import NOT_UTF8, split_lines
from buildlog.kinds.logs import TYPED, Log
from buildlog.reading.data import DATA_UNREADABLE, data_path
from buildlog.reading.log_head import Head
from buildlog.reading.log_reading import LONGEST_LINE, CannotGoOn, Reading
from buildlog.reading.log_rows import Rows
from buildlog.reading.log_rules import LogRules
from buildlog.reading.nodes import YamlScalar

LARGEST_LOG = 1024**3
_ENCODINGS = {"": "utf-8-sig", "utf-8": "utf-8-sig", "windows-1252": "cp1252", "utf-16": "utf-16"}
_ESCAPED_BYTE = re.compile("[\udc80-\udcff]")


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
    path = written.position.path
    reading = Reading(rules=rules, path=path, file=TYPED, written=written, typed=True)
    return _result(reading, split_lines(written.text, keepends=True))


def read_log(content: Path, written: YamlScalar, rules: LogRules, shown: Callable[[Path], str]) -> LogRead:
    """The log of a file under the content folder. `shown` gives a path as people see it."""
    path = data_path(content, written.text)
    encoding = _ENCODINGS[rules.says("encoding")]
    reading = Reading(rules=rules, path=shown(path), file=written.text, written=written)
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
        with path.open(encoding=encoding, errors="strict", newline="") as file:
            # A line that is longer is refused, and is never whole in memory.
            return _result(reading, iter(lambda: file.readline(LONGEST_LINE + 1), ""))
    except UnicodeError:
        return LogRead(log=None, findings=(_not_decoded(path, encoding, reading),))
    except OSError as error:
        found = f"“{shorten(written.text)}”: {error.strerror or type(error).__name__}"
        raise Refused("data", found, "a file that can be read", code=DATA_UNREADABLE) from error


def _first_bad_byte(path: Path, encoding: str, reading: Reading) -> tuple[Position, str] | None:
    line, before = 1, 0
    with path.open(encoding=encoding, errors="surrogateescape") as file:
        while part := file.readline(LONGEST_LINE):
            if bad := _ESCAPED_BYTE.search(part):
                place = Position(reading.path, line, before + bad.start() + 1)
                return place, f"byte {ord(bad[0]) & 0xFF:02X}"
            line, before = (line + 1, 0) if part.endswith("\n") else (line, before + len(part))
    return None


def _is_utf_16(path: Path) -> bool:
    """Whether a file begins with the mark of UTF-16."""
    with path.open("rb") as file:
        return file.read(2) in (BOM_UTF16_LE, BOM_UTF16_BE)


def _not_decoded(path: Path, encoding: str, reading: Reading) -> Diagnostic:
    """Where the first byte is that the encoding has not."""
    place, found = Position(reading.path), "bytes that are no text"
    if encoding != "utf-16":
        place, found = _first_bad_byte(path, encoding, reading) or (place, found)
    said = reading.rules.says("encoding") or "UTF-8"
    help = "write encoding: windows-1252 into the block if the file is in that, or save it as UTF-8"
    if encoding == "utf-16":
        help = "leave encoding: out if the file is UTF-8, or write windows-1252 if it is in that"
    elif _is_utf_16(path):
        help = "the file begins as UTF-16 does: write encoding: utf-16 into the block"
    return NOT_UTF8.at(
        place,
        found=found,
        expected=f"{said} text",
        help=help,
        second=reading.written.position,
        second_label="read for this input",
    )


def _result(reading: Reading, lines: Iterable[str]) -> LogRead:
    """The log, or what is wrong with it."""
    log = None
    try:
        log = _read(reading, reading.followed(lines))
    except CannotGoOn:
        pass
    except csv.Error as error:
        help = "a quote that is never closed, perhaps" if "end of data" in str(error) else ""
        reading.wrong(DATA_UNREADABLE, f"{error}", "a plain CSV table", help)
    findings = reading.findings()
    return LogRead(log=None if findings else log, findings=findings)


def _read(reading: Reading, lines: Iterator[str]) -> Log:
    head = Head(reading)
    names = head.find(lines)
    columns, time = head.columns(names, _units_row(reading, lines, names))
    if reading.told:
        raise CannotGoOn
    table = Rows(reading, columns, time, len(names), head.name_index)
    table.read(csv.reader(lines, delimiter=reading.separator, strict=True))
    if reading.told:
        raise CannotGoOn
    return table.log()


def _units_row(reading: Reading, lines: Iterator[str], names: Sequence[str]) -> list[str]:
    """What stands in the row below the headings, where the block says that units do."""
    if not reading.rules.says("units"):
        return [""] * len(names)
    row = next(csv.reader([next(lines, "")], delimiter=reading.separator), [])
    return [cell.strip().strip("[]()") for cell in row] + [""] * (len(names) - len(row))
