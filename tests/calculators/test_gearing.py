"""The gearing kind: outside checks of whole cases, its refusals, and what it does with optional inputs."""

from itertools import pairwise
from math import pi
from sys import float_info
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.book.limits import remarks_of_limits
from buildlog.book.uncertainty import leaf
from buildlog.calculators import gearing
from buildlog.diagnostics import InputsConflict, MissingInput, Refused
from buildlog.kinds.declaration import Ratio, Working
from buildlog.kinds.results import CaseResult, GivenInput, Value
from buildlog.physics.tyre_sizes import read_tyre
from tests.calculators.seen import seen
from tests.render.blocks import compute

RPM = 2 * pi / 60
GIVEN = {
    "gears": [3.3, 2.0, 1.4, 1.1, 1.0],
    "final_drive": 4.1,
    "rev_limit": 7000 * RPM,
    "tyre": read_tyre("195/50R15"),
    "rolling_factor": 3.05,
}


def run(**changed: object) -> tuple[dict[str, Any], Working]:
    working = Working()
    given = {name: value for name, value in {**GIVEN, **changed}.items() if value is not None}
    return gearing.compute(given, working), working


def as_values(outputs: dict[str, Any]) -> dict[str, Any]:
    """Outputs as exact values, as `conclude` gets them."""

    def made(number: Any) -> Any:
        if isinstance(number, dict):
            return {key: made(one) for key, one in number.items()}
        return number if isinstance(number, str) else Value(si=number, dimension="", unit="", decimals=0)

    return {name: made(value) for name, value in outputs.items()}


@pytest.mark.parametrize(
    ("axle", "n_over_v"),
    # EPA test cars DBF-MP52 (2013) and HBF-MQ52 (2017): rpm per mph as certified, within 1 % (rounding,
    # load and pressure); top gear 0.767 and tyre 215/45R17 from memory.
    [(4.1, 44.2), (4.3, 46.3)],
)
def test_certified_revs_per_speed(axle: float, n_over_v: float) -> None:
    outputs, _ = run(
        gears=[3.8, 0.767], final_drive=axle, tyre=read_tyre("215/45R17"), cruise_speed=50 * 0.44704
    )
    assert outputs["rpm_at"]["2"] / RPM / 50 == pytest.approx(n_over_v, rel=0.01)


def test_speed_change_with_the_final_drive() -> None:
    """4.1 to 4.3: −4.651163 % at the limit (i1/i2 − 1, by hand)."""
    before, _ = run()
    after, _ = run(final_drive=4.3)
    for gear in "12345":
        change = after["speed_at_limit"][gear] / before["speed_at_limit"][gear] - 1
        assert change * 100 == pytest.approx(-4.6511627907, rel=1e-9)


def test_measured_circumference_wins_over_the_size() -> None:
    outputs, _ = run(rolling_circumference=1.70)
    assert outputs["rolling_circumference"] == 1.70
    assert outputs["rolling_radius"] == pytest.approx(1.70 / 2 / pi)
    assert outputs["overall_radius"] == pytest.approx((0.381 + 2 * 0.195 * 0.5) / 2)


def test_a_worn_and_soft_tyre_is_no_conflict() -> None:
    """8 mm of tread and 2 % each for tolerance and pressure off 3.05 D (common practice, no source)."""
    diameter = 0.381 + 2 * 0.195 * 0.5
    worn = 3.05 * (diameter - 0.016) * 0.98 * 0.98
    outputs, _ = run(rolling_circumference=worn)
    assert outputs["rolling_circumference"] == worn
    assert worn / diameter < 2.9


def test_three_radii_in_their_order() -> None:
    outputs, _ = run(static_radius=0.265)
    assert outputs["static_radius"] < outputs["rolling_radius"] < outputs["overall_radius"]


def test_shifts() -> None:
    """7000 rpm, 2.0 to 1.4: 4900 rpm after, 2100 rpm drop, step 1.429 (kinematics, by hand)."""
    outputs, _ = run()
    assert outputs["rpm_after"]["2-3"] / RPM == pytest.approx(4900)
    assert outputs["rpm_drop"]["2-3"] / RPM == pytest.approx(2100)
    assert outputs["step"]["2-3"] == pytest.approx(10 / 7)


