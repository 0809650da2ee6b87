"""Hot exhaust gas: what it is made of, its heat capacity, sound speed, density and viscosity.

Composition is reckoned per mole of oxygen in the air, as Heywood does: what burns is a hydrocarbon or an
alcohol, the burnt gas is wet, and below about 1700 K it no longer changes but for the water–gas reaction,
whose constant is taken at 1740 K. Air is oxygen and 3.773 times as much atmospheric nitrogen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, ratio_of
from buildlog.physics.limits import not_negative, positive, within

LEANEST, RICHEST = 0.6, 1.6
"""Equivalence ratios between which a petrol engine runs at all."""

_MIXTURE = "mixtures on which a petrol engine runs"
_FUEL = "from methane (0.50) to benzene (0.80)"
_FUEL_WATER = "from benzene (0.40) to methanol (1.33)"
_HOT = "range of the heat capacity polynomials that an exhaust needs"


# --- what it is made of --------------------------------------------------------------------


def stoichiometric_air_fuel_ratio(
    hydrogen_carbon_ratio: Annotated[float, "y", "1"],
    oxygen_carbon_ratio: Annotated[float, "z", "1"],
) -> Annotated[float, "s", "1"]:
    """Mass of air that burns a unit mass of a fuel completely; a fuel's own oxygen saves air.

    Formula: s = 34.56 (4 + y - 2 z) / (12.011 + 1.008 y + 15.999 z). Symbols: y hydrogen atoms per carbon
    atom (1), z oxygen atoms per carbon atom (1), need mass of air for a mole of carbon (g/mol), s
    stoichiometric air–fuel ratio by mass (1).
    Range: y 1 to 4 (benzene to methane), z 0 to 1 (hydrocarbons to methanol). Errors: `OutOfRange`.
    Source: Heywood, Internal Combustion Engine Fundamentals (McGraw-Hill, 1988), eq. 3.6 (from memory);
    atom balance; for ethanol and petrol the U.S. Department of Energy, Alternative Fuels Data Center, fuel
    properties, has 9 and 14.7.
    """
    within("hydrogen_carbon_ratio", hydrogen_carbon_ratio, low=1, high=4, why="benzene to methane")
    within("oxygen_carbon_ratio", oxygen_carbon_ratio, low=0, high=1, why="hydrocarbons to methanol")
    need = 34.56 * (4 + hydrogen_carbon_ratio - 2 * oxygen_carbon_ratio)
    return need / (12.011 + 1.008 * hydrogen_carbon_ratio + 15.999 * oxygen_carbon_ratio)


def equivalence_ratio(
    stoichiometric_air_fuel_ratio: Annotated[float, "s", "1"],
    air_fuel_ratio: Annotated[float, "r", "1"],
) -> Annotated[float, "φ", "1"]:
    """Fuel over the fuel that the air could burn: above 1 the mixture is rich.

    Formula: φ = s / r. Symbols: s stoichiometric air–fuel ratio by mass (1), r air–fuel ratio by mass (1), φ
    equivalence ratio (1), which is 1/λ.
    Range: both positive, φ 0.6 to 1.6. Errors: `OutOfRange`. Source: definition.
    """
    positive("stoichiometric_air_fuel_ratio", stoichiometric_air_fuel_ratio)
    within(
        "air_fuel_ratio",
        air_fuel_ratio,
        low=stoichiometric_air_fuel_ratio / RICHEST,
        high=stoichiometric_air_fuel_ratio / LEANEST,
        why=_MIXTURE,
    )
    return stoichiometric_air_fuel_ratio / air_fuel_ratio


excess_air_ratio = ratio_of(
    "excess_air_ratio",
    "Air over the air that the fuel needs to burn completely, lambda: below 1 the mixture is rich.",
    air_fuel_ratio=Variable("r", "1", "air–fuel ratio by mass", positive),
    stoichiometric_air_fuel_ratio=Variable("s", "1", "stoichiometric air–fuel ratio by mass", positive),
    gives=Variable("λ", "1", "excess-air ratio, 1/φ"),
    source="definition",
)


def carbon_share(
    hydrogen_carbon_ratio: Annotated[float, "y", "1"],
    oxygen_carbon_ratio: Annotated[float, "z", "1"],
) -> Annotated[float, "ε", "1"]:
    """Carbon that a mole of oxygen from the air burns in complete combustion.

    Formula: ε = 4 / (4 + y - 2 z). Symbols: y hydrogen atoms per carbon atom (1), z oxygen atoms per carbon
    atom (1), ε moles of carbon (1).
    Range: y 1 to 4, z 0 to 1. Errors: `OutOfRange`.
    Source: Heywood (1988), 4.2, as in the course file MixtureRich, ME410, Rose-Hulman; with a fuel's own
    oxygen by the atom balance.
    """
    within("hydrogen_carbon_ratio", hydrogen_carbon_ratio, low=1, high=4, why="benzene to methane")
    within("oxygen_carbon_ratio", oxygen_carbon_ratio, low=0, high=1, why="hydrocarbons to methanol")
    return 4 / (4 + hydrogen_carbon_ratio - 2 * oxygen_carbon_ratio)


def water_share(
    hydrogen_carbon_ratio: Annotated[float, "y", "1"],
    carbon_share: Annotated[float, "ε", "1"],
) -> Annotated[float, "η", "1"]:
    """Water that goes with the carbon which a mole of oxygen from the air burns completely.

    Formula: η = ε y / 2. Symbols: y hydrogen atoms per carbon atom (1), ε carbon's share (1), η moles of
    water (1).
    Range: y 1 to 4, ε 0.5 to 0.8. Errors: `OutOfRange`. Source: hydrogen balance.
    """
    within("hydrogen_carbon_ratio", hydrogen_carbon_ratio, low=1, high=4, why="benzene to methane")
    within("carbon_share", carbon_share, low=0.5, high=0.8, why=_FUEL)
    return carbon_share * hydrogen_carbon_ratio / 2


def carbon_monoxide(
    equivalence_ratio: Annotated[float, "φ", "1"],
    carbon_share: Annotated[float, "ε", "1"],
    water_share: Annotated[float, "η", "1"],
) -> Annotated[float, "n_CO", "1"]:
    """Carbon monoxide in burnt gas, moles per mole of oxygen in the air; none in a lean mixture.

    Formula: n_CO = (B - √(B² - 4 (K_w - 1) C)) / (2 (K_w - 1)) for φ above 1, otherwise 0, with K_w = 3.5,
    B = K_w (2 (φ - 1) + ε φ) + η φ - 2 (φ - 1), C = 2 K_w ε φ (φ - 1). Symbols: φ equivalence ratio (1), ε
    carbon's share (1), η water's share (1), K_w constant of the water–gas reaction at 1740 K (1), B middle
    coefficient of the quadratic equation for n_CO (1), C last coefficient of the equation (1), n_CO moles
    of carbon monoxide (1).
    Range: φ 0.6 to 1.6, ε 0.5 to 0.8, η 0.4 to 1.5. Errors: `OutOfRange`.
    Source: Heywood (1988), 4.2 and Table 4.3 (balances and K(T) as in the course file MixtureRich, ME410,
    Rose-Hulman).
    """
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    within("carbon_share", carbon_share, low=0.5, high=0.8, why=_FUEL)
    within("water_share", water_share, low=0.4, high=1.5, why=_FUEL_WATER)
    # One temperature stands for all mixtures: there the composition freezes while the gas expands.
    K_w = 3.5
    # n_CO solves (K_w - 1) n² - B n + C = 0. The larger root would be more carbon than the fuel has.
    B = (
        K_w * (2 * (equivalence_ratio - 1) + carbon_share * equivalence_ratio)
        + water_share * equivalence_ratio
        - 2 * (equivalence_ratio - 1)
    )
    C = 2 * K_w * carbon_share * equivalence_ratio * (equivalence_ratio - 1)
    return (B - sqrt(B**2 - 4 * (K_w - 1) * C)) / (2 * (K_w - 1)) if equivalence_ratio > 1 else 0.0


def carbon_dioxide(
    equivalence_ratio: Annotated[float, "φ", "1"],
    carbon_share: Annotated[float, "ε", "1"],
    carbon_monoxide: Annotated[float, "n_CO", "1"],
) -> Annotated[float, "n_CO2", "1"]:
    """Carbon dioxide in burnt gas, moles per mole of oxygen in the air.

    Formula: n_CO2 = ε φ - n_CO. Symbols: φ equivalence ratio (1), ε carbon's share (1), n_CO moles of carbon
    monoxide (1), n_CO2 moles of carbon dioxide (1).
    Range: φ 0.6 to 1.6, ε 0.5 to 0.8, n_CO 0 to ε φ. Errors: `OutOfRange`. Source: carbon balance.
    """
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    within("carbon_share", carbon_share, low=0.5, high=0.8, why=_FUEL)
    within(
        "carbon_monoxide",
        carbon_monoxide,
        low=0,
        high=carbon_share * equivalence_ratio,
        why="carbon of the fuel",
    )
    return carbon_share * equivalence_ratio - carbon_monoxide


def hydrogen(
    equivalence_ratio: Annotated[float, "φ", "1"],
    carbon_monoxide: Annotated[float, "n_CO", "1"],
) -> Annotated[float, "n_H2", "1"]:
    """Hydrogen in burnt gas, moles per mole of oxygen in the air; none in a lean mixture.

    Formula: n_H2 = 2 (φ - 1) - n_CO for φ above 1, otherwise 0. Symbols: φ equivalence ratio (1), n_CO moles
    of carbon monoxide (1), n_H2 moles of hydrogen (1).
    Range: φ 0.6 to 1.6, n_CO zero or more. Errors: `OutOfRange`.
    Source: oxygen balance: what is short is missing from CO₂ and H₂O.
    """
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    not_negative("carbon_monoxide", carbon_monoxide)
    return 2 * (equivalence_ratio - 1) - carbon_monoxide if equivalence_ratio > 1 else 0.0


def water(
    equivalence_ratio: Annotated[float, "φ", "1"],
    water_share: Annotated[float, "η", "1"],
    hydrogen: Annotated[float, "n_H2", "1"],
) -> Annotated[float, "n_H2O", "1"]:
    """Water vapour in burnt gas, moles per mole of oxygen in the air.

    Formula: n_H2O = η φ - n_H2. Symbols: φ equivalence ratio (1), η water's share (1), n_H2 moles of hydrogen
    (1), n_H2O moles of water (1).
    Range: φ 0.6 to 1.6, η 0.4 to 1.5, n_H2 0 to η φ. Errors: `OutOfRange`. Source: hydrogen balance.
    """
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    within("water_share", water_share, low=0.4, high=1.5, why=_FUEL_WATER)
    within("hydrogen", hydrogen, low=0, high=water_share * equivalence_ratio, why="hydrogen of the fuel")
    return water_share * equivalence_ratio - hydrogen


def oxygen(
    equivalence_ratio: Annotated[float, "φ", "1"],
) -> Annotated[float, "n_O2", "1"]:
    """Oxygen left in burnt gas, moles per mole of oxygen in the air; none in a rich mixture.

    Formula: n_O2 = 1 - φ for φ below 1, otherwise 0. Symbols: φ equivalence ratio (1), n_O2 moles of oxygen
    (1).
    Range: φ 0.6 to 1.6. Errors: `OutOfRange`. Source: oxygen balance.
    """
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    return 1 - equivalence_ratio if equivalence_ratio < 1 else 0.0


def moles(
    carbon_dioxide: Annotated[float, "n_CO2", "1"],
    water: Annotated[float, "n_H2O", "1"],
    carbon_monoxide: Annotated[float, "n_CO", "1"],
    hydrogen: Annotated[float, "n_H2", "1"],
    oxygen: Annotated[float, "n_O2", "1"],
) -> Annotated[float, "n", "1"]:
    """Burnt gas in all, nitrogen included, moles per mole of oxygen in the air.

    Formula: n = n_CO2 + n_H2O + n_CO + n_H2 + n_O2 + 3.773. Symbols: n_CO2 moles of carbon dioxide (1), n_H2O
    moles of water (1), n_CO moles of carbon monoxide (1), n_H2 moles of hydrogen (1), n_O2 moles of oxygen
    (1), n moles of all gases (1).
    Range: all zero or more. Errors: `OutOfRange`. Source: Heywood (1988), 3.2: 3.773 nitrogen to an oxygen.
    """
    not_negative("carbon_dioxide", carbon_dioxide)
    not_negative("water", water)
    not_negative("carbon_monoxide", carbon_monoxide)
    not_negative("hydrogen", hydrogen)
    not_negative("oxygen", oxygen)
    return carbon_dioxide + water + carbon_monoxide + hydrogen + oxygen + 3.773


def molar_mass(
    carbon_dioxide: Annotated[float, "n_CO2", "1"],
    water: Annotated[float, "n_H2O", "1"],
    carbon_monoxide: Annotated[float, "n_CO", "1"],
    hydrogen: Annotated[float, "n_H2", "1"],
    oxygen: Annotated[float, "n_O2", "1"],
    moles: Annotated[float, "n", "1"],
) -> Annotated[float, "M", "kg/mol"]:
    """Molar mass of burnt gas.

    Formula: M = (44.01 n_CO2 + 18.015 n_H2O + 28.01 n_CO + 2.016 n_H2 + 31.998 n_O2 + 28.16 · 3.773) / (1000
    n). Symbols: n_CO2 moles of carbon dioxide (1), n_H2O moles of water (1), n_CO moles of carbon monoxide
    (1), n_H2 moles of hydrogen (1), n_O2 moles of oxygen (1), n moles of all gases (1), carbon mass of the
    gases with carbon (g/mol), rest mass of the others, nitrogen included (g/mol), M molar mass (kg/mol);
    28.16 g/mol is that of atmospheric nitrogen, argon included.
    Range: all zero or more, n positive. Errors: `OutOfRange`.
    Source: IUPAC standard atomic weights; Heywood (1988), 3.2, for atmospheric nitrogen (from memory).
    """
    not_negative("carbon_dioxide", carbon_dioxide)
    not_negative("water", water)
    not_negative("carbon_monoxide", carbon_monoxide)
    not_negative("hydrogen", hydrogen)
    not_negative("oxygen", oxygen)
    positive("moles", moles)
    carbon = 44.01 * carbon_dioxide + 28.01 * carbon_monoxide
    rest = 18.015 * water + 2.016 * hydrogen + 31.998 * oxygen + 28.16 * 3.773
    return (carbon + rest) / (1000 * moles)


def gas_constant(
    molar_mass: Annotated[float, "M", "kg/mol"],
) -> Annotated[float, "R", "J/(kg·K)"]:
    """Gas constant of a gas of known molar mass.

    Formula: R = 8.314462618 / M. Symbols: M molar mass (kg/mol), R gas constant (J/(kg·K)).
    Range: M 0.01 to 0.1 kg/mol. Errors: `OutOfRange`.
    Source: SI Brochure, 9th ed. (2019): molar gas constant, exact.
    """
    within("molar_mass", molar_mass, low=0.01, high=0.1, why="burnt gases")
    return 8.314462618 / molar_mass


# --- heat and sound ------------------------------------------------------------------------


def molar_heat_capacity(
    carbon_dioxide: Annotated[float, "n_CO2", "1"],
    water: Annotated[float, "n_H2O", "1"],
    carbon_monoxide: Annotated[float, "n_CO", "1"],
    hydrogen: Annotated[float, "n_H2", "1"],
    oxygen: Annotated[float, "n_O2", "1"],
    moles: Annotated[float, "n", "1"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "C_p", "J/(mol·K)"]:
    """Molar heat capacity of burnt gas at constant pressure, the composition held.

    Formula: C_p = (a + b T + c T² + d T³) / n, each coefficient the sum over the gases of moles times that
    gas's own. Symbols: n_CO2 moles of carbon dioxide (1), n_H2O moles of water (1), n_CO moles of carbon
    monoxide (1), n_H2 moles of hydrogen (1), n_O2 moles of oxygen (1), n moles of all gases (1), T
    temperature (K), a constant part without nitrogen (J/(mol·K)), b coefficient of T over 100 K (J/(mol·K)),
    c coefficient of T² over 10⁵ K² (J/(mol·K)), d coefficient of T³ over 10⁹ K³ (J/(mol·K)), first constant
    and linear part (J/(mol·K)), second quadratic part (J/(mol·K)), third cubic part (J/(mol·K)), C_p molar
    heat capacity (J/(mol·K)).
    Range: T 330 to 1800 K. The fits are within 1.3 % for every gas (water vapour 2.5 % low at 1800 K) and
    within 0.5 % for the mixture. Errors: `OutOfRange`.
    Source: B. G. Kyle, Chemical and Process Thermodynamics (Prentice-Hall, 1984), as in Çengel and Boles,
    Thermodynamics, Table A-2c: all coefficients as public course code quotes them (read).
    """
    within("temperature", temperature, low=330, high=1800, why=_HOT)
    not_negative("carbon_dioxide", carbon_dioxide)
    not_negative("water", water)
    not_negative("carbon_monoxide", carbon_monoxide)
    not_negative("hydrogen", hydrogen)
    not_negative("oxygen", oxygen)
    positive("moles", moles)
    a = 22.26 * carbon_dioxide + 32.24 * water + 28.16 * carbon_monoxide + 29.11 * hydrogen + 25.48 * oxygen
    b = 5.981 * carbon_dioxide + 0.1923 * water + 0.1675 * carbon_monoxide - 0.1916 * hydrogen + 1.52 * oxygen
    c = -3.501 * carbon_dioxide + 1.055 * water + 0.5372 * carbon_monoxide + 0.4003 * hydrogen
    d = 7.469 * carbon_dioxide - 3.595 * water - 2.222 * carbon_monoxide - 0.8704 * hydrogen
    first = a + 28.9 * 3.773 + (b - 0.1571 * 3.773) * temperature / 1e2
    second = (c - 0.7155 * oxygen + 0.8081 * 3.773) * temperature**2 / 1e5
    third = (d + 1.312 * oxygen - 2.873 * 3.773) * temperature**3 / 1e9
    return (first + second + third) / moles


def heat_capacity_ratio(
    molar_heat_capacity: Annotated[float, "C_p", "J/(mol·K)"],
) -> Annotated[float, "γ", "1"]:
    """Ratio of specific heats of an ideal gas.

    Formula: γ = C_p / (C_p - 8.314462618). Symbols: C_p molar heat capacity at constant pressure (J/(mol·K)),
    γ ratio of specific heats (1).
    Range: C_p 20.7 to 100 J/(mol·K). Errors: `OutOfRange`. Source: definition; C_p - C_v = R.
    """
    within("molar_heat_capacity", molar_heat_capacity, low=20.7, high=100, why="gases of one to a few atoms")
    return molar_heat_capacity / (molar_heat_capacity - 8.314462618)


# --- density and viscosity -----------------------------------------------------------------


def density(
    pressure: Annotated[float, "p", "Pa"],
    gas_constant: Annotated[float, "R", "J/(kg·K)"],
    temperature: Annotated[float, "T", "K"],
) -> Annotated[float, "ρ", "kg/m³"]:
    """Density of an ideal gas.

    Formula: ρ = p / (R T). Symbols: p absolute pressure (Pa), R gas constant (J/(kg·K)), T temperature (K),
    ρ density (kg/m³).
    Range: all positive. Errors: `OutOfRange`. Source: ideal gas law.
    """
    positive("pressure", pressure)
    positive("gas_constant", gas_constant)
    positive("temperature", temperature)
    return pressure / (gas_constant * temperature)


def dynamic_viscosity(
    temperature: Annotated[float, "T", "K"],
    equivalence_ratio: Annotated[float, "φ", "1"],
) -> Annotated[float, "μ", "Pa·s"]:
    """Dynamic viscosity of burnt hydrocarbon and air.

    Formula: μ = 3.3e-7 T^0.7 / (1 + 0.027 φ). Symbols: T temperature (K), φ equivalence ratio (1), μ dynamic
    viscosity (Pa·s).
    Range: T 500 to 1800 K, φ 0.6 to 1.6. Within 2 % of kinetic theory (mixture-averaged, GRI-Mech 3.0), where
    Sutherland's formula for air falls 5 % short at 1300 K. Errors: `OutOfRange`.
    Source: S. H. Mansouri and J. B. Heywood, Correlations for the viscosity and Prandtl number of
    hydrocarbon-air combustion products, Combustion Science and Technology 23 (1980) 251–256; Heywood (1988),
    4.8 (from memory).
    """
    within("temperature", temperature, low=500, high=1800, why="the correlation begins at 500 K")
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    return 3.3e-7 * temperature**0.7 / (1 + 0.027 * equivalence_ratio)  # type: ignore[no-any-return]


def dynamic_viscosity_of_cool_gas(
    temperature: Annotated[float, "T", "K"],
    equivalence_ratio: Annotated[float, "φ", "1"],
) -> Annotated[float, "μ", "Pa·s"]:
    """Dynamic viscosity of burnt hydrocarbon and air that has cooled: the same, below where it was fitted.

    Formula: μ = 3.3e-7 T^0.7 / (1 + 0.027 φ). Symbols: T temperature (K), φ equivalence ratio (1), μ dynamic
    viscosity (Pa·s).
    Range: T 330 to 1800 K, φ 0.6 to 1.6; below 500 K it lies up to a tenth off. Errors: `OutOfRange`.
    Source: `dynamic_viscosity`; for what it is used the root of μ counts.
    """
    within("temperature", temperature, low=330, high=1800, why="from where water drops out")
    within("equivalence_ratio", equivalence_ratio, low=LEANEST, high=RICHEST, why=_MIXTURE)
    return 3.3e-7 * temperature**0.7 / (1 + 0.027 * equivalence_ratio)  # type: ignore[no-any-return]


COMPOSITION: Mapping[str, Callable[..., float]] = {
    "stoichiometric_air_fuel_ratio": stoichiometric_air_fuel_ratio,
    "equivalence_ratio": equivalence_ratio,
    "carbon_share": carbon_share,
    "water_share": water_share,
    "carbon_monoxide": carbon_monoxide,
    "carbon_dioxide": carbon_dioxide,
    "hydrogen": hydrogen,
    "water": water,
    "oxygen": oxygen,
    "moles": moles,
    "molar_mass": molar_mass,
    "gas_constant": gas_constant,
}
"""From `hydrogen_carbon_ratio`, `oxygen_carbon_ratio` and `air_fuel_ratio` to the gas constant, in the order
to reckon in."""
