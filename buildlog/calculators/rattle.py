"""How unevenly the engine turns the gearbox's input shaft, and what a lighter flywheel makes of it.

Each firing pushes the flywheel and each compression holds it back. What is left of that at the gearbox makes
gears that carry no load rattle in their backlash. A lighter flywheel leaves more of it. This block **compares
options**. It tells no loudness: gearboxes, oils and ears differ too much.

**What it does.** The pressure in a cylinder is that of the manifold, compressed; burnt gas, expanding; and
between the two while the charge burns. The burnt gas is as hot as the torque needs: that of the clutch and
of the engine's own friction. The cylinders fire evenly and add up; what their torque has more or less than
its mean speeds the inertia up and down. `speed_ripple` is the highest less the lowest speed,
`angular_acceleration` the greatest one, and `firing_acceleration` its amplitude at the firing frequency.

**Inputs.** `engine_inertia` is all that turns with the crank: crankshaft, flywheel, cover and disc (the block
`flywheel` gives its share). The pressures in the manifold are absolute: a gauge on the manifold tells them, a
cheap one below the outside's pressure. With `reciprocating_mass`, piston with rings, pin and a third of the
rod, its inertia is counted: little at idle, and at some thousand revs as much as the gas, against it.

**Loose gears.** They keep their teeth together as long as the drag of oil and bearings is more than what
their inertia asks for. Given both, at the input shaft, `rattle_ratio` is the one over the other: above 1 the
teeth may part. The drag falls as the oil warms, which is why a cold gearbox is quiet.

**Left out.** The springs in the disc: soft ones, tuned to the idle, keep much of this away, and one that
resonates does the opposite, so compare discs alike. The crankshaft's own twist, uneven cylinders, and all
that a gearbox does with a load on it.

| engine | firings in a turn |
|---|---|
| four cylinders, four-stroke | 2 |
| six | 3 |
| eight | 4 |

The shape of the pressure is a model, ± 15 % (common practice, no source). That doubt is the same in every
case, so that the ratio of two flywheels is far closer than either number. The torque is that at the mean
speed. It goes partly with the speed's square, so that an irregularity of 15 % would put it off by as much as
the model may be: beyond that a caution says so.

```yaml
id: lighter-flywheel
kind: rattle
inputs:
  cylinders: 4
  displacement: 1.8 L
  compression_ratio: 10.0
  stroke: 83.5 mm
  rod_length: 139 mm
  reciprocating_mass: 0.55 kg
  idle_speed: 850 rpm
  load_speed: 2000 rpm
  load_torque: 150 N·m
  gear_inertia: 0.0021 kg·m²
  drag_torque: 1.3 N·m ± 0.1 N·m
cases:
  standard: {engine_inertia: 0.155 kg·m²}
  lighter: {engine_inertia: 0.110 kg·m²}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Doubt,
    Input,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Whole,
    Working,
    given_together,
)
from buildlog.physics import firing_torque
from buildlog.physics.firing_torque import Cylinder, TorqueCurve
from buildlog.said import said

KIND = "rattle"

_PRESSURE = Number(dimension="pressure", unit="kPa", low=10, high=400, why="manifolds, throttled to boosted")
_SPEED = Number(dimension="rotational speed", unit="rpm", low=300, high=15_000, why="car engines")
_LENGTH = Number(dimension="length", unit="mm", low=30, high=400, why="cranks and rods of cars")
_POLYTROPIC = 1.30

INPUTS = (
    Input(name="cylinders", form=Whole(1, 16, "engines of cars"), about="cylinders, firing evenly"),
    Input(
        name="displacement",
        form=Number(dimension="volume", unit="L", low=0.1, high=10, why="car engines"),
        about="displacement of all cylinders",
    ),
    Input(
        name="compression_ratio",
        form=Number(dimension="ratio", unit="", low=6, high=18, why="petrol engines"),
        about="greatest over least volume of a cylinder",
    ),
    Input(name="stroke", form=_LENGTH, about="stroke"),
    Input(name="rod_length", form=_LENGTH, about="connecting rod, between centres"),
    Input(
        name="engine_inertia",
        form=Number(dimension="moment of inertia", unit="kg·m²", low=0.005, high=5, why="cars"),
        about="all that turns with the crank, flywheel and clutch included",
    ),
    Input(name="idle_speed", form=_SPEED, about="speed at idle"),
    Input(
        name="idle_manifold_pressure",
        form=_PRESSURE,
        about="absolute pressure in the manifold at idle",
        default="35 kPa ± 4 kPa",
        default_source="warm petrol engines (common practice, no source)",
    ),
    Input(
        name="load_manifold_pressure",
        form=_PRESSURE,
        about="absolute pressure in the manifold under load",
        default="98 kPa ± 1.5 kPa",
        default_source="a wide open throttle (common practice, no source)",
    ),
    Input(
        name="outside_pressure",
        form=Number(dimension="pressure", unit="kPa", low=50, high=110, why="mountain roads to the sea"),
        about="absolute pressure of the air outside",
        default="101.3 kPa ± 1 kPa",
        default_source="the standard atmosphere, and the weather",
    ),
    Input(
        name="friction_mean_pressure",
        form=Number(dimension="pressure", unit="kPa", low=20, high=400, why="engines from good to tight"),
        about="mean effective pressure of the engine's friction",
        default="100 kPa ± 20 kPa",
        default_source="warm petrol engines (common practice, no source)",
    ),
    Input(
        name="burn_start",
        form=Number(dimension="angle", unit="°", low=-60, high=20, why="ignition of petrol engines"),
        about="where burning begins, before top dead centre negative",
        default="-20° ± 4°",
        default_source="half burnt a little after top dead centre (common practice, no source)",
    ),
    Input(
        name="burn_duration",
        form=Number(dimension="angle", unit="°", low=20, high=120, why="petrol engines"),
        about="crank angle that burning takes",
        default="60° ± 7°",
        default_source="petrol engines (common practice, no source)",
    ),
    *(
        Input(name=name, form=form, about=about, required=False)
        for name, form, about in (
            (
                "reciprocating_mass",
                Number(dimension="mass", unit="kg", low=0.05, high=5, why="pistons of cars"),
                "piston, rings, pin and a third of the rod, one cylinder",
            ),
            ("load_speed", _SPEED, "speed under load"),
            (
                "load_torque",
                Number(dimension="torque", unit="N·m", low=0, high=2000, why="engines of cars"),
                "torque at the clutch under load",
            ),
            (
                "gear_inertia",
                Number(dimension="moment of inertia", unit="kg·m²", low=1e-5, high=0.1, why="gearboxes"),
                "loose gears and what turns with them, at the input shaft",
            ),
            (
                "drag_torque",
                Number(dimension="torque", unit="N·m", low=0.01, high=50, why="gearboxes, hot to cold"),
                "drag that holds them, at the input shaft",
            ),
        )
    ),
)

_LOAD = ("load_speed", "load_torque")
_GEARS = ("gear_inertia", "drag_torque")

OUTPUTS = (
    Output(
        name="angular_acceleration",
        title="greatest angular acceleration of the input shaft",
        dimension="angular acceleration",
        unit="rad/s²",
        about="greatest angular acceleration of the input shaft",
        decimals=0,
        key="state",
    ),
    Output(
        name="firing_acceleration",
        title="angular acceleration at the firing frequency",
        dimension="angular acceleration",
        unit="rad/s²",
        about="its amplitude",
        decimals=0,
        key="state",
    ),
    Output(
        name="speed_ripple",
        title="speed ripple between firings",
        dimension="rotational speed",
        unit="rpm",
        about="highest less lowest",
        decimals=0,
        key="state",
    ),
    Output(
        name="speed_irregularity",
        title="speed irregularity between firings",
        dimension="ratio",
        unit="%",
        about="ripple over the mean speed",
        decimals=1,
        key="state",
    ),
    Output(
        name="rattle_ratio",
        title="rattle ratio of the loose gears",
        dimension="ratio",
        unit="",
        about="what their inertia asks for over the drag that holds them",
        decimals=2,
        key="state",
        needs=_GEARS,
    ),
    Output(
        name="torque_swing",
        title="torque swing of the engine",
        dimension="torque",
        unit="N·m",
        about="highest less lowest",
        decimals=0,
        key="state",
    ),
    Output(
        name="firing_torque",
        title="torque amplitude at the firing frequency",
        dimension="torque",
        unit="N·m",
        about="amplitude of the torque at the firing frequency",
        decimals=0,
        key="state",
    ),
    Output(
        name="indicated_torque",
        title="mean indicated torque",
        dimension="torque",
        unit="N·m",
        about="what the gas makes",
        decimals=1,
        key="state",
    ),
    Output(
        name="greatest_pressure",
        title="greatest cylinder pressure",
        dimension="pressure",
        unit="bar",
        about="absolute, to compare the model by",
        decimals=0,
        key="state",
    ),
    Output(
        name="firing_events",
        title="firings in a turn of the crank",
        dimension="ratio",
        unit="",
        about="firings in a turn of the crank",
        decimals=1,
    ),
)

SOURCES = (
    Source(id="mechanics", title="Mechanics of the crank and of turning bodies", standing="derived"),
    Source(
        id="pressure-model",
        title="An Analytic Model for Cylinder Pressure in a Four Stroke SI Engine, Eriksson and Andersson",
        publisher="SAE International",
        edition="2002-01-0371",
        where="abstract, read: a parameterized ideal cycle in closed form, validated on two engines; the "
        "burnt share by a cosine is from memory",
    ),
    Source(
        id="turning-moment",
        title="Turning moment diagrams",
        publisher="CodeCogs, Theory of machines",
        where="excess energy and coefficient of fluctuation of speed",
    ),
    Source(
        id="harmonics",
        title="Mathematical analysis of total engine torque, experimental department papers",
        publisher="Sir Henry Royce Memorial Foundation",
        edition="about 1923",
        where="which harmonics of evenly firing cylinders are left",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

_SHAPE = Doubt(
    name="firing_torque_shape",
    about="a pressure of two polytropic processes instead of a measured one, cylinders alike, a rigid crank",
    source="practice",
    formula="mechanics",
    relative=0.15,
    range="petrol engines from idle to where the crankshaft's own twist begins",
)

DOUBTS = (_SHAPE,)

DRAWS = 100

HAZARDS = ("spinning-parts", "driveline", "lifting")

_KEYED = tuple(output.name for output in OUTPUTS if output.key)


def _cylinder(values: Mapping[str, float]) -> Cylinder:
    return Cylinder(
        swept_volume=values["swept_volume"],
        compression_ratio=values["compression_ratio"],
        crank_ratio=values["crank_ratio"],
        burn_start=values["burn_start"],
        burn_duration=values["burn_duration"],
        polytropic_exponent=_POLYTROPIC,
    )


def _curve(values: dict[str, float], state: str, working: Working) -> TorqueCurve:
    """The engine's torque over a firing interval in one state; leaves the numbers behind it in `values`."""
    working.chain(values, "mechanics", **{f"indicated_torque.{state}": firing_torque.indicated_torque})
    cylinder = _cylinder(values)
    values["indicated_torque"] = values[f"indicated_torque.{state}"]
    shared = {
        "manifold_pressure": values["manifold_pressure"],
        "outside_pressure": values["outside_pressure"],
    }
    burnt = values[f"burnt_pressure.{state}"] = working.step(
        f"burnt_pressure.{state}",
        firing_torque.burnt_pressure,
        cylinder,
        source="pressure-model",
        cylinders=values["cylinders"],
        indicated_torque=values["indicated_torque"],
        **shared,
    )
    values[f"greatest_pressure.{state}"] = working.step(
        f"greatest_pressure.{state}",
        firing_torque.greatest_pressure,
        cylinder,
        source="pressure-model",
        burnt_pressure=burnt,
        **shared,
    )
    lever = 0.0
    if "reciprocating_mass" in values:
        lever = working.chain(values, "mechanics", **{f"inertia_lever.{state}": firing_torque.inertia_lever})
    return firing_torque.torque_curve(
        cylinder, int(values["cylinders"]), burnt_pressure=burnt, inertia_lever=lever, **shared
    )


