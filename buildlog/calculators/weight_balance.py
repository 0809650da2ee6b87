"""Where a car carries its weight, how high, and what a change of parts does to it.

**Corner readings.** Four scales on one level: check with a long straightedge and shim to 1 mm, tyres at
their pressures, tank and driver as you mean to state them, brakes off, gearbox in neutral. Roll the car on,
bounce it, and read. Do it several times and give the readings (`left_front: [154.2 kg, 153.8 kg, 154.1 kg]`).
Wheelbase and tracks are measured on the ground between the middles of the contact patches. What all scales
share, one indicator or one calibration, goes into `common`: it cancels in the shares and not in the total.

**A weighbridge** gives the axles: drive the front one on, then the whole car, then the rear one alone, and
give two of the three as `front_axle`, `rear_axle`, `whole_car`, or all of them, which then share what they
differ by. The ground beside it has to lie level with it. `scale_interval` is the step in which it shows:
each reading may be off by half of it. Sides, and what goes with them, need corner readings.

The cross share is right front and left rear together over the whole. A car that has to turn both ways alike
is set near 50 % (common practice, no source).

**Height.** Raise one axle by its wheels on blocks, with the other on the scales, and read what the low axle
holds then. `raised_height` is how far the wheels went up against the other axle's. **Block the suspension**
with solid links in place of the dampers, brakes off, gearbox in neutral so that the wheels turn freely, tank
full or empty, and let nothing shift (ISO 10392:1992, 3). The gain is a few kilograms, so the height comes out
no better than the scales: the block says how far a kilogram misread moves it, and draws that over the lift.
Raise it as far as is safe, half a metre at the least, in three or more steps up and down, and again with the
other axle (ISO 10392:2011, 6.2). Laboratories that repeat themselves well still differ from each other
(UMTRI-91-4), so that the method has a doubt of its own here.
`static_radius` is the height of the wheel centres above the ground with the car on its wheels; give
`front_static_radius` or `rear_static_radius` where one axle's differs. A tyre that is pressed flatter on the
low axle than it was level spoils the angle: pump them hard.

**Changes.** One row a part: its mass, whether it was `fitted` or `removed`, and where its middle is: `x`
behind the front axle (negative ahead of it), `y` to the right of the centre line, `z` above the ground.
After a change the block gives axle loads, sides and the centre of gravity, and for each part what it does to
either axle. It gives no corner loads: a car on four wheels is statically indeterminate, and they also depend
on spring perches, anti-roll bars and the twist of the frame, so weigh again and set them. Sides are worked
with the mean of the tracks, which is exact where both are the same. That the springs give a little under the
change is left out. If a row has no `z`, the height after the change is left out.

```yaml
id: scales
kind: weight_balance
inputs:
  left_front: 168.0 ± 0.5 kg
  right_front: 161.5 ± 0.5 kg
  left_rear: 173.0 ± 0.5 kg
  right_rear: 166.0 ± 0.5 kg
  wheelbase: 2.280 ± 0.002 m
  front_track: 1.38 m
  rear_track: 1.40 m
  raised_axle: rear
  raised_height: 0.60 ± 0.002 m
  low_axle_reading: 349.5 ± 0.7 kg
  static_radius: 0.267 m
  changes:
    - {name: old battery, mass: 14.2 kg, action: removed, x: -0.25 m, y: 0.40 m, z: 0.55 m}
    - {name: small battery, mass: 4.1 kg, action: fitted, x: 2.05 m, y: 0.10 m, z: 0.30 m}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import asin, cos, pi, sin, sqrt, tan
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.kinds.chart import Chart
from buildlog.kinds.declaration import (
    Arrow,
    Axis,
    Bar,
    BarSpec,
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
from buildlog.physics import balance
from buildlog.said import said

KIND = "weight_balance"

_CORNER = Number(dimension="mass", unit="kg", low=20, high=1500, why="corners of cars")
_AXLE = Number(dimension="mass", unit="kg", low=40, high=5000, why="cars and their axles")
_TRACK = Number(dimension="length", unit="m", low=0.8, high=2.2, why="tracks of cars")
_RADIUS = Number(dimension="length", unit="m", low=0.15, high=0.45, why="car tyres")
_WHERE = Number(dimension="length", unit="m", low=-2.0, high=6.0, why="inside a car")

INPUTS = (
    Input(
        name="left_front",
        title="left front scale",
        form=_CORNER,
        about="scale under the left front wheel",
        required=False,
    ),
    Input(
        name="right_front",
        title="right front scale",
        form=_CORNER,
        about="scale under the right front wheel",
        required=False,
    ),
    Input(
        name="left_rear",
        title="left rear scale",
        form=_CORNER,
        about="scale under the left rear wheel",
        required=False,
    ),
    Input(
        name="right_rear",
        title="right rear scale",
        form=_CORNER,
        about="scale under the right rear wheel",
        required=False,
    ),
    Input(
        name="front_axle",
        title="weighbridge reading of the front axle",
        form=_AXLE,
        about="weighbridge, front axle on it",
        required=False,
    ),
    Input(
        name="rear_axle",
        title="weighbridge reading of the rear axle",
        form=_AXLE,
        about="weighbridge, rear axle on it",
        required=False,
    ),
    Input(
        name="whole_car",
        title="weighbridge reading of the whole car",
        form=_AXLE,
        about="weighbridge, the whole car on it",
        required=False,
    ),
    Input(
        name="scale_interval",
        form=Number(dimension="mass", unit="kg", low=0.001, high=100, why="scales that cars stand on"),
        about="step in which the scales show, where the readings have no ± for it",
        required=False,
    ),
    Input(
        name="wheelbase",
        form=Number(dimension="length", unit="m", low=1.2, high=4.0, why="cars"),
        about="axle to axle",
    ),
    Input(
        name="front_track",
        form=_TRACK,
        about="middle to middle of the front tyres; with corner readings",
        required=False,
    ),
    Input(
        name="rear_track",
        form=_TRACK,
        about="middle to middle of the rear tyres; with corner readings",
        required=False,
    ),
    Input(
        name="raised_axle",
        form=Choice({"front": "the front wheels stand on blocks", "rear": "the rear wheels do"}),
        about="which axle was raised for the height",
        required=False,
    ),
    Input(
        name="raised_height",
        form=Number(
            dimension="length", unit="m", low=0.1, high=2.0, why="blocks that a car stands on safely"
        ),
        about="by how much its wheels were raised",
        required=False,
    ),
    Input(
        name="low_axle_reading",
        form=Number(dimension="mass", unit="kg", low=40, high=3000, why="axles of cars"),
        about="both scales under the other axle, raised",
        required=False,
    ),
    Input(
        name="static_radius",
        form=_RADIUS,
        about="height of the wheel centres above the ground",
        required=False,
    ),
    Input(name="front_static_radius", form=_RADIUS, about="the front's, where it differs", required=False),
    Input(name="rear_static_radius", form=_RADIUS, about="the rear's, where it differs", required=False),
    Input(
        name="changes",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what it is"),
                Input(
                    name="mass",
                    form=Number(dimension="mass", unit="kg", low=0, high=500, why="parts that people lift"),
                    about="its mass",
                ),
                Input(
                    name="action",
                    form=Choice({"fitted": "goes on the car", "removed": "comes off the car"}),
                    about="which way",
                ),
                Input(name="x", form=_WHERE, about="behind the front axle; negative ahead of it"),
                Input(
                    name="y",
                    form=Number(dimension="length", unit="m", low=-1.5, high=1.5, why="inside a car"),
                    about="to the right of the centre line",
                    default="0 m",
                    default_source="on the centre line",
                ),
                Input(
                    name="z",
                    form=Number(dimension="length", unit="m", low=0, high=2.5, why="inside a car"),
                    about="above the ground",
                    required=False,
                ),
            )
        ),
        about="parts fitted and removed, and where",
        required=False,
    ),
)

_LIFT = ("raised_axle", "raised_height", "low_axle_reading")
_HEIGHT = (*_LIFT, "static_radius")
_CORNERS = ("left_front", "right_front", "left_rear", "right_rear")
_BRIDGE = ("front_axle", "rear_axle", "whole_car")
_READINGS = (*_CORNERS, *_BRIDGE, "low_axle_reading")
OUTPUTS = (
    Output(
        name="total_mass",
        title="mass of the whole car",
        dimension="mass",
        unit="kg",
        about="the whole car",
        decimals=1,
    ),
    Output(
        name="axle_load",
        title="load on the axle",
        dimension="mass",
        unit="kg",
        about="load on the axle",
        decimals=1,
        key="axle",
    ),
    Output(
        name="side_load",
        title="load on the side's wheels",
        dimension="mass",
        unit="kg",
        about="load on the side's wheels",
        decimals=1,
        key="side",
        needs=_CORNERS,
    ),
    Output(
        name="front_share",
        title="share of the mass on the front axle",
        dimension="ratio",
        unit="%",
        about="on the front axle",
        decimals=1,
    ),
    Output(
        name="rear_share",
        title="share of the mass on the rear axle",
        dimension="ratio",
        unit="%",
        about="on the rear axle",
        decimals=1,
    ),
    Output(
        name="left_share",
        title="share of the mass on the left wheels",
        dimension="ratio",
        unit="%",
        about="on the left wheels",
        decimals=1,
        needs=_CORNERS,
    ),
    Output(
        name="cross_share",
        title="cross-weight share of the mass",
        dimension="ratio",
        unit="%",
        about="right front and left rear together",
        decimals=1,
        needs=_CORNERS,
    ),
    Output(
        name="weighbridge_closure",
        title="weighbridge excess of the whole over both axles",
        dimension="mass",
        unit="kg",
        decimals=1,
        is_change=True,
        needs=_BRIDGE,
    ),
    Output(
        name="behind_front_axle",
        title="centre of gravity behind the front axle",
        dimension="length",
        unit="m",
        about="centre of gravity behind the front axle",
        decimals=3,
    ),
    Output(
        name="right_of_centre",
        title="centre of gravity right of the centre line",
        dimension="length",
        unit="mm",
        about="centre of gravity right of the centre line",
        decimals=0,
        needs=_CORNERS,
    ),
    Output(
        name="low_axle_gain",
        title="load gain of the low axle",
        dimension="mass",
        unit="kg",
        about="when the other is raised",
        decimals=1,
        is_change=True,
        needs=_LIFT,
    ),
    Output(
        name="height_error_per_kilogram",
        title="height error by a kilogram misread",
        dimension="length",
        unit="mm",
        about="how far it moves the height",
        decimals=0,
        needs=_LIFT,
    ),
    Output(
        name="centre_of_gravity_height",
        title="height of the centre of gravity",
        dimension="length",
        unit="m",
        about="height of the centre of gravity",
        decimals=3,
        needs=_HEIGHT,
    ),
    Output(
        name="total_mass_after",
        title="mass of the whole car after the changes",
        dimension="mass",
        unit="kg",
        about="mass after the changes",
        decimals=1,
        needs=("changes",),
    ),
    Output(
        name="axle_load_after",
        title="load on the axle after the changes",
        dimension="mass",
        unit="kg",
        about="load on the axle after the changes",
        decimals=1,
        key="axle",
        needs=("changes",),
    ),
    Output(
        name="side_load_after",
        title="load on the side's wheels after the changes",
        dimension="mass",
        unit="kg",
        about="load on the side's wheels after the changes",
        decimals=1,
        key="side",
        needs=(*_CORNERS, "changes"),
    ),
    Output(
        name="front_axle_change",
        title="front-axle load added by the part",
        dimension="mass",
        unit="kg",
        decimals=1,
        is_change=True,
        key="part",
        of="changes",
        needs=("changes",),
    ),
    Output(
        name="rear_axle_change",
        title="rear-axle load added by the part",
        dimension="mass",
        unit="kg",
        decimals=1,
        is_change=True,
        key="part",
        of="changes",
        needs=("changes",),
    ),
    Output(
        name="front_share_after",
        title="share of the mass on the front axle, after changes",
        dimension="ratio",
        unit="%",
        decimals=1,
        needs=("changes",),
    ),
    Output(
        name="rear_share_after",
        title="share of the mass on the rear axle, after changes",
        dimension="ratio",
        unit="%",
        decimals=1,
        needs=("changes",),
    ),
    Output(
        name="behind_front_axle_after",
        title="centre of gravity behind the front axle, after changes",
        dimension="length",
        unit="m",
        decimals=3,
        needs=("changes",),
    ),
    Output(
        name="right_of_centre_after",
        title="centre of gravity right of the centre line, after changes",
        dimension="length",
        unit="mm",
        decimals=0,
        needs=(*_CORNERS, "changes"),
    ),
    Output(
        name="centre_of_gravity_height_after",
        title="height of the centre of gravity, after changes",
        dimension="length",
        unit="m",
        decimals=3,
        needs=(*_HEIGHT, "changes"),
    ),
)

SOURCES = (
    Source(id="moments", title="Statics: moments about axles and centre line", standing="derived"),
    Source(
        id="iso-10392",
        title="ISO 10392, Road vehicles: Determination of centre of gravity",
        publisher="ISO",
        edition="1992 and 2011",
        where="axle lift method, 3 and 6.2 (read in parts); formula as course notes quote it",
    ),
    Source(
        id="umtri",
        title="Variability in center of gravity height measurement",
        publisher="Winkler, Mink and Campbell, University of Michigan (UMTRI-91-4; SAE 920050)",
        edition="1992",
        where="abstract (read): laboratories repeat well and differ significantly from each other",
    ),
    Source(
        id="lift-practice",
        title="Axle lift with blocked suspension: a few per cent of the height",
        standing="common practice, no source",
    ),
    Source(
        id="gum",
        title="Guide to the expression of uncertainty in measurement",
        publisher="JCGM 100",
        edition="2008",
        where="F.2.2.1, resolution of an indication: anywhere within half a step",
    ),
)

_INTERVAL = Doubt(
    name="scale_interval",
    about="a reading rounded to the step of the scales; half of scale_interval, here of 1 kg",
    source="gum",
    absolute=0.5,
    limits=True,
    unit="kg",
    range="scales that show in steps",
)
_TILTING = Doubt(
    name="height_by_tilting",
    about="what springs, tyres and fuel do while one axle is up",
    source="lift-practice",
    formula="iso-10392",
    relative=0.03,
    range="suspension blocked, wheels free, tank full or empty",
)
DOUBTS = (_INTERVAL, _TILTING)

HAZARDS = ("lifting", "fuel")


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Loads, shares and the centre of gravity, before and after the changes; SI in, SI out."""
    read = _rounded(given, working)
    corners = given_together(given, _CORNERS, "all four corners, or the axles of a weighbridge")
    if corners and (named := [name for name in _BRIDGE if name in given]):
        raise InputsConflict(named[0], "corner readings and a weighbridge", "one of them", help="two blocks")
    outputs: Outputs = _from_corners(read, working) if corners else _from_weighbridge(read, working)
    axles = outputs["axle_load"]
    assert isinstance(axles, dict)
    total = _number(outputs["total_mass"])
    for name, part in axles.items():
        outputs[f"{name}_share"] = working.step(
            f"{name}_share", balance.share, source="moments", part=part, total=total
        )
    outputs["behind_front_axle"] = working.step(
        "behind_front_axle",
        balance.behind_front_axle,
        source="moments",
        rear_load=axles["rear"],
        total_mass=total,
        wheelbase=given["wheelbase"],
    )
    outputs.update(_height(read, axles, total, working))
    if "changes" in given:
        outputs.update(_after(given, outputs, working))
        if corners:
            outputs.update(_sides_after(given, outputs, working))
    return outputs


