"""A plate to draw, with every sort of line."""

from __future__ import annotations

from buildlog.kinds.pattern import Dimension, Hole, Line, Note, Pattern
from buildlog.patterns.identity import Origin
from buildlog.patterns.layout import Written

WIDTH, HEIGHT = 0.42, 0.31
CORNERS = ((0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT))
ORIGIN = Origin(block="box#side", case="", name="", digest="0123456789ab")
VALUES = {
    "width": Written(text="420.0 mm", length=420.0, address="calc:box#side.width"),
    "height": Written(text="310.0 mm", length=310.0, address="calc:box#side.height"),
    "angle": Written(text="90°", length=None, address="calc:box#side.angle"),
}


def tell(output: str, key: str) -> Written:
    return VALUES[output]


PLATE = Pattern(
    title="side",
    material="sheet of 1 mm",
    revision="B",
    lines=(
        Line(kind="cut", points=CORNERS, closed=True),
        Line(kind="bend", points=((0.02, 0.0), (0.02, HEIGHT))),
        Line(kind="centre", points=((0.0, 0.2), (WIDTH, 0.2))),
        Line(kind="mark", points=((0.3, 0.0), (0.3, HEIGHT))),
    ),
    holes=(Hole(centre=(0.1, 0.1), diameter=0.0254),),
    dimensions=(
        Dimension(start=(0.0, 0.0), end=(WIDTH, 0.0), output="width", away=-0.012),
        Dimension(start=(0.0, 0.0), end=(0.0, HEIGHT), output="height", away=0.012),
    ),
    notes=(Note(place=(0.2, 0.15), text="up {value}", output="angle"),),
)
