"""The data of a chart made ready to be drawn: checked, in the reader's units, with scales and ticks."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from buildlog.diagnostics import Refused, declare
from buildlog.figures import units
from buildlog.figures.labels import write_number
from buildlog.kinds.chart import Axis, BarSpec, Chart, ChartSpec, Marker, Series, Zone

System = Literal["author", "metric", "us"]
Point = tuple[float, float]

NOT_DRAWN = declare(
    "chart-not-drawn",
    "the chart cannot be drawn from these data",
    why="a chart of infinite, missing or absurd values would show something that was not computed",
    mend="look at the block's inputs: the values that the chart rests on are given above it",
    example="a curve with a value that is no number",
)

MOST_SERIES = 24
MOST_BARS = 40
MOST_POINTS = 400
LONGEST_LABEL = 44
LARGEST = 1e12
SMALLEST = 1e-290
"""Ticks between smaller numbers would be subnormal, with fewer digits, or all be zero."""

_NARROW = frozenset("iljtfrI1.,:;|!'’()[]/ \u202f\u00a0")
_BROAD = frozenset("mwMW%@—–")


# --- text -----------------------------------------------------------------------------


def plain(text: str, most: int = LONGEST_LABEL) -> str:
    """Author text on one line, without what XML cannot hold, cut where it is too long for a chart."""
    kept = "".join(
        " " if char.isspace() and char not in "\u00a0\u202f" else char
        for char in text
        if unicodedata.category(char) not in ("Cc", "Cs", "Cn", "Co") or char.isspace()
    )
    kept = " ".join(part for part in kept.split(" ") if part)
    if len(kept) <= most:
        return kept
    return kept[: most - 1].rstrip() + "…"


def text_width(text: str, size: float) -> float:
    """About how wide a text is, on the broad side for the usual sans-serif fonts."""
    width = 0.0
    for char in text:
        if unicodedata.combining(char):
            continue
        if unicodedata.east_asian_width(char) in "WF":
            width += 1.05
        elif char in _NARROW:
            width += 0.36
        elif char in _BROAD:
            width += 0.95
        else:
            width += 0.7 if char.isupper() else 0.64
    return width * size


def wrapped(text: str, size: float, width: float) -> list[str]:
    """A text in lines no wider than `width`; a word is broken only where it would fill a line."""
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if text_width(longer, size) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, size, width)
        lines += full
    return [*lines, line]


def _pieces(word: str, size: float, width: float) -> list[str]:
    pieces = [""]
    for char in word:
        if pieces[-1] and text_width(pieces[-1] + char, size) > width:
            pieces.append("")
        pieces[-1] += char
    return pieces


# --- data and scales ------------------------------------------------------------------


def _refuse(found: str, expected: str) -> Refused:
    return Refused("", found, expected, help=NOT_DRAWN.mend, code=NOT_DRAWN)


def unit_of(axis: Axis, system: System) -> units.Unit:
    """The unit of an axis: the author's, or the one that a reader of the other system wants."""
    unit = units.find(axis.unit, axis.dimension)
    if system == "author" or unit.system in (system, "both"):
        return unit
    return units.counterpart(unit) or unit


def other_systems(spec: Chart) -> list[System]:
    """The systems of units in which an axis has another unit than the chart's own."""
    axes = (spec.x,) if isinstance(spec, BarSpec) else (spec.x, spec.y)
    systems: tuple[System, ...] = ("metric", "us")
    return [one for one in systems if any(unit_of(axis, one) != unit_of(axis, "author") for axis in axes)]


@dataclass(frozen=True, kw_only=True)
class Scale:
    """One axis in its unit. `ticks` have their labels, in the power of ten that the heading names."""

    heading: str
    low: float
    high: float
    ticks: tuple[tuple[float, str], ...]
    from_si: Callable[[float], float]

    def share(self, value: float) -> float:
        """Where on the axis an SI value lies: 0 at its low end, 1 at its high end."""
        return self.share_of(self.from_si(value))

    def share_of(self, shown: float) -> float:
        """The same of a value in the axis's unit."""
        return (shown - self.low) / (self.high - self.low)


