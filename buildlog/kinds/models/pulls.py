"""Pulls through the engine's speeds: found in a log, smoothed, brought to one engine speed, averaged.

A pull is what was measured over an engine speed that rises: one column (torque) on a dynamometer, two (road
speed and acceleration) on the road. Everything here is in SI and knows nothing of doubts: who calls moves
the means by the deviations of single pulls, which is how the scatter of repeated pulls reaches every result
with all that hangs together in it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import fsum, sqrt
from typing import TYPE_CHECKING

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.figures.spread import student_t
from buildlog.kinds.models.readings import Line, line_through

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LEAST_ROWS = 3
"""Through fewer rows a line leaves nothing to tell their noise by."""
_BLOCK = 2000
"""Rows for which sums are run on: over more of them the sums of squares of times lose their last digits."""
_PLACES_IN_A_WINDOW = 4
_MOST_PLACES = 200
"""At how many places along a pull what the noise of its rows does is worked out, at the most."""
_MOST_PARTS = 30
_DRAWS = 400
_SEED = 20260712
"""The draws are the same on every computer and every day."""
_OF_AREAS = 4.0
"""How much the area under the noise counts beside the noise itself, where its largest parts are sought."""


@dataclass(frozen=True, kw_only=True)
class Pull:
    """One pull: `columns` of what was measured, over `speeds` of the engine that rise."""

    name: str
    speeds: Sequence[float]
    columns: Sequence[Sequence[float]]

    def at(self, speed: float) -> list[float]:
        """Each column at an engine speed of the pull, on the line between two rows."""
        index = min(max(bisect_right(self.speeds, speed), 1), len(self.speeds) - 1)
        low, high = self.speeds[index - 1], self.speeds[index]
        share = (speed - low) / (high - low)
        return [column[index - 1] + (column[index] - column[index - 1]) * share for column in self.columns]


@dataclass(frozen=True, kw_only=True)
class Noise:
    """What the noise of the rows makes of one column of a single pull: independent parts, each a standard
    uncertainty that goes along the pull as its `parts` say, over `speeds`."""

    speeds: Sequence[float]
    parts: Sequence[Sequence[float]]

    def at(self, speed: float, shifts: Sequence[float]) -> float:
        """What the parts come to at an engine speed, each so many standard uncertainties."""
        moved = [number for number, shift in enumerate(shifts) if shift]
        there = Pull(name="", speeds=self.speeds, columns=[self.parts[number] for number in moved]).at(
            min(max(speed, self.speeds[0]), self.speeds[-1])
        )
        return fsum(shifts[number] * part for number, part in zip(moved, there, strict=True))


@dataclass(frozen=True, kw_only=True)
class Averaged:
    """Several pulls as one. `noise` is that of the rows of one pull, in the last column; it stands for the
    scatter where there is no other. `bent` are pulls of what smoothing rounds off each column, where that is
    known. `ways` says which way each pull went, where some went the other way: the mean is then that of the
    means of both."""

    pulls: tuple[Pull, ...]
    noise: Noise | None = None
    bent: tuple[Pull, ...] = ()
    ways: tuple[str, ...] = ()

    @cached_property
    def low(self) -> float:
        """The lowest engine speed that all of them have."""
        return max(pull.speeds[0] for pull in self.pulls)

    @cached_property
    def high(self) -> float:
        """The highest engine speed that all of them have."""
        return min(pull.speeds[-1] for pull in self.pulls)

    @cached_property
    def _widened(self) -> float:
        """By what the deviations of the pulls are multiplied so that their squares add up to that of the
        standard uncertainty of the mean, widened to the interval of Student's t: t / 2 √(n (n − 1)). Of two
        ways it is the scatter of both about their own means, with n − 2 degrees of freedom."""
        if self.freedom < 1:
            return 0.0
        sizes = [len(members) for members in self._groups]
        share = fsum(1 / size for size in sizes) / len(sizes) ** 2
        return self.widening * sqrt(share / self.freedom)

    @cached_property
    def _groups(self) -> list[list[int]]:
        """The pulls of each way, by their places."""
        ways = self.ways or ("",) * len(self.pulls)
        return [[at for at, one in enumerate(ways) if one == way] for way in dict.fromkeys(ways)]

    @property
    def widening(self) -> float:
        """By what the moves of the pulls are wider than their standard deviation, for their number."""
        return student_t(self.freedom) / 2 if self.freedom >= 1 else 1.0

    @property
    def freedom(self) -> int:
        """The degrees of freedom of the scatter between pulls."""
        return len(self.pulls) - len(self._groups)

    def _mean(self, values: Sequence[float]) -> float:
        """The mean of the means of each way, of a value of each pull."""
        of_ways = [fsum(values[at] for at in members) / len(members) for members in self._groups]
        return fsum(of_ways) / len(of_ways)

    def deviations(self, values: Sequence[float]) -> list[float]:
        """By how much a value of each pull is off the mean of those that went its way."""
        found = [0.0] * len(values)
        for members in self._groups:
            mean = fsum(values[at] for at in members) / len(members)
            for at in members:
                found[at] = values[at] - mean
        return found

    @property
    def moves(self) -> list[str]:
        """What may move the mean, a name each: every pull, or the parts of the noise of the only one."""
        if len(self.pulls) > 1:
            return [f"pull-{number}" for number, _ in enumerate(self.pulls, start=1)]
        return [f"rows-{number}" for number, _ in enumerate(self.noise.parts if self.noise else (), start=1)]

    def singles(self, speed: float) -> list[list[float]]:
        """What each pull has at an engine speed."""
        return [pull.at(speed) for pull in self.pulls]

    @cached_property
    def _known(self) -> dict[float, tuple[list[float], list[list[float]]]]:
        """By engine speed, the mean of each column and how far each pull is off it: a peak is sought by
        moving the same pulls many times."""
        return {}

    def _middle(self, speed: float) -> tuple[list[float], list[list[float]]]:
        if speed not in self._known:
            columns = list(zip(*self.singles(speed), strict=True))
            means = [self._mean(column) for column in columns]
            self._known[speed] = means, [self.deviations(column) for column in columns]
        return self._known[speed]

    def at(
        self,
        speed: float,
        shifts: Sequence[float] = (),
        bending: float = 0.0,
        rows: Sequence[float] = (),
    ) -> list[float]:
        """The mean of each column at an engine speed, moved by each of its `moves` so many standard
        uncertainties, and by a share of what smoothing rounds off. `rows` move it by the noise of the rows
        even where there are several pulls."""
        means, deviations = self._middle(speed)
        found = [*means]
        if any(shifts) and len(self.pulls) > 1:
            for place, off_each in enumerate(deviations):
                moved = zip(shifts, off_each, strict=True)
                found[place] += self._widened * fsum(shift * off for shift, off in moved)
        elif any(shifts) and self.noise is not None:
            found[-1] += self.noise.at(speed, shifts)
        if any(rows) and self.noise is not None:
            found[-1] += self.noise.at(speed, rows) / sqrt(len(self.pulls))
        if bending and self.bent:
            off = zip(*[pull.at(speed) for pull in self.bent], strict=True)
            found = [value + bending * self._mean(column) for value, column in zip(found, off, strict=True)]
        return found


# --- pulls in a log --------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Track:
    """The pull of a log: at `times` the value and the slope of its channels by lines through the rows about
    each. `bent` are the same slopes' and values' errors by smoothing. `sigma` by channel the standard
    deviation of single readings, `rows` how many a line goes through, `interval` the time between rows.

    `slope_noise` and `value_noise` have what readings of standard deviation 1 make of slope and value, at
    `places` (indices of `times`); where the noise is not wanted they are empty."""

    times: tuple[float, ...]
    values: Mapping[str, tuple[float, ...]]
    slopes: Mapping[str, tuple[float, ...]]
    bent_values: Mapping[str, tuple[float, ...]]
    bent_slopes: Mapping[str, tuple[float, ...]]
    sigma: Mapping[str, float]
    rows: float
    interval: float
    places: tuple[int, ...]
    slope_noise: tuple[tuple[float, ...], ...]
    value_noise: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is looked for in a log: the stretch on which `rising` rises, by lines through the rows within
    `window` seconds; where `open_from` is given, only while `throttle` is at least that. `along` is the
    channel that has to rise from place to place: the engine's speed. The `noise` of the rows is
    worked out if wanted: of the first pull, where there are several."""

    rising: str
    along: str
    window: float
    throttle: str = ""
    open_from: float = 0.0
    noise: bool = True
    file: str = "the log"


