"""What charts draw, held to the kind's own results: each point of a curve is what the block gives when it is
computed again with the input that the axis stands for. What a chart adds to that, ends, bands, names of
lines, is in closed form or by hand from the inputs of the manual's examples.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import pi, sqrt
from typing import Any

import numpy as np
import pytest

from buildlog.diagnostics import Position
from buildlog.kinds import catalogue
from buildlog.kinds.chart import BarSpec, ChartSpec, Series
from buildlog.kinds.declaration import Working
from buildlog.kinds.results import Value
from buildlog.reading.blocks import read_block
from buildlog.reading.nodes import whole_file
from tests.calculators.test_all_kinds import run
from tests.calculators.test_charts import RPM, chart, curve, example, value


def inputs(kind: str, case: str) -> dict[str, Any]:
    return dict(example(kind).cases[case].inputs)


def again(kind: str, case: str, **changed: Any) -> dict[str, Any]:
    """The outputs of a case computed once more with other inputs, SI."""
    return dict(catalogue.load_kind(kind).compute({**inputs(kind, case), **changed}, Working()))


def drawn(kind: str, label: str, number: int = 0) -> Series:
    (series,) = (one for one in chart(kind, number).series if one.label == label)
    return series


def some(points: Sequence[float]) -> list[int]:
    """The first, the last and a few places between."""
    return sorted({0, 1, len(points) // 3, len(points) // 2, len(points) - 2, len(points) - 1})


def expanded(kind: str, case: str, output: str, key: str = "") -> float:
    found = example(kind).value(case, output, key)
    assert isinstance(found, Value)
    return found.expanded_uncertainty


def is_band_of(series: Series, share: float) -> None:
    """The band lies the same share of each value below and above it."""
    y = np.array(series.y)
    assert list(series.low) == pytest.approx(list(y * (1 - share)))
    assert list(series.high) == pytest.approx(list(y * (1 + share)))


# --- curves over an input ---------------------------------------------------------------------


@pytest.mark.parametrize("case", ["cooled", "uncooled"])
def test_charge_and_torque_at_each_pressure_ratio(case: str) -> None:
    """From no boost to twice the pressure, since 1.2 times the chosen 1.5 is less."""
    warm, strong = drawn("forced_induction", case), drawn("forced_induction", case, 1)
    assert (warm.x[0], warm.x[-1]) == pytest.approx((1.0, 2.0))
    assert list(strong.x) == list(warm.x)
    for at in some(warm.x):
        found = again("forced_induction", case, pressure_ratio=warm.x[at])
        assert warm.y[at] == pytest.approx(found["charge_temperature"])
        assert strong.y[at] == pytest.approx(found["boosted_torque"])
        off = strong.high[at] - strong.y[at]
        assert strong.y[at] - strong.low[at] == pytest.approx(off)
        # a rule of thumb, doubted in proportion to what it gains or costs
        share = abs(
            found["gain_by_charge"] / again("forced_induction", case, pressure_ratio=2.0)["gain_by_charge"]
        )
        assert off == pytest.approx((strong.high[-1] - strong.y[-1]) * share, abs=1e-9)
    lines = {(one.label, one.x, one.y) for one in chart("forced_induction", 1).markers}
    assert lines == {
        ("cooled", 1.5, None),
        ("uncooled", 1.5, None),
        ("clutch carries", None, 230.0),
        ("gearbox carries", None, 220.0),
    }


@pytest.mark.parametrize("case", ["standard", "lighter"])
def test_the_gearbox_is_shaken_as_the_block_says_at_each_speed(case: str) -> None:
    """From idle, 850/min, to twice the load's 2000/min, the torque of the load held."""
    shaken = drawn("rattle", case)
    assert (shaken.x[0], shaken.x[-1]) == pytest.approx((850 * RPM, 4000 * RPM))
    for at in some(shaken.x):
        found = again("rattle", case, load_speed=shaken.x[at])
        assert shaken.y[at] == pytest.approx(found["angular_acceleration"]["load"])
    is_band_of(
        shaken,
        expanded("rattle", case, "angular_acceleration", "load")
        / value("rattle", case, "angular_acceleration", "load"),
    )
    (load,) = chart("rattle").markers
    assert (load.label, load.y) == ("the load's speed", None)
    assert load.x == pytest.approx(2000 * RPM)


