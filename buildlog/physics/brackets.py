"""Brackets of strip, folded sheet and tube that stick out: sections, stress, sag, natural frequency."""

from __future__ import annotations

from math import log, pi, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive


def _thinner(thickness: float, size: float, share: float = 1.0) -> None:
    if thickness > share * size:
        raise OutOfRange("thickness", f"{thickness:g}", f"at most {share * size:g}")


# --- sections ----------------------------------------------------------------------------------


def rectangle_area(
    width: Annotated[float, "b", "m"], height: Annotated[float, "h", "m"]
) -> Annotated[float, "A", "m²"]:
    """Area of a solid rectangle.

    Formula: A = b h. Symbols: b width across the load (m), h height along the load (m), A area of the section
    (m²).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    return width * height


def rectangle_second_moment(
    width: Annotated[float, "b", "m"], height: Annotated[float, "h", "m"]
) -> Annotated[float, "I", "m⁴"]:
    """Second moment of area of a solid rectangle.

    Formula: I = b h³/12. Symbols: b width across the load (m), h height along the load (m), I second moment
    of area (m⁴).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    return width * height**3 / 12


def box_area(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
) -> Annotated[float, "A", "m²"]:
    """Area of a square or rectangular tube with sharp corners.

    Formula: A = b h - (b - 2 t) (h - 2 t). Symbols: b width across the load (m), h height along the load (m),
    t thickness of the sheet (m), A area of the section (m²).
    Range: all positive; t up to half of either. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, min(width, height), 0.5)
    return width * height - (width - 2 * thickness) * (height - 2 * thickness)


def box_second_moment(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
) -> Annotated[float, "I", "m⁴"]:
    """Second moment of area of a square or rectangular tube with sharp corners.

    Formula: I = (b h³ - (b - 2 t) (h - 2 t)³)/12. Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), I second moment of area (m⁴).
    Range: all positive; t up to half of either. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, min(width, height), 0.5)
    return (width * height**3 - (width - 2 * thickness) * (height - 2 * thickness) ** 3) / 12


def tube_area(
    height: Annotated[float, "h", "m"], thickness: Annotated[float, "t", "m"]
) -> Annotated[float, "A", "m²"]:
    """Area of a round tube.

    Formula: A = π (h - t) t. Symbols: h height along the load (m), t thickness of the sheet (m), A area of
    the section (m²).
    Range: both positive; t up to half of h. Errors: `OutOfRange`. Source: geometry.
    """
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, height, 0.5)
    return pi * (height - thickness) * thickness


def tube_second_moment(
    height: Annotated[float, "h", "m"], thickness: Annotated[float, "t", "m"]
) -> Annotated[float, "I", "m⁴"]:
    """Second moment of area of a round tube.

    Formula: I = π (h⁴ - (h - 2 t)⁴)/64. Symbols: h height along the load (m), t thickness of the sheet (m), I
    second moment of area (m⁴).
    Range: both positive; t up to half of h. Errors: `OutOfRange`. Source: geometry.
    """
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, height, 0.5)
    return pi * (height**4 - (height - 2 * thickness) ** 4) / 64


def legs_area(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    legs: Annotated[float, "n_l", "1"],
) -> Annotated[float, "A", "m²"]:
    """Area of a flat with legs along the load: an angle has one, a channel two.

    Formula: A = b t + n_l t (h - t). Symbols: b width across the load (m), h height along the load (m), t
    thickness of the sheet (m), n_l legs (1), A area of the section (m²).
    Range: all positive; t up to h. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("legs", legs)
    _thinner(thickness, height)
    return width * thickness + legs * thickness * (height - thickness)


def centroid_depth(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    legs: Annotated[float, "n_l", "1"],
    area: Annotated[float, "A", "m²"],
) -> Annotated[float, "y_c", "m"]:
    """How deep the centroid of a flat with legs lies below the flat's outer face.

    Formula: y_c = (b t² + n_l t (h² - t²))/(2 A). Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), n_l legs (1), A area of the section (m²), y_c depth of the
    centroid (m).
    Range: all positive; t up to h. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("legs", legs)
    positive("area", area)
    _thinner(thickness, height)
    return (width * thickness**2 + legs * thickness * (height**2 - thickness**2)) / (2 * area)


