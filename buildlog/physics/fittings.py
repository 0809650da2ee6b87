"""Loss coefficients of what a duct has besides straight pipe: mouths, steps, cones, bends and a filter."""

from __future__ import annotations

from math import atan, log10, pi, radians, sin, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, ratio_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

BELLMOUTH = 0.15
"""Radius of the edge over the bore from which rounding it further gains nothing (Crane TP-410, p. A-29)."""
BEND_EXPONENT: Annotated[float, "m", "1"] = -0.17
"""How the loss coefficient of a bend goes with the Reynolds number, after Ito."""

# With room for what the conversion of degrees rounds off.
_FIVE_DEGREES, _SLENDEREST, _HALF_TURN = radians(5) * (1 - 1e-9), radians(2) * (1 - 1e-9), pi * (1 + 1e-9)
_SUBJECT = "the table holds between these"
_CONE = "a cone more slender than 2° is a pipe"
_ITO = "the formula was measured on bends of these radii"


# --- mouths ------------------------------------------------------------------------------


def entrance_loss_coefficient(
    edge_radius_ratio: Annotated[float, "r/d", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of an entrance flush with a wall, by the rounding of its edge.

    Formula: K from a table, straight lines between: r/d 0, 0.02, 0.04, 0.06, 0.10 and from 0.15 on give 0.50,
    0.28, 0.24, 0.15, 0.09 and 0.04. Symbols: r/d radius of the edge over the bore (1), K loss coefficient on
    the velocity in the pipe (1).
    Range: r/d zero or more. Other handbooks give up to 0.1 more for rounded edges. Errors: `OutOfRange`.
    Source: Crane TP-410, p. A-29.
    """
    not_negative("edge_radius_ratio", edge_radius_ratio)
    if edge_radius_ratio <= 0.02:
        return 0.50 - 11 * edge_radius_ratio
    if edge_radius_ratio <= 0.04:
        return 0.28 - 2 * (edge_radius_ratio - 0.02)
    if edge_radius_ratio <= 0.06:
        return 0.24 - 4.5 * (edge_radius_ratio - 0.04)
    if edge_radius_ratio <= 0.10:
        return 0.15 - 1.5 * (edge_radius_ratio - 0.06)
    if edge_radius_ratio < BELLMOUTH:
        return 0.09 - (edge_radius_ratio - 0.10)
    return 0.04


edge_radius_ratio = ratio_of(
    "edge_radius_ratio",
    "Radius of the rounded edge of an inlet over the bore.",
    edge_radius=Variable("r", "m", "radius of the edge", not_negative),
    diameter=Variable("d", "m", "bore", positive),
    gives=Variable("r/d", "1", "edge radius ratio"),
    source="definition",
)


def projecting_entrance_loss_coefficient() -> Annotated[float, "K", "1"]:
    """Loss coefficient of a pipe that stands out into the air with a sharp edge.

    Formula: K = 0.78. Symbols: K loss coefficient on the velocity in the pipe (1).
    Range: any turbulent flow. A very thin edge comes near 1.0. Source: Crane TP-410, p. A-29.
    """
    return 0.78


def exit_loss_coefficient() -> Annotated[float, "K", "1"]:
    """Loss coefficient of a pipe that ends in a box: the velocity is lost, whatever the edge.

    Formula: K = 1. Symbols: K loss coefficient on the velocity in the pipe (1).
    Range: an even profile; developed turbulent flow carries about 5 % more, laminar flow twice as much.
    Source: Borda–Carnot with an infinite area after; Crane TP-410, p. A-29.
    """
    return 1.0


def stated_loss_coefficient(
    loss_coefficient: Annotated[float, "K_0", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient as stated by whoever measured it.

    Formula: K = K_0. Symbols: K_0 stated and K used loss coefficient on the velocity in the bore (1).
    Range: zero or more. Errors: `OutOfRange`. Source: the author of the block.
    """
    not_negative("loss_coefficient", loss_coefficient)
    return loss_coefficient


# --- steps and cones ---------------------------------------------------------------------


def cone_angle(
    diameter: Annotated[float, "d_1", "m"],
    diameter_after: Annotated[float, "d_2", "m"],
    length: Annotated[float, "L", "m"],
) -> Annotated[float, "θ", "rad"]:
    """Full angle of a cone.

    Formula: θ = 2 arctan(|d_2 - d_1| / (2 L)). Symbols: d_1 bore before (m), d_2 bore after (m), L length
    along the axis (m), θ full angle (rad).
    Range: all positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    positive("diameter_after", diameter_after)
    positive("length", length)
    return 2 * atan(abs(diameter_after - diameter) / (2 * length))


def cone_friction_length(
    diameter: Annotated[float, "d_1", "m"],
    diameter_after: Annotated[float, "d_2", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "L_f/d", "1"]:
    """Bores of straight pipe, of the narrower bore, that lose by friction what the wall of a cone does.

    Formula: L_f/d = (1 - (d/D)⁴) / (8 sin(θ/2)), d and D the smaller and the larger of d_1 and d_2. Symbols:
    d_1 and d_2 bore before and after (m), θ full angle of the cone (rad), L_f/d length in bores (1).
    Range: bores positive and different, θ 2° to 180°. Errors: `OutOfRange`.
    Source: Darcy–Weisbach integrated along the cone's wall with one friction factor; Rennels and Hudson, Pipe
    Flow (2012), ch. 11, as in fluids 1.3.1.
    """
    positive("diameter", diameter)
    positive("diameter_after", diameter_after)
    if diameter == diameter_after:
        raise OutOfRange("diameter_after", f"{diameter_after:g} m", f"another than before, {diameter:g} m")
    within("angle", angle, low=_SLENDEREST, high=_HALF_TURN, why=_CONE)
    ratio = min(diameter, diameter_after) / max(diameter, diameter_after)
    return (1 - ratio**4) / (8 * sin(angle / 2))


cone_loss_coefficient = sum_of(
    "cone_loss_coefficient",
    "Loss coefficient of a cone with the friction along its wall.",
    change_of_bore=Variable("K_c", "1", "of the change of bore", not_negative),
    wall=Variable("K_w", "1", "of the wall", not_negative),
    gives=Variable("K", "1", "of both, all on the velocity in the narrower bore"),
    source="losses add (Rennels and Hudson, 2012, ch. 11)",
)


def expansion_loss_coefficient(
    diameter: Annotated[float, "d_1", "m"],
    diameter_after: Annotated[float, "d_2", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a widening; at 180° it is a step, and the formula that of Borda and Carnot.

    Formula: K = 2.6 sin(θ/2) (1 - (d_1/d_2)²)² up to 45°, and (1 - (d_1/d_2)²)² above. Symbols: d_1 bore
    before (m), d_2 bore after (m), θ full angle of the cone (rad), x loss coefficient of a step (1), K loss
    coefficient on the velocity before (1).
    Range: d_1 below d_2, θ 2° to 180°; the friction of the wall, most of it below 10°, is not in it.
    Errors: `OutOfRange`.
    Source: Borda–Carnot; Gibson's factor as in Crane TP-410, p. A-26, formulae 3 and 4.
    """
    positive("diameter", diameter)
    positive("diameter_after", diameter_after)
    if diameter >= diameter_after:
        raise OutOfRange("diameter_after", f"{diameter_after:g} m", f"more than before, {diameter:g} m")
    within("angle", angle, low=_SLENDEREST, high=_HALF_TURN, why=_CONE)
    x = (1 - (diameter / diameter_after) ** 2) ** 2
    return 2.6 * sin(angle / 2) * x if angle <= pi / 4 else x


def contraction_loss_coefficient(
    diameter: Annotated[float, "d_1", "m"],
    diameter_after: Annotated[float, "d_2", "m"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a narrowing; at 180° it is a step.

    Formula: K = 0.8 sin(θ/2) (1 - (d_2/d_1)²) up to 45°, and 0.5 √(sin(θ/2)) (1 - (d_2/d_1)²) above. Symbols:
    d_1 bore before (m), d_2 bore after (m), θ full angle of the cone (rad), x by how much the area narrows,
    relative (1), K loss coefficient on the velocity after (1).
    Range: d_2 below d_1, θ 2° to 180°; the friction of the wall is not in it. Errors: `OutOfRange`.
    Source: Crane TP-410, p. A-26, formulae 1 and 2.
    """
    positive("diameter", diameter)
    positive("diameter_after", diameter_after)
    if diameter_after >= diameter:
        raise OutOfRange("diameter_after", f"{diameter_after:g} m", f"less than before, {diameter:g} m")
    within("angle", angle, low=_SLENDEREST, high=_HALF_TURN, why=_CONE)
    x = 1 - (diameter_after / diameter) ** 2
    return 0.8 * sin(angle / 2) * x if angle <= pi / 4 else 0.5 * sqrt(sin(angle / 2)) * x


# --- bends -------------------------------------------------------------------------------


radius_ratio = ratio_of(
    "radius_ratio",
    "Radius of a bend, on its centre line, over the bore.",
    bend_radius=Variable("R", "m", "radius of the centre line", positive),
    diameter=Variable("d", "m", "bore", positive),
    gives=Variable("R/d", "1", "radius ratio"),
    source="definition",
)


def bend_shape_factor(
    radius_ratio: Annotated[float, "R/d", "1"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "α", "1"]:
    """Ito's factor for the shape of a bend, measured at 45°, 90° and 180°; straight lines between.

    Formula: α_45 = 1 + 5.13 (R/d)^-1.47, α_90 = 0.95 + 4.42 (R/d)^-1.96, α_180 = 1 + 5.06 (R/d)^-4.52, by the
    angle between them, and α_45 below 45°. Symbols: R/d radius ratio (1), θ angle (rad), α_45 factor at 45°
    (1), α_90 factor at 90° (1), α_180 factor at 180° (1), α shape factor (1).
    Range: R/d 1 to 7, θ 5° to 180°. Errors: `OutOfRange`.
    Source: H. Ito, Pressure losses in smooth pipe bends, Trans. ASME J. Basic Engineering 82 (1960) 131–143
    (by way of fluids 1.3.1, after Blevins, Applied Fluid Dynamics Handbook, 1984).
    """
    within("radius_ratio", radius_ratio, low=1, high=7, why=_ITO)
    within("angle", angle, low=_FIVE_DEGREES, high=_HALF_TURN, why="5° to 180°")
    alpha_45 = 1 + 5.13 * radius_ratio**-1.47
    alpha_90 = 0.95 + 4.42 * radius_ratio**-1.96
    alpha_180 = 1 + 5.06 * radius_ratio**-4.52
    if angle <= pi / 4:
        return alpha_45  # type: ignore[no-any-return]
    if angle <= pi / 2:
        return alpha_45 + (alpha_90 - alpha_45) * (angle - pi / 4) / (pi / 4)  # type: ignore[no-any-return]
    return alpha_90 + (alpha_180 - alpha_90) * (angle - pi / 2) / (pi / 2)  # type: ignore[no-any-return]


def bend_constant(
    bend_shape_factor: Annotated[float, "α", "1"],
    angle: Annotated[float, "θ", "rad"],
    radius_ratio: Annotated[float, "R/d", "1"],
) -> Annotated[float, "B", "1"]:
    """What of a bend's loss coefficient does not depend on the flow.

    Formula: B = 0.00431 α (180 θ / π) (R/d)^0.84. Symbols: α shape factor (1), θ angle (rad), R/d radius
    ratio (1), B constant (1).
    Range: all positive. Errors: `OutOfRange`. Source: Ito (1960), see `bend_shape_factor`.
    """
    positive("bend_shape_factor", bend_shape_factor)
    positive("angle", angle)
    positive("radius_ratio", radius_ratio)
    return 0.00431 * bend_shape_factor * (180 * angle / pi) * radius_ratio**0.84  # type: ignore[no-any-return]


def bend_loss_coefficient(
    bend_constant: Annotated[float, "B", "1"],
    reynolds_number: Annotated[float, "Re", "1"],
    friction_ratio: Annotated[float, "f/f_s", "1"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a bend, the friction along it included.

    Formula: K = B Re^m f/f_s, m = -0.17. Symbols: B constant of the bend (1), m exponent (1), Re Reynolds
    number (1), f/f_s friction factor of the wall over that of a smooth one (1), K loss coefficient (1).
    Range: Re up to 1e6, f/f_s from 1. Ito measured from 2e4 to 4e5: below 1e4 it is a guess with a doubt
    of its own. At 90° it lies up to 20 % below Miller
    (Internal Flow Systems, as in fluids 1.3.1); at 45° up to 72 % above. Errors: `OutOfRange`.
    Source: Ito (1960), see `bend_shape_factor`; the ratio for rough walls: D. S. Miller, Internal Flow
    Systems, 2nd ed. (1990), 9.2.4 (by way of fluids 1.3.1).
    """
    positive("bend_constant", bend_constant)
    positive("reynolds_number", reynolds_number)
    within("reynolds_number", reynolds_number, low=0, high=1e6, why="Ito measured from 20 000 to 400 000")
    within("friction_ratio", friction_ratio, 0.999999, why="no wall is smoother than smooth")
    return bend_constant * reynolds_number**BEND_EXPONENT * friction_ratio  # type: ignore[no-any-return]


def crane_friction_factor(
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "f_T", "1"]:
    """Crane's friction factor for fittings: clean steel pipe, fully turbulent.

    Formula: f_T = 0.25 / (lg(k / (3.7 d)))², k = 0.0018 in = 45.72e-6 m. Symbols: d bore (m), k roughness of
    new steel pipe, f_T friction factor (1).
    Range: d 10 mm to 0.6 m. Errors: `OutOfRange`.
    Source: law of the fully rough pipe, with the roughness of Crane TP-410, p. A-26; it lies up to 5 % below
    the table printed there.
    """
    within("diameter", diameter, low=0.01, high=0.6, why="sizes of the table")
    k = 45.72e-6
    return 0.25 / log10(k / (3.7 * diameter)) ** 2


def crane_bend_ratio(
    radius_ratio: Annotated[float, "R/d", "1"],
) -> Annotated[float, "K/f_T", "1"]:
    """Loss coefficient of a 90° bend over Crane's friction factor.

    Formula: K/f_T from a table, straight lines between: R/d 1, 1.5, 2, 3, 4, 6, 8, 10, 12, 14, 16 and 20 give
    20, 14, 12, 12, 14, 17, 24, 30, 34, 38, 42 and 50. Symbols: R/d radius ratio (1), K/f_T ratio (1).
    Range: R/d 1 to 20. Errors: `OutOfRange`. Source: Crane TP-410, p. A-29.
    """
    within("radius_ratio", radius_ratio, low=1, high=20, why=_SUBJECT)
    if radius_ratio <= 1.5:
        return 20 - 12 * (radius_ratio - 1)
    if radius_ratio <= 2:
        return 14 - 4 * (radius_ratio - 1.5)
    if radius_ratio <= 3:
        return 12.0
    if radius_ratio <= 4:
        return 12 + 2 * (radius_ratio - 3)
    if radius_ratio <= 6:
        return 14 + 1.5 * (radius_ratio - 4)
    if radius_ratio <= 8:
        return 17 + 3.5 * (radius_ratio - 6)
    if radius_ratio <= 10:
        return 24 + 3 * (radius_ratio - 8)
    return 30 + 2 * (radius_ratio - 10)


def crane_bend_loss_coefficient(
    crane_bend_ratio: Annotated[float, "K/f_T", "1"],
    crane_friction_factor: Annotated[float, "f_T", "1"],
    radius_ratio: Annotated[float, "R/d", "1"],
    angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "K", "1"]:
    """Loss coefficient of a bend of 90° or more, friction included.

    Formula: K = K_90 + (n - 1) (0.25 π f_T R/d + 0.5 K_90), K_90 = K/f_T f_T, n = θ / 90°. Symbols: K/f_T
    ratio of the 90° bend (1), f_T Crane's friction factor (1), R/d radius ratio (1), θ angle (rad), K loss
    coefficient on the velocity in the bend (1).
    Range: θ 90° to 180°: below 90° the rule would leave a loss in no bend at all. Errors: `OutOfRange`.
    Source: Crane TP-410, eq. 2-20 and p. A-29.
    """
    positive("crane_bend_ratio", crane_bend_ratio)
    positive("crane_friction_factor", crane_friction_factor)
    positive("radius_ratio", radius_ratio)
    within(
        "angle",
        angle,
        low=pi / 2 * (1 - 1e-9),
        high=_HALF_TURN,
        why="Crane's rule adds whole bends to one of 90°",
    )
    K_90 = crane_bend_ratio * crane_friction_factor
    n = 2 * angle / pi
    return K_90 + (n - 1) * (0.25 * pi * crane_friction_factor * radius_ratio + 0.5 * K_90)


# --- the filter --------------------------------------------------------------------------


def filter_loss(
    volume_flow: Annotated[float, "Q", "m³/s"],
    rated_pressure: Annotated[float, "Δp_r", "Pa"],
    rated_flow: Annotated[float, "Q_r", "m³/s"],
    exponent: Annotated[float, "n", "1"],
) -> Annotated[float, "Δp", "Pa"]:
    """Loss of a filter, scaled from its rating.

    Formula: Δp = Δp_r (Q / Q_r)^n. Symbols: Q volume flow (m³/s), Δp_r loss at the rated flow (Pa), Q_r rated
    flow (m³/s), n exponent (1; 1 where the paper alone resists, 2 where the housing does), Δp loss (Pa).
    Range: Q, Δp_r, Q_r positive, n 1 to 2; Q up to 3 times Q_r. Errors: `OutOfRange`.
    Source: definition of the exponent; its ends are Darcy's law and the dynamic pressure.
    """
    positive("volume_flow", volume_flow)
    positive("rated_pressure", rated_pressure)
    positive("rated_flow", rated_flow)
    within("exponent", exponent, low=1, high=2, why="from paper alone to housing alone")
    within("volume_flow", volume_flow, 0, 3 * rated_flow, why="too far from the rating to scale")
    return rated_pressure * (volume_flow / rated_flow) ** exponent  # type: ignore[no-any-return]
