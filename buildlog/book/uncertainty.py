"""Uncertainty of outputs to first order (JCGM 100:2008, clause 5), from uncertain inputs and doubtful models,
by moving them and computing again; and which outputs are not straight enough for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import inf, sqrt
from typing import Any

from buildlog.diagnostics import AsWritten, Refused
from buildlog.kinds.declaration import Doubt, Measure, Outputs

InputPath = tuple[str | int, ...]
Leaf = tuple[str, str]
"""(output, key); key "" for a single value."""
Contributions = dict[str, dict[str, dict[str, float]]]
"""Output → key ("" for a single value) → origin → signed standard uncertainty that it contributes."""

STRAIGHT = 0.1
"""Of the combined standard uncertainty: how far the middle of two moves by ±u may be from the value. A curve
that is so far off at u is four times as far off at 2u, which moves an end of U by a fifth of U. The
uncertainty of ten readings is not known better than that (JCGM 100:2008, table E.1)."""
_GOVERNS = 0.7
"""Of the combined standard uncertainty: from what contribution on an error is most of the variance."""
NOISE = 1e-9
"""Relative: what arithmetic may move a result by."""
_SEEN = 1e-6
"""Relative: a bend smaller than that is nobody's concern, and iterations make some."""


@dataclass(frozen=True, kw_only=True)
class Model:
    """A calculation whose inputs and models are uncertain.

    `compute` gives the outputs for inputs and for doubts that are moved by a number of their standard
    uncertainties. `uncertain` has, by the path of a number, what each origin contributes to it; `ranges` what
    a number may be; `shapes` by origin the distribution of an error that is not normal; `doubted` the doubts
    of the method by their origin; `seen` by output what a reader sees of it at the least. All SI.
    """

    compute: Callable[[dict[str, Any], Mapping[str, float]], Outputs]
    values: dict[str, Any]
    uncertain: Mapping[InputPath, Mapping[str, float]] = field(default_factory=dict)
    ranges: Mapping[InputPath, tuple[float, float]] = field(default_factory=dict)
    shapes: Mapping[str, str] = field(default_factory=dict)
    doubted: Mapping[str, Doubt] = field(default_factory=dict)
    seen: Mapping[str, float] = field(default_factory=dict)
    _moves: dict[tuple[str, float], Outputs | None] = field(default_factory=dict)

    @cached_property
    def steps(self) -> dict[str, dict[InputPath, float]]:
        """By origin, the standard uncertainty that it gives to each number that it moves."""
        return by_origin(self.uncertain)

    @property
    def origins(self) -> list[str]:
        """Every error, those of the inputs first."""
        return [*self.steps, *self.doubted]

    def shape(self, origin: str) -> str:
        """The distribution of an error."""
        doubt = self.doubted.get(origin)
        if doubt is not None:
            return "rectangular" if doubt.limits else "normal"
        return self.shapes.get(origin, "normal")

    def end(self, origin: str) -> float:
        """Where an error ends, in standard uncertainties: at that of U, or sooner where it has a limit."""
        return sqrt(3) if self.shape(origin) == "rectangular" else 2.0

    def at(self, moves: Mapping[str, float]) -> Outputs:
        """The outputs where errors are so many standard uncertainties; raises what the calculation raises."""
        changes: dict[InputPath, float] = {}
        shifts: dict[str, float] = {}
        for origin, amount in moves.items():
            if origin in self.doubted:
                shifts[origin] = amount
            for path, step in self.steps.get(origin, {}).items():
                changes[path] = changes.get(path, 0.0) + amount * step
        return self.compute(moved(self.values, changes, 1.0) if changes else self.values, shifts)

    def tried(self, origin: str, amount: float) -> Outputs | None:
        """The outputs where one error is so large; None where an input would leave its range or the
        calculation has no result."""
        move = (origin, amount)
        if move not in self._moves:
            self._moves[move] = self._tried(origin, amount)
        return self._moves[move]

    def _tried(self, origin: str, amount: float) -> Outputs | None:
        for path, step in self.steps.get(origin, {}).items():
            low, high = self.ranges.get(path, (-inf, inf))
            if not low <= float(number_at(self.values, path)) + amount * step <= high:
                return None
        try:
            return self.at({origin: amount})
        except (Refused, OverflowError):
            return None

    @cached_property
    def reaching(self) -> list[InputPath]:
        """The numbers whose expanded uncertainty (k = 2) reaches beyond what they may be."""
        return [
            path
            for path, parts in self.uncertain.items()
            if path in self.ranges and _reaches(number_at(self.values, path), parts, self.ranges[path])
        ]


