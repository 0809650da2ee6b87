"""How a row or a listed value goes by in an address: the name, or the value, that its author wrote.

A number would mean another row as soon as one is put before it. Only what the trade counts itself, gears and
cylinders, goes by its number.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from buildlog.diagnostics import AsWritten, InputsConflict, as_written
from buildlog.said import said

_DASHES = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"))
OWN_KEYS: Mapping[str, tuple[str, ...]] = {
    "axle": (said("front"), said("rear")),
    "bound": (said("least"), said("most")),
    "condition": (said("before"), said("after")),
    "direction": (said("out"), said("back")),
    "friction": (
        said("sliding, low"),
        said("sliding, high"),
        said("low friction"),
        said("high friction"),
    ),
    "side": (said("left"), said("right")),
    "state": (said("idle"), said("load")),
    "tone": (said("half-firing"), said("firing"), said("double-firing")),
}
"""By what results are listed by, the keys that kinds have words of their own for."""

# Signs that names and units have and that Markdown lets stand in an address. Any other becomes a hyphen.
_KEPT = frozenset("-_.,+%‰°/′″·×±")
_REPEATED = re.compile(r"([-.])\1+")


@lru_cache(maxsize=4096)  # a calculation that is made again and again has the same rows
def address_key(words: str) -> str:
    """Words as an address has them: ``hose clamp, 60 mm`` is ``hose-clamp,-60-mm``."""
    text = unicodedata.normalize("NFC", words).translate(_DASHES)
    signs = "".join(sign if sign.isalnum() or sign in _KEPT else "-" for sign in text.strip())
    return _REPEATED.sub(r"\1", signs).rstrip("-.").lstrip(".")


def row_keys(name: str, rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """The key of each row of a table: its name, and its number where it has none. `name` is the input."""
    keys: dict[str, None] = {}
    for index, row in enumerate(rows):
        key = address_key(row["name"]) if "name" in row else str(index + 1)
        if not key:
            raise InputsConflict(
                name, f"the name “{row['name']}”", "letters or digits in it", at=(index, "name")
            )
        if key in keys:
            raise InputsConflict(
                name,
                f"two rows named “{row.get('name', key)}”",
                "a name for each",
                help="figures in the text call a row by its name",
                at=(index, "name"),
            )
        keys[key] = None
    return list(keys)


def value_keys(name: str, values: Sequence[float]) -> list[str]:
    """The key of each value of a list: how its author wrote it. `name` is the input."""
    keys: dict[str, None] = {}
    for index, value in enumerate(values):
        key = address_key(value.text) if isinstance(value, AsWritten) else str(index + 1)
        if key in keys:
            raise InputsConflict(
                name, f"{as_written(value, f'{value:g}')} twice", "each value once", at=(index,)
            )
        keys[key] = None
    return list(keys)


def pair_key(first: float, last: float, number: int) -> str:
    """The key of a span from one listed value to another: ``30-60-mph``, or ``30-mph-100-km/h``. Values that
    nobody wrote go by their number."""
    if not isinstance(first, AsWritten) or not isinstance(last, AsWritten):
        return str(number)
    words = first.text
    if first.unit == last.unit:
        words = words.removesuffix(first.unit).strip()
    return address_key(f"{words}-{last.text}")
