"""Whether another wheel and tyre fit: lips, sidewalls, track, clearances and the speedometer.

Give the wheel and tyre that are on the car as `standard_…`, the new ones without. Widths are rim widths
between the bead seats (`7 in` for a 7J), offsets are ET; a spacer takes its thickness off the offset, and
off the thread that holds the wheel: studs or bolts have to be longer by as much. Bolt circle, centre bore
and the seat of nuts or bolts (cone, ball or flat) are not looked at, and have to be the hub's and the
wheel's.

**Measure the clearances on the car**, with the standard wheel, at the nearest point, at full lock and over
the whole travel of the suspension, and give the least you found: lip or sidewall to whatever is beside it,
tyre to the arch above. The block says how much of each is left. It moves the wheel, not the nearest point: a
spring perch that was out of the way before may be the nearest point now, so look again with the new wheel on.
A gap that lies along neither the axle nor a radius goes into `points` with its `angle` to the axle. **At full
lock**, for a gap taken straight across the car to the edge of the wheel level with the hub, the angle is the
steering angle of that wheel.

A movement is positive when the wheel comes nearer: inwards for the inner lip and sidewall, outwards for the
outer. A change of offset moves both the same way; a wider rim moves both lips away from its middle. Lips are
taken to be as thick on the new wheel as on the old. Spokes and the brake caliper are not looked at: lay the
maker's template over the caliper.

**The tyre's own width** follows its rim by 0.4 of the rim's change, 5 mm for each half inch, from a rim on
which it would be as wide as its name says: 0.70 of that width from 50 series up, 0.85 below (UN Regulation
No. 30, 6.1.1.1; the shares are common practice). A 205/60R15 is 209 mm wide on 6 in. Two makes of one size
differ by several millimetres (the regulation lets a radial be 4 % wider; from memory), so give
`section_width` and `standard_section_width` as measured on their rims where you can.

**Which rims a tyre may sit on** is its maker's to say: give `narrowest_rim` and `widest_rim` from the
fitting card. Without them the block takes these shares of the nominal width, to the nearest half inch:

| series | narrowest | widest | such as |
|---|---|---|---|
| 70 and more | 0.65 | 0.85 | 185/70R14: 4½–6 in |
| 50 to 65 | 0.70 | 0.90 | 195/50R15: 5½–7 in |
| 45 | 0.80 | 0.95 | 225/45R17: 7–8½ in |
| 35 and 40 | 0.85 | 1.00 | 225/40R18: 7½–9 in |

They were made to agree with the approved rims of the ETRTO Standards Manual (the 80 series read, the others
from memory). Of lower series the block knows none.

Clearance left should be 5 mm beside rotating metal and more beside rubber (common practice, no source):
tyres grow with speed, lean in bends and bulge where they stand; hubs and bushes give. Offset also moves the
scrub radius, by half the change of the track: steering and bearing loads change with it. Load index and
speed symbol must not fall below what the car needs; the block compares them with the standard tyre's. The
speedometer's factor is that of the two sizes; with measured circumferences use `gearing`.

```yaml
id: wider-wheels
kind: wheel_fit
inputs:
  standard_rim_width: 7 in
  standard_offset: 48 mm
  standard_tyre: 205/55R16 91V
  rim_width: 8 in
  offset: 35 mm
  tyre: 225/45R17 91W
  rim_clearance_inside: 22 ± 1 mm
  tyre_clearance_outside: 31 ± 1 mm
  arch_clearance: 60 mm
  points:
    - {name: tie rod end at full lock, part: inner_sidewall, clearance: 12 ± 1 mm, angle: 34°}
  cruise_speed: 100 km/h
```
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict
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
    Tyre,
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.physics import drivetrain, tyre_sizes, tyres, wheels

KIND = "wheel_fit"

_RIM = Number(dimension="length", unit="in", low=3, high=14, why="rims of cars")
_OFFSET = Number(dimension="length", unit="mm", low=-100, high=100, why="wheels of cars")
_GAP = Number(dimension="length", unit="mm", low=0, high=300, why="room in a wheel arch")
_SECTION = Number(dimension="length", unit="mm", low=100, high=420, why="car tyres")

INPUTS = (
    Input(name="standard_rim_width", form=_RIM, about="rim width on the car now"),
    Input(name="standard_offset", form=_OFFSET, about="offset on the car now"),
    Input(name="standard_tyre", form=Tyre(), about="tyre on the car now"),
    Input(name="rim_width", form=_RIM, about="new rim width"),
    Input(name="offset", form=_OFFSET, about="new offset"),
    Input(name="tyre", form=Tyre(), about="new tyre"),
    Input(
        name="rolling_factor",
        form=Number(
            dimension="ratio", unit="", low=2.9, high=pi, why="between a very soft tyre and a rigid wheel"
        ),
        about="rolling circumference over overall diameter",
        default="3.05",
        default_source="convention for radial tyres, ETRTO Standards Manual (from memory)",
    ),
    Input(
        name="narrowest_rim", form=_RIM, about="narrowest rim that the tyre's maker allows", required=False
    ),
    Input(name="widest_rim", form=_RIM, about="widest rim that the tyre's maker allows", required=False),
    Input(
        name="standard_section_width",
        form=_SECTION,
        about="width of the standard tyre, as measured on its rim",
        required=False,
    ),
    Input(
        name="section_width",
        form=_SECTION,
        about="width of the new tyre, as measured on its rim",
        required=False,
    ),
    Input(
        name="rim_clearance_inside",
        form=_GAP,
        about="inner lip to the nearest part, as measured",
        required=False,
    ),
    Input(
        name="rim_clearance_outside",
        form=_GAP,
        about="outer lip to the nearest part, as measured",
        required=False,
    ),
    Input(
        name="tyre_clearance_inside",
        form=_GAP,
        about="inner sidewall to the nearest part, as measured",
        required=False,
    ),
    Input(
        name="tyre_clearance_outside",
        form=_GAP,
        about="outer sidewall to the wing, as measured",
        required=False,
    ),
    Input(name="arch_clearance", form=_GAP, about="tread to the arch above, as measured", required=False),
    Input(
        name="points",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what is near, and when"),
                Input(
                    name="part",
                    form=Choice(
                        {
                            "inner_lip": "the rim's lip towards the car",
                            "outer_lip": "the other lip",
                            "inner_sidewall": "the tyre's side towards the car",
                            "outer_sidewall": "its other side",
                        }
                    ),
                    about="what of the wheel comes near it",
                ),
                Input(name="clearance", form=_GAP, about="as measured"),
                Input(
                    name="angle",
                    form=Number(
                        dimension="angle",
                        unit="°",
                        low=0,
                        high=90,
                        why="from along the axle to along a radius",
                    ),
                    about="between the gap and the axle",
                ),
            ),
            longest=20,
        ),
        about="other near points, with gaps that lie at an angle",
        required=False,
    ),
    Input(
        name="cruise_speed",
        form=Number(dimension="speed", unit="km/h", low=1, high=450, why="road cars"),
        about="true speed at which the reading is wanted",
        required=False,
    ),
)

OUTPUTS = (
    Output(
        name="outer_lip_movement",
        dimension="length",
        unit="mm",
        about="outer lip moves outwards by",
        decimals=1,
    ),
    Output(
        name="inner_lip_movement",
        dimension="length",
        unit="mm",
        about="inner lip moves inwards by",
        decimals=1,
    ),
    Output(
        name="outer_sidewall_movement",
        dimension="length",
        unit="mm",
        about="outer sidewall moves outwards by",
        decimals=1,
    ),
    Output(
        name="inner_sidewall_movement",
        dimension="length",
        unit="mm",
        about="inner sidewall moves inwards by",
        decimals=1,
    ),
    Output(
        name="track_change",
        dimension="length",
        unit="mm",
        about="change of the track",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="standard_section_width",
        dimension="length",
        unit="mm",
        about="section width of the standard tyre on its rim",
        decimals=1,
    ),
    Output(
        name="section_width",
        dimension="length",
        unit="mm",
        about="section width of the new tyre on its rim",
        decimals=1,
    ),
    Output(
        name="measuring_rim",
        dimension="length",
        unit="in",
        about="rim on which the new tyre is measured",
        decimals=1,
    ),
    Output(
        name="narrowest_rim",
        dimension="length",
        unit="in",
        about="narrowest rim for the new tyre",
        decimals=1,
    ),
    Output(name="widest_rim", dimension="length", unit="in", about="widest rim for the new tyre", decimals=1),
    Output(
        name="standard_overall_diameter",
        dimension="length",
        unit="mm",
        about="overall diameter of the standard tyre",
        decimals=1,
    ),
    Output(
        name="overall_diameter",
        dimension="length",
        unit="mm",
        about="overall diameter of the new tyre",
        decimals=1,
    ),
    Output(
        name="radius_change",
        dimension="length",
        unit="mm",
        about="change of the overall radius",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="standard_rolling_circumference",
        dimension="length",
        unit="m",
        about="rolling circumference of the standard tyre",
        decimals=3,
    ),
    Output(
        name="rolling_circumference",
        dimension="length",
        unit="m",
        about="rolling circumference of the new tyre",
        decimals=3,
    ),
    Output(
        name="indicated_over_true",
        dimension="ratio",
        unit="",
        about="speedometer reading over true speed, against standard",
        decimals=4,
    ),
    Output(
        name="indicated_speed",
        dimension="speed",
        unit="km/h",
        about="reading at a true cruise_speed, were it exact as standard",
        decimals=1,
        needs=("cruise_speed",),
    ),
    Output(
        name="rim_clearance_inside_left",
        dimension="length",
        unit="mm",
        about="left inside the inner lip",
        decimals=1,
        needs=("rim_clearance_inside",),
    ),
    Output(
        name="rim_clearance_outside_left",
        dimension="length",
        unit="mm",
        about="left outside the outer lip",
        decimals=1,
        needs=("rim_clearance_outside",),
    ),
    Output(
        name="tyre_clearance_inside_left",
        dimension="length",
        unit="mm",
        about="left inside the inner sidewall",
        decimals=1,
        needs=("tyre_clearance_inside",),
    ),
    Output(
        name="tyre_clearance_outside_left",
        dimension="length",
        unit="mm",
        about="left outside the outer sidewall",
        decimals=1,
        needs=("tyre_clearance_outside",),
    ),
    Output(
        name="arch_clearance_left",
        dimension="length",
        unit="mm",
        about="left above the tread",
        decimals=1,
        needs=("arch_clearance",),
    ),
    Output(
        name="clearance_left",
        dimension="length",
        unit="mm",
        about="left at each of the points",
        decimals=1,
        key="point",
        of="points",
        needs=("points",),
    ),
    Output(name="rim_and_tyre", dimension="text", unit="", about="whether the tyre may sit on the rim"),
    Output(
        name="indices",
        dimension="text",
        unit="",
        about="load index and speed symbol against the standard tyre's",
    ),
)

SOURCES = (
    Source(
        id="iso-3911",
        title="ISO 3911, Wheels and rims for pneumatic tyres: Vocabulary and designation",
        publisher="ISO",
        where="rim width and offset",
        standing="from memory",
    ),
    Source(
        id="iso-4000-1",
        title="ISO 4000-1, Passenger car tyres and rims: Tyres (metric series)",
        publisher="ISO",
        where="design dimensions, measuring rims",
        standing="from memory",
    ),
    Source(
        id="etrto",
        title="Standards Manual",
        publisher="European Tyre and Rim Technical Organisation",
        where="approved rims (80 series read, others from memory); rolling circumference of radial tyres",
        standing="from memory",
    ),
    Source(
        id="unr-30",
        title="UN Regulation No. 30, Pneumatic tyres",
        publisher="UNECE",
        where="6.1.1.1, section width by rim width, K = 0.4",
    ),
    Source(
        id="unr-30-annexes",
        title="UN Regulation No. 30, Pneumatic tyres",
        publisher="UNECE",
        where="Annex 4, load indices; 2.29, speed symbols",
        standing="from memory",
    ),
    Source(id="geometry", title="Geometry of the wheel, and kinematics of rolling", standing="derived"),
)

HAZARDS = ("lifting", "brakes", "speed-rating", "fasteners", "road-testing")

_INCH = 0.0254


def _tyre(given: Mapping[str, Any], prefix: str, working: Working) -> dict[str, float]:
    """Diameter, section on its rim and circumference of one tyre; `prefix` is "standard_" or ""."""
    tyre: tyre_sizes.TyreSize = given[f"{prefix}tyre"]
    size = {"section_width": tyre.section_width, "aspect_ratio": tyre.aspect_ratio}
    values: dict[str, float] = {}
    diameter = values["overall_diameter"] = working.step(
        f"{prefix}overall_diameter",
        tyres.overall_diameter,
        source="iso-4000-1",
        **size,
        rim_diameter=tyre.rim_diameter,
    )
    if f"{prefix}section_width" in given:
        values["section_width"] = given[f"{prefix}section_width"]
    else:
        theoretical = working.step(
            f"{prefix}theoretical_rim", wheels.theoretical_rim, source="unr-30", **size
        )
        values["section_width"] = working.step(
            f"{prefix}section_width",
            wheels.mounted_section_width,
            source="unr-30",
            section_width=tyre.section_width,
            rim_width=given[f"{prefix}rim_width"],
            theoretical_rim=theoretical,
        )
    values["rolling_circumference"] = working.step(
        f"{prefix}rolling_circumference",
        tyres.rolling_circumference,
        source="etrto",
        overall_diameter=diameter,
        rolling_factor=given["rolling_factor"],
    )
    return values


def _change(name: str, after: float, before: float, working: Working) -> float:
    return working.step(name, wheels.difference, source="geometry", after=after, before=before)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Movements, clearances and the speedometer's factor of one case; SI in, SI out."""
    outputs: Outputs = {}
    before, after = _tyre(given, "standard_", working), _tyre(given, "", working)
    outputs.update({f"standard_{name}": value for name, value in before.items()})
    outputs.update(after)
    offset = _change("offset_change", given["offset"], given["standard_offset"], working)
    width = _change("width_change", given["rim_width"], given["standard_rim_width"], working)
    section = _change("section_change", after["section_width"], before["section_width"], working)
    moved: dict[str, float] = {}
    for part, change in (("lip", width), ("sidewall", section)):
        for side, formula in (("outer", wheels.outer_lip_movement), ("inner", wheels.inner_lip_movement)):
            name = f"{side}_{part}_movement"
            moved[name] = working.step(
                name, formula, source="iso-3911", width_change=change, offset_change=offset
            )
    outputs.update(moved)
    outputs["track_change"] = working.step(
        "track_change", wheels.track_change, source="geometry", offset_change=offset
    )
    radii = {
        name: working.step(
            f"{name}overall_radius",
            tyres.overall_radius,
            source="geometry",
            overall_diameter=values["overall_diameter"],
        )
        for name, values in (("standard_", before), ("", after))
    }
    radius = outputs["radius_change"] = _change("radius_change", radii[""], radii["standard_"], working)
    ratio = outputs["indicated_over_true"] = working.step(
        "indicated_over_true",
        drivetrain.indicated_over_true,
        source="geometry",
        rolling_circumference=after["rolling_circumference"],
        standard_circumference=before["rolling_circumference"],
        sensed_ratio=1.0,
        standard_sensed_ratio=1.0,
    )
    if "cruise_speed" in given:
        outputs["indicated_speed"] = working.step(
            "indicated_speed",
            drivetrain.indicated_speed,
            source="geometry",
            road_speed=given["cruise_speed"],
            indicated_over_true=ratio,
        )
    if ratio < 1:
        working.remark(
            "Against standard the speedometer now reads low, which UN Regulation No. 39 does not allow. "
            "Have it checked."
        )
    for name, movement in (
        ("rim_clearance_inside", moved["inner_lip_movement"]),
        ("rim_clearance_outside", moved["outer_lip_movement"]),
        ("tyre_clearance_inside", moved["inner_sidewall_movement"]),
        ("tyre_clearance_outside", moved["outer_sidewall_movement"]),
        ("arch_clearance", radius),
    ):
        if name in given:
            left = outputs[f"{name}_left"] = working.step(
                f"{name}_left",
                wheels.clearance_left,
                source="geometry",
                clearance=given[name],
                movement=movement,
            )
            _tight(name.replace("_", " ").capitalize(), left, working)
    if "points" in given:
        outputs["clearance_left"] = _points(given, moved, radius, working)
    outputs["rim_and_tyre"] = _approved(given, outputs, working)
    outputs["indices"] = _indices(given["standard_tyre"], given["tyre"], working)
    return outputs


