"""What a pull is made of, part by part: by hand, numpy, scipy and Student's t."""

from __future__ import annotations

from math import nan, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.stats import t as student

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.kinds.models import pulls
from buildlog.kinds.models.pulls import Averaged, Curve, Noise, Pull, as_written, decelerations
from buildlog.kinds.models.readings import Line


def pull(*values: float, speeds: tuple[float, ...] = (100.0, 200.0, 400.0), name: str = "") -> Pull:
    return Pull(name=name, speeds=speeds, columns=[values])


# --- one pull --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("speed", "value"),
    [(100, 10), (150, 15), (200, 20), (300, 50), (400, 80), (50, 5), (500, 110)],  # beyond: the same lines
)
def test_a_pull_is_read_on_the_line_between_two_rows(speed: float, value: float) -> None:
    assert pull(10, 20, 80).at(speed) == [value]
    both = Pull(name="", speeds=(100, 200, 400), columns=[(10, 20, 80), (-10, -20, -80)])
    assert both.at(speed) == [value, -value]


def test_noise_is_what_its_parts_come_to() -> None:
    noise = Noise(speeds=(100.0, 200.0), parts=((1.0, 3.0), (10.0, 20.0), (7.0, 7.0)))
    assert noise.at(150, (1, 0, 0)) == 2
    assert noise.at(150, (-0.5, 2, 0)) == -1 + 30
    assert noise.at(50, (1, 1, 0)) == 11  # no further than its ends
    assert noise.at(900, (1, 1, 0)) == 23


# --- several pulls ----------------------------------------------------------------------------


def test_pulls_share_the_engine_speeds_that_all_have() -> None:
    both = Averaged(
        pulls=(
            pull(1, 2, 3),
            pull(1, 2, 3, speeds=(120.0, 200.0, 390.0)),
            pull(1, 2, 3, speeds=(90.0, 95.0, 500.0)),
        )
    )
    assert (both.low, both.high) == (120, 390)


def test_of_one_pull_the_noise_of_its_rows_moves_the_last_column() -> None:
    noise = Noise(speeds=(100.0, 400.0), parts=((1.0, 1.0), (2.0, 2.0)))
    one = Averaged(pulls=(Pull(name="", speeds=(100.0, 400.0), columns=[(5, 5), (7, 7)]),), noise=noise)
    assert one.moves == ["rows-1", "rows-2"]
    assert (one.freedom, one.widening) == (0, 1.0)
    assert one.at(200) == [5, 7]
    assert one.at(200, (1, 0)) == [5, 8]
    assert one.at(200, (0, -1)) == [5, 5]
    assert one.at(200, rows=(1, 1)) == [5, 10]
    assert Averaged(pulls=(pull(1, 2, 3),)).moves == []
    assert Averaged(pulls=(pull(1, 2, 3),)).at(200, (1.0,)) == [2]


def test_of_several_pulls_their_scatter_moves_it_and_the_rows_by_the_root_of_their_number() -> None:
    noise = Noise(speeds=(100.0, 400.0), parts=((6.0, 6.0),))
    two = Averaged(pulls=(pull(9, 9, 9), pull(11, 11, 11)), noise=noise)
    assert two.moves == ["pull-1", "pull-2"]
    assert two.at(200) == [10]
    assert two.at(200, rows=(1,)) == pytest.approx([10 + 6 / sqrt(2)])
    assert two.singles(200) == [[9], [11]]
    # ±1: a standard deviation of √2 with one degree of freedom, of the mean 1, widened by t/2.
    widened = student.ppf(0.5 + 0.9545 / 2, 1) / 2
    assert two.widening == pytest.approx(widened, rel=1e-3)
    moved = [two.at(200, shifts)[0] - 10 for shifts in ((1, 0), (0, 1))]
    assert sqrt(sum(one**2 for one in moved)) == pytest.approx(widened, rel=1e-3)
    assert moved[0] == -moved[1] < 0


