"""A chart as shapes: held to matplotlib's drawing of the same layout."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import pytest

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import System
from buildlog.charts.drawing import draw
from buildlog.charts.layout import lay_out
from buildlog.charts.shapes import Shape, shapes, view_box
from buildlog.kinds.chart import BarSpec, Chart, Marker
from buildlog.kinds.declaration import Series
from tests.charts.sample_charts import SVG, TWO, chart, curve
from tests.charts.test_bars_and_plans import BILL, PLAN, WHEEL

MARKERS = (Marker("limit", y=500.0), Marker("cruise", x=30.0), Marker("best", x=20.0, y=300.0))
POINTS = Series(label="points", x=[0.0, 30.0, 60.0], y=[100.0, 300.0, 600.0], style=2, points_only=True)
CHARTS = {
    "two curves": TWO,
    "markers": chart(curve(), markers=MARKERS),
    "points": chart(curve(), POINTS),
    "bars": BILL,
    "wheel": WHEEL,
    "plan": PLAN,
}


def drawn_here(spec: Chart, system: System) -> tuple[str, list[Shape]]:
    layout = lay_out_bars(spec, system) if isinstance(spec, BarSpec) else lay_out(spec, system)
    return view_box(layout), shapes(layout)


def place(text: ElementTree.Element) -> tuple[float, float]:
    """Where matplotlib's text stands."""
    if "x" in text.attrib:
        return float(text.attrib["x"]), float(text.attrib["y"])
    first, second = re.findall(r"-?[0-9.]+", text.attrib["transform"])[:2]
    return float(first), float(second)


@pytest.mark.parametrize("system", ["author", "us"])
@pytest.mark.parametrize("spec", CHARTS.values(), ids=CHARTS)
def test_words_stand_where_matplotlib_has_them(spec: Chart, system: System) -> None:
    svg = ElementTree.fromstring(draw(spec, anchor="a", system=system, cache_folder=None))
    theirs = sorted((text.text or "", *place(text)) for text in svg.iter(f"{SVG}text"))
    box, ours = drawn_here(spec, system)
    own = sorted(
        (one.text, float(one.attributes["x"]), float(one.attributes["y"]))
        for one in ours
        if one.tag == "text"
    )
    assert box == svg.attrib["viewBox"]
    assert [word for word, _, _ in own] == [word for word, _, _ in theirs]
    for (word, x, y), (_, there_x, there_y) in zip(own, theirs, strict=True):
        assert (x, y) == pytest.approx((there_x, there_y), abs=0.02), word


def colours(texts: list[str]) -> set[str]:
    return {colour for text in texts for colour in re.findall(r"var\(--buildlog-[a-z0-9]+", text)}


@pytest.mark.parametrize("spec", CHARTS.values(), ids=CHARTS)
def test_the_colours_are_those_of_matplotlib(spec: Chart) -> None:
    _, ours = drawn_here(spec, "author")
    own = colours([value for one in ours for value in one.attributes.values()])
    assert own == colours([draw(spec, anchor="a", cache_folder=None)])


def test_a_curve_goes_through_the_points_that_matplotlib_draws() -> None:
    svg = ElementTree.fromstring(draw(TWO, anchor="a", cache_folder=None))
    theirs = [path.attrib["d"] for path in svg.iter(f"{SVG}path") if "c2" in path.attrib.get("style", "")]
    _, ours = drawn_here(TWO, "author")
    (own,) = (one.attributes for one in ours if "c2" in one.attributes.get("stroke", ""))
    assert len(theirs) == 1
    mine, other = ([float(number) for number in re.findall(r"-?[0-9.]+", d)] for d in (own["d"], theirs[0]))
    # matplotlib leaves out points that lie on a straight line.
    assert mine[:2] == pytest.approx(other[:2], abs=0.02)
    assert mine[-2:] == pytest.approx(other[-2:], abs=0.02)
    (there,) = {
        re.sub(r".*stroke-dasharray: ([0-9., ]+).*", r"\1", path.attrib["style"])
        for path in svg.iter(f"{SVG}path")
        if "c2" in path.attrib.get("style", "") and "dasharray" in path.attrib["style"]
    }
    assert [float(one) for one in own["stroke-dasharray"].split()] == pytest.approx(
        [float(one) for one in re.findall(r"[0-9.]+", there)], abs=0.01
    )
