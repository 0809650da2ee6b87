"""Timed runs: analytic motions through whole blocks, Student's t by scipy, and every refusal."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from math import exp, log, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from buildlog.calculators import timed_run
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution
from buildlog.files.spreadsheet import csv_text
from buildlog.kinds.declaration import ChartSpec, Outputs, Working
from buildlog.kinds.doubt import Doubt
from buildlog.kinds.logs import Log, LogAccount
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.proof import proof_book
from tests.calculators.seen import seen
from tests.samples import calc, open_site

KMH = 1 / 3.6
BASE: dict[str, Any] = {"passages": "one", "standstill": 1 * KMH}
SPAN: dict[str, Any] = {"name": "pull", "from_speed": 60 * KMH, "to_speed": 100 * KMH}


def logged(speed: Callable[[float], float], rate: float = 10.0, until: float = 30.0, **more: Any) -> Log:
    times = [number / rate for number in range(int(until * rate))]
    return Log(
        file="run.csv",
        times=array("d", times),
        values={"road_speed": array("d", [speed(time) for time in times])},
        spans=(range(len(times)),),
        account=LogAccount(rows=len(times), kept=len(times)),
        **more,
    )


def steady(acceleration: float) -> Log:
    """From 50 km/h on, with a constant acceleration."""
    return logged(lambda time: 50 * KMH + acceleration * time)


def run(logs: Sequence[Log] = (), **changed: Any) -> tuple[Outputs, Working]:
    working = Working()
    given = {**BASE, "spans": [SPAN], **({"log": tuple(logs)} if logs else {}), **changed}
    return timed_run.compute(given, working), working


def by_key(outputs: Outputs, name: str) -> dict[str, float]:
    found = outputs[name]
    assert isinstance(found, dict)
    return found


# --- logs ----------------------------------------------------------------------------------


def test_constant_accelerations_in_closed_form() -> None:
    """40 km/h by 2.0, 2.5 and 3.2 m/s²: 5.556, 4.444 and 3.472 s; mean and deviation by numpy."""
    exact = [40 * KMH / acceleration for acceleration in (2.0, 2.5, 3.2)]
    outputs, working = run([steady(2.0), steady(2.5), steady(3.2)])
    assert list(by_key(outputs, "run_time").values()) == pytest.approx(exact)
    assert by_key(outputs, "best_time")["pull"] == pytest.approx(min(exact))
    assert by_key(outputs, "mean_time")["pull"] == pytest.approx(np.mean(exact))
    assert by_key(outputs, "deviation")["pull"] == pytest.approx(np.std(exact, ddof=1))
    assert working.remarks == []


def test_a_slope_is_taken_out_by_both_directions() -> None:
    """2.5 m/s² on the level and 2 % of slope, g · 0.02 either way: the level's 4.444 s, not the mean's."""
    slope = 9.81 * 0.02
    logs = [steady(2.5 - slope), steady(2.5 + slope), steady(2.5 - slope), steady(2.5 + slope)]
    outputs, _ = run(logs, directions=["up", "down", "up", "down"])
    exact = 40 * KMH / 2.5
    assert by_key(outputs, "level_time")["pull"] == pytest.approx(exact)
    assert by_key(outputs, "mean_time")["pull"] == pytest.approx(exact / (1 - (slope / 2.5) ** 2))
    up, down = 40 * KMH / (2.5 - slope), 40 * KMH / (2.5 + slope)
    assert by_key(outputs, "direction_mean") == pytest.approx({"pull.up": up, "pull.down": down})
    assert by_key(outputs, "direction_difference")["pull"] == pytest.approx(up - down)


def test_a_distance_has_no_time_on_the_level() -> None:
    """What a slope does to the time over a distance is another sum."""
    span = {"name": "strip", "from_speed": 60 * KMH, "distance": 100.0}
    outputs, _ = run([steady(2.5)] * 4, spans=[span], directions=["out", "back", "out", "back"])
    assert "level_time" not in outputs
    exact = (sqrt((60 * KMH) ** 2 + 2 * 2.5 * 100) - 60 * KMH) / 2.5
    assert by_key(outputs, "mean_time")["strip"] == pytest.approx(exact)


RECEIVER = Doubt(name="receiver", about="of a receiver", source="receiver", absolute=0.5 * KMH, relative=0.01)


@pytest.mark.parametrize(
    "span",
    [
        {"from_speed": 60 * KMH, "to_speed": 100 * KMH},
        {"from_speed": 60 * KMH, "distance": 150.0},
        {"to_speed": 100 * KMH},
        {"distance": 200.0},
    ],
)
def test_an_instrument_that_is_off_moves_a_run_as_speeds_that_are_off_do(span: dict[str, float]) -> None:
    """Against the same motion read with other speeds: v · (1 + r) + o, by ± one standard uncertainty."""

    def motion(time: float) -> float:
        return 200 * KMH * (1 - exp(-max(0.0, time - 2.02) / 12))

    plain = logged(motion, rate=50, until=40, doubts={"road_speed": RECEIVER})
    given = {**BASE, "spans": [{"name": "a", **span}]}
    if "from_speed" not in span:
        given["roll_out"] = 0.5
    for sign in (-1.0, 1.0):
        shifted = timed_run.compute({**given, "log": (plain,)}, Working(shifts={RECEIVER.origin: sign}))
        factor, offset = 1 + sign * 0.01 / 2, sign * 0.5 * KMH / 2
        # A receiver that is off at rest would move the start too: there it is held to read nothing.
        other = logged(
            lambda time, f=factor, o=offset: motion(time) * f + (o if motion(time) else 0.0),  # type: ignore[misc]
            rate=50,
            until=40,
        )
        moved = timed_run.compute({**given, "log": (other,)}, Working())
        first = timed_run.compute({**given, "log": (plain,)}, Working())
        change = by_key(shifted, "run_time")["a.1"] - by_key(first, "run_time")["a.1"]
        exact = by_key(moved, "run_time")["a.1"] - by_key(first, "run_time")["a.1"]
        assert change == pytest.approx(exact, rel=0.06, abs=2e-3)
        assert abs(exact) > 0.005


def test_a_slow_log_says_what_it_can_tell() -> None:
    """Once a second, in whole km/h: U = 2 · q / √12 · √(1/a₁² + 1/a₂²), about 0.3 s at 2.7 and 1.5 m/s²."""

    def motion(time: float) -> float:
        return round(150 - 105 * exp(-time / 9)) * KMH

    outputs, working = run([logged(motion, rate=1.0, quantum={"road_speed": KMH})])
    assert "mean_time" not in outputs
    slow, noise, one = working.remarks
    assert slow.startswith("run.csv has 1 rows a second, and five or more are wanted: a run is known to ± 0.")
    assert one.startswith("One run: the scatter of one run is not known")
    assert "too few rows to tell whether noise goes on" in noise
    _, quick = run([logged(motion, rate=5.0)])
    assert [remark for remark in quick.remarks if "rows a second" in remark] == []


def test_the_interval_of_a_mean_holds_what_is_true() -> None:
    """Four runs of 9 s motions with time constants that scatter by 2 %, read ten times a second with noise:
    in 300 blocks ± U holds the mean of all runs with 95 % (binomial, 3 standard errors)."""
    draw = np.random.default_rng(7)
    truth = 9 * log(90 / 50)
    held = 0
    for _ in range(300):
        logs = []
        for tau in draw.normal(9, 0.18, 4):
            noise = iter(draw.normal(0, 0.05 * KMH, 400))
            logs.append(
                logged(lambda time, tau=tau, noise=noise: (150 - 105 * exp(-time / tau)) * KMH + next(noise))  # type: ignore[misc]
            )
        outputs, working = run(logs)
        mean = by_key(outputs, "mean_time")["pull"]
        variance = sum(
            (doubt.absolute / 2) ** 2
            for origin, doubt in working.doubted.items()
            if origin.endswith((":mean.pull", ":crossing.pull"))
        )
        held += abs(mean - truth) <= 2 * sqrt(variance)
    assert held / 300 > 0.9545 - 3 * sqrt(0.9545 * 0.0455 / 300)


@pytest.mark.parametrize(
    ("span", "roll_out"),
    [({"from_speed": 60 * KMH, "to_speed": 100 * KMH}, None), ({"to_speed": 100 * KMH}, 0.3)],
)
def test_the_interval_of_one_run_holds_what_is_true(span: dict[str, float], roll_out: float | None) -> None:
    """One run, 60 m/s · tanh(t / 20 s) in closed form, read ten times a second with noise of 0.1 km/h, which
    is less than it gains from row to row: in 300 logs ± U holds the true time with 95 % (binomial, 3 standard
    errors), and U is less than four standard deviations of the errors."""
    draw = np.random.default_rng(11)
    rolled = 20 * np.arccosh(np.exp(roll_out / (60 * 20))) if roll_out else 20 * np.arctanh(60 * KMH / 60)
    truth = 20 * np.arctanh(100 * KMH / 60) - rolled
    more = {"roll_out": roll_out} if roll_out else {}
    off, widths = [], []
    for _ in range(300):
        begin = draw.uniform(3, 4)
        noise = iter(draw.normal(0, 0.1 * KMH, 400))

        def speed(time: float, begin: float = begin, noise: Any = noise) -> float:
            return float(max(0.0, 60 * np.tanh(max(0.0, time - begin) / 20) + next(noise)))

        outputs, working = run([logged(speed)], spans=[{"name": "pull", **span}], **more)
        off.append(by_key(outputs, "run_time")["pull.1"] - truth)
        parts = [doubt.absolute / 2 for name, doubt in working.doubted.items() if name.endswith(".pull.1")]
        widths.append(2 * np.hypot.reduce(parts))
    held = np.mean(np.abs(off) <= widths)
    assert held > 0.9545 - 3 * sqrt(0.9545 * 0.0455 / 300)
    assert np.median(widths) < 4 * np.std(off)


def test_the_charts_show_every_run() -> None:
    given = {**BASE, "spans": [SPAN], "log": (steady(2.0), steady(2.5))}
    traces, dots = timed_run.chart({"": seen(timed_run.compute, given)})
    assert isinstance(traces, ChartSpec)
    assert isinstance(dots, ChartSpec)
    assert [series.label for series in traces.series] == ["run 1", "run 2"]
    assert list(dots.series[0].y) == pytest.approx([40 * KMH / 2.0, 40 * KMH / 2.5])
    given["spans"] = [{"name": "strip", "from_speed": 60 * KMH, "distance": 100.0}]
    traces = timed_run.chart({"": seen(timed_run.compute, given)})[0]
    assert isinstance(traces, ChartSpec)
    assert traces.x.label == "distance"


# --- refusals of logs --------------------------------------------------------------------------


def test_a_speed_that_is_never_reached() -> None:
    with pytest.raises(NoSolution) as refused:
        run([steady(0.1)])
    assert refused.value.name == "spans"
    assert refused.value.at == (0,)
    assert refused.value.found == "60.76 km/h at the most in run.csv"
    assert refused.value.expected == "100 km/h, once"


def test_a_gap_within_a_run() -> None:
    whole = steady(2.5)
    times = array("d", [*whole.times[:20], *(time + 2 for time in whole.times[20:])])
    broken = Log(
        file="run.csv",
        times=times,
        values=whole.values,
        spans=(range(20), range(20, len(times))),
        account=whole.account,
    )
    with pytest.raises(NoSolution) as refused:
        run([broken])
    assert refused.value.found == "run.csv: nothing was read from 1.90 s to 4.00 s, within a run"


def test_several_passages_want_a_word() -> None:
    twice = logged(lambda time: (50 + 10 * (time % 8)) * KMH, until=16)
    with pytest.raises(NoSolution) as refused:
        run([twice])
    assert refused.value.found == "2 passages in run.csv, from 1.0 s, 9.0 s"
    outputs, _ = run([twice], passages="all")
    assert list(by_key(outputs, "run_time").values()) == pytest.approx([4, 4])


@pytest.mark.parametrize(
    "changed, error, name, found",
    [
        ({"spans": [{"from_speed": 20.0}]}, InputsConflict, "spans", "no end"),
        (
            {"spans": [{"from_speed": 20.0, "to_speed": 25.0, "distance": 9.0}]},
            InputsConflict,
            "spans",
            "to_speed and distance",
        ),
        (
            {"spans": [{"from_speed": 20.0, "to_speed": 15.0}]},
            InputsConflict,
            "spans",
            "to_speed lower from higher",
        ),
        (
            {"spans": [{"to_speed": 20.0}]},
            MissingInput,
            "roll_out",
            "a standing start in spans without roll_out",
        ),
        ({"spans": [SPAN, SPAN]}, InputsConflict, "spans", "“pull” twice"),
        ({"roll_out": 0.3}, InputsConflict, "roll_out", "roll_out, and no span from a stand"),
        ({"spans": [{**SPAN, "name": "–"}]}, InputsConflict, "spans", "the name “–”"),
        ({"directions": ["out"] * 4}, InputsConflict, "directions", "4 directions"),
        ({"directions": ["out", "back"]}, InputsConflict, "directions", "one run “out”"),
        ({"directions": ["out", "out"]}, InputsConflict, "directions", "the directions “out”"),
        ({"stopwatch": [{"reading": 4.0}]}, MissingInput, "log", "log and stopwatch"),
    ],
)
def test_what_is_no_timing(changed: dict[str, Any], error: type[Exception], name: str, found: str) -> None:
    with pytest.raises(error) as refused:
        run([steady(2.5), steady(2.5)], **changed)
    assert (refused.value.name, refused.value.found) == (name, found)  # type: ignore[attr-defined]


# --- the watch -------------------------------------------------------------------------------

SHEET = """run,condition,reading [s],note
1,short,9.85,
2,long,9.71,
3,long,9.66,
4,short,9.92,wide at the chapel
5,short,9.80,
6,long,,gearbox too hot
"""
WATCH = """
id: hill
kind: timed_run
inputs:
  stopwatch: {data: data/sheet.csv}
  timed_by: hand
  spans: [{name: hill}]