def _number(value: float | str | dict[str, float]) -> float:
    assert isinstance(value, float)
    return value


def _rounded(given: Mapping[str, Any], working: Working) -> dict[str, Any]:
    """What is given, with every reading of scales that show in steps in doubt by half a step."""
    if "scale_interval" not in given:
        return dict(given)
    half = replace(_INTERVAL, absolute=given["scale_interval"] / 2)
    off = {name: given[name] + working.offset(half.of(name)) for name in _READINGS if name in given}
    return {**given, **off}


def _from_corners(read: Mapping[str, Any], working: Working) -> Outputs:
    """Loads, sides and where the middle lies across, of four scales."""
    tracks = {name: read[name] for name in ("front_track", "rear_track") if name in read}
    given_together(
        {**tracks, "corners": True}, ("front_track", "rear_track", "corners"), "with corner readings"
    )

    def pair(name: str, first: float, second: float) -> float:
        return working.step(name, balance.sum_of_two, source="moments", first=first, second=second)

    lf, rf, lr, rr = (read[name] for name in _CORNERS)
    front, rear = pair("axle_load.front", lf, rf), pair("axle_load.rear", lr, rr)
    total = pair("total_mass", front, rear)
    left, right = pair("side_load.left", lf, lr), pair("side_load.right", rf, rr)
    outputs: Outputs = {
        "total_mass": total,
        "axle_load": {"front": front, "rear": rear},
        "side_load": {"left": left, "right": right},
    }
    for name, part in (("left_share", left), ("cross_share", pair("diagonal", rf, lr))):
        outputs[name] = working.step(name, balance.share, source="moments", part=part, total=total)
    uneven = {
        name: working.step(name, balance.difference, source="moments", first=first, second=second)
        for name, first, second in (("front_difference", rf, lf), ("rear_difference", rr, lr))
    }
    outputs["right_of_centre"] = working.step(
        "right_of_centre", balance.right_of_centre, source="moments", total_mass=total, **uneven, **tracks
    )
    return outputs


