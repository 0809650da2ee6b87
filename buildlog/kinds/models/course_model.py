"""A car on a course: what each leg allows it, from the inputs of a block. For the kind `course`.

It is the car of `car_model`, on the level, taken to the slope and the radius of each leg.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, in_row
from buildlog.kinds.declaration import Working, given_together
from buildlog.kinds.models.car_model import Builder
from buildlog.physics import cornering, course_run, gear_run, inertia_mass, road_load
from buildlog.physics.course_run import BendSpan, Drive, Law, Leg, MadeWhenAsked
from buildlog.physics.motion import Pull, Resistance, Span
from buildlog.said import said

TRANSFER = ("wheelbase", "centre_of_gravity_height")


@dataclass(frozen=True, kw_only=True)
class Course:
    """The legs as this car takes them, the speed of every corner by the leg's key, and the car's start."""

    legs: tuple[Leg, ...]
    corner_speeds: Mapping[str, float]
    radii: Mapping[str, float]
    start_speed: float
    fastest: float
    shift_time: float
    lowest_gear: int
    flying: bool

    def drive(self, longest: float = course_run.LONGEST_STEP) -> course_run.CourseRun:
        """One run; of a flying lap one that begins as it ends. No moment of it is more than `longest` after
        the one before, as far as the car is driven."""
        drive = Drive(
            legs=self.legs,
            fastest=self.fastest,
            shift_time=self.shift_time,
            lowest_gear=self.lowest_gear,
            start_speed=self.start_speed,
            longest=longest,
        )
        if not self.flying:
            return drive.run()
        return drive.lap()


def build(given: Mapping[str, Any], keys: Sequence[str], working: Working) -> Course:
    """Everything that can be said before the car moves; faults in the inputs are raised."""
    return _CourseBuilder({**given, "gradient": 0.0}, working).course(keys)


class _CourseBuilder(Builder):
    def course(self, keys: Sequence[str]) -> Course:
        given, values = self.given, self.values
        for number, (first, second) in enumerate(pairwise(given["gears"]), start=1):
            if second >= first:
                raise InputsConflict(
                    "gears",
                    f"gear {number + 1} ({second:g}) not below gear {number} ({first:g})",
                    "ratios that fall from first gear to last",
                    help="write them first gear first",
                )
        if given["lowest_gear"] > len(given["gears"]):
            raise InputsConflict(
                "lowest_gear", f"{given['lowest_gear']}", f"at most {len(given['gears'])}, the last gear"
            )
        self.leverage = 0.0
        if given_together(given, TRANSFER, "the load that moves between the axles needs both"):
            sign = 1.0 if given["driven_axle"] == "rear" else -1.0
            self.leverage = sign * values["centre_of_gravity_height"] / values["wheelbase"]
        else:
            self.working.remark(
                said(
                    "Without wheelbase and centre_of_gravity_height no load moves between the axles: a "
                    "rear-drive car pulls out of corners better than said here, a front-drive one worse."
                )
            )
        level = self.resistance()
        self.forces, pulls = self.gears(level)
        for lower, higher in pairwise(pulls):
            gear_run.best_shift_speed(lower, higher)  # refuses gears that do not meet, on any slope
        self.undriven = self.mass(
            "mass_at_tyre_limit",
            inertia_mass.mass_with_wheels,
            "mechanics",
            wheel_inertia=self.wheels("undriven_wheels", 2.0),
        )
        self.slip = self._start()
        self.level = level
        self.known: dict[tuple[float, float], tuple[Leg, float]] = {}
        self.slopes: dict[float, tuple[Sequence[Pull], Sequence[float]]] = {}
        corner_speeds, radii, legs = {}, {}, []
        for index, (key, row) in enumerate(zip(keys, given["legs"], strict=True)):
            with in_row(index):
                leg, radius = self._leg(row, key)
            legs.append(leg)
            if leg.cap < inf:
                corner_speeds[key], radii[key] = leg.cap, radius
        return Course(
            legs=tuple(legs),
            corner_speeds=corner_speeds,
            radii=radii,
            start_speed=float(given.get("start_speed", 0.0)),
            fastest=self.forces[-1][-1][0],
            shift_time=values["shift_time"],
            lowest_gear=int(given["lowest_gear"]),
            flying=given["start"] == "flying",
        )

    def _start(self) -> tuple[float, float, float] | None:
        """Force, mass and lock-up speed of the slipping clutch, where the car stands at the start."""
        given = self.given
        wanted = {"standing": "launch_speed", "rolling": "start_speed", "flying": ""}[given["start"]]
        for name in ("launch_speed", "launch_torque", "start_speed"):
            if name in given and not (
                name == wanted or (name == "launch_torque" and wanted == "launch_speed")
            ):
                raise InputsConflict(
                    name, f"a {given['start']} start", "no such input", help="leave it out, or change start"
                )
        if wanted and wanted not in given:
            raise MissingInput(wanted, f"a {given['start']} start without it", wanted)
        if wanted != "launch_speed":
            return None
        return self.launch_force()

    def _resistance(self, angle: float) -> tuple[Resistance, float]:
        """The resistance on a slope, and the part of it that rolling makes."""
        mass = self.values["vehicle_mass"]
        rolling = self.values["rolling_resistance"]
        if "rolling_coefficient" in self.given:
            rolling = road_load.rolling_resistance(self.values["rolling_coefficient"], mass, angle)
        constant = road_load.constant_resistance(rolling, road_load.gradient_force(mass, angle))
        return Resistance(constant, self.level.linear, self.level.quadratic), rolling

    def _leg(self, row: Mapping[str, Any], key: str) -> tuple[Leg, float]:
        """One leg, and the radius of its line (infinite on a straight)."""
        angle = road_load.gradient_angle(float(row.get("gradient", 0.0)))
        resistance, rolling = self._resistance(angle)
        if "radius" in row and "corner_speed" in row:
            raise InputsConflict("legs", "radius and corner_speed", "one of the two", help="leave one out")
        tyres = {
            "vehicle_mass": self.values["vehicle_mass"],
            "drive_axle_share": self.values["drive_axle_share"],
            "gradient_angle": angle,
            "leverage": self.leverage,
            "tyre_friction": self.values["tyre_friction"],
            "rolling_resistance": rolling,
        }
        radius, cap = float(row.get("radius", inf)), inf
        if "corner_speed" in row:
            cap = float(row["corner_speed"])
            radius = self.working.step(
                f"radius.{key}",
                cornering.radius_of_corner_speed,
                source="friction-circle",
                held_speed=cap,
                resistance=resistance.at(cap),
                braking_efficiency=self.values["braking_efficiency"],
                **tyres,
            )
        elif "radius" in row:
            cap = self.working.step(
                f"corner_speed.{key}",
                course_run.held_corner_speed,
                _Bend(self, radius, resistance, tyres),
                source="friction-circle",
                tyre_friction=self.values["tyre_friction"],
                corner_radius=radius,
                gradient_angle=angle,
            )
        place = (angle, radius)
        if place not in self.known:
            if angle not in self.slopes:
                self.slopes[angle] = self._in_gears(resistance)
            self.known[place] = self._allowed(resistance, tyres, radius, cap), radius
        found = self.known[place][0]
        leg = replace(found, length=float(row["length"]), cap=cap)
        return leg, radius

    def _in_gears(self, resistance: Resistance) -> tuple[Sequence[Pull], Sequence[float]]:
        """The engine's pulls on a slope and where the gears are left there, whatever the radius."""
        raw = MadeWhenAsked(
            lambda gear: resistance.pull(self.forces[gear], self.masses[gear], "engine"), len(self.forces)
        )
        shifts: Sequence[float] = MadeWhenAsked(
            lambda gear: gear_run.best_shift_speed(raw[gear], raw[gear + 1]), len(raw) - 1
        )
        if "shift_revs" in self.given:
            revs = self.curve.around(self.given["shift_revs"], "shift_revs")["engine_speed"]
            shifts = tuple(revs * self.values["rolling_radius"] / ratio for ratio in self.ratios[:-1])
            if any(speed < points[0][0] for speed, points in zip(shifts, self.forces[1:], strict=True)):
                raise OutOfRange(
                    "shift_revs",
                    "a gear below the torque curve after the shift",
                    "a later shift, or torque measured further down",
                )
        return raw, shifts

    def _allowed(self, resistance: Resistance, tyres: dict[str, float], radius: float, cap: float) -> Leg:
        """What a slope and a radius allow: the pulls of the gears, of the clutch and of the brakes."""
        raw, shifts = self.slopes[tyres["gradient_angle"]]
        launch = None
        if self.slip is not None:
            force, mass, speed = self.slip
            launch = Pull((resistance.span(force, mass, "clutch slip", 0.0, speed),))
        limit, law = self._grip(resistance, tyres, radius, cap)
        return Leg(
            length=1.0,
            cap=cap,
            gears=raw,
            grip=law,
            limit=limit,
            coasting=Pull((resistance.span(0.0, self.rolling_mass(), "shift"),)),
            launch=launch,
            braking=self._brakes(resistance, tyres, radius),
            shift_speeds=shifts,
        )

    def _grip(
        self, resistance: Resistance, tyres: dict[str, float], radius: float, cap: float
    ) -> tuple[Callable[[Pull], Pull], Law]:
        """What keeps a pull to what the driven tyres pass on, and their law itself."""
        if radius == inf:
            most = cornering.traction_in_bend(**tyres, lateral_acceleration=0.0)
            straight = resistance.span(most, self.undriven, "tyres")
            return _kept(lambda pull: pull.under(straight)), straight.at
        bend = _Bend(self, radius, resistance, tyres)
        return _kept(lambda pull: BendSpan.limiting(pull, bend.acceleration, cap)), bend.acceleration

    def _brakes(self, resistance: Resistance, tyres: dict[str, float], radius: float) -> Span:
        """The acceleration, below 0, of a car that brakes as hard as it can."""
        mass, efficiency = self.values["vehicle_mass"], self.values["braking_efficiency"]
        angle, friction, rolling = tyres["gradient_angle"], tyres["tyre_friction"], self.rolling_mass()

        def law(speed: float) -> float:
            across = speed * speed / radius
            held = cornering.braking_force(mass, angle, friction, efficiency, across)
            return -(held + resistance.at(speed)) / rolling

        if law(0.0) >= 0:
            raise OutOfRange(
                "legs", "a slope that the brakes do not hold", "a gentler slope, or more friction"
            )
        if radius == inf:
            held = cornering.braking_force(mass, angle, friction, efficiency, 0.0)
            return resistance.span(-held, rolling, "braking")
        return BendSpan(low=0.0, high=inf, constant=0, linear=0, quadratic=0, limit="braking", law=law)


