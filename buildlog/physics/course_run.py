"""A run over a course of legs: braking worked out backwards, then driving forwards under what it allows.

On one leg gradient and radius are constant, so that accelerations depend on speed alone: those of the gears
under what engine and tyres allow, of coasting and of braking. From the end of the course backwards each leg
gets the curve of speeds from which the brakes still reach the end of the leg at the speed that the next one
allows (the backward pass). Then the car runs forwards through gears and shifts by the same integrator as a
run on a straight, until it comes to a corner's speed, which it holds, or to a braking curve, which it
follows.

Source: the method is the quasi-steady one of B. Lenzo and V. Rossi, A simple mono-dimensional approach for
lap time optimisation, Appl. Sci. 10 (2020) 1498 (read): a given line, steady balances, and acceleration and
braking zones “worked out by forward and backward integration, respectively, after and before each apex”.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import inf, sqrt
from typing import Annotated, Protocol, TypeVar, overload

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics.cornering import greatest_corner_speed
from buildlog.physics.declared import Variable, difference_of
from buildlog.physics.limits import positive
from buildlog.physics.motion import LONGEST, DormandPrince, FalsePosition, Moment, Pull, Span, Trip

TOLERANCE = 1e-7
"""Error that one step of the integration may have, in s, m and m/s."""
LONGEST_STEP = 10.0
"""Seconds that one step may take, where the motion is known in closed form."""
_SAME = 1e-9
"""Relative: by how much two speeds may differ and still be the same one."""
_SPARE = 1.1
"""How far, as a multiple of the speed, a gear has to carry that is taken after braking."""

_LAPS = 30
"""More laps than this until one is like the one before say that there is no such lap."""
_MOST = 500
"""More states than this on one leg are a car that goes to and fro between two gears."""

_GAUSS = (
    (0.0, 128 / 225),
    (0.5384693101056831, 0.47862867049936647),
    (-0.5384693101056831, 0.47862867049936647),
    (0.9061798459386640, 0.23692688505618908),
    (-0.9061798459386640, 0.23692688505618908),
)
"""Places and weights of Gauss's quadrature with five points (numpy's leggauss has them)."""

Law = Callable[[float], float]
"""An acceleration by speed."""


@dataclass(slots=True, eq=False, kw_only=True)
class BendSpan(Span):
    """What the tyres allow in a bend, which is no polynomial: `law` is the acceleration by speed."""

    law: Law

    def at(self, speed: float) -> float:
        return self.law(speed)

    def moved(self, x: float, v: float, h: float) -> tuple[float, float, float]:
        law = self.law
        return DormandPrince.step(lambda _, __, speed: (speed, law(speed)), 0.0, x, v, h)

    def flowed(self, v: float, t: float) -> None:
        """No closed form."""

    def time_to(self, v: float, target: float) -> None:
        """No closed form."""

    def between(self, low: float, high: float) -> BendSpan:
        return replace(self, low=low, high=high)

    @staticmethod
    def limiting(pull: Pull, law: Law, cap: float) -> Pull:
        """A pull where a law of the tyres, good for all speeds up to `cap`, does not allow less."""
        parts: list[Span] = []
        for span in pull.spans:
            if span.low >= cap and parts:
                break
            high = min(span.high, max(cap, span.low + 1e-6))
            edges = [span.low, *_meetings(span, law, span.low, high), high]
            for low, top in pairwise(edges):
                middle = (low + top) / 2
                if law(middle) < span.at(middle):
                    parts.append(
                        BendSpan(low=low, high=top, constant=0, linear=0, quadratic=0, limit="tyres", law=law)
                    )
                elif (low, top) == (span.low, span.high):
                    parts.append(span)
                else:
                    parts.append(span.between(low, top))
        return Pull(tuple(parts))


def _meetings(span: Span, law: Law, low: float, high: float) -> list[float]:
    """Where a law becomes more or less than a span; found where they differ at the ends of a third."""
    found = []
    cuts = [low + (high - low) * part / 3 for part in range(4)]
    for start, end in pairwise(cuts):
        first, last = law(start) - span.at(start), law(end) - span.at(end)
        if first * last < 0:
            found.append(FalsePosition.root(lambda speed: law(speed) - span.at(speed), start, end))
    return found


Made = TypeVar("Made")


class MadeWhenAsked(Sequence[Made]):
    """A row of things that are work to make, each made when it is first asked for."""

    _made: list[Made | None]

    def __init__(self, make: Callable[[int], Made], count: int) -> None:
        self._make, self._made = make, [None] * count

    def __len__(self) -> int:
        return len(self._made)

    @overload
    def __getitem__(self, index: int) -> Made: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Made]: ...
    def __getitem__(self, index: int | slice) -> Made | Sequence[Made]:
        if isinstance(index, slice):
            return [self[number] for number in range(len(self))[index]]
        found = self._made[index]
        if found is None:
            found = self._made[index] = self._make(range(len(self))[index])
        return found


@dataclass(frozen=True, kw_only=True)
class Leg:
    """One leg as one car takes it.

    `cap` is the highest speed that it allows (infinite on a straight), `gears` the engine's pulls and
    `grip` the law of the tyres over them, `limit` what makes one of both, which is work and seldom wanted in
    a bend; `coasting` the pull without torque, `launch` that of the slipping clutch (None without one),
    `braking` the span of the brakes, which slow the car down, and `shift_speeds` where the gears but the last
    are left.
    """

    length: float
    cap: float
    gears: Sequence[Pull]
    grip: Law
    limit: Callable[[Pull], Pull]
    coasting: Pull
    launch: Pull | None
    braking: Span
    shift_speeds: Sequence[float]

    def at(self, gear: int, speed: float) -> float:
        """Acceleration in a gear at a speed."""
        return min(self.gears[gear].at(speed), self.grip(speed))


@dataclass(frozen=True, kw_only=True)
class _Curve:
    """The braking curve of a leg: distances from the start of the course, rising, with speeds and
    accelerations."""

    distances: Sequence[float]
    speeds: Sequence[float]
    times: Sequence[float]
    slopes: Sequence[float]
    cap: float

    def time_between(self, first: float, last: float) -> float:
        """Time from one distance on the curve to another near it, by five points of Gauss."""
        middle, half = (first + last) / 2, (last - first) / 2
        return half * sum(weight / self.allowed(middle + at * half) for at, weight in _GAUSS)

    def allowed(self, distance: float) -> float:
        """Speed at a distance; the leg's own limit before the curve begins."""
        if not self.distances or distance <= self.distances[0]:
            return self.cap if not self.distances or self.speeds[0] >= self.cap else self.speeds[0]
        index = min(bisect_left(self.distances, distance), len(self.distances) - 1)
        start, end = self.distances[index - 1], self.distances[index]
        if distance >= end:
            return self.speeds[index]
        # Cubic of Hermite in v²/2, whose slope by distance is the acceleration, known at both ends.
        width, first, last = end - start, self.speeds[index - 1], self.speeds[index]
        s = (distance - start) / width
        energy = (
            (1 + 2 * s) * (1 - s) ** 2 * first**2 / 2
            + s * (1 - s) ** 2 * width * self.slopes[index - 1]
            + s**2 * (3 - 2 * s) * last**2 / 2
            + s**2 * (s - 1) * width * self.slopes[index]
        )
        return sqrt(2 * max(0.0, energy))

    def holds(self, at: Moment) -> bool:
        """Whether a car is on the curve, so that it has to brake."""
        if not self.distances or at.distance < self.distances[0] * (1 - 1e-12):
            return False
        return at.speed >= self.allowed(at.distance) * (1 - _SAME)


