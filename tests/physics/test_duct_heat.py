"""Heat along a duct and sensor lag: against ht, a textbook's example and closed forms."""

from __future__ import annotations

from math import exp, inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from buildlog.diagnostics import OutOfRange
from buildlog.physics import air, duct_heat

LONG = 1e12  # bores: the entrance factor is 1 + 1e-8


# ht 1.2.0, conv_internal.turbulent_Gnielinski(Re, Pr, fd=0.02), fully developed.
@pytest.mark.parametrize(
    ("reynolds", "prandtl", "expected"),
    [(1e4, 0.71, 18.35418540), (1.2e5, 0.71, 242.6831183), (1e6, 0.7, 2019.657228)],
)
def test_gnielinski_against_ht(reynolds: float, prandtl: float, expected: float) -> None:
    found = duct_heat.nusselt_number(0.02, reynolds, prandtl, 1.0, LONG)
    assert found == pytest.approx(expected, rel=1e-7)


# Hausen (1959) for the entrance of a tube, 0.037 (Re^0.75 − 180) Pr^0.42 (1 + (d/L)^(2/3)), as in Handbook
# of Heat Transfer, 3rd ed. (1998), read in the documentation of ht 1.2.0: an independent fit, within 10 %.
@pytest.mark.parametrize(("reynolds", "slenderness"), [(2e4, 7.5), (1e5, 5), (1e5, 20), (3e5, 10)])
def test_entrance_against_hausen(reynolds: float, slenderness: float) -> None:
    friction = duct_heat.smooth_friction_factor(reynolds)
    found = duct_heat.nusselt_number(friction, reynolds, 0.71, 1.0, slenderness)
    hausen = 0.037 * (reynolds**0.75 - 180) * 0.71**0.42 * (1 + slenderness ** (-2 / 3))
    assert found == pytest.approx(hausen, rel=0.10)


# Dittus–Boelter, 0.023 Re^0.8 Pr^0.4 (from memory): its usual accuracy is 25 %; here within 12 %.
@pytest.mark.parametrize("reynolds", [1.5e4, 1e5, 5e5])
def test_developed_flow_against_dittus_boelter(reynolds: float) -> None:
    friction = duct_heat.smooth_friction_factor(reynolds)
    found = duct_heat.nusselt_number(friction, reynolds, 0.71, 1.0, LONG)
    assert found == pytest.approx(0.023 * reynolds**0.8 * 0.71**0.4, rel=0.12)


# fluids and Moody: a smooth tube at Re 100 000 has f = 0.01799 (Colebrook, fluids 1.3.1: 0.0179898).
def test_smooth_friction_against_colebrook() -> None:
    assert duct_heat.smooth_friction_factor(1e5) == pytest.approx(0.0179898, rel=0.005)


# Çengel, Heat Transfer, example of heat lost from the ducts of a heating system (from memory): air at 80
# °C, 0.150 kg/s, c_p 1008 J/(kg·K), 8 m of duct 0.2 m square (6.4 m², hydraulic diameter 0.2 m), wall 60
# °C, h = 13.5 W/(m²·K): leaves at 71.3 °C, having lost 1313 W (1313 J/s with rounded figures).
def test_textbook_duct() -> None:
    units = duct_heat.transfer_units(13.5, 6.4 / (pi * 8), 8, 0.150, 1008)
    warming = duct_heat.warming_by_wall(333.15, 353.15, units)
    assert duct_heat.temperature_after(353.15, warming) - 273.15 == pytest.approx(71.3, abs=0.05)
    assert duct_heat.heat_taken_up(0.150, 1008, warming) == pytest.approx(-1313, rel=0.005)


# Energy equation by hand: 500 W into 0.1336 kg/s with c_p 1006 J/(kg·K): 500/134.40 = 3.7202 K
def test_warming_by_given_heat() -> None:
    assert duct_heat.warming_by_heat(500, 0.1336, 1006) == pytest.approx(3.72019380722, rel=1e-9)
    assert duct_heat.heat_taken_up(0.1336, 1006, 3.72019380722) == pytest.approx(500, rel=1e-9)


# The wall's warming by numerical integration of dT/dx = (NTU/L)(T_w − T), scipy 1.17.1 solve_ivp.
def test_warming_against_the_differential_equation() -> None:
    run = solve_ivp(lambda _, t: 0.35 * (340 - t), (0, 1), [295.0], rtol=1e-10, atol=1e-10)
    assert 295 + duct_heat.warming_by_wall(340, 295, 0.35) == pytest.approx(float(run.y[0, -1]), rel=1e-9)


