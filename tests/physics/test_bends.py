"""Bent tube: marks, walls and chains of bends, against geometry, an independent chain and codes of piping."""

from __future__ import annotations

from itertools import pairwise
from math import asin, cos, degrees, hypot, pi, radians, sin, sqrt, tau
from typing import Any

import numpy as np
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.spatial.transform import Rotation

from buildlog.diagnostics import OutOfRange
from buildlog.physics import bends
from buildlog.physics.bends import Place, Span

LEVEL = Place.beginning((0.0, 0.0, 0.0), 0.0, 0.0, 0.0)


def bend(radius: float, angle: float, rotation: float = 0.0) -> Span:
    return Span(leg_before=0.0, radius=radius, angle=radians(angle), rotation=radians(rotation))


def straight(length: float) -> Span:
    return Span(leg_before=length)


# --- marks ----------------------------------------------------------------------------------


def test_marks_of_a_quarter_bend() -> None:
    # Radius 63 mm, tube 42 mm: quarters of circles of 84, 63, 42 mm, by hand 131.947, 98.960, 65.973 mm.
    assert bends.outside_length(0.063, 0.042, pi / 2) == pytest.approx(131.947e-3, abs=1e-6)
    assert bends.length_of_bend(0.063, pi / 2, 0.0, 0.0) == pytest.approx(98.960e-3, abs=1e-6)
    assert bends.inside_length(0.063, 0.042, pi / 2) == pytest.approx(65.973e-3, abs=1e-6)
    assert bends.length_of_bend(0.063, pi / 2, 0.05, 0.02) == pytest.approx(168.960e-3, abs=1e-6)
    # the chord of a quarter is √2 radii, of a sixth one radius, of a half two
    assert bends.chord(0.063, 0.042, pi / 2) == pytest.approx(0.084 * sqrt(2))
    assert bends.chord(0.063, 0.042, pi / 3) == pytest.approx(0.084)
    assert bends.chord(0.063, 0.042, pi) == pytest.approx(0.168)


def test_the_marks_are_those_of_arcs_that_are_measured_by_steps() -> None:
    """A polygon of a million sides along each arc, as an outside check of the lengths."""
    at = np.linspace(0, radians(73), 1_000_001)
    for radius, found in (
        (0.057 + 0.019, bends.outside_length(0.057, 0.038, radians(73))),
        (0.057 - 0.019, bends.inside_length(0.057, 0.038, radians(73))),
    ):
        polygon = np.sum(np.hypot(np.diff(radius * np.cos(at)), np.diff(radius * np.sin(at))))
        assert found == pytest.approx(float(polygon), rel=1e-9)


def test_a_whole_turn_is_once_round_the_tube() -> None:
    assert bends.rotation_mark(tau, 0.042) == pytest.approx(pi * 0.042)
    assert bends.rotation_mark(-pi / 2, 0.042) == pytest.approx(-pi * 0.042 / 4)


@for_all(st.floats(0, 0.004), st.floats(0.03, 0.2), st.floats(0.2, 0.9))
def test_the_saw_reaches_the_next_square_end(kerf: float, radius: float, share: float) -> None:
    """The far face of a slot, square on the near end, meets the wall inside at the angle that is lost."""
    diameter = 2 * radius * share
    inside = radius - diameter / 2
    if kerf >= inside:
        with pytest.raises(OutOfRange):
            bends.kerf_angle(kerf, radius, diameter)
        return
    angle = bends.kerf_angle(kerf, radius, diameter)
    assert inside * sin(angle) == pytest.approx(kerf, abs=1e-15)
    # so much of the outside lies beyond the slot, and is dressed off
    assert (radius + diameter / 2) * sin(angle) >= kerf * (1 - 1e-12)


def test_what_a_cut_costs_a_bend_of_the_manual() -> None:
    # asin(2/42) = 2.729°; on the centre line 2 mm would be 1.819°
    assert degrees(bends.kerf_angle(0.002, 0.063, 0.042)) == pytest.approx(2.729, abs=5e-4)
    assert degrees(0.002 / 0.063) == pytest.approx(1.819, abs=5e-4)


# --- wall -----------------------------------------------------------------------------------


# ASME B31.1, table 102.4.5 (as quoted in UFGS 4-159 and elsewhere): minimum wall before bending over that
# needed, at 3, 4, 5 and 6 diameters. TEMA RCB-2.31 (as quoted in public calculations): 1 + D/(4 R).
B31_1 = {3: 1.25, 4: 1.14, 5: 1.08, 6: 1.06}


@pytest.mark.parametrize(("diameters", "before"), B31_1.items())
def test_the_wall_of_a_bend_by_the_power_piping_code(diameters: int, before: float) -> None:
    left = bends.outside_wall(1.0, float(diameters), 1.0)
    assert left == pytest.approx(1 / before, rel=0.075)


@pytest.mark.parametrize("diameters", [1.5, 2, 3, 4, 5, 6])
def test_the_wall_of_a_bend_by_the_heat_exchanger_code(diameters: float) -> None:
    """It lies between the codes from 1.5 diameters up, and its doubt of 15 % covers both."""
    left = bends.outside_wall(1.0, diameters, 1.0)
    tema = 1 / (1 + 1 / (4 * diameters))
    assert left < tema
    assert left == pytest.approx(tema, rel=0.15)


