"""What a tightening torque makes of a bolt: preload, how near its limits that is, and what the joint holds.

**The maker's figure rules.** It knows the joint, the surfaces and what was tried; this block only explains
why it matters. Do not take a torque from here.

Of the torque on the spanner some 7 to 15 % stretches the bolt; friction in the thread and under the head
takes the rest. So the same torque gives half as much preload again or more when the friction is at
its low end, and a change of plating, oil or washer changes all. The block shows both ends: `low_friction`
(highest preload: the bolt is at risk) and `high_friction` (lowest: the joint is).

**Inputs.** `thread` is the designation: `M8` is the coarse thread, `M10x1.25` a fine one, `3/8-16` an inch
thread (UNC; `3/8-24` is UNF). Measure what is
turned, head or nut: `bearing_diameter` is the round face that rubs (the spanner's width across flats is a
little more), `hole_diameter` the hole under it. Usual values, in mm:

| thread | M5 | M6 | M8 | M10 | M12 | M14 | M16 |
|---|---|---|---|---|---|---|---|
| hexagon head, bearing face (ISO 4014, least) | 6.88 | 8.88 | 11.63 | 14.63 | 16.63 | 19.37 | 22.49 |
| clearance hole, medium (ISO 273, as a reference table prints it) | 5.5 | 6.6 | 9 | 11 | 13.5 | 15.5 | 17.5 |

| class | friction, thread and head | typical |
|---|---|---|
| A | 0.04–0.10 | solid lubricants, waxes, pastes |
| B | 0.08–0.16 | greases, oils, as delivered; MoS₂ |
| C | 0.14–0.24 | bare or phosphated, lightly oiled; zinc plated, dry; with adhesive |
| D | 0.20–0.35 | stainless, oiled; zinc plated, dry |
| E | 0.30 and more | stainless or aluminium, dry |

VDI 2230-1, table A5, as quoted in two public tables, at room temperature. A wrench adds its own scatter:
give the torque with its uncertainty. A torque wrench and the friction together are commonly credited with
± 25 % of preload; a range of friction that makes less of it wants a reason, and is remarked on.

**Limits.** `proof_share` is the preload over the proof load of ISO 898-1. `yield_share` adds the twist of
tightening; VDI 2230 takes it to 90 % for a bolt tightened by torque. Steel of ISO 898-1 (8.8, 10.9, 12.9)
and SAE J429, stainless steel of ISO 3506-1, which has no proof load: its 0.2 % proof strength stands in.
Stainless threads gall, so lubricate them. Not necked-down shanks, not bolts tightened by angle into yield
(which are used once only), not hot-dip galvanised oversize threads. What the load on the joint adds and how
it settles is not in here. `limiting_pressure` is that of the softer part under the head.

**The tapped hole.** `thread_engagement` counts full threads, without the last two or three of a blind hole.
`shear_strength` is the tapped part's: some 200 MPa for good wrought aluminium, less for castings (common
practice, no source). `stripping_load` is what NASA's manual designs by, on the safe side. An insert of steel
carries more; its maker says how much.

**The joint.** `joint_clamp_load` is `number_of_bolts` times the preload, and that only when all are tight:
each takes some from its neighbours as it is tightened, for which the maker's manual has its sequence and
stages. With `joint_friction` (clean dry steel 0.15–0.20, oiled 0.10; common practice, no source) it tells
what slides it, `slip_load`; on a `bolt_circle` also the torque, and `slip_reserve` at the **lowest** preload
over `joint_torque`. Bolts that are to be sheared are another matter: parts that are pressed together do not
slip.

**Blind rivets** have no preload worth the name. `rivet_shear_load` and `rivet_tension_load` are what one of
them bears, as its supplier's sheet or its standard has it for its size, material and grip: none is known
here. With `number_of_rivets` the block compares them with `joint_shear` and `joint_tension`. Where both act,
the shares are added, which is on the safe side; `rivet_reserve` is what is left, and wants to be 2 or 3 where
somebody depends on it (common practice, no source). A joint of rivets alone needs nothing of a bolt;
a bolt needs its thread, class and torque, both diameters and all four ends of the friction.

```yaml
id: flywheel-bolts
kind: bolted_joint
inputs:
  thread: M10x1.25
  property_class: "10.9"
  tightening_torque: 65 N·m ± 3 N·m
  bearing_diameter: 14.63 mm
  hole_diameter: 11 mm
  number_of_bolts: 6
  bolt_circle: 60 mm
  joint_friction: 0.15
  joint_torque: 250 N·m
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

from collections.abc import Callable, Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
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
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.physics import bolts
from buildlog.said import said

KIND = "bolted_joint"

_FRICTION = Number(
    dimension="ratio", unit="", low=0.03, high=0.6, why="threads and heads, from waxed to galling"
)
_LOAD = Number(dimension="force", unit="N", low=1, high=1_000_000, why="one rivet to a seam of them")
_TORQUE = Number(dimension="torque", unit="N·m", low=0.5, high=2000, why="M3 to M39")

INPUTS = (
    Input(
        name="thread", form=Text(20), about="designation of the thread: M8, M10x1.25, 3/8-24", required=False
    ),
    Input(
        name="property_class",
        form=Choice(
            {
                "8.8": "640 or 660 MPa",
                "10.9": "940 MPa",
                "12.9": "1100 MPa",
                "A2-50": "210 MPa",
                "A2-70": "450 MPa",
                "A2-80": "600 MPa",
                "A4-50": "210 MPa",
                "A4-70": "450 MPa",
                "A4-80": "600 MPa",
                "SAE-2": "57 000 or 36 000 psi, no mark",
                "SAE-5": "92 000 psi, three marks",
                "SAE-8": "130 000 psi, six marks",
            }
        ),
        about="the number on the head, with its least 0.2 % proof or yield strength",
        required=False,
    ),
    Input(name="tightening_torque", form=_TORQUE, about="torque at the wrench", required=False),
    Input(
        name="maker_torque",
        title="maker's torque",
        form=_TORQUE,
        about="the maker's figure, which rules",
        required=False,
    ),
    Input(
        name="bearing_diameter",
        form=Number(dimension="length", unit="mm", low=3, high=120, why="heads and nuts"),
        about="outer diameter of the turned bearing face",
        required=False,
    ),
    Input(
        name="hole_diameter",
        form=Number(dimension="length", unit="mm", low=3, high=60, why="holes for M3 to M39"),
        about="diameter of its hole",
        required=False,
    ),
    Input(
        name="thread_friction_low",
        form=_FRICTION,
        about="lowest coefficient of friction in the thread",
        required=False,
    ),
    Input(
        name="thread_friction_high",
        form=_FRICTION,
        about="highest coefficient of friction in the thread",
        required=False,
    ),
    Input(
        name="head_friction_low",
        form=_FRICTION,
        about="lowest coefficient of friction under the turned face",
        required=False,
    ),
    Input(
        name="head_friction_high",
        form=_FRICTION,
        about="highest coefficient of friction under the turned face",
        required=False,
    ),
    Input(
        name="number_of_bolts",
        form=Whole(1, 100, "joints of cars"),
        about="bolts that clamp the joint",
        default="1",
        default_source="one bolt alone",
    ),
    Input(
        name="joint_faces",
        form=Whole(1, 10, "two parts to a pack of plates"),
        about="faces of the joint that rub",
        default="1",
        default_source="two parts",
    ),
    *(
        Input(name=name, form=form, about=about, required=False, doubt=doubt)
        for name, form, about, doubt in (
            (
                "limiting_pressure",
                Number(dimension="pressure", unit="MPa", low=20, high=2000, why="plastics to hard steel"),
                "highest pressure that the part under the turned face bears",
                None,
            ),
            (
                "thread_engagement",
                Number(dimension="length", unit="mm", low=1, high=120, why="tapped holes"),
                "length of full threads in the tapped hole",
                None,
            ),
            (
                "shear_strength",
                Number(dimension="pressure", unit="MPa", low=30, high=1000, why="castings to steel"),
                "shear strength of the tapped part",
                Doubt(
                    name="shear_strength_of_the_tapped_part",
                    about="a part whose alloy and temper were not tested",
                    source="practice",
                    relative=0.15,
                ),
            ),
            (
                "joint_friction",
                Number(dimension="ratio", unit="", low=0.03, high=0.8, why="oiled to roughened"),
                "coefficient of friction between the parts",
                Doubt(
                    name="joint_friction",
                    about="faces whose friction was not measured",
                    source="practice",
                    relative=0.25,
                ),
            ),
            (
                "bolt_circle",
                Number(dimension="length", unit="mm", low=10, high=500, why="flanges of cars"),
                "diameter of the circle that the bolts sit on",
                None,
            ),
            ("joint_torque", _TORQUE, "torque that the joint has to carry by friction", None),
            ("number_of_rivets", Whole(1, 500, "seams of cars"), "blind rivets that share the load", None),
            ("rivet_shear_load", _LOAD, "least shear load of one rivet, by its supplier", None),
            ("rivet_tension_load", _LOAD, "least tension load of one rivet, by its supplier", None),
            ("joint_shear", _LOAD, "force across the rivets that the joint has to carry", None),
            ("joint_tension", _LOAD, "force along the rivets that it has to carry", None),
        )
    ),
)

_BOLT = (
    "thread",
    "property_class",
    "tightening_torque",
    "bearing_diameter",
    "hole_diameter",
    "thread_friction_low",
    "thread_friction_high",
    "head_friction_low",
    "head_friction_high",
)
_HOLE = ("thread_engagement", "shear_strength")

OUTPUTS = (
    Output(
        name="preload",
        title="bolt preload",
        dimension="force",
        unit="kN",
        about="what is left in it",
        decimals=1,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="proof_share",
        title="preload as a share of the proof load",
        dimension="ratio",
        unit="%",
        about="preload of the proof load",
        decimals=0,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="yield_share",
        title="combined stress as a share of the proof strength",
        dimension="ratio",
        unit="%",
        about="pull and twist, of the 0.2 % proof strength",
        decimals=0,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="clamping_share",
        title="share of the torque that stretches the bolt",
        dimension="ratio",
        unit="%",
        about="torque that stretches the bolt",
        decimals=1,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="bearing_pressure",
        title="bearing pressure under the turned face",
        dimension="pressure",
        unit="MPa",
        about="pressure under the turned face",
        decimals=0,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="preload_scatter",
        title="ratio of the highest to the lowest preload",
        dimension="ratio",
        unit="",
        decimals=2,
        needs=_BOLT,
    ),
    Output(
        name="proof_load",
        title="proof load of the bolt",
        dimension="force",
        unit="kN",
        about="borne without lasting stretch",
        decimals=1,
        needs=_BOLT,
    ),
    Output(
        name="stress_area",
        title="nominal stress area of the thread",
        dimension="area",
        unit="mm²",
        about="nominal stress area of the thread",
        decimals=1,
        needs=_BOLT,
    ),
    Output(
        name="pitch_diameter",
        title="pitch diameter of the thread",
        dimension="length",
        unit="mm",
        about="pitch diameter",
        decimals=3,
        needs=_BOLT,
    ),
    Output(
        name="root_diameter",
        title="root diameter of the thread",
        dimension="length",
        unit="mm",
        about="root diameter",
        decimals=3,
        needs=_BOLT,
    ),
    Output(
        name="joint_clamp_load",
        title="clamp load of the joint",
        dimension="force",
        unit="kN",
        about="of all its bolts",
        decimals=1,
        key="friction",
        needs=_BOLT,
    ),
    Output(
        name="stripping_load",
        title="stripping load of the tapped thread",
        dimension="force",
        unit="kN",
        about="to design by",
        decimals=1,
        needs=(*_BOLT, *_HOLE),
    ),
    Output(
        name="stripping_share",
        title="highest preload as a share of the stripping load",
        dimension="ratio",
        unit="%",
        about="highest preload of the stripping load",
        decimals=0,
        needs=(*_BOLT, *_HOLE),
    ),
    Output(
        name="least_engagement",
        title="least thread engagement for the proof load",
        dimension="length",
        unit="mm",
        about="length of thread that bears it",
        decimals=1,
        needs=(*_BOLT, *_HOLE),
    ),
    Output(
        name="slip_load",
        title="slip load of the joint",
        dimension="force",
        unit="kN",
        about="force across the bolts at which it slips",
        decimals=1,
        key="friction",
        needs=(
            *_BOLT,
            "joint_friction",
        ),
    ),
    Output(
        name="slip_torque",
        title="slip torque of the joint",
        dimension="torque",
        unit="N·m",
        about="torque at which it slips",
        decimals=0,
        key="friction",
        needs=(*_BOLT, "joint_friction", "bolt_circle"),
    ),
    Output(
        name="slip_reserve",
        title="slip reserve of the joint at the lowest preload",
        dimension="ratio",
        unit="",
        about="slip torque over the torque to carry",
        decimals=2,
        needs=(*_BOLT, "joint_friction", "bolt_circle", "joint_torque"),
    ),
    Output(
        name="rivet_shear_share",
        title="shear load as a share of the rivets' capacity",
        dimension="ratio",
        unit="%",
        about="force across the rivets",
        decimals=0,
        needs=("number_of_rivets", "rivet_shear_load", "joint_shear"),
    ),
    Output(
        name="rivet_tension_share",
        title="tension load as a share of the rivets' capacity",
        dimension="ratio",
        unit="%",
        about="force along the rivets",
        decimals=0,
        needs=("number_of_rivets", "rivet_tension_load", "joint_tension"),
    ),
    Output(
        name="rivet_reserve",
        title="load reserve of the rivets",
        dimension="ratio",
        unit="",
        about="how many times the load they bear",
        decimals=2,
        needs=("number_of_rivets",),
    ),
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
        where="tightening torque, as JIS B 1083 and public code print the same relation (read), and 5.5.1; "
        "checked against published tables of its values",
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
    Source(
        id="nasa-rp-1228",
        title="Fastener Design Manual, R. T. Barrett",
        publisher="NASA",
        edition="Reference Publication 1228, 1990",
        where="pullout load for tapped holes, P = π d_m F_s L / 3, read as quoted in a handbook",
    ),
    Source(
        id="sae-j429",
        title="SAE J429, Mechanical and material requirements for externally threaded fasteners",
        publisher="SAE",
        where="proof load, yield strength; threads of ASME B1.1: read as two suppliers publish them",
    ),
    Source(
        id="iso-3506-1",
        title="ISO 3506-1, Corrosion-resistant stainless steel fasteners",
        publisher="ISO",
        edition="2020",
        where="0.2 % proof strengths of classes 50, 70, 80 as a supplier publishes them (read); the "
        "classes' names were read",
    ),
    Source(
        id="torque-method",
        title="Ways of applying a preload, design notes of a university's car team",
        where="± 25 % by a torque wrench, 15 % by turning the nut, 1 to 5 % by stretch",
    ),
    Source(id="practice", title="Common practice", standing="common practice, no source"),
)

_TORQUE_RELATION = Doubt(
    name="torque_and_preload",
    about="the short form of the relation of torque and preload",
    source="iso-16047",
    formula="vdi-2230",
    relative=0.02,
    range="coefficients of friction up to 0.3",
)
_SHARING = Doubt(
    name="rivet_sharing",
    about="rivets of a row that do not all take the same share",
    source="practice",
    formula="mechanics",
    relative=0.1,
    range="rivets of one size, evenly set, loaded through their middle",
)
_STRIPPING = Doubt(
    name="thread_stripping",
    about="a factor of one third, where threads that mate perfectly have one half",
    source="nasa-rp-1228",
    relative=0.2,
    range="threads of 60°, full engagement up to three diameters",
)

DOUBTS = (_TORQUE_RELATION, _STRIPPING, _SHARING)

HAZARDS = ("fasteners", "lifting", "spinning-parts")

_MAKER = said(
    "The maker's manual gives the torque, the sequence, the lubricant and which bolts are used once only. "
    "Its figure rules; this calculation only explains it."
)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Bolts, rivets, or both, each by itself; SI in, SI out."""
    rivets = _rivets(given, working)
    if not rivets and not set(_BOLT) & set(given):
        raise MissingInput("thread", "neither a bolt's thread nor rivets", "one of them")
    bolted = _bolts(given, working) if given_together(given, _BOLT, "a bolt needs all of them") else {}
    return {**bolted, **rivets}


