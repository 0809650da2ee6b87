"""The kind `cooler`: effectiveness, the air through the core, and the balance, against textbooks."""

from __future__ import annotations

from itertools import pairwise
from math import exp
from typing import Any

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from scipy import integrate, optimize

from buildlog.calculators import cooler
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange
from buildlog.kinds.declaration import Working
from buildlog.physics import coolers
from tests.calculators.seen import seen

_R = 287.05287
CURVE = [
    {"flow": 0.0, "pressure": 260.0},
    {"flow": 0.2, "pressure": 200.0},
    {"flow": 0.4, "pressure": 110.0},
    {"flow": 0.55, "pressure": 0.0},
]
GIVEN: dict[str, Any] = {
    "face_width": 0.48,
    "face_height": 0.32,
    "flow_arrangement": "unmixed",
    "test_face_speed": 4.0,
    "core_pressure_loss": 160.0,
    "loss_exponent": 1.7,
    "test_air_temperature": 293.15,
    "test_air_pressure": 101_325.0,
    "conductance": 780.0,
    "air_exponent": 0.5,
    "hot_specific_heat": 3600.0,
    "hot_mass_flow": 1.0,
    "air_temperature": 298.15,
    "ambient_pressure": 98_000.0,
    "road_speed": [20.0],
    "front_coefficient": 0.7,
    "rear_coefficient": 0.0,
    "bay_loss_coefficient": 6.0,
    "curve_density": 1.2,
    "hot_inlet_temperature": 368.15,
}
FAN: dict[str, Any] = {"fan_curve": CURVE, "fan_air_temperature": 333.15, "shrouded_share": 1.0}


def run(working: Working | None = None, without: tuple[str, ...] = (), **changes: Any) -> dict[str, Any]:
    given = {name: value for name, value in (GIVEN | changes).items() if name not in without}
    return dict(cooler.compute(given, working or Working()))


# The library ht 1.2.0: effectiveness_from_NTU(NTU, Cr, subtype), of "crossflow" (the exact series as an
# integral), "crossflow, mixed Cmin" and "crossflow, mixed Cmax".
@pytest.mark.parametrize(
    ("units", "ratio", "exact", "least_mixed", "most_mixed"),
    [
        (0.5, 0.25, 0.3750944292799767, 0.37500547523594396, 0.37473631609761604),
        (1.0, 0.5, 0.5474898338811396, 0.5447637120146873, 0.5419689915689507),
        (2.5, 0.6, 0.7557179310473223, 0.7260427115787872, 0.7058036061819721),
        (4.0, 0.9, 0.7520574602496386, 0.6606595572070476, 0.6518587480136789),
        (1.5, 1.0, 0.5601729325408739, 0.5401568564126962, 0.5401568564126962),
        (6.0, 1.0, 0.7721094794963784, 0.6312075457639212, 0.6312075457639212),
        (6.0, 0.5, 0.9236095776416928, 0.8504950629968584, 0.7854343093334495),
    ],
)
def test_effectiveness_by_a_library(
    units: float, ratio: float, exact: float, least_mixed: float, most_mixed: float
) -> None:
    assert coolers.unmixed_effectiveness(units, ratio) == pytest.approx(exact, rel=0.011)
    assert coolers.least_mixed_effectiveness(units, ratio) == pytest.approx(least_mixed, rel=1e-9)
    assert coolers.most_mixed_effectiveness(units, ratio) == pytest.approx(most_mixed, rel=1e-9)


# Nellis and Klein's procedure as the EES heat transfer library's page "Cross Flow Both Unmixed" prints it:
# UA 75 W/K, flows of 50 and 30 W/K: 0.7632; and back, effectiveness 0.61: NTU 1.341, UA 40.23 W/K.
def test_a_librarys_printed_examples() -> None:
    assert coolers.unmixed_effectiveness(75 / 30, 30 / 50) == pytest.approx(0.7632, abs=0.00005)
    units = coolers.units_for(coolers.unmixed_effectiveness, 0.61, 30 / 50)
    assert units == pytest.approx(1.341, abs=0.0005)
    assert coolers.conductance_of(units, 30.0) == pytest.approx(40.23, abs=0.005)


