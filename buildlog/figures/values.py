"""A value of a block as an author writes it: number, uncertainty, unit (``0.289 ± 0.003 m``)."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt
from typing import Literal

from buildlog.diagnostics import OutOfRange
from buildlog.figures.numbers import DIGITS, SIGNS, WrittenNumber, excerpt, parse_number, read, unreadable
from buildlog.figures.spread import MOST_READINGS, of_readings

LONGEST_UNIT = 40  # the longest on the list has 26 signs
FORMS = "the manual lists what can be written, under “Forms of ±”"
Shape = Literal["normal", "rectangular", "triangular"]
"""How a value that has an uncertainty is distributed about what is written (JCGM 101:2008, 6.4)."""

_LIMITS: dict[str, tuple[Shape, Fraction]] = {
    "limits": ("rectangular", Fraction(sqrt(3))),
    "triangular": ("triangular", Fraction(sqrt(6))),
}
_INSIDE = re.compile(r"k ?=.*|s of\b.*|" + "|".join(_LIMITS))
_COUNT = re.compile(r"s of ([0-9]{1,4})(?: readings)?")


@dataclass(frozen=True, kw_only=True)
class WrittenValue:
    """A value of a block as written: a number, its unit's spelling ("" if none), its uncertainty.

    `uncertainty` is what stands after ±: in the unit, or in percent of the number where `relative`; 0 says
    that the value is exact. `uncertainty_unit` spells its own unit where that is another than the value's:
    ``1.82 m ± 3 mm``. `coverage` is how many standard uncertainties it is: 1 unless the author says
    otherwise, √3 and √6 of the limits of a rectangular and a triangular distribution (JCGM 100:2008, 4.3.7
    and 4.3.9), and of the standard deviation s of n readings what `spread.of_readings` makes of it.
    """

    text: str
    number: WrittenNumber
    unit: str = ""
    unit_span: tuple[int, int] | None = None
    uncertainty: Fraction | None = None
    relative: bool = False
    uncertainty_unit: str = ""
    coverage: Fraction = Fraction(1)
    shape: Shape = "normal"

    @property
    def number_span(self) -> tuple[int, int]:
        return self.number.start, self.number.end

    @property
    def teeth(self) -> tuple[int, int] | None:
        """The two integers of a plain fraction; tooth counts where a ratio is wanted."""
        return self.number.teeth

    @property
    def standard_uncertainty(self) -> Fraction | None:
        """u = U/k (JCGM 100:2008, 6.2.1), or None where none is written; in the written unit, or in that of
        the uncertainty."""
        if self.uncertainty is None:
            return None
        scale = abs(self.number.value) / 100 if self.relative else 1
        return self.uncertainty * scale / self.coverage


def parse_value(text: str) -> WrittenValue:
    """Read ``8200 rpm``, ``1 1/2 in``, ``41/9``, ``0.289 ± 0.003 m (k=2)``, ``(85 ± 2) %``, ``90 N·m ± 2 %``.

    What ± means may stand at the end: ``(k=2)``, ``limits``, ``triangular``, ``(s of 5 readings)``. The unit
    is only spelt here, never looked up. ``85 % ± 2 %`` and ``0.85 ± 2 %`` are refused, since
    nobody can tell a relative uncertainty from one in percent. Raises `Unreadable`.
    """
    end = len(text.rstrip())
    body_end, coverage, shape = _ending(text, end)
    at = len(text) - len(text.lstrip())
    opened = text[at : at + 1] == "("
    number = _number_at(text, _blank(text, at + 1) if opened else at, end)
    at = _blank(text, number.end)
    sign_at, value_at = _plus_minus(text, number.end, body_end)
    if sign_at < 0:
        if opened or body_end != end:
            raise unreadable(
                text,
                0,
                end=end,
                expected="an uncertainty, like 0.289 ± 0.003 m",
                help=f"leave out the brackets and what says of which kind it is; {FORMS}",
            )
        return _with_unit(WrittenValue(text=text, number=number), at, end)
    amount = _number_at(text, _blank(text, value_at), end)
    if amount.sign or amount.value < 0:
        raise unreadable(
            text,
            amount.start,
            end=amount.end,
            expected="an uncertainty without a sign",
            help=f"± 0 says that the value is exact; {FORMS}",
        )
    after = _blank(text, amount.end)
    value = WrittenValue(text=text, number=number, uncertainty=amount.value, coverage=coverage, shape=shape)
    if opened:
        if text[at:sign_at].strip() or text[after : after + 1] != ")":
            raise unreadable(
                text, 0, end=end, expected="(number ± uncertainty) unit", help=f"as in (85 ± 2) %; {FORMS}"
            )
        return _with_unit(value, _blank(text, after + 1), body_end)
    return _in_units(value, amount, at, sign_at, after, body_end)


def parse_doubt(text: str) -> WrittenValue:
    """Read how far values may be off, without a value: ``± 0.5 %``, ``± 0.2 kg limits``, with the endings
    that any ± has. Where it is relative it is of 1, of whatever unit. Raises `Unreadable`."""
    amount = text.strip().removeprefix("±").strip()
    return parse_value(f"1 of ± {amount}" if "%" in amount else f"0 ± {amount}")


def _in_units(
    value: WrittenValue, amount: WrittenNumber, at: int, sign_at: int, after: int, body_end: int
) -> WrittenValue:
    """A value and its uncertainty with their units, which may stand before ± (from `at`) and behind it."""
    text, number = value.text, value.number
    end = len(text.rstrip())
    first = number.unit or text[at:sign_at].strip()
    second = amount.unit or text[after:body_end].strip()
    if second == "%" and first not in ("", "%"):
        return _with_unit(replace(value, relative=True), at, sign_at)
    if second == "%" or number.form == "ratio":
        raise unreadable(
            text,
            number.start,
            end=end,
            expected="an uncertainty that can be read in one way only",
            help=f"write (85 ± 2) %, or the uncertainty as a plain number: 0.85 ± 0.02; {FORMS}",
        )
    if " (" in second or len(second) > LONGEST_UNIT:
        raise unreadable(
            text,
            after,
            end=end,
            expected="a unit, and then limits, triangular, (k=2) or (s of 5 readings)",
            help=FORMS,
        )
    # The unit may stand on either side of ±, or on both: each is then in its own.
    if first and not second:
        raise unreadable(
            text,
            sign_at,
            end=end,
            expected=f"the uncertainty with its unit: {excerpt(first)}, another of its kind, or %",
            help=f"write {text[:sign_at].strip()} ± {amount.text} {excerpt(first)}; {FORMS}",
        )
    if first:
        value = replace(value, uncertainty_unit="" if first == second else second)
        return _with_unit(value, at, sign_at)
    return _with_unit(value, after, body_end)


def _blank(text: str, at: int) -> int:
    while at < len(text) and text[at].isspace():
        at += 1
    return at


def _number_at(text: str, at: int, end: int) -> WrittenNumber:
    number = read(text, at)
    if number is None:
        raise unreadable(
            text, at, end=end, expected="a number in digits", help="write it as 8200 rpm, 1 1/2 in or 41/9"
        )
    return number


def _plus_minus(text: str, at: int, end: int) -> tuple[int, int]:
    """Where ± (or +-, +/-) begins and ends, or (-1, -1)."""
    for sign in ("±", "+/-", "+-"):
        sign_at = text.find(sign, at, end)
        if sign_at >= 0:
            return sign_at, sign_at + len(sign)
    return -1, -1


def _ending(text: str, end: int) -> tuple[int, Fraction, Shape]:
    """What the end says of ±: (where the text before it ends, how many standard uncertainties, shape)."""
    start, words = _words_at_end(text, end)
    if not words or start == 0:
        return end, Fraction(1), "normal"
    if words in _LIMITS:
        shape, coverage = _LIMITS[words]
        return start, coverage, shape
    if words.startswith("s"):
        return start, _of_readings(text, start, end, words), "normal"
    factor = parse_number(words.partition("=")[2]).value
    if not 0 < factor <= 10:
        raise unreadable(
            text,
            start,
            end=end,
            expected="a coverage factor above 0, up to 10",
            help=f"the usual one is (k=2); {FORMS}",
        )
    return start, factor, "normal"


def _words_at_end(text: str, end: int) -> tuple[int, str]:
    """The words that say what ± is, in brackets or without: (where the text before them ends, words)."""
    last = text[text.rfind(" ", 0, end) + 1 : end]
    if last in _LIMITS:
        return len(text[: end - len(last)].rstrip()), last
    bracket = text.rfind("(", 0, end)
    if bracket < 0 or text[end - 1] != ")":
        return end, ""
    words = " ".join(text[bracket + 1 : end - 1].split())
    if not _INSIDE.fullmatch(words):
        return end, ""
    return len(text[:bracket].rstrip()), words


def _of_readings(text: str, start: int, end: int, words: str) -> Fraction:
    """How many standard uncertainties of the mean the standard deviation of so many readings is."""
    count = _COUNT.fullmatch(words)
    try:
        if count:
            return 1 / Fraction(of_readings(1.0, int(count[1])))
    except (OutOfRange, ZeroDivisionError):
        pass
    raise unreadable(
        text,
        start,
        end=end,
        expected=f"the standard deviation of 2 to {MOST_READINGS} readings",
        help=f"write 154.0 ± 0.4 kg (s of 5 readings); {FORMS}",
    )


def _with_unit(value: WrittenValue, start: int, end: int) -> WrittenValue:
    text, number = value.text, value.number
    unit = text[start:end].strip()
    if not unit:
        return replace(value, unit=number.unit)
    if number.unit or number.form == "ratio":
        raise unreadable(
            text,
            start,
            end=end,
            expected=f"nothing after {excerpt(number.text)}",
            help="it has its unit already",
        )
    if (unit[0] in DIGITS and not unit.startswith("1/")) or unit[0] in SIGNS:
        raise unreadable(
            text,
            number.start,
            end=end,
            expected="one number and one unit",
            help="join the digits, or write one number",
        )
    if len(unit) > LONGEST_UNIT:
        raise unreadable(text, start, end=end, expected="a unit", help="")
    return replace(value, unit=unit, unit_span=(start, start + len(unit)))