def _reaches(value: float, parts: Mapping[str, float], bounds: tuple[float, float]) -> bool:
    spread = 2 * sqrt(sum(part * part for part in parts.values()))
    return not bounds[0] <= value - spread <= value + spread <= bounds[1]


class FirstOrder:
    """Contributions to first order, and the outputs that are not straight enough for it."""

    def __init__(self, model: Model, outputs: Outputs) -> None:
        self.model = model
        self.middle = numbers_of(outputs)
        self.parts: Contributions = {}
        self.bends: dict[str, dict[Leaf, float]] = {}
        self.bent: set[Leaf] = set()
        self.curved: set[str] = set()
        for origin in model.origins:
            self._move(origin)
        self.combined = {place: self._combined(place) for place in self.middle}
        self._look_for_bends()
        self._look_further()
        self.bent = {place for place in self.bent if self._is_seen(place)}

    def _move(self, origin: str) -> None:
        high, low = (self.model.tried(origin, sign) for sign in (1.0, -1.0))
        cut = any(path in self.model.reaching for path in self.model.steps.get(origin, {}))
        highs, lows = (numbers_of(side) if side else {} for side in (high, low))
        for (name, key), middle in self.middle.items():
            above, below = highs.get((name, key)), lows.get((name, key))
            if above is not None and below is not None:
                share, bend = (above - below) / 2, (above + below - 2 * middle) / 2
            else:  # to one side there is nothing
                side = above if above is not None else below
                share = 0.0 if side is None else side - middle if side is above else middle - side
                # A row that is beyond what is listed there is no bend: that side is as far away as the other.
                bend = inf if high is None or low is None else 0.0
            if abs(share) > NOISE * abs(middle) or (share and not middle):
                self.parts.setdefault(name, {}).setdefault(key, {})[origin] = share
            if bend == inf or abs(bend) > _SEEN * max(abs(middle), abs(share)):
                self.bends.setdefault(origin, {})[name, key] = bend
            if cut and (share or bend):
                self.bends.setdefault(origin, {})[name, key] = inf

    def _look_for_bends(self) -> None:
        """Bends are compared with all of the uncertainty: of an error that matters little, one does not."""
        for origin, bends in self.bends.items():
            for place, bend in bends.items():
                if abs(bend) > STRAIGHT * max(self.combined[place], min(abs(bend), 1e300)):
                    self.bent.add(place)
                    self.curved.add(origin)

    def _combined(self, place: Leaf) -> float:
        shares = self.parts.get(place[0], {}).get(place[1], {})
        return sqrt(sum(share * share for share in shares.values()))

    def _is_seen(self, place: Leaf) -> bool:
        bends = (abs(self.bends.get(origin, {}).get(place, 0.0)) for origin in self.curved)
        return 2 * (self.combined[place] + max(bends)) >= self.model.seen.get(place[0], 0.0)

    def _look_further(self) -> None:
        """Every error is moved to the ends of U too: a kink may be there that ±u does not reach, of a result
        too on which the error has no hold at ±u (the tyres, say, that only just take all that the engine
        gives)."""
        for origin in self.model.origins:
            end = self.model.end(origin)
            sides = {amount: self.model.tried(origin, amount) for amount in (end, -end)}
            found = [(amount, numbers_of(side) if side else {}) for amount, side in sides.items()]
            for place, middle in self.middle.items():
                off = max(self._off(origin, place, side.get(place), amount) for amount, side in found)
                if off > max(4 * STRAIGHT * self.combined[place], _SEEN * abs(middle)):
                    self.bent.add(place)
                    self.curved.add(origin)
                    bends = self.bends.setdefault(origin, {})
                    bends[place] = max(abs(bends.get(place, 0.0)), off / 2)

    def _off(self, origin: str, place: Leaf, there: float | None, amount: float) -> float:
        """How far a result at a move is off the straight line. Where there is none, that counts of an error
        that is most of the uncertainty: of others the result is hardly any other for it."""
        if there is None:
            return inf if self._governs(origin, place) else 0.0
        share = self.parts.get(place[0], {}).get(place[1], {}).get(origin, 0.0)
        return abs(there - self.middle[place] - amount * share)

    def _governs(self, origin: str, place: Leaf) -> bool:
        share = self.parts.get(place[0], {}).get(place[1], {}).get(origin, 0.0)
        return abs(share) > _GOVERNS * self.combined[place]


