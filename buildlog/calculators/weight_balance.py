"""Where a car carries its weight, how high, and what a change of parts does to it.

**Corner readings.** Four scales on one level: check with a long straightedge and shim to 1 mm, tyres at
their pressures, tank and driver as you mean to state them, brakes off, gearbox in neutral. Roll the car on,
bounce it, and read. Do it three times and give the spread as the uncertainty (`171.5 ± 0.8 kg`). Wheelbase
and tracks are measured on the ground between the middles of the contact patches.

The cross share is right front and left rear together over the whole. A car that has to turn both ways alike
is set near 50 % (common practice, no source).

**Height.** Raise one axle by its wheels on blocks, with the other on the scales, and read what the low axle
holds then. `raised_height` is how far the wheels went up against the other axle's. **Block the suspension**
with solid links in place of the dampers, brakes off, gearbox in neutral so that the wheels turn freely, tank
full or empty, and let nothing shift (ISO 10392:1992, 3). The gain is a few kilograms, so the height comes out
no better than the scales: raise it as far as is safe, half a metre at the least, in three or more steps up
and down, and again with the other axle (ISO 10392:2011, 6.2); the standard expects a few per cent.
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
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
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
    Working,
    given_together,
)
from buildlog.kinds.keys import row_keys
from buildlog.physics import balance

KIND = "weight_balance"

_CORNER = Number(dimension="mass", unit="kg", low=20, high=1500, why="corners of cars")
_TRACK = Number(dimension="length", unit="m", low=0.8, high=2.2, why="tracks of cars")
_RADIUS = Number(dimension="length", unit="m", low=0.15, high=0.45, why="car tyres")
_WHERE = Number(dimension="length", unit="m", low=-2.0, high=6.0, why="inside a car")

INPUTS = (
    Input(name="left_front", form=_CORNER, about="scale under the left front wheel"),
    Input(name="right_front", form=_CORNER, about="scale under the right front wheel"),
    Input(name="left_rear", form=_CORNER, about="scale under the left rear wheel"),
    Input(name="right_rear", form=_CORNER, about="scale under the right rear wheel"),
    Input(
        name="wheelbase",
        form=Number(dimension="length", unit="m", low=1.2, high=4.0, why="cars"),
        about="axle to axle",
    ),
    Input(name="front_track", form=_TRACK, about="middle to middle of the front tyres"),
    Input(name="rear_track", form=_TRACK, about="middle to middle of the rear tyres"),
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
OUTPUTS = (
    Output(name="total_mass", dimension="mass", unit="kg", about="all four scales", decimals=1),
    Output(name="axle_load", dimension="mass", unit="kg", about="load on the axle", decimals=1, key="axle"),
    Output(
        name="side_load",
        dimension="mass",
        unit="kg",
        about="load on the side's wheels",
        decimals=1,
        key="side",
    ),
    Output(name="front_share", dimension="ratio", unit="%", about="on the front axle", decimals=1),
    Output(name="left_share", dimension="ratio", unit="%", about="on the left wheels", decimals=1),
    Output(
        name="cross_share",
        dimension="ratio",
        unit="%",
        about="on right front and left rear together",
        decimals=1,
    ),
    Output(
        name="behind_front_axle",
        dimension="length",
        unit="m",
        about="centre of gravity behind the front axle",
        decimals=3,
    ),
    Output(
        name="right_of_centre",
        dimension="length",
        unit="mm",
        about="centre of gravity right of the centre line",
        decimals=0,
    ),
    Output(
        name="centre_of_gravity_height",
        dimension="length",
        unit="m",
        about="height of the centre of gravity",
        decimals=3,
        needs=_HEIGHT,
    ),
    Output(
        name="total_mass_after",
        dimension="mass",
        unit="kg",
        about="mass after the changes",
        decimals=1,
        needs=("changes",),
    ),
    Output(
        name="axle_load_after",
        dimension="mass",
        unit="kg",
        about="load on the axle after the changes",
        decimals=1,
        key="axle",
        needs=("changes",),
    ),
    Output(
        name="side_load_after",
        dimension="mass",
        unit="kg",
        about="load on the side's wheels after the changes",
        decimals=1,
        key="side",
        needs=("changes",),
    ),
    Output(
        name="front_axle_change",
        dimension="mass",
        unit="kg",
        about="what the part adds to the front axle",
        decimals=1,
        is_change=True,
        key="part",
        of="changes",
        needs=("changes",),
    ),
    Output(
        name="rear_axle_change",
        dimension="mass",
        unit="kg",
        about="what the part adds to the rear axle",
        decimals=1,
        is_change=True,
        key="part",
        of="changes",
        needs=("changes",),
    ),
    Output(
        name="front_share_after",
        dimension="ratio",
        unit="%",
        about="on the front axle after the changes",
        decimals=1,
        needs=("changes",),
    ),
    Output(
        name="behind_front_axle_after",
        dimension="length",
        unit="m",
        about="centre of gravity behind the front axle, after",
        decimals=3,
        needs=("changes",),
    ),
    Output(
        name="right_of_centre_after",
        dimension="length",
        unit="mm",
        about="centre of gravity right of the centre line, after",
        decimals=0,
        needs=("changes",),
    ),
    Output(
        name="centre_of_gravity_height_after",
        dimension="length",
        unit="m",
        about="height of the centre of gravity, after",
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
        id="milliken",
        title="Race Car Vehicle Dynamics",
        publisher="SAE, W. F. and D. L. Milliken",
        edition="1995",
        where="18.3, height of the centre of gravity",
        standing="from memory",
    ),
)

HAZARDS = ("lifting", "fuel")


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Loads, shares and the centre of gravity, before and after the changes; SI in, SI out."""

    def pair(name: str, first: float, second: float) -> float:
        return working.step(name, balance.sum_of_two, source="moments", first=first, second=second)

    lf, rf, lr, rr = (given[name] for name in ("left_front", "right_front", "left_rear", "right_rear"))
    front, rear = pair("axle_load.front", lf, rf), pair("axle_load.rear", lr, rr)
    total = pair("total_mass", front, rear)
    left, right_side = pair("side_load.left", lf, lr), pair("side_load.right", rf, rr)
    outputs: Outputs = {
        "total_mass": total,
        "axle_load": {"front": front, "rear": rear},
        "side_load": {"left": left, "right": right_side},
    }
    for name, part in (
        ("front_share", front),
        ("left_share", left),
        ("cross_share", pair("diagonal", rf, lr)),
    ):
        outputs[name] = working.step(name, balance.share, source="moments", part=part, total=total)
    behind = working.step(
        "behind_front_axle",
        balance.behind_front_axle,
        source="moments",
        rear_load=rear,
        total_mass=total,
        wheelbase=given["wheelbase"],
    )
    uneven = {
        name: working.step(name, balance.difference, source="moments", first=first, second=second)
        for name, first, second in (("front_difference", rf, lf), ("rear_difference", rr, lr))
    }
    right = working.step(
        "right_of_centre",
        balance.right_of_centre,
        source="moments",
        total_mass=total,
        **uneven,
        front_track=given["front_track"],
        rear_track=given["rear_track"],
    )
    outputs["behind_front_axle"], outputs["right_of_centre"] = behind, right
    height = _height(given, {"front": front, "rear": rear}, total, working)
    if height is not None:
        outputs["centre_of_gravity_height"] = height
    if "changes" in given:
        outputs.update(_after(given, total, behind=behind, right=right, height=height, working=working))
        outputs.update(_each_part(given, right_side, outputs["total_mass_after"], working))
    return outputs


