"""What a radiator, an oil or a charge cooler rejects in the wind and by its fan, and where it balances.

**The core** is stated by one test point of its maker: `core_pressure_loss` at `test_face_speed`, and either
`test_heat` at `test_hot_mass_flow` and `test_hot_inlet_temperature`, worked back to the conductance UA, or
`conductance` itself at that speed. At another speed UA goes with the mass velocity of the air to
`air_exponent`, 0.5 for louvred fins, and less where the liquid hardly flows. `loss_exponent` says by what
power of the speed the pressure grows: 1.6 to 1.8 for louvred fins at 2–10 m/s (common practice, no source);
two points of the sheet give it. A core that was tested clean is not one full of flies.

**Effectiveness** is by transfer units, for crossflow: `unmixed` (finned tubes and louvred cores, the usual
one), `air_mixed` or `hot_mixed`. It counts with limits of 17 % on the conductance: nine radiators in a wind
tunnel lay within +24 and −10 % of such a method (Ng, Johnson and Watkins, 2005). With a test point near the
point of interest most of that cancels, and it is the more careful to leave it.

| what is cooled | specific heat, J/(kg·K) | source |
|---|---|---|
| water, 90 °C | 4206 | IAPWS-95, by CoolProp 8.0.0 |
| water with half glycol by volume, 90 °C | 3550–3700 | common practice, no source |
| engine oil, 110 °C | 2200–2400 | common practice, no source |
| air, 100 °C | 1011 | Lemmon and others (2000), by CoolProp 8.0.0 |

**Air.** The road speed drives it by the difference of two pressure coefficients: `front_coefficient` ahead
of the core (1 is all of the ram, a grille and a lip keep 0.5 to 0.9) and `rear_coefficient` where it leaves
(a low-pressure exit has −0.5, an engine bay about 0; a textbook's racing car has an exit at about −0.5).
Both are guesses until a manometer has been there, and count with 0.15. `bay_loss_coefficient` is what
grille and bay take, in dynamic pressures at the core's face. Flow at the face is taken as even.

**A fan** is its maker's curve, `fan_curve`, and `fan_air_temperature`: the air of the day in front of the
core, the core's hot air behind it, which in balance is `air_temperature` and `heat_input` over what the air
takes up by degree where the fan is. The block gives that as `covered_air_temperature`, and tells where it
and yours are so far apart that the fan's air is a twentieth too light or too dense: put it in and compute
again, for the slowest road speed, where the fan counts most. `shrouded_share` is how much of the face the
shroud covers; a fan without a shroud serves its own ring and little beside it. What is covered gets
wind and fan, the rest the wind alone, and at a standstill nothing: what blows back there through the open
rest is not counted, and makes it worse. Beyond its free flow a fan is taken neither to help nor to hinder;
a shroud that covers all hinders at speed, where it has no flaps.

**Balance.** With `heat_input`, what the engine gives the coolant (a quarter to a third of the fuel's heat
at full load, about as much as the crank's power; common practice, no source), the block gives the inlet
temperature at which as much goes out as comes in, and with `temperature_limit` what is left to it. It is
what a long climb ends at; a short one ends before. With `hot_inlet_temperature` it gives the heat rejected
there, and both outlet temperatures. A thermostat, boiling, and a hot core's own radiation are not in it.

```yaml
id: radiator
kind: cooler
inputs:
  face_width: 480 ± 2 mm
  face_height: 320 ± 2 mm
  test_face_speed: 4 m/s
  core_pressure_loss: 160 ± 10 Pa
  loss_exponent: 1.7
  test_heat: 32 ± 1 kW
  test_hot_mass_flow: 1.1 kg/s
  test_hot_inlet_temperature: 90 °C
  hot_specific_heat: 3600 J/(kg·K)
  hot_mass_flow: 1.0 kg/s
  air_temperature: 25 ± 1 °C
  ambient_pressure: 980 ± 2 hPa
  road_speed: [0 km/h, 60 km/h, 120 km/h]
  front_coefficient: 0.7
  rear_coefficient: 0
  bay_loss_coefficient: 6
  fan_air_temperature: 60 °C
  fan_curve:
    - {flow: 0 m³/s, pressure: 260 Pa}
    - {flow: 0.2 m³/s, pressure: 200 Pa}
    - {flow: 0.4 m³/s, pressure: 110 Pa}
    - {flow: 0.55 m³/s, pressure: 0 Pa}
  heat_input: 20 ± 1 kW
  hot_inlet_temperature: 95 °C
  temperature_limit: 105 °C
cases:
  shroud: {shrouded_share: 100 %}
  bare-ring: {shrouded_share: 55 %}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange
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
    Working,
    given_together,
)
from buildlog.kinds.keys import value_keys
from buildlog.kinds.models import fan_curve
from buildlog.physics import air, coolers, fans
from buildlog.said import said

KIND = "cooler"

_LENGTH = Number(dimension="length", unit="mm", low=20, high=2000, why="coolers of cars")
_AIR = Number(dimension="temperature", unit="°C", low=-40, high=60, why="the air of a day")
_HOT = Number(dimension="temperature", unit="°C", low=-20, high=300, why="coolant, oil or charge air")
_PRESSURE = Number(dimension="pressure", unit="hPa", low=450, high=1085, why="any road")
_FLOW = Number(dimension="mass flow", unit="kg/s", low=0.005, high=10, why="pumps and engines of cars")
_HEAT = Number(dimension="power", unit="kW", low=0.05, high=1000, why="engines of cars")
_COEFFICIENT = Doubt(
    name="pressure_coefficient",
    about="pressure coefficient at a car's nose or bay that nobody measured",
    source="practice",
    absolute=0.15,
)
_EXPONENT = Doubt(
    name="conductance_exponent",
    about="power of the air's flow that a core's conductance goes with",
    source="chang-wang",
    absolute=0.1,
)

INPUTS = (
    Input(name="face_width", form=_LENGTH, about="width of the finned face"),
    Input(name="face_height", form=_LENGTH, about="height of the finned face"),
    Input(
        name="flow_arrangement",
        form=Choice(
            {
                "unmixed": "both flows in separate ways: finned tubes, louvred cores",
                "air_mixed": "the air mixes across: bare tubes",
                "hot_mixed": "what is cooled mixes across: one wide passage",
            }
        ),
        about="how the flows cross",
        default="unmixed",
        default_source="louvred and finned cores",
    ),
    Input(
        name="test_face_speed",
        form=Number(dimension="speed", unit="m/s", low=0.5, high=25, why="test rigs of cores"),
        about="speed of the air at the face in the maker's test",
    ),
    Input(
        name="core_pressure_loss",
        form=Number(dimension="pressure", unit="Pa", low=1, high=5000, why="cores of cars"),
        about="what the core takes at test_face_speed",
    ),
    Input(
        name="loss_exponent",
        form=Number(dimension="ratio", unit="", low=1, high=2, why="laminar to fully turbulent"),
        about="by what power of the speed the loss grows",
    ),
    Input(
        name="test_air_temperature",
        form=_AIR,
        about="temperature of the air in the test, before the core",
        default="20 °C",
        default_source="common practice of test rigs, no source",
    ),
    Input(
        name="test_air_pressure",
        form=_PRESSURE,
        about="pressure of the air in the test",
        default="1013.25 hPa",
        default_source="standard atmosphere",
    ),
    Input(
        name="conductance",
        form=Number(dimension="thermal conductance", unit="W/K", low=5, high=20_000, why="coolers of cars"),
        about="UA at the test point; or give test_heat",
        required=False,
    ),
    Input(
        name="test_heat", form=_HEAT, about="heat rejected in the test; or give conductance", required=False
    ),
    Input(
        name="test_hot_mass_flow",
        form=_FLOW,
        about="mass flow of what was cooled in the test",
        required=False,
    ),
    Input(
        name="test_hot_inlet_temperature",
        form=_HOT,
        about="inlet temperature of what was cooled in the test",
        required=False,
    ),
    Input(
        name="air_exponent",
        form=Number(
            dimension="ratio", unit="", low=0.2, high=0.9, why="liquid that holds back to bare tubes"
        ),
        about="by what power of the air's mass velocity the conductance grows",
        default="0.5",
        default_source="Chang and Wang (1997), louvred fins: 0.51",
        doubt=_EXPONENT,
    ),
    Input(
        name="hot_specific_heat",
        form=Number(
            dimension="specific heat", unit="J/(kg·K)", low=900, high=4400, why="air, oils, glycol, water"
        ),
        about="specific heat of what is cooled",
    ),
    Input(name="hot_mass_flow", form=_FLOW, about="mass flow of what is cooled"),
    Input(name="air_temperature", form=_AIR, about="temperature of the air before the core"),
    Input(
        name="ambient_pressure",
        form=_PRESSURE,
        about="barometer as it reads at the place, not reduced to sea level",
    ),
    Input(
        name="road_speed",
        form=Listed(
            Number(dimension="speed", unit="km/h", low=0, high=400, why="cars"), shortest=1, longest=12
        ),
        about="road speeds of interest; 0 km/h is the queue",
    ),
    Input(
        name="front_coefficient",
        form=Number(dimension="ratio", unit="", low=-1, high=1, why="no more than all of the ram"),
        about="pressure coefficient ahead of the core",
        doubt=_COEFFICIENT,
    ),
    Input(
        name="rear_coefficient",
        form=Number(dimension="ratio", unit="", low=-2, high=0.5, why="strong suction to a closed bay"),
        about="pressure coefficient where the air leaves",
        doubt=_COEFFICIENT,
    ),
    Input(
        name="bay_loss_coefficient",
        form=Number(dimension="ratio", unit="", low=0, high=100, why="open to nearly shut"),
        about="what grille and bay take, in dynamic pressures at the core's face",
    ),
    Input(name="fan_curve", form=fan_curve.CURVE, about="the maker's curve of one fan", required=False),
    fan_curve.DENSITY,
    Input(
        name="fan_air_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=150, why="air at a cooler's fan"),
        about="temperature of the air at the fan: hot behind a core",
        required=False,
    ),
    Input(
        name="shrouded_share",
        form=Number(dimension="ratio", unit="%", low=5, high=100, why="a ring alone to the whole face"),
        about="share of the face that fan and shroud cover",
        required=False,
    ),
    Input(
        name="hot_inlet_temperature",
        form=_HOT,
        about="inlet temperature of what is cooled, for the heat rejected there",
        required=False,
    ),
    Input(name="heat_input", form=_HEAT, about="heat that comes in, for the balance", required=False),
    Input(
        name="temperature_limit",
        form=_HOT,
        about="temperature that the inlet is to stay below, with heat_input",
        required=False,
    ),
)

_TEST = ("test_heat", "test_hot_mass_flow", "test_hot_inlet_temperature")
_FAN = ("fan_curve", "fan_air_temperature", "shrouded_share")
_HOT_INLET = ("hot_inlet_temperature",)

OUTPUTS = (
    Output(name="face_area", title="area of the core's face", dimension="area", unit="m²", decimals=4),
    Output(
        name="test_conductance",
        title="conductance of the core at its test point",
        dimension="thermal conductance",
        unit="W/K",
        about="UA, worked back or as given",
        decimals=0,
    ),
    Output(
        name="ram_pressure",
        title="pressure that the road speed drives the air with",
        dimension="pressure",
        unit="Pa",
        decimals=0,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="face_speed",
        title="mean air speed at the core's face",
        dimension="speed",
        unit="m/s",
        decimals=2,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="air_mass_flow",
        title="mass flow of the air through the core",
        dimension="mass flow",
        unit="kg/s",
        decimals=3,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="effectiveness",
        title="effectiveness of the cooler",
        dimension="ratio",
        unit="%",
        about="share of the most that could be rejected between the two inlets",
        decimals=1,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="heat_by_degree",
        title="heat rejected by degree between the inlets",
        dimension="thermal conductance",
        unit="W/K",
        decimals=0,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="heat_rejected",
        title="heat rejected at the given inlet temperature",
        dimension="power",
        unit="kW",
        decimals=1,
        needs=_HOT_INLET,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="hot_outlet_temperature",
        title="outlet temperature of what is cooled",
        dimension="temperature",
        unit="°C",
        decimals=1,
        needs=_HOT_INLET,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="air_outlet_temperature",
        title="mean air temperature behind the core",
        dimension="temperature",
        unit="°C",
        decimals=1,
        needs=_HOT_INLET,
        key="speed",
        of="road_speed",
    ),
    Output(
        name="covered_air_temperature",
        title="temperature of the air behind what the fan covers",
        dimension="temperature",
        unit="°C",
        about="in balance, or else at the given inlet temperature",
        decimals=0,
        needs=("fan_curve",),
        key="speed",
        of="road_speed",
    ),
    Output(
        name="balance_temperature",
        title="inlet temperature at which heat out is heat in",
        dimension="temperature",
        unit="°C",
        decimals=1,
        needs=("heat_input",),
        key="speed",
        of="road_speed",
    ),
    Output(
        name="temperature_margin",
        title="margin of the balance to its limit",
        dimension="temperature difference",
        unit="K",
        decimals=1,
        needs=("heat_input", "temperature_limit"),
        key="speed",
        of="road_speed",
    ),
)

SOURCES = (
    Source(
        id="incropera",
        title="Fundamentals of Heat and Mass Transfer, Incropera and DeWitt",
        publisher="Wiley",
        where="table 11.3, as the library ht 1.2.0 has it",
    ),
    Source(
        id="ng-2005",
        title="An analytical study on heat transfer performance of radiators with non-uniform airflow "
        "distribution, E. Y. Ng, P. W. Johnson and S. Watkins",
        publisher="Proc. IMechE D, J. Automobile Engineering",
        edition="2005",
        where="abstract: within +24 and −10 % of tests of nine radiators",
    ),
    Source(
        id="chang-wang",
        title="A generalized heat transfer correlation for louver fin geometry, Y.-J. Chang and C.-C. Wang",
        publisher="Int. J. Heat Mass Transfer 40",
        edition="1997",
        where="eq. 9, j in proportion to Re^−0.49 from Re 100 to 3000, as public code quotes it (read)",
    ),
    Source(
        id="katz",
        title="Automotive Aerodynamics, J. Katz",
        publisher="Wiley",
        where="p. 538 and figure 11.28: pressure coefficients through a cooling duct",
    ),
    *fan_curve.SOURCES,
    Source(id="energy", title="Energy balance of steady flow; geometry; continuity", standing="derived"),
    Source(id="ideal-gas", title="Ideal gas law", standing="derived"),
    Source(
        id="moran",
        title="Fundamentals of Engineering Thermodynamics",
        publisher="Moran and Shapiro",
        where="Table A-21, as public code quotes its five coefficients of air (read)",
    ),
    Source(
        id="practice",
        title="Pressure coefficients and losses of noses and bays",
        standing="common practice, no source",
    ),
)

_CONDUCTANCE = Doubt(
    name="cooler_conductance",
    about="conductance of a core by transfer units, even flow and constant properties",
    source="ng-2005",
    formula="chang-wang",
    relative=0.17,
    limits=True,
    range="radiators in a wind tunnel",
)
_LOSS = Doubt(
    name="core_pressure_loss",
    about="pressure loss of a core away from its test point",
    source="practice",
    relative=0.1,
    range="speeds of a third to three times that of the test",
)

DOUBTS = (_COEFFICIENT, _EXPONENT, _CONDUCTANCE, _LOSS, fan_curve.DOUBT)

HAZARDS = ("hot-parts", "spinning-parts", "own-limits")

_GAUGE = said(
    "Coolant under pressure boils where its cap is opened: what such a system stands is its maker's to say."
)


@dataclass(frozen=True, kw_only=True)
class _Cooler:
    """What is the same at every road speed. `fan` is of the covered `share` of the face; without one the
    share is none."""

    core: coolers.Core
    area: float
    air_heat: float
    hot_capacity: float
    tested_conductance: float
    fan: coolers.Blown | None
    share: float


def _test_point(given: Mapping[str, Any], working: Working) -> tuple[float, float]:
    """Density of the air in the maker's test, and the conductance there."""
    density = working.step(
        "test_air_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["test_air_pressure"],
        temperature=given["test_air_temperature"],
    )
    tested = given_together(given, _TEST, "a test is heat at a flow and an inlet temperature")
    if tested and "conductance" in given:
        raise InputsConflict("conductance", "test_heat as well", "one of them")
    if not tested:
        if "conductance" not in given:
            raise MissingInput("conductance", "neither it nor test_heat", "one of them")
        return density, given["conductance"]
    return density, _worked_back(given, density, working)


