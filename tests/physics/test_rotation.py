"""Inertia, energy and stress of what spins."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp, solve_ivp

from buildlog.diagnostics import OutOfRange
from buildlog.physics import rotation

# --- inertia -----------------------------------------------------------------------------


def test_annulus_of_a_table() -> None:
    # m (r_o² + r_i²) / 2 (Shigley, table of inertias; any mechanics text): 8 kg, 140 and 60 mm: 0.0928 kg·m².
    assert rotation.ring_inertia(8, 0.280, 0.120) == pytest.approx(0.0928, rel=1e-12)


@given(st.floats(0.1, 0.4), st.floats(0, 0.95), st.floats(0.002, 0.05), st.floats(2000, 8000))
def test_mass_and_inertia_are_the_integrals(outer: float, share: float, width: float, density: float) -> None:
    """∫ ρ b 2 π r dr and ∫ ρ b 2 π r³ dr, by scipy's quadrature."""
    inner = outer * share
    mass = rotation.ring_mass(outer, inner, width, density)
    assert mass == pytest.approx(
        quad(lambda r: density * width * 2 * pi * r, inner / 2, outer / 2)[0], rel=1e-9
    )
    inertia = quad(lambda r: density * width * 2 * pi * r**3, inner / 2, outer / 2)[0]
    assert rotation.ring_inertia(mass, outer, inner) == pytest.approx(inertia, rel=1e-9)
    assert inner / 2 <= rotation.radius_of_gyration(inertia, mass) <= outer / 2


def test_two_rings_are_one() -> None:
    """A disc cut at any diameter is the sum of its parts, and less its middle a ring."""
    parts = [(0.28, 0.2), (0.2, 0.0)]
    masses = [rotation.ring_mass(outer, inner, 0.02, 7200) for outer, inner in parts]
    inertias = [rotation.ring_inertia(mass, *part) for mass, part in zip(masses, parts, strict=True)]
    whole = rotation.ring_mass(0.28, 0, 0.02, 7200)
    assert rotation.mass_with(*masses) == pytest.approx(whole, rel=1e-12)
    disc = rotation.ring_inertia(whole, 0.28, 0)
    assert rotation.inertia_with(*inertias) == pytest.approx(disc, rel=1e-12)
    assert rotation.inertia_with(disc, -inertias[1]) == pytest.approx(inertias[0], rel=1e-12)


# --- swing test --------------------------------------------------------------------------


def swing_period(inertia: float, mass: float, radius: float, length: float, amplitude: float) -> float:
    """Period by scipy from the full equation of motion: the body turns, and rises as its wires slant.

    z = √(L² - 2 R² (1 - cos θ)) below the ceiling; (J + m z'²) θ̈ + m z' z" θ̇² = m g z', where ' is d/dθ.
    """

    def motion(t: float, y: np.ndarray) -> list[float]:
        angle, rate = y
        z = sqrt(length**2 - 2 * radius**2 * (1 - cos(angle)))
        slope = -(radius**2) * sin(angle) / z
        curve = (-(radius**2) * cos(angle) - slope**2) / z
        return [rate, mass * slope * (9.80665 - curve * rate**2) / (inertia + mass * slope**2)]

    def upright(t: float, y: np.ndarray) -> float:
        return float(y[0])

    upright.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(motion, (0, 20), [amplitude, 0.0], events=upright, rtol=1e-10, atol=1e-14)
    return 4 * float(run.t_events[0][0])


@given(st.floats(3, 15), st.floats(0.06, 0.14), st.floats(0.8, 2.0), st.floats(0.7, 1.2))
def test_small_swings_give_back_the_inertia(
    mass: float, radius: float, length: float, gyration: float
) -> None:
    inertia = mass * (gyration * 0.1) ** 2
    period = swing_period(inertia, mass, radius=radius, length=length, amplitude=0.01)
    assert rotation.swing_inertia(mass, 9.80665, radius, length, period) == pytest.approx(inertia, rel=1e-4)


