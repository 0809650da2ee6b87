"""What was made of things, kept for as long as these are the very same things."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable
from operator import is_
from typing import Any, Protocol, TypeVar

from buildlog.render.words import spoken

T = TypeVar("T")
Name = tuple[Hashable, ...]
OF_THE_SITE = ""
"""Stands in a name for the page of what belongs to no page."""


class Kept(Protocol):
    """What an earlier run has left: `buildlog.render.kept_made`."""

    def key(self, name: Name, of: tuple[object, ...], like: object) -> str: ...
    def get(self, key: str) -> Any: ...
    def put(self, key: str, made: object) -> None: ...


class IdentityCache:
    """Keeps one made thing a name. It is made anew when one of the things that it was made of is another
    object, or when `like` is no longer equal.

    A name's second part is what the thing belongs to, such as a page.

    What is made has our words in it, so that it is made anew too when another language is spoken.

    Identity is what tells: a book that is opened on an earlier one takes over pages, results and judgements
    that rest on nothing new, and makes all others anew. What is made must depend on nothing else.

    What is not here may have been `kept` by an earlier run.
    """

    def __init__(self, kept: Kept | None = None) -> None:
        self.kept = kept
        self._entries: dict[Name, tuple[tuple[object, ...], object, Any]] = {}

    def get(self, name: Name, of: tuple[object, ...], make: Callable[[], T], like: object = None) -> T:
        """The thing of this name, as kept or as `make` makes it."""
        made: T
        like = (spoken(), like)
        if (entry := self._entries.get(name)) is not None:
            made_of, made_like, made = entry
            if len(made_of) == len(of) and all(map(is_, made_of, of)) and made_like == like:
                return made
        made = self._kept_or_made(name, of, make, like)
        # The things are held too: another object might otherwise be given the identity of one that is gone.
        self._entries[name] = (of, like, made)
        return made

    def _kept_or_made(self, name: Name, of: tuple[object, ...], make: Callable[[], T], like: object) -> T:
        if self.kept is None or not (key := self.kept.key(name, of, like)):
            return make()
        found: T | None = self.kept.get(key)
        if found is None:
            found = make()
            self.kept.put(key, found)
        return found

    def forget(self, name: Name) -> None:
        """Make the thing of this name anew the next time."""
        self._entries.pop(name, None)

    def __len__(self) -> int:
        return len(self._entries)

    def sweep(self, still: Collection[str]) -> None:
        """Forget what belongs to nothing that is still there."""
        self._entries = {name: entry for name, entry in self._entries.items() if name[1] in still}
