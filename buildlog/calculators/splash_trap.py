"""A chamber in the intake where air rises slowly enough for splash to fall back, and its drain.

A drop is carried up when the air rises faster than the drop falls through still air. The block gives the
updraught in the chamber, the largest drop that it carries to the filter, what chamber the drops of your
choice need, and the drain for the water that collects.

**The updraught.** It is the engine's air flow over the free cross-section of the chamber where the air
rises, times `peak_over_mean`, because no chamber is filled evenly: a jet from the hose keeps
its speed for several bores. The pulses of the engine, on the other hand, do not count: a drop of 1 mm
answers within v/g = 0.4 s, one of 0.2 mm in 0.07 s, and several pulses pass meanwhile above idle.

| filling of the chamber | highest over mean velocity | source |
|---|---|---|
| ideal, even | 1 | definition |
| developed turbulent flow in a long tube | 1.2–1.25 | one-seventh-power law: 1.22 (from memory) |
| developed laminar flow | 2 | Hagen–Poiseuille |
| hose opening straight into the chamber | 2–4 and more | common practice, no source |

The best value is measured: a small vane or hot-wire anemometer, or smoke in a chamber with a clear
wall.

**The drops.** Terminal velocity by Beard (1976), which follows the flattening of large drops, within
about 2 % of measured values from 0.3 mm up; the air is taken as dry, which changes it by less than 1 %.
Rain has drops of 0.5 to 5 mm, spray from a tyre 0.05 to 1 mm (common practice, no source). A chamber with 2
to 4 m/s catches splash and large rain; spray under 0.5 to 1 mm still passes (common practice, no source),
and only the filter or a sharp turn stops it. Drops that hit a wall run as a film, which a lip has to stop.
If the air crosses the chamber level instead of rising, the same areas hold for its floor: a drop has to
reach the floor before the air reaches the far end.

**How sure it is.** The fall of a drop is off by up to 2.5 % from 0.3 mm up and 10 % below, against the
measurements of Gunn and Kinzer; a `peak_over_mean` without ± may be 30 % either way, a discharge
coefficient 5 %, and what a skin of water holds by half. A drop whose ratio is 1 within its uncertainty is
too close to call.

**The drain.** A hole passes C_d A √(2 g h). The chamber is below ambient by the loss ahead of it, and
this suction holds up water: 500 Pa are 51 mm. `chamber_suction` takes it off the head; when it is more
than the head, nothing drains while the engine pulls, and the hole draws in air instead: `head_left` is then
below 0, and no hole is large enough. A skin of
water can close a small hole, and dirt does so sooner: under about 6 mm a hole needs a look after every wet
run (common practice, no source).

| hole | discharge coefficient | source |
|---|---|---|
| sharp-edged, in thin sheet | 0.60–0.62 | Encyclopædia Britannica, 11th ed. (1911), Hydraulics, § 18 |
| short tube outwards, from 1.5 bores long, running full | 0.82 | the same, § 49 |
| tube reaching inwards | 0.51–0.55 | the same, § 37: Borda, Weisbach, Bidone |
| smooth, well-rounded | 0.97 | the same, § 51 |

```yaml
id: box-trap
kind: splash_trap
inputs:
  air_flow: 0.11 m³/s
  peak_over_mean: 1.5
  air_temperature: 15 °C
  air_pressure: 985 hPa
  drop: [0.5 mm, 1 mm, 2 mm]
  water_flow: 0.5 l/min
  drain_head: 90 mm
  chamber_suction: 400 Pa
  discharge_coefficient: 0.61
cases:
  small: {chamber_area: 300 cm²}
  large: {chamber_area: 520 cm²}
```
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Doubt,
    Input,
    Listed,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Working,
)
from buildlog.kinds.keys import value_keys
from buildlog.physics import air, drain, drops, scoop
from buildlog.said import said

KIND = "splash_trap"

_FILLING = Doubt(
    name="filling",
    about="an unevenness of the flow that was not measured",
    source="filling",
    relative=0.3,
    limits=True,
)
_HOLE = Doubt(
    name="discharge_coefficient",
    about="a discharge coefficient from a table, of a hole that is clean and cut true",
    source="unwin",
    relative=0.05,
)
_FALL = Doubt(
    name="fall_of_a_drop",
    about="Beard's fall of a drop, against what was measured",
    source="gunn-kinzer",
    relative=0.025,
    range="drops from 0.3 mm",
    formula="beard",
)
_FALL_OF_SPRAY = Doubt(
    name="fall_of_spray",
    about="Beard's fall of a small drop, where the measurements differ from each other",
    source="gunn-kinzer",
    relative=0.10,
    range="drops below 0.3 mm",
    formula="beard",
)
_SKIN = Doubt(
    name="skin_over_a_hole",
    about="a skin of clean water that stands as a half sphere; soap and oil halve it, wetting spreads it",
    source="skin",
    relative=0.5,
    range="clean edges of a hole",
    formula="hydrostatics",
)

INPUTS = (
    Input(
        name="air_flow",
        form=Number(
            dimension="volume flow", unit="m³/s", low=0.001, high=1, why="idle of a small engine to 1000 kW"
        ),
        about="air that rises through the chamber",
    ),
    Input(
        name="chamber_area",
        form=Number(dimension="area", unit="cm²", low=5, high=5000, why="chambers that fit into a car"),
        about="free cross-section where the air rises; or give chamber_diameter",
        required=False,
    ),
    Input(
        name="chamber_diameter",
        form=Number(dimension="length", unit="mm", low=25, high=800, why="chambers that fit into a car"),
        about="diameter of a round chamber, instead of chamber_area",
        required=False,
    ),
    Input(
        name="peak_over_mean",
        form=Number(dimension="ratio", unit="", low=1, high=10, why="from even filling to a free jet"),
        about="highest over mean velocity in that cross-section",
        doubt=_FILLING,
    ),
    Input(
        name="air_temperature",
        form=Number(
            dimension="temperature", unit="°C", low=0, high=40, why="liquid water; range of the formulae"
        ),
        about="temperature of air and water",
    ),
    Input(
        name="air_pressure",
        form=Number(
            dimension="pressure", unit="hPa", low=450, high=1085, why="lowest to highest on any road"
        ),
        about="absolute pressure in the chamber",
    ),
    Input(
        name="drop",
        form=Listed(
            Number(dimension="length", unit="mm", low=0.05, high=7, why="from fog to where drops break up"),
            1,
            12,
        ),
        about="drop diameters of interest",
    ),
    Input(
        name="discharge_coefficient",
        form=Number(dimension="ratio", unit="", low=0.3, high=1, why="holes and short tubes"),
        about="of the drain hole; needed for the drain",
        required=False,
        doubt=_HOLE,
    ),
    Input(
        name="drain_head",
        form=Number(dimension="length", unit="mm", low=5, high=1000, why="chambers that fit into a car"),
        about="height of the water above the drain's outlet",
        required=False,
    ),
    Input(
        name="chamber_suction",
        form=Number(
            dimension="pressure",
            unit="Pa",
            low=-5000,
            high=20_000,
            why="a choked intake is about 10 kPa below, and ram brings no more than some kPa",
        ),
        about="pressure in the chamber below that at the drain's end; below 0 where it is above",
        required=False,
    ),
    Input(
        name="water_flow",
        form=Number(dimension="volume flow", unit="l/min", low=0.001, high=200, why="spray to a ford"),
        about="water that has to drain",
        required=False,
    ),
    Input(
        name="drain_diameter",
        form=Number(dimension="length", unit="mm", low=1, high=60, why="holes and hoses"),
        about="bore of a drain that is there",
        required=False,
    ),
)

_DRAIN = ("discharge_coefficient", "drain_head", "chamber_suction")
OUTPUTS = (
    Output(
        name="mean_updraught",
        title="mean updraught in the chamber",
        dimension="speed",
        unit="m/s",
        about="air flow over its area",
        decimals=2,
    ),
    Output(
        name="updraught",
        title="highest updraught in the chamber",
        dimension="speed",
        unit="m/s",
        about="of the rising air",
        decimals=2,
    ),
    Output(
        name="largest_drop_carried",
        title="largest drop carried up",
        dimension="length",
        unit="mm",
        about="just hangs; smaller ones are carried up",
        decimals=2,
    ),
    Output(
        name="carried",
        title="drops carried to the filter",
        dimension="text",
        unit="",
    ),
    Output(
        name="terminal_velocity",
        title="terminal velocity of the drop",
        dimension="speed",
        unit="m/s",
        about="through still air",
        decimals=2,
        key="drop",
    ),
    Output(
        name="carrying_ratio",
        title="ratio of the updraught to the drop's fall",
        dimension="ratio",
        unit="",
        about="above 1 the drop is carried",
        decimals=2,
        key="drop",
    ),
    Output(
        name="area_needed",
        title="chamber area that holds the drop back",
        dimension="area",
        unit="cm²",
        about="chamber area that holds the drop back",
        decimals=0,
        key="drop",
    ),
    Output(
        name="head_left",
        title="head of water left on the drain",
        dimension="length",
        unit="mm",
        about="what the suction leaves",
        decimals=1,
        needs=_DRAIN,
    ),
    Output(
        name="drain_diameter_needed",
        title="drain diameter for the water flow",
        dimension="length",
        unit="mm",
        decimals=1,
        needs=(*_DRAIN, "water_flow"),
    ),
    Output(
        name="drain_flow",
        title="water flow of the drain",
        dimension="volume flow",
        unit="l/min",
        about="what the drain that is there passes",
        decimals=2,
        needs=(*_DRAIN, "drain_diameter"),
    ),
    Output(
        name="capillary_head",
        title="capillary head at the drain hole",
        dimension="length",
        unit="mm",
        about="that a skin over it can hold back",
        decimals=1,
        needs=_DRAIN,
    ),
)

SOURCES = (
    Source(id="continuity", title="Continuity", standing="derived"),
    Source(
        id="us-1976",
        title="U.S. Standard Atmosphere, 1976",
        publisher="NOAA, NASA, USAF",
        edition="NOAA-S/T 76-1562",
        where="eq. 51, viscosity; gas constant of air, as the source code of poliastro has them "
        "(atmosphere/coesa76.py, read)",
    ),
    Source(
        id="beard",
        title="Terminal velocity and shape of cloud and precipitation drops aloft",
        publisher="K. V. Beard",
        edition="J. Atmos. Sci. 33 (1976) 851–864",
        where="regimes 2 and 3; coefficients as in several public codes",
    ),
    Source(
        id="gunn-kinzer",
        title="The terminal velocity of fall for water droplets in stagnant air, R. Gunn and G. D. Kinzer",
        publisher="American Meteorological Society",
        edition="J. Meteorology 6 (1949) 243–248",
        where="table of 35 drops, as several public codes carry it; against Beard in the tests",
    ),
    Source(
        id="filling",
        title="How unevenly a chamber is filled, as listed on this page",
        standing="common practice, no source",
    ),
    Source(
        id="skin",
        title="What a skin of water over a hole holds",
        standing="common practice, no source",
    ),
    Source(
        id="tanaka",
        title="Recommended table for the density of water",
        publisher="M. Tanaka et al.",
        edition="Metrologia 38 (2001) 301–309",
        where="p. 305, the fit, as the source code of fluxr quotes it (R/h2odensity.R, read)",
    ),
    Source(
        id="iapws-surface",
        title="R1-76 (2014), Surface Tension of Ordinary Water Substance",
        publisher="IAPWS",
        edition="2014",
        where="eq. 1, as the source code of LibIAPWS has it (include/LibIAPWS76.h, read)",
    ),
    Source(
        id="unwin",
        title="Encyclopædia Britannica, article Hydraulics (W. C. Unwin)",
        publisher="Cambridge University Press",
        edition="11th ed. (1911), vol. 14",
        where="§§ 17, 18, 37, 49, 51",
    ),
    Source(
        id="hydrostatics", title="Hydrostatics and the pressure under a curved surface", standing="derived"
    ),
)

DOUBTS = (_FALL, _FALL_OF_SPRAY, _SKIN)

HAZARDS = ("intake-water", "road-testing")

_SPRAY = 0.3e-3
_SMALL_HOLE = 6e-3


def _chamber(given: Mapping[str, Any], working: Working, outputs: Outputs) -> tuple[float, float]:
    """Area of the chamber and the highest velocity in it."""
    if "chamber_area" not in given and "chamber_diameter" not in given:
        raise MissingInput("chamber_area", "neither chamber_area nor chamber_diameter", "one of them")
    if "chamber_area" in given and "chamber_diameter" in given:
        raise InputsConflict(
            "chamber_diameter", "chamber_area as well", "one of the two", help="leave one out"
        )
    area = given.get("chamber_area")
    if area is None:
        area = working.step(
            "chamber_area", scoop.circle_area, source="continuity", diameter=given["chamber_diameter"]
        )
    mean = outputs["mean_updraught"] = working.step(
        "mean_updraught", scoop.mean_velocity, source="continuity", volume_flow=given["air_flow"], area=area
    )
    highest = outputs["updraught"] = working.step(
        "updraught",
        scoop.highest_velocity,
        source="continuity",
        mean_velocity=mean,
        peak_over_mean=given["peak_over_mean"],
    )
    return area, highest


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Updraught, the drops it carries, the areas they need and the drain of one case; SI in, SI out."""
    outputs: Outputs = {}
    area, updraught = _chamber(given, working, outputs)
    temperature = given["air_temperature"]
    state = {
        "air_density": working.step(
            "air_density",
            air.dry_air_density,
            source="us-1976",
            pressure=given["air_pressure"],
            temperature=temperature,
        ),
        "dynamic_viscosity": working.step(
            "dynamic_viscosity", air.dynamic_viscosity, source="us-1976", temperature=temperature
        ),
        "water_density": working.step(
            "water_density", drops.water_density, source="tanaka", temperature=temperature
        ),
        "surface_tension": working.step(
            "surface_tension", drops.surface_tension, source="iapws-surface", temperature=temperature
        ),
    }
    summary = _limit(updraught, state, working, outputs)
    falls: dict[str, float] = {}
    ratios: dict[str, float] = {}
    areas: dict[str, float] = {}
    for key, diameter in zip(value_keys("drop", given["drop"]), given["drop"], strict=True):
        fall = falls[key] = _fall(key, diameter, state, working)
        ratio = ratios[key] = working.step(
            f"carrying_ratio.{key}",
            scoop.velocity_ratio,
            source="continuity",
            velocity=updraught,
            reference_velocity=fall,
        )
        areas[key] = working.step(
            f"area_needed.{key}", scoop.area_scaled, source="continuity", area=area, velocity_ratio=ratio
        )
        summary.append(f"{diameter * 1000:g} mm {'is carried' if ratio > 1 else 'falls back'}")
    outputs.update(terminal_velocity=falls, carrying_ratio=ratios, area_needed=areas)
    outputs["carried"] = "; ".join(summary)
    _drain(given, state, working, outputs)
    return outputs


