"""A car's sheet as something that figures rest on: ``calc:cars/brindle.rev_limit`` is its value in the last
state, ``calc:cars/brindle.shorter-final.final_drive`` that in a state by name.

A sheet is shown to the rest of the program as a block whose cases are the states and which has inputs alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from buildlog.diagnostics import VALUE_UNREADABLE, Position, Refused
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Input
from buildlog.kinds.money import CURRENCY, inputs_in
from buildlog.kinds.results import BlockResult, CaseResult, GivenInput, Value
from buildlog.reading.addresses import CARS, NO_NAME, Address
from buildlog.reading.blocks import CarSheet
from buildlog.reading.inputs import FAILED, InputReader, ReadData
from buildlog.reading.nodes import YamlNode, YamlScalar

KIND = "car"


def sheet_result(sheet: CarSheet, data: ReadData) -> BlockResult:
    """The values of a sheet in every state, as inputs of a block. What no kind can read is left out: blocks
    that take it report it."""
    return BlockResult(
        page="",
        id=CARS + sheet.id,
        kind=KIND,
        title=f"{sheet.name}, the car’s sheet",
        position=Position(sheet.path),
        calculator=None,
        cases={
            state: CaseResult(name=state, given=_given(sheet, number, data), values={}, steps=())
            for number, state in enumerate(_state_names(sheet), start=1)
        },
        show=(),
    )


def with_state(address: Address, sheet: CarSheet) -> Address:
    """The address with the last state, where it names none."""
    names = _state_names(sheet)
    if address.rest and address.rest[0] in names:
        return address
    return Address(
        scheme=address.scheme,
        text=address.text,
        page=address.page,
        block=address.block,
        rest=(names[-1], *address.rest),
    )


def _state_names(sheet: CarSheet) -> list[str]:
    """The states' names; one without a name cannot be addressed, but for the last one."""
    return [state or f"{NO_NAME}{number}" for number, state in enumerate(sheet.states, start=1)]


def _given(sheet: CarSheet, state: int, data: ReadData) -> dict[str, GivenInput]:
    nodes = sheet.at(state)
    code = "EUR"
    if CURRENCY in nodes and isinstance(node := nodes[CURRENCY][1], YamlScalar):
        code = node.text.strip()
    given = {}
    for name, (_, node) in nodes.items():
        read = next((one for one in _ways(name, node, code, data) if one is not None), None)
        if read is not None:
            given[name] = read
    return given


def _ways(name: str, node: YamlNode, currency: str, data: ReadData) -> Iterator[GivenInput | None]:
    """A value as each kind that takes it reads it; None for a kind that refuses it."""
    for declared in _declared(name, currency):
        reader = InputReader(resolve=_no_reference, data=data)
        value = reader.read(node, declared.form, ())
        if value is FAILED or reader.faults:
            yield None
        else:
            written = node.text if isinstance(node, YamlScalar) else ""
            yield GivenInput(
                declared=declared,
                value=value,
                written=written,
                origin="car",
                position=node.position,
                numbers=dict(reader.numbers),
                words=dict(reader.words),
            )


def _declared(name: str, currency: str) -> Iterator[Input]:
    """How the kinds declare an input of this name."""
    for kind in catalogue.kind_names():
        inputs = catalogue.load_kind(kind).inputs
        if name in [declared.name for declared in inputs]:
            yield from (one for one in inputs_in(inputs, currency) if one.name == name)


def _no_reference(text: str, position: Position) -> Value:
    raise Refused("", f"“{text}”", "a value of the sheet's own", code=VALUE_UNREADABLE)
