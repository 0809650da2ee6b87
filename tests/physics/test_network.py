"""Ducts as networks: against a textbook's example, closed forms, and scipy with fluids."""

from __future__ import annotations

from math import pi

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics import fittings, network, pipes
from buildlog.physics.network import Duct, FlowPart, FlowPath
from tests.examples import with_examples

AIR = (1.2, 1.81e-5)
WATER = (1000.0, 1.02e-3)


def alone(*parts: FlowPart) -> FlowPath:
    return FlowPath(parts)


def abreast(*paths: FlowPath) -> Duct:
    return Duct(FlowPath(()), paths)


# White, Fluid Mechanics, three pipes in parallel (from memory): 100 m of 8 cm, ε 0.24 mm; 150 m of 6 cm,
# 0.12 mm; 80 m of 4 cm, 0.20 mm; water at 20 °C, 20.3 m of head: 62.5, 25.9 and 11.4 m³/h, 99.8 in all.
PIPES = tuple(
    alone(FlowPart(bore=bore, friction_length=length, roughness=roughness))
    for length, bore, roughness in ((100, 0.08, 0.24e-3), (150, 0.06, 0.12e-3), (80, 0.04, 0.20e-3))
)
HEAD = 20.3 * 9.81 * 1000


def test_textbook_pipes_in_parallel() -> None:
    flows = [network.flow_at_loss(path, HEAD, 0.1, *WATER) * 3600 for path in PIPES]
    assert flows == pytest.approx([62.5, 25.9, 11.4], abs=0.06)
    loss = network.loss_side_by_side(abreast(*PIPES), 99.8 / 3600, *WATER)
    assert loss == pytest.approx(HEAD, rel=0.003)


# An exercise on a stored public page: 0.5 m³/s through three pipes of 200 m, 300, 250 and 200 mm, a friction
# factor of 0.018 for all: by hand Q goes with d^2.5.
def test_textbook_pipes_of_one_friction_factor() -> None:
    bores = (0.3, 0.25, 0.2)
    paths = [alone(FlowPart(bore=bore, coefficient=0.018 * 200 / bore)) for bore in bores]
    loss = network.loss_side_by_side(abreast(*paths), 0.5, *WATER)
    flows = [network.flow_at_loss(path, loss, 0.5, *WATER) for path in paths]
    whole = sum(bore**2.5 for bore in bores)
    assert flows == pytest.approx([0.5 * bore**2.5 / whole for bore in bores], rel=1e-10)


# By symmetry.
@pytest.mark.parametrize("number", [2, 3, 4])
def test_like_paths_share_evenly(number: int) -> None:
    path = alone(
        FlowPart(bore=0.06, coefficient=0.8),
        FlowPart(bore=0.06, friction_length=0.5, roughness=1e-4),
        FlowPart(bore=0.06, coefficient=1.0),
    )
    duct = abreast(*[path] * number)
    loss = network.loss_side_by_side(duct, 0.1, *AIR)
    assert loss == pytest.approx(path.loss(0.1 / number, *AIR), rel=1e-11)


# Closed form: where all losses go with the square of the flow, Q_i is in proportion to A_i/√K_i.
@with_examples(60)
@given(st.lists(st.tuples(st.floats(0.02, 0.2), st.floats(0.1, 20)), min_size=2, max_size=4))
def test_split_by_area_and_coefficient(rows: list[tuple[float, float]]) -> None:
    paths = [alone(FlowPart(bore=bore, coefficient=coefficient)) for bore, coefficient in rows]
    loss = network.loss_side_by_side(abreast(*paths), 0.1, *AIR)
    conductances = [bore**2 / coefficient**0.5 for bore, coefficient in rows]
    for path, conductance in zip(paths, conductances, strict=True):
        expected = 0.1 * conductance / sum(conductances)
        assert network.flow_at_loss(path, loss, 0.1, *AIR) == pytest.approx(expected, rel=1e-10)


# scipy 1.17.1, brentq, with the losses written out in fluids 1.3.1: friction of one, a filter in the other.
def test_split_against_scipy_and_fluids() -> None:
    density, viscosity = AIR

    def hose(flow: float) -> float:
        speed = flow / (pi * 0.06**2 / 4)
        reynolds = fluids.Reynolds(V=speed, D=0.06, rho=density, mu=viscosity)
        factor = fluids.friction_factor(reynolds, 0.0005 / 0.06, Method="Colebrook")
        return float((0.5 + 1 + factor * 0.8 / 0.06) * density * speed**2 / 2)

    def filtered(flow: float) -> float:
        speed = flow / (pi * 0.08**2 / 4)
        return float(400 * (flow / 0.1) ** 1.4 + 1.2 * density * speed**2 / 2)

    root = brentq(lambda flow: hose(flow) - filtered(0.11 - flow), 0.01, 0.1, xtol=1e-14)
    duct = abreast(
        alone(
            FlowPart(bore=0.06, coefficient=1.5), FlowPart(bore=0.06, friction_length=0.8, roughness=0.0005)
        ),
        alone(
            FlowPart(rated_pressure=400, rated_flow=0.1, exponent=1.4), FlowPart(bore=0.08, coefficient=1.2)
        ),
    )
    loss = network.loss_side_by_side(duct, 0.11, *AIR)
    assert loss == pytest.approx(hose(root), rel=1e-9)
    assert network.flow_at_loss(duct.paths[0], loss, 0.11, *AIR) == pytest.approx(root, rel=1e-9)


