"""A scoop in the wind: what passes its opening and what pressure arrives at the box behind it."""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.physics.declared import UpTo, Variable, Within, product_of, ratio_of
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


flow_caught = product_of(
    "flow_caught",
    "Air that meets a scoop's opening: the stream tube as wide as the opening, at ambient density.",
    area=Variable("A", "m²", "area of the opening", positive),
    speed=Variable("v", "m/s", "speed of the air against it", not_negative),
    gives=Variable("Q_c", "m³/s", "volume flow"),
    source="continuity",
)

mean_velocity = ratio_of(
    "mean_velocity",
    "Mean velocity of a flow through an area; the speed at which an opening meets that flow.",
    volume_flow=Variable("Q", "m³/s", "volume flow", not_negative),
    area=Variable("A", "m²", "area", positive),
    gives=Variable("v", "m/s", "velocity"),
    source="continuity",
)

capture_ratio = ratio_of(
    "capture_ratio",
    "Air that meets the scoop over air that the engine draws; above 1 the rest spills past the lip.",
    flow_caught=Variable("Q_c", "m³/s", "flow caught", not_negative),
    air_drawn=Variable("Q", "m³/s", "air drawn", positive),
    gives=Variable("r_c", "1", "capture ratio"),
    source="definition",
)

pressure_loss = product_of(
    "pressure_loss",
    "Loss of total pressure along a duct, incompressible.",
    loss_coefficient=Variable(
        "K", "1", "loss coefficients in all, on the velocity that q is of", not_negative
    ),
    dynamic_pressure=Variable("q", "Pa", "dynamic pressure in the duct", not_negative),
    gives=Variable("Δp_l", "Pa", "loss of total pressure"),
    source="definition of the loss coefficient; Idelchik, Handbook of Hydraulic Resistance, 3rd ed., ch. 1 "
    "(from memory)",
)


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


stagnation_rise_needed = ratio_of(
    "stagnation_rise_needed",
    "Stagnation pressure rise at which ram just makes up the loss, so that the box stands at ambient.",
    pressure_loss=Variable("Δp_l", "Pa", "loss", not_negative),
    recovery=Variable("r", "1", "recovery", UpTo(1)),
    gives=Variable("Δp_t", "Pa", "stagnation pressure rise"),
    source="`box_pressure_rise` at zero",
)


_PEAK = Within(1, why="the highest is not below the mean")

highest_velocity = product_of(
    "highest_velocity",
    "Highest velocity in a section that is not filled evenly.",
    mean_velocity=Variable("v", "m/s", "mean velocity", not_negative),
    peak_over_mean=Variable("k", "1", "highest over mean velocity", _PEAK),
    gives=Variable("u", "m/s", "highest velocity"),
    order=("peak_over_mean", "mean_velocity"),
    source="definition",
)

velocity_ratio = ratio_of(
    "velocity_ratio",
    "One velocity over another.",
    velocity=Variable("u", "m/s", "velocity", not_negative),
    reference_velocity=Variable("v_t", "m/s", "the velocity it is compared with", positive),
    gives=Variable("r", "1", "ratio"),
    source="definition",
)

area_scaled = product_of(
    "area_scaled",
    "Area in which the same flow is slower by a ratio.",
    area=Variable("A", "m²", "area", positive),
    velocity_ratio=Variable("r", "1", "present over wanted velocity", not_negative),
    gives=Variable("A_2", "m²", "area needed"),
    source="continuity",
)