# S. K. Som, Introduction to Heat Transfer, example 10.7 (FOSSEE, Scilab textbook companion 1910): water 7
# kg/s of 4.18 kJ/(kg K) at 20 °C, air 10 kg/s of 1.01 kJ/(kg K) at 125 °C, U 220 W/(m² K), 250 m²: the book
# has 10⁶ W, which it rounds to, and by that an air outlet of 26 °C.
def test_a_textbooks_cooler() -> None:
    least, most = 10 * 1010.0, 7 * 4180.0
    units = coolers.transfer_units(220 * 250.0, least)
    by_degree = coolers.heat_by_degree(coolers.unmixed_effectiveness(units, least / most), least)
    heat = coolers.heat_rejected(by_degree, 398.15, 293.15)
    assert heat == pytest.approx(1e6, rel=0.02)
    assert coolers.temperature_after(398.15, -heat, least) - 273.15 == pytest.approx(26, abs=1.1)


# Independent of the formulae: crossflow where one flow is mixed, integrated along the way of the mixed flow.
# The mixed one takes T_m(x); the other leaves each strip at T_m + (T_in − T_m) exp(−NTU_u).
@pytest.mark.parametrize(("units", "ratio"), [(0.8, 0.4), (2.0, 0.7), (3.0, 1.0)])
def test_one_mixed_by_integration(units: float, ratio: float) -> None:
    # C_max mixed: the unmixed flow is C_min, hot, and enters at 1; the mixed one comes in at 0.
    taken = 1 - exp(-units)
    mixed = integrate.solve_ivp(
        lambda _x, cold: ratio * taken * (1 - cold), (0, 1), [0.0], rtol=1e-10, atol=1e-12
    )
    assert coolers.most_mixed_effectiveness(units, ratio) == pytest.approx(mixed.y[0][-1] / ratio, rel=1e-7)
    # C_min mixed and hot: it falls from 1; the unmixed one comes in at 0 and takes what it can of each strip.
    taken = 1 - exp(-units * ratio)
    falling = integrate.solve_ivp(lambda _x, hot: -taken / ratio * hot, (0, 1), [1.0], rtol=1e-10, atol=1e-12)
    assert coolers.least_mixed_effectiveness(units, ratio) == pytest.approx(1 - falling.y[0][-1], rel=1e-7)


# Crossflow with both unmixed, as a field of two temperatures on a grid (upwind, 400 × 400): independent of
# the approximation.
def test_both_unmixed_on_a_grid() -> None:
    units, ratio, cells = 2.0, 0.7, 400
    hot = [[1.0] * (cells + 1) for _ in range(cells + 1)]
    cold = [[0.0] * (cells + 1) for _ in range(cells + 1)]
    step = units / cells
    for i in range(cells):
        for j in range(cells):
            exchanged = step * (hot[i][j] - cold[i][j]) / (1 + step * (1 + ratio) / 2)
            hot[i + 1][j] = hot[i][j] - exchanged
            cold[i][j + 1] = cold[i][j] + ratio * exchanged
    out = sum(hot[cells][:cells]) / cells
    assert coolers.unmixed_effectiveness(units, ratio) == pytest.approx(1 - out, rel=0.01)


# There and back: the heat of a cooler of known UA at its test point is worked back to that UA.
@pytest.mark.parametrize("arrangement", ["unmixed", "air_mixed", "hot_mixed"])
def test_a_test_point_is_worked_back(arrangement: str) -> None:
    area, density = 0.48 * 0.32, 101_325 / (_R * 293.15)
    through, hot = area * 4.0 * density * 1005.0, 1.1 * 3600.0
    formula = coolers.effectiveness_of(arrangement, through, hot)
    heat = formula(780 / through, through / hot) * through * 70.0
    found = run(
        without=("conductance",),
        flow_arrangement=arrangement,
        test_heat=heat,
        test_hot_mass_flow=1.1,
        test_hot_inlet_temperature=363.15,
    )
    # The air's specific heat is that of Moran and Shapiro, within 0.2 % of 1005: UA is within 0.5 %.
    assert found["test_conductance"] == pytest.approx(780, rel=0.005)


