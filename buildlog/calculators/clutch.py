"""What a dry disc clutch carries, what its pedal asks of the foot, and what a launch heats.

**Capacity.** Facing size, plates, clamp load and the range of the coefficient of friction give the torque at
which the clutch slips, by both theories: *uniform wear* (run in; the lower, used for the reserve) and
*uniform pressure* (new). The sliding pair of coefficients says what a slipping clutch still carries, hot and
cold; the static pair, if given, what a locked one holds. Decide on the low end. Friction varies with heat,
wear, oil and batch: no figure here is closer than that range. `shock_factor` is the peak over the steady
torque when the pedal is let go at once or a wheel regains grip. Road practice is a reserve of 1.2–1.5,
competition 1.5–2 (common practice, no source). The cautions count the uncertainty: a reserve that may be
below 1 is said so.

**Backwards.** `rated_torque` is what a seller promises: `rating_friction` is the coefficient of friction
that this takes with your clamp load, and `rating_clamp_load` the clamp load that it takes with your
friction. A rating that needs more friction than the facing has is one of a test bench, or of hope.
`seen_slip_torque` is a torque at which it **did** slip: `slip_friction` is the coefficient that it had then.

| facing, dry | μ | pressure, kPa | power rating, W/mm² | °C, short / lasting |
|---|---|---|---|---|
| woven | 0.35–0.40 | 175–520 | 0.3–0.6 | 250 / 150 |
| wound tape and yarn | 0.40 | 175–700 | 0.3–1.2 | 350 / 200 |
| moulded | 0.35 | 175–700 | 0.6–1.2 | 350 / 200 |
| sintered | 0.36 static, 0.30 sliding | 350–2800 | 1.7 | 500 / 300 |
| cermet pads | 0.40 | 700–1400 | 4.0 | not given |

Source: M. J. Neale (ed.), *The Tribology Handbook*, B7.8, table 7.4 (dynamic μ unless said). For decisions
practice takes organic 0.25–0.40, sintered 0.30–0.50 (common practice, no source).

**Clamp load.** Give one of: `clamp_load` as measured or stated; `release_load` with `lever_ratio` (the load
at the release bearing when the plate just comes free, times the fingers' ratio; so too for coil springs);
or the diaphragm's dimensions over its unslit ring. That is the least sure: 3 % of thickness is 10 % of
load. A diaphragm's load first rises as the facings wear; `facing_wear` (all faces together) shows it.

**Pedal.** Ratios are lengths from the pivot: pad over pushrod, fork's outer end over its bearing end (1 for
a concentric slave, which takes `slave_bore` with `slave_sleeve`). Without bores the linkage is a cable or a
rod. Below 150 N a pedal is comfortable, above 200 N heavy (common practice, no source). The release load
also rests on the crankshaft's thrust bearing as long as the pedal is down.

**Launch.** The engine is held at `launch_speed` and the clutch at `launch_torque` until the car has caught
up. Half of the engine's work becomes heat, whatever the torque; wheelspin, not in here, lowers it. What the
driveline loses and what turns the wheels takes engine's work too: give `driveline_efficiency` and
`wheel_inertia`, or the heat is too low, by a tenth or two in first gear (common practice, no source).
Textbooks of car design allow 0.40 J/mm² for a launch at 2000 rpm (Wang, from memory), and 10–15 K for the
plate (a student's design). The power rating is compared with the highest power. The metal is taken to get all
the heat, as facings conduct little; a facing's face gets as hot as the metal it rubs on (`surface_rise`).
`plate_faces`: flywheel and pressure plate have one each, the middle plate of a twin two. Iron: 7200 kg/m³,
460–540 J/(kg·K), about 50 W/(m·K). `plate_mass` is what lies under the facing's ring, 3 to 22 mm thick: of a
flywheel not its hub and rim. `launches` repeats it, with the interval and the time constant of cooling.

**Several speeds.** `launch_speeds` puts launches from several speeds side by side. With the plate,
`friction_by_temperature` and `start_temperature` each row has the heat of the face and what the facing
still carries with it: `hot_reserve_at` is the capacity over the engine's torque at that moment. The table is
its maker's or a bench's; beyond its ends nothing is said. For a curve `sweep: launch_speed from … to … by …`.
Organic facings break in over 800–1600 km (common practice, no source).

```yaml
id: uprated-clutch
kind: clutch
inputs:
  outer_diameter: 215 mm
  inner_diameter: 145 mm
  sliding_friction_low: 0.27
  sliding_friction_high: 0.38
  facing: moulded
  engine_torque: 205 N·m
  shock_factor: 1.5
  lever_ratio: 3.8
  pedal_ratio: 5.6
  fork_ratio: 1.7
  master_bore: 15.87 mm
  slave_bore: 19.05 mm
  release_travel: 8 mm
  launch_speed: 3500 rpm
  launch_torque: 170 N·m
  vehicle_mass: 1010 kg
  overall_ratio: 14.2
  rolling_radius: 0.289 m
cases:
  standard: {clamp_load: 4600 N}
  uprated: {clamp_load: 6100 N}
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, as_written
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Listed,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.keys import value_keys
from buildlog.physics import engagement, friction, heat, hydraulics, springs
from buildlog.said import said

KIND = "clutch"

_FRICTION = Number(dimension="ratio", unit="", low=0.05, high=0.8, why="dry facings, from oiled to the best")
_FACING = Number(dimension="length", unit="mm", low=40, high=450, why="facings and covers of car clutches")
_LEVER = Number(dimension="ratio", unit="", low=1, high=15, why="levers of clutch linkages")
_BORE = Number(dimension="length", unit="mm", low=8, high=80, why="clutch cylinders of cars")
_TORQUE = Number(dimension="torque", unit="N·m", low=10, high=2000, why="engines of cars")

_GUESSED = {
    "shock_factor": Doubt(
        name="shock_factor",
        about="the peak of a shock that was not measured",
        source="practice",
        relative=0.15,
        limits=True,
    ),
}
"""Inputs that are guessed, with how well."""

INPUTS = (
    Input(
        name="plates",
        form=Whole(1, 4, "single, twin and racing clutches"),
        about="driven plates",
        default="1",
        default_source="the common single plate",
    ),
    Input(name="outer_diameter", form=_FACING, about="outer diameter of the facing"),
    Input(name="inner_diameter", form=_FACING, about="inner diameter of the facing"),
    Input(
        name="covered_share",
        form=Number(dimension="ratio", unit="%", low=5, high=100, why="pads to a full ring"),
        about="covered share of the ring",
        default="100 %",
        default_source="a full ring of facing",
    ),
    Input(
        name="facing",
        form=Choice(
            {
                "woven": "woven yarn",
                "wound": "wound tape, yarn",
                "moulded": "moulded organic",
                "sintered": "sintered metal",
                "cermet": "metal and ceramic, as pads",
            }
        ),
        about="material, for the published limits",
        required=False,
    ),
    Input(
        name="sliding_friction_low",
        form=_FRICTION,
        about="lowest coefficient of friction expected in slip (hot)",
    ),
    Input(
        name="sliding_friction_high", form=_FRICTION, about="highest coefficient of friction expected in slip"
    ),
    Input(name="engine_torque", form=_TORQUE, about="greatest steady engine torque"),
    Input(
        name="linkage_efficiency",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="cables, hydraulics"),
        about="linkage's efficiency",
        default="100 %",
        default_source="no friction: the least pedal force",
    ),
    Input(
        name="free_travel",
        form=Number(dimension="length", unit="mm", low=0, high=60, why="clutch pedals"),
        about="free travel at the pedal",
        default="0 mm",
        default_source="none: the least pedal travel",
    ),
    Input(
        name="road_resistance",
        form=Number(dimension="force", unit="N", low=0, high=10_000, why="level road to the steepest"),
        about="rolling, gradient and air resistance",
        default="0 N",
        default_source="level road",
    ),
    Input(
        name="driveline_efficiency",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="drivelines of cars"),
        about="power at the wheels over power at the clutch",
        default="100 %",
        default_source="no losses: the least heat of a launch",
    ),
    Input(
        name="wheel_inertia",
        form=Number(
            dimension="moment of inertia", unit="kg·m²", low=0, high=5, why="a wheel of a car, or not counted"
        ),
        about="one wheel with tyre, disc and hub, the mean of the four",
        default="0 kg·m²",
        default_source="not counted: the least heat of a launch",
    ),
    *(
        Input(name=name, form=form, about=about, required=False, doubt=_GUESSED.get(name))
        for name, form, about in (
            ("rated_torque", _TORQUE, "torque that its seller says it carries"),
            ("seen_slip_torque", _TORQUE, "torque at the clutch at which it was seen to slip"),
            ("static_friction_low", _FRICTION, "lowest coefficient of friction before slip"),
            ("static_friction_high", _FRICTION, "highest coefficient of friction before slip"),
            (
                "shock_factor",
                Number(dimension="ratio", unit="", low=1, high=5, why="up to a dropped clutch"),
                "peak over steady torque",
            ),
            (
                "clamp_load",
                Number(dimension="force", unit="N", low=500, high=40_000, why="covers of cars"),
                "load on the plate, facings new",
            ),
            (
                "release_load",
                Number(dimension="force", unit="N", low=100, high=10_000, why="covers of cars"),
                "load at the release bearing when the plate comes free",
            ),
            ("lever_ratio", _LEVER, "clamp load over release load: the cover's levers or fingers"),
            ("spring_outer_diameter", _FACING, "outer diameter of the diaphragm"),
            ("spring_inner_diameter", _FACING, "inner diameter of its unslit ring"),
            (
                "spring_thickness",
                Number(dimension="length", unit="mm", low=1, high=6, why="diaphragms of cars"),
                "its thickness",
            ),
            (
                "spring_height",
                Number(dimension="length", unit="mm", low=1, high=20, why="diaphragms of cars"),
                "height of the free cone",
            ),
            ("pressing_diameter", _FACING, "diameter at which it presses on the plate"),
            ("fulcrum_diameter", _FACING, "diameter of its fulcrum in the cover"),
            (
                "finger_diameter",
                Number(dimension="length", unit="mm", low=15, high=120, why="release bearings"),
                "where that presses",
            ),
            (
                "spring_deflection",
                Number(dimension="length", unit="mm", low=0.1, high=20, why="diaphragms of cars"),
                "deflection at the pressing diameter, fitted, facings new",
            ),
            (
                "facing_wear",
                Number(dimension="length", unit="mm", low=0, high=10, why="to the rivets"),
                "wear of all faces together",
            ),
            ("pedal_ratio", _LEVER, "pedal lever ratio"),
            ("fork_ratio", _LEVER, "release fork lever ratio; 1 for a concentric slave"),
            ("master_bore", _BORE, "bore of the master cylinder"),
            ("slave_bore", _BORE, "bore of the slave cylinder"),
            ("slave_sleeve", _BORE, "sleeve diameter of a concentric slave"),
            (
                "release_travel",
                Number(dimension="length", unit="mm", low=1, high=40, why="covers of cars"),
                "travel of the release bearing",
            ),
            (
                "launch_speed",
                Number(dimension="rotational speed", unit="rpm", low=500, high=15_000, why="car engines"),
                "engine speed",
            ),
            (
                "launch_speeds",
                Listed(
                    Number(dimension="rotational speed", unit="rpm", low=500, high=15_000, why="car engines"),
                    1,
                    12,
                ),
                "engine speeds of launches to compare",
            ),
            ("launch_torque", _TORQUE, "torque carried during the launch"),
            (
                "vehicle_mass",
                Number(dimension="mass", unit="kg", low=200, high=3500, why="cars"),
                "mass of the car with its load",
            ),
            (
                "overall_ratio",
                Number(dimension="ratio", unit="", low=1.5, high=40, why="first gears"),
                "of first gear and final drive",
            ),
            (
                "rolling_radius",
                Number(dimension="length", unit="m", low=0.15, high=0.5, why="car tyres"),
                "rolling radius, driven wheels",
            ),
            (
                "plate_mass",
                Number(dimension="mass", unit="kg", low=0.3, high=30, why="plates and flywheels"),
                "the heated plate",
            ),
            ("plate_faces", Whole(1, 2, "a plate has two sides"), "friction faces that rub on this plate"),
            (
                "specific_heat",
                Number(dimension="specific heat", unit="J/(kg·K)", low=300, high=1200, why="metals"),
                "its specific heat",
            ),
            (
                "conductivity",
                Number(dimension="thermal conductivity", unit="W/(m·K)", low=5, high=400, why="metals"),
                "its conductivity",
            ),
            (
                "density",
                Number(dimension="density", unit="kg/m³", low=1500, high=9000, why="metals"),
                "its density",
            ),
            (
                "start_temperature",
                Number(dimension="temperature", unit="°C", low=-40, high=600, why="cold to several launches"),
                "temperature of the faces before each of launch_speeds",
            ),
            (
                "friction_by_temperature",
                Table(
                    (
                        Input(
                            name="temperature",
                            form=Number(
                                dimension="temperature", unit="°C", low=-40, high=1000, why="facings"
                            ),
                            about="temperature of the face",
                        ),
                        Input(
                            name="sliding_friction", form=_FRICTION, about="coefficient of friction in slip"
                        ),
                    ),
                    2,
                    30,
                ),
                "the facing's friction by heat, coldest first, as its maker or a bench has it",
            ),
            ("launches", Whole(1, 100), "launches one after the other"),
            (
                "launch_interval",
                Number(dimension="time", unit="s", low=1, high=7200, why="starts to heats"),
                "from one launch to the next",
            ),
            (
                "cooling_time_constant",
                Number(dimension="time", unit="s", low=5, high=7200, why="clutches"),
                "time constant of cooling",
            ),
        )
    ),
)

_SPRING_NAMES = (
    "spring_outer_diameter",
    "spring_inner_diameter",
    "spring_thickness",
    "spring_height",
    "pressing_diameter",
    "fulcrum_diameter",
    "finger_diameter",
    "spring_deflection",
)
_PEDAL = ("pedal_ratio", "fork_ratio")
_LAUNCH = ("launch_speed", "launch_torque", "vehicle_mass", "overall_ratio", "rolling_radius")
_SPEEDS = ("launch_speeds", *_LAUNCH[1:])
_HEAT = ("friction_by_temperature", "start_temperature")
_PLATE = ("plate_mass", "plate_faces", "specific_heat", "conductivity", "density")
_COOLING = ("launch_interval", "cooling_time_constant")

OUTPUTS = (
    Output(
        name="clamp_load",
        title="clamp load with new facings",
        dimension="force",
        unit="N",
        about="on the plate",
        decimals=0,
    ),
    Output(
        name="worn_clamp_load",
        title="clamp load with worn facings",
        dimension="force",
        unit="N",
        about="on the plate, after the stated wear",
        decimals=0,
        needs=("facing_wear",),
    ),
    Output(
        name="capacity_uniform_wear",
        title="torque capacity of the clutch, run in",
        dimension="torque",
        unit="N·m",
        about="by the theory of uniform wear",
        decimals=1,
        key="friction",
    ),
    Output(
        name="capacity_uniform_pressure",
        title="torque capacity of the clutch, facings new",
        dimension="torque",
        unit="N·m",
        about="by the theory of uniform pressure",
        decimals=1,
        key="friction",
    ),
    Output(
        name="reserve",
        title="clutch reserve over the engine torque",
        dimension="ratio",
        unit="",
        about="capacity, run in, over engine torque",
        decimals=2,
        key="friction",
    ),
    Output(
        name="shock_reserve",
        title="clutch reserve over a torque shock",
        dimension="ratio",
        unit="",
        about="capacity, run in, over the peak of the shock",
        decimals=2,
        key="friction",
        needs=("shock_factor",),
    ),
    Output(
        name="rating_friction",
        title="friction coefficient behind the seller's rating",
        dimension="ratio",
        unit="",
        about="what the rating takes with this clamp load",
        decimals=3,
        needs=("rated_torque",),
    ),
    Output(
        name="rating_clamp_load",
        title="clamp load behind the seller's rating",
        dimension="force",
        unit="N",
        about="what the rating takes with this friction",
        decimals=0,
        key="friction",
        needs=("rated_torque",),
    ),
    Output(
        name="slip_friction",
        title="friction coefficient when it was seen to slip",
        dimension="ratio",
        unit="",
        decimals=3,
        needs=("seen_slip_torque",),
    ),
    Output(
        name="worn_reserve",
        title="least clutch reserve with worn facings",
        dimension="ratio",
        unit="",
        about="after the stated wear",
        decimals=2,
        needs=("facing_wear",),
    ),
    Output(
        name="friction_area",
        title="friction area of all faces",
        dimension="area",
        unit="cm²",
        about="friction material",
        decimals=1,
    ),
    Output(
        name="mean_pressure",
        title="mean pressure on the facing",
        dimension="pressure",
        unit="kPa",
        about="mean pressure on the facing",
        decimals=0,
    ),
    Output(
        name="greatest_pressure",
        title="greatest pressure on the facing, run in",
        dimension="pressure",
        unit="kPa",
        about="at the inner edge",
        decimals=0,
    ),
    Output(
        name="pressure_share",
        title="mean pressure as a share of the published highest",
        dimension="ratio",
        unit="%",
        about="mean pressure of the published highest",
        decimals=0,
        needs=("facing",),
    ),
    Output(
        name="release_load",
        title="load at the release bearing",
        dimension="force",
        unit="N",
        about="load at the release bearing",
        decimals=0,
        needs=("lever_ratio",),
    ),
    Output(
        name="crank_thrust",
        title="thrust on the crankshaft with the pedal down",
        dimension="force",
        unit="N",
        about="on its thrust bearing",
        decimals=0,
        needs=("lever_ratio",),
    ),
    Output(
        name="linkage_ratio",
        title="travel ratio of pedal to release bearing",
        dimension="ratio",
        unit="",
        about="pedal travel over bearing travel",
        decimals=2,
        needs=_PEDAL,
    ),
    Output(
        name="pedal_force",
        title="pedal force",
        dimension="force",
        unit="N",
        about="on the pad",
        decimals=0,
        needs=_PEDAL,
    ),
    Output(
        name="line_pressure",
        title="gauge pressure in the hydraulic line",
        dimension="pressure",
        unit="bar",
        about="hydraulic pressure (gauge)",
        decimals=1,
        needs=("master_bore",),
    ),
    Output(
        name="pedal_travel",
        title="pedal travel",
        dimension="length",
        unit="mm",
        about="travel of the pedal",
        decimals=0,
        needs=(*_PEDAL, "release_travel"),
    ),
    Output(
        name="slip_duration",
        title="slip time of the launch",
        dimension="time",
        unit="s",
        about="time of slip",
        decimals=2,
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
        name="slip_energy",
        title="heat of one launch",
        dimension="energy",
        unit="kJ",
        about="heat of one launch",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="slip_power",
        title="slip power at the start of the launch",
        dimension="power",
        unit="kW",
        about="falls evenly from there",
        decimals=1,
        needs=_LAUNCH,
    ),
    Output(
        name="energy_per_area",
        title="launch heat by friction area",
        dimension="energy per area",
        unit="J/mm²",
        about="heat by friction area",
        decimals=3,
        needs=_LAUNCH,
    ),
    Output(
        name="energy_share",
        title="launch heat as a share of that allowed for cars",
        dimension="ratio",
        unit="%",
        about="of 0.40 J/mm²",
        decimals=0,
        needs=_LAUNCH,
    ),
    Output(
        name="power_per_area",
        title="slip power by friction area",
        dimension="power per area",
        unit="W/mm²",
        about="slip_power by friction area",
        decimals=2,
        needs=_LAUNCH,
    ),
    Output(
        name="power_share",
        title="slip power as a share of the published rating",
        dimension="ratio",
        unit="%",
        decimals=0,
        needs=("facing", *_LAUNCH),
    ),
    Output(
        name="plate_rise",
        title="temperature rise of the plate in one launch",
        dimension="temperature difference",
        unit="K",
        decimals=1,
        needs=_PLATE,
    ),
    Output(
        name="surface_rise",
        title="highest temperature rise of the rubbing faces",
        dimension="temperature difference",
        unit="K",
        about="highest rise of rubbing faces",
        decimals=0,
        needs=_PLATE,
    ),
    Output(
        name="rise_uncooled",
        title="temperature rise after all launches, uncooled",
        dimension="temperature difference",
        unit="K",
        about="none of the heat lost",
        decimals=0,
        needs=("launches",),
    ),
    Output(
        name="rise_cooled",
        title="temperature rise after all launches, cooled",
        dimension="temperature difference",
        unit="K",
        about="just after the last",
        decimals=0,
        needs=("launches", *_COOLING),
    ),
    Output(
        name="slip_duration_at",
        title="slip time at the launch speed",
        dimension="time",
        unit="s",
        decimals=2,
        key="launch speed",
        of="launch_speeds",
        needs=_SPEEDS,
    ),
    Output(
        name="slip_energy_at",
        title="heat of one launch at the launch speed",
        dimension="energy",
        unit="kJ",
        decimals=1,
        key="launch speed",
        of="launch_speeds",
        needs=_SPEEDS,
    ),
    Output(
        name="energy_per_area_at",
        title="launch heat by friction area at the launch speed",
        dimension="energy per area",
        unit="J/mm²",
        decimals=3,
        key="launch speed",
        of="launch_speeds",
        needs=_SPEEDS,
    ),
    Output(
        name="surface_rise_at",
        title="rubbing-face temperature rise at the launch speed",
        dimension="temperature difference",
        unit="K",
        about="the highest",
        decimals=0,
        key="launch speed",
        of="launch_speeds",
        needs=(*_SPEEDS, *_PLATE),
    ),
    Output(
        name="face_temperature_at",
        title="highest temperature of the rubbing faces",
        dimension="temperature",
        unit="°C",
        about="in the launch",
        decimals=0,
        key="launch speed",
        of="launch_speeds",
        needs=(*_SPEEDS, *_PLATE, *_HEAT),
    ),
    Output(
        name="hot_friction_at",
        title="friction coefficient of the hot facing",
        dimension="ratio",
        unit="",
        about="in slip, at that heat",
        decimals=3,
        key="launch speed",
        of="launch_speeds",
        needs=(*_SPEEDS, *_PLATE, *_HEAT),
    ),
    Output(
        name="hot_reserve_at",
        title="clutch reserve with the facing hot",
        dimension="ratio",
        unit="",
        about="capacity at that heat, run in, over engine torque",
        decimals=2,
        key="launch speed",
        of="launch_speeds",
        needs=(*_SPEEDS, *_PLATE, *_HEAT),
    ),
    Output(
        name="break_in_distance",
        title="break-in distance",
        dimension="length",
        unit="km",
        about="a rule of thumb",
        decimals=0,
        key="bound",
        needs=("facing",),
    ),
)

SOURCES = (
    Source(
        id="shigley",
        title="Mechanical Engineering Design",
        publisher="McGraw-Hill",
        edition="Shigley and later authors",
        where="frictional-contact axial clutches; checked against a published solution of its problem",
    ),
    Source(
        id="din-en-16984",
        title="DIN EN 16984 (formerly DIN 2092), Disc springs: calculation",
        publisher="DIN",
        where="single spring, shortened lever arms",
        standing="from memory",
    ),
    Source(
        id="tribology",
        title="The Tribology Handbook, ed. M. J. Neale",
        publisher="Butterworth-Heinemann",
        edition="2nd",
        where="B7.8, table 7.4",
    ),
    Source(
        id="wang",
        title="Automobile Design, ed. Wang Wangyu",
        publisher="China Machine Press",
        edition="4th",
        where="clutch: heat by area of one launch, cars 0.40 J/mm²",
        standing="from memory",
    ),
    Source(id="mechanics", title="Statics, kinematics and energy balance", standing="derived"),
    Source(
        id="carslaw-jaeger",
        title="Conduction of Heat in Solids, Carslaw and Jaeger",
        publisher="Oxford University Press",
        edition="2nd, 1959",
        where="2.9, with Duhamel's theorem",
        standing="from memory",
    ),
    Source(
        id="lecture",
        title="Analysis of clutch: uniform wear, uniform pressure, lesson 11",
        publisher="Indian Agricultural Statistics Research Institute, open courses",
        where="the integral of p r over the ring for both cases, read",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

_RADIUS = Doubt(
    name="clutch_friction_radius",
    about="a facing neither new nor run in all over: its pressure is known between uniform and uniform wear",
    source="lecture",
    formula="shigley",
    relative=0.02,
    limits=True,
    range="rings whose inner diameter is more than half of the outer",
)
_DIAPHRAGM = Doubt(
    name="diaphragm_load",
    about="slits, friction and tolerances of a diaphragm that was not put in a press",
    source="practice",
    formula="din-en-16984",
    relative=0.10,
    range="diaphragms of cars, from measured dimensions",
)
_HELD = Doubt(
    name="launch_held",
    about="an engine that is not held quite at one speed, a torque that is not quite even",
    source="practice",
    formula="mechanics",
    relative=0.10,
    range="launches without wheelspin",
)

DOUBTS = (_RADIUS, _DIAPHRAGM, _HELD)

HAZARDS = (
    "friction-dust",
    "stored-energy",
    "lifting",
    "driveline",
    "spinning-parts",
    "fasteners",
    "road-testing",
)

# Highest working pressure in Pa and power rating in W/m²: The Tribology Handbook, table 7.4.
_PUBLISHED = {
    "woven": (520e3, 0.6e6),
    "wound": (700e3, 1.2e6),
    "moulded": (700e3, 1.2e6),
    "sintered": (2800e3, 1.7e6),
    "cermet": (1400e3, 4.0e6),
}
_ENERGY_LIMIT = 0.40e6
_HEAVY = 200.0
_PLATES = (0.003, 0.022)
"""How thick the metal under a facing is in car clutches, from the thinnest middle plate to the stoutest."""


def _check_groups(given: Mapping[str, Any]) -> None:
    """Inputs that mean nothing alone, before anything is worked out: what is missing there is said first."""
    given_together(given, _COOLING, "cooling needs both", "launches")
    given_together(given, ("launches",), upon="plate_mass")
    given_together(given, ("launches",), upon="launch_speed")
    given_together(given, _HEAT, "friction by heat needs both", "launch_speeds")
    given_together(given, _HEAT, upon="plate_mass")
    one_or_many = "launch_speeds" if "launch_speeds" in given else "launch_speed"
    given_together(given, _PLATE, "the plate's rise needs all of them", one_or_many)


def _clamp_load(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """Clamp load, and what it asks of the release bearing where that is known."""
    three = [name for name in ("clamp_load", "release_load", "lever_ratio") if name in given]
    if given_together(given, _SPRING_NAMES, "the diaphragm's load needs all its dimensions"):
        if three:
            raise InputsConflict(
                three[0], "the diaphragm's dimensions too", "one of them", help="leave one out"
            )
        _diaphragm(given, values, working)
    elif "facing_wear" in given:
        raise MissingInput(
            "spring_outer_diameter",
            "facing_wear without the diaphragm",
            "its dimensions",
            help="only the spring tells what wear does to the load",
        )
    elif len(three) == 3:
        raise InputsConflict(
            "lever_ratio", "clamp_load and release_load too", "two of them", help="leave one out"
        )
    elif three == ["release_load", "lever_ratio"]:
        working.chain(values, "mechanics", clamp_load=hydraulics.lever_load)
    elif "clamp_load" not in three:
        raise MissingInput(
            "clamp_load",
            "no clamp load",
            "clamp_load, or release_load with lever_ratio, or the diaphragm's dimensions",
        )
    if "lever_ratio" in values and "release_load" not in values:
        working.chain(values, "mechanics", release_load=hydraulics.release_load)
    if "release_load" in values:
        working.chain(values, "mechanics", crank_thrust=hydraulics.crank_thrust)


def _diaphragm(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """Clamp load and lever ratio from the spring's dimensions, new and after wear of the facings."""
    values |= {"modulus": springs.SPRING_STEEL_MODULUS, "poisson_ratio": springs.SPRING_STEEL_POISSON}
    if "facing_wear" in given:
        fitted = values["spring_deflection"]
        if given["facing_wear"] >= fitted:
            raise InputsConflict(
                "facing_wear",
                f"{given['facing_wear'] * 1000:g} mm",
                f"less than spring_deflection, {fitted * 1000:g} mm",
            )
        left = working.chain(values, "mechanics", worn_deflection=springs.worn_deflection)
        # The same formula at another deflection; its name is the parameter's.
        values["spring_deflection"] = left
        _doubted(values, working, "worn_clamp_load", springs.diaphragm_load, _DIAPHRAGM)
        values["spring_deflection"] = fitted
    _doubted(values, working, "clamp_load", springs.diaphragm_load, _DIAPHRAGM)
    working.chain(values, "mechanics", lever_ratio=springs.finger_ratio)


