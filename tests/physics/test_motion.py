"""The integrator: against closed forms, scipy's tableau and scipy's own integration."""

from __future__ import annotations

from itertools import pairwise
from math import atanh, exp, log, sqrt

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import RK45, solve_ivp
from scipy.integrate._ivp.rk import rk_step
from scipy.optimize import brentq

from buildlog.physics import motion
from buildlog.physics.motion import Moment, Pull, Resistance, Span, Trip

NOTHING = Resistance(0.0, 0.0, 0.0)


def trip(
    pull: Pull, start: float, speeds: list[float], distances: list[float], tolerance: float = 1e-9
) -> Trip:
    found = Trip(moment=Moment(0.0, 0.0, start), speeds=speeds, distances=distances, tolerance=tolerance)
    assert found.follow(pull)
    return found


def test_one_step_is_that_of_scipy() -> None:
    """scipy 1.17's RK45 has the pair of Dormand and Prince: same step, same estimate of its error."""

    def rates(u: float, y: float, z: float) -> tuple[float, float]:
        return z * u + 0.3, 4.0 - 0.7 * z - 0.02 * z * z + 0.1 * y

    def together(u: float, yz: np.ndarray) -> np.ndarray:
        return np.array(rates(u, *yz))

    start, h = np.array([1.5, 12.0]), 0.4
    stages = np.empty((RK45.n_stages + 1, 2))
    theirs, _ = rk_step(together, 0.2, start, together(0.2, start), h, RK45.A, RK45.B, RK45.C, stages)
    y, z, error = motion.DormandPrince.step(rates, 0.2, 1.5, 12.0, h)
    assert (y, z) == pytest.approx(tuple(theirs), rel=1e-14)
    assert error == pytest.approx(np.abs(stages.T @ RK45.E * h).max(), rel=1e-9)


def test_constant_force() -> None:
    # t = m v / F and x = m v² / (2 F) (Newton): 3600 N on 1200 kg to 30 m/s.
    pull = Pull((NOTHING.span(3600.0, 1200.0, "engine"),))
    found = trip(pull, 0.0, [30.0], [])
    assert found.at_speed[30.0].time == pytest.approx(10.0, rel=1e-12)
    assert found.at_speed[30.0].distance == pytest.approx(150.0, rel=1e-12)
    found = trip(pull, 0.0, [], [150.0, 600.0])
    assert found.at_distance[150.0].speed == pytest.approx(30.0, rel=1e-9)
    assert found.at_distance[600.0].time == pytest.approx(20.0, rel=1e-9)


def test_constant_force_against_drag() -> None:
    # t = (m v_t / F) artanh(v / v_t), x = -(m / 2k) ln(1 - (v / v_t)²) with v_t = √(F / k), k = ρ C_d A / 2:
    # 8.55706705588 s and 120.426631458 m for 4000 N, 1200 kg, 1.225 kg/m³, 0.65 m² to 100 km/h (checked with
    # scipy's quad).
    k, speed = 1.225 * 0.65 / 2, 100 / 3.6
    pull = Pull((Resistance(0.0, 0.0, k).span(4000.0, 1200.0, "engine"),))
    at = trip(pull, 0.0, [speed], []).at_speed[speed]
    assert at.time == pytest.approx(8.55706705588, rel=1e-10)
    assert at.distance == pytest.approx(120.426631458, rel=1e-10)
    terminal = sqrt(4000 / k)
    for share in (0.5, 0.9, 0.99, 0.999):
        at = trip(pull, 0.0, [share * terminal], []).at_speed[share * terminal]
        assert at.time == pytest.approx(1200 * terminal / 4000 * atanh(share), rel=1e-8)
        assert at.distance == pytest.approx(-1200 / (2 * k) * log(1 - share**2), rel=1e-8)


def test_a_step_is_of_fifth_order() -> None:
    """dv/dt = -v, v = exp(-t) exactly: the error of one step falls by 2⁶ when the step is halved."""
    span = Span(low=0.0, high=100.0, constant=0.0, linear=-1.0, quadratic=0.0, limit="engine")

    def error(h: float) -> float:
        return abs(motion.DormandPrince.step(lambda _, x, v: (v, span.at(v)), 0.0, 0.0, 1.0, h)[1] - exp(-h))

    for h in (0.4, 0.2):
        assert error(h) / error(h / 2) == pytest.approx(64, rel=0.15)