cases:
  short: {condition: short}
  long: {condition: long}
"""


def block_of(tmp_path: Path, text: str, sheet: str = SHEET) -> BlockResult:
    (tmp_path / "content" / "data").mkdir(parents=True)
    (tmp_path / "content" / "data" / "sheet.csv").write_text(sheet, encoding="utf-8")
    site = open_site(tmp_path, {"a.md": calc(text)})
    block = site.result("a", "hill")
    assert block is not None
    return block


def value_of(block: BlockResult, case: str, name: str) -> Value:
    value = block.value(case, name, "hill")
    assert isinstance(value, Value)
    return value


def test_a_filled_in_sheet_of_two_conditions(tmp_path: Path) -> None:
    """Mean and t interval by scipy; beside it the hand's limits of 0.11 s, 2 · 0.11 / √3 as U."""
    block = block_of(tmp_path, WATCH)
    assert not block.faults
    times = [9.85, 9.92, 9.80]
    mean = value_of(block, "short", "mean_time")
    assert mean.si == pytest.approx(np.mean(times))
    half = stats.t.ppf(1 - 0.0455 / 2, 2) * stats.sem(times)
    assert mean.expanded_uncertainty == pytest.approx(np.hypot(half, 2 * 0.11 / np.sqrt(3)), rel=1e-3)
    assert "Not driven, or not read: 1 of 3 rows of the sheet." in block.cases["long"].remarks
    assert list(block.cases["long"].outputs["run_time"]) == ["hill.2", "hill.3"]