def test_each_drop_falls_as_the_block_says() -> None:
    falls = drawn("splash_trap", "fall of a drop")
    assert falls.x[-1] == pytest.approx(0.006)
    assert falls.x[0] <= 0.0001
    assert all(then == pytest.approx(falls.x[1] - falls.x[0]) for then in np.diff(falls.x))
    for at in some(falls.x)[1:]:
        found = again("splash_trap", "small", drop=[falls.x[at]])
        assert falls.y[at] == pytest.approx(*found["terminal_velocity"].values())


@pytest.mark.parametrize("case", ["small", "large"])
def test_the_updraught_has_a_band_over_all_drops(case: str) -> None:
    band = drawn("splash_trap", f"± U, {case}")
    updraught, sure = value("splash_trap", case, "updraught"), expanded("splash_trap", case, "updraught")
    assert sure > 0
    assert list(band.x) == [0.0, 0.006]
    assert list(band.y) == pytest.approx([updraught] * 2)
    assert list(band.low) == pytest.approx([updraught - sure] * 2)
    assert list(band.high) == pytest.approx([updraught + sure] * 2)


@pytest.mark.parametrize("case", ["stainless", "titanium"])
def test_back_pressure_at_each_engine_speed(case: str) -> None:
    """From 0.3 to 1.05 of the chosen 7400/min."""
    over = drawn("exhaust", case)
    chosen = 7400 * RPM
    assert (over.x[0], over.x[-1]) == pytest.approx((0.3 * chosen, 1.05 * chosen))
    for at in some(over.x):
        assert over.y[at] == pytest.approx(again("exhaust", case, engine_speed=over.x[at])["back_pressure"])
    is_band_of(over, expanded("exhaust", case, "back_pressure") / value("exhaust", case, "back_pressure"))
    lines = {one.label: (one.x, one.y) for one in chart("exhaust").markers}
    assert lines == {"chosen speed": (pytest.approx(chosen), None), "allowed": (None, 12_000.0)}


@pytest.mark.parametrize("case", ["stainless", "titanium"])
def test_pressure_along_the_exhaust_falls_from_piece_to_piece(case: str) -> None:
    """0.9 m, a bend of 60° at 120 mm, 0.45 m of the path that takes more, 0.35 m to the tip (by hand)."""
    x, y = curve("exhaust", case, 1)
    bend = 0.12 * pi / 3
    marks = [0.0, 0.9, 0.9 + bend, 0.9 + bend + 0.45, 0.9 + bend + 0.8]
    shares = {key: value("exhaust", case, "path_share", key) for key in ("quiet", "loud")}
    if shares["loud"] > shares["quiet"]:
        marks = [0.0, 0.9, 0.9 + bend, 0.9 + bend + 0.5, 0.9 + bend + 0.85]
    middle = max(shares, key=lambda key: shares[key])
    ahead = ["front", "over-axle", {"quiet": "silencer", "loud": "valve"}[middle], "tail"]
    falls = [value("exhaust", case, "pressure_ahead", key) for key in ahead]
    falls.append(value("exhaust", case, "exit_loss"))
    assert np.interp(marks[:4], x, y) == pytest.approx(falls[:4])
    assert (x[0], x[-1], x[-2]) == pytest.approx((0.0, marks[4], marks[4]))
    assert (y[-2], y[-1]) == pytest.approx((falls[4], 0.0))
    for (start, end), (high, low) in zip(pairwise(marks), pairwise(falls), strict=True):
        inside = [(at, up) for at, up in zip(x[:-1], y[:-1], strict=True) if start <= at <= end]
        assert len(inside) >= 5
        for at, up in inside:
            assert up == pytest.approx(high + (low - high) * (at - start) / (end - start))


