"""Drives compared within bins: what rows of logs that met the same conditions say of a change.

A mean over a drive measures the traffic as much as the car. So rows are sorted into bins by speed and
whatever else moves what is compared, each bin of one side is held against the same bin of the other, and the
differences are put together by weights that do not depend on what was read.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import fsum, sqrt
from typing import TYPE_CHECKING, Annotated, Any

from buildlog.diagnostics import MissingInput, NoSolution
from buildlog.kinds.logs import Log
from buildlog.kinds.models.readings import COVERAGE, effective_count, effective_freedom, student_t
from buildlog.physics.limits import not_negative
from buildlog.said import listed, said

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[Any, np.dtype[np.float64]]
    Marks = np.ndarray[Any, np.dtype[np.bool_]]

Bin = tuple[int, ...]
"""The number of a bin along each of its axes."""

_WITHIN_ONE = 68.27
"""Percent of a normal distribution within one standard deviation of its middle."""
_OUTLYING = 5.0
"""Standard deviations beyond which a reading is told of as an outlier: one of a normal distribution in some
two million (common practice, no source)."""
_LEAST_IN_A_ROW = 4
_ROUNDING = 1e-9
"""Relative: a reading of 50 km/h is not below a bin from 31.07 mph on, however both were converted."""
_MOST_NEEDED = 1000
_POWER = 0.8
_ONE_SIDED = 2 * _POWER - 1
"""Coverage of the two-sided interval whose one side leaves out as much as the power does."""
_SIGNIFICANCE = 0.95


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What a channel has to be for a row to count; None for no bound."""

    channel: str
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, kw_only=True)
class Rules:
    """Which rows of a log count, and in which bin: SI, and of numbers only, so that it is a key.

    `steady` is by how much the speed may be off its middle either way, and for how long it has to have been
    so. `above` is a channel whose reading is taken off the compared one. `bins` are edges by channel.
    """

    bins: tuple[tuple[str, tuple[float, ...]], ...]
    steady: tuple[float, float] | None = None
    limits: tuple[Limits, ...] = ()
    above: str = ""

    @property
    def channels(self) -> tuple[str, ...]:
        """The channels without whose reading a row cannot be judged."""
        names = [name for name, _ in self.bins] + [limits.channel for limits in self.limits]
        if self.steady:
            names.append(SPEED)
        if self.above:
            names.append(self.above)
        return tuple(dict.fromkeys(names))


VALUE, SPEED = "value", "road_speed"


@dataclass(frozen=True, kw_only=True)
class Cell:
    """The rows of one drive in one bin: how many, their mean and the sum of the squares about it; of their
    speeds the same (0 where none was logged), and the sum of the products of both deviations."""

    rows: int
    mean: float
    squares: float
    speed: float = 0.0
    speed_squares: float = 0.0
    products: float = 0.0

    def at_speed(self, speed: float, slope: float) -> Cell:
        """The same rows as they would have been read at one speed, where readings go with it by a slope."""
        squares = self.squares - 2 * slope * self.products + slope * slope * self.speed_squares
        return replace(self, mean=self.mean - slope * (self.speed - speed), squares=max(squares, 0.0))


@dataclass(frozen=True, kw_only=True, eq=False)
class Drive:
    """One log, sorted. `interval` is the time of a row; `rows`, `readings` and `mean` are of the whole log,
    `moments` the sums of the products of deviations of readings and speed, of the squares of the speeds' and
    of the readings', None where nothing varies or no speed was logged.

    `memory` is how many rows make one independent reading. `outliers` are counted among what is compared,
    and `outlying` is the deviation of the furthest from the middle of its bin.
    """

    name: str
    interval: float
    rows: int
    readings: int
    mean: float
    moments: tuple[float, float, float] | None
    cells: Mapping[Bin, Cell]
    memory: float
    left_out: Mapping[str, int] = field(default_factory=dict)
    outliers: int = 0
    outlying: float = 0.0

    @property
    def kept(self) -> int:
        """The rows that are compared."""
        return sum(cell.rows for cell in self.cells.values())

    @property
    def squares(self) -> float:
        return fsum(cell.squares for cell in self.cells.values())

    @property
    def effective(self) -> float:
        """How many independent readings the rows that are compared are worth."""
        return self.kept / self.memory

    def seconds_in(self, bin: Bin) -> float:
        """The time that its rows in a bin stand for, s."""
        return self.cells[bin].rows * self.interval if bin in self.cells else 0.0


