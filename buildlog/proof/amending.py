"""Bringing stated figures into line with what they rest on: which labels change, and which must not.

Only the numbers of a label are replaced; digits, unit, hedge, separators and spelling stay as the author
wrote them. A range keeps its width and the roundness of its ends, and is moved to where the value lies
nearest its middle. Where another number alone would not make the sentence true again, or where the value is
so far off that something else than the label is likely to be wrong, nothing is changed and the reason is
said.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from errno import EACCES
from fractions import Fraction
from math import gcd
from pathlib import Path

from buildlog.book.book import Book, Page, read_page
from buildlog.diagnostics import Position, Refused
from buildlog.figures.labels import exact, plain, write_like
from buildlog.figures.stated import Stated, restated
from buildlog.files.whole_file import write_whole
from buildlog.proof.direction import directions_in, recorded_change
from buildlog.proof.judging import Judged, Places, judge_figure
from buildlog.proof.sentences import Sentence, Sentences
from buildlog.reading.markdown.page import Link, LinkForm
from buildlog.reading.record import NAME, ValueName, read_record

MOST_TIMES = 10
"""A value that many times the stated one, or that part of it, is not written by itself (house rule)."""
BYTE_ORDER_MARK = "\ufeff"
_BOM = BYTE_ORDER_MARK.encode()


@dataclass(frozen=True, kw_only=True)
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
    """A figure that disagrees and is left as it is, and why. `computed` is "" where nothing is."""

    position: Position
    label: str
    why: str
    computed: str = ""


class _Leave(Exception):
    """Why a figure is left to the author."""


def amendments(book: Book, pages: Iterable[str]) -> tuple[list[Amendment], list[Left]]:
    """What would bring figures into line with what they restate, and what only the author can mend."""
    record, _ = read_record(book.content / NAME, NAME)
    recorded = record.values if record else {}
    changes: list[Amendment] = []
    left: list[Left] = []
    for key in pages:
        page = book.pages[key]
        own: dict[int, Amendment] = {}
        sentences = Sentences(page.scanned)
        for link in page.scanned.links:
            if link.label_start in own:
                continue
            sentence = sentences.around(link)
            judged = _judge(book, page, link, link.label, sentence)
            if judged.agrees or (link.scheme != "calc" and judged.fact is None):
                continue
            place, label = link.label_position, link.label
            try:
                new = _amended(book, page, link=link, judged=judged, sentence=sentence, recorded=recorded)
            except _Leave as reason:
                left.append(Left(place, label, str(reason), judged.computed_text))
            else:
                own[link.label_start] = Amendment(
                    page=key, position=place, start=link.label_start, end=link.label_end, old=label, new=new
                )
        if own and not _reads_alike(page, list(own.values())):
            why = "with another label the page would be read otherwise"
            left += [Left(change.position, change.old, why) for change in own.values()]
        else:
            changes += own.values()
    return changes, sorted(left, key=lambda figure: figure.position)


def amended_text(text: str, changes: Iterable[Amendment]) -> str:
    """The page's text with every change made, and nothing else."""
    for change in sorted(changes, key=lambda change: change.start, reverse=True):
        text = text[: change.start] + change.new + text[change.end :]
    return text


def _judge(book: Book, page: Page, link: Link, label: str, sentence: Sentence) -> Judged:
    return judge_figure(
        book,
        page.key,
        label=label,
        address=link.address,
        title=link.title or "",
        places=Places.all_at(link.label_position),
        sentence=sentence,
    )


def _reads_alike(page: Page, changes: list[Amendment]) -> bool:
    """Whether the changed page has the same links, but for the labels, and the same findings."""
    new = {change.start: change.new for change in changes}
    after = read_page(page.key, page.path, amended_text(page.text, changes))
    wanted = [
        (link.form, new.get(link.label_start, link.label), link.address, link.title)
        for link in page.scanned.links
    ]
    found = [(link.form, link.label, link.address, link.title) for link in after.scanned.links]
    faults = [[fault.code for fault in version.faults] for version in (page, after)]
    return wanted == found and faults[0] == faults[1]


# --- one figure ----------------------------------------------------------------------------


