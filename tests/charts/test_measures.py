"""Where everything of a chart stands, by the measures that a drawing has: written out here, so that a change
of one of them is seen. The measures are the house's own choice (regression); what follows of them is plane
geometry, by hand or by other ways than the drawing's own.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import dist, hypot, inf
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.data import check, merged, plain, scale, text_width, thinned, wrapped
from buildlog.charts.drawing import draw
from buildlog.charts.layout import Box, Label, Layout, lay_out
from buildlog.charts.shapes import Shape, shapes, view_box
from buildlog.charts.svg import for_page
from buildlog.diagnostics import Refused
from buildlog.kinds.chart import Arrow, Axis, Bar, BarSpec, Chart, ChartSpec, Marker, Series, Zone
from tests.charts.sample_charts import chart, curve, points_of

WAY = Axis("way", "length", "m", from_zero=True)
UP = Axis("height", "length", "m", from_zero=True)
WIDTH, FONT = 356.0, 13.0


def near(expected: Any, **within: Any) -> Any:
    """`approx` in a place where a type checker would want the very type."""
    return pytest.approx(expected, **within)


# --- text -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "width"),
    [
        ("", 0.0),
        ("5", 0.64),
        ("a", 0.64),
        ("A", 0.7),
        ("i", 0.36),
        ("1", 0.36),
        (".", 0.36),
        ("M", 0.95),
        ("%", 0.95),
        ("—", 0.95),
        ("漢", 1.05),
        ("e\u0301", 0.64),  # an accent of its own takes no room
        ("AiM5", 0.7 + 0.36 + 0.95 + 0.64),
    ],
)
def test_how_wide_a_text_is_reckoned(text: str, width: float) -> None:
    assert text_width(text, 1) == near(width)
    assert text_width(text, 13) == near(13 * width)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("x" * 44, "x" * 44),
        ("x" * 45, "x" * 43 + "…"),
        ("x" * 42 + "  yz", "x" * 42 + "…"),  # no blank before the dots
        (" a \n b\t c ", "a b c"),
        ("a\u0007b\ue000c", "abc"),
        ("5\u00a0km", "5\u00a0km"),
        ("5\u202fkm", "5\u202fkm"),
        ("a\u2003b", "a b"),
        ("", ""),
    ],
)
def test_a_name_on_one_line_and_not_too_long(text: str, shown: str) -> None:
    assert plain(text) == shown


def test_a_name_may_be_cut_elsewhere() -> None:
    assert plain("abcdef", most=6) == "abcdef"
    assert plain("abcdefg", most=6) == "abcde…"


def test_a_line_is_filled_up_to_its_width() -> None:
    room = text_width("ab cd", 10)
    assert wrapped("ab cd eb", 10, room) == ["ab cd", "eb"]
    assert wrapped("ab cd eb", 10, room - 0.01) == ["ab", "cd", "eb"]
    assert wrapped("abcd", 10, text_width("ab", 10)) == ["ab", "cd"]
    assert wrapped("ab abcd", 10, text_width("ab", 10)) == ["ab", "ab", "cd"]


# --- boxes -----------------------------------------------------------------------------------


def test_boxes_meet_where_they_share_more_than_an_edge() -> None:
    box = Box(0, 0, 10, 10)
    assert box.meets(Box(9, 9, 20, 20))
    assert box.meets(Box(2, 2, 3, 3))
    assert box.meets(Box(-5, 4, 15, 6))
    for away in (Box(10, 0, 20, 10), Box(-10, 0, 0, 10), Box(0, 10, 10, 20), Box(0, -10, 10, 0)):
        assert not box.meets(away)
        assert not away.meets(box)


def test_a_box_holds_what_reaches_its_edges_and_no_further() -> None:
    box = Box(0, 0, 10, 10)
    assert box.holds(box)
    for beyond in (Box(-1, 0, 10, 10), Box(0, -1, 10, 10), Box(0, 0, 11, 10), Box(0, 0, 10, 11)):
        assert not box.holds(beyond)
        assert beyond.holds(box)


def test_a_box_grows_to_all_sides() -> None:
    assert Box(1, 2, 3, 4).grown(0.5) == Box(0.5, 1.5, 3.5, 4.5)


def _crosses(box: tuple[int, int, int, int], first: tuple[int, int], second: tuple[int, int]) -> bool:
    """Whether a line touches a rectangle: an end lies in it, or the line meets a diagonal of it. Exact."""
    left, top, right, bottom = box
    if any(left <= x <= right and top <= y <= bottom for x, y in (first, second)):
        return True
    diagonals = (((left, top), (right, bottom)), ((left, bottom), (right, top)))
    return any(_meet(first, second, *ends) for ends in diagonals)


def _meet(a: tuple[int, int], b: tuple[int, int], c: tuple[int, int], d: tuple[int, int]) -> bool:
    """Whether two lines have a point in common, by which side of each the other's ends lie on."""

    def side(p: tuple[int, int], q: tuple[int, int], r: tuple[int, int]) -> int:
        turn = Fraction(q[0] - p[0]) * (r[1] - p[1]) - Fraction(q[1] - p[1]) * (r[0] - p[0])
        return (turn > 0) - (turn < 0)

    def between(p: tuple[int, int], q: tuple[int, int], r: tuple[int, int]) -> bool:
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])

    if side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b):
        return True
    return any(
        side(p, q, r) == 0 and between(p, q, r) for p, q, r in ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    )