# --- a log into cells -----------------------------------------------------------------------------


def drive_of(log: Log, rules: Rules, side: str) -> Drive:
    """A log sorted by rules, once: a calculation runs many times to find its uncertainty. `side` is the input
    that it was given as."""
    for name in rules.channels:
        if not log.has(name):
            raise MissingInput(
                side,
                f"{log.file} without {name}",
                f"{name} among its columns",
                help=f"name its column, or leave out what rests on {name}",
            )
    made: Drive = log.once(("drive", rules), lambda: _sorted(log, rules, side))
    return made


def _sorted(log: Log, rules: Rules, side: str) -> Drive:
    import numpy as np

    columns = {name: np.asarray(column) for name, column in log.values.items()}
    values = columns[VALUE] - columns[rules.above] if rules.above else columns[VALUE]
    has_reading = np.isfinite(values)
    if not has_reading.any():
        raise NoSolution(side, f"{log.file} without a reading of what is compared", "readings")
    counts, left_out, numbers = _which_count(log, rules, columns, has_reading)
    speeds = columns.get(SPEED, np.full(len(values), np.nan))
    rows = np.flatnonzero(counts)
    cells: dict[Bin, Cell] = {}
    about_mean, about_median = np.empty(len(rows)), np.empty(len(rows))
    for bin, inside in _by_bin(numbers[:, rows]):
        own = values[rows[inside]]
        cells[bin] = _cell(own, speeds[rows[inside]], log.quantum.get(VALUE, 0.0))
        about_mean[inside], about_median[inside] = own - cells[bin].mean, own - np.median(own)
    outliers, outlying = _outliers(about_median, log.steps.get(VALUE, 0.0))
    return Drive(
        name=log.file,
        interval=log.interval,
        rows=len(values),
        readings=int(has_reading.sum()),
        mean=float(values[has_reading].mean()),
        moments=_moments(values, speeds),
        cells=cells,
        memory=memory_of(about_mean.tolist()),
        left_out=left_out,
        outliers=outliers,
        outlying=outlying,
    )


def _cell(own: Numbers, speeds: Numbers, quantum: float) -> Cell:
    import numpy as np

    # What lies between two steps is not seen: q²/12 for each reading (JCGM 100:2008, F.2.2.1).
    off = own - own.mean()
    cell = Cell(
        rows=len(own), mean=float(own.mean()), squares=float((off**2).sum()) + len(own) * quantum**2 / 12
    )
    if not np.isfinite(speeds).all():
        return cell
    faster = speeds - speeds.mean()
    return replace(
        cell,
        speed=float(speeds.mean()),
        speed_squares=float((faster**2).sum()),
        products=float((faster * off).sum()),
    )


def _which_count(
    log: Log, rules: Rules, columns: Mapping[str, Numbers], has_reading: Marks
) -> tuple[Marks, dict[str, int], Any]:
    """The rows that are compared, how many are not by their first cause, and the bin of each row."""
    import numpy as np

    judged = has_reading.copy()
    for name in rules.channels:
        judged &= np.isfinite(columns[name])
    tests = [("without a reading", judged)]
    if rules.steady:
        tests.append(("not steady", steady_rows(log, *rules.steady)))
    for limits in rules.limits:
        tests.append((f"of another {limits.channel}", _between(columns[limits.channel], limits)))
    numbers = np.array(
        [
            np.searchsorted(np.array(edges) * (1 - _ROUNDING), columns[name], side="right") - 1
            for name, edges in rules.bins
        ]
    )
    inside = np.ones(len(judged), dtype=bool)
    for one, (_, edges) in zip(numbers, rules.bins, strict=True):
        inside &= (one >= 0) & (one < len(edges) - 1)
    tests.append(("outside the bins", inside))
    counts, left_out = np.ones(len(judged), dtype=bool), {}
    for cause, passed in tests:
        if failed := int((counts & ~passed).sum()):
            left_out[cause] = failed
        counts &= passed
    return counts, left_out, numbers


