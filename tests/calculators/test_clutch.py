"""The kind `clutch`: capacity, pedal and launch of a whole block."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from buildlog.calculators import clutch
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Outputs, Working
from tests.calculators.seen import Seen, seen

DEFAULTS = {
    "plates": 1,
    "covered_share": 1.0,
    "linkage_efficiency": 1.0,
    "free_travel": 0.0,
    "road_resistance": 0.0,
    "driveline_efficiency": 1.0,
    "wheel_inertia": 0.0,
}
DISC = {
    "outer_diameter": 0.230,
    "inner_diameter": 0.155,
    "sliding_friction_low": 0.3,
    "sliding_friction_high": 0.4,
    "engine_torque": 210.0,
}
DIAPHRAGM = {
    "spring_outer_diameter": 0.200,
    "spring_inner_diameter": 0.165,
    "spring_thickness": 0.0024,
    "spring_height": 0.0038,
    "pressing_diameter": 0.198,
    "fulcrum_diameter": 0.170,
    "finger_diameter": 0.044,
    "spring_deflection": 0.0039,
}
PEDAL = {
    "pedal_ratio": 5.0,
    "fork_ratio": 1.6,
    "master_bore": 0.016,
    "slave_bore": 0.020,
    "release_travel": 0.008,
}
LAUNCH = {
    "launch_speed": 3000 * pi / 30,
    "launch_torque": 140.0,
    "vehicle_mass": 1200.0,
    "overall_ratio": 14.76,
    "rolling_radius": 0.31,
}
PLATE = {"plate_mass": 3.5, "plate_faces": 1, "specific_heat": 500.0, "conductivity": 50.0, "density": 7200.0}


def ran(*groups: dict[str, Any], **changes: Any) -> tuple[Outputs, Working]:
    given: dict[str, Any] = DEFAULTS | DISC
    for group in groups:
        given = given | group
    given = {name: value for name, value in (given | changes).items() if value is not None}
    working = Working()
    return clutch.compute(given, working), working


def unkept(*groups: dict[str, Any], **changes: Any) -> set[str]:
    """The results beyond their limit, were they exact."""
    out, working = ran(*groups, **changes)
    values: Any = out
    return {
        f"{limit.output}.{limit.key}".rstrip(".")
        for limit in working.limits
        if not limit.is_met(values[limit.output][limit.key] if limit.key else values[limit.output], 0.0)
    }


def outputs(*groups: dict[str, Any], **changes: Any) -> Any:
    return ran(*groups, **changes)[0]


def test_capacity_by_both_theories() -> None:
    # Closed forms of Shigley, ch. 16, by hand: two faces, μ 0.3, 8000 N, 115 and 77.5 mm: 462 and 467.84 N·m.
    out = outputs(clamp_load=8000.0)
    assert out["capacity_uniform_wear"]["sliding_low"] == pytest.approx(462.0, rel=1e-12)
    assert out["capacity_uniform_pressure"]["sliding_low"] == pytest.approx(467.844155844, rel=1e-10)
    assert out["capacity_uniform_wear"]["sliding_high"] == pytest.approx(616.0, rel=1e-12)
    assert out["reserve"]["sliding_low"] == pytest.approx(2.2, rel=1e-12)
    assert set(out["reserve"]) == {"sliding_low", "sliding_high"}


def test_published_solution_of_one_pair_of_faces() -> None:
    # Shigley's plate clutch of 300 and 225 mm, f = 0.25, 5000 N, one pair of faces: 164.063 N·m, 188 628 Pa
    # (as solved in ME 452 Machine Design II, autumn 2010, set 14). A whole plate has two pairs.
    out = outputs(
        outer_diameter=0.300,
        inner_diameter=0.225,
        clamp_load=5000.0,
        sliding_friction_low=0.25,
    )
    assert out["capacity_uniform_wear"]["sliding_low"] / 2 == pytest.approx(164.063, abs=0.0005)
    assert out["greatest_pressure"] == pytest.approx(188_628, abs=0.5)


@given(st.integers(1, 4), st.floats(0.1, 1))
def test_plates_multiply_torque_and_area_but_not_pressure(plates: int, covered: float) -> None:
    one = outputs(clamp_load=6000.0, covered_share=covered)
    many = outputs(clamp_load=6000.0, covered_share=covered, plates=plates)
    low = many["capacity_uniform_wear"]["sliding_low"]
    assert low == pytest.approx(plates * one["capacity_uniform_wear"]["sliding_low"])
    assert many["friction_area"] == pytest.approx(plates * one["friction_area"])
    assert many["mean_pressure"] == pytest.approx(one["mean_pressure"])


@given(st.floats(1000, 20_000), st.floats(1.001, 2))
def test_more_clamp_load_carries_and_weighs_more(load: float, more: float) -> None:
    light, heavy = (outputs(PEDAL, lever_ratio=4.0, clamp_load=at) for at in (load, load * more))
    for end, capacity in light["capacity_uniform_wear"].items():
        assert heavy["capacity_uniform_wear"][end] > capacity
    assert heavy["pedal_force"] > light["pedal_force"]
    assert heavy["pedal_travel"] == light["pedal_travel"]


def test_static_friction_and_shock() -> None:
    out = outputs(clamp_load=8000.0, static_friction_low=0.36, static_friction_high=0.45, shock_factor=1.5)
    assert out["capacity_uniform_wear"]["static_low"] == pytest.approx(462 * 1.2)
    for end, reserve in out["reserve"].items():
        assert out["shock_reserve"][end] == pytest.approx(reserve / 1.5)
    assert len(out["shock_reserve"]) == 4


def test_a_clutch_that_slips_is_said_so() -> None:
    out, working = ran(clamp_load=3000.0)
    assert out["reserve"]["sliding_low"] < 1 < out["reserve"]["sliding_high"]  # type: ignore[index,operator]
    assert unkept(clamp_load=3000.0) == {"reserve.sliding_low"}
    assert unkept(clamp_load=8000.0) == set()
    assert unkept(clamp_load=5000.0, shock_factor=2.0) == {"shock_reserve.sliding_low"}
    assert not working.remarks


def test_published_limits_of_the_facing() -> None:
    # The Tribology Handbook, table 7.4: moulded 700 kPa and 1.2 W/mm², sintered 2800 kPa and 1.7 W/mm².
    moulded = outputs(LAUNCH, clamp_load=8000.0, facing="moulded")
    assert moulded["pressure_share"] == pytest.approx(moulded["mean_pressure"] / 700e3)
    assert moulded["power_share"] == pytest.approx(moulded["power_per_area"] / 1.2e6)
    assert moulded["break_in_distance"] == {"least": 800e3, "most": 1600e3}
    sintered = outputs(LAUNCH, clamp_load=8000.0, facing="sintered")
    assert sintered["pressure_share"] == pytest.approx(moulded["pressure_share"] / 4)
    assert sintered["power_share"] == pytest.approx(moulded["power_share"] * 1.2 / 1.7)
    assert "break_in_distance" not in sintered
    assert unkept(clamp_load=8000.0, facing="woven", covered_share=0.3) == {"pressure_share"}


@pytest.mark.parametrize(
    ("facing", "pressure", "power"),
    # The Tribology Handbook, table 7.4: working pressure in kPa, power rating in W/mm²
    [
        ("woven", 520, 0.6),
        ("wound", 700, 1.2),
        ("moulded", 700, 1.2),
        ("sintered", 2800, 1.7),
        ("cermet", 1400, 4.0),
    ],
)
def test_published_limits_of_every_facing(facing: str, pressure: float, power: float) -> None:
    out = outputs(LAUNCH, clamp_load=8000.0, facing=facing)
    assert out["pressure_share"] == pytest.approx(out["mean_pressure"] / (pressure * 1e3))
    assert out["power_share"] == pytest.approx(out["power_per_area"] / (power * 1e6))


# --- clamp load --------------------------------------------------------------------------


def test_clamp_load_from_the_release_load() -> None:
    out = outputs(release_load=1600.0, lever_ratio=4.0)
    assert out["clamp_load"] == pytest.approx(6400)
    assert out["crank_thrust"] == 1600
    back = outputs(clamp_load=6400.0, lever_ratio=4.0)
    assert back["release_load"] == pytest.approx(1600)
    assert outputs(clamp_load=6400.0, release_load=1500.0)["crank_thrust"] == 1500
    assert "crank_thrust" not in outputs(clamp_load=6400.0)


def test_clamp_load_from_a_disc_spring_of_din_2093() -> None:
    # DIN 2093, series B, 50 x 25.4 x 2 mm, h0 1.4 mm: 4760 N at 0.75 h0 (from memory), loaded at its edges.
    mm = 1e-3
    spring = DIAPHRAGM | {
        "spring_outer_diameter": 50 * mm,
        "spring_inner_diameter": 25.4 * mm,
        "spring_thickness": 2 * mm,
        "spring_height": 1.4 * mm,
        "pressing_diameter": 50 * mm,
        "fulcrum_diameter": 25.4 * mm,
        "finger_diameter": 20 * mm,
        "spring_deflection": 0.75 * 1.4 * mm,
    }
    assert outputs(spring)["clamp_load"] == pytest.approx(4760, rel=0.002)


def test_wear_of_the_facings_first_raises_a_diaphragms_load() -> None:
    out, working = ran(DIAPHRAGM, facing_wear=0.0016)
    assert out["worn_clamp_load"] > out["clamp_load"]  # type: ignore[operator]
    assert any("Wear raises" in remark for remark in working.remarks)
    reserve = out["reserve"]["sliding_low"]  # type: ignore[index]
    assert out["worn_reserve"] == pytest.approx(reserve * out["worn_clamp_load"] / out["clamp_load"])  # type: ignore[operator]
    # Levers: (85 - 22) / (99 - 85) = 4.5.
    assert out["release_load"] == pytest.approx(out["clamp_load"] / 4.5)  # type: ignore[operator]
    spent, _ = ran(DIAPHRAGM, facing_wear=0.0037)
    assert spent["worn_clamp_load"] < spent["clamp_load"]  # type: ignore[operator]
    assert spent["worn_reserve"] < 1  # type: ignore[operator]
    assert "worn_reserve" in unkept(DIAPHRAGM, facing_wear=0.0037)


# --- pedal -------------------------------------------------------------------------------


def test_pedal_conserves_work() -> None:
    # Work at the pedal is work at the bearing: loss-free, no free travel.
    out = outputs(PEDAL, clamp_load=8000.0, lever_ratio=4.0)
    assert out["pedal_force"] * out["pedal_travel"] == pytest.approx(2000 * 0.008, rel=1e-12)
    # By hand: 5 × (20/16)² × 1.6 = 12.5; 2000 N / 12.5 = 160 N; 8 mm × 12.5 = 100 mm.
    assert out["linkage_ratio"] == pytest.approx(12.5, rel=1e-12)
    assert out["pedal_force"] == pytest.approx(160, rel=1e-12)
    assert out["pedal_travel"] == pytest.approx(0.100, rel=1e-12)
    # 2000 N / 1.6 on a 20 mm piston.
    assert out["line_pressure"] == pytest.approx(1250 / (pi * 0.01**2), rel=1e-12)


def test_cable_and_concentric_slave() -> None:
    cable = outputs(
        PEDAL, clamp_load=8000.0, lever_ratio=4.0, master_bore=None, slave_bore=None, free_travel=0.012
    )
    assert cable["linkage_ratio"] == pytest.approx(8.0)
    assert cable["pedal_travel"] == pytest.approx(0.076)
    assert "line_pressure" not in cable
    ring = outputs(
        PEDAL, clamp_load=8000.0, lever_ratio=4.0, fork_ratio=1.0, slave_bore=0.050, slave_sleeve=0.030
    )
    assert ring["linkage_ratio"] == pytest.approx(5 * (50**2 - 30**2) / 16**2)
    assert "pedal_force" not in outputs(PEDAL, clamp_load=8000.0)


# --- launch ------------------------------------------------------------------------------


def test_launch_heat_is_the_cars_energy() -> None:
    # Energy balance: 1200 kg, 0.31 m, 14.76, 3000 rpm: 26 121.71 J and 6.59820 m/s.
    out = outputs(LAUNCH, clamp_load=8000.0)
    assert out["slip_energy"] == pytest.approx(26_121.7138978, rel=1e-10)
    assert out["lock_up_speed"] == pytest.approx(6.59820, abs=5e-6)
    assert out["slip_power"] * out["slip_duration"] / 2 == pytest.approx(out["slip_energy"], rel=1e-12)
    assert out["energy_per_area"] == pytest.approx(out["slip_energy"] / out["friction_area"], rel=1e-12)
    # Wang, Automobile Design: 0.40 J/mm² (from memory).
    assert out["energy_share"] == pytest.approx(out["energy_per_area"] / 0.40e6, rel=1e-12)


@given(
    st.floats(1.01, 2), st.sampled_from(["launch_speed", "vehicle_mass", "overall_ratio", "launch_torque"])
)
def test_what_makes_a_launch_hotter(more: float, name: str) -> None:
    before = outputs(LAUNCH, clamp_load=16_000.0, engine_torque=400.0)
    after = outputs(LAUNCH, clamp_load=16_000.0, engine_torque=400.0, **{name: LAUNCH[name] * more})
    if name == "launch_torque":  # harder, shorter, and the same heat
        assert after["slip_energy"] == pytest.approx(before["slip_energy"], rel=1e-9)
        assert after["slip_duration"] < before["slip_duration"]
    else:
        assert (after["slip_energy"] > before["slip_energy"]) is (name != "overall_ratio")


def test_plate_and_repeated_launches() -> None:
    # By hand: half of 26 121.71 J into 3.5 kg of 500 J/(kg·K).
    out = outputs(
        LAUNCH, PLATE, clamp_load=8000.0, launches=6, launch_interval=60.0, cooling_time_constant=400.0
    )
    assert out["plate_rise"] == pytest.approx(26_121.7138978 / 2 / 1750, rel=1e-10)
    assert out["rise_uncooled"] == pytest.approx(6 * out["plate_rise"])
    assert out["plate_rise"] < out["rise_cooled"] < out["rise_uncooled"]
    assert out["surface_rise"] > out["plate_rise"]
    middle = outputs(LAUNCH, PLATE, clamp_load=8000.0, plates=2, plate_faces=2)
    assert middle["plate_rise"] == pytest.approx(out["plate_rise"])
    assert "rise_cooled" not in outputs(LAUNCH, PLATE, clamp_load=8000.0, launches=6)


def test_pads_heat_the_whole_ring() -> None:
    """Facing figures go with the pads' area, the metal's with the ring's."""
    ring, pads = (outputs(LAUNCH, PLATE, clamp_load=8000.0, covered_share=share) for share in (1.0, 0.4))
    assert pads["energy_per_area"] == pytest.approx(ring["energy_per_area"] / 0.4)
    assert pads["surface_rise"] == ring["surface_rise"]


