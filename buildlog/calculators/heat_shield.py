"""How hot a box or a hose gets beside a hot pipe, bare, behind shields, behind an air gap, or insulated.

**The pipe** is round, long, and at one temperature: that of its outside, read at full load by a thermocouple
under a strap (a bare header runs at 500–750 °C, a wrapped one a third cooler; common practice, no source). It
is one pipe: the other primaries of a header add what they send past the nearest, which at a pitch of two
diameters can be as much again, and is not in it. **The surface** is a strip parallel to it, over its middle,
`surface_width` wide at `surface_distance` from the pipe's axis. What comes out is the mean of that strip: for
the hottest place of a wide wall give a narrow one. A hose is taken as a strip as wide as its bore, at its
near side.

**What goes where.** Pipe, surface and the bay about them exchange radiation as grey surfaces; the bay
counts as black, at `bay_temperature`. The surface's face also meets the bay's air by `film_coefficient`,
and gives on what it gets through its insulation, if it has one, to what flows behind it by
`inside_coefficient`. The wall itself is thin.

| air at a surface | film coefficient, W/(m²·K) | source |
|---|---|---|
| still bay, by its own warmth | 5–10 | common practice, no source |
| fan or road speed through the bay | 15–50 | common practice, no source |
| inside a box or hose at full load | 20–80 | `charge_temperature` computes that of a hose |

| surface | emissivity | source |
|---|---|---|
| aluminium sheet, bright; aluminised cloth, clean | 0.04–0.1 | Thome (EPFL, 2008), as Cableizer has it |
| aluminium, heavily oxidised; dirty foil | 0.2–0.3 | the same |
| stainless steel, heated again and again | 0.5–0.7 | the same; bright, about 0.2 (from memory) |
| steel, rusty or oxidised; cast iron, oxidised | 0.6–0.9 | camera makers’ tables |
| paint and lacquer of any colour but aluminium’s | 0.8–0.97 | the same |
| rubber, plastic, wrap | 0.85–0.95 | from memory |

**Shields** stand between, in the order from the pipe. Each takes up heat on the side of the pipe, gives it
to the air on both sides, and radiates the rest on as one wide plate to the next. A shield's bright side
faces the pipe *and* the box: dirt on either lets more through. It has to hide the pipe
from all of the surface: the block gives the width for that and tells where it is less; what passes beside
it is not counted. With `gap_air: still` the air between shields and surface is shut in: it conducts, or in
a wide gap circulates, and the shield cannot cool on its back. An open gap is better wherever air can move.

**How sure it is.** Radiation counts with 20 % for what is neither long nor grey nor at one temperature,
each film coefficient without its own ± with 30 % (common practice, no source). An emissivity counts as it
is written: give it its ±, an eighth of itself where nobody measured it, and not beyond 1. Measure the pipe:
its temperature counts by the fourth power.

**Limits** are the material's: `surface_limit`, from its maker's sheet. Rubber hoses for intakes stand
100–150 °C, polyamide and its like 120–150 °C for long (common practice, no source).

```yaml
id: box
kind: heat_shield
inputs:
  pipe_diameter: 42 ± 0.5 mm
  pipe_temperature: 550 ± 30 °C
  pipe_emissivity: 0.6 ± 0.07
  surface_width: 160 mm
  surface_distance: 110 ± 5 mm
  surface_emissivity: 0.92 ± 0.02
  bay_temperature: 70 ± 5 °C
  film_coefficient: 15 W/(m²·K)
  inside_temperature: 30 °C
  inside_coefficient: 20 W/(m²·K)
  surface_limit: 110 °C
cases:
  bare: {}
  shield:
    shields:
      - {name: sheet, distance: 60 mm, width: 150 mm,
         front_emissivity: 0.1 ± 0.02, back_emissivity: 0.1 ± 0.02}
  insulated:
    insulation_thickness: 6 mm
    insulation_conductivity: 0.06 W/(m·K)
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import OutOfRange
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
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.physics import radiation
from buildlog.said import said

KIND = "heat_shield"

_AIR = Number(dimension="temperature", unit="°C", low=-40, high=200, why="air about an engine")
_DISTANCE = Number(dimension="length", unit="mm", low=5, high=1000, why="under a bonnet")
_FILM = Number(
    dimension="heat transfer coefficient", unit="W/(m²·K)", low=1, high=500, why="still to quick air"
)
_EMISSIVITY = Number(dimension="ratio", unit="", low=0.02, high=1, why="polished to black")

_GUESSED_FILM = Doubt(
    name="film_coefficient",
    about="of air that nobody measured",
    source="practice",
    relative=0.3,
)

INPUTS = (
    Input(
        name="pipe_diameter",
        form=Number(dimension="length", unit="mm", low=10, high=300, why="exhausts of cars"),
        about="outer diameter of the pipe, wrap included",
    ),
    Input(
        name="pipe_temperature",
        form=Number(dimension="temperature", unit="°C", low=50, high=1000, why="exhausts of cars"),
        about="temperature of the pipe's outside",
    ),
    Input(
        name="pipe_emissivity",
        form=_EMISSIVITY,
        about="emissivity of the pipe's outside",
    ),
    Input(name="surface_width", form=_DISTANCE, about="width of the strip that is looked at"),
    Input(name="surface_distance", form=_DISTANCE, about="distance of the surface from the pipe's axis"),
    Input(
        name="surface_emissivity",
        form=_EMISSIVITY,
        about="emissivity of the surface",
    ),
    Input(name="bay_temperature", form=_AIR, about="temperature of the bay's air and walls"),
    Input(
        name="film_coefficient",
        form=_FILM,
        about="of the bay's air at every face that it reaches",
        doubt=_GUESSED_FILM,
    ),
    Input(name="inside_temperature", form=_AIR, about="temperature of the air behind the surface"),
    Input(name="inside_coefficient", form=_FILM, about="film coefficient of that air", doubt=_GUESSED_FILM),
    Input(
        name="insulation_thickness",
        form=Number(dimension="length", unit="mm", low=0.1, high=100, why="mats and foams"),
        about="of insulation on the surface, towards the pipe",
        required=False,
    ),
    Input(
        name="insulation_conductivity",
        form=Number(dimension="thermal conductivity", unit="W/(m·K)", low=0.01, high=2, why="mats and foams"),
        about="its thermal conductivity, hot",
        required=False,
    ),
    Input(
        name="shields",
        form=Table(
            (
                Input(name="name", form=Text(60), about="what it is"),
                Input(name="distance", form=_DISTANCE, about="from the pipe's axis"),
                Input(name="width", form=_DISTANCE, about="its width across the pipe"),
                Input(
                    name="front_emissivity",
                    form=_EMISSIVITY,
                    about="of the side towards the pipe",
                ),
                Input(
                    name="back_emissivity",
                    form=_EMISSIVITY,
                    about="of the side towards the surface",
                ),
            ),
            1,
            2,
        ),
        about="shields between, from the pipe outwards",
        required=False,
    ),
    Input(
        name="gap_air",
        title="air in the gap",
        form=Choice(
            {"moving": "bay air passes both sides of a shield", "still": "shut in behind the shield"}
        ),
        about="between shields and surface",
        default="moving",
        default_source="a shield on brackets",
    ),
    Input(
        name="surface_limit",
        form=Number(dimension="temperature", unit="°C", low=40, high=600, why="materials under a bonnet"),
        about="temperature that the surface's material stands for long",
        required=False,
    ),
)

_SHIELDS = ("shields",)
_INSULATION = ("insulation_thickness", "insulation_conductivity")

OUTPUTS = (
    Output(
        name="view_factor",
        title="share of the surface's view that the pipe fills",
        dimension="ratio",
        unit="%",
        about="without shields",
        decimals=1,
    ),
    Output(
        name="surface_temperature",
        title="temperature of the surface",
        dimension="temperature",
        unit="°C",
        about="of its wall, behind the insulation if it has one",
        decimals=1,
    ),
    Output(
        name="face_temperature",
        title="temperature of the insulation's face",
        dimension="temperature",
        unit="°C",
        about="on the side of the pipe",
        decimals=1,
        needs=_INSULATION,
    ),
    Output(
        name="radiant_flux",
        title="radiant heat flux onto the surface",
        dimension="power per area",
        unit="W/m²",
        about="net, on the side of the pipe",
        decimals=0,
    ),
    Output(
        name="inward_flux",
        title="heat flux through the surface",
        dimension="power per area",
        unit="W/m²",
        about="into the air behind it",
        decimals=0,
    ),
    Output(
        name="limit_margin",
        title="margin of the surface to its limit",
        dimension="temperature difference",
        unit="K",
        decimals=1,
        needs=("surface_limit",),
    ),
    Output(
        name="bare_surface_temperature",
        title="temperature of the surface without shields",
        dimension="temperature",
        unit="°C",
        decimals=1,
        needs=_SHIELDS,
    ),
    Output(
        name="share_kept_off",
        title="share of the radiant heat that is kept off",
        dimension="ratio",
        unit="%",
        about="by the shields",
        decimals=1,
        needs=_SHIELDS,
    ),
    Output(
        name="shield_temperature",
        title="temperature of the shield",
        dimension="temperature",
        unit="°C",
        decimals=0,
        key="shield",
        of="shields",
        needs=_SHIELDS,
        beside=True,
    ),
    Output(
        name="shadow_width",
        title="width that hides the pipe from the surface",
        dimension="length",
        unit="mm",
        decimals=0,
        key="shield",
        of="shields",
        needs=_SHIELDS,
        beside=True,
    ),
    Output(
        name="shadow_overlap",
        title="width of the shield beyond that",
        dimension="length",
        unit="mm",
        about="both sides together",
        decimals=0,
        key="shield",
        of="shields",
        needs=_SHIELDS,
        beside=True,
    ),
)

SOURCES = (
    Source(
        id="view-factors",
        title="View factor of an infinite strip and a parallel cylinder",
        publisher="a public table of view factors",
        where="no. 7",
    ),
    Source(
        id="cengel",
        title="Heat Transfer: A Practical Approach, Çengel",
        publisher="McGraw-Hill",
        where="chapter 12, radiation shields, problem 12–100",
    ),
    Source(
        id="elsherbiny",
        title="Heat transfer by natural convection across vertical and inclined air layers, S. M. "
        "ElSherbiny, G. D. Raithby and K. G. T. Hollands",
        publisher="J. Heat Transfer 104",
        edition="1982",
        where="high vertical layers",
        standing="from memory",
    ),
    Source(id="energy", title="Energy balance; resistances in series; geometry", standing="derived"),
    Source(
        id="practice",
        title="Emissivities, film coefficients and pipes as they are found under bonnets",
        standing="common practice, no source",
    ),
)

_RADIATION = Doubt(
    name="radiant_exchange",
    about="long grey surfaces, each at one temperature",
    source="practice",
    formula="cengel",
    relative=0.2,
    range="pipes several times longer than their distance",
)

DOUBTS = (_GUESSED_FILM, _RADIATION)

HAZARDS = ("hot-parts", "fuel", "brakes")

_FIBRES = said(
    "Mats and wraps of mineral or glass fibre shed dust when they are cut: mask and gloves, by their sheet."
)
_LINES = said(
    "Fuel and brake lines keep the clearance that the car's maker gives them: no shield stands in for it."
)


def _placed(given: Mapping[str, Any]) -> list[str]:
    """The shields' keys; refuses one that stands out of order."""
    before = given["pipe_diameter"] / 2
    if given["surface_distance"] <= before:
        raise OutOfRange(
            "surface_distance",
            f"{1000 * given['surface_distance']:.1f} mm",
            f"more than the pipe's radius, {1000 * before:.1f} mm",
        )
    for index, row in enumerate(given.get("shields", ())):
        if not before < row["distance"] < given["surface_distance"]:
            raise OutOfRange(
                "shields",
                f"“{row['name']}” at {1000 * row['distance']:.1f} mm from the axis",
                f"between {1000 * before:.1f} mm and {1000 * given['surface_distance']:.1f} mm",
                help="shields stand between pipe and surface, from the pipe outwards",
                at=(index, "distance"),
            )
        before = row["distance"]
    return row_keys("shields", given["shields"]) if "shields" in given else []


