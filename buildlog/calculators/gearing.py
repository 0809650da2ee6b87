"""Road speeds and revs of a gearbox, a final drive and a tyre.

Give the gearbox ratios, the final drive (a ratio, or tooth counts such as `41/9`), the rev limit and
the tyre. A second reduction (output gears, a transfer box, portals or hubs), wherever it sits, is
`second_reduction`; of two give the product.

**Tyre.** Sizes are read as they are stamped: `195/50R15 82V`, `205/60VR13`, `165R13`, `175/65R14C`,
`LT245/75R16`, `31x10.50R15`, `190/65R390`. A size gives the overall diameter, within a new tyre's tolerance;
one without a series is as high as the 80 series. The road covered by one turn of the wheel is less than
π times that, because the loaded tyre flattens: about 3.05 times for a radial tyre, 3.03 to 3.07. For diagonal
and bias-belted tyres there is no such factor here, and a size such as `6.00-13` says no height at all: they
need the rolling circumference that you measured (mark the tyre, roll ten turns, divide), which is better for
every tyre: give it as `rolling_circumference`, and its uncertainty with it. Beside a size it has to lie
between 2.8 and π times the overall diameter.

Three radii are kept apart. The **overall** radius is the free tyre's. The **static** radius, from the
ground to the hub of the standing car, says whether a spanner fits under the sill and nothing about
speed. The **rolling** radius, circumference / 2π, lies between them and is the only one used for
speeds and revs.

**Revs.** A gear that would be beyond the limiter at `cruise_speed` has no row in the revs there, and
`beyond_the_limiter` names it, and those that are too close to call. `lowest_revs`, from where the engine
pulls cleanly, gives every gear its lowest speed.

**Instruments.** With `standard_tyre` (or `standard_rolling_circumference`) and `standard_final_drive` the
block also says what the unaltered speedometer and odometer show now. A gearbox sensor counts turns ahead of
the final drive, a wheel sensor does not see it; where a second reduction sits, `second_reduction_place` says.
A circumference that was measured is compared with one that was measured, or with the same size. The law here
is UN Regulation No. 39; the United States ask 49 CFR 393.82 of trucks and buses, within 8 km/h either way at
80 km/h, which the block does not look at. The regulation lets
a speedometer read up to a tenth and 4 km/h too much and nothing too little, and most read too much as
standard: give `standard_reading`, what yours showed at a true `cruise_speed`, and the block says what it
shows there now; without it, how much too much it has to have read for the law.

```yaml
id: shorter-final
kind: gearing
inputs:
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  cruise_speed: 100 km/h
  lowest_revs: 2500 rpm
cases:
  before: {final_drive: 39/10}
  after: {final_drive: 41/9}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import inf, pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
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
    Ratio,
    Series,
    Source,
    Tyre,
    Working,
)
from buildlog.kinds.models import tyre_model
from buildlog.kinds.results import Value
from buildlog.physics import drivetrain, tyres
from buildlog.physics.tyre_sizes import TyreSize
from buildlog.said import said

KIND = "gearing"

_CIRCUMFERENCE = Number(
    dimension="length", unit="m", low=1.0, high=3.0, why="rolling circumferences of car tyres"
)
_FINAL_DRIVE = Number(
    dimension="ratio", unit="", low=1.5, high=8.0, why="final drives of cars; write driven over driving teeth"
)
_REVS = Number(dimension="rotational speed", unit="rpm", low=500, high=20_000, why="piston engines of cars")

INPUTS = (
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8.0, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios, first gear first",
    ),
    Input(name="final_drive", form=_FINAL_DRIVE, about="final drive ratio, or tooth counts: driven/driving"),
    Input(name="rev_limit", form=_REVS, about="engine speed at which the limiter cuts in"),
    Input(
        name="shift_revs",
        form=_REVS,
        about="engine speed at which the gears are changed; the rev limit if left out",
        required=False,
    ),
    Input(
        name="lowest_revs",
        form=_REVS,
        about="engine speed from which the engine pulls cleanly",
        required=False,
    ),
    Input(
        name="second_reduction",
        form=Number(dimension="ratio", unit="", low=0.2, high=6.0, why="output, transfer and portal gears"),
        about="ratio of a second reduction, wherever it sits, or its tooth counts: driven/driving",
        required=False,
    ),
    Input(
        name="second_reduction_place",
        form=Choice(
            {
                "before-sensor": "between the gearbox and the sensor of the speedometer",
                "after-sensor": "between that sensor and the wheels",
            }
        ),
        about="where the second reduction sits; needed where speed_sensor is gearbox",
        required=False,
    ),
    Input(
        name="standard_second_reduction",
        form=Number(dimension="ratio", unit="", low=0.2, high=6.0, why="output, transfer and portal gears"),
        about="the second reduction that the speedometer was made for; 1 if there was none",
        required=False,
    ),
    Input(
        name="tyre",
        form=Tyre(),
        about="size as it is stamped; needed unless rolling_circumference is given",
        required=False,
    ),
    Input(
        name="rolling_circumference",
        form=_CIRCUMFERENCE,
        about="as measured on the loaded car, instead of a tyre size",
        required=False,
    ),
    Input(
        name="rolling_factor",
        form=Number(
            dimension="ratio", unit="", low=2.9, high=pi, why="between a very soft tyre and a rigid wheel"
        ),
        about="rolling circumference over overall diameter",
        default="3.05",
        default_source="radial tyres: three cars of the EPA's test data, 3.052 to 3.055",
        doubt=tyre_model.ROLLING_FACTOR,
    ),
    Input(
        name="static_radius",
        form=Number(dimension="length", unit="mm", low=150, high=450, why="car tyres"),
        about="ground to hub of the standing car, as measured; shown, never used for speeds",
        required=False,
    ),
    Input(
        name="cruise_speed",
        form=Number(dimension="speed", unit="km/h", low=1, high=450, why="road cars"),
        about="true road speed at which the revs in each gear are wanted",
        required=False,
    ),
    Input(
        name="at_revs",
        title="engine speed of interest",
        form=_REVS,
        about="engine speed at which the speed in each gear is wanted",
        required=False,
    ),
    Input(name="standard_tyre", form=Tyre(), about="tyre size the speedometer was made for", required=False),
    Input(
        name="standard_rolling_circumference",
        form=_CIRCUMFERENCE,
        about="the standard tyre's rolling circumference as measured, instead of standard_tyre",
        required=False,
    ),
    Input(
        name="standard_final_drive",
        form=_FINAL_DRIVE,
        about="final drive the speedometer was made for",
        required=False,
    ),
    Input(
        name="speed_sensor",
        form=Choice(
            {
                "gearbox": "counts turns of the gearbox output, ahead of the final drive",
                "wheel": "counts turns of the wheels",
            }
        ),
        about="where the speedometer takes its speed",
        required=False,
    ),
    Input(
        name="standard_reading",
        form=Number(dimension="speed", unit="km/h", low=1, high=500, why="road cars"),
        about="what the speedometer showed at a true cruise_speed before the change",
        required=False,
    ),
)

_SPEEDOMETER = ("speed_sensor", "standard_tyre")
OUTPUTS = (
    Output(
        name="overall_radius",
        title="overall radius of the free tyre",
        dimension="length",
        unit="mm",
        about="radius of the free tyre",
        decimals=1,
        needs=("tyre",),
    ),
    Output(
        name="static_radius",
        title="static radius of the tyre",
        dimension="length",
        unit="mm",
        about="ground to hub, as given",
        decimals=1,
        needs=("static_radius",),
    ),
    Output(
        name="rolling_radius",
        title="effective rolling radius",
        dimension="length",
        unit="mm",
        about="effective rolling radius",
        decimals=1,
    ),
    Output(
        name="rolling_circumference",
        title="rolling circumference",
        dimension="length",
        unit="m",
        about="road covered by one turn of the wheel",
        decimals=3,
    ),
    Output(
        name="overall_ratio",
        title="overall gear ratio",
        dimension="ratio",
        unit="",
        about="engine turns per wheel turn",
        decimals=3,
        key="gear",
    ),
    Output(
        name="speed_at_limit",
        title="road speed at the rev limit",
        dimension="speed",
        unit="km/h",
        about="road speed at the rev limit",
        decimals=1,
        key="gear",
    ),
    Output(
        name="speed_per_1000",
        title="road speed by engine speed",
        dimension="speed per rotational speed",
        unit="km/h/1000 rpm",
        about="road speed by engine speed",
        decimals=2,
        key="gear",
    ),
    Output(
        name="speed_at",
        title="road speed at the stated engine speed",
        dimension="speed",
        unit="km/h",
        decimals=1,
        key="gear",
        needs=("at_revs",),
    ),
    Output(
        name="rpm_at",
        title="engine speed at the cruise speed",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
        key="gear",
        needs=("cruise_speed",),
    ),
    Output(
        name="beyond_the_limiter",
        title="gears beyond the limiter at the cruise speed",
        dimension="text",
        unit="",
        needs=("cruise_speed",),
    ),
    Output(
        name="lowest_speed",
        title="road speed at the lowest engine speed",
        dimension="speed",
        unit="km/h",
        decimals=1,
        key="gear",
        needs=("lowest_revs",),
    ),
    Output(
        name="step",
        title="ratio step at the shift",
        dimension="ratio",
        unit="",
        about="of one gear to the next",
        decimals=3,
        key="shift",
    ),
    Output(
        name="rpm_after",
        title="engine speed after the shift",
        dimension="rotational speed",
        unit="rpm",
        about="engine speed after the shift",
        decimals=0,
        key="shift",
    ),
    Output(
        name="rpm_drop",
        title="drop in engine speed at the shift",
        dimension="rotational speed",
        unit="rpm",
        about="drop in engine speed at the shift",
        decimals=0,
        key="shift",
    ),
    Output(
        name="tooth_pairing",
        title="tooth pairing of the final drive",
        dimension="text",
        unit="",
        about="whether its teeth hunt",
    ),
    Output(
        name="indicated_over_true",
        title="ratio of indicated to true speed",
        dimension="ratio",
        unit="",
        about="by the speedometer, against standard",
        decimals=4,
        needs=_SPEEDOMETER,
    ),
    Output(
        name="indicated_speed",
        title="speedometer reading at the cruise speed",
        dimension="speed",
        unit="km/h",
        about="at a true cruise speed, were it exact as standard, or by the standard reading",
        decimals=1,
        needs=(*_SPEEDOMETER, "cruise_speed"),
    ),
    Output(
        name="needed_excess",
        title="least excess of the standard reading",
        dimension="ratio",
        unit="%",
        about="by how much too much it has to have read, not to read too little now",
        decimals=1,
        needs=_SPEEDOMETER,
    ),
    Output(
        name="speedometer",
        title="lawfulness of the speedometer",
        dimension="text",
        unit="",
        about="what the law makes of the reading",
        needs=_SPEEDOMETER,
    ),
    Output(
        name="highest_lawful_reading",
        title="highest lawful reading at the cruise speed",
        dimension="speed",
        unit="km/h",
        about="most it may show, from 40 km/h up",
        decimals=1,
        needs=(*_SPEEDOMETER, "cruise_speed"),
    ),
    Output(
        name="odometer_error",
        title="odometer error against standard",
        dimension="ratio",
        unit="%",
        about="distance shown too much (+) or too little (−)",
        decimals=2,
        needs=_SPEEDOMETER,
    ),
)

SOURCES = (
    Source(id="kinematics", title="Kinematics of rigid gearing and rolling", standing="derived"),
    tyre_model.SIZES,
    tyre_model.TOLERANCE,
    tyre_model.SERIES,
    Source(
        id="etrto",
        title="Standards Manual",
        publisher="European Tyre and Rim Technical Organisation",
        where="rolling circumference of radial tyres, factor 3.05",
        standing="from memory",
    ),
    Source(
        id="epa",
        title="Data on cars used for testing fuel economy, model years 2013–2017",
        publisher="U.S. Environmental Protection Agency",
        where="engine speed over vehicle speed of three rear-drive cars: factors 3.052, 3.054, 3.055",
    ),
    Source(
        id="unr-39",
        title="UN Regulation No. 39, Speedometer and odometer equipment",
        publisher="UNECE",
        where="5.3: 0 ≤ V1 − V2 ≤ V2/10 + 4 km/h",
    ),
    Source(
        id="us-393-82",
        title="49 CFR 393.82, Speedometer",
        publisher="United States",
        where="trucks and buses: within 8 km/h at 80 km/h; named in the text only, the block compares with "
        "UN Regulation No. 39",
    ),
)

DOUBTS = (tyre_model.HEIGHT, tyre_model.NO_SERIES)

HAZARDS = ("driveline", "lifting", "speed-rating", "road-testing")

_LEAST_FACTOR = 2.8
"""Below 3.05 by wear (8 mm of tread on 580 mm: 3 %) and by tolerance and low pressure (2 % each)."""


def _circumference(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """Rolling circumference as measured, or from the tyre's size; fills in the radii."""
    tyre: TyreSize | None = given.get("tyre")
    measured: float | None = given.get("rolling_circumference")
    if tyre is None and measured is None:
        raise MissingInput("tyre", "neither tyre nor rolling_circumference", "one of them")
    diameter = None
    if tyre is not None and (measured is None or tyre.series is not None):
        diameter = tyre_model.overall_diameter(working, "overall_diameter", "tyre", tyre)
        outputs["overall_radius"] = working.step(
            "overall_radius", tyres.overall_radius, source="iso-4000-1", overall_diameter=diameter
        )
    if measured is not None:
        circumference = measured
    else:
        assert diameter is not None
        assert tyre is not None
        circumference = _rolled(working, "rolling_circumference", "tyre", tyre, diameter, given)
    if diameter is not None and circumference > pi * diameter:
        raise InputsConflict(
            "rolling_circumference",
            f"{circumference:.3f} m",
            f"at most π times the overall diameter of {tyre}, {pi * diameter:.3f} m",
            help="measure again, or correct the tyre size",
        )
    if diameter is not None and circumference < _LEAST_FACTOR * diameter:
        raise InputsConflict(
            "rolling_circumference",
            f"{circumference:.3f} m",
            f"at least {_LEAST_FACTOR:g} times the "
            f"overall diameter of {tyre}, {_LEAST_FACTOR * diameter:.3f} m: no tyre that holds air has less",
            help="measure again, or correct the tyre size",
        )
    outputs["rolling_circumference"] = circumference
    outputs["rolling_radius"] = radius = working.step(
        "rolling_radius", tyres.rolling_radius, source="kinematics", rolling_circumference=circumference
    )
    if (static := given.get("static_radius")) is not None:
        if static >= radius:
            raise InputsConflict(
                "static_radius",
                f"{static * 1000:.1f} mm",
                f"less than the rolling radius, {radius * 1000:.1f} mm",
                help="the standing tyre is pressed flat below the hub, "
                "so its radius is the smallest of the three",
            )
        outputs["static_radius"] = static
    return circumference


