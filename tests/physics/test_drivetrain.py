"""Drivetrain kinematics against closed forms and certified cars."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.diagnostics import OutOfRange
from buildlog.physics import drivetrain, tyre_sizes, tyres

RPM = 2 * pi / 60


def test_road_speed_per_1000_rpm() -> None:
    """v = 2π r n / (60 i) with r = 0.310 m, i = 3.3: 35.41432 km/h (kinematics, by hand)."""
    speed = drivetrain.road_speed(1000 * RPM, 3.3, 2 * pi * 0.310)
    assert speed * 3.6 == pytest.approx(35.4143171859, rel=1e-9)


def test_road_speed_by_engine_speed() -> None:
    """U / (2π i) with r = 0.310 m, i = 3.3: 0.310 / 3.3 m for each radian (kinematics, by hand)."""
    assert drivetrain.speed_per_engine_speed(3.3, 2 * pi * 0.310) == pytest.approx(0.31 / 3.3, rel=1e-12)
    with pytest.raises(OutOfRange):
        drivetrain.speed_per_engine_speed(0.0, 1.9)


def test_revs_after_an_upshift() -> None:
    """7000 rpm from 2.0 to 1.4: 4900 rpm (kinematics, by hand)."""
    assert drivetrain.speed_after_shift(7000 * RPM, 2.0, 1.4) / RPM == pytest.approx(4900, rel=1e-12)


def test_two_certified_cars_with_other_axles() -> None:
    """EPA test cars DBF-MP52 (2013; axle 4.1, N/V 44.2) and HBF-MQ52 (2017; axle 4.3, N/V 46.3): same
    gearbox and tyre. N/V is printed to 0.1, which leaves 0.22 % on the ratio."""
    low = drivetrain.engine_speed(10.0, drivetrain.overall_ratio(1.0, 4.1), 1.9)
    high = drivetrain.engine_speed(10.0, drivetrain.overall_ratio(1.0, 4.3), 1.9)
    assert high / low == pytest.approx(46.3 / 44.2, rel=0.0025)


def test_one_certified_car_on_two_tyres() -> None:
    """EPA test car 6ECPE31-034 (2016), configurations 0 and 1: N/V 40.9 and 41.9. Tyre sizes from memory."""
    revs = []
    for size in ("205/45R17", "195/50R16"):
        tyre = tyre_sizes.read_tyre(size)
        diameter = tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter)
        revs.append(drivetrain.engine_speed(10.0, 2.87, tyres.rolling_circumference(diameter, 3.05)))
    assert revs[1] / revs[0] == pytest.approx(41.9 / 40.9, rel=0.0025)


def test_speedometer_after_a_tyre_change() -> None:
    """185/70R14 to 195/50R15 with a wheel sensor: 1.067014 (the encyclopaedia's example, recomputed)."""
    factors = []
    for size in ("185/70R14", "195/50R15"):
        tyre = tyre_sizes.read_tyre(size)
        factors.append(tyres.overall_diameter(tyre.section_width, tyre.aspect_ratio, tyre.rim_diameter))
    assert drivetrain.indicated_over_true(factors[1], factors[0], 1, 1) == pytest.approx(1.067014, abs=1e-6)


@pytest.mark.parametrize(("true", "most"), [(90, 103), (130, 147)])
def test_lawful_reading(true: float, most: float) -> None:
    """UN Regulation No. 39, 5.3, with the examples read beside it: 90 → 103, 130 → 147 km/h."""
    assert drivetrain.highest_lawful_reading(true / 3.6) * 3.6 == pytest.approx(most, rel=1e-12)


def test_lawful_reading_begins_at_40() -> None:
    """The regulation tests from 40 km/h: there 48 km/h is allowed, and below it nothing is said."""
    assert drivetrain.highest_lawful_reading(40 / 3.6) * 3.6 == pytest.approx(48)
    with pytest.raises(OutOfRange):
        drivetrain.highest_lawful_reading(39.9 / 3.6)


@pytest.mark.parametrize(
    ("driven", "driving", "turns"),
    [(41, 9, 41), (39, 10, 39), (40, 10, 4), (42, 9, 14)],  # number theory: driven / gcd
)
def test_hunting(driven: int, driving: int, turns: int) -> None:
    seen = {(turn * driving) % driven for turn in range(turns)}
    assert drivetrain.turns_until_same_teeth_meet(driven, driving) == turns == len(seen)


@given(st.floats(0, 1200), st.floats(0.5, 25), st.floats(1.0, 3.0))
def test_speed_and_revs_are_inverse(revs: float, ratio: float, circumference: float) -> None:
    speed = drivetrain.road_speed(revs, ratio, circumference)
    assert drivetrain.engine_speed(speed, ratio, circumference) == pytest.approx(revs, rel=1e-12, abs=1e-12)


@given(st.floats(1.0, 4.0), st.floats(0.2, 0.99), st.floats(1, 1200))
def test_an_upshift_always_drops_the_revs(gear: float, factor: float, revs: float) -> None:
    after = drivetrain.speed_after_shift(revs, gear, gear * factor)
    assert after < revs
    assert drivetrain.difference(revs, after) == pytest.approx(
        revs * (1 - 1 / drivetrain.step(gear, gear * factor))
    )


@pytest.mark.parametrize(
    "arguments", [(-1, 3, 2), (100, 0, 2), (100, 3, -2), (float("nan"), 3, 2), (1, float("inf"), 2)]
)
def test_nonsense_is_refused(arguments: tuple[float, float, float]) -> None:
    with pytest.raises(OutOfRange):
        drivetrain.road_speed(*arguments)
