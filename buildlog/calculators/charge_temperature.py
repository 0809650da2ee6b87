"""What cooler air at the inlet is worth, what heat the duct adds, and what a slow sensor hides.

**Before and after.** Give the inlet temperature measured with the old inlet and with the new one, at
the same place, load and speed, and on the same day, with the temperature of the air outside. The block gives
the change in density at constant pressure and the change in power by two rules, because they differ by a
factor of about two:

- the **density rule**: power in proportion to density at the inlet, 3.2 % for 10 K. It is right
  where the air reaches the cylinder as it was measured, and overstates where the ports and the walls
  warm cold air more than hot air;
- the **square-root rule**: power in proportion to 1/√T, 1.6 % for 10 K, the form of the correction
  formulae of SAE J1349 and DIN 70020 for engines on the bench. It is the one to quote when only one is
  quoted.

Both are for full load at a fixed throttle and mixture. Neither knows of knock: an engine that retards its
ignition when hot gains more. Both count with a doubt of the method, since the exponent of a later standard is
0.6 (ISO 1585): limits of 20 % of its change for the square-root rule, and of 50 % for the density rule, whose
exponent is 1. On the road, of four standards SAE J1349 came nearest to the accelerations that were measured
(Sodré and Soares, 2003).

**A reading** without an uncertainty of its own counts with limits of 1.5 K, what a thermocouple of the better
class is sold with. One sensor for both readings has one error of calibration, which cancels: put it into
`common`, and give each reading the ± of its own scatter.

**Two readings are not a log.** They say nothing of what the bay did before: soak at the start, the queue, the
run before. A pair of readings is one draw of each; take several of both, and give the spread. Nothing in a
car cools the air below the weather, so a reading that is colder than `ambient_temperature` is told, and one
that is colder by more than 2 K refused.

**Heat along the duct.** With the air's mass flow (from `ram_air`, say) the block gives how much a duct
warms the air, with the two readings or without: either from a known `heat`, or from the temperature of its
inner wall, its bore and its length. The heat transfer is that of a smooth straight tube with its entrance:

| flow | by | doubt of the method |
|---|---|---|
| turbulent, Re 4000 and above | Gnielinski, 1976 | 10 % |
| in between, Re 2300 to 4000 | Gnielinski, 2013, linear between the two | 30 % |
| laminar, below Re 2300 | Hausen, 1943; still air lifts it in wide ducts | 30 % |

Bends and corrugations raise it, by up to half as much again (common practice, no source): say so with
`duct_wall: corrugated`, which widens the doubt to limits of 50 %. A wall much hotter than the air lowers it
by up to a tenth. The wall is taken at one temperature, and counts with 5 K where its author says nothing:
measure it with a thermocouple under tape, at the end of a run. At full flow the air is quick and takes up
little; at idle and in a queue the same duct makes it hot.

**Sensor lag.** A thermometer in air follows with a time constant τ: after one τ it has made 63 % of a step.
While the reading still falls at some rate, the air is already colder by τ times that rate. Give
`sensor_time_constant` and the rate of each reading from the log (a fitted slope over about one τ, not the
difference of two samples: noise is multiplied by τ). Write `0 K/s` for a reading that stood still. A
correction that is larger than the change that was read is refused: it would be the correction that is
reported, not the car. A time constant without an uncertainty of its own counts with 30 %.

| sensor in moving air | time constant | source |
|---|---|---|
| bare thermocouple or bead, under 1 mm | 0.1–2 s | common practice, no source |
| open-element intake sensor | 2–10 s | common practice, no source |
| closed-tip intake sensor | 10–40 s | common practice, no source |

Measure yours where it sits: warm it with a hair dryer, take the heat away at a steady air flow, and time
how long the reading takes to make 63 % of the step. A sensor screwed into hot metal also reads part of the
metal, which no time constant corrects.

```yaml
id: cold-air
kind: charge_temperature
inputs:
  temperature_before: 46 °C
  temperature_after: 27 °C
  ambient_temperature: 19 °C
  inlet_pressure: 99 kPa
  sensor_time_constant: 8 s
  rate_before: 0 K/s
  rate_after: -0.15 K/s
  duct_inlet_temperature: 21 °C
  air_mass_flow: 0.13 kg/s
  wall_temperature: 60 °C
  duct_diameter: 80 mm
  duct_length: 0.7 m
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
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
    Working,
    given_together,
)
from buildlog.physics import air, duct_heat, engine_air
from buildlog.said import said

KIND = "charge_temperature"

_AIR = Number(
    dimension="temperature",
    unit="°C",
    low=-40,
    high=150,
    why="air in the intake of an engine without a supercharger",
)
_RATE = Number(dimension="temperature rate", unit="K/s", low=-20, high=20, why="readings of intake sensors")

_READING = Doubt(
    name="temperature_reading",
    about="of a thermometer that was not compared with a better one, once read",
    source="iec-60584",
    absolute=1.5,
    limits=True,
    unit="K",
)
_TIME_CONSTANT = Doubt(
    name="sensor_time_constant",
    about="of a sensor by its kind, or timed once",
    source="practice",
    relative=0.3,
)
_WALL_TEMPERATURE = Doubt(
    name="duct_wall_temperature",
    about="a wall has no one temperature",
    source="practice",
    absolute=5.0,
    unit="K",
)

INPUTS = (
    Input(
        name="temperature_before",
        form=_AIR,
        about="inlet temperature as read with the old arrangement",
        required=False,
        doubt=_READING,
    ),
    Input(
        name="temperature_after",
        form=_AIR,
        about="inlet temperature as read with the new one",
        required=False,
        doubt=_READING,
    ),
    Input(
        name="ambient_temperature",
        form=_AIR,
        about="temperature of the air outside the car, the same for both readings",
        required=False,
        doubt=_READING,
    ),
    Input(
        name="inlet_pressure",
        form=Number(dimension="pressure", unit="kPa", low=40, high=115, why="inlets at full load, any road"),
        about="absolute pressure at the inlet, for the densities themselves",
        required=False,
    ),
    Input(
        name="sensor_time_constant",
        form=Number(dimension="time", unit="s", low=0, high=120, why="thermometers in air"),
        about="time in which the sensor makes 63 % of a step, in the air flow it sits in",
        required=False,
        doubt=_TIME_CONSTANT,
    ),
    Input(
        name="rate_before",
        form=_RATE,
        about="rate at which the first reading was changing; needs sensor_time_constant",
        required=False,
    ),
    Input(name="rate_after", form=_RATE, about="the same for the second reading", required=False),
    Input(
        name="duct_inlet_temperature",
        form=_AIR,
        about="air temperature where it enters the duct",
        required=False,
        doubt=_READING,
    ),
    Input(
        name="air_mass_flow",
        form=Number(
            dimension="mass flow", unit="kg/s", low=0.001, high=1.5, why="idle of a small engine to 1000 kW"
        ),
        about="air through the duct",
        required=False,
    ),
    Input(
        name="heat",
        form=Number(dimension="power", unit="W", low=-20_000, high=20_000, why="ducts and coolers of a car"),
        about="heat into the air along the duct, negative if it is cooled; or give wall_temperature",
        required=False,
    ),
    Input(
        name="wall_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=300, why="ducts in an engine bay"),
        about="temperature of the duct's inner wall",
        required=False,
        doubt=_WALL_TEMPERATURE,
    ),
    Input(
        name="duct_diameter",
        form=Number(dimension="length", unit="mm", low=15, high=200, why="intake ducts"),
        about="bore, with wall_temperature",
        required=False,
    ),
    Input(
        name="duct_length",
        form=Number(dimension="length", unit="m", low=0.03, high=5, why="intake ducts"),
        about="length, with wall_temperature",
        required=False,
    ),
    Input(
        name="duct_wall",
        form=Choice({"smooth": "smooth and nearly straight", "corrugated": "ribs inside, or close bends"}),
        about="the duct's inner wall, with wall_temperature",
        default="smooth",
        default_source="what the heat transfer was measured on",
    ),
)

_READ = ("temperature_before", "temperature_after", "ambient_temperature")
_READINGS = {"temperature_before", "temperature_after"}
_LAG = (*_READ, "sensor_time_constant", "rate_before", "rate_after")
_DENSITY = (*_READ, "inlet_pressure")
_DUCT = ("duct_inlet_temperature", "air_mass_flow")
_WALL = (*_DUCT, "wall_temperature", "duct_diameter", "duct_length")
OUTPUTS = (
    Output(
        name="true_temperature_before",
        title="true air temperature before",
        dimension="temperature",
        unit="°C",
        about="reading without the sensor's lag",
        decimals=1,
        needs=_LAG,
    ),
    Output(
        name="true_temperature_after",
        title="true air temperature after",
        dimension="temperature",
        unit="°C",
        about="reading without the sensor's lag",
        decimals=1,
        needs=_LAG,
    ),
    Output(
        name="temperature_change",
        title="change of the true air temperature",
        dimension="temperature difference",
        unit="K",
        about="after less before",
        decimals=1,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="above_ambient",
        title="rise of the inlet air above ambient, after",
        dimension="temperature difference",
        unit="K",
        about="how much warmer than outside it comes in",
        decimals=1,
        needs=_READ,
    ),
    Output(
        name="density_before",
        title="dry-air density before",
        dimension="density",
        unit="kg/m³",
        about="density of dry air before",
        decimals=4,
        needs=_DENSITY,
    ),
    Output(
        name="density_after",
        title="dry-air density after",
        dimension="density",
        unit="kg/m³",
        about="density of dry air after",
        decimals=4,
        needs=_DENSITY,
    ),
    Output(
        name="density_change",
        title="change of the air density",
        dimension="ratio",
        unit="%",
        about="at constant pressure",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="power_change_density_rule",
        title="power change by the density rule",
        dimension="ratio",
        unit="%",
        about="in proportion to density",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="power_change_square_root_rule",
        title="power change by the square-root rule",
        dimension="ratio",
        unit="%",
        about="in proportion to 1/√T",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="reynolds_number",
        title="Reynolds number in the duct",
        dimension="ratio",
        unit="",
        about="Reynolds number in the duct",
        decimals=0,
        needs=_WALL,
    ),
    Output(
        name="heat_transfer_coefficient",
        title="mean heat transfer coefficient, wall to air",
        dimension="heat transfer coefficient",
        unit="W/(m²·K)",
        about="wall to air, mean",
        decimals=1,
        needs=_WALL,
    ),
    Output(
        name="transfer_units",
        title="number of transfer units of the duct",
        dimension="ratio",
        unit="",
        about="number of transfer units of the duct",
        decimals=4,
        needs=_WALL,
    ),
    Output(
        name="heat_picked_up",
        title="heat flow into the air along the duct",
        dimension="power",
        unit="W",
        decimals=0,
        needs=_DUCT,
    ),
    Output(
        name="duct_warming",
        title="warming of the air along the duct",
        dimension="temperature difference",
        unit="K",
        decimals=2,
        needs=_DUCT,
    ),
    Output(
        name="duct_outlet_temperature",
        title="air temperature at the end of the duct",
        dimension="temperature",
        unit="°C",
        about="air temperature at the end of the duct",
        decimals=1,
        needs=_DUCT,
    ),
    Output(
        name="duct_power_change_density_rule",
        title="power change by duct warming, density rule",
        dimension="ratio",
        unit="%",
        about="in proportion to density",
        decimals=2,
        is_change=True,
        needs=_DUCT,
    ),
    Output(
        name="duct_power_change_square_root_rule",
        title="power change by duct warming, square-root rule",
        dimension="ratio",
        unit="%",
        about="in proportion to 1/√T",
        decimals=2,
        is_change=True,
        needs=_DUCT,
    ),
)

SOURCES = (
    Source(id="ideal-gas", title="Ideal gas law", standing="derived"),
    Source(
        id="density-rule",
        title="Power in proportion to the density of the air at the inlet",
        standing="common practice, no source",
    ),
    Source(
        id="square-root",
        title="SAE J1349 (June 1990); DIN 70020",
        publisher="SAE; DIN",
        where="temperature terms √((T + 273)/298) and √((273 + T)/293), as operators of test beds quote them",
    ),
    Source(
        id="iso-1585",
        title="Road vehicles: engine test code, net power",
        publisher="ISO",
        edition="ISO 1585",
        where="exponents 1.2 of the pressure and 0.6 of the temperature, as a public script of it has them",
    ),
    Source(
        id="road-tests",
        title="Comparison of engine power correction factors for varying atmospheric conditions, J. R. Sodré "
        "and S. M. C. Soares",
        edition="2003",
        where="abstract: of DIN 70020, SAE J1349, JIS D 1001 and ISO 1585, SAE J1349 was nearest to the "
        "times that a car took on the road",
    ),
    Source(
        id="iec-60584",
        title="Thermocouples: EMF specifications and tolerances",
        publisher="IEC",
        edition="IEC 60584",
        where="class 1 of types J, K and N from −40 to 375 °C: ±1.5 °C, as makers of sensors print it",
    ),
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 51 and 53, viscosity and conductivity, as the source code of poliastro has them "
        "(atmosphere/coesa76.py, read)",
    ),
    Source(
        id="moran",
        title="Fundamentals of Engineering Thermodynamics",
        publisher="Moran and Shapiro",
        where="Table A-21, as public code quotes its five coefficients of air (read)",
    ),
    Source(
        id="gnielinski",
        title="New equations for heat and mass transfer in turbulent pipe and channel flow",
        publisher="V. Gnielinski",
        edition="Int. Chem. Eng. 16 (1976) 359–368",
        where="with Petukhov's friction, as the library ht 1.2.0 documents it, and Hausen's entrance factor",
    ),
    Source(
        id="gnielinski-2013",
        title="On heat transfer in tubes",
        publisher="V. Gnielinski",
        edition="Int. J. Heat Mass Transfer 63 (2013) 134–140",
        where="abstract: linear between Re 2300 and 4000; new measurements confirm the turbulent equation",
    ),
    Source(
        id="hausen",
        title="Darstellung des Wärmeüberganges in Rohren durch verallgemeinerte Potenzbeziehungen",
        publisher="H. Hausen",
        edition="Z. VDI Beih. Verfahrenstechnik 4 (1943) 91–98",
        where="laminar thermal entrance, as the library ht 1.2.0 documents it",
    ),
    Source(id="energy", title="Energy balance of steady flow", standing="derived"),
    Source(
        id="first-order",
        title="Glossary of Meteorology, time constant",
        publisher="American Meteorological Society",
        where="responses exponential to step changes: 63.2 % after one",
    ),
    Source(
        id="practice",
        title="Sensors, walls and hoses of intakes",
        standing="common practice, no source",
    ),
)

_DENSITY_RULE = Doubt(
    name="density_rule",
    about="the exponent of temperature is 1 in it, and 0.5 or 0.6 in the standards: it may be half of that",
    source="road-tests",
    formula="density-rule",
    relative=0.5,
    limits=True,
    range="full load, no knock",
)
_ROOT_RULE = Doubt(
    name="square_root_rule",
    about="the exponent of temperature is 0.5 in one standard and 0.6 in another",
    source="iso-1585",
    formula="square-root",
    relative=0.2,
    limits=True,
    range="full load, no knock",
)
_TURBULENT = Doubt(
    name="heat_transfer_turbulent",
    about="spread of measurements on smooth straight tubes",
    source="gnielinski-2013",
    formula="gnielinski",
    relative=0.1,
    range="Re 4000 to 5 000 000; the size from memory",
)
_SLOW = Doubt(
    name="heat_transfer_slow",
    about="entrance, bends and still air about the wall",
    source="practice",
    formula="hausen",
    relative=0.3,
    range="below Re 4000",
)
_CORRUGATED = Doubt(
    name="heat_transfer_corrugated",
    about="ribs and bends raise the heat transfer by up to half",
    source="practice",
    formula="gnielinski",
    relative=0.5,
    limits=True,
    range="hoses with ribs, close bends",
)

DOUBTS = (
    _READING,
    _TIME_CONSTANT,
    _WALL_TEMPERATURE,
    _DENSITY_RULE,
    _ROOT_RULE,
    _TURBULENT,
    _SLOW,
    _CORRUGATED,
)

HAZARDS = ("hot-parts", "spinning-parts", "road-testing")


_COLDER_BY = 2.0
"""How much colder than the weather a reading may be, in K: two thermometers differ by that."""


def _true_temperatures(given: Mapping[str, Any], working: Working, outputs: Outputs) -> tuple[float, float]:
    """The two temperatures, without the sensor's lag where its time constant is given."""
    readings: tuple[float, float] = (given["temperature_before"], given["temperature_after"])
    rates = [name for name in ("rate_before", "rate_after") if name in given]
    if "sensor_time_constant" not in given:
        if rates:
            raise MissingInput(
                "sensor_time_constant", f"{rates[0]} without it", "the time constant of the sensor"
            )
        return readings
    true: list[float] = []
    for when, reading in zip(("before", "after"), readings, strict=True):
        if f"rate_{when}" not in given:
            raise MissingInput(
                f"rate_{when}",
                "sensor_time_constant without it",
                "the rate at which the reading changed",
                help="write 0 K/s for a reading that stood still",
            )
        name = f"true_temperature_{when}"
        outputs[name] = working.step(
            name,
            duct_heat.reading_without_lag,
            source="first-order",
            reading=reading,
            time_constant=given["sensor_time_constant"],
            rate=given[f"rate_{when}"],
        )
        true.append(float(outputs[name]))  # type: ignore[arg-type]
    read, corrected = readings[1] - readings[0], true[1] - true[0]
    if abs(corrected - read) > abs(read):
        raise OutOfRange(
            "sensor_time_constant",
            f"a correction of {abs(corrected - read):.1f} K on a change of {abs(read):.1f} K that was read",
            "a correction smaller than the change",
            help="read once the sensor has come to rest, or with a quicker one: this reports the correction",
        )
    working.remark(
        said("The readings are corrected for the sensor's lag, as well as its time constant is known.")
    )
    return true[0], true[1]