def _rolled(
    working: Working, step: str, name: str, tyre: TyreSize, diameter: float, given: Mapping[str, Any]
) -> float:
    """Rolling circumference by a size, which only radial tyres' sizes tell; `name` is the input it is of."""
    if tyre.construction != "radial":
        raise MissingInput(
            name,  # which is there to be pointed at
            f"{tyre}, a {tyre.construction} tyre, without a measured circumference",
            f"{name.replace('tyre', 'rolling_circumference')} as measured",
            help="the factor of 3.05 is that of radial tyres, and none is known here for others",
        )
    return working.step(
        step,
        tyres.rolling_circumference,
        source="etrto",
        overall_diameter=diameter,
        rolling_factor=given["rolling_factor"],
    )


def _speedometer(given: Mapping[str, Any], circumference: float, working: Working, outputs: Outputs) -> None:
    """What the unaltered instruments show, where the standard tyre and the sensor are given."""
    sensor = given.get("speed_sensor")
    standard = [name for name in given if name.startswith("standard_")]
    if sensor is None and not standard:
        return
    if sensor is None:
        raise MissingInput("speed_sensor", f"{standard[0]} without speed_sensor", "gearbox or wheel")
    before = _standard_circumference(given, working)
    ratio, standard_ratio = 1.0, 1.0
    if sensor == "gearbox":
        ratio, standard_ratio = _ratios_behind_the_sensor(given, working)
    factor = working.step(
        "indicated_over_true",
        drivetrain.indicated_over_true,
        source="kinematics",
        rolling_circumference=circumference,
        standard_circumference=before,
        sensed_ratio=ratio,
        standard_sensed_ratio=standard_ratio,
    )
    outputs["indicated_over_true"] = factor
    outputs["odometer_error"] = working.step(
        "odometer_error", drivetrain.odometer_error, source="kinematics", indicated_over_true=factor
    )
    outputs["needed_excess"] = working.step(
        "needed_excess", drivetrain.needed_excess, source="unr-39", indicated_over_true=factor
    )
    outputs["speedometer"] = _by_factor(factor)
    if "standard_reading" in given and "cruise_speed" not in given:
        raise MissingInput(
            "cruise_speed", "standard_reading without the speed that it was at", "cruise_speed"
        )
    if "cruise_speed" in given:
        outputs["speedometer"] = _reading(given, factor, working, outputs)
    else:
        working.limit("indicated_over_true", least=1.0, says=_TOO_LOW)