def test_what_one_hand_is_off_by_cancels_between_cases(tmp_path: Path) -> None:
    block = block_of(tmp_path, WATCH)
    short, long = (value_of(block, case, "mean_time") for case in ("short", "long"))
    shared = "method:hand_timing"
    assert short.contributions[shared] == pytest.approx(long.contributions[shared])


def test_both_ways_of_a_watch(tmp_path: Path) -> None:
    """By hand: (10.1 + 10.3) / 2 = 10.2 and (9.5 + 9.7) / 2 = 9.6; their mean 9.9, difference 0.6."""
    sheet = "run,direction,reading [s]\n1,out,10.1\n2,back,9.5\n3,out,10.3\n4,back,9.7\n"
    text = WATCH.partition("cases:")[0].replace("timed_by: hand", "timed_by: beams")
    block = block_of(tmp_path, text, sheet)
    assert not block.faults
    mean = value_of(block, "", "mean_time")
    assert mean.si == pytest.approx(9.9)
    assert value_of(block, "", "direction_difference").si == pytest.approx(0.6)
    # Welch by scipy 1.x: equal scatters of two and two, ν = 2, u of the difference 0.1414 s.
    interval = stats.ttest_ind([10.1, 10.3], [9.5, 9.7], equal_var=False).confidence_interval(0.9545)
    half = (interval.high - interval.low) / 2
    assert value_of(block, "", "direction_difference").expanded_uncertainty == pytest.approx(half, rel=1e-3)
    assert mean.expanded_uncertainty == pytest.approx(half / 2, rel=1e-3)