def test_a_thin_plate_is_said_to_get_hotter() -> None:
    _, working = ran(LAUNCH, PLATE, clamp_load=8000.0, plate_mass=1.0)
    assert any("surface gets hotter" in remark for remark in working.remarks)
    _, working = ran(LAUNCH, PLATE, clamp_load=8000.0, plate_mass=3.5)
    assert not any("surface gets hotter" in remark for remark in working.remarks)


def test_a_launch_that_hot_friction_cannot_carry_is_said_so() -> None:
    _, working = ran(LAUNCH, clamp_load=4000.0, sliding_friction_low=0.15, engine_torque=150.0)
    assert any("cannot carry launch_torque" in remark for remark in working.remarks)


# --- what is refused ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "kind,name,changes",
    [
        (MissingInput, "clamp_load", {}),
        (MissingInput, "clamp_load", {"release_load": 1500.0}),
        (MissingInput, "clamp_load", {"lever_ratio": 4.0}),
        (MissingInput, "spring_thickness", DIAPHRAGM | {"spring_thickness": None}),
        (MissingInput, "spring_outer_diameter", {"clamp_load": 8000.0, "facing_wear": 0.001}),
        (MissingInput, "static_friction_high", {"clamp_load": 8000.0, "static_friction_low": 0.3}),
        (MissingInput, "fork_ratio", {"clamp_load": 8000.0, "pedal_ratio": 5.0}),
        (MissingInput, "pedal_ratio", {"clamp_load": 8000.0, "release_travel": 0.01}),
        (MissingInput, "pedal_ratio", {"clamp_load": 8000.0, "master_bore": 0.016, "slave_bore": 0.019}),
        (MissingInput, "master_bore", {"clamp_load": 8000.0} | PEDAL | {"master_bore": None}),
        (MissingInput, "slave_bore", {"clamp_load": 8000.0, "slave_sleeve": 0.03}),
        (MissingInput, "overall_ratio", {"clamp_load": 8000.0} | LAUNCH | {"overall_ratio": None}),
        (MissingInput, "launch_speed", {"clamp_load": 8000.0} | PLATE),
        (MissingInput, "density", {"clamp_load": 8000.0} | LAUNCH | PLATE | {"density": None}),
        (MissingInput, "plate_mass", {"clamp_load": 8000.0} | LAUNCH | {"launches": 4}),
        (MissingInput, "launches", {"clamp_load": 8e3, "launch_interval": 9.0, "cooling_time_constant": 9.0}),
        (InputsConflict, "inner_diameter", {"clamp_load": 8000.0, "inner_diameter": 0.230}),
        (InputsConflict, "lever_ratio", {"clamp_load": 8000.0, "release_load": 1500.0, "lever_ratio": 4.0}),
        (InputsConflict, "clamp_load", DIAPHRAGM | {"clamp_load": 8000.0}),
        (InputsConflict, "facing_wear", DIAPHRAGM | {"facing_wear": 0.0039}),
        (InputsConflict, "sliding_friction_low", {"clamp_load": 8000.0, "sliding_friction_low": 0.45}),
        (
            InputsConflict,
            "static_friction_low",
            {"clamp_load": 8000.0, "static_friction_low": 0.5, "static_friction_high": 0.4},
        ),
        (InputsConflict, "launch_torque", {"clamp_load": 8000.0} | LAUNCH | {"launch_torque": 250.0}),
        (InputsConflict, "launch_torque", {"clamp_load": 2000.0} | LAUNCH | {"launch_torque": 200.0}),
        (InputsConflict, "launch_torque", {"clamp_load": 8000.0} | LAUNCH | {"road_resistance": 8000.0}),
        (OutOfRange, "slave_sleeve", {"clamp_load": 8000.0} | PEDAL | {"slave_sleeve": 0.020}),
        (OutOfRange, "fulcrum_diameter", DIAPHRAGM | {"fulcrum_diameter": 0.198}),
        (OutOfRange, "spring_deflection", DIAPHRAGM | {"spring_deflection": 0.0070}),
    ],
)
def test_faults_name_the_input(kind: type[Refused], name: str, changes: dict[str, Any]) -> None:
    with pytest.raises(kind) as refused:
        ran(**changes)
    assert refused.value.name == name
    assert refused.value.found
    assert refused.value.expected


