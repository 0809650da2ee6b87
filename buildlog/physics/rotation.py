"""Rotation: inertia from shape or from a swing test, stored energy, and the stress of spinning."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, ratio_of
from buildlog.physics.limits import not_negative, positive, within


def _ring(outer_diameter: float, inner_diameter: float) -> None:
    positive("outer_diameter", outer_diameter)
    not_negative("inner_diameter", inner_diameter)
    if inner_diameter >= outer_diameter:
        raise OutOfRange(
            "inner_diameter",
            f"{inner_diameter * 1000:g} mm",
            f"less than the outer diameter, {outer_diameter * 1000:g} mm",
        )


def ring_mass(
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
    width: Annotated[float, "b", "m"],
    density: Annotated[float, "ρ", "kg/m³"],
) -> Annotated[float, "m", "kg"]:
    """Mass of a ring; of a disc where the inner diameter is 0.

    Formula: m = π ρ b (D² - d²) / 4. Symbols: D outer diameter (m), d inner diameter (m), b width (m), ρ
    density (kg/m³), m mass (kg).
    Range: d from 0 to below D, others positive. Errors: `OutOfRange`. Source: geometry.
    """
    _ring(outer_diameter, inner_diameter)
    positive("width", width)
    positive("density", density)
    return pi * density * width * (outer_diameter**2 - inner_diameter**2) / 4


def ring_inertia(
    ring_mass: Annotated[float, "m", "kg"],
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "J", "kg·m²"]:
    """Moment of inertia of a ring about its axis.

    Formula: J = m (D² + d²) / 8. Symbols: m mass (kg), D outer diameter (m), d inner diameter (m), J moment
    of inertia (kg·m²).
    Range: m positive, d from 0 to below D. Errors: `OutOfRange`.
    Source: any text of mechanics; Shigley, Mechanical Engineering Design, table of inertias.
    """
    positive("ring_mass", ring_mass)
    _ring(outer_diameter, inner_diameter)
    return ring_mass * (outer_diameter**2 + inner_diameter**2) / 8


def inertia_with(
    inertia: Annotated[float, "J_1", "kg·m²"],
    further_inertia: Annotated[float, "J_2", "kg·m²"],
) -> Annotated[float, "J", "kg·m²"]:
    """Moment of inertia of two bodies on one axis; a hollow counts as a negative one.

    Formula: J = J_1 + J_2. Symbols: J_1 one part (kg·m²), J_2 other part (kg·m²), J the whole (kg·m²).
    Range: the whole is positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("inertia", inertia + further_inertia, "no more can be taken out than is there")
    return inertia + further_inertia


def mass_with(
    mass: Annotated[float, "m_1", "kg"],
    further_mass: Annotated[float, "m_2", "kg"],
) -> Annotated[float, "m", "kg"]:
    """Mass of two bodies; a hollow counts as a negative one.

    Formula: m = m_1 + m_2. Symbols: m_1 one part (kg), m_2 other part (kg), m the whole (kg).
    Range: the whole is positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("mass", mass + further_mass, "no more can be taken out than is there")
    return mass + further_mass


def swing_inertia(
    swinging_mass: Annotated[float, "m", "kg"],
    gravity: Annotated[float, "g", "m/s²"],
    wire_radius: Annotated[float, "R", "m"],
    wire_length: Annotated[float, "L", "m"],
    swing_period: Annotated[float, "T", "s"],
) -> Annotated[float, "J", "kg·m²"]:
    """Moment of inertia of what hangs on two or three equal upright wires and turns to and fro.

    Formula: J = m g R² T² / (4 π² L). Symbols: m mass that hangs (kg), g acceleration of gravity (m/s²),
    R distance of each wire from the axis (m), L free length of the wires (m), T time of a full swing,
    there and back (s), J moment of inertia about the upright axis (kg·m²).
    Range: all positive; wires upright and light, centre of mass on the axis, small swings.
    Errors: `OutOfRange`.
    Source: bifilar and trifilar suspension, as derived in laboratory notes on the trifilar pendulum
    (read) and from the energy of the lifted mass.
    """
    positive("swinging_mass", swinging_mass)
    positive("gravity", gravity)
    positive("wire_radius", wire_radius)
    positive("wire_length", wire_length)
    positive("swing_period", swing_period)
    return swinging_mass * gravity * wire_radius**2 * swing_period**2 / (4 * pi**2 * wire_length)


def inertia_less_platform(
    swung_inertia: Annotated[float, "J_t", "kg·m²"],
    platform_inertia: Annotated[float, "J_p", "kg·m²"],
) -> Annotated[float, "J", "kg·m²"]:
    """Moment of inertia of a body that swung together with its platform.

    Formula: J = J_t - J_p. Symbols: J_t body and platform (kg·m²), J_p platform alone (kg·m²), J body
    (kg·m²).
    Range: J_t above J_p, both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("platform_inertia", platform_inertia)
    if swung_inertia <= platform_inertia:
        raise OutOfRange(
            "swing_period",
            f"{swung_inertia:.4g} kg·m² with the flywheel",
            f"more than the platform's {platform_inertia:.4g} kg·m²",
            help="check both periods and masses",
        )
    return swung_inertia - platform_inertia