def test_the_primary_is_as_long_as_the_block_says_at_each_speed() -> None:
    """From 0.6 to 1.3 of the chosen 7200/min; the length hangs on the gas speed of the chosen one alone."""
    tuned = drawn("header", "even, return 1")
    chosen = 7200 * RPM
    assert (tuned.x[0], tuned.x[-1]) == pytest.approx((0.6 * chosen, 1.3 * chosen))
    length, port = value("header", "even", "effective_length"), inputs("header", "even")["port_length"]
    assert value("header", "even", "primary_length") == pytest.approx(length - port)
    # t = angle / speed: the way there and back in the same angle of the crank (kinematics)
    assert list(tuned.y) == pytest.approx([length * chosen / speed - port for speed in tuned.x])
    share = expanded("header", "even", "effective_length") / length
    whole = np.array(tuned.y) + port
    assert list(tuned.low) == pytest.approx(list(whole * (1 - share) - port))
    assert list(tuned.high) == pytest.approx(list(whole * (1 + share) - port))
    markers = {one.label: (one.x, one.y) for one in chart("header").markers}
    assert markers == {
        "even, chosen": pytest.approx((chosen, length - port)),
        "wanted speed": (pytest.approx(chosen), None),
        "stepped, sections": pytest.approx(
            (
                value("header", "stepped", "tuned_speed"),
                value("header", "stepped", "equivalent_length") - port,
            )
        ),
    }


def test_what_the_primary_hangs_on() -> None:
    """Each bar is what the length changes by when that one thing changes: L = c t / 2 of a round trip that
    takes `wave_time_ratio` of sound's, c with the root of the absolute temperature."""
    bars = example("header").charts[1]
    assert isinstance(bars, BarSpec)
    changes = {bar.label: bar.value for bar in bars.bars}
    length = value("header", "even", "effective_length")
    angle = value("header", "even", "return_angle")
    assert changes == pytest.approx(
        {
            "wave leaves 15° later": length * (angle - pi / 12) / angle - length,
            "its round trip a tenth slower": length / 1.1 - length,
            "gas 60 K hotter": length * (sqrt(1 + 60 / 1073.15) - 1),
            "engine 500 rpm faster": length * 7200 / 7700 - length,
        },
        rel=0.02,  # the heat capacities of the gas change a little too
    )


@pytest.mark.parametrize("gear", [3, 4, 5])
@pytest.mark.parametrize("case", ["before", "both"])
def test_the_pressure_at_the_inlet_at_each_road_speed(case: str, gear: int) -> None:
    """To the fastest speed asked about, or to the limiter, 7600/min, in that gear (kinematics)."""
    number = gear - 3
    rise = drawn("ram_air", case, number)
    ratio = {3: 1.5, 4: 1.2, 5: 1.0}[gear] * 4.1
    limiter = 7600 / 60 * 1.85 / ratio
    assert (rise.x[0], rise.x[-1]) == pytest.approx((0.0, min(160 / 3.6, limiter)))
    assert rise.y[0] == 0.0
    for at in some(rise.x):
        if rise.x[at] > 10 / 3.6:
            within = min(rise.x[at], limiter * (1 - 1e-9))
            found = again("ram_air", case, speed=[within], gear=[gear])
            assert rise.y[at] == pytest.approx(*found["inlet_pressure_rise"].values())
    # how sure it is goes with the square of the speed, from that of the table
    speed, key = {3: (80, "80-km/h-in-3"), 4: (120, "120-km/h-in-4"), 5: (160, "160-km/h-in-5")}[gear]
    sure = expanded("ram_air", case, "inlet_pressure_rise", key)
    half = [sure * (at / (speed / 3.6)) ** 2 for at in rise.x]
    assert [high - y for high, y in zip(rise.high, rise.y, strict=True)] == pytest.approx(half)
    assert [y - low for low, y in zip(rise.low, rise.y, strict=True)] == pytest.approx(half)


@pytest.mark.parametrize("number", [0, 1, 2])
def test_all_of_the_ram(number: int) -> None:
    ram = drawn("ram_air", "all of the ram", number)
    assert (ram.x[0], ram.x[-1]) == pytest.approx((0.0, 160 / 3.6))
    for at in some(ram.x):
        if ram.x[at] > 10 / 3.6:
            found = again("ram_air", "both", speed=[ram.x[at]], gear=[5])
            assert ram.y[at] == pytest.approx(*found["ram_pressure"].values())
    assert [(one.label, one.y) for one in chart("ram_air", number).markers] == [("ambient", 0.0)]