_PLACE = st.integers(-3, 8)


@given(st.tuples(_PLACE, _PLACE), st.tuples(_PLACE, _PLACE))
@example((0, -1), (0, 6))  # along an edge
@example((-1, 0), (8, 0))
@example((-1, 1), (1, -1))  # through a corner
@example((-1, 2), (-1, 4))
@example((2, 2), (2, 2))
@example((-1, -1), (-1, -1))
def test_a_box_is_crossed_by_what_touches_it(first: tuple[int, int], second: tuple[int, int]) -> None:
    assert Box(0, 0, 5, 3).crossed(first, second) == _crosses((0, 0, 5, 3), first, second)


@pytest.mark.parametrize(("anchor", "left"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_the_room_of_a_label(anchor: str, left: float) -> None:
    """As wide as its text, from its anchor; 0.55 of its size up and down."""
    label = Label(text="25", x=100.0, y=50.0, anchor=anchor, size=10.0)  # type: ignore[arg-type]
    width = 2 * 6.4
    box = label.box
    assert (box.left, box.right) == near((100 - left * width, 100 - left * width + width))
    assert (box.top, box.bottom) == near((44.5, 55.5))


# --- scales ------------------------------------------------------------------------------------------


def ends(*values: float, most: int = 5, axis: Axis = WAY) -> tuple[float, float]:
    made = scale(axis, "author", values, most, even=True)
    return made.low, made.high


def test_a_fiftieth_of_room_is_left_at_the_ends() -> None:
    """4.9019 · 1.02 is below 5, 4.9021 · 1.02 is above it; no room is left at zero."""
    assert ends(0.0, 4.9019) == (0.0, near(5.0))
    assert ends(0.0, 4.9021) == (0.0, near(6.0))
    assert ends(-4.9019, 0.0) == (near(-5.0), 0.0)
    assert ends(-4.9021, 0.0) == (near(-6.0), 0.0)


@pytest.mark.parametrize(
    ("span", "step"),
    [
        (5.0, 1.0),
        (5.0001, 2.0),
        (10.0, 2.0),
        (10.0001, 2.5),
        (12.5, 2.5),
        (12.6, 5.0),
        (25.0, 5.0),
        (25.1, 10.0),
    ],
)
def test_the_smallest_round_step_of_which_there_are_not_too_many(span: float, step: float) -> None:
    ticks = scale(WAY, "author", [0.0, span], 5, even=False).ticks
    assert ticks[1][0] - ticks[0][0] == near(step)


@pytest.mark.parametrize(
    ("largest", "heading"),
    [
        (0.0, "way, m"), (9.9e-4, "way, 10⁻⁶ m"), (1e-3, "way, m"), (999_999.0, "way, m"),
        (1e6, "way, 10⁶ m"), (1e12, "way, 10¹² m"),
    ],
)  # fmt: skip
def test_from_which_size_a_power_of_ten_stands_in_the_heading(largest: float, heading: str) -> None:
    assert scale(WAY, "author", [0.0, largest], 5, even=False).heading == heading


def test_how_large_and_how_small_values_may_be() -> None:
    scale(WAY, "author", [0.0, 1e12], 5, even=True)
    scale(WAY, "author", [0.0, 1e-290], 5, even=True)
    for value in (1.001e12, -1.001e12, 0.999e-290):
        with pytest.raises(Refused) as refused:
            scale(WAY, "author", [0.0, value], 5, even=True)
        assert refused.value.found.startswith(f"way up to {abs(value):.3g} m")


def test_values_that_are_one_have_a_scale_of_their_size() -> None:
    """A tenth of it to either side, and a unit about zero; what differs by more than a billionth is two."""
    level = Axis("way", "length", "m")
    for values, low, high in (
        ([50.0, 50.0], 45.0, 55.0),
        ([50.0, 50.0 + 4e-8], 45.0, 55.0),
        ([-50.0], -55.0, -45.0),
        ([0.0], -1.0, 1.0),
    ):
        made = scale(level, "author", values, 5, even=False)
        assert (made.low, made.high) == near((low, high))
    apart = scale(level, "author", [50.0, 50.0 + 6e-8], 5, even=False)
    assert apart.high - apart.low == near(6e-8, rel=1e-3)


def test_a_zero_that_is_added_is_no_value_to_keep_away_from() -> None:
    assert ends(3.0, 4.0) == (0.0, 5.0)
    assert ends(-4.0, -3.0) == (-5.0, 0.0)


# --- what is drawn and what is refused ----------------------------------------------------------------

INFINITE = "curve “before” with engine speed inf"
ACROSS = "curve “before” with road speed inf"
LOW_AND_HIGH = replace(curve(count=3), low=[1.0, 2.0, 3.0], high=[4.0, 5.0, 6.0])
BARS = BarSpec(
    title="Bars", description="Bars.", x=Axis("mass", "mass", "kg"), bars=(Bar(label="one", value=2.0),)
)


@pytest.mark.parametrize(
    ("spec", "found"),
    [
        (chart(curve(), markers=(Marker("m", x=inf),)), "marker “m” at infinity"),
        (chart(curve(), markers=(Marker("m", y=inf),)), "marker “m” at infinity"),
        (replace(BARS, markers=(Marker("m", x=inf),)), "marker “m” at infinity"),
        (replace(chart(), zones=(Zone(label="z", high=inf),)), "zone “z” to infinity"),
        (replace(BARS, zones=(Zone(label="z", low=-inf),)), "zone “z” to infinity"),
        (replace(chart(), arrows=(Arrow(label="a", start=(inf, 0), end=(0, 0)),)), "arrow “a” at infinity"),
        (replace(BARS, bars=BARS.bars * 41), "41 bars"),
        (replace(BARS, bars=()), "0 bars"),
        *(
            (replace(BARS, bars=(bar,)), "bar “one” up to infinity")
            for bar in (
                Bar(label="one", value=inf),
                Bar(label="one", value=1.0, start=inf),
                Bar(label="one", value=1.0, low=inf),
                Bar(label="one", value=1.0, high=inf),
            )
        ),
        (chart(*(curve(f"{at}", at) for at in range(25))), "25 curves"),
        (chart(replace(curve(count=3), y=[1.0, 2.0])), "curve “before” with 3 x and 2 y values"),
        (chart(replace(curve(), x=[1.0], y=[1.0])), "curve “before” with 1 point"),
        (chart(replace(curve(), x=[], y=[])), "curve “before” with 0 points"),
        (chart(replace(curve(), x=[], y=[], points_only=True)), "curve “before” with 0 points"),
        (chart(replace(LOW_AND_HIGH, low=())), "curve “before” with 0 values of low"),
        (chart(replace(LOW_AND_HIGH, high=())), "curve “before” with 0 values of high"),
        (chart(replace(LOW_AND_HIGH, low=[1.0, inf, 1.0])), f"{INFINITE} at point 2"),
        (chart(replace(LOW_AND_HIGH, high=[1.0, 2.0, inf])), f"{INFINITE} at point 3"),
        (chart(replace(curve(count=3), y=[inf, 2.0, 3.0])), f"{INFINITE} at point 1"),
        (chart(replace(curve(count=3), x=[0.0, inf, 3.0])), f"{ACROSS} at point 2"),
    ],
)  # fmt: skip
def test_what_is_not_drawn(spec: Chart, found: str) -> None:
    with pytest.raises(Refused) as refused:
        check(spec)
    assert refused.value.found == found


@pytest.mark.parametrize(
    "spec",
    [
        replace(BARS, bars=BARS.bars * 40),
        chart(*(curve(f"{at}", at) for at in range(24))),
        chart(replace(curve(), x=[1.0], y=[1.0], points_only=True)),
        chart(replace(curve(), x=[1.0, 2.0], y=[1.0, 3.0])),
        chart(LOW_AND_HIGH),
        chart(curve(), markers=(Marker("m", x=1.0), Marker("n", y=1.0), Marker("o"))),
        replace(chart(), zones=(Zone(label="z", low=1.0), Zone(label="y", high=1.0))),
    ],
)
def test_what_is_drawn(spec: Chart) -> None:
    check(spec)


def test_curves_are_one_where_they_differ_by_a_five_hundredth_of_all() -> None:
    base = Series(label="a", x=[0.0, 1.0], y=[0.0, 500.0])
    assert len(merged([base, replace(base, label="b", y=[1.0, 500.0])])) == 1
    assert len(merged([base, replace(base, label="b", y=[1.005, 500.0])])) == 2
    assert len(merged([base, replace(base, label="")])) == 2, "what has no name is drawn by itself"
    assert len(merged([base, replace(base, label="b", points_only=True)])) == 2
    assert len(merged([base, replace(base, label="b", x=[0.0, 1.1])])) == 2


@pytest.mark.parametrize(
    ("labels", "joined"),
    [
        (["a", "b"], "a and b"),
        (["a", "b", "c"], "a, b and c"),
        (["a", "a"], "a"),
        (["box, slot", "box, oval"], "box, slot and oval"),
        (["box, slot, new", "box, slot, old"], "box, slot, new and old"),
        (["box", "box, oval"], "box and box, oval"),
    ],
)
def test_names_of_curves_that_are_one(labels: list[str], joined: str) -> None:
    (one,) = merged([Series(label=label, x=[0.0, 1.0], y=[0.0, 1.0]) for label in labels])
    assert one.label == joined


def test_up_to_so_many_points_none_is_left_out() -> None:
    points = [(float(at), float(at % 7)) for at in range(401)]
    assert thinned(points[:400]) == points[:400]
    assert len(thinned(points)) < 401
    few = thinned(points, 40)
    assert len(few) <= 40 + 4
    assert len(few) > 20
    assert {(0.0, 0.0), (400.0, 1.0)} <= set(few)


# --- a chart of curves ----------------------------------------------------------------------------------

LINE_UP = Series(label="rise", x=[0.0, 10.0], y=[0.0, 9.8])


def plan(*series: Series, **others: object) -> ChartSpec:
    made = ChartSpec(title="Rise", description="Rise.", x=WAY, y=UP, series=series or (LINE_UP,))
    return replace(made, **others)  # type: ignore[arg-type]


def test_the_frame_of_a_chart() -> None:
    """Numbers of the ticks take two figures and eight units at the left; the last one's half stands out at
    the right; 30 units above for the heading, 224 for the plot, 44 for the numbers and the heading below."""
    layout = lay_out(plan())
    ten = (0.36 + 0.64) * FONT
    assert layout.plot.left == near(ten + 8)
    assert layout.plot.right == near(WIDTH - max(ten / 2 + 2, 10))
    assert (layout.plot.top, layout.plot.bottom) == (30.0, 254.0)
    assert layout.height == 298.0
    assert (layout.x.low, layout.x.high) == (0.0, 10.0)
    assert (layout.y.low, layout.y.high) == (0.0, 10.0)
    (line,) = layout.curves
    assert line.points[0] == near((layout.plot.left, 254.0))
    assert line.points[1] == near((layout.plot.right, 254 - 0.98 * 224))


def test_broad_numbers_move_the_plot_in() -> None:
    """A number's half and two units stand out at the right, where that is more than ten."""
    layout = lay_out(plan(Series(label="", x=[0.0, 20_000.0], y=[0.0, 1.0])))
    last = layout.x.ticks[-1][1]
    assert last.replace("\u202f", "") == "20000"
    half = (5 * 0.64 + 0.36 * (len(last) - 5)) * FONT / 2
    assert layout.plot.right == near(WIDTH - half - 2)


def test_the_base_of_a_chart_is_its_zero() -> None:
    assert lay_out(plan()).base == 254.0
    below = lay_out(plan(Series(label="", x=[0.0, 1.0], y=[-3.0, 3.0])))
    assert below.base == near((30 + 254) / 2)
    above = plan(Series(label="", x=[0.0, 1.0], y=[30.0, 31.0]), y=replace(UP, from_zero=False))
    assert lay_out(above).base == 254.0


@pytest.mark.parametrize(
    ("zone", "top", "bottom"),
    [
        (Zone(label="", low=2.0, high=5.0), 254 - 112, 254 - 0.2 * 224),
        (Zone(label="", low=5.0), 30.0, 254 - 112),
        (Zone(label="", high=5.0), 254 - 112, 254.0),
    ],
)
def test_a_zone_lies_over_all_the_breadth(zone: Zone, top: float, bottom: float) -> None:
    layout = lay_out(plan(zones=(zone,)))
    (fill,) = layout.fills
    assert {x for x, _ in fill.points} == {layout.plot.left, layout.plot.right}
    assert sorted({y for _, y in fill.points}) == near([top, bottom])
    assert fill.strength == 0.16
    assert fill.style is None


def test_the_name_of_a_zone_stands_in_its_middle() -> None:
    layout = lay_out(plan(zones=(Zone(label="z", low=2.0, high=4.0),)))
    (label,) = (one for one in layout.labels if one.text == "z")
    middle = 254 - 0.3 * 224
    assert label.anchor == "end"
    assert label.y == near(middle)  # nine above a line nine below it


def test_an_arrow_has_a_head_of_nine_units() -> None:
    """Four tenths of its length to either side; a shorter arrow is all head; its name is at its middle."""
    layout = lay_out(plan(arrows=(Arrow(label="moved", start=(0.0, 5.0), end=(10.0, 5.0)),)))
    plot = layout.plot
    y = 254 - 112.0
    (shaft,) = layout.strokes
    assert shaft == (near((plot.left, y)), near((plot.right - 9, y)))
    (head,) = layout.fills
    assert head.strength == 1.0
    tip, *foot = head.points
    assert tip == near((plot.right, y))
    assert sorted(foot) == [
        near((plot.right - 9, y - 3.6)),
        near((plot.right - 9, y + 3.6)),
    ]
    (mark,) = layout.marks
    assert not mark.shown
    assert (mark.x, mark.y) == near(((plot.left + plot.right) / 2, y))
    short = lay_out(plan(arrows=(Arrow(label="", start=(5.0, 5.0), end=(5.0, 5.1)),)))
    (shaft,), (head,) = short.strokes, short.fills
    long = 0.01 * 224
    assert shaft[0] == near(shaft[1])
    assert dist(head.points[1], head.points[2]) == near(0.8 * long)
    still = lay_out(plan(arrows=(Arrow(label="", start=(5.0, 5.0), end=(5.0, 5.0)),)))
    assert len(still.fills) == 1


@pytest.mark.parametrize("end", [(9.0, 8.0), (1.0, 8.0), (8.0, 2.0), (5.0, 9.0)])
def test_the_head_of_an_arrow_stands_square_on_its_shaft(end: tuple[float, float]) -> None:
    """An isosceles triangle whose foot is halved by the shaft, whichever way it points."""
    layout = lay_out(plan(arrows=(Arrow(label="", start=(4.0, 4.0), end=end),)))
    (shaft,), (head,) = layout.strokes, layout.fills
    tip, one, other = head.points
    assert dist(shaft[0], tip) == near(dist(shaft[0], shaft[1]) + 9)
    assert dist(tip, one) == near(dist(tip, other))
    assert dist(one, other) == near(7.2)
    assert ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2) == near(shaft[1])


def test_the_band_of_a_curve_and_the_inside_of_an_outline() -> None:
    band = Series(label="", x=[0.0, 10.0], y=[4.0, 5.0], low=[3.0, 4.0], high=[5.0, 6.0])
    (fill,) = lay_out(plan(replace(band, y=[4.0, 9.8], style=2))).fills
    assert [round(254 - y, 6) for _, y in fill.points] == near([0.5 * 224, 0.6 * 224, 0.4 * 224, 0.3 * 224])
    assert (fill.style, fill.strength) == (2, 0.16)
    outline = Series(label="", x=[0.0, 10.0, 5.0], y=[0.0, 0.0, 9.8], filled=True, style=1)
    layout = lay_out(plan(outline))
    (fill,), (line,) = layout.fills, layout.curves
    assert (fill.style, fill.strength) == (1, 0.1)
    assert line.points[-1] == line.points[0]
    assert len(line.points) == 4


def test_markers_stand_where_they_are_and_are_named_beside() -> None:
    """A point's name eight to its right and nine above; a line's at the top, five beside it, or at the right
    end, four from it and nine above. Where that would cover something, elsewhere."""
    flat = Series(label="", x=[0.0, 10.0], y=[0.0, 0.0])
    high = Marker("", y=9.8)
    layout = lay_out(plan(flat, markers=(Marker("p", x=2.0, y=5.0), high)))
    plot = layout.plot
    across, down = plot.left + 0.2 * (plot.right - plot.left), 254 - 112.0
    assert (layout.marks[0].x, layout.marks[0].y) == near((across, down))
    (name,) = layout.labels
    assert (name.x, name.y, name.anchor) == (near(across + 8), near(down - 9), "start")
    (name,) = lay_out(plan(flat, markers=(Marker("u", x=2.0), high))).labels
    assert (name.x, name.anchor) == (near(across + 5), "start")
    assert name.y == near(30 + 9 + 18)  # the line at 9.8 runs through the first row
    (name,) = lay_out(plan(flat, markers=(Marker("s", y=5.0), high))).labels
    assert (name.x, name.y, name.anchor) == (near(plot.right - 4), near(down - 9), "end")
    # at the right edge a name has no room to the right
    (name,) = lay_out(plan(flat, markers=(Marker("last of all", x=10.0, y=5.0), high))).labels
    assert (name.x, name.y, name.anchor) == (near(plot.right - 8), near(down - 9), "end")
    (name,) = lay_out(plan(flat, markers=(Marker("last of all", x=10.0), high))).labels
    assert (name.x, name.anchor) == (near(plot.right - 5), "end")


def test_a_marker_of_no_place_is_none() -> None:
    assert lay_out(plan(markers=(Marker("nowhere"),))).marks == ()


def test_a_legend_has_its_names_in_rows() -> None:
    """A piece of line 32 long and six more before a name, 16 after it; rows 18 apart from 30 on; the plot
    begins as far below."""
    together = [
        Series(label=name, x=[0.0, 10.0], y=[0.0, 5.0 + at / 30], style=at)
        for at, name in enumerate(("aaaaaaaaaaaa", "bbbbbbbbbbbb", "cccccccccccc", "dddddddddddd"))
    ]
    layout = lay_out(plan(*together))
    width = 12 * 0.64 * FONT
    places = [(sample.x, sample.label.x, sample.label.y) for sample in layout.legend]
    first, second = 0.0, 38 + width + 16
    assert 2 * (38 + width) + 16 <= WIDTH < 2 * second + 38 + width
    assert places == [
        near((first, first + 38, 30.0)),
        near((second, second + 38, 30.0)),
        near((first, first + 38, 48.0)),
        near((second, second + 38, 48.0)),
    ]
    assert all(sample.length == 32.0 for sample in layout.legend)
    assert layout.plot.top == 30 + 2 * 18


def test_a_name_at_the_end_of_a_curve_moves_a_little_to_be_alone() -> None:
    """By four up or down, then eight; two curves that end nearer than that are named elsewhere."""
    pair = plan(LINE_UP, replace(LINE_UP, label="fall", y=[9.8, 7.0], style=1))
    layout = lay_out(pair)
    assert layout.legend == ()
    ends = {one.label: one.points[-1] for one in layout.curves}
    for label in layout.labels:
        assert label.x == near(ends[label.text][0] + 7)
        assert label.y == near(ends[label.text][1])
    # the plot leaves the names' room and twelve more
    widest = max(text_width(one, FONT) for one in ("rise", "fall"))
    assert layout.plot.right == near(WIDTH - widest - 12)


def test_a_plan_to_scale_is_as_high_as_its_breadth_asks() -> None:
    square = Series(label="", x=[0.0, 10.0], y=[0.0, 5.0])
    layout = lay_out(plan(square, equal_scale=True))
    plot = layout.plot
    a_metre = (plot.right - plot.left) / (layout.x.high - layout.x.low)
    assert (plot.bottom - plot.top) / (layout.y.high - layout.y.low) == near(a_metre)
    # one that is much higher than broad gets room at its sides, so that it is 1.2 times as high at most
    tower = lay_out(plan(Series(label="", x=[0.0, 1.0], y=[0.0, 12.0]), equal_scale=True))
    across, up = tower.x.high - tower.x.low, tower.y.high - tower.y.low
    assert across >= 12.0 / 1.2
    assert up / across < 1.4
    assert (tower.x.low + tower.x.high) / 2 == near(0.5, abs=1.0)


# --- a chart of bars ------------------------------------------------------------------------------------


def test_the_measures_of_bars() -> None:
    """Rows of 42; in each the words ten below its top, the bar 16 thick under them; a name over the plot for
    each marker and zone, 18 apart."""
    spec = replace(
        BARS,
        bars=(Bar(label="one", value=2.0), Bar(label="two", value=1.0, low=0.8, high=1.2)),
        markers=(Marker("most", x=1.5),),
        zones=(Zone(label="too much", low=1.8),),
    )
    layout = lay_out_bars(spec)
    plot = layout.plot
    assert plot.left == 8.0
    assert plot.top == 8 + 2 * 18
    assert plot.bottom == plot.top + 2 * 42 + 4
    assert layout.height == plot.bottom + 44
    last = layout.x.ticks[-1][1]
    assert (last, layout.x.high) == ("2.5", 2.5)
    assert plot.right == near(WIDTH - max((0.64 + 0.36 + 0.64) * FONT / 2 + 2, 10))
    breadth = plot.right - plot.left

    shade, one, two = layout.fills
    for fill, row, value in ((one, 0, 2.0), (two, 1, 1.0)):
        top = plot.top + 42 * row + 10 + 9 + 2
        assert [y for _, y in fill.points] == near([top, top, top + 16, top + 16])
        assert fill.points[1][0] == near(plot.left + breadth * value / 2.5)
        assert fill.strength == 0.85
    assert [x for x, _ in shade.points] == near(
        [plot.left + breadth * 1.8 / 2.5, plot.right, plot.right, plot.left + breadth * 1.8 / 2.5]
    )
    most, zone, *rows = layout.labels
    assert (most.text, most.y, most.anchor) == ("most", 9.0, "middle")
    assert most.x == near(plot.left + breadth * 1.5 / 2.5)
    assert (zone.text, zone.y) == ("too much", 27.0)
    half = text_width("too much", FONT) / 2
    assert zone.x == near(min(plot.left + breadth * 2.15 / 2.5, WIDTH - half))
    assert [(one.text, one.y) for one in rows] == [
        ("2.00", plot.top + 10), ("one", plot.top + 10), ("1.00", plot.top + 52), ("two", plot.top + 52)
    ]  # fmt: skip
    assert {one.x for one in rows if one.anchor == "end"} == {plot.right}
    assert {one.x for one in rows if one.anchor == "start"} == {8.0}
    caps = layout.strokes[2:4]
    middle = plot.top + 42 + 29
    assert [y for line in caps for _, y in line] == [middle - 5, middle + 5] * 2


def test_a_bars_name_leaves_room_for_its_value() -> None:
    """Twelve units between them: a name that is too long is cut, one that just fits is not."""
    layout = lay_out_bars(BARS)
    room = layout.plot.right - layout.plot.left - text_width("2.00", FONT) - 12
    fits = int(room / (0.36 * FONT))
    for count, is_whole in ((fits, True), (fits + 1, False)):
        spec = replace(BARS, bars=(Bar(label="i" * count, value=2.0),))
        (name,) = (one.text for one in lay_out_bars(spec).labels if one.anchor == "start")
        if count <= 44:
            assert (name == "i" * count) == is_whole
    wide = lay_out_bars(replace(BARS, bars=(Bar(label="M" * 40, value=2.0),)))
    (name,) = (one.text for one in wide.labels if one.anchor == "start")
    assert name.endswith("M…")
    assert text_width(name, FONT) <= room < text_width(f"{name}M", FONT) + 0.95 * FONT


def test_bars_that_are_no_waterfall_have_no_steps_between_them() -> None:
    two = replace(BARS, bars=(Bar(label="one", value=2.0), Bar(label="two", value=1.0)))
    assert len(lay_out_bars(two).strokes) == 1  # the line at zero
    stairs = replace(two, bars=(two.bars[0], replace(two.bars[1], start=2.0)))
    assert len(lay_out_bars(stairs).strokes) == 2


def test_a_zone_without_end_goes_to_the_edge_and_none_beyond_it() -> None:
    for zone, left, right in (
        (Zone(label="", high=1.0), 0.0, 1.0),
        (Zone(label="", low=1.0), 1.0, 2.5),
        (Zone(label="", low=0.5, high=1.5), 0.5, 1.5),
    ):
        layout = lay_out_bars(replace(BARS, zones=(zone,)))
        plot = layout.plot
        high = layout.x.high
        found = sorted({x for x, _ in layout.fills[0].points})
        expected = [plot.left + (plot.right - plot.left) * min(end, high) / high for end in (left, right)]
        assert found == near(expected)
    assert lay_out_bars(replace(BARS, zones=(zone,))).plot.top == 8.0, "what has no name has no row"


# --- the drawing ------------------------------------------------------------------------------------------


def looks(layout: Layout) -> list[Shape]:
    return shapes(layout)


def widths(spec: ChartSpec) -> set[str]:
    return {
        one.attributes["stroke-width"]
        for one in looks(lay_out(spec))
        if "buildlog-c1" in one.attributes.get("stroke", "")
    }


def test_how_thick_lines_and_points_are() -> None:
    """A curve 1.9, one that was thinned 1.2; up to 30 points are large ones, 7.5, and more of them 5.2."""
    assert widths(plan()) == {"1.9"}
    for count, width in ((400, "1.9"), (401, "1.2")):
        many = Series(label="", x=[at / 10 for at in range(count)], y=[float(at % 7) for at in range(count)])
        assert widths(plan(many)) == {width}
    for count, width in ((30, "7.5"), (31, "5.2")):
        points = Series(
            label="",
            x=list(map(float, range(count))),
            y=[float(at % 7) for at in range(count)],
            points_only=True,
        )
        assert widths(plan(points)) == {width}


def test_grid_axis_and_words_of_the_scales() -> None:
    layout = lay_out(plan(markers=(Marker("", x=5.0), Marker("", x=5.0, y=5.0), Marker("", y=5.0))))
    plot = layout.plot
    grid, axis, *_ = drawn = looks(layout)
    assert grid.attributes["stroke-width"] == "0.8"
    stretches = points_of(grid.attributes["d"])
    assert len(stretches) == len(layout.x.ticks) + len(layout.y.ticks) == 12
    assert axis.attributes["stroke-width"] == "1"
    ((start, end),) = points_of(axis.attributes["d"])
    assert (start, end) == (
        near((plot.left, 254.0), abs=0.01), near((plot.right, 254.0), abs=0.01)
    )  # fmt: skip
    marks = [one for one in drawn if one.attributes.get("stroke-dasharray") == "3 3"]
    assert len(marks) == 2
    assert all(one.attributes["stroke-width"] == "1" for one in marks)
    assert [one.attributes["stroke-width"] for one in drawn if one.attributes.get("stroke-linecap")] == [
        "6.5"
    ]
    words = {one.text: one.attributes for one in drawn if one.tag == "text"}
    low = 0.36 * FONT
    middle = (plot.left + plot.right) / 2
    below, left = words["way, m"], words["height, m"]
    assert (float(below["x"]), float(below["y"])) == near((middle, 254 + 31 + low), abs=0.01)
    assert below["text-anchor"] == "middle"
    assert (float(left["x"]), float(left["y"])) == near((0.0, 9 + low), abs=0.01)
    four = [one.attributes for one in drawn if one.text == "4"]
    places = sorted((float(one["x"]), float(one["y"]), one["text-anchor"]) for one in four)
    assert places == [
        (near(plot.left - 6, abs=0.01), near(254 - 0.4 * 224 + low, abs=0.01), "end"),
        (
            near(plot.left + 0.4 * (plot.right - plot.left), abs=0.01),
            near(254 + 12 + low, abs=0.01),
            "middle",
        ),
    ]
    assert view_box(layout) == "0 0 356 298"


def test_colours_go_round_and_dashes_do_not_with_them() -> None:
    """Six colours; the seventh curve has the first colour and another dash."""
    spec = plan(*(replace(LINE_UP, label=f"{at}", y=[0.0, at + 1.0], style=at) for at in range(12)))
    looks_of = [
        (one.attributes["stroke"].partition(",")[0], one.attributes.get("stroke-dasharray", ""))
        for one in looks(lay_out(spec))
        if "buildlog-c" in one.attributes.get("stroke", "") and "l" in one.attributes["d"]
    ]
    assert len({colour for colour, _ in looks_of[:6]}) == 6
    assert [colour for colour, _ in looks_of[6:12]] == [colour for colour, _ in looks_of[:6]]
    assert len(set(looks_of[:12])) == 12


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(0, 200)), min_size=2, max_size=30))
@example([(0.0, 0.0), (50.0, 0.0), (20.0, 0.0), (100.0, 0.0)])  # back and forth on one line
@example([(0.0, 0.0), (10.0, 0.05), (20.0, 0.0), (30.0, 0.3), (40.0, 0.0)])
def test_a_path_passes_each_of_its_points(points: list[tuple[float, float]]) -> None:
    """By no more than a tenth of a unit, which no screen shows, and a hundredth of rounding."""
    layout = lay_out(plan())
    (line,) = layout.curves
    moved = replace(layout, curves=(replace(line, points=tuple(points)),), marks=(), fills=())
    (drawn,) = (one for one in looks(moved) if "buildlog-c1" in one.attributes.get("stroke", ""))
    (path,) = points_of(drawn.attributes["d"])
    assert path[0] == near(points[0], abs=0.0051)
    assert dist(path[-1], points[-1]) <= 0.008
    for point in points:
        assert min(_away(point, *ends) for ends in pairwise([*path, path[-1]])) <= 0.12