def legs_second_moment(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    legs: Annotated[float, "n_l", "1"],
    area: Annotated[float, "A", "m²"],
    depth: Annotated[float, "y_c", "m"],
) -> Annotated[float, "I", "m⁴"]:
    """Second moment of area of a flat with legs, about the axis along the flat through the centroid.

    Formula: I = (b t³ + n_l t (h³ - t³))/3 - A y_c². Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), n_l legs (1), A area of the section (m²), y_c depth of the
    centroid (m), about face second moment about the outer face (m⁴), I second moment of area (m⁴).
    Range: all positive; t up to h. Errors: `OutOfRange`. Source: geometry, Steiner's theorem.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("legs", legs)
    positive("area", area)
    positive("depth", depth)
    _thinner(thickness, height)
    about_face = (width * thickness**3 + legs * thickness * (height**3 - thickness**3)) / 3
    return about_face - area * depth**2


def angle_side(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    area: Annotated[float, "A", "m²"],
) -> Annotated[float, "x_c", "m"]:
    """How far from the outer face of an angle's standing leg its centroid lies.

    Formula: x_c = (h t² + t (b² - t²))/(2 A). Symbols: b width across the load (m), h height along the load
    (m), t thickness of the sheet (m), A area of the section (m²), x_c distance of the centroid from the
    standing leg's face (m).
    Range: all positive; t up to b. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("area", area)
    _thinner(thickness, width)
    return (height * thickness**2 + thickness * (width**2 - thickness**2)) / (2 * area)


def angle_other_moment(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    area: Annotated[float, "A", "m²"],
    side: Annotated[float, "x_c", "m"],
) -> Annotated[float, "I_y", "m⁴"]:
    """Second moment of area of an angle about the axis along the load through its centroid.

    Formula: I_y = (h t³ + t (b³ - t³))/3 - A x_c². Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), A area of the section (m²), x_c distance of the centroid from the
    standing leg's face (m), about face second moment about that face (m⁴), I_y second moment about the axis
    along the load (m⁴).
    Range: all positive; t up to b. Errors: `OutOfRange`. Source: geometry, Steiner's theorem.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("area", area)
    positive("side", side)
    _thinner(thickness, width)
    about_face = (height * thickness**3 + thickness * (width**3 - thickness**3)) / 3
    return about_face - area * side**2


def angle_product(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    area: Annotated[float, "A", "m²"],
    depth: Annotated[float, "y_c", "m"],
    side: Annotated[float, "x_c", "m"],
) -> Annotated[float, "I_xy", "m⁴"]:
    """Product of area of an angle, which makes it go sideways under a load along a leg.

    Formula: I_xy = (b² t² + t² (h² - t²))/4 - A x_c y_c. Symbols: b width across the load (m), h height along
    the load (m), t thickness of the sheet (m), A area of the section (m²), y_c depth of the centroid (m), x_c
    distance of the centroid from the standing leg's face (m), I_xy product of area (m⁴).
    Range: all positive; t up to h. Errors: `OutOfRange`. Source: geometry, Steiner's theorem.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("area", area)
    positive("depth", depth)
    positive("side", side)
    _thinner(thickness, height)
    return (width**2 * thickness**2 + thickness**2 * (height**2 - thickness**2)) / 4 - area * side * depth


def rectangle_other_moment(
    width: Annotated[float, "b", "m"], height: Annotated[float, "h", "m"]
) -> Annotated[float, "I_y", "m⁴"]:
    """Second moment of area of a solid rectangle about the axis along the load, for bending sideways.

    Formula: I_y = h b³/12. Symbols: b width across the load (m), h height along the load (m), I_y second
    moment about the axis along the load (m⁴).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    return height * width**3 / 12


def box_other_moment(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
) -> Annotated[float, "I_y", "m⁴"]:
    """Second moment of area of a rectangular tube about the axis along the load, for bending sideways.

    Formula: I_y = (h b³ - (h - 2 t) (b - 2 t)³)/12. Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), I_y second moment about the axis along the load (m⁴).
    Range: all positive; t up to half of either. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, min(width, height), 0.5)
    return (height * width**3 - (height - 2 * thickness) * (width - 2 * thickness) ** 3) / 12


