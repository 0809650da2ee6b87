"""Flow of hot gas: what an engine puts out, its mean speed in a pipe, and the pressure it loses there."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.limits import not_negative, positive, within

_CHOKED = "with more flow the pipe chokes: a larger bore is needed"


# --- how much ------------------------------------------------------------------------------


def fuel_mass_flow(
    power: Annotated[float, "P", "W"],
    specific_fuel_consumption: Annotated[float, "b", "kg/J"],
) -> Annotated[float, "ṁ_f", "kg/s"]:
    """Fuel that an engine burns at a power.

    Formula: ṁ_f = P b. Symbols: P brake power (W), b brake specific fuel consumption (kg/J), ṁ_f fuel (kg/s).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("power", power)
    positive("specific_fuel_consumption", specific_fuel_consumption)
    return power * specific_fuel_consumption


def air_mass_flow(
    fuel_mass_flow: Annotated[float, "ṁ_f", "kg/s"],
    air_fuel_ratio: Annotated[float, "r", "1"],
) -> Annotated[float, "ṁ_a", "kg/s"]:
    """Air that goes with a flow of fuel.

    Formula: ṁ_a = r ṁ_f. Symbols: r air–fuel ratio by mass (1), ṁ_f fuel and ṁ_a air (kg/s).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("fuel_mass_flow", fuel_mass_flow)
    positive("air_fuel_ratio", air_fuel_ratio)
    return air_fuel_ratio * fuel_mass_flow


def exhaust_mass_flow(
    air_mass_flow: Annotated[float, "ṁ_a", "kg/s"],
    air_fuel_ratio: Annotated[float, "r", "1"],
) -> Annotated[float, "ṁ", "kg/s"]:
    """Exhaust of an engine: what goes in as air and fuel comes out.

    Formula: ṁ = ṁ_a (1 + 1 / r). Symbols: ṁ_a air (kg/s), r air–fuel ratio by mass (1), ṁ exhaust (kg/s).
    Range: both positive. Errors: `OutOfRange`. Source: conservation of mass.
    """
    positive("air_mass_flow", air_mass_flow)
    positive("air_fuel_ratio", air_fuel_ratio)
    return air_mass_flow * (1 + 1 / air_fuel_ratio)


def flow_of_one(
    exhaust_mass_flow: Annotated[float, "ṁ", "kg/s"],
    share: Annotated[float, "x", "1"],
) -> Annotated[float, "ṁ_1", "kg/s"]:
    """Part of the exhaust that goes through one of several like pipes, on average over the cycle.

    Formula: ṁ_1 = x ṁ. Symbols: ṁ exhaust of all cylinders (kg/s), x share of it in this pipe (1), ṁ_1 flow
    of the pipe (kg/s).
    Range: ṁ positive, x above 0 to 1. Errors: `OutOfRange`. Source: conservation of mass.
    """
    positive("exhaust_mass_flow", exhaust_mass_flow)
    positive("share", share)
    within("share", share, low=0, high=1, why="a share")
    return share * exhaust_mass_flow


def mean_gas_speed(
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    bore: Annotated[float, "d", "m"],
) -> Annotated[float, "v", "m/s"]:
    """Mean speed of a gas in a round pipe, over the section and over the cycle.

    Formula: v = 4 ṁ / (π ρ d²). Symbols: ṁ mass flow (kg/s), ρ density (kg/m³), d bore (m), v speed (m/s).
    Range: all positive. Errors: `OutOfRange`. Source: continuity.
    """
    positive("mass_flow", mass_flow)
    positive("density", density)
    positive("bore", bore)
    return 4 * mass_flow / (pi * density * bore**2)


def bore_for_gas_speed(
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    density: Annotated[float, "ρ", "kg/m³"],
    mean_gas_speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "d", "m"]:
    """Bore of a round pipe in which a gas has a given mean speed.

    Formula: d = √(4 ṁ / (π ρ v)). Symbols: ṁ mass flow (kg/s), ρ density (kg/m³), v mean speed (m/s), d bore
    (m). Range: all positive. Errors: `OutOfRange`. Source: continuity.
    """
    positive("mass_flow", mass_flow)
    positive("density", density)
    positive("mean_gas_speed", mean_gas_speed)
    return sqrt(4 * mass_flow / (pi * density * mean_gas_speed))


def mass_flux(
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    bore: Annotated[float, "d", "m"],
) -> Annotated[float, "G", "kg/(m²·s)"]:
    """Mass flow through a unit of area of a round pipe.

    Formula: G = 4 ṁ / (π d²). Symbols: ṁ mass flow (kg/s), d bore (m), G mass flux (kg/(m²·s)).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("mass_flow", mass_flow)
    positive("bore", bore)
    return 4 * mass_flow / (pi * bore**2)


