"""Motion along a road where the acceleration is known as a function of speed.

With a torque curve of straight lines and a resistance A + B v + C v², the acceleration in a gear is a
polynomial a_0 + a_1 v + a_2 v² from one row of the curve to the next: a `Span`. A `Pull` is a row of
spans. Where two limits cross, where a gear is left best and where the force balances are then roots of
quadratics, found exactly.

`Trip` integrates dx/dt = v, dv/dt = a(v) by the pair of Dormand and Prince, 5th order with an error
estimate of the 4th, whose step it adapts. It lands on every bound of a span, on every speed and on every
distance that is asked for, by taking that quantity as the independent variable for the last step (Hénon),
so that no step runs over a kink and nothing is interpolated. Where a span is a polynomial the equation is
Riccati's, with a solution in closed form; an `exact` trip takes that, which is many times quicker.

Sources: J. R. Dormand and P. J. Prince, A family of embedded Runge-Kutta formulae, J. Comput. Appl. Math. 6
(1980) 19–26 (the tableau is tested against scipy's); M. Hénon, On the numerical computation of Poincaré maps,
Physica D 5 (1982) 412–414 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import atan, atanh, cos, cosh, inf, log, sin, sinh, sqrt

LONGEST = 900.0
"""Seconds after which a trip is given up: what has not been reached then is not reached."""
_STILL = 1e-12
"""An acceleration (m/s²) too small to say which way the speed goes."""

_NEARLY_LINEAR = 1e-7
"""A quadratic coefficient (1/m) too small for the closed form, which divides by it."""
_MOST_GROWTH = 20.0
_LEAST_LEFT = 1e-3
_NEARLY_HELD = 0.999
"""Bounds of the closed forms, beyond which digits are lost: there the equation is integrated."""


def _roots(constant: float, linear: float, quadratic: float) -> list[float]:
    """Real roots of a quadratic, ascending, without cancellation; none where it is constant."""
    if quadratic == 0:
        return [-constant / linear] if linear else []
    inner = linear * linear - 4 * quadratic * constant
    if inner < 0:
        return []
    # The sign of the root is that of `linear`, so that nothing cancels; the other root follows from the
    # product of both, constant / quadratic.
    half = -(linear + (sqrt(inner) if linear >= 0 else -sqrt(inner))) / 2
    if half == 0:
        return [half / quadratic]
    return sorted([half / quadratic, constant / half])


@dataclass(slots=True, eq=False, kw_only=True)
class Span:
    """Acceleration a_0 + a_1 v + a_2 v² for speeds from `low` to `high`, and the name of what limits it.

    Nobody changes one. It is not frozen since that takes three times as long to make, and a course has
    thousands of them.
    """

    low: float
    high: float
    constant: float
    linear: float
    quadratic: float
    limit: str

    def at(self, speed: float) -> float:
        """Acceleration at a speed."""
        return self.constant + (self.linear + self.quadratic * speed) * speed

    def moved(self, x: float, v: float, h: float) -> tuple[float, float, float]:
        """Distance and speed a time `h` after x and v, by one step of Dormand and Prince, and its error."""
        return DormandPrince.moving(self.constant, self.linear, self.quadratic, x, v, h)

    def flowed(self, v: float, t: float) -> tuple[float, float] | None:
        """Way and speed a time `t` after the speed v, in closed form; None where that is ill-conditioned.

        dv/dt = a_0 + a_1 v + a_2 v² is Riccati's equation: v = -a_1 / 2 a_2 - u' / (a_2 u) with u" = D u,
        D = a_1² / 4 - a_0 a_2, so that the way is -ln(u) / a_2 - a_1 t / 2 a_2.
        """
        a2 = self.quadratic
        if abs(a2) < _NEARLY_LINEAR:
            return None
        half = self.linear / 2 + a2 * v
        inside = self.linear * self.linear / 4 - self.constant * a2
        if inside > 0:
            r = sqrt(inside)
            if abs(r * t) > _MOST_GROWTH:
                return None
            c, s = cosh(r * t), sinh(r * t) / r
        elif inside < 0:
            r = sqrt(-inside)
            if abs(r * t) > 1:
                return None
            c, s = cos(r * t), sin(r * t) / r
        else:
            c, s = 1.0, t
        u = c - half * s
        if u <= _LEAST_LEFT:
            return None
        return -(log(u) + self.linear * t / 2) / a2, v + self.at(v) * s / u

    def time_to(self, v: float, target: float) -> float | None:
        """Time from one speed to another, in closed form; None where that is ill-conditioned."""
        dv, inside = target - v, self.linear * self.linear / 4 - self.constant * self.quadratic
        below = self.at(v) + (self.linear / 2 + self.quadratic * v) * dv
        if below == 0:
            return None
        tangent = dv / below
        if inside > 0:
            r = sqrt(inside)
            return atanh(r * tangent) / r if abs(r * tangent) < _NEARLY_HELD else None
        if inside < 0:
            r = sqrt(-inside)
            return atan(r * tangent) / r
        return tangent

    def between(self, low: float, high: float) -> Span:
        # Written out, since `replace` takes ten times as long.
        return Span(
            low=low,
            high=high,
            constant=self.constant,
            linear=self.linear,
            quadratic=self.quadratic,
            limit=self.limit,
        )

    def crossings(self, other: Span | None, low: float, high: float) -> list[float]:
        """Speeds inside low … high at which this acceleration equals the other's (or zero)."""
        constant, linear, quadratic = self.constant, self.linear, self.quadratic
        if other:
            constant, linear, quadratic = (
                constant - other.constant,
                linear - other.linear,
                quadratic - other.quadratic,
            )
        return [speed for speed in _roots(constant, linear, quadratic) if low < speed < high]


