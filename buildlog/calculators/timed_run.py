"""Times between speeds and over distances, of several runs, from logs or from a watch.

Give the logs of the runs, or the times that a watch took, and what is timed: from one speed to another, from
a stand, or over a distance. The block gives every run, the best, the mean with its uncertainty and the
scatter of single runs; with both directions of a road, each for itself and their mean.

**From logs** (`log`: how a block maps one is in the manual under logs). The channel is `road_speed`; a speed
that comes late by `lag` is late at both ends of a run, and cancels. Of a receiver that smooths, this holds
only where the car gains speed already: from a stand its lag has yet to build up, so that such a run reads
longer than it was. No log of that receiver shows it, and it is in no interval: the card says by how much a
time constant of 0.3 s would do it, by the same readings smoothed once more. Each row of `spans` is one thing
that is timed:

| row | timed |
|---|---|
| `{from_speed: 60 km/h, to_speed: 100 km/h}` | from the last crossing of 60 before 100 is first reached |
| `{to_speed: 100 km/h}` | from a standing start |
| `{distance: 400 m}` | over a distance from a standing start |
| `{from_speed: 50 km/h, distance: 200 m}` | over a distance from where 50 is crossed |

A crossing lies on the straight line between the two rows about it; a distance is the area under the speed.
Each file is one run, and one with several passages is refused, with their times, so that you say which with
`from` and `to`; `passages: all` takes each of them as a run.

**A standing start** wants two more words. Up to `standstill` the car counts as standing, since no receiver
shows 0.0 for long. `roll_out` is the distance from there that is not counted: 0 m if you count from the first
movement. With some roll-out the start is known far better, because a car that moves shows in a log and one
that is about to does not; but it makes every time shorter, so that two times compare only with one roll-out.

**From a watch**: `stopwatch` is a table, or the filled-in sheet of a `test_plan` (`{data: …}`), with a column
`reading`. Rows without one were not driven. A sheet of two conditions wants `condition`, which rows count;
make each condition a case, and the card shows the change between them. `timed_by: hand` counts with limits
of 0.11 s, since starting and stopping are two reactions of about so much, which cancel only where both are
alike; what one hand is off by is alike in all cases.

**Directions.** Wind and slope help one way and hinder the other. With `directions`, a word a run, or a column
`direction` of the sheet, the mean is that of both directions' means, each of which wants two runs at least.
The difference of the directions is what wind and slope do. A mean of two times is longer than the time on the
level; between two speeds, `level_time` is that without the slope, which adds the same to the acceleration at
every speed, and about that without a steady wind.

**How sure.** The mean carries the scatter of the runs by Student's t, and what rows and quantum leave of a
crossing: half of the step of the readings, the bend between two rows, the time that noise takes the speed to
and fro across the level. The latter is not made less by more runs, since all are read alike. A single run has
the noise of its readings in it as well: what they are off a cubic over time through the pull about a
crossing, and how much of that a reading keeps until the next (AR(1), by restricted likelihood, the mean over
what that share may be), since a receiver that smooths has noise that goes up and down over a second or more.
Where a gear is changed near a crossing, or rows are few, nothing tells of that, and the card says so. What
the instrument is off by (`by` in the map) moves both ends of a run. Below 5 rows a second the card says what
the log can still tell. The best run is the luckiest: of more runs it is better, and it has no place in a
comparison.

**Limits.** What is timed is the car with its driver, on that road and day. Nothing is corrected for air, mass
or fuel.

```yaml
id: pulls
kind: timed_run
inputs:
  log:
    time: {heading: time, unit: s}
    columns: {road_speed: {heading: speed, unit: km/h, quantum: 0.1 km/h, by: ± 0.3 km/h}}
    text: |
      time,speed
      0.0,57.7
      0.2,58.9
      0.4,61.2
      0.6,63.5
      0.8,65.7
      1.0,68.0
      1.2,70.1
      1.4,72.3
      1.6,74.3
      1.8,76.4
      2.0,78.4
      2.2,80.4
      2.4,82.2
      2.6,81.0
      2.8,70.4
      3.0,58.5
      3.2,59.2
      3.4,61.4
      3.6,63.5
      3.8,65.6
      4.0,67.6
      4.2,69.7
      4.4,71.6
      4.6,73.6
      4.8,75.4
      5.0,77.3
      5.2,79.1
      5.4,80.9
      5.6,82.6
      5.8,79.0
      6.0,66.2
      6.2,57.4
      6.4,59.0
      6.6,61.3
      6.8,63.6
      7.0,65.7
      7.2,67.9
      7.4,70.0
      7.6,72.1
      7.8,74.2
      8.0,76.2
      8.2,78.1
      8.4,80.1
      8.6,82.0
      8.8,83.4
  passages: all
  spans:
    - {name: third gear, from_speed: 60 km/h, to_speed: 80 km/h}
    - {name: its upper half, from_speed: 70 km/h, to_speed: 80 km/h}
```
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import exp, sqrt
from statistics import median
from typing import Any

from buildlog.diagnostics import AsWritten, InputsConflict, MissingInput, NoSolution, as_written
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Listed,
    LogChannel,
    Logged,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Whole,
    Working,
)
from buildlog.kinds.keys import address_key, pair_key
from buildlog.kinds.logs import Log
from buildlog.kinds.models.passages import Broken, Passage, Wanted, find_passages, why_none
from buildlog.kinds.models.readings import Sample, effective_freedom, sample_of, student_t
from buildlog.physics import timing
from buildlog.said import said

KIND = "timed_run"

_SPEED = Number(dimension="speed", unit="km/h", low=1, high=450, why="speeds of cars")

_BY_HAND = Doubt(
    name="hand_timing",
    about="of a watch that is started and stopped by hand",
    source="reaction",
    absolute=0.11,
    limits=True,
    unit="s",
    range="for one who starts by what is heard or done, and stops by what is seen",
)

INPUTS = (
    Input(
        name="log",
        form=Logged(
            channels=(
                LogChannel(name="road_speed", dimension="speed", unit="km/h", about="speed over the ground"),
            )
        ),
        about="the logs of the runs, a file each; or stopwatch",
        required=False,
    ),
    Input(
        name="stopwatch",
        form=Table(
            (
                Input(name="run", form=Whole(1, 9999, why="a day of runs"), about="which", required=False),
                Input(name="condition", form=Text(40), about="under which condition", required=False),
                Input(name="direction", form=Text(20), about="which way", required=False),
                Input(
                    name="reading",
                    form=Number(dimension="time", unit="s", low=0.1, high=36_000, why="runs that are timed"),
                    about="the time; blank where it was not driven",
                    required=False,
                ),
                Input(name="note", form=Text(200), about="what was odd", required=False),
            ),
            longest=400,
        ),
        about="times that a watch took; in place of log",
        required=False,
    ),
    Input(
        name="spans",
        form=Table(
            (
                Input(name="name", form=Text(40), about="what figures call it", required=False),
                Input(
                    name="from_speed",
                    title="starting speed",
                    form=_SPEED,
                    about="speed that it starts at; a standing start if left out",
                    required=False,
                ),
                Input(
                    name="to_speed",
                    title="end speed",
                    form=_SPEED,
                    about="speed that it ends at",
                    required=False,
                ),
                Input(
                    name="distance",
                    form=Number(dimension="length", unit="m", low=1, high=100_000, why="runs of cars"),
                    about="distance after which it ends; in place of to_speed",
                    required=False,
                ),
            ),
            longest=8,
        ),
        about="what is timed, a row each; of a watch, one row with a name",
    ),
    Input(
        name="condition",
        form=Text(40),
        about="which rows of the stopwatch count, by their column condition",
        required=False,
    ),
    Input(
        name="timed_by",
        title="timing instrument",
        form=Choice({"hand": "a watch, started and stopped by hand", "beams": "light beams, or contacts"}),
        about="what took the times; with stopwatch",
        required=False,
    ),
    Input(
        name="passages",
        form=Choice(
            {"one": "one in each log; several are refused", "all": "every passage of a log is a run"}
        ),
        about="how many runs a log holds",
        default="one",
        default_source="so that no passage in traffic is taken for a run",
    ),
    Input(
        name="directions",
        form=Listed(Text(20), 4, 400),
        about="which way each run went, in the order of the logs: [out, back, out, back]",
        required=False,
    ),
    Input(
        name="roll_out",
        form=Number(dimension="length", unit="m", low=0, high=2, why="beams stand a foot or so ahead"),
        about="distance from a standing start that is not counted",
        required=False,
    ),
    Input(
        name="standstill",
        form=Number(dimension="speed", unit="km/h", low=0.1, high=5, why="what a car at rest reads"),
        about="speed up to which the car counts as standing",
        default="1 km/h",
        default_source="receivers at rest show some tenths",
    ),
)

OUTPUTS = (
    Output(
        name="mean_time",
        title="mean time",
        dimension="time",
        unit="s",
        about="of both directions where there are two",
        decimals=2,
        key="span",
        of="spans",
        beside=True,
    ),
    Output(
        name="deviation",
        title="standard deviation of a single run",
        dimension="time",
        unit="s",
        decimals=2,
        key="span",
        of="spans",
        beside=True,
    ),
    Output(
        name="direction_difference",
        title="time difference between the directions",
        dimension="time",
        unit="s",
        about="how much longer the first takes",
        decimals=2,
        key="span",
        of="spans",
        is_change=True,
        beside=True,
    ),
    Output(
        name="level_time",
        title="time on a level road",
        dimension="time",
        unit="s",
        about="without the slope of the road",
        decimals=2,
        key="span",
        of="spans",
        beside=True,
    ),
    Output(
        name="best_time",
        title="best time",
        dimension="time",
        unit="s",
        decimals=2,
        key="span",
        of="spans",
        beside=True,
    ),
    Output(
        name="runs",
        title="number of runs",
        dimension="count",
        unit="",
        about="number of runs",
        decimals=0,
        key="span",
        of="spans",
        beside=True,
    ),
    Output(
        name="direction_mean",
        title="mean time in the direction",
        dimension="time",
        unit="s",
        about="mean of each direction",
        decimals=2,
        key="direction",
        beside=True,
    ),
    Output(
        name="direction_deviation",
        title="standard deviation of a run in the direction",
        dimension="time",
        unit="s",
        decimals=2,
        key="direction",
        beside=True,
    ),
    Output(
        name="run_time",
        title="time of the run",
        dimension="time",
        unit="s",
        about="time of each run",
        decimals=2,
        key="run",
    ),
)

SOURCES = (
    Source(id="interpolation", title="Linear interpolation between rows", standing="derived"),
    Source(
        id="gum",
        title="JCGM 100, Guide to the expression of uncertainty in measurement",
        publisher="JCGM",
        edition="2008",
        where="4.2 means and deviations; 4.3.7 limits; G.3.2 and G.4 Student's t",
        standing="from memory",
    ),
    Source(
        id="third",
        title="The scatter of third differences, √20 of that of a reading",
        standing="derived",
    ),
    Source(id="directions", title="A constant acceleration up and down one slope", standing="derived"),
    Source(
        id="reaction",
        title="Manual timing in physics experiments: Error and uncertainty",
        publisher="American Journal of Physics 87",
        edition="2019",
        where="p. 110, abstract: reactions of timekeepers 0.11 s with a deviation of 0.07 s, of 4304 taken; "
        "start and stop together scatter by 0.10 s where both are alike",
    ),
)

DOUBTS = (_BY_HAND,)

HAZARDS = ("road-testing",)

_FEWEST_A_SECOND = 5.0
_USUAL_SMOOTHING = 0.3
"""s; time constant of a receiver that smooths, common practice."""
_REMEMBERS = 0.6
_MOST_TRACES = 12
_MOST_POINTS = 200
_WANTS_TWO = said("the scatter of one run is not known")


@dataclass(frozen=True, kw_only=True)
class _Run:
    """One run of a span. `time` is moved by all that it may be off by, `read` not by what rows and quantum
    leave of it, whose standard uncertainty is `doubt`, s, nor by the noise of its single readings."""

    key: str
    time: float
    read: float
    doubt: float = 0.0
    direction: str = ""


@dataclass(kw_only=True)
class _Results:
    """Outputs by name and key as they are found."""

    values: dict[str, dict[str, float]] = field(default_factory=dict)

    def put(self, name: str, key: str, value: float) -> None:
        self.values.setdefault(name, {})[key] = value


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Every run of every span, and what they come to; SI in, SI out."""
    if ("log" in given) == ("stopwatch" in given):
        both = "log and stopwatch" if "log" in given else "neither log nor stopwatch"
        raise MissingInput("log", both, "one of the two", help="runs come from logs or from a watch")
    wanted = _spans(given)
    results = _Results()
    for index, (key, span) in enumerate(wanted.items()):
        if "log" in given:
            runs = _of_logs(given, key, span, index, working)
        else:
            runs = _of_watch(given, key, working)
        for run in runs:
            results.put("run_time", run.key, run.time)
        _summed_up(key, span, runs, given, working, results)
    return {output.name: results.values[output.name] for output in OUTPUTS if output.name in results.values}


