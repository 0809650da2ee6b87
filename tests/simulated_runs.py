"""Pulls and coast-downs of an invented car, as a logger would write them, and how often an interval holds.

The car is moved by its own small integration (steps of 2 ms, midpoint rule), in wind and on a slope, and none
of the formulae that are under test has a part in it. What a logger does to the speed (noise that is white or
remembers, a time constant, a lag, steps) is put on afterwards. Everything comes from a seed.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import atan, pi, sin, sqrt
from typing import Any

import numpy as np

from buildlog.kinds.declaration import Working
from buildlog.kinds.logs import Log, LogAccount

RPM = pi / 30
KMH = 1 / 3.6
STEP = 0.002


@dataclass(frozen=True, kw_only=True)
class Car:
    """The invented car: SI; `per_turn` is the road by angle of the engine, m/rad."""

    mass: float = 1200.0
    turning: float = 1.05
    rolling_turning: float = 1.03
    per_turn: float = 1.9 / (2 * pi * 1.4 * 4.1)
    constant: float = 150.0
    square: float = 0.39
    peak_power: float = 74_000.0
    peak_at: float = 6000 * RPM

    def torque(self, speed: float) -> float:
        """At the wheels, by the engine's speed. With x the share of `peak_at`, P = P_max (x + x² − x³), whose
        derivative 1 + 2x − 3x² is nothing at x = 1."""
        x = speed / self.peak_at
        return self.peak_power / self.peak_at * (1 + x - x * x)

    def power(self, speed: float) -> float:
        return self.torque(speed) * speed


@lru_cache(maxsize=64)
def driven(
    car: Car, *, wind: float = 0.0, gradient: float = 0.0, first: float = 2200.0, last: float = 7000.0
) -> tuple[Any, Any]:
    """Times and road speeds of a pull at full throttle; the wind is against the car where it is positive."""
    hill = car.mass * 9.80665 * sin(atan(gradient))

    def gained(v: float) -> float:
        push = car.torque(v / car.per_turn) / car.per_turn
        air = car.square * (v + wind) * abs(v + wind)
        return (push - car.constant - air - hill) / (car.turning * car.mass)

    return _integrated(gained, first * RPM * car.per_turn, lambda v: v < last * RPM * car.per_turn)


@lru_cache(maxsize=64)
def coasted(car: Car, *, wind: float = 0.0, first: float = 40.0, last: float = 12.0) -> tuple[Any, Any]:
    """Times and road speeds of coasting in neutral."""

    def gained(v: float) -> float:
        return -(car.constant + car.square * (v + wind) * abs(v + wind)) / (car.rolling_turning * car.mass)

    return _integrated(gained, first, lambda v: v > last)


def _integrated(
    gained: Callable[[float], float], speed: float, goes_on: Callable[[float], bool]
) -> tuple[Any, Any]:
    speeds = [speed]
    while goes_on(speeds[-1]):
        middle = speeds[-1] + gained(speeds[-1]) * STEP / 2
        speeds.append(speeds[-1] + gained(middle) * STEP)
    return np.arange(len(speeds)) * STEP, np.array(speeds)


def remembering(chance: np.random.Generator, count: int, deviation: float, keeps: float) -> Any:
    """Noise of the first order: each reading keeps a share of the one before (AR(1))."""
    kicks = chance.normal(0, deviation * sqrt(1 - keeps**2), count)
    kicks[0] = chance.normal(0, deviation)
    for row in range(1, count):
        kicks[row] += keeps * kicks[row - 1]
    return kicks


def smoothed(times: Any, speeds: Any, time_constant: float) -> Any:
    """As an instrument of the first order shows it; `times` are evenly spaced."""
    if not time_constant:
        return speeds
    share = 1 - np.exp(-(times[1] - times[0]) / time_constant)
    shown = np.array(speeds, dtype=float)
    for row in range(1, len(shown)):
        shown[row] = shown[row - 1] + share * (speeds[row] - shown[row - 1])
    return shown


def read(
    chance: np.random.Generator,
    times: Any,
    speeds: Any,
    *,
    rate: float,
    noise: float = 0.0,
    keeps: float = 0.0,
    quantum: float = 0.0,
    time_constant: float = 0.0,
    file: str = "run.csv",
    channel: str = "road_speed",
) -> Log:
    """The log of a motion, from a moment of its first row interval on."""
    shown = smoothed(times, speeds, time_constant)
    at = np.arange(chance.uniform(0, 1 / rate), times[-1], 1 / rate)
    column = np.interp(at, times, shown)
    if noise:
        column = column + remembering(chance, len(at), noise, keeps)
    if quantum:
        column = np.round(column / quantum) * quantum
    return Log(
        file=file,
        times=array("d", at),
        values={channel: array("d", column)},
        spans=(range(len(at)),),
        account=LogAccount(rows=len(at), kept=len(at)),
        quantum={channel: quantum} if quantum else {},
    )


Compute = Callable[[Mapping[str, Any], Working], Any]


def found(
    compute: Compute,
    given: Mapping[str, Any],
    output: str,
    key: str = "",
    stated: Mapping[str, float] | None = None,
) -> tuple[float, float]:
    """A result and its expanded uncertainty to first order (k = 2): by everything that the working asks for,
    and by inputs whose standard uncertainty is `stated`."""

    def value(shifts: Mapping[str, float], **moved: float) -> float:
        outputs = compute({**given, **moved}, Working(shifts=shifts))
        one = outputs[output]
        number = one[key] if key else one
        return float(getattr(number, "si", number))

    working = Working()
    compute(given, working)
    parts = [(value({name: 1.0}) - value({name: -1.0})) / 2 for name in working.doubted]
    parts += [
        (value({}, **{name: given[name] + by}) - value({}, **{name: given[name] - by})) / 2
        for name, by in (stated or {}).items()
    ]
    return value({}), 2 * sqrt(sum(part * part for part in parts))
