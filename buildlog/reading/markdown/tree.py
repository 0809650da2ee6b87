"""Rows, blocks and nodes: what the container rules work on.

A row is the rest of a line after the containers around it took their share: (text, line, column),
where `column` is that of its first character in the expanded line. A block is a run of rows without
a blank one. Rows that open something are looked up by kind in a list made once for each sheet of
rows, so that asking again and again stays cheap.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence

SourceRow = tuple[str, int, int]

INDENT = "    "

# What a row may open, wherever in a block it stands.
ADMONITION, DETAILS, TAB, HEADING, RULE, QUOTE, DEFINITION, FOOTNOTE, REFERENCE = range(9)

FENCE_MARK = re.compile("\x02f([0-9]+)\x03")
ELEMENT_MARK = re.compile("\x02e([0-9]+)\x03")

_ADMONITION = re.compile(r'!!! ?([\w\-]+(?: +[\w\-]+)*)(?: +"(.*?)")? *')
_DETAILS = re.compile(
    r'\?{3}(?:\+)? ?(?:(?:[\w\-]+(?: +[\w\-]+)*?)?(?: +"(.*?)")|(?:[\w\-]+(?: +[\w\-]+)*?)) *'
)
_TAB = re.compile(r'={3}(?:\+|\+!|!\+|!)? +"(.*?)" *')
_FOOTNOTE = re.compile(r"[ ]{0,3}\[\^([^\]]*)\]:[ ]*(.*)")
_DEFINITION = re.compile(r"[ ]{0,3}:[ ]{1,3}(.*)")
_OPENERS = frozenset("!?=#-_*>:[")


def fence_mark(number: int) -> str:
    """What stands for a fence in a row."""
    return f"\x02f{number}\x03"


def element_mark(number: int) -> str:
    """What stands for an HTML element whose content is Markdown."""
    return f"\x02e{number}\x03"


RAW_MARK = "\x02r\x03"  # a stretch of raw HTML, a comment among it


def kind_of(text: str) -> int:
    """What a row opens, or -1."""
    stripped = text.lstrip(" ")
    if not stripped or stripped[0] not in _OPENERS:
        return -1
    indent = len(text) - len(stripped)
    if indent > 3:
        return -1
    first = stripped[0]
    if first in "-_*":
        return RULE if _is_rule(stripped, first) else -1
    if first == ">":
        return QUOTE
    if first == ":":
        return DEFINITION if stripped.startswith(": ") else -1
    if first == "[":
        return FOOTNOTE if stripped.startswith("[^") and _FOOTNOTE.fullmatch(text) else REFERENCE
    if indent:
        return -1
    if first == "#":
        return HEADING if heading_text(text) is not None else -1
    if first == "!":
        return ADMONITION if text.startswith("!!!") and _ADMONITION.fullmatch(text) else -1
    if first == "?":
        return DETAILS if text.startswith("???") and _DETAILS.fullmatch(text) else -1
    return TAB if text.startswith("===") and _TAB.fullmatch(text) else -1


def _is_rule(stripped: str, sign: str) -> bool:
    stripped = stripped.rstrip(" ")
    return "   " not in stripped and stripped.count(sign) >= 3 and not stripped.strip(sign + " ")


def heading_text(text: str) -> tuple[int, int] | None:
    """Where the text of a `#` heading begins and ends in its row, or None where it is none."""
    begin = len(text) - len(text.lstrip("#"))
    begin = min(begin, 6)
    end = len(text)
    backslashes = end - len(text.rstrip("\\"))
    if backslashes % 2:
        return None  # Python-Markdown reads no heading whose last character is an open escape
    while end > begin and text[end - 1] == "#":
        end -= 1
    escapes = len(text[begin:end]) - len(text[begin:end].rstrip("\\"))
    if escapes % 2 and end < len(text):
        end += 1
    return begin, end


def title_of(kind: int, text: str) -> tuple[int, int] | None:
    """Where the quoted title of an admonition, details or tab stands in its row."""
    if kind == ADMONITION:
        match, group = _ADMONITION.fullmatch(text), 2
    elif kind == DETAILS:
        match, group = _DETAILS.fullmatch(text), 1
    else:
        match, group = _TAB.fullmatch(text), 1
    return match.span(group) if match and match.start(group) >= 0 else None


def footnote_of(text: str) -> tuple[str, int]:
    """The name of a footnote and where its text begins in the row."""
    match = _FOOTNOTE.fullmatch(text)
    assert match is not None
    return match.group(1), match.start(2)


def definition_start(text: str) -> int:
    """Where the text of a definition begins in its row."""
    match = _DEFINITION.match(text)
    assert match is not None
    return match.start(1)


class RowIndex:
    """Rows, and where those stand that open something."""

    __slots__ = ("openers", "rows")

    def __init__(self, rows: list[SourceRow]) -> None:
        self.rows = rows
        self.openers: dict[int, list[int]] = {}
        for index, row in enumerate(rows):
            kind = kind_of(row[0])
            if kind >= 0:
                self.openers.setdefault(kind, []).append(index)

    def find(self, kind: int, low: int, high: int) -> int:
        """The first row of a kind in [low, high), or -1."""
        places = self.openers.get(kind)
        if not places:
            return -1
        at = bisect_left(places, low)
        return places[at] if at < len(places) and places[at] < high else -1


class RowBlock:
    """Rows [low, high) of a sheet. `detached` says that more than one blank row stood before them."""

    __slots__ = ("detached", "high", "low", "sheet")

    def __init__(self, sheet: RowIndex, low: int, high: int, detached: bool = False) -> None:
        self.sheet = sheet
        self.low = low
        self.high = high
        self.detached = detached

    @property
    def rows(self) -> list[SourceRow]:
        return self.sheet.rows[self.low : self.high]


def whole(rows: list[SourceRow]) -> list[RowBlock]:
    """All rows as one block."""
    return [RowBlock(RowIndex(rows), 0, len(rows))]


def put_back(blocks: list[RowBlock], block: RowBlock, low: int) -> None:
    """What is left of a block from row `low` on is the next block."""
    if low < block.high:
        blocks.append(RowBlock(block.sheet, low, block.high))


def split(rows: list[SourceRow]) -> list[RowBlock]:
    """Rows → their blocks, the last one first (so that the next is taken from the end)."""
    sheet = RowIndex(rows)
    blocks: list[RowBlock] = []
    blank = 0
    at = 0
    count = len(rows)
    while at < count:
        if not rows[at][0]:
            blank += 1
            at += 1
            continue
        low = at
        while at < count and rows[at][0]:
            at += 1
        blocks.append(RowBlock(sheet, low, at, blank > 1))
        blank = 0
    blocks.reverse()
    return blocks


class Region:
    """An element, as far as the container rules look at it."""

    __slots__ = ("children", "kind", "tag", "tail", "text")

    def __init__(self, tag: str, kind: str = "", text: list[SourceRow] | None = None) -> None:
        self.tag = tag
        self.kind = kind
        self.children: list[Region] = []
        self.text: list[SourceRow] = text or []
        self.tail: list[SourceRow] = []

    @property
    def last(self) -> Region | None:
        return self.children[-1] if self.children else None

    def add(self, tag: str, kind: str = "", text: list[SourceRow] | None = None) -> Region:
        node = Region(tag, kind, text)
        self.children.append(node)
        return node

    def wrap_text(self, first: bool) -> None:
        """Put the text of a list item into a paragraph: the first child, or the last."""
        if self.text:
            paragraph = Region("p", text=self.text)
            self.text = []
            self.children.insert(0 if first else len(self.children), paragraph)


def cut(row: SourceRow, count: int) -> SourceRow:
    """A row without its first characters."""
    return row[0][count:], row[1], row[2] + count


def strip_left(row: SourceRow) -> SourceRow:
    text = row[0].lstrip()
    return text, row[1], row[2] + len(row[0]) - len(text)


def detab(block: RowBlock, width: int) -> tuple[list[SourceRow], int]:
    """Rows of a block as long as they are indented by `width`, without that indent, and how many."""
    margin = " " * width
    taken: list[SourceRow] = []
    rows = block.sheet.rows
    at = block.low
    while at < block.high:
        row = rows[at]
        if row[0].startswith(margin):
            taken.append(cut(row, width))
        elif not row[0].strip():
            taken.append(("", row[1], row[2]))
        else:
            break
        at += 1
    return taken, at


def loose_detab(rows: Sequence[SourceRow], level: int) -> list[SourceRow]:
    """Rows without `level` indents where they have them; other rows stay as they are."""
    margin = INDENT * level
    width = len(margin)
    return [cut(row, width) if row[0].startswith(margin) else row for row in rows]
