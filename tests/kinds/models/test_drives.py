"""Drives compared within bins, on logs that are made here and have a known change in them."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, nan, sqrt
from statistics import fmean

import numpy as np
import pytest
from scipy import stats

from buildlog.diagnostics import MissingInput, NoSolution
from buildlog.kinds.logs import Log
from buildlog.kinds.models import drives
from buildlog.kinds.models.drives import Bin, Cell, Drive, Limits, Rules, Side, Spread
from buildlog.kinds.models.readings import COVERAGE
from tests.roads import log_of, road, slow
from tests.simulated_runs import KMH

EVERY_TEN = Rules(bins=(("road_speed", tuple(edge * KMH for edge in range(0, 150, 10))),))
ONE_BIN = Rules(bins=(("road_speed", (0.0, 100.0)),))


def drive(log: Log, rules: Rules = EVERY_TEN) -> Drive:
    return drives.drive_of(log, rules, "before")


# --- one log -------------------------------------------------------------------------------------------


def test_rows_go_to_their_bins_and_those_that_do_not_count_are_counted_by_cause() -> None:
    log = log_of(
        range(8),
        value=[300, 301, nan, 303, 304, 305, 306, 307],
        road_speed=[one * KMH for one in (10, 19.9, 25, 20, 29, 35, nan, 5)],
        throttle=[0.5, 0.5, 0.5, 0.5, 0.1, 0.9, 0.5, 0.5],
    )
    rules = Rules(
        bins=(("road_speed", (10 * KMH, 20 * KMH, 30 * KMH)),),
        limits=(Limits(channel="throttle", least=0.2, most=0.8),),
    )
    found = drive(log, rules)
    # A row at an edge, of 20 km/h, belongs to the bin above it.
    assert {bin: (cell.rows, cell.mean) for bin, cell in found.cells.items()} == {
        (0,): (2, 300.5),
        (1,): (1, 303.0),
    }
    assert found.left_out == {"without a reading": 2, "of another throttle": 2, "outside the bins": 1}
    assert found.rows == 8
    assert found.kept == 3
    assert (found.readings, found.mean) == (7, fmean([300, 301, 303, 304, 305, 306, 307]))


def test_an_edge_that_was_converted_keeps_its_rows() -> None:
    # 30 km/h is 18.641135767120 mph (0.44704 m/s each); back again it is off by its last bits.
    edge = 18.641135767120018 * 0.44704
    rules = Rules(bins=(("road_speed", (edge * (1 + 1e-15), 20.0)),))
    assert drive(log_of([0, 1], value=[1, 2], road_speed=[30 / 3.6, 10.0]), rules).kept == 2


# By hand: 3 s of speeds within ± 1 m/s before a row; the gap and the missing reading begin anew.
def test_steady_rows() -> None:
    speeds = [10, 11, 12, 11, 11, 11, 13, 12, 12, 12, nan, 12, 12, 12, 12, 20, 20, 20, 20]
    log = log_of(range(19), (range(13), range(13, 19)), road_speed=speeds)
    steady = drives.steady_rows(log, 1.0, 3.0)
    assert np.flatnonzero(steady).tolist() == [3, 4, 5, 6, 7, 8, 9, 18]


# By brute force: every row against all rows of the time before it.
def test_steady_rows_as_by_brute_force() -> None:
    chance = np.random.default_rng(12)
    times = np.cumsum(chance.uniform(0.2, 1.0, 400))
    speeds = 20 + slow(chance, 400, 15, 2)
    speeds[chance.integers(0, 400, 5)] = nan
    spans = (range(150), range(150, 400))
    found = drives.steady_rows(log_of(times, spans, road_speed=speeds), 1.5, 6.0)
    wanted = []
    for span in spans:
        for row in span:
            early = [one for one in span if times[one] <= times[row] - 6.0]
            own = speeds[early[-1] : row + 1] if early else np.array([nan])
            wanted.append(bool(np.isfinite(own).all() and own.max() - own.min() <= 3.0))
    assert found.tolist() == wanted
    assert 20 < sum(wanted) < 350


def test_outliers_are_counted_and_stay() -> None:
    chance = np.random.default_rng(3)
    values = 300 + chance.normal(0, 1, 1000)
    values[500], values[700] = 340.0, 280.0
    found = drive(log_of(range(1000), value=values, road_speed=[20.0] * 1000))
    assert found.outliers == 2
    assert found.outlying == pytest.approx(40, abs=0.2)
    assert found.kept == 1000
    assert found.cells[(7,)].mean == pytest.approx(float(values.mean()))


def test_a_sensor_with_coarse_steps_has_no_outliers_a_step_away() -> None:
    chance = np.random.default_rng(4)
    values = np.round(300 + chance.normal(0, 0.2, 1000))
    log = log_of(range(1000), value=values, road_speed=[20.0] * 1000)
    object.__setattr__(log, "steps", {"value": 1.0})
    assert drive(log).outliers == 0


# q²/12 for each reading: JCGM 100:2008, F.2.2.1.
def test_the_quantum_is_in_the_scatter() -> None:
    values = [300.0, 301.0] * 50
    plain = drive(log_of(range(100), value=values, road_speed=[20.0] * 100))
    coarse = drive(log_of(range(100), quantum=1.0, value=values, road_speed=[20.0] * 100))
    assert coarse.squares - plain.squares == pytest.approx(100 / 12)


# numpy 2: corrcoef.
def test_moments_give_the_correlation_with_speed() -> None:
    log = road(np.random.default_rng(5), 600, 60, 0)
    products, speeds, squares = drive(log).moments or (0, 0, 0)
    assert products / sqrt(speeds * squares) == pytest.approx(
        np.corrcoef(log.values["value"], log.values["road_speed"])[0, 1]
    )


def test_a_log_without_a_channel_that_is_needed() -> None:
    with pytest.raises(MissingInput, match="road_speed among its columns"):
        drive(log_of(range(3), value=[1, 2, 3]))
    with pytest.raises(NoSolution, match="without a reading of what is compared"):
        drive(log_of(range(3), value=[nan] * 3, road_speed=[1, 2, 3]))


def test_what_is_above_another_channel() -> None:
    rules = Rules(bins=ONE_BIN.bins, above="ambient_temperature")
    log = log_of([0, 1], value=[320, 323], road_speed=[9, 9], ambient_temperature=[290, 291])
    assert drive(log, rules).cells[(0,)].mean == 31


# --- two sides -----------------------------------------------------------------------------------------


def as_drive(values: Sequence[float], name: str = "a", memory: float = 1.0, bin: int = 0) -> Drive:
    """Independent readings in one bin."""
    mean = fmean(values)
    return Drive(
        name=name,
        interval=1.0,
        rows=len(values),
        readings=len(values),
        mean=mean,
        moments=None,
        cells={(bin,): Cell(rows=len(values), mean=mean, squares=sum((one - mean) ** 2 for one in values))},
        memory=memory,
    )


# scipy.stats.ttest_ind(equal_var=False), scipy 1: the interval of 95.45 % of independent readings in one bin.
def test_one_bin_of_independent_readings_is_welch() -> None:
    chance = np.random.default_rng(6)
    before, after = chance.normal(320, 3, 25).tolist(), chance.normal(316, 1.2, 14).tolist()
    pair = drives.pair_of([as_drive(before)], [as_drive(after)])
    found = stats.ttest_ind(after, before, equal_var=False).confidence_interval(COVERAGE)
    width = pair.half_width(pair.weights)
    assert pair.difference - width == pytest.approx(found.low, rel=1e-9)
    assert pair.difference + width == pytest.approx(found.high, rel=1e-9)


# The same of drives: what is compared are their means.
def test_drives_in_one_bin_are_welch_over_drives() -> None:
    chance = np.random.default_rng(7)
    before, after = chance.normal(320, 3, 4).tolist(), chance.normal(310, 2, 3).tolist()

    def of(mean: float) -> Drive:
        return as_drive([mean - 0.01, mean + 0.01] * 20)

    pair = drives.pair_of([of(one) for one in before], [of(one) for one in after])
    found = stats.ttest_ind(after, before, equal_var=False).confidence_interval(COVERAGE)
    width = pair.half_width(pair.weights)
    assert pair.rests_on_drives
    assert (pair.difference - width, pair.difference + width) == pytest.approx((found.low, found.high))


# One value against several, whose deviation is for both (ttest_ind with equal_var=True, n₁ = 1).
def test_a_single_drive_against_several() -> None:
    after = [310.0, 313.0, 308.0, 311.5]
    pair = drives.pair_of(
        [as_drive([319.99, 320.01] * 20)], [as_drive([one - 0.01, one + 0.01] * 20) for one in after]
    )
    width = pair.half_width(pair.weights)
    spread = stats.tstd(after) * sqrt(1 + 1 / 4)
    assert width == pytest.approx(stats.t.ppf((1 + COVERAGE) / 2, 3) * spread)


# Two drives that agree by chance: the readings within them are still what they are.
def test_no_narrower_than_the_readings_leave_it() -> None:
    values = [300.0, 310.0] * 10
    pair = drives.pair_of([as_drive(values), as_drive(values)], [as_drive(values), as_drive(values)])
    assert not pair.rests_on_drives
    # s of 40 readings of ± 5 about the mean, less the two means: 5 √(40/38); twice over √40, and Student's t.
    standard = 5 * sqrt(40 / 38) * sqrt(2 / 40)
    assert pair.half_width(pair.weights) == pytest.approx(stats.t.ppf(0.97725, 76) * standard, rel=1e-6)


# By hand: times 10 and 30 s, and 20 and 5 s: 10·30/40 = 7.5 and 20·5/25 = 4.
def test_bins_weigh_by_the_time_on_both_sides() -> None:
    def side(*counts: int) -> list[Drive]:
        cells: dict[Bin, Cell] = {
            (number,): Cell(rows=count, mean=300.0 + number, squares=float(count))
            for number, count in enumerate(counts)
            if count
        }
        return [
            Drive(
                name="a",
                interval=1.0,
                rows=99,
                readings=99,
                mean=300.0,
                moments=None,
                cells=cells,
                memory=1.0,
            )
        ]

    pair = drives.pair_of(side(10, 20, 7), side(30, 5, 0))
    assert pair.weights == {(0,): pytest.approx(7.5 / 11.5), (1,): pytest.approx(4 / 11.5)}
    assert pair.only_before == ((2,),)
    assert pair.only_after == ()
    assert pair.difference == pytest.approx(0)


def test_sides_that_never_met() -> None:
    with pytest.raises(NoSolution, match="no bin that both sides have"):
        drives.pair_of([as_drive([1, 2, 3], bin=0)], [as_drive([1, 2, 3], bin=1)])


def test_rows_that_are_one_reading_tell_nothing() -> None:
    with pytest.raises(NoSolution, match=r"worth 1\.0 independent readings, in 1 bin,"):
        drives.pair_of([as_drive([1, 2, 3])], [as_drive([5, 5, 5], memory=3.0)])


def test_drives_without_a_bin_in_common_do_not_tell_how_drives_scatter() -> None:
    apart = [as_drive([1, 2, 3, 4], bin=0), as_drive([7, 8, 9, 8], bin=1)]
    side = Side(tuple(apart), {(0,): 0.5, (1,): 0.5})
    assert side.levels == ()
    assert side.between == (0.0, 0.0)


# A drive that saw other speeds is no other level: by hand, bins of 300 and 310, drives at 0 and +2.
def test_levels_of_drives_that_saw_other_bins() -> None:
    def one(offset: float, first: int, second: int) -> Drive:
        return Drive(
            name="a",
            interval=1.0,
            rows=99,
            readings=99,
            mean=300.0,
            moments=None,
            cells={
                (0,): Cell(rows=first, mean=300 + offset, squares=1.0),
                (1,): Cell(rows=second, mean=310 + offset, squares=1.0),
            },
            memory=1.0,
        )

    side = Side((one(0, 90, 10), one(2, 5, 60)), {(0,): 0.5, (1,): 0.5})
    assert side.levels == pytest.approx((-1, 1))


def test_a_spread_of_nothing() -> None:
    assert drives.half_width(Spread(0.0, 1.0, inf)) == 0.0


# --- whether it holds: drives of a known change --------------------------------------------------------

DRIVES = 120


def tried(before: int, after: int, **made: float) -> tuple[float, float, float]:
    """How often the interval holds the change of −6 K, the mean result, and that of the plain means."""
    held, found, plain = 0, [], []
    for seed in range(DRIVES):
        chance = np.random.default_rng(seed)
        count = 1500 if before == 1 else 900
        pair = drives.pair_of(
            [drive(road(chance, count, 75, 0.0, **made)) for _ in range(before)],
            [drive(road(chance, count, 50, -6.0, **made)) for _ in range(after)],
        )
        held += abs(pair.difference + 6) <= pair.half_width(pair.weights)
        found.append(pair.difference)
        plain.append(pair.after.plain_mean - pair.before.plain_mean)
    return held / DRIVES, fmean(found), fmean(plain)


# Own simulation with a known change. Of 120 seeds 95.45 % are 114.5 ± 2.3: 90 % and less would be 3 σ off.
# Drives are slower after, by 25 km/h of 0.35 K: 8.75 K up, so that the plain means show a rise of nearly 3 K.
@pytest.mark.parametrize("memory", [2.0, 20.0])
def test_a_drive_on_each_side_holds_the_change(memory: float) -> None:
    held, found, plain = tried(1, 1, memory=memory)
    assert held > 0.90
    assert found == pytest.approx(-6, abs=0.3)
    assert plain == pytest.approx(2.75, abs=0.5), "the traffic turned a fall into a rise"


# Welch of two or three is on the safe side where the sides scatter alike: no upper bound here.
def test_drives_that_differ_are_what_counts() -> None:
    held, found, _ = tried(3, 3, deviation=2.0, of_a_drive=2.0)
    assert held > 0.90
    assert found == pytest.approx(-6, abs=0.6)


def test_one_drive_each_does_not_know_how_drives_differ() -> None:
    """The reason for its remark: with drives that scatter by 2 K, an interval of the rows is too narrow."""
    held, _, _ = tried(1, 1, memory=2.0, deviation=2.0, of_a_drive=2.0)
    assert held < 0.5


# A bay that takes 45 s to warm and cool; after is stop and go. Without a change at all, rows of whatever
# moment show one of kelvins; rows after two minutes of steady speed do not.
def test_what_is_slow_still_feels_the_speed_before() -> None:
    def made(chance: np.random.Generator, targets: Sequence[float]) -> Log:
        speeds: list[float] = []
        values: list[float] = []
        inlet = 330.0
        for target in targets:
            for _ in range(int(chance.integers(150, 200))):
                speed = speeds[-1] if speeds else 20.0
                speeds.append(speed + max(-2.0, min(1.0, target - speed)))
                inlet += (340 - 1.2 * speeds[-1] - inlet) / 45
                values.append(inlet + chance.normal(0, 0.3))
        return log_of(range(len(speeds)), value=values, road_speed=speeds)

    bins = (("road_speed", (0.0, 8.0, 16.0, 24.0, 32.0)),)
    off: dict[bool, list[float]] = {True: [], False: []}
    for seed in range(8):
        chance = np.random.default_rng(seed)
        before = made(chance, [20, 28, 20, 28] * 3)
        after = made(chance, [4, 20, 4, 28] * 3)
        for steady in off:
            rules = Rules(bins=bins, steady=(1.0, 120.0) if steady else None)
            pair = drives.pair_of([drive(before, rules)], [drive(after, rules)])
            off[steady].append(pair.difference)
    assert fmean(off[False]) > 2.0
    assert abs(fmean(off[True])) < 0.2 * fmean(off[False])


# --- how many drives -----------------------------------------------------------------------------------


def power(count: int, relative: float) -> float:
    """scipy.stats.nct, scipy 1: the exact power of the two-sided t test of 5 % with n on each side."""
    freedom, shift = 2 * count - 2, 1 / relative / sqrt(2 / count)
    edge = stats.t.ppf(0.975, freedom)
    return float(stats.nct.sf(edge, freedom, shift) + stats.nct.cdf(-edge, freedom, shift))


@pytest.mark.parametrize("relative", [0.2, 0.5, 0.8, 1.0, 1.6, 3.0])
def test_drives_needed_have_the_power_that_is_said(relative: float) -> None:
    count = int(drives.drives_needed(relative))
    assert power(count, relative) >= 0.795
    assert count == 2 or power(count - 1, relative) < 0.805


# By hand: 20 readings of ± 5 in each of two drives a side, s = 5 √(40/38) as above; of one drive s / √20.
def test_the_level_of_a_drive_is_no_surer_than_its_readings() -> None:
    values = [300.0, 310.0] * 10
    pair = drives.pair_of([as_drive(values), as_drive(values)], [as_drive(values), as_drive(values)])
    assert pair.deviation_of_a_drive == pytest.approx(5 * sqrt(40 / 38) / sqrt(20))
    single = drives.pair_of([as_drive(values)], [as_drive(values)])
    assert single.deviation_of_a_drive == pytest.approx(5 * sqrt(20 / 19) / sqrt(20))
    # 2 K apart, and 1 and 3 K about their means: the scatter of drives, √((2 + 18) / 2).
    apart = drives.pair_of(
        [as_drive([one - 0.01, one + 0.01] * 20) for one in (300.0, 302.0)],
        [as_drive([one - 0.01, one + 0.01] * 20) for one in (300.0, 306.0)],
    )
    assert apart.deviation_of_a_drive == pytest.approx(sqrt(10))


def test_drives_that_nobody_drives() -> None:
    with pytest.raises(NoSolution, match="1000 drives"):
        drives.drives_needed(20.0)
