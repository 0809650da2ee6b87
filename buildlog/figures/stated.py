"""The figure grammar: what a figure in the prose states.

A label is one number with its unit, a range, a pair of values, or words that say a comparison::

    label      = {lead} number [unit] ["±" number [unit | "%"]] {trail} [bracket] ["."]
               | {lead} number [unit] (dash | "to" | "and") number unit {trail}      a range
               | "from" number "to" number unit | number "→" number unit             a pair
               | number unit "(was" number [unit] ")"                                a pair
               | words                                                               slower, enough …
    lead       = hedge | limit | direction | "between" | "from"
    trail      = hedge | limit | direction
    bracket    = "(" number unit ")"                                                 the same in another unit

Leads and trails are listed in `buildlog.figures.leads`, words of direction in `directions`, numbers and
words alone in `words`; numbers in digits are those of `numbers`. A currency may stand before its number.
Emphasis, backslash escapes, entities and the ends of lines are looked through. Words that are none of these
are refused: they belong outside the square brackets. Hedges, limits and ranges exclude each other.

A plain integer is taken as written: ``400`` states the whole number, so its half unit is 0.5. Who
means "some 400" writes so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, NoReturn, cast

from buildlog.diagnostics import Code, Refused, declare
from buildlog.figures import directions, leads, units, words
from buildlog.figures.labels import VANISHES, PlainLabel, exact, plain, write_like, write_number
from buildlog.figures.leads import Comparator, Hedge, Lead
from buildlog.figures.numbers import (
    DIGITS,
    MINUS,
    SIGNS,
    VULGAR,
    Unreadable,
    WrittenNumber,
    excerpt,
    fraction_half,
    parse_number,
    read,
)
from buildlog.figures.units import Unit

LONGEST_LABEL = 300  # Markdown and entities too; no figure comes near it
WORD_SHARE = Fraction(5, 100)
"""How far about, nearly, just over and a whole multiple reach: 5 % of the stated value (house rule)."""
NOTHING = WrittenNumber(value=Fraction(0), step=Fraction(1), text="", start=0, end=0, form="words")
"""Stands for the number of a label that has none."""

FIGURE_UNREADABLE = declare(
    "figure-unreadable",
    "the label is not a figure",
    why="a figure that cannot be read cannot be compared with what it rests on",
    mend="keep only the figure in the square brackets: [124.8 km/h], [about 10 %], [400–450 hp]",
    example="[124.8 km/h in third](calc:final.speed.3)",
)
FIGURE_TWO_NUMBERS = declare(
    "figure-two-numbers",
    "the label holds two numbers",
    why="one address stands for one value, so one label states one figure",
    mend="give each number its own brackets and address; join thousands as 8200 or 8,200",
    example="[8200, 8600 rpm](calc:final.rpm.3)",
)

FigureForm = Literal["plain", "range", "comparison", "pair", "words"]


@dataclass(frozen=True, kw_only=True)
class Stated:
    """What a label states. `low` and `high` are the same number unless the form is "range" or "pair".

    A "pair" has two values in the order in which they came, before and after. “words” have no number (`low`
    is then `NOTHING`), and `words` are those of the label, in lower case.

    `unit` is the spelling, "" where the label has none; a ratio (``4.56:1``) has none. The spans say
    where in the label (Markdown and all) `low`, `high` and the units are written.

    `direction` is 1 for more, -1 for less, as far as the label alone tells it (`directions.sense` knows with
    the quantity what `direction_word` says). A `multiple` is the value over another one: twice. A `count` is
    in words and exact. `tolerance` is what stands after ± in the label, in its unit. A limit is passed
    `well` in “well over”. A value that stands in a second unit too is there `twice`.
    """

    label: str
    form: FigureForm
    low: WrittenNumber
    high: WrittenNumber
    unit: str = ""
    hedge: Hedge | None = None
    comparator: Comparator | None = None
    lead: str = ""
    number_spans: tuple[tuple[int, int], ...] = ()
    unit_spans: tuple[tuple[int, int], ...] = ()
    direction: int = 0
    direction_word: str = ""
    multiple: bool = False
    count: bool = False
    tolerance: Fraction | None = None
    well: bool = False
    twice: bool = False
    words: str = ""

    @property
    def signed(self) -> bool:
        """Whether a sign is written: only then, or with a word, does the direction of a change count."""
        return bool(self.low.sign or self.high.sign)

    @property
    def teeth(self) -> tuple[int, int] | None:
        """The two integers of a plain fraction without a unit; tooth counts where it states a ratio."""
        if self.unit or self.multiple or self.form != "plain" or not _may_mesh(self.low.teeth):
            return None
        return self.low.teeth

    @property
    def half_unit(self) -> Fraction:
        """How far rounding can have moved the value, in the stated unit, as far as the label alone tells."""
        return self.half_unit_of("length" if _is_length(self.unit) else "")

    def half_unit_of(self, dimension: str) -> Fraction:
        """Half a unit of the last digit written; of a fraction, see `numbers.fraction_half`."""
        if self.count or (self.teeth and dimension == "ratio"):
            return Fraction(0)
        half = self.low.half(length=dimension == "length")
        if self.multiple and self.low.step == 1:
            return min(half, abs(self.low.value) * WORD_SHARE)  # “twice” is not one and a half times
        return half


def parse(label: str) -> Stated:
    """Read a label. Raises `Unreadable` with the place in the label; its code says what is wrong."""
    if len(label) > LONGEST_LABEL:
        raise Unreadable(
            "",
            f"{len(label)} characters",
            f"a figure of at most {LONGEST_LABEL} characters",
            help=FIGURE_UNREADABLE.mend,
            code=FIGURE_UNREADABLE,
            length=len(label),
        )
    seen = _in_one_line(plain(label))
    try:
        stated = _Reader(seen.text).figure()
    except Unreadable as refused:
        start, end = seen.span(refused.offset, refused.offset + refused.length)
        refused.offset, refused.length = start, max(1, end - start)
        raise
    return replace(
        stated,
        label=label,
        number_spans=tuple(seen.span(*span) for span in stated.number_spans),
        unit_spans=tuple(seen.span(*span) for span in stated.unit_spans),
    )


def restated(stated: Stated, value: float | Fraction) -> str | None:
    """The label with `value` (in the stated unit) in place of its number and all else kept.

    None where another number alone would not do and the author must choose: ranges, comparisons,
    nearly, just over, tooth counts, fractions and multiples in words, a value in two units, a sign that
    stands before a currency and would have to change, and a fraction that would have to be too fine.
    """
    number = stated.low
    if stated.form != "plain" or stated.hedge in ("nearly", "just over") or stated.teeth or stated.twice:
        return None
    if number.form == "words":
        return _restated_in_words(stated, exact(value))
    length = _is_length(stated.unit)
    if stated.multiple and number.form == "integer" and abs(exact(value) - round(value)) > WORD_SHARE:
        number = replace(number, decimals=1)  # 2.7 times are not three
    written = write_like(number, value, length=length)
    if not _states(written, exact(value), length=length) or (stated.multiple and not exact(value) > VANISHES):
        return None
    if not (stated.unit or stated.multiple) and number.teeth and _may_mesh(parse_number(written).teeth):
        return None  # it would be read as two gears
    if number.sign and number.sign not in number.text:
        if (value < 0) != (number.sign != "+"):
            return None
        written = written.lstrip("".join(SIGNS))
    start, end = stated.number_spans[0]
    return stated.label[:start] + written + stated.label[end:]


def _may_mesh(teeth: tuple[int, int] | None) -> bool:
    """Whether a fraction may be of two gears: a wheel has six teeth at least, and of two that mesh one has a
    dozen. 1/6 is a sixth."""
    return teeth is not None and min(teeth) >= 6 and max(teeth) >= 12


def _states(written: str, value: Fraction, *, length: bool) -> bool:
    """Whether a number as written stands for a value, and not 0 for what is not 0."""
    before, to_one, _ = written.partition(" to 1")
    number = parse_number(before, spaced=True)
    if (to_one and value <= 1) or (number.value == 0 and abs(value) > number.step * VANISHES):
        return False
    return abs(number.value - value) <= number.half(length=length) * _NOISE


def instead_of(stated: Stated, shown: str) -> str:
    """What to write in place of a label that another number alone does not mend: the value with the words
    that it takes to say what the label said."""
    if stated.multiple:
        return f"{shown} times"
    if not stated.direction_word or stated.form == "pair":
        return shown
    word = stated.direction_word
    if stated.direction and not word.endswith("er"):  # “up” and “saves” stand before a figure
        word = "more" if stated.direction > 0 else "less"
    return f"{shown} {word}"


def restated_pair(stated: Stated, before: float | Fraction, after: float | Fraction) -> str:
    """The label of a pair with other values."""
    ends = sorted(
        zip(stated.number_spans, (stated.low, stated.high), (before, after), strict=True), reverse=True
    )
    text = stated.label
    for (start, end), number, value in ends:
        text = text[:start] + write_like(number, value, length=_is_length(stated.unit)) + text[end:]
    return text


def _restated_in_words(stated: Stated, value: Fraction) -> str | None:
    written = words.in_words(value) if stated.count else ""
    start, end = stated.number_spans[0]
    return stated.label[:start] + written + stated.label[end:] if written else None


def _converted(amount: Fraction, spelling: str, wanted: str) -> Fraction | None:
    """A difference in another unit of the same dimension; None where they have none in common."""
    for unit in units.spelt(spelling):
        for other in units.spelt(wanted):
            if unit.dimension == other.dimension:
                return exact(other.from_si_difference(unit.to_si_difference(float(amount))))
    return None


def _is_length(spelling: str) -> bool:
    return bool(spelling) and units.spelt(spelling)[0].dimension == "length"


def _in_one_line(seen: PlainLabel) -> PlainLabel:
    """The label with a blank for every end of a line and what is blank around it."""
    if "\n" not in seen.text and "\r" not in seen.text:
        return seen
    kept: list[tuple[str, int, int]] = []
    done = 0
    for gap in _LINE_END.finditer(seen.text):
        kept += list(zip(seen.text, seen.starts, seen.ends, strict=True))[done : gap.start()]
        kept.append((" ", seen.starts[gap.start()], seen.ends[gap.end() - 1]))
        done = gap.end()
    kept += list(zip(seen.text, seen.starts, seen.ends, strict=True))[done:]
    return PlainLabel(
        "".join(sign for sign, _, _ in kept),
        tuple(start for _, start, _ in kept),
        tuple(end for _, _, end in kept),
    )


# --- reading ---------------------------------------------------------------------------

_JOINING_WORDS = frozenset("or and at in by with for on after then of when".split())
_SHORTEST_WORD = 3
_NOISE = 1 + Fraction(1, 10**9)
_SIGN_WORDS = {"minus": MINUS, "plus": "+"}
_LINE_END = re.compile(r"[ \t]*[\r\n]\s*")
_UNREAD_NUMBER_WORDS = frozenset(
    "zero nil twenty thirty forty fifty sixty seventy eighty ninety hundred thousand million".split()
)
_WORD = re.compile(r"[A-Za-z]+\.?")
_DASH = re.compile("[-‐‑‒–−]")
_LONG_DASH = re.compile("[ ]?[—―][ ]?")
_ARROW = re.compile(r"→|⇒|⟶|➔|-{1,2}>|=>")
_JOINING_WORD = re.compile(r"(to|and)\b", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"±|\+/[-−]|\+[-−]")
_WAS = re.compile(r"\((?:(?:up |down )?from|was|before|previously|formerly|instead of):?\s+", re.IGNORECASE)
_CURRENCY = re.compile(r"[A-Z]{0,3}[£€$¥]|[^\W\d_]{2,3}\.?(?=\s)")
_PER = re.compile(r" ?(?:/|per )([A-Za-z]{1,12})")
_SIGN_APART = re.compile("([-+−]\\s+|[–—‒‐‑]\\s*)([0-9][0-9.,]*)")
_OTHER_TIMES = re.compile(r"[x·⋅*]\s?10\b|[x·⋅*]\s?10[\^⁰¹²³⁴⁵⁶⁷⁸⁹⁻]")
_TO_ONE = re.compile(r"(?: to |-to-)1(?=\.?\s*$)", re.IGNORECASE)
_TIMES = re.compile(r"\s?(?:times|×|x|-?fold)(?!\w)(?!\s?[0-9])", re.IGNORECASE)
_THOUSAND = re.compile(r"[kK]\b")
_ISH = re.compile(r"-?ish\b", re.IGNORECASE)
_PLUS = re.compile(r"\+(?![0-9/−-])")
_TEETH = re.compile(r"([1-9][0-9]{0,2}):([1-9][0-9]{0,2})(?![0-9:.])")
_OF_A = re.compile(r"\s+(?:of\s+)?(?:an?|one)\s+", re.IGNORECASE)
_ARTICLE = re.compile(r"(an?)\s+", re.IGNORECASE)
_OF = re.compile(r"\s+of(?=\.?\s*$)", re.IGNORECASE)
_NUMBER_THERE = re.compile(rf"[+−-]?[0-9{''.join(sorted(VULGAR))}]")


def _currency_at(text: str, at: int) -> str:
    """A currency written before its number, or ""."""
    currency = _CURRENCY.match(text, at)
    if currency and any(unit.dimension.startswith("money") for unit in units.spelt(currency[0])):
        return currency[0]
    return ""


def _looks_like_a_time(first: int, second: str) -> bool:
    """Whether 12:30 may be half past twelve, and no gears."""
    return len(second) == 2 and int(second) < 60 and first < 24


@dataclass(frozen=True, kw_only=True)
class _Side:
    """One number with what is written round it. `behind` is a lead that stands between it and its unit."""

    number: WrittenNumber
    end: int
    unit: str = ""
    unit_span: tuple[int, int] | None = None
    currency: str = ""
    multiple: bool = False
    count: bool = False
    behind: tuple[Lead, str] | None = None

    @property
    def number_span(self) -> tuple[int, int]:
        return self.number.start, self.number.end

    @property
    def is_fraction(self) -> bool:
        """Whether it is a third or 1/3, which is a share where nothing else is said."""
        number = self.number
        fraction = number.form in ("fraction", "mixed") or (number.form == "words" and number.step != 1)
        return fraction and not self.unit and not self.multiple


class _Reader:
    """Reads one label, left to right, without going back."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.start = self.skip(0)
        self.lead: Lead | None = None
        self.spelt = ""
        self.way: Lead | None = None
        self.way_spelt = ""
        self.sign = ""

    def skip(self, at: int) -> int:
        while at < len(self.text) and self.text[at].isspace():
            at += 1
        return at

    def refuse(
        self,
        start: int,
        expected: str,
        help: str = "",
        *,
        end: int | None = None,
        code: Code = FIGURE_UNREADABLE,
    ) -> NoReturn:
        last = len(self.text.rstrip()) if end is None else end
        found = "nothing"
        if last > start:
            found = f"“{excerpt(self.text[start:last])}”"
        raise Unreadable(
            "",
            found,
            expected,
            help=help or FIGURE_UNREADABLE.mend,
            code=code,
            offset=start,
            length=max(1, last - start),
        )

    def figure(self) -> Stated:
        alone = " ".join(self.text.lower().split()).removesuffix(".")
        if words.meaning(alone) is not None:
            return Stated(label="", form="words", low=NOTHING, high=NOTHING, words=alone)
        low = self.signed_in_words(self.side(self.leads(self.start)))
        if low.behind:
            self.note(*low.behind)
        if joined := self.joint(low.end):
            return self.two(low, *joined)
        if self.lead and self.lead.kind == "range":
            self.refuse(
                low.end,
                f"“{self.lead.meant}” and a second number",
                f"write {self.spelt} 400 {self.lead.meant} 450 hp",
            )
        low, tolerance, end = self.plus_minus(low)
        end = self.trail(end)
        if self.text[self.skip(end) : self.skip(end) + 1] == "(":
            return self.bracket(low, self.skip(end), tolerance)
        self.nothing_after(low, end)
        return self.one(low, tolerance)

    # --- what stands before and behind ---

    def note(self, lead: Lead, spelt: str) -> None:
        """Keep a lead or a trail, of which there may be one of a sort."""
        if lead.kind == "direction":
            if self.way:
                self.refuse(self.start, f"one of “{self.way_spelt}” and “{spelt}”", "drop one of the two")
            self.way, self.way_spelt = lead, spelt
            return
        if self.lead:
            self.refuse(self.start, f"one of “{self.spelt}” and “{spelt}”", "drop one of the two")
        self.lead, self.spelt = lead, spelt

    def leads(self, at: int) -> int:
        """Past all leads, which are kept."""
        while True:
            lead, end = leads.before(self.text, at)
            if lead is None:
                return at
            spelt = self.text[at:end]
            if spelt.lower() in _SIGN_WORDS:
                self.sign = _SIGN_WORDS[spelt.lower()]
                return self.skip(end)
            self.note(lead, spelt)
            at = self.skip(end)

    def trail(self, end: int) -> int:
        """Past all that may stand behind a figure, which is kept."""
        while True:
            at = self.skip(end)
            lead, behind = leads.behind(self.text, at)
            if lead is None:
                return end
            self.note(lead, self.text[at:behind])
            end = behind

    def signed_in_words(self, side: _Side) -> _Side:
        """“Minus 5 °C”, where the sign stands as a word before the number."""
        number = side.number
        if not self.sign:
            return side
        if number.sign:
            self.refuse(self.start, "one sign", f"write {self.sign}{number.text.lstrip(''.join(SIGNS))}")
        value = -number.value if self.sign == MINUS else number.value
        return replace(side, number=replace(number, sign=self.sign, value=value))

    # --- one number ---

    def one(self, low: _Side, tolerance: Fraction | None, *, twice: bool = False) -> Stated:
        lead, number = self.lead, low.number
        if lead and lead.kind == "hedge" and lead.meant != "about" and number.value == 0:
            self.refuse(
                self.start,
                "a number other than 0",
                f"“{self.spelt} 0” has no size; write about 0, or a limit",
            )
        if lead and lead.kind == "comparator" and tolerance is not None:
            self.refuse(self.start, "a limit without ±", f"write {self.spelt} {self.written(low)}")
        if self.way and low.multiple:
            self.refuse(self.start, "a multiple alone", f"write {self.text[number.start : low.end]}")
        low = self.as_share(low) if self.way and low.is_fraction else low
        return self.stated(
            low,
            low,
            form="comparison" if lead and lead.kind == "comparator" else "plain",
            tolerance=tolerance,
            twice=twice,
            multiple=low.multiple or (number.form == "words" and low.is_fraction),
        )

    def as_share(self, side: _Side) -> _Side:
        """“A third more” is a change by 33⅓ %, as exact as a third is."""
        number = side.number
        share = replace(
            number, value=100 * number.value, step=100 * number.step, rounding=100 * number.half(), teeth=None
        )
        return replace(side, number=share, unit="%")

    def stated(
        self,
        low: _Side,
        high: _Side,
        *,
        form: FigureForm,
        tolerance: Fraction | None = None,
        twice: bool = False,
        multiple: bool = False,
    ) -> Stated:
        lead = self.lead
        sides = [low] if low is high else [low, high]
        unit = high.unit or low.unit
        if self.way and any(side.number.sign for side in sides):
            self.refuse(
                self.start,
                f"a sign or “{self.way_spelt}”, not both",
                f"leave the sign out: {self.text.strip().replace(low.number.sign, '', 1)}",
            )
        return Stated(
            label="",
            form=form,
            low=low.number,
            high=high.number,
            unit=unit,
            hedge=_hedge(lead),
            comparator=_comparator(lead),
            lead=self.spelt,
            number_spans=tuple(side.number_span for side in sides),
            unit_spans=tuple(side.unit_span for side in sides if side.unit_span),
            direction=_direction(self.way.meant, unit) if self.way else 0,
            direction_word=self.way.meant if self.way else "",
            multiple=multiple,
            count=low.count,
            tolerance=tolerance,
            well=bool(lead and lead.well),
            twice=twice,
        )

    def written(self, side: _Side) -> str:
        """A number with its unit, as it stands in the label."""
        return self.text[side.number.start : side.end].strip()

    def plus_minus(self, low: _Side) -> tuple[_Side, Fraction | None, int]:
        """The figure with the unit that may stand behind ± alone, what stands there, and where it ends."""
        sign = _PLUS_MINUS.match(self.text, self.skip(low.end))
        if sign is None:
            return low, None, low.end
        amount = self.side(self.skip(sign.end()))
        number = self.text[low.number.start : low.number.end]
        if amount.number.sign or amount.number.value <= 0:
            self.refuse(amount.number.start, "an amount above 0", "write ± 50", end=amount.end)
        if amount.unit == "%" and low.unit == "%":
            self.refuse(
                sign.start(),
                "one percent sign",
                f"write {number} ± {amount.number.text} %, in percentage points",
                end=amount.end,
            )
        if amount.unit == "%" and low.unit:
            return low, abs(low.number.value) * amount.number.value / 100, amount.end
        if low.unit and amount.unit not in ("", low.unit):
            size = _converted(amount.number.value, amount.unit, low.unit)
            if size is None:
                self.refuse(
                    sign.start(),
                    f"± in a unit like {low.unit}, or in %",
                    f"write {number} ± {amount.number.text} {low.unit}",
                    end=amount.end,
                )
            return low, size, amount.end
        if not low.unit:
            low = replace(low, unit=amount.unit, unit_span=amount.unit_span)
        return low, amount.number.value, amount.end

    # --- two numbers ---

    def joint(self, end: int) -> tuple[str, int] | None:
        """The word or sign before the second number, and where that starts; None if nothing goes on here."""
        at = self.skip(end)
        if long := _LONG_DASH.match(self.text, end):
            first, second = self.text[self.start : end].strip(), self.text[long.end() :].strip()
            self.refuse(long.start(), "a short dash", f"write {first}–{second}", end=long.end())
        joint = (
            _ARROW.match(self.text, at) or _DASH.match(self.text, at) or _JOINING_WORD.match(self.text, at)
        )
        if joint is None:
            return None
        at = self.skip(joint.end())
        number_at = self.skip(at + len(_currency_at(self.text, at)))
        begins = _NUMBER_THERE.match(self.text, number_at) or words.number_at(self.text, number_at)
        if not begins and read(self.text, number_at) is None:
            return None
        return joint[0].lower(), at

    def two(self, low: _Side, joint: str, at: int) -> Stated:
        high = self.side(at)
        if low.currency and not high.unit:
            unit, end = self.priced(low.currency, high.end)
            high = replace(high, unit="" if unit == low.currency else unit, end=end)
        end = self.trail(high.end)
        self.nothing_after(high, end)
        self.one_hedge(low, high)
        if (joint == "and") != (self.lead is not None and self.lead.meant == "and") and joint in (
            "to",
            "and",
        ):
            self.refuse(
                low.end, "between … and …, or from … to …", "write between 400 and 450 hp, or 400–450 hp"
            )
        self.unit_of_both(low, high, joint)
        self.once_for_both(low, high, joint)
        low, high, multiple = self.shares(low, high)
        is_pair = _ARROW.fullmatch(joint) or (self.lead is not None and self.lead.meant == "to")
        falls = low.number.value > high.number.value
        if low.number.value == high.number.value or (falls and not is_pair and joint != "to"):
            first, second = self.text[slice(*low.number_span)], self.text[slice(*high.number_span)]
            unit = self.text[high.number.end : high.end]
            self.refuse(
                low.number.start,
                "a range from low to high",
                f"write {second}–{first}{unit}; of a fall, from {first} to {second}{unit} with “vs”",
            )
        return self.stated(low, high, form="pair" if is_pair or falls else "range", multiple=multiple)

    def shares(self, low: _Side, high: _Side) -> tuple[_Side, _Side, bool]:
        """The ends of “a third to a half more”, or of “two to three times”, which are multiples."""
        if low.is_fraction and high.is_fraction and self.way:
            return self.as_share(low), self.as_share(high), False
        in_words = low.is_fraction and high.is_fraction and high.number.form == "words"
        return low, high, in_words or low.multiple or high.multiple

    def one_hedge(self, low: _Side, high: _Side) -> None:
        if self.lead and self.lead.kind != "range":
            two = self.text[low.number.start : high.end]
            self.refuse(low.number.start, "one number", f"a range says “{self.spelt}” already; write {two}")

    def unit_of_both(self, low: _Side, high: _Side, joint: str) -> None:
        compound = low.number if low.number.parts else high.number
        if compound.parts and not (low.number.parts and high.number.parts) and low.unit != high.unit:
            ends = " to ".join(self.in_both_parts(side, compound) for side in (low, high))
            self.refuse(low.number.start, "both units at both ends", f"write {ends}")
        prefixed = low.currency and (not high.unit or high.unit.startswith(low.currency))
        if low.unit not in ("", high.unit) and not prefixed:
            first, second = (self.text[slice(*side.number_span)] for side in (low, high))
            self.refuse(
                low.number.start,
                "one unit, after the second number or after both",
                f"write {first} {joint} {second} {low.unit}",
            )
        if (low.number.form == "ratio") != (high.number.form == "ratio"):
            self.refuse(low.number.start, "a ratio on both sides, like 3.9:1 to 4.1:1", "")

    def in_both_parts(self, side: _Side, like: WrittenNumber) -> str:
        """A number as it is written in the two units of a compound: 10 ft 0 in."""
        if side.number.parts or like.parts is None:
            return self.written(side)
        large, small = like.parts
        between, behind = self.text[large.end : small.start].strip(), self.text[small.end : like.end].strip()
        return f"{self.text[slice(*side.number_span)]} {between} 0 {behind}"

    def once_for_both(self, low: _Side, high: _Side, joint: str) -> None:
        """Refuse what stands once and may be meant of both ends, or of one."""
        first, second = low.number, high.number
        written, rest = self.text[slice(*low.number_span)], self.text[second.start : high.end]
        if second.form == "scientific" and first.form != "scientific":
            power = second.text[len(second.text.split("×")[0].split("e")[0].rstrip()) :]
            self.refuse(first.start, "the power of ten at both ends", f"write {written}{power} to {rest}")
        if first.sign in ("-", "−") and not second.sign and _DASH.fullmatch(joint):
            size = written.lstrip("-−")
            self.refuse(
                first.start,
                "a sign at both ends",
                f"write −{size} to +{rest}, or, of two that are below 0, −{second.text} to −{size}"
                + self.text[second.end : high.end],
            )

    def bracket(self, low: _Side, at: int, tolerance: Fraction | None) -> Stated:
        """``(was 3,375)`` or ``(177 km/h)`` behind the figure."""
        was = _WAS.match(self.text, at)
        if not was and not _NUMBER_THERE.match(self.text, self.skip(at + 1)):
            self.nothing_after(low, low.end)
        other = self.side(was.end() if was else self.skip(at + 1))
        closed = self.skip(other.end)
        if self.text[closed : closed + 1] != ")":
            self.refuse(closed, "a closing bracket", f"write {self.text[self.start : closed]})")
        end = closed + 1
        if was and not low.unit:
            behind = self.followed(low.number, end)
            low, end = replace(behind, end=low.end), behind.end
        end = self.trail(end)
        self.nothing_after(low, end)
        if not was:
            self.in_both_units(low, other)
            return self.one(low, tolerance, twice=True)
        if other.unit not in ("", low.unit) or tolerance is not None or self.lead:
            self.refuse(at, f"the value before, in {low.unit}", f"write {self.written(low)} (was 3,375)")
        return self.stated(other, low, form="pair")

    def in_both_units(self, low: _Side, other: _Side) -> None:
        """Refuse two values that are not the same, to the digits of both."""
        both = [
            (unit, second)
            for unit in (units.spelt(low.unit) if low.unit else ())
            for second in (units.spelt(other.unit) if other.unit else ())
            if second.dimension == unit.dimension and second != unit
        ]
        if any(_same_value(low.number, unit, other.number, second) for unit, second in both):
            return
        if not both:
            self.refuse(
                other.number.start,
                "the same value in another unit, or “was” and the value before",
                f"write [{self.written(low)}](…) and the rest outside the square brackets",
            )
        unit, second = both[-1] if self.way else both[0]  # 5 °C warmer is a difference
        right = write_number(second.from_si(unit.to_si(float(low.number.value))), other.number.decimals)
        self.refuse(
            other.number.start,
            f"the same value: {self.written(low)} is {right} {other.unit}",
            f"write {self.written(low)} ({right} {other.unit})",
            end=other.end,
        )

    # --- a number with its unit ---

    def side(self, at: int) -> _Side:
        """A number with its unit, and a currency before it."""
        if said := words.number_at(self.text, at):
            return self.side_in_words(at, said)
        if special := self.teeth_at(at) or self.one_of(at):
            return special
        sign_at = at
        signed = self.text[at : at + 1] in SIGNS
        currency_at = at + 1 if signed else at
        currency = _currency_at(self.text, currency_at)
        if currency:
            at = self.skip(currency_at + len(currency))
        else:
            signed = False
        number = read(self.text, at, spaced=True)
        if number is None:
            self.no_number(at)
        if signed:
            if number.sign:
                self.refuse(sign_at, "one sign", "write −£450")
            # The sign of −£450 stands before the currency, where the number does not see it.
            sign = self.text[sign_at]
            value = number.value if sign == "+" else -number.value
            number = replace(number, sign=sign, value=value)
        if currency:
            if thousand := _THOUSAND.match(self.text, number.end):
                self.not_thousand(number, thousand.end(), currency)
            unit, end = self.priced(currency, number.end)
            span = (currency_at, currency_at + len(currency))
            return _Side(number=number, unit=unit, unit_span=span, end=end, currency=currency)
        return self.with_unit(number)

    def with_unit(self, number: WrittenNumber) -> _Side:
        """What follows a number in digits: its unit, “times”, “to 1”, “-ish”, “+”."""
        text, end = self.text, number.end
        if number.unit or number.form == "ratio":
            return _Side(number=number, unit=number.unit, end=end)
        begins_a_pair = self.lead is not None and self.lead.meant == "to"  # “from 2 to 1” is no ratio
        to_one = None if begins_a_pair else _TO_ONE.match(text, end)
        if to_one and number.form in ("integer", "decimal") and number.value > 1:
            written = text[number.start : to_one.end()]
            return _Side(
                number=replace(number, form="ratio", text=written, end=to_one.end()), end=to_one.end()
            )
        if times := _TIMES.match(text, end):
            return _Side(number=number, end=times.end(), multiple=True)
        behind = _ISH.match(text, end) or _PLUS.match(text, end)
        kept = None
        if behind:
            end = behind.end()
            lead = Lead("comparator", "≥") if behind[0] == "+" else Lead("hedge", "about")
            kept = (lead, behind[0])
        if thousand := _THOUSAND.match(text, end):
            self.not_thousand(number, thousand.end())
        return replace(self.followed(number, end), behind=kept)

    def followed(self, number: WrittenNumber, end: int) -> _Side:
        """A number with the unit that follows it, or with none."""
        unit_at = self.skip(end)
        of_a = _OF_A.match(self.text, end)
        if of_a and units.longest_at(self.text, of_a.end()):
            unit_at = of_a.end()
            number = replace(number, end=unit_at - 1)  # “half an” is the number of “half an inch”
        unit_there = None
        if not _JOINING_WORD.match(self.text, unit_at):
            unit_there = units.longest_at(self.text, unit_at)
        if unit_there is None:
            return _Side(number=number, end=end)
        spelling, unit_end = unit_there
        return _Side(number=number, unit=spelling, unit_span=(unit_at, unit_end), end=unit_end)

    def not_thousand(self, number: WrittenNumber, end: int, currency: str = "") -> NoReturn:
        rest = self.text[end:].strip()
        written = [
            f"{currency}{write_number(number.value * 1000, 0, ',')} {rest}".rstrip(),
            f"{currency}{number.text} × 10³ {rest}".rstrip(),
        ]
        self.refuse(number.start, "the number written out", "write " + ", or ".join(written), end=end)

    def side_in_words(self, at: int, said: words.NumberInWords) -> _Side:
        text, end = self.text, said.end
        number = WrittenNumber(
            value=said.value,
            step=Fraction(1, said.below),
            text=text[at:end],
            start=at,
            end=end,
            form="words",
        )
        if said.kind == "multiple":
            return _Side(number=number, end=end, multiple=True)
        if said.kind == "fraction":
            return self.fraction_in_words(number, said.below)
        if times := _TIMES.match(text, end):
            return _Side(number=number, end=times.end(), multiple=True)
        side = self.followed(number, end)
        known = units.spelt(side.unit) if side.unit else ()
        return replace(side, count=not known or known[0].dimension == "count")

    def fraction_in_words(self, number: WrittenNumber, below: int) -> _Side:
        """“Half”, “one sixth of”, “half a second”, “three quarters of an inch”, “one and a half times”."""
        text, end = self.text, number.end
        if times := _TIMES.match(text, end):
            return _Side(
                number=replace(number, rounding=fraction_half(below)), end=times.end(), multiple=True
            )
        if of := _OF.match(text, end):
            return _Side(number=replace(number, rounding=fraction_half(below)), end=of.end(), multiple=True)
        side = self.followed(number, end)
        half = fraction_half(below, length=_is_length(side.unit))
        return replace(side, number=replace(side.number, rounding=half))

    def teeth_at(self, at: int) -> _Side | None:
        """``41:9``, which is 41/9; ``12:30`` is left to the numbers, which refuse it."""
        teeth = _TEETH.match(self.text, at)
        if teeth is None or teeth[2] == "1" or _looks_like_a_time(int(teeth[1]), teeth[2]):
            return None
        above, below = int(teeth[1]), int(teeth[2])
        number = WrittenNumber(
            value=Fraction(above, below),
            step=Fraction(1, below),
            text=teeth[0],
            start=at,
            end=teeth.end(),
            form="fraction",
            teeth=(above, below),
        )
        return _Side(number=number, end=teeth.end())

    def one_of(self, at: int) -> _Side | None:
        """“An inch”, where a unit in words follows."""
        article = _ARTICLE.match(self.text, at)
        there = units.longest_at(self.text, article.end()) if article else None
        if article is None or there is None or len(there[0]) < _SHORTEST_WORD:
            return None
        number = WrittenNumber(
            value=Fraction(1), step=Fraction(1), text=article[1], start=at, end=article.end(1), form="words"
        )
        return _Side(number=number, unit=there[0], unit_span=(article.end(), there[1]), end=there[1])

    def priced(self, currency: str, end: int) -> tuple[str, int]:
        """A currency before the number with what may follow it: ``£12.50/kg``."""
        rest = _PER.match(self.text, end)
        if rest and units.spelt(currency + rest[0].strip()):
            return currency + rest[0].strip(), rest.end()
        for unit in units.spelt(rest[1]) if rest else ():
            if rest and units.spelt(f"{currency}/{unit.symbol}"):
                return f"{currency}/{unit.symbol}", rest.end()
        return currency, end

    # --- what is wrong with the rest ---

    def no_number(self, at: int) -> NoReturn:
        word = _WORD.match(self.text, at)
        rest = self.text[at:].strip()
        if rest.startswith("`") and rest.strip("`"):
            self.refuse(at, "a figure that is no code", f"write {rest.replace('`', '')}, without the `")
        if word and word[0].lower().strip(".") in _UNREAD_NUMBER_WORDS:
            self.refuse(at, "a number in digits", "write numbers in digits: 2, 1/2, 100")
        if self.text[at : at + 1] == "±":
            self.refuse(at, "a figure before ±", "write 5 ± 1 mm")
        if at >= len(self.text):
            self.refuse(at, "a number")
        if apart := _SIGN_APART.match(self.text, at):
            sign = "+" if apart[1][0] == "+" else "−"
            self.refuse(at, "a number with its sign", f"write {sign}{apart[2]}", end=apart.end())
        expected = "a number, or about, nearly, less than, between and the like before it"
        self.refuse(at, expected, self.only_the_figure(at))

    def only_the_figure(self, at: int) -> str:
        """What to write instead of words before a figure, or of words with one that can stand alone."""
        text = self.text
        if number := _NUMBER_THERE.search(text, at):
            outside, inside = text[self.start : number.start()].strip(), text[number.start() :].strip()
            return f"write {excerpt(outside)} [{excerpt(inside)}](…): words stand outside the square brackets"
        for word in _WORD.finditer(text, at):
            if word[0].lower() in directions.WORDS:
                return f"write [{word[0]}](…) and the other words outside the square brackets"
        return ""

    def nothing_after(self, side: _Side, end: int) -> None:
        at = self.skip(end)
        if not self.text[at:].strip().removesuffix("."):
            return
        rest = self.text[at:]
        signed = rest[0] in SIGNS and rest[1:2] in DIGITS
        apostrophe = rest[0] in "'’" and rest[1:2] in DIGITS
        if rest[0] in DIGITS or signed or apostrophe or read(self.text, at) is not None:
            self.refuse(at, "one number", FIGURE_TWO_NUMBERS.mend, code=FIGURE_TWO_NUMBERS)
        if not side.unit and _OTHER_TIMES.match(rest):
            self.refuse(at, "a power of ten, like × 10⁻³", f"write {side.number.text} × 10³, or 1.2e3")
        figure = self.text[self.start : end].strip()
        if side.unit or side.number.form in ("ratio", "words") or side.multiple or self.way:
            self.refuse(at, f"nothing after “{self.written(side)}”", self.apart(figure, rest.strip()))
        self.unknown_unit(at)

    def apart(self, figure: str, rest: str) -> str:
        """What to write instead of a figure with words behind it, or with a second figure."""
        second = _NUMBER_THERE.search(rest)
        if second is None:
            return f"write [{figure}](…) {excerpt(rest)}: words stand outside the square brackets"
        between = rest[: second.start()].strip()
        further = excerpt(rest[second.start() :])
        between = f" {excerpt(between)}" if between[:1].isalnum() else excerpt(between)
        return f"write [{figure}](…){between} [{further}](…), each with its address"

    def unknown_unit(self, at: int) -> NoReturn:
        rest = self.text[at:]
        word = rest.split()[0]
        if (word.lower() in _JOINING_WORDS or word[0] in ",;") and _NUMBER_THERE.search(rest):
            apart = self.apart(self.text[self.start : at].strip(), rest.strip())
            self.refuse(at, "one number", apart, code=FIGURE_TWO_NUMBERS)
        spelling = word
        if len(rest) <= units.LONGEST_SPELLING:
            spelling = rest.strip()  # a unit may be of several words
        try:
            units.find(spelling)
        except Refused as unknown:
            near = f"{unknown.help}; a word that is no unit belongs outside the square brackets"
        else:
            near = ""  # a unit that something runs into
        self.refuse(
            at,
            "a unit of the list, or nothing",
            near or FIGURE_UNREADABLE.mend,
            end=at + len(word),
            code=units.UNKNOWN_UNIT,
        )


def _same_value(number: WrittenNumber, unit: Unit, other: WrittenNumber, second: Unit) -> bool:
    """Whether two numbers in two units may be roundings of one value."""
    is_length = unit.dimension == "length"
    there = exact(unit.from_si(second.to_si(float(other.value))))
    half = float(other.half(length=is_length))
    reach = number.half(length=is_length) + exact(unit.from_si_difference(second.to_si_difference(half)))
    return abs(there - number.value) <= reach * _NOISE


def _hedge(lead: Lead | None) -> Hedge | None:
    return cast(Hedge, lead.meant) if lead and lead.kind == "hedge" else None


def _comparator(lead: Lead | None) -> Comparator | None:
    return cast(Comparator, lead.meant) if lead and lead.kind == "comparator" else None


def _direction(word: str, unit: str) -> int:
    """What a word of direction says of every quantity that the unit may measure, or 0."""
    dimensions = {known.dimension for known in units.spelt(unit)} if unit else {""}
    senses = {directions.sense(word, dimension) for dimension in dimensions}
    return senses.pop() if len(senses) == 1 else 0