@dataclass(frozen=True, kw_only=True)
class _Stretch:
    """A span of rows with a line through the rows about each."""

    times: Array
    first: NDArray[np.int64]
    last: NDArray[np.int64]
    values: dict[str, Array]
    slopes: dict[str, Array]
    scatter: dict[str, float]
    chosen: tuple[int, int]


def track(
    times: Sequence[float],
    channels: Mapping[str, Sequence[float]],
    spans: Sequence[range],
    wanted: Wanted,
    quantum: Mapping[str, float] | None = None,
) -> Track:
    """The pull that a log has: the stretch on which the engine gains most speed without a break.

    Lines are fitted by least squares through the rows within half a window of each row, all of it inside of
    a span. Their residuals give the scatter of single readings, no less than the stated quantum does.
    """
    import numpy as np

    clock = np.asarray(times, dtype=float)
    columns = {name: np.asarray(values, dtype=float) for name, values in channels.items()}
    found: list[_Stretch] = []
    most = 0
    for span in spans:
        rows = np.arange(span.start, span.stop)
        there = np.all([np.isfinite(column[rows]) for column in columns.values()], axis=0)
        rows = rows[there]
        if len(rows) < LEAST_ROWS:
            continue
        stretch, held = _smoothed(clock[rows], {name: one[rows] for name, one in columns.items()}, wanted)
        most = max(most, held)
        if stretch is not None:
            found.append(stretch)
    if not found and most < LEAST_ROWS:
        raise OutOfRange(
            "smoothing_window",
            f"{wanted.window:g} s, which holds {most} row{'s' if most != 1 else ''} of {wanted.file}",
            f"{LEAST_ROWS} rows at least",
            help="a wider window, or a log that writes more often",
        )
    if not found:
        raise NoSolution(
            wanted.rising,
            f"no stretch of {wanted.file} on which it rises",
            "a pull: a stretch with full windows on which the engine gains speed",
            help="from: and to: say which part of the file is the pull",
        )
    best = max(found, key=lambda one: _gained(one, wanted.along))
    return _track_of(best, wanted, quantum or {})