@dataclass(frozen=True, eq=False)
class Pull:
    """Spans that follow each other: all speeds that the car can do in one state, a gear say."""

    spans: tuple[Span, ...]

    @property
    def low(self) -> float:
        return self.spans[0].low

    @property
    def high(self) -> float:
        return self.spans[-1].high

    def index(self, speed: float) -> int:
        """Which span a speed lies in; of two that meet there, the upper."""
        for number, span in enumerate(self.spans):
            if speed < span.high:
                return number
        return len(self.spans) - 1

    def at(self, speed: float) -> float:
        """Acceleration at a speed."""
        return self.spans[self.index(speed)].at(speed)

    def carries(self, first: float, last: float) -> bool:
        """Whether it takes the car from one speed to another: both within it, with force left all the way."""
        if not self.low <= first < last <= self.high:
            return False
        inside = [span.between(max(span.low, first), min(span.high, last)) for span in self.spans]
        return all(
            span.at(span.low) > 0 and span.at(span.high) > 0 and not span.crossings(None, span.low, span.high)
            for span in inside
            if span.low < span.high
        )

    def overtaken_by(self, higher: Pull) -> float | None:
        """The speed from which on, as far as this gear goes, a higher one accelerates no less.

        None where that still accelerates less at the end of this one. Both need speeds in common.
        """
        low, end = max(self.low, higher.low), self.high
        own, other = len(self.spans) - 1, higher.index(end)
        best: float | None = None
        # From the end backwards, since the last crossing counts. Between two bounds each gear is one span,
        # and between two crossings the same one is ahead throughout, so that the middle decides.
        while end > low:
            while self.spans[own].low >= end:
                own -= 1
            while higher.spans[other].low >= end:
                other -= 1
            mine, theirs = self.spans[own], higher.spans[other]
            start = max(mine.low, theirs.low, low)
            parts = [start, *mine.crossings(theirs, start, end), end]
            for under, over in reversed(list(pairwise(parts))):
                middle = (under + over) / 2
                if theirs.at(middle) < mine.at(middle):
                    return best
                best = under
            end = start
        return best

    def highest_held(self) -> float | None:
        """The highest speed held: the end, or where the acceleration falls to nothing. None without one."""
        if self.spans[-1].at(self.high) >= 0:
            return self.high
        for span in reversed(self.spans):
            roots = span.crossings(None, span.low, span.high)
            # Above the last root the car slows down, as it does at the end: that root is held.
            if roots:
                return roots[-1]
            if span.at(span.low) >= 0:
                return span.low
        return None

    def under(self, limit: Span) -> Pull:
        """The same where another limit, good for all speeds, does not allow less."""
        parts: list[Span] = []
        for span in self.spans:
            crossings = span.crossings(limit, span.low, span.high)
            if not crossings and limit.at((span.low + span.high) / 2) >= span.at((span.low + span.high) / 2):
                parts.append(span)
                continue
            for low, high in pairwise([span.low, *crossings, span.high]):
                middle = (low + high) / 2  # between two crossings the lower one stays the lower
                parts.append((limit if limit.at(middle) < span.at(middle) else span).between(low, high))
        return Pull(tuple(parts))