def channel_other_moment(
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
) -> Annotated[float, "I_y", "m⁴"]:
    """Second moment of area of a channel about the axis along the load, for bending sideways.

    Formula: I_y = (h b³ - (h - t) (b - 2 t)³)/12. Symbols: b width across the load (m), h height along the
    load (m), t thickness of the sheet (m), I_y second moment about the axis along the load (m⁴).
    Range: all positive; t up to h and to half of b. Errors: `OutOfRange`. Source: geometry.
    """
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    _thinner(thickness, height)
    _thinner(thickness, width, 0.5)
    return (height * width**3 - (height - thickness) * (width - 2 * thickness) ** 3) / 12


def lesser_second_moment(
    second_moment: Annotated[float, "I", "m⁴"], other_moment: Annotated[float, "I_y", "m⁴"]
) -> Annotated[float, "I_1", "m⁴"]:
    """Least second moment of area of a section that is alike to the left and to the right.

    Formula: I_1 = min(I, I_y). Symbols: I second moment of area (m⁴), I_y second moment about the axis along
    the load (m⁴), I_1 least second moment of area (m⁴).
    Range: both positive. Errors: `OutOfRange`. Source: its principal axes lie along and across the load.
    """
    positive("second_moment", second_moment)
    positive("other_moment", other_moment)
    return min(second_moment, other_moment)


def least_second_moment(
    second_moment: Annotated[float, "I", "m⁴"],
    other_moment: Annotated[float, "I_y", "m⁴"],
    product: Annotated[float, "I_xy", "m⁴"],
) -> Annotated[float, "I_1", "m⁴"]:
    """Least second moment of area of an angle: about the axis that it bends about the most easily.

    Formula: I_1 = (I I_y - I_xy²)/((I + I_y)/2 + √(((I - I_y)/2)² + I_xy²)), the lesser of two that have this
    product and the sum I + I_y. Symbols: I second moment of area (m⁴), I_y second moment about the axis along
    the load (m⁴), I_xy product of area (m⁴), mean of the two second moments (m⁴), reach of the principal ones
    about it (m⁴), I_1 least second moment of area (m⁴).
    Range: I and I_y positive; I_xy² less than I I_y. Errors: `OutOfRange`.
    Source: principal axes of textbooks on strength of materials.
    """
    positive("second_moment", second_moment)
    positive("other_moment", other_moment)
    if product**2 >= second_moment * other_moment:
        raise OutOfRange("product", f"{product:g}", "less than the root of the two second moments")
    mean = (second_moment + other_moment) / 2
    reach = sqrt(((second_moment - other_moment) / 2) ** 2 + product**2)
    return (second_moment * other_moment - product**2) / (mean + reach)


def angle_stiff_moment(
    second_moment: Annotated[float, "I", "m⁴"],
    other_moment: Annotated[float, "I_y", "m⁴"],
    product: Annotated[float, "I_xy", "m⁴"],
) -> Annotated[float, "I_e", "m⁴"]:
    """Second moment by which a free angle sags along the load, going sideways as it does.

    Formula: I_e = I - I_xy²/I_y. Symbols: I second moment of area (m⁴), I_y second moment about the axis
    along the load (m⁴), I_xy product of area (m⁴), I_e second moment that counts (m⁴).
    Range: I and I_y positive; I_xy² less than I I_y. Errors: `OutOfRange`.
    Source: unsymmetric bending of textbooks on strength of materials.
    """
    positive("second_moment", second_moment)
    positive("other_moment", other_moment)
    if product**2 >= second_moment * other_moment:
        raise OutOfRange("product", f"{product:g}", "less than the root of the two second moments")
    return second_moment - product**2 / other_moment


def section_modulus(
    second_moment: Annotated[float, "I", "m⁴"],
    height: Annotated[float, "h", "m"],
    depth: Annotated[float, "y_c", "m"],
) -> Annotated[float, "W", "m³"]:
    """Section modulus of a section for its outermost fibre.

    Formula: W = I / max(y_c, h - y_c). Symbols: I second moment of area (m⁴), h height along the load (m),
    y_c depth of the centroid (m), W section modulus (m³).
    Range: all positive; y_c less than h. Errors: `OutOfRange`. Source: mechanics.
    """
    positive("second_moment", second_moment)
    positive("height", height)
    positive("depth", depth)
    if depth >= height:
        raise OutOfRange("depth", f"{depth:g}", f"less than {height:g}")
    return second_moment / max(depth, height - depth)


