"""Whether another wheel and tyre fit: lips, sidewalls, track, clearances and the speedometer.

Give the wheel and tyre that are on the car as `standard_…`, the new ones without. Widths are rim widths
between the bead seats (`7 in` for a 7J), offsets are ET; a `spacer` takes its thickness off the offset, and
off the thread that holds the wheel: studs or bolts have to be longer by as much. Bolt circle, centre bore
and the seat of nuts or bolts (cone, ball or flat) are not looked at, and have to be the hub's and the
wheel's.

**Measure the clearances on the car**, with the standard wheel, at the nearest point, at full lock and over
the whole travel of the suspension, and give the least you found: lip or sidewall to whatever is beside it,
tyre to the arch above. The block says how much of each is left. It moves the wheel, not the nearest point: a
spring perch that was out of the way before may be the nearest point now, so look again with the new wheel on.
A gap that lies along neither the axle nor a radius goes into `points` with its `angle` to the axle. **At full
lock**, for a gap taken straight across the car to the edge of the wheel level with the hub, the angle is the
steering angle of that wheel; `lock_clearance` with `full_lock` is that gap at the inner sidewall.

**Strut and wing as they stand**, where there is no wheel to measure from: `hub_face_to_strut` inboard and
`hub_face_to_wing` outboard, along the axle from the face that the wheel is bolted to, a straightedge across
it. The tyre's half width, offset and spacer come off them.

**Camber.** With `camber` and `standard_camber` (negative where the top leans in) a sidewall or lip at a
height over the hub moves by that height times the difference of the sines: `inside_height` and
`outside_height` say at which height the gaps at the sides are, `height` that of a point. It is as if the
wheel turned about the
middle of its hub and nothing else moved: a strut that leans with the wheel, because the camber was set at its
top, keeps more than that.

**Slicks** and other tyres without a size of this kind: leave the tyre out and give `overall_diameter`,
`section_width` and `rim_diameter` as measured. Beside a size, a measured diameter goes before it. For a tyre
of unknown or diagonal construction the speedometer wants
`measured_circumference` and `standard_measured_circumference`.

A movement is positive when the wheel comes nearer: inwards for the inner lip and sidewall, outwards for the
outer. A change of offset moves both the same way; a wider rim moves both lips away from its middle. Lips are
taken to be as thick on the new wheel as on the old. Spokes and the brake caliper are not looked at: lay the
maker's template over the caliper.

**The tyre's own width** follows its rim by 0.4 of the rim's change, 5 mm for each half inch, from a rim on
which it would be as wide as its name says: 0.70 of that width from 50 series up, 0.85 below (UN Regulation
No. 30, 6.1.1.1; the shares are common practice). A 205/60R15 is 209 mm wide on 6 in. Two makes of one size
differ by several millimetres (the regulation lets a radial be 4 % wider; from memory), which is the doubt
that the block carries, beside that of the height; two tyres of one size are taken to be the same. So give
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

Clearance left should be 5 mm beside a metal lip and 10 mm beside a rubber sidewall or tread (common practice,
no source): tyres grow with speed, lean in bends and bulge where they stand; hubs and bushes give. The block
counts its uncertainty off: 11 ± 6 mm is a caution. Offset also moves the
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
from dataclasses import dataclass
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, in_row
from buildlog.kinds.chart import Tone
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
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
    Zone,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.kinds.models import tyre_model
from buildlog.physics import drivetrain, tyres, wheels
from buildlog.physics.tyre_sizes import TyreSize
from buildlog.said import said

KIND = "wheel_fit"

_RIM = Number(dimension="length", unit="in", low=3, high=14, why="rims of cars")
_OFFSET = Number(dimension="length", unit="mm", low=-100, high=100, why="wheels of cars")
_GAP = Number(dimension="length", unit="mm", low=0, high=300, why="room in a wheel arch")
_SECTION = Number(dimension="length", unit="mm", low=100, high=420, why="car tyres")
_DIAMETER = Number(dimension="length", unit="mm", low=350, high=1000, why="car tyres")
_SEAT = Number(dimension="length", unit="in", low=8, high=24, why="rims of cars; the code is in inches")
_SPACER = Number(dimension="length", unit="mm", low=0, high=100, why="spacers, one behind each wheel")
_CAMBER = Number(dimension="angle", unit="°", low=-10, high=10, why="cars; negative where the top leans in")
_HEIGHT = Number(
    dimension="length", unit="mm", low=-400, high=400, why="within a tyre; below the hub negative"
)
_REACH = Number(dimension="length", unit="mm", low=0, high=500, why="from hub face to strut or wing")
_ROLLED = Number(dimension="length", unit="m", low=1.0, high=3.0, why="rolling circumferences of car tyres")

INPUTS = (
    Input(name="standard_rim_width", form=_RIM, about="rim width on the car now"),
    Input(name="standard_offset", form=_OFFSET, about="offset on the car now"),
    Input(
        name="standard_tyre",
        form=Tyre(),
        about="tyre on the car now; needed unless it was measured",
        required=False,
    ),
    Input(name="rim_width", form=_RIM, about="new rim width"),
    Input(name="offset", form=_OFFSET, about="new offset"),
    Input(name="tyre", form=Tyre(), about="new tyre; needed unless it is given as measured", required=False),
    Input(name="standard_spacer", form=_SPACER, about="spacer on the car now", required=False),
    Input(name="spacer", form=_SPACER, about="new spacer", required=False),
    Input(
        name="rolling_factor",
        form=Number(
            dimension="ratio", unit="", low=2.9, high=pi, why="between a very soft tyre and a rigid wheel"
        ),
        about="rolling circumference over overall diameter",
        default="3.05",
        default_source="radial tyres: three cars of the EPA's test data, 3.052 to 3.055",
        doubt=tyre_model.ROLLING_FACTOR,
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
        name="standard_overall_diameter",
        form=_DIAMETER,
        about="diameter of the standard tyre, as measured",
        required=False,
    ),
    Input(
        name="standard_rim_diameter",
        form=_SEAT,
        about="rim diameter of the standard tyre, where its size is not given",
        required=False,
    ),
    Input(
        name="standard_measured_circumference",
        form=_ROLLED,
        about="road of one turn of the standard tyre, as measured",
        required=False,
    ),
    Input(
        name="overall_diameter",
        form=_DIAMETER,
        about="diameter of the new tyre, as measured",
        required=False,
    ),
    Input(
        name="rim_diameter",
        form=_SEAT,
        about="rim diameter of the new tyre, where its size is not given",
        required=False,
    ),
    Input(
        name="measured_circumference",
        form=_ROLLED,
        about="road of one turn of the new tyre, as measured",
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
        name="hub_face_to_strut",
        title="distance from hub face to strut",
        form=_REACH,
        about="hub face to the strut, inboard along the axle",
        required=False,
    ),
    Input(
        name="hub_face_to_wing",
        title="distance from hub face to wing",
        form=_REACH,
        about="hub face to the wing, outboard along the axle",
        required=False,
    ),
    Input(
        name="lock_clearance",
        form=_GAP,
        about="inner sidewall to the nearest part at full lock, straight across the car, as measured",
        required=False,
    ),
    Input(
        name="full_lock",
        title="steering angle at full lock",
        form=Number(dimension="angle", unit="°", low=0, high=60, why="steering of cars"),
        about="steering angle of that wheel there",
        required=False,
    ),
    Input(name="standard_camber", form=_CAMBER, about="camber on the car now", required=False),
    Input(name="camber", form=_CAMBER, about="new camber", required=False),
    Input(
        name="inside_height",
        form=_HEIGHT,
        about="height over the hub of the gaps inside, for the camber",
        required=False,
    ),
    Input(
        name="outside_height",
        form=_HEIGHT,
        about="height over the hub of the gaps outside, for the camber",
        required=False,
    ),
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
                Input(
                    name="height",
                    form=_HEIGHT,
                    about="over the hub, for the camber",
                    required=False,
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
        title="outward movement of the outer lip",
        dimension="length",
        unit="mm",
        decimals=1,
    ),
    Output(
        name="inner_lip_movement",
        title="inward movement of the inner lip",
        dimension="length",
        unit="mm",
        decimals=1,
    ),
    Output(
        name="outer_sidewall_movement",
        title="outward movement of the outer sidewall",
        dimension="length",
        unit="mm",
        decimals=1,
    ),
    Output(
        name="inner_sidewall_movement",
        title="inward movement of the inner sidewall",
        dimension="length",
        unit="mm",
        decimals=1,
    ),
    Output(
        name="track_change",
        title="change of the track",
        dimension="length",
        unit="mm",
        about="change of the track",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="standard_section_width",
        title="section width of the standard tyre",
        dimension="length",
        unit="mm",
        about="on its rim",
        decimals=1,
    ),
    Output(
        name="section_width",
        title="section width of the new tyre",
        dimension="length",
        unit="mm",
        about="on its rim",
        decimals=1,
    ),
    Output(
        name="measuring_rim",
        title="measuring rim of the new tyre",
        dimension="length",
        unit="in",
        about="on which it is measured",
        decimals=1,
    ),
    Output(
        name="narrowest_rim",
        title="narrowest rim for the new tyre",
        dimension="length",
        unit="in",
        about="narrowest rim for the new tyre",
        decimals=1,
    ),
    Output(
        name="widest_rim",
        title="widest rim for the new tyre",
        dimension="length",
        unit="in",
        about="widest rim for the new tyre",
        decimals=1,
    ),
    Output(
        name="standard_overall_diameter",
        title="overall diameter of the standard tyre",
        dimension="length",
        unit="mm",
        about="overall diameter of the standard tyre",
        decimals=1,
    ),
    Output(
        name="overall_diameter",
        title="overall diameter of the new tyre",
        dimension="length",
        unit="mm",
        about="overall diameter of the new tyre",
        decimals=1,
    ),
    Output(
        name="radius_change",
        title="change of the overall radius",
        dimension="length",
        unit="mm",
        about="change of the overall radius",
        decimals=1,
        is_change=True,
    ),
    Output(
        name="standard_rolling_circumference",
        title="rolling circumference of the standard tyre",
        dimension="length",
        unit="m",
        about="rolling circumference of the standard tyre",
        decimals=3,
    ),
    Output(
        name="rolling_circumference",
        title="rolling circumference of the new tyre",
        dimension="length",
        unit="m",
        about="rolling circumference of the new tyre",
        decimals=3,
    ),
    Output(
        name="indicated_over_true",
        title="ratio of indicated to true speed",
        dimension="ratio",
        unit="",
        about="by the speedometer, against standard",
        decimals=4,
    ),
    Output(
        name="indicated_speed",
        title="speedometer reading at the cruise speed",
        dimension="speed",
        unit="km/h",
        about="at a true cruise speed, were it exact as standard",
        decimals=1,
        needs=("cruise_speed",),
    ),
    Output(
        name="rim_clearance_inside_left",
        title="remaining clearance inside the inner lip",
        dimension="length",
        unit="mm",
        about="to the nearest part",
        decimals=1,
        needs=("rim_clearance_inside",),
    ),
    Output(
        name="rim_clearance_outside_left",
        title="remaining clearance outside the outer lip",
        dimension="length",
        unit="mm",
        about="to the nearest part",
        decimals=1,
        needs=("rim_clearance_outside",),
    ),
    Output(
        name="tyre_clearance_inside_left",
        title="remaining clearance inside the inner sidewall",
        dimension="length",
        unit="mm",
        about="to the nearest part",
        decimals=1,
        needs=("tyre_clearance_inside",),
    ),
    Output(
        name="tyre_clearance_outside_left",
        title="remaining clearance outside the outer sidewall",
        dimension="length",
        unit="mm",
        about="to the wing",
        decimals=1,
        needs=("tyre_clearance_outside",),
    ),
    Output(
        name="arch_clearance_left",
        title="remaining clearance above the tread",
        dimension="length",
        unit="mm",
        about="to the arch",
        decimals=1,
        needs=("arch_clearance",),
    ),
    Output(
        name="strut_clearance_left",
        title="remaining clearance between sidewall and strut",
        dimension="length",
        unit="mm",
        about="at the inner sidewall",
        decimals=1,
        needs=("hub_face_to_strut",),
    ),
    Output(
        name="wing_clearance_left",
        title="remaining clearance between sidewall and wing",
        dimension="length",
        unit="mm",
        about="at the outer sidewall",
        decimals=1,
        needs=("hub_face_to_wing",),
    ),
    Output(
        name="lock_clearance_left",
        title="remaining clearance at full lock",
        dimension="length",
        unit="mm",
        about="to the nearest part",
        decimals=1,
        needs=("lock_clearance",),
    ),
    Output(
        name="clearance_left",
        title="remaining clearance at the point",
        dimension="length",
        unit="mm",
        decimals=1,
        key="point",
        of="points",
        needs=("points",),
    ),
    Output(
        name="rim_and_tyre",
        title="fit of the tyre on the rim",
        dimension="text",
        unit="",
        about="whether it may sit there",
    ),
    Output(
        name="indices",
        title="load index and speed symbol of the tyre",
        dimension="text",
        unit="",
        about="against the standard tyre's",
    ),
)

SOURCES = (
    Source(
        id="iso-3911",
        title="ISO 3911, Wheels and rims for pneumatic tyres: Vocabulary and designation",
        publisher="ISO",
        where="rim width and offset, as makers' and the trade's pages define them (read)",
    ),
    tyre_model.SIZES,
    tyre_model.TOLERANCE,
    tyre_model.SERIES,
    Source(
        id="etrto",
        title="Standards Manual",
        publisher="European Tyre and Rim Technical Organisation",
        where="approved rims (80 series read, others from memory); rolling circumference of radial tyres",
        standing="from memory",
    ),
    Source(
        id="epa",
        title="Data on cars used for testing fuel economy, model years 2013–2017",
        publisher="U.S. Environmental Protection Agency",
        where="engine speed over vehicle speed of three rear-drive cars: factors 3.052, 3.054, 3.055",
    ),
    Source(
        id="unr-30-width",
        title="UN Regulation No. 30, Pneumatic tyres",
        publisher="UNECE",
        where="6.1.1.1, section width by rim width, K = 0.4",
    ),
    Source(
        id="unr-30-tolerance",
        title="UN Regulation No. 30, Pneumatic tyres",
        publisher="UNECE",
        where="6.1.4, a radial tyre up to 4 % wider than its size says",
        standing="from memory",
    ),
    Source(
        id="unr-30-annexes",
        title="UN Regulation No. 30, Pneumatic tyres",
        publisher="UNECE",
        where="Annex 4, load indices; 2.29, speed symbols: as public lists of the trade print them (read)",
    ),
    Source(id="geometry", title="Geometry of the wheel, and kinematics of rolling", standing="derived"),
)

_WIDTH = Doubt(
    name="tyre_width",
    about="width of a mounted tyre against what its size and rim say",
    source="unr-30-tolerance",
    formula="unr-30-width",
    relative=0.04,
    limits=True,
    range="new tyres of road patterns between the narrowest and the widest rim",
)

DOUBTS = (tyre_model.HEIGHT, tyre_model.NO_SERIES, _WIDTH)

HAZARDS = ("lifting", "brakes", "speed-rating", "fasteners", "road-testing")

_INCH = 0.0254
_METAL, _RUBBER = 0.005, 0.010
"""What should be left beside a lip, and beside a sidewall or a tread, m; the manual page says so."""


@dataclass(frozen=True, kw_only=True)
class _Fitted:
    """A tyre on its rim. `circumference` is None where nobody knows it."""

    diameter: float
    section: float
    seat: float
    circumference: float | None


def _fitted(given: Mapping[str, Any], prefix: str, working: Working) -> _Fitted:
    """Diameter, section on its rim and circumference of one tyre; `prefix` is "standard_" or ""."""
    tyre: TyreSize | None = given.get(f"{prefix}tyre")
    if tyre is None:
        _measured_whole(given, prefix)
    diameter = given.get(f"{prefix}overall_diameter")
    if diameter is None:
        assert tyre is not None
        diameter = tyre_model.overall_diameter(working, f"{prefix}overall_diameter", f"{prefix}tyre", tyre)
    seat = tyre.rim_diameter if tyre is not None else given[f"{prefix}rim_diameter"]
    if diameter <= seat:
        raise InputsConflict(
            f"{prefix}overall_diameter",
            f"{diameter * 1000:.0f} mm",
            f"more than the rim's {seat * 1000:.0f} mm",
            help="measure across the tread, through the hub",
        )
    section = given.get(f"{prefix}section_width")
    if section is None:
        assert tyre is not None
        if tyre.series is None:
            raise MissingInput(
                f"{prefix}section_width",
                f"{tyre}, which says no height",
                f"{prefix}section_width as measured on its rim",
                help="how the size of a diagonal tyre follows its rim is not known here",
            )
        section = _by_size(tyre, given[f"{prefix}rim_width"], prefix, working)
    circumference = given.get(f"{prefix}measured_circumference")
    if circumference is None and tyre is not None and tyre.construction == "radial":
        circumference = working.step(
            f"{prefix}rolling_circumference",
            tyres.rolling_circumference,
            source="etrto",
            overall_diameter=diameter,
            rolling_factor=given["rolling_factor"],
        )
    return _Fitted(diameter=diameter, section=section, seat=seat, circumference=circumference)


def _measured_whole(given: Mapping[str, Any], prefix: str) -> None:
    """Without a size, everything that a size would say has to be measured."""
    for name in ("overall_diameter", "section_width", "rim_diameter"):
        if f"{prefix}{name}" not in given:
            raise MissingInput(
                f"{prefix}{name}",
                f"neither {prefix}tyre nor {prefix}{name}",
                f"{prefix}tyre, or {prefix}overall_diameter, {prefix}section_width and {prefix}rim_diameter",
                help="a slick or another tyre without such a size is given as measured on its rim",
            )


def _by_size(tyre: TyreSize, rim_width: float, prefix: str, working: Working) -> float:
    """Section width on its rim by the size, with the doubt that makes differ by."""
    size = {"section_width": tyre.section_width, "aspect_ratio": tyre.aspect_ratio}
    theoretical = working.step(
        f"{prefix}theoretical_rim", wheels.theoretical_rim, source="unr-30-width", **size
    )
    return working.step(
        f"{prefix}section_width",
        wheels.mounted_section_width,
        source=_WIDTH.of(f"{tyre.section_width * 1000:.0f}-{tyre.aspect_ratio * 100:.0f}"),
        section_width=tyre.section_width,
        rim_width=rim_width,
        theoretical_rim=theoretical,
    )


def _change(name: str, after: float, before: float, working: Working) -> float:
    return working.step(name, wheels.difference, source="geometry", after=after, before=before)


def _net_offset(given: Mapping[str, Any], prefix: str, working: Working) -> float:
    """The offset, with a spacer taken off."""
    offset: float = given[f"{prefix}offset"]
    if f"{prefix}spacer" not in given:
        return offset
    return working.step(
        f"{prefix}net_offset",
        wheels.net_offset,
        source="geometry",
        offset=offset,
        spacer=given[f"{prefix}spacer"],
    )


@dataclass(frozen=True, kw_only=True)
class _Moved:
    """How parts of the wheel moved: inner and outer lip and sidewall along the axle, lip and tread along a
    radius."""

    along: Mapping[str, float]
    lip: float
    tread: float


def _movements(
    given: Mapping[str, Any], offset: float, before: _Fitted, after: _Fitted, working: Working
) -> tuple[_Moved, Outputs]:
    """What lips, sidewalls and tread do when the wheels are changed; as outputs too."""
    outputs: Outputs = {}
    width = _change("width_change", given["rim_width"], given["standard_rim_width"], working)
    section = _change("section_change", after.section, before.section, working)
    along: dict[str, float] = {}
    for part, change in (("lip", width), ("sidewall", section)):
        for side, formula in (("outer", wheels.outer_lip_movement), ("inner", wheels.inner_lip_movement)):
            along[f"{side}_{part}"] = outputs[f"{side}_{part}_movement"] = working.step(
                f"{side}_{part}_movement",
                formula,
                source="iso-3911",
                width_change=change,
                offset_change=offset,
            )
    outputs["track_change"] = working.step(
        "track_change", wheels.track_change, source="geometry", offset_change=offset
    )
    radii = [
        working.step(
            f"{name}overall_radius",
            tyres.overall_radius,
            source="geometry",
            overall_diameter=fitted.diameter,
        )
        for name, fitted in (("standard_", before), ("", after))
    ]
    tread = outputs["radius_change"] = _change("radius_change", radii[1], radii[0], working)
    lip = _change("rim_radius_change", after.seat / 2, before.seat / 2, working)
    return _Moved(along=along, lip=lip, tread=tread), outputs


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Movements, clearances and the speedometer's factor of one case; SI in, SI out."""
    given_together(given, ("standard_camber", "camber"), "camber counts by its change")
    outputs: Outputs = {}
    before, after = _fitted(given, "standard_", working), _fitted(given, "", working)
    for prefix, fitted in (("standard_", before), ("", after)):
        outputs[f"{prefix}section_width"] = fitted.section
        outputs[f"{prefix}overall_diameter"] = fitted.diameter
        if fitted.circumference is not None:
            outputs[f"{prefix}rolling_circumference"] = fitted.circumference
    net = _net_offset(given, "", working)
    offset = _change("offset_change", net, _net_offset(given, "standard_", working), working)
    moved, movements = _movements(given, offset, before, after, working)
    outputs.update(movements)
    _speedometer(given, before, after, working, outputs)
    _clearances(given, moved, working, outputs)
    _from_hub_face(given, after.section, net, working, outputs)
    if "points" in given:
        outputs["clearance_left"] = _points(given, moved, working)
    outputs["rim_and_tyre"] = _approved(given, outputs, working)
    outputs["indices"] = _indices(given.get("standard_tyre"), given.get("tyre"), working)
    return outputs