def test_messages_say_what_to_do() -> None:
    with pytest.raises(
        InputsConflict, match=r"found 250.0 N·m, expected at most 210.0 N·m: engine_torque, or the"
    ):
        ran(LAUNCH, clamp_load=8000.0, launch_torque=250.0)
    with pytest.raises(
        MissingInput, match=r"found no clamp load, expected clamp_load, or release_load with lever_"
    ):
        ran()


# --- declarations ------------------------------------------------------------------------


def test_every_output_is_declared_and_has_a_step_with_a_named_source() -> None:
    given: dict[str, Any] = (
        DEFAULTS
        | DISC
        | DIAPHRAGM
        | PEDAL
        | LAUNCH
        | PLATE
        | {
            "facing": "moulded",
            "facing_wear": 0.001,
            "shock_factor": 1.4,
            "launch_torque": 120.0,
            "launches": 3,
            "launch_interval": 60.0,
            "cooling_time_constant": 300.0,
            "rated_torque": 300.0,
            "seen_slip_torque": 250.0,
            "launch_speeds": SPEEDS,
            "friction_by_temperature": FADING,
            "start_temperature": 300.0,
        }
    )
    working = Working()
    out = clutch.compute(given, working)
    assert set(out) == {output.name for output in clutch.OUTPUTS}
    assert {step.source for step in working.steps} <= {source.id for source in clutch.SOURCES}
    results = {step.name: step.result for step in working.steps}
    for name, value in out.items():
        for address, figure in (
            {f"{name}.{key}": at for key, at in value.items()} if isinstance(value, dict) else {name: value}
        ).items():
            assert results.get(address, given.get(address)) == figure, address