def angle_modulus(
    second_moment: Annotated[float, "I", "m⁴"],
    other_moment: Annotated[float, "I_y", "m⁴"],
    product: Annotated[float, "I_xy", "m⁴"],
    width: Annotated[float, "b", "m"],
    height: Annotated[float, "h", "m"],
    thickness: Annotated[float, "t", "m"],
    depth: Annotated[float, "y_c", "m"],
    side: Annotated[float, "x_c", "m"],
) -> Annotated[float, "W", "m³"]:
    """Section modulus of a free angle, by the worst of its corners.

    Formula: W = (I I_y - I_xy²) / max |I_y y - I_xy x| over its corners, x and y from the centroid. Symbols:
    I second moment of area (m⁴), I_y second moment about the axis along the load (m⁴), I_xy product of area
    (m⁴), b width across the load (m), h height along the load (m), t thickness of the sheet (m), y_c depth of
    the centroid (m), x_c distance of the centroid from the standing leg's face (m), toe below moment at the
    toe of the standing leg (m⁵), inner below the same at its inner side (m⁵), tip moment at the tip of the
    lying leg (m⁵), tip below the same at its lower side (m⁵), heel moment at the heel (m⁵), W section modulus
    (m³).
    Range: others positive, I_xy any. Errors: `OutOfRange`.
    Source: unsymmetric bending of textbooks on strength of materials.
    """
    positive("second_moment", second_moment)
    positive("other_moment", other_moment)
    positive("width", width)
    positive("height", height)
    positive("thickness", thickness)
    positive("depth", depth)
    positive("side", side)
    toe_below = abs(other_moment * (height - depth) + product * side)
    inner_below = abs(other_moment * (height - depth) - product * (thickness - side))
    tip = abs(other_moment * depth + product * (width - side))
    tip_below = abs(other_moment * (thickness - depth) - product * (width - side))
    heel = abs(other_moment * depth - product * side)
    whole = second_moment * other_moment - product**2
    return whole / max(toe_below, inner_below, tip, tip_below, heel)


