"""Sheet that is bent about straight lines: its flat length, its strain, how it springs back."""

from __future__ import annotations

from math import asin, log10, pi, sin, sqrt, tan
from typing import Annotated

from buildlog.physics.declared import (
    Variable,
    Within,
    difference_of,
    product_of,
    ratio_of,
    sum_of,
)
from buildlog.physics.limits import not_negative, positive, within

_SHARPEST = "a flange that is folded on itself has no corner to measure to"
_ANY = Within()
_LENGTH = Variable("l", "m", "length", not_negative)


def _bent(bend_angle: float, inside_radius: float, thickness: float) -> None:
    positive("bend_angle", bend_angle)
    within("bend_angle", bend_angle, high=5 * pi / 6, why=_SHARPEST)
    positive("inside_radius", inside_radius)
    positive("thickness", thickness)


# --- where the neutral axis lies ---------------------------------------------------------------


def correction_factor(
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "k", "1"]:
    """Correction factor of DIN 6935: twice as far from the inside, in thicknesses, as the neutral axis lies.

    Formula: k = 0.65 + 0.5 lg(r/s) for r/s up to 5, otherwise 1. Symbols: r inside radius (m), s thickness
    (m), k correction factor (1).
    Range: r/s 0.1 or more. Errors: `OutOfRange`.
    Source: DIN 6935 (1975-10), as a book of tables for metalworkers quotes it.
    """
    positive("thickness", thickness)
    within("inside_radius", inside_radius, low=0.1 * thickness, why="below a tenth of the thickness")
    if inside_radius > 5 * thickness:
        return 1.0
    return 0.65 + 0.5 * log10(inside_radius / thickness)


axis_of_correction = product_of(
    "axis_of_correction",
    "Where the neutral axis lies by DIN 6935, from the inside, in thicknesses.",
    gives=Variable("K", "1", "distance of the neutral axis from the inside over the thickness"),
    source="DIN 6935: the arc is r + s/2 k from its centre",
    half=Variable("½", "1", "one half", positive),
    correction_factor=Variable("k", "1", "correction factor", positive),
)


def stated_axis(stated: Annotated[float, "K_s", "1"]) -> Annotated[float, "K", "1"]:
    """Where the neutral axis lies, as it was stated.

    Formula: K = K_s. Symbols: K_s k-factor stated (1), K distance of the neutral axis from the inside over
    the thickness (1).
    Range: 0 to 1. Errors: `OutOfRange`. Source: as stated.
    """
    within("k_factor", stated, 0, 1, "inside the sheet")
    return stated


def axis_of_strip(
    strip_length: Annotated[float, "L", "m"],
    leg: Annotated[float, "a", "m"],
    other_leg: Annotated[float, "b", "m"],
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "K", "1"]:
    """Where the neutral axis lies, from a strip that was measured flat, bent once and measured again.

    Formula: A = L - a - b + 2 (r + s) tan(α/2), K = (A/α - r) / s. Symbols: L length of the flat strip (m), a
    and b its legs after bending, to the outside (m), α angle that it was bent by (rad), r inside radius (m),
    s thickness (m), A bend allowance (m), K distance of the neutral axis from the inside over the thickness
    (1).
    Range: α above 0 to 90°; K 0 to 1. Errors: `OutOfRange`. Source: derived from the lengths.
    """
    _bent(bend_angle, inside_radius, thickness)
    within("strip_angle", bend_angle, high=pi / 2, why="legs are measured to the outside")
    A: Annotated[float, "A", "m"] = (
        strip_length - leg - other_leg + 2 * (inside_radius + thickness) * tan(bend_angle / 2)
    )
    K = (A / bend_angle - inside_radius) / thickness
    within("strip_length", K, 0, 1, "as a k-factor: the lengths put the neutral axis outside of the sheet")
    return K


def axis_of_aircraft_mechanics() -> Annotated[float, "K", "1"]:
    """Where the neutral axis lies by the formula that aircraft mechanics lay out by.

    Formula: K = 0.0078 · 180/π. Symbols: K distance of the neutral axis from the inside over the thickness
    (1).
    Range: that formula's own, bends of 1 to 180°. Source: a training manual of the U.S. Navy's aviation:
    allowance = (0.0173 R + 0.0078 T) N, N in degrees, “by experimentation with actual bends”.
    """
    return 0.0078 * 180 / pi


