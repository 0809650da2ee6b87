"""Blocks, their nodes and values as JSON, and back: what the builder of a page sends to the browser.

Nodes keep their places. A place is the origin of what a value contributes to an uncertainty, so that two
values from one place stay one error, and it says which field a fault belongs to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from buildlog.diagnostics import Position
from buildlog.figures.values import parse_doubt
from buildlog.kinds.results import Value
from buildlog.reading.blocks import Block, CarChange, CarSheet, Goal, Sweep
from buildlog.reading.common_errors import CommonError
from buildlog.reading.data import DataCell, Heading
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar

Named = Mapping[str, tuple[YamlScalar, YamlNode]]


def place_out(position: Position) -> list[Any]:
    """A place as JSON."""
    return [position.path, position.line, position.column]


def place_in(carried: list[Any]) -> Position:
    """A place from JSON."""
    return Position(carried[0], carried[1], carried[2])


def node_out(node: YamlNode) -> dict[str, Any]:
    """A node with all below it as JSON."""
    made: dict[str, Any] = {"at": place_out(node.position)}
    if isinstance(node, YamlList):
        made["items"] = [node_out(item) for item in node.items]
    elif isinstance(node, YamlMapping):
        made["entries"] = [[node_out(key), node_out(value)] for key, value in node.entries]
    elif isinstance(node, YamlScalar):
        made["text"] = node.text
        if node.quoted:
            made["quoted"] = True
        if isinstance(node, DataCell):
            made |= {"unit": node.unit, "heading": place_out(node.heading), "called": node.called}
    return made


def node_in(carried: Mapping[str, Any]) -> YamlNode:
    """A node from JSON."""
    here = place_in(carried["at"])
    if "items" in carried:
        return YamlList(here, tuple(node_in(item) for item in carried["items"]))
    if "entries" in carried:
        return YamlMapping(here, tuple((_scalar(key), node_in(value)) for key, value in carried["entries"]))
    return _scalar(carried)


def _scalar(carried: Mapping[str, Any]) -> YamlScalar:
    here = place_in(carried["at"])
    text, quoted = carried["text"], bool(carried.get("quoted"))
    if "heading" not in carried:
        return YamlScalar(here, text, quoted)
    heading = place_in(carried["heading"])
    return DataCell(
        position=here,
        text=text,
        quoted=quoted,
        unit=carried["unit"],
        heading=heading,
        called=carried["called"],
    )


def named_out(named: Named) -> dict[str, Any]:
    """Named nodes, the inputs of a block or a case, as JSON."""
    return {name: [node_out(key), node_out(node)] for name, (key, node) in named.items()}


def named_in(carried: Mapping[str, Any]) -> dict[str, tuple[YamlScalar, YamlNode]]:
    """Named nodes from JSON."""
    return {name: (_scalar(key), node_in(node)) for name, (key, node) in carried.items()}


def value_out(value: Value) -> dict[str, Any]:
    """A value with its uncertainty as JSON."""
    return {
        "si": value.si,
        "dimension": value.dimension,
        "unit": value.unit,
        "decimals": value.decimals,
        "contributions": dict(value.contributions),
        "low": value.low,
        "high": value.high,
    }


def value_in(carried: Mapping[str, Any]) -> Value:
    """A value from JSON."""
    return Value(
        si=float(carried["si"]),
        dimension=carried["dimension"],
        unit=carried["unit"],
        decimals=carried["decimals"],
        contributions={origin: float(part) for origin, part in carried["contributions"].items()},
        low=carried["low"],
        high=carried["high"],
    )


# --- a block -------------------------------------------------------------------------------


def block_out(block: Block) -> dict[str, Any]:
    """A block as JSON, less what is for people only: what it shows, what foretold it, its faults."""
    return {
        "page": block.page,
        "id": block.id,
        "kind": block.kind,
        "at": place_out(block.position),
        "car": block.car,
        "car_state": block.car_state,
        "inputs": named_out(block.inputs),
        "cases": {name: named_out(changed) for name, changed in block.cases.items()},
        "case_states": {name: node_out(state) for name, state in block.case_states.items()},
        "common": [
            {"name": one.name, "of": [node_out(name) for name in one.of], "by": node_out(one.at)}
            for one in block.common
        ],
        "places": {key: place_out(place) for key, place in block.places.items()},
        "goal": None if block.goal is None else _goal_out(block.goal),
        "sought": block.sought,
        "sweep": None if block.sweep is None else _sweep_out(block.sweep),
        "options": dict(block.options),
        "chosen": block.chosen,
    }


def _goal_out(goal: Goal) -> dict[str, Any]:
    return {
        "name": goal.name,
        "quantity": goal.quantity,
        "target": node_out(goal.target),
        "low": node_out(goal.low),
        "high": node_out(goal.high),
        "at": place_out(goal.position),
    }


def _sweep_out(sweep: Sweep) -> dict[str, Any]:
    return {
        "name": sweep.name,
        "start": node_out(sweep.start),
        "stop": node_out(sweep.stop),
        "step": node_out(sweep.step),
        "of": [node_out(quantity) for quantity in sweep.of],
        "at": place_out(sweep.position),
    }


def block_in(carried: Mapping[str, Any]) -> Block:
    """A block from JSON."""
    goal, sweep = carried["goal"], carried["sweep"]
    return Block(
        page=carried["page"],
        id=carried["id"],
        kind=carried["kind"],
        position=place_in(carried["at"]),
        car=carried["car"],
        car_state=carried["car_state"],
        inputs=named_in(carried["inputs"]),
        cases={name: named_in(changed) for name, changed in carried["cases"].items()},
        case_states={name: _scalar(state) for name, state in carried["case_states"].items()},
        common=tuple(_common_in(one) for one in carried["common"]),
        places={key: place_in(place) for key, place in carried["places"].items()},
        goal=None if goal is None else _goal_in(goal),
        sought=carried["sought"],
        sweep=None if sweep is None else _sweep_in(sweep),
        options=carried["options"],
        chosen=carried["chosen"],
    )


def _common_in(carried: Mapping[str, Any]) -> CommonError:
    by = _scalar(carried["by"])
    of = tuple(_scalar(name) for name in carried["of"])
    return CommonError(name=carried["name"], of=of, by=parse_doubt(by.text), at=by)


def _goal_in(carried: Mapping[str, Any]) -> Goal:
    return Goal(
        name=carried["name"],
        quantity=carried["quantity"],
        target=_scalar(carried["target"]),
        low=_scalar(carried["low"]),
        high=_scalar(carried["high"]),
        position=place_in(carried["at"]),
    )


def _sweep_in(carried: Mapping[str, Any]) -> Sweep:
    return Sweep(
        name=carried["name"],
        start=_scalar(carried["start"]),
        stop=_scalar(carried["stop"]),
        step=_scalar(carried["step"]),
        of=tuple(_scalar(quantity) for quantity in carried["of"]),
        position=place_in(carried["at"]),
    )


# --- what a block rests on -------------------------------------------------------------------


def car_out(car: CarSheet, wanted: Iterable[str]) -> dict[str, Any]:
    """A car's sheet as JSON, with the inputs that a kind wants."""
    names = set(wanted)

    def of(inputs: Named) -> dict[str, Any]:
        return named_out({name: pair for name, pair in inputs.items() if name in names})

    return {
        "id": car.id,
        "path": car.path,
        "inputs": of(car.inputs),
        "first": car.first,
        "changes": [[change.state, of(change.inputs)] for change in car.changes],
    }


def car_in(carried: Mapping[str, Any]) -> CarSheet:
    """A car's sheet from JSON."""
    return CarSheet(
        id=carried["id"],
        path=carried["path"],
        name=carried["id"],
        about="",
        inputs=named_in(carried["inputs"]),
        first=carried["first"],
        changes=tuple(
            CarChange(state=state, since="", inputs=named_in(inputs)) for state, inputs in carried["changes"]
        ),
    )


def data_key(name: str, mapped: Mapping[str, Heading]) -> str:
    """What tells one way of reading a data file from another: its name, and what it calls our columns."""
    headings = sorted(f"{ours}={theirs.text}[{theirs.unit}]" for ours, theirs in mapped.items())
    return "\n".join([name, *headings])
