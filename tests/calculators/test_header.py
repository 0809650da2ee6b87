"""The kind `header`, whole: by hand, by kinetic theory, and against known engines."""

from __future__ import annotations

from math import degrees, pi, radians, sqrt
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from buildlog.calculators import header
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Output, Working

RPM = pi / 30
CELSIUS = 273.15

FOUR: dict[str, Any] = {
    "engine_speed": 7000 * RPM,
    "engine_displacement": 0.002,
    "volumetric_efficiency": 0.95,
    "ambient_pressure": 101_325.0,
    "ambient_temperature": 288.15,
    "air_fuel_ratio": 12.8,
    "hydrogen_carbon_ratio": 1.87,
    "gas_temperature": 1100.0,
    "gas_temperature_uncertainty": 60.0,
    "gas_uncertainty": 0.005,
    "back_pressure": 0.0,
    "firing_order": [1, 3, 4, 2],
    "reflection": 1,
    "return_angle": radians(120),
    "port_length": 0.085,
}
BORES: dict[str, Any] = {
    "primary_gas_speed": 90.0,
    "collector_cylinders": [1, 2, 3, 4],
    "collector_gas_speed": 100.0,
}
STEPPED = [
    {"length": 0.3, "bore": 0.038, "gas_temperature": 1150.0},
    {"length": 0.3, "bore": 0.041},
    {"length": 0.2, "bore": 0.044, "gas_temperature": 1050.0},
]


