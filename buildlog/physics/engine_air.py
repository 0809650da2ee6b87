"""What a four-stroke engine draws, and what its power does when the air at its inlet changes."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, product_of
from buildlog.physics.limits import not_negative, positive, within

_FOUR_STROKE = "volumetric efficiency of an engine without a supercharger"


def air_demand(
    displacement: Annotated[float, "V_d", "m³"],
    engine_speed: Annotated[float, "ω", "rad/s"],
    volumetric_efficiency: Annotated[float, "η_v", "1"],
) -> Annotated[float, "Q", "m³/s"]:
    """Air drawn by a four-stroke engine, at the density the volumetric efficiency refers to.

    Formula: Q = η_v V_d ω / (4 π). Symbols: η_v volumetric efficiency (1), V_d displacement of all
    cylinders (m³), ω engine speed (rad/s), Q volume flow (m³/s).
    Range: V_d positive, ω zero or more, η_v 0.1 to 1.5. Errors: `OutOfRange`.
    Source: Heywood, Internal Combustion Engine Fundamentals (McGraw-Hill, 1988), 2.10.
    """
    positive("displacement", displacement)
    not_negative("engine_speed", engine_speed)
    within("volumetric_efficiency", volumetric_efficiency, low=0.1, high=1.5, why=_FOUR_STROKE)
    return volumetric_efficiency * displacement * engine_speed / (4 * pi)


mass_flow = product_of(
    "mass_flow",
    "Mass flow of a volume flow.",
    density=Variable("ρ", "kg/m³", "density", positive),
    volume_flow=Variable("Q", "m³/s", "volume flow", not_negative),
    gives=Variable("ṁ", "kg/s", "mass flow"),
    source="definition",
)


def mean_piston_speed(
    stroke: Annotated[float, "s", "m"],
    engine_speed: Annotated[float, "ω", "rad/s"],
) -> Annotated[float, "v_p", "m/s"]:
    """Mean piston speed: two strokes a turn.

    Formula: v_p = s ω / π. Symbols: s stroke (m), ω engine speed (rad/s), v_p mean piston speed (m/s).
    Range: s positive, ω zero or more. Errors: `OutOfRange`.
    Source: Heywood (1988), eq. 2.9.
    """
    positive("stroke", stroke)
    not_negative("engine_speed", engine_speed)
    return stroke * engine_speed / pi


def density_gain(
    pressure: Annotated[float, "p", "Pa"],
    temperature: Annotated[float, "T", "K"],
    pressure_rise: Annotated[float, "Δp", "Pa"],
    temperature_rise: Annotated[float, "ΔT", "K"],
) -> Annotated[float, "Δρ/ρ", "1"]:
    """Relative change of density of a gas of one composition.

    Formula: Δρ/ρ = (1 + Δp / p) / (1 + ΔT / T) - 1. Symbols: p absolute pressure (Pa), T temperature (K), Δp
    rise of the pressure (Pa), ΔT rise of the temperature (K), Δρ/ρ relative change of density (1).
    Range: p, T positive; Δp above -p, ΔT above -T. Errors: `OutOfRange`. Source: ideal gas law.
    """
    positive("pressure", pressure)
    positive("temperature", temperature)
    within("pressure_rise", pressure_rise, -pressure)
    within("temperature_rise", temperature_rise, -0.9 * temperature)
    return (1 + pressure_rise / pressure) / (1 + temperature_rise / temperature) - 1


def power_bound(
    pressure_rise: Annotated[float, "Δp", "Pa"],
    pressure: Annotated[float, "p", "Pa"],
    mechanical_efficiency: Annotated[float, "η_m", "1"],
) -> Annotated[float, "P/P_0", "1"]:
    """Brake power that a pressure at the inlet allows, over that with the inlet at ambient pressure.

    Indicated power goes at most with the pressure (at one temperature), and friction stays, so that brake
    power, η_m of the indicated, changes by 1/η_m as much. The ratio of two of them is the most that the
    pressure of one arrangement can bring over that of another.

    Formula: P/P_0 = 1 + Δp / (p η_m). Symbols: Δp pressure at the inlet above ambient (Pa; below it when
    negative), p ambient pressure (Pa), η_m mechanical efficiency (1), P/P_0 power (1).
    Range: p positive, Δp above -p, η_m 0.5 to 1. Errors: `OutOfRange`.
    Source: derived; the split into indicated power and friction is that of SAE J1349, whose factor
    1.18 c - 0.18 has the slope 1/0.85. Above ambient it lies above what the form of ISO 1585,
    (p_2/p)^1.2 (T/T_2)^0.6, gives for air warmed by the ram.
    """
    positive("pressure", pressure)
    within("pressure_rise", pressure_rise, -pressure)
    within("mechanical_efficiency", mechanical_efficiency, 0.5, 1)
    return 1 + pressure_rise / (pressure * mechanical_efficiency)


def density_change_with_temperature(
    temperature_before: Annotated[float, "T_1", "K"],
    temperature_after: Annotated[float, "T_2", "K"],
) -> Annotated[float, "Δρ/ρ", "1"]:
    """Relative change of density at constant pressure.

    Formula: Δρ/ρ = T_1 / T_2 - 1. Symbols: T_1 temperature before (K), T_2 temperature after (K), Δρ/ρ
    relative change of density (1).
    Range: both positive. Errors: `OutOfRange`. Source: ideal gas law.
    """
    positive("temperature_before", temperature_before)
    positive("temperature_after", temperature_after)
    return temperature_before / temperature_after - 1


def power_change_density_rule(
    density_change: Annotated[float, "Δρ/ρ", "1"],
) -> Annotated[float, "ΔP/P", "1"]:
    """Change of power if it follows the density of the air at the inlet: the larger of the two rules.

    Formula: ΔP/P = Δρ/ρ. Symbols: Δρ/ρ relative change of density (1), ΔP/P relative change of power (1).
    Range: above -1. Errors: `OutOfRange`.
    Source: common practice; exact for indicated power when nothing warms the air on its way to the cylinder.
    """
    within("density_change", density_change, -1)
    return density_change


def power_change_square_root_rule(
    temperature_before: Annotated[float, "T_1", "K"],
    temperature_after: Annotated[float, "T_2", "K"],
) -> Annotated[float, "ΔP/P", "1"]:
    """Change of power by the square-root rule of the correction formulae: about half the density rule.

    Formula: ΔP/P = √(T_1 / T_2) - 1. Symbols: T_1 inlet temperature before (K), T_2 inlet temperature after
    (K), ΔP/P relative change of power (1).
    Range: both positive. Errors: `OutOfRange`.
    Source: temperature term of DIN 70020, (1013/p) √(T/293), and of SAE J1349 (June 1990), (990/p_d)
    √(T/298) (both from secondary quotes).
    """
    positive("temperature_before", temperature_before)
    positive("temperature_after", temperature_after)
    return sqrt(temperature_before / temperature_after) - 1