def _kept(limiting: Callable[[Pull], Pull]) -> Callable[[Pull], Pull]:
    """The same, made once for each pull; a tenth of the work of a `functools.cache`, of which a course has
    hundreds."""
    made: dict[Pull, Pull] = {}

    def limited(pull: Pull) -> Pull:
        if pull not in made:
            made[pull] = limiting(pull)
        return made[pull]

    return limited


class _Bend:
    """What the driven tyres allow in one bend, by speed."""

    def __init__(
        self, builder: _CourseBuilder, radius: float, resistance: Resistance, tyres: dict[str, float]
    ) -> None:
        self.builder, self.radius, self.resistance, self.tyres = builder, radius, resistance, tyres

    def traction(self, speed: float) -> float:
        """The force that the driven tyres pass on."""
        return cornering.traction_in_bend(**self.tyres, lateral_acceleration=speed * speed / self.radius)

    def acceleration(self, speed: float) -> float:
        """The acceleration at the driven tyres' limit."""
        return (self.traction(speed) - self.resistance.at(speed)) / self.builder.undriven

    def surplus(self, speed: float) -> float:
        """What the tyres have left at a speed that is held: by driving, or where it goes down, by braking."""
        needed = self.resistance.at(speed)
        if needed >= 0:
            return self.traction(speed) - needed
        across = speed * speed / self.radius
        mass, angle = self.tyres["vehicle_mass"], self.tyres["gradient_angle"]
        efficiency = self.builder.values["braking_efficiency"]
        held = cornering.braking_force(mass, angle, self.tyres["tyre_friction"], efficiency, across)
        return held + needed
