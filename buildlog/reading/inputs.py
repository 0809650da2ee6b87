"""From a node of a block, or a cell of a data file, to the SI value that a calculator's declaration asks for.

Every fault is reported, not only the first: a value that cannot be read becomes `FAILED` and reading
goes on. Units are converted here and nowhere else.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from itertools import pairwise
from math import inf
from typing import Any, Protocol, assert_never

from buildlog.diagnostics import (
    INPUTS_CONFLICT,
    MISSING_INPUT,
    OUT_OF_RANGE,
    VALUE_UNREADABLE,
    AsWritten,
    Diagnostic,
    Position,
    Refused,
    declare,
    did_you_mean,
    shorten,
)
from buildlog.figures import units
from buildlog.figures.money import amount_decimals
from buildlog.figures.numbers import Unreadable, WrittenNumber
from buildlog.figures.spread import mean_and_deviation, of_readings
from buildlog.figures.values import Shape, WrittenValue, parse_value
from buildlog.kinds.declaration import (
    Choice,
    Flag,
    Input,
    InputForm,
    Listed,
    Logged,
    Measure,
    Number,
    Quantity,
    Ratio,
    Table,
    Text,
    Tyre,
    Whole,
)
from buildlog.kinds.doubt import Doubt
from buildlog.kinds.results import Value
from buildlog.physics.tyre_sizes import read_tyre
from buildlog.reading.data import DATA_UNREADABLE, NO_HEADINGS, DataCell, DataTable, Heading, same_heading
from buildlog.reading.log_file import LogRead, ReadLog
from buildlog.reading.log_rules import LogRules
from buildlog.reading.nodes import Unread, YamlList, YamlMapping, YamlNode, YamlScalar, cut_key, describe

MISSING_UNIT = declare(
    "missing-unit",
    "a value with a dimension carries no unit",
    why="A bare number means something else to every reader, and buildlog never guesses.",
    mend="Write the unit after the number.",
    example="rev_limit: 8200",
)
UNKNOWN_INPUT = declare(
    "unknown-input",
    "an input that this calculator does not take",
    why="A mistyped input would be left out of the calculation without anybody noticing.",
    mend="Correct the spelling, or take the line out.",
    example="final_drvie: 4.10",
)


@dataclass(frozen=True)
class _Default(YamlScalar):
    """A default, which nobody wrote at a place. `origin` is that of its uncertainty: the same assumption is
    the same error wherever it is made."""

    origin: str = ""


class Failed:
    """Stands for a value that could not be read; its fault has been reported."""


FAILED = Failed()
InputPath = tuple[str | int, ...]
_COUNT = re.compile(r"[0-9]{1,12}")
_MOST_TOLD = 10
_LINES_NAMED = 5
_FEWEST_ALIKE = 2
"""How many rows have a fault as the first one has, for them to be told with it."""
_CURRENCY = re.compile(r"[A-Z]{0,3}[£€$¥]\s*|[A-Z]{3}\s+(?=[0-9])")
# No blanks, quotes or brackets, which no address needs, and no other scheme: javascript: is one.
_LINK = re.compile(r"https?://[A-Za-z0-9][^\s\"'<>`\\{}|^]*")
_PART = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MENDS = {
    "words": "",
    "link": "copy the address of the page from the browser",
    "date": "write year, month and day with hyphens",
    "part": "a part goes by its file’s name: a–z, 0–9 and -",
}
_TEETH = re.compile(r"\s*([0-9]{1,3})\s*/\s*([0-9]{1,3})\s*")


class ReadData(Protocol):
    """Gives the data file of a name: for the columns of a table, and with what the file calls them."""

    def __call__(
        self, name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS, /
    ) -> DataTable: ...


_LOGS_TABLE = (
    "a log has its rows in a file under the content folder, data: runs/morning.csv, or typed into the block, "
    "text: | and the rows below it, further in"
)


_AS_ROWS = "write each row on a line of its own below, beginning with -, or data: and the path of a CSV file"


def _as_log(node: YamlNode) -> str:
    """How a log is written, with the file that stands there in its place."""
    first = node.items[0] if isinstance(node, YamlList) and node.items else node
    file = shorten(first.text.strip()) if isinstance(first, YamlScalar) else ""
    if not file.lower().endswith((".csv", ".tsv", ".txt")):
        file = "runs/morning.csv"
    return (
        f"a log is lines of its own below its name, further in: data: {file}, then time: and columns:, which "
        "say what its headings and units are; the page Logs of the manual has them"
    )


def typed_log(written: YamlScalar, rules: LogRules, typed: bool) -> LogRead:
    """A log that stands in the block itself."""
    # Only where there is one: what reads logs is large, and no part of what a reader's browser loads.
    from buildlog.reading.log_file import read_typed

    return read_typed(written, rules, typed)


@dataclass(kw_only=True)
class InputReader:
    """Reads values of one block.

    `resolve` gives the value of another block for a ``calc:`` address (or raises `Refused`), `data` the
    data file of a name, `logs` the log of one, `origin_at` the origin of a doubt that was written at a place.
    `uncertain` collects, by path into the value, what each
    origin contributes (SI);
    `numbers` and `words` every single value in its author's own unit and decimals, or words; `places` where
    each was written, in a block or in a data file; `ranges` the SI bounds of every number. `stated` are the
    values whose author said how sure they are, with ± (± 0 is exact) or by taking another block's
    (`taken`); of the others `assumed` has the doubt that their declaration gives them. `shapes` has by origin
    the distribution of an error where it is not normal: "rectangular" or "triangular". `typed`, which the
    cases of a block share, has the origin of every value in a row with a name (`row_names`): the same part
    with the same words in another case was weighed once. `written` has the words of every number that its
    author wrote with a ±.
    """

    resolve: Callable[[str, Position], Value]
    data: ReadData
    logs: ReadLog = typed_log
    origin_at: Callable[[Position], str] = str
    faults: list[Diagnostic] = field(default_factory=list)
    uncertain: dict[InputPath, Mapping[str, float]] = field(default_factory=dict)
    numbers: dict[InputPath, Value] = field(default_factory=dict)
    words: dict[InputPath, str] = field(default_factory=dict)
    places: dict[InputPath, Position] = field(default_factory=dict)
    ranges: dict[InputPath, tuple[float, float]] = field(default_factory=dict)
    stated: set[InputPath] = field(default_factory=set)
    taken: set[InputPath] = field(default_factory=set)
    assumed: dict[InputPath, Doubt] = field(default_factory=dict)
    shapes: dict[str, Shape] = field(default_factory=dict)
    written: dict[InputPath, str] = field(default_factory=dict)
    typed: dict[tuple[str | int, ...], str] = field(default_factory=dict)
    row_names: dict[InputPath, tuple[str, int]] = field(default_factory=dict)
    named_before: Counter[tuple[str | int, str]] = field(default_factory=Counter)

    def fault(self, error: Refused, position: Position, length: int = 1, help: str = "") -> Failed:
        """Report a refusal at a place of the file."""
        self.faults.append(
            error.code.at(
                position, found=error.found, expected=error.expected, help=error.help or help, length=length
            )
        )
        return FAILED

    def read(self, node: YamlNode, form: InputForm, path: InputPath) -> Any:
        """The SI value of a node, or `FAILED`."""
        self.places[path] = node.position
        if isinstance(node, Unread):
            self.faults.append(node.finding)  # once more, for a sheet's aliases are on the sheet only
            return FAILED
        length = 1
        if isinstance(node, YamlScalar):
            length = len(shorten(node.text, 200))
        try:
            return self._value(node, form, path)
        except Unreadable as error:
            place = node.position
            # In quotes, an offset into the value says nothing of the place in the file.
            if isinstance(node, YamlScalar) and not node.quoted:
                place = Position(place.path, place.line, place.column + error.offset)
                length = error.length
            return self.fault(
                Refused("", error.found, error.expected, help=error.help, code=VALUE_UNREADABLE),
                place,
                length,
            )
        except Refused as error:
            return self.fault(error, node.position, length)

    def _value(self, node: YamlNode, form: InputForm, path: InputPath) -> Any:
        """The one place that knows how each form is read."""
        match form:
            case Listed():
                return self._listed(node, form, path)
            case Table():
                return self._table(node, form, path)
            case Number() if isinstance(node, YamlList):
                return self._mean(node, form, path)
            case Number():
                value = self._number(_scalar(node, form), form, path)
                return _remembered(node, value) if len(path) > 1 else value
            case Quantity():
                return self._quantity(_scalar(node, form), form, path)
            case Logged():
                return self._logged(node, form, path)
            case Whole():
                count = _whole(_word(node, form), form)
                self.numbers[path] = Value(si=float(count), dimension="count", unit="", decimals=0)
                return count
            case Choice() | Flag() | Tyre() | Text():
                word = _word(node, form)
                value = _of_words(word, form)
                self.words[path] = word
                return value
            case _:
                assert_never(form)

    def _reference(self, text: str, node: YamlScalar, form: Number, path: InputPath) -> Any:
        if isinstance(node, DataCell):
            # The order in which blocks are computed is known before any data file is read.
            raise Refused(
                "",
                f"“{shorten(text)}”",
                form.wanted,
                help="a data file holds measured values; another block's are taken in the block itself",
                code=VALUE_UNREADABLE,
            )
        value = self.resolve(text, node.position)
        if value.dimension != form.dimension:
            raise Refused(
                "",
                f"{value.dimension} from {text}",
                form.dimension,
                help="name a quantity of the right kind",
                code=units.WRONG_DIMENSION,
            )
        self._in_range(value.si, form)
        self.ranges[path] = _si_range(form)
        self.stated.add(path)
        self.taken.add(path)
        if value.contributions:
            self.uncertain[path] = dict(value.contributions)
        self.numbers[path] = value
        return value.si

    def _number(self, node: YamlScalar, form: Number, path: InputPath) -> Any:
        text = node.text.strip()
        if text.startswith("calc:"):
            return self._reference(text, node, form, path)
        teeth = _TEETH.fullmatch(text)
        if teeth and int(teeth[2]) and form.dimension == "ratio" and not _heading_unit(node):
            ratio = Ratio(int(teeth[1]), int(teeth[2]))
            self._in_range(ratio, form, text)
            self.stated.add(path)  # teeth are counted
            self.numbers[path] = Value(si=float(ratio), dimension="ratio", unit="", decimals=3)
            return ratio
        written = _priced(text, form) if form.dimension.startswith("money") else parse_value(text)
        spelling = _unit_of(written, node)
        if not spelling and not form.bare:
            return self._without_unit(text, node, form, path)
        unit = units.find(spelling, form.dimension)
        si = unit.to_si(float(written.number.value))
        self._in_range(si, form, shorten(f"{text} {_heading_unit(node)}".strip()))
        self.ranges[path] = _si_range(form)
        shares: dict[str, float] = {}
        if (uncertainty := written.standard_uncertainty) is not None:
            self.stated.add(path)
            if unit.offset and written.relative:
                raise Refused(
                    "",
                    f"“{shorten(text)}”",
                    "the uncertainty in degrees",
                    help="a percentage of a temperature depends on where its scale begins",
                    code=VALUE_UNREADABLE,
                )
            own = units.find(written.uncertainty_unit, form.dimension) if written.uncertainty_unit else unit
            step = abs(own.to_si_difference(float(uncertainty)))
            if step:
                origin = self._origin(node, path)
                shares = {origin: step}
                self.uncertain[path] = shares
                self.written[path] = shorten(f"{text} {_heading_unit(node)}".strip())
                if written.shape != "normal":
                    self.shapes[origin] = written.shape
        self.numbers[path] = Value(
            si=si,
            dimension=form.dimension,
            unit=unit.symbol,
            decimals=amount_decimals(unit.symbol, decimals_of_step(written.number.step)),
            contributions=shares,
        )
        return si

    def _origin(self, node: YamlNode, path: InputPath) -> str:
        """The origin of a value's doubt: its place, or that of the same value in the same row of an earlier
        case."""
        row = self.row_names.get(path[:-1])
        if row is None or not isinstance(node, YamlScalar):
            return self._origin_of(node)
        key = (path[0], *row, path[-1], " ".join(node.text.split()), _heading_unit(node))
        return self.typed.setdefault(key, self._origin_of(node))

    def _origin_of(self, node: YamlNode) -> str:
        """The origin of what a value contributes to an uncertainty: where it was written."""
        return node.origin if isinstance(node, _Default) else self.origin_at(node.position)

    def _mean(self, node: YamlList, form: Number, path: InputPath) -> Any:
        """The mean of readings that are listed where one value is wanted, with the doubt of their spread."""
        if len(node.items) == 1:
            raise Refused(
                "",
                "a list of one reading",
                form.wanted,
                help="write it without brackets",
                code=VALUE_UNREADABLE,
            )
        readings: list[float] = []
        decimals: list[Value] = []
        for index, item in enumerate(node.items):
            inside = (*path, index)
            value = self.read(item, form, inside) if isinstance(item, YamlScalar) else None
            if value is FAILED:
                return FAILED
            if value is None or inside in self.uncertain:
                return self.fault(
                    Refused(
                        "", describe(item), "a reading, without a doubt of its own", code=VALUE_UNREADABLE
                    ),
                    item.position,
                    help="the doubt of the mean comes from their spread; what they share goes into common",
                )
            readings.append(float(value))
            decimals.append(self.numbers.pop(inside))
            self.ranges[path] = self.ranges.pop(inside)
            self.assumed.pop(inside, None)
        mean, deviation = mean_and_deviation(readings)
        shares = {self.origin_at(node.position): of_readings(deviation, len(readings))} if deviation else {}
        self.stated.add(path)
        if shares:
            self.uncertain[path] = shares
            self.written[path] = f"{len(readings)} readings"
        first = decimals[0]
        self.numbers[path] = replace(
            first, si=mean, decimals=max(one.decimals for one in decimals), contributions=shares
        )
        return mean if len(path) == 1 else AsWritten(mean, f"mean of {len(readings)} readings")

    def _quantity(self, node: YamlScalar, form: Quantity, path: InputPath) -> Any:
        """A value whose dimension its address or its unit says, where the form does not."""
        text = node.text.strip()
        if text.startswith("calc:") and not isinstance(node, DataCell):
            value = self.resolve(text, node.position)
            number = Number(dimension=form.dimension or value.dimension, unit=value.unit)
            si = self._reference(text, node, number, path)
            return Measure(si, value.dimension, value.unit, value.decimals)
        written = parse_value(text)
        spelling = _unit_of(written, node)
        unit = units.find(spelling, form.dimension or None)
        if form.differs and unit.dimension == "temperature":
            unit = units.find(spelling, form.in_dimension(unit.dimension).dimension)
        si = self._number(node, Number(dimension=unit.dimension, unit=unit.symbol), path)
        return Measure(si, unit.dimension, unit.symbol, amount_decimals(unit.symbol, written.number.decimals))

    def _without_unit(self, text: str, node: YamlScalar, form: Number, path: InputPath) -> Failed:
        choices = ", ".join(unit.symbol for unit in units.units_of(form.dimension)[:6])
        expected = f"{form.dimension}, in {choices}"
        if isinstance(node, DataCell):
            # One heading is at fault, not each cell under it: the same finding each time, told once.
            name = str(path[-1])
            if node.called:
                unit_too = f"{{{name}: {{heading: {shorten(node.called, 40)}, unit: {form.unit}}}}}"
                advice = f"say what it is in: columns: {unit_too}"
            else:
                advice = f"head it {name} [{form.unit}], say"
            refused = Refused("", f"{name} without a unit", expected, help=advice, code=MISSING_UNIT)
            return self.fault(refused, node.heading, len(name))
        likely = _likely_unit(parse_value(text).number, form)
        advice = f"write it as “{shorten(text, 30)} {likely}” if that is what is meant" if likely else ""
        raise Refused("", f"“{shorten(text)}” without a unit", expected, help=advice, code=MISSING_UNIT)

    def _in_range(self, si: float, form: Number, written: str = "") -> None:
        """Refuse a value outside the declared range; bounds are compared in the declared unit. `written` is
        the value as its author wrote it."""
        unit = units.find(form.unit, form.dimension)
        value = unit.from_si(si)
        # Conversion to SI and back may move a value off the bound that it was written on, by rounding.
        slack = 1e-12 * max(abs(value), abs(form.low or 0), abs(form.high or 0))
        if (form.low is not None and value < form.low - slack) or (
            form.high is not None and value > form.high + slack
        ):
            shown = f"{value:.6g} {unit.symbol}".strip()
            advice = ""
            if written:
                if unit.symbol == "%" and _is_bare(written) and _lies_in(value / 100, form):
                    advice = f"write it as {written} % if that is what is meant, or [%] in a column's heading"
                shown = written if _is_in(written, unit) else f"{written}, which is {shown}"
            raise Refused("", shown, form.wanted, help=advice, code=OUT_OF_RANGE)

    def _listed(self, node: YamlNode, form: Listed, path: InputPath) -> Any:
        if not isinstance(node, YamlList):
            help = f"write [{shorten(node.text)}]" if isinstance(node, YamlScalar) and node.text else ""
            raise Refused("", describe(node), "a list, like [1, 2, 3]", help=help, code=VALUE_UNREADABLE)
        self._count(node, form.shortest, form.longest)
        values = [self.read(item, form.of, (*path, index)) for index, item in enumerate(node.items)]
        if any(value is FAILED for value in values):
            return FAILED
        return values

    def _count(self, node: YamlList, shortest: int, longest: int) -> None:
        count = len(node.items)
        if not shortest <= count <= longest:
            found = "1 entry" if count == 1 else f"{count} entries"
            self.fault(
                Refused("", found, _how_many(shortest, longest), code=OUT_OF_RANGE),
                node.position,
            )

    def _table(self, node: YamlNode, form: Table, path: InputPath) -> Any:
        if isinstance(node, YamlMapping) and (file := node.get("data")) is not None:
            return self._from_data(node, file, form, path)
        node = _as_rows(node, form)
        if not isinstance(node, YamlList):
            raise Refused("", describe(node), f"a list of {form.words}", help=_AS_ROWS, code=VALUE_UNREADABLE)
        before = len(self.faults)
        self._count(node, form.shortest, form.longest)
        rows = [self._row(item, form.columns, (*path, index)) for index, item in enumerate(node.items)]
        if len(self.faults) > before:
            return FAILED
        return rows

    def _from_data(self, node: YamlMapping, file: YamlNode, form: Table, path: InputPath) -> Any:
        others = [key for key, _ in node.entries if key.text not in ("data", "columns")]
        if others or not isinstance(file, YamlScalar) or not file.text:
            expected = "data: the path of a CSV file, and columns: {name: its heading} where they differ"
            found = f"“{shorten(others[0].text)}”" if others else describe(file)
            refused = Refused("", found, expected, code=VALUE_UNREADABLE)
            return self.fault(refused, others[0].position if others else file.position)
        before = len(self.faults)
        mapped = self._headings(node.get("columns"), form)
        if len(self.faults) > before:
            return FAILED
        try:
            table = self.data(file.text, form, mapped) if mapped else self.data(file.text, form)
        except Refused as error:
            return self.fault(error, file.position, len(file.text))
        before = len(self.faults)
        self.faults.extend(table.findings)
        rows: Any = FAILED
        if table.rows is not None:
            rows = self._table(table.rows, form, path)
        faults = list(dict.fromkeys(self.faults[before:]))
        self.faults[before:] = _told(self._once_a_column(faults, path), file)
        if len(self.faults) > before:
            return FAILED
        return rows

    def _logged(self, node: YamlNode, form: Logged, path: InputPath) -> Any:
        """The logs of an input: of each file that it names, or of the text that it has."""
        if not isinstance(node, YamlMapping):
            raise Refused("", describe(node), form.wanted, help=_as_log(node), code=VALUE_UNREADABLE)
        from buildlog.reading.log_rules import read_rules

        rules = read_rules(node, form, self, path)
        typed, data = node.get("text"), node.get("data")
        if (typed is None) == (data is None):
            found = "a log without its table" if data is None else "both data and text"
            expected = "data: the path of a CSV file, or text: | with the rows below it"
            help = _LOGS_TABLE if data is None else "leave out one of the two"
            raise Refused("", found, expected, help=help, code=VALUE_UNREADABLE)
        items = data.items if isinstance(data, YamlList) else (typed or data,)
        if not 1 <= len(items) <= form.longest:
            raise Refused("", f"{len(items)} files", f"1 to {form.longest}", code=OUT_OF_RANGE)
        if rules is None:
            return FAILED
        if not self._once_each(items):
            return FAILED
        logs = [self._log(item, rules, typed is not None) for item in items]
        return FAILED if FAILED in logs else tuple(logs)

    def _once_each(self, items: Sequence[YamlNode | None]) -> bool:
        """Refuse a file that is named twice: one run would count as two that agree."""
        import posixpath

        seen: set[str] = set()
        told = len(self.faults)
        for item in items:
            if not isinstance(item, YamlScalar) or not item.text.strip():
                continue
            name = posixpath.normpath(item.text.strip())
            if name in seen:
                refused = Refused("", f"“{shorten(name)}” twice", "each file once", code=INPUTS_CONFLICT)
                help = "one run that is read twice looks like two that agree"
                self.fault(refused, item.position, len(item.text), help)
            seen.add(name)
        return len(self.faults) == told

    def _log(self, item: YamlNode | None, rules: LogRules, typed: bool) -> Any:
        if not isinstance(item, YamlScalar) or not item.text.strip():
            assert item is not None
            found = "no table" if isinstance(item, YamlScalar) else describe(item)
            expected = "the table, as rows below text: |" if typed else "the path of a CSV file"
            refused = Refused("", found, expected, help=_LOGS_TABLE, code=VALUE_UNREADABLE)
            return self.fault(refused, item.position)
        try:
            read = self.logs(item, rules, typed)
        except Refused as error:
            return self.fault(error, item.position, len(item.text))
        self.faults.extend(read.findings)
        return read.log or FAILED

    def _once_a_column(self, faults: list[Diagnostic], path: InputPath) -> list[Diagnostic]:
        """What is wrong alike in many rows of a column, which has one cause, told of the first, with their
        lines."""
        cells: dict[int, list[tuple[int, str]]] = {}
        for cell, place in self.places.items():
            if len(cell) == len(path) + 2 and cell[: len(path)] == path:
                cells.setdefault(place.line, []).append((place.column, str(cell[-1])))
        alike: dict[tuple[str, str, str], list[Diagnostic]] = {}
        for fault in faults:
            place = fault.position
            column = max(
                (one for one in cells.get(place.line, ()) if one[0] <= place.column), default=(0, "")
            )
            alike.setdefault((fault.code.name, column[1], fault.expected), []).append(fault)
        told = []
        for first, *others in alike.values():
            if len(others) < _FEWEST_ALIKE:
                told += [first, *others]
                continue
            lines = [str(one.position.line) for one in others]
            shown = ", ".join(lines[:_LINES_NAMED]) + (" …" if len(lines) > _LINES_NAMED else "")
            told.append(replace(first, found=f"{first.found}; {len(others)} more like it, in lines {shown}"))
        return sorted(told, key=lambda fault: fault.sort_key)

    def _headings(self, node: YamlNode | None, form: Table) -> Mapping[str, Heading]:
        """What a file calls our columns: ``columns: {mass: "Weight [g]"}``, or with its unit ``{mass:
        {heading: Weight, unit: g}}``."""
        if node is None:
            return NO_HEADINGS
        if not isinstance(node, YamlMapping):
            self._no_heading(node.position, describe(node))
            return NO_HEADINGS
        known = [column.name for column in form.columns]
        headings: dict[str, Heading] = {}
        for key, value in node.entries:
            if key.text not in known:
                hint = did_you_mean(key.text, known)
                self._no_heading(key.position, f"“{shorten(key.text)}”", "one of " + ", ".join(known), hint)
                continue
            heading = self._heading(value)
            if heading is None:
                continue
            twice = [name for name, other in headings.items() if same_heading(other.text, heading.text)]
            if twice:
                found = f"“{shorten(heading.text)}” for {twice[0]} and for {key.text}"
                self._no_heading(value.position, found, "a heading of its own for each column")
                continue
            headings[key.text] = heading
        return headings

    def _heading(self, node: YamlNode) -> Heading | None:
        """One heading as an author names it, with its unit where it has one."""
        text: YamlNode | None = node
        said = ""
        if isinstance(node, YamlMapping):
            text, unit = node.get("heading"), node.get("unit")
            others = [key for key, _ in node.entries if key.text not in ("heading", "unit")]
            if others:
                self._no_heading(others[0].position, f"“{shorten(others[0].text)}”")
                return None
            if unit is not None and not isinstance(unit, YamlScalar):
                self._no_heading(unit.position, describe(unit))
                return None
            said = unit.text.strip() if unit is not None else ""
        if not isinstance(text, YamlScalar) or not text.text.strip():
            self._no_heading(node.position, describe(node))
            return None
        return Heading(text=text.text, unit=said, written=text)

    def _no_heading(self, position: Position, found: str, expected: str = "", help: str = "") -> None:
        wanted = expected or 'columns: {mass: "Weight [g]"}, or {mass: {heading: Weight, unit: g}}'
        self.fault(Refused("", found, wanted, code=VALUE_UNREADABLE), position, help=help)

    def _row(self, node: YamlNode, columns: tuple[Input, ...], path: InputPath) -> dict[str, Any]:
        self.places[path] = node.position
        if not isinstance(node, YamlMapping):
            self.fault(
                Refused(
                    "",
                    describe(node),
                    "a row: " + ", ".join(column.name for column in columns),
                    code=VALUE_UNREADABLE,
                ),
                node.position,
            )
            return {}
        given = {key.text: (key, value) for key, value in node.entries}
        if isinstance(name := node.get("name"), YamlScalar):
            words = " ".join(name.text.split())
            before = self.named_before[path[0], words]
            self.named_before[path[0], words] += 1
            self.row_names[path] = (words, before)
        return self.read_all(given, columns, path, node.position)

    def read_all(
        self,
        given: Mapping[str, tuple[YamlScalar, YamlNode]],
        declared: tuple[Input, ...],
        path: InputPath,
        position: Position,
    ) -> dict[str, Any]:
        """Read named values against their declarations; reports unknown and missing names."""
        known = {item.name: item for item in declared}
        values: dict[str, Any] = {}
        names = list(given)
        # The first part of a number that a comma cut in two: what is told of its end is enough.
        cut = {before for before, name in pairwise(names) if name not in known and cut_key(given, name)}
        for name, (key, node) in sorted(given.items(), key=lambda item: _is_like_another(known, item[0])):
            if name not in known:
                self.faults.append(
                    UNKNOWN_INPUT.at(
                        key.position,
                        found=f"“{shorten(name)}”",
                        expected="one of " + ", ".join(known),
                        help=cut_key(given, name) or did_you_mean(name, known),
                        length=len(name),
                    )
                )
                continue
            if name in cut:
                values[name] = FAILED
                continue
            values[name] = self.read(node, _with_dimension(known[name].form, values), (*path, name))
            self._assume(known[name], node, (*path, name))
        for name, item in known.items():
            if name in given:
                continue
            if item.default is not None:
                node = _Default(position, item.default, origin=_origin_of_default((*path, name)))
                values[name] = self.read(node, item.form, (*path, name))
                self._assume(item, node, (*path, name))
            elif item.required:
                self.faults.append(
                    MISSING_INPUT.at(
                        position,
                        found=f"no {name}",
                        expected=f"{name}: {item.form.wanted}",
                        help=item.about,
                    )
                )
        return {name: value for name, value in values.items() if value is not FAILED}

    def _assume(self, declared: Input, node: YamlNode, path: InputPath) -> None:
        """Give a value, or each of a list, the doubt of its declaration where its author said nothing."""
        doubt = declared.doubt
        if doubt is None:
            return
        items = node.items if isinstance(node, YamlList) else ()
        for place, single in [(path, node), *(((*path, index), item) for index, item in enumerate(items))]:
            value = self.numbers.get(place)
            if value is None or place in self.stated:
                continue
            if step := doubt.standard(value.si):
                origin = self._origin(single, place)
                shares = {origin: step}
                self.uncertain[place] = shares
                self.assumed[place] = doubt
                if doubt.limits:
                    self.shapes[origin] = "rectangular"
                self.numbers[place] = replace(value, contributions=shares)


def _origin_of_default(path: InputPath) -> str:
    return "default:" + ".".join(str(part) for part in path if isinstance(part, str))


def _si_range(form: Number) -> tuple[float, float]:
    """The least and the most that a number may be, SI."""
    unit = units.find(form.unit, form.dimension)
    low = -inf if form.low is None else unit.to_si(form.low)
    return low, inf if form.high is None else unit.to_si(form.high)


def _is_like_another(known: Mapping[str, Input], name: str) -> bool:
    """Whether a value is read after the others, since one of them says its dimension."""
    return name in known and bool(known[name].form.sibling)


def _with_dimension(form: InputForm, values: Mapping[str, Any]) -> InputForm:
    """A form whose dimension is that of a value which has been read, with that dimension."""
    other = values.get(form.sibling)
    if isinstance(other, list):  # a table: as its first value
        other = next((cell for row in other for cell in row.values() if isinstance(cell, Measure)), None)
    return form.in_dimension(other.dimension) if isinstance(other, Measure) else form


def _as_rows(node: YamlNode, form: Table) -> YamlNode:
    """What a table's author wrote as a list of values, or as several by name, as the rows that it means."""
    if not form.plain:
        return node
    if form.grouped and isinstance(node, YamlMapping):
        rows: list[YamlNode] = []
        for key, value in node.entries:
            if not isinstance(value, YamlList):
                return node
            group = YamlScalar(key.position, key.text)
            for item in value.items:
                entries = ((YamlScalar(key.position, form.grouped), group), (_plain_key(item, form), item))
                rows.append(YamlMapping(item.position, entries))
        return YamlList(node.position, tuple(rows))
    if isinstance(node, YamlList) and not any(isinstance(item, YamlMapping) for item in node.items):
        items = (YamlMapping(item.position, ((_plain_key(item, form), item),)) for item in node.items)
        return YamlList(node.position, tuple(items))
    return node


