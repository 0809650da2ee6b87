"""Charts: what is drawn is what the data say, in the page's colours, whatever the author wrote."""

from __future__ import annotations

import itertools
import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog import chart_layout, charts
from buildlog.calculator import Axis, ChartSpec, Marker, Series
from buildlog.chart_data import MOST_POINTS, plain, text_width, thinned
from buildlog.chart_layout import WIDTH, Box, lay_out
from buildlog.chart_svg import for_page
from buildlog.charts import System, draw
from buildlog.diagnostics import Refused

SVG = "{http://www.w3.org/2000/svg}"
SPEED = Axis("road speed", "speed", "km/h", from_zero=True)
REVS = Axis("engine speed", "rotational speed", "rpm", from_zero=True)


def curve(label: str = "before", style: int = 0, *, rise: float = 10.0, count: int = 40) -> Series:
    x = [60.0 * step / (count - 1) for step in range(count)]
    return Series(label, x, [100 + rise * value for value in x], style)


def chart(*series: Series, markers: tuple[Marker, ...] = (), x: Axis = SPEED, y: Axis = REVS) -> ChartSpec:
    return ChartSpec("Engine speed", "Engine speed against road speed.", x, y, series or (curve(),), markers)


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


# --- the picture -----------------------------------------------------------------------


def test_a_curve_lies_where_its_numbers_are() -> None:
    svg = drawn(chart(Series("", [0.0, 100 / 3.6], [0.0, 6000 * math.pi / 30])))
    ((start, end),) = paths(svg, 1)
    labels = {text.text: text for text in svg.iter(f"{SVG}text")}
    # The ends carry the same places as the ticks that name them.
    assert start[0] == pytest.approx(float(labels["0"].attrib["x"]), abs=12)
    assert end[0] == pytest.approx(float(labels["100"].attrib["x"]), abs=0.02)
    assert end[1] == pytest.approx(float(labels["6000"].attrib["y"]) - 0.36 * 12.5, abs=0.02)


def test_every_colour_is_the_pages() -> None:
    spec = chart(*(curve(f"case {style}", style, rise=4 + 2 * style) for style in range(9)), markers=MARKERS)
    text = draw(spec, anchor="a", cache_folder=None)
    bare = re.sub(r"var\(--buildlog-[a-z0-9]+, (#[0-9a-f]{6}|currentColor|rgba\([^)]*\))\)", "", text)
    assert "#" not in bare.replace('href="#', "").replace("url(#", "")
    for word in ("black", "white", "rgb", "currentColor"):
        assert word not in bare
    for element in drawn(spec).iter(f"{SVG}text"):
        assert "fill: var(--buildlog-ink, currentColor)" in element.attrib["style"]


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
    named = svg.attrib["aria-labelledby"].split()
    by_id = {element.attrib["id"]: element for element in svg.iter() if "id" in element.attrib}
    assert [by_id[name].tag for name in named] == [f"{SVG}title", f"{SVG}desc"]
    assert by_id[named[0]].text == "Engine speed"
    description = by_id[named[1]].text or ""
    assert description.startswith("Engine speed against road speed. Across: road speed, km/h.")
    assert "before, after" in description


def test_text_is_large_enough_on_a_phone() -> None:
    # 360 px less 10 px on either side; 9.5 px is the smallest print that the site has anywhere.
    for text in drawn(TWO).iter(f"{SVG}text"):
        size = re.search(r"font-size: ([\d.]+)px", text.attrib["style"])
        assert size
        assert float(size[1]) * 340 / WIDTH >= 9.5


def test_no_id_twice_with_two_charts_and_every_reference_is_met() -> None:
    spec = chart(Series("a", [1.0, 2.0], [1.0, 2.0], 0, points_only=True), curve("b", 1), markers=MARKERS)
    one, two = drawn(spec, "calc-a_chart"), drawn(spec, "calc-b_chart")
    ids = [[element.attrib["id"] for element in svg.iter() if "id" in element.attrib] for svg in (one, two)]
    assert len({*ids[0], *ids[1]}) == len(ids[0]) + len(ids[1])
    assert all(name.startswith("calc-a_chart") for name in ids[0])
    for svg, own in zip((one, two), ids, strict=True):
        for element in svg.iter():
            for key, value in element.attrib.items():
                for name in re.findall(r"url\(#([^)]+)\)", value) + ([value[1:]] if key == "href" else []):
                    assert name in own


