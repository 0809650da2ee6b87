"""Rows and patterns of rivets or bolts in thin sheet: what each bears, and what the sheet bears about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

# --- the load of a pattern ---------------------------------------------------------------------

centroid_place = ratio_of(
    "centroid_place",
    "Place of the middle of a pattern of like fasteners, along one axis.",
    gives=Variable("c", "m", "place of the centroid"),
    places_sum=Variable("S_p", "m", "sum of the fasteners' places"),
    number=Variable("n", "1", "fasteners", positive),
    source="definition of the centroid",
)

arm = difference_of(
    "arm",
    "How far a place lies from the centroid of a pattern, along one axis.",
    gives=Variable("a", "m", "distance from the centroid"),
    place=Variable("p_0", "m", "place"),
    centroid=Variable("c", "m", "place of the centroid"),
    source="geometry",
)


def polar_sum(
    squares_across: Annotated[float, "S_x", "m²"],
    squares_up: Annotated[float, "S_y", "m²"],
) -> Annotated[float, "J", "m²"]:
    """Sum of the squares of the fasteners' distances from their centroid.

    Formula: J = S_x + S_y. Symbols: S_x sum of the squares of the distances along the line (m²), S_y sum of
    the squares of the distances across it (m²), J polar sum (m²).
    Range: both zero or more. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("squares_across", squares_across)
    not_negative("squares_up", squares_up)
    return squares_across + squares_up


def torsion(
    force_along: Annotated[float, "F_x", "N"],
    force_across: Annotated[float, "F_y", "N"],
    arm_along: Annotated[float, "a_x", "m"],
    arm_across: Annotated[float, "a_y", "m"],
) -> Annotated[float, "T", "N·m"]:
    """Moment of a force in the plane of a pattern about the pattern's centroid.

    Formula: T = a_x F_y - a_y F_x. Symbols: F_x force along the line (N), F_y force across the line (N), a_x
    arm along the line (m), a_y arm across the line (m), T moment about the centroid (N·m).
    Range: any. Source: statics.
    """
    return arm_along * force_across - arm_across * force_along


direct_load = ratio_of(
    "direct_load",
    "Share of each fastener of a force through their centroid.",
    gives=Variable("V_d", "N", "direct load of a fastener"),
    force=Variable("F", "N", "force on the pattern", positive),
    number=Variable("n", "1", "fasteners", positive),
    source="equilibrium, each fastener with the same share",
)


def moment_load(
    moment: Annotated[float, "T", "N·m"],
    distance: Annotated[float, "r", "m"],
    polar_sum: Annotated[float, "J", "m²"],
) -> Annotated[float, "V_m", "N"]:
    """Load of a fastener by a moment that turns the pattern about its centroid.

    Formula: V_m = |T| r / J. Symbols: T moment about the centroid (N·m), r distance of the fastener from the
    centroid (m), J polar sum (m²), V_m load by the moment (N).
    Range: r zero or more, J positive. Errors: `OutOfRange`.
    Source: the elastic method of textbooks on machine elements: sheets stiff, fasteners alike.
    """
    not_negative("distance", distance)
    positive("polar_sum", polar_sum)
    return abs(moment) * distance / polar_sum


def fastener_load(
    force_along: Annotated[float, "F_x", "N"],
    force_across: Annotated[float, "F_y", "N"],
    number: Annotated[float, "n", "1"],
    turned_along: Annotated[float, "V_x", "N"],
    turned_across: Annotated[float, "V_y", "N"],
) -> Annotated[float, "V", "N"]:
    """Load of a fastener in the plane of the sheet: its direct share and its part of the moment.

    Formula: V = √((F_x/n + V_x)² + (F_y/n + V_y)²). Symbols: F_x force along the line (N), F_y force across
    the line (N), n fasteners (1), V_x load by the moment along the line (N), V_y load by the moment across
    the line (N), along load along the line (N), across load across the line (N), V load of the fastener (N).
    Range: n positive. Errors: `OutOfRange`.
    Source: the elastic method of textbooks on machine elements, added as vectors.
    """
    positive("number", number)
    along = force_along / number + turned_along
    across = force_across / number + turned_across
    return sqrt(along**2 + across**2)