def _height(
    given: Mapping[str, Any], loads: dict[str, float], total: float, working: Working
) -> float | None:
    """Height of the centre of gravity, where one axle was raised."""
    if not given_together(given, _LIFT, "the height needs them all"):
        return None  # a static radius alone may come from the car's sheet
    radii: dict[str, float] = {}
    for axle in ("front", "rear"):
        name = f"{axle}_static_radius"
        if name not in given and "static_radius" not in given:
            raise MissingInput("static_radius", f"a raised axle without it or {name}", "one of the two")
        radii[axle] = given[name] if name in given else given["static_radius"]
    raised = given["raised_axle"]
    low = "front" if raised == "rear" else "rear"
    if given["low_axle_reading"] >= total:
        raise InputsConflict(
            "low_axle_reading",
            f"{given['low_axle_reading']:.1f} kg",
            f"less than the car, {total:.1f} kg",
            help="some of the car still rests on the raised axle",
        )
    shared = {"wheelbase": given["wheelbase"], "low_radius": radii[low], "raised_radius": radii[raised]}
    angle = working.step(
        "lift_angle", balance.lift_angle, source="moments", raised_height=given["raised_height"], **shared
    )
    if given["low_axle_reading"] <= loads[low]:
        working.remark(
            "The low axle gained nothing when the other was raised: the centre of gravity would lie no "
            "higher than the wheel centres. Few cars are so low. Read it again."
        )
    working.remark(
        "The height holds if the suspension was blocked, the wheels turned freely and the tank was full or "
        "empty."
    )
    return working.step(
        "centre_of_gravity_height",
        balance.centre_of_gravity_height,
        source="iso-10392",
        level_reading=loads[low],
        low_axle_reading=given["low_axle_reading"],
        total_mass=total,
        lift_angle=angle,
        **shared,
    )