_TOO_LOW = said(
    "Against standard the speedometer [may now read|now reads] less. UN Regulation No. 39, 5.3, does not "
    "allow a reading below the true speed; most instruments read too much as standard, by an amount that "
    "only a measurement tells: have it checked, and recalibrated if it is too little, before the road."
)


def _by_factor(factor: float) -> str:
    """What can be said of an instrument whose standard reading is not known."""
    if factor >= 1:
        return "reads no less than as standard"
    return f"within the law only if it read {100 * (1 / factor - 1):.1f} % too much as standard: measure it"


def _ratios_behind_the_sensor(given: Mapping[str, Any], working: Working) -> tuple[float, float]:
    """Turns of a gearbox's sensor for one turn of the wheel, now and as standard."""
    if "standard_final_drive" not in given:
        raise MissingInput("standard_final_drive", "a gearbox sensor without it", "standard_final_drive")
    ratios = [given["final_drive"], given["standard_final_drive"]]
    names = ("second_reduction", "standard_second_reduction")
    if not any(name in given for name in names):
        return ratios[0], ratios[1]
    if "second_reduction_place" not in given:
        raise MissingInput(
            "second_reduction_place",
            "a second reduction and a gearbox sensor without it",
            "before-sensor or after-sensor",
        )
    if given["second_reduction_place"] == "before-sensor":
        return ratios[0], ratios[1]
    for name in names:
        if name not in given:
            raise MissingInput(name, "one second reduction of two", f"{name}; 1 if there is none")
    for index, (step, name) in enumerate(zip(("sensed_ratio", "standard_sensed_ratio"), names, strict=True)):
        ratios[index] = working.step(
            step,
            drivetrain.overall_ratio,
            source="kinematics",
            gear_ratio=given[name],
            final_drive=ratios[index],
        )
    return ratios[0], ratios[1]


