"""Which gear each row of a log was in, and the line of road speed against engine speed in each gear.

A row belongs to the gear whose line it lies by: at first the line that is declared, then the one that was
fitted to its rows, again and again until no row changes. So the window is one about the car's own line, and
does not pull it to what was declared. Rows near the ends of a stretch in one gear are not fitted: the clutch
slips there. Nor is a stretch that lies off the line of all others, as one of coasting may.

The line is that of road speed on engine speed: of the two, a speed in whole km/h is the less sure by far.
Doubt of the variable along the line flattens it by its share in that one's variance; the line of engine speed
on road speed is too steep by that of the other, and the truth lies between the two. How far they are apart is
known, 1/r² − 1 of the slope.

A speed that comes late is off its line by the lag times the acceleration, in every gear. `lateness_of` finds
that by regression, and `lined_up` takes it out, before rows are sorted again: while it is in, those of hard
pulls lie outside of the window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, log, sqrt
from typing import TYPE_CHECKING, Any

from buildlog.figures.spread import student_t
from buildlog.kinds.models.readings import effective_count

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[Any, np.dtype[np.float64]]
    Places = np.ndarray[Any, np.dtype[np.int64]]
    Flags = np.ndarray[Any, np.dtype[np.bool_]]

NONE = -1
"""The place of rows in no gear, among the gears counted from 0."""
FEWEST = 5
"""Independent readings that a line needs: of fewer, its uncertainty is mostly Student's t."""
_ROUNDS = 25
_EVEN = 0.02
_FEWEST_RUNS = 3
_FEWEST_STRETCHES = 6
_ABOUT = 0.5
"""s; on either side of a row, over which its acceleration is told."""
_DEVIATION = 1.4826
"""Standard deviation over median deviation, of a normal distribution."""


@dataclass(frozen=True, kw_only=True)
class Drive:
    """Rows in which car and engine moved: times (s), engine speed (rad/s), road speed (m/s), and the number
    of the stretch without a gap that each is in.

    Beside them, in no gear: `stopped` rows in which the engine is said to stand still while the car moves,
    which part no stretch in a gear, and `idling` rows with the engine below its least speed, where a coasting
    car crosses the line of every gear. `standing` rows, in which the car does not move, count for nothing.
    """

    times: Numbers
    engine: Numbers
    speed: Numbers
    stretch: Places
    stopped: int
    idling: int
    standing: int

    @property
    def moving(self) -> int:
        """How many rows there are in which the car moves."""
        return len(self.times) + self.stopped + self.idling


def drive_of(
    times: Numbers,
    engine: Numbers,
    speed: Numbers,
    stretch: Places,
    *,
    slowest: float,
    lowest_engine: float,
) -> Drive:
    """The rows from a road speed (m/s) and an engine speed (rad/s) upwards, and how many others there are."""
    import numpy as np

    moving = speed >= slowest
    stopped = moving & (engine <= 0)
    used = moving & (engine >= lowest_engine)
    # Idling rows part a stretch in gear, as a change of it does: what comes after may be in another.
    parts = np.cumsum(np.concatenate([[False], np.diff(stretch) != 0]) | (~used & ~stopped), dtype=np.int64)
    return Drive(
        times=times[used],
        engine=engine[used],
        speed=speed[used],
        stretch=parts[used],
        stopped=int(stopped.sum()),
        idling=int((moving & ~used & ~stopped).sum()),
        standing=int((~moving).sum()),
    )


@dataclass(frozen=True, kw_only=True)
class HeldGear:
    """The line of one gear, v = offset + slope · ω, SI: standard uncertainties by Student's t of the
    effective number of readings, so that twice of it is the t interval. `flattened` is the share by
    which the slope may be too small, since engine speeds are doubtful too; `slope_standard` counts it.
    `level_standard` is that of the line at the mean engine speed, which has no part in that of the slope.
    `acceleration_along` is the slope of the car's acceleration over engine speed, (m/s²)/(rad/s): so much a
    speed that comes a second later flattens the line."""

    rows: int
    fitted: int
    effective: float
    slope: float = 0.0
    offset: float = 0.0
    slope_standard: float = 0.0
    offset_standard: float = 0.0
    level_standard: float = 0.0
    deviation: float = 0.0
    flattened: float = 0.0
    mean_engine: float = 0.0
    mean_speed: float = 0.0
    acceleration_along: float = 0.0
    mean_acceleration: float = 0.0

    @property
    def has_line(self) -> bool:
        return self.slope > 0


