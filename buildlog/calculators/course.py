"""Time over a hill, a lap or a road of legs, speed along it, and what a change to the car is worth there.

**Legs.** Cut the course into pieces of one gradient and one radius, in the order of driving: `length` along
the line that is driven, `gradient` (rise over level run, downhill below 0), and for a bend either the
`radius` of that line or the `corner_speed` that this car was seen to hold there. A leg without both is a
straight. Give legs a `name` if figures are to rest on them. A CSV file does as well, its columns headed
`length [m]`, `gradient [%]`, `radius [m]`. A radius comes from a map (a circle laid over the line), or from a
run as speed² over lateral acceleration. Corners of one leg with `radius` get faster with better tyres;
`corner_speed` stays as it was given, whatever the car.

**Start.** `standing` from `launch_speed` with a slipping clutch, as in the kind `acceleration`; `rolling` at
`start_speed`; or a `flying` lap, which begins at the speed that it ends with. The end is crossed at whatever
speed the car has there.

**How it is found.** Quasi-steadily: at every moment the car is in balance, on a given line. Backwards from
the end each leg gets the speeds from which the brakes still reach the next corner; then the car is driven
forwards, with all that engine and tyres allow, up to a corner's speed or onto a braking curve. The tyres'
friction is a circle: what a corner takes is not there to drive or to brake with. The driven axle carries its
own share of the corner, and the load that driving moves onto it counts where `wheelbase` and
`centre_of_gravity_height` are given. `braking_efficiency` is the deceleration over what the friction would
allow, all wheels at their limit.

**Gears.** Upwards as in `acceleration`, each taking `shift_time`. After braking the car is in the lowest gear
that still has a tenth of its speed to go, not below `lowest_gear`; that change costs no time. Where the car
gets slower uphill it changes down, which does.

**What a change is worth.** Two cases compared (`vs`) are what it is worth on this course. With `added_mass`
there is `time_for_added_mass`, what that mass more would cost, from a second run. With `reference_time`, the
`course_time` of the car without the change (an address of another block), and the `price` of the change (a
bill's `cost_total`, say) there is `time_gained` and `cost_of_a_second`. What two blocks guess alike, each in
its own lines, counts as two guesses: put it into the car's sheet, and it cancels in the gain.

| what limits | default doubt | source |
|---|---|---|
| tyre friction of the day | 10 % | common practice, no source |
| braking efficiency | 10 % of the friction | common practice, no source |
| drag area; rolling coefficient | 10 %; 25 % | common practice, no source |
| time of a shift | 30 % | common practice, no source |
| the quasi-steady car on its given line | 3 % of the time | common practice, no source |

Friction above 1.2 is for warm competition tyres; the block says so. For a road tyre on dry asphalt see the
table of the kind `acceleration`. Lift, the load that a bend moves across the car, banking, the car's turning
in and a driver's line and nerve are left out: the time is a bound of what the car can do, and the difference
between two cases is worth far more than either.

```yaml
id: hill-times
kind: course
inputs:
  legs:
    - {name: start, length: 180 m, gradient: 8 %}
    - {name: left, length: 60 m, gradient: 9 %, radius: 45 m}
    - {name: climb, length: 260 m, gradient: 11 %}
    - {name: hairpin, length: 34 m, gradient: 9 %, corner_speed: 38 km/h}
    - {name: finish, length: 210 m, gradient: 7 %}
  start: standing
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
  vehicle_mass: 742 ± 5 kg
  drag_area: 0.58 m²
  rolling_coefficient: 0.013
  air_density: 1.19 kg/m³
  engine_inertia: 0.13 ± 0.01 kg·m²
  wheel_inertia: 0.7 kg·m²
  wheelbase: 2.28 m
  centre_of_gravity_height: 0.44 m
  drive_axle_share: 53 %
  tyre_friction: 0.95
  added_mass: 10 kg
  launch_speed: 5000 rpm
  shift_time: 0.25 s
cases:
  long: {final_drive: 39/10}
  short: {final_drive: 41/9}
show: [table, chart]
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from buildlog.diagnostics import InputsConflict, Refused
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.models import car_model, course_model
from buildlog.kinds.models.car_inputs import BY_NAME, SPEED
from buildlog.kinds.models.made_before import MadeBefore, as_key
from buildlog.kinds.money import CURRENCIES
from buildlog.physics import course_run
from buildlog.physics.motion import Path
from buildlog.said import said

KIND = "course"

_MOST_LEGS = 200

INPUTS = (
    Input(
        name="legs",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what figures in the text call it", required=False),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="m", low=1, high=20_000, why="courses"),
                    about="along the line that is driven",
                ),
                Input(
                    name="gradient",
                    form=Number(dimension="ratio", unit="%", low=-30, high=50, why="roads"),
                    about="rise over level run; level if left out",
                    required=False,
                ),
                Input(
                    name="radius",
                    form=Number(dimension="length", unit="m", low=3, high=5000, why="bends that slow a car"),
                    about="radius of the line in a bend",
                    required=False,
                ),
                Input(
                    name="corner_speed",
                    form=Number(dimension="speed", unit="km/h", low=5, high=400, why="road cars"),
                    about="the speed held in the bend, instead",
                    required=False,
                ),
            ),
            1,
            _MOST_LEGS,
        ),
        about="the course, leg by leg in the order of driving",
    ),
    Input(
        name="start",
        form=Choice(
            {
                "standing": "from a standstill, with launch_speed",
                "rolling": "at start_speed",
                "flying": "a lap that begins as it ends",
            }
        ),
        about="how the course is begun",
        default="standing",
        default_source="hill climbs and sprints",
    ),
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
        )
    ),
    Input(
        name="drive_axle_share",
        form=BY_NAME["drive_axle_share"].form,
        about="weight on the driven axle, standing level",
    ),
    Input(
        name="tyre_friction",
        form=BY_NAME["tyre_friction"].form,
        about="of all tyres, along the road and across it",
        doubt=BY_NAME["tyre_friction"].doubt,
    ),
    Input(
        name="braking_efficiency",
        form=Number(dimension="ratio", unit="%", low=10, high=100, why="by definition"),
        about="deceleration by the brakes over that which the friction allows",
        default="80 %",
        default_source="common practice, no source: brakes not balanced for every load; a driver's margin",
        doubt=Doubt(
            name="braking_efficiency",
            about="how near to the tyres' limit a driver brakes",
            source="common-practice",
            absolute=0.1,
            limits=True,
        ),
    ),
    BY_NAME["launch_speed"],
    BY_NAME["launch_torque"],
    Input(name="start_speed", form=SPEED, about="speed of a rolling start", required=False),
    Input(
        name="shift_time",
        form=BY_NAME["shift_time"].form,
        about="time without torque",
        doubt=BY_NAME["shift_time"].doubt,
    ),
    BY_NAME["shift_revs"],
    Input(
        name="lowest_gear",
        form=Whole(1, 10, "gearboxes"),
        about="lowest gear that is used on the move",
        default="1",
        default_source="every gear",
    ),
    Input(
        name="added_mass",
        form=Number(dimension="mass", unit="kg", low=1, high=500, why="loads of cars"),
        about="mass more, of which the cost in time is wanted",
        required=False,
    ),
    Input(
        name="reference_time",
        form=Number(dimension="time", unit="s", low=1, high=3600, why="courses"),
        about="course_time without the change that is to be judged",
        required=False,
    ),
    Input(name="currency", form=Choice(CURRENCIES), about="currency of the price (ISO 4217)", required=False),
    Input(
        name="price",
        form=Number(dimension="money", unit="", low=0, high=1e6, why="changes to cars"),
        about="price of that change",
        required=False,
    ),
)

_LAUNCH = ("launch_speed",)

OUTPUTS = (
    Output(
        name="course_time",
        title="time over the course",
        dimension="time",
        unit="s",
        about="time over the course",
        decimals=2,
    ),
    Output(
        name="leg_time",
        title="time on the leg",
        dimension="time",
        unit="s",
        about="time on each leg",
        decimals=2,
        key="leg",
        of="legs",
    ),
    Output(
        name="speed_at_end",
        title="speed at the end of the leg",
        dimension="speed",
        unit="km/h",
        about="speed at the end of each leg",
        decimals=1,
        key="leg",
        of="legs",
    ),
    Output(
        name="lowest_speed",
        title="lowest speed on the leg",
        dimension="speed",
        unit="km/h",
        about="lowest speed on each leg",
        decimals=1,
        key="leg",
        of="legs",
    ),
    Output(
        name="highest_speed",
        title="highest speed on the leg",
        dimension="speed",
        unit="km/h",
        about="highest speed on each leg",
        decimals=1,
        key="leg",
        of="legs",
    ),
    Output(
        name="gear",
        title="gear at the end of the leg",
        dimension="count",
        unit="",
        about="gear at the end of each leg",
        decimals=0,
        key="leg",
        of="legs",
    ),
    Output(
        name="corner_speed",
        title="corner speed that the tyres hold",
        dimension="speed",
        unit="km/h",
        about="in a bend of the leg's radius",
        decimals=1,
        key="leg",
        of="legs",
    ),
    Output(
        name="radius",
        title="corner radius behind the stated speed",
        dimension="length",
        unit="m",
        about="that the leg's stated corner speed stands for",
        decimals=1,
        key="leg",
        of="legs",
    ),
    Output(
        name="top_speed",
        title="highest speed on the course",
        dimension="speed",
        unit="km/h",
        about="highest speed on the course",
        decimals=1,
    ),
    Output(
        name="mean_speed",
        title="mean speed over the course",
        dimension="speed",
        unit="km/h",
        about="mean speed",
        decimals=1,
    ),
    Output(
        name="course_length",
        title="length of the course",
        dimension="length",
        unit="m",
        about="all legs",
        decimals=0,
    ),
    Output(
        name="full_throttle_share",
        title="share of the time at full throttle",
        dimension="ratio",
        unit="%",
        about="share of the time at full throttle",
        decimals=0,
    ),
    Output(
        name="tyre_limited_share",
        title="share of the time at the tyres' limit",
        dimension="ratio",
        unit="%",
        about="driving or in a corner",
        decimals=0,
    ),
    Output(
        name="braking_share",
        title="share of the time on the brakes",
        dimension="ratio",
        unit="%",
        about="share of the time on the brakes",
        decimals=0,
    ),
    Output(
        name="limiter_share",
        title="share of the time on the rev limiter",
        dimension="ratio",
        unit="%",
        about="share of the time on the rev limiter",
        decimals=0,
    ),
    Output(
        name="gear_changes",
        title="number of gear changes",
        dimension="count",
        unit="",
        about="up and down",
        decimals=0,
    ),
    Output(
        name="lock_up_time",
        title="time to clutch lock-up",
        dimension="time",
        unit="s",
        about="until the clutch slips no more",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="time_for_added_mass",
        title="time cost of the added mass",
        dimension="time",
        unit="s",
        about="what it would cost",
        decimals=3,
        needs=("added_mass",),
    ),
    Output(
        name="time_gained",
        title="time gained on the reference",
        dimension="time",
        unit="s",
        about="time gained on reference_time",
        decimals=2,
        needs=("reference_time",),
    ),
    Output(
        name="cost_of_a_second",
        title="cost of a second gained",
        dimension="money",
        unit="",
        about="at the rate of this change",
        decimals=0,
        needs=("reference_time", "price"),
    ),
)

SOURCES = (
    Source(id="mechanics", title="Kinematics, statics and Newton's second law", standing="derived"),
    Source(
        id="quasi-steady",
        title="A simple mono-dimensional approach for lap time optimisation, B. Lenzo and V. Rossi",
        where="Appl. Sci. 10 (2020) 1498, abstract and sections 1 and 3",
    ),
    Source(
        id="friction-circle",
        title="The friction circle with the load of each axle",
        standing="derived",
    ),
    Source(
        id="gillespie",
        title="Fundamentals of Vehicle Dynamics, T. D. Gillespie",
        publisher="SAE",
        edition="1992",
        where="ch. 2, eq. 2-9",
        standing="from memory",
    ),
    *car_model.INERTIA_SOURCES,
    Source(
        id="wong",
        title="Theory of Ground Vehicles, J. Y. Wong",
        publisher="Wiley",
        where="1.2 and 3.1",
        standing="from memory",
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
    Source(
        id="common-practice",
        title="What drivers and testers allow for",
        standing="common practice, no source",
    ),
)

_MODEL = Doubt(
    name="quasi_steady_course",
    about="a car in balance at every moment, on a line and by a driver without fault",
    source="common-practice",
    formula="quasi-steady",
    relative=0.03,
    range="courses of bends and straights, driven at the limit",
)

DOUBTS = (_MODEL, *car_model.DOUBTS)

DRAWS = 100

HAZARDS = ("road-testing", "driveline", "speed-rating")

_ROAD_TYRES = 1.2
_Driven = tuple[course_run.CourseRun, Mapping[str, float], Mapping[str, float]]
"""A run, and speed and radius of each corner."""


_WORTH = ("added_mass", "reference_time", "price", "currency")
"""Inputs that no run rests on."""
_RUNS = MadeBefore(128)
"""Of a case: some ten errors, moved four times each, with the added mass and without."""


def _drive(given: Mapping[str, Any], keys: Sequence[str], working: Working) -> _Driven:
    """One run. It gets nothing of what it does not rest on, and is the same where only that is moved."""
    driven = {name: value for name, value in given.items() if name not in _WORTH}
    if working.noted:
        return _driven(driven, keys, working)
    shifts = {origin: shift for origin, shift in working.shifts.items() if origin != _MODEL.origin}
    apart = Working(shifts=shifts, place=working.place, noted=False)
    key = as_key(driven), as_key(shifts), working.place
    return _RUNS.once(key, lambda: _driven(driven, keys, apart))


def _driven(given: Mapping[str, Any], keys: Sequence[str], working: Working) -> _Driven:
    course = course_model.build(given, keys, working)
    # Its moments are for charts, and many.
    return replace(course.drive(), trace=()), course.corner_speeds, course.radii


def _read(run: course_run.CourseRun, keys: Sequence[str], working: Working) -> Outputs:
    """What the run was, by leg and in all."""

    def by_leg(name: str, function: Callable[..., float]) -> dict[str, float]:
        return {
            key: working.step(f"{name}.{key}", function, run, source="quasi-steady", number=float(number))
            for number, key in enumerate(keys, start=1)
        }

    def whole(name: str, function: Callable[..., float]) -> float:
        return working.step(name, function, run, source="quasi-steady")

    outputs: Outputs = {
        "leg_time": {
            key: working.step(
                f"leg_time.{key}", course_run.time_of_leg, run, source=_MODEL, number=float(number)
            )
            for number, key in enumerate(keys, start=1)
        },
        "speed_at_end": by_leg("speed_at_end", course_run.speed_at_end),
        "lowest_speed": by_leg("lowest_speed", course_run.lowest_on_leg),
        "highest_speed": by_leg("highest_speed", course_run.highest_on_leg),
        "gear": by_leg("gear", course_run.gear_on_leg),
        "top_speed": whole("top_speed", course_run.top_speed_of_course),
        "full_throttle_share": whole("full_throttle_share", course_run.share_at_full_throttle),
        "tyre_limited_share": whole("tyre_limited_share", course_run.share_of_tyres),
        "braking_share": whole("braking_share", course_run.share_of_braking),
        "limiter_share": whole("limiter_share", course_run.share_on_limiter),
        "gear_changes": whole("gear_changes", course_run.gear_changes),
    }
    if run.launched:
        outputs["lock_up_time"] = whole("lock_up_time", course_run.lock_up_time)
    return outputs


def _worth(given: Mapping[str, Any], outputs: Outputs, keys: Sequence[str], working: Working) -> None:
    """What mass costs and what the change gains."""
    time = outputs["course_time"]
    assert isinstance(time, float)
    if "added_mass" in given:
        try:
            _by_mass(given, time, outputs, keys, working)
        except Refused:
            working.remark(said("With added_mass on board the car could not do this course so."))
    _gain(given, time, outputs, working)


def _by_mass(
    given: Mapping[str, Any], time: float, outputs: Outputs, keys: Sequence[str], working: Working
) -> None:
    """What more mass would cost, by a second run."""
    heavier = {**given, "vehicle_mass": float(given["vehicle_mass"]) + float(given["added_mass"])}
    aside = Working(shifts=working.shifts, noted=False)
    run, _, _ = _drive(heavier, keys, aside)
    heavier_time = working.step(
        "time_with_added_mass",
        course_run.time_of_course,
        run,
        source=_MODEL,
        course_length=outputs["course_length"],  # type: ignore[arg-type]
    )
    outputs["time_for_added_mass"] = working.step(
        "time_for_added_mass",
        course_run.time_lost,
        source="mechanics",
        heavier_time=heavier_time,
        course_time=time,
    )


def _gain(given: Mapping[str, Any], time: float, outputs: Outputs, working: Working) -> None:
    """What the change gains on the time without it, and for how much."""
    given_together(given, ("price",), "money has a currency", "currency")
    given_together(given, ("price",), "a second has a price where time is gained", "reference_time")
    if "reference_time" not in given:
        return
    gained = outputs["time_gained"] = working.step(
        "time_gained",
        course_run.time_gained,
        source="mechanics",
        reference_time=given["reference_time"],
        course_time=time,
    )
    if "price" not in given:
        return
    if gained <= 0:
        working.remark(said("Nothing is gained, so that a second has no price."))
        return
    outputs["cost_of_a_second"] = working.step(
        "cost_of_a_second",
        course_run.cost_of_a_second,
        source="mechanics",
        price=given["price"],
        time_gained=gained,
        one_second=1.0,
    )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Times and speeds of one case over the course; SI in, SI out."""
    keys = row_keys("legs", given["legs"])
    if given["start"] == "flying" and not any(
        "radius" in row or "corner_speed" in row for row in given["legs"]
    ):
        raise InputsConflict("start", "a flying lap without a bend", "a lap with bends, or another start")
    length = working.step(
        "course_length",
        course_run.course_length,
        [row["length"] for row in given["legs"]],
        source="mechanics",
    )
    run, corner_speeds, corner_radii = _drive(given, keys, working)
    time = working.step("course_time", course_run.time_of_course, run, source=_MODEL, course_length=length)
    outputs: Outputs = {"course_time": time, "course_length": length, **_read(run, keys, working)}
    outputs["mean_speed"] = working.step(
        "mean_speed", course_run.mean_speed, source="mechanics", course_length=length, course_time=time
    )
    radii = {key: row for key, row in zip(keys, given["legs"], strict=True) if "corner_speed" in row}
    if radii:
        outputs["radius"] = {key: corner_radii[key] for key in radii}
    speeds = {key: corner_speeds[key] for key in corner_speeds if key not in radii}
    if speeds:
        outputs["corner_speed"] = dict(speeds)
    _worth(given, outputs, keys, working)
    if given["tyre_friction"] > _ROAD_TYRES:
        working.remark(said("A friction above 1.2 is that of warm competition tyres, not of road tyres."))
    working.remark(
        said("The line and the driver are without fault, and the road is closed: no other road is driven so.")
    )
    return outputs


