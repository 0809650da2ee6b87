"""What buildlog says when something is wrong, and where.

A diagnostic has a stable code, a severity, a position (file:line:column,
1-based, columns in code points), what was found, what was expected and what to
do about it. Checks return diagnostics; only ``buildlog.report`` prints them.

Formulae and calculators know nothing of files. They raise `Refused` (or its
kinds), which names the input at fault and carries its code; whoever knows the
file turns it into a diagnostic with a position.

A code is declared beside the check that uses it. Those of the exceptions that
every room raises are declared here, below all of them.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from enum import Enum, IntEnum
from heapq import nlargest
from itertools import islice
from typing import Any


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


class Tie(Enum):
    """How a finding follows from another: a figure or an input that rests on what is at fault, the same
    fault at another place, or another one of its kind on the page, told with the first."""

    FIGURE = "figure"
    INPUT = "input"
    SAME = "same"
    PAGE = "page"


@dataclass(frozen=True)
class Cause:
    """The finding that another one follows from, and goes with: its place and the name of its code."""

    position: Position
    code: str
    tie: Tie


@dataclass(frozen=True)
class Row:
    """One of several values that are shown below each other: what it is, the value, what there is to say."""

    name: str
    value: str
    remark: str = ""


@dataclass(frozen=True, kw_only=True)
class Code:
    """A kind of finding. The manual's page about it is made from these fields.

    One that `always_counts` can be set aside by nobody, a list of known findings neither: what it is about
    is not read, so that nothing there is proofed, and a generator may publish it or never end over it. One
    that `comes_first` is listed before all others, which may only follow from it.
    """

    name: str
    severity: Severity
    meaning: str
    why: str
    mend: str
    example: str = ""
    always_counts: bool = False
    comes_first: bool = False

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
        rows: tuple[Row, ...] = (),
    ) -> Diagnostic:
        """A finding of this kind at a place. Without a message, the code's meaning is the message."""
        return Diagnostic(
            code=self,
            severity=self.severity if severity is None else severity,
            position=position,
            message=message or self.meaning,
            found=_cut(found),
            expected=_cut(expected),
            help=help or self.mend,
            second=second,
            second_label=second_label,
            length=max(1, length),
            rows=rows,
        )


LONGEST_SAID = 1000
"""Of what was found or expected: with a list of an author's thousand names in each of a thousand findings,
what is said of a page would grow with the square of its size."""


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_SAID else shorten(text, LONGEST_SAID)


CODES: dict[str, Code] = {}


def declare(
    name: str,
    meaning: str,
    *,
    why: str,
    mend: str,
    severity: Severity = Severity.ERROR,
    example: str = "",
    always_counts: bool = False,
    comes_first: bool = False,
) -> Code:
    """Declare a code beside the check that uses it. Declaring a name twice is a mistake of ours."""
    if name in CODES:
        raise ValueError(f"code {name!r} is declared twice")
    CODES[name] = Code(
        name=name,
        severity=severity,
        meaning=meaning,
        why=why,
        mend=mend,
        example=example,
        always_counts=always_counts,
        comes_first=comes_first,
    )
    return CODES[name]


@dataclass(frozen=True, kw_only=True)
class Diagnostic:
    """One finding. `length` is how many code points of the line it is about.

    `rows` are the values to be compared by eye, where found and expected alone do not show them. `follows`
    is its cause, where it is mended with another one.
    """

    code: Code
    severity: Severity
    position: Position
    message: str
    found: str = ""
    expected: str = ""
    help: str = ""
    second: Position | None = None
    second_label: str = ""
    length: int = 1
    rows: tuple[Row, ...] = ()
    follows: Cause | None = field(default=None, compare=False)

    @property
    def sort_key(self) -> tuple[bool, Position, int, str, str]:
        return (not self.code.comes_first, self.position, int(self.severity), self.code.name, self.message)

    def standing_alone(self) -> Diagnostic:
        return replace(self, follows=None)

    def with_severity(self, severity: Severity) -> Diagnostic:
        return replace(self, severity=severity)


# --- what a formula or a calculator raises ------------------------------------------------

CALCULATION_REFUSED = declare(
    "calculation-refused",
    "the calculation cannot be made with these inputs",
    why="A figure from inputs that do not fit together would mean nothing.",
    mend="Change the inputs as described.",
    example="rolling_circumference: 2.40 m        # more than its tyre has round it",
)
OUT_OF_RANGE = declare(
    "out-of-range",
    "the value lies outside the range in which this holds",
    why="Outside its range a formula gives numbers that mean nothing; buildlog neither clamps nor goes on.",
    mend="Correct the value; if it is right, this calculator does not cover it.",
    example="rev_limit: 82000 rpm",
)
MISSING_INPUT = declare(
    "missing-input",
    "an input that the calculation needs is not given",
    why="Nothing is filled in silently.",
    mend="Give it in the block, in the case, or in the car's sheet.",
    example="kind: gearing        # and no rev_limit, in the block, the case or the car",
)
INPUTS_CONFLICT = declare(
    "inputs-conflict",
    "inputs that exclude or contradict each other",
    why="One of them is wrong, and buildlog does not choose.",
    mend="Leave one of them out, or correct it.",
    example="shift_revs: 8400 rpm        # with rev_limit: 8200 rpm",
)
NO_SOLUTION = declare(
    "no-solution",
    "the equation has no single solution for these inputs",
    why="A number that solves nothing must not be published.",
    mend="Change the inputs as described.",
    example="find: final_drive\nso_that: {rpm_at.4: 9000 rpm}\nbetween: [3.0, 5.0]  # 4583 rpm at most",
)
VALUE_UNREADABLE = declare(
    "value-unreadable",
    "the value cannot be read",
    why="Only values that can be read in one way are computed with.",
    mend="Write a number and its unit, as the manual shows.",
    example="rev_limit: 8,2 krpm",
)


