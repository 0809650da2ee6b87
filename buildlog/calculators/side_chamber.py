"""A chamber or a blind pipe at the side of the intake: its note, how much it keeps back, and at which revs.

A chamber behind a neck swings at one low frequency (Helmholtz). A blind pipe swings where it is a quarter of
a wavelength long, and at three times that. Set into the side of a duct, either keeps its note from getting
past. The block does **not** say that an engine will boom, nor where: that depends on the whole intake, the
body and the seat, and is found with a rev counter. A branch is fitted to a note that was heard.

**The engine's orders.** A four-stroke engine fires each cylinder once in two turns. With even firing the
loudest order is the firing order, cylinders / 2 times a turn, then its double. What differs from cylinder to
cylinder repeats only after two turns, and so the half orders (0.5, 1, 1.5 …) appear with uneven firing,
uneven runners, or a chamber on the runner of one cylinder (order 0.5). Results are listed by order, as the
chart names them, up to the limiter.

**How much it keeps back.** With `duct_diameter` and the air's speed past the mouth, the block gives the
transmission loss for plane waves: how many decibels less get past, where nothing comes back from the duct's
ends. It is largest at the frequency of the chamber or branch itself, where only losses bound it: friction at
its wall, and the air that blows past the mouth. The wider the mouth against the duct, the wider the band;
`bandwidth` is that in which half of the sound power is kept back (3 dB), and `firing_band` the same in revs
of firing. Measured peaks are lower than computed ones (Tang and Li, 2003).

**Where it sits.** A duct that opens into the air has a standing wave, with no pressure at the opening and
most a quarter of a wave from it. What hangs at the side acts by the pressure at its mouth. With
`distance_to_mouth`, from there to the duct's opening, the block gives that pressure as a share of the
largest, and says so below 71 %, where less than half of the sound's energy is. Soft mounts, other openings
and bends move it: try it before you weld.

**Ends.** The air outside an end swings along and makes the neck longer.

| end | adds, in radii of the bore | source |
|---|---|---|
| `flanged`: flush with a wall | 8/(3π) = 0.849; endless wall 0.8217 | Rayleigh; as course work has it |
| `free`: stands out as a thin pipe | 0.6133 | Levine and Schwinger, 1948; as measured in flue pipes |
| `none`: the length given is the acoustic one | 0 | definition |

A neck between duct and chamber is flanged at both ends if it is cut flush. The wall of a chamber that is
hardly wider than its neck, or of a duct as narrow as the branch, adds less, down to half (common practice, no
source); so does air that blows past. The block counts that as doubt of the method: limits of ± 50 % of the
correction, ± 10 % at a free end. It is the largest uncertainty of a short wide neck.

**Measuring the inputs.** Fill the chamber with water and weigh it; the volume is that without the neck. The
air in a hot bay is what counts: 10 K are 1.7 % of the frequency. A temperature without an uncertainty of its
own gets one of 5 K, which is what two places in one bay differ by.

**What is assumed.** Stiff walls (a soft box sounds lower), plane waves, slow air, small amplitudes, air at
the pressure of sea level for its viscosity. A neck and a chamber are short against the wavelength: the block
works out how much too high a neck sounds that is taken as a plug of air, takes that off, says so above 2 %,
and refuses above 10 %, where a neck is a pipe. It says so where a chamber is larger than an eighth of the
wavelength, too.

```yaml
id: box-note
kind: side_chamber
inputs:
  chamber_volume: 3.0 ± 0.05 l
  neck_diameter: 50 mm
  neck_length: 100 ± 3 mm
  inner_end: flanged
  outer_end: flanged
  branch_length: 400 mm
  branch_diameter: 50 mm
  branch_end: flanged
  duct_diameter: 80 mm
  duct_air_speed: 20 m/s
  distance_to_mouth: 450 mm
  engine_speed: 6000 rpm
  cylinders: 4
  idle_speed: 900 rpm
  rev_limit: 8000 rpm
cases:
  cold: {air_temperature: 15 °C}
  hot: {air_temperature: 70 ± 5 °C}
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import hypot, pi, sqrt
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
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
    Whole,
    Working,
    given_together,
)
from buildlog.physics import acoustics, air, compressible, exhaust_waves
from buildlog.said import said

KIND = "side_chamber"

_BORE = Number(dimension="length", unit="mm", low=2, high=300, why="necks and branches of car intakes")
_REVS = Number(dimension="rotational speed", unit="rpm", low=200, high=25_000, why="piston engines of cars")
_ENDS = {"flanged": "flush with a wall", "free": "stands out as a thin pipe", "none": "no correction"}

_BAY = Doubt(
    name="bay_air_temperature",
    about="two places in one engine bay differ by as much",
    source="practice",
    absolute=5.0,
    unit="K",
)

INPUTS = (
    Input(
        name="air_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=150, why="air about an engine"),
        about="temperature of the air in chamber, neck and branch",
        doubt=_BAY,
    ),
    Input(
        name="chamber_volume",
        form=Number(dimension="volume", unit="l", low=0.01, high=100, why="chambers that fit into a car"),
        about="volume of the chamber, without its neck",
        required=False,
    ),
    Input(name="neck_diameter", form=_BORE, about="bore of the neck", required=False),
    Input(
        name="neck_length",
        form=Number(
            dimension="length", unit="mm", low=0.5, high=2000, why="from a hole in sheet to a long pipe"
        ),
        about="length of the neck, without end corrections",
        required=False,
    ),
    Input(
        name="necks",
        form=Whole(1, 20, "pipes into one chamber"),
        about="how many like necks",
        default="1",
        default_source="one neck",
    ),
    Input(name="inner_end", form=Choice(_ENDS), about="the neck's end in the chamber", required=False),
    Input(name="outer_end", form=Choice(_ENDS), about="the neck's end in the duct", required=False),
    Input(
        name="branch_length",
        form=Number(dimension="length", unit="mm", low=20, high=5000, why="pipes that fit into a car"),
        about="length of a blind pipe, mouth to bottom, without end correction",
        required=False,
    ),
    Input(name="branch_diameter", form=_BORE, about="bore of that pipe", required=False),
    Input(name="branch_end", form=Choice(_ENDS), about="its mouth in the duct", required=False),
    Input(
        name="duct_diameter",
        form=Number(dimension="length", unit="mm", low=15, high=300, why="intake ducts"),
        about="bore of the duct that it sits on, for the transmission loss",
        required=False,
    ),
    Input(
        name="duct_air_speed",
        form=Number(
            dimension="speed", unit="m/s", low=0, high=100, why="from a test on the bench to full draw"
        ),
        about="air speed in the duct past the mouth; with duct_diameter",
        required=False,
    ),
    Input(
        name="distance_to_mouth",
        form=Number(dimension="length", unit="mm", low=0, high=5000, why="ducts of a car"),
        about="along the duct, from its opening to where it sits; needs duct_diameter",
        required=False,
    ),
    Input(
        name="engine_speed",
        form=_REVS,
        about="engine speed at which the note is heard; needs duct_diameter",
        required=False,
    ),
    Input(
        name="cylinders",
        form=Whole(1, 16, "piston engines of cars"),
        about="cylinders of the four-stroke engine",
    ),
    Input(name="idle_speed", form=_REVS, about="lowest engine speed of interest"),
    Input(name="rev_limit", form=_REVS, about="highest engine speed"),
)

_CHAMBER = ("chamber_volume", "neck_diameter", "neck_length", "inner_end", "outer_end")
_BRANCH = ("branch_length", "branch_diameter", "branch_end")
_DUCT = ("duct_diameter", "duct_air_speed")


def _shared_outputs(prefix: str, what: str, needs: tuple[str, ...]) -> tuple[Output, ...]:
    """What is known of a chamber and of a branch alike; `prefix` is their frequency's."""
    in_duct = (*needs, *_DUCT)
    return (
        Output(
            name=f"{prefix}_transmission_loss",
            title=f"transmission loss of the {what}",
            dimension="level difference",
            unit="dB",
            about="at its frequency",
            decimals=1,
            needs=in_duct,
        ),
        Output(
            name=f"{prefix}_bandwidth",
            title=f"bandwidth of the {what}",
            dimension="frequency",
            unit="Hz",
            about="where it keeps back half of the power",
            decimals=1,
            needs=in_duct,
        ),
        Output(
            name=f"{prefix}_firing_band",
            title=f"engine-speed band of the {what}",
            dimension="rotational speed",
            unit="rpm",
            about="width of its band in revs of firing",
            decimals=0,
            needs=in_duct,
        ),
        Output(
            name=f"{prefix}_loss_at_engine_speed",
            title=f"{what}'s transmission loss at the stated engine speed",
            dimension="level difference",
            unit="dB",
            about="for firing",
            decimals=1,
            needs=(*in_duct, "engine_speed"),
        ),
        Output(
            name=f"{prefix}_loss_resistance",
            title=f"loss resistance at the {what}'s mouth",
            dimension="ratio",
            unit="",
            about="in its wave impedance",
            decimals=4,
            needs=in_duct,
        ),
        Output(
            name=f"{prefix}_pressure_at_place",
            title=f"relative sound pressure at the {what}",
            dimension="ratio",
            unit="%",
            about="of the standing wave's largest",
            decimals=0,
            needs=(*in_duct, "distance_to_mouth"),
        ),
    )