def _fall(key: str, diameter: float, state: dict[str, float], working: Working) -> float:
    """Terminal velocity of one drop, by Beard's formula for its size."""
    if diameter < drops.SPHERICAL:
        round_state = {name: value for name, value in state.items() if name != "surface_tension"}
        reynolds = working.step(
            f"reynolds_number.{key}",
            drops.reynolds_number_of_round_drop,
            source="beard",
            diameter=diameter,
            **round_state,
        )
    else:
        reynolds = working.step(
            f"reynolds_number.{key}",
            drops.reynolds_number_of_flattened_drop,
            source="beard",
            diameter=diameter,
            **state,
        )
    return working.step(
        f"terminal_velocity.{key}",
        drops.velocity_of_drop,
        source=_FALL if diameter >= _SPRAY else _FALL_OF_SPRAY,
        reynolds_number=reynolds,
        diameter=diameter,
        air_density=state["air_density"],
        dynamic_viscosity=state["dynamic_viscosity"],
    )


def _limit(updraught: float, state: dict[str, float], working: Working, outputs: Outputs) -> list[str]:
    """The drop that just hangs; in words where every drop is carried, or only fog."""
    try:
        # A drop falls faster or more slowly than the formula: the air that carries it is that much faster.
        equal = updraught / working.factor(_FALL)
        limit = outputs["largest_drop_carried"] = working.step(
            "largest_drop_carried", drops.largest_drop_carried, source="beard", updraught=equal, **state
        )
    except NoSolution as none:
        working.remark(said("There is no largest drop carried: {help}.", help=said(none.help)))
        return [none.help]
    return [f"drops up to {limit * 1000:.2f} mm are carried"]


