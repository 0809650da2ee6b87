"""Weight balance against a rigid body worked out in full, and hand moments."""

from __future__ import annotations

from math import asin, atan2, cos, hypot, sin, sqrt, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat
from uncertainties.umath import asin as uasin
from uncertainties.umath import tan as utan

from buildlog.calculators import weight_balance
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.chart import BarSpec, ChartSpec
from buildlog.kinds.declaration import Working
from buildlog.kinds.results import CaseResult, Value
from buildlog.physics import balance
from buildlog.proof.proof import proof_book
from tests.calculators.seen import Seen, seen
from tests.samples import calc, open_site

GIVEN = {
    "left_front": 160.0, "right_front": 150.0, "left_rear": 180.0, "right_rear": 170.0, "wheelbase": 2.2,
    "front_track": 1.4, "rear_track": 1.5,
}  # fmt: skip
RAISED = {"raised_axle": "rear", "raised_height": 0.6, "low_axle_reading": 330.0, "static_radius": 0.28}


def run(**changed: object) -> tuple[dict[str, Any], Working]:
    working = Working()
    return weight_balance.compute({**GIVEN, **changed}, working), working


def test_moments_by_hand() -> None:
    """660 kg in all; x = 350/660 · 2.2 = 1.16667 m; y = (−10 · 1.4 − 10 · 1.5)/(2 · 660) = −21.97 mm."""
    outputs, _ = run()
    assert outputs["total_mass"] == 660
    assert outputs["front_share"] == pytest.approx(310 / 660)
    assert outputs["left_share"] == pytest.approx(340 / 660)
    assert outputs["cross_share"] == pytest.approx(330 / 660)
    assert outputs["behind_front_axle"] == pytest.approx(350 / 660 * 2.2)
    assert outputs["right_of_centre"] == pytest.approx(-29 / 1320)
    # each axle by its own track: (−30 · 1.4 − 10 · 1.5)/(2 · 640)
    uneven, _ = run(right_front=130.0)
    assert uneven["right_of_centre"] == pytest.approx(-57 / 1280)
    assert outputs["axle_load"] == {"front": 310, "rear": 350}
    assert outputs["side_load"] == {"left": 340, "right": 320}


def test_course_notes_on_the_lateral_place() -> None:
    """y = b (F_R − F_L) / (2 W) for one track b (course notes on vehicle inertia after ISO 10392; read)."""
    outputs, _ = run(rear_track=1.4)
    assert outputs["right_of_centre"] == pytest.approx(1.4 * (320 - 340) / (2 * 660))


def test_cross_share_of_a_printed_example() -> None:
    """A spring trade's public example (read): 694, 606 in front, 670, 585 behind; diagonals 1279, 1276."""
    outputs, _ = run(left_front=694.0, right_front=606.0, left_rear=670.0, right_rear=585.0)
    assert outputs["cross_share"] == pytest.approx(1276 / (1276 + 1279))


def low_reading(
    x: float, z: float, mass: float, height: float, low: float, raised: float, base: float = 2.2
) -> float:
    """The front axle's reading with the rear wheels raised: a rigid body turned point by point, then moments.

    Wheel centres are points (0, low) and (base, raised), the centre of gravity (x, z). All turn about the
    front wheel centre until the rear wheel centre is `height` above where it was.
    """
    span, tilt = hypot(base, raised - low), atan2(raised - low, base)
    angle = asin((raised - low + height) / span) - tilt  # the rear goes up, the nose goes down

    def across(behind: float, above: float) -> float:
        """Distance behind the front wheel centre after the turn."""
        return hypot(behind, above) * cos(atan2(above, behind) + angle)

    return mass * (1 - across(x, z - low) / across(base, raised - low))


