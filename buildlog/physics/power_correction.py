"""Power and torque of a pull: on the road by what they do to the car, and as they would be in reference air.

The corrections are those for spark-ignition engines whose filling goes with the air around them. An engine
whose boost is held by a control, and one with compression ignition, follow other rules. The standards write
273 for 273.15; here 25 °C and 20 °C are exactly their reference.
"""

from __future__ import annotations

from math import sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within
from buildlog.physics.traction import power

__all__ = ("power",)

TEMPERATURES = {
    "sae_j1349": (288.15, 308.15),
    "iso_1585": (288.15, 308.15),
    "din_70020": (283.15, 313.15),
}
"""K; of the air that the engine draws, where each correction holds."""

dry_pressure = difference_of(
    "dry_pressure",
    "Pressure of the air without its water vapour.",
    ambient_pressure=Variable("p", "Pa", "ambient pressure", positive),
    vapour_pressure=Variable("p_v", "Pa", "vapour pressure", not_negative),
    gives=Variable("p_d", "Pa", "dry pressure"),
    source="Dalton's law",
)


def sae_j1349(
    dry_pressure: Annotated[float, "p_d", "Pa"],
    ambient_temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "α", "1"]:
    """What the torque of a spark-ignition engine is multiplied by after SAE J1349, to 99 kPa of dry air at
    25 °C.

    Formula: α = 1.18 (99 000 / p_d) √(T / 298.15) - 0.18. Symbols: p_d pressure of the dry air (Pa), T
    temperature of the air that the engine draws (K), α correction factor (1). The indicated power goes with
    the air, a friction of 15 % does not.
    Range: p_d 90 000 to 105 000 Pa, T 288.15 to 308.15 K. Errors: `OutOfRange`.
    Source: SAE J1349, revision of 1990 and after, as testers quote it (read); its limits from memory.
    """
    within("dry_pressure", dry_pressure, 90_000, 105_000, "SAE J1349: 90 to 105 kPa of dry air")
    within("ambient_temperature", ambient_temperature, 288.15, 308.15, "SAE J1349: 15 to 35 °C")
    return 1.18 * (99_000 / dry_pressure) * sqrt(ambient_temperature / 298.15) - 0.18


def iso_1585(
    dry_pressure: Annotated[float, "p_d", "Pa"],
    ambient_temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "α", "1"]:
    """What the torque of a spark-ignition engine is multiplied by after ISO 1585, to 99 kPa of dry air at
    25 °C. Directive 80/1269/EEC and UN Regulation 85 have the same.

    Formula: α = (99 000 / p_d)^1.2 (T / 298.15)^0.6. Symbols: p_d pressure of the dry air (Pa), T
    temperature of the air that the engine draws (K), α correction factor (1).
    Range: p_d 80 000 to 110 000 Pa, T 288.15 to 308.15 K. Errors: `OutOfRange`.
    Source: ISO 1585; UN Regulation 85, Annex 5, 5.4 (from memory; the formula agrees with public code).
    """
    within("dry_pressure", dry_pressure, 80_000, 110_000, "ISO 1585: 80 to 110 kPa of dry air")
    within("ambient_temperature", ambient_temperature, 288.15, 308.15, "ISO 1585: 15 to 35 °C")
    return (99_000 / dry_pressure) ** 1.2 * (ambient_temperature / 298.15) ** 0.6  # type: ignore[no-any-return]


def din_70020(
    ambient_pressure: Annotated[float, "p", "Pa"],
    ambient_temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "α", "1"]:
    """What the torque of a spark-ignition engine is multiplied by after DIN 70020, to 1013 hPa at 20 °C. The
    water in the air is not counted.

    Formula: α = (101 300 / p) √(T / 293.15). Symbols: p pressure of the air (Pa), T temperature of the air
    that the engine draws (K), α correction factor (1).
    Range: p 80 000 to 110 000 Pa, T 283.15 to 313.15 K, as far as testers trust it (common practice, no
    source). Errors: `OutOfRange`.
    Source: DIN 70020, as testers quote it.
    """
    within(
        "ambient_pressure", ambient_pressure, 80_000, 110_000, "testers trust DIN 70020 from 800 to 1100 hPa"
    )
    within(
        "ambient_temperature", ambient_temperature, 283.15, 313.15, "testers trust DIN 70020 from 10 to 40 °C"
    )
    return (101_300 / ambient_pressure) * sqrt(ambient_temperature / 293.15)