def _drain_given(given: Mapping[str, Any]) -> bool:
    """Whether there is a drain; a part of one is refused."""
    sizes = [name for name in ("water_flow", "drain_diameter") if name in given]
    named = [name for name in (*_DRAIN, *sizes) if name in given]
    if not named:
        return False
    if not sizes:
        raise MissingInput("water_flow", f"{named[0]} without it", "water_flow, or drain_diameter, or both")
    for name in _DRAIN:
        if name not in given:
            help = "write 0 Pa if the chamber is at ambient pressure" if name == "chamber_suction" else ""
            raise MissingInput(name, f"{sizes[0]} without {name}", "it", help=help)
    return True


def _drain(given: Mapping[str, Any], state: Mapping[str, float], working: Working, outputs: Outputs) -> None:
    """The drain, where it is given."""
    if not _drain_given(given):
        return
    head = outputs["head_left"] = working.step(
        "head_left",
        drain.head_left,
        source="hydrostatics",
        drain_head=given["drain_head"],
        chamber_suction=given["chamber_suction"],
        water_density=state["water_density"],
    )
    coefficient = given["discharge_coefficient"]
    bore: float = given.get("drain_diameter", 0.0)
    working.limit(
        "head_left",
        least=0.0,
        says=said(
            "The suction [may hold|holds] up all of the water: the chamber then drains only when the engine "
            "slows. Raise the head, or lower the suction."
        ),
    )
    if "water_flow" in given and head > 0:
        needed = outputs["drain_diameter_needed"] = working.step(
            "drain_diameter_needed",
            drain.drain_diameter,
            source="unwin",
            volume_flow=given["water_flow"],
            discharge_coefficient=coefficient,
            head=head,
        )
        if "drain_diameter" not in given:
            bore = needed
        else:
            working.limit(
                "drain_diameter_needed",
                most=bore,
                says=said(
                    "The drain that is there [may be|is] smaller than water_flow needs: the chamber fills."
                ),
            )
    if "drain_diameter" in given:
        outputs["drain_flow"] = working.step(
            "drain_flow",
            drain.drain_flow,
            source="unwin",
            discharge_coefficient=coefficient,
            diameter=given["drain_diameter"],
            head=head,
        )
    if not bore:  # no hole is large enough against that suction
        return
    outputs["capillary_head"] = working.step(
        "capillary_head",
        drain.capillary_head,
        source=_SKIN,
        surface_tension=state["surface_tension"],
        water_density=state["water_density"],
        diameter=bore,
    )
    if head > 0:
        working.limit(
            "capillary_head",
            most=head,
            says=said(
                "A skin of water over the drain [may hold|holds] back the whole head: make the hole larger."
            ),
        )
    if bore < _SMALL_HOLE:
        working.remark(said("A drain under 6 mm is closed by dirt: look at it after every wet run."))


