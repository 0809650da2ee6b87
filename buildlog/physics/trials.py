"""How many runs of each condition a comparison takes, and in which order drift cancels."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import ceil, erfc, exp, fsum, lgamma, log, pi, sqrt
from typing import Annotated

from buildlog.diagnostics import NoSolution
from buildlog.formulae.made_once import made_once
from buildlog.physics.declared import DeclaredFormula, Variable, product_of, ratio_of
from buildlog.physics.limits import not_negative, positive, within

FEWEST_RUNS = 2
"""One run of each has no scatter."""
MOST_RUNS = 2000
"""Of each condition: beyond them, nobody drives."""
_PARTS = 240
_HALVINGS = 60
_REACH = 9.0
"""Standard deviations of the scatter's own scatter that are integrated over; beyond lies less than 1e-15."""
_WHY_RUNS = "one run of each has no scatter, and nobody drives thousands"


class Order(tuple[int, ...]):
    """Which condition each run is of, 0 or 1, in the order of driving."""

    __slots__ = ()


@made_once
def effect_size(unit: str) -> DeclaredFormula:
    """The formula of a change in scatters, for readings in a coherent SI unit."""
    return ratio_of(
        "effect_size",
        "A change as a multiple of the scatter of single runs.",
        gives=Variable("d", "1", "effect size"),
        source="Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. (1988), eq. 2.2.1 "
        "(from memory)",
        change=Variable("Δ", unit, "change to be seen", positive),
        scatter=Variable("s", unit, "standard deviation of single runs under one condition", positive),
    )


@made_once
def change_of_effect(unit: str) -> DeclaredFormula:
    """The formula of the change that an effect size is, for readings in a coherent SI unit."""
    return product_of(
        "change_of_effect",
        "The change that an effect size is, where single runs scatter so much.",
        gives=Variable("Δ_min", unit, "change"),
        source="definition of the effect size",
        effect=Variable("d_min", "1", "effect size", positive),
        scatter=Variable("s", unit, "standard deviation of single runs under one condition", positive),
    )


@made_once
def drift_left(unit: str) -> DeclaredFormula:
    """The formula of what a steady drift puts into the difference, for readings in a coherent SI unit."""
    return product_of(
        "drift_left",
        "What a steady drift from run to run puts into the difference of the two means.",
        gives=Variable("b", unit, "error of the difference"),
        source="means of a straight line over the places of either condition",
        drift=Variable("c", unit, "drift from one run to the next"),
        places_apart=Variable("m", "1", "mean place of the second condition less that of the first"),
    )


def power(
    effect: Annotated[float, "d", "1"],
    runs: Annotated[float, "n", "1"],
    level: Annotated[float, "α", "1"],
) -> Annotated[float, "P", "1"]:
    """The probability that a change shows: that the difference of two means is beyond its t interval.

    Formula: P = 1 − P(−t < T < t) of the noncentral t distribution with ν = 2 n − 2 degrees of freedom and
    the noncentrality d √(n / 2), t being where Student's distribution has α outside of ±t. Symbols: d change
    in scatters (1), n runs of each condition (1), α level of the two-sided test (1), P power (1).
    In words: found by integrating over the scatter that so few runs happen to show.
    Range: n 2 to 2000, d above 0, α from 0.01 to 0.2. Errors: `OutOfRange`. Source: Cohen, Statistical Power
    Analysis for the Behavioral Sciences, 2nd ed. (1988), 2.2 and 12.2 (from memory); agrees with scipy's
    nct and with table 2.3.5 as it is quoted.
    """
    positive("effect", effect)
    within("runs", runs, FEWEST_RUNS, MOST_RUNS, _WHY_RUNS)
    _check_level(level)
    return _beyond(_critical(round(2 * runs - 2), level), round(2 * runs - 2), effect * sqrt(runs / 2))