@pytest.mark.parametrize("case", ["cold", "hot"])
@pytest.mark.parametrize(("label", "prefix"), [("chamber", "helmholtz"), ("branch", "quarter_wave")])
def test_what_chamber_and_branch_keep_of_firing(case: str, label: str, prefix: str) -> None:
    """From idle to the limiter, where each peaks at the speed at which firing meets its frequency."""
    kept = drawn("side_chamber", f"{label}, {case}", 1)
    given = inputs("side_chamber", case)
    assert (kept.x[0], kept.x[-1]) == pytest.approx((given["idle_speed"], 8000 * RPM))
    peak = value("side_chamber", case, f"{prefix}_firing_revs")
    assert kept.x[int(np.argmax(kept.y))] == pytest.approx(peak)
    assert max(kept.y) == pytest.approx(value("side_chamber", case, f"{prefix}_transmission_loss"))
    for at in some(kept.x):
        found = again("side_chamber", case, engine_speed=kept.x[at])
        assert kept.y[at] == pytest.approx(found[f"{prefix}_loss_at_engine_speed"], rel=1e-6)
    # where firing meets the frequency, it is as sure as the result of that is
    sure = expanded("side_chamber", case, f"{prefix}_transmission_loss")
    off = max(kept.high) - max(kept.y)
    assert off == pytest.approx(sure, rel=0.1)
    for low, y, high in zip(kept.low, kept.y, kept.high, strict=True):
        assert low < y < high
        assert high - y == pytest.approx(y - low)


# --- curves and bars of results -----------------------------------------------------------------


def test_power_against_inlet_temperature_by_both_rules() -> None:
    """T_1/T_2 − 1 and its root, from 5 K below the colder to 5 K above the hotter; half the density rule is
    doubted, as limits, so that U is 2/√3 of that (JCGM 100:2008, 4.3.7)."""
    start = 319.15
    for label, power in (("density rule", 1.0), ("square-root rule", 0.5)):
        x, y = curve("charge_temperature", label)
        assert (x[0], x[-1]) == pytest.approx((298.95 - 5, 319.15 + 5))
        assert list(y) == pytest.approx([(start / at) ** power - 1 for at in x])
    density = drawn("charge_temperature", "density rule")
    half = [2 * 0.5 * abs(y) / sqrt(3) for y in density.y]
    assert [high - y for high, y in zip(density.high, density.y, strict=True)] == pytest.approx(half)
    assert [y - low for low, y in zip(density.low, density.y, strict=True)] == pytest.approx(half)
    after, outside = chart("charge_temperature").markers
    assert after.label == "after"
    assert after.x == pytest.approx(298.95)
    assert after.y == pytest.approx(sqrt(319.15 / 298.95) - 1)
    assert (outside.label, outside.x, outside.y) == ("outside", 292.15, None)


def test_pressure_along_a_duct_falls_by_each_loss() -> None:
    """Lengths of the rows, a bend's along its axis (by hand); nothing is lost in the still air outside."""
    bend = 0.1 * pi / 2
    ways = {
        "old": (("mouth", 0.0), ("hose", 0.4), ("dump", 0.0), ("panel", 0.0)),
        "both, path a": (("mouth", 0.0), ("hose", 0.4), ("dump", 0.0), ("panel", 0.0)),
        "both, path b": (("horn", 0.0), ("bend", bend), ("cone", 0.06), ("new-dump", 0.0), ("panel", 0.0)),
    }
    for label, pieces in ways.items():
        x, y = curve("duct", label)
        along, lost = [0.0], [0.0]
        for key, length in pieces:
            along.append(along[-1] + length)
            lost.append(lost[-1] - value("duct", label.partition(",")[0], "loss", key))
        assert list(x) == pytest.approx(along)
        assert list(y) == pytest.approx(lost, abs=1e-3)


