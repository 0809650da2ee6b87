"""How late one channel of a log is behind another, and how sluggish: by cross-correlation.

The model: the follower is a constant plus a constant times the leader, as it was a dead time ago and as an
instrument of the first order shows it, y(t) = a + b·(h_τ ∗ x)(t − d), plus noise. Two things are sought. The
**lag** alone is the one shift that lines up the two best, where no instrument is modelled: what a column of a
log is moved by. Dead time d and time constant τ part it.

For every lag the same rows of the follower are compared with the leader as it was that much earlier, so that
the largest correlation is the least sum of squares. Correlations are found at whole rows and interpolated
between them; interpolating the leader's readings instead would take noise out of them between the rows and
not on them, and pull every lag to half a row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot, sqrt
from typing import TYPE_CHECKING, Any

from buildlog.diagnostics import NoSolution, OutOfRange
from buildlog.figures.spread import student_t

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[Any, np.dtype[np.float64]]
    Places = np.ndarray[Any, np.dtype[np.int64]]

RESAMPLES = 200
"""How many times the blocks are drawn anew."""
SEED = 20260712
"""The draws are the same on every computer and every day."""
FEWEST_BLOCKS = 8
_ROWS_OF_A_BLOCK = 5
MOST_BLOCKS = 40
MOST_ROWS = 200_000
LEAST_CORRELATION = 0.5
"""Of a lower one three quarters of the follower's variation are not the leader's; common practice."""
_AHEAD = 4
"""The search reaches a quarter as far to the other side, to see channels that are the wrong way round."""
_MOST_SHIFTS = 100
_TIME_CONSTANTS = 32
_NEWTON = 6
_HOLE = 3.5
"""As many usual steps of a channel without a reading of it are bridged: one or two readings that fail."""
_INTERPOLATION = 1 / 20
_PARTING = 1 / 8
"""How far the interpolation between rows may pull a lag, and the parting into dead time and time constant:
shares of a row's spacing, the limits of a rectangular distribution; by signals of known lag, whose memory is
a few rows."""
_STRAY = 0.05
"""As many resamples may have their peak elsewhere before the log is said to tell nothing."""


@dataclass(frozen=True)
class Stretch:
    """Readings of both channels without a gap: times (s, rising) and the two channels, equally long."""

    times: Sequence[float] | Numbers
    leader: Sequence[float] | Numbers
    follower: Sequence[float] | Numbers


@dataclass(frozen=True, kw_only=True)
class Lag:
    """What was found; times in s. A standard uncertainty is widened for the few blocks it comes from, so that
    twice of it is the t interval of 95.45 %. `shifts` and `correlations` are the curve that has the peak."""

    lag: float
    lag_standard: float
    dead_time: float
    dead_time_standard: float
    time_constant: float
    time_constant_standard: float
    spacing: float
    rows: int
    used: int
    skipped: int
    blocks: int
    block_length: float
    shifts: tuple[float, ...]
    correlations: tuple[float, ...]

    def correlation_at(self, shift: float) -> float:
        """The correlation at the whole row next to a shift."""
        return self.correlations[round((shift - self.shifts[0]) / self.spacing)]


def stretches_of(
    times: Sequence[float], leader: Sequence[float], follower: Sequence[float], spans: Iterable[range]
) -> list[Stretch]:
    """The stretches of a log in which both channels are read, at the times of the one with fewer readings.

    Rows without a reading are nan. What the other channel was at such a time goes straight from the reading
    before to the one after, unless the two are further apart than `_HOLE` of that channel's usual steps.
    """
    import numpy as np

    clock, channels = np.asarray(times), [np.asarray(leader), np.asarray(follower)]
    usual = [_usual_step(clock, channel) for channel in channels]
    sparse = int(usual[1] > usual[0])
    found = []
    for span in spans:
        part = slice(span.start, span.stop)
        own, other = (_readings(clock[part], channels[place][part]) for place in (sparse, 1 - sparse))
        if len(own[0]) < 2 or len(other[0]) < 2:
            continue
        after = np.searchsorted(other[0], own[0]).clip(1, len(other[0]) - 1)
        apart = other[0][after] - other[0][after - 1]
        near = (own[0] >= other[0][0]) & (own[0] <= other[0][-1]) & (apart <= _HOLE * usual[1 - sparse])
        breaks = (np.diff(own[0]) > _HOLE * usual[sparse]) | (np.diff(near.astype(int)) != 0)
        joined = np.interp(own[0], *other)
        cuts = [0, *(np.nonzero(breaks)[0] + 1).tolist(), len(near)]
        for begin, end in pairwise(cuts):
            if near[begin] and end - begin > 1:
                pair = (joined, own[1]) if sparse else (own[1], joined)
                found.append(Stretch(own[0][begin:end], pair[0][begin:end], pair[1][begin:end]))
    return found


def held_share(stretches: Iterable[Stretch]) -> float:
    """In which share of rows the follower repeats the reading before it."""
    import numpy as np

    repeats = [np.diff(np.asarray(stretch.follower)) == 0 for stretch in stretches]
    return float(np.concatenate(repeats).mean()) if repeats else 0.0


def _readings(times: Numbers, values: Numbers) -> tuple[Numbers, Numbers]:
    import numpy as np

    there = np.isfinite(values)
    return times[there], values[there]


def _usual_step(times: Numbers, values: Numbers) -> float:
    """The usual time between two readings of a channel, s; infinite where there are not two."""
    import numpy as np

    steps = np.diff(_readings(times, values)[0])
    return float(np.median(steps)) if len(steps) else float("inf")


@dataclass(frozen=True)
class _Laid:
    """The stretches on one grid: leader and follower, and where each stretch's rows of the follower begin and
    end. `edges` cut all these rows to blocks."""

    pieces: list[tuple[Numbers, Numbers]]
    first: int
    last: int
    edges: Places
    spacing: float
    skipped: int

    @property
    def rows(self) -> int:
        return sum(len(leader) - self.first - self.last for leader, _ in self.pieces)


def find_lag(stretches: Sequence[Stretch], search: float, *, against: bool = False) -> Lag:
    """The lag of the follower behind the leader, dead time and time constant.

    `search` is the longest lag that is looked for, s; `against` says that the follower falls where the leader
    rises. Refuses what a log cannot tell: `NoSolution`.
    """
    laid = _lay(stretches, search)
    reach = ceil(search / laid.spacing - 1e-9)
    shifts = list(range(-laid.last, reach + 1))
    sign = -1.0 if against else 1.0
    follower = _follower_sums(laid, sign)
    sums = _leader_sums(laid, [leader for leader, _ in laid.pieces], shifts, sign)
    everything = _all_blocks(laid)
    curve = _correlations(everything, follower, sums, 0.0)[0]
    peak = _peak(curve, shifts, laid.spacing, search, against)
    drawn = _drawn_blocks(laid)
    curves = _correlations(drawn, follower, sums, 0.0)
    places = _summits(curves)[0] + shifts[0]
    _refuse_stray(places, peak, curve, shifts, laid.spacing, search)
    factor = student_t(len(laid.edges) - 1) / 2
    parted = _parted(laid, follower, sign, reach, drawn)
    of_parting = laid.spacing * _PARTING / sqrt(3)
    return Lag(
        lag=float(peak) * laid.spacing,
        lag_standard=hypot(
            float(places.std(ddof=1)) * laid.spacing * factor, laid.spacing * _INTERPOLATION / sqrt(3)
        ),
        dead_time=parted.dead_time,
        dead_time_standard=hypot(parted.dead_time_deviation * factor, of_parting),
        time_constant=parted.time_constant,
        time_constant_standard=hypot(parted.time_constant_deviation * factor, of_parting),
        spacing=laid.spacing,
        rows=sum(len(stretch.times) for stretch in stretches),
        used=laid.rows,
        skipped=laid.skipped,
        blocks=len(laid.edges),
        block_length=laid.rows * laid.spacing / len(laid.edges),
        shifts=tuple(shift * laid.spacing for shift in shifts),
        correlations=tuple(float(one) for one in curve),
    )


# --- laying the readings on one grid --------------------------------------------------------


def _lay(stretches: Sequence[Stretch], search: float) -> _Laid:
    """All stretches at one spacing, the median of their rows; those too short for the search left out."""
    import numpy as np

    steps = [np.diff(np.asarray(stretch.times)) for stretch in stretches if len(stretch.times) > 1]
    if not steps:
        raise NoSolution("log", "no two rows in a row with both channels", "a stretch with readings of both")
    spacing = float(np.median(np.concatenate(steps)))
    reach = ceil(search / spacing - 1e-9)
    if reach < 2:
        raise OutOfRange(
            "search", f"{search:g} s in a log of a row every {spacing:g} s", "a few rows at least"
        )
    # The first rows of a stretch are compared with nothing: what the leader did before is not known, and an
    # instrument still shows it.
    first, last = 2 * reach, max(2, ceil(reach / _AHEAD))
    pieces = []
    skipped = 0
    for stretch in stretches:
        times = np.asarray(stretch.times, dtype=np.float64)
        count = int((times[-1] - times[0]) / spacing + 1e-9) + 1 if len(times) else 0
        if count <= first + last + 2:
            skipped += 1
            continue
        grid = times[0] + spacing * np.arange(count)
        pieces.append((np.interp(grid, times, stretch.leader), np.interp(grid, times, stretch.follower)))
    laid = _Laid(pieces, first, last, np.array([], dtype=np.int64), spacing, skipped)
    _check_rows(laid, search)
    blocks = min(MOST_BLOCKS, _blocks(laid, search))
    edges = (np.arange(blocks) * (laid.rows / blocks)).astype(np.int64)
    return _Laid(pieces, first, last, edges, spacing, skipped)


def _blocks(laid: _Laid, search: float) -> int:
    return int(laid.rows / max(_ROWS_OF_A_BLOCK, search / 2 / laid.spacing))


def _check_rows(laid: _Laid, search: float) -> None:
    if laid.rows > MOST_ROWS:
        raise OutOfRange(
            "log", f"{laid.rows} rows at one spacing", f"up to {MOST_ROWS}", help="take a part: from and to"
        )
    if _blocks(laid, search) >= FEWEST_BLOCKS:
        return
    length = max(_ROWS_OF_A_BLOCK * laid.spacing, search / 2) * FEWEST_BLOCKS
    around = (laid.first + laid.last) * laid.spacing
    raise NoSolution(
        "log",
        f"{laid.rows * laid.spacing:.3g} s of it can be compared",
        f"{length:.3g} s, beside the {around:.3g} s at the ends of each stretch without a gap",
        help="log for longer, or search for a shorter lag",
    )


# --- correlations ---------------------------------------------------------------------------


def _all_blocks(laid: _Laid) -> Numbers:
    import numpy as np

    return np.ones((1, len(laid.edges)))


def _drawn_blocks(laid: _Laid) -> Numbers:
    """How often each block is drawn, a row for each resample: blocks and not rows, since neighbouring rows
    know of each other."""
    import numpy as np

    count = len(laid.edges)
    draws = np.random.Generator(np.random.PCG64(SEED))
    return draws.multinomial(count, [1 / count] * count, size=RESAMPLES).astype(np.float64)


def _follower_sums(laid: _Laid, sign: float) -> tuple[Numbers, Numbers, Numbers]:
    """Count, sum and sum of squares of the follower in each block."""
    import numpy as np

    rows = _follower_rows(laid, sign)
    counts = np.diff(np.append(laid.edges, len(rows))).astype(np.float64)
    return counts, np.add.reduceat(rows, laid.edges), np.add.reduceat(rows * rows, laid.edges)


def _follower_rows(laid: _Laid, sign: float) -> Numbers:
    """The rows of the follower that are compared, less their mean: squares of large numbers lose digits."""
    import numpy as np

    rows = np.concatenate([follower[laid.first : len(follower) - laid.last] for _, follower in laid.pieces])
    return np.asarray(sign * (rows - rows.mean()))


def _leader_sums(
    laid: _Laid, leaders: Sequence[Numbers], shifts: Sequence[int], sign: float
) -> tuple[Numbers, Numbers, Numbers]:
    """Sum, sum of squares and sum of products with the follower, of the leader at each shift: blocks down,
    shifts across."""
    import numpy as np

    follower = _follower_rows(laid, sign)
    middle = float(np.mean(np.concatenate(leaders)))
    table = np.empty((3, len(laid.edges), len(shifts)))
    for column, shift in enumerate(shifts):
        rows = np.concatenate(
            [one[laid.first - shift : len(one) - laid.last - shift] for one in leaders], dtype=np.float64
        )
        rows = rows - middle
        for part, values in enumerate((rows, rows * rows, rows * follower)):
            table[part, :, column] = np.add.reduceat(values, laid.edges)
    return table[0], table[1], table[2]


def _correlations(
    weights: Numbers,
    follower: tuple[Numbers, Numbers, Numbers],
    leader: tuple[Numbers, Numbers, Numbers],
    noise: float,
) -> Numbers:
    """Pearson's correlation at each shift (across), for each weighting of the blocks (down). `noise` is the
    variance of the leader's noise, which is no part of what the follower follows."""
    import numpy as np

    # Not by `@`: so small a product costs more in the threads of a linear-algebra library than it takes.
    count, total, squares = (np.einsum("rb,b->r", weights, part) for part in follower)
    totals, squared, products = (np.einsum("rb,bs->rs", weights, part) for part in leader)
    own = squares - total**2 / count
    theirs = squared - totals**2 / count[:, None] - noise * count[:, None]
    shared = products - totals * (total / count)[:, None]
    if (own <= 0).any() or (theirs <= 0).any():
        raise NoSolution("log", "a channel that does not change", "changes of both channels in all its parts")
    return np.asarray(shared / np.sqrt(own[:, None] * theirs))


