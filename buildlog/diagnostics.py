"""What buildlog says when something is wrong, and where.

A diagnostic has a stable code, a severity, a position (file:line:column,
1-based, columns in code points), what was found, what was expected and what to
do about it. Checks return diagnostics; only ``buildlog.report`` prints them.

Formulae and calculators know nothing of files. They raise `Refused` (or its
kinds), which names the input at fault; whoever knows the file turns it into a
diagnostic with a position.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import IntEnum


class Severity(IntEnum):
    """How bad a finding is. Only errors stop a site from being published."""

    ERROR = 0
    WARNING = 1
    NOTE = 2

    @property
    def word(self) -> str:
        return self.name.lower()


@dataclass(frozen=True, order=True)
class Position:
    """A place in a file: path as shown to people, 1-based line, 1-based code-point column."""

    path: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}"


@dataclass(frozen=True, kw_only=True)
class Code:
    """A kind of finding. The manual's page about it is made from these fields."""

    name: str
    severity: Severity
    meaning: str
    why: str
    mend: str
    example: str = ""

    def at(
        self,
        position: Position,
        message: str = "",
        *,
        found: str = "",
        expected: str = "",
        help: str = "",
        second: Position | None = None,
        second_label: str = "",
        length: int = 1,
        severity: Severity | None = None,
    ) -> Diagnostic:
        """A finding of this kind at a place. Without a message, the code's meaning is the message."""
        return Diagnostic(
            code=self.name,
            severity=self.severity if severity is None else severity,
            position=position,
            message=message or self.meaning,
            found=found,
            expected=expected,
            help=help or self.mend,
            second=second,
            second_label=second_label,
            length=max(1, length),
        )


CODES: dict[str, Code] = {}


def declare(
    name: str,
    meaning: str,
    *,
    why: str,
    mend: str,
    severity: Severity = Severity.ERROR,
    example: str = "",
) -> Code:
    """Declare a code beside the check that uses it. Declaring a name twice is a mistake of ours."""
    if name in CODES:
        raise ValueError(f"code {name!r} is declared twice")
    CODES[name] = Code(name=name, severity=severity, meaning=meaning, why=why, mend=mend, example=example)
    return CODES[name]


@dataclass(frozen=True, kw_only=True)
class Diagnostic:
    """One finding. `length` is how many code points of the line it is about."""

    code: str
    severity: Severity
    position: Position
    message: str
    found: str = ""
    expected: str = ""
    help: str = ""
    second: Position | None = None
    second_label: str = ""
    length: int = 1

    @property
    def sort_key(self) -> tuple[Position, int, str, str]:
        return (self.position, int(self.severity), self.code, self.message)

    def with_severity(self, severity: Severity) -> Diagnostic:
        return replace(self, severity=severity)


@dataclass
class Refused(Exception):
    """A formula or a calculator cannot work with what it was given.

    `name` is the input or parameter at fault ("" where it is the block as a whole).
    """

    name: str
    found: str
    expected: str
    help: str = ""
    code: str = "calculation-refused"

    def __str__(self) -> str:
        return f"{self.name or 'calculation'}: found {self.found}, expected {self.expected}"


@dataclass
class OutOfRange(Refused, ValueError):
    """A value lies outside the range in which the formula or the calculator holds."""

    code: str = field(default="out-of-range")


@dataclass
class MissingInput(Refused):
    """An input, or one of several, is needed and was not given."""

    code: str = field(default="missing-input")


@dataclass
class InputsConflict(Refused):
    """Inputs that exclude or contradict each other were given together."""

    code: str = field(default="inputs-conflict")


@dataclass
class NoSolution(Refused):
    """The equation has no solution for these inputs, or more than one."""

    code: str = field(default="no-solution")


def did_you_mean(word: str, known: Iterable[str], most: int = 3) -> str:
    """'did you mean "x"?' for a mistyped word, or '' when nothing is near."""
    folded = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), folded, n=most, cutoff=0.6)
    if not near:
        return ""
    return "did you mean " + " or ".join(f"“{folded[name]}”" for name in near) + "?"


def shorten(text: str, most: int = 60) -> str:
    """Text for a message: one line, cut at `most`."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"
