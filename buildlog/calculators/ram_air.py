"""The engine's box at road speed: what each mouth brings, what the wind gives, and what it cannot.

Air brought to rest rises in pressure by about ρv²/2: 1.2 kPa at 100 mph (161 km/h), a fifth of a psi. That
is all there is. The block works out the ambient air, this ram pressure, how much of it reaches the box and
the engine behind it, what the scoops meet against what the engine draws, the temperature of the air of all
mouths mixed, the suction at the box's drain, and a bound on what the pressure can do for the power.

**The engine.** With `engine_speed` it is the same at every road speed. With `gear`, one for each of
`speed`, and `gears`, `final_drive` and `rolling_circumference` it follows the road: in a gear the share
that a scoop meets is the same at every speed, and “the speed at which it keeps up” does not exist. Results
then go by speed and gear, `158-km/h-in-4`.

**One opening, one loss.** Give the opening (`scoop_area` or `scoop_diameter`), its `recovery`, and the loss
to the box, as a pressure at the engine's flow or as the sum of loss coefficients on the velocity in a duct
of `duct_diameter` (bends, filter and the dump into the box, which alone costs 1.0).

**Piece by piece.** Or give `segments`, rows as in `duct`, with a `scoop` or an `inlet` first. Rows with
`path: a`, `path: b` are several ways into one box: the old inlet kept beside a new scoop, say. The rows
after them are passed by all the air. A scoop has a `recovery` and an `edge`; an `inlet` does not face the
wind. A mouth may have a `temperature` of its own, behind a radiator. The pressure in the box is the one at
which all mouths together bring what the engine draws. A mouth out of the wind may well blow out, and the
block says so.

**Recovery.** Measure the opening at its narrowest, square to the flow. The best recovery is a measured one:
a manometer or a differential sensor from the box to a still place in the cabin at a steady speed. Read with
the duct stopped it is `recovery_stopped`, and the mouth that takes all it meets has `recovery`; between
them the block goes straight. Of several mouths, one that recovers more the more it takes may rob another, or
blow it out (NACA, of twin intakes); where no steady flow is left, the block refuses. Measured in the box
with the engine drawing, the losses are in it: then `pressure_loss: 0 Pa`.

| opening | recovery | source |
|---|---|---|
| whole of the ram pressure, no loss | 1 | definition; a Pitot tube |
| forward-facing, in clean air | 0.5–0.9 | common practice, no source |
| flush with a panel | falls as the boundary layer thickens | NACA RM A7I30 (1948), summary |
| in the wake, or over a crest of the body | 0 or below: not for this block | common practice, no source |

A mouth that is asked for more than it meets loses at its lip, by ρ(u − v)²/2 where it is sharp and stands
free, `edge: projecting` (u the velocity in the mouth, v that of the car): nothing at v, and all of ρu²/2 at
rest, as the balance of momentum says (NACA Report 1193). Flush with a wall, `edge: sharp`, it is half of
that, as in still air. A rounded lip loses its share of that: 0.74 with an edge radius of 0.02 of
the bore, 0.32 with 0.06, 0.15 with 0.10, 0.03 from 0.20 on (Idelchik). What is not drawn spills, and a
larger scoop gives no more pressure, only more drag.

**The bound on power.** `power_bound` is the power that the pressure at the inlet allows over that with
ambient pressure there, as if nothing warmed the air: indicated power goes with pressure, friction stays
(the split of SAE J1349). Compare cases with it: what one arrangement can gain over the first by its
pressure is the ratio of the two, `"vs before"` in a figure, whichever side of ambient they are on. The gain
to expect lies below. What colder air brings comes on top, see `charge_temperature`; `density_gain` has
both.

**What is assumed.** The engine draws the same volume whatever the small change of pressure; its volumetric
efficiency refers to ambient pressure and the mixed air. Within Mach 0.3 in a duct. Air brought to rest
warms, by 1.0 K at 100 mph, which takes back two sevenths of the gain in density; heat from walls is not in
it. The streams mix wholly. The drain ends where the pressure outside is `drain_pressure_coefficient` times
ρv²/2.

**How sure it is.** Doubts of ducts are those of `duct`, 30 % of a lip's loss are added, and a recovery
without ± is known to ±0.15.

```yaml
id: nose-scoop
kind: ram_air
inputs:
  speed: [80 km/h, 120 km/h, 160 km/h]
  gear: [3, 4, 5]
  gears: [3.1, 2.0, 1.5, 1.2, 1.0]
  final_drive: 4.1
  rolling_circumference: 1.85 m
  rev_limit: 7600 rpm
  altitude: 650 m
  ambient_temperature: 18 °C
  relative_humidity: 55 %
  engine_displacement: 1998 cm³
  volumetric_efficiency: 96 %
cases:
  before:
    segments:
      - {name: old, kind: inlet, diameter: 60 mm, edge: projecting, temperature: 45 °C}
      - {name: old-dump, kind: exit, diameter: 60 mm}
      - {name: panel, kind: filter, rated_pressure: 500 Pa, rated_flow: 0.12 m³/s, exponent: 1.5}
  both:
    segments:
      - {path: a, name: old, kind: inlet, diameter: 60 mm, edge: projecting, temperature: 45 °C}
      - {path: a, name: old-dump, kind: exit, diameter: 60 mm}
      - {path: b, name: nose, kind: scoop, section: oval, width: 130 mm, height: 60 mm, recovery: 0.75,
         edge: rounded, edge_radius: 5 mm}
      - {path: b, name: funnel, kind: expansion, section: oval, width: 130 mm, height: 60 mm,
         diameter_after: 98 mm, angle: 20°}
      - {path: b, name: hose, kind: hose, diameter: 98 mm, length: 0.8 m, roughness: 0.5 mm}
      - {path: b, name: new-dump, kind: exit, diameter: 98 mm}
      - {name: panel, kind: filter, rated_pressure: 500 Pa, rated_flow: 0.12 m³/s, exponent: 1.5}
```
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from math import pi
from operator import mul
from typing import Annotated, Any

from buildlog.diagnostics import AsWritten, InputsConflict, MissingInput, NoSolution, OutOfRange
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
    Table,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.keys import address_key, value_keys
from buildlog.kinds.models import ducts, filling
from buildlog.physics import air, compressible, drivetrain, duct_heat, engine_air, network, scoop
from buildlog.physics.duct_segments import MOUTHS, DuctLayout, DuctSegment
from buildlog.physics.intake import (
    Intake,
    Stream,
    box_pressure,
    engine_speed_as_given,
    inlet_pressure,
    mass_flow_in,
    mixed_temperature,
    share_of_draw,
)
from buildlog.said import said

KIND = "ram_air"

_SPEED = Number(
    dimension="speed",
    unit="km/h",
    low=10,
    high=450,
    why="road cars; below 10 km/h there is no ram to speak of",
)
_BORE = Number(dimension="length", unit="mm", low=10, high=500, why="openings and hoses of car intakes")


def _per_speed(
    name: str,
    title: str,
    dimension: str,
    unit: str,
    about: str,
    decimals: int,
    needs: tuple[str, ...] = (),
    is_change: bool = False,
) -> Output:
    """An output with a value for each of speed."""
    return Output(
        name=name,
        title=title,
        dimension=dimension,
        unit=unit,
        about=about,
        decimals=decimals,
        key="speed",
        needs=needs,
        is_change=is_change,
    )


_SHARE = Number(
    dimension="ratio", unit="", low=0, high=1, why="more than the full ram pressure cannot arrive"
)
_RECOVERY = Doubt(
    name="recovery",
    about="a recovery that was not measured",
    source="openings",
    absolute=0.15,
)
_ROW = (
    ducts.kind_column({"scoop": "mouth that faces the wind", **ducts.KINDS}),
    Input(
        name="recovery",
        form=_SHARE,
        about="of a scoop: share of the ram pressure that it recovers where it takes what it meets",
        required=False,
        doubt=_RECOVERY,
    ),
    Input(
        name="recovery_stopped",
        title="recovery with the duct stopped",
        form=_SHARE,
        about="of a scoop: the same with the duct stopped; as recovery if left out",
        required=False,
        doubt=_RECOVERY,
    ),
    Input(
        name="temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=150, why="air about an engine"),
        about="of a mouth: its air, where it is not that outside",
        required=False,
    ),
    *ducts.COLUMNS,
)

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
        form=_SHARE,
        about="share of the ram pressure that the opening recovers where it takes what it meets",
        required=False,
        doubt=_RECOVERY,
    ),
    Input(
        name="recovery_stopped",
        title="recovery with the duct stopped",
        form=_SHARE,
        about="the same with the duct stopped; as recovery if left out",
        required=False,
        doubt=_RECOVERY,
    ),
    Input(
        name="lip_loss_coefficient",
        form=Number(dimension="ratio", unit="", low=0, high=1, why="from a bellmouth to a sharp lip"),
        about="of the opening in still air, where segments do not say its edge",
        default="0.5 ± 0.4 limits",
        default_source="from a rounded lip to a sharp one (Idelchik, NACA Report 1193)",
    ),
    Input(
        name="segments",
        form=Table(_ROW, 1, 40),
        about="mouths, ducts and filter piece by piece, instead of one opening and one loss",
        required=False,
    ),
    Input(
        name="bend_rule",
        form=Choice({"ito": "Ito (1960), any angle", "crane": "Crane TP-410, 90° and more"}),
        about="whose loss coefficient of a bend",
        default="ito",
        default_source="measured on smooth bends at the Reynolds numbers of car intakes",
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
        doubt=ducts.STATED_COEFFICIENT,
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
        about="engine speed at which the draw is wanted, at every road speed; or give gear",
        required=False,
    ),
    Input(
        name="gear",
        form=Listed(Whole(1, 10, why="gears of cars"), 1, 12),
        about="gear that the car is in at each of speed; needs gears, final_drive, rolling_circumference",
        required=False,
    ),
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8.0, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios, first gear first",
        required=False,
    ),
    Input(
        name="final_drive",
        form=Number(
            dimension="ratio",
            unit="",
            low=1.5,
            high=8.0,
            why="final drives of cars; driven over driving teeth",
        ),
        about="final drive ratio, or tooth counts: driven/driving",
        required=False,
    ),
    Input(
        name="rolling_circumference",
        form=Number(
            dimension="length", unit="m", low=1.0, high=3.0, why="rolling circumferences of car tyres"
        ),
        about="road covered by one turn of the wheel",
        required=False,
    ),
    Input(
        name="rev_limit",
        form=Number(
            dimension="rotational speed", unit="rpm", low=500, high=20_000, why="piston engines of cars"
        ),
        about="engine speed at which the limiter cuts in, beyond which no gear reaches",
        required=False,
    ),
    Input(
        name="drain_pressure_coefficient",
        form=Number(dimension="ratio", unit="", low=-3, high=1, why="wakes and lips to a stagnation point"),
        about="pressure outside at the end of the box's drain over the dynamic pressure of the wind",
        default="0.0 ± 0.2",
        default_source="a drain under the floor; common practice, no source",
    ),
    Input(
        name="volumetric_efficiency",
        form=Number(dimension="ratio", unit="%", low=30, high=140, why="engines without a supercharger"),
        about="air drawn over displacement, at ambient pressure (at full load commonly 85–105 %, no source)",
        doubt=filling.GUESSED_VOLUMETRIC_EFFICIENCY,
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
        title="absolute ambient pressure",
        dimension="pressure",
        unit="hPa",
        decimals=1,
    ),
    Output(
        name="ambient_density",
        title="density of the ambient air",
        dimension="density",
        unit="kg/m³",
        about="humid",
        decimals=4,
    ),
    Output(
        name="keep_up_speed",
        title="road speed at which the scoops keep up",
        dimension="speed",
        unit="km/h",
        about="with what the engine draws at one engine speed",
        decimals=1,
        needs=("engine_speed",),
    ),
    Output(
        name="break_even_speed",
        title="road speed at which ram makes up the losses",
        dimension="speed",
        unit="km/h",
        about="to the inlet, at one engine speed",
        decimals=1,
        needs=("engine_speed",),
    ),
    _per_speed(
        "engine_speed",
        "engine speed at the road speed",
        "rotational speed",
        "rpm",
        "engine speed at that road speed",
        0,
    ),
    _per_speed(
        "air_drawn",
        "volume flow drawn by the engine",
        "volume flow",
        "m³/s",
        "at ambient pressure",
        4,
    ),
    _per_speed(
        "air_mass_drawn",
        "mass flow drawn by the engine",
        "mass flow",
        "kg/s",
        "",
        4,
    ),
    _per_speed(
        "duct_velocity",
        "mean air velocity in the duct",
        "speed",
        "m/s",
        "mean velocity in the duct",
        1,
        needs=("duct_diameter",),
    ),
    _per_speed("dynamic_pressure", "dynamic pressure of the airstream", "pressure", "Pa", "ρv²/2", 0),
    _per_speed(
        "ram_pressure",
        "stagnation pressure above ambient",
        "pressure",
        "Pa",
        "stagnation pressure above ambient",
        0,
    ),
    _per_speed(
        "box_pressure_rise",
        "box pressure above ambient",
        "pressure",
        "Pa",
        "",
        0,
    ),
    _per_speed(
        "inlet_pressure_rise",
        "inlet pressure above ambient",
        "pressure",
        "Pa",
        "behind filter and hoses",
        0,
    ),
    _per_speed(
        "ram_heating",
        "temperature rise of the air brought to rest",
        "temperature difference",
        "K",
        "",
        2,
    ),
    _per_speed(
        "inlet_temperature",
        "air temperature at the inlet",
        "temperature",
        "°C",
        "all mouths mixed, without heat of walls",
        1,
    ),
    _per_speed(
        "air_caught",
        "air flow met by the scoops",
        "volume flow",
        "m³/s",
        "as ambient air",
        4,
    ),
    _per_speed(
        "capture_ratio",
        "capture ratio of the scoops",
        "ratio",
        "",
        "air they meet over air drawn",
        2,
    ),
    _per_speed(
        "density_gain",
        "change of the air density at the inlet",
        "ratio",
        "%",
        "against ambient",
        2,
        is_change=True,
    ),
    _per_speed(
        "power_bound",
        "upper bound of the power by pressure",
        "ratio",
        "%",
        "most this pressure allows, over that with ambient pressure",
        2,
    ),
    _per_speed(
        "drain_suction",
        "suction at the drain",
        "pressure",
        "Pa",
        "box below the air at its end",
        0,
    ),
    Output(
        name="mouth_flow",
        title="mass flow of the mouth",
        dimension="mass flow",
        unit="kg/s",
        about="below 0 it blows out",
        decimals=4,
        key="speed",
        needs=("segments",),
    ),
    Output(
        name="mouth_share",
        title="mouth's share of the air drawn",
        dimension="ratio",
        unit="%",
        about="of what the engine draws",
        decimals=1,
        key="speed",
        needs=("segments",),
    ),
)

SOURCES = (
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 18, 23, 33a, Table 4, as the source code of galata and poliastro has them (read); "
        "ISO 2533:1975 agrees (from memory)",
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
        where="air at rest from air in motion (eqs. 43 and 44, numbers from memory): the ratios to "
        "Mach 0.9 read in a textbook's table",
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
        id="naca-1193",
        title="Theoretical performance characteristics of sharp-lip inlets at subsonic speeds, "
        "E. A. Fradenburgh and D. D. Wyatt",
        publisher="NACA",
        edition="TN 3004 (1953), Report 1193 (1954)",
        where="summary: losses at the lip where the mouth is asked for more than it meets, from a balance "
        "of momentum, confirmed at rest",
    ),
    Source(
        id="naca-twin",
        title="Criteria for initial flow reversal in symmetrical twin-intake air-induction systems "
        "operating at supersonic speeds, A. Beke",
        publisher="NACA",
        where="summary: one of two mouths brings nothing where their pressure has its greatest at more "
        "than half of the flow",
    ),
    Source(
        id="idelchik",
        title="Handbook of Hydraulic Resistance, I. E. Idelchik",
        publisher="ASHRAE, Fitting Loss Coefficients (2021)",
        where="1-2: diagram 3-4, bellmouth without end wall",
    ),
    Source(
        id="openings",
        title="Recovery of openings, as listed on this page",
        standing="common practice, no source",
    ),
    Source(id="kinematics", title="Kinematics of the driveline, without slip", standing="derived"),
    Source(id="enthalpy", title="Balance of enthalpy of streams that mix", standing="derived"),
    *(source for source in ducts.SOURCES if source.id != "continuity"),
    Source(
        id="j1349",
        title="SAE J1349, Engine Power Test Code",
        publisher="SAE",
        edition="June 1990",
        where="factor 1.18 c − 0.18, as testers quote it (read); that it stands for a mechanical "
        "efficiency of 85 % is from memory",
    ),
    filling.SOURCE,
)

DOUBTS = (*ducts.DOUBTS, ducts.LIP)

DRAWS = 100

HAZARDS = ("intake-water", "road-testing", "noise-emissions")

# Ratio of specific heats of dry air. Water vapour lowers it by at most 0.006 on a hot, damp day, which
# changes the ram pressure of a road car by less than 0.01 %.
_HEAT_CAPACITY_RATIO = 1.4
_INCOMPRESSIBLE = 0.3
_FASTEST_MACH = 0.4
_RPM = pi / 30


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


def _read_air(given: Mapping[str, Any], working: Working, outputs: Outputs) -> _Air:
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
    viscosity = working.step(
        "dynamic_viscosity", air.dynamic_viscosity, source="us-1976", temperature=temperature
    )
    return _Air(
        pressure=pressure,
        density=density,
        temperature=temperature,
        constant=constant,
        sound=sound,
        viscosity=viscosity,
    )


@dataclass(frozen=True, kw_only=True)
class _Air:
    """Ambient air, SI; `constant` is its gas constant."""

    pressure: float
    density: float
    temperature: float
    constant: float
    sound: float
    viscosity: float

    def ram(self, speed: float) -> float:
        """Stagnation pressure above ambient."""
        return compressible.stagnation_pressure_rise(
            self.pressure, compressible.mach_number(speed, self.sound), _HEAT_CAPACITY_RATIO
        )

    def heating(self, speed: float, temperature: float) -> float:
        """Warming of air of a temperature that is brought to rest."""
        mach = compressible.mach_number(speed, self.sound)
        return compressible.stagnation_temperature_rise(temperature, mach, _HEAT_CAPACITY_RATIO)


@dataclass(frozen=True, kw_only=True)
class _Way:
    """One mouth with its duct, before any road speed."""

    name: str
    path: network.FlowPath
    area: float
    temperature: float
    faces: bool
    recovery: float = 0.0
    recovery_stopped: float = 0.0
    lip: float = 0.0

    def at(self, speed: float, ambient: _Air) -> Stream:
        """The stream that it brings at a road speed."""
        wind = speed if self.faces else 0.0
        rest = self.temperature + (ambient.heating(wind, self.temperature) if wind else 0.0)
        return Stream(
            name=self.name,
            path=self.path,
            area=self.area,
            recovery=self.recovery,
            recovery_stopped=self.recovery_stopped,
            lip=self.lip,
            speed=wind,
            ram=ambient.ram(wind) if wind else 0.0,
            temperature=rest,
            density=ambient.pressure / (ambient.constant * self.temperature),
            viscosity=ambient.viscosity
            if self.temperature == ambient.temperature
            else air.dynamic_viscosity(self.temperature),
        )


@dataclass(frozen=True, kw_only=True)
class _Intake:
    """All of an intake that does not depend on the speed."""

    ambient: _Air
    ways: tuple[_Way, ...]
    behind: network.FlowPath

    def at(self, speed: float, drawn: float) -> Intake:
        streams = tuple(way.at(speed, self.ambient) for way in self.ways)
        return Intake(streams=streams, behind=self.behind, drawn=drawn)

    def inlet_rise(self, speed: float, drawn: float) -> float:
        """Pressure at the engine's inlet above ambient."""
        there = self.at(speed, drawn)
        return inlet_pressure(there, box_pressure(there, drawn, self.ambient.pressure))


