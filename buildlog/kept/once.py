"""What is made once and then taken from disk, by this run or a later one."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from buildlog.kept.packing import Unpackable, pack, unpack
from buildlog.kept.store import Store

T = TypeVar("T")


def kept_or_made(store: Store | None, key: str, kind: type[T], make: Callable[[], T]) -> T:
    """A thing of some kind as it was kept under a key, or as it is made, which is then kept where it can be.
    Without a store, or a key, it is made."""
    if store is None or not key:
        return make()
    content = store.get(key)
    if content is not None:
        with suppress(Unpackable):
            found = unpack(content)
            if isinstance(found, kind):
                return found
    made = make()
    with suppress(Unpackable):
        store.put(key, pack(made))
    return made
