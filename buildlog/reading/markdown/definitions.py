"""What a page names: link definitions, `[name]: address "title"`, and footnotes, `[^name]: text`."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from buildlog.reading.markdown.tree import (
    FENCE_MARK,
    FOOTNOTE,
    INDENT,
    LINK_DEFINITION,
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
class LinkDefinition:
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
    references: dict[str, LinkDefinition] = field(default_factory=dict)
    definitions: list[LinkDefinition] = field(default_factory=list)  # those too that a later one displaces
    code: list[SourceRow] = field(default_factory=list)  # the rows of indented code
    footnotes: dict[str, list[SourceRow]] = field(default_factory=dict)
    hidden_fences: set[int] = field(default_factory=set)
    # Footnotes of a name that is defined again below: the first row of each, and that of the one that counts.
    lost_footnotes: list[tuple[SourceRow, SourceRow]] = field(default_factory=list)
    nested_footnotes: list[SourceRow] = field(default_factory=list)  # those in the text of another
    too_deep: int | None = None


def read_definition(block: RowBlock, at: int) -> tuple[LinkDefinition, int] | None:
    """The definition that begins in row `at` and the row after it, or None where there is none.

    As in Python-Markdown's ReferenceProcessor, one line end may stand before the address and one before
    the title, and the name may go on over lines.
    """
    head = block.index.rows[at]
    named = _read_name(block, at)
    if named is None:
        return None
    name, at, begin = named
    located = _read_address(block, at, begin)
    if located is None:
        return None
    at, begin, end = located
    titled = _read_title(block, at, begin, end)
    if titled is None:
        return None
    end, title_row, following = titled
    address_row = _cut(block.index.rows[at], begin, end)
    definition = LinkDefinition(
        name=name,
        address=address_row[0].lstrip("<").rstrip(">"),
        title=title_row[0] if title_row else "",
        address_row=address_row,
        title_row=title_row,
        head=strip_left(head),
    )
    return definition, following


def _read_name(block: RowBlock, at: int) -> tuple[str, int, int] | None:
    """The name in ``[name]:``, the row it ends in, and where the text after it begins."""
    rows = block.index.rows
    match = _HEAD.match(rows[at][0])
    assert match is not None
    begin = match.end()
    lines: list[str] = []
    while True:
        text = rows[at][0]
        # A name holds no bracket of either kind, so the first one has to end it.
        closing = _first_bracket(text, begin)
        if closing >= 0:
            break
        lines.append(text[begin:])
        begin = 0
        at += 1
        if at >= block.high:
            return None
    if not text.startswith("]:", closing):
        return None
    lines.append(text[begin:closing])
    return "\n".join(lines).strip().lower(), at, closing + 2


def _read_address(block: RowBlock, at: int, begin: int) -> tuple[int, int, int] | None:
    """The row of the address and where in it the address begins and ends: one word, here or a line below."""
    text = block.index.rows[at][0]
    begin = _skip(text, begin)
    if begin == len(text):
        at += 1
        if at >= block.high:
            return None
        text = block.index.rows[at][0]
        begin = _skip(text, 0)
    word = _WORD.match(text, begin)
    return (at, begin, word.end()) if word else None


def _read_title(block: RowBlock, at: int, begin: int, end: int) -> tuple[int, SourceRow | None, int] | None:
    """Where the address ends after all, the title if there is one, and the row after the definition.

    None where something else follows the address: then it is no definition.
    """
    rows = block.index.rows
    text = rows[at][0]
    after = _skip(text, end)
    if after < len(text):
        title = _title(text, after)
        if title is None:
            end, title = _title_within(text, begin, end)
        return (end, _cut(rows[at], *title), at + 1) if title else None
    # The title may stand on a line of its own. Any other line there is the text that goes on.
    if at + 1 < block.high:
        following = rows[at + 1][0]
        title = _title(following, _skip(following, 0))
        if title is not None:
            return end, _cut(rows[at + 1], *title), at + 2
    return end, None, at + 1


def _first_bracket(text: str, begin: int) -> int:
    """Where the first square bracket stands, or -1."""
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


def _find_definition(block: RowBlock, at: int) -> tuple[int, LinkDefinition, int] | None:
    """The first definition of a block from row `at` on: its row, itself, and the row after it."""
    while at >= 0:
        read = read_definition(block, at)
        if read is not None:
            return at, read[0], read[1]
        at = block.index.find(LINK_DEFINITION, at + 1, block.high)
    return None


def take_link_definitions(structure: Structure, block: RowBlock, at: int, blocks: list[RowBlock]) -> bool:
    """Take the first definitions out of a block, if it has any; the rest is read again."""
    first = _find_definition(block, at)
    if first is None:
        return False
    at, definition, end = first
    _take_definition(structure, definition)
    while block.index.find(LINK_DEFINITION, end, min(end + 1, block.high)) >= 0:
        # Definitions of one line each are taken together, before anything else claims the rest. One that goes
        # on below, with its title as like as not, is read in the next round.
        following = read_definition(block, end)
        if following is None or following[1] > end + 1:
            break
        _take_definition(structure, following[0])
        end += 1
    put_back(blocks, block, end)
    if at > block.low:
        blocks.append(block.before(at))
    return True


def _take_definition(structure: Structure, definition: LinkDefinition) -> None:
    structure.references[definition.name] = definition
    structure.definitions.append(definition)


def take_footnotes(structure: Structure, block: RowBlock, at: int, blocks: list[RowBlock]) -> None:
    """Take the footnote in row `at` out of a block, with its text, and those right below it."""
    rows = block.index.rows
    name, begin = footnote_of(rows[at][0])
    preceding = block.before(at)
    while block.index.find(FOOTNOTE, at + 1, min(at + 2, block.high)) >= 0:
        _define_footnote(structure, name, [cut(rows[at], begin)])
        at += 1
        name, begin = footnote_of(rows[at][0])
    # Only the last of several in a row goes on below: the ones above it end where the next begins.
    text = [cut(rows[at], begin)]
    following = block.index.find(FOOTNOTE, at + 1, block.high)
    if following >= 0:
        text += loose_detab(rows[at + 1 : following], 1)
        put_back(blocks, block, following)
    else:
        text += loose_detab(rows[at + 1 : block.high], 1)
        _take_indented(text, blocks)
    _define_footnote(structure, name, text)
    if preceding.low < preceding.high:
        blocks.append(preceding)


def _define_footnote(structure: Structure, name: str, text: list[SourceRow]) -> None:
    """The last of several footnotes of one name is the one that a page shows."""
    lost = structure.footnotes.get(name)
    if lost is not None:
        structure.lost_footnotes.append((lost[0], text[0]))
        for row in lost:
            structure.hidden_fences.update(int(number) for number in FENCE_MARK.findall(row[0]))
    structure.footnotes[name] = text


def _take_indented(text: list[SourceRow], blocks: list[RowBlock]) -> None:
    """Add the indented blocks that follow a footnote to its text."""
    while blocks:
        block = blocks[-1]
        rows = block.index.rows
        # Python-Markdown parts blocks at two line ends; a third begins the next block, which then is not
        # indented for it.
        if block.detached or not rows[block.low][0].startswith(INDENT):
            return
        blocks.pop()
        end = block.find(FOOTNOTE)
        text.append(("", rows[block.low][1], 0))
        text += loose_detab(rows[block.low : end if end >= 0 else block.high], 1)
        if end >= 0:
            put_back(blocks, block, end)
            return
