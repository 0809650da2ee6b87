"""Where a ``calc:`` address leads inside a computed block, and what to say when it leads nowhere; the change
of a value there against another case."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buildlog.diagnostics import Refused, declare, did_you_mean, shorten
from buildlog.kinds.results import BlockResult, Value, change_between
from buildlog.reading.addresses import OPTION_UNREADABLE, Address

UNKNOWN_ADDRESS = declare(
    "unknown-address",
    "the address names something that is not there",
    why="A figure that rests on a missing block, case or quantity rests on nothing.",
    mend="Name a block, a case and a quantity that exist; `buildlog working PAGE#BLOCK` lists them.",
    example="[124.8 km/h](calc:shorter-finale.after.speed_at_limit.3)",
)
RESTS_ON_FAULT = declare(
    "rests-on-fault",
    "the block it rests on could not be computed",
    why="Until the block is mended nobody knows whether this figure is right.",
    mend="Mend the block first.",
    example="[135.5 km/h](calc:shorter-final.after.speed_at_limit.3)  # and it misses an input",
)


@dataclass(frozen=True, kw_only=True)
class Target:
    """What a ``calc:`` address leads to."""

    block: BlockResult
    case: str
    output: str
    key: str
    value: Value


def within(block: BlockResult, address: Address) -> Target:
    """Case, quantity and key inside a block."""
    case, rest = _case_and_rest(block, address)
    values = {name: value for name, value in block.cases[case].values.items() if not isinstance(value, str)}
    if not rest:
        raise unknown(f"no quantity in “{address.text}”", "one of " + ", ".join(values), "", values)
    name, *keys = rest
    if len(keys) > 1:
        raise unknown(f"“{'.'.join(rest)}”", "a quantity and a key", name, values)
    if name not in values:
        raise _no_quantity(block, name, values)
    value, key = values[name], "".join(keys)
    if isinstance(value, dict):
        if key not in value:
            missing = f"{name}.{key}" if key else f"“{name}” without a {block.outputs[name].key}"
            raise unknown(missing, f"{name} and one of " + ", ".join(value), key, value)
        return Target(block=block, case=case, output=name, key=key, value=value[key])
    if key:
        raise unknown(f"“{name}.{key}”", f"{name}, which has a single value", "", ())
    return Target(block=block, case=case, output=name, key="", value=value)


def _case_and_rest(block: BlockResult, address: Address) -> tuple[str, tuple[str, ...]]:
    """The case that an address means, and its parts after the case. A single case need not be named."""
    first, *after = address.rest
    if first in block.cases:
        return first, tuple(after)
    if len(block.cases) == 1:
        return next(iter(block.cases)), address.rest
    cases = ", ".join(block.cases)
    if first in block.outputs:
        raise unknown(f"no case in “{address.text}”", f"the case as well: {cases}", first, block.cases)
    raise unknown(f"the case “{first}”", f"one of {cases}", first, block.cases)


def _no_quantity(block: BlockResult, name: str, values: Iterable[str]) -> Refused:
    declared = block.outputs.get(name)
    if declared is None:
        return unknown(f"the quantity “{name}”", "one of " + ", ".join(values), name, values)
    if declared.dimension == "text":
        return unknown(f"“{name}”, which is words", "a quantity with a value", "", values)
    needed = "the inputs it needs: " + ", ".join(declared.needs)
    return unknown(f"“{name}”, which this block does not compute", needed, "", ())


def unknown(found: str, expected: str, word: str, known: Iterable[str]) -> Refused:
    return Refused(
        "address", found, shorten(expected, 200), help=did_you_mean(word, known), code=UNKNOWN_ADDRESS
    )


def change(target: Target, versus: str, percent: bool) -> Value:
    """The change of a value against another case of its block, relative where `percent`."""
    block = target.block
    if versus not in block.cases:
        cases = ", ".join(filter(None, block.cases)) or "it has none"
        raise _no_change(versus, f"another case of the block: {cases}", did_you_mean(versus, block.cases))
    if versus == target.case:
        raise _no_change(versus, "a case other than the figure's own")
    other = block.value(versus, target.output, target.key)
    if not isinstance(other, Value):
        raise _no_change(versus, f"a case that has {target.output}")
    if percent and other.si == 0:
        raise _no_change(f"{versus}, where it is 0", "a base other than 0", "state the difference")
    return change_between(other, target.value, relative=percent)


def _no_change(versus: str, expected: str, help: str = "") -> Refused:
    return Refused("title", f"vs {versus}", expected, help=help, code=OPTION_UNREADABLE)
