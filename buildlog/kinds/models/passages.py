"""Passages in a log of road speed: where a speed is crossed, a standing start is made, a distance is covered.

Between two rows the speed is taken to go along a straight line. Where rows come so quickly that noise or the
steps of the readings take it to and fro across a level, a line through all rows about it is taken. What
either may be off by is told with every crossing: half of a step, the bend of the speed between the rows, and
the scatter about the line. The noise of the rows is told apart: it is another in every run.

A receiver that smooths has noise that hardly changes from row to row, and goes up and down over a second or
more. Differences of neighbours do not see it. It shows in what rows are off a smooth curve through the whole
pull, and in how they hang together there: see `remembered`.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt
from statistics import median

from buildlog.diagnostics import Refused
from buildlog.kinds.logs import Log
from buildlog.kinds.models.readings import line_through

_MOST_STEPS = 5.0
"""Usual steps between two rows that have a reading: a longer one is as good as a gap."""
_FELL = 4.0
"""Margins below a level at which a car has slowed down, and it is no noise that took it there."""
_STRETCH = 4.0
"""s; how far about a crossing noise that remembers is looked for."""
_HALF_SECOND = 0.5 + 1e-9
_KINK = 0.3
"""Of a slope: where the speed rises by so much more or less from one half second to the next, a foot or a
gear has moved."""
_BY_NOISE = 5.0
"""Deviations of a reading: by as much three of them may seem to have a kink."""
_FEWEST_IN_A_STRETCH = 16
_MOST_BEFORE = 0.5
"""s; a car that counts as standing may have begun to roll by so much sooner."""
_DEGREE = 3
_NO_NOISE = 0.002
"""m/s; less than any receiver has, and what a cubic leaves of a smooth curve."""
_SHARES = (0.0, 0.2, 0.4, 0.55, 0.7, 0.8, 0.86, 0.9, 0.93, 0.95, 0.97)
_FEWEST_MOVING = 8
"""Rows of a moving car from which noise is told."""
_MOVING = 2.0
"""m/s; a car at rest reads without noise."""


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is timed, SI: from a speed, or from a stand where there is none, to a speed or over a distance.
    `standstill` is the speed up to which the car stands, `roll_out` the distance that is not counted."""

    from_speed: float | None = None
    to_speed: float | None = None
    distance: float | None = None
    standstill: float = 0.0
    roll_out: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Crossing:
    """A time at which a level is crossed, s; `doubt` is its standard uncertainty by rows and quantum, `noise`
    that by the noise of single readings, `slope` how fast the speed changes there (of a distance, the speed
    itself), SI. `keeps` is the share that the noise of a reading keeps until the next, None where the
    rows are too few to tell."""

    time: float
    slope: float
    doubt: float
    noise: float = 0.0
    keeps: float | None = 0.0


@dataclass(frozen=True, kw_only=True)
class Passage:
    """One run: its start and its end, and the readings of it, from the row before the start to the row after
    the end. `distances` count from the start (after the roll-out)."""

    file: str
    start: Crossing
    end: Crossing
    times: tuple[float, ...]
    speeds: tuple[float, ...]
    distances: tuple[float, ...]

    @property
    def duration(self) -> float:
        return self.end.time - self.start.time

    @property
    def doubt(self) -> float:
        """Standard uncertainty of the duration, by rows and quantum."""
        return sqrt(self.start.doubt**2 + self.end.doubt**2)

    @property
    def noise(self) -> float:
        """The same by the noise of single readings, which is another in the next run."""
        return sqrt(self.start.noise**2 + self.end.noise**2)


@dataclass(frozen=True, kw_only=True)
class Broken:
    """A passage that is not whole in the log: from when to when nothing was read, s."""

    start: float
    end: float


