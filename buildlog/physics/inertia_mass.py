"""Rotating parts as mass: what a car that gathers speed has to bring up to speed besides itself."""

from __future__ import annotations

from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

WHEELS_SHARE: Annotated[float, "s_w", "1"] = 0.03
"""Rotating mass of all wheels and what turns with them, over the mass of the car with a margin."""
WHEELS_MARGIN: Annotated[float, "m_0", "kg"] = 25.0
"""That margin."""
ENGINE_SHARE: Annotated[float, "s_e", "1"] = 0.0025
"""Rotating mass of the engine with its flywheel over the mass of the car, at an overall ratio of 1."""


def usual_wheel_inertia(
    vehicle_mass: Annotated[float, "m", "kg"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "J_1", "kg·m²"]:
    """Moment of inertia of one of four wheels, where nobody has measured it.

    Formula: J_1 = s_w (m + m_0) r_e² / 4, with s_w = 0.03 and m_0 = 25 kg. Symbols: m mass of the car (kg),
    r_e rolling radius (m), s_w share (1), m_0 margin (kg), J_1 one wheel with what turns along (kg·m²).
    Range: passenger cars. Errors: `OutOfRange`.
    Source: Regulation (EU) 2017/1151, Annex XXI, Sub-Annex 4, 2.5.1: the rotating mass with the gearbox in
    neutral “may be estimated to be 3 per cent of the sum of the mass in running order and 25 kg”; as mass,
    J / r².
    """
    positive("vehicle_mass", vehicle_mass)
    positive("rolling_radius", rolling_radius)
    return WHEELS_SHARE * (vehicle_mass + WHEELS_MARGIN) * rolling_radius**2 / 4


def usual_engine_inertia(
    vehicle_mass: Annotated[float, "m", "kg"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "J_e", "kg·m²"]:
    """Moment of inertia of an engine with its flywheel, where nobody has measured it.

    Formula: J_e = s_e m r_e², with s_e = 0.0025. Symbols: m mass of the car (kg), r_e rolling radius (m), s_e
    share at an overall ratio of 1 (1), J_e engine with flywheel (kg·m²).
    Range: passenger cars with piston engines. Errors: `OutOfRange`.
    Source: the second term of the mass factor 1 + 0.04 + 0.0025 i² (Gillespie, Fundamentals of Vehicle
    Dynamics, SAE, 1992, eq. 2-10; Wong, Theory of Ground Vehicles; as public course code quotes them).
    """
    positive("vehicle_mass", vehicle_mass)
    positive("rolling_radius", rolling_radius)
    return ENGINE_SHARE * vehicle_mass * rolling_radius**2


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
    driveline_efficiency: Annotated[float, "η", "1"],
) -> Annotated[float, "m_a", "kg"]:
    """Mass of the car with its rotating parts, as the wheel force feels it in a gear.

    Formula: m_a = m + (J_w + η J i²) / r_e². Symbols: m mass of the car (kg), J_w inertia of all wheels
    (kg·m²), η efficiency of the driveline (1), J inertia of what turns ahead of the gearbox (kg·m²), i
    overall ratio (1), r_e rolling radius (m), turning inertia of all that turns, at the wheels (kg·m²), m_a
    accelerated mass (kg).
    Range: inertias zero or more, η from 0 to 1, others positive; the engine drives. Errors: `OutOfRange`.
    Source: derived. The gearbox gets T - J dω/dt of the torque T, and the wheels η i of that: what the
    inertia keeps does not pass the driveline, so that its losses are not paid on it.
    """
    positive("vehicle_mass", vehicle_mass)
    not_negative("wheel_inertia", wheel_inertia)
    not_negative("shaft_inertia", shaft_inertia)
    positive("overall_ratio", overall_ratio)
    positive("rolling_radius", rolling_radius)
    within("driveline_efficiency", driveline_efficiency, 0, 1)
    turning = wheel_inertia + driveline_efficiency * shaft_inertia * overall_ratio**2
    return vehicle_mass + turning / rolling_radius**2


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
