"""Weight balance: axle loads, centre of gravity and what added or removed masses do to them.

Scales read mass here (kg). Distances are measured from the front axle backwards (x), from the centre line
to the right (y) and from the ground up (z).
"""

from __future__ import annotations

from math import asin, tan
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import positive, within


def sum_of_two(
    first: Annotated[float, "m_1", "kg"],
    second: Annotated[float, "m_2", "kg"],
) -> Annotated[float, "m", "kg"]:
    """Sum of two scale readings: an axle, a side, a diagonal, or the car.

    Formula: m = m_1 + m_2. Symbols: m_1 and m_2 readings (kg), m sum (kg). Range: any. Source: arithmetic.
    """
    return first + second


def share(
    part: Annotated[float, "m_p", "kg"],
    total: Annotated[float, "m", "kg"],
) -> Annotated[float, "s", "1"]:
    """Share of the whole.

    Formula: s = m_p / m. Symbols: m_p part (kg), m total (kg), s share (1). Range: m positive.
    Errors: `OutOfRange`. Source: definition.
    """
    positive("total", total)
    return part / total


def behind_front_axle(
    rear_load: Annotated[float, "m_r", "kg"],
    total_mass: Annotated[float, "m", "kg"],
    wheelbase: Annotated[float, "L", "m"],
) -> Annotated[float, "x", "m"]:
    """Distance of the centre of gravity behind the front axle.

    Formula: x = m_r L / m. Symbols: m_r load on the rear axle (kg), m mass of the car (kg), L wheelbase (m),
    x distance (m).
    Range: all positive. Errors: `OutOfRange`. Source: moments about the front axle.
    """
    positive("rear_load", rear_load)
    positive("total_mass", total_mass)
    positive("wheelbase", wheelbase)
    return rear_load * wheelbase / total_mass


def right_of_centre(
    front_difference: Annotated[float, "d_f", "kg"],
    rear_difference: Annotated[float, "d_r", "kg"],
    front_track: Annotated[float, "t_f", "m"],
    rear_track: Annotated[float, "t_r", "m"],
    total_mass: Annotated[float, "m", "kg"],
) -> Annotated[float, "y", "m"]:
    """Distance of the centre of gravity to the right of the centre line.

    Formula: y = (d_f t_f + d_r t_r) / (2 m). Symbols: d_f and d_r right less left reading of front and rear
    axle (kg), t_f and t_r track (m), m mass of the car (kg), y distance (m).
    Range: tracks and m positive. Errors: `OutOfRange`. Source: moments about the centre line.
    """
    positive("front_track", front_track)
    positive("rear_track", rear_track)
    positive("total_mass", total_mass)
    return (front_difference * front_track + rear_difference * rear_track) / (2 * total_mass)


def centre_of_gravity_height(
    load_gain: Annotated[float, "Δm", "kg"],
    total_mass: Annotated[float, "m", "kg"],
    wheelbase: Annotated[float, "L", "m"],
    raised_height: Annotated[float, "h", "m"],
    static_radius: Annotated[float, "r", "m"],
) -> Annotated[float, "z", "m"]:
    """Height of the centre of gravity from the load that the low axle gains when the other is raised.

    Formula: z = r + Δm L / (m tan(asin(h / L))). Symbols: Δm gain of the low axle's reading (kg), m mass of
    the car (kg), L wheelbase (m), h height by which the wheels of the other axle are raised (m), r height
    of the wheel centres, the static loaded radius (m), z height above the ground of the level car (m).
    Range: h from 0.1 m to half the wheelbase; Δm positive: the centre of gravity lies above the wheel
    centres.
    Errors: `OutOfRange`. Source: moments about the wheel centres, the form of ISO 10392 and of Milliken and
    Milliken, Race Car Vehicle Dynamics (SAE, 1995), 18.3 (from memory).
    """
    positive("total_mass", total_mass)
    positive("wheelbase", wheelbase)
    positive("static_radius", static_radius)
    within("raised_height", raised_height, 0.1, wheelbase / 2, "less does not show, more is not safe")
    if not load_gain > 0:
        raise OutOfRange("low_axle_reading", f"a gain of {load_gain:g} kg", "more than 0 kg",
                         "the low axle gains load when the other is raised")  # fmt: skip
    return static_radius + load_gain * wheelbase / (total_mass * tan(asin(raised_height / wheelbase)))


def with_mass(
    position: Annotated[float, "x", "m"],
    mass: Annotated[float, "m", "kg"],
    added_position: Annotated[float, "x_a", "m"],
    added_mass: Annotated[float, "m_a", "kg"],
) -> Annotated[float, "x_n", "m"]:
    """Centre of gravity along one axis after a mass is added; a removed mass counts as negative.

    Formula: x_n = (m x + m_a x_a) / (m + m_a). Symbols: x position before (m), m mass before (kg), x_a
    position of the added mass (m), m_a added mass (kg), x_n position after (m).
    Range: m and m + m_a positive. Errors: `OutOfRange`. Source: definition of the centre of mass.
    """
    positive("mass", mass)
    positive("mass", mass + added_mass, "more is taken off than there is")
    return (mass * position + added_mass * added_position) / (mass + added_mass)


def rear_axle_load(
    total_mass: Annotated[float, "m", "kg"],
    position: Annotated[float, "x", "m"],
    wheelbase: Annotated[float, "L", "m"],
) -> Annotated[float, "m_r", "kg"]:
    """Load on the rear axle of the level car.

    Formula: m_r = m x / L. Symbols: m mass of the car (kg), x centre of gravity behind the front axle (m),
    L wheelbase (m), m_r load on the rear axle (kg).
    Range: m and L positive. Errors: `OutOfRange`. Source: moments about the front axle.
    """
    positive("total_mass", total_mass)
    positive("wheelbase", wheelbase)
    return total_mass * position / wheelbase


def difference(
    first: Annotated[float, "m_1", "kg"],
    second: Annotated[float, "m_2", "kg"],
) -> Annotated[float, "d", "kg"]:
    """Difference of two masses.

    Formula: d = m_1 - m_2. Symbols: m_1 and m_2 masses (kg), d difference (kg). Range: any. Source:
    arithmetic.
    """
    return first - second
