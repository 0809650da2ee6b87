"""Passages of motions whose times are known in closed form, sampled as loggers sample them."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from math import exp, inf, log, sqrt

import numpy as np
import pytest
from scipy.optimize import brentq

from buildlog.kinds.logs import Log, LogAccount
from buildlog.kinds.models.passages import Broken, Passage, Wanted, find_passages, why_none

KMH = 1 / 3.6


def logged(
    times: Sequence[float],
    speeds: Sequence[float],
    *,
    quantum: float = 0.0,
    spans: Sequence[range] = (),
) -> Log:
    count = len(times)
    return Log(
        file="run.csv",
        times=array("d", times),
        values={"road_speed": array("d", speeds)},
        spans=tuple(spans) or (range(count),),
        account=LogAccount(rows=count, kept=count),
        quantum={"road_speed": quantum} if quantum else {},
    )


def sampled(
    speed: Callable[[float], float],
    rate: float,
    until: float,
    *,
    phase: float = 0.0,
    quantum: float = 0.0,
) -> Log:
    """A motion read `rate` times a second; a quantum rounds to its nearest step."""
    times = [phase + number / rate for number in range(int(until * rate))]
    speeds = [speed(time) for time in times]
    if quantum:
        speeds = [round(one / quantum) * quantum for one in speeds]
    return logged(times, speeds, quantum=quantum)


def one(log: Log, wanted: Wanted) -> Passage:
    (found,) = find_passages(log, wanted)
    assert isinstance(found, Passage)
    return found


SIXTY_TO_HUNDRED = Wanted(from_speed=60 * KMH, to_speed=100 * KMH)


def test_of_a_constant_acceleration_the_time_is_exact() -> None:
    """(v₂ − v₁) / a: 40 km/h at 2.5 m/s² take 4.444 s, at whatever rate."""
    for rate in (20.0, 5.0, 1.0):
        found = one(sampled(lambda time: 10 + 2.5 * time, rate, 12), SIXTY_TO_HUNDRED)
        assert found.duration == pytest.approx(40 * KMH / 2.5, rel=1e-12)
        assert found.doubt < 1e-9


def approach(time: float) -> float:
    """Towards 150 km/h with a time constant of 9 s, from 45 km/h."""
    return (150 - 105 * exp(-time / 9)) * KMH


APPROACH = 9 * log((150 - 60) / (150 - 100))
"""τ ln((V − v₁) / (V − v₂)), solved from v = V − (V − v₀) exp(−t / τ)."""


@pytest.mark.parametrize("rate", [20.0, 10.0, 5.0, 2.0, 1.0])
def test_an_approach_is_timed_within_what_the_rows_leave(rate: float) -> None:
    """The limits of the uncertainty are √3 of it."""
    for phase in np.linspace(0, 1 / rate, 7, endpoint=False):
        found = one(sampled(approach, rate, 30, phase=float(phase)), SIXTY_TO_HUNDRED)
        assert abs(found.duration - APPROACH) <= sqrt(3) * sqrt(2) * found.doubt + 1e-12
    if rate >= 5:
        assert found.doubt < 0.002


@pytest.mark.parametrize("rate,quantum", [(10.0, 1.0), (5.0, 1.0), (2.0, 1.0), (10.0, 0.1), (25.0, 0.5)])
def test_a_quantum_is_in_the_uncertainty(rate: float, quantum: float) -> None:
    """Read in steps of so many km/h at 200 phases: no error beyond the limits, and 95 % within U."""
    errors, wide = [], 0.0
    for phase in np.linspace(0, 1 / rate, 200, endpoint=False):
        found = one(sampled(approach, rate, 30, phase=float(phase), quantum=quantum * KMH), SIXTY_TO_HUNDRED)
        errors.append(abs(found.duration - APPROACH) / (2 * found.doubt))
        wide = max(wide, found.doubt)
    assert max(errors) <= sqrt(3) * sqrt(2) / 2
    assert np.mean(np.array(errors) <= 1) >= 0.95
    by_hand = quantum * KMH / sqrt(12) * sqrt((9 / (90 * KMH)) ** 2 + (9 / (50 * KMH)) ** 2)
    assert wide == pytest.approx(by_hand, rel=0.5)  # q / √12 by the slope at either end, in quadrature


def test_noise_that_crosses_to_and_fro_is_one_crossing() -> None:
    """200 rows a second with noise of two rows' rise: found once, as sure as is said."""
    draw = np.random.default_rng(3)
    off = []
    for _ in range(100):
        times = np.arange(0, 30, 0.005)
        noisy = np.array([approach(float(time)) for time in times]) + draw.normal(0, 0.03, len(times))
        found = one(logged(list(times), list(noisy)), SIXTY_TO_HUNDRED)
        off.append((found.duration - APPROACH) / found.doubt)
    assert max(map(abs, off)) < 3.5
    assert abs(np.mean(off)) < 0.5
    assert np.std(off) < 1.2


def standing(begins: float) -> Callable[[float], float]:
    """A car that stands, and then goes with 4 m/s²."""
    return lambda time: 4 * max(0.0, time - begins)


