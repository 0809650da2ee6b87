"""Springs: the slotted disc (diaphragm) spring of a clutch cover."""

from __future__ import annotations

from math import log, pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import positive, within

# Spring steel 51CrV4 as DIN EN 16983 reckons it; from memory, sure.
SPRING_STEEL_MODULUS = 206.0e9
SPRING_STEEL_POISSON = 0.3


def diaphragm_load(
    spring_outer_diameter: Annotated[float, "D_e", "m"],
    spring_inner_diameter: Annotated[float, "D_i", "m"],
    spring_thickness: Annotated[float, "t", "m"],
    spring_height: Annotated[float, "h_0", "m"],
    pressing_diameter: Annotated[float, "D_1", "m"],
    fulcrum_diameter: Annotated[float, "D_2", "m"],
    spring_deflection: Annotated[float, "λ", "m"],
    modulus: Annotated[float, "E", "Pa"],
    poisson_ratio: Annotated[float, "ν", "1"],
) -> Annotated[float, "F", "N"]:
    """Load with which a deflected diaphragm spring presses on the plate.

    Formula: δ = D_e / D_i, K_1 = ((δ - 1) / δ)² / (π ((δ + 1) / (δ - 1) - 2 / ln δ)),
    k = (D_e - D_i) / (D_1 - D_2), s = k λ,
    F = 4 k E t³ s ((h_0 - s)(h_0 - s/2) / t² + 1) / ((1 - ν²) K_1 D_e²). Symbols: D_e and D_i outer and
    inner diameter of the unslit ring (m), t thickness (m), h_0 height of the free cone over that ring
    (m), D_1 diameter at which it presses on the plate (m), D_2 diameter of the fulcrum in the cover (m),
    λ deflection at D_1 (m), s at the edge (m), E modulus of elasticity (Pa), ν Poisson's ratio (1), F
    load (N).
    Range: δ 1.05 to 5; D_i ≤ D_2 < D_1 ≤ D_e; s up to 2 h_0. The slots' fingers carry no load, the ring
    turns about one point of its section (Almen and Laszlo) and nothing rubs. Errors: `OutOfRange`.
    Source: DIN EN 16984 (formerly DIN 2092), load of a single disc spring, shortened lever arms (from
    memory; it gives the loads that DIN 2093 lists).
    """
    positive("spring_inner_diameter", spring_inner_diameter)
    positive("spring_thickness", spring_thickness)
    positive("spring_height", spring_height)
    _in_order(spring_inner_diameter, fulcrum_diameter, pressing_diameter, spring_outer_diameter)
    δ = spring_outer_diameter / spring_inner_diameter
    within("spring_outer_diameter", δ, low=1.05, high=5.0, why="outer over inner diameter of the unslit ring")
    positive("modulus", modulus)
    within("poisson_ratio", poisson_ratio, 0.0, 0.5)
    k = (spring_outer_diameter - spring_inner_diameter) / (pressing_diameter - fulcrum_diameter)
    s = k * spring_deflection
    within("spring_deflection", s, low=0.0, high=2 * spring_height, why="beyond, the cone is inside out")
    K_1 = ((δ - 1) / δ) ** 2 / (pi * ((δ + 1) / (δ - 1) - 2 / log(δ)))
    bend = (spring_height - s) * (spring_height - s / 2) / spring_thickness**2 + 1
    stiffness = 4 * modulus * spring_thickness**3 / ((1 - poisson_ratio**2) * K_1 * spring_outer_diameter**2)
    return k * stiffness * s * bend


def _in_order(inner: float, fulcrum: float, pressing: float, outer: float) -> None:
    if not inner <= fulcrum < pressing <= outer:
        raise OutOfRange(
            "fulcrum_diameter",
            f"ring from {inner * 1000:g} to {outer * 1000:g} mm, fulcrum at {fulcrum * 1000:g} mm, "
            f"pressing at {pressing * 1000:g} mm",
            "fulcrum inside the pressing diameter, and both on the unslit ring",
        )


def finger_ratio(
    pressing_diameter: Annotated[float, "D_1", "m"],
    fulcrum_diameter: Annotated[float, "D_2", "m"],
    finger_diameter: Annotated[float, "D_f", "m"],
) -> Annotated[float, "i_s", "1"]:
    """Lever ratio of the fingers of a push-type cover: clamp load over release load.

    Formula: i_s = (D_2 - D_f) / (D_1 - D_2). Symbols: D_1 diameter at which the spring presses on the
    plate (m), D_2 fulcrum diameter (m), D_f diameter at which the release bearing presses (m), i_s
    lever ratio (1).
    Range: D_f < D_2 < D_1. Errors: `OutOfRange`. Source: equilibrium of the lever, without friction.
    """
    positive("finger_diameter", finger_diameter)
    if not finger_diameter < fulcrum_diameter < pressing_diameter:
        raise OutOfRange(
            "finger_diameter",
            f"{finger_diameter * 1000:g} mm",
            "less than the fulcrum diameter, and that less than the pressing diameter",
        )
    return (fulcrum_diameter - finger_diameter) / (pressing_diameter - fulcrum_diameter)


def worn_deflection(
    spring_deflection: Annotated[float, "λ", "m"],
    facing_wear: Annotated[float, "w", "m"],
) -> Annotated[float, "λ_w", "m"]:
    """Deflection left at the pressing diameter once the facings have worn: the plate follows them.

    Formula: λ_w = λ - w. Symbols: λ deflection with new facings (m), w wear of all faces (m), λ_w
    deflection left (m).
    Range: w from 0 to below λ. Errors: `OutOfRange`. Source: geometry of the cover.
    """
    within("facing_wear", facing_wear, 0.0, spring_deflection)
    return spring_deflection - facing_wear
