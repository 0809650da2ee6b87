"""A sweep as a table: one row a value of the input, one column a quantity of a case."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog import units
from buildlog.goals import in_words
from buildlog.labels import write_number
from buildlog.results import SweepResult


@dataclass(frozen=True)
class SweepTable:
    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    refusal: str


def sweep_table(sweep: SweepResult) -> SweepTable:
    """Words of the table. Places where the calculation refuses the value are left open."""
    own = units.find(sweep.unit or units.units_of(sweep.dimension)[0].symbol, sweep.dimension)
    points = [own.from_si(point) for point in sweep.points]
    heads = [", ".join(filter(None, (sweep.label, own.symbol)))]
    columns: list[list[str]] = [_even(points)]
    for column in sweep.columns:
        case, output, key = column
        unit = units.find(output.unit or units.units_of(output.dimension)[0].symbol, output.dimension)
        name = ", ".join(filter(None, (case, in_words(output, key))))
        heads.append(", ".join(filter(None, (name, unit.symbol))))
        columns.append(
            [
                "–" if value is None else write_number(unit.from_si(value), output.decimals)
                for value in sweep.values[column]
            ]
        )
    rows = tuple(zip(*columns, strict=True))
    return SweepTable(f"The sweep over {sweep.label}", tuple(heads), rows, sweep.refusal)


def _even(values: list[float]) -> list[str]:
    """Numbers with the fewest decimals that tell them from each other and show their step."""
    for decimals in range(7):
        written = [write_number(value, decimals) for value in values]
        exact = all(abs(round(value, decimals) - value) < 1e-9 * max(1.0, abs(value)) for value in values)
        if exact or decimals == 6:
            return written
    return []
