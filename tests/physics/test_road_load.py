"""Road load and rotating mass, against certified coast-downs, energy equality and statics."""

from __future__ import annotations

from math import atan, hypot
from sys import float_info
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import inertia_mass, road_load

LBF = 0.45359237 * 9.80665  # exact: NIST SP 811 (2008), Appendix B
MPH = 1609.344 / 3600  # exact


def certified(road_speed: float) -> float:
    """U.S. EPA test vehicle DBF-MP52 (2013): A 29.61 lbf, B 0.3629 lbf/mph, C 0.01600 lbf/mph²."""
    return road_load.resistance(29.61 * LBF, 0.3629 * LBF / MPH, 0.01600 * LBF / MPH**2, road_speed)


def test_road_load_of_a_certified_car() -> None:
    # Arithmetic in customary units: (A + 50 B + 2500 C) lbf × 50 mph / 375 = 11.70067 hp, 375 lbf·mph = 1 hp;
    # 50 mph is the road-load point of 40 CFR 86.129-80(b)(1).
    power = road_load.resistance_power(certified(50 * MPH), 50 * MPH)
    assert power / (550 * 0.3048 * LBF) == pytest.approx(11.7006666667, rel=1e-6)
    # The same coefficients at 100 km/h: A + B v + C v² with v = 62.1371 mph, in newtons.
    assert certified(100 / 3.6) == pytest.approx(506.812159526, rel=1e-6)


def test_weight_on_a_slope() -> None:
    # A 3-4-5 slope: tan θ = 3/4, sin θ = 3/5, cos θ = 4/5 (geometry).
    angle = road_load.gradient_angle(0.75)
    assert road_load.gradient_force(100.0, angle) == pytest.approx(100 * 9.80665 * 0.6, rel=1e-12)
    assert road_load.rolling_resistance(0.01, 100.0, angle) == pytest.approx(100 * 9.80665 * 0.008, rel=1e-12)
    assert road_load.constant_resistance(3.0, -5.0) == -2.0


def test_drag_by_definition() -> None:
    # ρ v²/2 at 100 mph and 1.225 kg/m³ is 1224.0491648 Pa (Bernoulli, exact arithmetic); on 0.65 m².
    factor = road_load.drag_factor(1.225, 0.65)
    assert factor * (100 * MPH) ** 2 == pytest.approx(0.65 * 1224.0491648, rel=1e-6)
    assert road_load.surplus_force(500.0, 506.8) == pytest.approx(-6.8)


@given(st.floats(-1, 1), st.floats(200, 3500), st.floats(0, 0.2))
@example(0.09, 3384.0, 0.152)
@example(0.5, 200.5, 5e-324)
def test_force_along_and_force_across_make_up_the_weight(gradient: float, mass: float, f: float) -> None:
    angle = road_load.gradient_angle(gradient)
    assert angle == pytest.approx(atan(gradient))
    along = road_load.gradient_force(mass, angle)
    across = road_load.rolling_resistance(1.0, mass, angle)
    assert hypot(along, across) == pytest.approx(mass * 9.80665, rel=1e-12)
    # The same product in another order: three roundings on either side, each half a unit in the last place,
    # and where f is next to nothing, products among the subnormal numbers, which have fewer places.
    rounding: dict[str, Any] = {"rel": 4 * float_info.epsilon, "abs": float_info.min}
    assert road_load.rolling_resistance(f, mass, angle) == pytest.approx(f * across, **rounding)


@given(st.floats(0, 100), st.floats(0.001, 50))
def test_resistance_grows_with_speed(speed: float, more: float) -> None:
    assert certified(speed + more) > certified(speed)


def test_equivalent_mass_of_rotating_parts() -> None:
    # m + [J_w + J_e (i_g i_f)²] / r² by equal kinetic energy: 1200 kg, 4.0 and 0.15 kg·m², ratio 3.6 × 4.1,
    # radius 0.310 m.
    wheels = inertia_mass.inertia_of_wheels(1.0, 4.0)
    shaft = inertia_mass.crankshaft_inertia(0.05, 0.07, 0.03)
    found = inertia_mass.accelerated_mass(1200.0, wheels, shaft, 3.6 * 4.1, 0.310, 1.0)
    assert found == pytest.approx(1581.67159209, rel=1e-9)
    assert inertia_mass.effective_mass_of_parts(found, 1200.0) == pytest.approx(381.67159209, rel=1e-9)
    # Gillespie (1992), eq. 2-10, a rule of thumb: 1.04 + 0.0025 × 14.76² = 1.5846; compared only loosely.
    assert inertia_mass.mass_factor(found, 1200.0) == pytest.approx(1.5846, rel=0.2)