def _summits(curves: Numbers) -> tuple[Numbers, Numbers]:
    """Where the highest point of each curve (a row) is, between its columns, and how high it is there.

    By the polynomial of the fourth degree through the five highest points: a parabola through three is off by
    enough to give a delay between two rows to the time constant. At the first and last columns: that column.
    """
    import numpy as np

    top = curves.argmax(axis=1)
    inner = np.clip(top, 2, curves.shape[1] - 3)
    rows = np.arange(len(curves))
    far_left, left, middle, right, far_right = (curves[rows, inner + step] for step in (-2, -1, 0, 1, 2))
    # Taylor's coefficients of that polynomial about the middle point, by central differences.
    first = (8 * (right - left) - (far_right - far_left)) / 12
    second = (16 * (right + left) - (far_right + far_left) - 30 * middle) / 24
    third = (far_right - far_left - 2 * (right - left)) / 12
    fourth = (far_right + far_left - 4 * (right + left) + 6 * middle) / 24
    at = np.zeros(len(curves))
    for _ in range(_NEWTON):
        slope = first + at * (2 * second + at * (3 * third + at * 4 * fourth))
        bend = 2 * second + at * (6 * third + at * 12 * fourth)
        at = np.clip(np.where(bend < 0, at - slope / np.where(bend < 0, bend, -1.0), 0.0), -1, 1)
    high = middle + at * (first + at * (second + at * (third + at * fourth)))
    inside = top == inner
    return np.where(inside, inner + at, top), np.where(inside, high, curves[rows, top])