# --- one opening and one loss, or piece by piece ------------------------------------------------


def _simple(given: Mapping[str, Any], fastest: float, ambient: _Air, working: Working) -> _Intake:
    """One opening, and one loss behind it."""
    _either(given, "scoop_area", "scoop_diameter")
    if "recovery" not in given:
        raise MissingInput("recovery", "neither recovery nor segments", "one of them")
    area = given.get("scoop_area")
    if area is None:
        area = working.step(
            "scoop_area", scoop.circle_area, source="continuity", diameter=given["scoop_diameter"]
        )
    way = _Way(
        name="",
        path=_one_loss(given, fastest, ambient),
        area=area,
        temperature=ambient.temperature,
        faces=True,
        recovery=given["recovery"],
        recovery_stopped=given.get("recovery_stopped", given["recovery"]),
        lip=given["lip_loss_coefficient"] * working.factor(ducts.LIP),
    )
    return _Intake(ambient=ambient, ways=(way,), behind=network.FlowPath(()))


def _one_loss(given: Mapping[str, Any], fastest: float, ambient: _Air) -> network.FlowPath:
    """The loss from the opening to the box as a part of a duct."""
    _either(given, "pressure_loss", "loss_coefficient")
    if "pressure_loss" in given:
        for other in ("duct_diameter", "gear"):
            if other in given:
                raise InputsConflict(
                    other,
                    "pressure_loss as well",
                    "it with loss_coefficient only",
                    help="a loss given as pressure is that at one flow, and needs no duct",
                )
        if not given["pressure_loss"]:
            return network.FlowPath(())
        part = network.FlowPart(rated_pressure=given["pressure_loss"], rated_flow=fastest)
        return network.FlowPath((part,))
    if "duct_diameter" not in given:
        raise MissingInput("duct_diameter", "loss_coefficient without it", "the bore it refers to")
    velocity = scoop.mean_velocity(fastest, scoop.circle_area(given["duct_diameter"]))
    if velocity > (limit := _INCOMPRESSIBLE * ambient.sound):
        raise OutOfRange(
            "duct_diameter",
            f"a mean velocity of {velocity:.0f} m/s",
            f"at most Mach 0.3, {limit:.0f} m/s",
            help="the loss is computed as incompressible; a duct this small chokes the engine",
        )
    part = network.FlowPart(bore=given["duct_diameter"], coefficient=given["loss_coefficient"])
    return network.FlowPath((part,))


