"""One case of a block, ready to be computed again: for its uncertainty, a search or a sweep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, log10
from types import MappingProxyType
from typing import Any

from buildlog.book.goals import points_of, solve, the_one
from buildlog.book.propagation import Propagated
from buildlog.book.uncertainty import Contributions, leaf
from buildlog.diagnostics import Refused, did_you_mean, shorten
from buildlog.figures import units
from buildlog.figures.labels import write_figure
from buildlog.kinds.declaration import OWN_DIMENSION, Input, Number, Output, Outputs, Working
from buildlog.kinds.keys import address_key
from buildlog.kinds.kind import Kind
from buildlog.kinds.results import SweepResult, Value
from buildlog.reading.blocks import GOAL_SHAPE, Goal, Sweep
from buildlog.reading.inputs import FAILED, InputReader

_NOT_SOUGHT = ("text", OWN_DIMENSION)
"""Dimensions of outputs that no goal and no sweep can be of: it is not known before what they measure."""


@dataclass(kw_only=True)
class BlockRun:
    """A case with its inputs read. `values` are SI; `found` declares the input that was sought, `spread`
    is the uncertainty of its outputs, `place` the address of the case."""

    kind: Kind
    inputs: tuple[Input, ...]
    declared: Mapping[str, Output]
    values: dict[str, Any]
    reader: InputReader
    found: Output | None = None
    spread: Propagated | None = None
    place: str = ""

    def compute(self, values: dict[str, Any], shifts: Mapping[str, float] = MappingProxyType({})) -> Outputs:
        """Outputs for other inputs or with doubts moved, without a working. Raises what the calculator
        raises."""
        working = Working(shifts=shifts, place=self.place, noted=False)
        outputs: Outputs = self.kind.compute(values, working)
        return outputs

    def number(self, name: str) -> Number:
        """The form of an input that can be sought or swept: a plain number."""
        number = next((declared.form.number for declared in self.inputs if declared.name == name), None)
        if number is None:
            raise _no_number(name, self.inputs)
        return number

    def quantity(self, text: str) -> tuple[Output, str]:
        """The declared output and key of ``quantity.key``."""
        name, _, key = text.partition(".")
        output = self.declared.get(name)
        if output is None or output.dimension in _NOT_SOUGHT or bool(key) != bool(output.key):
            known = [output.name for output in self.declared.values() if output.dimension not in _NOT_SOUGHT]
            wanted = f"{name}.{output.key.upper()}" if output is not None and output.key else "a quantity"
            raise Refused("", f"“{text}”", wanted, help=did_you_mean(name, known), code=GOAL_SHAPE)
        return output, address_key(key)

    def check_key(self, outputs: Outputs, output: Output, key: str) -> None:
        """Refuse a key that a listed quantity has not, whatever the input: nothing could ever meet it."""
        values = outputs.get(output.name)
        if isinstance(values, dict) and key not in values:
            found, expected = f"“{output.name}.{key}”", f"{output.name} and one of " + ", ".join(values)
            hint = did_you_mean(key, values)
            raise Refused("", found, shorten(expected, 200), help=hint, code=GOAL_SHAPE)

    def tried(self) -> Outputs:
        """The outputs for the values as they are, nothing where the calculation refuses them."""
        try:
            return self.compute(self.values)
        except (Refused, OverflowError):
            return {}

    def at(self, name: str, x: float, output: str, key: str) -> float | None:
        """One quantity with one input changed; None where the calculation refuses it."""
        try:
            return leaf(self.compute({**self.values, name: x}), output, key)
        except (Refused, OverflowError):
            return None

    def seek(self, goal: Goal) -> dict[str, float]:
        """Find the goal's input and put it among the values. Returns the slope of the quantity there."""
        form = self.number(goal.name)
        output, key = self.quantity(goal.quantity)
        target = self.reader.read(
            goal.target, Number(dimension=output.dimension, unit=output.unit), ("so_that",)
        )
        high = self.reader.read(goal.high, form, ("between",))
        for path in ("so_that", "between", goal.name):
            self.reader.uncertain.pop((path,), None)
            self.reader.assumed.pop((path,), None)
        if target is FAILED or high is FAILED:
            return {}
        low = self.values[goal.name]
        if not low < high:
            raise Refused("", "bounds that are not low, high", "between: [low, high]", code=GOAL_SHAPE)

        self.check_key(self.tried(), output, key)

        def quantity(x: float) -> float | None:
            return self.at(goal.name, x, output.name, key)

        def shown(si: float) -> str:
            return _shown(si, output.dimension, output.unit)

        root = the_one(
            solve(quantity, target, low, high),
            quantity,
            low=low,
            high=high,
            show_input=lambda x: _shown(x, form.dimension, form.unit),
            show_quantity=shown,
            name=goal.name,
            goal=f"{goal.quantity} = {goal.target.text}",
        )
        self.values[goal.name] = root
        about = f"found so that {goal.quantity} = {goal.target.text}"
        self.found = Output(
            name=goal.name,
            title=next(declared.label for declared in self.inputs if declared.name == goal.name),
            dimension=form.dimension,
            unit=form.unit,
            about=about,
            decimals=_decimals(root, form),
        )
        step = (high - low) * 1e-6
        above, below = quantity(root + step), quantity(root - step)
        return {} if above is None or below is None else {"slope": (above - below) / (2 * step)}

    def found_value(self, goal: Goal, parts: Contributions, slopes: Mapping[str, float]) -> Value:
        """The input that was found, as a value. Where its quantity is uncertain at a fixed input, the input
        is uncertain by that over the slope (implicit differentiation; JCGM 100:2008, 5.1.3)."""
        assert self.found is not None
        name, _, key = goal.quantity.partition(".")
        slope = slopes.get("slope", 0.0)
        there = parts.get(name, {}).get(key, {}) if slope else {}
        shares = {origin: -part / slope for origin, part in there.items()}
        return Value(
            si=self.values[goal.name],
            dimension=self.found.dimension,
            unit=self.found.unit,
            decimals=self.found.decimals,
            contributions=shares,
        )