OUTPUTS = (
    Output(
        name="speed_of_sound",
        title="speed of sound in the intake",
        dimension="speed",
        unit="m/s",
        about="speed of sound",
        decimals=1,
    ),
    Output(
        name="firing_order",
        title="firings in a turn of the crank",
        dimension="ratio",
        unit="",
        about="firings a turn",
        decimals=1,
    ),
    Output(
        name="helmholtz_frequency",
        title="resonance frequency of the chamber",
        dimension="frequency",
        unit="Hz",
        about="frequency of the chamber",
        decimals=1,
        needs=_CHAMBER,
    ),
    Output(
        name="lumping_error",
        title="lumping error of the neck",
        dimension="ratio",
        unit="%",
        about="what taking it for a plug of air adds; taken off",
        decimals=2,
        needs=_CHAMBER,
    ),
    Output(
        name="chamber_in_wavelengths",
        title="edge of the chamber in wavelengths",
        dimension="ratio",
        unit="",
        about="as a cube",
        decimals=3,
        needs=_CHAMBER,
    ),
    Output(
        name="neck_acoustic_length",
        title="acoustic length of the neck",
        dimension="length",
        unit="mm",
        about="with its ends",
        decimals=1,
        needs=_CHAMBER,
    ),
    Output(
        name="helmholtz_firing_revs",
        title="engine speed at which firing meets the chamber",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
        needs=_CHAMBER,
    ),
    *_shared_outputs("helmholtz", "chamber", _CHAMBER),
    Output(
        name="quarter_wave_frequency",
        title="resonance frequency of the branch",
        dimension="frequency",
        unit="Hz",
        about="frequency of the branch",
        decimals=1,
        needs=_BRANCH,
    ),
    Output(
        name="quarter_wave_overtone",
        title="first overtone of the branch",
        dimension="frequency",
        unit="Hz",
        about="first overtone of the branch",
        decimals=1,
        needs=_BRANCH,
    ),
    Output(
        name="branch_acoustic_length",
        title="acoustic length of the branch",
        dimension="length",
        unit="mm",
        about="with its end",
        decimals=1,
        needs=_BRANCH,
    ),
    Output(
        name="quarter_wave_firing_revs",
        title="engine speed at which firing meets the branch",
        dimension="rotational speed",
        unit="rpm",
        decimals=0,
        needs=_BRANCH,
    ),
    *_shared_outputs("quarter_wave", "branch", _BRANCH),
    Output(
        name="met",
        title="resonances met between idle and limiter",
        dimension="text",
        unit="",
    ),
    Output(
        name="helmholtz_revs",
        title="engine speed at which the order meets the chamber",
        dimension="rotational speed",
        unit="rpm",
        about="up to the limiter",
        decimals=0,
        key="order",
        needs=_CHAMBER,
    ),
    Output(
        name="quarter_wave_revs",
        title="engine speed at which the order meets the branch",
        dimension="rotational speed",
        unit="rpm",
        about="up to the limiter",
        decimals=0,
        key="order",
        needs=_BRANCH,
    ),
    Output(
        name="overtone_revs",
        title="engine speed at which the order meets the overtone",
        dimension="rotational speed",
        unit="rpm",
        about="up to the limiter",
        decimals=0,
        key="order",
        needs=_BRANCH,
    ),
)

