"""The parts of the search for a lag, each by itself against numpy, scipy or by hand."""

from __future__ import annotations

from math import nan, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.signal import lsim
from scipy.stats import t as student

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.kinds.models import lagging
from buildlog.kinds.models.lagging import Lag, Stretch, find_lag, held_share, stretches_of
from tests.kinds.models.test_lagging import logged

DRAWS = np.random.default_rng(20)


# --- where both channels are read -------------------------------------------------------------


def stretches(leader: list[float], follower: list[float], *spans: range) -> list[tuple[list[float], ...]]:
    """Stretches of a log with a row each second, as lists."""
    times = [float(row) for row in range(len(leader))]
    found = stretches_of(times, leader, follower, spans or (range(len(leader)),))
    return [tuple(np.asarray(one).tolist() for one in (s.times, s.leader, s.follower)) for s in found]


def test_what_the_denser_channel_was_goes_straight_from_reading_to_reading() -> None:
    rare = [10, nan, nan, 40, nan, nan, 70]
    dense = [0, 2, nan, 4, 8, 16, 32]
    assert stretches(rare, dense) == [([0, 3, 6], [10, 40, 70], [0, 4, 32])]
    assert stretches(dense, rare) == [([0, 3, 6], [0, 4, 32], [10, 40, 70])]
    between = [nan, 0, nan, 6, nan, 12, nan]
    shared = [1, 1, 1, 3, 3, 3, 3]
    assert stretches(between, [nan, nan, 8, nan, nan, 20, nan]) == [([2, 5], [3, 12], [8, 20])]
    assert stretches(between, [float(one) for one in shared]) == [([1, 3, 5], [0, 6, 12], [1, 3, 3])]


@pytest.mark.parametrize(("missing", "whole"), [(1, True), (2, True), (3, False)])
@pytest.mark.parametrize("of_leader", [True, False])
def test_two_readings_that_fail_are_bridged_and_three_are_not(
    missing: int, whole: bool, of_leader: bool
) -> None:
    """By `_HOLE`: up to three and a half usual steps, that is two readings that fail."""
    holed = [float(row) for row in range(20)]
    holed[8 : 8 + missing] = [nan] * missing
    full = [float(row) for row in range(20)]
    found = stretches(holed, full) if of_leader else stretches(full, holed)
    compared = [times for times, *_ in found]
    if whole:  # at the times of the channel with fewer readings, the leader where they have as many
        assert [len(times) for times in compared] == [20 - missing if of_leader else 20]
    else:  # the row at the far side of the hole may count to it
        assert len(compared) == 2
        assert (compared[0][0], compared[0][-1], compared[1][-1]) == (0, 7, 19)
        assert 8 + missing <= compared[1][0] <= 9 + missing


def test_spans_are_not_joined_and_what_has_one_reading_is_none() -> None:
    ones = [float(row) for row in range(10)]
    assert [times for times, *_ in stretches(ones, ones, range(4), range(4, 10))] == [
        [0, 1, 2, 3],
        [4, 5, 6, 7, 8, 9],
    ]
    assert stretches(ones, ones, range(1)) == []
    assert len(stretches(ones, ones, range(2))) == 1
    once = [nan] * 10
    once[4] = 1.0
    assert stretches(ones, once) == []
    assert stretches(once, ones) == []


def test_before_the_first_reading_and_after_the_last_nothing_is_known() -> None:
    ones = [float(row) for row in range(10)]
    late = [nan, nan, *ones[2:8], nan, nan]
    assert [times for times, *_ in stretches(ones, late)] == [ones[2:8]]
    assert [times for times, *_ in stretches(late, ones)] == [ones[2:8]]


def test_the_share_of_rows_that_repeat_the_one_before() -> None:
    def of(*follower: float) -> Stretch:
        return Stretch(list(range(len(follower))), list(follower), list(follower))

    assert held_share([of(1, 1, 1, 2, 2)]) == 3 / 4
    assert held_share([of(1, 2, 3)]) == 0
    assert held_share([of(1, 1), of(1, 2), of(2, 2)]) == 2 / 3  # not from one to the other
    assert held_share([]) == 0