def _tight(name: str, left: float, working: Working) -> None:
    if left < 0.005:
        state = "it touches" if left <= 0 else "less than 5 mm is left"
        working.remark(f"{name}: {state}. Do not drive it so.")


def _points(
    given: Mapping[str, Any], moved: dict[str, float], tyre_growth: float, working: Working
) -> dict[str, float]:
    """What is left at each point of the table. A lip grows with the rim, a sidewall with the tyre."""
    new, old = (given[name].rim_diameter / 2 for name in ("tyre", "standard_tyre"))
    growth = {"sidewall": tyre_growth, "lip": _change("rim_radius_change", new, old, working)}
    left: dict[str, float] = {}
    for key, row in zip(row_keys("points", given["points"]), given["points"], strict=True):
        side, part = row["part"].split("_")
        movement = working.step(
            f"movement at point {key}",
            wheels.movement_across,
            source="geometry",
            along_axle=moved[f"{side}_{part}_movement"],
            along_radius=growth[part],
            angle=row["angle"],
        )
        left[key] = working.step(
            f"clearance_left.{key}",
            wheels.clearance_left,
            source="geometry",
            clearance=row["clearance"],
            movement=movement,
        )
        _tight(row["name"], left[key], working)
    return left


def _approved(given: Mapping[str, Any], outputs: Outputs, working: Working) -> str:
    """Whether the rim lies in the range that the maker, or the usual share, allows; fills in the rims."""
    tyre: tyre_sizes.TyreSize = given["tyre"]
    size = {"section_width": tyre.section_width, "aspect_ratio": tyre.aspect_ratio}
    outputs["measuring_rim"] = working.step(
        "measuring_rim", wheels.measuring_rim, source="iso-4000-1", **size
    )
    if given_together(given, ("narrowest_rim", "widest_rim"), "the maker's card gives both"):
        narrowest, widest, source = given["narrowest_rim"], given["widest_rim"], "the maker's card"
        if narrowest > widest:
            raise InputsConflict(
                "narrowest_rim", f"{narrowest / _INCH:g} in", f"at most widest_rim, {widest / _INCH:g} in"
            )
    elif tyre.aspect_ratio < 0.345:
        working.remark("Which rims this tyre may sit on is not known here: its maker's card says it.")
        return "not known here: ask the tyre's maker which rims are allowed"
    else:
        narrowest = working.step("narrowest_rim", wheels.narrowest_rim, source="etrto", **size)
        widest = working.step("widest_rim", wheels.widest_rim, source="etrto", **size)
        source = "usual for the size; the maker's card rules"
    outputs["narrowest_rim"], outputs["widest_rim"] = narrowest, widest
    low, high, rim = (round(width / _INCH, 3) for width in (narrowest, widest, given["rim_width"]))
    if low <= rim <= high:
        return f"allowed: {rim:g} in lies within {low:g} to {high:g} in ({source})"
    working.remark(
        f"The rim is too {'narrow' if rim < low else 'wide'} for this tyre: {low:g} to {high:g} in "
        f"({source}). Do not fit it."
    )
    return f"not allowed: {rim:g} in lies outside {low:g} to {high:g} in ({source})"


