"""How passages are found, part by part: in closed form, by numpy and scipy, and by hand."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

import numpy as np
import pytest
from scipy.linalg import toeplitz

from buildlog.kinds.models import passages
from buildlog.kinds.models.passages import (
    Broken,
    Crossing,
    Passage,
    Wanted,
    find_passages,
    remembered,
    why_none,
)
from tests.kinds.models.test_passages import KMH, SIXTY_TO_HUNDRED, logged, one


def rows_of(
    speeds: Sequence[float], step: float = 1.0, quantum: float = 0.0, margin: float = 0.0
) -> passages._Rows:
    rows = passages._Rows(logged([step * row for row in range(len(speeds))], speeds, quantum=quantum))
    rows.margin = margin
    return rows


# --- noise and margin -------------------------------------------------------------------------


def noisy(deviation: float, count: int = 4000, step: float = 0.1) -> list[float]:
    times = step * np.arange(count)
    draws = np.random.default_rng(5)
    return list(20 + 8 * np.sin(times / 20) + deviation * draws.standard_normal(count))


def test_noise_is_that_of_single_readings() -> None:
    """White noise of σ: third differences have σ √20, the median of their amounts is 0.6745 of that."""
    rows = passages._Rows(logged([0.1 * row for row in range(4000)], noisy(0.2)))
    assert rows.noise == pytest.approx(0.2, rel=0.05)
    assert rows.margin == pytest.approx(3 * rows.noise, rel=1e-12)  # by its docstring


def test_what_a_step_makes_is_no_noise_of_the_readings() -> None:
    """A step q makes q/√12; noise of 0.2 m/s read to 0.5 m/s: what is left beside is 0.2 again."""
    read = [round(speed / 0.5) * 0.5 for speed in noisy(0.2)]
    rows = passages._Rows(logged([0.1 * row for row in range(4000)], read, quantum=0.5))
    third = float(np.median(np.abs(np.diff(read, 3)))) / (0.6745 * sqrt(20))
    assert rows.noise == pytest.approx(sqrt(max(third**2 - 0.5**2 / 12, 0)), rel=1e-9)
    assert rows.margin == 1.0  # two steps, more than three deviations of 0.2


def test_where_rows_rise_by_more_neither_noise_nor_step_is_in_the_way() -> None:
    climbing = [3.0 + row for row in range(20)]
    assert passages._Rows(logged(range(20), climbing, quantum=0.4)).margin == 0  # 0.8 beside 1
    assert passages._Rows(logged(range(20), climbing, quantum=0.6)).margin == 1.2


@pytest.mark.parametrize(("moving", "told"), [(7, False), (8, True)])
def test_of_few_rows_of_a_moving_car_no_noise_is_told(moving: int, told: bool) -> None:
    """More than 2 m/s; the three rows ahead of a third difference are not among them."""
    speeds = [0.0] * 3 + [2.0] * 4 + [2.0 + 0.5 * (-1) ** row + 1 for row in range(moving)]
    assert (passages._Rows(logged(range(len(speeds)), speeds)).noise > 0) is told


# --- gaps -------------------------------------------------------------------------------------


def test_where_the_time_between_two_readings_is_a_gap() -> None:
    """Longer than five usual steps."""
    times = [0, 1, 2, 3, 4, 9, 10, 11, 17, 18, 19, 20]
    rows = passages._Rows(logged(times, [5.0] * 12))
    assert rows.breaks == [8]
    assert rows.broken(0, 7) is None
    assert rows.broken(0, 8) == Broken(start=11, end=17)
    assert rows.broken(7, 11) == Broken(start=11, end=17)
    assert rows.broken(8, 11) is None
    parted = passages._Rows(logged(times, [5.0] * 12, spans=(range(0, 2), range(2, 12))))
    assert parted.breaks == [2, 8]
    assert parted.broken(0, 11) == Broken(start=1, end=2)


# --- levels -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("speeds", "margin", "found"),
    [
        ([8, 9, 10, 11], 0.0, [(1, 2)]),  # the level itself is reached
        ([8, 11, 8, 11], 0.0, [(0, 1), (2, 3)]),
        ([10, 11, 12], 0.0, []),  # never below
        ([8, 9.5, 10.5, 9.5, 11], 1.0, [(0, 4)]),  # to and fro within the margin
        ([9, 11], 1.0, []),  # at the margin is not below it
        ([8.9, 10.9, 11], 1.0, [(0, 2)]),
        ([8, 12, 9, 12], 1.0, [(0, 1)]),
        ([8, 12, 8, 8.5, 12], 1.0, [(0, 1), (3, 4)]),
    ],
)
def test_where_a_level_is_crossed_upwards(
    speeds: list[float], margin: float, found: list[tuple[int, int]]
) -> None:
    assert list(rows_of(speeds).rises(10, margin)) == found


@pytest.mark.parametrize(
    ("speeds", "margin", "found"),
    [
        ([8, 9, 10, 11], 0.0, (1, 2)),
        ([8, 9, 9.9], 0.0, None),
        ([10, 11], 0.0, None),  # before the log begins
        ([8, 10.5, 9.5, 10.5, 11, 12], 1.0, (0, 4)),  # from below by a margin to above by one
        ([8, 10.5, 5, 10.5, 12], 1.0, (0, 1)),  # it fell by more than four margins
        ([8, 10.5, 6, 10.5, 12], 1.0, (2, 4)),  # by four it did not
        ([8, 9, 10.5, 10.9], 1.0, (1, 2)),  # it went no further up
        ([8.5, 9.5, 10.5, 11], 1.0, (0, 3)),
    ],
)
def test_where_a_level_is_first_reached(
    speeds: list[float], margin: float, found: tuple[int, int] | None
) -> None:
    rows = rows_of(speeds, margin=margin)
    assert rows.reached(10, 0, len(speeds)) == found


def test_a_level_is_looked_for_between_two_rows_only() -> None:
    rows = rows_of([8, 12, 8, 9, 12, 13])
    assert rows.reached(10, 2, 6) == (3, 4)
    assert rows.reached(10, 2, 4) is None
    assert rows.reached(12, 0, 1) is None


# --- a crossing -------------------------------------------------------------------------------


def test_a_crossing_of_two_rows_is_on_the_line_between_them() -> None:
    """Rows at 0, 2, 6, 12, 20 m/s every half second. At 9 m/s: half way from 6 to 12, rising by 12 m/s². The
    second differences there are 2 and 2, an eighth of which is 0.25 m/s. The rise from 2 to 20 m/s is 12."""
    rows = rows_of([0.0, 2.0, 6.0, 12.0, 20.0], step=0.5, quantum=0.2)
    rows.noise = 0.3
    found = rows.crossing(2, 3, 7.5)
    assert found.time == pytest.approx(1.0 + 0.25 * 0.5)
    assert found.slope == 12
    assert found.doubt == pytest.approx(hypot(0.1, 0.25) / sqrt(3) / 12)
    assert found.noise == pytest.approx(0.3 * hypot(0.75, 0.25) / 12)
    assert found.keeps is None  # too few to tell


def test_the_wide_rise_counts_where_it_is_less() -> None:
    """2.0 m/s in a row beside 3.0 in three."""
    rows = rows_of([4.5, 5.0, 7.0, 7.5])
    rows.noise = 0.1
    assert rows.crossing(1, 2, 6).noise == pytest.approx(0.1 * hypot(0.5, 0.5) / 1.0)
    falls = rows_of([9.0, 5.0, 7.0, 6.0])
    falls.noise = 0.1
    assert falls.crossing(1, 2, 6).noise == pytest.approx(0.1 * hypot(0.5, 0.5) / 2.0)
    at_the_ends = rows_of([5.0, 7.0])
    assert at_the_ends._wide(0, 1) == 2


def test_a_crossing_of_many_rows_is_on_the_line_through_them_and_as_many_on_either_side() -> None:
    """numpy.polyfit of rows 2 to 11, from 5 − 3 to 8 + 3."""
    draws = np.random.default_rng(8)
    speeds = [10 + 0.5 * row + float(draws.normal(0, 0.8)) for row in range(14)]
    found = rows_of(speeds, step=0.2).crossing(5, 8, 13.0)
    times = 0.2 * np.arange(14)
    slope, offset = np.polyfit(times[2:12], speeds[2:12], 1)
    assert found.time == pytest.approx((13.0 - offset) / slope)
    assert found.slope == pytest.approx(slope)
    # The standard uncertainty of a line there (ISO/TS 28037:2010, 6.2), and the bend from row 2 to row 11.
    residuals = np.asarray(speeds[2:12]) - offset - slope * times[2:12]
    scatter = sqrt(float(residuals @ residuals) / 8)
    middle = times[2:12].mean()
    about = scatter * sqrt(1 / 10 + (found.time - middle) ** 2 / ((times[2:12] - middle) ** 2).sum())
    bend = abs(speeds[2] - 2 * speeds[6] + speeds[11]) / 8
    assert found.doubt == pytest.approx(hypot(bend / sqrt(3), about) / slope, rel=1e-6)


def test_the_bend_between_two_rows() -> None:
    """An eighth of the larger second difference: of v = t² it is 2 everywhere, of its end one alone."""
    rows = rows_of([0.0, 1.0, 4.0, 9.0, 26.0])
    assert rows._bend(1, 2) == 2 / 8
    assert rows._bend(2, 3) == 12 / 8
    assert rows._bend(0, 1) == 2 / 8
    assert rows._bend(3, 4) == 12 / 8
    assert rows._bend(0, 4) == abs(0 - 8 + 26) / 8
    assert rows.bend_after(2) == rows._bend(2, 3)
    assert rows_of([1.0, 2.0])._bend(0, 1) == 0


# --- one pull ---------------------------------------------------------------------------------


def test_a_foot_that_goes_down_is_a_kink() -> None:
    """Half a second before and after, at 10 rows a second: 1 m/s² before, and then 1.2 or 1.5 m/s²."""
    for after, kink in ((1.0, False), (1.4, False), (1.45, True), (0.75, False), (0.65, True), (-1.0, True)):
        speeds = [10 + 0.1 * row for row in range(11)]
        speeds += [11 + after * 0.1 * row for row in range(1, 11)]
        assert rows_of(speeds, step=0.1)._is_kink(10) is kink, after
    assert rows_of([10.0] * 4, step=0.1)._is_kink(0)  # nothing before
    assert rows_of([10.0] * 4, step=0.1)._is_kink(3)  # nothing after


def test_noise_makes_no_kink() -> None:
    speeds = [10 + 0.1 * row for row in range(11)] + [11 + 0.3 * row for row in range(1, 11)]
    rows = rows_of(speeds, step=0.1)
    assert rows._is_kink(10)  # 1 m/s² and 3 m/s²: 2 beside 0.3 · 3 = 0.9
    rows.noise = 0.1  # 5 · 0.1 / 0.5 = 1 beside it
    assert rows._is_kink(10)
    rows.noise = 0.12
    assert not rows._is_kink(10)
    rows.noise, rows.quantum = 0.0, 0.12 * sqrt(12)
    assert not rows._is_kink(10)


def test_a_stretch_goes_from_kink_to_kink_but_four_seconds_at_most() -> None:
    """A pull of 1 m/s² from 3 s to 8 s between cruising, at 10 rows a second."""
    speeds = [10 + min(max(0.1 * row - 3, 0), 5) for row in range(120)]
    rows = rows_of(speeds, step=0.1)
    first, last = rows._stretch(54, 55)
    assert 30 < first <= 36
    assert 74 <= last < 80
    long = rows_of([10 + 0.1 * row for row in range(200)], step=0.1)
    first, last = long._stretch(99, 100)
    assert (first, last) == (59, 140)
    gap = rows_of([10 + 0.1 * row for row in range(200)], step=0.1)
    gap.breaks = [80, 120]
    assert gap._stretch(99, 100) == (80, 119)


# --- noise that remembers ---------------------------------------------------------------------


@pytest.mark.parametrize(("keeps", "count"), [(0.0, 5), (0.5, 2), (0.9, 30), (0.97, 7)])
def test_the_mean_of_readings_that_remember(keeps: float, count: int) -> None:
    """1ᵀ R 1 / n² with the matrix R of correlations ρ^|i−j| (scipy.linalg.toeplitz)."""
    correlations = toeplitz(keeps ** np.arange(count))
    assert passages._share_in_a_mean(keeps, count) == pytest.approx(correlations.sum() / count**2)


def by_full_matrices(times: np.ndarray, speeds: np.ndarray) -> tuple[float, float]:
    """The same by its definition, with the whole matrix of correlations and no whitening: the restricted
    likelihood −(log|R| + log|Xᵀ R⁻¹ X| + (n − p) log(yᵀ P y))/2, as in R. Christensen, Plane Answers to
    Complex Questions (from memory), of a cubic in time and the shares that are tried."""
    design = np.vander((times - times[0]) / (times[-1] - times[0]), 4)
    freedom = len(times) - 4
    told = []
    for keeps in (0.0, 0.2, 0.4, 0.55, 0.7, 0.8, 0.86, 0.9, 0.93, 0.95, 0.97):
        matrix = toeplitz(keeps ** np.arange(len(times)))
        inverse = np.linalg.inv(matrix)
        inner = design.T @ inverse @ design
        projected = inverse - inverse @ design @ np.linalg.inv(inner) @ design.T @ inverse
        squares = float(speeds @ projected @ speeds)
        logs = (np.linalg.slogdet(matrix)[1], np.linalg.slogdet(inner)[1], freedom * np.log(squares))
        told.append((-sum(logs) / 2, squares / freedom, keeps))
    most = max(likely for likely, *_ in told)
    weights = np.array([np.exp(likely - most) for likely, *_ in told])
    weights /= weights.sum()
    return sqrt(weights @ [one[1] for one in told]), float(weights @ [one[2] for one in told])


@pytest.mark.parametrize("keeps", [0.0, 0.6, 0.9])
def test_memory_is_that_of_the_restricted_likelihood(keeps: float) -> None:
    draws = np.random.default_rng(11)
    times = 0.1 * np.arange(60)
    noise = [float(draws.normal())]
    for _ in range(59):
        noise.append(keeps * noise[-1] + sqrt(1 - keeps**2) * float(draws.normal()))
    speeds = 10 + 3 * times - 0.1 * times**2 + 0.2 * np.asarray(noise)
    deviation, share = remembered(list(times), list(speeds))
    want = by_full_matrices(times, speeds)
    assert (deviation, share) == pytest.approx((want[0], want[1]))


def test_a_smooth_curve_has_no_noise() -> None:
    times = [0.1 * row for row in range(40)]
    assert remembered(times, [3 + 2 * time - 0.2 * time**2 for time in times]) == (0.0, 0.0)


def test_of_few_rows_no_memory_is_told() -> None:
    """Sixteen in a stretch at the least."""
    draws = np.random.default_rng(2)
    speeds = [10 + 0.1 * row + float(draws.normal(0, 0.01)) for row in range(30)]
    rows = rows_of(speeds, step=0.1)
    for last, told in ((15, False), (16, True)):
        rows._stretch = lambda below, above, last=last: (1, last)  # type: ignore[method-assign, misc]
        assert (rows.remembered(5, 6)[1] is not None) is told


# --- distances --------------------------------------------------------------------------------


def test_when_a_distance_is_covered() -> None:
    """From 2 m/s with 2 m/s² for two seconds, then 6 m/s: t from D = 2 t + t², and 8 m + 6 m/s · t."""
    rows = rows_of([2.0, 4.0, 6.0, 6.0, 6.0])
    for distance, time, speed, after in (
        (1.0, sqrt(2) - 1, 2 * sqrt(2), 0),
        (3.0, 1.0, 4.0, 0),
        (5.0, sqrt(6) - 1, 2 * sqrt(6), 1),
        (14.0, 3.0, 6.0, 2),
        (20.0, 4.0, 6.0, 3),
    ):
        found = passages._covered(rows, 0, 0.0, 2.0, distance)
        assert found is not None
        assert found == pytest.approx((time, speed, after))
    assert passages._covered(rows, 0, 0.0, 2.0, 20.1) is None
    found = passages._covered(rows, 1, 1.5, 5.0, 2.75)  # from within a row
    assert found == pytest.approx((2.0, 6.0, 1))


def test_a_car_that_slows_to_a_stand_covers_no_more() -> None:
    rows = rows_of([4.0, 0.0, 0.0, 4.0])
    assert passages._covered(rows, 0, 0.0, 4.0, 2.5) == pytest.approx((2 + sqrt(0.25), 2.0, 2))


def test_a_roll_out_begins_where_the_line_through_the_next_two_rows_was_at_nothing() -> None:
    """3 m/s² from 0.8 s: 0.6 and 3.6 m/s at 1 and 2 s. 0.3 m are over at 0.8 + √(2 · 0.3 / 3) s."""
    rows = rows_of([0.0, 0.6, 3.6, 6.6])
    assert passages._rolled(rows, 0, 0.3) == pytest.approx((0.8 + sqrt(0.2), 3 * sqrt(0.2)))
    assert passages._rolled(rows, 0, 0.05) == pytest.approx(
        (
            0.8 + sqrt(0.1 / 3),
            sqrt(0.3),
        )
    )
    # A line that was at nothing half a second before the stand, or sooner, is that of another motion.
    early = rows_of([0.0, 3.1, 5.1, 7.1])
    time, speed = passages._rolled(early, 0, 0.3) or (0.0, 0.0)
    assert (time, speed) == pytest.approx((sqrt(2 * 0.3 / 3.1), sqrt(2 * 0.3 * 3.1)))
    assert passages._rolled(rows, 0, 99.0) is None
    assert passages._rolled(rows_of([0.0, 1.0]), 0, 0.3) == pytest.approx(
        (
            sqrt(0.6),
            sqrt(0.6),
        )
    )


def test_a_stand_without_roll_out_is_left_between_two_rows() -> None:
    """0.2 to 2.2 m/s in half a second, standing up to 0.5 m/s: 0.3/4 s after the row; off by half of a row
    and what it took to be as fast as that, each the limit of a rectangular distribution."""
    rows = rows_of([0.0, 0.2, 2.2, 4.2], step=0.5)
    begun = passages._begun(rows, Wanted(to_speed=4.0, standstill=0.5), (1, 2))
    assert begun is not None
    assert begun.time == pytest.approx(0.5 + 0.3 / 4)
    assert (begun.slope, begun.doubt) == pytest.approx((4, (0.25 + 0.5 / 4) / sqrt(3)))


def test_distances_of_a_passage_count_from_its_start() -> None:
    found = one(logged(range(8), [(50 + 10 * row) * KMH for row in range(8)]), SIXTY_TO_HUNDRED)
    assert list(found.times) == [0, 1, 2, 3, 4, 5]
    assert found.speeds == pytest.approx([(50 + 10 * row) * KMH for row in range(6)])
    want = [0.5 * 10 * KMH * (time**2 - 1) + 50 * KMH * (time - 1) for time in found.times]
    assert found.distances == pytest.approx(want)
    assert found.file == "run.csv"


def test_the_uncertainties_of_both_ends_are_independent() -> None:
    ends = [Crossing(time=time, slope=1.0, doubt=doubt, noise=noise) for time, doubt, noise in
            ((1.0, 0.3, 0.5), (4.0, 0.4, 1.2))]  # fmt: skip
    passage = Passage(file="", start=ends[0], end=ends[1], times=(), speeds=(), distances=())
    assert (passage.duration, passage.doubt, passage.noise) == pytest.approx((3.0, 0.5, 1.3))


def test_a_distance_begins_where_the_one_before_has_ended() -> None:
    """By hand: 50 m at 10 m/s take five rows; the next crossing of 8 m/s after them counts again."""
    speeds = [5.0, *[10.0] * 3, 7.0, *[10.0] * 7, 5.0, *[10.0] * 9]
    found = find_passages(logged(range(len(speeds)), speeds), Wanted(from_speed=8.0, distance=50.0))
    assert [round(one.start.time, 6) for one in found if isinstance(one, Passage)] == [0.6, 12.6]


def test_a_distance_with_a_gap_is_broken() -> None:
    times = [0, 1, 2, 3, 9, 10, 11, 12]
    found = find_passages(logged(times, [5.0, *[10.0] * 7]), Wanted(from_speed=8.0, distance=80.0))
    assert found == [Broken(start=3, end=9)]


def test_of_two_rows_no_passage_is_told() -> None:
    wanted = Wanted(from_speed=8.0, to_speed=10.0)
    assert find_passages(logged([0, 1], [5.0, 12.0]), wanted) == []
    assert len(find_passages(logged([0, 1, 2], [5.0, 12.0, 13.0]), wanted)) == 1


@pytest.mark.parametrize(
    ("wanted", "name"),
    [
        (Wanted(from_speed=5.0, to_speed=20.1), "to_speed"),
        (Wanted(from_speed=5.0, to_speed=20.0), "from_speed"),
        (Wanted(to_speed=20.0, standstill=5.0), "to_speed"),
        (Wanted(from_speed=20.1, distance=9.0), "from_speed"),
        (Wanted(from_speed=20.0, distance=9.0), "distance"),
        (Wanted(from_speed=5.1, to_speed=20.0), "to_speed"),
    ],
)
def test_why_there_is_none_is_said_of_an_input(wanted: Wanted, name: str) -> None:
    """A log from 5 to 20 m/s, both of which it has."""
    assert why_none(logged(range(4), [20.0, 15.0, 10.0, 5.0]), wanted).name == name