@given(
    st.floats(0.8, 1.4),
    st.floats(0.20, 0.80),
    st.floats(0.2, 1.0),
    st.floats(300, 2000),
    st.floats(0.24, 0.34),
    st.floats(0.24, 0.34),
    st.sampled_from(["front", "rear"]),
)
def test_height_of_a_rigid_body(
    x: float, z: float, height: float, mass: float, low: float, raised: float, lifted: str
) -> None:
    """The kind gives back the height of a body that was turned point by point (rigid-body geometry)."""
    stays = "front" if lifted == "rear" else "rear"
    share = 1 - x / 2.2
    loads = {stays: mass * share, lifted: mass * (1 - share)}
    outputs, _ = run(
        **{f"{side}_{axle}": load / 2 for axle, load in loads.items() for side in ("left", "right")},
        raised_axle=lifted,
        raised_height=height,
        low_axle_reading=low_reading(x, z, mass=mass, height=height, low=low, raised=raised),
        **{f"{stays}_static_radius": low, f"{lifted}_static_radius": raised},
    )
    assert outputs["centre_of_gravity_height"] == pytest.approx(z, rel=1e-8)


@given(st.floats(0.24, 0.34), st.floats(-20, 60), st.floats(0.2, 1.0))
def test_height_as_course_notes_give_it(radius: float, gain: float, height: float) -> None:
    """z = l (F_F' − F_F) / (W tan θ) + r (course notes on vehicle inertia after ISO 10392; read)."""
    angle = balance.lift_angle(height, 2.2, radius, radius)
    assert sin(angle) == pytest.approx(height / 2.2)
    noted = 2.2 * gain / (660 * tan(angle)) + radius
    if noted > 0.01:
        found = balance.centre_of_gravity_height(310.0, 310.0 + gain, 660.0, 2.2, angle, radius, radius)
        assert found == pytest.approx(noted)


def test_one_radius_that_differs() -> None:
    """The front's own radius goes before static_radius, the rear keeps it."""
    both, _ = run(**{**RAISED, "static_radius": 0.30}, front_static_radius=0.28)
    each, _ = run(**{**RAISED, "static_radius": 0.20}, front_static_radius=0.28, rear_static_radius=0.30)
    assert both["centre_of_gravity_height"] == each["centre_of_gravity_height"]
    alike, _ = run(**RAISED)
    assert both["centre_of_gravity_height"] != pytest.approx(alike["centre_of_gravity_height"], abs=1e-3)


def test_a_car_lower_than_its_wheel_centres_is_doubted() -> None:
    """Gain −10 kg: z = 0.28 − 10 · 2.2/(660 · 0.28347) = 0.1624 m (by hand)."""
    outputs, working = run(**{**RAISED, "low_axle_reading": 300.0})
    assert outputs["centre_of_gravity_height"] == pytest.approx(0.1624, abs=1e-4)
    (limit,) = working.limits
    assert "Read it again" in limit.says
    assert outputs["low_axle_gain"] == pytest.approx(-10)
    assert not limit.is_met(-10, 0.5)
    usually, usual = run(**RAISED)
    assert limit.is_met(usually["low_axle_gain"], 2.0)
    assert not limit.is_met(usually["low_axle_gain"], 25.0), (
        "the gain, less its uncertainty, is below nothing"
    )
    assert any("suspension was blocked" in remark for remark in usual.remarks)


def test_height_by_hand() -> None:
    """z = 0.28 + 20 · 2.2/(660 · tan(asin(0.6/2.2))) = 0.28 + 0.0667/0.28347 = 0.5152 m (by hand)."""
    outputs, _ = run(**RAISED)
    assert outputs["centre_of_gravity_height"] == pytest.approx(0.5152, abs=1e-4)


def test_raised_front_axle() -> None:
    outputs, _ = run(**{**RAISED, "raised_axle": "front", "low_axle_reading": 370.0})
    assert outputs["centre_of_gravity_height"] == pytest.approx(0.5152, abs=1e-4)