def _not_below_ambient(given: Mapping[str, Any], true: tuple[float, float]) -> None:
    """Refuse a temperature that is colder than the weather by more than thermometers differ."""
    ambient = given["ambient_temperature"]
    for when, temperature in zip(("before", "after"), true, strict=True):
        if temperature < ambient - _COLDER_BY:
            corrected = "sensor_time_constant" in given
            raise OutOfRange(
                f"rate_{when}" if corrected else f"temperature_{when}",
                f"a temperature of {temperature - 273.15:.1f} °C" + (" without the lag" if corrected else ""),
                f"not below the air outside, {ambient - 273.15:.1f} °C",
                help="nothing in a car cools the air below the weather: check the readings, the rates and "
                "their signs, and whether it was the same day",
            )


def _rules(before: float, after: float, prefix: str, density_name: str, working: Working) -> dict[str, float]:
    """Change of power between two temperatures by both rules."""
    density = working.step(
        density_name,
        engine_air.density_change_with_temperature,
        source="ideal-gas",
        temperature_before=before,
        temperature_after=after,
    )
    by_density = working.step(
        f"{prefix}power_change_density_rule",
        engine_air.power_change_density_rule,
        source=_DENSITY_RULE,
        density_change=density,
    )
    by_root = working.step(
        f"{prefix}power_change_square_root_rule",
        engine_air.power_change_square_root_rule,
        source=_ROOT_RULE,
        temperature_before=before,
        temperature_after=after,
    )
    return {
        density_name: density,
        f"{prefix}power_change_density_rule": by_density,
        f"{prefix}power_change_square_root_rule": by_root,
    }


