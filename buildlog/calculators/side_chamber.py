"""A chamber or a blind pipe at the side of the intake, and the revs at which the engine plays its note.

A chamber behind a neck swings at one low frequency (Helmholtz). A blind pipe swings where it is a quarter
of a wavelength long, and at three times that. Set into the side of a duct, either takes its note out of
what the mouth lets out, or feeds it, by where on the duct it sits. The block says which revs that concerns.
It does not say how many decibels: that depends on the damping, and is measured.

**The engine's orders.** A four-stroke engine fires each cylinder once in two turns. With even firing the
loudest order is the firing order, cylinders / 2 times a turn, then its double. What differs from cylinder to
cylinder repeats only after two turns, and so the half orders (½, 1, 1½ …) appear with uneven firing,
uneven runners, or a chamber on the runner of one cylinder (order ½). Results are listed by the number of
events in two turns: 1 is order ½, 2 is order 1, and as many as there are cylinders is the firing order.

**Ends.** The air outside an end swings along and makes the neck longer.

| end | adds, in radii of the bore | source |
|---|---|---|
| `flanged`: flush with a wall | 8/(3π) = 0.849; endless wall 0.8217 | Rayleigh (from memory) |
| `free`: stands out as a thin pipe | 0.6133 | Levine and Schwinger, 1948 (from memory) |
| `none`: the length given is the acoustic one | 0 | definition |

A neck between duct and chamber is flanged at both ends if it is cut flush. The wall of a chamber that is
hardly wider than its neck, or of a duct as narrow as the branch, adds less: in the worst case half (common
practice, no source). Air that blows past the mouth shortens the correction too. This is the largest
uncertainty of a short wide neck; give `neck_length` with an uncertainty of a few millimetres to carry it.

**Measuring the inputs.** Fill the chamber with water and weigh it; the volume is that without the neck. The
air in a hot bay is what counts: 10 K are 1.7 % of the frequency. Give temperature, volume and lengths with
their uncertainty (`70 ± 10 °C`); frequencies and revs then carry it.

**What is assumed.** Dry still air, stiff walls (a soft box sounds lower), a neck and a chamber that are
short against the wavelength. The block works out what it costs that the neck is taken as a plug of air; it
says so above 2 %, and refuses above 10 %, where a neck is a pipe.

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
  cylinders: 4
  idle_speed: 900 rpm
  rev_limit: 8000 rpm
cases:
  cold: {air_temperature: 15 °C}
  hot: {air_temperature: 70 ± 5 °C}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, OutOfRange
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
    Whole,
    Working,
    given_together,
)
from buildlog.physics import acoustics, compressible

KIND = "side_chamber"

_BORE = Number(dimension="length", unit="mm", low=2, high=300, why="necks and branches of car intakes")
_REVS = Number(dimension="rotational speed", unit="rpm", low=200, high=25_000, why="piston engines of cars")
_ENDS = {"flanged": "flush with a wall", "free": "stands out as a thin pipe", "none": "no correction"}

INPUTS = (
    Input(
        name="air_temperature",
        form=Number(dimension="temperature", unit="°C", low=-40, high=150, why="air about an engine"),
        about="temperature of the air in chamber, neck and branch",
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
        name="cylinders",
        form=Whole(1, 16, "piston engines of cars"),
        about="cylinders of the four-stroke engine",
    ),
    Input(name="idle_speed", form=_REVS, about="lowest engine speed of interest"),
    Input(name="rev_limit", form=_REVS, about="highest engine speed"),
)

_CHAMBER = ("chamber_volume", "neck_diameter", "neck_length", "inner_end", "outer_end")
_BRANCH = ("branch_length", "branch_diameter", "branch_end")

OUTPUTS = (
    Output(name="speed_of_sound", dimension="speed", unit="m/s", about="speed of sound", decimals=1),
    Output(name="firing_order", dimension="ratio", unit="", about="firings a turn", decimals=1),
    Output(
        name="helmholtz_frequency",
        dimension="frequency",
        unit="Hz",
        about="frequency of the chamber",
        decimals=1,
        needs=_CHAMBER,
    ),
    Output(
        name="lumping_error",
        dimension="ratio",
        unit="%",
        about="error of taking the neck for a plug of air",
        decimals=2,
        needs=_CHAMBER,
    ),
    Output(
        name="neck_acoustic_length",
        dimension="length",
        unit="mm",
        about="neck with its ends",
        decimals=1,
        needs=_CHAMBER,
    ),
    Output(
        name="helmholtz_firing_revs",
        dimension="rotational speed",
        unit="rpm",
        about="revs at which firing meets the chamber",
        decimals=0,
        needs=_CHAMBER,
    ),
    Output(
        name="quarter_wave_frequency",
        dimension="frequency",
        unit="Hz",
        about="frequency of the branch",
        decimals=1,
        needs=_BRANCH,
    ),
    Output(
        name="quarter_wave_overtone",
        dimension="frequency",
        unit="Hz",
        about="first overtone of the branch",
        decimals=1,
        needs=_BRANCH,
    ),
    Output(
        name="quarter_wave_firing_revs",
        dimension="rotational speed",
        unit="rpm",
        about="revs at which firing meets the branch",
        decimals=0,
        needs=_BRANCH,
    ),
    Output(name="met", dimension="text", unit="", about="what is met between idle and the limiter"),
    Output(
        name="helmholtz_revs",
        dimension="rotational speed",
        unit="rpm",
        about="revs at which each order meets the chamber",
        decimals=0,
        key="events in two turns",
        needs=_CHAMBER,
    ),
    Output(
        name="quarter_wave_revs",
        dimension="rotational speed",
        unit="rpm",
        about="revs at which each order meets the branch",
        decimals=0,
        key="events in two turns",
        needs=_BRANCH,
    ),
    Output(
        name="overtone_revs",
        dimension="rotational speed",
        unit="rpm",
        about="revs at which each order meets the overtone",
        decimals=0,
        key="events in two turns",
        needs=_BRANCH,
    ),
)

SOURCES = (
    Source(
        id="naca-1135",
        title="Equations, tables, and charts for compressible flow",
        publisher="NACA",
        edition="Report 1135 (1953)",
        where="eq. 4, speed of sound",
        standing="from memory",
    ),
    Source(
        id="rayleigh",
        title="The Theory of Sound, Lord Rayleigh",
        publisher="Macmillan",
        edition="2nd ed. (1896), vol. 2",
        where="ch. 16 and appendix A",
        standing="from memory",
    ),
    Source(
        id="levine-schwinger",
        title="On the radiation of sound from an unflanged circular pipe",
        publisher="American Physical Society",
        edition="Physical Review 73 (1948) 383–406",
        standing="from memory",
    ),
    Source(
        id="kinsler-frey",
        title="Fundamentals of Acoustics, Kinsler and Frey",
        publisher="Wiley",
        where="ch. 10",
        standing="from memory",
    ),
    Source(id="orders", title="The four-stroke cycle, and geometry", standing="derived"),
)

HAZARDS = ("noise-emissions", "hot-parts")

_HEAT_CAPACITY_RATIO, _GAS_CONSTANT = 1.4, 287.05287
_CORRECTIONS = {
    "flanged": (acoustics.flanged_end_correction, "rayleigh"),
    "free": (acoustics.free_end_correction, "levine-schwinger"),
}


def _end(name: str, kind: str, bore: float, working: Working) -> float:
    if kind == "none":
        return working.step(name, acoustics.no_end_correction, source="orders")
    formula, source = _CORRECTIONS[kind]
    return working.step(name, formula, source=source, diameter=bore)


def _orders(given: Mapping[str, Any]) -> list[int]:
    """Events in two turns that are listed: the half orders up to firing, and twice firing."""
    cylinders: int = given["cylinders"]
    return [*range(1, cylinders + 1), 2 * cylinders]


def _revs(output: str, frequency: float, orders: Mapping[int, float], working: Working) -> dict[str, float]:
    """Revs at which each order has a frequency, by events in two turns."""
    return {
        str(events): working.step(
            f"{output}.{events}", acoustics.revs_of_order, source="orders", frequency=frequency, order=order
        )
        for events, order in orders.items()
    }


def _chamber(
    given: Mapping[str, Any], sound: float, orders: Mapping[int, float], working: Working, outputs: Outputs
) -> None:
    bore = given["neck_diameter"]
    length = outputs["neck_acoustic_length"] = working.step(
        "neck_acoustic_length",
        acoustics.length_with_ends,
        source="rayleigh",
        length=given["neck_length"],
        first_end=_end("inner_end_correction", given["inner_end"], bore, working),
        second_end=_end("outer_end_correction", given["outer_end"], bore, working),
    )
    area = working.step(
        "neck_area", acoustics.neck_area, source="orders", diameter=bore, necks=float(given["necks"])
    )
    frequency = outputs["helmholtz_frequency"] = working.step(
        "helmholtz_frequency",
        acoustics.helmholtz_frequency,
        source="rayleigh",
        speed_of_sound=sound,
        neck_area=area,
        volume=given["chamber_volume"],
        acoustic_length=length,
    )
    error = outputs["lumping_error"] = working.step(
        "lumping_error",
        acoustics.error_of_lumping,
        source="kinsler-frey",
        frequency=frequency,
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
    if error > 0.02:
        working.remark(
            f"The neck is long for a plug of air: the chamber sounds about {error * 100:.0f} % lower."
        )
    size = working.step(
        "chamber_in_wavelengths",
        acoustics.chamber_in_wavelengths,
        source="orders",
        frequency=frequency,
        volume=given["chamber_volume"],
        speed_of_sound=sound,
    )
    if size > 1 / 8:
        working.remark(
            f"The chamber is {size:.2f} of a wavelength across, no longer small: its shape counts, and the "
            "frequency is a rough one."
        )
    outputs["helmholtz_revs"] = _revs("helmholtz_revs", frequency, orders, working)
    outputs["helmholtz_firing_revs"] = working.step(
        "helmholtz_firing_revs",
        acoustics.revs_of_order,
        source="orders",
        frequency=frequency,
        order=orders[given["cylinders"]],
    )


def _branch(
    given: Mapping[str, Any], sound: float, orders: Mapping[int, float], working: Working, outputs: Outputs
) -> None:
    if given["branch_length"] < given["branch_diameter"]:
        raise OutOfRange(
            "branch_length",
            f"{given['branch_length'] * 1000:.0f} mm",
            f"at least its bore, {given['branch_diameter'] * 1000:.0f} mm",
            help="shorter than that it is a dent in the wall: no wave runs along it",
        )
    length = working.step(
        "branch_acoustic_length",
        acoustics.length_with_ends,
        source="rayleigh",
        length=given["branch_length"],
        second_end=0.0,
        first_end=_end("branch_end_correction", given["branch_end"], given["branch_diameter"], working),
    )
    for mode, (name, revs) in enumerate(
        (("quarter_wave_frequency", "quarter_wave_revs"), ("quarter_wave_overtone", "overtone_revs")), start=1
    ):
        frequency = outputs[name] = working.step(
            name,
            acoustics.quarter_wave_frequency,
            source="kinsler-frey",
            speed_of_sound=sound,
            acoustic_length=length,
            mode=float(mode),
        )
        outputs[revs] = _revs(revs, frequency, orders, working)
        if mode == 1:
            outputs["quarter_wave_firing_revs"] = working.step(
                "quarter_wave_firing_revs",
                acoustics.revs_of_order,
                source="orders",
                frequency=frequency,
                order=orders[given["cylinders"]],
            )


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
            if given["idle_speed"] <= speed <= given["rev_limit"]:
                order = _order(int(key), given["cylinders"])
                said.append((speed, f"{order} at {speed * 30 / pi:.0f} rpm: {name}"))
    return (
        "; ".join(words for _, words in sorted(said))
        or "none of these orders is met between idle and the limiter"
    )


def _order(events: int, cylinders: int) -> str:
    name = f"order {events / 2:g}"
    return {cylinders: f"firing ({name})", 2 * cylinders: f"twice firing ({name})"}.get(events, name)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Frequencies of chamber and branch and the revs of one case; SI in, SI out."""
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
    sound = outputs["speed_of_sound"] = working.step(
        "speed_of_sound",
        compressible.speed_of_sound,
        source="naca-1135",
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
    if chamber:
        _chamber(given, sound, orders=orders, working=working, outputs=outputs)
    if branch:
        _branch(given, sound, orders=orders, working=working, outputs=outputs)
    outputs["met"] = _met(given, outputs)
    return outputs


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
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
    markers = [
        Marker(f"{label}, {name}" if name else label, y=case.outputs[output])
        for name, case in cases.items()
        for output, label in (("helmholtz_frequency", "chamber"), ("quarter_wave_frequency", "branch"))
        if output in case.outputs
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