def test_a_part_moved_from_front_to_rear() -> None:
    """20 kg from x = −0.3 m to 2.3 m: the moment about the front axle grows by 20 · 2.6 kg·m (by hand)."""
    rows = [
        {"name": "a", "mass": 20.0, "action": "removed", "x": -0.3, "y": 0.4, "z": 0.6},
        {"name": "b", "mass": 20.0, "action": "fitted", "x": 2.3, "y": -0.1, "z": 0.3},
    ]
    outputs, _ = run(changes=rows, **RAISED)
    assert outputs["total_mass_after"] == pytest.approx(660)
    assert outputs["axle_load_after"]["rear"] == pytest.approx(350 + 20 * 2.6 / 2.2)
    assert outputs["front_axle_change"]["a"] == pytest.approx(-20 * 2.5 / 2.2)
    assert outputs["rear_axle_change"] == {"a": pytest.approx(6 / 2.2), "b": pytest.approx(46 / 2.2)}
    # 20 kg go from 0.4 m right to 0.1 m left; tracks of 1.4 and 1.5 m, 1.45 m in the mean
    assert outputs["side_load_after"]["right"] == pytest.approx(320 - 20 * 0.5 / 1.45)
    assert outputs["side_load_after"]["left"] == pytest.approx(340 + 20 * 0.5 / 1.45)
    assert outputs["right_of_centre_after"] == pytest.approx(outputs["right_of_centre"] - 20 * 0.5 / 660)
    before = outputs["centre_of_gravity_height"]
    assert outputs["centre_of_gravity_height_after"] == pytest.approx(before - 20 * 0.3 / 660)


@given(st.floats(1, 100), st.floats(-0.5, 3.0), st.floats(-0.7, 0.7))
def test_fitting_and_removing_changes_nothing(mass: float, x: float, y: float) -> None:
    row = {"mass": mass, "x": x, "y": y}
    outputs, _ = run(changes=[{**row, "name": action, "action": action} for action in ("fitted", "removed")])
    assert outputs["behind_front_axle_after"] == pytest.approx(outputs["behind_front_axle"], rel=1e-12)
    assert outputs["right_of_centre_after"] == pytest.approx(outputs["right_of_centre"], rel=1e-9, abs=1e-12)


@given(st.floats(1, 100))
def test_a_mass_behind_the_rear_axle_unloads_the_front(mass: float) -> None:
    row = {"name": "a", "mass": mass, "action": "fitted", "x": 2.6, "y": 0.0}
    outputs, _ = run(changes=[row])
    assert outputs["axle_load_after"]["front"] < 310


@given(
    st.lists(
        st.tuples(st.floats(0.1, 20), st.floats(-0.6, 2.8), st.floats(-0.7, 0.7), st.booleans()),
        min_size=1,
        max_size=6,
    )
)
def test_parts_add_up(rows: list[tuple[float, float, float, bool]]) -> None:
    """Axles, sides and the centre of gravity of one track tell the same (statics)."""
    parts = [
        {"name": str(number), "mass": mass, "action": "fitted" if on else "removed", "x": x, "y": y}
        for number, (mass, x, y, on) in enumerate(rows)
    ]
    outputs, _ = run(changes=parts, rear_track=1.4)
    for axle in ("front", "rear"):
        changed = sum(outputs[f"{axle}_axle_change"].values())
        assert outputs["axle_load"][axle] + changed == pytest.approx(outputs["axle_load_after"][axle])
    total = outputs["total_mass_after"]
    right = total / 2 * (1 + 2 * outputs["right_of_centre_after"] / 1.4)
    assert outputs["side_load_after"]["right"] == pytest.approx(right)
    assert sum(outputs["side_load_after"].values()) == pytest.approx(total)
    assert outputs["front_share_after"] == pytest.approx(outputs["axle_load_after"]["front"] / total)


def test_a_change_without_height_leaves_the_height_out() -> None:
    row = {"name": "a", "mass": 5.0, "action": "fitted", "x": 1.0, "y": 0.0}
    outputs, working = run(changes=[row], **RAISED)
    assert "centre_of_gravity_height_after" not in outputs
    assert working.remarks


def test_a_static_radius_alone_asks_for_nothing() -> None:
    outputs, _ = run(static_radius=0.28)
    assert "centre_of_gravity_height" not in outputs


