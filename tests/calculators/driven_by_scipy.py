"""A car that accelerates, written a second time and otherwise: forces and moments, integrated by scipy.

Shares nothing with buildlog: torque by numpy.interp, the tyres' limit from axle loads found by solving the
balance of moments, shifts where two accelerations cross by scipy's brentq, motion by scipy's DOP853.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import atan, cos, pi, sin
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665


@dataclass
class Driven:
    """Moments (time, distance, speed) at speeds and distances, and the engine speeds of the shifts."""

    at_speed: dict[float, tuple[float, float, float]]
    at_distance: dict[float, tuple[float, float, float]]
    shift_revs: list[float]


@dataclass
class Reaching:
    """An event of `solve_ivp`: a part of the state (0 distance, 1 speed) comes to a mark from below."""

    which: int
    mark: float
    terminal: bool = False
    direction: int = 1

    def __call__(self, _: float, y: Any) -> float:
        return float(y[self.which] - self.mark)


class Car:
    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.mass = given["vehicle_mass"]
        self.radius = given["rolling_circumference"] / 2 / pi
        self.slope = atan(given["gradient"])
        self.w = [row["engine_speed"] for row in given["torque_curve"]]
        self.torques = [row["torque"] for row in given["torque_curve"]]
        self.ratios = [gear * given["final_drive"] for gear in given["gears"]]

    def holding_back(self, v: float) -> float:
        given = self.given
        weight = self.mass * G
        rolling = given["rolling_coefficient"] * weight * cos(self.slope)
        drag = 0.5 * given["air_density"] * given["drag_area"] * v * v
        return float(rolling + weight * sin(self.slope) + drag)

    def by_torque(self, v: float, gear: int, torque: float, turning: float) -> float:
        """Acceleration by a torque at the clutch, `turning` being the inertia on its gearbox side."""
        ratio = self.ratios[gear]
        force = torque * ratio * self.given["driveline_efficiency"] / self.radius
        # What the inertia keeps of the torque does not pass the driveline: F = η i (T - J α) / r.
        parts = 4 * self.given["wheel_inertia"] + turning * ratio**2 * self.given["driveline_efficiency"]
        return float((force - self.holding_back(v)) / (self.mass + parts / self.radius**2))

    def by_engine(self, v: float, gear: int) -> float:
        given = self.given
        torque = float(np.interp(v * self.ratios[gear] / self.radius, self.w, self.torques))
        turning = given["engine_inertia"] + given["flywheel_inertia"] + given["clutch_inertia"]
        return self.by_torque(v, gear, torque, turning)

    def by_tyres(self, v: float) -> float:
        """Axle load and acceleration from three linear equations: force, moment and friction."""
        given = self.given
        if "tyre_friction" not in given:
            return np.inf
        weight = self.mass * G
        rolling = given["rolling_coefficient"] * weight * cos(self.slope)
        lever = given["centre_of_gravity_height"] / given["wheelbase"]
        sign = 1.0 if given["driven_axle"] == "rear" else -1.0
        heavy = self.mass + 2 * given["wheel_inertia"] / self.radius**2
        # Unknowns: force F, load N, acceleration a.
        matrix = np.array(
            [[1.0, -given["tyre_friction"], 0.0], [-sign * lever, 1.0, 0.0], [1.0, 0.0, -heavy]]
        )
        known = np.array(
            [
                0.0,
                given["drive_axle_share"] * weight * cos(self.slope) - sign * lever * rolling,
                self.holding_back(v),
            ]
        )
        return float(np.linalg.solve(matrix, known)[2])

    def in_gear(self, gear: int, v: float) -> float:
        return min(self.by_engine(v, gear), self.by_tyres(v))

    def shift_speeds(self) -> list[float]:
        """The last crossing of the accelerations in two gears below the limiter, or the limiter."""
        found = []
        for gear in range(len(self.ratios) - 1):
            end = self.given["rev_limit"] * self.radius / self.ratios[gear]
            low = self.w[0] * self.radius / self.ratios[gear + 1]

            def gain(v: float, gear: int = gear) -> float:
                return self.by_engine(v, gear + 1) - self.by_engine(v, gear)

            speed = end
            if gain(end) > 0:
                grid = np.linspace(end, low, 4000)
                below = next((i for i, v in enumerate(grid) if gain(v) < 0), None)
                speed = (
                    low if below is None else float(brentq(gain, grid[below], grid[below - 1], xtol=1e-13))
                )
            found.append(speed)
        return found

    def launch_torque(self) -> float:
        at_launch = float(np.interp(self.given["launch_speed"], self.w, self.torques))
        return float(self.given.get("launch_torque", at_launch))

    def slipping(self, torque: float, v: float) -> float:
        """Acceleration in the first gear while the clutch slips and passes on a torque."""
        by_clutch = self.by_torque(v, 0, torque, self.given["clutch_inertia"])
        return min(by_clutch, self.by_tyres(v))

    def coasting(self, v: float) -> float:
        """Acceleration while a gear is changed: only the wheels turn with the car."""
        wheels = self.mass + 4 * self.given["wheel_inertia"] / self.radius**2
        return float(-self.holding_back(v) / wheels)

    def drive(self, speeds: list[float], distances: list[float]) -> Driven:
        run = Run(self, speeds, distances)
        run.launch()
        run.through_gears()
        return run.driven


class Run:
    """One run of a car from its start, phase after phase, until all marks are reached."""

    def __init__(self, car: Car, speeds: list[float], distances: list[float]) -> None:
        self.car = car
        self.speeds = speeds
        self.distances = distances
        self.driven = Driven({}, {}, [])
        self.state = [0.0, car.given.get("start_speed", 0.0)]
        self.time = 0.0

    def marks_left(self) -> list[Reaching]:
        left = [Reaching(1, mark) for mark in self.speeds if mark not in self.driven.at_speed]
        return left + [Reaching(0, mark) for mark in self.distances if mark not in self.driven.at_distance]

    def phase(
        self, acceleration: Callable[[float], float], until: float | None, duration: float = 400.0
    ) -> None:
        """Go on by one acceleration, up to the speed `until` or for the duration."""

        def rates(_: float, y: np.ndarray) -> list[float]:
            return [y[1], acceleration(y[1])]

        marks = self.marks_left()
        ends = [] if until is None else [Reaching(1, until, terminal=True)]
        solved = solve_ivp(
            rates,
            (self.time, self.time + duration),
            self.state,
            method="DOP853",
            rtol=1e-11,
            atol=1e-11,
            max_step=0.02,
            events=marks + ends,
        )
        self.note(marks, solved)
        self.state, self.time = [float(part) for part in solved.y[:, -1]], float(solved.t[-1])

    def note(self, marks: list[Reaching], solved: Any) -> None:
        """Keep the first moment at which each mark was reached."""
        # The events of `solved` go on after the marks: the last may be the end of the phase.
        for mark, times, states in zip(marks, solved.t_events, solved.y_events, strict=False):
            if len(times):
                distance, speed = map(float, states[0])
                reached = self.driven.at_speed if mark.which else self.driven.at_distance
                reached[mark.mark] = (float(times[0]), distance, speed)

    def launch(self) -> None:
        given = self.car.given
        if "launch_speed" in given:
            locked = given["launch_speed"] * self.car.radius / self.car.ratios[0]
            self.phase(partial(self.car.slipping, self.car.launch_torque()), locked)

    def through_gears(self) -> None:
        car = self.car
        shifts = car.shift_speeds()
        self.driven.shift_revs = [
            v * ratio / car.radius for v, ratio in zip(shifts, car.ratios, strict=False)
        ]
        for gear in range(len(car.ratios)):
            end = shifts[gear] if gear < len(shifts) else None
            if not self.marks_left():
                break
            if end is None or end > self.state[1]:
                self.phase(partial(car.in_gear, gear), end, 400.0 if end else 60.0)
            if end is not None and car.given["shift_time"]:
                self.phase(car.coasting, None, car.given["shift_time"])
