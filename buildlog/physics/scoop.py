"""A scoop in the wind: what passes its opening and what pressure arrives at the box behind it."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.declared import UpTo, Variable, Within, difference_of, product_of, ratio_of
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
    area=Variable("A", "m²", "area of the opening, 0 where none faces the wind", not_negative),
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


# --- sections that are not round ---------------------------------------------------------


rectangle_area = product_of(
    "rectangle_area",
    "Area of a rectangular section.",
    width=Variable("a", "m", "width", positive),
    height=Variable("b", "m", "height", positive),
    gives=Variable("A", "m²", "area"),
    source="geometry",
)


def oval_area(
    width: Annotated[float, "a", "m"],
    height: Annotated[float, "b", "m"],
) -> Annotated[float, "A", "m²"]:
    """Area of a flat oval section: two half circles with a rectangle between them.

    Formula: A = π b² / 4 + b (a - b). Symbols: a width, the longer side (m), b height (m), A area (m²).
    Range: both positive, b up to a. Errors: `OutOfRange`. Source: geometry.
    """
    positive("height", height)
    within("width", width, low=height, why="the width of an oval is its longer side")
    return pi * height**2 / 4 + height * (width - height)


def rectangle_perimeter(
    width: Annotated[float, "a", "m"],
    height: Annotated[float, "b", "m"],
) -> Annotated[float, "P", "m"]:
    """Wetted perimeter of a rectangular section.

    Formula: P = 2 (a + b). Symbols: a width (m), b height (m), P perimeter (m).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    return 2 * (width + height)


def oval_perimeter(
    width: Annotated[float, "a", "m"],
    height: Annotated[float, "b", "m"],
) -> Annotated[float, "P", "m"]:
    """Wetted perimeter of a flat oval section.

    Formula: P = π b + 2 (a - b). Symbols: a width, the longer side (m), b height (m), P perimeter (m).
    Range: both positive, b up to a. Errors: `OutOfRange`. Source: geometry.
    """
    positive("height", height)
    within("width", width, low=height, why="the width of an oval is its longer side")
    return pi * height + 2 * (width - height)


def hydraulic_diameter(
    area: Annotated[float, "A", "m²"],
    perimeter: Annotated[float, "P", "m"],
) -> Annotated[float, "d_h", "m"]:
    """Hydraulic diameter: the bore of a round pipe with as much area for each metre of wall.

    Formula: d_h = 4 A / P. Symbols: A area (m²), P wetted perimeter (m), d_h hydraulic diameter (m).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("area", area)
    positive("perimeter", perimeter)
    return 4 * area / perimeter


def equal_area_diameter(
    area: Annotated[float, "A", "m²"],
) -> Annotated[float, "d", "m"]:
    """Bore of the round pipe of the same area, in which the air is as fast.

    Formula: d = √(4 A / π). Symbols: A area (m²), d bore (m).
    Range: A positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("area", area)
    return sqrt(4 * area / pi)


# --- a mouth that is asked for more or less than it meets --------------------------------


def free_lip_loss_coefficient(
    edge_radius_ratio: Annotated[float, "r/d", "1"],
) -> Annotated[float, "K_l", "1"]:
    """Loss coefficient of a mouth that stands free in the air, by the rounding of its lip.

    Formula: K_l from a table, straight lines between: r/d 0, 0.02, 0.04, 0.06, 0.10 and from 0.20 on give
    1.0, 0.74, 0.51, 0.32, 0.15 and 0.03. Symbols: r/d radius of the lip over the bore (1), K_l loss
    coefficient on the velocity in the mouth (1).
    Range: r/d zero or more; still air around. Errors: `OutOfRange`.
    Source: Idelchik, Handbook of Hydraulic Resistance, diagram 3-4, as printed in ASHRAE, Fitting Loss
    Coefficients, 1-2 (2021). The 1.0 of a sharp lip is what the balance of momentum gives (NACA Report 1193).
    """
    not_negative("edge_radius_ratio", edge_radius_ratio)
    if edge_radius_ratio <= 0.02:
        return 1 - 13 * edge_radius_ratio
    if edge_radius_ratio <= 0.04:
        return 0.74 - 11.5 * (edge_radius_ratio - 0.02)
    if edge_radius_ratio <= 0.06:
        return 0.51 - 9.5 * (edge_radius_ratio - 0.04)
    if edge_radius_ratio <= 0.10:
        return 0.32 - 4.25 * (edge_radius_ratio - 0.06)
    if edge_radius_ratio < 0.20:
        return 0.15 - 1.2 * (edge_radius_ratio - 0.10)
    return 0.03


