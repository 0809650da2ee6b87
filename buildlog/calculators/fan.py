"""What an electric fan moves through a core, what it draws for that, and whether it fits behind it.

**The curve.** Rows of flow and static pressure of one fan, as its maker states them, from the greatest
pressure that it is used at to free flow; a column `current` where the sheet has one. Between the rows it is
taken as straight. What lies left of the stall, where the pressure falls again as the flow does, is left
out: a fan is not to work there. A curve in other air than `curve_density` is brought to the air of the car
by the fan laws: at one speed a fan moves the same volume, and its pressure and its power go with the
density. Behind a hot radiator the air is thinner by as much as a fifth, and carries the less.

**The circuit** is one point: `circuit_loss`, the pressure that core, grille and bay take at `circuit_flow`,
and how it grows, `circuit_exponent`:

| circuit | exponent | source |
|---|---|---|
| core with slow air, below 2 m/s at its face | 1.3–1.6 | common practice, no source |
| core with louvred fins, 2–10 m/s | 1.6–1.8 | common practice, no source |
| grille, bends, holes | 2 | losses in proportion to ρv² (derived) |

Two points of a core's sheet give its exponent: ln(Δp₂/Δp₁) / ln(Q₂/Q₁).

**The working point** is where the fan gives what the circuit takes. The sheet's free flow is never reached
in a car. Two or more fans are `beside` each other, which share the air, or `behind` each other, which share
the pressure; the second of two behind each other gets swirling air and gives less than computed. A maker's
curve counts with limits of 10 % of its pressure, the widest grade that a standard has for it; a fan without
the ring and the shroud that it was measured with is another fan.

**Current** is read off the same rows, goes with the density, and counts with limits of 16 %, as power does
in that grade. With `voltage`, that of the curve, the block has the electric power and the share of it that
arrives in the air. Cable and fuse are chosen by the maker's starting current, not by this one.

**Room.** `thickness` of the fan and `standoff` of its back from the core give the clearance to each of
`parts`: a belt pulley, say, at its `distance` from the core's face, engine rocked towards it. `least` is
what is wanted there; without it the part must only not be touched. `ring_bore` and `blade_diameter` give
the tip clearance.

```yaml
id: fans
kind: fan
inputs:
  curve:
    - {flow: 0 m³/s, pressure: 260 Pa, current: 11 A}
    - {flow: 0.2 m³/s, pressure: 200 Pa, current: 10 A}
    - {flow: 0.4 m³/s, pressure: 110 Pa, current: 8.6 A}
    - {flow: 0.55 m³/s, pressure: 0 Pa, current: 7 A}
  air_temperature: 70 ± 5 °C
  ambient_pressure: 976 ± 1 hPa
  circuit_loss: 120 ± 12 Pa
  circuit_flow: 0.4 m³/s
  circuit_exponent: 1.7
  voltage: 13 V
  thickness: 62 mm
  standoff: 12 ± 1 mm
  parts:
    - {name: water pump pulley, distance: 95 ± 3 mm, least: 15 mm}
cases:
  one: {beside: 1}
  two: {beside: 2}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
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
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.models import fan_curve
from buildlog.physics import air, fans
from buildlog.said import said

KIND = "fan"

_FANS = "fans that a core has room for"
_ROOM = Number(dimension="length", unit="mm", low=0, high=1000, why="room in front of an engine")

INPUTS = (
    Input(name="curve", form=fan_curve.CURVE, about="the maker's curve of one fan, rising in flow"),
    fan_curve.DENSITY,
    Input(
        name="beside",
        title="fans beside each other",
        form=Whole(1, 4, _FANS),
        about="how many share the air",
        default="1",
        default_source="one fan",
    ),
    Input(
        name="behind",
        title="fans behind each other",
        form=Whole(1, 2, _FANS),
        about="how many the air passes in turn",
        default="1",
        default_source="one fan",
    ),
    Input(
        name="air_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=150, why="air at a cooler's fan"),
        about="temperature of the air at the fan: behind a core it is hot",
    ),
    Input(
        name="ambient_pressure",
        form=Number(dimension="pressure", unit="hPa", low=450, high=1085, why="any road"),
        about="barometer as it reads at the place, not reduced to sea level",
    ),
    Input(
        name="circuit_loss",
        form=Number(dimension="pressure", unit="Pa", low=1, high=5000, why="cores and grilles of cars"),
        about="pressure that the circuit takes at circuit_flow",
    ),
    Input(
        name="circuit_flow",
        form=Number(dimension="volume flow", unit="m³/s", low=0.01, high=10, why="cores of cars"),
        about="volume flow that circuit_loss was measured at, all fans together",
    ),
    Input(
        name="circuit_exponent",
        form=Number(dimension="ratio", unit="", low=1, high=2, why="laminar to fully turbulent"),
        about="by what power of the flow the loss grows",
    ),
    Input(
        name="circuit_density",
        form=Number(dimension="density", unit="kg/m³", low=0.5, high=1.5, why="air of test rigs"),
        about="density of the air that circuit_loss was measured in",
        default="1.2 kg/m³",
        default_source="standard air of makers of fans, 20 °C at sea level",
    ),
    Input(
        name="voltage",
        form=Number(dimension="voltage", unit="V", low=5, high=60, why="cars"),
        about="voltage that the curve's currents are at",
        required=False,
    ),
    Input(name="thickness", form=_ROOM, about="thickness of the fan with its motor", required=False),
    Input(name="standoff", form=_ROOM, about="from the core's face to the fan", required=False),
    Input(
        name="parts",
        form=Table(
            (
                Input(name="name", form=Text(60), about="what it is"),
                Input(name="distance", form=_ROOM, about="from the core's face to the part, at its nearest"),
                Input(
                    name="least",
                    form=_ROOM,
                    about="clearance that is wanted there",
                    default="0 mm",
                    default_source="the part is only not touched",
                ),
            ),
            1,
            20,
        ),
        about="parts behind the fan that it must clear",
        required=False,
    ),
    Input(name="ring_bore", form=_ROOM, about="bore of the ring about the blades", required=False),
    Input(name="blade_diameter", form=_ROOM, about="diameter over the blades", required=False),
)

_PARTS = ("thickness", "standoff", "parts")
_RING = ("ring_bore", "blade_diameter")

OUTPUTS = (
    Output(
        name="air_density",
        title="air density at the fan",
        dimension="density",
        unit="kg/m³",
        decimals=3,
    ),
    Output(
        name="volume_flow",
        title="volume flow at the working point",
        dimension="volume flow",
        unit="m³/s",
        about="of all fans together",
        decimals=3,
    ),
    Output(
        name="mass_flow",
        title="mass flow of the air at the working point",
        dimension="mass flow",
        unit="kg/s",
        decimals=3,
    ),
    Output(
        name="fan_pressure",
        title="static pressure rise at the working point",
        dimension="pressure",
        unit="Pa",
        decimals=0,
    ),
    Output(
        name="free_flow_share",
        title="share of the curve's greatest flow",
        dimension="ratio",
        unit="%",
        about="flow at the working point over that of the curve's last row",
        decimals=0,
    ),
    Output(
        name="air_power",
        title="power that reaches the air",
        dimension="power",
        unit="W",
        about="pressure rise by flow",
        decimals=0,
    ),
    Output(
        name="current",
        title="current of all fans together",
        dimension="electric current",
        unit="A",
        about="at the working point, where the curve has currents",
        decimals=1,
        needs=("curve",),
    ),
    Output(
        name="electric_power",
        title="electric power of all fans",
        dimension="power",
        unit="W",
        decimals=0,
        needs=("voltage",),
    ),
    Output(
        name="efficiency",
        title="share of the electric power that reaches the air",
        dimension="ratio",
        unit="%",
        decimals=0,
        needs=("voltage",),
    ),
    Output(
        name="clearance",
        title="clearance between fan and part",
        dimension="length",
        unit="mm",
        about="below nothing they overlap",
        decimals=1,
        key="part",
        of="parts",
        needs=_PARTS,
        beside=True,
    ),
    Output(
        name="spare_clearance",
        title="clearance beyond what is wanted",
        dimension="length",
        unit="mm",
        decimals=1,
        key="part",
        of="parts",
        needs=_PARTS,
        beside=True,
    ),
    Output(
        name="tip_clearance",
        title="clearance between blade tips and ring",
        dimension="length",
        unit="mm",
        decimals=1,
        needs=_RING,
    ),
)

SOURCES = (
    *fan_curve.SOURCES,
    Source(id="ideal-gas", title="Ideal gas law", standing="derived"),
    Source(id="working-point", title="Fan curve and circuit crossed; continuity", standing="derived"),
    Source(id="geometry", title="Geometry of the gap", standing="derived"),
)

DOUBTS = (fan_curve.DOUBT, fan_curve.CURRENT_DOUBT)

HAZARDS = ("spinning-parts", "hot-parts")


def _group(given: Mapping[str, Any], density: float, factor: float) -> fans.FanGroup:
    """The fans in the air of the car; `factor` moves their pressure by the doubt of the curve."""
    curve = fans.FanCurve.read(given["curve"], given["curve_density"], "curve")
    return fans.FanGroup(
        curve=curve, beside=given["beside"], behind=given["behind"], density=density, factor=factor
    )


def _loss(given: Mapping[str, Any], density: float, flow: float) -> float:
    return fans.circuit_loss(**_circuit(given, density), volume_flow=flow)


def _circuit(given: Mapping[str, Any], density: float) -> dict[str, float]:
    return {
        "rated_loss": given["circuit_loss"],
        "rated_flow": given["circuit_flow"],
        "exponent": given["circuit_exponent"],
        "density": density,
        "rated_density": given["circuit_density"],
    }


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Working point, current and room of one case; SI in, SI out."""
    outputs: Outputs = {}
    density = outputs["air_density"] = working.step(
        "air_density",
        air.dry_air_density,
        source="ideal-gas",
        pressure=given["ambient_pressure"],
        temperature=given["air_temperature"],
    )
    group = _group(given, density, working.factor(fan_curve.DOUBT))
    ends = [
        working.step(
            f"circuit_loss_at_{name}_flow",
            fans.circuit_loss,
            source="working-point",
            volume_flow=flow,
            **_circuit(given, density),
        )
        for name, flow in (("least", group.least_flow), ("most", group.most_flow))
    ]
    flow = outputs["volume_flow"] = working.step(
        "volume_flow",
        fans.working_flow,
        group,
        partial(_loss, given, density),
        source="working-point",
        circuit_loss_at_least_flow=ends[0],
        circuit_loss_at_most_flow=ends[1],
    )
    outputs["mass_flow"] = working.step(
        "mass_flow", fans.mass_flow, source="working-point", density=density, volume_flow=flow
    )
    _powers(given, group, flow, working, outputs)
    _room(given, working, outputs)
    if given["behind"] > 1:
        working.remark(said("The second fan gets air that swirls: it gives less than its curve says."))
    return outputs