def test_speedometer_by_sensor() -> None:
    """A gearbox sensor sees the final drive, a wheel sensor only the tyre (kinematics, by hand)."""
    common = {"final_drive": 4.3, "standard_tyre": read_tyre("195/50R15"), "cruise_speed": 100 / 3.6}
    gearbox, _ = run(speed_sensor="gearbox", standard_final_drive=4.1, **common)
    wheel, _ = run(speed_sensor="wheel", **common)
    assert gearbox["indicated_speed"] * 3.6 == pytest.approx(100 * 4.3 / 4.1)
    assert gearbox["odometer_error"] == pytest.approx(4.3 / 4.1 - 1)
    assert wheel["indicated_over_true"] == pytest.approx(1)
    assert gearbox["highest_lawful_reading"] * 3.6 == pytest.approx(114)


def test_remarks_when_the_speedometer_leaves_the_law() -> None:
    _, low = run(speed_sensor="wheel", standard_tyre=read_tyre("185/60R14"), tyre=read_tyre("205/60R15"))
    (limit,) = low.limits
    assert (limit.output, limit.least) == ("indicated_over_true", 1.0)
    assert "now reads less" in limit.sentence(0.9, 0.95)
    assert "may now read less" in limit.sentence(0.99, 1.01)
    # at a speed that the law tests at, the same holds: no less than the true speed
    _, driven = run(
        speed_sensor="wheel",
        standard_tyre=read_tyre("185/60R14"),
        tyre=read_tyre("205/60R15"),
        cruise_speed=100 / 3.6,
    )
    assert [(one.output, one.least) for one in driven.limits] == [("indicated_over_true", 1.0)]
    _, high = run(
        speed_sensor="gearbox",
        standard_tyre=read_tyre("195/50R15"),
        standard_final_drive=3.5,
        final_drive=4.6,
        cruise_speed=100 / 3.6,
    )
    limit = next(one for one in high.limits if one.output == "indicated_speed")
    assert limit.most is not None
    assert limit.most * 3.6 == pytest.approx(114)  # UN Regulation No. 39, 5.3: 100 + 10 + 4 km/h


@pytest.mark.parametrize(
    ("size", "said"), [("195/50R15 82H", True), ("195/50R15 82V", False), ("195/50R15", False)]
)
def test_gearing_above_the_speed_symbol_is_said(size: str, said: bool) -> None:
    """7000/60 · 1.7568/(0.83 · 4.1) · 3.6 = 216.8 km/h (by hand): above H (210 km/h), below V (240 km/h)."""
    outputs, working = run(tyre=read_tyre(size), gears=[3.3, 0.83])
    assert 210 < outputs["speed_at_limit"]["2"] * 3.6 < 240
    values = {
        "speed_at_limit": {
            key: Value(si=speed, dimension="speed", unit="km/h", decimals=0)
            for key, speed in outputs["speed_at_limit"].items()
        }
    }
    told = list(remarks_of_limits(working.limits, values))
    assert any("speed symbol" in remark for remark in told) is said


@pytest.mark.parametrize(
    ("teeth", "words"),
    # a tooth meets the same one again when both have gone round whole: lcm(driven, driving)/driving turns
    [
        ((41, 9), "hunting: 41 and 9 have no common factor, every tooth meets every other"),
        ((40, 10), "not hunting: the same teeth meet again after 4 turns of the 10-tooth gear"),
        ((42, 9), "not hunting: the same teeth meet again after 14 turns of the 9-tooth gear"),
    ],
)
def test_tooth_pairing(teeth: tuple[int, int], words: str) -> None:
    outputs, _ = run(final_drive=Ratio(*teeth))
    assert outputs["tooth_pairing"] == words


def test_a_plain_ratio_says_nothing_of_teeth() -> None:
    outputs, _ = run()
    assert "tooth_pairing" not in outputs


@pytest.mark.parametrize(
    ("changed", "error", "name"),
    [
        ({"tyre": None}, MissingInput, "tyre"),
        ({"rolling_circumference": 2.0}, InputsConflict, "rolling_circumference"),
        ({"rolling_circumference": 1.2}, InputsConflict, "rolling_circumference"),
        ({"gears": [3.0, 3.0]}, InputsConflict, "gears"),
        ({"gears": [1.0, 2.0]}, InputsConflict, "gears"),
        ({"shift_revs": 7100 * RPM}, InputsConflict, "shift_revs"),
        ({"static_radius": 0.29}, InputsConflict, "static_radius"),
        ({"speed_sensor": "wheel"}, MissingInput, "standard_tyre"),
        (
            {"speed_sensor": "gearbox", "standard_tyre": read_tyre("195/50R15")},
            MissingInput,
            "standard_final_drive",
        ),
        ({"standard_tyre": read_tyre("195/50R15")}, MissingInput, "speed_sensor"),
        (
            {
                "speed_sensor": "wheel",
                "standard_tyre": read_tyre("195/50R15"),
                "standard_rolling_circumference": 1.7,
            },
            InputsConflict,
            "standard_rolling_circumference",
        ),
    ],
)
def test_refusals_name_the_input(changed: dict[str, Any], error: type[Refused], name: str) -> None:
    with pytest.raises(error) as refused:
        run(**changed)
    assert refused.value.name == name
    assert refused.value.expected