def _amended(
    book: Book,
    page: Page,
    *,
    link: Link,
    judged: Judged,
    sentence: Sentence,
    recorded: Mapping[ValueName, float],
) -> str:
    """The label that would agree. Raises `_Leave` where the author has to decide."""
    if judged.spoken:
        raise _Leave("its words say something else")
    if judged.stated is None or judged.verdict is None:
        raise _Leave(_why_not_compared(judged))
    if page.text[link.label_start : link.label_end] != link.label:
        raise _Leave("its label is not written in one piece")
    if _names_itself(page, link):
        raise _Leave("its label is also the name of a link definition")
    stated, computed = judged.stated, exact(judged.verdict.computed)
    _bears(stated, judged, computed)
    _keeps_its_direction(judged, stated, sentence, recorded)
    if stated.teeth and judged.verdict.unit.dimension == "ratio":
        raise _Leave("it counts teeth: the gears are the author's to choose")
    if stated.form in ("range", "pair"):
        new = _moved(stated, computed)
    else:
        new = _restated(stated, judged, computed)
    if new is None:
        raise _Leave("another number alone would not do")
    again = _judge(book, page, link, _spelt_alike(stated, new), sentence)
    if again.stated is None or not again.agrees:
        raise _Leave(f"“{plain(new).text}” would not agree either")
    if again.stated.low.value == 0 != computed and stated.form == "plain":
        raise _Leave("with so few digits it would be 0")
    return again.label


def _keeps_its_direction(
    judged: Judged, stated: Stated, sentence: Sentence, recorded: Mapping[ValueName, float]
) -> None:
    """Raise `_Leave` where the words of the sentence may say another direction than the computed one."""
    worded = stated.signed or stated.direction_word
    if judged.versus and not worded and not _goes_the_same_way(judged, sentence, recorded):
        raise _Leave("it is a change without a sign, and nothing shows that it still goes the same way")


def _goes_the_same_way(judged: Judged, sentence: Sentence, recorded: Mapping[ValueName, float]) -> bool:
    """Whether the record, or else the sentence, shows that a change still has the computed direction."""
    assert judged.value is not None
    block = judged.block
    now = judged.value.si
    if judged.target is not None and judged.other is not None:
        before = recorded_change(recorded, judged.target.name, judged.other.name)
        if before is not None:
            return before * now > 0
    declared = block.outputs.get(judged.output) if block is not None else None
    dimension = declared.dimension if declared is not None else judged.value.dimension
    return directions_in(sentence, dimension) == {1 if now > 0 else -1}


def _why_not_compared(judged: Judged) -> str:
    for fault in judged.diagnostics:
        return f"{fault.message}: {fault.found}"
    return "it cannot be compared"


def _names_itself(page: Page, link: Link) -> bool:
    """Whether it is ``[label]`` or ``[label][]``, where a definition has the label for its name."""
    if link.form is LinkForm.REFERENCE:
        return page.text[link.end - 2 : link.end] == "[]"
    return link.form is not LinkForm.INLINE


def _bears(stated: Stated, judged: Judged, computed: Fraction) -> None:
    """Raise `_Leave` where the words around the number may not be true of the computed value."""
    assert judged.verdict is not None
    if stated.form == "words" or judged.verdict.wrong_way:
        raise _Leave("its words say something else")
    if stated.form == "pair" and judged.versus:
        raise _Leave("it has two values, before and after")
    if stated.comparator:
        raise _Leave("it is a comparison: the sentence around it may no longer be true")
    if stated.hedge in ("nearly", "just over"):
        raise _Leave(f"“{stated.lead}” says on which side of the number the value lies")
    was = (stated.low.value + stated.high.value) / 2
    if computed * was < 0 or (judged.versus and computed * was <= 0):
        what = "it has another sign now"
        if judged.versus:
            what = "there is no change any more" if computed == 0 else "the change goes the other way now"
        raise _Leave(f"{what}: the words around it may no longer be true")
    if judged.verdict.unit.from_si(0.0) != 0:
        return  # degrees Celsius and Fahrenheit: their 0 is no nothing
    if not abs(was) < abs(computed) * MOST_TIMES or not abs(computed) < abs(was) * MOST_TIMES:
        raise _Leave(f"it is off by a factor of {MOST_TIMES} or more: see first whether the block is right")


