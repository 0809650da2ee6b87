"""The steps of a job, as a page's numbered list has them, with the checks that stand in bullets under each.

The front matter names the heading; nothing is a step that does not stand in a numbered list under it.
What a step has besides text and bullets (a block, a table, a note) is left in the page, and the step says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from buildlog.figures.labels import plain
from buildlog.reading.front_matter import Words
from buildlog.reading.markdown.page import MASK, ScannedPage

_ITEM = re.compile(r"([0-9]{1,3})[.)][ \t]+(?=\S)")
_BULLET = re.compile(r"(?: {2,}|\t)[ \t]*(?:[-*+]|[0-9]{1,3}[.)])[ \t]+(?=\S)")
_TEXT = re.compile(r"[ \t]+(?=\S)")
_NO_TEXT = ("!!!", "???", "===", "|", "<", ">", "```", "~~~", "#", "![", ":")
"""How lines begin that are more than running text."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """A step and its checks; `more` where the page has more of it than these words."""

    number: int
    words: Words
    checks: tuple[Words, ...] = ()
    more: bool = False


def read_steps(scanned: ScannedPage, heading: str) -> tuple[Step, ...] | None:
    """The steps under a heading, or None where the page has no such heading."""
    headings = {span.line: _words(span.text) for span in scanned.prose if span.is_heading}
    first = next((line for line, text in headings.items() if text == _words(heading)), None)
    if first is None:
        return None
    raw = scanned.lines.raw
    depth = len(raw[first - 1]) - len(raw[first - 1].lstrip("#"))
    after = (line for line in headings if line > first and _depth(raw[line - 1]) <= depth)
    reader = _Reader(scanned)
    for line in range(first + 1, next(after, len(raw) + 1)):
        reader.read(line)
    reader.end_step()
    return tuple(reader.steps)


def _words(text: str) -> str:
    return " ".join(plain(text.replace(MASK, " ")).text.split()).casefold()


def _depth(line: str) -> int:
    """Of a heading; one that is underlined ends every list of steps."""
    return len(line) - len(line.lstrip("#"))


@dataclass
class _Reader:
    """Reads line by line. `open` are the first and the last line of the text that goes on, with the column at
    which its words begin."""

    scanned: ScannedPage
    steps: list[Step] = field(default_factory=list)
    number: int = 0
    words: list[Words] = field(default_factory=list)
    more: bool = False
    open: tuple[int, int, int] | None = None

    def __post_init__(self) -> None:
        self.fenced = {
            line: bool(fence.prefix)
            for fence in self.scanned.fences
            for line in range(fence.line, fence.end_line + 1)
        }

    def read(self, line: int) -> None:
        text = self.scanned.lines.raw[line - 1]
        if line in self.fenced:
            self.end_text()
            self.more = self.more or self.fenced[line]
        elif not text.strip():
            self.end_text()
        elif item := _ITEM.match(text):
            last = self.number
            self.end_step()
            self.number = last + 1 if last else int(item[1])
            self.open = (line, line, item.end())
        elif self.number and (bullet := _BULLET.match(text)):
            self.end_text()
            self.open = (line, line, bullet.end())
        elif self.number and self.open and not text.strip().startswith(_NO_TEXT):
            self.open = (self.open[0], line, self.open[2])
        elif self.number and _TEXT.match(text):
            self.end_text()
            self.more = True
        else:  # the list has ended
            self.end_step()

    def end_text(self) -> None:
        if self.open is not None:
            first, last, column = self.open
            starts = self.scanned.lines.starts
            start = starts[first - 1] + column
            end = starts[last - 1] + len(self.scanned.lines.raw[last - 1])
            self.words.append(self._slice(start, end))
        self.open = None

    def end_step(self) -> None:
        self.end_text()
        if self.words:
            step, *checks = self.words
            self.steps.append(Step(number=self.number, words=step, checks=tuple(checks), more=self.more))
        self.number, self.words, self.more = 0, [], False

    def _slice(self, start: int, end: int) -> Words:
        links = [link for link in self.scanned.links if start <= link.start and link.end <= end]
        links.sort(key=lambda link: link.start)
        place = self.scanned.offset_to_position(start)
        return Words(self.scanned.text[start:end], place, start, tuple(links))
