"""Two values that were found independently of each other: whether they agree within their uncertainties."""

from __future__ import annotations

from math import isfinite

from buildlog.diagnostics import OutOfRange


def normalised_error(difference: float, expanded: float) -> float:
    """The normalised error of two values, En = |x₁ − x₂| / √(U₁² + U₂²).

    `difference` is x₁ − x₂ and `expanded` the expanded uncertainty (k = 2) of that difference. Of values
    that share nothing it is √(U₁² + U₂²); what both rest on has to be combined before it is squared (JCGM
    100:2008, F.1.2). They agree where En is 1 or less.
    Source: ISO/IEC 17043:2010, B.3.1.3 e, “En numbers” (from memory).
    """
    if not (isfinite(difference) and isfinite(expanded) and expanded > 0):
        raise OutOfRange("expanded", f"{difference:g} ± {expanded:g}", "a finite uncertainty above 0")
    return abs(difference) / expanded