def _curve(leg: Leg, begin: float, end_speed: float, ceiling: float) -> _Curve:
    """Braking towards a speed at the end of a leg, from there backwards as far as it goes."""
    cap = min(leg.cap, ceiling)
    if end_speed >= cap * (1 - _SAME):
        return _Curve(distances=(), speeds=(), times=(), slopes=(), cap=leg.cap)
    time, back, speed, h = 0.0, 0.0, end_speed, 0.05
    found = [(0.0, end_speed, 0.0)]

    braking = leg.braking

    def by_speed(speed: float, _: float, __: float) -> tuple[float, float]:
        return -1 / braking.at(speed), -speed / braking.at(speed)

    def by_distance(_: float, __: float, speed: float) -> tuple[float, float]:
        return 1 / speed, -braking.at(speed) / speed

    while back < leg.length and speed < cap * (1 - _SAME) and time < LONGEST:
        ahead, ahead_speed, error = braking.moved(-back, speed, -h)
        if error > TOLERANCE:
            h *= DormandPrince.factor(error, TOLERANCE)
            continue
        ahead_time, ahead_back = time + h, -ahead
        if ahead_speed > cap:
            ahead_time, ahead_back = DormandPrince.reach(
                by_speed, speed, cap, y=time, z=back, tolerance=TOLERANCE
            )
            ahead_speed = cap
        if ahead_back > leg.length:
            ahead_time, ahead_speed = DormandPrince.reach(
                by_distance, back, leg.length, y=time, z=speed, tolerance=TOLERANCE
            )
            ahead_back = leg.length
        time, back, speed = ahead_time, ahead_back, ahead_speed
        found.append((back, speed, time))
        h = min(0.5, h * DormandPrince.factor(error, TOLERANCE))
    found.reverse()
    finish = begin + leg.length
    return _Curve(
        distances=tuple(finish - back for back, _, _ in found),
        speeds=tuple(speed for _, speed, _ in found),
        times=tuple(-left for _, _, left in found),
        slopes=tuple(braking.at(speed) for _, speed, _ in found),
        cap=leg.cap,
    )


