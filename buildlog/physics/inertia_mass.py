"""Rotating parts as mass: what a car that gathers speed has to bring up to speed besides itself."""

from __future__ import annotations

from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of, sum_of
from buildlog.physics.limits import not_negative, positive

inertia_of_wheels = product_of(
    "inertia_of_wheels",
    "Moment of inertia of several like wheels about their axles.",
    wheel_inertia=Variable("J_1", "kg·m²", "one wheel with tyre, disc and hub", not_negative),
    wheels=Variable("n", "1", "number of wheels", not_negative),
    gives=Variable("J_w", "kg·m²", "all of them"),
    order=("wheels", "wheel_inertia"),
    source="sum",
)

crankshaft_inertia = sum_of(
    "crankshaft_inertia",
    "Moment of inertia that turns at engine speed with the clutch closed.",
    engine_inertia=Variable("J_e", "kg·m²", "engine", not_negative),
    flywheel_inertia=Variable("J_f", "kg·m²", "flywheel with the clutch's cover", not_negative),
    clutch_inertia=Variable("J_c", "kg·m²", "clutch disc with the gearbox's input shaft", not_negative),
    gives=Variable("J", "kg·m²", "sum"),
    source="sum",
)


def accelerated_mass(
    vehicle_mass: Annotated[float, "m", "kg"],
    wheel_inertia: Annotated[float, "J_w", "kg·m²"],
    shaft_inertia: Annotated[float, "J", "kg·m²"],
    overall_ratio: Annotated[float, "i", "1"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "m_a", "kg"]:
    """Mass of the car with its rotating parts, as the wheel force feels it in a gear.

    Formula: m_a = m + (J_w + J i²) / r_e². Symbols: m mass of the car (kg), J_w inertia of all wheels
    (kg·m²), J inertia of what turns ahead of the gearbox (kg·m²), i overall ratio (1), r_e rolling radius
    (m), m_a accelerated mass (kg). Losses in the driveline are not put on the inertia's own torque.
    Range: inertias zero or more, others positive. Errors: `OutOfRange`.
    Source: equal kinetic energy; Gillespie, Fundamentals of Vehicle Dynamics (SAE, 1992), eq. 2-9b (from
    memory).
    """
    positive("vehicle_mass", vehicle_mass)
    not_negative("wheel_inertia", wheel_inertia)
    not_negative("shaft_inertia", shaft_inertia)
    positive("overall_ratio", overall_ratio)
    positive("rolling_radius", rolling_radius)
    return vehicle_mass + (wheel_inertia + shaft_inertia * overall_ratio**2) / rolling_radius**2


def mass_with_wheels(
    vehicle_mass: Annotated[float, "m", "kg"],
    wheel_inertia: Annotated[float, "J_w", "kg·m²"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "m_w", "kg"]:
    """Mass of the car with rolling wheels, and nothing else turning with them.

    Formula: m_w = m + J_w / r_e². Symbols: m mass of the car (kg), J_w inertia of the wheels that the road
    turns (kg·m²), r_e rolling radius (m), m_w mass (kg).
    Range: J_w zero or more, others positive. Errors: `OutOfRange`. Source: equal kinetic energy.
    """
    positive("vehicle_mass", vehicle_mass)
    not_negative("wheel_inertia", wheel_inertia)
    positive("rolling_radius", rolling_radius)
    return vehicle_mass + wheel_inertia / rolling_radius**2


effective_mass_of_parts = difference_of(
    "effective_mass_of_parts",
    "What the rotating parts add to the car's mass.",
    accelerated_mass=Variable("m_a", "kg", "accelerated mass", positive),
    vehicle_mass=Variable("m", "kg", "mass of the car", positive),
    gives=Variable("m_e", "kg", "effective mass of the rotating parts"),
    source="definition",
)

mass_factor = ratio_of(
    "mass_factor",
    "Accelerated mass over mass.",
    accelerated_mass=Variable("m_a", "kg", "accelerated mass", positive),
    vehicle_mass=Variable("m", "kg", "mass of the car", positive),
    gives=Variable("λ", "1", "mass factor"),
    source="definition; Gillespie (1992), eq. 2-10 (from memory)",
)