def test_chart_draws_the_capacity_and_the_engine() -> None:
    def case(clamp: float) -> Seen:
        return seen(clutch.compute, DEFAULTS | DISC | {"clamp_load": clamp, "shock_factor": 1.5})

    drawn = clutch.chart({"before": case(6000.0), "after": case(8000.0)})
    assert drawn is not None
    assert [series.label for series in drawn.series] == ["before", "after"]
    assert drawn.series[1].y[0] == pytest.approx(462)
    assert drawn.series[1].y[-1] == pytest.approx(616)
    assert [(marker.label, marker.y) for marker in drawn.markers] == [
        ("engine torque", 210.0),
        ("peak of a shock", 315.0),
    ]


# --- backwards, and more from outside ----------------------------------------------------


@pytest.mark.parametrize("outer,inner", [(0.230, 0.155), (0.215, 0.145), (0.300, 0.150)])
def test_both_theories_by_their_integrals(outer: float, inner: float) -> None:
    # “Analysis of clutch: uniform wear, uniform pressure”, lesson 11 of an open course (read): F = 2π ∫ p r
    # dr, T = 2π μ ∫ p r² dr, with p constant or with p r constant; by scipy 1.17, quad. Two faces.
    for theory, pressure in (("pressure", lambda r: 1.0), ("wear", lambda r: 1.0 / r)):
        load = quad(lambda r, p=pressure: p(r) * r, inner / 2, outer / 2)[0]
        moment = quad(lambda r, p=pressure: p(r) * r * r, inner / 2, outer / 2)[0]
        out = outputs(clamp_load=6000.0, outer_diameter=outer, inner_diameter=inner)
        carried = out[f"capacity_uniform_{theory}"]["sliding_low"]
        assert carried == pytest.approx(2 * 0.3 * 6000 * moment / load, rel=1e-9)