def road_torque(
    vehicle_mass: Annotated[float, "m", "kg"],
    mass_factor: Annotated[float, "γ", "1"],
    acceleration: Annotated[float, "a", "m/s²"],
    resistance: Annotated[float, "R", "N"],
    gradient_force: Annotated[float, "F_g", "N"],
    wind_force: Annotated[float, "F_w", "N"],
    road_speed: Annotated[float, "v", "m/s"],
    engine_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "T_w", "N·m"]:
    """Torque at the engine's speed that drives the wheels, from how the car gains speed.

    Formula: T_w = (γ m a + R + F_g + F_w) v / ω. Symbols: m mass (kg), γ mass with turning parts over mass
    (1), a acceleration (m/s²), R resistance of a coast-down (N), F_g gradient force (N), F_w force of the
    wind (N), v road speed (m/s), ω engine speed (rad/s), T_w torque (N·m).
    Range: m, v and ω positive, γ 1 or more. Errors: `OutOfRange`.
    Source: Newton's second law and the balance of power.
    """
    positive("vehicle_mass", vehicle_mass)
    within("mass_factor", mass_factor, low=1)
    positive("road_speed", road_speed)
    positive("engine_speed", engine_speed)
    force = mass_factor * vehicle_mass * acceleration + resistance + gradient_force + wind_force
    return force * road_speed / engine_speed


torque_of_power = ratio_of(
    "torque_of_power",
    "Torque of a power at a speed.",
    power=Variable("P", "W", "power"),
    engine_speed=Variable("ω", "rad/s", "engine speed", positive),
    gives=Variable("T", "N·m", "torque"),
    source="definition of power",
)

corrected_torque = product_of(
    "corrected_torque",
    "Torque as it would be in the reference air, where it was measured.",
    measured_torque=Variable("T_m", "N·m", "torque as measured"),
    correction_factor=Variable("α", "1", "correction factor", positive),
    gives=Variable("T", "N·m", "torque"),
    source="definition of the correction factor",
)


def torque_before_the_driveline(
    measured_torque: Annotated[float, "T_m", "N·m"],
    correction_factor: Annotated[float, "α", "1"],
    driveline_loss: Annotated[float, "λ", "1"],
) -> Annotated[float, "T", "N·m"]:
    """Torque at the clutch in the reference air, from that at the wheels and a stated loss.

    Formula: T = α T_m / (1 - λ). Symbols: T_m torque as measured (N·m), α correction factor (1), λ share of
    the clutch's power that the driveline takes (1), T torque (N·m).
    Range: α positive, λ from 0 to 0.5. Errors: `OutOfRange`. Source: definition of the loss.
    """
    positive("correction_factor", correction_factor)
    within("driveline_loss", driveline_loss, 0, 0.5)
    return correction_factor * measured_torque / (1 - driveline_loss)


def slope_uncertainty(
    reading_uncertainty: Annotated[float, "u_v", "m/s"],
    row_interval: Annotated[float, "Δt", "s"],
    rows: Annotated[float, "n", "1"],
) -> Annotated[float, "u_a", "m/s²"]:
    """Standard uncertainty of an acceleration, the slope of a line through rows at one interval.

    Formula: u_a = √12 u_v / (Δt √(n (n² - 1))). Symbols: u_v standard uncertainty of each reading (m/s), Δt
    time from row to row (s), n rows of the line (1), u_a standard uncertainty (m/s²).
    Range: u_v zero or more, Δt positive, n from 2. Errors: `OutOfRange`.
    Source: variance of a regression slope, σ² / Σ (t - t̄)²; NIST/SEMATECH e-Handbook, 4.4.3 (from memory).
    """
    not_negative("reading_uncertainty", reading_uncertainty)
    positive("row_interval", row_interval)
    within("rows", rows, low=2)
    return sqrt(12.0) * reading_uncertainty / (row_interval * sqrt(rows * (rows**2 - 1)))
