"""How a log was read, for the reader of the page: rows, what was left out and why, and what was stated."""

from __future__ import annotations

from typing import Any

from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.kinds.logs import Log, logs_in


def accounts(value: Any) -> tuple[str, ...]:
    """What there is to say of an input that is made of logs, a sentence for each; nothing of another one."""
    return tuple(_account(log) for log in logs_in(value))


def _account(log: Log) -> str:
    account = log.account
    told = [f"{log.file}: {_count(account.kept, 'row')} of {account.rows} used"]
    told.append(f"{log.duration:.4g} s with a row every {log.interval:.3g} s")
    if len(log.spans) > 1:
        told.append(_count(len(log.spans) - 1, "gap"))
    told += [f"{_count(count, 'row')} {cause}, left out" for cause, count in account.dropped.items()]
    told += [_cells(what, count) for what, count in account.cells.items()]
    told += [
        f"the smallest step of {_name(name)} is {_step(log, name)}" for name in log.values if log.steps[name]
    ]
    return "; ".join([*told, *account.rules])


def _count(count: int, what: str) -> str:
    return f"{write_number(count, 0)}\u00a0{what}{'' if count == 1 else 's'}"


def _cells(what: str, count: int) -> str:
    name, _, cause = what.partition(": ")
    if cause == "empty":
        return f"{_count(count, 'empty cell')} of {name}"
    return f"{_count(count, 'cell')} of {name} with {cause}, left out"


def _name(channel: str) -> str:
    return channel.replace("_", " ")


def _step(log: Log, name: str) -> str:
    unit = units.find(log.units[name], log.dimensions[name])
    step = abs(unit.from_si_difference(log.steps[name]))
    stated = "" if name in log.quantum else ", and no quantum is stated"
    return f"{step:.3g}\u00a0{unit.difference_symbol()}".rstrip() + stated
