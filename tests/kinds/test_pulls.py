"""Pulls found, smoothed and averaged: against numpy's fits, scipy's intervals and curves that are known."""

from __future__ import annotations

from math import sin
from typing import Any

import numpy as np
import pytest
from scipy import stats

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.kinds.models import pulls


def track(times: Any, channels: dict[str, Any], *others: Any) -> pulls.Track:
    """`pulls.track` of numpy's arrays."""
    return pulls.track(times, channels, *others)


def wanted(window: float = 0.5, throttle: str = "", open_from: float = 0.0) -> pulls.Wanted:
    return pulls.Wanted(rising="v", along="v", window=window, throttle=throttle, open_from=open_from)


def test_value_and_slope_are_those_of_a_line_through_the_rows_about() -> None:
    """numpy.polyfit of the rows within half a window, at uneven times and far from zero of the clock."""
    random = np.random.default_rng(5)
    t = 40_000 + np.cumsum(random.uniform(0.03, 0.09, 400))
    v = 5 + 1.5 * (t - t[0]) + random.normal(0, 0.05, len(t))
    found = track(t, {"v": v}, [range(len(t))], wanted(0.6))
    assert len(found.times) > 300
    for place in (0, 57, 200, len(found.times) - 1):
        near = np.abs(t - found.times[place]) <= 0.3 + 1e-9
        slope, height = np.polyfit(t[near] - found.times[place], v[near], 1)
        assert found.slopes["v"][place] == pytest.approx(slope, rel=1e-6)
        assert found.values["v"][place] == pytest.approx(height, rel=1e-9)
    assert found.sigma["v"] == pytest.approx(0.05, rel=0.15)


def test_a_long_log_keeps_its_last_digits() -> None:
    """An hour at 50 Hz: sums of squares of times over all of it would lose what a window needs."""
    t = np.arange(0, 3600, 0.02)
    v = np.where(t < 3500, 10.0, 10 + 2 * (t - 3500))
    found = track(t, {"v": v}, [range(len(t))], wanted(0.5))
    assert found.times[0] == pytest.approx(3500.26, abs=0.04)
    assert found.slopes["v"][-1] == pytest.approx(2.0, abs=1e-9)


def test_the_longest_rise_is_the_pull_and_the_pedal_has_a_say() -> None:
    t = np.arange(0, 30, 0.1)
    v = np.interp(t, [0, 5, 8, 18, 20, 30], [10, 15, 12, 40, 38, 39])
    pedal = np.where((t > 9) & (t < 16), 100.0, 40.0)
    found = track(t, {"v": v}, [range(len(t))], wanted())
    assert (found.times[0], found.times[-1]) == pytest.approx((8.5, 17.5), abs=0.15)
    # No window has anything of what was before or after.
    assert found.slopes["v"] == pytest.approx([2.8] * len(found.times))
    held = track(t, {"v": v, "pedal": pedal}, [range(len(t))], wanted(throttle="pedal", open_from=95.0))
    assert (held.times[0], held.times[-1]) == pytest.approx((9.35, 15.65), abs=0.06)


def test_no_window_reaches_over_a_gap() -> None:
    t = np.concatenate((np.arange(0, 5, 0.1), np.arange(9, 12, 0.1)))
    v = 2 * t
    found = track(t, {"v": v}, [range(50), range(50, 80)], wanted(1.0))
    assert found.times[-1] <= 4.5


def test_what_smoothing_rounds_off() -> None:
    """A sine of known second and third derivative: its slope over a window w is off by x‴ w²/40, its value by
    x″ w²/24 (Taylor's series, derived); the track tells both to a tenth."""
    t = np.arange(0, 4, 0.01)
    v = 20 + 10 * np.sin(0.7 * t - 1)
    found = track(t, {"v": v}, [range(len(t))], wanted(0.8))
    for place in range(60, len(found.times) - 60, 25):
        at = found.times[place]
        exact = 7 * np.cos(0.7 * at - 1)
        assert found.slopes["v"][place] - exact == pytest.approx(found.bent_slopes["v"][place], abs=2e-3)
        off = found.values["v"][place] - (20 + 10 * sin(0.7 * at - 1))
        assert off == pytest.approx(found.bent_values["v"][place], rel=0.1, abs=2e-3)


def test_the_noise_of_slopes_by_many_seeds() -> None:
    """The independent parts add up, at each place and between places, to what a thousand seeds show."""
    t = np.arange(0, 6, 0.1)
    line = 10 + 3 * t
    clean = track(t, {"v": line}, [range(len(t))], wanted(1.0), {"v": 0.2 * 12**0.5})
    assert clean.sigma["v"] == pytest.approx(0.2)
    parts = np.array(clean.slope_noise) * 0.2
    random = np.random.default_rng(7)
    slopes = []
    for _ in range(1000):
        noisy = line + random.normal(0, 0.2, len(t))
        slopes.append([np.polyfit(t[i - 5 : i + 6], noisy[i - 5 : i + 6], 1)[0] for i in (15, 18, 30)])
    seen = np.cov(np.array(slopes).T)
    at = [
        np.array([np.interp(t[i], np.array(clean.times)[list(clean.places)], part) for part in parts])
        for i in (15, 18, 30)
    ]
    assert np.sqrt(at[0] @ at[0]) == pytest.approx(np.sqrt(seen[0, 0]), rel=0.1)
    assert at[0] @ at[1] == pytest.approx(seen[0, 1], abs=0.15 * seen[0, 0])
    assert at[0] @ at[2] == pytest.approx(0, abs=0.1 * seen[0, 0])


