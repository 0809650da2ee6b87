"""Which row of a block's sweep an address means: ``calc:gears.stock.top_speed@4.30``."""

from __future__ import annotations

from buildlog.book.addresses import Target
from buildlog.book.named_values import unknown
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.values import parse_value
from buildlog.kinds.results import SweepResult

_SHARE_OF_STEP = 1e-6
"""How far from a point of the sweep a value may lie, by the arithmetic of its steps and units."""


def swept_input(target: Target, at: str) -> str:
    """The name of the swept input, where the sweep has a row at this value that lists what `target` is of.

    Raises `Refused` with what the sweep has.
    """
    sweep = target.block.sweep
    if sweep is None:
        raise unknown(f"“@{at}”, a row of a sweep", f"a block with a sweep, unlike {target.block.id}", "", ())
    columns = {
        ".".join(filter(None, (output.name, key))): (case, output, key)
        for case, output, key in sweep.columns
        if case == target.case
    }
    wanted = ".".join(filter(None, (target.output, target.key)))
    if wanted not in columns:
        listed = ", ".join(columns)
        raise unknown(f"“{wanted}”, which the sweep does not list", f"one of {listed}", wanted, columns)
    index = _row(sweep, at)
    if sweep.values[columns[wanted]][index] is None:
        raise unknown(f"“@{at}”, where the calculation refuses", "a row with a value", "", ())
    return sweep.name


def _row(sweep: SweepResult, at: str) -> int:
    unit = units.find(sweep.unit, sweep.dimension)
    shown = [f"{unit.from_si(point):.6g} {unit.symbol}".strip() for point in sweep.points]
    expected = f"a row of the sweep over {sweep.label}: {shown[0]} to {shown[-1]}"
    try:
        written = parse_value(at)
        own = units.find(written.unit, sweep.dimension)
    except Refused as error:
        raise unknown(f"“@{at}”", expected, "", ()) from error
    value = own.to_si(float(written.number.value))
    step = abs(sweep.points[1] - sweep.points[0]) if len(sweep.points) > 1 else abs(value)
    for index, point in enumerate(sweep.points):
        if abs(point - value) <= _SHARE_OF_STEP * step:
            return index
    raise unknown(f"“@{at}”", expected, "", ())
