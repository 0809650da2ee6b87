"""Measured places against those of a drawing, and one side of a car against the other."""

from __future__ import annotations

from math import fsum, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of
from buildlog.physics.limits import within


class Offsets(tuple[float, ...]):
    """How far the points of a survey are off along one axis, m."""

    __slots__ = ()


def best_shift(offsets: Offsets, count: Annotated[float, "n", "1"]) -> Annotated[float, "t", "m"]:
    """How far all points have to be moved along one axis for the sum of their squared offsets to be least.

    Formula: t = −Σ dᵢ / n, dᵢ being the offset of each point. Symbols: n number of points (1), t shift (m).
    In words: the mean of the offsets, with the other sign.
    Range: two points or more, n as many as there are; no turn is fitted, so that a survey which is turned
    against its drawing keeps what that makes. Errors: `OutOfRange`. Source: least squares; derived.
    """
    if count != len(offsets) or count < 2:
        raise OutOfRange("count", f"{count:g}", "2 or more, as many as there are points")
    return -fsum(offsets) / count


def off_drawing(
    measured: Annotated[float, "x", "m"],
    drawing: Annotated[float, "x_d", "m"],
    shift: Annotated[float, "t", "m"],
) -> Annotated[float, "d", "m"]:
    """How far a point is off its drawing along one axis, after the survey has been moved.

    Formula: d = x + t − x_d. Symbols: x measured coordinate (m), x_d coordinate of the drawing (m), t shift
    of the survey (m), d offset (m).
    Range: any. Source: definition.
    """
    return measured + shift - drawing


def off_mirror(
    right: Annotated[float, "x_r", "m"],
    left: Annotated[float, "x_l", "m"],
    sign: Annotated[float, "σ", "1"],
    shift: Annotated[float, "t", "m"],
) -> Annotated[float, "d", "m"]:
    """How far a point of the right side is off the mirror image of its fellow on the left along one axis.

    Formula: d = x_r − (σ · x_l + t). Symbols: x_r coordinate of the right point (m), x_l coordinate of the
    left point (m), σ −1 along the axis that is flipped and 1 along the others (1), t shift of the image (m),
    d offset (m).
    Range: σ −1 to 1. Errors: `OutOfRange`. Source: definition of a reflection.
    """
    within("sign", sign, -1, 1)
    return right - (sign * left + shift)


def distance_off(
    along: Annotated[float, "d_x", "m"],
    across: Annotated[float, "d_y", "m"],
    upwards: Annotated[float, "d_z", "m"],
) -> Annotated[float, "d", "m"]:
    """How far a point is off in all.

    Formula: d = √(d_x² + d_y² + d_z²). Symbols: d_x offset along the car (m), d_y offset across it (m), d_z
    offset upwards (m), d distance (m).
    Range: any. Source: Pythagoras.
    """
    return sqrt(along**2 + across**2 + upwards**2)


gap_off = difference_of(
    "gap_off",
    "How far a gap is off its drawing: positive where it is wider.",
    gap=Variable("g", "m", "measured gap"),
    drawing=Variable("g_d", "m", "gap of the drawing"),
    gives=Variable("d", "m", "offset"),
    source="definition",
)