def standing_area(
    thickness: Annotated[float, "t", "m"],
    height: Annotated[float, "h", "m"],
    walls: Annotated[float, "n_w", "1"],
) -> Annotated[float, "A_s", "m²"]:
    """Area of what stands along the load and bears the shear.

    Formula: A_s = n_w t h. Symbols: t thickness of the sheet (m), h height along the load (m), n_w walls
    along the load (1), A_s area that stands along the load (m²).
    Range: all positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("thickness", thickness)
    positive("height", height)
    positive("walls", walls)
    return walls * thickness * height


def tube_standing_area(area: Annotated[float, "A", "m²"]) -> Annotated[float, "A_s", "m²"]:
    """Area of a thin round tube that counts for the shear: its greatest is twice the mean.

    Formula: A_s = 0.75 A. Symbols: A area of the section (m²), A_s area that stands along the load (m²).
    Range: A positive. Errors: `OutOfRange`. Source: mechanics: 1.5 V/A_s is 2 V/A.
    """
    positive("area", area)
    return 0.75 * area


# --- load and stress ---------------------------------------------------------------------------

own_mass = product_of(
    "own_mass",
    "Mass of the bracket that sticks out.",
    gives=Variable("m_b", "kg", "mass of the bracket"),
    area=Variable("A", "m²", "area of the section", positive),
    length=Variable("L", "m", "length from the foot to the load", positive),
    density=Variable("ρ", "kg/m³", "density", positive),
    source="definition",
)

tip_force = product_of(
    "tip_force",
    "Force of the mass at the end.",
    gives=Variable("F", "N", "force of the load"),
    mass=Variable("m", "kg", "mass at the end", positive),
    acceleration=Variable("a", "m/s²", "acceleration that is counted", positive),
    source="Newton's second law",
)


def foot_moment(
    tip_force: Annotated[float, "F", "N"],
    length: Annotated[float, "L", "m"],
    own_mass: Annotated[float, "m_b", "kg"],
    acceleration: Annotated[float, "a", "m/s²"],
) -> Annotated[float, "M", "N·m"]:
    """Bending moment at the foot, of the load and of the bracket's own mass.

    Formula: M = F L + m_b a L/2. Symbols: F force of the load (N), L length from the foot to the load (m),
    m_b mass of the bracket (kg), a acceleration that is counted (m/s²), M moment at the foot (N·m).
    Range: all positive. Errors: `OutOfRange`. Source: statics.
    """
    positive("tip_force", tip_force)
    positive("length", length)
    positive("own_mass", own_mass)
    positive("acceleration", acceleration)
    return tip_force * length + own_mass * acceleration * length / 2


bending_stress = ratio_of(
    "bending_stress",
    "Bending stress at the foot, in the outermost fibre.",
    gives=Variable("σ", "Pa", "bending stress"),
    moment=Variable("M", "N·m", "moment at the foot", positive),
    section_modulus=Variable("W", "m³", "section modulus", positive),
    source="mechanics: beam of Bernoulli",
)


def shear_stress(
    tip_force: Annotated[float, "F", "N"],
    own_mass: Annotated[float, "m_b", "kg"],
    acceleration: Annotated[float, "a", "m/s²"],
    shear_area: Annotated[float, "A_s", "m²"],
) -> Annotated[float, "τ", "Pa"]:
    """Greatest shear stress at the foot, half as much again as its mean over what stands along the load.

    Formula: τ = 1.5 (F + m_b a)/A_s. Symbols: F force of the load (N), m_b mass of the bracket (kg), a
    acceleration that is counted (m/s²), A_s area that stands along the load (m²), τ shear stress (Pa).
    Range: all positive. Errors: `OutOfRange`.
    Source: the rectangle of textbooks; of a tube or legs on the safe side.
    """
    positive("tip_force", tip_force)
    positive("own_mass", own_mass)
    positive("acceleration", acceleration)
    positive("shear_area", shear_area)
    return 1.5 * (tip_force + own_mass * acceleration) / shear_area


def sag(
    tip_force: Annotated[float, "F", "N"],
    own_mass: Annotated[float, "m_b", "kg"],
    acceleration: Annotated[float, "a", "m/s²"],
    length: Annotated[float, "L", "m"],
    elastic_modulus: Annotated[float, "E", "Pa"],
    second_moment: Annotated[float, "I_e", "m⁴"],
) -> Annotated[float, "δ", "m"]:
    """Sag of the end of a cantilever under a load there and its own mass.

    Formula: δ = (F/3 + m_b a/8) L³/(E I_e). Symbols: F force of the load (N), m_b mass of the bracket (kg), a
    acceleration that is counted (m/s²), L length from the foot to the load (m), E modulus of elasticity (Pa),
    I_e second moment that counts (m⁴), δ sag of the end (m).
    Range: all positive. Errors: `OutOfRange`.
    Source: the beam of Bernoulli, integrated: a fixed end, a load at the other, an even load. The foot is
    taken for rigid.
    """
    positive("tip_force", tip_force)
    positive("own_mass", own_mass)
    positive("acceleration", acceleration)
    positive("length", length)
    positive("elastic_modulus", elastic_modulus)
    positive("second_moment", second_moment)
    return (tip_force / 3 + own_mass * acceleration / 8) * length**3 / (elastic_modulus * second_moment)


def natural_frequency(
    elastic_modulus: Annotated[float, "E", "Pa"],
    second_moment: Annotated[float, "I_1", "m⁴"],
    length: Annotated[float, "L", "m"],
    mass: Annotated[float, "m", "kg"],
    own_mass: Annotated[float, "m_b", "kg"],
) -> Annotated[float, "f", "Hz"]:
    """First natural frequency of a cantilever with a mass at its end, the way that it bends the most easily.

    Formula: f = √(3 E I_1/(L³ (m + 33/140 m_b)))/(2 π). Symbols: E modulus of elasticity (Pa), I_1 least
    second moment of area (m⁴), L length from the foot to the load (m), m mass at the end (kg), m_b mass of
    the bracket (kg), stiff force by sag at the end (N/m), f natural frequency (Hz).
    Range: all positive. The mass is a point; the foot is rigid. Errors: `OutOfRange`.
    Source: Rayleigh's method with the shape of a load at the end, whose square has the mean 33/140.
    """
    positive("elastic_modulus", elastic_modulus)
    positive("second_moment", second_moment)
    positive("length", length)
    positive("mass", mass)
    positive("own_mass", own_mass)
    stiff = 3 * elastic_modulus * second_moment / length**3
    return sqrt(stiff / (mass + 33 / 140 * own_mass)) / (2 * pi)


def resonant_speed(
    frequency: Annotated[float, "f", "Hz"], order: Annotated[float, "o", "1"]
) -> Annotated[float, "ω_r", "rad/s"]:
    """Engine speed at which an order of it meets a frequency.

    Formula: ω_r = 2 π f/o. Symbols: f natural frequency (Hz), o order of the engine (1), ω_r engine speed
    (rad/s).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("frequency", frequency)
    positive("order", order)
    return 2 * pi * frequency / order


