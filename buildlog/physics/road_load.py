"""Road load: what resists a car on the road, and what is left to accelerate it."""

from __future__ import annotations

from math import atan, cos, sin
from typing import Annotated

from buildlog.physics.declared import Variable, difference_of, product_of, sum_of
from buildlog.physics.limits import not_negative, positive, within

STANDARD_GRAVITY: Annotated[float, "g", "m/s²"] = 9.80665
"""Standard acceleration of gravity, exact (3rd CGPM, 1901; SI Brochure)."""


def gradient_angle(
    gradient: Annotated[float, "s", "1"],
) -> Annotated[float, "θ", "rad"]:
    """Angle of a road to the level.

    Formula: θ = atan s. Symbols: s gradient, rise over level run (1), θ angle, upwards positive (rad).
    Range: s from -1 to 1. Errors: `OutOfRange`. Source: definition of a gradient in per cent.
    """
    within("gradient", gradient, low=-1, high=1, why="roads")
    return atan(gradient)


def rolling_resistance(
    rolling_coefficient: Annotated[float, "f", "1"],
    vehicle_mass: Annotated[float, "m", "kg"],
    gradient_angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "F_r", "N"]:
    """Rolling resistance of all wheels, taken as independent of speed.

    Formula: F_r = f m g cos θ. Symbols: f coefficient of rolling resistance (1), m mass (kg), g standard
    gravity (m/s²), θ angle of the road (rad), F_r force (N).
    Range: f zero or more, m positive. Errors: `OutOfRange`.
    Source: definition of the coefficient; Wong, Theory of Ground Vehicles, 1.2 (from memory).
    """
    not_negative("rolling_coefficient", rolling_coefficient)
    positive("vehicle_mass", vehicle_mass)
    return rolling_coefficient * vehicle_mass * STANDARD_GRAVITY * cos(gradient_angle)


def gradient_force(
    vehicle_mass: Annotated[float, "m", "kg"],
    gradient_angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "F_g", "N"]:
    """Part of the weight along the road, holding back uphill.

    Formula: F_g = m g sin θ. Symbols: m mass (kg), g standard gravity (m/s²), θ angle of the road (rad),
    F_g force (N). Range: m positive. Errors: `OutOfRange`. Source: statics.
    """
    positive("vehicle_mass", vehicle_mass)
    return vehicle_mass * STANDARD_GRAVITY * sin(gradient_angle)


constant_resistance = sum_of(
    "constant_resistance",
    "The part of the resistance that does not depend on speed.",
    rolling_resistance=Variable("F_r", "N", "rolling resistance", not_negative),
    gradient_force=Variable("F_g", "N", "gradient force"),
    gives=Variable("A", "N", "sum"),
    source="statics",
)


def wind_force(
    quadratic_resistance: Annotated[float, "C", "N·s²/m²"],
    road_speed: Annotated[float, "v", "m/s"],
    wind: Annotated[float, "w", "m/s"],
) -> Annotated[float, "F_w", "N"]:
    """What a wind along the road holds a car back by, beside its resistance in still air.

    Formula: F_w = C w (2 v + w), which is C (v + w)² - C v². Symbols: C drag over speed squared, half of air
    density times drag area (N·s²/m²), v road speed (m/s), w wind against the car (m/s), F_w force (N).
    Range: C and v zero or more, v + w zero or more. Errors: `OutOfRange`.
    Source: definition of the drag coefficient, by the speed of the air past the car.
    """
    not_negative("quadratic_resistance", quadratic_resistance)
    not_negative("road_speed", road_speed)
    within("wind", wind, low=-road_speed)
    return quadratic_resistance * wind * (2 * road_speed + wind)


def wind_force_beside_coasting(
    quadratic_resistance: Annotated[float, "C", "N·s²/m²"],
    road_speed: Annotated[float, "v", "m/s"],
    wind: Annotated[float, "w", "m/s"],
) -> Annotated[float, "F_w", "N"]:
    """What a wind along the road holds a car back by, beside what it lost in coasting both ways in that wind.

    Formula: F_w = 2 C v w. Symbols: C drag over speed squared, half of air density times drag area (N·s²/m²),
    v road speed (m/s), w wind against the car (m/s), F_w force (N).
    Range: C and v zero or more, v + w zero or more. Errors: `OutOfRange`.
    Source: C (v + w)² less the mean of C (v + w)² and C (v - w)², which a coast-down both ways has.
    """
    not_negative("quadratic_resistance", quadratic_resistance)
    not_negative("road_speed", road_speed)
    within("wind", wind, low=-road_speed)
    return 2 * quadratic_resistance * road_speed * wind


def wind_force_of_both_ways(
    quadratic_resistance: Annotated[float, "C", "N·s²/m²"],
    wind: Annotated[float, "w", "m/s"],
) -> Annotated[float, "F_w", "N"]:
    """What a steady wind leaves in the mean of driving with it and against it.

    Formula: F_w = C w². Symbols: C drag over speed squared, half of air density times drag area (N·s²/m²), w
    wind along the road (m/s), F_w force (N).
    Range: C zero or more. Errors: `OutOfRange`. Source: the mean of C w (2 v + w) and C w (w - 2 v).
    """
    not_negative("quadratic_resistance", quadratic_resistance)
    return quadratic_resistance * wind**2


def drag_factor(
    air_density: Annotated[float, "ρ", "kg/m³"],
    drag_area: Annotated[float, "A_d", "m²"],
) -> Annotated[float, "C", "N·s²/m²"]:
    """Drag in still air by the square of the speed.

    Formula: C = ρ A_d / 2. Symbols: ρ density of the air (kg/m³), A_d drag coefficient times frontal area
    (m²), C drag over speed squared (N·s²/m²).
    Range: both zero or more. Errors: `OutOfRange`. Source: definition of the drag coefficient.
    """
    not_negative("air_density", air_density)
    not_negative("drag_area", drag_area)
    return air_density * drag_area / 2


def resistance(
    constant_resistance: Annotated[float, "A", "N"],
    linear_resistance: Annotated[float, "B", "N·s/m"],
    quadratic_resistance: Annotated[float, "C", "N·s²/m²"],
    road_speed: Annotated[float, "v", "m/s"],
) -> Annotated[float, "R", "N"]:
    """Resistance at a speed, in the form that coast-down tests are reported in.

    Formula: R = A + B v + C v². Symbols: A constant resistance (N), B resistance over speed (N·s/m), C drag
    over speed squared (N·s²/m²), v road speed (m/s), R resistance (N).
    Range: v zero or more. Errors: `OutOfRange`.
    Source: the simulated road load of 40 CFR 1066.210(d)(3), whose A, B and C are found by coast-down as
    1066.301 says, after SAE J1263 and J2263 (both sections read).
    """
    not_negative("road_speed", road_speed)
    return constant_resistance + linear_resistance * road_speed + quadratic_resistance * road_speed**2


resistance_power = product_of(
    "resistance_power",
    "Power at the wheels that holds a speed.",
    resistance=Variable("R", "N", "resistance"),
    road_speed=Variable("v", "m/s", "road speed", not_negative),
    gives=Variable("P_R", "W", "power"),
    source="definition of power",
)

surplus_force = difference_of(
    "surplus_force",
    "What the wheels push with beyond the resistance: nothing at a top speed in balance.",
    wheel_force=Variable("F", "N", "force at the driven wheels"),
    resistance=Variable("R", "N", "resistance"),
    gives=Variable("ΔF", "N", "surplus"),
    source="Newton's first law",
)