# --- what is timed ----------------------------------------------------------------------------


def _spans(given: Mapping[str, Any]) -> dict[str, Wanted]:
    """What is timed, by its key."""
    rows: list[dict[str, Any]] = given["spans"]
    if "stopwatch" in given and len(rows) > 1:
        raise InputsConflict(
            "spans", f"{len(rows)} rows", "one: what the watch timed", help="make a block for each", at=(1,)
        )
    found: dict[str, Wanted] = {}
    for index, row in enumerate(rows):
        if "log" in given:
            _check_span(row, index, given)
        key = _span_key(row, index)
        if key in found:
            raise InputsConflict("spans", f"“{key}” twice", "a name for each", at=(index,))
        found[key] = Wanted(
            from_speed=row.get("from_speed"),
            to_speed=row.get("to_speed"),
            distance=row.get("distance"),
            standstill=given["standstill"],
            roll_out=given.get("roll_out", 0.0),
        )
    if "roll_out" in given and all(span.from_speed is not None for span in found.values()):
        raise InputsConflict(
            "roll_out",
            "roll_out, and no span from a stand",
            "a span without from_speed",
            help="leave roll_out out: it counts from a standing start alone",
        )
    return found


def _check_span(row: Mapping[str, Any], index: int, given: Mapping[str, Any]) -> None:
    """Refuse what has no end, two, or one before its start; a standing start without its roll-out."""
    if ("to_speed" in row) == ("distance" in row):
        found = "to_speed and distance" if "distance" in row else "no end"
        raise InputsConflict("spans", found, "to_speed or distance", at=(index,))
    if "from_speed" in row and row.get("to_speed", 1e9) <= row["from_speed"]:
        raise InputsConflict(
            "spans",
            f"to_speed {as_written(row['to_speed'], 'lower')} from {as_written(row['from_speed'], 'higher')}",
            "a higher speed at the end",
            help="times of braking are none of these",
            at=(index, "to_speed"),
        )
    if "from_speed" not in row and "roll_out" not in given:
        raise MissingInput(
            "roll_out",
            "a standing start in spans without roll_out",
            "roll_out as well",
            help="0 m, or the distance that is not counted: a time from a stand means nothing without it",
        )