_ACROSS = ("rivet_shear_load", "joint_shear")
_ALONG = ("rivet_tension_load", "joint_tension")


def _rivets(given: Mapping[str, Any], working: Working) -> Outputs:
    """What blind rivets bear of the load, by their supplier's figures."""
    across = given_together(given, _ACROSS, "shear is compared with what a rivet bears", "number_of_rivets")
    along = given_together(given, _ALONG, "tension is compared with what a rivet bears", "number_of_rivets")
    if not across and not along:
        given_together(given, ("number_of_rivets",), "the rivets' load is needed", "joint_shear")
        return {}
    values = {"number_of_rivets": float(given["number_of_rivets"])}
    shares = {"rivet_shear_share": 0.0, "rivet_tension_share": 0.0}
    for way, name, (load, force) in (
        (across, "rivet_shear_share", _ACROSS),
        (along, "rivet_tension_share", _ALONG),
    ):
        if way:
            values |= {"rivet_load": given[load], "joint_force": given[force]}
            taken = {part: values[part] for part in ("joint_force", "number_of_rivets", "rivet_load")}
            shares[name] = working.step(name, bolts.rivet_share, source=_SHARING, **taken)
    reserve = working.step("rivet_reserve", bolts.rivet_reserve, source="mechanics", **shares)
    working.limit(
        "rivet_reserve",
        least=1.0,
        says=said("The rivets [may not|do not] bear the load, by their supplier's figures."),
    )
    working.remark(
        said(
            "Rivets by their supplier's least loads, for the sheets they were tried in: thin or soft sheet "
            "tears before that, edges closer than two diameters too, and shaking loosens them. No safety "
            "factor is in here."
        )
    )
    return {**{name: share for name, share in shares.items() if share}, "rivet_reserve": reserve}


