"""What a compressor gives an engine, what it takes, and what that asks of clutch and gearbox.

**The compressor.** It raises the pressure of the air by `pressure_ratio`, absolute over absolute, and warms
it: the less efficient it is, the more. `isentropic_efficiency` is read from its maker's map at the ratio and
the flow that the block gives; without a map:

| compressor | isentropic efficiency | source |
|---|---|---|
| lobed blower | 0.50–0.60 | common practice, no source |
| screw or vane | 0.60–0.72 | common practice, no source |
| centrifugal, by belt or turbine | 0.65–0.78 | common practice, no source |

One that is given without an uncertainty counts with 0.05.

**The charge cooler.** Its effectiveness is the share of the way from the hot air's temperature to that of
what cools it; a small one in good air has 0.6 to 0.7, and what it takes of the pressure belongs to it.
Without one, leave it out.

**Torque.** The engine draws the same volume of denser air, so its torque grows by the density ratio at the
intake, friction with it. With `drive: belt` the charge also pushes the pistons down on the intake strokes,
and the belt takes the compressor's power from the crank. With `drive: turbine` neither is counted: the
turbine's back pressure gives up about what the intake strokes gain, and what it is exactly needs the
turbine's map. The gain counts with a doubt of 20 %: friction that stays the same would give more, ignition
that is set back less.

**What is not in it.** Knock. Whether the fuel, the compression ratio and the ignition allow that charge
decides whether there is a gain at all, and is found on a test bed by who is licensed to run one; so are the
mixture, the injectors, the cooling system, the head gasket, and how the boost comes up over the revs. A case
with `pressure_ratio: 1` is the engine as it is, so that a `decision` can compare the two.

**Clutch and gearbox.** With `clutch_capacity` and `gearbox_torque`, what they may carry by their makers or by
a `clutch` block, the block gives what is left of each at `engine_speed`. Give the speed of the greatest
torque.

```yaml
id: boost
kind: forced_induction
inputs:
  inlet_pressure: 98 kPa
  inlet_temperature: 20 °C
  isentropic_efficiency: 0.70 ± 0.03
  engine_displacement: 1600 cm³
  volumetric_efficiency: (95 ± 2) %
  engine_torque: 165 N·m
  engine_speed: 5500 rpm
  clutch_capacity: 230 N·m
  gearbox_torque: 220 N·m
cases:
  as-it-is: {pressure_ratio: 1}
  cooled:
    pressure_ratio: 1.5
    cooler_effectiveness: 0.65
    cooling_temperature: 25 °C
    cooler_pressure_loss: 4 kPa
  uncooled: {pressure_ratio: 1.5}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import OutOfRange, Refused
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
from buildlog.kinds.models import filling
from buildlog.physics import air, compressor, duct_heat, engine_air
from buildlog.said import said

KIND = "forced_induction"

_AIR = Number(dimension="temperature", unit="°C", low=-40, high=80, why="air at an intake or a cooler")
_TORQUE = Number(dimension="torque", unit="N·m", low=10, high=3000, why="engines of cars")

_EFFICIENCY = Doubt(
    name="isentropic_efficiency",
    about="of a compressor by its kind, or read from a map",
    source="practice",
    absolute=0.05,
)
_EFFECTIVENESS = Doubt(
    name="cooler_effectiveness",
    about="of a cooler by its size and its air",
    source="practice",
    absolute=0.1,
)

INPUTS = (
    Input(
        name="inlet_pressure",
        form=Number(dimension="pressure", unit="kPa", low=40, high=115, why="before a compressor, any road"),
        about="absolute pressure before the compressor",
    ),
    Input(name="inlet_temperature", form=_AIR, about="temperature of the air before the compressor"),
    Input(
        name="pressure_ratio",
        form=Number(dimension="ratio", unit="", low=1, high=4, why="one stage of compression"),
        about="absolute pressure behind the compressor over that before it; 1 is the engine without one",
    ),
    Input(
        name="isentropic_efficiency",
        form=Number(dimension="ratio", unit="", low=0.3, high=0.9, why="lobed blowers to the best wheels"),
        about="power of an ideal compressor over that of this one",
        doubt=_EFFICIENCY,
    ),
    Input(
        name="cooler_effectiveness",
        form=Number(dimension="ratio", unit="", low=0, high=1, why="share of the way to the coolant"),
        about="how far the charge cooler takes the air towards what cools it",
        required=False,
        doubt=_EFFECTIVENESS,
    ),
    Input(
        name="cooling_temperature",
        form=_AIR,
        about="temperature of the air or water that cools the charge; with cooler_effectiveness",
        required=False,
    ),
    Input(
        name="cooler_pressure_loss",
        form=Number(dimension="pressure", unit="kPa", low=0, high=50, why="coolers and their hoses"),
        about="pressure that cooler and hoses take; with cooler_effectiveness",
        required=False,
    ),
    Input(
        name="drive",
        form=Choice({"belt": "by the crank: belt or gears", "turbine": "by the exhaust"}),
        about="what drives the compressor",
        default="belt",
        default_source="the drive whose cost can be computed",
    ),
    Input(
        name="drive_efficiency",
        form=Number(dimension="ratio", unit="", low=0.5, high=1, why="belts and gears"),
        about="efficiency of belt or gears and the compressor's bearings",
        default="0.93 ± 0.04",
        default_source="common practice, no source",
    ),
    Input(
        name="mechanical_efficiency",
        form=Number(dimension="ratio", unit="", low=0.5, high=1, why="engines at full load"),
        about="brake over indicated torque",
        default="0.85 ± 0.05",
        default_source="the slope of SAE J1349's friction term",
    ),
    Input(
        name="engine_displacement",
        form=Number(dimension="volume", unit="cm³", low=50, high=10_000, why="engines of cars"),
        about="displacement of all cylinders",
    ),
    Input(
        name="volumetric_efficiency",
        form=Number(dimension="ratio", unit="%", low=30, high=130, why="four-stroke engines"),
        about="air drawn over displacement, at the density before the intake ports",
        doubt=filling.GUESSED_VOLUMETRIC_EFFICIENCY,
    ),
    Input(
        name="engine_torque",
        form=_TORQUE,
        about="full-load torque at that speed without the compressor, in this air",
    ),
    Input(
        name="engine_speed",
        form=Number(dimension="rotational speed", unit="rpm", low=500, high=20_000, why="engines of cars"),
        about="engine speed of interest: that of the greatest torque, say",
    ),
    Input(
        name="clutch_capacity",
        form=_TORQUE,
        about="torque that the clutch carries, with its reserve taken off",
        required=False,
    ),
    Input(
        name="gearbox_torque",
        form=_TORQUE,
        about="input torque that the gearbox may carry by its maker",
        required=False,
    ),
)

_COOLER = ("cooler_effectiveness", "cooling_temperature", "cooler_pressure_loss")

OUTPUTS = (
    Output(
        name="compressor_outlet_temperature",
        title="air temperature behind the compressor",
        dimension="temperature",
        unit="°C",
        about="air behind the compressor",
        decimals=1,
    ),
    Output(
        name="charge_temperature",
        title="charge temperature at the engine",
        dimension="temperature",
        unit="°C",
        about="temperature of the charge at the engine",
        decimals=1,
    ),
    Output(
        name="charge_pressure",
        title="absolute charge pressure at the engine",
        dimension="pressure",
        unit="kPa",
        about="absolute pressure of the charge at the engine",
        decimals=1,
    ),
    Output(
        name="boost",
        title="boost above the inlet pressure",
        dimension="pressure",
        unit="kPa",
        decimals=1,
    ),
    Output(
        name="charge_density",
        title="density of the charge",
        dimension="density",
        unit="kg/m³",
        about="density of the charge",
        decimals=3,
    ),
    Output(
        name="density_ratio",
        title="density ratio of the charge to the inlet air",
        dimension="ratio",
        unit="",
        decimals=3,
    ),
    Output(
        name="air_mass_flow",
        title="air mass flow of the engine",
        dimension="mass flow",
        unit="kg/s",
        about="air drawn",
        decimals=4,
    ),
    Output(
        name="compressor_power",
        title="compressor power into the air",
        dimension="power",
        unit="kW",
        decimals=2,
    ),
    Output(
        name="cooler_heat",
        title="heat flow out of the charge cooler",
        dimension="power",
        unit="kW",
        decimals=2,
        needs=_COOLER,
    ),
    Output(
        name="drive_torque",
        title="belt torque at the crank",
        dimension="torque",
        unit="N·m",
        about="what the belt takes",
        decimals=1,
        needs=("drive",),
    ),
    Output(
        name="gain_by_charge",
        title="torque gain by the denser charge",
        dimension="torque",
        unit="N·m",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="boosted_torque",
        title="estimated torque with the compressor",
        dimension="torque",
        unit="N·m",
        decimals=0,
    ),
    Output(
        name="torque_change",
        title="change of the torque with the compressor",
        dimension="ratio",
        unit="%",
        about="change of the torque",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="boosted_power",
        title="estimated power with the compressor",
        dimension="power",
        unit="kW",
        about="at that engine speed",
        decimals=1,
    ),
    Output(
        name="clutch_margin",
        title="torque margin of the clutch",
        dimension="torque",
        unit="N·m",
        about="what it can carry beyond the torque",
        decimals=0,
        needs=("clutch_capacity",),
    ),
    Output(
        name="gearbox_margin",
        title="torque margin of the gearbox",
        dimension="torque",
        unit="N·m",
        about="what it may carry beyond the torque",
        decimals=0,
        needs=("gearbox_torque",),
    ),
)

SOURCES = (
    Source(
        id="nasa-glenn",
        title="Compressor Thermodynamics",
        publisher="NASA Glenn Research Center",
        where="pressure ratio, temperature ratio, work and efficiency",
    ),
    Source(
        id="fossee",
        title="Textbook companions on internal combustion engines, worked examples on supercharging",
        publisher="FOSSEE, Indian Institute of Technology Bombay",
        where="power in proportion to the air drawn, intake strokes, drive",
    ),
    Source(
        id="moran",
        title="Fundamentals of Engineering Thermodynamics",
        publisher="Moran and Shapiro",
        where="Table A-21, as public code quotes its five coefficients of air (read)",
    ),
    Source(
        id="heywood",
        title="Internal Combustion Engine Fundamentals, Heywood",
        publisher="McGraw-Hill",
        edition="1988",
        where="2.10, volumetric efficiency",
        standing="from memory",
    ),
    Source(id="ideal-gas", title="Ideal gas law; energy balance of steady flow", standing="derived"),
    Source(
        id="practice",
        title="Efficiency of compressors, coolers and belts",
        standing="common practice, no source",
    ),
    filling.SOURCE,
)

_PERFECT_GAS = Doubt(
    name="perfect_gas_compression",
    about="dry air with the specific heat that it has at the inlet",
    source="nasa-glenn",
    relative=0.015,
    range="pressure ratios to 4; the size by CoolProp",
)
_GAIN = Doubt(
    name="gain_by_charge",
    about="friction that stays gives more, ignition that is set back less; knock is not in it",
    source="practice",
    formula="fossee",
    relative=0.2,
    range="without knock",
)

DOUBTS = (_EFFICIENCY, _EFFECTIVENESS, _PERFECT_GAS, _GAIN)

HAZARDS = ("fuel", "hot-parts", "spinning-parts", "noise-emissions", "dynamometer", "own-limits")


def _compression(given: Mapping[str, Any], working: Working, outputs: Outputs) -> tuple[float, float]:
    """Temperature and pressure behind the compressor."""
    inlet = given["inlet_temperature"]
    heat = working.step("specific_heat", air.specific_heat, source="moran", temperature=inlet)
    gamma = working.step(
        "heat_capacity_ratio", compressor.heat_capacity_ratio, source="ideal-gas", specific_heat=heat
    )
    ideal = working.step(
        "isentropic_rise",
        compressor.isentropic_rise,
        source=_PERFECT_GAS,
        inlet_temperature=inlet,
        pressure_ratio=given["pressure_ratio"],
        heat_capacity_ratio=gamma,
    )
    rise = working.step(
        "compressor_rise",
        compressor.compressor_rise,
        source="nasa-glenn",
        isentropic_rise=ideal,
        isentropic_efficiency=given["isentropic_efficiency"],
    )
    temperature = outputs["compressor_outlet_temperature"] = working.step(
        "compressor_outlet_temperature",
        duct_heat.temperature_after,
        source="ideal-gas",
        inlet_temperature=inlet,
        warming=rise,
    )
    pressure = working.step(
        "compressor_outlet_pressure",
        compressor.pressure_after,
        source="nasa-glenn",
        inlet_pressure=given["inlet_pressure"],
        pressure_ratio=given["pressure_ratio"],
    )
    return temperature, pressure


def _cooled(given: Mapping[str, Any], before: tuple[float, float], working: Working) -> tuple[float, float]:
    """Temperature and pressure of the charge. Without a cooler they are those behind the compressor."""
    temperature, pressure = before
    cooler = given_together(given, _COOLER, "a cooler takes heat and pressure")
    effectiveness = given["cooler_effectiveness"] if cooler else 0.0
    loss = given["cooler_pressure_loss"] if cooler else 0.0
    if loss >= 0.5 * pressure:
        raise OutOfRange(
            "cooler_pressure_loss",
            f"{loss / 1000:.1f} kPa of {pressure / 1000:.1f} kPa",
            "less than half of the pressure behind the compressor",
        )
    charge = working.step(
        "charge_temperature",
        compressor.cooled_temperature,
        source="ideal-gas",
        temperature=temperature,
        cooling_temperature=given["cooling_temperature"] if cooler else temperature,
        effectiveness=effectiveness,
    )
    left = working.step(
        "charge_pressure", compressor.pressure_behind, source="ideal-gas", pressure=pressure, loss=loss
    )
    return charge, left


def _flow(
    given: Mapping[str, Any], compressed: float, charge: float, working: Working, outputs: Outputs
) -> float:
    """Air that the engine draws, the power that goes into it, and the heat that the cooler takes out."""
    volume = working.step(
        "air_drawn",
        engine_air.air_demand,
        source="heywood",
        displacement=given["engine_displacement"],
        engine_speed=given["engine_speed"],
        volumetric_efficiency=given["volumetric_efficiency"],
    )
    density = outputs["charge_density"]
    assert isinstance(density, float)
    flow = outputs["air_mass_flow"] = working.step(
        "air_mass_flow", engine_air.mass_flow, source="heywood", density=density, volume_flow=volume
    )
    inlet = given["inlet_temperature"]
    heat = working.step("specific_heat", air.specific_heat, source="moran", temperature=inlet)
    power = outputs["compressor_power"] = working.step(
        "compressor_power",
        duct_heat.heat_taken_up,
        source="nasa-glenn",
        mass_flow=flow,
        specific_heat=heat,
        warming=compressed - inlet,
    )
    if "cooler_effectiveness" in given:
        outputs["cooler_heat"] = working.step(
            "cooler_heat",
            duct_heat.heat_taken_up,
            source="ideal-gas",
            mass_flow=flow,
            specific_heat=heat,
            warming=compressed - charge,
        )
    return power


def _drive(
    given: Mapping[str, Any], power: float, boost: float, working: Working, outputs: Outputs
) -> tuple[float, float]:
    """Torque of the intake strokes, and what the drive takes. A turbine's are not computed."""
    if given["drive"] == "turbine":
        working.remark(
            said(
                "The turbine's back pressure and the work of the intake strokes are taken to cancel; its map "
                "says whether they do."
            )
        )
        return 0.0, 0.0
    at_crank = working.step(
        "drive_power",
        compressor.drive_power,
        source="fossee",
        compressor_power=power,
        drive_efficiency=given["drive_efficiency"],
    )
    taken = outputs["drive_torque"] = working.step(
        "drive_torque",
        compressor.drive_torque,
        source="fossee",
        drive_power=at_crank,
        engine_speed=given["engine_speed"],
    )
    strokes = working.step(
        "intake_stroke_torque",
        compressor.intake_stroke_torque,
        source="fossee",
        boost=boost,
        displacement=given["engine_displacement"],
    )
    return strokes, taken