_SIMPLE = (
    "scoop_area", "scoop_diameter", "recovery", "recovery_stopped", "pressure_loss", "loss_coefficient",
    "duct_diameter",
)  # fmt: skip


def _pieces(given: Mapping[str, Any], fastest: float, ambient: _Air, working: Working) -> _Intake:
    """Mouths, ducts and filter as rows."""
    for name in _SIMPLE:
        if name in given:
            raise InputsConflict(name, "segments as well", "one of the two", help="leave it out: rows say it")
    layout = DuctLayout.read(given["segments"])
    members, behind = _node(layout)
    state = {"density": ambient.density, "dynamic_viscosity": ambient.viscosity}
    ducting = ducts.Ducting(layout, given["bend_rule"], state, ambient.sound, working)
    ways = []
    for name, rows in members.items():
        mouth = rows[0]
        if mouth.kind not in MOUTHS:
            raise InputsConflict(
                "segments",
                f"segment {mouth.key} ({mouth.kind}) first on its way",
                "a scoop or an inlet, where the air comes in",
                at=(mouth.place, "kind"),
            )
        ways.append(_way(mouth.key if name else "", rows, ducting, ambient))
    intake = _Intake(
        ambient=ambient,
        ways=tuple(ways),
        behind=network.FlowPath(tuple(ducting.parts[segment.key] for segment in behind)),
    )
    if not any(way.faces for way in ways):
        working.remark(said("No mouth faces the wind: there is no ram."))
    _check_velocities(layout.segments if not layout.paths else behind, ducting, fastest, ambient)
    return intake