def _after(
    given: Mapping[str, Any],
    total: float,
    behind: float,
    right: float,
    height: float | None,
    working: Working,
) -> Outputs:
    """The same after every row of the changes, one after the other."""
    rows: list[dict[str, Any]] = given["changes"]
    last = len(rows)
    axes: dict[str, tuple[float, str]] = {"behind_front_axle": (behind, "x"), "right_of_centre": (right, "y")}
    if height is not None and all("z" in row for row in rows):
        axes["centre_of_gravity_height"] = (height, "z")
    elif height is not None:
        working.remark("A change has no z, so that the height after the changes is not known.")
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
    outputs["front_share_after"] = working.step(
        "front_share_after", balance.share, source="moments", part=front, total=mass
    )
    return outputs


def _each_part(given: Mapping[str, Any], right: float, total_after: object, working: Working) -> Outputs:
    """What each part does to the axles, and the sides after all of them."""
    assert isinstance(total_after, float)
    tracks = {"front_track": given["front_track"], "rear_track": given["rear_track"]}
    track = working.step("mean_track", balance.mean_track, source="moments", **tracks)
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
        moved = working.step(
            f"right side change by {row['name']}",
            balance.right_side_change,
            source="moments",
            mass_change=change,
            position=row["y"],
            track=track,
        )
        step = "side_load_after.right" if key == keys[-1] else f"right side after {row['name']}"
        right = working.step(step, balance.sum_of_two, source="moments", first=right, second=moved)
    left = working.step(
        "side_load_after.left", balance.difference, source="moments", first=total_after, second=right
    )
    sides = {"left": left, "right": right}
    return {"front_axle_change": front, "rear_axle_change": rear, "side_load_after": sides}


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """The car from above: wheels, and the centre of gravity of each case before and after its changes."""
    first = next(iter(cases.values()))
    base, front, rear = (first.inputs[name] for name in ("wheelbase", "front_track", "rear_track"))
    wheels = Series(
        label="wheels",
        x=[0.0, 0.0, base, base, 0.0],
        y=[-front / 2, front / 2, rear / 2, -rear / 2, -front / 2],
        style=0,
    )
    series = [wheels]
    for style, (name, case) in enumerate(cases.items(), start=1):
        values = case.outputs
        x, y = [values["behind_front_axle"]], [values["right_of_centre"]]
        if "behind_front_axle_after" in values:
            x.append(values["behind_front_axle_after"])
            y.append(values["right_of_centre_after"])
        label = "centre of gravity" + (", before and after" if len(x) > 1 else "")
        series.append(
            Series(label=" ".join(filter(None, (name, label))), x=x, y=y, style=style, points_only=True)
        )
    return ChartSpec(
        title="The car from above",
        description="The wheels as a rectangle, with the centre of gravity in it. Front axle at "
        "zero, right is up.",
        x=Axis("behind the front axle", "length", "m"),
        y=Axis("right of the centre line", "length", "m"),
        series=tuple(series),
    )
