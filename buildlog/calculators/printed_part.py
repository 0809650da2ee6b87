"""A part printed of filament: whether it softens where it sits, what it weighs, what its inserts want.

**What it is for** comes first (`duty`). Whatever holds a person, a wheel, a brake or the steering, and
whatever has fuel or pressure in it, is refused: that is licensed practice, and no sum changes it.

**The plastic.** Nobody's filament is the family's. Data sheets of one family differ by ten kelvins and more,
and the block takes the middle of those below with all of their spread, as limits. Give what the maker's own
sheet says (`deflection_temperature_b`, `_a` and the rest) and the spread is gone: it counts then with 3 K
unless you write its ±. °C, from the lowest sheet to the highest:

| `material` | glass transition | HDT at 0.45 MPa | HDT at 1.8 MPa | Vicat (ISO 306) | density, kg/m³ |
|---|---|---|---|---|---|
| PLA | 60–63 | 53–60 | 51–58 | 54–63 | 1170–1310 |
| PETG | 65.5–81 | 68–78 | 62–75 | 70–84 | 1250–1290 |
| ABS | 101–105 | 87–100 | 75–98.2 | 97.4–104 | 1050–1120 |
| ASA | 97.8–100 | 90–103 | 78–100.2 | 105–105.3 | 1050–1130 |
| PC, mostly blends | 113–150 | 110–138 | 99–127 | 116–120 | 1190–1220 |
| PA, unfilled, dry | 55–66 | 111–170 | 55–85 | 107–127 | 1120–1140 |
| PA-CF | 45–70 | 128–215 | 91–196 | 165–221 | 1060–1203 |
| PP | −15 to −5 | 80–110 | 65–73 | 142–152 | 900–910 |

The sources are those of data sheets below. Of PA at 1.8 MPa and its Vicat there is one sheet, 70 °C and
117 °C, and of PP's Vicat and glass transition one each, 152 °C and −10 °C: the rest of those four spreads is
common practice, no source. Polyamide is told dry; in a damp car it is softer.

**Where it softens.** The heat deflection temperature (HDT) is where a bar under a stated bending stress has
sagged by a stated amount while it is warmed by two kelvins a minute. A part with no load but its own counts
by that at 0.45 MPa, and so does one under a `stress` up to there; up to 1.8 MPa it is the other one, with
nothing between, since the curve between is the material's own; beyond, it is refused. The test takes minutes
and your summer takes years: keep a margin, 20 K where a load stays (common practice, no source). The Vicat
temperature is where a needle goes in: screw heads and clips.

**Where it sits.** `place_temperature`, as you state it or as the address of another block's temperature (that
of a `heat_shield`, say), or a `log` with the channel `temperature` and a `hold_time`: then the highest
temperature counts that was held as long without a break, and not a spike. With `sun` the block compares with
a parked car's as well:

| `sun` | what was measured | source |
|---|---|---|
| `cabin` | air 68 °C on average, 76 °C at most, clear days of a summer in Georgia | Grundstein, 2009 |
| `dashboard` | 89 °C at most in Arizona; close to 100 °C in Iraq | Vanos, 2018; Aljubury, 2015 |

Of what is under a bonnet after the engine stops no open measurement was found: log it, and begin before you
stop.

**Under load** plastics creep. Specimens under 10 to 20 MPa, held for three hours, were whole at 40 °C; at 60
°C all but PC and nylon broke, PLA under 10 MPa and ABS in minutes under 20 (Dogan, 2022). So a stress that
stays (`load: sustained`) may be a quarter of the strength, one that passes a half (common practice, no
source), and a part above its glass transition is told. `tensile_strength` is that of the sheet along the
layers (X-Y). Pulled `across` them it has the share below, unless `layer_strength` says the sheet's own (Z):

| | PLA | PETG | ABS | ASA | PC | PA | PA-CF | PP |
|---|---|---|---|---|---|---|---|---|
| least | 0.30 | 0.38 | 0.12 | 0.73 | 0.33 | 0.40 | 0.18 | 0.5 |
| most | 0.79 | 0.88 | 0.90 | 0.86 | 0.78 | 0.65 | 0.65 | 1 |

The spread is real: it is the printer's, and that day's. PP is one sheet (1.0) and common practice.

**Mass by infill.** A `box` and a `cylinder` that stand upright are counted exactly, by walls (`perimeters` ×
`line_width`), full layers and the `infill`'s share of the rest. Of any other part the drawing program tells
`volume`; `side_area` is its upright surface, `flat_area` what faces up or down, both together. Walls and
layers then overlap at the edges, so that what the infill fills counts with 5 %. The printer is taken to push
out what it is told, within 5 % (common practice, no source): weigh a cube. Supports, brims and spoilt prints
are not in it, and no time is told: it is the machine's.

**Shrinkage.** A `critical_length` comes out shorter by the shrinkage, and `scale` is what to enlarge by.
Print a bar of 100 mm and measure it: the table is for want of that. PLA 0.1–0.5 %, PETG 0.2–0.6 %, ABS
0.4–0.9 %, ASA 0.4–0.7 %, PC 0.6–0.9 %, PA 0.5–2 %, PA-CF 0.1–0.5 %, PP 1.2–2 % (moulders' and printers'
pages: common practice).

**Inserts.** Holes for heat-set inserts are those of a supplier's chart, M3 4.0 mm, M4 5.6, M5 6.4, M6 8.0,
+0.1. About them the block wants half the insert's outside as plastic, and 1 mm below (common practice, no
source). What they hold against being pulled out is not told: no source was found for printed holes. Pull one
of yours.

```yaml
id: hose-clip
kind: printed_part
inputs:
  duty: holder
  material: ASA
  place_temperature: 68 ± 4 °C
  sun: cabin
  load: sustained
  stress: 0.4 ± 0.1 MPa
  load_direction: along
  tensile_strength: 38.6 ± 1 MPa
  shape: box
  length: 60 mm
  width: 24 mm
  height: 18 mm
  perimeters: 3
  line_width: 0.45 mm
  layer_height: 0.2 mm
  bottom_layers: 4
  top_layers: 5
  filament_diameter: 1.75 mm
  currency: EUR
  filament_price: 28 EUR/kg
  critical_length: 60 mm
  inserts:
    - {name: screw, thread: M4, wall: 4 mm, length: 8 mm}
cases:
  light: {infill: 20 %}
  full: {infill: 100 %}
  petg: {infill: 20 %, material: PETG, tensile_strength: 50.8 ± 1 MPa}
```
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from buildlog.diagnostics import InputsConflict, MissingInput
from buildlog.kinds.declaration import (
    Axis,
    CaseView,
    ChartSpec,
    Choice,
    Doubt,
    Input,
    LogChannel,
    Logged,
    Marker,
    Number,
    Output,
    Outputs,
    Series,
    Source,
    Table,
    Text,
    Whole,
    Working,
    given_together,
)
from buildlog.kinds.duty import duty_input, refuse_duty
from buildlog.kinds.keys import row_keys
from buildlog.kinds.logs import Log
from buildlog.kinds.money import CURRENCIES
from buildlog.physics import held, plastics, printing
from buildlog.said import listed, said

KIND = "printed_part"

_OTHER = "other"

_SHEET = Doubt(
    name="data_sheet",
    about="a temperature of a data sheet that says no ±",
    source="practice",
    absolute=3.0,
    limits=True,
    unit="K",
)
_PLACE = Doubt(
    name="place_temperature",
    about="a temperature of a place that nobody logged",
    source="practice",
    absolute=5.0,
    limits=True,
    unit="K",
)
_READING = Doubt(
    name="logged_temperature",
    about="of a logged thermometer that was not compared with a better one",
    source="iec-60584",
    absolute=1.5,
    limits=True,
    unit="K",
)
_FAMILY = Doubt(
    name="family_of_plastic",
    about="temperatures of a family of filament, from the lowest data sheet to the highest",
    source="data-sheets",
    absolute=10.0,
    limits=True,
    unit="K",
    words=said("half of the spread in the table"),
)
_DENSITY = Doubt(
    name="density_of_plastic",
    about="density of a family of filament, from the lowest data sheet to the highest",
    source="data-sheets",
    relative=0.05,
    limits=True,
    words=said("half of the spread in the table"),
)
_LAYERS = Doubt(
    name="layer_strength",
    about="strength across the layers, from the weakest print that was published to the strongest",
    source="data-sheets",
    relative=0.3,
    limits=True,
    words=said("half of the spread in the table"),
)
_SHRINKAGE = Doubt(
    name="shrinkage_of_plastic",
    about="shrinkage of a family of filament, from the least to the most",
    source="shrinkage",
    relative=0.5,
    limits=True,
    words=said("half of the spread in the text"),
)
_SOAK = Doubt(
    name="parked_in_the_sun",
    about="hottest measured, from one clear summer's to another's",
    source="parked-cars",
    absolute=5.5,
    limits=True,
    unit="K",
    words=said("half of the spread in the table"),
)
_FLOW = Doubt(
    name="flow_of_plastic",
    about="plastic that a printer pushes out, over what it is told",
    source="practice",
    formula="geometry",
    relative=0.05,
    range="a printer whose flow was set by a cube",
)
_EDGES = Doubt(
    name="edges_of_shells",
    about="what the infill fills, by surface: walls and full layers overlap at the edges",
    source="practice",
    formula="geometry",
    relative=0.05,
    limits=True,
    range="parts thicker than four walls",
)

_SIZE = Number(dimension="length", unit="mm", low=0.5, high=2000, why="printers of any size")
_AREA = Number(dimension="area", unit="cm²", low=0, high=100_000, why="printers of any size")
_HOT = Number(dimension="temperature", unit="°C", low=20, high=350, why="filament for printers")


def _optional(name: str, form: Number, about: str, *, title: str = "", doubt: Doubt | None = None) -> Input:
    return Input(name=name, form=form, about=about, title=title, doubt=doubt, required=False)


INPUTS = (
    duty_input(
        {
            "cover": "covers or guides; if it comes off, nobody is hurt and nothing fails",
            "holder": "holds something light that may fall without harm",
            "intake": "stands in air that an engine breathes, so that what breaks off may be swallowed",
        }
    ),
    Input(
        name="material",
        form=Choice(
            {
                **{name: plastic.words for name, plastic in plastics.PLASTICS.items()},
                _OTHER: "any other; give both deflection temperatures, glass transition and density",
            }
        ),
        about="family of the filament",
    ),
    _optional(
        "deflection_temperature_b",
        _HOT,
        "by the maker's data sheet, ISO 75 method B, instead of the table's",
        title="heat deflection temperature at 0.45 MPa",
        doubt=_SHEET,
    ),
    _optional(
        "deflection_temperature_a",
        _HOT,
        "by the maker's data sheet, ISO 75 method A, instead of the table's",
        title="heat deflection temperature at 1.8 MPa",
        doubt=_SHEET,
    ),
    _optional(
        "vicat_temperature",
        _HOT,
        "by the maker's data sheet, ISO 306, instead of the table's",
        title="Vicat softening temperature",
        doubt=_SHEET,
    ),
    _optional(
        "glass_transition",
        Number(dimension="temperature", unit="°C", low=-50, high=250, why="filament for printers"),
        "by the maker's data sheet, instead of the table's",
        title="glass transition temperature",
        doubt=_SHEET,
    ),
    _optional(
        "density",
        Number(dimension="density", unit="kg/m³", low=800, high=2500, why="plastics, filled or not"),
        "of the plastic, instead of the table's",
    ),
    _optional(
        "place_temperature",
        Number(dimension="temperature", unit="°C", low=-40, high=300, why="places on a car"),
        "hottest that the part gets where it sits; or a log",
        doubt=_PLACE,
    ),
    Input(
        name="log",
        form=Logged(
            channels=(
                LogChannel(
                    name="temperature", dimension="temperature", unit="°C", about="at the part, in its place"
                ),
            )
        ),
        about="of the temperature at the part, instead of place_temperature",
        required=False,
    ),
    _optional(
        "hold_time",
        Number(dimension="time", unit="s", low=1, high=100_000, why="longer than a spike"),
        "how long a temperature of the log is held to count: as long as the part takes to warm through",
    ),
    Input(
        name="sun",
        title="place in a car parked in the sun",
        form=Choice(
            {
                "cabin": "in the air of the cabin",
                "dashboard": "on the dashboard, or behind glass",
            }
        ),
        about="where in a parked car it sits, to compare with what was measured there",
        required=False,
    ),
    Input(
        name="load",
        form=Choice(
            {
                "none": "its own weight alone",
                "passing": "a load that comes and goes",
                "sustained": "a load that stays: a clamp, a clip, a screw that is tight",
            }
        ),
        about="how it is loaded",
    ),
    _optional(
        "stress",
        Number(dimension="pressure", unit="MPa", low=0, high=50, why="plastics"),
        "greatest bending or tensile stress in the part, with a load",
    ),
    Input(
        name="load_direction",
        form=Choice(
            {
                "along": "the load is carried along the layers",
                "across": "it pulls the layers apart",
            }
        ),
        about="how the load runs to the layers",
        required=False,
    ),
    _optional(
        "tensile_strength",
        Number(dimension="pressure", unit="MPa", low=1, high=300, why="plastics"),
        "along the layers, by the maker's data sheet (X-Y, ISO 527)",
    ),
    _optional(
        "layer_strength",
        Number(dimension="pressure", unit="MPa", low=0.5, high=300, why="plastics"),
        "across the layers, by the maker's data sheet (Z) or your own pull, instead of the table's share",
    ),
    Input(
        name="shape",
        form=Choice(
            {
                "box": "a box that stands upright: length, width, height",
                "cylinder": "a cylinder that stands upright: diameter, height",
                "given": "any other: volume, side_area, flat_area",
            }
        ),
        about="how its volume is told; the mass is left out without it",
        required=False,
    ),
    _optional("length", _SIZE, "of a box"),
    _optional("width", _SIZE, "of a box"),
    _optional("height", _SIZE, "of a box or a cylinder, as it stands on the printer's bed"),
    _optional("diameter", _SIZE, "of a cylinder"),
    _optional(
        "volume",
        Number(dimension="volume", unit="cm³", low=0.01, high=100_000, why="printers of any size"),
        "of the part as drawn, by the drawing program",
    ),
    _optional("side_area", _AREA, "its upright surface, inside of holes as well"),
    _optional("flat_area", _AREA, "its surface that faces up or down, both together"),
    Input(
        name="perimeters",
        form=Whole(0, 100, why="walls of prints"),
        about="lines beside each other in a wall",
        required=False,
    ),
    _optional(
        "line_width",
        Number(dimension="length", unit="mm", low=0.1, high=3, why="nozzles"),
        "width of a line",
    ),
    _optional(
        "layer_height",
        Number(dimension="length", unit="mm", low=0.02, high=2, why="nozzles"),
        "height of a layer",
    ),
    Input(
        name="bottom_layers",
        form=Whole(0, 1000, why="prints"),
        about="full layers at the bottom",
        required=False,
    ),
    Input(name="top_layers", form=Whole(0, 1000, why="prints"), about="full layers on top", required=False),
    _optional(
        "infill",
        Number(dimension="ratio", unit="%", low=0, high=100, why="empty to full"),
        "share of the rest that is filled",
    ),
    _optional(
        "filament_diameter",
        Number(dimension="length", unit="mm", low=1, high=3.5, why="filament as it is sold"),
        "diameter of the filament",
    ),
    Input(name="currency", form=Choice(CURRENCIES), about="currency of the price (ISO 4217)", required=False),
    _optional(
        "filament_price",
        Number(dimension="money per mass", unit="", low=0, high=100_000, why="filament as it is sold"),
        "price of the filament by mass",
    ),
    _optional("critical_length", _SIZE, "a length that has to fit, as drawn"),
    _optional(
        "shrinkage",
        Number(dimension="ratio", unit="%", low=0, high=10, why="plastics"),
        "of a bar of your own, instead of the table's",
    ),
    Input(
        name="inserts",
        form=Table(
            (
                Input(name="name", form=Text(24), about="what figures in the text call it"),
                Input(
                    name="thread",
                    form=Choice({"M3": "M3", "M4": "M4", "M5": "M5", "M6": "M6"}),
                    about="thread of the insert",
                ),
                Input(
                    name="wall",
                    form=Number(dimension="length", unit="mm", low=0, high=500, why="parts"),
                    about="least plastic from its hole's edge to a face",
                ),
                Input(
                    name="length",
                    form=Number(dimension="length", unit="mm", low=1, high=50, why="inserts"),
                    about="length of the insert",
                ),
            ),
            1,
            40,
        ),
        about="inserts that are melted in",
        required=False,
    ),
)

_LOG = ("log", "hold_time")
_STRENGTH = ("stress", "tensile_strength")
_SHELL = ("perimeters", "line_width", "layer_height", "bottom_layers", "top_layers", "infill")
_MASS = ("shape", *_SHELL)
_PRICE = ("filament_price", "currency")
_SIZES = {
    "box": ("length", "width", "height"),
    "cylinder": ("diameter", "height"),
    "given": ("volume", "side_area", "flat_area"),
}


def _kelvins(name: str, title: str, about: str = "", needs: tuple[str, ...] = ()) -> Output:
    return Output(
        name=name,
        title=title,
        dimension="temperature difference",
        unit="K",
        about=about,
        decimals=1,
        needs=needs,
    )


def _insert(name: str, title: str, about: str = "") -> Output:
    return Output(
        name=name,
        title=title,
        dimension="length",
        unit="mm",
        about=about,
        key="insert",
        of="inserts",
        needs=("inserts",),
        beside=True,
    )


OUTPUTS = (
    Output(
        name="softening_temperature",
        title="temperature at which the part softens",
        dimension="temperature",
        unit="°C",
        about="heat deflection temperature at the stress that fits",
    ),
    Output(
        name="temperature_held",
        title="highest temperature that was held in the log",
        dimension="temperature",
        unit="°C",
        about="for as long as hold_time",
        needs=_LOG,
    ),
    _kelvins("softening_margin", "margin of the place to softening"),
    _kelvins("vicat_margin", "margin of the place to the Vicat temperature", "where a screw head sinks in"),
    _kelvins("glass_margin", "margin of the place to the glass transition", "below 0 it is soft and creeps"),
    Output(
        name="sun_temperature",
        title="temperature of that place in a car parked in the sun",
        dimension="temperature",
        unit="°C",
        about="hottest that was measured",
        needs=("sun",),
    ),
    _kelvins("sun_margin", "margin of a parked car in the sun to softening", needs=("sun",)),
    Output(
        name="usable_strength",
        title="cold strength in the direction of the load",
        dimension="pressure",
        unit="MPa",
        about="across the layers a share of that along them",
        decimals=1,
        needs=_STRENGTH,
    ),
    Output(
        name="strength_used",
        title="share of the cold strength that the load uses",
        dimension="ratio",
        unit="%",
        needs=_STRENGTH,
    ),
    Output(
        name="core_volume",
        title="volume that the infill fills",
        dimension="volume",
        unit="cm³",
        about="inside of walls and full layers",
        needs=_MASS,
    ),
    Output(
        name="solid_share",
        title="share of the part's volume that is plastic",
        dimension="ratio",
        unit="%",
        needs=_MASS,
    ),
    Output(
        name="mass",
        title="mass of the part",
        dimension="mass",
        unit="g",
        about="of its plastic, without inserts, supports and brims",
        decimals=1,
        needs=_MASS,
    ),
    Output(
        name="filament_length",
        title="length of filament in the part",
        dimension="length",
        unit="m",
        decimals=1,
        needs=(*_MASS, "filament_diameter"),
    ),
    Output(
        name="filament_cost",
        title="cost of the filament in the part",
        dimension="money",
        unit="",
        decimals=2,
        needs=(*_MASS, *_PRICE),
    ),
    Output(
        name="length_lost",
        title="length that the critical length loses to shrinkage",
        dimension="length",
        unit="mm",
        decimals=2,
        needs=("critical_length",),
    ),
    Output(
        name="scale",
        title="scale to print at",
        dimension="ratio",
        unit="%",
        about="of the drawing, so that the cold part has its size",
        decimals=2,
        needs=("critical_length",),
    ),
    _insert("insert_hole", "diameter of the hole for the insert", "+0.1 mm"),
    _insert("hole_depth", "depth of the hole for the insert"),
    _insert("wall_reserve", "reserve of plastic about the insert", "over half of the insert's outside"),
)

SOURCES = (
    Source(
        id="iso-75",
        title="ISO 75-2, Determination of temperature of deflection under load: plastics",
        publisher="ISO",
        edition="2013",
        where="stresses of methods A and B, 1.80 and 0.45 MPa, as data sheets name them (read)",
    ),
    Source(
        id="data-sheets",
        title="Technical data sheets of filament, most of printed specimens",
        publisher="their makers, as public registers of them quote them",
        where="Polymaker PolyLite PLA, PETG, ABS V5.3, ASA V5.3, PC V5.3, PolyTerra PLA V5.3, PolyMax PC and "
        "PC-FR V5.1, PolyMide CoPA and PA6-CF V4.1; Prusament PLA v1.1 and PETG; Bambu PETG HF V1.0; BASF "
        "Ultrafuse PAHT CF15 V4.0; a sheet of PLA for FDM (ASTM D648); Toray's guide to ASA; a compound of "
        "PP (ISO 75-2, ISO 306); a service's table of HDT; tables of a students' and of a maker's guide to "
        "filament (all read); value by value in the tests",
    ),
    Source(
        id="parked-cars",
        title="Maximum vehicle cabin temperatures under different meteorological conditions, A. Grundstein, "
        "V. Meentemeyer and J. Dowd; Evaluating the impact of solar radiation on pediatric heat balance "
        "within enclosed, hot vehicles, J. K. Vanos et al.",
        publisher="Int. J. Biometeorology; Temperature 5",
        edition="2009; 2018",
        where="abstract, 41–76 °C, 68 °C on clear summer days; one dashboard at 192 °F, as the state "
        "climatologist told a radio station; near 100 °C in Aljubury, Farhan and Mussa, J. of Engineering 21 "
        "(2015), as a public note has it (all read)",
    ),
    Source(
        id="dogan",
        title="Short-term creep behaviour of different polymers used in additive manufacturing, O. Dogan",
        publisher="Strojniški vestnik 68",
        edition="2022",
        where="451–460, 3 h at 10 and 20 MPa, as a public note has it (read)",
    ),
    Source(
        id="inserts",
        title="Threaded insert hole size charts for 3D printing",
        publisher="a supplier of fasteners",
        where="heat-set inserts, M3 to M6: pilot hole −0/+0.1 mm and outer diameter (read)",
    ),
    Source(
        id="iec-60584",
        title="Thermocouples: EMF specifications and tolerances",
        publisher="IEC",
        edition="IEC 60584",
        where="class 1 of types J, K and N from −40 to 375 °C: ±1.5 °C, as makers of sensors print it",
    ),
    Source(
        id="shrinkage",
        title="Shrinkage of prints, and of mouldings (ISO 294-4), as makers and printers tell it",
        standing="common practice, no source",
    ),
    Source(id="geometry", title="Geometry; continuity; definitions", standing="derived"),
    Source(
        id="practice",
        title="How prints come out, what they are loaded with and what inserts want, as it is done",
        standing="common practice, no source",
    ),
)

DOUBTS = (_SHEET, _PLACE, _READING, _FAMILY, _DENSITY, _LAYERS, _SHRINKAGE, _SOAK, _FLOW, _EDGES)

HAZARDS = ("printing", "hot-parts", "fuel")

_SOAKS = {
    "cabin": plastics.Spread(68 + 273.15, 76 + 273.15),
    "dashboard": plastics.Spread(89 + 273.15, 100 + 273.15),
}
_KEPT = 20.0
"""K; the test of ISO 75 takes minutes, and a clamp holds for years. Common practice, no source."""
_SHARES = {"passing": 0.5, "sustained": 0.25}
_OVER = {
    "passing": said(
        "The load [may use|uses] more than half of the cold strength, which is as much as common "
        "practice allows one that comes and goes."
    ),
    "sustained": said(
        "The load [may use|uses] more than a quarter of the cold strength, which is as much as "
        "common practice allows one that stays."
    ),
}
_THREADS = {"M3": 0.003, "M4": 0.004, "M5": 0.005, "M6": 0.006}

_FUEL = said(
    "No fuel line, tank, cap or filter is printed: petrol swells and cracks plastics, and layers leak. Ask "
    "the filament's maker before oil, coolant or brake fluid gets near it."
)
_SWALLOWED = said(
    "What breaks off here may be swallowed: keep the air filter between this part and the engine, and look "
    "at it for cracks before each run."
)
_CREEP = said("A load that stays makes plastics creep, sooner the warmer: a clamped screw comes loose.")
_CREPT = {
    "PLA": said("Of six plastics PLA crept the most, and broke at 60 °C under 10 MPa within three hours."),
    "ABS": said("ABS broke in minutes at 60 °C under 20 MPa."),
    "PC": said("Of six plastics PC crept the least, and none of its specimens broke at 60 °C."),
    "PA": said("Nylon stretched the most of six plastics, and did not break at 60 °C."),
}
_LOOK = said("Go round with the screws after the first hot day.")
_DAMP = said("Polyamide is told dry: what air it has been in since decides how soft it is.")
_PULLED = said(
    "What an insert holds against being pulled out is not told: pull one from a spare of your own."
)
_SOLID = said("Walls and full layers fill the part: the infill makes no difference.")


# --- the plastic ------------------------------------------------------------------------------------


def _of_plastic(
    given: Mapping[str, Any],
    working: Working,
    name: str,
    spread: Callable[[plastics.Plastic], plastics.Spread],
    doubt: Doubt,
) -> float:
    """What the author gives, or the middle of the table's spread with half of it either way."""
    if name in given:
        return float(given[name])
    plastic = plastics.PLASTICS.get(given["material"])
    if plastic is None:
        raise MissingInput(
            name, "another material without it", "it, by the maker's data sheet", help="or name its family"
        )
    return _spread(working, spread(plastic), doubt)