def _torque(
    given: Mapping[str, Any], ratio: float, strokes: float, taken: float, working: Working, outputs: Outputs
) -> None:
    """Torque, power, and what they leave of clutch and gearbox."""
    base = given["engine_torque"]
    gain = outputs["gain_by_charge"] = working.step(
        "gain_by_charge", compressor.gain_by_charge, source=_GAIN, engine_torque=base, density_ratio=ratio
    )
    torque = outputs["boosted_torque"] = working.step(
        "boosted_torque",
        compressor.boosted_torque,
        source="fossee",
        engine_torque=base,
        gain_by_charge=gain,
        intake_stroke_torque=strokes,
        mechanical_efficiency=given["mechanical_efficiency"],
        drive_torque=taken,
    )
    if torque <= 0:
        raise OutOfRange(
            "isentropic_efficiency",
            "a compressor that takes more than the engine gives",
            "a torque above 0",
            help="check the pressure ratio, the efficiency and the displacement",
        )
    outputs["torque_change"] = working.step(
        "torque_change", compressor.relative_change, source="ideal-gas", changed=torque, before=base
    )
    outputs["boosted_power"] = working.step(
        "boosted_power",
        compressor.brake_power,
        source="ideal-gas",
        torque=torque,
        engine_speed=given["engine_speed"],
    )
    for name, output, says in (
        (
            "clutch_capacity",
            "clutch_margin",
            said("The clutch [may not|is not made to] carry that torque."),
        ),
        (
            "gearbox_torque",
            "gearbox_margin",
            said("The gearbox [may not|is not made to] carry that torque."),
        ),
    ):
        if name in given:
            outputs[output] = working.step(
                output, compressor.margin, source="ideal-gas", capacity=given[name], torque=torque
            )
            working.limit(output, least=0.0, says=says)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Charge, power into it and torque of one case; SI in, SI out."""
    outputs: Outputs = {}
    compressed = _compression(given, working, outputs)
    charge, pressure = _cooled(given, compressed, working)
    outputs["charge_temperature"], outputs["charge_pressure"] = charge, pressure
    boost = outputs["boost"] = working.step(
        "boost",
        compressor.boost,
        source="ideal-gas",
        charge_pressure=pressure,
        inlet_pressure=given["inlet_pressure"],
    )
    density = outputs["charge_density"] = working.step(
        "charge_density", air.dry_air_density, source="ideal-gas", pressure=pressure, temperature=charge
    )
    at_inlet = working.step(
        "inlet_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["inlet_pressure"],
        temperature=given["inlet_temperature"],
    )
    ratio = outputs["density_ratio"] = working.step(
        "density_ratio",
        compressor.density_ratio,
        source="ideal-gas",
        charge_density=density,
        inlet_density=at_inlet,
    )
    power = _flow(given, compressed[0], charge, working, outputs)
    strokes, taken = _drive(given, power, boost, working, outputs)
    _torque(given, ratio, strokes, taken, working, outputs)
    if given["pressure_ratio"] > 1:
        working.remark(
            said(
                "Knock is not computed: whether fuel, compression ratio and ignition allow this charge is "
                "found on a test bed."
            )
        )
    return outputs


def _over_ratio(case: CaseView, ratios: list[float], *outputs: str) -> list[list[float]]:
    """Outputs of a case over the pressure ratio, as far as it can be computed."""
    found: list[list[float]] = []
    for ratio in ratios:
        try:
            results = compute({**case.inputs, "pressure_ratio": ratio}, Working())
        except Refused:
            break
        found.append([float(results[name]) for name in outputs])  # type: ignore[arg-type]
    return [list(column) for column in zip(*found, strict=True)]


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Charge temperature and torque over the pressure ratio, with the choices and what clutch and gearbox
    carry."""
    top = max(2.0, *(case.inputs["pressure_ratio"] * 1.2 for case in cases.values()))
    ratios = [1 + (min(top, 4.0) - 1) * step / 40 for step in range(41)]
    warm: list[Series] = []
    strong: list[Series] = []
    # The engine as it is lies on every curve, where the ratio is 1; it has one of its own where it is alone.
    boosted = {name: case for name, case in cases.items() if case.inputs["pressure_ratio"] > 1} or cases
    for style, (name, case) in enumerate(boosted.items()):
        temperatures, torques, gains = _over_ratio(
            case, ratios, "charge_temperature", "boosted_torque", "gain_by_charge"
        )
        spread = [2 * _GAIN.standard(gain) for gain in gains]
        x = ratios[: len(temperatures)]
        warm.append(Series(label=name or "charge", x=x, y=temperatures, style=style))
        strong.append(
            Series(
                label=name or "torque",
                x=x,
                y=torques,
                style=style,
                low=[torque - off for torque, off in zip(torques, spread, strict=True)],
                high=[torque + off for torque, off in zip(torques, spread, strict=True)],
            )
        )
    choices = tuple(
        Marker(name or "choice", x=case.inputs["pressure_ratio"])
        for name, case in cases.items()
        if case.inputs["pressure_ratio"] > 1
    )
    x_axis = Axis("pressure ratio", "ratio", "")
    return (
        ChartSpec(
            title="Charge temperature over pressure ratio",
            description="Temperature of the charge at the engine against the pressure ratio of the "
            "compressor, by case; the chosen ratios are lines.",
            x=x_axis,
            y=Axis("charge temperature", "temperature", "°C"),
            series=tuple(warm),
            markers=choices,
        ),
        ChartSpec(
            title="Torque over pressure ratio",
            description="Estimated torque against the pressure ratio of the compressor, by case, with the "
            "chosen ratios, and what clutch and gearbox carry, as lines. The band is the doubt of the gain.",
            x=x_axis,
            y=Axis("torque", "torque", "N·m"),
            series=tuple(strong),
            markers=choices + _carried(cases),
        ),
    )


def _carried(cases: Mapping[str, CaseView]) -> tuple[Marker, ...]:
    """What clutch and gearbox carry, as lines across."""
    lines = {
        (label, case.inputs[name])
        for case in cases.values()
        for name, label in (("clutch_capacity", "clutch carries"), ("gearbox_torque", "gearbox carries"))
        if name in case.inputs
    }
    return tuple(Marker(label, y=torque) for label, torque in sorted(lines))
