"""Bringing stated figures into line with what they rest on: which labels change, and which must not.

Only the number of a label is replaced; its digits, unit, hedge and separators stay as the author wrote
them. Where another number alone would not make the sentence true again, nothing is changed and the
reason is said.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from buildlog.book import Book, Page
from buildlog.diagnostics import Position, Refused
from buildlog.figures import restated
from buildlog.judging import Judged, Places, judge_figure
from buildlog.reading.page import Link

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True)
class Amendment:
    """One label to be changed: `start` and `end` are offsets in the page's text."""

    page: str
    position: Position
    start: int
    end: int
    old: str
    new: str


@dataclass(frozen=True)
class Left:
    """A figure that disagrees and is left as it is, and why."""

    position: Position
    label: str
    why: str


def amendments(book: Book, pages: Iterable[str]) -> tuple[list[Amendment], list[Left]]:
    """What would bring the pages' computed figures into line, and what only the author can mend."""
    changes: list[Amendment] = []
    left: list[Left] = []
    for key in pages:
        page = book.pages[key]
        for link in page.scanned.links:
            if link.scheme != "calc":
                continue
            places = Places.all_at(link.label_position)
            judged = judge_figure(book, key, link.label, link.address, link.title or "", places)
            if judged.agrees:
                continue
            made = _amended(book, page, link, judged)
            if isinstance(made, Amendment):
                changes.append(made)
            else:
                left.append(Left(link.label_position, link.label, made))
    return changes, left


def _amended(book: Book, page: Page, link: Link, judged: Judged) -> Amendment | str:
    """The amendment of one figure, or why there is none."""
    if judged.stated is None or judged.verdict is None:
        return judged.diagnostics[0].message if judged.diagnostics else "it cannot be compared"
    if page.text[link.label_start : link.label_end] != link.label:
        return "its label runs over more than one line"
    stated, computed = judged.stated, judged.verdict.computed
    if stated.comparator:
        return "it is a comparison: the sentence around it may no longer be true"
    if stated.form == "range":
        return "it is a range: its ends are the author's to choose"
    if stated.hedge in ("nearly", "just over"):
        return f"“{stated.hedge}” says on which side of the number the value lies"
    if judged.versus and stated.signed and (stated.low.value < 0) != (computed < 0):
        return "the change goes the other way now: the words around it may no longer be true"
    if judged.versus and not stated.signed and judged.value is not None and judged.value.si == 0:
        return "there is no change any more"
    new = restated(stated, computed)
    if new is None:
        return "another number alone would not do"
    places = Places.all_at(link.label_position)
    try:
        again = judge_figure(book, page.key, new, link.address, link.title or "", places)
    except Refused as error:  # pragma: no cover - restated writes only what the grammar reads
        return str(error)
    if not again.agrees:
        return f"“{new}” would not agree either: it has too few digits"
    return Amendment(page.key, link.label_position, link.label_start, link.label_end, link.label, new)


def amended_text(text: str, changes: Iterable[Amendment]) -> str:
    """The page's text with every change made, and nothing else."""
    for change in sorted(changes, key=lambda one: one.start, reverse=True):
        text = text[: change.start] + change.new + text[change.end :]
    return text


def write_page(path: Path, before: str, after: str) -> None:
    """Replace a page's text in its file, all or nothing.

    `before` is the text that was read: a file that has changed since is not touched (`Refused`). Byte
    order mark, line ends and everything outside the labels stay byte for byte.
    """
    raw = path.read_bytes()
    mark = _BOM if raw.startswith(_BOM) else b""
    if raw != mark + before.encode():
        raise Refused("", f"{path.name} has changed on disk", "the text that was proofed", "run it again")
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(mark + after.encode())
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(path, name)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
