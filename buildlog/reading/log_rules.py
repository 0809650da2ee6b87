"""What a block says of a log: which file, where its columns are, how its times are to be read, and what to do
where it is not whole. Nothing of it is guessed; what is not said and has to be known is asked for.

::

    log:
      data: data/logs/hill.csv
      time: {heading: Time, unit: s}
      columns:
        engine_speed: {heading: RPM, unit: rpm}
        road_speed: {heading: Speed, unit: km/h, lag: 2.3 s, quantum: 1 km/h, by: ± 0.5 km/h}
      gap: 1 s
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from buildlog.diagnostics import MISSING_INPUT, VALUE_UNREADABLE, Position, Refused, did_you_mean, shorten
from buildlog.figures import units
from buildlog.figures.numbers import Unreadable
from buildlog.figures.values import parse_doubt
from buildlog.kinds.declaration import Doubt, LogChannel, Logged, Number
from buildlog.reading.log_clock import DAY_FIRST, MONTH_FIRST
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, describe

OPTIONS: Mapping[str, str] = {
    "data": "the path of a CSV file under the content folder, or a list of them with one map",
    "text": "the table itself, typed into the block (text: | and indented lines)",
    "time": "{heading: Time, unit: s}, {heading: Time, as: clock}, {heading: t, as: epoch, unit: ms} or "
    "{rate: 10 Hz}",
    "columns": "for each thing that is read its heading and unit: {engine_speed: {heading: RPM, unit: rpm}}",
    "decimal": "comma, where numbers have decimal commas",
    "encoding": "windows-1252 or utf-16, where the file is not UTF-8",
    "separator": "comma, semicolon or tab, where the headings do not show it",
    "headings": "the line of the headings, where they stand in several lines; none, where there are none",
    "units": "row, where the units stand in a row below the headings",
    "long": "{name: heading, value: heading}, where each row has the name of one thing and its value",
    "gap": "from what step on the time between two rows is a gap, over which nothing is drawn or joined",
    "repeated": "first or last, which row of those with one time is kept; spread, where they share the time "
    "up to the next",
    "backwards": "drop, to leave out rows whose time lies before that of an earlier row",
    "no_number": "drop, to leave out cells that are no numbers",
    "extra": "drop, to leave out cells beyond the headings",
    "from": "from when on rows are used, in seconds of the log",
    "to": "up to when rows are used, in seconds of the log",
}
"""The keys of a log, each with what it says."""
COLUMN_OPTIONS: Mapping[str, str] = {
    "heading": "what the file calls it",
    "position": "which column of the file it is, counted from 1, where headings do not tell",
    "unit": "what its numbers are in, where the heading does not say it in brackets",
    "lag": "by how much its readings come late; that is taken out",
    "quantum": "the step of its readings",
    "by": "how far all its readings may be off together, ± 0.5 km/h or ± 1 %",
    "instrument": "the name of the instrument: one that reads before and after is off alike",
}
"""The keys of a column, each with what it says."""
_WORDS: Mapping[str, tuple[str, ...]] = {
    "decimal": ("comma", "point"),
    "encoding": ("utf-8", "windows-1252", "utf-16"),
    "separator": ("comma", "semicolon", "tab"),
    "units": ("row",),
    "repeated": ("first", "last", "spread"),
    "backwards": ("drop",),
    "no_number": ("drop",),
    "extra": ("drop",),
}
_PLACE = re.compile(r"[1-9][0-9]{0,5}")
_INSTRUMENT = re.compile(r"[^\s:].{0,60}")
_TIME = Number(dimension="time", unit="s", low=0, high=1e9, why="longer than any log")
_STEP = Number(dimension="time", unit="s", low=1e-6, high=1e5, why="a step between two rows")
_LAG = Number(dimension="time", unit="s", low=-3600, high=3600, why="an hour late is another drive")
_RATE = Number(
    dimension="frequency", unit="Hz", low=1e-4, high=1e6, why="from a row every three hours to a microsecond"
)


class Reads(Protocol):
    """What is needed of the reader of a block's inputs."""

    uncertain: dict[tuple[str | int, ...], Mapping[str, float]]

    @property
    def origin_at(self) -> Callable[[Position], str]: ...

    def read(self, node: YamlNode, form: Number, path: tuple[str | int, ...]) -> Any: ...
    def fault(self, error: Refused, position: Position, length: int = 1, help: str = "") -> object: ...


