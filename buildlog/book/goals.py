"""Searches and sweeps: the one input that meets a target, and results over a range of an input."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import isfinite
from types import MappingProxyType
from typing import Any

from buildlog.diagnostics import NoSolution, Refused
from buildlog.kinds.declaration import Axis, CaseView, ChartSpec, Marker, Number, Output, Series
from buildlog.kinds.results import SweepResult
from buildlog.reading.blocks import GOAL_SHAPE

LOOKED = 240
"""How many steps the bounds are divided into. Two solutions closer than one step are taken for none."""
MOST_POINTS = 200

Quantity = Callable[[float], float | None]
"""The quantity at a value of the input, SI; None where the calculation refuses the value."""


def solve(quantity: Quantity, target: float, low: float, high: float) -> list[float]:
    """All x from `low` to `high` with quantity(x) = target, found by bracketing and bisection.

    Each root lies within 1e-13 of the interval. Sign changes at a jump are no roots. Roots that only
    touch the target, and two within one of `LOOKED` steps, are not seen.
    """
    span = high - low
    points = [low + span * index / LOOKED for index in range(LOOKED + 1)]
    values = [_difference(quantity, x, target) for x in points]
    known = [abs(value) for value in values if value is not None]
    scale = max(known, default=0.0)
    roots: list[float] = []
    for (a, fa), (b, fb) in pairwise(zip(points, values, strict=True)):
        if fa is None or fb is None:
            continue
        if fa == 0:
            roots.append(a)
        elif fa * fb < 0:
            root = _bisected(quantity, target, a=a, b=b, fa=fa)
            rest = _difference(quantity, root, target)
            if rest is not None and abs(rest) <= 1e-7 * max(scale, abs(target)):
                roots.append(root)
    if values[-1] == 0:
        roots.append(points[-1])
    return roots


def _difference(quantity: Quantity, x: float, target: float) -> float | None:
    value = quantity(x)
    if value is None or not isfinite(value):
        return None
    return value - target


def _bisected(quantity: Quantity, target: float, a: float, b: float, fa: float) -> float:
    for _ in range(80):
        middle = (a + b) / 2
        value = _difference(quantity, middle, target)
        if value is None or middle in (a, b):
            break
        if value == 0:
            return middle
        if (value < 0) == (fa < 0):
            a, fa = middle, value
        else:
            b = middle
    return (a + b) / 2


def the_one(
    roots: list[float],
    quantity: Quantity,
    low: float,
    high: float,
    show_input: Callable[[float], str],
    show_quantity: Callable[[float], str],
    name: str,
    goal: str,
) -> float:
    """The only root, or `NoSolution` that says what was met instead, or that there are several."""
    if len(roots) == 1:
        return roots[0]
    if roots:
        found = f"{len(roots)} values of {name}: " + ", ".join(show_input(root) for root in roots[:6])
        raise NoSolution(
            name, found, "bounds with a single one", help="draw `between` closer round the one you want"
        )
    points = [low + (high - low) * index / LOOKED for index in range(LOOKED + 1)]
    met = [value for value in map(quantity, points) if value is not None and isfinite(value)]
    between = f"{show_input(low)} to {show_input(high)}"
    if not met:
        raise NoSolution(name, f"no result at all for {name} from {between}", "bounds that can be computed")
    reach = f"{show_quantity(min(met))} to {show_quantity(max(met))}"
    raise NoSolution(
        name,
        f"{goal} is nowhere met for {name} from {between}",
        f"a target within {reach}",
        help="widen `between`, or ask for what can be had",
    )


def points_of(start: float, stop: float, step: float) -> list[float]:
    """Values from start to stop, both among them where the step fits; raises `Refused` for nonsense."""
    if not (step > 0 and stop > start):
        raise Refused(
            "sweep", "a sweep that goes nowhere", "from low to high by more than 0", code=GOAL_SHAPE
        )
    count = int((stop - start) / step + 1e-9) + 1
    if count > MOST_POINTS:
        found = f"{count} points"
        raise Refused("sweep", found, f"at most {MOST_POINTS}", help="take a larger step", code=GOAL_SHAPE)
    return [start + step * index for index in range(count)]


def in_words(output: Output, key: str) -> str:
    """A swept quantity in words: ``engine speed at cruise speed, gear 2``."""
    if not key:
        return output.title
    return f"{output.title}, {output.key} {key.replace('_', ' ')}"


def sweep_charts(
    sweep: SweepResult, form: Number, cases: Mapping[str, CaseView] = MappingProxyType({})
) -> tuple[ChartSpec, ...]:
    """One chart for each dimension among the swept quantities, in the order they were named. What the block's
    `cases` were given for the swept input, and the limits of what is drawn, are lines."""
    chosen = _chosen(sweep, cases)
    groups: dict[str, list[tuple[str, Output, str]]] = {}
    for column in sweep.columns:
        groups.setdefault(column[1].dimension, []).append(column)
    x_axis = Axis(sweep.label, form.dimension, form.unit)
    charts = []
    for dimension, columns in groups.items():
        first = columns[0][1]
        same = len({(output.name, key) for _, output, key in columns}) == 1
        what = in_words(first, columns[0][2]) if same else first.title
        series = []
        for style, column in enumerate(columns):
            pairs = [(x, y) for x, y in zip(sweep.points, sweep.values[column], strict=True) if y is not None]
            if len(pairs) < 2:
                continue
            case, output, key = column
            label = ", ".join(filter(None, (case, "" if same else in_words(output, key))))
            series.append(
                Series(label=label or what, x=[x for x, _ in pairs], y=[y for _, y in pairs], style=style)
            )
        if series:
            charts.append(
                ChartSpec(
                    title=f"{what[:1].upper()}{what[1:]} over {sweep.label}",
                    description=f"All else is as in the block; {sweep.label} alone is changed.",
                    x=x_axis,
                    y=Axis(what, dimension, first.unit),
                    series=tuple(series),
                    markers=(*chosen, *_limits([key for _, *key in columns], cases)),
                )
            )
    return tuple(charts)


def _chosen(sweep: SweepResult, cases: Mapping[str, CaseView]) -> tuple[Marker, ...]:
    """What the cases have for the swept input, where that is within the sweep; one line where they agree."""
    names: dict[float, list[str]] = {}
    for name, case in cases.items():
        value = case.inputs.get(sweep.name)
        if isinstance(value, float) and sweep.points[0] <= value <= sweep.points[-1]:
            names.setdefault(float(value), []).append(name)
    alone = len(names) == 1
    return tuple(
        Marker("in the block" if alone else ", ".join(cases_of), x=value)
        for value, cases_of in sorted(names.items())
    )


def _limits(drawn: list[list[Any]], cases: Mapping[str, CaseView]) -> tuple[Marker, ...]:
    """The limits that the cases' results of what is drawn have to keep to."""
    wanted = {(output.name, key) for output, key in drawn}
    lines: dict[tuple[str, float], None] = {}
    for case in cases.values():
        for limit in case.limits:
            if (limit.output, limit.key) in wanted:
                for label, value in (("at least", limit.least), ("at most", limit.most)):
                    if value is not None:
                        lines[label, value] = None
    return tuple(Marker(label, y=value) for label, value in lines)
