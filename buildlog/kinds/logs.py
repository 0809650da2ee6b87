"""A log of measured values as a calculator gets it: times, channels in SI units, and how it was read."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from statistics import median
from typing import Any, TypeVar

from buildlog.diagnostics import Refused
from buildlog.kinds.doubt import Doubt

Made = TypeVar("Made")

TYPED = "this block"
"""What a log is called that is typed into its block; that of another input has the same name."""


def logs_in(value: object) -> tuple[Log, ...]:
    """The logs that an input is made of, none where it is another one."""
    return tuple(one for one in value if isinstance(one, Log)) if isinstance(value, tuple) else ()


@dataclass(frozen=True, kw_only=True)
class LogAccount:
    """What was read of a file and what was not: `rows` in the table, `kept` of them, `dropped` by cause,
    `cells` without a reading by channel and cause. `rules` are the author's, in words."""

    rows: int
    kept: int
    dropped: Mapping[str, int] = field(default_factory=dict)
    cells: Mapping[str, int] = field(default_factory=dict)
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class Log:
    """One log, or the stretch of it that its author wants. All SI.

    `times` rise strictly; they are seconds since the first row of the file, or what the file says where it
    counts seconds itself. `values` has by channel one reading for each of them, nan where there is none.
    `spans` are the stretches of rows without a gap. `dimensions` and `units` are what each channel's author
    wrote it in; `quantum` the step of a channel where it is stated, and `steps` the smallest step that its
    readings have between them. `doubts` are those of instruments, `lag_doubts` the standard uncertainty of a
    lag that was taken out. Compared by identity: a large one is read once and kept.
    """

    file: str
    times: array[float]
    values: Mapping[str, array[float]]
    spans: tuple[range, ...]
    account: LogAccount
    dimensions: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    quantum: Mapping[str, float] = field(default_factory=dict)
    steps: Mapping[str, float] = field(default_factory=dict)
    doubts: Mapping[str, Doubt] = field(default_factory=dict)
    lag_doubts: Mapping[str, float] = field(default_factory=dict)
    _kept: dict[Hashable, Any] = field(default_factory=dict, repr=False)

    def has(self, channel: str) -> bool:
        """Whether the block says where a channel is."""
        return channel in self.values

    def doubt(self, channel: str) -> Doubt | None:
        """How far the instrument of a channel may be off in all that it reads, where that is stated."""
        return self.doubts.get(channel)

    @property
    def interval(self) -> float:
        """The usual time between two rows, s: the median of all steps inside of spans."""
        return self.once("interval", self._interval)

    @property
    def rate(self) -> float:
        """The usual number of rows in a second, 1/s."""
        return 1 / self.interval

    def _interval(self) -> float:
        steps = [
            self.times[row + 1] - self.times[row] for span in self.spans for row in range(span[0], span[-1])
        ]
        if not steps:
            raise Refused("", f"no two rows of {self.file} without a gap between them", "a longer log")
        return median(steps)

    @property
    def duration(self) -> float:
        """The time that its spans take together, s."""
        return sum(self.times[span[-1]] - self.times[span[0]] for span in self.spans)

    def rows_with(self, *channels: str) -> Iterator[int]:
        """The rows in which all of some channels have a reading."""
        columns = [self.values[name] for name in channels]
        # nan is the only number that is not itself.
        return (row for row in range(len(self.times)) if all(one[row] == one[row] for one in columns))

    def once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """What is made of the log, made once: a calculation runs many times to find its uncertainty."""
        if key not in self._kept:
            self._kept[key] = make()
        kept: Made = self._kept[key]
        return kept