def test_ten_degrees_of_swing_lengthen_the_period_by_a_fifth_of_a_per_cent() -> None:
    """What the manual of `flywheel` says of large swings."""
    small = swing_period(0.09, 8, radius=0.1, length=1.2, amplitude=0.002)
    large = swing_period(0.09, 8, radius=0.1, length=1.2, amplitude=radians(10))
    assert 0.0010 < large / small - 1 < 0.0022


def test_period_of_the_laboratory_notes() -> None:
    # T = 2 π √(J L / (m g R²)), read in laboratory notes on the trifilar suspension: turned round here.
    inertia, mass, radius, length = 0.09, 8.0, 0.1, 1.2
    period = 2 * pi * sqrt(inertia * length / (mass * 9.80665 * radius**2))
    assert rotation.swing_inertia(mass, 9.80665, radius, length, period) == pytest.approx(inertia, rel=1e-12)
    # A ring that hangs by its own rim, m R² = J, swings as a plain pendulum of the wires' length.
    assert rotation.swing_inertia(5, 9.80665, 0.1, 1.0, 2 * pi * sqrt(1 / 9.80665)) == pytest.approx(
        5 * 0.1**2
    )


def test_platform_is_taken_off() -> None:
    assert rotation.inertia_less_platform(0.12, 0.03) == pytest.approx(0.09)


# --- energy and motion -------------------------------------------------------------------


def test_flywheel_of_khurmi_and_gupta() -> None:
    # Khurmi and Gupta, Theory of Machines, example 16.2, as published with its answers: k = 1 m, 2500 kg,
    # 1500 N·m: α = 0.6 rad/s², and after ten seconds 45.0 kN·m.
    inertia = 2500 * 1.0**2
    assert rotation.radius_of_gyration(inertia, 2500) == pytest.approx(1.0)
    rate = rotation.angular_acceleration(1500, inertia)
    assert rate == pytest.approx(0.6, abs=0.05)
    assert rotation.run_up_time(0, 6, rate) == pytest.approx(10, rel=1e-12)
    assert rotation.stored_energy(inertia, 6) == pytest.approx(45.0e3, abs=50)


def test_effective_mass_of_a_worked_balance() -> None:
    # Kinetic energy: 1200 kg, wheels 4.0 kg·m², engine 0.15 kg·m², 3.6 × 4.1, 0.310 m: 1581.672 kg in all.
    engine = rotation.effective_mass(0.15, 3.6 * 4.1, 0.310)
    wheels = rotation.effective_mass(4.0, 1, 0.310)
    assert 1200 + wheels + engine == pytest.approx(1581.672, abs=0.0005)


@given(st.floats(0.01, 1), st.floats(1, 20), st.floats(0.2, 0.4), st.floats(1, 60))
def test_effective_mass_carries_the_same_energy(
    inertia: float, ratio: float, radius: float, speed: float
) -> None:
    turning = rotation.stored_energy(inertia, speed * ratio / radius)
    assert rotation.effective_mass(inertia, ratio, radius) * speed**2 / 2 == pytest.approx(turning, rel=1e-9)


@given(st.floats(10, 300), st.floats(0.05, 1), st.floats(0, 200), st.floats(201, 900))
def test_running_up_is_the_integrated_motion(torque: float, inertia: float, low: float, high: float) -> None:
    time = rotation.run_up_time(low, high, rotation.angular_acceleration(torque, inertia))
    run = solve_ivp(lambda t, y: [torque / inertia], (0, time), [low])
    assert run.y[0][-1] == pytest.approx(high, rel=1e-9)


# --- stress ------------------------------------------------------------------------------


