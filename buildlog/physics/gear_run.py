"""A run through the gears: launch, gears, shifts and the limiter, and what can be read off it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, log10
from typing import Annotated

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics.limits import not_negative, positive
from buildlog.physics.motion import Moment, Pull, Stage, Trip


@dataclass(frozen=True, eq=False, kw_only=True)
class GearRun:
    """One run: the moments at the speeds and distances asked for, every moment, and what limited when."""

    at_speed: Mapping[float, Moment]
    at_distance: Mapping[float, Moment]
    trace: Sequence[Moment]
    stages: Sequence[Stage]
    lock_up: Moment | None

    def limits(self) -> list[tuple[str, str, float, float]]:
        """What limits, in which gear, from which speed to which; nothing of a run that went nowhere."""
        if not self.stages:
            return []
        ends = [stage.start.speed for stage in self.stages[1:]] + [self.trace[-1].speed]
        return [
            (stage.limit, stage.gear, stage.start.speed, end)
            for stage, end in zip(self.stages, ends, strict=True)
        ]

    def in_words(self) -> str:
        """The same as a sentence; a limit that goes on over a shift is named once."""
        parts: list[tuple[str, float, float]] = []
        for limit, _, start, end in self.limits():
            if limit == "shift" or (start == end and limit != "limiter"):
                continue
            if parts and parts[-1][0] == limit:
                parts[-1] = (limit, parts[-1][1], end)
            else:
                parts.append((limit, start, end))
        return "; ".join(
            f"{limit} {start * 3.6:.0f} to {end * 3.6:.0f} km/h"
            if end != start
            else f"{limit} at {end * 3.6:.0f} km/h"
            for limit, start, end in parts
        )


@dataclass(frozen=True, kw_only=True)
class Car:
    """A car ready to run.

    `launch` is the pull with a slipping clutch up to lock-up (None for a rolling start at `start_speed`),
    `gears` those of the gears, each ending at the limiter, `coasting` that without torque, `shift_speeds`
    the road speeds at which the gears but the last are left.
    """

    launch: Pull | None
    gears: tuple[Pull, ...]
    coasting: Pull
    shift_speeds: tuple[float, ...]
    shift_time: float
    start_speed: float = 0.0

    def drive(self, speeds: Sequence[float], distances: Sequence[float], tolerance: float) -> GearRun:
        """Run from the start until all speeds and distances are passed or time is up.

        Source: Newton's second law; integrated by `buildlog.physics.motion.Trip`.
        """
        trip = Trip(
            moment=Moment(0.0, 0.0, self.start_speed),
            speeds=list(speeds),
            distances=list(distances),
            tolerance=tolerance,
        )
        lock_up = None
        gear = next(
            (n for n, speed in enumerate(self.shift_speeds) if self.start_speed < speed), len(self.gears) - 1
        )
        if self.launch is not None:
            if self.launch.at(0.0) <= 0:
                raise NoSolution(
                    "launch_torque",
                    "less force than holds the car",
                    "a car that moves off",
                    help="more launch_torque, more grip or a gentler gradient",
                )
            trip.follow(self.launch, "1", ceiling=self.launch.high)
            lock_up = trip.moment if trip.moment.speed >= self.launch.high else None
        while trip.under_way:
            pull, name = self.gears[gear], f"{gear + 1}"
            shifts = gear < len(self.shift_speeds) and self.gears[gear + 1].at(self.shift_speeds[gear]) > 0
            ceiling = self.shift_speeds[gear] if shifts else pull.high
            if trip.moment.speed < pull.low or not trip.follow(pull, name, ceiling):
                raise OutOfRange(
                    "torque_curve",
                    f"gear {name} at {trip.moment.speed * 3.6:.1f} km/h, below the first row",
                    "a curve that begins low enough for every gear",
                    help="measure the torque further down, shift later or give shorter ratios",
                )
            if trip.moment.speed < ceiling:
                break
            if not shifts:
                trip.hold(name)
                break
            if not trip.follow(self.coasting, until=trip.moment.time + self.shift_time):
                raise NoSolution(
                    "shift_time",
                    "a car that comes to a stand during a shift",
                    "one that rolls on",
                    help="shift faster, or later",
                )
            gear += 1
        return GearRun(
            at_speed=trip.at_speed,
            at_distance=trip.at_distance,
            trace=tuple(trip.trace),
            stages=tuple(trip.stages),
            lock_up=lock_up,
        )


def best_shift_speed(lower: Pull, higher: Pull) -> Annotated[float, "v_s", "m/s"]:
    """Road speed at which a gear is left best: from there on the next one accelerates no less.

    Formula: a_2(v_s) = a_1(v_s) with a = (F(v) - R(v)) / m_a, the last such speed of the gear; the limiter's
    speed where the next gear still accelerates less there. Each is a root of a quadratic between two rows of
    the torque curve; the tyres' limit and the time of the shift are left out.
    Symbols: a_1 and a_2 acceleration in the gear and in the next (m/s²), v_s road speed (m/s).
    In words: found between two rows of the torque curve.
    Range: gears that overlap. Errors: `OutOfRange`. Source: definition of the best moment.
    """
    if higher.low > lower.high:
        raise OutOfRange(
            "torque_curve",
            f"a shift at the limiter lands below its first row (at {lower.high * 3.6:.1f} km/h)",
            "a curve that begins low enough for every gear",
            help="measure the torque further down, or close up the ratios",
        )
    overtaken_at = lower.overtaken_by(higher)
    if overtaken_at is None:
        return lower.high
    return overtaken_at


def balance_speed(pull: Pull) -> Annotated[float, "v_b", "m/s"]:
    """Highest road speed that a gear holds.

    Formula: F(v_b) = R(v_b), the highest such speed, a root of a quadratic between two rows of the torque
    curve; the limiter's speed where force is left over there, 0 where the gear holds no speed.
    Symbols: F wheel force (N), R resistance (N), v_b road speed (m/s).
    In words: found between two rows of the torque curve.
    Range: any. Errors: none. Source: Newton's first law.
    """
    held = pull.highest_held()
    if held is None:
        return 0.0
    return held


def time_to_speed(run: GearRun, road_speed: Annotated[float, "v", "m/s"]) -> Annotated[float, "t", "s"]:
    """Time from the start until a speed is passed for the first time.

    Formula: t = ∫ dv / a(v) from the start to v, shifts included, with a(v) the least of what clutch, tyres
    and engine allow, less resistance. Symbols: v road speed (m/s), a acceleration (m/s²), t time (s).
    In words: found by integration.
    Range: a speed that the run passes. Errors: `NoSolution`. Source: Newton's second law.
    """
    not_negative("road_speed", road_speed)
    if road_speed not in run.at_speed:
        raise NoSolution("speed_to", f"{road_speed * 3.6:.1f} km/h, never reached", "a speed the car reaches")
    return run.at_speed[road_speed].time


def time_between(
    run: GearRun,
    first_speed: Annotated[float, "v_1", "m/s"],
    last_speed: Annotated[float, "v_2", "m/s"],
) -> Annotated[float, "Δt", "s"]:
    """Time between passing two speeds in the run, each for the first time.

    Formula: Δt = t(v_2) - t(v_1), with t(v) = ∫ dv / a(v) from the start to v, shifts included. Symbols: v_1
    road speed at the start (m/s), v_2 road speed at the end (m/s), a acceleration (m/s²), Δt time (s).
    In words: found by integration.
    Range: speeds that the run passes. Errors: `NoSolution`. Source: Newton's second law.
    """
    return time_to_speed(run, last_speed) - time_to_speed(run, first_speed)


def roll_on_time(
    pull: Pull,
    first_speed: Annotated[float, "v_1", "m/s"],
    last_speed: Annotated[float, "v_2", "m/s"],
) -> Annotated[float, "Δt", "s"]:
    """Time from one speed to another with one gear held.

    Formula: Δt = ∫ dv / a(v) from v_1 to v_2. Symbols: v_1 road speed at the start (m/s), v_2 road speed at
    the end (m/s), a acceleration in the gear (m/s²), Δt time (s).
    In words: found by integration.
    Range: speeds within the gear, with force left between them. Errors: `NoSolution`. Source: Newton's second
    law.
    """
    if not pull.carries(first_speed, last_speed):
        raise NoSolution("speed_to", f"{last_speed * 3.6:.1f} km/h, not reached in the gear", "a lower gear")
    trip = Trip(moment=Moment(0.0, 0.0, first_speed), speeds=[last_speed], distances=[], tolerance=1e-9)
    trip.follow(pull)
    return trip.at_speed[last_speed].time


def _over(run: GearRun, distance: float) -> Moment:
    positive("distance", distance)
    if distance not in run.at_distance:
        raise NoSolution(
            "distance", f"{distance:g} m, not covered in 15 minutes", "a distance the car covers"
        )
    return run.at_distance[distance]


def time_over_distance(run: GearRun, distance: Annotated[float, "x", "m"]) -> Annotated[float, "t", "s"]:
    """Time from the start until a distance is covered.

    Formula: x = ∫ v dt from 0 to t, with dv/dt = a(v), shifts included. Symbols: x distance (m), v road
    speed (m/s), a acceleration (m/s²), t time (s).
    In words: found by integration.
    Range: a distance that the run covers. Errors: `NoSolution`. Source: Newton's second law.
    """
    return _over(run, distance).time


def speed_over_distance(run: GearRun, distance: Annotated[float, "x", "m"]) -> Annotated[float, "v", "m/s"]:
    """Road speed where a distance is covered.

    Formula: v = ∫ a(v) dt until x = ∫ v dt, shifts included. Symbols: x distance (m), a acceleration (m/s²),
    t time (s), v road speed (m/s).
    In words: found by integration.
    Range: a distance that the run covers. Errors: `NoSolution`. Source: Newton's second law.
    """
    return _over(run, distance).speed


def traction_ends(run: GearRun) -> Annotated[float, "v_t", "m/s"]:
    """Road speed above which the tyres limit the run no more.

    Formula: the highest v_t up to which the tyres allow less than engine or clutch would give; 0 where they
    never do. Symbols: v_t road speed (m/s).
    In words: found by iteration.
    Range: any. Errors: none. Source: definition.
    """
    highest = 0.0
    for limit, _, _, end in run.limits():
        if limit == "tyres":
            highest = max(highest, end)
    return highest


def lock_up_moment(run: GearRun) -> Annotated[float, "t_l", "s"]:
    """Time from the start until the clutch no longer slips.

    Formula: t_l = ∫ dv / a(v) up to the speed of lock-up. Symbols: v road speed (m/s), a acceleration (m/s²),
    t_l time (s).
    In words: found by integration.
    Range: a standing start. Errors: `NoSolution`. Source: Newton's second law.
    """
    if run.lock_up is None:
        raise NoSolution(
            "launch_speed",
            "a clutch that slips until the end of the run",
            "one that locks up",
            help="hold the engine at a lower speed",
        )
    return run.lock_up.time


def integration_error(run: GearRun, coarser: GearRun) -> Annotated[float, "δt", "s"]:
    """Bound on the integration's error in any of the times, as a power of ten.

    Formula: δt = 10^k, the least with max |t_n - T_n| ≤ δt. Symbols: t_n times of the run (s), T_n those of
    the same run with the tolerance of a step a hundred times coarser, whose own error this estimates (s), δt
    bound (s).
    In words: worked out over a list.
    Range: two runs of one car; never below 1 ps, where rounding takes over. Errors: none.
    Source: comparison of two tolerances, after Richardson.
    """
    pairs = [(run.at_speed, coarser.at_speed), (run.at_distance, coarser.at_distance)]
    gaps = [abs(fine[key].time - coarse[key].time) for fine, coarse in pairs for key in fine if key in coarse]
    # A power of ten: the difference itself is an estimate, and the next digits would mean nothing.
    return 10.0 ** ceil(log10(max([1e-12, *gaps])))