def _worked_back(given: Mapping[str, Any], density: float, working: Working) -> float:
    """The conductance that a test's heat asks for."""
    area = coolers.face_area(given["face_width"], given["face_height"])
    flow = working.step(
        "test_air_mass_flow",
        coolers.part_mass_flow,
        source="energy",
        face_share=1.0,
        area=area,
        density=density,
        face_speed=given["test_face_speed"],
    )
    heat = working.step(
        "test_specific_heat", air.specific_heat, source="moran", temperature=given["test_air_temperature"]
    )
    through = working.step(
        "test_air_capacity", coolers.capacity_flow, source="energy", mass_flow=flow, specific_heat=heat
    )
    hot = working.step(
        "test_hot_capacity",
        coolers.capacity_flow,
        source="energy",
        mass_flow=given["test_hot_mass_flow"],
        specific_heat=given["hot_specific_heat"],
    )
    if given["test_hot_inlet_temperature"] <= given["test_air_temperature"]:
        raise OutOfRange(
            "test_hot_inlet_temperature",
            f"{given['test_hot_inlet_temperature'] - 273.15:.1f} °C",
            f"more than the air of the test, {given['test_air_temperature'] - 273.15:.1f} °C",
        )
    reached = working.step(
        "test_effectiveness",
        coolers.tested_effectiveness,
        source="incropera",
        heat=given["test_heat"],
        least_capacity=min(through, hot),
        hot_inlet=given["test_hot_inlet_temperature"],
        air_inlet=given["test_air_temperature"],
    )
    ratio = working.step(
        "test_capacity_ratio",
        coolers.capacity_ratio,
        source="energy",
        least_capacity=min(through, hot),
        most_capacity=max(through, hot),
    )
    units = working.step(
        "test_transfer_units",
        coolers.units_for,
        coolers.effectiveness_of(given["flow_arrangement"], through, hot),
        source="incropera",
        effectiveness=reached,
        capacity_ratio=ratio,
    )
    return working.step(
        "test_conductance",
        coolers.conductance_of,
        source="incropera",
        transfer_units=units,
        least_capacity=min(through, hot),
    )