class _Rows:
    """The rows of a log that have a speed. `noise` is the standard deviation of single readings beside what
    their stated step makes. `margin` is how far a speed goes to and fro by noise and steps, so that only what
    comes from so far below a level and goes so far above it has crossed it."""

    def __init__(self, log: Log) -> None:
        rows = list(log.rows_with("road_speed"))
        self.file = log.file
        self.times = [log.times[row] for row in rows]
        self.speeds = [log.values["road_speed"][row] for row in rows]
        self.quantum = log.quantum.get("road_speed", 0.0)
        self.noise, self.margin = self._noise_and_margin()
        # Between these and the row before, time has a gap, or too many rows have no speed.
        longest = _MOST_STEPS * log.interval
        steps = enumerate(pairwise(self.times), start=1)
        breaks = {place for place, (before, after) in steps if after - before > longest}
        breaks |= {bisect_left(self.times, log.times[span[0]]) for span in log.spans[1:]}
        self.breaks = sorted(breaks)

    def _noise_and_margin(self) -> tuple[float, float]:
        """The noise of readings by third differences, which leave out how the speed itself bends. The margin
        is two steps or three deviations of it; nothing where rows rise by more, so that neither is in the
        way."""
        speeds = self.speeds
        moving = [at for at in range(3, len(speeds)) if speeds[at] > _MOVING]
        if len(moving) < _FEWEST_MOVING:
            return 0.0, 0.0
        rises = sorted(abs(speeds[at] - speeds[at - 1]) for at in moving)
        thirds = [abs(speeds[at] - 3 * speeds[at - 1] + 3 * speeds[at - 2] - speeds[at - 3]) for at in moving]
        noise = median(thirds) / (0.6745 * sqrt(20))
        margin = max(2 * self.quantum, 3 * noise)
        beside = sqrt(max(noise**2 - self.quantum**2 / 12, 0.0))
        return beside, margin if margin > rises[9 * len(rises) // 10] else 0.0

    def broken(self, first: int, last: int) -> Broken | None:
        """The first gap between two rows."""
        at = bisect_right(self.breaks, first)
        if at < len(self.breaks) and self.breaks[at] <= last:
            place = self.breaks[at]
            return Broken(start=self.times[place - 1], end=self.times[place])
        return None

    def rises(self, level: float, margin: float) -> Iterator[tuple[int, int]]:
        """Every time that the speed rises across a level: the last row below it and the first above."""
        below = -1
        for at, speed in enumerate(self.speeds):
            if speed < level - margin:
                below = at
            elif below >= 0 and speed >= level + margin:
                yield below, at
                below = -1

    def reached(self, level: float, first: int, last: int) -> tuple[int, int] | None:
        """Where a level is first reached between two rows: the last row below it and the first above."""
        speeds = self.speeds
        touched = next((at for at in range(first, last) if speeds[at] >= level), None)
        if touched is None or touched == 0:
            return None
        above = touched
        while above + 1 < last and level - _FELL * self.margin <= speeds[above] < level + self.margin:
            above += 1
        if speeds[above] < level + self.margin:  # it went no further up
            return touched - 1, touched
        below = above - 1
        while below > 0 and speeds[below] >= level - self.margin:
            below -= 1
        return below, above

    def crossing(self, below: int, above: int, level: float) -> Crossing:
        """When a level is crossed: on the straight line between two rows or, where noise and steps lie
        between, on the line through all rows from the one to the other."""
        # The two rows at the ends were chosen for their noise: as many again on either side outweigh them.
        more = above - below if above - below > 1 else 0
        first, last = max(0, below - more), min(len(self.times) - 1, above + more)
        times, speeds = self.times[first : last + 1], self.speeds[first : last + 1]
        rise = (speeds[-1] - speeds[0]) / (times[-1] - times[0])
        # Limits of what it can be, as speeds.
        limits = [self.quantum / 2, self._bend(first, last)]
        deviation, keeps = self.remembered(below, above)
        if len(times) == 2:
            share = (level - speeds[0]) / (speeds[1] - speeds[0])
            wide = self._wide(below, above)
            # Each row's reading enters by its share of the line between them.
            white = self.noise * _root((1 - share, share))
            slow = deviation * sqrt((1 - share) ** 2 + share**2 + 2 * share * (1 - share) * (keeps or 0.0))
            return Crossing(
                time=times[0] + share * (times[1] - times[0]),
                slope=rise,
                doubt=_root(limits) / sqrt(3) / wide,
                noise=max(white, slow) / wide,
                keeps=keeps,
            )
        line = line_through(times, speeds)
        time = (level - line.offset) / line.slope
        doubts = (_root(limits) / sqrt(3), line.standard_at(time))
        # The line shows the scatter of rows that are independent; what they have in common it follows.
        slow = deviation * sqrt(_share_in_a_mean(keeps, len(times))) if keeps else 0.0
        return Crossing(
            time=time,
            slope=line.slope,
            doubt=_root(doubts) / line.slope,
            noise=slow / line.slope,
            keeps=keeps,
        )

    def remembered(self, below: int, above: int) -> tuple[float, float | None]:
        """The standard deviation of the readings about a smooth curve through the pull that a crossing is in,
        and the share of it that a reading keeps until the next; None where rows are too few to tell."""
        first, last = self._stretch(below, above)
        if last - first + 1 < _FEWEST_IN_A_STRETCH:
            return 0.0, None
        return remembered(self.times[first : last + 1], self.speeds[first : last + 1])

    def _stretch(self, below: int, above: int) -> tuple[int, int]:
        """The rows about a crossing between which the car goes on gaining speed as it does, without a gap: no
        foot that goes down, and no change of gear. Of a crossing close to such a place, those after it."""
        start = above
        while (
            start + 1 < len(self.times) and self.times[start] - self.times[above] < 1 and self._is_kink(start)
        ):
            start += 1
        first = last = start
        while (
            first > 0
            and first not in self.breaks
            and self.speeds[first - 1] > _MOVING
            and self.times[below] - self.times[first] < _STRETCH
            and not self._is_kink(first - 1)
        ):
            first -= 1
        while (
            last + 1 < len(self.times)
            and last + 1 not in self.breaks
            and self.times[last] - self.times[above] < _STRETCH
            and not self._is_kink(last + 1)
        ):
            last += 1
        return first, last

    def _is_kink(self, row: int) -> bool:
        """Whether the speed rises otherwise in the half second after a row than in that before it."""
        start = bisect_left(self.times, self.times[row] - _HALF_SECOND)
        end = min(bisect_right(self.times, self.times[row] + _HALF_SECOND), len(self.times)) - 1
        if not start < row < end:
            return True
        before = (self.speeds[row] - self.speeds[start]) / (self.times[row] - self.times[start])
        after = (self.speeds[end] - self.speeds[row]) / (self.times[end] - self.times[row])
        by_noise = _BY_NOISE * _root((self.noise, self.quantum / sqrt(12))) / _HALF_SECOND
        return abs(after - before) > _KINK * max(abs(before), abs(after)) + by_noise

    def _wide(self, below: int, above: int) -> float:
        """The rise from a row before two to a row after, which a step of the readings spoils less."""
        first, last = max(0, below - 1), min(len(self.times) - 1, above + 1)
        near = (self.speeds[above] - self.speeds[below]) / (self.times[above] - self.times[below])
        wide = (self.speeds[last] - self.speeds[first]) / (self.times[last] - self.times[first])
        return min(near, wide) if wide > 0 else near

    def _bend(self, below: int, above: int) -> float:
        """How far the speed may be off its straight line between two rows: an eighth of the larger second
        difference there, as of a parabola. What noise makes of it between many rows the line shows."""
        if above - below > 1:
            middle = (below + above) // 2
            return abs(self.speeds[below] - 2 * self.speeds[middle] + self.speeds[above]) / 8
        found = [
            abs(self.speeds[at - 1] - 2 * self.speeds[at] + self.speeds[at + 1])
            for at in (below, above)
            if 1 <= at < len(self.speeds) - 1
        ]
        return max(found, default=0.0) / 8

    def bend_after(self, place: int) -> float:
        """The same between a row and the next."""
        return self._bend(place, place + 1)


def _share_in_a_mean(keeps: float, count: int) -> float:
    """The variance of a mean of readings that remember, over that of one: (1 + 2 Σ (1 − k/n) ρ^k) / n."""
    return (1 + 2 * sum((1 - k / count) * keeps**k for k in range(1, count))) / count


def remembered(times: Sequence[float], speeds: Sequence[float]) -> tuple[float, float]:
    """The standard deviation of readings about a cubic over time, and the share of its noise that a reading
    keeps until the next, taken as noise of the first order (AR(1)).

    For each share that it may be, the likelihood of what is left beside the cubic (restricted to it, so that
    what the cubic has swallowed is counted); of all of them the mean, weighted by it. So a memory that the
    rows cannot tell from the curve is not taken to be none.

    Source: restricted likelihood of D. A. Harville, Journal of the American Statistical Association 72
    (1977), 320 (from memory); AR(1) whitened as by S. J. Prais and C. B. Winsten (1954, from memory).
    """
    import numpy as np

    clock, column = np.asarray(times), np.asarray(speeds)
    x = 2 * (clock - clock[0]) / (clock[-1] - clock[0]) - 1
    curve = np.vander(x, _DEGREE + 1)
    freedom = len(column) - _DEGREE - 1
    found = []
    for keeps in _SHARES:
        kept = sqrt(1 - keeps**2)
        whitened, rows = column[1:] - keeps * column[:-1], curve[1:] - keeps * curve[:-1]
        whitened = np.concatenate(([kept * column[0]], whitened))
        rows = np.concatenate((kept * curve[:1], rows))
        fit = np.linalg.lstsq(rows, whitened, rcond=None)[0]
        squares = float(((whitened - rows @ fit) ** 2).sum()) or 1e-300
        spread = float(np.linalg.slogdet(rows.T @ rows)[1])
        # log |V| of readings with innovations of variance 1 is −log(1 − ρ²).
        likely = -(freedom * np.log(squares) + spread - 2 * np.log(kept)) / 2
        found.append((likely, squares / freedom / kept**2, keeps))
    most = max(likely for likely, _, _ in found)
    weights = [float(np.exp(likely - most)) for likely, _, _ in found]
    variance, keeps = (
        sum(weight * one[place] for weight, one in zip(weights, found, strict=True)) / sum(weights)
        for place in (1, 2)
    )
    return (sqrt(variance), keeps) if variance > _NO_NOISE**2 else (0.0, 0.0)


def _root(parts: Iterable[float]) -> float:
    return sqrt(sum(part * part for part in parts))


def find_passages(log: Log, wanted: Wanted) -> list[Passage | Broken]:
    """Every passage of a log, in the order of driving; those that a gap is in as what broke them."""
    rows = _Rows(log)
    if len(rows.times) < 3:
        return []
    return list(_over_distance(rows, wanted) if wanted.distance is not None else _to_speed(rows, wanted))


def _starts(rows: _Rows, wanted: Wanted) -> list[tuple[int, int]]:
    """Where a run may start: where the first speed is crossed upwards, or a stand is left."""
    if wanted.from_speed is None:
        return list(rows.rises(wanted.standstill, 0.0))
    return list(rows.rises(wanted.from_speed, rows.margin))


def _to_speed(rows: _Rows, wanted: Wanted) -> Iterator[Passage | Broken]:
    """From the last crossing of the first speed before the second is first reached."""
    assert wanted.to_speed is not None
    starts = _starts(rows, wanted)
    ends = [start for start, _ in starts[1:]] + [len(rows.times)]
    for start, following in zip(starts, ends[: len(starts)], strict=True):
        end = rows.reached(wanted.to_speed, start[0] + 1, following)
        if end is None:
            continue  # it fell back before
        if broken := rows.broken(start[0], end[1]):
            yield broken
        elif begun := _begun(rows, wanted, start):
            yield _made(rows, begun, rows.crossing(*end, wanted.to_speed), start[0], end[1])


def _begun(rows: _Rows, wanted: Wanted, start: tuple[int, int]) -> Crossing | None:
    """The start of a passage: where a speed is crossed, or the roll-out after a stand is over."""
    if wanted.from_speed is not None:
        return rows.crossing(*start, wanted.from_speed)
    # The car began to move somewhere between the last row of the stand and the next.
    first = start[0]
    step = rows.times[first + 1] - rows.times[first]
    rise = (rows.speeds[first + 1] - rows.speeds[first]) / step
    late = step / 2 + wanted.standstill / rise
    if not wanted.roll_out:
        time = rows.times[first] + (wanted.standstill - rows.speeds[first]) / rise
        return Crossing(time=time, slope=rise, doubt=late / sqrt(3))
    reached = _rolled(rows, first, wanted.roll_out)
    if reached is None:
        return None
    time, speed = reached
    # What it may have rolled before, or since, by the straight line from the stand.
    steepest = max(rise, (rows.speeds[first + 2] - rows.speeds[first + 1]) / step)
    rolled = steepest * step * step / 8 + wanted.standstill**2 / (2 * rise)
    moving = next((at for at in range(first + 1, len(rows.speeds) - 1) if rows.speeds[at] > _MOVING), first)
    off = _walked(rows, moving, moving + 1, step, time - rows.times[first])
    return Crossing(time=time, slope=speed, doubt=rolled / speed / sqrt(3), noise=off / speed)


def _rolled(rows: _Rows, first: int, distance: float) -> tuple[float, float] | None:
    """When a distance has been rolled from a stand, and how fast the car is then. It begins between two rows,
    or a little before what counts as standing is over: where the line through the next two was at nothing."""
    if first + 2 < len(rows.times):
        low, high = rows.speeds[first + 1], rows.speeds[first + 2]
        rise = (high - low) / (rows.times[first + 2] - rows.times[first + 1])
        if low > 0 and rise > 0 and rows.times[first + 1] - low / rise > rows.times[first] - _MOST_BEFORE:
            begun = low * low / (2 * rise)
            if begun >= distance:
                return rows.times[first + 1] - low / rise + sqrt(2 * distance / rise), sqrt(
                    2 * distance * rise
                )
            reached = _covered(rows, first + 1, rows.times[first + 1], low, distance - begun)
            return None if reached is None else reached[:2]
    reached = _covered(rows, first, rows.times[first], 0.0, distance)
    return None if reached is None else reached[:2]


def _walked(rows: _Rows, below: int, above: int, step: float, long: float) -> float:
    """How far a distance over some time is off by the noise of the readings: it adds up like a walk, each
    step as long as the noise remembers."""
    deviation, keeps = rows.remembered(below, above)
    count = max(round(long / step), 1)
    slow = deviation * long * sqrt(_share_in_a_mean(keeps, count)) if keeps else 0.0
    return max(rows.noise * sqrt(step * long), slow)


def _covered(
    rows: _Rows, first: int, start: float, speed: float, distance: float
) -> tuple[float, float, int] | None:
    """When a distance is covered, at what speed, and after which row: from a time after a row, with the speed
    there. None where the log ends before."""
    at, time, left = first, start, distance
    while at + 1 < len(rows.times):
        step, after = rows.times[at + 1] - time, rows.speeds[at + 1]
        area = (speed + after) / 2 * step
        if area >= left and after > 0:
            # The smaller root of speed · t + (after − speed) / step · t² / 2 = left, in the stable form.
            rise = (after - speed) / step
            reached = sqrt(max(speed * speed + 2 * rise * left, 0.0))
            return time + 2 * left / (speed + reached), reached, at
        left -= area
        at, time, speed = at + 1, rows.times[at + 1], after
    return None


def _over_distance(rows: _Rows, wanted: Wanted) -> Iterator[Passage | Broken]:
    """A distance from a stand, or from where a speed is crossed; the next one begins where it has ended."""
    free = 0
    for start in _starts(rows, wanted):
        if start[0] < free:
            continue  # within the one before
        begun = _begun(rows, wanted, start)
        reached = None if begun is None else _from(rows, begun, start[0], wanted)
        if begun is None or reached is None:
            continue  # it stood again before, or the log ends
        time, speed, end = reached
        free = end
        if broken := rows.broken(start[0], end + 1):
            yield broken
            continue
        # Rounding to a step, read by read, adds up like a walk; the bend between rows is of second order.
        step, long = rows.times[end + 1] - rows.times[end], rows.times[end + 1] - rows.times[start[0]]
        off = _root((rows.quantum / sqrt(12) * sqrt(step * long), rows.bend_after(end) * step / sqrt(3)))
        noise = _walked(rows, end, end + 1, step, long)
        ended = Crossing(time=time, slope=speed, doubt=off / speed, noise=noise / speed)
        yield _made(rows, begun, ended, start[0], end + 1)


def _from(rows: _Rows, begun: Crossing, start: int, wanted: Wanted) -> tuple[float, float, int] | None:
    """Where the distance ends that is counted from a start; None where the car stands before."""
    assert wanted.distance is not None
    at = max(start, bisect_right(rows.times, begun.time) - 1)
    share = (begun.time - rows.times[at]) / (rows.times[at + 1] - rows.times[at])
    speed = rows.speeds[at] + share * (rows.speeds[at + 1] - rows.speeds[at])
    found = _covered(rows, at, begun.time, speed, wanted.distance)
    if found is None:
        return None
    stood = any(rows.speeds[place] <= wanted.standstill for place in range(at + 1, found[2] + 1))
    return None if stood else found


def _made(rows: _Rows, begun: Crossing, ended: Crossing, first: int, last: int) -> Passage:
    times, speeds = rows.times[first : last + 1], rows.speeds[first : last + 1]
    places = [0.0]
    for at in range(1, len(times)):
        places.append(places[-1] + (speeds[at - 1] + speeds[at]) / 2 * (times[at] - times[at - 1]))
    offset = _place_at(times, places, begun.time)
    return Passage(
        file=rows.file,
        start=begun,
        end=ended,
        times=tuple(times),
        speeds=tuple(speeds),
        distances=tuple(place - offset for place in places),
    )


def _place_at(times: list[float], places: list[float], time: float) -> float:
    at = min(max(bisect_right(times, time) - 1, 0), len(times) - 2)
    share = (time - times[at]) / (times[at + 1] - times[at])
    return places[at] + share * (places[at + 1] - places[at])


def why_none(log: Log, wanted: Wanted) -> Refused:
    """What a log has not, where it has no passage: a refusal without an input's name."""
    rows = _Rows(log)
    least, most = min(rows.speeds, default=0.0), max(rows.speeds, default=0.0)
    if wanted.to_speed is not None and most < wanted.to_speed:
        return Refused(
            "to_speed", f"{_kmh(most)} at the most in {log.file}", f"{_kmh(wanted.to_speed)}, once"
        )
    level = wanted.standstill if wanted.from_speed is None else wanted.from_speed
    if most < level:
        return Refused("from_speed", f"{_kmh(most)} at the most in {log.file}", f"{_kmh(level)}, once")
    if least >= level:
        which = "from_speed" if wanted.from_speed is not None else "to_speed"
        what = "a stand" if wanted.from_speed is None else f"less than {_kmh(level)}"
        return Refused(which, f"{_kmh(least)} at the least in {log.file}", f"{what}, before it is crossed")
    if wanted.distance is not None:
        return Refused(
            "distance", f"{log.file}, which ends, or stands, before", f"{wanted.distance:g} m from its start"
        )
    return Refused(
        "to_speed",
        f"no way from {_kmh(level)} up to {_kmh(wanted.to_speed or 0.0)} in {log.file}",
        "the first speed crossed upwards, and the second after it",
    )


def _kmh(speed: float) -> str:
    return f"{3.6 * speed:.4g} km/h"
