"""Sums of a bill of materials: masses and prices."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, product_of
from buildlog.physics.limits import not_negative

line_mass = product_of(
    "line_mass",
    "Mass of one line of the bill.",
    quantity=Variable("n", "1", "number of pieces, litres or whatever is counted", not_negative),
    mass=Variable("m", "kg", "mass of one", not_negative),
    gives=Variable("M", "kg", "mass of the line"),
    source="arithmetic",
)

line_cost = product_of(
    "line_cost",
    "Cost of one line of the bill.",
    quantity=Variable("n", "1", "number of pieces, litres or whatever is counted", not_negative),
    price=Variable("p", "currency", "price of one", not_negative),
    gives=Variable("P", "currency", "cost of the line"),
    source="arithmetic",
)


mass_of_length = product_of(
    "mass_of_length",
    "Mass of a piece that is sold by its length.",
    length=Variable("L", "m", "length of the piece", not_negative),
    mass_per_metre=Variable("m'", "kg/m", "mass of a metre", not_negative),
    gives=Variable("m", "kg", "mass of the piece"),
    source="arithmetic",
)

price_of_length = product_of(
    "price_of_length",
    "Price of a piece that is sold by its length.",
    length=Variable("L", "m", "length of the piece", not_negative),
    price_per_metre=Variable("p'", "currency/m", "price of a metre", not_negative),
    gives=Variable("p", "currency", "price of the piece"),
    source="arithmetic",
)

price_exchanged = product_of(
    "price_exchanged",
    "A price in the currency of the bill.",
    foreign_price=Variable("p_f", "1", "price, counted in the other currency", not_negative),
    rate=Variable("r", "currency", "what one of the other currency is worth", not_negative),
    gives=Variable("p", "currency", "price"),
    source="arithmetic",
)


def total_time(lines: Annotated[Sequence[float], "t_i", "s"]) -> Annotated[float, "t", "s"]:
    """Sum of the hours of lines.

    Formula: t is the sum of the lines' times t_i. Symbols: t_i time of a line (s), t total (s).
    In words: worked out over a list.
    Range: any number of lines. Source: arithmetic.
    """
    total = 0.0
    for time in lines:
        total += time
    return total


def total_mass(lines: Annotated[Sequence[float], "M_i", "kg"]) -> Annotated[float, "M", "kg"]:
    """Sum of the masses of lines.

    Formula: M is the sum of the lines' masses M_i. Symbols: M_i mass of a line (kg), M total (kg).
    In words: worked out over a list.
    Range: any number of lines. Source: arithmetic.
    """
    total = 0.0
    for mass in lines:
        total += mass
    return total


def total_cost(lines: Annotated[Sequence[float], "P_i", "currency"]) -> Annotated[float, "P", "currency"]:
    """Sum of the costs of lines.

    Formula: P is the sum of the lines' costs P_i. Symbols: P_i cost of a line (currency), P total
    (currency).
    In words: worked out over a list.
    Range: any number of lines. Source: arithmetic.
    """
    total = 0.0
    for cost in lines:
        total += cost
    return total


mass_change = difference_of(
    "mass_change",
    "Change of the car's mass: negative when the car gets lighter.",
    mass_fitted=Variable("M_f", "kg", "mass fitted", not_negative),
    mass_removed=Variable("M_r", "kg", "mass removed", not_negative),
    gives=Variable("ΔM", "kg", "change"),
    source="arithmetic",
)


def cost_per_mass_saved(
    cost: Annotated[float, "P", "currency"],
    mass_change: Annotated[float, "ΔM", "kg"],
) -> Annotated[float, "c", "currency/kg"]:
    """Cost of a kilogram saved.

    Formula: c = P / (-ΔM). Symbols: P cost (currency), ΔM change of the car's mass (kg), c cost per mass
    saved (currency/kg).
    Range: P zero or more, ΔM below zero: nothing is saved otherwise. Errors: `OutOfRange`.
    Source: arithmetic.
    """
    not_negative("cost", cost)
    if not mass_change < 0:
        raise OutOfRange("mass_change", f"{mass_change:g} kg", "less than 0 kg", help="no mass is saved")
    return cost / -mass_change
