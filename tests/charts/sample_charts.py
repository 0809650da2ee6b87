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
    return ElementTree.fromstring(draw(spec, anchor=anchor, system=system))


def texts(svg: ElementTree.Element) -> list[str]:
    return ["".join(text.itertext()) for text in svg.iter(f"{SVG}text")]


def paths(svg: ElementTree.Element, colour: int) -> list[list[tuple[float, float]]]:
    """The points of the curves in one of the series' colours."""
    return [
        points
        for path in svg.iter(f"{SVG}path")
        if f"--buildlog-c{colour}," in path.attrib.get("style", "")
        for points in points_of(path.attrib["d"])
    ]


_COMMAND = re.compile(r"([MmLlHhVvZz])([^A-Za-z]*)")
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")


def points_of(path: str) -> list[list[tuple[float, float]]]:
    """The points of every stretch of a path, each where it stands."""
    found: list[list[tuple[float, float]]] = []
    x = y = 0.0
    for command, given in _COMMAND.findall(path):
        numbers = [float(number) for number in _NUMBER.findall(given)]
        is_step, kind = command.islower(), command.lower()
        if kind == "z":
            x, y = found[-1][0]
            continue
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True)) if kind in "ml" else []
        pairs += [(number, 0.0 if is_step else y) for number in numbers if kind == "h"]
        pairs += [(0.0 if is_step else x, number) for number in numbers if kind == "v"]
        for number, (across, down) in enumerate(pairs):
            x, y = (x + across, y + down) if is_step else (across, down)
            if kind == "m" and number == 0:
                found.append([])
            found[-1].append((x, y))
    return found
