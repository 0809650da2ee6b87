"""The inputs of a block for the reader: what was written, where, and which of it is nobody's choice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildlog.diagnostics import Refused
from buildlog.kinds.log_account import accounts
from buildlog.kinds.results import BlockResult, GivenInput, card_anchor, input_anchor
from buildlog.reading.addresses import CARS, PARTS, read_address
from buildlog.render.pieces import LinkPiece
from buildlog.render.table import in_words, sentence
from buildlog.render.words import foreign, say, to_say
from buildlog.said import said


@dataclass(frozen=True)
class InputOrigin:
    """Where a value comes from, in words; `link` leads to the block it was taken from."""

    text: str
    link: LinkPiece | None = None


@dataclass(frozen=True)
class WrittenValue:
    """One value as written, and for which cases; `cases` is empty where all have it. `assumed` is how sure
    it is taken to be where its author does not say: the size of the doubt, and what says so. `links` are
    those of its rows: what they lead to, and the address, which the reader of inputs has checked. `accounts`
    say of each log how it was read."""

    cases: tuple[str, ...]
    text: str
    origin: InputOrigin
    assumed: tuple[tuple[str, str], ...] = ()
    links: tuple[tuple[str, str], ...] = ()
    accounts: tuple[str, ...] = ()


@dataclass(frozen=True)
class InputRow:
    """One input and its values. `name` is what authors write, where the label does not say it; `gloss` says
    what the label does not."""

    label: str
    values: tuple[WrittenValue, ...]
    anchor: str = ""
    name: str = ""
    gloss: str = ""


# How an origin reads without a reference, and before one.
_ORIGINS = {
    "car": (to_say("the car’s sheet"), to_say("the car’s sheet, {where}")),
    "data": (to_say("data"), to_say("data, {where}")),
    "default": (to_say("default"), to_say("default: {where}")),
    "found": (to_say("found"), to_say("found so that {where}")),
}


def _origin(block: BlockResult, given: GivenInput) -> InputOrigin:
    if given.origin == "calc":
        return _of_other_block(block, given)
    if given.origin in _ORIGINS:
        alone, before = _ORIGINS[given.origin]
        # A default's source has the words of its declaration, and a goal the names of its block.
        where = foreign(given.reference) if given.origin in ("default", "found") else given.reference
        return InputOrigin(say(before, where=where) if where else say(alone))
    return InputOrigin(say("this block") if given.origin == "block" else say("this case"))


def _assumed(block: BlockResult, given: GivenInput) -> tuple[tuple[str, str], ...]:
    return tuple(
        (
            say(size),
            say("{about}; {source}", about=say(doubt.about), source=foreign(source_of(block, doubt.source))),
        )
        for size, doubt in given.assumptions.items()
    )


def source_of(block: BlockResult, source: str) -> str:
    """The title of a source of the block's calculator."""
    known = block.calculator.sources if block.calculator else ()
    return next((one.title for one in known if one.id == source), source)


def _links(given: GivenInput) -> tuple[tuple[str, str], ...]:
    """The links of an input's rows, each with the name of its row."""
    names = {column.name for column in given.declared.form.row if column.form.is_link}
    return tuple(
        (given.words.get((path[0], "name"), word), word)
        for path, word in given.words.items()
        if len(path) == 2 and path[1] in names
    )


def _of_other_block(block: BlockResult, given: GivenInput) -> InputOrigin:
    try:
        address = read_address(given.reference)
    except Refused:
        return InputOrigin(say("computed: {where}", where=given.reference))
    if address.block.startswith(PARTS):  # the card leads to its parts
        name = address.block.removeprefix(PARTS)
        return InputOrigin(say("the part’s file: {where}", where=name))
    if address.block.startswith(CARS):  # a sheet has no card to lead to
        return InputOrigin(say("the car’s sheet, {where}", where=address.block.removeprefix(CARS)))
    page = None if address.page == block.page else address.page
    name = address.text.removeprefix("calc:")
    link = LinkPiece(page=page, anchor=card_anchor(address.block), text=name)
    if name in given.written:  # the address stands beside it then
        return InputOrigin("", replace(link, text=say("computed")))
    return InputOrigin(say("computed:") + " ", link)


def name_cases(block: BlockResult, cases: Iterable[str]) -> tuple[str, ...]:
    """The cases that something is said of, each once; none where it is said of all."""
    named = tuple(dict.fromkeys(cases))
    if len(named) == len(block.cases):
        return ()
    return named


def input_rows(block: BlockResult) -> list[InputRow]:
    """Every input that any case ran with, in the calculator's order; equal values of all cases once."""
    declared = block.calculator.inputs if block.calculator else ()
    rows = []
    for name, declaration in {one.name: one for one in declared}.items():
        cases_of: dict[tuple[str, str, str], list[str]] = {}
        for case in block.cases.values():
            if (given := case.given.get(name)) is not None:
                same = (given.written, given.origin, given.reference)
                cases_of.setdefault(same, []).append(case.name)
        values = []
        for (written, _, _), cases in cases_of.items():
            given = block.cases[cases[0]].given[name]
            origin = _origin(block, given)
            values.append(
                WrittenValue(
                    cases=name_cases(block, cases),
                    text=written,
                    origin=origin,
                    assumed=_assumed(block, given),
                    links=_links(given),
                    accounts=accounts(given.value),
                )
            )
        if values:
            anchor = input_anchor(block.id, name) if block.id else ""
            rows.append(
                InputRow(
                    label=sentence(declaration.label),
                    values=tuple(values),
                    anchor=anchor,
                    name="" if in_words(name) == declaration.label else name,
                    gloss=say(said(in_words(declaration.gloss))),
                )
            )
    rows += [
        InputRow(
            label=sentence(one.name),
            gloss=say("error that several inputs share"),
            values=(WrittenValue(cases=(), text=one.words, origin=InputOrigin(say("this block"))),),
        )
        for one in block.common
    ]
    return rows
