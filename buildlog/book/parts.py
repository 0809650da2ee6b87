"""Parts as something that figures rest on, and that bills and patterns take values from.

``calc:parts/scoop.mass`` is the mass of a part as its file says. A part is shown to the rest of the program
as a block of one case that has inputs alone, as a car's sheet is. A row of a bill that says ``part: scoop``
takes name, mass, price and number from there, as far as it does not say them itself; a block that says so
takes the revision of its pattern.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace

from buildlog.book.addresses import RESTS_ON_FAULT
from buildlog.diagnostics import Diagnostic, Position, Refused, declare, did_you_mean, shorten
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import Input, Quantity
from buildlog.kinds.money import CURRENCY
from buildlog.kinds.results import BlockResult, CaseResult, GivenInput, Value
from buildlog.reading.addresses import PARTS
from buildlog.reading.blocks import Block
from buildlog.reading.nodes import YamlList, YamlMapping, YamlNode, YamlScalar
from buildlog.reading.part_keys import KEYS, NAME
from buildlog.reading.parts import Part, value_of

KIND = "part"
COLUMN = "part"
"""The column of a row, and the key of a block, that name a part."""
_REVISION = "revision"
_MASSES = ("mass", "mass_per_metre")
_PRICES = ("price", "foreign_price", "price_per_metre")

Named = Mapping[str, tuple[YamlScalar, YamlNode]]

UNKNOWN_PART = declare(
    "unknown-part",
    "no such part",
    why="What its file would say, its mass, its price and where it lies, is missing.",
    mend="Correct the name, or write a file for it in the folder parts: NAME.yml.",
    example="- {part: scopp, quantity: 1}        # in a bill, and there is parts/scoop.yml",
)


def part_anchor(name: str) -> str:
    """The id of a part's entry in the list of parts."""
    return f"part.{name}"


def part_result(part: Part, shown_on: str) -> BlockResult:
    """A part's values as inputs of a block. `shown_on` is the page with the list of parts, "" for none."""
    given: dict[str, GivenInput] = {}
    for name, node in part.values.items():
        value, _ = value_of(node, name, part.path, f"{part.path}#{name}")
        if value is not None:
            key = KEYS[name]
            given[name] = GivenInput(
                declared=Input(name=name, form=Quantity(dimension=value.dimension), about=key.about),
                value=value.si,
                written=node.text.strip(),
                origin="part",
                position=node.position,
                numbers={(): value},
            )
    return BlockResult(
        page="",
        id=PARTS + part.id,
        kind=KIND,
        title=f"{part.name}, the part’s file",
        position=Position(part.path),
        calculator=None,
        cases={"": CaseResult(name="", given=given, values={}, steps=())},
        show=(),
        shown_on=shown_on,
    )


def parts_named(block: Block) -> Iterator[YamlScalar]:
    """The names of parts in a block and in the rows that are written in it."""
    if block.part is not None:
        yield block.part
    for given in (block.inputs, *block.cases.values()):
        for input_name, (_, node) in given.items():
            written = [row.get(COLUMN) for row in _rows(node)]
            names = [name for name in written if isinstance(name, YamlScalar) and name.text.strip()]
            if names and _names_parts(block.kind, input_name):
                yield from names


def _names_parts(kind: str, input_name: str) -> bool:
    """Whether the column of that name means the file of a part, in the rows of this input: elsewhere it may
    be anything that is a part of something."""
    try:
        inputs = catalogue.load_kind(kind).inputs
    except Refused:
        return False
    return any(
        column.name == COLUMN and column.form.is_part
        for one in inputs
        if one.name == input_name
        for column in one.form.row
    )


def _rows(node: YamlNode) -> Iterator[YamlMapping]:
    if isinstance(node, YamlList):
        yield from (item for item in node.items if isinstance(item, YamlMapping))


def part_of(name: YamlScalar, parts: Mapping[str, Part]) -> Part | Diagnostic:
    """The part of a name, or the finding that there is none."""
    text = name.text.strip()
    if text in parts:
        return parts[text]
    return unknown_part(text, name.position, parts)


def unknown_part(text: str, place: Position, parts: Mapping[str, Part]) -> Diagnostic:
    """That there is no part of a name."""
    expected = "one of " + ", ".join(sorted(parts)) if parts else f"a file {PARTS}{shorten(text, 40)}.yml"
    return UNKNOWN_PART.at(
        place,
        found=f"“{shorten(text)}”",
        expected=shorten(expected, 300),
        help=did_you_mean(text, parts),
        length=len(text),
    )