def test_constant_volume_keeps_the_section() -> None:
    """A ring of wall that is as much thinner as it is longer, all round, has the volume of the straight."""
    radius, diameter, wall, angle = 0.063, 0.042, 1e-6, 1.3

    def volume(round_it: float) -> float:
        beyond = diameter / 2 * cos(round_it)
        thick = wall * radius / (radius + beyond)
        return thick * diameter / 2 * (radius + beyond) * angle

    assert bends.outside_wall(wall, radius, diameter) == pytest.approx(wall * 0.75)
    assert quad(volume, 0, tau)[0] == pytest.approx(pi * diameter * wall * radius * angle, rel=1e-12)


# --- chains ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("sides", "angle"), [(4, 90), (6, 60), (3, 120), (5, 72), (8, 45)])
def test_a_polygon_with_round_corners_closes(sides: int, angle: float) -> None:
    end = LEVEL.after_all([straight(0.2), bend(0.06, angle)] * sides)
    assert end.at == pytest.approx((0, 0, 0), abs=1e-15)
    assert end.along == pytest.approx((1, 0, 0), abs=1e-15)
    assert end.towards == pytest.approx((0, 0, 1), abs=1e-15)


def test_bends_of_a_plane_end_where_geometry_says() -> None:
    # a quarter upwards: one radius back, one up, and pointing up
    end = LEVEL.after_all([bend(0.063, 90)])
    assert end.at == pytest.approx((0.063, 0, 0.063))
    assert end.is_upright
    assert degrees(bends.end_pitch(end)) == pytest.approx(90)
    # half a turn: back where it began, two radii up, pointing forwards
    end = LEVEL.after_all([bend(0.063, 90), bend(0.063, 90)])
    assert end.at == pytest.approx((0, 0, 0.126), abs=1e-15)
    assert end.along == pytest.approx((-1, 0, 0), abs=1e-15)
    # there and back again: an offset of 2 R (1 − cos θ) + L sin θ, over 2 R sin θ + L cos θ
    end = LEVEL.after_all([bend(0.063, 40), straight(0.1), bend(0.063, 40, 180)])
    assert end.at[2] == pytest.approx(0.126 * (1 - cos(radians(40))) + 0.1 * sin(radians(40)))
    assert end.at[0] == pytest.approx(0.126 * sin(radians(40)) + 0.1 * cos(radians(40)))
    assert end.along == pytest.approx((1, 0, 0), abs=1e-15)


def test_clockwise_is_as_the_gas_sees_it() -> None:
    """A quarter clockwise from upwards is to the right hand of whoever looks along the tube: forward × up."""
    for heading, pitch in ((0.0, 0.0), (70.0, -10.0), (-120.0, 45.0)):
        upwards = Place.beginning((0, 0, 0), radians(heading), radians(pitch), 0.0)
        turned = Place.beginning((0, 0, 0), radians(heading), radians(pitch), radians(90))
        right_hand = np.cross(np.array(upwards.along), np.array(upwards.towards))
        assert turned.towards == pytest.approx(tuple(right_hand), abs=1e-15)
        assert upwards.towards[2] > 0
    # so a tube that goes straight back, and whose first bend is turned by a quarter, bends to the car's left
    assert Place.beginning((0, 0, 0), 0.0, 0.0, radians(90)).towards == pytest.approx((0, -1, 0), abs=1e-15)


def test_heading_and_pitch_are_found_again() -> None:
    for heading in (-170, -90, -30, 0, 45, 90, 179):
        for pitch in (-80, -10, 0, 33, 89):
            place = Place.beginning((1, 2, 3), radians(heading), radians(pitch), radians(77))
            assert degrees(bends.end_heading(place)) == pytest.approx(heading)
            assert degrees(bends.end_pitch(place)) == pytest.approx(pitch)
            assert place.at == pytest.approx((1, 2, 3))
            assert sum(a * b for a, b in zip(place.along, place.towards, strict=True)) == pytest.approx(0)


def test_a_helix_of_bends_goes_as_far_as_its_pitch() -> None:
    """Straights and bends that are turned alike lie on a helix (Chasles): the chain has the screw of one
    step, by scipy's rotation vector, and n steps go n times as far along its axis."""
    steps = [straight(0.04), bend(0.06, 35, 20)]
    one, ten = LEVEL.after_all(steps), LEVEL.after_all(steps * 10)
    turn = Rotation.from_matrix(_frame(one) @ _frame(LEVEL).T)
    vector = turn.as_rotvec()
    axis = vector / np.linalg.norm(vector)
    assert axis @ np.array(ten.at) == pytest.approx(10 * (axis @ np.array(one.at)), rel=1e-12)
    tenfold = Rotation.from_rotvec(10 * vector)
    assert (Rotation.from_matrix(_frame(ten)) * Rotation.from_matrix(_frame(LEVEL)).inv()).as_matrix() == (
        pytest.approx(tenfold.as_matrix(), abs=1e-12)
    )


