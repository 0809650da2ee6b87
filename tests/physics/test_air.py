"""The air: against the standard atmosphere, CoolProp, fluids and closed forms."""

from __future__ import annotations

from math import exp, log, tanh

import CoolProp.CoolProp as coolprop
import fluids
import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import air


def standard(altitude: float) -> tuple[float, float]:
    temperature = air.standard_temperature(air.geopotential_altitude(altitude))
    return temperature, air.standard_pressure(temperature)


# U.S. Standard Atmosphere 1976, Table I (geometric altitude; printed digits from memory): T in K, p in hPa.
@pytest.mark.parametrize(
    ("altitude", "temperature", "pressure"),
    [(0, 288.150, 1013.25), (500, 284.900, 954.61), (1000, 281.651, 898.76), (2000, 275.154, 795.01)],
)
def test_standard_atmosphere_table(altitude: float, temperature: float, pressure: float) -> None:
    found = standard(altitude)
    assert found[0] == pytest.approx(temperature, abs=0.0005)
    assert found[1] / 100 == pytest.approx(pressure, abs=0.005)


@pytest.mark.parametrize("altitude", [-1000, -430, 0, 650, 1500, 3000, 5900, 10_900])
def test_standard_atmosphere_against_two_libraries(altitude: float) -> None:
    temperature, pressure = standard(altitude)
    density = air.dry_air_density(pressure, temperature)
    found = (temperature, pressure, density)
    first, second = Atmosphere(altitude), fluids.ATMOSPHERE_1976(altitude)  # ambiance 1.3.1, fluids 1.3.1
    assert found == pytest.approx((second.T, second.P, second.rho), rel=2e-6)
    assert found == pytest.approx(
        (float(first.temperature[0]), float(first.pressure[0]), float(first.density[0])), rel=2e-6
    )


# CoolProp 8.0.0, IAPWS-95 (Wagner and Pruss 2002); the formula claims 0.1 % from 0 to 50 °C.
@pytest.mark.parametrize("celsius", [0.02, 5, 15, 25, 30, 40, 50])
def test_saturation_vapour_pressure_against_iapws(celsius: float) -> None:
    expected = coolprop.PropsSI("P", "T", celsius + 273.15, "Q", 1, "Water")
    assert air.saturation_vapour_pressure(celsius + 273.15) == pytest.approx(expected, rel=1e-3)


# Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539–1565, eq. 10, over supercooled water (as
# quoted on a public page of weather formulae).
@pytest.mark.parametrize("temperature", [233.15, 243.15, 253.15, 263.15, 273.15])
def test_saturation_vapour_pressure_over_supercooled_water(temperature: float) -> None:
    t = temperature
    expected = exp(
        54.842763
        - 6763.22 / t
        - 4.21 * log(t)
        + 0.000367 * t
        + tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * log(t) + 0.014025 * t)
    )
    assert air.saturation_vapour_pressure(t) == pytest.approx(expected, rel=4e-3)


# CoolProp 8.0.0, IAPWS-95: 100 kPa, 30 °C, 60 %: 97451.8 Pa of dry air.
def test_dry_pressure() -> None:
    vapour = air.vapour_pressure(0.6, air.saturation_vapour_pressure(303.15))
    assert 100_000 - vapour == pytest.approx(97_451.8, rel=2e-4)


# CoolProp 8.0.0, humid air (ASHRAE RP-1485): real-gas specific volume of the mixture per kg of humid air.
@pytest.mark.parametrize(
    ("pressure", "celsius", "humidity"),
    [(101_325, 15, 0.0), (101_325, 25, 0.5), (100_000, 35, 0.9), (80_000, 10, 0.6), (60_000, 0.5, 1.0)],
)
def test_humid_density_against_real_gas(pressure: float, celsius: float, humidity: float) -> None:
    temperature = celsius + 273.15
    expected = 1 / coolprop.HAPropsSI("Vha", "T", temperature, "P", pressure, "R", humidity)
    vapour = air.vapour_pressure(humidity, air.saturation_vapour_pressure(temperature))
    assert air.humid_air_density(pressure, temperature, vapour) == pytest.approx(expected, rel=1.2e-3)


# Ideal gas law with R = 287.05 J/(kg·K), worked by hand: 99 kPa, 25 °C: 1.15676 kg/m³.
def test_dry_density_by_hand() -> None:
    assert air.dry_air_density(99_000, 298.15) == pytest.approx(1.15676, rel=1.5e-5)


