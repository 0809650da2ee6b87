"""What is known of a log's file while it is read: where it is read, what is wrong, what was left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from buildlog.diagnostics import Code, Diagnostic, Position, declare
from buildlog.files.text import NUL_CHARACTER
from buildlog.kinds.declaration import Doubt
from buildlog.reading.data import DATA_UNREADABLE
from buildlog.reading.log_rules import ColumnRule, LogRules
from buildlog.reading.nodes import YamlScalar

LONGEST_LINE = 1_000_000

LOG_UNCLEAR = declare(
    "log-unclear",
    "a log can be read in more than one way, and the block does not say in which",
    why="What is dropped, joined or moved in a log decides what it shows; nothing of it is guessed.",
    mend="State the rule in the block; the page shows it and how many rows it met.",
    example="two rows with the time 12.4 s, and no repeated: in the block",
)


@dataclass(frozen=True, kw_only=True)
class Column:
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


_MEND = "correct the file, or what the block says of it"


class CannotGoOn(Exception):
    """The file cannot be read any further; why has been told."""


@dataclass(kw_only=True)
class Reading:
    """One file while it is read. A text that is `typed` begins somewhere in its page; where that is not
    known, since YAML joined its lines, what is told of it stands at the whole text."""

    rules: LogRules
    path: str
    file: str
    written: YamlScalar
    typed: bool = False
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
        place = at or self.place(self.line, self._column(index))
        other = self.written.position if place.path != self.written.position.path or self.typed else None
        fault = code.at(
            place,
            found=found,
            expected=expected,
            help=help or _MEND,
            length=length,
            second=other,
            second_label="read for this input" if other else "",
        )
        self.told.setdefault((code.name, cause or found), []).append(fault)
        if len(self.told[code.name, cause or found]) > 2:
            self.told[code.name, cause or found][-2:] = [fault]
        self.often[code.name, cause or found] += 1

    def place(self, line: int, column: int = 1) -> Position:
        """Where a place of the text is that is read."""
        if not self.typed:
            return Position(self.path, line, column)
        begins = self.written.begins
        if begins is None:
            return self.written.position
        return Position(self.path, begins.line + line - 1, begins.column + column - 1)

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

    def followed(self, lines: Iterable[str]) -> Iterator[str]:
        """The lines, with the one that is being read kept for messages."""
        for text in lines:
            self.line += 1
            self.text = text
            if "\0" in text:
                self.wrong(NUL_CHARACTER, "a NUL character", "text", "the file is no text, or is UTF-16")
                raise CannotGoOn
            if len(text) > LONGEST_LINE:
                self.wrong(DATA_UNREADABLE, f"a line of more than {LONGEST_LINE} characters", "a shorter one")
                raise CannotGoOn
            yield text