# --- allowance, setback, deduction -------------------------------------------------------------


def bend_allowance(
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
    neutral_axis: Annotated[float, "K", "1"],
) -> Annotated[float, "A", "m"]:
    """Length of flat sheet that goes into a bend, from tangent line to tangent line.

    Formula: A = α (r + K s). Symbols: α angle that it is bent by (rad), r inside radius (m), s thickness (m),
    K distance of the neutral axis from the inside over the thickness (1), A bend allowance (m).
    Range: α above 0 to 150°, K 0 to 1. Errors: `OutOfRange`. Source: the arc of the neutral axis; DIN 6935
    with K = k/2.
    """
    _bent(bend_angle, inside_radius, thickness)
    within("neutral_axis", neutral_axis, 0, 1)
    return bend_angle * (inside_radius + neutral_axis * thickness)


def setback_to_sharp(
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "c", "m"]:
    """From a tangent line to the sharp corner in which the outer faces of two flanges would meet.

    Formula: c = (r + s) tan(α/2). Symbols: α angle that it is bent by (rad), r inside radius (m), s thickness
    (m), c setback (m).
    Range: α above 0 to 150°. Errors: `OutOfRange`. Source: geometry.
    """
    _bent(bend_angle, inside_radius, thickness)
    return (inside_radius + thickness) * tan(bend_angle / 2)


def setback_to_outside(
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "c", "m"]:
    """From a tangent line to where a rule reads the outside of a flange, as DIN 6935 measures.

    Formula: c = (r + s) tan(α/2) for α up to 90°, otherwise r + s. Symbols: α angle that it is bent by (rad),
    r inside radius (m), s thickness (m), c setback (m).
    Range: α above 0 to 150°. Errors: `OutOfRange`. Source: DIN 6935; geometry.
    """
    _bent(bend_angle, inside_radius, thickness)
    if bend_angle > pi / 2:
        return inside_radius + thickness
    return (inside_radius + thickness) * tan(bend_angle / 2)


def setback_to_inside(
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "c", "m"]:
    """From a tangent line to the sharp corner in which the inner faces of two flanges would meet.

    Formula: c = r tan(α/2). Symbols: α angle that it is bent by (rad), r inside radius (m), s thickness (m),
    c setback (m).
    Range: α above 0 to 150°. Errors: `OutOfRange`. Source: geometry.
    """
    _bent(bend_angle, inside_radius, thickness)
    return inside_radius * tan(bend_angle / 2)


def bend_deduction(
    setback: Annotated[float, "c", "m"],
    allowance: Annotated[float, "A", "m"],
) -> Annotated[float, "v", "m"]:
    """What a bend takes off the sum of two lengths; below 0 where it adds.

    Formula: v = 2 c - A. Symbols: c setback to where the lengths are measured to (m), A bend allowance (m), v
    deduction (m).
    Range: c zero or more, A positive. Errors: `OutOfRange`. Source: geometry; DIN 6935 calls it compensation
    value.
    """
    not_negative("setback", setback)
    positive("allowance", allowance)
    return 2 * setback - allowance


allowance_difference = difference_of(
    "allowance_difference",
    "How much more one form lets into a bend than the other.",
    gives=Variable("ΔA", "m", "difference of two allowances"),
    source="definition",
    allowance=Variable("A", "m", "bend allowance by the neutral axis", positive),
    other_allowance=Variable("A_DIN", "m", "bend allowance by DIN 6935", positive),
)


def straight_length(
    length: Annotated[float, "l", "m"],
    setback_before: Annotated[float, "c_1", "m"],
    setback_after: Annotated[float, "c_2", "m"],
) -> Annotated[float, "e", "m"]:
    """What of a flange is straight, between its tangent lines or from one to its edge.

    Formula: e = l - c_1 - c_2. Symbols: l length of the flange as it is measured (m), c_1 and c_2 setbacks of
    the bends at its ends, 0 at an edge (m), e straight length (m).
    Range: l positive, e zero or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("length", length)
    not_negative("setback_before", setback_before)
    not_negative("setback_after", setback_after)
    e = length - setback_before - setback_after
    not_negative("length", e, "as what is left of the flange between its bends")
    return e


further_along = sum_of(
    "further_along",
    "A place further along the flat.",
    gives=Variable("x", "m", "place from the datum edge"),
    source="definition",
    place=Variable("x_0", "m", "place before", _ANY),
    length=_LENGTH,
)


def middle_of_bend(
    tangent_line: Annotated[float, "x_1", "m"],
    allowance: Annotated[float, "A", "m"],
) -> Annotated[float, "x", "m"]:
    """Where the middle of a bend lies in the flat.

    Formula: x = x_1 + A/2. Symbols: x_1 first tangent line, from the datum edge (m), A bend allowance (m), x
    middle of the bend (m).
    Range: A positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("allowance", allowance)
    return tangent_line + allowance / 2


