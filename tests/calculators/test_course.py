"""The kind `course`: against closed forms, highway engineering, scipy's integration and `acceleration`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import cos, log, pi, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given as examples
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from buildlog.calculators import acceleration, course
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, Refused
from buildlog.formulae.formula import formula_of
from buildlog.kinds.declaration import Outputs, Working
from buildlog.kinds.models.made_before import MadeBefore
from buildlog.physics import cornering
from tests.calculators.lap_on_a_grid import times_on_grid
from tests.calculators.seen import seen
from tests.calculators.test_acceleration import BRINDLE, GRIP, LAUNCH
from tests.examples import with_examples

G = 9.80665
KMH = 1 / 3.6
RPM = pi / 30

CAR: dict[str, Any] = {
    **{name: value for name, value in BRINDLE.items() if name != "gradient"},
    **GRIP,
    **LAUNCH,
    "start": "standing",
    "lowest_gear": 1,
    "braking_efficiency": 0.8,
}
HILL: list[dict[str, Any]] = [
    {"name": "start", "length": 180.0, "gradient": 0.08},
    {"name": "left", "length": 60.0, "gradient": 0.09, "radius": 45.0},
    {"name": "climb", "length": 260.0, "gradient": 0.11},
    {"name": "hairpin", "length": 34.0, "gradient": 0.09, "corner_speed": 38 * KMH},
    {"name": "finish", "length": 210.0, "gradient": 0.07},
]
# A car of one gear and one force, without resistance, inertia and load transfer: what it does is known.
PLAIN: dict[str, Any] = {
    "torque_curve": [{"engine_speed": 1.0, "torque": 9000.0}, {"engine_speed": 300.0, "torque": 9000.0}],
    "rev_limit": 300.0,
    "gears": [1.0],
    "final_drive": 1.0,
    "rolling_circumference": 2 * pi,
    "driveline_efficiency": 1.0,
    "vehicle_mass": 1000.0,
    "engine_inertia": 0.0,
    "wheel_inertia": 0.0,
    "flywheel_inertia": 0.0,
    "clutch_inertia": 0.0,
    "driven_axle": "rear",
    "drag_area": 0.0,
    "rolling_coefficient": 0.0,
    "air_density": 1.2,
    "drive_axle_share": 0.5,
    "tyre_friction": 0.9,
    "braking_efficiency": 1.0,
    "shift_time": 0.0,
    "lowest_gear": 1,
    "start": "rolling",
    "start_speed": 10.0,
}


def ran(legs: list[dict[str, Any]], car: dict[str, Any] = CAR, **changes: Any) -> tuple[Outputs, Working]:
    given = {**car, "legs": legs, **changes}
    working = Working()
    return course.compute({name: one for name, one in given.items() if one is not None}, working), working


def outputs(legs: list[dict[str, Any]], car: dict[str, Any] = CAR, **changes: Any) -> Any:
    return ran(legs, car, **changes)[0]


# --- a straight is what `acceleration` has ---------------------------------------------------------


@pytest.mark.parametrize("gradient", [0.0, 0.09, -0.04, 0.2])
@pytest.mark.parametrize("pieces", [1, 7])
def test_a_straight_is_that_of_acceleration(gradient: float, pieces: int) -> None:
    """The same car from the same start, in one leg or in several, is the same run."""
    found = outputs([{"length": 980.0 / pieces, "gradient": gradient}] * pieces)
    straight: Any = acceleration.compute(
        BRINDLE | GRIP | LAUNCH | {"gradient": gradient, "distance": 980.0}, Working()
    )
    assert found["course_time"] == pytest.approx(straight["course_time"], abs=1e-6)
    assert found["speed_at_end"][str(pieces)] == pytest.approx(straight["course_speed"], abs=1e-6)
    assert found["lock_up_time"] == pytest.approx(straight["lock_up_time"], abs=1e-6)


def test_a_rolling_start_is_that_of_acceleration() -> None:
    rolling: dict[str, Any] = {"launch_speed": None, "start": "rolling", "start_speed": 60 * KMH}
    found = outputs([{"length": 500.0}], **rolling)
    given = BRINDLE | GRIP | {"start_speed": 60 * KMH, "distance": 500.0}
    straight: Any = acceleration.compute(given, Working())
    assert found["course_time"] == pytest.approx(straight["course_time"], abs=1e-6)


# --- closed forms -----------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [15.0, 100.0, 200.0])
def test_a_circle_without_resistance(radius: float) -> None:
    # Statics: m v² / r = μ m g, so that a lap takes 2 π √(r / (μ g)).
    found = outputs([{"length": 2 * pi * radius, "radius": radius}], PLAIN, start="flying", start_speed=None)
    assert found["corner_speed"]["1"] == pytest.approx(sqrt(0.9 * G * radius), rel=1e-12)
    assert found["course_time"] == pytest.approx(2 * pi * sqrt(radius / (0.9 * G)), rel=1e-9)
    assert found["tyre_limited_share"] == pytest.approx(1.0)


def test_up_and_down_between_two_speeds() -> None:
    """Even acceleration a, then even braking d into a bend: v² = (2 a d L + a v_1² + d v_0²) / (a + d), from
    v² = v_0² + 2 a x and v² = v_1² + 2 d (L - x) (kinematics)."""
    v0, v1, length = 10.0, 12.0, 300.0
    a, d = 0.9 * 0.5 * G, 0.9 * G  # the rear tyres drive, all of them brake
    found = outputs([{"length": length}, {"length": 20.0, "corner_speed": v1}], PLAIN, start_speed=v0)
    top = sqrt((2 * a * d * length + a * v1**2 + d * v0**2) / (a + d))
    assert found["top_speed"] == pytest.approx(top, rel=1e-8)
    expected = (top - v0) / a + (top - v1) / d
    assert found["leg_time"]["1"] == pytest.approx(expected, rel=1e-8)
    assert found["leg_time"]["2"] == pytest.approx(20.0 / v1, rel=1e-8)
    assert found["braking_share"] == pytest.approx((top - v1) / d / (expected + 20 / v1), rel=1e-7)


def test_braking_against_drag() -> None:
    """Braking with drag from v_0 to v_1 takes m / (2 C) ln((F + C v_0²) / (F + C v_1²)) (Newton), which is
    what a rolling start may just have."""
    drag, force = 1.2 * 0.8 / 2, 0.9 * G * 1000.0
    v0, v1 = 60.0, 15.0
    needed = 1000.0 / (2 * drag) * log((force + drag * v0**2) / (force + drag * v1**2))
    legs: list[dict[str, Any]] = [{"length": needed}, {"length": 20.0, "corner_speed": v1}]
    found = outputs(legs, PLAIN, drag_area=0.8, start_speed=v0 * (1 - 1e-9))
    assert found["braking_share"] > 0.5
    assert found["speed_at_end"]["1"] == pytest.approx(v1, rel=1e-9)
    with pytest.raises(OutOfRange, match=r"at most 216\.0 km/h"):
        outputs(legs, PLAIN, drag_area=0.8, start_speed=v0 * 1.001)


# AASHTO, A Policy on Geometric Design of Highways and Streets, in metric form, as public pages on highway
# design quote it (read there, not in the book): braking distance V² / (254 (f ± G)), horizontal curve
# e + f = V² / (127 R), V in km/h, G the grade. Their 254 and 127 stand for 2 g 3.6² and g 3.6², to 0.1 %.


@pytest.mark.parametrize("speed,friction,grade", [(100.0, 0.35, 0.0), (80.0, 0.5, 0.05), (60.0, 0.7, -0.06)])
def test_braking_distance_of_highway_design(speed: float, friction: float, grade: float) -> None:
    distance = (speed**2 - 30**2) / (254 * (friction + grade))
    legs: list[dict[str, Any]] = [
        {"length": distance, "gradient": grade},
        {"length": 5.0, "corner_speed": 30 * KMH},
    ]
    car = PLAIN | {"tyre_friction": friction}
    # On a slope the formula has weight for load and the slope for its sine: 0.3 % at these grades.
    outputs(legs, car, start_speed=speed * KMH * 0.995)
    with pytest.raises(OutOfRange, match="at most"):
        outputs(legs, car, start_speed=speed * KMH * 1.005)


@pytest.mark.parametrize("speed,friction", [(40.0, 0.17), (80.0, 0.14), (100.0, 0.12)])
def test_radius_of_highway_design(speed: float, friction: float) -> None:
    radius = speed**2 / (127 * friction)
    found = outputs([{"length": 50.0, "radius": radius}], PLAIN, tyre_friction=friction, start_speed=5.0)
    assert found["corner_speed"]["1"] / KMH == pytest.approx(speed, rel=1e-3)


def test_a_published_left_hander() -> None:
    """B. Beckman, The physics of racing, part 18 (2000, read): a left-hander of 180° and 150 ft radius at 1 g
    of 32 ft/s², entered by braking from 100 mph at 1 g and left along 650 ft at g/2: 109.091 mph at the end,
    5.670 s in the exit chute, 17.541 s with the 650 ft before the bend, of which what is not braked goes at
    100 mph."""
    foot, mph = 0.3048, 0.44704
    friction = 32 * foot / G
    first, held = 100 * mph, sqrt(32 * foot * 150 * foot)
    braked = (first**2 - held**2) / (2 * 32 * foot)
    legs: list[dict[str, Any]] = [
        {"name": "brakes", "length": braked},
        {"name": "bend", "length": pi * 150 * foot, "radius": 150 * foot},
        {"name": "chute", "length": 650 * foot},
    ]
    found = outputs(legs, PLAIN, tyre_friction=friction, start_speed=first * (1 - 1e-9))
    assert found["speed_at_end"]["chute"] / mph == pytest.approx(109.091, abs=0.0005)
    assert found["leg_time"]["chute"] == pytest.approx(5.670, abs=0.0006)
    along = (650 * foot - braked) / first
    assert found["course_time"] + along == pytest.approx(17.541, abs=0.0011)


def test_a_corner_speed_stands_for_a_radius() -> None:
    # v² = μ g r without resistance (statics); given back as a radius, it is the same bend.
    found = outputs([{"length": 50.0, "corner_speed": 20.0}], PLAIN)
    assert found["radius"]["1"] == pytest.approx(400 / (0.9 * G), rel=1e-12)
    hill = outputs(HILL)
    legs = [dict(leg) for leg in HILL]
    legs[3] = {"name": "hairpin", "length": 34.0, "gradient": 0.09, "radius": hill["radius"]["hairpin"]}
    again = outputs(legs)
    assert again["corner_speed"]["hairpin"] == pytest.approx(38 * KMH, rel=1e-9)
    assert again["course_time"] == pytest.approx(hill["course_time"], rel=1e-9)


# --- against scipy ----------------------------------------------------------------------------------


def test_traction_in_a_bend_from_the_balance_of_moments() -> None:
    """The driven axle's load, force and share of the bend, solved by scipy from F² + Y² = μ² N²."""
    mass, share, lever, friction = 742.0, 0.53, 0.44 / 2.28, 0.95
    for across in (0.0, 3.0, 7.0):
        found = cornering.traction_in_bend(mass, share, 0.0, lever, friction, 0.0, across)

        def left(force: float, across: float = across) -> float:
            load = share * mass * G + lever * force
            return float(friction**2 * load**2 - (share * mass * across) ** 2 - force**2)

        assert found == pytest.approx(float(brentq(left, 0.0, 20_000.0)), rel=1e-9)


