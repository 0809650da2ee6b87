"""Wheel force and the tyres' limit with load transfer, against statics worked by others."""

from __future__ import annotations

from collections.abc import Callable
from math import atan, cos, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import InputsConflict, OutOfRange
from buildlog.physics import traction
from buildlog.physics.torque_curve import TorqueCurve

G = 9.80665
AXLES: dict[str, Callable[..., float]] = {
    "rear": traction.traction_limit_rear,
    "front": traction.traction_limit_front,
}


def limit(axle: str, **changes: float) -> float:
    given = {
        "vehicle_mass": 900.0, "drive_axle_share": 0.5, "gradient_angle": 0.0,
        "centre_of_gravity_height": 0.45, "wheelbase": 2.3, "tyre_friction": 0.9, "rolling_resistance": 110.0,
    }  # fmt: skip
    return AXLES[axle](**(given | changes))


@pytest.mark.parametrize("axle,share,slope", [("rear", 0.875, 7 / 39), ("front", 1.8, 72 / 233)])
def test_steepest_grade_that_a_car_climbs(axle: str, share: float, slope: float) -> None:
    # Worked and confirmed at Physics Forums, thread 339714 (2009): a car of 15 kN, friction 0.5, wheelbase
    # 2.675 m, centre of gravity 0.475 m high and 0.875 m behind the front axle climbs at constant speed
    # tan α = 7/39 (10.18°) with driven rear wheels and 72/233 (17.17°) with driven front wheels.
    angle = atan(slope)
    found = limit(
        axle,
        vehicle_mass=15_000 / G,
        drive_axle_share=share / 2.675,
        gradient_angle=angle,
        centre_of_gravity_height=0.475,
        wheelbase=2.675,
        tyre_friction=0.5,
        rolling_resistance=0.0,
    )
    assert found == pytest.approx(15_000 * sin(angle), rel=1e-12)


def test_without_height_nothing_moves_between_the_axles() -> None:
    # "Forces problem", wyzant.com, answer 5249: 48 % of the weight on the drive wheels, friction 0.60 give
    # 2.82 m/s².
    found = limit("rear", drive_axle_share=0.48, tyre_friction=0.60, centre_of_gravity_height=1e-9)
    assert found / 900.0 == pytest.approx(2.82, abs=0.005)
    # Assignment Expert, question 176272: 840 kg, 54 % on the driven wheels, friction 1.70 give 7556.98 N
    # with g = 9.8 m/s².
    found = limit(
        "rear",
        vehicle_mass=840.0,
        drive_axle_share=0.54,
        tyre_friction=1.70,
        centre_of_gravity_height=1e-9,
        rolling_resistance=0.0,
    )
    assert found * 9.8 / G == pytest.approx(7556.98, abs=0.005)


@given(
    st.sampled_from(["rear", "front"]),
    st.floats(0.3, 0.6),
    st.floats(-0.2, 0.3),
    st.floats(0.2, 0.6),
    st.floats(1.8, 3.0),
    st.floats(0.1, 1.0),
    st.floats(0, 400),
    st.floats(0, 900),
)
def test_moments_about_the_contact_of_the_other_axle(
    axle: str, share: float, angle: float, height: float, base: float, mu: float, rolling: float, drag: float
) -> None:
    """At the limit force = friction × load, the load from moments, drag at the centre of gravity's height."""
    mass = 900.0
    force = limit(
        axle,
        drive_axle_share=share,
        gradient_angle=angle,
        centre_of_gravity_height=height,
        wheelbase=base,
        tyre_friction=mu,
        rolling_resistance=rolling,
    )
    acceleration = (force - rolling - drag - mass * G * sin(angle)) / mass
    transfer = (mass * acceleration + drag + mass * G * sin(angle)) * height / base
    load = share * mass * G * cos(angle) + (transfer if axle == "rear" else -transfer)
    assert force == pytest.approx(mu * load, rel=1e-9)


@given(st.floats(0.1, 0.9), st.floats(0.01, 0.1))
def test_more_grip_and_more_height(mu: float, more: float) -> None:
    for axle in AXLES:
        assert limit(axle, tyre_friction=mu + more) > limit(axle, tyre_friction=mu)
    assert limit("rear", centre_of_gravity_height=0.4 + more) > limit("rear", centre_of_gravity_height=0.4)
    assert limit("front", centre_of_gravity_height=0.4 + more) < limit("front", centre_of_gravity_height=0.4)


def test_wheel_force_by_power() -> None:
    # Power at the wheels is power at the clutch times efficiency: F v = η T ω with v = ω r / i (mechanics).
    engine_speed, torque, ratio, radius = 600.0, 150.0, 12.0, 0.28
    force = traction.wheel_force(torque, ratio, 0.9, radius)
    assert force * engine_speed * radius / ratio == pytest.approx(0.9 * torque * engine_speed, rel=1e-12)
    # A final drive of 4.3 instead of 4.1 gives 4.87805 % more force (i_2 / i_1 - 1).
    longer, shorter = (traction.wheel_force(torque, 3.6 * drive, 0.9, radius) for drive in (4.1, 4.3))
    assert 100 * (shorter / longer - 1) == pytest.approx(4.87804878049, rel=1e-9)


