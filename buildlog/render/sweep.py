"""A sweep as a table: one row a value of the input, one column a quantity of a case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buildlog.book.goals import in_words
from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.figures.systems import other_decimals, other_unit, system_of, to_other, write_rounded
from buildlog.kinds.results import SweepResult
from buildlog.render.words import say


@dataclass(frozen=True, kw_only=True)
class SweepColumn:
    """A column: its name, and its unit and values in both systems of units. The second are "" and empty
    where one unit serves both; `system` is the first one's."""

    name: str
    unit: str
    values: tuple[str, ...]
    other_unit: str = ""
    others: tuple[str, ...] = ()
    system: str = ""


@dataclass(frozen=True)
class SweepTable:
    caption: str
    columns: tuple[SweepColumn, ...]
    refusal: str

    @property
    def rows(self) -> range:
        return range(len(self.columns[0].values))


def sweep_table(sweep: SweepResult) -> SweepTable:
    """Words of the table. Places where the calculation refuses the value are left open."""
    own = units.find(sweep.unit, sweep.dimension)
    points = [own.from_si(point) for point in sweep.points]
    columns = [_column(sweep.label, own, list(points), _even(points))]
    for column in sweep.columns:
        case, output, key = column
        unit = units.find(output.unit, output.dimension)
        values = [value if value is None else unit.from_si(value) for value in sweep.values[column]]
        name = ", ".join(filter(None, (case, in_words(output, key))))
        columns.append(_column(name, unit, list(values), output.decimals))
    return SweepTable(say("The sweep over {input}", input=sweep.label), tuple(columns), sweep.refusal)


def _column(name: str, unit: units.Unit, values: list[float | None], decimals: int) -> SweepColumn:
    written = tuple(_or_dash(value, lambda known: write_number(known, decimals)) for value in values)
    largest = max((abs(value) for value in values if value is not None), default=0.0)
    other = other_unit(unit, largest)
    if other is None:
        return SweepColumn(name=name, unit=unit.symbol, values=written)
    reach = other_decimals(largest, decimals, unit, other)
    others = tuple(
        _or_dash(value, lambda known: write_rounded(to_other(known, unit, other), reach)) for value in values
    )
    return SweepColumn(
        name=name,
        unit=unit.symbol,
        values=written,
        other_unit=other.symbol,
        others=others,
        system=system_of(unit),
    )


def _or_dash(value: float | None, write: Callable[[float], str]) -> str:
    """A value as written, or a dash where the calculation has refused it."""
    if value is None:
        return "–"
    return write(value)


def _even(values: list[float]) -> int:
    """The fewest decimals that tell numbers from each other and show their step; at most six."""
    for decimals in range(6):
        if all(abs(round(value, decimals) - value) < 1e-9 * max(1.0, abs(value)) for value in values):
            return decimals
    return 6