def test_a_bend_between_straights_by_scipy() -> None:
    """The whole course of one gear a second time: v² over distance by scipy's DOP853, backwards from the bend
    and forwards; tyres by the balance of moments. Air, rolling and slope count."""
    friction, share, lever, mass, slope = 0.95, 0.53, 0.44 / 2.28, 742.0, 0.06
    car = CAR | {
        "gears": [1.6],
        "final_drive": 4.1,
        "launch_speed": None,
        "start": "rolling",
        "start_speed": 14.0,
        "shift_time": 0.0,
    }
    legs: list[dict[str, Any]] = [
        {"length": 240.0, "gradient": slope},
        {"length": 50.0, "gradient": slope, "radius": 40.0},
        {"length": 120.0, "gradient": slope},
    ]
    found = outputs(legs, car)
    theta = np.arctan(slope)
    weight, radius, ratio = mass * G * cos(theta), 1.776 / (2 * pi), 1.6 * 4.1
    rolling = 0.013 * weight
    curve = np.array([(row["engine_speed"], row["torque"]) for row in BRINDLE["torque_curve"]])
    turning = mass + (4 * 0.7 + 0.9 * (0.07 + 0.06 + 0.004) * ratio**2) / radius**2
    with_wheels, undriven = mass + 2.8 / radius**2, mass + 1.4 / radius**2

    def held_back(v: float) -> float:
        return float(rolling + mass * G * np.sin(theta) + 0.5 * 1.19 * 0.58 * v * v)

    def grip(v: float, bend: float) -> float:
        across = share * mass * v * v / bend

        def left(force: float) -> float:
            load = share * weight + lever * (force - rolling)
            return float(friction**2 * load**2 - across**2 - force**2)

        if left(0.0) <= 0:
            return 0.0
        most = float(brentq(left, 0.0, 20_000.0))
        front = (1 - share) * (weight - mass * v * v / bend / friction) / lever + rolling
        return min(most, front)

    def drive(v: float, bend: float) -> float:
        engine = 0.9 * float(np.interp(v * ratio / radius, curve[:, 0], curve[:, 1])) * ratio / radius
        back = held_back(v)
        return min((engine - back) / turning, (grip(v, bend) - back) / undriven)

    def brake(v: float) -> float:
        return -(0.8 * friction * weight + held_back(v)) / with_wheels

    cap = float(brentq(lambda v: grip(v, 40.0) - held_back(v), 5.0, sqrt(friction * G * cos(theta) * 40)))
    assert found["corner_speed"]["2"] == pytest.approx(cap, rel=1e-9)

    def gone(law: Any, first: float, span: tuple[float, float]) -> Any:
        # y = (time, v²/2) over distance.
        solved = solve_ivp(
            lambda _, y: [1 / sqrt(2 * y[1]), law(sqrt(2 * y[1]))],
            span,
            [0.0, first**2 / 2],
            method="DOP853",
            rtol=1e-11,
            atol=1e-11,
            max_step=0.5,
            dense_output=True,
        )
        return solved

    forward = gone(lambda v: drive(v, 1e12), 14.0, (0.0, 240.0))
    backward = gone(brake, cap, (240.0, 0.0 + 100.0))
    meet = float(brentq(lambda x: forward.sol(x)[1] - backward.sol(x)[1], 110.0, 239.0, xtol=1e-10))
    first = forward.sol(meet)[0] - backward.sol(meet)[0]
    assert found["leg_time"]["1"] == pytest.approx(first, abs=2e-6)
    assert found["leg_time"]["2"] == pytest.approx(50 / cap, abs=2e-6)
    last = gone(lambda v: drive(v, 1e12), cap, (0.0, 120.0))
    assert found["leg_time"]["3"] == pytest.approx(last.y[0, -1], abs=2e-6)
    assert found["speed_at_end"]["3"] == pytest.approx(sqrt(2 * last.y[1, -1]), abs=1e-5)
    assert found["top_speed"] == pytest.approx(
        max(sqrt(2 * forward.sol(meet)[1]), sqrt(2 * last.y[1, -1])), abs=1e-5
    )


