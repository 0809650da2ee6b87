"""Weight balance against a rigid body worked out in full, and hand moments."""

from __future__ import annotations

from math import asin, cos, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.calculator import Working
from buildlog.calculators import weight_balance
from buildlog.diagnostics import MissingInput, OutOfRange
from buildlog.physics import balance

GIVEN = {
    "left_front": 160.0, "right_front": 150.0, "left_rear": 180.0, "right_rear": 170.0, "wheelbase": 2.2,
    "front_track": 1.4, "rear_track": 1.5,
}  # fmt: skip
RAISED = {"raised_axle": "rear", "raised_height": 0.6, "low_axle_reading": 330.0, "static_radius": 0.28}


def run(**changed: object) -> tuple[dict, Working]:
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


def turned_readings(x: float, z: float, radius: float, height: float, base: float, mass: float) -> float:
    """Front axle's reading with the rear wheels raised, from a rotation and moments about the rear contact.

    Wheel centres lie `radius` above their contacts; the body turns about the front wheel centre.
    """
    angle = asin(height / base)
    # the nose goes down: a point (x behind, z above the wheel centres) turns by −angle about the front centre
    behind = x * cos(angle) - (z - radius) * sin(angle)
    return mass * (1 - behind / (base * cos(angle)))


@given(st.floats(0.8, 1.4), st.floats(0.30, 0.80), st.floats(0.2, 1.0), st.floats(300, 2000))
def test_height_of_a_rigid_body(x: float, z: float, height: float, mass: float) -> None:
    """The formula gives back the height of a body that was turned point by point (rigid-body geometry)."""
    base, radius = 2.2, 0.28
    level = mass * (1 - x / base)
    gain = turned_readings(x, z, radius, height, base, mass) - level
    found = balance.centre_of_gravity_height(gain, mass, base, height, radius)
    assert found == pytest.approx(z, rel=1e-9)


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
    assert outputs["right_of_centre_after"] == pytest.approx(outputs["right_of_centre"] - 20 * 0.5 / 660)
    before = outputs["centre_of_gravity_height"]
    assert outputs["centre_of_gravity_height_after"] == pytest.approx(before - 20 * 0.3 / 660)


@given(st.floats(1, 100), st.floats(-0.5, 3.0), st.floats(-0.7, 0.7))
def test_fitting_and_removing_changes_nothing(mass: float, x: float, y: float) -> None:
    row = {"name": "a", "mass": mass, "x": x, "y": y}
    outputs, _ = run(changes=[{**row, "action": "fitted"}, {**row, "action": "removed"}])
    assert outputs["behind_front_axle_after"] == pytest.approx(outputs["behind_front_axle"], rel=1e-12)
    assert outputs["right_of_centre_after"] == pytest.approx(outputs["right_of_centre"], rel=1e-9, abs=1e-12)


@given(st.floats(1, 100))
def test_a_mass_behind_the_rear_axle_unloads_the_front(mass: float) -> None:
    row = {"name": "a", "mass": mass, "action": "fitted", "x": 2.6, "y": 0.0}
    outputs, _ = run(changes=[row])
    assert outputs["axle_load_after"]["front"] < 310


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
        ({**RAISED, "low_axle_reading": 300.0}, OutOfRange, "low_axle_reading"),
        ({**RAISED, "low_axle_reading": 700.0}, OutOfRange, "low_axle_reading"),
        ({**RAISED, "raised_height": 1.5}, OutOfRange, "raised_height"),
    ],
)
def test_refusals(changed: dict, error: type, name: str) -> None:
    with pytest.raises(error) as refused:
        run(**changed)
    assert refused.value.name == name


def test_more_taken_off_than_there_is() -> None:
    rows = [{"name": "car", "mass": 700.0, "action": "removed", "x": 1.0, "y": 0.0}]
    with pytest.raises(OutOfRange):
        run(changes=rows)
    with pytest.raises(OutOfRange):
        balance.with_mass(1.0, 10.0, 0.5, -10.0)
