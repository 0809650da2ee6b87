"""Flow of hot gas: what an engine puts out, its mean speed in a pipe, and the pressure it loses there."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.declared import UpTo, Variable, difference_of, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

_CHOKED = "with more flow the pipe chokes: a larger bore is needed"


# --- how much ------------------------------------------------------------------------------


fuel_mass_flow = product_of(
    "fuel_mass_flow",
    "Fuel that an engine burns at a power.",
    power=Variable("P", "W", "brake power", positive),
    specific_fuel_consumption=Variable("b", "kg/J", "brake specific fuel consumption", positive),
    gives=Variable("ṁ_f", "kg/s", "fuel"),
    source="definition",
)

air_mass_flow = product_of(
    "air_mass_flow",
    "Air that goes with a flow of fuel.",
    fuel_mass_flow=Variable("ṁ_f", "kg/s", "fuel", positive),
    air_fuel_ratio=Variable("r", "1", "air–fuel ratio by mass", positive),
    gives=Variable("ṁ_a", "kg/s", "air"),
    order=("air_fuel_ratio", "fuel_mass_flow"),
    source="definition",
)


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


flow_of_one = product_of(
    "flow_of_one",
    "Part of the exhaust that goes through one of several like pipes, on average over the cycle.",
    exhaust_mass_flow=Variable("ṁ", "kg/s", "exhaust of all cylinders", positive),
    share=Variable("x", "1", "share of it in this pipe", UpTo(1, "a share")),
    gives=Variable("ṁ_1", "kg/s", "flow of the pipe"),
    order=("share", "exhaust_mass_flow"),
    source="conservation of mass",
)


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


sum_of_loss_coefficients = sum_of(
    "sum_of_loss_coefficients",
    "Loss coefficient of a segment with the change of bore before and after it.",
    wall=Variable("K_w", "1", "of the wall or the bend", not_negative),
    fitting=Variable("K_f", "1", "as given for it", not_negative),
    narrowing=Variable("K_n", "1", "of a narrowing before it", not_negative),
    widening=Variable("K_e", "1", "of a widening after it", not_negative),
    gives=Variable("K", "1", "all on the velocity in the segment"),
    source="common practice: losses add where parts stand some bores apart",
)


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


pressure_before = sum_of(
    "pressure_before",
    "Total pressure ahead of a part, reckoned against the flow.",
    pressure_after=Variable("p_2", "Pa", "total pressure after the part", not_negative),
    loss=Variable("Δp", "Pa", "loss in it", not_negative),
    gives=Variable("p_1", "Pa", "total pressure before it"),
    source="definition of the loss",
)

gauge_pressure = difference_of(
    "gauge_pressure",
    "Pressure above ambient.",
    pressure=Variable("p", "Pa", "absolute pressure", positive),
    ambient_pressure=Variable("p_0", "Pa", "ambient pressure", positive),
    gives=Variable("p_g", "Pa", "pressure above ambient"),
    source="definition",
)
