"""Points of curves in patterns: how far their chords leave the curve, against the curve itself."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import cos, hypot, pi, sin

import pytest

from buildlog.kinds.pattern import CHORD_ERROR, Point, arc_points, curve_points


def farthest(points: tuple[Point, ...], centre: Point, radius: float) -> float:
    """How far the middle of a chord lies inside of its circle, at the most."""
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(points)]
    return max(radius - hypot(x - centre[0], y - centre[1]) for x, y in middles)


@pytest.mark.parametrize("radius", [0.0005, 0.02, 0.4, 5.0])
@pytest.mark.parametrize(("start", "end"), [(0, 2 * pi), (1.0, 1.2), (pi, 0.0), (0.3, 0.3)])
def test_an_arc_ends_where_it_ends_and_its_chords_stay_near_it(
    radius: float, start: float, end: float
) -> None:
    points = arc_points((0.01, -0.02), radius, start, end)
    assert points[0] == pytest.approx((0.01 + radius * cos(start), -0.02 + radius * sin(start)), abs=1e-15)
    assert points[-1] == pytest.approx((0.01 + radius * cos(end), -0.02 + radius * sin(end)), abs=1e-15)
    assert all(hypot(x - 0.01, y + 0.02) == pytest.approx(radius, rel=1e-12) for x, y in points)
    assert farthest(points, (0.01, -0.02), radius) <= CHORD_ERROR * (1 + 1e-9)
    # And of no more points than that takes, but for the last.
    chords = max(len(points) - 1, 1)
    if chords > 2:
        fewer = abs(end - start) / (chords - 1)
        assert radius * (1 - cos(fewer / 2)) > CHORD_ERROR * (1 - 1e-9)


def test_an_arc_smaller_than_the_error_is_its_ends() -> None:
    assert len(arc_points((0, 0), 1e-6, 0, 1)) == 2


def wave(x: float) -> Point:
    return x, 0.03 * sin(x / 0.01)


def s_bend(x: float) -> Point:
    """Comes back to the middle of its chord, where it is the farthest from it a quarter away."""
    return x, 0.01 * sin(2 * pi * x / 0.1)


@pytest.mark.parametrize(("curve", "end"), [(wave, 0.4), (s_bend, 0.1), (s_bend, 0.05)])
@pytest.mark.parametrize("spans", [1, 16])
def test_the_chords_of_a_curve_stay_near_it(curve: Callable[[float], Point], end: float, spans: int) -> None:
    points = curve_points(curve, 0.0, end, spans)
    assert points[0] == curve(0.0)
    assert points[-1] == curve(end)
    for (x, y), (x_2, y_2) in pairwise(points):
        for step in range(1, 20):
            at = curve(x + (x_2 - x) * step / 20)
            slope = (y_2 - y) / (x_2 - x)
            beside = abs(at[1] - y - slope * (at[0] - x)) / hypot(1, slope)
            assert beside <= 1.15 * CHORD_ERROR


def test_a_straight_line_has_no_more_points_than_asked_for() -> None:
    assert len(curve_points(lambda x: (x, 2 * x), 0, 1, 1)) == 2
