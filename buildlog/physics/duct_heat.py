"""Heat that air picks up along a duct whose wall is hot, and the lag of the sensor that reads it."""

from __future__ import annotations

from math import exp, log, pi, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of
from buildlog.physics.limits import not_negative, positive, within

_TURBULENT = "the correlation holds for turbulent flow"


def reynolds_number(
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    diameter: Annotated[float, "d", "m"],
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
) -> Annotated[float, "Re", "1"]:
    """Reynolds number of a mass flow in a round duct.

    Formula: Re = 4 ṁ / (π d μ). Symbols: ṁ mass flow (kg/s), d bore (m), μ dynamic viscosity (Pa·s), Re
    Reynolds number (1).
    Range: all positive. Errors: `OutOfRange`. Source: definition with continuity.
    """
    positive("mass_flow", mass_flow)
    positive("diameter", diameter)
    positive("dynamic_viscosity", dynamic_viscosity)
    return 4 * mass_flow / (pi * diameter * dynamic_viscosity)


def prandtl_number(
    dynamic_viscosity: Annotated[float, "μ", "Pa·s"],
    specific_heat: Annotated[float, "c_p", "J/(kg·K)"],
    thermal_conductivity: Annotated[float, "λ", "W/(m·K)"],
) -> Annotated[float, "Pr", "1"]:
    """Prandtl number.

    Formula: Pr = μ c_p / λ. Symbols: μ dynamic viscosity (Pa·s), c_p specific heat (J/(kg·K)), λ thermal
    conductivity (W/(m·K)), Pr Prandtl number (1).
    Range: all positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("dynamic_viscosity", dynamic_viscosity)
    positive("specific_heat", specific_heat)
    positive("thermal_conductivity", thermal_conductivity)
    return dynamic_viscosity * specific_heat / thermal_conductivity


def smooth_friction_factor(
    reynolds_number: Annotated[float, "Re", "1"],
) -> Annotated[float, "f", "1"]:
    """Darcy friction factor of a smooth tube, as the correlation for heat wants it.

    Formula: f = (0.79 ln Re - 1.64)^-2. Symbols: Re Reynolds number (1), f Darcy friction factor (1).
    Range: Re 3000 to 5e6. Errors: `OutOfRange`.
    Source: Petukhov (1970), Advances in Heat Transfer 6, 503–564, as public code names
    it (read).
    """
    within("reynolds_number", reynolds_number, low=3000, high=5e6, why=_TURBULENT)
    return 1 / (0.79 * log(reynolds_number) - 1.64) ** 2


def nusselt_number(
    friction_factor: Annotated[float, "f", "1"],
    reynolds_number: Annotated[float, "Re", "1"],
    prandtl_number: Annotated[float, "Pr", "1"],
    diameter: Annotated[float, "d", "m"],
    length: Annotated[float, "L", "m"],
) -> Annotated[float, "Nu", "1"]:
    """Mean Nusselt number of turbulent flow in a tube, its entrance included.

    Formula: Nu = (f/8) (Re - 1000) Pr (1 + (d/L)^(2/3)) / (1 + 12.7 √(f/8) (Pr^(2/3) - 1)). Symbols: f Darcy
    friction factor (1), Re Reynolds number (1), Pr Prandtl number (1), d bore (m), L length (m), x power of
    the Prandtl number less 1 (1), y factor of the entrance (1), z eighth of the friction factor (1), Nu
    Nusselt number (1).
    Range: Re 3000 to 5e6, Pr 0.5 to 2000, L at least d. Within about 10 % of measurements on smooth straight
    tubes. Errors: `OutOfRange`.
    Source: V. Gnielinski, New equations for heat and mass transfer in turbulent pipe and channel flow, Int.
    Chem. Eng. 16 (1976) 359–368, as in ht 1.2.0, with the entrance factor of Hausen; range as pydhn's manual.
    """
    positive("friction_factor", friction_factor)
    within("reynolds_number", reynolds_number, low=3000, high=5e6, why=_TURBULENT)
    within("prandtl_number", prandtl_number, 0.5, 2000)
    positive("diameter", diameter)
    within("length", length, diameter, why="shorter than one bore is an opening, not a duct")
    x = prandtl_number ** (2 / 3) - 1
    y = 1 + (diameter / length) ** (2 / 3)
    z = friction_factor / 8
    return z * (reynolds_number - 1000) * prandtl_number * y / (1 + 12.7 * sqrt(z) * x)  # type: ignore[no-any-return]


def laminar_nusselt_number(
    reynolds_number: Annotated[float, "Re", "1"],
    prandtl_number: Annotated[float, "Pr", "1"],
    diameter: Annotated[float, "d", "m"],
    length: Annotated[float, "L", "m"],
) -> Annotated[float, "Nu", "1"]:
    """Mean Nusselt number of laminar flow in a tube whose wall has one temperature, its entrance included.

    Formula: Nu = 3.66 + 0.0668 Gz / (1 + 0.04 Gz^(2/3)), Gz = Re Pr d / L. Symbols: Re Reynolds number (1),
    Pr Prandtl number (1), d bore (m), L length (m), Gz Graetz number (1), Nu Nusselt number (1).
    Range: Re above 0 to 2300, Pr 0.5 to 2000, L at least d; still air about the wall lifts it in slow wide
    ducts. Errors: `OutOfRange`.
    Source: Hausen, Z. VDI Beih. Verfahrenstechnik 4 (1943) 91–98, as the library ht (1.2.0) documents it.
    """
    positive("reynolds_number", reynolds_number)
    within("reynolds_number", reynolds_number, high=2300, why="above that the flow is not laminar")
    within("prandtl_number", prandtl_number, 0.5, 2000)
    positive("diameter", diameter)
    within("length", length, diameter, why="shorter than one bore is an opening, not a duct")
    graetz: Annotated[float, "Gz", "1"] = reynolds_number * prandtl_number * diameter / length
    return 3.66 + 0.0668 * graetz / (1 + 0.04 * graetz ** (2 / 3))  # type: ignore[no-any-return]


def transition_nusselt_number(
    reynolds_number: Annotated[float, "Re", "1"],
    laminar: Annotated[float, "Nu_2300", "1"],
    turbulent: Annotated[float, "Nu_4000", "1"],
) -> Annotated[float, "Nu", "1"]:
    """Mean Nusselt number between laminar and turbulent flow.

    Formula: Nu = Nu_2300 + (Nu_4000 - Nu_2300) (Re - 2300) / 1700. Symbols: Re Reynolds number (1), Nu_2300
    laminar Nusselt number at Re 2300 (1), Nu_4000 turbulent Nusselt number at Re 4000 (1), Nu Nusselt number
    (1).
    Range: Re 2300 to 4000, both numbers positive. Errors: `OutOfRange`.
    Source: V. Gnielinski, On heat transfer in tubes, Int. J. Heat Mass Transfer 63 (2013) 134–140 (abstract).
    """
    within("reynolds_number", reynolds_number, 2300, 4000)
    positive("laminar", laminar)
    positive("turbulent", turbulent)
    return laminar + (turbulent - laminar) * (reynolds_number - 2300) / 1700


def heat_transfer_coefficient(
    nusselt_number: Annotated[float, "Nu", "1"],
    thermal_conductivity: Annotated[float, "λ", "W/(m·K)"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "h", "W/(m²·K)"]:
    """Heat transfer coefficient.

    Formula: h = Nu λ / d. Symbols: Nu Nusselt number (1), λ thermal conductivity (W/(m·K)), d bore (m), h
    heat transfer coefficient (W/(m²·K)).
    Range: all positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("nusselt_number", nusselt_number)
    positive("thermal_conductivity", thermal_conductivity)
    positive("diameter", diameter)
    return nusselt_number * thermal_conductivity / diameter