@dataclass(frozen=True)
class Resistance:
    """A + B v + C v²: coefficients in N, N·s/m and N·s²/m²."""

    constant: float
    linear: float
    quadratic: float

    def at(self, speed: float) -> float:
        """Resistance at a speed."""
        return self.constant + (self.linear + self.quadratic * speed) * speed

    def span(self, force: float, mass: float, limit: str, low: float = 0.0, high: float = inf) -> Span:
        """What a constant force gives a mass against this resistance."""
        return Span(
            low=low,
            high=high,
            constant=(force - self.constant) / mass,
            linear=-self.linear / mass,
            quadratic=-self.quadratic / mass,
            limit=limit,
        )

    def pull(self, points: Sequence[tuple[float, float]], mass: float, limit: str) -> Pull:
        """What a force given by points of (speed, force), joined by straight lines, gives a mass."""
        spans = []
        constant, linear, quadratic = self.constant, self.linear, -self.quadratic / mass
        for (low, first), (high, last) in pairwise(points):
            slope = (last - first) / (high - low)
            spans.append(
                Span(
                    low=low,
                    high=high,
                    constant=(first - slope * low - constant) / mass,
                    linear=(slope - linear) / mass,
                    quadratic=quadratic,
                    limit=limit,
                )
            )
        return Pull(tuple(spans))


class FalsePosition:
    """The rule of false position."""

    @staticmethod
    def root(function: Callable[[float], float], low: float, high: float, near: float = 0.0) -> float:
        """Where a function of one sign at `low` and the other at `high` is nothing, or no more than `near`.

        Where one end stays twice, what it counts for is halved (the Illinois rule: M. Dowell and P. Jarratt,
        BIT 11, 1971, 168–174, opening read; tested against scipy). It never leaves the bracket.
        """
        first, last = function(low), function(high)
        found, kept = low, 0
        for _ in range(100):
            if abs(high - low) <= 1e-13 * abs(high) or first == last:
                break
            found = (low * last - high * first) / (last - first)
            gap = function(found)
            if abs(gap) <= near:
                break
            if (gap < 0) == (first < 0):
                low, first = found, gap
                last, kept = (last / 2 if kept > 0 else last), 1
            else:
                high, last = found, gap
                first, kept = (first / 2 if kept < 0 else first), -1
        return found


# --- integration ------------------------------------------------------------------------

Rates = Callable[[float, float, float], tuple[float, float]]


