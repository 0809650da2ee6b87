"""Friction in pipes: against fluids, a textbook's example and closed forms."""

from __future__ import annotations

from math import inf, log10, nan, pi, sqrt

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import pipes

REYNOLDS = st.floats(10, 1e7)
ROUGHNESS = st.floats(0, 0.05)


# fluids 1.3.1, friction_factor(Re, eD, Method='Colebrook'), after Colebrook (1939); the root was solved again
# independently of it.
@pytest.mark.parametrize(
    ("reynolds", "roughness", "expected"),
    [(1e5, 0.0, 0.0179897730843), (1e5, 0.001, 0.0221745359445), (2e5, 0.05, 0.0716659537833)],
)
def test_colebrook(reynolds: float, roughness: float, expected: float) -> None:
    assert pipes.friction_factor(reynolds, roughness) == pytest.approx(expected, rel=1e-10)


# fluids 1.3.1 over the whole chart of Moody.
@pytest.mark.parametrize("reynolds", [4e3, 1e4, 3e4, 1e5, 3e5, 1e6, 1e7, 1e8])
@pytest.mark.parametrize("roughness", [0.0, 1e-6, 1e-5, 1e-4, 1e-3, 0.01, 0.05])
def test_colebrook_against_fluids(reynolds: float, roughness: float) -> None:
    expected = fluids.friction_factor(reynolds, roughness, Method="Colebrook")
    assert pipes.turbulent_friction_factor(reynolds, roughness) == pytest.approx(expected, rel=1e-9)


# Churchill (1977), one equation for all of the chart, as in fluids 1.3.1: another fit, within 3 % of it.
@pytest.mark.parametrize("reynolds", [2e4, 1e5, 1e6])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 1e-2, 0.05])
def test_against_churchill(reynolds: float, roughness: float) -> None:
    expected = fluids.friction_factor(reynolds, roughness, Method="Churchill_1977")
    assert pipes.friction_factor(reynolds, roughness) == pytest.approx(expected, rel=0.03)


# Nikuradse's and von Kármán's law of the fully rough pipe, 1/√f = 2 lg(3.7/ε): the limit of high Re.
@pytest.mark.parametrize("roughness", [1e-3, 1e-2, 0.05])
def test_the_rough_limit(roughness: float) -> None:
    expected = 1 / (2 * log10(3.7 / roughness)) ** 2
    assert pipes.friction_factor(1e8, roughness) == pytest.approx(expected, rel=1e-3)


# Hagen–Poiseuille, 64/1500.
def test_laminar() -> None:
    assert pipes.friction_factor(1500, 0.02) == pytest.approx(0.0426666666667, rel=1e-11)


# White, Fluid Mechanics, example of an asphalted cast-iron pipe (from memory): 6 in, 200 ft, 6 ft/s, ε/d
# 0.0008, Re 270 000: f 0.0198 by Moody's chart, 4.5 ft of head, 280 lbf/ft².
def test_textbook_pipe() -> None:
    factor = pipes.friction_factor(2.7e5, 0.0008)
    assert factor == pytest.approx(0.0198, abs=0.0001)
    coefficient = pipes.friction_loss_coefficient(factor, 200 * 0.3048, 0.1524)
    speed = 6 * 0.3048
    lost = pipes.loss(coefficient, 1000 * speed**2 / 2)
    assert lost / (1000 * 9.80665) / 0.3048 == pytest.approx(4.5, abs=0.1)
    assert lost / 47.88 == pytest.approx(280, rel=0.02)


# fluids 1.3.1, one_phase_dP(m, rho, mu, D, roughness, L): 1 m of 70 mm, 0.11 m³/s, as rough as 3.5 mm.
def test_rough_duct() -> None:
    density, viscosity, bore = 1.18431848, 1.84480822e-5, 0.070
    speed = 0.11 / (pi * bore**2 / 4)
    reynolds = pipes.reynolds_number(speed, bore, density, viscosity)
    factor = pipes.friction_factor(reynolds, pipes.relative_roughness(0.0035, bore))
    lost = pipes.loss(pipes.friction_loss_coefficient(factor, 1.0, bore), density * speed**2 / 2)
    assert lost == pytest.approx(495.74118, rel=1e-3)
    assert reynolds == pytest.approx(fluids.Reynolds(V=speed, D=bore, rho=density, mu=viscosity), rel=1e-12)


# The manual's words on corrugated hose: a roughness of 0.008, 0.026 and 0.050 of the bore is twice, three and
# four times a smooth tube at Re 100 000. Held to fluids 1.3.1 as well as to our own factor.
@pytest.mark.parametrize(("times", "roughness"), [(2, 0.008), (3, 0.026), (4, 0.050)])
def test_corrugated_hose_of_the_manual(times: float, roughness: float) -> None:
    ours = pipes.friction_factor(1e5, roughness) / pipes.friction_factor(1e5, 0)
    theirs = fluids.friction_factor(1e5, roughness) / fluids.friction_factor(1e5, 0)
    assert ours == pytest.approx(times, rel=0.01)
    assert theirs == pytest.approx(times, rel=0.015)