def _no_number(name: str, inputs: tuple[Input, ...]) -> Refused:
    numbers = [declared.name for declared in inputs if declared.form.number is not None]
    hint = did_you_mean(name, numbers)
    return Refused("", f"“{name}”", "an input that is one number", help=hint, code=GOAL_SHAPE)


def not_sought(goal: Goal, inputs: tuple[Input, ...]) -> Refused | None:
    """Why a goal's input cannot be sought, or None where it can."""
    good = any(declared.name == goal.name and declared.form.number is not None for declared in inputs)
    return None if good else _no_number(goal.name, inputs)


def swept(sweep: Sweep, runs: Mapping[str, BlockRun]) -> tuple[SweepResult, Number]:
    """Every case of a block over the range of one input."""
    first = next(iter(runs.values()))
    form = first.number(sweep.name)
    ends = [
        first.reader.read(part, form if index < 2 else _step_form(form), ("sweep",))
        for index, part in enumerate((sweep.start, sweep.stop, sweep.step))
    ]
    if any(end is FAILED for end in ends):
        fault = first.reader.faults[-1]
        raise Refused("", fault.found, fault.expected, help=fault.help, code=fault.code)
    points = points_of(*ends)
    columns: list[tuple[str, Output, str]] = []
    values: dict[tuple[str, Output, str], tuple[float | None, ...]] = {}
    refusal = ""
    for case, run in runs.items():
        wanted = [run.quantity(quantity.text) for quantity in sweep.of]
        rows: list[Outputs] = []
        for x in points:
            try:
                rows.append(run.compute({**run.values, sweep.name: x}))
            except (Refused, OverflowError) as error:
                rows.append({})
                refusal = refusal or f"{_shown(x, form.dimension, form.unit)}: {error}"
        for output, key in wanted:
            column = (case, output, key)
            columns.append(column)
            values[column] = tuple(leaf(row, output.name, key) for row in rows)
    for case, output, key in columns:  # cases may have rows of their own, but one of them has this
        if not any(number is not None for other in runs for number in values.get((other, output, key), ())):
            runs[case].check_key(runs[case].tried(), output, key)
    label = sweep.name.replace("_", " ")
    result = SweepResult(
        name=sweep.name,
        label=label,
        dimension=form.dimension,
        unit=form.unit,
        points=tuple(points),
        columns=tuple(columns),
        values=values,
        refusal=refusal,
    )
    return result, form


def _step_form(form: Number) -> Number:
    """A step has the input's dimension and none of its bounds; that of a temperature is a difference."""
    if form.dimension == "temperature":
        return Number(dimension="temperature difference", unit="K")
    return Number(dimension=form.dimension, unit=form.unit)


def _shown(si: float, dimension: str, symbol: str) -> str:
    unit = units.find(symbol, dimension)
    value = unit.from_si(si)
    return write_figure(value, max(0, min(6, 4 - len(str(int(abs(value)))))), unit.symbol)


def _decimals(si: float, form: Number) -> int:
    """Decimals that show four significant digits of a found value in its own unit."""
    unit = units.find(form.unit, form.dimension)
    value = abs(unit.from_si(si))
    return max(0, 3 - floor(log10(value))) if value else 3