def test_energy_is_what_is_gained_less_what_is_lost() -> None:
    """Work and energy on one leg in one gear: ∫ (F - R) dx = m_a (v_1² - v_0²) / 2, the distance found back
    from the speeds by scipy's quad, x = ∫ m_a v dv / (F - R)."""
    car = PLAIN | {"drag_area": 0.7, "rolling_coefficient": 0.012, "tyre_friction": 2.0}
    car |= {
        "torque_curve": [{"engine_speed": 1.0, "torque": 3000.0}, {"engine_speed": 300.0, "torque": 1500.0}]
    }
    found = outputs([{"length": 350.0}], car)
    end = found["speed_at_end"]["1"]

    def per_speed(v: float) -> float:
        force = 3000 + (1500 - 3000) * (v - 1) / 299
        return 1000 * v / (force - 0.012 * 1000 * G - 0.5 * 1.2 * 0.7 * v * v)

    assert quad(per_speed, 10.0, end)[0] == pytest.approx(350.0, rel=1e-7)


# --- properties -------------------------------------------------------------------------------------

FEW = with_examples(15)


@FEW
@examples(
    st.floats(1.02, 1.3), st.sampled_from(["vehicle_mass", "drag_area", "shift_time", "engine_inertia"])
)
def test_what_slows_a_car_down(factor: float, name: str) -> None:
    assert outputs(HILL, **{name: CAR[name] * factor})["course_time"] > outputs(HILL)["course_time"]