@pytest.mark.parametrize("tolerance", [1e-5, 1e-7, 1e-9])
def test_error_stays_near_the_tolerance(tolerance: float) -> None:
    k, speed = 1.225 * 0.65 / 2, 95.0
    pull = Pull((Resistance(0.0, 0.0, k).span(4000.0, 1200.0, "engine"),))
    terminal = sqrt(4000 / k)
    exact = 1200 * terminal / 4000 * atanh(speed / terminal)
    assert (
        abs(trip(pull, 0.0, speeds=[speed], distances=[], tolerance=tolerance).at_speed[speed].time - exact)
        < 20 * tolerance
    )


@given(
    st.lists(st.floats(500, 6000), min_size=3, max_size=8),
    st.floats(0, 300),
    st.floats(0, 6),
    st.floats(0.1, 0.9),
    st.floats(0.2, 0.95),
)
def test_against_scipy_over_a_broken_line(
    forces: list[float], constant: float, linear: float, quadratic: float, share: float
) -> None:
    """A force of straight pieces: time and distance at a speed by scipy's DOP853 at 1e-12, piece by piece."""
    mass = 900.0
    points = [(5.0 + 8.0 * number, force) for number, force in enumerate(forces)]
    pull = Resistance(constant, linear, quadratic).pull(points, mass, "engine")
    if any(pull.at(5.0 + 0.05 * n) < 0.05 for n in range(int(20 * (points[-1][0] - 5.0)))):
        return
    target = points[0][0] + share * (points[-1][0] - points[0][0])
    x = [one for one, _ in points]

    def rates(v: float, _: np.ndarray) -> list[float]:
        force = float(np.interp(v, x, forces))
        a = (force - constant - linear * v - quadratic * v * v) / mass
        return [1 / a, v / a]

    at = np.zeros(2)
    for low, high in pairwise(x):
        if low < target:
            solved = solve_ivp(rates, (low, min(high, target)), at, method="DOP853", rtol=1e-12, atol=1e-12)
            at = solved.y[:, -1]
    found = trip(pull, 5.0, [target], []).at_speed[target]
    assert (found.time, found.distance) == pytest.approx(tuple(at), rel=1e-7)


def test_a_free_car_slows_down() -> None:
    # dv/dt = -(A + C v²)/m: v = √(A/C) tan(θ_0 - t √(A C)/m), by hand; coasting for 5 s from 40 m/s.
    a, c, mass = 150.0, 0.4, 900.0
    coasting = Pull((Resistance(a, 0.0, c).span(0.0, mass, "shift"),))
    found = Trip(moment=Moment(0.0, 0.0, 40.0), speeds=[50.0], distances=[], tolerance=1e-9)
    assert found.follow(coasting, until=5.0)
    angle = np.arctan(40.0 * sqrt(c / a)) - 5.0 * sqrt(a * c) / mass
    assert found.moment.time == 5.0
    assert found.moment.speed == pytest.approx(sqrt(a / c) * np.tan(angle), rel=1e-10)
    assert found.under_way


def test_a_car_that_cannot_hold_its_speed_falls_below_the_pull() -> None:
    weak = Resistance(500.0, 0.0, 0.4).pull([(10.0, 300.0), (20.0, 400.0), (30.0, 400.0)], 900.0, "engine")
    found = Trip(moment=Moment(0.0, 0.0, 25.0), speeds=[40.0], distances=[], tolerance=1e-9)
    assert not found.follow(weak)
    assert found.moment.speed == pytest.approx(10.0)


def test_a_balance_is_approached_and_never_passed() -> None:
    # 400 N against 0.4 v²: balance at √1000 m/s.
    pull = Pull((Resistance(0.0, 0.0, 0.4).span(400.0, 900.0, "engine"),))
    found = Trip(moment=Moment(0.0, 0.0, 20.0), speeds=[31.7], distances=[], tolerance=1e-9)
    found.follow(pull)
    assert found.moment.time == pytest.approx(motion.LONGEST)
    assert found.moment.speed == pytest.approx(sqrt(1000), rel=1e-6)
    assert found.at_speed == {}


def test_speed_is_held_at_the_limiter() -> None:
    found = Trip(moment=Moment(2.0, 10.0, 25.0), speeds=[30.0], distances=[60.0, 110.0], tolerance=1e-9)
    found.hold("5")
    assert [found.at_distance[x].time for x in (60.0, 110.0)] == pytest.approx([4.0, 6.0])
    assert found.stages[-1].limit == "limiter"