# --- drawn --------------------------------------------------------------------------------


_DRAWN = 0.5
"""Seconds from moment to moment of a run that is drawn."""


def _run_of(case: CaseView) -> course_run.CourseRun:
    return course_model.build(case.inputs, row_keys("legs", case.inputs["legs"]), Working()).drive(_DRAWN)


def _speeds(cases: Mapping[str, CaseView], runs: Mapping[str, course_run.CourseRun]) -> ChartSpec:
    series = [
        Series(
            label=name or "speed",
            x=[at.distance for at in run.trace],
            y=[at.speed for at in run.trace],
            style=style,
        )
        for style, (name, run) in enumerate(runs.items())
    ]
    first = next(iter(cases.values()))
    keys = row_keys("legs", first.inputs["legs"])
    bends, begin = [], 0.0
    for key, row in zip(keys, first.inputs["legs"], strict=True):
        if "radius" in row or "corner_speed" in row:
            bends.append(Marker(row.get("name", key), x=begin))
        begin += row["length"]
    return ChartSpec(
        title="Speed over the course",
        description="Road speed over distance from the start. A line stands where a bend begins.",
        x=Axis("distance", "length", "m", from_zero=True),
        y=Axis("road speed", "speed", "km/h", from_zero=True),
        series=tuple(series),
        markers=tuple(bends) if len(bends) <= 8 else (),
    )


def _gained(runs: Mapping[str, course_run.CourseRun]) -> ChartSpec | None:
    """Time gained on the first case, over distance."""
    names = list(runs)
    if len(names) < 2 or len({round(run.trace[-1].distance, 6) for run in runs.values()}) > 1:
        return None
    base = runs[names[0]]
    end = base.trace[-1].distance
    marks = [end * part / 120 for part in range(121)]
    before = Path(base.trace).times_at(marks)
    return ChartSpec(
        title="Time gained over the course",
        description=f"Time gained on {names[0]} over distance from the start: where a line rises the case is "
        "the faster one, where it is level both are alike.",
        x=Axis("distance", "length", "m", from_zero=True),
        y=Axis(f"time gained on {names[0]}", "time", "s"),
        series=tuple(
            Series(
                label=name,
                x=marks,
                y=[
                    first - own
                    for first, own in zip(before, Path(runs[name].trace).times_at(marks), strict=True)
                ],
                style=style,
            )
            for style, name in enumerate(names)
            if style
        ),
    )


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Speed over distance, and the time gained on the first case over distance."""
    runs = {name: _run_of(case) for name, case in cases.items()}
    gained = _gained(runs)
    return (_speeds(cases, runs), gained) if gained else (_speeds(cases, runs),)
