"""The kind `exhaust`, whole: against Darcy–Weisbach, geometry, data sheets and definitions."""

from __future__ import annotations

from math import log, pi, radians, sqrt
from types import SimpleNamespace
from typing import Any

import pytest
from fluids.fittings import bend_rounded, contraction_sharp, diffuser_sharp
from fluids.friction import friction_factor
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.optimize import brentq

from buildlog.calculators import exhaust
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Output, Working
from buildlog.physics.exhaust_flow import pressure_loss

RPM = pi / 30
TUBE = {"kind": "tube", "outer_diameter": 0.063, "length": 2.0}
SILENCER = {"kind": "muffler", "outer_diameter": 0.063, "length": 0.5, "loss_coefficient": 1.5}
LINE: dict[str, Any] = {
    "air_mass_flow": 0.1,
    "air_fuel_ratio": 12.8,
    "hydrogen_carbon_ratio": 1.87,
    "ambient_pressure": 101_325.0,
    "gas_temperature": 900.0,
    "roughness": 4.6e-5,
    "material": "stainless-304",
    "wall_thickness": 0.0015,
    "segments": [TUBE],
}
DRONE: dict[str, Any] = {"cruise_revs": 3000 * RPM, "cylinders": 4}
BRANCH: dict[str, Any] = {"branch_bore": 0.045, "branch_temperature": 500.0}