def transfer_units(
    heat_transfer_coefficient: Annotated[float, "h", "W/(m²·K)"],
    diameter: Annotated[float, "d", "m"],
    length: Annotated[float, "L", "m"],
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    specific_heat: Annotated[float, "c_p", "J/(kg·K)"],
) -> Annotated[float, "NTU", "1"]:
    """Number of transfer units of a round duct.

    Formula: NTU = h π d L / (ṁ c_p). Symbols: h heat transfer coefficient (W/(m²·K)), d bore (m), L length
    (m), ṁ mass flow (kg/s), c_p specific heat (J/(kg·K)), NTU number of transfer units (1).
    Range: all positive. Errors: `OutOfRange`. Source: definition (Kays and London, Compact Heat Exchangers).
    """
    positive("heat_transfer_coefficient", heat_transfer_coefficient)
    positive("diameter", diameter)
    positive("length", length)
    positive("mass_flow", mass_flow)
    positive("specific_heat", specific_heat)
    return heat_transfer_coefficient * pi * diameter * length / (mass_flow * specific_heat)


def warming_by_wall(
    wall_temperature: Annotated[float, "T_w", "K"],
    inlet_temperature: Annotated[float, "T_1", "K"],
    transfer_units: Annotated[float, "NTU", "1"],
) -> Annotated[float, "ΔT", "K"]:
    """Warming of a flow along a wall of one temperature.

    Formula: ΔT = (T_w - T_1) (1 - exp(-NTU)). Symbols: T_w wall temperature (K), T_1 temperature at the
    inlet (K), NTU number of transfer units (1), ΔT warming (K; negative where the wall is colder).
    Range: temperatures positive, NTU zero or more. Errors: `OutOfRange`.
    Source: energy balance; Çengel, Heat Transfer, section 8–3, constant surface temperature (from memory).
    """
    positive("wall_temperature", wall_temperature)
    positive("inlet_temperature", inlet_temperature)
    not_negative("transfer_units", transfer_units)
    return (wall_temperature - inlet_temperature) * (1 - exp(-transfer_units))


