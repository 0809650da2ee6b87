"""The kind `heat_shield`: radiation, shields and still air, against textbooks and other ways to solve it."""

from __future__ import annotations

from math import acos, atan2, hypot, pi, sin
from typing import Any

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy import integrate, optimize

from buildlog.calculators import heat_shield
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import Working
from buildlog.physics import radiation
from tests.calculators.seen import seen

SIGMA = 5.670374419e-8
GIVEN: dict[str, Any] = {
    "pipe_diameter": 0.042,
    "pipe_temperature": 823.15,
    "pipe_emissivity": 0.6,
    "surface_width": 0.16,
    "surface_distance": 0.11,
    "surface_emissivity": 0.9,
    "bay_temperature": 343.15,
    "film_coefficient": 15.0,
    "inside_temperature": 303.15,
    "inside_coefficient": 20.0,
    "gap_air": "moving",
}
SHEET: dict[str, Any] = {
    "name": "sheet",
    "distance": 0.06,
    "width": 0.15,
    "front_emissivity": 0.1,
    "back_emissivity": 0.2,
}
SECOND: dict[str, Any] = SHEET | {"name": "second", "distance": 0.08, "front_emissivity": 0.3}


def run(working: Working | None = None, **changes: Any) -> dict[str, Any]:
    return dict(heat_shield.compute(GIVEN | changes, working or Working()))


# Çengel, Heat Transfer, problem 12–100 (a public page of its solution): plates at 750 and 550 K of 0.8 and
# 0.9, a shield of 0.12 on both sides: 748.9 W/m², the shield at 671.3 K.
def test_a_shield_between_plates() -> None:
    shield = optimize.brentq(
        lambda middle: (
            radiation.plates_flux(750, middle, 0.8, 0.12) - radiation.plates_flux(middle, 550, 0.12, 0.9)
        ),
        550,
        750,
    )
    assert shield == pytest.approx(671.3, abs=0.1)
    assert radiation.plates_flux(750, shield, 0.8, 0.12) == pytest.approx(748.9, abs=0.2)


# Kern, Process Heat Transfer, example 4.2: walls of 1460 and 1260 °R, 0.6 and 0.8: 1825 Btu/(h ft²). Its
# constant is 0.173e-8; 1 Btu/(h ft²) is 3.154591 W/m².
def test_plates_of_different_emissivities() -> None:
    flux = radiation.plates_flux(1460 / 1.8, 1260 / 1.8, 0.6, 0.8)
    assert flux / 3.154591 == pytest.approx(1825, rel=0.01)


# Hottel's crossed strings, of a strip and a pipe: lengths of strings about the pipe, by tangents. Independent
# of the closed form.
@for_all(st.floats(0.005, 0.1), st.floats(0.01, 1), st.floats(1.05, 10))
def test_view_factor_by_crossed_strings(radius: float, width: float, away: float) -> None:
    distance, half = radius * away, width / 2
    edge = hypot(half, distance)
    tangent = (edge**2 - radius**2) ** 0.5
    # From the edge the string touches the near side and runs on about the back to the pipe's far point, or
    # crosses to the other side first. Angles are from the line to the strip's middle.
    lean, turn = atan2(half, distance), acos(radius / edge)
    uncrossed = tangent + radius * (pi - (lean + turn))
    crossed = tangent + radius * (pi - (turn - lean))
    factor = (2 * crossed - 2 * uncrossed) / (2 * width)
    assert radiation.strip_to_pipe(radius, width, distance) == pytest.approx(factor, rel=1e-6)


# The same by integration over the strip: each place sees the pipe under the sine of the angle between its
# tangents and the normal.
def test_view_factor_by_integration() -> None:
    radius, width, distance = 0.021, 0.16, 0.11

    def seen_from(place: float) -> float:
        towards = atan2(place, distance)
        spread = acos((1 - (radius / hypot(place, distance)) ** 2) ** 0.5)
        return (sin(towards + spread) - sin(towards - spread)) / 2

    mean = integrate.quad(seen_from, -width / 2, width / 2)[0] / width
    assert radiation.strip_to_pipe(radius, width, distance) == pytest.approx(mean, rel=1e-9)