def _between(column: Numbers, limits: Limits) -> Marks:
    import numpy as np

    passed = np.ones(len(column), dtype=bool)
    if limits.least is not None:
        passed &= column >= limits.least * (1 - _ROUNDING)
    if limits.most is not None:
        passed &= column <= limits.most * (1 + _ROUNDING)
    return passed


def steady_rows(log: Log, within: float, seconds: float) -> Marks:
    """The rows before which the speed has kept within ± `within` of one value for `seconds`, without a gap.

    Looked at backwards, since what is compared still feels what went before. Stretches instead, one after the
    other, would be others as soon as the first began a row later.
    """
    import numpy as np

    speeds, times = np.asarray(log.values[SPEED]), np.asarray(log.times)
    steady = np.zeros(len(times), dtype=bool)
    for run in _unbroken(log.spans, np.isfinite(speeds)):
        clock, own = times[run], speeds[run]
        # The last row that is at least so long ago; times that were added up are off by their last bits.
        begins = np.searchsorted(clock, clock - seconds * (1 - _ROUNDING), side="right") - 1
        widths = np.array(list(_widths(own.tolist(), begins.clip(0).tolist())))
        steady[run] = (begins >= 0) & (widths <= 2 * within * (1 + _ROUNDING))
    return steady


def _unbroken(spans: Sequence[range], there: Marks) -> Iterator[slice]:
    """Stretches of spans in which each row has a reading."""
    for span in spans:
        begin: int | None = None
        for row in span:
            if there[row] and begin is None:
                begin = row
            if not there[row] and begin is not None:
                yield slice(begin, row)
                begin = None
        if begin is not None:
            yield slice(begin, span[-1] + 1)


def _widths(values: Sequence[float], begins: Sequence[int]) -> Iterator[float]:
    """For each place, how far the values from the one where it begins to its own lie apart."""
    highest: deque[int] = deque()
    lowest: deque[int] = deque()
    for place, value in enumerate(values):
        # What is passed by a later value is never the greatest, or the least, again.
        while highest and values[highest[-1]] <= value:
            highest.pop()
        while lowest and values[lowest[-1]] >= value:
            lowest.pop()
        highest.append(place)
        lowest.append(place)
        while highest[0] < begins[place]:
            highest.popleft()
        while lowest[0] < begins[place]:
            lowest.popleft()
        yield values[highest[0]] - values[lowest[0]]


def _by_bin(numbers: Any) -> Iterator[tuple[Bin, Any]]:
    """Each bin that has rows, in order, with the places of its rows."""
    import numpy as np

    bins, where = np.unique(numbers, axis=1, return_inverse=True)
    for number, bin in enumerate(bins.T.tolist()):
        yield tuple(bin), np.flatnonzero(where.ravel() == number)


def memory_of(deviations: Sequence[float]) -> float:
    """How many rows make one independent reading. Rows that say nothing of it are one reading together."""
    if len(deviations) < _LEAST_IN_A_ROW or not any(deviations):
        return float(max(len(deviations), 1))
    return len(deviations) / effective_count(deviations)


