"""What a duct costs: pressure lost in each piece of it, from the mouth to the throttle, at one air flow.

Write the duct as rows, in the order the air meets them. Each has a kind, and the columns of that kind:

| kind | columns | what is lost |
|---|---|---|
| `inlet` | diameter, edge (`edge_radius` if rounded) | entry from still air |
| `hose` | diameter, length, roughness | friction |
| `bend` | diameter, bend_radius, angle, roughness | the turn and the friction along it |
| `expansion`, `contraction` | diameter, diameter_after, angle or length (roughness) | the step, 180° sudden |
| `filter` | rated_pressure, rated_flow, exponent (area, diameter) | what its sheet says, scaled |
| `fitting` | diameter, loss_coefficient | a coefficient of your own: mesh, flap, mitre |
| `exit` | diameter | the velocity, into a box or plenum |

Air comes from still surroundings. In a box it is still again, so that a hose after a box starts with an
`inlet`. A filter without `diameter` stands in still air; with it, it is rated from hose to hose. A `name`
is what figures in the text call the row by; without one none can rest on it. Bores that differ by more
than 3 % want a row between them. A slender cone loses more by its wall than by the change of bore: below 10°
give it a `roughness`, and below 5° it needs one.

**Sections that are not round.** Instead of a diameter, `section: rectangular` or `oval` with `width` and
`height`. The velocity is that of the area, the friction that of the hydraulic diameter. An oval mouth that
becomes a round hose is an `expansion` or a `contraction` with a section before and a diameter after.

**Two ways at once.** Rows with `path: a`, `path: b` run side by side, the old inlet and the new duct into
one box, say. Each path ends with an `exit`; rows before and after them carry all the air. The air divides
so that both lose the same, which is solved as a network. Ram at one mouth is the
business of `ram_air`: at speed a mouth in the wind blows part of its air out of one that is not.

**Friction.** Darcy–Weisbach with the factor of Colebrook, solved to 1e-13, from Reynolds number 4000;
64/Re to 2300; a straight line between (common practice, no source: there any value between is measured).

| wall | roughness | source |
|---|---|---|
| drawn tube: aluminium, brass | 0.0015–0.01 mm | Idelchik, as listed in fluids 1.3.1 |
| smooth plastic pipe | 0.009–0.05 mm | Swim (1982), ASHRAE's table (secondary quote) |
| aluminium sheet, long seam, slip joints | 0.04–0.06 mm | Hutchinson (1953), the same |
| welded steel tube, good | 0.04–0.1 mm | Idelchik, as listed in fluids 1.3.1 |
| hose of cloth and wire, fully stretched | 0.09–0.9 mm | Abushakra (2004), Culp (2011), ASHRAE's table |
| spiral corrugated sheet | 0.55–0.9 mm | Kulkarni (2009), ASHRAE's table |
| corrugated hose | loses 2–4 times a smooth tube | common practice, no source |

Corrugated hose is the weakest figure of all. Its depth of corrugation is no roughness, and a hose that
is not stretched is worse: of ventilation hoses, moderate compression raised the loss fourfold
(Abushakra, Walker and Sherman, Lawrence Berkeley National Laboratory). At Re 100 000, twice, three and four
times a smooth tube are a roughness of 0.008, 0.026 and 0.050 of the bore, where Moody's chart ends.
Measure yours if it matters: two taps, a manometer, a known flow.

**Coefficients**, on the velocity in the bore (in the narrower one, of a step):

| piece | coefficient | source |
|---|---|---|
| mouth flush with a wall, sharp | 0.50 | Crane TP-410, p. A-29 |
| the same, edge radius 0.02, 0.06, 0.10 of the bore | 0.28, 0.15, 0.09 | the same |
| bellmouth, edge from 0.15 of the bore | 0.04 | the same; Rishel, HVAC Pump Handbook (2006): 0.05 |
| pipe that stands out into the air | 0.78; thin edge 1.0 | Crane; Rishel, table 3.7 |
| exit into a box | 1.0 | Borda–Carnot; Crane |
| step wider, bore ratio β | (1 − β²)² | Borda–Carnot |
| step narrower | 0.5 (1 − β²) | Crane, p. A-26 |
| mitre of 90°, one joint | 1.2 | Rennels and Hudson (2012), as in fluids 1.3.1 |
| bend of 90°, radius 1, 1.5, 3 bores, Re 100 000 | 0.29, 0.23, 0.20 | Ito (1960) |

Bends follow Ito, measured on smooth ones from Re 20 000 to 400 000 and used here up to a million; a rough
wall raises them as it raises friction (Miller). `bend_rule: crane` takes the table of Crane for 90° and
more instead. The methods disagree: at 90° Ito lies up to 20 % below Miller, at 45° up to 72 % above, most
of all at a radius of one bore. Pieces close together disturb each other, which no sum of coefficients
knows.

**The filter** is scaled by its sheet: rated pressure at rated flow, times (Q/Q_rated) to the exponent. Two
points on the sheet give the exponent; 1 is paper alone, 2 its housing alone, clean panels lie between.
Dirt is not in it. A face velocity of 1.5–3 m/s on a panel is usual (common practice, no source).

**What is assumed.** Air of one density, dry (on a hot damp day it is up to 2 % lighter). Within Mach
0.3 and a loss of a tenth of the pressure that holds, and beyond them the block refuses. Round bores. The
flow is the mean one; with few cylinders the pulses raise the loss.

**How sure it is.** Every piece has the doubt of its formula, independent of the others: 25 % of a mouth, a
step or a bend of about 90°, 50 % of a bend of another angle, 60 % of a narrowing cone, 0.1 in the
coefficient of a rounded mouth (the published methods for one piece differ so much), 10 % of an exit and 15
% of a filter. Friction is off by 15 % in all pieces alike, by 40 % more in a corrugated hose, by 10 % in a
section that is not round. A roughness or a coefficient without ± of its own is taken as from a table: ±50 %
and ±25 %. Below Reynolds number 4000 in a hose, 10 000 in a bend and a fifth of a filter's rating, at idle
say, the doubt is wider, and the block names the piece.

**A bore for a loss.** With `allowed_loss` the block finds the one factor on every bore that loses just that;
bends keep their radius in bores, cones their angle, hoses their length and the filter its rating.

```yaml
id: two-ducts
kind: duct
inputs:
  air_temperature: 20 °C
  altitude: 650 m
  engine_displacement: 1998 cm³
  engine_speed: 7400 rpm
  volumetric_efficiency: 96 %
  allowed_loss: 1.2 kPa
cases:
  old:
    segments:
      - {name: mouth, kind: inlet, diameter: 60 mm, edge: projecting}
      - {name: hose, kind: hose, diameter: 60 mm, length: 0.4 m, roughness: 0.5 mm}
      - {name: dump, kind: exit, diameter: 60 mm}
      - {name: panel, kind: filter, rated_pressure: 500 Pa, rated_flow: 0.12 m³/s, exponent: 1.5}
  both:
    segments:
      - {path: a, name: mouth, kind: inlet, diameter: 60 mm, edge: projecting}
      - {path: a, name: hose, kind: hose, diameter: 60 mm, length: 0.4 m, roughness: 0.5 mm}
      - {path: a, name: dump, kind: exit, diameter: 60 mm}
      - {path: b, name: horn, kind: inlet, diameter: 70 mm, edge: rounded, edge_radius: 7 mm}
      - {path: b, name: bend, kind: bend, diameter: 70 mm, bend_radius: 0.1 m, angle: 90°, roughness: 0 mm}
      - {path: b, name: cone, kind: expansion, diameter: 70 mm, diameter_after: 80 mm, length: 60 mm}
      - {path: b, name: new-dump, kind: exit, diameter: 80 mm}
      - {name: panel, kind: filter, rated_pressure: 500 Pa, rated_flow: 0.12 m³/s, exponent: 1.5}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution, OutOfRange
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
    Working,
    given_together,
)
from buildlog.kinds.models import ducts, filling
from buildlog.physics import air, compressible, engine_air, network, pipes
from buildlog.physics.duct_segments import DuctLayout
from buildlog.said import said

KIND = "duct"

_ROW = (ducts.kind_column(ducts.KINDS), *ducts.COLUMNS)

INPUTS = (
    Input(name="segments", form=Table(_ROW, 1, 40), about="the pieces, in the order the air meets them"),
    Input(
        name="bend_rule",
        form=Choice({"ito": "Ito (1960), any angle", "crane": "Crane TP-410, 90° and more"}),
        about="whose loss coefficient of a bend",
        default="ito",
        default_source="measured on smooth bends at the Reynolds numbers of car intakes",
    ),
    Input(
        name="volume_flow",
        form=Number(
            dimension="volume flow", unit="m³/s", low=0.001, high=1, why="idle of a small engine to 1000 kW"
        ),
        about="air flow; or give the engine, which is then not used",
        required=False,
    ),
    Input(
        name="engine_displacement",
        form=Number(dimension="volume", unit="l", low=0.05, high=9, why="car engines"),
        about="swept volume of all cylinders",
        required=False,
    ),
    Input(
        name="engine_speed",
        form=Number(
            dimension="rotational speed", unit="rpm", low=500, high=20_000, why="piston engines of cars"
        ),
        about="engine speed at which the draw is wanted",
        required=False,
    ),
    Input(
        name="volumetric_efficiency",
        form=Number(dimension="ratio", unit="%", low=30, high=140, why="engines without a supercharger"),
        about="air drawn over displacement, at the density in the duct",
        required=False,
        doubt=filling.GUESSED_VOLUMETRIC_EFFICIENCY,
    ),
    Input(
        name="air_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=120, why="air about an engine"),
        about="temperature of the air in the duct",
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
        name="allowed_loss",
        form=Number(
            dimension="pressure", unit="Pa", low=10, high=20_000, why="a choked intake loses about 10 kPa"
        ),
        about="loss for which bores are wanted",
        required=False,
    ),
)

OUTPUTS = (
    Output(
        name="volume_flow",
        title="volume flow of the air",
        dimension="volume flow",
        unit="m³/s",
        about="air flow",
        decimals=4,
    ),
    Output(
        name="mass_flow",
        title="mass flow of the air",
        dimension="mass flow",
        unit="kg/s",
        about="mass flow of the air",
        decimals=4,
    ),
    Output(
        name="air_density",
        title="air density in the duct",
        dimension="density",
        unit="kg/m³",
        about="density of the air in the duct",
        decimals=4,
    ),
    Output(
        name="total_loss",
        title="total pressure loss of the duct",
        dimension="pressure",
        unit="Pa",
        about="from the still air to the end",
        decimals=0,
    ),
    Output(
        name="loss_share",
        title="pressure loss as a share of ambient pressure",
        dimension="ratio",
        unit="%",
        about="loss as a share of the ambient pressure",
        decimals=2,
    ),
    Output(
        name="most_lost",
        title="place of the greatest loss",
        dimension="text",
        unit="",
        about="on a path, by the share of the air",
    ),
    Output(
        name="bore_factor",
        title="bore factor for the allowed loss",
        dimension="ratio",
        unit="",
        about="on every bore",
        decimals=3,
        needs=("allowed_loss",),
    ),
    Output(
        name="path_flow",
        title="air flow of the path",
        dimension="volume flow",
        unit="m³/s",
        about="air flow of each path",
        decimals=4,
        key="path",
    ),
    Output(
        name="path_share",
        title="share of the air flow on the path",
        dimension="ratio",
        unit="%",
        about="share of the flow of each path",
        decimals=1,
        key="path",
    ),
    Output(
        name="loss",
        title="total pressure loss of the segment",
        dimension="pressure",
        unit="Pa",
        about="loss of total pressure",
        decimals=0,
        key="segment",
        of="segments",
    ),
    Output(
        name="share",
        title="segment's share of the whole loss",
        dimension="ratio",
        unit="%",
        about="share of the whole loss",
        decimals=1,
        key="segment",
        of="segments",
    ),
    Output(
        name="total_pressure_after",
        title="total pressure after the segment",
        dimension="pressure",
        unit="Pa",
        about="above ambient",
        decimals=0,
        key="segment",
        of="segments",
    ),
    Output(
        name="static_pressure_after",
        title="static pressure after the segment",
        dimension="pressure",
        unit="Pa",
        about="at the wall",
        decimals=0,
        key="segment",
        of="segments",
    ),
    Output(
        name="velocity",
        title="mean air velocity in the segment",
        dimension="speed",
        unit="m/s",
        about="in the narrower bore",
        decimals=1,
        key="segment",
        of="segments",
    ),
    Output(
        name="reynolds_number",
        title="Reynolds number in the segment",
        dimension="ratio",
        unit="",
        about="Reynolds number",
        decimals=0,
        key="segment",
        of="segments",
    ),
    Output(
        name="loss_coefficient",
        title="loss coefficient of the segment",
        dimension="ratio",
        unit="",
        about="on the velocity",
        decimals=3,
        key="segment",
        of="segments",
    ),
    Output(
        name="face_velocity",
        title="face velocity at the filter",
        dimension="speed",
        unit="m/s",
        about="air flow over its face area",
        decimals=2,
        key="segment",
        of="segments",
    ),
    Output(
        name="required_bore",
        title="bore for the allowed loss",
        dimension="length",
        unit="mm",
        about="bore for allowed_loss",
        decimals=1,
        key="segment",
        of="segments",
        needs=("allowed_loss",),
    ),
)

SOURCES = (
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eqs. 18, 23, 33a, 51 and gas constant of air, as the source code of galata and poliastro "
        "has them (read)",
    ),
    Source(
        id="heywood",
        title="Internal Combustion Engine Fundamentals",
        publisher="McGraw-Hill",
        edition="1988",
        where="2.10",
        standing="from memory",
    ),
    *ducts.SOURCES,
    filling.SOURCE,
)

DOUBTS = ducts.DOUBTS

DRAWS = 100

HAZARDS = ("intake-water", "hot-parts", "noise-emissions")

_HEAT_CAPACITY_RATIO, _GAS_CONSTANT = 1.4, 287.05287
_ENGINE = ("engine_displacement", "engine_speed", "volumetric_efficiency")
_SMALLEST, _LARGEST = 0.01, 0.5
_LARGEST_SHARE = 0.1
_FASTEST_FACE = 3.0


def _air(given: Mapping[str, Any], working: Working, outputs: Outputs) -> tuple[float, dict[str, float]]:
    """Ambient pressure, and density and viscosity of the air in the duct."""
    if ("altitude" in given) == ("ambient_pressure" in given):
        if "altitude" in given:
            raise InputsConflict(
                "ambient_pressure", "altitude as well", "one of the two", help="leave one out"
            )
        raise MissingInput("altitude", "neither altitude nor ambient_pressure", "one of them")
    values = dict(given) | {"temperature": given["air_temperature"]}
    values["pressure"] = given.get("ambient_pressure")
    if "altitude" in given:
        working.chain(
            values,
            "us-1976",
            geopotential_altitude=air.geopotential_altitude,
            standard_temperature=air.standard_temperature,
            pressure=air.standard_pressure,
        )
    working.chain(values, "us-1976", air_density=air.dry_air_density, dynamic_viscosity=air.dynamic_viscosity)
    outputs["air_density"] = values["air_density"]
    return values["pressure"], {
        "density": values["air_density"],
        "dynamic_viscosity": values["dynamic_viscosity"],
    }


def _flow(given: Mapping[str, Any], working: Working) -> float:
    if "volume_flow" in given:
        if "engine_speed" in given:
            raise InputsConflict(
                "volume_flow", "engine_speed as well", "one of the two", help="leave one out"
            )
        return float(given["volume_flow"])
    if not given_together(given, _ENGINE, "the engine's draw needs all three"):
        raise MissingInput("volume_flow", "neither volume_flow nor an engine", "it, or " + ", ".join(_ENGINE))
    return working.step(
        "volume_flow",
        engine_air.air_demand,
        source="heywood",
        displacement=given["engine_displacement"],
        engine_speed=given["engine_speed"],
        volumetric_efficiency=given["volumetric_efficiency"],
    )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Loss, velocity and pressure along one duct; SI in, SI out."""
    outputs: Outputs = {}
    layout = DuctLayout.read(given["segments"])
    pressure, state = _air(given, working, outputs)
    flow = outputs["volume_flow"] = _flow(given, working)
    outputs["mass_flow"] = working.step(
        "mass_flow", engine_air.mass_flow, source="continuity", density=state["density"], volume_flow=flow
    )
    sound = working.step(
        "speed_of_sound",
        compressible.speed_of_sound,
        source="continuity",
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        gas_constant=_GAS_CONSTANT,
        temperature=given["air_temperature"],
    )
    ducting = ducts.Ducting(layout, given["bend_rule"], state, sound, working)
    end = ducting.follow(flow)
    total = outputs["total_loss"] = working.step(
        "total_loss",
        pipes.total_loss,
        source="continuity",
        total_pressure_before=0.0,
        total_pressure_after=end,
    )
    if total > _LARGEST_SHARE * pressure:
        raise OutOfRange(
            "segments",
            f"a loss of {total / 1000:.2f} kPa",
            f"at most a tenth of {pressure / 1000:.1f} kPa",
            help="with more the air is no longer of one density, "
            "and an engine draws less than its full volume",
        )
    outputs["loss_share"] = working.step(
        "loss_share", pipes.share, source="continuity", part=total, whole=pressure
    )
    for key, loss in ducting.tables["loss"].items():
        ducting.note("share", key, pipes.share, "continuity", part=loss, whole=total)
    outputs["most_lost"] = _most_lost(layout, ducting.tables)
    for key in ducting.tables.get("face_velocity", {}):
        working.limit(
            "face_velocity",
            key,
            most=_FASTEST_FACE,
            says=said(
                "More than 3 m/s through the face of {key} is more than panels are usually given.", key=key
            ),
        )
    if "allowed_loss" in given:
        working.limit(
            "total_loss",
            most=given["allowed_loss"],
            says=said("With these bores the duct [may lose|loses] more than allowed_loss."),
        )
        outputs["bore_factor"] = _bores(given["allowed_loss"], flow, ducting)
    return outputs | ducting.in_order()


