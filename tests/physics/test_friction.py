"""Disc clutch capacity, and what the pedal feels."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import friction, hydraulics

diameters = st.tuples(st.floats(0.05, 0.4), st.floats(0.1, 0.99)).map(
    lambda pair: (pair[0], pair[0] * pair[1])
)


def uniform_wear(coefficient: float, load: float, outer: float, inner: float, faces: float) -> float:
    return friction.torque_capacity(coefficient, load, friction.radius_uniform_wear(outer, inner), faces)


def uniform_pressure(coefficient: float, load: float, outer: float, inner: float, faces: float) -> float:
    return friction.torque_capacity(coefficient, load, friction.radius_uniform_pressure(outer, inner), faces)


def test_published_solution_of_one_pair_of_faces() -> None:
    # Shigley, Mechanical Engineering Design, plate clutch problem (300 and 225 mm, f = 0.25, 5000 N), as
    # solved in a published machine design homework (ME 452 Machine Design II, autumn 2010, set 14): 188 628
    # Pa and 164.063 N·m by uniform wear, 161 681 Pa by uniform pressure.
    assert friction.greatest_pressure(5000, 0.300, 0.225, 1.0) == pytest.approx(188_628, abs=0.5)
    assert uniform_wear(0.25, 5000, outer=0.300, inner=0.225, faces=1) == pytest.approx(164.063, abs=0.0005)
    # The homework rounds π to 3.14; with π itself it is 161 681.4.
    assert friction.mean_pressure(5000, friction.ring_area(0.300, 0.225), 1.0) == pytest.approx(
        161_681, abs=1
    )


def test_single_plate_of_khurmi_and_gupta() -> None:
    # Khurmi and Gupta, Theory of Machines, ch. 10: 25 kW at 3000 rpm, both sides effective, μ = 0.255, radii
    # 1.25 : 1, 0.1 N/mm². The statement was read; the answers, 96 mm and about 1447 N, are from memory.
    inner = 2 * 0.096
    outer = 1.25 * inner
    load = 1447.0
    assert friction.greatest_pressure(load, outer, inner, 1.0) == pytest.approx(0.1e6, rel=0.005)
    assert uniform_wear(0.255, load, outer=outer, inner=inner, faces=friction.faces(1)) == pytest.approx(
        25_000 / (3000 * pi / 30), rel=0.005
    )


def test_vehicle_clutch_exercise() -> None:
    # A published exercise: 130 N·m, two faces, μ = 0.3, 125 kPa, radii 1.25 : 1, uniform wear; inner radius
    # solved from T = 2 μ π p r_i (r_o² - r_i²): 99.358 mm (derived).
    inner = 2 * 0.0993581
    outer = 1.25 * inner
    load = 2 * pi * 125e3 * (inner / 2) * (outer - inner) / 2
    assert uniform_wear(0.3, load, outer=outer, inner=inner, faces=2) == pytest.approx(130, rel=1e-5)


def test_closed_forms() -> None:
    # From p r = const and p = const (Shigley, ch. 16; Juvinall and Marshek, ch. 18), worked out by hand.
    assert uniform_wear(0.3, 8000, outer=0.230, inner=0.155, faces=2) == pytest.approx(462.0, rel=1e-12)
    assert uniform_pressure(0.3, 8000, outer=0.230, inner=0.155, faces=2) == pytest.approx(
        467.844155844, rel=1e-11
    )


def test_capacity_is_the_integral_of_friction_over_the_face() -> None:
    # Independent of the closed forms: the sum of μ p r dA over 20 000 rings, with p constant or p r constant.
    outer, inner, load, rings = 0.11, 0.07, 5000.0, 20_000
    width = (outer - inner) / rings
    radii = [inner + (part + 0.5) * width for part in range(rings)]
    for pressure, ours in ((lambda r: 1.0, uniform_pressure), (lambda r: 1 / r, uniform_wear)):
        force = sum(pressure(r) * 2 * pi * r * width for r in radii)
        torque = sum(pressure(r) * 2 * pi * r * r * width for r in radii)
        assert ours(0.35, load, 2 * outer, 2 * inner, 2) == pytest.approx(
            2 * 0.35 * load * torque / force, rel=1e-8
        )


@given(diameters)
def test_uniform_wear_is_the_lower_and_both_lie_within_the_ring(pair: tuple[float, float]) -> None:
    outer, inner = pair
    wear, pressure = (
        friction.radius_uniform_wear(outer, inner),
        friction.radius_uniform_pressure(outer, inner),
    )
    assert inner / 2 < wear < outer / 2
    assert wear <= pressure * (1 + 1e-12)
    # r_w / r_p = 1 - x²/(3 (1 + x²/3)) with x = (D - d)/(D + d): the thin-ring limit is 1.
    x = (outer - inner) / (outer + inner)
    assert wear / pressure == pytest.approx(1 / (1 + x**2 / 3), rel=1e-9)


def test_break_in_is_the_rule_of_thumb() -> None:
    # Common practice, no source: 500 to 1000 miles of traffic, in round kilometres.
    assert friction.break_in_least() == pytest.approx(500 * 1609.344, rel=0.01)
    assert friction.break_in_most() == pytest.approx(1000 * 1609.344, rel=0.01)


def test_pressures_areas_and_shares() -> None:
    # Geometry: a ring of 200 and 100 mm, half covered, two faces.
    ring = friction.ring_area(0.2, 0.1)
    assert ring == pytest.approx(pi * (0.1**2 - 0.05**2), rel=1e-12)
    area = friction.friction_area(ring, 0.5, friction.faces(1))
    assert area == pytest.approx(ring, rel=1e-12)
    assert friction.mean_pressure(6000, ring, 0.5) == pytest.approx(2 * 6000 / area, rel=1e-12)
    assert friction.pressure_share(350e3, 700e3) == 0.5
    assert friction.reserve(300, 200, 1.5) == pytest.approx(1.0)


@given(diameters, st.floats(0.2, 1.0))
def test_greatest_pressure_times_radius_carries_the_load(pair: tuple[float, float], covered: float) -> None:
    """∫ p_a (r_i/r) 2 π r c dr = F."""
    outer, inner = pair
    greatest = friction.greatest_pressure(5000, outer, inner, covered)
    assert greatest * inner / 2 * 2 * pi * covered * (outer - inner) / 2 == pytest.approx(5000, rel=1e-9)
    assert greatest >= friction.mean_pressure(5000, friction.ring_area(outer, inner), covered)


@pytest.mark.parametrize(
    "call,name",
    [
        (lambda: friction.radius_uniform_wear(0.1, 0.1), "inner_diameter"),
        (lambda: friction.radius_uniform_pressure(0.1, -0.1), "inner_diameter"),
        (lambda: friction.torque_capacity(1.1, 5000, 0.1, 2), "friction_coefficient"),
        (lambda: friction.torque_capacity(0.3, 0, 0.1, 2), "clamp_load"),
        (lambda: friction.reserve(300, 200, 0.9), "shock_factor"),
        (lambda: friction.friction_area(0.01, 1.2, 2), "covered_share"),
        (lambda: friction.faces(0), "plates"),
        (lambda: hydraulics.slave_area(0.02, 0.02), "slave_sleeve"),
        (lambda: hydraulics.pedal_force(1000, 10, 1.1), "linkage_efficiency"),
        (lambda: hydraulics.pedal_travel(-1, 10, 0), "release_travel"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(call, name: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange) as refused:
        call()
    assert refused.value.name == name


# --- pedal ----------------------------------------------------------------------------


def test_cylinders_of_a_published_example() -> None:
    # An owners' article on a motorcycle's hydraulic clutch: slave 28 mm, master 13 mm; "for every 1 mm" of
    # slave travel the master moves "about 4.6 mm".
    ratio = hydraulics.hydraulic_ratio(hydraulics.slave_area(0.028, 0), hydraulics.master_area(0.013))
    assert ratio == pytest.approx(4.6, abs=0.05)


@given(st.floats(2, 8), st.floats(1, 3), st.floats(0.01, 0.03), st.floats(0.01, 0.05), st.floats(0.5, 1))
def test_work_in_is_work_out_over_efficiency(
    pedal: float, fork: float, master: float, slave: float, efficiency: float
) -> None:
    slave_area, master_area = hydraulics.slave_area(slave, 0), hydraulics.master_area(master)
    ratio = hydraulics.linkage_ratio(pedal, hydraulics.hydraulic_ratio(slave_area, master_area), fork)
    force = hydraulics.pedal_force(1800, ratio, efficiency)
    assert force * hydraulics.pedal_travel(0.008, ratio, 0) * efficiency == pytest.approx(
        1800 * 0.008, rel=1e-9
    )
    # The line's pressure seen from either piston is the same (Pascal).
    pressure = hydraulics.line_pressure(1800, fork, slave_area)
    assert pressure == pytest.approx(force * efficiency * pedal / master_area, rel=1e-9)


def test_ring_piston_free_travel_and_levers() -> None:
    # Geometry: a ring piston is the difference of two round ones.
    assert hydraulics.slave_area(0.050, 0.030) == pytest.approx(
        hydraulics.master_area(0.050) - hydraulics.master_area(0.030), rel=1e-12
    )
    assert hydraulics.master_area(0.020) == pytest.approx(pi * 1e-4, rel=1e-12)
    assert hydraulics.pedal_travel(0.008, 12, 0.015) == pytest.approx(0.111)
    assert hydraulics.lever_load(1500, 4) == 6000
    assert hydraulics.release_load(hydraulics.lever_load(1500, 4), 4) == 1500
    assert hydraulics.crank_thrust(1500) == 1500