# --- stress raisers ----------------------------------------------------------------------------


def hole_factor_bent(
    hole_diameter: Annotated[float, "d_0", "m"],
    width: Annotated[float, "b", "m"],
    thickness: Annotated[float, "t", "m"],
) -> Annotated[float, "K_t", "1"]:
    """Stress at the rim of a hole amid a strip that is bent out of its plane, over that of the net section.

    Formula: K_t = (1.79 + 0.25/(0.39 + q) + 0.81/(1 + q²) - 0.26/(1 + q³)) (1 - 1.04 k + 1.22 k²) with q =
    d_0/t and k = d_0/b. Symbols: d_0 diameter of the hole (m), b width across the load (m), t thickness of
    the sheet (m), q hole in thicknesses (1), k hole in widths (1), K_t factor of the stress raiser (1).
    Range: all positive; d_0 up to 0.9 b. Errors: `OutOfRange`.
    Source: Roark's Formulas for Stress and Strain, table 17.1, circular hole, bending out of plane, as a
    public page has it; for the width, as a public program has it.
    """
    positive("hole_diameter", hole_diameter)
    positive("width", width)
    positive("thickness", thickness)
    if hole_diameter > 0.9 * width:
        raise OutOfRange("hole_diameter", f"{hole_diameter:g}", f"at most {0.9 * width:g}")
    q = hole_diameter / thickness
    k = hole_diameter / width
    return (1.79 + 0.25 / (0.39 + q) + 0.81 / (1 + q**2) - 0.26 / (1 + q**3)) * (1 - 1.04 * k + 1.22 * k**2)


def hole_factor_pulled(
    hole_diameter: Annotated[float, "d_0", "m"], width: Annotated[float, "b", "m"]
) -> Annotated[float, "K_t", "1"]:
    """Stress at the rim of a hole amid a flat that is pulled or pressed, over that of the net section.

    Formula: K_t = 3 - 3.13 k + 3.66 k² - 1.53 k³ with k = d_0/b. Symbols: d_0 diameter of the hole (m), b
    width across the load (m), k hole in widths (1), K_t factor of the stress raiser (1).
    Range: both positive; d_0 up to 0.9 b. Errors: `OutOfRange`.
    Source: Roark's Formulas for Stress and Strain, table 17.1, circular hole in tension, as a public page has
    it.
    """
    positive("hole_diameter", hole_diameter)
    positive("width", width)
    if hole_diameter > 0.9 * width:
        raise OutOfRange("hole_diameter", f"{hole_diameter:g}", f"at most {0.9 * width:g}")
    k = hole_diameter / width
    return 3 - 3.13 * k + 3.66 * k**2 - 1.53 * k**3


def bend_factor(
    bend_radius: Annotated[float, "r_i", "m"], thickness: Annotated[float, "t", "m"]
) -> Annotated[float, "K_b", "1"]:
    """Stress at the inside of a bend in a strip, over that of a straight one.

    Formula: K_b = t (r_n - r_i)/(6 e r_i) with r_n = t/ln(1 + t/r_i), e = r_i + t/2 - r_n. Symbols: r_i
    inside radius of the bend (m), t thickness of the sheet (m), r_n radius of the neutral fibre (m), e its
    distance from the middle (m), K_b factor of the bend (1).
    Range: both positive, t up to 10 r_i. Errors: `OutOfRange`. Source: curved beam of Winkler and Bach.
    """
    positive("bend_radius", bend_radius)
    positive("thickness", thickness)
    _thinner(thickness, bend_radius, 10)
    r_n: Annotated[float, "r_n", "m"] = thickness / log(1 + thickness / bend_radius)
    e: Annotated[float, "e", "m"] = bend_radius + thickness / 2 - r_n
    return thickness * (r_n - bend_radius) / (6 * e * bend_radius)


net_stress = ratio_of(
    "net_stress",
    "Bending stress beside a hole.",
    gives=Variable("σ_n", "Pa", "net stress"),
    stress=Variable("σ", "Pa", "bending stress", positive),
    net_share=Variable("k_n", "1", "share of the width beside the hole", positive),
    source="definition",
)


