"""What a page names: link definitions, `[name]: address "title"`, and footnotes, `[^name]: text`."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from buildlog.reading.markdown.tree import (
    FOOTNOTE,
    INDENT,
    REFERENCE,
    Region,
    RowBlock,
    SourceRow,
    cut,
    footnote_of,
    loose_detab,
    put_back,
    strip_left,
)

_HEAD = re.compile(r"[ ]{0,3}\[")
_CLOSERS = {'"': '"', "'": "'", "(": ")"}
_WORD = re.compile(r"[^\s]+")


@dataclass(frozen=True, kw_only=True)
class Definition:
    """Where a name leads. The rows are those of the address and of the title, cut to them."""

    name: str
    address: str
    title: str
    address_row: SourceRow
    title_row: SourceRow | None
    head: SourceRow


@dataclass(kw_only=True)
class Structure:
    """The tree of a page and what it names."""

    root: Region = field(default_factory=lambda: Region("div"))
    references: dict[str, Definition] = field(default_factory=dict)
    footnotes: dict[str, list[SourceRow]] = field(default_factory=dict)
    hidden_fences: set[int] = field(default_factory=set)
    too_deep: int | None = None


def read_definition(block: RowBlock, at: int) -> tuple[Definition, int] | None:
    """The definition that begins in row `at` and the row after it, or None where there is none."""
    rows = block.sheet.rows
    row = rows[at]
    match = _HEAD.match(row[0])
    assert match is not None
    # The name may go on over lines, up to the first bracket of either kind.
    begin = match.end()
    parts: list[str] = []
    while True:
        text = rows[at][0]
        closing = _first_bracket(text, begin)
        if closing >= 0:
            break
        parts.append(text[begin:])
        begin = 0
        at += 1
        if at >= block.high:
            return None
    if not text.startswith("]:", closing):
        return None
    parts.append(text[begin:closing])
    name = "\n".join(parts).strip().lower()
    begin = _skip(text, closing + 2)
    if begin == len(text):
        at += 1
        if at >= block.high:
            return None
        text = rows[at][0]
        begin = _skip(text, 0)
    word = _WORD.match(text, begin)
    if word is None:
        return None
    end = word.end()
    after = _skip(text, end)
    title: tuple[int, int] | None = None
    title_at = at
    if after == len(text):
        # The title may stand on a line of its own.
        if at + 1 < block.high:
            following = rows[at + 1][0]
            title = _title(following, _skip(following, 0))
            if title is not None:
                title_at = at + 1
    else:
        title = _title(text, after)
        if title is None:
            end, title = _title_within(text, begin, end)
            if title is None:
                return None
    address_row = _cut(rows[at], begin, end)
    title_row = _cut(rows[title_at], *title) if title else None
    link = text[begin:end].lstrip("<").rstrip(">")
    definition = Definition(
        name=name,
        address=link,
        title=title_row[0] if title_row else "",
        address_row=address_row,
        title_row=title_row,
        head=strip_left(row),
    )
    return definition, title_at + 1


def _first_bracket(text: str, begin: int) -> int:
    opening = text.find("[", begin)
    closing = text.find("]", begin)
    if opening < 0 or closing < 0:
        return max(opening, closing)
    return min(opening, closing)


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] == " ":
        at += 1
    return at


def _title(text: str, begin: int) -> tuple[int, int] | None:
    """The inside of a title that fills the rest of a line."""
    closer = _CLOSERS.get(text[begin : begin + 1])
    end = len(text.rstrip(" "))
    if closer is None or end - begin < 2 or text[end - 1] != closer:
        return None
    return begin + 1, end - 1


def _title_within(text: str, begin: int, end: int) -> tuple[int, tuple[int, int] | None]:
    """An address and a title that no blank parts, as in `there"the title"`."""
    last = text.rstrip(" ")[-1:]
    opener = {")": "("}.get(last, last)
    if opener not in ('"', "'", "("):
        return end, None
    at = text.rfind(opener, begin + 1, end)
    if at < 0:
        return end, None
    return at, _title(text, at)


def _cut(row: SourceRow, begin: int, end: int) -> SourceRow:
    return row[0][begin:end], row[1], row[2] + begin


def next_definition(block: RowBlock) -> tuple[int, Definition, int] | None:
    """The first definition of a block: its row, itself, and the row after it."""
    at = block.sheet.find(REFERENCE, block.low, block.high)
    while at >= 0:
        read = read_definition(block, at)
        if read is not None:
            return at, read[0], read[1]
        at = block.sheet.find(REFERENCE, at + 1, block.high)
    return None


def take_references(structure: Structure, block: RowBlock, blocks: list[RowBlock]) -> bool:
    """Take the first definitions out of a block, if it has any; the rest is read again."""
    read = next_definition(block)
    if read is None:
        return False
    at, definition, end = read
    structure.references[definition.name] = definition
    while block.sheet.find(REFERENCE, end, min(end + 1, block.high)) >= 0:
        # Definitions of one line each are taken together, before anything else claims the rest.
        following = read_definition(RowBlock(block.sheet, end, end + 1), end)
        if following is None:
            break
        structure.references[following[0].name] = following[0]
        end += 1
    put_back(blocks, block, end)
    if at > block.low:
        blocks.append(RowBlock(block.sheet, block.low, at))
    return True


def take_footnotes(structure: Structure, block: RowBlock, at: int, blocks: list[RowBlock]) -> None:
    """Take the footnote in row `at` out of a block, with its text, and those right below it."""
    rows = block.sheet.rows
    notes = structure.footnotes
    name, begin = footnote_of(rows[at][0])
    preceding = RowBlock(block.sheet, block.low, at)
    while block.sheet.find(FOOTNOTE, at + 1, min(at + 2, block.high)) >= 0:
        notes[name] = [cut(rows[at], begin)]
        at += 1
        name, begin = footnote_of(rows[at][0])
    text = [cut(rows[at], begin)]
    following = block.sheet.find(FOOTNOTE, at + 1, block.high)
    if following >= 0:
        text += loose_detab(rows[at + 1 : following], 1)
        put_back(blocks, block, following)
    else:
        text += loose_detab(rows[at + 1 : block.high], 1)
        _take_indented(text, blocks)
    notes[name] = text
    if preceding.low < preceding.high:
        blocks.append(preceding)


def _take_indented(text: list[SourceRow], blocks: list[RowBlock]) -> None:
    """Add the indented blocks that follow a footnote to its text."""
    while blocks:
        block = blocks[-1]
        rows = block.sheet.rows
        if block.detached or not rows[block.low][0].startswith(INDENT):
            return
        blocks.pop()
        end = block.sheet.find(FOOTNOTE, block.low, block.high)
        text.append(("", rows[block.low][1], 0))
        text += loose_detab(rows[block.low : end if end >= 0 else block.high], 1)
        if end >= 0:
            put_back(blocks, block, end)
            return
