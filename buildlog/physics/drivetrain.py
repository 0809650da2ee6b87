"""Drivetrain: ratios, road speed for revs, and what a shift does to them."""

from __future__ import annotations

from math import gcd, pi
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

overall_ratio = product_of(
    "overall_ratio",
    "Turns of the engine for one turn of the driven wheels.",
    gear_ratio=Variable("i_g", "1", "gearbox ratio", positive),
    final_drive=Variable("i_f", "1", "final drive ratio", positive),
    gives=Variable("i", "1", "overall ratio"),
    source="kinematics",
)


def road_speed(
    engine_speed: Annotated[float, "ω", "rad/s"],
    overall_ratio: Annotated[float, "i", "1"],
    rolling_circumference: Annotated[float, "U", "m"],
) -> Annotated[float, "v", "m/s"]:
    """Road speed at an engine speed, without slip of clutch or tyre.

    Formula: v = ω U / (2 π i). Symbols: ω engine speed (rad/s), i overall ratio (1), U rolling
    circumference (m), v road speed (m/s).
    Range: ω zero or more; i, U positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("engine_speed", engine_speed)
    positive("overall_ratio", overall_ratio)
    positive("rolling_circumference", rolling_circumference)
    return engine_speed * rolling_circumference / (2 * pi * overall_ratio)


def speed_per_engine_speed(
    overall_ratio: Annotated[float, "i", "1"],
    rolling_circumference: Annotated[float, "U", "m"],
) -> Annotated[float, "v_ω", "m/rad"]:
    """Road speed by engine speed in a gear, without slip.

    Formula: v_ω = U / (2 π i). Symbols: i overall ratio (1), U rolling circumference (m), v_ω road speed by
    engine speed (m/rad).
    Range: i, U positive. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("overall_ratio", overall_ratio)
    positive("rolling_circumference", rolling_circumference)
    return rolling_circumference / (2 * pi * overall_ratio)


def engine_speed(
    road_speed: Annotated[float, "v", "m/s"],
    overall_ratio: Annotated[float, "i", "1"],
    rolling_circumference: Annotated[float, "U", "m"],
) -> Annotated[float, "ω", "rad/s"]:
    """Engine speed at a road speed, without slip.

    Formula: ω = 2 π i v / U. Symbols: v road speed (m/s), i overall ratio (1), U rolling
    circumference (m), ω engine speed (rad/s).
    Range: v zero or more; i, U positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("road_speed", road_speed)
    positive("overall_ratio", overall_ratio)
    positive("rolling_circumference", rolling_circumference)
    return 2 * pi * overall_ratio * road_speed / rolling_circumference


def speed_after_shift(
    engine_speed: Annotated[float, "ω_1", "rad/s"],
    gear_ratio: Annotated[float, "i_1", "1"],
    next_gear_ratio: Annotated[float, "i_2", "1"],
) -> Annotated[float, "ω_2", "rad/s"]:
    """Engine speed after a shift at constant road speed.

    Formula: ω_2 = ω_1 i_2 / i_1. Symbols: ω_1 engine speed before the shift (rad/s), ω_2 engine speed after
    it (rad/s), i_1 gearbox ratio before (1), i_2 gearbox ratio after (1).
    Range: ω_1 zero or more; ratios positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("engine_speed", engine_speed)
    positive("gear_ratio", gear_ratio)
    positive("next_gear_ratio", next_gear_ratio)
    return engine_speed * next_gear_ratio / gear_ratio


difference = difference_of(
    "difference",
    "Drop in engine speed from one value to the next.",
    first=Variable("a", "rad/s", "engine speed before"),
    second=Variable("b", "rad/s", "engine speed after"),
    gives=Variable("Δ", "rad/s", "drop"),
    source="arithmetic",
)

step = ratio_of(
    "step",
    "Step between two neighbouring gears.",
    gear_ratio=Variable("i_1", "1", "ratio of the lower gear", positive),
    next_gear_ratio=Variable("i_2", "1", "ratio of the next", positive),
    gives=Variable("φ", "1", "step"),
    source="usual definition of the gear step; Naunheimer et al., Automotive Transmissions, 2nd ed. "
    "(Springer, 2011), ch. 4 (from memory)",
)