@pytest.mark.parametrize("roll_out", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("rate", [20.0, 10.0, 5.0])
def test_a_standing_start_over_a_distance(rate: float, roll_out: float) -> None:
    """At 4 m/s² from a stand: √(2 (D + r) / a) − √(2 r / a), wherever in a row the car begins to move."""
    wanted = Wanted(distance=200.0, standstill=1 * KMH, roll_out=roll_out)
    exact = sqrt(2 * (200 + roll_out) / 4) - sqrt(2 * roll_out / 4)
    for phase in np.linspace(0, 1 / rate, 23, endpoint=False):
        begins = 2 + float(phase)
        found = one(sampled(standing(begins), rate, 16), wanted)
        assert abs(found.duration - exact) <= sqrt(3) * found.doubt * 1.5 + 1e-9
    if roll_out:
        assert found.doubt < 0.02
    else:
        assert found.doubt > 0.03, "when it began to move, no log knows"


def test_a_standing_start_to_a_speed() -> None:
    """100 km/h at 4 m/s², the first 0.3 m not counted: 6.944 s − √(2 · 0.3 / 4)."""
    log_of_it = sampled(standing(2.03), 20.0, 12)
    wanted = Wanted(to_speed=100 * KMH, standstill=1 * KMH, roll_out=0.3)
    found = one(log_of_it, wanted)
    exact = 100 * KMH / 4 - sqrt(2 * 0.3 / 4)
    assert found.duration == pytest.approx(exact, abs=sqrt(3) * found.doubt)


def test_a_distance_from_a_speed() -> None:
    """The area under an approach in closed form, its end by scipy's brentq."""
    start = 9 * log(105 / 90)

    def covered(end: float) -> float:
        return (150 * (end - start) + 105 * 9 * (exp(-end / 9) - exp(-start / 9))) * KMH - 150.0

    exact = brentq(covered, start, 30) - start
    found = one(sampled(approach, 10.0, 30), Wanted(from_speed=60 * KMH, distance=150.0))
    assert found.duration == pytest.approx(exact, abs=2e-3)
    assert np.interp(found.end.time, found.times, found.distances) == pytest.approx(150, abs=0.02)


def test_it_starts_at_the_last_crossing_and_ends_at_the_first() -> None:
    """By hand: up to 70, back to 50, up to 110 with 10 km/h a second, down and up again."""
    speeds = [50, 60, 70, 60, 50, 60, 70, 80, 90, 100, 110, 90, 110]
    found = one(logged(range(13), [speed * KMH for speed in speeds]), SIXTY_TO_HUNDRED)
    assert [found.start.time, found.end.time] == pytest.approx([5, 9])


def test_every_passage_is_found() -> None:
    once = [50.0, 58.0, 65.0, 74.0, 82.0, 89.0, 97.0, 105.0, 112.0, 100.0, 80.0, 65.0]
    found = find_passages(logged(range(36), [one * KMH for one in once * 3]), SIXTY_TO_HUNDRED)
    starts = [passage.start.time for passage in found if isinstance(passage, Passage)]
    assert starts == pytest.approx([1 + 2 / 7, 13 + 2 / 7, 25 + 2 / 7])


def test_a_run_with_a_gap_is_broken() -> None:
    times = [*range(5), *range(8, 16)]
    speeds = [(50 + 5 * time) * KMH for time in times]
    log_of_it = logged(times, speeds, spans=(range(0, 5), range(5, 13)))
    assert find_passages(log_of_it, SIXTY_TO_HUNDRED) == [Broken(start=4.0, end=8.0)]


def test_rows_without_a_speed_are_as_good_as_a_gap() -> None:
    times = [0.1 * number for number in range(200)]
    speeds = [(50 + 5 * time) * KMH for time in times]
    lost = [*speeds[:60], *[float("nan")] * 12, *speeds[72:]]
    (found,) = find_passages(logged(times, lost), SIXTY_TO_HUNDRED)
    assert isinstance(found, Broken)
    assert [found.start, found.end] == pytest.approx([5.9, 7.2])
    few = [*speeds[:60], *[float("nan")] * 2, *speeds[62:]]
    assert one(logged(times, few), SIXTY_TO_HUNDRED).duration == pytest.approx(8)


@pytest.mark.parametrize(
    "wanted, found, expected",
    [
        (
            Wanted(from_speed=60 * KMH, to_speed=130 * KMH),
            "110 km/h at the most in run.csv",
            "130 km/h, once",
        ),
        (Wanted(from_speed=40 * KMH, to_speed=100 * KMH), "50 km/h at the least in run.csv", "less than 40"),
        (
            Wanted(to_speed=100 * KMH, standstill=1 * KMH),
            "50 km/h at the least in run.csv",
            "a stand, before",
        ),
        (Wanted(from_speed=130 * KMH, distance=10.0), "110 km/h at the most in run.csv", "130 km/h, once"),
        (Wanted(from_speed=60 * KMH, distance=1e4), "run.csv, which ends, or stands, before", "10000 m"),
    ],
)
def test_what_a_log_has_not_is_said(wanted: Wanted, found: str, expected: str) -> None:
    log_of_it = logged([0, 1, 2, 3], [50 * KMH, 70 * KMH, 90 * KMH, 110 * KMH])
    assert find_passages(log_of_it, wanted) == []
    refused = why_none(log_of_it, wanted)
    assert refused.found == found
    assert refused.expected.startswith(expected)


def test_a_speed_that_only_falls_is_no_passage() -> None:
    log_of_it = logged([0, 1, 2], [110 * KMH, 90 * KMH, 50 * KMH])
    assert find_passages(log_of_it, SIXTY_TO_HUNDRED) == []
    assert why_none(log_of_it, SIXTY_TO_HUNDRED).found == "no way from 60 km/h up to 100 km/h in run.csv"


def test_a_car_that_stands_on_the_way_makes_no_distance() -> None:
    speeds = [0, 0, 5, 10, 5, 0, 0, 5, 10, 15, 20, 25, 25]
    found = one(logged(range(13), speeds), Wanted(distance=40.0, standstill=0.3))
    assert found.start.time > 5
    assert found.duration < inf