@dataclass(frozen=True, kw_only=True)
class LegTime:
    """What the car did on one leg."""

    start: Moment
    end: Moment
    lowest: float
    highest: float
    gear: int


@dataclass(frozen=True, eq=False, kw_only=True)
class CourseRun:
    """One run over a course. `spent` is the time by what limited the car, `changes` the gear changes."""

    legs: Sequence[LegTime]
    trace: Sequence[Moment]
    spent: dict[str, float]
    changes: int
    lock_up: Moment | None
    launched: bool


@dataclass(kw_only=True)
class Drive:
    """A car on its way over the legs of a course; `fastest` is its speed at the limiter in the last gear,
    `longest` the time from one moment of the trace to the next at the most, in gear and coasting."""

    legs: Sequence[Leg]
    fastest: float
    shift_time: float
    lowest_gear: int
    start_speed: float = 0.0
    tolerance: float = TOLERANCE
    longest: float = LONGEST_STEP
    at: Moment = field(default_factory=lambda: Moment(0.0, 0.0, 0.0))
    gear: int = 0
    launching: bool = False
    shift_ends: float = 0.0
    released: bool = False
    stride: float = 0.01
    changes: int = 0
    lock_up: Moment | None = None
    spent: dict[str, float] = field(default_factory=dict)
    trace: list[Moment] = field(default_factory=list)

    def run(self, *, end_speed: float = inf) -> CourseRun:
        """Backwards, then forwards."""
        curves = self._backwards(end_speed)
        most = curves[0].allowed(0.0)
        if self.start_speed > most * (1 + 1e-6):
            raise OutOfRange(
                "start_speed",
                f"{self.start_speed * 3.6:.1f} km/h",
                f"at most {most * 3.6:.1f} km/h, from which the corners ahead are reached",
            )
        self.at = Moment(0.0, 0.0, min(self.start_speed, most))
        self.trace = [self.at]
        self.launching = self.legs[0].launch is not None
        if not self.launching:
            self.gear = self._gear_for(self.legs[0], self.at.speed)
        done = []
        for leg, curve in zip(self.legs, curves, strict=True):
            start, count = self.at, len(self.trace)
            self._leg(leg, curve, start.distance + leg.length)
            if self.at.time >= LONGEST:
                raise NoSolution("legs", "a run of more than 15 minutes", "a shorter course, or a faster car")
            speeds = [moment.speed for moment in self.trace[count - 1 :]]
            done.append(
                LegTime(start=start, end=self.at, lowest=min(speeds), highest=max(speeds), gear=self.gear + 1)
            )
        return CourseRun(
            legs=tuple(done),
            trace=tuple(self.trace),
            spent=self.spent,
            changes=self.changes,
            lock_up=self.lock_up,
            launched=self.legs[0].launch is not None,
        )

    def lap(self) -> CourseRun:
        """A flying lap: one that begins at the speed and in the gear that it ends in."""
        curves = self._backwards(inf)
        end_speed = curves[0].allowed(0.0)
        self.start_speed = min(end_speed, self.fastest)
        for _ in range(_LAPS):
            run = replace(self, spent={}, trace=[], changes=0).run(end_speed=end_speed)
            reached = run.legs[-1].end.speed
            if abs(reached - self.start_speed) <= 1e-7 * reached:
                return run
            self.start_speed = reached
        raise NoSolution(
            "start", "a lap that does not come to the speed it began with", "a lap with a corner"
        )

    def _backwards(self, end_speed: float) -> list[_Curve]:
        begins, begin = [], 0.0
        for leg in self.legs:
            begins.append(begin)
            begin += leg.length
        curves: list[_Curve] = []
        for leg, begin in zip(reversed(self.legs), reversed(begins), strict=True):
            curve = _curve(leg, begin, min(end_speed, leg.cap), 2 * self.fastest)
            curves.append(curve)
            end_speed = curve.allowed(begin)
        curves.reverse()
        return curves

    # --- forwards -------------------------------------------------------------------------

    def _leg(self, leg: Leg, curve: _Curve, end: float) -> None:
        for _ in range(_MOST):
            if self.at.distance >= end or self.at.time >= LONGEST:
                return
            speed = self.at.speed
            if curve.holds(self.at):
                self._brake(leg, curve, end)
                return
            if self.released and not self.launching:
                self._take_gear(self._gear_for(leg, speed))
            if speed >= leg.cap * (1 - _SAME) and leg.at(self.gear, speed) > -1e-5:
                self._hold("corner", curve, end)
            elif self.launching:
                self._launch(leg, curve, end)
            elif self.at.time < self.shift_ends - 1e-12:
                self._coast(leg, curve, end)
            else:
                self._drive(leg, curve, end)
        raise NoSolution(
            "legs",
            f"a car that finds no gear at {self.at.speed * 3.6:.1f} km/h",
            "a leg that it can drive steadily",
        )

    def _gear_for(self, leg: Leg, speed: float) -> int:
        """The lowest gear that still has some way to go at a speed."""
        last = len(leg.gears) - 1
        for gear in range(min(self.lowest_gear - 1, last), last):
            if speed * _SPARE < leg.shift_speeds[gear]:
                return gear
        return last

    def _take_gear(self, gear: int) -> None:
        if gear != self.gear:
            self.changes += 1
        self.gear, self.released = gear, False

    def _drive(self, leg: Leg, curve: _Curve, end: float) -> None:
        """On under power until something else begins: the leg's end, a limit, a shift."""
        pull, speed = leg.gears[self.gear], self.at.speed
        shift = self._shift_at(leg)
        low = pull.low
        if self.gear >= self.lowest_gear:
            # A tenth below the speed at which the gear below is left the car is better off there.
            low = max(low, leg.shift_speeds[self.gear - 1] / _SPARE)
        if speed < low * (1 - _SAME):
            self._change(-1)
            return
        ceiling = min(leg.cap, shift, pull.high)
        if speed >= ceiling * (1 - _SAME):
            if leg.at(self.gear, min(speed, pull.high)) < 0:
                ceiling = inf  # it slows down: no ceiling holds it
            elif ceiling == shift:
                self._change(1)
                return
            else:
                self._hold("limiter", curve, end)
                return
        if not self._follow(leg.limit(pull), curve, end, ceiling=ceiling, floor=low):
            self._change(-1)

    def _shift_at(self, leg: Leg) -> float:
        """The speed at which the gear is left for the next one, if that still accelerates there."""
        if self.gear >= len(leg.shift_speeds):
            return inf
        at = leg.shift_speeds[self.gear]
        return at if leg.at(self.gear + 1, at) > 0 else inf

    def _change(self, by: int) -> None:
        """Into another gear, which takes its time."""
        if self.gear + by < min(self.gear, self.lowest_gear - 1):
            raise OutOfRange(
                "torque_curve",
                f"gear {self.gear + 1} at {self.at.speed * 3.6:.1f} km/h, below the first row",
                "a curve that begins low enough, a lower gear or a gentler slope",
                help="measure the torque further down, or allow a lower lowest_gear",
            )
        self.gear += by
        self.changes += 1
        self.shift_ends = self.at.time + self.shift_time

    def _coast(self, leg: Leg, curve: _Curve, end: float) -> None:
        """The time of a shift, or what the leg before has left of it."""
        # Downhill a car gathers speed without torque as well, up to what the corner allows.
        ceiling = leg.cap if leg.cap < inf and leg.coasting.at(leg.cap) > 0 else inf
        if not self._follow(leg.coasting, curve, end, ceiling=ceiling, until=self.shift_ends):
            raise NoSolution(
                "shift_time",
                "a car that comes to a stand during a shift",
                "one that rolls on",
                help="shift faster, or later",
            )

    def _launch(self, leg: Leg, curve: _Curve, end: float) -> None:
        assert leg.launch is not None
        launch = leg.limit(leg.launch)
        if launch.at(self.at.speed) <= 0:
            raise NoSolution(
                "launch_torque",
                "less force than holds the car",
                "a car that moves off",
                help="more launch_torque, more grip or a gentler gradient",
            )
        self._follow(launch, curve, end, ceiling=min(launch.high, leg.cap))
        if self.at.speed >= launch.high * (1 - _SAME):
            self.launching, self.lock_up = False, self.at

    def _follow(
        self,
        pull: Pull,
        curve: _Curve,
        end: float,
        *,
        ceiling: float,
        floor: float = 0.0,
        until: float = LONGEST,
    ) -> bool:
        trip = Trip(
            moment=self.at,
            speeds=[],
            distances=[end],
            tolerance=self.tolerance,
            allowed=curve.allowed if curve.distances else None,
            stride=self.stride,
            longest=self.longest,
            exact=True,
        )
        if floor > pull.low:
            spans = [span for span in pull.spans if span.high > floor]
            spans[0] = _from(spans[0], floor)
            pull = Pull(tuple(spans))
        ok = trip.follow(pull, f"{self.gear + 1}", ceiling, until)
        for number, stage in enumerate(trip.stages):
            later = trip.stages[number + 1].start if number + 1 < len(trip.stages) else trip.moment
            self._spend(stage.limit, later.time - stage.start.time)
        self.trace.extend(trip.trace[1:])
        self.at = trip.moment
        self.stride = max(0.01, trip.stride)
        return ok

    def _spend(self, limit: str, time: float) -> None:
        self.spent[limit] = self.spent.get(limit, 0.0) + time

    def _hold(self, limit: str, curve: _Curve, end: float) -> None:
        """On at one speed, as far as the leg goes or to where braking begins."""
        at, stop = self.at, end
        if curve.distances and curve.allowed(end) < at.speed:
            start = max(at.distance, curve.distances[0])
            stop = start
            if curve.allowed(start) > at.speed:
                stop = FalsePosition.root(lambda x: curve.allowed(x) - at.speed, start, end)
        time = (stop - at.distance) / at.speed
        self._spend(limit, time)
        self.at = Moment(at.time + time, stop, at.speed)
        if limit == "corner":
            self.released = True
        self.trace.append(self.at)

    def _brake(self, leg: Leg, curve: _Curve, end: float) -> None:
        """Down along the braking curve, to the end of the leg."""
        start, self.released = self.at, True
        for number, (distance, speed) in enumerate(zip(curve.distances, curve.speeds, strict=True)):
            if distance <= start.distance:
                continue
            before = curve.distances[number - 1] if number else start.distance
            took = curve.times[number] - curve.times[number - 1] if number else 0.0
            if before < start.distance or not number:
                took = curve.time_between(start.distance, distance)
            last = number == len(curve.distances) - 1
            self.at = Moment(self.at.time + took, end if last else distance, speed)
            self.trace.append(self.at)
        self._spend("braking", self.at.time - start.time)