@FEW
@examples(st.floats(1.02, 1.3))
def test_grip_and_brakes_make_it_faster(factor: float) -> None:
    bends = [*HILL[:3], {"name": "hairpin", "length": 34.0, "gradient": 0.09, "radius": 12.0}, HILL[4]]
    slow = outputs(bends)["course_time"]
    assert outputs(bends, tyre_friction=0.8)["course_time"] > slow
    assert outputs(bends, braking_efficiency=min(1.0, 0.8 * factor))["course_time"] <= slow


@FEW
@examples(st.floats(0.1, 0.9), st.integers(0, 4))
def test_cutting_a_leg_changes_nothing(share: float, index: int) -> None:
    leg = HILL[index]
    if leg["length"] * share < 1 or "corner_speed" in leg:
        return
    pieces = [
        {**leg, "name": "one", "length": leg["length"] * share},
        {**leg, "name": "two", "length": leg["length"] * (1 - share)},
    ]
    cut = outputs([*HILL[:index], *pieces, *HILL[index + 1 :]])
    assert cut["course_time"] == pytest.approx(outputs(HILL)["course_time"], abs=2e-5)


def test_a_flying_lap_ends_as_it_begins() -> None:
    """A lap of two half circles and two straights of the same length has two halves of the same time."""
    lap: list[dict[str, Any]] = [
        {"name": "bend 1", "length": pi * 50, "radius": 50.0},
        {"name": "straight 1", "length": 300.0},
        {"name": "bend 2", "length": pi * 50, "radius": 50.0},
        {"name": "straight 2", "length": 300.0},
    ]
    found = outputs(lap, start="flying", launch_speed=None)
    times = found["leg_time"]
    assert times["straight-1"] == pytest.approx(times["straight-2"], abs=1e-6)
    assert times["bend-1"] == pytest.approx(times["bend-2"], abs=1e-6)
    assert found["speed_at_end"]["straight-2"] == pytest.approx(found["corner_speed"]["bend-1"], rel=1e-9)