def _plain_key(item: YamlNode, form: Table) -> YamlScalar:
    return YamlScalar(item.position, form.plain)


def _told(faults: list[Diagnostic], file: YamlScalar) -> list[Diagnostic]:
    """What is wrong in a data file, with the place that names the file. Of many faults, which mostly have one
    cause, the first are told in full and the others by their lines."""
    told = [
        fault if fault.second else replace(fault, second=file.position, second_label="read for this input")
        for fault in faults
    ]
    first, others = told[:_MOST_TOLD], told[_MOST_TOLD:]
    if not others:
        return first
    lines = list(dict.fromkeys(str(fault.position.line) for fault in others))
    shown = ", ".join(lines[:_LINES_NAMED])
    if len(lines) > _LINES_NAMED:
        shown += " …"
    more = DATA_UNREADABLE.at(
        others[0].position,
        found=f"{len(others)} more faults, in line {shown}",
        expected="values like those of a block",
        help="mend the first ones; the others may have the same cause",
        second=file.position,
        second_label="read for this input",
    )
    return [*first, more]


def _remembered(node: YamlNode, value: Any) -> Any:
    """A number of a list or a row with the words of its author."""
    if not isinstance(node, YamlScalar) or not isinstance(value, float) or isinstance(value, Ratio):
        return value
    text = node.text.strip()
    if text.startswith("calc:"):
        return AsWritten(value, text)
    if text[:1].isdecimal() or text[:1] in "-−+(":
        written = parse_value(text)
        unit = written.unit or _heading_unit(node)
        if written.uncertainty is not None or not written.unit:
            text = f"{written.number.text} {unit}".strip()
        return AsWritten(value, " ".join(text.split()), unit)
    return AsWritten(value, " ".join(text.split()))  # a price with its currency in front