def indicated_over_true(
    rolling_circumference: Annotated[float, "U", "m"],
    standard_circumference: Annotated[float, "U_0", "m"],
    sensed_ratio: Annotated[float, "i_s", "1"],
    standard_sensed_ratio: Annotated[float, "i_s0", "1"],
) -> Annotated[float, "k", "1"]:
    """Reading of an unaltered speedometer or odometer over what it read when standard, same true speed.

    Formula: k = U_0 i_s / (U i_s0). Symbols: U rolling circumference (m), U_0 standard rolling circumference
    (m), i_s ratio between the sensor and the wheel (1; 1 for a wheel sensor, the final drive for a gearbox
    sensor), i_s0 the same as standard (1), k indicated over true (1).
    Range: all positive. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("rolling_circumference", rolling_circumference)
    positive("standard_circumference", standard_circumference)
    positive("sensed_ratio", sensed_ratio)
    positive("standard_sensed_ratio", standard_sensed_ratio)
    return standard_circumference * sensed_ratio / (rolling_circumference * standard_sensed_ratio)


indicated_speed = product_of(
    "indicated_speed",
    "What a speedometer shows at a true road speed, were it exact as standard.",
    road_speed=Variable("v", "m/s", "true road speed", not_negative),
    indicated_over_true=Variable("k", "1", "indicated over true", positive),
    gives=Variable("v_i", "m/s", "reading"),
    order=("indicated_over_true", "road_speed"),
    source="definition of k",
)


def odometer_error(
    indicated_over_true: Annotated[float, "k", "1"],
) -> Annotated[float, "e", "1"]:
    """Share of the distance that an odometer shows too much (+) or too little (-), were it exact as standard.

    Formula: e = k - 1. Symbols: k indicated over true (1), e error (1).
    Range: k positive. Errors: `OutOfRange`. Source: definition of k.
    """
    positive("indicated_over_true", indicated_over_true)
    return indicated_over_true - 1


def needed_excess(
    indicated_over_true: Annotated[float, "k", "1"],
) -> Annotated[float, "x", "1"]:
    """Share by which a standard instrument has to have read too much, not to read too little now.

    Formula: x = max(0, 1 / k - 1). Symbols: k indicated over true (1), x share (1).
    Range: k positive. Errors: `OutOfRange`.
    Source: UN Regulation No. 39, 5.3, V1 ≥ V2, with a reading k (1 + x) V2.
    """
    positive("indicated_over_true", indicated_over_true)
    return max(0, 1 / indicated_over_true - 1)


def highest_lawful_reading(
    road_speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "v_max", "m/s"]:
    """The most that a speedometer may show at a true road speed.

    Formula: v_max = 1.1 v + 4 / 3.6. Symbols: v true road speed (m/s), v_max reading (m/s); 4 km/h is
    4/3.6 m/s. The least it may show is v itself.
    Range: v 40 km/h or more (the regulation tests from there). Errors: `OutOfRange`.
    Source: UN Regulation No. 39, 5.3: 0 ≤ V1 − V2 ≤ V2/10 + 4 km/h.
    """
    within(
        "road_speed", road_speed, low=40 / 3.6 - 1e-9, high=200, why="UN Regulation No. 39 tests from 40 km/h"
    )
    return 1.1 * road_speed + 4 / 3.6


def turns_until_same_teeth_meet(driven: int, driving: int) -> int:
    """Turns of the driving gear until the same pair of teeth meets again (a count, not a figure).

    Formula: n = driven / gcd(driven, driving). A pair is *hunting* when the greatest common divisor is
    1, so that every tooth meets every tooth of its mate.
    Range: both from 1. Errors: `OutOfRange`. Source: number theory; usual definition of a hunting pair.
    """
    if driven < 1 or driving < 1:
        raise OutOfRange("final_drive", f"{driven}/{driving}", "tooth counts from 1")
    return driven // gcd(driven, driving)