@dataclass(frozen=True)
class Sorted:
    """The gear of each row of a drive, counted from 0 or `NONE`; which rows were fitted; the gears."""

    gear: Places
    fitted: Flags
    gears: tuple[HeldGear, ...]


@dataclass(frozen=True, kw_only=True)
class Lateness:
    """By how many seconds the road speed comes later than the engine speed, beside what was taken out
    already; its standard uncertainty, by Student's t of the stretches in gear. Nothing is known of it where
    these are few: then the standard uncertainty is nothing either."""

    lag: float = 0.0
    standard: float = 0.0
    stretches: int = 0

    @property
    def shows(self) -> bool:
        return abs(self.lag) > 2 * self.standard > 0


def evened(declared: Sequence[float]) -> tuple[float, ...]:
    """Declared slopes to the next of steps of 2 %: to begin a sorting with, which then is the same whatever
    little their uncertainty moves them by."""
    return tuple(exp(round(log(slope) / _EVEN) * _EVEN) for slope in declared)


def sort_by_gear(
    drive: Drive, declared: Sequence[float], *, window: float, quantum: float, held: float
) -> Sorted:
    """Sort rows by gear. `declared` has by gear the road speed by engine speed, m/rad, rising; `window` is
    the share by which a row may be off its line, beside half a `quantum` of the speed, m/s; a gear is held
    for `held` seconds at least."""
    lines = [(0.0, slope) for slope in declared]
    gear = _nearest(drive, lines, window, quantum)
    for _ in range(_ROUNDS):
        runs, inner = _without_strays(drive, *_runs(drive, gear, held), len(declared), window, quantum)
        found = [_line(drive, inner & (runs == place)) for place in range(len(declared))]
        lines = [
            (one.offset, one.slope) if one.has_line else old for one, old in zip(found, lines, strict=True)
        ]
        again = _nearest(drive, lines, window, quantum)
        if (again == gear).all():
            break
        gear = again
    gears = tuple(
        _line(drive, inner & (runs == place), int((runs == place).sum())) for place in range(len(declared))
    )
    return Sorted(runs, inner & (runs != NONE), gears)


def lined_up(times: Numbers, speed: Numbers, stretch: Places, lag: float) -> Numbers:
    """Road speeds as they were read so much later, on the line between two rows; nan where a stretch ends."""
    import numpy as np

    found = np.full(len(speed), np.nan)
    for number in np.unique(stretch):
        rows = stretch == number
        found[rows] = np.interp(times[rows] + lag, times[rows], speed[rows], left=np.nan, right=np.nan)
    return found


def lateness_of(drive: Drive, found: Sorted) -> Lateness:
    """By how much the road speed comes late, from how far rows are off their lines as the car gains speed.

    v = c + k ω − τ a, with a k for each gear and one c and τ for all: by least squares, a and v both freed of
    the others first (R. Frisch and F. V. Waugh, Econometrica 1, 1933, from memory). Pulls alone have an
    acceleration that falls along engine speed, which tells little of τ within a gear; that the lines of all
    gears, which pull less and less, come from one c tells the rest. The standard uncertainty is by the
    sums over whole stretches in gear, within which rows hang together (K.-Y. Liang and S. L. Zeger,
    Biometrika 73, 1986, from memory), with Student's t for their number. A tyre that slips as it pushes is
    off in the same way, and so is an engine speed that comes early.
    """
    import numpy as np

    gained = _accelerations(drive, found)
    number = np.cumsum(np.concatenate([[0], (np.diff(found.gear) != 0) | (np.diff(drive.stretch) != 0)]))
    rows = found.fitted & np.isfinite(gained)
    if rows.sum() < 2 * FEWEST:
        return Lateness()
    gears = found.gear[rows]
    places = np.unique(gears)
    known = np.concatenate(
        (np.ones((len(gears), 1)), drive.engine[rows, None] * (gears[:, None] == places)), axis=1
    )
    a, r = (
        one[rows] - known @ np.linalg.lstsq(known, one[rows], rcond=None)[0] for one in (gained, drive.speed)
    )
    names, which = np.unique(number[rows], return_inverse=True)
    spread, count = float(a @ a), len(names)
    if count < _FEWEST_STRETCHES or spread <= 0:
        return Lateness(stretches=count)
    lag = -float(a @ r) / spread
    sums = np.bincount(which, weights=a * (r + lag * a))
    standard = sqrt(float(sums @ sums) * count / (count - 1)) / spread
    return Lateness(lag=lag, standard=standard * student_t(count - 1) / 2, stretches=count)