def _outliers(deviations: Numbers, step: float) -> tuple[int, float]:
    """How many readings lie far from the middle of their bin, and the deviation of the furthest; 0 of none.

    Far is by the deviation that 68.27 % keep to, which a few outliers do not move, or by the step of the
    reading where most of them are one and the same.
    """
    import numpy as np

    if not len(deviations):
        return 0, 0.0
    usual = max(float(np.percentile(np.abs(deviations), _WITHIN_ONE)), step)
    far = np.abs(deviations) > _OUTLYING * usual
    if not usual or not far.any():
        return 0, 0.0
    return int(far.sum()), float(deviations[np.argmax(np.abs(deviations))])


def _moments(values: Numbers, speeds: Numbers) -> tuple[float, float, float] | None:
    """The sums of products and of squares of the deviations of readings and speeds, over all rows that have
    both."""
    import numpy as np

    both = np.isfinite(values) & np.isfinite(speeds)
    own, speed = values[both], speeds[both]
    if len(own) < _LEAST_IN_A_ROW:
        return None
    off, faster = own - own.mean(), speed - speed.mean()
    found = float((off * faster).sum()), float((faster**2).sum()), float((off**2).sum())
    return found if found[1] and found[2] else None


# --- two sides against each other ---------------------------------------------------------------------


@dataclass(frozen=True)
class Spread:
    """A variance of something by weight: `deviation` is of one, `share` how much of its square the weighted
    mean has, `freedom` how well the deviation is known."""

    deviation: float
    share: float
    freedom: float

    @property
    def standard(self) -> float:
        return self.deviation * sqrt(self.share)


def half_width(*parts: Spread) -> float:
    """Half of the interval about a sum of independent parts, by Welch and Satterthwaite."""
    standard = sqrt(fsum(part.standard**2 for part in parts))
    freedom = effective_freedom([(part.standard, part.freedom) for part in parts])
    return student_t(freedom, COVERAGE) * standard


