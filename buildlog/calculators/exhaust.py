"""Pressure, gas speed, mass and growth along an exhaust, and the drone at cruise with what stands against it.

Write the line as `segments`, from the collector to the tip, in the order the gas meets them:

| kind | columns it needs | besides |
|---|---|---|
| `tube`, `tip` | outer_diameter, length | loss_coefficient, roughness |
| `bend` | outer_diameter, bend_radius (middle of the tube), angle | loss_coefficient, roughness |
| `muffler`, `catalyst` | outer_diameter of its pipe, length, loss_coefficient | mass, chamber_diameter |

Each may have a `name` (figures in the text rest on a row by it), a `wall_thickness`, a `material`, a
`gas_temperature` and a `wall_temperature` of its own, and `pipes` where several alike run side by side. Where
the bore changes the block counts a step, or a cone if the segment after it has a `cone_angle`. That of a
silencer or a catalyst is its whole loss, friction included.

**Two paths side by side**, a valve beside a silencer: give the rows of each a `path`, one after the other.
The gas parts so that both lose as much; `path_share` tells how. The path that leaves the straight run has a
`branch_angle`, and loses at both ends what Crane gives for branches; paths that open at the tail do so each
by itself. Where like `pipes` part or meet nothing is counted: give that segment a `loss_coefficient`.

**How much gas.** Give one of three: `air_mass_flow`; the `power` with the `specific_fuel_consumption`; or the
`engine_speed`, with displacement, volumetric efficiency and ambient temperature. The `fuel` has a name:
petrol, E10, E85, ethanol, methanol, each with its own bounds of the mixture. At full load petrol engines burn
270–330 g/(kW·h), gas at the collector has 700–850 °C and loses some 50–100 K a metre (all common practice, no
source). Its volume goes with its temperature, and so does the loss.

**Pressure** is total pressure above ambient, reckoned from the open air against the flow, as adiabatic flow
with friction (Fanno) to choking: a segment that chokes is named, and what is ahead of it takes the pressure
that drives the flow through. Gas that cools slows down, and that gives pressure back: 3–9 % of the whole
where it loses 200–250 K. Write the temperature of each segment, and the block counts the fall from one to the
next (`cooling_gain`); of a fall into or out of a silencer or catalyst, in which the gas is slow, half; where
paths meet none. Friction follows Darcy–Weisbach and Colebrook, bends follow Ito, steps
Borda–Carnot and Crane. Beyond Mach 0.3, or where it may be, there is a caution. Road cars have 10–30 kPa at
full power, free ones less than 10–15 kPa (common practice, no source).

**How sure.** The flow is taken as steady; a real one pulses, and the back pressure has 20 % either way as
limits for that. Friction has 15 %, bends, steps and
silencers 25 %, junctions 30 %; where the gas is too
slow for what was measured (Reynolds number below 10 000 in a bend, 4000 in a tube) the segment is named and
has more. Roughness, gas temperature and volumetric efficiency are guesses, with a doubt unless you give your
own.

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

EN 1993-1-2 is as libraries and a handbook quote it. Titanium grade 2 holds 344 MPa cold and 172–207 MPa at
315 °C (ASM data sheet): keep it behind the silencer or well cooled. Growth is that of the free tube; what
slip joints and hangers must take is the difference between both ends.

**Drone.** With `cruise_revs` and `cylinders` the block lists what the engine sounds at: its firing, half of
that (pulses uneven between two banks or pairs; not with an odd number of cylinders) and the double. Record
the drone and give `drone_frequency`: `drone_order` tells what it belongs to; a real one is a multiple of one
half. With `branch_bore` and `branch_temperature` you get the closed side branch against it, a quarter wave
long; it works at three and five times the tone too. Its gas stands still and is far cooler than the stream:
100 K too many make a branch a tenth too long, so leave the end adjustable. With `branch_at`, the segment at
whose head it sits, and `branch_gas_speed` you get what it keeps back, over which band, and how much of the
standing wave's pressure there is at that place: a quarter of a wave from the open end all of it, at the end
next to none; below 71 % there is a caution. A silencer that is an empty chamber has a `chamber_diameter`.
All of it is reckoned with the gas temperatures of the block: at cruise the gas is 100–300 K cooler than at
full load (common practice, no source), so give the drone a block of its own. These are transmission losses,
of pipes that send nothing back. They claim no level at the kerb: that takes a
meter.

```yaml
id: silencer-and-tail
kind: exhaust
inputs:
  engine_speed: 7400 rpm
  engine_displacement: 1.8 l
  volumetric_efficiency: (98 ± 2) %
  ambient_temperature: 18 °C
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
  branch_at: silencer
  branch_gas_speed: 35 m/s
  most_back_pressure: 12 kPa
  segments:
    - {name: front, kind: tube, outer_diameter: 60 mm, length: 900 mm}
    - {name: over-axle, kind: bend, outer_diameter: 60 mm, bend_radius: 120 mm, angle: 60°,
       gas_temperature: 650 °C}
    - {name: silencer, path: quiet, kind: muffler, outer_diameter: 60 mm, length: 450 mm,
       loss_coefficient: 2.5, mass: 4.1 kg, gas_temperature: 620 °C}
    - {name: valve, path: loud, kind: tube, outer_diameter: 50 mm, length: 500 mm,
       loss_coefficient: 0.4, branch_angle: 45°, gas_temperature: 620 °C}
    - {name: tail, kind: tip, outer_diameter: 60 mm, length: 350 mm, gas_temperature: 590 °C}
cases:
  stainless: {material: stainless-304, wall_thickness: 1.5 mm}
  titanium: {material: titanium-2, wall_thickness: 1.2 mm}
```
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, Refused
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
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.models import burnt_gas, exhaust_line, filling
from buildlog.physics import acoustics, air, exhaust_flow, exhaust_waves, gas, junctions
from buildlog.physics.tube import GAUGES, MATERIALS
from buildlog.said import said

KIND = "exhaust"

_BORE = Number(dimension="length", unit="mm", low=15, high=200, why="exhausts of cars")
_WALL = Number(dimension="length", unit="mm", low=0.4, high=6, why="from thin titanium to thick steel")
_ROUGHNESS = Number(dimension="length", unit="mm", low=0, high=2, why="from drawn to flaking")
_LOSS = Number(dimension="ratio", unit="", low=0, high=50, why="up to a very bad silencer")
_WALL_TEMPERATURE = Number(
    dimension="temperature", unit="°C", low=-40, high=925, why="to where data sheets end"
)
_GUESSED_ROUGHNESS = Doubt(
    name="guessed_roughness",
    about="a wall that nobody measured: sooted, welded, drawn",
    source="practice",
    relative=0.5,
    limits=True,
)
_BRANCH_GAS = Doubt(
    name="branch_gas_temperature",
    about="gas that stands in a pipe beside a hot stream",
    source="practice",
    absolute=60.0,
    unit="K",
)
_GRAZING = Doubt(
    name="guessed_gas_speed", about="a share of that at full load", source="practice", relative=0.4
)
_END = Doubt(
    name="flanged_end_correction",
    about="a wall that is hardly wider than the mouth, or gas that blows past, adds down to half",
    source="practice",
    formula="acoustics",
    relative=0.5,
    limits=True,
    range="mouths in pipes",
)
_RESISTANCE = Doubt(
    name="side_branch_resistance",
    about="roughness, amplitude and the gas's way past the mouth",
    source="practice",
    formula="bies",
    relative=0.5,
    limits=True,
    range="slow gas, small amplitudes",
)
_PLANE_WAVES = Doubt(
    name="plane_wave_transmission_loss",
    about="what theory gives too much where the branch resonates",
    source="practice",
    formula="beranek-ver",
    relative=0.2,
    range="below the first cross mode of the pipe",
)
_CHAMBER = Doubt(
    name="chamber_transmission_loss",
    about="a chamber between pipes that send waves back themselves: a few decibels either way",
    source="practice",
    formula="beranek-ver",
    absolute=4.0,
    unit="dB",
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
                    doubt=exhaust_line.STATED_LOSS,
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
                Input(
                    name="roughness",
                    form=_ROUGHNESS,
                    about="its own roughness",
                    required=False,
                    doubt=_GUESSED_ROUGHNESS,
                ),
                Input(
                    name="gas_temperature",
                    form=burnt_gas.GAS_TEMPERATURE,
                    about="mean of the gas in it",
                    required=False,
                    doubt=burnt_gas.GUESSED_GAS_TEMPERATURE,
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
                Input(
                    name="path",
                    form=Text(24),
                    about="name of the path, where two run side by side: a valve beside a silencer",
                    required=False,
                ),
                Input(
                    name="branch_angle",
                    form=Number(
                        dimension="angle", unit="°", low=15, high=90, why="range of the junction formulae"
                    ),
                    about="angle at which its path leaves the straight run and meets it again",
                    required=False,
                ),
                Input(
                    name="chamber_diameter",
                    form=Number(dimension="length", unit="mm", low=30, high=600, why="silencers of cars"),
                    about="inner diameter of a silencer that is an empty chamber, or of an oval one the "
                    "circle of its area",
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
        doubt=filling.GUESSED_VOLUMETRIC_EFFICIENCY,
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
        about="mean of the gas, in segments that give none, as a thermocouple in it reads",
        doubt=burnt_gas.GUESSED_GAS_TEMPERATURE,
    ),
    Input(
        name="most_back_pressure",
        title="highest back pressure allowed",
        form=Number(dimension="pressure", unit="kPa", low=0.1, high=200, why="exhausts of cars"),
        about="what you allow; a line in the chart and a caution",
        required=False,
    ),
    Input(name="wall_thickness", form=_WALL, about="wall of all tubes; or gauge", required=False),
    Input(
        name="gauge",
        form=Choice({name: f"{wall * 1000:.2f} mm" for name, wall in GAUGES.items()}),
        about="wall of all tubes by gauge number and system",
        required=False,
    ),
    Input(name="material", form=_MATERIAL, about="what the tubes are made of"),
    Input(
        name="roughness",
        form=_ROUGHNESS,
        about="equivalent sand roughness of the tubes, inside",
        doubt=_GUESSED_ROUGHNESS,
    ),
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
        doubt=_BRANCH_GAS,
    ),
    Input(
        name="branch_at",
        title="segment of the side branch",
        form=Text(24),
        about="name of the segment at whose head the branch sits",
        required=False,
    ),
    Input(
        name="branch_gas_speed",
        form=Number(dimension="speed", unit="m/s", low=0, high=120, why="gas past the mouth at cruise"),
        about="gas speed past its mouth at cruise, a tenth to a third of that at full load (no source)",
        required=False,
        doubt=_GRAZING,
    ),
)

_GROWTH = ("wall_temperature", "fitting_temperature")
_DRONE = ("cruise_revs", "cylinders")
_BRANCH = ("branch_bore", "branch_temperature")
_PLACE = ("branch_at", "branch_gas_speed")

OUTPUTS = (
    burnt_gas.EXCESS_AIR_RATIO,
    Output(
        name="exhaust_mass_flow",
        title="exhaust mass flow",
        dimension="mass flow",
        unit="g/s",
        about="of all cylinders",
        decimals=1,
    ),
    Output(
        name="back_pressure",
        title="back pressure at the start of the line",
        dimension="pressure",
        unit="kPa",
        about="total pressure above ambient",
        decimals=2,
    ),
    Output(
        name="exit_loss",
        title="pressure lost at the exit",
        dimension="pressure",
        unit="kPa",
        about="of the back pressure, with the speed of the gas there, or the mean of two",
        decimals=2,
    ),
    Output(
        name="gas_speed",
        title="gas speed at the end of the segment",
        dimension="speed",
        unit="m/s",
        about="mean over its section",
        decimals=1,
        key="segment",
        of="segments",
    ),
    Output(
        name="mach_number",
        title="Mach number at the end of the segment",
        dimension="ratio",
        unit="",
        about="gas speed over that of sound",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="loss_coefficient",
        title="loss coefficient of the segment",
        dimension="ratio",
        unit="",
        about="with friction and the change of bore",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="pressure_loss",
        title="total pressure loss of the segment",
        dimension="pressure",
        unit="kPa",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="cooling_gain",
        title="pressure gain by cooling into the segment",
        dimension="pressure",
        unit="kPa",
        about="total pressure gained as the gas cools on its way into it",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="pressure_ahead",
        title="total pressure at the start of the segment",
        dimension="pressure",
        unit="kPa",
        about="above ambient",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="path_share",
        title="share of the gas on the path",
        dimension="ratio",
        unit="%",
        decimals=1,
        key="path",
    ),
    Output(
        name="mass_per_metre",
        title="tube mass by length",
        dimension="mass per length",
        unit="kg/m",
        about="of its tube",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="segment_mass",
        title="mass of the segment",
        dimension="mass",
        unit="kg",
        about="mass of the segment",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="mass",
        title="mass of the exhaust line",
        dimension="mass",
        unit="kg",
        about="mass of the line",
        decimals=2,
    ),
    Output(
        name="thermal_growth",
        title="thermal growth of the segment",
        dimension="length",
        unit="mm",
        about="free growth when hot",
        decimals=1,
        key="segment",
        of="segments",
        needs=_GROWTH,
    ),
    Output(
        name="total_growth",
        title="thermal growth of the whole line",
        dimension="length",
        unit="mm",
        about="along the middle; of two paths the first",
        decimals=1,
        needs=_GROWTH,
    ),
    Output(
        name="engine_order",
        title="engine order of the tone",
        dimension="ratio",
        unit="",
        about="times a turn of the crank",
        decimals=1,
        key="tone",
        needs=_DRONE,
    ),
    Output(
        name="tone_frequency",
        title="frequency of the tone at cruise",
        dimension="frequency",
        unit="Hz",
        about="what the engine sounds at",
        decimals=1,
        key="tone",
        needs=_DRONE,
    ),
    Output(
        name="drone_order",
        title="engine order of the recorded drone",
        dimension="ratio",
        unit="",
        about="engine order of the recorded drone",
        decimals=2,
        needs=(*_DRONE, "drone_frequency"),
    ),
    Output(
        name="branch_length",
        title="length of the side branch",
        dimension="length",
        unit="mm",
        about="from the mouth to the closed end",
        decimals=0,
        needs=(*_DRONE, *_BRANCH),
    ),
    Output(
        name="branch_transmission_loss",
        title="transmission loss of the side branch",
        dimension="level difference",
        unit="dB",
        about="at its tone",
        decimals=0,
        needs=(*_DRONE, *_BRANCH, *_PLACE),
    ),
    Output(
        name="branch_bandwidth",
        title="bandwidth of the side branch",
        dimension="frequency",
        unit="Hz",
        about="where it keeps back half of the power",
        decimals=0,
        needs=(*_DRONE, *_BRANCH, *_PLACE),
    ),
    Output(
        name="branch_speed_band",
        title="engine-speed band of the side branch",
        dimension="rotational speed",
        unit="rpm",
        about="width of its band in revs of firing",
        decimals=0,
        needs=(*_DRONE, *_BRANCH, *_PLACE),
    ),
    Output(
        name="branch_pressure_at_place",
        title="relative sound pressure at the side branch",
        dimension="ratio",
        unit="%",
        about="of the standing wave's largest",
        decimals=0,
        needs=(*_DRONE, *_BRANCH, *_PLACE),
    ),
    Output(
        name="chamber_transmission_loss",
        title="transmission loss of the empty chamber",
        dimension="level difference",
        unit="dB",
        about="for the tone",
        decimals=1,
        key="segment",
        of="segments",
        needs=_DRONE,
    ),
)

_DATA_SHEET = "data sheet as read on the web"
SOURCES = (
    *burnt_gas.SOURCES,
    Source(id="continuity", title="Continuity and the balance of total pressure", standing="derived"),
    Source(
        id="naca-1135",
        title="Equations, tables, and charts for compressible flow",
        publisher="NACA",
        edition="Report 1135 (1953)",
        where="steady flow without loss (eqs. 43 and 44, numbers from memory): the ratios to Mach 0.9 "
        "read in a textbook's table",
    ),
    Source(
        id="fanno",
        title="Adiabatic flow with friction (Fanno), as the open-source package pygasflow has it",
        where="fanno.py, critical_friction_parameter; tests/solvers/test_fanno.py",
    ),
    Source(
        id="rayleigh",
        title="Frictionless flow with heat given off (Rayleigh): the impulse is the same at both ends",
        standing="derived",
    ),
    Source(
        id="crane",
        title="Flow of Fluids, Technical Paper 410",
        publisher="Crane",
        edition="1988",
        where="pp. A-26 and A-29, as in fluids 1.3.1; branches by the 2009 edition, ch. 2, as in the same",
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
        where="3.4.1.1, elongation, as the source code of OpenSees and others has it (read); 3.2.2, unit "
        "mass, as Franssen and Vila Real, Fire Design of Steel Structures (ECCS), annex C, has it (read)",
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
        id="beranek-ver",
        title="Noise and Vibration Control Engineering, Beranek and Vér",
        publisher="Wiley",
        edition="1992 and 2006",
        where="eqs. 10.10, 10.20, 10.21 and 9.25, as the scripts to Acoustic Analyses Using MATLAB and ANSYS "
        "(Howard and Cazzolato, CRC Press, 2015) give them",
    ),
    Source(
        id="bies",
        title="Engineering Noise Control, Bies, Hansen, Howard and Hansen",
        publisher="CRC Press",
        edition="6th ed. (2024)",
        where="eq. 8.34, as course code that cites it gives it",
    ),
    Source(
        id="cycle", title="Definition of the four-stroke cycle and of the engine order", standing="derived"
    ),
)

DOUBTS = (
    *exhaust_line.DOUBTS,
    burnt_gas.BURNT_GAS,
    burnt_gas.PUMPED_FUEL,
    _END,
    _RESISTANCE,
    _PLANE_WAVES,
    _CHAMBER,
)

DRAWS = 100

HAZARDS = ("exhaust-gas", "hot-parts", "noise-emissions", "sparks", "lifting")

_HALF_POWER = sqrt(0.5)
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


def _drone(
    given: Mapping[str, Any], line: exhaust_line.ExhaustLine, working: Working, outputs: Outputs
) -> None:
    """What the engine sounds at, and what stands against it."""
    given_together(given, ("drone_frequency",), "the order of a tone needs the revs", "cruise_revs")
    given_together(given, _BRANCH, "a branch is for a tone", "cruise_revs")
    given_together(given, _PLACE, "what a branch does, and where", "branch_bore")
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
            acoustics.frequency_of_order,
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
                said(
                    "The drone lies at order {order}, which is no multiple of one half: check the revs; or "
                    "it is no tone of the engine, but of tyres, driveline or wind.",
                    order=f"{order:.2f}",
                )
            )
    if "branch_bore" in given:
        _branch(given, line, frequency, firing=orders["firing"], working=working, outputs=outputs)
    if kept := _chambers(line, frequency, working):
        outputs["chamber_transmission_loss"] = kept


def _branch(
    given: Mapping[str, Any],
    line: exhaust_line.ExhaustLine,
    frequency: float,
    firing: float,
    working: Working,
    outputs: Outputs,
) -> None:
    """Length of the closed branch; with its place, what it keeps back."""
    sound = line.burnt.sound(given["branch_temperature"], "branch")
    end = working.step(
        "branch_end_correction",
        acoustics.flanged_end_correction,
        source=_END.of("branch_end_correction"),
        diameter=given["branch_bore"],
    )
    length = outputs["branch_length"] = working.step(
        "branch_length",
        exhaust_waves.side_branch_length,
        source="acoustics",
        speed_of_sound=sound,
        frequency=frequency,
        end_correction=end,
    )
    if "branch_at" not in given:
        return
    place = line.place(given["branch_at"])
    acoustic = working.step(
        "branch_acoustic_length",
        acoustics.length_with_ends,
        source="geometry",
        length=length,
        first_end=end,
        second_end=0.0,
    )
    density = line.burnt.density(given["ambient_pressure"], given["branch_temperature"], "branch_density")
    viscosity = working.step(
        "branch_viscosity",
        gas.dynamic_viscosity_of_cool_gas,
        source="mansouri",
        temperature=given["branch_temperature"],
        equivalence_ratio=line.burnt.equivalence_ratio,
    )
    kinematic = working.step(
        "branch_kinematic_viscosity",
        air.kinematic_viscosity,
        source="mass",
        dynamic_viscosity=viscosity,
        density=density,
    )
    attenuation = working.step(
        "branch_attenuation",
        acoustics.attenuation_by_walls,
        source="bies",
        frequency=frequency,
        diameter=given["branch_bore"],
        speed_of_sound=sound,
        kinematic_viscosity=kinematic,
    )
    resistance = working.step(
        "branch_loss_resistance",
        acoustics.resistance_of_branch,
        source=_RESISTANCE,
        attenuation=attenuation,
        acoustic_length=acoustic,
        grazing_speed=given["branch_gas_speed"],
        speed_of_sound=sound,
    )
    ratio = working.step(
        "branch_area_ratio",
        exhaust_waves.impedance_ratio_of_branch,
        source="acoustics",
        bore=given["branch_bore"],
        temperature=given["branch_temperature"],
        other_bore=place.bore,
        other_temperature=place.gas_temperature,
    )
    if resistance >= 1.2 * ratio:
        raise OutOfRange(
            "branch_bore",
            f"a mouth of {100 * (given['branch_bore'] / place.bore) ** 2:.2g} % of the pipe's area",
            "a mouth that keeps back half of the sound's power at its own frequency",
            help="so small a mouth does next to nothing",
        )
    outputs["branch_transmission_loss"] = working.step(
        "branch_transmission_loss",
        acoustics.largest_transmission_loss,
        source=_PLANE_WAVES,
        area_ratio=ratio,
        resistance=resistance,
    )
    reactance = working.step(
        "branch_reactance_of_half_power",
        acoustics.reactance_of_half_power,
        source="beranek-ver",
        area_ratio=ratio,
        resistance=resistance,
    )
    width = outputs["branch_bandwidth"] = working.step(
        "branch_bandwidth",
        acoustics.bandwidth_of_side_branch,
        source="beranek-ver",
        frequency=frequency,
        reactance=reactance,
    )
    outputs["branch_speed_band"] = working.step(
        "branch_speed_band", acoustics.revs_of_order, source="cycle", frequency=width, order=firing
    )
    outputs["branch_pressure_at_place"] = line.pressure_at(place, frequency, "branch_pressure_at_place")
    working.limit(
        "branch_pressure_at_place",
        least=_HALF_POWER,
        says=said(
            "The branch sits at the head of {segment}, where the standing wave of the tone has little "
            "pressure: it does less there.",
            segment=place.key,
        ),
    )


def _chambers(line: exhaust_line.ExhaustLine, frequency: float, working: Working) -> dict[str, float]:
    """Transmission loss of silencers that are empty chambers, at the tone."""
    kept = {}
    for segment in line.segments:
        if "chamber_diameter" not in segment.row:
            continue
        ratio = working.step(
            f"chamber_area_ratio.{segment.key}",
            junctions.area_ratio,
            source="geometry",
            diameter=segment.row["chamber_diameter"],
            other_diameter=segment.bore,
        )
        sound = line.burnt.sound(segment.gas_temperature, segment.key, "chamber_speed_of_sound")
        kept[segment.key] = working.step(
            f"chamber_transmission_loss.{segment.key}",
            acoustics.transmission_loss_expansion_chamber,
            source=_CHAMBER.of(segment.key),
            frequency=frequency,
            length=segment.length,
            speed_of_sound=sound,
            area_ratio=ratio,
        )
    return kept


def _warms(given: Mapping[str, Any]) -> None:
    """Refuse a wall that is colder hot than it was when it was fitted."""
    if "fitting_temperature" not in given:
        return
    cold = given["fitting_temperature"]
    walls = [((), given), *(((index,), row) for index, row in enumerate(given["segments"]))]
    for at, holder in walls:
        hot = holder.get("wall_temperature", cold)
        if hot < cold:
            raise OutOfRange(
                "segments" if at else "wall_temperature",
                f"wall_temperature {hot - 273.15:.4g} °C",
                f"{cold - 273.15:.4g} °C, the fitting_temperature, or more",
                help="growth is what a pipe gains from cold to hot",
                at=(*at, "wall_temperature") if at else (),
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
    _warms(given)
    burnt = burnt_gas.BurntGas(given, working)
    flow = burnt.exhaust(_air(given, working))
    line = exhaust_line.ExhaustLine(given, segments, working)
    line.pressures(burnt, flow)
    if "most_back_pressure" in given:
        working.limit(
            "back_pressure",
            most=given["most_back_pressure"],
            says=said("The line [may hold|holds] the gas back by more than you allow."),
        )
    line.masses()
    if grows:
        line.growth()
    outputs: Outputs = {"excess_air_ratio": burnt.excess_air_ratio, "exhaust_mass_flow": flow, **line.values}
    outputs |= line.outputs([output.name for output in OUTPUTS if output.key == "segment"])
    if line.shares:
        outputs["path_share"] = line.shares
    _drone(given, line, working, outputs)
    return outputs


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Back pressure over engine speed where the flow comes of it, and total pressure along the line."""
    over = _over_speed(cases)
    return (over, _along(cases)) if over else (_along(cases),)


