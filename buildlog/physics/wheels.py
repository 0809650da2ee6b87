"""Wheels: where lips and sidewalls move when width, offset or tyre change.

Rim width is measured between the bead seats, offset (ET) from the rim's centre line to the hub face, positive
where the hub face lies outboard of it (ISO 3911; from memory).
"""

from __future__ import annotations

from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import positive, within

# Measuring rim over section width, by least aspect ratio in percent: ISO 4000-1 (from memory).
_MEASURING = ((75, 0.70), (60, 0.75), (50, 0.80), (45, 0.85), (20, 0.90))


def outer_lip_movement(
    width_change: Annotated[float, "ΔW", "m"],
    offset_change: Annotated[float, "ΔE", "m"],
) -> Annotated[float, "x_o", "m"]:
    """How far the outer lip moves outwards.

    Formula: x_o = ΔW / 2 - ΔE. Symbols: ΔW change of rim width (m), ΔE change of offset (m), x_o movement
    away from the car (m).
    Range: changes up to 0.2 m. Errors: `OutOfRange`. Source: geometry of ISO 3911 (from memory).
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
    Range: changes up to 0.2 m. Errors: `OutOfRange`. Source: geometry of ISO 3911 (from memory).
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


def difference(
    after: Annotated[float, "a", "m"],
    before: Annotated[float, "b", "m"],
) -> Annotated[float, "Δ", "m"]:
    """Change of a length.

    Formula: Δ = a - b. Symbols: a length after (m), b length before (m), Δ change (m). Range: any.
    Source: arithmetic.
    """
    return after - before


def measuring_rim(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "h", "1"],
) -> Annotated[float, "R_m", "m"]:
    """Rim on which a tyre's section width is stated.

    Formula: R_m = K S, to the nearest half inch; K = 0.70 for an aspect ratio of 0.75 and more, 0.75 to
    0.60, 0.80 to 0.50, 0.85 at 0.45, 0.90 below. Symbols: S nominal section width (m), h aspect ratio (1),
    K rim over section width (1), R_m width of the measuring rim (m).
    Range: h from 0.2. Errors: `OutOfRange`. Source: ISO 4000-1 (from memory).
    """
    positive("section_width", section_width)
    for least, share in _MEASURING:
        if aspect_ratio * 100 >= least - 1e-6:
            return round(share * section_width / 0.0254 * 2) / 2 * 0.0254
    raise OutOfRange("aspect_ratio", f"{aspect_ratio:g}", "0.2 or more")


def mounted_section_width(
    section_width: Annotated[float, "S", "m"],
    rim_width: Annotated[float, "R", "m"],
    measuring_rim: Annotated[float, "R_m", "m"],
) -> Annotated[float, "S_R", "m"]:
    """Section width of a tyre on another rim than the measuring rim.

    Formula: S_R = S + 0.4 (R - R_m). Symbols: S nominal section width (m), R rim width (m), R_m measuring
    rim (m), S_R section width as mounted (m).
    Range: rims within 0.08 m of the measuring rim. Errors: `OutOfRange`.
    Source: ISO 4000-1, design dimensions, factor 0.4 (from memory): about 5 mm for half an inch of rim.
    """
    positive("section_width", section_width)
    within("rim_width", rim_width - measuring_rim, -0.08, 0.08, "the rule holds near the measuring rim")
    return section_width + 0.4 * (rim_width - measuring_rim)


def clearance_left(
    clearance: Annotated[float, "c_0", "m"],
    movement: Annotated[float, "x", "m"],
) -> Annotated[float, "c", "m"]:
    """What is left of a measured clearance; below zero it touches.

    Formula: c = c_0 - x. Symbols: c_0 clearance as measured before (m), x movement towards the part (m),
    c clearance left (m). Range: any. Source: arithmetic.
    """
    return clearance - movement