# The wind alone, by hand: with the exponent 2 core and bay are one coefficient on the speed at the face.
def test_the_air_of_the_wind() -> None:
    found = run(loss_exponent=2.0)
    density = 98_000 / (_R * 298.15)
    assert found["ram_pressure"]["1"] == pytest.approx(0.7 * density * 20**2 / 2)
    core = 160 / (101_325 / (_R * 293.15) * 4**2 / 2)
    assert found["face_speed"]["1"] == pytest.approx(20 * (0.7 / (core + 6)) ** 0.5, rel=1e-9)
    assert found["air_mass_flow"]["1"] == pytest.approx(found["face_speed"]["1"] * 0.1536 * density)


# Fan and wind by another root finder, at standstill and in the wind; in part and whole.
@for_all(st.floats(0, 45), st.floats(0.2, 1))
def test_fan_and_wind_by_another_root_finder(speed: float, share: float) -> None:
    density, hot = 98_000 / (_R * 298.15), 98_000 / (_R * 333.15)
    tested = 101_325 / (_R * 293.15)
    ram = 0.7 * density * speed**2 / 2

    def taken(face: float) -> float:
        core = 160 * (face / 4) ** 1.7 * (density / tested) ** 0.7
        return float(core + 6 * density * face**2 / 2)

    def raised(face: float) -> float:
        flow = face * share * 0.1536 * density / hot
        for row, after in pairwise(CURVE):
            if row["flow"] <= flow <= after["flow"]:
                part = (flow - row["flow"]) / (after["flow"] - row["flow"])
                return (row["pressure"] + part * (after["pressure"] - row["pressure"])) * hot / 1.2
        return 0.0

    covered = optimize.brentq(lambda face: ram + raised(face) - taken(face), 0, 60, xtol=1e-12)
    beside = optimize.brentq(lambda face: ram - taken(face), 0, 60, xtol=1e-12) if ram > 1e-12 else 0.0
    found = run(**FAN | {"road_speed": [speed], "shrouded_share": share})
    mean = share * covered + (1 - share) * beside
    assert found["face_speed"]["1"] == pytest.approx(mean, rel=1e-7, abs=1e-6)


# Energy: what the one flow loses the other takes up; and at the balance temperature heat out is heat in.
def test_energy_is_kept() -> None:
    found = run(heat_input=20_000.0, temperature_limit=378.15)
    heat = found["heat_rejected"]["1"]
    assert (368.15 - found["hot_outlet_temperature"]["1"]) * 3600 == pytest.approx(heat)
    air = found["air_mass_flow"]["1"] * 1004.5
    assert (found["air_outlet_temperature"]["1"] - 298.15) * air == pytest.approx(heat, rel=2e-3)
    balance = found["balance_temperature"]["1"]
    again = run(hot_inlet_temperature=balance)
    assert again["heat_rejected"]["1"] == pytest.approx(20_000)
    assert found["temperature_margin"]["1"] == pytest.approx(378.15 - balance)


def test_a_shroud_helps_at_a_standstill_and_a_bare_ring_less() -> None:
    whole = run(**FAN | {"road_speed": [0.0]})
    part = run(**FAN | {"road_speed": [0.0], "shrouded_share": 0.5})
    assert whole["heat_by_degree"]["1"] > 1.2 * part["heat_by_degree"]["1"]
    working = Working()
    run(working, **FAN | {"shrouded_share": 0.5})
    assert any("blows back" in remark for remark in working.remarks)


# By hand: at a standstill all the heat goes with the air under the shroud.
@pytest.mark.parametrize("share", [1.0, 0.5])
def test_the_air_behind_the_fan(share: float) -> None:
    still = FAN | {"road_speed": [0.0, 30.0], "shrouded_share": share, "heat_input": 20_000.0}
    found = run(**still)
    behind = found["covered_air_temperature"]["1"]
    assert behind == pytest.approx(298.15 + 20_000 / (1004.5 * found["air_mass_flow"]["1"]), rel=1e-3)
    assert found["covered_air_temperature"]["2"] < behind
    at_inlet = run(without=("heat_input",), **{**still, "heat_input": 0.0})
    by_inlet = at_inlet["heat_rejected"]["1"] / (1004.5 * at_inlet["air_mass_flow"]["1"])
    assert at_inlet["covered_air_temperature"]["1"] == pytest.approx(298.15 + by_inlet, rel=1e-3)