def _powers(
    given: Mapping[str, Any], group: fans.FanGroup, flow: float, working: Working, outputs: Outputs
) -> None:
    """Pressure, powers and current at the working point."""
    there = {"volume_flow": flow, "density": group.density, "curve_density": group.curve.density}
    pressure = outputs["fan_pressure"] = working.step(
        "fan_pressure", fans.fan_pressure, group, source="fan-laws", **there
    )
    outputs["free_flow_share"] = working.step(
        "free_flow_share",
        fans.share_of_free_flow,
        source="working-point",
        volume_flow=flow,
        most_flow=group.most_flow,
    )
    useful = outputs["air_power"] = working.step(
        "air_power", fans.air_power, source="working-point", volume_flow=flow, pressure=pressure
    )
    if not group.curve.currents:
        if "voltage" in given:
            raise MissingInput("curve", "a voltage, and no current in its rows", "a column current")
        return
    current = outputs["current"] = working.step(
        "current", fans.fan_current, group, source=fan_curve.CURRENT_DOUBT, **there
    )
    if "voltage" in given:
        electric = outputs["electric_power"] = working.step(
            "electric_power",
            fans.electric_power,
            source="working-point",
            voltage=given["voltage"],
            current=current,
        )
        if useful >= electric:
            raise InputsConflict(
                "curve",
                f"{useful:.0f} W in the air of {electric:.0f} W electric power",
                "less in the air than is drawn",
                help="check the units of flow, pressure and current, and the voltage",
            )
        outputs["efficiency"] = working.step(
            "efficiency",
            fans.efficiency,
            source="working-point",
            air_power=useful,
            electric_power=electric,
        )