# A speed is rounded four times on its way from the ratio, each time by half a unit in the last place at most:
# ratios that are nearer to each other than both speeds' roundings may have one and the same speed.
ROUNDING = 4 * float_info.epsilon


@given(st.lists(st.floats(0.5, 4.0), min_size=2, max_size=6, unique=True), st.floats(2.5, 5.5))
@example([1.9, 1.8999999999999997], 3.0)
def test_each_gear_is_faster_and_shorter_drives_are_slower(ratios: list[float], drive: float) -> None:
    gears = sorted(ratios, reverse=True)
    outputs, _ = run(gears=gears, final_drive=drive)
    shorter, _ = run(gears=gears, final_drive=drive * 1.1)
    speeds = list(outputs["speed_at_limit"].values())
    for (lower_gear, slower), (higher_gear, faster) in pairwise(zip(gears, speeds, strict=True)):
        assert faster >= slower
        if lower_gear - higher_gear > ROUNDING * lower_gear:
            assert faster > slower
    assert all(shorter["speed_at_limit"][gear] < speed for gear, speed in outputs["speed_at_limit"].items())


def test_chart_is_a_saw_that_ends_at_the_limit() -> None:
    outputs, working = run()
    given = {
        one.name: GivenInput(declared=one, value=GIVEN[one.name], written="", origin="block")
        for one in gearing.INPUTS
        if one.name in GIVEN
    }
    values = {
        name: {key: Value(si=one, dimension="", unit="", decimals=0) for key, one in value.items()}
        for name, value in outputs.items()
        if isinstance(value, dict)
    }
    spec = gearing.chart({"": CaseResult(name="", given=given, values=values, steps=tuple(working.steps))})
    assert [series.x[-1] for series in spec.series] == list(outputs["speed_at_limit"].values())
    assert {series.y[-1] for series in spec.series} == {7000 * RPM}
    assert {(series.x[0], series.y[0]) for series in spec.series} == {(0.0, 0.0)}
    assert [(marker.label, marker.y) for marker in spec.markers] == [("limiter", 7000 * RPM)]


def test_chart_begins_where_the_engine_pulls_and_marks_what_was_asked() -> None:
    given = GIVEN | {"lowest_revs": 2800 * RPM, "cruise_speed": 20.0, "shift_revs": 6500 * RPM}
    spec = gearing.chart({"a": seen(gearing.compute, given), "b": seen(gearing.compute, given)})
    assert len(spec.series) == 10
    for series in spec.series:
        # Along a gear's line speed is to revs as anywhere on it (kinematics).
        assert series.x[0] / series.x[1] == pytest.approx(2800 / 7000)
    assert {marker.label for marker in spec.markers} == {"limiter", "shift", "asked speed"}


def test_chart_names_its_curves_in_one_style_a_case() -> None:
    spec = gearing.chart({"a": seen(gearing.compute, GIVEN), "b": seen(gearing.compute, GIVEN)})
    assert {(series.label, series.style) for series in spec.series} == {("a", 0), ("b", 1)}


def test_a_second_reduction_multiplies_wherever_it_sits() -> None:
    """A portal of 24/17 behind a final drive of 41/9 is one of their product (kinematics, by hand)."""
    portal, _ = run(final_drive=41 / 9, second_reduction=24 / 17)
    one, _ = run(final_drive=41 / 9 * 24 / 17)
    assert portal["overall_ratio"] == pytest.approx(one["overall_ratio"])
    assert portal["speed_at_limit"] == pytest.approx(one["speed_at_limit"])
    assert portal["rpm_after"] == pytest.approx(one["rpm_after"])


