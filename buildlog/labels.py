"""A figure's label without its Markdown: emphasis, backslash escapes and entities, offsets kept."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape

_ENTITY = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_EMPHASIS = re.compile(r"\*{1,3}|_{1,3}")
_ESCAPABLE = frozenset("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")


@dataclass(frozen=True)
class PlainLabel:
    """`text` as a reader sees it; its character i was written at `starts[i]` to `ends[i]` of the label."""

    text: str
    starts: tuple[int, ...]
    ends: tuple[int, ...]

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Where `text[start:end]` stands in the label. Past the end of the text, an empty span there."""
        if start >= len(self.text):
            last = self.ends[-1] if self.ends else 0
            return last, last
        return self.starts[start], self.ends[min(max(start, end - 1), len(self.ends) - 1)]


def plain(label: str) -> PlainLabel:
    """Take off what Markdown adds to a label. Marks that do not pair up stay, and are then not read."""
    marks = _emphasis_marks(label)
    characters: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    at = 0
    while at < len(label):
        if at in marks:
            at = marks[at]
            continue
        written, end = label[at], at + 1
        if written == "\\" and label[at + 1 : at + 2] in _ESCAPABLE:
            written, end = label[at + 1], at + 2
        elif written == "&" and (entity := _ENTITY.match(label, at)):
            decoded = unescape(entity[0])
            if decoded != entity[0]:
                written, end = decoded, entity.end()
        characters.extend(written)
        starts.extend([at] * len(written))
        ends.extend([end] * len(written))
        at = end
    return PlainLabel("".join(characters), tuple(starts), tuple(ends))


def _emphasis_marks(label: str) -> dict[int, int]:
    """Start → end of each run of ``*`` or ``_`` that is one of a pair; ``N*m`` and ``1_000`` hold none."""
    open_runs: list[tuple[str, int, int]] = []
    marks: dict[int, int] = {}
    at = 0
    while at < len(label):
        if label[at] == "\\":
            at += 2
            continue
        run = _EMPHASIS.match(label, at)
        if run is None:
            at += 1
            continue
        before, after = label[at - 1 : at] if at else "", label[run.end() : run.end() + 1]
        opens = bool(after) and not after.isspace() and not before.isalnum()
        closes = bool(before) and not before.isspace() and not after.isalnum()
        if closes and open_runs and open_runs[-1][0] == run[0]:
            _, start, end = open_runs.pop()
            marks[start], marks[at] = end, run.end()
        elif opens:
            open_runs.append((run[0], at, run.end()))
        at = run.end()
    return marks