def _cooler(given: Mapping[str, Any], working: Working, outputs: Outputs) -> _Cooler:
    """The cooler, its air and its fan."""
    area = outputs["face_area"] = working.step(
        "face_area",
        coolers.face_area,
        source="energy",
        width=given["face_width"],
        height=given["face_height"],
    )
    tested_density, conductance = _test_point(given, working)
    outputs["test_conductance"] = conductance
    density = working.step(
        "air_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["ambient_pressure"],
        temperature=given["air_temperature"],
    )
    core = coolers.Core(
        tested_loss=given["core_pressure_loss"] * working.factor(_LOSS),
        tested_speed=given["test_face_speed"],
        tested_density=tested_density,
        exponent=given["loss_exponent"],
        bay_coefficient=given["bay_loss_coefficient"],
        density=density,
    )
    fan, share = _fan(given, area, working)
    return _Cooler(
        core=core,
        area=area,
        air_heat=working.step(
            "air_specific_heat", air.specific_heat, source="moran", temperature=given["air_temperature"]
        ),
        hot_capacity=working.step(
            "hot_capacity",
            coolers.capacity_flow,
            source="energy",
            mass_flow=given["hot_mass_flow"],
            specific_heat=given["hot_specific_heat"],
        ),
        tested_conductance=conductance,
        fan=fan,
        share=share,
    )


