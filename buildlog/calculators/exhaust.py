"""Pressure, gas speed, mass and growth along an exhaust, and the drone at cruise with a branch against it.

Write the line as `segments`, from the collector to the tip, in the order the gas meets them:

| kind | columns it needs | besides |
|---|---|---|
| `tube`, `tip` | outer_diameter, length | loss_coefficient, roughness |
| `bend` | outer_diameter, bend_radius (middle of the tube), angle | loss_coefficient, roughness |
| `muffler`, `catalyst` | outer_diameter of its pipe, length, loss_coefficient | mass |

Each may have a `name` (figures in the text call it by that, otherwise by its number), a `wall_thickness`, a
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

_BORE = Number("length", "mm", 15, 200, "exhausts of cars")
_WALL = Number("length", "mm", 0.4, 6, "from thin titanium to thick steel")
_ROUGHNESS = Number("length", "mm", 0, 2, "from drawn to flaking")
_LOSS = Number("ratio", "", 0, 50, "up to a very bad silencer")
_WALL_TEMPERATURE = Number("temperature", "°C", -40, 925, "to where data sheets end")
_MATERIAL = Choice({name: one.name for name, one in MATERIALS.items()})

INPUTS = (
    Input(
        "segments",
        Table(
            (
                Input("name", Text(24), "what figures in the text call it", required=False),
                Input(
                    "kind",
                    Choice(
                        {
                            "tube": "straight tube",
                            "bend": "bend",
                            "muffler": "silencer",
                            "catalyst": "catalyst",
                            "tip": "last tube",
                        }
                    ),
                    "what it is",
                ),
                Input("outer_diameter", _BORE, "outer diameter of the tube"),
                Input("wall_thickness", _WALL, "its own wall", required=False),
                Input("material", _MATERIAL, "its own material", required=False),
                Input(
                    "length",
                    Number("length", "mm", 5, 6000, "exhausts of cars"),
                    "along the middle",
                    required=False,
                ),
                Input(
                    "bend_radius",
                    Number("length", "mm", 15, 1500, "bent tube"),
                    "of the middle of a bend",
                    required=False,
                ),
                Input(
                    "angle",
                    Number("angle", "°", 5, 180, "range of the bend formula"),
                    "of a bend",
                    required=False,
                ),
                Input(
                    "loss_coefficient",
                    _LOSS,
                    "on the velocity in the tube; of a silencer or catalyst the whole, "
                    "of others besides friction",
                    required=False,
                ),
                Input(
                    "cone_angle",
                    Number("angle", "°", 5, 180, "range of the formula; 180° is a step"),
                    "full angle of the cone that leads into it",
                    required=False,
                ),
                Input("roughness", _ROUGHNESS, "its own roughness", required=False),
                Input("gas_temperature", burnt_gas.GAS_TEMPERATURE, "mean of the gas in it", required=False),
                Input("wall_temperature", _WALL_TEMPERATURE, "its own wall temperature", required=False),
                Input(
                    "mass", Number("mass", "kg", 0.05, 60, "silencers of cars"), "as weighed", required=False
                ),
                Input(
                    "pipes",
                    Whole(1, 8, "pipes side by side"),
                    "how many like it run side by side",
                    required=False,
                ),
            ),
            1,
            40,
        ),
        "the line from the collector to the tip",
    ),
    Input(
        "air_mass_flow",
        Number("mass flow", "kg/s", 0.001, 3, "car engines"),
        "air that the engine takes; or power; or engine_speed",
        required=False,
    ),
    Input("power", Number("power", "kW", 1, 1500, "car engines"), "brake power at that load", required=False),
    Input(
        "specific_fuel_consumption",
        Number("specific fuel consumption", "g/(kW·h)", 180, 900, "petrol engines, up to light load"),
        "fuel for the work done, with power",
        required=False,
    ),
    Input("engine_speed", burnt_gas.ENGINE_SPEED, "full load at this speed", required=False),
    Input("engine_displacement", burnt_gas.DISPLACEMENT, "with engine_speed", required=False),
    Input("volumetric_efficiency", burnt_gas.VOLUMETRIC_EFFICIENCY, "with engine_speed", required=False),
    Input("ambient_temperature", burnt_gas.AMBIENT_TEMPERATURE, "with engine_speed", required=False),
    *burnt_gas.MIXTURE,
    Input("ambient_pressure", burnt_gas.AMBIENT_PRESSURE, "barometer at the place"),
    Input("gas_temperature", burnt_gas.GAS_TEMPERATURE, "mean of the gas, in segments that give none"),
    Input("wall_thickness", _WALL, "wall of all tubes; or gauge", required=False),
    Input(
        "gauge",
        Choice({name: f"{wall * 1000:.2f} mm" for name, wall in GAUGES.items()}),
        "wall of all tubes by gauge number and system",
        required=False,
    ),
    Input("material", _MATERIAL, "what the tubes are made of"),
    Input("roughness", _ROUGHNESS, "equivalent sand roughness of the tubes, inside"),
    Input("wall_temperature", _WALL_TEMPERATURE, "mean of the hot walls, for the growth", required=False),
    Input(
        "fitting_temperature",
        burnt_gas.AMBIENT_TEMPERATURE,
        "of the tubes when they were fitted",
        required=False,
    ),
    Input("cruise_revs", burnt_gas.ENGINE_SPEED, "engine speed at cruise, for the drone", required=False),
    Input("cylinders", Whole(1, 16, "car engines"), "with cruise_revs", required=False),
    Input(
        "drone_frequency",
        Number("frequency", "Hz", 10, 1000, "drone in a cabin"),
        "of the drone as recorded; that of firing if left out",
        required=False,
    ),
    Input(
        "branch_bore",
        Number("length", "mm", 10, 200, "side branches"),
        "bore of the side branch",
        required=False,
    ),
    Input(
        "branch_temperature",
        Number("temperature", "°C", 60, 900, "from where water drops out of it"),
        "mean of the gas in the side branch",
        required=False,
    ),
)

_GROWTH = ("wall_temperature", "fitting_temperature")
_DRONE = ("cruise_revs", "cylinders")
_BRANCH = ("branch_bore", "branch_temperature")

OUTPUTS = (
    Output("exhaust_mass_flow", "mass flow", "g/s", "exhaust of all cylinders", 1),
    Output("back_pressure", "pressure", "kPa", "total pressure at the start of the line, above ambient", 2),
    Output("exit_loss", "pressure", "kPa", "of that, lost with the speed of the gas at the exit", 2),
    Output("gas_speed", "speed", "m/s", "mean speed at the end of the segment", 1, key="segment"),
    Output("mach_number", "ratio", "", "that speed over sound", 3, key="segment"),
    Output("loss_coefficient", "ratio", "", "with friction and the change of bore", 3, key="segment"),
    Output("pressure_loss", "pressure", "kPa", "total pressure lost in the segment", 2, key="segment"),
    Output(
        "pressure_ahead", "pressure", "kPa", "total pressure at its start, above ambient", 2, key="segment"
    ),
    Output("mass_per_metre", "mass per length", "kg/m", "of its tube", 3, key="segment"),
    Output("segment_mass", "mass", "kg", "mass of the segment", 2, key="segment"),
    Output("mass", "mass", "kg", "mass of the line", 2),
    Output(
        "thermal_growth",
        "length",
        "mm",
        "free growth of the segment when hot",
        1,
        key="segment",
        needs=_GROWTH,
    ),
    Output("total_growth", "length", "mm", "of all segments, along the middle", 1, needs=_GROWTH),
    Output("engine_order", "ratio", "", "times a turn", 1, key="tone", needs=_DRONE),
    Output(
        "tone_frequency",
        "frequency",
        "Hz",
        "what the engine sounds at, at cruise",
        1,
        key="tone",
        needs=_DRONE,
    ),
    Output(
        "drone_order",
        "ratio",
        "",
        "engine order of the recorded drone",
        2,
        needs=(*_DRONE, "drone_frequency"),
    ),
    Output("branch_length", "length", "mm", "from the mouth to the closed end", 0, needs=(*_DRONE, *_BRANCH)),
)

_DATA_SHEET = "data sheet as read on the web"
SOURCES = (
    *burnt_gas.SOURCES,
    Source("continuity", "Continuity and the balance of total pressure", standing="derived"),
    Source(
        "isothermal",
        "Flow of Fluids, Technical Paper 410",
        "Crane",
        "1988",
        "eq. 1-6, less its logarithm",
        standing="from memory",
    ),
    Source(
        "crane",
        "Flow of Fluids, Technical Paper 410",
        "Crane",
        "1988",
        "pp. A-26 and A-29, as in fluids 1.3.1",
    ),
    Source(
        "colebrook",
        "Turbulent flow in pipes, C. F. Colebrook",
        "J. Inst. Civil Engineers",
        "11 (1939)",
        "133–156, as in fluids 1.3.1",
    ),
    Source(
        "ito",
        "Pressure losses in smooth pipe bends, H. Ito",
        "Trans. ASME",
        "82 (1960)",
        "131–143, as in fluids 1.3.1",
    ),
    Source(
        "mansouri",
        "Correlations for the viscosity of hydrocarbon-air combustion products",
        "Combustion Science and Technology",
        "23 (1980)",
        "251–256",
        standing="from memory",
    ),
    Source("geometry", "Geometry and linear expansion", standing="derived"),
    Source("asm-304", "AISI Type 304 Stainless Steel", "ASM", where=_DATA_SHEET),
    Source("asm-321", "AISI Type 321 Stainless Steel, annealed plate", "ASM", where=_DATA_SHEET),
    Source("tube-409", "Stainless steel 409, annealed tubing, ASTM A268", where=_DATA_SHEET),
    Source("asm-titanium", "Titanium Grade 2, annealed", "ASM", where=_DATA_SHEET),
    Source(
        "en-1993-1-2",
        "Eurocode 3, structural fire design",
        "CEN",
        "EN 1993-1-2:2005",
        "3.2.2, 3.4.1.1",
        standing="from memory",
    ),
    Source(
        "acoustics",
        "Fundamentals of Acoustics, Kinsler and Frey",
        "Wiley",
        "2nd, 1962",
        "ch. 8",
        standing="from memory",
    ),
    Source("cycle", "Definition of the four-stroke cycle and of the engine order", standing="derived"),
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
        raise InputsConflict(ways[1], f"{ways[0]} as well", "one of " + ", ".join(_WAYS), "leave one out")
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
            raise MissingInput(name, f"engine_speed without {name}", name, "the flow needs it")
    return burnt_gas.air_drawn(given, working)


def _drone(given: Mapping[str, Any], burnt: burnt_gas.BurntGas, working: Working, outputs: Outputs) -> None:
    """What the engine sounds at, and the side branch against it."""
    given_together(given, ("drone_frequency",), "the order of a tone needs the revs", "cruise_revs")
    given_together(given, _BRANCH, "a branch is for a tone", "cruise_revs")
    if "cruise_revs" not in given:
        return
    if "cylinders" not in given:
        raise MissingInput("cylinders", "cruise_revs without cylinders", "cylinders", "the firing needs it")
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
            "growth is between two temperatures",
        )
    burnt = burnt_gas.BurntGas(given, working)
    flow = burnt.exhaust(_air(given, working))
    line = exhaust_line.Line(given, segments, working)
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
        series.append(Series(name or "total pressure", [*x, at], [*y, 0.0], style))
    return ChartSpec(
        "Pressure along the exhaust",
        "Total pressure above ambient from the start of the line to the open air. It falls along tubes and "
        "faster through silencers and catalysts; the last drop is the speed of the gas, lost at the exit.",
        Axis("way along the exhaust", "length", "m", from_zero=True),
        Axis("pressure above ambient", "pressure", "kPa", from_zero=True),
        tuple(series),
    )