# --- what a log cannot tell -------------------------------------------------------------------


def _peak(curve: Numbers, shifts: Sequence[int], spacing: float, search: float, against: bool) -> float:
    """The lag with the highest correlation, in rows."""
    best = int(curve.argmax())
    if curve[best] < LEAST_CORRELATION:
        falls = -float(curve.min()) >= LEAST_CORRELATION
        other = "with" if against else "against"
        raise NoSolution(
            "log",
            f"a correlation of {float(curve[best]):.2f} at most, at {shifts[best] * spacing:.3g} s",
            f"{LEAST_CORRELATION} or more",
            help=f"the follower goes the other way: sense: {other}"
            if falls
            else "take a part of the log in which both change, in one gear where engine speed is one of them",
        )
    if best == 0:
        raise NoSolution(
            "log",
            f"the follower ahead of the leader, by {-shifts[0] * spacing:.3g} s or more",
            "a follower behind its leader",
            help="the two channels may be the wrong way round",
        )
    if best == len(shifts) - 1:
        raise NoSolution(
            "search",
            f"a correlation that still rises at {search:.3g} s",
            "a lag within the search",
            help="search further, or take a part of the log where both change more",
        )
    return float(_summits(curve[None, :])[0][0]) + shifts[0]


def _refuse_stray(
    places: Numbers, peak: float, curve: Numbers, shifts: Sequence[int], spacing: float, search: float
) -> None:
    """Refuse a curve with several peaks that the readings do not decide between, and a flat one."""
    import numpy as np

    hollow = _hollows(curve, round(peak) - shifts[0])
    low, high = (shifts[0] + place for place in hollow)
    stray = (places < low) | (places > high)
    if stray.mean() > _STRAY:
        other = float(np.median(places[stray])) * spacing
        raise NoSolution(
            "log",
            f"several peaks: at {peak * spacing:.3g} s, and in {100 * float(stray.mean()):.0f} % of the "
            f"resamples elsewhere, as at {other:.3g} s",
            "one peak",
            help="search no further than the lag can be, or take a part that does not repeat itself",
        )
    spread = float(places.std(ddof=1)) * spacing
    if spread > search / 8:
        raise NoSolution(
            "log",
            f"a flat correlation: the lag is known to ± {2 * spread:.2g} s only",
            f"± {search / 4:.2g} s, a quarter of the search, or better",
            help="take a part of the log where both channels change quickly",
        )


