"""The kind `splash_trap`, whole: updraught, drops and drain."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import splash_trap
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Output, Working

CHAMBER: dict[str, Any] = {
    "air_flow": 0.1108333,
    "chamber_area": 0.03,
    "peak_over_mean": 1.0,
    "air_temperature": 293.15,
    "air_pressure": 101_300.0,
    "drop": [0.5e-3, 1.0e-3, 2.0e-3],
}
DRAIN: dict[str, Any] = {
    "discharge_coefficient": 0.61,
    "drain_head": 0.150,
    "chamber_suction": 500.0,
    "water_flow": 1e-5,
}


def run(without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    inputs = {name: value for name, value in (CHAMBER | changes).items() if name not in without}
    return dict(splash_trap.compute(inputs, Working()))


# Continuity by hand: 0.1108333/0.03 = 3.69444 m/s. Gunn and Kinzer (1949): 0.5, 1, 2 mm fall at 2.06, 4.03,
# 6.49 m/s.
def test_which_drops_are_carried() -> None:
    found = run()
    assert found["mean_updraught"] == pytest.approx(3.69444, rel=1e-5)
    assert found["updraught"] == found["mean_updraught"]
    falls = {"1": 2.06, "2": 4.03, "3": 6.49}
    assert found["terminal_velocity"] == pytest.approx(falls, rel=0.022)
    for key, fall in falls.items():
        assert found["carrying_ratio"][key] == pytest.approx(3.69444 / fall, rel=0.022)
        assert found["area_needed"][key] == pytest.approx(0.1108333 / fall, rel=0.022)
    assert found["carried"].endswith("0.5 mm is carried; 1 mm falls back; 2 mm falls back")


# Gunn and Kinzer (1949), table interpolated: 4.0 m/s carries drops up to 0.9917 mm.
def test_largest_drop_carried() -> None:
    found = run(air_flow=0.12)
    assert found["largest_drop_carried"] == pytest.approx(0.9917e-3, rel=0.02)
    assert found["carried"].startswith("drops up to 1.00 mm are carried")


def test_uneven_filling_counts_as_faster_air() -> None:
    found = run(peak_over_mean=2.0)
    assert found["updraught"] == pytest.approx(7.38889, rel=1e-5)
    assert found["area_needed"]["2"] == pytest.approx(2 * run()["area_needed"]["2"], rel=1e-12)


def test_the_area_needed_makes_the_drop_hang() -> None:
    needed = run(peak_over_mean=1.7)["area_needed"]["2"]
    found = run(peak_over_mean=1.7, chamber_area=needed)
    assert found["carrying_ratio"]["2"] == pytest.approx(1, rel=1e-12)
    assert found["largest_drop_carried"] == pytest.approx(1e-3, rel=1e-5)


def test_round_chamber() -> None:
    # π · 0.2²/4 = 0.0314159 m²
    assert run(("chamber_area",), chamber_diameter=0.2)["mean_updraught"] == pytest.approx(
        0.1108333 / 0.0314159, rel=1e-5
    )


# Torricelli by hand: 500 Pa hold up 51.08 mm of 150; 98.92 mm drive √(2 · 9.80665 · 0.09892) = 1.39289 m/s;
# 10 cm³/s through 0.61 of that need 11.769 mm², 3.8711 mm; 6 mm pass 0.61 · 28.2743 mm² · 1.39289 m/s =
# 24.024 cm³/s.
def test_drain() -> None:
    found = run(**DRAIN, drain_diameter=0.006)
    assert found["head_left"] == pytest.approx(0.09892, abs=5e-6)
    assert found["drain_diameter_needed"] == pytest.approx(3.8711e-3, rel=1e-4)
    assert found["drain_flow"] == pytest.approx(24.024e-6, rel=1e-4)
    # Laplace, 4 σ/(ρ g d), σ 72.74 mN/m (IAPWS R1-76): 4.954 mm over a hole of 6 mm
    assert found["capillary_head"] == pytest.approx(4.954e-3, rel=1e-3)


def test_remarks() -> None:
    working = Working()
    splash_trap.compute(CHAMBER | DRAIN | {"drain_diameter": 0.003}, working)
    assert any("the chamber fills" in remark for remark in working.remarks)
    working = Working()
    splash_trap.compute(CHAMBER | DRAIN | {"water_flow": 1e-7, "drain_head": 0.06}, working)
    assert any("skin of water" in remark for remark in working.remarks)


@pytest.mark.parametrize(
    ("flow", "said"),
    [
        (0.4, "in air this fast no drop falls back, whatever its size"),
        (0.001, "such slow air carries fog only"),
    ],
)
def test_no_largest_drop(flow: float, said: str) -> None:
    working = Working()
    found = splash_trap.compute(CHAMBER | {"air_flow": flow}, working)
    assert "largest_drop_carried" not in found
    assert str(found["carried"]).startswith(said)
    assert any(said in remark for remark in working.remarks)


@for_all(st.floats(0.01, 0.2), st.floats(0.01, 0.3), st.floats(1, 4), st.floats(1.01, 3))
def test_more_air_carries_more_and_more_area_less(
    flow: float, area: float, peak: float, factor: float
) -> None:
    base: dict[str, Any] = {"air_flow": flow, "chamber_area": area, "peak_over_mean": peak}
    found, faster, wider = (
        run(**base),
        run(**(base | {"air_flow": flow * factor})),
        run(**(base | {"chamber_area": area * factor})),
    )
    for key in "123":
        assert faster["carrying_ratio"][key] > found["carrying_ratio"][key] > wider["carrying_ratio"][key]
        # What area a drop needs depends on the flow, not on the chamber that is there.
        assert wider["area_needed"][key] == pytest.approx(found["area_needed"][key], rel=1e-12)
        assert faster["area_needed"][key] == pytest.approx(factor * found["area_needed"][key], rel=1e-12)
    assert found["area_needed"]["1"] > found["area_needed"]["2"] > found["area_needed"]["3"]


@pytest.mark.parametrize(
    ("without", "changes", "error", "message"),
    [
        (
            ("chamber_area",),
            {},
            MissingInput,
            "chamber_area: found neither chamber_area nor chamber_diameter",
        ),
        ((), {"chamber_diameter": 0.2}, InputsConflict, "chamber_diameter: found chamber_area as well"),
        ((), {"air_temperature": 320.0}, OutOfRange, "temperature: found 320"),
        ((), {"drop": [0.01]}, OutOfRange, r"diameter: found 0\.01, expected 0\.00107 to 0\.007"),
        ((), {"drain_head": 0.1}, MissingInput, "water_flow: found drain_head without it"),
        ((), {"water_flow": 1e-5}, MissingInput, "discharge_coefficient: found water_flow without"),
        (
            (),
            {"drain_diameter": 5e-3, "discharge_coefficient": 0.61, "drain_head": 0.1},
            MissingInput,
            "chamber_suction: found drain_diameter without chamber_suction",
        ),
        (
            (),
            DRAIN | {"drain_head": 0.05},
            OutOfRange,
            r"drain_head: found 50\.0 mm, expected more than the 51\.1 mm that the suction holds up",
        ),
    ],
)
def test_errors(without: tuple[str, ...], changes: dict[str, Any], error: type, message: str) -> None:
    with pytest.raises(error, match=message):
        run(without, **changes)


def test_every_output_is_declared_and_has_its_step() -> None:
    working = Working()
    found = splash_trap.compute(CHAMBER | DRAIN | {"drain_diameter": 0.006}, working)
    declared: dict[str, Output] = {output.name: output for output in splash_trap.OUTPUTS}
    assert set(found) == set(declared)
    steps = {step.name: step.result for step in working.steps}
    for name, value in found.items():
        if isinstance(value, dict):
            assert declared[name].key == "drop"
            assert {key: steps[f"{name}.{key}"] for key in value} == value
        elif declared[name].dimension != "text":
            assert steps[name] == value
    assert {step.source for step in working.steps} <= {source.id for source in splash_trap.SOURCES}


def test_chart() -> None:
    def view(**changes: Any) -> SimpleNamespace:
        inputs = CHAMBER | changes
        return SimpleNamespace(inputs=inputs, outputs=splash_trap.compute(inputs, Working()))

    drawn = splash_trap.chart({"small": view(), "large": view(chamber_area=0.06)})
    assert drawn is not None
    (series,) = drawn.series
    assert series.label == "fall of a drop"
    assert series.x[0] == pytest.approx(0.05e-3)
    assert series.x[-1] == pytest.approx(6e-3)
    # Gunn and Kinzer (1949): no drop falls faster than about 9.2 m/s.
    assert 9.0 < max(series.y) < 9.3
    assert [marker.label for marker in drawn.markers] == ["updraught, small", "updraught, large"]
    assert [marker.y for marker in drawn.markers] == pytest.approx([3.69444, 1.84722], rel=1e-5)
    apart = splash_trap.chart({"": view(), "cold": view(air_temperature=275.0)})
    assert apart is not None
    assert [series.label for series in apart.series] == ["fall of a drop", "fall of a drop, cold"]