def _over_speed(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Back pressure against engine speed, with its uncertainty, and what is allowed."""
    series: list[Series] = []
    markers: dict[tuple[str, str, float], Marker] = {}
    for name, case in cases.items():
        if "engine_speed" not in case.inputs:
            continue
        chosen, share = case.inputs["engine_speed"], 0.0
        if case.outputs["back_pressure"]:
            share = case.uncertainty("back_pressure") / case.outputs["back_pressure"]
        points = _curve(case.inputs, [chosen * (0.3 + 0.75 * step / 15) for step in range(16)])
        x, y = [speed for speed, _ in points], [pressure for _, pressure in points]
        series.append(
            Series(
                label=name or "back pressure",
                x=x,
                y=y,
                style=len(series),
                low=[one * (1 - share) for one in y],
                high=[one * (1 + share) for one in y],
            )
        )
        markers["chosen", "x", chosen] = Marker("chosen speed", x=chosen)
        if "most_back_pressure" in case.inputs:
            allowed = case.inputs["most_back_pressure"]
            markers["allowed", "y", allowed] = Marker("allowed", y=allowed)
    if not series:
        return None
    return ChartSpec(
        title="Back pressure over engine speed",
        description="Total pressure at the start of the line above ambient, at full load with the volumetric "
        "efficiency, mixture and gas temperatures of the chosen speed; the band is its uncertainty.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis("back pressure", "pressure", "kPa", from_zero=True),
        series=tuple(series),
        markers=tuple(markers.values()),
    )


def _curve(inputs: Mapping[str, Any], speeds: Sequence[float]) -> list[tuple[float, float]]:
    """Back pressure at engine speeds; those at which the line refuses are left out."""
    points = []
    for speed in speeds:
        try:
            points.append((speed, _back_pressure({**inputs, "engine_speed": speed})))
        except Refused:
            continue
    return points


def _back_pressure(given: Mapping[str, Any]) -> float:
    working = Working()
    burnt = burnt_gas.BurntGas(given, working)
    line = exhaust_line.ExhaustLine(given, exhaust_line.read(given), working)
    line.pressures(burnt, burnt.exhaust(_air(given, working)))
    return line.values["back_pressure"]


def _along(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Total pressure along the line, one curve a case."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        ahead = case.outputs["pressure_ahead"]
        row = [segment for segment in exhaust_line.read(case.inputs) if _on_main_path(segment, case)]
        after = [ahead[segment.key] for segment in row[1:]] + [case.outputs["exit_loss"]]
        x, y, at = [0.0], [ahead[row[0].key]], 0.0
        for segment, low in zip(row, after, strict=True):
            high, steps = ahead[segment.key], max(4, 60 // len(row))
            x += [at + segment.length * step / steps for step in range(1, steps + 1)]
            y += [high + (low - high) * step / steps for step in range(1, steps + 1)]
            at += segment.length
        series.append(Series(label=name or "total pressure", x=[*x, at], y=[*y, 0.0], style=style))
    return ChartSpec(
        title="Pressure along the exhaust",
        description="Total pressure above ambient from the start of the line to the open air, where paths "
        "run side by side along the one that takes more. It falls along tubes and faster through silencers "
        "and catalysts; the last drop is the speed of the gas, lost at the exit.",
        x=Axis("way along the exhaust", "length", "m", from_zero=True),
        y=Axis("pressure above ambient", "pressure", "kPa", from_zero=True),
        series=tuple(series),
    )


def _on_main_path(segment: exhaust_line.LineSegment, case: CaseView) -> bool:
    """Whether a segment is passed by all of the gas or by the larger part of it."""
    shares = case.outputs.get("path_share", {})
    return "path" not in segment.row or shares[segment.row["path"]] >= 0.5
