"""What a tightening torque makes of a metric bolt: preload, and how near its limits that is.

**The maker's figure rules.** It knows the joint, the surfaces and what was tried; this block only explains
why it matters. Do not take a torque from here.

Of the torque on the spanner some 7 to 15 % stretches the bolt; friction in the thread and under the head
takes the rest. So the same torque gives half as much preload again or more when the friction is at
its low end, and a change of plating, oil or washer changes all. The block shows both ends: `low_friction`
(highest preload: the bolt is at risk) and `high_friction` (lowest: the joint is).

**Inputs.** `thread` is the designation: `M8` is the coarse thread, `M10x1.25` a fine one. Measure what is
turned, head or nut: `bearing_diameter` is the round face that rubs (the spanner's width across flats is a
little more), `hole_diameter` the hole under it. Usual values, in mm:

| thread | M5 | M6 | M8 | M10 | M12 | M14 | M16 |
|---|---|---|---|---|---|---|---|
| hexagon head, bearing face (ISO 4014, least) | 6.88 | 8.88 | 11.63 | 14.63 | 16.63 | 19.37 | 22.49 |
| clearance hole, medium (ISO 273, from memory) | 5.5 | 6.6 | 9 | 11 | 13.5 | 15.5 | 17.5 |

| class | friction, thread and head | typical |
|---|---|---|
| A | 0.04–0.10 | solid lubricants, waxes, pastes |
| B | 0.08–0.16 | greases, oils, as delivered; MoS₂ |
| C | 0.14–0.24 | bare or phosphated, lightly oiled; zinc plated, dry; with adhesive |
| D | 0.20–0.35 | stainless, oiled; zinc plated, dry |
| E | 0.30 and more | stainless or aluminium, dry |

VDI 2230-1, table A5, as quoted in two public tables, at room temperature. A wrench adds its own scatter:
give the torque with its uncertainty.

**Limits.** `proof_share` is the preload over the proof load of ISO 898-1. `yield_share` adds the twist of
tightening; VDI 2230 takes it to 90 % for a bolt tightened by torque. Steel bolts and screws of classes 8.8,
10.9 and 12.9 alone: not stainless, not necked-down shanks, not bolts tightened by angle into yield (which
are used once only), and not hot-dip galvanised oversize threads. What the load on the joint adds, how the
joint settles and how the hole's thread holds is not in here; limits for the pressure under the head are
those of the softer material. It is the preload of **one bolt**. Four or twelve clamp a joint with four or
twelve times that only when all are tight: each takes some from its neighbours as it is tightened, for which
the maker's manual has its sequence and stages.

```yaml
id: flywheel-bolts
kind: bolted_joint
inputs:
  thread: M10x1.25
  property_class: "10.9"
  tightening_torque: 65 N·m ± 3 N·m
  bearing_diameter: 14.63 mm
  hole_diameter: 11 mm
cases:
  oiled:
    thread_friction_low: 0.10
    thread_friction_high: 0.16
    head_friction_low: 0.10
    head_friction_high: 0.16
  dry:
    thread_friction_low: 0.14
    thread_friction_high: 0.24
    head_friction_low: 0.14
    head_friction_high: 0.24
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Input,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Text,
    Working,
)
from buildlog.physics import bolts

KIND = "bolted_joint"

_FRICTION = Number(
    dimension="ratio", unit="", low=0.03, high=0.6, why="threads and heads, from waxed to galling"
)
_TORQUE = Number(dimension="torque", unit="N·m", low=0.5, high=2000, why="M3 to M39")

INPUTS = (
    Input(name="thread", form=Text(20), about="designation of the metric thread: M8, M10x1.25"),
    Input(
        name="property_class",
        form=Choice({"8.8": "640 or 660 MPa", "10.9": "940 MPa", "12.9": "1100 MPa"}),
        about="the number on the head, with its least 0.2 % proof strength",
    ),
    Input(name="tightening_torque", form=_TORQUE, about="torque at the wrench"),
    Input(name="maker_torque", form=_TORQUE, about="the maker's figure, which rules", required=False),
    Input(
        name="bearing_diameter",
        form=Number(dimension="length", unit="mm", low=3, high=120, why="heads and nuts"),
        about="outer diameter of the turned bearing face",
    ),
    Input(
        name="hole_diameter",
        form=Number(dimension="length", unit="mm", low=3, high=60, why="holes for M3 to M39"),
        about="diameter of its hole",
    ),
    Input(name="thread_friction_low", form=_FRICTION, about="lowest coefficient of friction in the thread"),
    Input(name="thread_friction_high", form=_FRICTION, about="highest coefficient of friction in the thread"),
    Input(
        name="head_friction_low", form=_FRICTION, about="lowest coefficient of friction under the turned face"
    ),
    Input(
        name="head_friction_high",
        form=_FRICTION,
        about="highest coefficient of friction under the turned face",
    ),
)

OUTPUTS = (
    Output(
        name="preload",
        dimension="force",
        unit="kN",
        about="preload left in the bolt",
        decimals=1,
        key="friction",
    ),
    Output(
        name="proof_share",
        dimension="ratio",
        unit="%",
        about="preload of the proof load",
        decimals=0,
        key="friction",
    ),
    Output(
        name="yield_share",
        dimension="ratio",
        unit="%",
        about="pull and twist of the 0.2 % proof strength",
        decimals=0,
        key="friction",
    ),
    Output(
        name="clamping_share",
        dimension="ratio",
        unit="%",
        about="torque that stretches the bolt",
        decimals=1,
        key="friction",
    ),
    Output(
        name="bearing_pressure",
        dimension="pressure",
        unit="MPa",
        about="pressure under the turned face",
        decimals=0,
        key="friction",
    ),
    Output(
        name="preload_scatter", dimension="ratio", unit="", about="highest over lowest preload", decimals=2
    ),
    Output(
        name="proof_load",
        dimension="force",
        unit="kN",
        about="load borne without lasting stretch",
        decimals=1,
    ),
    Output(
        name="stress_area",
        dimension="area",
        unit="mm²",
        about="nominal stress area of the thread",
        decimals=1,
    ),
    Output(name="pitch_diameter", dimension="length", unit="mm", about="pitch diameter", decimals=3),
    Output(name="root_diameter", dimension="length", unit="mm", about="root diameter", decimals=3),
)

SOURCES = (
    Source(
        id="iso-724",
        title="ISO 68-1 and ISO 724, ISO general purpose metric screw threads",
        publisher="ISO",
        where="basic profile and basic dimensions; checked against published tables",
    ),
    Source(
        id="iso-898-1",
        title="ISO 898-1, Mechanical properties of fasteners: bolts, screws and studs",
        publisher="ISO",
        edition="2009",
        where="9.1.6.1 stress area; proof loads of tables 5 and 7 as published by a supplier",
    ),
    Source(
        id="vdi-2230",
        title="VDI 2230-1, Systematic calculation of highly stressed bolted joints",
        publisher="VDI",
        edition="2003",
        where="tightening torque and 5.5.1; checked against published tables of its values",
        standing="from memory",
    ),
    Source(
        id="iso-16047",
        title="ISO 16047, Fasteners: torque/clamp force testing",
        publisher="ISO",
        edition="2005",
        where="relation of torque and clamp force, effective diameter",
        standing="from memory",
    ),
    Source(id="mechanics", title="Equilibrium and definitions", standing="derived"),
)

HAZARDS = ("fasteners", "lifting", "spinning-parts")

_MAKER = (
    "The maker's manual gives the torque, the sequence, the lubricant and which bolts are used once only. "
    "Its figure rules; this calculation only explains it."
)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Preload and its shares at both ends of the friction; SI in, SI out."""
    thread = bolts.read_thread(given["thread"])
    proof_stress, yield_strength = bolts.PROPERTY_CLASSES[given["property_class"]][thread.diameter > 0.0161]
    for part in ("thread_friction", "head_friction"):
        low, high = given[f"{part}_low"], given[f"{part}_high"]
        if low > high:
            raise InputsConflict(f"{part}_low", f"{low:g}", f"at most {part}_high, {high:g}")
    if given["hole_diameter"] < thread.diameter:
        raise InputsConflict(
            "hole_diameter",
            f"{given['hole_diameter'] * 1000:g} mm",
            f"at least the thread, {thread.diameter * 1000:g} mm",
        )
    if given["bearing_diameter"] <= given["hole_diameter"]:
        raise InputsConflict(
            "bearing_diameter",
            f"{given['bearing_diameter'] * 1000:g} mm",
            f"more than the hole, {given['hole_diameter'] * 1000:g} mm",
        )
    values: dict[str, float] = {
        "diameter": thread.diameter,
        "pitch": thread.pitch,
        "proof_stress": proof_stress,
        "yield_strength": yield_strength,
        "tightening_torque": given["tightening_torque"],
        "bearing_diameter": given["bearing_diameter"],
        "hole_diameter": given["hole_diameter"],
    }
    working.chain(values, "iso-724", pitch_diameter=bolts.pitch_diameter)
    working.chain(
        values,
        "iso-898-1",
        root_diameter=bolts.root_diameter,
        stress_diameter=bolts.stress_diameter,
        stress_area=bolts.stress_area,
        proof_load=bolts.proof_load,
    )
    working.chain(values, "iso-16047", bearing_mean_diameter=bolts.bearing_mean_diameter)
    listed: dict[str, dict[str, float]] = {output.name: {} for output in OUTPUTS if output.key}
    for end in ("low", "high"):
        key = f"{end}_friction"
        values |= {part: given[f"{part}_{end}"] for part in ("thread_friction", "head_friction")}
        for name, formula, source in (
            ("preload", bolts.preload, "vdi-2230"),
            ("proof_share", bolts.proof_share, "mechanics"),
            ("thread_torque", bolts.thread_torque, "vdi-2230"),
            ("tightening_stress", bolts.tightening_stress, "vdi-2230"),
            ("yield_share", bolts.yield_share, "mechanics"),
            ("clamping_share", bolts.clamping_share, "vdi-2230"),
            ("bearing_pressure", bolts.bearing_pressure, "mechanics"),
        ):
            values[name] = working.chain(values, source, **{f"{name}.{key}": formula})
            if name in listed:
                listed[name][key] = values[name]
    values["preload_scatter"] = working.step(
        "preload_scatter",
        bolts.preload_scatter,
        source="mechanics",
        highest_preload=listed["preload"]["low_friction"],
        lowest_preload=listed["preload"]["high_friction"],
    )
    _remarks(given, listed, working)
    single = {output.name: values[output.name] for output in OUTPUTS if not output.key}
    return {**listed, **single}