SOURCES = (
    Source(
        id="nasa-sound",
        title="Speed of Sound",
        publisher="NASA Glenn Research Center",
        where="a² = γ R T",
    ),
    Source(
        id="woodhouse",
        title="Euphonics, J. Woodhouse",
        publisher="University of Cambridge",
        where="4.2.1, the Helmholtz resonator, eq. 8",
    ),
    Source(
        id="openstax",
        title="College Physics",
        publisher="OpenStax",
        where="17.5, standing waves in air columns: a tube closed at one end",
    ),
    Source(
        id="end-corrections",
        title="Electric analogues of Helmholtz resonators, course work",
        publisher="Politecnico di Milano",
        where="neck of length l + (0.61 + 8/(3π)) radii, free outside and flanged inside",
    ),
    Source(
        id="flue-pipes",
        title="Comparing classical and empirical end correction models using spatial pressure measurements "
        "in flue pipes",
        publisher="Acta Acustica",
        edition="9 (2025) 71",
        where="abstract: Levine and Schwinger's fits what was measured",
    ),
    Source(
        id="beranek-ver",
        title="Noise and Vibration Control Engineering, Beranek and Vér",
        publisher="Wiley",
        edition="1992",
        where="eqs. 10.10, 10.20 and 10.21, as the scripts to Acoustic Analyses Using MATLAB and ANSYS "
        "(Howard and Cazzolato, CRC Press, 2015) give them",
    ),
    Source(
        id="bies",
        title="Engineering Noise Control, Bies, Hansen, Howard and Hansen",
        publisher="CRC Press",
        edition="6th ed. (2024)",
        where="eq. 8.34, as course code that cites it gives it",
    ),
    Source(
        id="tang-li",
        title="On low frequency sound transmission loss of double sidebranches: a comparison between "
        "theory and experiment, Tang and Li",
        publisher="Acoustical Society of America",
        edition="J. Acoust. Soc. Am. 113 (2003) 3215–3225",
        where="abstract",
    ),
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eq. 51, viscosity, as the source code of galata and poliastro has it (read)",
    ),
    Source(
        id="practice",
        title="End corrections in narrow ducts; engine bays",
        standing="common practice, no source",
    ),
    Source(
        id="orders", title="The four-stroke cycle, geometry, and a line with its ends", standing="derived"
    ),
)

