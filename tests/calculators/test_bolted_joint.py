"""The kind `bolted_joint`: preload at both ends of the friction, and the warning that the maker rules."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculators import bolted_joint
from buildlog.diagnostics import InputsConflict, OutOfRange, Refused
from buildlog.kinds.declaration import Outputs, Working
from tests.calculators.seen import Seen, seen

BASE: dict[str, Any] = {
    "thread": "M10x1.25",
    "property_class": "10.9",
    "tightening_torque": 65.0,
    "bearing_diameter": 0.01463,
    "hole_diameter": 0.011,
    "thread_friction_low": 0.10,
    "thread_friction_high": 0.14,
    "head_friction_low": 0.10,
    "head_friction_high": 0.14,
}


def ran(**changes: Any) -> tuple[Outputs, Working]:
    given = {name: value for name, value in (BASE | changes).items() if value is not None}
    working = Working()
    return bolted_joint.compute(given, working), working


def outputs(**changes: Any) -> Any:
    return ran(**changes)[0]


def test_table_of_vdi_2230() -> None:
    # VDI 2230:2001/2003 as a fastener catalogue prints it (read): M10x1.25, 10.9, 90 % of the yield point:
    # friction 0.10: 47.5 kN by 65 N·m; 0.14: 45.2 kN by 83 N·m. Its torques are rounded to 1 N·m.
    low = outputs(tightening_torque=65.0)
    assert low["preload"]["low_friction"] == pytest.approx(47.5e3, rel=0.01)
    assert low["yield_share"]["low_friction"] == pytest.approx(0.90, abs=0.01)
    high = outputs(tightening_torque=83.0)
    assert high["preload"]["high_friction"] == pytest.approx(45.2e3, rel=0.01)
    assert high["yield_share"]["high_friction"] == pytest.approx(0.90, abs=0.01)


@pytest.mark.parametrize(
    "thread,property_class,listed,area",
    [
        # EN ISO 898-1 as a supplier publishes it (read): proof load in N and stress area in mm².
        ("M8", "8.8", 21_200, 36.6),
        ("M8", "12.9", 35_500, 36.6),
        ("M16", "8.8", 91_000, 157),
        ("M18", "8.8", 115_000, 192),
        ("M20", "10.9", 203_000, 245),
        # Not of ISO 898-1: area of DIN 13-28 (from memory), times 830 MPa.
        ("M9x1", "10.9", 42_300, 51.0),
        ("M11", "10.9", 60_000, 72.3),
    ],
)
def test_proof_load_and_stress_area(thread: str, property_class: str, listed: float, area: float) -> None:
    out = outputs(thread=thread, property_class=property_class, bearing_diameter=0.030, hole_diameter=0.022)
    assert out["proof_load"] == pytest.approx(listed, rel=0.005)
    assert out["stress_area"] * 1e6 == pytest.approx(area, rel=0.003)
    assert out["proof_share"]["low_friction"] == pytest.approx(
        out["preload"]["low_friction"] / out["proof_load"], rel=1e-12
    )


def test_yield_strength_steps_above_16_mm_for_8_8_only() -> None:
    # ISO 898-1:2009, table 3: 8.8 has 640 MPa up to 16 mm and 660 MPa above (from memory, sure).
    big = {"bearing_diameter": 0.030, "hole_diameter": 0.022, "property_class": "8.8"}
    for thread, strength in (("M16", 640), ("M18", 660)):
        out = outputs(thread=thread, **big)
        twin = outputs(thread=thread, **big | {"property_class": "10.9"})
        ratio = out["yield_share"]["low_friction"] / twin["yield_share"]["low_friction"]
        assert ratio == pytest.approx(940 / strength, rel=1e-9)


@given(st.floats(0.05, 0.2), st.floats(1.01, 2.0))
def test_friction_range_spreads_the_preload(low: float, more: float) -> None:
    pairs = {"thread_friction_low": low, "head_friction_low": low}
    out = outputs(**pairs, thread_friction_high=low * more, head_friction_high=low * more)
    assert out["preload"]["low_friction"] > out["preload"]["high_friction"]
    assert 1 < out["preload_scatter"] < more
    one = outputs(**pairs, thread_friction_high=low, head_friction_high=low)
    assert one["preload_scatter"] == 1.0
    assert out["clamping_share"]["low_friction"] > out["clamping_share"]["high_friction"]


def test_pressure_under_the_head() -> None:
    # By hand: F / (π/4 (14.63² - 11²) mm²), 73.07 mm².
    out = outputs()
    assert out["bearing_pressure"]["low_friction"] == pytest.approx(
        out["preload"]["low_friction"] / 73.07e-6, rel=1e-4
    )


def test_the_maker_always_rules() -> None:
    _, working = ran()
    assert any("maker's manual" in remark and "figure rules" in remark for remark in working.remarks)
    assert "fasteners" in bolted_joint.HAZARDS
    _, working = ran(maker_torque=58.0)
    assert any("not the maker's, which is 58 N·m" in remark for remark in working.remarks)
    _, working = ran(maker_torque=65.0)
    assert not any("not the maker's" in remark for remark in working.remarks)


def test_a_bolt_near_or_beyond_its_limit_is_said_so() -> None:
    # VDI 2230: 65 N·m is 90 % at 0.10; the proof load is passed at about 71 N·m.
    _, working = ran(tightening_torque=60.0)
    assert len(working.remarks) == 1
    _, working = ran(tightening_torque=67.0)
    assert any("go beyond 90 %" in remark for remark in working.remarks)
    _, working = ran(tightening_torque=75.0)
    assert any("above the proof load" in remark for remark in working.remarks)


@pytest.mark.parametrize(
    "kind,name,changes",
    [
        (Refused, "thread", {"thread": "3/8 UNC"}),
        (OutOfRange, "thread", {"thread": "M13"}),
        (OutOfRange, "thread", {"thread": "M10x1.75"}),
        (InputsConflict, "thread_friction_low", {"thread_friction_low": 0.2}),
        (InputsConflict, "head_friction_low", {"head_friction_low": 0.2}),
        (InputsConflict, "hole_diameter", {"hole_diameter": 0.0095}),
        (InputsConflict, "bearing_diameter", {"bearing_diameter": 0.011}),
    ],
)
def test_faults_name_the_input(kind: type[Refused], name: str, changes: dict[str, Any]) -> None:
    with pytest.raises(kind) as refused:
        ran(**changes)
    assert refused.value.name == name
    assert refused.value.found
    assert refused.value.expected


def test_messages_say_what_is_wrong() -> None:
    with pytest.raises(
        OutOfRange, match=r"found a pitch of 1.75 mm for M10, expected one of 1.5, 1.25, 1, 0.75"
    ):
        ran(thread="M10x1.75")
    with pytest.raises(InputsConflict, match=r"found 9.5 mm, expected at least the thread, 10 mm"):
        ran(hole_diameter=0.0095)


def test_every_output_is_declared_and_has_a_step_with_a_named_source() -> None:
    out, working = ran()
    assert set(out) == {output.name for output in bolted_joint.OUTPUTS}
    assert {step.source for step in working.steps} <= {source.id for source in bolted_joint.SOURCES}
    results = {step.name: step.result for step in working.steps}
    for name, value in out.items():
        parts = (
            {f"{name}.{key}": at for key, at in value.items()} if isinstance(value, dict) else {name: value}
        )
        for address, figure in parts.items():
            assert results[address] == figure, address


def test_chart_is_a_fan_below_the_proof_load() -> None:
    def case(torque: float) -> Seen:
        return seen(bolted_joint.compute, BASE | {"tightening_torque": torque})

    cases = {"before": case(50.0), "after": case(65.0)}
    drawn = bolted_joint.chart(cases)
    assert drawn is not None
    assert [series.label for series in drawn.series] == [
        "before, low friction",
        "before, high friction",
        "after, low friction",
        "after, high friction",
    ]
    for series in drawn.series:
        assert series.x[0] == series.y[0] == 0
    preload = cases["after"].outputs["preload"]
    assert isinstance(preload, dict)
    assert drawn.series[2].y[-1] == pytest.approx(preload["low_friction"])
    assert [marker.y for marker in drawn.markers] == [cases["after"].outputs["proof_load"]]
