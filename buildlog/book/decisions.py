"""Addresses into a decision: a requirement alone, ``calc:choice.budget``, means its margin and the verdict on
it. Without an option it is the chosen one's. An option alone, ``calc:choice.new``, means the verdict over all
of its requirements.
"""

from __future__ import annotations

from dataclasses import replace

from buildlog.kinds.results import BlockResult
from buildlog.reading.addresses import Address
from buildlog.reading.decisions import KIND


def in_full(block: BlockResult, address: Address) -> Address:
    """The address with its option and its quantity, where it leads into a decision and leaves them out."""
    if block.kind != KIND:
        return address
    option, path = block.chosen, address.rest
    if path[0] in block.cases:
        option, path = path[0], path[1:]
    elif not option and len(block.cases) > 1:
        return address  # which option is meant cannot be told, and is asked for
    elif not option:
        option = next(iter(block.cases))
    if not path:
        path = ("overall",)
    elif path[0] not in block.outputs and len(path) == 1:
        path = ("margin", *path)
    return replace(address, rest=(option, *path))


def word_of(block: BlockResult, case: str, output: str, key: str) -> str:
    """The verdict on a decision's margin; "" for any other value."""
    if block.kind != KIND or output != "margin":
        return ""
    word = block.value(case, "verdict", key)
    return word if isinstance(word, str) else ""