def _most_lost(layout: DuctLayout, tables: Mapping[str, Mapping[str, float]]) -> str:
    """In words: the three pieces that cost most. On a path, a loss counts by the share of the air it meets.

    Power lost is loss times flow; weighed so, the pieces add up to the whole, side by side or not.
    """
    met = {
        segment.key: tables["path_share"][path]
        for path, members in layout.paths.items()
        for segment in members
    }
    costs = {key: share * met.get(key, 1.0) for key, share in tables["share"].items()}
    worst = sorted(costs.items(), key=lambda item: -item[1])[:3]
    return ", ".join(f"{key} {cost * 100:.0f} %" for key, cost in worst)


def _bores(allowed: float, flow: float, ducting: ducts.Ducting) -> float:
    """Factor on every bore for a loss, and the bores; refused where the formulae do not reach there."""
    if not ducting.bores:
        raise NoSolution("allowed_loss", "a duct without a bore", "segments that have a diameter")
    filters = sum(
        ducting.tables["loss"][segment.key] for segment in ducting.common if segment.kind == "filter"
    )
    if allowed <= filters:
        raise NoSolution(
            "allowed_loss",
            f"{allowed:.1f} Pa",
            f"more than {filters:.1f} Pa, the filter's loss",
            help="no bore makes up for it: a larger filter does",
        )
    factor = ducting.working.step(
        "bore_factor",
        network.bore_factor,
        ducting.duct,
        source="network",
        allowed_loss=allowed,
        volume_flow=flow,
        **ducting.state,
        lowest=ducting.lowest_factor(_SMALLEST),
        highest=_LARGEST / max(ducting.bores.values()),
    )
    ducting.check_scaled(factor)
    for key, bore in ducting.bores.items():
        ducting.note("required_bore", key, network.scaled_bore, "network", diameter=bore, bore_factor=factor)
    return factor


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Total pressure along the duct, one curve a case and path; with one case that at the wall as well."""
    series: list[Series] = []
    for name, case in cases.items():
        for path, (distances, pressures) in _lines(case, "total_pressure_after").items():
            label = ", ".join(part for part in (name, path and f"path {path}") if part)
            series.append(Series(label=label or "total", x=distances, y=pressures, style=len(series)))
    if len(series) == 1:
        (case,) = cases.values()
        distances, pressures = _lines(case, "static_pressure_after")[""]
        series.append(Series(label="at the wall", x=distances, y=pressures, style=1))
    if len(series) > 8 or all(line.x[-1] == 0 for line in series):
        return None
    return ChartSpec(
        title="Pressure along the duct",
        description="Pressure above ambient against the distance along the duct's axis. It falls "
        "gently by friction, and "
        "at once where a mouth, a step, a filter or a box takes its share.",
        x=Axis("distance along the duct", "length", "m", from_zero=True),
        y=Axis("pressure above ambient", "pressure", "Pa"),
        series=tuple(series),
    )


def _lines(case: CaseView, output: str) -> dict[str, tuple[list[float], list[float]]]:
    """(distances, pressures) by path, "" where there is one way. Each starts in the still air outside."""
    layout = DuctLayout.read(case.inputs["segments"])
    lines: dict[str, tuple[list[float], list[float]]] = {}
    for path, members in (layout.paths or {"": ()}).items():
        x, distances, pressures = 0.0, [0.0], [0.0]
        for segment in (*layout.before, *members, *layout.after):
            x += segment.length
            distances.append(x)
            pressures.append(case.outputs[output][segment.key])
        lines[path] = distances, pressures
    return lines
