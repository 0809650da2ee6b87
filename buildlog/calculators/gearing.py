"""Road speeds and revs of a gearbox, a final drive and a tyre.

Give the gearbox ratios, the final drive (a ratio, or tooth counts such as `41/9`), the rev limit and
the tyre. A tyre size gives the overall diameter; the road covered by one turn of the wheel is less
than π times that, because the loaded tyre flattens. By convention it is 3.05 times the overall
diameter for a radial tyre. A rolling circumference that you measured (mark the tyre, roll ten turns,
divide) is better: give it as `rolling_circumference`, and its uncertainty with it. Beside a size it has to
lie between 2.8 and π times the overall diameter.

Three radii are kept apart. The **overall** radius is the free tyre's. The **static** radius, from the
ground to the hub of the standing car, says whether a spanner fits under the sill and nothing about
speed. The **rolling** radius, circumference / 2π, lies between them and is the only one used for
speeds and revs.

With `standard_tyre` (or `standard_rolling_circumference`) and `standard_final_drive` the block also
says what the unaltered speedometer and odometer show now. A gearbox sensor counts turns ahead of the
final drive, a wheel sensor does not see it.

```yaml
id: shorter-final
kind: gearing
inputs:
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  cruise_speed: 100 km/h
cases:
  before: {final_drive: 39/10}
  after: {final_drive: 41/9}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Input,
    Listed,
    Number,
    Output,
    Outputs,
    Ratio,
    Series,
    Source,
    Tyre,
    Working,
)
from buildlog.physics import drivetrain, tyres

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
        name="tyre",
        form=Tyre(),
        about="metric size designation; needed unless rolling_circumference is given",
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
        default_source="convention for radial tyres, ETRTO Standards Manual (from memory)",
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
)

_SPEEDOMETER = ("speed_sensor", "standard_tyre")
OUTPUTS = (
    Output(
        name="overall_radius",
        dimension="length",
        unit="mm",
        about="radius of the free tyre",
        decimals=1,
        needs=("tyre",),
    ),
    Output(
        name="static_radius",
        dimension="length",
        unit="mm",
        about="ground to hub, as given",
        decimals=1,
        needs=("static_radius",),
    ),
    Output(
        name="rolling_radius", dimension="length", unit="mm", about="effective rolling radius", decimals=1
    ),
    Output(
        name="rolling_circumference",
        dimension="length",
        unit="m",
        about="road covered by one turn of the wheel",
        decimals=3,
    ),
    Output(
        name="overall_ratio",
        dimension="ratio",
        unit="",
        about="engine turns per wheel turn",
        decimals=3,
        key="gear",
    ),
    Output(
        name="speed_at_limit",
        dimension="speed",
        unit="km/h",
        about="road speed at the rev limit",
        decimals=1,
        key="gear",
    ),
    Output(
        name="speed_per_1000",
        dimension="speed per rotational speed",
        unit="km/h/1000 rpm",
        about="road speed by engine speed",
        decimals=2,
        key="gear",
    ),
    Output(
        name="speed_at",
        dimension="speed",
        unit="km/h",
        about="road speed at at_revs",
        decimals=1,
        key="gear",
        needs=("at_revs",),
    ),
    Output(
        name="rpm_at",
        dimension="rotational speed",
        unit="rpm",
        about="engine speed at cruise_speed",
        decimals=0,
        key="gear",
        needs=("cruise_speed",),
    ),
    Output(
        name="step",
        dimension="ratio",
        unit="",
        about="ratio of one gear to the next",
        decimals=3,
        key="shift",
    ),
    Output(
        name="rpm_after",
        dimension="rotational speed",
        unit="rpm",
        about="engine speed after the shift",
        decimals=0,
        key="shift",
    ),
    Output(
        name="rpm_drop",
        dimension="rotational speed",
        unit="rpm",
        about="drop in engine speed at the shift",
        decimals=0,
        key="shift",
    ),
    Output(name="tooth_pairing", dimension="text", unit="", about="whether the final drive's teeth hunt"),
    Output(
        name="indicated_over_true",
        dimension="ratio",
        unit="",
        about="speedometer reading over true speed, against standard",
        decimals=4,
        needs=_SPEEDOMETER,
    ),
    Output(
        name="indicated_speed",
        dimension="speed",
        unit="km/h",
        about="reading at a true cruise_speed, were it exact as standard",
        decimals=1,
        needs=(*_SPEEDOMETER, "cruise_speed"),
    ),
    Output(
        name="highest_lawful_reading",
        dimension="speed",
        unit="km/h",
        about="most a speedometer may show at cruise_speed, from 40 km/h up",
        decimals=1,
        needs=(*_SPEEDOMETER, "cruise_speed"),
    ),
    Output(
        name="odometer_error",
        dimension="ratio",
        unit="%",
        about="distance shown too much (+) or too little (−), against standard",
        decimals=2,
        needs=_SPEEDOMETER,
    ),
)

SOURCES = (
    Source(id="kinematics", title="Kinematics of rigid gearing and rolling", standing="derived"),
    Source(
        id="iso-4000-1",
        title="ISO 4000-1, Passenger car tyres and rims: Tyres (metric series)",
        publisher="ISO",
        where="size designation and design dimensions",
        standing="from memory",
    ),
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
)

HAZARDS = ("driveline", "lifting", "speed-rating", "road-testing")

_LEAST_FACTOR = 2.8
"""Below 3.05 by wear (8 mm of tread on 580 mm: 3 %) and by tolerance and low pressure (2 % each)."""


def _circumference(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """Rolling circumference as measured, or from the tyre's size; fills in the radii."""
    tyre: tyres.TyreSize | None = given.get("tyre")
    measured: float | None = given.get("rolling_circumference")
    if tyre is None and measured is None:
        raise MissingInput("tyre", "neither tyre nor rolling_circumference", "one of them")
    diameter = None
    if tyre is not None:
        diameter = _diameter(working, "overall_diameter", tyre)
        outputs["overall_radius"] = working.step(
            "overall_radius", tyres.overall_radius, source="iso-4000-1", overall_diameter=diameter
        )
    if measured is not None:
        circumference = measured
    else:
        assert diameter is not None
        circumference = working.step(
            "rolling_circumference",
            tyres.rolling_circumference,
            source="etrto",
            overall_diameter=diameter,
            rolling_factor=given["rolling_factor"],
        )
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