def _speedometer(
    given: Mapping[str, Any], before: _Fitted, after: _Fitted, working: Working, outputs: Outputs
) -> None:
    """What an unaltered speedometer makes of the new tyre, where both circumferences are known."""
    known = [name for name in ("measured_circumference", "standard_measured_circumference") if name in given]
    if len(known) == 1:
        raise MissingInput(
            "standard_measured_circumference"
            if known[0] == "measured_circumference"
            else "measured_circumference",
            f"{known[0]} measured, and the other tyre by its size",
            "both measured, or both by size",
            help="the difference would be that of a tape and a table",
        )
    if before.circumference is None or after.circumference is None:
        working.remark(
            said(
                "Nothing is said of the speedometer: for a tyre that is no radial of a known size both "
                "rolling circumferences have to be measured."
            )
        )
        return
    ratio = outputs["indicated_over_true"] = working.step(
        "indicated_over_true",
        drivetrain.indicated_over_true,
        source="geometry",
        rolling_circumference=after.circumference,
        standard_circumference=before.circumference,
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
            said(
                "Against standard the speedometer now reads less. UN Regulation No. 39 allows no reading "
                "below the true speed; most read too much as standard, by an amount that only a measurement "
                "tells: have it checked."
            )
        )


_GAPS = {
    "rim_clearance_inside": said("Rim clearance inside"),
    "rim_clearance_outside": said("Rim clearance outside"),
    "tyre_clearance_inside": said("Tyre clearance inside"),
    "tyre_clearance_outside": said("Tyre clearance outside"),
    "arch_clearance": said("Arch clearance"),
    "hub_face_to_strut": said("Strut clearance"),
    "hub_face_to_wing": said("Wing clearance"),
}


