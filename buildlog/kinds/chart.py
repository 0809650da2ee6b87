"""A chart as data: what a calculator hands over and `buildlog.charts` draws. All values are SI."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Tone = Literal["", "good", "near", "bad"]
"""What a colour says of a value: it keeps to its limit, it may not, by its uncertainty, or it does not. Words
say it as well: a colour alone reaches not everybody."""


@dataclass(frozen=True)
class Axis:
    """`dimension` and `unit` as in `Output`; data are SI."""

    label: str
    dimension: str
    unit: str
    from_zero: bool = False


@dataclass(frozen=True, kw_only=True)
class Series:
    """One curve. The same `style` number has the same colour, dash and marker across the cases.

    `low` and `high` are the ends of an uncertainty at each point, drawn as a band. A `filled` one is an
    outline, closed and lightly filled: an ellipse, a footprint.
    """

    label: str
    x: Sequence[float]
    y: Sequence[float]
    style: int = 0
    points_only: bool = False
    low: Sequence[float] = ()
    high: Sequence[float] = ()
    filled: bool = False


@dataclass(frozen=True)
class Marker:
    """A named point; with `x` alone a named line upwards, with `y` alone one across: a limit, a choice."""

    label: str
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True, kw_only=True)
class Arrow:
    """A named arrow from one place to another."""

    label: str
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Zone:
    """A named range of the values, coloured. Without a `low` or a `high` it goes on to the edge."""

    label: str
    low: float | None = None
    high: float | None = None
    tone: Tone = ""


@dataclass(frozen=True, kw_only=True)
class ChartSpec:
    """Curves over an axis. A chart of `equal_scale` is a plan: a metre is as long across as upwards."""

    title: str
    description: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    markers: tuple[Marker, ...] = ()
    zones: tuple[Zone, ...] = ()
    arrows: tuple[Arrow, ...] = ()
    equal_scale: bool = False


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One bar, from `start` to `start + value`; its own line, under its label. In a waterfall each starts
    where the one before ended. `low` and `high` are where it may end, by its uncertainty."""

    label: str
    value: float
    start: float = 0.0
    low: float | None = None
    high: float | None = None
    style: int = 0
    tone: Tone = ""


@dataclass(frozen=True, kw_only=True)
class BarSpec:
    """Bars under each other along one axis. `markers` with an `x` are lines over all of them, and `zones` are
    ranges of that axis."""

    title: str
    description: str
    x: Axis
    bars: tuple[Bar, ...]
    markers: tuple[Marker, ...] = ()
    zones: tuple[Zone, ...] = ()


Chart = ChartSpec | BarSpec
