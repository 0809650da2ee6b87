"""Compressible flow: sound, Mach number, and what is left when moving air is brought to rest."""

from __future__ import annotations

from math import sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, ratio_of
from buildlog.physics.limits import not_negative, positive, within

_SUBSONIC = "the formula is used for subsonic flow"


def speed_of_sound(
    heat_capacity_ratio: Annotated[float, "γ", "1"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "a", "m/s"]:
    """Speed of sound in an ideal gas.

    Formula: a = √(γ R T). Symbols: γ ratio of specific heats (1), R gas constant (J/(kg·K)),
    T temperature (K), a speed of sound (m/s).
    Range: γ 1 to 5/3; R, T positive. Errors: `OutOfRange`.
    Source: NACA Report 1135 (1953), eq. 4 (number from memory).
    """
    within("heat_capacity_ratio", heat_capacity_ratio, 1, 5 / 3)
    positive("gas_constant", gas_constant)
    positive("temperature", temperature)
    return sqrt(heat_capacity_ratio * gas_constant * temperature)


mach_number = ratio_of(
    "mach_number",
    "Mach number.",
    speed=Variable("v", "m/s", "speed", not_negative),
    speed_of_sound=Variable("a", "m/s", "speed of sound", positive),
    gives=Variable("M", "1", "Mach number"),
    source="definition",
)


def dynamic_pressure(
    density: Annotated[float, "ρ", "kg/m³"],
    speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "q", "Pa"]:
    """Dynamic pressure.

    Formula: q = ρ v² / 2. Symbols: ρ density (kg/m³), v speed (m/s), q dynamic pressure (Pa).
    Range: ρ positive, v zero or more. Errors: `OutOfRange`. Source: Bernoulli; ISO 80000-4 (from memory).
    """
    positive("density", density)
    not_negative("speed", speed)
    return density * speed**2 / 2


def stagnation_pressure_rise(
    pressure: Annotated[float, "p", "Pa"],
    mach_number: Annotated[float, "M", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "Δp_t", "Pa"]:
    """Rise above ambient of air brought to rest without loss: the most that ram can give.

    Formula: Δp_t = p ((1 + (γ - 1) M² / 2)^(γ / (γ - 1)) - 1). Symbols: p static pressure (Pa), M Mach
    number (1), γ ratio of specific heats (1), Δp_t stagnation pressure rise (Pa).
    Range: p positive, M 0 to 1, γ above 1 to 5/3. Errors: `OutOfRange`.
    Source: NACA Report 1135 (1953), eq. 44.
    """
    positive("pressure", pressure)
    within("mach_number", mach_number, low=0, high=1, why=_SUBSONIC)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    exponent = heat_capacity_ratio / (heat_capacity_ratio - 1)
    return pressure * ((1 + (heat_capacity_ratio - 1) * mach_number**2 / 2) ** exponent - 1)  # type: ignore[no-any-return]


def stagnation_temperature_rise(
    temperature: Annotated[float, "T", "K"],
    mach_number: Annotated[float, "M", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "ΔT_t", "K"]:
    """Warming of air brought to rest without heat from outside, with or without loss of pressure.

    Formula: ΔT_t = T (γ - 1) M² / 2. Symbols: T static temperature (K), M Mach number (1), γ ratio of
    specific heats (1), ΔT_t stagnation temperature above T (K).
    Range: T positive, M 0 to 1, γ 1 to 5/3. Errors: `OutOfRange`.
    Source: NACA Report 1135 (1953), eq. 43.
    """
    positive("temperature", temperature)
    within("mach_number", mach_number, low=0, high=1, why=_SUBSONIC)
    within("heat_capacity_ratio", heat_capacity_ratio, 1, 5 / 3)
    return temperature * (heat_capacity_ratio - 1) * mach_number**2 / 2


def speed_for_stagnation_rise(
    pressure_rise: Annotated[float, "Δp_t", "Pa"],
    pressure: Annotated[float, "p", "Pa"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
    speed_of_sound: Annotated[float, "a", "m/s"],
) -> Annotated[float, "v", "m/s"]:
    """Speed at which air brought to rest without loss rises by Δp_t above ambient.

    Formula: v = a √(2 ((1 + Δp_t / p)^((γ - 1) / γ) - 1) / (γ - 1)). Symbols: Δp_t stagnation pressure rise
    (Pa), p static pressure (Pa), γ ratio of specific heats (1), a speed of sound (m/s), v speed (m/s).
    Range: Δp_t 0 to 0.85 p (Mach 1 of air lies above), p and a positive, γ above 1 to 5/3.
    Errors: `OutOfRange`. Source: NACA Report 1135 (1953), eq. 44, turned about.
    """
    positive("pressure", pressure)
    within("pressure_rise", pressure_rise, low=0, high=0.85 * pressure, why=_SUBSONIC)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    positive("speed_of_sound", speed_of_sound)
    exponent = (heat_capacity_ratio - 1) / heat_capacity_ratio
    square = 2 * ((1 + pressure_rise / pressure) ** exponent - 1) / (heat_capacity_ratio - 1)
    return speed_of_sound * sqrt(square)
