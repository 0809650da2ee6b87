"""Tyres: the radii that must not be confused, and rolling circumference. Sizes are read in `tyre_sizes`.

Three radii are kept apart: the *overall* (free) radius of the unloaded tyre, the
*static loaded* radius from the ground to the hub of a standing car, and the
*effective rolling* radius, rolling circumference / 2π, which alone sets the
speed for given revs.
"""

from __future__ import annotations

from math import pi
from typing import Annotated

from buildlog.physics.declared import Variable, Within, product_of
from buildlog.physics.limits import positive, within


def overall_diameter(
    section_width: Annotated[float, "S", "m"],
    aspect_ratio: Annotated[float, "a", "1"],
    rim_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "D", "m"]:
    """Overall (free) diameter of the unloaded tyre, from its designation.

    Formula: D = d + 2 S a. Symbols: S section width (m), a nominal aspect ratio (1), d rim
    diameter (m), D overall diameter (m).
    Range: all positive; a up to 1. Errors: `OutOfRange`.
    Source: a public encyclopaedia's text on speedometers has the same (read); UN Regulation No. 30, 6.1.2,
    D = d + 2H with H = 0.01 S₁ Ra (from memory).
    """
    positive("section_width", section_width)
    within("aspect_ratio", aspect_ratio, 0.2, 1.0)
    positive("rim_diameter", rim_diameter)
    return rim_diameter + 2 * section_width * aspect_ratio


_ROLLING = Within(2.9, pi, "a rolling tyre never covers more than π D")

rolling_circumference = product_of(
    "rolling_circumference",
    "Rolling circumference: road covered by one turn of the loaded, rolling wheel.",
    overall_diameter=Variable("D", "m", "overall diameter", positive),
    rolling_factor=Variable(
        "k_U", "1", "circumference over D, 3.05 for a radial tyre, π for a rigid wheel", _ROLLING
    ),
    gives=Variable("U", "m", "rolling circumference"),
    order=("rolling_factor", "overall_diameter"),
    source="convention F = 3.05 for radial tyres of the ETRTO Standards Manual (from memory), borne out by "
    "three cars in the EPA test car data, 2013–2017: 3.052, 3.054, 3.055",
)


def rolling_radius(
    rolling_circumference: Annotated[float, "U", "m"],
) -> Annotated[float, "r_e", "m"]:
    """Effective rolling radius.

    Formula: r_e = U / (2 π). Symbols: U rolling circumference (m), r_e effective rolling radius (m).
    Range: U positive. Errors: `OutOfRange`.
    Source: definition (ISO 8855, effective rolling radius; from memory).
    """
    positive("rolling_circumference", rolling_circumference)
    return rolling_circumference / (2 * pi)


def overall_radius(overall_diameter: Annotated[float, "D", "m"]) -> Annotated[float, "r_0", "m"]:
    """Overall (free) radius.

    Formula: r_0 = D / 2. Symbols: D overall diameter (m), r_0 overall radius (m).
    Range: D positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("overall_diameter", overall_diameter)
    return overall_diameter / 2