@pytest.mark.parametrize(
    "changed, error, name, found",
    [
        ({"timed_by": None}, MissingInput, "timed_by", "stopwatch without it"),
        ({"condition": "wet"}, InputsConflict, "condition", "“wet”"),
        ({"condition": None}, MissingInput, "condition", "stopwatch of 2 conditions without it"),
        ({"directions": ["out"] * 4}, InputsConflict, "directions", "directions beside stopwatch"),
        ({"spans": [{"name": "a"}, {"name": "b"}]}, InputsConflict, "spans", "2 rows"),
        ({"stopwatch": [{"run": 1, "condition": "dry"}]}, NoSolution, "stopwatch", "no reading"),
        (
            {"stopwatch": [{"run": 1, "condition": "dry", "reading": 4.0}] * 2},
            InputsConflict,
            "stopwatch",
            "two rows with one run",
        ),
        (
            {
                "stopwatch": [
                    {"condition": "dry", "reading": 4.0},
                    {"condition": "dry", "direction": "out", "reading": 5.0},
                ]
            },
            InputsConflict,
            "stopwatch",
            "the directions none, “out”",
        ),
        ({"stopwatch": None}, MissingInput, "log", "neither log nor stopwatch"),
    ],
)
def test_what_no_watch_has_timed(
    changed: dict[str, Any], error: type[Exception], name: str, found: str
) -> None:
    given: dict[str, Any] = {
        "stopwatch": [{"condition": "dry", "reading": 4.0}, {"condition": "damp", "reading": 5.0}],
        "spans": [{"name": "hill"}],
        "timed_by": "beams",
        "condition": "dry",
        **changed,
    }
    given = {key: value for key, value in given.items() if value is not None}
    with pytest.raises(error) as refused:
        run(**given)
    assert (refused.value.name, refused.value.found) == (name, found)  # type: ignore[attr-defined]