def test_uphill_it_changes_down() -> None:
    """Where a slope takes more than the gear has, the car slows down and ends in a lower one (statics)."""
    legs: list[dict[str, Any]] = [{"length": 400.0}, {"length": 900.0, "gradient": 0.3}]
    found = outputs(legs)
    assert found["gear"]["2"] < found["gear"]["1"]
    assert found["speed_at_end"]["2"] < found["speed_at_end"]["1"]


def test_no_first_gear_on_the_move() -> None:
    every, second = outputs(HILL), outputs(HILL, lowest_gear=2)
    assert every["gear"]["hairpin"] == 1.0
    assert second["gear"]["hairpin"] == 2.0


# --- what a change is worth -------------------------------------------------------------------------


def test_what_mass_and_money_are_worth() -> None:
    base = outputs(HILL, added_mass=10.0)
    heavier = outputs(HILL, vehicle_mass=CAR["vehicle_mass"] + 10)
    assert base["time_for_added_mass"] == pytest.approx(
        heavier["course_time"] - base["course_time"], rel=1e-9
    )
    better = outputs(HILL, final_drive=4.3, reference_time=40.0, price=500.0, currency="EUR")
    assert better["time_gained"] == pytest.approx(40.0 - better["course_time"], rel=1e-12)
    assert better["cost_of_a_second"] == pytest.approx(500 / better["time_gained"], rel=1e-12)
    worse, working = ran(HILL, reference_time=20.0, price=500.0, currency="EUR")
    assert "cost_of_a_second" not in worse
    assert any("Nothing is gained" in remark for remark in working.remarks)