def _restated(stated: Stated, judged: Judged, computed: Fraction) -> str | None:
    """A plain label with another number. A fraction of a unit that the title names counts no teeth."""
    assert judged.verdict is not None
    named = replace(stated, unit=stated.unit or judged.verdict.unit.symbol)
    return restated(named, computed)


def _moved(stated: Stated, computed: Fraction) -> str | None:
    """A range of the same width about the value, its ends as round as they were.

    The ends stay multiples of their greatest common divisor g, so that 400–450 becomes 450–500 and not
    443–493. The value lies at most g/2 from the middle, and the width is at least g: it is always inside.
    """
    low, high = stated.low.value, stated.high.value
    grid = _common(low, high)
    new_low = round((computed - (high - low) / 2) / grid) * grid
    new_high = new_low + high - low
    if (new_low < 0) != (low < 0) or (new_high < 0) != (high < 0):
        return None
    text = stated.label
    pairs = list(zip(stated.number_spans, (stated.low, stated.high), (new_low, new_high), strict=True))
    for (start, end), number, value in reversed(pairs):
        if number.sign and number.sign not in number.text:
            return None  # the sign stands before a currency
        text = text[:start] + write_like(number, value) + text[end:]
    return text


def _common(low: Fraction, high: Fraction) -> Fraction:
    """The greatest number that both are multiples of."""
    below = low.denominator * high.denominator
    return Fraction(gcd(int(low * below), int(high * below)), below)


def _spelt_alike(stated: Stated, new: str) -> str:
    """The new label with what the old one wrote as entities or escapes written so again."""
    seen = plain(stated.label)
    start, end = stated.number_spans[0][0], stated.number_spans[-1][1]
    spelt = {
        sign: stated.label[first:last]
        for sign, first, last in zip(seen.text, seen.starts, seen.ends, strict=True)
        if start <= first < end and last - first > 1 and not sign.isalnum()
    }
    tail = len(stated.label) - end
    body = "".join(spelt.get(sign, sign) for sign in new[start : len(new) - tail])
    return new[:start] + body + new[len(new) - tail :]


# --- the file ------------------------------------------------------------------------------


def byte_order_mark(path: Path) -> str:
    """The mark that a file begins with, which is no part of its text, or ""."""
    with path.open("rb") as file:
        return BYTE_ORDER_MARK if file.read(len(_BOM)) == _BOM else ""


def is_unchanged(path: Path, text: str) -> bool:
    """Whether a file still holds the text that was read from it."""
    return path.read_bytes().removeprefix(_BOM) == text.encode()


def write_page(path: Path, before: str, after: str) -> None:
    """Replace a page's text in its file, all or nothing.

    `before` is the text that was read: a file that has changed since is not touched (`Refused`). Byte
    order mark, line ends and everything outside the labels stay byte for byte; mode and owner stay too,
    or nothing is written (`OSError`). Of a link it is the file at its end that is written.
    """
    path = path.resolve()
    raw = path.read_bytes()
    mark = _BOM if raw.startswith(_BOM) else b""
    if raw != mark + before.encode():
        raise Refused(
            "", f"{path.name} has changed on disk", "the text that was proofed", help="run it again"
        )
    if not os.access(path, os.W_OK):
        raise PermissionError(EACCES, "it is write-protected", str(path))
    status = path.stat()

    def ready(made: Path) -> None:
        with made.open("r+b") as file:  # Windows syncs only what is open for writing
            os.fsync(file.fileno())
        own = made.stat()
        if (own.st_uid, own.st_gid) != (status.st_uid, status.st_gid):
            os.chown(made, status.st_uid, status.st_gid)
        made.chmod(stat.S_IMODE(status.st_mode))  # after chown, which takes bits away
        if path.read_bytes() != raw:
            raise Refused(
                "", f"{path.name} has changed on disk", "the text that was proofed", help="run it again"
            )

    write_whole(path, mark + after.encode(), ready)