@dataclass(frozen=True, kw_only=True)
class ColumnRule:
    """Where one channel is in a file and how it is to be read. `written` is its heading or
    place in the block, `origin` that of its doubt where no instrument has a name.

    `unit` is as spelt, "" where the file is to say it. Lag and quantum are SI.
    """

    channel: LogChannel
    heading: str = ""
    position: int = 0
    unit: str = ""
    lag: float = 0.0
    lag_doubt: float = 0.0
    quantum: str = ""
    doubt: str = ""
    instrument: str = ""
    written: YamlScalar = field(compare=False)
    origin: str = ""
    quantum_at: YamlScalar | None = field(default=None, compare=False)

    def quantum_in(self, dimension: str) -> float:
        """The step of its readings, SI; 0 where it is not stated. Raises `Refused`."""
        if not self.quantum:
            return 0.0
        value = parse_doubt(self.quantum)
        step = float(value.uncertainty or 0)
        if step <= 0 or value.relative:
            raise Refused("", f"“{self.quantum}”", "a step with its unit", code=VALUE_UNREADABLE)
        return abs(units.find(value.unit, dimension).to_si_difference(step))

    def doubt_in(self, dimension: str) -> Doubt | None:
        """How far its instrument may be off. Raises `Refused`."""
        if not self.doubt:
            return None
        value = parse_doubt(self.doubt)
        size = 2 * float(value.standard_uncertainty or 0)
        if value.relative and dimension == "temperature":
            raise Refused("", f"“{self.doubt}”", "the uncertainty in degrees", code=VALUE_UNREADABLE)
        if not size:
            return None
        absolute = 0.0
        if not value.relative:
            absolute = abs(units.find(value.unit, dimension).to_si_difference(size))
        return Doubt(
            name="instrument",
            about=f"{self.instrument or 'the instrument'}, {self.channel.name.replace('_', ' ')}",
            source="",
            own=f"instrument:{self.instrument}" if self.instrument else self.origin,
            relative=size if value.relative else 0.0,
            absolute=absolute,
            words=" ".join(self.doubt.split()),
        )


@dataclass(frozen=True, kw_only=True)
class TimeRule:
    """How times are read: "seconds" counts (`scale` seconds each), "clock", "epoch" or rows at a "rate".
    `date` says in which order day and month stand, "" where they need no saying."""

    form: Literal["seconds", "clock", "epoch", "rate"]
    heading: str = ""
    position: int = 0
    scale: float = 1.0
    date: str = ""
    written: YamlScalar = field(compare=False)


@dataclass(frozen=True, kw_only=True)
class LogRules:
    """All that a block says of a log but the file itself. Two that are equal read a file alike."""

    time: TimeRule
    columns: tuple[ColumnRule, ...]
    words: Mapping[str, str] = field(default_factory=dict)
    long: tuple[str, str] = ("", "")
    headings: int | None = None
    gap: float = 0.0
    start: float | None = None
    stop: float | None = None

    def says(self, option: str) -> str:
        """What is said of an option that takes a word, "" where nothing is."""
        return self.words.get(option, "")

    @property
    def key(self) -> tuple[object, ...]:
        """What tells it from other rules."""
        words = tuple(sorted(self.words.items()))
        bounds = (self.gap, self.start, self.stop)
        return (self.time, self.columns, words, self.long, self.headings, *bounds)

    @property
    def in_words(self) -> tuple[str, ...]:
        """What a reader of the page is told of how the file was read."""
        told = [
            f"{rule.channel.name.replace('_', ' ')} came {rule.lag:.3g} s late, which was taken out"
            for rule in self.columns
            if rule.lag
        ]
        if self.gap:
            told.append(f"steps above {self.gap:.4g} s are gaps")
        if repeated := self.says("repeated"):
            told.append(
                "rows with one time share the time up to the next"
                if repeated == "spread"
                else f"of rows with one time the {repeated} is kept"
            )
        if self.time.form == "rate":
            told.append(f"rows are {self.time.scale:.4g} s apart, as stated")
        return tuple(told)


