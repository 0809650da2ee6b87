"""Traction: the force that the engine brings to the driven wheels, and the most that their tyres pass on.

The tyres' limit counts the load that acceleration, drag and gradient move between the axles. Drag is
taken at the height of the centre of gravity and lift is left out, as in the textbook form.
"""

from __future__ import annotations

from math import cos
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, product_of
from buildlog.physics.limits import not_negative, positive, within
from buildlog.physics.road_load import STANDARD_GRAVITY


def torque_between(
    engine_speed: Annotated[float, "ω", "rad/s"],
    lower_speed: Annotated[float, "ω_1", "rad/s"],
    lower_torque: Annotated[float, "T_1", "N·m"],
    upper_speed: Annotated[float, "ω_2", "rad/s"],
    upper_torque: Annotated[float, "T_2", "N·m"],
) -> Annotated[float, "T", "N·m"]:
    """Torque between two rows of a torque curve, on the straight line that joins them.

    Formula: T = T_1 + (T_2 - T_1) (ω - ω_1) / (ω_2 - ω_1). Symbols: ω engine speed (rad/s), ω_1 engine speed
    of the row below (rad/s), ω_2 engine speed of the row above (rad/s), T_1 torque of the row below (N·m),
    T_2 torque of the row above (N·m), share how far it is from the one to the other (1), T torque (N·m).
    Range: ω_1 below ω_2, ω from ω_1 to ω_2. Errors: `OutOfRange`. Source: linear interpolation.
    """
    if not lower_speed < upper_speed:
        raise OutOfRange("upper_speed", f"{upper_speed:g}", f"more than {lower_speed:g}")
    within("engine_speed", engine_speed, low=lower_speed, high=upper_speed, why="between the two rows")
    share = (engine_speed - lower_speed) / (upper_speed - lower_speed)
    return lower_torque + (upper_torque - lower_torque) * share


def speed_of_greatest_power(
    lower_speed: Annotated[float, "ω_1", "rad/s"],
    lower_torque: Annotated[float, "T_1", "N·m"],
    upper_speed: Annotated[float, "ω_2", "rad/s"],
    upper_torque: Annotated[float, "T_2", "N·m"],
) -> Annotated[float, "ω", "rad/s"]:
    """Where the power T·ω is greatest between two rows of a torque curve that a straight line joins.

    Formula: T = T_1 + b (ω - ω_1) with b = (T_2 - T_1) / (ω_2 - ω_1), so that P = T ω is a parabola. Where
    the torque falls, its vertex is at ω = (ω_1 - T_1 / b) / 2, and the greatest power there or at the end
    nearest to it; else it is at ω_2.
    Symbols: ω engine speed where the power is greatest (rad/s), ω_1 engine speed of the row below (rad/s),
    ω_2 engine speed of the row above (rad/s), T_1 torque of the row below (N·m), T_2 torque of the row above
    (N·m), b slope of the line between (N·m·s/rad), vertex engine speed at the top of the parabola (rad/s).
    Range: 0 ≤ ω_1 < ω_2; torques of 0 or more.
    Source: derived, from P = T·ω and the vertex of a parabola.
    """
    not_negative("lower_speed", lower_speed)
    not_negative("lower_torque", lower_torque)
    not_negative("upper_torque", upper_torque)
    if not lower_speed < upper_speed:
        raise OutOfRange("upper_speed", f"{upper_speed:g} rad/s", f"more than {lower_speed:g} rad/s")
    if upper_torque >= lower_torque:
        return upper_speed
    slope: Annotated[float, "b", "N·m·s/rad"] = (upper_torque - lower_torque) / (upper_speed - lower_speed)
    vertex = (lower_speed - lower_torque / slope) / 2
    return min(max(vertex, lower_speed), upper_speed)


power = product_of(
    "power",
    "Power at a torque and a speed.",
    engine_torque=Variable("T", "N·m", "torque", not_negative),
    engine_speed=Variable("ω", "rad/s", "engine speed", not_negative),
    gives=Variable("P", "W", "power"),
    source="definition of power",
)


def wheel_force(
    engine_torque: Annotated[float, "T", "N·m"],
    overall_ratio: Annotated[float, "i", "1"],
    driveline_efficiency: Annotated[float, "η", "1"],
    rolling_radius: Annotated[float, "r_e", "m"],
) -> Annotated[float, "F", "N"]:
    """Force at the driven wheels at steady speed.

    Formula: F = η T i / r_e. Symbols: η efficiency of the driveline (1), T torque at the clutch (N·m), i
    overall ratio (1), r_e rolling radius (m), F force (N).
    Range: T zero or more, η from 0 to 1, others positive. Errors: `OutOfRange`. Source: power balance without
    slip; Gillespie, Fundamentals of Vehicle Dynamics (SAE, 1992), ch. 2 (from memory).
    """
    not_negative("engine_torque", engine_torque)
    positive("overall_ratio", overall_ratio)
    within("driveline_efficiency", driveline_efficiency, 0, 1)
    positive("rolling_radius", rolling_radius)
    return driveline_efficiency * engine_torque * overall_ratio / rolling_radius