def _bolts(given: Mapping[str, Any], working: Working) -> Outputs:
    """Preload and its shares at both ends of the friction."""
    thread = bolts.read_thread(given["thread"])
    proof_stress, yield_strength = thread.strengths(given["property_class"])
    _check(given, thread)
    values: dict[str, float] = {
        "diameter": thread.diameter,
        "pitch": thread.pitch,
        "proof_stress": proof_stress,
        "yield_strength": yield_strength,
        **{name: float(value) for name, value in given.items() if not isinstance(value, str)},
    }
    _section(thread, values, working)
    listed: dict[str, dict[str, float]] = {output.name: {} for output in OUTPUTS if output.key}
    for end in ("low", "high"):
        _end(f"{end}_friction", given, values, listed, working, end)
    values["preload_scatter"] = working.step(
        "preload_scatter",
        bolts.preload_scatter,
        source="mechanics",
        highest_preload=listed["preload"]["low_friction"],
        lowest_preload=listed["preload"]["high_friction"],
    )
    if "shear_strength" in given:
        values["preload"] = listed["preload"]["low_friction"]
        values["stripping_load"] = working.step(
            "stripping_load",
            bolts.stripping_load,
            source=_STRIPPING,
            **{name: values[name] for name in ("pitch_diameter", "thread_engagement", "shear_strength")},
        )
        working.chain(
            values,
            "nasa-rp-1228",
            stripping_share=bolts.stripping_share,
            least_engagement=bolts.least_engagement,
        )
    if "joint_torque" in given:
        values["slip_torque"] = listed["slip_torque"]["high_friction"]
        working.chain(values, "mechanics", slip_reserve=bolts.slip_reserve)
    _limits(given, working)
    _remarks(given, values["preload_scatter"], working)
    single = {output.name: values[output.name] for output in OUTPUTS if output.name in values}
    return {**{name: by_key for name, by_key in listed.items() if by_key}, **_without(single, listed)}


