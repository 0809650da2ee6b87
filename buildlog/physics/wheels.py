"""Wheels: where lips and sidewalls move when width, offset or tyre change.

Rim width is measured between the bead seats, offset (ET) from the rim's centre line to the hub face, positive
where the hub face lies outboard of it (ISO 3911, as makers' and the trade's pages define them).
"""

from __future__ import annotations

from math import cos, pi, sin
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, sum_of
from buildlog.physics.limits import positive, within

# Rim over section width, by least aspect ratio in percent. Measuring rims: ISO 4000-1 (held to a printed
# list of twelve sizes in the tests, read; shares of other series from memory). Narrowest and widest: made to
# agree with the Standards Manual's approved rims (narrowest of the 80 series read, the others from memory).
_MEASURING = ((75, 0.70), (60, 0.75), (50, 0.80), (45, 0.85), (20, 0.90))
_NARROWEST = ((70, 0.65), (50, 0.70), (45, 0.80), (35, 0.85))
_WIDEST = ((70, 0.85), (50, 0.90), (45, 0.95), (35, 1.00))
_HALF_INCH = 0.0127


def outer_lip_movement(
    width_change: Annotated[float, "ΔW", "m"],
    offset_change: Annotated[float, "ΔE", "m"],
) -> Annotated[float, "x_o", "m"]:
    """How far the outer lip moves outwards.

    Formula: x_o = ΔW / 2 - ΔE. Symbols: ΔW change of rim width (m), ΔE change of offset (m), x_o movement
    away from the car (m).
    Range: changes up to 0.2 m. Errors: `OutOfRange`. Source: geometry of ISO 3911.
    """
    within("width_change", width_change, -0.2, 0.2)
    within("offset_change", offset_change, -0.2, 0.2)
    return width_change / 2 - offset_change


def inner_lip_movement(
    width_change: Annotated[float, "ΔW", "m"],
    offset_change: Annotated[float, "ΔE", "m"],
) -> Annotated[float, "x_i", "m"]:
    """How far the inner lip moves inwards.

    Formula: x_i = ΔW / 2 + ΔE. Symbols: ΔW change of rim width (m), ΔE change of offset (m), x_i movement
    towards the suspension (m).
    Range: changes up to 0.2 m. Errors: `OutOfRange`. Source: geometry of ISO 3911.
    """
    within("width_change", width_change, -0.2, 0.2)
    within("offset_change", offset_change, -0.2, 0.2)
    return width_change / 2 + offset_change


def track_change(offset_change: Annotated[float, "ΔE", "m"]) -> Annotated[float, "Δt", "m"]:
    """Change of the track when both wheels of an axle change alike.

    Formula: Δt = -2 ΔE. Symbols: ΔE change of offset (m), Δt change of track (m).
    Range: changes up to 0.2 m. Errors: `OutOfRange`. Source: geometry.
    """
    within("offset_change", offset_change, -0.2, 0.2)
    return -2 * offset_change


difference = difference_of(
    "difference",
    "Change of a length.",
    after=Variable("a", "m", "length after"),
    before=Variable("b", "m", "length before"),
    gives=Variable("Δ", "m", "change"),
    source="arithmetic",
)


def _standard_rim(section_width: float, aspect_ratio: float, shares: tuple[tuple[int, float], ...]) -> float:
    """Share of the section width, by aspect ratio, to the nearest half inch."""
    positive("section_width", section_width)
    within(
        "aspect_ratio",
        aspect_ratio,
        low=shares[-1][0] / 100,
        high=1.0,
        why="no share is known for other tyres",
    )
    share = next(share for least, share in shares if aspect_ratio * 100 >= least - 1e-6)
    return round(share * section_width / _HALF_INCH) * _HALF_INCH


def measuring_rim(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "h", "1"],
) -> Annotated[float, "R_m", "m"]:
    """Rim on which a tyre's section width is measured.

    Formula: R_m = K S, to the nearest half inch; K = 0.70 for an aspect ratio of 0.75 and more, 0.75 to
    0.60, 0.80 to 0.50, 0.85 at 0.45, 0.90 below. Symbols: S nominal section width (m), h aspect ratio (1),
    K rim over section width (1), R_m width of the measuring rim (m).
    In words: looked up by aspect ratio.
    Range: h 0.2 to 1. Errors: `OutOfRange`. Source: ISO 4000-1 (from memory).
    """
    return _standard_rim(section_width, aspect_ratio, _MEASURING)