@pytest.mark.parametrize(
    ("place", "factor"),
    # What the sensor counts is slowed by portals behind it, not by a transfer box ahead of it (kinematics).
    [("after-sensor", 4.1 * 1.2 / 4.3), ("before-sensor", 4.1 / 4.3)],
)
def test_a_speedometer_sees_the_reduction_behind_its_sensor(place: str, factor: float) -> None:
    outputs, _ = run(
        speed_sensor="gearbox",
        standard_tyre=read_tyre("195/50R15"),
        standard_final_drive=4.3,
        second_reduction=1.2,
        standard_second_reduction=1.0,
        second_reduction_place=place,
    )
    assert outputs["indicated_over_true"] == pytest.approx(factor)


def test_a_measured_circumference_is_that_of_the_same_size() -> None:
    """The same tyre on both sides: no error of the speedometer, where 3.05 D would make one of nothing."""
    common = {
        "speed_sensor": "wheel",
        "rolling_circumference": 1.72,
        "standard_tyre": read_tyre("195/50R15 82V"),
    }
    outputs, _ = run(tyre=read_tyre("195/50 R15"), **common)
    assert outputs["indicated_over_true"] == 1.0
    for tyre in (None, read_tyre("205/50R15")):
        with pytest.raises(InputsConflict) as refused:
            run(tyre=tyre, **common)
        assert refused.value.name == "standard_tyre"


def test_revs_beyond_the_limiter_have_no_row() -> None:
    """120 km/h on 1.7568 m and 4.1 · 3.3: 15 404 rpm (by hand), more than twice what the engine does."""
    outputs, _ = run(cruise_speed=120 / 3.6)
    assert list(outputs["rpm_at"]) == ["3", "4", "5"]
    assert outputs["beyond_the_limiter"] == "gear 1, gear 2"
    assert all(revs <= 7000 * RPM for revs in outputs["rpm_at"].values())
    slow, _ = run(cruise_speed=10.0)
    assert slow["beyond_the_limiter"] == "no gear"


def test_lowest_speed_of_each_gear() -> None:
    outputs, _ = run(lowest_revs=2500 * RPM)
    for key, speed in outputs["lowest_speed"].items():
        assert speed == pytest.approx(outputs["speed_at_limit"][key] * 2500 / 7000)


@pytest.mark.parametrize(
    ("standard", "word"),
    # 5 % shorter wheels' worth of turns less: UN Regulation No. 39, 5.3, at a true 100 km/h: 100 to 114 km/h.
    [(103.0, "too little for the law"), (107.0, "within the law at this speed")],
)
def test_a_standard_reading_decides_what_the_law_makes_of_it(standard: float, word: str) -> None:
    inputs = {
        "speed_sensor": "gearbox",
        "standard_tyre": read_tyre("195/50R15"),
        "standard_final_drive": 4.1,
        "final_drive": 3.9,
        "cruise_speed": 100 / 3.6,
        "standard_reading": standard / 3.6,
    }
    outputs, working = run(**inputs)
    assert outputs["indicated_speed"] * 3.6 == pytest.approx(standard * 3.9 / 4.1)
    assert gearing.conclude(inputs, as_values(outputs))["speedometer"] == word
    assert outputs["needed_excess"] == pytest.approx(4.1 / 3.9 - 1)
    (limit,) = working.limits
    assert (limit.least, limit.most) == pytest.approx((100 / 3.6, 114 / 3.6))


def test_diagonal_tyres_want_a_measured_circumference() -> None:
    for tyre in ("6.00-13", "185/70-14", "185/70B14"):
        with pytest.raises(MissingInput):
            run(tyre=read_tyre(tyre))
        outputs, _ = run(tyre=read_tyre(tyre), rolling_circumference=1.80)
        assert outputs["rolling_circumference"] == 1.80


def test_the_doubt_of_a_size_is_that_of_its_height() -> None:
    """195/50R15: limits of 3.5 % of twice 97.5 mm, over √3 (JCGM 100:2008, 4.3.7, by hand): 3.94 mm."""
    working = Working()
    base = gearing.compute(GIVEN, working)
    (origin,) = working.doubted
    up = gearing.compute(GIVEN, Working(shifts={origin: 1.0}))
    radii = [leaf(outputs, "overall_radius", "") or 0.0 for outputs in (base, up)]
    assert (radii[1] - radii[0]) * 2000 == pytest.approx(195 * 0.035 / 3**0.5)


