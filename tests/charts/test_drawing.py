"""Charts: what is drawn is what the data say, in the page's colours, whatever the author wrote."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.charts.data import plain
from buildlog.charts.drawing import draw
from buildlog.charts.layout import SMALL, WIDTH
from buildlog.charts.shapes import Shape
from buildlog.charts.svg import for_page
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import ChartSpec, Marker, Series
from tests.charts.sample_charts import REVS, SPEED, SVG, TWO, chart, curve, drawn, paths, points_of, texts


def look_of(svg: ElementTree.Element, element: ElementTree.Element) -> str:
    """The style of an element, or of the group that it is in."""
    groups = [group for group in svg.iter(f"{SVG}g") if element in list(group)]
    return "; ".join(one.attrib.get("style", "") for one in (element, *groups))


# --- the picture -----------------------------------------------------------------------


def test_a_curve_lies_where_its_numbers_are() -> None:
    svg = drawn(chart(Series(label="", x=[0.0, 100 / 3.6], y=[0.0, 6000 * math.pi / 30])))
    ((start, end),) = paths(svg, 1)
    labels = {text.text: text for text in svg.iter(f"{SVG}text")}
    assert end[0] > start[0]
    assert end[1] < start[1]  # upwards on the page
    # The ends carry the same places as the ticks that name them.
    assert start[0] == pytest.approx(float(labels["0"].attrib["x"]), abs=12)
    assert end[0] == pytest.approx(float(labels["100"].attrib["x"]), abs=0.02)
    assert end[1] == pytest.approx(float(labels["6000"].attrib["y"]) - 0.36 * SMALL, abs=0.02)


def test_every_colour_is_the_pages() -> None:
    spec = chart(*(curve(f"case {style}", style, rise=4 + 2 * style) for style in range(9)), markers=MARKERS)
    text = draw(spec, anchor="a")
    bare = re.sub(r"var\(--buildlog-[a-z0-9]+, (#[0-9a-f]{6}|currentColor|rgba\([^)]*\))\)", "", text)
    assert "#" not in bare.replace('href="#', "").replace("url(#", "")
    for word in ("black", "white", "rgb", "currentColor"):
        assert word not in bare
    svg = drawn(spec)
    for element in svg.iter(f"{SVG}text"):
        assert "fill: var(--buildlog-ink, currentColor)" in look_of(svg, element)


MARKERS = (Marker("limit", y=500.0), Marker("cruise", x=30.0), Marker("best", x=20.0, y=300.0))


def test_markers_are_drawn_and_named() -> None:
    svg = drawn(chart(markers=MARKERS))
    assert {"limit", "cruise", "best"} <= set(texts(svg))


def test_it_grows_with_the_page_and_is_named_for_those_who_cannot_see_it() -> None:
    svg = drawn(TWO)
    assert svg.attrib["viewBox"].startswith(f"0 0 {WIDTH:g} ")
    assert "width" not in svg.attrib
    assert "height" not in svg.attrib
    assert svg.attrib["role"] == "img"
    # each is read once: the description is not part of the name
    named = [svg.attrib["aria-labelledby"], svg.attrib["aria-describedby"]]
    by_id = {element.attrib["id"]: element for element in svg.iter() if "id" in element.attrib}
    assert [by_id[name].tag for name in named] == [f"{SVG}title", f"{SVG}desc"]
    assert by_id[named[0]].text == "Engine speed"
    description = by_id[named[1]].text or ""
    assert description.startswith("Engine speed against road speed. Across: road speed, km/h.")
    assert "before, after" in description


def test_text_is_large_enough_on_a_phone() -> None:
    # A drawing in an item of a list has 303 px on a phone of 360 px.
    svg = drawn(TWO)
    for text in svg.iter(f"{SVG}text"):
        size = re.search(r"font-size: ([\d.]+)px", look_of(svg, text))
        assert size
        assert float(size[1]) * 303 / WIDTH >= 11


def test_no_id_twice_with_two_charts_and_every_reference_is_met() -> None:
    spec = chart(
        Series(label="a", x=[1.0, 2.0], y=[1.0, 2.0], style=0, points_only=True),
        curve("b", 1),
        markers=MARKERS,
    )
    one, two = drawn(spec, "calc-a_chart"), drawn(spec, "calc-b_chart")
    ids = [[element.attrib["id"] for element in svg.iter() if "id" in element.attrib] for svg in (one, two)]
    assert len({*ids[0], *ids[1]}) == len(ids[0]) + len(ids[1])
    assert all(name.startswith("calc-a_chart") for name in ids[0])
    for svg, own in zip((one, two), ids, strict=True):
        for element in svg.iter():
            for key, value in element.attrib.items():
                for name in re.findall(r"url\(#([^)]+)\)", value) + ([value[1:]] if key == "href" else []):
                    assert name in own


def test_dots_of_one_curve_are_one_path() -> None:
    svg = drawn(chart(Series(label="a", x=[1.0, 2.0, 3.0], y=[1.0, 2.0, 4.0], style=0, points_only=True)))
    (dots,) = [path for path in svg.iter(f"{SVG}path") if "--buildlog-c1" in path.attrib.get("style", "")]
    assert [len(dot) for dot in points_of(dots.attrib["d"])] == [2, 2, 2]
    assert "stroke-linecap: round" in dots.attrib["style"]


def test_size() -> None:
    assert len(draw(TWO, anchor="a")) < 2_500
    many = chart(*(curve(f"case {style}", style, rise=style + 4, count=120) for style in range(8)))
    assert len(draw(many, anchor="a")) < 6_000


def test_no_style_sheet_and_no_script_leaks_into_the_page() -> None:
    tags = {element.tag.removeprefix(SVG) for element in drawn(TWO).iter()}
    assert tags <= {"svg", "title", "desc", "g", "path", "defs", "use", "text"}


def test_curves_differ_by_more_than_colour() -> None:
    spec = chart(*(curve(f"case {style}", style, rise=4 + 2 * style) for style in range(12)))
    svg = drawn(spec)
    looks = [
        (re.search(r"--buildlog-c\d", style)[0], (re.search(r"dasharray: ([^;]+)", style) or [""])[0])  # type: ignore[index]
        for path in svg.iter(f"{SVG}path")
        if "--buildlog-c" in (style := path.attrib.get("style", ""))
    ]
    curves = looks[:12]
    assert len({dash for _, dash in curves[:6]}) == 6
    assert len(set(curves)) == 12


# --- hostile and impossible -----------------------------------------------------------------------

HOSTILE = [
    "</svg><script>alert(1)</script>", '"onload="alert(1)', "$\\frac{1}{2}$", "$x_1$ and $x_2$",
    "a & b ]]> <!--",     "javascript:alert(1)",
    "{{7*7}} {% x %}", "line\nbreak\ttab", "\x00\x07\ud800", "漢字 ‮ right to left", "url(#x)",
    "#0072b2", "x" * 5000,
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_author_text_is_literal(text: str) -> None:
    spec = ChartSpec(
        title=text,
        description=text,
        x=replace(SPEED, label=text),
        y=replace(REVS, label=text),
        series=(curve(text), curve(text + "2", 1, rise=20)),
        markers=(Marker(text, x=20.0), Marker(text, y=300.0)),
    )
    plainest = drawn(TWO)
    svg = drawn(spec)
    assert {element.tag for element in svg.iter()} <= {element.tag for element in plainest.iter()} | {
        f"{SVG}g"
    }
    names = {key for element in svg.iter() for key in element.attrib}
    assert not any(name.startswith("on") for name in names)
    assert all(value.startswith("#") for element in svg.iter() if (value := element.attrib.get("href")))
    assert plain(text) + ", km/h" in " ".join(texts(svg)) or not plain(text)


@given(st.text(max_size=80))
def test_any_label_gives_well_formed_xml(text: str) -> None:
    shown = plain(text)
    assert len(shown) <= 44
    ElementTree.fromstring(
        for_page([Shape("text", {"x": "1"}, shown)], "0 0 1 1", anchor="a", title=shown, description=shown)
    )


IMPOSSIBLE = [
    (
        chart(Series(label="run 1", x=[0.0, 1.0], y=[0.0, math.inf])),
        "curve “run 1” with engine speed inf at point 2",
    ),
    (
        chart(Series(label="run 1", x=[0.0, math.nan], y=[0.0, 1.0])),
        "curve “run 1” with road speed nan at point 2",
    ),
    (chart(Series(label="run 1", x=[0.0], y=[0.0])), "curve “run 1” with 1 point"),
    (chart(Series(label="run 1", x=[], y=[], points_only=True)), "curve “run 1” with 0 points"),
    (chart(Series(label="run 1", x=[0.0, 1.0], y=[0.0])), "with 2 x and 1 y values"),
    (ChartSpec(title="t", description="d", x=SPEED, y=REVS, series=()), "no curve"),
    (chart(*[curve(str(at), at) for at in range(25)]), "25 curves"),
    (chart(Series(label="run 1", x=[0.0, 1.0], y=[0.0, 1e200])), "engine speed up to 9.55e+200 rpm"),
    (chart(markers=(Marker("limit", y=math.inf),)), "marker “limit” at infinity"),
]


@pytest.mark.parametrize("spec, found", IMPOSSIBLE, ids=[found for _, found in IMPOSSIBLE])
def test_what_cannot_be_drawn_is_refused_by_name(spec: ChartSpec, found: str) -> None:
    with pytest.raises(Refused) as refusal:
        draw(spec, anchor="a")
    assert refusal.value.code.name == "chart-not-drawn"
    assert found in refusal.value.found
    assert refusal.value.expected


def run(code: str, seed: str = "0") -> str:
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
    ).stdout


DRAW = """
import sys
from buildlog.kinds.declaration import *
from buildlog.charts.drawing import draw
axis = Axis("speed", "speed", "km/h")
curves = tuple(
    Series(label=f"case {s}", x=range(50), y=[x * (s + 1) for x in range(50)], style=s, points_only=s > 1)
    for s in range(6))
spec = ChartSpec(title="t", description="d", x=axis, y=axis, series=curves)
"""


def test_the_same_in_every_process() -> None:
    code = DRAW + "print(draw(spec, anchor='a'))"
    assert run(code, "1") == run(code, "2")


def test_drawing_needs_no_other_package() -> None:
    assert run(DRAW + "draw(spec, anchor='a'); print('matplotlib' in sys.modules)") == "False\n"