def _from_weighbridge(read: Mapping[str, Any], working: Working) -> Outputs:
    """Loads of the axles from two or three readings of a weighbridge."""
    there = [name for name in _BRIDGE if name in read]
    if len(there) < 2:
        raise MissingInput(
            there[0] if there else "left_front",
            f"{there[0]} alone" if there else "no readings",
            "four corner readings, or two of front_axle, rear_axle and whole_car",
        )
    if len(there) == 3:
        return _adjusted(read, working)
    axles: dict[str, float] = {}
    for axle, other in (("front", "rear"), ("rear", "front")):
        name = f"axle_load.{axle}"
        if f"{axle}_axle" in read:
            axles[axle] = working.step(
                name, balance.sum_of_two, source="moments", first=read[f"{axle}_axle"], second=0.0
            )
        else:
            whole, on = read["whole_car"], read[f"{other}_axle"]
            if on >= whole:
                raise InputsConflict(
                    f"{other}_axle", f"{on:.1f} kg", f"less than the whole car, {whole:.1f} kg"
                )
            axles[axle] = working.step(name, balance.difference, source="moments", first=whole, second=on)
    total = working.step(
        "total_mass", balance.sum_of_two, source="moments", first=axles["front"], second=axles["rear"]
    )
    return {"total_mass": total, "axle_load": {name: axles[name] for name in ("front", "rear")}}