def test_shares_add_up() -> None:
    found = outputs(HILL)
    shares = ("full_throttle_share", "tyre_limited_share", "braking_share", "limiter_share")
    rest = 1 - sum(found[name] for name in shares)
    # What is left is the slip of the clutch and the time of the shifts.
    assert 0 <= rest < 0.2
    assert sum(found["leg_time"].values()) == pytest.approx(found["course_time"], rel=1e-12)
    assert found["mean_speed"] * found["course_time"] == pytest.approx(744.0, rel=1e-12)


def test_every_output_has_its_step() -> None:
    out, working = ran(HILL, reference_time=40.0, price=5.0, currency="EUR", added_mass=10.0)
    steps = {step.name: step for step in working.steps}
    known = {one.name for one in course.OUTPUTS}
    for name, value in out.items():
        assert name in known
        for key, number in value.items() if isinstance(value, dict) else [("", value)]:
            assert steps[f"{name}.{key}" if key else name].result == number
    assert set(out) == known
    assert {step.source for step in working.steps} <= {source.id for source in course.SOURCES}
    for step in working.steps:
        assert formula_of(step.function).text(step.arguments)


def test_charts() -> None:
    two = {
        "long": seen(course.compute, {**CAR, "legs": HILL, "final_drive": 3.9}),
        "short": seen(course.compute, {**CAR, "legs": HILL}),
    }
    speeds, gained = course.chart(two)
    assert [series.label for series in speeds.series] == ["long", "short"]
    assert [marker.label for marker in speeds.markers] == ["left", "hairpin"]
    (line,) = gained.series
    assert line.y[0] == 0
    difference = two["long"].outputs["course_time"] - two["short"].outputs["course_time"]
    # The chart is drawn from a trace with its acceleration even between two points.
    assert line.y[-1] == pytest.approx(difference, abs=1e-4)
    (alone,) = course.chart({"": two["long"]})
    assert alone.title == "Speed over the course"


