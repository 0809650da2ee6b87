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

Sources: *Marks' Standard Handbook for Mechanical Engineers*; R. Noon, *Engineering Analysis of Vehicular
Accidents*, 1994 (both as quoted in tables on the web); Engineering ToolBox, *Rolling resistance* and *Car,
traction force*; U.S. EPA, target coefficients of cars tested 2010–2023, 5th to 95th percentile; *Bosch
Automotive Handbook*.

**Rotating parts** count as mass: in first gear the car feels 1.2 to 1.6 times its weight. The kind
`flywheel` tells how to measure them. Losses are not put on their own torque.

**Tyres.** With wheelbase, height of the centre of gravity, share on the drive axle and friction the force
is held to what the tyres carry, load transfer counted, by a driver who feeds in exactly that. Lift, the
twist of a live axle and wheelspin are left out. Without these four the tyres hold everything, and a start
comes out too fast.

**Launch.** The engine is held at `launch_speed` and the clutch slips at `launch_torque` (if left out, all
that the engine gives there) until the car has caught up. Energy taken out of the flywheel is not in it.
With `start_speed` the run begins rolling instead. A time from `speed_from` to `speed_to` goes by both, as
they are written: `time_between.30-60-mph`. To hold one gear, give `gears` with that gear alone.

**Shifts** come where the next gear accelerates no less, or at the limiter; or at `shift_revs`. For
`shift_time` the car coasts. `shift_speed` is where the run's shifts are, `best_shift_revs` where they would
be best, without regard to the tyres and the time a shift takes.

**Course.** `distance` and `gradient` (rise over level run) are your own hill. The gradient holds for every
result of the block, top speed included.

**Accuracy.** The equation of motion is integrated by a method of 5th order that lands on every row, shift,
speed and distance; `integration_error` bounds what that costs. The model is worth far less: friction,
launch and shift decide tenths of a second. Rely on differences between cases rather than on a time.

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

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, as_written
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Input,
    Listed,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Working,
    given_together,
)
from buildlog.kinds.keys import pair_key
from buildlog.kinds.models import car_model
from buildlog.physics import gear_run, torque_curve

KIND = "acceleration"

_REVS = Number(dimension="rotational speed", unit="rpm", low=300, high=20_000, why="piston engines of cars")
_SPEED = Number(dimension="speed", unit="km/h", low=0, high=450, why="road cars")
_INERTIA = Number(dimension="moment of inertia", unit="kg·m²", low=0, high=5, why="rotating parts of cars")