def with_parts(
    block: Block, parts: Mapping[str, Part], car: Named | None = None
) -> tuple[Block, list[Diagnostic]]:
    """A block with what the parts that it names say for it, and the findings on names of none."""
    named = list(parts_named(block))
    if not named:
        return block, []
    found = [part_of(name, parts) for name in named]
    # What cannot be the name of a file is told by the form of the column.
    is_name = [name is block.part or re.fullmatch(NAME, name.text.strip()) for name in named]
    pairs = zip(found, is_name, strict=True)
    faults = [one for one, could_be in pairs if isinstance(one, Diagnostic) and could_be]
    faults += _unread(block, named, parts)
    try:
        declared = {one.name: one for one in catalogue.load_kind(block.kind).inputs}
    except Refused:
        return block, faults
    inputs = _filled(block.inputs, declared, parts, {**(car or {}), **block.inputs})
    if block.part is not None:
        inputs = {**_revision(block.part, declared, parts), **inputs}
    cases = {
        name: _filled(given, declared, parts, {**(car or {}), **block.inputs, **given})
        for name, given in block.cases.items()
    }
    return replace(block, inputs=inputs, cases=cases), faults


def _unread(block: Block, named: list[YamlScalar], parts: Mapping[str, Part]) -> Iterator[Diagnostic]:
    """Where a row takes a mass or a price that the part's file has, and that cannot be read there: without
    it a bill would be of less than it lists."""
    for name in named:
        part = parts.get(name.text.strip())
        unread = [] if part is None else [key for key in part.unread if key != "history"]
        if part is not None and unread and name is not block.part:
            yield RESTS_ON_FAULT.at(
                name.position,
                found=f"{part.id}, whose {' and '.join(unread)} cannot be read",
                expected="a part’s file without faults",
                help=f"mend {part.path} first",
                second=part.place(unread[0]),
                second_label="what the part’s file says",
                length=len(part.id),
            )


def _revision(name: YamlScalar, declared: Mapping[str, Input], parts: Mapping[str, Part]) -> Named:
    """The revision of the part that a block draws, where its kind takes one."""
    part = parts.get(name.text.strip())
    if part is None or not part.revision or _REVISION not in declared:
        return {}
    return {_REVISION: (YamlScalar(name.position, _REVISION), _text(name, part.revision))}


def _filled(
    given: Named, declared: Mapping[str, Input], parts: Mapping[str, Part], all_given: Named
) -> dict[str, tuple[YamlScalar, YamlNode]]:
    """Inputs with the rows of their tables filled in."""
    code = _currency(all_given)
    made = dict(given)
    for name, (key, node) in given.items():
        row = declared[name].form.row if name in declared else ()
        columns = {one.name for one in row}
        if any(one.name == COLUMN and one.form.is_part for one in row) and isinstance(node, YamlList):
            items = tuple(_row(item, columns, parts, code) for item in node.items)
            made[name] = key, replace(node, items=items)
    return made


def _row(item: YamlNode, columns: set[str], parts: Mapping[str, Part], code: str) -> YamlNode:
    """A row with what its part says and it does not."""
    name = item.get(COLUMN) if isinstance(item, YamlMapping) else None
    if not isinstance(item, YamlMapping) or not isinstance(name, YamlScalar):
        return item
    part = parts.get(name.text.strip())
    if part is None:
        return item
    there = {key.text for key, _ in item.entries}
    action = item.get("action")
    comes_off = isinstance(action, YamlScalar) and action.text.strip() == "removed"
    said: dict[str, str] = {"name": part.name, "part_number": part.number, "supplier": part.supplier}
    if part.origin in ("made", "bought"):
        said["origin"] = part.origin
    if part.mass is not None and there.isdisjoint(_MASSES):
        said["mass"] = f"calc:{PARTS}{part.id}.mass"
    if part.price is not None and there.isdisjoint(_PRICES) and not comes_off:
        said[_price_column(part, code)] = f"calc:{PARTS}{part.id}.price"
    if comes_off:
        said.pop("supplier")
    added = tuple(
        (YamlScalar(name.position, column), _text(name, text))
        for column, text in said.items()
        if text and column in columns - there
    )
    return replace(item, entries=(*item.entries, *added))


def _price_column(part: Part, code: str) -> str:
    """Where the part's price goes in a bill: one in another currency is changed at the bill's rate."""
    assert part.price is not None
    value, _ = value_of(part.price, "price", part.path, "")
    same = value is None or not code or value.dimension == f"money in {code}"
    return "price" if same else "foreign_price"


def _currency(given: Named) -> str:
    node = given[CURRENCY][1] if CURRENCY in given else None
    return node.text.strip() if isinstance(node, YamlScalar) else ""


def _text(name: YamlScalar, text: str) -> YamlScalar:
    """What a part says, at the place where it is named."""
    return YamlScalar(name.position, text)


def price_or_mass(result: BlockResult, name: str) -> Value | None:
    """A value of a part's result, None where its file does not say it."""
    given = result.cases[""].given.get(name)
    return None if given is None else given.numbers.get(())
