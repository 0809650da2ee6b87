"""Table rows → cells, by the rules of Python-Markdown's tables extension (TableProcessor)."""

from __future__ import annotations

import re

from buildlog.reading.markdown.tree import RowBlock, SourceRow

_MARKS = re.compile(r"\\\\|(\\`+)|(`+)|\\\||(\|)")
_END_BORDER = re.compile(r"(?<!\\)(?:\\\\)*\|$")
_SEPARATOR = frozenset("|:- ")


def read_table(block: RowBlock) -> list[list[SourceRow]] | None:
    """Rows of cells, the separator left out, or None where the block is no table."""
    rows = block.index.rows
    if block.high - block.low < 2:
        return None
    head = _strip(rows[block.low])
    left = head[0].startswith("|")
    right = _ends_with_border(head[0])
    border = left or right
    cells = _cells(head, border)
    rule = _strip(rows[block.low + 1])
    rule_cells = _cells(rule, border)
    if len(rule_cells) != len(cells) or not set("".join(cell[0] for cell in rule_cells)) <= _SEPARATOR:
        return None
    if len(cells) < 2:
        # A table of one column is told by its borders, which then every row must have.
        if not border:
            return None
        for at in range(block.low + 1, block.high):
            text = _strip(rows[at])[0]
            if not (text.startswith("|") or _ends_with_border(text)):
                return None
    width = len(cells)
    table = [[_strip(cell) for cell in cells]]
    for at in range(block.low + 2, block.high):
        # Cells beyond the header's are not rendered, so they are not read either.
        table.append([_strip(cell) for cell in _cells(_strip(rows[at]), border)[:width]])
    return table


def _strip(row: SourceRow) -> SourceRow:
    text = row[0].lstrip(" ")
    return text.rstrip(" "), row[1], row[2] + len(row[0]) - len(text)


def _ends_with_border(text: str) -> bool:
    return text.endswith("|") and _END_BORDER.search(text, _backslashes_before(text)) is not None


def _backslashes_before(text: str) -> int:
    """Where the backslashes before a closing border begin; searching from there stays linear."""
    return len(text[:-1].rstrip("\\"))


def _cells(row: SourceRow, border: bool) -> list[SourceRow]:
    text, line, column = row
    begin = 0
    if border:
        if text.startswith("|"):
            begin = 1
        inner = text[begin:]
        if _ends_with_border(inner):
            # The border goes with the pairs of backslashes before it.
            match = _END_BORDER.search(inner, _backslashes_before(inner))
            assert match is not None
            inner = inner[: match.start()]
    else:
        inner = text
    if "|" not in inner:
        return [(inner, line, column + begin)]
    cells: list[SourceRow] = []
    at = 0
    for pipe in _parting_pipes(inner):
        cells.append((inner[at:pipe], line, column + begin + at))
        at = pipe + 1
    cells.append((inner[at:], line, column + begin + at))
    return cells


# A row of backticks: how many can close a code span, how many open one, where the first and the last stand.
# A plain tuple, since a table of figures has more of them than of anything else.
_Ticks = tuple[int, int, int, int]


def _parting_pipes(text: str) -> list[int]:
    """The pipes of a row that part cells: not escaped, and in no code span."""
    pipes: list[int] = []
    ticks: list[_Ticks] = []
    for match in _MARKS.finditer(text):
        if match.group(1):
            # An escaped first tick opens nothing, but those after it do, and all of them can close.
            length = len(match.group(1)) - 1
            ticks.append((length, length - 1, match.start(1), match.end(1) - 1))
        elif match.group(2):
            length = len(match.group(2))
            ticks.append((length, length, match.start(2), match.end(2) - 1))
        elif match.group(3):
            pipes.append(match.start(3))
    if not ticks or not pipes:
        return pipes
    return _pipes_outside(pipes, _code_spans(ticks))


def _code_spans(ticks: list[_Ticks]) -> list[tuple[int, int]]:
    """Code spans: from a row of backticks to the next one of as many, whatever stands between."""
    following: dict[int, list[int]] = {}  # for each length the rows of it, the next one last
    for index in range(len(ticks) - 1, -1, -1):
        following.setdefault(ticks[index][0], []).append(index)
    spans: list[tuple[int, int]] = []
    index = 0
    while index < len(ticks):
        _, opening, start, _ = ticks[index]
        places = following.get(opening, []) if opening else []
        while places and places[-1] <= index:
            places.pop()
        if places:
            spans.append((start, ticks[places[-1]][3]))
            index = places[-1]
        index += 1
    return spans


def _pipes_outside(pipes: list[int], spans: list[tuple[int, int]]) -> list[int]:
    """The pipes in none of the spans. Both are in order, so each is gone over once."""
    outside: list[int] = []
    at = 0
    for pipe in pipes:
        while at < len(spans) and spans[at][1] < pipe:
            at += 1
        if at == len(spans) or pipe < spans[at][0]:
            outside.append(pipe)
    return outside