INPUTS = (
    Input(
        name="torque_curve",
        form=Table(
            (
                Input(name="engine_speed", form=_REVS, about="engine speed"),
                Input(
                    name="torque",
                    form=Number(dimension="torque", unit="N·m", low=0, high=2000, why="car engines"),
                    about="torque",
                ),
            ),
            2,
            torque_curve.MOST_ROWS,
        ),
        about="full-load torque at the clutch, rising in speed",
    ),
    Input(name="rev_limit", form=_REVS, about="engine speed at which the limiter cuts in"),
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios, first gear first",
    ),
    Input(
        name="final_drive",
        form=Number(dimension="ratio", unit="", low=1.5, high=8, why="final drives of cars"),
        about="final drive ratio, or tooth counts: driven/driving",
    ),
    Input(
        name="rolling_circumference",
        form=Number(dimension="length", unit="m", low=1, high=3, why="car tyres"),
        about="road covered by one turn of a driven wheel, as measured",
    ),
    Input(
        name="driveline_efficiency",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="drivelines of cars"),
        about="power at the wheels over power at the clutch",
    ),
    Input(
        name="vehicle_mass",
        form=Number(dimension="mass", unit="kg", low=200, high=3500, why="cars"),
        about="mass of the car with its load",
    ),
    Input(
        name="engine_inertia",
        form=_INERTIA,
        about="crankshaft and what turns with it, flywheel apart or included",
    ),
    Input(
        name="wheel_inertia", form=_INERTIA, about="one wheel with tyre, disc and hub; the mean of the four"
    ),
    Input(
        name="flywheel_inertia",
        form=_INERTIA,
        about="flywheel and clutch cover",
        default="0 kg·m²",
        default_source="counted in engine_inertia",
    ),
    Input(
        name="clutch_inertia",
        form=_INERTIA,
        about="clutch disc and gearbox input shaft",
        default="0 kg·m²",
        default_source="under a tenth of a flywheel's: left out",
    ),
    Input(
        name="gradient",
        form=Number(dimension="ratio", unit="%", low=-20, high=50, why="roads"),
        about="rise over level run",
        default="0 %",
        default_source="level road",
    ),
    Input(
        name="driven_axle",
        form=Choice({"rear": "rear wheels", "front": "front wheels"}),
        about="which wheels drive",
        default="rear",
        default_source="the cars that buildlog is made for",
    ),
    *(
        Input(name=name, form=form, about=about, required=False)
        for name, form, about in (
            (
                "drag_area",
                Number(dimension="area", unit="m²", low=0, high=3, why="cars"),
                "drag coefficient times frontal area",
            ),
            (
                "rolling_coefficient",
                Number(dimension="ratio", unit="", low=0, high=0.2, why="to soft ground"),
                "resistance by weight",
            ),
            (
                "air_density",
                Number(dimension="density", unit="kg/m³", low=0.5, high=1.6, why="on any road"),
                "or give the ambient air",
            ),
            (
                "altitude",
                Number(dimension="length", unit="m", low=-430, high=5900, why="roads"),
                "for the standard pressure",
            ),
            (
                "ambient_pressure",
                Number(dimension="pressure", unit="hPa", low=450, high=1085, why="roads"),
                "as read at the place, instead",
            ),
            (
                "ambient_temperature",
                Number(dimension="temperature", unit="°C", low=-40, high=50, why="weather"),
                "air temperature",
            ),
            (
                "relative_humidity",
                Number(dimension="ratio", unit="%", low=0, high=100, why="by definition"),
                "relative humidity",
            ),
            (
                "coast_down_constant",
                Number(dimension="force", unit="N", low=0, high=2000, why="cars"),
                "A, instead of drag area and so on",
            ),
            (
                "coast_down_linear",
                Number(dimension="force per speed", unit="N·s/m", low=-20, high=50, why="cars"),
                "B of a coast-down",
            ),
            (
                "coast_down_quadratic",
                Number(dimension="force per speed squared", unit="N·s²/m²", low=0, high=3, why="cars"),
                "C of it",
            ),
            ("wheelbase", Number(dimension="length", unit="m", low=1.2, high=4, why="cars"), "axle to axle"),
            (
                "centre_of_gravity_height",
                Number(dimension="length", unit="m", low=0.1, high=1.2, why="cars"),
                "above the road",
            ),
            (
                "drive_axle_share",
                Number(dimension="ratio", unit="%", low=20, high=80, why="cars"),
                "weight on it, standing level",
            ),
            (
                "tyre_friction",
                Number(dimension="ratio", unit="", low=0.05, high=2.5, why="ice to racing tyres"),
                "of the driven tyres",
            ),
            ("launch_speed", _REVS, "engine speed held at the start"),
            (
                "launch_torque",
                Number(dimension="torque", unit="N·m", low=1, high=2000, why="clutches of cars"),
                "carried while it slips",
            ),
            ("start_speed", _SPEED, "a rolling start at this speed instead"),
            (
                "shift_time",
                Number(dimension="time", unit="s", low=0, high=3, why="by hand or by machine"),
                "time without torque",
            ),
            ("shift_revs", _REVS, "engine speed of all shifts, instead of the best"),
            ("speed_from", Listed(_SPEED, 1, 12), "speeds from which times are wanted"),
            ("speed_to", Listed(_SPEED, 1, 12), "and to which, in the same order"),
            (
                "distance",
                Number(dimension="length", unit="m", low=1, high=20_000, why="courses"),
                "length of your own course",
            ),
            ("at_speed", _SPEED, "speed at which the resistance is wanted"),
        )
    ),
)

_LAUNCH = ("launch_speed",)