@given(st.floats(4000, 1e8), ROUGHNESS)
def test_the_factor_solves_its_equation(reynolds: float, roughness: float) -> None:
    factor = pipes.turbulent_friction_factor(reynolds, roughness)
    assert abs(pipes.colebrook_residual(factor, reynolds, roughness)) < 1e-10


# The equation as Colebrook wrote it, with the same numbers put in by hand: f 0.02, Re 1e5, ε 0.001.
def test_residual() -> None:
    expected = 1 / sqrt(0.02) + 2 * log10(0.001 / 3.7 + 2.51 / (1e5 * sqrt(0.02)))
    assert pipes.colebrook_residual(0.02, 1e5, 0.001) == pytest.approx(expected, rel=1e-12)
    assert pipes.colebrook_residual(0.03, 1e5, 0.001) < 0 < pipes.colebrook_residual(0.01, 1e5, 0.001)


@given(ROUGHNESS)
def test_no_jump_at_the_ends_of_the_transition(roughness: float) -> None:
    for edge in (2300.0, 4000.0):
        below, above = (pipes.friction_factor(edge * side, roughness) for side in (1 - 1e-9, 1 + 1e-9))
        assert below == pytest.approx(above, rel=1e-6)


# By hand: half-way, Re 3150, the mean of 64/2300 and fluids' factor at Re 4000.
def test_transition() -> None:
    expected = (64 / 2300 + fluids.friction_factor(4000, 0.01, Method="Colebrook")) / 2
    assert pipes.friction_factor(3150, 0.01) == pytest.approx(expected, rel=1e-9)


@given(REYNOLDS, ROUGHNESS, st.floats(1.001, 3))
def test_loss_grows_with_flow_and_roughness(reynolds: float, roughness: float, factor: float) -> None:
    slow, fast = (pipes.friction_factor(re, roughness) for re in (reynolds, reynolds * factor))
    assert fast * factor**2 > slow
    if roughness * factor <= 0.05:
        assert pipes.friction_factor(reynolds, roughness * factor) >= slow * (1 - 1e-12)


# By hand: 100 Pa above ambient, 30 lost, 12 of it in the velocity.
def test_balance_of_pressure() -> None:
    assert pipes.total_pressure_after(100, 30) == 70
    assert pipes.static_pressure(70, 12) == 58
    assert pipes.total_loss(100, 70) == 30
    assert pipes.share(30, 120) == 0.25


@pytest.mark.parametrize(
    ("call", "name", "expected"),
    [
        (lambda: pipes.reynolds_number(-1, 1, 1, 1), "velocity", "0 or more"),
        (lambda: pipes.reynolds_number(1, 0, 1, 1), "diameter", "more than 0"),
        (lambda: pipes.reynolds_number(1, 1, inf, 1), "density", "more than 0"),
        (lambda: pipes.reynolds_number(1, 1, 1, 0), "dynamic_viscosity", "more than 0"),
        (lambda: pipes.relative_roughness(0.0051, 0.1), "relative_roughness", "0 to 0.05"),
        (lambda: pipes.relative_roughness(-1e-9, 0.1), "roughness", "0 or more"),
        (lambda: pipes.laminar_friction_factor(2301), "reynolds_number", "0 to 2300"),
        (lambda: pipes.laminar_friction_factor(0), "reynolds_number", "more than 0"),
        (lambda: pipes.turbulent_friction_factor(3999, 0), "reynolds_number", "4000 to 1e+08"),
        (lambda: pipes.turbulent_friction_factor(1e5, 0.051), "relative_roughness", "0 to 0.05"),
        (lambda: pipes.transition_friction_factor(4001, 1, 1), "reynolds_number", "2300 to 4000"),
        (lambda: pipes.friction_factor(0, 0), "reynolds_number", "more than 0"),
        (lambda: pipes.friction_factor(nan, 0), "reynolds_number", "more than 0"),
        (lambda: pipes.friction_factor(1e5, 0.06), "relative_roughness", "0 to 0.05"),
        (lambda: pipes.friction_factor(2e8, 0), "reynolds_number", "4000 to 1e+08"),
        (lambda: pipes.colebrook_residual(0, 1e5, 0), "friction_factor", "more than 0"),
        (lambda: pipes.friction_loss_coefficient(0.02, -1, 1), "length", "0 or more"),
        (lambda: pipes.loss(-0.1, 1), "loss_coefficient", "0 or more"),
        (lambda: pipes.loss(1, -1), "dynamic_pressure", "0 or more"),
        (lambda: pipes.total_pressure_after(0, -1), "loss", "0 or more"),
        (lambda: pipes.total_loss(0, 1), "total_pressure_after", "up to 0"),
        (lambda: pipes.static_pressure(0, -1), "dynamic_pressure", "0 or more"),
        (lambda: pipes.share(1, 0), "whole", "more than 0"),
    ],
)
def test_refusals(call: object, name: str, expected: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert (caught.value.name, caught.value.expected) == (name, expected)
