"""The highest level that readings keep to for a while: a spike is none."""

from __future__ import annotations

from collections import deque
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
    """Highest temperature that readings stay at or above for a time without a break.

    Formula: T_h = the greatest of the lowest readings of all stretches as long as τ. Symbols: τ time that it
    is held (s), T_h temperature held (K).
    In words: found by looking through the log, stretch by stretch.
    Range: τ positive, and no longer than the log without a gap. Errors: `OutOfRange`. Source: definition.
    """
    positive("hold_time", hold_time)
    found = [level for level in (_of(one, hold_time) for one in stretches) if level is not None]
    if not found:
        longest = max((one.times[-1] - one.times[0] for one in stretches if one.times), default=0.0)
        raise OutOfRange(
            "hold_time",
            f"{hold_time:g} s",
            f"up to {longest:g} s, the longest part of the log without a gap",
        )
    return max(found)


def _of(one: Stretch, hold_time: float) -> float | None:
    """The highest of the lowest readings of each window that lasts as long; None where none does."""
    best: float | None = None
    # The readings that may yet be the lowest of a window, rising from the first on.
    lowest: deque[int] = deque()
    first = 0
    for last, value in enumerate(one.values):
        while lowest and one.values[lowest[-1]] >= value:
            lowest.pop()
        lowest.append(last)
        # The shortest window that ends here and lasts as long: a longer one is never higher.
        while first < last and one.times[last] - one.times[first + 1] >= hold_time:
            first += 1
        while lowest[0] < first:
            lowest.popleft()
        if one.times[last] - one.times[first] >= hold_time:
            level = one.values[lowest[0]]
            best = level if best is None else max(best, level)
    return best