def conclude(given: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, str]:
    """Which drops are carried, where the uncertainty leaves that open."""
    words = [str(values["carried"]).split("; ")[0]]
    ratios = values["carrying_ratio"]
    for diameter, ratio in zip(given["drop"], ratios.values(), strict=True):
        if abs(ratio.si - 1) < ratio.expanded_uncertainty:
            verdict = "is too close to call"
        else:
            verdict = "is carried" if ratio.si > 1 else "falls back"
        words.append(f"{diameter * 1000:g} mm {verdict}")
    return {"carried": "; ".join(words)}


def chart(cases: Mapping[str, CaseView]) -> ChartSpec | None:
    """Fall of drops against their diameter, and the updraught of each case as a level line."""
    series: list[Series] = []
    seen: set[tuple[float, float]] = set()
    markers: list[Marker] = []
    bands: list[Series] = []
    for name, case in cases.items():
        pressure, temperature = case.inputs["air_pressure"], case.inputs["air_temperature"]
        updraught, sure = case.outputs["updraught"], case.uncertainty("updraught")
        markers.append(Marker(f"updraught, {name}" if name else "updraught", y=updraught))
        if sure:
            bands.append(
                Series(
                    label=f"± U, {name}" if name else "± U",
                    x=[0.0, 6e-3],
                    y=[updraught] * 2,
                    low=[updraught - sure] * 2,
                    high=[updraught + sure] * 2,
                    style=len(bands) + 2,
                )
            )
        if (pressure, temperature) in seen:
            continue
        label = f"fall of a drop, {name}" if name and seen else "fall of a drop"
        seen.add((pressure, temperature))
        sizes = [drops.SMALLEST + (6e-3 - drops.SMALLEST) * step / 90 for step in range(91)]
        state = (
            air.dry_air_density(pressure, temperature),
            air.dynamic_viscosity(temperature),
            drops.water_density(temperature),
            drops.surface_tension(temperature),
        )
        falls = [drops.terminal_velocity(size, *state) for size in sizes]
        series.append(Series(label=label, x=sizes, y=falls, style=len(series)))
    return ChartSpec(
        title="Drops and updraught",
        description="How fast drops fall through still air against their diameter, and the "
        "updraught in the chamber as "
        "a level line: drops whose curve lies below the line are carried to the filter.",
        x=Axis("drop diameter", "length", "mm", from_zero=True),
        y=Axis("velocity", "speed", "m/s", from_zero=True),
        series=(*series, *bands)[:8],
        markers=tuple(markers),
    )
