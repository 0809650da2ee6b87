"""Ends of tubes cut to fit: on a plane (a mitre), on another tube (a saddle), and a segmented bend's pieces.

The curve is told round the tube by an angle, the station, which is 0 where the tube is shortest; heights are
measured along the tube from its square end.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import asin, cos, hypot, pi, sin, sqrt, tan
from typing import Annotated

from buildlog.physics.declared import Variable, Within, difference_of, product_of, sum_of
from buildlog.physics.developed_surfaces import Outline
from buildlog.physics.limits import not_negative, positive, within

Curve = Callable[[float], float]
"""The height of the cut by the station."""

ROUND = 360
"""How many chords a curve round a tube is measured by."""


def girth(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "U_d", "m"]:
    """Length of a strip that goes once round a tube.

    Formula: U_d = π d. Symbols: d diameter that it lies on (m), U_d length round the tube (m).
    Range: d positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    return pi * diameter


station_mark = product_of(
    "station_mark",
    "Where a station is marked along the strip, from the shortest side of the tube on.",
    girth=Variable("U_d", "m", "length round the tube", positive),
    share=Variable("k_s", "1", "share of the whole turn", Within(0, 1)),
    gives=Variable("x_s", "m", "distance along the strip"),
    source="geometry",
)


def mitre_height(
    length: Annotated[float, "L", "m"],
    radius: Annotated[float, "r", "m"],
    angle: Annotated[float, "α", "rad"],
    station: Annotated[float, "φ", "rad"],
) -> Annotated[float, "h", "m"]:
    """Height of a tube that is cut by a plane, round the tube: a sine curve.

    Formula: h = L - r cos φ / tan α. Symbols: L length of the tube on its axis (m), r radius that is marked
    on (m), α angle between the tube's axis and the plane (rad), φ station (rad), h height there (m).
    Range: L and r positive, α 10° to 90°. Errors: `OutOfRange`. Source: geometry.
    """
    positive("length", length)
    positive("radius", radius)
    within("angle", angle, low=pi / 18, high=pi / 2, why="flatter ones are no joint")
    return length - radius * cos(station) / tan(angle)


def saddle_distance(
    main_radius: Annotated[float, "R_m", "m"],
    radius: Annotated[float, "r", "m"],
    angle: Annotated[float, "α", "rad"],
    offset: Annotated[float, "e", "m"],
    station: Annotated[float, "φ", "rad"],
) -> Annotated[float, "s_m", "m"]:
    """How far along a branch's axis, from beside the axis of the main tube, its wall meets that tube.

    Formula: s_m = (sqrt(R_m² - (e + r sin φ)²) + r cos φ cos α) / sin α. Symbols: R_m outer radius of the
    main tube (m), r radius of the branch that is marked on (m), α angle between the axes (rad), e distance of
    the axes from each other (m), φ station (rad), aside how far from the main's axis, sideways (m), s_m
    distance along the branch (m).
    Range: R_m and r positive, α 10° to 90°; e and r together up to R_m. Errors: `OutOfRange`. Source:
    geometry of two cylinders.
    """
    positive("main_radius", main_radius)
    positive("radius", radius)
    within("angle", angle, low=pi / 18, high=pi / 2, why="flatter ones are no joint")
    within(
        "offset",
        abs(offset),
        high=main_radius * (1 + 1e-12) - radius,
        why="all of the branch meets the main tube",
    )
    aside = offset + radius * sin(station)
    # Of equal tubes the root is of nothing, and may come out a last bit below.
    return (sqrt(max(main_radius**2 - aside**2, 0)) + radius * cos(station) * cos(angle)) / sin(angle)


height_left = difference_of(
    "height_left",
    "Height of a branch's wall from its square end to where it meets the main tube.",
    length=Variable(
        "L", "m", "length of the branch, from its square end to beside the main's axis", positive
    ),
    saddle_distance=Variable("s_m", "m", "distance along the branch to where it meets the main tube"),
    gives=Variable("h", "m", "height there"),
    source="geometry",
)


def mitre_angle(
    angle: Annotated[float, "θ", "rad"],
    segments: Annotated[float, "n", "1"],
) -> Annotated[float, "α_m", "rad"]:
    """Angle of a segmented bend's cuts to square: its two end pieces are halves of those between.

    Formula: α_m = θ / (2 (n - 1)). Symbols: θ angle of the bend (rad), n pieces, with both ends (1), α_m
    angle of each cut to square (rad).
    Range: θ 1° to 180°, n 2 or more. Errors: `OutOfRange`. Source: geometry.
    """
    within("angle", angle, low=pi / 180, high=pi, why="a bend is no more than back")
    within("segments", segments, low=2, why="a joint has two sides")
    return angle / (2 * (segments - 1))


def half_segment_height(
    bend_radius: Annotated[float, "R_b", "m"],
    radius: Annotated[float, "r", "m"],
    mitre_angle: Annotated[float, "α_m", "rad"],
    station: Annotated[float, "φ", "rad"],
) -> Annotated[float, "h", "m"]:
    """Height of half a segment of a bend, from its middle to the cut; 0 is the throat.

    Formula: h = (R_b - r cos φ) tan α_m. Symbols: R_b radius of the bend on its centre line (m), r radius of
    the tube that is marked on (m), α_m angle of the cut to square (rad), φ station (rad), h height there (m).
    Range: R_b and r positive, α_m 0.1° to 60°, r up to R_b. Errors: `OutOfRange`. Source: geometry.
    """
    positive("bend_radius", bend_radius)
    positive("radius", radius)
    within("mitre_angle", mitre_angle, low=pi / 1800, high=pi / 3, why="flatter cuts are no bend")
    within("radius", radius, high=bend_radius, why="the throat has a length")
    return (bend_radius - radius * cos(station)) * tan(mitre_angle)


