"""Drives compared, part by part: the sums of a drive, the conditions of rows, slopes, weights and spreads."""

from __future__ import annotations

from math import nan, sqrt

import numpy as np
import pytest
from scipy.stats import linregress

from buildlog.diagnostics import MissingInput, NoSolution
from buildlog.kinds.models import drives
from buildlog.kinds.models.drives import Bin, Cell, Drive, Limits, Rules, Side, Spread, pair_of
from tests.kinds.models.test_drives import ONE_BIN, as_drive, drive
from tests.roads import log_of

CHANCE = np.random.default_rng(31)


def of_cells(cells: dict[Bin, Cell], memory: float = 1.0, interval: float = 1.0, **more: float) -> Drive:
    rows = sum(cell.rows for cell in cells.values())
    mean = more.get("mean", 300.0)
    return Drive(
        name="a",
        interval=interval,
        rows=rows,
        readings=rows,
        mean=mean,
        moments=None,
        cells=cells,
        memory=memory,
    )


# --- a bin --------------------------------------------------------------------------


def test_rows_brought_to_one_speed_are_those_less_the_slope() -> None:
    """numpy of each reading less slope · (speed − 20)."""
    speeds, values = CHANCE.uniform(15, 30, 40), CHANCE.normal(320, 2, 40)
    cell = drives._cell(values, speeds, 0.0)
    brought = cell.at_speed(20.0, 0.7)
    moved = values - 0.7 * (speeds - 20)
    assert brought.mean == pytest.approx(moved.mean())
    assert brought.squares == pytest.approx(((moved - moved.mean()) ** 2).sum())
    assert (brought.rows, brought.speed) == pytest.approx((40, speeds.mean()))
    # As much as the slope itself explains is all there is: never below nothing.
    assert Cell(rows=2, mean=1, squares=1, speed_squares=1, products=1).at_speed(0, 1).squares == 0
    assert Cell(rows=2, mean=1, squares=0.9, speed_squares=1, products=1).at_speed(0, 1).squares == 0


def test_a_bin_without_all_speeds_has_none() -> None:
    cell = drives._cell(np.array([1.0, 3.0]), np.array([5.0, nan]), 0.0)
    assert (cell.speed, cell.speed_squares, cell.products) == (0, 0, 0)
    assert (cell.rows, cell.mean, cell.squares) == (2, 2, 2)
    # q²/12 for each reading (JCGM 100:2008, F.2.2.1)
    assert drives._cell(np.array([1.0, 3.0]), np.array([5.0, 5.0]), 0.6).squares == pytest.approx(
        2 + 2 * 0.03
    )


# --- which rows count ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("limits", "rows"),
    [
        (Limits(channel="ambient_temperature", least=290.0), 3),
        (Limits(channel="ambient_temperature", most=290.0), 2),
        (Limits(channel="ambient_temperature", least=285.0, most=290.0), 1),
        (Limits(channel="ambient_temperature", least=290.0 * (1 + 1e-13)), 3),  # as it was converted
        (Limits(channel="ambient_temperature", most=290.0 * (1 - 1e-13)), 2),
    ],
)
def test_limits_are_among_what_is_compared(limits: Limits, rows: int) -> None:
    rules = Rules(bins=ONE_BIN.bins, limits=(limits,))
    log = log_of(range(4), value=[1, 2, 3, 4], road_speed=[9] * 4, ambient_temperature=[280, 290, 291, 300])
    found = drive(log, rules)
    assert found.kept == rows
    assert found.left_out == {"of another ambient_temperature": 4 - rows}


def test_a_row_is_counted_by_its_first_cause() -> None:
    """Four causes in the order of the columns: no reading, another temperature, outside the bins."""
    rules = Rules(
        bins=(("road_speed", (0.0, 10.0, 20.0)),),
        limits=(Limits(channel="ambient_temperature", least=280.0),),
    )
    log = log_of(
        range(6),
        value=[1, 2, nan, 4, 5, 6],
        road_speed=[5, nan, 5, 25, 5, 15],
        ambient_temperature=[290, 290, 270, 270, 270, 290],
    )
    found = drive(log, rules)
    assert found.left_out == {"without a reading": 2, "of another ambient_temperature": 2}
    assert {bin: cell.rows for bin, cell in found.cells.items()} == {(0,): 1, (1,): 1}
    assert (found.rows, found.readings) == (6, 5)
    assert found.mean == pytest.approx((1 + 2 + 4 + 5 + 6) / 5)


def test_the_edges_of_bins() -> None:
    """A row on an edge is of the bin above it; on the last it is outside."""
    rules = Rules(bins=(("road_speed", (0.0, 10.0, 20.0)),))
    log = log_of(range(5), value=[1] * 5, road_speed=[0, 10, 19.9, 20, -1])
    found = drive(log, rules)
    assert {bin: cell.rows for bin, cell in found.cells.items()} == {(0,): 1, (1,): 2}
    assert found.left_out == {"outside the bins": 2}


