"""Two conditions compared by their logs: whether what was changed shows.

A mean over a drive measures the traffic. An inlet is hot at walking pace and cool on the open road; so a
drive with more of the open road has the cooler inlet, whatever was done to the car. This compares like with
like: rows are sorted into bins by speed, by engine speed or by the weather, each bin of `before` is held
against the same bin of `after`, and the differences are put together. The plain difference of the means
stands beside the result, with the correlation of readings and speed, so that the trap can be seen.

**Which rows count.** `value` is what is compared, in whichever unit its column has: a temperature, a
pressure, a voltage. `speed_bins` are the edges of the bins; a row at an edge belongs above it, and what lies
outside the bins is left out and counted. What is compared is slow: it still feels the minute before. So
`steady_within: 5 km/h` with `steady_for: 30 s` takes only rows before which the speed has kept within ± 5
km/h of one value for 30 s, without a gap. That time has to be some three times as long as what is compared
takes to follow most of a change. `throttle_least`, `throttle_most`, `load_least` and `load_most` choose by
the pedal or by load. `above_ambient: yes` compares how much warmer than the weather it was; `ambient_bins`
compares days of the same weather only.

**How bins are put together.** A bin weighs by t₁ t₂ / (t₁ + t₂), its time on either side: as much as the side
with less of it allows, and whatever was read in it. A bin that one side alone has is left out, and said.
Where speeds differ inside of a bin, a line through the readings there brings both sides to one speed; what
that takes off is shown. If it is large, the bins are too wide.

**How sure it is.** Ten rows of one second are not ten readings: each is nearly its neighbour. By the
autocorrelation about the means of the bins, the rows are worth fewer independent readings, and these make a
Welch interval. Where either side has several drives, files of its log, drives are what counts: what differs
from drive to drive, the day, the parts that were still warm, no number of rows averages out. The interval is
then Welch's over the drives, and no narrower than the rows within leave it. Where one side has a single
drive, its drives are taken to scatter as the other side's do. With one drive on each side, nothing tells how
drives differ, and the result says so. Two drives on a side make a wide interval, since two numbers hardly say
how they scatter; three or four make a far better one. Drive the conditions in turns, not all of one and then
all of the other, or what drifts with the day is taken for what you did.

**What is not dropped.** Readings further from the middle of their bin than five standard deviations are
counted and the furthest is shown. They are in the result: whether a spike is a loose plug or the truth is
yours to find out, and to take out by a stated rule of the log.

**How many drives.** With `change_to_show`, the result says how many drives of each side would show such a
change four times in five. Where drives do not tell how they scatter, the readings within them give the fewest
that it can be.

**What it does not show.** Why there is a difference. Whatever else was another between the drives, another
driver, other fuel, a lamp cover taped over, is in it. A change that does not show is not one that is not
there: the sentence says how large a one could hide.

```yaml
id: shield
kind: log_compare
title: A heat shield beside the air box
inputs:
  speed_bins: [30 km/h, 60 km/h, 90 km/h]
  above_ambient: yes
  before:
    text: |
      t [s],speed [km/h],inlet [°C],outside [°C]
      0,49,47.2,17.0
      30,83,40.2,17.0
      60,79,40.2,17.0
      90,82,39.5,17.0
      120,78,40.0,17.0
      150,49,46.5,17.0
      180,71,43.4,17.0
      210,44,48.6,17.0
      240,54,45.9,17.0
      270,83,37.9,17.0
      300,81,38.7,17.0
      330,80,41.0,17.0
      360,44,49.6,17.5
      390,40,48.8,17.5
      420,72,42.1,17.5
      450,84,37.2,17.5
      480,81,39.6,17.5
      510,84,40.6,17.5
      540,76,39.6,17.5
      570,82,40.0,17.5
      600,53,45.3,17.5
      630,72,41.7,17.5
    time: {heading: t, unit: s}
    columns:
      value: {heading: inlet}
      road_speed: {heading: speed}
      ambient_temperature: {heading: outside}
  after:
    text: |
      t [s],speed [km/h],inlet [°C],outside [°C]
      0,37,48.3,19.0
      30,50,44.5,19.0
      60,74,36.7,19.0
      90,47,43.4,19.0
      120,59,42.5,19.0
      150,59,40.9,19.0
      180,46,45.1,19.0
      210,52,42.3,19.0
      240,59,41.7,19.0
      270,41,46.2,19.0
      300,46,45.0,19.0
      330,54,43.6,19.0
      360,73,39.6,19.5
      390,59,41.8,19.5
      420,51,42.5,19.5
      450,53,44.8,19.5
      480,58,41.7,19.5
      510,53,42.7,19.5
      540,79,37.5,19.5
      570,58,41.3,19.5
      600,54,42.9,19.5
      630,46,43.8,19.5
    time: {heading: t, unit: s}
    columns:
      value: {heading: inlet}
      road_speed: {heading: speed}
      ambient_temperature: {heading: outside}
```
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise, product
from math import fsum
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.figures import units
from buildlog.figures.labels import write_figure, write_number
from buildlog.figures.spread import decimals_of_uncertainty
from buildlog.kinds.declaration import (
    OWN_DIMENSION,
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Flag,
    Input,
    Listed,
    LogChannel,
    Logged,
    Marker,
    Measure,
    Number,
    Output,
    Outputs,
    Quantity,
    Series,
    Source,
    Working,
    given_together,
)
from buildlog.kinds.keys import pair_key
from buildlog.kinds.logs import TYPED, Log
from buildlog.kinds.models.drives import (
    VALUE,
    Bin,
    Drive,
    Limits,
    Pair,
    Rules,
    Side,
    causes_of,
    drive_of,
    drives_needed,
    pair_of,
    weight_of,
)
from buildlog.kinds.results import Value, of_differences
from buildlog.physics import within_bins
from buildlog.said import said

KIND = "log_compare"

_CHANNELS = (
    LogChannel(name=VALUE, dimension="", unit="", about="what is compared: a temperature, a pressure"),
    LogChannel(name="road_speed", dimension="speed", unit="km/h", about="road speed", required=False),
    LogChannel(
        name="engine_speed", dimension="rotational speed", unit="rpm", about="engine speed", required=False
    ),
    LogChannel(
        name="ambient_temperature",
        dimension="temperature",
        unit="°C",
        about="temperature of the air outside, away from what the car heats",
        required=False,
    ),
    LogChannel(name="throttle", dimension="ratio", unit="%", about="opening of the throttle", required=False),
    LogChannel(name="load", dimension="ratio", unit="%", about="load of the engine", required=False),
)
_OPENING = "shut to open; loads of charged engines go beyond 100 %"


def _share_input(name: str, title: str, about: str) -> Input:
    form = Number(dimension="ratio", unit="%", low=0, high=300, why=_OPENING)
    return Input(name=name, title=title, form=form, about=about, required=False)


INPUTS = (
    Input(
        name="before",
        title="logs before",
        form=Logged(channels=_CHANNELS),
        about="logs of the condition that is the base; a file for each drive",
    ),
    Input(
        name="after",
        title="logs after",
        form=Logged(channels=_CHANNELS),
        about="logs of the condition that is held against it",
    ),
    Input(
        name="speed_bins",
        form=Listed(
            Number(dimension="speed", unit="km/h", low=0, high=450, why="standing to the fastest of cars"),
            2,
            13,
        ),
        about="edges of the bins of road speed, rising",
        required=False,
    ),
    Input(
        name="engine_speed_bins",
        form=Listed(
            Number(dimension="rotational speed", unit="rpm", low=0, high=20_000, why="standing to racing"),
            2,
            13,
        ),
        about="edges of bins of engine speed, rising",
        required=False,
    ),
    Input(
        name="ambient_bins",
        form=Listed(
            Number(dimension="temperature", unit="°C", low=-40, high=60, why="the weather of any road"), 2, 13
        ),
        about="edges of bins of the weather, rising",
        required=False,
    ),
    Input(
        name="above_ambient",
        title="readings above ambient",
        form=Flag(),
        about="whether the ambient temperature is taken off each reading",
        default="no",
        default_source="readings as they were logged",
    ),
    Input(
        name="steady_within",
        title="steadiness of the speed",
        form=Number(
            dimension="speed", unit="km/h", low=0.1, high=50, why="finer than a receiver, to no condition"
        ),
        about="how far the speed may be off one value either way, for so long as steady_for",
        required=False,
    ),
    Input(
        name="steady_for",
        title="time of steadiness",
        form=Number(dimension="time", unit="s", low=0.1, high=3600, why="a moment to an hour"),
        about="for how long the speed has to have been steady before a row counts",
        required=False,
    ),
    _share_input("throttle_least", "least throttle", "the least throttle of a row that counts"),
    _share_input("throttle_most", "greatest throttle", "the most throttle of a row that counts"),
    _share_input("load_least", "least load", "the least load of a row that counts"),
    _share_input("load_most", "greatest load", "the most load of a row that counts"),
    Input(
        name="change_to_show",
        form=Quantity(differs=True),
        about="a change that you would want to see, for how many drives show it",
        required=False,
    ),
)

_BY_CONDITION, _BY_DRIVE, _BY_BIN = "condition", "drive", "bin"


def _count(
    name: str, title: str, about: str, key: str = "", decimals: int = 0, needs: tuple[str, ...] = ()
) -> Output:
    of = "speed_bins" if key == _BY_BIN else ""
    return Output(
        name=name,
        title=title,
        dimension="count",
        unit="",
        about=about,
        key=key,
        decimals=decimals,
        of=of,
        needs=needs,
        beside=bool(key),
    )


def _own(name: str, title: str, about: str, key: str = "", is_change: bool = True) -> Output:
    of = "speed_bins" if key == _BY_BIN else ""
    return Output(
        name=name,
        title=title,
        dimension=OWN_DIMENSION,
        unit="",
        about=about,
        key=key,
        of=of,
        is_change=is_change,
        beside=bool(key),
    )


OUTPUTS = (
    Output(
        name="change",
        title="verdict on the change",
        dimension="text",
        unit="",
        about="whether the logs show one",
    ),
    Output(
        name="finding",
        title="finding of the comparison",
        dimension="text",
        unit="",
        about="what shows",
        leading=True,
    ),
    Output(
        name="rests_on",
        title="basis of the interval",
        dimension="text",
        unit="",
        about="whose scatter it is made of",
    ),
    _own("difference", "difference, after less before", "like with like"),
    _own("level", "mean level over the bins", "by their weights", _BY_CONDITION, False),
    _own(
        "plain_difference",
        "difference of the plain means",
        "over all that was driven, traffic and all",
    ),
    _own(
        "speed_effect",
        "speed effect within the bins",
        "what speeds that differ inside of them made of the difference; taken off it",
    ),
    _count("drives", "number of drives", "drives", _BY_CONDITION),
    Output(
        name="share_compared",
        title="share of the rows compared",
        dimension="ratio",
        unit="%",
        about="share of the rows compared",
        key=_BY_CONDITION,
        decimals=0,
        beside=True,
    ),
    _count("readings", "number of rows compared", "rows compared", _BY_CONDITION),
    _count(
        "independent_readings",
        "number of independent readings",
        "among the rows compared",
        _BY_CONDITION,
        1,
    ),
    Output(
        name="speed_correlation",
        title="correlation of the readings with speed",
        dimension="ratio",
        unit="",
        about="all readings of the drive",
        key=_BY_DRIVE,
        decimals=2,
        beside=True,
    ),
    _own(
        "drive_offset",
        "offset of the drive from its side's mean",
        "",
        _BY_DRIVE,
    ),
    _count("outliers", "number of outliers", "which are in the result", _BY_CONDITION),
    _own(
        "largest_outlier",
        "furthest outlier from its bin's middle",
        "furthest outlier from the middle of its bin",
        _BY_CONDITION,
    ),
    _count(
        "drives_needed",
        "number of drives needed on each side",
        "for the change you want to see to show four times in five",
        needs=("change_to_show",),
    ),
    _own("bin_difference", "difference in the bin, after less before", "after less before", _BY_BIN),
    Output(
        name="bin_weight",
        title="weight of the bin",
        dimension="ratio",
        unit="%",
        about="weight",
        key=_BY_BIN,
        of="speed_bins",
        beside=True,
    ),
    _count("bin_readings_before", "number of rows before", "rows before", _BY_BIN),
    _count("bin_readings_after", "number of rows after", "rows after", _BY_BIN),
    _count(
        "bin_independent_before",
        "number of independent readings before",
        "independent readings before",
        _BY_BIN,
        1,
    ),
    _count(
        "bin_independent_after",
        "number of independent readings after",
        "independent readings after",
        _BY_BIN,
        1,
    ),
)

SOURCES = (
    Source(id="definition", title="Differences, shares and counts", standing="derived"),
    Source(
        id="weights",
        title="Weights of strata by t₁ t₂ / (t₁ + t₂), which suit readings that scatter alike in all of them",
        standing="derived",
    ),
    Source(
        id="welch",
        title="JCGM 100, Guide to the expression of uncertainty in measurement",
        publisher="JCGM",
        edition="2008",
        where="G.3 and G.4.1: Student's t with effective degrees of freedom (Welch and Satterthwaite)",
    ),
    Source(
        id="zhang",
        title="Calculation of the uncertainty of the mean of autocorrelated measurements",
        publisher="N. F. Zhang",
        edition="Metrologia 43 (2006) S276",
        where="eq. 10 and the variance of the mean, as the source code of suncal has them (read)",
    ),
    Source(
        id="squares",
        title="Least squares: drives and bins side by side, and a line through the middles of bins",
        standing="derived",
    ),
    Source(
        id="power",
        title="How many readings a t test needs, by t of both errors",
        standing="derived",
    ),
    Source(
        id="outliers",
        title="Five standard deviations, beyond which a reading is told of",
        standing="common practice, no source",
    ),
)

HAZARDS = ("road-testing", "hot-parts")

_AXES = (
    ("speed_bins", "road_speed"),
    ("engine_speed_bins", "engine_speed"),
    ("ambient_bins", "ambient_temperature"),
)
_MOST_BINS = 36
_SIDES = ("before", "after")
_BEFORE_UNIT = re.compile(r"-(?=[^\W\d]|°)|(?<=,)")
_MOST_DECIMALS = 6
_WIDE = 0.5
"""Of the half-width: from what on what was taken off for speed is told of."""


# --- the rules ----------------------------------------------------------------------------


def _rules(given: Mapping[str, Any]) -> Rules:
    """Which rows count, by the inputs."""
    bins = tuple((channel, _edges(name, given[name])) for name, channel in _AXES if name in given)
    if not bins:
        raise MissingInput(
            "speed_bins",
            "neither speed_bins nor engine_speed_bins nor ambient_bins",
            "one of them",
            help="a mean over all of a drive measures traffic and weather as much as the car",
        )
    steady = None
    if given_together(given, ("steady_within", "steady_for"), "how steady it has to be, and for how long"):
        steady = (float(given["steady_within"]), float(given["steady_for"]))
    limits = [_limits(channel, given) for channel in ("throttle", "load")]
    return Rules(
        bins=bins,
        steady=steady,
        limits=tuple(one for one in limits if one.least is not None or one.most is not None),
        above="ambient_temperature" if given["above_ambient"] else "",
    )


def _edges(name: str, edges: Sequence[float]) -> tuple[float, ...]:
    for place, (low, high) in enumerate(pairwise(edges), start=1):
        if not low < high:
            raise InputsConflict(
                name,
                "an edge that is not above the one before",
                "edges that rise",
                help="write each edge once, the lowest first",
                at=(place,),
            )
    return tuple(float(edge) for edge in edges)


def _limits(channel: str, given: Mapping[str, Any]) -> Limits:
    least, most = given.get(f"{channel}_least"), given.get(f"{channel}_most")
    if least is not None and most is not None and least > most:
        raise InputsConflict(f"{channel}_least", f"more than {channel}_most", f"no more than {channel}_most")
    return Limits(
        channel=channel,
        least=None if least is None else float(least),
        most=None if most is None else float(most),
    )


def _bin_keys(given: Mapping[str, Any]) -> dict[Bin, str]:
    """The key of each bin that there can be: ``30-60-km/h``, ``30-60-km/h,10-20-°C``."""
    axes = [
        [pair_key(low, high, number) for number, (low, high) in enumerate(pairwise(given[name]), start=1)]
        for name, _ in _AXES
        if name in given
    ]
    numbers = product(*(range(len(axis)) for axis in axes))
    keys = {bin: ",".join(axis[place] for axis, place in zip(axes, bin, strict=True)) for bin in numbers}
    if len(keys) > _MOST_BINS:
        name = next(name for name, _ in _AXES if name in given)
        raise InputsConflict(
            name,
            f"{len(keys)} bins in all",
            f"{_MOST_BINS} at most",
            help="too few rows would be left for each",
        )
    return keys


# --- what it measures ------------------------------------------------------------------------


@dataclass(frozen=True)
class _Kind:
    """What is compared, and with how many decimals its differences are shown."""

    dimension: str
    unit: str
    decimals: int = 2

    @property
    def of_change(self) -> tuple[str, str]:
        return of_differences(self.dimension, self.unit)

    @property
    def si(self) -> str:
        return units.si_unit(self.dimension).symbol

    def level(self, si: float) -> Measure:
        return Measure(si, self.dimension, self.unit, self.decimals)

    def change(self, si: float) -> Measure:
        return Measure(si, *self.of_change, self.decimals)

    def shown(self, width: float) -> _Kind:
        """The same with the decimals that a half-width leaves."""
        dimension, unit = self.of_change
        own = abs(units.find(unit, dimension).from_si(width))
        decimals = min(max(decimals_of_uncertainty(own), 0), 6) if own else self.decimals
        return _Kind(self.dimension, self.unit, decimals)


def _what(given: Mapping[str, Any]) -> _Kind:
    """What is compared: the same in all logs."""
    kinds = {side: {log.dimensions[VALUE] for log in given[side]} for side in _SIDES}
    first: Log = given["before"][0]
    dimension, unit = first.dimensions[VALUE], first.units[VALUE]
    for side in _SIDES:
        if other := kinds[side] - {dimension}:
            raise InputsConflict(
                side, f"{other.pop()} as value", f"{dimension}, as the first log of before has it"
            )
    if not given["above_ambient"]:
        return _Kind(dimension, unit)
    if dimension != "temperature":
        raise InputsConflict(
            "above_ambient",
            f"yes, where {dimension} is compared",
            "a temperature to take the ambient one off",
        )
    return _Kind(*of_differences(dimension, unit))


# --- the calculation ----------------------------------------------------------------------------


def _pair(given: Mapping[str, Any], rules: Rules) -> Pair:
    logs: tuple[Log, ...] = (*given["before"], *given["after"])
    key = ("pair", rules, logs, len(given["before"]))

    def pair() -> Pair:
        _check_apart(given)
        return pair_of(*([drive_of(log, rules, side) for log in given[side]] for side in _SIDES))

    return logs[0].once(key, pair)


def _check_apart(given: Mapping[str, Any]) -> None:
    """Refuse rows that stand on both sides: they agree with themselves, whatever was done to the car."""
    before: dict[str, set[tuple[float, float]]] = {}
    for log in given["before"]:
        if log.file == TYPED:  # two tables, each its own
            continue
        before.setdefault(log.file, set()).update(zip(log.times, log.values["value"], strict=True))
    for log in given["after"]:
        if not before.get(log.file, set()).isdisjoint(zip(log.times, log.values["value"], strict=True)):
            raise InputsConflict(
                "after",
                f"rows of {log.file} that before has too",
                "another drive, or another stretch of it",
                help="from: and to: of each side say which stretch is whose",
            )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Two conditions compared bin by bin; SI in, SI out."""
    rules, keys = _rules(given), _bin_keys(given)
    what, pair = _what(given), _pair(given, rules)
    what = what.shown(pair.half_width(pair.weights))
    outputs: Outputs = {}
    _differences(given, pair, what, working, outputs)
    _bins(given, pair, keys, what, working, outputs)
    _counts(pair, working, outputs)
    _drives(pair, what, working, outputs)
    _outliers(pair, what, working, outputs)
    if "change_to_show" in given:
        _needed(given["change_to_show"], pair, what, working, outputs)
    _remarks(given, rules, pair, keys, what, working)
    return outputs