def test_size() -> None:
    assert len(draw(TWO, anchor="a", cache_folder=None)) < 12_000
    many = chart(*(curve(f"case {style}", style, rise=style + 4, count=120) for style in range(8)))
    assert len(draw(many, anchor="a", cache_folder=None)) < 30_000


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


# --- labels --------------------------------------------------------------------------------


def test_two_curves_are_named_at_their_ends() -> None:
    layout = lay_out(TWO)
    assert not layout.legend
    ends = {curve.label: curve.points[-1] for curve in layout.curves}
    for label in layout.labels:
        assert abs(label.y - ends[label.text][1]) <= 4
        assert label.x == pytest.approx(ends[label.text][0] + 7)


def test_one_curve_needs_no_name() -> None:
    assert lay_out(chart()).labels == ()


def test_curves_that_end_together_go_into_a_legend() -> None:
    spec = chart(*(curve(f"case {style}", style, rise=10 + style / 10) for style in range(6)))
    layout = lay_out(spec)
    assert [sample.label.text for sample in layout.legend] == [f"case {style}" for style in range(6)]
    assert all(sample.label.box.right <= WIDTH for sample in layout.legend)


def test_long_names_do_not_squeeze_the_plot() -> None:
    spec = chart(
        curve("as it left the workshop last year"), curve("with everything in this episode done", 1, rise=20)
    )
    layout = lay_out(spec)
    assert layout.plot.right - layout.plot.left > 0.75 * WIDTH


@given(
    st.lists(
        st.tuples(
            st.text("abcdefgh WM", min_size=1, max_size=24),
            st.lists(st.floats(0, 1000), min_size=2, max_size=12),
        ),
        min_size=1,
        max_size=6,
    ),
    st.lists(st.tuples(st.none() | st.floats(0, 11), st.none() | st.floats(0, 1000)), max_size=3),
)
def test_no_label_covers_another_or_a_curve_or_leaves_the_drawing(
    rows: list[tuple[str, list[float]]], marks: list[tuple[float | None, float | None]]
) -> None:
    series = [
        Series(f"{label}{at}", range(len(values)), values, at) for at, (label, values) in enumerate(rows)
    ]
    spec = chart(*series, markers=tuple(Marker(f"mark {at}", x, y) for at, (x, y) in enumerate(marks)))
    layout = lay_out(spec)
    curve_labels = [label for label in layout.labels if not label.text.startswith("mark ")]
    curve_labels += [sample.label for sample in layout.legend]
    paper = Box(0, 0, WIDTH, layout.height)
    for label in (*layout.labels, *curve_labels):
        assert paper.holds(label.box)
    for one, other in itertools.combinations(curve_labels, 2):
        assert not one.box.meets(other.box)
    for label in curve_labels:
        for drawn_curve in layout.curves:
            for first, second in itertools.pairwise(drawn_curve.points):
                assert not label.box.crossed(first, second)
    if len(rows) > 1:
        assert len(curve_labels) == len(rows)


def test_a_box_is_crossed_by_lines_through_it_only() -> None:
    box = Box(10, 10, 20, 20)
    for first, second in [((0, 15), (30, 15)), ((15, 0), (15, 30)), ((0, 0), (30, 30)), ((12, 12), (13, 13))]:
        assert box.crossed(first, second)
    for first, second in [((0, 5), (30, 5)), ((0, 0), (5, 30)), ((0, 25), (25, 50)), ((21, 0), (21, 30))]:
        assert not box.crossed(first, second)


def test_text_is_not_wider_than_reckoned() -> None:
    # Against the metrics of DejaVu Sans, one of the widest fonts that a page may have.
    from matplotlib import font_manager

    font = font_manager.get_font(font_manager.findfont("DejaVu Sans"))
    font.set_size(13, 72)
    for text in (
        "before",
        "whole ram pressure",
        "12 500",
        "gear 1",
        "MWMW",
        "0.0025",
        "with the other clutch",
    ):
        font.set_text(text)
        assert text_width(text, 13) >= 0.93 * font.get_width_height()[0] / 64
        assert text_width(text, 13) <= 1.25 * font.get_width_height()[0] / 64


# --- scales -----------------------------------------------------------------------------------


def test_both_systems_of_units() -> None:
    metric, us = drawn(TWO, system="metric"), drawn(TWO, system="us")
    assert "road speed, km/h" in texts(metric)
    assert "road speed, mph" in texts(us)
    # NIST SP 811 (2008), B.8: 1 mi/h = 0.44704 m/s exactly; both charts draw one and the same curve.
    layout = lay_out(TWO, "us")
    assert layout.x.from_si(0.44704) == pytest.approx(1)
    assert layout.x.share(60.0) == pytest.approx(1.0)
    assert "engine speed, rpm" in texts(us)