def runs_needed(
    effect: Annotated[float, "d", "1"],
    power: Annotated[float, "P", "1"],
    level: Annotated[float, "α", "1"],
) -> Annotated[float, "n", "1"]:
    """The fewest runs of each condition with which a change shows with a probability.

    Formula: the least n with power(d, n, α) of P or more. Symbols: d change in scatters (1), P power (1), α
    level of the two-sided test (1), n runs of each condition (1).
    In words: found by halving, between 2 and 2000 runs.
    Range: d above 0, P from 0.5 to 0.999, α from 0.01 to 0.2. Errors: `OutOfRange`; `NoSolution` where 2000
    runs of each are too few. Source: as of power.
    """
    positive("effect", effect)
    _check_power(power)
    _check_level(level)

    def shows(runs: int) -> bool:
        freedom = 2 * runs - 2
        return _beyond(_critical(freedom, level), freedom, effect * sqrt(runs / 2)) >= power

    if not shows(MOST_RUNS):
        raise NoSolution(
            "change",
            f"more than {MOST_RUNS} runs of each condition",
            f"at most {MOST_RUNS}",
            help="so small a change is lost in this scatter: lessen the scatter, or look for a larger change",
        )
    low, high = FEWEST_RUNS - 1, FEWEST_RUNS
    while not shows(high):
        low, high = high, min(2 * high, MOST_RUNS)
    while high - low > 1:
        middle = (low + high) // 2
        if shows(middle):
            high = middle
        else:
            low = middle
    return float(high)


def least_effect(
    runs: Annotated[float, "n", "1"],
    power: Annotated[float, "P", "1"],
    level: Annotated[float, "α", "1"],
) -> Annotated[float, "d_min", "1"]:
    """The smallest change, in scatters, that so many runs of each condition show with a probability.

    Formula: the d with power(d, n, α) = P. Symbols: n runs of each condition (1), P power (1), α level of the
    two-sided test (1), d_min change in scatters (1).
    In words: found by halving.
    Range: n 2 to 2000, P from 0.5 to 0.999, α from 0.01 to 0.2. Errors: `OutOfRange`. Source: as of power.
    """
    within("runs", runs, FEWEST_RUNS, MOST_RUNS, _WHY_RUNS)
    _check_power(power)
    _check_level(level)
    return _least_noncentrality(round(2 * runs - 2), power, level) / sqrt(runs / 2)


def half_interval(
    runs: Annotated[float, "n", "1"],
    level: Annotated[float, "α", "1"],
) -> Annotated[float, "h", "1"]:
    """Half of the t interval of the difference, in scatters, as it is to be expected.

    Formula: h = t √(2 / n), t being where Student's distribution with 2 n − 2 degrees of freedom has α
    outside of ±t. Symbols: n runs of each condition (1), α level (1), h half-width in scatters (1).
    In words: t is found by halving.
    Range: n 2 to 2000, α from 0.01 to 0.2. Errors: `OutOfRange`. Source: JCGM 100:2008, 4.2.3 and G.3.2.
    """
    within("runs", runs, FEWEST_RUNS, MOST_RUNS, _WHY_RUNS)
    _check_level(level)
    return _critical(round(2 * runs - 2), level) * sqrt(2 / runs)


def planned(
    runs: Annotated[float, "n", "1"],
) -> Annotated[float, "n_plan", "1"]:
    """Runs of each condition, as many as are wanted.

    Formula: n_plan = n. Symbols: n runs of each that are needed, or that there is time for (1), n_plan runs
    of each as planned (1).
    Range: 2 or more. Errors: `OutOfRange`. Source: definition.
    """
    within("runs", runs, FEWEST_RUNS)
    return runs


def planned_in_pairs(
    runs: Annotated[float, "n", "1"],
) -> Annotated[float, "n_plan", "1"]:
    """Runs of each condition: an even number, so that a steady drift cancels.

    Formula: n_plan = 2 ⌈n / 2⌉. Symbols: n runs of each that are needed (1), n_plan runs of each as planned
    (1).
    Range: 2 or more. Errors: `OutOfRange`. Source: places of an ABBA order, whose means are the same.
    """
    within("runs", runs, FEWEST_RUNS)
    return 2 * ceil(runs / 2)


def places_apart(
    order: Order,
    /,
    runs_in_all: Annotated[float, "N", "1"],
) -> Annotated[float, "m", "1"]:
    """How much later, in runs, the second condition is driven than the first, in the mean.

    Formula: m = mean place of the second condition less that of the first. Symbols: N runs in all (1), m
    places apart (1).
    In words: found by counting, along the order.
    Range: either condition at least once. Errors: `OutOfRange`. Source: definition.
    """
    within("runs_in_all", runs_in_all, len(order), len(order), "those of the order")
    first = [place for place, condition in enumerate(order) if condition == 0]
    second = [place for place, condition in enumerate(order) if condition == 1]
    positive("runs of the rarer condition", min(len(first), len(second)))
    return sum(second) / len(second) - sum(first) / len(first)