def radius_of_gyration(
    inertia: Annotated[float, "J", "kg·m²"],
    mass: Annotated[float, "m", "kg"],
) -> Annotated[float, "k", "m"]:
    """Radius at which the whole mass would have the same inertia.

    Formula: k = √(J / m). Symbols: J moment of inertia (kg·m²), m mass (kg), k radius (m).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("inertia", inertia)
    positive("mass", mass)
    return sqrt(inertia / mass)


def stored_energy(
    inertia: Annotated[float, "J", "kg·m²"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "E", "J"]:
    """Kinetic energy of a turning body.

    Formula: E = J ω² / 2. Symbols: J moment of inertia (kg·m²), ω rotational speed (rad/s), E energy (J).
    Range: J positive, ω zero or more. Errors: `OutOfRange`. Source: definition.
    """
    positive("inertia", inertia)
    not_negative("rotational_speed", rotational_speed)
    return inertia * rotational_speed**2 / 2


angular_acceleration = ratio_of(
    "angular_acceleration",
    "Rate at which a torque spins a body up.",
    torque=Variable("T", "N·m", "torque", positive),
    inertia=Variable("J", "kg·m²", "moment of inertia", positive),
    gives=Variable("α", "rad/s²", "acceleration"),
    source="Newton's law for rotation",
)


def run_up_time(
    low_speed: Annotated[float, "ω_1", "rad/s"],
    high_speed: Annotated[float, "ω_2", "rad/s"],
    angular_acceleration: Annotated[float, "α", "rad/s²"],
) -> Annotated[float, "t", "s"]:
    """Time to spin up from one speed to another at a constant rate.

    Formula: t = (ω_2 - ω_1) / α. Symbols: ω_1 rotational speed at the start (rad/s), ω_2 rotational speed at
    the end (rad/s), α acceleration (rad/s²), t time (s).
    Range: ω_2 above ω_1, α positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("low_speed", low_speed)
    positive("high_speed", high_speed - low_speed, "the upper speed lies above the lower")
    positive("angular_acceleration", angular_acceleration)
    return (high_speed - low_speed) / angular_acceleration


