"""The kind `exhaust`, whole: against Darcy–Weisbach, geometry, data sheets and definitions."""

from __future__ import annotations

from dataclasses import replace
from math import log, log10, pi, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.compressible import P_critical_flow, P_stagnation
from fluids.fittings import bend_rounded, contraction_sharp, diffuser_sharp
from fluids.friction import friction_factor
from fluids.safety_valve import API520_A_g
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from buildlog.book.evaluation import Evaluation
from buildlog.calculators import exhaust
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, Position
from buildlog.kinds.declaration import Output, Working
from buildlog.kinds.results import Value, change_between
from buildlog.physics.compressible import mach_number_before_cooling
from buildlog.reading.blocks import read_block
from buildlog.reading.nodes import whole_file
from tests.calculators.burnt_by_balance import Burnt
from tests.calculators.line_by_ode import Tube, pressures_ahead
from tests.calculators.seen import Seen, seen
from tests.calculators.test_all_kinds import nothing

RPM = pi / 30
TUBE = {"kind": "tube", "outer_diameter": 0.063, "length": 2.0}
SILENCER = {"kind": "muffler", "outer_diameter": 0.063, "length": 0.5, "loss_coefficient": 1.5}
LINE: dict[str, Any] = {
    "air_mass_flow": 0.1,
    "air_fuel_ratio": 12.8,
    "fuel": "petrol",
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

    Open end, were the gas as warm as at rest: ρ = 101 325/(294.40 · 900) = 0.382410 kg/m³; 0.1078125 kg/s
    through 60 mm is 99.711 m/s. At Mach 0.169 it is 0.44 % cooler (γ 1.3089, NACA Report 1135, eq. 43).
    """
    found = run()
    assert found["exhaust_mass_flow"] == pytest.approx(0.1078125, rel=1e-12)
    assert found["gas_speed"]["1"] == pytest.approx(99.711 * (1 - 0.0044), rel=1e-3)
    assert found["mach_number"]["1"] == pytest.approx(99.711 / 588.90 * (1 - 0.0022), rel=2e-3)
    head = 0.382410 * 99.711**2 / 2
    assert found["exit_loss"] == pytest.approx(head, rel=4e-3)
    number = 0.382410 * 99.711 * 0.060 / 3.8235e-5
    friction = friction_factor(Re=number, eD=4.6e-5 / 0.060) * 2.0 / 0.060
    assert found["loss_coefficient"]["1"] == pytest.approx(friction, rel=0.01)
    # The gas is denser upstream: less than K q by about K q / 2p. Of total pressure it loses γ M²/2 more than
    # of a liquid's, and it is cooler by 0.44 % (series of adiabatic flow, γ 1.3089, Mach 0.169).
    liquid = friction * head
    small = 1 - liquid / 2 / 101_325 + 1.3089 / 2 * 0.169**2 - 0.0044
    assert found["pressure_loss"]["1"] == pytest.approx(liquid * small, rel=0.005)
    assert found["back_pressure"] == pytest.approx(head + found["pressure_loss"]["1"], rel=3e-3)
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
    assert cool["gas_speed"]["1"] == pytest.approx(run()["gas_speed"]["1"] * 600 / 900, rel=2e-3)
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


@pytest.mark.parametrize("flow", [0.05, 0.12, 0.25, 0.4, 0.5, 0.55])
def test_a_tube_against_the_balance_of_momentum(flow: float) -> None:
    """scipy 1.17.1, solve_ivp: dp/dx + G dv/dx = -f/(2 d) ρ v² with T + v²/(2 c_p) held, from the open end
    against the flow; up to Mach 0.9. Independent of the closed form that the calculator uses."""
    working = Working()
    found: dict[str, Any] = exhaust.compute(LINE | {"air_mass_flow": flow}, working)
    steps = {step.name: step.result for step in working.steps}
    ratio, constant = steps["heat_capacity_ratio.1"], steps["gas_constant"]
    flux, total = steps["mass_flux.1"], 900.0
    heat = ratio * constant / (ratio - 1)

    def slope(_: float, state: list[float]) -> list[float]:
        (v,) = state
        t = total - v**2 / (2 * heat)
        p = flux * constant * t / v
        # p = G R t/v, so that dp = (-G R t/v² - G R/c_p) dv
        by_speed = flux - flux * constant * t / v**2 - flux * constant / heat
        friction = found["loss_coefficient"]["1"] * flux * v / 2
        assert p > 0
        return [friction / by_speed]  # upstream: minus times minus

    after = brentq(
        lambda v: flux * constant * (total - v**2 / (2 * heat)) / v - 101_325,
        1,
        0.99 * sqrt(ratio * constant * 850),
    )
    ahead = float(solve_ivp(slope, (0, 1), [after], rtol=1e-10, atol=1e-10).y[0, -1])
    t = total - ahead**2 / (2 * heat)
    mach = ahead / sqrt(ratio * constant * t)
    before = P_stagnation(P=flux * constant * t / ahead, T=t, Tst=total, k=ratio)
    assert mach == pytest.approx(steps["mach_number_ahead.1"], rel=1e-7)
    assert found["pressure_ahead"]["1"] == pytest.approx(before - 101_325, rel=1e-6)


LINES = {
    "two-litre": (
        0.1456,
        (
            Tube(bore=0.055, length=0.9, temperature=1050.0),
            Tube(bore=0.055, length=1.0, temperature=960.0, loss=1.2),
            Tube(bore=0.055, length=1.2, temperature=850.0),
        ),
    ),
    "small": (
        0.0970,
        (
            Tube(bore=0.047, length=0.6, temperature=1080.0),
            Tube(bore=0.047, length=0.9, temperature=1000.0, loss=2.0),
            Tube(bore=0.047, length=1.0, temperature=860.0),
            Tube(bore=0.047, length=0.5, temperature=800.0),
        ),
    ),
    "narrow": (
        0.2100,
        (
            Tube(bore=0.057, length=1.2, temperature=1100.0),
            Tube(bore=0.057, length=1.2, temperature=980.0, loss=1.0),
            Tube(bore=0.057, length=1.2, temperature=820.0),
        ),
    ),
}


def test_a_run_that_changes_its_bore_says_so() -> None:
    """Crane's junctions have one bore for the run (TP-410, 2009, ch. 2, as in fluids 1.3.1)."""
    quiet = {"kind": "tube", "outer_diameter": 0.063, "length": 0.5, "path": "quiet"}
    loud = {"kind": "tube", "outer_diameter": 0.053, "length": 0.5, "path": "loud", "branch_angle": pi / 4}
    for bore, says in ((0.063, False), (0.053, True)):
        working = Working()
        rows = [TUBE, quiet | {"outer_diameter": bore}, loud, TUBE | {"name": "tail"}]
        exhaust.compute(LINE | {"segments": rows}, working)
        assert any("changes its bore" in remark for remark in working.remarks) == says


@pytest.mark.parametrize("name", LINES)
def test_gas_that_cools_along_the_line(name: str) -> None:
    """scipy 1.17.1, solve_ivp, with fluids and CoolProp (line_by_ode.py, independent of the program): the
    last tube with its temperature held within 0.3 %; where it falls along the way within 1 % of the back
    pressure, which is 3 to 9 % less than with what cooling gives back left out."""
    flow, tubes = LINES[name]
    rows = [
        {
            "kind": "tube",
            "outer_diameter": tube.bore + 0.003,
            "length": tube.length,
            "gas_temperature": tube.temperature,
            "loss_coefficient": tube.loss,
        }
        for tube in tubes
    ]
    found = run(air_mass_flow=flow / (1 + 1 / 12.8), roughness=5e-5, segments=rows)
    burnt = Burnt(1.87, 0.0, 12.8)
    cooling = pressures_ahead(tubes, flow, 101_325.0, burnt, 5e-5)
    held = pressures_ahead(tubes, flow, 101_325.0, burnt, 5e-5, cools=False)
    last = str(len(tubes))
    assert found["pressure_ahead"][last] + found["cooling_gain"][last] == pytest.approx(held[-1], rel=0.003)
    assert found["back_pressure"] == pytest.approx(cooling[0], rel=0.01)
    assert 0.91 < found["back_pressure"] / held[0] < 0.97
    gains = found["cooling_gain"]
    assert "1" not in gains
    total = sum(found["pressure_loss"].values()) + found["exit_loss"] - sum(gains.values())
    assert found["back_pressure"] == pytest.approx(total, rel=1e-9)


@pytest.mark.parametrize(("length", "other", "flow"), [(0.6, 0.6, 0.1), (2.4, 0.6, 0.1), (3.0, 0.3, 0.06)])
def test_paths_of_unlike_lengths(length: float, other: float, flow: float) -> None:
    """scipy 1.17.1, brentq, and fluids 1.3.1, friction: two pipes that lose as much, slow against sound, so
    that f L G² is the same; without branches. And like paths are as pipes that are counted."""
    rows = [
        {"kind": "tube", "outer_diameter": 0.053, "length": one, "path": name}
        for one, name in ((length, "long"), (other, "short"))
    ]
    tail = TUBE | {"name": "tail"}
    found = run(segments=[TUBE, *rows, tail], air_mass_flow=flow)
    whole = flow * (1 + 1 / 12.8)

    def costs(share: float, pipe: float) -> float:
        flux = share * whole / (pi / 4 * 0.05**2)
        factor = friction_factor(Re=flux * 0.05 / 3.8235e-5, eD=4.6e-5 / 0.05)
        return float(factor * pipe / 0.05 * flux**2)

    share = float(brentq(lambda x: costs(x, length) - costs(1 - x, other), 0.01, 0.99))
    assert found["path_share"]["long"] == pytest.approx(share, rel=0.01)
    assert found["pressure_loss"]["2"] == pytest.approx(found["pressure_loss"]["3"], rel=1e-6)
    if length == other:
        pair = {"kind": "tube", "outer_diameter": 0.053, "length": length, "pipes": 2}
        counted = run(segments=[TUBE, pair, tail], air_mass_flow=flow)
        assert found["back_pressure"] == pytest.approx(counted["back_pressure"], rel=1e-9)


def test_cooling_by_the_balance_of_momentum() -> None:
    """Impulse p + ρ v² and continuity at both ends, by scipy 1.17.1, brentq: gas of γ 1.3 and 290 J/(kg·K)
    that comes to Mach 0.4 at 900 K of total temperature was faster against sound at 1100 K."""
    g, constant = 1.3, 290.0

    def impulse(mach: float, total: float, flux: float) -> float:
        static = total / (1 + (g - 1) / 2 * mach**2)
        speed = mach * sqrt(g * constant * static)
        return flux / speed * constant * static + flux * speed

    wanted = impulse(0.4, 900.0, 100.0)
    mach = float(brentq(lambda m: impulse(m, 1100.0, 100.0) - wanted, 0.05, 0.9))
    assert mach_number_before_cooling(0.4, 1100 / 900, g) == pytest.approx(mach, rel=1e-9)
    assert mach_number_before_cooling(0.4, 1.0, g) == pytest.approx(0.4, rel=1e-12)
    # Shapiro, table B.5 (from memory), γ 1.4: total temperature at Mach 0.5 is 0.6914 of that at Mach 1
    assert mach_number_before_cooling(0.5, 1 / 0.6914, 1.4) == pytest.approx(1, abs=0.01)
    assert mach_number_before_cooling(0.5, 2.0, 1.4) == 1


def test_cooling_in_a_box_counts_half() -> None:
    """By hand, to first order: a fall of ln(T1/T2) gives back as a loss coefficient of as much costs. From
    tube to silencer half of the fall counts; from silencer to catalyst none."""
    cat = {"kind": "catalyst", "outer_diameter": 0.063, "length": 0.1, "loss_coefficient": 2.0}
    rows = [TUBE, SILENCER | {"gas_temperature": 800.0}, cat | {"gas_temperature": 750.0}]
    found = run(segments=rows, air_mass_flow=0.03)
    assert list(found["cooling_gain"]) == ["2"]
    head = found["pressure_loss"]["2"] / 1.5
    assert found["cooling_gain"]["2"] == pytest.approx(head * log(850 / 800), rel=0.05)
    # gas that is hotter in the next segment costs
    assert run(segments=[TUBE, TUBE | {"gas_temperature": 950.0}])["cooling_gain"]["2"] < 0
    assert "cooling_gain" not in run(segments=[TUBE, TUBE])


def test_the_exit_against_fluids() -> None:
    """fluids 1.3.1, P_stagnation: what the speed at an open end makes of the air's pressure."""
    for flow in (0.05, 0.2, 0.5):
        working = Working()
        found: dict[str, Any] = exhaust.compute(LINE | {"air_mass_flow": flow}, working)
        steps = {step.name: step.result for step in working.steps}
        whole = P_stagnation(
            P=101_325.0, T=steps["static_temperature.1"], Tst=900.0, k=steps["heat_capacity_ratio.1"]
        )
        assert found["exit_loss"] == pytest.approx(whole - 101_325, rel=1e-6)


def test_a_choked_line_answers() -> None:
    """fluids 1.3.1, API520_A_g (critical flow through an area) and P_critical_flow: the total pressure at a
    choked end is that at which the tube's area lets the flow through."""
    flow, working = 0.8, Working()
    found: dict[str, Any] = exhaust.compute(LINE | {"air_mass_flow": flow}, working)
    steps = {step.name: step.result for step in working.steps}
    assert found["mach_number"]["1"] == 1
    assert any("Segment 1 chokes" in remark for remark in working.remarks)
    total, ratio = steps["exit_total_pressure"], steps["heat_capacity_ratio.1"]
    assert P_critical_flow(P=total, k=ratio) > 101_325
    area = API520_A_g(
        m=flow * (1 + 1 / 12.8),
        T=900.0,
        Z=1,
        MW=8314.462618 / steps["gas_constant"],
        k=ratio,
        P1=total,
        Kd=1.0,
    )
    assert area == pytest.approx(pi / 4 * 0.06**2, rel=2e-3)
    # A throat in the middle chokes too, and what is ahead of it needs more than what is behind it.
    throat = [
        TUBE,
        TUBE | {"name": "throat", "outer_diameter": 0.043, "length": 0.05},
        TUBE | {"name": "tail"},
    ]
    narrow: dict[str, Any] = run(segments=throat, air_mass_flow=0.3)
    assert narrow["mach_number"]["throat"] == 1
    assert narrow["pressure_ahead"]["throat"] > 1.5 * narrow["pressure_ahead"]["tail"]


def test_fuels_by_name() -> None:
    """U.S. Department of Energy, Alternative Fuels Data Center, fuel property comparison (read): ethanol 9,
    gasoline 14.7 of air by weight. Methanol by hand: 1.5 (31.998 + 3.773 · 28.16)/32.042 = 6.472."""

    def needs(fuel: str) -> float:
        working = Working()
        exhaust.compute(LINE | {"fuel": fuel, "air_fuel_ratio": 9.5 if fuel != "methanol" else 6.4}, working)
        return next(step.result for step in working.steps if step.name == "stoichiometric_air_fuel_ratio")

    assert needs("petrol") == pytest.approx(14.7, abs=0.11)
    assert needs("ethanol") == pytest.approx(9, abs=0.05)
    assert needs("methanol") == pytest.approx(6.472, abs=0.005)
    assert needs("petrol") > needs("E10") > needs("E85") > needs("ethanol")


@pytest.mark.parametrize(
    ("fuel", "carbon", "hydrogen", "oxygen"), [("ethanol", 2, 6, 3.0), ("methanol", 1, 4, 1.5)]
)
def test_burnt_alcohol_against_coolprop(fuel: str, carbon: int, hydrogen: int, oxygen: float) -> None:
    """CoolProp 8.0.0, CP0MOLAR and molar masses, of what complete combustion leaves (chemistry): sound at
    900 K."""
    moles = {"CarbonDioxide": carbon, "Water": hydrogen / 2, "Nitrogen": 3.773 * oxygen}
    whole = sum(moles.values())
    heat = sum(n * PropsSI("CP0MOLAR", "T", 900, "P", 1e4, name) for name, n in moles.items()) / whole
    mass = sum(n * PropsSI("M", name) for name, n in moles.items()) / whole
    sound = sqrt(heat / (heat - 8.314462618) * 8.314462618 / mass * 900)
    ratio = {"ethanol": 9.00215, "methanol": 6.47151}[fuel]
    working = Working()
    exhaust.compute(LINE | {"fuel": fuel, "air_fuel_ratio": ratio}, working)
    found = next(step.result for step in working.steps if step.name == "speed_of_sound.1")
    assert found == pytest.approx(sound, rel=2e-3)


QUIET = SILENCER | {"name": "box", "path": "quiet"}
LOUD = TUBE | {"name": "valve", "path": "loud", "length": 0.5, "loss_coefficient": 0.3}


def test_two_paths() -> None:
    """Kirchhoff's rules for pipes, slow flow: of two paths of one bore the shares go as 1/√K (derived)."""
    found = run(segments=[TUBE, QUIET, LOUD, TUBE | {"name": "tail"}], air_mass_flow=0.01)
    losses = found["loss_coefficient"]
    share = sqrt(losses["valve"]) / (sqrt(losses["valve"]) + sqrt(losses["box"]))
    assert found["path_share"]["quiet"] == pytest.approx(share, rel=2e-3)
    assert sum(found["path_share"].values()) == pytest.approx(1, rel=1e-12)
    assert found["pressure_ahead"]["box"] == pytest.approx(found["pressure_ahead"]["valve"], rel=1e-6)
    # Alike, each has a half; and each path less than the whole would have to.
    alike = run(segments=[QUIET, LOUD | {"loss_coefficient": 0.0, "kind": "muffler"} | SILENCER])
    assert alike["path_share"]["quiet"] == pytest.approx(0.5, rel=1e-9)
    assert alike["back_pressure"] < run(segments=[SILENCER])["back_pressure"]


def test_an_open_valve_costs_less_and_its_branch_more() -> None:
    line = [TUBE, QUIET, LOUD, TUBE | {"name": "tail"}]
    shut = run(segments=[TUBE, SILENCER | {"name": "box"}, TUBE | {"name": "tail"}])
    free = run(segments=line)
    angled = run(segments=[TUBE, QUIET, LOUD | {"branch_angle": radians(60)}, TUBE | {"name": "tail"}])
    assert free["back_pressure"] < angled["back_pressure"] < shut["back_pressure"]
    assert angled["path_share"]["loud"] < free["path_share"]["loud"]


def test_slow_gas_answers_and_names_the_segment() -> None:
    """10 kW: a bend below what Ito measured has the coefficient of the end of his range, and says so."""
    working = Working()
    rows = [TUBE, TUBE | {"name": "turn", "kind": "bend", "bend_radius": 0.12, "angle": 1.0}]
    del rows[1]["length"]
    flow = {name: value for name, value in LINE.items() if name != "air_mass_flow"}
    fuel = {"power": 10e3, "specific_fuel_consumption": 350e-3 / 3.6e6}
    assert exhaust.compute(flow | fuel | {"segments": rows}, working)["back_pressure"]
    (remark,) = [one for one in working.remarks if "Segment turn" in one]
    assert "bends were measured from 10000" in remark
    assert "bend_loss_outside.turn" in " ".join(working.doubted)
    working = Working()
    assert exhaust.compute(LINE | {"air_mass_flow": 0.004}, working)["back_pressure"]
    assert any("In segment 1 the flow is not surely turbulent" in remark for remark in working.remarks)


def test_what_a_branch_keeps_back() -> None:
    """A shunt in a line: 20 lg |1 + Z_0/(2 Z)|, with ρ a/S of both by CoolProp 8.0.0 (burnt gas as in
    test_gas.py: 294.40 J/(kg·K)) and the resistance r of the branch (derived; Munjal's definition)."""
    place: dict[str, Any] = {"branch_at": "tail", "branch_gas_speed": 30.0}
    rows = [TUBE, TUBE | {"name": "tail", "length": 0.8}]
    working = Working()
    found: dict[str, Any] = exhaust.compute(LINE | DRONE | BRANCH | place | {"segments": rows}, working)
    r = next(step.result for step in working.steps if step.name == "branch_loss_resistance")
    line, branch = (101_325 / (294.40 * t) * sound for t, sound in ((900.0, 588.90), (500.0, 445.85)))
    z0, z = line / 0.06**2, branch / 0.045**2 * r
    assert found["branch_transmission_loss"] == pytest.approx(20 * log10(1 + z0 / (2 * z)), rel=0.01)
    # A standing wave at 100 Hz before an open end: 0.8 m and the end's 0.6133 radii, sound at 588.9 m/s
    phase = 2 * pi * 100 * (0.8 + 0.6133 * 0.03) / 588.90
    assert found["branch_pressure_at_place"] == pytest.approx(abs(sin(phase)), rel=3e-3)
    # Half of the power kept back at both ends of the band, by the same shunt with r - j cot kL. The ratio of
    # the impedances holds the heat capacities, 1.3 % here, which is 0.06 dB.
    for side in (-1, 1):
        angle = pi / 2 * (1 + side * found["branch_bandwidth"] / 200)
        shunt = branch / 0.045**2 * (r - 1j / tan(angle))
        assert 20 * log10(abs(1 + z0 / (2 * shunt))) == pytest.approx(3.0103, abs=0.08)


def test_an_empty_chamber() -> None:
    """Kinsler and Frey (from memory); NACA Report 1192 (abstract read): 10 lg(1 + (m - 1/m)²/4) at a
    quarter of a wave; m 9: 20 lg(½ (9 + 1/9)) = 13.17 dB for the sine of 1."""
    box = SILENCER | {"name": "box", "chamber_diameter": 0.18}
    tone = 588.90 / (4 * 0.5)
    found = run(segments=[TUBE, box], **DRONE, drone_frequency=tone)
    assert found["chamber_transmission_loss"]["box"] == pytest.approx(
        10 * log10(1 + (9 - 1 / 9) ** 2 / 4), abs=0.02
    )
    # two quarters of a wave: nothing
    through = run(segments=[TUBE, box], **DRONE, drone_frequency=2 * tone)
    assert through["chamber_transmission_loss"]["box"] == pytest.approx(0, abs=0.02)


@pytest.mark.parametrize("tone", [60.0, 147.0, 230.0, 410.0, 700.0])
@pytest.mark.parametrize("bore", [0.1, 0.18, 0.25])
def test_a_chamber_by_matrices(tone: float, bore: float) -> None:
    """Transfer matrix of a line in its wave impedance ρ a/S, between like pipes (Beranek and Vér (1992), eq.
    10.10): numpy, with sound by CoolProp (burnt_by_balance.py)."""
    found = run(
        segments=[TUBE, SILENCER | {"name": "box", "chamber_diameter": bore}], **DRONE, drone_frequency=tone
    )
    angle = 2 * pi * tone * 0.5 / Burnt(1.87, 0.0, 12.8).sound(900.0)
    chamber, pipe = 1 / bore**2, 1 / 0.06**2
    line = np.array(
        [[np.cos(angle), 1j * chamber * np.sin(angle)], [1j / chamber * np.sin(angle), np.cos(angle)]]
    )
    terms = line[0, 0] + line[0, 1] / pipe + line[1, 0] * pipe + line[1, 1]
    assert found["chamber_transmission_loss"]["box"] == pytest.approx(20 * log10(abs(terms) / 2), abs=0.05)


TWO_METALS = """
id: u
kind: exhaust
inputs:
  air_mass_flow: 100 ± 3 g/s
  air_fuel_ratio: 12.8
  ambient_pressure: 1013.25 hPa
  gas_temperature: (627 ± {spread}) °C
  roughness: 0.05 mm
  segments:
    - {{name: front, kind: tube, outer_diameter: 63 mm, length: 1000 mm}}
    - {{name: tail, kind: tip, outer_diameter: 63 mm, length: 800 mm}}
cases:
  thick: {{material: stainless-304, wall_thickness: 1.5 mm}}
  thin: {{material: titanium-2, wall_thickness: 1.2 mm}}
"""


def back_pressures(spread: float) -> tuple[Value, Value]:
    text = TWO_METALS.format(spread=spread)
    block = read_block(text, whole_file("e.md"), "e", Position("e.md"))
    cases = Evaluation(block, None, nothing, nothing).run().cases
    thick, thin = (cases[name].values["back_pressure"] for name in ("thick", "thin"))
    assert isinstance(thick, Value)
    assert isinstance(thin, Value)
    return thick, thin


def test_what_both_cases_share_cancels() -> None:
    """JCGM 100:2008, 5.2.2 and F.1.2: flow, gas and pulses move both alike, so that the change of 1 % of
    bore, some 4–5 % of the loss (d to the fifth), is known far better than either; and a ± that is twice as
    wide has twice the part."""
    thick, thin = back_pressures(20)
    change = change_between(thick, thin)
    assert -0.06 < change.si / thick.si < -0.03
    assert change.expanded_uncertainty < 0.1 * thick.expanded_uncertainty
    plain, wide = (back_pressures(spread)[0] for spread in (0, 40))
    parts = [sqrt(one.expanded_of_inputs**2 - plain.expanded_of_inputs**2) for one in (thick, wide)]
    assert parts[1] == pytest.approx(2 * parts[0], rel=0.02)
    assert plain.expanded_of_method > 0.2 * plain.si * 2 / sqrt(3)  # limits of 20 % for the pulses alone


def test_a_cool_branch() -> None:
    """CoolProp 8.0.0 gives burnt gas of this mixture 366.63 m/s at 333.15 K (cp0 of each gas)."""
    cool = run(**DRONE, **BRANCH | {"branch_temperature": 333.15}, drone_frequency=100.0)
    assert cool["branch_length"] == pytest.approx(366.63 / 400 - 0.01910, rel=1e-3)


def test_remarks() -> None:
    working = Working()
    exhaust.compute(LINE | DRONE | {"drone_frequency": 113.0}, working)
    assert any("order 2.26, which is no multiple of one half" in remark for remark in working.remarks)
    working = Working()
    exhaust.compute(LINE | {"air_mass_flow": 0.21, "most_back_pressure": 5e3}, working)
    limits = {
        (limit.output, limit.key): limit.most
        for limit in working.limits
        if limit.output != "excess_air_ratio"
    }
    assert limits == {("mach_number", "1"): 0.3, ("back_pressure", ""): 5e3}
    working = Working()
    found = exhaust.compute(LINE | {"segments": [TUBE, SILENCER | {"name": "box"}]}, working)
    assert found["mass"] == run()["mass"]
    assert any("The mass is without box" in remark for remark in working.remarks)
    working = Working()
    exhaust.compute(LINE | {"segments": [TUBE, TUBE | {"outer_diameter": 0.045, "pipes": 2}]}, working)
    assert any("Where like pipes part or meet no loss" in remark for remark in working.remarks)


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
        (
            (),
            {"wall_temperature": 233.15, "fitting_temperature": 291.15},
            OutOfRange,
            "wall_temperature: found wall_temperature -40 °C, expected 18 °C, the fitting_temp",
        ),
        (
            (),
            HOT | {"segments": [TUBE, TUBE | {"wall_temperature": 273.15}]},
            OutOfRange,
            "segments: found wall_temperature 0 °C, expected 20 °C, the fitting_temp",
        ),
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
        (
            (),
            {"fuel": "methanol"},
            OutOfRange,
            "air_fuel_ratio: found 12.8 with fuel methanol, expected 4.04",
        ),
        (
            (),
            {"fuel": "E85", "hydrogen_carbon_ratio": 2.0},
            InputsConflict,
            "hydrogen_carbon_ratio: found fu",
        ),
        ((), {"segments": [QUIET]}, InputsConflict, "segments: found path quiet alone"),
        ((), {"segments": [TUBE | {"branch_angle": 1.0}]}, InputsConflict, "found branch_angle without path"),
        (
            (),
            {"segments": [QUIET, LOUD, LOUD | {"name": "third", "path": "third"}]},
            InputsConflict,
            "segments: found a third path, third",
        ),
        (
            (),
            {
                "segments": [
                    QUIET | {"loss_coefficient": 0.0, "outer_diameter": 0.2, "pipes": 8},
                    LOUD | {"outer_diameter": 0.016, "length": 6.0, "loss_coefficient": 50.0},
                ]
            },
            NoSolution,
            "segments: found two paths of which one",
        ),
        ((), {"branch_at": "1", "branch_gas_speed": 9.0}, MissingInput, "branch_bore: found branch_at"),
        ((), DRONE | BRANCH | {"branch_at": "1"}, MissingInput, "branch_gas_speed: found branch_at"),
        (
            (),
            DRONE | BRANCH | {"branch_at": "x", "branch_gas_speed": 9.0},
            InputsConflict,
            "branch_at: found x, expected one of the segments: 1",
        ),
        (
            (),
            DRONE | BRANCH | {"branch_bore": 0.01, "branch_at": "1", "branch_gas_speed": 100.0},
            OutOfRange,
            "branch_bore: found a mouth of 2.8 %",
        ),
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
    chamber = QUIET | {"chamber_diameter": 0.2, "gas_temperature": 850.0}
    more = {"drone_frequency": 101.0, "branch_at": "tail", "branch_gas_speed": 30.0}
    rows = {"segments": [TUBE, chamber, LOUD, TUBE | {"name": "tail"}]}
    found = exhaust.compute(LINE | DRONE | BRANCH | hot | more | rows, working)
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
    def view(**changes: Any) -> Seen:
        return seen(exhaust.compute, LINE | changes)

    (spec,) = exhaust.chart({"a": view(), "b": view(segments=[TUBE] * 3)})
    assert [series.label for series in spec.series] == ["a", "b"]
    for series, length in zip(spec.series, (2.0, 6.0), strict=True):
        assert series.x[-1] == pytest.approx(length)
        assert series.y[-1] == 0
        assert list(series.y) == sorted(series.y, reverse=True)
        assert 25 <= len(series.x) <= 120
    assert spec.series[0].y[0] == view().outputs["back_pressure"]
    (both,) = exhaust.chart({"": view(segments=[TUBE, QUIET, LOUD, TUBE | {"name": "tail"}])})
    assert both.series[0].x[-1] == pytest.approx(4.5)  # by the larger path, the valve's


def test_chart_over_engine_speed() -> None:
    """The band is the uncertainty, and what is allowed and chosen are lines."""
    engine: dict[str, Any] = {
        "engine_displacement": 0.002,
        "volumetric_efficiency": 0.95,
        "ambient_temperature": 288.15,
        "engine_speed": 7000 * RPM,
        "most_back_pressure": 9e3,
    }
    inputs = {name: value for name, value in (LINE | engine).items() if name != "air_mass_flow"}
    case = replace(seen(exhaust.compute, inputs), uncertainties={("back_pressure", ""): 500.0})
    over, _ = exhaust.chart({"": case})
    (curve,) = over.series
    assert [(marker.x, marker.y) for marker in over.markers] == [(7000 * RPM, None), (None, 9e3)]
    near = min(range(len(curve.x)), key=lambda at: abs(curve.x[at] - 7000 * RPM))
    found = case.outputs["back_pressure"]
    assert curve.x[near] == pytest.approx(7000 * RPM, rel=0.04)
    share = 500 / found
    assert curve.high[near] == pytest.approx(curve.y[near] * (1 + share), rel=1e-9)
    assert curve.low[near] == pytest.approx(curve.y[near] * (1 - share), rel=1e-9)
    assert list(curve.y) == sorted(curve.y)
