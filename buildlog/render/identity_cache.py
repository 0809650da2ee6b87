"""What was made of things, kept for as long as these are the very same things."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable
from operator import is_
from typing import Any, TypeVar

T = TypeVar("T")
Name = tuple[Hashable, ...]


class IdentityCache:
    """Keeps one made thing a name. It is made anew when one of the things that it was made of is another
    object, or when `like` is no longer equal.

    A name's second part is what the thing belongs to, such as a page.

    Identity is what tells: a book that is opened on an earlier one takes over pages, results and judgements
    that rest on nothing new, and makes all others anew. What is made must depend on nothing else.
    """

    def __init__(self) -> None:
        self._kept: dict[Name, tuple[tuple[object, ...], object, Any]] = {}

    def get(self, name: Name, of: tuple[object, ...], make: Callable[[], T], like: object = None) -> T:
        """The thing of this name, as kept or as `make` makes it."""
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

    def forget(self, name: Name) -> None:
        """Make the thing of this name anew the next time."""
        self._kept.pop(name, None)

    def __len__(self) -> int:
        return len(self._kept)

    def sweep(self, still: Collection[str]) -> None:
        """Forget what belongs to nothing that is still there."""
        self._kept = {name: one for name, one in self._kept.items() if name[1] in still}
