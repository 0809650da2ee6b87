"""Runs of a comparison against scipy's noncentral t distribution and Cohen's table; orders by counting."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.physics import trials


def exact_power(effect: float, runs: int, level: float) -> float:
    """By scipy 1.x: stats.t for the limit, stats.nct for what lies beyond it."""
    freedom, noncentrality = 2 * runs - 2, effect * np.sqrt(runs / 2)
    limit = stats.t.isf(level / 2, freedom)
    return float(stats.nct.sf(limit, freedom, noncentrality) + stats.nct.cdf(-limit, freedom, noncentrality))


@pytest.mark.parametrize("level", [0.01, 0.05, 0.2])
@pytest.mark.parametrize("runs", [2, 3, 4, 7, 20, 64, 393, 2000])
@pytest.mark.parametrize("effect", [0.1, 0.5, 1.0, 2.5])
def test_power_is_that_of_the_noncentral_t(effect: float, runs: int, level: float) -> None:
    by_scipy = exact_power(effect, runs, level)
    if np.isnan(by_scipy):  # of large noncentralities scipy's nct has no value; by then the power is one
        assert effect * np.sqrt(runs / 2) > 7
        by_scipy = 1.0
    assert trials.power(effect, runs, level) == pytest.approx(by_scipy, abs=2e-6)


COHEN = {0.2: 393, 0.3: 175, 0.4: 100, 0.5: 64, 0.6: 45, 0.8: 26, 1.0: 17}
"""n for a power of .80 at a2 = .05: Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed.
(1988), table 2.4.1, as medicalalgorithms.com and the statistics wiki of the MRC Cognition and Brain Sciences
Unit quote it."""


@pytest.mark.parametrize("effect", COHEN)
def test_runs_needed_are_those_of_cohens_table(effect: float) -> None:
    """The table is rounded to the nearest run and not up; exactly 393.4 are needed for 0.2."""
    assert trials.runs_needed(effect, 0.8, 0.05) - COHEN[effect] in (0, 1)


@pytest.mark.parametrize("effect", [0.2, 0.7, 1.2, 1.6, 3.0, 8.0])
@pytest.mark.parametrize("power", [0.5, 0.8, 0.95])
def test_one_run_less_is_too_few(effect: float, power: float) -> None:
    """By scipy's noncentral t."""
    runs = round(trials.runs_needed(effect, power, 0.05))
    assert exact_power(effect, runs, 0.05) >= power
    assert runs == 2 or exact_power(effect, runs - 1, 0.05) < power


@pytest.mark.parametrize("runs", [2, 3, 6, 40])
@pytest.mark.parametrize("power", [0.5, 0.8, 0.99])
def test_the_least_effect_has_the_power_that_is_asked(runs: int, power: float) -> None:
    """By scipy's noncentral t."""
    effect = trials.least_effect(runs, power, 0.05)
    # The lower tail, of which scipy's nct has no value for large noncentralities, is nothing here.
    by_scipy = stats.nct.sf(stats.t.isf(0.025, 2 * runs - 2), 2 * runs - 2, effect * np.sqrt(runs / 2))
    assert by_scipy == pytest.approx(power, abs=5e-5)


@pytest.mark.parametrize("runs", [2, 5, 30])
def test_the_interval_is_students(runs: int) -> None:
    """t · √(2 / n), t by scipy."""
    by_scipy = stats.t.isf(0.025, 2 * runs - 2) * np.sqrt(2 / runs)
    assert trials.half_interval(runs, 0.05) == pytest.approx(by_scipy, rel=1e-5)


def test_a_plan_made_many_times_shows_the_change_so_often() -> None:
    """20 000 comparisons of two samples of 8, drawn by numpy, judged by scipy's t test: the power to 1 %."""
    draw = np.random.default_rng(12)
    before, after = draw.normal(0, 1, (20_000, 8)), draw.normal(1.5, 1, (20_000, 8))
    shown = stats.ttest_ind(before, after, axis=1).pvalue < 0.05
    assert trials.power(1.5, 8, 0.05) == pytest.approx(shown.mean(), abs=0.01)


def test_a_change_that_nobody_could_see_is_refused() -> None:
    with pytest.raises(NoSolution) as refused:
        trials.runs_needed(0.01, 0.8, 0.05)
    assert refused.value.name == "change"
    assert "2000 runs" in refused.value.found


def test_what_is_outside_of_its_range_is_refused() -> None:
    for level, power in ((0.0, 0.8), (0.3, 0.8), (0.05, 0.4), (0.05, 1.0)):
        with pytest.raises(OutOfRange):
            trials.runs_needed(1.0, power, level)
    with pytest.raises(OutOfRange):
        trials.power(1.0, 1, 0.05)
    with pytest.raises(OutOfRange):
        trials.power(0.0, 5, 0.05)
    with pytest.raises(OutOfRange):
        trials.planned(1)


def test_places_and_changes_of_an_order() -> None:
    """By hand: A B B A has the places 0 and 3, 1 and 2; A A B B half and 2.5."""
    order = trials.Order
    assert trials.places_apart(order([0, 1, 1, 0]), 4) == 0
    assert trials.places_apart(order([0, 0, 1, 1]), 4) == 2
    assert trials.places_apart(order([0, 1, 1, 0, 0, 1]), 6) == pytest.approx(8 / 3 - 7 / 3)
    assert trials.changeovers(order([0, 1, 1, 0]), 4) == 2
    mixed = order([0, 0, 1, 1, 1, 0])
    assert trials.changeovers(mixed, 6) == sum(one != other for one, other in pairwise(mixed))
    with pytest.raises(OutOfRange):
        trials.places_apart(order([0, 0]), 2)


def test_the_time_of_a_session_by_hand() -> None:
    """12 runs of 4 min and 2 changes of 90 min: 228 min."""
    assert trials.session_time(6, 240, 2, 5400) == 228 * 60
