"""Compressible flow: sound, Mach number, and what is left when moving air is brought to rest."""

from __future__ import annotations

from math import log, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, product_of, ratio_of
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

    Formula: Δp_t = p ((1 + (γ - 1) M² / 2)^(γ / (γ - 1)) - 1). Symbols: p static pressure (Pa), M Mach number
    (1), γ ratio of specific heats (1), exponent γ/(γ - 1) (1), Δp_t stagnation pressure rise (Pa).
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


# --- a pipe with friction, up to choking -----------------------------------------------------


def mach_number_at_pressure(
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    pressure: Annotated[float, "p", "Pa"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    total_temperature: Annotated[float, "T_t", "K"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "M", "1"]:
    """Mach number at an open end, whose pressure is that of the air outside until the end chokes at Mach 1.

    Formula: M = √((√(1 + 2 (γ - 1) x) - 1) / (γ - 1)), at most 1, x = G² R T_t / (γ p²). Symbols: G mass flux
    (kg/(m²·s)), p pressure outside (Pa), R gas constant (J/(kg·K)), T_t total temperature (K), γ ratio of
    specific heats (1), x square of the flux made dimensionless (1), square M² as it would be without choking
    (1), M Mach number (1).
    Range: all positive, γ above 1 to 5/3. Where it comes out at 1 the pressure in the end stays above p.
    Errors: `OutOfRange`. Source: continuity with NACA Report 1135 (1953), eq. 43: G = p M √(γ/(R T)).
    """
    positive("mass_flux", mass_flux)
    positive("pressure", pressure)
    positive("gas_constant", gas_constant)
    positive("total_temperature", total_temperature)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    x = mass_flux**2 * gas_constant * total_temperature / (heat_capacity_ratio * pressure**2)
    square = (sqrt(1 + 2 * (heat_capacity_ratio - 1) * x) - 1) / (heat_capacity_ratio - 1)
    return min(1.0, sqrt(square))


def total_pressure_of_flux(
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    mach_number: Annotated[float, "M", "1"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    total_temperature: Annotated[float, "T_t", "K"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "p_t", "Pa"]:
    """Total pressure of a gas that has a mass flux at a Mach number.

    Formula: p_t = (G / M) √(R T_t / γ) (1 + (γ - 1) M² / 2)^((γ + 1) / (2 (γ - 1))). Symbols: G mass flux
    (kg/(m²·s)), M Mach number (1), R gas constant (J/(kg·K)), T_t total temperature (K), γ ratio of specific
    heats (1), exponent that of the bracket (1), rise the bracket to that power (1), p_t total pressure (Pa).
    Range: all positive, M up to 1, γ above 1 to 5/3. Errors: `OutOfRange`.
    Source: NACA Report 1135 (1953), eqs. 43 and 44, with continuity.
    """
    positive("mass_flux", mass_flux)
    positive("mach_number", mach_number)
    within("mach_number", mach_number, low=0, high=1, why=_SUBSONIC)
    positive("gas_constant", gas_constant)
    positive("total_temperature", total_temperature)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    exponent = (heat_capacity_ratio + 1) / (2 * (heat_capacity_ratio - 1))
    rise = (1 + (heat_capacity_ratio - 1) * mach_number**2 / 2) ** exponent
    return mass_flux / mach_number * sqrt(gas_constant * total_temperature / heat_capacity_ratio) * rise  # type: ignore[no-any-return]


def mach_number_at_total_pressure(
    total_pressure: Annotated[float, "p_t", "Pa"],
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    total_temperature: Annotated[float, "T_t", "K"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "M", "1"]:
    """Mach number below 1 at which a gas of a total pressure has a mass flux; 1 where it can have none such.

    In words: found by iteration.

    Formula: p_t = (G / M) √(R T_t / γ) (1 + (γ - 1) M² / 2)^((γ + 1) / (2 (γ - 1))), solved for M. Symbols:
    p_t total pressure (Pa), G mass flux (kg/(m²·s)), R gas constant (J/(kg·K)), T_t total temperature (K), γ
    ratio of specific heats (1), M Mach number (1).
    Range: all positive, γ above 1 to 5/3. It is 1 where the flux is what p_t can drive or more: the piece
    chokes, and what it needs ahead of it is the total pressure of that flux at Mach 1. Errors: `OutOfRange`.
    Source: `total_pressure_of_flux`.
    """
    positive("total_pressure", total_pressure)
    choked = total_pressure_of_flux(mass_flux, 1.0, gas_constant, total_temperature, heat_capacity_ratio)
    if total_pressure <= choked:
        return 1.0
    # With the right side as M f(M), f slow, M ← choked flow's share: a contraction below Mach 1.
    low, high = 0.0, 1.0
    exponent = (heat_capacity_ratio + 1) / (2 * (heat_capacity_ratio - 1))
    share = mass_flux / total_pressure * sqrt(gas_constant * total_temperature / heat_capacity_ratio)
    mach = share
    while True:
        rise = 1 + (heat_capacity_ratio - 1) * mach**2 / 2
        missed = share * rise**exponent - mach
        low, high = (mach, high) if missed > 0 else (low, mach)
        slope = share * (heat_capacity_ratio + 1) / 2 * mach * rise ** (exponent - 1) - 1
        step = mach - missed / slope
        after = step if low < step < high else (low + high) / 2
        if abs(after - mach) <= 1e-14 or high - low <= 1e-14:
            return after
        mach = after


def friction_to_choking(
    mach_number: Annotated[float, "M", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "K*", "1"]:
    """Loss coefficient of the pipe that brings a gas from a Mach number to choking: adiabatic flow with
    friction (Fanno).

    Formula: K* = (1 - M²) / (γ M²) + (γ + 1) / (2 γ) ln((γ + 1) M² / (2 + (γ - 1) M²)). Symbols: M Mach
    number (1), γ ratio of specific heats (1), K* loss coefficient f L*/d (1).
    Range: M above 0 to 1, γ above 1 to 5/3. Errors: `OutOfRange`.
    Source: A. H. Shapiro, Compressible Fluid Flow, vol. 1 (1953), ch. 6, as read in the open-source package
    pygasflow, fanno, critical_friction_parameter.
    """
    positive("mach_number", mach_number)
    within("mach_number", mach_number, low=0, high=1, why=_SUBSONIC)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    m = mach_number**2
    ratio = (heat_capacity_ratio + 1) * m / (2 + (heat_capacity_ratio - 1) * m)
    return (1 - m) / (heat_capacity_ratio * m) + (heat_capacity_ratio + 1) / (2 * heat_capacity_ratio) * log(
        ratio
    )


def mach_number_before_friction(
    mach_number_after: Annotated[float, "M_2", "1"],
    loss_coefficient: Annotated[float, "K", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "M_1", "1"]:
    """Mach number ahead of a pipe with friction, from that at its end.

    In words: found by iteration.

    Formula: K*(M_1) = K*(M_2) + K, solved for M_1. Symbols: K* loss coefficient to choking (1), K loss
    coefficient of the pipe (1), M_2 Mach number at its end and M_1 ahead of it (1), γ ratio of specific heats
    (1).
    Range: M_2 above 0 to 1, K zero or more, γ above 1 to 5/3. Errors: `OutOfRange`.
    Source: `friction_to_choking`.
    """
    not_negative("loss_coefficient", loss_coefficient)
    wanted = friction_to_choking(mach_number_after, heat_capacity_ratio) + loss_coefficient
    if loss_coefficient < 1e-12:  # less than the arithmetic can tell
        return mach_number_after
    # In s = 1/M² the left side rises and is convex, so that Newton's method cannot miss from above.
    gamma = heat_capacity_ratio
    s = 1 / mach_number_after**2 + gamma * loss_coefficient
    while friction_to_choking(1 / sqrt(s), gamma) < wanted:
        s *= 1.5
    while True:
        missed = friction_to_choking(1 / sqrt(s), gamma) - wanted
        step = missed * gamma * (2 * s + gamma - 1) / (2 * s - 2)
        if step <= 1e-13 * s:
            return 1 / sqrt(s)
        s -= step


def mach_number_before_cooling(
    mach_number_after: Annotated[float, "M_2", "1"],
    temperature_ratio: Annotated[float, "t", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "M_1", "1"]:
    """Mach number ahead of a piece of pipe in which a gas gives off heat, without friction (Rayleigh).

    Formula: M_1 = √(2 n / (1 - 2 γ n + √(1 - 2 (γ + 1) n))), at most 1, n = t N_2, N_2 = M_2² (1 + (γ - 1)
    M_2² / 2) / (1 + γ M_2²)². Symbols: M_2 Mach number after it (1), M_1 Mach number ahead of it (1), t total
    temperature ahead of it over that after it (1), γ ratio of specific heats (1), square M_2² (1), after
    square of flux times root of total temperature over impulse, N_2 (1), n the same ahead of it (1), most the
    greatest that it can be (1), root the inner root (1).
    Range: M_2 above 0 to 1, t 0.1 to 10, γ above 1 to 5/3. Where it comes out at 1 the hot end chokes.
    Errors: `OutOfRange`.
    Source: derived: the impulse p + ρ v² is the same at both ends; A. H. Shapiro, Compressible Fluid Flow,
    vol. 1 (1953), ch. 7 (from memory).
    """
    positive("mach_number_after", mach_number_after)
    within("mach_number_after", mach_number_after, low=0, high=1, why=_SUBSONIC)
    within("temperature_ratio", temperature_ratio, 0.1, 10, why="gas in one pipe")
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    square = mach_number_after**2
    after = square * (1 + (heat_capacity_ratio - 1) * square / 2) / (1 + heat_capacity_ratio * square) ** 2
    most = 1 / (2 * (heat_capacity_ratio + 1))
    n = min(most, temperature_ratio * after)
    root = sqrt(max(0.0, 1 - 2 * (heat_capacity_ratio + 1) * n))
    return min(1.0, sqrt(2 * n / (1 - 2 * heat_capacity_ratio * n + root)))


def static_temperature(
    total_temperature: Annotated[float, "T_t", "K"],
    mach_number: Annotated[float, "M", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "T", "K"]:
    """Temperature of a moving gas, from what it has when it is brought to rest.

    Formula: T = T_t / (1 + (γ - 1) M² / 2). Symbols: T_t total temperature (K), M Mach number (1), γ ratio of
    specific heats (1), T static temperature (K).
    Range: T_t positive, M 0 to 1, γ 1 to 5/3. Errors: `OutOfRange`. Source: NACA Report 1135 (1953), eq. 43.
    """
    positive("total_temperature", total_temperature)
    within("mach_number", mach_number, low=0, high=1, why=_SUBSONIC)
    within("heat_capacity_ratio", heat_capacity_ratio, 1, 5 / 3)
    return total_temperature / (1 + (heat_capacity_ratio - 1) * mach_number**2 / 2)


def sound_at_temperature(
    speed_of_sound: Annotated[float, "a_t", "m/s"],
    temperature: Annotated[float, "T_t", "K"],
    other_temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "a", "m/s"]:
    """Speed of sound at another temperature, γ held.

    Formula: a = a_t √(T / T_t). Symbols: a_t speed of sound at T_t (m/s), T_t total temperature (K), T
    temperature (K), a speed of sound at T (m/s).
    Range: all positive. Errors: `OutOfRange`. Source: NACA Report 1135 (1953), eq. 4 (number from memory).
    """
    positive("speed_of_sound", speed_of_sound)
    positive("temperature", temperature)
    positive("other_temperature", other_temperature)
    return speed_of_sound * sqrt(other_temperature / temperature)


speed_of_mach_number = product_of(
    "speed_of_mach_number",
    "Speed of a gas.",
    mach_number=Variable("M", "1", "Mach number", not_negative),
    speed_of_sound=Variable("a", "m/s", "speed of sound in it", positive),
    gives=Variable("v", "m/s", "speed"),
    source="definition",
)


def front_speed_ratio(
    pressure_ratio: Annotated[float, "p_2/p_1", "1"],
    heat_capacity_ratio: Annotated[float, "γ", "1"],
) -> Annotated[float, "M_s", "1"]:
    """How many times as fast as sound a steep pressure front runs into a gas at rest.

    Formula: M_s = √(1 + (γ + 1) / (2 γ) (p_2/p_1 - 1)). Symbols: p_2/p_1 pressure behind the front over that
    before it (1), γ ratio of specific heats (1), M_s Mach number of the front (1).
    Range: p_2/p_1 1 to 10, γ above 1 to 5/3. Errors: `OutOfRange`.
    Source: normal shock, as Wikipedia, Normal shock tables, has it (read), and NACA Report 1135 (1953).
    """
    within("pressure_ratio", pressure_ratio, 1, 10)
    within("heat_capacity_ratio", heat_capacity_ratio, 1.01, 5 / 3)
    return sqrt(1 + (heat_capacity_ratio + 1) / (2 * heat_capacity_ratio) * (pressure_ratio - 1))