@given(st.floats(30_000, 110_000), st.floats(233.2, 323.1), st.floats(0, 1))
def test_humid_air_is_lighter_and_keeps_the_gas_law(p: float, temperature: float, humidity: float) -> None:
    vapour = air.vapour_pressure(humidity, air.saturation_vapour_pressure(temperature))
    density = air.humid_air_density(p, temperature, vapour)
    dry = air.dry_air_density(p, temperature)
    assert density <= dry * (1 + 1e-12)
    assert air.humid_air_density(p, temperature, 0.0) == pytest.approx(dry, rel=1e-12)
    constant = air.gas_constant(p, density, temperature)
    assert 287.0528 <= constant <= 461.52
    assert density * constant * temperature == pytest.approx(p, rel=1e-12)


# CoolProp 8.0.0, Lemmon and Jacobsen (2004), at 0.1 MPa.
@pytest.mark.parametrize(
    ("temperature", "close"),
    [(233.15, 0.005), (273.15, 0.005), (298.15, 0.005), (400, 0.01), (500, 0.015), (1000, 0.041)],
)
def test_viscosity_against_coolprop(temperature: float, close: float) -> None:
    expected = coolprop.PropsSI("V", "T", temperature, "P", 1e5, "Air")
    assert air.dynamic_viscosity(temperature) == pytest.approx(expected, rel=close)


# fluids 1.3.1 carries the same two formulae of the standard atmosphere of 1976.
@pytest.mark.parametrize("temperature", [220.0, 255.0, 288.15, 300.0])
def test_transport_properties_against_fluids(temperature: float) -> None:
    other = fluids.ATMOSPHERE_1976
    assert air.dynamic_viscosity(temperature) == pytest.approx(other.viscosity(temperature), rel=1e-6)
    assert air.thermal_conductivity(temperature) == pytest.approx(
        other.thermal_conductivity(temperature), rel=1e-6
    )


@pytest.mark.parametrize("temperature", [233.15, 273.15, 298.15, 350, 400, 500])
def test_conductivity_and_heat_against_coolprop(temperature: float) -> None:
    conductivity = coolprop.PropsSI("L", "T", temperature, "P", 1e5, "Air")
    assert air.thermal_conductivity(temperature) == pytest.approx(conductivity, rel=0.02)
    heat = coolprop.PropsSI("C", "T", temperature, "P", 1e5, "Air")
    assert air.specific_heat(temperature) == pytest.approx(heat, rel=0.004)


# Moran and Shapiro, Table A-20, c_p of air as an ideal gas (from memory): 300 K 1.005, 500 K 1.029,
# 1000 K 1.142 kJ/(kg·K), printed to 0.001; the polynomial is a fit to about 0.3 %.
@pytest.mark.parametrize(("temperature", "printed"), [(300, 1005), (500, 1029), (1000, 1142)])
def test_specific_heat_table(temperature: float, printed: float) -> None:
    assert air.specific_heat(temperature) == pytest.approx(printed, rel=0.003)


@given(st.floats(-1000, 10_990), st.floats(0.1, 10))
def test_pressure_and_temperature_fall_with_height(altitude: float, step: float) -> None:
    low, high = standard(altitude), standard(min(altitude + step, 11_000))
    assert high[0] < low[0]
    assert high[1] < low[1]


@given(st.floats(233.15, 323.0), st.floats(0.01, 0.1))
def test_vapour_pressure_rises_with_temperature(temperature: float, step: float) -> None:
    assert air.saturation_vapour_pressure(temperature + step) > air.saturation_vapour_pressure(temperature)


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match="altitude: found 11001, expected -1000 to 11000"):
        air.geopotential_altitude(11_001)
    with pytest.raises(OutOfRange, match="geopotential_altitude: found 12000"):
        air.standard_temperature(12_000)
    with pytest.raises(OutOfRange, match="standard_temperature: found 300"):
        air.standard_pressure(300)
    with pytest.raises(OutOfRange, match=r"temperature: found 330, expected 233.15 to 323.15") as caught:
        air.saturation_vapour_pressure(330)
    assert "liquid water" in caught.value.help
    with pytest.raises(OutOfRange, match=r"relative_humidity: found 1.1"):
        air.vapour_pressure(1.1, 1000)
    with pytest.raises(OutOfRange, match="vapour_pressure: found 2000 Pa, expected below the pressure"):
        air.humid_air_density(2000, 300, 2000)
    with pytest.raises(OutOfRange, match="pressure: found -1"):
        air.dry_air_density(-1, 300)
    with pytest.raises(OutOfRange, match="density: found 0"):
        air.gas_constant(1e5, 0, 300)
    for function in (air.dynamic_viscosity, air.thermal_conductivity, air.specific_heat):
        with pytest.raises(OutOfRange, match="temperature: found 1001"):
            function(1001)