def _fan(given: Mapping[str, Any], area: float, working: Working) -> tuple[coolers.Blown | None, float]:
    """The fan on its share of the face, or none on none of it."""
    if not given_together(given, _FAN, "a fan is its curve, the air it is in and the share that it serves"):
        return None, 0.0
    density = working.step(
        "fan_air_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["ambient_pressure"],
        temperature=given["fan_air_temperature"],
    )
    curve = fans.FanCurve.read(given["fan_curve"], given["curve_density"], "fan_curve")
    if curve.pressures[-1] > 0:
        raise InputsConflict(
            "fan_curve",
            f"{curve.pressures[-1]:.0f} Pa in its last row",
            "a curve down to no pressure",
            help="in the wind a fan passes its free flow: add the row of it",
            at=(len(curve.flows) - 1, "pressure"),
        )
    group = fans.FanGroup(curve=curve, density=density, factor=working.factor(fan_curve.DOUBT))
    share = given["shrouded_share"]
    return coolers.Blown(fans=group, area=share * area), share


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Flow, heat and balance at each road speed of one case; SI in, SI out."""
    if "heat_input" not in given and "hot_inlet_temperature" not in given:
        raise MissingInput("heat_input", "neither it nor hot_inlet_temperature", "at least one of them")
    if "temperature_limit" in given and "heat_input" not in given:
        raise MissingInput("heat_input", "temperature_limit without it", "heat_input as well")
    if given.get("hot_inlet_temperature", _HOTTEST) <= given["air_temperature"]:
        raise OutOfRange(
            "hot_inlet_temperature",
            f"{given['hot_inlet_temperature'] - 273.15:.1f} °C",
            f"more than the air, {given['air_temperature'] - 273.15:.1f} °C",
            help="a cooler gives off no heat to warmer air",
        )
    outputs: Outputs = {}
    cooler = _cooler(given, working, outputs)
    table: dict[str, dict[str, float]] = {}
    for key, speed in zip(value_keys("road_speed", given["road_speed"]), given["road_speed"], strict=True):
        found = _at_speed(cooler, key, speed, given, working)
        for name, value in found.items():
            table.setdefault(name, {})[key] = value
        if "temperature_margin" in found:
            working.limit(
                "temperature_margin",
                key,
                least=0.0,
                says=said(
                    "At {speed} the balance [may lie|lies] above its limit.", speed=key.replace("-", " ")
                ),
            )
    outputs.update(table)
    if cooler.fan:
        _fan_air(given, table["covered_air_temperature"], working)
    working.remark(_GAUGE)
    if cooler.fan and cooler.share < 1:
        working.remark(said("What blows back through the uncovered part of the core is not counted."))
    return outputs


def _fan_air(given: Mapping[str, Any], covered: Mapping[str, float], working: Working) -> None:
    """Tells where the air that the fan was said to be in is neither that before the core nor that behind."""
    speeds = dict(zip(covered, given["road_speed"], strict=True))
    slowest = min(covered, key=lambda key: speeds[key])
    stated, behind = given["fan_air_temperature"], covered[slowest]
    if all(abs(stated / air - 1) > _OTHER_AIR for air in (given["air_temperature"], behind)):
        working.remark(
            said(
                "The fan is said to be in air of {stated} °C. At {speed} the "
                "air behind what it covers is at {behind} °C: put that in, or the air of the day "
                "if the fan stands before the core, and compute again.",
                stated=f"{stated - 273.15:.0f}",
                speed=slowest.replace("-", " "),
                behind=f"{behind - 273.15:.0f}",
            )
        )


_HOTTEST = float("inf")
_OTHER_AIR = 0.05
"""Of the absolute temperature, and so of the density: half of what a fan's pressure is doubted by."""