def _remarks(given: Mapping[str, Any], listed: Mapping[str, Mapping[str, float]], working: Working) -> None:
    working.remark(_MAKER)
    maker = given.get("maker_torque")
    if maker is not None and abs(given["tightening_torque"] - maker) > 1e-9 * maker:
        working.remark(f"The torque here is not the maker's, which is {maker:.4g} N·m: use the maker's.")
    if listed["proof_share"]["low_friction"] > 1:
        working.remark(
            "At the low end of the friction the preload is above the proof load: the bolt stretches."
        )
    elif listed["yield_share"]["low_friction"] > 0.9:
        working.remark(
            "At the low end of the friction pull and twist go beyond 90 % of the 0.2 % proof strength."
        )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Preload against torque at both ends of the friction: a fan of two lines a case."""
    series: list[Series] = []
    loads = set()
    for name, case in cases.items():
        torque = case.inputs["tightening_torque"]
        x = [torque * part / 24 for part in range(25)]
        for end, label in (("low_friction", "low friction"), ("high_friction", "high friction")):
            load = case.outputs["preload"][end]
            series.append(
                Series(
                    label=f"{name}, {label}" if name else label,
                    x=x,
                    y=[load * at / torque for at in x],
                    style=len(series),
                )
            )
        loads.add(case.outputs["proof_load"])
    return ChartSpec(
        title="Preload and torque",
        description="Preload against tightening torque up to the torque given, at low and at high friction; "
        "the level line is the proof load.",
        x=Axis("tightening torque", "torque", "N·m", from_zero=True),
        y=Axis("preload", "force", "kN", from_zero=True),
        series=tuple(series),
        markers=tuple(Marker("proof load", y=load) for load in sorted(loads)),
    )
