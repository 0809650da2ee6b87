"""Loose figures: numbers with a unit in the prose of a page that rest on nothing.

What counts as a figure is said in `buildlog.proof.running_text`. Links with calc:, cite: or told:, code and
the like are masked by the scanner, and math, addresses and paths by `buildlog.proof.machine_text`, so that
what is found here rests on nothing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from html import unescape
from typing import NamedTuple

from buildlog.diagnostics import Position
from buildlog.proof.machine_text import line_for_machines, without_machine_text
from buildlog.proof.running_text import figures
from buildlog.proof.table_cells import TableUnits, bare_figures
from buildlog.reading.markdown.page import MASK, ProseSpan, ScannedPage

_MARK = re.compile(
    r"\\([!-/:-@\[-`{-~])|(?<!\w)[*_]{1,3}(?=\S)|(?<=\S)[*_]{1,3}(?!\w)"
    r"|&(?:#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});"
)
_ENTITY = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")


Span = tuple[int, int]


@dataclass(frozen=True)
class LooseFigure:
    """A figure that rests on nothing. `text` is as written; where it goes over a line's end, with a space.

    `unit` is that of the heading of a table's cell, where the figure has none of its own.
    """

    position: Position
    text: str
    unit: str = ""


def find_loose(scanned: ScannedPage, nominal_nouns: tuple[str, ...] = ()) -> list[LooseFigure]:
    """The loose figures of a page, in the order of the page.

    `nominal_nouns` are the site's own nouns of nominal sizes. A figure may begin on one line and end on
    the next; table cells and headings stand alone.
    """
    extra = frozenset(noun.casefold().strip() for noun in nominal_nouns)
    headings = TableUnits(scanned.prose)
    found = []
    for paragraph in _paragraphs(scanned):
        starts: list[int] = []
        indents: list[int] = []
        pieces: list[str] = []
        length = 0
        for span in paragraph:
            piece = _with_entities(scanned, span)
            starts.append(length)
            indents.append(len(piece) - len(piece.lstrip(" ")))
            piece = piece.strip(" ")
            pieces.append(MASK * len(piece) if line_for_machines(piece) else piece)
            length += len(piece) + 1
        text = " ".join(pieces)
        read = without_machine_text(text)
        with_unit = loose_spans(read, extra)
        cell = paragraph[0].cell
        unit = headings.of(cell) if cell is not None else ""
        bare = _bare(read, with_unit) if unit else []
        for start, end in sorted([*with_unit, *bare]):
            index = bisect_right(starts, start) - 1
            span = paragraph[index]
            column = span.column + indents[index] + start - starts[index]
            position = Position(scanned.path, span.line, column)
            own = unit if (start, end) in bare else ""
            found.append(LooseFigure(position, text[start:end], own))
    return found


def _bare(text: str, with_unit: list[Span]) -> list[Span]:
    """The figures of a cell that have their unit from its heading."""
    return [
        (start, end)
        for start, end in _looked_through(text, bare_figures)
        if not any(start < other_end and other_start < end for other_start, other_end in with_unit)
    ]


def loose_spans(text: str, nominal_nouns: frozenset[str] = frozenset()) -> list[Span]:
    """Where the loose figures of one piece of running text stand; its Markdown is looked through."""
    return _looked_through(text, lambda seen: figures(seen, nominal_nouns))


def _looked_through(text: str, find: Callable[[str], Iterable[Span]]) -> list[Span]:
    """Where what is found in a text without its Markdown stands in the text as it is written."""
    seen, marks = _seen(text)
    if not marks:
        return list(find(text))
    begun = [mark.end for mark in marks]
    done = [mark.end - mark.kept for mark in marks]

    def written(at: int, *, last: bool) -> int:
        """Where the character at this place of `seen` begins as written; or the one before ends, `last`."""
        index = bisect_right(done, at - 1) if last else bisect_right(begun, at)
        return at + marks[index - 1].more if index else at

    return [(written(start, last=False), written(end, last=True)) for start, end in find(seen)]


class _Mark(NamedTuple):
    """A mark of Markdown that was taken off. `end` is where in the text without marks what it stood for
    ends, `kept` how many characters that is, `more` how many more were written up to its end."""

    end: int
    kept: int
    more: int


def _seen(text: str) -> tuple[str, list[_Mark]]:
    """The text without its marks, and these.

    Marks of emphasis are taken off where one side of them is open, whether or not they pair up: that is
    enough to find figures, and needs no look at the rest of a paragraph. (`labels.plain` pairs.)
    """
    pieces: list[str] = []
    marks: list[_Mark] = []
    done = length = 0
    for mark in _MARK.finditer(text):
        instead = mark[1] or (unescape(mark[0]) if mark[0][0] == "&" else "")
        if instead == mark[0]:
            continue
        pieces += [text[done : mark.start()], instead]
        length += mark.start() - done + len(instead)
        done = mark.end()
        marks.append(_Mark(length, len(instead), done - length))
    return "".join([*pieces, text[done:]]), marks


def _paragraphs(scanned: ScannedPage) -> Iterator[list[ProseSpan]]:
    """Lines that run on, together."""
    group: list[ProseSpan] = []
    for span in scanned.prose:
        if group and not _runs_on(scanned, group[-1], span):
            yield group
            group = []
        group.append(span)
    if group:
        yield group


def _runs_on(scanned: ScannedPage, before: ProseSpan, span: ProseSpan) -> bool:
    """Whether a span goes on with the line before: nothing but blanks and quote marks stands before it."""
    if span.line != before.line + 1 or any(line.is_heading or line.in_table for line in (before, span)):
        return False
    return not scanned.lines.raw[span.line - 1][: span.column - 1].strip(" \t>")


def _with_entities(scanned: ScannedPage, span: ProseSpan) -> str:
    """The text of a span with its entities, which the scanner masks: ``4.2&nbsp;kg`` is a figure."""
    if MASK not in span.text:
        return span.text
    raw = scanned.lines.raw[span.line - 1][span.column - 1 : span.column - 1 + len(span.text)]
    text, done = [], 0
    for entity in _ENTITY.finditer(raw):
        masked = span.text[entity.start() : entity.end()]
        alone = masked.count(MASK) == len(masked) and unescape(entity[0]).strip(" \u00a0\u2009\u202f") == ""
        if (
            alone
            and raw[entity.start() - 1 : entity.start()] == span.text[entity.start() - 1 : entity.start()]
        ):
            text += [span.text[done : entity.start()], entity[0]]
            done = entity.end()
    return "".join([*text, span.text[done:]])
