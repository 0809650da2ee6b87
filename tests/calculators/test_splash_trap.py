"""The kind `splash_trap`, whole: updraught, drops and drain."""

from __future__ import annotations

from math import exp, pi, sqrt
from types import SimpleNamespace
from typing import Any

import fluids
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from buildlog.calculators import splash_trap
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Output, Working
from tests.calculators.seen import Seen, seen

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


def unmet(working: Working, found: dict[str, Any], uncertainty: float = 0.0) -> set[str]:
    return {limit.output for limit in working.limits if not limit.is_met(found[limit.output], uncertainty)}


# The limits are those of the manual: a drain that is too small, a skin, a head that the suction takes.
def test_limits() -> None:
    working = Working()
    found: dict[str, Any] = splash_trap.compute(CHAMBER | DRAIN | {"drain_diameter": 0.003}, working)
    assert unmet(working, found) == {"drain_diameter_needed"}
    assert any("under 6 mm" in remark for remark in working.remarks)
    working = Working()
    found = splash_trap.compute(CHAMBER | DRAIN | {"water_flow": 1e-7, "drain_head": 0.06}, working)
    assert unmet(working, found) == {"capillary_head"}
    # 98.92 mm of head with U 100 mm may be none.
    working = Working()
    found = splash_trap.compute(CHAMBER | DRAIN | {"drain_diameter": 0.01}, working)
    assert unmet(working, found) == set()
    assert "head_left" in unmet(working, found, 0.1)
    assert not any("under 6 mm" in remark for remark in working.remarks)


# Gunn and Kinzer (1949), their table as read in a public code (drop in mm, fall in cm/s), at 20 °C, 1013 mb:
# the doubt of the fall covers every one of them, and would not if it were half as wide.
GUNN_KINZER = {
    0.1: 27, 0.2: 72, 0.3: 117, 0.4: 162, 0.5: 206, 0.6: 247, 0.7: 287, 0.8: 327, 0.9: 367, 1.0: 403, 1.2:
    464, 1.4: 517, 1.6: 565, 1.8: 609, 2.0: 649, 2.2: 690, 2.4: 727, 2.6: 757, 2.8: 782, 3.0: 806, 3.2: 826,
    3.4: 844, 3.6: 860, 3.8: 872, 4.0: 883, 4.2: 892, 4.4: 898, 4.6: 903, 4.8: 907, 5.0: 909, 5.2: 912, 5.4:
    914, 5.6: 916, 5.8: 917,
}  # fmt: skip


def test_the_doubt_of_the_fall_covers_gunn_and_kinzer() -> None:
    sizes = list(GUNN_KINZER)
    off: dict[float, float] = {}
    for start in range(0, len(sizes), 12):
        some = sizes[start : start + 12]
        found = run(drop=[size / 1000 for size in some])["terminal_velocity"]
        off |= {
            size: abs(value / (GUNN_KINZER[size] / 100) - 1)
            for size, value in zip(some, found.values(), strict=True)
        }
    rain = max(share for size, share in off.items() if size >= 0.3)
    spray = max(share for size, share in off.items() if size < 0.3)
    assert 0.0125 < rain < 0.025
    assert 0.05 < spray < 0.10


# Atlas, Srivastava and Sekhon (1973), as quoted with Bringi and Chandrasekar (2001), eq. 7.65b: 9.65 − 10.3
# exp(−0.6 D) m/s at sea level, D in mm, a fit to the same measurements: within 3 % from 0.6 to 5 mm.
@pytest.mark.parametrize("size", [0.7, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0])
def test_the_fall_against_another_fit(size: float) -> None:
    found = run(drop=[size / 1000], air_temperature=288.15)["terminal_velocity"]["1"]
    assert found == pytest.approx(9.65 - 10.3 * exp(-0.6 * size), rel=0.035)


# fluids 1.3.1, v_terminal with the drag of a rigid sphere by Clift, Grace and Weber: spray is round.
@pytest.mark.parametrize("size", [0.1, 0.2, 0.4])
def test_spray_falls_like_rigid_spheres(size: float) -> None:
    rigid = fluids.v_terminal(D=size / 1000, rhop=998.2, rho=1.2041, mu=1.813e-5, Method="Clift")
    found = run(drop=[size / 1000])["terminal_velocity"]["1"]
    assert found == pytest.approx(rigid, rel=0.05)


