"""Figures in running text: where they stand.

A figure is a number with a unit of the list (`figures.units`), a price, a percentage, or a ratio to 1:
``4.2 kg``, ``400–450 hp``, ``5 ft 6 in``, ``£30/m``, ``4.56:1``. A range, a size in several directions
(``300 × 200 mm``) and a value with its ± count once. Hedges and comparators stay outside; the sign and
“between” belong to it. A number that the figure grammar refuses (``1,35 bar``) and a unit that it refuses
(``12 psig``) count as well: the author meant a figure.

Rules of this house, chosen for what an editor wants to be told:

- Nominal sizes are names (`nominal_sizes`): ``10 mm socket``, ``12 V battery``, ``2 litre engine``.
- Seconds and less are measured, and so is ``1 min 23.4 s``. Minutes, hours and days say how long work took
  or what to wait for; they are no figures.
- Counts are none: ``4 bolts``, ``41 teeth``. Nor are numbers in words, dates, times with a colon, decades,
  the sizes of tyres and threads, oil grades, part numbers, and the numbers of pages, clauses and steps.
- ``in`` is the inch only where it cannot be the preposition: ``5 in total``, ``8 in 10``, ``1.87 in second``.

Reading takes time in proportion to the length of the text: every look ahead or back is bounded.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from heapq import merge

from buildlog.figures import units
from buildlog.figures.numbers import DIGITS, VULGAR, Unreadable, read
from buildlog.proof.nominal_sizes import is_nominal, names_before
from buildlog.proof.number_words import figures_in_words, is_share_after, multiple_after
from buildlog.proof.written_units import NumberThere, Units, UnitThere, is_counted

_BLANK = "[ \u00a0\u202f\u2009]"
_START = re.compile(f"[0-9{''.join(sorted(VULGAR))}]")
_LAX = re.compile(r"(?:[0-9]{1,3}(?:[.][0-9]{3})++,[0-9]++|[0-9]++(?:[.,][0-9]++)?+)(?![.,:/⁄]?[0-9])")
_SPACED = re.compile(r"[0-9]{1,3}(?: [0-9]{3}(?![0-9,])){1,4}(?:[.][0-9]{1,10}(?![0-9]))?")
_MAGNITUDE = re.compile(rf"k\b|{_BLANK}(?:hundred|thousand|million)\b")
_SKIPPED_RATIO = re.compile(r"[^ ]: ")

_DESIGNATION = re.compile(r"\w+(?:[-./×]\w+)*")
_TYRE = re.compile(r"[0-9]{3}/[0-9]{2,3}(?:[ -]?[A-Z]{0,2}[ -]?[0-9]{2}(?![0-9]))?(?: [0-9]{2,3}[A-Z]\b)?")
_TIMES_BEFORE = re.compile(rf"[x×]{_BLANK}?$")
_MONEY_BEFORE = re.compile(rf"(?<![A-Za-z])(?:[A-Z]{{0,3}}[£€$¥]|[A-Z]{{3}}|Fr\.){_BLANK}?$")
_BETWEEN = re.compile(rf"\b(between){_BLANK}$", re.IGNORECASE)
_TO_BEFORE = re.compile(rf"\bto{_BLANK}$", re.IGNORECASE)
_SIGN_BEFORE = re.compile(rf"(?<![^\s(\[“\"*])(?:[+−±-]|±{_BLANK})$")
_SIGNS = frozenset("+−±-")
_LABEL_BEFORE = re.compile(
    r"\b(?:pages?|pp?\.|clauses?|sections?|tables?|figures?|figs?\.|chapters?|steps?|parts?|items?|nos?\.|notes?"
    r"|appendix|version|equation|lines?|rows?|columns?|volume|issue|edition|annex|paragraph|class|types?|grade"
    rf"|mark|mk|episodes?|bolts?|stage|runs?|phase){_BLANK}?$",
    re.IGNORECASE,
)

_TIMES = re.compile(rf"{_BLANK}?[x×]{_BLANK}?(?=[0-9])")
_PLUS_MINUS = re.compile(rf"{_BLANK}?(?:±|\+/[-−]){_BLANK}?(?=[0-9])")
_JOINT = re.compile(rf"{_BLANK}?(?:[-‐‑‒–−…]|\.\.\.){_BLANK}?|{_BLANK}(?:to|and){_BLANK}", re.IGNORECASE)
_LISTED = re.compile(rf"(?:,|/| and| or|, and|, or){_BLANK}?(?=[0-9])")
_TIMES_MARKS = frozenset("x×")
_JOINT_MARKS = frozenset("-‐‑‒–−….tTaA")
_CURRENCY = re.compile(rf"[A-Z]{{0,3}}[£€$¥]{_BLANK}?")

_TO_ONE = re.compile(r"[- ]to[- ](?:1|one)(?![\w:/%°\"-]|[.,][0-9])")
_OF_A = re.compile(r" of (?:an?|one)(?= )")
_PER = re.compile(r" ?(?:/|per )([A-Za-z]{1,12})\b")
_WAITING = frozenset(("minute", "hour", "day"))


def figures(text: str, nominal_nouns: frozenset[str] = frozenset()) -> Iterator[tuple[int, int]]:
    """Where the figures of a text stand, from left to right. Of two that overlap the first one counts."""
    done = 0
    for start, end in merge(_Scan(text, nominal_nouns).figures(), figures_in_words(text, nominal_nouns)):
        if start >= done:
            done = end
            yield start, end


class _Scan:
    """Reads a text from left to right, looking a bounded way ahead and back."""

    def __init__(self, text: str, nominal_nouns: frozenset[str]) -> None:
        self.text = text
        self.nouns = nominal_nouns
        self.units = Units(text, nominal_nouns)
        self.last_end = -1

    def figures(self) -> Iterator[tuple[int, int]]:
        at = 0
        while found := _START.search(self.text, at):
            start = found.start()
            past = self.designation(start)
            if past:
                at = past
                continue
            span, at = self.figure(start)
            if span:
                yield span

    def figure(self, start: int) -> tuple[tuple[int, int] | None, int]:
        """The figure whose first digit stands at `start`, or None, and where to read on."""
        text = self.text
        point = text[start - 1 : start] == "." and not text[max(0, start - 2) : start - 1].isalnum()
        begin = self.money(start)
        if begin is None and point:  # £.50
            begin = self.money(start - 1)
        priced = begin is not None
        if begin is None:
            begin = start - 1 if point else start
        sign = None
        if text[begin - 1 : begin] in _SIGNS or text[max(0, begin - 2) : begin - 1] == "±":
            sign = _SIGN_BEFORE.search(text, max(0, begin - 2), begin)
        if sign:
            begin = sign.start()
        first = self.number(start, negative=bool(sign) and text[begin] in "-−", priced=priced)
        if first is None:
            token = _DESIGNATION.match(text, start)
            return None, max(start + 1, token.end() if token else 0)
        unit, end = self.extent(first, priced)
        if unit is None:
            return None, first.end
        self.last_end = end
        self.units.past(start, end)
        if self.is_no_figure(first, unit, end):
            return None, end
        if text[end - 1] == "." and (end == len(text) or text[end : end + 2].strip()[:1].isupper()):
            end -= 1  # the full stop of the sentence, not of "in."
        between = _BETWEEN.search(text, max(0, begin - 9), begin)
        if between and " and " in text[first.end : end]:
            begin = between.start()
        return (begin, end), max(end, first.end)

    # --- what stands before ---

    def designation(self, start: int) -> int:
        """Where a tyre size, thread size, part number or the like ends to which the digit belongs, or 0."""
        text = self.text
        if tyre := _TYRE.match(text, start):
            return tyre.end() if not units.longest_at(text, tyre.end()) else 0
        before, second = text[start - 1 : start], text[max(0, start - 2) : start - 1]
        if not before or start - 1 == self.last_end or (before in "Øø"):
            return 0
        inside = (before.isalnum() or before == "_") and self.money(start) is None
        linked = before == "#" or (before in "-‐‑/." and (second.isalnum() or second == "_"))
        if linked and text[max(0, start - 4) : start].casefold() == "sub-":
            linked = False
        if inside or linked or _TIMES_BEFORE.search(text, max(0, start - 2), start):
            token = _DESIGNATION.match(text, start)
            return token.end() if token else start + 1
        return 0

    def money(self, start: int) -> int | None:
        """Where a currency starts that stands before the number."""
        last = self.text[start - 1 : start]
        if not last or not (last in ".£€$¥" or last.isspace() or "A" <= last <= "Z"):
            return None
        found = _MONEY_BEFORE.search(self.text, max(0, start - 6), start)
        if found and any(unit.dimension.startswith("money") for unit in units.spelt(found[0].strip())):
            return found.start() if found.start() >= self.last_end else None  # 5 £ 5
        return None

    # --- the number ---

    def number(self, start: int, *, negative: bool = False, priced: bool = False) -> NumberThere | None:
        """The number at `start`; one that the grammar refuses too, but no date, time or version."""
        text = self.text
        try:
            number = read(text, start)
        except Unreadable:
            lax = _LAX.match(text, start)
            return NumberThere(start=start, end=lax.end()) if lax else None
        if number is None:
            return None
        if number.form == "ratio" and _SKIPPED_RATIO.search(number.text):  # "Step 4: 1 bolt"
            return NumberThere(start=start, end=start + number.text.index(":"))
        spaced = _SPACED.match(text, start) if number.form == "integer" else None
        if spaced and (priced or self.units.after(NumberThere(start=start, end=spaced.end()))):
            return NumberThere(
                start=start, end=spaced.end(), value=Fraction(spaced[0].replace(" ", "")), form="integer"
            )
        magnitude = _MAGNITUDE.match(text, number.end)
        value = -number.value if negative else number.value
        return NumberThere(
            start=start,
            end=magnitude.end() if magnitude else number.end,
            value=value,
            form=number.form,
            unit=number.unit,
        )

    # --- the unit, and how far the figure goes ---

    def extent(self, first: NumberThere, priced: bool) -> tuple[UnitThere | None, int]:
        """The unit of the figure that begins with `first`, and where the figure ends."""
        text = self.text
        unit = self.unit_of(first, priced)
        end = unit.end if unit else first.end
        several = False
        for _ in range(3):  # 40 × 20 × 2 mm
            if self.next_mark(end) not in _TIMES_MARKS:
                break
            times = _TIMES.match(text, end)
            more = self.number(times.end()) if times else None
            if more is None:
                break
            following = self.unit_of(more, False)
            if unit and not following:
                break  # 64 cc × 0.061
            several = True
            unit, end = following or unit, following.end if following else more.end
        mark = self.next_mark(end)
        if not several and mark in _JOINT_MARKS:
            unit, end = self.range(first, unit, end, priced)
        elif not several and mark in DIGITS:
            unit, end = self.smaller(first, unit, end)
        if self.next_mark(end) not in "±+":
            return unit, end
        plus_minus = _PLUS_MINUS.match(text, end)
        tolerance = self.number(plus_minus.end()) if plus_minus else None
        if tolerance:
            following = self.unit_of(tolerance, priced)
            if unit or following:
                unit, end = following or unit, following.end if following else tolerance.end
        return unit, end

    def next_mark(self, end: int) -> str:
        """The first character after `end` that is not the one space that may stand there."""
        mark = self.text[end : end + 1]
        return self.text[end + 1 : end + 2] if mark.isspace() else mark

    def range(
        self, first: NumberThere, unit: UnitThere | None, end: int, priced: bool
    ) -> tuple[UnitThere | None, int]:
        """Goes on to the second number of a range, where there is one."""
        text = self.text
        joint = _JOINT.match(text, end)
        if joint is None:
            return unit, end
        word = joint[0].strip().casefold()
        if word == "and" and not _BETWEEN.search(text, max(0, first.start - 12), first.start):
            return unit, end
        if word == "to" and _TO_BEFORE.search(text, max(0, first.start - 4), first.start):
            return unit, end  # bolts 1 to 4 to 25 N·m
        at = joint.end()
        currency = _CURRENCY.match(text, at)
        at = currency.end() if currency else at
        signed = text[at : at + 1] in ("+", "-", "−")
        at += signed
        at += text[at : at + 1] == "." and _START.match(text, at + 1) is not None
        second = self.number(at, negative=signed and text[at - 1] != "+") if _START.match(text, at) else None
        following = self.unit_of(second, priced or currency is not None) if second else None
        if second is None or following is None:
            return unit, end
        if unit is None:
            return following, following.end
        rising = first.value is None or second.value is None or first.value < second.value
        alike = unit.spelling == following.spelling or priced
        return (following, following.end) if rising and alike else (unit, end)

    def smaller(self, first: NumberThere, unit: UnitThere | None, end: int) -> tuple[UnitThere | None, int]:
        """Goes on to the same quantity's smaller unit: 2 lb 4 oz."""
        if unit is None or first.form != "integer" or unit.end != end or self.text[end : end + 1] != " ":
            return unit, end
        second = self.number(end + 1) if _START.match(self.text, end + 1) else None
        following = self.unit_of(second, False) if second else None
        if following is None or following.spelling == unit.spelling:
            return unit, end
        large, small = units.spelt(unit.spelling), units.spelt(following.spelling)
        if large and small and large[0].dimension == small[0].dimension and large[0].factor > small[0].factor:
            return following, following.end
        return unit, end

    def unit_of(self, number: NumberThere, priced: bool) -> UnitThere | None:
        """The unit of a number; of a price, what it is for."""
        if number.unit:  # feet and inches, pounds and ounces, minutes and seconds
            dimension = units.spelt(number.unit)[0].dimension
            return UnitThere(number.unit, number.end, number.end, (dimension,))
        ratio = self.ratio_of(number)
        if ratio:
            return ratio
        if priced:
            per = _PER.match(self.text, number.end)
            known = per and is_counted(per[1])
            return UnitThere("", number.end, per.end() if per and known else number.end, ("money",))
        of_a = _OF_A.match(self.text, number.end) if number.value and number.value < 1 else None
        if of_a:  # 0.3 of a second
            return self.units.after(NumberThere(start=number.start, end=of_a.end(), value=number.value))
        return self.units.after(number)

    def ratio_of(self, number: NumberThere) -> UnitThere | None:
        """What makes a number without a unit a figure: ``10.6 to 1``, ``2.1 times as stiff``."""
        text, end = self.text, number.end
        if number.form == "ratio":
            return UnitThere(":1", end, end, ("ratio",))
        if number.value is None:
            return None
        to_one = _TO_ONE.match(text, end) if number.form == "decimal" and number.value > 1 else None
        if to_one and not self.units.after(NumberThere(start=0, end=to_one.end())):  # but not 1.5 to 1 mm
            return UnitThere(":1", end, to_one.end(), ("ratio",))
        if times := multiple_after(text, end):
            return UnitThere("×", end, times, ("ratio",))
        if number.form == "fraction" and 0 < number.value < 1 and is_share_after(text, end):
            return UnitThere("/", end, end, ("ratio",))
        return None

    def is_no_figure(self, first: NumberThere, unit: UnitThere, end: int) -> bool:
        """Nominal sizes, times that work takes, and the numbers of pages and steps."""
        text = self.text
        known = units.spelt(unit.spelling)
        if unit.dimensions[:1] == ("time",) and known and known[0].name in _WAITING:
            return True
        short = unit.spelling == "in" or (len(unit.spelling) == 1 and unit.spelling.isalpha())
        if short and _LABEL_BEFORE.search(text, max(0, first.start - 12), first.start):
            return True
        if unit.is_plural:  # a size that names a thing is singular: a 5 litre can, but 5 litres can spill
            return False
        if names_before(text, first.start, unit.dimensions, self.nouns):
            return True
        times = _TIMES.match(text, end) if self.next_mark(end) in _TIMES_MARKS else None
        pitch = self.number(times.end()) if times else None
        if pitch and is_nominal(text, pitch.end, unit.dimensions, self.nouns):  # 10 mm × 1.25 bolt
            return True
        for _ in range(3):  # 10 mm, 13 mm and 17 mm sockets
            if is_nominal(text, end, unit.dimensions, self.nouns):
                return True
            further = _LISTED.match(text, end)
            number = self.number(further.end()) if further else None
            following = self.unit_of(number, False) if number else None
            if following is None or following.spelling != unit.spelling:
                return False
            end = following.end
        return False