def warming_by_heat(
    heat: Annotated[float, "Φ", "W"],
    mass_flow: Annotated[float, "ṁ", "kg/s"],
    specific_heat: Annotated[float, "c_p", "J/(kg·K)"],
) -> Annotated[float, "ΔT", "K"]:
    """Warming of a flow by a given heat.

    Formula: ΔT = Φ / (ṁ c_p). Symbols: Φ heat flow into the air (W; negative where it is cooled), ṁ mass flow
    (kg/s), c_p specific heat (J/(kg·K)), ΔT warming (K).
    Range: ṁ, c_p positive. Errors: `OutOfRange`. Source: energy equation of steady flow.
    """
    within("heat", heat)
    positive("mass_flow", mass_flow)
    positive("specific_heat", specific_heat)
    return heat / (mass_flow * specific_heat)


heat_taken_up = product_of(
    "heat_taken_up",
    "Heat flow that warms a flow by ΔT.",
    mass_flow=Variable("ṁ", "kg/s", "mass flow", positive),
    specific_heat=Variable("c_p", "J/(kg·K)", "specific heat", positive),
    warming=Variable("ΔT", "K", "warming"),
    gives=Variable("Φ", "W", "heat flow"),
    source="energy equation of steady flow",
)


def temperature_after(
    inlet_temperature: Annotated[float, "T_1", "K"],
    warming: Annotated[float, "ΔT", "K"],
) -> Annotated[float, "T_2", "K"]:
    """Temperature after a warming.

    Formula: T_2 = T_1 + ΔT. Symbols: T_1 temperature before (K), ΔT warming (K), T_2 temperature after (K).
    Range: T_1 and the result positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("inlet_temperature", inlet_temperature)
    within("warming", warming, -0.9 * inlet_temperature)
    return inlet_temperature + warming


def reading_without_lag(
    reading: Annotated[float, "T_r", "K"],
    time_constant: Annotated[float, "τ", "s"],
    rate: Annotated[float, "dT_r/dt", "K/s"],
) -> Annotated[float, "T", "K"]:
    """True temperature behind the reading of a first-order sensor.

    Formula: T = T_r + τ dT_r/dt. Symbols: T_r reading (K), τ time constant (s), dT_r/dt rate at which the
    reading changes (K/s), T true temperature (K).
    Range: T_r positive, τ zero or more, rate finite. Errors: `OutOfRange`.
    Source: first-order instrument, τ dT_r/dt + T_r = T; Doebelin, Measurement Systems, 4th ed. (1990), 3.3
    (from memory).
    """
    positive("reading", reading)
    not_negative("time_constant", time_constant)
    within("rate", rate)
    return reading + time_constant * rate


temperature_difference = difference_of(
    "temperature_difference",
    "Difference of two temperatures.",
    temperature_before=Variable("T_1", "K", "temperature before", positive),
    temperature_after=Variable("T_2", "K", "temperature after", positive),
    gives=Variable("ΔT", "K", "change"),
    order=("temperature_after", "temperature_before"),
    source="definition",
)