_FLANGED = Doubt(
    name="flanged_end_correction",
    about="a wall that is hardly wider than the mouth, or air that blows past, adds down to half",
    source="practice",
    formula="end-corrections",
    relative=0.5,
    limits=True,
    range="mouths in ducts and chambers",
)
_FREE = Doubt(
    name="free_end_correction",
    about="a wall that is not thin adds more, air that blows past less; the size is ours",
    source="flue-pipes",
    formula="end-corrections",
    relative=0.1,
    limits=True,
    range="thin pipes in the open",
)
_RESISTANCE = Doubt(
    name="side_branch_resistance",
    about="roughness, amplitude and the air's way past the mouth",
    source="practice",
    formula="bies",
    relative=0.5,
    limits=True,
    range="slow air, small amplitudes",
)
_PLANE_WAVES = Doubt(
    name="plane_wave_transmission_loss",
    about="what theory gives too much where the branch resonates",
    source="tang-li",
    formula="beranek-ver",
    relative=0.2,
    range="below the first cross mode of the duct; the size of it is ours",
)

DOUBTS = (_BAY, _FLANGED, _FREE, _RESISTANCE, _PLANE_WAVES)

HAZARDS = ("noise-emissions", "hot-parts")

_HEAT_CAPACITY_RATIO, _GAS_CONSTANT = 1.4, 287.05287
_SEA_LEVEL = 101_325.0
_CORRECTIONS = {
    "flanged": (acoustics.flanged_end_correction, _FLANGED),
    "free": (acoustics.free_end_correction, _FREE),
}


@dataclass(frozen=True, kw_only=True)
class _Mouth:
    """A chamber or a branch as the duct meets it. `length` is acoustic, `area` that of all its necks."""

    prefix: str
    frequency: float
    length: float
    bore: float
    area: float
    resistance: Callable[..., float]


def _end(name: str, kind: str, bore: float, working: Working) -> float:
    if kind == "none":
        return working.step(name, acoustics.no_end_correction, source="orders")
    formula, doubt = _CORRECTIONS[kind]
    return working.step(name, formula, source=doubt.of(name), diameter=bore)


def _orders(given: Mapping[str, Any]) -> list[int]:
    """Events in two turns that are listed: the half orders up to firing, and twice firing."""
    cylinders: int = given["cylinders"]
    return [*range(1, cylinders + 1), 2 * cylinders]


def _revs(
    output: str, frequency: float, orders: Mapping[int, float], limit: float, working: Working
) -> dict[str, float]:
    """Revs at which each order has a frequency, by order, up to the limiter."""
    found = {}
    for order in orders.values():
        speed = acoustics.revs_of_order(frequency, order)
        if speed <= limit:
            key = f"{order:g}"
            found[key] = working.step(
                f"{output}.{key}", acoustics.revs_of_order, source="orders", frequency=frequency, order=order
            )
    return found