def _differences(
    given: Mapping[str, Any], pair: Pair, what: _Kind, working: Working, outputs: Outputs
) -> None:
    """Level of either side, the difference, and what the plain means would have said."""
    change = within_bins.change_of(what.si)
    levels: dict[str, float] = {}
    shown: dict[str, float] = {}
    for name, side in zip(_SIDES, pair.sides, strict=True):
        means = [(weight, side.mean_in(bin)) for bin, weight in pair.weights.items()]
        level = working.step(
            f"level.{name}",
            within_bins.weighted_level(what.si),
            means,
            source="weights",
            bins=float(len(means)),
        )
        levels[name] = _as_read(level, name, given, working)
        width = pair.half_width(pair.weights, side)
        shown[name] = what.level(levels[name] + _scatter(f"level {name}", width, pair, working))
    difference = working.step("difference", change, source="definition", **levels)
    width = pair.half_width(pair.weights)
    outputs["difference"] = what.change(difference + _scatter("difference", width, pair, working))
    outputs["level"] = shown
    plain = working.step(
        "plain_difference",
        change,
        source="definition",
        before=pair.before.plain_mean,
        after=pair.after.plain_mean,
    )
    outputs["plain_difference"] = what.change(plain)
    effect = working.step(
        "speed_effect",
        within_bins.speed_effect(what.si),
        source="squares",
        slope=pair.slope,
        faster=pair.faster,
    )
    outputs["speed_effect"] = what.change(effect)


