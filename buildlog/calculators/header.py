"""Length and bore of an exhaust header's pipes, and which cylinders to bring together.

**The wave.** When the exhaust valve opens, a pressure wave runs down the primary. At the collector the pipe
opens, and the wave comes back with its sign turned, as suction. It comes back again and again; at the shut
valve its sign stays, at the open end it turns. So odd returns bring suction and help, even ones bring
pressure: say which is meant (`reflection`).

**From the cam card.** Give when the exhaust valve opens and closes and, for the overlap, when the inlet
opens. A card that reads its angles at a lift (`timing_lift`, of the `valve_lift`) has a ramp before it, which
is added. `suction_at` says where the suction is wanted; top dead centre at overlap if you say nothing. Two
numbers then decide, and nobody knows them well, so that they are inputs with a ± of their own:

| number | taken as | source |
|---|---|---|
| `wave_start`, where the strong part leaves, after opening | 80° ± 15° | own integration in time |
| `wave_time_ratio`, its round trip over that of sound | 1.2 ± 0.1 | own integration in time |

The front of the wave is faster than sound, but it comes back as suction against gas that flows outwards, and
the cylinder takes its time to empty. Both were found by integrating a cylinder, valve and pipe in time,
with four engines of 0.25 to 0.6 l a cylinder (3500 to 7500 rpm, pipes of 0.6–1.3 m): the deepest suction came
from 12° before to 28° after what they say, the latest at the highest revs. At 8000 rpm, or 5500 with a long
stroke, the pipe's suction and the piston's run into each other, and it says less. Give the angle itself as
`return_angle` if you have measured it.

**Which digits not to cut by.** Those smaller than the first digit of the length's U, and the block names
them. With the two numbers above U is mostly a quarter of the length; one of 250 mm leaves hundreds of
millimetres to cut by. A collector's own shape has 30 mm of it. So cut long, run it, and shorten.

**The gas temperature** is next: sound speed goes with its root. Gas at the port has 700–900 °C at full load
(common practice, no source) and cools along the pipe; a thermocouple reads an average of blowdown and calm,
less what it radiates. Without a ± of yours it has 100 K (k = 2). Sound speed is that of the burnt `fuel`,
within 0.2 % of kinetic theory: composition from the mixture with the water–gas balance, heat capacity from
fits.

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
  volumetric_efficiency: (98 ± 2) %
  ambient_pressure: 955 hPa
  ambient_temperature: 18 °C
  air_fuel_ratio: 12.8
  gas_temperature: 800 ± 40 °C
  back_pressure: 12 kPa
  firing_order: [1, 3, 4, 2]
  reflection: 1
  exhaust_valve_opens: 68°
  exhaust_valve_closes: 32°
  intake_valve_opens: 30°
  suction_at: -10°
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
from math import degrees, pi, radians, sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
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
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.doubt import DIGIT, UNCERTAINTY
from buildlog.kinds.keys import row_keys
from buildlog.kinds.models import burnt_gas, filling
from buildlog.physics import acoustics, exhaust_flow, exhaust_waves, firing
from buildlog.said import said

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
        doubt=filling.GUESSED_VOLUMETRIC_EFFICIENCY,
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
        doubt=burnt_gas.GUESSED_GAS_TEMPERATURE,
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
        name="exhaust_valve_opens",
        title="exhaust valve opening",
        form=Number(dimension="angle", unit="°", low=-20, high=110, why="cam cards"),
        about="by the cam card, before bottom dead centre; or return_angle",
        required=False,
    ),
    Input(
        name="exhaust_valve_closes",
        title="exhaust valve closing",
        form=Number(dimension="angle", unit="°", low=-50, high=110, why="cam cards"),
        about="by the cam card, after top dead centre",
        required=False,
    ),
    Input(
        name="intake_valve_opens",
        title="intake valve opening",
        form=Number(dimension="angle", unit="°", low=-50, high=110, why="cam cards"),
        about="by the cam card, before top dead centre; for the overlap",
        required=False,
    ),
    Input(
        name="valve_lift",
        form=Number(dimension="length", unit="mm", low=3, high=25, why="valves of cars"),
        about="greatest lift of the exhaust valve; with timing_lift",
        required=False,
    ),
    Input(
        name="timing_lift",
        form=Number(dimension="length", unit="mm", low=0, high=3, why="cards read near the seat"),
        about="lift at which the card reads its angles; taken as at the seat if left out",
        required=False,
    ),
    Input(
        name="suction_at",
        title="suction angle",
        form=Number(dimension="angle", unit="°", low=-120, high=120, why="about top dead centre"),
        about="where the suction is wanted, after top dead centre at overlap",
        default="0°",
        default_source="top dead centre, where both valves are open",
    ),
    Input(
        name="wave_start",
        form=Number(dimension="angle", unit="°", low=0, high=200, why="while the cylinder empties"),
        about="where the strong part of the wave leaves, after the valve leaves its seat",
        default="80 ± 15°",
        default_source="own integration in time of a cylinder that empties: 68–88°; its ± is ours",
    ),
    Input(
        name="wave_time_ratio",
        form=Number(dimension="ratio", unit="", low=0.8, high=2, why="waves of exhausts"),
        about="how many times as long as sound's the round trip of the strong wave takes, against the gas",
        default="1.2 ± 0.1",
        default_source="the same integration: the suction comes 12° early to 28° late; its ± is ours",
    ),
    Input(
        name="return_angle",
        form=Number(dimension="angle", unit="°", low=20, high=720, why="one working cycle"),
        about="crank angle from the wave's start to that return, instead of a cam card",
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
                    doubt=burnt_gas.GUESSED_GAS_TEMPERATURE,
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
_CARD = ("exhaust_valve_opens", "exhaust_valve_closes")
OUTPUTS = (
    Output(
        name="primary_length",
        title="primary pipe length",
        dimension="length",
        unit="mm",
        about="from the flange to the collector, one bore",
        decimals=0,
    ),
    Output(
        name="effective_length",
        title="effective length from valve to collector",
        dimension="length",
        unit="mm",
        about="from the valve to the collector",
        decimals=0,
    ),
    Output(
        name="return_angle",
        title="crank angle until the wave's return",
        dimension="angle",
        unit="°",
        about="from where the wave leaves to where its suction is wanted",
        decimals=0,
    ),
    Output(
        name="exhaust_duration",
        title="open duration of the exhaust valve",
        dimension="angle",
        unit="°",
        about="by the card",
        decimals=0,
        needs=_CARD,
    ),
    Output(
        name="valve_overlap",
        title="valve overlap",
        dimension="angle",
        unit="°",
        about="for which both valves are open, by the card; below 0 where they never are",
        decimals=0,
        needs=(*_CARD, "intake_valve_opens"),
    ),
    Output(
        name="opening_ramp",
        title="opening ramp of the exhaust valve",
        dimension="angle",
        unit="°",
        about="from the seat to the lift at which the card reads",
        decimals=0,
        needs=(*_CARD, "timing_lift", "valve_lift"),
    ),
    Output(
        name="speed_of_sound",
        title="speed of sound at gas temperature",
        dimension="speed",
        unit="m/s",
        about="at gas_temperature",
        decimals=1,
    ),
    Output(
        name="heat_capacity_ratio",
        title="ratio of specific heats of the burnt gas",
        dimension="ratio",
        unit="",
        about="ratio of specific heats of the burnt gas",
        decimals=4,
    ),
    Output(
        name="gas_density",
        title="gas density in the primary",
        dimension="density",
        unit="kg/m³",
        about="density of the gas in the primary",
        decimals=4,
    ),
    burnt_gas.EXCESS_AIR_RATIO,
    Output(
        name="exhaust_mass_flow",
        title="exhaust mass flow",
        dimension="mass flow",
        unit="g/s",
        about="exhaust of all cylinders",
        decimals=1,
    ),
    Output(
        name="primary_bore",
        title="primary bore",
        dimension="length",
        unit="mm",
        about="for the mean gas speed wanted",
        decimals=1,
        needs=("primary_gas_speed",),
    ),
    Output(
        name="stroke_gas_speed",
        title="primary gas speed by piston displacement",
        dimension="speed",
        unit="m/s",
        about="the piston's volume through the primary bore in half a turn",
        decimals=1,
        needs=("primary_gas_speed",),
    ),
    Output(
        name="collector_bore",
        title="collector bore",
        dimension="length",
        unit="mm",
        about="for the mean gas speed wanted",
        decimals=1,
        needs=("collector_gas_speed",),
    ),
    Output(
        name="firing_angle",
        title="firing angle of the cylinder",
        dimension="angle",
        unit="°",
        about="when it fires",
        decimals=0,
        key="cylinder",
    ),
    Output(
        name="pairs",
        title="cylinder pairs for even pulses",
        dimension="text",
        unit="",
        about="as even as can be",
    ),
    Output(
        name="halves",
        title="cylinder groups for two collectors",
        dimension="text",
        unit="",
        about="as even as can be",
    ),
    Output(
        name="pair_interval",
        title="pulse interval within the pair",
        dimension="angle",
        unit="°",
        about="from each cylinder to the other of its pair",
        decimals=0,
        key="cylinder",
    ),
    Output(
        name="collector_interval",
        title="pulse interval in the collector",
        dimension="angle",
        unit="°",
        about="to the next pulse",
        decimals=0,
        key="cylinder",
        needs=("collector_cylinders",),
    ),
    Output(
        name="travel_time",
        title="sound travel time from valve to collector",
        dimension="time",
        unit="ms",
        about="of sound from the valve to the collector",
        decimals=3,
    ),
    Output(
        name="pipe_frequency",
        title="natural frequency of the pipe",
        dimension="frequency",
        unit="Hz",
        about="closed at the valve",
        decimals=0,
        key="mode",
    ),
    Output(
        name="equivalent_length",
        title="equivalent length of the sections",
        dimension="length",
        unit="mm",
        about="pipe of one gas temperature that takes sound as long",
        decimals=0,
        needs=_SECTIONS,
    ),
    Output(
        name="tuned_speed",
        title="tuned engine speed",
        dimension="rotational speed",
        unit="rpm",
        about="that the sections are tuned to",
        decimals=0,
        needs=_SECTIONS,
    ),
    Output(
        name="section_speed_of_sound",
        title="speed of sound in the section",
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
        title="mean gas speed in the section",
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
        title="pressure reflected at the step after the section",
        dimension="ratio",
        unit="%",
        about="sent back, of the wave that arrives",
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
        id="fukuda-izumi",
        title="A study on the effect of exhaust pipe system upon the output of a four-stroke cycle small "
        "gasoline engine, M. Fukuda and H. Izumi",
        publisher="Memoirs of the Faculty of Engineering, Yamaguchi University",
        edition="16 (1965) 71–76",
        where="abstract: output is greatest where sound, opening, speed and length make one number",
    ),
    Source(
        id="in-time",
        title="One cylinder, a valve, a pipe and an open end, integrated in time (finite volumes)",
        where="tests/calculators/pipe_in_time.py of this program",
        standing="derived",
    ),
    Source(id="cycle", title="Definition of the four-stroke cycle, 720°", standing="derived"),
)

_COLLECTOR = Doubt(
    name="collector_end",
    about="where a collector sends the wave back: it is no free end, and its cone spreads the return",
    source="practice",
    formula="fukuda-izumi",
    absolute=0.03,
    unit="m",
)
_RAMP = Doubt(
    name="opening_ramp",
    about="cams lift otherwise than sin²",
    source="practice",
    formula="cycle",
    relative=0.33,
    limits=True,
)

DOUBTS = (burnt_gas.BURNT_GAS, burnt_gas.PUMPED_FUEL, _COLLECTOR, _RAMP)

HAZARDS = ("hot-parts", "exhaust-gas", "sparks", "noise-emissions", "lifting")


def _gas(given: Mapping[str, Any], values: dict[str, float], working: Working) -> burnt_gas.BurntGas:
    """Sound and density of the gas in the primary, and how much of it there is."""
    burnt = burnt_gas.BurntGas(given, working)
    temperature = values["temperature"] = given["gas_temperature"]
    values["excess_air_ratio"] = burnt.excess_air_ratio
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


_WAVE = ("speed_of_sound", "return_angle", "engine_speed", "reflection", "wave_time_ratio")


def _return_angle(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """From where the wave leaves to where its suction is wanted: by the cam card, or as given."""
    card = given_together(given, _CARD, "a cam card has both")
    given_together(given, ("intake_valve_opens",), "the overlap is of both valves", _CARD[0])
    lifts = given_together(given, ("timing_lift", "valve_lift"), "the ramp is a share of the lift")
    given_together(given, ("timing_lift",), "it is about the card", _CARD[0])
    if card == ("return_angle" in given):
        if card:
            raise InputsConflict(
                "return_angle", "a cam card as well", "one of the two", help="leave one of them out"
            )
        raise MissingInput(
            "exhaust_valve_opens", "neither a cam card nor return_angle", "when the exhaust valve opens"
        )
    if not card:
        return working.step(
            "return_angle", exhaust_waves.stated_return_angle, source="cycle", stated=given["return_angle"]
        )
    opens, closes = (given[name] for name in _CARD)
    duration = outputs["exhaust_duration"] = working.step(
        "exhaust_duration", exhaust_waves.duration_of_timing, source="cycle", opens=opens, closes=closes
    )
    if "intake_valve_opens" in given:
        outputs["valve_overlap"] = working.step(
            "valve_overlap",
            exhaust_waves.valve_overlap,
            source="cycle",
            opens=given["intake_valve_opens"],
            closes=closes,
        )
    ramp = 0.0
    if lifts:
        ramp = outputs["opening_ramp"] = working.step(
            "opening_ramp",
            exhaust_waves.ramp_of_lift,
            source=_RAMP,
            duration=duration,
            timing_lift=given["timing_lift"],
            valve_lift=given["valve_lift"],
        )
    late = given["suction_at"] - closes - ramp
    if late > 0:
        working.remark(
            said(
                "The suction is wanted {angle}° after the exhaust valve is shut by the card: then "
                "it draws nothing out of the cylinder any more.",
                angle=f"{degrees(late):.0f}",
            )
        )
    after = pi + opens + ramp + given["suction_at"]
    if given["wave_start"] > after - radians(20):
        raise OutOfRange(
            "wave_start",
            f"{degrees(given['wave_start']):.0f}°",
            f"20° or more before the suction is wanted, {degrees(after):.0f}° after the valve opens",
            help="the wave has to be gone before it is back: a later suction_at",
        )
    return working.step(
        "return_angle",
        exhaust_waves.return_angle_of_timing,
        source="in-time",
        opens=opens,
        ramp=ramp,
        suction_at=given["suction_at"],
        wave_start=given["wave_start"],
    )


def _length(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """The tuned length."""
    values["reflection"] = float(given["reflection"])
    values["effective_length"] = working.step(
        "effective_length",
        exhaust_waves.effective_length,
        source=_COLLECTOR,
        **{name: values[name] for name in _WAVE},
    )
    whole, port = values["effective_length"], given["port_length"]
    if port > 0.999 * whole:
        raise OutOfRange(
            "port_length",
            f"{1000 * port:.0f} mm",
            f"less than the {1000 * whole:.0f} mm from the valve to the collector at which return "
            f"{given['reflection']} is in time",
            help="an earlier return, a slower engine or a shorter port",
        )
    working.chain(values, "waves", primary_length=exhaust_waves.primary_length)
    working.how_sure(
        "primary_length",
        says=said(
            "The primary's length is known to ± {uncertainty}: do not cut by digits smaller than {digit}. "
            "Cut long, run it, and shorten.",
            uncertainty=UNCERTAINTY,
            digit=DIGIT,
        ),
    )
    if given["reflection"] % 2 == 0:
        working.remark(
            said(
                "Even returns come back as pressure, not as suction: this length holds gas back at this "
                "speed."
            )
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
    angles = {
        cylinders[0]: working.step(f"firing_angle.{cylinders[0]}", firing.first_firing_angle, source="cycle")
    }
    for cylinder, before, interval in zip(cylinders[1:], cylinders, intervals, strict=False):
        angles[cylinder] = working.step(
            f"firing_angle.{cylinder}",
            firing.next_firing_angle,
            source="cycle",
            firing_angle=angles[before],
            firing_interval=interval,
        )
    order = firing.FiringOrder(angles)
    outputs["firing_angle"] = {str(cylinder): angles[cylinder] for cylinder in cylinders}
    if number % 2:
        working.remark(said("An odd number of cylinders makes no pairs."))
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
            said(
                "Pulses in this collector come unevenly, {low}° to {high}° apart: the "
                "suction of one pipe reaches the others at different times.",
                low=f"{degrees(low):.0f}",
                high=f"{degrees(high):.0f}",
            )
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
    values = {name: float(value) for name, value in given.items() if not isinstance(value, list | str)}
    outputs: Outputs = {}
    order = _order(given, working, outputs)
    burnt = _gas(given, values, working)
    values["return_angle"] = _return_angle(given, working, outputs)
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


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, BarSpec]:
    """Length against engine speed, and what it hangs on."""
    return _over_speed(cases), _decides(next(iter(cases.values())))


def _decides(case: CaseView) -> BarSpec:
    """By how much the length of the first case moves with what is known least."""
    given, found = case.inputs, case.outputs
    wave = {name: found.get(name, given.get(name)) for name in _WAVE} | {
        "reflection": float(given["reflection"])
    }

    def moved(label: str, **changes: float) -> Bar:
        length = exhaust_waves.effective_length(**wave | changes)
        return Bar(label=label, value=length - exhaust_waves.effective_length(**wave))

    warmer = sqrt(1 + 60 / given["gas_temperature"])
    return BarSpec(
        title="What the length hangs on",
        description="By how much the primary would have to be longer or shorter if one thing were otherwise: "
        "the wave leaving later, coming back more slowly, the gas hotter, another engine speed.",
        x=Axis("change of the length", "length", "mm"),
        bars=(
            moved("wave leaves 15° later", return_angle=max(wave["return_angle"] - radians(15), radians(1))),
            moved("its round trip a tenth slower", wave_time_ratio=min(1.1 * wave["wave_time_ratio"], 2.0)),
            moved("gas 60 K hotter", speed_of_sound=wave["speed_of_sound"] * warmer),
            moved("engine 500 rpm faster", engine_speed=wave["engine_speed"] + 500 * pi / 30),
        ),
    )


def _over_speed(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Primary length against engine speed, with its uncertainty; the speed that it is tuned to as a line."""
    series: list[Series] = []
    markers: dict[tuple[str, float], Marker] = {}
    for name, case in cases.items():
        speed, chosen = case.inputs["engine_speed"], case.inputs["reflection"]
        for which in sorted({1, 2, 3, chosen}) if len(cases) == 1 else [chosen]:
            label = f"{name}, return {which}" if name else f"return {which}"
            curve = _curve(case, which, label, style=len(series), band=which == chosen)
            if curve and list(curve.y) not in [list(one.y) for one in series]:
                series.append(curve)
        label = f"{name}, " if name else ""
        if "tuned_speed" in case.outputs:
            made = case.outputs["equivalent_length"] - case.inputs["port_length"]
            at = Marker(f"{label}sections", x=case.outputs["tuned_speed"], y=made)
            markers[at.label, case.outputs["tuned_speed"]] = at
        else:
            at = Marker(f"{label}chosen", x=speed, y=case.outputs["primary_length"])
            markers[at.label, speed] = at
        markers["wanted", speed] = Marker("wanted speed", x=speed)
    return ChartSpec(
        title="Tuned length of the primary",
        description="Length from flange to collector against engine speed. It falls as the revs "
        "rise; the second return "
        "wants about half the length of the first, the third a third. The band is the uncertainty of the "
        "chosen return: read across it for the speeds that one length may be tuned to.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis("primary length", "length", "mm", from_zero=True),
        series=tuple(series),
        markers=tuple(markers.values()),
    )


def _curve(case: CaseView, which: int, label: str, style: int, band: bool) -> Series | None:
    """Length of one return over engine speed, where anything is left for the pipe."""
    port, chosen = case.inputs["port_length"], case.inputs["engine_speed"]
    share = case.uncertainty("effective_length") / case.outputs["effective_length"] if band else 0.0
    points = []
    for step in range(41):
        speed = chosen * (0.6 + 0.7 * step / 40)
        whole = exhaust_waves.effective_length(
            case.outputs["speed_of_sound"],
            case.outputs["return_angle"],
            speed,
            float(which),
            case.inputs["wave_time_ratio"],
        )
        if whole * (1 - share) > port:
            points.append((speed, whole))
    if len(points) < 2:
        return None
    ends = (
        [[whole * (1 + way * share) - port for _, whole in points] for way in (-1, 1)] if share else [(), ()]
    )
    return Series(
        label=label,
        x=[speed for speed, _ in points],
        y=[whole - port for _, whole in points],
        style=style,
        low=ends[0],
        high=ends[1],
    )
