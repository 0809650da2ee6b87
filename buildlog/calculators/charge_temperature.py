"""What cooler air at the inlet is worth, what heat the duct adds, and what a slow sensor hides.

**Before and after.** Give the inlet temperature measured with the old inlet and with the new one, at
the same place, load and speed, and on the same day. The block gives the change in density at constant
pressure and the change in power by two rules, because they differ by a factor of about two:

- the **density rule**: power in proportion to density at the inlet, 3.2 % for 10 K. It is right
  where the air reaches the cylinder as it was measured, and overstates where the ports and the walls
  warm cold air more than hot air;
- the **square-root rule**: power in proportion to 1/√T, 1.6 % for 10 K, the form of the correction
  formulae of SAE J1349 and DIN 70020 for engines on the bench. It is the one to quote when only one is
  quoted.

Both are for full load at a fixed throttle and mixture. Neither knows of knock: an engine that retards its
ignition when hot gains more.

**Heat along the duct.** With the air's mass flow (from `ram_air`, say) the block gives how much a duct
warms the air, with the two readings or without: either from a known `heat`, or from the temperature of its
inner wall, its bore and its length. The heat transfer is that of turbulent flow in a smooth straight tube
with its entrance (Gnielinski 1976, within about 10 %). Bends and corrugations raise it, by up to half as much
again (common practice, no source); a wall much hotter than the air lowers it by up to a tenth. The wall is
taken at one temperature: measure it with a thermocouple under tape, at the end of a run. At full flow the
air is quick and takes up little; at idle and in a queue the same duct makes it hot.

**Sensor lag.** A thermometer in air follows with a time constant τ: after one τ it has made 63 % of a step.
While the reading still falls at some rate, the air is already colder by τ times that rate. Give
`sensor_time_constant` and the rate of each reading from the log (a fitted slope over about one τ, not the
difference of two samples: noise is multiplied by τ). Write `0 K/s` for a reading that stood still.

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

KIND = "charge_temperature"

_AIR = Number(
    dimension="temperature",
    unit="°C",
    low=-40,
    high=150,
    why="air in the intake of an engine without a supercharger",
)
_RATE = Number(dimension="temperature rate", unit="K/s", low=-20, high=20, why="readings of intake sensors")

INPUTS = (
    Input(
        name="temperature_before",
        form=_AIR,
        about="inlet temperature as read with the old arrangement",
        required=False,
    ),
    Input(
        name="temperature_after",
        form=_AIR,
        about="inlet temperature as read with the new one",
        required=False,
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
)

_READ = ("temperature_before", "temperature_after")
_LAG = (*_READ, "sensor_time_constant", "rate_before", "rate_after")
_DENSITY = (*_READ, "inlet_pressure")
_DUCT = ("duct_inlet_temperature", "air_mass_flow")
_WALL = (*_DUCT, "wall_temperature", "duct_diameter", "duct_length")
OUTPUTS = (
    Output(
        name="true_temperature_before",
        dimension="temperature",
        unit="°C",
        about="first reading without the sensor's lag",
        decimals=1,
        needs=_LAG,
    ),
    Output(
        name="true_temperature_after",
        dimension="temperature",
        unit="°C",
        about="second reading without the sensor's lag",
        decimals=1,
        needs=_LAG,
    ),
    Output(
        name="temperature_change",
        dimension="temperature difference",
        unit="K",
        about="after less before, without lag",
        decimals=1,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="density_before",
        dimension="density",
        unit="kg/m³",
        about="density of dry air before",
        decimals=4,
        needs=_DENSITY,
    ),
    Output(
        name="density_after",
        dimension="density",
        unit="kg/m³",
        about="density of dry air after",
        decimals=4,
        needs=_DENSITY,
    ),
    Output(
        name="density_change",
        dimension="ratio",
        unit="%",
        about="change in density at constant pressure",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="power_change_density_rule",
        dimension="ratio",
        unit="%",
        about="change in power, in proportion to density",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="power_change_square_root_rule",
        dimension="ratio",
        unit="%",
        about="change in power, in proportion to 1/√T",
        decimals=2,
        is_change=True,
        needs=_READ,
    ),
    Output(
        name="reynolds_number",
        dimension="ratio",
        unit="",
        about="Reynolds number in the duct",
        decimals=0,
        needs=_WALL,
    ),
    Output(
        name="heat_transfer_coefficient",
        dimension="heat transfer coefficient",
        unit="W/(m²·K)",
        about="wall to air, mean",
        decimals=1,
        needs=_WALL,
    ),
    Output(
        name="transfer_units",
        dimension="ratio",
        unit="",
        about="number of transfer units of the duct",
        decimals=4,
        needs=_WALL,
    ),
    Output(
        name="heat_picked_up",
        dimension="power",
        unit="W",
        about="heat that the air takes up along the duct",
        decimals=0,
        needs=_DUCT,
    ),
    Output(
        name="duct_warming",
        dimension="temperature difference",
        unit="K",
        about="warming of the air along it",
        decimals=2,
        needs=_DUCT,
    ),
    Output(
        name="duct_outlet_temperature",
        dimension="temperature",
        unit="°C",
        about="air temperature at the end of the duct",
        decimals=1,
        needs=_DUCT,
    ),
    Output(
        name="duct_power_change_density_rule",
        dimension="ratio",
        unit="%",
        about="what that warming costs, by density",
        decimals=2,
        is_change=True,
        needs=_DUCT,
    ),
    Output(
        name="duct_power_change_square_root_rule",
        dimension="ratio",
        unit="%",
        about="what that warming costs, by 1/√T",
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
        title="DIN 70020; SAE J1349 (June 1990)",
        publisher="DIN; SAE",
        where="temperature terms √(T/293) and √(T/298); from secondary quotes",
        standing="from memory",
    ),
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 51 and 53, viscosity and conductivity",
        standing="from memory",
    ),
    Source(
        id="moran",
        title="Fundamentals of Engineering Thermodynamics",
        publisher="Moran and Shapiro",
        where="Table A-21",
        standing="from memory",
    ),
    Source(
        id="gnielinski",
        title="New equations for heat and mass transfer in turbulent pipe and channel flow",
        publisher="V. Gnielinski",
        edition="Int. Chem. Eng. 16 (1976) 359–368",
        where="with Petukhov's friction factor and the entrance factor",
        standing="from memory",
    ),
    Source(id="energy", title="Energy balance of steady flow", standing="derived"),
    Source(
        id="first-order",
        title="Measurement Systems",
        publisher="E. O. Doebelin",
        edition="4th ed. (McGraw-Hill, 1990)",
        where="3.3, first-order instrument",
        standing="from memory",
    ),
)

HAZARDS = ("hot-parts", "spinning-parts", "road-testing")


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
    true = []
    for when, reading in zip(("before", "after"), readings, strict=True):
        if f"rate_{when}" not in given:
            raise MissingInput(
                f"rate_{when}",
                "sensor_time_constant without it",
                "the rate at which the reading changed",
                help="write 0 K/s for a reading that stood still",
            )
        name = f"true_temperature_{when}"
        temperature = working.step(
            name,
            duct_heat.reading_without_lag,
            source="first-order",
            reading=reading,
            time_constant=given["sensor_time_constant"],
            rate=given[f"rate_{when}"],
        )
        if not 223.15 <= temperature <= 473.15:
            raise OutOfRange(
                f"rate_{when}",
                f"a true temperature of {temperature - 273.15:.0f} °C",
                "−50 to 200 °C",
                help="the rate or the time constant is too large, or their signs are wrong",
            )
        outputs[name] = temperature
        true.append(temperature)
    working.remark("The readings are corrected for the sensor's lag, as well as its time constant is known.")
    return true[0], true[1]


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
        source="density-rule",
        density_change=density,
    )
    by_root = working.step(
        f"{prefix}power_change_square_root_rule",
        engine_air.power_change_square_root_rule,
        source="square-root",
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
    if not 3000 <= reynolds <= 5e6:
        raise OutOfRange(
            "air_mass_flow",
            f"a Reynolds number of {reynolds:.0f}",
            "3000 to 5 000 000",
            help="the heat transfer is that of turbulent flow: raise the flow, or give heat instead",
        )
    prandtl = working.step(
        "prandtl_number",
        duct_heat.prandtl_number,
        source="energy",
        dynamic_viscosity=viscosity,
        specific_heat=heat_capacity,
        thermal_conductivity=conductivity,
    )
    friction = working.step(
        "friction_factor", duct_heat.smooth_friction_factor, source="gnielinski", reynolds_number=reynolds
    )
    nusselt = working.step(
        "nusselt_number",
        duct_heat.nusselt_number,
        source="gnielinski",
        friction_factor=friction,
        reynolds_number=reynolds,
        prandtl_number=prandtl,
        diameter=diameter,
        length=length,
    )
    coefficient = working.step(
        "heat_transfer_coefficient",
        duct_heat.heat_transfer_coefficient,
        source="gnielinski",
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


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Change of density and power, warming along the duct and the sensor's lag of one case; SI in, SI out."""
    outputs: Outputs = {}
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
        series.append(Series(label=f"density rule{which}", x=temperatures, y=density, style=2 * start))
        series.append(Series(label=f"square-root rule{which}", x=temperatures, y=root, style=2 * start + 1))
        markers += [Marker(name or "after", x=after, y=change) for name, after, change in ends]
    return ChartSpec(
        title="Power against inlet temperature",
        description="Change in power against inlet temperature, by the density rule and by the "
        "square-root rule. Both "
        "fall as the air gets hotter, the density rule about twice as steeply.",
        x=Axis("inlet temperature", "temperature", "°C"),
        y=Axis("change in power", "ratio", "%"),
        series=tuple(series),
        markers=tuple(markers),
    )
