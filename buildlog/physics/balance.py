"""Weight balance: axle loads, centre of gravity and what added or removed masses do to them.

Scales read mass here (kg). Distances are measured from the front axle backwards (x), from the centre line
to the right (y) and from the ground up (z).
"""

from __future__ import annotations

from math import asin, sqrt, tan
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.declared import Variable, difference_of, ratio_of, sum_of
from buildlog.physics.limits import positive, within

sum_of_two = sum_of(
    "sum_of_two",
    "Sum of two scale readings: an axle, a side, a diagonal, or the car.",
    first=Variable("m_1", "kg", "one reading"),
    second=Variable("m_2", "kg", "other reading"),
    gives=Variable("m", "kg", "sum"),
    source="arithmetic",
)

share = ratio_of(
    "share",
    "Share of the whole.",
    part=Variable("m_p", "kg", "part"),
    total=Variable("m", "kg", "total", positive),
    gives=Variable("s", "1", "share"),
    source="definition",
)


def adjusted_axle(
    axle: Annotated[float, "m_a", "kg"],
    other_axle: Annotated[float, "m_b", "kg"],
    whole: Annotated[float, "m_w", "kg"],
) -> Annotated[float, "m_x", "kg"]:
    """Load on one axle from three readings of one weighbridge: either axle and the whole car.

    Formula: m_x = m_a + (m_w - m_a - m_b) / 3. Symbols: m_a reading of the axle, m_b of the other axle, m_w
    of the whole car (kg), m_x load that fits all three best (kg).
    Range: readings above zero, each as sure as the others. Errors: `OutOfRange`.
    Source: least squares: of three equal doubts each reading takes a third of what they differ by.
    """
    positive("axle", axle)
    positive("other_axle", other_axle)
    positive("whole", whole)
    return axle + (whole - axle - other_axle) / 3