def run(without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    inputs = {name: value for name, value in (FOUR | changes).items() if name not in without}
    return dict(header.compute(inputs, Working()))


def test_length_with_the_sound_of_kinetic_theory() -> None:
    """Cantera 3.2.0, gri30.yaml, burnt CH1.87 at 12.8 : 1, 1100 K: 647.16 m/s, γ 1.2933 (see test_gas.py).

    120° at 7000 rpm are 2.857143 ms (42° a millisecond, by hand): there and back 1.84903 m, less the port.
    """
    found = run()
    assert found["speed_of_sound"] == pytest.approx(647.16, rel=1e-3)
    assert found["heat_capacity_ratio"] == pytest.approx(1.2933, rel=1e-3)
    assert found["effective_length"] == pytest.approx(1.84903 / 2, rel=1e-3)
    assert found["primary_length"] == pytest.approx(found["effective_length"] - 0.085, rel=1e-12)
    # Kinsler and Frey: c/(4 L), then three and five times as high
    first = found["speed_of_sound"] / (4 * found["effective_length"])
    assert found["pipe_frequency"]["1"] == pytest.approx(first, rel=1e-9)
    assert found["pipe_frequency"]["2"] == pytest.approx(3 * first, rel=1e-9)
    assert found["travel_time"] == pytest.approx(2.857143e-3 / 2, rel=1e-6)


def test_the_trades_length() -> None:
    """Common practice, no source: primaries of 0.70–0.95 m for 6000–7500 rpm."""
    assert 0.70 < run()["primary_length"] < 0.95


def test_flow_and_bores_by_hand() -> None:
    found = run(**BORES)
    # Heywood 2.10 and U.S. Standard Atmosphere 1976: 0.95 · 2 l · 3500/min · 1.225 kg/m³ = 0.1357708 kg/s;
    # times 1 + 1/12.8
    assert found["exhaust_mass_flow"] == pytest.approx(0.1463779, rel=1e-5)
    # ideal gas with Cantera's constant, 294.40 J/(kg·K): 101 325 / (294.40 · 1100) = 0.312885 kg/m³
    assert found["gas_density"] == pytest.approx(0.312885, rel=1e-3)
    # continuity: a quarter of it at 90 m/s needs 12.995 cm², 40.68 mm; all at 100 m/s 46.783 cm², 77.18 mm
    assert found["primary_bore"] == pytest.approx(0.04068, rel=1e-3)
    assert found["collector_bore"] == pytest.approx(0.07718, rel=1e-3)
    # half a litre in half a turn, 4.285714 ms, through that bore: 89.77 m/s
    assert found["stroke_gas_speed"] == pytest.approx(89.77, rel=2e-3)


def test_pressure_of_the_gas_and_of_the_air() -> None:
    """Ideal gas law: density goes with the pressure, of the air with the barometer."""
    plain = run()
    pressed = run(back_pressure=20_000.0)
    assert pressed["gas_density"] / plain["gas_density"] == pytest.approx(121_325 / 101_325, rel=1e-9)
    high = run(ambient_pressure=90_000.0)
    ratio = 90_000 / 101_325
    assert high["exhaust_mass_flow"] / plain["exhaust_mass_flow"] == pytest.approx(ratio, rel=1e-9)
    assert high["gas_density"] / plain["gas_density"] == pytest.approx(ratio, rel=1e-9)


def test_what_the_temperature_does() -> None:
    working = Working()
    found = header.compute(FOUR | {"return_angle_uncertainty": radians(2)}, working)
    # JCGM 100:2008, 5.1.2, by hand: 60/2200 = 2.7273 %, with 0.5 % of the gas 2.7727 %; with 2/120 3.2352 %
    assert found["speed_of_sound_uncertainty"] == pytest.approx(0.027727 * found["speed_of_sound"], rel=1e-4)  # type: ignore[operator]
    assert found["primary_length_uncertainty"] == pytest.approx(
        0.032352 * found["effective_length"],  # type: ignore[operator]
        rel=1e-4,
    )
    assert found["temperature_share"] == pytest.approx((2.7273 / 3.2352) ** 2, rel=1e-4)
    (remark,) = working.remarks
    assert "makes 97% of the doubt in the speed of sound and 71% of that in the primary length:" in remark
    assert "60 K either way moves sound by 18 m/s and the length by 25 mm" in remark
    working = Working()
    header.compute(FOUR, working)
    assert "(the return angle counted as exact)" in working.remarks[0]


def test_difference_by_temperature_is_as_told() -> None:
    """The whole block at ±1 K against what it says of its own uncertainty; γ falls as the gas warms."""
    spread = run(gas_temperature=1101.0)["primary_length"] - run(gas_temperature=1099.0)["primary_length"]
    told = run(gas_temperature_uncertainty=1.0, gas_uncertainty=1e-9)["primary_length_uncertainty"]
    assert 0.9 * told < spread / 2 < told


def test_later_returns() -> None:
    third = run(reflection=3)
    assert third["effective_length"] == pytest.approx(run()["effective_length"] / 3, rel=1e-12)
    working = Working()
    header.compute(FOUR | {"reflection": 2}, working)
    assert any("as pressure, not as suction" in remark for remark in working.remarks)


def test_stepped_primary() -> None:
    found = run(sections=STEPPED, **BORES)
    sounds = found["section_speed_of_sound"]
    assert sounds["1"] > sounds["2"] > sounds["3"]
    assert sounds["2"] == pytest.approx(found["speed_of_sound"], rel=1e-12)
    # kinematics: the times add up; the tuned speed is 120° in twice the time
    time = 0.085 / found["speed_of_sound"] + 0.3 / sounds["1"] + 0.3 / sounds["2"] + 0.2 / sounds["3"]
    assert found["travel_time"] == pytest.approx(time, rel=1e-12)
    assert found["tuned_speed"] == pytest.approx(radians(120) / (2 * time), rel=1e-12)
    assert found["equivalent_length"] == pytest.approx(time * found["speed_of_sound"], rel=1e-12)
    # Kinsler and Frey: (S1 − S2)/(S1 + S2), 38 to 41 mm
    assert found["step_reflection"]["1"] == pytest.approx((38**2 - 41**2) / (38**2 + 41**2), rel=1e-12)
    assert set(found["step_reflection"]) == {"1", "2"}
    # continuity: hotter gas in a narrower pipe is faster
    speed = found["section_gas_speed"]
    assert speed["1"] / speed["2"] == pytest.approx(1150 / 1100 * (41 / 38) ** 2, rel=1e-9)


def test_an_even_section_gives_the_length_back() -> None:
    found = run()
    section = [{"length": found["primary_length"], "bore": 0.04}]
    again = run(sections=section)
    assert again["tuned_speed"] == pytest.approx(FOUR["engine_speed"], rel=1e-9)
    assert again["equivalent_length"] == pytest.approx(found["effective_length"], rel=1e-9)


def test_pairing() -> None:
    """Common practice, no source: 4–2–1 headers join 1 and 4, 2 and 3; sixes the front and the back three."""
    four = run()
    assert four["pairs"] == "1 + 4, 3 + 2"
    assert "halves" not in four
    assert {round(degrees(one), 6) for one in four["pair_interval"].values()} == {360}
    assert {key: round(degrees(one)) for key, one in four["firing_angle"].items()} == {
        "3": 180,
        "4": 360,
        "2": 540,
    }
    six = run(firing_order=[1, 5, 3, 6, 2, 4])
    assert six["pairs"] == "1 + 6, 5 + 2, 3 + 4"
    assert six["halves"] == "1 + 3 + 2, 5 + 6 + 4"
    working = Working()
    assert "pairs" not in header.compute(FOUR | {"firing_order": [1, 2, 4, 5, 3]}, working)
    assert any("odd number" in remark for remark in working.remarks)


def test_twins_and_singles() -> None:
    """By definition of the four-stroke cycle: a twin on one crank pin fires every 360°, one on two pins
    180° and 540° apart, a single every 720° with nobody to pair with."""
    twin = run(firing_order=[1, 2])
    assert twin["pairs"] == "1 + 2"
    assert twin["pair_interval"] == pytest.approx({"1": 2 * pi, "2": 2 * pi})
    uneven = run(firing_order=[1, 2], firing_intervals=[pi, 3 * pi])
    assert uneven["pair_interval"] == pytest.approx({"1": pi, "2": 3 * pi})
    single = run(firing_order=[1], primary_gas_speed=90.0)
    assert "pairs" not in single
    assert "firing_angle" not in single
    # Continuity: all the gas through one pipe, not through four: twice the bore; the length does not change.
    four = run(primary_gas_speed=90.0)
    assert single["primary_bore"] == pytest.approx(2 * four["primary_bore"], rel=1e-12)
    assert single["primary_length"] == four["primary_length"]


def test_a_bank_of_a_cross_plane_eight_is_uneven() -> None:
    """1-8-4-3-6-5-7-2 with 1 3 5 7 on one bank fires it at 270°, 180°, 90°, 180° (by hand from the order)."""
    working = Working()
    inputs = FOUR | {"firing_order": [1, 8, 4, 3, 6, 5, 7, 2], "collector_cylinders": [1, 3, 5, 7]}
    found = header.compute(inputs, working)
    intervals = found["collector_interval"]
    assert isinstance(intervals, dict)
    assert {key: round(degrees(one)) for key, one in intervals.items()} == {
        "1": 270,
        "3": 180,
        "5": 90,
        "7": 180,
    }
    assert any("unevenly, 90° to 270° apart" in remark for remark in working.remarks)


def test_uneven_intervals() -> None:
    """A V6 of 90° with common crankpins, 1-6-5-4-3-2: 90° and 150° in turn (geometry)."""
    found = run(firing_order=[1, 6, 5, 4, 3, 2], firing_intervals=[radians(one) for one in (90, 150) * 3])
    assert {key: round(degrees(one)) for key, one in found["firing_angle"].items()} == {
        "6": 90,
        "5": 240,
        "4": 330,
        "3": 480,
        "2": 570,
    }
    assert found["halves"] == "1 + 5 + 3, 6 + 4 + 2"
    assert {round(degrees(one)) for one in found["pair_interval"].values()} == {330, 390}


@for_all(st.floats(900, 1400), st.floats(1, 100), st.floats(200, 1000), st.floats(1.01, 1.3))
def test_hotter_is_longer_and_faster_is_shorter(
    temperature: float, more: float, speed: float, factor: float
) -> None:
    def length(temperature: float, speed: float) -> float:
        return float(
            run(gas_temperature=temperature, engine_speed=speed, port_length=0.0)["effective_length"]
        )

    assert length(temperature + more, speed) > length(temperature, speed)
    assert length(temperature, speed * factor) == pytest.approx(length(temperature, speed) / factor, rel=1e-9)


@for_all(st.floats(30, 200), st.floats(1.01, 3))
def test_bore_goes_with_the_root_of_the_speed(speed: float, factor: float) -> None:
    slow, fast = (run(primary_gas_speed=one)["primary_bore"] for one in (speed, speed * factor))
    assert slow / fast == pytest.approx(sqrt(factor), rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "error", "message"),
    [
        ({"firing_order": [1, 3, 3, 2]}, InputsConflict, "firing_order: found 1, 3, 3, 2, expected each of"),
        ({"firing_intervals": [pi] * 3}, InputsConflict, "firing_intervals: found 3 intervals for 4 cyl"),
        ({"firing_intervals": [3.0] * 4}, InputsConflict, r"firing_intervals: found 687\.549° in all"),
        ({"collector_cylinders": [1, 5]}, InputsConflict, "collector_cylinders: found 1, 5, expected diff"),
        ({"collector_cylinders": [1, 1]}, InputsConflict, "collector_cylinders: found 1, 1"),
        ({"collector_gas_speed": 90.0}, MissingInput, "collector_cylinders: found collector_gas_speed with"),
        ({"port_length": 1.2}, OutOfRange, r"port_length: found 1\.2, expected 0 to 0\.92"),
        ({"gas_temperature": 320.0}, OutOfRange, "temperature: found 320, expected 330 to 1800"),
        ({"gas_temperature_uncertainty": 400.0}, OutOfRange, "temperature_uncertainty: found 400"),
        ({"air_fuel_ratio": 8.0}, OutOfRange, r"air_fuel_ratio: found 8, expected 9\.12"),
        ({"volumetric_efficiency": 1.6}, OutOfRange, "volumetric_efficiency: found 1.6"),
    ],
)
def test_errors(changes: dict[str, Any], error: type[Exception], message: str) -> None:
    with pytest.raises(error, match=message):
        run(**changes)


def test_every_output_is_declared_and_has_its_step() -> None:
    working = Working()
    found = header.compute(FOUR | BORES | {"sections": STEPPED, "firing_order": [1, 5, 3, 6, 2, 4]}, working)
    declared: dict[str, Output] = {output.name: output for output in header.OUTPUTS}
    assert set(found) == set(declared)
    steps = {step.name: step.result for step in working.steps}
    for name, value in found.items():
        if isinstance(value, dict):
            for key, one in value.items():
                assert steps[f"{name}.{key}"] == one
        elif not isinstance(value, str):
            assert steps[name] == value
    assert {step.source for step in working.steps} <= {source.id for source in header.SOURCES}


def test_chart() -> None:
    def view(**changes: Any) -> SimpleNamespace:
        inputs = FOUR | changes
        return SimpleNamespace(inputs=inputs, outputs=header.compute(inputs, Working()))

    one = header.chart({"": view()})
    assert one is not None
    assert [series.label for series in one.series] == ["return 1", "return 2", "return 3"]
    for series in one.series:
        assert list(series.y) == sorted(series.y, reverse=True)
        assert min(series.y) > 0
    chosen = one.markers[0]
    assert chosen.x is not None
    at_speed = chosen.x
    nearest = min(zip(one.series[0].x, one.series[0].y, strict=True), key=lambda at: abs(at[0] - at_speed))
    assert chosen.y == pytest.approx(nearest[1], rel=0.02)
    two = header.chart({"cool": view(), "hot": view(gas_temperature=1200.0), "built": view(sections=STEPPED)})
    assert two is not None
    assert [series.label for series in two.series] == ["cool, return 1", "hot, return 1"]
    assert [marker.label for marker in two.markers] == ["cool, chosen", "hot, chosen", "built, sections"]
    # A port longer than the pipe leaves no length to draw.
    short = header.chart({"": view(port_length=0.3, reflection=3)})
    assert short is not None
    assert all(length > 0 for series in short.series for length in series.y)
