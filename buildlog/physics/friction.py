"""Friction: what a dry disc clutch carries.

Two theories bracket a disc clutch. New facings press evenly (*uniform pressure*); once run in, they
have worn until pressure times radius is the same everywhere (*uniform wear*). Uniform wear always
gives the lower torque, so it is the one to design on.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, Within, product_of, ratio_of
from buildlog.physics.limits import positive, within


def _ring(outer_diameter: float, inner_diameter: float) -> None:
    positive("outer_diameter", outer_diameter)
    positive("inner_diameter", inner_diameter)
    if inner_diameter >= outer_diameter:
        raise OutOfRange(
            "inner_diameter",
            f"{inner_diameter * 1000:g} mm",
            f"less than the outer diameter, {outer_diameter * 1000:g} mm",
        )


def faces(plates: Annotated[float, "n_p", "1"]) -> Annotated[float, "z", "1"]:
    """Friction faces of a clutch: both sides of every driven plate.

    Formula: z = 2 n_p. Symbols: n_p driven plates (1), z friction faces (1).
    Range: from 1 plate. Errors: `OutOfRange`. Source: geometry.
    """
    within("plates", plates, 1.0)
    return 2 * plates


def radius_uniform_wear(
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "r_w", "m"]:
    """Effective friction radius of a run-in ring facing (uniform wear).

    Formula: r_w = (D + d) / 4. Symbols: D outer diameter of the facing (m), d inner diameter of the facing
    (m), r_w effective radius (m). Holds for a full ring and for pads bounded by two radii.
    Range: d below D, both positive. Errors: `OutOfRange`.
    Source: Shigley, Mechanical Engineering Design, frictional-contact axial clutches, uniform wear:
    T = F f (D + d) / 4.
    """
    _ring(outer_diameter, inner_diameter)
    return (outer_diameter + inner_diameter) / 4


def radius_uniform_pressure(
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "r_p", "m"]:
    """Effective friction radius of a new ring facing (uniform pressure).

    Formula: r_p = (D³ - d³) / (3 (D² - d²)). Symbols: D outer diameter of the facing (m), d inner diameter of
    the facing (m), r_p effective radius (m).
    Range: d below D, both positive. Errors: `OutOfRange`.
    Source: Shigley, Mechanical Engineering Design, frictional-contact axial clutches, uniform
    pressure: T = F f (D³ - d³) / (3 (D² - d²)).
    """
    _ring(outer_diameter, inner_diameter)
    return (outer_diameter**3 - inner_diameter**3) / (3 * (outer_diameter**2 - inner_diameter**2))


_FACINGS = Within(0.01, 1.0, "dry and wet facings lie inside")

torque_capacity = product_of(
    "torque_capacity",
    "Torque a disc clutch carries at the edge of slipping.",
    friction_coefficient=Variable("μ", "1", "coefficient of friction", _FACINGS),
    clamp_load=Variable("F", "N", "clamp load", positive),
    effective_radius=Variable("r", "m", "effective radius", positive),
    faces=Variable("z", "1", "friction faces, two a plate", positive),
    gives=Variable("T", "N·m", "torque capacity"),
    order=("faces", "friction_coefficient", "clamp_load", "effective_radius"),
    source="Coulomb friction; Shigley, Mechanical Engineering Design, frictional-contact axial clutches",
)


needed_friction = ratio_of(
    "needed_friction",
    "Coefficient of friction that a torque takes: at the edge of slipping, the one there is.",
    carried_torque=Variable("T", "N·m", "torque", positive),
    torque_at_full_friction=Variable("T_1", "N·m", "capacity with a coefficient of 1", positive),
    gives=Variable("μ", "1", "coefficient of friction"),
    source="Coulomb friction",
)

needed_clamp_load = ratio_of(
    "needed_clamp_load",
    "Clamp load that a torque takes.",
    carried_torque=Variable("T", "N·m", "torque", positive),
    torque_by_load=Variable("t", "m", "capacity by clamp load", positive),
    gives=Variable("F", "N", "clamp load"),
    source="Coulomb friction",
)

torque_at_full_friction = product_of(
    "torque_at_full_friction",
    "Capacity that a clutch would have with a coefficient of friction of 1.",
    clamp_load=Variable("F", "N", "clamp load", positive),
    effective_radius=Variable("r", "m", "effective radius", positive),
    faces=Variable("z", "1", "friction faces, two a plate", positive),
    gives=Variable("T_1", "N·m", "torque"),
    order=("faces", "clamp_load", "effective_radius"),
    source="Coulomb friction",
)

torque_by_load = product_of(
    "torque_by_load",
    "Capacity by clamp load.",
    friction_coefficient=Variable("μ", "1", "coefficient of friction", _FACINGS),
    effective_radius=Variable("r", "m", "effective radius", positive),
    faces=Variable("z", "1", "friction faces, two a plate", positive),
    gives=Variable("t", "m", "torque by load"),
    order=("faces", "friction_coefficient", "effective_radius"),
    source="Coulomb friction",
)


def reserve(
    capacity: Annotated[float, "T", "N·m"],
    engine_torque: Annotated[float, "T_e", "N·m"],
    shock_factor: Annotated[float, "k_s", "1"],
) -> Annotated[float, "β", "1"]:
    """Capacity over the torque that reaches the clutch; below 1 it slips.

    Formula: β = T / (k_s T_e). Symbols: T capacity (N·m), T_e greatest engine torque (N·m), k_s peak
    over steady torque (1; 1 for the steady torque), β reserve (1).
    Range: all positive, k_s from 1. Errors: `OutOfRange`. Source: definition.
    """
    positive("capacity", capacity)
    positive("engine_torque", engine_torque)
    within("shock_factor", shock_factor, 1.0, 20.0)
    return capacity / (shock_factor * engine_torque)


def ring_area(
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
) -> Annotated[float, "A_r", "m²"]:
    """Area of the ring that one friction face sweeps.

    Formula: A_r = π (D² - d²) / 4. Symbols: D outer diameter of the facing (m), d inner diameter of the
    facing (m), A_r area (m²).
    Range: d below D, both positive. Errors: `OutOfRange`. Source: geometry.
    """
    _ring(outer_diameter, inner_diameter)
    return pi * (outer_diameter**2 - inner_diameter**2) / 4


friction_area = product_of(
    "friction_area",
    "Area of friction material at work on all faces together.",
    ring_area=Variable("A_r", "m²", "area of the ring", positive),
    covered_share=Variable("c", "1", "share of the ring covered, less than 1 for pads", Within(0.01, 1.0)),
    faces=Variable("z", "1", "friction faces, two a plate", positive),
    gives=Variable("A", "m²", "friction area"),
    order=("faces", "covered_share", "ring_area"),
    source="geometry",
)


def mean_pressure(
    clamp_load: Annotated[float, "F", "N"],
    ring_area: Annotated[float, "A_r", "m²"],
    covered_share: Annotated[float, "c", "1"],
) -> Annotated[float, "p_m", "Pa"]:
    """Mean pressure on the friction material. The same clamp load goes through every face.

    Formula: p_m = F / (c A_r). Symbols: F clamp load (N), c covered share of the ring (1), A_r area of
    the ring (m²), p_m mean pressure (Pa).
    Range: all positive, c up to 1. Errors: `OutOfRange`. Source: equilibrium.
    """
    positive("clamp_load", clamp_load)
    positive("ring_area", ring_area)
    within("covered_share", covered_share, 0.01, 1.0)
    return clamp_load / (covered_share * ring_area)


def greatest_pressure(
    clamp_load: Annotated[float, "F", "N"],
    outer_diameter: Annotated[float, "D", "m"],
    inner_diameter: Annotated[float, "d", "m"],
    covered_share: Annotated[float, "c", "1"],
) -> Annotated[float, "p_a", "Pa"]:
    """Greatest pressure on a run-in facing, at its inner edge (uniform wear).

    Formula: p_a = 2 F / (π c d (D - d)). Symbols: F clamp load (N), D outer diameter of the facing (m), d
    inner diameter of the facing (m), c covered share of the ring (1), p_a greatest pressure (Pa).
    Range: all positive, d below D, c up to 1. Errors: `OutOfRange`.
    Source: Shigley, Mechanical Engineering Design, uniform wear: F = π p_a d (D - d) / 2.
    """
    positive("clamp_load", clamp_load)
    _ring(outer_diameter, inner_diameter)
    within("covered_share", covered_share, 0.01, 1.0)
    return 2 * clamp_load / (pi * covered_share * inner_diameter * (outer_diameter - inner_diameter))


pressure_share = ratio_of(
    "pressure_share",
    "Pressure as a share of a published limit.",
    mean_pressure=Variable("p", "Pa", "pressure", positive),
    published_pressure=Variable("p_lim", "Pa", "published limit", positive),
    gives=Variable("u_p", "1", "share"),
    source="definition",
)


def break_in_least() -> Annotated[float, "s_least", "m"]:
    """Shortest distance over which organic facings are commonly run in: 500 miles of traffic.

    Formula: s_least = 800 km. Symbols: s_least distance (m). Range: organic facings. Errors: none.
    Source: common practice, no source.
    """
    return 800.0e3


def break_in_most() -> Annotated[float, "s_greatest", "m"]:
    """Longest distance over which organic facings are commonly run in: 1000 miles of traffic.

    Formula: s_greatest = 1600 km. Symbols: s_greatest distance (m). Range: organic facings. Errors: none.
    Source: common practice, no source.
    """
    return 1600.0e3


@dataclass(frozen=True)
class FrictionTable:
    """Sliding friction by the temperature of the face: rows of temperature (K), rising, and coefficient."""

    rows: tuple[tuple[float, float], ...]


def friction_at_temperature(
    table: FrictionTable,
    face_temperature: Annotated[float, "T_f", "K"],
) -> Annotated[float, "μ_h", "1"]:
    """Sliding friction of a facing whose face is at a temperature, from a table of its maker or a bench.

    Formula: μ_h = μ_1 + (μ_2 - μ_1) (T_f - T_1) / (T_2 - T_1). Symbols: T_f temperature of the face (K), T_1
    and T_2 those of the rows beside it (K), μ_1 and μ_2 their coefficients (1), μ_h coefficient (1).
    In words: found between two rows of the table.
    Range: from the first row to the last. Errors: `OutOfRange`. Source: linear interpolation.
    """
    first, last = table.rows[0][0], table.rows[-1][0]
    if not first <= face_temperature <= last:
        raise OutOfRange(
            "friction_by_temperature",
            f"a face of {face_temperature - 273.15:.0f} °C, where the table has {first - 273.15:.0f} to "
            f"{last - 273.15:.0f} °C",
            "a table that reaches as far",
            help="beyond its ends a facing may do anything: ask its maker, or launch less hard",
        )
    for (cold, before), (hot, after) in pairwise(table.rows):
        if face_temperature <= hot:
            return before + (after - before) * (face_temperature - cold) / (hot - cold)
    return table.rows[-1][1]
