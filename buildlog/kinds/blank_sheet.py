"""A sheet to be filled in by hand, as data: what a kind that plans hands over, and a card and a file show."""

from __future__ import annotations

from dataclasses import dataclass

MOST_ROWS = 400
"""Of paper: nobody fills in more."""


@dataclass(frozen=True, kw_only=True)
class BlankSheet:
    """A table with cells left empty. `name` tells sheets of one block apart; it may be "". `headings` are
    what a data file is read by, units in brackets. `once` is what to write down before the first row."""

    name: str = ""
    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    once: tuple[str, ...] = ()