def _duct(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Warming along the duct, where the duct is given."""
    wall = ("wall_temperature", "duct_diameter", "duct_length")
    named = [name for name in (*_DUCT, "heat", *wall) if name in given]
    if not named:
        return
    if "heat" in given and (also := [name for name in wall if name in given]):
        raise InputsConflict(also[0], "heat as well", "heat, or the wall with its bore and length")
    wanted = _DUCT if "heat" in given else _WALL
    for name in wanted:
        if name not in given:
            expected = "it, or heat without a wall" if name in wall else "it"
            raise MissingInput(name, f"{named[0]} without {name}", expected)
    inlet, flow = given["duct_inlet_temperature"], given["air_mass_flow"]
    heat_capacity = working.step("specific_heat", air.specific_heat, source="moran", temperature=inlet)
    if "heat" in given:
        warming = working.step(
            "duct_warming",
            duct_heat.warming_by_heat,
            source="energy",
            heat=given["heat"],
            mass_flow=flow,
            specific_heat=heat_capacity,
        )
        outputs["heat_picked_up"] = given["heat"]
        if not -60 <= warming <= 150:
            raise OutOfRange(
                "heat",
                f"a warming of {warming:.0f} K",
                "−60 to 150 K",
                help="no duct does that: check the heat and air_mass_flow",
            )
    else:
        warming = _by_wall(given, heat_capacity, working, outputs)
        outputs["heat_picked_up"] = working.step(
            "heat_picked_up",
            duct_heat.heat_taken_up,
            source="energy",
            mass_flow=flow,
            specific_heat=heat_capacity,
            warming=warming,
        )
    outputs["duct_warming"] = warming
    outlet = outputs["duct_outlet_temperature"] = working.step(
        "duct_outlet_temperature",
        duct_heat.temperature_after,
        source="energy",
        inlet_temperature=inlet,
        warming=warming,
    )
    changes = _rules(inlet, outlet, prefix="duct_", density_name="duct_density_change", working=working)
    outputs.update({name: value for name, value in changes.items() if name != "duct_density_change"})


def _by_wall(given: Mapping[str, Any], heat_capacity: float, working: Working, outputs: Outputs) -> float:
    """Warming by a wall of one temperature; properties of the air as it enters."""
    inlet, flow = given["duct_inlet_temperature"], given["air_mass_flow"]
    diameter, length = given["duct_diameter"], given["duct_length"]
    if length < diameter:
        raise OutOfRange(
            "duct_length",
            f"{length:.3f} m",
            f"at least one bore, {diameter:.3f} m",
            help="shorter than that it is an opening, not a duct",
        )
    viscosity = working.step("dynamic_viscosity", air.dynamic_viscosity, source="us-1976", temperature=inlet)
    conductivity = working.step(
        "thermal_conductivity", air.thermal_conductivity, source="us-1976", temperature=inlet
    )
    reynolds = working.step(
        "reynolds_number",
        duct_heat.reynolds_number,
        source="energy",
        mass_flow=flow,
        diameter=diameter,
        dynamic_viscosity=viscosity,
    )
    if reynolds > 5e6:
        raise OutOfRange(
            "air_mass_flow",
            f"a Reynolds number of {reynolds:.0f}",
            "at most 5 000 000",
            help="the heat transfer was not measured beyond that: check the flow and the bore",
        )
    prandtl = working.step(
        "prandtl_number",
        duct_heat.prandtl_number,
        source="energy",
        dynamic_viscosity=viscosity,
        specific_heat=heat_capacity,
        thermal_conductivity=conductivity,
    )
    nusselt = _nusselt(given, reynolds, prandtl, working)
    doubt = _TURBULENT if reynolds >= 4000 else _SLOW
    coefficient = working.step(
        "heat_transfer_coefficient",
        duct_heat.heat_transfer_coefficient,
        source=_CORRUGATED if given["duct_wall"] == "corrugated" else doubt,
        nusselt_number=nusselt,
        thermal_conductivity=conductivity,
        diameter=diameter,
    )
    units = working.step(
        "transfer_units",
        duct_heat.transfer_units,
        source="energy",
        heat_transfer_coefficient=coefficient,
        diameter=diameter,
        length=length,
        mass_flow=flow,
        specific_heat=heat_capacity,
    )
    outputs.update(reynolds_number=reynolds, heat_transfer_coefficient=coefficient, transfer_units=units)
    return working.step(
        "duct_warming",
        duct_heat.warming_by_wall,
        source="energy",
        wall_temperature=given["wall_temperature"],
        inlet_temperature=inlet,
        transfer_units=units,
    )


def _nusselt(given: Mapping[str, Any], reynolds: float, prandtl: float, working: Working) -> float:
    """Nusselt number of laminar, turbulent or what flow is between them."""
    place = {"diameter": given["duct_diameter"], "length": given["duct_length"], "prandtl_number": prandtl}
    if reynolds < 4000:
        working.remark(
            said(
                "The air is slow, at a Reynolds number of {reynolds}: the heat that it takes up is rough.",
                reynolds=f"{reynolds:.0f}",
            )
        )
    laminar = turbulent = 0.0
    if reynolds < 4000:
        laminar = working.step(
            "laminar_nusselt_number" if reynolds > 2300 else "nusselt_number",
            duct_heat.laminar_nusselt_number,
            source="hausen",
            reynolds_number=min(reynolds, 2300.0),
            **place,
        )
    if reynolds <= 2300:
        return laminar
    at = max(reynolds, 4000.0)
    friction = working.step(
        "friction_factor", duct_heat.smooth_friction_factor, source="gnielinski", reynolds_number=at
    )
    turbulent = working.step(
        "nusselt_number" if reynolds >= 4000 else "turbulent_nusselt_number",
        duct_heat.nusselt_number,
        source="gnielinski",
        friction_factor=friction,
        reynolds_number=at,
        **place,
    )
    if reynolds >= 4000:
        return turbulent
    return working.step(
        "nusselt_number",
        duct_heat.transition_nusselt_number,
        source="gnielinski-2013",
        reynolds_number=reynolds,
        laminar=laminar,
        turbulent=turbulent,
    )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Change of density and power, warming along the duct and the sensor's lag of one case; SI in, SI out."""
    outputs: Outputs = {}
    if "ambient_temperature" in given and not _READINGS & given.keys():
        raise MissingInput(
            "temperature_before",
            "ambient_temperature without readings",
            "temperature_before and temperature_after",
            help="it is what two readings are compared with; for a duct alone leave it out, and give the "
            "air that enters the duct as duct_inlet_temperature",
        )
    read = given_together(given, _READ, "a change is between two readings")
    for name in ("inlet_pressure", "sensor_time_constant", "rate_before", "rate_after"):
        given_together(given, (name,), "it is about the readings", "temperature_before")
    if read:
        _readings(given, working, outputs)
    elif not any(name in given for name in _DUCT):
        raise MissingInput(
            "temperature_before",
            "neither readings nor a duct",
            "temperature_before or air_mass_flow",
            help="two readings of the inlet temperature, a duct with its air, or both",
        )
    _duct(given, working, outputs)
    return outputs


def _readings(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Change of density and power between the two readings."""
    before, after = _true_temperatures(given, working, outputs)
    _not_below_ambient(given, (before, after))
    working.remark(
        said(
            "Two readings are not a log: load, speed and what had soaked before are taken to be alike for "
            "both."
        )
    )
    outputs["above_ambient"] = working.step(
        "above_ambient",
        duct_heat.temperature_difference,
        source="energy",
        temperature_before=given["ambient_temperature"],
        temperature_after=after,
    )
    working.limit(
        "above_ambient",
        least=0.0,
        says=said("The air comes in hardly warmer than outside, or colder, which nothing in a car makes it."),
    )
    outputs["temperature_change"] = working.step(
        "temperature_change",
        duct_heat.temperature_difference,
        source="energy",
        temperature_before=before,
        temperature_after=after,
    )
    if (pressure := given.get("inlet_pressure")) is not None:
        for name, temperature in (("density_before", before), ("density_after", after)):
            outputs[name] = working.step(
                name, air.dry_air_density, source="ideal-gas", pressure=pressure, temperature=temperature
            )
    outputs.update(_rules(before, after, prefix="", density_name="density_change", working=working))


def _rule(label: str, temperatures: list[float], changes: list[float], style: int, doubt: Doubt) -> Series:
    """A rule over the inlet temperature, with its own doubt as a band."""
    spread = [2 * doubt.standard(change) for change in changes]
    return Series(
        label=label,
        x=temperatures,
        y=changes,
        style=style,
        low=[change - off for change, off in zip(changes, spread, strict=True)],
        high=[change + off for change, off in zip(changes, spread, strict=True)],
    )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Power against inlet temperature by both rules, as a change against each case's temperature before.

    Where no readings are given, the change is that along the duct.
    """
    starts: dict[float, list[tuple[str, float, float]]] = {}
    for name, case in cases.items():
        if "temperature_before" in case.inputs:
            before = case.outputs.get("true_temperature_before", case.inputs["temperature_before"])
            after = case.outputs.get("true_temperature_after", case.inputs["temperature_after"])
            root = case.outputs["power_change_square_root_rule"]
        else:
            before, after = case.inputs["duct_inlet_temperature"], case.outputs["duct_outlet_temperature"]
            root = case.outputs["duct_power_change_square_root_rule"]
        starts.setdefault(before, []).append((name, after, root))
    series: list[Series] = []
    markers: list[Marker] = []
    for start, (before, ends) in enumerate(starts.items()):
        low = min(before, *(after for _, after, _ in ends)) - 5
        high = max(before, *(after for _, after, _ in ends)) + 5
        temperatures = [low + (high - low) * step / 40 for step in range(41)]
        which = f", {ends[0][0]}" if len(starts) > 1 else ""
        density = [engine_air.density_change_with_temperature(before, after) for after in temperatures]
        root = [engine_air.power_change_square_root_rule(before, after) for after in temperatures]
        series.append(_rule(f"density rule{which}", temperatures, density, 2 * start, _DENSITY_RULE))
        series.append(_rule(f"square-root rule{which}", temperatures, root, 2 * start + 1, _ROOT_RULE))
        markers += [Marker(name or "after", x=after, y=change) for name, after, change in ends]
    given = [case.inputs for case in cases.values()]
    outside = {float(one["ambient_temperature"]) for one in given if "ambient_temperature" in one}
    markers += [Marker("outside", x=temperature) for temperature in sorted(outside)]
    return ChartSpec(
        title="Power against inlet temperature",
        description="Change in power against inlet temperature, by the density rule and by the "
        "square-root rule. Both fall as the air gets hotter, the density rule about twice as steeply. The "
        "bands are the rules' own doubts.",
        x=Axis("inlet temperature", "temperature", "°C"),
        y=Axis("change in power", "ratio", "%"),
        series=tuple(series),
        markers=tuple(markers),
    )