@pytest.mark.parametrize(
    "changes,kind,name,words",
    [
        (
            {"legs": [{"length": 50.0, "radius": 9.0, "corner_speed": 9.0}]},
            InputsConflict,
            "legs",
            "one of the",
        ),
        ({"launch_speed": None}, MissingInput, "launch_speed", "launch_speed"),
        ({"start_speed": 9.0}, InputsConflict, "start_speed", "no such input"),
        ({"start": "rolling"}, InputsConflict, "launch_speed", "no such input"),
        ({"start": "rolling", "launch_speed": None}, MissingInput, "start_speed", "start_speed"),
        (
            {"start": "flying", "launch_speed": None, "legs": [{"length": 50.0}]},
            InputsConflict,
            "start",
            "a lap with bends",
        ),
        ({"gears": [2.0, 2.0]}, InputsConflict, "gears", "fall from first gear to last"),
        ({"lowest_gear": 7}, InputsConflict, "lowest_gear", "at most 5"),
        ({"wheelbase": None}, MissingInput, "wheelbase", "as well"),
        (
            {"legs": [{"length": 500.0, "gradient": 0.5}], "launch_torque": 30.0},
            NoSolution,
            "launch_torque",
            "off",
        ),
        (
            {"legs": [{"length": 900.0, "gradient": 0.45}], "tyre_friction": 0.3},
            NoSolution,
            "launch_torque",
            "",
        ),
        ({"price": 9.0, "reference_time": 40.0}, MissingInput, "currency", "currency"),
        ({"price": 9.0, "currency": "EUR"}, MissingInput, "reference_time", "reference_time"),
        (
            {"legs": [{"length": 90.0, "gradient": 0.3, "radius": 20.0}], "tyre_friction": 0.25},
            OutOfRange,
            "legs",
            "gentler slope",
        ),
        ({"shift_revs": 9000 * RPM}, OutOfRange, "shift_revs", "8100 rpm"),
    ],
)
def test_faults_name_the_input(changes: dict[str, Any], kind: type[Refused], name: str, words: str) -> None:
    with pytest.raises(kind) as refused:
        ran(changes.get("legs", HILL), **{key: one for key, one in changes.items() if key != "legs"})
    assert refused.value.name == name
    assert words in refused.value.expected


@pytest.mark.parametrize(
    "changes",
    [{}, {"vehicle_mass": 980.0}, {"tyre_friction": 0.75}, {"centre_of_gravity_height": 0.6}],
)
def test_a_course_on_a_grid(changes: dict[str, Any]) -> None:
    """An integrator of our own, forwards and backwards on a grid (`lap_on_a_grid.py`, numpy 2): bends, slopes
    and gears together. It takes the best gear at once, so shifts cost nothing here either."""
    legs = [
        {"length": 180.0, "gradient": 0.08},
        {"length": 60.0, "gradient": 0.09, "radius": 45.0},
        {"length": 260.0, "gradient": 0.03},
        {"length": 35.0, "gradient": -0.02, "radius": 22.0},
        {"length": 210.0, "gradient": -0.06},
        {"length": 50.0, "radius": 70.0},
        {"length": 150.0},
    ]
    given = {name: value for name, value in CAR.items() if name not in LAUNCH}
    given |= {"start": "rolling", "start_speed": 14.0, "shift_time": 0.0, "lowest_gear": 2, "legs": legs}
    given |= changes
    found = course.compute(given, Working())
    times = times_on_grid(given)
    assert found["course_time"] == pytest.approx(sum(times), rel=4e-4)
    assert isinstance(found["leg_time"], dict)
    assert list(found["leg_time"].values()) == pytest.approx(times, abs=0.006)


def test_a_run_is_driven_again_only_where_what_it_rests_on_is_another(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As its uncertainty is worked out: a reference time, a price and the doubt of the whole time drive no
    car."""
    driven = []

    def counted(given: Mapping[str, Any], keys: Sequence[str], working: Working) -> Any:
        driven.append(given["vehicle_mass"])
        return real(given, keys, working)

    real = course._driven
    monkeypatch.setattr(course, "_driven", counted)
    monkeypatch.setattr(course, "_RUNS", MadeBefore(9))
    given = {**CAR, "legs": HILL, "added_mass": 10.0, "reference_time": 60.0}
    before = course.compute(given, Working(noted=False))
    assert len(driven) == 2, "with the added mass and without"
    later = course.compute({**given, "reference_time": 61.0}, Working(noted=False))
    assert later["time_gained"] == pytest.approx(before["time_gained"] + 1)  # type: ignore[operator]
    slower = course.compute(given, Working(noted=False, shifts={course._MODEL.origin: 1.0}))
    assert slower["course_time"] == pytest.approx(before["course_time"] * 1.015)  # type: ignore[operator]
    assert len(driven) == 2
    course.compute({**given, "added_mass": 11.0}, Working(noted=False))
    assert len(driven) == 3
    course.compute({**given, "tyre_friction": CAR["tyre_friction"] * 1.001}, Working(noted=False))
    assert len(driven) == 5