def test_thin_ring_of_the_data_handbook() -> None:
    # Mechanical Engineer's Data Handbook, 1.2.7: ρ v²: 7200 kg/m³ at 100 m/s is 72 MPa; 200 MPa is reached by
    # a ring of 140 mm at 11 368 rpm (turned round).
    assert rotation.free_ring_stress(7200, rotation.rim_speed(0.280, 100 / 0.140)) == pytest.approx(72e6)
    speed = 6000 * pi / 30
    share = rotation.stress_share(rotation.free_ring_stress(7200, rotation.rim_speed(0.280, speed)), 200e6)
    assert rotation.speed_at_strength(speed, share) * 30 / pi == pytest.approx(11_368.21, abs=0.01)


def test_limits_of_the_annulus() -> None:
    # Same page: the solid disc has ρ v² (3 + ν) / 8 (32.38125 MPa for 7850 kg/m³, 100 m/s, ν 0.3). A pin hole
    # doubles it, and a bore almost as large as the disc makes it the thin ring.
    solid = 7850 * 100**2 * 3.3 / 8
    assert solid == pytest.approx(32.38125e6)
    assert rotation.hoop_stress(7850, 100, 1e-9, 0.3) == pytest.approx(2 * solid, rel=1e-12)
    assert rotation.hoop_stress(7850, 100, 1 - 1e-9, 0.3) == pytest.approx(7850 * 100**2, rel=1e-6)


@pytest.mark.parametrize("share,poisson", [(0.1, 0.26), (0.22, 0.3), (0.5, 0.33), (0.8, 0.28)])
def test_hoop_stress_solves_the_disc(share: float, poisson: float) -> None:
    """The equations of a spinning disc by scipy's boundary value solver, both edges free of load.

    With s = r σ_r and v = 1: s' = σ_t - r² and, from compatibility, σ_t' in terms of both (Timoshenko and
    Goodier, Theory of Elasticity, rotating discs): u' = (σ_r - ν σ_t)/E, u/r = (σ_t - ν σ_r)/E.
    """

    def rates(r: np.ndarray, y: np.ndarray) -> np.ndarray:
        radial, displacement = y
        hoop = displacement / r + poisson * radial
        return np.vstack([(hoop - radial) / r - r, radial - poisson * hoop])

    mesh = np.linspace(share, 1, 200)
    run = solve_bvp(rates, lambda a, b: np.array([a[0], b[0]]), mesh, np.ones((2, 200)), tol=1e-8)
    assert run.success
    around_the_bore = run.sol(share)[1] / share
    assert rotation.hoop_stress(1.0, 1.0, share, poisson) == pytest.approx(around_the_bore, rel=1e-6)


@given(st.floats(0.05, 0.9), st.floats(1.01, 2))
def test_stress_goes_with_the_square_of_speed(share: float, more: float) -> None:
    slow, fast = (rotation.hoop_stress(7200, speed, share, 0.26) for speed in (90, 90 * more))
    assert fast / slow == pytest.approx(more**2, rel=1e-9)
    assert rotation.bore_ratio(share * 0.28, 0.28) == pytest.approx(share)


@pytest.mark.parametrize(
    "call,name",
    [
        (lambda: rotation.ring_mass(0.2, 0.2, 0.01, 7200), "inner_diameter"),
        (lambda: rotation.ring_inertia(0, 0.2, 0.1), "ring_mass"),
        (lambda: rotation.inertia_with(0.1, -0.2), "inertia"),
        (lambda: rotation.mass_with(1, -2), "mass"),
        (lambda: rotation.swing_inertia(8, 9.8, 0.1, 0, 2), "wire_length"),
        (lambda: rotation.inertia_less_platform(0.03, 0.03), "swing_period"),
        (lambda: rotation.run_up_time(300, 200, 50), "high_speed"),
        (lambda: rotation.hoop_stress(7200, 100, 1.0, 0.3), "bore"),
        (lambda: rotation.hoop_stress(7200, 100, 0.0, 0.3), "bore"),
        (lambda: rotation.hoop_stress(7200, 100, 0.3, 0.6), "poisson_ratio"),
        (lambda: rotation.stress_share(1e6, 0), "strength"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(call, name: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.name == name