def names_of_files(node: YamlMapping) -> list[str]:
    """The files that an input names under ``data``."""
    data = node.get("data")
    items = data.items if isinstance(data, YamlList) else (data,)
    return [item.text for item in items if isinstance(item, YamlScalar) and item.text]


def read_rules(
    node: YamlMapping, form: Logged, reader: Reads, path: tuple[str | int, ...]
) -> LogRules | None:
    """What a block says of a log, or None where something is wrong with it, which the reader has reported."""
    return _Rules(node, form, reader, path).read()


def _place(heading: str, position: int) -> tuple[str, int]:
    """Which column a rule means, as two can be compared."""
    return " ".join(heading.split()).casefold(), position


class _Rules:
    def __init__(self, node: YamlMapping, form: Logged, reader: Reads, path: tuple[str | int, ...]) -> None:
        self.node, self.form, self.reader, self.path = node, form, reader, path
        self.sound = True

    def read(self) -> LogRules | None:
        self._known(self.node, OPTIONS, "a log takes")
        words = {name: word for name in _WORDS if (word := self._word(name))}
        time = self._time()
        columns = self._columns()
        long = self._long()
        if not any(long):
            self._apart(time, columns)
        rules: dict[str, Any] = {
            "gap": self._number("gap", _STEP) or 0.0,
            "start": self._number("from", _TIME),
            "stop": self._number("to", _TIME),
            "headings": self._heading_line(),
        }
        if not self.sound or time is None:
            return None
        return LogRules(time=time, columns=columns, words=words, long=long, **rules)

    def wrong(
        self, at: YamlNode, found: str, expected: str, help: str = "", *, missing: bool = False
    ) -> None:
        """Report what is wrong at a place of the block."""
        self.sound = False
        length = len(shorten(at.text, 200)) if isinstance(at, YamlScalar) else 1
        code = MISSING_INPUT if missing else VALUE_UNREADABLE
        mend = help or ("" if missing else "the page Logs of the manual lists what a log takes")
        self.reader.fault(Refused("", found, expected, code=code), at.position, max(1, length), mend)

    def _known(self, node: YamlMapping, known: Collection[str], who: str) -> None:
        for key, _ in node.entries:
            if key.text not in known:
                hint = did_you_mean(key.text, known)
                self.wrong(key, f"“{shorten(key.text)}”", f"{who} {', '.join(known)}", hint)

    def _word(self, name: str) -> str:
        node = self.node.get(name)
        if node is None:
            return ""
        word = node.text.strip() if isinstance(node, YamlScalar) else ""
        if word not in _WORDS[name]:
            hint = did_you_mean(word, _WORDS[name])
            self.wrong(node, describe(node), f"{name}: {' or '.join(_WORDS[name])}", hint)
        return word

    def _number(self, name: str, form: Number) -> float | None:
        node = self.node.get(name)
        return None if node is None else self._of(node, form, name)[0]

    def _of(self, node: YamlNode, form: Number, *path: str) -> tuple[float | None, float]:
        """A number of the rules, and its standard uncertainty."""
        inside = (*self.path, *path)
        value = self.reader.read(node, form, inside)
        parts = self.reader.uncertain.pop(inside, {})
        if not isinstance(value, float | int):
            self.sound = False
            return None, 0.0
        return float(value), sum(part * part for part in parts.values()) ** 0.5

    def _heading_line(self) -> int | None:
        node = self.node.get("headings")
        if node is None:
            return None
        text = node.text.strip() if isinstance(node, YamlScalar) else ""
        if text == "none":
            return 0
        if not _PLACE.fullmatch(text):
            self.wrong(node, describe(node), "headings: the number of their line, or none")
            return None
        return int(text)

    # --- time ---------------------------------------------------------------------------------

    def _time(self) -> TimeRule | None:
        node = self.node.get("time")
        if not isinstance(node, YamlMapping):
            at = node or self.node
            found = "no time" if node is None else describe(node)
            self.wrong(at, found, f"time: {OPTIONS['time']}", missing=node is None)
            return None
        self._known(node, ("heading", "position", "unit", "as", "date", "rate"), "time takes")
        if (rate := node.get("rate")) is not None:
            return self._at_rate(node, rate)
        written = self._where(node, "time")
        if written is None:
            return None
        heading, position, at = written
        form = node.get("as")
        word = form.text.strip() if isinstance(form, YamlScalar) else ""
        if form is not None and word not in ("clock", "epoch"):
            self.wrong(
                form, describe(form), "as: clock, or as: epoch", did_you_mean(word, ("clock", "epoch"))
            )
            return None
        scale, order = self._scale(node, word), self._order(node, word)
        if scale is None or order is None:
            return None
        kind: Literal["seconds", "clock", "epoch"] = "clock" if word == "clock" else "seconds"
        if word == "epoch":
            kind = "epoch"
        return TimeRule(form=kind, heading=heading, position=position, scale=scale, date=order, written=at)

    def _order(self, node: YamlMapping, word: str) -> str | None:
        """Whether the day or the month comes first in the dates of a clock."""
        order = node.get("date")
        if order is None:
            return ""
        text = order.text.strip() if isinstance(order, YamlScalar) else ""
        if word != "clock" or text not in (DAY_FIRST, MONTH_FIRST):
            self.wrong(order, describe(order), f"as: clock, with date: {DAY_FIRST} or {MONTH_FIRST}")
            return None
        return text

    def _at_rate(self, node: YamlMapping, rate: YamlNode) -> TimeRule | None:
        others = [key for key, _ in node.entries if key.text != "rate"]
        if others:
            self.wrong(others[0], f"“{others[0].text}” beside rate", "rate alone: rows are evenly spaced")
            return None
        value, _ = self._of(rate, _RATE, "time", "rate")
        if value is None or not isinstance(rate, YamlScalar):
            return None
        return TimeRule(form="rate", scale=1 / value, written=rate)

    def _scale(self, node: YamlMapping, word: str) -> float | None:
        """Seconds for each count of the time column."""
        unit = node.get("unit")
        if word == "clock":
            if unit is not None:
                self.wrong(unit, describe(unit), "no unit: a clock has hours, minutes and seconds")
                return None
            return 1.0
        if not isinstance(unit, YamlScalar) or not unit.text.strip():
            at = unit or node
            self.wrong(at, "no unit of the times", "unit: s, ms or another unit of time", missing=True)
            return None
        try:
            return units.find(unit.text.strip(), "time").to_si(1.0)
        except Refused as error:
            self.wrong(unit, error.found, error.expected, error.help)
            return None

    # --- columns ------------------------------------------------------------------------------

    def _where(self, node: YamlNode, what: str) -> tuple[str, int, YamlScalar] | None:
        """The heading of a column, or its place, and where that is written."""
        if isinstance(node, YamlScalar) and node.text.strip():
            return node.text, 0, node
        heading = node.get("heading") if isinstance(node, YamlMapping) else None
        position = node.get("position") if isinstance(node, YamlMapping) else None
        if (heading is None) == (position is None):
            found = describe(node) if not isinstance(node, YamlMapping) else "both" if heading else "neither"
            self.wrong(node, f"{found} for {what}", "heading: what the file calls it, or position: its place")
            return None
        given = heading or position
        if not isinstance(given, YamlScalar) or not given.text.strip():
            self.wrong(given or node, describe(given or node), f"the column of {what}")
            return None
        if heading is not None:
            return given.text, 0, given
        if not _PLACE.fullmatch(given.text.strip()):
            self.wrong(given, describe(given), "position: a number from 1 on")
            return None
        return "", int(given.text), given

    def _columns(self) -> tuple[ColumnRule, ...]:
        node = self.node.get("columns")
        known = {channel.name: channel for channel in self.form.channels}
        if not isinstance(node, YamlMapping):
            at = node or self.node
            found = "no columns" if node is None else describe(node)
            first = self.form.channels[0]
            unit = f", unit: {first.unit}" if first.unit else ""
            expected = f"columns: {{{first.name}: {{heading: its heading{unit}}}}}"
            self.wrong(at, found, expected, missing=node is None)
            return ()
        self._known(node, known, "the columns are")
        rules = [
            rule
            for key, value in node.entries
            if key.text in known and (rule := self._column(known[key.text], value)) is not None
        ]
        given = {key.text for key, _ in node.entries}
        for channel in self.form.channels:
            if channel.required and channel.name not in given:
                unit = f", unit: {channel.unit}" if channel.unit else ""
                expected = f"{channel.name}: {{heading: its heading{unit}}}"
                self.wrong(node, f"no {channel.name}", expected, channel.about, missing=True)
        self._once(rules)
        return tuple(rules)

    def _apart(self, time: TimeRule | None, columns: tuple[ColumnRule, ...]) -> None:
        """Refuse a channel that is read from the column of the times."""
        if time is None or time.form == "rate":
            return
        for rule in columns:
            if _place(rule.heading, rule.position) == _place(time.heading, time.position):
                found = f"“{shorten(rule.written.text)}” for the times and for {rule.channel.name}"
                self.wrong(rule.written, found, "a column of its own for each")

    def _once(self, rules: list[ColumnRule]) -> None:
        seen: dict[tuple[str, int], str] = {}
        for rule in rules:
            where = _place(rule.heading, rule.position)
            if where in seen:
                found = f"“{shorten(rule.written.text)}” for {seen[where]} and for {rule.channel.name}"
                self.wrong(rule.written, found, "a column of its own for each")
            seen[where] = rule.channel.name

    def _column(self, channel: LogChannel, node: YamlNode) -> ColumnRule | None:
        if isinstance(node, YamlMapping):
            self._known(node, COLUMN_OPTIONS, "a column takes")
        where = self._where(node, channel.name)
        if where is None:
            return None
        heading, position, written = where
        if not isinstance(node, YamlMapping):
            return ColumnRule(channel=channel, heading=heading, position=position, written=written)
        lag: tuple[float | None, float] = (0.0, 0.0)
        if (late := node.get("lag")) is not None:
            lag = self._of(late, _LAG, "columns", channel.name, "lag")
        quantum, doubt = self._text(node, "quantum"), self._text(node, "by")
        self._readable(quantum)
        self._readable(doubt)
        unit, instrument = self._text(node, "unit"), self._text(node, "instrument")
        if instrument is not None and not _INSTRUMENT.fullmatch(instrument.text):
            self.wrong(instrument, describe(instrument), "instrument: its name")
        return ColumnRule(
            channel=channel,
            heading=heading,
            position=position,
            unit=unit.text.strip() if unit else "",
            lag=lag[0] or 0.0,
            lag_doubt=lag[1],
            quantum=quantum.text.strip() if quantum else "",
            doubt=doubt.text.strip() if doubt else "",
            instrument=instrument.text.strip() if instrument else "",
            written=written,
            origin=self.reader.origin_at(doubt.position) if doubt and not instrument else "",
            quantum_at=quantum,
        )

    def _text(self, node: YamlMapping, name: str) -> YamlScalar | None:
        value = node.get(name)
        if value is None:
            return None
        if not isinstance(value, YamlScalar) or not value.text.strip():
            self.wrong(value, describe(value), COLUMN_OPTIONS[name])
            return None
        return value

    def _readable(self, node: YamlScalar | None) -> None:
        if node is None:
            return
        try:
            parse_doubt(node.text)
        except Unreadable as error:
            self.wrong(node, f"“{shorten(node.text)}”", error.expected, error.help)

    def _long(self) -> tuple[str, str]:
        node = self.node.get("long")
        if node is None:
            return "", ""
        parts = [node.get(name) if isinstance(node, YamlMapping) else None for name in ("name", "value")]
        texts = [part.text if isinstance(part, YamlScalar) else "" for part in parts]
        if not all(texts) or not isinstance(node, YamlMapping) or len(node.entries) != 2:
            self.wrong(node, describe(node), f"long: {OPTIONS['long']}")
        return texts[0], texts[1]