# A part with everything that can resist, put together by hand from the formulae, which are checked elsewhere.
def test_a_part_adds_up() -> None:
    density, viscosity = AIR
    part = FlowPart(
        bore=0.06,
        coefficient=0.3,
        friction_length=0.4,
        roughness=1e-4,
        bend_constant=2.0,
        crane_bend=14.0,
        rated_pressure=100,
        rated_flow=0.1,
    )
    speed = 0.05 / (pi * 0.06**2 / 4)
    reynolds = pipes.reynolds_number(speed, 0.06, density, viscosity)
    rough, smooth = pipes.friction_factor(reynolds, 1e-4 / 0.06), pipes.friction_factor(reynolds, 0)
    coefficient = 0.3 + rough * 0.4 / 0.06 + 14 * fittings.crane_friction_factor(0.06)
    coefficient += fittings.bend_loss_coefficient(2.0, reynolds, rough / smooth)
    expected = coefficient * density * speed**2 / 2 + 100 * 0.5**2
    assert part.loss(0.05, density, viscosity) == pytest.approx(expected, rel=1e-12)


# Closed form: where the loss goes with q alone, bores s times as large lose s⁻⁴ of it.
@given(st.floats(10, 5000))
def test_bore_factor_of_pure_coefficients(allowed: float) -> None:
    duct = Duct(alone(FlowPart(bore=0.06, coefficient=0.5), FlowPart(bore=0.06, coefficient=1.0)))
    now = network.loss_of_duct(duct, 0.1, *AIR)
    factor = network.bore_factor(duct, allowed, 0.1, *AIR, 0.2, 8)
    assert factor == pytest.approx((now / allowed) ** 0.25, rel=1e-9)
    assert network.scaled_bore(0.06, factor) == pytest.approx(0.06 * factor)


# By hand: 200 Pa of filter at its rated flow, then two like pipes of K 1.5 that take half each.
def test_common_parts_and_paths_add_up() -> None:
    pipe = alone(FlowPart(bore=0.06, coefficient=1.5))
    duct = Duct(alone(FlowPart(rated_pressure=200, rated_flow=0.1, exponent=1.5)), (pipe, pipe))
    expected = 200 + 1.5 * 1.2 * (0.05 / (pi * 0.06**2 / 4)) ** 2 / 2
    assert network.loss_of_duct(duct, 0.1, *AIR) == pytest.approx(expected, rel=1e-11)


def test_bores_for_a_network_lose_what_is_allowed() -> None:
    duct = Duct(alone(FlowPart(rated_pressure=200, rated_flow=0.1, exponent=1.5)), PIPES)
    factor = network.bore_factor(duct, 900, 0.05, *AIR, 0.1, 6)
    assert network.loss_of_duct(duct.scaled(factor), 0.05, *AIR) == pytest.approx(900, rel=1e-9)


@with_examples(60)
@given(st.floats(0.005, 0.2), st.floats(1.01, 2), st.floats(0.03, 0.1))
def test_more_air_loses_more_and_a_second_path_less(flow: float, factor: float, bore: float) -> None:
    first = alone(
        FlowPart(bore=0.06, coefficient=1.5), FlowPart(bore=0.06, friction_length=0.5, roughness=1e-3)
    )
    second = alone(FlowPart(bore=bore, coefficient=1.2))
    both = network.loss_side_by_side(abreast(first, second), flow, *AIR)
    assert both < min(first.loss(flow, *AIR), second.loss(flow, *AIR))
    assert network.loss_side_by_side(abreast(first, second), flow * factor, *AIR) > both
    flows = [network.flow_at_loss(path, both, flow, *AIR) for path in (first, second)]
    assert sum(flows) == pytest.approx(flow, rel=1e-11)


def test_refusals() -> None:
    path = alone(FlowPart(bore=0.06, coefficient=1.0))
    with pytest.raises(OutOfRange) as none:
        network.loss_side_by_side(abreast(path, alone(FlowPart(bore=0.06, coefficient=0.0))), 0.1, *AIR)
    assert (none.value.name, none.value.help) == ("loss", "a path that loses nothing takes all the air")
    with pytest.raises(OutOfRange, match="volume_flow"):
        network.loss_side_by_side(abreast(path, path), 0, *AIR)
    with pytest.raises(NoSolution) as much:
        network.flow_at_loss(path, 1e6, 0.1, *AIR)
    assert much.value.expected.startswith("at most 750.")
    filtered = Duct(alone(FlowPart(rated_pressure=500, rated_flow=0.1), FlowPart(bore=0.06, coefficient=1.0)))
    with pytest.raises(NoSolution) as little:
        network.bore_factor(filtered, 400, 0.1, *AIR, 0.2, 8)
    assert little.value.expected == "more than 500.2 Pa, the loss with bores 8.00 times as large"
    # ρv²/2 of 0.1 m³/s in 60 mm is 750.53 Pa; in 30 mm 16 times that.
    with pytest.raises(NoSolution) as wide:
        network.bore_factor(Duct(path), 20_000, 0.1, *AIR, 0.5, 8)
    assert wide.value.expected == "less than 12008.4 Pa, the loss with bores 0.50 times as large"