# The whole balance again, as one system of radiosities and temperatures, by scipy: nothing is eliminated.
@pytest.mark.parametrize("shields", [[], [SHEET], [SHEET, SECOND]])
def test_the_balance_by_another_solver(shields: list[dict[str, Any]]) -> None:
    faces = [
        (row["width"], row["distance"], row["front_emissivity"], row["back_emissivity"]) for row in shields
    ]
    faces.append((0.16, 0.11, 0.9, 1.0))
    count = len(faces)
    to_pipe = radiation.strip_to_pipe(0.021, faces[0][0], faces[0][1])
    to_layer = to_pipe * faces[0][0] / (2 * pi * 0.021)

    def wrong(unknown: list[float]) -> list[float]:
        temperatures, pipe_out, layer_out = unknown[:count], unknown[count] * 1e3, unknown[count + 1] * 1e3
        bay = SIGMA * 343.15**4
        onto_pipe = to_layer * layer_out + (1 - to_layer) * bay
        onto_layer = to_pipe * pipe_out + (1 - to_pipe) * bay
        front = faces[0][2]
        faults = [
            (pipe_out - 0.6 * SIGMA * 823.15**4 - 0.4 * onto_pipe) / 1e3,
            (layer_out - front * SIGMA * temperatures[0] ** 4 - (1 - front) * onto_layer) / 1e3,
        ]
        gains = [15 * (343.15 - temperature) for temperature in temperatures]
        gains[0] += onto_layer - layer_out
        for place in range(count - 1):
            gains[place] += 15 * (343.15 - temperatures[place])
            resistance = 1 / faces[place][3] + 1 / faces[place + 1][2] - 1
            passed = SIGMA * (temperatures[place] ** 4 - temperatures[place + 1] ** 4) / resistance
            gains[place] -= passed
            gains[place + 1] += passed
        gains[-1] -= 20 * (temperatures[-1] - 303.15)
        return [*faults, *(gain / 1e3 for gain in gains)]

    solved = optimize.fsolve(wrong, [400.0] * count + [10.0, 2.0], xtol=1e-13)
    given: dict[str, Any] = {"shields": shields} if shields else {}
    found = run(**given)
    assert found["surface_temperature"] == pytest.approx(solved[count - 1], abs=1e-4)
    assert [*found.get("shield_temperature", {}).values()] == pytest.approx(solved[: count - 1], abs=1e-4)


# Still air in a narrow gap only conducts: λ ΔT / gap with λ of Lemmon and Jacobsen (CoolProp 8.0.0), within
# 2 %; and in a wide one circulates, by ElSherbiny and others (1982), Nu = 0.0605 Ra^(1/3).
@pytest.mark.parametrize(("gap", "narrow"), [(0.005, True), (0.05, False)])
def test_still_air_in_a_gap(gap: float, narrow: bool) -> None:
    layers = tuple(
        radiation.Layer(distance=distance, width=0.1, front=0.5, back=0.5) for distance in (0.05, 0.05 + gap)
    )
    pipe = radiation.Pipe(radius=0.02, temperature=800, emissivity=0.5, around=300)
    stack = radiation.Stack(pipe=pipe, layers=layers, film=10, inward=10, inside=300, still=True)
    mean = 400.0
    conductivity = coolprop.PropsSI("L", "T", mean, "P", 101_325, "Air")
    viscosity = coolprop.PropsSI("V", "T", mean, "P", 101_325, "Air")
    density = coolprop.PropsSI("D", "T", mean, "P", 101_325, "Air")
    rayleigh = 9.80665 * 40 / mean * gap**3 / (viscosity / density) ** 2 * 0.7
    nusselt = 1.0 if narrow else 0.0605 * rayleigh ** (1 / 3)
    assert (nusselt == 1.0) == narrow
    expected = nusselt * conductivity * 40 / gap
    assert stack.carried(0, 420.0, 380.0) == pytest.approx(expected, rel=0.03)


def test_shut_in_air_is_worse_than_moving_air() -> None:
    moving, still = run(shields=[SHEET]), run(shields=[SHEET], gap_air="still")
    assert still["shield_temperature"]["sheet"] > moving["shield_temperature"]["sheet"]


# By hand: without anything hot the surface stands between bay and inside as the two films divide it, and a
# wall behind insulation follows the resistances: 1/(1/20 + 0.006/0.06) = 6.6667 W/(m²·K).
def test_insulation_by_hand() -> None:
    assert radiation.inward_coefficient(20, 0.006, 0.06) == pytest.approx(1 / (0.05 + 0.1))
    found = run(insulation_thickness=0.006, insulation_conductivity=0.06)
    assert found["inward_flux"] == pytest.approx((found["face_temperature"] - 303.15) / 0.15)
    assert found["surface_temperature"] == pytest.approx(303.15 + found["inward_flux"] / 20)
    assert found["face_temperature"] > run()["surface_temperature"] > found["surface_temperature"]