def _priced(text: str, form: Number) -> WrittenValue:
    """A price, whose currency may stand before its number: ``$42``."""
    try:
        if currency := _CURRENCY.match(text):
            amount, doubt, rest = text[currency.end() :].partition("±")
            sign = currency[0].strip()
            if "%" in rest or not doubt:
                return parse_value(f"{amount.strip()} {sign} {doubt} {rest}".strip())
            size, bracket, kind = rest.partition("(")
            return parse_value(f"{amount.strip()} {doubt} {size.strip()} {sign} {bracket}{kind}".strip())
        return parse_value(text)
    except Unreadable as error:
        raise Unreadable(
            error.name,
            f"“{shorten(text)}”",
            f"a price, in {form.unit}",
            help=f"write it as 42 {form.unit}, or with the sign of the currency before it",
            length=len(text),
        ) from error


def _is_bare(written: str) -> bool:
    """Whether a value is a number alone."""
    try:
        return not parse_value(written).unit
    except Unreadable:
        return False


def _lies_in(value: float, form: Number) -> bool:
    return (form.low is None or value >= form.low) and (form.high is None or value <= form.high)


def _is_in(written: str, unit: units.Unit) -> bool:
    """Whether a value is written in a unit, by whichever of its spellings: 248° and 248 deg are 248 °."""
    try:
        value = parse_value(written)
    except Unreadable:
        return False  # a price with its currency in front
    if not value.unit:
        return not unit.symbol and value.teeth is None
    return unit.symbol in {known.symbol for known in units.spelt(value.unit)}


