"""Flow of hot gas: what an engine puts out, its mean speed in a pipe, and the pressure it loses there."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.declared import UpTo, Variable, difference_of, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

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


def temperature_of_fall(
    gas_temperature: Annotated[float, "T_2", "K"],
    temperature_before: Annotated[float, "T_1", "K"],
    share: Annotated[float, "x", "1"],
) -> Annotated[float, "T", "K"]:
    """Temperature from which a gas has yet to cool on its way into a segment, where only a share of the fall
    happens in a pipe.

    Formula: T = T_2 + x (T_1 - T_2). Symbols: T_2 mean temperature in the segment and T_1 in the one before
    it (K), x share of the fall where the gas is fast (1), T temperature (K).
    Range: T_1 and T_2 positive, x 0 to 1. Errors: `OutOfRange`. Source: definition of the share.
    """
    positive("gas_temperature", gas_temperature)
    positive("temperature_before", temperature_before)
    within("share", share, 0, 1)
    return gas_temperature + share * (temperature_before - gas_temperature)


cooling_gain = difference_of(
    "cooling_gain",
    "Total pressure that a gas gains as it cools; below 0 where it warms.",
    total_pressure_after=Variable("p_2", "Pa", "total pressure after it cooled", positive),
    total_pressure_before=Variable("p_1", "Pa", "total pressure before it did", positive),
    gives=Variable("Δp_c", "Pa", "gain"),
    source="definition",
)

pressure_loss = difference_of(
    "pressure_loss",
    "Total pressure that a gas loses in a segment.",
    total_pressure_before=Variable("p_1", "Pa", "total pressure ahead of it", positive),
    total_pressure_after=Variable("p_2", "Pa", "total pressure after it", positive),
    gives=Variable("Δp", "Pa", "loss"),
    source="definition",
)

mean_loss_with = sum_of(
    "mean_loss_with",
    "Mean loss of several exits, by their flows.",
    mean_loss=Variable("Δp_m", "Pa", "of the exits before", not_negative),
    further_loss=Variable("Δp_x", "Pa", "that of this exit times its share of the flow", not_negative),
    gives=Variable("Δp_m'", "Pa", "with this exit"),
    source="balance of work",
)

loss_of_share = product_of(
    "loss_of_share",
    "Part that an exit has in the mean loss.",
    flow_share=Variable("x", "1", "its share of the flow", UpTo(1, "a share")),
    loss=Variable("Δp", "Pa", "its loss", not_negative),
    gives=Variable("Δp_x", "Pa", "part"),
    source="balance of work",
)


def reynolds_number_of_flux(
    mass_flux: Annotated[float, "G", "kg/(m²·s)"],
    diameter: Annotated[float, "d", "m"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Re", "1"]:
    """Reynolds number of a gas in a round pipe, whatever its density.

    Formula: Re = G d / μ. Symbols: G mass flux (kg/(m²·s)), d bore (m), μ dynamic viscosity (Pa·s), Re
    Reynolds number (1). Range: all positive. Errors: `OutOfRange`. Source: definition, with G = ρ v.
    """
    positive("mass_flux", mass_flux)
    positive("diameter", diameter)
    positive("dynamic_viscosity", dynamic_viscosity)
    return mass_flux * diameter / dynamic_viscosity


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


def with_pulses(
    pressure: Annotated[float, "p_s", "Pa"],
) -> Annotated[float, "p", "Pa"]:
    """Back pressure of an engine, taken as that of a steady flow; its doubt has the pulses.

    Formula: p = p_s. Symbols: p_s pressure above ambient for a steady flow (Pa), p back pressure (Pa).
    Range: any. Errors: `OutOfRange`. Source: common practice, no source.
    """
    within("pressure", pressure)
    return pressure


def found_share(
    share: Annotated[float, "x_0", "1"],
) -> Annotated[float, "x", "1"]:
    """Share of the flow that a path takes, found by trying until both paths lose as much.

    Formula: x = x_0. Symbols: x_0 share that was found and x used (1).
    Range: 0 to 1. Errors: `OutOfRange`. Source: conservation of mass; one pressure where pipes part.
    """
    within("share", share, 0, 1)
    return share