def _node(
    layout: DuctLayout,
) -> tuple[dict[str, tuple[DuctSegment, ...]], tuple[DuctSegment, ...]]:
    """The ways into the box, and what all the air passes behind it. One way ends with its first exit."""
    if layout.paths:
        if layout.before:
            raise InputsConflict(
                "segments",
                f"segment {layout.before[0].key} of no path before the paths",
                "each path from its own mouth",
                at=(layout.before[0].place, "kind"),
            )
        return dict(layout.paths), layout.after
    exits = [place for place, segment in enumerate(layout.before) if segment.kind == "exit"]
    end = exits[0] + 1 if exits else len(layout.before)
    return {"": layout.before[:end]}, layout.before[end:]


def _way(name: str, rows: tuple[DuctSegment, ...], ducting: ducts.Ducting, ambient: _Air) -> _Way:
    mouth = rows[0]
    row = mouth.row
    recovery = float(row.get("recovery", 0.0))
    return _Way(
        name=name,
        path=network.FlowPath(tuple(ducting.parts[segment.key] for segment in rows)),
        area=scoop.circle_area(mouth["diameter"]),
        temperature=float(row.get("temperature", ambient.temperature)),
        faces=mouth.kind == "scoop",
        recovery=recovery,
        recovery_stopped=float(row.get("recovery_stopped", recovery)),
        lip=ducting.lips.get(mouth.key, 0.0),
    )