def contributions(
    compute: Callable[[dict[str, Any]], Outputs],
    values: dict[str, Any],
    uncertain: Mapping[InputPath, Mapping[str, float]],
    outputs: Outputs,
) -> Contributions:
    """Signed contribution of each origin to each output, to first order (JCGM 100:2008, 5.1.3 note 2).

    Half the change of the output when the inputs move from −u to +u; everything that shares an origin
    moves together, which keeps correlations (F.1.2). Raises `Refused` where an input's uncertainty
    reaches beyond what the calculation allows.
    """
    found: Contributions = {}
    for origin, steps in by_origin(uncertain).items():
        high, low = (compute(moved(values, steps, sign)) for sign in (1.0, -1.0))
        for name, key, _ in leaves(outputs):
            above, below = leaf(high, name, key), leaf(low, name, key)
            if above is not None and below is not None:
                found.setdefault(name, {}).setdefault(key, {})[origin] = (above - below) / 2
    return found


def by_origin(uncertain: Mapping[InputPath, Mapping[str, float]]) -> dict[str, dict[InputPath, float]]:
    """The same shares of numbers, by origin."""
    origins: dict[str, dict[InputPath, float]] = {}
    for path, parts in uncertain.items():
        for origin, step in parts.items():
            origins.setdefault(origin, {})[path] = step
    return origins


def leaves(outputs: Outputs) -> Iterator[tuple[str, str, float]]:
    """(output, key, number) of every number; key "" for a single value."""
    for name, value in outputs.items():
        if isinstance(value, dict):
            yield from ((name, key, number) for key, number in value.items())
        elif not isinstance(value, str):
            yield name, "", value


def numbers_of(outputs: Outputs) -> dict[Leaf, float]:
    """Every number of the outputs, by output and key."""
    return {(name, key): number for name, key, number in leaves(outputs)}


def leaf(outputs: Outputs, name: str, key: str) -> float | None:
    """One number of the outputs, or None where there is none."""
    value = outputs.get(name)
    if isinstance(value, dict):
        return value.get(key)
    return value if isinstance(value, float | int) and not key else None


def number_at(values: Any, path: Iterable[str | int]) -> float:
    """The number at a path of the inputs."""
    for part in path:
        values = values[part]
    return float(values)


def moved(values: Any, steps: Mapping[InputPath, float], sign: float) -> Any:
    """A copy of the inputs with every uncertain number moved by its step. What is not moved is shared."""
    copied: dict[InputPath, Any] = {(): values.copy()}
    for path, step in steps.items():
        for depth in range(1, len(path)):
            if path[:depth] not in copied:
                holder = copied[path[: depth - 1]]
                copied[path[:depth]] = holder[path[depth - 1]] = holder[path[depth - 1]].copy()
        holder = copied[path[:-1]]
        value = holder[path[-1]]
        number = float(value) + sign * step
        holder[path[-1]] = value.moved_to(number) if isinstance(value, AsWritten | Measure) else number
    return copied[()]