# --- spans ---------------------------------------------------------------------------------


COEFFICIENTS = st.integers(-100_000, 100_000)


@given(
    COEFFICIENTS.map(lambda n: n / 2e3),
    COEFFICIENTS.map(lambda n: n / 2e4),
    COEFFICIENTS.map(lambda n: n / 5e5),
)
def test_crossings_are_roots(constant: float, linear: float, quadratic: float) -> None:
    """Every root is one, and none is missed where a fine row of samples changes sign."""
    span = Span(low=0.0, high=80.0, constant=constant, linear=linear, quadratic=quadratic, limit="engine")
    found = span.crossings(None, 0.0, 80.0)
    scale = abs(constant) + abs(linear) * 80 + abs(quadratic) * 6400
    assert all(abs(span.at(root)) <= 1e-12 * scale for root in found)
    samples = np.linspace(0.0, 80.0, 400)
    signs = np.sign([span.at(one) for one in samples])
    changes = int(np.count_nonzero(signs[1:] * signs[:-1] < 0))
    assert len(found) >= changes
    assert len(found) <= 2


def test_the_lesser_of_two_limits() -> None:
    engine = NOTHING.pull([(10.0, 6000.0), (20.0, 5000.0), (40.0, 2000.0)], 1000.0, "engine")
    tyres = NOTHING.span(4000.0, 1000.0, "tyres")
    both = engine.under(tyres)
    assert [span.limit for span in both.spans] == ["tyres", "tyres", "engine"]
    # 5000 - 150 (v - 20) = 4000 at v = 26.667 m/s, by hand.
    assert both.spans[-1].low == pytest.approx(20 + 1000 / 150)
    for speed in (10.0, 15.0, 22.0, 26.0, 27.0, 39.0):
        assert both.at(speed) == pytest.approx(min(engine.at(speed), 4.0))


def test_when_the_higher_gear_is_better() -> None:
    # a_1 = 6 - 0.1 v up to 40 m/s and a_2 = 4 - 0.04 v: equal at v = 2 / 0.06 = 33.333 m/s, by hand.
    lower = Pull((Span(low=0.0, high=40.0, constant=6.0, linear=-0.1, quadratic=0.0, limit="engine"),))
    higher = Pull((Span(low=10.0, high=60.0, constant=4.0, linear=-0.04, quadratic=0.0, limit="engine"),))
    assert lower.overtaken_by(higher) == pytest.approx(2 / 0.06)
    assert (
        Pull(
            (Span(low=0.0, high=30.0, constant=6.0, linear=-0.1, quadratic=0.0, limit="engine"),)
        ).overtaken_by(higher)
        is None
    )
    assert (
        Pull(
            (Span(low=0.0, high=30.0, constant=1.0, linear=0.0, quadratic=0.0, limit="engine"),)
        ).overtaken_by(higher)
        == 10.0
    )


def test_the_last_crossing_counts() -> None:
    # The lower gear is worse from 10 to 20 m/s, better until 30, and worse from there (by construction).
    lower = NOTHING.pull([(5.0, 5.0), (15.0, 3.0), (25.0, 5.0), (35.0, 3.0)], 1.0, "engine")
    higher = NOTHING.pull([(5.0, 4.0), (35.0, 4.0)], 1.0, "engine")
    assert lower.overtaken_by(higher) == pytest.approx(30.0)


def test_highest_speed_held() -> None:
    assert (
        Pull(
            (Span(low=10.0, high=30.0, constant=1.0, linear=-0.01, quadratic=0.0, limit="engine"),)
        ).highest_held()
        == 30.0
    )
    assert Pull(
        (Span(low=10.0, high=60.0, constant=4.0, linear=-0.1, quadratic=0.0, limit="engine"),)
    ).highest_held() == pytest.approx(40.0)
    assert (
        Pull(
            (Span(low=10.0, high=60.0, constant=-1.0, linear=0.0, quadratic=0.0, limit="engine"),)
        ).highest_held()
        is None
    )
    # -(v - 20)(v - 40): held from 20 to 40 m/s only.
    assert Pull(
        (Span(low=10.0, high=60.0, constant=-800.0, linear=60.0, quadratic=-1.0, limit="engine"),)
    ).highest_held() == pytest.approx(40.0)