def _span_key(row: Mapping[str, Any], index: int) -> str:
    if "name" in row:
        key = address_key(row["name"])
        if not key:
            raise InputsConflict(
                "spans", f"the name “{row['name']}”", "letters or digits in it", at=(index, "name")
            )
        return key
    start, end = row.get("from_speed"), row.get("to_speed", row.get("distance"))
    if start is None:
        return address_key(f"0-{end.text}") if isinstance(end, AsWritten) else str(index + 1)
    return pair_key(start, end, index + 1) if end is not None else str(index + 1)


# --- runs from logs ----------------------------------------------------------------------------


def _of_logs(given: Mapping[str, Any], key: str, span: Wanted, index: int, working: Working) -> list[_Run]:
    logs: tuple[Log, ...] = given["log"]
    passages = [passage for log in logs for passage in _passages(log, span, given["passages"], index)]
    ways = _ways(given, len(passages))
    runs = []
    for number, (passage, way) in enumerate(zip(passages, ways, strict=True), start=1):
        name = f"{key}.{number}"
        time = working.step(
            f"run_time.{name}",
            timing.run_time,
            source="interpolation",
            end=passage.end.time,
            start=passage.start.time,
        )
        read = time + _moved(passage, span, logs[0], working)
        time = read + _read_between(name, passage.doubt, working) + _noise(name, passage.noise, working)
        runs.append(_Run(key=name, time=time, read=read, doubt=passage.doubt, direction=way))
    _say_how_slow(logs, passages, working)
    _say_what_smoothing_does(logs, passages, span, working)
    _say_what_remembers(passages, working)
    return runs


