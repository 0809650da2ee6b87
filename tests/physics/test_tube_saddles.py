"""Ends of tubes against geometry in space: cylinders and planes solved by scipy, closed forms, rules."""

from __future__ import annotations

from functools import partial
from math import asin, cos, degrees, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipe

from buildlog.diagnostics import OutOfRange
from buildlog.physics import tube_saddles as saddles


def branch_place(radius: float, angle: float, offset: float, station: float, along: float) -> Any:
    """A place of a branch: the main tube lies along x, the branch leans towards +x, its station 90° to -y."""
    axis = np.array([cos(angle), 0, sin(angle)])
    acute, beside = np.array([sin(angle), 0, -cos(angle)]), np.array([0.0, -1, 0])
    return along * axis + radius * cos(station) * acute + (offset + radius * sin(station)) * beside


@given(
    radius=st.floats(0.01, 0.03),
    angle=st.floats(radians(20), pi / 2),
    offset=st.floats(-0.01, 0.01),
    station=st.floats(0, 2 * pi),
)
def test_a_saddle_meets_the_main_tube(radius: float, angle: float, offset: float, station: float) -> None:
    """Found along the wall by Brent's method, on the outer side."""
    main = 0.041

    def outside(along: float) -> float:
        _, y, z = branch_place(radius, angle, offset, station, along)
        return float(y**2 + z**2 - main**2)

    # Where the wall is nearest to the main's axis it is within; far out it is without.
    nearest = radius * cos(station) * cos(angle) / sin(angle)
    found = brentq(outside, nearest, nearest + 1.0, xtol=1e-15)
    distance = saddles.saddle_distance(main, radius, angle, offset, station)
    assert distance == pytest.approx(found, abs=1e-9)
    assert branch_place(radius, angle, offset, station, distance)[2] >= -1e-12


def test_equal_tubes_at_a_right_angle_meet_in_two_planes() -> None:
    """Of two equal cylinders the curves are ellipses: heights r |cos φ|, each half as long as a mitre's at
    45°."""
    for count in range(24):
        station = 2 * pi * count / 24
        distance = saddles.saddle_distance(0.03, 0.03, pi / 2, 0.0, station)
        assert distance == pytest.approx(0.03 * abs(cos(station)), abs=1e-12)
    heights = saddles.profile(lambda station: 0.1 - 0.03 * abs(cos(station)))
    # An ellipse with the half axes r √2 and r: 4 a E(e²), e² = 1/2 (scipy.special.ellipe).
    assert saddles.cut_length(heights, diameter=0.06) == pytest.approx(
        4 * 0.03 * sqrt(2) * ellipe(0.5), rel=2e-5
    )
    assert saddles.cut_depth(heights) == pytest.approx(0.03, rel=1e-12)


def test_a_thin_tube_meets_a_wide_one_as_it_meets_a_plane() -> None:
    for count in range(12):
        station = 2 * pi * count / 12
        saddle = 1000 - (
            saddles.saddle_distance(1000.0, 0.02, radians(50), 0.0, station) * sin(radians(50)) - 0
        )
        mitre = saddles.mitre_height(1.0, 0.02, radians(50), station)
        assert saddle / sin(radians(50)) == pytest.approx(mitre - 1.0, abs=1e-6)


def test_a_mitre_is_a_sine_curve_as_long_as_an_ellipse() -> None:
    """In space each place lies on the plane; laid flat the curve is as long as the ellipse there."""
    radius, angle = 0.04, radians(60)
    heights = [saddles.mitre_height(0.1, radius, angle, 2 * pi * count / 36) for count in range(37)]
    for count, height in enumerate(heights):
        station = 2 * pi * count / 36
        assert height == pytest.approx(0.1 - radius * cos(station) * tan(radians(30)), rel=1e-12)
    curve = partial(saddles.mitre_height, 0.1, radius, angle)
    major = radius / sin(angle)
    assert saddles.cut_length(saddles.profile(curve), diameter=0.08) == pytest.approx(
        4 * major * ellipe(1 - (radius / major) ** 2), rel=2e-5
    )
    assert saddles.mean_height(saddles.profile(curve)) == pytest.approx(0.1, rel=1e-12)
    assert saddles.mitre_height(0.1, radius, pi / 2, 1.0) == pytest.approx(0.1, rel=1e-12)


# --- segmented bends -------------------------------------------------------------------------------


# Common practice, no source: the end pieces of an elbow are half of a middle one, so that the cut of four
# pieces through a right angle is 90°/6 = 15°, of five 11.25°.
@pytest.mark.parametrize(("pieces", "cut"), [(2, 45.0), (3, 22.5), (4, 15.0), (5, 11.25), (6, 9.0), (7, 7.5)])
def test_the_cuts_of_a_right_angled_bend(pieces: int, cut: float) -> None:
    assert degrees(saddles.mitre_angle(pi / 2, pieces)) == pytest.approx(cut, rel=1e-12)