# --- the grid ---------------------------------------------------------------------------------


def ramp(rows: int, spacing: float = 0.1, start: float = 0.0) -> Stretch:
    times = np.asarray(start + spacing * np.arange(rows), dtype=np.float64)
    return Stretch(times, times, 2 * times)


def test_the_rows_that_are_compared() -> None:
    """Twice the search is left out ahead of a stretch, a quarter of it behind: 2 · 10 and 3 of 10 rows."""
    laid = lagging._lay([ramp(500)], 1.0)
    assert (laid.first, laid.last, laid.rows, laid.skipped) == (20, 3, 500 - 23, 0)
    assert laid.spacing == pytest.approx(0.1)
    assert len(laid.edges) == 40  # the most
    assert laid.edges[0] == 0
    assert np.diff(np.append(laid.edges, laid.rows)).min() >= 11  # 477/40
    short = lagging._lay([ramp(500)], 0.2)
    assert (short.first, short.last) == (4, 2)  # two at the least


@pytest.mark.parametrize(("rows", "skipped"), [(25, 1), (26, 0)])
def test_a_stretch_is_left_out_where_nothing_is_left_to_compare(rows: int, skipped: int) -> None:
    """More than 20 + 3 + 2 rows."""
    assert lagging._lay([ramp(500), ramp(rows)], 1.0).skipped == skipped


def test_the_blocks_are_half_a_search_long_or_five_rows() -> None:
    assert len(lagging._lay([ramp(23 + 60)], 1.0).edges) == 60 / 5
    assert len(lagging._lay([ramp(50 + 1 + 100 + 12)], 2.5).edges) == (163 - 50 - 7) // 12.5
    with pytest.raises(NoSolution) as refused:
        lagging._lay([ramp(23 + 39)], 1.0)
    told = refused.value
    assert (told.name, told.found) == ("log", "3.9 s of it can be compared")
    assert told.expected == "4 s, beside the 2.3 s at the ends of each stretch without a gap"
    assert told.help == "log for longer, or search for a shorter lag"
    assert len(lagging._lay([ramp(23 + 40)], 1.0).edges) == 8


def test_most_rows_are_the_limit_itself() -> None:
    assert lagging._lay([ramp(200_000 + 18, 0.125)], 1.0).rows == 200_000
    with pytest.raises(OutOfRange, match="200001 rows at one spacing"):
        lagging._lay([ramp(200_001 + 18, 0.125)], 1.0)


def test_a_search_has_two_rows_at_the_least() -> None:
    assert lagging._lay([ramp(100)], 0.2).first == 4
    assert lagging._lay([ramp(100)], 0.11).first == 4  # goes on to the row behind it
    with pytest.raises(OutOfRange) as refused:
        lagging._lay([ramp(100)], 0.1)
    assert (refused.value.name, refused.value.found) == ("search", "0.1 s in a log of a row every 0.1 s")


# --- correlations -----------------------------------------------------------------------------


def test_correlations_are_those_of_numpy_block_by_block() -> None:
    """numpy.corrcoef of the rows that are compared, those of a block as often as it is drawn."""
    leader, follower = DRAWS.standard_normal(200).cumsum(), DRAWS.standard_normal(200).cumsum()
    laid = lagging._lay([Stretch(0.5 * np.arange(200.0), leader, follower)], 5.0)
    weights = DRAWS.integers(0, 3, (4, len(laid.edges))).astype(float)
    shifts = [-2, 0, 3, 10]
    sums = lagging._leader_sums(laid, [leader], shifts, 1.0)
    got = lagging._correlations(weights, lagging._follower_sums(laid, 1.0), sums, 0.0)
    parts = np.split(np.arange(laid.rows), laid.edges[1:])
    for row, times in enumerate(weights):
        rows = np.concatenate([np.tile(part, int(often)) for part, often in zip(parts, times, strict=True)])
        for column, shift in enumerate(shifts):
            want = np.corrcoef(follower[laid.first + rows], leader[laid.first + rows - shift])[0, 1]
            assert got[row, column] == pytest.approx(want, rel=1e-9)


