"""Charts: scales, thinned curves, and labels that cover nothing."""

from __future__ import annotations

import itertools
import math
import random
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.charts.data import MOST_POINTS, SMALLEST, text_width, thinned, wrapped
from buildlog.charts.layout import WIDTH, Box, lay_out
from buildlog.diagnostics import Refused
from buildlog.kinds.declaration import Axis, ChartSpec, Marker, Series
from tests.charts.sample_charts import REVS, SPEED, TWO, chart, curve, drawn, paths, texts
from tests.house import ROOT

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


def test_curves_upon_each_other_are_one_under_both_names() -> None:
    layout = lay_out(chart(curve("box, slot"), curve("box, oval", 1), curve("ram", 2, rise=20)))
    assert [one.label for one in layout.curves] == ["box, slot and oval", "ram"]
    assert {label.text for label in layout.labels} == {"box, slot and oval", "ram"}
    (alone,) = lay_out(chart(curve("old"), curve("new", 1), curve("third", 2))).labels
    assert alone.text == "old, new and third", "that they are the same is worth a name"
    assert len(lay_out(chart(curve("a"), curve("b", 1, rise=9.9))).curves) == 2


def test_long_names_do_not_squeeze_the_plot() -> None:
    spec = chart(
        curve("as it left the workshop last year"), curve("with everything in this episode done", 1, rise=20)
    )
    layout = lay_out(spec)
    assert layout.plot.right - layout.plot.left > 0.75 * WIDTH


def test_a_name_broader_than_the_drawing_goes_on_in_the_next_line() -> None:
    # Six curves upon each other are one that has all their names.
    names = [f"with the longer duct and filter {number}" for number in range(6)]
    spec = chart(*(curve(name, style) for style, name in enumerate(names)), curve("old", 6, rise=20))
    layout = lay_out(spec)
    long, old = layout.legend
    lines = [long.label, *long.more]
    assert " ".join(line.text for line in lines) == f"{', '.join(names[:-1])} and {names[-1]}"
    assert all(line.box.right <= WIDTH for line in lines)
    assert old.label.y > lines[-1].y
    assert old.label.box.bottom < layout.plot.top
    assert {line.text for line in lines} <= set(texts(drawn(spec)))


def test_a_word_is_broken_only_where_it_fills_a_line() -> None:
    assert wrapped("to be or", 10, text_width("to be", 10)) == ["to be", "or"]
    assert wrapped("a MMMMM i", 10, text_width("MM", 10)) == ["a", "MM", "MM", "M i"]


VALUES = st.just(0.0) | st.floats(SMALLEST, 1000)


@given(
    st.lists(
        st.tuples(
            st.text("abcdefgh WM", min_size=1, max_size=24),
            st.lists(VALUES, min_size=2, max_size=12),
        ),
        min_size=1,
        max_size=6,
    ),
    st.lists(st.tuples(st.none() | st.floats(0, 11), st.none() | VALUES), max_size=3),
)
@example([("M" * 12, [0.0, 1.0])] * 6, [])
@example([("W W", [0.0, SMALLEST])], [])
def test_no_label_covers_another_or_a_curve_or_leaves_the_drawing(
    rows: list[tuple[str, list[float]]], marks: list[tuple[float | None, float | None]]
) -> None:
    series = [
        Series(label=f"{label}{at}", x=range(len(values)), y=values, style=at)
        for at, (label, values) in enumerate(rows)
    ]
    spec = chart(*series, markers=tuple(Marker(f"mark {at}", x, y) for at, (x, y) in enumerate(marks)))
    layout = lay_out(spec)
    curve_labels = [label for label in layout.labels if not label.text.startswith("mark ")]
    curve_labels += [line for sample in layout.legend for line in (sample.label, *sample.more)]
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
        assert len(layout.legend or curve_labels) == len(layout.curves) <= len(rows)


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
    spec = chart(
        Series(label="", x=[low, low + span], y=[low, low + span * (0.5 if square else 1)]), x=axis, y=axis
    )
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


@pytest.mark.parametrize("values", [[0.0, 5e-324], [5e-324, 5e-324], [-1e-300, 0.0]])
def test_values_too_small_for_a_scale_are_refused(values: list[float]) -> None:
    # Ticks between them would be subnormal numbers, or all be zero; drawn as zero they would be a lie.
    upwards, across = Series(label="", x=[0.0, 1.0], y=values), Series(label="", x=values, y=[0.0, 1.0])
    for spec in (chart(upwards), chart(across)):
        with pytest.raises(Refused, match="e-") as refused:
            lay_out(spec)
        assert refused.value.code.name == "chart-not-drawn"


def test_the_smallest_values_that_have_a_scale() -> None:
    length = Axis("length", "length", "m")
    layout = lay_out(
        chart(Series(label="", x=[0.0, SMALLEST], y=[SMALLEST, SMALLEST * (1 + 1e-8)]), x=length, y=length)
    )
    assert layout.x.heading == "length, 10⁻²⁹¹ m"
    assert layout.x.share(SMALLEST) == pytest.approx(1)
    assert layout.y.share(SMALLEST * (1 + 1e-8)) > layout.y.share(SMALLEST) + 0.5


def test_large_and_small_values_have_their_power_of_ten_in_the_heading() -> None:
    energy = Axis("energy", "energy", "J")
    assert "energy, 10⁶ J" in texts(drawn(chart(Series(label="", x=[0, 1], y=[0, 3e7]), y=energy)))
    assert "energy, 10⁻⁶ J" in texts(drawn(chart(Series(label="", x=[0, 1], y=[0, 5e-6]), y=energy)))


def test_a_level_curve_is_drawn_in_the_middle() -> None:
    layout = lay_out(
        chart(Series(label="", x=[1.0, 2.0], y=[300.0, 300.0]), y=replace(REVS, from_zero=False))
    )
    assert 0.3 < layout.y.share(300.0) < 0.7


def test_negative_ticks_have_a_true_minus() -> None:
    shown = texts(drawn(chart(Series(label="", x=[1.0, 2.0], y=[-300.0, 300.0]))))
    assert any(text.startswith("\u2212") for text in shown)
    assert not any(text.startswith("-") for text in shown)


# --- long data ---------------------------------------------------------------------------------


@given(st.randoms(use_true_random=False), st.integers(1, 3000), st.integers(20, 400))
def test_a_thinned_curve_keeps_its_ends_and_extremes(chance: random.Random, count: int, most: int) -> None:
    values = [chance.uniform(-1, 1) for _ in range(count)]
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
    svg = drawn(chart(Series(label="run", x=[at / 100 for at in range(count)], y=y)))
    assert len(ElementTree.tostring(svg)) < 16_000
    ((*points,),) = paths(svg, 1)
    assert len(points) <= MOST_POINTS + 4
    heights = [y for _, y in points]
    assert min(heights) < sorted(heights)[1] - 50


def test_no_curve_runs_through_the_label_of_a_level_line_that_it_crosses() -> None:
    """Where every place touches something, the one is taken that a curve passes at the edge: the torque of a
    shock in the clutch's chart, which lies between the two covers."""
    block = Book.open(root=ROOT).result("episodes/clutch", "covers")
    assert block is not None
    for spec in block.charts:
        assert isinstance(spec, ChartSpec)
        layout = lay_out(spec)
        assert "peak of a shock" in {label.text for label in layout.labels}
        for label, drawn_curve in itertools.product(layout.labels, layout.curves):
            inner = label.box.grown(-3)
            assert not any(inner.crossed(*ends) for ends in itertools.pairwise(drawn_curve.points)), (
                label.text
            )
