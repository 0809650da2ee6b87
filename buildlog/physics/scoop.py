"""A scoop in the wind: what passes its opening and what pressure arrives at the box behind it."""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.physics.limits import not_negative, positive, within


def circle_area(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "A", "m²"]:
    """Area of a round opening.

    Formula: A = π d² / 4. Symbols: d diameter (m), A area (m²).
    Range: d positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    return pi * diameter**2 / 4


def flow_caught(
    area: Annotated[float, "A", "m²"],
    speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "Q_c", "m³/s"]:
    """Air that meets a scoop's opening: the stream tube as wide as the opening, at ambient density.

    Formula: Q_c = A v. Symbols: A area of the opening (m²), v speed of the air against it (m/s), Q_c
    volume flow (m³/s).
    Range: A positive, v zero or more. Errors: `OutOfRange`. Source: continuity.
    """
    positive("area", area)
    not_negative("speed", speed)
    return area * speed


def mean_velocity(
    volume_flow: Annotated[float, "Q", "m³/s"],
    area: Annotated[float, "A", "m²"],
) -> Annotated[float, "v", "m/s"]:
    """Mean velocity of a flow through an area; the speed at which an opening meets that flow.

    Formula: v = Q / A. Symbols: Q volume flow (m³/s), A area (m²), v velocity (m/s).
    Range: Q zero or more, A positive. Errors: `OutOfRange`. Source: continuity.
    """
    not_negative("volume_flow", volume_flow)
    positive("area", area)
    return volume_flow / area


def capture_ratio(
    flow_caught: Annotated[float, "Q_c", "m³/s"],
    air_drawn: Annotated[float, "Q", "m³/s"],
) -> Annotated[float, "r_c", "1"]:
    """Air that meets the scoop over air that the engine draws; above 1 the rest spills past the lip.

    Formula: r_c = Q_c / Q. Symbols: Q_c flow caught (m³/s), Q air drawn (m³/s), both at ambient density, r_c
    capture ratio (1).
    Range: Q_c zero or more, Q positive. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("flow_caught", flow_caught)
    positive("air_drawn", air_drawn)
    return flow_caught / air_drawn


def pressure_loss(
    loss_coefficient: Annotated[float, "K", "1"],
    dynamic_pressure: Annotated[float, "q", "Pa"],
) -> Annotated[float, "Δp_l", "Pa"]:
    """Loss of total pressure along a duct, incompressible.

    Formula: Δp_l = K q. Symbols: K sum of the loss coefficients, referred to the velocity that q belongs
    to (1), q dynamic pressure in the duct (Pa), Δp_l loss of total pressure (Pa).
    Range: both zero or more. Errors: `OutOfRange`.
    Source: definition of the loss coefficient; Idelchik, Handbook of Hydraulic Resistance, 3rd ed., ch. 1
    (from memory).
    """
    not_negative("loss_coefficient", loss_coefficient)
    not_negative("dynamic_pressure", dynamic_pressure)
    return loss_coefficient * dynamic_pressure


def box_pressure_rise(
    recovery: Annotated[float, "r", "1"],
    stagnation_pressure_rise: Annotated[float, "Δp_t", "Pa"],
    pressure_loss: Annotated[float, "Δp_l", "Pa"],
) -> Annotated[float, "Δp_b", "Pa"]:
    """Pressure in the box, where the air is nearly at rest, above ambient; below it when negative.

    Formula: Δp_b = r Δp_t - Δp_l. Symbols: r recovery of the opening (1), Δp_t stagnation pressure rise
    (Pa), Δp_l loss from the opening to the box (Pa), Δp_b pressure in the box above ambient (Pa).
    Range: r 0 to 1, the others zero or more. Errors: `OutOfRange`.
    Source: balance of total pressure; r is the ram-recovery ratio of NACA RM A7I30 (1948),
    (H - p_0) / (H_0 - p_0).
    """
    within("recovery", recovery, low=0, high=1, why="more than the full ram pressure cannot arrive")
    not_negative("stagnation_pressure_rise", stagnation_pressure_rise)
    not_negative("pressure_loss", pressure_loss)
    return recovery * stagnation_pressure_rise - pressure_loss


def stagnation_rise_needed(
    pressure_loss: Annotated[float, "Δp_l", "Pa"],
    recovery: Annotated[float, "r", "1"],
) -> Annotated[float, "Δp_t", "Pa"]:
    """Stagnation pressure rise at which ram just makes up the loss, so that the box stands at ambient.

    Formula: Δp_t = Δp_l / r. Symbols: Δp_l loss (Pa), r recovery (1), Δp_t stagnation pressure rise (Pa).
    Range: Δp_l zero or more, r above 0 to 1. Errors: `OutOfRange`. Source: `box_pressure_rise` at zero.
    """
    not_negative("pressure_loss", pressure_loss)
    positive("recovery", recovery)
    within("recovery", recovery, 0, 1)
    return pressure_loss / recovery


def highest_velocity(
    mean_velocity: Annotated[float, "v", "m/s"],
    peak_over_mean: Annotated[float, "k", "1"],
) -> Annotated[float, "u", "m/s"]:
    """Highest velocity in a section that is not filled evenly.

    Formula: u = k v. Symbols: v mean velocity (m/s), k highest over mean velocity (1), u highest velocity
    (m/s).
    Range: v zero or more, k from 1. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("mean_velocity", mean_velocity)
    within("peak_over_mean", peak_over_mean, 1, why="the highest is not below the mean")
    return peak_over_mean * mean_velocity


def velocity_ratio(
    velocity: Annotated[float, "u", "m/s"],
    reference_velocity: Annotated[float, "v_t", "m/s"],
) -> Annotated[float, "r", "1"]:
    """One velocity over another.

    Formula: r = u / v_t. Symbols: u velocity (m/s), v_t the velocity it is compared with (m/s), r ratio (1).
    Range: u zero or more, v_t positive. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("velocity", velocity)
    positive("reference_velocity", reference_velocity)
    return velocity / reference_velocity


def area_scaled(
    area: Annotated[float, "A", "m²"],
    velocity_ratio: Annotated[float, "r", "1"],
) -> Annotated[float, "A_2", "m²"]:
    """Area in which the same flow is slower by a ratio.

    Formula: A_2 = A r. Symbols: A area (m²), r present over wanted velocity (1), A_2 area needed (m²).
    Range: A positive, r zero or more. Errors: `OutOfRange`. Source: continuity.
    """
    positive("area", area)
    not_negative("velocity_ratio", velocity_ratio)
    return area * velocity_ratio