def _adjusted(read: Mapping[str, Any], working: Working) -> Outputs:
    """Three readings, each of which takes a third of what they differ by."""
    front, rear, whole = (read[name] for name in _BRIDGE)
    both = working.step("both_axles", balance.sum_of_two, source="moments", first=front, second=rear)
    closure = working.step("weighbridge_closure", balance.closure, source="moments", first=whole, second=both)
    # Three roundings by half a step each are one and a half.
    if "scale_interval" in read and abs(closure) > 1.5 * read["scale_interval"]:
        working.remark(
            said(
                "Axles and whole car differ by more than rounding can: the ground beside the weighbridge is "
                "not level, a brake was on, or somebody got in or out."
            )
        )
    axles = {
        name: working.step(
            f"axle_load.{name}",
            balance.adjusted_axle,
            source="moments",
            axle=axle,
            other_axle=other,
            whole=whole,
        )
        for name, axle, other in (("front", front, rear), ("rear", rear, front))
    }
    total = working.step(
        "total_mass", balance.sum_of_two, source="moments", first=axles["front"], second=axles["rear"]
    )
    return {"total_mass": total, "axle_load": axles, "weighbridge_closure": closure}


def _height(given: Mapping[str, Any], loads: Mapping[str, float], total: float, working: Working) -> Outputs:
    """Height of the centre of gravity, where one axle was raised, and how it hangs on the reading."""
    if not given_together(given, _LIFT, "the height needs them all"):
        return {}  # a static radius alone may come from the car's sheet
    radii: dict[str, float] = {}
    for axle in ("front", "rear"):
        name = f"{axle}_static_radius"
        if name not in given and "static_radius" not in given:
            raise MissingInput("static_radius", f"a raised axle without it or {name}", "one of the two")
        radii[axle] = given[name] if name in given else given["static_radius"]
    raised = given["raised_axle"]
    low = "front" if raised == "rear" else "rear"
    reading = given["low_axle_reading"]
    if reading >= total:
        raise InputsConflict(
            "low_axle_reading",
            f"{reading:.1f} kg",
            f"less than the car, {total:.1f} kg",
            help="some of the car still rests on the raised axle",
        )
    shared = {"wheelbase": given["wheelbase"], "low_radius": radii[low], "raised_radius": radii[raised]}
    angle = working.step(
        "lift_angle", balance.lift_angle, source="moments", raised_height=given["raised_height"], **shared
    )
    gain = working.step(
        "low_axle_gain", balance.difference, source="moments", first=reading, second=loads[low]
    )
    working.limit(
        "low_axle_gain",
        least=0.0,
        says=said(
            "The low axle [may have|has] gained nothing when the other was raised: the centre of "
            "gravity would "
            "lie no higher than the wheel centres. Few cars are so low. Read it again."
        ),
    )
    working.remark(
        said(
            "The height holds if the suspension was blocked, the wheels turned freely and the tank was full "
            "or empty."
        )
    )
    height = working.step(
        "centre_of_gravity_height",
        balance.centre_of_gravity_height,
        source=_TILTING,
        level_reading=loads[low],
        low_axle_reading=reading,
        total_mass=total,
        lift_angle=angle,
        **shared,
    )
    misread = working.step(
        "height_error_per_kilogram",
        balance.height_misread,
        source="moments",
        misread=1.0,
        total_mass=total,
        wheelbase=given["wheelbase"],
        lift_angle=angle,
    )
    return {"centre_of_gravity_height": height, "low_axle_gain": gain, "height_error_per_kilogram": misread}


