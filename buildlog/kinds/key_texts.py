"""What the key of a row stands for: ``speed 2`` is the second speed that the block lists, 105 km/h."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.diagnostics import AsWritten, Refused
from buildlog.figures import units
from buildlog.figures.systems import (
    FEWEST_DIGITS,
    decimals_of,
    other_unit,
    system_of,
    to_other,
    write_rounded,
)
from buildlog.figures.values import parse_value
from buildlog.kinds.declaration import Output
from buildlog.kinds.keys import OWN_KEYS, address_key
from buildlog.kinds.results import BlockResult, GivenInput
from buildlog.said import said

_LAST_WORDS = frozenset(("low", "high"))
_NUMBER_AND_UNIT = re.compile(r"(?<=[0-9])-(?=[^\W\d_])")


@dataclass(frozen=True)
class KeyText:
    """A key for reading, and what it stands for as its author wrote it ("" where the key says it all). `key`
    is "" where it is what its author wrote.

    `other` is the same in the other system of units than `system`, the author's.
    """

    key: str
    meaning: str = ""
    other: str = ""
    system: str = ""

    @property
    def text(self) -> str:
        return ", ".join((self.key, self.meaning)) if self.key and self.meaning else self.key or self.meaning


def key_words(key: str) -> str:
    """A key's words: ``sliding_low`` is sliding, low, and ``30-mph`` 30 mph."""
    words = _NUMBER_AND_UNIT.sub(" ", key).replace("_", " ").split(" ")
    if len(words) > 1 and words[-1] in _LAST_WORDS:
        words[-2] += ","
    return " ".join(words)


def key_text(block: BlockResult, output: Output, key: str) -> KeyText:
    """The key of a row: its author's words, where it goes by them. What a number stands for is said where it
    is the same in every case that has it."""
    words = key_words(key)
    name = output.of or output.key
    given = [case.given[name] for case in block.cases.values() if name in case.given]
    for value in given:
        if written := _written(value, key):
            other, system = _in_other(written, value)
            return KeyText("", written, other, system) if other else KeyText(written)
    if not key.isdecimal():
        own = next((one for one in OWN_KEYS.get(name, ()) if one == words and not given), words)
        return KeyText(own)
    texts = list(dict.fromkeys(_item(value, int(key)) for value in given))
    if len(texts) != 1 or not texts[0]:
        return KeyText(words)
    other, system = _in_other(texts[0], given[0])
    return KeyText(words, texts[0], other, system)


def result_in_words(block: BlockResult, output: Output, key: str) -> str:
    """A result by its title and its row: ``road speed at the rev limit, gear 2``."""
    if not key:
        return output.title
    row = key_text(block, output, key).text
    return said("{title}, {key} {row}", title=output.title, key=output.key, row=row)


def _written(given: GivenInput, key: str) -> str:
    """What the author wrote of the row or the listed value that goes by this key; "" where there is none."""
    if not isinstance(given.value, list | tuple):
        return ""
    for item in given.value:
        text = item.text if isinstance(item, AsWritten) else ""
        if isinstance(item, dict):
            text = str(item.get("name", ""))
        if text and not text.startswith("calc:") and address_key(text) == key:
            return text
    return ""


def _item(given: GivenInput, number: int) -> str:
    """What stands at a place of an input's list, as written; "" where that cannot be told."""
    form = given.declared.form
    if not isinstance(given.value, list | tuple) or not 1 <= number <= len(given.value) or form.item is None:
        return ""
    written = given.written.strip()
    if not (written.startswith("[") and written.endswith("]")):
        return ""
    items = [item.strip().strip("'\"") for item in written[1:-1].split(",")]
    if len(items) != len(given.value):  # a comma within a value: which words are whose cannot be told
        return ""
    return items[number - 1]


def _in_other(text: str, given: GivenInput) -> tuple[str, str]:
    """A listed value in the other system of units, and the author's system; ("", "") where it has none."""
    item = given.declared.form.item
    if item is None or item.number is None:
        return "", ""
    try:
        value = parse_value(text)
        unit = units.find(value.unit, item.number.dimension)
    except Refused:
        return "", ""
    other = other_unit(unit, float(value.number.value))
    if other is None or value.uncertainty is not None:
        return "", ""
    converted = to_other(float(value.number.value), unit, other)
    digits = max(FEWEST_DIGITS, len(str(abs(value.number.value) // value.number.step)))
    step = float(value.number.step) * unit.factor / other.factor
    decimals = decimals_of(converted, digits, step)
    if other.offset:  # a temperature's zero is no zero of the quantity: its digits say nothing
        decimals = value.number.decimals
    return f"{write_rounded(converted, decimals)}\u00a0{other.symbol}", system_of(unit)