def _step(span: float, most: int) -> float:
    """The smallest of 1, 2, 2.5 or 5 times a power of ten that gives at most `most` steps."""
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next(factor * power for factor in (1, 2, 2.5, 5, 10) if factor * power >= rough * (1 - 1e-9))


def _decimals(step: float) -> int:
    """Decimals that show a step exactly."""
    return next((count for count in range(12) if math.isclose(step * 10**count, round(step * 10**count))), 12)


def scale(axis: Axis, system: System, values: Iterable[float], most: int, *, even: bool) -> Scale:
    """The scale of an axis for these SI values; `even` carries it on to full steps, with a little room."""
    unit = unit_of(axis, system)
    shown = [unit.from_si(value) for value in values]
    low, high = min(shown), max(shown)
    largest = max(abs(low), abs(high))
    if largest > LARGEST:
        raise _refuse(f"{axis.label} up to {largest:.3g} {unit.symbol}".rstrip(), f"at most {LARGEST:g}")
    if 0 < largest < SMALLEST:
        raise _refuse(
            f"{axis.label} up to {largest:.3g} {unit.symbol}".rstrip(), f"at least {SMALLEST:g}, or 0"
        )
    if axis.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if high - low <= 1e-9 * largest or high == low:
        # One value all along: show it in the middle of a scale of its own size.
        half = abs(high) / 10 or 1.0
        low, high = low - half, high + half
    step = _step(high - low, most)
    if axis.dimension == "count":  # there is nothing between two of what is counted
        step = max(step, 1.0)
    if even:
        room = 0.02 * (high - low)
        low = step * math.floor((low - room * (low != 0)) / step + 1e-9)
        high = step * math.ceil((high + room * (high != 0)) / step - 1e-9)
    exponent = 0
    if largest >= 1e6 or 0 < largest < 1e-3:
        exponent = 3 * math.floor(math.log10(max(abs(low), abs(high))) / 3)
    power = 10.0**exponent
    decimals = _decimals(step / power)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    ticks = tuple((step * at, write_number(step * at / power, decimals)) for at in range(first, last + 1))
    symbol = unit.symbol
    if exponent:
        raised = str(exponent).translate(str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"))
        symbol = f"10{raised} {symbol}".rstrip()
    label = plain(axis.label)
    return Scale(
        heading=f"{label}, {symbol}" if symbol else label,
        low=low,
        high=high,
        ticks=ticks,
        from_si=unit.from_si,
    )


def thinned(points: Sequence[Point], most: int = MOST_POINTS) -> list[Point]:
    """At most about `most` points, with the first, the last and the extremes of every stretch kept."""
    if len(points) <= most:
        return list(points)
    stretch = math.ceil(len(points) / (most // 4))
    kept: list[int] = []
    for start in range(0, len(points), stretch):
        part = range(start, min(start + stretch, len(points)))
        lowest, highest = min(part, key=lambda at: points[at][1]), max(part, key=lambda at: points[at][1])
        kept += sorted({part[0], lowest, highest, part[-1]})
    return [points[at] for at in kept]


_SAME = 1 / 500
"""Of the range of all curves: nearer ones lie upon each other in the drawing."""


def merged(series: Sequence[Series]) -> tuple[Series, ...]:
    """The curves with those that lie upon each other drawn as one, under both names.

    Two lines of two dashes on one place look like a third kind, and neither name could point at it. Labels
    are made plain here, one by one: cut as a whole, the names of several would lose some of them.
    """
    heights = [height for curve in series for height in curve.y]
    near = _SAME * (max(heights, default=0.0) - min(heights, default=0.0))
    groups: list[list[Series]] = []
    for curve in series:
        upon = next((group for group in groups if _lie_upon_each_other(curve, group[0], near)), None)
        if upon is None:
            groups.append([curve])
        else:
            upon.append(curve)
    return tuple(
        replace(group[0], label=_joined([plain(curve.label) for curve in group])) for group in groups
    )


def _lie_upon_each_other(curve: Series, other: Series, near: float) -> bool:
    """Whether two named curves of one kind have the same points, within what a reader can see."""
    return bool(
        curve.label
        and other.label
        and curve.points_only == other.points_only
        and list(curve.x) == list(other.x)
        and (list(curve.low), list(curve.high)) == (list(other.low), list(other.high))
        and all(abs(a - b) <= near for a, b in zip(curve.y, other.y, strict=True))
    )


def _joined(labels: Sequence[str]) -> str:
    """Several names as one; what they share is said once: ``box, slot`` and ``box, oval``."""
    labels = list(dict.fromkeys(labels))
    parts = [label.split(", ") for label in labels]
    shared = 0
    while all(len(words) > shared + 1 and words[shared] == parts[0][shared] for words in parts):
        shared += 1
    names = [", ".join(words[shared:]) for words in parts]
    listed = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    return ", ".join([*parts[0][:shared], listed])


def check(spec: Chart) -> None:
    """Refuse what cannot be drawn honestly, naming the curve or the bar."""
    if isinstance(spec, BarSpec):
        _check_bars(spec)
    else:
        _check_curves(spec)
    _check_marks(spec.markers, spec.zones)


def _check_curves(spec: ChartSpec) -> None:
    if not spec.series:
        raise _refuse("no curve", "at least one")
    if len(spec.series) > MOST_SERIES:
        raise _refuse(f"{len(spec.series)} curves", f"at most {MOST_SERIES}, or nothing can be told apart")
    for series in spec.series:
        _check_curve(series, spec.x, spec.y)
    for arrow in spec.arrows:
        if not all(math.isfinite(value) for value in (*arrow.start, *arrow.end)):
            raise _refuse(f"arrow “{plain(arrow.label)}” at infinity", "a finite place")
    if spec.equal_scale and spec.x.unit != spec.y.unit:
        raise _refuse(f"a plan with {spec.x.unit} across and {spec.y.unit} up", "the same unit")


def _check_bars(spec: BarSpec) -> None:
    if not 1 <= len(spec.bars) <= MOST_BARS:
        raise _refuse(f"{len(spec.bars)} bars", f"1 to {MOST_BARS}")
    for bar in spec.bars:
        ends = (bar.value, bar.start, bar.low, bar.high)
        if not all(math.isfinite(end) for end in ends if end is not None):
            raise _refuse(f"bar “{plain(bar.label)}” up to infinity", "a finite number")


def _check_marks(markers: Sequence[Marker], zones: Sequence[Zone]) -> None:
    for marker in markers:
        if not all(math.isfinite(value) for value in (marker.x, marker.y) if value is not None):
            raise _refuse(f"marker “{plain(marker.label)}” at infinity", "a finite place")
    for zone in zones:
        if not all(math.isfinite(end) for end in (zone.low, zone.high) if end is not None):
            raise _refuse(f"zone “{plain(zone.label)}” to infinity", "a finite end, or none")


def _check_curve(series: Series, x: Axis, y: Axis) -> None:
    name = f"curve “{plain(series.label)}”"
    if len(series.x) != len(series.y):
        raise _refuse(f"{name} with {len(series.x)} x and {len(series.y)} y values", "as many of both")
    least = 1 if series.points_only else 2  # a line needs two ends
    if len(series.x) < least:
        count = f"{len(series.x)} point" + "s" * (len(series.x) != 1)
        raise _refuse(f"{name} with {count}", f"at least {least}")
    for side, values in (("low", series.low), ("high", series.high)):
        if (series.low or series.high) and len(values) != len(series.x):
            raise _refuse(f"{name} with {len(values)} values of {side}", f"{len(series.x)}, one a point")
    for axis, values in ((x, series.x), (y, series.y), (y, series.low), (y, series.high)):
        for at, value in enumerate(values, start=1):
            if not math.isfinite(value):
                raise _refuse(f"{name} with {axis.label} {value} at point {at}", "a finite number")