def _likely_unit(number: WrittenNumber, form: Number) -> str:
    """A unit in which a number would be within its range, the input's own first; "" where there is none, so
    that nobody is led to write 267 m of a wheel."""
    low, high = _si_range(form)
    own = units.find(form.unit, form.dimension)
    value = float(number.value)
    known = (own, *units.units_of(form.dimension))
    return next((unit.symbol for unit in known if unit.symbol and low <= unit.to_si(value) <= high), "")


def _heading_unit(node: YamlScalar) -> str:
    return node.unit if isinstance(node, DataCell) else ""


def _unit_of(written: WrittenValue, node: YamlScalar) -> str:
    """The unit of a value: its own, or that of its column's heading."""
    if not isinstance(node, DataCell):
        return written.unit
    if "," in node.text:
        # 1,500 from a program that writes decimal commas is one and a half.
        spellings = f"{node.text.strip().replace(',', '')} or {node.text.strip().replace(',', '.')}"
        raise Refused(
            "",
            f"“{shorten(node.text)}”",
            "a number without commas, since a data file may have decimal ones",
            help=f"write {shorten(spellings)}",
            code=VALUE_UNREADABLE,
        )
    if node.unit and written.number.form == "ratio":
        raise Refused("", f"“{shorten(node.text)}”", f"a number, in {node.unit}", code=VALUE_UNREADABLE)
    return written.unit or node.unit