def test_an_exercise_of_one_plate() -> None:
    # D. J. Grieve, Clutch calculation (a stored page, read; its answer is not printed): two faces, 140 and
    # 200 mm, 0.5, 1 MN/m² at most, uniform wear. By hand: π × 10⁶ × 0.14 × 0.06 / 2 = 13 195 N, 1121.5 N·m.
    out = outputs(outer_diameter=0.2, inner_diameter=0.14, clamp_load=13_194.7, sliding_friction_high=0.5)
    assert out["greatest_pressure"] == pytest.approx(1e6, rel=1e-5)
    assert out["capacity_uniform_wear"]["sliding_high"] == pytest.approx(1121.55, rel=1e-5)


def test_a_launch_driven_by_scipy() -> None:
    # solve_ivp (scipy 1.17): J dω/dt = T - T_R until the gearbox side has the engine's speed; heat ∫ T (ω_e
    # - ω) dt.
    out = outputs(LAUNCH, clamp_load=8000.0, road_resistance=900.0)
    inertia, resistance = 1200 * 0.31**2 / 14.76**2, 900 * 0.31 / 14.76
    speed = 3000 * pi / 30

    def slip(_: float, state: Any) -> list[float]:
        return [(140 - resistance) / inertia, 140 * (speed - state[0])]

    def locked(_: float, state: Any) -> float:
        return float(state[0]) - speed

    locked.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(slip, (0, 20), [0.0, 0.0], events=locked, rtol=1e-9, atol=1e-9)
    assert run.t[-1] == pytest.approx(out["slip_duration"], rel=1e-6)
    assert run.y[1][-1] == pytest.approx(out["slip_energy"], rel=1e-6)