def _clearances(given: Mapping[str, Any], moved: _Moved, working: Working, outputs: Outputs) -> None:
    """What is left of each gap that was measured at the standard wheel."""
    for name, part, least in (
        ("rim_clearance_inside", "inner_lip", _METAL),
        ("rim_clearance_outside", "outer_lip", _METAL),
        ("tyre_clearance_inside", "inner_sidewall", _RUBBER),
        ("tyre_clearance_outside", "outer_sidewall", _RUBBER),
        ("arch_clearance", "", _RUBBER),
    ):
        if name not in given:
            continue
        movement = moved.tread
        if part:
            movement = _with_camber(f"movement of {name}", part, moved.along[part], given, working)
        left = outputs[f"{name}_left"] = _left(f"{name}_left", "", given[name], movement, working)
        _near(f"{name}_left", "", left, _GAPS[name], least, working)
    if given_together(given, ("lock_clearance", "full_lock")):
        movement = working.step(
            "movement at full lock",
            wheels.movement_across,
            source="geometry",
            along_axle=moved.along["inner_sidewall"],
            along_radius=moved.tread,
            angle=given["full_lock"],
        )
        left = _left("lock_clearance_left", "", given["lock_clearance"], movement, working)
        outputs["lock_clearance_left"] = left
        _near("lock_clearance_left", "", left, said("At full lock"), _RUBBER, working)


