"""What the scanner hands on: the parts of a page that matter, each with where it stands.

Offsets count code points of the page's text from 0; lines and columns count from 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from buildlog.diagnostics import Diagnostic, Position, declare
from buildlog.files.text import Lines

SCHEMES = ("calc:", "cite:", "told:")
CAUTION = "caution:"
MASK = "\ufffc"  # OBJECT REPLACEMENT CHARACTER: stands for something that is not prose

LINE_TOO_LONG = declare(
    "line-too-long",
    "the line is longer than a line may be",
    why="Python-Markdown takes minutes over very long lines, so the site could not be built.",
    mend="Break the line. Its figures are not read until then.",
    example="a whole table pasted into one line",
)


@dataclass(frozen=True)
class FrontMatter:
    """YAML at the head of the page, between lines of hyphens. `line` is that of its first line."""

    text: str
    line: int
    end_line: int


@dataclass(frozen=True, kw_only=True)
class Fence:
    """A fenced code block.

    `info` is all that follows the marker. `prefix` is what stands before the marker on the opening
    line (list indents, quote marks). `body_lines` are without that prefix; character i of
    `body_lines[n]` stands in column `body_columns[n] + i` of line `line + 1 + n`. The closing marker
    is on `end_line`; where `closed` is false there is none, and `end_line` is the last line before
    the fence was given up. One that `is_mistyped` was meant for a calculation and is code.
    """

    info: str
    language: str
    words: tuple[str, ...]
    is_calc: bool
    is_mistyped: bool
    marker: str
    body_lines: tuple[str, ...]
    body_columns: tuple[int, ...]
    line: int
    column: int
    end_line: int
    prefix: str
    closed: bool

    @property
    def body(self) -> str:
        return "\n".join(self.body_lines)

    def position(self, path: str, body_line: int, body_column: int) -> Position:
        """Where a place of the body (both counted from 0) stands in the file."""
        if body_line >= len(self.body_lines):
            return Position(path, self.end_line if self.closed else self.line, self.column)
        return Position(path, self.line + 1 + body_line, max(1, self.body_columns[body_line] + body_column))


class LinkForm(Enum):
    """How a link is written."""

    INLINE = "[label](address)"
    REFERENCE = "[label][name]"
    SHORTCUT = "[label]"
    AUTOMATIC = "<scheme://address>"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A link whose address begins with calc:, cite: or told:.

    `label` is as written, without what containers put before a line. `address` and `title` are as
    Python-Markdown reads them (escapes resolved). The offsets are of the text as written; those of
    the address and title lie in the definition where the form is a reference. `title_start` is None
    where there is no title.
    """

    form: LinkForm
    label: str
    address: str
    title: str | None
    start: int
    end: int
    label_start: int
    label_end: int
    address_start: int
    address_end: int
    title_start: int | None
    definition_start: int | None
    path: str
    lines: Lines = field(repr=False, compare=False)

    @property
    def position(self) -> Position:
        return self.lines.position(self.start, self.path)

    @property
    def label_position(self) -> Position:
        return self.lines.position(self.label_start, self.path)

    @property
    def address_position(self) -> Position:
        return self.lines.position(self.address_start, self.path)

    @property
    def title_position(self) -> Position | None:
        return None if self.title_start is None else self.lines.position(self.title_start, self.path)

    @property
    def definition(self) -> Position | None:
        """Where the definition begins that the address was taken from."""
        start = self.definition_start
        return None if start is None else self.lines.position(start, self.path)

    @property
    def scheme(self) -> str:
        return self.address.partition(":")[0]


class Cell(NamedTuple):
    """A cell's place: the line on which its table begins, and its row and column in it, from 0."""

    table: int
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ProseSpan:
    """One line of running text. `text[i]` stands in column `column + i`; `MASK` is no prose.

    `cell` is the cell of a table that it is the text of.
    """

    line: int
    column: int
    text: str
    is_heading: bool = False
    cell: Cell | None = None

    @property
    def in_table(self) -> bool:
        return self.cell is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """Where a name leads, ``[name]: address "title"``; `start` and `end` are those of all of it."""

    name: str
    address: str
    start: int
    end: int
    address_start: int


@dataclass(frozen=True, slots=True, kw_only=True)
class UndefinedReference:
    """``[label][name]`` with a name that nothing defines: it stands on the page as it is written."""

    label: str
    name: str
    start: int
    end: int


class OtherLink(NamedTuple):
    """A link with a scheme that is neither ours nor well known: the scheme in small letters, what follows its
    colon, and the label."""

    scheme: str
    rest: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What stands around running text, in offsets of the page.

    `code` is shown as it is written or, comments among it, not at all. `html` is raw HTML and tags. `others`
    are links with schemes that nobody knows.
    """

    code: tuple[tuple[int, int], ...] = ()
    html: tuple[tuple[int, int], ...] = ()
    images: tuple[tuple[int, int], ...] = ()
    definitions: tuple[Definition, ...] = ()
    undefined: tuple[UndefinedReference, ...] = ()
    others: tuple[OtherLink, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ScannedPage:
    """A page taken apart. `text` is unchanged. `cautions` are the links with caution: addresses."""

    path: str
    text: str
    front_matter: FrontMatter | None
    fences: tuple[Fence, ...]
    links: tuple[Link, ...]
    prose: tuple[ProseSpan, ...]
    diagnostics: tuple[Diagnostic, ...]
    lines: Lines = field(repr=False, compare=False)
    cautions: tuple[Link, ...] = ()
    surroundings: Surroundings = field(default_factory=Surroundings)

    def offset_to_position(self, offset: int) -> Position:
        return self.lines.position(offset, self.path)