def test_a_rating_judged_backwards() -> None:
    # Coulomb friction, by hand: 400 N·m = 2 × μ × 8000 N × 96.25 mm: μ = 0.2597; with 0.3, 6926.4 N.
    out = outputs(clamp_load=8000.0, rated_torque=400.0)
    assert out["rating_friction"] == pytest.approx(400 / (2 * 8000 * 0.09625), rel=1e-12)
    assert out["rating_clamp_load"]["sliding_low"] == pytest.approx(400 / (2 * 0.3 * 0.09625), rel=1e-12)
    again = outputs(clamp_load=out["rating_clamp_load"]["sliding_high"])
    assert again["capacity_uniform_wear"]["sliding_high"] == pytest.approx(400)
    assert unkept(clamp_load=8000.0, rated_torque=400.0) == set()
    assert unkept(clamp_load=8000.0, rated_torque=600.0) == {"rating_friction"}


def test_what_a_slip_tells() -> None:
    out = outputs(clamp_load=8000.0, seen_slip_torque=210.0)
    back = outputs(clamp_load=8000.0, sliding_friction_low=out["slip_friction"])
    assert back["capacity_uniform_wear"]["sliding_low"] == pytest.approx(210)
    assert unkept(clamp_load=8000.0, seen_slip_torque=210.0) == {"slip_friction"}
    assert unkept(clamp_load=8000.0, seen_slip_torque=500.0) == set()


