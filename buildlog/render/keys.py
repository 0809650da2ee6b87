"""What the key of a row stands for: ``speed 2`` is the second speed that the block lists, 105 km/h."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.values import parse_value
from buildlog.kinds.declaration import Output
from buildlog.kinds.results import BlockResult, GivenInput
from buildlog.render.conversion import (
    FEWEST_DIGITS,
    decimals_of,
    other_unit,
    system_of,
    to_other,
    write_rounded,
)

_LAST_WORDS = frozenset(("low", "high"))


@dataclass(frozen=True)
class KeyText:
    """A key for reading, and what it stands for as its author wrote it ("" where the key says it all).

    `other` is the same in the other system of units than `system`, the author's.
    """

    key: str
    meaning: str = ""
    other: str = ""
    system: str = ""

    @property
    def text(self) -> str:
        return ", ".join(filter(None, (self.key, self.meaning)))


def key_words(key: str) -> str:
    """A key's words: ``sliding_low`` is sliding, low."""
    words = key.replace("_", " ").split(" ")
    if len(words) > 1 and words[-1] in _LAST_WORDS:
        words[-2] += ","
    return " ".join(words)


def key_text(block: BlockResult, output: Output, key: str) -> KeyText:
    """The key of a row. What it stands for is said where it is the same in every case that has it; a row of a
    table by all its names."""
    words = key_words(key)
    if not key.isdecimal():
        return KeyText(words)
    name = output.of or output.key
    given = [case.given[name] for case in block.cases.values() if name in case.given]
    texts = list(dict.fromkeys(_item(value, int(key)) for value in given))
    if len(texts) > 1 and all(value.declared.form.row for value in given):
        return KeyText(words, " / ".join(filter(None, texts)))
    if len(texts) != 1 or not texts[0]:
        return KeyText(words)
    other, system = _in_other(texts[0], given[0])
    return KeyText(words, texts[0], other, system)


def _item(given: GivenInput, number: int) -> str:
    """What stands at a place of an input's list, as written; "" where that cannot be told."""
    form = given.declared.form
    if not isinstance(given.value, list | tuple) or not 1 <= number <= len(given.value):
        return ""
    if form.row:
        row = given.value[number - 1]
        if not isinstance(row, dict):
            return ""
        return str(row.get("name", ""))
    if form.item is None:
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
    other = other_unit(unit)
    if other is None or value.uncertainty is not None:
        return "", ""
    converted = to_other(float(value.number.value), unit, other)
    digits = max(FEWEST_DIGITS, len(str(abs(value.number.value) // value.number.step)))
    step = float(value.number.step) * unit.factor / other.factor
    decimals = decimals_of(converted, digits, step)
    if other.offset:  # a temperature's zero is no zero of the quantity: its digits say nothing
        decimals = value.number.decimals
    return f"{write_rounded(converted, decimals)}\u00a0{other.symbol}", system_of(unit)