def _spread(working: Working, spread: plastics.Spread, doubt: Doubt) -> float:
    return spread.middle + working.offset(replace(doubt, relative=0.0, absolute=spread.half))


# --- where it sits -----------------------------------------------------------------------------------


def _place(given: Mapping[str, Any], working: Working, outputs: Outputs) -> float:
    """The temperature of its place: stated, or held in the log."""
    if "place_temperature" in given and "log" in given:
        raise InputsConflict("place_temperature", "log as well", "one of the two")
    if "place_temperature" in given:
        return float(given["place_temperature"])
    if not given_together(given, _LOG, "a spike is no temperature that a part gets"):
        raise MissingInput("place_temperature", "neither place_temperature nor log", "one of them")
    logs: tuple[Log, ...] = given["log"]
    place = outputs["temperature_held"] = working.step(
        "temperature_held",
        held.highest_held,
        held.Stretches(one for log in logs for one in _stretches(log)),
        source=_own_doubt(logs),
        hold_time=given["hold_time"],
    )
    return place


def _own_doubt(logs: tuple[Log, ...]) -> Doubt:
    """That of the instrument, where the log states one."""
    stated = next((doubt for log in logs if (doubt := log.doubt("temperature"))), None)
    return replace(stated, source="geometry") if stated else replace(_READING, formula="geometry")