def _with_camber(
    step: str,
    part: str,
    movement: float,
    given: Mapping[str, Any],
    working: Working,
    height: float | None = None,
) -> float:
    """A movement along the axle, with what a change of camber adds at the height of the gap."""
    if "camber" not in given:
        return movement
    inside = part.startswith("inner")
    if height is None:
        name = "inside_height" if inside else "outside_height"
        if name not in given:
            raise MissingInput(name, "a gap at the side and camber without it", name)
        height = given[name]
    outwards = working.step(
        f"{step} by camber",
        wheels.outward_by_camber,
        source="geometry",
        height=height,
        camber=given["camber"],
        standard_camber=given["standard_camber"],
    )
    if inside:
        return working.step(step, wheels.nearer, source="geometry", inwards=movement, outwards=outwards)
    return working.step(step, wheels.farther, source="geometry", own=movement, by_camber=outwards)


def _from_hub_face(
    given: Mapping[str, Any], section: float, net_offset: float, working: Working, outputs: Outputs
) -> None:
    """What is left of strut and wing that were measured from the hub face."""
    for part, name, side, formula in (
        ("strut", "hub_face_to_strut", "inner", wheels.inner_side_from_hub_face),
        ("wing", "hub_face_to_wing", "outer", wheels.outer_side_from_hub_face),
    ):
        if name not in given:
            continue
        reach = working.step(
            f"reach to the {part}", formula, source="iso-3911", section_width=section, net_offset=net_offset
        )
        reach = _with_camber(f"reach to the {part}, leaning", side, reach, given, working)
        left = outputs[f"{part}_clearance_left"] = _left(
            f"{part}_clearance_left", "", given[name], reach, working
        )
        _near(f"{part}_clearance_left", "", left, _GAPS[name], _RUBBER, working)