@given(st.floats(200, 3000), st.floats(0, 5), st.floats(0, 2), st.floats(1, 40), st.floats(0.15, 0.5))
def test_mass_holds_the_energy_of_all_that_turns(
    mass: float, wheels: float, shaft: float, ratio: float, radius: float
) -> None:
    """Kinetic energy at 30 m/s, part by part (mechanics)."""
    speed = 30.0
    parts = mass * speed**2 + wheels * (speed / radius) ** 2 + shaft * (ratio * speed / radius) ** 2
    found = inertia_mass.accelerated_mass(mass, wheels, shaft, ratio, radius, 1.0)
    assert found * speed**2 == pytest.approx(parts, rel=1e-12)
    free = inertia_mass.mass_with_wheels(mass, wheels, radius)
    assert free == pytest.approx(
        inertia_mass.accelerated_mass(mass, wheels, 0.0, ratio, radius, 1.0), rel=1e-12
    )


def test_a_hoop_rolls_with_twice_its_mass() -> None:
    # A thin hoop has J = m r², so that it rolls as 2 m, whatever its size (mechanics).
    assert inertia_mass.mass_with_wheels(8.0, 8.0 * 0.3**2, 0.3) == pytest.approx(16.0, rel=1e-12)


@pytest.mark.parametrize(
    "call,name",
    [
        (lambda: road_load.gradient_angle(1.2), "gradient"),
        (lambda: road_load.rolling_resistance(-0.01, 900.0, 0.0), "rolling_coefficient"),
        (lambda: road_load.rolling_resistance(0.01, 0.0, 0.0), "vehicle_mass"),
        (lambda: road_load.gradient_force(-1.0, 0.0), "vehicle_mass"),
        (lambda: road_load.constant_resistance(-1.0, 0.0), "rolling_resistance"),
        (lambda: road_load.drag_factor(-1.0, 1.0), "air_density"),
        (lambda: road_load.drag_factor(1.2, -1.0), "drag_area"),
        (lambda: road_load.resistance(1.0, 1.0, 1.0, -1.0), "road_speed"),
        (lambda: road_load.resistance_power(1.0, -1.0), "road_speed"),
        (lambda: inertia_mass.inertia_of_wheels(-1.0, 4.0), "wheel_inertia"),
        (lambda: inertia_mass.crankshaft_inertia(0.1, -1.0, 0.0), "flywheel_inertia"),
        (lambda: inertia_mass.accelerated_mass(900.0, 1.0, 1.0, 0.0, 0.3, 0.9), "overall_ratio"),
        (lambda: inertia_mass.mass_with_wheels(900.0, 1.0, 0.0), "rolling_radius"),
        (lambda: inertia_mass.mass_factor(900.0, 0.0), "vehicle_mass"),
    ],
)
def test_ranges(call: object, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        call()  # type: ignore[operator]
    assert refused.value.name == name


def test_a_wind_along_the_road() -> None:
    """By hand, C = 0.39, 37 m/s, 3 m/s against: 0.39 · 3 · 77 = 90.09 N; beside a coast-down both ways in it
    2 · 0.39 · 37 · 3 = 86.58 N; of both ways the mean is left with 0.39 · 9 = 3.51 N, which is the mean of
    90.09 N and −83.07 N with the wind. By the definition of the drag coefficient, C (v + w)² less C v²."""
    assert road_load.wind_force(0.39, 37, 3) == pytest.approx(90.09)
    assert road_load.wind_force(0.39, 37, -3) == pytest.approx(-83.07)
    assert road_load.wind_force_beside_coasting(0.39, 37, 3) == pytest.approx(86.58)
    assert road_load.wind_force_of_both_ways(0.39, 3) == pytest.approx(3.51)
    with pytest.raises(OutOfRange):
        road_load.wind_force(0.39, 5, -6)
    with pytest.raises(OutOfRange):
        road_load.wind_force_beside_coasting(-0.1, 5, 1)