def test_of_two_ways_the_mean_is_that_of_both_means() -> None:
    """By hand: 10 and 14 one way, 20, 21 and 25 the other: means 12 and 22, of both 17. The variances of the
    means are s² (1/2 + 1/3)/4 with s² = (2 · 4 + 4 + 1 + 9)/3."""
    ways = Averaged(
        pulls=tuple(pull(value, value, value) for value in (10, 20, 14, 21, 25)),
        ways=("out", "back", "out", "back", "back"),
    )
    assert ways.at(200) == [17]
    assert ways.freedom == 3
    assert ways.deviations((10, 20, 14, 21, 25)) == [-2, -2, 2, -1, 3]
    standard = sqrt((2 * 4 + 4 + 1 + 9) / 3 * (1 / 2 + 1 / 3) / 4)
    moved = [ways.at(200, [float(one == other) for other in range(5)])[0] - 17 for one in range(5)]
    widened = student.ppf(0.5 + 0.9545 / 2, 3) / 2
    assert sqrt(sum(one**2 for one in moved)) == pytest.approx(standard * widened, rel=1e-3)


def test_one_pull_each_way_has_no_scatter() -> None:
    ways = Averaged(pulls=(pull(10, 10, 10), pull(20, 20, 20)), ways=("out", "back"))
    assert (ways.freedom, ways.widening) == (0, 1.0)
    assert ways.at(200, (1.0, 1.0)) == [15]


def test_what_smoothing_rounds_off_is_added_by_its_share() -> None:
    two = Averaged(pulls=(pull(9, 9, 9), pull(11, 11, 11)), bent=(pull(2, 2, 2), pull(4, 4, 4)))
    assert two.at(200, bending=1.0) == [13]
    assert two.at(200, bending=-0.5) == [8.5]
    assert Averaged(pulls=(pull(9, 9, 9),)).at(200, bending=1.0) == [9]


# --- rows of a sheet --------------------------------------------------------------------------


def test_the_rows_of_a_sheet_from_the_lowest_on_that_lie_above_all_before() -> None:
    revs = [30.0, 20.0, 25.0, 25.0, nan, 24.0, 40.0, 50.0]
    torque = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, nan, 8.0]
    assert as_written({"revs": revs[:4] + revs[5:], "torque": [1.0] * 7}, "revs") == (
        [1, 2, 5, 6],
        {"revs": [20, 25, 40, 50], "torque": [1] * 4},
    )
    assert as_written({"revs": revs, "torque": torque}, "revs")[0] == [1, 2, 7]


def test_a_sheet_of_too_few_rows_is_refused() -> None:
    with pytest.raises(NoSolution) as refused:
        as_written({"revs": [1.0, 2.0]}, "revs", "sheet.csv")
    told = refused.value
    assert (told.name, told.found, told.expected) == (
        "revs",
        "2 rows of sheet.csv on which it rises",
        "3 at least",
    )
    with pytest.raises(NoSolution, match="0 rows"):
        as_written({"revs": [nan, nan, nan]}, "revs")
    assert as_written({"revs": [1.0, 2.0, 3.0]}, "revs")[0] == [0, 1, 2]


# --- a pull in a log --------------------------------------------------------------------------


def wanted(window: float = 1.0, **more: Any) -> pulls.Wanted:
    return pulls.Wanted(rising="v", along="n", window=window, file="run.csv", **more)


def tracked(times: Any, v: Any, n: Any, spans: Any = None, **more: Any) -> pulls.Track:
    return pulls.track(times, {"v": v, "n": n}, spans or [range(len(times))], wanted(**more))


def test_of_several_rises_the_one_on_which_the_engine_gains_most_is_the_pull() -> None:
    """In two spans, and the other way round: 30 rad/s in the first, 40 in the second."""
    times = np.arange(0, 20, 0.1)
    v = np.concatenate((5 + times[:100], 5 + times[:100]))
    n = np.concatenate((100 + 3 * times[:100], 100 + 4 * times[:100]))
    spans = [range(100), range(100, 200)]
    assert tracked(times, v, n, spans).times[0] == pytest.approx(10.5)
    assert tracked(times, v, n[::-1].copy() * -1, spans).times[0] == pytest.approx(0.5)


