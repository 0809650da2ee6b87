"""What a flywheel weighs in on: inertia, free revving, effective mass in each gear, and its stress.

**Inertia** comes from one of three. *A profile*: cut the flywheel in thought into plain rings and give each
one's diameters, width and density; a groove or a pocket that goes all round is a ring with `removed: yes`.
Give a ring a `name` if figures are to rest on it.
Starter ring gear and clutch cover are rings too, if they are to count. Inertia goes with the fourth power of
the diameter: measure the outer ones best. *A swing test* (below) measures what no drawing has. *The maker's
figure* goes in as `inertia`.

**Swing test.** Hang the flywheel level on two (bifilar) or three (trifilar) equal thin wires, all at one
`wire_radius` from its axis, upright, a metre or longer. Turn it a few degrees about its axis, let go without
a push, time twenty full swings (there and back) and divide. The formula supposes small swings: ten degrees
to either side lengthen the period by 0.2 %. Weigh the flywheel (`swinging_mass`).
With a platform, swing that alone too: `platform_mass`, `platform_period`, on the same wires. The period
counts twice: 1 % of it is 2 % of inertia, and with a heavy platform more.

**Free revving.** `free_torque` is the engine's torque less its friction, on average between the two speeds;
`other_inertia` is what turns along: crankshaft, cover, driven plate. For four and six cylinders all of it
together is about 0.10–0.25 kg·m² (common practice, no source). The time is for that constant torque.

**Effective mass.** With `gears`, `final_drive` and `rolling_radius` the block gives the mass that the
flywheel adds to the car in each gear. Compare two flywheels as two cases and quote one against the other
(`vs`). Nothing is gained at constant speed, and on a change of gear the driver has to make up for what the
lighter flywheel no longer carries over.

**How sure.** Rings leave out holes, fillets and teeth: 3 % of the inertia (common practice, no source). A
swing test in a workshop is good to 2 %. Two flywheels cut in the same way share the first of these.

**Stress.** Rings of one material that reach from the bore to the rim without a gap are joined to a disc of
their steps: a rim pulls at the disc, and where all steps are on one side (`steps`; a friction face is flat)
it also bends it. `hoop_stress` is the greatest around the bore or in a web, at the worse face, with the hub
free; a stiff flange at the crankshaft takes some of the bending off. Otherwise it is that of a flat disc of
even width, which a heavy rim on one side can exceed by more than half. Real ones have bolt holes, dowels
and sharp corners (each can double or treble it locally: the block cautions above a third of the strength),
heat cracks on the friction face, and rims on thin webs, for which `free_ring_stress` is the plain warning.
An aluminium body that carries a steel ring gear and friction plate is no such disc: its inertia is right
here, its stress is its maker's business. Cast
iron bursts without notice, and the pieces go through floors. The figures show why a lightened cast flywheel
is a gamble; they cannot show that one is safe. Fit one that is made and certified for the speed (for
instance to SFI 1.1, from memory), and do not turn down a cast one.

| material | density, kg/m³ | tensile strength, MPa | Poisson's ratio |
|---|---|---|---|
| grey iron EN-GJL-250 | 7200 | 250 | 0.26 |
| ductile iron EN-GJS-500-7 | 7100 | 500 | 0.28 |
| steel C45, normalised | 7850 | 580 | 0.30 |
| aluminium 6061-T6 | 2700 | 260 | 0.33 |

A tough steel disc bursts where `average_hoop_stress` reaches the strength (Robinson, 1944); a brittle one
where `hoop_stress` or `radial_stress` does, beside its worst hole.

EN 1561, EN 1563, EN ISO 683-1 and usual data sheets, least values of small sections (from memory).

```yaml
id: lighter-flywheel
kind: flywheel
inputs:
  rev_limit: 8200 rpm
  free_torque: 95 N·m
  from_speed: 1500 rpm
  other_inertia: 0.055 kg·m²
  gears: [3.32, 2.04, 1.43, 1.13, 1.00]
  final_drive: 41/9
  rolling_radius: 0.289 m
  bore: 60 mm
  poisson_ratio: 0.3
cases:
  standard:
    rings:
      - {name: disc, outer_diameter: 275 mm, inner_diameter: 60 mm, width: 14 mm, density: 7200 kg/m³}
      - {name: rim, outer_diameter: 275 mm, inner_diameter: 215 mm, width: 12 mm, density: 7200 kg/m³}
  lighter:
    rings:
      - {name: disc, outer_diameter: 275 mm, inner_diameter: 60 mm, width: 12 mm, density: 7850 kg/m³}
      - {name: hollow, outer_diameter: 255 mm, inner_diameter: 130 mm, width: 5 mm, density: 7850 kg/m³,
         removed: yes}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange, as_written
from buildlog.kinds.declaration import (
    Axis,
    Bar,
    BarSpec,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Flag,
    Input,
    Listed,
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
from buildlog.physics import drivetrain, rotation, stepped_disc
from buildlog.said import said

KIND = "flywheel"

_DIAMETER = Number(dimension="length", unit="mm", low=5, high=600, why="flywheels of cars")
_DENSITY = Number(dimension="density", unit="kg/m³", low=1500, high=9000, why="metals")
_INERTIA = Number(dimension="moment of inertia", unit="kg·m²", low=0.001, high=5, why="flywheels of cars")
_PERIOD = Number(
    dimension="time", unit="s", low=0.1, high=20, why="wires of a few decimetres to a few metres"
)
_REVS = Number(dimension="rotational speed", unit="rpm", low=100, high=20_000, why="piston engines of cars")

INPUTS = (
    Input(
        name="rings",
        form=Table(
            (
                Input(name="name", form=Text(80), about="what figures in the text call it", required=False),
                Input(name="outer_diameter", form=_DIAMETER, about="outer diameter"),
                Input(
                    name="inner_diameter",
                    form=_DIAMETER,
                    about="inner diameter; a full disc if left out",
                    required=False,
                ),
                Input(
                    name="width",
                    form=Number(dimension="length", unit="mm", low=0.1, high=200, why="flywheels of cars"),
                    about="width along the axis",
                ),
                Input(name="density", form=_DENSITY, about="density of the material"),
                Input(
                    name="removed",
                    form=Flag(),
                    about="yes for a hollow: the ring is taken away",
                    required=False,
                ),
            ),
            1,
            60,
        ),
        about="the profile as plain rings; or a swing test, or inertia",
        required=False,
    ),
    Input(
        name="swinging_mass",
        form=Number(dimension="mass", unit="kg", low=0.5, high=60, why="flywheels, with clutch"),
        about="swing test: mass of the flywheel alone",
        required=False,
    ),
    Input(
        name="swing_period",
        form=_PERIOD,
        about="swing test: time of a full swing, with the platform if any",
        required=False,
    ),
    Input(
        name="wire_radius",
        form=Number(dimension="length", unit="mm", low=20, high=400, why="inside the flywheel"),
        about="swing test: distance of the wires from the axis",
        required=False,
    ),
    Input(
        name="wire_length",
        form=Number(dimension="length", unit="m", low=0.2, high=10, why="a short wire swings far"),
        about="swing test: free length of the wires",
        required=False,
    ),
    Input(
        name="platform_mass",
        form=Number(dimension="mass", unit="kg", low=0.05, high=60, why="boards and cradles"),
        about="swing test: mass of the platform",
        required=False,
    ),
    Input(
        name="platform_period",
        form=_PERIOD,
        about="swing test: time of a full swing of the platform alone",
        required=False,
    ),
    Input(
        name="gravity",
        form=Number(dimension="acceleration", unit="m/s²", low=9.76, high=9.84, why="on Earth"),
        about="acceleration of gravity",
        default="9.80665 m/s²",
        default_source="standard gravity (CGPM, 1901); within 0.3 % of local",
    ),
    Input(name="inertia", form=_INERTIA, about="moment of inertia as stated by the maker", required=False),
    Input(name="rev_limit", form=_REVS, about="highest engine speed"),
    Input(
        name="outer_diameter",
        form=_DIAMETER,
        about="outermost diameter; that of the rings if left out",
        required=False,
    ),
    Input(name="bore", form=_DIAMETER, about="central bore, for the stress", required=False),
    Input(
        name="density",
        form=_DENSITY,
        about="density for the stress; the rings' highest if left out",
        required=False,
    ),
    Input(
        name="poisson_ratio",
        title="Poisson's ratio",
        form=Number(dimension="ratio", unit="", low=0.2, high=0.4, why="metals"),
        about="Poisson's ratio, for the stress",
        required=False,
    ),
    Input(
        name="steps",
        form=Choice({"one-side": "one face is flat", "both-sides": "alike on both"}),
        about="where the rings' steps are, for the stress",
        default="one-side",
        default_source="a friction face is flat",
    ),
    Input(
        name="strength",
        form=Number(dimension="pressure", unit="MPa", low=50, high=2000, why="metals"),
        about="tensile strength of the material",
        required=False,
    ),
    Input(
        name="free_torque",
        form=Number(dimension="torque", unit="N·m", low=5, high=1500, why="car engines"),
        about="torque that is free to spin the engine up",
        required=False,
        doubt=Doubt(
            name="free_torque",
            about="torque on average between the two speeds, less the engine's own friction",
            source="common-practice",
            relative=0.15,
            limits=True,
        ),
    ),
    Input(
        name="other_inertia",
        form=Number(
            dimension="moment of inertia", unit="kg·m²", low=0, high=2, why="crankshafts and clutches"
        ),
        about="inertia of what turns along",
        required=False,
        doubt=Doubt(
            name="other_inertia",
            about="inertia of crankshaft and clutch that were not swung",
            source="common-practice",
            relative=0.2,
            limits=True,
        ),
    ),
    Input(
        name="from_speed",
        title="starting speed",
        form=_REVS,
        about="engine speed from which it spins up",
        required=False,
    ),
    Input(
        name="gears",
        form=Listed(
            Number(dimension="ratio", unit="", low=0.3, high=8.0, why="forward ratios of car gearboxes"),
            1,
            10,
            counted=True,
        ),
        about="gearbox ratios, first gear first",
        required=False,
    ),
    Input(
        name="final_drive",
        form=Number(dimension="ratio", unit="", low=1.5, high=8.0, why="final drives of cars"),
        about="final drive ratio",
        required=False,
    ),
    Input(
        name="rolling_radius",
        form=Number(dimension="length", unit="m", low=0.15, high=0.5, why="car tyres"),
        about="rolling radius of the driven wheels",
        required=False,
    ),
)

_SWING = ("swinging_mass", "swing_period", "wire_radius", "wire_length")
_GEARS = ("gears", "final_drive", "rolling_radius")
_STRESS = ("bore", "poisson_ratio")

OUTPUTS = (
    Output(
        name="inertia",
        title="moment of inertia of the flywheel",
        dimension="moment of inertia",
        unit="kg·m²",
        about="moment of inertia of the flywheel",
        decimals=4,
    ),
    Output(
        name="mass",
        title="mass of the flywheel",
        dimension="mass",
        unit="kg",
        about="mass",
        decimals=2,
        needs=("rings",),
    ),
    Output(
        name="ring_mass",
        title="mass of the ring",
        dimension="mass",
        unit="kg",
        about="removed ones too",
        decimals=2,
        key="ring",
        of="rings",
        needs=("rings",),
    ),
    Output(
        name="ring_inertia",
        title="moment of inertia of the ring",
        dimension="moment of inertia",
        unit="kg·m²",
        about="removed ones too",
        decimals=4,
        key="ring",
        of="rings",
        needs=("rings",),
    ),
    Output(
        name="radius_of_gyration",
        title="radius of gyration",
        dimension="length",
        unit="mm",
        about="at which its mass counts",
        decimals=1,
        needs=("rings",),
    ),
    Output(
        name="stored_energy",
        title="energy stored at the rev limit",
        dimension="energy",
        unit="kJ",
        about="energy at the rev limit",
        decimals=1,
    ),
    Output(
        name="rim_speed",
        title="rim speed at the rev limit",
        dimension="speed",
        unit="m/s",
        about="speed of the rim at the rev limit",
        decimals=1,
        needs=("outer_diameter",),
    ),
    Output(
        name="hoop_stress",
        title="greatest hoop stress at the rev limit",
        dimension="pressure",
        unit="MPa",
        about="mostly at the bore",
        decimals=0,
        needs=_STRESS,
    ),
    Output(
        name="radial_stress",
        title="greatest radial stress at the rev limit",
        dimension="pressure",
        unit="MPa",
        about="mostly in a thin web",
        decimals=0,
        needs=("rings", *_STRESS),
    ),
    Output(
        name="average_hoop_stress",
        title="average hoop stress at the rev limit",
        dimension="pressure",
        unit="MPa",
        about="over the section",
        decimals=0,
        needs=_STRESS,
    ),
    Output(
        name="free_ring_stress",
        title="hoop stress of a free rim at the rev limit",
        dimension="pressure",
        unit="MPa",
        about="of a rim that holds itself",
        decimals=0,
        needs=("density",),
    ),
    Output(
        name="stress_share",
        title="greatest stress as a share of tensile strength",
        dimension="ratio",
        unit="%",
        about="greatest stress as a share of tensile strength",
        decimals=0,
        needs=(*_STRESS, "strength"),
    ),
    Output(
        name="speed_at_strength",
        title="speed at which the stress reaches the strength",
        dimension="rotational speed",
        unit="rpm",
        about="all of the tensile strength",
        decimals=0,
        needs=(*_STRESS, "strength"),
    ),
    Output(
        name="total_inertia",
        title="moment of inertia of all that turns",
        dimension="moment of inertia",
        unit="kg·m²",
        about="the flywheel and what turns with it",
        decimals=4,
        needs=("other_inertia",),
    ),
    Output(
        name="free_revving_rate",
        title="free-revving rate in neutral",
        dimension="angular acceleration",
        unit="rpm/s",
        decimals=0,
        needs=("free_torque", "other_inertia"),
    ),
    Output(
        name="run_up_time",
        title="run-up time to the rev limit in neutral",
        dimension="time",
        unit="s",
        about="from the starting speed",
        decimals=2,
        needs=("free_torque", "other_inertia", "from_speed"),
    ),
    Output(
        name="effective_mass",
        title="effective mass of the flywheel",
        dimension="mass",
        unit="kg",
        about="what it adds to the car's",
        decimals=1,
        key="gear",
        needs=_GEARS,
    ),
)

SOURCES = (
    Source(id="mechanics", title="Geometry and mechanics of rigid bodies", standing="derived"),
    Source(
        id="swing",
        title="Laboratory notes on the bifilar and trifilar pendulum",
        where="J = m g R² T² / (4 π² L), derived there",
    ),
    Source(
        id="shigley",
        title="Mechanical Engineering Design, Shigley and Mischke",
        publisher="McGraw-Hill",
        edition="5th, 1989",
        where="stresses in rotating rings, as quoted in a public reference page",
    ),
    Source(
        id="burst-tests",
        title="Bursting tests of steam-turbine disk wheels, E. L. Robinson",
        where="Trans. ASME 66 (1944), abstract: good steel bursts where the average hoop stress exceeds the "
        "tensile strength, with a central hole or without",
    ),
    Source(
        id="engineering-toolbox",
        title="Rotating bodies, stress",
        publisher="The Engineering ToolBox",
        where="stress in a rotating ring, eq. 2",
    ),
    Source(
        id="stepped-disc",
        title="Rotating rings in plane stress and bending, joined at the steps",
        where="from Lamé's and Kirchhoff's solutions; checked by a solver of boundary value problems",
        standing="derived",
    ),
    Source(
        id="finite-elements",
        title="Finite elements of two flywheels with their steps on one side, of our own",
        where="the joined rings within 2 % but for corners; the flat disc 37 % low at the worse face of a "
        "heavy rim",
        standing="derived",
    ),
    Source(
        id="kirsch",
        title="Stress beside a round hole in a pulled plate: three times that of the plate, G. Kirsch",
        where="Z. VDI 42 (1898) 797–807, as Wikipedia, Kirsch equations, and the Encyclopaedia Britannica, "
        "Mechanics of solids, report it (read)",
    ),
    Source(
        id="moment-of-inertia-error",
        title="Error terms for moment of inertia measurement",
        publisher="Society of Allied Weight Engineers",
        edition="paper 1013",
        where="abstract: better than 1 % is typical of laboratories; doubled here for a workshop",
    ),
    Source(
        id="common-practice",
        title="What workshops allow for",
        standing="common practice, no source",
    ),
    Source(
        id="data-handbook",
        title="Mechanical Engineer's Data Handbook, J. Carvill",
        publisher="Butterworth-Heinemann",
        edition="1993",
        where="1.2.7 Stresses due to rotation",
    ),
)

_RINGS = Doubt(
    name="ring_profile",
    about="bolt holes, dowels, fillets and teeth that plain rings leave out",
    source="common-practice",
    formula="mechanics",
    relative=0.03,
    range="flywheels cut into rings by their drawing or by calliper",
)
_SWINGING = Doubt(
    name="swing_test",
    about="wires not quite alike or upright, an axis not quite through the centre of mass, sway",
    source="moment-of-inertia-error",
    formula="swing",
    relative=0.02,
    range="swings below ten degrees, on wires of a metre or longer",
)
_FLAT = Doubt(
    name="flat_disc",
    about="a flywheel of steps and webs taken for a flat disc",
    source="finite-elements",
    formula="shigley",
    relative=0.4,
    range="bodies that are nearly flat",
)
_STEPPED = Doubt(
    name="stepped_disc",
    about="fillets, slots and widths that are not small against the radius; a stiff flange at a hub that is "
    "taken as free makes the stress lower",
    source="common-practice",
    formula="stepped-disc",
    relative=0.1,
    range="widths up to a fifth of the outer diameter",
)

DOUBTS = (_RINGS, _SWINGING, _FLAT, _STEPPED)

HAZARDS = ("spinning-parts", "lifting", "driveline", "fasteners", "friction-dust", "sparks")


_BESIDE_A_HOLE = 1 / 3
"""Share of the strength that a hole which trebles the stress beside it (Kirsch) makes all of it."""


def _in_words(diameter: float) -> str:
    return as_written(diameter, f"{diameter * 1000:g} mm")


def _from_rings(given: Mapping[str, Any], values: dict[str, float], working: Working) -> Outputs:
    """Mass and inertia summed over the rings; a hollow is subtracted."""
    masses: dict[str, float] = {}
    inertias: dict[str, float] = {}
    mass = inertia = 0.0
    rings: list[dict[str, Any]] = given["rings"]
    if rings[0].get("removed"):
        raise InputsConflict(
            "rings",
            "a removed ring first",
            "material before what is taken out of it",
            help="write the rings of material first",
            at=(0, "removed"),
        )
    keys = row_keys("rings", rings)
    for index, (key, ring) in enumerate(zip(keys, rings, strict=True)):
        last = key == keys[-1]
        outer, inner = ring["outer_diameter"], ring.get("inner_diameter", 0.0)
        if inner >= outer:
            raise InputsConflict(
                "rings",
                f"ring {key}: {_in_words(inner)} inside, {_in_words(outer)} outside",
                "an inner diameter below the outer one",
                at=(index, "inner_diameter"),
            )
        sign = -1.0 if ring.get("removed") else 1.0
        masses[key] = working.step(
            f"ring_mass.{key}",
            rotation.ring_mass,
            source="mechanics",
            outer_diameter=outer,
            inner_diameter=inner,
            width=ring["width"],
            density=ring["density"],
        )
        inertias[key] = working.step(
            f"ring_inertia.{key}",
            rotation.ring_inertia,
            source="mechanics",
            ring_mass=masses[key],
            outer_diameter=outer,
            inner_diameter=inner,
        )
        try:
            mass = working.step(
                "mass" if last else f"mass_to_{key}",
                rotation.mass_with,
                source=_RINGS if last else "mechanics",
                mass=mass,
                further_mass=sign * masses[key],
            )
            inertia = working.step(
                "inertia" if last else f"inertia_to_{key}",
                rotation.inertia_with,
                source=_RINGS if last else "mechanics",
                inertia=inertia,
                further_inertia=sign * inertias[key],
            )
        except OutOfRange:
            raise InputsConflict(
                "rings",
                f"ring {key} removes more than there is",
                "less than those before",
                help="check its diameters, width and density",
                at=(index,),
            ) from None
    values |= {"mass": mass, "inertia": inertia}
    solid = [ring for ring in rings if not ring.get("removed")]
    values.setdefault("outer_diameter", max(ring["outer_diameter"] for ring in solid))
    if values["outer_diameter"] < max(ring["outer_diameter"] for ring in solid):
        raise InputsConflict(
            "outer_diameter",
            f"{values['outer_diameter'] * 1000:g} mm",
            "at least the outermost ring's",
            help="leave it out or correct it",
        )
    values.setdefault("density", max(ring["density"] for ring in solid))
    working.chain(values, "mechanics", radius_of_gyration=rotation.radius_of_gyration)
    return {"ring_mass": masses, "ring_inertia": inertias}


def _from_swing(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    if not given_together(given, ("platform_mass", "platform_period"), "the platform is swung alone too"):
        alone = ("swinging_mass", "gravity", "wire_radius", "wire_length", "swing_period")
        values["inertia"] = working.step(
            "inertia", rotation.swing_inertia, source=_SWINGING, **{name: values[name] for name in alone}
        )
        return
    swing = {name: values[name] for name in ("gravity", "wire_radius", "wire_length")}
    together = working.step(
        "hanging_mass",
        rotation.mass_with,
        source="mechanics",
        mass=given["swinging_mass"],
        further_mass=given["platform_mass"],
    )
    values["swung_inertia"] = working.step(
        "swung_inertia",
        rotation.swing_inertia,
        source=_SWINGING,
        swinging_mass=together,
        swing_period=given["swing_period"],
        **swing,
    )
    values["platform_inertia"] = working.step(
        "platform_inertia",
        rotation.swing_inertia,
        source=_SWINGING,
        swinging_mass=given["platform_mass"],
        swing_period=given["platform_period"],
        **swing,
    )
    working.chain(values, "mechanics", inertia=rotation.inertia_less_platform)


def _stress(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """Rim speed and stress, with the caution that belongs to them."""
    given_together(given, ("strength",), "a share of strength needs the stress", "bore")
    if given_together(given, _STRESS, "the stress needs both"):
        missing = [name for name in ("outer_diameter", "density") if name not in values]
        if missing:
            name = missing[0]
            raise MissingInput(name, f"bore without {name}", f"{name}, or rings", help="the stress needs it")
    if "outer_diameter" not in values:
        return
    working.chain(values, "mechanics", rim_speed=rotation.rim_speed)
    if "density" not in values:
        return
    working.chain(values, "data-handbook", free_ring_stress=rotation.free_ring_stress)
    if len({ring["density"] for ring in given.get("rings", ())}) > 1:
        working.remark(
            said(
                "The rings differ in density, as aluminium with a steel ring gear does. The stress is that "
                "of one disc of {density} kg/m³ throughout: where bodies are joined it says nothing.",
                density=f"{values['density']:.0f}",
            )
        )
    working.remark(
        said(
            "The stress is that of plain rings, cold and without holes: it can show that a flywheel is "
            "dangerous, never that it is safe. Fit one that is certified for its speed."
        )
    )
    if "bore" in given:
        _hoop_stress(given, values, working)


def _hoop_stress(given: Mapping[str, Any], values: dict[str, float], working: Working) -> None:
    """The stress at the bore, where it is greatest, and what it is of the strength."""
    if given["bore"] >= values["outer_diameter"]:
        raise InputsConflict(
            "bore",
            f"{given['bore'] * 1000:g} mm",
            f"less than the outer diameter, {values['outer_diameter'] * 1000:g} mm",
        )
    disc = _stepped(given, values, working)
    if disc is None:
        _flat_stress(values, working)
    else:
        _stepped_stress(disc, values, working)
    if "strength" in given:
        working.chain(values, "mechanics", stress_share=rotation.stress_share)
        working.chain(values, "mechanics", speed_at_strength=rotation.speed_at_strength)
        working.limit(
            "stress_share",
            most=1.0,
            says=said("The stress [may reach|reaches] the tensile strength: it would burst."),
        )
        working.limit(
            "stress_share",
            most=_BESIDE_A_HOLE,
            says=said(
                "Beside a bolt hole, which can treble the stress, it [may reach|reaches] the "
                "tensile strength "
                "within the rev limit."
            ),
        )


def _flat_stress(values: dict[str, float], working: Working) -> None:
    """The flat disc, of which nothing is known but its outline."""
    working.chain(values, "mechanics", bore_ratio=rotation.bore_ratio)
    values["greatest_stress"] = values["hoop_stress"] = working.step(
        "hoop_stress",
        rotation.hoop_stress,
        source=_FLAT,
        **{name: values[name] for name in ("density", "rim_speed", "bore_ratio", "poisson_ratio")},
    )
    working.chain(values, "engineering-toolbox", average_hoop_stress=rotation.average_hoop_stress)


def _stepped(
    given: Mapping[str, Any], values: Mapping[str, float], working: Working
) -> stepped_disc.SteppedDisc | None:
    """The disc that the rings make, where they make one of one material from the bore to the rim."""
    rings = given.get("rings", ())
    if not rings or {ring["density"] for ring in rings} != {values["density"]}:
        return None
    outline = [
        (
            ring["outer_diameter"],
            ring.get("inner_diameter", 0.0),
            -ring["width"] if ring.get("removed") else ring["width"],
        )
        for ring in rings
    ]
    bands = stepped_disc.SteppedDisc.bands_of(outline, given["bore"])
    whole = abs(values["outer_diameter"] - max(outer for outer, _, _ in outline)) < 1e-9
    if not bands or not whole:
        working.remark(
            said(
                "The rings do not make one body from the bore to the outer diameter: the stress is that of a "
                "flat disc."
            )
        )
        return None
    return stepped_disc.SteppedDisc(bands, one_sided=given["steps"] == "one-side")


def _stepped_stress(disc: stepped_disc.SteppedDisc, values: dict[str, float], working: Working) -> None:
    """The disc with its steps."""
    taken = {name: values[name] for name in ("density", "rotational_speed")}
    for name, formula in (
        ("hoop_stress", stepped_disc.stepped_hoop_stress),
        ("radial_stress", stepped_disc.stepped_radial_stress),
    ):
        values[name] = working.step(
            name, formula, disc, source=_STEPPED, **taken, poisson_ratio=values["poisson_ratio"]
        )
    values["average_hoop_stress"] = working.step(
        "average_hoop_stress", stepped_disc.stepped_average_stress, disc, source="stepped-disc", **taken
    )
    working.chain(values, "mechanics", greatest_stress=rotation.greatest_stress)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Inertia, energy, stress, free revving and effective mass of one case; SI in, SI out."""
    values = {name: float(value) for name, value in given.items() if not isinstance(value, list | str)}
    outputs: Outputs = {}
    swing = given_together(given, _SWING, "the swing test needs all of them")
    given_together(given, ("platform_mass",), "a platform is part of a swing test", "swing_period")
    ways = [
        name
        for name, there in (
            ("rings", "rings" in given),
            ("swing_period", swing),
            ("inertia", "inertia" in given),
        )
        if there
    ]
    if len(ways) != 1:
        expected = "one of rings, a swing test (swinging_mass and the rest) and inertia"
        if not ways:
            raise MissingInput("rings", "nothing to take the inertia from", expected)
        raise InputsConflict(
            ways[1], f"{ways[0]} as well", expected, help="put the other into a case of its own"
        )
    if "rings" in given:
        outputs |= _from_rings(given, values, working)
    elif swing:
        _from_swing(given, values, working)
    values["rotational_speed"] = given["rev_limit"]
    working.chain(values, "mechanics", stored_energy=rotation.stored_energy)
    _stress(given, values, working)
    given_together(given, ("free_torque",), "the whole has to be spun up", "other_inertia")
    given_together(given, ("from_speed",), "without it nothing spins up", "free_torque")
    if "other_inertia" in given:
        values["total_inertia"] = working.step(
            "total_inertia",
            rotation.inertia_with,
            source="mechanics",
            inertia=values["inertia"],
            further_inertia=given["other_inertia"],
        )
    if "free_torque" in given:
        values["free_revving_rate"] = rate = working.step(
            "free_revving_rate",
            rotation.angular_acceleration,
            source="mechanics",
            torque=given["free_torque"],
            inertia=values["total_inertia"],
        )
        if (low := given.get("from_speed")) is not None:
            if low >= given["rev_limit"]:
                raise InputsConflict("from_speed", "not below the rev limit", "less than rev_limit")
            values["run_up_time"] = working.step(
                "run_up_time",
                rotation.run_up_time,
                source="mechanics",
                low_speed=low,
                high_speed=given["rev_limit"],
                angular_acceleration=rate,
            )
    if given_together(given, _GEARS, "the effective mass needs all of them"):
        outputs["effective_mass"] = {
            str(number): _effective_mass(
                str(number), gear, given=given, inertia=values["inertia"], working=working
            )
            for number, gear in enumerate(given["gears"], start=1)
        }
    computed = {output.name for output in OUTPUTS} - {"outer_diameter", "density"}
    return outputs | {name: value for name, value in values.items() if name in computed}