def _as_read(level: float, side: str, given: Mapping[str, Any], working: Working) -> float:
    """A level with what its instruments may be off in all that they read: 0 in the ordinary run. What read
    both sides is off alike, and cancels."""
    log: Log = given[side][0]
    if doubt := log.doubt(VALUE):
        level = level * working.factor(doubt) + working.offset(doubt)
    if given["above_ambient"] and (doubt := log.doubt("ambient_temperature")):
        level -= working.offset(doubt)
    return level


def _scatter(name: str, half_width: float, pair: Pair, working: Working) -> float:
    about = "scatter of drives" if pair.rests_on_drives else "scatter of the readings within drives"
    return working.scatter(name, half_width / 2, about=about, source="welch")


def _bins(
    given: Mapping[str, Any],
    pair: Pair,
    keys: Mapping[Bin, str],
    what: _Kind,
    working: Working,
    outputs: Outputs,
) -> None:
    """What each bin shows, and what it rests on."""
    counts = [f"bin_{what}_{side}" for what in ("readings", "independent") for side in _SIDES]
    found: dict[str, dict[str, float]] = {name: {} for name in ("bin_difference", "bin_weight", *counts)}
    times = {bin: [side.seconds_in(bin) for side in pair.sides] for bin in pair.weights}
    total = fsum(weight_of(*pair_of_times) for pair_of_times in times.values())
    for bin in pair.weights:
        key = keys[bin]
        found["bin_weight"][key] = working.step(
            f"bin_weight.{key}",
            within_bins.share_of_bin,
            source="weights",
            time_before=times[bin][0],
            time_after=times[bin][1],
            total=total,
        )
        means = {
            name: _as_read(side.mean_in(bin), name, given, working)
            for name, side in zip(_SIDES, pair.sides, strict=True)
        }
        difference = working.step(
            f"bin_difference.{key}", within_bins.change_of(what.si), source="definition", **means
        )
        difference += _scatter(f"bin {key}", pair.half_width({bin: 1.0}), pair, working)
        found["bin_difference"][key] = what.change(difference)
        for name, side in zip(_SIDES, pair.sides, strict=True):
            _count_bin(name, side, bin, key, working, found)
    outputs.update(found)