def _without(single: Mapping[str, float], listed: Mapping[str, object]) -> dict[str, float]:
    return {name: value for name, value in single.items() if name not in listed}


def _check(given: Mapping[str, Any], thread: bolts.Thread) -> None:
    """Refuse what contradicts itself."""
    given_together(given, _HOLE, "the hole's thread needs both")
    given_together(given, ("bolt_circle",), upon="joint_friction")
    given_together(given, ("joint_torque",), upon="bolt_circle")
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


def _section(thread: bolts.Thread, values: dict[str, float], working: Working) -> None:
    """Diameters and areas of the thread, and the load that it bears."""
    working.chain(values, "iso-724", pitch_diameter=bolts.pitch_diameter, root_diameter=bolts.root_diameter)
    stress_diameter = bolts.stress_diameter_inch if thread.inch else bolts.stress_diameter
    working.chain(
        values,
        "sae-j429" if thread.inch else "iso-898-1",
        stress_diameter=stress_diameter,
        stress_area=bolts.stress_area,
        proof_load=bolts.proof_load,
    )
    working.chain(values, "iso-16047", bearing_mean_diameter=bolts.bearing_mean_diameter)


def _end(
    key: str,
    given: Mapping[str, Any],
    values: dict[str, float],
    listed: dict[str, dict[str, float]],
    working: Working,
    end: str,
) -> None:
    """All that one end of the friction makes of the torque."""
    values |= {part: given[f"{part}_{end}"] for part in ("thread_friction", "head_friction")}
    formulae: list[tuple[str, Callable[..., float], str | Doubt]] = [
        ("preload", bolts.preload, _TORQUE_RELATION),
        ("proof_share", bolts.proof_share, "mechanics"),
        ("thread_torque", bolts.thread_torque, "vdi-2230"),
        ("tightening_stress", bolts.tightening_stress, "vdi-2230"),
        ("yield_share", bolts.yield_share, "mechanics"),
        ("clamping_share", bolts.clamping_share, "vdi-2230"),
        ("bearing_pressure", bolts.bearing_pressure, "mechanics"),
        ("joint_clamp_load", bolts.joint_clamp_load, "mechanics"),
    ]
    if "joint_friction" in given:
        formulae.append(("slip_load", bolts.slip_load, "mechanics"))
        if "bolt_circle" in given:
            formulae.append(("slip_torque", bolts.slip_torque, "mechanics"))
    for name, formula, source in formulae:
        taken = {part: values[part] for part in formula.__annotations__ if part != "return"}
        values[name] = working.step(f"{name}.{key}", formula, source=source, **taken)
        if name in listed:
            listed[name][key] = values[name]


