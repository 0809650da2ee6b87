"""The number grammar: how a number is written, in a figure of the prose and in a value of a block.

One grammar serves both, and nothing else ever turns author text into a number.
It reads, and keeps exactly (as a `Fraction`) with the step of the last digit written:

===================  =======================================  ========================
form                 examples                                 step
===================  =======================================  ========================
integer              ``400``, ``8,200``, ``12 500`` [1]_      1
decimal              ``124.80``                               0.01
scientific           ``1.2e-3``, ``1.2 × 10⁻³``               0.0001
fraction, mixed      ``3/8``, ``½``, ``1 1/2``, ``1-1/2``     1/8, 1/2
ratio                ``4.56:1``                               0.01
compound             ``5 ft 6 in``, ``5′ 6″``, ``1 min 23.4 s``  1 in, 0.1 s
===================  =======================================  ========================

.. [1] Thousands are set off by a comma or by a thin, narrow no-break or no-break space, always the
   same one, always in threes. In a label (`spaced`) a plain space serves too.

A fraction keeps its two integers in `teeth`: whether ``41/9`` counts teeth (and is exact) or
divides an inch is known only with the dimension.

Refused, each with what to write instead: a decimal comma (``1,35``), a leading zero (``010``), a bare
point (``.5``; NIST SP 811, 2008 edition, clause 10.5.2 asks for the zero), ``12:30``, ``1_000``,
``0x10``, ``1.2.3``, more than 40 digits, exponents beyond ±99. Reading takes linear time.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from buildlog.diagnostics import Code, Refused, declare

# More than any figure needs. Exact arithmetic on what an author can write at will has to end somewhere.
MOST_DIGITS = 40
MOST_EXPONENT = 99
DIGITS = frozenset("0123456789")
MINUS = "\u2212"
SIGNS = frozenset("+-" + MINUS)
NO_BREAK_SPACE = "\u00a0"
NARROW_SPACE = "\u202f"
THIN_SPACE = "\u2009"
SPACE_SEPARATORS = frozenset((NO_BREAK_SPACE, NARROW_SPACE, THIN_SPACE))
SPACES = SPACE_SEPARATORS | {" "}
SLASHES = frozenset("/\u2044")
SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
VULGAR_BY_VALUE = {
    Fraction(unicodedata.normalize("NFKC", mark).replace("\u2044", "/")): mark
    for mark in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
}
VULGAR = frozenset(VULGAR_BY_VALUE.values())

_TOKEN = re.compile(r"\S{1,40}")
_RUN = re.compile("[0-9]+")
_EXPONENT = re.compile(f"[eE]([+{MINUS}-]?)([0-9]+)")
_TIMES_TEN = re.compile("[ \u00a0\u202f\u2009]?×[ \u00a0\u202f\u2009]?10(?![0-9])")
_CARET = re.compile(rf"\^([+{MINUS}-]?)([0-9]+)")
_SUPERSCRIPT = re.compile("([⁺⁻]?)([⁰¹²³⁴⁵⁶⁷⁸⁹]+)")
_TO_ONE = re.compile("[ \u00a0\u202f\u2009]?:[ \u00a0\u202f\u2009]?([0-9]+(?:[.][0-9]+)?)")
_PREFIXED = re.compile("0[xXbBoO][0-9A-Fa-f]")

NumberForm = Literal["integer", "decimal", "scientific", "fraction", "mixed", "ratio", "compound", "words"]

NUMBER_UNREADABLE = declare(
    "number-unreadable",
    "the number cannot be read",
    why="a number that could mean two things is never guessed at",
    mend="write it with a decimal point, without leading zeros: 1.35, 0.5, 8200",
    example="bore: 73,5 mm",
)


class Unreadable(Refused):
    """Text that the grammar does not read; `offset` and `length` say where in the text it was given."""

    code = NUMBER_UNREADABLE

    def __init__(
        self,
        name: str,
        found: str,
        expected: str,
        *,
        help: str = "",
        code: Code | None = None,
        offset: int = 0,
        length: int = 1,
    ) -> None:
        super().__init__(name, found, expected, help=help, code=code)
        self.offset = offset
        self.length = length


@dataclass(frozen=True, kw_only=True)
class WrittenNumber:
    """A number as written.

    `step` is one unit of the last digit written and `text` the source from `start` to `end`. A compound is
    counted in its smaller unit, which is then `unit`; its two numbers are its `parts`. A number in words is
    read by `figures.words`, and `rounding` says how far from it people use it.
    """

    value: Fraction
    step: Fraction
    text: str
    start: int
    end: int
    form: NumberForm
    sign: str = ""
    separator: str = ""
    decimals: int = 0
    exponent: int | None = None
    teeth: tuple[int, int] | None = None
    unit: str = ""
    parts: tuple[WrittenNumber, WrittenNumber] | None = None
    rounding: Fraction | None = None

    def half(self, *, length: bool = False) -> Fraction:
        """How far rounding can have moved the value: half a unit of the last digit; of a fraction, see
        `fraction_half`."""
        if self.rounding is not None:
            return self.rounding
        last = self.parts[1] if self.parts else self
        if last.form in ("fraction", "mixed"):
            return fraction_half(last.step.denominator, length=length)
        return self.step / 2


_COARSEST_OF_LENGTH = 16
_SIMPLE = 5


def fraction_half(below: int, *, length: bool = False) -> Fraction:
    """How far a value may lie from a fraction with this denominator to be written as it.

    An inch is divided to the sixteenth at least: a half is not five sixteenths. Of anything else the nearest
    other fraction that people would have said counts, in fifths or in one part more, 1/(q·max(5, q + 1))
    away, and half of that is rounding (house rule).
    """
    if length:
        return Fraction(1, 2 * max(below, _COARSEST_OF_LENGTH))
    return Fraction(1, 2 * below * max(_SIMPLE, below + 1))


def excerpt(text: str, most: int = 40) -> str:
    """Author text cut short for a message."""
    if len(text) <= most:
        return text
    return text[:most] + "…"


def read(text: str, start: int = 0, *, spaced: bool = False) -> WrittenNumber | None:
    """The number that begins at `start`, the longest the grammar allows, or None if none begins there.

    `spaced` reads plain spaces between thousands too, which running text has between two numbers.

    Raises `Unreadable` for what starts as a number and is not one.
    """
    at = start
    sign = ""
    if at < len(text) and text[at] in SIGNS:
        sign = text[at]
        at += 1
    if at >= len(text):
        return None
    if text[at] in VULGAR:
        number = _vulgar(text, at, at=at, whole=Fraction(0), form="fraction")
    elif text[at] in DIGITS:
        number = _compound(text, _unsigned(text, at, spaced=spaced))
    elif text[at] == "." and text[at + 1 : at + 2] in DIGITS:
        end = _run_end(text, at + 1)
        raise unreadable(
            text, at, end=end, expected="a digit before the point", help=f"write 0{excerpt(text[at:end])}"
        )
    else:
        return None
    negative = sign in ("-", MINUS)
    value = -number.value if negative else number.value
    return replace(number, sign=sign, start=start, text=text[start : number.end], value=value)


def parse_number(text: str, *, spaced: bool = False) -> WrittenNumber:
    """The number that `text` is, spaces around it aside. Raises `Unreadable`."""
    start = len(text) - len(text.lstrip())
    number = read(text, start, spaced=spaced)
    if number is None:
        raise unreadable(text, start, end=len(text), expected="a number", help="write it in digits")
    if text[number.end :].strip():
        raise unreadable(text, number.end, end=len(text), expected="a number and nothing after it", help="")
    return number


# --- the parts of a number ---------------------------------------------------------


def _run_end(text: str, at: int) -> int:
    run = _RUN.match(text, at)
    return run.end() if run else at


def _token_end(text: str, start: int) -> int:
    """Where the run of characters without a space ends that begins at `start`, for a message."""
    token = _TOKEN.match(text, start)
    return token.end() if token else start


def unreadable(text: str, start: int, end: int, expected: str, help: str) -> Unreadable:
    end = min(end, len(text))
    found = excerpt(text[start:end]) or "nothing"
    return Unreadable("", found, expected, help=help, offset=start, length=max(1, end - start))


def _unsigned(text: str, start: int, *, spaced: bool = False) -> WrittenNumber:
    """Everything that begins with a digit, short of feet-and-inches."""
    end, whole, separator = _whole(text, start, spaced=spaced)
    decimals = 0
    digits = str(whole)
    if text[end : end + 1] == "." and text[end + 1 : end + 2] in DIGITS:
        point, end = end, _run_end(text, end + 1)
        decimals = end - point - 1
        _count(text, start, end)
        digits += text[point + 1 : end]
    elif not separator and (fraction := _fraction(text, start, end, whole)):
        return _finished(text, fraction)
    value = Fraction(int(digits), 10**decimals)
    form: NumberForm = "decimal" if decimals else "integer"
    step = Fraction(1, 10**decimals)
    end, exponent = _exponent(text, start, end)
    if exponent is not None:
        form, value, step = "scientific", value * Fraction(10) ** exponent, step * Fraction(10) ** exponent
    elif to_one := _TO_ONE.match(text, end):
        if to_one[1] != "1" or text[to_one.end() : to_one.end() + 1] == ":":
            raise unreadable(
                text,
                start,
                end=to_one.end(),
                expected="a ratio to 1, like 4.56:1",
                help="write tooth counts as 41/9, and a time as 1 min 23.4 s",
            )
        form, end = "ratio", to_one.end()
    number = WrittenNumber(
        value=value,
        step=step,
        text=text[start:end],
        start=start,
        end=end,
        form=form,
        separator=separator,
        decimals=decimals,
        exponent=exponent,
    )
    return _finished(text, number)


def _count(text: str, start: int, end: int) -> None:
    if end - start > MOST_DIGITS:
        raise unreadable(
            text, start, end=end, expected=f"at most {MOST_DIGITS} digits", help="round the number"
        )


def _whole(text: str, start: int, *, spaced: bool) -> tuple[int, int, str]:
    """An integer with its thousands separators: (end, value, separator)."""
    marks = SPACE_SEPARATORS | ({",", " "} if spaced else {","})
    end = _run_end(text, start)
    _count(text, start, end)
    if _PREFIXED.match(text, start):
        raise unreadable(
            text, start, end=_token_end(text, start), expected="a decimal number", help="write it in tens"
        )
    if end - start > 1 and text[start] == "0":
        plain = text[start:end].lstrip("0") or "0"
        raise unreadable(text, start, end=end, expected="no leading zero", help=f"write {plain}")
    first = end
    separator = ""
    digits = text[start:end]
    while end + 1 < len(text) and text[end] in marks and text[end + 1] in DIGITS:
        mark, group_end = text[end], _run_end(text, end + 1)
        divided = text[group_end : group_end + 1] in SLASHES and text[group_end + 1 : group_end + 2] in DIGITS
        if divided and mark != ",":
            break  # 1 1/2 with a no-break space
        whole_group = group_end - end == 4
        grouped = first - start <= 3 and text[start] != "0" and whole_group and separator in ("", mark)
        if not grouped:
            if mark == " " or (mark != "," and not whole_group):
                break
            raise unreadable(
                text,
                start,
                end=group_end,
                expected="thousands in threes, all set off alike, and a decimal point",
                help=_comma_help(text[start:end], mark, text[end + 1 : group_end]),
            )
        separator = mark
        digits += text[end + 1 : group_end]
        end = group_end
        _count(text, start, end)
    return end, int(digits), separator


def _comma_help(before: str, mark: str, after: str) -> str:
    if mark == "," and "," not in before:
        return f"if the comma is a decimal comma, write {excerpt(before)}.{excerpt(after)}"
    return "write it without separators"


def _exponent(text: str, start: int, end: int) -> tuple[int, int | None]:
    """``e-3`` or ``× 10⁻³`` after a mantissa: (end, exponent or None)."""
    power = _EXPONENT.match(text, end)
    if power is None and (times := _TIMES_TEN.match(text, end)):
        power = _CARET.match(text, times.end()) or _SUPERSCRIPT.match(text, times.end())
        if power is None:
            raise unreadable(
                text, start, end=times.end(), expected="a power of ten, like × 10⁻³", help="multiply it out"
            )
    if power is None:
        return end, None
    digits = power[2].translate(SUPERSCRIPTS)
    if len(digits) > 2:
        raise unreadable(
            text,
            start,
            end=power.end(),
            expected=f"an exponent within ±{MOST_EXPONENT}",
            help="choose a larger unit",
        )
    negative = power[1] in ("-", MINUS, "⁻")
    exponent = int(digits)
    return power.end(), -exponent if negative else exponent


def _fraction(text: str, start: int, end: int, whole: int) -> WrittenNumber | None:
    """``3/8`` where `whole` is the numerator, or ``1 1/2``, ``1-1/2``, ``1½`` where it stands before one."""
    if text[end : end + 1] in SLASHES and text[end + 1 : end + 2] in DIGITS:
        last, above, below = _over(text, start)
        value = Fraction(above, below)
        return WrittenNumber(
            value=value,
            step=Fraction(1, below),
            text=text[start:last],
            start=start,
            end=last,
            form="fraction",
            teeth=(above, below),
        )
    joined = text[end : end + 1] in SPACES or (text[end : end + 1] == "-" and whole > 0)
    at = end + 1 if joined else end
    if at >= len(text):
        return None
    if text[at] in VULGAR and text[end] != "-":
        return _vulgar(text, start, at=at, whole=Fraction(whole), form="mixed")
    run = _run_end(text, at)
    if at in (end, run) or text[run : run + 1] not in SLASHES or text[run + 1 : run + 2] not in DIGITS:
        return None
    last, above, below = _over(text, at)
    if above >= below:
        return None  # “4 41/9” and “1-5/4” are two numbers, or a range
    value = whole + Fraction(above, below)
    return WrittenNumber(
        value=value, step=Fraction(1, below), text=text[start:last], start=start, end=last, form="mixed"
    )


def _over(text: str, start: int) -> tuple[int, int, int]:
    """``3/8`` at `start`: (end, numerator, denominator), both plain integers."""
    slash = _run_end(text, start)
    end = _run_end(text, slash + 1)
    _count(text, start, end)
    for at, last in ((start, slash), (slash + 1, end)):
        if text[at] == "0" and (last - at > 1 or at > start):
            raise unreadable(text, start, end=end, expected="a fraction of whole numbers, like 3/8", help="")
    if text[end : end + 1] == "." and text[end + 1 : end + 2] in DIGITS:
        raise unreadable(
            text,
            start,
            end=_run_end(text, end + 1),
            expected="a fraction of whole numbers, like 3/8",
            help="divide it out",
        )
    return end, int(text[start:slash]), int(text[slash + 1 : end])


def _vulgar(text: str, start: int, at: int, whole: Fraction, form: NumberForm) -> WrittenNumber:
    above, below = unicodedata.normalize("NFKC", text[at]).split("\u2044")
    step = Fraction(1, int(below))
    teeth = (int(above), int(below)) if form == "fraction" else None
    number = WrittenNumber(
        value=whole + int(above) * step,
        step=step,
        text=text[start : at + 1],
        start=start,
        end=at + 1,
        form=form,
        teeth=teeth,
    )
    return _finished(text, number)


def _finished(text: str, number: WrittenNumber) -> WrittenNumber:
    """Refuse a number that is run into something that would make it another number."""
    # 1.5.2, 12:30, 1_000 and 2,5 would each be cut short to a number that nobody wrote.
    following = text[number.end : number.end + 1]
    beyond = text[number.end + 1 : number.end + 2]
    bad = following and (
        following.isdigit()
        or unicodedata.category(following) == "No"
        or (following in "._:/\u2044,^" and beyond and beyond in DIGITS)
    )
    if bad:
        end = _token_end(text, number.end)
        raise unreadable(
            text,
            number.start,
            end=end,
            expected="one number",
            help="write one plain number, like 1000 or 1.5",
        )
    return number


# --- feet and inches, minutes and seconds, pounds and ounces ---------------------------------------------

COMPOUNDS: tuple[tuple[tuple[str, ...], tuple[str, ...], int, str], ...] = (
    (
        ("ft.", "ft", "feet", "foot", "′", "'", "’"),
        ("inches", "inch", "ins", "in.", "in", "″", '"', "”", "′′", "''", "’’"),
        12,
        "in",
    ),
    (("min", "mins", "minute", "minutes"), ("s", "sec", "secs", "second", "seconds"), 60, "s"),
    (("h", "hr", "hrs", "hour", "hours"), ("min", "mins", "minute", "minutes"), 60, "min"),
    (("lb", "lbs", "pound", "pounds"), ("oz", "ounce", "ounces"), 16, "oz"),
)


def _spelt_at(text: str, at: int, spellings: tuple[str, ...]) -> int:
    """Where one of the spellings ends that stands at `at`, or 0."""
    for spelling in spellings:
        end = at + len(spelling)
        if text.startswith(spelling, at) and not (spelling.isalpha() and text[end : end + 1].isalpha()):
            return end
    return 0


def _skip_space(text: str, at: int) -> int:
    return at + 1 if text[at : at + 1] in SPACES else at


def _compound(text: str, first: WrittenNumber) -> WrittenNumber:
    """`first` with the inches (or seconds) that follow its feet (or minutes), or `first` as it is."""
    if first.form != "integer":
        return first
    for large, small, ratio, unit in COMPOUNDS:
        at = _spelt_at(text, _skip_space(text, first.end), large)
        at = at and _skip_space(text, at)
        if not at or text[at : at + 1] not in DIGITS | VULGAR:
            continue
        if text[at] in VULGAR:
            second = _vulgar(text, at, at=at, whole=Fraction(0), form="fraction")
        else:
            second = _unsigned(text, at)
        end = _spelt_at(text, _skip_space(text, second.end), small)
        if not end:
            continue
        if second.value >= ratio or second.form in ("scientific", "ratio"):
            raise unreadable(
                text,
                first.start,
                end=end,
                expected=f"less than {ratio} {unit} after the {large[0].rstrip('.')}",
                help="carry it over",
            )
        return WrittenNumber(
            value=first.value * ratio + second.value,
            step=second.step,
            text=text[first.start : end],
            start=first.start,
            end=end,
            form="compound",
            separator=first.separator,
            decimals=second.decimals,
            unit=unit,
            parts=(first, second),
        )
    return first
