"""A figure's label, read and written.

Read: without its Markdown (emphasis, backslash escapes, entities), offsets kept. Written: an empty
label filled in, a number put into the form that another one was written in.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from html import unescape

from buildlog.diagnostics import OutOfRange
from buildlog.figures.money import coin_decimals
from buildlog.figures.numbers import (
    COMPOUNDS,
    MINUS,
    NARROW_SPACE,
    NO_BREAK_SPACE,
    SIGNS,
    SLASHES,
    VULGAR,
    VULGAR_BY_VALUE,
    WrittenNumber,
    fraction_half,
)

_ENTITY = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_EMPHASIS = re.compile(r"\*{1,3}|_{1,3}")
_ESCAPABLE = frozenset("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")


@dataclass(frozen=True)
class PlainLabel:
    """`text` as a reader sees it; its character i was written at `starts[i]` to `ends[i]` of the label."""

    text: str
    starts: tuple[int, ...]
    ends: tuple[int, ...]

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Where `text[start:end]` stands in the label. Past the end of the text, an empty span there."""
        if start >= len(self.text):
            last = self.ends[-1] if self.ends else 0
            return last, last
        return self.starts[start], self.ends[min(max(start, end - 1), len(self.ends) - 1)]


@lru_cache(maxsize=64)  # a figure's label is read for its number, its words and its place
def plain(label: str) -> PlainLabel:
    """Take off what Markdown adds to a label. Marks that do not pair up stay, and are then not read."""
    marks = _emphasis_marks(label)
    characters: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    at = 0
    while at < len(label):
        if at in marks:
            at = marks[at]
            continue
        written, end = label[at], at + 1
        if written == "\\" and label[at + 1 : at + 2] in _ESCAPABLE:
            written, end = label[at + 1], at + 2
        elif written == "&" and (entity := _ENTITY.match(label, at)):
            decoded = unescape(entity[0])
            if decoded != entity[0]:
                written, end = decoded, entity.end()
        characters.extend(written)
        starts.extend([at] * len(written))
        ends.extend([end] * len(written))
        at = end
    return PlainLabel("".join(characters), tuple(starts), tuple(ends))


def _emphasis_marks(label: str) -> dict[int, int]:
    """Start → end of each run of ``*`` or ``_`` that is one of a pair; ``N*m`` and ``1_000`` hold none."""
    open_runs: list[tuple[str, int, int]] = []
    marks: dict[int, int] = {}
    at = 0
    while at < len(label):
        if label[at] == "\\":
            at += 2
            continue
        run = _EMPHASIS.match(label, at)
        if run is None:
            at += 1
            continue
        before, after = label[max(0, at - 1) : at], label[run.end() : run.end() + 1]
        # CommonMark, 6.2, in short: a mark opens before text, closes after it, and within a word is none.
        opens = bool(after) and not after.isspace() and not before.isalnum()
        closes = bool(before) and not before.isspace() and not after.isalnum()
        if closes and open_runs and open_runs[-1][0] == run[0]:
            _, start, end = open_runs.pop()
            marks[start], marks[at] = end, run.end()
        elif opens:
            open_runs.append((run[0], at, run.end()))
        at = run.end()
    return marks


# --- written ------------------------------------------------------------------------

_UNSPACED = ("°", "′", "″", "'", '"')
_MANTISSA = re.compile("[0-9., \u00a0\u202f\u2009]+")
_TO_SUPERSCRIPT = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")
_GROUPED_FROM = 10_000  # four digits are read at a glance: 8200 rpm
_SCIENTIFIC_FROM = 10**15  # a float has 15 to 17 digits; more of them would be made up
VANISHES = Fraction(1, 1000)
"""Below so many units of the last digit a value is 0; a larger one that is written 0 would be hidden."""
_ZERO_IS_A_VALUE = frozenset(("temperature", "sound level"))
_FINEST_LENGTH = 64
_FINEST_PART = 20


def exact(value: float | Fraction) -> Fraction:
    """The decimal number that a float prints as, so that 2.675 is a tie and not just below one."""
    if isinstance(value, Fraction):
        return value
    try:
        return _printed(repr(float(value)))
    except (OverflowError, ValueError) as error:
        raise OutOfRange("", f"{value:g}", "a finite number") from error


