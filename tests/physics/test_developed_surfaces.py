"""Surfaces laid flat against those in space, by other ways: closed forms, scipy's integrals, triangles."""

from __future__ import annotations

from itertools import pairwise
from math import cos, degrees, dist, hypot, pi, sin, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.spatial import ConvexHull
from scipy.special import ellipe

from buildlog.physics import developed_surfaces as surfaces
from buildlog.physics.developed_surfaces import End, Laid, bend_angle, laid

DIVISIONS = 16


def circle(diameter: float) -> End:
    return End(width=diameter, height=diameter, corner_radius=diameter / 2)


# In metres: the first end, the second, offset, length.
PIECES: dict[str, tuple[End, End, float, float]] = {
    "cone": (circle(0.2), circle(0.1), 0.0, 0.15),
    "offset cone": (circle(0.11), circle(0.076), 0.03, 0.08),
    "rectangle to round": (End(width=0.12, height=0.07), circle(0.076), 0.0, 0.09),
    "rectangle to round, offset": (End(width=0.12, height=0.07), circle(0.076), 0.05, 0.04),
    "rounded rectangle": (End(width=0.12, height=0.07, corner_radius=0.01), circle(0.076), -0.02, 0.09),
    "flat oval": (End(width=0.11, height=0.06, corner_radius=0.03), circle(0.08), 0.02, 0.1),
    "upright flat oval": (End(width=0.06, height=0.11, corner_radius=0.03), circle(0.08), 0.0, 0.1),
    "ellipse": (End(width=0.11, height=0.06, is_ellipse=True), circle(0.08), 0.01, 0.1),
    "scoop": (End(width=0.16, height=0.09), End(width=0.12, height=0.07), 0.01, 0.06),
}


@pytest.fixture(params=PIECES)
def piece(request: Any) -> tuple[Laid, tuple[End, End, float, float]]:
    first, second, offset, length = PIECES[request.param]
    return laid(first, second, offset, length, DIVISIONS), PIECES[request.param]


def test_every_line_is_as_long_flat_as_in_space(piece: Any) -> None:
    half, _ = piece
    for ruling in half.rulings:
        assert dist(ruling.flat_first, ruling.flat_second) == pytest.approx(
            dist(ruling.first, ruling.second), rel=1e-12
        )


def test_edges_are_as_long_flat_as_in_space(piece: Any) -> None:
    """Step by step, and in all the perimeter, of an ellipse 4 a E(e²) by scipy.special.ellipe."""
    half, (first, second, *_) = piece
    for end, which in ((first, False), (second, True)):
        flat = half.edge(second=which)
        walked = sum(dist(one, other) for one, other in pairwise(flat))
        if end.is_ellipse:
            a, b = end.width / 2, end.height / 2
            perimeter = 4 * a * ellipe(1 - (b / a) ** 2)
        else:
            perimeter = 2 * (end.width + end.height) - (8 - 2 * pi) * end.corner_radius
        assert end.perimeter == pytest.approx(perimeter, rel=1e-9)
        # The chords of arcs are short by their sagittas, the worst of 0.02 mm.
        assert walked == pytest.approx(perimeter, rel=4e-4)
        assert walked <= perimeter * (1 + 1e-12)


def test_narrow_triangles_are_congruent_with_those_in_space(piece: Any) -> None:
    """A step is flat to the third order in its width: so is what a triangle of it differs by."""
    half, _ = piece
    for one, other in pairwise(half.rulings):
        for flat, space in (
            ((one.flat_first, other.flat_first), (one.first, other.first)),
            ((one.flat_second, other.flat_second), (one.second, other.second)),
            ((one.flat_first, other.flat_second), (one.first, other.second)),
            ((one.flat_second, other.flat_first), (one.second, other.first)),
        ):
            assert dist(*flat) == pytest.approx(dist(*space), abs=1.5e-6)


def in_space(piece: tuple[End, End, float, float], angle: float, share: float) -> Any:
    """A place of the surface's curved part, by the angle of the normal."""
    first, second, offset, length = piece
    quarter = 0 if angle <= pi / 2 else 1
    one = np.array([*first.at(angle, quarter), 0.0])
    other = np.array([*second.at(angle, quarter), length]) + np.array([offset, 0, 0])
    return one + share * (other - one)


