"""A block with all that its result rests on, as a reader's browser needs it to compute it again; and what of
it a reader may change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from buildlog.book.book import Book
from buildlog.book.evaluation import references
from buildlog.browser.carrying import block_out, car_out, data_key, node_out, value_out
from buildlog.diagnostics import Position, Refused
from buildlog.kinds.declaration import (
    Choice,
    Flag,
    InputForm,
    Number,
    Quantity,
    Table,
    Tyre,
    Whole,
)
from buildlog.kinds.logs import Log
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BlockResult, GivenInput, Value
from buildlog.reading.blocks import Block, CarSheet
from buildlog.reading.data import NO_HEADINGS, DataTable, Heading
from buildlog.reading.inputs import InputReader
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar
from buildlog.render.translated import translated

MOST_CELLS = 2000
"""A block with more values in data files than that is not sent: a page would be heavier than its text."""

_FORMS: tuple[tuple[type, str], ...] = (
    (Number, "number"),
    (Whole, "number"),
    (Quantity, "number"),
    (Choice, "choice"),
    (Flag, "flag"),
    (Tyre, "tyre"),
)


def describe(book: Book, result: BlockResult) -> dict[str, Any] | None:
    """What a browser needs to compute a block again, or None where it cannot: the block is at fault, or it
    reads logs or large files."""
    block = next((one for one in book.pages[result.page].blocks if one.id == result.id), None)
    if block is None or result.calculator is None or result.faults or not result.cases:
        return None
    block, _ = book.filled(block)
    given = [one for case in result.cases.values() for one in case.given.values()]
    if any(isinstance(one.value, tuple) and any(isinstance(log, Log) for log in one.value) for one in given):
        return None
    car = book.cars.get(block.car)
    tables = _tables(book, given, block, car)
    if sum(len(rows["items"]) for rows in tables.values()) > MOST_CELLS:
        return None
    names = [declared.name for declared in result.calculator.inputs]
    return {
        "block": block_out(block),
        "car": None if car is None else car_out(car, names),
        "data": tables,
        "values": _values(book, block),
        "fields": list(_fields(block, car, translated(result))),
    }


def _values(book: Book, block: Block) -> dict[str, Any]:
    """Every value of another block that this one takes, by its address and, after a line break, the case
    that it is taken for."""
    values: dict[str, Any] = {}
    for text, position in references(block):
        for case in dict.fromkeys(("", *block.options.values())):
            try:
                values[f"{text}\n{case}"] = value_out(book.resolved(block, text, position, case))
            except Refused:  # of several cases an address has one where it names none
                continue
    return values


def _tables(book: Book, given: list[GivenInput], block: Block, car: CarSheet | None) -> dict[str, Any]:
    """The rows of every data file that the block reads, as nodes."""
    tables: dict[str, Any] = {}

    def data(name: str, form: Table, mapped: Mapping[str, Heading] = NO_HEADINGS) -> DataTable:
        table = book.data_files.table(name, form, mapped)
        if table.rows is not None:
            tables[data_key(name, mapped)] = node_out(table.rows)
        return table

    forms = {one.declared.name: one.declared.form for one in given if one.files}
    for name, form in forms.items():
        for _, node in _layers(block, car, name):
            if isinstance(node, YamlMapping):
                InputReader(resolve=_none, data=data).read(node, form, (name,))
    return tables


def _none(text: str, position: Position) -> Value:
    raise Refused("", text, "a value of a file")


def _layers(block: Block, car: CarSheet | None, name: str) -> Iterator[tuple[str, YamlNode]]:
    """(case, node) of each place that gives an input of the block, "" where it is for all cases."""
    for case, changed in block.cases.items():
        if name in changed:
            yield case, changed[name][1]
    if name in block.inputs:
        yield "", block.inputs[name][1]
    elif car is not None:
        nodes = {case: car.at(block.state_in(case)).get(name) for case in block.cases or ("",)}
        first = next(iter(nodes.values()))
        if all(node is first for node in nodes.values()):
            nodes = {"": first}
        yield from ((case, pair[1]) for case, pair in nodes.items() if pair is not None)


# --- what a reader may change -------------------------------------------------------------------


def _fields(block: Block, car: CarSheet | None, result: BlockResult) -> Iterator[dict[str, Any]]:
    """One for each single value, in the order of the kind's inputs."""
    cases = result.cases
    assert result.calculator is not None
    for name in dict.fromkeys(declared.name for declared in result.calculator.inputs):
        if name == block.sought:
            continue
        places = list(_layers(block, car, name))
        own = {case for case, _ in places if case}
        for case, node in places:
            users = [case] if case else [one for one in cases if one not in own]
            given = next((cases[one].given[name] for one in users if name in cases[one].given), None)
            if given is not None:
                yield from _fields_of(node, given.declared.form, given, case, (name,))
        if not places and (given := next(iter(cases.values())).given.get(name)) is not None:
            node = YamlScalar(Position(f"default:{name}"), given.written)
            yield from _fields_of(node, given.declared.form, given, "", (name,))
    if block.goal is not None:
        yield _goal_field(block)


