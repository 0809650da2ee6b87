"""Pressure, gas speed, mass and growth along an exhaust, and the drone at cruise with a branch against it.

Write the line as `segments`, from the collector to the tip, in the order the gas meets them:

| kind | columns it needs | besides |
|---|---|---|
| `tube`, `tip` | outer_diameter, length | loss_coefficient, roughness |
| `bend` | outer_diameter, bend_radius (middle of the tube), angle | loss_coefficient, roughness |
| `muffler`, `catalyst` | outer_diameter of its pipe, length, loss_coefficient | mass |

Each may have a `name` (figures in the text rest on a row by it), a `wall_thickness`, a
`material`, a `gas_temperature` and a `wall_temperature` of its own, and `pipes` where several run side by
side. Where the bore changes the block counts a step, or a cone if the segment after it has a `cone_angle`.
Where pipes part or meet it counts nothing: give that segment a `loss_coefficient`. That of a silencer or a
catalyst is its whole loss, friction included.

**How much gas.** Give one of three: `air_mass_flow`; the `power` with the `specific_fuel_consumption`; or the
`engine_speed`, with displacement, volumetric efficiency and ambient temperature. At full load petrol engines
burn 270–330 g/(kW·h), gas at the collector has 700–850 °C and loses some 50–100 K a metre (all common
practice, no source). Its volume goes with its temperature, and so does the loss.

**Pressure** is total pressure above ambient, reckoned from the open air against the flow. Friction follows
Darcy–Weisbach and Colebrook, bends follow Ito, steps Borda–Carnot and Crane; the gas thins out on the way as
in isothermal flow. The flow is taken as steady. A real one pulses, and loses more by its peaks: a mean
measured behind a collector lies 10–30 % higher (common practice, no source). Road cars have 10–30 kPa at full
power, free ones less than 10–15 kPa (common practice, no source). Above Mach 0.3 the figures only warn: the
loss comes out 5 % too small there, 11 % at Mach 0.5, against adiabatic flow with friction.

| wall | roughness | source |
|---|---|---|
| drawn tube, new | 0.0015–0.015 mm | Binder (1973); Midoux, Mécanique des fluides |
| welded tube, new | 0.03–0.1 mm | Midoux, p. 277 |
| steel tube, rusted or sooted | 0.15–0.4 mm | the same |

| piece, on the velocity in its pipe | loss coefficient | source |
|---|---|---|
| straight through, perforated and packed | 0.2–0.6 | common practice, no source |
| chamber, pipes in line, n ratio of areas | (1 − n)² into it, 0.5 (1 − n) out of it | Borda–Carnot; Crane |
| turning back in a wide chamber | 1 into it, 0.5 out of it | Borda–Carnot; Crane |
| chambered, two turns | 3–8 | common practice, no source |
| catalyst, 400 cells to the square inch | 2–6 | common practice, no source |

A figure measured on a flow bench beats all of these: K is the loss over ρv²/2.

**Mass** is that of the tube by wall and material; silencers and catalysts count as weighed. A gauge number
means nothing without its system: 16 gauge is 1.63 mm (SWG), 1.65 mm (BWG) or 1.52 mm (sheet steel).

| material | density, kg/m³ | mean expansion from room temperature, 10⁻⁶/K | source |
|---|---|---|---|
| `stainless-304` | 8000 | 17.3 to 100 °C, 17.8 to 315 °C, 18.7 to 650 °C | ASM data sheet |
| | | 18.4 to 538 °C | data sheet of 304 foil |
| `stainless-321` | 8000, others 7920 | 16.7 to 100 °C, 17.1 to 315 °C, 18.5 to 540 °C, 20.5 to 925 °C | ASM |
| `stainless-409` | 7800 | 11.0 to 100 °C, 11.7 to 315 °C, 12.4 to 538 °C | data sheet, ASTM A268 tube |
| `titanium-2` | 4510 | 8.6 to 93 °C, 9.2 to 315 °C, 9.7 to 540 °C | ASM data sheets |
| `mild-steel` | 7850 | 12.5 to 100 °C, 13.3 to 300 °C, 14.1 to 500 °C, 14.9 to 700 °C | EN 1993-1-2 |

EN 1993-1-2 is from memory. Titanium grade 2 holds 344 MPa cold and 172–207 MPa at 315 °C (ASM data sheet):
keep it behind the silencer or well cooled. Growth is that of the free tube; what slip joints and hangers must
take is the difference between both ends.

**Drone.** With `cruise_revs` and `cylinders` the block lists what the engine sounds at: its firing, half of
that (pulses uneven between two banks or pairs; not with an odd number of cylinders) and the double. Record
the drone and give `drone_frequency`: `drone_order` tells what it belongs to; a real one is a multiple of one
half. With `branch_bore` and `branch_temperature` you get the closed side branch against it, a quarter wave
long. Place it where the sound pressure is high, so away from the open end, where there is next to none; it
works at three and five times the tone too. Its gas stands still and is far cooler than the stream: 100 K too
many make a branch a tenth too long, so leave the end adjustable.

```yaml
id: silencer-and-tail
kind: exhaust
inputs:
  power: 125 kW
  specific_fuel_consumption: 300 g/(kW·h)
  air_fuel_ratio: 12.8
  ambient_pressure: 955 hPa
  gas_temperature: 720 °C
  roughness: 0.05 mm
  fitting_temperature: 18 °C
  wall_temperature: 430 °C
  cruise_revs: 3200 rpm
  cylinders: 4
  drone_frequency: 107 Hz
  branch_bore: 45 mm
  branch_temperature: 220 °C
  segments:
    - {name: front, kind: tube, outer_diameter: 60 mm, length: 900 mm}
    - {name: over-axle, kind: bend, outer_diameter: 60 mm, bend_radius: 120 mm, angle: 60°,
       gas_temperature: 650 °C}
    - {name: silencer, kind: muffler, outer_diameter: 60 mm, length: 450 mm, loss_coefficient: 0.5,
       mass: 4.1 kg, gas_temperature: 620 °C}
    - {name: tail, kind: tip, outer_diameter: 65 mm, length: 350 mm, gas_temperature: 590 °C}
cases:
  stainless: {material: stainless-304, wall_thickness: 1.5 mm}
  titanium: {material: titanium-2, wall_thickness: 1.2 mm}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Input,
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
from buildlog.kinds.models import burnt_gas, exhaust_line
from buildlog.physics import acoustics, exhaust_flow, exhaust_waves
from buildlog.physics.tube import GAUGES, MATERIALS

KIND = "exhaust"

_BORE = Number(dimension="length", unit="mm", low=15, high=200, why="exhausts of cars")
_WALL = Number(dimension="length", unit="mm", low=0.4, high=6, why="from thin titanium to thick steel")
_ROUGHNESS = Number(dimension="length", unit="mm", low=0, high=2, why="from drawn to flaking")
_LOSS = Number(dimension="ratio", unit="", low=0, high=50, why="up to a very bad silencer")
_WALL_TEMPERATURE = Number(
    dimension="temperature", unit="°C", low=-40, high=925, why="to where data sheets end"
)
_MATERIAL = Choice({name: material.name for name, material in MATERIALS.items()})

INPUTS = (
    Input(
        name="segments",
        form=Table(
            (
                Input(name="name", form=Text(24), about="what figures in the text call it", required=False),
                Input(
                    name="kind",
                    form=Choice(
                        {
                            "tube": "straight tube",
                            "bend": "bend",
                            "muffler": "silencer",
                            "catalyst": "catalyst",
                            "tip": "last tube",
                        }
                    ),
                    about="what it is",
                ),
                Input(name="outer_diameter", form=_BORE, about="outer diameter of the tube"),
                Input(name="wall_thickness", form=_WALL, about="its own wall", required=False),
                Input(name="material", form=_MATERIAL, about="its own material", required=False),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="mm", low=5, high=6000, why="exhausts of cars"),
                    about="along the middle",
                    required=False,
                ),
                Input(
                    name="bend_radius",
                    form=Number(dimension="length", unit="mm", low=15, high=1500, why="bent tube"),
                    about="of the middle of a bend",
                    required=False,
                ),
                Input(
                    name="angle",
                    form=Number(
                        dimension="angle", unit="°", low=5, high=180, why="range of the bend formula"
                    ),
                    about="of a bend",
                    required=False,
                ),
                Input(
                    name="loss_coefficient",
                    form=_LOSS,
                    about="on the velocity in the tube; of a silencer or catalyst the whole, "
                    "of others besides friction",
                    required=False,
                ),
                Input(
                    name="cone_angle",
                    form=Number(
                        dimension="angle",
                        unit="°",
                        low=5,
                        high=180,
                        why="range of the formula; 180° is a step",
                    ),
                    about="full angle of the cone that leads into it",
                    required=False,
                ),
                Input(name="roughness", form=_ROUGHNESS, about="its own roughness", required=False),
                Input(
                    name="gas_temperature",
                    form=burnt_gas.GAS_TEMPERATURE,
                    about="mean of the gas in it",
                    required=False,
                ),
                Input(
                    name="wall_temperature",
                    form=_WALL_TEMPERATURE,
                    about="its own wall temperature",
                    required=False,
                ),
                Input(
                    name="mass",
                    form=Number(dimension="mass", unit="kg", low=0.05, high=60, why="silencers of cars"),
                    about="as weighed",
                    required=False,
                ),
                Input(
                    name="pipes",
                    form=Whole(1, 8, "pipes side by side"),
                    about="how many like it run side by side",
                    required=False,
                ),
            ),
            1,
            40,
        ),
        about="the line from the collector to the tip",
    ),
    Input(
        name="air_mass_flow",
        form=Number(dimension="mass flow", unit="kg/s", low=0.001, high=3, why="car engines"),
        about="air that the engine takes; or power; or engine_speed",
        required=False,
    ),
    Input(
        name="power",
        form=Number(dimension="power", unit="kW", low=1, high=1500, why="car engines"),
        about="brake power at that load",
        required=False,
    ),
    Input(
        name="specific_fuel_consumption",
        form=Number(
            dimension="specific fuel consumption",
            unit="g/(kW·h)",
            low=180,
            high=900,
            why="petrol engines, up to light load",
        ),
        about="fuel for the work done, with power",
        required=False,
    ),
    Input(name="engine_speed", form=burnt_gas.ENGINE_SPEED, about="full load at this speed", required=False),
    Input(name="engine_displacement", form=burnt_gas.DISPLACEMENT, about="with engine_speed", required=False),
    Input(
        name="volumetric_efficiency",
        form=burnt_gas.VOLUMETRIC_EFFICIENCY,
        about="with engine_speed",
        required=False,
    ),
    Input(
        name="ambient_temperature",
        form=burnt_gas.AMBIENT_TEMPERATURE,
        about="with engine_speed",
        required=False,
    ),
    *burnt_gas.MIXTURE,
    Input(name="ambient_pressure", form=burnt_gas.AMBIENT_PRESSURE, about="barometer at the place"),
    Input(
        name="gas_temperature",
        form=burnt_gas.GAS_TEMPERATURE,
        about="mean of the gas, in segments that give none",
    ),
    Input(name="wall_thickness", form=_WALL, about="wall of all tubes; or gauge", required=False),
    Input(
        name="gauge",
        form=Choice({name: f"{wall * 1000:.2f} mm" for name, wall in GAUGES.items()}),
        about="wall of all tubes by gauge number and system",
        required=False,
    ),
    Input(name="material", form=_MATERIAL, about="what the tubes are made of"),
    Input(name="roughness", form=_ROUGHNESS, about="equivalent sand roughness of the tubes, inside"),
    Input(
        name="wall_temperature",
        form=_WALL_TEMPERATURE,
        about="mean of the hot walls, for the growth",
        required=False,
    ),
    Input(
        name="fitting_temperature",
        form=burnt_gas.AMBIENT_TEMPERATURE,
        about="of the tubes when they were fitted",
        required=False,
    ),
    Input(
        name="cruise_revs",
        form=burnt_gas.ENGINE_SPEED,
        about="engine speed at cruise, for the drone",
        required=False,
    ),
    Input(name="cylinders", form=Whole(1, 16, "car engines"), about="with cruise_revs", required=False),
    Input(
        name="drone_frequency",
        form=Number(dimension="frequency", unit="Hz", low=10, high=1000, why="drone in a cabin"),
        about="of the drone as recorded; that of firing if left out",
        required=False,
    ),
    Input(
        name="branch_bore",
        form=Number(dimension="length", unit="mm", low=10, high=200, why="side branches"),
        about="bore of the side branch",
        required=False,
    ),
    Input(
        name="branch_temperature",
        form=Number(
            dimension="temperature", unit="°C", low=60, high=900, why="from where water drops out of it"
        ),
        about="mean of the gas in the side branch",
        required=False,
    ),
)

_GROWTH = ("wall_temperature", "fitting_temperature")
_DRONE = ("cruise_revs", "cylinders")
_BRANCH = ("branch_bore", "branch_temperature")

OUTPUTS = (
    Output(
        name="exhaust_mass_flow",
        dimension="mass flow",
        unit="g/s",
        about="exhaust of all cylinders",
        decimals=1,
    ),
    Output(
        name="back_pressure",
        dimension="pressure",
        unit="kPa",
        about="total pressure at the start of the line, above ambient",
        decimals=2,
    ),
    Output(
        name="exit_loss",
        dimension="pressure",
        unit="kPa",
        about="of that, lost with the speed of the gas at the exit",
        decimals=2,
    ),
    Output(
        name="gas_speed",
        dimension="speed",
        unit="m/s",
        about="mean speed at the end of the segment",
        decimals=1,
        key="segment",
        of="segments",
    ),
    Output(
        name="mach_number",
        dimension="ratio",
        unit="",
        about="that speed over sound",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="loss_coefficient",
        dimension="ratio",
        unit="",
        about="with friction and the change of bore",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="pressure_loss",
        dimension="pressure",
        unit="kPa",
        about="total pressure lost in the segment",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="pressure_ahead",
        dimension="pressure",
        unit="kPa",
        about="total pressure at its start, above ambient",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="mass_per_metre",
        dimension="mass per length",
        unit="kg/m",
        about="of its tube",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="segment_mass",
        dimension="mass",
        unit="kg",
        about="mass of the segment",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(name="mass", dimension="mass", unit="kg", about="mass of the line", decimals=2),
    Output(
        name="thermal_growth",
        dimension="length",
        unit="mm",
        about="free growth of the segment when hot",
        decimals=1,
        key="segment",
        of="segments",
        needs=_GROWTH,
    ),
    Output(
        name="total_growth",
        dimension="length",
        unit="mm",
        about="of all segments, along the middle",
        decimals=1,
        needs=_GROWTH,
    ),
    Output(
        name="engine_order",
        dimension="ratio",
        unit="",
        about="times a turn",
        decimals=1,
        key="tone",
        needs=_DRONE,
    ),
    Output(
        name="tone_frequency",
        dimension="frequency",
        unit="Hz",
        about="what the engine sounds at, at cruise",
        decimals=1,
        key="tone",
        needs=_DRONE,
    ),
    Output(
        name="drone_order",
        dimension="ratio",
        unit="",
        about="engine order of the recorded drone",
        decimals=2,
        needs=(*_DRONE, "drone_frequency"),
    ),
    Output(
        name="branch_length",
        dimension="length",
        unit="mm",
        about="from the mouth to the closed end",
        decimals=0,
        needs=(*_DRONE, *_BRANCH),
    ),
)

_DATA_SHEET = "data sheet as read on the web"
SOURCES = (
    *burnt_gas.SOURCES,
    Source(id="continuity", title="Continuity and the balance of total pressure", standing="derived"),
    Source(
        id="isothermal",
        title="Flow of Fluids, Technical Paper 410",
        publisher="Crane",
        edition="1988",
        where="eq. 1-6, less its logarithm",
        standing="from memory",
    ),
    Source(
        id="crane",
        title="Flow of Fluids, Technical Paper 410",
        publisher="Crane",
        edition="1988",
        where="pp. A-26 and A-29, as in fluids 1.3.1",
    ),
    Source(
        id="colebrook",
        title="Turbulent flow in pipes, C. F. Colebrook",
        publisher="J. Inst. Civil Engineers",
        edition="11 (1939)",
        where="133–156, as in fluids 1.3.1",
    ),
    Source(
        id="ito",
        title="Pressure losses in smooth pipe bends, H. Ito",
        publisher="Trans. ASME",
        edition="82 (1960)",
        where="131–143, as in fluids 1.3.1",
    ),
    Source(
        id="mansouri",
        title="Correlations for the viscosity of hydrocarbon-air combustion products",
        publisher="Combustion Science and Technology",
        edition="23 (1980)",
        where="251–256",
        standing="from memory",
    ),
    Source(id="geometry", title="Geometry and linear expansion", standing="derived"),
    Source(id="asm-304", title="AISI Type 304 Stainless Steel", publisher="ASM", where=_DATA_SHEET),
    Source(
        id="asm-321",
        title="AISI Type 321 Stainless Steel, annealed plate",
        publisher="ASM",
        where=_DATA_SHEET,
    ),
    Source(id="tube-409", title="Stainless steel 409, annealed tubing, ASTM A268", where=_DATA_SHEET),
    Source(id="asm-titanium", title="Titanium Grade 2, annealed", publisher="ASM", where=_DATA_SHEET),
    Source(
        id="en-1993-1-2",
        title="Eurocode 3, structural fire design",
        publisher="CEN",
        edition="EN 1993-1-2:2005",
        where="3.2.2, 3.4.1.1",
        standing="from memory",
    ),
    Source(
        id="acoustics",
        title="Fundamentals of Acoustics, Kinsler and Frey",
        publisher="Wiley",
        edition="2nd, 1962",
        where="ch. 8",
        standing="from memory",
    ),
    Source(
        id="cycle", title="Definition of the four-stroke cycle and of the engine order", standing="derived"
    ),
)

HAZARDS = ("exhaust-gas", "hot-parts", "noise-emissions", "sparks", "lifting")

_WAYS = ("air_mass_flow", "power", "engine_speed")
_TONES = {"half-firing": 0.5, "firing": 1.0, "double-firing": 2.0}


def _air(given: Mapping[str, Any], working: Working) -> float:
    """Mass flow of air, by the one way that is given."""
    given_together(given, ("specific_fuel_consumption",), "it makes fuel of power", "power")
    ways = [name for name in _WAYS if name in given]
    if not ways:
        raise MissingInput("air_mass_flow", "nothing to take the flow from", "one of " + ", ".join(_WAYS))
    if len(ways) > 1:
        raise InputsConflict(
            ways[1], f"{ways[0]} as well", "one of " + ", ".join(_WAYS), help="leave one out"
        )
    if "air_mass_flow" in given:
        return float(given["air_mass_flow"])
    if "power" in given:
        if "specific_fuel_consumption" not in given:
            raise MissingInput("specific_fuel_consumption", "power without it", "the fuel for that power")
        fuel = working.step(
            "fuel_mass_flow",
            exhaust_flow.fuel_mass_flow,
            source="mass",
            power=given["power"],
            specific_fuel_consumption=given["specific_fuel_consumption"],
        )
        return working.step(
            "air_mass_flow",
            exhaust_flow.air_mass_flow,
            source="mass",
            fuel_mass_flow=fuel,
            air_fuel_ratio=given["air_fuel_ratio"],
        )
    for name in ("engine_displacement", "volumetric_efficiency", "ambient_temperature"):
        if name not in given:
            raise MissingInput(name, f"engine_speed without {name}", name, help="the flow needs it")
    return burnt_gas.air_drawn(given, working)


def _drone(given: Mapping[str, Any], burnt: burnt_gas.BurntGas, working: Working, outputs: Outputs) -> None:
    """What the engine sounds at, and the side branch against it."""
    given_together(given, ("drone_frequency",), "the order of a tone needs the revs", "cruise_revs")
    given_together(given, _BRANCH, "a branch is for a tone", "cruise_revs")
    if "cruise_revs" not in given:
        return
    if "cylinders" not in given:
        raise MissingInput(
            "cylinders", "cruise_revs without cylinders", "cylinders", help="the firing needs it"
        )
    orders: dict[str, float] = {}
    tones: dict[str, float] = {}
    for name, times in _TONES.items():
        if times < 1 and given["cylinders"] % 2:
            continue  # an odd number has no two banks or pairs, and no order of three quarters
        orders[name] = working.step(
            f"engine_order.{name}",
            acoustics.order_of_events,
            source="cycle",
            events=times * given["cylinders"],
        )
        tones[name] = working.step(
            f"tone_frequency.{name}",
            exhaust_waves.order_frequency,
            source="cycle",
            order=orders[name],
            engine_speed=given["cruise_revs"],
        )
    outputs["engine_order"], outputs["tone_frequency"] = orders, tones
    frequency = given.get("drone_frequency", tones["firing"])
    if "drone_frequency" in given:
        order = outputs["drone_order"] = working.step(
            "drone_order",
            exhaust_waves.order_of_frequency,
            source="cycle",
            frequency=frequency,
            engine_speed=given["cruise_revs"],
        )
        if abs(2 * order - round(2 * order)) > 0.1:
            working.remark(
                f"The drone lies at order {order:.2f}, which is no multiple of one half: check the revs; or "
                "it is no tone of the engine, but of tyres, driveline or wind."
            )
    if "branch_bore" in given:
        sound = burnt.sound(given["branch_temperature"], "branch")
        end = working.step(
            "branch_end_correction",
            acoustics.flanged_end_correction,
            source="acoustics",
            diameter=given["branch_bore"],
        )
        outputs["branch_length"] = working.step(
            "branch_length",
            exhaust_waves.side_branch_length,
            source="acoustics",
            speed_of_sound=sound,
            frequency=frequency,
            end_correction=end,
        )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Pressure, mass, growth and drone of one case; SI in, SI out."""
    segments = exhaust_line.read(given)
    grows = given_together(given, _GROWTH, "growth is between two temperatures")
    if not grows and any("wall_temperature" in segment.row for segment in segments):
        raise MissingInput(
            "wall_temperature",
            "a segment with wall_temperature alone",
            "both for the line",
            help="growth is between two temperatures",
        )
    burnt = burnt_gas.BurntGas(given, working)
    flow = burnt.exhaust(_air(given, working))
    line = exhaust_line.ExhaustLine(given, segments, working)
    line.pressures(burnt, flow)
    line.masses()
    if grows:
        line.growth()
    outputs: Outputs = {"exhaust_mass_flow": flow, **line.values}
    outputs |= line.outputs([output.name for output in OUTPUTS if output.key == "segment"])
    _drone(given, burnt, working, outputs)
    return outputs


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Total pressure along the line, one curve a case."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        ahead = list(case.outputs["pressure_ahead"].values())
        after = [*ahead[1:], case.outputs["exit_loss"]]
        x, y, at = [0.0], [ahead[0]], 0.0
        for segment, high, low in zip(exhaust_line.read(case.inputs), ahead, after, strict=True):
            steps = max(4, 60 // len(ahead))
            x += [at + segment.length * step / steps for step in range(1, steps + 1)]
            y += [high + (low - high) * step / steps for step in range(1, steps + 1)]
            at += segment.length
        series.append(Series(label=name or "total pressure", x=[*x, at], y=[*y, 0.0], style=style))
    return ChartSpec(
        title="Pressure along the exhaust",
        description="Total pressure above ambient from the start of the line to the open air. It "
        "falls along tubes and "
        "faster through silencers and catalysts; the last drop is the speed of the gas, lost at the exit.",
        x=Axis("way along the exhaust", "length", "m", from_zero=True),
        y=Axis("pressure above ambient", "pressure", "kPa", from_zero=True),
        series=tuple(series),
    )