OUTPUTS = (
    Output(
        name="wheel_force",
        dimension="force",
        unit="N",
        about="wheel force at the torque's peak",
        decimals=0,
        key="gear",
    ),
    Output(
        name="effective_mass",
        dimension="mass",
        unit="kg",
        about="rotating parts as mass",
        decimals=1,
        key="gear",
    ),
    Output(
        name="mass_factor",
        dimension="ratio",
        unit="",
        about="mass with rotating parts over mass",
        decimals=3,
        key="gear",
    ),
    Output(
        name="traction_limit",
        dimension="force",
        unit="N",
        about="most that the driven tyres pass on",
        decimals=0,
        needs=car_model.GRIP,
    ),
    Output(
        name="resistance_at",
        dimension="force",
        unit="N",
        about="resistance at at_speed",
        decimals=0,
        needs=("at_speed",),
    ),
    Output(
        name="resistance_power_at",
        dimension="power",
        unit="kW",
        about="power it takes at the wheels",
        decimals=1,
        needs=("at_speed",),
    ),
    Output(
        name="best_shift_revs",
        dimension="rotational speed",
        unit="rpm",
        about="best revs to shift at",
        decimals=0,
        key="shift",
    ),
    Output(
        name="shift_speed",
        dimension="speed",
        unit="km/h",
        about="road speed of the run's shifts",
        decimals=1,
        key="shift",
    ),
    Output(
        name="highest_speed",
        dimension="speed",
        unit="km/h",
        about="highest speed held",
        decimals=1,
        key="gear",
    ),
    Output(name="top_speed", dimension="speed", unit="km/h", about="top speed", decimals=1),
    Output(
        name="top_speed_limit", dimension="text", unit="", about="gear of the top speed, and what ends it"
    ),
    Output(
        name="launch_torque",
        dimension="torque",
        unit="N·m",
        about="torque of the slipping clutch",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="lock_up_speed",
        dimension="speed",
        unit="km/h",
        about="road speed at which the slip ends",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="lock_up_time", dimension="time", unit="s", about="time until then", decimals=2, needs=_LAUNCH
    ),
    Output(
        name="traction_limited_to",
        dimension="speed",
        unit="km/h",
        about="speed up to which the tyres limit (0: never)",
        decimals=1,
        needs=car_model.GRIP,
    ),
    Output(name="time_to_100", dimension="time", unit="s", about="0–100 km/h", decimals=2, needs=_LAUNCH),
    Output(
        name="time_over",
        dimension="time",
        unit="s",
        about="time from the start over 60 ft, 201.168 m, 402.336 m",
        decimals=2,
        key="distance",
        needs=_LAUNCH,
    ),
    Output(
        name="speed_after",
        dimension="speed",
        unit="km/h",
        about="speed at the end of each",
        decimals=1,
        key="distance",
        needs=_LAUNCH,
    ),
    Output(
        name="time_between",
        dimension="time",
        unit="s",
        about="time from speed_from to speed_to",
        decimals=2,
        key="pair",
        of="speed_from",
        needs=("speed_from", "speed_to"),
    ),
    Output(
        name="course_time",
        dimension="time",
        unit="s",
        about="time over distance",
        decimals=2,
        needs=("distance",),
    ),
    Output(
        name="course_speed",
        dimension="speed",
        unit="km/h",
        about="speed at the end of distance",
        decimals=1,
        needs=("distance",),
    ),
    Output(name="limits", dimension="text", unit="", about="what limits the run, from which speed to which"),
    Output(
        name="integration_error",
        dimension="time",
        unit="µs",
        about="bound on the integration's error in these times",
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
        where="ch. 2, eqs. 2-9b and 2-10",
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
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 18, 23, 33a",
        standing="from memory",
    ),
    Source(
        id="buck",
        title="New equations for computing vapor pressure; coefficients of 1996",
        publisher="A. L. Buck",
        where="J. Appl. Meteorol. 20 (1981) 1527–1532; CR-1A User's Manual, Appendix 1",
    ),
    Source(
        id="dormand-prince",
        title="A family of embedded Runge-Kutta formulae, J. R. Dormand and P. J. Prince",
        where="J. Comput. Appl. Math. 6 (1980) 19–26; bounds as M. Hénon, Physica D 5 (1982) 412–414",
        standing="from memory",
    ),
)

HAZARDS = ("road-testing", "driveline", "speed-rating", "lifting")

_MARKS = {"60ft": 18.288, "201m": 201.168, "402m": 402.336}
_HUNDRED = 100 / 3.6
_FINE, _COARSE = 1e-9, 1e-7
"""Error that one step of the integration may have, in s, m and m/s."""


def _wanted(given: Mapping[str, Any], top_speed: float, working: Working) -> tuple[list[float], list[float]]:
    """Speeds and distances that the run has to pass."""
    given_together(given, ("speed_from", "speed_to"), "a time is from one speed to another")
    if len(given.get("speed_from", ())) != len(given.get("speed_to", ())):
        raise InputsConflict(
            "speed_to",
            f"{len(given['speed_to'])} speeds",
            f"as many as in speed_from, {len(given['speed_from'])}",
        )
    pairs = list(_pairs(given).values())
    for index, (first, last) in enumerate(pairs):
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
    speeds = [speed for pair in pairs for speed in pair]
    distances = [given["distance"]] if "distance" in given else []
    if "launch_speed" in given:
        distances += _MARKS.values()
        if top_speed > _HUNDRED:
            speeds.append(_HUNDRED)
        else:
            working.remark("The car does not reach 100 km/h on this road.")
    return speeds, distances