def peak_stress(
    stress: Annotated[float, "σ", "Pa"],
    net_stress: Annotated[float, "σ_n", "Pa"],
    hole_factor: Annotated[float, "K_t", "1"],
    bend_factor: Annotated[float, "K_b", "1"],
) -> Annotated[float, "σ_p", "Pa"]:
    """Stress at the worst place of the foot: at the rim of the hole or inside the bend.

    Formula: σ_p = max(K_t σ_n, K_b σ). Symbols: σ bending stress (Pa), σ_n net stress (Pa), K_t factor of the
    stress raiser (1), K_b factor of the bend (1), σ_p peak stress (Pa).
    Range: all positive. Errors: `OutOfRange`. Source: definition; a hole in the bend itself is not meant.
    """
    positive("stress", stress)
    positive("net_stress", net_stress)
    positive("hole_factor", hole_factor)
    positive("bend_factor", bend_factor)
    return max(hole_factor * net_stress, bend_factor * stress)


def net_share(
    hole_diameter: Annotated[float, "d_0", "m"], width: Annotated[float, "b", "m"]
) -> Annotated[float, "k_n", "1"]:
    """Share of the width that a hole leaves.

    Formula: k_n = 1 - d_0/b. Symbols: d_0 diameter of the hole (m), b width across the load (m), k_n share of
    the width beside the hole (1).
    Range: both positive; d_0 less than b. Errors: `OutOfRange`. Source: geometry.
    """
    positive("hole_diameter", hole_diameter)
    positive("width", width)
    if hole_diameter >= width:
        raise OutOfRange("hole_diameter", f"{hole_diameter:g}", f"less than {width:g}")
    return 1 - hole_diameter / width


stress_use = ratio_of(
    "stress_use",
    "A stress as a share of the strength that it is held to.",
    gives=Variable("u", "1", "use"),
    stress=Variable("σ_u", "Pa", "stress that is compared", positive),
    strength=Variable("R", "Pa", "strength", positive),
    source="definition",
)


def equivalent_stress(
    stress: Annotated[float, "σ", "Pa"], shear: Annotated[float, "τ", "Pa"]
) -> Annotated[float, "σ_v", "Pa"]:
    """Stress by von Mises, bending and shear taken at one place, which is on the safe side.

    Formula: σ_v = √(σ² + 3 τ²). Symbols: σ bending stress (Pa), τ shear stress (Pa), σ_v equivalent stress
    (Pa).
    Range: both zero or more. Errors: `OutOfRange`. Source: von Mises.
    """
    not_negative("stress", stress)
    not_negative("shear", shear)
    return sqrt(stress**2 + 3 * shear**2)


# --- buckling of a free edge -------------------------------------------------------------------


def edge_buckling_stress(
    elastic_modulus: Annotated[float, "E", "Pa"],
    thickness: Annotated[float, "t", "m"],
    free_width: Annotated[float, "c_l", "m"],
) -> Annotated[float, "σ_cr", "Pa"]:
    """Stress at which a flat with one free edge buckles.

    Formula: σ_cr = 0.43 π² E/(12 (1 - 0.3²)) (t/c_l)². Symbols: E modulus of elasticity (Pa), t thickness of
    the sheet (m), c_l free width of a leg (m), σ_cr buckling stress (Pa).
    Range: all positive. Elastic, Poisson's ratio 0.3, evenly pressed: of a leg whose free edge alone is
    pressed that hard it is on the safe side. Errors: `OutOfRange`.
    Source: EN 1993-1-5, table 4.2 (k_σ = 0.43) and annex A.1, as a public program has them (K. Mela,
    en1993_1_5.py).
    """
    positive("elastic_modulus", elastic_modulus)
    positive("thickness", thickness)
    positive("free_width", free_width)
    return 0.43 * pi**2 * elastic_modulus / (12 * (1 - 0.3**2)) * (thickness / free_width) ** 2


slenderness = ratio_of(
    "slenderness",
    "Free width of a leg in thicknesses.",
    gives=Variable("λ", "1", "slenderness of a leg"),
    free_width=Variable("c_l", "m", "free width of a leg", positive),
    thickness=Variable("t", "m", "thickness of the sheet", positive),
    source="definition",
)


