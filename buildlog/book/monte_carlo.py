"""Uncertainty by drawing the errors and computing again: a Monte Carlo (JCGM 101:2008).

Draws are stratified in each error (Latin hypercube sampling: McKay, Beckman and Conover, Technometrics 21,
1979, 239–245), which leaves less to chance than plain draws. They follow from the seed and from what each
error is of, so that a block has the same draws wherever and whenever it is computed, and two cases of one
block have the same draws of an error that they share. Where a draw of an input would be beyond what it may
be, the draw is not taken: its distribution is cut there.

A calculation that takes long (its kind's `DRAWS` is below `MOST_DRAWS`) is not run for every draw. The moves
of each error alone are interpolated instead, and their sum is taken: the first terms of a cut expansion
(Rabitz and Alış, Journal of Mathematical Chemistry 25, 1999; from memory), which sees kinks and leaves
out what two errors do together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from math import ceil, inf, sqrt
from statistics import NormalDist
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from buildlog.book.uncertainty import NOISE, Leaf, Model, leaf, leaves, number_at
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import Outputs
from buildlog.kinds.doubt import METHOD
from buildlog.kinds.kind import MOST_DRAWS
from buildlog.kinds.results import BENT, Simulation

COVERAGE = 0.9545
"""Of the intervals: that of ±2 standard uncertainties of a normal distribution."""
_MOST_CUT = 20
"""How many times as many draws as wanted are tried, where distributions are cut."""
_FEWEST_LEFT = 0.5
"""Of the draws: how many must have a result for an uncertainty to be told."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Simulated:
    """What a Monte Carlo found of some outputs: the share of each error, and the coverage interval."""

    shares: Mapping[Leaf, dict[str, float]]
    intervals: Mapping[Leaf, tuple[float, float]]
    made: Simulation


def simulate(
    model: Model,
    outputs: Outputs,
    wanted: Iterable[Leaf],
    *,
    curved: Iterable[str],
    seed: int,
    draws: int,
    rest: str,
) -> Simulated:
    """The uncertainty of the `wanted` outputs. `curved` are the errors along which they are not straight."""
    quick = draws >= MOST_DRAWS
    errors = drawn_errors(model, seed, MOST_DRAWS)
    places = [place for place in sorted(wanted) if leaf(outputs, *place) is not None]
    size = len(next(iter(errors.values())))
    without_result = 0
    if quick:
        results = _computed(model, errors)
        without_result = sum(result is None for result in results)
        drawn = {place: _drawn(results, place) for place in places}
    else:
        samples = _interpolated(model, outputs, errors, _places_of_moves(model, curved), places)
        drawn = {place: (np.ones(size, dtype=bool), sample) for place, sample in samples.items()}
    if size - without_result < _FEWEST_LEFT * size:
        raise Refused(
            "",
            f"no result for {without_result} of {size} values drawn from the uncertainty of the inputs",
            "inputs that hold over most of their uncertainty",
            help="state a smaller uncertainty, or an input further from its limit",
        )
    basis = Basis.of(errors, curved)
    shares: dict[Leaf, dict[str, float]] = {}
    intervals: dict[Leaf, tuple[float, float]] = {}
    for (name, key), (there, sample) in drawn.items():
        middle = leaf(outputs, name, key)
        if there.sum() < 2 or middle is None:
            continue
        if float(np.std(sample)) <= NOISE * abs(middle):
            shares[name, key] = {}  # it rests on nothing that was drawn, and arithmetic rounds
            continue
        shares[name, key] = basis.rows(there).shares(sample, rest=f"{rest}:{_fingerprint(sample)}")
        intervals[name, key] = coverage_interval(sample, middle)
    made = Simulation(
        draws=size,
        interpolated=not quick,
        seed=seed,
        without_result=without_result,
        cut=tuple(dict.fromkeys(str(path[0]) for path in model.reaching)),
    )
    return Simulated(shares=shares, intervals=intervals, made=made)


def _fingerprint(sample: Array) -> str:
    """What draws leave unexplained is the same where the draws are: two equal cases differ by nothing."""
    return sha256(sample.tobytes()).hexdigest()[:16]


