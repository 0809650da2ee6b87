"""Money in declarations: a calculator says "money", the block says which currency it is in.

Each currency is a dimension of its own (`buildlog.figures.units`), so that no sum ever mixes two.
"""

from __future__ import annotations

from dataclasses import replace

from buildlog.figures.money import amount_decimals
from buildlog.kinds.declaration import Input, Number, Output

CURRENCY = "currency"
"""The name of the input that a calculator with prices asks for."""

CURRENCIES = {
    "EUR": "euro",
    "GBP": "pound sterling",
    "USD": "US dollar",
    "JPY": "yen",
    "CHF": "Swiss franc",
    "SEK": "Swedish krona",
    "AUD": "Australian dollar",
    "CAD": "Canadian dollar",
}
"""What that input may be, by code (ISO 4217)."""

_DIMENSIONS = {
    "money": ("money in {}", "{}"),
    "money per mass": ("money in {} per mass", "{}/kg"),
    "money per length": ("money in {} per length", "{}/m"),
}


def inputs_in(inputs: tuple[Input, ...], code: str) -> tuple[Input, ...]:
    """Declared inputs with their money in a currency, given by its three-letter code (ISO 4217)."""

    def in_currency(number: Number) -> Number:
        if number.dimension not in _DIMENSIONS:
            return number
        dimension, unit = _DIMENSIONS[number.dimension]
        return replace(number, dimension=dimension.format(code), unit=unit.format(code))

    return tuple(declared.with_numbers(in_currency) for declared in inputs)


def output_in(output: Output, code: str) -> Output:
    """A declared output with its money in a currency; without a code it is left as it is."""
    if not code or output.dimension not in _DIMENSIONS:
        return output
    dimension, unit = _DIMENSIONS[output.dimension]
    unit = unit.format(code)
    decimals = amount_decimals(unit, output.decimals)
    return replace(output, dimension=dimension.format(code), unit=unit, decimals=decimals)
