"""Bars, bands, zones, arrows and plans to scale: where they are drawn and what is refused."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import pairwise
from math import inf, isclose

import pytest

from buildlog.charts.bars import lay_out_bars
from buildlog.charts.drawing import draw
from buildlog.charts.layout import lay_out
from buildlog.diagnostics import Refused
from buildlog.kinds.chart import Arrow, Axis, Bar, BarSpec, Chart, ChartSpec, Marker, Series, Zone
from buildlog.render.chart import chart_table
from tests.charts.sample_charts import REVS, SPEED, TWO, chart, curve

MASS = Axis("mass", "mass", "kg")
GAP = Axis("room left", "length", "mm")
ACROSS = Axis("from the middle, to the right", "length", "mm")
ALONG = Axis("before the rear axle", "length", "mm")
BILL = BarSpec(
    title="What the parts add",
    description="Mass of each part, one after the other.",
    x=MASS,
    bars=(
        Bar(label="box", value=1.4, low=1.3, high=1.5),
        Bar(label="hose", value=0.6, start=1.4),
        Bar(label="old box out", value=-2.5, start=2.0, style=1),
        Bar(label="in all", value=-0.5, tone="good"),
    ),
)
WHEEL = BarSpec(
    title="Room about the wheel",
    description="What is left, less its uncertainty.",
    x=GAP,
    bars=(Bar(label="to the strut, near", value=0.0051, low=-0.0009, high=0.0111, tone="near"),),
    markers=(Marker("limit", x=0.005),),
    zones=(Zone(label="touches", high=0.0, tone="bad"),),
)
PLAN = ChartSpec(
    title="Where the mass is",
    description="Seen from above.",
    x=ACROSS,
    y=ALONG,
    series=(
        Series(label="wheels", x=[-0.7, 0.7, -0.7, 0.7], y=[0.0, 0.0, 2.2, 2.2], points_only=True),
        Series(label="after", x=[0.0, 0.02, 0.0, -0.02], y=[1.05, 1.0, 0.95, 1.0], style=1, filled=True),
    ),
    arrows=(Arrow(label="moved", start=(0.0, 1.2), end=(0.0, 1.0)),),
    equal_scale=True,
)


def drawn(spec: Chart) -> str:
    svg = draw(spec, anchor="calc-a_chart")
    ElementTree.fromstring(svg)
    return svg


def test_a_bar_is_as_long_as_its_value() -> None:
    layout = lay_out_bars(BILL)
    bars = [fill for fill in layout.fills if fill.strength > 0.5]
    lengths = [fill.points[1][0] - fill.points[0][0] for fill in bars]
    assert lengths[2] / lengths[0] == pytest.approx(-2.5 / 1.4)
    for before, after in pairwise(bars[:3]):
        assert after.points[0][0] == pytest.approx(before.points[1][0])  # each starts where one ended


def test_bars_are_named_and_have_their_values_beside() -> None:
    svg = drawn(BILL)
    for text in ("box", "old box out", "−2.50", "mass, kg"):
        assert f">{text}</text>" in svg


def test_zones_and_limits_of_bars_are_drawn_and_told() -> None:
    svg = drawn(WHEEL)
    assert "--buildlog-bad" in svg
    assert "--buildlog-near" in svg
    assert "Marked: limit, touches." in svg
    assert dict(chart_table(WHEEL).markers) == {"limit": "room left 5.00 mm", "touches": "to 0.00 mm"}
    assert chart_table(WHEEL).curves[0][1] == (("to the strut, near", "5.10 (−0.90 to 11.10)"),)


def test_a_band_is_between_its_ends_and_within_the_plot() -> None:
    line = curve()
    band = replace(line, low=[y - 20 for y in line.y], high=[y + 30 for y in line.y])
    layout = lay_out(chart(band, curve("after", 1, rise=13.0)))
    (fill,) = layout.fills
    half = len(fill.points) // 2
    for above, below in zip(fill.points[:half], reversed(fill.points[half:]), strict=True):
        assert above[0] == below[0]
        assert layout.plot.top <= above[1] < below[1] <= layout.plot.bottom
    ratio = (layout.curves[0].points[0][1] - fill.points[0][1]) / (fill.points[-1][1] - fill.points[0][1])
    assert isclose(ratio, 30 / 50, rel_tol=1e-6)
    assert chart_table(chart(band)).curves[0][1][0][1].endswith(")")


def test_curves_upon_each_other_are_not_one_where_their_bands_differ() -> None:
    line = curve()
    band = replace(line, label="other", style=1, low=[y - 20 for y in line.y], high=[y + 20 for y in line.y])
    assert len(lay_out(chart(line, band)).curves) == 2


def test_a_plan_is_to_scale() -> None:
    layout = lay_out(PLAN)
    wheels = layout.curves[0].points
    assert wheels[1][0] - wheels[0][0] == pytest.approx(1.4 / 2.2 * (wheels[0][1] - wheels[2][1]))
    assert layout.height < 1.6 * 430
    svg = drawn(PLAN)
    assert ">moved</text>" in svg


def test_zones_of_a_chart_colour_a_range() -> None:
    spec = replace(TWO, zones=(Zone(label="beyond the limiter", low=60.0, tone="bad"),))
    layout = lay_out(spec)
    (fill,) = layout.fills
    assert min(y for _, y in fill.points) == layout.plot.top
    assert "beyond the limiter" in [label.text for label in layout.labels]


@pytest.mark.parametrize(
    ("spec", "found"),
    [
        (replace(BILL, bars=()), "0 bars"),
        (replace(BILL, bars=(Bar(label="a", value=inf),)), "bar “a” up to infinity"),
        (replace(WHEEL, zones=(Zone(label="z", low=inf),)), "zone “z” to infinity"),
        (replace(PLAN, arrows=(Arrow(label="b", start=(0, 0), end=(inf, 0)),)), "arrow “b” at infinity"),
        (replace(PLAN, y=replace(ALONG, unit="in")), "a plan with mm across and in up"),
        (chart(replace(curve(), low=[1.0])), "curve “before” with 1 values of low"),
        (replace(TWO, x=SPEED, y=REVS, series=()), "no curve"),
    ],
)
def test_what_cannot_be_drawn_is_refused(spec: Chart, found: str) -> None:
    with pytest.raises(Refused) as caught:
        draw(spec, anchor="a")
    assert caught.value.found == found


# --- where bars stand, by hand: the bill's axis goes from −1 to 2.5 kg in steps of 0.5 -----------------


def test_each_bar_lies_between_its_ends_on_the_scale() -> None:
    layout = lay_out_bars(BILL)
    low, high = layout.x.low, layout.x.high
    assert (low, high) == (-1.0, 2.5)
    width = layout.plot.right - layout.plot.left

    def place(value: float) -> float:
        return layout.plot.left + width * (value - low) / (high - low)

    for fill, (start, end) in zip(layout.fills, [(0, 1.4), (1.4, 2.0), (2.0, -0.5), (0, -0.5)], strict=True):
        across = [x for x, _ in fill.points]
        assert across == pytest.approx([place(start), place(end), place(end), place(start)])
    middles = [(fill.points[0][1] + fill.points[2][1]) / 2 for fill in layout.fills]
    assert [after - before for before, after in pairwise(middles)] == pytest.approx([42.0] * 3)
    assert all(fill.points[2][1] - fill.points[0][1] == pytest.approx(16.0) for fill in layout.fills)
    assert layout.plot.top < middles[0] - 8
    assert middles[-1] + 8 < layout.plot.bottom

    zero, spread, *caps_and_steps = layout.strokes
    assert [x for x, _ in zero] == pytest.approx([place(0.0)] * 2)
    assert [y for _, y in zero] == [layout.plot.top, layout.plot.bottom]
    assert [x for x, _ in spread] == pytest.approx([place(1.3), place(1.5)])
    assert [y for _, y in spread] == [middles[0], middles[0]]
    caps, steps = caps_and_steps[:2], caps_and_steps[2:]
    assert [line[0][0] for line in caps] == pytest.approx([place(1.3), place(1.5)])
    assert all(line[1][1] - line[0][1] == 10.0 for line in caps)
    # from the end of one bar to the beginning of the next; the sum begins at zero and goes on from none
    assert [line[0][0] for line in steps] == pytest.approx([place(1.4), place(2.0), place(0.0)])
    for line, above, below in zip(steps, middles, middles[1:], strict=False):
        assert [y for _, y in line] == pytest.approx([above + 8, below - 8])


def test_values_are_written_with_three_digits_or_so() -> None:
    bars = tuple(
        Bar(label=f"{value}", value=value)
        for value in (123.4, 100.0, 99.94, 12.34, 9.994, 1.234, 0.1234, -45.67)
    )
    layout = lay_out_bars(BarSpec(title="t", description="d.", x=MASS, bars=bars))
    written = [label.text for label in layout.labels if label.anchor == "end"]
    assert written == ["123", "100", "99.9", "12.3", "9.99", "1.23", "0.12", "−45.7"]


def test_zones_and_markers_are_named_over_the_plot_each_in_its_row() -> None:
    layout = lay_out_bars(WHEEL)
    limit, touches = (label for label in layout.labels if label.y < layout.plot.top)
    assert (limit.text, touches.text) == ("limit", "touches")
    assert touches.y > limit.y
    zone = layout.fills[0]
    assert [x for x, _ in zone.points[:2]] == pytest.approx(
        [layout.plot.left, layout.across(layout.x.share(0.0))]
    )
    assert (zone.points[0][1], zone.points[2][1]) == (layout.plot.top, layout.plot.bottom)