def _effective_mass(
    key: str, gear: float, given: Mapping[str, Any], inertia: float, working: Working
) -> float:
    ratio = working.step(
        f"overall_ratio.{key}",
        drivetrain.overall_ratio,
        source="mechanics",
        gear_ratio=gear,
        final_drive=given["final_drive"],
    )
    radius = given["rolling_radius"]
    return working.step(
        f"effective_mass.{key}",
        rotation.effective_mass,
        source="mechanics",
        inertia=inertia,
        overall_ratio=ratio,
        rolling_radius=radius,
    )


def _by_gear(cases: Mapping[str, CaseView]) -> BarSpec | None:
    """Effective mass in every gear, a bar a case."""
    keys = {key for case in cases.values() for key in case.outputs.get("effective_mass", ())}
    bars = []
    for key in sorted(keys, key=int):
        for style, (name, case) in enumerate(cases.items()):
            value = case.outputs.get("effective_mass", {}).get(key)
            if value is None:
                continue
            half = case.uncertainty("effective_mass", key)
            bars.append(
                Bar(
                    label=f"gear {key}, {name}" if name else f"gear {key}",
                    value=value,
                    style=style,
                    low=value - half if half else None,
                    high=value + half if half else None,
                )
            )
    if not bars:
        return None
    return BarSpec(
        title="What the flywheel weighs in each gear",
        description="Mass that the flywheel adds to the car in each gear: by the square of the ratio.",
        x=Axis("effective mass", "mass", "kg", from_zero=True),
        bars=tuple(bars),
    )


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec | BarSpec, ...]:
    """Stored energy against engine speed, and effective mass by gear where the gears are known."""
    series = []
    for style, (name, case) in enumerate(cases.items()):
        speeds = [case.inputs["rev_limit"] * part / 40 for part in range(41)]
        energies = [case.outputs["inertia"] * speed**2 / 2 for speed in speeds]
        series.append(Series(label=name or "stored energy", x=speeds, y=energies, style=style))
    energy = ChartSpec(
        title="Energy in the flywheel",
        description="Energy stored in the flywheel against engine speed, up to the rev limit: it "
        "goes with the square.",
        x=Axis("engine speed", "rotational speed", "rpm", from_zero=True),
        y=Axis("stored energy", "energy", "kJ", from_zero=True),
        series=tuple(series),
    )
    by_gear = _by_gear(cases)
    return (energy, by_gear) if by_gear else (energy,)