_TWO = re.compile(r"(?P<other>[^,]+) (?:as well|too)|(?P<first>[a-z_]+) and (?P<second>[a-z_]+)")


class Refused(Exception):
    """A formula or a calculator cannot work with what it was given.

    `name` is the input or parameter at fault ("" where it is the block as a whole), `at` where in it: the
    row of a table, counted from 0, and its column. A kind of refusal has its own `code`; a single one gives
    another.
    """

    code: Code = CALCULATION_REFUSED

    def __init__(
        self,
        name: str,
        found: str,
        expected: str,
        *,
        help: str = "",
        code: Code | None = None,
        at: tuple[int | str, ...] = (),
    ) -> None:
        # The three go to Exception too: a refusal in another process is made anew from them.
        super().__init__(name, found, expected)
        self.name = name
        self.found = found
        self.expected = expected
        self.help = help
        self.at = at
        if code is not None:
            self.code = code

    def __str__(self) -> str:
        return f"{self.name or 'calculation'}: found {self.found}, expected {self.expected}"


class OutOfRange(Refused, ValueError):
    """A value lies outside the range in which the formula or the calculator holds."""

    code = OUT_OF_RANGE


class MissingInput(Refused):
    """An input, or one of several, is needed and was not given."""

    code = MISSING_INPUT


class InputsConflict(Refused):
    """Inputs that exclude or contradict each other were given together. Of “gear”, “engine_speed as well” the
    advice has both by name: which is to go is the author's to say."""

    code = INPUTS_CONFLICT

    def __init__(self, name: str, found: str, expected: str, **more: Any) -> None:
        super().__init__(name, found, expected, **more)
        both = _TWO.fullmatch(found)
        if both and self.help in ("", "leave one out", "leave one of them out"):
            first, second = (name, both["other"]) if both["other"] else (both["first"], both["second"])
            self.help = f"leave out {first} or {second}"


class NoSolution(Refused):
    """The equation has no solution for these inputs, or more than one."""

    code = NO_SOLUTION


@contextmanager
def in_row(index: int) -> Iterator[None]:
    """A refusal of a row says which row it is of, counted from 0; it may say the column itself."""
    try:
        yield
    except Refused as error:
        error.at = (index, *error.at)
        raise


class AsWritten(float):
    """A value of a list or a row that remembers how its author wrote it, with the unit as spelt and without
    its doubt: figures call results by it, and messages give it back."""

    text: str
    unit: str

    def __new__(cls, value: float, text: str = "", unit: str = "") -> AsWritten:
        written = super().__new__(cls, value)
        written.text, written.unit = text, unit
        return written

    def moved_to(self, value: float) -> AsWritten:
        """Another value under the same words: to find an uncertainty, inputs are moved a little."""
        return AsWritten(value, self.text, self.unit)


def as_written(value: float, shown: str) -> str:
    """A value in its author's words, or as `shown` where it is none of an author's."""
    return value.text if isinstance(value, AsWritten) else shown


MOST_NAMES = 1000
"""Names that a mistyped word is compared with: each of many mistakes costs so much at most."""
_COMPARED = 40
_LONGEST_WORD = 200


def did_you_mean(word: str, known: Iterable[str], most: int = 3) -> str:
    """'did you mean "x"?' for a mistyped word, or '' when nothing is near. Of many names, those are compared
    that begin and end most as it does."""
    if len(word) > _LONGEST_WORD:
        return ""
    folded = {name.casefold(): name for name in islice(known, MOST_NAMES)}
    word = word.casefold()
    names: Iterable[str] = folded
    if len(folded) > _COMPARED:
        names = nlargest(_COMPARED, folded, key=lambda name: _alike_at_the_ends(word, name))
    near = difflib.get_close_matches(word, names, n=most, cutoff=0.6)
    if not near:
        return ""
    return "did you mean " + " or ".join(f"“{folded[name]}”" for name in near) + "?"


def _alike_at_the_ends(word: str, name: str) -> int:
    """How many signs two words have alike from the beginning, and from the end."""
    return _alike(word, name) + _alike(word[::-1], name[::-1])


def _alike(word: str, name: str) -> int:
    for at, (one, other) in enumerate(zip(word, name, strict=False)):
        if one != other:
            return at
    return min(len(word), len(name))


def shorten(text: str, most: int = 60) -> str:
    """Text for a message: one line, cut at `most`."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"
