"""Two values that were found independently of each other: whether they agree within their uncertainties."""

from __future__ import annotations

from math import isfinite

from buildlog.diagnostics import OutOfRange
from buildlog.figures.labels import write_number

_MOST_DECIMALS = 9
_AT_ONE = 1 + 1e-9
"""An En of 1 agrees, and arithmetic may leave it a little above."""


def signed_normalised_error(difference: float, expanded: float) -> float:
    """The normalised error with the sign of x₁ − x₂: above 0 where the first is too high. See
    `normalised_error`, which is its size."""
    if not (isfinite(difference) and isfinite(expanded) and expanded > 0):
        raise OutOfRange("expanded", f"{difference:g} ± {expanded:g}", "a finite uncertainty above 0")
    return difference / expanded


def normalised_error(difference: float, expanded: float) -> float:
    """The normalised error of two values, En = |x₁ − x₂| / √(U₁² + U₂²).

    `difference` is x₁ − x₂ and `expanded` the expanded uncertainty (k = 2) of that difference. Of values
    that share nothing it is √(U₁² + U₂²); what both rest on has to be combined before it is squared (JCGM
    100:2008, F.1.2). They agree where En is 1 or less.
    Source: ISO 13528, En score, as NIST's Dataplot manual has it (read), and ISO/IEC 17043, “En numbers”.
    """
    return abs(signed_normalised_error(difference, expanded))


def within_uncertainty(error: float) -> bool:
    """Whether two values agree by their normalised error: its size is 1 or less, see there."""
    return abs(error) <= _AT_ONE


def write_error(error: float) -> str:
    """A normalised error for people, with its sign, and decimals enough to stand on its own side of 1."""
    size = abs(error)
    decimals = next((count for count, limit in enumerate((100, 10)) if size >= limit), 2)
    while decimals < _MOST_DECIMALS and size > _AT_ONE and float(f"{size:.{decimals}f}") <= 1:
        decimals += 1
    text = write_number(error, decimals)
    return f"+{text}" if error > 0 and any(digit in text for digit in "123456789") else text