def test_a_track_rises_from_place_to_place_and_keeps_what_the_lines_tell() -> None:
    times: Any = np.arange(0, 10, 0.1)
    found = pulls.track(
        times, {"v": 5 + 2 * times, "n": 100 + 30 * times}, [range(100)], wanted(), {"v": 0.12}
    )
    assert found.times[0] == pytest.approx(0.5)
    assert found.times[-1] == pytest.approx(9.4)
    assert found.values["n"] == pytest.approx([100 + 30 * time for time in found.times])
    assert found.slopes["n"] == pytest.approx([30.0] * len(found.times))
    assert found.bent_slopes["n"] == pytest.approx([0.0] * len(found.times), abs=1e-9)
    assert (found.rows, found.interval) == pytest.approx((11, 0.1))
    assert found.sigma["v"] == pytest.approx(0.12 / sqrt(12))
    assert found.sigma["n"] == pytest.approx(0, abs=1e-5)
    # Four places in a window, and one at either end.
    assert len(found.places) == int(4 * (found.times[-1] - found.times[0]) / 1.0 + 2)
    assert (found.places[0], found.places[-1]) == (0, len(found.times) - 1)
    quiet = tracked(times, 5 + 2 * times, 100 + 30 * times, noise=False)
    assert (quiet.slope_noise, quiet.value_noise) == ((), ())


def test_the_noise_of_values_by_the_weights_of_a_line() -> None:
    """A mean of n rows in the middle of them has 1/n of the variance of one."""
    times: Any = np.arange(0, 10, 0.1)
    found = tracked(times, 5 + 2 * times, 100 + 30 * times)
    for place in range(len(found.places)):
        assert sum(part[place] ** 2 for part in found.value_noise) == pytest.approx(1 / 11, rel=1e-6)
        # σ² / Σ (t − t̄)², of eleven rows 0.1 s apart: Σ = 0.01 · 110
        assert sum(part[place] ** 2 for part in found.slope_noise) == pytest.approx(1 / 1.1, rel=1e-6)


def test_the_scatter_is_that_of_single_readings() -> None:
    """Residuals of lines through n rows, over n − 2 degrees of freedom."""
    times = np.arange(0, 200, 0.1)
    draws = np.random.default_rng(3)
    v = 5 + 2 * times + 0.3 * draws.standard_normal(len(times))
    assert tracked(times, v, 100 + 3 * times).sigma["v"] == pytest.approx(0.3, rel=0.05)


def test_what_a_window_does_not_hold_is_said() -> None:
    times = np.arange(0, 10, 0.5)
    with pytest.raises(OutOfRange) as refused:
        tracked(times, times, times, window=0.4)
    told = refused.value
    assert told.found == "0.4 s, which holds 1 row of run.csv"
    assert told.expected == "3 rows at least"
    assert told.help == "a wider window, or a log that writes more often"
    assert len(tracked(times, times, times, window=1.0).times) == 18  # three rows are enough
    with pytest.raises(OutOfRange, match="holds 0 rows of"):
        tracked(times, times, times, [range(2)], window=1.0)
    with pytest.raises(NoSolution) as none:
        tracked(times, -times, times, window=1.0)
    assert (none.value.name, none.value.found) == ("v", "no stretch of run.csv on which it rises")


def test_the_pedal_counts_from_where_it_is_open() -> None:
    times: Any = np.arange(0, 10, 0.1)
    pedal = np.where(times < 5, 80.0, 79.0)
    channels: dict[str, Any] = {"v": times, "n": times, "pedal": pedal}
    found = pulls.track(times, channels, [range(100)], wanted(throttle="pedal", open_from=80.0))
    assert found.times[-1] == pytest.approx(4.9 - 0.5)  # half a window before it was lifted
    assert found.times[0] == pytest.approx(0.5)


# --- peaks --------------------------------------------------------------------------------


def test_the_points_about_one_are_half_a_width_away_at_most() -> None:
    curve = Curve((0.0, 1.0, 2.0, 3.0, 4.0, 5.0), (1.0, 2.0, 9.0, 4.0, 3.0, 9.0))
    assert curve.highest == 2  # the first of two
    assert pulls.points_about(curve, 2, 4.0) == [0, 1, 2, 3, 4]
    assert pulls.points_about(curve, 2, 3.9) == [1, 2, 3]
    assert pulls.points_about(curve, 0, 4.0) == [0, 1, 2]
    assert pulls.points_about(curve, 0, 1.0) == [0, 1]
    assert pulls.points_about(curve, 5, 1.0) == [4, 5]


@pytest.mark.parametrize("seed", range(3))
def test_a_parabola_is_that_of_numpy(seed: int) -> None:
    draws = np.random.default_rng(seed)
    x = np.sort(draws.uniform(-0.7, 0.5, 9))
    y = 3 - 2 * x + 4 * x**2 + draws.normal(0, 0.1, 9)
    bend, slope, height = np.polyfit(x, y, 2)
    assert pulls._parabola(list(x), list(y)) == pytest.approx((height, slope, bend), rel=1e-9)