def _count_bin(
    name: str, side: Side, bin: Bin, key: str, working: Working, found: Mapping[str, dict[str, float]]
) -> None:
    rows = side.rows_in(bin)
    found[f"bin_readings_{name}"][key] = working.step(
        f"bin_readings_{name}.{key}", within_bins.counted, range(rows), source="definition"
    )
    found[f"bin_independent_{name}"][key] = working.step(
        f"bin_independent_{name}.{key}",
        within_bins.independent_readings,
        [(drive.cells[bin].rows, drive.memory) for drive in side.drives if bin in drive.cells],
        source="zhang",
        rows=float(rows),
    )


def _counts(pair: Pair, working: Working, outputs: Outputs) -> None:
    """How much of what was logged is compared, and what it is worth."""
    found: dict[str, dict[str, float]] = {
        name: {} for name in ("drives", "share_compared", "readings", "independent_readings")
    }
    for name, side in zip(_SIDES, pair.sides, strict=True):
        bins = [bin for bin in pair.weights if side.rows_in(bin)]
        rows = {
            drive: sum(drive.cells[bin].rows for bin in bins if bin in drive.cells) for drive in side.drives
        }
        compared = float(sum(rows.values()))
        found["drives"][name] = working.step(
            f"drives.{name}", within_bins.counted, side.drives, source="definition"
        )
        found["readings"][name] = working.step(
            f"readings.{name}", within_bins.counted, range(int(compared)), source="definition"
        )
        found["share_compared"][name] = working.step(
            f"share_compared.{name}",
            within_bins.share_compared,
            source="definition",
            compared=compared,
            rows=float(sum(drive.rows for drive in side.every)),
        )
        found["independent_readings"][name] = working.step(
            f"independent_readings.{name}",
            within_bins.independent_readings,
            [(count, drive.memory) for drive, count in rows.items()],
            source="zhang",
            rows=compared,
        )
    outputs.update(found)


