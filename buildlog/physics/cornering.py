"""What tyres hold in a bend: its speed, and what is left there to drive and to brake with.

A car of a single mass on four tyres of one friction, in steady balance at each moment (quasi-steady). Every
axle carries its share of the lateral force; what it passes on along the road and across it stays within a
circle of radius friction times load. The load that driving and slope move between the axles counts, that
which moves across an axle does not: it is a part of why a friction so found is less than that of the rubber.
"""

from __future__ import annotations

from math import cos, sqrt
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import not_negative, positive, within
from buildlog.physics.road_load import STANDARD_GRAVITY


def greatest_corner_speed(
    tyre_friction: Annotated[float, "μ", "1"],
    corner_radius: Annotated[float, "r", "m"],
    gradient_angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "v_c", "m/s"]:
    """Speed at which a bend takes all that the tyres hold, none of it left to drive or brake with.

    Formula: v_c = √(μ g r cos θ). Symbols: μ tyre friction (1), g standard gravity (m/s²), r radius of the
    line (m), θ angle of the road (rad), v_c speed (m/s).
    Range: μ and r positive; a road that is not banked. Errors: `OutOfRange`.
    Source: statics, m v² / r = μ m g cos θ.
    """
    positive("tyre_friction", tyre_friction)
    positive("corner_radius", corner_radius)
    return sqrt(tyre_friction * STANDARD_GRAVITY * corner_radius * cos(gradient_angle))


def lateral_acceleration(
    road_speed: Annotated[float, "v", "m/s"],
    corner_radius: Annotated[float, "r", "m"],
) -> Annotated[float, "a_y", "m/s²"]:
    """Acceleration across the road in a bend.

    Formula: a_y = v² / r. Symbols: v road speed (m/s), r radius of the line (m), a_y acceleration (m/s²).
    Range: v zero or more, r positive. Errors: `OutOfRange`. Source: kinematics.
    """
    not_negative("road_speed", road_speed)
    positive("corner_radius", corner_radius)
    return road_speed**2 / corner_radius


def traction_in_bend(
    vehicle_mass: Annotated[float, "m", "kg"],
    drive_axle_share: Annotated[float, "w", "1"],
    gradient_angle: Annotated[float, "θ", "rad"],
    leverage: Annotated[float, "k", "1"],
    tyre_friction: Annotated[float, "μ", "1"],
    rolling_resistance: Annotated[float, "F_r", "N"],
    lateral_acceleration: Annotated[float, "a_y", "m/s²"],
) -> Annotated[float, "F_t", "N"]:
    """Most force that the driven tyres pass to the road while they carry their share of a bend.

    Formula: F_t = (μ² N k + √(μ² N² - (1 - μ² k²) Y²)) / (1 - μ² k²) with N = w m g cos θ - F_r k, Y = w m
    a_y; with k above 0 no more than what leaves the front axle its own share,
    ((1 - w) m g cos θ - (1 - w) m a_y / μ) / k + F_r. 0 where the bend takes more than there is.
    Symbols: m mass (kg), w share of the weight on the driven axle (1), θ angle of the road (rad), k height of
    the centre of gravity over the wheelbase, negative where the front wheels drive (1), μ tyre friction (1),
    F_r rolling resistance (N), a_y acceleration across the road (m/s²), g standard gravity (m/s²), N load
    without what driving moves (N), Y lateral force of the axle (N), F_t force (N).
    Range: μ k below 1, others as they come. Errors: `OutOfRange`.
    Source: derived, from F_t² + Y² = μ² (N + F_t k)²; without a bend it is the traction limit of a straight.
    """
    positive("vehicle_mass", vehicle_mass)
    within("drive_axle_share", drive_axle_share, 0, 1)
    positive("tyre_friction", tyre_friction)
    if tyre_friction * abs(leverage) >= 1:
        raise OutOfRange("tyre_friction", f"{tyre_friction:g}", "less than wheelbase over height")
    weight = vehicle_mass * STANDARD_GRAVITY * cos(gradient_angle)
    load: Annotated[float, "N", "N"] = drive_axle_share * weight - rolling_resistance * leverage
    across: Annotated[float, "Y", "N"] = drive_axle_share * vehicle_mass * lateral_acceleration
    rest = 1 - (tyre_friction * leverage) ** 2
    inside = (tyre_friction * load) ** 2 - rest * across**2
    if inside <= 0:
        return 0.0
    most = (tyre_friction**2 * load * leverage + sqrt(inside)) / rest
    if leverage <= 0:
        return max(0.0, most)
    front = (1 - drive_axle_share) * (weight - vehicle_mass * lateral_acceleration / tyre_friction)
    return max(0.0, min(most, front / leverage + rolling_resistance))