class DormandPrince:
    """The pair of Dormand and Prince for two quantities, y and z, over an independent one, u."""

    @staticmethod
    def step(rates: Rates, u: float, y: float, z: float, h: float) -> tuple[float, float, float]:
        """One step of Dormand and Prince: y and z at u + h, and the greater error estimate of the two."""
        # The numbers are the pair's tableau. Its seventh stage is the first of the next step; it is worked
        # out there again, since a bound of a span or another independent variable may come between.
        p1, q1 = rates(u, y, z)
        p2, q2 = rates(u + h / 5, y + h * p1 / 5, z + h * q1 / 5)
        p3, q3 = rates(
            u + h * 3 / 10, y + h * (p1 * 3 / 40 + p2 * 9 / 40), z + h * (q1 * 3 / 40 + q2 * 9 / 40)
        )
        p4, q4 = rates(
            u + h * 4 / 5,
            y + h * (p1 * 44 / 45 - p2 * 56 / 15 + p3 * 32 / 9),
            z + h * (q1 * 44 / 45 - q2 * 56 / 15 + q3 * 32 / 9),
        )
        p5, q5 = rates(
            u + h * 8 / 9,
            y + h * (p1 * 19372 / 6561 - p2 * 25360 / 2187 + p3 * 64448 / 6561 - p4 * 212 / 729),
            z + h * (q1 * 19372 / 6561 - q2 * 25360 / 2187 + q3 * 64448 / 6561 - q4 * 212 / 729),
        )
        p6, q6 = rates(
            u + h,
            y
            + h * (p1 * 9017 / 3168 - p2 * 355 / 33 + p3 * 46732 / 5247 + p4 * 49 / 176 - p5 * 5103 / 18656),
            z
            + h * (q1 * 9017 / 3168 - q2 * 355 / 33 + q3 * 46732 / 5247 + q4 * 49 / 176 - q5 * 5103 / 18656),
        )
        y7 = y + h * (p1 * 35 / 384 + p3 * 500 / 1113 + p4 * 125 / 192 - p5 * 2187 / 6784 + p6 * 11 / 84)
        z7 = z + h * (q1 * 35 / 384 + q3 * 500 / 1113 + q4 * 125 / 192 - q5 * 2187 / 6784 + q6 * 11 / 84)
        p7, q7 = rates(u + h, y7, z7)
        y_error = (
            p1 * 71 / 57600 - p3 * 71 / 16695 + p4 * 71 / 1920 - p5 * 17253 / 339200 + p6 * 22 / 525 - p7 / 40
        )
        z_error = (
            q1 * 71 / 57600 - q3 * 71 / 16695 + q4 * 71 / 1920 - q5 * 17253 / 339200 + q6 * 22 / 525 - q7 / 40
        )
        return y7, z7, abs(h) * max(abs(y_error), abs(z_error))

    @staticmethod
    def moving(a0: float, a1: float, a2: float, x: float, v: float, h: float) -> tuple[float, float, float]:
        """The same step for dx/dt = v, dv/dt = a0 + a1 v + a2 v², in a third of the time: x, v and the error
        estimate."""
        q1 = a0 + (a1 + a2 * v) * v
        v2 = v + h * q1 / 5
        q2 = a0 + (a1 + a2 * v2) * v2
        v3 = v + h * (q1 * 3 / 40 + q2 * 9 / 40)
        q3 = a0 + (a1 + a2 * v3) * v3
        v4 = v + h * (q1 * 44 / 45 - q2 * 56 / 15 + q3 * 32 / 9)
        q4 = a0 + (a1 + a2 * v4) * v4
        v5 = v + h * (q1 * 19372 / 6561 - q2 * 25360 / 2187 + q3 * 64448 / 6561 - q4 * 212 / 729)
        q5 = a0 + (a1 + a2 * v5) * v5
        v6 = v + h * (
            q1 * 9017 / 3168 - q2 * 355 / 33 + q3 * 46732 / 5247 + q4 * 49 / 176 - q5 * 5103 / 18656
        )
        q6 = a0 + (a1 + a2 * v6) * v6
        v7 = v + h * (q1 * 35 / 384 + q3 * 500 / 1113 + q4 * 125 / 192 - q5 * 2187 / 6784 + q6 * 11 / 84)
        q7 = a0 + (a1 + a2 * v7) * v7
        x7 = x + h * (v * 35 / 384 + v3 * 500 / 1113 + v4 * 125 / 192 - v5 * 2187 / 6784 + v6 * 11 / 84)
        x_error = (
            v * 71 / 57600 - v3 * 71 / 16695 + v4 * 71 / 1920 - v5 * 17253 / 339200 + v6 * 22 / 525 - v7 / 40
        )
        v_error = (
            q1 * 71 / 57600 - q3 * 71 / 16695 + q4 * 71 / 1920 - q5 * 17253 / 339200 + q6 * 22 / 525 - q7 / 40
        )
        return x7, v7, abs(h) * max(abs(x_error), abs(v_error))

    @staticmethod
    def factor(error: float, tolerance: float) -> float:
        """By how much the next step may be longer, or has to be shorter."""
        if error == 0:
            return 5.0
        # The error of a step goes with its fifth power. 0.9 keeps clear of the tolerance; the bounds keep one
        # odd estimate from throwing the step far off.
        growth: float = 0.9 * (tolerance / error) ** 0.2
        return min(5.0, max(0.2, growth))

    @staticmethod
    def reach(
        rates: Rates, u: float, target: float, y: float, z: float, tolerance: float
    ) -> tuple[float, float]:
        """y and z where u has reached the target, to the same tolerance a step."""
        h = target - u
        while u != target:
            last = abs(h) >= abs(target - u)
            h = target - u if last else h
            ahead_y, ahead_z, error = DormandPrince.step(rates, u, y=y, z=z, h=h)
            # A step of 1e-12 is taken whatever its error: what is left of that is rounding.
            if error <= tolerance or abs(h) < 1e-12:
                u, y, z = target if last else u + h, ahead_y, ahead_z
            h *= DormandPrince.factor(error, tolerance)
        return y, z


@dataclass(slots=True)
class Moment:
    """Where the car is: s, m and m/s since the start. Nobody changes one; it is not frozen for the reason
    that a span is not."""

    time: float
    distance: float
    speed: float