def _indices(standard: tyre_sizes.TyreSize, tyre: tyre_sizes.TyreSize, working: Working) -> str:
    """Load index and speed symbol of the new tyre against the standard one's."""
    if standard.load is None or tyre.load is None or standard.speed_limit is None or tyre.speed_limit is None:
        if standard.load is not None or tyre.load is not None:
            working.remark("Load index and speed symbol are not compared: one of the tyres is given without.")
        return "not compared: give both tyres with load index and speed symbol"
    low = [
        what
        for what, new, old in (
            ("load", tyre.load, standard.load),
            ("speed", tyre.speed_limit, standard.speed_limit),
        )
        if new < old
    ]
    if low:
        working.remark(f"The new tyre carries a lower {' and '.join(low)} rating than the standard one.")
        return f"lower {' and '.join(low)} rating than the standard tyre"
    return "not below the standard tyre's"


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Half a section through wheel and tyre, standard and new, from the hub face: outboard is right."""
    series = []
    for style, (name, case) in enumerate(cases.items(), start=1):
        given, values = case.inputs, case.outputs
        if style == 1:
            size = (given["standard_tyre"], given["standard_rim_width"], given["standard_offset"])
            section, diameter = values["standard_section_width"], values["standard_overall_diameter"]
            series.append(_section("standard", *size, section, diameter, 0))
        size = (given["tyre"], given["rim_width"], given["offset"])
        label = name or "new"
        series.append(_section(label, *size, values["section_width"], values["overall_diameter"], style))
    return ChartSpec(
        title="Section through wheel and tyre",
        description="Outlines of rim and tyre above the hub, measured outwards from the hub face. "
        "The wheel's middle "
        "lies inboard of it by the offset.",
        x=Axis("outwards from the hub face", "length", "mm"),
        y=Axis("above the hub", "length", "mm"),
        series=tuple(series),
    )


def _section(
    label: str,
    tyre: tyre_sizes.TyreSize,
    rim: float,
    offset: float,
    section: float,
    diameter: float,
    style: int,
) -> Series:
    """Outline: up from the inner lip along the sidewall, over the tread, and down to the outer lip."""
    seat, top = tyre.rim_diameter / 2, diameter / 2
    middle = (seat + top) / 2
    x = [-rim / 2, -section / 2, -rim / 2, rim / 2, section / 2, rim / 2, -rim / 2]
    y = [seat, middle, top, top, middle, seat, seat]
    return Series(label=label, x=[place - offset for place in x], y=y, style=style)