def _standard_circumference(given: Mapping[str, Any], working: Working) -> float:
    """What the instruments were made for: given, or worked out from the standard tyre."""
    measured: float | None = given.get("standard_rolling_circumference")
    tyre = given.get("standard_tyre")
    if measured is not None and tyre is not None:
        raise InputsConflict(
            "standard_rolling_circumference", "standard_tyre as well", "one of the two", help="leave one out"
        )
    if measured is not None:
        return measured
    if tyre is None:
        raise MissingInput(
            "standard_tyre",
            "speed_sensor without a standard tyre",
            "standard_tyre or standard_rolling_circumference",
        )
    own = given.get("rolling_circumference")
    if own is not None:
        return _as_measured(own, given, tyre)
    diameter = tyre_model.overall_diameter(working, "standard_overall_diameter", "standard_tyre", tyre)
    return _rolled(working, "standard_rolling_circumference", "standard_tyre", tyre, diameter, given)


def _as_measured(circumference: float, given: Mapping[str, Any], standard: TyreSize) -> float:
    """The measured circumference, which is that of the standard tyre too where the sizes are the same.

    Measured on the one side and worked out on the other, the difference would be that of a tape and a table.
    """
    fitted: TyreSize | None = given.get("tyre")
    if fitted is not None and fitted.measures == standard.measures:
        return circumference
    known = f"{fitted}, another size" if fitted is not None else "no tyre beside it"
    raise InputsConflict(
        "standard_tyre",
        f"{standard} by its size, beside a measured rolling_circumference and {known}",
        "both measured, both by size, or the same size twice",
        help="give standard_rolling_circumference as measured, or tyre if it is the same size, or leave "
        "rolling_circumference out",
    )


