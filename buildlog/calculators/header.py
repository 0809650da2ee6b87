"""Length and bore of an exhaust header's pipes, and which cylinders to bring together.

**The wave.** When the exhaust valve opens, a pressure wave runs down the primary at the speed of sound. At
the collector the pipe opens, and the wave comes back with its sign turned, as suction. It comes back again
and again; at the shut valve its sign stays, at the open end it turns. So odd returns bring suction and help,
even ones bring pressure. Say which return is meant (`reflection`) and how many crank degrees after the wave
sets out it is wanted (`return_angle`). Neither has a right value that follows from physics alone:

| aim | reflection | return angle | source |
|---|---|---|---|
| suction at overlap, first return | 1 | valve opening to top dead centre, 230–260° | valve timing |
| the trade's shorter pipes | 1 | about 120° after valve opening | common practice, no source |
| suction at overlap, third return | 3 | the same | valve timing |

The first gives pipes too long for most cars, the second the usual 0.70–0.95 m at 6000–7500 rpm (common
practice, no source). The wave rises over some 10–15° while the valve lifts: give that doubt as
`return_angle_uncertainty`.

**The gas temperature decides.** Sound speed goes with its square root, and nobody knows it well: gas at the
port has 700–900 °C at full load (common practice, no source) and cools along the pipe, and a thermocouple
reads an average of blowdown and calm, less what it radiates. Give the mean along the primary and its honest
standard uncertainty, `gas_temperature_uncertainty`: 50–80 K if it is a guess. The block shows what that does
to the length, and its share of the doubt. Written with ± as well (`820 ± 60 °C`) it also widens what figures
may say, by some 6 % less, since γ falls in hotter gas. Sound speed is that of burnt petrol: composition from
the mixture with the water–gas balance, heat capacity from fits, together within 0.5 % of kinetic theory.

**What is left out.** Waves are taken as small and the gas as still. At a mean gas speed of Mach 0.15 the
round trip takes 2 % longer, and the strong first wave runs some per cent faster than sound. The open end's
correction, 0.3 of the bore, is in the doubt: a collector is no free end. The collector's own shape, the angle
at which its pipes meet and the length of its cone, is not in it. Cut the pipes long, and test.

**Bores** follow from a mean gas speed over the cycle, in the hot gas. The trade's 75–110 m/s at peak power
(common practice, no source) is often told without saying which speed: `stroke_gas_speed` is the other one,
the piston pushing its cold volume out in half a turn. They are usually within a fifth of each other. Behind
a collector of four the trade goes 1.4–1.8 times as fast, a bore 1.5–1.7 times a primary's (the same). Its gas
is taken as hot as the primary's, which makes it a few per cent wide. For the secondaries of a 4–2–1 header
name two cylinders as `collector_cylinders`, in a case of its own.

**Stepped primaries.** Give `sections` from the flange on, each with its length and bore, and its own gas
temperature where you know it cools. The block adds up the time of the sound, tells the engine speed the
header is tuned to, and what share of the wave each step sends back: widening steps send suction ahead of the
main return and spread it over the revs. `pipe_frequency` is that of a pipe of one bore.

**Pairing.** From the firing order, and the intervals if they are uneven, the block finds the groups whose
pulses come most evenly. What can be piped is another matter: `collector_cylinders` shows how even yours is.

```yaml
id: header-lengths
kind: header
inputs:
  engine_speed: 7200 rpm
  engine_displacement: 1998 cm³
  volumetric_efficiency: 98 %
  ambient_pressure: 955 hPa
  ambient_temperature: 18 °C
  air_fuel_ratio: 12.8
  gas_temperature: 800 °C
  gas_temperature_uncertainty: 60 K
  back_pressure: 12 kPa
  firing_order: [1, 3, 4, 2]
  reflection: 1
  return_angle: 120°
  return_angle_uncertainty: 4°
  port_length: 85 mm
  primary_gas_speed: 90 m/s
  collector_cylinders: [1, 2, 3, 4]
  collector_gas_speed: 140 m/s
cases:
  even: {}
  stepped:
    sections:
      - {name: first, length: 280 mm, bore: 38 mm, gas_temperature: 840 °C}
      - {name: middle, length: 300 mm, bore: 41 mm, gas_temperature: 790 °C}
      - {name: last, length: 220 mm, bore: 44 mm, gas_temperature: 760 °C}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from math import degrees
from typing import Any

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
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.models import burnt_gas
from buildlog.physics import acoustics, exhaust_flow, exhaust_waves, firing, gas

KIND = "header"

_GAS_SPEED = Number(
    dimension="speed", unit="m/s", low=20, high=250, why="from a very wide pipe to one that chokes"
)
_CYLINDER = Whole(1, 12, "car engines")

INPUTS = (
    Input(
        name="engine_speed",
        form=burnt_gas.ENGINE_SPEED,
        about="engine speed that the header is to be tuned to",
    ),
    Input(name="engine_displacement", form=burnt_gas.DISPLACEMENT, about="swept volume of all cylinders"),
    Input(
        name="volumetric_efficiency",
        form=burnt_gas.VOLUMETRIC_EFFICIENCY,
        about="air drawn over displacement, at ambient density",
    ),
    Input(
        name="ambient_pressure",
        form=burnt_gas.AMBIENT_PRESSURE,
        about="barometer at the place, not reduced to sea level",
    ),
    Input(name="ambient_temperature", form=burnt_gas.AMBIENT_TEMPERATURE, about="air temperature"),
    *burnt_gas.MIXTURE,
    Input(
        name="gas_temperature",
        form=burnt_gas.GAS_TEMPERATURE,
        about="mean temperature of the gas along the primary",
    ),
    Input(
        name="gas_temperature_uncertainty",
        form=Number(dimension="temperature difference", unit="K", low=0, high=250, why="a guess at worst"),
        about="standard uncertainty of gas_temperature",
    ),
    Input(
        name="gas_uncertainty",
        form=Number(
            dimension="ratio", unit="%", low=0.1, high=5, why="better than the fits is not to be had"
        ),
        about="relative standard uncertainty of the sound speed from what the gas is made of",
        default="0.5 %",
        default_source="estimate: fits 0.1 %, argon and damp air 0.3 %, unburnt gas the rest",
    ),
    Input(
        name="back_pressure",
        form=Number(dimension="pressure", unit="kPa", low=0, high=100, why="exhausts of cars"),
        about="mean pressure in the primary above ambient; the kind exhaust computes it",
    ),
    Input(
        name="firing_order", form=Listed(_CYLINDER, 1, 12, counted=True), about="the cylinders as they fire"
    ),
    Input(
        name="firing_intervals",
        form=Listed(
            Number(dimension="angle", unit="°", low=1, high=719, why="within 720°"), 2, 12, counted=True
        ),
        about="crank angle from each cylinder of the order to the next; even if left out",
        required=False,
    ),
    Input(
        name="reflection",
        form=Whole(1, 9, "later returns are spent"),
        about="which return of the wave is meant",
    ),
    Input(
        name="return_angle",
        form=Number(dimension="angle", unit="°", low=20, high=720, why="one working cycle"),
        about="crank angle from the wave's start to that return",
    ),
    Input(
        name="return_angle_uncertainty",
        form=Number(dimension="angle", unit="°", low=0, high=60, why="the valve lifts slowly"),
        about="standard uncertainty of return_angle; counted as none if left out",
        required=False,
    ),
    Input(
        name="port_length",
        form=Number(dimension="length", unit="mm", low=0, high=400, why="ports of car engines"),
        about="from the valve to the flange, along the middle",
    ),
    Input(
        name="primary_gas_speed",
        form=_GAS_SPEED,
        about="mean gas speed wanted in the primary",
        required=False,
    ),
    Input(
        name="collector_cylinders",
        form=Listed(_CYLINDER, 2, 12, counted=True),
        about="cylinders that meet in one collector",
        required=False,
    ),
    Input(
        name="collector_gas_speed",
        form=_GAS_SPEED,
        about="mean gas speed wanted behind the collector",
        required=False,
    ),
    Input(
        name="sections",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what figures in the text call it", required=False),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="mm", low=10, high=3000, why="primaries"),
                    about="length along the middle",
                ),
                Input(
                    name="bore",
                    form=Number(dimension="length", unit="mm", low=15, high=150, why="primaries"),
                    about="inner diameter",
                ),
                Input(
                    name="gas_temperature",
                    form=burnt_gas.GAS_TEMPERATURE,
                    about="mean in this section; as above if left out",
                    required=False,
                ),
            ),
            1,
            12,
        ),
        about="a primary as it is or is to be, from the flange to the collector",
        required=False,
    ),
)

_SECTIONS = ("sections",)
OUTPUTS = (
    Output(
        name="primary_length",
        dimension="length",
        unit="mm",
        about="from the flange to the collector, one bore",
        decimals=0,
    ),
    Output(
        name="primary_length_uncertainty",
        dimension="length",
        unit="mm",
        about="its standard uncertainty",
        decimals=0,
    ),
    Output(
        name="temperature_share",
        dimension="ratio",
        unit="%",
        about="share of the gas temperature in that doubt (variance)",
        decimals=0,
    ),
    Output(
        name="effective_length",
        dimension="length",
        unit="mm",
        about="from the valve to the collector",
        decimals=0,
    ),
    Output(name="speed_of_sound", dimension="speed", unit="m/s", about="at gas_temperature", decimals=1),
    Output(
        name="speed_of_sound_uncertainty",
        dimension="speed",
        unit="m/s",
        about="its standard uncertainty",
        decimals=1,
    ),
    Output(
        name="heat_capacity_ratio",
        dimension="ratio",
        unit="",
        about="ratio of specific heats of the burnt gas",
        decimals=4,
    ),
    Output(
        name="gas_density",
        dimension="density",
        unit="kg/m³",
        about="density of the gas in the primary",
        decimals=4,
    ),
    Output(
        name="exhaust_mass_flow",
        dimension="mass flow",
        unit="g/s",
        about="exhaust of all cylinders",
        decimals=1,
    ),
    Output(
        name="primary_bore",
        dimension="length",
        unit="mm",
        about="for primary_gas_speed",
        decimals=1,
        needs=("primary_gas_speed",),
    ),
    Output(
        name="stroke_gas_speed",
        dimension="speed",
        unit="m/s",
        about="the piston's volume through that bore in half a turn",
        decimals=1,
        needs=("primary_gas_speed",),
    ),
    Output(
        name="collector_bore",
        dimension="length",
        unit="mm",
        about="for collector_gas_speed",
        decimals=1,
        needs=("collector_gas_speed",),
    ),
    Output(
        name="firing_angle",
        dimension="angle",
        unit="°",
        about="when each cylinder fires",
        decimals=0,
        key="cylinder",
    ),
    Output(name="pairs", dimension="text", unit="", about="cylinders to pair for pulses as even as can be"),
    Output(
        name="halves", dimension="text", unit="", about="cylinders to bring into two collectors, likewise"
    ),
    Output(
        name="pair_interval",
        dimension="angle",
        unit="°",
        about="from each cylinder to the other of its pair",
        decimals=0,
        key="cylinder",
    ),
    Output(
        name="collector_interval",
        dimension="angle",
        unit="°",
        about="to the next pulse in the collector",
        decimals=0,
        key="cylinder",
        needs=("collector_cylinders",),
    ),
    Output(
        name="travel_time",
        dimension="time",
        unit="ms",
        about="of sound from the valve to the collector",
        decimals=3,
    ),
    Output(
        name="pipe_frequency",
        dimension="frequency",
        unit="Hz",
        about="natural frequency, closed at the valve",
        decimals=0,
        key="mode",
    ),
    Output(
        name="equivalent_length",
        dimension="length",
        unit="mm",
        about="pipe at gas_temperature that takes sound as long",
        decimals=0,
        needs=_SECTIONS,
    ),
    Output(
        name="tuned_speed",
        dimension="rotational speed",
        unit="rpm",
        about="engine speed that the sections are tuned to",
        decimals=0,
        needs=_SECTIONS,
    ),
    Output(
        name="section_speed_of_sound",
        dimension="speed",
        unit="m/s",
        about="sound in each section",
        decimals=1,
        key="section",
        of="sections",
        needs=_SECTIONS,
    ),
    Output(
        name="section_gas_speed",
        dimension="speed",
        unit="m/s",
        about="mean gas speed in each section",
        decimals=1,
        key="section",
        of="sections",
        needs=_SECTIONS,
    ),
    Output(
        name="step_reflection",
        dimension="ratio",
        unit="%",
        about="pressure that the step after the section sends back",
        decimals=1,
        key="section",
        of="sections",
        needs=_SECTIONS,
    ),
)

SOURCES = (
    *burnt_gas.SOURCES,
    Source(id="waves", title="Kinematics of a sound wave in a pipe; continuity", standing="derived"),
    Source(
        id="kinsler",
        title="Fundamentals of Acoustics, Kinsler and Frey",
        publisher="Wiley",
        edition="2nd, 1962",
        where="ch. 8: pipes and changes of section",
        standing="from memory",
    ),
    Source(
        id="gum",
        title="JCGM 100:2008, Guide to the expression of uncertainty in measurement",
        publisher="BIPM",
        edition="2008",
        where="5.1.2",
        standing="from memory",
    ),
    Source(id="cycle", title="Definition of the four-stroke cycle, 720°", standing="derived"),
)

HAZARDS = ("hot-parts", "exhaust-gas", "sparks", "noise-emissions", "lifting")


def _gas(given: Mapping[str, Any], values: dict[str, float], working: Working) -> burnt_gas.BurntGas:
    """Sound and density of the gas in the primary, and how much of it there is."""
    burnt = burnt_gas.BurntGas(given, working)
    temperature = values["temperature"] = given["gas_temperature"]
    values["speed_of_sound"] = burnt.sound(temperature)
    values["heat_capacity_ratio"] = burnt.heat_capacity_ratio
    values["pressure"] = working.step(
        "pressure",
        exhaust_flow.pressure_before,
        source="ideal-gas",
        pressure_after=given["ambient_pressure"],
        loss=given["back_pressure"],
    )
    values["gas_density"] = burnt.density(values["pressure"], temperature, "gas_density")
    values["exhaust_mass_flow"] = burnt.exhaust(burnt_gas.air_drawn(given, working))
    return burnt


def _length(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """The tuned length, and what the doubt about the gas temperature does to it."""
    values["reflection"] = float(given["reflection"])
    working.chain(
        values,
        "waves",
        effective_length=exhaust_waves.effective_length,
        primary_length=exhaust_waves.primary_length,
    )
    values["temperature_uncertainty"] = given["gas_temperature_uncertainty"]
    values.setdefault("return_angle_uncertainty", 0.0)
    share = working.chain(
        values,
        "gum",
        speed_of_sound_uncertainty=gas.speed_of_sound_uncertainty,
        primary_length_uncertainty=exhaust_waves.length_uncertainty,
        length_uncertainty_by_temperature=exhaust_waves.length_uncertainty_by_temperature,
        temperature_share=exhaust_waves.temperature_share,
    )
    spread, temperature = given["gas_temperature_uncertainty"], given["gas_temperature"]
    sound = values["speed_of_sound"] * spread / (2 * temperature)
    of_sound = (sound / values["speed_of_sound_uncertainty"]) ** 2
    exact = "" if "return_angle_uncertainty" in given else " (the return angle counted as exact)"
    working.remark(
        f"The gas temperature makes {of_sound:.0%} of the doubt in the speed of sound and {share:.0%} of "
        f"that in the primary length{exact}: {spread:.0f} K either way moves sound by {sound:.0f} m/s and "
        f"the length by {values['length_uncertainty_by_temperature'] * 1000:.0f} mm."
    )
    if given["reflection"] % 2 == 0:
        working.remark(
            "Even returns come back as pressure, not as suction: this length holds gas back at this speed."
        )


def _bores(given: Mapping[str, Any], values: dict[str, float], cylinders: int, working: Working) -> None:
    """Bores from the gas speeds asked for."""
    values["share"] = 1 / cylinders
    flow = working.chain(values, "mass", flow_of_one=exhaust_flow.flow_of_one)
    if "primary_gas_speed" in given:
        bore = values["primary_bore"] = working.step(
            "primary_bore",
            exhaust_flow.bore_for_gas_speed,
            source="waves",
            mass_flow=flow,
            density=values["gas_density"],
            mean_gas_speed=given["primary_gas_speed"],
        )
        values["stroke_gas_speed"] = working.step(
            "stroke_gas_speed",
            exhaust_waves.stroke_gas_speed,
            source="waves",
            bore=bore,
            displacement=given["engine_displacement"],
            cylinders=float(cylinders),
            engine_speed=given["engine_speed"],
        )
    if given_together(given, ("collector_gas_speed",), "how much gas meets there", "collector_cylinders"):
        values["share"] = len(given["collector_cylinders"]) / cylinders
        flow = working.chain(values, "mass", collector_flow=exhaust_flow.flow_of_one)
        values["collector_bore"] = working.step(
            "collector_bore",
            exhaust_flow.bore_for_gas_speed,
            source="waves",
            mass_flow=flow,
            density=values["gas_density"],
            mean_gas_speed=given["collector_gas_speed"],
        )


def _order(given: Mapping[str, Any], working: Working, outputs: Outputs) -> firing.FiringOrder:
    """When each cylinder fires, and which go well together."""
    cylinders: list[int] = given["firing_order"]
    firing.FiringOrder.check(cylinders, given.get("firing_intervals"))
    number = len(cylinders)
    if "firing_intervals" in given:
        intervals: list[float] = given["firing_intervals"]
    else:
        even = working.step(
            "even_firing_interval", firing.even_firing_interval, source="cycle", cylinders=float(number)
        )
        intervals = [even] * number
    angles = {cylinders[0]: 0.0}
    for cylinder, before, interval in zip(cylinders[1:], cylinders, intervals, strict=False):
        angles[cylinder] = working.step(
            f"firing_angle.{cylinder}",
            firing.next_firing_angle,
            source="cycle",
            firing_angle=angles[before],
            firing_interval=interval,
        )
    order = firing.FiringOrder(angles)
    if number > 1:
        outputs["firing_angle"] = {str(cylinder): angles[cylinder] for cylinder in cylinders[1:]}
    if number % 2:
        working.remark("An odd number of cylinders makes no pairs.")
        return order
    pairs = order.most_even_groups(2)
    outputs["pairs"] = ", ".join(" + ".join(map(str, pair)) for pair in pairs)
    if number > 4:
        halves = order.most_even_groups(number // 2)
        outputs["halves"] = ", ".join(" + ".join(map(str, half)) for half in halves)
    apart: dict[str, float] = {}
    for pair in pairs:
        apart |= _intervals("pair_interval", order, pair, working)
    outputs["pair_interval"] = apart
    return order


def _intervals(
    name: str, order: firing.FiringOrder, group: tuple[int, ...], working: Working
) -> dict[str, float]:
    """Steps for the crank angle from each cylinder of a group to the next."""
    fired = list(order.intervals(group))
    return {
        str(cylinder): working.step(
            f"{name}.{cylinder}",
            firing.interval_between,
            source="cycle",
            firing_angle=order.angles[cylinder],
            later_firing_angle=order.angles[later],
        )
        for cylinder, later in zip(fired, [*fired[1:], fired[0]], strict=True)
    }


def _collector(given: Mapping[str, Any], order: firing.FiringOrder, working: Working) -> dict[str, float]:
    """How evenly the pulses come in the collector that is asked about."""
    order.check_group("collector_cylinders", given["collector_cylinders"])
    intervals = _intervals("collector_interval", order, tuple(given["collector_cylinders"]), working)
    low, high = min(intervals.values()), max(intervals.values())
    if degrees(high - low) > 1:
        working.remark(
            f"Pulses in this collector come unevenly, {degrees(low):.0f}° to {degrees(high):.0f}° apart: the "
            "suction of one pipe reaches the others at different times."
        )
    return intervals


def _sections(
    given: Mapping[str, Any], burnt: burnt_gas.BurntGas, values: dict[str, float], working: Working
) -> Outputs:
    """Sound and gas through a primary of several bores and temperatures."""
    made: dict[str, dict[str, float]] = {output.name: {} for output in OUTPUTS if output.key == "section"}
    rows: list[dict[str, Any]] = given["sections"]
    keys = row_keys("sections", rows)
    time = working.step(
        "travel_time_in_port",
        exhaust_waves.travel_time,
        source="waves",
        travel_time_before=0.0,
        length=given["port_length"],
        speed_of_sound=values["speed_of_sound"],
    )
    for number, (key, row) in enumerate(zip(keys, rows, strict=True), start=1):
        temperature = row.get("gas_temperature", values["temperature"])
        sound = burnt.sound(temperature, key, "section_speed_of_sound")
        made["section_speed_of_sound"][key] = sound
        density = burnt.density(values["pressure"], temperature, f"section_density.{key}")
        made["section_gas_speed"][key] = working.step(
            f"section_gas_speed.{key}",
            exhaust_flow.mean_gas_speed,
            source="waves",
            mass_flow=values["flow_of_one"],
            density=density,
            bore=row["bore"],
        )
        time = working.step(
            "travel_time" if number == len(rows) else f"travel_time_to_{key}",
            exhaust_waves.travel_time,
            source="waves",
            travel_time_before=time,
            length=row["length"],
            speed_of_sound=sound,
        )
        if number < len(rows):
            made["step_reflection"][key] = working.step(
                f"step_reflection.{key}",
                exhaust_waves.pressure_reflection,
                source="kinsler",
                bore=row["bore"],
                bore_after=rows[number]["bore"],
            )
    values["travel_time"] = time
    values["equivalent_length"] = working.step(
        "equivalent_length",
        exhaust_waves.length_of_even_sound,
        source="waves",
        travel_time=time,
        speed_of_sound=values["speed_of_sound"],
    )
    working.chain(values, "waves", tuned_speed=exhaust_waves.tuned_speed)
    return {name: value for name, value in made.items() if value}


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Lengths, bores and pairing of one case; SI in, SI out."""
    values = {name: float(value) for name, value in given.items() if not isinstance(value, list)}
    outputs: Outputs = {}
    order = _order(given, working, outputs)
    burnt = _gas(given, values, working)
    _length(given, values, working)
    _bores(given, values, len(order.angles), working)
    if "collector_cylinders" in given:
        outputs["collector_interval"] = _collector(given, order, working)
    if "sections" in given:
        outputs |= _sections(given, burnt, values, working)
    else:
        values["travel_time"] = working.step(
            "travel_time",
            exhaust_waves.travel_time,
            source="waves",
            travel_time_before=0.0,
            length=values["effective_length"],
            speed_of_sound=values["speed_of_sound"],
        )
    sounding = values.get("equivalent_length", values["effective_length"])
    outputs["pipe_frequency"] = {
        str(mode): working.step(
            f"pipe_frequency.{mode}",
            acoustics.quarter_wave_frequency,
            source="kinsler",
            mode=float(mode),
            acoustic_length=sounding,
            speed_of_sound=values["speed_of_sound"],
        )
        for mode in (1, 2, 3)
    }
    declared = {output.name for output in OUTPUTS if not output.key}
    return outputs | {name: value for name, value in values.items() if name in declared}


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Primary length against engine speed: each return of a single case, or each case's chosen one."""
    series: list[Series] = []
    markers: list[Marker] = []
    for name, case in cases.items():
        speed, chosen, port = (case.inputs[key] for key in ("engine_speed", "reflection", "port_length"))
        for which in sorted({1, 2, 3, chosen}) if len(cases) == 1 else [chosen]:
            speeds = [speed * (0.6 + 0.7 * step / 40) for step in range(41)]
            lengths = [
                exhaust_waves.effective_length(
                    case.outputs["speed_of_sound"], case.inputs["return_angle"], at, which
                )
                - port
                for at in speeds
            ]
            long_enough = [(x, y) for x, y in zip(speeds, lengths, strict=True) if y > 0]
            if len(long_enough) > 1 and lengths not in [list(curve.y) for curve in series]:
                xs, ys = zip(*long_enough, strict=True)
                label = f"{name}, return {which}" if name else f"return {which}"
                series.append(Series(label=label, x=xs, y=ys, style=len(series)))
        label = f"{name}, " if name else ""
        if "tuned_speed" in case.outputs:
            made = case.outputs["equivalent_length"] - port
            markers.append(Marker(f"{label}sections", x=case.outputs["tuned_speed"], y=made))
        else:
            markers.append(Marker(f"{label}chosen", x=speed, y=case.outputs["primary_length"]))
    return ChartSpec(
        title="Tuned length of the primary",
        description="Length from flange to collector against engine speed. It falls as the revs "
        "rise; the second return "
        "wants about half the length of the first, the third a third.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis("primary length", "length", "mm", from_zero=True),
        series=tuple(series),
        markers=tuple(markers),
    )