def test_the_authors_units_by_default() -> None:
    axis = replace(SPEED, unit="mph")
    assert "road speed, mph" in texts(drawn(chart(x=axis)))
    assert "road speed, km/h" in texts(drawn(chart(x=axis), system="metric"))


@given(st.floats(-1e9, 1e9), st.floats(1e-6, 1e9), st.booleans(), st.booleans())
def test_ticks_are_few_even_and_within_the_scale(low: float, span: float, zero: bool, square: bool) -> None:
    axis = Axis("length", "length", "m", from_zero=zero)
    spec = chart(Series("", [low, low + span], [low, low + span * (0.5 if square else 1)]), x=axis, y=axis)
    layout = lay_out(spec)
    for scale in (layout.x, layout.y):
        assert 1 <= len(scale.ticks) <= 12
        tolerance = 1e-6 * (scale.high - scale.low)
        assert all(scale.low - tolerance <= value <= scale.high + tolerance for value, _ in scale.ticks)
        shown = [text for _, text in scale.ticks]
        if span > 1e-5 * abs(low):
            assert len(set(shown)) == len(shown)
        assert scale.low <= low + tolerance
        assert all(0 <= scale.share(value) <= 1 + 1e-9 for value in (low,))
        if zero:
            assert scale.low <= tolerance


def test_large_and_small_values_have_their_power_of_ten_in_the_heading() -> None:
    energy = Axis("energy", "energy", "J")
    assert "energy, 10⁶ J" in texts(drawn(chart(Series("", [0, 1], [0, 3e7]), y=energy)))
    assert "energy, 10⁻⁶ J" in texts(drawn(chart(Series("", [0, 1], [0, 5e-6]), y=energy)))


def test_a_level_curve_is_drawn_in_the_middle() -> None:
    layout = lay_out(chart(Series("", [1.0, 2.0], [300.0, 300.0]), y=replace(REVS, from_zero=False)))
    assert 0.3 < layout.y.share(300.0) < 0.7


def test_negative_ticks_have_a_true_minus() -> None:
    shown = texts(drawn(chart(Series("", [1.0, 2.0], [-300.0, 300.0]))))
    assert any(text.startswith("\u2212") for text in shown)
    assert not any(text.startswith("-") for text in shown)


# --- long data ---------------------------------------------------------------------------------


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=3000), st.integers(20, 400))
def test_a_thinned_curve_keeps_its_ends_and_extremes(values: list[float], most: int) -> None:
    points = [(float(at), value) for at, value in enumerate(values)]
    kept = thinned(points, most)
    assert len(kept) <= max(most, 4) + 4
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    assert max(value for _, value in kept) == max(values)
    assert min(value for _, value in kept) == min(values)
    assert kept == sorted(kept)


def test_a_long_run_stays_small_and_keeps_its_peak() -> None:
    count = 20_000
    y = [300 + 50 * math.sin(at * 1.7) for at in range(count)]
    y[12_345] = 900.0
    svg = drawn(chart(Series("run", [at / 100 for at in range(count)], y)))
    assert len(ElementTree.tostring(svg)) < 16_000
    ((*points,),) = paths(svg, 1)
    assert len(points) <= MOST_POINTS + 4
    heights = [y for _, y in points]
    assert min(heights) < sorted(heights)[1] - 50


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
        text, text, replace(SPEED, label=text), replace(REVS, label=text),
        (curve(text), curve(text + "2", 1, rise=20)), (Marker(text, x=20.0), Marker(text, y=300.0)),
    )  # fmt: skip
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
        for_page(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>', anchor="a", title=shown,
            description=shown, colours={},
        )
    )  # fmt: skip


IMPOSSIBLE = [
    (chart(Series("run 1", [0.0, 1.0], [0.0, math.inf])), "curve “run 1” with engine speed inf at point 2"),
    (chart(Series("run 1", [0.0, math.nan], [0.0, 1.0])), "curve “run 1” with road speed nan at point 2"),
    (chart(Series("run 1", [0.0], [0.0])), "curve “run 1” with 1 point"),
    (chart(Series("run 1", [], [], points_only=True)), "curve “run 1” with 0 points"),
    (chart(Series("run 1", [0.0, 1.0], [0.0])), "with 2 x and 1 y values"),
    (ChartSpec("t", "d", SPEED, REVS, ()), "no curve"),
    (chart(*[curve(str(at), at) for at in range(25)]), "25 curves"),
    (chart(Series("run 1", [0.0, 1.0], [0.0, 1e200])), "engine speed up to 9.55e+200 rpm"),
    (chart(markers=(Marker("limit", y=math.inf),)), "marker “limit” at infinity"),
]


