"""The overall diameter of a tyre by its size, and how well a size tells it."""

from __future__ import annotations

from buildlog.diagnostics import MissingInput, Refused
from buildlog.kinds.declaration import Doubt, Source, Working
from buildlog.physics import tyres
from buildlog.physics.tyre_sizes import TyreSize

SIZES = Source(
    id="iso-4000-1",
    title="ISO 4000-1, Passenger car tyres and rims: Tyres (metric series)",
    publisher="ISO",
    where="size designation, as car makers' manuals explain it, and overall diameter, as a public "
    "encyclopaedia computes it (read)",
)
TOLERANCE = Source(
    id="unr-30",
    title="UN Regulation No. 30, Pneumatic tyres for motor vehicles and their trailers",
    publisher="UNECE",
    where="6.1.2 and 6.1.4.2: section height from 0.97 to 1.04 of what the size says",
    standing="from memory",
)
SERIES = Source(
    id="no-series",
    title="Radial sizes without a series have the height of the 80 to 82 series",
    standing="common practice, no source",
)

HEIGHT = Doubt(
    name="tyre_height",
    about="section height of a tyre against what its size says",
    source="unr-30",
    formula="iso-4000-1",
    relative=0.035,
    limits=True,
    range="new tyres on their measuring rim",
)
NO_SERIES = Doubt(
    name="tyre_without_series",
    about="section height of a size that says no series: 78 to 82 % of its width",
    source="no-series",
    relative=0.025,
    limits=True,
    range="radial sizes such as 165R13",
)

ROLLING_FACTOR = Doubt(
    name="rolling_factor",
    about="road of one turn over the overall diameter",
    source="epa",
    absolute=0.02,
    limits=True,
    range="radial tyres at their usual load and pressure",
)


def overall_diameter(working: Working, step: str, name: str, tyre: TyreSize) -> float:
    """The overall diameter by the size, with the size's doubt; `name` is the input that gave it."""
    try:
        ratio = tyre.aspect_ratio
    except Refused as error:
        raise MissingInput(name, error.found, error.expected, help=error.help) from error
    measures = f"{tyre.section_width * 1000:.0f}-{ratio * 100:.0f}-{tyre.rim_diameter * 1000:.0f}"
    height = working.factor(HEIGHT.of(measures))
    if tyre.series_assumed:
        height *= working.factor(NO_SERIES.of(measures))
    return working.step(
        step,
        tyres.overall_diameter,
        source="iso-4000-1",
        section_width=tyre.section_width,
        aspect_ratio=ratio * height,
        rim_diameter=tyre.rim_diameter,
    )
