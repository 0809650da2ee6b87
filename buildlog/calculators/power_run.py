"""Torque and power from pulls on a chassis dynamometer or on the road, corrected, averaged and compared.

**Where the pulls come from.** One of three. `pulls`: rows of engine speed with torque or power, and which
pull each row is of; from the sheet of a dynamometer, or as a CSV file. `dynamometer_log`: one file for each
pull, with engine speed and torque or power; a sheet by engine speed that has no times says `time: {rate: 1
Hz}`, which counts its rows. `road_log`: one file for each pull in one gear with full throttle, with engine
speed, road speed, or both. Each file gives its longest stretch on which the engine gains speed, less what
smoothing would mix with what was before and after; with `throttle` and `full_throttle` only while the pedal
is down; `from` and `to` cut a file.

**On the road** the car itself is the brake: torque comes from mass, acceleration, `mass_factor` (mass with
turning parts over mass, in that gear; the kind `acceleration` has it by gear), the gradient, and the
coast-down of this very car: its three coefficients, or `coast_log`, logs of coasting in neutral in both
directions, through each of which force = A + C v² is fitted; the mean of these lines counts. Without road
speed in the log, or without engine speed, one comes from the other by `gear_ratio`, `final_drive` and
`rolling_circumference`.

**Wind and slope.** A wind w against the car holds it back by C w (2 v + w) beside the coast-down's force, C
being the square term, half of air density times drag area (after a `coast_log` both ways, which has the w² in
it, by 2 C v w); 3 m/s at 130 km/h are three kilowatts of a car with 0.65 m² of drag area. Pulls that all go
one way agree in it, so that their scatter says nothing. So state `directions`, a word a pull: of both ways,
two pulls each at least, the result is the mean of both means, without slope and wind but for C w², and with
the scatter of the pulls about the mean of their own way (n − 2 degrees of freedom). Or state `wind`, against
the first pull where it is positive, and its ±. Of pulls one way, or of which no way is said, and without a
wind, one of ± 4 m/s (k = 2) is in the uncertainty, and the card says so; a gradient that has no ± has ± 0.5
%.

**Smoothing.** Logs are smoothed by straight lines through the rows within `smoothing_window`, a time; those
of a dynamometer stand as they are without it. It is yours to state: a wide one rounds peaks off, a narrow one
leaves noise. What it rounds off is worked out from how the curve bends and stands in the uncertainty; so does
the noise of the rows, no less than a stated `quantum` makes. A speed in steps of 1 km/h at 2 Hz moves the
power of a car of 1200 kg at 100 km/h by 18 kW from one row to the next: no window short enough for a peak
makes that good.

**Correction.** Air temperature, pressure and humidity as they were where the engine draws its air.

| correction | to | from | holds for |
|---|---|---|---|
| `uncorrected` | as measured | | any air |
| `sae_j1349` | 25 °C, 99 kPa dry | 1.18 (99 kPa / p) √(T / 298 K) − 0.18 | 15–35 °C, 90–105 kPa dry |
| `iso_1585` | 25 °C, 99 kPa dry | (99 kPa / p)^1.2 (T / 298 K)^0.6 | 15–35 °C, 80–110 kPa dry |
| `din_70020` | 20 °C, 101.3 kPa | (101.3 kPa / p) √(T / 293 K) | 10–40 °C, 80–110 kPa |
| `by_tester` | unknown | as printed, by `tester_factor` | what the tester took it for |

A sheet that was corrected already says `by_tester` with the factor that it prints: its numbers stand as they
are, no standard is claimed, and a fourth of what the factor corrects is in doubt as of the others. Outside of
its range a correction is refused, as is a factor outside of 0.93 to 1.07. They are for spark-ignition engines
that draw the air around them: not for compression ignition, nor for a boost that a control holds. In dry air
of 25 °C and 99 kPa an engine has 3 % more by DIN 70020 than by ISO 1585: compare nothing across standards.

**Where.** Results are at the wheels, and say so, unless `driveline_loss` states which share of the clutch's
power is lost on the way. Nobody measures that share on the same rollers without doubt: give it its ±. Torque
at the wheels is told at the engine's speed, power over engine speed, so that gears do not matter.

**Several pulls** are brought to one engine speed, every `speed_step` from the lowest to the highest that all
of them have, and averaged. The uncertainty is the interval of Student's t of the pulls: three tell, two
hardly do. Of one pull nothing tells how it repeats: its uncertainty is only what its rows' noise makes, by
some thirty independent parts of it that make most of the noise and of the area under it. To it comes 2 % for
what a dynamometer reads (common practice, no source), unless the log has its own `by`: one error for all that
is read on the dynamometer of one name, so that before and after on one are compared more surely than either
is known.

**Peaks** are the tops of a parabola through the mean curve within `peak_window`, or through the highest row
of a table and its neighbours, where no third is so near; where they are is less sure than how high. Where the
pulls do not agree on a top, as of a power that still rises at its end, no speed is told for it. The highest
place of such a curve is the one that noise lifts most; of logs the peak is then the height, by that parabola,
where a cubic through the whole curve is highest, less what drawing the noise again lifts even that by. Of a
table it is the highest row. Neither the scatter of the pulls nor the noise of the rows, no less than a stated
`quantum` makes, must be able to take a top away that is told. The mean over a band, from `band_from` to
`band_to`, is the area under the curve over its width: a change of the peak alone tells little of how a car
drives.

**As a torque curve** for `acceleration` or `course`, take the rows: `{engine_speed: 3000 rpm, torque:
calc:run.after.torque_at.3000-rpm}`. The uncertainty comes along. Of torque at the wheels say
`driveline_efficiency: 100 %` there.

**Not in it:** gusts, a slope that is not the same all along, tyres that slip, an engine that heats up from
pull to pull (drive before and after by turns), and what a dynamometer's own software had smoothed before.

```yaml
id: run
kind: power_run
inputs:
  pulls:
    - {pull: first, engine_speed: 2000 rpm, torque: 128.4 N·m}
    - {pull: first, engine_speed: 3500 rpm, torque: 147.0 N·m}
    - {pull: first, engine_speed: 5000 rpm, torque: 152.1 N·m}
    - {pull: first, engine_speed: 6000 rpm, torque: 143.9 N·m}
    - {pull: first, engine_speed: 7000 rpm, torque: 119.6 N·m}
    - {pull: second, engine_speed: 2000 rpm, torque: 127.1 N·m}
    - {pull: second, engine_speed: 3500 rpm, torque: 146.2 N·m}
    - {pull: second, engine_speed: 5000 rpm, torque: 150.8 N·m}
    - {pull: second, engine_speed: 6000 rpm, torque: 142.5 N·m}
    - {pull: second, engine_speed: 7000 rpm, torque: 119.0 N·m}
    - {pull: third, engine_speed: 2000 rpm, torque: 127.9 N·m}
    - {pull: third, engine_speed: 3500 rpm, torque: 147.5 N·m}
    - {pull: third, engine_speed: 5000 rpm, torque: 151.3 N·m}
    - {pull: third, engine_speed: 6000 rpm, torque: 143.0 N·m}
    - {pull: third, engine_speed: 7000 rpm, torque: 118.5 N·m}
  ambient_temperature: 21 °C ± 1 °C
  ambient_pressure: 995 hPa ± 2 hPa
  relative_humidity: 55 %
  speed_step: 1000 rpm
  band_from: 3000 rpm
  band_to: 6000 rpm
cases:
  measured: {correction: uncorrected}
  corrected: {correction: iso_1585}
```
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain, pairwise
from math import ceil, floor, pi, sqrt
from typing import Any
from zlib import crc32

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange, as_written
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    Listed,
    LogChannel,
    Logged,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Working,
    given_together,
)
from buildlog.kinds.keys import address_key
from buildlog.kinds.logs import Log
from buildlog.kinds.models import pulls as pulling
from buildlog.kinds.models.car_inputs import BY_NAME, REVS
from buildlog.kinds.models.car_model import COAST_DOWN
from buildlog.kinds.models.readings import line_through
from buildlog.physics import air, drivetrain, measured_curve, power_correction, road_load, traction
from buildlog.said import listed, said

KIND = "power_run"

_SLOPE = Doubt(
    name="slope_of_the_road",
    about="slope of a road that was not levelled: nobody sees half a per cent",
    source="common-practice",
    absolute=0.005,
    limits=True,
)
_STATED_WIND = Doubt(
    name="stated_wind",
    about="wind along the road by a forecast, or by a look at the trees",
    source="common-practice",
    absolute=2.0,
    limits=True,
    unit="m/s",
)

_MOST_ROWS = 4000
_TORQUE = Number(dimension="torque", unit="N·m", low=0, high=3000, why="car engines, by engine speed")
_POWER = Number(dimension="power", unit="kW", low=0, high=1500, why="car engines")
_STANDARDS = {
    "uncorrected": "as measured",
    "sae_j1349": "to 25 °C and 99 kPa of dry air by SAE J1349",
    "iso_1585": "to 25 °C and 99 kPa of dry air by ISO 1585",
    "din_70020": "to 20 °C and 101.3 kPa by DIN 70020",
    "by_tester": "as the tester had multiplied it already",
}
_WINDOW = Number(dimension="time", unit="s", low=0.02, high=5, why="pulls take 4 to 20 s")
_THROTTLE = LogChannel(
    name="throttle", dimension="ratio", unit="%", about="how far the pedal is down", required=False
)
_ENGINE = LogChannel(
    name="engine_speed", dimension="rotational speed", unit="rpm", about="engine speed", required=False
)
_ROAD = LogChannel(name="road_speed", dimension="speed", unit="km/h", about="road speed", required=False)

INPUTS = (
    Input(
        name="pulls",
        form=Table(
            (
                Input(name="pull", form=Text(40), about="which pull the row is of"),
                Input(name="engine_speed", form=REVS, about="engine speed"),
                Input(name="torque", form=_TORQUE, about="torque at the engine's speed", required=False),
                Input(name="power", form=_POWER, about="or power", required=False),
            ),
            4,
            _MOST_ROWS,
        ),
        about="what a dynamometer printed, rising in engine speed in each pull",
        required=False,
    ),
    Input(
        name="dynamometer_log",
        form=Logged(
            channels=(
                replace(_ENGINE, required=True),
                LogChannel(
                    name="torque",
                    dimension="torque",
                    unit="N·m",
                    about="torque at the engine's speed",
                    required=False,
                ),
                LogChannel(name="power", dimension="power", unit="kW", about="or power", required=False),
                _THROTTLE,
            )
        ),
        about="logs or sheets of a dynamometer, one pull each",
        required=False,
    ),
    Input(
        name="road_log",
        form=Logged(channels=(_ENGINE, _ROAD, _THROTTLE)),
        about="logs of full throttle in one gear on the road, one pull each",
        required=False,
    ),
    Input(
        name="dynamometer",
        form=Text(60),
        about="a name for it, where there are several: pulls on one share its error",
        required=False,
    ),
    Input(name="smoothing_window", form=_WINDOW, about="time over which a log is smoothed", required=False),
    Input(
        name="full_throttle",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="less is no full load"),
        about="from where the pedal counts as down, with the channel throttle",
        required=False,
    ),
    Input(name="correction", form=Choice(_STANDARDS), about="to which air the result is corrected"),
    Input(
        name="ambient_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=50, why="weather"),
        about="of the air that the engine draws",
        required=False,
    ),
    Input(
        name="ambient_pressure",
        form=Number(dimension="pressure", unit="hPa", low=450, high=1085, why="roads"),
        about="as read at the place, not reduced to sea level",
        required=False,
    ),
    BY_NAME["relative_humidity"],
    Input(
        name="tester_factor",
        title="factor that the tester printed",
        form=Number(dimension="ratio", unit="", low=0.7, high=1.5, why="from sea level to mountain roads"),
        about="what the tester had multiplied its readings by; with correction: by_tester",
        required=False,
    ),
    Input(
        name="driveline_loss",
        form=Number(dimension="ratio", unit="%", low=0, high=40, why="drivelines of cars"),
        about="share of the clutch's power that does not reach the wheels; without it all is at the wheels",
        required=False,
    ),
    Input(
        name="speed_step",
        form=Number(dimension="rotational speed", unit="rpm", low=50, high=2000, why="rows of a curve"),
        about="engine speed from row to row of the result",
        default="500 rpm",
        default_source="a dozen rows over the engine's range",
    ),
    Input(
        name="band_from",
        title="start of the band",
        form=REVS,
        about="where the band begins that the mean is of",
        required=False,
    ),
    Input(name="band_to", title="end of the band", form=REVS, about="and where it ends", required=False),
    Input(
        name="peak_window",
        form=Number(dimension="rotational speed", unit="rpm", low=200, high=4000, why="tops of curves"),
        about="width of the parabola that finds a peak",
        default="1000 rpm",
        default_source="common practice, no source: wide against noise, narrow against the curve's bend",
    ),
    replace(BY_NAME["vehicle_mass"], required=False),
    Input(
        name="mass_factor",
        form=Number(dimension="ratio", unit="", low=1, high=2.5, why="wheels alone to a first gear"),
        about="mass with turning parts over mass, in the gear of the pulls",
        required=False,
    ),
    Input(
        name="gear_ratio",
        form=Number(dimension="ratio", unit="", low=0.3, high=8, why="forward ratios of car gearboxes"),
        about="of the gear of the pulls",
        required=False,
    ),
    replace(BY_NAME["final_drive"], required=False),
    replace(BY_NAME["rolling_circumference"], required=False),
    replace(BY_NAME["gradient"], about="rise over level run, the way that the first pull went", doubt=_SLOPE),
    Input(
        name="directions",
        form=Listed(Text(20), 1, 400),
        about="which way each pull of road_log went, in their order: [out, back, out, back]",
        required=False,
    ),
    Input(
        name="wind",
        form=Number(dimension="speed", unit="m/s", low=-20, high=20, why="no day for road tests beyond"),
        about="along the road, against the first pull where it is positive",
        required=False,
        doubt=_STATED_WIND,
    ),
    *(BY_NAME[name] for name in COAST_DOWN),
    Input(
        name="coast_log",
        form=Logged(channels=(replace(_ROAD, required=True),)),
        about="logs of coasting in neutral, in both directions, instead of the three coefficients",
        required=False,
    ),
    Input(
        name="coasting_mass_factor",
        form=Number(dimension="ratio", unit="", low=1, high=1.2, why="wheels and what turns with them"),
        about="mass with turning parts over mass, in neutral",
        required=False,
    ),
)

_AIR = ("ambient_temperature", "ambient_pressure")
_BAND = ("band_from", "band_to")

OUTPUTS = (
    Output(
        name="reference",
        title="reference point and air of the results",
        dimension="text",
        unit="",
        about="where and in which air",
    ),
    Output(
        name="correction_factor",
        title="correction factor for the air",
        dimension="ratio",
        unit="",
        about="correction factor",
        decimals=4,
        needs=_AIR,
    ),
    Output(
        name="peak_torque",
        title="peak torque",
        dimension="torque",
        unit="N·m",
        decimals=1,
    ),
    Output(
        name="peak_torque_revs",
        title="engine speed at peak torque",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
    ),
    Output(
        name="peak_power",
        title="peak power",
        dimension="power",
        unit="kW",
        decimals=1,
    ),
    Output(
        name="peak_power_revs",
        title="engine speed at peak power",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
    ),
    Output(
        name="mean_torque_in_band",
        title="mean torque over the band",
        dimension="torque",
        unit="N·m",
        about="mean torque over the band",
        decimals=1,
        needs=_BAND,
    ),
    Output(
        name="mean_power_in_band",
        title="mean power over the band",
        dimension="power",
        unit="kW",
        about="mean power over the band",
        decimals=1,
        needs=_BAND,
    ),
    Output(
        name="repeatability",
        title="standard deviation between pulls",
        dimension="ratio",
        unit="%",
        about="standard deviation between pulls",
        decimals=2,
    ),
    Output(
        name="noise_of_one_pull",
        title="power noise of one pull",
        dimension="power",
        unit="kW",
        about="at the highest speed (k = 2)",
        decimals=1,
        needs=("road_log",),
    ),
    Output(
        name="coast_down_force",
        title="constant term of the coast-down force",
        dimension="force",
        unit="N",
        about="A of the one that was fitted",
        decimals=0,
        needs=("coast_log",),
    ),
    Output(
        name="coast_down_square",
        title="square term of the coast-down force",
        dimension="force per speed squared",
        unit="N·s²/m²",
        about="C of the one that was fitted",
        decimals=3,
        needs=("coast_log",),
    ),
    Output(
        name="torque_at",
        title="torque at the engine speed",
        dimension="torque",
        unit="N·m",
        about="torque at an engine speed",
        decimals=1,
        key="engine speed",
    ),
    Output(
        name="power_at",
        title="power at the engine speed",
        dimension="power",
        unit="kW",
        about="power at an engine speed",
        decimals=1,
        key="engine speed",
    ),
)

SOURCES = (
    Source(id="mechanics", title="Kinematics, statics and Newton's second law", standing="derived"),
    Source(
        id="sae-j1349",
        title="Engine Power Test Code, Spark Ignition and Compression Ignition, SAE J1349",
        publisher="SAE International",
        edition="1990 and after",
        where="correction of net brake power, as testers quote it (read); its limits from memory",
    ),
    Source(
        id="iso-1585",
        title="Road vehicles, engine test code, net power, ISO 1585; the same in UN Regulation 85",
        where="UN Regulation 85, Annex 5, 5.4",
        standing="from memory",
    ),
    Source(
        id="din-70020",
        title="Motor vehicle engineering, engine power, DIN 70020",
        where="reduction to 1013 hPa and 20 °C, as testers quote it, and Bosch, Automotive Handbook, "
        "4th ed. (1996), as quoted (read)",
    ),
    Source(
        id="buck",
        title="New equations for computing vapor pressure; coefficients of 1996",
        publisher="A. L. Buck, J. Appl. Meteorol. 20; Buck Research CR-1A manual",
    ),
    Source(
        id="epa",
        title="Data on cars used for testing fuel economy, model years 2010–2023",
        publisher="U.S. Environmental Protection Agency",
        where="form of the coast-down coefficients A, B, C",
    ),
    Source(
        id="still-day",
        title="Straßenverkehrs-Zulassungs-Ordnung (StVZO), test of exhaust emissions",
        publisher="as published at regelwerke.vbg.de, nstvzo_533",
        where="3.9.2.3, weather: wind of no more than 3 m/s in the mean, gusts of less than 5 m/s",
    ),
    Source(
        id="student",
        title="Guide to the expression of uncertainty in measurement, JCGM 100:2008",
        publisher="BIPM",
        where="4.2.3, 4.3.7 and G.3.2",
    ),
    Source(
        id="least-squares",
        title="Least squares: a line through rows, a parabola through the top of a curve",
        standing="derived",
    ),
    Source(
        id="common-practice",
        title="What testers allow for",
        standing="common practice, no source",
    ),
)

_CORRECTION = Doubt(
    name="air_correction",
    about="a factor by the air alone, for whichever engine: a fourth of what it corrects",
    source="common-practice",
    relative=0.25,
    range="spark ignition, the range of the standard",
)
_DYNAMOMETER = Doubt(
    name="dynamometer",
    about="what a chassis dynamometer reads, of the same car on the same day",
    source="common-practice",
    relative=0.02,
    range="chassis dynamometers with checked brakes or known rollers",
)
_COAST = Doubt(
    name="coasting",
    about="resistance that a coast-down has beside its three coefficients: wind, tyre warmth",
    source="common-practice",
    relative=0.03,
    range="still, dry days",
)
_WIND = Doubt(
    name="wind_along_the_road",
    about="a wind that nobody stated, in all pulls that went one way",
    source="still-day",
    absolute=4.0,
    unit="m/s",
    range="days on which a coast-down may be driven",
)

DOUBTS = (_CORRECTION, _DYNAMOMETER, _COAST, _WIND)

DRAWS = 100

HAZARDS = ("dynamometer", "road-testing", "exhaust-gas", "spinning-parts", "hot-parts")

_SOURCES_OF_PULLS = ("pulls", "dynamometer_log", "road_log")
_MOST_STEPS = 60
_POINTS = 80
"""Of the fine curve that peaks and areas are taken from."""
_LEAST_FACTOR, _MOST_FACTOR = 0.93, 1.07
_TOLD_LIFT = 0.002
_ZERO = 273.15
"""K; 0 °C."""
_SCATTER = "scatter of the pulls"
_NOISE = "noise of the rows of the only pull"
_ROUNDING = "what smoothing rounds off the curve"


def _rpm(speed: float) -> str:
    return as_written(speed, f"{speed * 30 / pi:.0f} rpm")


# --- what was measured -----------------------------------------------------------------------


@dataclass(kw_only=True)
class _Measured:
    """Pulls as one mean curve that can be moved. `torque` makes the torque where it was measured from the
    columns at an engine speed; with a name it leaves its steps in the working. `log` is one of those that the
    pulls are from, which keeps what is worked out once."""

    averaged: pulling.Averaged
    torque: Callable[[float, Sequence[float], str], float]
    log: Log | None = None
    shifts: list[float] = field(default_factory=list)
    bending: float = 0.0
    rows: tuple[float, ...] = ()
    still: bool = False

    @property
    def is_moved(self) -> bool:
        """Whether any error is moved: not in the ordinary run."""
        return any(self.shifts) or bool(self.bending)

    def each_moved(self) -> Iterator[_Measured]:
        """The same, moved by each of its errors alone, one standard uncertainty."""
        count = len(self.averaged.moves)
        for place in range(count):
            yield replace(self, shifts=[float(other == place) for other in range(count)], bending=0.0)
        if self.averaged.bent:
            yield replace(self, shifts=[0.0] * count, bending=1 / sqrt(3))

    def each_of_rows(self) -> Iterator[_Measured]:
        """The same, moved by what the noise of the rows makes of the mean of several pulls. Their scatter has
        it in it, but of three it is known badly: tops are held to both."""
        noise = self.averaged.noise
        if len(self.averaged.pulls) < 2 or noise is None:
            return
        count = len(noise.parts)
        for place in range(count):
            yield replace(self, shifts=[], bending=0.0, rows=tuple(float(at == place) for at in range(count)))

    def at(self, speed: float, name: str = "") -> float:
        """Torque where it was measured, at an engine speed."""
        if self.still:
            return self.torque(speed, self.averaged.at(speed), name)
        return self.torque(speed, self.averaged.at(speed, self.shifts, self.bending, self.rows), name)


def _measured(given: Mapping[str, Any], working: Working, outputs: Outputs) -> _Measured:
    """What the pulls say, from whichever of the three they come."""
    there = [name for name in _SOURCES_OF_PULLS if name in given]
    if len(there) != 1:
        expected = "one of pulls, dynamometer_log and road_log"
        if there:
            raise InputsConflict(there[1], f"{there[0]} as well", expected, help="a block has one way")
        raise MissingInput("pulls", "no pulls", expected)
    for name in ("directions", "wind"):
        if name in given and there[0] != "road_log":
            raise InputsConflict(name, f"{there[0]} with {name}", "road_log", help="rollers have no wind")
    if there[0] == "road_log":
        measured = _Road(given, working, outputs).measured()
    elif there[0] == "pulls":
        measured = _dynamometer(given, working, _tabled(given["pulls"]))
    else:
        measured = _dynamometer(given, working, *_logged(given, working))
    _move(measured, _readings(given, there[0]), working)
    return measured


def _move(measured: _Measured, of: str, working: Working) -> None:
    """Ask for the errors that move the mean curve: each pull's deviation, or the noise of the only one's
    rows, and what smoothing rounds off. Each is told by its size at the highest speed. They are the readings'
    own: two cases with the same readings, corrected one way and another, share them."""
    top = measured.averaged.high
    about = _SCATTER if len(measured.averaged.pulls) > 1 else _NOISE
    middle = replace(measured, still=True).at(top)
    names = [*measured.averaged.moves, *(["smoothing"] if measured.averaged.bent else [])]
    shifts = []
    for name, moved in zip(names, list(measured.each_moved()), strict=True):
        # A pull that is on the mean just there has a size all the same.
        size = abs(moved.at(top) - middle) or 1e-9 * abs(middle)
        said, source = (_ROUNDING, "least-squares") if name == "smoothing" else (about, "student")
        shifts.append(working.scatter(name, size, about=said, source=source, of=of) / size)
    if measured.averaged.bent:
        measured.bending = shifts.pop() / sqrt(3)
    measured.shifts = shifts


def _readings(given: Mapping[str, Any], name: str) -> str:
    """What the readings of an input are, told apart from any others."""
    if name == "pulls":
        numbers = array("d")
        for row in given[name]:
            numbers.extend((row["engine_speed"], row.get("torque", 0.0), row.get("power", 0.0)))
        return f"pulls {crc32(numbers.tobytes()):08x}"
    logs: tuple[Log, ...] = given[name]
    return " ".join(f"{log.file} {log.times[0]:g}–{log.times[-1]:g} s" for log in logs)


def _tabled(rows: Sequence[Mapping[str, Any]]) -> tuple[pulling.Pull, ...]:
    """The pulls of a table, in the order in which they begin."""
    found: dict[str, list[tuple[int, float, float]]] = {}
    for index, row in enumerate(rows):
        if ("torque" in row) == ("power" in row):
            said = "torque and power" if "torque" in row else "neither torque nor power"
            raise InputsConflict("pulls", f"a row with {said}", "one of the two", at=(index, "pull"))
        speed = row["engine_speed"]
        torque = (
            row["torque"]
            if "torque" in row
            else power_correction.torque_of_power(power=row["power"], engine_speed=speed)
        )
        found.setdefault(row["pull"], []).append((index, speed, float(torque)))
    for name, points in found.items():
        _check_rising(name, points)
    return tuple(
        pulling.Pull(
            name=name,
            speeds=[float(speed) for _, speed, _ in points],
            columns=([torque for _, _, torque in points],),
        )
        for name, points in found.items()
    )


def _check_rising(name: str, points: Sequence[tuple[int, float, float]]) -> None:
    if len(points) < 2:
        raise InputsConflict(
            "pulls", f"one row of pull “{name}”", "two rows at least", at=(points[0][0], "pull")
        )
    for (_, low, _), (index, high, _) in pairwise(points):
        if high <= low:
            raise InputsConflict(
                "pulls",
                f"{_rpm(high)} after {_rpm(low)} in pull “{name}”",
                "rows of a pull that rise in engine_speed",
                help="rows of several pulls need each their own name in the column pull",
                at=(index, "engine_speed"),
            )


def _dynamometer(
    given: Mapping[str, Any],
    working: Working,
    pulls: tuple[pulling.Pull, ...],
    bent: tuple[pulling.Pull, ...] = (),
    noise: pulling.Noise | None = None,
    own: bool = False,
) -> _Measured:
    """Pulls of torque. What the dynamometer reads is in doubt by 2 %, unless its own doubt was counted."""
    name = given.get("dynamometer", "")
    reads = 1.0 if own else working.factor(_DYNAMOMETER.of(address_key(name)) if name else _DYNAMOMETER)

    def torque(speed: float, columns: Sequence[float], name: str) -> float:
        return columns[0] * reads

    logs: tuple[Log, ...] = given.get("dynamometer_log", ())
    averaged = pulling.Averaged(pulls=pulls, noise=noise, bent=bent)
    return _Measured(averaged=averaged, torque=torque, log=logs[0] if logs else None)


# --- logs --------------------------------------------------------------------------------------


def _track(
    given: Mapping[str, Any], log: Log, rising: str, channels: Sequence[str], *, noise: bool
) -> pulling.Track:
    """The pull of a log, made once: nothing of it rests on what is in doubt."""
    throttle = "throttle" if log.has("throttle") else ""
    if throttle and "full_throttle" not in given:
        raise MissingInput(
            "full_throttle", "throttle without it", "from where the pedal counts as down, 95 % say"
        )
    wanted = pulling.Wanted(
        rising=rising,
        along="engine_speed" if "engine_speed" in channels else rising,
        window=float(given["smoothing_window"]),
        throttle=throttle,
        open_from=float(given.get("full_throttle", 0.0)),
        noise=noise,
        file=log.file,
    )
    taken = [*channels, *([throttle] if throttle else [])]
    return log.once(
        ("power_run", wanted, tuple(taken)),
        lambda: pulling.track(
            log.times, {name: log.values[name] for name in taken}, log.spans, wanted, log.quantum
        ),
    )


def _tell(logs: Sequence[Log], found: Sequence[pulling.Track], working: Working) -> None:
    """Which part of each file is the pull, and through how many rows its lines go."""
    parts = [
        said("{first} s to {last} s", first=f"{one.times[0]:.1f}", last=f"{one.times[-1]:.1f}")
        for one in found
    ]
    if len(set(parts)) > 1:
        names = [log.file.rpartition("/")[2] for log in logs]
        where = listed(
            said("{part} of {name}", part=part, name=name) for part, name in zip(parts, names, strict=True)
        )
    elif len(logs) > 1:
        where = said("{part} of each log", part=parts[0])
    else:
        where = said("{part} of the log", part=parts[0])
    rows = sorted({round(one.rows) for one in found})
    through = said("{first} to {last}", first=rows[0], last=rows[-1]) if rows[1:] else str(rows[0])
    working.remark(
        said("Smoothed by lines through {rows} rows; pulls from {where}.", rows=through, where=where)
    )


def _instrument(log: Log, channel: str, working: Working) -> tuple[float, float]:
    """What to multiply readings of a channel by, and to add: 1 and 0 in the ordinary run."""
    doubt = log.doubt(channel)
    return (working.factor(doubt), working.offset(doubt)) if doubt else (1.0, 0.0)


def _corrected_readings(log: Log, channel: str, values: Sequence[float], working: Working) -> list[float]:
    factor, offset = _instrument(log, channel, working)
    return [value * factor + offset for value in values]


def _logged(
    given: Mapping[str, Any], working: Working
) -> tuple[tuple[pulling.Pull, ...], tuple[pulling.Pull, ...], pulling.Noise | None, bool]:
    """The pulls of a dynamometer's logs, what smoothing rounds off them, the noise of a single one, and
    whether the log says how well it reads."""
    logs: tuple[Log, ...] = given["dynamometer_log"]
    own = all(log.doubt(_channel_of(log)) is not None for log in logs)
    if "smoothing_window" not in given:
        working.remark(said("The rows stand as they are: what smoothed them before is not known."))
        return tuple(_sheet(log, working) for log in logs), (), None, own
    tracks = [
        _track(given, log, "engine_speed", ("engine_speed", _channel_of(log)), noise=number == 0)
        for number, log in enumerate(logs)
    ]
    _tell(logs, tracks, working)
    found = [_smoothed(log, track, working) for log, track in zip(logs, tracks, strict=True)]
    return tuple(pull for pull, _, _ in found), tuple(bent for _, bent, _ in found), found[0][2], own


def _channel_of(log: Log) -> str:
    """What a dynamometer's log has, torque or power."""
    if log.has("torque") == log.has("power"):
        said = "torque and power" if log.has("torque") else "neither torque nor power"
        raise InputsConflict("dynamometer_log", f"columns with {said}", "one of the two")
    return "torque" if log.has("torque") else "power"


