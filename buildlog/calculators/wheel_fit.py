"""Whether another wheel and tyre fit: lips, sidewalls, track, clearances and the speedometer.

Give the wheel and tyre that are on the car as `standard_…`, the new ones without. Widths are rim widths
between the bead seats (`7 in` for a 7J), offsets are ET. **Measure the clearances on the car**, with the
standard wheel, at the nearest point, at full lock and over the whole travel of the suspension, and give the
least you found: rim or tyre to whatever is inside of it, tyre to the wing outside, tyre to the arch above.
The block says how much of each is left. It moves the wheel, not the nearest point: a spring perch that was
out of the way before may be the nearest point now, so look again with the new wheel on.

A movement is positive when the wheel comes nearer: inwards for the inner lip and sidewall, outwards for the
outer. A change of offset moves both the same way; a wider rim moves both lips away from its middle. The
tyre's section follows its rim by about 5 mm for each half inch.

**Which rims a tyre may sit on** is its maker's to say: give `narrowest_rim` and `widest_rim` from the
fitting card. Without them the block knows these sizes:

| size | rims, in | size | rims, in |
|---|---|---|---|
| 155/80R13 | 4–5½ | 195/65R15 | 5½–7 |
| 175/65R14 | 5–6 | 205/45R17 | 6½–7½ |
| 185/55R15 | 5–6½ | 205/50R16 | 5½–7½ |
| 185/60R14 | 5–6½ | 205/55R16 | 5½–7½ |
| 195/50R15 | 5½–7 | 215/45R17 | 7–8 |
| 195/60R15 | 5½–7 | 225/45R17 | 7–8½ |

Source: ETRTO Standards Manual, approved rims (from memory).

Clearance left should be 5 mm beside rotating metal and more beside rubber (common practice, no source):
tyres grow with speed, hubs and bushes give, and sizes are nominal; two makes of one size differ by several
millimetres. Offset also moves the steering axis' trail: steering and bearing loads change with it. Load
index and speed symbol must not fall below what the car needs; the block compares them with the standard
tyre's.

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
  cruise_speed: 100 km/h
```
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

from buildlog.calculator import (
    Axis,
    CaseView,
    ChartSpec,
    Input,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Tyre,
    Working,
)
from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.physics import drivetrain, tyres, wheels

KIND = "wheel_fit"

_RIM = Number("length", "in", 3, 14, "rims of cars")
_OFFSET = Number("length", "mm", -100, 100, "wheels of cars")
_GAP = Number("length", "mm", 0, 300, "room in a wheel arch")

INPUTS = (
    Input("standard_rim_width", _RIM, "rim width on the car now"),
    Input("standard_offset", _OFFSET, "offset on the car now"),
    Input("standard_tyre", Tyre(), "tyre on the car now"),
    Input("rim_width", _RIM, "new rim width"),
    Input("offset", _OFFSET, "new offset"),
    Input("tyre", Tyre(), "new tyre"),
    Input("rolling_factor", Number("ratio", "", 2.9, pi, "between a very soft tyre and a rigid wheel"),
          "rolling circumference over overall diameter", default="3.05",
          default_source="convention for radial tyres, ETRTO Standards Manual (from memory)"),
    Input("narrowest_rim", _RIM, "narrowest rim that the tyre's maker allows", required=False),
    Input("widest_rim", _RIM, "widest rim that the tyre's maker allows", required=False),
    Input("rim_clearance_inside", _GAP, "inner lip to the nearest part, as measured", required=False),
    Input("tyre_clearance_inside", _GAP, "inner sidewall to the nearest part, as measured", required=False),
    Input("tyre_clearance_outside", _GAP, "outer sidewall to the wing, as measured", required=False),
    Input("arch_clearance", _GAP, "tread to the arch above, as measured", required=False),
    Input("cruise_speed", Number("speed", "km/h", 1, 450, "road cars"),
          "true speed at which the reading is wanted", required=False),
)  # fmt: skip

OUTPUTS = (
    Output("outer_lip_movement", "length", "mm", "outer lip moves outwards by", 1),
    Output("inner_lip_movement", "length", "mm", "inner lip moves inwards by", 1),
    Output("outer_sidewall_movement", "length", "mm", "outer sidewall moves outwards by", 1),
    Output("inner_sidewall_movement", "length", "mm", "inner sidewall moves inwards by", 1),
    Output("track_change", "length", "mm", "change of the track", 1),
    Output("standard_section_width", "length", "mm", "section width of the standard tyre on its rim", 1),
    Output("section_width", "length", "mm", "section width of the new tyre on its rim", 1),
    Output("measuring_rim", "length", "in", "rim on which the new tyre is measured", 1),
    Output("standard_overall_diameter", "length", "mm", "overall diameter of the standard tyre", 1),
    Output("overall_diameter", "length", "mm", "overall diameter of the new tyre", 1),
    Output("radius_change", "length", "mm", "change of the overall radius", 1),
    Output("standard_rolling_circumference", "length", "m", "rolling circumference of the standard tyre", 3),
    Output("rolling_circumference", "length", "m", "rolling circumference of the new tyre", 3),
    Output("indicated_over_true", "ratio", "", "speedometer reading over true speed, against standard", 4),
    Output("indicated_speed", "speed", "km/h", "reading at a true cruise_speed, were it exact as standard", 1,
           needs=("cruise_speed",)),
    Output("rim_clearance_inside_left", "length", "mm", "left inside the inner lip", 1,
           needs=("rim_clearance_inside",)),
    Output("tyre_clearance_inside_left", "length", "mm", "left inside the inner sidewall", 1,
           needs=("tyre_clearance_inside",)),
    Output("tyre_clearance_outside_left", "length", "mm", "left outside the outer sidewall", 1,
           needs=("tyre_clearance_outside",)),
    Output("arch_clearance_left", "length", "mm", "left above the tread", 1, needs=("arch_clearance",)),
    Output("rim_and_tyre", "text", "", "whether the tyre may sit on the rim"),
    Output("indices", "text", "", "load index and speed symbol against the standard tyre's"),
)  # fmt: skip

SOURCES = (
    Source("iso-3911", "ISO 3911, Wheels and rims for pneumatic tyres: Vocabulary and designation", "ISO",
           where="rim width and offset", standing="from memory"),
    Source("iso-4000-1", "ISO 4000-1, Passenger car tyres and rims: Tyres (metric series)", "ISO",
           where="design dimensions, measuring rims, section width on other rims", standing="from memory"),
    Source("etrto", "Standards Manual", "European Tyre and Rim Technical Organisation",
           where="approved rims; rolling circumference of radial tyres", standing="from memory"),
    Source("unr-30", "UN Regulation No. 30, Pneumatic tyres", "UNECE",
           where="Annex 4, load indices; 2.29, speed symbols", standing="from memory"),
    Source("geometry", "Geometry of the wheel, and kinematics of rolling", standing="derived"),
)  # fmt: skip

HAZARDS = ("lifting", "brakes", "speed-rating", "fasteners", "road-testing")

# Approved rims in inches, by width, aspect and rim code: ETRTO Standards Manual (from memory).
_APPROVED = {
    (155, 80, 13): (4.0, 5.5), (175, 65, 14): (5.0, 6.0), (185, 55, 15): (5.0, 6.5),
    (185, 60, 14): (5.0, 6.5), (195, 50, 15): (5.5, 7.0), (195, 60, 15): (5.5, 7.0),
    (195, 65, 15): (5.5, 7.0), (205, 45, 17): (6.5, 7.5), (205, 50, 16): (5.5, 7.5),
    (205, 55, 16): (5.5, 7.5), (215, 45, 17): (7.0, 8.0), (225, 45, 17): (7.0, 8.5),
}  # fmt: skip
_INCH = 0.0254


def _tyre(tyre: tyres.TyreSize, rim: float, prefix: str, factor: float, working: Working) -> dict[str, float]:
    """Diameter, section on its rim and circumference of one tyre; `prefix` is "standard_" or ""."""
    values: dict[str, float] = {}
    diameter = values["overall_diameter"] = working.step(
        f"{prefix}overall_diameter", tyres.overall_diameter, source="iso-4000-1",
        section_width=tyre.section_width, aspect_ratio=tyre.aspect_ratio, rim_diameter=tyre.rim_diameter,
    )  # fmt: skip
    measuring = values["measuring_rim"] = working.step(
        f"{prefix}measuring_rim", wheels.measuring_rim, source="iso-4000-1",
        section_width=tyre.section_width, aspect_ratio=tyre.aspect_ratio,
    )  # fmt: skip
    values["section_width"] = working.step(
        f"{prefix}section_width", wheels.mounted_section_width, source="iso-4000-1",
        section_width=tyre.section_width, rim_width=rim, measuring_rim=measuring,
    )  # fmt: skip
    values["rolling_circumference"] = working.step(
        f"{prefix}rolling_circumference", tyres.rolling_circumference, source="etrto",
        overall_diameter=diameter, rolling_factor=factor,
    )  # fmt: skip
    return values


def _change(name: str, after: float, before: float, working: Working) -> float:
    return working.step(name, wheels.difference, source="geometry", after=after, before=before)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Movements, clearances and the speedometer's factor of one case; SI in, SI out."""
    outputs: Outputs = {}
    factor = given["rolling_factor"]
    before = _tyre(given["standard_tyre"], given["standard_rim_width"], "standard_", factor, working)
    after = _tyre(given["tyre"], given["rim_width"], "", factor, working)
    outputs.update({f"standard_{name}": value for name, value in before.items() if name != "measuring_rim"})
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
        name: working.step(f"{name}overall_radius", tyres.overall_radius, source="geometry",
                           overall_diameter=values["overall_diameter"])
        for name, values in (("standard_", before), ("", after))
    }  # fmt: skip
    radius = outputs["radius_change"] = _change("radius_change", radii[""], radii["standard_"], working)
    ratio = outputs["indicated_over_true"] = working.step(
        "indicated_over_true", drivetrain.indicated_over_true, source="geometry",
        rolling_circumference=after["rolling_circumference"],
        standard_circumference=before["rolling_circumference"], sensed_ratio=1.0, standard_sensed_ratio=1.0,
    )  # fmt: skip
    if "cruise_speed" in given:
        outputs["indicated_speed"] = working.step(
            "indicated_speed", drivetrain.indicated_speed, source="geometry",
            road_speed=given["cruise_speed"], indicated_over_true=ratio,
        )  # fmt: skip
    if ratio < 1:
        working.remark(
            "Against standard the speedometer now reads low, which UN Regulation No. 39 does not allow. "
            "Have it checked."
        )
    for name, movement in (
        ("rim_clearance_inside", moved["inner_lip_movement"]),
        ("tyre_clearance_inside", moved["inner_sidewall_movement"]),
        ("tyre_clearance_outside", moved["outer_sidewall_movement"]),
        ("arch_clearance", radius),
    ):
        if name in given:
            left = outputs[f"{name}_left"] = working.step(
                f"{name}_left", wheels.clearance_left, source="geometry",
                clearance=given[name], movement=movement,
            )  # fmt: skip
            if left < 0.005:
                state = "touches" if left <= 0 else "has less than 5 mm left"
                working.remark(f"{name.replace('_', ' ').capitalize()}: it {state}. Do not drive it so.")
    outputs["rim_and_tyre"] = _approved(given, working)
    outputs["indices"] = _indices(given["standard_tyre"], given["tyre"], working)
    return outputs


