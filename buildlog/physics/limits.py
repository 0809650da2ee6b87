"""Guards for the valid range of a formula. They raise; nothing is ever clamped."""

from __future__ import annotations

from math import inf, isfinite

from buildlog.diagnostics import OutOfRange


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
    """Refuse a value that is not finite or lies outside low … high (both allowed)."""
    if not (isfinite(value) and low <= value <= high):
        raise OutOfRange(name, f"{value:g}", f"{low:g} to {high:g}", help=why)