def _reading(given: Mapping[str, Any], factor: float, working: Working, outputs: Outputs) -> str:
    """What the speedometer shows at the cruise speed, and what the law makes of it."""
    speed: float = given["cruise_speed"]
    standard: float = given.get("standard_reading", speed)
    outputs["indicated_speed"] = working.step(
        "indicated_speed",
        drivetrain.indicated_speed,
        source="kinematics",
        road_speed=standard,
        indicated_over_true=factor,
    )
    if speed < 40 / 3.6:  # below the lowest speed that the regulation tests at
        return "not tested by the law below 40 km/h"
    most = outputs["highest_lawful_reading"] = working.step(
        "highest_lawful_reading", drivetrain.highest_lawful_reading, source="unr-39", road_speed=speed
    )
    if "standard_reading" in given:
        working.limit("indicated_speed", least=speed, most=most, says=_UNLAWFUL)
        return "by the standard reading"
    working.limit("indicated_over_true", least=1.0, says=_TOO_LOW)
    if factor >= 1:
        working.limit("indicated_speed", most=most, says=_TOO_MUCH)
    return _by_factor(factor)


_TOO_MUCH = said(
    "The speedometer [may show|shows] more than UN Regulation No. 39, 5.3, allows at this speed: have it "
    "recalibrated before the road."
)
_UNLAWFUL = said(
    "The speedometer [may show|shows] less than the true speed or more than UN Regulation No. 39, "
    "5.3, allows at "
    "this speed: have it recalibrated before the road."
)


