"""Weight balance against a rigid body worked out in full, and hand moments."""

from __future__ import annotations

from math import asin, atan2, cos, hypot, sin, tan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculators import weight_balance
from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
from buildlog.kinds.declaration import Working
from buildlog.physics import balance

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
    assert any("Read it again" in remark for remark in working.remarks)
    _, usual = run(**RAISED)
    assert not any("Read it again" in remark for remark in usual.remarks)
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
