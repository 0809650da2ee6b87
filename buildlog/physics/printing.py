"""A part laid down in lines and layers: what plastic goes into it, and what its size comes out as."""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, Within, difference_of, product_of, ratio_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

shell = product_of(
    "shell",
    "Thickness of the walls: so many perimeters beside each other.",
    perimeters=Variable("n", "1", "perimeters", not_negative),
    line_width=Variable("b", "m", "width of a line", positive),
    gives=Variable("t", "m", "thickness of the wall"),
    source="definition",
)

solid_layers = sum_of(
    "solid_layers",
    "Layers that are laid full, below and above together.",
    bottom_layers=Variable("n_b", "1", "bottom layers", not_negative),
    top_layers=Variable("n_t", "1", "top layers", not_negative),
    gives=Variable("N", "1", "solid layers"),
    source="definition",
)

skins = product_of(
    "skins",
    "Thickness of the full layers below and above, together.",
    solid_layers=Variable("N", "1", "solid layers", not_negative),
    layer_height=Variable("h_l", "m", "height of a layer", positive),
    gives=Variable("e", "m", "thickness of the full layers"),
    source="definition",
)


def box_volume(
    length: Annotated[float, "l", "m"],
    width: Annotated[float, "w", "m"],
    height: Annotated[float, "h", "m"],
) -> Annotated[float, "V", "m³"]:
    """Volume of a box.

    Formula: V = l w h. Symbols: l length (m), w width (m), h height (m), V volume of the part (m³).
    Range: all positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("length", length)
    positive("width", width)
    positive("height", height)
    return length * width * height


def box_core(
    length: Annotated[float, "l", "m"],
    width: Annotated[float, "w", "m"],
    height: Annotated[float, "h", "m"],
    wall: Annotated[float, "t", "m"],
    skins: Annotated[float, "e", "m"],
) -> Annotated[float, "V_c", "m³"]:
    """What is left for the infill inside of the walls and the full layers of a box; nothing where they meet.

    Formula: V_c = max(l − 2 t, 0) max(w − 2 t, 0) max(h − e, 0). Symbols: l length (m), w width (m), h height
    (m), t thickness of the wall (m), e thickness of the full layers (m), V_c volume of the infill (m³).
    Range: l, w and h positive; t and e zero or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("length", length)
    positive("width", width)
    positive("height", height)
    not_negative("wall", wall)
    not_negative("skins", skins)
    return max(length - 2 * wall, 0) * max(width - 2 * wall, 0) * max(height - skins, 0)


