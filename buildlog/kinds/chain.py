"""Where the arguments of a step come from: earlier steps and inputs of its case, found by their values.

A formula gets plain floats, so that what gave one of them is read off the numbers: an earlier result or an
input that is the very same float. Where several are, the one counts that bears the argument's name or
symbol; where that leaves several, all of them are named and none is chosen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from buildlog.formulae.formula import formula_of
from buildlog.kinds.results import CaseResult

_TELLING_NOTHING = frozenset((0.0, 1.0, -1.0, 2.0))
"""Values that many things have: they need a name besides."""
_MOST_NAMED = 3


@dataclass(frozen=True, kw_only=True)
class Origin:
    """What an argument is: results of the steps at these places of the case, or these inputs. More than one
    where the numbers do not tell which; none of either where nothing is known to have given it."""

    steps: tuple[int, ...] = ()
    inputs: tuple[str, ...] = ()

    @property
    def is_sure(self) -> bool:
        """Whether it is one thing."""
        return len(self.steps) + len(self.inputs) == 1


def origins_of_steps(case: CaseResult) -> list[Mapping[str, Origin]]:
    """For each step of a case, where each of its arguments comes from."""
    inputs = _inputs_by_value(case)
    results: dict[float, list[int]] = {}
    found: list[Mapping[str, Origin]] = []
    for place, step in enumerate(case.steps):
        symbols = {row.name: row.symbol for row in formula_of(step.function).symbols}
        found.append(
            {
                name: _origin(case, place, name, symbols.get(name, ""), results, inputs)
                for name in step.arguments
            }
        )
        results.setdefault(step.result, []).append(place)
    return found


def _origin(
    case: CaseResult,
    place: int,
    name: str,
    symbol: str,
    results: Mapping[float, list[int]],
    inputs: Mapping[float, list[str]],
) -> Origin:
    step = case.steps[place]
    value = step.arguments[name]
    steps, given = results.get(value, []), inputs.get(value, [])
    named = [one for one in steps if _is_called(case, one, name)], [one for one in given if one == name]
    if any(named):
        steps, given = named
    elif value in _TELLING_NOTHING:
        return Origin()
    elif alike := [one for one in steps if _symbol(case, one) == symbol]:
        steps, given = alike, []
    key = step.name.partition(".")[2]
    if key and (same_key := [one for one in steps if case.steps[one].name.partition(".")[2] == key]):
        steps = same_key
    # The same thing, worked out again under its own name, is one thing: the latest stands for it.
    latest = {case.steps[one].name: one for one in steps}
    if len(latest) + len(given) > _MOST_NAMED:
        return Origin()
    return Origin(steps=tuple(latest.values()), inputs=tuple(given))


def _is_called(case: CaseResult, place: int, name: str) -> bool:
    """Whether a step is called as an argument is, by its output or by its formula."""
    step = case.steps[place]
    return name in (step.name.partition(".")[0], step.function.__name__)


def _symbol(case: CaseResult, place: int) -> str:
    return formula_of(case.steps[place].function).result.symbol


def _inputs_by_value(case: CaseResult) -> dict[float, list[str]]:
    """The inputs by each number that stands in them."""
    found: dict[float, list[str]] = {}
    for name, given in case.given.items():
        for value in set(_numbers(given.value)):
            found.setdefault(value, []).append(name)
    return found


def _numbers(value: object) -> Iterable[float]:
    match value:
        case bool() | str():
            return
        case int() | float():
            yield float(value)
        case Mapping():
            for part in value.values():
                yield from _numbers(part)
        case list() | tuple():
            for part in value:
                yield from _numbers(part)


def way_to(place: int, origins: list[Mapping[str, Origin]]) -> list[int]:
    """The steps that lead to a step, in order; where the numbers leave several open, all of them."""
    found: set[int] = set()
    ahead = [place]
    while ahead:
        for origin in origins[ahead.pop()].values():
            new = set(origin.steps) - found
            found |= new
            ahead += new
    return sorted(found)
