"""What was made of things, kept for as long as these are the very same things."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from operator import is_
from typing import Any, TypeVar

T = TypeVar("T")


class Kept:
    """Keeps one made thing a name. It is made anew when one of the things that it was made of is another
    object, or when `like` is no longer equal.

    Identity is what tells: a book that is opened on an earlier one takes over pages, results and judgements
    that rest on nothing new, and makes all others anew. What is made must depend on nothing else.
    """

    def __init__(self) -> None:
        self._kept: dict[Hashable, tuple[tuple[object, ...], object, Any]] = {}
        self._wanted: set[Hashable] = set()

    def get(self, name: Hashable, of: tuple[object, ...], make: Callable[[], T], like: object = None) -> T:
        """The thing of this name, as kept or as `make` makes it."""
        self._wanted.add(name)
        before = self._kept.get(name)
        if (
            before is not None
            and len(before[0]) == len(of)
            and all(map(is_, before[0], of))
            and before[1] == like
        ):
            kept: T = before[2]
            return kept
        made = make()
        self._kept[name] = (of, like, made)
        return made

    def __len__(self) -> int:
        return len(self._kept)

    def sweep(self) -> None:
        """Forget what nobody has asked for since the last sweep: what it belonged to is gone."""
        self._kept = {name: one for name, one in self._kept.items() if name in self._wanted}
        self._wanted = set()