def _state(values: dict[str, float], state: str, working: Working) -> None:
    """All results of one state, noted as ``name.state``."""
    curve = _curve(values, state, working)
    # The model's doubt is of the whole swing: a factor on the torque less its mean.
    read = (
        ("torque_swing", firing_torque.torque_swing, "mechanics", "cylinders"),
        ("firing_torque", firing_torque.firing_torque, "harmonics", "firing_events"),
        ("greatest_excess", firing_torque.greatest_excess, "mechanics", "indicated_torque"),
        ("energy_swing", firing_torque.energy_swing, "turning-moment", "indicated_torque"),
    )
    for name, formula, source, by in read:
        values[name] = values[f"{name}.{state}"] = working.step(
            f"{name}.{state}", formula, curve, source=replace(_SHAPE, formula=source), **{by: values[by]}
        )
    values["inertia"] = values["engine_inertia"]
    following = (
        ("speed_irregularity", firing_torque.speed_irregularity, "turning-moment"),
        ("speed_ripple", firing_torque.speed_ripple, "mechanics"),
        ("angular_acceleration", firing_torque.angular_acceleration, "mechanics"),
        ("firing_acceleration", firing_torque.firing_acceleration, "mechanics"),
    )
    for name, formula_of_more, source in following:
        values[name] = working.chain(values, source, **{f"{name}.{state}": formula_of_more})
    working.limit(
        "speed_irregularity",
        state,
        most=_SHAPE.relative,
        says=said(
            "The speed [may swing|swings] by more than 15 % of its mean, and a torque reckoned at the mean "
            "holds no longer ({state}): the digits are rough, the order of the flywheels is not.",
            state=state,
        ),
    )
    if "gear_inertia" in values:
        gears = (
            ("loose_gear_torque", firing_torque.loose_gear_torque),
            ("rattle_ratio", firing_torque.rattle_ratio),
        )
        for name, of_gears in gears:
            values[name] = working.chain(values, "mechanics", **{f"{name}.{state}": of_gears})
        working.limit(
            "rattle_ratio",
            state,
            most=1.0,
            says=said(
                "The loose gears' inertia [may ask|asks] for more than the drag that holds their teeth "
                "({state}): they may rattle.",
                state=said(state),
            ),
        )