@dataclass(frozen=True)
class Side:
    """The drives of one condition that have rows in the bins that count, with the weights of these, which add
    up to 1. `every` has those drives too that were in none of them."""

    every: tuple[Drive, ...]
    weights: Mapping[Bin, float]

    @cached_property
    def drives(self) -> tuple[Drive, ...]:
        return tuple(drive for drive in self.every if not self.weights.keys().isdisjoint(drive.cells))

    def seconds_in(self, bin: Bin) -> float:
        return fsum(drive.seconds_in(bin) for drive in self.drives)

    def share(self, drive: Drive, bin: Bin) -> float:
        """A drive's share of the time in a bin."""
        return drive.seconds_in(bin) / self.seconds_in(bin)

    def rows_in(self, bin: Bin) -> int:
        return sum(drive.cells[bin].rows for drive in self.drives if bin in drive.cells)

    def effective_in(self, bin: Bin) -> float:
        """How many independent readings the rows in a bin are worth."""
        return fsum(drive.cells[bin].rows / drive.memory for drive in self.drives if bin in drive.cells)

    def mean_in(self, bin: Bin) -> float:
        cells = [(self.share(drive, bin), drive.cells[bin]) for drive in self.drives if bin in drive.cells]
        return fsum(share * cell.mean for share, cell in cells)

    def speed_in(self, bin: Bin) -> float:
        cells = [(self.share(drive, bin), drive.cells[bin]) for drive in self.drives if bin in drive.cells]
        return fsum(share * cell.speed for share, cell in cells)

    @cached_property
    def level(self) -> float:
        """The mean over the bins, by their weights."""
        return fsum(weight * self.mean_in(bin) for bin, weight in self.weights.items())

    @cached_property
    def plain_mean(self) -> float:
        """The mean over all that was driven, by time, as whoever has no bins takes it."""
        seconds = [drive.readings * drive.interval for drive in self.every]
        return fsum(time * drive.mean for time, drive in zip(seconds, self.every, strict=True)) / fsum(
            seconds
        )

    @cached_property
    def within(self) -> tuple[float, float]:
        """The standard deviation of readings about the mean of their drive and bin, of independent readings,
        and its degrees of freedom (0 or less where there are too few to tell).

        Of n rows that are worth m readings in k bins, the squares have the expectation σ² n (1 − k/m).
        """
        squares = fsum(drive.squares / drive.memory for drive in self.drives)
        freedom = fsum(drive.effective - len(drive.cells) for drive in self.drives)
        return (sqrt(squares / freedom), freedom) if freedom > 0 else (0.0, freedom)

    def spread_within(self, weights: Mapping[Bin, float]) -> Spread:
        """How far a weighted mean of bins may be off by the readings in them."""
        share = fsum(
            (weight * self.share(drive, bin)) ** 2 * drive.memory / drive.cells[bin].rows
            for bin, weight in weights.items()
            for drive in self.drives
            if bin in drive.cells
        )
        return Spread(self.within[0], share, self.within[1])

    @cached_property
    def levels(self) -> tuple[float, ...]:
        """By how much each drive lies above the others in the bins that they share; nothing where there is
        but one, or where drives have no bin in common, so that nothing holds them together.

        Least squares of mean = bin + drive, by time: a drive that saw other speeds is not taken for another
        level.
        """
        import numpy as np

        if len(self.drives) < 2:
            return ()
        bins = list(self.weights)
        rows, means, times = [], [], []
        for number, drive in enumerate(self.drives):
            for place, bin in enumerate(bins):
                if bin in drive.cells:
                    row = np.zeros(len(self.drives) + len(bins))
                    row[number] = row[len(self.drives) + place] = 1.0
                    rows.append(row)
                    means.append(drive.cells[bin].mean - self.level)
                    times.append(sqrt(drive.seconds_in(bin)))
        design = np.array(rows) * np.array(times)[:, None]
        found, _, rank, _ = np.linalg.lstsq(design, np.array(means) * np.array(times), rcond=None)
        # Only the split between all drives and all bins may be left open.
        if rank < len(self.drives) + len(bins) - 1:
            return ()
        levels = found[: len(self.drives)]
        return tuple(float(one) for one in levels - levels.mean())

    @property
    def between(self) -> tuple[float, float]:
        """The standard deviation of the drives' levels, and its degrees of freedom: 0 where nothing tells."""
        if len(self.levels) < 2:
            return 0.0, 0.0
        freedom = len(self.levels) - 1
        return sqrt(fsum(one * one for one in self.levels) / freedom), freedom

    def share_of_drives(self, weights: Mapping[Bin, float]) -> float:
        """How much of the variance of a drive's level a weighted mean of bins has: 1/n of n equal drives."""
        shares = (
            fsum(weight * self.share(drive, bin) for bin, weight in weights.items()) for drive in self.drives
        )
        return fsum(share**2 for share in shares)