def _computed(model: Model, errors: Mapping[str, Array]) -> list[Outputs | None]:
    """The outputs at each draw, None where the calculation has no result there."""
    names = list(errors)
    results: list[Outputs | None] = []
    for row in np.column_stack(list(errors.values())).tolist():
        try:
            results.append(model.at(dict(zip(names, row, strict=True))))
        except (Refused, OverflowError):
            results.append(None)
    return results


def _drawn(results: Iterable[Outputs | None], place: Leaf) -> tuple[NDArray[np.bool_], Array]:
    """Which draws have an output, and what it is there."""
    found = [leaf(result, *place) if result is not None else None for result in results]
    there = np.array([number is not None for number in found])
    return there, np.array([number for number in found if number is not None], dtype=np.float64)


def _places_of_moves(model: Model, curved: Iterable[str]) -> dict[str, tuple[float, ...]]:
    """Where each error is moved to, in standard uncertainties: a curved one to its ends too."""
    bent = set(curved)
    return {
        origin: (-model.end(origin), -1.0, 1.0, model.end(origin)) if origin in bent else (-1.0, 1.0)
        for origin in model.origins
    }


def _interpolated(
    model: Model,
    outputs: Outputs,
    errors: Mapping[str, Array],
    places: Mapping[str, tuple[float, ...]],
    wanted: Iterable[Leaf],
) -> dict[Leaf, Array]:
    """The wanted outputs at each draw, as the sum of what each error does alone, along straight lines from
    move to move. Where a move has no result, the nearest one that has goes on as it comes. What is exactly
    nothing more than once and never below nothing (or above) is on a floor, which a sum of moves does not
    know."""
    asked = set(wanted)
    leaves_of = [(name, key, value) for name, key, value in leaves(outputs) if (name, key) in asked]
    size = len(next(iter(errors.values())))
    totals = {(name, key): np.full(size, float(value)) for name, key, value in leaves_of}
    reached = {(name, key): [value] for name, key, value in leaves_of}
    for origin, column in errors.items():
        moves = [(place, model.tried(origin, place)) for place in places[origin]]
        for name, key, middle in leaves_of:
            known = [(0.0, 0.0)]
            for place, side in moves:
                there = leaf(side, name, key) if side else None
                if there is not None:
                    known.append((place, there - middle))
                    reached[name, key].append(there)
            if len(known) > 1:
                totals[name, key] += _along(column, sorted(known))
    for place_of, values in reached.items():
        if values.count(0.0) < 2:
            continue
        if min(values) == 0:
            totals[place_of] = np.maximum(totals[place_of], 0.0)
        elif max(values) == 0:
            totals[place_of] = np.minimum(totals[place_of], 0.0)
    return totals


def _along(column: Array, known: list[tuple[float, float]]) -> Array:
    """A line through points, at places; beyond the outer points it goes on as straight as it came."""
    x, y = (np.array(part) for part in zip(*known, strict=True))
    inside = np.interp(column, x, y)
    low = (y[1] - y[0]) / (x[1] - x[0]) * (column - x[0])
    high = (y[-1] - y[-2]) / (x[-1] - x[-2]) * (column - x[-1])
    return np.asarray(inside + np.where(column < x[0], low, 0.0) + np.where(column > x[-1], high, 0.0))


# --- draws -----------------------------------------------------------------------------------


def drawn_errors(model: Model, seed: int, draws: int) -> dict[str, Array]:
    """By origin, so many draws of its error in standard uncertainties, with every input within its range."""
    labels = _labels(model)
    tried = draws
    for _ in range(4):
        errors = {
            origin: _stratified(model.shape(origin), tried, seed, labels[origin]) for origin in model.origins
        }
        inside = _inside(model, errors, tried)
        if inside.sum() >= draws:
            break
        share = max(inside.sum() / tried, 1 / _MOST_CUT)
        tried = ceil(1.1 * draws / share)
    if not inside.any():
        raise Refused(
            "",
            "an input whose uncertainty lies outside of what it may be",
            "inputs that hold over most of their uncertainty",
            help="state a smaller uncertainty, or an input further from its limit",
        )
    return {origin: column[inside][:draws] for origin, column in errors.items()}


