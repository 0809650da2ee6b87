"""A value in a cell of a list, in both systems of units."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buildlog.kinds.quantities import other_of, shown
from buildlog.kinds.results import Value


@dataclass(frozen=True)
class Cell:
    """A value in both systems of units; empty where it is not known."""

    text: str = ""
    other: str = ""
    system: str = ""


def cell_of(value: Value | None, *, signed: bool = False) -> Cell:
    """A value as a cell; where it is `signed`, what is above zero has a plus."""
    if value is None:
        return Cell()
    plus = "+" if signed and value.si > 0 else ""
    cell = Cell(plus + shown(value).text)
    if (other := other_of([value])) is not None:
        cell = replace(cell, other=plus + other.shown(value).text, system=other.system)
    return cell
