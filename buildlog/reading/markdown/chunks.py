"""The texts of a page's tree, each with the way back from its characters to the page's."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Container, Iterator

from buildlog.files.text import Lines, columns_of
from buildlog.reading.markdown.page import MASK, Cell
from buildlog.reading.markdown.tree import Region, SourceRow

_HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")  # of Markdown all are h1, of HTML as written


class Chunk:
    """One text: rows joined by line ends."""

    __slots__ = ("cell", "is_heading", "rows", "starts", "text")

    def __init__(self, rows: list[SourceRow], tag: str, cell: Cell | None = None) -> None:
        self.rows = rows
        self.is_heading = tag in _HEADINGS
        self.cell = cell
        self.starts = [0]
        if len(rows) == 1:
            self.text = rows[0][0]
        else:
            self.text = "\n".join([row[0] for row in rows])
            offset = 0
            for row in rows[:-1]:
                offset += len(row[0]) + 1
                self.starts.append(offset)


def chunks_of(root: Region) -> Iterator[Chunk]:
    """All texts of a tree, in the order of the tree."""
    stack: list[Region] = [root]
    while stack:
        region = stack.pop()
        if region.text:
            yield Chunk(region.text, region.tag, region.cell)
        if region.tail:
            yield Chunk(region.tail, "")
        stack.extend(reversed(region.children))


class SourceOrigin:
    """From rows back to the page's text."""

    def __init__(self, lines: Lines, tabbed: Container[int]) -> None:
        self.lines = lines
        self._tabbed = tabbed  # the lines that are not as they were written
        self._columns: dict[int, list[int]] = {}

    def offset(self, line: int, column: int) -> int:
        """The offset in the page of a column of an expanded line."""
        if line in self._tabbed:
            columns = self._columns.get(line)
            if columns is None:
                columns = self._columns[line] = columns_of(self.lines.raw[line]) or [0]
            column = columns[column] if column < len(columns) else columns[-1]
        return self.lines.starts[line] + min(column, len(self.lines.raw[line]))

    def in_chunk(self, chunk: Chunk, at: int) -> int:
        """The offset in the page of a character of a text, or of its end."""
        index = bisect_right(chunk.starts, at) - 1 if len(chunk.starts) > 1 else 0
        _, line, column = chunk.rows[index]
        return self.offset(line, column + at - chunk.starts[index])

    def slice(self, chunk: Chunk, start: int, end: int) -> str:
        """A stretch of a text as it is written in the page, without the prefixes of its lines."""
        if start >= end:
            return ""
        first = bisect_right(chunk.starts, start) - 1
        last = bisect_right(chunk.starts, end) - 1
        parts = []
        for index in range(first, last + 1):
            row_start = chunk.starts[index]
            low = max(start - row_start, 0)
            high = min(end - row_start, len(chunk.rows[index][0]))
            parts.append(self.row(chunk.rows[index], low, high))
        return "\n".join(parts)

    def row(self, row: SourceRow, low: int, high: int) -> str:
        """Columns [low, high) of a row as they are written."""
        text, line, column = row
        if line not in self._tabbed:
            return text[low:high]
        return self.lines.text[self.offset(line, column + low) : self.offset(line, column + high)]

    def masked(self, row: SourceRow, spans: list[tuple[int, int]]) -> str:
        """A row as it is written, with `MASK` in place of the columns of the spans (sorted by start)."""
        text, line, column = row
        start = 0
        spelled = text
        if line in self._tabbed:
            start = self.offset(line, column)
            spelled = self.lines.text[start : self.offset(line, column + len(text))]
        pieces: list[str] = []
        done = 0
        for low, high in spans:
            if line in self._tabbed:
                low = self.offset(line, column + low) - start
                high = self.offset(line, column + high) - start
            if high > done:
                low = max(low, done)
                pieces.append(spelled[done:low])
                pieces.append(MASK * (high - low))
                done = high
        pieces.append(spelled[done:])
        return "".join(pieces)