def cylinder_volume(
    diameter: Annotated[float, "d", "m"],
    height: Annotated[float, "h", "m"],
) -> Annotated[float, "V", "m³"]:
    """Volume of an upright cylinder.

    Formula: V = π d² h / 4. Symbols: d diameter of the part (m), h height (m), V volume of the part (m³).
    Range: both positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    positive("height", height)
    return pi * diameter**2 * height / 4


def cylinder_core(
    diameter: Annotated[float, "d", "m"],
    height: Annotated[float, "h", "m"],
    wall: Annotated[float, "t", "m"],
    skins: Annotated[float, "e", "m"],
) -> Annotated[float, "V_c", "m³"]:
    """What is left for the infill inside of the walls and the full layers of a cylinder.

    Formula: V_c = π max(d − 2 t, 0)² max(h − e, 0) / 4. Symbols: d diameter of the part (m), h height (m), t
    thickness of the wall (m), e thickness of the full layers (m), V_c volume of the infill (m³).
    Range: d and h positive; t and e zero or more. Errors: `OutOfRange`. Source: geometry.
    """
    positive("diameter", diameter)
    positive("height", height)
    not_negative("wall", wall)
    not_negative("skins", skins)
    return pi * max(diameter - 2 * wall, 0) ** 2 * max(height - skins, 0) / 4


def core_by_areas(
    volume: Annotated[float, "V", "m³"],
    side_area: Annotated[float, "A_s", "m²"],
    flat_area: Annotated[float, "A_f", "m²"],
    wall: Annotated[float, "t", "m"],
    skins: Annotated[float, "e", "m"],
) -> Annotated[float, "V_c", "m³"]:
    """What is left for the infill, by volume and surface: what walls and full layers share at the edges is
    taken off twice. Nothing is left where they fill the part.

    Formula: V_c = max(V − t A_s − e A_f / 2, 0). Symbols: V volume of the part (m³), A_s upright surface
    (m²), A_f surface that faces up or down (m²), t thickness of the wall (m), e thickness of the full layers
    (m), V_c volume of the infill (m³).
    Range: V positive; others zero or more. Errors: `OutOfRange`. Source: geometry, to the first order.
    """
    positive("volume", volume)
    not_negative("side_area", side_area)
    not_negative("flat_area", flat_area)
    not_negative("wall", wall)
    not_negative("skins", skins)
    return max(volume - wall * side_area - skins * flat_area / 2, 0)


def plastic_volume(
    volume: Annotated[float, "V", "m³"],
    core_volume: Annotated[float, "V_c", "m³"],
    infill: Annotated[float, "φ", "1"],
) -> Annotated[float, "V_p", "m³"]:
    """Plastic in a part: the solid shell, and the infill's share of the rest.

    Formula: V_p = V − V_c + φ V_c. Symbols: V volume of the part (m³), V_c volume of the infill (m³), φ share
    of the infill (1), V_p volume of plastic (m³).
    Range: V positive, V_c zero or more, φ 0 to 1. Errors: `OutOfRange`. Source: definition of the infill.
    """
    positive("volume", volume)
    not_negative("core_volume", core_volume)
    within("infill", infill, 0, 1)
    if core_volume > volume:
        raise OutOfRange("core_volume", f"{core_volume:.4g} m³", f"up to the part's volume, {volume:.4g} m³")
    return volume - core_volume + infill * core_volume


part_mass = product_of(
    "part_mass",
    "Mass of the plastic in a part.",
    density=Variable("ρ", "kg/m³", "density of the plastic", positive),
    plastic_volume=Variable("V_p", "m³", "volume of plastic", positive),
    gives=Variable("m", "kg", "mass of the part"),
    source="definition of density",
)

cost = product_of(
    "cost",
    "Cost of the plastic in a part.",
    mass=Variable("m", "kg", "mass of the part", not_negative),
    price=Variable("p", "currency/kg", "price of the filament by mass", not_negative),
    gives=Variable("K", "currency", "cost of the filament"),
    source="definition",
)

solid_share = ratio_of(
    "solid_share",
    "Plastic in a part over its volume.",
    plastic_volume=Variable("V_p", "m³", "volume of plastic", positive),
    volume=Variable("V", "m³", "volume of the part", positive),
    gives=Variable("f", "1", "share of the volume that is plastic"),
    source="definition",
)


def filament_length(
    plastic_volume: Annotated[float, "V_p", "m³"],
    filament_diameter: Annotated[float, "d_f", "m"],
) -> Annotated[float, "L_f", "m"]:
    """Filament that the plastic of a part is drawn from.

    Formula: L_f = 4 V_p / (π d_f²). Symbols: V_p volume of plastic (m³), d_f diameter of the filament (m),
    L_f length of filament (m).
    Range: both positive. Errors: `OutOfRange`. Source: continuity.
    """
    positive("plastic_volume", plastic_volume)
    positive("filament_diameter", filament_diameter)
    return 4 * plastic_volume / (pi * filament_diameter**2)


def scale(
    shrinkage: Annotated[float, "S", "1"],
) -> Annotated[float, "k", "1"]:
    """What a drawing is enlarged by, so that the cold part has its size.

    Formula: k = 1 / (1 − S). Symbols: S shrinkage of a length (1), k scale (1).
    Range: S 0 to 0.1. Errors: `OutOfRange`. Source: definition of the moulding shrinkage in ISO 294-4.
    """
    within("shrinkage", shrinkage, 0, 0.1)
    return 1 / (1 - shrinkage)


length_lost = product_of(
    "length_lost",
    "What a length lacks that is printed as it was drawn.",
    length=Variable("L", "m", "length as drawn", positive),
    shrinkage=Variable("S", "1", "shrinkage of a length", Within(0, 0.1)),
    gives=Variable("ΔL", "m", "length lost"),
    source="definition of the shrinkage",
)

HOLES = ((0.003, 0.004), (0.004, 0.0056), (0.005, 0.0064), (0.006, 0.008))
OUTSIDES = ((0.003, 0.0044), (0.004, 0.0061), (0.005, 0.0071), (0.006, 0.0085))
"""Hole and outside of heat-set inserts by thread (m): the chart of a supplier of fasteners."""
BELOW: Annotated[float, "c", "m"] = 0.001


def insert_hole(thread: Annotated[float, "d", "m"]) -> Annotated[float, "d_h", "m"]:
    """Hole that a heat-set insert is melted into.

    Formula: d_h of the row of d. Symbols: d thread of the insert (m), d_h hole for the insert (m).
    In words: looked up in a supplier's chart.
    Range: d 0.003 to 0.006. Errors: `OutOfRange`. Source: a supplier's chart, M3 to M6.
    """
    return _of(HOLES, thread)


def insert_outside(thread: Annotated[float, "d", "m"]) -> Annotated[float, "d_o", "m"]:
    """Outside diameter of a heat-set insert.

    Formula: d_o of the row of d. Symbols: d thread of the insert (m), d_o outside of the insert (m).
    In words: looked up in a supplier's chart.
    Range: d 0.003 to 0.006. Errors: `OutOfRange`. Source: a supplier's chart, M3 to M6.
    """
    return _of(OUTSIDES, thread)


def _of(table: tuple[tuple[float, float], ...], thread: float) -> float:
    for row, value in table:
        if abs(row - thread) < 1e-6:
            return value
    raise OutOfRange("thread", f"{1000 * thread:g} mm", "M3, M4, M5 or M6")


def wall_around(outside: Annotated[float, "d_o", "m"]) -> Annotated[float, "t_i", "m"]:
    """Plastic that an insert wants about it: a boss twice as thick as the insert.

    Formula: t_i = d_o / 2. Symbols: d_o outside of the insert (m), t_i plastic about the insert (m).
    Range: d_o positive. Errors: `OutOfRange`. Source: common practice.
    """
    positive("outside", outside)
    return outside / 2


def hole_depth(insert_length: Annotated[float, "l_i", "m"]) -> Annotated[float, "h_i", "m"]:
    """Depth of the hole: the insert, and room for what it pushes ahead.

    Formula: h_i = l_i + c. Symbols: l_i length of the insert (m), c room below it (m), h_i depth of the hole
    (m).
    Range: l_i positive. Errors: `OutOfRange`. Source: common practice.
    """
    positive("insert_length", insert_length)
    return insert_length + BELOW


wall_reserve = difference_of(
    "wall_reserve",
    "Plastic about an insert beyond what it wants.",
    wall=Variable("t_w", "m", "plastic beside the insert", not_negative),
    wanted=Variable("t_i", "m", "plastic about the insert", positive),
    gives=Variable("Δt", "m", "reserve of plastic"),
    source="definition",
)
