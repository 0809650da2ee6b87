"""The factors of units, worked out from their definitions by pint in exact fractions.

Ours are worked out when `make generate` writes ``factor_table.py`` from ``units.txt``, and not again: pint
takes longer to load than most commands to run.

Source of the factors: NIST Special Publication 811 (2008), Appendix B.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from typing import Any

from buildlog.figures.units import DimensionRow, UnitRow
from buildlog.figures.worked_out import WorkedOut

FactorTable = tuple[tuple[DimensionRow, ...], tuple[UnitRow, ...], dict[str, str]]
"""Dimensions, units, and refused spellings with what to write."""


@dataclass(frozen=True, kw_only=True)
class Definition:
    """What pint is told of a unit."""

    name: str
    definition: str


@dataclass(frozen=True, kw_only=True)
class Row(Definition):
    """A unit as the list defines it."""

    symbol: str
    dimension: str
    system: str
    counterpart: str
    spellings: tuple[str, ...]
    about: str


def list_text() -> str:
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


def registry_of(rows: Iterable[Definition]) -> Any:
    """A pint registry that knows our definitions and nothing else, and reckons in exact fractions."""
    import pint

    registry: Any = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions([f"{row.name} = {row.definition}" for row in rows])
    return registry


def _work_out(registry: Any, rows: Iterable[Definition]) -> dict[str, tuple[float, float]]:
    """Factor and offset of each row."""
    worked: dict[str, tuple[float, float]] = {}
    for row in rows:
        if "offset:" in row.definition:
            zero = registry.Quantity(Fraction(0), row.name).to_root_units().magnitude
            first = registry.Quantity(Fraction(1), row.name).to_root_units().magnitude
            worked[row.name] = (float(first - zero), float(zero))
        else:
            worked[row.name] = (float(registry.get_root_units(row.name)[0]), 0.0)
    return worked


def _in_words(bases: Mapping[str, Fraction]) -> str:
    """Base dimensions as text: “length² mass”."""
    powers = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
    words = []
    for base, power in sorted(bases.items()):
        raised = "" if power == 1 else str(power).translate(powers)
        words.append(base.strip("[]").replace("_", " ") + raised)
    return " · ".join(words) or "a plain number"


def work_out_beside_ours(own: tuple[Definition, ...], asked: Iterable[str]) -> WorkedOut:
    """Units that a site defines from ours, which `reading.own_units` has read and written anew: no text of an
    author comes here. `asked` are names of ours whose bases are wanted too. It follows from its arguments
    and our list alone. pint is loaded for it, which takes a few tenths of a second."""
    _, rows, _ = parse(list_text())
    registry = registry_of([*rows, *own])
    names = [*(row.name for row in own), *asked]
    bases = {name: _in_words(registry.get_dimensionality(name)) for name in names}
    return WorkedOut(factors=_work_out(registry, own), bases=bases)


def factor_table() -> FactorTable:
    """The whole table of ours."""
    dimensions, rows, refused = parse(list_text())
    worked = _work_out(registry_of(rows), rows)
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


def factor_table_module() -> str:
    """The source of ``factor_table.py``."""
    dimensions, units, refused = factor_table()
    advice = tuple(refused.items())
    parts = [
        '"""Made by `make generate`: change ``units.txt``, not this file."""',
        "",
        "# fmt: off",
        "# ruff: noqa: E501",
        _listing("DIMENSIONS: tuple[tuple[str, str, str], ...]", dimensions),
        _listing(
            "UNITS: tuple[tuple[str, str, str, float, float, str, tuple[str, ...], str, str], ...]", units
        ),
        _listing("REFUSED: tuple[tuple[str, str], ...]", advice),
    ]
    return "\n".join(parts)


def _listing(name: str, rows: Iterable[object]) -> str:
    return "\n".join([f"{name} = (", *(f"    {row!r}," for row in rows), ")", ""])
