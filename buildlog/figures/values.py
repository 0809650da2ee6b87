"""A value of a block as an author writes it: number, uncertainty, unit (``0.289 ± 0.003 m``)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from buildlog.figures.numbers import DIGITS, SIGNS, WrittenNumber, excerpt, parse_number, read, unreadable

LONGEST_UNIT = 40  # the longest on the list has 26 signs


@dataclass(frozen=True, kw_only=True)
class WrittenValue:
    """A value of a block as written: a number, its unit's spelling ("" if none), its uncertainty.

    `uncertainty` is what stands after ±: in the unit, or in percent of the number where `relative`. A value
    with ± 0 is exact.
    `coverage` is its coverage factor k: 1, a standard uncertainty, unless the author says otherwise.
    """

    text: str
    number: WrittenNumber
    unit: str = ""
    unit_span: tuple[int, int] | None = None
    uncertainty: Fraction | None = None
    relative: bool = False
    coverage: Fraction = Fraction(1)

    @property
    def number_span(self) -> tuple[int, int]:
        return self.number.start, self.number.end

    @property
    def teeth(self) -> tuple[int, int] | None:
        """The two integers of a plain fraction; tooth counts where a ratio is wanted."""
        return self.number.teeth

    @property
    def standard_uncertainty(self) -> Fraction | None:
        """u = U/k in the written unit (JCGM 100:2008, 6.2.1), or None where none is written."""
        if self.uncertainty is None:
            return None
        scale = abs(self.number.value) / 100 if self.relative else 1
        return self.uncertainty * scale / self.coverage


def parse_value(text: str) -> WrittenValue:
    """Read ``8200 rpm``, ``1 1/2 in``, ``41/9``, ``0.289 ± 0.003 m (k=2)``, ``(85 ± 2) %``, ``90 N·m ± 2 %``.

    The unit is only spelt here, never looked up. ``85 % ± 2 %`` and ``0.85 ± 2 %`` are refused, since
    nobody can tell a relative uncertainty from one in percent. Raises `Unreadable`.
    """
    end = len(text.rstrip())
    body_end, coverage = _coverage(text, end)
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
                help="leave out the brackets",
            )
        return _with_unit(WrittenValue(text=text, number=number), at, end)
    amount = _number_at(text, _blank(text, value_at), end)
    if amount.sign or amount.value < 0:
        raise unreadable(
            text,
            amount.start,
            end=amount.end,
            expected="an uncertainty without a sign",
            help="± 0 says that the value is exact",
        )
    after = _blank(text, amount.end)
    value = WrittenValue(text=text, number=number, uncertainty=amount.value, coverage=coverage)
    if opened:
        if text[at:sign_at].strip() or text[after : after + 1] != ")":
            raise unreadable(
                text, 0, end=end, expected="(number ± uncertainty) unit", help="write it as (85 ± 2) %"
            )
        return _with_unit(value, _blank(text, after + 1), body_end)
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
            help="write (85 ± 2) %, or the uncertainty as a plain number: 0.85 ± 0.02",
        )
    if first and first != second:
        raise unreadable(
            text, sign_at, end=end, expected=f"the uncertainty in {excerpt(first)} or in %", help=""
        )
    # The unit may stand on either side of ±, or on both where it is the same.
    if first:
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


def _coverage(text: str, end: int) -> tuple[int, Fraction]:
    """The ``(k=2)`` at the end: (where the text before it ends, k)."""
    bracket = text.rfind("(", 0, end)
    if bracket <= 0 or text[end - 1] != ")":
        return end, Fraction(1)
    inside = text[bracket + 1 : end - 1].replace(" ", "")
    if not inside.startswith("k="):
        return end, Fraction(1)
    factor = parse_number(inside[2:]).value
    if not 0 < factor <= 10:
        raise unreadable(
            text,
            bracket,
            end=end,
            expected="a coverage factor above 0, up to 10",
            help="the usual one is (k=2)",
        )
    return len(text[:bracket].rstrip()), factor


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