def _accelerations(drive: Drive, found: Sorted) -> Numbers:
    """The car's acceleration by its engine speed, of every row in a gear: the slope of a line through the
    rows about it in the same stretch. nan where they are too few, or it is in no gear."""
    import numpy as np

    gained = np.full(len(drive.times), np.nan)
    changes = np.nonzero((np.diff(found.gear) != 0) | (np.diff(drive.stretch) != 0))[0] + 1
    for begin, end in zip([0, *changes.tolist()], [*changes.tolist(), len(found.gear)], strict=True):
        gear = int(found.gear[begin])
        if gear == NONE or not found.gears[gear].has_line:
            continue
        times, engine = drive.times[begin:end], drive.engine[begin:end]
        first = np.searchsorted(times, times - _ABOUT * (1 + 1e-9))
        last = np.searchsorted(times, times + _ABOUT * (1 + 1e-9), side="right")
        for row in range(len(times)):
            near = slice(first[row], last[row])
            t = times[near] - times[near].mean()
            spread = float(t @ t)
            if len(t) >= _FEWEST_RUNS and spread > 0:
                gained[begin + row] = found.gears[gear].slope * float(t @ engine[near]) / spread
    return gained


def with_accelerations(drive: Drive, found: Sorted) -> Sorted:
    """The same, with how the acceleration of each gear goes along its engine speeds."""
    import numpy as np

    gained = _accelerations(drive, found)
    gears = []
    for place, line in enumerate(found.gears):
        rows = found.fitted & (found.gear == place) & np.isfinite(gained)
        if line.has_line and rows.any():
            across = drive.engine[rows] - drive.engine[rows].mean()
            along = float(across @ gained[rows]) / max(float(across @ across), 1e-300)
            line = replace(line, acceleration_along=along, mean_acceleration=float(gained[rows].mean()))
        gears.append(line)
    return replace(found, gears=tuple(gears))


def _without_strays(
    drive: Drive, runs: Places, inner: Flags, gears: int, window: float, quantum: float
) -> tuple[Places, Flags]:
    """Runs without those that lie off the line of all others of their gear: of a car that coasts while its
    engine slows down beside it, which for some seconds can go along a gear's line."""
    import numpy as np

    kept = runs.copy()
    changes = (np.diff(runs) != 0) | (np.diff(drive.stretch) != 0)
    number = np.concatenate([[0], np.cumsum(changes)])
    for place in range(gears):
        chosen = inner & (runs == place)
        while (stray := _stray(drive, number, chosen, window, quantum)) is not None:
            kept[number == stray] = NONE
            chosen &= number != stray
    return kept, inner & (kept != NONE)


