"""How far a value is on the good side of a limit, and how sure one can be of it."""

from __future__ import annotations

from statistics import NormalDist
from typing import Annotated

from buildlog.formulae.made_once import made_once
from buildlog.physics.declared import DeclaredFormula, Variable, difference_of
from buildlog.physics.limits import within


@made_once
def margin_above(unit: str) -> DeclaredFormula:
    """The formula of the margin over a least value, for values in a coherent SI unit."""
    return difference_of(
        "margin_above",
        "Margin of a value over the least that is required: negative where it falls short.",
        value=Variable("x", unit or "1", "value"),
        limit=Variable("x_min", unit or "1", "least value required"),
        gives=Variable("m", unit or "1", "margin"),
        source="definition",
    )


@made_once
def margin_below(unit: str) -> DeclaredFormula:
    """The formula of the margin under a greatest value, for values in a coherent SI unit."""
    return difference_of(
        "margin_below",
        "Margin of a value under the most that is allowed: negative where it goes beyond.",
        value=Variable("x", unit or "1", "value"),
        limit=Variable("x_max", unit or "1", "greatest value allowed"),
        gives=Variable("m", unit or "1", "margin"),
        order=("limit", "value"),
        source="definition",
    )


def coverage_factor(
    probability: Annotated[float, "p", "1"],
) -> Annotated[float, "k", "1"]:
    """Standard uncertainties that a margin must have, for the limit to be met with a probability.

    Formula: k is where the standard normal distribution function reaches p. Symbols: p one-sided probability
    (1), k coverage factor (1).
    In words: found by iteration.
    Range: p from 0.5 to below 1. Errors: `OutOfRange`. Source: JCGM 106:2012, 7.3.2, p = Φ(margin / u), from
    memory.
    """
    within("probability", probability, 0.5, 1 - 1e-9, "half is a guess, and nothing measured is certain")
    return NormalDist().inv_cdf(probability)