def as_written(
    channels: Mapping[str, Sequence[float]], along: str, file: str = "the log"
) -> tuple[list[int], dict[str, list[float]]]:
    """The rows of a sheet as they stand, from the lowest to the highest of the channel that rises: those that
    lie above all before them. With their numbers, counted from 0."""
    rows = [
        row
        for row in range(len(channels[along]))
        if all(values[row] == values[row] for values in channels.values())
    ]
    column = channels[along]
    if rows:
        lowest = min(rows, key=column.__getitem__)
        rows = [row for row in rows if row >= lowest]
    kept: list[int] = []
    for row in rows:
        if not kept or column[row] > column[kept[-1]]:
            kept.append(row)
    if len(kept) < LEAST_ROWS:
        raise NoSolution(along, f"{len(kept)} rows of {file} on which it rises", f"{LEAST_ROWS} at least")
    return kept, {name: [values[row] for row in kept] for name, values in channels.items()}


def _gained(stretch: _Stretch, along: str) -> float:
    first, last = stretch.chosen
    return float(stretch.values[along][last] - stretch.values[along][first])


def _smoothed(clock: Array, columns: dict[str, Array], wanted: Wanted) -> tuple[_Stretch | None, int]:
    """Lines through the rows of a span, and how many rows a window holds; None where nothing rises."""
    import numpy as np

    half = wanted.window / 2
    slack = 1e-9 * max(1.0, float(clock[-1] - clock[0]))
    first = np.searchsorted(clock, clock - half - slack, side="left")
    last = np.searchsorted(clock, clock + half + slack, side="right")
    full = (clock - half >= clock[0] - slack) & (clock + half <= clock[-1] + slack)
    count = last - first
    held = int(np.median(count[full])) if full.any() else 0
    full &= count >= LEAST_ROWS
    if not full.any():
        return None, held
    values, slopes, scatter = {}, {}, {}
    for name, column in columns.items():
        values[name], slopes[name], scatter[name] = _lines(clock, column, first, last, full)
    good = full & (slopes[wanted.rising] > 0)
    if wanted.throttle:
        good &= columns[wanted.throttle] >= wanted.open_from
    rise = _longest_rise(good, values[wanted.along])
    chosen = _within(rise, clock, full, wanted) if rise is not None else None
    if chosen is None:
        return None, held
    return (
        _Stretch(
            times=clock,
            first=first,
            last=last,
            values=values,
            slopes=slopes,
            scatter=scatter,
            chosen=chosen,
        ),
        held,
    )