def _after(given: Mapping[str, Any], before: Outputs, working: Working) -> Outputs:
    """The same after every row of the changes, one after the other."""
    rows: list[dict[str, Any]] = given["changes"]
    last = len(rows)
    axes = {
        name: (_number(before[name]), axis)
        for name, axis in (
            ("behind_front_axle", "x"),
            ("right_of_centre", "y"),
            ("centre_of_gravity_height", "z"),
        )
        if name in before
    }
    if "centre_of_gravity_height" in axes and not all("z" in row for row in rows):
        del axes["centre_of_gravity_height"]
        working.remark(said("A change has no z, so that the height after the changes is not known."))
    total = _number(before["total_mass"])
    mass, places = total, {name: value for name, (value, _) in axes.items()}
    for number, row in enumerate(rows, start=1):
        change = row["mass"] if row["action"] == "fitted" else -row["mass"]
        for name, (_, axis) in axes.items():
            step = f"{name}_after" if number == last else f"{name} after {row['name']}"
            places[name] = working.step(
                step,
                balance.with_mass,
                source="moments",
                position=places[name],
                mass=mass,
                added_position=row[axis],
                added_mass=change,
            )
        step = "total_mass_after" if number == last else f"total mass after {row['name']}"
        mass = working.step(step, balance.sum_of_two, source="moments", first=mass, second=change)
    rear = working.step(
        "axle_load_after.rear",
        balance.rear_axle_load,
        source="moments",
        total_mass=mass,
        position=places["behind_front_axle"],
        wheelbase=given["wheelbase"],
    )
    front = working.step(
        "axle_load_after.front", balance.difference, source="moments", first=mass, second=rear
    )
    for axle, load in (("front", front), ("rear", rear)):
        if load <= 0:
            raise InputsConflict(
                "changes",
                f"{load:.1f} kg left on the {axle} axle",
                "both axles loaded after the changes",
                help="check masses and places: x is behind the front axle",
            )
    outputs: Outputs = {f"{name}_after": value for name, value in places.items()}
    outputs["total_mass_after"] = mass
    outputs["axle_load_after"] = {"front": front, "rear": rear}
    for axle, load in (("front", front), ("rear", rear)):
        outputs[f"{axle}_share_after"] = working.step(
            f"{axle}_share_after", balance.share, source="moments", part=load, total=mass
        )
    outputs.update(_each_part(given, working))
    return outputs