def test_where_a_cubic_through_all_is_highest() -> None:
    """numpy.polyfit over the numbers of the points."""
    draws = np.random.default_rng(4)
    speeds = np.linspace(200, 700, 60)
    values = 160 - ((speeds - 480) / 60) ** 2 + draws.normal(0, 3, 60)
    fitted = np.polyval(np.polyfit(np.arange(60), values, 3), np.arange(60))
    curve = Curve(tuple(speeds.tolist()), tuple(values.tolist()))
    assert pulls.place_of_most(curve) == int(fitted.argmax())


def test_noise_lifts_the_height_that_is_sought_by_it() -> None:
    """The mean over new draws of the height there less the height of the smooth curve, with numpy.polyfit for
    cubic and parabola; both means are known to some 0.05."""
    speeds = np.linspace(200, 700, 40)
    smooth = 160 - ((speeds - 450) / 300) ** 2
    width, deviation = 60.0, 1.5
    got = pulls.lift_of_noise(
        Curve(tuple(speeds.tolist()), tuple(smooth.tolist())), (deviation * np.eye(40)).tolist(), width
    )

    def height(values: Any) -> float:
        at = int(np.polyval(np.polyfit(np.linspace(-1, 1, 40), values, 3), np.linspace(-1, 1, 40)).argmax())
        near = np.abs(speeds - speeds[at]) <= width / 2
        near[max(at - 1, 0) : at + 2] = True
        return float(np.polyfit((speeds[near] - speeds[at]) / width, values[near], 2)[2])

    draws = np.random.default_rng(9)
    noisy = [height(smooth + deviation * draws.standard_normal(40)) for _ in range(1500)]
    assert got == pytest.approx(np.mean(noisy) - height(smooth), abs=0.15)
    none = pulls.lift_of_noise(
        Curve(tuple(speeds.tolist()), tuple(smooth.tolist())), (0 * np.eye(40)).tolist(), width
    )
    assert none == pytest.approx(0, abs=1e-9)


# --- coasting --------------------------------------------------------------------------------


def test_the_mean_of_independent_lines() -> None:
    """Means of both numbers; variances and covariance of a mean of two are half of their own means."""
    lines = [
        Line(
            slope=1.0,
            offset=5.0,
            slope_standard=0.3,
            offset_standard=3.0,
            deviation=1.0,
            covariance=-0.2,
            count=8,
        ),
        Line(
            slope=2.0,
            offset=9.0,
            slope_standard=0.4,
            offset_standard=4.0,
            deviation=7.0,
            covariance=-0.6,
            count=5,
        ),
    ]
    mean = pulls.mean_line(lines)
    assert (mean.slope, mean.offset, mean.count) == (1.5, 7.0, 13)
    assert (mean.slope_standard, mean.offset_standard) == pytest.approx((0.25, 2.5))  # √(0.3² + 0.4²)/2
    assert (mean.covariance, mean.deviation) == pytest.approx((-0.2, 5.0))


def test_windows_of_coasting() -> None:
    """Half a second between rows, 2 s to a window: four rows each, the last of seventeen begins one that is
    cut short."""
    times = [0.5 * row for row in range(17)]
    speeds = [30 - 0.5 * time for time in times]
    found = decelerations(times, speeds, [range(17)], 2.0)
    assert found == [pytest.approx((30 - 0.5 * middle, 0.5)) for middle in (0.75, 2.75, 4.75, 6.75)]
    assert len(decelerations(times, speeds, [range(16)], 2.0)) == 3
    assert len(decelerations(times, speeds, [range(9), range(9, 17)], 2.0)) == 2 + 1  # none over a gap
    assert decelerations(times, speeds, [range(17)], 1.0) == []  # two rows tell no scatter
    assert decelerations(times, [-one for one in speeds], [range(17)], 2.0) == []
    assert decelerations(times, [20.0] * 17, [range(17)], 2.0) == []
    lost = [nan if row == 1 else speed for row, speed in enumerate(speeds)]
    first, *_ = decelerations(times, lost, [range(17)], 2.0)
    assert first == pytest.approx((30 - 0.5 * (0 + 1.0 + 1.5) / 3, 0.5))