def _away(point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]) -> float:
    across, down = end[0] - start[0], end[1] - start[1]
    length = hypot(across, down)
    if length == 0:
        return dist(point, start)
    share = ((point[0] - start[0]) * across + (point[1] - start[1]) * down) / length**2
    share = min(1.0, max(0.0, share))
    return dist(point, (start[0] + share * across, start[1] + share * down))


def test_points_on_a_straight_line_are_left_out() -> None:
    many = Series(label="", x=[float(at) for at in range(11)], y=[at * 0.98 for at in range(11)])
    (drawn,) = (
        one for one in looks(lay_out(plan(many))) if "buildlog-c1" in one.attributes.get("stroke", "")
    )
    ((*path,),) = points_of(drawn.attributes["d"])
    assert len(path) == 2


def test_what_an_element_says_of_itself() -> None:
    svg = for_page(
        [Shape("text", {"x": "1", "y": "2", "font-size": "13"}, "a<b"), Shape("path", {"d": "M0 0"})],
        "0 0 1 1",
        anchor='c"1',
        title="t & u",
        description="d.",
    )
    assert 'id="c&quot;1"' in svg
    assert "t &amp; u</title>" in svg
    assert '<text x="1" y="2" style="font-size: 13px">a&lt;b</text>' in svg
    assert '<path d="M0 0" style=""/>' in svg or '<path d="M0 0"/>' in svg


def test_the_description_names_curves_marks_and_axes() -> None:
    two = plan(LINE_UP, replace(LINE_UP, label="fall", y=[9.8, 5.0], style=1))
    marked = replace(two, markers=(Marker("limit", y=8.0),), zones=(Zone(label="good", low=9.0),))
    end = " Across: way, m. Up: height, m."
    assert f"Rise.{end}</desc>" in draw(plan(), anchor="a")
    assert f"Rise.{end} Curves: rise, fall.</desc>" in draw(two, anchor="a")
    assert f"Rise.{end} Curves: rise, fall. Marked: limit, good.</desc>" in draw(marked, anchor="a")
    bars = replace(BARS, markers=(Marker("most", x=1.0),))
    assert "Bars. Across: mass, kg. Marked: most.</desc>" in draw(bars, anchor="a")