def mass_flow_ratio(
    volume_flow: Annotated[float, "Q", "m³/s"],
    area: Annotated[float, "A", "m²"],
    speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "μ", "1"]:
    """Air that a mouth takes over air that meets it.

    Formula: μ = Q / (A v). Symbols: Q volume flow taken in (m³/s), A area of the mouth (m²), v speed of the
    air against it (m/s), μ mass-flow ratio (1; below 1 the rest spills past the lip).
    Range: Q zero or more, A and v positive. Errors: `OutOfRange`. Source: definition, NACA TN 3004 (1953).
    """
    not_negative("volume_flow", volume_flow)
    positive("area", area)
    positive("speed", speed)
    return volume_flow / (area * speed)


def recovery_at(
    recovery: Annotated[float, "r", "1"],
    recovery_stopped: Annotated[float, "r_0", "1"],
    mass_flow_ratio: Annotated[float, "μ", "1"],
) -> Annotated[float, "r_μ", "1"]:
    """Recovery of a mouth that is asked for a part of what it meets, or for all of it.

    Formula: r_μ = r_0 + (r - r_0) μ for μ up to 1, and r above. Symbols: r recovery where the mouth takes
    what it meets (1), r_0 recovery with the duct stopped (1), μ mass-flow ratio (1), r_μ recovery (1).
    Range: r and r_0 0 to 1, μ zero or more; straight between the two readings. Errors: `OutOfRange`.
    Source: two readings of the author and a straight line between (common practice, no source).
    """
    within("recovery", recovery, low=0, high=1, why="more than the full ram pressure cannot arrive")
    within("recovery_stopped", recovery_stopped, low=0, high=1, why="no more than the ram pressure arrives")
    not_negative("mass_flow_ratio", mass_flow_ratio)
    if mass_flow_ratio >= 1:
        return recovery
    return recovery_stopped + (recovery - recovery_stopped) * mass_flow_ratio


def lip_loss(
    lip_loss_coefficient: Annotated[float, "K_l", "1"],
    density: Annotated[float, "ρ", "kg/m³"],
    mouth_velocity: Annotated[float, "u", "m/s"],
    speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "Δp_l", "Pa"]:
    """Total pressure lost at the lip of a mouth that is asked for more than it meets.

    The air turns round the lip and separates inside. For a sharp lip in a stream the balance of momentum
    gives ρ(u - v)²/2, which is Borda's mouthpiece in still air and nothing where the mouth takes what it
    meets; a rounded lip loses that share of it that it loses in still air.

    Formula: Δp_l = K_l ρ (u - v)² / 2 for u above v, otherwise 0. Symbols: K_l loss coefficient of the mouth
    in still air (1), ρ density (kg/m³), u mean velocity in the mouth (m/s), v speed of the air against it
    (m/s), Δp_l loss of total pressure (Pa).
    Range: K_l, u, v zero or more, ρ positive; incompressible. Errors: `OutOfRange`.
    Source: E. A. Fradenburgh and D. D. Wyatt, Theoretical performance characteristics of sharp-lip inlets at
    subsonic speeds, NACA TN 3004 (1953) and Report 1193 (1954): its balance of momentum, at low speed.
    """
    not_negative("lip_loss_coefficient", lip_loss_coefficient)
    positive("density", density)
    not_negative("mouth_velocity", mouth_velocity)
    not_negative("speed", speed)
    if mouth_velocity <= speed:
        return 0.0
    return lip_loss_coefficient * density * (mouth_velocity - speed) ** 2 / 2


suction_at_drain = difference_of(
    "suction_at_drain",
    "How far the box is below the pressure outside at the end of its drain; above 0 it holds water up.",
    pressure_outside=Variable("Δp_d", "Pa", "pressure at the drain's end, above ambient", Within()),
    box_pressure_rise=Variable("Δp_b", "Pa", "pressure in the box, above ambient", Within()),
    gives=Variable("Δp_s", "Pa", "suction"),
    source="hydrostatics",
)

pressure_by_coefficient = product_of(
    "pressure_by_coefficient",
    "Pressure at a place on the car above ambient.",
    pressure_coefficient=Variable("c_p", "1", "pressure coefficient of the place", Within(-3, 1)),
    dynamic_pressure=Variable("q", "Pa", "dynamic pressure of the wind", not_negative),
    gives=Variable("Δp", "Pa", "pressure above ambient"),
    source="definition of the pressure coefficient",
)
