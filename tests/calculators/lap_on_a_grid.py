"""A car on a course, written a second time and otherwise: speeds on a grid of distances, there and back.

Shares nothing with buildlog: torque by numpy.interp, what the tyres pass on found by bisection in the balance
of forces and moments of both axles, always the gear that pulls best, no time for shifts, the midpoint rule in
v².
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, inf, isfinite, pi, sin, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

G = 9.80665
SPEEDS = np.linspace(0.5, 70.0, 6951)
Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Leg:
    """Accelerations by speed at full throttle and on the brakes, and the highest speed."""

    length: float
    driving: Array
    braking: Array
    cap: float


def _leg(given: dict[str, Any], row: dict[str, Any]) -> Leg:
    mass, radius = given["vehicle_mass"], given["rolling_circumference"] / 2 / pi
    slope = atan(row.get("gradient", 0.0))
    weight = mass * G * cos(slope)
    rolling = given["rolling_coefficient"] * weight
    drag = 0.5 * given["air_density"] * given["drag_area"] * SPEEDS**2
    against = rolling + mass * G * sin(slope) + drag
    across = SPEEDS**2 / row.get("radius", inf)
    wheels = given["wheel_inertia"] / radius**2

    share, friction = given["drive_axle_share"], given["tyre_friction"]
    lever = given["centre_of_gravity_height"] / given["wheelbase"]
    low, high = np.zeros_like(SPEEDS), np.full_like(SPEEDS, 3 * mass * G)
    for _ in range(60):
        force = (low + high) / 2
        onto = (force - rolling) * lever
        rear = force**2 + (share * mass * across) ** 2 <= (friction * (share * weight + onto)) ** 2
        front = (1 - share) * mass * across <= friction * ((1 - share) * weight - onto) + 1e-9
        low, high = np.where(rear & front, force, low), np.where(rear & front, high, force)

    best = np.full_like(SPEEDS, -1e3)
    rows = given["torque_curve"]
    inertia = given["engine_inertia"] + given["flywheel_inertia"] + given["clutch_inertia"]
    for gear in given["gears"][given["lowest_gear"] - 1 :]:
        ratio = gear * given["final_drive"] / radius
        revs = SPEEDS * ratio
        torque = np.interp(revs, [at["engine_speed"] for at in rows], [at["torque"] for at in rows])
        efficiency = given["driveline_efficiency"]
        moved = mass + 4 * wheels + efficiency * inertia * ratio**2
        pull = (efficiency * torque * ratio - against) / moved
        pull[(revs < rows[0]["engine_speed"]) | (revs > given["rev_limit"])] = -1e3
        best = np.maximum(best, pull)

    held = np.sqrt(np.maximum((friction * G * cos(slope)) ** 2 - across**2, 0.0))
    cap = inf
    if isfinite(row.get("radius", inf)):
        cap = float(SPEEDS[(low >= against) & (across <= friction * G * cos(slope))].max())
    return Leg(
        length=row["length"],
        driving=np.minimum(best, (low - against) / (mass + 2 * wheels)),
        braking=-(given["braking_efficiency"] * mass * held + against) / (mass + 4 * wheels),
        cap=cap,
    )


def _after(law: Array, speed: float, way: float) -> float:
    """The speed after a small way, by the midpoint rule."""
    first = float(np.interp(speed, SPEEDS, law))
    ahead = sqrt(max(speed**2 + 2 * first * way, 0.01))
    middle = float(np.interp((speed + ahead) / 2, SPEEDS, law))
    return sqrt(max(speed**2 + 2 * middle * way, 0.01))


def times_on_grid(given: dict[str, Any], step: float = 0.05) -> list[float]:
    """The time on each leg, from a rolling start."""
    legs = [_leg(given, row) for row in given["legs"]]
    of = np.concatenate([np.full(round(leg.length / step), number) for number, leg in enumerate(legs)])
    fastest = given["rev_limit"] * given["rolling_circumference"] / 2 / pi
    fastest /= given["gears"][-1] * given["final_drive"]
    allowed = np.array([min(legs[number].cap, fastest) for number in of])
    for at in range(len(of) - 2, -1, -1):
        allowed[at] = min(allowed[at], _after(-legs[of[at]].braking, allowed[at + 1], step))
    speed, times = min(given["start_speed"], float(allowed[0])), [0.0] * len(legs)
    for at, number in enumerate(of):
        ahead = _after(legs[number].driving, speed, step)
        ahead = min(ahead, float(allowed[min(at + 1, len(of) - 1)]))
        times[number] += 2 * step / (speed + ahead)
        speed = ahead
    return times
