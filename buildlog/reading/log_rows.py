"""The rows of a log's file, read one by one: their times, their readings, and what becomes of them."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import isfinite, nan
from statistics import median

from buildlog.diagnostics import VALUE_UNREADABLE, shorten
from buildlog.kinds.logs import Log, LogAccount
from buildlog.reading.data import DATA_UNREADABLE, heading_words
from buildlog.reading.log_alignment import at_times, smallest_step, spans_of, spread_repeated
from buildlog.reading.log_clock import clock_time
from buildlog.reading.log_reading import LOG_UNCLEAR, CannotGoOn, Column, Reading

MOST_ROWS = 5_000_000
_MANY_STEPS = 5.0
"""Of the median: from what step on rows are not simply uneven, and an author has to say what a gap is."""
_EXPONENT = re.compile(r"[0-9][eE][+-]?[0-9]")


_DATE = re.compile(r"[0-9]{1,2}[-/.][0-9]{1,2}[-/.][0-9]{4}\b")
_HALF_A_DAY = 43200.0
_MIDNIGHT = (
    "a clock without a date that goes past midnight? Name a column with the date or that counts seconds, or "
    "cut the file there and give both: data: [before.csv, after.csv]"
)


def _help_for_clock(cell: str, order: str) -> str:
    """What to do about a cell that is no time of day."""
    if not order and _DATE.match(cell):
        return "write date: day first, or month first, beside as: clock"
    return "correct the cell, or write no_number: drop to leave out rows without a time"


@dataclass(kw_only=True)
class Series:
    """What one channel has been read of: values beside the log's own times, or with times of their own."""

    times: array[float] = field(default_factory=lambda: array("d"))
    values: array[float] = field(default_factory=lambda: array("d"))


class Rows:
    """The rows of a table, read one by one."""

    def __init__(
        self, reading: Reading, columns: list[Column], time: int, width: int, name_index: int
    ) -> None:
        self.reading, self.columns, self.time, self.width = reading, columns, time, width
        self.rules = reading.rules
        self.long, self.name_index = name_index >= 0, name_index
        self.times: array[float] = array("d")
        self.lines: array[int] = array("l")
        self.series = {column.rule.channel.name: Series() for column in columns}
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
                raise CannotGoOn
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

    def _value(self, cells: list[str], column: Column) -> float:
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
        number = clock_time(cell, rule.date) if rule.form == "clock" else self._number(cell)
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
                "a time like 14:03:22.5, or 2026-05-01 14:03:22",
                _help_for_clock(cell, rule.date),
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
                    _MIDNIGHT
                    if self.rules.time.form == "clock" and before - time > _HALF_A_DAY
                    else "write backwards: drop to leave out such rows, or name another clock of the file",
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
        self._check_left(values)
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

    def _by_name(self) -> dict[str, Column]:
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
            raise CannotGoOn
        for name, column in self._by_name().items():
            if not any(value == value for value in self.series[name].values):
                found = f"no reading of {name} in {len(self.times)} rows"
                self.reading.wrong(DATA_UNREADABLE, found, "readings", at=column.rule.written.position)
        if self.reading.told:
            raise CannotGoOn

    def _check_left(self, values: dict[str, array[float]]) -> None:
        """Refuse a channel of which nothing is left once its lag is out, or at the times of the rows."""
        for name, column in self._by_name().items():
            if not any(value == value for value in values[name]):
                late = f" with its lag of {column.rule.lag:.4g} s taken out" if column.rule.lag else ""
                found = f"no reading of {name} at the times of the rows{late}"
                self.reading.wrong(DATA_UNREADABLE, found, "readings", at=column.rule.written.position)
        if self.reading.told:
            raise CannotGoOn

    def _check_gaps(self, times: array[float]) -> None:
        """Ask what a gap is where one step is far longer than the others."""
        at = self.reading.written.position
        if times[-1] == times[0]:  # spread, they share no time with a next one
            self.reading.wrong(LOG_UNCLEAR, "rows that all have one time", "time: {rate: 10 Hz}", at=at)
            raise CannotGoOn
        if self.rules.gap:
            if all(len(span) < 2 for span in spans_of(times, self.rules.gap)):
                found = f"no two rows within a gap of {self.rules.gap:.4g} s of each other"
                self.reading.wrong(DATA_UNREADABLE, found, "a gap longer than the usual step", at=at)
                raise CannotGoOn
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
                at=self.reading.place(self.lines[row]),
            )
            raise CannotGoOn

    def _aligned(self, column: Column, times: array[float]) -> array[float]:
        """The readings of a channel at the times of the rows, with its lag taken out."""
        series = self.series[column.rule.channel.name]
        own = series.times if self.long else times
        lag = column.rule.lag
        if not lag and own is times:
            return series.values
        if not lag and own == times:
            return series.values
        read = [row for row, value in enumerate(series.values) if value == value]
        shifted = array("d", (own[row] - lag for row in read))
        return at_times(times, shifted, array("d", (series.values[row] for row in read)), self.rules.gap)