closure = difference_of(
    "closure",
    "What the whole car reads less both axles together: nothing, on level ground.",
    first=Variable("m_w", "kg", "reading of the whole car"),
    second=Variable("m", "kg", "sum of both axles"),
    gives=Variable("d", "kg", "difference"),
    source="arithmetic",
)


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

    Formula: y = (d_f t_f + d_r t_r) / (2 m). Symbols: d_f right less left reading of the front axle (kg), d_r
    right less left reading of the rear axle (kg), t_f front track (m), t_r rear track (m), m mass of the car
    (kg), y distance (m).
    Range: tracks and m positive. Errors: `OutOfRange`. Source: moments about the centre line.
    """
    positive("front_track", front_track)
    positive("rear_track", rear_track)
    positive("total_mass", total_mass)
    return (front_difference * front_track + rear_difference * rear_track) / (2 * total_mass)


def lift_angle(
    raised_height: Annotated[float, "h", "m"],
    wheelbase: Annotated[float, "L", "m"],
    low_radius: Annotated[float, "r_l", "m"],
    raised_radius: Annotated[float, "r_h", "m"],
) -> Annotated[float, "θ", "rad"]:
    """Angle by which the car turns when the wheels of one axle are raised.

    Formula: θ = asin((h + r_h - r_l) / c) - asin((r_h - r_l) / c) with c = sqrt(L² + (r_h - r_l)²); sin θ = h
    / L where both radii are the same. Symbols: h height by which the wheels are raised (m), L wheelbase on
    level ground (m), r_l static loaded radius at the low axle (m), r_h static loaded radius at the raised
    axle (m), step difference of the two (m), c distance of the wheel centres (m), θ angle (rad).
    Range: h from 0.1 m to half the wheelbase, radii positive. Errors: `OutOfRange`. Source: geometry.
    """
    positive("wheelbase", wheelbase)
    within(
        "raised_height",
        raised_height,
        low=0.1,
        high=wheelbase / 2,
        why="less does not show, more is not safe",
    )
    positive("low_radius", low_radius)
    positive("raised_radius", raised_radius)
    within("raised_radius", raised_radius - low_radius, -wheelbase / 4, wheelbase / 4)
    step = raised_radius - low_radius
    c = sqrt(wheelbase**2 + step**2)
    return asin((raised_height + step) / c) - asin(step / c)


def centre_of_gravity_height(
    level_reading: Annotated[float, "m_0", "kg"],
    low_axle_reading: Annotated[float, "m_l", "kg"],
    total_mass: Annotated[float, "m", "kg"],
    wheelbase: Annotated[float, "L", "m"],
    lift_angle: Annotated[float, "θ", "rad"],
    low_radius: Annotated[float, "r_l", "m"],
    raised_radius: Annotated[float, "r_h", "m"],
) -> Annotated[float, "z", "m"]:
    """Height of the centre of gravity from what the low axle reads when the other is raised.

    Formula: z = r_l + (r_h - r_l) (1 - m_l / m) + (m_l - m_0) L / (m tan θ). Symbols: m_0 reading of the low
    axle with the car level (kg), m_l reading of the low axle with the car raised (kg), m mass of the car
    (kg), L wheelbase (m), θ angle by which the car is turned (rad), r_l static loaded radius at the low axle
    (m), r_h static loaded radius at the raised axle (m), gain height above the line of the wheel centres (m),
    centre line its height where the weight is (m), z height above the ground of the level car (m).
    Range: θ from 0.02 to 0.6 rad; m_l from 0 to m; z above the ground. Errors: `OutOfRange`.
    Source: with r_l = r_h the form of ISO 10392 (as course notes on vehicle inertia give it, read) and of
    Milliken and Milliken, Race Car Vehicle Dynamics (SAE, 1995), 18.3 (from memory). For unlike radii:
    moments about the raised axle's contact, after turning the rigid car about the low wheels' centre.
    """
    positive("total_mass", total_mass)
    positive("wheelbase", wheelbase)
    positive("low_radius", low_radius)
    positive("raised_radius", raised_radius)
    within("lift_angle", lift_angle, 0.02, 0.6)
    within(
        "level_reading",
        level_reading,
        low=0,
        high=total_mass,
        why="an axle reads no more than the car weighs",
    )
    within(
        "low_axle_reading",
        low_axle_reading,
        low=0,
        high=total_mass,
        why="an axle reads no more than the car weighs",
    )
    gain = (low_axle_reading - level_reading) * wheelbase / (total_mass * tan(lift_angle))
    centre_line = low_radius + (raised_radius - low_radius) * (1 - low_axle_reading / total_mass)
    if centre_line + gain <= 0:
        raise OutOfRange(
            "low_axle_reading",
            f"a height of {centre_line + gain:.3f} m from it",
            "a height above the ground",
            help="read the low axle again",
        )
    return centre_line + gain


def height_misread(
    misread: Annotated[float, "δm", "kg"],
    total_mass: Annotated[float, "m", "kg"],
    wheelbase: Annotated[float, "L", "m"],
    lift_angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "δz", "m"]:
    """How far the height of the centre of gravity moves with a reading that is off.

    Formula: δz = δm L / (m tan θ). Symbols: δm what the low axle is misread by (kg), m mass of the car (kg),
    L wheelbase (m), θ angle by which the car is turned (rad), δz error of the height (m).
    Range: m and L positive, θ from 0.02 to 0.6 rad. Errors: `OutOfRange`.
    Source: derivative of the height by the low axle's reading, radii alike.
    """
    positive("total_mass", total_mass)
    positive("wheelbase", wheelbase)
    within("lift_angle", lift_angle, 0.02, 0.6)
    return misread * wheelbase / (total_mass * tan(lift_angle))


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


difference = difference_of(
    "difference",
    "Difference of two masses.",
    first=Variable("m_1", "kg", "one mass"),
    second=Variable("m_2", "kg", "mass taken from it"),
    gives=Variable("d", "kg", "difference"),
    source="arithmetic",
)


def rear_axle_change(
    mass_change: Annotated[float, "Δm", "kg"],
    position: Annotated[float, "x", "m"],
    wheelbase: Annotated[float, "L", "m"],
) -> Annotated[float, "Δm_r", "kg"]:
    """What a part adds to the rear axle; ahead of the front axle it takes load off.

    Formula: Δm_r = Δm x / L. Symbols: Δm mass fitted, or below zero removed (kg), x its place behind the
    front axle (m), L wheelbase (m), Δm_r change of the rear axle's load (kg).
    Range: L positive. Errors: `OutOfRange`. Source: moments about the front axle.
    """
    positive("wheelbase", wheelbase)
    return mass_change * position / wheelbase


def right_side_change(
    mass_change: Annotated[float, "Δm", "kg"],
    position: Annotated[float, "y", "m"],
    track: Annotated[float, "t", "m"],
) -> Annotated[float, "Δm_d", "kg"]:
    """What a part adds to the right wheels.

    Formula: Δm_d = Δm (1 / 2 + y / t). Symbols: Δm mass fitted, or below zero removed (kg), y its place to
    the right of the centre line (m), t track (m), Δm_d change of the load on the right wheels (kg).
    Range: t positive; exact where front and rear track are the same. Errors: `OutOfRange`.
    Source: moments about the line of the left wheels.
    """
    positive("track", track)
    return mass_change * (1 / 2 + position / track)


def mean_track(
    front_track: Annotated[float, "t_f", "m"],
    rear_track: Annotated[float, "t_r", "m"],
) -> Annotated[float, "t", "m"]:
    """Mean of the two tracks.

    Formula: t = (t_f + t_r) / 2. Symbols: t_f front track (m), t_r rear track (m), t mean (m). Range: both
    positive. Errors: `OutOfRange`. Source: arithmetic.
    """
    positive("front_track", front_track)
    positive("rear_track", rear_track)
    return (front_track + rear_track) / 2
