"""The gearing kind: outside checks of whole cases, its refusals, and what it does with optional inputs."""

from itertools import pairwise
from math import pi
from sys import float_info
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.calculators import gearing
from buildlog.diagnostics import InputsConflict, MissingInput, Refused
from buildlog.kinds.declaration import Ratio, Working
from buildlog.kinds.results import CaseResult, GivenInput, Value
from buildlog.physics.tyres import read_tyre

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
    assert "reads low" in low.remarks[0]
    _, high = run(
        speed_sensor="gearbox",
        standard_tyre=read_tyre("195/50R15"),
        standard_final_drive=3.5,
        final_drive=4.6,
        cruise_speed=100 / 3.6,
    )
    assert "more than UN Regulation No. 39" in high.remarks[0]


@pytest.mark.parametrize(
    ("size", "said"), [("195/50R15 82H", True), ("195/50R15 82V", False), ("195/50R15", False)]
)
def test_gearing_above_the_speed_symbol_is_said(size: str, said: bool) -> None:
    """7000/60 · 1.7568/(0.83 · 4.1) · 3.6 = 216.8 km/h (by hand): above H (210 km/h), below V (240 km/h)."""
    outputs, working = run(tyre=read_tyre(size), gears=[3.3, 0.83])
    assert 210 < outputs["speed_at_limit"]["2"] * 3.6 < 240
    assert any("speed symbol" in remark for remark in working.remarks) is said


@pytest.mark.parametrize(("teeth", "word"), [((41, 9), "hunting: 41 and 9"), ((40, 10), "not hunting")])
def test_tooth_pairing(teeth: tuple[int, int], word: str) -> None:
    outputs, _ = run(final_drive=Ratio(*teeth))
    assert str(outputs["tooth_pairing"]).startswith(word)


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
    assert spec is not None
    (series,) = spec.series
    assert len(series.x) == 2 * 5
    assert max(series.y) == pytest.approx(7000 * RPM)
    assert series.x[-1] == pytest.approx(outputs["speed_at_limit"]["5"])


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
        assert set(addresses) <= names