def _printed(text: str) -> Fraction:
    """The number that a float was printed as, ``6.25e-07``; raises ValueError for an infinite one."""
    digits, _, power = text.partition("e")
    whole, _, after = digits.partition(".")
    return Fraction(int(whole + after)) * Fraction(10) ** (int(power or "0") - len(after))


def write_number(value: float | Fraction, decimals: int, separator: str | None = None) -> str:
    """The value to so many decimals, a tie to the even digit (ISO 80000-1:2009, Annex B, rule A).

    Whether it is a tie is seen in decimal, on 15 digits: 11.35 that came out of a conversion as
    11.350000000000001 is one.

    Thousands are set off by `separator`; unless one is given, by a narrow no-break space from 10 000 on.
    From 10¹⁵ on, in powers of ten. The minus sign is U+2212; a value that rounds to 0 has none.
    """
    if not isinstance(value, Fraction) and abs(value) < _SCIENTIFIC_FROM:
        scaled = _rounded_float(float(value), decimals)
    elif abs(number := exact(value)) >= _SCIENTIFIC_FROM:
        power = len(str(int(abs(number)))) - 1
        mantissa = write_number(number / 10**power, max(decimals, 3))
        return f"{mantissa}×10{str(power).translate(_TO_SUPERSCRIPT)}"
    else:
        scaled = _rounded(number, decimals)
    digits = str(abs(scaled)).zfill(decimals + 1)
    whole, after = digits[: len(digits) - decimals], digits[len(digits) - decimals :]
    if separator is None:
        separator = NARROW_SPACE if int(whole) >= _GROUPED_FROM else ""
    written = f"{int(whole):,}".replace(",", separator)
    if decimals:
        written = f"{written}.{after}"
    return MINUS + written if scaled < 0 else written


def _rounded(number: Fraction, decimals: int) -> int:
    """The number in units of the last of so many decimals."""
    scaled = number * Fraction(10**decimals)
    if 2 * scaled != round(2 * scaled):
        printed = _printed(f"{float(number):.15g}") * Fraction(10**decimals)
        if 2 * printed == round(2 * printed) and printed.denominator == 2:
            return round(printed)
    return round(scaled)


def _rounded_float(value: float, decimals: int) -> int:
    """The same of a float, in whole numbers: fractions take a hundred times as long in a browser."""
    rounded, is_tie = _to_place(repr(value), decimals)
    if not is_tie:
        of_15_digits, is_tie = _to_place(f"{value:.15g}", decimals)
        if is_tie:
            return of_15_digits
    return rounded


def _to_place(printed: str, decimals: int) -> tuple[int, bool]:
    """A printed float in units of the last of so many decimals, a tie to even; and whether it was one."""
    digits, _, power = printed.partition("e")
    whole, _, after = digits.partition(".")
    number, shift = int(whole + after), int(power or "0") - len(after) + decimals
    if shift >= 0:
        return number * 10**shift, False
    step = 10**-shift
    units, rest = divmod(abs(number), step)
    units += 2 * rest > step or (2 * rest == step and units % 2)
    return (-units if number < 0 else units), 2 * rest == step


def zero_is_a_value(dimension: str) -> bool:
    """Whether 0 of a quantity is a value like another (0 °C), and not nothing."""
    return dimension in _ZERO_IS_A_VALUE


def write_figure(value: float | Fraction, decimals: int, symbol: str) -> str:
    """``124.8 km/h``: number, no-break space, unit symbol. `buildlog.figures.stated.parse` reads it back.

    A value that is not 0 is not written 0: it gets the decimals that show its first digit.

    ISO 80000-1:2009, 7.1.4 puts a space before every symbol (% too) but those of degree, minute and
    second of angle.
    """
    number = write_number(value, telling_decimals(value, coin_decimals(symbol, decimals)))
    if not symbol or symbol in _UNSPACED:
        return number + symbol
    return number + NO_BREAK_SPACE + symbol