def _limits(given: Mapping[str, Any], working: Working) -> None:
    working.limit(
        "proof_share",
        "low_friction",
        most=1.0,
        says=said(
            "At the low end of the friction the preload [may be|is] above the proof load: the bolt stretches."
        ),
    )
    working.limit(
        "yield_share",
        "low_friction",
        most=0.9,
        says=said(
            "At the low end of the friction pull and twist [may go|go] beyond 90 % of the 0.2 % "
            "proof strength."
        ),
    )
    if "limiting_pressure" in given:
        working.limit(
            "bearing_pressure",
            "low_friction",
            most=given["limiting_pressure"],
            says=said(
                "The turned face [may press|presses] harder than the part under it bears: it sinks in."
            ),
        )
    if "shear_strength" in given:
        working.limit("stripping_share", most=1.0, says=said("The tapped thread [may be|is] torn out."))
    if "joint_torque" in given:
        working.limit(
            "slip_reserve",
            least=1.0,
            says=said("At the high end of the friction the joint [may slip|slips]."),
        )


_CREDITED = 1.25 / 0.75
"""Highest over lowest preload of ± 25 %."""


def _remarks(given: Mapping[str, Any], scatter: float, working: Working) -> None:
    working.remark(_MAKER)
    maker = given.get("maker_torque")
    if maker is not None and abs(given["tightening_torque"] - maker) > 1e-9 * maker:
        working.remark(
            said(
                "The torque here is not the maker's, which is {torque} N·m: use the maker's.",
                torque=f"{maker:.4g}",
            )
        )
    if scatter < _CREDITED:
        working.remark(
            said(
                "This range of friction spreads the preload by {scatter}; a torque wrench is commonly "
                "credited with ± 25 %, which is {credited}. Narrower wants a reason.",
                scatter=f"{scatter:.2f}",
                credited=f"{_CREDITED:.2f}",
            )
        )
    if given["property_class"] in bolts.STAINLESS:
        working.remark(
            said(
                "Stainless threads gall: lubricate them, turn slowly. ISO 3506-1 has no proof load; the 0.2 "
                "% proof strength stands in."
            )
        )


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Preload against torque at both ends of the friction, with the working points and the limits."""
    series: list[Series] = []
    markers: dict[tuple[str, float], Marker] = {}
    for name, case in cases.items():
        if "preload" not in case.outputs:
            continue
        torque = case.inputs["tightening_torque"]
        x = [torque * part / 20 for part in range(26)]
        for end, label in (("low_friction", "low friction"), ("high_friction", "high friction")):
            load = case.outputs["preload"][end]
            share = case.uncertainty("preload", end) / load
            y = [load * at / torque for at in x]
            series.append(
                Series(
                    label=f"{name}, {label}" if name else label,
                    x=x,
                    y=y,
                    style=len(series),
                    low=[at * (1 - share) for at in y],
                    high=[at * (1 + share) for at in y],
                )
            )
        markers["torque", torque] = Marker("the torque given", x=torque)
        markers["proof", case.outputs["proof_load"]] = Marker("proof load", y=case.outputs["proof_load"])
        twist = case.outputs["preload"]["low_friction"] * 0.9 / case.outputs["yield_share"]["low_friction"]
        markers["twist", twist] = Marker("90 % of the strength, with the twist", y=twist)
        if "stripping_load" in case.outputs:
            load = case.outputs["stripping_load"]
            markers["strip", load] = Marker("the tapped thread strips", y=load)
    if not series:
        return None
    return ChartSpec(
        title="Preload and torque",
        description="Preload against tightening torque, at low and at high friction. The lines are the "
        "torque given and what limits the preload.",
        x=Axis("tightening torque", "torque", "N·m", from_zero=True),
        y=Axis("preload", "force", "kN", from_zero=True),
        series=tuple(series),
        markers=tuple(markers[key] for key in sorted(markers)),
    )
