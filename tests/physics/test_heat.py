"""Slip heat of a launch, and what it does to a plate."""

from __future__ import annotations

from math import exp, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from buildlog.diagnostics import OutOfRange
from buildlog.physics import engagement, heat

# --- the launch ------------------------------------------------------------------------


def test_published_student_design_of_a_car_clutch() -> None:
    # A published course design (in Russian): J_a = 0.47 kg·m², ω = 275.76 rad/s, M_e = 130 N·m, M_ψ = 3.62
    # N·m give the slip work L = 18.38 kJ; with half of it in a 3 kg plate of 480 J/(kg·K), Δt = 6.38 K.
    time = engagement.slip_duration(0.47, 275.76, 130, 3.62)
    work = engagement.slip_energy(130, 275.76, time)
    assert work == pytest.approx(18_380, abs=5)
    assert heat.lumped_rise(work, 0.5, 3, 480) == pytest.approx(6.38, abs=0.005)


def test_launch_work_of_car_design_textbooks() -> None:
    # W = π² n² m r² / (1800 i²), the slip work of Chinese textbooks of car design (Wang, Automobile Design;
    # from memory): the form without resistance.
    n, mass, radius, ratio = 2000.0, 1500.0, 0.31, 14.0
    inertia = engagement.inertia_at_clutch(mass, radius, ratio, 0, 1)
    work = engagement.slip_energy(150, n * pi / 30, engagement.slip_duration(inertia, n * pi / 30, 150, 0))
    assert work == pytest.approx(pi**2 * n**2 / 1800 * mass * radius**2 / ratio**2, rel=1e-12)


def test_heat_is_the_cars_energy_at_the_end_of_the_slip() -> None:
    # Energy balance: 1200 kg, 0.31 m, ratio 14.76, 3000 rpm: 26 121.71 J, and 6.59820 m/s.
    speed = 3000 * pi / 30
    inertia = engagement.inertia_at_clutch(1200, 0.31, 14.76, 0, 1)
    work = engagement.slip_energy(140, speed, engagement.slip_duration(inertia, speed, 140, 0))
    final = engagement.lock_up_speed(speed, 0.31, 14.76)
    assert work == pytest.approx(26_121.7138978, rel=1e-10)
    assert final == pytest.approx(6.59820, abs=5e-6)
    assert work == pytest.approx(1200 * final**2 / 2, rel=1e-12)


def test_two_rotors_coupled_is_the_limit_of_a_heavy_driver() -> None:
    # Khurmi and Gupta, Theory of Machines, ch. 10 (statement read): 32 and 42.12 kg·m², 1250 rpm; 155 794 J
    # are lost. Their driver slows; ours does not. With the relative speed's energy J1 J2 ω² / (2 (J1 + J2))
    # and J1 → ∞ both meet.
    speed, driver, driven = 1250 * pi / 30, 32.0, 42.12
    lost = driver * driven * speed**2 / (2 * (driver + driven))
    assert lost == pytest.approx(155_793.8, abs=0.1)
    ours = engagement.slip_energy(500, speed, engagement.slip_duration(driven, speed, 500, 0))
    assert ours > lost
    heavy = 1e12
    assert ours == pytest.approx(heavy * driven * speed**2 / (2 * (heavy + driven)), rel=1e-9)


@given(st.floats(60, 300), st.floats(0, 50), st.floats(0.1, 2))
def test_closed_form_is_the_integrated_launch(torque: float, against: float, inertia: float) -> None:
    """scipy's integrator on J dω/dt = T - T_R, with the heat T (ω_e - ω) summed along."""
    speed = 300.0
    time = engagement.slip_duration(inertia, speed, torque, against)
    run = solve_ivp(
        lambda t, y: [(torque - against) / inertia, torque * (speed - y[0])], (0, time), [0.0, 0.0]
    )
    assert run.y[0][-1] == pytest.approx(speed, rel=1e-6)
    assert engagement.slip_energy(torque, speed, time) == pytest.approx(run.y[1][-1], rel=1e-6)
    mean = run.y[1][-1] / time
    assert engagement.slip_power(torque, speed) == pytest.approx(2 * mean, rel=1e-6)


@given(st.floats(0, 100), st.floats(1.01, 3))
def test_resistance_adds_heat(against: float, more: float) -> None:
    time = engagement.slip_duration(0.5, 300, 150, against)
    assert engagement.slip_duration(0.5, 300, 150 * more, against) < time
    assert engagement.slip_energy(150, 300, time) >= 0.5 * 300**2 / 2 * (1 - 1e-12)


def test_resistance_torque_and_shares() -> None:
    # Statics: 1420 N at a wheel of 0.3 m through 14.2 is 30 N·m.
    assert engagement.resistance_torque(1420, 0.3, 14.2, 1) == pytest.approx(30, rel=1e-12)
    assert engagement.energy_per_area(20_000, 0.04) == pytest.approx(0.5e6)
    assert engagement.energy_share(0.5e6, 0.4e6) == pytest.approx(1.25)
    assert engagement.power_per_area(60_000, 0.04) == pytest.approx(1.5e6)
    assert engagement.power_share(0.6e6, 1.2e6) == pytest.approx(0.5)