def _room(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """Clearances to parts behind the fan, and of the blades in their ring."""
    if given_together(given, _PARTS, "a clearance is a distance less standoff and thickness"):
        left: dict[str, float] = {}
        spare: dict[str, float] = {}
        for key, row in zip(row_keys("parts", given["parts"]), given["parts"], strict=True):
            left[key] = working.step(
                f"clearance.{key}",
                fans.clearance,
                source="geometry",
                distance=row["distance"],
                standoff=given["standoff"],
                thickness=given["thickness"],
            )
            spare[key] = working.step(
                f"spare_clearance.{key}",
                fans.spare_clearance,
                source="geometry",
                clearance=left[key],
                least=row["least"],
            )
            working.limit(
                "spare_clearance",
                key,
                least=0.0,
                says=said("There [may be|is] less clearance at “{name}” than is wanted.", name=row["name"]),
            )
        outputs["clearance"], outputs["spare_clearance"] = left, spare
    if given_together(given, _RING, "a tip clearance is between two diameters"):
        outputs["tip_clearance"] = working.step(
            "tip_clearance",
            fans.tip_clearance,
            source="geometry",
            ring_bore=given["ring_bore"],
            blade_diameter=given["blade_diameter"],
        )
        working.limit("tip_clearance", least=0.0, says=said("The blades [may touch|touch] their ring."))


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Pressure over flow: the fans of each case, the circuit, and where they cross."""
    curves: list[Series] = []
    markers: list[Marker] = []
    reach = 0.0
    for style, (name, case) in enumerate(cases.items()):
        group = _group(case.inputs, case.outputs["air_density"], 1.0)
        flows = [flow * group.beside for flow in group.curve.flows]
        reach = max(reach, flows[-1])
        pressures = [group.pressure(flow) for flow in flows]
        off = fan_curve.DOUBT.relative
        curves.append(
            Series(
                label=f"fan, {name}" if name else "fan",
                x=flows,
                y=pressures,
                low=[pressure * (1 - off) for pressure in pressures],
                high=[pressure * (1 + off) for pressure in pressures],
                style=style,
            )
        )
        markers.append(
            Marker(name or "working point", x=case.outputs["volume_flow"], y=case.outputs["fan_pressure"])
        )
    for style, (label, case) in enumerate(_circuits(cases), start=len(curves)):
        top = max(max(curve.y) for curve in curves)
        flows = [reach * step / 60 for step in range(61)]
        losses = [_loss(case.inputs, case.outputs["air_density"], flow) for flow in flows]
        shown = [(flow, loss) for flow, loss in zip(flows, losses, strict=True) if loss <= 1.1 * top]
        curves.append(
            Series(label=label, x=[flow for flow, _ in shown], y=[loss for _, loss in shown], style=style)
        )
    return ChartSpec(
        title="Fan and circuit",
        description="Static pressure against volume flow: what the fans of each case raise, and what the "
        "circuit takes; they work where the two cross. The bands are the doubt of the maker's curve.",
        x=Axis("volume flow", "volume flow", "m³/s", from_zero=True),
        y=Axis("static pressure", "pressure", "Pa", from_zero=True),
        series=tuple(curves),
        markers=tuple(markers),
    )


def _circuits(cases: Mapping[str, CaseView]) -> list[tuple[str, CaseView]]:
    """The circuits that differ, each once, with a label."""
    found: dict[tuple[float, ...], tuple[str, CaseView]] = {}
    for name, case in cases.items():
        found.setdefault(tuple(_circuit(case.inputs, case.outputs["air_density"]).values()), (name, case))
    if len(found) == 1:
        return [("circuit", case) for _, case in found.values()]
    return [(f"circuit, {name}", case) for name, case in found.values()]
