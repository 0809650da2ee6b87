"""What a scoop facing the wind brings to the engine's box, and what it cannot.

Air brought to rest rises in pressure by about ρv²/2: 1.2 kPa at 100 mph (161 km/h), a fifth of a psi.
That is all there is. The block works out the ambient air, this ram pressure over the speeds asked for
(compressible form), what is left of it in the box after the opening's recovery and the loss on the
way, what the scoop can catch against what the engine draws, the gain in density and a bound on the
gain in power.

**Measuring the inputs.** Take the barometer where the car runs (`ambient_pressure`); weather reports
are reduced to sea level and read too high inland. With `altitude` the pressure is that of the standard
atmosphere, within about ±3 % on a given day. Measure the opening at its narrowest, square to the
flow. The best recovery is a measured one: a manometer or a differential sensor from the box to a still
place in the cabin at a steady speed. If it is measured so in the box with the engine drawing air, the
losses are in it: then give `pressure_loss: 0 Pa`. Otherwise give the loss, either as a pressure at the
engine's flow or as the sum of loss coefficients on the velocity in a duct of `duct_diameter` (entry,
bends, filter and the dump into the box, which alone costs 1.0; the kind `duct` works it out piece by
piece).

| opening | recovery | source |
|---|---|---|
| whole of the ram pressure, no loss | 1 | definition; a Pitot tube |
| forward-facing, in clean air | 0.5–0.9 | common practice, no source |
| flush with a panel | falls as the boundary layer thickens | NACA RM A7I30 (1948), summary |
| in the wake, or over a crest of the body | 0 or below: not for this block | common practice, no source |

**What is assumed.** Volumetric efficiency refers to the ambient air, and the engine's draw is taken
at ambient density: the error is the size of the density gain, a per cent or two. The engine speed is
the one given at every road speed. Air brought to rest also warms up (1.0 K at 100 mph), which takes
back two sevenths of the gain in density; heat from the bay comes on top and is often larger: see the
kind `charge_temperature`. Below the speed at which the scoop keeps up, the engine sucks the missing
air in past the lip; a sharp lip then loses more than the recovery measured at full catch says. Above it
the surplus spills, and a larger scoop gives no more pressure, only more drag.

**The bound on power.** `density_gain` is also the trade's plain rule, power in proportion to density
at the box. It is not a bound: friction does not grow with the charge, so that brake power may change by
more. `power_gain_bound` is the rise of pressure alone, as if nothing warmed the air, divided by the
mechanical efficiency (the split between indicated power and friction of SAE J1349). No engine gains
more from this cause; the gain to expect lies below. It is 0 where the box is below ambient, and it
compares with an inlet that stands at ambient pressure. A mixture that is not corrected, or a tuned
intake put out of tune, can make a loss of it.

```yaml
id: nose-scoop
kind: ram_air
inputs:
  speed: [80 km/h, 120 km/h, 160 km/h]
  top_speed: 200 km/h
  altitude: 650 m
  ambient_temperature: 18 °C
  relative_humidity: 55 %
  recovery: 0.75
  engine_displacement: 1998 cm³
  engine_speed: 7400 rpm
  volumetric_efficiency: 96 %
cases:
  before: {scoop_diameter: 60 mm, loss_coefficient: 2.6, duct_diameter: 60 mm}
  after: {scoop_area: 95 cm², loss_coefficient: 1.8, duct_diameter: 80 mm}
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
    Listed,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Working,
)
from buildlog.kinds.keys import value_keys
from buildlog.physics import air, compressible, engine_air, scoop

KIND = "ram_air"

_SPEED = Number(
    dimension="speed",
    unit="km/h",
    low=10,
    high=450,
    why="road cars; below 10 km/h there is no ram to speak of",
)
_BORE = Number(dimension="length", unit="mm", low=10, high=500, why="openings and hoses of car intakes")

INPUTS = (
    Input(name="speed", form=Listed(_SPEED, 1, 12), about="road speeds of interest, in still air"),
    Input(
        name="top_speed",
        form=_SPEED,
        about="how far the chart reaches; the highest of speed if left out",
        required=False,
    ),
    Input(
        name="altitude",
        form=Number(
            dimension="length", unit="m", low=-430, high=5900, why="lowest and highest roads of the world"
        ),
        about="height above sea level, for the standard pressure; or give ambient_pressure",
        required=False,
    ),
    Input(
        name="ambient_pressure",
        form=Number(
            dimension="pressure", unit="hPa", low=450, high=1085, why="lowest to highest on any road"
        ),
        about="barometer as it reads at the place, not reduced to sea level",
        required=False,
    ),
    Input(
        name="ambient_temperature",
        form=Number(
            dimension="temperature", unit="°C", low=-40, high=50, why="range of the vapour pressure formula"
        ),
        about="air temperature away from the car, in the shade",
    ),
    Input(
        name="relative_humidity",
        form=Number(dimension="ratio", unit="%", low=0, high=100, why="by definition"),
        about="relative humidity",
    ),
    Input(
        name="scoop_area",
        form=Number(dimension="area", unit="cm²", low=1, high=2000, why="openings of car intakes"),
        about="area of the opening, square to the flow; or give scoop_diameter",
        required=False,
    ),
    Input(
        name="scoop_diameter",
        form=_BORE,
        about="diameter of a round opening, instead of scoop_area",
        required=False,
    ),
    Input(
        name="recovery",
        form=Number(
            dimension="ratio", unit="", low=0, high=1, why="more than the full ram pressure cannot arrive"
        ),
        about="share of the ram pressure that the opening recovers, before the loss to the box",
    ),
    Input(
        name="pressure_loss",
        form=Number(
            dimension="pressure", unit="kPa", low=0, high=20, why="a choked intake loses about 10 kPa"
        ),
        about="loss from the opening to the box at the engine's flow; or give loss_coefficient",
        required=False,
    ),
    Input(
        name="loss_coefficient",
        form=Number(
            dimension="ratio", unit="", low=0, high=50, why="bends, filter and dump of a very bad duct"
        ),
        about="sum of the loss coefficients on the velocity in the duct, instead of pressure_loss",
        required=False,
    ),
    Input(name="duct_diameter", form=_BORE, about="bore that loss_coefficient refers to", required=False),
    Input(
        name="engine_displacement",
        form=Number(dimension="volume", unit="l", low=0.05, high=9, why="car engines"),
        about="swept volume of all cylinders",
    ),
    Input(
        name="engine_speed",
        form=Number(
            dimension="rotational speed", unit="rpm", low=500, high=20_000, why="piston engines of cars"
        ),
        about="engine speed at which the draw is wanted",
    ),
    Input(
        name="volumetric_efficiency",
        form=Number(dimension="ratio", unit="%", low=30, high=140, why="engines without a supercharger"),
        about="air drawn over displacement, at ambient density (at full load commonly 85–105 %, no source)",
    ),
    Input(
        name="mechanical_efficiency",
        form=Number(dimension="ratio", unit="%", low=50, high=100, why="engines at full load"),
        about="brake over indicated power, for the bound on power",
        default="85 %",
        default_source="SAE J1349, where friction is not measured (from secondary quotes)",
    ),
)

OUTPUTS = (
    Output(
        name="ambient_pressure",
        dimension="pressure",
        unit="hPa",
        about="absolute pressure of the ambient air",
        decimals=1,
    ),
    Output(
        name="ambient_density",
        dimension="density",
        unit="kg/m³",
        about="density of the humid ambient air",
        decimals=4,
    ),
    Output(
        name="air_drawn",
        dimension="volume flow",
        unit="m³/s",
        about="air the engine draws, at ambient density",
        decimals=4,
    ),
    Output(name="air_mass_drawn", dimension="mass flow", unit="kg/s", about="the same as mass", decimals=4),
    Output(
        name="pressure_loss",
        dimension="pressure",
        unit="Pa",
        about="loss from the opening to the box at that flow",
        decimals=0,
    ),
    Output(
        name="duct_velocity",
        dimension="speed",
        unit="m/s",
        about="mean velocity in the duct",
        decimals=1,
        needs=("duct_diameter",),
    ),
    Output(
        name="keep_up_speed",
        dimension="speed",
        unit="km/h",
        about="road speed at which the scoop meets what the engine draws",
        decimals=1,
    ),
    Output(
        name="break_even_speed",
        dimension="speed",
        unit="km/h",
        about="road speed at which ram makes up the loss to the box",
        decimals=1,
    ),
    Output(name="dynamic_pressure", dimension="pressure", unit="Pa", about="ρv²/2", decimals=0, key="speed"),
    Output(
        name="ram_pressure",
        dimension="pressure",
        unit="Pa",
        about="stagnation pressure above ambient",
        decimals=0,
        key="speed",
    ),
    Output(
        name="box_pressure_rise",
        dimension="pressure",
        unit="Pa",
        about="pressure in the box above ambient",
        decimals=0,
        key="speed",
    ),
    Output(
        name="ram_heating",
        dimension="temperature difference",
        unit="K",
        about="warming of air brought to rest",
        decimals=2,
        key="speed",
    ),
    Output(
        name="air_caught",
        dimension="volume flow",
        unit="m³/s",
        about="air that meets the scoop, as ambient",
        decimals=4,
        key="speed",
    ),
    Output(
        name="capture_ratio",
        dimension="ratio",
        unit="",
        about="air caught over air drawn",
        decimals=2,
        key="speed",
    ),
    Output(
        name="density_gain",
        dimension="ratio",
        unit="%",
        about="density in the box against ambient",
        decimals=2,
        is_change=True,
        key="speed",
    ),
    Output(
        name="power_gain_bound",
        dimension="ratio",
        unit="%",
        about="upper bound on the gain in brake power",
        decimals=2,
        is_change=True,
        key="speed",
    ),
)

SOURCES = (
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 18, 23, 33a, Table 4; ISO 2533:1975 agrees",
        standing="from memory",
    ),
    Source(
        id="buck",
        title="New equations for computing vapor pressure and enhancement factor; coefficients of 1996",
        publisher="American Meteorological Society; Buck Research",
        edition="J. Appl. Meteorol. 20 (1981) 1527–1532; CR-1A User's Manual (1996)",
        where="Appendix 1",
    ),
    Source(id="ideal-gas", title="Ideal gas law and Dalton's law", standing="derived"),
    Source(
        id="naca-1135",
        title="Equations, tables, and charts for compressible flow",
        publisher="NACA",
        edition="Report 1135 (1953)",
        where="eqs. 43 and 44",
        standing="from memory",
    ),
    Source(
        id="heywood",
        title="Internal Combustion Engine Fundamentals",
        publisher="McGraw-Hill",
        edition="1988",
        where="2.10",
        standing="from memory",
    ),
    Source(id="continuity", title="Continuity and the balance of total pressure", standing="derived"),
    Source(
        id="naca-a7i30",
        title="An Experimental Investigation of the Design Variables for NACA Submerged Duct Entrances",
        publisher="NACA",
        edition="RM A7I30 (1948)",
        where="summary: the boundary layer has a large effect on pressure recovery",
    ),
    Source(
        id="j1349",
        title="SAE J1349, Engine Power Test Code",
        publisher="SAE",
        edition="June 1990",
        where="factor 1.18 c − 0.18 for a mechanical efficiency of 85 %; from secondary quotes",
        standing="from memory",
    ),
)

HAZARDS = ("intake-water", "road-testing", "noise-emissions")

# Ratio of specific heats of dry air. Water vapour lowers it by at most 0.006 on a hot, damp day, which
# changes the ram pressure of a road car by less than 0.01 %.
_HEAT_CAPACITY_RATIO = 1.4
_INCOMPRESSIBLE = 0.3


def _either(given: Mapping[str, Any], first: str, second: str) -> None:
    """Exactly one of two inputs."""
    if first not in given and second not in given:
        raise MissingInput(first, f"neither {first} nor {second}", "one of them")
    if first in given and second in given:
        raise InputsConflict(second, f"{first} as well", "one of the two", help="leave one out")


def _ambient(given: Mapping[str, Any], working: Working, outputs: Outputs) -> tuple[float, float]:
    """Ambient pressure and density."""
    _either(given, "altitude", "ambient_pressure")
    temperature = given["ambient_temperature"]
    if "ambient_pressure" in given:
        pressure: float = given["ambient_pressure"]
    else:
        height = working.step(
            "geopotential_altitude", air.geopotential_altitude, source="us-1976", altitude=given["altitude"]
        )
        standard = working.step(
            "standard_temperature", air.standard_temperature, source="us-1976", geopotential_altitude=height
        )
        pressure = working.step(
            "ambient_pressure", air.standard_pressure, source="us-1976", standard_temperature=standard
        )
    saturation = working.step(
        "saturation_vapour_pressure", air.saturation_vapour_pressure, source="buck", temperature=temperature
    )
    vapour = working.step(
        "vapour_pressure",
        air.vapour_pressure,
        source="buck",
        relative_humidity=given["relative_humidity"],
        saturation_vapour_pressure=saturation,
    )
    density = working.step(
        "ambient_density",
        air.humid_air_density,
        source="ideal-gas",
        pressure=pressure,
        temperature=temperature,
        vapour_pressure=vapour,
    )
    outputs["ambient_pressure"], outputs["ambient_density"] = pressure, density
    return pressure, density


def _loss(
    given: Mapping[str, Any], drawn: float, density: float, sound: float, working: Working, outputs: Outputs
) -> float:
    """Loss from the opening to the box at the engine's flow."""
    _either(given, "pressure_loss", "loss_coefficient")
    if "pressure_loss" in given:
        if "duct_diameter" in given:
            raise InputsConflict(
                "duct_diameter",
                "pressure_loss as well",
                "it with loss_coefficient only",
                help="leave duct_diameter out: a loss given as pressure needs no duct",
            )
        outputs["pressure_loss"] = given["pressure_loss"]
        return float(given["pressure_loss"])
    if "duct_diameter" not in given:
        raise MissingInput("duct_diameter", "loss_coefficient without it", "the bore it refers to")
    area = working.step("duct_area", scoop.circle_area, source="continuity", diameter=given["duct_diameter"])
    velocity = outputs["duct_velocity"] = working.step(
        "duct_velocity", scoop.mean_velocity, source="continuity", volume_flow=drawn, area=area
    )
    if velocity > (limit := _INCOMPRESSIBLE * sound):
        raise OutOfRange(
            "duct_diameter",
            f"a mean velocity of {velocity:.0f} m/s",
            f"at most Mach 0.3, {limit:.0f} m/s",
            help="the loss is computed as incompressible; a duct this small chokes the engine",
        )
    head = working.step(
        "duct_dynamic_pressure",
        compressible.dynamic_pressure,
        source="continuity",
        density=density,
        speed=velocity,
    )
    loss = outputs["pressure_loss"] = working.step(
        "pressure_loss",
        scoop.pressure_loss,
        source="continuity",
        loss_coefficient=given["loss_coefficient"],
        dynamic_pressure=head,
    )
    return loss


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Ram, catch, density and the bound on power of one case; SI in, SI out."""
    outputs: Outputs = {}
    highest = max(given["speed"])
    if (top := given.get("top_speed", highest)) < highest:
        raise InputsConflict(
            "top_speed",
            f"{top * 3.6:.1f} km/h",
            f"at least the highest of speed, {highest * 3.6:.1f} km/h",
            help="raise it, or leave it out",
        )
    _either(given, "scoop_area", "scoop_diameter")
    pressure, density = _ambient(given, working, outputs)
    temperature = given["ambient_temperature"]
    constant = working.step(
        "gas_constant",
        air.gas_constant,
        source="ideal-gas",
        pressure=pressure,
        density=density,
        temperature=temperature,
    )
    sound = working.step(
        "speed_of_sound",
        compressible.speed_of_sound,
        source="naca-1135",
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        gas_constant=constant,
        temperature=temperature,
    )
    drawn = outputs["air_drawn"] = working.step(
        "air_drawn",
        engine_air.air_demand,
        source="heywood",
        displacement=given["engine_displacement"],
        engine_speed=given["engine_speed"],
        volumetric_efficiency=given["volumetric_efficiency"],
    )
    outputs["air_mass_drawn"] = working.step(
        "air_mass_drawn", engine_air.mass_flow, source="heywood", density=density, volume_flow=drawn
    )
    area = given.get("scoop_area")
    if area is None:
        area = working.step(
            "scoop_area", scoop.circle_area, source="continuity", diameter=given["scoop_diameter"]
        )
    loss = _loss(given, drawn, density=density, sound=sound, working=working, outputs=outputs)
    outputs["keep_up_speed"] = working.step(
        "keep_up_speed", scoop.mean_velocity, source="continuity", volume_flow=drawn, area=area
    )
    _break_even(given["recovery"], loss, pressure=pressure, sound=sound, working=working, outputs=outputs)
    ambient = {"pressure": pressure, "density": density, "temperature": temperature}
    _per_speed(
        given, ambient, sound=sound, area=area, drawn=drawn, loss=loss, working=working, outputs=outputs
    )
    return outputs


def _break_even(
    recovery: float, loss: float, pressure: float, sound: float, working: Working, outputs: Outputs
) -> None:
    """Speed at which the box stands at ambient; left out where there is none below the speed of sound."""
    if recovery == 0 or loss / recovery > 0.85 * pressure:
        working.remark("At this recovery ram never makes up the loss to the box.")
        return
    needed = working.step(
        "stagnation_rise_needed",
        scoop.stagnation_rise_needed,
        source="continuity",
        pressure_loss=loss,
        recovery=recovery,
    )
    outputs["break_even_speed"] = working.step(
        "break_even_speed",
        compressible.speed_for_stagnation_rise,
        source="naca-1135",
        pressure_rise=needed,
        pressure=pressure,
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        speed_of_sound=sound,
    )


def _per_speed(
    given: Mapping[str, Any],
    ambient: Mapping[str, float],
    sound: float,
    area: float,
    drawn: float,
    loss: float,
    working: Working,
    outputs: Outputs,
) -> None:
    """Everything that depends on the road speed, by the values of `speed`."""
    pressure, temperature = ambient["pressure"], ambient["temperature"]
    table: dict[str, dict[str, float]] = {output.name: {} for output in OUTPUTS if output.key == "speed"}
    for key, speed in zip(value_keys("speed", given["speed"]), given["speed"], strict=True):
        table["dynamic_pressure"][key] = working.step(
            f"dynamic_pressure.{key}",
            compressible.dynamic_pressure,
            source="continuity",
            density=ambient["density"],
            speed=speed,
        )
        mach = working.step(
            f"mach_number.{key}",
            compressible.mach_number,
            source="naca-1135",
            speed=speed,
            speed_of_sound=sound,
        )
        ram = table["ram_pressure"][key] = working.step(
            f"ram_pressure.{key}",
            compressible.stagnation_pressure_rise,
            source="naca-1135",
            pressure=pressure,
            mach_number=mach,
            heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        )
        heating = table["ram_heating"][key] = working.step(
            f"ram_heating.{key}",
            compressible.stagnation_temperature_rise,
            source="naca-1135",
            temperature=temperature,
            mach_number=mach,
            heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        )
        rise = table["box_pressure_rise"][key] = working.step(
            f"box_pressure_rise.{key}",
            scoop.box_pressure_rise,
            source="continuity",
            recovery=given["recovery"],
            stagnation_pressure_rise=ram,
            pressure_loss=loss,
        )
        if rise <= -pressure / 2:
            name = "pressure_loss" if "pressure_loss" in given else "loss_coefficient"
            raise OutOfRange(
                name,
                f"a loss of {loss / 1000:.1f} kPa",
                "less than half the ambient pressure",
                help="no engine draws its full volume through such a duct",
            )
        caught = table["air_caught"][key] = working.step(
            f"air_caught.{key}", scoop.flow_caught, source="continuity", area=area, speed=speed
        )
        table["capture_ratio"][key] = working.step(
            f"capture_ratio.{key}",
            scoop.capture_ratio,
            source="continuity",
            flow_caught=caught,
            air_drawn=drawn,
        )
        table["density_gain"][key] = working.step(
            f"density_gain.{key}",
            engine_air.density_gain,
            source="ideal-gas",
            pressure=pressure,
            temperature=temperature,
            pressure_rise=rise,
            temperature_rise=heating,
        )
        table["power_gain_bound"][key] = working.step(
            f"power_gain_bound.{key}",
            engine_air.power_gain_bound,
            source="j1349",
            pressure_rise=rise,
            pressure=pressure,
            mechanical_efficiency=given["mechanical_efficiency"],
        )
    outputs.update(table)
    if min(table["box_pressure_rise"].values()) < 0:
        working.remark(
            "At some of the speeds the box is below ambient: the loss on the way is more than the ram "
            "pressure, and there is no gain."
        )
    if min(table["capture_ratio"].values()) < 1:
        working.remark(
            "At some of the speeds the engine draws more than the scoop meets: the rest is sucked in past "
            "the lip, and a sharp lip recovers less than at full catch."
        )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Pressure in the box against road speed, one curve a case, and the whole ram pressure above them."""
    boxes: list[Series] = []
    rams: dict[tuple[float, float, float], Series] = {}
    for style, (name, case) in enumerate(cases.items()):
        pressure, density = case.outputs["ambient_pressure"], case.outputs["ambient_density"]
        temperature = case.inputs["ambient_temperature"]
        top = case.inputs.get("top_speed", max(case.inputs["speed"]))
        sound = compressible.speed_of_sound(
            _HEAT_CAPACITY_RATIO, air.gas_constant(pressure, density, temperature), temperature
        )
        speeds = [top * step / 60 for step in range(61)]
        full = [
            compressible.stagnation_pressure_rise(pressure, speed / sound, _HEAT_CAPACITY_RATIO)
            for speed in speeds
        ]
        recovery, loss = case.inputs["recovery"], case.outputs["pressure_loss"]
        rises = [scoop.box_pressure_rise(recovery, ram, loss) for ram in full]
        boxes.append(Series(label=f"box, {name}" if name else "box", x=speeds, y=rises, style=style))
        # Cases in the same air share the curve of the whole ram pressure.
        label = f"all of the ram, {name}" if name and rams else "all of the ram"
        rams.setdefault(
            (pressure, density, top), Series(label=label, x=speeds, y=full, style=len(cases) + len(rams))
        )
    markers = [Marker("ambient", y=0.0)]
    if len(cases) == 1:
        (case,) = cases.values()
        if (keep_up := case.outputs["keep_up_speed"]) <= boxes[0].x[-1]:
            markers.append(Marker("scoop keeps up", x=keep_up))
    return ChartSpec(
        title="Pressure in the box",
        description="Pressure in the box above ambient against road speed, engine at the given "
        "speed. It starts below "
        "ambient by the loss on the way and rises with the square of the speed, under the ram pressure.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("pressure above ambient", "pressure", "Pa"),
        series=(*boxes, *(rams.values() if len(rams) <= 4 else list(rams.values())[:1])),
        markers=tuple(markers),
    )