def _in_words(speed: float) -> str:
    return as_written(speed, f"{speed * 3.6:.1f} km/h")


def _pairs(given: Mapping[str, Any]) -> dict[str, tuple[float, float]]:
    """From which speed to which times are wanted, by the key of each pair."""
    pairs: dict[str, tuple[float, float]] = {}
    both = zip(given.get("speed_from", ()), given.get("speed_to", ()), strict=True)
    for number, (first, last) in enumerate(both, start=1):
        key = pair_key(first, last, number)
        if key in pairs:
            raise InputsConflict(
                "speed_to",
                f"{_in_words(first)} to {_in_words(last)} twice",
                "each pair once",
                at=(number - 1,),
            )
        pairs[key] = (first, last)
    return pairs


def _run(given: Mapping[str, Any], car: gear_run.Car, outputs: Outputs, working: Working) -> None:
    """Let the car run and read its times off."""
    speeds, distances = _wanted(given, outputs["top_speed"], working)  # type: ignore[arg-type]
    run = car.drive(speeds, distances, _FINE)

    def read(name: str, function: Callable[..., float], **arguments: float) -> float:
        return working.step(name, function, run, source="dormand-prince", **arguments)

    if "launch_speed" in given:
        outputs["lock_up_time"] = read("lock_up_time", gear_run.lock_up_moment)
        if _HUNDRED in speeds:
            outputs["time_to_100"] = read("time_to_100", gear_run.time_to_speed, road_speed=_HUNDRED)
        outputs["time_over"] = {
            key: read(f"time_over.{key}", gear_run.time_over_distance, distance=mark)
            for key, mark in _MARKS.items()
        }
        outputs["speed_after"] = {
            key: read(f"speed_after.{key}", gear_run.speed_over_distance, distance=mark)
            for key, mark in _MARKS.items()
        }
    if "speed_from" in given:
        outputs["time_between"] = {
            key: read(f"time_between.{key}", gear_run.time_between, first_speed=first, last_speed=last)
            for key, (first, last) in _pairs(given).items()
        }
    if "distance" in given:
        course = {"distance": float(given["distance"])}
        outputs["course_time"] = read("course_time", gear_run.time_over_distance, **course)
        outputs["course_speed"] = read("course_speed", gear_run.speed_over_distance, **course)
    if "traction_limit" in outputs:
        outputs["traction_limited_to"] = read("traction_limited_to", gear_run.traction_ends)
    ended = [
        stage.gear
        for stage, following in pairwise(run.stages)
        if stage.gear
        and stage.gear != following.gear
        and following.start.speed == car.gears[int(stage.gear) - 1].high
    ]
    last = f"; the limiter ends gear {', '.join(ended)}" if ended else ""
    outputs["limits"] = run.in_words() + last
    if speeds or distances:
        coarse = car.drive(speeds, distances, _COARSE)
        outputs["integration_error"] = working.step(
            "integration_error", gear_run.integration_error, run, coarse, source="dormand-prince"
        )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Forces, shift points, times and limits of one case; SI in, SI out."""
    built = car_model.build(given, working)
    outputs: Outputs = dict(built.outputs)
    if built.car is not None:
        _run(given, built.car, outputs, working)
    else:
        for name in ("speed_from", "speed_to", "distance"):
            if name in given:
                raise MissingInput("launch_speed", f"{name} without a start", "launch_speed, or start_speed")
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


def _speeds(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Speed against time, a curve a case; none where no case names a start."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        car = car_model.build(case.inputs, Working()).car
        if car is None:
            continue
        run = car.drive(*_wanted(case.inputs, case.outputs["top_speed"], Working()), _COARSE)
        thin = max(1, len(run.trace) // 100)
        trace = [*run.trace[:-1:thin], run.trace[-1]]
        series.append(
            Series(
                label=name or "speed", x=[at.time for at in trace], y=[at.speed for at in trace], style=style
            )
        )
    if not series:
        return None
    return ChartSpec(
        title="Speed and time",
        description="Road speed over time from the start, shifts included, until the last mark of the run.",
        x=Axis("time", "time", "s", from_zero=True),
        y=Axis("road speed", "speed", "km/h", from_zero=True),
        series=tuple(series),
    )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | tuple[ChartSpec, ...] | None:
    """Force against speed, and speed against time where a start is given."""
    forces, speeds = _forces(cases), _speeds(cases)
    return (forces,) if speeds is None else (forces, speeds)