def _left(output: str, key: str, clearance: float, movement: float, working: Working) -> float:
    return working.step(
        f"{output}.{key}" if key else output,
        wheels.clearance_left,
        source="geometry",
        clearance=clearance,
        movement=movement,
    )


def _near(output: str, key: str, left: float, name: str, least: float, working: Working) -> None:
    """The caution of a gap: what is left, less its uncertainty, keeps to its limit."""
    room = f"{least * 1000:g} mm"
    if left <= 0:
        says = said("{name}: it touches. Do not drive it so.", name=name)
    elif left < least:
        says = said("{name}: less than {room} is left. Do not drive it so.", name=name, room=room)
    else:
        says = said(
            "{name}: less than {room} [may be|is] left. Try it, and measure, before you drive it so.",
            name=name,
            room=room,
        )
    working.limit(output, key, least=least, says=says)


def _points(given: Mapping[str, Any], moved: _Moved, working: Working) -> dict[str, float]:
    """What is left at each point of the table. A lip grows with the rim, a sidewall with the tyre."""
    left: dict[str, float] = {}
    for index, (key, row) in enumerate(
        zip(row_keys("points", given["points"]), given["points"], strict=True)
    ):
        part: str = row["part"]
        if "camber" in given and "height" not in row:
            with in_row(index):
                raise MissingInput(
                    "points", "a point and camber without its height", "height", at=("height",)
                )
        along = _with_camber(
            f"along the axle at point {key}", part, moved.along[part], given, working, row.get("height")
        )
        is_lip = part.endswith("lip")
        movement = working.step(
            f"movement at point {key}",
            wheels.movement_across,
            source="geometry",
            along_axle=along,
            along_radius=moved.lip if is_lip else moved.tread,
            angle=row["angle"],
        )
        left[key] = _left("clearance_left", key, row["clearance"], movement, working)
        _near("clearance_left", key, left[key], row["name"], _METAL if is_lip else _RUBBER, working)
    return left


