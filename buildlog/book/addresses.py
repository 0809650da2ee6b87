"""Where a ``calc:`` address leads inside a computed block, and what to say when it leads nowhere; the change
of a value there against another case."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from buildlog.book.decisions import in_full, word_of
from buildlog.book.named_values import named_in, unknown
from buildlog.diagnostics import Refused, declare
from buildlog.kinds.keys import address_key
from buildlog.kinds.results import (
    BlockResult,
    GivenInput,
    Value,
    change_between,
    has_shares,
    multiple_of,
    share_means_something,
)
from buildlog.reading.addresses import OPTION_UNREADABLE, PARTS, Address, called
from buildlog.reading.record import ValueName

_OF_PARTS = ("mass", "price")
"""What figures take of a part."""

RESTS_ON_FAULT = declare(
    "rests-on-fault",
    "the block it rests on could not be computed",
    why="Until the block is mended nobody knows whether this figure is right.",
    mend="Mend the block first.",
    example="[135.5 km/h](calc:shorter-final.after.speed_at_limit.3)  # and it misses an input",
)
NO_SHARE = declare(
    "no-share",
    "a change is stated as a share of what has no true zero",
    why="Degrees and decibels count from where somebody put their zero: 20 °C is not twice 10 °C, and in °F "
    "the share would be another.",
    mend="State the difference, as “8 K more”.",
    example='[18 % more](calc:boost.warm.compressor_outlet_temperature "vs cold")',
)

Mode = Literal["difference", "percent", "times"]
"""How a value is compared with another: the difference, a share of the other, or how many times it."""


@dataclass(frozen=True, kw_only=True)
class Target:
    """What a ``calc:`` address leads to: a result, or where `given` is there an input of the block.

    A number has a `value`; of words `value` is None and `word` says them. A decision's margin has both: its
    `word` is the verdict on it. `at` is the value of the swept input, as written, of a row of a sweep.
    """

    block: BlockResult
    case: str
    output: str
    key: str
    value: Value | None
    word: str = ""
    given: GivenInput | None = None
    at: str = ""

    @property
    def name(self) -> ValueName:
        """What the site's record calls it."""
        key = f"{self.key}@{self.at}" if self.at else self.key
        return self.block.page, self.block.id, self.case, self.output, key

    @property
    def words(self) -> str:
        """The parts of its address after the page."""
        parts = ".".join(filter(None, (self.block.id, called(self.case), self.output, self.key)))
        return f"{parts}@{self.at}" if self.at else parts

    @property
    def found_how(self) -> str:
        """How its value came about."""
        return "computed" if self.given is None else "given"

    @property
    def number(self) -> Value:
        """Its value. Raises `Refused` for words."""
        if self.value is None:
            words = ".".join(filter(None, (self.output, self.key)))
            raise unknown(f"“{words}”, which is words", "a quantity with a value", "", ())
        return self.value


def within(block: BlockResult, address: Address) -> Target:
    """Case, quantity and key inside a block: of a result or of an input."""
    address = in_full(block, address)
    case, rest = _case_and_rest(block, address)
    result = block.cases[case]
    if not rest:
        raise unknown(f"no quantity in “{address.text}”", "one of " + ", ".join(result.values), "", ())
    name, *keys = rest
    key = ".".join(keys)
    if name in result.values:
        return _result(block, case, name, key)
    given = result.given.get(name)
    if given is None:
        raise _no_quantity(block, case, name)
    named = named_in(given, key)
    return Target(
        block=block, case=case, output=name, key=named.key, value=named.value, word=named.word, given=given
    )


def _result(block: BlockResult, case: str, name: str, key: str) -> Target:
    value = block.cases[case].values[name]
    if isinstance(value, dict):
        key = _listed_key(block, case, name, key)
        single = value[key]
        if isinstance(single, str):
            return Target(block=block, case=case, output=name, key=key, value=None, word=single)
        word = word_of(block, case, name, key)
        return Target(block=block, case=case, output=name, key=key, value=single, word=word)
    if key:
        raise unknown(f"“{name}.{key}”", f"{name}, which has a single value", "", ())
    if isinstance(value, str):
        return Target(block=block, case=case, output=name, key="", value=None, word=value)
    return Target(block=block, case=case, output=name, key="", value=value)


def in_case(block: BlockResult, address: Address, case: str) -> Address:
    """The address in a case, where its block has several and it names none of them."""
    if len(block.cases) < 2 or address.rest[0] in block.cases:
        return address
    if case not in block.cases and address.rest[0] not in block.outputs:
        return address  # an input may be one that all cases share
    if case not in block.cases:
        cases = ", ".join(block.cases)
        raise unknown(
            f"“{address.text}” in the case {case}", f"a case of {block.id}: {cases}", case, block.cases
        )
    return replace(address, rest=(case, *address.rest))


