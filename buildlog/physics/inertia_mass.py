"""Rotating parts as mass: what a car that gathers speed has to bring up to speed besides itself."""

from __future__ import annotations

from typing import Annotated

from buildlog.physics.limits import not_negative, positive


def inertia_of_wheels(
    wheel_inertia: Annotated[float, "J_1", "kg·m²"],
    wheels: Annotated[float, "n", "1"],
) -> Annotated[float, "J_w", "kg·m²"]:
    """Moment of inertia of several like wheels about their axles.

    Formula: J_w = n J_1. Symbols: n number of wheels (1), J_1 one wheel with tyre, disc and hub (kg·m²),
    J_w all of them (kg·m²). Range: zero or more. Errors: `OutOfRange`. Source: sum.
    """
    not_negative("wheel_inertia", wheel_inertia)
    not_negative("wheels", wheels)
    return wheels * wheel_inertia


def crankshaft_inertia(
    engine_inertia: Annotated[float, "J_e", "kg·m²"],
    flywheel_inertia: Annotated[float, "J_f", "kg·m²"],
    clutch_inertia: Annotated[float, "J_c", "kg·m²"],
) -> Annotated[float, "J", "kg·m²"]:
    """Moment of inertia that turns at engine speed with the clutch closed.

    Formula: J = J_e + J_f + J_c. Symbols: J_e engine (kg·m²), J_f flywheel with the clutch's cover
    (kg·m²), J_c clutch disc with the gearbox's input shaft (kg·m²), J sum (kg·m²).
    Range: zero or more. Errors: `OutOfRange`. Source: sum.
    """
    not_negative("engine_inertia", engine_inertia)
    not_negative("flywheel_inertia", flywheel_inertia)
    not_negative("clutch_inertia", clutch_inertia)
    return engine_inertia + flywheel_inertia + clutch_inertia


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


def effective_mass_of_parts(
    accelerated_mass: Annotated[float, "m_a", "kg"],
    vehicle_mass: Annotated[float, "m", "kg"],
) -> Annotated[float, "m_e", "kg"]:
    """What the rotating parts add to the car's mass.

    Formula: m_e = m_a - m. Symbols: m_a accelerated mass (kg), m mass of the car (kg), m_e effective mass of
    the rotating parts (kg). Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("accelerated_mass", accelerated_mass)
    positive("vehicle_mass", vehicle_mass)
    return accelerated_mass - vehicle_mass


def mass_factor(
    accelerated_mass: Annotated[float, "m_a", "kg"],
    vehicle_mass: Annotated[float, "m", "kg"],
) -> Annotated[float, "λ", "1"]:
    """Accelerated mass over mass.

    Formula: λ = m_a / m. Symbols: m_a accelerated mass (kg), m mass of the car (kg), λ mass factor (1).
    Range: both positive. Errors: `OutOfRange`. Source: definition; Gillespie (1992), eq. 2-10 (from memory).
    """
    positive("accelerated_mass", accelerated_mass)
    positive("vehicle_mass", vehicle_mass)
    return accelerated_mass / vehicle_mass