def _approved(given: Mapping[str, Any], outputs: Outputs, working: Working) -> str:
    """Whether the rim lies in the range that the maker, or the usual share, allows; fills in the rims."""
    tyre: TyreSize | None = given.get("tyre")
    size: dict[str, float] = {}
    if tyre is not None and tyre.series is not None:
        size = {"section_width": tyre.section_width, "aspect_ratio": tyre.series}
        outputs["measuring_rim"] = working.step(
            "measuring_rim", wheels.measuring_rim, source="iso-4000-1", **size
        )
    if given_together(given, ("narrowest_rim", "widest_rim"), "the maker's card gives both"):
        narrowest, widest = given["narrowest_rim"], given["widest_rim"]
        source = said("the maker's card")
        if narrowest > widest:
            raise InputsConflict(
                "narrowest_rim", f"{narrowest / _INCH:g} in", f"at most widest_rim, {widest / _INCH:g} in"
            )
    elif not size or size["aspect_ratio"] < 0.345:
        working.remark(said("Which rims this tyre may sit on is not known here: its maker's card says it."))
        return "not known here: ask the tyre's maker which rims are allowed"
    else:
        narrowest = working.step("narrowest_rim", wheels.narrowest_rim, source="etrto", **size)
        widest = working.step("widest_rim", wheels.widest_rim, source="etrto", **size)
        source = said("usual for the size; the maker's card rules")
    outputs["narrowest_rim"], outputs["widest_rim"] = narrowest, widest
    low, high, rim = (round(width / _INCH, 3) for width in (narrowest, widest, given["rim_width"]))
    if low <= rim <= high:
        return f"allowed: {rim:g} in lies within {low:g} to {high:g} in ({source})"
    values = {"low": f"{low:g}", "high": f"{high:g}", "source": source}
    working.remark(
        said(
            "The rim is too narrow for this tyre: {low} to {high} in ({source}). Do not fit it.",
            **values,
        )
        if rim < low
        else said(
            "The rim is too wide for this tyre: {low} to {high} in ({source}). Do not fit it.",
            **values,
        )
    )
    return f"not allowed: {rim:g} in lies outside {low:g} to {high:g} in ({source})"


