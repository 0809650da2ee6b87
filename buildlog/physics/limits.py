"""Guards for the valid range of a formula. They raise; nothing is ever clamped."""

from __future__ import annotations

from math import inf, isfinite

from buildlog.diagnostics import OutOfRange

_ROUNDING = 1e-14
"""Relative: what the conversion of units rounds off, some forty times over."""


def _slack(bound: float) -> float:
    return _ROUNDING * abs(bound) if isfinite(bound) else 0.0


def positive(name: str, value: float, why: str = "") -> None:
    """Refuse a value that is not finite and greater than zero."""
    # Infinity is greater than zero, and would come back as a result that is no number.
    if not (isfinite(value) and value > 0):
        raise OutOfRange(name, f"{value:g}", "more than 0", help=why)


def not_negative(name: str, value: float, why: str = "") -> None:
    """Refuse a value that is not finite or is below zero."""
    if not (isfinite(value) and value >= 0):
        raise OutOfRange(name, f"{value:g}", "0 or more", help=why)


def within(name: str, value: float, low: float = -inf, high: float = inf, why: str = "") -> None:
    """Refuse a value that is not finite or lies outside low … high (both allowed).

    A bound that an author writes may come a last bit beside it: −40 °C is 233.14999999999998 K.
    """
    if isfinite(value) and low <= value <= high:
        return
    if not (isfinite(value) and low - _slack(low) <= value <= high + _slack(high)):
        raise OutOfRange(name, f"{value:g}", range_in_words(low, high), help=why)


def range_in_words(low: float, high: float) -> str:
    """A range as people say it: ``1 to 5``, ``1 or more``, ``up to 5``."""
    match (low > -inf, high < inf):
        case (True, True):
            return f"{low:g} to {high:g}"
        case (True, False):
            return f"{low:g} or more"
        case (False, True):
            return f"up to {high:g}"
    return "any"