def narrowest_rim(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "h", "1"],
) -> Annotated[float, "R_n", "m"]:
    """Narrowest rim that a tyre may usually sit on; its maker's card rules.

    Formula: R_n = K S, to the nearest half inch; K = 0.65 for an aspect ratio of 0.70 and more, 0.70 to
    0.50, 0.80 at 0.45, 0.85 to 0.35. Symbols: S nominal section width (m), h aspect ratio (1), K rim over
    section width (1), R_n width of the rim (m).
    In words: looked up by aspect ratio.
    Range: h 0.35 to 1. Errors: `OutOfRange`. Source: shares made to agree with the approved rims of the
    ETRTO Standards Manual (80 series read, others from memory).
    """
    return _standard_rim(section_width, aspect_ratio, _NARROWEST)


def widest_rim(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "h", "1"],
) -> Annotated[float, "R_w", "m"]:
    """Widest rim that a tyre may usually sit on; its maker's card rules.

    Formula: R_w = K S, to the nearest half inch; K = 0.85 for an aspect ratio of 0.70 and more, 0.90 to
    0.50, 0.95 at 0.45, 1.00 to 0.35. Symbols: S nominal section width (m), h aspect ratio (1), K rim over
    section width (1), R_w width of the rim (m).
    In words: looked up by aspect ratio.
    Range: h 0.35 to 1. Errors: `OutOfRange`. Source: as `narrowest_rim`.
    """
    return _standard_rim(section_width, aspect_ratio, _WIDEST)


def theoretical_rim(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "h", "1"],
) -> Annotated[float, "R_t", "m"]:
    """Rim on which a tyre would be as wide as its designation says.

    Formula: R_t = 0.70 S from an aspect ratio of 0.50 up, 0.85 S below. Symbols: S nominal section width
    (m), h aspect ratio (1), R_t width of the rim (m). It is no rim that is made: on its measuring rim, which
    is a whole or half inch and mostly wider, a 205/60R15 is 209 mm wide.
    Range: h 0.2 to 1. Errors: `OutOfRange`.
    Source: UN Regulation No. 30, 6.1.1.1, leaves the factor to the maker; 0.70 and 0.85 are the usual ones
    (common practice, no source).
    """
    positive("section_width", section_width)
    within("aspect_ratio", aspect_ratio, 0.2, 1.0)
    if aspect_ratio >= 0.475:
        return 0.70 * section_width
    return 0.85 * section_width


def mounted_section_width(
    section_width: Annotated[float, "S", "m"],
    rim_width: Annotated[float, "R", "m"],
    theoretical_rim: Annotated[float, "R_t", "m"],
) -> Annotated[float, "S_R", "m"]:
    """Section width of a tyre on a rim.

    Formula: S_R = S + 0.4 (R - R_t). Symbols: S nominal section width (m), R rim width (m), R_t theoretical
    rim (m), S_R section width as mounted (m). Half an inch of rim is 5 mm of tyre.
    Range: rims from 0.05 m narrower to 0.11 m wider than the theoretical rim. Errors: `OutOfRange`.
    Source: UN Regulation No. 30, 6.1.1.1: S = S1 + K (A - A1), K = 0.4, there for the measuring rim.
    """
    positive("section_width", section_width)
    if not -0.05 <= rim_width - theoretical_rim <= 0.11:
        raise OutOfRange(
            "rim_width",
            f"{(rim_width - theoretical_rim) * 1000:+.0f} mm against the theoretical rim",
            "from 50 mm narrower to 110 mm wider",
            help="no tyre of this size sits on such a rim",
        )
    return section_width + 0.4 * (rim_width - theoretical_rim)