@pytest.mark.parametrize(
    ("changed", "error", "name"),
    [
        ({"raised_height": 0.6}, MissingInput, "raised_axle"),
        ({**RAISED, "low_axle_reading": 280.0}, OutOfRange, "low_axle_reading"),
        ({**RAISED, "low_axle_reading": 700.0}, InputsConflict, "low_axle_reading"),
        ({**RAISED, "raised_height": 1.5}, OutOfRange, "raised_height"),
        ({"raised_axle": "rear"}, MissingInput, "raised_height"),
        (
            {name: value for name, value in RAISED.items() if name != "static_radius"},
            MissingInput,
            "static_radius",
        ),
        (
            {"changes": [{"name": "a", "mass": 300.0, "action": "fitted", "x": 5.0, "y": 0.0}]},
            InputsConflict,
            "changes",
        ),
        (
            {"changes": [{"name": "a", "mass": 400.0, "action": "removed", "x": 2.1, "y": 0.0}]},
            InputsConflict,
            "changes",
        ),
    ],
)
def test_refusals(changed: dict[str, Any], error: type[Refused], name: str) -> None:
    with pytest.raises(error) as refused:
        run(**changed)
    assert refused.value.name == name


def test_words_of_refusals() -> None:
    with pytest.raises(
        OutOfRange, match=r"found a height of -0\.073 m from it, expected a height above the ground"
    ):
        run(**{**RAISED, "low_axle_reading": 280.0})
    row = {"name": "a", "mass": 300.0, "action": "fitted", "x": 5.0, "y": 0.0}
    with pytest.raises(InputsConflict, match=r"found -71\.8 kg left on the front axle"):
        run(changes=[row])


def test_more_taken_off_than_there_is() -> None:
    rows = [{"name": "car", "mass": 700.0, "action": "removed", "x": 1.0, "y": 0.0}]
    with pytest.raises(OutOfRange):
        run(changes=rows)
    with pytest.raises(OutOfRange):
        balance.with_mass(1.0, 10.0, 0.5, -10.0)


# --- a weighbridge ------------------------------------------------------------------------

BRIDGE = {"wheelbase": 2.2, "front_axle": 300.0, "rear_axle": 352.0, "whole_car": 660.0}


def bridge(**changed: object) -> tuple[dict[str, Any], Working]:
    working = Working()
    given = {name: value for name, value in {**BRIDGE, **changed}.items() if value is not None}
    return weight_balance.compute(given, working), working


def test_two_readings_of_a_weighbridge_by_hand() -> None:
    """A public weighing procedure (globaltech.fi, “methods of weighing”, read): first axle 5100 kg, whole
    7300 kg, “hence the load on the second axle is 2200 kg”; here with a tenth of each."""
    outputs, _ = bridge(front_axle=510.0, whole_car=730.0, rear_axle=None)
    assert outputs["axle_load"] == {"front": pytest.approx(510), "rear": pytest.approx(220)}
    turned, _ = bridge(front_axle=None, rear_axle=220.0, whole_car=730.0)
    assert turned["axle_load"] == {"front": pytest.approx(510), "rear": pytest.approx(220)}
    both, _ = bridge(front_axle=510.0, rear_axle=220.0, whole_car=None)
    assert both["total_mass"] == pytest.approx(730)
    assert not {"left_share", "right_of_centre", "side_load"} & both.keys()


def test_the_place_of_an_aircraft_on_its_wheels() -> None:
    """A worked example of aircraft weighing, after FAA-H-8083-1 (flight-study.com, “electronic calculator”,
    read): nose wheel 340 lb, 78 in ahead of the main wheels, 2006 lb in all: 13.2 in ahead of them."""
    pound, inch = 0.45359237, 0.0254
    outputs, _ = bridge(front_axle=340 * pound, whole_car=2006 * pound, rear_axle=None, wheelbase=78 * inch)
    assert 78 - outputs["behind_front_axle"] / inch == pytest.approx(13.2, abs=0.05)