def traction_limit_rear(
    vehicle_mass: Annotated[float, "m", "kg"],
    drive_axle_share: Annotated[float, "w", "1"],
    gradient_angle: Annotated[float, "θ", "rad"],
    centre_of_gravity_height: Annotated[float, "h", "m"],
    wheelbase: Annotated[float, "L", "m"],
    tyre_friction: Annotated[float, "μ", "1"],
    rolling_resistance: Annotated[float, "F_r", "N"],
) -> Annotated[float, "F_t", "N"]:
    """Most force that driven rear wheels pass to the road, with the load that moves onto them.

    Formula: F_t = μ (w m g cos θ - F_r h / L) / (1 - μ h / L). Symbols: m mass of the car (kg), w share of
    the weight on the rear axle, standing level (1), g standard gravity (m/s²), θ angle of the road (rad), h
    height of the centre of gravity (m), L wheelbase (m), μ tyre friction (1), F_r rolling resistance (N),
    weight what the road carries (N), leverage h/L (1), F_t greatest force (N).
    Range: μ h / L below 1, the front axle still carrying load, F_t positive. Errors: `OutOfRange`.
    Source: Wong, Theory of Ground Vehicles, 3.1 (from memory); the same form is taught by Mannering and
    Washburn, Principles of Highway Engineering and Traffic Analysis, 2.4 (from memory).
    """
    positive("vehicle_mass", vehicle_mass)
    within("drive_axle_share", drive_axle_share, 0, 1)
    positive("centre_of_gravity_height", centre_of_gravity_height)
    positive("wheelbase", wheelbase)
    positive("tyre_friction", tyre_friction)
    if tyre_friction * centre_of_gravity_height >= wheelbase:
        raise OutOfRange(
            "tyre_friction",
            f"{tyre_friction:g}",
            "less than wheelbase over height",
            help="with more the car would turn over backwards before its tyres slip",
        )
    weight = vehicle_mass * STANDARD_GRAVITY * cos(gradient_angle)
    leverage = centre_of_gravity_height / wheelbase
    if drive_axle_share * weight <= rolling_resistance * leverage:
        raise OutOfRange("drive_axle_share", f"{drive_axle_share:g}", "an axle that carries load")
    if drive_axle_share * weight - rolling_resistance * leverage > weight * (1 - tyre_friction * leverage):
        raise OutOfRange(
            "tyre_friction",
            f"{tyre_friction:g}",
            "a front axle that still carries load",
            help="at the tyres' limit the front wheels would leave the ground, and the driver lifts "
            "before that; state the friction at which they just do not",
        )
    return (
        tyre_friction
        * (drive_axle_share * weight - rolling_resistance * leverage)
        / (1 - tyre_friction * leverage)
    )


def traction_limit_front(
    vehicle_mass: Annotated[float, "m", "kg"],
    drive_axle_share: Annotated[float, "w", "1"],
    gradient_angle: Annotated[float, "θ", "rad"],
    centre_of_gravity_height: Annotated[float, "h", "m"],
    wheelbase: Annotated[float, "L", "m"],
    tyre_friction: Annotated[float, "μ", "1"],
    rolling_resistance: Annotated[float, "F_r", "N"],
) -> Annotated[float, "F_t", "N"]:
    """Most force that driven front wheels pass to the road, less the load that moves off them.

    Formula: F_t = μ (w m g cos θ + F_r h / L) / (1 + μ h / L). Symbols: m mass (kg), w share of the weight on
    the front axle, standing level (1), g standard gravity (m/s²), θ angle of the road (rad), h height of
    the centre of gravity (m), L wheelbase (m), μ tyre friction (1), F_r rolling resistance (N), F_t
    force (N).
    Range: m, h, L, μ positive, w 0 to 1, F_r zero or more. Errors: `OutOfRange`.
    Source: as `traction_limit_rear`.
    """
    positive("vehicle_mass", vehicle_mass)
    within("drive_axle_share", drive_axle_share, 0, 1)
    positive("centre_of_gravity_height", centre_of_gravity_height)
    positive("wheelbase", wheelbase)
    positive("tyre_friction", tyre_friction)
    not_negative("rolling_resistance", rolling_resistance)
    weight = vehicle_mass * STANDARD_GRAVITY * cos(gradient_angle)
    leverage = centre_of_gravity_height / wheelbase
    return (
        tyre_friction
        * (drive_axle_share * weight + rolling_resistance * leverage)
        / (1 + tyre_friction * leverage)
    )
