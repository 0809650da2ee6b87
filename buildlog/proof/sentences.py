"""The sentence that a figure stands in: what is said before it and after it, and, in a table, the words at
the head of its row and of its column.

Figures and what is no prose are left out; a `MASK` stands where they were.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.reading.markdown.page import MASK, Link, ProseSpan, ScannedPage

_SENTENCE_END = re.compile(r"[.!?;](?=\s)")
_MASKS = re.compile(f"{MASK}+")
_PIPE = re.compile(r"(?<!\\)\|")
_AROUND = "*_“”"
_FAR = 300
"""So many characters on either side are looked at; a sentence is seldom longer."""


@dataclass(frozen=True, kw_only=True)
class Sentence:
    """`before` and `after` are the words around the figure. In a table they are those of its cell, and
    `row` and `column` are what stands at the head of its row and of its column."""

    before: str = ""
    after: str = ""
    row: str = ""
    column: str = ""

    @property
    def words(self) -> str:
        """All of it, the figure left out."""
        return " ".join(filter(None, (self.row, self.column, f"{self.before}{MASK}{self.after}")))


ALONE = Sentence()
"""A figure with nothing around it."""


class Sentences:
    """The sentences of a page. Made once for all of its figures."""

    def __init__(self, scanned: ScannedPage) -> None:
        self.scanned = scanned
        self.spans: dict[int, list[ProseSpan]] = {}
        for span in scanned.prose:
            self.spans.setdefault(span.line, []).append(span)

    def around(self, link: Link) -> Sentence:
        """The sentence of a figure; an empty one where it stands alone in its cell or heading."""
        place = link.label_position
        if any(span.in_table for span in self.spans.get(place.line, ())) or self._in_row(place.line):
            return self._in_table(link)
        own = self._span_at(place.line, place.column)
        if own is None:
            return Sentence()
        at = place.column - own.column
        before, after = own.text[:at], own.text[at:]
        if not own.is_heading:
            before = self._gathered(place.line, -1, before)
            after = self._gathered(place.line, 1, after)
        start = 0
        for end in _SENTENCE_END.finditer(before):
            start = end.end()
        rest = _SENTENCE_END.split(after, maxsplit=1)[0]
        return Sentence(before=_without_own(before[start:], at_end=True), after=_without_own(rest))

    def _span_at(self, line: int, column: int) -> ProseSpan | None:
        for span in self.spans.get(line, ()):
            if span.column <= column <= span.column + len(span.text):
                return span
        return None

    def _gathered(self, line: int, step: int, text: str) -> str:
        """The text with the lines of running text that go on above (step −1) or below (+1)."""
        while len(text) < _FAR:
            line += step
            running = [span for span in self.spans.get(line, ()) if not (span.in_table or span.is_heading)]
            if not running:
                break
            text = f"{running[-1].text}\n{text}" if step < 0 else f"{text}\n{running[0].text}"
        return text

    # --- tables -------------------------------------------------------------------------

    def _in_row(self, line: int) -> bool:
        """Whether a line is a row of a table that holds nothing but figures."""
        return any(
            self.spans.get(near) and all(span.in_table for span in self.spans[near])
            for near in (line - 1, line + 1)
        ) and bool(_PIPE.search(self._line(line)))

    def _line(self, line: int) -> str:
        raw = self.scanned.lines.raw
        return raw[line - 1] if 1 <= line <= len(raw) else ""

    def _in_table(self, link: Link) -> Sentence:
        place = link.label_position
        written = self._line(place.line)
        bars = [bar.start() for bar in _PIPE.finditer(written)]
        cell = sum(bar < place.column - 1 for bar in bars)
        start = bars[cell - 1] + 1 if cell else 0
        end = bars[cell] if cell < len(bars) else len(written)
        before = after = row = ""
        for span in self.spans.get(place.line, ()):
            at = span.column - 1
            if start <= at < end:
                text = span.text
                before, after = text[: max(0, place.column - 1 - at)], text[max(0, place.column - 1 - at) :]
            elif not row and at < start:
                row = span.text
        return Sentence(
            before=_without_own(before, at_end=True),
            after=_without_own(after),
            row=row,
            column=self._heading(place.line, cell),
        )

    def _heading(self, line: int, cell: int) -> str:
        """The words at the head of a column: those of the row above the line of dashes."""
        while line > 1 and "|" in self._line(line):
            if re.fullmatch(r"[\s>|:-]*-[\s>|:-]*", self._line(line)):
                heading = _PIPE.split(self._line(line - 1))
                return heading[cell].strip() if cell < len(heading) else ""
            line -= 1
        return ""


def _without_own(text: str, *, at_end: bool = False) -> str:
    """The text without the mask of the figure itself, its emphasis (**17 kg** less) and quotation marks, and
    with one `MASK` for every other figure."""
    if at_end:
        text = text.rstrip(MASK).rstrip(_AROUND)
    else:
        text = text.lstrip(MASK).lstrip(_AROUND)
    return _MASKS.sub(MASK, text)
