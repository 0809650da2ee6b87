"""What was made of the same inputs a moment ago.

A calculation is made again and again to find its uncertainty, each time with one error moved, and a part of
it that is much work often rests on few of the errors.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any, TypeVar

Made = TypeVar("Made")


class MadeBefore:
    """So many things at the most, by what they were made of; what was not asked for longest goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._made: dict[Hashable, Any] = {}

    def once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """The thing of a key, made where it is not known."""
        made: Made = self._made.pop(key) if key in self._made else make()
        self._made[key] = made  # last again
        if len(self._made) > self._most:
            del self._made[next(iter(self._made))]
        return made


def as_key(value: Any) -> Hashable:
    """Inputs of a calculation as a key: two that are the same to the last digit and letter have the same."""
    if isinstance(value, Mapping):
        return tuple((name, as_key(inside)) for name, inside in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return tuple(as_key(inside) for inside in value)
    return value  # type: ignore[no-any-return]