def _passages(log: Log, span: Wanted, how_many: str, index: int) -> list[Passage]:
    """The runs of a log; it is looked through once."""
    found = log.once(("passages", span), lambda: find_passages(log, span))
    whole = _whole(log, span)
    for one in found:
        if isinstance(one, Broken):
            raise NoSolution(
                "log",
                f"{log.file}: nothing was read from {one.start:.2f} s to {one.end:.2f} s, within a run",
                "runs without a gap",
                help="leave that run out with from and to; a time across a gap would be a guess",
            )
    if not whole:
        refused = why_none(log, span)
        raise NoSolution("spans", refused.found, refused.expected, at=(index,))
    if how_many == "one" and len(whole) > 1:
        starts = ", ".join(f"{one.start.time:.1f} s" for one in whole[:6])
        raise NoSolution(
            "log",
            f"{len(whole)} passages in {log.file}, from {starts}" + (" …" if len(whole) > 6 else ""),
            "one",
            help="choose it with from and to, or write passages: all",
        )
    return whole


def _moved(passage: Passage, span: Wanted, log: Log, working: Working) -> float:
    """By how much a run is longer for what the speed is off by as a whole: both ends are crossed at another
    reading. Nothing in the ordinary run."""
    doubt = log.doubt("road_speed")
    if doubt is None:
        return 0.0
    factor, offset = working.factor(doubt), working.offset(doubt)

    def later(wanted: float, slope: float, off: float) -> float:
        return ((wanted - off) / factor - wanted) / slope

    if span.from_speed is not None:
        start = later(span.from_speed, passage.start.slope, offset)
    else:
        rolled = offset * (passage.start.time - passage.times[0])
        start = later(span.roll_out, passage.start.slope, rolled) if span.roll_out else 0.0
    if span.to_speed is not None:
        return later(span.to_speed, passage.end.slope, offset) - start
    assert span.distance is not None
    end = later(span.distance, passage.end.slope, offset * passage.duration)
    begun = span.from_speed if span.from_speed is not None else 0.0
    return end + start * begun / passage.end.slope - start