@pytest.mark.parametrize(("angle", "pieces"), [(90, 5), (60, 3), (180, 7), (45, 2)])
def test_pieces_put_one_behind_the_other_make_the_bend(angle: float, pieces: int) -> None:
    """Each piece in space, turned by twice the cut: its cut lies on the plane between it and the next, which
    goes through the middle of the bend; the last one ends square at the bend's angle."""
    bend, radius, turn = 0.114, 0.038, radians(angle)
    mitre = saddles.mitre_angle(turn, pieces)
    heights = {
        station: saddles.half_segment_height(bend, radius, mitre, station)
        for station in np.linspace(0, 2 * pi, 25)
    }
    for station, height in heights.items():
        # The half piece begins square at angle 0 about the bend's middle; its cut is at the mitre's.
        inwards, up = bend - radius * cos(station), height
        assert np.arctan2(up, inwards) == pytest.approx(mitre, rel=1e-12)
    assert 2 * (pieces - 1) * mitre == pytest.approx(turn, rel=1e-12)
    # Neighbours meet in one curve: the second is the first in the mirror of that plane, at each station.
    assert heights[0.0] == pytest.approx((bend - radius) * tan(mitre), rel=1e-12)
    assert saddles.middle_length(bend, mitre, pieces) == pytest.approx(
        2 * (pieces - 1) * np.mean([heights[s] for s in list(heights)[:-1]]), rel=1e-12
    )


def test_many_pieces_are_a_smooth_bend() -> None:
    """The length of its axes goes to the arc's, and the wall's area to Guldin's, 2 π r · R θ."""
    mitre = saddles.mitre_angle(pi / 2, 400)
    assert saddles.middle_length(0.1, mitre, 400) == pytest.approx(0.1 * pi / 2, rel=2e-6)


# --- holes -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "offset"), [(90, 0.0), (60, 0.0), (60, 0.006), (90, -0.008)])
def test_the_hole_wrapped_round_the_main_tube_is_where_the_branch_is(angle: float, offset: float) -> None:
    """Seen from outside: along x to the right, round the tube upwards on the paper is +y at its top."""
    main, radius, lean = 0.03, 0.018, radians(angle)
    for count, (along, round_main) in enumerate(saddles.hole(main, radius, lean, offset, points=48).points):
        station = 2 * pi * count / 48
        wrapped = np.array([along, main * sin(round_main / main), main * cos(round_main / main)])
        distance = saddles.saddle_distance(main, radius, lean, offset, station)
        assert wrapped == pytest.approx(branch_place(radius, lean, offset, station, distance), abs=1e-12)


def test_the_strip_wrapped_round_the_branch_is_where_the_main_tube_is() -> None:
    """The paper's printed side outside: from station 0°, with the cut upwards, stations go to the right."""
    lean = radians(60)
    axis, acute = np.array([cos(lean), 0, sin(lean)]), np.array([sin(lean), 0, -cos(lean)])
    to_the_right = np.cross(-acute, -axis)  # one looks along -acute; towards the cut is -axis
    quarter = branch_place(0.02, lean, 0.0, pi / 2, 0.0)
    assert quarter @ to_the_right == pytest.approx(0.02, rel=1e-12)


def test_a_round_hole_at_a_right_angle() -> None:
    """As long as the branch is wide, and 2 R arcsin(r/R) round the tube."""
    edge = saddles.hole(0.03, 0.02, pi / 2, 0.0).points
    assert max(x for x, _ in edge) - min(x for x, _ in edge) == pytest.approx(0.04, rel=1e-9)
    assert max(y for _, y in edge) - min(y for _, y in edge) == pytest.approx(0.06 * asin(2 / 3), rel=1e-9)


def test_a_cut_is_as_long_as_the_curve_in_space() -> None:
    """Laid flat and in space, by scipy's integral of the speed along it."""
    main, radius, lean = 0.03, 0.018, radians(60)

    def place(station: float) -> Any:
        distance = saddles.saddle_distance(main, radius, lean, 0.004, station)
        return branch_place(radius, lean, 0.004, station, distance)

    def speed(station: float) -> float:
        return float(np.linalg.norm(place(station + 1e-6) - place(station - 1e-6)) / 2e-6)

    length = quad(speed, 0, 2 * pi, epsabs=1e-9, limit=200)[0]
    heights = saddles.profile(lambda at: 0.1 - saddles.saddle_distance(main, radius, lean, 0.004, at))
    assert saddles.cut_length(heights, diameter=2 * radius) == pytest.approx(length, rel=3e-5)


@pytest.mark.parametrize("offset", [0.0101, -0.0101])
def test_a_branch_that_hangs_over_is_refused(offset: float) -> None:
    with pytest.raises(OutOfRange) as refused:
        saddles.saddle_distance(0.03, 0.02, pi / 2, offset, 0.0)
    assert refused.value.name == "offset"