def _stray(drive: Drive, number: Places, chosen: Flags, window: float, quantum: float) -> int | None:
    """The run that lies furthest off the line of the others: by more than half of the window at its median,
    and by more than twice the scatter of all, by their median deviation. None where runs are few."""
    import numpy as np

    names, run = np.unique(number[chosen], return_inverse=True)
    if len(names) < _FEWEST_RUNS:
        return None
    x, y = drive.engine[chosen], drive.speed[chosen]
    x_middle, y_middle = x.mean(), y.mean()
    # Sums of each run, so that the line of all others is that of all sums less those of the run.
    across, up = x - x_middle, y - y_middle
    terms = (np.ones(len(x)), across, up, across * across, across * up)
    count, of_x, of_y, of_xx, of_xy = (
        part.sum() - part for part in (np.bincount(run, weights=term) for term in terms)
    )
    spread = of_xx * count - of_x**2
    left = up - float(across @ up) / max(float(across @ across), 1e-300) * across
    scatter = max(_DEVIATION * float(np.median(np.abs(left))), quantum / sqrt(12))
    # The rows of a run stand together: in time no other run of the gear is between them.
    ends = np.cumsum(np.bincount(run))
    worst, furthest = None, 1.0
    for place, end in enumerate(ends):
        own = slice(ends[place - 1] if place else 0, end)
        if spread[place] <= 0 or 2 * count[place] < len(x):
            continue
        slope = (of_xy[place] * count[place] - of_x[place] * of_y[place]) / spread[place]
        off = up[own] - of_y[place] / count[place] - slope * (across[own] - of_x[place] / count[place])
        allowed = max(2 * scatter, window / 2 * float(y[own].mean()))
        far = abs(float(np.median(off))) / allowed
        if far > furthest:
            worst, furthest = int(names[place]), far
    return worst


def _nearest(drive: Drive, lines: Sequence[tuple[float, float]], window: float, quantum: float) -> Places:
    """The line that each row lies nearest by, if within the window."""
    import numpy as np

    off = np.stack([np.abs(drive.speed - offset - slope * drive.engine) for offset, slope in lines])
    nearest = off.argmin(axis=0)
    near = off.min(axis=0) <= window * drive.speed + quantum / 2
    return np.where(near, nearest, NONE).astype(np.int64)


def _runs(drive: Drive, gear: Places, held: float) -> tuple[Places, Flags]:
    """Gears held long enough, and the rows of them that are half that time away from either end."""
    import numpy as np

    changes = (np.diff(gear) != 0) | (np.diff(drive.stretch) != 0)
    begins = np.concatenate([[0], np.nonzero(changes)[0] + 1])
    ends = np.append(begins[1:], len(gear)) - 1
    lengths = ends - begins + 1
    first = np.repeat(drive.times[begins], lengths)
    last = np.repeat(drive.times[ends], lengths)
    runs = np.where(last - first >= held * (1 - 1e-9), gear, NONE)
    margin = held / 2 * (1 - 1e-9)
    inner = (drive.times - first >= margin) & (last - drive.times >= margin)
    return runs, inner


def _line(drive: Drive, chosen: Flags, rows: int = 0) -> HeldGear:
    """The least-squares line of road speed on engine speed through some rows.

    Source: JCGM 100:2008, H.3.2 and H.3.3, with the effective number of readings for their number.
    """
    import numpy as np

    count = int(chosen.sum())
    if count < 2 * FEWEST:
        return HeldGear(rows=rows, fitted=count, effective=0.0)
    x, y = drive.engine[chosen], drive.speed[chosen]
    middle, height = float(x.mean()), float(y.mean())
    across, up = x - middle, y - height
    spread, shared, own = float(across @ across), float(across @ up), float(up @ up)
    if spread <= 0 or shared <= 0:
        return HeldGear(rows=rows, fitted=count, effective=0.0)
    slope = shared / spread
    left = up - slope * across
    squares = float(left @ left)
    effective = effective_count(left.tolist()) if squares > 0 and np.ptp(left) > 0 else float(count)
    if effective < FEWEST:
        return HeldGear(rows=rows, fitted=count, effective=effective)
    # s² of the readings, and the variance of a line through as many as are independent.
    variance = squares / (effective - 2) * effective / count
    factor = student_t(effective - 2) / 2
    flattened = spread * own / shared**2 - 1
    of_scatter = sqrt(variance / (spread / count * effective))
    of_flattening = slope * flattened / sqrt(3)
    slope_standard = hypot(of_scatter * factor, of_flattening)
    level_standard = sqrt(variance / effective) * factor
    return HeldGear(
        rows=rows,
        fitted=count,
        effective=effective,
        slope=slope,
        offset=height - slope * middle,
        slope_standard=slope_standard,
        offset_standard=hypot(level_standard, middle * slope_standard),
        level_standard=level_standard,
        deviation=sqrt(squares / (count - 2)),
        flattened=flattened,
        mean_engine=middle,
        mean_speed=height,
    )