def _stack(given: Mapping[str, Any], inward: float, factor: float, shielded: bool) -> radiation.Stack:
    """Pipe, shields and surface."""
    shields = given["shields"] if shielded else ()
    layers = [
        radiation.Layer(
            distance=row["distance"],
            width=row["width"],
            front=row["front_emissivity"],
            back=row["back_emissivity"],
        )
        for row in shields
    ]
    layers.append(
        radiation.Layer(
            distance=given["surface_distance"],
            width=given["surface_width"],
            front=given["surface_emissivity"],
        )
    )
    return radiation.Stack(
        pipe=radiation.Pipe(
            radius=given["pipe_diameter"] / 2,
            temperature=given["pipe_temperature"],
            emissivity=given["pipe_emissivity"],
            around=given["bay_temperature"],
        ),
        layers=tuple(layers),
        film=given["film_coefficient"],
        inward=inward,
        inside=given["inside_temperature"],
        still=shielded and given["gap_air"] == "still",
        radiant=factor,
    )


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Temperatures and fluxes of one case; SI in, SI out."""
    outputs: Outputs = {}
    keys = _placed(given)
    outputs["view_factor"] = working.step(
        "view_factor",
        radiation.strip_to_pipe,
        source="view-factors",
        pipe_radius=given["pipe_diameter"] / 2,
        width=given["surface_width"],
        distance=given["surface_distance"],
    )
    insulated = given_together(given, _INSULATION, "insulation is a thickness and a conductivity")
    inward = given["inside_coefficient"]
    if insulated:
        inward = working.step(
            "inward_coefficient",
            radiation.inward_coefficient,
            source="energy",
            inside_coefficient=given["inside_coefficient"],
            insulation_thickness=given["insulation_thickness"],
            insulation_conductivity=given["insulation_conductivity"],
        )
    factor = working.factor(_RADIATION)
    stack = _stack(given, inward, factor, bool(keys))
    face, flux, wall = _surface(given, stack, inward, "", working)
    if insulated:
        outputs["face_temperature"] = face
    outputs["surface_temperature"], outputs["radiant_flux"] = wall, flux
    outputs["inward_flux"] = working.step(
        "inward_flux",
        radiation.inward_flux,
        source="energy",
        inward_coefficient=inward,
        face_temperature=face,
        inside_temperature=given["inside_temperature"],
    )
    _limit(given, wall, working, outputs)
    if keys:
        bare = _surface(given, _stack(given, inward, factor, False), inward, "bare_", working)
        outputs["bare_surface_temperature"] = bare[2]
        _kept_off(flux, bare[1], working, outputs)
        _shields(given, keys, stack, working, outputs)
    working.remark(_LINES)
    if insulated:
        working.remark(_FIBRES)
    return outputs


def _surface(
    given: Mapping[str, Any], stack: radiation.Stack, inward: float, prefix: str, working: Working
) -> tuple[float, float, float]:
    """Temperature of the surface's face, radiant flux onto it, and temperature of its wall."""
    face = working.step(
        f"{prefix}face_temperature",
        radiation.layer_temperature,
        stack,
        source="energy",
        layer=float(len(stack.layers)),
        pipe_temperature=given["pipe_temperature"],
        bay_temperature=given["bay_temperature"],
    )
    flux = working.step(
        f"{prefix}radiant_flux", radiation.radiant_flux, stack, source="cengel", face_temperature=face
    )
    wall = working.step(
        f"{prefix}surface_temperature",
        radiation.wall_temperature,
        source="energy",
        inside_temperature=given["inside_temperature"],
        inward_flux=inward * (face - given["inside_temperature"]),
        inside_coefficient=given["inside_coefficient"],
    )
    return face, flux, wall


