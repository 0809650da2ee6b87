"""What the rows of a table reach: the least, the greatest and the mean of a column, and where they occur.

`torque_curve.greatest_torque` is the peak and `torque_curve.engine_speed_at_greatest_torque` its speed. A
curve of torque over engine speed has `greatest_power` too; its rows are joined by straight lines there, as
the calculators join them. The mean is that of the rows as they stand, each counted once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from buildlog.book.uncertainty import InputPath, contributions
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.kinds.declaration import Outputs
from buildlog.kinds.results import GivenInput, InsidePath, Value
from buildlog.physics.traction import speed_of_greatest_power, torque_between

Reached = tuple[Value | None, str]
"""A number, or a word."""

_ROWS = "rows"
_POWER = "greatest_power"
_EQUAL = 1e-12
"""Relative: values closer than that were written as one."""


def extremes(given: GivenInput) -> dict[str, Reached]:
    """The named values of a table's rows, or of a list's items, by name; {} of an input that is neither."""
    if given.declared.form.item is not None:
        column = {index: value for (index,), value in given.numbers.items() if isinstance(index, int)}
        return {name: (value, "") for name, value in _of_column("", column).items()}
    # A log has no rows here, but numbers: those of its rules.
    columns = _columns(given.numbers) if given.declared.form.row else {}
    if not columns:
        return {}
    reached: dict[str, Reached] = {}
    for name, column in columns.items():
        reached |= {key: (value, "") for key, value in _of_column(f"_{name}", column).items()}
        reached |= _places(given, columns, name)
    return reached | {name: (value, "") for name, value in _power(columns).items()}


def _columns(numbers: Mapping[InsidePath, Value]) -> dict[str, dict[int, Value]]:
    """Column → row → value."""
    columns: dict[str, dict[int, Value]] = {}
    for (row, column), value in numbers.items():
        assert isinstance(row, int)
        columns.setdefault(str(column), {})[row] = value
    return columns


def _of_column(suffix: str, column: Mapping[int, Value]) -> dict[str, Value]:
    values = list(column.values())
    if not values:
        return {}
    least, greatest = (choose(values, key=lambda value: value.si) for choose in (min, max))
    return {f"least{suffix}": least, f"greatest{suffix}": greatest, f"mean{suffix}": _mean(values)}


def _mean(values: list[Value]) -> Value:
    """The arithmetic mean, to a decimal more than its first value is written with."""
    shares: dict[str, float] = {}
    for value in values:
        for origin, part in value.contributions.items():
            shares[origin] = shares.get(origin, 0.0) + part / len(values)
    first = values[0]
    mean = sum(value.si for value in values) / len(values)
    return replace(first, si=mean, decimals=first.decimals + 1, contributions=shares, low=None, high=None)


def _places(given: GivenInput, columns: Mapping[str, Mapping[int, Value]], name: str) -> dict[str, Reached]:
    """Where a column is least and greatest: the row's name, or the value of the first column there. Where
    several rows share it there is no one place, and no name for it."""
    column = columns[name]
    first = next(iter(columns))
    found: dict[str, Reached] = {}
    for which, choose in (("least", min), ("greatest", max)):
        extreme = choose(value.si for value in column.values())
        rows = [row for row, value in column.items() if abs(value.si - extreme) <= _EQUAL * abs(extreme)]
        if len(rows) != 1:
            continue
        named = given.words.get((rows[0], "name"), "")
        if named:
            found[f"name_at_{which}_{name}"] = (None, named)
        elif first != name and rows[0] in columns[first]:
            found[f"{first}_at_{which}_{name}"] = (columns[first][rows[0]], "")
    return found


def _power(columns: Mapping[str, Mapping[int, Value]]) -> dict[str, Value]:
    """Greatest power of a curve of torque over rotational speed, and its speed."""
    if len(columns) != 2:
        return {}
    (along, speeds), (_, torques) = columns.items()
    if speeds.keys() != torques.keys():
        return {}
    dimensions = [next(iter(column.values())).dimension for column in (speeds, torques)]
    if dimensions != ["rotational speed", "torque"]:
        return {}

    def compute(values: dict[str, Any]) -> Outputs:
        power, speed = _greatest_power([(row["speed"], row["torque"]) for row in values[_ROWS]])
        return {_POWER: power, f"{along}_at_{_POWER}": speed}

    rows = [{"speed": speeds[row].si, "torque": torques[row].si} for row in speeds]
    uncertain: dict[InputPath, Mapping[str, float]] = {
        (_ROWS, place, name): value.contributions
        for name, column in (("speed", speeds), ("torque", torques))
        for place, value in enumerate(column.values())
        if value.contributions
    }
    try:
        outputs = compute({_ROWS: rows})
        parts = contributions(compute, {_ROWS: rows}, uncertain, outputs)
    except Refused:  # rows that do not rise, as a car's sheet may have for kinds that take them so
        return {}
    speed, torque = next(iter(speeds.values())), next(iter(torques.values()))
    us = units.find(torque.unit, "torque").system == "us"
    found = {}
    for name, number in outputs.items():
        assert isinstance(number, float)
        like = speed
        if name == _POWER:
            like = Value(si=0.0, dimension="power", unit="hp" if us else "kW", decimals=1)
        found[name] = replace(like, si=number, contributions=parts.get(name, {}).get("", {}))
    return found


def _greatest_power(rows: list[tuple[float, float]]) -> tuple[float, float]:
    """The most power of a curve of rows (speed, torque), SI, and the speed that it is at."""
    points = [(torque * speed, speed) for speed, torque in rows]
    for (lower, torque), (upper, upper_torque) in pairwise(rows):
        speed = speed_of_greatest_power(lower, torque, upper, upper_torque)
        between = torque_between(speed, lower, torque, upper, upper_torque)
        points.append((between * speed, speed))
    return max(points, key=lambda point: point[0])
