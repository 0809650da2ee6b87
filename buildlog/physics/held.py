"""The highest level that readings keep to for a while: a spike is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from buildlog.diagnostics import OutOfRange
from buildlog.physics.limits import positive


@dataclass(frozen=True)
class Stretch:
    """Readings without a gap: times (s, rising) and values, equally long."""

    times: Sequence[float]
    values: Sequence[float]


class Stretches(tuple[Stretch, ...]):
    """All stretches of a log, or of several."""


def highest_held(stretches: Stretches, hold_time: Annotated[float, "τ", "s"]) -> Annotated[float, "T_h", "K"]:
    """Highest temperature that a log stays at or above for a time without a break.

    Formula: T_h = the greatest level that the lines through the readings do not fall below for τ. Symbols: τ
    time that it is held (s), T_h temperature held (K).
    In words: found by looking through the log, stretch by stretch; between readings the line is straight.
    Range: τ positive, and no longer than the log without a gap. Errors: `OutOfRange`. Source: definition.
    """
    positive("hold_time", hold_time)
    found = [_of(one, hold_time) for one in stretches if one.times and _length(one) >= hold_time]
    if not found:
        longest = max((_length(one) for one in stretches if one.times), default=0.0)
        raise OutOfRange(
            "hold_time",
            f"{hold_time:g} s",
            f"up to {longest:g} s, the longest part of the log without a gap",
        )
    return max(found)


def _length(one: Stretch) -> float:
    return one.times[-1] - one.times[0]


def _of(one: Stretch, hold_time: float) -> float:
    """The level of a stretch that is long enough."""
    levels = sorted(set(one.values))
    held, beyond = 0, len(levels)
    # What lies above a higher level is never longer, so that halving finds the highest reading that is held.
    while beyond - held > 1:
        middle = (held + beyond) // 2
        if _longest(one, levels[middle]) >= hold_time:
            held = middle
        else:
            beyond = middle
    if beyond == len(levels):
        return levels[held]
    # From there to the next reading up the ends of each part above move evenly, and so does its length.
    low, high = levels[held], levels[beyond]
    return max(_between(one, part, low, high, hold_time) for part in _parts(one, high))


def _longest(one: Stretch, reading: float) -> float:
    return max(_length_above(one, part, reading) for part in _parts(one, reading))


def _between(one: Stretch, part: tuple[int, int], low: float, high: float, hold_time: float) -> float:
    """The level from `low` to `high` at which a part above is as long as asked for; `low` where none is."""
    shorter, longer = _length_above(one, part, high), _length_above(one, part, low)
    if longer < hold_time:
        return low
    return high - (hold_time - shorter) / (longer - shorter) * (high - low)


def _parts(one: Stretch, reading: float) -> list[tuple[int, int]]:
    """The first and the last of the readings that follow each other and are no lower than one of them."""
    found: list[tuple[int, int]] = []
    for place, value in enumerate(one.values):
        if value < reading:
            continue
        if found and found[-1][1] == place - 1:
            found[-1] = found[-1][0], place
        else:
            found.append((place, place))
    return found


def _length_above(one: Stretch, part: tuple[int, int], level: float) -> float:
    """How long the lines through a part and the readings beside it stay above a level, which none of those
    beside it is above."""
    first, last = part
    begin = _crossing(one, first - 1, first, level) if first else one.times[0]
    end = _crossing(one, last + 1, last, level) if last + 1 < len(one.times) else one.times[-1]
    return end - begin


def _crossing(one: Stretch, below: int, above: int, level: float) -> float:
    """When the line from a reading below a level to one that is not reaches it."""
    share = (level - one.values[below]) / (one.values[above] - one.values[below])
    return one.times[below] + share * (one.times[above] - one.times[below])