def _chamber(
    given: Mapping[str, Any], sound: float, orders: Mapping[int, float], working: Working, outputs: Outputs
) -> _Mouth:
    bore = given["neck_diameter"]
    length = outputs["neck_acoustic_length"] = working.step(
        "neck_acoustic_length",
        acoustics.length_with_ends,
        source="orders",
        length=given["neck_length"],
        first_end=_end("inner_end_correction", given["inner_end"], bore, working),
        second_end=_end("outer_end_correction", given["outer_end"], bore, working),
    )
    area = working.step(
        "neck_area", acoustics.neck_area, source="orders", diameter=bore, necks=float(given["necks"])
    )
    plug = working.step(
        "plug_frequency",
        acoustics.helmholtz_frequency,
        source="woodhouse",
        speed_of_sound=sound,
        neck_area=area,
        volume=given["chamber_volume"],
        acoustic_length=length,
    )
    error = outputs["lumping_error"] = working.step(
        "lumping_error",
        acoustics.error_of_lumping,
        source="orders",
        frequency=plug,
        acoustic_length=length,
        speed_of_sound=sound,
    )
    if error > 0.1:
        raise OutOfRange(
            "neck_length",
            f"{length * 1000:.0f} mm with its ends: {error * 100:.0f} % in frequency",
            "at most 10 %",
            help="so long a neck on so small a chamber is a pipe: give it as a branch",
        )
    frequency = outputs["helmholtz_frequency"] = working.step(
        "helmholtz_frequency",
        acoustics.frequency_of_neck_as_pipe,
        source="orders",
        plug_frequency=plug,
        lumping_error=error,
    )
    working.limit(
        "lumping_error",
        most=0.02,
        says=said(
            "The neck is long for a plug of air. Its frequency has been set right for that, but the band is "
            "wider than given, by about one and a half times that error."
        ),
    )
    outputs["chamber_in_wavelengths"] = working.step(
        "chamber_in_wavelengths",
        acoustics.chamber_in_wavelengths,
        source="orders",
        frequency=frequency,
        volume=given["chamber_volume"],
        speed_of_sound=sound,
    )
    working.limit(
        "chamber_in_wavelengths",
        most=1 / 8,
        says=said(
            "The chamber is not small against the wavelength: its shape counts, and the frequency is rough."
        ),
    )
    outputs["helmholtz_revs"] = _revs("helmholtz_revs", frequency, orders, given["rev_limit"], working)
    outputs["helmholtz_firing_revs"] = working.step(
        "helmholtz_firing_revs",
        acoustics.revs_of_order,
        source="orders",
        frequency=frequency,
        order=orders[given["cylinders"]],
    )
    return _Mouth(
        prefix="helmholtz",
        frequency=frequency,
        length=length,
        bore=bore,
        area=area,
        resistance=acoustics.resistance_of_neck,
    )


def _branch(
    given: Mapping[str, Any], sound: float, orders: Mapping[int, float], working: Working, outputs: Outputs
) -> _Mouth:
    bore = given["branch_diameter"]
    if given["branch_length"] < bore:
        raise OutOfRange(
            "branch_length",
            f"{given['branch_length'] * 1000:.0f} mm",
            f"at least its bore, {bore * 1000:.0f} mm",
            help="shorter than that it is a dent in the wall: no wave runs along it",
        )
    length = outputs["branch_acoustic_length"] = working.step(
        "branch_acoustic_length",
        acoustics.length_with_ends,
        source="orders",
        length=given["branch_length"],
        second_end=0.0,
        first_end=_end("branch_end_correction", given["branch_end"], bore, working),
    )
    for mode, (name, revs) in enumerate(
        (("quarter_wave_frequency", "quarter_wave_revs"), ("quarter_wave_overtone", "overtone_revs")), start=1
    ):
        frequency = outputs[name] = working.step(
            name,
            acoustics.quarter_wave_frequency,
            source="openstax",
            speed_of_sound=sound,
            acoustic_length=length,
            mode=float(mode),
        )
        outputs[revs] = _revs(revs, frequency, orders, given["rev_limit"], working)
        if mode == 1:
            outputs["quarter_wave_firing_revs"] = working.step(
                "quarter_wave_firing_revs",
                acoustics.revs_of_order,
                source="orders",
                frequency=frequency,
                order=orders[given["cylinders"]],
            )
    own = outputs["quarter_wave_frequency"]
    assert isinstance(own, float)
    return _Mouth(
        prefix="quarter_wave",
        frequency=own,
        length=length,
        bore=bore,
        area=working.step("branch_area", acoustics.neck_area, source="orders", diameter=bore, necks=1.0),
        resistance=acoustics.resistance_of_branch,
    )


def _resistance(given: Mapping[str, Any], mouth: _Mouth, sound: float, working: Working) -> float:
    """Loss resistance at a mouth, in its own wave impedance."""
    temperature = given["air_temperature"]
    density = working.step(
        "air_density", air.dry_air_density, source="orders", pressure=_SEA_LEVEL, temperature=temperature
    )
    viscosity = working.step("viscosity", air.dynamic_viscosity, source="us-1976", temperature=temperature)
    kinematic = working.step(
        "kinematic_viscosity",
        air.kinematic_viscosity,
        source="orders",
        dynamic_viscosity=viscosity,
        density=density,
    )
    attenuation = working.step(
        f"{mouth.prefix}_attenuation",
        acoustics.attenuation_by_walls,
        source="bies",
        frequency=mouth.frequency,
        diameter=mouth.bore,
        speed_of_sound=sound,
        kinematic_viscosity=kinematic,
    )
    return working.step(
        f"{mouth.prefix}_loss_resistance",
        mouth.resistance,
        source=_RESISTANCE,
        attenuation=attenuation,
        acoustic_length=mouth.length,
        grazing_speed=given["duct_air_speed"],
        speed_of_sound=sound,
    )