def test_the_area_is_that_of_the_hull_of_both_ends(piece: Any) -> None:
    """The surface is the side of the convex body between the ends: by qhull, of 4,000 places of the edges."""
    half, (first, second, offset, length) = piece
    places = []
    for quarter in range(2):
        for angle in np.linspace(quarter * pi / 2, (quarter + 1) * pi / 2, 1000):
            for end, shift, level in ((first, 0.0, 0.0), (second, offset, length)):
                x, y = end.at(float(angle), quarter)
                places += [(x + shift, y, level), (x + shift, -y, level)]
    hull = ConvexHull(np.unique(np.round(np.array(places), 12), axis=0))
    triangles = hull.points[hull.simplices]
    areas = np.linalg.norm(
        np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1
    )
    is_end = np.ptp(triangles[:, :, 2], axis=1) < length / 2
    side = float(areas[~is_end].sum()) / 2
    assert 2 * half.area == pytest.approx(side, rel=3e-6)


@pytest.mark.parametrize("name", ["offset cone", "ellipse"])
def test_the_area_is_the_integral_over_the_surface(name: str) -> None:
    """∬ |∂p/∂θ × ∂p/∂s| by scipy, with derivatives by differences."""
    whole = PIECES[name]

    def element(share: float, angle: float) -> float:
        step = 1e-6
        along = (in_space(whole, angle + step, share) - in_space(whole, angle - step, share)) / (2 * step)
        up = in_space(whole, angle, 1.0) - in_space(whole, angle, 0.0)
        return float(np.linalg.norm(np.cross(along, up)))

    area = sum(
        dblquad(element, low + 2e-6, high - 2e-6, 0, 1, epsabs=1e-9)[0]
        for low, high in ((0.0, pi / 2), (pi / 2, pi))
    )
    half = laid(*whole, DIVISIONS)
    assert half.area == pytest.approx(area, rel=2e-5)


def test_a_shoelace_round_the_outline_finds_the_area(piece: Any) -> None:
    half, _ = piece
    outline = half.outline(0.0).points
    area = abs(sum(x * y_2 - x_2 * y for (x, y), (x_2, y_2) in pairwise((*outline, outline[0])))) / 2
    assert area == pytest.approx(2 * half.area, rel=3e-4)


def test_the_pattern_is_the_same_whichever_way_it_is_divided(piece: Any) -> None:
    half, whole = piece
    first, second, offset, length = whole
    finer = laid(first, second, offset, length, 64)
    for one, other in (
        (half.seam.flat_first, finer.seam.flat_first),
        (half.seam.flat_second, finer.seam.flat_second),
    ):
        assert one == pytest.approx(other, abs=3e-8)
    assert half.area == pytest.approx(finer.area, rel=1e-7)


# --- closed forms ------------------------------------------------------------------------------


def test_a_straight_cone_is_a_sector() -> None:
    """Both ends become arcs about one place; their angle is 2π times the sine of the half angle."""
    half = laid(*PIECES["cone"], DIVISIONS)
    slant = hypot(0.05, 0.15)
    large, small = slant * 0.2 / 0.1, slant * 0.1 / 0.1
    apex = (0.0, large)
    for ruling in half.rulings:
        assert dist(ruling.flat_first, apex) == pytest.approx(large, rel=1e-9)
        assert dist(ruling.flat_second, apex) == pytest.approx(small, rel=1e-9)
    x, y = half.seam.flat_first
    sector = 2 * pi * (0.05 / slant)
    assert (x, y) == pytest.approx((large * sin(sector / 2), large - large * cos(sector / 2)), abs=1e-9)
    assert surfaces.sector_angle(0.2, 0.1, slant) == pytest.approx(sector, rel=1e-12)
    assert surfaces.pattern_radius(0.2, slant, 0.2, 0.1) == pytest.approx(large, rel=1e-12)
    assert surfaces.slant_height(0.2, 0.1, 0.15) == pytest.approx(slant, rel=1e-15)
    # Guldin: the side's length times the way of its middle.
    assert 2 * half.area == pytest.approx(slant * 2 * pi * 0.075, rel=1e-10)


# “Cones”, a blacksmith's page of rules (anvilfire.com, 21st Century Blacksmithing, math/cones1.htm): a cone
# of 90° has a layout angle of .7071 × 360° = 254.6°.
def test_a_cone_of_a_right_angle() -> None:
    slant = surfaces.slant_height(0.2, 1e-9, 0.1)
    assert degrees(surfaces.sector_angle(0.2, 1e-9, slant)) == pytest.approx(254.6, abs=0.05)


