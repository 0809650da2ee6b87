"""Gears found in drives of our own making, whose gears, ratios and noise are known; lines against numpy and
scipy."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.stats import linregress

from buildlog.kinds.models.held_gears import NONE, Drive, HeldGear, Sorted, drive_of, evened, sort_by_gear

RPM = pi / 30
KMH = 1 / 3.6
RATIOS = (3.2, 2.0, 1.4, 1.1)
FINAL = 4.1
ROUND = 1.9
TRUE = [ROUND / (2 * pi * ratio * FINAL) for ratio in RATIOS]
SHIFT = NONE


def driven(
    seed: int,
    *,
    rate: float = 5.0,
    quantum: float = KMH,
    noise: float = 10 * RPM,
    of_speed: float = 0.0,
    lag: float = 0.0,
    scale: float = 1.0,
    rounds: int = 3,
) -> tuple[Any, Any, Any, Any]:
    """Times, engine speed, road speed and the true gear: pulls through the gears with a second of clutch
    between them, and down again."""
    draws = np.random.default_rng(seed)
    steps: list[tuple[int, float, float]] = []
    for _ in range(rounds):
        low = 2000 + 500 * draws.random()
        for pulled in (0, 1, 2, 3, 3, 2, 1):
            steps.append((pulled, low + 600 * draws.random(), 5200 + 800 * draws.random()))
    fine = 100
    engine, speed, gears = [], [], []
    for number, (held, low, high) in enumerate(steps):
        ends = (low, high) if number % 7 < 4 else (high, low)
        pull = np.linspace(*ends, int(fine * (6 + 4 * draws.random()))) * RPM
        engine.append(pull)
        speed.append(pull * TRUE[held])
        gears.append(np.full(len(pull), held))
        slip = np.linspace(pull[-1], 1100 * RPM, fine)
        engine.append(slip)
        speed.append(np.full(fine, speed[-1][-1]))
        gears.append(np.full(fine, SHIFT))
    turning, going, which = (np.concatenate(one) for one in (engine, speed, gears))
    times = np.arange(len(turning)) / fine
    late = np.interp(times - lag, times, going)
    every = round(fine / rate)
    times, turning, late, which = (one[::every] for one in (times, turning, late, which))
    read = scale * late + of_speed * draws.standard_normal(len(late))
    read = np.round(read / quantum) * quantum if quantum else read
    return times, turning + noise * draws.standard_normal(len(turning)), read, which


def whole(times: Any, engine: Any, speed: Any, _: Any = None) -> Drive:
    return drive_of(
        times, engine, speed, np.zeros(len(times), int), slowest=5 * KMH, lowest_engine=1500 * RPM
    )


def sorted_by(drive: Drive, declared: list[float] | None = None, **changes: float) -> Sorted:
    options = {"window": 0.05, "quantum": KMH, "held": 1.0} | changes
    return sort_by_gear(drive, declared or TRUE, **options)


# --- which gear ---------------------------------------------------------------------------------


def test_rows_are_sorted_as_they_were_driven() -> None:
    times, engine, speed, gear = driven(1)
    drive = whole(times, engine, speed)
    found = sorted_by(drive)
    kept = gear[(speed >= 5 * KMH) & (engine >= 1500 * RPM)]
    in_gear = kept != SHIFT
    # At a change of gear the clutch passes within the window for a row or two.
    assert (found.gear[in_gear] == kept[in_gear]).mean() > 0.98
    assert (found.gear[~in_gear] == NONE).mean() > 0.6
    # None of what is fitted is of another gear, nor of a slipping clutch.
    assert (found.gear[found.fitted] == kept[found.fitted]).all()


def test_a_coasting_car_at_idle_is_in_no_gear() -> None:
    """900 rpm, from 40 km/h down to 5: the lines of three gears are crossed."""
    times = np.arange(0, 60, 0.2)
    drive = whole(times, np.full(300, 900 * RPM), np.linspace(40, 5.1, 300) * KMH)
    assert (len(drive.times), drive.idling, drive.moving) == (0, 300, 300)


def test_an_engine_that_is_said_to_stand_still_is_counted_and_parts_nothing() -> None:
    times, engine, speed, _ = driven(2)
    clean = sorted_by(whole(times, engine, speed))
    engine = engine.copy()
    engine[::40] = 0.0
    drive = whole(times, engine, speed)
    found = sorted_by(drive)
    moving = speed >= 5 * KMH
    assert drive.stopped == int((moving & (engine == 0)).sum()) > 20
    assert drive.moving == int(moving.sum())
    for one, other in zip(found.gears, clean.gears, strict=True):
        assert one.rows >= 0.95 * other.rows
        assert one.slope == pytest.approx(other.slope, rel=2e-3)


def test_a_standing_car_counts_for_nothing() -> None:
    times = np.arange(0, 20, 0.2)
    drive = whole(times, np.full(100, 2000 * RPM), np.zeros(100))
    assert (drive.standing, drive.moving) == (100, 0)


def test_gaps_and_idling_part_a_stretch_in_gear() -> None:
    times = np.arange(0, 6, 0.2)
    engine = np.linspace(3000, 4000, 30) * RPM
    speed = engine * TRUE[1]
    stretch = np.repeat([0, 1], 15)
    parted = drive_of(times, engine, speed, stretch, slowest=1.0, lowest_engine=100.0)
    assert sorted_by(parted).fitted.sum() == 2 * (15 - 6)
    engine[15] = 50.0
    idled = drive_of(times, engine, speed, np.zeros(30, int), slowest=1.0, lowest_engine=100.0)
    assert sorted_by(idled).fitted.sum() == 15 - 6 + 14 - 6


def test_a_gear_held_for_less_than_asked_is_no_gear() -> None:
    times, engine, speed, _ = driven(3)
    assert sorted_by(whole(times, engine, speed), held=20.0).fitted.sum() == 0


# --- the line -----------------------------------------------------------------------------------


def test_slope_and_offset_are_those_of_numpy_and_scipy() -> None:
    """numpy.polyfit and scipy.stats.linregress of the same rows; the standard error of linregress, too, where
    neighbours are independent."""
    drive = whole(*driven(4, quantum=0.0, of_speed=0.2, noise=0.0))
    found = sorted_by(drive)
    for place, line in enumerate(found.gears):
        rows = found.fitted & (found.gear == place)
        x, y = drive.engine[rows], drive.speed[rows]
        slope, offset = np.polyfit(x, y, 1)
        assert line.slope == pytest.approx(slope, rel=1e-9)
        assert line.offset == pytest.approx(offset, abs=1e-9)
        oracle = linregress(x, y)
        assert line.flattened == pytest.approx(1 / oracle.rvalue**2 - 1, rel=1e-6)
        scatter = sqrt(line.slope_standard**2 - (line.slope * line.flattened) ** 2 / 3)
        assert scatter == pytest.approx(oracle.stderr * sqrt(line.fitted / line.effective), rel=0.03)
        assert line.deviation == pytest.approx(np.std(y - offset - slope * x, ddof=2), rel=1e-9)


@pytest.mark.parametrize(
    "options",
    [
        {},
        {"noise": 40 * RPM},
        {"quantum": 0.0, "of_speed": 0.1},
        {"rate": 2.0, "rounds": 6},
        {"rate": 20.0},
        {"quantum": 2 * KMH},
    ],
)
def test_true_slopes_lie_within_twice_their_uncertainty(options: dict[str, Any]) -> None:
    inside, spread, stated = [], [], []
    for seed in range(20):
        drive = whole(*driven(seed, **options))
        quantum = options.get("quantum", KMH)
        for line, true in zip(sorted_by(drive, quantum=quantum).gears, TRUE, strict=True):
            assert line.has_line
            inside.append(abs(line.slope - true) <= 2 * line.slope_standard)
            spread.append(line.slope / true - 1)
            stated.append(line.slope_standard / true)
    # 80 lines, of which 76 are expected; 72 or fewer come once in 20 tests (scipy.stats.binom).
    assert np.mean(inside) >= 0.9
    assert np.std(spread) > 0.4 * np.median(stated)


def test_a_ratio_of_means_is_off_where_the_line_is_not() -> None:
    """A speed that comes half a second late, in pulls that all go upwards: the mean of v over the mean of ω
    is 2 to 3 % too small, which is as much as a tooth in 41; the slope is not."""
    draws = np.random.default_rng(5)
    times = np.arange(0, 120, 0.1)
    engine = (2500 + 3000 * (times % 12) / 12) * RPM
    late = 0.5
    speed = (engine - 3000 * RPM / 12 * late) * TRUE[1] + 0.05 * draws.standard_normal(len(times))
    stretch = (times // 12).astype(int)
    found = sort_by_gear(
        drive_of(times, engine, speed, stretch, slowest=1.0, lowest_engine=100.0),
        TRUE,
        window=0.08,
        quantum=0.0,
        held=1.0,
    )
    rows = found.fitted & (found.gear == 1)
    of_means = speed[rows].mean() / engine[rows].mean() / TRUE[1] - 1
    line = found.gears[1]
    assert -0.035 < of_means < -0.02
    assert abs(of_means) > 1 / 41
    assert line.slope / TRUE[1] - 1 == pytest.approx(0, abs=2 * line.slope_standard / TRUE[1])
    assert abs(line.slope / TRUE[1] - 1) < 0.003
    assert line.offset == pytest.approx(-3000 * RPM / 12 * late * TRUE[1], abs=2 * line.offset_standard)


def test_the_line_is_the_cars_own_and_not_what_was_declared() -> None:
    """Another wheel, 2.5 % smaller: the window about the declared line would cut one side of the readings."""
    for wrong in (0.975, 1.025):
        lines = sorted_by(whole(*driven(6)), [one * wrong for one in TRUE]).gears
        for line, right in zip(lines, sorted_by(whole(*driven(6))).gears, strict=True):
            assert line.slope == pytest.approx(right.slope, rel=1e-3)


def test_a_little_change_of_what_is_declared_changes_nothing() -> None:
    drive = whole(*driven(7))
    moved = evened([one * 1.002 for one in TRUE])
    assert moved != evened(TRUE), "one of them is taken to the next step, which changes nothing either"
    assert moved == pytest.approx(TRUE, rel=0.0125)
    assert sorted_by(drive, list(moved)).gears == sorted_by(drive).gears


def test_how_much_a_doubtful_engine_speed_flattens_a_line_is_bounded() -> None:
    """Attenuation: with noise σ in x, least squares tends to slope · var(x) / (var(x) + σ²) (W. A. Fuller,
    Measurement Error Models, Wiley 1987, 1.1.1, from memory). 1/r² − 1 is that and more."""
    noise = 100 * RPM
    slopes, bounds, true = [], [], []
    for seed in range(20):
        times, engine, speed, _ = driven(seed, noise=0.0, quantum=0.0, of_speed=0.3)
        draws = np.random.default_rng(seed + 900)
        drive = whole(times, engine + noise * draws.standard_normal(len(engine)), speed)
        line = sorted_by(drive, window=0.15, quantum=0.0).gears[3]
        rows = sorted_by(whole(times, engine, speed), quantum=0.0)
        turning = whole(times, engine, speed).engine[rows.fitted & (rows.gear == 3)]
        slopes.append(line.slope / TRUE[3])
        bounds.append(line.flattened)
        true.append(noise**2 / np.var(turning))
    flat = 1 - np.mean(slopes)
    assert flat == pytest.approx(np.mean(true), rel=0.35)
    assert 0 < flat < np.mean(bounds)
    assert np.mean(true) < np.mean(bounds)


def test_neighbours_that_know_of_each_other_count_for_less() -> None:
    """Readings at 20 Hz of a speed that wobbles with a memory of a second: a fiftieth of them, by the formula
    for the first-order process, (1 − φ)/(1 + φ) (NIST/SEMATECH e-Handbook has the process, 6.4.4.4)."""
    times, engine, speed, _ = driven(8, rate=20, quantum=0.0, rounds=12)
    draws = np.random.default_rng(8)
    fade = np.exp(-1 / 20)
    wobble = np.zeros(len(speed))
    for row in range(1, len(speed)):
        wobble[row] = fade * wobble[row - 1] + 0.2 * sqrt(1 - fade**2) * draws.standard_normal()
    line = sorted_by(whole(times, engine, speed + wobble), quantum=0.0).gears[2]
    assert line.effective / line.fitted == pytest.approx((1 - fade) / (1 + fade), rel=0.6)


def test_too_few_readings_make_no_line() -> None:
    times, engine, speed, gear = driven(9)
    only = (gear != 1) | (np.arange(len(gear)) < 60)
    found = sorted_by(whole(times[only], engine[only], speed[only]))
    assert [line.has_line for line in found.gears] == [True, False, True, True]
    assert found.gears[1] == HeldGear(rows=found.gears[1].rows, fitted=found.gears[1].fitted, effective=0.0)


def test_a_speed_that_stands_still_makes_no_line() -> None:
    """Held at one speed, the readings have no slope."""
    times = np.arange(0, 40, 0.2)
    engine = np.full(len(times), 3000 * RPM)
    found = sorted_by(whole(times, engine, engine * TRUE[1]))
    assert not found.gears[1].has_line
    assert found.gears[1].rows == 200


@pytest.mark.parametrize("seed", range(5))
def test_a_car_that_coasts_along_a_gears_line_is_not_in_it(seed: int) -> None:
    """Three seconds with the clutch out, the engine slowing down with the car, 4 % beside the line of second
    gear, at the low end where a line is bent the most by it."""
    times, engine, speed, _ = driven(seed, of_speed=0.05)
    after = times[-1] + np.arange(0.2, 4.2, 0.2)
    slowing = np.linspace(2300, 1700, len(after)) * RPM
    beside = np.round(slowing * TRUE[1] * 1.045 / KMH) * KMH
    drive = whole(
        np.concatenate([times, after]), np.concatenate([engine, slowing]), np.concatenate([speed, beside])
    )
    clean = sorted_by(whole(times, engine, speed)).gears[1]
    found = sorted_by(drive)
    assert found.gears[1].slope == pytest.approx(clean.slope, rel=1.5e-3)
    # Whatever was declared, within what a tyre is off by.
    for start in (0.985, 1.0, 1.015):
        assert sorted_by(drive, list(evened([one * start for one in TRUE]))).gears == found.gears