def test_what_is_needed_is_asked_for() -> None:
    rules = Rules(
        bins=(("road_speed", (0.0, 10.0)),),
        steady=(1.0, 5.0),
        limits=(Limits(channel="fan"), Limits(channel="road_speed")),
        above="ambient_temperature",
    )
    assert rules.channels == ("road_speed", "fan", "ambient_temperature")
    assert Rules(bins=(), steady=(1.0, 5.0)).channels == ("road_speed",)
    log = log_of(range(2), value=[1, 2], road_speed=[9, 9])
    with pytest.raises(MissingInput) as refused:
        drives.drive_of(log, rules, "after")
    assert refused.value.name == "after"
    assert "without fan" in refused.value.found
    with pytest.raises(NoSolution) as none:
        drives.drive_of(log_of(range(2), value=[nan, nan], road_speed=[9, 9]), ONE_BIN, "before")
    assert none.value.name == "before"


def test_the_speed_before_a_row_is_within_twice_what_may_be() -> None:
    """By hand: within ± 1 m/s for 2 s; a row in the first two seconds knows of no two seconds."""
    log = log_of(range(8), value=[1] * 8, road_speed=[10, 12, 11, 12, 12.1, 10, 10, 10])
    assert drives.steady_rows(log, 1.0, 2.0).tolist() == [
        False, False, True, True, True, False, False, True,
    ]  # fmt: skip
    assert drives.steady_rows(log, 1.0, 0.0).all()


# --- slopes and sides ---------------------------------------------------------------


def test_the_slope_is_that_of_all_bins_about_their_own_means() -> None:
    """scipy.stats.linregress of the deviations in both bins together."""
    speeds = [CHANCE.uniform(10, 20, 30), CHANCE.uniform(20, 30, 30)]
    values = [320 - 0.4 * one + CHANCE.normal(0, 0.5, 30) + 9 * place for place, one in enumerate(speeds)]
    both = of_cells({(n,): drives._cell(values[n], speeds[n], 0.0) for n in (0, 1)})
    x = np.concatenate([one - one.mean() for one in speeds])
    y = np.concatenate([one - one.mean() for one in values])
    assert drives._slope([both]) == pytest.approx(linregress(x, y).slope)
    assert drives._slope([of_cells({(0,): Cell(rows=2, mean=1, squares=1)})]) == 0


def test_a_difference_of_speed_inside_of_a_bin_is_taken_off() -> None:
    """Both sides at −0.5 K per m/s exactly, after 4 m/s faster: by hand 2 K less, which leaves nothing."""
    cells = [
        drives._cell(330 - 0.5 * speeds, speeds, 0.3)
        for speeds in (np.linspace(10, 14, 30), np.linspace(14, 18, 30))
    ]
    pair = pair_of(*([of_cells({(0,): cell})] for cell in cells))
    assert (pair.slope, pair.faster) == pytest.approx((-0.5, 4))
    assert pair.taken_off == pytest.approx(-2)
    assert pair.difference == pytest.approx(0, abs=1e-9)
    assert pair.before.level == pytest.approx(330 - 0.5 * 14)  # at the speed between both


def test_how_far_the_slope_may_be_off() -> None:
    """The standard uncertainty of a slope, s/√Σ(v − v̄)², of the residuals; times how much faster it was."""
    speeds = [np.linspace(10, 14, 30), np.linspace(14, 18, 30)]
    values = [330 - 0.5 * one + CHANCE.normal(0, 0.4, 30) for one in speeds]
    pair = pair_of(
        *([of_cells({(0,): drives._cell(v, s, 0.0)})] for v, s in zip(values, speeds, strict=True))
    )
    spread = pair._slope_spread
    squares = sum(float(((one - one.mean()) ** 2).sum()) for one in speeds)
    variances = [side.within[0] ** 2 for side in pair.sides]
    weighted = sum(
        v * float(((one - one.mean()) ** 2).sum()) for v, one in zip(variances, speeds, strict=True)
    )
    assert spread.deviation == pytest.approx(sqrt(weighted) / squares)
    assert (spread.share, spread.freedom) == pytest.approx((pair.faster**2, 58))
    assert spread.standard == pytest.approx(spread.deviation * pair.faster)
    still = pair_of([as_drive([1.0, 2.0, 4.0])], [as_drive([5.0, 6.0, 9.0])])
    assert still._slope_spread == Spread(0.0, 0.0, 1.0)