def _states(given: Mapping[str, Any]) -> dict[str, tuple[float, float, float]]:
    """Speed, torque at the clutch and manifold pressure, state by state."""
    states = {"idle": (given["idle_speed"], 0.0, given["idle_manifold_pressure"])}
    if given_together(given, _LOAD, "a load is a torque at a speed"):
        states["load"] = (given["load_speed"], given["load_torque"], given["load_manifold_pressure"])
    return states


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Ripple and acceleration at idle and under load; SI in, SI out."""
    given_together(given, _GEARS, "the ratio is of both")
    values = {name: float(value) for name, value in given.items()}
    if values["rod_length"] * 1.2 < values["stroke"]:
        raise InputsConflict(
            "rod_length",
            f"{values['rod_length'] * 1000:g} mm",
            f"more than stroke / 1.2, {values['stroke'] / 1.2 * 1000:.4g} mm",
            help="between the centres of both eyes",
        )
    values["turns_in_a_cycle"] = 2.0
    working.chain(
        values,
        "mechanics",
        firing_events=firing_torque.firing_events,
        swept_volume=firing_torque.swept_volume,
        crank_ratio=firing_torque.crank_ratio,
        friction_work=firing_torque.friction_work,
        friction_torque=firing_torque.friction_torque,
    )
    for state, (speed, torque, pressure) in _states(given).items():
        values |= {"rotational_speed": speed, "brake_torque": torque, "manifold_pressure": pressure}
        _state(values, state, working)
    if "reciprocating_mass" not in given:
        working.remark(
            said("Without reciprocating_mass the pistons' inertia is left out; it counts from some 3000 rpm.")
        )
    listed: Outputs = {}
    for name in _KEYED:
        found = {state: values[f"{name}.{state}"] for state in _states(given) if f"{name}.{state}" in values}
        if found:
            listed[name] = found
    return listed | {"firing_events": values["firing_events"]}


def _at(inputs: Mapping[str, Any], speed: float, torque: float, pressure: float) -> float:
    """Greatest angular acceleration at a speed, for the chart."""
    given = {
        **{name: value for name, value in inputs.items() if name not in (*_LOAD, *_GEARS)},
        "load_speed": speed,
        "load_torque": torque,
        "load_manifold_pressure": pressure,
    }
    found = compute(given, Working())["angular_acceleration"]
    assert isinstance(found, dict)
    return found["load"]


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Greatest angular acceleration over engine speed, at the torque under load or at idle's."""
    inputs = next(iter(cases.values())).inputs
    loaded = all("load_torque" in case.inputs for case in cases.values())
    series, markers = [], dict[float, str]()
    for style, (name, case) in enumerate(cases.items()):
        state = "load" if loaded else "idle"
        shown = _states(case.inputs)[state]
        low = min(at[0] for at in _states(case.inputs).values())
        high = max(2 * shown[0], 4000 * pi / 30)
        x = [low + (high - low) * part / 16 for part in range(17)]
        y = [_at(case.inputs, speed, shown[1], shown[2]) for speed in x]
        value = case.outputs["angular_acceleration"][state]
        share = case.uncertainty("angular_acceleration", state) / value if value else 0.0
        series.append(
            Series(
                label=name or "angular acceleration",
                x=x,
                y=y,
                style=style,
                low=[at * (1 - share) for at in y],
                high=[at * (1 + share) for at in y],
            )
        )
        markers[shown[0]] = "the load's speed" if loaded else "idle"
    torque = f"{inputs['load_torque']:.0f} N·m held" if loaded else "no load"
    return ChartSpec(
        title="Angular acceleration and engine speed",
        description="Greatest angular acceleration of the gearbox's input over engine speed, the torque "
        f"staying as it is ({torque}).",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis("angular acceleration", "angular acceleration", "rad/s²", from_zero=True),
        series=tuple(series),
        markers=tuple(Marker(label, x=speed) for speed, label in sorted(markers.items())),
    )