def _hollows(curve: Numbers, top: int) -> tuple[int, int]:
    """How far a peak reaches to either side: to where the curve begins to rise again by more than a ripple.

    Near its top every noisy curve has ripples; a hollow is a tenth of the way down, or deeper."""
    ends = []
    least_drop = 0.1 * float(curve[top] - curve.min())
    for step in (-1, 1):
        place = lowest = top
        while 0 <= place + step < len(curve):
            place += step
            if curve[place] < curve[lowest]:
                lowest = place
            drop = curve[top] - curve[lowest]
            if drop > least_drop and curve[place] - curve[lowest] > 0.1 * drop:
                break
        ends.append(lowest)
    return ends[0], ends[1]


# --- dead time and time constant ------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class _Parted:
    """Times in s, with their standard deviations over the resamples."""

    time_constant: float
    dead_time: float
    time_constant_deviation: float
    dead_time_deviation: float


def _parted(
    laid: _Laid,
    follower: tuple[Numbers, Numbers, Numbers],
    sign: float,
    reach: int,
    drawn: Numbers,
) -> _Parted:
    """The time constant and the dead time with the highest correlation, and how they spread over the
    resamples."""
    import numpy as np

    stride = max(1, ceil((laid.last + reach) / _MOST_SHIFTS))
    shifts = list(range(-laid.last, reach + 1, stride))
    constants = _constants(laid.spacing, reach * laid.spacing)
    noise = _noise_variance(laid)
    weights = np.vstack([_all_blocks(laid), drawn])
    heights, places = [], []
    for leaders, gain in _sluggish(laid, constants):
        curves = _correlations(weights, follower, _leader_sums(laid, leaders, shifts, sign), noise * gain)
        place, height = _summits(curves)
        heights.append(height)
        places.append((place * stride + shifts[0]) * laid.spacing)
    best, dead = _best_constants(np.array(heights).T, np.array(places).T, constants)
    return _Parted(
        time_constant=float(best[0]),
        dead_time=float(dead[0]),
        time_constant_deviation=float(best[1:].std(ddof=1)),
        dead_time_deviation=float(dead[1:].std(ddof=1)),
    )