def _lines(
    clock: Array, column: Array, first: NDArray[np.int64], last: NDArray[np.int64], full: NDArray[np.bool_]
) -> tuple[Array, Array, float]:
    """Value and slope at every row of the line through the rows about it, and the scatter about the lines."""
    import numpy as np

    value, slope = np.full(len(clock), np.nan), np.full(len(clock), np.nan)
    squares: list[Array] = []
    for start in range(0, len(clock), _BLOCK):
        centres = np.arange(start, min(start + _BLOCK, len(clock)))
        centres = centres[full[centres]]
        if not len(centres):
            continue
        low, high = int(first[centres].min()), int(last[centres].max())
        t, x = clock[low:high] - clock[low], column[low:high] - column[low]
        n = (last[centres] - first[centres]).astype(float)
        sums = [
            _windows(part, first[centres] - low, last[centres] - low) for part in (t, x, t * t, t * x, x * x)
        ]
        mean_t, mean_x = sums[0] / n, sums[1] / n
        tt, tx, xx = sums[2] - n * mean_t**2, sums[3] - n * mean_t * mean_x, sums[4] - n * mean_x**2
        slope[centres] = tx / tt
        value[centres] = column[low] + mean_x + slope[centres] * (clock[centres] - clock[low] - mean_t)
        squares.append(np.maximum(xx - tx**2 / tt, 0.0) / (n - 2))
    return value, slope, float(np.sqrt(np.mean(np.concatenate(squares))))


def _windows(part: Array, first: NDArray[np.int64], last: NDArray[np.int64]) -> Array:
    import numpy as np

    sums = np.concatenate(([0.0], np.cumsum(part)))
    found: Array = sums[last] - sums[first]
    return found


def _longest_rise(good: NDArray[np.bool_], along: Array) -> tuple[int, int] | None:
    """First and last row of the stretch of good rows on which most is gained."""
    import numpy as np

    edges = np.flatnonzero(np.diff(np.concatenate(([False], good, [False])).astype(int)))
    stretches = [(int(one), int(other) - 1) for one, other in zip(edges[::2], edges[1::2], strict=True)]
    stretches = [pair for pair in stretches if along[pair[1]] > along[pair[0]]]
    return max(stretches, key=lambda pair: along[pair[1]] - along[pair[0]], default=None)


def _within(
    rise: tuple[int, int], clock: Array, full: NDArray[np.bool_], wanted: Wanted
) -> tuple[int, int] | None:
    """The part of a rise whose windows have nothing in them of what was before and after.

    Where the foot comes off, lines still rise while half of their window is beyond: a whole window less makes
    sure of it, half a one where the pedal itself tells when. Where the readings end no window reaches beyond.
    """
    first, last = rise
    less = wanted.window / 2 if wanted.throttle else wanted.window
    start, end = clock[first], clock[last]
    if first > 0 and full[first - 1]:
        start += less
    if last + 1 < len(full) and full[last + 1]:
        end -= less
    inside = [row for row in range(first, last + 1) if start - 1e-9 <= clock[row] <= end + 1e-9]
    return (inside[0], inside[-1]) if len(inside) > 1 else None