def changeovers(
    order: Order,
    /,
    runs_in_all: Annotated[float, "N", "1"],
) -> Annotated[float, "k", "1"]:
    """How often the condition changes from one run to the next.

    Formula: k = number of neighbours that differ. Symbols: N runs in all (1), k changes (1).
    In words: found by counting, along the order.
    Range: any. Errors: `OutOfRange`. Source: definition.
    """
    within("runs_in_all", runs_in_all, len(order), len(order), "those of the order")
    return float(sum(one != other for one, other in pairwise(order)))


def session_time(
    runs: Annotated[float, "n", "1"],
    time_for_run: Annotated[float, "t_run", "s"],
    changeovers: Annotated[float, "k", "1"],
    time_for_changeover: Annotated[float, "t_change", "s"],
) -> Annotated[float, "T", "s"]:
    """The time that all runs and changes take.

    Formula: T = 2 n t_run + k t_change. Symbols: n runs of each condition (1), t_run time for a run (s), k
    changes from one condition to the other (1), t_change time for one (s), T time in all (s).
    Range: n and t_run positive, the others zero or more. Errors: `OutOfRange`. Source: definition.
    """
    positive("runs", runs)
    positive("time_for_run", time_for_run)
    not_negative("changeovers", changeovers)
    not_negative("time_for_changeover", time_for_changeover)
    return 2 * runs * time_for_run + changeovers * time_for_changeover


def _check_level(level: float) -> None:
    within("level", level, 0.01, 0.2, "how often chance alone may look like a change")


def _check_power(power: float) -> None:
    within("power", power, 0.5, 0.999, "below half, the plan would rather miss the change than see it")


# --- the noncentral t distribution ------------------------------------------------------------


@cache
def _scatters(freedom: int) -> tuple[tuple[float, float], ...]:
    """Ratios of a scatter that was found to the true one, √(χ²/ν), each with its share: Simpson's rule over
    their density."""
    width = _REACH / sqrt(2 * freedom)
    low, high = max(0.0, 1 - width), 1 + width
    step = (high - low) / _PARTS
    shares = []
    for place in range(_PARTS + 1):
        ratio = low + place * step
        factor = 1 if place in (0, _PARTS) else 4 if place % 2 else 2
        shares.append((ratio, factor * step / 3 * _density(ratio, freedom)))
    total = fsum(share for _, share in shares)  # one, but for the rule's own error
    return tuple((ratio, share / total) for ratio, share in shares)


def _density(ratio: float, freedom: int) -> float:
    """The density of √(χ²/ν)."""
    if ratio <= 0:
        return sqrt(2 / pi) if freedom == 1 else 0.0
    half = freedom / 2
    return 2 * exp(half * log(half) - lgamma(half) + (freedom - 1) * log(ratio) - half * ratio * ratio)


def _beyond(limit: float, freedom: int, noncentrality: float) -> float:
    """How much of the noncentral t distribution lies outside of ±limit."""
    scatters, root = _scatters(freedom), 1 / sqrt(2)
    limit, middle = limit * root, noncentrality * root
    above = fsum([share * erfc(limit * ratio - middle) for ratio, share in scatters])
    if not noncentrality:
        return above  # both sides alike
    below = fsum([share * erfc(limit * ratio + middle) for ratio, share in scatters])
    return (above + below) / 2


@cache
def _least_noncentrality(freedom: int, power: float, level: float) -> float:
    """The noncentrality with which so much of the distribution lies beyond the limits of a test."""
    limit = _critical(freedom, level)
    low, high = 0.0, 5 * limit + 10  # two runs have wide tails
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _beyond(limit, freedom, middle) < power:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@cache
def _critical(freedom: int, level: float) -> float:
    """Where Student's distribution has the level outside of ±t."""
    low, high = 0.0, 4 * sqrt(freedom) * ceil(1 / level)
    for _ in range(2 * _HALVINGS):
        middle = (low + high) / 2
        if _beyond(middle, freedom, 0.0) > level:
            low = middle
        else:
            high = middle
    return (low + high) / 2
