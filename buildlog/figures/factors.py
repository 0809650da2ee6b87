"""The factors of all units, worked out from ``units.txt`` by pint in exact fractions.

From that file alone, and text of an author never comes here. A reader's browser has no pint: it gets the
finished table in place of this module (`buildlog.browser.packing`).

Source of the factors: NIST Special Publication 811 (2008), Appendix B.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from typing import Any

UnitRow = tuple[str, str, str, float, float, str, tuple[str, ...], str, str]
"""Name, symbol, dimension, factor, offset, system, spellings, about, counterpart of a unit."""
FactorTable = tuple[tuple[tuple[str, str, str], ...], tuple[UnitRow, ...], dict[str, str]]
"""Dimensions as (name, SI unit, about), units, and refused spellings with what to write."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """A unit as the list defines it."""

    name: str
    definition: str
    symbol: str
    dimension: str
    system: str
    counterpart: str
    spellings: tuple[str, ...]
    about: str


def own_text() -> str:
    """The list."""
    return resources.files("buildlog.figures").joinpath("units.txt").read_text(encoding="utf-8")


def _split(line: str, parts: int) -> list[str]:
    cells = [cell.strip() for cell in line.split("|")]
    return cells + [""] * (parts - len(cells))


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(",") if part.strip())


def parse(text: str) -> tuple[dict[str, tuple[str, str, str]], list[Row], dict[str, str]]:
    """The lines of ``units.txt`` as dimensions, rows and refused spellings with what to write."""
    dimensions: dict[str, tuple[str, str, str]] = {}
    rows: list[Row] = []
    refused: dict[str, str] = {}
    dimension = ""
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("!!"):
            spellings, advice = _split(line[2:], 2)
            refused.update(dict.fromkeys(_listed(spellings), advice))
        elif line.startswith("=="):
            dimension, si, about = _split(line[2:], 3)
            dimensions[dimension] = (dimension, si, about)
        else:
            defined, symbol, system, counterpart, spellings, about = _split(line, 6)
            name, _, definition = (part.strip() for part in defined.partition("="))
            every = tuple(dict.fromkeys((symbol, *_listed(spellings))))
            rows.append(
                Row(
                    name=name,
                    definition=definition,
                    symbol=symbol,
                    dimension=dimension,
                    system=system,
                    counterpart=counterpart,
                    spellings=every,
                    about=about,
                )
            )
    return dimensions, rows, refused


def registry_of(rows: Iterable[Row]) -> Any:
    """A pint registry that knows our definitions and nothing else, and reckons in exact fractions."""
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions([f"{row.name} = {row.definition}" for row in rows])
    return registry


def _work_out(rows: list[Row]) -> dict[str, tuple[float, float]]:
    """Factor and offset of each row."""
    registry = registry_of(rows)
    worked: dict[str, tuple[float, float]] = {}
    for row in rows:
        if "offset:" in row.definition:
            zero = registry.Quantity(Fraction(0), row.name).to_root_units().magnitude
            first = registry.Quantity(Fraction(1), row.name).to_root_units().magnitude
            worked[row.name] = (float(first - zero), float(zero))
        else:
            worked[row.name] = (float(registry.get_root_units(row.name)[0]), 0.0)
    return worked


def factor_table() -> FactorTable:
    """The whole table. Making it takes a few tenths of a second."""
    dimensions, rows, refused = parse(own_text())
    worked = _work_out(rows)
    units = tuple(
        (
            row.name.replace("_", " "),
            row.symbol,
            row.dimension,
            *worked[row.name],
            row.system,
            row.spellings,
            row.about,
            row.counterpart,
        )
        for row in rows
    )
    return tuple(dimensions.values()), units, refused
