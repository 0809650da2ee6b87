"""How far long work has come: one line on a terminal, rewritten in place, and gone when the work is done.

It goes to standard error, so that what a command prints stays as it is when it is piped on. Nothing but
spaces and carriage returns moves the cursor: no colours and no escape sequences.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from types import TracebackType
from typing import Self, TextIO

PATIENCE = 1.0
"""Seconds of work before anything is shown."""
PACE = 0.1
"""Seconds between two states of the line."""


class ProgressLine:
    """Told what is being worked through, it shows so once the work has taken a second.

    Use it in a ``with`` statement, or call `clear` at the end and before anything else is printed.
    Its seconds run from when it is made, or from `restart`.
    """

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self.stream = sys.stderr if stream is None else stream
        self.clock = clock
        self.wanted = is_wanted(self.stream)
        self.began = self.last = clock()
        self.shown = 0

    def __call__(self, what: str, done: int, of: int = 0) -> None:
        """`done` of `of` are done; where `of` is 0 nobody knows how many there will be."""
        if not self.wanted:
            return
        now = self.clock()
        if now - self.began < PATIENCE or (self.shown and now - self.last < PACE):
            return
        self.last = now
        text = f"{what}: {done} of {of}" if of else f"{what}: {done}"
        text = text[: _columns(self.stream) - 1]  # a full line would wrap, and could not be taken back
        self._write("\r" + text.ljust(self.shown))
        self.shown = len(text)

    def restart(self) -> None:
        """Something else begins, which has its own second."""
        self.clear()
        self.began = self.clock()

    def clear(self) -> None:
        """Leave the line as if nothing had stood there."""
        if self.shown:
            self._write("\r" + " " * self.shown + "\r")
            self.shown = 0

    def _write(self, text: str) -> None:
        try:
            self.stream.write(text)
            self.stream.flush()
        except (OSError, ValueError):  # the terminal is gone, or the stream is closed: the work goes on
            self.wanted = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.clear()


def is_wanted(stream: TextIO | None) -> bool:
    """Whether somebody watches: on a terminal that can rewrite a line, and not where a CI records it."""
    try:
        watched = stream is not None and stream.isatty()
    except ValueError:  # closed
        return False
    return watched and os.environ.get("TERM") != "dumb" and not os.environ.get("CI")


def _columns(stream: TextIO) -> int:
    try:
        return os.get_terminal_size(stream.fileno()).columns or 80
    except (OSError, ValueError):
        return 80