def test_what_a_flywheel_weighs_in_each_gear() -> None:
    """J (i/r)²: the mass that takes as much energy to bring to speed (mechanics)."""
    bars = example("flywheel").charts[1]
    assert isinstance(bars, BarSpec)
    found = {bar.label: bar.value for bar in bars.bars}
    assert len(found) == 10
    for case in ("standard", "lighter"):
        inertia = value("flywheel", case, "inertia")
        for gear, ratio in enumerate((3.32, 2.04, 1.43, 1.13, 1.0), start=1):
            mass = inertia * (ratio * 41 / 9 / 0.289) ** 2
            assert found[f"gear {gear}, {case}"] == pytest.approx(mass)
    styles = {bar.label.rpartition(", ")[2]: bar.style for bar in bars.bars}
    assert len(set(styles.values())) == 2


@pytest.mark.parametrize("case", ["measured", "corrected"])
def test_torque_and_power_of_a_run(case: str) -> None:
    """P = M ω at each thousand revs that the card lists; the gain is the one less the other."""
    speeds = [thousand * 1000 * RPM for thousand in range(2, 8)]
    torque, power = drawn("power_run", case), drawn("power_run", case, 1)
    assert list(torque.x) == pytest.approx(speeds)
    assert list(power.x) == pytest.approx(speeds)
    for revs, (speed, at, up) in enumerate(zip(torque.x, torque.y, power.y, strict=True), start=2):
        assert at == pytest.approx(value("power_run", case, "torque_at", f"{revs}000-rpm"))
        assert up == pytest.approx(at * speed)
    (gained,) = chart("power_run", 2).series
    measured, corrected = (curve("power_run", one, 1)[1] for one in ("measured", "corrected"))
    assert list(gained.y) == pytest.approx([b - a for a, b in zip(measured, corrected, strict=True)])
    assert [(one.label, one.y) for one in chart("power_run", 2).markers] == [("no change", 0.0)]


def test_speed_over_a_course_takes_the_times_that_are_told() -> None:
    """∫ ds/v of the drawn speeds is about the course's time; the gain at the end is the times' difference."""
    ends = {}
    for case in ("long", "short"):
        x, y = curve("course", case)
        assert (x[0], x[-1], y[0]) == pytest.approx((0.0, 744.0, 0.0), abs=0.5)
        way, speed = np.array(x), np.array(y)
        mean = (speed[1:] + speed[:-1]) / 2  # of a steady acceleration between two points
        ends[case] = value("course", case, "course_time")
        assert float(np.sum(np.diff(way) / mean)) == pytest.approx(ends[case], rel=0.02)
        assert max(y) == pytest.approx(value("course", case, "top_speed"), rel=5e-3)
    x, y = curve("course", "short", 1)
    assert (x[0], y[0], x[-1]) == pytest.approx((0.0, 0.0, 744.0))
    assert y[-1] == pytest.approx(ends["long"] - ends["short"], abs=2e-3)
    assert [(one.label, one.x) for one in chart("course").markers] == [("left", 180.0), ("hairpin", 500.0)]


def test_readings_and_their_means() -> None:
    """Four readings and four, in the order in which they were taken; a mean is drawn from its first to its
    last (by hand)."""
    readings = {"before": [21.84, 21.97, 21.79, 21.91], "after": [21.42, 21.55, 21.38, 21.51]}
    for label, taken in readings.items():
        points, mean = drawn("measured", label), drawn("measured", f"mean, {label}")
        assert list(points.y) == pytest.approx(taken)
        assert points.points_only
        assert not mean.points_only
        assert list(mean.y) == pytest.approx([sum(taken) / 4] * 2)
        assert points.style == mean.style
    assert list(drawn("measured", "before").x) == [1.0, 2.0, 3.0, 4.0]
    assert [(one.label, one.y) for one in chart("measured").markers] == [("most", 21.8)]