def _lawful(given: Mapping[str, Any], reading: Value, most: float) -> str:
    """What the law makes of a reading whose standard one was measured, with all of its uncertainty."""
    low, high = reading.ends
    speed: float = given["cruise_speed"]
    if high < speed:
        return "too little for the law"
    if low > most:
        return "too much for the law"
    if speed <= low and high <= most:
        return "within the law at this speed"
    return f"too close to call: it may read too {'little' if low < speed else 'much'} for the law"


def _against_standard(factor: Value, reading: Value | None, most: float) -> str:
    """What is known without a standard reading, with all of the uncertainty."""
    low, high = factor.ends
    if high < 1:
        return _by_factor(factor.si)
    if low < 1:
        return "too close to call whether it reads less than as standard: measure it"
    if reading is None:
        return _by_factor(factor.si)
    if reading.ends[0] > most:
        return "too much for the law, whatever it read as standard"
    return "reads no less than as standard; whether too much, its standard reading decides"


def _stopped(speed: float, fastest: Mapping[str, Value]) -> str:
    """The gears whose speed at the limiter is below one, and those where it may be or not."""
    below = [key for key, value in fastest.items() if value.ends[1] < speed]
    near = [key for key, value in fastest.items() if value.ends[0] < speed <= value.ends[1]]
    told = ", ".join(f"gear {key}" for key in below) or "no gear"
    return told + "".join(f"; gear {key} is too close to call" for key in near)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Speeds, revs, steps and drops of one case; SI in, SI out."""
    outputs: Outputs = {}
    circumference = _circumference(given, working, outputs)
    gears: list[float] = given["gears"]
    _check_order(gears)
    limit = given["rev_limit"]
    shift_revs = given.get("shift_revs", limit)
    if shift_revs > limit:
        raise InputsConflict(
            "shift_revs", "more than the rev limit", "at most rev_limit", help="shift below the limiter"
        )
    reduction = _reduction(given, working)
    ratios: dict[str, float] = {}
    per_revs: dict[str, float] = {}
    for number, gear in enumerate(gears, start=1):
        key = str(number)
        ratios[key] = working.step(
            f"overall_ratio.{key}",
            drivetrain.overall_ratio,
            source="kinematics",
            gear_ratio=gear,
            final_drive=reduction,
        )
        per_revs[key] = working.step(
            f"speed_per_1000.{key}",
            drivetrain.speed_per_engine_speed,
            source="kinematics",
            overall_ratio=ratios[key],
            rolling_circumference=circumference,
        )
    outputs["overall_ratio"] = ratios
    outputs["speed_at_limit"] = fastest = _speeds("speed_at_limit", limit, ratios, circumference, working)
    outputs["speed_per_1000"] = per_revs
    for name, revs in (("speed_at", "at_revs"), ("lowest_speed", "lowest_revs")):
        if revs in given:
            outputs[name] = _speeds(name, given[revs], ratios, circumference, working)
    if "cruise_speed" in given:
        _revs_at(given["cruise_speed"], limit, ratios, circumference, working, outputs)
    outputs.update(_shifts(gears, shift_revs, working))
    final_drive = given["final_drive"]
    if isinstance(final_drive, Ratio):
        outputs["tooth_pairing"] = _tooth_pairing(*final_drive.teeth)
    _speedometer(given, circumference, working, outputs)
    tyre: TyreSize | None = given.get("tyre")
    if tyre is not None and tyre.speed_limit is not None:
        _speed_rating(tyre, fastest, working)
    return outputs


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str]:
    """What the law makes of the speedometer and which gears the limiter stops, where the uncertainty may
    leave it open."""
    words: dict[str, str] = {}
    if "cruise_speed" in given:
        words["beyond_the_limiter"] = _stopped(given["cruise_speed"], values["speed_at_limit"])
    if "speedometer" in values:
        most = values.get("highest_lawful_reading")
        if most is not None and "standard_reading" in given:
            words["speedometer"] = _lawful(given, values["indicated_speed"], most.si)
        elif most is not None or "cruise_speed" not in given:
            reading = values["indicated_speed"] if most is not None else None
            words["speedometer"] = _against_standard(
                values["indicated_over_true"], reading, most.si if most is not None else inf
            )
    return words


def _reduction(given: Mapping[str, Any], working: Working) -> float:
    """All that reduces behind the gearbox."""
    final_drive: float = given["final_drive"]
    if "second_reduction" not in given:
        if "second_reduction_place" in given and "standard_second_reduction" not in given:
            raise MissingInput("second_reduction", "its place without the ratio", "second_reduction")
        return final_drive
    return working.step(
        "both_reductions",
        drivetrain.overall_ratio,
        source="kinematics",
        gear_ratio=given["second_reduction"],
        final_drive=final_drive,
    )


def _speeds(
    name: str, revs: float, ratios: Mapping[str, float], circumference: float, working: Working
) -> dict[str, float]:
    """Road speed in each gear at one engine speed."""
    return {
        key: working.step(
            f"{name}.{key}",
            drivetrain.road_speed,
            source="kinematics",
            engine_speed=revs,
            overall_ratio=ratio,
            rolling_circumference=circumference,
        )
        for key, ratio in ratios.items()
    }


def _revs_at(
    speed: float,
    limit: float,
    ratios: Mapping[str, float],
    circumference: float,
    working: Working,
    outputs: Outputs,
) -> None:
    """Engine speed in each gear at one road speed, of the gears that the limiter lets."""
    revs: dict[str, float] = {}
    beyond: list[str] = []
    for key, ratio in ratios.items():
        # Asked first, so that the working holds no step of a row that there is not.
        if drivetrain.engine_speed(speed, ratio, circumference) > limit:
            beyond.append(key)
            continue
        revs[key] = working.step(
            f"rpm_at.{key}",
            drivetrain.engine_speed,
            source="kinematics",
            road_speed=speed,
            overall_ratio=ratio,
            rolling_circumference=circumference,
        )
    if revs:
        outputs["rpm_at"] = revs
    outputs["beyond_the_limiter"] = ", ".join(f"gear {key}" for key in beyond) if beyond else "no gear"


def _speed_rating(tyre: TyreSize, fastest: Mapping[str, float], working: Working) -> None:
    """Whether the gearing allows more than the tyre does; with U, since a tyre's limit is one."""
    assert tyre.speed_limit is not None
    key = max(fastest, key=lambda gear: fastest[gear])
    working.limit(
        "speed_at_limit",
        key,
        most=tyre.speed_limit,
        says=said(
            "The gearing allows {speed} km/h; the tyre's speed symbol ends at {limit} km/h.",
            speed=f"{fastest[key] * 3.6:.0f}",
            limit=f"{tyre.speed_limit * 3.6:.0f}",
        ),
    )


