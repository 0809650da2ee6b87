"""Figures in words: numbers with a unit (``half a second``) and multiples (``twice as fast``).

Both say how much as plainly as digits do. What tells them from ways of speaking is what follows: a unit of
measure, or something that a quantity is compared with. Counts (``four of six``), turns, gears, ordinals and
times to wait are none, and neither is ``half the garage``. Words of direction stay outside, as hedges do: in
``a third more`` the figure is ``a third``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from buildlog.figures.directions import WORDS as DIRECTIONS
from buildlog.proof.nominal_sizes import is_nominal
from buildlog.proof.written_units import NumberThere, Units, UnitThere

_SMALL = (
    "two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_LARGE = "hundred|thousand|million"
_ONE = rf"(?:one|{'|'.join(_SMALL)}|(?:{'|'.join(_TENS)})(?:[ -](?:one|{'|'.join(_SMALL[:8])}))?)"
_AND_PART = "(?: and (?:a half|a third|a quarter|three quarters))?"
_HUNDREDS = rf"(?:an? |{_ONE}[ -])(?:{_LARGE})(?:[ -](?:{_LARGE}))?(?: (?:and )?{_ONE}(?![\w-]))?"
_WHOLE = f"(?:{_HUNDREDS}|{_ONE}){_AND_PART}"
_PARTS = "halves|thirds?|quarters?|fourths?|fifths?|sixths?|sevenths?|eighths?|ninths?|tenths?|hundredths?"
_FEW = f"(?:an?|one|{'|'.join(_SMALL[:8])})"
_FRACTION = rf"(?:half|{_FEW}[ -](?:half|{_PARTS}))"

_NUMBER = re.compile(
    rf"(?<![\w'’/-])(?:(?P<fraction>{_FRACTION})|(?P<multiple>twice|thrice|double|treble|triple|quadruple)"
    rf"|(?P<whole>(?:between |minus |plus )?{_WHOLE}(?:(?: (?:to|and|or) |[–-]){_WHOLE})?)"
    r"|(?P<article>an?))(?!\w)",
    re.IGNORECASE,
)
_DIGITS_TIMES = re.compile(r"[ \u00a0]times\b|[ \u00a0]?[x×](?![\w.×])")
_TIMES = re.compile(r"[ -]times\b", re.IGNORECASE)
_OF_A = re.compile(r"(?: of)? (?:an?|one) ", re.IGNORECASE)

# What a multiple is a multiple of.
_COMPARED = re.compile(
    r" (?:(?:as|what|that|its|his|her|their|our|my|your|the)(?![\w-])|[a-z]+['’]s(?![\w-]))", re.IGNORECASE
)
_COMPARATIVE = re.compile(
    rf" (?:{'|'.join(sorted({*DIRECTIONS, 'better', 'worse', 'stiffer', 'again'}))})(?![\w-])", re.IGNORECASE
)
_AS_MUCH = re.compile(
    r" as (?:[a-z]+ly )?[a-z]+(?![\w-])| what (?:it|was|we|the)\b| that (?:of|much)\b", re.IGNORECASE
)
_SHARE = re.compile(
    r"(?: of)? (?:what (?:it|was|we|the|is)\b|that of\b"
    r"|(?:the|its|his|their|our|my|your|this|that|[a-z]+['’]s)"
    r" (?P<said>(?:[a-z'’-]{2,14} ){0,3}[a-z]{3,14})(?![\w-]))",
    re.IGNORECASE,
)
_ENDS = re.compile(r"[ ]?(?:$|[.,;:)—–])")
_BY = re.compile(r"(?<!\w)(?:by|to) $", re.IGNORECASE)
_TOO = re.compile(r"\b(?:too|over)\w*,? (?:\w+ )?by $", re.IGNORECASE)
_AND_INCHES = re.compile(rf" {_ONE}(?![\w-])", re.IGNORECASE)
_IS = re.compile(
    r"(?<!\w)(?:is|was|are|were|to|than|by|nearly|almost|about|roughly|just|only) $", re.IGNORECASE
)
_SURE = re.compile(r" (?:sure|certain|sold|behind|done|of the time)\b", re.IGNORECASE)

# What is measured, computed or paid for, and so can be a part or a multiple of another of its kind.
_QUANTITIES = frozenset(
    """
    mass weight torque power drag lift downforce speed load loads force pressure flow volume capacity area
    length width height depth thickness stiffness rate inertia energy heat temperature loss losses friction
    drop diameter radius gap travel angle ratio deflection bending stress strain strength consumption price
    cost boost vibration stroke displacement output acceleration grip current voltage resistance size distance
    difference charge air area gain gains clearance play bore momentum amount value limit rise increase saving
    savings work effort tension preload slip play runout wear error mileage thrust backlash torsion leverage
    """.split()
)
_OF_QUANTITIES = frozenset(
    """
    whole full old new standard stock usual entire sprung unsprung static peak maximum minimum mean average
    kerb dry wet gross net highest lowest greatest least first last previous same present same front rear side
    engine wheel axle brake spring fuel clamp oil water air heat rod valve shaft belt tyre body cylinder pump
    bearing lateral
    """.split()
)
"""What may stand before a quantity and say which one."""
_NO_SIZE = frozenset(
    "turn turns rev revolution revolutions mole moles min mins minute minutes hour hours hrs day days".split()
)
_SECONDS = frozenset("second seconds".split())
_FEET = frozenset(("foot", "feet"))
_NOT_ONE = frozenset("foot feet pound yard mile stone second".split())
_SHORT = frozenset("mm cm km kg cc hp kW Nm kN °C °F %".split())


def figures_in_words(text: str, nominal_nouns: frozenset[str] = frozenset()) -> Iterator[tuple[int, int]]:
    """Where figures in words stand, from left to right."""
    reader = Units(text, nominal_nouns)
    done = 0
    for number in _NUMBER.finditer(text):
        if number.start() < done:
            continue
        end = _end_of_figure(text, number, reader)
        if end:
            done = end
            yield number.start(), end


def multiple_after(text: str, end: int) -> int:
    """Where a multiple ends whose digits end at `end` (``2.1 times as stiff``, ``2× the flow``), or 0."""
    times = _DIGITS_TIMES.match(text, end)
    return times.end() if times and _is_compared(text, times.end()) else 0


def _end_of_figure(text: str, number: re.Match[str], reader: Units) -> int:
    """Where the figure ends that begins with this number in words, or 0 where it is none."""
    end = number.end()
    if number["article"]:
        return _end_of_step(text, end, reader)
    if number["multiple"]:
        return end if _is_multiple(text, number) else 0
    if number["fraction"]:
        of_a = _OF_A.match(text, end)
        unit = _unit(text, of_a.end() - 1, reader) if of_a else None
        if unit:
            return unit.end
        return end if _is_share(text, number) else 0
    times = _TIMES.match(text, end)
    if times:
        return times.end() if _is_compared(text, times.end()) else 0
    unit = _unit(text, end, reader)
    if unit is None or not _is_measured(text, number, unit, reader):
        return 0
    inches = _AND_INCHES.match(text, unit.end) if unit.spelling in _FEET else None
    return inches.end() if inches else unit.end  # six foot two


def _end_of_step(text: str, end: int, reader: Units) -> int:
    """``an inch lower``, ``a degree cooler``: an article is a one only where a comparison follows."""
    unit = _unit(text, end, reader)
    return unit.end if unit and _COMPARATIVE.match(text, unit.end) else 0


def _unit(text: str, end: int, reader: Units) -> UnitThere | None:
    """The unit of measure after a number in words. Signs of one or two letters are mostly words there."""
    unit = reader.after(NumberThere(start=end, end=end, value=Fraction(2), form="words"))
    if unit is None or unit.spelling in _NO_SIZE:
        return None
    return unit if len(unit.spelling) > 2 or unit.spelling in _SHORT else None


def _is_measured(text: str, number: re.Match[str], unit: UnitThere, reader: Units) -> bool:
    """Whether a number in words and its unit are a size, and neither a name nor a way of speaking."""
    if unit.spelling in _SECONDS:
        return bool(_COMPARATIVE.match(text, unit.end))  # hold it for two seconds
    if number.group().casefold() == "one" and unit.spelling in _NOT_ONE:
        return False
    if _SURE.match(text, unit.end):
        return False
    return unit.is_plural or not is_nominal(text, unit.end, unit.dimensions, reader.nouns)


def _is_multiple(text: str, number: re.Match[str]) -> bool:
    """``twice as fast``, ``double the torque``; not ``double valve springs`` or ``measure it twice``."""
    if _COMPARED.match(text, number.end()):
        return True
    before = text[max(0, number.start() - 12) : number.start()]
    return number.group().casefold() != "twice" and bool(
        _ENDS.match(text, number.end()) and _IS.search(before)
    )


def _is_compared(text: str, end: int) -> bool:
    """Whether what follows ``three times`` is what something is compared with."""
    return bool(_COMPARED.match(text, end) or _COMPARATIVE.match(text, end))


def is_share_after(text: str, end: int) -> bool:
    """Whether a fraction that ends at `end` is one of a quantity: ``half the mass``, ``1/3 more``."""
    if _COMPARATIVE.match(text, end) or _AS_MUCH.match(text, end):
        return True
    share = _SHARE.match(text, end)
    return share is not None and (share["said"] is None or _is_quantity(share["said"]))


def _is_quantity(said: str) -> bool:
    """Whether the first noun of these words is a quantity: ``total mass``, ``old clamping force``."""
    for word in said.casefold().split():
        if word in _QUANTITIES:
            return True
        if word not in _OF_QUANTITIES and not word.endswith(("ing", "al", "'s", "’s")):
            return False
    return False


def _is_share(text: str, number: re.Match[str]) -> bool:
    """Whether a fraction in words is one of a quantity, or what something was cut by."""
    if is_share_after(text, number.end()):
        return True
    before = text[max(0, number.start() - 24) : number.start()]
    return bool(_ENDS.match(text, number.end()) and _BY.search(before) and not _TOO.search(before))