twice = product_of(
    "twice",
    "A whole piece, of its half.",
    half=Variable("h", "m", "height of the half", positive),
    times=Variable("k_2", "1", "halves", positive),
    gives=Variable("h_2", "m", "height of the whole"),
    source="geometry",
)


def middle_length(
    bend_radius: Annotated[float, "R_b", "m"],
    mitre_angle: Annotated[float, "α_m", "rad"],
    segments: Annotated[float, "n", "1"],
) -> Annotated[float, "L_b", "m"]:
    """Length of a segmented bend along the axes of its pieces.

    Formula: L_b = 2 (n - 1) R_b tan α_m. Symbols: R_b radius of the bend (m), α_m angle of each cut to square
    (rad), n pieces, with both ends (1), L_b length along the axes (m).
    Range: R_b positive, α_m 0.1° to 60°, n 2 or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("bend_radius", bend_radius)
    within("mitre_angle", mitre_angle, low=pi / 1800, high=pi / 3, why="flatter cuts are no bend")
    within("segments", segments, low=2, why="a joint has two sides")
    return 2 * (segments - 1) * bend_radius * tan(mitre_angle)


wall_area = product_of(
    "wall_area",
    "Wall of a tube with slanting ends: once round, times its length on the axis.",
    girth=Variable("U_n", "m", "length round its neutral surface", positive),
    length=Variable("L", "m", "length on the axis", positive),
    gives=Variable("A", "m²", "area of the surface"),
    source="Guldin's rule: the means of the heights of a sine curve are that on the axis",
)


@dataclass(frozen=True)
class Profile:
    """The heights of a cut once round the tube, the first again at the end."""

    heights: tuple[float, ...]


def profile(curve: Curve) -> Profile:
    """The heights of a cut at places all round the tube. Source: none is wanted."""
    return Profile(tuple(curve(2 * pi * count / ROUND) for count in range(ROUND + 1)))


def cut_depth(round_tube: Profile) -> Annotated[float, "Δh", "m"]:
    """Depth of a cut: its highest place over its lowest.

    In words: looked up round the curve.
    Formula: Δh = max h - min h. Symbols: h height of the cut (m), Δh depth of the cut (m).
    Range: any curve. Source: definition.
    """
    return max(round_tube.heights) - min(round_tube.heights)


def cut_length(round_tube: Profile, /, diameter: Annotated[float, "d", "m"]) -> Annotated[float, "l_c", "m"]:
    """Length of a cut edge.

    In words: chords round the curve are added up.
    Formula: l_c = ∫ sqrt((d / 2)² + h′²) dφ. Symbols: d diameter that it lies on (m), φ station (rad), h′ how
    the height changes with it (m), l_c length of the cut (m).
    Range: d positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    step = pi * diameter / ROUND
    return sum(hypot(step, after - before) for before, after in pairwise(round_tube.heights))


def mean_height(round_tube: Profile) -> Annotated[float, "L_m", "m"]:
    """Mean height of a tube whose end is cut by a curve.

    In words: averaged round the tube.
    Formula: L_m = ∫ h dφ / (2 π). Symbols: h height of the cut (m), φ station (rad), L_m mean height (m).
    Range: any curve. Source: definition.
    """
    return sum(round_tube.heights[:-1]) / ROUND


def lower_of(
    outside_height: Annotated[float, "h_o", "m"],
    inside_height: Annotated[float, "h_i", "m"],
) -> Annotated[float, "h_c", "m"]:
    """Height of a cut square through the wall: where the first of its two edges touches.

    Formula: h_c = min(h_o, h_i). Symbols: h_o height at the outside of the wall (m), h_i height at its inside
    (m), h_c height of the cut (m).
    Range: any. Source: geometry.
    """
    return min(outside_height, inside_height)


def hole(main_radius: float, radius: float, angle: float, offset: float, points: int = ROUND) -> Outline:
    """The edge of the hole in the main tube laid flat and seen from outside: along its axis, station 0° to
    the right, and round it, station 90° downwards. Source: geometry of two cylinders.
    """
    found = []
    for count in range(points):
        station = 2 * pi * count / points
        along = saddle_distance(main_radius, radius, angle, offset, station)
        # At the side of an equal tube the sine may come out a last bit beyond 1.
        aside = max(-1.0, min(1.0, (offset + radius * sin(station)) / main_radius))
        found.append((along * cos(angle) + radius * cos(station) * sin(angle), -main_radius * asin(aside)))
    return Outline(tuple(found))


with_straight = sum_of(
    "with_straight",
    "Length of a piece with the straight length that is added to it.",
    half=Variable("L_1", "m", "length of the piece without it", positive),
    end_length=Variable("L_2", "m", "straight length", not_negative),
    gives=Variable("L_12", "m", "length with it"),
    source="geometry",
)

strip_area = product_of(
    "strip_area",
    "Sheet in a lap that is as long as its seam.",
    strip_length=Variable("L_s", "m", "length of the seam", positive),
    lap=Variable("l", "m", "width of the lap", not_negative),
    gives=Variable("A_l", "m²", "area of the lap"),
    source="geometry",
)