@pytest.mark.parametrize("mass", [0.4, 5.0, 25.0])
def test_a_mass_that_no_plate_of_this_size_has(mass: float) -> None:
    # By hand: π/4 (0.230² - 0.155²) m² × 7200 kg/m³ is 163.3 kg for a metre: 3 to 22 mm are 0.49 to 3.6 kg.
    with pytest.raises(InputsConflict, match=r"expected 0\.49 to 3\.6 kg, 3 to 22 mm"):
        ran(LAUNCH, PLATE, clamp_load=8000.0, plate_mass=mass)


def test_the_doubt_of_the_radius_spans_both_theories() -> None:
    # What lies between uniform wear and uniform pressure is what the doubt is of: for rings of d / D from
    # 0.6 the two are (Shigley's closed forms) within twice its half-width.
    for inner in (0.6, 0.67, 0.75):
        out = outputs(clamp_load=6000.0, outer_diameter=0.2, inner_diameter=0.2 * inner)
        theories = [out[f"capacity_uniform_{name}"]["sliding_low"] for name in ("pressure", "wear")]
        assert 1 < theories[0] / theories[1] < 1.04
    _, working = ran(LAUNCH, DIAPHRAGM)
    origins = {"method:clutch_friction_radius", "method:diaphragm_load", "method:launch_held"}
    assert set(working.doubted) == origins


# --- launches from several speeds ---------------------------------------------------------

FADING = [
    {"temperature": 293.15, "sliding_friction": 0.40},
    {"temperature": 423.15, "sliding_friction": 0.38},
    {"temperature": 573.15, "sliding_friction": 0.20},
]
SPEEDS = [1500 * pi / 30, 3000 * pi / 30, 5000 * pi / 30]
SEVERAL = {name: value for name, value in LAUNCH.items() if name != "launch_speed"} | {
    "launch_speeds": SPEEDS,
    "clamp_load": 6000.0,
}


