"""Loose figures: numbers with a unit in running text that rest on nothing.

What counts is a number with a unit of the list (`buildlog.units`), a price, a percentage or a ratio to 1:
``4.2 kg``, ``400–450 hp``, ``5 ft 6 in``, ``£30/m``, ``4.56:1``. A range, a size in several directions
(``300 × 200 mm``) and a value with its ± count once. A number that the grammar refuses (``1,35 bar``)
and a unit that it refuses (``12 psig``) are found as well: the author meant a figure.

House rules, chosen for what an editor would want to see:

- Nominal sizes are names, not figures (`buildlog.nominal`): ``10 mm socket``, ``12 V battery``,
  ``2 litre engine``.
- Seconds and shorter are measured, and so is ``1 min 23.4 s``. Minutes, hours and days say how long the work
  took or when to come back; they are not figures.
- Counts are not figures: ``4 bolts``, ``41 teeth``. Nor are numbers in words, dates, clock times, tyre,
  thread and oil sizes, part numbers, decades, and the numbers of pages, clauses and steps.
- ``in`` is the inch only where it cannot be the preposition: ``5 in total``, ``8 in 10``, ``1.87 in second``.

Reading takes time in proportion to the length of the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from buildlog import units
from buildlog.diagnostics import Position
from buildlog.labels import plain
from buildlog.nominal import is_nominal
from buildlog.numbers import VULGAR, Unreadable, read
from buildlog.reading.page import ProseSpan, ScannedPage


@dataclass(frozen=True)
class LooseFigure:
    """A figure that rests on nothing. `text` is as written; a line break within it is a space."""

    position: Position
    text: str


def find_loose(scanned: ScannedPage, nominal_nouns: tuple[str, ...] = ()) -> list[LooseFigure]:
    """The loose figures of a page, in the order of the page. `nominal_nouns` adds to the built-in ones."""
    extra = frozenset(noun.casefold().strip() for noun in nominal_nouns)
    found = []
    for paragraph in _paragraphs(scanned):
        text, places = _joined(paragraph)
        for start, end in loose_spans(text, extra):
            line, column = places(start)
            found.append(LooseFigure(Position(scanned.path, line, column), text[start:end]))
    return found


def loose_spans(text: str, nominal_nouns: frozenset[str] = frozenset()) -> list[tuple[int, int]]:
    """Where the loose figures of one piece of running text stand."""
    if not any(mark in text for mark in "*_\\&"):
        return list(_Scan(text, nominal_nouns).figures())
    seen = plain(text)
    return [seen.span(start, end) for start, end in _Scan(seen.text, nominal_nouns).figures()]


# --- lines → paragraphs ----------------------------------------------------------------


def _paragraphs(scanned: ScannedPage) -> Iterator[list[ProseSpan]]:
    """Spans that run on from line to line: an author may break the line between number and unit."""
    group: list[ProseSpan] = []
    for span in scanned.prose:
        if group and not _runs_on(scanned, group[-1], span):
            yield group
            group = []
        group.append(span)
    if group:
        yield group


def _runs_on(scanned: ScannedPage, before: ProseSpan, span: ProseSpan) -> bool:
    if span.line != before.line + 1 or any(one.is_heading or one.in_table for one in (before, span)):
        return False
    raw = scanned.lines.raw
    if span.line > len(raw):
        return False
    return not raw[span.line - 1][: span.column - 1].strip(" \t>")


def _joined(group: list[ProseSpan]):  # type: ignore[no-untyped-def]
    starts = []
    at = 0
    for span in group:
        starts.append(at)
        at += len(span.text) + 1

    def place(offset: int) -> tuple[int, int]:
        from bisect import bisect_right

        index = bisect_right(starts, offset) - 1
        return group[index].line, group[index].column + offset - starts[index]

    return " ".join(span.text for span in group), place


# --- text → figures ----------------------------------------------------------------------

_VULGAR = "".join(sorted(VULGAR))
_START = re.compile(f"[0-9{_VULGAR}]")
_DESIGNATION = re.compile(r"\w+(?:[-./:x×,]\w+)*")
_LAX = re.compile(r"[0-9]+(?:[.,][0-9]+)?(?![0-9.,:/⁄]*[0-9])")
_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9.,]*[0-9])(?:[.][0-9]+)?")
_SPACE = re.compile(r"[ \t\u00a0\u202f\u2009]{0,3}")
_MAGNITUDE = re.compile(r"k\b|[ \u00a0](?:hundred|thousand|million)\b")
_TIMES = re.compile(r"[ \u00a0]?[x×][ \u00a0]?(?=[0-9])")
_TIMES_BEFORE = re.compile(r"[x×][ \u00a0]?$")
_PLUS_MINUS = re.compile(r"[ \u00a0]?±[ \u00a0]?(?=[0-9])")
_JOINT = re.compile(r"[ \u00a0]?[-‐‑‒–−][ \u00a0]?|[ \u00a0](?:to|and)[ \u00a0]", re.IGNORECASE)
_BETWEEN = re.compile(r"\b(between)[ \u00a0]$", re.IGNORECASE)
_TO_BEFORE = re.compile(r"\bto[ \u00a0]$", re.IGNORECASE)
_MONEY_BEFORE = re.compile(r"(?<![A-Za-z])(?:[A-Z]{0,3}[£€$¥]|[A-Z]{3}|Fr\.)[ \u00a0\u202f\u2009]?$")
_PER = re.compile(r" ?(?:/|per )([A-Za-z]{1,12})")
_PER_ANY = re.compile(r"([A-Za-zµ°%€£$]{1,8})/([A-Za-z]{1,8})(?![A-Za-z0-9])")
_EVENTS = frozenset("day week month year lap run corner side wheel axle pair set event cylinder".split())
_NEXT_WORD = re.compile(r"[ \u00a0]{0,2}([^\W_][\w'’]*|.|$)")
_REFUSED_UNITS = re.compile(
    r"(?:psi ?[ga]|bar ?\(?[ga]\)?|kPa ?\(?[ga]\)?|mpg|gal(?:lon)?s?(?:/min|/h)?|quarts?|qts?|pints?|fl\.? ?oz"
    r"|fluid ounces?|gpm|gph|tons?|k?cal|[sa]cfm|CV|dB(?:\([CBZ]\)|[CBZ])?|nautical miles?|[CF])(?![\w-])"
)
_LABELS = re.compile(
    r"\b(?:pages?|pp?\.|clauses?|sections?|tables?|figures?|fig\.|chapters?|steps?|parts?|items?|no\.|nos?\.|notes?"
    r"|appendix|version|equation|lines?|rows?|columns?|volume|issue|edition|annex|paragraph|class|type|grade"
    r"|mark|mk|episodes?|bolts?|stage)[ \u00a0]?$",
    re.IGNORECASE,
)
# Words after "in" by which it is the inch. After anything else it is taken for the preposition.
_AFTER_INCH = frozenset(
    """
    long wide thick deep high tall square round diameter dia bore od id of from below above by to at and or x is
    was on away apart out longer shorter lower higher wider narrower thinner thicker deeper bigger smaller clear
    proud between across over under per off behind ahead with for but less more short too forward back inboard
    outboard up down ± inside outside stroke
    """.split()
)
_SHAPES = re.compile(r"-(?:long|wide|thick|deep|high|tall|diameter|dia|square)\b")


@dataclass(frozen=True)
class _Read:
    """A number in running text. `value` is None where the grammar refused it."""

    start: int
    end: int
    value: Fraction | None
    unit: str = ""
    ratio: bool = False
    scientific: bool = False
    fraction: bool = False


@dataclass(frozen=True)
class _Unit:
    spelling: str
    start: int
    end: int
    dimensions: tuple[str, ...]


class _Scan:
    """Reads one text from left to right; looks a bounded way ahead and back."""

    def __init__(self, text: str, nominal_nouns: frozenset[str]) -> None:
        self.text = text
        self.nouns = nominal_nouns
        self.quotes = 0
        self.counted = 0

    def figures(self) -> Iterator[tuple[int, int]]:
        at = 0
        while found := _START.search(self.text, at):
            start = found.start()
            if (past := self.designation(start)) is not None:
                at = past
                continue
            span, at = self.figure(start)
            if span is not None:
                yield span

    # --- what is not a number of its own ---

    def designation(self, start: int) -> int | None:
        """Where a part number, thread size or the like ends in which the digit stands, or None."""
        before = self.text[start - 1 : start]
        second = self.text[start - 2 : start - 1] if start > 1 else ""
        joined = (before.isalnum() or before == "_") and before not in "Øø" and not self.money(start)
        linked = before in tuple("-‐‑/.#") and bool(second) and (second.isalnum() or before == "#")
        if before == "-" and self.text[max(0, start - 4) : start].lower() == "sub-":
            linked = False
        times = _TIMES_BEFORE.search(self.text, max(0, start - 2), start)
        if joined or linked or times:
            token = _DESIGNATION.match(self.text, start)
            return token.end() if token else start + 1
        return None

    def money(self, start: int) -> int | None:
        """Where a currency starts that stands before the number, or None."""
        window = max(0, start - 6)
        found = _MONEY_BEFORE.search(self.text, window, start)
        if found and any(unit.dimension.startswith("money") for unit in units.spelt(found[0].strip())):
            return found.start()
        return None

    # --- a figure ---

    def number(self, start: int) -> _Read | None:
        text = self.text
        try:
            number = read(text, start)
        except Unreadable:
            lax = _LAX.match(text, start)
            return _Read(start, lax.end(), None) if lax else None
        if number is None:
            return None
        if number.form == "ratio" and re.search(r"[^ ]: ", number.text):  # "step 4: 1 bolt"
            return _Read(start, start + number.text.index(":"), None)
        end = number.end
        if number.form == "integer" and (spaced := _SPACED.match(text, start)):
            if self.unit(spaced.end()) is not None:
                return _Read(start, spaced.end(), Fraction(spaced[0].replace(" ", "")))
        if magnitude := _MAGNITUDE.match(text, end):
            end = magnitude.end()
        return _Read(
            start, end, number.value, number.unit, number.form == "ratio",
            number.form == "scientific", number.form in ("fraction", "mixed"),
        )  # fmt: skip

    def figure(self, start: int) -> tuple[tuple[int, int] | None, int]:
        """The loose figure whose first digit is at `start`, if it is one, and where to go on."""
        text = self.text
        first = self.number(start)
        if first is None:
            token = _DESIGNATION.match(text, start)
            return None, max(start + 1, token.end() if token else 0)
        begin = start
        price = self.money(start)
        if price is not None:
            begin = price
        end, unit, last = self.extent(first, price is not None)
        if unit is None:
            return None, first.end
        sign = text[begin - 1 : begin]
        if sign and sign in "+-−±~" and sign != "~" and not text[begin - 2 : begin - 1].isalnum():
            begin -= 1
        if self.is_no_figure(first, last, unit, end):
            return None, end
        if between := _BETWEEN.search(text, max(0, begin - 9), begin):
            if " and " in text[begin:end]:
                begin = between.start(1)
        return (begin, end), end

    def extent(self, first: _Read, priced: bool) -> tuple[int, _Unit | None, _Read]:
        """Where the figure ends that begins with `first`, its unit, and its last number."""
        text = self.text
        unit = self.after(first, priced)
        end = unit.end if unit else first.end
        last = first
        for _ in range(3):  # 40 × 20 × 2 mm
            times = _TIMES.match(text, end)
            more = self.number(times.end()) if times else None
            if more is None:
                break
            last, unit = more, self.after(more, False) or unit
            end = max(more.end, unit.end if unit else 0)
        if last is first and (joint := _JOINT.match(text, end)):
            last, unit, end = self.range(first, unit, end, joint, priced)
        if plus_minus := _PLUS_MINUS.match(text, end):
            tolerance = self.number(plus_minus.end())
            if tolerance is not None:
                found = self.after(tolerance, priced)
                if found is not None or unit is not None:
                    unit = found or unit
                    end = found.end if found else tolerance.end
        return end, unit, last

    def range(
        self, first: _Read, unit: _Unit | None, end: int, joint: re.Match[str], priced: bool
    ) -> tuple[_Read, _Unit | None, int]:
        alone = first, unit, end
        word = joint[0].strip().lower()
        if word == "and" and not _BETWEEN.search(self.text, max(0, first.start - 12), first.start):
            return alone
        if word == "to" and _TO_BEFORE.search(self.text, max(0, first.start - 4), first.start):
            return alone
        at = joint.end()
        currency = re.compile(r"[A-Z]{0,3}[£€$¥]").match(self.text, at)
        if currency:
            at = currency.end()
        if not _START.match(self.text, at):
            return alone
        second = self.number(at)
        if second is None:
            return alone
        found = self.after(second, priced or currency is not None)
        if found is None:
            return alone
        if unit is not None and not set(unit.dimensions) & set(found.dimensions):
            return alone
        falling = first.value is not None and second.value is not None and first.value >= second.value
        if unit is not None and (falling or unit.spelling != found.spelling) and not priced:
            return alone
        return second, found, found.end

    def after(self, number: _Read, priced: bool) -> _Unit | None:
        """The unit of a number; of a price, what it is per."""
        if number.unit:
            return _Unit(number.unit, number.end, number.end, ("compound",))
        if number.ratio:
            return _Unit(":1", number.end, number.end, ("ratio",))
        if priced:
            per = _PER.match(self.text, number.end)
            known = per and (per[1] in _EVENTS or units.spelt(per[1]))
            end = per.end() if per and known else number.end
            return _Unit("money", number.end, end, ("money",))
        return self.unit(number.end, number)

    def unit(self, end: int, number: _Read | None = None) -> _Unit | None:
        text = self.text
        space = _SPACE.match(text, end)
        at = space.end() if space else end
        if at == end and text[at : at + 1] == "-" and text[at + 1 : at + 2].isalpha():
            at += 1
        found = units.longest_at(text, at)
        if text[at : at + 1] == "/" and not (number and number.scientific):
            return None
        if found is None:
            if (per := _PER_ANY.match(text, at)) and units.spelt(per[1]):
                if per[2] in _EVENTS or units.spelt(per[2]):
                    return _Unit(per[0], at, per.end(), ())
            if refused := _REFUSED_UNITS.match(text, at):
                return _Unit(refused[0], at, refused.end(), ("refused",))
            return None
        spelling, stop = found
        meant = tuple(dict.fromkeys(unit.dimension for unit in units.spelt(spelling)))
        if per := re.compile(r"/(?=[a-z])([a-z]{1,8})\b").match(text, stop):
            stop = per.end()
        unit = _Unit(spelling, at, stop, meant)
        return unit if self.is_unit(unit, end, number) else None

    # --- traps ---

    def is_unit(self, unit: _Unit, number_end: int, number: _Read | None) -> bool:
        """Whether what looks like a unit is one here."""
        text, spelling = self.text, unit.spelling
        close = unit.start == number_end
        after = text[unit.end : unit.end + 2]
        if unit.dimensions == ("count",):
            return False
        if spelling in ("in", "in."):
            return self.is_inch(unit, number)
        if spelling in ('"', "”", "″") and spelling != "″":
            self.quotes += text.count('"', self.counted, unit.start) + text.count(
                "“", self.counted, unit.start
            )
            self.quotes += text.count("”", self.counted, unit.start)
            self.counted = unit.start
            return self.quotes % 2 == 0 and close
        if spelling in ("'", "’"):
            return False
        if len(spelling) == 1 and spelling.isalpha():
            if after[:1] in ("-", "‐", "‑") and after[1:].isalpha() and not _SHAPES.match(text, unit.end):
                return False
            if after[:1] in ("'", "’") and after[1:].isalpha():
                return False
        if spelling == "W" and re.compile(r"[-/ ]?[0-9]").match(text, unit.end):
            return False
        if spelling == "J" and re.compile(r" ?[x×]").match(text, unit.end):
            return False
        if spelling == "s" and close and number and number.value is not None:
            return number.value.denominator != 1 or number.value % 10 != 0
        if spelling == "bars":
            return number is None or number.value is None or number.value.denominator != 1
        return True

    def is_inch(self, unit: _Unit, number: _Read | None) -> bool:
        text = self.text
        if unit.start and text[unit.start - 1] not in " \u00a0\u202f\u2009" and text[unit.start - 1] != "-":
            return not text[unit.end : unit.end + 1] == "-"
        following = _NEXT_WORD.match(text, unit.end)
        word = following[1].lower() if following else ""
        if text[unit.end : unit.end + 1] == "-":
            return bool(_SHAPES.match(text, unit.end))
        if not word or not (word[0].isalnum()):
            return True
        if word in _AFTER_INCH or is_nominal(text, unit.end, ("length",), self.nouns):
            return True
        return bool(number and number.fraction) and not word[0].isdigit() and word not in ("the", "a", "all")

    def is_no_figure(self, first: _Read, last: _Read, unit: _Unit, end: int) -> bool:
        """Nominal sizes, waiting times, and the numbers of pages and steps."""
        dimensions = unit.dimensions
        if dimensions == ("compound",):
            dimensions = ("length",) if unit.spelling == "in" else ()
        if unit.dimensions and unit.dimensions[0] == "time":
            known = units.spelt(unit.spelling)
            if known and known[0].name in ("minute", "hour", "day"):
                return True
        if len(unit.spelling) <= 2 and unit.spelling.isalpha():
            if _LABELS.search(self.text, max(0, first.start - 12), first.start):
                return True
        return is_nominal(self.text, end, dimensions, self.nouns)