def _approved(given: Mapping[str, Any], working: Working) -> str:
    """Whether the rim lies in the range that the maker, or the table, allows."""
    tyre: tyres.TyreSize = given["tyre"]
    ends = [name for name in ("narrowest_rim", "widest_rim") if name in given]
    if len(ends) == 1:
        other = "widest_rim" if ends[0] == "narrowest_rim" else "narrowest_rim"
        raise MissingInput(other, f"{ends[0]} without {other}", f"{other} as well")
    if ends:
        low, high, source = given["narrowest_rim"] / _INCH, given["widest_rim"] / _INCH, "the maker's card"
        if low > high:
            raise InputsConflict("narrowest_rim", f"{low:g} in", f"at most widest_rim, {high:g} in")
    else:
        size = (
            round(tyre.section_width * 1000),
            round(tyre.aspect_ratio * 100),
            round(tyre.rim_diameter / _INCH),
        )
        if size not in _APPROVED:
            return "not known here: ask the tyre's maker which rims are allowed"
        (low, high), source = _APPROVED[size], "ETRTO (from memory)"
    rim = given["rim_width"] / _INCH
    if low - 1e-9 <= rim <= high + 1e-9:
        return f"allowed: {rim:g} in lies within {low:g} to {high:g} in ({source})"
    working.remark(f"The rim is outside what {source} allows for this tyre. Do not fit it.")
    return f"not allowed: {rim:g} in lies outside {low:g} to {high:g} in ({source})"


def _indices(standard: tyres.TyreSize, tyre: tyres.TyreSize, working: Working) -> str:
    """Load index and speed symbol of the new tyre against the standard one's."""
    if standard.load is None or tyre.load is None or standard.speed_limit is None or tyre.speed_limit is None:
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
        "Section through wheel and tyre",
        "Outlines of rim and tyre above the hub, measured outwards from the hub face. The wheel's middle "
        "lies inboard of it by the offset.",
        Axis("outwards from the hub face", "length", "mm"),
        Axis("above the hub", "length", "mm"),
        tuple(series),
    )


def _section(
    label: str, tyre: tyres.TyreSize, rim: float, offset: float, section: float, diameter: float, style: int
) -> Series:
    """Outline: up from the inner lip along the sidewall, over the tread, and down to the outer lip."""
    seat, top = tyre.rim_diameter / 2, diameter / 2
    middle = (seat + top) / 2
    x = [-rim / 2, -section / 2, -rim / 2, rim / 2, section / 2, rim / 2, -rim / 2]
    y = [seat, middle, top, top, middle, seat, seat]
    return Series(label, [place - offset for place in x], y, style)