def _diameter(working: Working, name: str, tyre: tyres.TyreSize) -> float:
    return working.step(
        name,
        tyres.overall_diameter,
        source="iso-4000-1",
        section_width=tyre.section_width,
        aspect_ratio=tyre.aspect_ratio,
        rim_diameter=tyre.rim_diameter,
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
        if "standard_final_drive" not in given:
            raise MissingInput("standard_final_drive", "a gearbox sensor without it", "standard_final_drive")
        ratio, standard_ratio = given["final_drive"], given["standard_final_drive"]
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
    if "cruise_speed" in given:
        _reading(given["cruise_speed"], factor, working, outputs)
    if factor < 1:
        working.remark(
            "Against standard the speedometer now reads low. UN Regulation No. 39, 5.3, does not allow a "
            "reading below the true speed: have it checked and recalibrated before the road."
        )


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
    return working.step(
        "standard_rolling_circumference",
        tyres.rolling_circumference,
        source="etrto",
        overall_diameter=_diameter(working, "standard_overall_diameter", tyre),
        rolling_factor=given["rolling_factor"],
    )


def _reading(speed: float, factor: float, working: Working, outputs: Outputs) -> None:
    """What the speedometer shows at the cruise speed, and whether the law lets it."""
    reading = outputs["indicated_speed"] = working.step(
        "indicated_speed",
        drivetrain.indicated_speed,
        source="kinematics",
        road_speed=speed,
        indicated_over_true=factor,
    )
    if speed < 40 / 3.6:  # below the lowest speed that the regulation tests at
        return
    most = outputs["highest_lawful_reading"] = working.step(
        "highest_lawful_reading", drivetrain.highest_lawful_reading, source="unr-39", road_speed=speed
    )
    if reading > most:
        working.remark(
            "The speedometer now shows more than UN Regulation No. 39, 5.3, allows at this speed: "
            "have it recalibrated before the road."
        )


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
    per_gear: dict[str, dict[str, float]] = {"overall_ratio": {}, "speed_at_limit": {}, "speed_per_1000": {}}
    speeds = {"speed_at_limit": limit}
    if "at_revs" in given:
        speeds["speed_at"] = given["at_revs"]
        per_gear["speed_at"] = {}
    if "cruise_speed" in given:
        per_gear["rpm_at"] = {}
    for number, gear in enumerate(gears, start=1):
        key = str(number)
        ratio = per_gear["overall_ratio"][key] = working.step(
            f"overall_ratio.{key}",
            drivetrain.overall_ratio,
            source="kinematics",
            gear_ratio=gear,
            final_drive=given["final_drive"],
        )
        per_gear["speed_per_1000"][key] = working.step(
            f"speed_per_1000.{key}",
            drivetrain.speed_per_engine_speed,
            source="kinematics",
            overall_ratio=ratio,
            rolling_circumference=circumference,
        )
        for name, revs in speeds.items():
            per_gear[name][key] = working.step(
                f"{name}.{key}",
                drivetrain.road_speed,
                source="kinematics",
                engine_speed=revs,
                overall_ratio=ratio,
                rolling_circumference=circumference,
            )
        if "cruise_speed" in given:
            per_gear["rpm_at"][key] = working.step(
                f"rpm_at.{key}",
                drivetrain.engine_speed,
                source="kinematics",
                road_speed=given["cruise_speed"],
                overall_ratio=ratio,
                rolling_circumference=circumference,
            )
    outputs.update(per_gear)
    outputs.update(_shifts(gears, shift_revs, working))
    final_drive = given["final_drive"]
    if isinstance(final_drive, Ratio):
        outputs["tooth_pairing"] = _tooth_pairing(*final_drive.teeth)
    _speedometer(given, circumference, working, outputs)
    tyre: tyres.TyreSize | None = given.get("tyre")
    fastest = max(per_gear["speed_at_limit"].values())
    if tyre is not None and tyre.speed_limit is not None and fastest > tyre.speed_limit:
        working.remark(
            f"The gearing allows {fastest * 3.6:.0f} km/h; the tyre's speed symbol ends at "
            f"{tyre.speed_limit * 3.6:.0f} km/h."
        )
    return outputs


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


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Engine speed against road speed through the gears, shifting at shift_revs: one curve a case."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        limit = case.inputs["rev_limit"]
        revs = case.inputs.get("shift_revs", limit)
        speeds = [speed * revs / limit for speed in case.outputs["speed_at_limit"].values()]
        drops = list(case.outputs.get("rpm_after", {}).values())
        x, y = [0.0], [0.0]
        for speed, after in zip(speeds, [*drops, None], strict=True):
            x.append(speed)
            y.append(revs)
            if after is not None:
                x.append(speed)
                y.append(after)
        series.append(Series(label=name or "engine speed", x=x, y=y, style=style))
    return ChartSpec(
        title="Engine speed through the gears",
        description="Engine speed against road speed, each gear held to the shift point. Upright "
        "lines are the shifts.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("engine speed", "rotational speed", "rpm", from_zero=True),
        series=tuple(series),
    )