_LOWER = {
    "load": said("The new tyre carries a lower load rating than the standard one."),
    "speed": said("The new tyre carries a lower speed rating than the standard one."),
    "load and speed": said("The new tyre carries a lower load and speed rating than the standard one."),
}


def _indices(standard: TyreSize | None, tyre: TyreSize | None, working: Working) -> str:
    """Load index and speed symbol of the new tyre against the standard one's."""
    if standard is None or tyre is None:
        return "not compared: a tyre that is given as measured says neither load nor speed"
    if standard.load is None or tyre.load is None or standard.speed_limit is None or tyre.speed_limit is None:
        if standard.load is not None or tyre.load is not None:
            working.remark(
                said("Load index and speed symbol are not compared: one of the tyres is given without.")
            )
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
        working.remark(_LOWER[" and ".join(low)])
        return f"lower {' and '.join(low)} rating than the standard tyre"
    return "not below the standard tyre's"


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec | BarSpec, ...]:
    """What is left, coloured by caution; half a section through wheel and tyre from the hub face."""
    bars = tuple(bar for name, case in cases.items() for bar in _bars(name, case))
    if not bars:
        return (_sections(cases),)
    left = BarSpec(
        title="What is left",
        description="Room left at each place that was measured, with its uncertainty. Below zero it touches; "
        "a lip wants the first zone free, rubber both.",
        x=Axis("room left", "length", "mm"),
        bars=bars,
        zones=(
            Zone(label="touches", high=0.0, tone="bad"),
            Zone(label="too near for a lip", low=0.0, high=_METAL, tone="bad"),
            Zone(label="too near for rubber", low=_METAL, high=_RUBBER, tone="near"),
        ),
    )
    return (left, _sections(cases))