def telling_decimals(value: float | Fraction, decimals: int) -> int:
    """`decimals`, or as many more as it takes not to write 0 for what is not 0."""
    number = abs(exact(value))
    if number <= Fraction(10) ** -decimals * VANISHES:
        return decimals
    while not _rounded(number, decimals):
        decimals += 1
    return decimals


def write_like(number: WrittenNumber, value: float | Fraction, *, length: bool = False) -> str:
    """`value` in the form, to the digits and with the separators that `number` is written in. A fraction goes
    to the finer parts that it takes to agree (`length`: sixteenths, thirty-seconds, sixty-fourths)."""
    wanted = exact(value)
    size = abs(wanted)
    if number.parts:
        body = _write_compound(number, number.parts, size, length)
    elif number.form in ("fraction", "mixed"):
        body = _write_fraction(number, size, length)
    else:
        mantissa = _MANTISSA.search(number.text)
        assert mantissa is not None, "these forms begin with digits"
        tail = number.text[len(number.text[: mantissa.end()].rstrip()) :]  # of a power of ten, or “:1”
        separator: str | None = number.separator
        if not separator and abs(number.value) < _GROUPED_FROM:
            separator = None  # it was too small to show what its author would do with thousands
        mantissa_value = size / Fraction(10) ** (number.exponent or 0)
        decimals = telling_decimals(mantissa_value, number.decimals)
        body = write_number(mantissa_value, decimals, separator) + tail
    if wanted < 0:
        sign = number.sign if number.sign in ("-", MINUS) else MINUS
        return sign + body
    return "+" + body if number.sign == "+" else body


def _nearest_fraction(below: int, size: Fraction, length: bool) -> Fraction:
    """The multiple of 1/below, or of the first finer part, that the value rounds to as fractions do."""
    if length:
        finer = [below * 2**power for power in range(7) if below * 2**power <= max(_FINEST_LENGTH, below)]
    else:
        finer = list(range(below, max(_FINEST_PART, below) + 1))
    for parts in finer:
        fraction = Fraction(round(size * parts), parts)
        # As it will be read: 4/8 is written 1/2, and a whole number has no parts.
        reach = (
            fraction_half(fraction.denominator, length=length) if fraction.denominator > 1 else Fraction(1, 2)
        )
        if abs(fraction - size) <= min(reach, fraction_half(below, length=length)):
            return fraction
    return Fraction(round(size * finer[-1]), finer[-1])


def _write_fraction(number: WrittenNumber, size: Fraction, length: bool) -> str:
    whole, part = divmod(_nearest_fraction(number.step.denominator, size, length), 1)
    if not part:
        return str(whole)
    if number.form == "fraction" and number.value >= 1:
        whole, part = 0, whole + part  # 13/8 goes on as one
    fraction = ""
    if number.text[-1] in VULGAR:
        fraction = VULGAR_BY_VALUE.get(part, "")  # there is a sign for ⅜ and none for 3/16
    joint = "" if fraction else " "
    if number.form == "mixed":
        # What parts the whole from the fraction in “1-1/2” or “1 1/2” parts it here too.
        unsigned = number.text.lstrip("".join(SIGNS))
        between = next((char for char in unsigned if not char.isdecimal()), " ")
        if between not in VULGAR:
            joint = between
    slash = next((mark for mark in number.text if mark in SLASHES), "/")
    fraction = fraction or f"{part.numerator}{slash}{part.denominator}"
    return f"{whole}{joint}{fraction}" if whole else fraction


def _write_compound(
    number: WrittenNumber, parts: tuple[WrittenNumber, WrittenNumber], size: Fraction, length: bool
) -> str:
    first, second = parts
    ratio = next(ratio for _, _, ratio, unit in COMPOUNDS if unit == number.unit)
    rounded = round(size / second.step) * second.step
    if second.form in ("fraction", "mixed"):
        rounded = _nearest_fraction(second.step.denominator, size, length)
    large, small = divmod(rounded, ratio)
    text, start = number.text, number.start
    between = text[first.end - start : second.start - start]
    written = write_like(first, Fraction(large)) + between + write_like(second, small, length=length)
    return written + text[second.end - start :]
