"""The kind `acceleration`: against closed forms and against the whole model written a second time."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given as examples
from hypothesis import strategies as st
from scipy.integrate import quad

from buildlog.calculators import acceleration
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, Refused
from buildlog.formulae.formula import formula_of
from buildlog.kinds.declaration import Outputs, Working
from tests.calculators.driven_by_scipy import Car
from tests.examples import with_examples

RPM = pi / 30
KMH = 1 / 3.6


def curve(*rows: tuple[float, float]) -> list[dict[str, float]]:
    return [{"engine_speed": speed * RPM, "torque": torque} for speed, torque in rows]


BRINDLE: dict[str, Any] = {
    "torque_curve": curve((1500, 118), (3000, 146), (4200, 155), (5500, 168), (7000, 157), (8100, 131)),
    "rev_limit": 8100 * RPM,
    "gears": [2.846, 1.875, 1.423, 1.143, 1.000],
    "final_drive": 41 / 9,
    "rolling_circumference": 1.776,
    "driveline_efficiency": 0.90,
    "vehicle_mass": 742.0,
    "engine_inertia": 0.07,
    "wheel_inertia": 0.7,
    "flywheel_inertia": 0.06,
    "clutch_inertia": 0.004,
    "gradient": 0.0,
    "driven_axle": "rear",
    "drag_area": 0.58,
    "rolling_coefficient": 0.013,
    "air_density": 1.19,
    "shift_time": 0.25,
}
PEAKY = curve((1000, 190), (4000, 210), (5000, 130), (8100, 90))
GRIP = {"wheelbase": 2.28, "centre_of_gravity_height": 0.44, "drive_axle_share": 0.53, "tyre_friction": 0.95}
LAUNCH = {"launch_speed": 5000 * RPM}


def ran(*groups: dict[str, Any], **changes: Any) -> tuple[Outputs, Working]:
    given = dict(BRINDLE)
    for group in (*groups, changes):
        given |= group
    working = Working()
    return acceleration.compute(
        {name: one for name, one in given.items() if one is not None}, working
    ), working


def outputs(*groups: dict[str, Any], **changes: Any) -> Any:
    return ran(*groups, **changes)[0]


# --- against the second model --------------------------------------------------------------


def test_from_a_standing_start_and_from_the_start_speed_itself() -> None:
    """The commonest question of all: 0 to 100 km/h; and from where a rolling run begins, both by the second
    model."""
    standing = outputs(GRIP | LAUNCH, speed_from=[0.0], speed_to=[100 * KMH])
    theirs = Car(BRINDLE | GRIP | LAUNCH).drive([100 * KMH], [])
    assert standing["time_between"]["1"] == pytest.approx(theirs.at_speed[100 * KMH][0], abs=2e-6)
    rolling = {"start_speed": 60 * KMH}
    run = outputs(rolling, speed_from=[60 * KMH], speed_to=[100 * KMH])
    theirs = Car(BRINDLE | rolling).drive([100 * KMH], [])
    assert run["time_between"]["1"] == pytest.approx(theirs.at_speed[100 * KMH][0], abs=2e-6)
    with pytest.raises(InputsConflict):
        outputs(rolling, speed_from=[59 * KMH], speed_to=[100 * KMH])


@pytest.mark.parametrize(
    "changes",
    [
        GRIP | LAUNCH,
        GRIP | LAUNCH | {"gradient": 0.12, "distance": 640.0, "final_drive": 3.9},
        GRIP | LAUNCH | {"driven_axle": "front", "drive_axle_share": 0.6, "launch_torque": 120.0},
        LAUNCH | {"launch_torque": 90.0, "shift_time": 0.0, "gradient": -0.04},
        GRIP | LAUNCH | {"tyre_friction": 0.35, "shift_time": 0.6, "vehicle_mass": 980.0},
        {"start_speed": 60 * KMH, "distance": 500.0, "engine_inertia": 0.2},
        GRIP | {"launch_speed": 3000 * RPM, "torque_curve": PEAKY},
    ],
)
def test_the_whole_model_by_scipy(changes: dict[str, Any]) -> None:
    pairs = {"speed_from": [70 * KMH, 40 * KMH * 2], "speed_to": [100 * KMH, 150 * KMH]}
    out = outputs(changes, pairs)
    standing = "launch_speed" in changes
    distances = [18.288, 201.168, 402.336] if standing else []
    distances += [changes["distance"]] if "distance" in changes else []
    speeds = [*pairs["speed_from"], *pairs["speed_to"]]
    theirs = Car(BRINDLE | changes).drive(speeds, distances)
    near: dict[str, Any] = {"abs": 2e-6}
    if standing:
        assert out["time_to_100"] == pytest.approx(theirs.at_speed[100 * KMH][0], **near)
        for key, distance in zip(("60ft", "201m", "402m"), distances, strict=False):
            assert out["time_over"][key] == pytest.approx(theirs.at_distance[distance][0], **near)
            assert out["speed_after"][key] == pytest.approx(theirs.at_distance[distance][2], **near)
    for number, (first, last) in enumerate(zip(pairs["speed_from"], pairs["speed_to"], strict=True), start=1):
        elapsed = theirs.at_speed[last][0] - theirs.at_speed[first][0]
        assert out["time_between"][f"{number}"] == pytest.approx(elapsed, **near)
    if "distance" in changes:
        assert out["course_time"] == pytest.approx(theirs.at_distance[changes["distance"]][0], **near)
        assert out["course_speed"] == pytest.approx(theirs.at_distance[changes["distance"]][2], **near)
    assert list(out["best_shift_revs"].values()) == pytest.approx(theirs.shift_revs, rel=1e-9)
    assert out["integration_error"] <= 1e-6
    # Top speed: where the second model holds its speed, with more just above and less just below.
    car, top = Car(BRINDLE | changes), out["top_speed"]
    gear = int(out["top_speed_limit"][5]) - 1
    if "limiter" in out["top_speed_limit"]:
        assert top == pytest.approx(BRINDLE["rev_limit"] * car.radius / car.ratios[gear], rel=1e-12)
        assert car.by_engine(top, gear) > 0
    else:
        assert car.by_engine(top, gear) == pytest.approx(0, abs=1e-9)
        assert car.by_engine(top * 1.001, gear) < 0 < car.by_engine(top * 0.999, gear)


# --- closed forms --------------------------------------------------------------------------

BARE = {
    "gears": [1.0],
    "final_drive": 1.0,
    "rolling_circumference": 2 * pi,
    "driveline_efficiency": 1.0,
    "engine_inertia": 0.0,
    "wheel_inertia": 0.0,
    "flywheel_inertia": 0.0,
    "clutch_inertia": 0.0,
    "drag_area": 0.0,
    "rolling_coefficient": 0.0,
    "vehicle_mass": 1200.0,
    "shift_time": None,
}


def test_standing_quarter_mile_at_constant_power() -> None:
    # Energy theorem: 100 kW on 1200 kg over 402.336 m without losses: t = (9 m x² / 8P)^(1/3) = 12.97689 s,
    # v = (3 P x / m)^(1/3) = 167.4218 km/h. The curve T = P/ω is laid through rows 1 % apart, from 1 m/s on,
    # which is passed after t_0 = m v_0² / 2P and x_0 = m v_0³ / 3P.
    speeds = [1.01**n for n in range(395)]
    rows = [{"engine_speed": speed, "torque": 1e5 / speed} for speed in speeds]
    first, mass = 1.0, 1200.0
    out = outputs(
        BARE,
        torque_curve=rows,
        rev_limit=speeds[-1],
        start_speed=first,
        distance=402.336 - mass * first**3 / 3e5,
    )
    assert out["course_time"] + mass * first**2 / 2e5 == pytest.approx(12.9768868757, rel=1e-4)
    assert out["course_speed"] / KMH == pytest.approx(167.421849385, rel=1e-4)


def test_constant_force_against_drag() -> None:
    # 4000 N on 1200 kg, 1.225 kg/m³, 0.65 m², from rest to 100 km/h: 8.55706705588 s (Newton: t = (m v_t / F)
    # artanh(v / v_t)); a clutch that slips at 4000 N·m on a wheel of 1 m radius makes the same force.
    flat = [{"engine_speed": speed, "torque": 4000.0} for speed in (1.0, 200.0)]
    out = outputs(
        BARE,
        torque_curve=flat,
        rev_limit=200.0,
        launch_speed=1.0,
        drag_area=0.65,
        air_density=1.225,
    )
    assert out["time_to_100"] == pytest.approx(8.55706705588, rel=1e-9)
    # Terminal speed √(F / k) = 100.233 m/s (balance of forces).
    assert out["top_speed"] == pytest.approx((4000 / (1.225 * 0.65 / 2)) ** 0.5, rel=1e-12)
    assert out["top_speed_limit"] == "gear 1: engine and resistance in balance"


def test_nothing_is_left_over_at_a_top_speed_in_balance() -> None:
    """Of a torque that changes with the speed (balance of forces); the limiter is not reached."""
    falling = [
        {"engine_speed": speed, "torque": torque}
        for speed, torque in ((1.0, 4000.0), (90.0, 3500.0), (180.0, 50.0))
    ]
    out, working = ran(
        BARE, torque_curve=falling, rev_limit=180.0, launch_speed=1.0, drag_area=0.65, air_density=1.225
    )
    steps = {step.name: step.result for step in working.steps}
    top = out["top_speed"]
    assert isinstance(top, float)
    assert out["top_speed_limit"] == "gear 1: engine and resistance in balance"
    assert steps["resistance_at_top_speed"] == pytest.approx(1.225 * 0.65 / 2 * top**2)
    assert steps["wheel_force_at_top_speed"] == pytest.approx(steps["resistance_at_top_speed"])
    assert steps["surplus_at_top_speed"] == pytest.approx(0.0, abs=1e-3)


def test_constant_force_and_tyres() -> None:
    # Without resistance the tyres alone hold the start: a = μ w g / (1 - μ h / L) by statics, x = a t² / 2.
    out = outputs(
        BARE,
        LAUNCH,
        GRIP,
        torque_curve=curve((500, 60_000), (9000, 60_000)),
        rev_limit=9000 * RPM,
        launch_speed=600 * RPM,
    )
    a = 0.95 * 0.53 * 9.80665 / (1 - 0.95 * 0.44 / 2.28)
    assert out["time_over"]["402m"] == pytest.approx((2 * 402.336 / a) ** 0.5, rel=1e-8)
    assert out["speed_after"]["60ft"] == pytest.approx((2 * a * 18.288) ** 0.5, rel=1e-8)
    assert out["traction_limit"] == pytest.approx(1200 * a, rel=1e-12)
    assert out["traction_limited_to"] == pytest.approx(out["speed_after"]["402m"], rel=1e-12)
    assert out["limits"].startswith("tyres 0 to ")


def test_shares_of_a_certified_coast_down() -> None:
    # U.S. EPA test vehicle DBF-MP52 (2013), A 29.61 lbf, B 0.3629 lbf/mph, C 0.01600 lbf/mph²:
    # 506.812159526 N at 100 km/h; 11.70067 hp (550 ft·lbf/s) at 50 mph.
    lbf, mph = 0.45359237 * 9.80665, 0.44704
    coast = {
        "coast_down_constant": 29.61 * lbf,
        "coast_down_linear": 0.3629 * lbf / mph,
        "coast_down_quadratic": 0.016 * lbf / mph**2,
        "drag_area": None,
        "rolling_coefficient": None,
        "air_density": None,
    }
    assert outputs(coast, at_speed=100 * KMH)["resistance_at"] == pytest.approx(506.812159526, rel=1e-6)
    power = outputs(coast, at_speed=50 * mph)["resistance_power_at"]
    assert power / (550 * 0.3048 * lbf) == pytest.approx(11.7006666667, rel=1e-6)


def test_wheel_force_and_mass_of_a_gear() -> None:
    # Equal kinetic energy: 1200 kg, wheels 4 × 1.0, engine 0.15 kg·m², 3.6 × 4.1, 0.310 m: 1581.67159209 kg.
    out = outputs(
        vehicle_mass=1200.0,
        wheel_inertia=1.0,
        engine_inertia=0.15,
        flywheel_inertia=0.0,
        clutch_inertia=0.0,
        gears=[3.6],
        final_drive=4.1,
        rolling_circumference=2 * pi * 0.310,
        driveline_efficiency=1.0,
    )
    assert out["effective_mass"]["1"] == pytest.approx(381.67159209, rel=1e-9)
    assert out["mass_factor"]["1"] == pytest.approx(1581.67159209 / 1200, rel=1e-9)
    # Kinematics: F = η T i / r at the curve's peak of 168 N·m.
    assert out["wheel_force"]["1"] == pytest.approx(168 * 3.6 * 4.1 / 0.310, rel=1e-12)


def test_density_from_the_ambient_air() -> None:
    # Dry air at 99 kPa and 25 °C: 1.1567 kg/m³ by p / (R T) with R = 287.05287 J/(kg·K) (ISO 2533).
    ambient = {"ambient_pressure": 99e3, "ambient_temperature": 298.15, "relative_humidity": 0.0}
    given = outputs(air_density=99e3 / (287.05287 * 298.15), at_speed=40.0)["resistance_at"]
    assert outputs(ambient, air_density=None, at_speed=40.0)["resistance_at"] == pytest.approx(
        given, rel=1e-5
    )
    # U.S. Standard Atmosphere 1976 at 1000 m: 89 876 Pa, which ambiance 1.3.1 gives too.
    high = {"altitude": 1000.0, "ambient_temperature": 298.15, "relative_humidity": 0.0}
    given = outputs(ambient, ambient_pressure=89876.2776, air_density=None, at_speed=40.0)["resistance_at"]
    assert outputs(high, air_density=None, at_speed=40.0)["resistance_at"] == pytest.approx(given, rel=1e-5)


# --- the names of the trade, and what is estimated ------------------------------------------


def test_coasting_of_a_certified_car_by_scipy() -> None:
    """Time of a coast-down by scipy's quad of m / (A + B v + C v²), with the coefficients of the U.S. EPA's
    test vehicle DBF-MP52 (2013), from 75 to 25 mph, and with the coefficients that make the other closed
    forms."""
    lbf, mph = 0.45359237 * 9.80665, 0.44704
    mass = BRINDLE["vehicle_mass"] + 4 * BRINDLE["wheel_inertia"] / (1.776 / 2 / pi) ** 2
    certified = (29.61 * lbf, 0.3629 * lbf / mph, 0.016 * lbf / mph**2)
    for a, b, c in (certified, (90.0, 30.0, 0.1), (120.0, 0.0, 0.0), (100.0, 0.0, 0.4), (90.0, 12.0, 0.4)):
        coast: dict[str, Any] = {
            "coast_down_constant": a,
            "coast_down_linear": b,
            "coast_down_quadratic": c,
            "drag_area": None,
            "rolling_coefficient": None,
            "air_density": None,
            "coast_from": [75 * mph],
            "coast_to": [25 * mph],
        }
        expected = quad(lambda v, a=a, b=b, c=c: mass / (a + b * v + c * v * v), 25 * mph, 75 * mph)[0]
        assert outputs(coast)["coast_down_time"]["1"] == pytest.approx(expected, rel=1e-9)


def test_coasting_downhill_to_where_the_slope_holds_it() -> None:
    """Below the speed at which slope and drag balance a car does not coast (Newton's first law)."""
    balance = ((9.80665 * 742 * (0.05 - 0.013) / (1 + 0.05**2) ** 0.5) / (1.19 * 0.58 / 2)) ** 0.5
    down: dict[str, Any] = {"gradient": -0.05, "coast_from": [50.0]}
    assert outputs(down, coast_to=[balance * 1.001])["coast_down_time"]["1"] > 60
    with pytest.raises(NoSolution, match="does not slow down"):
        outputs(down, coast_to=[balance * 0.999])


def test_estimated_inertias_are_those_of_their_sources() -> None:
    """Regulation (EU) 2017/1151, Annex XXI, Sub-Annex 4, 2.5.1: wheels 3 % of (mass + 25 kg), 30.75 kg at
    1000 kg. Gillespie and Wong, as public course code quotes them: 1.04 + 0.0025 i², which is 1.5846 at
    14.76."""
    plain: dict[str, Any] = {
        "engine_inertia": None,
        "wheel_inertia": None,
        "flywheel_inertia": 0.0,
        "clutch_inertia": 0.0,
        "vehicle_mass": 1000.0,
        "driveline_efficiency": 1.0,
        "gears": [3.6],
        "final_drive": 4.1,
        "shift_time": None,
    }
    found, working = ran(plain)
    out: Any = found
    steps = {step.name: step.result for step in working.steps}
    assert steps["mass_in_shift"] - 1000 == pytest.approx(30.75, rel=1e-9)
    assert out["mass_factor"]["1"] == pytest.approx(1.5846, abs=0.01)
    assert out["effective_mass"]["1"] - 30.75 == pytest.approx(0.0025 * 14.76**2 * 1000)
    # Each alone, the other as given.
    assert outputs(wheel_inertia=None)["effective_mass"]["5"] < outputs()["effective_mass"]["5"]
    with pytest.raises(MissingInput, match="engine_inertia"):
        outputs(engine_inertia=None, flywheel_inertia=0.06)


def test_losses_are_not_paid_on_what_the_inertia_keeps() -> None:
    """Torque by torque: T - J α reaches the gearbox, η i of it the wheels, α = i a / r; solved for a by hand:
    a = η i T / r / (m + η J i² / r²)."""
    given: dict[str, Any] = {"gears": [2.0], "final_drive": 4.0, "wheel_inertia": 0.0, "shift_time": None}
    given |= {"flywheel_inertia": 0.0, "clutch_inertia": 0.0, "engine_inertia": 0.2}
    out = outputs(given, driveline_efficiency=0.85)
    radius = 1.776 / 2 / pi
    moment = np.array([[742.0, -0.85 * 8 / radius], [8 / radius * 0.2, 1.0]])
    # Unknowns: acceleration, and the torque T' that reaches the gearbox: m a = η i T' / r, T' + J i a / r =
    # T.
    acceleration_, _ = np.linalg.solve(moment, np.array([0.0, 168.0]))
    ratio = out["wheel_force"]["1"] / (742.0 + out["effective_mass"]["1"])
    assert ratio == pytest.approx(acceleration_, rel=1e-12)


def test_peaks_of_the_curve() -> None:
    """Against a fine grid: power is torque times speed."""
    out = outputs()
    speeds = [row["engine_speed"] for row in BRINDLE["torque_curve"]]
    grid = np.linspace(speeds[0], speeds[-1], 1_000_001)
    power = grid * np.interp(grid, speeds, [row["torque"] for row in BRINDLE["torque_curve"]])
    assert out["peak_power"] == pytest.approx(power.max(), rel=1e-6)
    assert out["peak_power_revs"] == pytest.approx(grid[power.argmax()], rel=1e-5)
    assert out["peak_torque"] == 168.0
    assert out["peak_torque_revs"] == pytest.approx(5500 * RPM)


def test_roll_on_in_every_gear_by_scipy() -> None:
    """Each gear alone through the second model, from 50 to 90 km/h; first gear ends before that."""
    out = outputs(speed_from=[50 * KMH], speed_to=[90 * KMH])
    assert list(out["roll_on_time"]) == [f"1-gear-{gear}" for gear in (2, 3, 4, 5)]
    for gear in (2, 3, 4, 5):
        alone = BRINDLE | {"gears": [BRINDLE["gears"][gear - 1]], "start_speed": 50 * KMH, "shift_time": 0.0}
        theirs = Car(alone).drive([90 * KMH], []).at_speed[90 * KMH][0]
        assert out["roll_on_time"][f"1-gear-{gear}"] == pytest.approx(theirs, abs=2e-6)


def test_sixty_miles_an_hour_within_the_energy_bound() -> None:
    # Energy theorem: 200 hp and 3125 lb (columns of the U.S. EPA's test car DBF-MP52) need at least
    # m v² / (2 P) = 3.418905 s to 60 mph. At constant power, from 1 m/s on, it takes that less m v_0² / (2
    # P).
    power, mass, speed = 200 * 745.6998716, 3125 * 0.45359237, 60 * 0.44704
    speeds = [1.01**n for n in range(395)]
    rows = [{"engine_speed": one, "torque": power / one} for one in speeds]
    car: dict[str, Any] = {"torque_curve": rows, "rev_limit": speeds[-1], "vehicle_mass": mass}
    rolling = outputs(BARE, car, start_speed=1.0, speed_from=[1.0], speed_to=[speed])
    bound = mass * speed**2 / (2 * power)
    assert bound == pytest.approx(3.418905, rel=1e-5)
    assert rolling["time_between"]["1"] == pytest.approx(bound - mass / (2 * power), rel=1e-4)
    out = outputs(LAUNCH, GRIP)
    assert out["time_0_to_60_mph"] < out["time_to_100"]
    assert out["quarter_mile_time"] == out["time_over"]["402m"]
    assert out["quarter_mile_speed"] == out["speed_after"]["402m"]


def test_a_rolling_start_without_a_course() -> None:
    """Nothing to run to is no fault: forces and speeds are there, and no times."""
    out = outputs(start_speed=20.0)
    assert "limits" not in out
    assert "time_between" not in out
    with pytest.raises(InputsConflict, match="coast_to below"):
        outputs(coast_from=[10.0], coast_to=[20.0])


# --- properties ------------------------------------------------------------------------------

FEW = with_examples(25)


@FEW
@examples(
    st.sampled_from(
        [
            "vehicle_mass",
            "drag_area",
            "rolling_coefficient",
            "air_density",
            "engine_inertia",
            "wheel_inertia",
            "flywheel_inertia",
            "clutch_inertia",
            "shift_time",
        ]
    ),
    st.floats(1.02, 1.6),
)
def test_what_slows_a_car_down(name: str, factor: float) -> None:
    before = outputs(GRIP, LAUNCH)
    after = outputs(GRIP, LAUNCH, **{name: BRINDLE[name] * factor})
    assert after["time_over"]["402m"] > before["time_over"]["402m"]
    assert after["time_to_100"] > before["time_to_100"]


@FEW
@examples(st.floats(1.01, 1.5))
def test_what_makes_a_car_faster(factor: float) -> None:
    before = outputs(GRIP, LAUNCH)
    more = [{**row, "torque": row["torque"] * factor} for row in BRINDLE["torque_curve"]]
    for changes in ({"torque_curve": more}, {"tyre_friction": 0.95 * factor}, {"wheelbase": 2.28 / factor}):
        after = outputs(GRIP, LAUNCH, **changes)
        assert after["time_over"]["402m"] < before["time_over"]["402m"]
    assert outputs(GRIP, LAUNCH, torque_curve=more)["top_speed"] >= before["top_speed"]
    assert outputs(GRIP, LAUNCH, gradient=0.02 * factor)["time_to_100"] > before["time_to_100"]


@FEW
@examples(st.floats(0.5, 2.0))
def test_gears_and_tyre_in_the_same_proportion_change_nothing(factor: float) -> None:
    """A taller tyre with as much more final drive; the wheels' inertia goes with the radius squared."""
    before = outputs(GRIP, LAUNCH)
    after = outputs(
        GRIP,
        LAUNCH,
        final_drive=41 / 9 * factor,
        rolling_circumference=1.776 * factor,
        wheel_inertia=0.7 * factor**2,
    )
    for name in ("time_over", "speed_after", "wheel_force", "effective_mass", "shift_speed"):
        assert after[name] == pytest.approx(before[name], rel=1e-8)
    assert after["top_speed"] == pytest.approx(before["top_speed"], rel=1e-10)


@FEW
@examples(st.floats(500, 1800), st.floats(0.8, 1.0))
def test_no_car_beats_its_power(mass: float, efficiency: float) -> None:
    """Energy: reaching v takes at least m v² / (2 η P) at the engine's highest power P."""
    power = max(row["engine_speed"] * row["torque"] for row in BRINDLE["torque_curve"])
    # Between two rows the power bulges above both by no more than this.
    bound = mass * (100 * KMH) ** 2 / (2 * efficiency * power * 1.02)
    out = outputs(LAUNCH, vehicle_mass=mass, driveline_efficiency=efficiency)
    assert out["time_to_100"] > bound


@FEW
@examples(st.floats(0.9, 0.999), st.sampled_from(["1", "2", "3", "4"]))
def test_the_best_shift_beats_another(share: float, shift: str) -> None:
    """With no time lost in shifting no other revs give a shorter quarter mile."""
    best = outputs(LAUNCH, shift_time=0.0)
    worse = outputs(LAUNCH, shift_time=0.0, shift_revs=share * best["best_shift_revs"][shift])
    assert worse["time_over"]["402m"] >= best["time_over"]["402m"] - 1e-9


# --- what is said ------------------------------------------------------------------------------


def test_what_limits_where_is_said() -> None:
    out, working = ran(GRIP, LAUNCH, launch_torque=60.0)
    assert out["limits"].startswith("clutch slip 0 to 41 km/h; tyres 41 to ")  # type: ignore[union-attr]
    assert out["limits"].endswith("; the limiter ends gear 1, 2")  # type: ignore[union-attr]
    out = outputs(GRIP, LAUNCH, tyre_friction=1.5)
    assert out["limits"].startswith("clutch slip 0 to 41 km/h; engine 41 to ")
    assert out["traction_limited_to"] == 0.0
    out, _ = ran(GRIP, LAUNCH)
    assert out["limits"].startswith("tyres 0 to ")  # type: ignore[union-attr]
    assert out["lock_up_speed"] / KMH == pytest.approx(41.1, abs=0.05)  # type: ignore[operator]
    _, working = ran(LAUNCH)
    assert any("the tyres are taken to hold everything" in remark for remark in working.remarks)


def test_a_low_limiter_holds_the_last_gear() -> None:
    out, working = ran(LAUNCH, GRIP, gears=[2.846], shift_time=None)
    limit = 8100 * RPM * 1.776 / (2 * pi * 2.846 * 41 / 9)
    assert out["top_speed"] == pytest.approx(limit)
    assert out["speed_after"]["402m"] == pytest.approx(limit)  # type: ignore[index]
    assert out["limits"].endswith("limiter at 67 km/h")  # type: ignore[union-attr]
    assert "time_to_100" not in out
    assert working.remarks == ["The car does not reach 100 km/h on this road."]
    # At the limiter the rest of the way goes at the limiter's speed (kinematics).
    more = outputs(LAUNCH, GRIP, gears=[2.846], shift_time=None, distance=500.0)
    assert more["course_time"] - more["time_over"]["402m"] == pytest.approx((500 - 402.336) / limit)


def test_a_gear_that_the_next_cannot_follow_is_held() -> None:
    """Uphill with a load second gear has less force than the slope takes: first stays in at the limiter."""
    out = outputs(LAUNCH, vehicle_mass=1400.0, gradient=0.4, distance=3000.0)
    limit = out["shift_speed"]["1"]
    slope = 1400 * 9.80665 * 0.4 / (1 + 0.4**2) ** 0.5
    assert out["wheel_force"]["2"] < slope < out["wheel_force"]["1"]
    assert out["course_speed"] == limit == out["top_speed"]
    assert out["limits"].endswith("; limiter at 67 km/h")
    assert out["highest_speed"]["2"] == 0.0


def test_every_output_comes_from_a_step() -> None:
    given = GRIP | LAUNCH | {"at_speed": 30.0, "distance": 640.0, "speed_from": [20.0], "speed_to": [40.0]}
    given |= {"coast_from": [30.0], "coast_to": [20.0]}
    out, working = ran(given)
    steps = {step.name: step.result for step in working.steps}
    known = {one.name: one for one in acceleration.OUTPUTS}
    for name, value in out.items():
        assert name in known
        if isinstance(value, str) or name == "launch_torque":
            continue
        for key, number in value.items() if isinstance(value, dict) else [("", value)]:
            assert steps[f"{name}.{key}" if key else name] == number
    assert set(out) == set(known)
    assert {step.source for step in working.steps} <= {source.id for source in acceleration.SOURCES}
    assert steps["surplus_at_top_speed"] >= -1e-6


def test_every_step_can_be_written_out() -> None:
    """A formula of a run, which is no number, is told in words; once it ended in a traceback."""
    given = GRIP | LAUNCH | {"at_speed": 30.0, "distance": 640.0, "speed_from": [20.0], "speed_to": [40.0]}
    given |= {"coast_from": [30.0], "coast_to": [20.0]}
    _, working = ran(given)
    for step in working.steps:
        formula = formula_of(step.function)
        assert formula.text(step.arguments)
        assert formula.mathml(step.arguments)
        assert formula.filled_text(step.arguments, step.result)
    between = next(step for step in working.steps if step.name == "time_between.1")
    assert "∫ dv / a(v)" in formula_of(between.function).text(between.arguments)


def test_without_a_start_only_forces_and_speeds() -> None:
    out = outputs(shift_time=None)
    assert {"wheel_force", "best_shift_revs", "top_speed"} <= set(out)
    assert not {"time_over", "limits", "integration_error"} & set(out)


@pytest.mark.parametrize(
    "changes,kind,name,words",
    [
        ({"gears": [2.0, 2.0]}, InputsConflict, "gears", "fall from first gear to last"),
        ({"drag_area": None}, MissingInput, "drag_area", "or the three coast_down coefficients"),
        ({"rolling_coefficient": None}, MissingInput, "rolling_coefficient", "coast_down"),
        ({"air_density": None}, MissingInput, "air_density", "one of them"),
        ({"ambient_temperature": 290.0}, InputsConflict, "ambient_temperature", "one of the two"),
        ({"air_density": None, "altitude": 1.0}, MissingInput, "ambient_temperature", "as well"),
        ({"air_density": None, "altitude": 1.0, "ambient_pressure": 1e5}, InputsConflict, "altitude", "one"),
        ({"coast_down_constant": 100.0}, MissingInput, "coast_down_linear", "as well"),
        (
            {"coast_down_constant": 100.0, "coast_down_linear": 1.0, "coast_down_quadratic": 0.4},
            InputsConflict,
            "drag_area",
            "one of the two",
        ),
        ({"wheelbase": 2.3}, MissingInput, "centre_of_gravity_height", "as well"),
        ({"launch_torque": 100.0}, MissingInput, "launch_speed", "as well"),
        (LAUNCH | {"start_speed": 20.0}, InputsConflict, "start_speed", "one of the two"),
        (LAUNCH | {"launch_torque": 170.0}, InputsConflict, "launch_torque", "at most 163.0 N·m"),
        (LAUNCH | {"shift_time": None}, MissingInput, "shift_time", "shift_time"),
        ({"launch_speed": 900 * RPM}, OutOfRange, "launch_speed", "1500 rpm to 8100 rpm"),
        ({"launch_speed": 8100 * RPM}, InputsConflict, "launch_speed", "less than the first shift"),
        ({"start_speed": 1.0}, OutOfRange, "start_speed", "12.3 km/h or more"),
        ({"start_speed": 80.0}, OutOfRange, "start_speed", "less than 189.5 km/h"),
        ({"shift_revs": 9000 * RPM}, OutOfRange, "shift_revs", "1500 rpm to 8100 rpm"),
        (
            {"shift_revs": 2200 * RPM, "torque_curve": curve((2000, 140), (8100, 140))},
            OutOfRange,
            "shift_revs",
            "a later shift",
        ),
        ({"torque_curve": curve((6000, 140), (8100, 140))}, OutOfRange, "torque_curve", "begins low enough"),
        ({"rev_limit": 8500 * RPM}, InputsConflict, "torque_curve", "rows up to rev_limit, 8500 rpm"),
        (
            {"gradient": 0.9, "tyre_friction": 0.4} | {k: v for k, v in GRIP.items() if k != "tyre_friction"},
            NoSolution,
            "gradient",
            "a road that it can climb",
        ),
        (LAUNCH | {"gradient": 0.5, "launch_torque": 40.0}, NoSolution, "launch_torque", "that moves off"),
        (LAUNCH | {"speed_from": [10.0]}, MissingInput, "speed_to", "as well"),
        (LAUNCH | {"speed_from": [10.0], "speed_to": [20.0, 30.0]}, InputsConflict, "speed_to", "as many as"),
        (LAUNCH | {"speed_from": [30.0], "speed_to": [20.0]}, InputsConflict, "speed_to", "above speed_from"),
        ({"start_speed": 20.0, "speed_from": [9.0], "speed_to": [30.0]}, InputsConflict, "speed_to", "below"),
        (LAUNCH | {"speed_from": [10.0], "speed_to": [60.0]}, NoSolution, "speed_to", "less than the top"),
        ({"distance": 100.0}, MissingInput, "launch_speed", "launch_speed, or start_speed"),
        (
            {
                "start_speed": 10.0,
                "shift_time": 3.0,
                "gradient": 0.5,
                "distance": 9e2,
                "shift_revs": 5000 * RPM,
            },
            NoSolution,
            "shift_time",
            "one that rolls on",
        ),
    ],
)
def test_faults_name_the_input(changes: dict[str, Any], kind: type[Refused], name: str, words: str) -> None:
    with pytest.raises(kind) as refused:
        outputs(changes)
    assert refused.value.name == name
    assert words in refused.value.expected


def test_a_shift_that_lands_below_the_curve() -> None:
    # Uphill the car slows down during the shift: the next gear's revs fall below the first row.
    rows = curve((5200, 160), (8100, 150))
    with pytest.raises(OutOfRange, match=r"torque_curve: found gear 2 at .* below the first row"):
        outputs(torque_curve=rows, start_speed=60 * KMH, shift_time=1.5, gradient=0.2, distance=900.0)


def test_a_clutch_that_never_locks_up() -> None:
    with pytest.raises(NoSolution, match="launch_speed: found a clutch that slips until the end"):
        outputs(GRIP, LAUNCH, tyre_friction=0.12, gears=[1.0], final_drive=1.6, launch_speed=8000 * RPM)
