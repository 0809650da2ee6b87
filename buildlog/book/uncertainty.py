"""Uncertainty of outputs from uncertain inputs, by moving the inputs and computing again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from buildlog.diagnostics import AsWritten, Refused
from buildlog.kinds.declaration import Measure, Outputs

InputPath = tuple[str | int, ...]
Contributions = dict[str, dict[str, dict[str, float]]]
"""Output → key ("" for a single value) → origin → signed standard uncertainty that it contributes."""


def contributions(
    compute: Callable[[dict[str, Any]], Outputs],
    values: dict[str, Any],
    uncertain: Mapping[InputPath, Mapping[str, float]],
    outputs: Outputs,
) -> Contributions:
    """Signed contribution of each origin to each output (JCGM 100:2008, 5.1.3 note 2).

    Half the change of the output when the inputs move from −u to +u; everything that shares an origin
    moves together, which keeps correlations (F.1.2). Raises `Refused` where an input's uncertainty
    reaches beyond what the calculation allows.
    """
    origins: dict[str, dict[InputPath, float]] = {}
    for path, parts in uncertain.items():
        for origin, step in parts.items():
            origins.setdefault(origin, {})[path] = step
    found: Contributions = {}
    for origin, steps in origins.items():
        try:
            high = compute(moved(values, steps, 1.0))
            low = compute(moved(values, steps, -1.0))
        except (Refused, OverflowError) as error:
            raise Refused(
                "",
                f"no result within one standard uncertainty of the value at {origin}: {error}",
                "inputs that hold over their uncertainty",
                help="state a smaller uncertainty, or an input further from its limit",
            ) from error
        for name, key, middle in leaves(outputs):
            moved_by = _moved_by(leaf(high, name, key), middle, leaf(low, name, key))
            if moved_by is not None:
                found.setdefault(name, {}).setdefault(key, {})[origin] = moved_by
    return found


def contributions_of_method(
    compute: Callable[[Mapping[str, float]], Outputs], doubted: Iterable[str], outputs: Outputs
) -> Contributions:
    """Signed contribution of each doubt of the method to each output; `doubted` are their origins.

    As with inputs, half the change between −u and +u. Where the model has no result on one side, that side
    is taken to be as far away as the other: it is our doubt that leads there, not the author's.
    """
    found: Contributions = {}
    for origin in doubted:
        high, low = (_at(compute, {origin: sign}) for sign in (1.0, -1.0))
        for name, key, middle in leaves(outputs):
            moved_by = _moved_by(leaf(high, name, key), middle, leaf(low, name, key))
            if moved_by:
                found.setdefault(name, {}).setdefault(key, {})[origin] = moved_by
    return found


def _moved_by(above: float | None, middle: float, below: float | None) -> float | None:
    """Half the change from below to above; where there is no value on one side (a row that is beyond what is
    listed, say), that side is taken to be as far away as the other."""
    if above is not None and below is not None:
        return (above - below) / 2
    if above is not None:
        return above - middle
    return None if below is None else middle - below


def _at(compute: Callable[[Mapping[str, float]], Outputs], shifts: Mapping[str, float]) -> Outputs:
    try:
        return compute(shifts)
    except (Refused, OverflowError):
        return {}


def together(first: Contributions, second: Contributions) -> Contributions:
    """Both contributions, whose origins are not the same ones."""
    return {
        name: {
            key: {**first.get(name, {}).get(key, {}), **second.get(name, {}).get(key, {})}
            for key in first.get(name, {}).keys() | second.get(name, {}).keys()
        }
        for name in first.keys() | second.keys()
    }


def leaves(outputs: Outputs) -> Iterator[tuple[str, str, float]]:
    """(output, key, number) of every number; key "" for a single value."""
    for name, value in outputs.items():
        if isinstance(value, dict):
            yield from ((name, key, number) for key, number in value.items())
        elif not isinstance(value, str):
            yield name, "", value


def leaf(outputs: Outputs, name: str, key: str) -> float | None:
    """One number of the outputs, or None where there is none."""
    value = outputs.get(name)
    if isinstance(value, dict):
        return value.get(key)
    return value if isinstance(value, float | int) and not key else None


def moved(values: Any, steps: Mapping[InputPath, float], sign: float, path: InputPath = ()) -> Any:
    """A copy of the inputs with every uncertain number moved by its step."""
    if path in steps:
        number = float(values) + sign * steps[path]
        return values.moved_to(number) if isinstance(values, AsWritten | Measure) else number
    if isinstance(values, dict):
        return {key: moved(value, steps, sign, (*path, key)) for key, value in values.items()}
    if isinstance(values, list):
        return [moved(value, steps, sign, (*path, index)) for index, value in enumerate(values)]
    return values
