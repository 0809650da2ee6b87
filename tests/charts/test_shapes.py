"""A chart as shapes: held to matplotlib's drawing of the same layout."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import pytest

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import Point, System
from buildlog.charts.layout import lay_out
from buildlog.charts.shapes import COLOURS, IN_PAGE, Shape, shapes, view_box
from buildlog.kinds.chart import BarSpec, Chart, Marker
from buildlog.kinds.declaration import Series
from tests.charts.sample_charts import SVG, TWO, chart, curve, points_of
from tests.charts.test_bars_and_plans import BILL, PLAN, WHEEL
from tests.charts.with_matplotlib import drawn_by_matplotlib

MARKERS = (Marker("limit", y=500.0), Marker("cruise", x=30.0), Marker("best", x=20.0, y=300.0))
POINTS = Series(label="points", x=[0.0, 30.0, 60.0], y=[100.0, 300.0, 600.0], style=2, points_only=True)
BENT = Series(
    label="bent",
    x=[at / 5 for at in range(300)],
    y=[300 + 200 * math.sin(at / 30) for at in range(300)],
    style=1,
)
CURVED = chart(curve(), BENT)
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
    svg = ElementTree.fromstring(drawn_by_matplotlib(spec, system))
    theirs = sorted((text.text or "", *place(text)) for text in svg.iter(f"{SVG}text"))
    box, ours = drawn_here(spec, system)
    own = sorted(
        (one.text, float(one.attributes["x"]), float(one.attributes["y"]))
        for one in ours
        if one.tag == "text"
    )
    there = [float(number) for number in svg.attrib["viewBox"].split()]
    assert [float(number) for number in box.split()] == pytest.approx(there, abs=0.01)
    assert [word for word, _, _ in own] == [word for word, _, _ in theirs]
    for (word, x, y), (_, there_x, there_y) in zip(own, theirs, strict=True):
        assert (x, y) == pytest.approx((there_x, there_y), abs=0.02), word


def colours(texts: list[str]) -> set[str]:
    return {colour for text in texts for colour in re.findall("#[0-9a-f]{6}", text.lower())}


@pytest.mark.parametrize("spec", CHARTS.values(), ids=CHARTS)
def test_the_colours_are_those_of_matplotlib(spec: Chart) -> None:
    _, ours = drawn_here(spec, "author")
    own = {value for one in ours for value in one.attributes.values()}
    of_page = {colour for colour, value in IN_PAGE.items() if value in own}
    drawn = colours([drawn_by_matplotlib(spec).partition("</defs>")[2]])
    assert of_page == drawn & set(IN_PAGE)


@pytest.mark.parametrize("spec", [TWO, CURVED], ids=["straight", "curved"])
def test_a_curve_goes_through_the_points_that_matplotlib_draws(spec: Chart) -> None:
    """Both leave out points that lie on a straight line, so that each point of one is held to the other's
    line."""
    svg = ElementTree.fromstring(drawn_by_matplotlib(spec))
    (theirs,) = [
        points_of(path.attrib["d"])
        for path in svg.iter(f"{SVG}path")
        if COLOURS[1] in path.attrib.get("style", "")
    ]
    _, ours = drawn_here(spec, "author")
    (own,) = (one.attributes for one in ours if "c2" in one.attributes.get("stroke", ""))
    (mine,), (other,) = points_of(own["d"]), theirs
    assert mine[0] == pytest.approx(other[0], abs=0.02)
    assert mine[-1] == pytest.approx(other[-1], abs=0.02)
    for points, line in ((mine, other), (other, mine)):
        assert max(distance(point, line) for point in points) < 0.2


def distance(point: Point, line: list[Point]) -> float:
    """From a point to a line through several others."""
    found = []
    for (x0, y0), (x1, y1) in pairwise(line):
        across, down = x1 - x0, y1 - y0
        length = across**2 + down**2
        share = ((point[0] - x0) * across + (point[1] - y0) * down) / length if length else 0.0
        share = min(1.0, max(0.0, share))
        found.append(math.dist(point, (x0 + share * across, y0 + share * down)))
    return min(found)


def test_dashes_are_those_of_matplotlib() -> None:
    svg = ElementTree.fromstring(drawn_by_matplotlib(TWO))
    _, ours = drawn_here(TWO, "author")
    (own,) = (one.attributes for one in ours if "c2" in one.attributes.get("stroke", ""))
    (there,) = {
        re.sub(r".*stroke-dasharray: ([0-9., ]+).*", r"\1", path.attrib["style"])
        for path in svg.iter(f"{SVG}path")
        if COLOURS[1] in path.attrib.get("style", "") and "dasharray" in path.attrib["style"]
    }
    assert [float(one) for one in own["stroke-dasharray"].split()] == pytest.approx(
        [float(one) for one in re.findall(r"[0-9.]+", there)], abs=0.01
    )


@pytest.mark.parametrize("style", range(6))
def test_points_lie_where_matplotlib_has_them_and_are_as_large(style: int) -> None:
    """Whether a shape is an outline or the end of a line: by where it is and how far it reaches."""
    points = Series(label="", x=[0.0, 21.0, 60.0], y=[100.0, 333.0, 600.0], style=style, points_only=True)
    svg = ElementTree.fromstring(drawn_by_matplotlib(chart(points)))
    uses = list(svg.iter(f"{SVG}use"))
    theirs = [(float(use.attrib["x"]), float(use.attrib["y"])) for use in uses]
    name = uses[0].attrib["{http://www.w3.org/1999/xlink}href"][1:]
    (outline,) = [one.attrib["d"] for one in svg.iter(f"{SVG}path") if one.get("id") == name]
    reach = max(abs(float(number)) for number in re.findall(r"-?[0-9.]+", outline))
    _, ours = drawn_here(chart(points), "author")
    (own,) = (one.attributes for one in ours if f"--buildlog-c{style + 1}," in str(one.attributes))
    if "stroke-linecap" in own:
        assert [line[0] for line in points_of(own["d"])] == [pytest.approx(at, abs=0.02) for at in theirs]
        assert own["stroke-linecap"] == ("round" if "C" in outline else "square")
        assert float(own["stroke-width"]) == pytest.approx(2 * reach, abs=0.02)
        return
    drawn = points_of(own["d"])
    if len(drawn) > len(theirs):  # a cross of two lines
        drawn = [first + second for first, second in zip(drawn[::2], drawn[1::2], strict=True)]
    for corners, (x, y) in zip(drawn, theirs, strict=True):
        assert max(abs(corner[0] - x) for corner in corners) == pytest.approx(reach, abs=0.1)
        assert max(abs(corner[1] - y) for corner in corners) == pytest.approx(reach, abs=0.1)