def movement_across(
    along_axle: Annotated[float, "x", "m"],
    along_radius: Annotated[float, "r", "m"],
    angle: Annotated[float, "φ", "rad"],
) -> Annotated[float, "x_φ", "m"]:
    """How far a point of the wheel comes nearer across a gap that is neither along the axle nor square to it.

    Formula: x_φ = x cos φ + r sin φ. Symbols: x movement along the axle (m), r growth of the radius (m), φ
    angle between the gap and the axle (rad), x_φ movement across the gap (m). At a steering angle, for a gap
    taken straight across the car to the edge of the wheel level with the hub, φ is that angle.
    Range: φ from 0 to a right angle. Errors: `OutOfRange`. Source: geometry.
    """
    within("angle", angle, 0, pi / 2)
    return along_axle * cos(angle) + along_radius * sin(angle)


net_offset = difference_of(
    "net_offset",
    "Offset of a wheel with a spacer behind it.",
    offset=Variable("E", "m", "offset of the wheel"),
    spacer=Variable("s", "m", "thickness of the spacer"),
    gives=Variable("E_n", "m", "offset that counts"),
    source="geometry",
)


def inner_side_from_hub_face(
    section_width: Annotated[float, "S", "m"],
    net_offset: Annotated[float, "E_n", "m"],
) -> Annotated[float, "b_i", "m"]:
    """How far inboard of the hub face the inner sidewall reaches.

    Formula: b_i = S / 2 + E_n. Symbols: S section width as mounted (m), E_n offset with the spacer taken off
    (m), b_i reach inboard (m).
    Range: S positive, E_n up to 0.2 m either way. Errors: `OutOfRange`. Source: geometry of ISO 3911 (from
    memory).
    """
    positive("section_width", section_width)
    within("net_offset", net_offset, -0.2, 0.2)
    return section_width / 2 + net_offset


def outer_side_from_hub_face(
    section_width: Annotated[float, "S", "m"],
    net_offset: Annotated[float, "E_n", "m"],
) -> Annotated[float, "b_o", "m"]:
    """How far outboard of the hub face the outer sidewall reaches.

    Formula: b_o = S / 2 - E_n. Symbols: S section width as mounted (m), E_n offset with the spacer taken off
    (m), b_o reach outboard (m).
    Range: S positive, E_n up to 0.2 m either way. Errors: `OutOfRange`. Source: geometry of ISO 3911 (from
    memory).
    """
    positive("section_width", section_width)
    within("net_offset", net_offset, -0.2, 0.2)
    return section_width / 2 - net_offset


def outward_by_camber(
    height: Annotated[float, "h", "m"],
    camber: Annotated[float, "γ", "rad"],
    standard_camber: Annotated[float, "γ_0", "rad"],
) -> Annotated[float, "x_γ", "m"]:
    """How far a point of the wheel above the hub moves outwards when the camber changes.

    Formula: x_γ = h (sin γ - sin γ_0). Symbols: h height of the point above the hub, below it negative (m), γ
    and γ_0 camber now and as standard (rad), x_γ movement outwards (m). The wheel is taken to turn about the
    middle of its hub, along a line from the front to the rear.
    Range: cambers up to 10° either way, |h| up to 0.5 m. Errors: `OutOfRange`. Source: plane geometry; the
    sign of camber as ISO 8855 has it, positive where the top leans outwards (from memory).
    """
    within("height", height, -0.5, 0.5)
    within("camber", camber, -pi / 18 - 1e-9, pi / 18 + 1e-9)
    within("standard_camber", standard_camber, -pi / 18 - 1e-9, pi / 18 + 1e-9)
    return height * (sin(camber) - sin(standard_camber))


nearer = difference_of(
    "nearer",
    "Movement towards the car: the wheel's own, less what camber takes outwards.",
    inwards=Variable("x_i", "m", "movement inwards"),
    outwards=Variable("x_γ", "m", "movement outwards by camber"),
    gives=Variable("x", "m", "movement towards the car"),
    source="arithmetic",
)

farther = sum_of(
    "farther",
    "Movement away from the car: the wheel's own, and what camber adds.",
    own=Variable("x_o", "m", "movement outwards"),
    by_camber=Variable("x_γ", "m", "movement outwards by camber"),
    gives=Variable("x", "m", "movement away from the car"),
    source="arithmetic",
)

clearance_left = difference_of(
    "clearance_left",
    "What is left of a measured clearance; below zero it touches.",
    clearance=Variable("c_0", "m", "clearance as measured before"),
    movement=Variable("x", "m", "movement towards the part"),
    gives=Variable("c", "m", "clearance left"),
    source="arithmetic",
)