def _from(span: Span, low: float) -> Span:
    """A span without what lies below a speed."""
    return span.between(low, span.high)


class Bend(Protocol):
    """What one bend leaves of the tyres, by speed."""

    def surplus(self, speed: float) -> float: ...


def held_corner_speed(
    bend: Bend,
    tyre_friction: Annotated[float, "μ", "1"],
    corner_radius: Annotated[float, "r", "m"],
    gradient_angle: Annotated[float, "θ", "rad"],
) -> Annotated[float, "v_h", "m/s"]:
    """Highest speed that a car holds through a bend: what drives it against the resistance needs tyre too.

    Formula: v_h ≤ √(μ g r cos θ) with F_t(v_h) = R(v_h). Symbols: μ tyre friction (1), r radius of the line
    (m), θ angle of the road (rad), F_t what the bend leaves the driven tyres, or all of them for braking
    where the slope drives (N), R resistance (N), v_h road speed (m/s).
    In words: found by iteration.
    Range: a bend that the car can be driven through. Errors: `OutOfRange`. Source: the friction circle.
    """
    most = greatest_corner_speed(tyre_friction, corner_radius, gradient_angle)
    if bend.surplus(most) >= 0:
        return most
    if bend.surplus(1e-3) <= 0:
        raise OutOfRange(
            "legs",
            "a bend in which the tyres cannot hold the car on its slope",
            "more friction, or a gentler slope",
        )
    return FalsePosition.root(bend.surplus, 1e-3, most)


