"""Bent tube: the lengths to cut a bend by, its wall, and where a chain of bends and straights ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import asin, atan2, cos, hypot, pi, sin
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

Vector = tuple[float, float, float]

_HALF_A_TURN = "mandrel bends have up to 180°"


def _tight(bend_radius: float, outer_diameter: float) -> None:
    """Refuse a bend whose inside would have no radius left."""
    positive("outer_diameter", outer_diameter)
    positive("bend_radius", bend_radius)
    if not bend_radius > outer_diameter / 2:
        raise OutOfRange(
            "bend_radius",
            f"{1000 * bend_radius:.4g} mm",
            f"more than half of the outer diameter of {1000 * outer_diameter:.4g} mm",
            help="it is the radius of the centre line; the inside of the bend would have none left",
        )


def length_of_bend(
    bend_radius: Annotated[float, "R", "m"],
    angle: Annotated[float, "θ", "rad"],
    leg_before: Annotated[float, "a", "m"],
    leg_after: Annotated[float, "b", "m"],
) -> Annotated[float, "L", "m"]:
    """Length of a bend with its straight legs, on the centre line.

    Formula: L = a + R θ + b. Symbols: R radius of the centre line (m), θ angle of the bend (rad), a leg
    before the bend (m), b leg behind the bend (m), L length on the centre line (m).
    Range: R positive, θ above 0 to π, a and b zero or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("bend_radius", bend_radius)
    positive("angle", angle)
    within("angle", angle, low=0, high=pi, why=_HALF_A_TURN)
    not_negative("leg_before", leg_before)
    not_negative("leg_after", leg_after)
    return leg_before + bend_radius * angle + leg_after