def _sheet(log: Log, working: Working) -> pulling.Pull:
    """A pull whose rows stand as they are."""
    channel = _channel_of(log)
    taken = ["engine_speed", channel]
    rows, columns = log.once(
        ("power_run", "sheet"),
        partial(pulling.as_written, {name: log.values[name] for name in taken}, "engine_speed", log.file),
    )
    if len(rows) < len(log.times):
        working.remark(
            said(
                "Of {file} {rows} of {all_rows} rows are the pull; on the others the engine does "
                "not gain speed, or a reading is missing.",
                file=log.file,
                rows=len(rows),
                all_rows=len(log.times),
            )
        )
    speeds = _corrected_readings(log, "engine_speed", columns["engine_speed"], working)
    values = _corrected_readings(log, channel, columns[channel], working)
    return _pull(log.file, speeds, _torques(channel, values, speeds))


def _torques(channel: str, values: Sequence[float], speeds: Sequence[float]) -> list[float]:
    """Power is told as torque, so that all that follows knows one column."""
    if channel == "torque":
        return list(values)
    return [value / speed for value, speed in zip(values, speeds, strict=True)]


def _smoothed(
    log: Log, found: pulling.Track, working: Working
) -> tuple[pulling.Pull, pulling.Pull, pulling.Noise]:
    """A pull smoothed by lines, what that rounds off, and the noise of its rows."""
    channel = _channel_of(log)
    speeds = _corrected_readings(log, "engine_speed", found.values["engine_speed"], working)
    values = _corrected_readings(log, channel, found.values[channel], working)
    places = [speeds[place] for place in found.places]
    return (
        _pull(log.file, speeds, _torques(channel, values, speeds)),
        _pull(log.file, speeds, _torques(channel, found.bent_values[channel], speeds)),
        pulling.Noise(
            speeds=places,
            parts=[
                _torques(channel, [part * found.sigma[channel] for part in parts], places)
                for parts in found.value_noise
            ],
        ),
    )