def _labels(model: Model) -> dict[str, str]:
    """What each error is of, by which its draws go: a place in a file would change with every line above."""
    labels: dict[str, str] = {origin: origin for origin in model.doubted}
    for origin, steps in model.steps.items():
        path = next(iter(steps))
        label = ".".join(map(str, path))
        labels[origin] = f"{label}#{list(model.uncertain[path]).index(origin)}"
    return labels


def _stratified(shape: str, draws: int, seed: int, label: str) -> Array:
    order = np.random.default_rng([seed, crc32(label.encode("utf-8", "surrogatepass"))]).permutation(draws)
    ordered: Array = strata(shape, draws)[order]
    return ordered


@cache
def strata(shape: str, draws: int) -> Array:
    """The middles of so many strata of equal probability, of a distribution with the standard deviation 1."""
    shares = (np.arange(draws) + 0.5) / draws
    if shape == "rectangular":  # JCGM 101:2008, 6.4.2: the half-width is √3
        return np.asarray(sqrt(3) * (2 * shares - 1))
    if shape == "triangular":  # 6.4.5: the half-width is √6
        half = np.sqrt(2 * np.minimum(shares, 1 - shares))
        return np.asarray(sqrt(6) * np.where(shares < 0.5, half - 1, 1 - half))
    return np.array([NormalDist().inv_cdf(share) for share in shares.tolist()])


def _inside(model: Model, errors: Mapping[str, Array], draws: int) -> NDArray[np.bool_]:
    inside = np.ones(draws, dtype=bool)
    for path in model.reaching:
        low, high = model.ranges.get(path, (-inf, inf))
        number = number_at(model.values, path) + sum(
            (errors[origin] * step for origin, step in model.uncertain[path].items()), np.zeros(draws)
        )
        inside &= (number >= low) & (number <= high)
    return inside


# --- what the draws say -----------------------------------------------------------------------


def coverage_interval(sample: Array, value: float) -> tuple[float, float]:
    """The probabilistically symmetric coverage interval (JCGM 101:2008, 7.7), made wider where the value
    itself would lie outside of it."""
    tail = (1 - COVERAGE) / 2
    low, high = np.quantile(sample, [tail, 1 - tail]).tolist()
    return min(low, value), max(high, value)


@dataclass(frozen=True)
class Basis:
    """The errors as drawn, and the squares of some, made independent of each other in this order and of
    variance 1: a column each."""

    origins: tuple[str, ...]
    columns: Array

    @classmethod
    def of(cls, errors: Mapping[str, Array], curved: Iterable[str] = ()) -> Basis:
        """The basis of some draws; `curved` are the errors whose squares are in it."""
        bent = set(curved)
        columns = dict(errors)
        columns |= {f"{origin}{BENT}": column**2 for origin, column in errors.items() if origin in bent}
        found: dict[str, Array] = {}
        for origin, column in columns.items():
            direction = column - column.mean()
            for other in found.values():
                direction = direction - np.mean(direction * other) * other
            size = sqrt(float(np.mean(direction**2)))
            if size > 1e-9:
                found[origin] = direction / size
        return cls(tuple(found), np.column_stack(list(found.values())))

    def rows(self, there: NDArray[np.bool_]) -> Basis:
        """The same errors where only some draws have a result."""
        if there.all():
            return self
        return Basis.of(
            {name: column[there] for name, column in zip(self.origins, self.columns.T, strict=True)}
        )

    def shares(self, sample: Array, *, rest: str) -> dict[str, float]:
        """What each error contributes to a result, as signed standard uncertainties whose squares add up to
        the variance of the draws. What two results have in common so still cancels in their difference.
        `rest` is the origin of what the errors do not explain, which only the same draws share."""
        around = sample - sample.mean()
        total = float(np.mean(around**2))
        shares = (self.columns.T @ around / len(around)).tolist()
        found = {origin: share for origin, share in zip(self.origins, shares, strict=True) if share}
        left = total - sum(share * share for share in found.values())
        if left > 1e-12 * total:
            of_method = all(origin.startswith(METHOD) for origin in self.origins)
            found[f"{METHOD if of_method else ''}{rest}"] = sqrt(left)
        return found