def _track_of(stretch: _Stretch, wanted: Wanted, quantum: Mapping[str, float]) -> Track:
    import numpy as np

    first, last = stretch.chosen
    along = stretch.values[wanted.along]
    rows = [first]
    for row in range(first + 1, last + 1):
        if along[row] > along[rows[-1]]:
            rows.append(row)
    kept = np.array(rows)
    times = stretch.times[kept]
    inside = slice(first, last + 1)

    def bent(column: Array, share: float) -> tuple[float, ...]:
        """By how much a line is off in the middle of a curve, from how the curve bends over a window."""
        clock, line = stretch.times[inside], column[inside]
        before, after = (np.interp(times + side * wanted.window / 2, clock, line) for side in (-1, 1))
        found: Array = share * (before - 2 * column[kept] + after)
        # At the ends one side has no row of its own: the bend there is that of the nearest place that has.
        whole = (times - wanted.window / 2 >= clock[0]) & (times + wanted.window / 2 <= clock[-1])
        if whole.any():
            found = np.interp(times, times[whole], found[whole])
        return tuple(found.tolist())

    wanted_places = _PLACES_IN_A_WINDOW * float(times[-1] - times[0]) / wanted.window + 2
    count_of_places = min(int(wanted_places), _MOST_PLACES, len(kept))
    places = np.unique(np.linspace(0, len(kept) - 1, count_of_places).round().astype(int))
    if wanted.noise:
        of_lines = _weights(stretch, kept[places])
        slope_noise, value_noise = (_independent(one, times[places], wanted.window) for one in of_lines)
    else:
        slope_noise, value_noise = (), ()
    count = stretch.last[kept] - stretch.first[kept]
    return Track(
        times=tuple(times.tolist()),
        values={name: tuple(one[kept].tolist()) for name, one in stretch.values.items()},
        slopes={name: tuple(one[kept].tolist()) for name, one in stretch.slopes.items()},
        # By Taylor's series of the curve about the middle: a slope is off by x‴ w²/40, a mean by x″ w²/24,
        # where the difference of second order over half windows is x″ w²/4 (x‴ w²/4 of slopes).
        bent_values={name: bent(one, 1 / 6) for name, one in stretch.values.items()},
        bent_slopes={name: bent(one, 1 / 10) for name, one in stretch.slopes.items()},
        sigma={name: max(one, quantum.get(name, 0.0) / sqrt(12)) for name, one in stretch.scatter.items()},
        rows=float(np.median(count)),
        interval=float(np.median(np.diff(stretch.times[inside]))),
        places=tuple(places.tolist()),
        slope_noise=slope_noise,
        value_noise=value_noise,
    )


def _weights(stretch: _Stretch, centres: NDArray[np.int64]) -> tuple[Array, Array]:
    """By what each reading enters slope and value at some places: a row for each place."""
    import numpy as np

    low, high = int(stretch.first[centres].min()), int(stretch.last[centres].max())
    slopes, values = (np.zeros((len(centres), high - low)) for _ in range(2))
    for number, centre in enumerate(centres.tolist()):
        first, last = int(stretch.first[centre]), int(stretch.last[centre])
        t = stretch.times[first:last]
        off = t - t.mean()
        line = off / float(off @ off)
        slopes[number, first - low : last - low] = line
        values[number, first - low : last - low] = 1 / len(t) + line * (stretch.times[centre] - t.mean())
    return slopes, values


def _independent(weights: Array, times: Array, window: float) -> tuple[tuple[float, ...], ...]:
    """Independent parts whose squares add up, place by place, to the variance that readings of variance 1
    make: those that make most of the noise and of the area under it, and a pair for what is left.

    Lines through rows that no two share have errors of their own, and those of slopes nearly cancel along a
    pull: the area under a slope is what its ends differ by. So the rest is no error all along either. It is
    taken for one that goes to and fro from window to window, a cosine and a sine, whose squares add up to it.
    """
    import numpy as np

    count = len(times)
    # Areas by trapezes from the first place on: a row of `areas` has what each place enters them by.
    trapezes = np.zeros((count, count))
    trapezes[1:, 1:] += np.diag(np.diff(times) / 2)
    trapezes[1:, :-1] += np.diag(np.diff(times) / 2)
    areas = np.cumsum(trapezes, axis=0)
    weighing = np.linalg.cholesky(np.eye(count) + (_OF_AREAS / window) ** 2 * areas.T @ areas).T
    weighed = weighing @ weights
    sizes, vectors = np.linalg.eigh(weighed @ weighed.T)
    kept = [at for at in range(count)[: -_MOST_PARTS - 1 : -1] if sizes[at] > 1e-9 * sizes[-1]]
    parts = weights @ (weighed.T @ vectors[:, kept] / np.sqrt(sizes[kept]))
    left = np.sqrt(np.maximum((weights**2).sum(axis=1) - (parts**2).sum(axis=1), 0.0))
    pair = (left * np.cos(np.pi * times / window), left * np.sin(np.pi * times / window))
    return tuple(tuple(part) for part in [*parts.T.tolist(), *(one.tolist() for one in pair)])