def _frame(place: Place) -> Any:
    along, towards = np.array(place.along), np.array(place.towards)
    return np.column_stack([along, towards, np.cross(along, towards)])


# scipy.spatial.transform.Rotation (scipy 1.17): the same chain as products of rotations about the tube's own
# axes, intrinsic: a turn about x by the rotation, the arc, a turn about its own y by minus the angle.
def by_scipy(start: tuple[float, float, float], heading: float, pitch: float, first: float,
             spans: list[Span]) -> tuple[Any, Any]:  # fmt: skip
    at = np.array(start)
    turn = Rotation.from_euler("ZYX", [heading, -pitch, first])
    for span in spans:
        turn = turn * Rotation.from_euler("x", span.rotation)
        at = at + turn.apply([span.leg_before - span.drawn_in, 0, 0])
        arc = [span.radius * sin(span.angle), 0, span.radius * (1 - cos(span.angle))]
        at = at + turn.apply(arc)
        turn = turn * Rotation.from_euler("y", -span.angle)
        at = at + turn.apply([span.leg_after, 0, 0])
    return at, turn


_ANGLES = st.floats(-pi, pi)
_SPANS = st.builds(
    Span,
    leg_before=st.floats(0, 0.5),
    radius=st.floats(0.02, 0.3),
    angle=st.floats(0, pi),
    leg_after=st.floats(0, 0.1),
    rotation=_ANGLES,
    drawn_in=st.floats(-0.001, 0.001),
)


@for_all(
    st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)),
    _ANGLES,
    st.floats(-pi / 2, pi / 2),
    _ANGLES,
    st.lists(_SPANS, min_size=1, max_size=9),
)
def test_a_chain_ends_where_rotations_of_scipy_lead(
    start: tuple[float, float, float], heading: float, pitch: float, first: float, spans: list[Span]
) -> None:
    end = Place.beginning(start, heading, pitch, first).after_all(spans)
    at, turn = by_scipy(start, heading, pitch, first, spans)
    assert end.at == pytest.approx(tuple(at), abs=1e-12)
    assert end.along == pytest.approx(tuple(turn.apply([1, 0, 0])), abs=1e-12)
    assert end.towards == pytest.approx(tuple(turn.apply([0, 0, 1])), abs=1e-12)


@for_all(st.lists(_SPANS, min_size=1, max_size=6))
def test_the_line_that_is_drawn_ends_at_the_end_and_is_as_long(spans: list[Span]) -> None:
    points = LEVEL.centre_line(spans, steps=400)
    assert points[-1] == pytest.approx(LEVEL.after_all(spans).at, abs=1e-12)
    drawn = sum(hypot(*(a - b for a, b in zip(one, other, strict=True))) for one, other in pairwise(points))
    steps = [
        abs(span.leg_before - span.drawn_in) + span.radius * span.angle + span.leg_after for span in spans
    ]
    assert drawn == pytest.approx(sum(steps), rel=1e-4, abs=1e-6)


def test_gap_and_kink() -> None:
    wanted = Place.beginning((0.3, 0.4, 0.0), 0.0, 0.0, 0.0)
    assert bends.gap(LEVEL, wanted) == pytest.approx(0.5)
    assert bends.kink(LEVEL, wanted) == 0
    for angle in (1e-9, 0.3, 90, 179.5):  # whichever way, and however small
        other = Place.beginning((0, 0, 0), radians(angle), 0.0, 0.0)
        assert degrees(bends.kink(LEVEL, other)) == pytest.approx(angle, rel=1e-6)
        other = Place.beginning((0, 0, 0), 0.0, radians(min(angle, 90)), 0.0)
        assert degrees(bends.kink(LEVEL, other)) == pytest.approx(min(angle, 90), rel=1e-6)


def test_sums() -> None:
    assert bends.total([0.1, 0.25]) == pytest.approx(0.35)
    assert bends.total_angle([1.0, 0.5]) == 1.5
    assert bends.total_mass([2.0, 0.5]) == 2.5
    assert bends.mean([0.9, 1.1]) == pytest.approx(1.0)
    assert bends.length_as_welded(1.0, 5.0, 0.5e-3) == pytest.approx(0.9975)
    assert bends.length_as_welded(1.0, 5.0, -0.5e-3) == pytest.approx(1.0025)
    assert bends.spread(1.02, 1.0) == pytest.approx(0.02)
    assert bends.waste_share(bends.waste(3.0, 2.25), 3.0) == pytest.approx(0.25)


def test_a_bend_has_an_inside() -> None:
    for formula in (bends.outside_length, bends.inside_length, bends.chord):
        with pytest.raises(OutOfRange) as refused:
            formula(0.021, 0.042, 1.0)
        assert refused.value.name == "bend_radius"
    with pytest.raises(OutOfRange):
        bends.outside_wall(0.0015, 0.02, 0.042)
    with pytest.raises(OutOfRange) as refused:
        bends.kerf_angle(0.004, 0.024, 0.042)
    assert refused.value.name == "kerf"
    assert asin(0.0029 / 0.003) == pytest.approx(bends.kerf_angle(0.0029, 0.024, 0.042))
