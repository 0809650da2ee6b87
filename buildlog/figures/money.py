"""How many decimals amounts of money are written with: 18.50 EUR, never 18.5 EUR.

A currency's symbol here is its code (ISO 4217), and a price by mass or length begins with it.
"""

from __future__ import annotations

_COINS = {"EUR": 2, "GBP": 2, "USD": 2, "CHF": 2, "SEK": 2, "AUD": 2, "CAD": 2, "JPY": 0}
"""Decimals of the smallest coin (ISO 4217, minor unit, as moneyphp/iso-currencies has it in
resources/current.php, read)."""


def amount_decimals(symbol: str, decimals: int) -> int:
    """The decimals that a value of a unit is shown with: those of the smallest coin, where it is money."""
    return _COINS.get(symbol.partition("/")[0], decimals)


def coin_decimals(symbol: str, decimals: int) -> int:
    """`decimals`, or those of the coins where tenths of an amount were to be told. None stay none: an amount
    may be known, or said, in whole ones only; and more stay, where it takes them to tell two apart."""
    return max(decimals, amount_decimals(symbol, decimals)) if decimals == 1 else decimals