def _each_part(given: Mapping[str, Any], working: Working) -> Outputs:
    """What each part does to the axles."""
    front: dict[str, float] = {}
    rear: dict[str, float] = {}
    keys = row_keys("changes", given["changes"])
    for key, row in zip(keys, given["changes"], strict=True):
        change = row["mass"] if row["action"] == "fitted" else -row["mass"]
        rear[key] = working.step(
            f"rear_axle_change.{key}",
            balance.rear_axle_change,
            source="moments",
            mass_change=change,
            position=row["x"],
            wheelbase=given["wheelbase"],
        )
        front[key] = working.step(
            f"front_axle_change.{key}", balance.difference, source="moments", first=change, second=rear[key]
        )
    return {"front_axle_change": front, "rear_axle_change": rear}


def _sides_after(given: Mapping[str, Any], outputs: Outputs, working: Working) -> Outputs:
    """The sides after all the changes."""
    tracks = {"front_track": given["front_track"], "rear_track": given["rear_track"]}
    track = working.step("mean_track", balance.mean_track, source="moments", **tracks)
    sides = outputs["side_load"]
    assert isinstance(sides, dict)
    right = sides["right"]
    rows = given["changes"]
    for number, row in enumerate(rows, start=1):
        moved = working.step(
            f"right side change by {row['name']}",
            balance.right_side_change,
            source="moments",
            mass_change=row["mass"] if row["action"] == "fitted" else -row["mass"],
            position=row["y"],
            track=track,
        )
        step = "side_load_after.right" if number == len(rows) else f"right side after {row['name']}"
        right = working.step(step, balance.sum_of_two, source="moments", first=right, second=moved)
    left = working.step(
        "side_load_after.left",
        balance.difference,
        source="moments",
        first=_number(outputs["total_mass_after"]),
        second=right,
    )
    return {"side_load_after": {"left": left, "right": right}}