@pytest.mark.parametrize("spec, found", IMPOSSIBLE, ids=[found for _, found in IMPOSSIBLE])
def test_what_cannot_be_drawn_is_refused_by_name(spec: ChartSpec, found: str) -> None:
    with pytest.raises(Refused) as refusal:
        draw(spec, anchor="a", cache_folder=None)
    assert refusal.value.code == "chart-not-drawn"
    assert found in refusal.value.found
    assert refusal.value.expected


# --- finished charts are kept ------------------------------------------------------------------------


@pytest.fixture
def uses(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Counts how often a chart is drawn anew."""
    count: list[int] = []
    draws = charts._drawn

    def counted(layout: chart_layout.Layout) -> str:
        count.append(1)
        return draws(layout)

    monkeypatch.setattr(charts, "_drawn", counted)
    return count


def test_a_chart_is_drawn_once(tmp_path: Path, uses: list[int]) -> None:
    first = draw(TWO, anchor="a", cache_folder=tmp_path)
    assert draw(TWO, anchor="a", cache_folder=tmp_path) == first
    assert len(uses) == 1


@pytest.mark.parametrize(
    "changed",
    [
        (replace(TWO, title="Another"), "a", "author"),
        (chart(curve(), curve("after", 1, rise=13.000001)), "a", "author"),
        (TWO, "b", "author"),
        (TWO, "a", "us"),
    ],
    ids=["title", "data", "anchor", "system"],
)
def test_a_change_is_drawn_anew(
    tmp_path: Path, uses: list[int], changed: tuple[ChartSpec, str, System]
) -> None:
    draw(TWO, anchor="a", cache_folder=tmp_path)
    spec, anchor, system = changed
    draw(spec, anchor=anchor, system=system, cache_folder=tmp_path)
    assert len(uses) == 2


@pytest.mark.parametrize(
    "damage", [b"", b"\xff\xfe", b"0\n<svg/>", None], ids=["empty", "bytes", "false", "cut"]
)
def test_a_damaged_entry_is_a_miss(tmp_path: Path, uses: list[int], damage: bytes | None) -> None:
    first = draw(TWO, anchor="a", cache_folder=tmp_path)
    (entry,) = tmp_path.rglob("*.svg")
    entry.write_bytes(entry.read_bytes()[:-20] if damage is None else damage)
    assert draw(TWO, anchor="a", cache_folder=tmp_path) == first
    assert len(uses) == 2
    assert [path.suffix for path in tmp_path.rglob("*") if path.is_file()] == [".svg"]


def test_a_folder_that_cannot_be_made_does_not_matter(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    assert draw(TWO, anchor="a", cache_folder=tmp_path / "file").startswith("<svg")


def run(code: str, seed: str = "0") -> str:
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
    ).stdout  # fmt: skip


DRAW = """
import sys
from buildlog.calculator import *
from buildlog.charts import draw
axis = Axis("speed", "speed", "km/h")
spec = ChartSpec("t", "d", axis, axis, tuple(
    Series(f"case {s}", range(50), [x * (s + 1) for x in range(50)], s, s == 2) for s in range(3)))
"""


def test_the_same_in_every_process() -> None:
    code = DRAW + "print(draw(spec, anchor='a', cache_folder=None))"
    assert run(code, "1") == run(code, "2")


def test_matplotlib_is_imported_only_to_draw(tmp_path: Path) -> None:
    code = DRAW + "\nassert 'matplotlib' not in sys.modules"
    code += f"\nfrom pathlib import Path; draw(spec, anchor='a', cache_folder=Path({str(tmp_path)!r}))"
    run(code + "\nassert 'matplotlib' in sys.modules")
    run(code + "\nassert 'matplotlib' not in sys.modules")
    run(DRAW + "\nassert 'matplotlib' not in sys.modules")


def test_the_machines_own_settings_change_nothing(tmp_path: Path) -> None:
    import matplotlib

    with matplotlib.rc_context({"path.sketch": (4, 50, 4), "font.size": 30, "lines.linewidth": 9}):
        other = draw(TWO, anchor="a", cache_folder=None)
    assert other == draw(TWO, anchor="a", cache_folder=None)
