"""The figure grammar: what a figure in the prose states.

A label is an optional lead, one number or two, and one unit from the list::

    label      = [lead] number [unit]
               | number [unit] dash-or-"to" number unit      a range
               | "between" number "and" number unit
               | "from" number "to" number unit
    lead       = hedge | comparator

Hedges: *about* (also around, roughly, approximately, some, circa, ~, ≈), *nearly* (almost, just
under, a little under …), *just over* (a little over, slightly over …). Comparators: less than,
under, below, at most, up to, no more than, more than, over, above, at least, no less than, <, ≤, >, ≥.
Numbers are those of `buildlog.figures.numbers`. A currency may stand before its number. Emphasis,
backslash escapes and entities are looked through. Words that are none of these are refused: they
belong outside the square brackets. A hedge, a comparator and a range exclude each other.

A plain integer is taken as written: ``400`` states the whole number, so its half unit is 0.5. Who
means "some 400" writes so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, NoReturn

from buildlog.diagnostics import Code, Refused, declare
from buildlog.figures import units
from buildlog.figures.labels import plain, write_like
from buildlog.figures.numbers import DIGITS, SIGNS, Unreadable, WrittenNumber, excerpt, read

LONGEST_LABEL = 300  # Markdown and entities too; no figure comes near it

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
    example="[8 200 rpm](calc:final.rpm.3)",
)

FigureForm = Literal["plain", "range", "comparison"]
Hedge = Literal["about", "nearly", "just over"]
Comparator = Literal["<", "≤", ">", "≥"]
Lead = (
    tuple[Literal["hedge"], Hedge] | tuple[Literal["comparator"], Comparator] | tuple[Literal["range"], str]
)


@dataclass(frozen=True, kw_only=True)
class Stated:
    """What a label states. `low` and `high` are the same number unless the form is "range".

    `unit` is the spelling, "" where the label has none; a ratio (``4.56:1``) has none. The spans say
    where in the label (Markdown and all) the numbers and units are written, in the order written.
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

    @property
    def signed(self) -> bool:
        """Whether a sign is written: only then does the direction of a change count."""
        return bool(self.low.sign or self.high.sign)

    @property
    def teeth(self) -> tuple[int, int] | None:
        """The two integers of a plain fraction without a unit; tooth counts where it states a ratio."""
        if self.unit or self.form == "range":
            return None
        return self.low.teeth

    @property
    def half_unit(self) -> Fraction:
        """Half a unit of the last digit written, in the stated unit; of a fraction, half of 1/denominator."""
        return self.low.half_step


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
    seen = plain(label)
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
    nearly, just over, tooth counts, and a sign that stands before a currency and would have to change.
    """
    number = stated.low
    if stated.form != "plain" or stated.hedge in ("nearly", "just over") or stated.teeth:
        return None
    written = write_like(number, value)
    if number.sign and number.sign not in number.text:
        if (value < 0) != (number.sign != "+"):
            return None
        written = written.lstrip("".join(SIGNS))
    start, end = stated.number_spans[0]
    return stated.label[:start] + written + stated.label[end:]


# --- words ---------------------------------------------------------------------------

_PHRASES: dict[str, Lead] = {
    **dict.fromkeys(("less than", "fewer than", "under", "below"), ("comparator", "<")),
    **dict.fromkeys(("at most", "up to", "no more than", "not more than", "not over"), ("comparator", "≤")),
    **dict.fromkeys(("more than", "greater than", "over", "above"), ("comparator", ">")),
    **dict.fromkeys(
        ("at least", "no less than", "not less than", "no fewer than", "not under"), ("comparator", "≥")
    ),
    **dict.fromkeys(("about", "around", "roughly", "approximately", "approx", "approx."), ("hedge", "about")),
    **dict.fromkeys(("some", "circa", "c.", "ca.", "ca"), ("hedge", "about")),
    **dict.fromkeys(("nearly", "almost"), ("hedge", "nearly")),
    "between": ("range", "and"),
    "from": ("range", "to"),
}
for _degree in ("just", "slightly", "a little", "a bit", "a shade", "a touch"):
    for _word in ("under", "below", "less than", "short of"):
        _PHRASES[f"{_degree} {_word}"] = ("hedge", "nearly")
    for _word in ("over", "above", "more than"):
        _PHRASES[f"{_degree} {_word}"] = ("hedge", "just over")
_SIGNS: dict[str, Lead] = {
    "<=": ("comparator", "≤"),
    ">=": ("comparator", "≥"),
    "≤": ("comparator", "≤"),
    "≥": ("comparator", "≥"),
    "<": ("comparator", "<"),
    ">": ("comparator", ">"),
    "~": ("hedge", "about"),
    "≈": ("hedge", "about"),
    "∼": ("hedge", "about"),
}
_MOST_WORDS = max(len(phrase.split()) for phrase in _PHRASES)
_NUMBER_WORDS = frozenset(
    "half quarter third one two three four five six seven eight nine ten eleven twelve dozen hundred "
    "thousand twice thrice double zero nil".split()
)
_WORD = re.compile(r"[A-Za-z]+\.?")
_DASH = re.compile("[-‐‑‒–−]")
_JOINING_WORD = re.compile(r"(to|and)\b", re.IGNORECASE)
_CURRENCY = re.compile(r"[A-Z]{0,3}[£€$¥]|[^\W\d_]{2,3}\.?(?=\s)")
_PER = re.compile(r" ?(?:/|per )([A-Za-z]{1,12})")
_SIGN_APART = re.compile("([-+−]\\s+|[–—‒‐‑]\\s*)([0-9][0-9.,]*)")
_OTHER_TIMES = re.compile(r"[x·⋅*]\s?10\b|[x·⋅*]\s?10[\^⁰¹²³⁴⁵⁶⁷⁸⁹⁻]")


def _currency_at(text: str, at: int) -> str:
    """A currency written before its number, or ""."""
    currency = _CURRENCY.match(text, at)
    if currency and any(unit.dimension.startswith("money") for unit in units.spelt(currency[0])):
        return currency[0]
    return ""


@dataclass(frozen=True)
class _Side:
    """One number with what is written round it."""

    number: WrittenNumber
    unit: str
    unit_span: tuple[int, int] | None
    end: int


class _Reader:
    """Reads one label, left to right, without going back."""

    def __init__(self, text: str) -> None:
        self.text = text

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
        start = self.skip(0)
        lead, at = self.lead(start)
        spelt = self.text[start:at]
        at = self.skip(at)
        if lead and (second := self.lead(at)[0]):
            self.refuse(start, f"one of “{spelt}” and “{second[1]}”", "drop one of the two")
        low = self.side(at)
        joined = self.joint(low.end)
        if lead and lead[0] == "range" and joined is None:
            self.refuse(low.end, f"“{lead[1]}” and a second number", f"write {spelt} 400 {lead[1]} 450 hp")
        if joined is not None:
            return self.range(lead, spelt, low, joined)
        self.nothing_after(low)
        if lead and lead[0] == "hedge" and lead[1] != "about" and low.number.value == 0:
            self.refuse(start, "a number other than 0", f"“{spelt} 0” has no size; write about 0, or a limit")
        return Stated(
            label="",
            form="comparison" if lead and lead[0] == "comparator" else "plain",
            low=low.number,
            high=low.number,
            unit=low.unit,
            hedge=lead[1] if lead and lead[0] == "hedge" else None,
            comparator=lead[1] if lead and lead[0] == "comparator" else None,
            lead=spelt,
            number_spans=((low.number.start, low.number.end),),
            unit_spans=(low.unit_span,) if low.unit_span else (),
        )

    def range(self, lead: Lead | None, spelt: str, low: _Side, joined: int) -> Stated:
        if lead and lead[0] != "range":
            self.refuse(low.number.start, "one number", f"a range says it already; leave out “{spelt}”")
        word = self.text[low.end : joined].strip().lower()
        if (word == "and") != (lead == ("range", "and")) and word in ("to", "and"):
            self.refuse(
                low.end, "between … and …, or from … to …", "write between 400 and 450 hp, or 400–450 hp"
            )
        high = self.side(joined)
        self.nothing_after(high)
        if low.unit not in ("", high.unit):
            prefixed = low.unit_span is not None and low.unit_span[0] < low.number.start
            if not (prefixed and not high.unit):
                self.refuse(low.number.start, "one unit, after the second number or after both")
        if (low.number.form == "ratio") != (high.number.form == "ratio"):
            self.refuse(low.number.start, "a ratio on both sides, like 3.9:1 to 4.1:1", "")
        if low.number.value >= high.number.value:
            if word == "to" and high.number.text == "1" and not high.unit:
                self.refuse(low.number.start, "a ratio, like 4.56:1", f"write {low.number.text}:1")
            self.refuse(low.number.start, "a range from low to high", "put the smaller number first")
        return Stated(
            label="",
            form="range",
            low=low.number,
            high=high.number,
            unit=high.unit or low.unit,
            lead=spelt,
            number_spans=tuple((side.number.start, side.number.end) for side in (low, high)),
            unit_spans=tuple(side.unit_span for side in (low, high) if side.unit_span),
        )

    def lead(self, at: int) -> tuple[Lead | None, int]:
        """The longest lead at `at`, and where it ends."""
        for sign, meant in _SIGNS.items():
            if self.text.startswith(sign, at):
                return meant, at + len(sign)
        words: list[str] = []
        best: tuple[Lead | None, int] = (None, at)
        while len(words) < _MOST_WORDS and (word := _WORD.match(self.text, at)):
            words.append(word[0].lower())
            if longer := _PHRASES.get(" ".join(words)):
                best = (longer, word.end())
            at = self.skip(word.end())
        return best

    def joint(self, end: int) -> int | None:
        """Where the second number of a range starts, or None if no range goes on here."""
        at = self.skip(end)
        joint = _DASH.match(self.text, at) or _JOINING_WORD.match(self.text, at)
        if joint is None:
            return None
        at = self.skip(joint.end())
        number_at = self.skip(at + len(_currency_at(self.text, at)))
        begins = self.text[number_at : number_at + 1]
        if begins in DIGITS or begins in SIGNS or (begins and read(self.text, number_at) is not None):
            return at
        return None

    def side(self, at: int) -> _Side:
        """A number with its unit, and a currency before it."""
        sign_at = at
        signed = self.text[at : at + 1] in SIGNS
        currency_at = at + 1 if signed else at
        currency = _currency_at(self.text, currency_at)
        if currency:
            at = self.skip(currency_at + len(currency))
        else:
            signed = False
        number = read(self.text, at)
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
            unit, end = self.priced(currency, number.end)
            return _Side(number, unit, (currency_at, currency_at + len(currency)), end)
        if number.unit or number.form == "ratio":
            return _Side(number, number.unit, None, number.end)
        unit_at = self.skip(number.end)
        if _JOINING_WORD.match(self.text, unit_at):
            return _Side(number, "", None, number.end)
        unit_there = units.longest_at(self.text, unit_at)
        if unit_there is None:
            return _Side(number, "", None, number.end)
        spelling, unit_end = unit_there
        return _Side(number, spelling, (unit_at, unit_end), unit_end)

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
        if word and word[0].lower().strip(".") in _NUMBER_WORDS:
            self.refuse(at, "a number in digits", "write numbers in digits: 2, 1/2, 12")
        if self.text[at : at + 1] == "±":
            self.refuse(at, "a figure without ±", 'a tolerance goes into the title: (calc:… "± 2 %")')
        if at >= len(self.text):
            self.refuse(at, "a number")
        if apart := _SIGN_APART.match(self.text, at):
            sign = "+" if apart[1][0] == "+" else "−"
            self.refuse(at, "a number with its sign", f"write {sign}{apart[2]}", end=apart.end())
        self.refuse(at, "a number, or about, nearly, less than, between and the like before it")

    def nothing_after(self, side: _Side) -> None:
        at = self.skip(side.end)
        if at >= len(self.text):
            return
        rest = self.text[at:]
        signed = rest[0] in SIGNS and rest[1:2] in DIGITS
        apostrophe = rest[0] in "'’" and rest[1:2] in DIGITS
        if rest[0] in DIGITS or signed or apostrophe or read(self.text, at) is not None:
            self.refuse(at, "one number", FIGURE_TWO_NUMBERS.mend, code=FIGURE_TWO_NUMBERS)
        if rest[0] == "±" or rest.startswith(("+-", "+/-")):
            self.refuse(at, "a figure without ±", 'a tolerance goes into the title: (calc:… "± 2 %")')
        if not side.unit and _OTHER_TIMES.match(rest):
            self.refuse(at, "a power of ten, like × 10⁻³", f"write {side.number.text} × 10³, or 1.2e3")
        if side.unit or side.number.form == "ratio":
            self.refuse(at, f"nothing after “{self.text[side.number.start : side.end]}”")
        word = rest.split()[0]
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