@dataclass(frozen=True)
class Path:
    """The moments of a run in order, to be drawn."""

    moments: Sequence[Moment]

    def times_at(self, distances: Sequence[float]) -> list[float]:
        """The times at which distances, in rising order, are passed."""
        found, index = [], 1
        for distance in distances:
            while index < len(self.moments) - 1 and self.moments[index].distance < distance:
                index += 1
            before, after = self.moments[index - 1], self.moments[index]
            width = after.distance - before.distance
            if width <= 0:
                found.append(after.time)
                continue
            # With the acceleration even between the two v² goes with the distance.
            share = min(1.0, max(0.0, (distance - before.distance) / width))
            speed = sqrt(before.speed**2 + share * (after.speed**2 - before.speed**2))
            mean = (before.speed + speed) / 2
            found.append(before.time + (share * width / mean if mean > 0 else 0.0))
        return found


@dataclass(frozen=True)
class Stage:
    """What limits the car from a moment on, and in which gear ("" while it is rolling free)."""

    limit: str
    gear: str
    start: Moment


@dataclass(kw_only=True)
class Trip:
    """Integrates pull after pull until every speed and distance asked for has been passed.

    `tolerance` is the error that a step may have, in m, m/s and s alike. `at_speed` and `at_distance`
    hold the moments of what has been passed, `trace` every moment. `allowed` is the highest speed that a
    distance permits, where there is one: the trip has `stopped` where it comes to it. An `exact` trip solves
    the equation in closed form where a span has one, in steps of `longest` seconds at the most.
    """

    moment: Moment
    speeds: list[float]
    distances: list[float]
    tolerance: float
    allowed: Callable[[float], float] | None = None
    stopped: bool = False
    at_speed: dict[float, Moment] = field(default_factory=dict)
    at_distance: dict[float, Moment] = field(default_factory=dict)
    trace: list[Moment] = field(default_factory=list)
    stages: list[Stage] = field(default_factory=list)
    stride: float = 0.01
    longest: float = 1.0
    exact: bool = False

    def __post_init__(self) -> None:
        self.speeds, self.distances = sorted(set(self.speeds)), sorted(set(self.distances))
        self._pass(self.moment)

    @property
    def under_way(self) -> bool:
        """Whether anything is still ahead and worth waiting for."""
        ahead = bool(self.speeds or self.distances)
        return ahead and not self.stopped and self.moment.time < LONGEST

    def follow(self, pull: Pull, gear: str = "", ceiling: float = inf, until: float = LONGEST) -> bool:
        """Go on to a speed or a time, or until nothing is ahead. False if the speed falls below the pull."""
        index = pull.index(self.moment.speed)
        while self.under_way and self.moment.speed < ceiling and self.moment.time < until:
            span = pull.spans[index]
            if not self.stages or (self.stages[-1].limit, self.stages[-1].gear) != (span.limit, gear):
                self.stages.append(Stage(span.limit, gear, self.moment))
            self._cross(span, min(span.high, ceiling), until)
            speed = self.moment.speed
            if speed >= span.high and index + 1 < len(pull.spans):
                index += 1
            elif speed <= span.low and span.at(speed) < -_STILL:
                if index == 0:
                    return False
                index -= 1
        return True

    def hold(self, gear: str) -> None:
        """Go on at the speed that has been reached: the limiter lets no more through."""
        self.stages.append(Stage("limiter", gear, self.moment))
        for distance in list(self.distances):
            at = self.moment
            self._pass(Moment(at.time + (distance - at.distance) / at.speed, distance, at.speed))

    def _cross(self, span: Span, top: float, until: float) -> None:
        """Go on within one span."""
        while self.under_way:
            at = self.moment
            if at.time >= until or (at.speed >= top and span.at(at.speed) > -_STILL):
                return
            if at.speed <= span.low and span.at(at.speed) < -_STILL:
                return
            self._advance(span, top, until)

    def _advance(self, span: Span, top: float, until: float) -> None:
        """One step in time, or a shorter one that lands on what comes first."""
        at = self.moment
        if self.exact and self._arrived(span, top, until):
            return
        last = self.stride >= until - at.time
        length = until - at.time if last else self.stride
        x, v, error = self._moved(span, at, length)
        factor = DormandPrince.factor(error, self.tolerance)
        if error > self.tolerance:
            self.stride = length * factor
            return
        # A step cut short by `until` says nothing about longer ones, so the stride never shrinks here.
        self.stride = min(self.longest, max(self.stride, length * factor))
        ahead = Moment(until if last else at.time + length, x, v)
        stop = min([top, *self.speeds[:1]]) if v > at.speed else span.low
        # What comes first is landed on: first the speed, then a distance that lies before it.
        if ahead.speed > stop > at.speed or ahead.speed < stop < at.speed:
            ahead = self._at_speed(span, at, stop)
        if self.distances and ahead.distance > self.distances[0]:
            ahead = self._at_distance(span, at, ahead, self.distances[0])
        if self.allowed is not None and ahead.speed > self.allowed(ahead.distance):
            ahead = self._stopped_at(span, at, ahead)
            self.stopped = True
        self._pass(ahead)

    def _arrived(self, span: Span, top: float, until: float) -> bool:
        """In one step to the speed where a span ends, if nothing comes before it and the closed form has
        it."""
        at = self.moment
        stop = top if span.at(at.speed) > 0 else span.low
        took = span.time_to(at.speed, stop) if stop < inf else None
        if took is None or not 0 < took < min(until - at.time, self.longest):
            return False
        found = span.flowed(at.speed, took)
        if found is None or self.speeds:
            return False
        ahead = Moment(at.time + took, at.distance + found[0], stop)
        if self.distances and ahead.distance > self.distances[0]:
            return False
        if self.allowed is not None and ahead.speed > self.allowed(ahead.distance):
            return False
        self._pass(ahead)
        return True

    def _moved(self, span: Span, at: Moment, length: float) -> tuple[float, float, float]:
        """Distance and speed after a time, and the error of both: none in closed form."""
        found = span.flowed(at.speed, length) if self.exact else None
        if found is not None:
            return at.distance + found[0], found[1], 0.0
        return span.moved(at.distance, at.speed, length)

    def _at_speed(self, span: Span, at: Moment, stop: float) -> Moment:
        """The moment of a speed, in closed form or with the speed as the variable."""
        took = span.time_to(at.speed, stop) if self.exact else None
        found = span.flowed(at.speed, took) if took is not None and took > 0 else None
        if took is not None and found is not None:
            return Moment(at.time + took, at.distance + found[0], stop)
        time, x = DormandPrince.reach(
            lambda v, t, x: (1 / span.at(v), v / span.at(v)),
            at.speed,
            target=stop,
            y=at.time,
            z=at.distance,
            tolerance=self.tolerance,
        )
        return Moment(time, x, stop)

    def _at_distance(self, span: Span, at: Moment, ahead: Moment, mark: float) -> Moment:
        """The moment of a distance, by Newton's method or with the distance as the variable."""
        took, speed = ahead.time - at.time, ahead.speed
        found = span.flowed(at.speed, took) if self.exact else None
        for _ in range(20):
            if found is None or speed <= 0:
                break
            gap = at.distance + found[0] - mark
            if abs(gap) <= 1e-12 * mark:
                return Moment(at.time + took, mark, speed)
            took -= gap / speed
            found = span.flowed(at.speed, took)
            speed = found[1] if found else 0.0
        time, v = DormandPrince.reach(
            lambda x, t, v: (1 / v, span.at(v) / v),
            at.distance,
            target=mark,
            y=at.time,
            z=at.speed,
            tolerance=self.tolerance,
        )
        return Moment(time, mark, v)

    def _stopped_at(self, span: Span, at: Moment, ahead: Moment) -> Moment:
        """Where between two moments the speed becomes more than is allowed."""
        assert self.allowed is not None
        allowed = self.allowed

        def after(length: float) -> Moment:
            x, v, _ = self._moved(span, at, length)
            return Moment(at.time + length, x, v)

        def gap(length: float) -> float:
            moment = after(length)
            return moment.speed - allowed(moment.distance)

        if gap(0.0) >= 0:
            return at
        return after(FalsePosition.root(gap, 0.0, ahead.time - at.time, near=1e-11))

    def _pass(self, moment: Moment) -> None:
        self.moment = moment
        self.trace.append(moment)
        while self.speeds and self.speeds[0] <= moment.speed:
            self.at_speed[self.speeds.pop(0)] = moment
        while self.distances and self.distances[0] <= moment.distance:
            self.at_distance[self.distances.pop(0)] = moment