def _kept_back(
    given: Mapping[str, Any], mouth: _Mouth, sound: float, working: Working, outputs: Outputs
) -> None:
    """Transmission loss of a chamber or a branch, and where on the duct it sits."""
    prefix = mouth.prefix
    duct_area = working.step(
        "duct_area", acoustics.neck_area, source="orders", diameter=given["duct_diameter"], necks=1.0
    )
    ratio = working.step(
        f"{prefix}_area_ratio", acoustics.area_ratio, source="orders", area=mouth.area, duct_area=duct_area
    )
    resistance = outputs[f"{prefix}_loss_resistance"] = _resistance(given, mouth, sound, working)
    if resistance >= 1.2 * ratio:
        raise OutOfRange(
            "duct_diameter",
            f"a mouth of {100 * ratio:.2g} % of its area",
            "a mouth that keeps back half of the sound's power at its own frequency",
            help="so small a mouth does next to nothing to so wide a duct",
        )
    outputs[f"{prefix}_transmission_loss"] = working.step(
        f"{prefix}_transmission_loss",
        acoustics.largest_transmission_loss,
        source=_PLANE_WAVES,
        area_ratio=ratio,
        resistance=resistance,
    )
    reactance = working.step(
        f"{prefix}_reactance_of_half_power",
        acoustics.reactance_of_half_power,
        source="beranek-ver",
        area_ratio=ratio,
        resistance=resistance,
    )
    if prefix == "helmholtz":
        width = working.step(
            "helmholtz_bandwidth",
            acoustics.bandwidth_of_resonator,
            source="beranek-ver",
            acoustic_length=mouth.length,
            speed_of_sound=sound,
            reactance=reactance,
        )
        working.limit(
            "helmholtz_bandwidth",
            most=mouth.frequency,
            says=said(
                "The band [may be|is] wider than the chamber's own frequency: it reaches to where the neck "
                "is no plug of air any more, and its upper end is a guess."
            ),
        )
    else:
        width = working.step(
            "quarter_wave_bandwidth",
            acoustics.bandwidth_of_side_branch,
            source="beranek-ver",
            frequency=mouth.frequency,
            reactance=reactance,
        )
    outputs[f"{prefix}_bandwidth"] = width
    firing = outputs["firing_order"]
    assert isinstance(firing, float)
    outputs[f"{prefix}_firing_band"] = working.step(
        f"{prefix}_firing_band", acoustics.revs_of_order, source="orders", frequency=width, order=firing
    )
    if "engine_speed" in given:
        outputs[f"{prefix}_loss_at_engine_speed"] = _at_engine_speed(
            given, mouth, firing=firing, sound=sound, ratio=ratio, resistance=resistance, working=working
        )
    if "distance_to_mouth" in given:
        _place(given, mouth, sound, working, outputs)


def _at_engine_speed(
    given: Mapping[str, Any],
    mouth: _Mouth,
    firing: float,
    sound: float,
    ratio: float,
    resistance: float,
    working: Working,
) -> float:
    """Transmission loss for firing at the engine speed that was asked for."""
    frequency = working.step(
        "firing_frequency",
        acoustics.frequency_of_order,
        source="orders",
        engine_speed=given["engine_speed"],
        order=firing,
    )
    shared = {
        "frequency": frequency,
        "acoustic_length": mouth.length,
        "speed_of_sound": sound,
        "area_ratio": ratio,
        "resistance": resistance,
    }
    name = f"{mouth.prefix}_loss_at_engine_speed"
    if mouth.prefix == "helmholtz":
        return working.step(
            name,
            acoustics.transmission_loss_resonator,
            source=_PLANE_WAVES,
            resonance=mouth.frequency,
            **shared,
        )
    return working.step(name, acoustics.transmission_loss_side_branch, source=_PLANE_WAVES, **shared)