# “The Net of a Frustum” (ceemrr.com, Geometry 2, Drawings and Nets 6): 5 in to 8 in, 4 in apart, has radii of
# 7.12 in and 11.39 in and 126.4°.
def test_a_frustum_between_two_ducts() -> None:
    slant = surfaces.slant_height(8, 5, 4)
    assert surfaces.pattern_radius(5, slant, 8, 5) == pytest.approx(7.12, abs=0.005)
    assert surfaces.pattern_radius(8, slant, 8, 5) == pytest.approx(11.39, abs=0.005)
    assert degrees(surfaces.sector_angle(8, 5, slant)) == pytest.approx(126.4, abs=0.05)


# Sheet Metal Drafting, E. M. Longfield, 1st ed. (McGraw-Hill, 1921), as Wikisource has it: § 43, p. 91, the
# area of a frustum is half the sum of its circumferences times its slant height; p. 128, that is the
# hypotenuse over the altitude and the difference of the radii, for 6″, 3″ and an altitude of 3″ over 1½″.
def test_a_funnel_of_a_pump() -> None:
    slant = surfaces.slant_height(6, 3, 3)
    assert slant == pytest.approx(hypot(3, 1.5), rel=1e-12)
    half = laid(circle(6), circle(3), 0.0, 3.0, DIVISIONS)
    assert 2 * half.area == pytest.approx((pi * 6 + pi * 3) / 2 * slant, rel=1e-9)


def test_an_offset_cone_has_the_angles_that_lines_from_its_apex_have() -> None:
    """Of an oblique cone: the apex from both ends, its flat angle by an integral over the base circle."""
    first, second, offset, length = PIECES["offset cone"]
    up = length * first.width / (first.width - second.width)
    apex = np.array([offset * first.width / (first.width - second.width), 0, up])

    def reach(angle: float) -> Any:
        return np.array([first.width / 2 * cos(angle), first.width / 2 * sin(angle), 0]) - apex

    def turning(angle: float) -> float:
        line = reach(angle)
        along = np.array([-first.width / 2 * sin(angle), first.width / 2 * cos(angle), 0])
        return float(np.linalg.norm(np.cross(line, along)) / (line @ line))

    flat_angle = quad(turning, 0, pi, epsabs=1e-12)[0]
    half = laid(*PIECES["offset cone"], DIVISIONS)
    flat_apex = (0.0, float(np.linalg.norm(reach(0.0))))
    (x, y) = half.seam.flat_first
    assert dist((x, y), flat_apex) == pytest.approx(float(np.linalg.norm(reach(pi))), rel=1e-8)
    assert np.arctan2(x, flat_apex[1] - y) == pytest.approx(flat_angle, rel=1e-8)


def test_a_quarter_between_a_corner_and_a_round_end_is_a_slanting_cone() -> None:
    """Its flat angle at the corner is the integral of the angle between near lines."""
    first, second, offset, length = PIECES["rectangle to round"]
    half = laid(first, second, offset, length, DIVISIONS)
    corner = np.array([0.06, 0.035, 0.0])

    def turning(angle: float) -> float:
        line = np.array([0.038 * cos(angle), 0.038 * sin(angle), length]) - corner
        along = 0.038 * np.array([-sin(angle), cos(angle), 0])
        return float(np.linalg.norm(np.cross(line, along)) / (line @ line))

    flat_angle = quad(turning, 0, pi / 2, epsabs=1e-12)[0]
    folds = [ruling for ruling in half.folds if ruling.key.startswith("A")]
    ways = [np.subtract(folds[end].flat_second, folds[end].flat_first) for end in (0, -1)]
    cosine = ways[0] @ ways[1] / np.linalg.norm(ways[0]) / np.linalg.norm(ways[1])
    assert np.arccos(cosine) == pytest.approx(flat_angle, rel=1e-8)
    assert len({ruling.flat_first for ruling in folds}) == 1, "the corner is one place"


def test_a_scoop_is_four_trapeziums() -> None:
    """Their heights by Pythagoras."""
    half = laid(End(width=0.16, height=0.09), End(width=0.12, height=0.07), 0.0, 0.06, DIVISIONS)
    sides = hypot(0.06, 0.02), hypot(0.06, 0.01)
    area = (0.09 + 0.07) * sides[0] + (0.16 + 0.12) * sides[1]
    assert 2 * half.area == pytest.approx(area, rel=1e-12)
    assert [ruling.key for ruling in half.folds] == ["A", "B"]
    # The angle along a hip between two faces, by their normals (60, 0, 20) and (0, 60, 10).
    normals = np.array([60, 0, 20]) / hypot(60, 20), np.array([0, 60, 10]) / hypot(60, 10)
    for fold in half.bends:
        assert bend_angle(fold) == pytest.approx(np.arccos(normals[0] @ normals[1]), rel=1e-12)