def test_the_sheet_of_a_plan_is_what_it_reads(tmp_path: Path) -> None:
    """The file that `test_plan` gives, with readings written into it."""
    plan = """
    id: plan
    kind: test_plan
    inputs: {conditions: [short, long], change: 0.4 s, scatter: 0.2 s, runs: 4, note_each: [air temperature]}
    """
    (tmp_path / "plan").mkdir()
    site = open_site(tmp_path / "plan", {"a.md": calc(plan)})
    planned = site.result("a", "plan")
    assert planned is not None
    (sheet,) = planned.sheets
    filled = [[*row[:2], f"{9.5 + 0.1 * number:.1f}", *row[3:]] for number, row in enumerate(sheet.rows)]
    block = block_of(tmp_path / "timed", WATCH, csv_text(sheet.headings, filled))
    assert not block.faults
    assert value_of(block, "short", "mean_time").si == pytest.approx(9.5 + 0.1 * (0 + 3 + 5 + 6) / 4)


def test_a_log_of_a_file_is_timed_and_proofed(tmp_path: Path) -> None:
    """A constant 2.5 m/s² from 50 km/h, ten rows a second: 4.444 s."""
    content = tmp_path / "content" / "data"
    content.mkdir(parents=True)
    rows = "".join(f"{number / 10},{50 + 9 * number / 10:.3f}\n" for number in range(80))
    for name in ("one", "two"):
        (content / f"{name}.csv").write_text(f"t [s],v [km/h]\n{rows}", encoding="utf-8")
    text = """
    id: hill
    kind: timed_run
    inputs:
      log:
        data: [data/one.csv, data/two.csv]
        time: {heading: t, unit: s}
        columns: {road_speed: {heading: v, unit: km/h}}
      spans: [{from_speed: 60 km/h, to_speed: 100 km/h}]
    """
    figure = "\n[4.44 s](calc:hill.mean_time.60-100-km/h) and [4.44 s](calc:hill.run_time.60-100-km/h.2)\n"
    site = open_site(tmp_path, {"a.md": calc(text) + figure})
    assert not proof_book(site).errors