def _place(given: Mapping[str, Any], mouth: _Mouth, sound: float, working: Working, outputs: Outputs) -> None:
    """Share of the standing wave's pressure at the mouth, for its own frequency."""
    distance = working.step(
        "acoustic_distance",
        acoustics.length_with_ends,
        source="orders",
        length=given["distance_to_mouth"],
        first_end=_end("opening_end_correction", "free", given["duct_diameter"], working),
        second_end=0.0,
    )
    time = working.step(
        "time_to_opening",
        exhaust_waves.travel_time,
        source="orders",
        travel_time_before=0.0,
        length=distance,
        speed_of_sound=sound,
    )
    name = f"{mouth.prefix}_pressure_at_place"
    outputs[name] = working.step(
        name,
        acoustics.standing_wave_pressure,
        source="orders",
        frequency=mouth.frequency,
        travel_time=time,
    )
    working.limit(name, least=sqrt(0.5), says=_LITTLE_PRESSURE[mouth.prefix])


_LITTLE_PRESSURE = {
    "helmholtz": said(
        "The chamber sits where the duct's standing wave has little pressure, and does less there."
    ),
    "quarter_wave": said(
        "The branch sits where the duct's standing wave has little pressure, and does less there."
    ),
}


def _met(given: Mapping[str, Any], outputs: Outputs) -> str:
    """In words: the orders that meet a frequency within the engine's range, the lowest revs first."""
    said: list[tuple[float, str]] = []
    for output, name in (
        ("helmholtz_revs", "chamber"),
        ("quarter_wave_revs", "branch"),
        ("overtone_revs", "overtone"),
    ):
        table = outputs.get(output, {})
        assert isinstance(table, dict)
        for key, speed in table.items():
            if speed >= given["idle_speed"]:
                order = _order(round(2 * float(key)), given["cylinders"])
                said.append((speed, f"{order} at {speed * 30 / pi:.0f} rpm: {name}"))
    return (
        "; ".join(words for _, words in sorted(said))
        or "none of these orders is met between idle and the limiter"
    )


def _order(events: int, cylinders: int) -> str:
    name = f"order {events / 2:g}"
    return {cylinders: f"firing ({name})", 2 * cylinders: f"twice firing ({name})"}.get(events, name)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Frequencies, revs and transmission loss of chamber and branch of one case; SI in, SI out."""
    outputs: Outputs = {}
    if given["idle_speed"] >= given["rev_limit"]:
        raise InputsConflict("idle_speed", "not below rev_limit", "less than rev_limit")
    chamber = given_together(given, _CHAMBER, "the chamber needs all of them")
    branch = given_together(given, _BRANCH, "the branch needs all of them")
    if not chamber and not branch:
        raise MissingInput(
            "chamber_volume",
            "neither a chamber nor a branch",
            "chamber_volume or branch_length",
            help="a chamber with its neck, a blind pipe, or both",
        )
    in_duct = given_together(given, _DUCT, "transmission loss is that of a duct with air in it")
    for name in ("distance_to_mouth", "engine_speed"):
        given_together(given, (name,), "it is about the transmission loss", "duct_diameter")
    sound = outputs["speed_of_sound"] = working.step(
        "speed_of_sound",
        compressible.speed_of_sound,
        source="nasa-sound",
        heat_capacity_ratio=_HEAT_CAPACITY_RATIO,
        gas_constant=_GAS_CONSTANT,
        temperature=given["air_temperature"],
    )
    outputs["firing_order"] = working.step(
        "firing_order", acoustics.order_of_events, source="orders", events=float(given["cylinders"])
    )
    orders = {
        events: working.step(
            f"order_of_{events}", acoustics.order_of_events, source="orders", events=float(events)
        )
        for events in _orders(given)
    }
    mouths = []
    if chamber:
        mouths.append(_chamber(given, sound, orders=orders, working=working, outputs=outputs))
    if branch:
        mouths.append(_branch(given, sound, orders=orders, working=working, outputs=outputs))
    if in_duct:
        for mouth in mouths:
            _kept_back(given, mouth, sound, working=working, outputs=outputs)
    outputs["met"] = _met(given, outputs)
    return outputs


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Orders and resonances; and, in a duct, transmission loss over engine speed."""
    loss = _loss_chart(cases)
    return (_order_chart(cases), loss) if loss else (_order_chart(cases),)


def _limiters(cases: Mapping[str, CaseView]) -> list[Marker]:
    """The limiter, and where the note is heard, as lines upwards."""
    lines = {("limiter", case.inputs["rev_limit"]) for case in cases.values()}
    lines |= {
        ("where it is heard", case.inputs["engine_speed"])
        for case in cases.values()
        if "engine_speed" in case.inputs
    }
    return [Marker(label, x=speed) for label, speed in sorted(lines, key=lambda line: line[1])]