def _goal_field(block: Block) -> dict[str, Any]:
    assert block.goal is not None
    goal = block.goal
    return {
        "id": "so_that",
        "case": "",
        "input": "so_that",
        "label": f"{goal.quantity} to be",
        "about": f"what {goal.name} is found for",
        "unit": "",
        "written": goal.target.text,
        "range": "",
        "form": "number",
        "choices": [],
        "origin": "block",
        "row": None,
        "column": "",
    }


def _fields_of(
    node: YamlNode, form: InputForm, given: GivenInput, case: str, path: tuple[str | int, ...]
) -> Iterator[dict[str, Any]]:
    if isinstance(node, YamlList):
        for index, item in enumerate(node.items):
            yield from _fields_of(item, form.item or form, given, case, (*path, index))
    elif isinstance(node, YamlMapping):
        if node.get("data") is not None:  # a file has rows that no form shows
            return
        columns = {column.name: column for column in form.row}
        for key, value in node.entries:
            inner = columns[key.text].form if key.text in columns else form
            yield from _fields_of(value, inner, given, case, (*path, key.text))
    elif isinstance(node, YamlScalar):
        yield _field(node, form, given, case, path)


def _field(
    node: YamlScalar, form: InputForm, given: GivenInput, case: str, path: tuple[str | int, ...]
) -> dict[str, Any]:
    row = next((part for part in path[1:] if isinstance(part, int)), None)
    column = next((part for part in path[1:] if isinstance(part, str)), "")
    columns = {one.name: one for one in given.declared.form.row}
    if column in columns:
        form = columns[column].form
    about = columns[column].about if column in columns else given.declared.gloss
    number = form.number
    return {
        "id": field_id(case, path),
        "case": case,
        "input": str(path[0]),
        "label": given.declared.label,
        "about": about,
        "unit": number.unit if number is not None else "",
        "written": _shown(node, given, path[1:]),
        "range": form.wanted,
        "form": next((name for kind, name in _FORMS if isinstance(form, kind)), "text"),
        "choices": [[word, meaning] for word, meaning in form.meanings.items()],
        "origin": given.reference or given.origin,
        "row": row,
        "column": column,
    }


def field_id(case: str, path: tuple[str | int, ...]) -> str:
    """``after/gears.2``: the case, the input and the place inside of it."""
    inside = ".".join(str(part) for part in path)
    return f"{case}/{inside}" if case else inside


def _shown(node: YamlScalar, given: GivenInput, inside: tuple[str | int, ...]) -> str:
    """What the author wrote; of a value from another block, what that is."""
    text = node.text.strip()
    value = given.numbers.get(inside)
    if text.startswith("calc:") and value is not None:
        return shown(value).text
    unit = getattr(node, "unit", "")
    return f"{text} {unit}".strip()