def outside_length(
    bend_radius: Annotated[float, "R", "m"],
    outer_diameter: Annotated[float, "D", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "L_o", "m"]:
    """Length of a bend along the outside of its wall, where it is longest.

    Formula: L_o = (R + D/2) θ. Symbols: R radius of the centre line (m), D outer diameter (m), θ angle (rad),
    L_o length along the outside (m).
    Range: D positive, R more than D/2, θ from 0 to π. Errors: `OutOfRange`. Source: geometry.
    """
    _tight(bend_radius, outer_diameter)
    within("angle", angle, low=0, high=pi, why=_HALF_A_TURN)
    return (bend_radius + outer_diameter / 2) * angle


def inside_length(
    bend_radius: Annotated[float, "R", "m"],
    outer_diameter: Annotated[float, "D", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "L_i", "m"]:
    """Length of a bend along the inside of its curve, on the tube's outer wall, where it is shortest.

    Formula: L_i = (R - D/2) θ. Symbols: R radius of the centre line (m), D outer diameter (m), θ angle (rad),
    L_i length along the inside (m).
    Range: D positive, R more than D/2, θ from 0 to π. Errors: `OutOfRange`. Source: geometry.
    """
    _tight(bend_radius, outer_diameter)
    within("angle", angle, low=0, high=pi, why=_HALF_A_TURN)
    return (bend_radius - outer_diameter / 2) * angle


def chord(
    bend_radius: Annotated[float, "R", "m"],
    outer_diameter: Annotated[float, "D", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "c", "m"]:
    """Chord of a bend over its outside, as a calliper finds it.

    Formula: c = 2 (R + D/2) sin(θ/2). Symbols: R radius of the centre line (m), D outer diameter (m), θ
    angle (rad), c chord over the outside (m).
    Range: D positive, R more than D/2, θ above 0 to π. Errors: `OutOfRange`. Source: geometry.
    """
    _tight(bend_radius, outer_diameter)
    positive("angle", angle)
    within("angle", angle, low=0, high=pi, why=_HALF_A_TURN)
    return 2 * (bend_radius + outer_diameter / 2) * sin(angle / 2)


def rotation_mark(
    rotation: Annotated[float, "ρ", "rad"],
    outer_diameter: Annotated[float, "D", "m"],
) -> Annotated[float, "u", "m"]:
    """How far round the tube the mark of a bend lies from that of the bend before.

    Formula: u = ρ D/2. Symbols: ρ rotation of the bend's plane (rad), D outer diameter (m), u distance round
    the outside of the tube (m).
    Range: ρ from -2π to 2π, D positive. Errors: `OutOfRange`. Source: geometry.
    """
    within("rotation", rotation, low=-2 * pi, high=2 * pi)
    positive("outer_diameter", outer_diameter)
    return rotation * outer_diameter / 2


def kerf_angle(
    kerf: Annotated[float, "k", "m"],
    bend_radius: Annotated[float, "R", "m"],
    outer_diameter: Annotated[float, "D", "m"],
) -> Annotated[float, "δ", "rad"]:
    """Angle of a bend that is lost between two pieces cut square from it.

    A saw's slot is as wide inside as outside, and both its faces have to reach the next square end: so what
    it takes counts at the inside, where an angle is narrowest.
    Formula: δ = asin(k / (R - D/2)). Symbols: k width of the cut (m), R radius of the centre line (m), D
    outer diameter (m), δ angle lost (rad).
    Range: k zero or more and less than R - D/2, D positive, R more than D/2. Errors: `OutOfRange`. Source:
    geometry.
    """
    _tight(bend_radius, outer_diameter)
    not_negative("kerf", kerf)
    if not kerf < bend_radius - outer_diameter / 2:
        raise OutOfRange(
            "kerf",
            f"{1000 * kerf:.3g} mm",
            f"less than the {1000 * (bend_radius - outer_diameter / 2):.3g} mm of radius inside of the bend",
            help="two pieces cannot be cut from so tight a bend with this saw",
        )
    return asin(kerf / (bend_radius - outer_diameter / 2))


def outside_wall(
    wall_thickness: Annotated[float, "s", "m"],
    bend_radius: Annotated[float, "R", "m"],
    outer_diameter: Annotated[float, "D", "m"],
) -> Annotated[float, "s_o", "m"]:
    """Wall at the outside of a bend, drawn thin as its length grew from that of the centre line.

    Formula: s_o = s R / (R + D/2). Symbols: s wall before bending (m), R radius of the centre line (m), D
    outer diameter (m), s_o wall at the outside (m).
    Range: s and D positive, R more than D/2. Errors: `OutOfRange`. Source: constant volume, with a neutral
    axis in the middle of the tube.
    """
    positive("wall_thickness", wall_thickness)
    _tight(bend_radius, outer_diameter)
    return wall_thickness * bend_radius / (bend_radius + outer_diameter / 2)


def length_as_welded(
    cut_length: Annotated[float, "L_c", "m"],
    welds: Annotated[float, "n", "1"],
    weld_shrinkage: Annotated[float, "Δ", "m"],
) -> Annotated[float, "L_w", "m"]:
    """Length of a tube when its pieces are welded together.

    Formula: L_w = L_c - n Δ. Symbols: L_c sum of its pieces as cut (m), n welds between them (1), Δ what a
    weld draws in, less the gap it had (m), L_w length as welded (m).
    Range: L_c positive, n zero or more, Δ any. Errors: `OutOfRange`. Source: geometry.
    """
    positive("cut_length", cut_length)
    not_negative("welds", welds)
    within("weld_shrinkage", weld_shrinkage)
    return cut_length - welds * weld_shrinkage


spread = difference_of(
    "spread",
    "Longest of several tubes less the shortest.",
    longest=Variable("L_max", "m", "length of the longest tube", positive),
    shortest=Variable("L_min", "m", "length of the shortest tube", positive),
    gives=Variable("ΔL", "m", "spread"),
    source="definition",
)

length_off = difference_of(
    "length_off",
    "How much longer a tube is than the mean of those it is compared with.",
    length=Variable("L_w", "m", "length as welded", positive),
    mean_length=Variable("L_m", "m", "mean length", positive),
    gives=Variable("d", "m", "difference"),
    source="definition",
)

stock_length = product_of(
    "stock_length",
    "Length of all tube that is bought of one sort.",
    count=Variable("N", "1", "pieces bought", positive),
    length_of_one=Variable("L_1", "m", "length of one on the centre line", positive),
    gives=Variable("L_s", "m", "length bought"),
    source="definition",
)

waste = difference_of(
    "waste",
    "What is bought and does not go into the tubes: cuts and rests.",
    stock_length=Variable("L_s", "m", "length bought", positive),
    used_length=Variable("L_u", "m", "length that goes into the tubes", positive),
    gives=Variable("L_r", "m", "waste"),
    source="definition",
)

waste_share = ratio_of(
    "waste_share",
    "Share of what is bought that is waste.",
    waste=Variable("L_r", "m", "waste"),
    stock_length=Variable("L_s", "m", "length bought", positive),
    gives=Variable("w", "1", "share of waste"),
    source="definition",
)


def total(amounts: Annotated[Sequence[float], "x_i", "m"]) -> Annotated[float, "x", "m"]:
    """Sum of lengths.

    Formula: x = Σ x_i. Symbols: x_i the lengths (m), x their sum (m).
    In words: added up over the pieces. Range: each any. Source: arithmetic.
    """
    return sum(amounts)


def total_angle(amounts: Annotated[Sequence[float], "θ_i", "rad"]) -> Annotated[float, "θ", "rad"]:
    """Sum of angles.

    Formula: θ = Σ θ_i. Symbols: θ_i the angles (rad), θ their sum (rad).
    In words: added up over the bends. Range: each any. Source: arithmetic.
    """
    return sum(amounts)


def total_mass(amounts: Annotated[Sequence[float], "m_i", "kg"]) -> Annotated[float, "m", "kg"]:
    """Sum of masses.

    Formula: m = Σ m_i. Symbols: m_i the masses (kg), m their sum (kg).
    In words: added up over the pieces. Range: each any. Source: arithmetic.
    """
    return sum(amounts)


def mean(amounts: Annotated[Sequence[float], "x_i", "m"]) -> Annotated[float, "x_m", "m"]:
    """Mean of lengths.

    Formula: x_m = Σ x_i / n. Symbols: x_i the lengths (m), n their number (1), x_m their mean (m).
    In words: the mean over the tubes. Range: at least one, each any. Source: arithmetic.
    """
    return sum(amounts) / len(amounts)


# --- in space -------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Span:
    """One piece on the centre line: a straight of a length, or a bend of `radius` and `angle` between two
    legs, turned by `rotation` about the tube from the side to which the one before it bent. `drawn_in` is
    what the weld at its beginning draws it nearer."""

    leg_before: float
    radius: float = 0.0
    angle: float = 0.0
    leg_after: float = 0.0
    rotation: float = 0.0
    drawn_in: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place on a centre line: where it is, which way the tube goes there and to which side it last bent.

    x runs backwards, y to the right and z upwards, m. `along` and `towards` are unit vectors at right angles.
    """

    at: Vector
    along: Vector
    towards: Vector

    @staticmethod
    def beginning(at: Vector, heading: float, pitch: float, first_plane: float) -> Place:
        """Where a tube begins: `heading` from straight back towards the right, seen from above, `pitch`
        upwards from the level; its first bend is turned by `first_plane` from upwards, clockwise as the gas
        sees it. All in rad."""
        along = _direction(heading, pitch)
        upwards = (-sin(pitch) * cos(heading), -sin(pitch) * sin(heading), cos(pitch))
        return Place(at=at, along=along, towards=_turned(upwards, along, first_plane))

    @property
    def is_upright(self) -> bool:
        """Whether the tube points straight up or down, where it has no heading."""
        return hypot(self.along[0], self.along[1]) < 1e-6

    def after(self, span: Span) -> Place:
        """Where the tube is after one more piece."""
        along = self.along
        towards = _turned(self.towards, along, span.rotation)
        at = _moved(self.at, along, span.leg_before - span.drawn_in)
        if span.angle:
            far, aside = sin(span.angle), 1 - cos(span.angle)
            at = _moved(_moved(at, along, span.radius * far), towards, span.radius * aside)
            along, towards = (
                _mixed(cos(span.angle), along, far, towards),
                _mixed(-far, along, cos(span.angle), towards),
            )
        return Place(at=_moved(at, along, span.leg_after), along=along, towards=towards)

    def after_all(self, spans: Sequence[Span]) -> Place:
        """Where a tube of these pieces ends."""
        place = self
        for span in spans:
            place = place.after(span)
        return place

    def centre_line(self, spans: Sequence[Span], steps: int = 12) -> list[Vector]:
        """Points along a centre line, to draw it: `steps` in every half turn, the ends of every straight."""
        place, points = self, [self.at]
        for span in spans:
            shares = [0.0]
            if span.angle:
                count = max(2, round(steps * span.angle / pi))
                shares = [step / count for step in range(count + 1)]
            for share in shares:
                part = replace(span, angle=span.angle * share, leg_after=0.0)
                points.append(place.after(part).at)
            place = place.after(span)
            points.append(place.at)
        return [point for at, point in enumerate(points) if not at or point != points[at - 1]]


def _direction(heading: float, pitch: float) -> Vector:
    return (cos(pitch) * cos(heading), cos(pitch) * sin(heading), sin(pitch))


def _turned(side: Vector, along: Vector, rotation: float) -> Vector:
    """A side turned about the tube, clockwise as seen along it."""
    right = (
        along[1] * side[2] - along[2] * side[1],
        along[2] * side[0] - along[0] * side[2],
        along[0] * side[1] - along[1] * side[0],
    )
    return _mixed(cos(rotation), side, sin(rotation), right)


def _mixed(share: float, one: Vector, other_share: float, other: Vector) -> Vector:
    return (
        share * one[0] + other_share * other[0],
        share * one[1] + other_share * other[1],
        share * one[2] + other_share * other[2],
    )


def _moved(at: Vector, along: Vector, distance: float) -> Vector:
    return _mixed(1.0, at, distance, along)


def end_x(place: Place) -> Annotated[float, "x", "m"]:
    """How far back a tube ends.

    Formula: x = x_0 + Σ Δx_i. Symbols: x_0 where it begins (m), Δx_i what each piece adds (m), x where it
    ends (m). In words: piece after piece, each turned as the one before left off.
    Range: any. Source: geometry.
    """
    return place.at[0]


def end_y(place: Place) -> Annotated[float, "y", "m"]:
    """How far to the right a tube ends.

    Formula: y = y_0 + Σ Δy_i. Symbols: y_0 where it begins (m), Δy_i what each piece adds (m), y where it
    ends (m). In words: piece after piece, each turned as the one before left off.
    Range: any. Source: geometry.
    """
    return place.at[1]


def end_z(place: Place) -> Annotated[float, "z", "m"]:
    """How high a tube ends.

    Formula: z = z_0 + Σ Δz_i. Symbols: z_0 where it begins (m), Δz_i what each piece adds (m), z where it
    ends (m). In words: piece after piece, each turned as the one before left off.
    Range: any. Source: geometry.
    """
    return place.at[2]


def end_pitch(place: Place) -> Annotated[float, "φ", "rad"]:
    """How far upwards from the level a tube points at its end.

    Formula: φ = asin t_z. Symbols: t_z upward part of its direction (1), φ pitch (rad).
    In words: from its direction after the last piece. Range: any. Source: geometry.
    """
    return atan2(place.along[2], hypot(place.along[0], place.along[1]))


def end_heading(place: Place) -> Annotated[float, "ψ", "rad"]:
    """How far to the right of straight back a tube points at its end, seen from above.

    Formula: ψ = atan2(t_y, t_x). Symbols: t_y rightward part of its direction (1), t_x backward part (1), ψ
    heading (rad). In words: from its direction after the last piece. Range: any. Source: geometry.
    """
    return atan2(place.along[1], place.along[0])


def gap(place: Place, wanted: Place) -> Annotated[float, "g", "m"]:
    """Distance of a tube's end from where it is to end.

    Formula: g = √((x - x_w)² + (y - y_w)² + (z - z_w)²). Symbols: x, y and z where it ends (m), x_w, y_w and
    z_w where it is to end (m), g distance (m). In words: between the two places. Range: any.
    Source: geometry.
    """
    return hypot(*(one - other for one, other in zip(place.at, wanted.at, strict=True)))


def kink(place: Place, wanted: Place) -> Annotated[float, "κ", "rad"]:
    """Angle between the direction of a tube's end and that which it is to have.

    Formula: κ = acos(t · w). Symbols: t its direction (1), w the direction wanted (1), κ angle (rad).
    In words: between the two directions. Range: any. Source: geometry.
    """
    cosine = sum(one * other for one, other in zip(place.along, wanted.along, strict=True))
    across = hypot(*(one - cosine * other for one, other in zip(place.along, wanted.along, strict=True)))
    return atan2(across, cosine)