def test_the_noise_of_the_leader_is_no_part_of_its_variance() -> None:
    """Spearman's correction for attenuation: r √(s²/(s² − σ²))."""
    leader, follower = DRAWS.standard_normal(300).cumsum(), DRAWS.standard_normal(300).cumsum()
    laid = lagging._lay([Stretch(np.arange(300.0), leader, follower)], 5.0)
    every, own = lagging._all_blocks(laid), lagging._follower_sums(laid, 1.0)
    sums = lagging._leader_sums(laid, [leader], [0], 1.0)
    plain, less = (lagging._correlations(every, own, sums, noise)[0, 0] for noise in (0.0, 2.0))
    variance = leader[laid.first : 300 - laid.last].var()
    assert less / plain == pytest.approx(sqrt(variance / (variance - 2.0)), rel=1e-9)


def test_white_noise_is_measured_through_a_smooth_motion() -> None:
    """The sample variance of n draws is known to √(2/n), of third differences to some twice of that."""
    times = np.arange(20_000) / 10
    leader = 30 + 8 * np.sin(times / 5) + 0.3 * DRAWS.standard_normal(len(times))
    laid = lagging._lay([Stretch(times, leader, leader)], 1.0)
    assert lagging._noise_variance(laid) == pytest.approx(0.09, rel=0.06)


@pytest.mark.parametrize("seed", range(5))
def test_a_summit_is_that_of_the_polynomial_through_the_five_highest_points(seed: int) -> None:
    """numpy.polyfit and scipy.optimize.minimize_scalar."""
    draws = np.random.default_rng(seed)
    curve = (
        0.9 - ((np.arange(15) - 7 - draws.uniform(-0.45, 0.45)) / 9) ** 2 + 2e-4 * draws.standard_normal(15)
    )
    top = int(curve.argmax())
    polynomial = np.polynomial.Polynomial.fit(
        np.arange(top - 2, top + 3), curve[top - 2 : top + 3], 4, domain=[-1, 1]
    )
    best = minimize_scalar(lambda x: -polynomial(x), bounds=(top - 1, top + 1), options={"xatol": 1e-10})
    (place,), (height,) = lagging._summits(curve[None, :])
    assert place == pytest.approx(best.x, abs=1e-5)
    assert height == pytest.approx(polynomial(best.x), rel=1e-9)


@pytest.mark.parametrize("top", [0, 1, 2, 6, 7, 8])
def test_at_the_ends_a_summit_is_the_column(top: int) -> None:
    curve = -np.abs(np.arange(9.0) - top - 0.1)
    (place,), (height,) = lagging._summits(curve[None, :])
    if 2 <= top <= 6:
        assert abs(place - top) <= 1
        assert height >= curve[top]
    else:
        assert (place, height) == (top, curve[top])


def test_how_far_a_peak_reaches() -> None:
    """To the lowest place ahead of a rise of more than a tenth; a ripple near the top is none."""
    #         0    1    2    3    4     5    6     7    8    9    10
    curve = [0.6, 0.7, 0.2, 0.5, 0.95, 1.0, 0.96, 0.97, 0.5, 0.1, 0.9]
    assert lagging._hollows(np.array(curve), 5) == (2, 9)
    alone = [0.0, 0.3, 0.7, 1.0, 0.8, 0.4, 0.1]
    assert lagging._hollows(np.array(alone), 3) == (0, 6)


# --- what is refused, and in which words ------------------------------------------------------


def peak(curve: list[float], against: bool = False) -> float:
    return lagging._peak(np.array(curve), range(-2, len(curve) - 2), 0.5, 4.0, against)


def refusal(curve: list[float], against: bool = False) -> NoSolution:
    with pytest.raises(NoSolution) as refused:
        peak(curve, against)
    return refused.value


def test_a_peak_counts_from_a_correlation_of_a_half_on() -> None:
    curve = [0.1, 0.2, 0.3, 0.4, 0.5, 0.4, 0.3, 0.2, 0.1]
    assert peak(curve) == pytest.approx(2, abs=1e-9)
    weak = [0.99 * one for one in curve]
    told = refusal(weak)
    assert (told.name, told.found) == ("log", "a correlation of 0.49 at most, at 1 s")
    assert told.expected == "0.5 or more"
    assert told.help.startswith("take a part of the log in which both change")
    falling = [-one for one in curve]
    assert refusal(falling).help == "the follower goes the other way: sense: against"
    assert refusal(falling, against=True).help == "the follower goes the other way: sense: with"
    assert "sense" not in refusal([-one for one in weak]).help


