"""How late one channel is behind another: on signals of known lag, noise and quantum, of our own making.

The oracles are those signals, made by `scipy.signal.lfilter` at 200 Hz, far finer than they are read, and
`scipy.signal.correlate` (scipy 1.x).
"""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np
import pytest
from scipy.signal import correlate, correlation_lags, lfilter

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.kinds.models.lagging import Lag, Stretch, find_lag

FINE = 200


def drive(seed: int, seconds: float, memory: float = 2.0) -> Any:
    """A road speed, m/s, at 200 Hz: white noise through two lags of the first order."""
    fade = np.exp(-1 / (memory * FINE))
    noise = np.random.default_rng(seed).standard_normal(int((seconds + 20 * memory) * FINE))
    one = lfilter([1 - fade], [1, -fade], noise)
    smooth = lfilter([1 - fade], [1, -fade], one)[int(20 * memory * FINE) :]
    return 25 + 8 * smooth / smooth.std()


def logged(
    seed: int,
    *,
    seconds: float = 120,
    rate: int = 10,
    dead_time: float = 1.7,
    time_constant: float = 0.0,
    noise: tuple[float, float] = (0.05, 0.1),
    quantum: float = 0.0,
    memory: float = 2.0,
) -> Stretch:
    """A leader and its follower, read `rate` times a second with noise and a quantum."""
    leader = drive(seed, seconds, memory)
    fade = np.exp(-1 / (time_constant * FINE)) if time_constant else 0.0
    shown, _ = lfilter([1 - fade], [1, -fade], leader, zi=[leader[0] * fade])
    late = round(dead_time * FINE)
    follower = np.concatenate([np.full(late, shown[0]), shown[: len(shown) - late]])
    draws = np.random.default_rng(seed + 10_000)
    every = FINE // rate
    channels = []
    for channel, deviation in ((leader[::every], noise[0]), (1.02 * follower[::every] + 0.3, noise[1])):
        read = channel + deviation * draws.standard_normal(len(channel))
        channels.append(np.round(read / quantum) * quantum if quantum else read)
    return Stretch(np.arange(len(channels[0])) / rate, channels[0], channels[1])


def found(seeds: int, **options: Any) -> list[Lag]:
    return [find_lag([logged(seed, **options)], 5.0) for seed in range(seeds)]


def covered(lags: list[Lag], what: str, true: float) -> float:
    """In how many logs the true value lies within two standard uncertainties."""
    return float(
        np.mean([abs(getattr(one, what) - true) <= 2 * getattr(one, f"{what}_standard") for one in lags])
    )


# --- the lag ---------------------------------------------------------------------------------


def test_the_peak_is_the_one_of_scipy_between_two_rows() -> None:
    stretch = logged(3, dead_time=2.34, seconds=300)
    leader, follower = (np.asarray(one) - np.mean(one) for one in (stretch.leader, stretch.follower))
    rows = correlation_lags(len(follower), len(leader))[correlate(follower, leader).argmax()]
    lag = find_lag([stretch], 5.0)
    assert abs(lag.lag / 0.1 - rows) <= 1
    assert lag.lag == pytest.approx(2.34, abs=2 * lag.lag_standard)


@pytest.mark.parametrize("dead_time", [0.0, 0.03, 0.5, 1.275, 2.3, 2.35, 4.6])
def test_a_lag_between_rows_is_found_to_a_twentieth_of_a_row(dead_time: float) -> None:
    """Interpolated readings would pull it to whole or half rows; here is hardly any noise."""
    lag = find_lag([logged(1, dead_time=dead_time, noise=(0.001, 0.001))], 5.0)
    assert lag.lag == pytest.approx(dead_time, abs=0.1 / 20)