def _read_between(name: str, doubt: float, working: Working) -> float:
    return working.scatter(f"crossing.{name}", doubt, about="crossings between rows", source="interpolation")


def _noise(name: str, noise: float, working: Working) -> float:
    """What the noise of single readings leaves of one run. The scatter of several runs has it in it."""
    return working.scatter(f"noise.{name}", noise, about="noise of single readings", source="third")


def _say_how_slow(logs: Sequence[Log], passages: Iterable[Passage], working: Working) -> None:
    """What a log with few rows a second can still tell."""
    slowest = min(logs, key=lambda log: log.rate)
    if slowest.rate >= _FEWEST_A_SECOND * (1 - 1e-6):
        return
    worst = max(2 * passage.doubt for passage in passages)
    working.remark(
        said(
            "{log} has {rate} rows a second, and five or more are wanted: a "
            "run is known to ± {worst} s by its rows alone, and two that differ by less than "
            "{apart} s are not told apart.",
            log=slowest.file or said("The log"),
            rate=f"{slowest.rate:.2g}",
            worst=f"{worst:.2g}",
            apart=f"{1.4 * worst:.2g}",
        )
    )


def _say_what_smoothing_does(
    logs: Sequence[Log], passages: Sequence[Passage], span: Wanted, working: Working
) -> None:
    """That from a stand a receiver which smooths is late at the end and not so at the start: by how much with
    one of a usual time constant, by these very readings smoothed once more."""
    if span.from_speed is not None:
        return
    longer = [
        after.duration - before.duration
        for log in logs
        if (once_more := _smoothed_once_more(log, span)) is not None
        for before, after in zip(_whole(log, span), once_more, strict=True)
    ]
    if longer:
        what = said("make such a run some {longer} s longer", longer=f"{max(longer):.2g}")
    else:
        what = said("make such a run longer")
    working.remark(
        said(
            "From a stand, a receiver that smooths is late at the end and not yet at the start. One with a "
            "time constant of {constant} s would {what} than it was. That is not in ±: no log of "
            "that receiver alone shows it.",
            constant=f"{_USUAL_SMOOTHING:g}",
            what=what,
        )
    )