def _doubted(
    values: dict[str, float], working: Working, name: str, formula: Callable[..., float], doubt: Doubt
) -> None:
    """A formula that is a model, with its parameters from `values`; leaves its result there."""
    taken = {part: values[part] for part in formula.__annotations__ if part != "return"}
    values[name] = working.step(name, formula, source=doubt, **taken)


def _pedal(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """Pedal force and travel, where the linkage is given."""
    given_together(given, ("release_travel",), upon="pedal_ratio")
    given_together(given, ("slave_sleeve",), upon="slave_bore")
    bores = given_together(given, ("master_bore", "slave_bore"), "a cable has neither", "pedal_ratio")
    if not given_together(given, _PEDAL, "the linkage has both levers"):
        return
    values["hydraulic_ratio"] = 1.0
    if bores:
        values.setdefault("slave_sleeve", 0.0)
        working.chain(
            values,
            "mechanics",
            master_area=hydraulics.master_area,
            slave_area=hydraulics.slave_area,
            hydraulic_ratio=hydraulics.hydraulic_ratio,
        )
    working.chain(values, "mechanics", linkage_ratio=hydraulics.linkage_ratio)
    if "release_load" in values:
        working.chain(values, "mechanics", pedal_force=hydraulics.pedal_force)
        working.limit(
            "pedal_force",
            most=_HEAVY,
            says=said("The pedal [may be|is] heavy: above 200 N by common practice."),
        )
        if bores:
            working.chain(values, "mechanics", line_pressure=hydraulics.line_pressure)
    if "release_travel" in given:
        working.chain(values, "mechanics", pedal_travel=hydraulics.pedal_travel)


def _capacity(given: Mapping[str, Any], values: dict[str, float], working: Working) -> Outputs:
    """Capacity and reserve at each end of the ranges of friction."""
    given_together(given, ("static_friction_low", "static_friction_high"), "a range has two ends")
    _doubted(values, working, "radius_uniform_pressure", friction.radius_uniform_pressure, _RADIUS)
    _doubted(values, working, "radius_uniform_wear", friction.radius_uniform_wear, _RADIUS)
    factors = {"reserve": 1.0}
    if "shock_factor" in given:
        factors["shock_reserve"] = given["shock_factor"]
    names = ("capacity_uniform_wear", "capacity_uniform_pressure", *factors)
    listed: dict[str, dict[str, float]] = {name: {} for name in names}

    def capacity(name: str, coefficient: float, clamp_load: float, radius: float) -> float:
        return working.step(
            name,
            friction.torque_capacity,
            source="shigley",
            faces=values["faces"],
            friction_coefficient=coefficient,
            clamp_load=clamp_load,
            effective_radius=radius,
        )

    def reserve(name: str, capacity: float, factor: float) -> float:
        return working.step(
            name,
            friction.reserve,
            source="mechanics",
            capacity=capacity,
            engine_torque=given["engine_torque"],
            shock_factor=factor,
        )

    for end, coefficient in _friction_ends(given).items():
        for theory in ("uniform_pressure", "uniform_wear"):
            radius = values[f"radius_{theory}"]
            listed[f"capacity_{theory}"][end] = capacity(
                f"capacity_{theory}.{end}", coefficient, values["clamp_load"], radius
            )
        # Uniform wear is what a run-in clutch comes to, and the lower of the two: reserves rest on it.
        for name, factor in factors.items():
            listed[name][end] = reserve(f"{name}.{end}", listed["capacity_uniform_wear"][end], factor)
    if "worn_clamp_load" in values:
        worn = values["worn_clamp_load"]
        if worn > values["clamp_load"]:
            more = worn / values["clamp_load"] - 1
            working.remark(said("Wear raises clamp load and pedal force by {share}.", share=f"{more:.0%}"))
        torque = capacity("worn_capacity", given["sliding_friction_low"], worn, values["radius_uniform_wear"])
        values["worn_reserve"] = reserve("worn_reserve", torque, 1.0)
        working.limit(
            "worn_reserve", least=1.0, says=said("Worn, it [may slip|slips] under the engine's torque.")
        )
    _must_hold(listed, working)
    return {**listed} | _backwards(given, values, working)


def _must_hold(listed: Mapping[str, Mapping[str, float]], working: Working) -> None:
    """The least of each pair of coefficients has to carry the engine, and the peak of a shock."""
    for name, says in (("reserve", _SLIPS), ("shock_reserve", _SHOCK)):
        for end in listed.get(name, ()):
            if end.endswith("low"):
                working.limit(name, end, least=1.0, says=says)


def _backwards(given: Mapping[str, Any], values: dict[str, float], working: Working) -> Outputs:
    """What a seller's rating takes for granted, and what a slip that was seen tells."""
    values["effective_radius"] = values["radius_uniform_wear"]
    if {"rated_torque", "seen_slip_torque"} & set(given):
        working.chain(values, "mechanics", torque_at_full_friction=friction.torque_at_full_friction)
    if "seen_slip_torque" in given:
        values["carried_torque"] = given["seen_slip_torque"]
        working.chain(values, "mechanics", slip_friction=friction.needed_friction)
        working.limit(
            "slip_friction",
            least=given["sliding_friction_low"],
            says=said(
                "It slipped with less friction than the lowest expected: oil, glazing or less clamp load."
            ),
        )
    if "rated_torque" not in given:
        return {}
    values["carried_torque"] = given["rated_torque"]
    working.chain(values, "mechanics", rating_friction=friction.needed_friction)
    working.limit(
        "rating_friction",
        most=given["sliding_friction_low"],
        says=said(
            "The rating [may take|takes] more friction than the lowest expected: hot, it [may "
            "not|does not] hold."
        ),
    )
    working.limit(
        "rating_friction",
        most=given["sliding_friction_high"],
        says=said(
            "The rating [may take|takes] more friction than the facing is given at best: with this "
            "clamp load it is "
            "not to be had."
        ),
    )
    loads = {}
    for end in ("low", "high"):
        values["friction_coefficient"] = given[f"sliding_friction_{end}"]
        key = f"sliding_{end}"
        values["torque_by_load"] = working.chain(
            values, "mechanics", **{f"torque_by_load.{key}": friction.torque_by_load}
        )
        loads[key] = working.chain(
            values, "mechanics", **{f"rating_clamp_load.{key}": friction.needed_clamp_load}
        )
    return {"rating_clamp_load": loads}


_SLIPS = said("Over a part of the friction range the clutch [may slip|slips] under the engine's torque.")
_SHOCK = said("Over a part of the friction range the clutch [may slip|slips] at the peak of a shock.")


def _friction_ends(given: Mapping[str, Any]) -> dict[str, float]:
    """The coefficient at each end of the ranges that are given: sliding_low, sliding_high and so on."""
    ends: dict[str, float] = {}
    for pair in ("sliding", "static"):
        low, high = given.get(f"{pair}_friction_low"), given.get(f"{pair}_friction_high")
        if low is None or high is None:
            continue
        if low > high:
            raise InputsConflict(f"{pair}_friction_low", f"{low:g}", f"at most {high:g}, the high end")
        ends |= {f"{pair}_low": low, f"{pair}_high": high}
    return ends


def _launch(
    given: Mapping[str, Any], capacity: Mapping[str, float], values: dict[str, float], working: Working
) -> None:
    """Slip and heat of a launch, where it is given."""
    if not {"launch_speed", "launch_torque"} & set(given):
        return  # the rest of the group may come from the car's sheet
    if "launch_speeds" in given and "launch_speed" not in given:
        return
    given_together(given, _LAUNCH, "a launch needs all of them")
    _car_at_clutch(given, capacity, values, working)
    _doubted(values, working, "slip_duration", engagement.slip_duration, _HELD)
    working.chain(
        values,
        "mechanics",
        slip_energy=engagement.slip_energy,
        lock_up_speed=engagement.lock_up_speed,
        slip_power=engagement.slip_power,
        energy_per_area=engagement.energy_per_area,
        power_per_area=engagement.power_per_area,
    )
    values["published_energy"] = _ENERGY_LIMIT
    working.chain(values, "wang", energy_share=engagement.energy_share)
    working.limit(
        "energy_share",
        most=1.0,
        says=said("One launch [may make|makes] more heat than the 0.40 J/mm² that a textbook allows."),
    )
    if "facing" in given:
        working.chain(values, "tribology", power_share=engagement.power_share)
    if "plate_mass" in given:
        _plate_heat(given, values, working)


def _by_speed(
    given: Mapping[str, Any], capacity: Mapping[str, float], values: dict[str, float], working: Working
) -> Outputs:
    """A launch from each of several speeds: its heat, and what the facing still carries with it."""
    if "launch_speeds" not in given:
        return {}
    given_together(given, _SPEEDS, "a launch needs all of them")
    if "launch_speed" not in given:  # which has done all this
        _car_at_clutch(given, capacity, values, working)
        if "plate_mass" in given:
            _check_plate(values, working)
    listed: dict[str, dict[str, float]] = {}
    speeds = given["launch_speeds"]
    for index, (key, speed) in enumerate(zip(value_keys("launch_speeds", speeds), speeds, strict=True)):
        values["launch_speed"] = float(speed)
        try:
            for name, value in _one_speed(given, dict(values), working, key).items():
                listed.setdefault(name, {})[key] = value
        except OutOfRange as error:
            error.name, error.at = "launch_speeds", (index,)
            raise
        written = as_written(speed, f"{speed * 30 / pi:.0f} rpm")
        working.limit(
            "energy_per_area_at",
            key,
            most=_ENERGY_LIMIT,
            says=said(
                "A launch at {speed} [may make|makes] more heat than the 0.40 J/mm² that a textbook allows.",
                speed=written,
            ),
        )
        if "hot_reserve_at" in listed:
            working.limit(
                "hot_reserve_at",
                key,
                least=1.0,
                says=said(
                    "Hot from a launch at {speed}, it [may slip|slips] under the engine's torque.",
                    speed=written,
                ),
            )
    return {**listed}


def _one_speed(
    given: Mapping[str, Any], values: dict[str, float], working: Working, key: str
) -> dict[str, float]:
    """One of several launches. `values` is a copy of its own."""

    def step(name: str, formula: Callable[..., float], source: str | Doubt = "mechanics") -> None:
        taken = {part: values[part] for part in formula.__annotations__ if part in values}
        records = () if formula is not friction.friction_at_temperature else (_table(given),)
        shown = f"{name}_at.{key}" if f"{name}_at" in _BY_SPEED else f"{name}.{key}"
        values[name] = working.step(shown, formula, *records, source=source, **taken)

    step("slip_duration", engagement.slip_duration, _HELD)
    step("slip_energy", engagement.slip_energy)
    step("energy_per_area", engagement.energy_per_area)
    if "plate_mass" in given:
        step("slip_power", engagement.slip_power)
        step("flux_at_start", heat.flux_at_start)
        step("time", heat.hottest_moment)
        step("surface_rise", heat.surface_rise, "carslaw-jaeger")
    if "friction_by_temperature" in given:
        step("face_temperature", heat.face_temperature)
        step("hot_friction", friction.friction_at_temperature)
        values["friction_coefficient"] = values["hot_friction"]
        step("hot_capacity", friction.torque_capacity, "shigley")
        values |= {"capacity": values["hot_capacity"], "shock_factor": 1.0}
        step("hot_reserve", friction.reserve)
    return {f"{name}_at": value for name, value in values.items() if f"{name}_at" in _BY_SPEED}


_BY_SPEED = {output.name for output in OUTPUTS if output.key == "launch speed"}


def _table(given: Mapping[str, Any]) -> friction.FrictionTable:
    """The facing's friction by temperature, as its author listed it."""
    rows = given["friction_by_temperature"]
    for index, (before, after) in enumerate(pairwise(rows), start=1):
        if after["temperature"] <= before["temperature"]:
            raise InputsConflict(
                "friction_by_temperature",
                f"{after['temperature'] - 273.15:g} °C after {before['temperature'] - 273.15:g} °C",
                "rising temperatures",
                at=(index, "temperature"),
            )
    return friction.FrictionTable(tuple((row["temperature"], row["sliding_friction"]) for row in rows))


def _car_at_clutch(
    given: Mapping[str, Any], capacity: Mapping[str, float], values: dict[str, float], working: Working
) -> None:
    """The car as the gearbox's input shaft feels it."""
    working.chain(
        values,
        "mechanics",
        inertia_at_clutch=engagement.inertia_at_clutch,
        resistance_torque=engagement.resistance_torque,
    )
    _check_launch_torque(given, capacity, values["resistance_torque"], working)


def _check_launch_torque(
    given: Mapping[str, Any], capacity: Mapping[str, float], resistance: float, working: Working
) -> None:
    """The clutch slips to an end only where the torque moves the car, and engine and clutch bear it."""
    torque = given["launch_torque"]
    if torque <= resistance:
        raise InputsConflict(
            "launch_torque",
            f"{torque:.1f} N·m",
            f"more than the car's resistance, {resistance:.1f} N·m at the clutch",
        )
    for most, what in (
        (given["engine_torque"], "engine_torque, or the engine slows down"),
        (capacity["sliding_high"], "what the clutch carries in slip"),
    ):
        if torque > most:
            raise InputsConflict("launch_torque", f"{torque:.1f} N·m", f"at most {most:.1f} N·m: {what}")
    if torque > capacity["sliding_low"]:
        working.remark(said("At the low end of its friction the clutch cannot carry launch_torque."))


def _check_plate(values: dict[str, float], working: Working) -> None:
    """Refuse a mass that no plate of this facing has."""
    thickness = working.chain(values, "mechanics", plate_thickness=heat.plate_thickness)
    if not _PLATES[0] <= thickness <= _PLATES[1]:
        by_thickness = values["plate_mass"] / thickness
        raise InputsConflict(
            "plate_mass",
            f"{values['plate_mass']:g} kg, which is {thickness * 1000:.1f} mm under this facing",
            f"{_PLATES[0] * by_thickness:.2g} to {_PLATES[1] * by_thickness:.2g} kg, 3 to 22 mm",
            help="the metal under the facing's ring alone: of a flywheel neither hub nor rim",
        )


def _plate_heat(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """How hot the plate gets: throughout, at its surface, and after several launches."""
    working.chain(values, "practice", heat_share=heat.share_of_faces)
    _check_plate(values, working)
    working.chain(
        values,
        "mechanics",
        plate_rise=heat.lumped_rise,
        flux_at_start=heat.flux_at_start,
        time=heat.hottest_moment,
    )
    working.chain(values, "carslaw-jaeger", surface_rise=heat.surface_rise, heated_depth=heat.heated_depth)
    if values["heated_depth"] > values["plate_thickness"] / values["plate_faces"]:
        working.remark(
            said("The heat gets through the plate during the slip: its surface gets hotter than said.")
        )
    if "launches" in given:
        working.chain(values, "mechanics", rise_uncooled=heat.uncooled_rise)
        if "launch_interval" in given:
            working.chain(values, "mechanics", rise_cooled=heat.repeated_rise)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Capacity, pedal and launch of one case; SI in, SI out."""
    _check_groups(given)
    values = {name: float(value) for name, value in given.items() if not isinstance(value, str | list)}
    if values["inner_diameter"] >= values["outer_diameter"]:
        raise InputsConflict(
            "inner_diameter",
            f"{values['inner_diameter'] * 1000:g} mm",
            f"less than outer_diameter, {values['outer_diameter'] * 1000:g} mm",
        )
    working.chain(
        values,
        "mechanics",
        faces=friction.faces,
        ring_area=friction.ring_area,
        friction_area=friction.friction_area,
    )
    _clamp_load(given, values, working)
    working.chain(values, "mechanics", mean_pressure=friction.mean_pressure)
    working.chain(values, "shigley", greatest_pressure=friction.greatest_pressure)
    outputs = _capacity(given, values, working)
    if (facing := given.get("facing")) is not None:
        values["published_pressure"], values["published_power"] = _PUBLISHED[facing]
        working.chain(values, "tribology", pressure_share=friction.pressure_share)
        working.limit(
            "pressure_share",
            most=1.0,
            says=said("The mean pressure [may be|is] above what the handbook gives for this facing."),
        )
        if facing in ("woven", "wound", "moulded"):
            ends = {"least": friction.break_in_least, "most": friction.break_in_most}
            step = working.step
            named = {
                end: step(f"break_in_distance.{end}", rule, source="practice") for end, rule in ends.items()
            }
            outputs["break_in_distance"] = named
    _pedal(given, values, working)
    _launch(given, outputs["capacity_uniform_wear"], values, working)  # type: ignore[arg-type]
    alone = {output.name: values[output.name] for output in OUTPUTS if output.name in values}
    by_speed = _by_speed(given, outputs["capacity_uniform_wear"], values, working)  # type: ignore[arg-type]
    return outputs | alone | by_speed


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Capacity, run in, over the range of sliding friction, with the torques that it has to carry."""
    series, torques = [], dict[float, str]()
    for style, (name, case) in enumerate(cases.items()):
        low, high = case.inputs["sliding_friction_low"], case.inputs["sliding_friction_high"]
        slope = case.outputs["capacity_uniform_wear"]["sliding_low"] / low
        x = [low + (high - low) * part / 24 for part in range(25)]
        share = case.uncertainty("capacity_uniform_wear", "sliding_low") / (slope * low)
        series.append(
            Series(
                label=name or "torque capacity",
                x=x,
                y=[slope * coefficient for coefficient in x],
                style=style,
                low=[slope * coefficient * (1 - share) for coefficient in x],
                high=[slope * coefficient * (1 + share) for coefficient in x],
            )
        )
        if "seen_slip_torque" in case.inputs:
            torques[case.inputs["seen_slip_torque"]] = "it slipped here"
        if "rated_torque" in case.inputs:
            torques[case.inputs["rated_torque"]] = "the seller's rating"
        torques[case.inputs["engine_torque"] * case.inputs.get("shock_factor", 1.0)] = "peak of a shock"
        torques[case.inputs["engine_torque"]] = "engine torque"
    return ChartSpec(
        title="Torque capacity and friction",
        description="Where the run-in clutch slips, over sliding friction. Level lines: the "
        "torques that it has to carry.",
        x=Axis("coefficient of friction", "ratio", ""),
        y=Axis("torque capacity", "torque", "N·m", from_zero=True),
        series=tuple(series),
        markers=tuple(Marker(label, y=torque) for torque, label in sorted(torques.items())),
    )