@pytest.mark.parametrize(
    "options",
    [
        {"dead_time": 2.34},
        {"dead_time": 2.3, "noise": (0.3, 0.3)},
        {"dead_time": 2.34, "noise": (0.05, 0.05), "quantum": 1 / 3.6},
        {"dead_time": 2.34, "noise": (0.3, 0.5), "quantum": 1 / 3.6, "rate": 2, "seconds": 300},
        {"dead_time": 0.6, "noise": (0.1, 2.0), "rate": 5},
    ],
)
def test_the_true_lag_lies_within_twice_its_uncertainty(options: dict[str, Any]) -> None:
    """95 % of 20 logs is 19; of a true 95 %, fewer than 17 come once in 60 tests (scipy.stats.binom)."""
    lags = found(20, **options)
    assert covered(lags, "lag", options["dead_time"]) >= 17 / 20
    # Not by being careless: results spread by as much as is stated beside a twentieth of a row for the
    # interpolation, or by half of it at the least.
    of_rows = lags[0].spacing / 20 / sqrt(3)
    stated = sqrt(float(np.median([one.lag_standard for one in lags])) ** 2 - of_rows**2)
    assert np.std([one.lag for one in lags]) > 0.5 * stated


def test_readings_held_for_a_second_are_late_by_half_of_it() -> None:
    """A receiver of 1 Hz in a log of 10 Hz holds each reading: on average it is (10 − 1)/2 rows old."""
    stretch = logged(5, dead_time=2.0, seconds=300)
    held = np.repeat(np.asarray(stretch.follower)[::10], 10)[: len(stretch.times)]
    lag = find_lag([Stretch(stretch.times, stretch.leader, held)], 5.0)
    assert lag.lag == pytest.approx(2.45, abs=2 * lag.lag_standard)


def test_rows_that_do_not_come_evenly_are_laid_on_a_grid() -> None:
    stretch = logged(7, rate=100, dead_time=1.25)
    rows = np.arange(0, len(stretch.times) - 20, 10) + np.random.default_rng(1).integers(-3, 4, 1198)
    rows = np.maximum(rows, 0)
    channels = (np.asarray(one)[rows] for one in (stretch.times, stretch.leader, stretch.follower))
    lag = find_lag([Stretch(*channels)], 5.0)
    assert lag.lag == pytest.approx(1.25, abs=2 * lag.lag_standard)


def test_several_stretches_count_together_and_the_short_ones_are_counted() -> None:
    stretches = [logged(seed, seconds=30) for seed in range(4)]
    short = logged(9, seconds=6)
    together = find_lag([*stretches, short], 3.0)
    assert together.skipped == 1
    assert together.lag == pytest.approx(1.7, abs=2 * together.lag_standard)
    assert together.used == 4 * (300 - 60 - 8)
    assert together.rows == 4 * 300 + 60


def test_a_follower_that_falls_where_its_leader_rises() -> None:
    stretch = logged(2)
    falling = Stretch(stretch.times, stretch.leader, -np.asarray(stretch.follower))
    lag = find_lag([falling], 5.0, against=True)
    assert lag == find_lag([stretch], 5.0)
    with pytest.raises(NoSolution):
        find_lag([falling], 5.0)


def test_the_draws_are_the_same_every_time() -> None:
    assert find_lag([logged(4)], 5.0) == find_lag([logged(4)], 5.0)


def test_units_of_the_channels_do_not_matter() -> None:
    stretch = logged(4)
    other = Stretch(
        stretch.times, 1e6 + 3.6 * np.asarray(stretch.leader), 1e-3 * np.asarray(stretch.follower)
    )
    assert find_lag([other], 5.0).lag == pytest.approx(find_lag([stretch], 5.0).lag, abs=1e-6)


# --- dead time and time constant ---------------------------------------------------------------


@pytest.mark.parametrize(
    "options",
    [
        {"dead_time": 1.7, "time_constant": 0.6},
        {"dead_time": 1.0, "time_constant": 1.0, "noise": (0.3, 0.3), "quantum": 1 / 3.6},
        {"dead_time": 0.2, "time_constant": 1.5, "noise": (0.3, 0.1), "seconds": 240},
        {"dead_time": 0.4, "time_constant": 0.2, "noise": (0.02, 0.02), "memory": 0.5},
        {"dead_time": 1.0, "time_constant": 1.0, "noise": (0.1, 0.1), "rate": 2, "seconds": 240},
    ],
)
def test_dead_time_and_time_constant_are_parted(options: dict[str, Any]) -> None:
    lags = found(20, **options)
    for what in ("dead_time", "time_constant"):
        assert covered(lags, what, options[what]) >= 17 / 20
    # The sum of both is what the follower is late by where things change slowly.
    assert np.mean([one.lag for one in lags]) == pytest.approx(
        options["dead_time"] + options["time_constant"], abs=0.45 * options["time_constant"]
    )


