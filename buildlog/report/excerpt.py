"""The words that a finding is about, as a reader would read them: one line, the place between ‹ and ›.

Of figures only what the page will show is left, their addresses only where one of them is the place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.report.layout import cut_end, cut_start, width_of
from buildlog.report.printable import printable

OPENS, CLOSES = "›", "‹"
_FIGURE = re.compile(
    r"\[(?P<label>[^\[\]\n]*)\](?P<rest>\((?:calc|cite|told):[^\s()]*(?:\s+(?:\"[^\"]*\"|'[^']*'))?\s*\))"
)


_WORD = re.compile(r"\w+(?:[.\-]\w+)*|(\S)\1*")


@dataclass(frozen=True)
class Excerpt:
    """What stands before the place, the place, and what stands after it."""

    before: str
    marked: str
    after: str


def excerpt(line: str, column: int, length: int, width: int) -> Excerpt | None:
    """The words around a place of a line, at most so wide with the marks; None where there are none."""
    if not line.strip():
        return None
    start = min(column - 1, len(line))
    end = min(start + length, len(line))
    if length == 1 and (word := _WORD.match(line, start)):  # the finding knows only where it begins
        end = word.end()
    hidden = _hidden(line, start, end)

    def shown(first: int, last: int) -> str:
        return printable("".join(hidden.get(at, line[at]) for at in range(first, last)))

    before, marked, after = shown(0, start).lstrip(), shown(start, end), shown(end, len(line)).rstrip()
    room = width - len(OPENS + CLOSES)
    marked = cut_end(marked, room)
    room -= width_of(marked)
    before = cut_start(before, max(room // 2, room - width_of(after)))
    after = cut_end(after, room - width_of(before))
    return Excerpt(before, marked, after)


def _hidden(line: str, start: int, end: int) -> dict[int, str]:
    """The markup of figures, but for what the place lies in, and what is shown of it: of an empty label,
    where the figure is."""
    hidden: dict[int, str] = {}
    for figure in _FIGURE.finditer(line):
        if start < figure.end("rest") and end > figure.start("rest"):
            continue
        if start <= figure.start() < end:  # the place is the whole link, or begins with it
            continue
        markup = (figure.start(), *range(figure.end("label"), figure.end("rest")))
        hidden |= dict.fromkeys(markup, "")
        if not figure["label"]:
            hidden[figure.start()] = f"[]{figure['rest'].partition(':')[0]}:…)"
    return hidden
