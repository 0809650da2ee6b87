"""What a block may ask beyond its inputs: `find … so_that … between …`, and `sweep … of …`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.diagnostics import Diagnostic, Position, declare, shorten
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar, describe

KEYS = ("find", "so_that", "between", "sweep", "of")
_QUANTITY = re.compile(r"[A-Za-z0-9_\-]+(?:\.[A-Za-z0-9_\-]+)?")
_SWEEP = re.compile(r"(?P<name>[a-z0-9_]+) from (?P<start>.+?) to (?P<stop>.+?) by (?P<step>.+)")

GOAL_SHAPE = declare(
    "goal-shape",
    "what is to be found, or swept, is not said fully",
    why="A search needs one input to change, one quantity to meet and the bounds to look in.",
    mend="Write find: input, so_that: {quantity.key: value}, between: [low, high]; or sweep: input from "
    "low to high by step, with of: [quantity.key].",
    example="find: final_drive        # without so_that and between",
)


@dataclass(frozen=True, kw_only=True)
class Goal:
    """Find the input `name` so that `quantity` meets `target`, looking from `low` to `high`."""

    name: str
    quantity: str
    target: YamlScalar
    low: YamlScalar
    high: YamlScalar
    position: Position


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """Change the input `name` from `start` to `stop` by `step` and list the quantities `of`."""

    name: str
    start: YamlScalar
    stop: YamlScalar
    step: YamlScalar
    of: tuple[YamlScalar, ...]
    position: Position


def read_goal(root: YamlMapping, faults: list[Diagnostic]) -> Goal | None:
    """The block's `find`, or None; half a goal is a fault."""
    parts = {key: root.get(key) for key in ("find", "so_that", "between")}
    if not any(parts.values()):
        return None
    position = next(part.position for part in parts.values() if part is not None)
    missing = [key for key, part in parts.items() if part is None]
    if missing:
        faults.append(GOAL_SHAPE.at(position, found="no " + " and no ".join(missing), expected="all three"))
        return None
    find, so_that, between = parts["find"], parts["so_that"], parts["between"]
    if not isinstance(find, YamlScalar) or not find.text:
        _fault(find, "find: the name of an input", faults)
        return None
    if not (isinstance(so_that, YamlMapping) and len(so_that.entries) == 1):
        _fault(so_that, "so_that: {quantity.key: value}, one quantity", faults)
        return None
    key, value = so_that.entries[0]
    if not isinstance(value, YamlScalar) or not _QUANTITY.fullmatch(key.text):
        _fault(value, "so_that: {quantity.key: value}", faults)
        return None
    ends = between.items if isinstance(between, YamlList) else ()
    if len(ends) != 2 or not all(isinstance(end, YamlScalar) for end in ends):
        _fault(between, "between: [low, high]", faults)
        return None
    low, high = ends
    assert isinstance(low, YamlScalar)
    assert isinstance(high, YamlScalar)
    return Goal(name=find.text, quantity=key.text, target=value, low=low, high=high, position=find.position)


def read_sweep(root: YamlMapping, faults: list[Diagnostic]) -> Sweep | None:
    """The block's `sweep`, or None; a sweep of nothing is a fault."""
    sweep, of = root.get("sweep"), root.get("of")
    if sweep is None and of is None:
        return None
    if sweep is None or of is None:
        node = of if sweep is None else sweep
        _fault(node, "sweep: input from low to high by step, and of: [quantity.key]", faults)
        return None
    match = _SWEEP.fullmatch(sweep.text.strip()) if isinstance(sweep, YamlScalar) else None
    if match is None:
        _fault(sweep, "sweep: input from low to high by step", faults)
        return None
    items = of.items if isinstance(of, YamlList) else (of,)
    names = tuple(item for item in items if isinstance(item, YamlScalar) and _QUANTITY.fullmatch(item.text))
    if not names or len(names) != len(items) or len(names) > 12:
        _fault(of, "of: [quantity.key, …], one to twelve", faults)
        return None

    def part(name: str) -> YamlScalar:
        return YamlScalar(sweep.position, match[name].strip())

    return Sweep(
        name=match["name"],
        start=part("start"),
        stop=part("stop"),
        step=part("step"),
        of=names,
        position=sweep.position,
    )


def _fault(node: YamlNode | None, expected: str, faults: list[Diagnostic]) -> None:
    assert node is not None
    found = describe(node) if not isinstance(node, YamlScalar) else f"“{shorten(node.text)}”"
    faults.append(GOAL_SHAPE.at(node.position, found=found, expected=expected))