def _check_velocities(
    segments: tuple[DuctSegment, ...], ducting: ducts.Ducting, fastest: float, ambient: _Air
) -> None:
    """Refuse a bore that all the air would pass too fast for an incompressible loss."""
    for segment in segments:
        bore = ducting.parts[segment.key].bore
        if bore and fastest / scoop.circle_area(bore) > _INCOMPRESSIBLE * ambient.sound:
            raise OutOfRange(
                "segments",
                f"segment {segment.key} ({segment.kind}): {fastest / scoop.circle_area(bore):.0f} m/s",
                f"at most Mach 0.3, {_INCOMPRESSIBLE * ambient.sound:.0f} m/s",
                help="the loss is computed as incompressible; a duct this small chokes the engine",
                at=(segment.place, "diameter"),
            )


# --- the engine ----------------------------------------------------------------------------------


def _points(given: Mapping[str, Any], working: Working) -> dict[str, tuple[float, float]]:
    """Key → road speed and engine speed."""
    if "gear" in given and "engine_speed" in given:
        raise InputsConflict("gear", "engine_speed as well", "one of the two", help="leave one out")
    if "gear" not in given and "engine_speed" not in given:
        raise MissingInput("engine_speed", "neither engine_speed nor gear", "one of them")
    if "gear" not in given:
        keys = value_keys("speed", given["speed"])
        points = {}
        for key, speed in zip(keys, given["speed"], strict=True):
            working.step(
                f"engine_speed.{key}",
                engine_speed_as_given,
                source="kinematics",
                engine_speed=given["engine_speed"],
            )
            points[key] = speed, float(given["engine_speed"])
        return points
    return _in_gear(given, working)


