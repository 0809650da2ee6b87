"""Charts to test with, and how to read what was drawn."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

from buildlog.charts.drawing import System, draw
from buildlog.kinds.declaration import Axis, ChartSpec, Marker, Series

SVG = "{http://www.w3.org/2000/svg}"
SPEED = Axis("road speed", "speed", "km/h", from_zero=True)
REVS = Axis("engine speed", "rotational speed", "rpm", from_zero=True)


def curve(label: str = "before", style: int = 0, *, rise: float = 10.0, count: int = 40) -> Series:
    x = [60.0 * step / (count - 1) for step in range(count)]
    return Series(label=label, x=x, y=[100 + rise * value for value in x], style=style)


def chart(*series: Series, markers: tuple[Marker, ...] = (), x: Axis = SPEED, y: Axis = REVS) -> ChartSpec:
    return ChartSpec(
        title="Engine speed",
        description="Engine speed against road speed.",
        x=x,
        y=y,
        series=series or (curve(),),
        markers=markers,
    )


TWO = chart(curve(), curve("after", 1, rise=13.0))


def drawn(spec: ChartSpec, anchor: str = "calc-a_chart", system: System = "author") -> ElementTree.Element:
    return ElementTree.fromstring(draw(spec, anchor=anchor, system=system, cache_folder=None))


def texts(svg: ElementTree.Element) -> list[str]:
    return ["".join(text.itertext()) for text in svg.iter(f"{SVG}text")]


def paths(svg: ElementTree.Element, colour: int) -> list[list[tuple[float, float]]]:
    """The points of the curves in one of the series' colours."""
    return [
        [(float(x), float(y)) for x, y in re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", path.attrib["d"])]
        for path in svg.iter(f"{SVG}path")
        if f"--buildlog-c{colour}," in path.attrib.get("style", "")
    ]
