"""A build's progress line, which shares the terminal with MkDocs' log."""

from __future__ import annotations

import logging

from buildlog.report.progress import ProgressLine


class BuildProgress:
    """Shows pages, blocks and charts between `begin` and `end`; gives way to whatever MkDocs logs.

    `pages` is how many there are to render, once that is known.
    """

    def __init__(self) -> None:
        self.pages = 0
        self.line: ProgressLine | None = None
        self.counts: dict[str, int] = {}
        self.handlers: list[logging.Handler] = []

    def begin(self) -> None:
        self.end()
        self.line = ProgressLine()
        self.counts, self.pages = {}, 0
        self.handlers = [*logging.getLogger("mkdocs").handlers, *logging.getLogger().handlers]
        for handler in self.handlers:
            handler.addFilter(self._give_way)

    def __call__(self, what: str, done: int, of: int) -> None:
        """What a book tells while it reads and computes."""
        if self.line is not None:
            self.line(what, done, of)

    def next(self, what: str, of: int = 0) -> None:
        """One more of something, of so many."""
        self.counts[what] = self.counts.get(what, 0) + 1
        self(what, self.counts[what], of)

    def end(self) -> None:
        if self.line is not None:
            self.line.clear()
        for handler in self.handlers:
            handler.removeFilter(self._give_way)
        self.line, self.handlers = None, []

    def _give_way(self, record: logging.LogRecord) -> bool:
        if self.line is not None:
            self.line.clear()
        return True