def braking_force(
    vehicle_mass: Annotated[float, "m", "kg"],
    gradient_angle: Annotated[float, "θ", "rad"],
    tyre_friction: Annotated[float, "μ", "1"],
    braking_efficiency: Annotated[float, "η_b", "1"],
    lateral_acceleration: Annotated[float, "a_y", "m/s²"],
) -> Annotated[float, "F_b", "N"]:
    """Force of the brakes on all wheels, with what a bend leaves of the tyres.

    Formula: F_b = η_b m √((μ g cos θ)² - a_y²), 0 where the bend takes all. Symbols: m mass (kg), θ angle of
    the road (rad), μ tyre friction (1), g standard gravity (m/s²), η_b braking efficiency (1), a_y
    acceleration across the road (m/s²), F_b force (N).
    Range: η_b from 0 to 1, m and μ positive. Errors: `OutOfRange`.
    Source: the friction circle; braking efficiency is deceleration over that which the friction allows.
    """
    positive("vehicle_mass", vehicle_mass)
    positive("tyre_friction", tyre_friction)
    within("braking_efficiency", braking_efficiency, 0, 1)
    inside = (tyre_friction * STANDARD_GRAVITY * cos(gradient_angle)) ** 2 - lateral_acceleration**2
    if inside <= 0:
        return 0.0
    return braking_efficiency * vehicle_mass * sqrt(inside)


def radius_of_corner_speed(
    held_speed: Annotated[float, "v", "m/s"],
    vehicle_mass: Annotated[float, "m", "kg"],
    drive_axle_share: Annotated[float, "w", "1"],
    gradient_angle: Annotated[float, "θ", "rad"],
    leverage: Annotated[float, "k", "1"],
    tyre_friction: Annotated[float, "μ", "1"],
    rolling_resistance: Annotated[float, "F_r", "N"],
    resistance: Annotated[float, "R", "N"],
    braking_efficiency: Annotated[float, "η_b", "1"],
) -> Annotated[float, "r", "m"]:
    """Radius of the bend that a car takes at a speed, its tyres at their limit and the speed held.

    Formula: r = v² / a_y with a_y the less of what the driven axle leaves, √(μ² (N + R k)² - R²) / (w m) with
    N = w m g cos θ - F_r k, and what all tyres hold, μ g cos θ; where R is below 0 and the brakes hold the
    speed, √((μ g cos θ)² - (R / (η_b m))²).
    Symbols: v road speed (m/s), m mass of the car (kg), w share of the weight on the driven axle (1), θ angle
    of the road (rad), k height of the centre of gravity over the wheelbase, negative where the front wheels
    drive (1), μ tyre friction (1), F_r rolling resistance (N), R resistance at the speed, slope counted (N),
    η_b braking efficiency (1), N load of the driven axle (N), weight what the road carries (N), most greatest
    acceleration of all tyres (m/s²), inside square of the acceleration that braking leaves (m²/s⁴), left
    square of the force that driving leaves (N²), axle acceleration that the driven axle leaves (m/s²), front
    acceleration that the front axle leaves (m/s²), g standard gravity (m/s²), r radius of the line (m).
    Range: a speed that the tyres' drive can hold. Errors: `OutOfRange`. Source: derived, as the traction in a
    bend.
    """
    positive("held_speed", held_speed)
    positive("tyre_friction", tyre_friction)
    positive("vehicle_mass", vehicle_mass)
    positive("braking_efficiency", braking_efficiency)
    most = tyre_friction * STANDARD_GRAVITY * cos(gradient_angle)
    if resistance < 0:
        inside = most**2 - (resistance / (braking_efficiency * vehicle_mass)) ** 2
        if inside <= 0:
            raise OutOfRange(
                "gradient", "a slope that the brakes cannot hold", "a gentler one, or more friction"
            )
        return held_speed**2 / sqrt(inside)
    weight = vehicle_mass * STANDARD_GRAVITY * cos(gradient_angle)
    load: Annotated[float, "N", "N"] = drive_axle_share * weight - rolling_resistance * leverage
    left = (tyre_friction * (load + resistance * leverage)) ** 2 - resistance**2
    if left <= 0:
        raise OutOfRange(
            "corner_speed",
            f"{held_speed * 3.6:.1f} km/h, where the tyres cannot overcome the resistance",
            "a speed that this car can hold there",
        )
    axle = sqrt(left) / (drive_axle_share * vehicle_mass)
    if leverage > 0:
        # The front axle carries less while the rear wheels drive.
        front = most - tyre_friction * leverage * (resistance - rolling_resistance) / (
            (1 - drive_axle_share) * vehicle_mass
        )
        if front <= 0:
            raise OutOfRange("tyre_friction", f"{tyre_friction:g}", "a front axle that still carries load")
        return held_speed**2 / min(axle, front)
    return held_speed**2 / min(axle, most)
