"""Air: the standard atmosphere, humidity, density and the properties a duct needs.

Dry air is an ideal gas of 287.05287 J/(kg·K), the constant of the standard atmosphere. Humid air is
a mixture of two ideal gases.
"""

from __future__ import annotations

from math import exp, log, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, Within, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

_ICE_OR_HOT = "the vapour pressure formula holds over liquid water, −40 to 50 °C"
_COLD_OR_HOT = "the fit holds for the air about an engine"


def geopotential_altitude(
    altitude: Annotated[float, "z", "m"],
) -> Annotated[float, "H", "m"]:
    """Geopotential altitude of a geometric altitude: height as gravity at sea level would count it.

    Formula: H = r z / (r + z), r = 6 356 766 m. Symbols: z geometric altitude above mean sea level (m),
    r effective earth's radius (m), H geopotential altitude (m).
    Range: z −1000 to 11 000 m. Errors: `OutOfRange`.
    Source: U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562), eq. 18; ISO 2533:1975, 2.3 (clause from memory).
    """
    within("altitude", altitude, low=-1000, high=11_000, why="the layer above 11 km follows another law")
    r = 6_356_766
    return r * altitude / (r + altitude)


def standard_temperature(
    geopotential_altitude: Annotated[float, "H", "m"],
) -> Annotated[float, "T", "K"]:
    """Temperature of the standard atmosphere in its lowest layer.

    Formula: T = 288.15 - 0.0065 H. Symbols: H geopotential altitude (m), T temperature (K).
    Range: H −1001 to 11 000 m. Errors: `OutOfRange`.
    Source: U.S. Standard Atmosphere 1976, eq. 23 and Table 4; ISO 2533:1975.
    """
    within("geopotential_altitude", geopotential_altitude, -1001, 11_000)
    return 288.15 - 0.0065 * geopotential_altitude


def standard_pressure(
    standard_temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "p", "Pa"]:
    """Pressure of the standard atmosphere where it has the temperature T, lowest layer.

    Formula: p = 101 325 (T / 288.15)^(g_0 / (0.0065 R)). Symbols: T standard temperature at the altitude (K),
    exponent g_0 / (0.0065 R) (1), p pressure (Pa); g_0 = 9.80665 m/s², R = 287.05287 J/(kg·K).
    Range: T 216.65 to 294.66 K (11 000 to −1000 m). Errors: `OutOfRange`.
    Source: U.S. Standard Atmosphere 1976, eq. 33a; ISO 2533:1975.
    """
    within("standard_temperature", standard_temperature, 216.65, 294.66)
    exponent = 9.80665 / (0.0065 * 287.05287)
    return 101_325 * (standard_temperature / 288.15) ** exponent  # type: ignore[no-any-return]


def saturation_vapour_pressure(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "p_s", "Pa"]:
    """Saturation vapour pressure of water over liquid water.

    Formula: p_s = 611.21 exp((18.678 - t / 234.5) t / (257.14 + t)), t = T - 273.15.
    Symbols: T temperature (K), t the same in degrees Celsius (°C), p_s saturation vapour pressure (Pa).
    Range: 233.15 to 323.15 K (−40 to 50 °C). Below 0 °C it is over supercooled water, as meteorologists
    count relative humidity. Within 0.1 % of IAPWS-95 from 0 to 50 °C, within 0.4 % of Murphy and Koop
    (2005) below.
    Errors: `OutOfRange`.
    Source: A. L. Buck, New equations for computing vapor pressure and enhancement factor, J. Appl.
    Meteorol. 20 (1981), 1527–1532, with the coefficients of Buck Research CR-1A User's Manual (1996),
    Appendix 1. The enhancement factor of moist air (1.004) is left out.
    """
    within("temperature", temperature, low=233.15, high=323.15, why=_ICE_OR_HOT)
    t = temperature - 273.15
    return 611.21 * exp((18.678 - t / 234.5) * t / (257.14 + t))


vapour_pressure = product_of(
    "vapour_pressure",
    "Partial pressure of water vapour in the air.",
    relative_humidity=Variable("φ", "1", "relative humidity", Within(0, 1)),
    saturation_vapour_pressure=Variable("p_s", "Pa", "saturation vapour pressure", positive),
    gives=Variable("p_v", "Pa", "vapour pressure"),
    source="definition of relative humidity (WMO)",
)