def _stretches(log: Log) -> list[held.Stretch]:
    """The readings of each span, without the rows that have none."""
    found = []
    values = log.values["temperature"]
    for span in log.spans:
        rows = [row for row in span if values[row] == values[row]]
        found.append(held.Stretch([log.times[row] for row in rows], [values[row] for row in rows]))
    return found


def _softening(given: Mapping[str, Any], working: Working, place: float, outputs: Outputs) -> None:
    softening = outputs["softening_temperature"] = working.step(
        "softening_temperature",
        plastics.softening_temperature,
        source="iso-75",
        stress=given.get("stress", 0.0),
        deflection_b=_of_plastic(
            given, working, "deflection_temperature_b", lambda one: one.deflection_b, _FAMILY
        ),
        deflection_a=_of_plastic(
            given, working, "deflection_temperature_a", lambda one: one.deflection_a, _FAMILY
        ),
    )
    _margin(working, outputs, "softening_margin", softening, place)
    working.limit(
        "softening_margin",
        least=0.0,
        says=said("The part [may soften|softens] where it sits. Take another plastic, or another place."),
    )
    if given["load"] == "sustained":
        working.limit(
            "softening_margin",
            least=_KEPT,
            says=said(
                "From its place to softening there [may be|is] less than the 20 K that common practice "
                "keeps where a load stays."
            ),
        )
    if "vicat_temperature" in given or given["material"] != _OTHER:
        vicat = _of_plastic(given, working, "vicat_temperature", lambda one: one.vicat, _FAMILY)
        _margin(working, outputs, "vicat_margin", vicat, place)
    glass = _of_plastic(given, working, "glass_transition", lambda one: one.glass, _FAMILY)
    _margin(working, outputs, "glass_margin", glass, place)
    if given["load"] != "none":
        working.limit(
            "glass_margin",
            least=0.0,
            says=said(
                "Under its load the part [may be|is] above the glass transition of its plastic: it is a "
                "fraction as stiff there, and creeps."
            ),
        )
    if "sun" in given:
        _sun(given, working, softening, outputs)