def _at_speed(
    cooler: _Cooler, key: str, speed: float, given: Mapping[str, Any], working: Working
) -> dict[str, float]:
    """Everything at one road speed."""
    if given["front_coefficient"] <= given["rear_coefficient"]:
        raise OutOfRange(
            "front_coefficient",
            f"{given['front_coefficient']:.2f}",
            f"more than rear_coefficient, {given['rear_coefficient']:.2f}",
            help="otherwise the road speed drives the air out at the front",
        )
    ram = working.step(
        f"ram_pressure.{key}",
        coolers.ram_pressure,
        source="katz",
        front_coefficient=given["front_coefficient"],
        rear_coefficient=given["rear_coefficient"],
        density=cooler.core.density,
        road_speed=speed,
    )
    covered, beside = _face_speeds(cooler, key, ram, working)
    mean = working.step(
        f"face_speed.{key}",
        coolers.mean_of_parts,
        source="energy",
        shrouded=cooler.share * covered,
        open=(1 - cooler.share) * beside,
    )
    if mean <= 0:
        raise NoSolution(
            "road_speed",
            "a standstill without a fan",
            "a road speed above 0, or a fan",
            help="give fan_curve, or leave the standstill out",
        )
    flow = working.step(
        f"air_mass_flow.{key}",
        coolers.part_mass_flow,
        source="energy",
        face_share=1.0,
        area=cooler.area,
        density=cooler.core.density,
        face_speed=mean,
    )
    under = _part(cooler, f"shrouded-at-{key}", cooler.share, covered, given, working)
    open_part = _part(cooler, f"open-at-{key}", 1 - cooler.share, beside, given, working)
    by_degree = working.step(
        f"heat_by_degree.{key}", coolers.both_parts, source="energy", shrouded=under, open=open_part
    )
    through = working.step(
        f"air_capacity.{key}",
        coolers.capacity_flow,
        source="energy",
        mass_flow=flow,
        specific_heat=cooler.air_heat,
    )
    found = {
        "ram_pressure": ram,
        "face_speed": mean,
        "air_mass_flow": flow,
        "heat_by_degree": by_degree,
        "effectiveness": working.step(
            f"effectiveness.{key}",
            coolers.whole_effectiveness,
            source="incropera",
            heat_by_degree=by_degree,
            least_capacity=min(through, cooler.hot_capacity),
        ),
    }
    found |= _rejected(cooler, key, by_degree, through, given, working)
    found |= _balance(key, by_degree, given, working)
    if cooler.fan:
        hot = found["balance_temperature"] if "heat_input" in given else given["hot_inlet_temperature"]
        found["covered_air_temperature"] = working.step(
            f"covered_air_temperature.{key}",
            coolers.air_behind_part,
            source="energy",
            air_inlet=given["air_temperature"],
            hot_inlet=hot,
            heat_by_degree=under,
            air_capacity=cooler.air_heat
            * coolers.part_mass_flow(cooler.share, cooler.area, cooler.core.density, covered),
        )
    return found


