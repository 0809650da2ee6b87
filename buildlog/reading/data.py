"""Data files that a block names: CSV tables under the content folder, read as untrusted data.

A cell becomes the same scalar as a value in YAML, so that one reader (`buildlog.reading.inputs`) reads both.
Only what a file has and a block has not is dealt with here: separators, quotes and headings with units.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import accumulate
from pathlib import Path, PurePosixPath
from types import MappingProxyType

from buildlog.diagnostics import Code, Diagnostic, Position, Refused, declare, did_you_mean, shorten
from buildlog.figures import units
from buildlog.files.file_names import as_listed, how_they_differ
from buildlog.files.text import decode, digest
from buildlog.kinds.declaration import Input, Table
from buildlog.reading.nodes import YamlList, YamlMapping, YamlScalar

LARGEST = 16 * 1024 * 1024
MOST_COLUMNS = 1000
MOST_CELLS = 2 * MOST_COLUMNS  # of a line; those beyond the headings are blank, or a finding
_LONGEST_HEADER = 100_000
_HEADING = re.compile(r"\s*([A-Za-z_][A-Za-z0-9_ ]{0,60}?)\s*(?:\[\s*([^\[\]]{1,40}?)\s*\])?\s*")
_UNIT = re.compile(r"\[\s*([^\[\]]{1,40}?)\s*\]\s*$")
_PERCENT = re.compile(r"\s*(?:\(\s*(%)\s*\)|(%))\s*$")
"""What a heading ends in that can be nothing but its unit, in brackets or not: ``Steigung %``."""
_QUOTED = re.compile(r'"([^"]*(?:""[^"]*)*)"')

DATA_UNREADABLE = declare(
    "data-unreadable",
    "the data file cannot be read",
    why="Figures that rest on a file that cannot be read rest on nothing.",
    mend="Give a CSV file (UTF-8, one header line with units in brackets) under the content folder.",
    example="torque_curve: {data: runs/before.csv}",
)


@dataclass(frozen=True, kw_only=True)
class DataCell(YamlScalar):
    """A value of a data file. `unit` is what its column's heading says, "" where it says nothing. `called` is
    the heading where the author says that it is ours."""

    unit: str
    heading: Position
    called: str = ""


@dataclass(frozen=True, kw_only=True)
class DataTable:
    """A data file as an author would write its rows in YAML; `rows` is None where there is no telling.

    `digest` is that of the file's bytes, for the record.
    """

    rows: YamlList | None
    findings: tuple[Diagnostic, ...]
    digest: str = ""


@dataclass(frozen=True, kw_only=True)
class DataText:
    """The text of a data file, with LF line ends; `path` is its path as people see it."""

    text: str
    path: str
    findings: tuple[Diagnostic, ...]
    digest: str


@dataclass(frozen=True, kw_only=True)
class Heading:
    """The heading that an author's file has for one of our columns. `unit` is what its numbers are in, where
    the author says so; else it is read from the heading, in brackets."""

    text: str
    unit: str = ""
    written: YamlScalar


NO_HEADINGS: Mapping[str, Heading] = MappingProxyType({})


def _refused(found: str, expected: str, help: str = "") -> Refused:
    return Refused("data", found, expected, help=help, code=DATA_UNREADABLE)


def data_path(content: Path, name: str) -> Path:
    """The file that a block names: a regular file inside the content folder, links followed first."""
    root = content.resolve()
    if "\x00" in name or len(name) > 500:
        raise _refused(f"“{shorten(name)}”", "the path of a file under the content folder")
    written = "/".join(PurePosixPath(name).parts)
    listed: str | None = None
    try:
        path = (root / name).resolve()
        inside = path.is_relative_to(root) and not Path(name).is_absolute()
        listed = as_listed(root, name) if inside else None
        regular = listed is not None and (root / listed).is_file()
    except (OSError, ValueError, RuntimeError):
        inside = regular = False
    if not inside:
        raise _refused(
            f"“{shorten(name)}”",
            "a path inside the content folder",
            f"paths are counted from {content.name}/, whichever page they are on; a file elsewhere is to be "
            "moved there",
        )
    if regular and listed is not None and listed != written:
        difference = how_they_differ(listed, written)
        raise _refused(
            f"“{shorten(name)}”, which is not there",
            f"“{listed}”, which differs {difference}",
            f"write {listed}: Windows and macOS find it either way, a host with Linux does not",
        )
    if not regular:
        near = [file.relative_to(root).as_posix() for file in sorted(root.rglob("*.csv"))[:500]]
        raise _refused(
            f"“{shorten(name)}”, which is not there",
            f"a file; paths are counted from {content.name}/",
            did_you_mean(name, near),
        )
    return path


def read_data(
    content: Path,
    name: str,
    form: Table,
    shown: Callable[[Path], str],
    mapped: Mapping[str, Heading] = NO_HEADINGS,
) -> DataTable:
    """The rows of a CSV file, for the columns of a table. `shown` gives a path as people see it."""
    data = read_data_text(data_path(content, name), name, shown)
    columns = read_columns(data, form, mapped)
    return DataTable(rows=columns.rows(), findings=columns.findings, digest=data.digest)


def read_data_text(path: Path, name: str, shown: Callable[[Path], str]) -> DataText:
    """The text of a data file, of which no more is read than `LARGEST` bytes. Raises `Refused`."""
    try:
        with path.open("rb") as file:
            size = path.stat().st_size
            raw = file.read(min(size, LARGEST) + 1)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise _refused(f"“{shorten(name)}”: {reason}", "a file that can be read") from error
    if len(raw) > LARGEST:
        raise _refused(f"{max(size, len(raw))} bytes", f"at most {LARGEST} bytes", "thin the data out")
    text, faults = decode(raw, shown(path))
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return DataText(text=text, path=shown(path), findings=tuple(faults), digest=digest(raw))


def read_columns(data: DataText, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataColumns:
    """The columns of a data file that a table takes.

    The header names the columns, with units in brackets: ``engine_speed [rpm],torque [N·m]``. The
    separator is a comma, a semicolon or a tab, whichever the header has. Columns that the calculator
    does not take are passed over. `mapped` has for a column of ours what the file calls it.
    """
    if data.findings:
        return DataColumns(path=data.path, columns=None, findings=data.findings)
    file = _DataFile(text=data.text, path=data.path, form=form, mapped=mapped)
    columns = file.columns()
    return DataColumns(path=data.path, columns=columns, places=file.places, findings=tuple(file.faults))


@dataclass(frozen=True)
class _Cell:
    """A cell as written: its text without its quotes, and where it begins."""

    text: str
    start: int
    quoted: bool

    @property
    def blank(self) -> bool:
        return not self.text.strip()


@dataclass(kw_only=True)
class _Column:
    """A column that the table takes: which it is in the file, and what its heading says.

    Of its cells, row by row, there are the text (None where no value is given), the place, and whether it was
    in quotes: numbers and not objects, since all blocks of a site share them.
    """

    declared: Input
    index: int
    unit: str
    heading: YamlScalar
    called: str = ""
    texts: list[str | None] = field(default_factory=list)
    places: _Places
    quoted: bytearray = field(default_factory=bytearray)

    def take(self, cell: _Cell | None, place: Position) -> None:
        """A blank cell is a value that is not given, as a key left out is."""
        given = cell is not None and not (cell.blank and not self.declared.required)
        self.texts.append(cell.text if cell is not None and given else None)
        self.places.add(place)
        self.quoted.append(cell is not None and cell.quoted)

    def node(self, row: int) -> DataCell | None:
        """The value of a row, where it is given."""
        text = self.texts[row]
        if text is None:
            return None
        return DataCell(
            self.places.at(row),
            text,
            bool(self.quoted[row]),
            unit=self.unit,
            heading=self.heading.position,
            called=self.called,
        )


@dataclass(kw_only=True)
class _Places:
    """Places in one file."""

    path: str
    lines: array[int] = field(default_factory=lambda: array("L"))
    columns: array[int] = field(default_factory=lambda: array("L"))

    def add(self, place: Position) -> None:
        self.lines.append(place.line)
        self.columns.append(place.column)

    def at(self, row: int) -> Position:
        return Position(self.path, self.lines[row], self.columns[row])


@dataclass(frozen=True, kw_only=True)
class DataColumns:
    """What a table takes of a data file; `columns` is None where there is no telling."""

    path: str
    columns: list[_Column] | None
    places: _Places | None = None
    findings: tuple[Diagnostic, ...] = ()

    def rows(self) -> YamlList | None:
        """The rows as an author would write them in a block."""
        if self.columns is None or self.places is None:
            return None
        places = self.places
        return YamlList(
            Position(self.path), tuple(self._row(row, places.at(row)) for row in range(len(places.lines)))
        )

    def _row(self, row: int, place: Position) -> YamlMapping:
        nodes = ((column.heading, column.node(row)) for column in self.columns or ())
        return YamlMapping(place, tuple((heading, node) for heading, node in nodes if node is not None))


def heading_words(text: str) -> str:
    """A heading as people compare it: blanks and cases do not count."""
    return " ".join(text.split()).casefold()


def same_heading(text: str, other: str) -> bool:
    """Whether two headings are one to people who read them."""
    return heading_words(text) == heading_words(other)


def before_unit(text: str) -> str:
    return text[: unit.start()] if (unit := _UNIT.search(text) or _PERCENT.search(text)) else text


def unit_in(text: str) -> str:
    """The unit that a heading says: what stands in brackets, or a percent sign."""
    if unit := _UNIT.search(text):
        return unit[1]
    return "%" if _PERCENT.search(text) else ""


@dataclass
class _Record:
    """The cells of one line, or of several where cells in quotes have line ends: their texts as they stand,
    and where each begins, which is worked out where it is asked for."""

    start: int
    texts: list[str]
    in_quotes: set[int] = field(default_factory=set)
    starts: list[int] = field(default_factory=list)

    def cell(self, index: int) -> _Cell:
        if not self.starts:
            lengths = (len(text) + 1 for text in self.texts[:-1])
            self.starts = list(accumulate(lengths, initial=self.start))
        text, start = self.texts[index], self.starts[index]
        if index in self.in_quotes:
            return _Cell(text, start, True)
        return _Cell(text.strip(), start + len(text) - len(text.lstrip()), False)

    def cells(self) -> list[_Cell]:
        return [self.cell(index) for index in range(len(self.texts))]

    def first_filled(self) -> _Cell | None:
        filled = next((index for index, text in enumerate(self.texts) if text.strip()), None)
        return None if filled is None else self.cell(filled)


class _Broken(Exception):
    """What no CSV reader makes sense of, at an offset of the file."""

    def __init__(self, offset: int, found: str, expected: str = "a plain CSV table", help: str = "") -> None:
        super().__init__(found)
        self.offset, self.found, self.expected, self.help = offset, found, expected, help


@dataclass(kw_only=True)
class _DataFile:
    """One file while it is read. Lines of `text` end at LF."""

    text: str
    path: str
    form: Table
    mapped: Mapping[str, Heading] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)
    places: _Places = field(init=False)
    counted: tuple[int, int] = (0, 0)

    def __post_init__(self) -> None:
        self.places = _Places(path=self.path)

    def place(self, offset: int) -> Position:
        """Offset → path:line:column. A logger's file can be millions of lines, of which few are read: lines
        are counted on from the last offset that was asked for."""
        start, lines = self.counted
        if offset < start:
            start, lines = 0, 0
        lines += self.text.count("\n", start, offset)
        self.counted = (offset, lines)
        return Position(self.path, lines + 1, offset - self.text.rfind("\n", 0, offset))

    def columns(self) -> list[_Column] | None:
        """Its columns, or None where the file or its header cannot be read; `faults` says what is wrong."""
        records = self._records()
        try:
            head = next(records, None)
            headings = head.cells() if head is not None else []
            columns = self._columns(headings)
            if self.faults:
                return None
            self._fill(records, columns, len(headings))
            return columns
        except _Broken as error:
            self._fault(error.offset, error.found, error.expected, error.help)
            return None

    def _fault(
        self,
        offset: int,
        found: str,
        expected: str,
        help: str = "",
        *,
        code: Code = DATA_UNREADABLE,
        length: int = 1,
    ) -> None:
        place = self.place(offset)
        self.faults.append(code.at(place, found=found, expected=expected, help=help, length=length))

    # --- the grammar of CSV (RFC 4180, clause 2), with positions, which the csv module does not give ------

    def _records(self) -> Iterator[_Record]:
        """Its records but for those that are empty, one at a time."""
        # What stands in quotes separates nothing, and a line may end in them.
        header = _QUOTED.sub("", self.text[:_LONGEST_HEADER]).split("\n", 1)[0]
        separator = next((mark for mark in ";\t," if mark in header), ",")
        blank = re.compile(f"[ \t{separator}\n]*\n")  # no group: memory for each turn of it
        quoted = re.compile(f'(?:^|{separator})"')
        at, size = 0, len(self.text)
        while at < size:
            if at and (empty := blank.match(self.text, at)):
                at = empty.end()
                continue
            end = self.text.find("\n", at)
            line = self.text[at : end if end >= 0 else size]
            if quoted.search(line) is not None:
                record, at = self._with_quotes(at, separator)
                yield record
                continue
            if (count := line.count(separator) + 1) > MOST_CELLS:
                raise _Broken(at, f"{count} cells in a line", f"at most {MOST_CELLS}", "leave some out")
            yield _Record(at, line.split(separator))
            at += len(line) + 1

    def _with_quotes(self, at: int, separator: str) -> tuple[_Record, int]:
        """A record that has cells in quotes, and where the next one begins."""
        plain = re.compile(f"[^{separator}\n]*")
        record = _Record(at, [], starts=[])
        while True:
            record.starts.append(at)
            if self.text[at : at + 1] == '"':
                end = self._closing_quote(at)
                record.in_quotes.add(len(record.texts))
                record.texts.append(self.text[at + 1 : end].replace('""', '"'))
                at = end + 1
            else:
                written = plain.match(self.text, at)
                assert written is not None  # the pattern fits nothing, too
                record.texts.append(written[0])
                at = written.end()
            after = self.text[at : at + 1]
            if after not in (separator, "\n", ""):
                raise _Broken(at, f"“{after}” after a closing quote")
            if after != separator:
                return record, at + 1
            if len(record.texts) >= MOST_CELLS:
                raise _Broken(at, f"more than {MOST_CELLS} cells in a line", f"at most {MOST_CELLS}")
            at += 1

    def _closing_quote(self, at: int) -> int:
        """Where the quote closes that opens at an offset; two of them stand for one within."""
        end = self.text.find('"', at + 1)
        while end >= 0 and self.text[end + 1 : end + 2] == '"':
            end = self.text.find('"', end + 2)
        if end < 0:
            raise _Broken(at, "a quote that is never closed")
        return end

    # --- headings -----------------------------------------------------------------------------

    def _columns(self, headings: list[_Cell]) -> list[_Column]:
        """The columns that the table takes, in the order of the file."""
        if len(headings) > MOST_COLUMNS:
            found = f"{len(headings)} columns"
            self._fault(headings[MOST_COLUMNS].start, found, f"at most {MOST_COLUMNS}", "leave some out")
            return []
        known = {column.name: column for column in self.form.columns}
        columns: dict[str, _Column] = {}
        others: dict[str, _Cell] = {}
        calls = {heading_words(heading.text): name for name, heading in self.mapped.items()}
        mapped: set[str] = set()
        for index, cell in enumerate(headings):
            match = _HEADING.fullmatch(_PERCENT.sub(" [%]", cell.text))
            # The whole heading as it stands, or what stands before its unit.
            said = next(
                (
                    one
                    for one in (heading_words(cell.text), heading_words(before_unit(cell.text)))
                    if one in calls
                ),
                "",
            )
            name = calls[said] if said else match[1].replace(" ", "_") if match else ""
            if not said and (name not in known or name in self.mapped):
                others[name or cell.text] = cell
            elif name in columns:
                self._fault(cell.start, f"the column {name} twice", "each column once", length=len(cell.text))
            else:
                mapped.add(name)
                self._take(columns, known[name], index, cell, mapped=bool(said))
        self._check_mapped(mapped, headings)
        self._check_missing([name for name in known if name not in columns], others)
        return list(columns.values())

    def _take(
        self, columns: dict[str, _Column], declared: Input, index: int, cell: _Cell, *, mapped: bool
    ) -> None:
        """Take a column of the file for one of ours."""
        place = self.place(cell.start)
        unit = unit_in(cell.text)
        if mapped and (said := self.mapped[declared.name].unit):
            self._check_units_agree(declared, unit, said)
            unit = said
        columns[declared.name] = _Column(
            declared=declared,
            index=index,
            unit=unit,
            heading=YamlScalar(place, declared.name),
            called=self.mapped[declared.name].text if mapped else "",
            places=_Places(path=self.path),
        )
        self._check_unit(columns[declared.name], cell)

    def _check_units_agree(self, declared: Input, in_brackets: str, said: str) -> None:
        """Refuse a unit beside a heading that has another one: one of the two is wrong."""
        number = declared.form.number
        if number is None or not in_brackets:
            return
        try:
            both = [units.find(spelling, number.dimension) for spelling in (in_brackets, said)]
        except Refused:  # no unit that we know; the author's own is checked with the column
            return
        if both[0] != both[1]:
            written = self.mapped[declared.name].written
            self.faults.append(
                DATA_UNREADABLE.at(
                    written.position,
                    found=f"unit: {shorten(said)} for {declared.name}, headed in {both[0].symbol}",
                    expected="one unit",
                    help="leave out the unit, or correct the heading",
                    length=len(written.text),
                )
            )

    def _check_mapped(self, found: set[str], headings: list[_Cell]) -> None:
        """Refuse a heading that an author names and that the file has not."""
        there = [cell.text for cell in headings]
        for name, heading in self.mapped.items():
            if name in found:
                continue
            self.faults.append(
                DATA_UNREADABLE.at(
                    heading.written.position,
                    found=f"“{shorten(heading.text)}”, which {self.path} has not",
                    expected=shorten("a heading of the file: " + ", ".join(there), 200),
                    help=did_you_mean(heading.text, there),
                    length=len(heading.written.text),
                )
            )

    def _check_unit(self, column: _Column, cell: _Cell) -> None:
        form, name = column.declared.form, column.declared.name
        number = form.number
        if not column.unit:
            return
        shown = f"{name} [{shorten(column.unit)}]"
        if not form.has_unit:
            self._fault(cell.start, shown, f"{name}, which has no unit", length=len(cell.text))
            return
        try:
            units.find(column.unit, number.dimension if number else None)
        except Refused as error:
            self._fault(cell.start, shown, error.expected, error.help, code=error.code, length=len(cell.text))

    def _check_missing(self, missing: list[str], others: dict[str, _Cell]) -> None:
        """Refuse a file without a column that is needed, and one whose heading is nearly that of another:
        passed over as none of ours, it would leave every row its default without anybody noticing."""
        for name, cell in others.items():
            if near := did_you_mean(name, missing):
                expected, found = "a column: " + ", ".join(missing), f"“{shorten(name)}”"
                if not _HEADING.fullmatch(cell.text):
                    expected, found = "a name, with its unit in brackets", f"the heading {found}"
                self._fault(cell.start, found, expected, near, length=len(cell.text))
        needed = [column.name for column in self.form.columns if column.required and column.name in missing]
        if not needed and len(missing) == len(self.form.columns):
            needed = missing
        if needed and not self.faults:
            expected = "columns " + ", ".join(column.name for column in self.form.columns)
            there = next((shorten(cell.text, 40) for cell in others.values() if not cell.blank), "")
            calls = ", ".join(f'{name}: "{there}"' for name in needed[:1])
            help = f"say which of the file's headings it is, as in columns: {{{calls}}}" if there else ""
            self._fault(0, "no column " + ", ".join(needed), expected, help)

    # --- rows ---------------------------------------------------------------------------------

    def _fill(self, records: Iterator[_Record], columns: list[_Column], width: int) -> None:
        """Give each column its cells."""
        for record in records:
            first = record.first_filled()
            if first is None:
                continue
            if len(self.places.lines) == self.form.longest:
                found = f"more than {self.form.longest} rows"
                expected = f"{self.form.shortest} to {self.form.longest}"
                self._fault(first.start, found, expected, "thin the data out")
                break
            if any(text.strip() for text in record.texts[width:]):
                found = f"{len(record.texts)} cells under {width} headings"
                help = "a decimal comma? Write a point, or separate the cells with semicolons"
                self._fault(record.cell(width).start, found, "a cell for each heading", help)
            self.places.add(self.place(first.start))
            for column in columns:
                cell = record.cell(column.index) if column.index < len(record.texts) else None
                place = self.place(first.start if cell is None else cell.start)
                column.take(cell, place)