def run(without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    inputs = {name: value for name, value in (LINE | changes).items() if name not in without}
    return dict(exhaust.compute(inputs, Working()))


def test_a_tube_against_darcy_weisbach() -> None:
    """fluids 1.3.1, friction_factor; gas by Cantera 3.2.0 (294.40 J/(kg·K), 3.8235e-5 Pa·s, 588.90 m/s).

    Open end: ρ = 101 325/(294.40 · 900) = 0.382410 kg/m³; 0.1078125 kg/s through 60 mm is 99.711 m/s.
    """
    found = run()
    assert found["exhaust_mass_flow"] == pytest.approx(0.1078125, rel=1e-12)
    assert found["gas_speed"]["1"] == pytest.approx(99.711, rel=1e-3)
    assert found["mach_number"]["1"] == pytest.approx(99.711 / 588.90, rel=2e-3)
    head = 0.382410 * 99.711**2 / 2
    assert found["exit_loss"] == pytest.approx(head, rel=2e-3)
    number = 0.382410 * 99.711 * 0.060 / 3.8235e-5
    friction = friction_factor(Re=number, eD=4.6e-5 / 0.060) * 2.0 / 0.060
    assert found["loss_coefficient"]["1"] == pytest.approx(friction, rel=0.01)
    # The gas is denser upstream: a little less than K q, by about K q / 2p.
    liquid = friction * head
    assert found["pressure_loss"]["1"] == pytest.approx(liquid * (1 - liquid / 2 / 101_325), rel=0.01)
    assert found["back_pressure"] == pytest.approx(head + found["pressure_loss"]["1"], rel=2e-3)
    assert found["pressure_ahead"]["1"] == found["back_pressure"]


def test_a_bend_against_another_method() -> None:
    """fluids 1.3.1, bend_rounded by Miller: Ito lies within a quarter of it at 90°."""
    row = {"kind": "bend", "outer_diameter": 0.063, "bend_radius": 0.09, "angle": radians(90)}
    found = run(segments=[row])
    number = 0.382410 * 99.711 * 0.060 / 3.8235e-5
    shape: dict[str, Any] = {"Di": 0.06, "angle": 90, "bend_diameters": 1.5, "L_unimpeded": 10}
    miller = bend_rounded(**shape, Re=number, roughness=4.6e-5, method="Miller")
    assert found["loss_coefficient"]["1"] == pytest.approx(miller, rel=0.25)
    # its length is the arc: a quarter of 2 π 90 mm, of 2.3128 kg/m (π (63 − 1.5) 1.5 mm² · 8000)
    assert found["segment_mass"]["1"] == pytest.approx(pi / 2 * 0.09 * pi * 0.0615 * 0.0015 * 8000, rel=1e-9)


def test_a_rough_bend_costs_more() -> None:
    """Miller (1990), 9.2.4, by way of fluids 1.3.1: by the ratio of the friction factors, rough to smooth."""
    row = {"kind": "bend", "outer_diameter": 0.063, "bend_radius": 0.09, "angle": radians(90)}
    smooth, rough = (run(segments=[row | {"roughness": one}]) for one in (0.0, 1e-4))
    number = 0.382410 * 99.711 * 0.060 / 3.8235e-5
    ratio = friction_factor(Re=number, eD=1e-4 / 0.060) / friction_factor(Re=number, eD=0.0)
    found = rough["loss_coefficient"]["1"] / smooth["loss_coefficient"]["1"]
    assert found == pytest.approx(ratio, rel=0.005)
    assert run(roughness=1e-4)["back_pressure"] == pytest.approx(
        run(segments=[TUBE | {"roughness": 1e-4}])["back_pressure"], rel=1e-12
    )


def test_a_segment_has_its_own_temperatures() -> None:
    """Ideal gas: at the open end the speed goes with the temperature."""
    cool = run(segments=[TUBE | {"gas_temperature": 600.0}])
    assert cool["gas_speed"]["1"] == pytest.approx(run()["gas_speed"]["1"] * 600 / 900, rel=1e-3)
    hot: dict[str, Any] = {"wall_temperature": 473.15, "fitting_temperature": 293.15}
    own = run(**hot, segments=[TUBE | {"wall_temperature": 588.15, "length": 1.2}])
    # ASM data sheet: 304, 1.2 m from 20 to 315 °C, 6.3012 mm
    assert own["total_growth"] == pytest.approx(6.3012e-3, rel=1e-9)


def test_changes_of_bore() -> None:
    """fluids 1.3.1: Borda–Carnot, 60 to 75 mm; narrowing by Crane, within what handbooks differ (Rennels)."""
    narrow, wide = TUBE, TUBE | {"outer_diameter": 0.078}
    alone = {one: run(segments=[row])["loss_coefficient"]["1"] for one, row in (("n", narrow), ("w", wide))}
    widening = run(segments=[narrow, wide])["loss_coefficient"]
    assert widening["1"] - alone["n"] == pytest.approx(diffuser_sharp(Di1=0.060, Di2=0.075), abs=0.003)
    assert widening["2"] == pytest.approx(alone["w"], rel=0.01)
    narrowing = run(segments=[wide, narrow])["loss_coefficient"]
    assert narrowing["2"] - alone["n"] == pytest.approx(0.5 * (1 - 0.8**2), abs=0.003)
    assert narrowing["2"] - alone["n"] == pytest.approx(contraction_sharp(Di1=0.075, Di2=0.060), abs=0.06)
    # a cone costs less than a step (Gibson, as in Crane)
    cone = run(segments=[narrow, wide | {"cone_angle": radians(15)}])["loss_coefficient"]
    assert alone["n"] < cone["1"] < widening["1"]
    # bores that are the same make no step
    assert run(segments=[narrow, narrow])["loss_coefficient"]["2"] == pytest.approx(alone["n"], rel=1e-9)


def test_a_silencer_costs_its_coefficient() -> None:
    silencer = {
        "kind": "muffler",
        "outer_diameter": 0.063,
        "length": 0.5,
        "loss_coefficient": 1.5,
        "mass": 4.2,
    }
    found = run(segments=[silencer])
    assert found["loss_coefficient"]["1"] == 1.5
    assert found["pressure_loss"]["1"] == pytest.approx(1.5 * found["exit_loss"], rel=0.02)
    assert found["mass"] == 4.2
    both = run(segments=[TUBE, silencer | {"name": "box"}])
    assert list(both["pressure_ahead"]) == ["1", "box"]
    assert both["mass"] == pytest.approx(4.2 + both["segment_mass"]["1"], rel=1e-12)


def test_three_ways_to_the_flow() -> None:
    # By hand: 100 kW at 300 g/(kW·h) burn 30 kg/h; at 12.8 : 1 with its air 414 kg/h
    by_power = run(("air_mass_flow",), power=100e3, specific_fuel_consumption=300e-3 / 3.6e6)
    assert by_power["exhaust_mass_flow"] * 3600 == pytest.approx(414, rel=1e-9)
    # Heywood 2.10 and the standard atmosphere: 0.1357708 kg/s of air (see test_header.py)
    engine: dict[str, Any] = {
        "engine_displacement": 0.002,
        "volumetric_efficiency": 0.95,
        "ambient_temperature": 288.15,
    }
    by_engine = run(("air_mass_flow",), engine_speed=7000 * RPM, **engine)
    assert by_engine["exhaust_mass_flow"] == pytest.approx(0.1463779, rel=1e-5)
    # What a car's sheet brings along forces nothing.
    assert run(**engine)["exhaust_mass_flow"] == pytest.approx(0.1078125, rel=1e-12)


def test_titanium_against_stainless() -> None:
    """Geometry and the data sheets: masses as the densities, 4510 to 8000, walls alike."""
    steel, light = run(), run(material="titanium-2")
    assert light["mass"] / steel["mass"] == pytest.approx(4510 / 8000, rel=1e-9)
    # 50.8 × 1.2 mm of 304, kg/m by geometry
    tube = run(segments=[TUBE | {"outer_diameter": 0.0508, "length": 1.0}], wall_thickness=0.0012)
    assert tube["mass_per_metre"]["1"] == pytest.approx(1.49590075793, rel=1e-9)
    assert tube["mass"] == pytest.approx(1.49590075793, rel=1e-9)


def test_growth() -> None:
    # ASM data sheets: 1.2 m from 20 to 315 °C, 304 6.3012 mm and titanium 3.2568 mm
    hot: dict[str, Any] = {"wall_temperature": 588.15, "fitting_temperature": 293.15}
    line: dict[str, Any] = {"segments": [TUBE | {"length": 0.5}, TUBE | {"length": 0.7}]}
    assert run(**hot, **line)["total_growth"] == pytest.approx(6.3012e-3, rel=1e-9)
    assert run(material="titanium-2", **hot, **line)["total_growth"] == pytest.approx(3.2568e-3, rel=1e-9)
    mixed: dict[str, Any] = {
        "segments": [TUBE | {"length": 0.5}, TUBE | {"length": 0.7, "material": "titanium-2"}]
    }
    parts = run(**hot, **mixed)["thermal_growth"]
    assert parts["2"] == pytest.approx(3.2568e-3 * 0.7 / 1.2, rel=1e-9)
    assert "total_growth" not in run()


def test_gauges() -> None:
    # 16 SWG is 0.064 in (BS 3737:1964)
    by_gauge = run(("wall_thickness",), gauge="16-SWG")
    assert by_gauge["mass"] == pytest.approx(run(wall_thickness=0.064 * 0.0254)["mass"], rel=1e-12)


def test_drone() -> None:
    found = run(**DRONE, **BRANCH)
    # A four fires twice a turn: at 3000 rpm 100 Hz; half of that 50, double 200 (definition)
    assert found["tone_frequency"] == pytest.approx({"half-firing": 50, "firing": 100, "double-firing": 200})
    assert found["engine_order"] == {"half-firing": 1, "firing": 2, "double-firing": 4}
    # Kinsler and Frey: a/(4 f) less 8/(3π) of the radius; γ of burnt gas at 500 K is 1.3504 by CoolProp 8.0.0
    # (see test_gas.py), so that a = √(1.3504 · 294.40 · 500) = 445.85 m/s: 1.11463 − 0.01910 m
    assert found["branch_length"] == pytest.approx(1.09553, rel=2e-3)
    six = run(cruise_revs=3000 * RPM, cylinders=6)
    assert six["tone_frequency"]["firing"] == pytest.approx(150)
    # A working cycle is two turns, so that an engine sounds at multiples of one half (definition of order).
    # With three cylinders half of firing would be order 0.75, which there is not.
    three = run(cruise_revs=3000 * RPM, cylinders=3)
    assert three["engine_order"] == {"firing": 1.5, "double-firing": 3}
    assert list(three["tone_frequency"]) == ["firing", "double-firing"]
    recorded = run(**DRONE, **BRANCH, drone_frequency=200.0)
    assert recorded["drone_order"] == pytest.approx(4)
    assert recorded["branch_length"] == pytest.approx(1.11463 / 2 - 0.01910, rel=2e-3)


def _fanno(mach: float, gamma: float) -> float:
    """4fL*/d of adiabatic flow with friction: Shapiro, Compressible Fluid Flow, ch. 6 (from memory)."""
    ratio = (gamma + 1) * mach**2 / (2 + (gamma - 1) * mach**2)
    return (1 - mach**2) / (gamma * mach**2) + (gamma + 1) / (2 * gamma) * log(ratio)


@pytest.mark.parametrize(("mach", "low"), [(0.1, 0.006), (0.3, 0.05), (0.5, 0.11)])
def test_how_far_the_loss_holds(mach: float, low: float) -> None:
    """Adiabatic flow with friction (Fanno) from the same state at the exit, γ = 1.3, K = 1: the loss of total
    pressure is under-read by what the remark and the manual say."""
    gamma, pressure = 1.3, 1e5
    ours = pressure_loss(1.0, gamma / 2 * pressure * mach**2, pressure)
    before = brentq(lambda one: _fanno(one, gamma) - _fanno(mach, gamma) - 1, 0.01, mach)

    def stagnation(at: float) -> float:
        return float((1 + (gamma - 1) / 2 * at**2) ** (gamma / (gamma - 1)))

    def static(one: float) -> float:
        return 1 / (one * sqrt(1 + (gamma - 1) / 2 * one**2))

    whole = pressure * (static(before) / static(mach) * stagnation(before) - stagnation(mach))
    assert ours / whole == pytest.approx(1 - low, abs=0.006)


def test_a_cool_branch() -> None:
    """CoolProp 8.0.0 gives burnt gas of this mixture 366.63 m/s at 333.15 K (cp0 of each gas)."""
    cool = run(**DRONE, **BRANCH | {"branch_temperature": 333.15}, drone_frequency=100.0)
    assert cool["branch_length"] == pytest.approx(366.63 / 400 - 0.01910, rel=1e-3)


def test_remarks() -> None:
    working = Working()
    exhaust.compute(LINE | DRONE | {"drone_frequency": 113.0}, working)
    assert any("order 2.26, which is no multiple of one half" in remark for remark in working.remarks)
    working = Working()
    exhaust.compute(LINE | {"air_mass_flow": 0.21}, working)
    assert any("At 0.3 the loss comes out 5 % too small" in remark for remark in working.remarks)
    working = Working()
    found = exhaust.compute(LINE | {"segments": [TUBE, SILENCER | {"name": "box"}]}, working)
    assert found["mass"] == run()["mass"]
    assert any("The mass is without box" in remark for remark in working.remarks)
    working = Working()
    exhaust.compute(LINE | {"segments": [TUBE, TUBE | {"outer_diameter": 0.045, "pipes": 2}]}, working)
    assert any("Where pipes part or meet no loss" in remark for remark in working.remarks)


def test_two_pipes_share_the_gas() -> None:
    one, two = run(), run(segments=[TUBE | {"pipes": 2}])
    assert two["gas_speed"]["1"] == pytest.approx(one["gas_speed"]["1"] / 2, rel=0.01)
    assert two["mass"] == pytest.approx(2 * one["mass"], rel=1e-12)


@for_all(st.floats(0.01, 0.12), st.floats(1.02, 1.4), st.floats(600, 1200))
def test_more_gas_hotter_gas_and_narrower_tubes_cost_more(
    flow: float, factor: float, temperature: float
) -> None:
    before = run(air_mass_flow=flow, gas_temperature=temperature)
    assert (
        run(air_mass_flow=flow * factor, gas_temperature=temperature)["back_pressure"]
        > before["back_pressure"]
    )
    hotter = run(air_mass_flow=flow, gas_temperature=temperature * factor)
    assert hotter["back_pressure"] > before["back_pressure"]
    wider = run(
        air_mass_flow=flow, gas_temperature=temperature, segments=[TUBE | {"outer_diameter": 0.063 * factor}]
    )
    assert wider["back_pressure"] < before["back_pressure"]
    assert wider["mass"] > before["mass"]


@for_all(st.floats(0.01, 0.12), st.lists(st.floats(0.1, 1), min_size=1, max_size=5))
def test_pressure_falls_along_the_line_to_the_exit(flow: float, lengths: list[float]) -> None:
    found = run(air_mass_flow=flow, segments=[TUBE | {"length": one} for one in lengths])
    ahead = list(found["pressure_ahead"].values())
    assert ahead == sorted(ahead, reverse=True)
    total = sum(found["pressure_loss"].values()) + found["exit_loss"]
    assert found["back_pressure"] == pytest.approx(total, rel=1e-9, abs=1e-6)
    assert found["mass"] == pytest.approx(sum(found["segment_mass"].values()), rel=1e-12)


HOT = {"wall_temperature": 873.15, "fitting_temperature": 293.15}


@pytest.mark.parametrize(
    ("without", "changes", "error", "message"),
    [
        (("air_mass_flow",), {}, MissingInput, "air_mass_flow: found nothing to take the flow from"),
        ((), {"power": 1e5}, InputsConflict, "power: found air_mass_flow as well"),
        (("air_mass_flow",), {"power": 1e5}, MissingInput, "specific_fuel_consumption: found power without"),
        ((), {"specific_fuel_consumption": 8e-8}, MissingInput, "power: found specific_fuel_consumption"),
        (("air_mass_flow",), {"engine_speed": 700.0}, MissingInput, "engine_displacement: found engine_spe"),
        ((), {"gauge": "16-SWG"}, InputsConflict, "gauge: found wall_thickness as well"),
        (("wall_thickness",), {}, MissingInput, "wall_thickness: found segment 1 without a wall"),
        (
            (),
            {"segments": [{"kind": "tube", "outer_diameter": 0.06}]},
            MissingInput,
            r"segments: found segment 1 \(tube\) without length",
        ),
        (
            (),
            {"segments": [TUBE | {"angle": 1.0}]},
            InputsConflict,
            r"segments: found segment 1 \(tube\) with angle",
        ),
        (
            (),
            {"segments": [{"kind": "catalyst", "outer_diameter": 0.06, "length": 0.2}]},
            MissingInput,
            r"segments: found segment 1 \(catalyst\) without loss_coefficient",
        ),
        ((), {"segments": [TUBE | {"name": "x"}, TUBE | {"name": "x"}]}, InputsConflict, "two segments"),
        ((), {"segments": [TUBE | {"name": "a b"}]}, InputsConflict, "segments: found the name “a b”"),
        ((), {"segments": [TUBE | {"name": "2"}]}, InputsConflict, "segments: found the name “2”"),
        ((), {"wall_temperature": 700.0}, MissingInput, "fitting_temperature: found wall_temperature"),
        (
            (),
            {"segments": [TUBE | {"wall_temperature": 700.0}]},
            MissingInput,
            "wall_temperature: found a segment with wall_temperature alone",
        ),
        (
            (),
            HOT | {"material": "titanium-2"},
            OutOfRange,
            "wall_temperature: found 600 °C at segment 1, expected at most 540 °C for titanium grade 2",
        ),
        ((), {"cruise_revs": 300.0}, MissingInput, "cylinders: found cruise_revs without cylinders"),
        ((), {"drone_frequency": 100.0}, MissingInput, "cruise_revs: found drone_frequency without"),
        ((), BRANCH, MissingInput, "cruise_revs: found branch_bore without cruise_revs"),
        ((), DRONE | {"branch_bore": 0.045}, MissingInput, "branch_temperature: found branch_bore without"),
        ((), {"air_mass_flow": 0.8}, OutOfRange, "segments: found segment 1: a mass flux of 305"),
        ((), {"gas_temperature": 450.0}, OutOfRange, "temperature: found 450, expected 500 to 1800"),
    ],
)
def test_errors(
    without: tuple[str, ...], changes: dict[str, Any], error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=message):
        run(without, **changes)


def test_cylinders_from_the_cars_sheet_force_nothing() -> None:
    assert "engine_order" not in run(cylinders=4)


def test_every_output_is_declared_and_has_its_step() -> None:
    working = Working()
    hot: dict[str, Any] = {"wall_temperature": 700.0, "fitting_temperature": 293.15}
    found = exhaust.compute(LINE | DRONE | BRANCH | hot | {"drone_frequency": 101.0}, working)
    declared: dict[str, Output] = {output.name: output for output in exhaust.OUTPUTS}
    assert set(found) == set(declared)
    steps = {step.name: step.result for step in working.steps}
    for name, value in found.items():
        if isinstance(value, dict):
            for key, one in value.items():
                assert steps[f"{name}.{key}"] == one
        else:
            assert steps[name] == value
    assert {step.source for step in working.steps} <= {source.id for source in exhaust.SOURCES}


def test_chart_falls_to_the_open_air() -> None:
    def view(**changes: Any) -> SimpleNamespace:
        inputs = LINE | changes
        return SimpleNamespace(inputs=inputs, outputs=exhaust.compute(inputs, Working()))

    spec = exhaust.chart({"a": view(), "b": view(segments=[TUBE] * 3)})
    assert spec is not None
    assert [series.label for series in spec.series] == ["a", "b"]
    for series, length in zip(spec.series, (2.0, 6.0), strict=True):
        assert series.x[-1] == pytest.approx(length)
        assert series.y[-1] == 0
        assert list(series.y) == sorted(series.y, reverse=True)
        assert 25 <= len(series.x) <= 120
    assert spec.series[0].y[0] == view().outputs["back_pressure"]