_AROUND = 48
"""Corners of an ellipse that is drawn."""
_ENLARGED = 6
"""Cases that the enlarged plan still shows apart."""


def chart(cases: Mapping[str, CaseView]) -> tuple[Chart, ...]:
    """The car from above; the centre of gravity enlarged, with its uncertainty; how the height hangs on the
    lift. Of a weighbridge, the axles."""
    charts: list[Chart] = []
    across = {name: case for name, case in cases.items() if "right_of_centre" in case.outputs}
    if across:
        charts.append(_plan(across))
        if spec := _enlarged(dict(list(across.items())[:_ENLARGED])):
            charts.append(spec)
    else:
        charts.append(_axles(cases))
    raised = {name: case for name, case in cases.items() if "height_error_per_kilogram" in case.outputs}
    if raised:
        charts.append(_lift_chart(raised))
    return tuple(charts)


def _places(case: CaseView) -> list[tuple[str, tuple[float, float]]]:
    """Where the centre of gravity lies, with what tells the places of a case apart."""
    values = case.outputs
    found = [("before", (values["behind_front_axle"], values["right_of_centre"]))]
    if "behind_front_axle_after" in values:
        found.append(("after", (values["behind_front_axle_after"], values["right_of_centre_after"])))
    return found


def _plan(cases: Mapping[str, CaseView]) -> ChartSpec:
    first = next(iter(cases.values()))
    base, front, rear = (first.inputs[name] for name in ("wheelbase", "front_track", "rear_track"))
    wheels = Series(
        label="wheels",
        x=[0.0, 0.0, base, base, 0.0],
        y=[-front / 2, front / 2, rear / 2, -rear / 2, -front / 2],
        style=0,
        filled=True,
    )
    series = [wheels]
    for style, (name, case) in enumerate(list(cases.items())[:_ENLARGED], start=1):
        places = [place for _, place in _places(case)]
        label = "centre of gravity" + (", before and after" if len(places) > 1 else "")
        series.append(
            Series(
                label=" ".join(filter(None, (name, label))),
                x=[x for x, _ in places],
                y=[y for _, y in places],
                style=style,
                points_only=True,
            )
        )
    return ChartSpec(
        title="The car from above",
        description="The wheels as a rectangle, to scale, with the centre of gravity in it. Front axle at "
        "zero, right is up.",
        x=Axis("behind the front axle", "length", "m"),
        y=Axis("right of the centre line", "length", "m"),
        series=tuple(series),
        equal_scale=True,
    )


