"""Flow of hot gas: against conservation of mass and general formulae of pipes (fluids)."""

from __future__ import annotations

from math import pi

import pytest
from fluids.core import Reynolds
from fluids.friction import one_phase_dP
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import compressible, exhaust_flow, pipes

D = 0.06


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


@for_all(st.floats(0.001, 0.2), st.floats(0.1, 2), st.floats(5, 300))
def test_bore_and_speed_undo_each_other(flow: float, density: float, speed: float) -> None:
    bore = exhaust_flow.bore_for_gas_speed(flow, density, speed)
    assert exhaust_flow.mean_gas_speed(flow, density, bore) == pytest.approx(speed, rel=1e-12)
    # continuity: ρ v A is the flow
    assert density * speed * pi * bore**2 / 4 == pytest.approx(flow, rel=1e-12)
    assert exhaust_flow.mass_flux(flow, bore) == pytest.approx(density * speed, rel=1e-12)
    assert exhaust_flow.mean_gas_speed(flow, density, 2 * bore) == pytest.approx(speed / 4, rel=1e-12)


def test_reynolds_number_against_fluids() -> None:
    """fluids 1.3.1, Reynolds: 40 kg/(m²·s) are 100 m/s of 0.4 kg/m³."""
    found = exhaust_flow.reynolds_number_of_flux(40.0, 0.06, 3.8e-5)
    assert found == pytest.approx(Reynolds(V=100.0, D=0.06, rho=0.4, mu=3.8e-5), rel=1e-12)


def test_sums() -> None:
    assert exhaust_flow.pressure_loss(105e3, 102e3) == 3000
    assert exhaust_flow.mean_loss_with(300.0, exhaust_flow.loss_of_share(0.25, 400.0)) == 400
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
        (lambda: exhaust_flow.sum_of_loss_coefficients(-0.1, 0.0, 0.0, 0.0), "wall"),
        (lambda: exhaust_flow.pressure_loss(0.0, 1e5), "total_pressure_before"),
        (lambda: exhaust_flow.reynolds_number_of_flux(40.0, 0.06, 0.0), "dynamic_viscosity"),
        (lambda: exhaust_flow.pressure_before(1e5, -1.0), "loss"),
        (lambda: exhaust_flow.gauge_pressure(0.0, 1e5), "pressure"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name
