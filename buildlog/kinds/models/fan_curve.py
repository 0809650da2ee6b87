"""A fan as its maker states it: the columns of its curve, and how far such a curve may be off."""

from __future__ import annotations

from buildlog.kinds.declaration import Doubt, Input, Number, Source, Table

FLOW = Number(dimension="volume flow", unit="m³/s", low=0, high=5, why="fans of cars, one of them")
PRESSURE = Number(dimension="pressure", unit="Pa", low=0, high=2000, why="fans of cars")

COLUMNS = (
    Input(name="flow", form=FLOW, about="volume flow of one fan"),
    Input(name="pressure", form=PRESSURE, about="static pressure that it raises the air by there"),
    Input(
        name="current",
        form=Number(dimension="electric current", unit="A", low=0.05, high=150, why="fans of cars"),
        about="what it draws there, at the voltage of the curve",
        required=False,
    ),
)
CURVE = Table(COLUMNS, 2, 40)

DENSITY = Input(
    name="curve_density",
    form=Number(dimension="density", unit="kg/m³", low=0.5, high=1.5, why="air that fans are measured in"),
    about="density of the air that the curve was measured in",
    default="1.2 kg/m³",
    default_source="standard air of makers of fans, 20 °C at sea level",
)

DOUBT = Doubt(
    name="fan_curve",
    about="pressure of a fan by its maker's curve, built into a car",
    source="iso-13348",
    formula="fan-laws",
    relative=0.1,
    limits=True,
    range="the curve of the same fan, its ring and shroud as it was measured",
)
CURRENT_DOUBT = Doubt(
    name="fan_current",
    about="current of a fan by its maker's table",
    source="iso-13348",
    formula="fan-laws",
    relative=0.16,
    limits=True,
    range="at the voltage of the table",
)
SOURCES = (
    Source(
        id="iso-13348",
        title="Industrial fans: tolerances, methods of conversion and technical data presentation",
        publisher="ISO",
        edition="ISO 13348:2007",
        where="clause 5, the widest of four tolerance grades: 10 % of the pressure, 16 % of the power",
        standing="from memory",
    ),
    Source(
        id="fan-laws",
        title="Fan laws: at one speed a fan moves one volume, its pressure and its power go with the density",
        publisher="Process Heating",
        edition="Fan Laws and Formulas",
        where="“When density of air varies”, 1",
    ),
)
