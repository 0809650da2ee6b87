"""How well an engine fills its cylinders, where nobody measured it."""

from __future__ import annotations

from buildlog.kinds.declaration import Doubt, Source

GUESSED_VOLUMETRIC_EFFICIENCY = Doubt(
    name="guessed_volumetric_efficiency",
    about="at full load where nobody weighed the fuel",
    source="filling",
    relative=0.06,
)
SOURCE = Source(
    id="filling",
    title="Volumetric efficiencies that are guessed, of engines without a supercharger",
    standing="common practice, no source",
)