flat_length_of = sum_of(
    "flat_length_of",
    "Length of the flat: what stays straight and what goes into the bends.",
    gives=Variable("L", "m", "length of the flat"),
    source="definition",
    straight=Variable("Σe", "m", "sum of the straight lengths", not_negative),
    bent=Variable("ΣA", "m", "sum of the allowances", positive),
)
length_difference = difference_of(
    "length_difference",
    "How much longer the flat is by one form than by the other.",
    gives=Variable("ΔL", "m", "difference of two lengths"),
    source="definition",
    length=Variable("L", "m", "length by the neutral axis", positive),
    other_length=Variable("L_DIN", "m", "length by DIN 6935", positive),
)

# --- what the sheet bears ----------------------------------------------------------------------

radius_of_thicknesses = product_of(
    "radius_of_thicknesses",
    "Least inside radius, as a number of thicknesses.",
    gives=Variable("r_min", "m", "least inside radius"),
    source="definition",
    thicknesses=Variable("n", "1", "least radius in thicknesses", not_negative),
    grain_factor=Variable("g", "1", "1, or more where the grain lies along the bend line", positive),
    thickness=Variable("s", "m", "thickness", positive),
)


def stated_radius(stated: Annotated[float, "r_s", "m"]) -> Annotated[float, "r_min", "m"]:
    """Least inside radius, as a table or a data sheet states it.

    Formula: r_min = r_s. Symbols: r_s radius stated (m), r_min least inside radius (m).
    Range: zero or more. Errors: `OutOfRange`. Source: as stated.
    """
    not_negative("least_radius", stated)
    return stated


radius_reserve = difference_of(
    "radius_reserve",
    "How much wider a bend is than the least that the sheet bears.",
    gives=Variable("Δr", "m", "reserve of radius"),
    source="definition",
    inside_radius=Variable("r", "m", "inside radius", positive),
    least_radius=Variable("r_min", "m", "least inside radius", not_negative),
)