# --- read off -----------------------------------------------------------------------------


def course_length(lengths: Annotated[Sequence[float], "x_n", "m"]) -> Annotated[float, "x", "m"]:
    """Length of a course.

    Formula: x = Σ x_n. Symbols: x_n length of the leg n (m), x length (m).
    In words: worked out over a list.
    Range: any. Errors: none. Source: addition.
    """
    return float(sum(lengths))


def time_of_course(run: CourseRun, course_length: Annotated[float, "x", "m"]) -> Annotated[float, "t", "s"]:
    """Time from the start of a course to its end.

    Formula: t = ∫ dx / v(x) from 0 to x, v the least of what engine, tyres, corners and the brakes ahead of
    them allow. Symbols: x length of the course (m), v road speed (m/s), t time (s).
    In words: found by integration.
    Range: a course that the car gets over. Errors: `OutOfRange`. Source: kinematics.
    """
    positive("course_length", course_length)
    return run.legs[-1].end.time - run.legs[0].start.time


def time_of_leg(run: CourseRun, number: Annotated[float, "n", "1"]) -> Annotated[float, "t_n", "s"]:
    """Time on one leg of a course.

    Formula: t_n = ∫ dx / v(x) over the leg n. Symbols: n number of the leg (1), v road speed (m/s), t_n time
    (s).
    In words: found by integration.
    Range: a leg of the course. Errors: none. Source: kinematics.
    """
    leg = run.legs[int(number) - 1]
    return leg.end.time - leg.start.time