# --- what it loses -------------------------------------------------------------------------


def static_pressure(
    total_pressure: Annotated[float, "p_t", "Pa"],
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "p", "Pa"]:
    """Absolute pressure at the wall where the total pressure and the flow are known.

    The total pressure is p + ρ v² / 2 with ρ = p / (R T) and v = G / ρ, which is an equation of second
    degree for p.

    Formula: p = (p_t + √(p_t² - 2 G² R T)) / 2. Symbols: p_t absolute total pressure (Pa), G mass flux
    (kg/(m²·s)), R gas constant (J/(kg·K)), T temperature (K), p static pressure (Pa).
    Range: all positive, 2 G² R T up to 0.5 p_t² (Mach 0.5 or so). Errors: `OutOfRange`.
    Source: Bernoulli with the ideal gas law; below Mach 0.3 within 0.2 % of the isentropic relation.
    """
    positive("total_pressure", total_pressure)
    positive("gas_constant", gas_constant)
    positive("temperature", temperature)
    positive("mass_flux", mass_flux)
    within(
        "mass_flux", mass_flux, low=0, high=total_pressure / sqrt(4 * gas_constant * temperature), why=_CHOKED
    )
    return (total_pressure + sqrt(total_pressure**2 - 2 * mass_flux**2 * gas_constant * temperature)) / 2


def sum_of_loss_coefficients(
    wall: Annotated[float, "K_w", "1"],
    fitting: Annotated[float, "K_f", "1"],
    narrowing: Annotated[float, "K_n", "1"],
    widening: Annotated[float, "K_e", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a segment with the change of bore before and after it.

    Formula: K = K_w + K_f + K_n + K_e. Symbols: K_w of the wall or the bend (1), K_f as given for it (1), K_n
    of a narrowing before it and K_e of a widening after it (1), K all on the velocity in the segment (1).
    Range: all zero or more. Errors: `OutOfRange`.
    Source: common practice: losses add where parts stand some bores apart.
    """
    not_negative("wall", wall)
    not_negative("fitting", fitting)
    not_negative("narrowing", narrowing)
    not_negative("widening", widening)
    return wall + fitting + narrowing + widening


def pressure_loss(
    loss_coefficient: Annotated[float, "K", "1"],
    dynamic_pressure: Annotated[float, "q", "Pa"],
    pressure: Annotated[float, "p", "Pa"],
) -> Annotated[float, "Δp", "Pa"]:
    """Loss of pressure along a pipe in which a gas of one temperature thins out as its pressure falls.

    It is K q for a liquid. A gas is denser and slower upstream, and on average loses a little less.

    Formula: Δp = p (√(1 + 2 K q / p) - 1). Symbols: K loss coefficient (1), q dynamic pressure and p absolute
    pressure at the downstream end (Pa), Δp loss (Pa).
    Range: K zero or more, q zero or more, p positive. The work of speeding the gas up is left out: about M²
    of the loss. Errors: `OutOfRange`.
    Source: isothermal flow in a pipe, p_1² - p_2² = K G² R T, as in Crane TP-410 (1988), eq. 1-6, less its
    logarithm (from memory); fluids 1.3.1, isothermal_gas.
    """
    not_negative("loss_coefficient", loss_coefficient)
    not_negative("dynamic_pressure", dynamic_pressure)
    positive("pressure", pressure)
    return pressure * (sqrt(1 + 2 * loss_coefficient * dynamic_pressure / pressure) - 1)


def pressure_before(
    pressure_after: Annotated[float, "p_2", "Pa"],
    loss: Annotated[float, "Δp", "Pa"],
) -> Annotated[float, "p_1", "Pa"]:
    """Total pressure ahead of a part, reckoned against the flow.

    Formula: p_1 = p_2 + Δp. Symbols: p_2 total pressure after the part (Pa), Δp loss in it (Pa), p_1 total
    pressure before it (Pa).
    Range: p_2 and Δp zero or more. Errors: `OutOfRange`. Source: definition of the loss.
    """
    not_negative("pressure_after", pressure_after)
    not_negative("loss", loss)
    return pressure_after + loss


def gauge_pressure(
    pressure: Annotated[float, "p", "Pa"],
    ambient_pressure: Annotated[float, "p_0", "Pa"],
) -> Annotated[float, "p_g", "Pa"]:
    """Pressure above ambient.

    Formula: p_g = p - p_0. Symbols: p absolute and p_0 ambient pressure (Pa), p_g pressure above it (Pa).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("pressure", pressure)
    positive("ambient_pressure", ambient_pressure)
    return pressure - ambient_pressure