def _named_drives(pair: Pair) -> list[tuple[str, Side, Drive]]:
    """Each drive that is compared, by the key of its results: ``before-1``."""
    return [
        (f"{name}-{number}", side, drive)
        for name, side in zip(_SIDES, pair.sides, strict=True)
        for number, drive in enumerate(side.drives, start=1)
    ]


def _drives(pair: Pair, what: _Kind, working: Working, outputs: Outputs) -> None:
    """How each drive's readings go with speed, and how far it lies off the others."""
    correlations: dict[str, float] = {}
    offsets: dict[str, float] = {}
    for key, side, drive in _named_drives(pair):
        if drive.moments is not None:
            names = ("products", "speed_squares", "squares")
            correlations[key] = working.step(
                f"speed_correlation.{key}",
                within_bins.correlation_with_speed,
                source="definition",
                **dict(zip(names, drive.moments, strict=True)),
            )
        if side.levels:
            offset = working.step(
                f"drive_offset.{key}",
                within_bins.offset_of_drive(what.si),
                side.levels,
                source="squares",
                number=float(side.drives.index(drive) + 1),
            )
            offsets[key] = what.change(offset)
    if correlations:
        outputs["speed_correlation"] = correlations
    if offsets:
        outputs["drive_offset"] = offsets


def _outliers(pair: Pair, what: _Kind, working: Working, outputs: Outputs) -> None:
    counts: dict[str, float] = {}
    furthest: dict[str, float] = {}
    for name, side in zip(_SIDES, pair.sides, strict=True):
        count = sum(drive.outliers for drive in side.drives)
        counts[name] = working.step(f"outliers.{name}", within_bins.counted, range(count), source="outliers")
        if count:
            off = working.step(
                f"largest_outlier.{name}",
                within_bins.furthest_of(what.si),
                [drive.outlying for drive in side.drives if drive.outliers],
                source="outliers",
            )
            furthest[name] = what.change(off)
    outputs["outliers"] = counts
    if furthest:
        outputs["largest_outlier"] = furthest