@given(st.floats(200, 500), st.floats(200, 500), st.floats(-20, 20))
def test_three_readings_are_fitted(front: float, rear: float, off: float) -> None:
    """numpy.linalg.lstsq of front = f, rear = r, front + rear = w, each as sure as the others."""
    outputs, _ = bridge(front_axle=front, rear_axle=rear, whole_car=front + rear + off)
    matrix = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    fitted, *_ = np.linalg.lstsq(matrix, np.array([front, rear, front + rear + off]), rcond=None)
    assert list(outputs["axle_load"].values()) == pytest.approx(list(fitted), rel=1e-9)
    assert outputs["weighbridge_closure"] == pytest.approx(off, abs=1e-9)


def test_the_doubt_of_three_readings_is_that_of_the_fit(tmp_path: Path) -> None:
    """u² of a fitted axle is (AᵀA)⁻¹ u² (least squares; numpy.linalg.inv): √(2/3) of one reading."""
    text = calc(
        """
        id: a
        kind: weight_balance
        inputs:
          front_axle: 300 ± 5 kg
          rear_axle: 352 ± 5 kg
          whole_car: 660 ± 5 kg
          wheelbase: 2.2 m
        """
    )
    matrix = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    spread = 5 * np.sqrt(np.linalg.inv(matrix.T @ matrix).diagonal())
    case = computed(tmp_path, text)
    axles = case.values["axle_load"]
    assert isinstance(axles, dict)
    found = [value.standard_uncertainty for value in axles.values() if isinstance(value, Value)]
    assert found == pytest.approx(list(spread), rel=1e-9)


def computed(folder: Path, text: str) -> CaseResult:
    book = open_site(folder, {"a.md": text})
    assert not proof_book(book).errors
    return book.results["a", "a"].cases[""]


def test_the_step_of_a_weighbridge(tmp_path: Path) -> None:
    """JCGM 100:2008, F.2.2.1 (read as the R package clanTools quotes it): u = 0.29 δx of an indication in
    steps of δx, here 20 kg of each reading."""
    text = calc(
        """
        id: a
        kind: weight_balance
        inputs:
          front_axle: 300 kg
          rear_axle: 360 kg
          scale_interval: 20 kg
          wheelbase: 2.2 m
        """
    )
    total = computed(tmp_path, text).values["total_mass"]
    assert isinstance(total, Value)
    assert total.standard_uncertainty == pytest.approx(0.29 * 20 * sqrt(2), rel=0.01)
    assert total.standard_uncertainty == pytest.approx(20 / sqrt(12) * sqrt(2), rel=1e-9)


def test_readings_that_rounding_does_not_explain() -> None:
    """Three roundings by half a step are one and a half steps: 8 kg are more than that of 5 kg."""
    _, working = bridge(scale_interval=5.0)
    assert any("not level" in remark for remark in working.remarks)
    _, coarse = bridge(scale_interval=20.0)
    assert not coarse.remarks


# --- the height and how it hangs on the reading ----------------------------------------------


def test_the_doubt_of_the_height(tmp_path: Path) -> None:
    """uncertainties 3.2.3 with asin and tan of the package's own; the method's 3 % (k = 2) beside it."""
    text = calc(
        """
        id: a
        kind: weight_balance
        inputs:
          front_axle: 310 ± 0.6 kg
          rear_axle: 350 ± 0.6 kg
          wheelbase: 2.2 ± 0.002 m
          raised_axle: rear
          raised_height: 0.6 ± 0.003 m
          low_axle_reading: 330 ± 0.6 kg
          static_radius: 0.28 ± 0.001 m
        """
    )
    front, rear, low = ufloat(310, 0.6), ufloat(350, 0.6), ufloat(330, 0.6)
    base, lift, radius = ufloat(2.2, 0.002), ufloat(0.6, 0.003), ufloat(0.28, 0.001)
    height = radius + (low - front) * base / ((front + rear) * utan(uasin(lift / base)))
    found = computed(tmp_path, text).values["centre_of_gravity_height"]
    assert isinstance(found, Value)
    assert found.si == pytest.approx(height.n, rel=1e-9)
    assert found.expanded_of_inputs == pytest.approx(2 * height.s, rel=1e-3)
    assert found.expanded_of_method == pytest.approx(0.03 * height.n, rel=1e-6)