def test_noise_of_the_leader_does_not_make_an_instrument_of_a_delay() -> None:
    """Filtered noise correlates better with anything: without its noise term the same search makes a time
    constant of 0.35 ± 0.03 s out of nothing (regression, of the leader's 5 km/h of noise)."""
    lags = found(10, dead_time=1.0, noise=(1.5, 0.3), seconds=300)
    assert np.mean([one.time_constant for one in lags]) < 0.1
    assert covered(lags, "time_constant", 0.0) >= 9 / 10


# --- what a log cannot tell ----------------------------------------------------------------------


def test_a_repeating_drive_has_several_peaks() -> None:
    times = np.arange(0, 120, 0.1)
    draws = np.random.default_rng(1)
    leader = np.sin(2 * np.pi * times / 4) + 0.02 * draws.standard_normal(len(times))
    follower = np.sin(2 * np.pi * (times - 1) / 4) + 0.02 * draws.standard_normal(len(times))
    with pytest.raises(NoSolution, match="several peaks") as refused:
        find_lag([Stretch(times, leader, follower)], 6.0)
    assert " 1 s" in refused.value.found
    assert " 5 s" in refused.value.found
    assert find_lag([Stretch(times, leader, follower)], 2.0).lag == pytest.approx(1.0, abs=0.01)


def test_a_lag_beyond_the_search() -> None:
    with pytest.raises(NoSolution, match="still rises at 5 s"):
        find_lag([logged(1, dead_time=6.0)], 5.0)


def test_channels_the_wrong_way_round() -> None:
    right = logged(1, dead_time=3.0)
    with pytest.raises(NoSolution, match="ahead of the leader") as refused:
        find_lag([Stretch(right.times, right.follower, right.leader)], 5.0)
    assert "wrong way round" in refused.value.help


def test_a_follower_that_is_ahead_by_little_is_found_so() -> None:
    right = logged(1, dead_time=0.5)
    lag = find_lag([Stretch(right.times, right.follower, right.leader)], 5.0)
    assert lag.lag == pytest.approx(-0.5, abs=2 * lag.lag_standard)


def test_two_drives_that_have_nothing_to_do_with_each_other_have_no_lag() -> None:
    told = 0
    for seed in range(40):
        one, other = logged(seed, seconds=100), logged(seed + 500, seconds=100)
        try:
            find_lag([Stretch(one.times, one.leader, other.follower)], 5.0)
            told += 1
        except NoSolution:
            pass
    assert told <= 1


def test_a_flat_correlation() -> None:
    """A single slow swell: noise decides where its top is."""
    times = np.arange(0, 100, 0.1)
    draws = np.random.default_rng(4)
    leader = np.sin(2 * np.pi * times / 180)
    follower = leader + 0.4 * draws.standard_normal(len(times))
    with pytest.raises(NoSolution):
        find_lag([Stretch(times, leader, follower)], 5.0)


def test_a_log_too_short() -> None:
    with pytest.raises(NoSolution, match="can be compared"):
        find_lag([logged(1, seconds=20)], 5.0)
    with pytest.raises(NoSolution, match="no two rows"):
        find_lag([], 5.0)


def test_a_channel_that_stands_still() -> None:
    stretch = logged(1)
    with pytest.raises(NoSolution, match="does not change"):
        find_lag([Stretch(stretch.times, stretch.leader, np.ones(len(stretch.times)))], 5.0)


def test_a_search_shorter_than_a_row() -> None:
    with pytest.raises(OutOfRange, match="a row every"):
        find_lag([logged(1)], 0.1)


def test_more_rows_than_are_looked_at() -> None:
    times = np.arange(0, 3000, 0.01)
    with pytest.raises(OutOfRange, match=r"299[0-9]{3} rows") as refused:
        find_lag([Stretch(times, times, times)], 1.0)
    assert (refused.value.name, refused.value.help) == ("log", "take a part: from and to")