def _whole(log: Log, span: Wanted) -> list[Passage]:
    return [
        one
        for one in log.once(("passages", span), lambda: find_passages(log, span))
        if isinstance(one, Passage)
    ]


def _smoothed_once_more(log: Log, span: Wanted) -> list[Passage] | None:
    """The runs of a log whose speed goes through another time constant; None where others are found then."""

    def found() -> list[Passage]:
        again = replace(log, values={**log.values, "road_speed": _late(log)}, _kept={})
        return [one for one in find_passages(again, span) if isinstance(one, Passage)]

    runs = log.once(("smoothed", span), found)
    return runs if len(runs) == len(_whole(log, span)) else None


def _late(log: Log) -> array[float]:
    """The speed as an instrument of the first order shows it."""
    shown = array("d", log.values["road_speed"])
    for span in log.spans:
        last = None
        for row in span:
            if shown[row] != shown[row]:
                continue
            if last is not None:
                share = 1 - exp(-(log.times[row] - log.times[last]) / _USUAL_SMOOTHING)
                shown[row] = shown[last] + share * (shown[row] - shown[last])
            last = row
    return shown


def _say_what_remembers(passages: Sequence[Passage], working: Working) -> None:
    """That the noise of the readings hangs together from row to row, where it mostly does; and where nothing
    tells."""
    crossings = [end for one in passages for end in (one.start, one.end) if end.slope]
    told = [end.keeps for end in crossings if end.keeps is not None]
    if told and median(told) >= _REMEMBERS:
        working.remark(
            said(
                "What the speed is off a smooth curve goes on from row to row (each keeps "
                "{share} % of the one before): noise of a receiver that smooths, or a pull "
                "that is not smooth itself. It is in ± of a single run.",
                share=f"{100 * median(told):.0f}",
            )
        )
    if len(told) < len(crossings):
        working.remark(
            said(
                "At some crossings the pull goes on for too few rows to tell whether noise goes on from row "
                "to row, as of a receiver that smooths: ± of a single run takes it that it does not."
            )
        )


def _ways(given: Mapping[str, Any], count: int) -> list[str]:
    """Which way each run of the logs went, "" where it is not said."""
    if "directions" not in given:
        return [""] * count
    ways = [str(way) for way in given["directions"]]
    if len(ways) != count:
        raise InputsConflict("directions", f"{len(ways)} directions", f"one for each of {count} runs")
    return ways


# --- runs from a watch ------------------------------------------------------------------------------


def _of_watch(given: Mapping[str, Any], key: str, working: Working) -> list[_Run]:
    if "timed_by" not in given:
        raise MissingInput(
            "timed_by", "stopwatch without it", "it", help="hand or beams: how far the times are off together"
        )
    if "directions" in given:
        raise InputsConflict(
            "directions", "directions beside stopwatch", "a column direction in the stopwatch"
        )
    rows = _driven(given, working)
    runs = []
    for number, row in enumerate(rows, start=1):
        name = f"{key}.{row.get('run', number)}"
        time = working.step(f"run_time.{name}", timing.read_time, source="gum", reading=float(row["reading"]))
        if given["timed_by"] == "hand":
            time += working.offset(_BY_HAND)
        runs.append(_Run(key=name, time=time, read=time, direction=str(row.get("direction", ""))))
    if len({run.key for run in runs}) < len(runs):
        raise InputsConflict("stopwatch", "two rows with one run", "a number of its own for each run")
    return runs


def _driven(given: Mapping[str, Any], working: Working) -> list[dict[str, Any]]:
    """The rows that count: of the condition, with a reading."""
    rows: list[dict[str, Any]] = given["stopwatch"]
    conditions = list(dict.fromkeys(str(row["condition"]) for row in rows if "condition" in row))
    if "condition" in given:
        if given["condition"] not in conditions:
            raise InputsConflict(
                "condition", f"“{given['condition']}”", "one of " + ", ".join(conditions or ["none"])
            )
        rows = [row for row in rows if row.get("condition") == given["condition"]]
    elif len(conditions) > 1:
        raise MissingInput(
            "condition",
            f"stopwatch of {len(conditions)} conditions without it",
            "one of " + ", ".join(conditions),
            help="make each a case: their means are not to be mixed",
        )
    driven = [row for row in rows if "reading" in row]
    if not driven:
        raise NoSolution("stopwatch", "no reading", "one run or more")
    if len(driven) < len(rows):
        working.remark(
            said(
                "Not driven, or not read: {missing} of {rows} rows of the sheet.",
                missing=len(rows) - len(driven),
                rows=len(rows),
            )
        )
    return driven


