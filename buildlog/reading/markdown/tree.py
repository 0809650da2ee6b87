"""Rows, blocks of rows and regions: what the container rules work on.

A row is the rest of a line after the containers around it took their share: (text, line, column),
where `column` is that of its first character in the expanded line. A block is a stretch of rows
without a blank one. Rows that open something are looked up by what they open in an index made once
for all rows of a container, so that asking again and again stays cheap. A region is an element of the
page, with its rows in place of text.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence

from buildlog.reading.markdown.page import Cell

SourceRow = tuple[str, int, int]

INDENT = "    "

# What a row may open, wherever in a block it stands. Plain numbers: they are the keys of the index,
# and the hash of an Enum's member is worked out in Python on every look.
ADMONITION, DETAILS, TAB, HEADING, RULE, QUOTE, DEFINITION_ITEM, FOOTNOTE, LINK_DEFINITION = range(9)
OPENS_NOTHING = -1

FENCE_MARK = re.compile("\x02f([0-9]+)\x03")
ELEMENT_MARK = re.compile("\x02e([0-9]+)\x03")

_ADMONITION = re.compile(r'!!! ?([\w\-]+(?: +[\w\-]+)*)(?: +"(.*?)")? *')
_DETAILS = re.compile(
    r'\?{3}(?:\+)? ?(?:(?:[\w\-]+(?: +[\w\-]+)*?)?(?: +"(.*?)")|(?:[\w\-]+(?: +[\w\-]+)*?)) *'
)
_TAB = re.compile(r'={3}(?:\+|\+!|!\+|!)? +"(.*?)" *')
_FOOTNOTE = re.compile(r"[ ]{0,3}\[\^([^\]]*)\]:[ ]*(.*)")
_DEFINITION_ITEM = re.compile(r"[ ]{0,3}:[ ]{1,3}(.*)")
_WITH_INDENT = frozenset("-_*>:[")
_OPENERS = _WITH_INDENT | frozenset("!?=#")


def fence_mark(number: int) -> str:
    """What stands for a fence in a row."""
    return f"\x02f{number}\x03"


def element_mark(number: int) -> str:
    """What stands for an HTML element whose content is Markdown."""
    return f"\x02e{number}\x03"


RAW_MARK = "\x02r\x03"  # a stretch of raw HTML, a comment among it


def opener_of(text: str) -> int:
    """What a row opens, or `OPENS_NOTHING`. The first sign that is no blank decides which rule is asked."""
    stripped = text.lstrip(" ")
    if not stripped or stripped[0] not in _OPENERS:
        return OPENS_NOTHING
    indent = len(text) - len(stripped)
    if indent >= len(INDENT):  # the fourth blank makes it code, or text of a container
        return OPENS_NOTHING
    sign = stripped[0]
    if sign in _WITH_INDENT:
        return _opener_with_indent(text, stripped, sign)
    # Python-Markdown's patterns for these four begin at the line's very beginning.
    return OPENS_NOTHING if indent else _opener_at_line_start(text, sign)


def _opener_with_indent(text: str, stripped: str, sign: str) -> int:
    """Rules, quotes, definitions and footnotes: up to three blanks may stand before them."""
    if sign == ">":
        return QUOTE
    if sign == ":":
        return DEFINITION_ITEM if stripped.startswith(": ") else OPENS_NOTHING
    if sign == "[":
        is_footnote = stripped.startswith("[^") and _FOOTNOTE.fullmatch(text)
        return FOOTNOTE if is_footnote else LINK_DEFINITION
    return RULE if _is_rule(stripped, sign) else OPENS_NOTHING


def _opener_at_line_start(text: str, sign: str) -> int:
    """Headings, admonitions, details and tabs."""
    if sign == "#":
        return HEADING if heading_text(text) is not None else OPENS_NOTHING
    if sign == "!":
        return ADMONITION if text.startswith("!!!") and _ADMONITION.fullmatch(text) else OPENS_NOTHING
    if sign == "?":
        return DETAILS if text.startswith("???") and _DETAILS.fullmatch(text) else OPENS_NOTHING
    return TAB if text.startswith("===") and _TAB.fullmatch(text) else OPENS_NOTHING


def _is_rule(stripped: str, sign: str) -> bool:
    """A horizontal rule: three or more of one sign, with at most two blanks between two of them."""
    stripped = stripped.rstrip(" ")
    return "   " not in stripped and stripped.count(sign) >= 3 and not stripped.strip(sign + " ")


def heading_text(text: str) -> tuple[int, int] | None:
    """Where the text of a `#` heading begins and ends in its row, or None where it is none."""
    begin = len(text) - len(text.lstrip("#"))
    begin = min(begin, 6)  # h6 is the deepest; a seventh # is text
    end = len(text)
    backslashes = end - len(text.rstrip("\\"))
    if backslashes % 2:
        return None  # Python-Markdown reads no heading whose last character is an open escape
    while end > begin and text[end - 1] == "#":
        end -= 1
    # "# C\#" keeps its last sign: a backslash before it makes it text.
    escapes = len(text[begin:end]) - len(text[begin:end].rstrip("\\"))
    if escapes % 2 and end < len(text):
        end += 1
    return begin, end


def title_of(opener: int, text: str) -> tuple[int, int] | None:
    """Where the quoted title of an admonition, details or tab stands in its row."""
    if opener == ADMONITION:
        match, group = _ADMONITION.fullmatch(text), 2
    elif opener == DETAILS:
        match, group = _DETAILS.fullmatch(text), 1
    else:
        match, group = _TAB.fullmatch(text), 1
    return match.span(group) if match and match.start(group) >= 0 else None


def footnote_of(text: str) -> tuple[str, int]:
    """The name of a footnote and where its text begins in the row."""
    match = _FOOTNOTE.fullmatch(text)
    assert match is not None
    return match.group(1), match.start(2)


def definition_item_start(text: str) -> int:
    """Where the text of a definition of a term begins in its row."""
    match = _DEFINITION_ITEM.match(text)
    assert match is not None
    return match.start(1)


class RowIndex:
    """All rows of one container, and where those stand that open something."""

    __slots__ = ("openers", "rows")

    def __init__(self, rows: list[SourceRow]) -> None:
        self.rows = rows
        self.openers: dict[int, list[int]] = {}
        for index, row in enumerate(rows):
            opener = opener_of(row[0])
            if opener != OPENS_NOTHING:
                self.openers.setdefault(opener, []).append(index)

    def find(self, opener: int, low: int, high: int) -> int:
        """The first row in [low, high) that opens such a thing, or -1."""
        places = self.openers.get(opener)
        if not places:
            return -1
        at = bisect_left(places, low)
        return places[at] if at < len(places) and places[at] < high else -1


class RowBlock:
    """Rows [low, high) of an index. `detached` says that more than one blank row stood before them."""

    __slots__ = ("detached", "high", "index", "low")

    def __init__(self, index: RowIndex, low: int, high: int, detached: bool = False) -> None:
        self.index = index
        self.low = low
        self.high = high
        self.detached = detached

    @property
    def rows(self) -> list[SourceRow]:
        return self.index.rows[self.low : self.high]

    @property
    def first(self) -> str:
        """The text of its first row, which tells most rules whether they apply."""
        return self.index.rows[self.low][0]

    def find(self, opener: int) -> int:
        """The first of its rows that opens such a thing, or -1."""
        return self.index.find(opener, self.low, self.high)

    def before(self, at: int) -> RowBlock:
        """Its rows above row `at`."""
        return RowBlock(self.index, self.low, at)

    def after(self, at: int) -> RowBlock:
        """Its rows below row `at`."""
        return RowBlock(self.index, at + 1, self.high)


def as_one_block(rows: list[SourceRow]) -> list[RowBlock]:
    """All rows as one block, whatever blank rows are among them."""
    return [RowBlock(RowIndex(rows), 0, len(rows))]


def put_back(blocks: list[RowBlock], block: RowBlock, low: int) -> None:
    """What is left of a block from row `low` on is the next block."""
    if low < block.high:
        blocks.append(RowBlock(block.index, low, block.high))


def split_blocks(rows: list[SourceRow]) -> list[RowBlock]:
    """Rows → their blocks, the last one first (so that the next is taken from the end)."""
    index = RowIndex(rows)
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
        blocks.append(RowBlock(index, low, at, blank > 1))
        blank = 0
    blocks.reverse()
    return blocks


_SETS = ("ul", "ol", "dl")


class Region:
    """An element, as far as the container rules look at it.

    `tail` is text that follows the element inside its parent. `callout` names what later blocks may go
    on with: "admonition", "details", "tabs" (a set of them) or "tab". `cell` says where a table's cell is,
    `depth` in how many containers the element is, with itself: a list and a set of tabs count with what is in
    them.
    """

    __slots__ = ("callout", "cell", "children", "depth", "tag", "tail", "text")

    def __init__(
        self, tag: str, callout: str = "", text: list[SourceRow] | None = None, depth: int = 0
    ) -> None:
        self.tag = tag
        self.depth = depth
        self.callout = callout
        self.cell: Cell | None = None
        self.children: list[Region] = []
        self.text: list[SourceRow] = text or []
        self.tail: list[SourceRow] = []

    @property
    def last(self) -> Region | None:
        return self.children[-1] if self.children else None

    def add(self, tag: str, callout: str = "", text: list[SourceRow] | None = None) -> Region:
        is_container = tag not in _SETS and callout != "tabs"
        region = Region(tag, callout, text, self.depth + is_container)
        self.children.append(region)
        return region

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
    """A row without the blanks at its beginning."""
    text = row[0].lstrip()
    return text, row[1], row[2] + len(row[0]) - len(text)


def detab(block: RowBlock, width: int) -> tuple[list[SourceRow], int]:
    """Rows of a block as long as they are indented by `width`, without that indent, and the row after."""
    margin = " " * width
    taken: list[SourceRow] = []
    rows = block.index.rows
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