def _pull(name: str, speeds: Sequence[float], *columns: Sequence[float]) -> pulling.Pull:
    return pulling.Pull(name=name, speeds=speeds, columns=columns)


class _Road:
    """Pulls on the road: what the car gains in speed, and what holds it back."""

    def __init__(self, given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
        self.given, self.working, self.outputs = given, working, outputs
        self.values = {n: float(value) for n, value in given.items() if isinstance(value, int | float)}
        for name in ("vehicle_mass", "mass_factor"):
            if name not in given:
                raise MissingInput(name, f"road_log without {name}", f"{name} as well")

    def measured(self) -> _Measured:
        """The pulls with road speed and acceleration over engine speed."""
        logs: tuple[Log, ...] = self.given["road_log"]
        if "smoothing_window" not in self.given:
            raise MissingInput(
                "smoothing_window",
                "road_log without it",
                "smoothing_window, 0.5 s say",
                help="how far a curve is smoothed decides what its peaks are: state it",
            )
        self.ways = self.directions(len(logs))
        self.resistance()
        channels = [[name for name in ("road_speed", "engine_speed") if log.has(name)] for log in logs]
        if not all(channels):
            raise MissingInput("road_log", "columns without a speed", "engine_speed, road_speed or both")
        tracks = [
            _track(self.given, log, taken[0], taken, noise=number == 0)
            for number, (log, taken) in enumerate(zip(logs, channels, strict=True))
        ]
        _tell(logs, tracks, self.working)
        found = [
            self.pull(log, track, taken) for log, track, taken in zip(logs, tracks, channels, strict=True)
        ]
        averaged = pulling.Averaged(
            pulls=tuple(pull for pull, _, _ in found),
            bent=tuple(bent for _, bent, _ in found),
            noise=found[0][2],
            ways=self.ways if self.both_ways else (),
        )
        measured = _Measured(averaged=averaged, torque=self.torque, log=logs[0])
        to_road = [self.to_road(taken) for taken in channels]
        self.tell_noise(
            averaged,
            [track.sigma[taken[0]] * by for track, taken, by in zip(tracks, channels, to_road, strict=True)],
            tracks,
        )
        return measured

    def gearing(self) -> float:
        """Road speed by engine speed in the gear of the pulls."""
        values = self.values
        if "speed_by_revs" in values:
            return values["speed_by_revs"]
        for name in ("gear_ratio", "final_drive", "rolling_circumference"):
            if name not in self.given:
                raise MissingInput(
                    name,
                    f"road_log with one speed, without {name}",
                    "gear_ratio, final_drive and rolling_circumference, or both speeds in the log",
                )
        return self.working.chain(
            values,
            "mechanics",
            overall_ratio=drivetrain.overall_ratio,
            speed_by_revs=drivetrain.speed_per_engine_speed,
        )

    def to_road(self, channels: Sequence[str]) -> float:
        """What to multiply the first of a log's speeds by to have road speed."""
        return 1.0 if channels[0] == "road_speed" else self.gearing()

    def pull(
        self, log: Log, found: pulling.Track, channels: Sequence[str]
    ) -> tuple[pulling.Pull, pulling.Pull, pulling.Noise]:
        """One pull, what smoothing rounds off it, and the noise of its acceleration."""
        base = channels[0]
        factor, _ = _instrument(log, base, self.working)
        to_road = self.to_road(channels)
        scale = factor * to_road
        values = _corrected_readings(log, base, found.values[base], self.working)
        if len(channels) == 2:
            speeds = _corrected_readings(log, "engine_speed", found.values["engine_speed"], self.working)
        else:
            speeds = values if base == "engine_speed" else [value / self.gearing() for value in values]
        pull = _pull(log.file, speeds, [v * to_road for v in values], [a * scale for a in found.slopes[base]])
        bent = _pull(
            log.file,
            speeds,
            [v * to_road for v in found.bent_values[base]],
            [a * scale for a in found.bent_slopes[base]],
        )
        sigma = found.sigma[base] * to_road
        noise = pulling.Noise(
            speeds=[speeds[place] for place in found.places],
            parts=[[part * sigma for part in parts] for parts in found.slope_noise],
        )
        return pull, bent, noise

    # --- which way, and the wind ----------------------------------------------------------------

    def directions(self, count: int) -> tuple[str, ...]:
        """Which way each pull went, "" where it is not said."""
        if "directions" not in self.given:
            return ("",) * count
        ways = tuple(str(way) for way in self.given["directions"])
        if len(ways) != count:
            raise InputsConflict("directions", f"{len(ways)} directions", f"one for each of {count} pulls")
        if len(set(ways)) > 2:
            words = ", ".join(f"“{way}”" for way in dict.fromkeys(ways))
            raise InputsConflict("directions", f"the directions {words}", "one or two")
        for way in set(ways) if len(set(ways)) == 2 else ():
            if ways.count(way) < 2:
                raise InputsConflict(
                    "directions",
                    f"one pull “{way}”",
                    "two or more each way",
                    help="the scatter of one is not known",
                )
        return ways

    @property
    def both_ways(self) -> bool:
        """Whether pulls went both ways of the road: slope and wind are in their mean as often with as
        against them."""
        return len(set(self.ways)) == 2

    def windy(self) -> None:
        """The wind against the pulls, its doubt where nobody stated it, and what is said of it."""
        working = self.working
        # Of both ways what goes with v·w is nothing in their mean.
        self.wind = self.values.get("wind", 0.0)
        if self.both_ways or "wind" in self.given:
            return
        readings = _readings(self.given, "road_log")
        self.wind = working.offset(_WIND.of(f"{crc32(readings.encode()):08x}"))
        if "" in self.ways:
            several = len(self.ways) > 1
            ways = said("Nothing says which way the pulls went") if several else said("One pull, one way")
        else:
            ways = said("All pulls went one way")
        working.remark(
            said(
                "{ways}: a wind along the road is in the power, the same in all of them, and so is the "
                "slope. What they agree in says nothing of it. ± has a wind of up to 4 m/s in it; state "
                "wind, or pull both ways and state directions.",
                ways=ways,
            )
        )

    def wind_force(self, road_speed: float, name: str) -> float:
        """What the wind holds the car back by, beside the resistance in still air."""
        coasted = "coast_log" in self.given
        if self.both_ways and (coasted or "wind" not in self.given):
            return 0.0
        arguments = {
            "quadratic_resistance": self.values["quadratic_resistance"],
            "road_speed": road_speed,
            "wind": self.wind,
        }
        formula: Callable[..., float] = road_load.wind_force
        if coasted:
            formula = road_load.wind_force_beside_coasting
        elif self.both_ways:
            formula = road_load.wind_force_of_both_ways
            del arguments["road_speed"]
        if not name:
            return formula(**arguments)
        return self.working.step(f"wind_force.{name}", formula, source="mechanics", **arguments)

    # --- what holds the car back -------------------------------------------------------------

    def resistance(self) -> None:
        """The coefficients of the coast-down, as given or from its log; and the gradient."""
        given, values, working = self.given, self.values, self.working
        names = ("constant_resistance", "linear_resistance", "quadratic_resistance")
        together = given_together(given, COAST_DOWN, "a coast-down has three coefficients")
        if together and "coast_log" in given:
            raise InputsConflict("coast_log", f"{COAST_DOWN[0]} as well", "one of the two")
        if together:
            values.update({name: values[own] for name, own in zip(names, COAST_DOWN, strict=True)})
        elif "coast_log" in given:
            self.coasted()
        else:
            raise MissingInput(
                "coast_log",
                "road_log without a coast-down",
                "the three coast_down coefficients, or coast_log",
                help="what the car loses to air and tyres is most of what it gains by power at speed",
            )
        working.chain(
            values,
            "mechanics",
            gradient_angle=road_load.gradient_angle,
            gradient_force=road_load.gradient_force,
        )
        if self.both_ways:
            values["gradient_force"] = 0.0
        self.held_back = working.factor(_COAST)
        self.windy()

    def coasted(self) -> None:
        """A and C of a coast-down, by a line through the deceleration over the square of the speed."""
        given, values, working = self.given, self.values, self.working
        if "coasting_mass_factor" not in given:
            raise MissingInput(
                "coasting_mass_factor", "coast_log without it", "1.03 say: what turns with the wheels"
            )
        logs: tuple[Log, ...] = given["coast_log"]
        window = float(given["smoothing_window"])
        factor = sum(_instrument(log, "road_speed", working)[0] for log in logs) / len(logs)
        lines = []
        for log in logs:
            places = log.once(("power_run", "coast", window), partial(_coasting, log, window))
            if len(places) < 4:
                raise NoSolution(
                    "coast_log",
                    f"{len(places)} windows of {window:g} s in which the car slows down, in {log.file}",
                    "4 at least",
                    help="a longer coast-down, or a shorter smoothing_window",
                )
            squares = [(speed * factor) ** 2 for speed, _ in places]
            lines.append(line_through(squares, [loss * factor for _, loss in places]))
        # A car that coasts with the wind does so for longer: through all windows together it would count
        # for more than against it.
        line = pulling.mean_line(lines)
        if len(logs) == 1:
            working.remark(
                said(
                    "The car coasted in one direction only: wind and gradient of the road are in its "
                    "resistance, and not in ±."
                )
            )
        mass = values["vehicle_mass"] * values["coasting_mass_factor"]
        # Two errors that are independent and together have the covariance of slope and offset.
        first = working.scatter(
            "coast-offset",
            mass * line.offset_standard,
            about="scatter about the coast-down",
            source="student",
            of=_readings(given, "coast_log"),
        )
        shared = line.covariance / line.offset_standard if line.offset_standard else 0.0
        rest = sqrt(max(line.slope_standard**2 - shared**2, 0.0))
        second = working.scatter(
            "coast-slope",
            mass * rest,
            about="scatter about the coast-down",
            source="student",
            of=_readings(given, "coast_log"),
        )
        along = first * shared / line.offset_standard if line.offset_standard else 0.0
        values["constant_resistance"] = self.outputs["coast_down_force"] = working.step(
            "coast_down_force",
            measured_curve.coast_down_force,
            source="least-squares",
            vehicle_mass=values["vehicle_mass"],
            mass_factor=values["coasting_mass_factor"],
            deceleration=line.offset + first / mass,
        )
        values["linear_resistance"] = 0.0
        values["quadratic_resistance"] = self.outputs["coast_down_square"] = working.step(
            "coast_down_square",
            measured_curve.coast_down_square,
            source="least-squares",
            vehicle_mass=values["vehicle_mass"],
            mass_factor=values["coasting_mass_factor"],
            slope=line.slope + (second + along) / mass,
        )

    def torque(self, speed: float, columns: Sequence[float], name: str) -> float:
        """Torque at the wheels, at the engine's speed."""
        road_speed, acceleration = columns
        values, working = self.values, self.working
        parts = {
            part: values[part]
            for part in ("constant_resistance", "linear_resistance", "quadratic_resistance")
        }
        arguments = {
            "vehicle_mass": values["vehicle_mass"],
            "mass_factor": values["mass_factor"],
            "acceleration": acceleration,
            "gradient_force": values["gradient_force"],
            "wind_force": self.wind_force(road_speed, name),
            "road_speed": road_speed,
            "engine_speed": speed,
        }
        if not name:
            held = self.held_back * road_load.resistance(road_speed=road_speed, **parts)
            return power_correction.road_torque(resistance=held, **arguments)
        held = working.step(
            f"resistance.{name}", road_load.resistance, source=_COAST_STEP, road_speed=road_speed, **parts
        )
        return working.step(
            f"measured_torque.{name}",
            power_correction.road_torque,
            source="mechanics",
            resistance=held,
            **arguments,
        )

    def tell_noise(
        self, averaged: pulling.Averaged, sigmas: Sequence[float], tracks: Sequence[pulling.Track]
    ) -> None:
        """What the noise of the rows makes of the power of one pull, the worst of them."""
        working = self.working
        noisiest = max(
            zip(sigmas, tracks, strict=True),
            key=lambda pair: power_correction.slope_uncertainty(pair[0], pair[1].interval, pair[1].rows),
        )
        uncertainty = working.step(
            "acceleration_uncertainty",
            power_correction.slope_uncertainty,
            source="least-squares",
            reading_uncertainty=noisiest[0],
            row_interval=noisiest[1].interval,
            rows=noisiest[1].rows,
        )
        self.outputs["noise_of_one_pull"] = working.step(
            "noise_of_one_pull",
            measured_curve.noise_of_power,
            source="mechanics",
            vehicle_mass=self.values["vehicle_mass"],
            mass_factor=self.values["mass_factor"],
            acceleration_uncertainty=uncertainty,
            road_speed=averaged.at(averaged.high)[0],
        )


def _coasting(log: Log, window: float) -> list[tuple[float, float]]:
    return pulling.decelerations(log.times, log.values["road_speed"], log.spans, window)


_COAST_STEP = replace(_COAST, formula="epa")


# --- the air -----------------------------------------------------------------------------------


def _factor(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """What torque is multiplied by for the reference air; 1 where nothing is corrected."""
    standard = given["correction"]
    if standard == "by_tester":
        return _tester_factor(given, working, outputs)
    if "tester_factor" in given:
        raise InputsConflict("tester_factor", f"correction {standard} with it", "correction: by_tester")
    if standard == "uncorrected":
        return 1.0
    needed = _AIR if standard == "din_70020" else (*_AIR, "relative_humidity")
    for name in needed:
        if name not in given:
            raise MissingInput(name, f"correction {standard} without {name}", ", ".join(needed))
    values = {name: float(given[name]) for name in needed}
    _check_temperature(standard, values["ambient_temperature"])
    if standard == "din_70020":
        found = working.step("correction_factor", power_correction.din_70020, source="din-70020", **values)
    else:
        values["temperature"] = values["ambient_temperature"]
        working.chain(
            values,
            "buck",
            saturation_vapour_pressure=air.saturation_vapour_pressure,
            vapour_pressure=air.vapour_pressure,
        )
        working.chain(values, "mechanics", dry_pressure=power_correction.dry_pressure)
        found = working.step(
            "correction_factor",
            power_correction.sae_j1349 if standard == "sae_j1349" else power_correction.iso_1585,
            source="sae-j1349" if standard == "sae_j1349" else "iso-1585",
            dry_pressure=values["dry_pressure"],
            ambient_temperature=values["ambient_temperature"],
        )
    if not _LEAST_FACTOR <= found <= _MOST_FACTOR:
        raise OutOfRange(
            "ambient_pressure",
            f"a correction factor of {found:.4f}",
            f"{_LEAST_FACTOR} to {_MOST_FACTOR}",
            help="further from the reference the formula does not hold: correction: uncorrected; or "
            "by_tester, where the sheet is corrected already",
        )
    # The doubt is of what is corrected, not of all that is measured.
    outputs["correction_factor"] = factor = 1 + (found - 1) * working.factor(_CORRECTION)
    return factor


def _check_temperature(standard: str, temperature: float) -> None:
    low, high = power_correction.TEMPERATURES[standard]
    if not low - 1e-9 <= temperature <= high + 1e-9:
        raise OutOfRange(
            "ambient_temperature",
            f"{temperature - _ZERO:.4g} °C ({temperature:.4g} K)",
            f"{low - _ZERO:g} to {high - _ZERO:g} °C ({low:g} to {high:g} K)",
            help=f"{_STANDARDS[standard].rpartition(' by ')[2]} holds for these; correction: uncorrected",
        )


def _tester_factor(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """1: what the tester printed stands as it is. Its own factor is told, and doubted as any such factor."""
    if "road_log" in given:
        raise InputsConflict("correction", "by_tester with road_log", "a standard, or uncorrected")
    if "tester_factor" not in given:
        raise MissingInput(
            "tester_factor",
            "correction by_tester without it",
            "the factor that the sheet prints",
            help="without it nobody can take the correction back: ask the tester for it",
        )
    printed = float(given["tester_factor"])
    outputs["correction_factor"] = doubted = 1 + (printed - 1) * working.factor(_CORRECTION)
    working.remark(
        said(
            "Torque and power are as the tester printed them, multiplied already by its own factor. By which "
            "standard, and whether within that one's limits, is not known: nothing is claimed of either."
        )
    )
    return doubted / printed


@dataclass(frozen=True, kw_only=True)
class _ToReference:
    """From torque as measured to that which is told."""

    factor: float
    loss: float | None

    def __call__(self, measured: float) -> float:
        if self.loss is None:
            return power_correction.corrected_torque(measured, self.factor)
        return power_correction.torque_before_the_driveline(measured, self.factor, self.loss)

    def step(self, key: str, measured: float, working: Working) -> float:
        arguments = {"measured_torque": measured, "correction_factor": self.factor}
        name = f"torque_at.{key}"
        if self.loss is None:
            return working.step(name, power_correction.corrected_torque, source="mechanics", **arguments)
        return working.step(
            name,
            power_correction.torque_before_the_driveline,
            source="mechanics",
            driveline_loss=self.loss,
            **arguments,
        )


def _reference(given: Mapping[str, Any], count: int) -> str:
    where = "at the clutch, by the stated loss" if "driveline_loss" in given else "at the wheels"
    of = f"mean of {count} pulls" if count > 1 else "one pull"
    air = _STANDARDS[given["correction"]]
    if given["correction"] == "by_tester":
        air += f", by {float(given['tester_factor']):.4g}"
    return f"{where}, {air}, {of}"


# --- the result ----------------------------------------------------------------------------------


def _grid(given: Mapping[str, Any], averaged: pulling.Averaged) -> dict[str, float]:
    """The engine speeds of the rows, by their key: whole steps within what every pull has."""
    step = given["speed_step"]
    # What was written as 2000 rpm may come a last bit beside it.
    first, last = ceil(averaged.low / step - 1e-9), floor(averaged.high / step + 1e-9)
    if last <= first:
        raise NoSolution(
            "speed_step",
            f"{_rpm(averaged.low)} to {_rpm(averaged.high)}, which every pull has",
            f"two whole steps of {_rpm(step)} in it",
            help="a smaller step, or pulls over more of the engine's range",
        )
    if last - first >= _MOST_STEPS:
        raise OutOfRange(
            "speed_step", f"{last - first + 1} rows", f"at most {_MOST_STEPS}", help="a wider step"
        )
    speeds = [min(max(number * step, averaged.low), averaged.high) for number in range(first, last + 1)]
    return {
        address_key(f"{round(number * step * 30 / pi, 3):g} rpm"): speed
        for number, speed in zip(range(first, last + 1), speeds, strict=True)
    }


def _fine(low: float, high: float) -> list[float]:
    return [low + (high - low) * part / _POINTS for part in range(_POINTS)] + [high]


def _places_of_peaks(given: Mapping[str, Any], averaged: pulling.Averaged) -> tuple[float, ...]:
    """Where the curve is looked at for its peaks: at the rows of a table, between which nothing was measured,
    and along all of a log."""
    rows = averaged.pulls[0].speeds
    if "smoothing_window" in given or "road_log" in given or len(rows) > _POINTS:
        return tuple(_fine(averaged.low, averaged.high))
    between = [speed for speed in rows if averaged.low < speed < averaged.high]
    return (averaged.low, *between, averaged.high)


def _peaks(
    given: Mapping[str, Any], measured: _Measured, told: _ToReference, working: Working, outputs: Outputs
) -> None:
    """The tops of torque and power. About which place they are sought, and whether there is a top at all, is
    settled by the curve as measured, so that no error moves the search from one hump to another."""
    speeds = _places_of_peaks(given, measured.averaged)
    low, high, half = speeds[0], speeds[-1], given["peak_window"] / 2
    settled = replace(measured, still=True)
    torques = [told(settled.at(speed)) for speed in speeds]
    moved_torques = [told(measured.at(speed)) for speed in speeds] if measured.is_moved else torques
    for what in ("torque", "power"):
        still, moved = (_curve_of(what, speeds, curve) for curve in (torques, moved_torques))
        smooth = measured.log is not None and len(speeds) > _POINTS
        sought = _Sought(what=what, still=still, width=given["peak_window"], smooth=smooth)
        about, is_top, lift = sought.kept_by(measured, told)
        near = pulling.points_about(still, about, given["peak_window"])
        parabola = pulling.parabola_through(moved, near) if len(near) >= 3 else None
        top = parabola.top if parabola and is_top else None
        at = speeds[about]
        height = parabola.at(at) if parabola and sought.smooth else moved.values[about]
        highest = pulling.Summit(at, height - lift)
        # What is as near as half a window to an end may rise on beyond it.
        at_end = not low + half < at < high - half
        _tell_peak(sought, top, highest, lift, at_end, working, outputs)


@dataclass(frozen=True, kw_only=True)
class _Sought:
    """Where a peak is looked for: on the curve as measured, by parabolas of a width. One that is `smooth` has
    points closer than noise hangs together; between the rows of a table nothing is known."""

    what: str
    still: pulling.Curve
    width: float
    smooth: bool

    def kept_by(self, measured: _Measured, told: _ToReference) -> tuple[int, bool, float]:
        """About which point the peak is, whether it is a top, and by how much noise lifts one that is none;
        of logs worked out once."""
        if measured.log is None:
            return self.found(measured, told)
        return measured.log.once(("power_run", "peak", self), lambda: self.found(measured, told))

    def found(self, measured: _Measured, told: _ToReference) -> tuple[int, bool, float]:
        """The same: where the highest point is no sure top, that which a cubic through all is highest at."""
        about = self.still.highest
        near = pulling.points_about(self.still, about, self.width)
        if len(near) >= 3 and _has_top(self.what, self.still, near, measured, told):
            return about, True, 0.0
        if not self.smooth:
            return about, False, 0.0
        return pulling.place_of_most(self.still), False, self._lift(measured, told)

    def _lift(self, measured: _Measured, told: _ToReference) -> float:
        curves = [self._values(one, told) for one in measured.each_moved()][: len(measured.averaged.moves)]
        middle, wide = self.still.values, measured.averaged.widening
        off = [[(one - at) / wide for one, at in zip(curve, middle, strict=True)] for curve in curves]
        return pulling.lift_of_noise(self.still, off, self.width) if off else 0.0

    def _values(self, measured: _Measured, told: _ToReference) -> tuple[float, ...]:
        torques = [told(measured.at(speed)) for speed in self.still.speeds]
        return _curve_of(self.what, self.still.speeds, torques).values


def _curve_of(what: str, speeds: Sequence[float], torques: Sequence[float]) -> pulling.Curve:
    """Torque, or power, over engine speed."""
    values = torques if what == "torque" else [one * by for one, by in zip(torques, speeds, strict=True)]
    return pulling.Curve(tuple(speeds), tuple(values))


def _has_top(
    what: str, still: pulling.Curve, near: Sequence[int], measured: _Measured, told: _ToReference
) -> bool:
    """Whether the curve has a top that neither the scatter of the pulls nor smoothing takes away."""
    speeds = [still.speeds[index] for index in near]
    middle = [told(replace(measured, still=True).at(speed)) for speed in speeds]
    every = range(len(speeds))
    deviations = []
    for moved in chain(measured.each_moved(), measured.each_of_rows()):
        off = [told(moved.at(speed)) - one for speed, one in zip(speeds, middle, strict=True)]
        deviations.append(pulling.parabola_through(_curve_of(what, speeds, off), every))
    return pulling.is_sure_of_top(
        pulling.parabola_through(_curve_of(what, speeds, middle), every), deviations
    )


def _tell_peak(
    sought: _Sought,
    top: pulling.Summit | None,
    highest: pulling.Summit,
    lift: float,
    at_end: bool,
    working: Working,
    outputs: Outputs,
) -> None:
    """The peak, and its place where it has one that can be told."""
    what = sought.what
    greatest, place = (
        (measured_curve.greatest_torque, measured_curve.speed_of_greatest_torque)
        if what == "torque"
        else (measured_curve.greatest_power, measured_curve.speed_of_its_peak)
    )
    outputs[f"peak_{what}"] = working.step(f"peak_{what}", greatest, top or highest, source="least-squares")
    if top is not None:
        outputs[f"peak_{what}_revs"] = working.step(f"peak_{what}_revs", place, top, source="least-squares")
        return
    near = _rpm(highest.speed)
    if sought.smooth:
        told = said(
            "The {what} has no top that these pulls tell. The highest of its points is what noise lifts "
            "most, so the peak {what} is the height of the curve about {near}, where a cubic through all of "
            "it is highest",
            what=said(what),
            near=near,
        )
        if lift > _TOLD_LIFT * highest.value:
            told = said(
                "{told}. Noise alone still lifts that by {amount}, by drawing it again, and so much is taken "
                "off",
                told=told,
                amount=f"{lift:.1f} N·m" if what == "torque" else f"{lift / 1000:.1f} kW",
            )
    else:
        told = said(
            "The {what} has no top that these pulls tell: the peak {what} is its highest row, at {near}",
            what=said(what),
            near=near,
        )
    working.remark(
        said("{told}; that is by the end of what was measured, and beyond there may be more.", told=told)
        if at_end
        else said("{told}.", told=told)
    )


def _bands(
    given: Mapping[str, Any], measured: _Measured, told: _ToReference, working: Working, outputs: Outputs
) -> None:
    """Means over the band."""
    averaged = measured.averaged
    low, high = float(given["band_from"]), float(given["band_to"])
    if not low < high:
        raise InputsConflict(
            "band_to", f"{_rpm(given['band_to'])}", f"more than band_from, {_rpm(given['band_from'])}"
        )
    for name, speed in (("band_from", low), ("band_to", high)):
        if not averaged.low * (1 - 1e-9) <= speed <= averaged.high * (1 + 1e-9):
            raise OutOfRange(
                name,
                _rpm(given[name]),
                f"{_rpm(averaged.low)} to {_rpm(averaged.high)}, which every pull has",
            )
    speeds = tuple(_fine(max(low, averaged.low), min(high, averaged.high)))
    torques = tuple(told(measured.at(speed)) for speed in speeds)
    for name, formula, values in (
        ("mean_torque_in_band", measured_curve.mean_torque, torques),
        (
            "mean_power_in_band",
            measured_curve.mean_power,
            tuple(torque * speed for torque, speed in zip(torques, speeds, strict=True)),
        ),
    ):
        outputs[name] = working.step(
            name, formula, pulling.Curve(speeds, values), source="mechanics", band_from=low, band_to=high
        )


def _repeatability(measured: _Measured, speeds: Sequence[float], working: Working) -> float:
    """The standard deviation between single pulls, as a share of the torque, over the rows of the result."""
    shares = []
    averaged = measured.averaged
    for speed in speeds:
        own = [measured.torque(speed, columns, "") for columns in averaged.singles(speed)]
        mean = sum(own) / len(own)
        shares.append(sum((off / mean) ** 2 for off in averaged.deviations(own)) / averaged.freedom)
    return working.step(
        "repeatability",
        measured_curve.pooled_deviation,
        pulling.Curve(tuple(speeds), tuple(shares)),
        source="student",
    )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """The curve of one case, its peaks and its means; SI in, SI out."""
    found: Outputs = {}
    factor = _factor(given, working, found)
    measured = _measured(given, working, found)
    told = _ToReference(factor=factor, loss=given.get("driveline_loss"))
    averaged = measured.averaged
    if not averaged.low < averaged.high:
        raise NoSolution(
            "pulls" if "pulls" in given else _log_of(given),
            "no engine speed that all pulls have",
            "pulls over the same range",
        )
    grid = _grid(given, averaged)
    outputs: Outputs = {"reference": _reference(given, len(averaged.pulls)), **found}
    torques = {key: told.step(key, measured.at(speed, key), working) for key, speed in grid.items()}
    outputs["torque_at"] = torques
    outputs["power_at"] = {
        key: working.step(
            f"power_at.{key}",
            traction.power,
            source="mechanics",
            engine_torque=torques[key],
            engine_speed=speed,
        )
        for key, speed in grid.items()
    }
    _peaks(given, measured, told, working, outputs)
    if given_together(given, _BAND, "a band has two ends"):
        _bands(given, measured, told, working, outputs)
    if len(averaged.pulls) > 1:
        outputs["repeatability"] = _repeatability(measured, list(grid.values()), working)
    else:
        working.remark(
            said("One pull: nothing tells how it repeats, and the uncertainty is not that of a second one.")
        )
    return outputs


def _log_of(given: Mapping[str, Any]) -> str:
    return next(name for name in _SOURCES_OF_PULLS if name in given)


# --- charts --------------------------------------------------------------------------------------


def _speed_of(key: str) -> float:
    return float(key.removesuffix("-rpm")) * pi / 30


def _curves(cases: Mapping[str, CaseView], output: str, title: str, axis: Axis) -> ChartSpec:
    series = []
    for style, (name, case) in enumerate(cases.items()):
        rows: dict[str, float] = case.outputs[output]
        half = [case.uncertainty(output, key) for key in rows]
        sure = any(half)
        values = list(rows.values())
        series.append(
            Series(
                label=name or axis.label,
                x=[_speed_of(key) for key in rows],
                y=values,
                style=style,
                low=[value - one for value, one in zip(values, half, strict=True)] if sure else (),
                high=[value + one for value, one in zip(values, half, strict=True)] if sure else (),
            )
        )
    where = {case.outputs["reference"] for case in cases.values()}
    return ChartSpec(
        title=title,
        description=f"{axis.label.capitalize()} over engine speed, the mean of the pulls with its expanded "
        f"uncertainty as a band: {'; '.join(sorted(where))}.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=axis,
        series=tuple(series),
    )


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Torque and power over engine speed with their bands, and what the cases differ by."""
    found = [
        _curves(cases, "torque_at", "Torque", Axis("torque", "torque", "N·m")),
        _curves(cases, "power_at", "Power", Axis("power", "power", "kW", from_zero=True)),
    ]
    changes = _changes(cases)
    return (*found, changes) if changes is not None else tuple(found)


def _changes(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """What each case has more than the first, at the engine speeds that both have."""
    first, *others = cases
    series = []
    for style, name in enumerate(others, start=1):
        base, case = cases[first].outputs["power_at"], cases[name].outputs["power_at"]
        keys = [key for key in case if key in base]
        if len(keys) < 2:
            continue
        gained = [case[key] - base[key] for key in keys]
        half = [cases[name].uncertainty_of_change(cases[first], "power_at", key) for key in keys]
        series.append(
            Series(
                label=name,
                x=[_speed_of(key) for key in keys],
                y=gained,
                style=style,
                low=[value - one for value, one in zip(gained, half, strict=True)],
                high=[value + one for value, one in zip(gained, half, strict=True)],
            )
        )
    if not series:
        return None
    return ChartSpec(
        title="Power gained",
        description=f"Power over that of {first}, by engine speed, with the uncertainty of the difference as "
        "a band: what both have in common is not in it. Where the band holds zero, no change is shown.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis(f"power gained on {first}", "power", "kW"),
        series=tuple(series),
        markers=(Marker("no change", y=0.0),),
    )