def _margin(working: Working, outputs: Outputs, name: str, softening: float, place: float) -> None:
    outputs[name] = working.step(
        name, plastics.temperature_margin, source="geometry", softening=softening, place=place
    )


def _sun(given: Mapping[str, Any], working: Working, softening: float, outputs: Outputs) -> None:
    soak = _SOAKS[given["sun"]]
    sun = outputs["sun_temperature"] = working.step(
        "sun_temperature",
        plastics.middle_of,
        source=replace(_SOAK, relative=0.0, absolute=soak.half),
        low=soak.low,
        high=soak.high,
    )
    _margin(working, outputs, "sun_margin", softening, sun)
    working.limit(
        "sun_margin",
        least=0.0,
        says=said(
            "In a car parked in the sun, on days as hot as were measured, the part [may soften|softens]."
        ),
    )


# --- what it bears ------------------------------------------------------------------------------------


def _loaded(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    load = given["load"]
    if load == "none":
        for name in ("stress", "load_direction"):
            if name in given:
                raise InputsConflict(name, f"{name} with load none", "a load that passes or stays")
        return
    if "stress" not in given:
        raise MissingInput("stress", f"load {load} without it", "the stress in the part, or load none")
    if load == "sustained":
        told = [_CREPT[given["material"]]] if given["material"] in _CREPT else []
        working.remark(listed([_CREEP, *told, _LOOK], " "))
    if "tensile_strength" not in given:
        return
    strength = outputs["usable_strength"] = _strength(given, working)
    outputs["strength_used"] = working.step(
        "strength_used",
        plastics.strength_use,
        source="geometry",
        stress=given["stress"],
        strength=strength,
    )
    working.limit(
        "strength_used",
        most=_SHARES[load],
        says=_OVER[load],
    )


def _strength(given: Mapping[str, Any], working: Working) -> float:
    """Along the layers, or across them by the sheet or by the table's share."""
    if "load_direction" not in given:
        raise MissingInput("load_direction", "stress and strength without it", "along or across the layers")
    strength, share = given["tensile_strength"], 1.0
    if given["load_direction"] == "across":
        if "layer_strength" in given:
            strength = given["layer_strength"]
        elif given["material"] in plastics.PLASTICS:
            share = _spread(working, plastics.PLASTICS[given["material"]].layer_share, _LAYERS)
        else:
            raise MissingInput("layer_strength", "another material, pulled across its layers", "it")
    return working.step(
        "usable_strength",
        plastics.strength_in_direction,
        source="data-sheets",
        strength=strength,
        share=share,
    )


# --- what it weighs ------------------------------------------------------------------------------------


def _weighed(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    if not given_together(given, _MASS, "a mass rests on the shape and on how it is filled"):
        return
    _told(given)
    volume, core = _volumes(given, working)
    outputs["core_volume"] = core
    if not core:
        working.remark(_SOLID)
    plastic = working.step(
        "plastic_volume",
        printing.plastic_volume,
        source=_FLOW,
        volume=volume,
        core_volume=core,
        infill=given["infill"],
    )
    outputs["solid_share"] = working.step(
        "solid_share", printing.solid_share, source="geometry", plastic_volume=plastic, volume=volume
    )
    mass = outputs["mass"] = working.step(
        "mass",
        printing.part_mass,
        source="geometry",
        density=_of_plastic(given, working, "density", lambda one: one.density, _DENSITY),
        plastic_volume=plastic,
    )
    if "filament_diameter" in given:
        outputs["filament_length"] = working.step(
            "filament_length",
            printing.filament_length,
            source="geometry",
            plastic_volume=plastic,
            filament_diameter=given["filament_diameter"],
        )
    if given_together(given, _PRICE, "money has a currency"):
        outputs["filament_cost"] = working.step(
            "filament_cost", printing.cost, source="geometry", mass=mass, price=given["filament_price"]
        )


def _told(given: Mapping[str, Any]) -> None:
    """Refuses a shape without its sizes, and sizes of another shape."""
    shape = given["shape"]
    for name in _SIZES[shape]:
        if name not in given:
            raise MissingInput(name, f"shape {shape} without {name}", "it")
    for name in dict.fromkeys(name for names in _SIZES.values() for name in names):
        if name in given and name not in _SIZES[shape]:
            raise InputsConflict(
                name, f"{name} with shape {shape}", f"{', '.join(_SIZES[shape])} and no other size"
            )


def _volumes(given: Mapping[str, Any], working: Working) -> tuple[float, float]:
    """The part's volume, and what of it the infill fills."""
    shell = {
        "wall": working.step(
            "wall",
            printing.shell,
            source="geometry",
            perimeters=float(given["perimeters"]),
            line_width=given["line_width"],
        ),
        "skins": working.step(
            "skins",
            printing.skins,
            source="geometry",
            solid_layers=working.step(
                "solid_layers",
                printing.solid_layers,
                source="geometry",
                bottom_layers=float(given["bottom_layers"]),
                top_layers=float(given["top_layers"]),
            ),
            layer_height=given["layer_height"],
        ),
    }
    sizes = {name: given[name] for name in _SIZES[given["shape"]]}
    if given["shape"] == "given":
        core = working.step("core_volume", printing.core_by_areas, source=_EDGES, **sizes, **shell)
        return sizes["volume"], core
    whole, inside = _SOLIDS[given["shape"]]
    return (
        working.step("part_volume", whole, source="geometry", **sizes),
        working.step("core_volume", inside, source="geometry", **sizes, **shell),
    )


_SOLIDS: dict[str, tuple[Callable[..., float], Callable[..., float]]] = {
    "box": (printing.box_volume, printing.box_core),
    "cylinder": (printing.cylinder_volume, printing.cylinder_core),
}


# --- what fits -------------------------------------------------------------------------------------------


def _shrunk(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    if "critical_length" not in given:
        if "shrinkage" in given:
            raise MissingInput("critical_length", "shrinkage without it", "the length that has to fit")
        return
    shrinkage = _of_plastic(given, working, "shrinkage", lambda one: one.shrinkage, _SHRINKAGE)
    outputs["length_lost"] = working.step(
        "length_lost",
        printing.length_lost,
        source="geometry",
        length=given["critical_length"],
        shrinkage=shrinkage,
    )
    outputs["scale"] = working.step("scale", printing.scale, source="geometry", shrinkage=shrinkage)


def _fixed(given: Mapping[str, Any], working: Working, outputs: Outputs) -> None:
    """The holes for inserts, and whether there is enough plastic about them."""
    if "inserts" not in given:
        return
    table: dict[str, dict[str, float]] = {"insert_hole": {}, "hole_depth": {}, "wall_reserve": {}}
    for key, row in zip(row_keys("inserts", given["inserts"]), given["inserts"], strict=True):
        thread = _THREADS[row["thread"]]
        table["insert_hole"][key] = working.step(
            f"insert_hole.{key}", printing.insert_hole, source="inserts", thread=thread
        )
        table["hole_depth"][key] = working.step(
            f"hole_depth.{key}", printing.hole_depth, source="practice", insert_length=row["length"]
        )
        outside = working.step(
            f"insert_outside.{key}", printing.insert_outside, source="inserts", thread=thread
        )
        wanted = working.step(f"wall_around.{key}", printing.wall_around, source="practice", outside=outside)
        table["wall_reserve"][key] = working.step(
            f"wall_reserve.{key}",
            printing.wall_reserve,
            source="geometry",
            wall=row["wall"],
            wanted=wanted,
        )
        working.limit(
            "wall_reserve",
            key,
            least=0.0,
            says=said(
                "About the insert “{name}” there [may be|is] less plastic than it wants: it splits.",
                name=row["name"],
            ),
        )
    outputs.update(table)
    working.remark(_PULLED)


def compute(given: Mapping[str, Any], working: Working) -> Outputs:
    """Softening against the place, load, mass, size and inserts of one case; SI in, SI out."""
    refuse_duty(given)
    outputs: Outputs = {}
    place = _place(given, working, outputs)
    _softening(given, working, place, outputs)
    _loaded(given, working, outputs)
    _weighed(given, working, outputs)
    _shrunk(given, working, outputs)
    _fixed(given, working, outputs)
    working.remark(_FUEL)
    if given["duty"] == "intake":
        working.remark(_SWALLOWED)
    if given["material"] in ("PA", "PA-CF"):
        working.remark(_DAMP)
    return outputs


# --- the charts -------------------------------------------------------------------------------------------

_STEPS = 20
_MOST_ROWS = 400


def chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    """Mass over infill, a curve a case; and the log with what the part stands."""
    return (*_mass_chart(cases), *_log_charts(cases))


def _mass_chart(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    curves: list[Series] = []
    markers: list[Marker] = []
    for style, (name, case) in enumerate(cases.items()):
        if "mass" not in case.outputs:
            continue
        shares = [step / _STEPS for step in range(_STEPS + 1)]
        masses = [compute({**case.inputs, "infill": share}, Working(noted=False))["mass"] for share in shares]
        curves.append(Series(label=name or "mass", x=shares, y=masses, style=style))  # type: ignore[arg-type]
        markers.append(Marker(name or "the part", x=case.inputs["infill"], y=case.outputs["mass"]))
    if not curves:
        return ()
    return (
        ChartSpec(
            title="Mass over infill",
            description="Mass of the part against the share of infill, by case, with the shares chosen.",
            x=Axis("infill", "ratio", "%", from_zero=True),
            y=Axis("mass", "mass", "g", from_zero=True),
            series=tuple(curves),
            markers=tuple(markers),
        ),
    )


def _log_charts(cases: Mapping[str, CaseView]) -> tuple[ChartSpec, ...]:
    found: dict[int, ChartSpec] = {}
    for case in cases.values():
        for log in case.inputs.get("log", ()):
            if id(log) not in found:
                found[id(log)] = _log_chart(log, case)
    return tuple(found.values())


def _log_chart(log: Log, case: CaseView) -> ChartSpec:
    rows = list(log.rows_with("temperature"))
    rows = rows[:: max(1, -(-len(rows) // _MOST_ROWS))]
    return ChartSpec(
        title="Temperature at the part",
        description="Temperature of the log over time, with the highest that was held and where the part "
        "softens.",
        x=Axis("time", "time", "s"),
        y=Axis("temperature", "temperature", "°C"),
        series=(
            Series(
                label="log",
                x=[log.times[row] for row in rows],
                y=[log.values["temperature"][row] for row in rows],
            ),
        ),
        markers=(
            Marker("held", y=case.outputs["temperature_held"]),
            Marker("softens", y=case.outputs["softening_temperature"]),
        ),
    )
