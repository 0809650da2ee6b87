"""The kind `ram_air`, whole: against NACA 1135, definitions and the trade's own check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import copysign, inf, pi, sqrt
from typing import Any

import fluids
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy import optimize

from buildlog.calculators import ram_air
from buildlog.diagnostics import AsWritten, InputsConflict, MissingInput, NoSolution, OutOfRange
from buildlog.figures import units
from buildlog.kinds.declaration import Output, Working
from buildlog.physics import engine_air
from tests.calculators.seen import Seen, seen

MPH, PSI = 0.44704, 6894.757  # NIST SP 811 (2008), Appendix B
RPM = pi / 30

# Sea level of the standard atmosphere, dry; a round 4 in scoop without loss on a 2.0 l engine.
FOUR_INCH: dict[str, Any] = {
    "speed": [100 * MPH],
    "altitude": 0.0,
    "ambient_temperature": 288.15,
    "relative_humidity": 0.0,
    "scoop_diameter": 0.1016,
    "recovery": 1.0,
    "pressure_loss": 0.0,
    "engine_displacement": 0.002,
    "engine_speed": 7000 * RPM,
    "volumetric_efficiency": 0.95,
    "mechanical_efficiency": 0.85,
    "lip_loss_coefficient": 0.5,
    "drain_pressure_coefficient": 0.0,
    "bend_rule": "ito",
}


def run(without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    inputs = {name: value for name, value in (FOUR_INCH | changes).items() if name not in without}
    return dict(ram_air.compute(inputs, Working()))


def test_ram_pressure_at_100_mph() -> None:
    found = run()
    # NACA Report 1135 (1953), eq. 44, γ = 1.4, R = 287.05287: 1229.339 Pa
    assert found["ram_pressure"]["1"] == pytest.approx(1229.339, rel=1e-6)
    # Bernoulli with 1.225 kg/m³ (U.S. Standard Atmosphere 1976): 1224.049 Pa
    assert found["dynamic_pressure"]["1"] == pytest.approx(1224.049, rel=1e-6)
    assert found["ambient_density"] == pytest.approx(1.225, rel=1e-6)
    # NACA 1135, eq. 43: 288.15 · 0.2 (44.704/340.294)² = 0.9946 K, by hand
    assert found["ram_heating"]["1"] == pytest.approx(0.9946, abs=5e-5)


def test_the_trades_own_check() -> None:
    """Common practice, no source: a 4 in scoop at 100 mph gives well under 1 psi."""
    assert 0 < run()["box_pressure_rise"]["1"] < 0.5 * PSI


def test_draw_and_catch() -> None:
    found = run()
    # Heywood (1988), 2.10, by hand: 0.1108333 m³/s; continuity: 81.0732 cm² · 44.704 m/s = 0.362430 m³/s
    assert found["air_drawn"]["1"] == pytest.approx(0.110833333, rel=1e-8)
    assert found["air_mass_drawn"]["1"] == pytest.approx(0.110833333 * 1.225, rel=1e-6)
    assert found["air_caught"]["1"] == pytest.approx(0.362430, rel=1e-5)
    assert found["capture_ratio"]["1"] == pytest.approx(3.270, abs=0.001)
    assert found["keep_up_speed"] == pytest.approx(0.110833333 / 0.00810732, rel=1e-5)


def test_full_recovery_is_isentropic() -> None:
    """NACA 1135, eq. 45: ρ_t/ρ = (1 + 0.2 M²)^2.5, M = 44.704/340.294."""
    found = run()
    mach = 44.704 / 340.294
    assert found["density_gain"]["1"] == pytest.approx((1 + 0.2 * mach**2) ** 2.5 - 1, rel=1e-5)
    assert found["power_bound"]["1"] == pytest.approx(1 + 1229.339 / 101_325 / 0.85, rel=1e-6)


def test_loss_by_coefficient() -> None:
    found = run(("pressure_loss",), loss_coefficient=2.0, duct_diameter=0.08, recovery=0.75)
    # By hand: 0.1108333 m³/s through 50.2655 cm² is 22.0496 m/s; 2 · 1.225 · 22.0496²/2 = 595.58 Pa
    assert found["duct_velocity"]["1"] == pytest.approx(22.0496, rel=1e-5)
    assert found["box_pressure_rise"]["1"] == pytest.approx(0.75 * 1229.339 - 595.58, rel=1e-4)


def test_the_box_stands_at_ambient_at_the_break_even_speed() -> None:
    loss: dict[str, Any] = {"pressure_loss": 800.0, "recovery": 0.8}
    speed = run(**loss)["break_even_speed"]
    assert run(speed=[speed], **loss)["box_pressure_rise"]["1"] == pytest.approx(0, abs=1e-6)


def test_scoop_keeps_up_at_the_keep_up_speed() -> None:
    assert run(speed=[run()["keep_up_speed"]])["capture_ratio"]["1"] == pytest.approx(1, rel=1e-12)


def test_measured_pressure_replaces_altitude() -> None:
    # U.S. Standard Atmosphere 1976, Table I, 1000 m: 898.76 hPa
    assert run(altitude=1000.0)["ambient_pressure"] == pytest.approx(89_876, abs=1)
    assert run(("altitude",), ambient_pressure=89_876.0)["ambient_pressure"] == 89_876.0


@for_all(st.floats(3, 120), st.floats(0.1, 5), st.floats(0.1, 1), st.floats(0, 3000))
def test_faster_is_more_ram_more_catch_more_density(
    speed: float, more: float, recovery: float, loss: float
) -> None:
    found = run(speed=[speed, speed + more], recovery=recovery, pressure_loss=loss)
    for name in ("dynamic_pressure", "ram_pressure", "box_pressure_rise", "capture_ratio", "ram_heating"):
        assert found[name]["2"] > found[name]["1"]
    assert found["ram_pressure"]["1"] > found["dynamic_pressure"]["1"] * (1 - 1e-9)
    for key in "12":
        if found["box_pressure_rise"][key] > 0:
            assert found["power_bound"][key] - 1 >= found["density_gain"][key] - 1e-12


@for_all(st.floats(0.2, 0.99), st.floats(273, 320))
def test_damp_air_is_lighter(humidity: float, temperature: float) -> None:
    changes: dict[str, Any] = {"ambient_temperature": temperature}
    dry, damp = run(**changes), run(relative_humidity=humidity, **changes)
    assert damp["ambient_density"] < dry["ambient_density"]
    assert damp["dynamic_pressure"]["1"] < dry["dynamic_pressure"]["1"]


@for_all(st.floats(0.3, 3))
def test_a_larger_scoop_keeps_up_sooner_and_gives_no_more_pressure(factor: float) -> None:
    small, large = (
        run(("scoop_diameter",), scoop_area=0.01),
        run(("scoop_diameter",), scoop_area=0.01 * factor),
    )
    assert large["keep_up_speed"] * factor == pytest.approx(small["keep_up_speed"], rel=1e-9)
    if small["capture_ratio"]["1"] > 1 and large["capture_ratio"]["1"] > 1:
        assert large["box_pressure_rise"] == small["box_pressure_rise"]


def test_limits_say_where_there_is_no_gain() -> None:
    working = Working()
    found: dict[str, Any] = ram_air.compute(FOUR_INCH | {"pressure_loss": 3000.0, "speed": [10.0]}, working)
    unmet = {limit.output for limit in working.limits if not limit.is_met(found[limit.output]["1"], 0.0)}
    assert unmet == {"inlet_pressure_rise", "drain_suction", "capture_ratio"}
    # Ambient less 3000 Pa and the lip's loss by hand: 0.5 · 1.225 (13.6708 − 10)²/2 = 4.1267 Pa
    rise = -3000 - 4.1267 + 61.26
    assert found["box_pressure_rise"]["1"] == pytest.approx(rise, abs=0.02)
    assert found["power_bound"]["1"] == pytest.approx(1 + rise / 101_325 / 0.85, rel=1e-6)
    working = Working()
    assert "break_even_speed" not in ram_air.compute(
        FOUR_INCH | {"recovery": 0.0, "pressure_loss": 10.0}, working
    )
    assert any("never makes up the losses" in remark for remark in working.remarks)


# A caution counts the uncertainty: 40 Pa above ambient with U 60 Pa may be below it.
def test_cautions_count_the_uncertainty() -> None:
    working = Working()
    found: dict[str, Any] = ram_air.compute(FOUR_INCH | {"pressure_loss": 1189.0}, working)
    (limit,) = [limit for limit in working.limits if limit.output == "inlet_pressure_rise"]
    value = found["inlet_pressure_rise"]["1"]
    assert value == pytest.approx(40.3, abs=0.1)
    assert limit.is_met(value, 0.0)
    assert not limit.is_met(value, 60.0)


# Every speed has its limits, and one sentence of a kind is told (above: the one that is passed furthest).
def test_every_speed_has_its_limits() -> None:
    working = Working()
    ram_air.compute(FOUR_INCH | {"speed": [20.0, 40.0, 60.0]}, working)
    for output in ("inlet_pressure_rise", "drain_suction", "capture_ratio"):
        of_it = [limit for limit in working.limits if limit.output == output]
        assert [limit.key for limit in of_it] == ["1", "2", "3"]
        assert len({limit.together for limit in of_it}) == 1


@pytest.mark.parametrize(
    ("without", "changes", "error", "message"),
    [
        (("altitude",), {}, MissingInput, "altitude: found neither altitude nor ambient_pressure"),
        ((), {"ambient_pressure": 1e5}, InputsConflict, "ambient_pressure: found altitude as well"),
        (("recovery",), {}, MissingInput, "recovery: found neither recovery nor segments"),
        (("engine_speed",), {}, MissingInput, "engine_speed: found neither engine_speed nor gear"),
        ((), {"gear": [3]}, InputsConflict, "gear: found engine_speed as well"),
        (("engine_speed",), {"gear": [3]}, MissingInput, "gears: found gear without gears"),
        ((), {"segments": [{"kind": "exit", "diameter": 0.1}]}, InputsConflict, "found segments as well"),
        (("scoop_diameter",), {}, MissingInput, "scoop_area: found neither scoop_area nor scoop_diameter"),
        ((), {"scoop_area": 0.01}, InputsConflict, "scoop_diameter: found scoop_area as well"),
        (("pressure_loss",), {}, MissingInput, "pressure_loss: found neither"),
        ((), {"loss_coefficient": 2.0}, InputsConflict, "loss_coefficient: found pressure_loss as well"),
        ((), {"duct_diameter": 0.08}, InputsConflict, "duct_diameter: found pressure_loss as well"),
        (
            ("pressure_loss",),
            {"loss_coefficient": 2.0},
            MissingInput,
            "duct_diameter: found loss_coefficient",
        ),
        (
            ("pressure_loss",),
            {"loss_coefficient": 2.0, "duct_diameter": 0.03},
            OutOfRange,
            "duct_diameter: found a mean velocity of 157 m/s, expected at most Mach 0.3, 102 m/s",
        ),
        (
            (),
            {"top_speed": 20.0},
            InputsConflict,
            "top_speed: found 72.0 km/h, expected at least the highest of speed, 160.9 km/h",
        ),
        ((), {"ambient_temperature": 333.0}, OutOfRange, "temperature: found 333"),
        ((), {"recovery": 1.2}, OutOfRange, r"recovery: found 1\.2, expected 0 to 1"),
        ((), {"speed": [400.0]}, OutOfRange, r"mach_number: found 1\.17"),
        (
            ("pressure_loss",),
            {"loss_coefficient": 50.0, "duct_diameter": 0.042, "altitude": 5900.0},
            NoSolution,
            "found a box at less than half the ambient pressure",
        ),
    ],
)
def test_errors(without: tuple[str, ...], changes: dict[str, Any], error: type, message: str) -> None:
    with pytest.raises(error, match=message):
        run(without, **changes)


def test_every_output_is_declared_and_has_its_step() -> None:
    working = Working()
    inputs = {name: value for name, value in FOUR_INCH.items() if name != "pressure_loss"}
    inputs |= {"loss_coefficient": 2.0, "duct_diameter": 0.08, "speed": [30.0, 50.0]}
    found = ram_air.compute(inputs, working)
    declared: dict[str, Output] = {output.name: output for output in ram_air.OUTPUTS}
    assert set(declared) - set(found) == {"mouth_flow", "mouth_share"}
    check_steps(found, working)
    working = Working()
    found = two_ways(working)
    assert {"mouth_flow", "mouth_share"} <= set(found) <= set(declared)
    check_steps(found, working)


def check_steps(found: Mapping[str, Any], working: Working) -> None:
    steps = {step.name: step.result for step in working.steps}
    for name, value in found.items():
        for key, one in value.items() if isinstance(value, dict) else [("", value)]:
            assert steps[f"{name}.{key}" if key else name] == one
    assert {step.source for step in working.steps} <= {source.id for source in ram_air.SOURCES}


def test_chart_starts_at_the_loss_and_stays_under_the_ram() -> None:
    def view(**changes: Any) -> Seen:
        return seen(ram_air.compute, FOUR_INCH | changes)

    (one,) = ram_air.chart({"": view(pressure_loss=400.0, recovery=0.7, top_speed=60.0)})
    inlet, ram = one.series
    assert (inlet.label, ram.label) == ("inlet", "all of the ram")
    # At rest the loss and the whole of the lip's: 0.5 · 1.225 · 13.6708²/2 = 57.24 Pa, by hand.
    assert inlet.y[0] == pytest.approx(-457.24, abs=0.02)
    assert inlet.x[-1] == ram.x[-1] == 60
    assert all(low < high for low, high in zip(inlet.y, ram.y, strict=True))
    assert [marker.label for marker in one.markers] == ["ambient", "scoop keeps up"]
    # Cases share one curve of the whole ram pressure.
    (two,) = ram_air.chart({"before": view(), "after": view(recovery=0.5)})
    labels = [series.label for series in two.series]
    assert labels == ["before", "after", "all of the ram"]
    assert max(abs(y) for series in two.series for y in series.y) < inf


def test_chart_has_a_curve_for_each_gear() -> None:
    case = seen(
        ram_air.compute,
        {name: value for name, value in FOUR_INCH.items() if name not in ("engine_speed", "pressure_loss")}
        | GEARS
        | {"loss_coefficient": 2.0, "duct_diameter": 0.08, "speed": [20.0, 40.0], "gear": [3, 5]},
    )
    (spec,) = ram_air.chart({"": case})
    assert [series.label for series in spec.series] == ["gear 3", "gear 5", "all of the ram"]
    # The curve of a gear ends at the limiter: 7000 rpm / (1.423 · 3.9) · 1.776 m = 37.3354 m/s.
    assert spec.series[0].x[-1] == pytest.approx(37.3354, abs=1e-4)
    assert spec.series[0].y[0] == 0  # at rest in gear the engine stands
    # Several cases have a chart for each gear, and in it the speeds asked in that gear.
    third, fifth = ram_air.chart({"a": case, "b": case})
    assert (third.title, fifth.title) == (
        "Pressure at the engine's inlet in gear 3",
        "Pressure at the engine's inlet in gear 5",
    )
    assert [series.label for series in third.series] == ["a", "b", "all of the ram"]
    # Losses and ram go with the square of the speed in a gear, and so does the band: 8 Pa at 20 m/s, 2 at 10.
    sure = replace(case, uncertainties={("inlet_pressure_rise", "1-in-3"): 8.0})
    (third,) = ram_air.chart({"": sure})
    band = third.series[0]
    widths = [high - rise for high, rise in zip(band.high, band.y, strict=True)]
    assert widths == pytest.approx([8.0 * (speed / 20) ** 2 for speed in band.x])


def test_the_band_goes_straight_between_the_speeds() -> None:
    case = replace(
        seen(ram_air.compute, FOUR_INCH | {"speed": [20.0, 40.0], "top_speed": 50.0}),
        uncertainties={("inlet_pressure_rise", "1"): 10.0, ("inlet_pressure_rise", "2"): 30.0},
    )
    (spec,) = ram_air.chart({"": case})
    line = spec.series[0]
    widths = {round(x, 6): high - y for x, y, high in zip(line.x, line.y, line.high, strict=True)}
    assert widths[10.0] == pytest.approx(10)
    assert widths[30.0] == pytest.approx(20)
    assert widths[50.0] == pytest.approx(30)


# --- in gear -----------------------------------------------------------------------------

GEARS: dict[str, Any] = {
    "gears": [2.846, 1.875, 1.423, 1.143, 1.0],
    "final_drive": 3.9,
    "rolling_circumference": 1.776,
    "rev_limit": 7000 * RPM,
}


def in_gear(**changes: Any) -> dict[str, Any]:
    return run(
        ("engine_speed", "pressure_loss"),
        **(GEARS | {"loss_coefficient": 2.0, "duct_diameter": 0.08} | changes),
    )


# Kinematics by hand: 40 m/s / 1.776 m · 1.143 · 3.9 = 100.3986 turns a second, 6023.9 rpm; Heywood, 2.10:
# 0.95 · 2 l · 6023.9/120 = 0.0953787 m³/s, and half of it at half the speed: the share met stays.
def test_in_a_gear_the_share_met_is_the_same_at_every_speed() -> None:
    found = in_gear(speed=[20.0, 40.0], gear=[4, 4])
    assert found["engine_speed"]["2-in-4"] / RPM == pytest.approx(6023.9, abs=0.1)
    assert found["air_drawn"]["2-in-4"] == pytest.approx(0.0953787, rel=1e-5)
    assert found["capture_ratio"]["1-in-4"] == pytest.approx(found["capture_ratio"]["2-in-4"], rel=1e-12)
    assert "keep_up_speed" not in found


def test_gears_are_checked() -> None:
    with pytest.raises(OutOfRange, match="1 in gear 1, which is 14999 rpm"):
        in_gear(speed=[40.0], gear=[1])
    with pytest.raises(InputsConflict, match="2 gears, expected one for each of speed, 1"):
        in_gear(speed=[40.0], gear=[4, 5])
    with pytest.raises(OutOfRange, match="gear 6, expected 1 to 5"):
        in_gear(speed=[40.0], gear=[6])
    with pytest.raises(InputsConflict, match="twice"):
        in_gear(speed=[AsWritten(40.0, "40 m/s", "m/s"), AsWritten(40.0, "40 m/s", "m/s")], gear=[4, 4])


# --- several mouths ----------------------------------------------------------------------

OLD = [
    {"path": "a", "name": "old", "kind": "inlet", "diameter": 0.06, "edge": "projecting"},
    {"path": "a", "name": "old-dump", "kind": "exit", "diameter": 0.06},
]
NEW = [
    {
        "path": "b", "name": "nose", "kind": "scoop", "diameter": 0.08, "edge": "projecting", "recovery": 0.7,
    },
    {"path": "b", "name": "hose", "kind": "hose", "diameter": 0.08, "length": 0.8, "roughness": 5e-4},
    {"path": "b", "name": "new-dump", "kind": "exit", "diameter": 0.08},
]  # fmt: skip
FILTER = {"name": "panel", "kind": "filter", "rated_pressure": 500.0, "rated_flow": 0.12, "exponent": 1.5}


def pieces(*rows: dict[str, Any], working: Working | None = None, **changes: Any) -> dict[str, Any]:
    leave = ("scoop_diameter", "recovery", "pressure_loss")
    inputs = {name: value for name, value in FOUR_INCH.items() if name not in leave}
    return dict(ram_air.compute(inputs | {"segments": list(rows)} | changes, working or Working()))


def two_ways(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    old = [dict(row) for row in OLD]
    old[0]["temperature"] = changes.pop("old_temperature", 330.0)
    return pieces(*old, *NEW, FILTER, working=working, **changes)


# scipy 1.17.1, optimize.root on the node equations written out here: Crane's projecting mouth 0.78 and exits
# 1.0 on the old way, recovery, Borda's lip and Colebrook (fluids 1.3.1) on the new one, continuity of mass.
# All three unknowns at once, where ours nests two roots.
@pytest.mark.parametrize("speed", [5.0, 20.0, 35.0, 50.0])
def test_two_ways_against_scipy(speed: float) -> None:
    found = two_ways(speed=[speed])
    pressure, gas = 101_325.0, 287.05287
    hot, cold = pressure / (gas * 330.0), pressure / (gas * 288.15)
    viscosity = {t: 1.458e-6 * t**1.5 / (t + 110.4) for t in (330.0, 288.15)}
    old_area, new_area = pi * 0.06**2 / 4, pi * 0.08**2 / 4
    ram = pressure * ((1 + 0.2 * (speed / sqrt(1.4 * gas * 288.15)) ** 2) ** 3.5 - 1)
    drawn = 0.110833333

    def equations(x: Any) -> list[float]:
        old, new, box = x[0], x[1], x[2] * 1000
        turn = copysign(1.0, old)
        old_loss = turn * 1.78 * (hot if old > 0 else cold) * (old / old_area) ** 2 / 2
        u = new / new_area
        reynolds = cold * u * 0.08 / viscosity[288.15]
        friction = fluids.friction_factor(Re=reynolds, eD=5e-4 / 0.08, Method="Colebrook")
        new_loss = (friction * 10 + 1) * cold * u**2 / 2
        lip = cold * max(u - speed, 0.0) ** 2 / 2
        if old > 0:
            mixture = (old * hot + new * cold) / (old + new)
            into = old * hot
        else:
            mixture, into = cold, old * cold
        return [
            (-old_loss - box) / 100,
            (0.7 * ram - lip - new_loss - box) / 100,
            (into + new * cold - mixture * drawn) * 100,
        ]

    start = [
        found["mouth_flow"]["old-at-1"] / hot * 0.8 + 0.003,
        found["mouth_flow"]["nose-at-1"] / cold * 1.1,
        0.1,
    ]
    solved = optimize.root(equations, start, tol=1e-12)
    assert solved.success
    old, new, box = solved.x
    assert found["box_pressure_rise"]["1"] == pytest.approx(box * 1000, abs=0.01)
    assert found["mouth_flow"]["nose-at-1"] == pytest.approx(new * cold, rel=1e-5)
    assert found["mouth_flow"]["old-at-1"] == pytest.approx(old * (hot if old > 0 else cold), abs=2e-6)


# The same pipe as two ways: each of 35 mm would pass half of 0.11 m³/s at 58 m/s, and of 25 mm at 113 m/s,
# which is Mach 0.33 by NACA 1135, a = √(1.4 · 287.05 · 288.15) = 340.3 m/s.
def test_ways_side_by_side_are_within_mach() -> None:
    def ways(bore: float) -> list[dict[str, Any]]:
        inlets = [{"path": p, "kind": "inlet", "diameter": bore, "edge": "sharp"} for p in "ab"]
        exits = [{"path": p, "kind": "exit", "diameter": bore} for p in "ab"]
        return [inlets[0], exits[0], inlets[1], exits[1]]

    assert pieces(*ways(0.035))["inlet_pressure_rise"]["1"] < 0
    with pytest.raises(OutOfRange, match=r"113 m/s on the way of .*, expected at most Mach 0\.3, 102 m/s"):
        pieces(*ways(0.025))
    narrow = {"kind": "hose", "diameter": 0.03, "length": 0.1, "roughness": 0.0}
    with pytest.raises(OutOfRange, match="at most Mach"):
        pieces(*ways(0.06), {"kind": "inlet", "diameter": 0.03, "edge": "sharp"}, narrow)


# scipy 1.17.1 and fluids 1.3.1: three mouths into one box, every flow and the box's pressure at once, written
# out here. A flat scoop of 120 × 40 mm (hydraulic diameter 60 mm), a round one, and the old inlet in hot air;
# Crane's and Idelchik's coefficients of mouths by name, Colebrook on both hoses, a filter of exponent 1.5
# behind.
@pytest.mark.parametrize(
    ("speed", "litres", "rpm"), [(12.0, 2.0, 7000.0), (30.0, 1.6, 6500.0), (55.0, 3.0, 5000.0)]
)
def test_three_mouths_against_scipy(speed: float, litres: float, rpm: float) -> None:
    flat = {"section": "rectangular", "width": 0.12, "height": 0.04}
    rows: list[dict[str, Any]] = [
        {"path": "a", "name": "flat", "kind": "scoop", **flat, "edge": "projecting", "recovery": 0.6},
        {"path": "a", "name": "run", "kind": "hose", **flat, "length": 0.6, "roughness": 2e-4},
        {"path": "a", "name": "flat-dump", "kind": "exit", **flat},
        {"path": "b", "name": "round", "kind": "scoop", "diameter": 0.07, "edge": "sharp", "recovery": 0.8},
        {"path": "b", "name": "hose", "kind": "hose", "diameter": 0.07, "length": 1.1, "roughness": 5e-4},
        {"path": "b", "name": "round-dump", "kind": "exit", "diameter": 0.07},
        {
            "path": "c",
            "name": "old",
            "kind": "inlet",
            "diameter": 0.05,
            "edge": "sharp",
            "temperature": 325.0,
        },
        {"path": "c", "name": "old-dump", "kind": "exit", "diameter": 0.05},
        FILTER,
    ]
    engine: dict[str, Any] = {"engine_displacement": litres / 1000, "engine_speed": rpm * RPM}
    found = pieces(*rows, speed=[speed], **engine)
    drawn = 0.95 * litres / 1000 * rpm / 120
    gas, pressure = 287.05287, 101_325.0
    cold, hot = pressure / (gas * 288.15), pressure / (gas * 325.0)
    viscosity = 1.458e-6 * 288.15**1.5 / (288.15 + 110.4)
    ram = pressure * ((1 + 0.2 * (speed / sqrt(1.4 * gas * 288.15)) ** 2) ** 3.5 - 1)

    def drop(flow: float, area: float, wall: float, length: float, rough: float) -> float:
        u = abs(flow) / area
        factor = fluids.friction_factor(
            Re=cold * u * wall / viscosity + 1, eD=rough / wall, Method="Colebrook"
        )
        return float(copysign((factor * length / wall + 1) * cold * u**2 / 2, flow))

    def lip(flow: float, area: float, coefficient: float) -> float:
        return coefficient * cold * max(flow / area - speed, 0.0) ** 2 / 2

    first, second, third = 0.12 * 0.04, pi * 0.07**2 / 4, pi * 0.05**2 / 4

    def equations(x: Any) -> list[float]:
        a, b, c, box = (float(one) for one in x)
        into = (c * hot if c > 0 else 0.0) + a * cold + b * cold
        density = into / (a + b + max(c, 0.0))
        return [
            (0.6 * ram - lip(a, first, 1.0) - drop(a, first, 0.06, 0.6, 2e-4) - box * 1e3) / 100,
            (0.8 * ram - lip(b, second, 0.5) - drop(b, second, 0.07, 1.1, 5e-4) - box * 1e3) / 100,
            (-copysign(1.5 * (hot if c > 0 else density) * (c / third) ** 2 / 2, c) - box * 1e3) / 100,
            (into + (c * density if c < 0 else 0.0) - density * drawn) * 100,
        ]

    solved = optimize.root(equations, [drawn / 2, drawn / 2, 0.005, -0.05], method="hybr", tol=1e-12)
    if not solved.success:
        solved = optimize.root(equations, [drawn / 2, drawn / 2, -0.02, 0.3], method="hybr", tol=1e-12)
    assert solved.success
    a, b, c, box = solved.x
    assert found["box_pressure_rise"]["1"] == pytest.approx(box * 1e3, abs=0.05)
    assert found["mouth_flow"]["flat-at-1"] == pytest.approx(a * cold, rel=2e-4)
    assert found["mouth_flow"]["round-at-1"] == pytest.approx(b * cold, rel=2e-4)
    old = c * hot if c > 0 else c * cold  # what blows out is the mixture, cold air alone here
    assert found["mouth_flow"]["old-at-1"] == pytest.approx(old, rel=2e-4, abs=2e-6)
    # The filter by hand: 500 Pa at 0.12 m³/s, to the power of 1.5.
    behind = found["box_pressure_rise"]["1"] - found["inlet_pressure_rise"]["1"]
    assert behind == pytest.approx(500 * (drawn / 0.12) ** 1.5, rel=1e-9)


TWIN = {"kind": "scoop", "diameter": 0.07, "edge": "projecting", "recovery": 0.9, "recovery_stopped": 0.4}


# scipy 1.17.1, optimize.brentq on one curve written out here: a mouth of 70 mm that recovers 0.4 of the ram
# stopped and 0.9 taking all it meets, and loses its velocity in the box. By symmetry each of two brings half.
@pytest.mark.parametrize("speed", [10.0, 15.0])
def test_two_mouths_that_rise_and_fall_against_scipy(speed: float) -> None:
    rows = [
        {**TWIN, "path": path, "name": f"nose-{path}"} for path in "ab"
    ]  # fmt: skip
    exits = [{"path": path, "name": f"dump-{path}", "kind": "exit", "diameter": 0.07} for path in "ab"]
    found = pieces(rows[0], exits[0], rows[1], exits[1], speed=[speed])
    area, density = pi * 0.07**2 / 4, 101_325.0 / (287.05287 * 288.15)
    ram = 101_325.0 * ((1 + 0.2 * (speed / sqrt(1.4 * 287.05287 * 288.15)) ** 2) ** 3.5 - 1)

    def in_box(flow: float) -> float:
        u = flow / area
        recovered = (0.4 + 0.5 * min(u / speed, 1)) * ram
        return float(recovered - density * (max(u - speed, 0.0) ** 2 + u**2) / 2)

    assert found["box_pressure_rise"]["1"] == pytest.approx(in_box(0.110833333 / 2), rel=1e-5)
    best = optimize.minimize_scalar(lambda flow: -in_box(flow), bounds=(0, area * speed), method="bounded")
    half = optimize.brentq(
        lambda flow: in_box(flow) - found["box_pressure_rise"]["1"], best.x, 0.2, xtol=1e-12
    )
    assert found["mouth_share"]["nose-a-at-1"] == pytest.approx(half / 0.110833333, rel=1e-6)
    assert found["mouth_share"]["nose-b-at-1"] == pytest.approx(0.5, rel=1e-6)


# A. Beke, NACA, summary of the criteria for twin intakes: with the greatest pressure at more than half of the
# flow, one of two ducts brings nothing. Two mouths that are asked for less than that have no even flow.
def test_twin_mouths_that_rob_each_other_are_refused() -> None:
    rows = [{**TWIN, "path": path, "name": f"nose-{path}", "diameter": 0.12} for path in "ab"]
    exits = [{"path": path, "name": f"dump-{path}", "kind": "exit", "diameter": 0.12} for path in "ab"]
    with pytest.raises(NoSolution, match="no steady flow"):
        pieces(rows[0], exits[0], rows[1], exits[1], speed=[50.0])


# Continuity: whatever the mouths, what they bring is what the engine draws.
@for_all(st.floats(3, 70), st.floats(0, 1), st.floats(0, 1), st.floats(0.05, 0.3), st.floats(0.05, 0.3))
def test_mouths_of_any_size_bring_what_the_engine_draws(
    speed: float, recovery: float, stopped: float, first: float, second: float
) -> None:
    try:
        found = pieces(
            {**TWIN, "path": "a", "name": "nose", "diameter": first, "recovery": recovery,
             "recovery_stopped": stopped},
            {"path": "a", "name": "dump", "kind": "exit", "diameter": first},
            {"path": "b", "name": "old", "kind": "inlet", "diameter": second, "edge": "sharp",
             "temperature": 330.0},
            {"path": "b", "name": "old-dump", "kind": "exit", "diameter": second},
            speed=[speed],
        )  # fmt: skip
    except NoSolution:
        assert recovery > stopped
        return
    flow, drawn = found["mouth_flow"], found["air_mass_drawn"]["1"]
    assert flow["nose-at-1"] + flow["old-at-1"] == pytest.approx(drawn, rel=1e-6)


# CoolProp 8.0.0: enthalpies of dry air at 1 atm; the mixture's is the mean by mass, and its temperature that
# of our weighted mean within 0.1 K.
def test_mixing_against_coolprop() -> None:
    found = two_ways(speed=[20.0])
    old, new = found["mouth_flow"]["old-at-1"], found["mouth_flow"]["nose-at-1"]
    assert old > 0
    rest = 288.15 * (1 + 0.2 * 20.0**2 / (1.4 * 287.05287 * 288.15))
    enthalpy = (
        old * PropsSI("H", "T", 330.0, "P", 101_325, "Air")
        + new * PropsSI("H", "T", rest, "P", 101_325, "Air")
    ) / (old + new)
    mixed = PropsSI("T", "H", enthalpy, "P", 101_325, "Air")
    assert found["inlet_temperature"]["1"] == pytest.approx(mixed, abs=0.1)


# Closed form: two like mouths at like losses are one of twice the area, 80 mm · √2.
def test_two_like_mouths_are_one_of_twice_the_area() -> None:
    def way(path: str, bore: float) -> list[dict[str, Any]]:
        return [
            {"path": path, "name": f"nose-{path}", "kind": "scoop", "diameter": bore, "edge": "projecting",
             "recovery": 0.7},
            {"path": path, "name": f"dump-{path}", "kind": "exit", "diameter": bore},
        ]  # fmt: skip

    two = pieces(*way("a", 0.06), *way("b", 0.06), speed=[12.0, 40.0])
    single = [{k: v for k, v in row.items() if k != "path"} for row in way("a", 0.06 * sqrt(2))]
    one = pieces(*single, speed=[12.0, 40.0])
    for key in "12":
        assert two["box_pressure_rise"][key] == pytest.approx(one["box_pressure_rise"][key], abs=1e-4)
        assert two["mouth_share"][f"nose-a-at-{key}"] == pytest.approx(0.5, rel=1e-6)


# A mouth that is all but shut leaves the other alone.
def test_a_mouth_that_is_shut_leaves_the_other_alone() -> None:
    shut = {"path": "a", "name": "flap", "kind": "fitting", "diameter": 0.06, "loss_coefficient": 1e12}
    both = pieces(OLD[0], shut, OLD[1], *NEW, FILTER)
    alone = pieces(*({k: v for k, v in row.items() if k != "path"} for row in NEW), FILTER)
    assert both["box_pressure_rise"]["1"] == pytest.approx(alone["box_pressure_rise"]["1"], abs=0.01)
    assert both["mouth_share"]["nose-at-1"] == pytest.approx(1, abs=1e-5)


# At rest two ways in still air divide as 1/√(K/A²): nose 1.0 lip and 1.0 exit against 0.78 and 1.0, by hand.
def test_at_rest_ways_divide_by_their_resistance() -> None:
    found = pieces(*OLD, NEW[0], NEW[2], speed=[1e-6])
    old, new = 0.06**2 / sqrt(1.78), 0.08**2 / sqrt(2.0)
    assert found["mouth_share"]["old-at-1"] == pytest.approx(old / (old + new), rel=1e-5)
    # A mouth out of the wind blows out once the box is above ambient, and the block says so.
    working = Working()
    fast = two_ways(working, speed=[60.0], engine_speed=1500 * RPM)
    assert fast["mouth_flow"]["old-at-1"] < 0
    assert any("Air blows out at old-at-1" in remark for remark in working.remarks)


# NACA Report 1193 (1954): at rest the balance of momentum takes all of ρu²/2 at a sharp lip, which is
# Borda's mouthpiece, and nothing where the mouth takes what it meets. Between, Bernoulli and momentum by
# hand: 81.0732 cm² draw 0.1108333 m³/s at 13.6708 m/s.
@pytest.mark.parametrize(("speed", "lost"), [(1e-9, 1.0), (6.8354, 0.25), (13.6708, 0.0), (30.0, 0.0)])
def test_a_lip_asked_for_more_than_it_meets(speed: float, lost: float) -> None:
    found = run(speed=[speed], lip_loss_coefficient=1.0)
    head = 1.225 * 13.6708**2 / 2
    short = found["ram_pressure"]["1"] - found["box_pressure_rise"]["1"]
    assert short == pytest.approx(lost * head, abs=0.01)


# Straight between the two readings, by hand: stopped 0.9, at full catch 0.6, asked for half 0.75.
def test_recovery_falls_with_what_is_asked() -> None:
    found = run(speed=[2 * 13.67080], recovery=0.6, recovery_stopped=0.9)
    share = found["box_pressure_rise"]["1"] / found["ram_pressure"]["1"]
    assert share == pytest.approx(0.75, abs=1e-5)


# What the pressure of one arrangement can bring over that of another, both below ambient: −2000 → −57 Pa is
# by hand (1 − 57/86 126)/(1 − 2000/86 126) − 1 = 2.310 %, 101 325 · 0.85 Pa being 86 126.
def test_the_bound_compares_arrangements_below_ambient() -> None:
    bound = engine_air.power_bound
    gain = bound(-57, 101_325, 0.85) / bound(-2000, 101_325, 0.85) - 1
    assert gain == pytest.approx(0.02310, abs=1e-5)


# Suction at the drain by hand: box at −464.24 + ram, the air outside at −0.2 of 1224.049 Pa.
def test_suction_at_the_drain() -> None:
    found = run(drain_pressure_coefficient=-0.2, pressure_loss=1500.0)
    box = 1229.339 - 1500.0
    assert found["drain_suction"]["1"] == pytest.approx(-0.2 * 1224.049 - box, abs=0.001)


# −40 °C is the lowest that the inputs take, and comes as 233.14999999999998 K.
def test_the_coldest_day_is_answered() -> None:
    cold = units.find("°C", "temperature").to_si(-40.0)
    assert cold < 233.15
    assert run(ambient_temperature=cold)["ambient_density"] == pytest.approx(101_325 / 287.05287 / 233.15)


@pytest.mark.parametrize(
    ("rows", "error", "message"),
    [
        ([{**NEW[1], "name": "x"}], InputsConflict, "first on its way"),
        ([FILTER, *OLD, *NEW], InputsConflict, "segment panel of no path before the paths"),
        ([{**NEW[0], "diameter": 0.03}], OutOfRange, "at most Mach 0.3"),
    ],
)
def test_rows_that_are_no_intake(rows: list[dict[str, Any]], error: type, message: str) -> None:
    plain = [{k: v for k, v in row.items() if k != "path"} for row in rows] if len(rows) == 1 else rows
    with pytest.raises(error, match=message):
        pieces(*plain)
