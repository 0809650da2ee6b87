"""Logs of drives that nobody drove, with a change in them that is known."""

from __future__ import annotations

from array import array
from math import exp
from typing import Any

import numpy as np

from buildlog.kinds.logs import Log, LogAccount
from tests.simulated_runs import KMH, remembering


def log_of(
    times: Any,
    spans: tuple[range, ...] = (),
    quantum: float = 0.0,
    dimension: str = "temperature",
    unit: str = "°C",
    **channels: Any,
) -> Log:
    """A log of these columns, SI. `dimension` and `unit` are those of the channel `value`."""
    count = len(times)
    return Log(
        file="made.csv",
        times=array("d", times),
        values={name: array("d", column) for name, column in channels.items()},
        spans=spans or (range(count),),
        account=LogAccount(rows=count, kept=count),
        dimensions={"value": dimension},
        units={"value": unit},
        quantum={"value": quantum} if quantum else {},
    )


def slow(chance: np.random.Generator, count: int, memory: float, deviation: float) -> Any:
    """Noise that remembers for so many rows (Ornstein and Uhlenbeck)."""
    return remembering(chance, count, deviation, exp(-1 / memory))


def road(
    chance: np.random.Generator,
    count: int,
    mean_speed: float,
    change: float,
    *,
    memory: float = 20.0,
    deviation: float = 3.0,
    of_a_drive: float = 0.0,
) -> Log:
    """A drive in traffic whose readings fall by 0.35 K with each km/h, and by a change that is known."""
    speeds = np.clip(mean_speed + slow(chance, count, 40, 18), 3, 130)
    own = 343.0 - 0.35 * speeds + change + slow(chance, count, memory, deviation)
    return log_of(range(count), value=own + chance.normal(0, of_a_drive or 1e-9), road_speed=speeds * KMH)