def effective_mass(
    inertia: Annotated[float, "J", "kg·m²"],
    overall_ratio: Annotated[float, "i", "1"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "m_e", "kg"]:
    """Mass that would be as hard to accelerate with the car as an inertia that turns with the engine.

    Formula: m_e = J (i / r_e)². Symbols: J moment of inertia at the crankshaft (kg·m²), i engine turns for
    a wheel turn (1), r_e rolling radius (m), m_e effective mass (kg).
    Range: all positive; clutch closed, nothing slips. Errors: `OutOfRange`. Source: equal kinetic energy.
    """
    positive("inertia", inertia)
    positive("overall_ratio", overall_ratio)
    positive("rolling_radius", rolling_radius)
    return inertia * (overall_ratio / rolling_radius) ** 2


def rim_speed(
    outer_diameter: Annotated[float, "D", "m"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "v", "m/s"]:
    """Speed of the rim.

    Formula: v = ω D / 2. Symbols: ω rotational speed (rad/s), D outer diameter (m), v speed (m/s).
    Range: D positive, ω zero or more. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("outer_diameter", outer_diameter)
    not_negative("rotational_speed", rotational_speed)
    return rotational_speed * outer_diameter / 2


def hoop_stress(
    density: Annotated[float, "ρ", "kg/m³"],
    rim_speed: Annotated[float, "v", "m/s"],
    bore_ratio: Annotated[float, "x", "1"],
    poisson_ratio: Annotated[float, "ν", "1"],
) -> Annotated[float, "σ", "Pa"]:
    """Greatest stress of a flat disc of even width with a central bore: around the bore.

    Formula: σ = ρ v² ((3 + ν) + (1 - ν) x²) / 4. Symbols: ρ density (kg/m³), v rim speed (m/s), x bore
    over outer diameter (1), ν Poisson's ratio (1), σ stress (Pa).
    Range: ρ positive, v zero or more, x above 0 and below 1 (a disc without any bore has half of the
    limit x → 0), ν 0 to 0.5; width small against the radius, no holes but the bore, no heat.
    Errors: `OutOfRange`.
    Source: Shigley and Mischke, Mechanical Engineering Design, 5th ed., stresses in rotating rings.
    """
    positive("density", density)
    not_negative("rim_speed", rim_speed)
    if not 0 < bore_ratio < 1:
        raise OutOfRange("bore", f"{bore_ratio:g} of the outer diameter", "more than 0 and less than 1")
    within("poisson_ratio", poisson_ratio, 0.0, 0.5)
    return density * rim_speed**2 * ((3 + poisson_ratio) + (1 - poisson_ratio) * bore_ratio**2) / 4


bore_ratio = ratio_of(
    "bore_ratio",
    "Bore over outer diameter.",
    bore=Variable("d", "m", "bore", positive),
    outer_diameter=Variable("D", "m", "outer diameter", positive),
    gives=Variable("x", "1", "ratio"),
    source="definition",
)


def average_hoop_stress(
    density: Annotated[float, "ρ", "kg/m³"],
    rotational_speed: Annotated[float, "ω", "rad/s"],
    outer_diameter: Annotated[float, "D", "m"],
    bore: Annotated[float, "d", "m"],
) -> Annotated[float, "σ_m", "Pa"]:
    """Hoop stress of a flat disc with a bore on average over its section: what a tough one bursts by.

    Formula: σ_m = ρ ω² (D² + D d + d²) / 12. Symbols: ρ density (kg/m³), ω rotational speed (rad/s), D outer
    diameter (m), d bore (m), σ_m stress (Pa).
    Range: ρ and D positive, ω zero or more, d from 0 to below D. Errors: `OutOfRange`.
    Source: balance of half a disc, 2 σ_m b (R - r) = 2 ρ ω² b (R³ - r³) / 3; Engineering ToolBox, Rotating
    bodies, stress (read), as ω² ρ (r_1² + r_1 r_2 + r_2²) / 3.
    """
    positive("density", density)
    not_negative("rotational_speed", rotational_speed)
    _ring(outer_diameter, bore)
    return density * rotational_speed**2 * (outer_diameter**2 + outer_diameter * bore + bore**2) / 12


def greatest_stress(
    hoop_stress: Annotated[float, "σ_t", "Pa"],
    radial_stress: Annotated[float, "σ_r", "Pa"],
) -> Annotated[float, "σ", "Pa"]:
    """The larger of two stresses that pull at right angles: the greatest principal stress.

    Formula: σ = max(σ_t, σ_r). Symbols: σ_t hoop stress (Pa), σ_r radial stress (Pa), σ stress (Pa).
    Range: any. Errors: none. Source: definition.
    """
    return max(hoop_stress, radial_stress)


def free_ring_stress(
    density: Annotated[float, "ρ", "kg/m³"],
    rim_speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "σ_r", "Pa"]:
    """Hoop stress of a thin ring that holds itself, as a rim on a web that gives way would.

    Formula: σ_r = ρ v². Symbols: ρ density (kg/m³), v rim speed (m/s), σ_r stress (Pa).
    Range: ρ positive, v zero or more. Errors: `OutOfRange`.
    Source: Mechanical Engineer's Data Handbook, 1.2.7, thin ring.
    """
    positive("density", density)
    not_negative("rim_speed", rim_speed)
    return density * rim_speed**2


stress_share = ratio_of(
    "stress_share",
    "Stress as a share of the material's tensile strength.",
    greatest_stress=Variable("σ", "Pa", "stress", not_negative),
    strength=Variable("R_m", "Pa", "tensile strength", positive),
    gives=Variable("u", "1", "share"),
    source="definition",
)


def speed_at_strength(
    rotational_speed: Annotated[float, "ω", "rad/s"],
    stress_share: Annotated[float, "u", "1"],
) -> Annotated[float, "ω_m", "rad/s"]:
    """Speed at which the greatest stress reaches the tensile strength: not a speed to go near.

    Formula: ω_m = ω / √u. Symbols: ω rotational speed (rad/s), u stress over strength there (1), ω_m
    speed (rad/s).
    Range: both positive. Errors: `OutOfRange`. Source: stress goes with the square of speed.
    """
    positive("rotational_speed", rotational_speed)
    positive("stress_share", stress_share)
    return rotational_speed / sqrt(stress_share)
