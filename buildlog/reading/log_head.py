"""The headings of a log's file: where they stand, which column is which, and what its numbers are in."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence

from buildlog.diagnostics import MISSING_INPUT, Refused, did_you_mean, shorten
from buildlog.figures import units
from buildlog.reading.data import DATA_UNREADABLE, before_unit, heading_words, unit_in
from buildlog.reading.log_reading import LOG_UNCLEAR, CannotGoOn, Column, Reading
from buildlog.reading.log_rules import ColumnRule
from buildlog.reading.nodes import YamlScalar

_MOST_PREAMBLE = 200
_LONGEST_HEADING = 10
_LONGEST_HEADINGS = 20_000
_SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}


class Head:
    """The headings of a file: where they are, and which column is which."""

    def __init__(self, reading: Reading) -> None:
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
        best: tuple[tuple[int, int], list[str]] = ((-1, 0), [])
        for _, text in zip(range(_MOST_PREAMBLE), _whole_lines(lines), strict=False):
            if len(text) > _LONGEST_HEADINGS:  # no headings, and to look for some in it takes long
                continue
            names = self._split(text, wanted)
            missing = self._missing(names, wanted)
            if not missing:
                return names
            # Where no line has any of them, that with the most words is shown.
            like = (len(wanted) - len(missing), sum(any(map(str.isalpha, name)) for name in names))
            if like > best[0]:
                best = (like, names)
        self._tell_missing(best[1], wanted)
        raise CannotGoOn

    def _ask(self, found: str, expected: str) -> None:
        self.reading.wrong(LOG_UNCLEAR, found, expected, at=self.reading.written.position)
        raise CannotGoOn

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
            raise CannotGoOn
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
            place for place, name in enumerate(names) if heading_words(_without_unit(name)) == word
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
                did_you_mean(heading, there)
                or "write it as the file has it, with its unit or without, or give position: in its place",
                at=at.position,
                length=len(at.text),
            )

    # --- columns ------------------------------------------------------------------------------

    def columns(self, names: Sequence[str], below: Sequence[str]) -> tuple[list[Column], int]:
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

    def _made(self, rule: ColumnRule, index: int, heading: str, in_file: str) -> Column | None:
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
            return Column(
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
        if not _is_open(held) or held.count("\n") > _LONGEST_HEADING:
            yield held
            held = ""


def _is_open(text: str) -> bool:
    """Whether a text ends within quotes, by whichever separator."""
    try:
        for mark in _SEPARATORS.values():
            for _ in csv.reader([text], delimiter=mark, strict=True):
                pass
    except csv.Error as error:
        return "end of data" in str(error)
    return False


_ROUND = re.compile(r"\(\s*([^()]{1,40}?)\s*\)\s*$")


def _without_unit(heading: str) -> str:
    """A heading without the unit that it says, in either kind of brackets."""
    bare = before_unit(heading)
    if bare == heading and _in_round_brackets(heading):
        return _ROUND.sub("", heading)
    return bare


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