def _limit(given: Mapping[str, Any], wall: float, working: Working, outputs: Outputs) -> None:
    """What is left to what the material stands."""
    if "surface_limit" not in given:
        return
    outputs["limit_margin"] = working.step(
        "limit_margin",
        radiation.limit_margin,
        source="energy",
        surface_limit=given["surface_limit"],
        wall=wall,
    )
    working.limit(
        "limit_margin", least=0.0, says=said("The surface [may get|gets] hotter than its material stands.")
    )


def _kept_off(flux: float, bare: float, working: Working, outputs: Outputs) -> None:
    """What the shields are worth, where the pipe heats the surface at all without them."""
    if bare <= 0:
        working.remark(said("Without shields no heat comes from the pipe: there is nothing to keep off."))
        return
    through = working.step(
        "share_let_through", radiation.share_let_through, source="energy", shielded=flux, bare=bare
    )
    outputs["share_kept_off"] = working.step(
        "share_kept_off", radiation.share_kept_off, source="energy", whole=1.0, share_let_through=through
    )


def _shields(
    given: Mapping[str, Any], keys: list[str], stack: radiation.Stack, working: Working, outputs: Outputs
) -> None:
    """Temperature and shadow of each shield."""
    table: dict[str, dict[str, float]] = {"shield_temperature": {}, "shadow_width": {}, "shadow_overlap": {}}
    for number, (key, row) in enumerate(zip(keys, given["shields"], strict=True), start=1):
        table["shield_temperature"][key] = working.step(
            f"shield_temperature.{key}",
            radiation.layer_temperature,
            stack,
            source="energy",
            layer=float(number),
            pipe_temperature=given["pipe_temperature"],
            bay_temperature=given["bay_temperature"],
        )
        wanted = table["shadow_width"][key] = working.step(
            f"shadow_width.{key}",
            radiation.shadow_width,
            source="energy",
            pipe_radius=given["pipe_diameter"] / 2,
            surface_width=given["surface_width"],
            surface_distance=given["surface_distance"],
            shield_distance=row["distance"],
        )
        table["shadow_overlap"][key] = working.step(
            f"shadow_overlap.{key}",
            radiation.overlap,
            source="energy",
            width=row["width"],
            shadow_width=wanted,
        )
        working.limit(
            "shadow_overlap",
            key,
            least=0.0,
            says=said(
                "The surface [may see|sees] the pipe past “{name}”: what passes is not counted.",
                name=row["name"],
            ),
        )
    outputs.update(table)


_STEPS = 30


def chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Surface temperature over the temperature of the pipe, a curve a case."""
    top = max(case.inputs["pipe_temperature"] for case in cases.values()) + 100
    curves: list[Series] = []
    for style, (name, case) in enumerate(cases.items()):
        bottom = min(case.inputs["bay_temperature"] + 30, top - 50)
        pipes = [bottom + (top - bottom) * step / _STEPS for step in range(_STEPS + 1)]
        surfaces = [
            compute({**case.inputs, "pipe_temperature": pipe}, Working())["surface_temperature"]
            for pipe in pipes
        ]
        curves.append(Series(label=name or "surface", x=pipes, y=surfaces, style=style))  # type: ignore[arg-type]
    limits = {case.inputs["surface_limit"] for case in cases.values() if "surface_limit" in case.inputs}
    return ChartSpec(
        title="Surface temperature over pipe temperature",
        description="Temperature of the surface against that of the pipe, by case; limits are lines across.",
        x=Axis("pipe temperature", "temperature", "°C"),
        y=Axis("surface temperature", "temperature", "°C"),
        series=tuple(curves),
        markers=tuple(Marker("limit of the surface", y=limit) for limit in sorted(limits)),
    )