def test_a_window_of_too_few_rows_is_refused() -> None:
    t = np.arange(0, 10, 0.5)
    with pytest.raises(OutOfRange) as refused:
        track(t, {"v": 2 * t}, [range(len(t))], wanted(0.5))
    assert refused.value.name == "smoothing_window"
    assert "holds 1 row of" in refused.value.found
    with pytest.raises(NoSolution):
        track(t, {"v": -2 * t}, [range(len(t))], wanted(1.5))


def test_rows_without_a_reading_are_left_out() -> None:
    t = np.arange(0, 10, 0.1)
    v = 2 * t
    v[40] = np.nan
    found = track(t, {"v": v}, [range(len(t))], wanted(1.0))
    assert all(slope == pytest.approx(2) for slope in found.slopes["v"])


def test_the_interval_of_several_pulls_is_students() -> None:
    """Each pull moved by its deviation: the root of the squares, twice, is scipy's t interval of the mean."""
    speeds = (100.0, 200.0, 300.0)
    torques = ((150.0, 160, 140), (148.0, 163, 141), (151.5, 161, 138), (149.0, 158, 142))
    mean = pulls.Averaged(
        pulls=tuple(pulls.Pull(name=str(n), speeds=speeds, columns=(row,)) for n, row in enumerate(torques))
    )
    for place, speed in enumerate(speeds):
        column = [row[place] for row in torques]
        middle = mean.at(speed)[0]
        assert middle == pytest.approx(np.mean(column))
        moved = [
            mean.at(speed, [1.0 if other == one else 0.0 for other in range(4)])[0] - middle
            for one in range(4)
        ]
        expected = stats.t.interval(0.9545, 3, loc=middle, scale=stats.sem(column))
        assert 2 * np.sqrt(np.sum(np.square(moved))) == pytest.approx(expected[1] - middle, rel=1e-3)


def test_the_top_of_a_parabola() -> None:
    """numpy.polyfit of the same points; of its place too, by the covariance that polyfit makes of them."""
    speeds = tuple(np.linspace(300, 700, 101).tolist())
    values = tuple((160 - (np.array(speeds) - 512) ** 2 / 900 + np.sin(np.array(speeds))).tolist())
    curve = pulls.Curve(speeds, values)
    near = pulls.points_about(curve, curve.highest, 120)
    found = pulls.parabola_through(curve, near)
    top = found.top
    assert top is not None
    at = np.array(speeds)[near] - 500
    c, b, a = np.polyfit(at, np.array(values)[near], 2)
    assert top.speed == pytest.approx(500 - b / 2 / c, rel=1e-9)
    assert top.value == pytest.approx(a - b * b / 4 / c, rel=1e-9)
    assert pulls.is_sure_of_top(found, ())
    rising = pulls.Curve(speeds, tuple(0.3 * one for one in speeds))
    end = pulls.points_about(rising, rising.highest, 120)
    assert pulls.parabola_through(rising, end).top is None
    assert pulls.points_about(curve, 50, 1.0) == [49, 50, 51]


@pytest.mark.parametrize(("tilt", "sure"), [(0.1, True), (0.4, False)])
def test_a_top_that_the_pulls_do_not_agree_on(tilt: float, sure: bool) -> None:
    """y = 10 − x² from −1 to 1, tilted by ±t: the top moves by t/2 a standard uncertainty, ± t at k = 2. By
    hand: ± 0.1 about the middle stays among the points, 0.65 ± 0.4 does not."""
    speeds = tuple(np.linspace(-1, 1, 21).tolist())
    lean = 0.0 if sure else 1.3
    curve = pulls.Curve(speeds, tuple(10 - x * x + lean * x for x in speeds))
    deviation = pulls.Curve(speeds, tuple(tilt * x for x in speeds))
    every = range(len(speeds))
    found = pulls.parabola_through(curve, every)
    assert found.top is not None
    assert pulls.is_sure_of_top(found, [pulls.parabola_through(deviation, every)]) is sure


def test_decelerations_share_no_row() -> None:
    """v = 30 − 0.4 t, by definition 0.4 in every window of 2 s; a last window that is cut short is none."""
    t = np.arange(0, 21, 0.1)
    v = 30 - 0.4 * t
    found = pulls.decelerations(t.tolist(), v.tolist(), [range(len(t))], 2.0)
    assert len(found) == 10
    assert all(loss == pytest.approx(0.4) for _, loss in found)
    assert found[0][0] == pytest.approx(30 - 0.4 * 0.95)
