"""The kind `forced_induction`, whole: compression, charge cooler, drive, torque, and what they ask for."""

from __future__ import annotations

from math import pi
from typing import Any

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import forced_induction
from buildlog.diagnostics import MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.physics import compressor
from tests.calculators.seen import seen

RPM = pi / 30
ENGINE: dict[str, Any] = {
    "inlet_pressure": 101_300.0,
    "inlet_temperature": 298.15,
    "pressure_ratio": 1.6,
    "isentropic_efficiency": 0.7,
    "drive": "belt",
    "drive_efficiency": 0.93,
    "mechanical_efficiency": 0.85,
    "engine_displacement": 1.6e-3,
    "volumetric_efficiency": 0.95,
    "engine_torque": 165.0,
    "engine_speed": 5500 * RPM,
}
COOLER: dict[str, Any] = {
    "cooler_effectiveness": 0.65,
    "cooling_temperature": 303.15,
    "cooler_pressure_loss": 4000.0,
}


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(forced_induction.compute(ENGINE | changes, working or Working()))


# CoolProp 8.0.0, real air: the isentropic outlet from its entropy, the real one from its enthalpy, and the
# power from the enthalpies. Ours takes one specific heat: within 1 % of the rise (the doubt that it
# declares).
@pytest.mark.parametrize("ratio", [1.2, 1.6, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("celsius", [-10.0, 25.0, 45.0])
def test_compression_against_coolprop(ratio: float, celsius: float) -> None:
    start, pressure = celsius + 273.15, 101_300.0
    entropy, enthalpy = (coolprop.PropsSI(one, "T", start, "P", pressure, "Air") for one in "SH")
    ideal = coolprop.PropsSI("H", "P", ratio * pressure, "S", entropy, "Air") - enthalpy
    outlet = coolprop.PropsSI("T", "P", ratio * pressure, "H", enthalpy + ideal / 0.7, "Air")
    found = run(pressure_ratio=ratio, inlet_temperature=start)
    rise = found["compressor_outlet_temperature"] - start
    assert rise == pytest.approx(outlet - start, rel=0.015)
    assert found["compressor_power"] / found["air_mass_flow"] == pytest.approx(ideal / 0.7, rel=0.015)


# Three cars from inlet to crank by CoolProp 8.0.0: real air by entropy and enthalpy through compressor and
# cooler, its density, the work on the intake strokes p V/(4 π), the belt.
@pytest.mark.parametrize(
    ("inlet", "ratio", "efficiency", "cooler", "litres", "filling", "torque", "rpm"),
    [
        ((98e3, 293.15), 1.5, 0.70, (0.65, 298.15, 4e3), 1.6, 0.95, 165.0, 5500),
        ((95e3, 313.15), 2.2, 0.72, (0.70, 308.15, 10e3), 2.0, 0.90, 190.0, 6500),
        ((85e3, 263.15), 3.5, 0.55, (0.50, 268.15, 5e3), 1.2, 1.00, 110.0, 4000),
    ],
)
def test_three_engines_from_inlet_to_crank(
    inlet: tuple[float, float],
    ratio: float,
    efficiency: float,
    cooler: tuple[float, float, float],
    litres: float,
    filling: float,
    torque: float,
    rpm: float,
) -> None:
    (pressure, start), (share, coolant, loss) = inlet, cooler
    volume, speed = litres / 1000, rpm * RPM
    found = run(
        inlet_pressure=pressure, inlet_temperature=start, pressure_ratio=ratio,
        isentropic_efficiency=efficiency, cooler_effectiveness=share, cooling_temperature=coolant,
        cooler_pressure_loss=loss, engine_displacement=volume, volumetric_efficiency=filling,
        engine_torque=torque, engine_speed=speed,
    )  # fmt: skip
    entropy, enthalpy, thin = (coolprop.PropsSI(one, "T", start, "P", pressure, "Air") for one in "SHD")
    high = ratio * pressure
    work = (coolprop.PropsSI("H", "S", entropy, "P", high, "Air") - enthalpy) / efficiency
    hot = coolprop.PropsSI("T", "H", enthalpy + work, "P", high, "Air")
    charge = hot - share * (hot - coolant)
    dense = coolprop.PropsSI("D", "T", charge, "P", high - loss, "Air")
    flow = dense * volume * speed / (4 * pi) * filling
    taken = enthalpy + work - coolprop.PropsSI("H", "T", charge, "P", high, "Air")
    at_crank = (
        torque * dense / thin
        + 0.85 * (high - loss - pressure) * volume / (4 * pi)
        - flow * work / 0.93 / speed
    )
    assert found["charge_temperature"] == pytest.approx(charge, rel=0.003)
    assert found["air_mass_flow"] == pytest.approx(flow, rel=0.003)
    assert found["compressor_power"] == pytest.approx(flow * work, rel=0.003)
    assert found["cooler_heat"] == pytest.approx(flow * taken, rel=0.01)
    assert found["boosted_torque"] == pytest.approx(at_crank, rel=0.002)


# NASA Glenn Research Center, Compressor Thermodynamics: T3/T2 = CPR^((γ−1)/γ), work = c_p T2/η (CPR^((γ−1)/γ)
# − 1), by hand for γ = 1.4, c_p = 1005: 2^(1/3.5) = 1.21901, 298.15 K → 65.30 K without loss, 93.75 kJ/kg at
# 0.70.
def test_compression_by_the_equations_of_nasa() -> None:
    found = run(pressure_ratio=2.0)
    rise = found["compressor_outlet_temperature"] - 298.15
    assert rise == pytest.approx(65.30 / 0.7, rel=0.003)
    assert found["compressor_power"] / found["air_mass_flow"] == pytest.approx(93_750, rel=0.003)
    assert compressor.isentropic_rise(298.15, 2, 1.4) == pytest.approx(65.30, abs=0.01)


# FOSSEE (IIT Bombay), textbook companion, Air Capacity and Supercharging, example 15.1, its formulae
# evaluated here: 2.8 l at 3000 rpm, 15 °C, ratio 1.6 at 0.74; volumetric efficiency 0.85 without the blower
# and 1 with it; 12.5 kW a m³ of air a minute; 0.78 for engine and blower.
def test_worked_example_on_supercharging() -> None:
    swept, start, power_of_air, mechanical = 0.0028 * 1500, 288.0, 12.5, 0.78
    hot = start + start * (1.6 ** (0.4 / 1.4) - 1) / 0.74
    equivalent = swept * 1.6 * start / hot
    strokes = (1.6 - 1) * 1.013e5 * swept / 60_000
    air = 1.6 * 1.013e5 * swept / 60 / (287 * hot)
    into_air = air * 1.005 * (hot - start)
    omega = 3000 * RPM
    # With the blower off, the same engine at its full volume: ours has one volumetric efficiency.
    base = power_of_air * swept * mechanical * 1000 / omega
    found = run(
        inlet_temperature=start,
        isentropic_efficiency=0.74,
        drive_efficiency=mechanical,
        mechanical_efficiency=mechanical,
        engine_displacement=0.0028,
        volumetric_efficiency=1.0,
        engine_torque=base,
        engine_speed=omega,
    )
    assert found["compressor_outlet_temperature"] == pytest.approx(hot, abs=0.2)
    assert found["air_mass_flow"] == pytest.approx(air, rel=0.002)
    assert found["compressor_power"] / 1000 == pytest.approx(into_air, rel=0.004)
    gained = mechanical * (power_of_air * (equivalent - swept) + strokes) - into_air / mechanical
    assert (found["boosted_torque"] - base) * omega / 1000 == pytest.approx(gained, rel=0.01)


# FOSSEE (IIT Bombay), two more examples of the kind: 3.3 l at 3500 rpm and 3.5 l at 3600 rpm, 298 K, ratio
# 1.75, at 0.75 and 0.70: delivery temperature, air and work of the blower.
@pytest.mark.parametrize(("litres", "rpm", "efficiency"), [(3.3, 3500, 0.75), (3.5, 3600, 0.70)])
def test_worked_examples_on_blowers(litres: float, rpm: float, efficiency: float) -> None:
    hot = 298 + 298 * (1.75 ** (0.4 / 1.4) - 1) / efficiency
    swept = litres / 1000 * rpm / 2
    air = 1.013 * 1.75 * swept * 100 / (60 * 0.287 * hot)
    found = run(
        inlet_temperature=298.0,
        pressure_ratio=1.75,
        isentropic_efficiency=efficiency,
        engine_displacement=litres / 1000,
        volumetric_efficiency=1.0,
        engine_speed=rpm * RPM,
    )
    assert found["compressor_outlet_temperature"] == pytest.approx(hot, abs=0.3)
    assert found["air_mass_flow"] == pytest.approx(air, rel=0.002)
    assert found["compressor_power"] / 1000 == pytest.approx(air * 1.005 * (hot - 298), rel=0.005)


# Young and Freedman, University Physics, 12th ed., ch. 19 (as set on a public page): 15 °C, 101 to 145 kPa
# without loss; cooled back to 15 °C at that pressure, 575 cm³ hold 1.02 g and power grows by 44 %; without
# the cooler they hold 0.92 g and it grows by 29 % (by hand, (1.45/1.01)^(1/1.4) = 1.2946).
def test_turbocharger_with_and_without_a_cooler() -> None:
    ideal: dict[str, Any] = {
        "inlet_pressure": 101_000.0,
        "inlet_temperature": 288.15,
        "pressure_ratio": 1.45 / 1.01,
        "isentropic_efficiency": 1.0,
        "drive": "turbine",
    }
    perfect = {"cooler_effectiveness": 1.0, "cooling_temperature": 288.15, "cooler_pressure_loss": 0.0}
    cooled, hot = run(**ideal | perfect), run(**ideal)
    assert cooled["torque_change"] == pytest.approx(0.44, abs=0.005)
    assert hot["torque_change"] == pytest.approx(0.29, abs=0.006)
    assert 1.23 * cooled["density_ratio"] * 575e-6 == pytest.approx(1.02e-3, abs=5e-6)
    assert 1.23 * hot["density_ratio"] * 575e-6 == pytest.approx(0.92e-3, abs=5e-6)


# Definition of the effectiveness: a perfect cooler ends at the coolant, none at the compressor's outlet, half
# of one half-way. What it takes out is what the air loses (energy balance).
def test_charge_cooler() -> None:
    hot = run()["compressor_outlet_temperature"]
    for effectiveness in (0.0, 0.5, 1.0):
        found = run(**COOLER | {"cooler_effectiveness": effectiveness})
        assert found["charge_temperature"] == pytest.approx(hot + effectiveness * (303.15 - hot))
        assert found["charge_pressure"] == pytest.approx(1.6 * 101_300 - 4000)
        taken = found["air_mass_flow"] * 1005 * (hot - found["charge_temperature"])
        assert found["cooler_heat"] == pytest.approx(taken, rel=0.003, abs=1e-9)


# Density by CoolProp 8.0.0 at the charge's temperature and pressure.
def test_density_against_coolprop() -> None:
    found = run(**COOLER)
    expected = coolprop.PropsSI("D", "T", found["charge_temperature"], "P", found["charge_pressure"], "Air")
    assert found["charge_density"] == pytest.approx(expected, rel=0.001)
    assert found["density_ratio"] > run()["density_ratio"]


# Work p V on the intake strokes: 60.78 kPa on 1.6 l is 97.2 J in two turns, 7.74 N·m indicated, by hand.
def test_intake_strokes_by_hand() -> None:
    assert compressor.intake_stroke_torque(60_780, 1.6e-3) == pytest.approx(97.248 / (4 * pi), rel=1e-4)
    belt, turbine = run(), run(drive="turbine")
    expected = 165 + turbine["gain_by_charge"] + 0.85 * 7.739 - belt["drive_torque"]
    assert belt["boosted_torque"] == pytest.approx(expected, abs=0.01)
    assert turbine["boosted_torque"] == pytest.approx(165 * turbine["density_ratio"], rel=1e-12)
    assert "drive_torque" not in turbine


# By definition the belt takes the compressor's power, over its efficiency, at the crank's speed.
def test_drive() -> None:
    found = run()
    assert found["drive_torque"] * 5500 * RPM * 0.93 == pytest.approx(found["compressor_power"], rel=1e-12)
    assert found["boosted_power"] == pytest.approx(found["boosted_torque"] * 5500 * RPM, rel=1e-12)


# The engine as it is: a ratio of 1 changes nothing, whatever the efficiency, and needs no doubt.
@for_all(st.floats(0.3, 0.9), st.floats(250, 320))
def test_a_ratio_of_one_is_the_engine_as_it_is(efficiency: float, temperature: float) -> None:
    working = Working()
    found = run(working, pressure_ratio=1.0, isentropic_efficiency=efficiency, inlet_temperature=temperature)
    assert found["boosted_torque"] == pytest.approx(165, rel=1e-12)
    assert (found["boost"], found["compressor_power"], found["drive_torque"]) == (0, 0, 0)
    assert working.remarks == []
    moved = run(Working(shifts=dict.fromkeys(working.doubted, 1.0)), pressure_ratio=1.0)
    assert moved["boosted_torque"] == pytest.approx(165, rel=1e-12)


@for_all(st.floats(1.05, 3.5), st.floats(0.4, 0.85), st.floats(1.01, 1.1))
def test_a_better_compressor_heats_less_and_gives_more(
    ratio: float, efficiency: float, factor: float
) -> None:
    poor, good = (
        run(pressure_ratio=ratio, isentropic_efficiency=one) for one in (efficiency, efficiency * factor)
    )
    assert good["compressor_outlet_temperature"] < poor["compressor_outlet_temperature"]
    assert good["density_ratio"] > poor["density_ratio"]
    assert good["boosted_torque"] > poor["boosted_torque"]


def test_margins_and_their_limits() -> None:
    working = Working()
    found = run(working, clutch_capacity=230.0, gearbox_torque=190.0)
    assert found["clutch_margin"] == pytest.approx(230 - found["boosted_torque"])
    assert found["gearbox_margin"] == pytest.approx(190 - found["boosted_torque"])
    met = {limit.output: limit.is_met(found[limit.output], 10.0) for limit in working.limits}
    assert met == {"clutch_margin": True, "gearbox_margin": False}
    assert any("Knock is not computed" in remark for remark in working.remarks)


# k = 2: one standard uncertainty of the gain is a tenth of it, of the rise three quarters of a per cent of
# it.
def test_doubts() -> None:
    working = Working()
    plain = run(working)
    assert {doubt.name for doubt in working.doubted.values()} == {"gain_by_charge", "perfect_gas_compression"}
    moved = run(Working(shifts={"method:gain_by_charge": 1.0}))
    assert moved["gain_by_charge"] / plain["gain_by_charge"] == pytest.approx(1.1)
    warmer = run(Working(shifts={"method:perfect_gas_compression": 1.0}))
    rises = [one["compressor_outlet_temperature"] - 298.15 for one in (warmer, plain)]
    assert rises[0] / rises[1] == pytest.approx(1.0075)


@pytest.mark.parametrize(
    ("changes", "error", "message"),
    [
        ({"cooler_effectiveness": 0.6}, MissingInput, "cooling_temperature: found cooler_effectiveness with"),
        (
            {"cooler_pressure_loss": 4e3},
            MissingInput,
            "cooler_effectiveness: found cooler_pressure_loss",
        ),
        (
            COOLER | {"cooler_pressure_loss": 50_000.0, "inlet_pressure": 40_000.0, "pressure_ratio": 1.2},
            OutOfRange,
            r"cooler_pressure_loss: found 50\.0 kPa of 48\.0 kPa",
        ),
        (
            {"engine_torque": 10.0, "pressure_ratio": 4.0, "isentropic_efficiency": 0.3},
            OutOfRange,
            "isentropic_efficiency: found a compressor that takes more than the engine gives",
        ),
    ],
)
def test_refusals(changes: dict[str, Any], error: type[Refused], message: str) -> None:
    with pytest.raises(error, match=message):
        run(**changes)


@pytest.mark.parametrize(
    "call",
    [
        lambda: compressor.isentropic_rise(300, 0.9, 1.4),
        lambda: compressor.cooled_temperature(300, 290, 1.1),
        lambda: compressor.heat_capacity_ratio(100),
        lambda: compressor.boosted_torque(100, 10, 1, 0.4, 0),
        lambda: compressor.gain_by_charge(0, 1),
        lambda: compressor.relative_change(1, 0),
    ],
)
def test_formulae_refuse(call: Any) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_every_output_is_given_once_all_is_given() -> None:
    found = run(**COOLER, clutch_capacity=230.0, gearbox_torque=190.0)
    assert set(found) == {output.name for output in forced_induction.OUTPUTS}


# The curves meet the cases' own results where the chosen ratio stands.
def test_chart() -> None:
    cases = {
        name: seen(forced_induction.compute, ENGINE | changes)
        for name, changes in {
            "as-it-is": {"pressure_ratio": 1.0},
            "boosted": {"pressure_ratio": 1.6, "clutch_capacity": 230.0},
        }.items()
    }
    warm, strong = forced_induction.chart(cases)
    assert [marker.label for marker in warm.markers] == ["boosted"]
    assert [(marker.label, marker.y) for marker in strong.markers] == [
        ("boosted", None),
        ("clutch carries", 230),
    ]
    for spec, output in ((warm, "charge_temperature"), (strong, "boosted_torque")):
        (line,) = spec.series
        assert line.label == "boosted"
        assert (line.x[0], line.x[-1]) == (1, 2)
        at = min(range(len(line.x)), key=lambda index: abs(line.x[index] - 1.6))
        assert line.y[at] == pytest.approx(cases["boosted"].outputs[output], rel=1e-9)
    # The band of the torque is the doubt of the gain, 20 % of it; the engine as it is has none.
    (line,) = strong.series
    gain = cases["boosted"].outputs["gain_by_charge"]
    assert line.high[at] - line.y[at] == pytest.approx(0.2 * gain, rel=1e-9)
    assert line.low[0] == line.y[0] == line.high[0]


# The ends of what is declared are computed: −40 and 80 °C, ratios of 1 and 4.
@pytest.mark.parametrize("celsius", [-40.0, 80.0])
@pytest.mark.parametrize("ratio", [1.0, 4.0])
def test_the_ends_of_the_range_are_not_refused(celsius: float, ratio: float) -> None:
    assert run(inlet_temperature=celsius + 273.15, pressure_ratio=ratio)["boosted_torque"] > 0