def test_bars_of_a_log_comparison() -> None:
    """Each bar is the result of its name, and ends where its ± may take it."""
    bars = example("log_compare").charts[0]
    assert isinstance(bars, BarSpec)
    named = {
        "30–60 km/h": ("bin_difference", "30-60-km/h"),
        "60–90 km/h": ("bin_difference", "60-90-km/h"),
        "all bins": ("difference", ""),
        "plain means": ("plain_difference", ""),
    }
    for bar in bars.bars:
        output, key = named[bar.label.replace("-", "–")]
        assert bar.value == pytest.approx(value("log_compare", "", output, key))
        assert bar.start == 0.0
        if bar.low is not None and bar.high is not None:
            sure = expanded("log_compare", "", output, key)
            assert (bar.low, bar.high) == pytest.approx((bar.value - sure, bar.value + sure))
    assert [(one.label, one.x) for one in bars.markers] == [("no change", 0.0)]


def test_shares_of_the_gears_and_their_lines() -> None:
    bars = example("log_gearing").charts[1]
    assert isinstance(bars, BarSpec)
    shares = {bar.label: bar.value for bar in bars.bars}
    assert shares == pytest.approx(
        {f"gear {gear}": value("log_gearing", "", "share", str(gear)) for gear in (1, 2, 3)}
        | {"no gear": value("log_gearing", "", "share_in_none")}
    )
    assert sum(shares.values()) == pytest.approx(1.0)
    for gear in (1, 2):
        line, points = drawn("log_gearing", f"line of gear {gear}"), drawn("log_gearing", f"gear {gear}")
        slope = value("log_gearing", "", "speed_per_1000", str(gear))  # SI: m/s by rad/s
        offset = value("log_gearing", "", "offset", str(gear))
        for speed, revs in zip(line.x, line.y, strict=True):
            assert speed == pytest.approx(offset + slope * revs, abs=1e-6)
        assert points.points_only
        assert min(points.y) >= min(line.y) - 1e-9 or min(line.y) <= min(points.y)


def test_runs_over_each_other_and_their_times() -> None:
    """Each trace begins with its run, at the speed from which it is timed, 60 km/h, and goes to 80 km/h."""
    for number in (1, 2, 3):
        x, y = curve("timed_run", f"run {number}")
        time = value("timed_run", "", "run_time", f"third-gear.{number}")
        assert np.interp([0.0, time], x, y) == pytest.approx([60 / 3.6, 80 / 3.6], rel=5e-3)
        assert list(x) == sorted(x)
    (runs,) = chart("timed_run", 1).series
    times = [value("timed_run", "", "run_time", f"third-gear.{number}") for number in (1, 2, 3)]
    assert list(runs.x) == [1.0, 2.0, 3.0]
    assert list(runs.y) == pytest.approx(times)
    (mean,) = chart("timed_run", 1).markers
    assert (mean.label, mean.x) == ("mean, runs", None)
    assert mean.y == pytest.approx(sum(times) / 3)


def test_gaps_against_the_drawing() -> None:
    """4.2 mm and the mean of three readings of the other door, less 4 mm; within ± 1 mm they hold."""
    bars = example("survey").charts[1]
    assert isinstance(bars, BarSpec)
    left, right = bars.bars
    assert (left.label, right.label) == ("door left", "door right")
    assert (left.value, right.value) == pytest.approx((0.0002, 0.0169 / 3 - 0.004))
    for bar, key in ((left, "door-left"), (right, "door-right")):
        sure = expanded("survey", "", "gap_off", key)
        assert (bar.low, bar.high) == pytest.approx((bar.value - sure, bar.value + sure))
    (zone,) = bars.zones
    assert (zone.low, zone.high) == pytest.approx((-0.001, 0.001))
    assert zone.tone == "good"


def test_arrows_of_a_survey_are_enlarged_alike() -> None:
    """By a round factor, each along its own deviation, and the longest no longer than 0.15 of the survey."""
    spec = chart("survey")
    factors = set()
    for arrow, key in zip(spec.arrows, ("front-left", "front-right", "rear-left", "rear-right"), strict=True):
        for axis in (0, 1):
            off = value("survey", "", f"off_{'xy'[axis]}", key)
            if abs(off) > 1e-4:
                factors.add(round((arrow.end[axis] - arrow.start[axis]) / off, 6))
    assert len(factors) == 1
    (factor,) = factors
    assert factor in (1, 2, 5, 10, 20, 50, 100)


