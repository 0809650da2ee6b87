"""A block computed again with a reader's numbers, in the reader's browser: JSON in, JSON out.

Whatever is wrong with a number comes back in the proof's own words, since the same code has read it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from typing import Any

from buildlog.book.addresses import in_case, within
from buildlog.book.evaluation import Evaluation
from buildlog.browser.carrying import block_in, car_in, data_key, node_in, value_in
from buildlog.browser.shown import shown as as_shown
from buildlog.diagnostics import VALUE_UNREADABLE, Diagnostic, Position, Refused, shorten
from buildlog.kinds.chart import BarSpec, Chart
from buildlog.kinds.declaration import Table
from buildlog.kinds.quantities import change, other_of, shown
from buildlog.kinds.results import BlockResult, Value, row_anchor
from buildlog.reading.addresses import read_address
from buildlog.reading.blocks import Block
from buildlog.reading.data import DATA_UNREADABLE, NO_HEADINGS, DataTable, Heading
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar

Path = tuple[str, ...]
Named = Mapping[str, tuple[YamlScalar, YamlNode]]


def answer(description: str, changes: str, page: str = "") -> str:
    """The answer for one description, or for a list of them in which later ones may rest on earlier ones.
    Changes are texts by the id of their field; for a list by the address of their block first. With a page,
    its `figures` and the `systems` of units in which charts are wanted, the answer is what the card and the
    figures would show, without it every number."""
    described = json.loads(description)
    changed = json.loads(changes)
    wanted = json.loads(page) if page else None
    computed: dict[tuple[str, str], BlockResult] = {}
    if not isinstance(described, list):
        return json.dumps(_answered(described, changed, computed, wanted))
    answers = []
    for one in described:
        block = one["block"]
        own = changed.get(f"{block['page']}#{block['id']}", {})
        answers.append(_answered(one, own, computed, wanted))
    return json.dumps(answers)


def _answered(
    described: Mapping[str, Any],
    changes: Mapping[str, str],
    computed: dict[tuple[str, str], BlockResult],
    page: dict[str, Any] | None,
) -> dict[str, Any]:
    block, places = _changed(block_in(described["block"]), described, changes)
    result = _evaluated(block, described, computed)
    computed[block.page, block.id] = result
    faults = [_fault(fault, places) for fault in result.faults]
    if page is not None and faults:
        return {"faults": faults}
    if page is not None:
        return {"faults": [], "shown": as_shown(result, page["figures"], page["systems"])}
    if faults:
        return {"faults": faults, "rows": {}, "remarks": [], "steps": [], "charts": []}
    return {"faults": [], **_every_number(result)}


def _every_number(result: BlockResult) -> dict[str, Any]:
    return {
        "rows": {_name(output, key): row for output, key, row in _rows(result)},
        "remarks": _remarks(result),
        "steps": [
            [case.name, step.name, _floats(step.arguments), step.result]
            for case in result.cases.values()
            for step in case.steps
        ],
        "charts": [chart_out(chart) for chart in result.charts],
    }


def _floats(values: Mapping[str, float]) -> dict[str, float]:
    return {name: float(value) for name, value in values.items()}


def _evaluated(
    block: Block, described: Mapping[str, Any], computed: Mapping[tuple[str, str], BlockResult]
) -> BlockResult:
    values, tables = described["values"], described["data"]

    def resolve(text: str, position: Position, case: str) -> Value:
        address = read_address(text)
        other = computed.get((address.page or block.page, address.block))
        if other is None or address.at:  # a row of a sweep stays what it was
            known = values.get(f"{text}\n{case}")
            if known is None:  # typed by a reader: the page has what its author took from other blocks
                expected = "a value, or an address that the author of this block uses"
                raise Refused("", f"“{shorten(text)}”", expected, code=VALUE_UNREADABLE)
            return value_in(known)
        if case:
            address = in_case(other, address, case)
        if other.faults:
            raise Refused("", f"“{text}”", "a block without faults", help="mend that block first")
        return within(other, address).number

    def data(name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataTable:
        rows = tables.get(data_key(name, mapped))
        if rows is None:
            raise Refused("data", f"“{name}”", "a file of the page", code=DATA_UNREADABLE)
        node = node_in(rows)
        return DataTable(rows=node if isinstance(node, YamlList) else None, findings=())

    car = described["car"]
    return Evaluation(block, None if car is None else car_in(car), resolve, data, draws=False).run()


# --- changes -------------------------------------------------------------------------------------


def _changed(
    block: Block, described: Mapping[str, Any], changes: Mapping[str, str]
) -> tuple[Block, dict[str, Position]]:
    """The block with a reader's texts in place of its author's, and where each field stands."""
    car = None if described["car"] is None else car_in(described["car"])
    cases = {name: dict(changed) for name, changed in block.cases.items()}
    inputs = dict(block.inputs)
    places: dict[str, Position] = {}
    goal = block.goal
    for field in described["fields"]:
        name, case = field["id"], field["case"]
        if name == "so_that" and goal is not None:
            places[name] = goal.target.position
            if name in changes:
                target = YamlScalar(goal.target.position, changes[name].strip())
                goal = replace(goal, target=target)
            continue
        first, *inside = name.rpartition("/")[2].split(".")
        layer = cases[case] if case else inputs
        pair = layer.get(first)
        if pair is None and car is not None:
            pair = car.at(block.state_in(case or next(iter(cases), ""))).get(first)
        if pair is None:  # a default, which stands nowhere
            here = Position(f"default:{first}")
            pair = (YamlScalar(here, first), YamlScalar(here, field["written"]))
        places[name] = _at(pair[1], tuple(inside)).position
        if name in changes:
            layer[first] = (pair[0], _with(pair[1], tuple(inside), changes[name].strip()))
    return replace(block, inputs=inputs, cases=cases, goal=goal), places


def _at(node: YamlNode, inside: Path) -> YamlNode:
    for part in inside:
        if isinstance(node, YamlList):
            node = node.items[int(part)]
        elif isinstance(node, YamlMapping):
            found = node.get(part)
            assert found is not None
            node = found
    return node


def _with(node: YamlNode, inside: Path, text: str) -> YamlNode:
    """A node with one single value of it changed. The value stays where it was: its doubt, where it has one,
    is the same error wherever else it stands."""
    if not inside:
        return YamlScalar(node.position, text)
    part, *rest = inside
    if isinstance(node, YamlList):
        items = [
            _with(item, tuple(rest), text) if index == int(part) else item
            for index, item in enumerate(node.items)
        ]
        return YamlList(node.position, tuple(items))
    assert isinstance(node, YamlMapping)
    entries = [
        (key, _with(value, tuple(rest), text) if key.text == part else value) for key, value in node.entries
    ]
    return YamlMapping(node.position, tuple(entries))


# --- what comes back -----------------------------------------------------------------------------


def _fault(fault: Diagnostic, places: Mapping[str, Position]) -> dict[str, Any]:
    """A fault with the field that it is about, or "" where it is about none."""
    here = fault.position
    before = [
        (place.column, name)
        for name, place in places.items()
        if (place.path, place.line) == (here.path, here.line) and place.column <= here.column
    ]
    told = [fault.message, f"found {fault.found}" if fault.found else ""]
    told += [f"expected {fault.expected}" if fault.expected else "", fault.help]
    return {
        "field": max(before, default=(0, ""))[1],
        "code": fault.code.name,
        "found": fault.found,
        "expected": fault.expected,
        "help": fault.help,
        "text": "; ".join(filter(None, told)),
    }


def _name(output: str, key: str) -> str:
    return f"{output}.{key}" if key else output


def _rows(result: BlockResult) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for output, key in result.rows():
        found = {case: result.value(case, output.name, key) for case in result.cases}
        values = {case: value for case, value in found.items() if isinstance(value, Value)}
        other = other_of(list(values.values()))
        first = next(iter(values.values()), None)
        cells: dict[str, Any] = {}
        for case, value in found.items():
            if isinstance(value, str):
                cells[case] = {"words": value}
            elif value is not None:
                written = shown(value)
                cells[case] = {
                    "si": value.si,
                    "unit": written.unit,
                    "number": written.number,
                    "margin": written.margin,
                    "words": "",
                    "dimension": value.dimension,
                    "expanded": value.expanded_uncertainty,
                    "bent": (output.name, key) in result.cases[case].bent,
                }
                if other is not None:
                    theirs = other.shown(value)
                    cells[case]["other"] = {
                        "number": theirs.number,
                        "margin": theirs.margin,
                        "unit": theirs.unit,
                    }
                if first is not None and value is not first:
                    cells[case]["change"] = _record(change(first, value, other))
        yield (output.name, key, {"anchor": row_anchor(result.id, output.name, key), "cases": cells})


def _remarks(result: BlockResult) -> list[list[Any]]:
    cases_of: dict[str, list[str]] = {}
    for case in result.cases.values():
        for remark in case.remarks:
            cases_of.setdefault(remark, []).append(case.name)
    return [[remark, cases] for remark, cases in cases_of.items()]


def chart_out(chart: Chart) -> dict[str, Any]:
    """A chart as JSON: its fields by their names, and which kind of chart it is."""
    return {"bars_only": isinstance(chart, BarSpec), **_record(chart)}


def _record(record: Any) -> Any:
    if record is None or isinstance(record, str | int):
        return record
    if isinstance(record, float):
        return float(record)
    if isinstance(record, list | tuple):
        return [_record(part) for part in record]
    if isinstance(record, Mapping):
        return {name: _record(part) for name, part in record.items()}
    return {one.name: _record(getattr(record, one.name)) for one in fields(record)}