# A twentieth of the density is half of the doubt of a fan's curve; a fan may stand before the core, too.
@pytest.mark.parametrize(("away", "is_told"), [(0.0, False), (10.0, False), (25.0, True), (-25.0, True)])
def test_a_fan_in_other_air_is_told(away: float, is_told: bool) -> None:
    still = FAN | {"road_speed": [30.0, 0.0], "heat_input": 30_000.0}
    settled = 333.15
    for _ in range(30):
        settled = run(**still | {"fan_air_temperature": settled})["covered_air_temperature"]["2"]
    working = Working()
    run(working, **still | {"fan_air_temperature": settled + away})
    assert any("The fan is said to be in air" in remark for remark in working.remarks) == is_told
    pushing = Working()
    run(pushing, **still | {"fan_air_temperature": 298.15})
    assert not any("The fan is said to be in air" in remark for remark in pushing.remarks)


@pytest.mark.parametrize(
    ("changes", "without", "refusal", "name"),
    [
        ({}, ("conductance",), MissingInput, "conductance"),
        ({}, ("hot_inlet_temperature",), MissingInput, "heat_input"),
        ({"temperature_limit": 378.15}, (), MissingInput, "heat_input"),
        ({"test_heat": 1e4}, (), MissingInput, "test_hot_mass_flow"),
        ({"fan_curve": CURVE}, (), MissingInput, "fan_air_temperature"),
        (
            {"test_heat": 1e4, "test_hot_mass_flow": 1.0, "test_hot_inlet_temperature": 363.15},
            (),
            InputsConflict,
            "conductance",
        ),
        (
            {"test_heat": 1e5, "test_hot_mass_flow": 1.0, "test_hot_inlet_temperature": 363.15},
            ("conductance",),
            NoSolution,
            "test_heat",
        ),
        (
            {"test_heat": 1e4, "test_hot_mass_flow": 1.0, "test_hot_inlet_temperature": 283.15},
            ("conductance",),
            OutOfRange,
            "test_hot_inlet_temperature",
        ),
        ({"road_speed": [0.0]}, (), NoSolution, "road_speed"),
        ({"hot_inlet_temperature": 298.15}, (), OutOfRange, "hot_inlet_temperature"),
        ({"hot_inlet_temperature": 290.0, "heat_input": 1e4}, (), OutOfRange, "hot_inlet_temperature"),
        ({"front_coefficient": 0.1, "rear_coefficient": 0.2}, (), OutOfRange, "front_coefficient"),
        (FAN | {"fan_curve": CURVE[:3]}, (), InputsConflict, "fan_curve"),
        (FAN | {"fan_curve": CURVE[2:], "core_pressure_loss": 4000.0}, (), NoSolution, "fan_curve"),
        (
            {
                "core_pressure_loss": 1.0,
                "bay_loss_coefficient": 0.0,
                "road_speed": [110.0],
                "loss_exponent": 1.0,
            },
            (),
            OutOfRange,
            "core_pressure_loss",
        ),
    ],
)
def test_refusals(
    changes: dict[str, Any], without: tuple[str, ...], refusal: type[Exception], name: str
) -> None:
    with pytest.raises(refusal) as caught:
        run(without=without, **changes)
    assert caught.value.name == name  # type: ignore[attr-defined]


def test_the_chart_leaves_the_standstill_out_without_a_fan() -> None:
    with_limit = GIVEN | {"heat_input": 20_000.0, "temperature_limit": 378.15}
    spec = cooler.chart(
        {"wind": seen(cooler.compute, with_limit), "fan": seen(cooler.compute, with_limit | FAN)}
    )
    assert [min(series.x) > 0 for series in spec.series] == [True, False]
    assert [marker.y for marker in spec.markers] == [pytest.approx(20_000 / 80)]