def turned_load(
    moment: Annotated[float, "T", "N·m"],
    off: Annotated[float, "b", "m"],
    polar_sum: Annotated[float, "J", "m²"],
) -> Annotated[float, "V_t", "N"]:
    """Load by the moment along one axis, of a fastener so far off the centroid along the other.

    Formula: V_t = T b / J. Symbols: T moment about the centroid (N·m), b distance off the centroid (m), J
    polar sum (m²), V_t load by the moment along one axis (N).
    Range: J positive. Errors: `OutOfRange`. Source: the elastic method of textbooks on machine elements.
    """
    positive("polar_sum", polar_sum)
    return moment * off / polar_sum


# --- what fastener and sheet bear --------------------------------------------------------------

fastener_resistance = ratio_of(
    "fastener_resistance",
    "What a fastener is counted to bear: its least load by its maker over the partial factor.",
    gives=Variable("R_f", "N", "resistance of the fastener"),
    least_load=Variable("F_1", "N", "least load of one fastener", positive),
    partial_factor=Variable("γ_M", "1", "partial factor", positive),
    source="EN 1993-1-3, 8.3: characteristic value over γ_M2",
)


def blind_rivet_factor(
    thickness: Annotated[float, "t", "m"],
    thicker: Annotated[float, "t_1", "m"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "α", "1"]:
    """Bearing factor of a blind rivet in a sheet, by the thickness of the thicker one of the two.

    Formula: α = α_0 + (2.1 - α_0) min((t_1/t - 1)/1.5, 1) with α_0 = min(3.6 √(t/d), 2.1). Symbols: t
    thickness of the sheet (m), t_1 thickness of the thicker sheet (m), d diameter of the fastener (m), thin
    factor bearing factor of two like sheets (1), α bearing factor (1).
    Range: t and t_1 positive, t_1 not below t, d 2.6 to 6.4 mm. Errors: `OutOfRange`.
    Source: EN 1993-1-3:2006, table 8.1, as an early version of a public program has it (K. Mela,
    en1993_1_3.py): 2.1 from t_1 = 2.5 t on; linear between.
    """
    positive("thickness", thickness)
    positive("thicker", thicker)
    within("diameter", diameter, 0.0026, 0.0064, why="blind rivets of EN 1993-1-3")
    if thicker < thickness:
        raise OutOfRange("thicker", f"{thicker:g}", f"{thickness:g} or more")
    thin_factor = min(3.6 * sqrt(thickness / diameter), 2.1)
    return thin_factor + (2.1 - thin_factor) * min((thicker / thickness - 1) / 1.5, 1.0)


_THIN: Annotated[float, "t_0", "m"] = 0.00125
_PER_METRE: Annotated[float, "k_t", "1/m"] = 800.0


def bolt_factor(thickness: Annotated[float, "t", "m"]) -> Annotated[float, "α", "1"]:
    """Bearing factor of a bolt in a sheet.

    Formula: α = 2.5 from t = 1.25 mm on, below 1.5 + 0.8 t/mm. Symbols: t thickness of the sheet (m), t_0
    thickness from which it is full (m), k_t rise of the factor with the thickness (1/m), α bearing factor
    (1).
    Range: t 0.75 to 4 mm. Errors: `OutOfRange`.
    Source: EN 1993-1-3:2006, table 8.4, as a public program has it (P. Biel); from 1.25 mm ENV 1993-1-3:1996.
    """
    within("thickness", thickness, 0.00075, 0.004, why="sheet of EN 1993-1-3")
    if thickness >= _THIN:
        return 2.5
    return 1.5 + _PER_METRE * thickness


def aircraft_factor() -> Annotated[float, "α_a", "1"]:
    """Bearing stress of a sheet over its tensile strength, as aircraft repair tables count it.

    Formula: α_a = 1.6. Symbols: α_a bearing factor of aircraft repair (1). For edges of two diameters or
    more. Range: any. Source: FAA AC 43.13-1B (1998), tables 4-10 and 4-11, engineering note b.
    """
    return 1.6


def bearing_resistance(
    bearing_factor: Annotated[float, "α", "1"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    diameter: Annotated[float, "d", "m"],
    thickness: Annotated[float, "t", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "R_b", "N"]:
    """What a sheet bears at one fastener before the hole is drawn long.

    Formula: R_b = α f_u d t / γ_M. Symbols: α bearing factor (1), f_u tensile strength of the sheet (Pa), d
    diameter of the fastener (m), t thickness of the sheet (m), γ_M partial factor (1), R_b bearing resistance
    (N).
    Range: all positive. Errors: `OutOfRange`. Source: EN 1993-1-3, tables 8.1 and 8.4.
    """
    positive("bearing_factor", bearing_factor)
    positive("tensile_strength", tensile_strength)
    positive("diameter", diameter)
    positive("thickness", thickness)
    positive("partial_factor", partial_factor)
    return bearing_factor * tensile_strength * diameter * thickness / partial_factor


def edge_resistance(
    tensile_strength: Annotated[float, "f_u", "Pa"],
    edge_distance: Annotated[float, "e_1", "m"],
    thickness: Annotated[float, "t", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "R_e", "N"]:
    """What a sheet bears at one fastener before it tears out to its edge.

    Formula: R_e = f_u e_1 t / (1.2 γ_M). Symbols: f_u tensile strength of the sheet (Pa), e_1 distance from
    the fastener's middle to the edge (m), t thickness of the sheet (m), γ_M partial factor (1), R_e
    resistance of the edge (N).
    Range: all positive. Errors: `OutOfRange`.
    Source: EN 1993-1-3, table 8.1: the bearing resistance is no more than that.
    """
    positive("tensile_strength", tensile_strength)
    positive("edge_distance", edge_distance)
    positive("thickness", thickness)
    positive("partial_factor", partial_factor)
    return tensile_strength * edge_distance * thickness / (1.2 * partial_factor)


def edge_resistance_of_bolt(
    bearing_factor: Annotated[float, "α", "1"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    edge_distance: Annotated[float, "e_1", "m"],
    thickness: Annotated[float, "t", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "R_e", "N"]:
    """What a sheet bears at one bolt before it tears out to its edge: as in bearing, less in thin sheet.

    Formula: R_e = α f_u e_1 t / (3 γ_M). Symbols: α bearing factor (1), f_u tensile strength of the sheet
    (Pa), e_1 distance from the fastener's middle to the edge (m), t thickness of the sheet (m), γ_M partial
    factor (1), R_e resistance of the edge (N).
    Range: all positive. Errors: `OutOfRange`.
    Source: EN 1993-1-3:2006, table 8.4, as a public program has it (P. Biel): 2.5 α_b k_t f_u d t / γ_M2 with
    α_b = e_1/(3 d) and 2.5 k_t = α.
    """
    positive("bearing_factor", bearing_factor)
    positive("tensile_strength", tensile_strength)
    positive("edge_distance", edge_distance)
    positive("thickness", thickness)
    positive("partial_factor", partial_factor)
    return bearing_factor * tensile_strength * edge_distance * thickness / (3 * partial_factor)


def bearing_width(
    diameter: Annotated[float, "d", "m"], edge_distance: Annotated[float, "e_1", "m"]
) -> Annotated[float, "b_e", "m"]:
    """Width of the sheet that a bolt may press on: near an edge less than its diameter.

    Formula: b_e = min(d, e_1/3). Symbols: d diameter of the fastener (m), e_1 distance from the fastener's
    middle to the edge (m), b_e width that bears (m).
    Range: both positive. Errors: `OutOfRange`. Source: EN 1993-1-3:2006, table 8.4: d times α_b.
    """
    positive("diameter", diameter)
    positive("edge_distance", edge_distance)
    return min(diameter, edge_distance / 3)


def net_factor(
    across: Annotated[float, "m_a", "1"],
    number: Annotated[float, "n", "1"],
    hole_diameter: Annotated[float, "d_0", "m"],
    width: Annotated[float, "w", "m"],
) -> Annotated[float, "k_n", "1"]:
    """By how much a net section with bolts is weakened, since the force has to gather at few of them.

    Formula: k_n = min(1 + 3 (m_a/n) (d_0 m_a/w - 0.3), 1). Symbols: m_a holes across the section (1), n
    fasteners (1), d_0 diameter of the hole (m), w width of the sheet (m), k_n factor of the net section (1).
    The holes stand evenly: the standard's u is w/m_a.
    Range: all positive. Errors: `OutOfRange`. Source: ENV 1993-1-3:1996, table 8.4.
    """
    positive("across", across)
    positive("number", number)
    positive("hole_diameter", hole_diameter)
    positive("width", width)
    return min(1 + 3 * across / number * (hole_diameter * across / width - 0.3), 1.0)


def net_resistance(
    net_factor: Annotated[float, "k_n", "1"],
    width: Annotated[float, "w", "m"],
    across: Annotated[float, "m_a", "1"],
    hole_diameter: Annotated[float, "d_0", "m"],
    thickness: Annotated[float, "t", "m"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "R_n", "N"]:
    """What is left of a sheet between its holes, in tension.

    Formula: R_n = k_n (w - m_a d_0) t f_u / γ_M. Symbols: k_n factor of the net section (1), w width of the
    sheet (m), m_a holes across the section (1), d_0 diameter of the hole (m), t thickness of the sheet (m),
    f_u tensile strength of the sheet (Pa), γ_M partial factor (1), R_n resistance of the net section (N).
    Range: all positive, m_a d_0 less than w. Errors: `OutOfRange`. Source: EN 1993-1-3, tables 8.1 and 8.4.
    """
    positive("net_factor", net_factor)
    positive("width", width)
    positive("across", across)
    positive("hole_diameter", hole_diameter)
    positive("thickness", thickness)
    positive("tensile_strength", tensile_strength)
    positive("partial_factor", partial_factor)
    if across * hole_diameter >= width:
        raise OutOfRange("width", f"{width:g}", f"more than its holes take, {across * hole_diameter:g}")
    return net_factor * (width - across * hole_diameter) * thickness * tensile_strength / partial_factor


use = ratio_of(
    "use",
    "A load as a share of what is there to bear it.",
    gives=Variable("u", "1", "use"),
    load=Variable("Q", "N", "load", not_negative),
    resistance=Variable("R", "N", "resistance", positive),
    source="definition",
)

combined_use = sum_of(
    "combined_use",
    "Use of a fastener that is sheared and pulled, both counted in full.",
    gives=Variable("u_c", "1", "use by shear and tension"),
    shear_use=Variable("u_s", "1", "use by shear", not_negative),
    tension_use=Variable("u_t", "1", "use by tension", not_negative),
    source="on the safe side of EN 1993-1-8, table 3.4, which counts 1/1.4 of the tension",
)

fasteners_needed = ratio_of(
    "fasteners_needed",
    "How many fasteners bear a force through their centroid, before rounding up.",
    gives=Variable("n_w", "1", "fasteners needed"),
    force=Variable("F", "N", "force on the pattern", positive),
    least_resistance=Variable("R_1", "N", "least resistance at one fastener", positive),
    source="equilibrium, each fastener with the same share",
)


def thickness_for_blind_rivet(
    load: Annotated[float, "V", "N"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    diameter: Annotated[float, "d", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "t_b", "m"]:
    """Thickness of two like sheets that bears the load of a blind rivet.

    Formula: t_b = max((γ_M V / (3.6 f_u √d))^(2/3), γ_M V / (2.1 f_u d)). Symbols: V load of the fastener
    (N), f_u tensile strength of the sheet (Pa), d diameter of the fastener (m), γ_M partial factor (1), thin
    thickness of two thin sheets (m), t_b thickness for bearing (m).
    Range: all positive. Errors: `OutOfRange`.
    Source: EN 1993-1-3:2006, table 8.1, as for the bearing factor, solved for the thickness.
    """
    positive("load", load)
    positive("tensile_strength", tensile_strength)
    positive("diameter", diameter)
    positive("partial_factor", partial_factor)
    thin: float = (partial_factor * load / (3.6 * tensile_strength * sqrt(diameter))) ** (2 / 3)
    return max(thin, partial_factor * load / (2.1 * tensile_strength * diameter))


def thickness_for_bolt(
    load: Annotated[float, "V", "N"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    bearing_width: Annotated[float, "b_e", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "t_w", "m"]:
    """Thickness of a sheet that bears the load of a bolt, at its edge as well.

    Formula: t_w = γ_M V / (2.5 f_u b_e) from 1.25 mm on; below that the t_w of t_w (1.5 + 0.8 t_w/mm) = γ_M V
    / (f_u b_e). Symbols: V load of the fastener (N), f_u tensile strength of the sheet (Pa), b_e width that
    bears (m), γ_M partial factor (1), t_0 thickness from which the factor is full (m), k_t rise of the
    factor with the thickness (1/m), borne load over strength and width (m), t_w least thickness of the sheet
    (m).
    Range: all positive. Errors: `OutOfRange`. Source: EN 1993-1-3, table 8.4, solved for the thickness.
    """
    positive("load", load)
    positive("tensile_strength", tensile_strength)
    positive("bearing_width", bearing_width)
    positive("partial_factor", partial_factor)
    borne = partial_factor * load / (tensile_strength * bearing_width)
    if borne >= 2.5 * _THIN:
        return borne / 2.5
    return (sqrt(2.25 + 4 * _PER_METRE * borne) - 1.5) / (2 * _PER_METRE)


def thickness_by_aircraft(
    load: Annotated[float, "V", "N"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    diameter: Annotated[float, "d", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "t_b", "m"]:
    """Thickness of a sheet that bears the load of a fastener at 1.6 times its tensile strength.

    Formula: t_b = γ_M V / (1.6 f_u d). Symbols: V load of the fastener (N), f_u tensile strength of the sheet
    (Pa), d diameter of the fastener (m), γ_M partial factor (1), t_b thickness for bearing (m).
    Range: all positive. Errors: `OutOfRange`.
    Source: FAA AC 43.13-1B (1998), tables 4-10 and 4-11, engineering note b, solved for the thickness.
    """
    positive("load", load)
    positive("tensile_strength", tensile_strength)
    positive("diameter", diameter)
    positive("partial_factor", partial_factor)
    return partial_factor * load / (1.6 * tensile_strength * diameter)


def least_thickness(
    bearing_thickness: Annotated[float, "t_b", "m"],
    load: Annotated[float, "V", "N"],
    tensile_strength: Annotated[float, "f_u", "Pa"],
    edge_distance: Annotated[float, "e_1", "m"],
    partial_factor: Annotated[float, "γ_M", "1"],
) -> Annotated[float, "t_w", "m"]:
    """Least thickness of a sheet, for bearing and for its edge.

    Formula: t_w = max(t_b, 1.2 γ_M V / (f_u e_1)). Symbols: t_b thickness for bearing (m), V load of the
    fastener (N), f_u tensile strength of the sheet (Pa), e_1 distance from the fastener's middle to the edge
    (m), γ_M partial factor (1), t_w least thickness of the sheet (m).
    Range: all positive. Errors: `OutOfRange`. Source: EN 1993-1-3, table 8.1, solved for it.
    """
    positive("bearing_thickness", bearing_thickness)
    positive("load", load)
    positive("tensile_strength", tensile_strength)
    positive("edge_distance", edge_distance)
    positive("partial_factor", partial_factor)
    return max(bearing_thickness, 1.2 * partial_factor * load / (tensile_strength * edge_distance))


# --- rules of a row ----------------------------------------------------------------------------

in_diameters = ratio_of(
    "in_diameters",
    "A distance in diameters of the fastener, as rules of rows are told.",
    gives=Variable("k_d", "1", "distance in diameters"),
    distance=Variable("l", "m", "distance", positive),
    diameter=Variable("d", "m", "diameter of the fastener", positive),
    source="definition",
)

diameter_in_thicknesses = ratio_of(
    "diameter_in_thicknesses",
    "Diameter of a fastener in thicknesses of the thicker sheet.",
    gives=Variable("k_s", "1", "diameter in thicknesses"),
    diameter=Variable("d", "m", "diameter of the fastener", positive),
    thicker=Variable("t_1", "m", "thickness of the thicker sheet", positive),
    source="definition",
)

grip = sum_of(
    "grip",
    "What a fastener holds together.",
    gives=Variable("g", "m", "grip"),
    thickness=Variable("t", "m", "thickness of the sheet", positive),
    other_thickness=Variable("t_2", "m", "thickness of the other sheet", positive),
    source="geometry",
)

hole_clearance = difference_of(
    "hole_clearance",
    "By how much a hole is wider than its fastener.",
    gives=Variable("Δd", "m", "clearance of the hole"),
    hole_diameter=Variable("d_0", "m", "diameter of the hole", positive),
    diameter=Variable("d", "m", "diameter of the fastener", positive),
    source="geometry",
)

rule_distance = product_of(
    "rule_distance",
    "A distance that a rule tells in diameters.",
    gives=Variable("l_r", "m", "distance by the rule"),
    diameters=Variable("k_r", "1", "diameters of the rule", positive),
    diameter=Variable("d", "m", "diameter of the fastener", positive),
    source="definition",
)


def buckling_pitch(
    thickness: Annotated[float, "t", "m"],
    elastic_modulus: Annotated[float, "E", "Pa"],
    compression: Annotated[float, "σ_c", "Pa"],
    fixity: Annotated[float, "c_f", "1"],
) -> Annotated[float, "p_b", "m"]:
    """Pitch at which a sheet in compression along a row buckles between two fasteners.

    Formula: p_b = π t √(c_f E / (12 σ_c)), from σ_c = c_f π² E t² / (12 p_b²). Symbols: t thickness of the
    sheet (m), E modulus of elasticity (Pa), σ_c compressive stress along the row (Pa), c_f fixity at the
    fasteners (1), p_b pitch at which it buckles (m).
    Range: all positive, c_f up to 4. Elastic. Errors: `OutOfRange`.
    Source: Flabel, Practical Stress Analysis for Design Engineers, as a public page quotes it.
    """
    positive("thickness", thickness)
    positive("elastic_modulus", elastic_modulus)
    positive("compression", compression)
    positive("fixity", fixity)
    within("fixity", fixity, high=4.0, why="both ends clamped")
    return pi * thickness * sqrt(fixity * elastic_modulus / (12 * compression))


def least_of_two(
    first_resistance: Annotated[float, "R_1", "N"],
    other_resistance: Annotated[float, "R_2", "N"],
) -> Annotated[float, "R_m", "N"]:
    """The smaller of two resistances.

    Formula: R_m = min(R_1, R_2). Symbols: R_1 one resistance (N), R_2 other resistance (N), R_m smaller
    resistance (N).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("first_resistance", first_resistance)
    positive("other_resistance", other_resistance)
    return min(first_resistance, other_resistance)


def stated_load(stated: Annotated[float, "V", "N"]) -> Annotated[float, "V_w", "N"]:
    """The load of the most loaded fastener, which is one of those above.

    Formula: V_w = V. Symbols: V load of the fastener (N), V_w greatest load of a fastener (N).
    Range: V zero or more. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("stated", stated)
    return stated


def stated_use(stated: Annotated[float, "u", "1"]) -> Annotated[float, "u_w", "1"]:
    """The greatest of several uses, which is one of those above.

    Formula: u_w = u. Symbols: u use (1), u_w greatest use (1).
    Range: u zero or more. Errors: `OutOfRange`. Source: definition.
    """
    not_negative("stated", stated)
    return stated


# --- a row along an edge -----------------------------------------------------------------------


def stated_distance(stated: Annotated[float, "e_s", "m"]) -> Annotated[float, "e_r", "m"]:
    """Distance of a row from an edge, as its author lays it out.

    Formula: e_r = e_s. Symbols: e_s distance from the edge stated (m), e_r distance from the edge (m).
    Range: positive. Errors: `OutOfRange`. Source: as stated.
    """
    positive("stated", stated)
    return stated


def row_pitch(
    edge_length: Annotated[float, "l_e", "m"],
    end_distance: Annotated[float, "e_2", "m"],
    end_distance_after: Annotated[float, "e_3", "m"],
    count: Annotated[float, "n_r", "1"],
) -> Annotated[float, "p_r", "m"]:
    """Pitch of a row that is laid out evenly along an edge.

    Formula: p_r = (l_e - e_2 - e_3)/(n_r - 1). Symbols: l_e length of the edge (m), e_2 distance of the first
    from its end (m), e_3 distance of the last from the other end (m), n_r fasteners of the row (1), p_r pitch
    of the row (m).
    Range: l_e, e_2 and e_3 positive, n_r from 2; e_2 and e_3 together less than l_e. Errors: `OutOfRange`.
    Source: geometry.
    """
    positive("edge_length", edge_length)
    positive("end_distance", end_distance)
    positive("end_distance_after", end_distance_after)
    within("count", count, low=2.0)
    if end_distance + end_distance_after >= edge_length:
        raise OutOfRange(
            "end_distance", f"{end_distance:g}", f"less than {edge_length - end_distance_after:g}"
        )
    return (edge_length - end_distance - end_distance_after) / (count - 1)


def row_clearance(
    straight: Annotated[float, "f_s", "m"],
    edge_distance: Annotated[float, "e_r", "m"],
    hole_diameter: Annotated[float, "d_0", "m"],
) -> Annotated[float, "f_r", "m"]:
    """From the rims of a row's holes to the tangent line of the bend that the edge's flange begins at.

    Formula: f_r = f_s - e_r - d_0/2. Symbols: f_s straight part of the flange (m), e_r distance from the edge
    (m), d_0 diameter of the hole (m), f_r distance of the rims from the bend (m).
    Range: all positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("straight", straight)
    positive("edge_distance", edge_distance)
    positive("hole_diameter", hole_diameter)
    return straight - edge_distance - hole_diameter / 2


# --- rows along a lap ----------------------------------------------------------------------------

matching_edge = difference_of(
    "matching_edge",
    "From the edge of the sheet to the row that a row in the lap meets at the other side of the seam.",
    lap=Variable("l", "m", "width of the lap", positive),
    edge_distance=Variable("e_r", "m", "distance of the row from the free edge of the lap", positive),
    gives=Variable("e_m", "m", "distance of the matching row from the sheet's edge"),
    source="geometry",
)


def lap_shift(
    matching_edge: Annotated[float, "e_m", "m"],
    thickness: Annotated[float, "t", "m"],
    wall_radius: Annotated[float, "r_w", "m"],
) -> Annotated[float, "k_l", "m"]:
    """By how much a hole of a lap misses its partner on a round wall, where the lap lies a thickness above or
    below the wall: as long an arc on another radius is another angle.

    Formula: k_l = e_m t/(r_w - t). Symbols: e_m distance of the row from the seam (m), t thickness of the
    sheet (m), r_w least radius of the wall at the seam (m), k_l how far the holes miss each other (m).
    Range: all positive, t up to half of r_w. Errors: `OutOfRange`. Source: geometry; the lap inside, which is
    the larger of both.
    """
    positive("matching_edge", matching_edge)
    positive("thickness", thickness)
    positive("wall_radius", wall_radius)
    within("thickness", thickness, high=wall_radius / 2, why="a wall is thinner than it is round")
    return matching_edge * thickness / (wall_radius - thickness)


Flat = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class RowInSheet:
    """The middles of a row's holes in their flat sheet: its cut line, closed, and its bend lines."""

    middles: tuple[Flat, ...]
    outline: tuple[Flat, ...] = ()
    folds: tuple[tuple[Flat, Flat], ...] = ()


def row_margin(row: RowInSheet) -> Annotated[float, "e_c", "m"]:
    """How far the middles of a row's holes are from the cut edges of their sheet, at the least.

    In words: the least distance of all the holes' middles from all parts of the cut line; below 0 where a
    middle lies beyond it.
    Formula: e_c = min |p - c|. Symbols: p the middle of a hole (m), c a place of the cut line (m), e_c
    distance from the row to the nearest cut edge (m).
    Range: any row. Source: geometry.
    """
    return min(_inside(place, row.outline) for place in row.middles)


def _inside(place: Flat, outline: Sequence[Flat]) -> float:
    """How far a place is within a closed line; below 0 outside of it."""
    sides = list(zip(outline, (*outline[1:], outline[0]), strict=True))
    away = min(_distance_from_line(place, *side) for side in sides)
    x, y = place
    # A ray to the right crosses the line an odd number of times from within.
    crossed = [
        low[0] + (y - low[1]) / (high[1] - low[1]) * (high[0] - low[0]) > x
        for low, high in sides
        if (low[1] > y) != (high[1] > y)
    ]
    return away if sum(crossed) % 2 else -away


def _distance_from_line(place: Flat, begin: Flat, end: Flat) -> float:
    """How far a place is from a line that ends at both of its places."""
    across, up = end[0] - begin[0], end[1] - begin[1]
    square = across**2 + up**2
    share = ((place[0] - begin[0]) * across + (place[1] - begin[1]) * up) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return hypot(place[0] - begin[0] - share * across, place[1] - begin[1] - share * up)


def fold_clearance(
    row: RowInSheet, hole_diameter: Annotated[float, "d_0", "m"]
) -> Annotated[float, "f_r", "m"]:
    """From the rims of a row's holes to the nearest bend line of their sheet.

    In words: the least distance of all the holes' middles from all bend lines, less their radius.
    Formula: f_r = min |p - b| - d_0/2. Symbols: p the middle of a hole (m), b a place of a bend line (m), d_0
    diameter of the hole (m), f_r distance of the rims from the bend (m).
    Range: any row; d_0 positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("hole_diameter", hole_diameter)
    nearest = min(_distance_from_line(place, *fold) for place in row.middles for fold in row.folds)
    return nearest - hole_diameter / 2