def test_what_is_left_about_a_wheel() -> None:
    """Room before less what lip, sidewall and tread moved by (by hand, ISO 3911): 7 to 8 in wide, an
    offset of 48 to 35 mm, tyres of 631.9 and 634.3 mm."""
    bars = example("wheel_fit").charts[0]
    assert isinstance(bars, BarSpec)
    left = {bar.label: bar.value for bar in bars.bars}
    inner_lip = 0.022 - ((8 - 7) * 0.0254 / 2 + 0.035 - 0.048)
    outer = 0.031 - value("wheel_fit", "", "outer_sidewall_movement")
    arch = 0.060 - (0.6343 - 0.6319) / 2
    assert left["inner lip"] == pytest.approx(inner_lip)
    assert left["outer sidewall"] == pytest.approx(outer)
    assert left["arch"] == pytest.approx(arch)
    zones = {zone.label: (zone.low, zone.high, zone.tone) for zone in bars.zones}
    assert zones == {
        "touches": (None, 0.0, "bad"),
        "too near for a lip": (0.0, 0.005, "bad"),
        "too near for rubber": (0.005, 0.010, "near"),
    }
    # surely clear of rubber, or perhaps nearer than 5 mm, by how sure it is
    assert [bar.tone for bar in bars.bars] == ["good", "near", "good", "good"]


def test_an_ellipse_of_the_centre_of_gravity_reaches_as_far_as_its_uncertainty() -> None:
    """In each direction, k = 2: the tangents of the ellipse of a covariance lie at ± 2 standard
    uncertainties (a property of the quadric form)."""
    for label, along, across in (
        ("before", "behind_front_axle", "right_of_centre"),
        ("after", "behind_front_axle_after", "right_of_centre_after"),
    ):
        ellipse, middle = drawn("weight_balance", f"{label} ± U", 1), drawn("weight_balance", label, 1)
        for points, centre, output in ((ellipse.x, middle.x, along), (ellipse.y, middle.y, across)):
            assert list(centre) == pytest.approx([value("weight_balance", "", output)])
            sure = expanded("weight_balance", "", output)
            assert (max(points) - min(points)) / 2 == pytest.approx(sure, rel=5e-3)
        assert (ellipse.x[0], ellipse.y[0]) == pytest.approx((ellipse.x[-1], ellipse.y[-1]))
        assert ellipse.filled
    (moved,) = chart("weight_balance", 1).arrows
    assert moved.start == pytest.approx(
        (value("weight_balance", "", "behind_front_axle"), value("weight_balance", "", "right_of_centre"))
    )


def test_the_centre_of_gravity_has_one_colour_in_both_plans() -> None:
    """The first of the car's own after the wheels'; what was changed has the next, and each its ellipse's."""
    (whole,) = (one for one in chart("weight_balance").series if one.points_only)
    before, after = drawn("weight_balance", "before", 1), drawn("weight_balance", "after", 1)
    assert (whole.style, before.style, after.style) == (1, 1, 2)
    for one in (before, after):
        assert drawn("weight_balance", f"{one.label} ± U", 1).style == one.style


def test_correlation_by_shift() -> None:
    """The best is the one told; without a shift it is the plain correlation."""
    (by_shift,) = chart("instrument_lag").series
    best = int(np.argmax(by_shift.y))
    assert by_shift.y[best] <= value("instrument_lag", "", "correlation") + 1e-9
    assert by_shift.y[best] == pytest.approx(value("instrument_lag", "", "correlation"), abs=5e-3)
    assert np.interp(0.0, by_shift.x, by_shift.y) == pytest.approx(
        value("instrument_lag", "", "correlation_unshifted"), abs=1e-6
    )
    (lag,) = chart("instrument_lag").markers
    assert (lag.label, lag.y) == ("lag", None)
    assert lag.x == pytest.approx(value("instrument_lag", "", "lag"))


# --- what every chart says -----------------------------------------------------------------------------

