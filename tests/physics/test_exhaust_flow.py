"""Flow of hot gas: against conservation of mass, isothermal flow (fluids) and isentropic relations."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from fluids.compressible import isothermal_gas
from fluids.core import Reynolds
from fluids.friction import one_phase_dP
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.optimize import brentq

from buildlog.diagnostics import OutOfRange
from buildlog.physics import compressible, exhaust_flow, pipes

R, T, D = 290.0, 900.0, 0.06


def test_mass_is_conserved() -> None:
    # By hand: 0.1336 kg/s of air at 12.8 : 1 brings 0.0104375 kg/s of fuel
    assert exhaust_flow.exhaust_mass_flow(0.1336, 12.8) == pytest.approx(0.1440375, rel=1e-9)
    # By hand: 100 kW at 300 g/(kW·h) burn 30 kg/h; at 12.8 : 1 that takes 384 kg/h of air
    fuel = exhaust_flow.fuel_mass_flow(100e3, 300e-3 / 3.6e6)
    assert fuel * 3600 == pytest.approx(30, rel=1e-12)
    assert exhaust_flow.air_mass_flow(fuel, 12.8) * 3600 == pytest.approx(384, rel=1e-12)
    assert exhaust_flow.flow_of_one(0.144, 0.25) == pytest.approx(0.036, rel=1e-12)


def test_friction_of_a_tube() -> None:
    """fluids 1.3.1, one_phase_dP: 0.1440375 kg/s, 60 mm, 2 m, roughness 0.046 mm: 2272.906 Pa."""
    flow, density, viscosity = 0.1440375, 0.421786, 4.1853e-05
    speed = exhaust_flow.mean_gas_speed(flow, density, D)
    number = pipes.reynolds_number(speed, D, density, viscosity)
    assert number == pytest.approx(Reynolds(V=speed, D=D, rho=density, mu=viscosity), rel=1e-12)
    factor = pipes.friction_factor(number, pipes.relative_roughness(4.6e-5, D))
    head = compressible.dynamic_pressure(density, speed)
    loss = pipes.loss(pipes.friction_loss_coefficient(factor, 2.0, D), head)
    assert loss == pytest.approx(2272.90593331, rel=0.003)
    assert loss == pytest.approx(
        one_phase_dP(m=flow, rho=density, mu=viscosity, D=D, roughness=4.6e-5, L=2), rel=0.003
    )


@pytest.mark.parametrize("length", [0.5, 2.0, 4.0])
@pytest.mark.parametrize("flow", [0.03, 0.06, 0.1, 0.13])
def test_loss_of_a_gas_that_thins_out(flow: float, length: float) -> None:
    """fluids 1.3.1, isothermal_gas, which has the logarithm that ours leaves out: less by about γ M²."""
    factor, after = 0.02, 1e5

    def missed(before: float) -> float:
        mean = (before + after) / 2 / (R * T)
        return isothermal_gas(rho=mean, fd=factor, P1=before, P2=after, L=length, D=D) - flow

    mach = exhaust_flow.mean_gas_speed(flow, after / (R * T), D) / sqrt(1.3 * R * T)
    head = exhaust_flow.mass_flux(flow, D) ** 2 * R * T / (2 * after)
    likely = factor * length / D * head
    reference = brentq(missed, after + 0.3 * likely, after + 1.2 * likely) - after
    found = exhaust_flow.pressure_loss(factor * length / D, head, after)
    assert found < reference
    assert found == pytest.approx(reference, rel=2.6 * mach**2)
    assert found < factor * length / D * head  # an incompressible reckoning from the exit says more


def test_small_losses_are_those_of_a_liquid() -> None:
    # Darcy–Weisbach: K q, with K 0.5 and q 20 Pa
    assert exhaust_flow.pressure_loss(0.5, 20.0, 1e5) == pytest.approx(10.0, rel=1e-4)


@for_all(st.floats(0.02, 0.3))
def test_static_pressure_against_isentropic_flow(mach: float) -> None:
    """NACA Report 1135 (1953), eq. 44, γ 1.3: p_t = p (1 + (γ − 1) M²/2)^(γ/(γ − 1))."""
    static = 1e5
    flux = static / (R * T) * mach * sqrt(1.3 * R * T)
    total = static + compressible.stagnation_pressure_rise(static, mach, 1.3)
    found = exhaust_flow.static_pressure(total, flux, R, T)
    assert found == pytest.approx(static, rel=2e-3)
    # and exactly p + ρ v²/2 (Bernoulli)
    back = found + flux**2 * R * T / (2 * found)
    assert back == pytest.approx(total, rel=1e-12)


def test_where_the_flow_is_refused() -> None:
    """As documented: from 2 G² R T = 0.5 p_t² on, where p is 0.854 p_t and Mach about 0.5."""
    most = 1e5 / sqrt(4 * R * T)
    static = exhaust_flow.static_pressure(1e5, 0.9999 * most, R, T)
    assert static == pytest.approx((1 + sqrt(0.5)) / 2 * 1e5, rel=1e-3)
    assert 0.9999 * most * sqrt(R * T) / static / sqrt(1.3) == pytest.approx(0.5, abs=0.05)
    with pytest.raises(OutOfRange, match="mass_flux"):
        exhaust_flow.static_pressure(1e5, 1.0001 * most, R, T)


@for_all(st.floats(0.001, 0.2), st.floats(0.1, 2), st.floats(5, 300))
def test_bore_and_speed_undo_each_other(flow: float, density: float, speed: float) -> None:
    bore = exhaust_flow.bore_for_gas_speed(flow, density, speed)
    assert exhaust_flow.mean_gas_speed(flow, density, bore) == pytest.approx(speed, rel=1e-12)
    # continuity: ρ v A is the flow
    assert density * speed * pi * bore**2 / 4 == pytest.approx(flow, rel=1e-12)
    assert exhaust_flow.mass_flux(flow, bore) == pytest.approx(density * speed, rel=1e-12)
    assert exhaust_flow.mean_gas_speed(flow, density, 2 * bore) == pytest.approx(speed / 4, rel=1e-12)


@for_all(st.floats(0, 10), st.floats(0.01, 10), st.floats(1, 2e4))
def test_more_coefficient_is_more_loss(coefficient: float, more: float, head: float) -> None:
    less = exhaust_flow.pressure_loss(coefficient, head, 1e5)
    assert exhaust_flow.pressure_loss(coefficient + more, head, 1e5) > less


def test_sums() -> None:
    assert exhaust_flow.sum_of_loss_coefficients(0.3, 0.5, 0.1, 0.02) == pytest.approx(0.92)
    assert exhaust_flow.pressure_before(1e5, 2500.0) == 102_500
    assert exhaust_flow.gauge_pressure(102_500.0, 1e5) == 2500


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: exhaust_flow.fuel_mass_flow(0.0, 1e-7), "power"),
        (lambda: exhaust_flow.fuel_mass_flow(1e5, 0.0), "specific_fuel_consumption"),
        (lambda: exhaust_flow.air_mass_flow(0.01, -1.0), "air_fuel_ratio"),
        (lambda: exhaust_flow.exhaust_mass_flow(-0.1, 13.0), "air_mass_flow"),
        (lambda: exhaust_flow.flow_of_one(0.1, 1.5), "share"),
        (lambda: exhaust_flow.mean_gas_speed(0.1, 0.0, 0.05), "density"),
        (lambda: exhaust_flow.bore_for_gas_speed(0.1, 0.4, 0.0), "mean_gas_speed"),
        (lambda: exhaust_flow.mass_flux(0.1, 0.0), "bore"),
        (lambda: exhaust_flow.static_pressure(1e5, 150.0, R, T), "mass_flux"),
        (lambda: exhaust_flow.sum_of_loss_coefficients(-0.1, 0.0, 0.0, 0.0), "wall"),
        (lambda: exhaust_flow.pressure_loss(-1.0, 10.0, 1e5), "loss_coefficient"),
        (lambda: exhaust_flow.pressure_before(1e5, -1.0), "loss"),
        (lambda: exhaust_flow.gauge_pressure(0.0, 1e5), "pressure"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name