def _needed(wanted: float, pair: Pair, what: _Kind, working: Working, outputs: Outputs) -> None:
    """How many drives show the change that its author wants to see."""
    dimension, unit = what.of_change
    if isinstance(wanted, Measure) and wanted.dimension != dimension:
        raise InputsConflict(
            "change_to_show",
            f"a {wanted.dimension} in {wanted.unit or 'no unit'}",
            f"a {dimension}, as what is compared changes by",
            help=f"write it in {unit}" if unit else "write it without a unit",
        )
    if not wanted:
        raise InputsConflict("change_to_show", "no change", "a change above or below 0")
    outputs["drives_needed"] = working.step(
        "drives_needed",
        drives_needed,
        source="power",
        relative_scatter=pair.deviation_of_a_drive / abs(float(wanted)),
    )


# --- words ------------------------------------------------------------------------------------


def _remarks(
    given: Mapping[str, Any],
    rules: Rules,
    pair: Pair,
    keys: Mapping[Bin, str],
    what: _Kind,
    working: Working,
) -> None:
    for name, side in zip(_SIDES, pair.sides, strict=True):
        _remark_on_rows(name, side, working)
    for name, only in zip(_SIDES, (pair.only_before, pair.only_after), strict=True):
        if only:
            bins = ", ".join(_spaced(keys[bin]) for bin in only)
            working.remark(
                said("Left out, since only {side} has rows there: {bins}.", side=said(name), bins=bins)
            )
    if not pair.drives_tell:
        working.remark(
            said(
                "How drives differ from each other, by the day and by parts that were still warm, is not in "
                "the uncertainty: no side has two drives that share a bin. What shows between two drives "
                "need not be what was done to the car. Drive both again, in turns."
            )
        )
        if "change_to_show" in given:
            working.remark(
                said("The drives that are needed are the fewest: more, if drives differ from each other.")
            )
    elif any(not side.levels for side in pair.sides):
        working.remark(said("The drives of one side are taken to scatter as those of the other do."))
    if not rules.above and "ambient_bins" not in given:
        working.remark(
            said(
                "What the weather did is in the difference: above_ambient takes it off, ambient_bins "
                "compares like weather."
            )
        )
    if rules.steady is None and "speed_bins" in given:
        working.remark(
            said(
                "Rows count however the speed was reached: what is slow to warm and to cool still feels the "
                "speed before. steady_within and steady_for take rows of steady speed alone."
            )
        )
    _remark_on_bins(pair, keys, what, working)