def _face_speeds(cooler: _Cooler, key: str, ram: float, working: Working) -> tuple[float, float]:
    """Speed of the air at the covered part of the face and at the rest; 0 where there is none."""
    covered = beside = 0.0
    if cooler.fan:
        covered = working.step(
            f"shrouded_face_speed.{key}",
            coolers.blown_face_speed,
            cooler.core,
            cooler.fan,
            source="energy",
            ram_pressure=ram,
        )
    if cooler.share < 1:
        beside = working.step(
            f"open_face_speed.{key}", coolers.open_face_speed, cooler.core, source="energy", ram_pressure=ram
        )
    return covered, beside


def _part(
    cooler: _Cooler, place: str, share: float, speed: float, given: Mapping[str, Any], working: Working
) -> float:
    """Heat by degree of a part of the face, to which its share of what is cooled flows."""
    if share <= 0 or speed <= 0:
        return 0.0
    flow = coolers.part_mass_flow(share, cooler.area, cooler.core.density, speed)
    through, hot = flow * cooler.air_heat, share * cooler.hot_capacity
    conductance = working.step(
        f"conductance.{place}",
        coolers.conductance_at,
        source=_CONDUCTANCE,
        tested_conductance=cooler.tested_conductance,
        face_share=share,
        density=cooler.core.density,
        face_speed=speed,
        tested_density=cooler.core.tested_density,
        tested_speed=given["test_face_speed"],
        exponent=given["air_exponent"],
    )
    least, most = min(through, hot), max(through, hot)
    units = working.step(
        f"transfer_units.{place}",
        coolers.transfer_units,
        source="incropera",
        conductance=conductance,
        least_capacity=least,
    )
    reached = working.step(
        f"part_effectiveness.{place}",
        coolers.effectiveness_of(given["flow_arrangement"], through, hot),
        source="incropera",
        transfer_units=units,
        capacity_ratio=least / most,
    )
    return working.step(
        f"part_heat_by_degree.{place}",
        coolers.heat_by_degree,
        source="incropera",
        effectiveness=reached,
        least_capacity=least,
    )


