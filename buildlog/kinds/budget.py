"""What the uncertainty of a result is made of, in words: its two parts, and what most of it comes from."""

from __future__ import annotations

from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.figures.spread import decimals_of_uncertainty, rounded
from buildlog.kinds.results import BENT, CaseResult, Value

LEAST = 0.05
"""Of the variance: what is too little to be named."""
_NOISE = 1e-9
"""Relative to the whole uncertainty: a part that small is made by the rounding of arithmetic."""


def amount_in_words(value: Value, expanded: float) -> str:
    """An expanded uncertainty, SI, in the value's unit, to two digits (JCGM 100:2008, 7.2.6); or ""."""
    unit = units.find(value.unit, value.dimension)
    amount = abs(unit.from_si_difference(expanded))
    if not amount:
        return ""
    place = decimals_of_uncertainty(amount)
    symbol = unit.difference_symbol()
    return f"{write_number(rounded(amount, place), max(0, place))}\u00a0{symbol}".rstrip()


def part_in_words(value: Value, part: float) -> str:
    """A part of the value's own expanded uncertainty, SI, as `amount_in_words`; "" where it is rounding."""
    return amount_in_words(value, part) if part > _NOISE * value.expanded_uncertainty else ""


def parts_in_words(value: Value) -> str:
    """The two parts of an uncertainty where there are two: ``from inputs 0.4 m, of the method 0.8 m``."""
    both = {"from inputs": value.expanded_of_inputs, "of the method": value.expanded_of_method}
    told = [f"{what} {amount}" for what, part in both.items() if (amount := part_in_words(value, part))]
    return ", ".join(told) if len(told) > 1 else ""


def budget(case: CaseResult, value: Value) -> list[tuple[str, int]]:
    """What the uncertainty of a value comes from, the most first, in percent of its variance."""
    shares: dict[str, float] = {}
    for origin, part in value.contributions.items():
        name = _name(case, origin.removesuffix(BENT))
        shares[name] = shares.get(name, 0.0) + part * part
    total = sum(shares.values())
    ordered = sorted(shares.items(), key=lambda item: -item[1])
    return [(name, round(100 * share / total)) for name, share in ordered if share >= LEAST * total]


def _name(case: CaseResult, origin: str) -> str:
    if origin in case.origins:
        return case.origins[origin]
    doubt = case.doubted.get(origin)
    return "several together" if doubt is None else f"{doubt.about} (method)"
