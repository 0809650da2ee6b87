"""Wheel force, shift points, times and distances of a car that accelerates, and what limits it where.

**Torque curve.** Rows of engine speed and torque at the clutch, or a CSV file with these columns. Straight
lines join the rows, so give one wherever the curve bends, down to the lowest revs after a shift and up to
the rev limit. Torque measured on rollers and divided by the overall ratio is already less the losses: then
give `driveline_efficiency: 100 %`. The curve is used as it stands; correct it to the day's air first.

**Resistance.** Drag area, air density (or the ambient air) and a rolling coefficient; or the three
coefficients of a coast-down test. Those are better, and have the driveline's drag without load in them: with
them an efficiency from the upper end of its range counts it only once.

| quantity | range | source |
|---|---|---|
| rolling coefficient, hard road | 0.008–0.015 | Marks, after Moyer; Engineering ToolBox |
| rolling coefficient, packed gravel | 0.012–0.02 | the same |
| rolling coefficient, loose wet gravel | 0.06 | Marks, after Moyer |
| tyre friction, dry asphalt and concrete | 0.65–0.9 | Noon; Engineering ToolBox |
| tyre friction, wet asphalt and concrete | 0.5–0.6 | the same |
| tyre friction, gravel | 0.35–0.7 | the same |
| tyre friction, warm competition tyres | 1.0–1.5 | common practice, no source |
| coast-down A | 120–220 N | EPA, 496 rear-drive manual cars |
| coast-down B | 1.0–6.4 N·s/m | the same |
| coast-down C | 0.29–0.49 N·s²/m² | the same |
| drag area, from that C at 1.225 kg/m³ | 0.47–0.81 m² | the same |
| driveline efficiency, engine and axle in line | 88–92 % | Bosch (from memory) |
| inertia of one wheel with its tyre | 0.6–1.3 kg·m² | common practice, no source |
| inertia of engine; of flywheel and clutch | 0.05–0.2; 0.05–0.5 kg·m² | common practice, no source |
| rotating mass of all wheels | 3 % of the car and 25 kg | Regulation (EU) 2017/1151 |

Sources: *Marks' Standard Handbook for Mechanical Engineers*; R. Noon, *Engineering Analysis of Vehicular
Accidents*, 1994 (both as quoted in tables on the web); Engineering ToolBox, *Rolling resistance* and *Car,
traction force*; U.S. EPA, target coefficients of cars tested 2010–2023, 5th to 95th percentile; *Bosch
Automotive Handbook*.

**Rotating parts** count as mass: in first gear the car feels 1.2 to 1.6 times its weight. The kind
`flywheel` tells how to measure them. Where `wheel_inertia` or `engine_inertia` is left out, it is estimated
from the car's mass, with its doubt. The driveline's losses are not paid on what the engine's own inertia
keeps: the inertia counts by the efficiency.

**Tyres.** With wheelbase, height of the centre of gravity, share on the drive axle and friction the force
is held to what the tyres carry, load transfer counted, by a driver who feeds in exactly that. Lift, the
twist of a live axle and wheelspin are left out. Without these four the tyres hold everything, and a start
comes out too fast.

**Launch.** The engine is held at `launch_speed` and the clutch slips at `launch_torque` (if left out, all
that the engine gives there) until the car has caught up. Energy taken out of the flywheel is not in it.
Where the tyres take less than that, the car goes by the tyres, and `launch_torque` is still what the clutch
was let carry: the driver would have to let it slip with less, or spin the wheels.
With `start_speed` the run begins rolling instead. A time from `speed_from` to `speed_to` goes by both, as
they are written: `time_between.30-60-mph`. `roll_on_time` is the same with each gear held that can,
`roll_on_time.30-60-mph-gear-4`, and needs no start. `coast_from` and `coast_to` give the time of coasting in
neutral.

**Shifts** come where the next gear accelerates no less, or at the limiter; or at `shift_revs`. For
`shift_time` the car coasts. `shift_speed` is where the run's shifts are, `best_shift_revs` where they would
be best, without regard to the tyres and the time a shift takes.

**Course.** `distance` and `gradient` (rise over level run) are your own hill. The gradient holds for every
result of the block, top speed included.

**Accuracy.** The equation of motion is integrated by a method of 5th order that lands on every row, shift,
speed and distance; `integration_error` bounds what that costs. The model is worth far less, and its doubt is
in the results: 2 % of any time, 0.2 s of a standing start (common practice, no source), and what friction,
efficiency, drag and shift are uncertain by. Two cases share these; their difference is far surer.

```yaml
id: hill-start
kind: acceleration
inputs:
  torque_curve:
    - {engine_speed: 1500 rpm, torque: 118 N·m}
    - {engine_speed: 3000 rpm, torque: 146 N·m}
    - {engine_speed: 5500 rpm, torque: 168 N·m}
    - {engine_speed: 7000 rpm, torque: 157 N·m}
    - {engine_speed: 8100 rpm, torque: 131 N·m}
  rev_limit: 8100 rpm
  gears: [2.846, 1.875, 1.423, 1.143, 1.000]
  rolling_circumference: 1.776 m
  driveline_efficiency: 90 %
  vehicle_mass: 742 kg
  drag_area: 0.58 m²
  rolling_coefficient: 0.013
  air_density: 1.19 kg/m³
  engine_inertia: 0.07 kg·m²
  flywheel_inertia: 0.06 kg·m²
  wheel_inertia: 0.7 kg·m²
  wheelbase: 2.28 m
  centre_of_gravity_height: 0.44 m
  drive_axle_share: 53 %
  tyre_friction: 0.95
  launch_speed: 5000 rpm
  shift_time: 0.25 s
  distance: 640 m
  gradient: 9 %
cases:
  before: {final_drive: 39/10}
  after: {final_drive: 41/9}
```
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, as_written
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Doubt,
    Input,
    Listed,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Working,
    given_together,
)
from buildlog.kinds.keys import pair_key
from buildlog.kinds.models import car_model
from buildlog.kinds.models.car_inputs import BY_NAME, SPEED
from buildlog.physics import coasting, gear_run
from buildlog.physics.motion import Path
from buildlog.said import said

KIND = "acceleration"

INPUTS = (
    *(
        BY_NAME[name]
        for name in (
            "torque_curve",
            "rev_limit",
            "gears",
            "final_drive",
            "rolling_circumference",
            "driveline_efficiency",
            "vehicle_mass",
            "engine_inertia",
            "wheel_inertia",
            "flywheel_inertia",
            "clutch_inertia",
            "gradient",
            "driven_axle",
            "drag_area",
            "rolling_coefficient",
            "air_density",
            "altitude",
            "ambient_pressure",
            "ambient_temperature",
            "relative_humidity",
            "coast_down_constant",
            "coast_down_linear",
            "coast_down_quadratic",
            "wheelbase",
            "centre_of_gravity_height",
            "drive_axle_share",
            "tyre_friction",
            "launch_speed",
            "launch_torque",
            "start_speed",
            "shift_time",
            "shift_revs",
        )
    ),
    Input(
        name="speed_from",
        title="starting speeds",
        form=Listed(SPEED, 1, 12),
        about="speeds from which times are wanted",
        required=False,
    ),
    Input(
        name="speed_to",
        title="end speeds",
        form=Listed(SPEED, 1, 12),
        about="and to which, in the same order",
        required=False,
    ),
    Input(
        name="distance",
        form=Number(dimension="length", unit="m", low=1, high=20_000, why="courses"),
        about="length of your own course",
        required=False,
    ),
    Input(
        name="at_speed",
        title="speed of interest",
        form=SPEED,
        about="speed at which the resistance is wanted",
        required=False,
    ),
    Input(
        name="coast_from",
        title="starting speeds of coasting",
        form=Listed(SPEED, 1, 12),
        about="speeds from which the car coasts in neutral",
        required=False,
    ),
    Input(
        name="coast_to",
        title="end speeds of coasting",
        form=Listed(SPEED, 1, 12),
        about="and down to which, in the same order",
        required=False,
    ),
)

_LAUNCH = ("launch_speed",)

OUTPUTS = (
    Output(
        name="peak_torque",
        title="peak torque",
        dimension="torque",
        unit="N·m",
        about="of the curve",
        decimals=0,
    ),
    Output(
        name="peak_torque_revs",
        title="engine speed at peak torque",
        dimension="rotational speed",
        unit="rpm",
        about="of the curve",
        decimals=0,
    ),
    Output(
        name="peak_power",
        title="peak power",
        dimension="power",
        unit="kW",
        about="of the curve",
        decimals=1,
    ),
    Output(
        name="peak_power_revs",
        title="engine speed at peak power",
        dimension="rotational speed",
        unit="rpm",
        about="of the curve",
        decimals=0,
    ),
    Output(
        name="wheel_force",
        title="wheel force at peak torque",
        dimension="force",
        unit="N",
        about="wheel force at the torque's peak",
        decimals=0,
        key="gear",
    ),
    Output(
        name="effective_mass",
        title="effective mass of the rotating parts",
        dimension="mass",
        unit="kg",
        about="what they add to the car's mass",
        decimals=1,
        key="gear",
    ),
    Output(
        name="mass_factor",
        title="mass factor of the rotating parts",
        dimension="ratio",
        unit="",
        about="mass with them over mass",
        decimals=3,
        key="gear",
    ),
    Output(
        name="traction_limit",
        title="traction limit of the driven tyres",
        dimension="force",
        unit="N",
        about="most force that they pass on",
        decimals=0,
        needs=car_model.GRIP,
    ),
    Output(
        name="resistance_at",
        title="driving resistance at the stated speed",
        dimension="force",
        unit="N",
        decimals=0,
        needs=("at_speed",),
    ),
    Output(
        name="resistance_power_at",
        title="power at the wheels to hold the stated speed",
        dimension="power",
        unit="kW",
        decimals=1,
        needs=("at_speed",),
    ),
    Output(
        name="best_shift_revs",
        title="best engine speed to shift at",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
        key="shift",
    ),
    Output(
        name="shift_speed",
        title="road speed at the shift",
        dimension="speed",
        unit="km/h",
        about="of the run's shifts",
        decimals=1,
        key="shift",
    ),
    Output(
        name="highest_speed",
        title="highest speed held in the gear",
        dimension="speed",
        unit="km/h",
        decimals=1,
        key="gear",
    ),
    Output(
        name="top_speed", title="top speed", dimension="speed", unit="km/h", about="top speed", decimals=1
    ),
    Output(
        name="top_speed_limit",
        title="gear and limit of the top speed",
        dimension="text",
        unit="",
        about="what ends it",
    ),
    Output(
        name="launch_torque",
        title="launch torque through the clutch",
        dimension="torque",
        unit="N·m",
        about="what it is let carry at the start; the tyres may take less",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="lock_up_speed",
        title="road speed at clutch lock-up",
        dimension="speed",
        unit="km/h",
        about="where the slip ends",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="lock_up_time",
        title="time to clutch lock-up",
        dimension="time",
        unit="s",
        about="until the slip ends",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="traction_limited_to",
        title="speed up to which the tyres limit",
        dimension="speed",
        unit="km/h",
        about="0: never",
        decimals=1,
        needs=car_model.GRIP,
    ),
    Output(
        name="time_to_100",
        title="0–100 km/h time",
        dimension="time",
        unit="s",
        about="0–100 km/h",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="time_0_to_60_mph",
        title="0–60 mph time",
        dimension="time",
        unit="s",
        about="0–60 mph",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="quarter_mile_time",
        title="standing quarter-mile time",
        dimension="time",
        unit="s",
        about="standing quarter mile",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="quarter_mile_speed",
        title="speed at the end of the quarter mile",
        dimension="speed",
        unit="km/h",
        about="speed at the end of the quarter mile",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="time_over",
        title="split time from the start",
        dimension="time",
        unit="s",
        about="over 60 ft, 201.168 m, 402.336 m",
        decimals=2,
        key="distance",
        needs=_LAUNCH,
    ),
    Output(
        name="speed_after",
        title="speed at the split",
        dimension="speed",
        unit="km/h",
        about="at the end of each distance",
        decimals=1,
        key="distance",
        needs=_LAUNCH,
    ),
    Output(
        name="time_between",
        title="time between the two speeds",
        dimension="time",
        unit="s",
        decimals=2,
        key="pair",
        of="speed_from",
        needs=("speed_from", "speed_to"),
    ),
    Output(
        name="roll_on_time",
        title="roll-on time in one gear",
        dimension="time",
        unit="s",
        about="without a shift",
        decimals=2,
        key="pair and gear",
        needs=("speed_from", "speed_to"),
    ),
    Output(
        name="coast_down_time",
        title="coast-down time in neutral",
        dimension="time",
        unit="s",
        decimals=1,
        key="pair",
        of="coast_from",
        needs=("coast_from", "coast_to"),
    ),
    Output(
        name="course_time",
        title="time over the stated distance",
        dimension="time",
        unit="s",
        about="time over distance",
        decimals=2,
        needs=("distance",),
    ),
    Output(
        name="course_speed",
        title="speed at the end of the stated distance",
        dimension="speed",
        unit="km/h",
        about="speed at the end of distance",
        decimals=1,
        needs=("distance",),
    ),
    Output(
        name="limits",
        title="limits along the run",
        dimension="text",
        unit="",
        about="what limits the run, from which speed to which",
    ),
    Output(
        name="integration_error",
        title="bound on the integration error of the times",
        dimension="time",
        unit="µs",
        decimals=4,
    ),
)

SOURCES = (
    Source(id="mechanics", title="Kinematics, statics and Newton's second law", standing="derived"),
    Source(
        id="gillespie",
        title="Fundamentals of Vehicle Dynamics, T. D. Gillespie",
        publisher="SAE",
        edition="1992",
        where="ch. 2, eq. 2-9",
        standing="from memory",
    ),
    Source(
        id="wong",
        title="Theory of Ground Vehicles, J. Y. Wong",
        publisher="Wiley",
        where="1.2 and 3.1",
        standing="from memory",
    ),
    Source(
        id="epa",
        title="Data on cars used for testing fuel economy, model years 2010–2023",
        publisher="U.S. Environmental Protection Agency",
        where="target coast-down coefficients A, B, C",
    ),
    Source(
        id="coast-down",
        title="Coast-down with a resistance A + B v + C v² on the test mass and the rotating mass",
        publisher="Official Journal of the European Union",
        where="Regulation (EU) 2017/1151, Annex XXI, Sub-Annex 4, 2.5.2; integrated",
    ),
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 18, 23, 33a, as the source code of galata and poliastro has them (read)",
    ),
    Source(
        id="buck",
        title="New equations for computing vapor pressure; coefficients of 1996",
        publisher="A. L. Buck",
        where="J. Appl. Meteorol. 20 (1981) 1527–1532; CR-1A User's Manual, Appendix 1",
    ),
    *car_model.INERTIA_SOURCES,
    Source(
        id="common-practice",
        title="What drivers and testers allow for",
        standing="common practice, no source",
    ),
    Source(
        id="dormand-prince",
        title="A family of embedded Runge-Kutta formulae, J. R. Dormand and P. J. Prince",
        where="J. Comput. Appl. Math. 6 (1980) 19–26; bounds as M. Hénon, Physica D 5 (1982) 412–414",
        standing="from memory",
    ),
)

_RUN = Doubt(
    name="straight_line_run",
    about="a run by a car in balance, on a curve that the engine reaches at once, by a driver without fault",
    source="common-practice",
    formula="dormand-prince",
    relative=0.02,
    range="cars with a closed clutch",
)
_STANDING = Doubt(
    name="standing_start",
    about="a standing start by a driver and on a surface as supposed",
    source="common-practice",
    formula="dormand-prince",
    relative=0.02,
    absolute=0.2,
    unit="s",
    range="starts with a slipping clutch",
)
_COAST = Doubt(
    name="coasting",
    about="resistance that a coast-down has beside its three coefficients: wind, tyre warmth",
    source="common-practice",
    formula="coast-down",
    relative=0.03,
    range="still, dry days",
)

DOUBTS = (_RUN, _STANDING, _COAST, *car_model.DOUBTS)

DRAWS = 100

HAZARDS = ("road-testing", "driveline", "speed-rating", "lifting")

_SIXTY_MPH = 26.8224
"""60 miles an hour, exactly (1 mile = 1609.344 m)."""
_MARKS = {"60ft": 18.288, "201m": 201.168, "402m": 402.336}
_HUNDRED = 100 / 3.6
_ROAD_TYRES = 1.2
_FINE, _COARSE = 1e-9, 1e-7
"""Error that one step of the integration may have, in s, m and m/s."""


def _pairs(given: Mapping[str, Any], first_name: str, last_name: str) -> dict[str, tuple[float, float]]:
    """From which speed to which times are wanted, by the key of each pair."""
    given_together(given, (first_name, last_name), "a time is from one speed to another")
    firsts, lasts = given.get(first_name, ()), given.get(last_name, ())
    if len(firsts) != len(lasts):
        raise InputsConflict(last_name, f"{len(lasts)} speeds", f"as many as in {first_name}, {len(firsts)}")
    pairs: dict[str, tuple[float, float]] = {}
    for number, (first, last) in enumerate(zip(firsts, lasts, strict=True), start=1):
        key = pair_key(first, last, number)
        if key in pairs:
            raise InputsConflict(
                last_name,
                f"{_in_words(first)} to {_in_words(last)} twice",
                "each pair once",
                at=(number - 1,),
            )
        pairs[key] = (first, last)
    return pairs


def _speed_pairs(given: Mapping[str, Any], top_speed: float) -> dict[str, tuple[float, float]]:
    """The pairs of speed_from and speed_to, each upwards and within what the car reaches."""
    pairs = _pairs(given, "speed_from", "speed_to")
    for index, (first, last) in enumerate(pairs.values()):
        if not given.get("start_speed", 0.0) <= first < last:
            raise InputsConflict(
                "speed_to",
                f"{_in_words(first)} to {_in_words(last)}",
                "speed_to above speed_from, and that not below the start",
                at=(index,),
            )
        if last >= top_speed:
            raise NoSolution(
                "speed_to",
                _in_words(last),
                f"less than the top speed, {top_speed * 3.6:.1f} km/h",
                at=(index,),
            )
    return pairs


def _wanted(given: Mapping[str, Any], top_speed: float, working: Working) -> tuple[list[float], list[float]]:
    """Speeds and distances that the run has to pass."""
    speeds = [speed for pair in _speed_pairs(given, top_speed).values() for speed in pair]
    distances = [given["distance"]] if "distance" in given else []
    if "launch_speed" in given:
        distances += _MARKS.values()
        speeds += [speed for speed in (_SIXTY_MPH, _HUNDRED) if speed < top_speed]
        if top_speed <= _HUNDRED:
            working.remark(said("The car does not reach 100 km/h on this road."))
    return speeds, distances


def _in_words(speed: float) -> str:
    return as_written(speed, f"{speed * 3.6:.1f} km/h")


def _standing(run: gear_run.GearRun, speeds: Sequence[float], working: Working) -> Outputs:
    """What a standing start is told by."""
    at: dict[str, float] = {"distance": _MARKS["402m"]}
    outputs: Outputs = {
        "lock_up_time": working.step("lock_up_time", gear_run.lock_up_moment, run, source=_STANDING),
        "time_over": {
            key: working.step(
                f"time_over.{key}", gear_run.time_over_distance, run, source=_STANDING, distance=mark
            )
            for key, mark in _MARKS.items()
        },
        "speed_after": {
            key: working.step(
                f"speed_after.{key}",
                gear_run.speed_over_distance,
                run,
                source="dormand-prince",
                distance=mark,
            )
            for key, mark in _MARKS.items()
        },
        "quarter_mile_time": working.step(
            "quarter_mile_time", gear_run.time_over_distance, run, source=_STANDING, **at
        ),
        "quarter_mile_speed": working.step(
            "quarter_mile_speed", gear_run.speed_over_distance, run, source="dormand-prince", **at
        ),
    }
    for name, speed in (("time_to_100", _HUNDRED), ("time_0_to_60_mph", _SIXTY_MPH)):
        if speed in speeds:
            outputs[name] = working.step(
                name, gear_run.time_to_speed, run, source=_STANDING, road_speed=speed
            )
    return outputs


def _run(given: Mapping[str, Any], car: gear_run.Car, outputs: Outputs, working: Working) -> None:
    """Let the car run and read its times off."""
    speeds, distances = _wanted(given, outputs["top_speed"], working)  # type: ignore[arg-type]
    run = car.drive(speeds, distances, _FINE)
    start = _RUN
    if "launch_speed" in given:
        start = _STANDING
        outputs |= _standing(run, speeds, working)
    if "speed_from" in given:
        outputs["time_between"] = {
            key: working.step(
                f"time_between.{key}",
                gear_run.time_between,
                run,
                source=_STANDING if first == 0 else _RUN,
                first_speed=first,
                last_speed=last,
            )
            for key, (first, last) in _pairs(given, "speed_from", "speed_to").items()
        }
    if "distance" in given:
        course = {"distance": float(given["distance"])}
        outputs["course_time"] = working.step(
            "course_time", gear_run.time_over_distance, run, source=start, **course
        )
        outputs["course_speed"] = working.step(
            "course_speed", gear_run.speed_over_distance, run, source="dormand-prince", **course
        )
    if "traction_limit" in outputs:
        outputs["traction_limited_to"] = working.step(
            "traction_limited_to", gear_run.traction_ends, run, source="dormand-prince"
        )
    if not speeds and not distances:
        return
    outputs["limits"] = _limits(run, car)
    coarse = car.drive(speeds, distances, _COARSE)
    outputs["integration_error"] = working.step(
        "integration_error", gear_run.integration_error, run, coarse, source="dormand-prince"
    )


def _limits(run: gear_run.GearRun, car: gear_run.Car) -> str:
    """What limits the run, in words, and which gears the limiter ends."""
    ended = [
        stage.gear
        for stage, following in pairwise(run.stages)
        if stage.gear
        and stage.gear != following.gear
        and following.start.speed == car.gears[int(stage.gear) - 1].high
    ]
    return run.in_words() + (f"; the limiter ends gear {', '.join(ended)}" if ended else "")


def _roll_on(given: Mapping[str, Any], built: car_model.Build, working: Working) -> dict[str, float]:
    """Times between speeds with each gear held, of the gears that can."""
    found: dict[str, float] = {}
    top_speed = built.outputs["top_speed"]
    assert isinstance(top_speed, float)
    for key, (first, last) in _speed_pairs(given, top_speed).items():
        for number, pull in enumerate(built.held, start=1):
            if pull.carries(first, last):
                name = f"{key}-gear-{number}"
                found[name] = working.step(
                    f"roll_on_time.{name}",
                    gear_run.roll_on_time,
                    pull,
                    source=_RUN,
                    first_speed=first,
                    last_speed=last,
                )
    return found


def _coasting(given: Mapping[str, Any], built: car_model.Build, working: Working) -> dict[str, float]:
    """Times of coasting in neutral."""
    found: dict[str, float] = {}
    for index, (key, (first, last)) in enumerate(_pairs(given, "coast_from", "coast_to").items()):
        if not last < first:
            raise InputsConflict(
                "coast_to",
                f"{_in_words(first)} to {_in_words(last)}",
                "coast_to below coast_from",
                at=(index,),
            )
        found[key] = working.step(
            f"coast_down_time.{key}",
            coasting.coast_down_time,
            source=_COAST,
            rolling_mass=built.rolling_mass,
            constant_resistance=built.resistance.constant,
            linear_resistance=built.resistance.linear,
            quadratic_resistance=built.resistance.quadratic,
            first_speed=first,
            last_speed=last,
        )
    return found


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Forces, shift points, times and limits of one case; SI in, SI out."""
    built = car_model.build(given, working)
    outputs: Outputs = dict(built.outputs)
    if rolling := _roll_on(given, built, working):
        outputs["roll_on_time"] = rolling
    if "coast_from" in given or "coast_to" in given:
        outputs["coast_down_time"] = _coasting(given, built, working)
    if built.car is not None:
        _run(given, built.car, outputs, working)
    elif "distance" in given:
        raise MissingInput("launch_speed", "distance without a start", "launch_speed, or start_speed")
    if given.get("tyre_friction", 0.0) > _ROAD_TYRES:
        working.remark(said("A friction above 1.2 is that of warm competition tyres, not of road tyres."))
    return outputs