def _rejected(
    cooler: _Cooler, key: str, by_degree: float, through: float, given: Mapping[str, Any], working: Working
) -> dict[str, float]:
    """Heat and outlet temperatures at the inlet temperature that is given."""
    if "hot_inlet_temperature" not in given:
        return {}
    hot, cold = given["hot_inlet_temperature"], given["air_temperature"]
    heat = working.step(
        f"heat_rejected.{key}",
        coolers.heat_rejected,
        source="energy",
        heat_by_degree=by_degree,
        hot_inlet=hot,
        air_inlet=cold,
    )
    return {
        "heat_rejected": heat,
        "hot_outlet_temperature": working.step(
            f"hot_outlet_temperature.{key}",
            coolers.temperature_after,
            source="energy",
            inlet=hot,
            heat=-heat,
            capacity=cooler.hot_capacity,
        ),
        "air_outlet_temperature": working.step(
            f"air_outlet_temperature.{key}",
            coolers.temperature_after,
            source="energy",
            inlet=cold,
            heat=heat,
            capacity=through,
        ),
    }


def _balance(key: str, by_degree: float, given: Mapping[str, Any], working: Working) -> dict[str, float]:
    """Where heat out is heat in, and what is left to the limit."""
    if "heat_input" not in given:
        return {}
    balance = working.step(
        f"balance_temperature.{key}",
        coolers.balance_temperature,
        source="energy",
        air_inlet=given["air_temperature"],
        heat_input=given["heat_input"],
        heat_by_degree=by_degree,
    )
    found = {"balance_temperature": balance}
    if "temperature_limit" in given:
        found["temperature_margin"] = working.step(
            f"temperature_margin.{key}",
            coolers.temperature_margin,
            source="energy",
            temperature_limit=given["temperature_limit"],
            balance_temperature=balance,
        )
    return found