def speed_at_end(run: CourseRun, number: Annotated[float, "n", "1"]) -> Annotated[float, "v_n", "m/s"]:
    """Road speed at the end of one leg of a course.

    Formula: v_n = v(x_n). Symbols: n number of the leg (1), x_n its end (m), v_n road speed (m/s).
    In words: found by integration.
    Range: a leg of the course. Errors: none. Source: Newton's second law.
    """
    return run.legs[int(number) - 1].end.speed


def lowest_on_leg(run: CourseRun, number: Annotated[float, "n", "1"]) -> Annotated[float, "v_min", "m/s"]:
    """Lowest road speed on one leg of a course.

    Formula: v_min = min v(x) over the leg n. Symbols: n number of the leg (1), v_min road speed (m/s).
    In words: found by integration.
    Range: a leg of the course. Errors: none. Source: Newton's second law.
    """
    return run.legs[int(number) - 1].lowest


def highest_on_leg(run: CourseRun, number: Annotated[float, "n", "1"]) -> Annotated[float, "v_max", "m/s"]:
    """Highest road speed on one leg of a course.

    Formula: v_max = max v(x) over the leg n. Symbols: n number of the leg (1), v_max road speed (m/s).
    In words: found by integration.
    Range: a leg of the course. Errors: none. Source: Newton's second law.
    """
    return run.legs[int(number) - 1].highest


def gear_on_leg(run: CourseRun, number: Annotated[float, "n", "1"]) -> Annotated[float, "g_n", "1"]:
    """Gear at the end of one leg of a course.

    Formula: g_n is the gear at x_n. Symbols: n number of the leg (1), g_n gear (1).
    In words: found by integration.
    Range: a leg of the course. Errors: none. Source: the rule for gears.
    """
    return float(run.legs[int(number) - 1].gear)


def top_speed_of_course(run: CourseRun) -> Annotated[float, "v_max", "m/s"]:
    """Highest road speed on a course.

    Formula: v_max = max v(x). Symbols: v_max road speed (m/s).
    In words: found by integration.
    Range: any. Errors: none. Source: Newton's second law.
    """
    return max(leg.highest for leg in run.legs)


