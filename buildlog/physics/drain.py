"""A drain hole under a shallow head of water, with suction above it."""

from __future__ import annotations

from math import pi, sqrt
from typing import Annotated

from buildlog.physics.limits import positive, within

_COEFFICIENT = "no hole passes more than an ideal one"


def head_left(
    drain_head: Annotated[float, "H", "m"],
    chamber_suction: Annotated[float, "Δp", "Pa"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
) -> Annotated[float, "h", "m"]:
    """Head that is left to drive water out of a chamber that is below ambient; below 0 the suction holds all.

    Formula: h = H - Δp / (ρ_w g). Symbols: H height of the water above the hole (m), Δp pressure in the
    chamber below ambient (Pa; below 0 where it is above, which pushes the water out), ρ_w density of water
    (kg/m³), g = 9.80665 m/s², h head left (m).
    Range: H positive, Δp any. Errors: `OutOfRange`. Source: hydrostatics.
    """
    positive("drain_head", drain_head)
    within("chamber_suction", chamber_suction)
    positive("water_density", water_density)
    return drain_head - chamber_suction / (water_density * 9.80665)


def drain_flow(
    discharge_coefficient: Annotated[float, "C_d", "1"],
    diameter: Annotated[float, "d", "m"],
    head: Annotated[float, "h", "m"],
) -> Annotated[float, "Q", "m³/s"]:
    """Water that a round hole passes; none where no head is left.

    Formula: Q = C_d π d² √(2 g h) / 4 for h above 0, otherwise 0. Symbols: C_d discharge coefficient (1),
    d diameter (m), h head (m), g = 9.80665 m/s², Q volume flow (m³/s).
    Range: C_d above 0 to 1; d positive, h any. Errors: `OutOfRange`.
    Source: Torricelli with a discharge coefficient; Encyclopædia Britannica, 11th ed. (1911), vol. 14,
    Hydraulics, § 17.
    """
    positive("discharge_coefficient", discharge_coefficient)
    within("discharge_coefficient", discharge_coefficient, low=0, high=1, why=_COEFFICIENT)
    positive("diameter", diameter)
    within("head", head)
    if head <= 0:
        return 0.0
    return discharge_coefficient * pi * diameter**2 * sqrt(2 * 9.80665 * head) / 4


def drain_diameter(
    volume_flow: Annotated[float, "Q", "m³/s"],
    discharge_coefficient: Annotated[float, "C_d", "1"],
    head: Annotated[float, "h", "m"],
) -> Annotated[float, "d", "m"]:
    """Diameter of the round hole that passes a flow of water.

    Formula: d = √(4 Q / (π C_d √(2 g h))). Symbols: Q volume flow (m³/s), C_d discharge coefficient (1), h
    head (m), g = 9.80665 m/s², d diameter (m).
    Range: C_d above 0 to 1; Q, h positive. Errors: `OutOfRange`. Source: `drain_flow`, turned about.
    """
    positive("volume_flow", volume_flow)
    positive("discharge_coefficient", discharge_coefficient)
    within("discharge_coefficient", discharge_coefficient, low=0, high=1, why=_COEFFICIENT)
    positive("head", head)
    return sqrt(4 * volume_flow / (pi * discharge_coefficient * sqrt(2 * 9.80665 * head)))


def capillary_head(
    surface_tension: Annotated[float, "σ", "N/m"],
    water_density: Annotated[float, "ρ_w", "kg/m³"],
    diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "h_c", "m"]:
    """Head of water that the skin over a round hole can hold back.

    Formula: h_c = 4 σ / (ρ_w g d). Symbols: σ surface tension (N/m), ρ_w density of water (kg/m³), d diameter
    (m), g = 9.80665 m/s², h_c head (m).
    Range: all positive. Errors: `OutOfRange`.
    Source: Laplace pressure of a half sphere of water, 4 σ / d.
    """
    positive("surface_tension", surface_tension)
    positive("water_density", water_density)
    positive("diameter", diameter)
    return 4 * surface_tension / (water_density * 9.80665 * diameter)
