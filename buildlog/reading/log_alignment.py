"""Times of a log brought into order: rows that share a time, gaps, and readings at other times."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from math import inf, nan


def spread_repeated(times: array[float]) -> array[float]:
    """Rows with one time share the time up to the next one evenly; the last ones as those before them did.

    A clock that tells whole seconds of rows that come twice a second so gets its halves back.
    """
    spread: array[float] = array("d")
    row, width = 0, 0.0
    while row < len(times):
        end = row
        while end < len(times) and times[end] == times[row]:
            end += 1
        count = end - row
        if end < len(times):
            width = (times[end] - times[row]) / count
        spread.extend(times[row] + width * place for place in range(count))
        row = end
    return spread


def spans_of(times: Sequence[float], gap: float) -> tuple[range, ...]:
    """The stretches of rows between which no step is longer than a gap; one where `gap` is 0."""
    starts = [0]
    if gap:
        starts += [row for row in range(1, len(times)) if times[row] - times[row - 1] > gap]
    return tuple(range(start, end) for start, end in zip(starts, [*starts[1:], len(times)], strict=True))


def smallest_step(values: Sequence[float]) -> float:
    """The smallest difference between readings that follow each other and differ; 0 where none do."""
    least = inf
    before = nan
    for value in values:
        if value != before and value == value:
            if before == before:
                least = min(least, abs(value - before))
            before = value
    return 0.0 if least == inf else least


def at_times(
    times: Sequence[float], own: Sequence[float], values: Sequence[float], gap: float
) -> array[float]:
    """Readings at other times than their own: on the straight line between the two around each; nan beyond
    the first and the last, and within a gap (longer than `gap`, if not 0). All times rise."""
    found: array[float] = array("d")
    after = 0
    for time in times:
        while after < len(own) and own[after] < time:
            after += 1
        found.append(_between(own, values, after, time, gap or inf))
    return found


def _between(own: Sequence[float], values: Sequence[float], after: int, time: float, gap: float) -> float:
    """The value at a time before which all readings lie up to that one."""
    if after == len(own):
        return nan
    if own[after] == time:
        return values[after]
    if after == 0 or own[after] - own[after - 1] > gap:
        return nan
    share = (time - own[after - 1]) / (own[after] - own[after - 1])
    return values[after - 1] + (values[after] - values[after - 1]) * share