_STEPS = 24


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Heat by degree over road speed, a curve a case."""
    curves: list[Series] = []
    for style, (name, case) in enumerate(cases.items()):
        top = max(*case.inputs["road_speed"], 1.0) * 1.1
        speeds: list[float] = []
        values: list[float] = []
        for step in range(_STEPS + 1):
            speed = top * step / _STEPS
            try:
                found = compute({**case.inputs, "road_speed": [speed]}, Working())
            except NoSolution:
                continue  # a standstill without a fan
            speeds.append(speed)
            values.append(next(iter(found["heat_by_degree"].values())))  # type: ignore[union-attr]
        curves.append(Series(label=name or "cooler", x=speeds, y=values, style=style))
    return ChartSpec(
        title="Heat rejected by degree over road speed",
        description="Heat that the cooler rejects by degree between its two inlets against road speed, by "
        "case; where a limit is given, a line across is what the balance needs to keep to it.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("heat by degree", "thermal conductance", "W/K", from_zero=True),
        series=tuple(curves),
        markers=_needed(cases),
    )


def _needed(cases: Mapping[str, CaseView]) -> tuple[Marker, ...]:
    """Heat by degree at which the balance just keeps to its limit, each once."""
    lines = {
        given["heat_input"] / (given["temperature_limit"] - given["air_temperature"])
        for given in (case.inputs for case in cases.values())
        if "temperature_limit" in given and given["temperature_limit"] > given["air_temperature"]
    }
    return tuple(Marker("keeps to the limit", y=line) for line in sorted(lines))