def test_roots_do_not_cancel() -> None:
    # 4 v - 40 + 1e-12 v² = 0: v = 10 - 2.5e-11 + 1.25e-22 … by series; the textbook form is off by 1e-5.
    for sign in (1.0, -1.0):
        (root,) = Span(
            low=0.0,
            high=80.0,
            constant=-40.0 * sign,
            linear=4.0 * sign,
            quadratic=1e-12 * sign,
            limit="engine",
        ).crossings(None, 0.0, 80.0)
        assert root == pytest.approx(10.0 - 2.5e-11, rel=1e-15)


@given(st.floats(1, 60), st.floats(0.001, 0.5))
def test_the_step_for_motion_is_the_step(speed: float, h: float) -> None:
    """Written out for dx/dt = v it gives what the pair gives for any two quantities."""

    def law(v: float) -> float:
        return 4.0 - 0.03 * v - 0.001 * v * v

    theirs = motion.DormandPrince.step(lambda _, x, v: (v, law(v)), 0.0, 2.0, speed, h)
    ours = motion.DormandPrince.moving(4.0, -0.03, -0.001, 2.0, speed, h)
    assert ours == pytest.approx(theirs, rel=1e-13, abs=1e-13)


@given(
    st.floats(-6, 8),
    st.floats(-0.6, 0.6),
    st.floats(-0.01, 0.01).filter(lambda a: abs(a) > 1e-6),
    st.floats(0.1, 70),
    st.floats(-3, 3).filter(lambda t: abs(t) > 1e-3),
)
@settings(max_examples=60, deadline=None)
def test_the_closed_form_is_scipys_integration(
    constant: float, linear: float, quadratic: float, speed: float, time: float
) -> None:
    """scipy 1.17: solve_ivp by DOP853, rtol 1e-12. Forwards and backwards, on both sides of a double root."""
    span = Span(low=0.0, high=80.0, constant=constant, linear=linear, quadratic=quadratic, limit="engine")
    found = span.flowed(speed, time)
    assume(found is not None and 0.05 < found[1] < 200)
    assert found is not None

    def rates(_: float, y: np.ndarray) -> list[float]:
        return [y[1], constant + (linear + quadratic * y[1]) * y[1]]

    theirs = solve_ivp(rates, (0.0, time), [0.0, speed], method="DOP853", rtol=1e-12, atol=1e-13)
    assert found[1] == pytest.approx(theirs.y[1][-1], rel=1e-8, abs=1e-8)
    assert found[0] == pytest.approx(theirs.y[0][-1], rel=1e-8, abs=1e-7)
    took = span.time_to(speed, found[1])
    if took is not None and abs(found[1] - speed) > 1e-3:
        slope = abs(span.at(found[1]))
        assert took * slope == pytest.approx(time * slope, rel=1e-7, abs=1e-7)


def test_an_exact_trip_is_the_integrated_one() -> None:
    """Two ways through the same pulls: Riccati in closed form, and the pair of Dormand and Prince."""
    pull = Resistance(150.0, 1.5, 0.4).pull(
        [(0.0, 3000.0), (8.0, 3900.0), (14.0, 4100.0), (22.0, 3300.0), (30.0, 2500.0)], 1150.0, "engine"
    )
    marks = [20.0, 55.0, 110.0]
    ways = [
        Trip(moment=Moment(0.0, 0.0, 1.0), speeds=[], distances=marks, tolerance=1e-10, exact=exact)
        for exact in (True, False)
    ]
    for way in ways:
        way.follow(pull, ceiling=30.0)
    assert set(ways[0].at_distance) == set(marks)
    for mark in marks:
        ours, theirs = (way.at_distance[mark] for way in ways)
        assert ours.time == pytest.approx(theirs.time, abs=1e-9)
        assert ours.speed == pytest.approx(theirs.speed, abs=1e-9)


@given(st.floats(0.2, 40), st.floats(-3, 3), st.floats(1.5, 4))
def test_a_root_is_that_of_scipy(size: float, shift: float, power: float) -> None:
    """scipy 1.17: brentq. In few calls, which is why it is not bisection."""
    calls = []

    def function(x: float) -> float:
        calls.append(x)
        return float(np.sign(x - shift) * abs(x - shift) ** power + (x - shift) / size)

    assert motion.FalsePosition.root(function, -6.0, 9.0) == pytest.approx(
        brentq(function, -6.0, 9.0, xtol=1e-13), abs=1e-9
    )
    calls.clear()
    motion.FalsePosition.root(function, -6.0, 9.0, near=1e-11)
    assert len(calls) <= 30