def _check_order(gears: list[float]) -> None:
    for number, (first, second) in enumerate(pairwise(gears), start=1):
        if second >= first:
            raise InputsConflict(
                "gears",
                f"gear {number + 1} ({second:g}) not below gear {number} ({first:g})",
                "ratios that fall from first gear to last",
                help="write them first gear first",
            )


def _tooth_pairing(driven: int, driving: int) -> str:
    turns = drivetrain.turns_until_same_teeth_meet(driven, driving)
    if turns == driven:
        return f"hunting: {driven} and {driving} have no common factor, every tooth meets every other"
    return f"not hunting: the same teeth meet again after {turns} turns of the {driving}-tooth gear"


def _shifts(gears: list[float], shift_revs: float, working: Working) -> Outputs:
    steps: dict[str, float] = {}
    after: dict[str, float] = {}
    drop: dict[str, float] = {}
    for number, (gear, following) in enumerate(pairwise(gears), start=1):
        key = f"{number}-{number + 1}"
        ratios = {"gear_ratio": gear, "next_gear_ratio": following}
        steps[key] = working.step(f"step.{key}", drivetrain.step, source="kinematics", **ratios)
        after[key] = working.step(
            f"rpm_after.{key}",
            drivetrain.speed_after_shift,
            source="kinematics",
            engine_speed=shift_revs,
            **ratios,
        )
        drop[key] = working.step(
            f"rpm_drop.{key}", drivetrain.difference, source="kinematics", first=shift_revs, second=after[key]
        )
    return {"step": steps, "rpm_after": after, "rpm_drop": drop} if steps else {}


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Engine speed against road speed: a line a gear, from lowest_revs to the limiter, one style a case."""
    series = [
        Series(label=name or "gears", x=[begin, end], y=[low, limit], style=style)
        for style, (name, case) in enumerate(cases.items())
        for low, limit in [(case.inputs.get("lowest_revs", 0.0), case.inputs["rev_limit"])]
        for end in case.outputs["speed_at_limit"].values()
        for begin in [end * low / limit]
    ]
    markers: dict[tuple[str, float | None, float | None], None] = {}
    for case in cases.values():
        for label, name in (("limiter", "rev_limit"), ("shift", "shift_revs"), ("asked revs", "at_revs")):
            if name in case.inputs:
                markers[label, None, case.inputs[name]] = None
        if "cruise_speed" in case.inputs:
            markers["asked speed", case.inputs["cruise_speed"], None] = None
    return ChartSpec(
        title="Engine speed in each gear",
        description="Engine speed against road speed, a line for each gear, first gear leftmost, up to the "
        "limiter. A shift goes straight down from one line to the next.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("engine speed", "rotational speed", "rpm", from_zero=True),
        series=tuple(series),
        markers=tuple(Marker(label, x=x, y=y) for label, x, y in markers),
    )