def test_a_kilogram_misread() -> None:
    """The height of the same car with the low axle a kilogram heavier, less the height (by the formula of
    ISO 10392, which is linear in the reading)."""
    outputs, _ = run(**RAISED)
    heavier, _ = run(**{**RAISED, "low_axle_reading": RAISED["low_axle_reading"] + 1})  # type: ignore[operator]
    moved = heavier["centre_of_gravity_height"] - outputs["centre_of_gravity_height"]
    assert outputs["height_error_per_kilogram"] == pytest.approx(moved, rel=1e-9)
    assert moved == pytest.approx(2.2 / (660 * tan(asin(0.6 / 2.2))))


@pytest.mark.parametrize(
    "changed, error, name",
    [
        ({"front_axle": None, "rear_axle": None}, MissingInput, "whole_car"),
        ({"front_axle": None, "rear_axle": None, "whole_car": None}, MissingInput, "left_front"),
        ({"front_axle": 700.0, "rear_axle": None}, InputsConflict, "front_axle"),
        ({"left_front": 150.0}, MissingInput, "right_front"),
        ({**GIVEN}, InputsConflict, "front_axle"),
    ],
)
def test_refused_readings(changed: dict[str, Any], error: type[Refused], name: str) -> None:
    with pytest.raises(error) as refused:
        bridge(**changed)
    assert refused.value.name == name


def test_corners_want_their_tracks() -> None:
    with pytest.raises(MissingInput) as refused:
        run_without("rear_track")
    assert refused.value.name == "rear_track"


def run_without(name: str) -> None:
    weight_balance.compute({key: value for key, value in GIVEN.items() if key != name}, Working())


# --- charts -----------------------------------------------------------------------------------

CHANGES = [{"name": "a", "mass": 20.0, "action": "removed", "x": -0.2, "y": 0.3, "z": 0.5}]


def test_the_ellipse_is_that_of_the_covariance() -> None:
    """Its farthest and nearest corner are twice the square roots of the eigenvalues (numpy.linalg.eigvalsh),
    and its greatest extents are the expanded uncertainties."""
    both = np.array([[4e-6, -1e-6], [-1e-6, 1e-6]])
    case = seen(weight_balance.compute, {**GIVEN})
    names = ("behind_front_axle", "right_of_centre")
    covered = {(names[i], names[j]): float(both[i, j]) for i in range(2) for j in range(2)}
    plan, enlarged = weight_balance.chart(
        {"": Seen(inputs=case.inputs, outputs=case.outputs, covariances=covered)}
    )
    assert isinstance(plan, ChartSpec)
    assert isinstance(enlarged, ChartSpec)
    assert enlarged.equal_scale
    outline = next(series for series in enlarged.series if series.filled)
    x, y = (np.array(values) for values in (outline.x, outline.y))
    middle = case.outputs["behind_front_axle"], case.outputs["right_of_centre"]
    away = np.hypot(x - middle[0], y - middle[1])
    least, most = 2 * np.sqrt(np.linalg.eigvalsh(both))
    assert (away.min(), away.max()) == pytest.approx((least, most), rel=0.02)
    assert (x.max() - middle[0], y.max() - middle[1]) == pytest.approx((4e-3, 2e-3), rel=0.01)


def test_the_arrow_goes_from_before_to_after() -> None:
    case = seen(weight_balance.compute, {**GIVEN, "changes": CHANGES})
    _, enlarged = weight_balance.chart({"": case})
    assert isinstance(enlarged, ChartSpec)
    (arrow,) = enlarged.arrows
    # 660 kg at x, less 20 kg at −0.2 m: (660 x + 4)/640 (moments by hand)
    before = case.outputs["behind_front_axle"]
    assert arrow.start[0] == pytest.approx(before)
    assert arrow.end[0] == pytest.approx((660 * before + 4) / 640)