def _bars(name: str, case: CaseView) -> list[Bar]:
    """One bar for each gap of a case, coloured by whether it keeps to its limit with its uncertainty."""
    bars = []
    for limit in case.limits:
        if not limit.output.endswith("_left"):
            continue
        value = case.outputs[limit.output]
        left = value[limit.key] if limit.key else value
        doubt = case.uncertainty(limit.output, limit.key)
        what = limit.key.replace("-", " ") if limit.key else _NAMES[limit.output]
        tone: Tone = "good" if limit.is_met(left, doubt) else "near"
        if not limit.is_met(left, 0.0):
            tone = "bad"
        bars.append(
            Bar(
                label=", ".join(filter(None, (name, what))),
                value=left,
                low=left - doubt if doubt else None,
                high=left + doubt if doubt else None,
                tone=tone,
            )
        )
    return bars


_NAMES = {
    "rim_clearance_inside_left": "inner lip",
    "rim_clearance_outside_left": "outer lip",
    "tyre_clearance_inside_left": "inner sidewall",
    "tyre_clearance_outside_left": "outer sidewall",
    "arch_clearance_left": "arch",
    "strut_clearance_left": "strut",
    "wing_clearance_left": "wing",
    "lock_clearance_left": "full lock",
}


def _sections(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Half a section through wheel and tyre, standard and new, from the hub face: outboard is right."""
    series = []
    for style, (name, case) in enumerate(cases.items(), start=1):
        if style == 1:
            series.append(_section("standard", case, "standard_", 0))
        series.append(_section(name or "new", case, "", style))
    return ChartSpec(
        title="Section through wheel and tyre",
        description="Outlines of rim and tyre above the hub, measured outwards from the hub face. "
        "The wheel's middle lies inboard of it by the offset, less the spacer.",
        x=Axis("outwards from the hub face", "length", "mm"),
        y=Axis("above the hub", "length", "mm"),
        series=tuple(series),
        equal_scale=True,
    )


def _section(label: str, case: CaseView, prefix: str, style: int) -> Series:
    """Outline: up from the inner lip along the sidewall, over the tread, and down to the outer lip."""
    given, values = case.inputs, case.outputs
    tyre: TyreSize | None = given.get(f"{prefix}tyre")
    seat = (tyre.rim_diameter if tyre is not None else given[f"{prefix}rim_diameter"]) / 2
    rim, section = given[f"{prefix}rim_width"], values[f"{prefix}section_width"]
    offset = given[f"{prefix}offset"] - given.get(f"{prefix}spacer", 0.0)
    top = values[f"{prefix}overall_diameter"] / 2
    middle = (seat + top) / 2
    x = [-rim / 2, -section / 2, -rim / 2, rim / 2, section / 2, rim / 2, -rim / 2]
    y = [seat, middle, top, top, middle, seat, seat]
    return Series(label=label, x=[place - offset for place in x], y=y, style=style)