def mean_speed(
    course_length: Annotated[float, "x", "m"],
    course_time: Annotated[float, "t", "s"],
) -> Annotated[float, "v_m", "m/s"]:
    """Mean speed over a course.

    Formula: v_m = x / t. Symbols: x length (m), t time (s), v_m speed (m/s).
    Range: both positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("course_length", course_length)
    positive("course_time", course_time)
    return course_length / course_time


def _share(run: CourseRun, *limits: str) -> float:
    whole = sum(run.spent.values())
    return sum(run.spent.get(limit, 0.0) for limit in limits) / whole


def share_at_full_throttle(run: CourseRun) -> Annotated[float, "s_e", "1"]:
    """Share of the time in which the engine gives all that it has.

    Formula: s_e = t_e / t. Symbols: t_e time in which the engine is what limits (s), t time in all (s), s_e
    share (1).
    In words: found by integration.
    Range: any. Errors: none. Source: definition.
    """
    return _share(run, "engine")


def share_of_tyres(run: CourseRun) -> Annotated[float, "s_t", "1"]:
    """Share of the time in which the tyres are what limits, driving or in a corner.

    Formula: s_t = t_t / t. Symbols: t_t that time (s), t time in all (s), s_t share (1).
    In words: found by integration.
    Range: any. Errors: none. Source: definition.
    """
    return _share(run, "tyres", "corner")


def share_of_braking(run: CourseRun) -> Annotated[float, "s_b", "1"]:
    """Share of the time in which the car brakes.

    Formula: s_b = t_b / t. Symbols: t_b time on the brakes (s), t time in all (s), s_b share (1).
    In words: found by integration.
    Range: any. Errors: none. Source: definition.
    """
    return _share(run, "braking")


def share_on_limiter(run: CourseRun) -> Annotated[float, "s_l", "1"]:
    """Share of the time on the limiter, in the highest gear that the car can use there.

    Formula: s_l = t_l / t. Symbols: t_l time on the limiter (s), t time in all (s), s_l share (1).
    In words: found by integration.
    Range: any. Errors: none. Source: definition.
    """
    return _share(run, "limiter")


def gear_changes(run: CourseRun) -> Annotated[float, "n_g", "1"]:
    """Number of gear changes, up and down; from any gear to any other is one.

    Formula: n_g is the number of them. Symbols: n_g number (1).
    In words: counted over the run.
    Range: any. Errors: none. Source: definition.
    """
    return float(run.changes)


def lock_up_time(run: CourseRun) -> Annotated[float, "t_l", "s"]:
    """Time from the start until the clutch no longer slips.

    Formula: t_l = ∫ dv / a(v) up to the speed of lock-up. Symbols: v road speed (m/s), a acceleration (m/s²),
    t_l time (s).
    In words: found by integration.
    Range: a standing start. Errors: `NoSolution`. Source: Newton's second law.
    """
    if run.lock_up is None:
        raise NoSolution(
            "launch_speed", "a clutch that slips until the end of the course", "one that locks up"
        )
    return run.lock_up.time


time_lost = difference_of(
    "time_lost",
    "Time that more mass costs.",
    heavier_time=Variable("t_h", "s", "time with it"),
    course_time=Variable("t", "s", "time without it"),
    gives=Variable("Δt", "s", "lost"),
    source="definition",
)

time_gained = difference_of(
    "time_gained",
    "Time that a change gains.",
    reference_time=Variable("t_0", "s", "time without the change"),
    course_time=Variable("t", "s", "time with it"),
    gives=Variable("Δt", "s", "gained"),
    source="definition",
)


def cost_of_a_second(
    price: Annotated[float, "P", "currency"],
    time_gained: Annotated[float, "Δt", "s"],
    one_second: Annotated[float, "t_1", "s"],
) -> Annotated[float, "P_1", "currency"]:
    """What a second costs at the rate of one change.

    Formula: P_1 = P t_1 / Δt. Symbols: P price of the change (currency), Δt time that it gains (s), t_1 a
    second (s), P_1 price of a second (currency).
    Range: Δt positive. Errors: `OutOfRange`. Source: division.
    """
    positive("time_gained", time_gained)
    return price * one_second / time_gained
