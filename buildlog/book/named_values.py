"""What else has a name inside a computed block than its results: the inputs as each case ran with them.

An input that is one value goes by its name, an item of a list by its place where the trade counts from 1
(`gears.3`), a value of a table by the name of its row and its column (`parts.crown-wheel.mass`). What the
rows of a table reach has names too: see `buildlog.book.extremes`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from buildlog.book.extremes import extremes
from buildlog.diagnostics import AsWritten, Refused, declare, did_you_mean, shorten
from buildlog.kinds.keys import address_key
from buildlog.kinds.results import GivenInput, Value

UNKNOWN_ADDRESS = declare(
    "unknown-address",
    "the address names something that is not there",
    why="A figure that rests on a missing block, case or quantity rests on nothing.",
    mend="Name a block, a case and a quantity that exist; `buildlog working PAGE#BLOCK` lists them.",
    example="[124.8 km/h](calc:shorter-finale.after.speed_at_limit.3)",
)


@dataclass(frozen=True)
class Named:
    """A value with a name inside an input: a number, or a word."""

    key: str
    value: Value | None = None
    word: str = ""


def unknown(found: str, expected: str, word: str, known: Iterable[str]) -> Refused:
    return Refused(
        "address", found, shorten(expected, 200), help=did_you_mean(word, known), code=UNKNOWN_ADDRESS
    )


def named_in(given: GivenInput, key: str) -> Named:
    """The value of an input by its key, "" for an input that is one value. Raises `Refused`."""
    name = given.declared.name
    single = Named("", given.numbers.get(()), given.words.get((), ""))
    if single.value is not None or single.word:
        if key:
            raise unknown(f"“{name}.{key}”", f"{name}, which is a single value", "", ())
        return single
    for known, named in _items(given):
        if known == address_key(key):
            return named
    if key:
        reached = extremes(given)
        if key in reached:
            return Named(key, *reached[key])
    keys = [*(known for known, _ in _items(given)), *extremes(given)]
    if not keys:
        raise unknown(f"“{name}”, which has no value with a name", "a result of the block", "", ())
    missing = f"{name}.{key}" if key else f"“{name}”, which has several values"
    raise unknown(missing, f"{name} and one of " + ", ".join(keys), key, keys)


def _items(given: GivenInput) -> Iterator[tuple[str, Named]]:
    """Every single value of a list or a table, with its key."""
    names = _item_names(given)
    for path, value in given.numbers.items():
        if key := _key(path, names):
            yield key, Named(key, value)
    for path, word in given.words.items():
        if key := _key(path, names):
            yield key, Named(key, None, word)


def _item_names(given: GivenInput) -> dict[int, str]:
    """What the rows of a table or the items of a list go by, by their place from 0. A row without a name is
    not among them: its number would mean another row as soon as one is put before it."""
    form = given.declared.form
    if form.item is None:
        return row_names(given)
    counted = form.is_counted
    items = enumerate(given.value)
    return {
        place: address_key(item.text) if isinstance(item, AsWritten) and not counted else str(place + 1)
        for place, item in items
    }


def row_names(given: GivenInput) -> dict[int, str]:
    """The names of a table's rows as addresses write them, by their place from 0; {} for rows without."""
    names = {
        row: address_key(word)
        for (row, *column), word in given.words.items()
        if column == ["name"] and isinstance(row, int)
    }
    return names


def _key(path: tuple[str | int, ...], names: dict[int, str]) -> str:
    """The key of a value inside an input; "" where its row has no name."""
    row, *column = path
    first = names.get(row, "") if isinstance(row, int) else row
    return ".".join([first, *map(str, column)]) if first else ""