def _at(points: Sequence[tuple[float, float]], speed: float) -> float:
    """Force at a speed, on the line between two points; nothing outside."""
    for (low, first), (high, last) in pairwise(points):
        if low <= speed <= high:
            return first + (last - first) * (speed - low) / (high - low)
    return 0.0


def _forces(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Wheel force against speed with the resistance: every gear of one case, or the best gear of several."""
    built = {name: car_model.build(case.inputs, Working()) for name, case in cases.items()}
    series: list[Series] = []
    for name, build in built.items():
        if len(built) == 1:
            for gear, points in enumerate(build.forces):
                low, high = points[0][0], points[-1][0]
                speeds = [*(low + (high - low) * part / 40 for part in range(40)), high]
                series.append(
                    Series(
                        label=f"gear {gear + 1}",
                        x=speeds,
                        y=[_at(points, speed) for speed in speeds],
                        style=gear,
                    )
                )
        else:
            low, high = build.forces[0][0][0], build.forces[-1][-1][0]
            speeds = [*(low + (high - low) * part / 100 for part in range(100)), high]
            best = [max(_at(points, speed) for points in build.forces) for speed in speeds]
            series.append(Series(label=name, x=speeds, y=best, style=len(series)))
    same = len({build.resistance for build in built.values()}) == 1
    for name, build in list(built.items())[: 1 if same else None]:
        speeds = [build.forces[-1][-1][0] * part / 60 for part in range(61)]
        series.append(
            Series(
                label="resistance" if same else f"resistance, {name}",
                x=speeds,
                y=[build.resistance.at(speed) for speed in speeds],
                style=len(series),
            )
        )
    limits = {build.traction: name for name, build in built.items() if build.traction is not None}
    return ChartSpec(
        title="Wheel force and resistance",
        description="Force at the driven wheels over road speed, "
        + ("in every gear" if len(built) == 1 else "each case in its strongest gear at every speed")
        + ", and the road's resistance. Where force and resistance meet the car has reached its top speed; a "
        "level line is the most that the tyres pass on.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("wheel force", "force", "N", from_zero=True),
        series=tuple(series),
        markers=tuple(
            Marker("tyres' limit" if len(limits) == 1 else f"tyres' limit, {name}", y=limit)
            for limit, name in limits.items()
        ),
    )


def _accelerations(cases: Mapping[str, CaseView]) -> ChartSpec:
    """The greatest acceleration over road speed, a curve a case, as sure as the wheel force is."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        build = car_model.build(case.inputs, Working())
        low, high = build.held[0].low, build.held[-1].high
        speeds = [*(low + (high - low) * part / 100 for part in range(100)), high]
        best, doubt = [], []
        for speed in speeds:
            value, gear = max(
                (pull.at(speed), number)
                for number, pull in enumerate(build.held)
                if pull.low <= speed <= pull.high
            )
            best.append(value)
            doubt.append(_doubt_of(case, build, gear, speed))
        sure = any(doubt)
        series.append(
            Series(
                label=name or "acceleration",
                x=speeds,
                y=best,
                style=style,
                low=[value - half for value, half in zip(best, doubt, strict=True)] if sure else (),
                high=[value + half for value, half in zip(best, doubt, strict=True)] if sure else (),
            )
        )
    return ChartSpec(
        title="Acceleration and speed",
        description="Acceleration over road speed in the gear that gives most, clutch closed; the band is "
        "what the uncertainty of the wheel force, or of the tyres' limit, makes of it.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("acceleration", "acceleration", "m/s²", from_zero=True),
        series=tuple(series),
    )


def _doubt_of(case: CaseView, build: car_model.Build, gear: int, speed: float) -> float:
    """Half the width of the band at a speed: of the force that limits there, over the mass it moves."""
    pull = build.held[gear]
    if pull.spans[pull.index(speed)].limit == "tyres":
        return case.uncertainty("traction_limit") / build.masses[gear]
    key = f"{gear + 1}"
    share: float = case.uncertainty("wheel_force", key) / case.outputs["wheel_force"][key]
    return share * _at(build.forces[gear], speed) / build.masses[gear]


def _runs(cases: Mapping[str, CaseView]) -> dict[str, gear_run.GearRun]:
    """The run of every case that names a start and something to run to."""
    runs = {}
    for name, case in cases.items():
        car = car_model.build(case.inputs, Working()).car
        if car is not None:
            wanted = _wanted(case.inputs, case.outputs["top_speed"], Working())
            if any(wanted):
                runs[name] = car.drive(*wanted, _COARSE)
    return runs


def _speeds(runs: Mapping[str, gear_run.GearRun]) -> ChartSpec:
    """Speed against time, a curve a case."""
    series = []
    for style, (name, run) in enumerate(runs.items()):
        thin = max(1, len(run.trace) // 100)
        trace = [*run.trace[:-1:thin], run.trace[-1]]
        series.append(
            Series(
                label=name or "speed", x=[at.time for at in trace], y=[at.speed for at in trace], style=style
            )
        )
    return ChartSpec(
        title="Speed and time",
        description="Road speed over time from the start, shifts included, until the last mark of the run.",
        x=Axis("time", "time", "s", from_zero=True),
        y=Axis("road speed", "speed", "km/h", from_zero=True),
        series=tuple(series),
    )


def _gained(runs: Mapping[str, gear_run.GearRun]) -> ChartSpec | None:
    """Time gained on the first case over distance, where there is more than one."""
    if len(runs) < 2:
        return None
    first, *others = runs
    end = min(run.trace[-1].distance for run in runs.values())
    marks = [end * part / 120 for part in range(121)]
    before = Path(runs[first].trace).times_at(marks)
    return ChartSpec(
        title="Time gained and distance",
        description=f"Time gained on {first} over distance from the start: where a line rises the case is "
        "the faster one, where it is level both are alike.",
        x=Axis("distance", "length", "m", from_zero=True),
        y=Axis(f"time gained on {first}", "time", "s"),
        series=tuple(
            Series(
                label=name,
                x=marks,
                y=[
                    base - own
                    for base, own in zip(before, Path(runs[name].trace).times_at(marks), strict=True)
                ],
                style=style,
            )
            for style, name in enumerate(others, start=1)
        ),
    )


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Force and acceleration against speed; where a start is given, speed against time and what is gained."""
    runs = _runs(cases)
    found = (_forces(cases), _accelerations(cases))
    if not runs:
        return found
    gained = _gained(runs)
    return (*found, _speeds(runs), *([gained] if gained else []))
