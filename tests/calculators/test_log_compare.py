"""The kind `log_compare`, whole: two conditions from logs, what they show and what they do not."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from math import sqrt
from pathlib import Path
from statistics import fmean
from typing import Any

import numpy as np
import pytest
from scipy import stats

from buildlog.book.book import Book
from buildlog.calculators import log_compare
from buildlog.diagnostics import AsWritten, InputsConflict, MissingInput, NoSolution, Refused
from buildlog.kinds.declaration import BarSpec, ChartSpec, Measure, Outputs, Working
from buildlog.kinds.logs import Log
from buildlog.kinds.results import CaseResult, Value
from tests import demo_data
from tests.calculators.seen import seen
from tests.house import ROOT
from tests.roads import log_of, road
from tests.samples import calc, open_site
from tests.simulated_runs import KMH


def edges(*speeds: int) -> list[AsWritten]:
    return [AsWritten(speed * KMH, f"{speed} km/h", "km/h") for speed in speeds]


BINS = edges(*range(0, 150, 10))


@cache
def drives(mean_speed: float, change: float, *seeds: int, of_a_drive: float = 0.0) -> tuple[Log, ...]:
    return tuple(
        road(np.random.default_rng(seed), 900, mean_speed, change, memory=5.0, of_a_drive=of_a_drive)
        for seed in seeds
    )


def inputs(**changes: Any) -> dict[str, Any]:
    """Three drives before, three slower ones after which are 6 K cooler."""
    given = {
        "before": drives(75, 0.0, 1, 2, 3),
        "after": drives(50, -6.0, 4, 5, 6),
        "speed_bins": BINS,
        "above_ambient": False,
    }
    return {name: value for name, value in (given | changes).items() if value is not None}


def run(**changes: Any) -> tuple[dict[str, Any], Working]:
    working = Working()
    return dict(log_compare.compute(inputs(**changes), working)), working


# Own simulation: a change of −6 K that is known, and 25 km/h of 0.35 K for each the other way.
def test_the_change_is_found_where_the_plain_means_have_the_traffic() -> None:
    found, _ = run()
    assert found["difference"] == pytest.approx(-6, abs=1)
    assert found["level"]["after"] - found["level"]["before"] == pytest.approx(found["difference"])
    assert found["plain_difference"] > 1, "a rise, by traffic alone"
    assert all(one < -0.6 for one in found["speed_correlation"].values())
    assert list(found["speed_correlation"]) == [
        f"{side}-{number}" for side in ("before", "after") for number in (1, 2, 3)
    ]
    assert sum(found["bin_weight"].values()) == pytest.approx(1)
    weighed = [found["bin_weight"][key] * found["bin_difference"][key] for key in found["bin_weight"]]
    assert sum(weighed) == pytest.approx(found["difference"])
    assert "40-50-km/h" in found["bin_difference"]
    assert sum(found["bin_readings_before"].values()) == found["readings"]["before"]
    assert found["independent_readings"]["before"] < found["readings"]["before"] / 4
    assert sum(found["bin_independent_after"].values()) == pytest.approx(
        found["independent_readings"]["after"]
    )
    assert found["drives"] == {"before": 3, "after": 3}


def test_what_is_compared_brings_its_unit() -> None:
    found, _ = run()
    difference, level = found["difference"], found["level"]["before"]
    assert (difference.dimension, difference.unit) == ("temperature difference", "K")
    assert (level.dimension, level.unit) == ("temperature", "°C")


def test_a_pressure_is_compared_as_well() -> None:
    def of(level: float, seed: int) -> Log:
        chance = np.random.default_rng(seed)
        return log_of(
            range(200),
            dimension="pressure",
            unit="hPa",
            value=level + chance.normal(0, 20, 200),
            road_speed=[20.0] * 200,
        )

    found, _ = run(before=(of(1000, 1), of(1000, 2)), after=(of(950, 3), of(950, 4)))
    assert found["difference"] == pytest.approx(-50, abs=8)
    assert (found["difference"].dimension, found["difference"].unit) == ("pressure", "hPa")


# scipy.stats.ttest_ind, scipy 1: levels of drives that are known to a hair, in one bin.
def test_the_interval_of_drives_is_welchs() -> None:
    def of(levels: Sequence[float]) -> tuple[Log, ...]:
        return tuple(
            log_of(range(60), value=[level - 0.001, level + 0.001] * 30, road_speed=[20.0] * 60)
            for level in levels
        )

    before, after = [320.0, 322.0, 319.0], [314.0, 315.5, 311.0, 314.0]
    _, working = run(before=of(before), after=of(after), speed_bins=edges(0, 100))
    found = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.9545)
    doubt = next(one for one in working.doubted.values() if one.own.endswith("difference"))
    assert doubt.absolute == pytest.approx((found.high - found.low) / 2, rel=1e-3)


def test_drives_lie_above_each_other() -> None:
    found, _ = run(before=drives(75, 0.0, 1, 2, 3, of_a_drive=4.0))
    offsets = [found["drive_offset"][f"before-{number}"] for number in (1, 2, 3)]
    assert sum(offsets) == pytest.approx(0, abs=1e-9)
    assert max(map(abs, offsets)) > 1
    single, _ = run(before=drives(75, 0.0, 1))
    assert "before-1" not in single["drive_offset"]


# --- conditions ----------------------------------------------------------------------------------------


def with_weather(log: Log, ambient: float, throttle: float = 0.5) -> Log:
    count = len(log.times)
    columns: dict[str, Any] = dict(log.values)
    return log_of(
        log.times,
        **columns,
        ambient_temperature=[ambient] * count,
        throttle=[throttle] * (count // 2) + [throttle / 2] * (count - count // 2),
    )


def test_the_weather_is_taken_off() -> None:
    before = tuple(with_weather(log, 290) for log in drives(60, 0.0, 1, 2))
    after = tuple(with_weather(log, 280) for log in drives(60, 0.0, 3, 4))
    plain, working = run(before=before, after=after)
    above, other = run(before=before, after=after, above_ambient=True)
    assert above["difference"] == pytest.approx(plain["difference"] + 10)
    assert above["level"]["before"].dimension == "temperature difference"
    assert any("What the weather did is in the difference" in one for one in working.remarks)
    assert not any("What the weather did" in one for one in other.remarks)


def test_bins_of_the_weather() -> None:
    before = (with_weather(drives(60, 0.0, 1)[0], 290), with_weather(drives(60, 0.0, 2)[0], 300))
    after = (with_weather(drives(60, -6.0, 3)[0], 291),)
    weather = [AsWritten(273.15 + one, f"{one} °C", "°C") for one in (10, 20, 30)]
    found, working = run(before=before, after=after, ambient_bins=weather)
    assert all(key.endswith(",10-20-°C") for key in found["bin_weight"])
    assert found["drives"] == {"before": 1, "after": 1}
    assert any("Left out, since only before has rows there" in one for one in working.remarks)
    assert any("Without a row in the bins that both sides have: made.csv." in one for one in working.remarks)


def test_rows_are_chosen_by_the_throttle_and_told_of() -> None:
    before = tuple(with_weather(log, 290) for log in drives(60, 0.0, 1, 2))
    after = tuple(with_weather(log, 290) for log in drives(60, 0.0, 3, 4))
    found, working = run(before=before, after=after, throttle_least=0.4)
    assert found["share_compared"]["before"] == pytest.approx(0.5, abs=0.01)
    told = next(one for one in working.remarks if one.startswith("Left out of the 1800 rows of before"))
    assert "900 of another throttle" in told


def test_rows_are_chosen_by_steady_speed() -> None:
    loose, _ = run()
    found, working = run(steady_within=10 * KMH, steady_for=10.0)
    assert 0.05 < found["share_compared"]["before"] < loose["share_compared"]["before"]
    assert any("not steady" in one for one in working.remarks)
    _, all_rows = run()
    assert any(one.startswith("Rows count however the speed was reached") for one in all_rows.remarks)
    assert not any("Rows count however" in one for one in working.remarks)


def test_bins_by_engine_speed_alone() -> None:
    def of(level: float, seed: int) -> Log:
        chance = np.random.default_rng(seed)
        values = level + chance.normal(0, 1, 300)
        return log_of(range(300), value=values, engine_speed=chance.uniform(100, 500, 300))

    given = inputs(
        before=(of(360, 1), of(360, 2)),
        after=(of(355, 3), of(355, 4)),
        speed_bins=None,
        engine_speed_bins=[100.0, 300.0, 500.0],
    )
    view = seen(log_compare.compute, given)
    assert view.outputs["difference"] == pytest.approx(-5, abs=0.5)
    assert view.outputs["speed_effect"] == 0
    assert "speed_correlation" not in view.outputs
    charts = log_compare.chart({"": view})
    assert charts is not None
    assert len(charts) == 1, "no road speed to draw them against"


# --- what a reader is told -----------------------------------------------------------------------------


def test_a_drive_on_each_side_is_said_to_be_one() -> None:
    _, working = run(before=drives(75, 0.0, 1), after=drives(50, -6.0, 4), change_to_show=measure(3))
    assert any("How drives differ from each other" in one for one in working.remarks)
    assert any("are the fewest" in one for one in working.remarks)
    _, working = run(after=drives(50, -6.0, 4))
    assert "The drives of one side are taken to scatter as those of the other do." in working.remarks
    _, working = run()
    assert not any("drives" in one.lower() for one in working.remarks)


def test_bins_that_do_not_say_the_same() -> None:
    def of(fall: float, seed: int) -> Log:
        chance = np.random.default_rng(seed)
        speeds = np.repeat([10.0, 30.0], 400)
        values = 330 + chance.normal(0, 1, 800) - np.where(speeds > 20, fall, 0)
        return log_of(range(800), value=values, road_speed=speeds)

    given = {"before": (of(0, 1), of(0, 2)), "after": (of(8, 3), of(8, 4)), "speed_bins": edges(0, 72, 144)}
    _, working = run(**given)
    assert any(
        one.startswith(
            "Another difference than over all bins, by more than its interval: 0-72 km/h, 72-144 km/h."
        )
        for one in working.remarks
    )


def test_bins_that_are_too_wide() -> None:
    before, after = drives(75, 0.0, 1, 2, 3), drives(50, -6.0, 4, 5, 6)
    found, working = run(before=before, after=after, speed_bins=edges(0, 70, 140))
    assert found["speed_effect"] > 2
    assert found["difference"] == pytest.approx(-6, abs=1.5)
    assert any("narrower bins rest less on that line" in one for one in working.remarks)
    _, working = run()
    assert not any("narrower bins" in one for one in working.remarks)


def test_outliers_are_shown() -> None:
    log = drives(75, 0.0, 1)[0]
    values = np.array(log.values["value"])
    values[100] += 80
    spiked = log_of(log.times, value=values, road_speed=log.values["road_speed"])
    found, _ = run(before=(spiked,))
    assert found["outliers"]["before"] == 1
    assert found["largest_outlier"] == {"before": pytest.approx(80, abs=10)}
    assert found["readings"]["before"] == run(before=(log,))[0]["readings"]["before"]


def test_drives_that_share_no_bin_are_not_called_two_drives() -> None:
    def of(level: float, speed: float, seed: int) -> Log:
        chance = np.random.default_rng(seed)
        return log_of(range(200), value=level + chance.normal(0, 1, 200), road_speed=[speed] * 200)

    given = inputs(
        before=(of(330, 10, 1), of(320, 30, 2)),
        after=(of(325, 10, 3), of(315, 30, 4)),
        speed_bins=edges(0, 72, 144),
    )
    working = Working()
    difference = log_compare.compute(given, working)["difference"]
    assert any("no side has two drives that share a bin" in one for one in working.remarks)
    assert isinstance(difference, Measure)
    value = Value(si=difference, dimension=difference.dimension, unit=difference.unit, decimals=1)
    told = log_compare.conclude(given, {"difference": value})
    assert told["finding"].startswith("The logs of 4 drives show a fall of ")
    assert told["finding"].endswith(" K, if drives do not differ by themselves.")
    assert told["rests_on"].endswith("2 and 2 drives, of which no two share enough bins")


# --- how many drives -----------------------------------------------------------------------------------


def measure(kelvin: float, dimension: str = "temperature difference", unit: str = "K") -> Measure:
    return Measure(kelvin, dimension, unit, 1)


# The power itself is held to scipy.stats.nct in tests/kinds/models/test_drives.py.
def test_drives_needed() -> None:
    many, _ = run(change_to_show=measure(0.5))
    few, _ = run(change_to_show=measure(-5))
    assert few["drives_needed"] == 2
    assert many["drives_needed"] > 5


# --- refusals ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "kind", "words"),
    [
        ({"speed_bins": None}, MissingInput, "neither speed_bins nor"),
        ({"speed_bins": edges(0, 50, 50)}, InputsConflict, "edges that rise"),
        ({"steady_within": 1.0}, MissingInput, "steady_for as well"),
        ({"steady_for": 1.0}, MissingInput, "steady_within as well"),
        ({"throttle_least": 0.5, "throttle_most": 0.2}, InputsConflict, "no more than throttle_most"),
        ({"throttle_least": 0.5}, MissingInput, "throttle among its columns"),
        ({"load_most": 0.5}, MissingInput, "load among its columns"),
        ({"above_ambient": True}, MissingInput, "ambient_temperature among its columns"),
        ({"engine_speed_bins": [0.0, 100.0, 200.0, 300.0, 400.0]}, InputsConflict, "36 at most"),
        ({"change_to_show": measure(276, "temperature", "°C")}, InputsConflict, "a temperature difference"),
        ({"change_to_show": measure(5, "pressure", "Pa")}, InputsConflict, "a temperature difference"),
        ({"change_to_show": measure(0)}, InputsConflict, "above or below 0"),
        ({"change_to_show": measure(1e-4)}, NoSolution, "1000 drives"),
        ({"speed_bins": edges(200, 210, 220)}, NoSolution, "no row that counts: 2700 outside the bins"),
        ({"steady_within": 0.1, "steady_for": 60.0}, NoSolution, "no row that counts: 2700 not steady"),
    ],
)
def test_what_is_refused(changes: dict[str, Any], kind: type[Refused], words: str) -> None:
    with pytest.raises(kind, match=words):
        run(**changes)


def test_logs_of_different_things_are_not_compared() -> None:
    pressure = log_of([0, 1], dimension="pressure", unit="hPa", value=[1, 2], road_speed=[9, 9])
    with pytest.raises(InputsConflict, match="temperature, as the first log of before has it"):
        run(after=(pressure,))
    with pytest.raises(InputsConflict, match="a temperature to take the ambient one off"):
        run(before=(pressure,), after=(pressure,), above_ambient=True)


# --- charts --------------------------------------------------------------------------------------------


def test_charts() -> None:
    view = seen(log_compare.compute, inputs())
    charts = log_compare.chart({"": view})
    assert charts is not None
    bars, dots = charts
    assert isinstance(bars, BarSpec)
    assert isinstance(dots, ChartSpec)
    assert [bar.label for bar in bars.bars][-2:] == ["all bins", "plain means"]
    assert len(bars.bars) == len(view.outputs["bin_difference"]) + 2
    assert [one.label for one in dots.series] == [
        "before",
        "before, each drive",
        "after",
        "after, each drive",
    ]
    line = dots.series[0]
    assert all(low < own < high for low, own, high in zip(line.low, line.y, line.high, strict=True))


# --- in a page -----------------------------------------------------------------------------------------


def csv(level: float, seed: int) -> str:
    """One drive at one speed, of readings that know nothing of each other."""
    chance = np.random.default_rng(seed)
    rows = "".join(f"{row},54,{level + chance.normal(0, 2):.2f}\n" for row in range(100))
    return "t [s],speed [km/h],inlet [°C]\n" + rows


def block(by: str = "", instruments: tuple[str, str] = ("", "")) -> str:
    def log(side: str, instrument: str) -> str:
        more = (f", by: {by}" if by else "") + (f", instrument: {instrument}" if instrument else "")
        return f"""
              {side}:
                data: [data/{side}-1.csv, data/{side}-2.csv, data/{side}-3.csv]
                time: {{heading: t, unit: s}}
                columns:
                  value: {{heading: inlet{more}}}
                  road_speed: {{heading: speed}}"""

    sides = "".join(log(*one) for one in zip(("before", "after"), instruments, strict=True))
    return calc(f"""
            id: shield
            kind: log_compare
            inputs:
              speed_bins: [30 km/h, 60 km/h]{sides}
        """)


def case_of(folder: Path, text: str, fall: float = 6.0, scatter: float = 0.0) -> CaseResult:
    files: dict[str, str | bytes] = {"a.md": text}
    for number in (1, 2, 3):
        files[f"data/before-{number}.csv"] = csv(50 + scatter * number, number)
        files[f"data/after-{number}.csv"] = csv(50 - fall + scatter * number, number + 10)
    book: Book = open_site(folder, files)
    (result,) = book.results.values()
    assert result.faults == ()
    return result.cases[""]


def test_the_sentence_says_whether_there_is_a_change(tmp_path: Path) -> None:
    case = case_of(tmp_path, block())
    shown = case.uncertainty("difference")
    assert case.outputs["change"] == "a fall"
    assert case.outputs["finding"].startswith("The logs show a fall of ")
    assert case.outputs["finding"].endswith(f" ± {shown:.2g} K.")
    assert "drives" in case.outputs["rests_on"]
    none = case_of(tmp_path, block(), fall=0.0, scatter=2.0)
    assert none.outputs["change"] == "none shown"
    assert none.outputs["finding"].startswith("The logs do not show a change: it lies between −")
    assert "could hide in it" in none.outputs["finding"]


# One instrument on both sides cancels, two bring √2 times as much (JCGM 100:2008, 5.1.2 and F.1.2).
def test_an_instrument_that_read_both_sides_cancels(tmp_path: Path) -> None:
    plain = case_of(tmp_path, block())
    same = case_of(tmp_path, block("± 1 K", ("probe", "probe")))
    others = case_of(tmp_path, block("± 1 K", ("old probe", "new probe")))
    own = plain.uncertainty("difference")
    assert same.uncertainty("difference") == pytest.approx(own, rel=1e-6)
    stated = sqrt(others.uncertainty("difference") ** 2 - own**2)
    # A bare ± is one standard uncertainty, so that U is twice of it.
    assert stated == pytest.approx(2 * sqrt(2), rel=1e-3)
    level = sqrt(same.uncertainty("level", "before") ** 2 - plain.uncertainty("level", "before") ** 2)
    assert level == pytest.approx(2, rel=1e-3)


def test_outputs_are_declared(tmp_path: Path) -> None:
    found: Outputs = log_compare.compute(inputs(), Working())
    declared = {output.name for output in log_compare.OUTPUTS}
    assert found.keys() <= declared


# --- the demonstration ---------------------------------------------------------------------------------


def test_the_demonstration_finds_what_its_logs_were_made_with(tmp_path: Path) -> None:
    """Its logs come from a car of their own (tests/demo_data.py), whose inlets are known at every speed."""
    logs = ROOT / "content" / "data" / "logs"
    page = (ROOT / "content" / "episodes" / "before-and-after.md").read_text("utf-8")
    fences = [fence for fence in re.findall(r"```yaml calc\n.*?```\n", page, re.S) if "log_compare" in fence]
    files: dict[str, str | bytes] = {"a.md": fences[0]}
    files |= {f"data/logs/{path.name}": path.read_bytes() for path in logs.glob("inlet-*.csv")}
    (result,) = open_site(tmp_path, files).results.values()
    case = result.cases[""]

    def made(speed: float) -> float:
        return demo_data.OVAL.excess(speed) - demo_data.PIPE.excess(speed)

    wanted = sum(
        weight * made(fmean(map(float, re.findall(r"\d+", key)[:2])))
        for key, weight in case.outputs["bin_weight"].items()
    )
    assert wanted == pytest.approx(-21.5, abs=0.5)
    sure = case.uncertainty("difference")
    assert abs(case.outputs["difference"] - wanted) < sure < 4
    assert abs(case.outputs["plain_difference"] - wanted) > sure, "the traffic, by more than all doubt"


def test_rows_that_stand_on_both_sides_are_refused() -> None:
    with pytest.raises(InputsConflict, match=r"rows of made\.csv that before has too"):
        run(before=drives(60, 0.0, 1), after=drives(60, 0.0, 1))
