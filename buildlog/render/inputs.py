"""The inputs of a block for the reader: what was written, where, and which of it is nobody's choice."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.diagnostics import Refused
from buildlog.kinds.results import BlockResult, GivenInput, card_anchor
from buildlog.reading.addresses import read_address
from buildlog.render.pieces import LinkPiece
from buildlog.render.table import sentence


@dataclass(frozen=True)
class InputOrigin:
    """Where a value comes from, in words; `link` leads to the block it was taken from."""

    text: str
    link: LinkPiece | None = None


@dataclass(frozen=True)
class Written:
    """One value as written, and for which cases; `cases` is empty where all have it."""

    cases: tuple[str, ...]
    text: str
    origin: InputOrigin


@dataclass(frozen=True)
class InputRow:
    """One input: its name as authors write it, what it is, and its values."""

    name: str
    label: str
    values: tuple[Written, ...]


def _origin(block: BlockResult, given: GivenInput) -> InputOrigin:
    match given.origin:
        case "calc":
            try:
                address = read_address(given.reference)
            except Refused:
                return InputOrigin(f"computed: {given.reference}")
            page = address.page if address.page not in (None, block.page) else None
            name = address.text.removeprefix("calc:")
            return InputOrigin(
                "computed: ", LinkPiece(page=page, anchor=card_anchor(address.block), text=name)
            )
        case "car":
            return InputOrigin(
                f"the car’s sheet, {given.reference}" if given.reference else "the car’s sheet"
            )
        case "data":
            return InputOrigin(f"data, {given.reference}" if given.reference else "data")
        case "found":
            return InputOrigin(f"found so that {given.reference}")
        case "default":
            return InputOrigin(f"default: {given.reference}" if given.reference else "default")
    return InputOrigin("this block" if given.origin == "block" else "this case")


def input_rows(block: BlockResult) -> list[InputRow]:
    """Every input that any case ran with, in the calculator's order; equal values of all cases once."""
    order: dict[str, None] = {}
    declared = block.calculator.INPUTS if block.calculator else ()
    for one in declared:
        if any(one.name in case.given for case in block.cases.values()):
            order[one.name] = None
    rows = []
    for name in order:
        found: dict[tuple[str, str, str], list[str]] = {}
        about = ""
        for case in block.cases.values():
            if (given := case.given.get(name)) is not None:
                about = given.declared.about
                found.setdefault((given.written, given.origin, given.reference), []).append(case.name)
        values = []
        for (written, _, _), cases in found.items():
            given = block.cases[cases[0]].given[name]
            everywhere = len(cases) == len(block.cases)
            values.append(Written(() if everywhere else tuple(cases), written, _origin(block, given)))
        rows.append(InputRow(name, sentence(about), tuple(values)))
    return rows