def test_a_tube_is_a_rectangle() -> None:
    half = laid(circle(0.1), circle(0.1), 0.0, 0.2, DIVISIONS)
    assert half.seam.flat_first == pytest.approx((pi * 0.05, 0.0), abs=1e-12)
    assert half.seam.flat_second == pytest.approx((pi * 0.05, 0.2), abs=1e-12)


# --- folded again --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in PIECES if name != "ellipse"])
def test_folded_along_its_lines_it_closes(name: str) -> None:
    """Faces of the folded shape, laid edge to edge and turned by the bend angles, come back to the mirror
    that they began at. Between an ellipse and a circle the faces are not quite flat."""
    half = laid(*PIECES[name], DIVISIONS)
    folds = half.bends
    lines = [half.rulings[0], *(fold.ruling for fold in folds if fold.ruling != half.rulings[0])]
    if half.seam != lines[-1]:
        lines.append(half.seam)
    angles = {id(fold.ruling): bend_angle(fold) for fold in folds}
    # Each face is laid flat by its own lengths in space, next to the one before.
    begin: Any = np.array([0.0, 0, 0])
    end: Any = np.array([0.0, dist(lines[0].first, lines[0].second), 0])
    normal = np.array([0.0, 0, 1])
    placed = [(begin, end)]
    for count, (one, other) in enumerate(pairwise(lines)):
        if count or half.rulings[0].fold:
            angle = angles[id(one)] / (1 if count else 2)
            normal = turned(normal, (end - begin) / np.linalg.norm(end - begin), angle)
        begin, end = laid_beside(begin, end, normal, one, other)
        placed.append((begin, end))
    # The whole is congruent with the shape in space: every two places are as far from each other.
    flat = [place for pair in placed for place in pair]
    space = [np.array(place) for line in lines for place in (line.first, line.second)]
    for i, (at, there) in enumerate(zip(flat, space, strict=True)):
        for beyond, across in zip(flat[:i], space[:i], strict=True):
            assert np.linalg.norm(at - beyond) == pytest.approx(np.linalg.norm(there - across), abs=1e-8)


def turned(vector: Any, axis: Any, angle: float) -> Any:
    return (
        vector * cos(angle)
        + np.cross(axis, vector) * sin(angle) * -1
        + axis * (axis @ vector) * (1 - cos(angle))
    )


def laid_beside(begin: Any, end: Any, normal: Any, one: Any, other: Any) -> tuple[Any, Any]:
    """The next line in the plane of a face, to the right of the line before, by lengths in space."""
    along = (end - begin) / np.linalg.norm(end - begin)
    right = np.cross(along, normal)
    found = []
    for place in (other.first, other.second):
        from_begin, from_end = dist(one.first, place), dist(one.second, place)
        reach = float(np.linalg.norm(end - begin))
        up = (from_begin**2 - from_end**2 + reach**2) / (2 * reach)
        across = sqrt(max(from_begin**2 - up**2, 0))
        found.append(begin + up * along + across * right)
    return found[0], found[1]


# --- laps and returns ------------------------------------------------------------------------------


def shoelace(outline: Any) -> float:
    return float(abs(sum(x * y_2 - x_2 * y for (x, y), (x_2, y_2) in pairwise((*outline, outline[0])))) / 2)


def test_a_lap_adds_its_trapezium() -> None:
    half = laid(*PIECES["scoop"], DIVISIONS)
    seam = dist(half.seam.first, half.seam.second)
    added = shoelace(half.outline(0.01).points) - shoelace(half.outline(0.0).points)
    assert added == pytest.approx(surfaces.lap_area(seam, 0.01), rel=1e-9)


@pytest.mark.parametrize(("mitred", "corners"), [(False, 0), (True, 4)])
def test_returns_add_a_strip_for_each_side(mitred: bool, corners: int) -> None:
    half = laid(*PIECES["scoop"], DIVISIONS)
    strip = half.return_points(0.012, mitred)
    added = shoelace(half.outline(0.0, strip).points) - shoelace(half.outline(0.0).points)
    assert added == pytest.approx(surfaces.returns_area(0.5, 0.012, corners), rel=1e-9)
