"""Blocks computed in processes even where they are few, and the book waiting for them: for tests, in
whichever process they run it."""

from __future__ import annotations

from collections.abc import Sequence

from buildlog.book import ahead
from buildlog.book.ahead import Ahead, Name, Work

LONG = 120.0
elsewhere: list[Name] = []
"""The blocks that a process has answered."""
_look, _answered = Ahead._look, Work._answered


def _is_idle(work: Work) -> bool:
    ready = (name for name in work._open if work._given.keys() >= work._needs[name])
    alive = any(thread.is_alive() for thread in work._threads)
    return not alive or (not work._running and next(ready, None) is None)


def look_and_wait(self: Ahead, left: Sequence[Name]) -> None:
    """Start processes, and let them do all that they can do without the book."""
    _look(self, left)
    if self._work is not None:
        with self._work._changed:
            for _ in range(int(LONG * 10)):
                if self._work._changed.wait_for(lambda: self._work is None or _is_idle(self._work), 0.1):
                    return


def answered(self: Work, name: Name, answer: bytes) -> None:
    if answer:
        elsewhere.append(name)
    _answered(self, name, answer)


def use() -> None:
    """From now on, in this process."""
    ahead.LOOK_AFTER = 0.0
    ahead.WORTH = 1e-9
    Ahead._look = look_and_wait  # type: ignore[method-assign]
    Work._answered = answered  # type: ignore[method-assign]