def _enlarged(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """The middle of the car, with an arrow for what the changes did and an ellipse for the uncertainty."""
    series: list[Series] = []
    arrows: list[Arrow] = []
    shown = 0
    for style, (name, case) in enumerate(cases.items(), start=1):
        places = _places(case)
        for number, (when, (x, y)) in enumerate(places):
            label = " ".join(filter(None, (name, when if len(places) > 1 else "")))
            suffix = "_after" if number else ""
            series.append(
                Series(
                    label=label or "centre of gravity", x=[x], y=[y], style=style + number, points_only=True
                )
            )
            shown += 1
            outline = _ellipse(case, f"behind_front_axle{suffix}", f"right_of_centre{suffix}", (x, y))
            if outline:
                series.append(
                    Series(
                        label=f"{label} ± U".strip(),
                        x=[at for at, _ in outline],
                        y=[at for _, at in outline],
                        style=style + number,
                        filled=True,
                    )
                )
        if len(places) > 1:
            arrows.append(Arrow(label=name, start=places[0][1], end=places[1][1]))
    if shown < 2 and len(series) < 2:
        return None  # a point without an uncertainty says no more than the plan
    return ChartSpec(
        title="The centre of gravity, enlarged",
        description="Where the centre of gravity lies and where the changes move it. An ellipse is its "
        "expanded uncertainty with the factor two in every direction. Right is up.",
        x=Axis("behind the front axle", "length", "mm"),
        y=Axis("right of the centre line", "length", "mm"),
        series=tuple(series),
        arrows=tuple(arrows),
        equal_scale=True,
    )


def _ellipse(
    case: CaseView, along: str, across: str, middle: tuple[float, float]
) -> list[tuple[float, float]]:
    """The closed outline on which a place lies that is off by two standard uncertainties in its direction.

    With the covariance matrix as L Lᵀ, its corners are the middle and 2 L times those of a circle.
    """
    xx, yy = case.covariance(along, along), case.covariance(across, across)
    if xx <= 0 or yy <= 0:
        return []
    first = sqrt(xx)
    mixed = case.covariance(along, across) / first
    second = sqrt(max(0.0, yy - mixed * mixed))  # rounding may leave a little less than nothing
    turns = [2 * pi * number / _AROUND for number in range(_AROUND + 1)]
    return [
        (middle[0] + 2 * first * cos(turn), middle[1] + 2 * (mixed * cos(turn) + second * sin(turn)))
        for turn in turns
    ]


def _axles(cases: Mapping[str, CaseView]) -> BarSpec:
    """Both axles of each case, from a weighbridge."""
    bars: list[Bar] = []
    for style, (name, case) in enumerate(list(cases.items())[:_ENLARGED]):
        for output, when in (("axle_load", ""), ("axle_load_after", "after")):
            for axle, load in case.outputs.get(output, {}).items():
                spread = case.uncertainty(output, axle)
                bars.append(
                    Bar(
                        label=" ".join(filter(None, (name, f"{axle} axle", when))),
                        value=load,
                        low=load - spread if spread else None,
                        high=load + spread if spread else None,
                        style=style,
                    )
                )
    return BarSpec(
        title="What the axles carry",
        description="The load on either axle, with its expanded uncertainty.",
        x=Axis("load", "mass", "kg", from_zero=True),
        bars=tuple(bars),
    )


_LIFTS = 40
_LEAST_LIFT = 0.1


def _lift_chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """How far a kilogram misread moves the height, over how high the wheels go."""
    series = []
    markers: dict[float, list[str]] = {}
    for style, (name, case) in enumerate(list(cases.items())[:_ENLARGED]):
        base, total = case.inputs["wheelbase"], case.outputs["total_mass"]
        most = base * 0.45
        heights = [_LEAST_LIFT + (most - _LEAST_LIFT) * number / _LIFTS for number in range(_LIFTS + 1)]
        series.append(
            Series(
                label=name or "a kilogram misread",
                x=heights,
                y=[base / (total * tan(asin(height / base))) for height in heights],
                style=style,
            )
        )
        markers.setdefault(case.inputs["raised_height"], []).append(name)
    return ChartSpec(
        title="How the height hangs on the lift",
        description="How far the height of the centre of gravity comes out wrong for each kilogram by which "
        "the low axle is misread, over how far the other is raised. Radii alike.",
        x=Axis("raised by", "length", "mm"),
        y=Axis("error of the height for a kilogram", "length", "mm", from_zero=True),
        series=tuple(series),
        markers=tuple(
            Marker("raised" if len(markers) == 1 else " and ".join(names), x=height)
            for height, names in markers.items()
        ),
    )
