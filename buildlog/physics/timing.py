"""Times of runs: between two crossings, of several runs, and of both directions of a road."""

from __future__ import annotations

from math import fsum, sqrt
from typing import Annotated

from buildlog.physics.declared import Variable, difference_of
from buildlog.physics.limits import positive, within


class Times(tuple[float, ...]):
    """Times of runs, s, in the order of driving."""

    __slots__ = ()


def crossing_time(
    time_before: Annotated[float, "t_1", "s"],
    speed_before: Annotated[float, "v_1", "m/s"],
    time_after: Annotated[float, "t_2", "s"],
    speed_after: Annotated[float, "v_2", "m/s"],
    level: Annotated[float, "v", "m/s"],
) -> Annotated[float, "t", "s"]:
    """When a speed is crossed between two rows of a log.

    Formula: t = t_1 + (v − v_1) (t_2 − t_1) / (v_2 − v_1). Symbols: t_1 time of the row before (s), v_1
    speed there (m/s), t_2 time of the row after (s), v_2 speed there (m/s), v speed that is crossed (m/s), t
    time of the crossing (s).
    Range: v from v_1 to v_2, which differ. Errors: `OutOfRange`. Source: linear interpolation.
    """
    positive("speed_after", speed_after - speed_before)
    within("level", level, speed_before, speed_after)
    return time_before + (level - speed_before) * (time_after - time_before) / (speed_after - speed_before)


run_time = difference_of(
    "run_time",
    "The time of a run, from its start to its end.",
    gives=Variable("t", "s", "time of the run"),
    source="definition",
    end=Variable("t_end", "s", "time at which it ends"),
    start=Variable("t_start", "s", "time at which it starts"),
)


def read_time(reading: Annotated[float, "t_read", "s"]) -> Annotated[float, "t", "s"]:
    """The time of a run as it was read.

    Formula: t = t_read. Symbols: t_read reading of the watch (s), t time of the run (s).
    Range: positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("reading", reading)
    return reading


def number_of_runs(times: Times) -> Annotated[float, "n", "1"]:
    """How many times there are.

    Formula: n = number of times. Symbols: n number of runs (1).
    In words: counted.
    Range: any. Source: definition.
    """
    return float(len(times))


def best_time(times: Times, runs: Annotated[float, "n", "1"]) -> Annotated[float, "t_best", "s"]:
    """The shortest of several times.

    Formula: t_best = the least of t_1 … t_n. Symbols: n number of runs (1), t_best shortest time (s).
    In words: found by comparing.
    Range: one run or more. Errors: `OutOfRange`. Source: definition.
    """
    _check(times, runs, 1)
    return min(times)


def mean_time(times: Times, runs: Annotated[float, "n", "1"]) -> Annotated[float, "t̄", "s"]:
    """The mean of several times.

    Formula: t̄ = Σ t_i / n. Symbols: n number of runs (1), t̄ mean time (s).
    In words: added up.
    Range: one run or more. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.1.
    """
    _check(times, runs, 1)
    return fsum(times) / len(times)


def deviation(times: Times, runs: Annotated[float, "n", "1"]) -> Annotated[float, "s_t", "s"]:
    """The experimental standard deviation of single times.

    Formula: s_t = √(Σ (t_i − t̄)² / (n − 1)). Symbols: n number of runs (1), s_t standard deviation (s).
    In words: added up.
    Range: two runs or more. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.2.
    """
    _check(times, runs, 2)
    mean = fsum(times) / len(times)
    return sqrt(fsum((time - mean) ** 2 for time in times) / (len(times) - 1))


def _check(times: Times, runs: float, least: int) -> None:
    within("runs", runs, len(times), len(times), "as many as there are times")
    within("runs", len(times), least)


def mean_of_directions(
    first: Annotated[float, "t_1", "s"], second: Annotated[float, "t_2", "s"]
) -> Annotated[float, "t̄", "s"]:
    """The mean of the times in both directions.

    Formula: t̄ = (t_1 + t_2) / 2. Symbols: t_1 mean time in the one direction (s), t_2 in the other (s), t̄
    mean of both (s).
    Range: positive. Errors: `OutOfRange`. Source: definition.
    """
    positive("first", first)
    positive("second", second)
    return (first + second) / 2


direction_difference = difference_of(
    "direction_difference",
    "By how much the one direction takes longer than the other.",
    gives=Variable("Δt", "s", "difference of the directions"),
    source="definition",
    first=Variable("t_1", "s", "mean time in the one direction"),
    second=Variable("t_2", "s", "mean time in the other"),
)


def level_time(
    first: Annotated[float, "t_1", "s"], second: Annotated[float, "t_2", "s"]
) -> Annotated[float, "t_0", "s"]:
    """The time between two speeds without the slope of the road, from the times up and down it.

    Formula: t_0 = 2 t_1 t_2 / (t_1 + t_2). Symbols: t_1 mean time in the one direction (s), t_2 in the other
    (s), t_0 time on the level (s).
    Range: positive; the acceleration with and against the slope differs by the same amount at every speed.
    Errors: `OutOfRange`. Source: (a − g i) t_1 = (a + g i) t_2 = a t_0 of a constant acceleration.
    """
    positive("first", first)
    positive("second", second)
    return 2 * first * second / (first + second)