def test_charts_of_a_weighbridge() -> None:
    case = seen(weight_balance.compute, {**BRIDGE, **RAISED, "low_axle_reading": 330.0})
    axles, lift = weight_balance.chart({"": case})
    assert isinstance(axles, BarSpec)
    assert [bar.value for bar in axles.bars] == pytest.approx(list(case.outputs["axle_load"].values()))
    assert isinstance(lift, ChartSpec)
    (curve,) = lift.series
    # at the lift of the case the curve is the result
    at = np.interp(0.6, curve.x, curve.y)
    assert at == pytest.approx(case.outputs["height_error_per_kilogram"], rel=0.01)
    assert [marker.x for marker in lift.markers] == [0.6]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_cars_of_lumps_on_their_wheels(seed: int, tmp_path: Path) -> None:
    """Three cars of 14 lumps each, stood on four scales and tipped by rotating every lump (numpy), with the
    low wheels' share from moments about the other axle's wheel centres; then a part more. The uncertainty
    by drawing every reading 40 000 times (JCGM 101).

    Source: statics of a rigid body on wheels that roll freely.
    """
    random = np.random.default_rng(seed)
    base, front, rear = random.uniform(2.1, 2.6), *random.uniform(1.3, 1.5, 2)
    radius, lift, roll = random.uniform(0.25, 0.31), 0.6, random.uniform(0.3, 0.7)
    mass = random.uniform(5, 120, 14)
    place = random.uniform((-0.5, -0.5, 0.25), (base + 0.5, 0.5, 0.9), (14, 3))
    whole, centre = mass.sum(), mass @ place / mass.sum()
    sides = whole * centre[1] * np.array([roll / (front / 2), (1 - roll) / (rear / 2)])  # right less left
    axles = whole * np.array([1 - centre[0] / base, centre[0] / base])
    tilt = np.arcsin(lift / base)
    forward = place[:, 0] * cos(tilt) - (place[:, 2] - radius) * sin(tilt)
    low = whole - mass @ forward / (base * cos(tilt))
    read = {
        "left_front": (axles[0] - sides[0]) / 2,
        "right_front": (axles[0] + sides[0]) / 2,
        "left_rear": (axles[1] - sides[1]) / 2,
        "right_rear": (axles[1] + sides[1]) / 2,
    }
    lines = "".join(f"\n  {name}: {value:.9f} ± 0.5 kg" for name, value in read.items())
    text = calc(
        f"""
        id: a
        kind: weight_balance
        inputs:
          wheelbase: {base:.9f} m
          front_track: {front:.9f} m
          rear_track: {rear:.9f} m
          raised_axle: rear
          raised_height: {lift} ± 0.002 m
          low_axle_reading: {low:.9f} ± 0.7 kg
          static_radius: {radius:.9f} m
          changes:
            - {{name: box, mass: 22.5 kg, action: fitted, x: 1.9 m, y: -0.3 m, z: 0.4 m}}
        """
    ).replace("\ninputs:", "\ninputs:" + lines)
    found: Any = computed(tmp_path, text).values
    after = (whole * centre + 22.5 * np.array([1.9, -0.3, 0.4])) / (whole + 22.5)
    for number, name in enumerate(("behind_front_axle", "right_of_centre", "centre_of_gravity_height")):
        assert found[name].si == pytest.approx(centre[number], abs=1e-6)
        assert found[f"{name}_after"].si == pytest.approx(after[number], abs=1e-6)
    corners = np.array(list(read.values())) + random.normal(0, 0.5, (40_000, 4))
    lifted, reading = lift + random.normal(0, 0.002, 40_000), low + random.normal(0, 0.7, 40_000)
    gain = reading - corners[:, :2].sum(axis=1)
    drawn = radius + gain * base / corners.sum(axis=1) / np.tan(np.arcsin(lifted / base))
    assert found["centre_of_gravity_height"].expanded_of_inputs == pytest.approx(2 * drawn.std(), rel=0.02)