# --- what they come to ------------------------------------------------------------------------------


def _summed_up(
    key: str, span: Wanted, runs: list[_Run], given: Mapping[str, Any], working: Working, results: _Results
) -> None:
    times = timing.Times(run.time for run in runs)
    count = working.step(f"runs.{key}", timing.number_of_runs, times, source="gum")
    results.put("runs", key, count)
    best = working.step(f"best_time.{key}", timing.best_time, times, source="gum", runs=count)
    results.put("best_time", key, best)
    ways = _by_direction(runs, given)
    if ways:
        _both_directions(key, span, ways, working, results)
    elif len(runs) < 2:
        working.remark(
            said(
                "One run: {wants_two}, so that it has no mean and shows no change against another.",
                wants_two=_WANTS_TWO,
            )
        )
    else:
        standard = _sample(runs).half_width() / 2
        _mean("mean_time", "deviation", key, runs, standard, working, results)


def _sample(runs: Sequence[_Run]) -> Sample:
    return sample_of(run.read for run in runs)


def _mean(
    mean: str,
    deviation: str,
    key: str,
    runs: Sequence[_Run],
    standard: float,
    working: Working,
    results: _Results,
) -> float:
    """The mean of some runs and their scatter, under the names of two outputs. `standard` is what the scatter
    leaves of the mean; rows and quantum leave as much as of one run, since all are read alike."""
    times, count = timing.Times(run.read for run in runs), float(len(runs))
    found = working.step(f"{mean}.{key}", timing.mean_time, times, source="gum", runs=count)
    found += working.scatter(f"mean.{key}", standard, about="scatter of the runs", source="gum")
    found += _read_between(key, sqrt(sum(run.doubt**2 for run in runs) / len(runs)), working)
    results.put(mean, key, found)
    single = working.step(f"{deviation}.{key}", timing.deviation, times, source="gum", runs=count)
    own = single / sqrt(2 * (len(runs) - 1))  # JCGM 100:2008, E.4.3: few runs tell their scatter badly
    single += working.scatter(f"deviation.{key}", own, about="deviation of few runs", source="gum")
    results.put(deviation, key, single)
    return found


def _by_direction(runs: list[_Run], given: Mapping[str, Any]) -> dict[str, list[_Run]]:
    """The runs by direction; nothing where none has any."""
    if not any(run.direction for run in runs):
        return {}
    source = "directions" if "log" in given else "stopwatch"
    ways: dict[str, list[_Run]] = {}
    for run in runs:
        ways.setdefault(run.direction, []).append(run)
    if "" in ways or len(ways) != 2:
        words = ", ".join(f"“{way}”" if way else "none" for way in ways)
        raise InputsConflict(source, f"the directions {words}", "two, one of them for every run")
    for way, some in ways.items():
        if len(some) < 2:
            raise InputsConflict(source, f"one run “{way}”", "two runs or more each way", help=_WANTS_TWO)
    return ways


def _both_directions(
    key: str, span: Wanted, ways: Mapping[str, list[_Run]], working: Working, results: _Results
) -> None:
    """The mean of each direction, their mean, their difference and, between speeds, the time on the level.

    Each mean's scatter is widened by the t of both, so that their sum and their difference have its interval
    (Welch and Satterthwaite, JCGM 100:2008, G.4.1).
    """
    samples = [_sample(runs) for runs in ways.values()]
    freedom = effective_freedom([(one.standard, one.freedom) for one in samples])
    first, second = (
        _mean(
            "direction_mean",
            "direction_deviation",
            f"{key}.{address_key(way)}",
            runs,
            sample.standard * student_t(freedom) / 2,
            working,
            results,
        )
        for (way, runs), sample in zip(ways.items(), samples, strict=True)
    )
    formulae: list[tuple[str, Callable[..., float], str]] = [
        ("mean_time", timing.mean_of_directions, "gum"),
        ("direction_difference", timing.direction_difference, "gum"),
    ]
    if span.to_speed is not None:
        formulae.append(("level_time", timing.level_time, "directions"))
    for name, formula, source in formulae:
        found = working.step(f"{name}.{key}", formula, source=source, first=first, second=second)
        results.put(name, key, found)