def _listed_key(block: BlockResult, case: str, name: str, asked: str) -> str:
    """The key that an address means in a listed result. Raises `Refused`."""
    values = block.cases[case].values[name]
    assert isinstance(values, dict)
    output = block.outputs[name]
    given = block.cases[case].given.get(output.of or output.key)
    rows = given.value if given is not None and given.declared.form.row else []
    key = address_key(asked)
    place = int(key) - 1 if key.isdecimal() else -1
    if key in values:
        if not 0 <= place < len(rows) or key in (address_key(row.get("name", "")) for row in rows):
            return key
        what = f"“{name}.{key}”, a row without a name"
        raise unknown(what, f"name: NAME in row {key} of {output.of}, and {name}.NAME here", "", ())
    if 0 <= place < len(rows) and "name" in rows[place]:
        raise _called_otherwise(name, key, address_key(rows[place]["name"]))
    listed = given is not None and given.declared.form.item is not None
    others = [other for other in values if not other.isdecimal()]
    if listed and 0 <= place < len(others):
        raise _called_otherwise(name, key, others[place])
    missing = f"{name}.{key}" if key else f"“{name}” without a {output.key}"
    raise unknown(missing, f"{name} and one of " + ", ".join(values), key, values)


def _called_otherwise(name: str, number: str, key: str) -> Refused:
    """That rows and values which an author wrote go by his words, as they did by numbers once."""
    refused = unknown(f"“{name}.{number}”", f"{name}.{key}", "", ())
    refused.help = f"rows and listed values go by their author's words, not by numbers: write {name}.{key}"
    return refused


def _case_and_rest(block: BlockResult, address: Address) -> tuple[str, tuple[str, ...]]:
    """The case that an address means, and its parts after the case. A single case need not be named, nor one
    for an input that all cases share."""
    first, *after = address.rest
    if first in block.cases:
        return first, tuple(after)
    if len(block.cases) == 1:
        return next(iter(block.cases)), address.rest
    cases = ", ".join(block.cases)
    given = [case.given[first] for case in block.cases.values() if first in case.given]
    if given and first not in block.outputs:
        if len(given) == len(block.cases) and all(one.numbers == given[0].numbers for one in given):
            return next(iter(block.cases)), address.rest
        raise unknown(f"the input “{first}”, which the cases differ in", f"the case as well: {cases}", "", ())
    if first in block.outputs:
        raise unknown(f"no case in “{address.text}”", f"the case as well: {cases}", first, block.cases)
    raise unknown(f"the case “{first}”", f"one of {cases}", first, block.cases)


def _no_quantity(block: BlockResult, case: str, name: str) -> Refused:
    result = block.cases[case]
    declared = block.outputs.get(name)
    if declared is not None:
        found = f"“{name}”, which this block does not compute"
        if declared.needs:
            return unknown(found, "the inputs it needs: " + ", ".join(declared.needs), "", ())
        refused = unknown(found, "one of " + ", ".join(result.values), "", ())
        if result.remarks:
            refused.help = (
                "the calculator has it for other inputs; a remark may say why: " + result.remarks[0]
            )
        return refused
    inputs = [one.name for one in block.calculator.inputs] if block.calculator else []
    if name in inputs:
        return unknown(f"the input “{name}”, which this block leaves out", "an input that is given", "", ())
    known = (*result.values, *result.given)
    if block.id.startswith(PARTS):
        return _not_of_a_part(name, block.position.path)
    expected = "one of " + ", ".join(known) if known else f"a quantity, of which {block.id} has none"
    return unknown(f"the quantity “{name}”", expected, name, known)


def _not_of_a_part(name: str, path: str) -> Refused:
    """That figures cannot take this of a part."""
    refused = unknown(f"“{name}” of a part", "mass or price", name, _OF_PARTS)
    if name in _OF_PARTS:
        refused = unknown(f"“{name}”, which the part’s file does not say", f"{name}: in {path}", "", ())
        refused.help = f"write it into {path}"
    refused.help = refused.help or "figures take no other values of a part than these two"
    return refused


def same_quantity(target: Target, block: BlockResult, case: str) -> Target:
    """What has the name of a value in another case or block. Raises `Refused`."""
    if case not in block.cases and len(block.cases) == 1:
        case = next(iter(block.cases))
    if case not in block.cases:
        cases = ", ".join(block.cases)
        raise no_change(block.id, f"the case as well: {cases}", f"write “vs {block.id}.CASE”")
    path = (target.output, *target.key.split(".")) if target.key else (target.output,)
    try:
        return within(
            block, Address(scheme="calc", text=block.id, page=None, block=block.id, rest=(case, *path))
        )
    except Refused as error:
        quantity = ".".join(path)
        raise no_change(case or block.id, f"a case that has {quantity}", error.help) from error


def change(target: Target, other: Target, mode: Mode) -> Value:
    """A value against another: the change from it, or how many times it is. Raises `Refused`."""
    value, base = target.number, other.number
    where = other.words
    if value.dimension != base.dimension:
        raise no_change(f"{where}, a {base.dimension}", f"a {value.dimension}, as the figure is")
    if mode == "difference":
        return change_between(base, value)
    if not has_shares(value):
        found = f"{where}, a {value.dimension}, as a share"
        expected = "a value whose zero means that there is nothing"
        raise Refused("title", f"vs {found}", expected, help="state the difference", code=NO_SHARE)
    if base.si == 0:
        raise no_change(f"{where}, where it is 0", "a base other than 0", "state the difference")
    if not share_means_something(base, value):
        raise no_change(
            f"{where}, where it is {'below' if base.si < 0 else 'above'} 0, and here it is not",
            "two values on one side of 0",
            "state the difference",
        )
    if mode == "times":
        return multiple_of(base, value)
    return change_between(base, value, relative=True)


def no_change(versus: str, expected: str, help: str = "") -> Refused:
    """That what stands behind “vs” is nothing to compare with."""
    return Refused("title", f"vs {versus}", expected, help=help, code=OPTION_UNREADABLE)
