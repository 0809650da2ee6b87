"""The unit that follows a number in running text, and whether what looks like one is one there.

Units are those of the list (`figures.units`), and such as the list refuses but an author means: ``psig``,
``gallons``, ``KW``, ``16 ft. lbs.``, and German words for them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from buildlog.figures import units
from buildlog.proof.nominal_sizes import is_nominal
from buildlog.reading.markdown.page import MASK

_BLANK = "[ \u00a0\u202f\u2009]"
_PER_ANYTHING = re.compile(r"([A-Za-zµ°%€£$]{1,8})/([A-Za-z]{1,8})(?![A-Za-z0-9])")
EVENTS = frozenset("day week month year lap run corner side wheel axle pair set event cylinder tooth".split())
"""What a price or a rate may be for, besides units."""
_REFUSED = re.compile(
    r"(?:psi ?[ga]|bar ?\(?[ga]\)?|kPa ?\(?[ga]\)?|mpg|gal(?:lon)?s?(?:/min|/h)?|quarts?|qts?|pints?|wtq"
    r"|percentage points?"
    r"|fl\.? ?oz|fluid ounces?|gpm|gph|tons?|k?cal|[sa]cfm|CV|dB(?:\([CBZ]\)|[CBZ])?|nautical miles?|ci"
    r"|Prozent(?:punkte)?|Grad(?: Celsius)?|Sekunden?|Millimetern?|Zentimetern?|Kilo(?:gramm|metern?)?"
    r"|Gramm|Newtonmetern?|U/min|Litern?"
    r"|[CF]|o[CF]|(?:ft|foot|feet|in|inch)[. -]{1,2}(?:lbf?s?|pounds?))(?![\w-])"
)
_PER_THOUSAND = re.compile(
    rf" ?(?:/|per) ?(?:1,000|1{_BLANK}000|(?:a |one )?thousand) ?(?:rpm|revs)(?![\w-])"
)
_REFUSED_DIMENSIONS = {"ton": ("mass",), "tons": ("mass",)}
_BEGIN_REFUSED = frozenset("psi bar kPa ft ft. foot feet in in. inch dB".split())
_ANY_CASE = re.compile(r"[A-Za-z]{2,20}(?:/[A-Za-z]{1,4})?(?![\w/])")
_NO_UNIT_IN_CAPITALS = frozenset("in us ch cv".split())
_VOLTS_OR_WATTS = re.compile(r"[vw](?![\w'’-])")
_GLUED = re.compile(r"([A-Za-z\"″”]{1,4})(?=[x×][0-9])")
_TORQUE = re.compile(r" in(?=\s*(?:$|[.,;:)|]))")

_AFTER_HYPHEN = re.compile(r"[-‐‑](?:long|wide|thick|deep|high|tall|diameter|dia|square)\b")
_PART_NUMBER = re.compile(r"[-/][0-9]++(?![.]?[0-9]*+ ?[A-Za-z°%])")
_OIL = re.compile(r"[-/ ]?[0-9]")
_RIM = re.compile(" ?[x×]")
_FOOT = re.compile(rf"{_BLANK}(?:of|long|wide|high|tall|by|x|×)\b")
_WORD = re.compile(rf"{_BLANK}{{0,2}}([^\W_][\w'’]*|.|$)")
# The words after "in" by which it is the inch; after any other it is taken for the preposition.
_AFTER_INCH = frozenset(
    """
    long wide thick deep high tall square diameter dia bore od id of from below above by to at and or x is
    was on away apart out longer shorter lower higher wider narrower thinner thicker deeper bigger smaller
    clear proud between across over under per off behind ahead with for but less more short too forward back
    inboard outboard up down inside outside stroke
    """.split()
)
_NOT_AFTER_FRACTION = frozenset("the a an all this that each".split())


@dataclass(frozen=True, kw_only=True)
class NumberThere:
    """A number of the text. `value` is None where the grammar refuses it."""

    start: int
    end: int
    value: Fraction | None = None
    form: str = ""
    unit: str = ""


@dataclass(frozen=True)
class UnitThere:
    """A unit of the text, with what it may be a unit of: nothing where the list does not have it."""

    spelling: str
    start: int
    end: int
    dimensions: tuple[str, ...] = ()

    @property
    def is_plural(self) -> bool:
        """Whether it is a word in the plural: litres, degrees, feet."""
        word = self.spelling
        return word == "feet" or (len(word) > 3 and word.isalpha() and word.endswith("s"))


@units.forgotten_with_units
@cache
def _in_any_case() -> dict[str, str]:
    """Spellings of words and symbols of more than one letter, by what they are in small letters."""
    folded: dict[str, str] = {}
    for unit in units.UNITS:
        for spelling in unit.spellings:
            if len(spelling) > 1 and spelling.replace("/", "").isalpha():
                folded.setdefault(spelling.casefold(), spelling)
    return {small: spelling for small, spelling in folded.items() if small not in _NO_UNIT_IN_CAPITALS}


@units.forgotten_with_units
@lru_cache(maxsize=1000)
def _dimensions(spelling: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(unit.dimension for unit in units.spelt(spelling)))


def is_counted(word: str) -> bool:
    """Whether a price or a rate may be for this: a unit, or what comes round again."""
    return word in EVENTS or bool(units.spelt(word))


def _is_surely_a_unit(spelling: str) -> bool:
    """Whether it is a unit whatever it is for: in ``5 kg/box``, but not in ``4 in/out`` or ``3 V/X``."""
    return len(spelling) > 1 and spelling not in ("in", "at", "us")


class Units:
    """Reads the units of one text. Text before what was read last is not looked at again."""

    def __init__(self, text: str, nominal_nouns: frozenset[str]) -> None:
        self.text = text
        self.nouns = nominal_nouns
        self.quotes = 0
        self.quotes_counted = 0

    def after(self, number: NumberThere) -> UnitThere | None:
        """The unit that follows a number, after a space or a hyphen, or None."""
        text, at = self.text, number.end
        while at < min(len(text), number.end + 3) and text[at].isspace():
            at += 1
        if at == number.end and text[at : at + 1] in ("-", "‐", "‑") and text[at + 1 : at + 2].isalpha():
            at += 1
        if text[at : at + 1] == "/" and number.form != "scientific":
            return None
        found = units.longest_at(text, at)
        refused = _REFUSED.match(text, at) if found is None or found[0] in _BEGIN_REFUSED else None
        if refused and (found is None or found[1] < refused.end()):
            return UnitThere(refused[0], at, refused.end(), _REFUSED_DIMENSIONS.get(refused[0], ()))
        if found is None:
            return self.off_the_list(number, at)
        unit = UnitThere(found[0], at, found[1], _dimensions(found[0]))
        if unit.dimensions == ("count",) or not self.is_unit(unit, number):
            return None
        per_thousand = _PER_THOUSAND.match(text, unit.end) if unit.dimensions[:1] == ("speed",) else None
        if per_thousand:  # 18 mph per 1,000 rpm
            return UnitThere(text[at : per_thousand.end()], at, per_thousand.end())
        torque = _TORQUE.match(text, unit.end) if unit.spelling in ("lb", "lbs", "lbf", "oz") else None
        if torque:  # 13 lb in
            return UnitThere(text[at : torque.end()], at, torque.end(), ("torque",))
        return unit

    def off_the_list(self, number: NumberThere, at: int) -> UnitThere | None:
        """What an author means for a unit, though the list does not have it."""
        text = self.text
        per = _PER_ANYTHING.match(text, at)
        if per and units.spelt(per[1]) and (is_counted(per[2]) or _is_surely_a_unit(per[1])):
            return UnitThere(per[0], at, per.end())
        glued = _GLUED.match(text, at)
        if glued and units.spelt(glued[1]):  # 25mmx10mm
            return UnitThere(glued[1], at, glued.end(), _dimensions(glued[1]))
        word = _ANY_CASE.match(text, at)
        spelling = _in_any_case().get(word[0].casefold()) if word else None
        if word and spelling and _dimensions(spelling) != ("count",):
            return UnitThere(word[0], at, word.end(), _dimensions(spelling))
        if at == number.end and _VOLTS_OR_WATTS.match(text, at) and number.value is not None:
            whole = number.value.denominator == 1
            if text[at] == "w" or not whole or number.value == 12:  # but a 16v head has valves
                return UnitThere(text[at], at, at + 1, ("power" if text[at] == "w" else "voltage",))
        return None

    # --- traps ---

    def is_unit(self, unit: UnitThere, number: NumberThere) -> bool:
        """Whether what reads as a unit of the list is one here."""
        text, spelling, end = self.text, unit.spelling, unit.end
        close = unit.start == number.end
        if spelling in ("in", "in."):
            return self.is_inch(unit, number)
        if spelling in ('"', "”", "'", "’"):
            return close and self.is_mark(unit)
        if len(spelling) == 1 and spelling.isalpha():
            after = text[end : end + 2]
            if after[:1] in ("-", "‐", "‑") and after[1:].isalpha() and not _AFTER_HYPHEN.match(text, end):
                return False  # 2 G-clamps
            if close and _PART_NUMBER.match(text, end):
                return False  # 1K-40-22
        whole = number.value is not None and number.value.denominator == 1
        if spelling == "W":
            return not _OIL.match(text, end)
        if spelling == "J":
            return not _RIM.match(text, end)
        if spelling == "s" and close and whole and number.value is not None:
            return number.value % 10 != 0  # the 1970s
        if spelling == "bars":
            return not whole  # 2 bars of steel
        return True

    def is_mark(self, unit: UnitThere) -> bool:
        """Whether a quotation mark or apostrophe stands for inches or feet."""
        if unit.spelling in ("'", "’"):
            return bool(_FOOT.match(self.text, unit.end))
        self.count_quotes(unit.start)
        if self.quotes % 2:
            return False  # it closes a quotation
        self.quotes_counted = unit.end
        return True

    def count_quotes(self, until: int) -> None:
        """Counts the quotation marks up to `until`, but for those that mark inches."""
        for mark in '"“”':
            self.quotes += self.text.count(mark, self.quotes_counted, until)
        self.quotes_counted = max(self.quotes_counted, until)

    def past(self, start: int, end: int) -> None:
        """A figure stands from `start` to `end`: no quotation mark in it opens or closes anything."""
        self.count_quotes(start)
        self.quotes_counted = max(self.quotes_counted, end)

    def is_inch(self, unit: UnitThere, number: NumberThere) -> bool:
        """Whether "in" is the inch, and not the preposition."""
        text, end = self.text, unit.end
        if text[end : end + 1] == "-":
            return bool(_AFTER_HYPHEN.match(text, end))
        if not text[unit.start - 1].isspace():  # 3in, 3-in
            return True
        following = _WORD.match(text, end)
        word = following[1] if following else ""
        if word == MASK and text[end].isspace():  # Python 3.9 in `tox.ini`
            return number.form in ("fraction", "mixed")
        if not word[:1].isalnum() or (unit.spelling == "in." and word[:1].isupper()):
            return True
        if word.casefold() in _AFTER_INCH or is_nominal(text, end, ("length",), self.nouns):
            return True
        is_fraction = number.form in ("fraction", "mixed")
        return is_fraction and not word[0].isdigit() and word.casefold() not in _NOT_AFTER_FRACTION