@dataclass(frozen=True, kw_only=True)
class Pair:
    """Two sides with the bins that both have, their readings brought to one speed in each bin by `slope`.
    `only_before` and `only_after` are bins that one side has; `faster` is how much faster than before the
    same bins were driven after, by their weights."""

    before: Side
    after: Side
    only_before: tuple[Bin, ...]
    only_after: tuple[Bin, ...]
    slope: float
    faster: float

    @property
    def weights(self) -> Mapping[Bin, float]:
        return self.before.weights

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.before, self.after

    @property
    def difference(self) -> float:
        return self.after.level - self.before.level

    @property
    def taken_off(self) -> float:
        """What the speeds that differ inside of the bins made of the difference, which is taken off it."""
        return self.slope * self.faster

    @cached_property
    def _slope_spread(self) -> Spread:
        """How far the difference may be off by the slope."""
        drives = [(side, drive) for side in self.sides for drive in side.drives]
        parts = [
            (side.within[0] ** 2 * drive.memory, fsum(cell.speed_squares for cell in drive.cells.values()))
            for side, drive in drives
        ]
        squares = fsum(one for _, one in parts)
        if not squares:
            return Spread(0.0, 0.0, 1.0)
        deviation = sqrt(fsum(variance * one for variance, one in parts)) / squares
        return Spread(deviation, self.faster**2, fsum(side.within[1] for side in self.sides))

    @cached_property
    def drives_tell(self) -> bool:
        """Whether the scatter of drives is known: of one side at least."""
        return any(side.between[1] > 0 for side in self.sides)

    def half_width(self, weights: Mapping[Bin, float], *sides: Side) -> float:
        """Half of the interval about a difference, or about the level of one side.

        By drives where there are several of them, since what differs from drive to drive no number of rows
        averages out; but no narrower than the readings within the drives leave it, which two drives that
        agree by chance would.
        """
        chosen = sides or self.sides
        width = self._width_within(weights, *chosen)
        return max(width, self._width_by_drives(weights, *chosen)) if self.drives_tell else width

    def _width_within(self, weights: Mapping[Bin, float], *sides: Side) -> float:
        return half_width(*(side.spread_within(weights) for side in sides), self._slope_spread)

    def _width_by_drives(self, weights: Mapping[Bin, float], *sides: Side) -> float:
        if all(side.between[1] > 0 for side in sides):
            spreads = [Spread(*_with_share(side, weights)) for side in sides]
            return half_width(*spreads, self._slope_spread)
        # A side whose drives tell nothing is taken to scatter as the other: one deviation for both, which is
        # known no better for standing twice.
        deviation, freedom = next(side.between for side in self.sides if side.between[1] > 0)
        shares = fsum(side.share_of_drives(weights) for side in sides)
        return half_width(Spread(deviation, shares, freedom))

    @property
    def rests_on_drives(self) -> bool:
        """Whether the interval of the difference is that of the drives, and not that of the readings."""
        if not self.drives_tell:
            return False
        by_drives = self._width_by_drives(self.weights, *self.sides)
        return by_drives >= self._width_within(self.weights, *self.sides)

    @property
    def deviation_of_a_drive(self) -> float:
        """By how much the level of one drive scatters: as the drives do, and no less than by the readings
        within one, which drives that agree by chance would."""
        by_readings = [
            side.spread_within(self.weights).standard ** 2 / side.share_of_drives(self.weights)
            for side in self.sides
        ]
        least = fsum(by_readings) / 2
        own = [side.between for side in self.sides if side.between[1] > 0]
        if not own:
            return sqrt(least)
        freedom = fsum(one for _, one in own)
        return sqrt(max(fsum(deviation**2 * one for deviation, one in own) / freedom, least))


def _with_share(side: Side, weights: Mapping[Bin, float]) -> tuple[float, float, float]:
    deviation, freedom = side.between
    return deviation, side.share_of_drives(weights), freedom


def weight_of(before: float, after: float) -> float:
    """The weight of a bin by the time that either side was in it: half of their harmonic mean."""
    return before * after / (before + after)


def pair_of(before: Sequence[Drive], after: Sequence[Drive]) -> Pair:
    """Two sides by the bins that both have. Raises `NoSolution`."""
    has = [{bin for drive in drives for bin in drive.cells} for drives in (before, after)]
    for name, drives, bins in zip(("before", "after"), (before, after), has, strict=True):
        if not bins:
            raise _no_row(name, drives)
    both = sorted(has[0] & has[1])
    if not both:
        counts = " and ".join(str(len(bins)) for bins in has)
        raise NoSolution(
            "after",
            f"no bin that both sides have: they have {counts}",
            "rows of both in one bin",
            help="drive the same speeds in the same weather, or make the bins wider or the conditions looser",
        )
    times = {
        bin: [fsum(drive.seconds_in(bin) for drive in drives) for drives in (before, after)] for bin in both
    }
    total = fsum(weight_of(*pair) for pair in times.values())
    weights = {bin: weight_of(*pair) / total for bin, pair in times.items()}
    slope = _slope([*before, *after])
    as_driven = Side(tuple(before), weights), Side(tuple(after), weights)
    speeds = {bin: fsum(side.speed_in(bin) for side in as_driven) / 2 for bin in both}
    faster = fsum(
        weight * (as_driven[1].speed_in(bin) - as_driven[0].speed_in(bin)) for bin, weight in weights.items()
    )
    brought = [
        Side(tuple(_at_speeds(drive, speeds, slope) for drive in side.every), weights) for side in as_driven
    ]
    for name, side in zip(("before", "after"), brought, strict=True):
        _can_tell(name, side)
    only = [tuple(sorted(bins - set(both))) for bins in has]
    return Pair(
        before=brought[0],
        after=brought[1],
        only_before=only[0],
        only_after=only[1],
        slope=slope,
        faster=faster,
    )


