"""Amounts of money are written to the coin or in whole ones, never to tenths."""

from __future__ import annotations

import pytest

from buildlog.figures.labels import write_figure
from buildlog.figures.money import amount_decimals, coin_decimals
from buildlog.figures.units import DIMENSIONS
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import Value


@pytest.mark.parametrize(
    "symbol,decimals,written",
    [
        ("EUR", 1, "18.50"),
        ("EUR/kg", 1, "18.50"),
        ("EUR", 2, "18.50"),
        ("EUR", 0, "18"),  # 18.5 to even
        ("EUR", 3, "18.500"),  # where it takes them to tell it from what is stated
        ("kg", 1, "18.5"),
        ("JPY", 1, "18.5"),  # has no coin below one: tenths are of a mean, say
    ],
)
def test_a_figure_of_money_has_coins_or_none(symbol: str, decimals: int, written: str) -> None:
    assert write_figure(18.5, decimals, symbol) == f"{written}\u00a0{symbol}"


def money(amount: float, doubt: float = 0.0, decimals: int = 2) -> str:
    contributions = {"it": doubt / 2} if doubt else {}
    value = Value(
        si=amount, dimension="money in EUR", unit="EUR", decimals=decimals, contributions=contributions
    )
    return shown(value).text


def test_an_amount_has_two_decimals_in_a_card() -> None:
    assert money(18.5) == "18.50\u00a0EUR"
    assert money(18.5, decimals=1) == "18.50\u00a0EUR"


def test_doubt_leaves_coins_or_whole_amounts() -> None:
    """Two digits of the uncertainty (JCGM 100:2008, 7.2.6), in what is paid with."""
    assert money(18.5, doubt=0.75) == "18.50 ± 0.75\u00a0EUR"
    assert money(18.5, doubt=2.5) == "18.50 ± 2.50\u00a0EUR"
    assert money(1240.4, doubt=36.0) == "1240 ± 36\u00a0EUR"


def test_every_currency_has_its_coins() -> None:
    currencies = {name.split()[2] for name in DIMENSIONS if name.startswith("money in ")}
    # ISO 4217, minor units: moneyphp/iso-currencies, resources/current.php (read)
    assert {code: amount_decimals(code, 9) for code in currencies} == dict.fromkeys(currencies, 2) | {
        "JPY": 0
    }
    assert coin_decimals("JPY", 0) == 0