def _constants(spacing: float, longest: float) -> Numbers:
    """Time constants to try: none, and from a quarter of a row to the end of the search."""
    import numpy as np

    return np.concatenate([[0.0], np.geomspace(spacing / 4, longest, _TIME_CONSTANTS - 1)])


def _sluggish(laid: _Laid, constants: Numbers) -> list[tuple[list[Numbers], float]]:
    """The leader as instruments of these time constants show it, and what they leave of the variance of white
    noise in it.

    Between two readings the leader goes straight, for which the step of a first-order lag is exact:
    F₁ = e F₀ + p x₀ + q x₁ with e = exp(−T/τ), q = 1 − (1 − e) τ/T, p = (1 − e) τ/T − e.
    """
    import numpy as np

    with np.errstate(divide="ignore", over="ignore"):
        ratio = np.where(constants > 0, laid.spacing / np.maximum(constants, 1e-300), np.inf)
    fade = np.exp(-ratio)
    mean = np.where(np.isinf(ratio), 0.0, -np.expm1(-ratio) / ratio)
    new, old = 1 - mean, mean - fade
    gains = (new**2 + old**2 + 2 * new * old * fade) / (1 - fade**2)
    shown = []
    for leader, _ in laid.pieces:
        table = np.empty((len(leader), len(constants)))
        table[0] = leader[0]
        for row in range(1, len(leader)):
            table[row] = fade * table[row - 1] + old * leader[row - 1] + new * leader[row]
        shown.append(table)
    return [([table[:, column] for table in shown], float(gain)) for column, gain in enumerate(gains)]