def slenderness_limit(
    elastic_modulus: Annotated[float, "E", "Pa"], yield_strength: Annotated[float, "R_y", "Pa"]
) -> Annotated[float, "λ_l", "1"]:
    """Slenderness up to which a leg with a free edge reaches the yield strength before it buckles.

    Formula: λ_l = 14 √(235 MPa/R_y · E/210 GPa). Symbols: E modulus of elasticity (Pa), R_y yield strength
    (Pa), λ_l slenderness limit of a leg (1).
    Range: both positive. Errors: `OutOfRange`.
    Source: EN 1993-1-1, table 5.2, outstand of class 3, 14 ε, as public programs have it; of another metal by
    its modulus.
    """
    positive("elastic_modulus", elastic_modulus)
    positive("yield_strength", yield_strength)
    return 14 * sqrt(235e6 / yield_strength * elastic_modulus / 210e9)


# --- fatigue -----------------------------------------------------------------------------------

scaled_stress = product_of(
    "scaled_stress",
    "Stress at another acceleration than the one that was counted.",
    gives=Variable("σ_s", "Pa", "stress at another acceleration"),
    peak=Variable("σ_p", "Pa", "peak stress", positive),
    share=Variable("k_a", "1", "accelerations over each other", positive),
    source="proportion",
)

acceleration_share = ratio_of(
    "acceleration_share",
    "An acceleration over the one that was counted.",
    gives=Variable("k_a", "1", "accelerations over each other"),
    other=Variable("a_o", "m/s²", "other acceleration", positive),
    acceleration=Variable("a", "m/s²", "acceleration that is counted", positive),
    source="definition",
)


def goodman_reserve(
    amplitude: Annotated[float, "σ_a", "Pa"],
    mean: Annotated[float, "σ_m", "Pa"],
    fatigue_strength: Annotated[float, "S_f", "Pa"],
    tensile_strength: Annotated[float, "R_m", "Pa"],
) -> Annotated[float, "n_f", "1"]:
    """How many times the stresses might be as large before a crack is to be feared.

    Formula: n_f = 1/(σ_a/S_f + σ_m/R_m). Symbols: σ_a stress amplitude (Pa), σ_m mean stress (Pa), S_f
    amplitude that the metal bears about no mean (Pa), R_m tensile strength (Pa), n_f fatigue reserve (1).
    Range: all positive. Errors: `OutOfRange`. Source: Goodman's line.
    """
    positive("amplitude", amplitude)
    positive("mean", mean)
    positive("fatigue_strength", fatigue_strength)
    positive("tensile_strength", tensile_strength)
    return 1 / (amplitude / fatigue_strength + mean / tensile_strength)


# --- the foot ----------------------------------------------------------------------------------


def foot_pull(
    moment: Annotated[float, "M", "N·m"],
    lever: Annotated[float, "l_f", "m"],
    pulled: Annotated[float, "n_p", "1"],
) -> Annotated[float, "N_f", "N"]:
    """Pull in each fastener of the row that holds the foot against tilting.

    Formula: N_f = M/(n_p l_f). Symbols: M moment at the foot (N·m), l_f lever of the pulled fasteners to the
    edge that the foot tilts about (m), n_p fasteners that are pulled (1), N_f pull of a fastener (N).
    Range: all positive. Errors: `OutOfRange`. Source: statics, a rigid foot.
    """
    positive("moment", moment)
    positive("lever", lever)
    positive("pulled", pulled)
    return moment / (pulled * lever)


def foot_shear(
    tip_force: Annotated[float, "F", "N"],
    own_mass: Annotated[float, "m_b", "kg"],
    acceleration: Annotated[float, "a", "m/s²"],
    fasteners: Annotated[float, "n_a", "1"],
) -> Annotated[float, "V_f", "N"]:
    """Shear in each fastener of the foot.

    Formula: V_f = (F + m_b a)/n_a. Symbols: F force of the load (N), m_b mass of the bracket (kg), a
    acceleration that is counted (m/s²), n_a fasteners of the foot (1), V_f shear of a fastener (N).
    Range: all positive. Errors: `OutOfRange`. Source: statics, each with the same share.
    """
    positive("tip_force", tip_force)
    positive("own_mass", own_mass)
    positive("acceleration", acceleration)
    positive("fasteners", fasteners)
    return (tip_force + own_mass * acceleration) / fasteners