def face(speed: float, cells: int = 400) -> tuple[float, float]:
    """Time of slip and greatest rise of a thick plate's face, by finite differences in depth and scipy's
    solve_ivp: each of the two faces of a plate gets half of the heat, the facing takes
    none, the flux falling evenly to nothing."""
    inertia = 1200 * 0.31**2 / 14.76**2
    slip = inertia * speed / 140
    area = pi / 4 * (0.230**2 - 0.155**2)
    start = 140 * speed / 2 / area
    depth = 8 * (50 / 7200 / 500 * slip) ** 0.5
    cell = depth / cells

    def rates(t: float, u: Any) -> Any:
        flow = 50 * np.diff(u) / cell  # towards the face
        gain = np.concatenate([flow, [0.0]]) - np.concatenate([[0.0], flow])
        gain[0] += start * (1 - t / slip)
        return gain / (7200 * 500 * cell)

    run = solve_ivp(rates, (0, slip), np.zeros(cells), method="BDF", rtol=1e-6, max_step=slip / 200)
    flux = start * (1 - run.t / slip)
    return slip, float((run.y[0] + flux * cell / 2 / 50).max())


def test_launches_from_several_speeds_by_conduction() -> None:
    """Source: derived, Newton's law; conduction by scipy 1.17 solve_ivp (BDF) on a rod of 400 cells."""
    out = outputs(SEVERAL, PLATE, friction_by_temperature=FADING, start_temperature=333.15)
    own = np.array([(row["temperature"], row["sliding_friction"]) for row in FADING])
    for key, speed in zip("123", SPEEDS, strict=True):
        slip, rise = face(speed)
        assert out["slip_duration_at"][key] == pytest.approx(slip, rel=1e-9)
        assert out["surface_rise_at"][key] == pytest.approx(rise, rel=0.005)
        hot = float(np.interp(333.15 + out["surface_rise_at"][key], *own.T))
        assert out["hot_friction_at"][key] == pytest.approx(hot, rel=1e-9)
        # Two faces at uniform wear: z μ F (D + d) / 4.
        carried = 2 * hot * 6000 * (0.230 + 0.155) / 4
        assert out["hot_reserve_at"][key] == pytest.approx(carried / 210, rel=1e-9)
    assert out["hot_reserve_at"]["1"] > out["hot_reserve_at"]["2"] > out["hot_reserve_at"]["3"]


def test_a_row_is_the_launch_at_that_speed() -> None:
    one = outputs(LAUNCH, PLATE, clamp_load=6000.0)
    out = outputs(SEVERAL, PLATE)
    for name in ("slip_duration", "slip_energy", "energy_per_area", "surface_rise"):
        assert out[f"{name}_at"]["2"] == pytest.approx(one[name], rel=1e-12)
    # Heat goes with the square of the speed, as the kinetic energy of the car does.
    assert out["slip_energy_at"]["3"] / out["slip_energy_at"]["1"] == pytest.approx((5000 / 1500) ** 2)
    both = outputs(LAUNCH, SEVERAL, PLATE)
    assert both["slip_energy_at"] == pytest.approx(out["slip_energy_at"])
    assert both["slip_energy"] == pytest.approx(one["slip_energy"])


def test_hot_rows_keep_to_their_limits() -> None:
    kept = unkept(SEVERAL, PLATE, friction_by_temperature=FADING, start_temperature=333.15)
    assert "hot_reserve_at.1" not in kept
    weak = unkept(SEVERAL, PLATE, friction_by_temperature=FADING, start_temperature=433.15, clamp_load=4000.0)
    assert "hot_reserve_at.3" in weak


@pytest.mark.parametrize(
    "kind,name,changes",
    [
        (MissingInput, "start_temperature", {"friction_by_temperature": FADING}),
        (MissingInput, "friction_by_temperature", {"start_temperature": 300.0}),
        (MissingInput, "vehicle_mass", {"vehicle_mass": None}),
        (
            InputsConflict,
            "friction_by_temperature",
            {"friction_by_temperature": FADING[::-1], "start_temperature": 300.0},
        ),
        (OutOfRange, "launch_speeds", {"friction_by_temperature": FADING, "start_temperature": 560.0}),
        (InputsConflict, "plate_mass", {"plate_mass": 25.0}),
        (MissingInput, "launch_speed", {"launches": 3}),
    ],
)
def test_faults_of_several_speeds_name_the_input(
    kind: type[Refused], name: str, changes: dict[str, Any]
) -> None:
    with pytest.raises(kind) as refused:
        ran(SEVERAL, PLATE, **changes)
    assert refused.value.name == name