def test_bay_and_pipe_at_one_temperature_leave_two_films() -> None:
    found = run(pipe_temperature=343.15, surface_emissivity=0.02, pipe_emissivity=0.02)
    assert found["surface_temperature"] == pytest.approx((15 * 343.15 + 20 * 303.15) / 35, abs=0.2)


def test_what_shields_keep_off() -> None:
    bare, one = run(), run(shields=[SHEET])
    two = run(shields=[SHEET, SECOND])
    assert one["bare_surface_temperature"] == pytest.approx(bare["surface_temperature"])
    assert one["share_kept_off"] == pytest.approx(1 - one["radiant_flux"] / bare["radiant_flux"])
    assert two["surface_temperature"] < one["surface_temperature"] < bare["surface_temperature"]


# Geometry by hand: as the pipe gets thin, the shadow of a surface 160 mm wide at 110 mm is 160 · 60/110 mm at
# 60 mm; of a surface as wide as the pipe it is the pipe's own width.
def test_the_shadow() -> None:
    assert radiation.shadow_width(1e-6, 0.16, 0.11, 0.06) == pytest.approx(0.16 * 60 / 110, rel=1e-4)
    assert radiation.shadow_width(0.02, 0.04, 0.2, 0.1) == pytest.approx(0.04, rel=1e-9)
    working = Working()
    run(working, shields=[SHEET | {"width": 0.05}])
    limit = next(limit for limit in working.limits if limit.output == "shadow_overlap")
    assert limit.sentence(-0.06, -0.05).startswith("The surface sees the pipe")


def test_limits_and_remarks() -> None:
    working = Working()
    found = run(working, surface_limit=383.15, insulation_thickness=0.006, insulation_conductivity=0.06)
    assert found["limit_margin"] == pytest.approx(383.15 - found["surface_temperature"])
    assert any("Fuel and brake lines" in remark for remark in working.remarks)
    assert any("fibre" in remark for remark in working.remarks)
    cold = Working()
    given = {"pipe_temperature": 343.15, "bay_temperature": 343.15, "film_coefficient": 1e6}
    assert "share_kept_off" not in run(cold, shields=[SHEET], inside_temperature=363.15, **given)
    assert any("nothing to keep off" in remark for remark in cold.remarks)


@pytest.mark.parametrize(
    ("changes", "refusal", "name"),
    [
        ({"surface_distance": 0.02}, OutOfRange, "surface_distance"),
        ({"shields": [SHEET | {"distance": 0.12}]}, OutOfRange, "shields"),
        ({"shields": [SECOND, SHEET]}, OutOfRange, "shields"),
        ({"shields": [SHEET, SHEET | {"distance": 0.08}]}, InputsConflict, "shields"),
        ({"insulation_thickness": 0.006}, MissingInput, "insulation_conductivity"),
        (
            {
                "pipe_diameter": 0.2,
                "pipe_temperature": 1273.15,
                "pipe_emissivity": 1.0,
                "gap_air": "still",
                "film_coefficient": 1.0,
                "surface_distance": 0.106,
                "inside_coefficient": 1.0,
                "surface_width": 0.05,
                "shields": [SHEET | {"distance": 0.102, "width": 0.05, "front_emissivity": 1.0}],
            },
            OutOfRange,
            "gap_air",
        ),
    ],
)
def test_refusals(changes: dict[str, Any], refusal: type[Exception], name: str) -> None:
    with pytest.raises(refusal) as caught:
        run(**changes)
    assert caught.value.name == name  # type: ignore[attr-defined]


def test_the_chart_has_a_curve_a_case_and_the_limit() -> None:
    cases = {
        "bare": seen(heat_shield.compute, GIVEN | {"surface_limit": 383.15}),
        "sheet": seen(heat_shield.compute, GIVEN | {"shields": [SHEET], "surface_limit": 383.15}),
    }
    spec = heat_shield.chart(cases)
    assert [series.label for series in spec.series] == ["bare", "sheet"]
    assert [marker.y for marker in spec.markers] == [383.15]
    assert spec.series[0].y[-1] > spec.series[1].y[-1]