# --- peaks and areas of a curve ---------------------------------------------------------------


@dataclass(frozen=True)
class Curve:
    """A curve of points, rising in speed."""

    speeds: tuple[float, ...]
    values: tuple[float, ...]

    @property
    def highest(self) -> int:
        """Which point is the highest."""
        return max(range(len(self.values)), key=self.values.__getitem__)


@dataclass(frozen=True)
class Summit:
    """The top of a parabola through some points of a curve."""

    speed: float
    value: float


@dataclass(frozen=True)
class Parabola:
    """A parabola by least squares, over the distance from `middle` in units of `scale`: `low` to `high`."""

    middle: float
    scale: float
    low: float
    high: float
    height: float
    slope: float
    bend: float

    def at(self, speed: float) -> float:
        """Its height at an engine speed."""
        place = (speed - self.middle) / self.scale
        return self.height + (self.slope + self.bend * place) * place

    @property
    def top(self) -> Summit | None:
        """Its top; None where it bends upwards or its top is not among its points."""
        if self.bend >= 0:
            return None
        place = -self.slope / (2 * self.bend)
        if not self.low < place < self.high:
            return None
        return Summit(self.middle + place * self.scale, self.height + self.slope * place / 2)


def points_about(curve: Curve, about: int, width: float) -> list[int]:
    """The points of a curve within half a width of one; where fewer than three are so near, that one and its
    neighbours."""
    middle = curve.speeds[about]
    near = [index for index, speed in enumerate(curve.speeds) if abs(speed - middle) <= width / 2]
    if len(near) >= 3:
        return near
    return [index for index in (about - 1, about, about + 1) if 0 <= index < len(curve.speeds)]