def test_every_step_names_a_source_and_every_figure_has_a_step() -> None:
    outputs, working = run(
        cruise_speed=30.0,
        at_revs=3000 * RPM,
        speed_sensor="gearbox",
        standard_final_drive=4.0,
        standard_tyre=read_tyre("195/50R15"),
    )
    assert {step.source for step in working.steps} <= {source.id for source in gearing.SOURCES}
    names = {step.name for step in working.steps}
    for name, value in outputs.items():
        addresses = [f"{name}.{key}" for key in value] if isinstance(value, dict) else [name]
        assert isinstance(value, str) or set(addresses) <= names


# --- what the words say where the uncertainty leaves it open ---------------------------------

LAW = """\
id: it
kind: gearing
inputs:
  gears: [3.32, 2.04, 1.00]
  rev_limit: 8200 rpm
  rolling_circumference: {now} m ± 0.5 %
  standard_rolling_circumference: 1.800 m ± 0.5 %
  final_drive: 4.1
  speed_sensor: wheel
  cruise_speed: 100 km/h
"""
"""Both circumferences as well known as a tape lets: their quotient, 1.8 / now, has U = 2 · 0.71 % = 1.4 %."""


def words(body: str) -> dict[str, str]:
    (case,) = compute(body).cases.values()
    return {name: value for name, value in case.values.items() if isinstance(value, str)}


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (1.750, "reads no less than as standard; whether too much, its standard reading decides"),
        (1.790, "too close to call whether it reads less than as standard: measure it"),
        (1.810, "too close to call whether it reads less than as standard: measure it"),
        (1.850, "within the law only if it read 2.8 % too much as standard: measure it"),
        (1.550, "too much for the law, whatever it read as standard"),
    ],
)
def test_the_law_counts_all_of_the_uncertainty(now: float, said: str) -> None:
    """UN Regulation No. 39, 5.3: at 100 km/h from 100 to 114; 1.8/1.55 · 100 is 116.1 ± 1.6 km/h."""
    assert words(LAW.format(now=now))["speedometer"] == said


@pytest.mark.parametrize(
    ("standard", "said"),
    [
        (100.0, "too close to call: it may read too little for the law"),
        (103.0, "within the law at this speed"),
        (113.5, "too close to call: it may read too much for the law"),
        (97.0, "too little for the law"),
        (117.0, "too much for the law"),
    ],
)
def test_a_standard_reading_near_the_law_is_too_close_to_call(standard: float, said: str) -> None:
    """Read at the same circumference: the reading has U = 1.4 % of itself (LAW)."""
    body = LAW.format(now=1.8) + f"  standard_reading: {standard} km/h\n"
    assert words(body)["speedometer"] == said


def test_a_gear_at_the_limiter_is_too_close_to_call() -> None:
    """First gear at 8200 rpm: 8200/60 · 1.8 / (3.32 · 4.1) = 18.07 m/s = 65.06 km/h, U = 1 % of it."""
    for speed, said in (
        ("64", "no gear"),
        ("65", "no gear; gear 1 is too close to call"),
        ("65.5", "no gear; gear 1 is too close to call"),
        ("67", "gear 1"),
    ):
        body = LAW.format(now=1.8).replace("cruise_speed: 100", f"cruise_speed: {speed}")
        assert words(body)["beyond_the_limiter"] == said


@pytest.mark.parametrize(
    ("factor", "reading", "told"),
    # k = 2; what is known of a speedometer without its standard reading: how much more it reads now,
    # and the least that it may read, beside the most that the law allows, 114 km/h
    [
        ((0.95, 0.01), None, "within the law only if it read 5.3 % too much as standard: measure it"),
        ((0.99, 0.02), (120.0, 1.0), "too close to call whether it reads less than as standard: measure it"),
        ((1.05, 0.01), (120.0, 1.0), "too much for the law, whatever it read as standard"),
        (
            (1.05, 0.01),
            (114.5, 1.0),
            "reads no less than as standard; whether too much, its standard reading decides",
        ),
        (
            (1.05, 0.01),
            (100.0, 1.0),
            "reads no less than as standard; whether too much, its standard reading decides",
        ),
    ],
)
def test_a_speedometer_without_its_standard_reading(
    factor: tuple[float, float], reading: tuple[float, float] | None, told: str
) -> None:
    def value(number: float, expanded: float, dimension: str, unit: str) -> Value:
        return Value(
            si=number, dimension=dimension, unit=unit, decimals=2, contributions={unit: expanded / 2}
        )

    found = gearing._against_standard(
        value(*factor, "ratio", ""),
        value(reading[0] / 3.6, reading[1] / 3.6, "speed", "km/h") if reading else None,
        114 / 3.6,
    )
    assert found == told