def humid_air_density(
    pressure: Annotated[float, "p", "Pa"],
    temperature: Annotated[float, "T", "K"],
    vapour_pressure: Annotated[float, "p_v", "Pa"],
) -> Annotated[float, "ρ", "kg/m³"]:
    """Density of humid air; with p_v = 0, of dry air.

    Formula: ρ = (p - p_v) / (R_d T) + p_v / (R_v T), R_d = 287.05287, R_v = 461.52 J/(kg·K).
    Symbols: p absolute pressure of the mixture (Pa), p_v partial pressure of the vapour (Pa), T
    temperature (K), R_d and R_v gas constants of dry air and of water vapour, ρ density (kg/m³).
    Range: p positive, p_v 0 to below p, T positive. Within 0.1 % of real humid air near one atmosphere.
    Errors: `OutOfRange`.
    Source: Dalton's law with the ideal gas law; R_d U.S. Standard Atmosphere 1976, R_v IAPWS R6-95 (461.518
    J/(kg·K)).
    """
    positive("pressure", pressure)
    positive("temperature", temperature)
    not_negative("vapour_pressure", vapour_pressure)
    if vapour_pressure >= pressure:
        raise OutOfRange("vapour_pressure", f"{vapour_pressure:g} Pa", f"below the pressure, {pressure:g} Pa")
    return (pressure - vapour_pressure) / (287.05287 * temperature) + vapour_pressure / (461.52 * temperature)


def dry_air_density(
    pressure: Annotated[float, "p", "Pa"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "ρ", "kg/m³"]:
    """Density of dry air.

    Formula: ρ = p / (R T), R = 287.05287 J/(kg·K). Symbols: p absolute pressure (Pa), T temperature (K),
    ρ density (kg/m³).
    Range: both positive. Errors: `OutOfRange`.
    Source: ideal gas law; R U.S. Standard Atmosphere 1976.
    """
    positive("pressure", pressure)
    positive("temperature", temperature)
    return pressure / (287.05287 * temperature)


def gas_constant(
    pressure: Annotated[float, "p", "Pa"],
    density: Annotated[float, "ρ", "kg/m³"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "R", "J/(kg·K)"]:
    """Gas constant of a gas, humid air say, from its state.

    Formula: R = p / (ρ T). Symbols: p absolute pressure (Pa), ρ density (kg/m³), T temperature (K),
    R specific gas constant (J/(kg·K)).
    Range: all positive. Errors: `OutOfRange`. Source: ideal gas law.
    """
    positive("pressure", pressure)
    positive("density", density)
    positive("temperature", temperature)
    return pressure / (density * temperature)


def dynamic_viscosity(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "μ", "Pa·s"]:
    """Dynamic viscosity of air by Sutherland's formula.

    Formula: μ = β T^1.5 / (T + S), β = 1.458e-6 kg/(s·m·K^½), S = 110.4 K. Symbols: T temperature (K),
    μ dynamic viscosity (Pa·s).
    Range: 200 to 1000 K; within 1 % of Lemmon and Jacobsen (2004) from 233 to 400 K, 1.5 % at 500 K, 4 % at
    1000 K.
    Errors: `OutOfRange`.
    Source: U.S. Standard Atmosphere 1976, eq. 51.
    """
    within("temperature", temperature, low=200, high=1000, why=_COLD_OR_HOT)
    return 1.458e-6 * temperature * sqrt(temperature) / (temperature + 110.4)


kinematic_viscosity = ratio_of(
    "kinematic_viscosity",
    "Kinematic viscosity.",
    dynamic_viscosity=Variable("μ", "Pa·s", "dynamic viscosity", positive),
    density=Variable("ρ", "kg/m³", "density", positive),
    gives=Variable("ν", "m²/s", "kinematic viscosity"),
    source="definition",
)


def thermal_conductivity(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "λ", "W/(m·K)"]:
    """Thermal conductivity of air.

    Formula: λ = 2.64638e-3 T^1.5 / (T + 245.4 · 10^(-12/T)). Symbols: T temperature (K), S what is added to
    it (K), λ thermal conductivity (W/(m·K)).
    Range: 200 to 1000 K; within 2 % of Lemmon and Jacobsen (2004) from 233 to 500 K. Errors: `OutOfRange`.
    Source: U.S. Standard Atmosphere 1976, eq. 53.
    """
    within("temperature", temperature, low=200, high=1000, why=_COLD_OR_HOT)
    S = 245.4 * exp(-12 * log(10) / temperature)
    return 2.64638e-3 * temperature * sqrt(temperature) / (temperature + S)


def specific_heat(
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "c_p", "J/(kg·K)"]:
    """Specific heat of dry air at constant pressure.

    Formula: c_p = 287.05287 (3.653 - 1.337e-3 T + 3.294e-6 T² - 1.913e-9 T³ + 0.2763e-12 T⁴).
    Symbols: T temperature (K), first sum of the first terms in the brackets (1), c_p specific heat at
    constant pressure (J/(kg·K)).
    Range: 233 to 1000 K; the source gives 300 to 1000 K, below that it stays within 0.4 % of Lemmon et al.
    (2000). Errors: `OutOfRange`.
    Source: Moran and Shapiro, Fundamentals of Engineering Thermodynamics, Table A-21, as
    public code quotes it (read).
    """
    within("temperature", temperature, low=233, high=1000, why=_COLD_OR_HOT)
    first = 3.653 - 1.337e-3 * temperature + 3.294e-6 * temperature**2
    return 287.05287 * (first - 1.913e-9 * temperature**3 + 0.2763e-12 * temperature**4)