def _noise_variance(laid: _Laid) -> float:
    """The variance of the leader's noise, by third differences, in which a smooth motion leaves little.

    White noise of variance σ² has third differences of 1 + 9 + 9 + 1 = 20 σ².
    """
    import numpy as np

    third = np.concatenate([np.diff(leader, 3) for leader, _ in laid.pieces])
    return float(np.mean(third**2)) / 20


def _best_constants(heights: Numbers, places: Numbers, constants: Numbers) -> tuple[Numbers, Numbers]:
    """The time constant with the highest correlation and its dead time, for each resample (down)."""
    import numpy as np

    count = len(constants)
    best, dead = np.empty(len(heights)), np.empty(len(heights))
    for row, (high, place) in enumerate(zip(heights, places, strict=True)):
        top = int(high.argmax())
        if top in (0, count - 1):
            best[row], dead[row] = constants[top], place[top]
            continue
        x, y = constants[top - 1 : top + 2], high[top - 1 : top + 2]
        best[row] = _vertex(x, y)
        dead[row] = np.interp(best[row], x, place[top - 1 : top + 2])
    return best, dead


def _vertex(x: Numbers, y: Numbers) -> float:
    """Where the parabola through three points has its highest point; the middle one where it has none."""
    first, second = (y[1] - y[0]) / (x[1] - x[0]), (y[2] - y[1]) / (x[2] - x[1])
    bend = (second - first) / (x[2] - x[0])
    if bend >= 0:
        return float(x[1])
    return float(min(max((x[0] + x[1]) / 2 - first / (2 * bend), x[0]), x[2]))
