"""Burnt gas: against equilibrium and kinetic theory (Cantera), and against reference equations (CoolProp)."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import compressible, gas

PETROL = 1.87
GASES = {
    "carbon_dioxide": "CarbonDioxide",
    "water": "Water",
    "carbon_monoxide": "CarbonMonoxide",
    "hydrogen": "Hydrogen",
    "oxygen": "Oxygen",
}


def burnt(air_fuel_ratio: float, hydrogen_carbon_ratio: float = PETROL) -> dict[str, float]:
    """Everything of a mixture, in the order of `gas.COMPOSITION`."""
    values = {
        "air_fuel_ratio": air_fuel_ratio,
        "hydrogen_carbon_ratio": hydrogen_carbon_ratio,
        "oxygen_carbon_ratio": 0.0,
    }
    for name, formula in gas.COMPOSITION.items():
        values[name] = formula(**{part: values[part] for part in formula.__annotations__ if part != "return"})
    return values


def heat(values: dict[str, float], temperature: float) -> float:
    return gas.molar_heat_capacity(
        **{name: values[name] for name in (*GASES, "moles")}, temperature=temperature
    )


def sound(values: dict[str, float], temperature: float) -> float:
    ratio = gas.heat_capacity_ratio(heat(values, temperature))
    return compressible.speed_of_sound(ratio, values["gas_constant"], temperature)


# Cantera 3.2.0, gri30.yaml: C, H, O, N and Ar of CH1.87 burnt in air of 3.773 atmospheric nitrogen to an
# oxygen, equilibrate("TP") at 1740 K and 101 325 Pa, then frozen. Columns: air–fuel ratio, mole fractions of
# CO, H2 and CO2, gas constant; then γ, speed of sound and mixture-averaged viscosity at 900 and 1300 K.
CANTERA = [
    (11.0, 0.0837, 0.0346, 0.0799, 304.50, (1.3163, 600.62, 3.8196e-5), (1.2890, 714.33, 4.9192e-5)),
    (12.8, 0.0401, 0.0131, 0.1069, 294.40, (1.3089, 588.90, 3.8235e-5), (1.2819, 700.44, 4.9291e-5)),
    (14.0, 0.0130, 0.0036, 0.1249, 289.01, (1.3045, 582.52, 3.8265e-5), (1.2779, 692.90, 4.9348e-5)),
    (16.0, 0.0001, 0.0000, 0.1225, 286.69, (1.3056, 580.40, 3.8426e-5), (1.2791, 690.45, 4.9502e-5)),
]


@pytest.mark.parametrize(("ratio", "co", "h2", "co2", "constant", "at_900", "at_1300"), CANTERA)
def test_burnt_petrol_against_equilibrium(
    ratio: float,
    co: float,
    h2: float,
    co2: float,
    constant: float,
    at_900: tuple[float, float, float],
    at_1300: tuple[float, float, float],
) -> None:
    found = burnt(ratio)
    assert found["carbon_monoxide"] / found["moles"] == pytest.approx(co, abs=0.0008)
    assert found["hydrogen"] / found["moles"] == pytest.approx(h2, abs=0.0008)
    assert found["carbon_dioxide"] / found["moles"] == pytest.approx(co2, abs=0.0008)
    assert found["gas_constant"] == pytest.approx(constant, rel=5e-4)
    for temperature, (gamma, speed, viscosity) in ((900.0, at_900), (1300.0, at_1300)):
        assert gas.heat_capacity_ratio(heat(found, temperature)) == pytest.approx(gamma, rel=2e-3)
        assert sound(found, temperature) == pytest.approx(speed, rel=1.5e-3)
        mu = gas.dynamic_viscosity(temperature, found["equivalence_ratio"])
        assert mu == pytest.approx(viscosity, rel=0.025)


@pytest.mark.parametrize(
    "temperature", [330.0, 360.0, 400.0, 500.0, 700.0, 900.0, 1100.0, 1300.0, 1500.0, 1800]
)
@pytest.mark.parametrize("ratio", [11.0, 12.8, 14.6, 17.0])
def test_heat_capacity_of_the_mixture(ratio: float, temperature: float) -> None:
    """CoolProp 8.0.0, CP0MOLAR of each gas (reference equations of state), weighed by our composition."""
    found = burnt(ratio)
    parts = {**{fluid: found[name] for name, fluid in GASES.items()}, "Nitrogen": 3.773}
    reference = sum(
        moles * coolprop.PropsSI("CP0MOLAR", "T", temperature, "P", 1e4, fluid)
        for fluid, moles in parts.items()
    ) / sum(parts.values())
    assert heat(found, temperature) == pytest.approx(reference, rel=0.008)


@pytest.mark.parametrize(("name", "fluid"), GASES.items())
@pytest.mark.parametrize("temperature", [500.0, 800.0, 1200.0, 1600.0])
def test_each_gas_alone(name: str, fluid: str, temperature: float) -> None:
    """The same for each gas: what it adds to the nitrogen. Kyle gives greatest errors of 0.5 to 1.2 %."""
    none = dict.fromkeys(GASES, 0.0)
    air = 3.773 * coolprop.PropsSI("CP0MOLAR", "T", temperature, "P", 1e4, "Nitrogen")
    one = coolprop.PropsSI("CP0MOLAR", "T", temperature, "P", 1e4, fluid)
    found = heat({**none, name: 50.0, "moles": 53.773}, temperature)
    assert found == pytest.approx((50 * one + air) / 53.773, rel=0.014)


def test_handbook_values() -> None:
    # Heywood (1988), Table D.4 (from memory): gasoline CH1.87, stoichiometric 14.6; isooctane C8H18 15.13;
    # methane 17.23.
    assert gas.stoichiometric_air_fuel_ratio(1.87, 0.0) == pytest.approx(14.6, abs=0.05)
    assert gas.stoichiometric_air_fuel_ratio(18 / 8, 0.0) == pytest.approx(15.13, abs=0.02)
    assert gas.stoichiometric_air_fuel_ratio(4, 0.0) == pytest.approx(17.23, abs=0.05)
    # λ is 1/φ (definition): λ 0.9 of petrol is 13.14
    assert gas.equivalence_ratio(14.6, 13.14) == pytest.approx(1 / 0.9, rel=1e-12)


def test_viscosity_by_hand() -> None:
    """Mansouri and Heywood (1980): 3.3e-7 · 1000^0.7 = 4.15445e-5 Pa·s, over 1 + 0.027 · 1.5."""
    assert gas.dynamic_viscosity(1000.0, 1.5) == pytest.approx(4.15445e-5 / 1.0405, rel=1e-5)


def test_water_gas_balance_holds() -> None:
    """K = n_H2O n_CO / (n_H2 n_CO2) = 3.5 (Heywood 4.2; exp(2.743 − 1761/T − …) at 1740 K is 3.50)."""
    for ratio in (9.5, 11.0, 12.8, 14.2):
        found = burnt(ratio)
        quotient = found["water"] * found["carbon_monoxide"] / found["hydrogen"] / found["carbon_dioxide"]
        assert quotient == pytest.approx(3.5, rel=1e-9)


@for_all(st.floats(0.61, 1.55), st.floats(1, 4))
def test_atoms_and_mass_are_kept(phi: float, fuel: float) -> None:
    """Carbon, hydrogen and oxygen balance (chemistry); mass against air and fuel by their molar masses."""
    ratio = gas.stoichiometric_air_fuel_ratio(fuel, 0.0) / phi
    found = burnt(ratio, fuel)
    carbon = found["carbon_share"] * phi
    assert found["carbon_dioxide"] + found["carbon_monoxide"] == pytest.approx(carbon, rel=1e-9)
    assert 2 * (found["water"] + found["hydrogen"]) == pytest.approx(carbon * fuel, rel=1e-9)
    oxygen = 2 * found["carbon_dioxide"] + found["carbon_monoxide"] + found["water"] + 2 * found["oxygen"]
    assert oxygen == pytest.approx(2, rel=1e-9)
    air = 31.998 + 3.773 * 28.16
    mass = air + carbon * (12.011 + 1.008 * fuel)
    assert 1000 * found["molar_mass"] * found["moles"] == pytest.approx(mass, rel=3e-4)
    assert air / (mass - air) == pytest.approx(ratio, rel=2e-3)
    assert all(found[name] >= 0 for name in GASES)


def test_sound_against_hot_air() -> None:
    """Sound in air, CoolProp 8.0.0 (Lemmon et al., 2000): 523.83 m/s at 700 K, 589.53 at 900 K.

    Exhaust gas lies within 2 % of it: its constant is within 3 % and γ is 1.30 to 1.35.
    """
    lean = burnt(14.6)
    assert sound(lean, 700.0) == pytest.approx(523.83, rel=0.02)
    assert sound(lean, 900.0) == pytest.approx(589.53, rel=0.02)
    # Air is γ 1.3444 at 900 K (CoolProp; gas tables 1.344): burnt gas, with its larger molecules, is lower.
    assert 1.28 < gas.heat_capacity_ratio(heat(lean, 900.0)) < 1.3444
    # √(γ R T) with 1.33, 287 J/(kg·K) and 900 K, by hand
    assert compressible.speed_of_sound(1.33, 287.0, 900.0) == pytest.approx(586.122000952, rel=1e-9)


@for_all(st.floats(10, 20), st.floats(450, 1700), st.floats(1, 90))
def test_hotter_is_faster_and_thinner(ratio: float, temperature: float, more: float) -> None:
    found = burnt(ratio)
    hot = temperature + more
    assert sound(found, hot) > sound(found, temperature)
    assert gas.heat_capacity_ratio(heat(found, hot)) < gas.heat_capacity_ratio(heat(found, temperature))
    cold = gas.density(1e5, found["gas_constant"], temperature)
    assert gas.density(1e5, found["gas_constant"], hot) == pytest.approx(cold * temperature / hot)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: gas.stoichiometric_air_fuel_ratio(0.5, 0.0), "hydrogen_carbon_ratio"),
        (lambda: gas.carbon_share(5.0, 0.0), "hydrogen_carbon_ratio"),
        (lambda: gas.equivalence_ratio(14.6, 8.0), "air_fuel_ratio"),
        (lambda: gas.equivalence_ratio(14.6, 30.0), "air_fuel_ratio"),
        (lambda: gas.carbon_monoxide(1.8, 0.68, 0.64), "equivalence_ratio"),
        (lambda: gas.carbon_monoxide(1.2, 0.9, 0.64), "carbon_share"),
        (lambda: gas.carbon_dioxide(1.2, 0.68, 2.0), "carbon_monoxide"),
        (lambda: gas.hydrogen(1.2, -0.1), "carbon_monoxide"),
        (lambda: gas.water(1.2, 0.64, 3.0), "hydrogen"),
        (lambda: gas.oxygen(0.3), "equivalence_ratio"),
        (lambda: gas.moles(-1.0, 1.0, 0.0, 0.0, 0.0), "carbon_dioxide"),
        (lambda: gas.molar_mass(1.0, 1.0, 0.0, 0.0, 0.0, 0.0), "moles"),
        (lambda: gas.gas_constant(0.5), "molar_mass"),
        (lambda: gas.molar_heat_capacity(1.0, 1.0, 0.0, 0.0, 0.0, 5.8, 320.0), "temperature"),
        (lambda: gas.heat_capacity_ratio(8.0), "molar_heat_capacity"),
        (lambda: gas.density(1e5, 290.0, 0.0), "temperature"),
        (lambda: gas.dynamic_viscosity(400.0, 1.0), "temperature"),
        (lambda: gas.dynamic_viscosity_of_cool_gas(320.0, 1.0), "temperature"),
        (lambda: gas.stoichiometric_air_fuel_ratio(2.0, 1.5), "oxygen_carbon_ratio"),
        (lambda: gas.water_share(1.0, 0.3), "carbon_share"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name