def outer_strain(
    inside_radius: Annotated[float, "r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "ε", "1"]:
    """Strain of the outer face of a bend, with the neutral axis in the middle of the sheet.

    Formula: ε = s / (2 r + s). Symbols: r inside radius (m), s thickness (m), ε strain (1).
    Range: r, s positive. Errors: `OutOfRange`. Source: geometry of pure bending.
    """
    positive("inside_radius", inside_radius)
    positive("thickness", thickness)
    return thickness / (2 * inside_radius + thickness)


# --- springback --------------------------------------------------------------------------------


def radius_under_load(
    inside_radius: Annotated[float, "R_f", "m"],
    thickness: Annotated[float, "s", "m"],
    yield_strength: Annotated[float, "Y", "Pa"],
    elastic_modulus: Annotated[float, "E", "Pa"],
) -> Annotated[float, "R_i", "m"]:
    """Inside radius to bend to, so that the sheet springs back to the one that is wanted.

    Formula: R_i/R_f = 4 x³ - 3 x + 1 with x = R_i Y / (E s), solved for R_i: c = Y / (E s), p = (3 c +
    1/R_f) / (4 c³), w = (3 / p)^1.5 / (8 c³), R_i = 2 √(p/3) sin(arcsin(w) / 3). Symbols: R_f inside radius
    wanted (m), s thickness (m), Y yield strength (Pa), E modulus of elasticity (Pa), c reciprocal of the
    radius at which x is 1 (1/m), p and w terms of the cubic's solution (m² and 1), R_i inside radius under
    load (m).
    Range: all positive. Errors: `OutOfRange`.
    Source: F. J. Gardiner, The Spring Back of Metals, Trans. ASME 79 (1957) 1–9, as textbooks and papers
    quote it: an elastic, ideally plastic sheet in pure bending.
    """
    positive("inside_radius", inside_radius)
    positive("thickness", thickness)
    positive("yield_strength", yield_strength)
    positive("elastic_modulus", elastic_modulus)
    c: Annotated[float, "c", "1/m"] = yield_strength / (elastic_modulus * thickness)
    # Of the three roots of 4 c³ R³ - (3 c + 1/R_f) R + 1 the middle one is the small positive one.
    p: Annotated[float, "p", "m²"] = (3 * c + 1 / inside_radius) / (4 * c**3)
    w = sqrt(3 / p) ** 3 / (8 * c**3)
    return 2 * sqrt(p / 3) * sin(asin(w) / 3)


def overbend(
    bend_angle: Annotated[float, "α", "rad"],
    inside_radius: Annotated[float, "R_f", "m"],
    radius_under_load: Annotated[float, "R_i", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "Δα", "rad"]:
    """How much further to bend than is wanted, since the sheet springs back.

    Formula: Δα = α (R_f - R_i) / (R_i + s/2). Symbols: α angle wanted (rad), R_f inside radius wanted (m),
    R_i inside radius under load (m), s thickness (m), Δα angle beyond (rad).
    Range: α above 0 to 150°, R_i above 0 to R_f. Errors: `OutOfRange`. Source: the middle of the sheet keeps
    its length, α (R_f + s/2) = (α + Δα) (R_i + s/2).
    """
    _bent(bend_angle, inside_radius, thickness)
    positive("radius_under_load", radius_under_load)
    within("radius_under_load", radius_under_load, high=inside_radius, why="a bend springs open")
    return bend_angle * (inside_radius - radius_under_load) / (radius_under_load + thickness / 2)


fold_angle = sum_of(
    "fold_angle",
    "Angle to fold to, so that it springs back to the one that is wanted.",
    gives=Variable("α_i", "rad", "angle to fold to"),
    source="definition",
    bend_angle=Variable("α", "rad", "angle wanted", positive),
    overbend=Variable("Δα", "rad", "angle beyond", _ANY),
)

# --- what a machine can hold -------------------------------------------------------------------


def straight_for_vee(
    vee_width: Annotated[float, "V", "m"],
    bend_angle: Annotated[float, "α", "rad"],
    setback: Annotated[float, "c", "m"],
) -> Annotated[float, "e_min", "m"]:
    """Straight part that a flange needs to lie on the shoulder of a vee until the bend is done.

    Formula: e_min = V / (2 cos(α/2)) - c, cos(α/2) as sin(π/2 - α/2). Symbols: V opening of the vee (m), α
    angle that it is bent by (rad), c setback to the sharp corner of the outer faces (m), e_min straight part
    (m); below 0 where the bend alone reaches the shoulder.
    Range: V positive, α above 0 to 150°. Errors: `OutOfRange`. Source: geometry of a bend in the air.
    """
    positive("vee_width", vee_width)
    positive("bend_angle", bend_angle)
    within("bend_angle", bend_angle, high=5 * pi / 6, why=_SHARPEST)
    not_negative("setback", setback)
    return vee_width / (2 * sin(pi / 2 - bend_angle / 2)) - setback


straight_for_folder = product_of(
    "straight_for_folder",
    "Straight part that a flange needs beside a bend, as a number of thicknesses.",
    gives=Variable("e_min", "m", "straight part"),
    source="common practice: a flange of three thicknesses and the inside radius",
    thicknesses=Variable("n", "1", "two thicknesses", positive),
    thickness=Variable("s", "m", "thickness", positive),
)


def stated_straight(stated: Annotated[float, "e_s", "m"]) -> Annotated[float, "e_min", "m"]:
    """Straight part that a flange needs, as the maker of the machine states it or as it was measured.

    Formula: e_min = e_s. Symbols: e_s straight part stated (m), e_min straight part (m).
    Range: positive. Errors: `OutOfRange`. Source: as stated.
    """
    positive("least_straight", stated)
    return stated


# --- a score -----------------------------------------------------------------------------------

thickness_left = difference_of(
    "thickness_left",
    "Thickness that a score leaves.",
    gives=Variable("s_r", "m", "thickness left"),
    source="definition",
    thickness=Variable("s", "m", "thickness", positive),
    score_depth=Variable("d", "m", "depth of the score", not_negative),
)


def bending_strength_left(
    thickness_left: Annotated[float, "s_r", "m"],
    thickness: Annotated[float, "s", "m"],
) -> Annotated[float, "q", "1"]:
    """Share of the bending moment that a scored line still bears.

    Formula: q = (s_r / s)². Symbols: s_r thickness left (m), s thickness (m), q share (1).
    Range: s positive, s_r up to s. Errors: `OutOfRange`. Source: section modulus of a rectangle.
    """
    positive("thickness", thickness)
    positive("thickness_left", thickness_left)
    within("thickness_left", thickness_left, high=thickness)
    return (thickness_left / thickness) ** 2


def strain_of_hinge(bend_angle: Annotated[float, "α", "rad"]) -> Annotated[float, "ε_h", "1"]:
    """Strain at the bottom of a score, where the whole bend gathers in a hinge as long as the sheet is thick
    there.

    Formula: ε_h = α / 2. Symbols: α angle that it is bent by (rad), ε_h strain (1).
    Range: α above 0 to 150°. Errors: `OutOfRange`.
    Source: a hinge of length s_r bent to the curvature α/s_r has the strain α/s_r · s_r/2 at its face; that a
    plastic hinge is about as long as the section is deep is common practice, no source.
    """
    positive("bend_angle", bend_angle)
    within("bend_angle", bend_angle, high=5 * pi / 6, why=_SHARPEST)
    return bend_angle / 2


strain_rise = ratio_of(
    "strain_rise",
    "How many times as far the outer face is strained with a score as without.",
    gives=Variable("m", "1", "rise of strain"),
    source="definition",
    strain_with=Variable("ε_h", "1", "strain with the score", positive),
    strain_without=Variable("ε", "1", "strain without it", positive),
)

# --- holes and mass ----------------------------------------------------------------------------


def place_of_hole(
    tangent_line: Annotated[float, "x_1", "m"],
    distance: Annotated[float, "l", "m"],
    setback: Annotated[float, "c", "m"],
) -> Annotated[float, "x", "m"]:
    """Where a hole lies in the flat that is measured from the end of a flange nearer the datum edge.

    Formula: x = x_1 + l - c. Symbols: x_1 the tangent line or edge at that end, from the datum edge (m), l
    distance as it is measured (m), c setback of the bend there, 0 at an edge (m), x place (m).
    Range: any. Errors: `OutOfRange`. Source: geometry.
    """
    not_negative("distance", distance)
    not_negative("setback", setback)
    return tangent_line + distance - setback


def place_of_hole_from_last(
    tangent_line: Annotated[float, "x_2", "m"],
    distance: Annotated[float, "l", "m"],
    setback: Annotated[float, "c", "m"],
) -> Annotated[float, "x", "m"]:
    """Where a hole lies in the flat that is measured from the end of a flange further from the datum edge.

    Formula: x = x_2 - l + c. Symbols: x_2 the tangent line or edge at that end, from the datum edge (m), l
    distance as it is measured (m), c setback of the bend there, 0 at an edge (m), x place (m).
    Range: any. Errors: `OutOfRange`. Source: geometry.
    """
    not_negative("distance", distance)
    not_negative("setback", setback)
    return tangent_line - distance + setback


def hole_clearance(
    distance: Annotated[float, "f", "m"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "f_h", "m"]:
    """From the rim of a hole to the nearest tangent line; below 0 where the hole reaches into the bend.

    Formula: f_h = f - d/2. Symbols: f distance of its middle from the tangent line (m), d diameter (m), f_h
    distance of its rim (m).
    Range: d positive. Errors: `OutOfRange`. Source: definition.
    """
    within("distance", distance)
    positive("diameter", diameter)
    return distance - diameter / 2


def area_of_holes(
    diameters_squared: Annotated[float, "Σd²", "m²"],
) -> Annotated[float, "A_h", "m²"]:
    """Area that round holes take out of the flat.

    Formula: A_h = π/4 Σd². Symbols: Σd² sum of the squared diameters (m²), A_h area (m²).
    Range: zero or more. Errors: `OutOfRange`. Source: circle.
    """
    not_negative("diameters_squared", diameters_squared)
    return pi / 4 * diameters_squared


def sheet_mass(
    area: Annotated[float, "A", "m²"],
    area_of_holes: Annotated[float, "A_h", "m²"],
    thickness: Annotated[float, "s", "m"],
    density: Annotated[float, "ρ", "kg/m³"],
) -> Annotated[float, "m", "kg"]:
    """Mass of a flat piece with holes; bending changes nothing of it.

    Formula: m = (A - A_h) s ρ. Symbols: A area of the outline (m²), A_h area of the holes (m²), s thickness
    (m), ρ density (kg/m³), m mass (kg).
    Range: A_h zero or more, not above A; others positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("area", area)
    within("area_of_holes", area_of_holes, 0, area, "holes lie inside of the outline")
    positive("thickness", thickness)
    positive("density", density)
    return (area - area_of_holes) * thickness * density


def side_reach(
    setback: Annotated[float, "c", "m"],
    allowance: Annotated[float, "A", "m"],
    straight: Annotated[float, "e", "m"],
) -> Annotated[float, "q", "m"]:
    """How far the flat of a side flange reaches beyond the edge that the width is measured to.

    Formula: q = A + e - c. Symbols: c setback of its bend (m), A its bend allowance (m), e its straight part
    (m), q reach (m).
    Range: c, e zero or more, A positive. Errors: `OutOfRange`. Source: geometry.
    """
    not_negative("setback", setback)
    positive("allowance", allowance)
    not_negative("straight", straight)
    return allowance + straight - setback


side_bend_line = difference_of(
    "side_bend_line",
    "Where the middle of a side flange's bend lies, inside of the edge that the width is measured to.",
    gives=Variable("y", "m", "distance of the bend line from that edge; below 0 outside of it"),
    source="definition",
    setback=Variable("c", "m", "setback of the bend", not_negative),
    half_allowance=Variable("A/2", "m", "half of the bend allowance", positive),
)


def relief_diameter(thickness: Annotated[float, "s", "m"]) -> Annotated[float, "d_r", "m"]:
    """Diameter of the relief hole in a corner where two bends meet.

    Formula: d_r = 1/8 in for s up to 0.064 in, otherwise 3/16 in. Symbols: s thickness (m), d_r diameter (m).
    Range: s above 0 to 0.128 in. Errors: `OutOfRange`. Source: FAA-H-8083-31, Aviation Maintenance Technician
    Handbook, Airframe, vol. 1, chapter 4: not less than these for aluminium sheet (as
    flight-mechanic.com has it).
    """
    positive("thickness", thickness)
    within("thickness", thickness, high=0.128 * 0.0254, why="the handbook's rule ends there")
    if thickness > 0.064 * 0.0254 * 1.01:
        return 3 / 16 * 0.0254
    return 1 / 8 * 0.0254


def stated_relief(stated: Annotated[float, "d_s", "m"]) -> Annotated[float, "d_r", "m"]:
    """Diameter of the relief holes, as it was stated.

    Formula: d_r = d_s. Symbols: d_s diameter stated (m), d_r diameter (m).
    Range: positive. Errors: `OutOfRange`. Source: as stated.
    """
    positive("relief_diameter", stated)
    return stated


place_across = sum_of(
    "place_across",
    "Where a hole lies across the flat.",
    gives=Variable("a_f", "m", "place from the lower edge of the flat"),
    source="definition",
    across=Variable("a", "m", "place from the edge that the width is measured to", positive),
    reach=Variable("q", "m", "reach of the lower side beyond that edge, 0 without one", _ANY),
)

flat_width_of = sum_of(
    "flat_width_of",
    "Width of the flat with what its side flanges reach beyond it.",
    gives=Variable("W_f", "m", "width of the flat"),
    source="definition",
    width=Variable("W", "m", "width as measured", positive),
    reaches=Variable("Σq", "m", "sum of the reaches; below 0 where setbacks take more", _ANY),
)

outline_area = product_of(
    "outline_area",
    "Area of a rectangular flat.",
    gives=Variable("A", "m²", "area"),
    source="definition",
    length=Variable("L", "m", "length of the flat", positive),
    width=Variable("W", "m", "width of the flat between its side flanges", positive),
)
area_with_sides = sum_of(
    "area_with_sides",
    "Area of a flat with its side flanges.",
    gives=Variable("A", "m²", "area"),
    source="definition",
    strip=Variable("A_0", "m²", "area of the strip", positive),
    sides=Variable("A_s", "m²", "area of the side flanges", not_negative),
)