FROM_ZERO = {
    "acceleration": "xy xy xy x", "bolted_joint": "xy", "bracket": "xy", "charge_temperature": "-",
    "clutch": "y",
    "course": "xy x", "decision": "x", "duct": "x", "exhaust": "y xy", "flywheel": "xy x",
    "forced_induction": "- -", "gearing": "xy", "header": "y -", "instrument_lag": "-", "log_compare": "x -",
    "log_gearing": "xy x", "measured": "-", "parts": "- x", "power_run": "- y -", "ram_air": "x x x",
    "rattle": "y", "rivet_line": "x",
    "side_chamber": "xy y", "splash_trap": "xy", "survey": "- -", "test_plan": "xy",
    "timed_run": "- -", "weight_balance": "- - y", "wheel_fit": "- -", "cooler": "xy", "fan": "xy",
    "development": "- - - - -", "heat_shield": "-", "sheet_bend": "-", "tube_set": "- - -",
    "printed_part": "xy",
}  # fmt: skip
"""The axes that begin at zero, chart by chart: those of which a reader compares heights or goes by ways
from a start. The house's own choice (regression)."""


@pytest.mark.parametrize("kind", FROM_ZERO)
def test_the_axes_that_begin_at_zero(kind: str) -> None:
    found = []
    for spec in example(kind).charts:
        axes = (("x", spec.x),) if isinstance(spec, BarSpec) else (("x", spec.x), ("y", spec.y))
        found.append("".join(name for name, axis in axes if axis.from_zero) or "-")
    assert " ".join(found) == FROM_ZERO[kind]


def test_each_kind_is_held_to_what_begins_at_zero() -> None:
    assert set(FROM_ZERO) == set(catalogue.kind_names())


PLANS = {
    ("survey", 0), ("weight_balance", 0), ("weight_balance", 1), ("wheel_fit", 1), ("sheet_bend", 0),
    ("tube_set", 0), ("tube_set", 1), *(("development", number) for number in range(5)),
}  # fmt: skip


def test_a_plan_has_one_scale_both_ways() -> None:
    equal = {
        (kind, number)
        for kind in catalogue.kind_names()
        for number, spec in enumerate(example(kind).charts)
        if isinstance(spec, ChartSpec) and spec.equal_scale
    }
    assert equal == PLANS


POINTS = {
    "decision": {"steel", "light"}, "log_compare": {"before, each drive", "after, each drive"},
    "log_gearing": {"no gear", "gear 1", "gear 2", "gear 3"}, "measured": {"before", "after"},
    "survey": {"where it belongs"}, "timed_run": {"runs"}, "tube_set": {"wanted ends"},
    "weight_balance": {"centre of gravity, before and after", "before", "after"},
}  # fmt: skip


def test_what_is_read_singly_is_drawn_as_points() -> None:
    """Readings, places and margins have nothing between them; whatever else is a curve."""
    for kind in catalogue.kind_names():
        found = {
            one.label
            for spec in example(kind).charts
            if isinstance(spec, ChartSpec)
            for one in spec.series
            if one.points_only
        }
        assert found == POINTS.get(kind, set()), kind


def test_a_colour_is_a_cases_own() -> None:
    """The same case has the same style in all charts of a block with curves by case."""
    for kind in ("acceleration", "course", "exhaust", "forced_induction", "power_run"):
        styles: dict[str, set[int]] = {}
        for spec in example(kind).charts:
            assert isinstance(spec, ChartSpec)
            for one in spec.series:
                styles.setdefault(one.label, set()).add(one.style)
        assert all(len(found) == 1 for found in styles.values()), kind
        assert len({*map(frozenset, styles.values())}) == len(styles), kind


def test_the_pressure_ratio_goes_a_fifth_beyond_the_choice_and_to_four_at_most() -> None:
    """By hand: 1.2 · 2.5 = 3; 1.2 · 3.5 is more than four."""
    text = catalogue.load_kind("forced_induction").examples[0]
    assert text.count("pressure_ratio: 1.5") >= 1
    for chosen, last in ((2.5, 3.0), (3.5, 4.0)):
        read = read_block(
            text.replace("pressure_ratio: 1.5", f"pressure_ratio: {chosen}"),
            whole_file("example.md"),
            "example",
            Position("e.md"),
        )
        block = run(read)
        assert not block.faults
        for spec in block.charts:
            assert isinstance(spec, ChartSpec)
            assert {round(one.x[-1], 9) for one in spec.series} == {last}