def test_torque_lies_on_the_line() -> None:
    assert traction.torque_between(250.0, 200.0, 100.0, 300.0, 140.0) == pytest.approx(120.0)
    assert traction.torque_between(200.0, 200.0, 100.0, 300.0, 140.0) == 100.0
    assert traction.torque_between(300.0, 200.0, 100.0, 300.0, 140.0) == pytest.approx(140.0)


@pytest.mark.parametrize(
    "changes,name,words",
    [
        ({"vehicle_mass": 0.0}, "vehicle_mass", "more than 0"),
        ({"drive_axle_share": 1.2}, "drive_axle_share", "0 to 1"),
        ({"centre_of_gravity_height": 0.0}, "centre_of_gravity_height", "more than 0"),
        ({"wheelbase": 0.0}, "wheelbase", "more than 0"),
        ({"tyre_friction": -0.1}, "tyre_friction", "more than 0"),
        ({"tyre_friction": 5.2}, "tyre_friction", "less than wheelbase over height"),
        ({"tyre_friction": 2.6}, "tyre_friction", "front axle that still carries load"),
        ({"rolling_resistance": 1e5}, "drive_axle_share", "carries load"),
    ],
)
def test_ranges_of_the_limit(changes: dict[str, float], name: str, words: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        limit("rear", **changes)
    assert refused.value.name == name
    assert words in refused.value.expected


def test_ranges_of_force_and_torque() -> None:
    with pytest.raises(OutOfRange, match="driveline_efficiency"):
        traction.wheel_force(100.0, 10.0, 1.1, 0.3)
    with pytest.raises(OutOfRange, match="engine_torque"):
        traction.wheel_force(-1.0, 10.0, 0.9, 0.3)
    with pytest.raises(OutOfRange, match="engine_speed"):
        traction.torque_between(301.0, 200.0, 100.0, 300.0, 140.0)
    with pytest.raises(OutOfRange, match="upper_speed"):
        traction.torque_between(200.0, 200.0, 100.0, 200.0, 140.0)
    with pytest.raises(OutOfRange, match="rolling_resistance"):
        limit("front", rolling_resistance=-1.0)


# --- torque curve ------------------------------------------------------------------------

ROWS = [{"engine_speed": 100.0, "torque": 90.0}, {"engine_speed": 500.0, "torque": 170.0},
        {"engine_speed": 700.0, "torque": 130.0}]  # fmt: skip


def assert_row(row: tuple[float, float], speed: float, torque: float) -> None:
    """The speed is the limiter's own; the torque there was worked out."""
    assert row[0] == speed
    assert row[1] == pytest.approx(torque)


def test_a_curve_is_cut_off_at_the_limiter() -> None:
    curve = TorqueCurve.read(ROWS, 600.0)
    assert curve.rows[:-1] == ((100.0, 90.0), (500.0, 170.0))
    assert_row(curve.rows[-1], 600.0, 150.0)
    assert curve.peak == 170.0
    assert_row(TorqueCurve.read(ROWS, 700.0).rows[-1], 700.0, 130.0)
    first, last = TorqueCurve.read(ROWS, 500.0).rows
    assert first == (100.0, 90.0)
    assert_row(last, 500.0, 170.0)


def test_what_conversion_rounds_off_is_no_fault() -> None:
    """8100 rpm written as 135 rev/s is another float: a relative difference of 1e-12, not one of 1e-6."""
    curve = TorqueCurve.read(ROWS, 700.0 * (1 + 1e-12))
    assert curve.rows == TorqueCurve.read(ROWS, 700.0).rows
    assert curve.around(100.0 * (1 - 1e-12), "launch_speed")["engine_speed"] == 100.0
    with pytest.raises(InputsConflict):
        TorqueCurve.read(ROWS, 700.0 * (1 + 1e-6))
    with pytest.raises(OutOfRange):
        curve.around(100.0 * (1 - 1e-6), "launch_speed")


@pytest.mark.parametrize("limiter", [100.0, 90.0])
def test_a_limiter_below_the_curve(limiter: float) -> None:
    with pytest.raises(InputsConflict, match="rev_limit"):
        TorqueCurve.read(ROWS, limiter)


def test_faults_of_a_curve() -> None:
    with pytest.raises(InputsConflict, match="an end at 6685 rpm, expected rows up to rev_limit, 6780 rpm"):
        TorqueCurve.read(ROWS, 710.0)
    with pytest.raises(InputsConflict, match=r"row 3 \(4775 rpm\) not above row 2 \(4775 rpm\)"):
        TorqueCurve.read([*ROWS[:2], {"engine_speed": 500.0, "torque": 1.0}], 400.0)
    with pytest.raises(OutOfRange, match="401 rows"):
        TorqueCurve.read([{"engine_speed": 100.0 + n, "torque": 90.0} for n in range(401)], 300.0)
    with pytest.raises(OutOfRange, match="launch_speed: found 859 rpm, expected 955 rpm to 5730 rpm"):
        TorqueCurve.read(ROWS, 600.0).around(90.0, "launch_speed")
