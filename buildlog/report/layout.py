"""Text in columns: how wide it is on a terminal, cut to a width, wrapped to one, the room there is."""

from __future__ import annotations

import unicodedata

USUAL_WIDTH = 80
NARROWEST, WIDEST = 40, 110


def room(columns: int) -> int:
    """The width to write for on a terminal of so many columns: lines too long are hard to read as well."""
    return min(max(columns, NARROWEST), WIDEST)


def width_of(text: str) -> int:
    """How many columns a terminal gives a text."""
    return sum(map(_columns, text))


def _columns(char: str) -> int:
    if unicodedata.combining(char):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def cut_end(text: str, most: int) -> str:
    """The beginning of a text, with … where something is missing; between words where it can be."""
    if width_of(text) <= most:
        return text
    kept, used = 0, 1  # the … takes a column
    while kept < len(text) and used + _columns(text[kept]) <= most:
        used += _columns(text[kept])
        kept += 1
    head = text[:kept]
    if not text[kept : kept + 1].isspace() and " " in head.strip():
        head = head[: head.rindex(" ")]
    return head.rstrip() + "…"


def cut_start(text: str, most: int) -> str:
    """The end of a text, with … where something is missing; between words where it can be."""
    return cut_end(text[::-1], most)[::-1]


def wrap(text: str, width: int) -> list[str]:
    """The lines of a text. It is parted at spaces only: a value keeps its unit, and what is longer than a
    line, such as a path, stays whole."""
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if line and width_of(longer) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines
