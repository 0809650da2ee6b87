"""The kind `fan`: the maker's curve crossed with the circuit, the fan laws, and the room behind it."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy import optimize

from buildlog.calculators import fan
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange
from buildlog.kinds.declaration import Working
from buildlog.physics import fans
from tests.calculators.seen import seen

CURVE = [
    {"flow": 0.0, "pressure": 260.0, "current": 11.0},
    {"flow": 0.2, "pressure": 200.0, "current": 10.0},
    {"flow": 0.4, "pressure": 110.0, "current": 8.6},
    {"flow": 0.55, "pressure": 0.0, "current": 7.0},
]
GIVEN: dict[str, Any] = {
    "curve": CURVE,
    "curve_density": 1.2,
    "beside": 1,
    "behind": 1,
    "air_temperature": 343.15,
    "ambient_pressure": 97_600.0,
    "circuit_loss": 120.0,
    "circuit_flow": 0.4,
    "circuit_exponent": 1.7,
    "circuit_density": 1.2,
}
_R = 287.05287


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(fan.compute(GIVEN | changes, working or Working()))


def straight(*points: tuple[float, float]) -> list[dict[str, float]]:
    return [{"flow": flow, "pressure": pressure} for flow, pressure in points]


# Stoecker and Jones, Refrigeration and Air Conditioning, 2nd ed. (1982), chapter 6 on fans and ducts, as a
# public page of its problems has it: 20 r/s, 2.4 m³/s, 340 Pa and 1.8 kW at 20 °C; at 40 °C and the same
# speed, answer (c), 1.685 kW. By the same law the pressure is 340 · 293.15/313.15 = 318.3 Pa; the circuit is
# turbulent, so that the flow stays.
def test_a_fan_in_warmer_air() -> None:
    curve = [
        {"flow": 2.0, "pressure": 380.0, "current": 200.0},
        {"flow": 2.4, "pressure": 340.0, "current": 180.0},
        {"flow": 3.0, "pressure": 200.0, "current": 150.0},
    ]
    cold = 101_325 / (_R * 293.15)
    found = run(
        curve=curve,
        curve_density=cold,
        air_temperature=313.15,
        ambient_pressure=101_325.0,
        circuit_loss=340.0,
        circuit_flow=2.4,
        circuit_exponent=2.0,
        circuit_density=cold,
        voltage=10.0,
    )
    assert found["volume_flow"] == pytest.approx(2.4, rel=1e-9)
    assert found["electric_power"] == pytest.approx(1685, abs=0.5)
    assert found["fan_pressure"] == pytest.approx(318.3, abs=0.05)


# A fan maker's catalogue, "Air Density Factors for Altitude and Temperature": at 6000 ft and 200 °F the
# factor is 0.643; a fan that gives 1.5 in of water there gives 2.33 in standard air (70 °F at sea level), and
# takes 2.27 hp where it took 3.53. Pressure at 6000 ft of the standard atmosphere: 81.20 kPa (U.S. Standard
# Atmosphere 1976). The catalogue prints three digits and rounds its pressure of 6000 ft.
def test_a_catalogues_density_factor() -> None:
    standard = 101_325 / (_R * 294.26)
    found = run(
        curve=[
            {"flow": 3.0, "pressure": 700.0, "current": 380.0},
            {"flow": 3.5396, "pressure": 580.4, "current": 353.0},  # 7500 ft³/min, 2.33 in of water
            {"flow": 5.0, "pressure": 0.0, "current": 300.0},
        ],
        curve_density=standard,
        air_temperature=366.48,
        ambient_pressure=81_200.0,
        circuit_loss=373.6,  # 1.5 in of water
        circuit_flow=3.5396,
        circuit_exponent=2.0,
        circuit_density=0.643 * standard,
    )
    assert found["air_density"] / standard == pytest.approx(0.643, abs=0.001)
    assert found["volume_flow"] == pytest.approx(3.5396, rel=2e-3)
    assert found["fan_pressure"] == pytest.approx(373.6, rel=3e-3)
    assert found["current"] == pytest.approx(227, rel=3e-3)


# By hand: a straight curve p = 200 − 400 Q against Δp = 800 Q² in the same air: Q = (√(400² + 4·800·200) −
# 400)/(2·800) = 0.309017 m³/s.
def test_a_straight_curve_and_a_parabola() -> None:
    air = 97_600 / (_R * 343.15)
    found = run(
        curve=straight((0.0, 200.0), (0.5, 0.0)),
        curve_density=air,
        circuit_loss=200.0,
        circuit_flow=0.5,
        circuit_exponent=2.0,
        circuit_density=air,
    )
    assert found["volume_flow"] == pytest.approx((sqrt(400**2 + 4 * 800 * 200) - 400) / 1600, rel=1e-10)
    assert found["air_power"] == pytest.approx(found["volume_flow"] * found["fan_pressure"])
    assert found["mass_flow"] == pytest.approx(air * found["volume_flow"])


# An independent root (scipy's Brent) of the same two curves, at other densities, exponents and numbers.
@for_all(
    st.floats(253, 393),
    st.floats(60_000, 105_000),
    st.floats(20, 800),
    st.floats(1, 2),
    st.integers(1, 3),
    st.integers(1, 2),
)
def test_the_working_point_by_another_root_finder(
    temperature: float, pressure: float, loss: float, exponent: float, beside: int, behind: int
) -> None:
    air = pressure / (_R * temperature)

    def excess(flow: float) -> float:
        each = flow / beside
        points = [(row["flow"], row["pressure"]) for row in CURVE]
        raised = 0.0
        for (low, first), (high, last) in pairwise(points):
            if low <= each <= high:
                raised = first + (last - first) * (each - low) / (high - low)
        taken = loss * (flow / 0.4) ** exponent * (air / 1.2) ** (exponent - 1)
        return float(behind * raised * air / 1.2 - taken)

    found = run(
        air_temperature=temperature,
        ambient_pressure=pressure,
        circuit_loss=loss,
        circuit_exponent=exponent,
        beside=beside,
        behind=behind,
    )
    assert found["volume_flow"] == pytest.approx(
        optimize.brentq(excess, 0, 0.55 * beside, xtol=1e-13), rel=1e-8, abs=1e-9
    )


# Fan laws: without resistance to speak of two fans beside each other move twice the air; behind each other,
# against a closed circuit, they raise twice the pressure.
def test_two_fans_at_the_two_ends() -> None:
    free: dict[str, Any] = {"circuit_loss": 1e-3}
    one, beside = run(**free), run(**free, beside=2)
    assert beside["volume_flow"] == pytest.approx(2 * one["volume_flow"], rel=1e-4)
    assert beside["current"] == pytest.approx(2 * one["current"], rel=1e-4)
    shut: dict[str, Any] = {"circuit_loss": 1e9}
    one, behind = run(**shut), run(**shut, behind=2)
    assert behind["fan_pressure"] == pytest.approx(2 * one["fan_pressure"], rel=1e-3)


def test_a_second_fan_behind_the_first_is_told_of() -> None:
    working = Working()
    run(working, behind=2)
    assert any("swirls" in remark for remark in working.remarks)


# Geometry by hand: 95 − 12 − 62 = 21 mm, of which 15 are wanted; ring 310, blades 304: 3 mm.
def test_the_room() -> None:
    working = Working()
    found = run(
        working,
        thickness=0.062,
        standoff=0.012,
        parts=[{"name": "water pump pulley", "distance": 0.095, "least": 0.015}],
        ring_bore=0.310,
        blade_diameter=0.304,
    )
    assert found["clearance"] == {"water-pump-pulley": pytest.approx(0.021)}
    assert found["spare_clearance"] == {"water-pump-pulley": pytest.approx(0.006)}
    assert found["tip_clearance"] == pytest.approx(0.003)
    assert [limit.is_met(0.006, 0.005) for limit in working.limits] == [True, True]
    assert working.limits[0].sentence(-0.002, -0.001).startswith("There is less clearance")


def test_efficiency_by_hand() -> None:
    found = run(voltage=13.0)
    assert found["electric_power"] == pytest.approx(13 * found["current"])
    assert found["efficiency"] == pytest.approx(
        found["volume_flow"] * found["fan_pressure"] / (13 * found["current"])
    )
    assert "efficiency" not in run()
    assert "current" not in run(curve=straight((0, 260), (0.55, 0)))


@pytest.mark.parametrize(
    ("changes", "refusal", "at"),
    [
        ({"curve": straight((0.2, 200), (0.2, 100))}, InputsConflict, (1, "flow")),
        ({"curve": straight((0.1, 100), (0.2, 150))}, InputsConflict, (1, "pressure")),
        ({"curve": [*CURVE[:2], {"flow": 0.4, "pressure": 110.0}]}, InputsConflict, (2,)),
    ],
)
def test_a_bad_curve(changes: dict[str, Any], refusal: type[Exception], at: tuple[object, ...]) -> None:
    with pytest.raises(refusal) as caught:
        run(**changes)
    assert caught.value.at == at  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("changes", "name", "words"),
    [
        ({"curve": straight((0.2, 50), (0.4, 10)), "circuit_loss": 400.0}, "curve", "left"),
        ({"curve": straight((0.0, 200), (0.1, 150)), "circuit_loss": 5.0}, "curve", "right"),
    ],
)
def test_a_working_point_beside_the_curve(changes: dict[str, Any], name: str, words: str) -> None:
    with pytest.raises(NoSolution) as caught:
        run(**changes)
    assert caught.value.name == name
    assert words in caught.value.help


def test_other_refusals() -> None:
    with pytest.raises(MissingInput):
        run(voltage=13.0, curve=straight((0, 260), (0.55, 0)))
    with pytest.raises(MissingInput):
        run(thickness=0.06)
    with pytest.raises(MissingInput):
        run(ring_bore=0.3)
    with pytest.raises(InputsConflict, match="W in the air"):
        run(voltage=1.0)
    part = {"name": "pulley", "distance": 0.1, "least": 0.0}
    with pytest.raises(InputsConflict, match="two rows named"):
        run(thickness=0.06, standoff=0.0, parts=[part, part])
    with pytest.raises(OutOfRange):
        fans.circuit_loss(1.0, 1.0, 1.0, 2.5, 1.2, 1.2)


def test_the_chart_has_a_curve_a_fan_and_one_circuit() -> None:
    cases = {
        "one": seen(fan.compute, GIVEN),
        "two": seen(fan.compute, GIVEN | {"beside": 2}),
    }
    spec = fan.chart(cases)
    assert [series.label for series in spec.series] == ["fan, one", "fan, two", "circuit"]
    other = fan.chart(cases | {"wide": seen(fan.compute, GIVEN | {"circuit_loss": 60.0})})
    assert [series.label for series in other.series][-2:] == ["circuit, one", "circuit, wide"]