# --- charts -------------------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> tuple[Chart, ...]:
    """The traces of all runs over each other, and the times of the runs as dots."""
    charts = [_dots(cases)]
    if all("log" in case.inputs for case in cases.values()):
        charts.insert(0, _traces(cases))
    return tuple(charts)


def _first_span(case: CaseView) -> tuple[str, Wanted]:
    return next(iter(_spans(case.inputs).items()))


def _ways_of(case: CaseView) -> list[str]:
    """Which way each run of a span went, in their order, "" where it is not said."""
    if "log" not in case.inputs:
        return [str(row.get("direction", "")) for row in _driven(case.inputs, Working())]
    key, _ = _first_span(case)
    return _ways(case.inputs, len(_runs_of(case, key)))


def _runs_of(case: CaseView, key: str) -> dict[str, float]:
    """The times of a span by their runs."""
    times = case.outputs["run_time"].items()
    return {run.rpartition(".")[2]: time for run, time in times if run.rpartition(".")[0] == key}


def _traces(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Speed over time, or over distance where that is timed, from the start of the first span."""
    series: list[Series] = []
    groups: dict[tuple[str, str], int] = {}
    over_distance = False
    for name, case in cases.items():
        _, span = _first_span(case)
        over_distance = span.distance is not None
        found = [
            one for log in case.inputs["log"] for one in _passages(log, span, case.inputs["passages"], 0)
        ]
        for number, (passage, way) in enumerate(zip(found, _ways_of(case), strict=True), start=1):
            x, y = _trace(passage, over_distance)
            # Lines of one condition and one way are alike, where there are several.
            style = groups.setdefault((name, way), len(groups)) if name or way else number - 1
            label = ", ".join(filter(None, (name, way, f"run {number}")))
            series.append(Series(label=label, x=x, y=y, style=style))
    shown = series[:_MOST_TRACES]
    axis = Axis("distance", "length", "m") if over_distance else Axis("time", "time", "s")
    rest = f" The first {_MOST_TRACES} of {len(series)} runs." if len(series) > _MOST_TRACES else ""
    return ChartSpec(
        title="The runs over each other",
        description=f"Road speed of every run from its start, over {axis.label}.{rest}",
        x=axis,
        y=Axis("road speed", "speed", "km/h"),
        series=tuple(shown),
    )


def _trace(passage: Passage, over_distance: bool) -> tuple[list[float], list[float]]:
    if over_distance:
        x = list(passage.distances)
    else:
        x = [time - passage.start.time for time in passage.times]
    stride = max(1, len(x) // _MOST_POINTS)
    places = sorted({*range(0, len(x), stride), len(x) - 1})
    return [x[at] for at in places], [passage.speeds[at] for at in places]


def _dots(cases: Mapping[str, CaseView]) -> ChartSpec:
    """The times of the first span by the numbers of the runs, with the means."""
    series: list[Series] = []
    means: list[Marker] = []
    for name, case in cases.items():
        key, _ = _first_span(case)
        ways: dict[str, list[tuple[float, float]]] = {}
        for (run, time), way in zip(_runs_of(case, key).items(), _ways_of(case), strict=True):
            ways.setdefault(way, []).append((float(run), time))
        for way, points in ways.items():
            x, y = [number for number, _ in points], [time for _, time in points]
            label = ", ".join(filter(None, (name, way))) or "runs"
            series.append(Series(label=label, x=x, y=y, style=len(series), points_only=True))
            output, of = ("direction_mean", f"{key}.{address_key(way)}") if way else ("mean_time", key)
            if of in case.outputs.get(output, {}):
                means.append(Marker(f"mean, {label}", y=case.outputs[output][of]))
    return ChartSpec(
        title="Times of the runs",
        description="Each run of the first span by its number, and the means.",
        x=Axis("run", "count", ""),
        y=Axis("time", "time", "s"),
        series=tuple(series),
        markers=tuple(means),
    )
