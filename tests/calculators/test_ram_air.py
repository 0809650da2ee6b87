"""The kind `ram_air`, whole: against NACA 1135, definitions and the trade's own check."""

from __future__ import annotations

from math import inf, pi
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import ram_air
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Output, Working

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
    assert found["air_drawn"] == pytest.approx(0.110833333, rel=1e-8)
    assert found["air_mass_drawn"] == pytest.approx(0.110833333 * 1.225, rel=1e-6)
    assert found["air_caught"]["1"] == pytest.approx(0.362430, rel=1e-5)
    assert found["capture_ratio"]["1"] == pytest.approx(3.270, abs=0.001)
    assert found["keep_up_speed"] == pytest.approx(0.110833333 / 0.00810732, rel=1e-5)


def test_full_recovery_is_isentropic() -> None:
    """NACA 1135, eq. 45: ρ_t/ρ = (1 + 0.2 M²)^2.5, M = 44.704/340.294."""
    found = run()
    mach = 44.704 / 340.294
    assert found["density_gain"]["1"] == pytest.approx((1 + 0.2 * mach**2) ** 2.5 - 1, rel=1e-5)
    assert found["power_gain_bound"]["1"] == pytest.approx(1229.339 / 101_325 / 0.85, rel=1e-5)


def test_loss_by_coefficient() -> None:
    found = run(("pressure_loss",), loss_coefficient=2.0, duct_diameter=0.08, recovery=0.75)
    # By hand: 0.1108333 m³/s through 50.2655 cm² is 22.0496 m/s; 2 · 1.225 · 22.0496²/2 = 595.58 Pa
    assert found["duct_velocity"] == pytest.approx(22.0496, rel=1e-5)
    assert found["pressure_loss"] == pytest.approx(595.58, rel=1e-4)
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
    assert found["power_gain_bound"]["1"] >= found["density_gain"]["1"] - 1e-12
    assert found["power_gain_bound"]["1"] >= 0


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
    assert large["box_pressure_rise"] == small["box_pressure_rise"]


def test_remarks_say_where_there_is_no_gain() -> None:
    working = Working()
    found = ram_air.compute(FOUR_INCH | {"pressure_loss": 3000.0, "speed": [10.0]}, working)
    assert any("below ambient" in remark for remark in working.remarks)
    assert any("sucked in past the lip" in remark for remark in working.remarks)
    assert found["power_gain_bound"] == {"1": 0.0}
    working = Working()
    assert "break_even_speed" not in ram_air.compute(
        FOUR_INCH | {"recovery": 0.0, "pressure_loss": 10.0}, working
    )
    assert any("never makes up the loss" in remark for remark in working.remarks)


@pytest.mark.parametrize(
    ("without", "changes", "error", "message"),
    [
        (("altitude",), {}, MissingInput, "altitude: found neither altitude nor ambient_pressure"),
        ((), {"ambient_pressure": 1e5}, InputsConflict, "ambient_pressure: found altitude as well"),
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
            OutOfRange,
            r"loss_coefficient: found a loss of 92\.6 kPa, expected less than half the ambient pressure",
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
    assert set(found) == set(declared)
    steps = {step.name: step.result for step in working.steps}
    for name, value in found.items():
        if isinstance(value, dict):
            assert declared[name].key == "speed"
            assert set(value) == {"1", "2"}
            for key, one in value.items():
                assert steps[f"{name}.{key}"] == one
        else:
            assert steps[name] == value
    assert {step.source for step in working.steps} <= {source.id for source in ram_air.SOURCES}


def test_chart_starts_at_the_loss_and_stays_under_the_ram() -> None:
    def view(**changes: Any) -> SimpleNamespace:
        inputs = FOUR_INCH | changes
        return SimpleNamespace(inputs=inputs, outputs=ram_air.compute(inputs, Working()))

    one = ram_air.chart({"": view(pressure_loss=400.0, recovery=0.7, top_speed=60.0)})
    assert one is not None
    box, ram = one.series
    assert (box.label, ram.label) == ("box", "all of the ram")
    assert box.y[0] == -400
    assert box.x[-1] == ram.x[-1] == 60
    assert all(low < high for low, high in zip(box.y, ram.y, strict=True))
    assert [marker.label for marker in one.markers] == ["ambient", "scoop keeps up"]
    # Cases in the same air share one curve of the whole ram pressure.
    two = ram_air.chart({"before": view(), "after": view(recovery=0.5)})
    assert two is not None
    assert [series.label for series in two.series] == ["box, before", "box, after", "all of the ram"]
    assert max(abs(y) for series in two.series for y in series.y) < inf