def test_a_peak_at_an_end_of_the_search_is_none() -> None:
    ahead = refusal([0.9, 0.8, 0.7, 0.6, 0.5])
    assert (ahead.name, ahead.found) == ("log", "the follower ahead of the leader, by 1 s or more")
    behind = refusal([0.5, 0.6, 0.7, 0.8, 0.9])
    assert (behind.name, behind.found) == ("search", "a correlation that still rises at 4 s")
    assert peak([0.5, 0.6, 0.7, 0.8, 0.75]) == 1
    assert peak([0.5, 0.6, 0.5, 0.4, 0.3]) == -1


def stray(places: list[float], search: float = 40.0) -> NoSolution | None:
    """What is said of resamples with these peaks; the curve has hollows at 4 and 12, its peak at 8."""
    curve = np.array([0.5, 0.4, 0.3, 0.2, 0.0, 0.3, 0.6, 0.9, 1.0, 0.9, 0.6, 0.3, 0.0, 0.2, 0.3, 0.4, 0.5])
    try:
        lagging._refuse_stray(np.array(places), 8.0, curve, range(17), 0.5, search)
    except NoSolution as refused:
        return refused
    return None


def test_one_resample_in_twenty_may_have_its_peak_elsewhere() -> None:
    assert stray([8.0] * 19 + [14.0]) is None
    told = stray([8.0] * 37 + [14.0] * 3)
    assert told is not None
    assert told.found == "several peaks: at 4 s, and in 8 % of the resamples elsewhere, as at 7 s"
    assert stray([4.0, 12.0] * 20) is None  # the hollows themselves are of the peak
    assert stray([3.9] * 20) is not None
    assert stray([12.1] * 20) is not None


def test_a_lag_that_is_known_to_a_quarter_of_the_search_is_told() -> None:
    """Places at 6 and 10 rows of 0.5 s: by statistics.stdev 1.0127 s for 40 of them; 8 of that are 8.10 s."""
    places = [6.0, 10.0] * 20
    assert stray(places, 8.2) is None
    told = stray(places, 8.0)
    assert told is not None
    assert told.found == "a flat correlation: the lag is known to ± 2 s only"
    assert told.expected == "± 2 s, a quarter of the search, or better"


# --- dead time and time constant --------------------------------------------------------------


def test_an_instrument_shows_what_scipy_says_it_does() -> None:
    """scipy.signal.lsim of 1/(1 + τ s), whose input goes straight from reading to reading too."""
    leader = 20 + DRAWS.standard_normal(120).cumsum()
    laid = lagging._lay([Stretch(0.2 * np.arange(120.0), leader, leader)], 2.0)
    constants = np.array([0.0, 0.05, 0.3, 2.0])
    for constant, (shown, _) in zip(constants, lagging._sluggish(laid, constants), strict=True):
        want = leader
        if constant:
            _, late, _ = lsim(([1.0], [constant, 1.0]), leader - leader[0], np.arange(120) * 0.2)
            want = leader[0] + late
        np.testing.assert_allclose(shown[0], want, rtol=1e-9)


def test_what_an_instrument_leaves_of_white_noise() -> None:
    """The sum of the squares of its response to one reading that is off (lsim again)."""
    laid = lagging._lay([ramp(400, 0.2)], 2.0)
    constants = np.array([0.0, 0.05, 0.3, 2.0])
    times = np.arange(400) * 0.2
    one_off = (np.arange(400) == 5).astype(float)
    for constant, (_, gain) in zip(constants, lagging._sluggish(laid, constants), strict=True):
        response = lsim(([1.0], [constant, 1.0]), one_off, times)[1] if constant else one_off
        assert gain == pytest.approx(float((response**2).sum()), rel=1e-6)