# Air at 27 °C, Incropera, Table A.4, 300 K (from memory): Pr 0.707; 0.1 kg/s in 80 mm: Re = 4 · 0.1/(π ·
# 0.08 · 1.846e-5).
def test_numbers_of_air_at_300_kelvin() -> None:
    viscosity, heat = air.dynamic_viscosity(300), air.specific_heat(300)
    prandtl = duct_heat.prandtl_number(viscosity, heat, air.thermal_conductivity(300))
    assert prandtl == pytest.approx(0.707, rel=0.005)
    assert duct_heat.reynolds_number(0.1, 0.08, viscosity) == pytest.approx(86_215, rel=0.005)
    assert duct_heat.heat_transfer_coefficient(200, 0.026, 0.08) == pytest.approx(65.0)


# First-order step response T_r = T + (T_0 − T) e^(−t/τ) (Doebelin): the correction gives T at every instant.
@given(st.floats(250, 350), st.floats(250, 350), st.floats(0.1, 60), st.floats(0, 5))
def test_lag_correction_undoes_the_step_response(start: float, true: float, tau: float, time: float) -> None:
    reading = true + (start - true) * exp(-time)
    rate = -(start - true) / tau * exp(-time)
    assert duct_heat.reading_without_lag(reading, tau, rate) == pytest.approx(true, rel=1e-9)


# A ramp is read late by τ: after the start has died away the reading trails by rate · τ. scipy 1.17.1
# solve_ivp.
def test_lag_correction_on_a_ramp() -> None:
    tau, slope = 8.0, -0.15
    run = solve_ivp(
        lambda t, r: (320 + slope * t - r) / tau, (0, 100), [320.0], rtol=1e-9, atol=1e-9, max_step=1
    )
    reading = float(run.y[0, -1])
    assert reading - (320 + slope * 100) == pytest.approx(-slope * tau, rel=1e-4)
    assert duct_heat.reading_without_lag(reading, tau, slope) == pytest.approx(305, abs=1e-4)


@given(st.floats(0, 5), st.floats(0.01, 1), st.floats(240, 400), st.floats(240, 400))
def test_warming_never_passes_the_wall(units: float, more: float, wall: float, inlet: float) -> None:
    first, second = (duct_heat.warming_by_wall(wall, inlet, one) for one in (units, units + more))
    assert abs(first) <= abs(second) <= abs(wall - inlet)
    assert first * (wall - inlet) >= 0


@given(st.floats(3000, 1e6), st.floats(1.01, 2), st.floats(1, 50))
def test_nusselt_rises_with_flow_and_falls_with_length(re: float, factor: float, length: float) -> None:
    def nusselt(reynolds: float, slenderness: float) -> float:
        friction = duct_heat.smooth_friction_factor(reynolds)
        return duct_heat.nusselt_number(friction, reynolds, 0.71, 1, slenderness)

    assert nusselt(re * factor, length) > nusselt(re, length)
    assert nusselt(re, length * factor) < nusselt(re, length)


def test_difference_and_its_sign() -> None:
    assert duct_heat.temperature_difference(320, 300) == -20


def test_range_errors_name_the_parameter() -> None:
    with pytest.raises(OutOfRange, match="reynolds_number: found 2000, expected 3000 to 5e"):
        duct_heat.smooth_friction_factor(2000)
    with pytest.raises(OutOfRange, match="reynolds_number: found 2000"):
        duct_heat.nusselt_number(0.03, 2000, 0.7, 0.1, 1)
    with pytest.raises(OutOfRange, match=r"length: found 0\.05, expected 0\.1") as caught:
        duct_heat.nusselt_number(0.03, 1e4, 0.7, 0.1, 0.05)
    assert "opening" in caught.value.help
    with pytest.raises(OutOfRange, match="prandtl_number"):
        duct_heat.nusselt_number(0.03, 1e4, 0.1, 0.1, 1)
    with pytest.raises(OutOfRange, match="mass_flow: found 0"):
        duct_heat.reynolds_number(0, 0.1, 1e-5)
    with pytest.raises(OutOfRange, match="thermal_conductivity: found 0"):
        duct_heat.prandtl_number(1e-5, 1000, 0)
    with pytest.raises(OutOfRange, match="diameter: found 0"):
        duct_heat.heat_transfer_coefficient(10, 0.02, 0)
    with pytest.raises(OutOfRange, match="transfer_units: found -1"):
        duct_heat.warming_by_wall(300, 300, -1)
    with pytest.raises(OutOfRange, match="heat: found inf"):
        duct_heat.warming_by_heat(inf, 1, 1)
    with pytest.raises(OutOfRange, match="specific_heat: found 0"):
        duct_heat.heat_taken_up(1, 0, 1)
    with pytest.raises(OutOfRange, match="length: found 0"):
        duct_heat.transfer_units(10, 0.1, 0, 1, 1000)
    with pytest.raises(OutOfRange, match="warming: found -300"):
        duct_heat.temperature_after(300, -300)
    with pytest.raises(OutOfRange, match="time_constant: found -1"):
        duct_heat.reading_without_lag(300, -1, 0)
    with pytest.raises(OutOfRange, match="temperature_after: found 0"):
        duct_heat.temperature_difference(300, 0)