def parabola_through(curve: Curve, near: Sequence[int]) -> Parabola:
    """The parabola of least squares through three or more points of a curve. A single point is moved by every
    bit of noise; the parabola is not."""
    middle = curve.speeds[near[len(near) // 2]]
    scale = curve.speeds[near[-1]] - curve.speeds[near[0]]
    x = [(curve.speeds[index] - middle) / scale for index in near]
    height, slope, bend = _parabola(x, [curve.values[index] for index in near])
    return Parabola(middle, scale, x[0], x[-1], height, slope, bend)


def place_of_most(curve: Curve) -> int:
    """Which point a cubic of least squares through all of a curve is highest at. Of many points one is always
    lifted most by noise; the cubic has four numbers of its own, and hardly follows any of them."""
    import numpy as np

    x = np.linspace(-1, 1, len(curve.speeds))
    powers = np.vander(x, 4)
    fitted = powers @ np.linalg.lstsq(powers, np.asarray(curve.values), rcond=None)[0]
    return int(fitted.argmax())


def lift_of_noise(curve: Curve, deviations: Sequence[Sequence[float]], width: float) -> float:
    """By how much noise lifts the height that is found where a cubic through all of a curve is highest: the
    place is chosen by the same noise. The cubic stands for the curve without noise; the independent
    `deviations` of its points, each a standard deviation, are drawn and the height sought again."""
    import numpy as np

    fit, heights = _fits(tuple(curve.speeds), width)
    smooth = fit @ np.asarray(curve.values)
    of_noise = np.random.default_rng(_SEED).standard_normal((_DRAWS, len(deviations)))
    drawn = smooth + of_noise @ np.asarray(deviations)
    places = (drawn @ fit.T).argmax(axis=1)
    found = np.einsum("ij,ij->i", heights[places], drawn)
    return float(found.mean() - heights[smooth.argmax()] @ smooth)


@lru_cache(maxsize=8)  # an error of the torques leaves the speeds as they are
def _fits(speeds: tuple[float, ...], width: float) -> tuple[Array, Array]:
    """What makes a cubic of values at these speeds, and by point the height of a parabola about it."""
    import numpy as np

    count = len(speeds)
    powers = np.vander(np.linspace(-1, 1, count), 4)
    fit = powers @ np.linalg.pinv(powers)
    heights = np.zeros((count, count))
    for at in range(count):
        near = points_about(Curve(speeds, speeds), at, width)
        x = np.array([speeds[index] - speeds[at] for index in near]) / width
        heights[at, near] = np.linalg.pinv(np.vander(x, 3))[2]
    return fit, heights


def is_sure_of_top(found: Parabola, deviations: Iterable[Parabola]) -> bool:
    """Whether a parabola has its top among its points whatever the independent `deviations` of its curve,
    each a standard uncertainty, make of it (k = 2): it surely bends downwards, and the top does not leave."""
    if found.top is None:
        return False
    place = -found.slope / (2 * found.bend)
    bends, places = [], []
    for one in deviations:
        bends.append(one.bend)
        # The derivatives of −b / 2c by b and by c.
        places.append((found.slope * one.bend / found.bend - one.slope) / (2 * found.bend))
    bend, aside = (2 * sqrt(fsum(part * part for part in parts)) for parts in (bends, places))
    return found.bend + bend < 0 and found.low < place - aside and place + aside < found.high


def _parabola(x: Sequence[float], y: Sequence[float]) -> tuple[float, float, float]:
    """Coefficients of the parabola of least squares, by the normal equations about the middle of x."""
    count = len(x)
    shift = fsum(x) / count
    u = [one - shift for one in x]
    two, three, four = (fsum(one**power for one in u) for power in (2, 3, 4))
    zero, one, double = (fsum(up * at**power for at, up in zip(u, y, strict=True)) for power in (0, 1, 2))
    # Σu is nothing, so that the slope is eliminated by its own equation: b = (Σuy − c Σu³) / Σu².
    bend = (double - one * three / two - zero * two / count) / (four - three**2 / two - two**2 / count)
    slope = (one - bend * three) / two
    height = (zero - bend * two) / count
    return height - slope * shift + bend * shift**2, slope - 2 * bend * shift, bend


# --- coasting -----------------------------------------------------------------------------------


def mean_line(lines: Sequence[Line]) -> Line:
    """The mean of independent lines, each of which counts alike."""
    count = len(lines)

    def mean(values: Iterable[float]) -> float:
        return fsum(values) / count

    return Line(
        slope=mean(one.slope for one in lines),
        offset=mean(one.offset for one in lines),
        slope_standard=sqrt(mean(one.slope_standard**2 for one in lines) / count),
        offset_standard=sqrt(mean(one.offset_standard**2 for one in lines) / count),
        deviation=sqrt(mean(one.deviation**2 for one in lines)),
        covariance=mean(one.covariance for one in lines) / count,
        count=sum(one.count for one in lines),
    )


def decelerations(
    times: Sequence[float], speeds: Sequence[float], spans: Sequence[range], window: float
) -> list[tuple[float, float]]:
    """Speed and deceleration of a car that coasts, by a line through each window of time, one after another.
    None shares a row with the next, so that their errors are independent. Windows in which it does not slow
    down are none of coasting, and are left out."""
    found: list[tuple[float, float]] = []
    for span in spans:
        rows = [row for row in span if speeds[row] == speeds[row]]
        start = 0
        while start < len(rows):
            end = start
            while end < len(rows) and times[rows[end]] - times[rows[start]] < window * (1 - 1e-9):
                end += 1
            taken = rows[start:end]
            # The last window of a span may be cut short; it has less to say, and is left out.
            if end < len(rows) and len(taken) >= LEAST_ROWS:
                clock, column = [times[row] for row in taken], [speeds[row] for row in taken]
                line = line_through(clock, column)
                middle = fsum(clock) / len(clock)
                if line.slope < 0:
                    found.append((line.at(middle), -line.slope))
            start = end
    return found