def _scalar(node: YamlNode, form: InputForm) -> YamlScalar:
    """A node that must be a single value, and not an empty one."""
    if not isinstance(node, YamlScalar):
        help = "write one value, in the input's own line"
        raise Refused("", describe(node), form.wanted, help=help, code=VALUE_UNREADABLE)
    if not node.text.strip():
        raise Refused("", "nothing", form.wanted, code=MISSING_INPUT)
    return node


def _word(node: YamlNode, form: InputForm) -> str:
    """The text of a single value that no other block can give."""
    text = _scalar(node, form).text.strip()
    if text.startswith("calc:"):
        raise Refused(
            "",
            f"“{shorten(text)}”",
            form.wanted,
            help="words and whole numbers cannot come from another block: write it out",
            code=VALUE_UNREADABLE,
        )
    return text


def _of_words(text: str, form: Choice | Flag | Tyre | Text) -> object:
    """What a calculator gets of a value that is words."""
    match form:
        case Choice():
            return _choice(text, form)
        case Flag():
            return _flag(text, form)
        case Tyre():
            return read_tyre(text)
        case Text():
            return _text(text, form)


def _how_many(shortest: int, longest: int) -> str:
    return f"{shortest} to {longest}" if shortest < longest else f"{longest}, neither more nor fewer"


