"""How the spelling of a unit is read: look-alike characters and separators in one form.

Authors write ``N·m``, ``N*m``, ``N m``, ``kg/m^3``, ``kg / m³``, with a Greek mu or the
micro sign, with no-break spaces. Here these become one form, in which units are looked up.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

SPACES = frozenset(" \t\n\r\u00a0\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f")
_MULTIPLIES = frozenset("·⋅•∙×*‧・") | frozenset("-\u2010\u2011\u2013\u2212")
_MINUSES = frozenset("-\u2212⁻")
_SUPERSCRIPTS = {"⁰": "0", "¹": "1", "²": "2", "³": "3", "⁴": "4", "⁵": "5", "⁶": "6", "⁻": "⁻"}
_ALIKE = _SUPERSCRIPTS | {
    "₂": "2",
    "\u03bc": "\u00b5",  # Greek mu: micro sign
    "\u2126": "\u03a9",  # ohm sign: Greek omega
    "\u212a": "K",  # kelvin sign
    "º": "°",
    "˚": "°",
    "℃": "°C",
    "℉": "°F",
    "′": "'",
    "’": "'",
    "″": '"',
    "”": '"',
    "\u2206": "\u0394",  # increment: Greek delta
}
_MOST_SPACES = 3  # so that a row of blanks is not gone over again from each of them


def _past_spaces(text: str, at: int) -> int:
    end = at
    while end < len(text) and end - at < _MOST_SPACES and text[end] in SPACES:
        end += 1
    return end


def read(text: str, start: int) -> Iterator[tuple[str, int]]:
    """The text from `start` on in one form, a character at a time, with where each one ends.

    White space is " ", a mark that multiplies is "·" (a hyphen too: lb-ft), a power is
    plain digits behind the letters, with "⁻" before them where it is negative.
    """
    at = start
    while at < len(text):
        power = 2 if text.startswith("**", at) else int(text[at] == "^")
        if power:
            at += power
            after = text[at : at + 1]
            if after in _MINUSES:
                at += 1
                yield "⁻", at
            elif not after.isdigit():
                yield "^", at  # no power: stands in no spelling, so that a row of them is not read through
            continue
        mark_at = _past_spaces(text, at)
        mark = text[mark_at : mark_at + 1]
        digit_follows = text[mark_at + 1 : mark_at + 2].isdigit()
        if mark == "/" or (mark in _MULTIPLIES and not (mark in _MINUSES and digit_follows)):
            at = _past_spaces(text, mark_at + 1)
            yield ("/" if mark == "/" else "·"), at
        elif mark_at > at:
            at = mark_at
            yield " ", at
        else:
            at += 1
            for sign in _ALIKE.get(text[at - 1], text[at - 1]):
                yield sign, at


@lru_cache(maxsize=512)
def one_form(text: str) -> str:
    """A spelling in the one form.

    >>> one_form(" kg / m^3 ") == one_form("kg/m³") == "kg/m3"
    True
    """
    return "".join(char for char, _ in read(text.strip(), 0))


def forms(spelling: str) -> tuple[str, ...]:
    """The one form, and the same with every separator a space and with every one a dot."""
    form = one_form(spelling)
    return tuple(dict.fromkeys((form, form.replace("·", " "), form.replace(" ", "·"))))


def may_end(text: str, end: int) -> bool:
    """Whether a unit may end before ``text[end]``."""
    if end >= len(text):
        return True
    last, after, second = text[end - 1], text[end], text[end + 1 : end + 2]
    if after in _SUPERSCRIPTS or after == "^" or after == "_":
        return False
    if after.isalpha():
        # 4″x6″ are two lengths; any other letter makes another word of it.
        return last in '"″”' and after == "x"
    if after.isdigit():
        return not last.isalnum()
    return not (after in "/·⋅∙*×(" and second.isalpha())
