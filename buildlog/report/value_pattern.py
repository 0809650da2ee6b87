"""The patterns by which a JSON Schema knows a value with its unit: for editors, which check as one types.

A pattern lets through whatever `figures.values` and `figures.units` read. What it lets through is not thereby
right: it looks for a unit of the right kind straight after a number, and the proof does the rest.
"""

from __future__ import annotations

from functools import cache

from buildlog.figures import units
from buildlog.figures.spellings import one_form

_DIGIT = "0-9\u00bc-\u00be\u2150-\u215e"
_LETTERS = {
    "·": r"[-\s·⋅•∙×*‧・\u2010\u2011\u2013\u2212]+",
    " ": r"[-\s·⋅•∙×*‧・\u2010\u2011\u2013\u2212]+",
    "/": r"\s*/\s*",
    "µ": "[µ\u03bc]",
    "'": "['\u2032\u2019]",
    '"': '["\u2033\u201d]',
    "°": "[°º˚]",
    **{sign: f"\\{sign}" for sign in ".()$|?*+[]{}"},
    "⁻": r"(?:\^|\*\*)?[-\u2212\u207b]",
    "Ω": "[Ω\u2126]",
    **{digit: rf"(?:\^|\*\*)?[{digit}{power}]" for digit, power in zip("0123456", "⁰¹²³⁴⁵⁶", strict=True)},
}
# Letters stand for themselves, so that a pattern means the same to Python and to an editor's ECMAScript.
_SIGNS = {"°C": "℃", "°F": "℉"}
_ENDING = r"(?:\(\s*k\s*=\s*[0-9.]+\s*\)|\(?\s*(?:limits|triangular)\s*\)?|\(\s*s\s+of\s+[0-9]+[^()]*\))"
# A number on its own, with an uncertainty: what a ratio or a count may be.
_BARE = rf"^\s*[-+\u2212(]?\s*[{_DIGIT}][-{_DIGIT}.,:/\u2044eE+\u2212×^⁰¹²³⁴-⁹⁺⁻\s±]*{_ENDING}?\s*$"
_FEET_AND_INCHES = rf"[0-9]\s*['\u2032\u2019]\s*[{_DIGIT}]"


@units.forgotten_with_units
@cache
def unit_pattern(dimensions: tuple[str, ...]) -> str:
    """Any spelling of any unit of some dimensions, the longest first."""
    forms = {
        one_form(spelling)
        for dimension in dimensions
        for unit in units.units_of(dimension)
        for spelling in unit.spellings
        if spelling
    }
    spelt = {"".join(_LETTERS.get(char, char) for char in form) for form in forms}
    spelt |= {_SIGNS[form] for form in forms & _SIGNS.keys()}
    return "|".join(sorted(spelt, key=lambda text: (-len(text), text)))


def value_pattern(*dimensions: str) -> str:
    """A value of one of some dimensions as an author may write it, or the address of another block's."""
    ways = [
        r"^\s*calc:\S.*$",
        rf"[{_DIGIT}]\s*\)?\s*(?:{unit_pattern(dimensions)})\s*\)?\s*(?:$|±|\+/?-|{_ENDING})",
    ]
    if {"ratio", "count"} & set(dimensions):
        ways.append(_BARE)
    if any(dimension.startswith("money in ") for dimension in dimensions):
        ways.append(rf"^\s*(?:{unit_pattern(dimensions)})\s*[{_DIGIT}]")
    if "length" in dimensions:
        ways.append(_FEET_AND_INCHES)
    return "|".join(ways)