# The one-seventh-power law of pipes (Prandtl; from memory): the mean is 2 n²/((n + 1)(2 n + 1)) of the
# highest, 49/60. Integrated by scipy 1.17.1.
def test_filling_of_a_long_tube() -> None:
    n = 7
    mean, _ = quad(lambda r: (1 - r) ** (1 / n) * 2 * r, 0, 1)
    assert 1 / mean == pytest.approx((n + 1) * (2 * n + 1) / (2 * n**2), rel=1e-8)
    assert 1.2 < 1 / mean < 1.25  # what the manual lists


# scipy 1.17.1, solve_ivp: a box of 430 cm² that holds 120 mm of water empties through the drain while the
# suction holds: the time of the first 10 mm by our flow at the middle of them.
def test_drain_against_a_vessel_that_empties() -> None:
    area, bore, suction = 0.043, 0.010, 500.0
    held = suction / (998.2063 * 9.80665)

    def falls(_: float, head: Any) -> Any:
        return -0.61 * pi * bore**2 / 4 * sqrt(2 * 9.80665 * (head[0] - held)) / area

    reached: Any = lambda _, head: head[0] - 0.110  # noqa: E731
    reached.terminal = True
    end = solve_ivp(falls, (0, 100), [0.120], events=reached, rtol=1e-10).t[-1]
    middle = run(**(DRAIN | {"drain_head": 0.115, "drain_diameter": bore}))["drain_flow"]
    assert area * 0.010 / middle == pytest.approx(end, rel=2e-3)


# Hydrostatics by hand: 500 Pa hold up 51.08 mm, more than the 50 mm that are there. Nothing drains, no hole
# is large enough, and it is said.
def test_suction_that_holds_all_of_the_water() -> None:
    working = Working()
    inputs = CHAMBER | DRAIN | {"drain_head": 0.05, "drain_diameter": 0.008}
    held: dict[str, Any] = splash_trap.compute(inputs, working)
    assert held["head_left"] == pytest.approx(-0.00108, abs=5e-6)
    assert held["drain_flow"] == 0
    assert "drain_diameter_needed" not in held
    assert unmet(working, held) == {"head_left"}
    alone = run(**DRAIN | {"drain_head": 0.05})
    assert {"drain_diameter_needed", "capillary_head", "drain_flow"}.isdisjoint(alone)


# A box above the air outside its drain drains the faster: 500 Pa of ram are 51.08 mm of water more.
def test_ram_in_the_box_drains() -> None:
    found = run(**(DRAIN | {"chamber_suction": -500.0, "drain_diameter": 0.006}))
    assert found["head_left"] == pytest.approx(0.15 + 0.05108, abs=5e-6)


# CoolProp 8.0.0: density and viscosity of dry air and water, by which the same drop hangs in the cold.
def test_air_and_water_against_coolprop() -> None:
    working = Working()
    splash_trap.compute(CHAMBER | {"air_temperature": 278.15}, working)
    steps = {step.name: step.result for step in working.steps}
    air = {"T": 278.15, "P": 101_300.0}
    assert steps["air_density"] == pytest.approx(PropsSI("D", "T", air["T"], "P", air["P"], "Air"), rel=1e-3)
    assert steps["dynamic_viscosity"] == pytest.approx(
        PropsSI("V", "T", air["T"], "P", air["P"], "Air"), rel=0.005
    )
    assert steps["water_density"] == pytest.approx(
        PropsSI("D", "T", air["T"], "P", air["P"], "Water"), rel=1e-5
    )


def known(si: float, uncertainty: float) -> SimpleNamespace:
    return SimpleNamespace(si=si, expanded_uncertainty=uncertainty)


def test_words_leave_open_what_is_too_close() -> None:
    ratios = {"1": known(1.8, 0.2), "2": known(0.92, 0.1), "3": known(0.57, 0.06)}
    said = splash_trap.conclude(
        CHAMBER, {"carried": "drops up to 0.90 mm are carried; and so on", "carrying_ratio": ratios}
    )
    assert said["carried"] == (
        "drops up to 0.90 mm are carried; 0.5 mm is carried; 1 mm is too close to call; 2 mm falls back"
    )


# The doubts: by hand 2.5 % of the fall is 2.5 % of the area that a drop needs.
def test_the_doubt_of_the_fall_reaches_the_area() -> None:
    moved = splash_trap.compute(CHAMBER, Working(shifts={"method:fall_of_a_drop": 2.0}))
    plain = run()
    assert moved["area_needed"]["2"] == pytest.approx(plain["area_needed"]["2"] / 1.025, rel=1e-9)  # type: ignore[index]
    assert float(moved["largest_drop_carried"]) < plain["largest_drop_carried"]  # type: ignore[arg-type]


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
    def view(**changes: Any) -> Seen:
        return seen(splash_trap.compute, CHAMBER | changes)

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