# --- the plate -------------------------------------------------------------------------

IRON = (50.0, 7200.0, 500.0)


def test_lumped_rise() -> None:
    # Energy balance: 30 kJ into 6 kg of 500 J/(kg·K).
    assert heat.lumped_rise(30_000, 1, 6, 500) == pytest.approx(10.0, rel=1e-12)


def test_constant_flux_is_the_limit_of_a_long_slip() -> None:
    # Carslaw and Jaeger, 2.9: 2 q √(t / (π k ρ c)) with 1 MW/m² for 1 s on iron is 84.1044 K.
    assert heat.surface_rise(1e6, *IRON, 1.0, 1e9) == pytest.approx(84.1044174, rel=1e-8)


@given(st.floats(0.05, 1.0))
def test_falling_flux_is_duhamels_integral(part: float) -> None:
    """ΔT = ∫ q(t - u) / √(π k ρ c u) du, by scipy's quadrature with u = x² against the singular end."""
    duration, q = 0.9, 1.5e6
    time = part * duration
    conductivity, density, specific = IRON

    def integrand(x: float) -> float:
        return 2 * q * (1 - (time - x**2) / duration) / sqrt(pi * conductivity * density * specific)

    expected = quad(integrand, 0, sqrt(time))[0]
    assert heat.surface_rise(q, *IRON, time, duration) == pytest.approx(expected, rel=1e-8)


def test_the_hottest_moment_is_the_hottest() -> None:
    times = [0.8 * part / 400 for part in range(401)]
    rises = [heat.surface_rise(1e6, *IRON, time, 0.8) for time in times]
    assert times[rises.index(max(rises))] == pytest.approx(heat.hottest_moment(0.8), abs=0.002)
    # Carslaw and Jaeger's form at t_s/2: (4/3) q √(t_s / (2 π k ρ c)).
    assert max(rises) == pytest.approx(4 / 3 * 1e6 * sqrt(0.8 / (2 * pi * 50 * 7200 * 500)), rel=1e-9)


def test_heated_depth_is_where_a_tenth_of_the_surface_is_left() -> None:
    # ierfc(1) / ierfc(0) = 0.0503 / 0.5642 = 0.089 (Carslaw and Jaeger, appendix II; recomputed by quadrature
    # of erfc).
    conductivity, density, specific = IRON
    depth = heat.heated_depth(*IRON, 1.0)

    def at(x: float) -> float:
        """Rise in a half-space after one second of constant flux: ∫ exp(-x²/4au)/√u du, u = y²."""
        a = conductivity / (density * specific)
        return float(quad(lambda y: 2 * exp(-(x**2) / (4 * a * y**2)) if y else 0.0, 0, 1)[0])

    assert at(depth) / at(0) == pytest.approx(0.089, abs=0.001)


def test_flux_and_thickness() -> None:
    # 60 kW on two faces of 200 cm²; 4.32 kg of iron under 200 cm² is 30 mm thick.
    assert heat.flux_at_start(60_000, 0.02, 2) == pytest.approx(1.5e6)
    assert heat.plate_thickness(4.32, 7200, 0.02) == pytest.approx(0.030)
    assert heat.share_of_faces(2, 4) == 0.5


@given(st.integers(1, 60), st.floats(1, 600), st.floats(20, 2000))
def test_repeated_launches_are_a_plate_heated_and_cooled_step_by_step(
    n: int, interval: float, tau: float
) -> None:
    rise = 0.0
    for number in range(n):
        rise = (rise * exp(-interval / tau) if number else 0.0) + 7.0
    ours = heat.repeated_rise(7.0, n, interval, tau)
    assert ours == pytest.approx(rise, rel=1e-7)
    assert ours <= heat.uncooled_rise(7.0, n) * (1 + 1e-9)


def test_without_cooling_rises_add_up() -> None:
    assert heat.uncooled_rise(7.0, 5) == 35.0
    assert heat.repeated_rise(7.0, 5, 1.0, 1e7) == pytest.approx(35.0, rel=1e-6)


@pytest.mark.parametrize(
    "call,name",
    [
        (lambda: engagement.slip_duration(0.5, 300, 30, 30), "launch_torque"),
        (lambda: engagement.slip_duration(0, 300, 30, 0), "inertia_at_clutch"),
        (lambda: engagement.resistance_torque(-1, 0.3, 14, 1), "road_resistance"),
        (lambda: heat.surface_rise(1e6, *IRON, 1.1, 1.0), "time"),
        (lambda: heat.lumped_rise(1e4, 1.2, 4, 500), "heat_share"),
        (lambda: heat.repeated_rise(7, 0, 60, 300), "launches"),
        (lambda: heat.share_of_faces(3, 2), "plate_faces"),
        (lambda: heat.share_of_faces(2, 2), "plate_faces"),  # a single plate clutch has no plate between two
    ],
)
def test_what_is_out_of_range_is_refused_by_name(call, name: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.name == name
