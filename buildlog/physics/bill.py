"""Sums of a bill of materials: masses and prices."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import not_negative


def line_mass(
    quantity: Annotated[float, "n", "1"],
    mass: Annotated[float, "m", "kg"],
) -> Annotated[float, "M", "kg"]:
    """Mass of one line of the bill.

    Formula: M = n m. Symbols: n number of pieces (1), m mass of one (kg), M mass of the line (kg).
    Range: zero or more. Errors: `OutOfRange`. Source: arithmetic.
    """
    not_negative("quantity", quantity)
    not_negative("mass", mass)
    return quantity * mass


def line_cost(
    quantity: Annotated[float, "n", "1"],
    price: Annotated[float, "p", "currency"],
) -> Annotated[float, "P", "currency"]:
    """Cost of one line of the bill.

    Formula: P = n p. Symbols: n number of pieces (1), p price of one (currency), P cost of the line
    (currency).
    Range: zero or more. Errors: `OutOfRange`. Source: arithmetic.
    """
    not_negative("quantity", quantity)
    not_negative("price", price)
    return quantity * price


def total_mass(lines: Annotated[Sequence[float], "M_i", "kg"]) -> Annotated[float, "M", "kg"]:
    """Sum of the masses of lines.

    Formula: M is the sum of the lines' masses M_i. Symbols: M_i mass of a line (kg), M total (kg).
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
    Range: any number of lines. Source: arithmetic.
    """
    total = 0.0
    for cost in lines:
        total += cost
    return total


def mass_change(
    mass_fitted: Annotated[float, "M_f", "kg"],
    mass_removed: Annotated[float, "M_r", "kg"],
) -> Annotated[float, "ΔM", "kg"]:
    """Change of the car's mass: negative when the car gets lighter.

    Formula: ΔM = M_f - M_r. Symbols: M_f mass fitted (kg), M_r mass removed (kg), ΔM change (kg).
    Range: zero or more each. Errors: `OutOfRange`. Source: arithmetic.
    """
    not_negative("mass_fitted", mass_fitted)
    not_negative("mass_removed", mass_removed)
    return mass_fitted - mass_removed


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