def _in_gear(given: Mapping[str, Any], working: Working) -> dict[str, tuple[float, float]]:
    given_together(given, ("gear", "gears", "final_drive", "rolling_circumference"), "the gear needs them")
    if len(given["gear"]) != len(given["speed"]):
        raise InputsConflict(
            "gear", f"{len(given['gear'])} gears", f"one for each of speed, {len(given['speed'])}"
        )
    points: dict[str, tuple[float, float]] = {}
    for index, (speed, gear) in enumerate(zip(given["speed"], given["gear"], strict=True)):
        if gear > len(given["gears"]):
            raise OutOfRange(
                "gear", f"gear {gear}", f"1 to {len(given['gears'])}, the gears there are", at=(index,)
            )
        written = speed.text if isinstance(speed, AsWritten) else str(index + 1)
        key = address_key(f"{written}-in-{gear}")
        if key in points:
            raise InputsConflict("speed", f"{written} in gear {gear} twice", "each once", at=(index,))
        overall = working.step(
            f"overall_ratio.{key}",
            drivetrain.overall_ratio,
            source="kinematics",
            gear_ratio=given["gears"][gear - 1],
            final_drive=given["final_drive"],
        )
        revs = working.step(
            f"engine_speed.{key}",
            drivetrain.engine_speed,
            source="kinematics",
            road_speed=speed,
            overall_ratio=overall,
            rolling_circumference=given["rolling_circumference"],
        )
        if revs > given.get("rev_limit", revs):
            raise OutOfRange(
                "gear",
                f"{written} in gear {gear}, which is {revs / _RPM:.0f} rpm",
                f"up to the limiter at {given['rev_limit'] / _RPM:.0f} rpm",
                help="take a higher gear, or a lower speed",
                at=(index,),
            )
        points[key] = speed, revs
    return points