def _remark_on_rows(name: str, side: Side, working: Working) -> None:
    """What was left out of a side, and why."""
    if causes := causes_of(side.every):
        rows = sum(drive.rows for drive in side.every)
        working.remark(
            said(
                "Left out of the {rows} rows of {side}: {causes}.", rows=rows, side=said(name), causes=causes
            )
        )
    idle = [drive.name for drive in side.every if drive not in side.drives]
    if idle:
        working.remark(
            said("Without a row in the bins that both sides have: {drives}.", drives=", ".join(idle))
        )


def _remark_on_bins(pair: Pair, keys: Mapping[Bin, str], what: _Kind, working: Working) -> None:
    """Where bins do not say the same, or are too wide."""
    if abs(pair.taken_off) > _WIDE * pair.half_width(pair.weights):
        working.remark(
            said(
                "{amount} of the difference were speed inside of the bins, and are taken "
                "off along a line: narrower bins rest less on that line.",
                amount=_amount(pair.taken_off, what),
            )
        )
    others = [
        _spaced(keys[bin])
        for bin in pair.weights
        if abs(pair.after.mean_in(bin) - pair.before.mean_in(bin) - pair.difference)
        > pair.half_width({bin: 1.0})
    ]
    if others:
        working.remark(
            said(
                "Another difference than over all bins, by more than its interval: {bins}. One "
                "number for all of them then rests on how much was driven in each.",
                bins=", ".join(others),
            )
        )


def _spaced(key: str) -> str:
    """A bin in words: ``30-60-km/h`` is 30-60 km/h."""
    return _BEFORE_UNIT.sub(" ", key)


def _amount(si: float, what: _Kind) -> str:
    """The amount of a change, with its unit."""
    dimension, symbol = what.of_change
    unit = units.find(symbol, dimension)
    return write_figure(abs(unit.from_si(si)), what.decimals, unit.symbol)


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str]:
    """Whether the logs show a change, with all that is uncertain of it."""
    difference: Value = values["difference"]
    unit = units.find(difference.unit, difference.dimension)
    size, width = unit.from_si(difference.si), unit.from_si(difference.expanded_uncertainty)
    decimals = difference.decimals
    if width > 10.0**-_MOST_DECIMALS:  # what readings leave that never change is rounding
        decimals = max(decimals_of_uncertainty(width), 0)
    pair = _pair(given, _rules(given))
    count = sum(len(side.drives) for side in pair.sides)
    of = "The logs" if pair.drives_tell else f"The logs of {'two' if count == 2 else count} drives"
    number, symbol = partial(write_number, decimals=decimals), f" {unit.symbol}".rstrip()
    if abs(size) > width:
        change = "a fall" if size < 0 else "a rise"
        told = f"{of} show {change} of {number(abs(size))} ± {number(width)}{symbol}."
    else:
        change = "none shown"
        most = max(abs(size - width), abs(size + width))
        told = (
            f"{of} do not show a change: it lies between {number(size - width)} and "
            f"{number(size + width)}{symbol}, and one of up to {number(most)}{symbol} could hide in it."
        )
    if not pair.drives_tell:
        told = f"{told[:-1]}, if drives do not differ by themselves."
    return {"change": change, "finding": told, "rests_on": _rests_on(pair)}