def test_the_time_constants_that_are_tried() -> None:
    """None, and from a quarter of a row to the end of the search, each in one ratio to the one before."""
    constants = lagging._constants(0.4, 6.0)
    assert len(constants) == 32
    assert (constants[0], constants[1], constants[-1]) == (0, pytest.approx(0.1), pytest.approx(6.0))
    ratios = constants[2:] / constants[1:-1]
    np.testing.assert_allclose(ratios, ratios[0])


def test_the_vertex_of_a_parabola() -> None:
    x = np.array([1.0, 1.5, 2.6])
    assert lagging._vertex(x, 3 - 2 * (x - 1.7) ** 2) == pytest.approx(1.7)
    assert lagging._vertex(x, 3 - 2 * (x - 0.2) ** 2) == 1.0  # no further than the points
    assert lagging._vertex(x, 3 - 2 * (x - 9.0) ** 2) == 2.6
    assert lagging._vertex(x, 3 * x) == 1.5
    assert lagging._vertex(x, x**2) == 1.5


def test_the_best_time_constant_and_its_dead_time() -> None:
    constants = np.array([0.0, 1.0, 2.0, 4.0, 8.0])
    places = np.array([[9.0, 7.0, 6.0, 4.0, 1.0]] * 3)
    heights = np.array(
        [
            -((constants - 2.5) ** 2),  # between two of them: 6 − (2.5 − 2)/(4 − 2) · 2
            -constants,
            constants,
        ]
    )
    best, dead = lagging._best_constants(heights, places, constants)
    np.testing.assert_allclose(best, [2.5, 0.0, 8.0])
    np.testing.assert_allclose(dead, [5.5, 9.0, 1.0])


# --- the whole --------------------------------------------------------------------------------


def test_what_is_told_of_the_search() -> None:
    stretch = logged(3, seconds=100)
    lag = find_lag([stretch], 4.0)
    assert lag.spacing == pytest.approx(0.1)
    assert (lag.rows, lag.used, lag.skipped, lag.blocks) == (1000, 1000 - 80 - 10, 0, 40)
    assert lag.block_length == pytest.approx(91.0 / 40)
    assert [lag.shifts[0], lag.shifts[-1]] == pytest.approx([-1.0, 4.0])
    assert len(lag.shifts) == len(lag.correlations) == 51
    leader, follower = np.asarray(stretch.leader), np.asarray(stretch.follower)
    for shift in (-10, 0, 17, 40):
        want = np.corrcoef(follower[80:990], leader[80 - shift : 990 - shift])[0, 1]
        assert lag.correlation_at(shift / 10) == pytest.approx(want, rel=1e-9)
        assert lag.correlation_at(shift / 10 + 0.04) == lag.correlation_at(shift / 10)


def test_an_uncertainty_is_that_of_the_resamples_widened_for_few_blocks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """JCGM 100:2008, G.3.2: t of 95.45 % for the degrees of freedom, scipy.stats.t; beside it the limits of
    a twentieth and an eighth of a row, each a rectangular distribution, 4.3.7."""
    spread = np.linspace(-1, 1, 200)
    drawn_places = 17 + spread
    summits = lagging._summits
    monkeypatch.setattr(
        lagging,
        "_summits",
        lambda curves: (drawn_places + 10, None) if len(curves) == 200 else summits(curves),
    )
    parted = lagging._Parted(
        time_constant=0.1, dead_time=1.6, time_constant_deviation=0.3, dead_time_deviation=0.2
    )
    monkeypatch.setattr(lagging, "_parted", lambda *_: parted)
    lag: Any = find_lag([logged(3, seconds=100)], 4.0)
    widened = student.ppf(0.5 + 0.9545 / 2, 39) / 2
    for got, deviation, share in (
        (lag.lag_standard, 0.1 * spread.std(ddof=1), 1 / 20),
        (lag.dead_time_standard, 0.2, 1 / 8),
        (lag.time_constant_standard, 0.3, 1 / 8),
    ):
        want = sqrt((deviation * widened) ** 2 + (0.1 * share) ** 2 / 3)
        assert got == pytest.approx(want, rel=1e-4)
    assert isinstance(lag, Lag)