def _loss_chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Transmission loss for the firing order over engine speed."""
    series: list[Series] = []
    for name, case in cases.items():
        for prefix, label in (("helmholtz", "chamber"), ("quarter_wave", "branch")):
            if f"{prefix}_transmission_loss" in case.outputs:
                speeds, losses, spread = _loss_curve(case, prefix)
                series.append(
                    Series(
                        label=f"{label}, {name}" if name else label,
                        x=speeds,
                        y=losses,
                        style=len(series),
                        low=[loss - off for loss, off in zip(losses, spread, strict=True)],
                        high=[loss + off for loss, off in zip(losses, spread, strict=True)],
                    )
                )
    if not series:
        return None
    return ChartSpec(
        title="Transmission loss for the firing order",
        description="Transmission loss of chamber and branch for the sound of firing against engine speed, "
        "for plane waves in a duct from whose ends nothing comes back: a peak where firing meets their "
        "frequency. The band is the doubt of the losses and of the theory; where the peak stands is as sure "
        "as its revs.",
        x=Axis("engine speed", "rotational speed", "rpm"),
        y=Axis("transmission loss", "level difference", "dB", from_zero=True),
        series=tuple(series),
        markers=tuple(_limiters(cases)),
    )


def _loss_curve(case: CaseView, prefix: str) -> tuple[list[float], list[float], list[float]]:
    """Engine speeds from idle to the limiter, the peak among them, the loss at each, and its doubt by the
    losses and by the theory of plane waves, expanded."""
    given, found = case.inputs, case.outputs
    low, high = given["idle_speed"], given["rev_limit"]
    own = found[f"{prefix}_firing_revs"]
    speeds = sorted(
        {low + (high - low) * step / 120 for step in range(121)} | ({own} if low < own < high else set())
    )
    bore, necks = (
        (given["neck_diameter"], given["necks"]) if prefix == "helmholtz" else (given["branch_diameter"], 1)
    )
    shared = {
        "speed_of_sound": found["speed_of_sound"],
        "area_ratio": necks * (bore / given["duct_diameter"]) ** 2,
    }
    resistance = found[f"{prefix}_loss_resistance"]

    def loss(speed: float, resistance: float = resistance) -> float:
        frequency = speed * found["firing_order"] / (2 * pi)
        if prefix == "helmholtz":
            return acoustics.transmission_loss_resonator(
                frequency=frequency,
                resonance=found["helmholtz_frequency"],
                acoustic_length=found["neck_acoustic_length"],
                resistance=resistance,
                **shared,
            )
        return acoustics.transmission_loss_side_branch(
            frequency=frequency,
            acoustic_length=found["branch_acoustic_length"],
            resistance=resistance,
            **shared,
        )

    def spread(speed: float) -> float:
        off = _RESISTANCE.standard(resistance)
        by_losses = (loss(speed, resistance - off) - loss(speed, resistance + off)) / 2
        return 2 * hypot(by_losses, _PLANE_WAVES.standard(loss(speed)))

    return speeds, [loss(speed) for speed in speeds], [spread(speed) for speed in speeds]


def _order_chart(cases: Mapping[str, CaseView]) -> ChartSpec:
    """Frequency of the engine's orders against revs; the resonances of the cases as level lines."""
    first = next(iter(cases.values()))
    cylinders = first.inputs["cylinders"]
    top = max(case.inputs["rev_limit"] for case in cases.values())
    events = _orders(first.inputs)
    if cylinders > 6:
        events = [
            event for event in events if event % 2 == 0
        ]  # half of the orders: more lines than can be told apart
    speeds = [top * step / 24 for step in range(25)]
    series = [
        Series(
            label=_order(event, cylinders),
            x=speeds,
            y=[event / 2 * speed / (2 * pi) for speed in speeds],
            style=style,
        )
        for style, event in enumerate(reversed(events))
    ]
    tones: dict[int, list[str]] = {}
    for name, case in cases.items():
        for output, label in (("helmholtz_frequency", "chamber"), ("quarter_wave_frequency", "branch")):
            if output in case.outputs:
                heard = round(case.outputs[output])  # to a hertz, which is less than lines can be told apart
                tones.setdefault(heard, []).append(f"{label}, {name}" if name else label)
    markers = _limiters(cases) + [
        Marker("; ".join(labels), y=float(heard)) for heard, labels in tones.items()
    ]
    return ChartSpec(
        title="Orders and resonances",
        description="Frequency of the engine's orders against engine speed, straight lines from "
        "zero, and the "
        "frequencies of chamber and branch as level lines: where they cross, the engine plays the note.",
        x=Axis("engine speed", "rotational speed", "rpm", from_zero=True),
        y=Axis("frequency", "frequency", "Hz", from_zero=True),
        series=tuple(series),
        markers=tuple(markers),
    )