# --- compute -------------------------------------------------------------------------------------


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Ram, catch, mixture, pressure and the bound on power of one case; SI in, SI out."""
    outputs: Outputs = {}
    highest = max(given["speed"])
    if (top := given.get("top_speed", highest)) < highest:
        raise InputsConflict(
            "top_speed",
            f"{top * 3.6:.1f} km/h",
            f"at least the highest of speed, {highest * 3.6:.1f} km/h",
            help="raise it, or leave it out",
        )
    ambient = _read_air(given, working, outputs)
    points = _points(given, working)
    table: dict[str, dict[str, float]] = {}
    drawn = table["air_drawn"] = {
        key: working.step(
            f"air_drawn.{key}",
            engine_air.air_demand,
            source="heywood",
            displacement=given["engine_displacement"],
            engine_speed=revs,
            volumetric_efficiency=given["volumetric_efficiency"],
        )
        for key, (_, revs) in points.items()
    }
    table["engine_speed"] = {key: revs for key, (_, revs) in points.items()}
    intake = _built(given, max(drawn.values()), ambient, working)
    if "engine_speed" in given:
        _even_speeds(intake, next(iter(drawn.values())), working, outputs)
    for key, (speed, _) in points.items():
        _at_speed(key, speed, given, intake, table, working)
    outputs.update(table)
    _cautions(intake, table, working)
    return outputs


def _built(given: Mapping[str, Any], fastest: float, ambient: _Air, working: Working) -> _Intake:
    make = _pieces if "segments" in given else _simple
    return make(given, fastest, ambient, working)


def _even_speeds(intake: _Intake, drawn: float, working: Working, outputs: Outputs) -> None:
    """The road speeds at which the scoops meet the draw, and at which ram makes up the losses."""
    facing = [way for way in intake.ways if way.faces]
    if not facing:
        return
    outputs["keep_up_speed"] = working.step(
        "keep_up_speed",
        scoop.mean_velocity,
        source="continuity",
        volume_flow=drawn,
        area=sum(way.area for way in facing),
    )
    fastest = _FASTEST_MACH * intake.ambient.sound
    try:
        if intake.inlet_rise(fastest, drawn) <= 0:
            working.remark(said("At this recovery ram never makes up the losses on the way."))
            return
        outputs["break_even_speed"] = working.step(
            "break_even_speed", _break_even, intake, source="continuity", drawn=drawn, fastest=fastest
        )
    except NoSolution:
        working.remark(
            said(
                "The road speed at which ram makes up the losses is not given: at some speeds these mouths "
                "have no steady flow together."
            )
        )


def _break_even(
    intake: _Intake,
    drawn: Annotated[float, "Q", "m³/s"],
    fastest: Annotated[float, "v_m", "m/s"],
) -> Annotated[float, "v", "m/s"]:
    """Road speed at which the engine's inlet stands at ambient pressure.

    Formula: Δp_e(v) = 0, solved for v. Symbols: Δp_e(v) pressure at the engine's inlet above ambient at a
    road speed (Pa), Q volume the engine draws (m³/s), v_m a speed at which it is above 0 (m/s), v road speed
    (m/s).
    In words: found by iteration.
    Range: Q and v_m positive. Source: `box_pressure`, which rises with the road speed.
    """
    low, high = 0.0, fastest
    while high - low > 1e-10 * fastest:
        middle = (low + high) / 2
        if intake.inlet_rise(middle, drawn) > 0:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def _at_speed(
    key: str,
    speed: float,
    given: Mapping[str, Any],
    intake: _Intake,
    table: dict[str, dict[str, float]],
    working: Working,
) -> None:
    """Everything at one road speed and engine speed."""
    ambient, drawn = intake.ambient, table["air_drawn"][key]

    def note(
        name: str, function: Callable[..., float], /, *records: object, source: str, **values: float
    ) -> float:
        value = working.step(f"{name}.{key}", function, *records, source=source, **values)
        table.setdefault(name, {})[key] = value
        return value

    wind = note(
        "dynamic_pressure",
        compressible.dynamic_pressure,
        source="continuity",
        density=ambient.density,
        speed=speed,
    )
    mach = working.step(
        f"mach_number.{key}",
        compressible.mach_number,
        source="naca-1135",
        speed=speed,
        speed_of_sound=ambient.sound,
    )
    note(
        "ram_pressure",
        compressible.stagnation_pressure_rise,
        source="naca-1135",
        pressure=ambient.pressure,
        mach_number=mach,
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
    )
    note(
        "ram_heating",
        compressible.stagnation_temperature_rise,
        source="naca-1135",
        temperature=ambient.temperature,
        mach_number=mach,
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
    )
    if "duct_diameter" in given:
        area = scoop.circle_area(given["duct_diameter"])
        note("duct_velocity", scoop.mean_velocity, source="continuity", volume_flow=drawn, area=area)
    there = intake.at(speed, drawn)
    box = note(
        "box_pressure_rise", box_pressure, there, source="network", drawn=drawn, pressure=ambient.pressure
    )
    inlet = note("inlet_pressure_rise", inlet_pressure, there, source="network", box_pressure_rise=box)
    mixed = note("inlet_temperature", mixed_temperature, there, source="enthalpy", box_pressure_rise=box)
    _mouths(key, there, box=box, sound=ambient.sound, table=table, working=working)
    facing = sum(way.area for way in intake.ways if way.faces)
    caught = note("air_caught", scoop.flow_caught, source="continuity", area=facing, speed=speed)
    note("capture_ratio", scoop.capture_ratio, source="continuity", flow_caught=caught, air_drawn=drawn)
    rise = working.step(
        f"warming.{key}",
        duct_heat.temperature_difference,
        source="enthalpy",
        temperature_before=ambient.temperature,
        temperature_after=mixed,
    )
    note(
        "density_gain",
        engine_air.density_gain,
        source="ideal-gas",
        pressure=ambient.pressure,
        temperature=ambient.temperature,
        pressure_rise=inlet,
        temperature_rise=rise,
    )
    note(
        "power_bound",
        engine_air.power_bound,
        source="j1349",
        pressure_rise=inlet,
        pressure=ambient.pressure,
        mechanical_efficiency=given["mechanical_efficiency"],
    )
    outside = working.step(
        f"pressure_at_drain.{key}",
        scoop.pressure_by_coefficient,
        source="continuity",
        pressure_coefficient=given["drain_pressure_coefficient"],
        dynamic_pressure=wind,
    )
    note(
        "drain_suction",
        scoop.suction_at_drain,
        source="continuity",
        pressure_outside=outside,
        box_pressure_rise=box,
    )


def _mouths(
    key: str,
    there: Intake,
    *,
    box: float,
    sound: float,
    table: dict[str, dict[str, float]],
    working: Working,
) -> None:
    """What each mouth brings, and all of them together."""
    _check_ways(there, box, sound)
    for number, stream in enumerate(there.streams, start=1):
        name = f"mouth_flow.{stream.name}-at-{key}" if stream.name else f"air_through_mouth.{key}"
        flow = working.step(
            name, mass_flow_in, there, source="network", mouth=float(number), box_pressure_rise=box
        )
        if stream.name:
            table.setdefault("mouth_flow", {})[f"{stream.name}-at-{key}"] = flow
    table.setdefault("air_mass_drawn", {})[key] = working.step(
        f"air_mass_drawn.{key}",
        engine_air.mass_flow,
        source="heywood",
        density=there.mixed(there.flows(box))[1],
        volume_flow=there.drawn,
    )
    for stream in there.streams:
        if not stream.name:
            continue
        at = f"{stream.name}-at-{key}"
        table.setdefault("mouth_share", {})[at] = working.step(
            f"mouth_share.{at}",
            share_of_draw,
            source="continuity",
            part=table["mouth_flow"][at],
            whole=table["air_mass_drawn"][key],
        )


def _check_ways(there: Intake, box: float, sound: float) -> None:
    """Refuse a way among others that its share of the air passes too fast for an incompressible loss."""
    if len(there.streams) == 1:
        return  # all the air goes that way, and it has been looked at
    for stream, flow in zip(there.streams, there.flows(box), strict=True):
        narrowest = min((part.bore for part in stream.path.parts if part.bore), default=0.0)
        if narrowest and abs(flow) / scoop.circle_area(narrowest) > (most := _INCOMPRESSIBLE * sound):
            raise OutOfRange(
                "segments",
                f"{abs(flow) / scoop.circle_area(narrowest):.0f} m/s on the way of {stream.name}",
                f"at most Mach 0.3, {most:.0f} m/s",
                help="the loss is computed as incompressible: give that way more bore",
            )


def _in_words(key: str) -> str:
    """A key of a road speed and a gear as a reader says it."""
    at, _, gear = key.partition("-in-")
    speed = at.replace("-km/h", " km/h").replace("-mph", " mph")
    return said("{speed} in gear {gear}", speed=speed, gear=gear) if gear else speed


def _cautions(intake: _Intake, table: Mapping[str, Mapping[str, float]], working: Working) -> None:
    """What results have to keep to at every speed, told where it is worst, and what has no number."""
    for key in table["inlet_pressure_rise"]:
        at = _in_words(key)
        working.limit(
            "inlet_pressure_rise",
            key,
            least=0.0,
            together="inlet",
            says=said(
                "At {speed} the inlet [may be|is] below ambient: the losses on the way eat the ram, and "
                "there is no gain from it.",
                speed=at,
            ),
        )
        working.limit(
            "drain_suction",
            key,
            most=0.0,
            together="drain",
            says=said(
                "At {speed} the box [may be|is] below the air outside its drain: water is held up there, by "
                "1 mm for each 9.8 Pa.",
                speed=at,
            ),
        )
        if any(way.faces for way in intake.ways):
            working.limit(
                "capture_ratio",
                key,
                least=1.0,
                together="capture",
                says=said(
                    "At {speed} the engine [may draw|draws] more than the scoops meet: the rest is sucked "
                    "in past the lip.",
                    speed=at,
                ),
            )
    out = sorted(key for key, flow in table.get("mouth_flow", {}).items() if flow < 0)
    if out:
        working.remark(
            said(
                "Air blows out at {speeds}: its loss is taken to be the same that way round, which no "
                "measurement here says.",
                speeds=", ".join(out),
            )
        )


# --- chart ---------------------------------------------------------------------------------------


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Pressure at the engine's inlet over road speed: a curve a case. In gears, one case has a curve a gear,
    and several have a chart a gear."""
    gears = sorted({gear for case in cases.values() for gear in case.inputs.get("gear", ())})
    if len(cases) == 1 or not gears:
        return (_chart(cases, gears),)
    return tuple(_chart(cases, [gear]) for gear in gears)