def test_shares_of_a_bin_go_by_time() -> None:
    """20 rows of 0.5 s and 30 rows of 1 s: 10 s and 30 s; the other bin has one of them alone."""
    first = of_cells(
        {
            (0,): Cell(rows=20, mean=300.0, squares=19.0, speed=10.0),
            (1,): Cell(rows=9, mean=310.0, squares=8.0),
        },
        memory=2.0,
        interval=0.5,
        mean=303.0,
    )
    second = of_cells({(0,): Cell(rows=30, mean=304.0, squares=29.0, speed=14.0)}, memory=3.0, mean=305.0)
    side = Side((first, second), {(0,): 0.75, (1,): 0.25})
    assert (side.share(first, (0,)), side.share(second, (0,))) == (0.25, 0.75)
    assert (side.seconds_in((0,)), side.rows_in((0,)), side.rows_in((1,))) == (40, 50, 9)
    assert side.effective_in((0,)) == 20 / 2 + 30 / 3
    assert (side.mean_in((0,)), side.speed_in((0,)), side.mean_in((1,))) == (303, 13, 310)
    assert side.level == 0.75 * 303 + 0.25 * 310
    assert side.plain_mean == pytest.approx((14.5 * 303 + 30 * 305) / 44.5)
    # Squares of rows that are worth fewer readings; a bin of a drive costs a degree of freedom.
    freedom = (29 / 2 - 2) + (30 / 3 - 1)
    assert side.within == pytest.approx((sqrt((27 / 2 + 29 / 3) / freedom), freedom))
    spread = side.spread_within({(0,): 0.75, (1,): 0.25})
    assert spread.share == pytest.approx(
        (0.75 * 0.25) ** 2 * 2 / 20 + (0.75 * 0.75) ** 2 * 3 / 30 + 0.25**2 * 2 / 9
    )
    assert (spread.deviation, spread.freedom) == side.within
    assert side.share_of_drives(side.weights) == pytest.approx((0.75 * 0.25 + 0.25) ** 2 + (0.75 * 0.75) ** 2)


def test_drives_that_were_in_no_bin_that_counts_are_in_the_plain_mean_alone() -> None:
    inside, outside = as_drive([300.0, 302.0]), as_drive([400.0, 402.0], bin=5)
    side = Side((inside, outside), {(0,): 1.0})
    assert side.drives == (inside,)
    assert (side.level, side.plain_mean) == (301, 351)


def test_how_drives_scatter_is_that_of_their_levels() -> None:
    """Of three drives in one bin, for as long: the standard deviation of their means, numpy.std(ddof=1)."""
    means = [300.0, 303.0, 309.0]
    side = Side(tuple(as_drive([one - 1, one + 1]) for one in means), {(0,): 1.0})
    assert side.levels == pytest.approx([-4, -1, 5])
    assert side.between == pytest.approx((np.std(means, ddof=1), 2))
    assert Side((as_drive([1.0, 2.0]),), {(0,): 1.0}).between == (0.0, 0.0)


def test_the_level_of_a_drive_scatters_as_drives_do() -> None:
    """Pooled over both sides by their degrees of freedom, or as the readings leave it where that is more."""
    means = [[300.0, 303.0, 309.0], [310.0, 310.4]]
    sides = [[as_drive([one - 0.01, one + 0.01] * 20) for one in side] for side in means]
    pair = pair_of(*sides)
    pooled = (2 * np.var(means[0], ddof=1) + np.var(means[1], ddof=1)) / 3
    assert pair.deviation_of_a_drive == pytest.approx(sqrt(pooled))
    noisy = pair_of([as_drive([300.0, 310.0] * 10)], [as_drive([300.0, 310.0] * 10)])
    # One drive of 20 readings each: s²/20 with s² = 25 · 20/19.
    assert noisy.deviation_of_a_drive == pytest.approx(sqrt(25 * 20 / 19 / 20))
    assert not noisy.rests_on_drives
    assert not noisy.drives_tell


# --- refusals -----------------------------------------------------------------------


def test_a_side_without_a_row_says_what_became_of_them() -> None:
    empty = drive(
        log_of(range(3), value=[1, 2, 3], road_speed=[90, 90, nan]),
        Rules(bins=(("road_speed", (0.0, 10.0)),)),
    )
    for name, sides in (
        ("before", ([empty], [as_drive([1, 2])])),
        ("after", ([as_drive([1, 2])], [empty, empty])),
    ):
        with pytest.raises(NoSolution) as refused:
            pair_of(*sides)
        counts = (2, 4)[name == "after"], (1, 2)[name == "after"]
        told = f"no row that counts: {counts[1]} without a reading, {counts[0]} outside the bins"
        assert (refused.value.name, refused.value.found) == (name, told)


@pytest.mark.parametrize(("rows", "enough"), [(2, True), (1, False)])
def test_a_side_has_one_reading_more_than_bins(rows: int, enough: bool) -> None:
    few = of_cells({(0,): Cell(rows=rows, mean=300.0, squares=1.0)})
    other = as_drive([1.0, 2.0, 3.0])
    if enough:
        assert pair_of([few], [other]).before.within[1] == 1
        return
    with pytest.raises(NoSolution) as refused:
        pair_of([few], [other])
    assert refused.value.name == "before"
    assert refused.value.found == "rows that are worth 1.0 independent readings, in 1 bin"
    two = of_cells({(0,): Cell(rows=1, mean=3.0, squares=0.0), (1,): Cell(rows=1, mean=3.0, squares=0.0)})
    with pytest.raises(NoSolution, match=r"worth 2\.0 independent readings, in 2 bins"):
        pair_of([other], [two])


def test_an_outlier_is_told_with_its_deviation() -> None:
    values = [300.0 + 0.1 * (-1) ** row for row in range(60)] + [306.0, 291.0]
    found = drive(log_of(range(62), value=values, road_speed=[9.0] * 62))
    assert found.outliers == 2
    assert found.outlying == pytest.approx(291 - 300, abs=0.2)