def causes_of(drives: Sequence[Drive]) -> str:
    """How many rows of some drives do not count, by their first cause, in words; "" where all do."""
    causes: dict[str, int] = {}
    for drive in drives:
        for cause, rows in drive.left_out.items():
            causes[cause] = causes.get(cause, 0) + rows
    return listed(said("{rows} {cause}", rows=rows, cause=said(cause)) for cause, rows in causes.items())


def _no_row(name: str, drives: Sequence[Drive]) -> NoSolution:
    return NoSolution(
        name,
        f"no row that counts: {causes_of(drives)}",
        "rows that meet the conditions",
        help="make the conditions looser, or the bins reach further",
    )


def _slope(drives: Sequence[Drive]) -> float:
    """How readings go with speed inside of the bins; 0 where no speed was logged, or none differs."""
    cells = [cell for drive in drives for cell in drive.cells.values()]
    squares = fsum(cell.speed_squares for cell in cells)
    return fsum(cell.products for cell in cells) / squares if squares else 0.0


def _at_speeds(drive: Drive, speeds: Mapping[Bin, float], slope: float) -> Drive:
    """A drive with the readings of each bin as at one speed; its own, where the bin is not compared."""
    cells = {bin: cell.at_speed(speeds.get(bin, cell.speed), slope) for bin, cell in drive.cells.items()}
    return replace(drive, cells=cells)


def _can_tell(name: str, side: Side) -> None:
    """Refuse a side whose readings are too few to show how they scatter."""
    if side.within[1] < 1:
        effective = fsum(drive.effective for drive in side.drives)
        cells = sum(len(drive.cells) for drive in side.drives)
        raise NoSolution(
            name,
            f"rows that are worth {effective:.1f} independent readings, in {cells} "
            f"{'bin' if cells == 1 else 'bins'}",
            "one more than there are bins, at least",
            help="drive for longer, or make fewer bins: neighbouring rows say nearly the same",
        )


def drives_needed(relative_scatter: Annotated[float, "s/Δ", "1"]) -> Annotated[float, "n", "1"]:
    """How many drives of each side show a change four times in five, where drives scatter so.

    Formula: n ≥ 2 (s/Δ)² (t₁ + t₂)². Symbols: s/Δ standard deviation of the level of a drive over the change
    that is to be shown (1), n drives of each side (1); t₁ Student's t of 95 % both ways and t₂ of 80 % one
    way, both for 2 n − 2 degrees of freedom.
    In words: found by trying n from 2 on.
    Range: s/Δ so that n is 1000 or less. Errors: `NoSolution`. Source: the usual approximation to the power
    of the t test (derived).
    """
    not_negative("relative_scatter", relative_scatter)
    for count in range(2, _MOST_NEEDED + 1):
        freedom = 2 * count - 2
        both = student_t(freedom, _SIGNIFICANCE) + student_t(freedom, _ONE_SIDED)
        if 2 * (relative_scatter * both) ** 2 <= count:
            return float(count)
    raise NoSolution(
        "change_to_show",
        f"drives that scatter by {relative_scatter:.3g} of it",
        f"a change that {_MOST_NEEDED} drives of each side show",
        help="a change so small does not show on the road: measure it at rest, or ask for a larger one",
    )