def _chart(cases: Mapping[str, CaseView], gears: list[int]) -> ChartSpec:
    """Of the gears that are listed, or of one engine speed."""
    curves: list[Series] = []
    rams: list[Series] = []
    markers = [Marker("ambient", y=0.0)]
    for style, (name, case) in enumerate(cases.items()):
        intake = _built(case.inputs, max(case.outputs["air_drawn"].values()), *_quiet(case.inputs))
        top = case.inputs.get("top_speed", max(case.inputs["speed"]))
        for number, (gear, drawn_at, fastest) in enumerate(_lines(case.inputs, gears, top)):
            speeds = [fastest * step / _STEPS for step in range(_STEPS + 1)]
            rises = _rises(intake, speeds, drawn_at)
            speeds = speeds[: len(rises)]
            sure = [_sure(case, gear, speed) for speed in speeds]
            label = f"gear {gear}" if gear and len(cases) == 1 else ""
            curves.append(
                Series(
                    label=", ".join(part for part in (name, label) if part) or "inlet",
                    x=speeds,
                    y=rises,
                    low=[rise - half for rise, half in zip(rises, sure, strict=True)],
                    high=[rise + half for rise, half in zip(rises, sure, strict=True)],
                    style=style + number,
                )
            )
        if not rams:
            speeds = [top * step / _STEPS for step in range(_STEPS + 1)]
            whole = [intake.ambient.ram(speed) for speed in speeds]
            rams.append(Series(label="all of the ram", x=speeds, y=whole, style=len(cases) + len(gears)))
        if len(cases) == 1 and (keep_up := case.outputs.get("keep_up_speed", top + 1)) <= top:
            markers.append(Marker("scoop keeps up", x=keep_up))
    one_gear = f" in gear {gears[0]}" if len(gears) == 1 else ""
    return ChartSpec(
        title=f"Pressure at the engine's inlet{one_gear}",
        description=f"Pressure behind box and filter above ambient against road speed{one_gear}. The losses "
        "on the way pull it below ambient, and the ram lifts it, never above the curve of all of it. The "
        "bands are how sure it is, by the speeds of the table.",
        x=Axis("road speed", "speed", "km/h", from_zero=True),
        y=Axis("pressure above ambient", "pressure", "Pa"),
        series=(*curves[: _MOST_CURVES - 1], *rams),
        markers=tuple(markers),
    )


_STEPS, _MOST_CURVES = 40, 8


def _rises(intake: _Intake, speeds: list[float], drawn_at: Callable[[float], float]) -> list[float]:
    """Pressure at the inlet at each road speed, up to where the mouths have no steady flow together."""
    rises: list[float] = []
    for speed in speeds:
        drawn = drawn_at(speed)
        try:
            rises.append(intake.inlet_rise(speed, drawn) if drawn > 0 else 0.0)
        except NoSolution:
            break
    return rises


def _quiet(given: Mapping[str, Any]) -> tuple[_Air, Working]:
    working = Working()
    return _read_air(given, working, {}), working


def _sure(case: CaseView, gear: int, speed: float) -> float:
    """How sure the pressure is at a road speed, by that at the speeds of the table.

    In a gear the losses and the ram go with the square of the speed, and so does their uncertainty. At one
    engine speed it goes straight from one of the speeds to the next.
    """
    driven = case.inputs.get("gear", [0] * len(case.inputs["speed"]))
    known: list[tuple[float, float]] = sorted(
        (at, case.uncertainty("inlet_pressure_rise", key))
        for key, at, one in zip(
            case.outputs["inlet_pressure_rise"], case.inputs["speed"], driven, strict=True
        )
        if one == gear
    )
    if gear:
        at, half = known[-1]
        return half * (speed / at) ** 2
    below = [pair for pair in known if pair[0] <= speed][-1:] or known[:1]
    above = [pair for pair in known if pair[0] >= speed][:1] or known[-1:]
    (low, start), (high, end) = below[0], above[0]
    return start if low == high else start + (end - start) * (speed - low) / (high - low)


def _lines(
    given: Mapping[str, Any], gears: list[int], top: float
) -> Iterator[tuple[int, Callable[[float], float], float]]:
    """Gear, 0 for one engine speed, air drawn at a road speed, and the last road speed of each curve."""
    litres = given["volumetric_efficiency"] * given["engine_displacement"] / (4 * pi)
    if "gear" not in given:
        at_all = litres * given["engine_speed"]
        yield 0, lambda speed: at_all, top
        return
    for gear in gears:
        if gear not in given["gear"]:
            continue
        ratio = given["gears"][gear - 1] * given["final_drive"]
        per_speed = 2 * pi * ratio / given["rolling_circumference"]
        fastest = min(top, given["rev_limit"] / per_speed) if "rev_limit" in given else top
        yield gear, partial(mul, litres * per_speed), fastest