def decimals_of_step(step: Fraction) -> int:
    """The fewest decimals that show a unit of the last digit written: 2 of 0.25, and 1 of a half."""
    decimals = 0
    while Fraction(1, 10**decimals) > step:
        decimals += 1
    return decimals


def _whole(text: str, form: Whole) -> int:
    if not _COUNT.fullmatch(text) or (len(text) > 1 and text[0] == "0"):
        raise Refused(
            "", f"“{shorten(text)}”", form.wanted, help="write a whole number", code=VALUE_UNREADABLE
        )
    if not form.low <= int(text) <= form.high:
        raise Refused("", text, form.wanted, help=form.why, code=OUT_OF_RANGE)
    return int(text)


def _choice(text: str, form: Choice) -> str:
    if text not in form.options:
        # The code's own advice is about numbers and units.
        advice = did_you_mean(text, form.options) or "write one of these words, as it stands here"
        raise Refused("", f"“{shorten(text)}”", form.wanted, help=advice, code=VALUE_UNREADABLE)
    return text


def _flag(text: str, form: Flag) -> bool:
    if text not in ("yes", "no"):
        raise Refused("", f"“{shorten(text)}”", form.wanted, help="write yes or no", code=VALUE_UNREADABLE)
    return text == "yes"


def _text(text: str, form: Text) -> str:
    if len(text) > form.longest:
        raise Refused("", f"{len(text)} characters", f"at most {form.longest}", code=OUT_OF_RANGE)
    bad = {
        "words": False,
        "link": not _LINK.fullmatch(text),
        "date": not _is_date(text),
        "part": not _PART.fullmatch(text),
    }
    if bad[form.of]:
        raise Refused("", f"“{shorten(text)}”", form.wanted, help=_MENDS[form.of], code=VALUE_UNREADABLE)
    return text


def _is_date(text: str) -> bool:
    """Whether it is a day of the calendar in the form of ISO 8601 that people write, 2025-03-14."""
    try:
        return bool(_DATE.fullmatch(text)) and bool(date.fromisoformat(text))
    except ValueError:
        return False