def _rests_on(pair: Pair) -> str:
    """Whose scatter the interval is made of."""
    counts = " and ".join(str(len(side.drives)) for side in pair.sides)
    if pair.rests_on_drives:
        return f"how {counts} drives scatter"
    if pair.drives_tell:
        return f"how readings scatter within {counts} drives, which is more than drives differ"
    if any(len(side.drives) > 1 for side in pair.sides):
        return f"how readings scatter within {counts} drives, of which no two share enough bins"
    return "how readings scatter within one drive on each side"


# --- charts ---------------------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> tuple[BarSpec | ChartSpec, ...] | None:
    """The difference in each bin, and the readings of each drive against speed."""
    first = next(iter(cases.values()))
    what = _what(first.inputs)
    alike = {name: case for name, case in cases.items() if _what(case.inputs) == what}
    by_speed = _by_speed(alike, what)
    return (_by_bin(alike, what), *([by_speed] if by_speed else []))


_MOST_BARS = 40


def _by_bin(cases: Mapping[str, CaseView], what: _Kind) -> BarSpec:
    bars = []
    for style, (name, case) in enumerate(cases.items()):
        before = f"{name}, " if name else ""
        for key, value in case.outputs["bin_difference"].items():
            bars.append(
                _bar(f"{before}{_spaced(key)}", value, case.uncertainty("bin_difference", key), style)
            )
        sure = case.uncertainty("difference")
        bars.append(_bar(f"{before}all bins", case.outputs["difference"], sure, style))
        bars.append(_bar(f"{before}plain means", case.outputs["plain_difference"], 0.0, style))
    return BarSpec(
        title="Difference by bin",
        description="After less before in each bin, in all of them by their weights, and of the plain means, "
        "which have the traffic in them; the whiskers are expanded uncertainties.",
        x=Axis("difference", *what.of_change, from_zero=True),
        bars=tuple(bars[:_MOST_BARS]),
        markers=(Marker("no change", x=0.0),),
    )


def _bar(label: str, value: float, sure: float, style: int) -> Bar:
    if not sure:
        return Bar(label=label, value=value, style=style)
    return Bar(label=label, value=value, low=value - sure, high=value + sure, style=style)


_MOST_SERIES = 12


def _by_speed(cases: Mapping[str, CaseView], what: _Kind) -> ChartSpec | None:
    series: list[Series] = []
    for name, case in cases.items():
        rules = _rules(case.inputs)
        if rules.bins[0][0] != "road_speed":
            continue
        pair = _pair(case.inputs, rules)
        for number, (condition, side) in enumerate(zip(_SIDES, pair.sides, strict=True)):
            label = ", ".join(filter(None, (name, condition)))
            series += _of_side(label, condition, case, pair, side, len(series) // 4 * 2 + number)
    if not series:
        return None
    return ChartSpec(
        title="Readings by speed",
        description="The mean of the readings in each bin against its mean speed: a dot for each drive, and "
        "a line for all drives of a condition, with the expanded uncertainty as a band.",
        x=Axis("road speed", "speed", "km/h"),
        y=Axis("mean of the readings", what.dimension, what.unit),
        series=tuple(series[:_MOST_SERIES]),
    )


def _of_side(label: str, condition: str, case: CaseView, pair: Pair, side: Side, style: int) -> list[Series]:
    """A line through the bins, where they are of speed alone, and a dot for each drive in each bin."""
    found = []
    bins = [bin for bin in pair.weights if len(bin) == 1]
    if bins:
        means, widths = (
            [side.mean_in(bin) for bin in bins],
            [pair.half_width({bin: 1.0}, side) for bin in bins],
        )
        found.append(
            Series(
                label=label,
                x=[side.speed_in(bin) for bin in bins],
                y=means,
                low=[mean - width for mean, width in zip(means, widths, strict=True)],
                high=[mean + width for mean, width in zip(means, widths, strict=True)],
                style=style,
            )
        )
    rules = _rules(case.inputs)
    cells = [
        cell
        for log in case.inputs[condition]
        for bin, cell in drive_of(log, rules, condition).cells.items()
        if bin in pair.weights
    ]
    found.append(
        Series(
            label=f"{label}, each drive",
            x=[cell.speed for cell in cells],
            y=[cell.mean for cell in cells],
            style=style,
            points_only=True,
        )
    )
    return found
