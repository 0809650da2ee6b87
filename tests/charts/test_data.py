"""What of a chart is not drawing: scales with round steps, thinned curves, and what is refused. By hand."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan, sin
from typing import Any

import pytest

from buildlog.charts.data import MOST_BARS, MOST_SERIES, check, merged, other_systems, scale, thinned
from buildlog.diagnostics import Refused
from buildlog.kinds.chart import Arrow, Axis, Bar, BarSpec, ChartSpec, Marker, Series, Zone

LENGTH = Axis("way", "length", "m")
SPEED = Axis("speed", "speed", "km/h")
COUNT = Axis("runs", "count", "")
CURVE = Series(label="a", x=[0.0, 1.0], y=[2.0, 3.0])


def ends(axis: Axis, *values: float, most: int = 5, even: bool = True) -> tuple[float, float, list[str]]:
    made = scale(axis, "author", values, most, even=even)
    return made.low, made.high, [text for _, text in made.ticks]


@pytest.mark.parametrize(
    ("values", "low", "high", "ticks"),
    [
        # steps of 1, 2, 2.5 or 5 times a power of ten, with 2 % of room
        ((0.0, 4.5), 0.0, 5.0, "0 1 2 3 4 5"),
        ((0.0, 9.0), 0.0, 10.0, "0 2 4 6 8 10"),
        ((0.0, 12.0), 0.0, 12.5, "0.0 2.5 5.0 7.5 10.0 12.5"),
        ((0.0, 24.0), 0.0, 25.0, "0 5 10 15 20 25"),
        ((0.0, 0.045), 0.0, 0.05, "0.00 0.01 0.02 0.03 0.04 0.05"),
        ((0.0, 4.95), 0.0, 6.0, "0 1 2 3 4 5 6"),  # 5 would leave less than the room
        ((12.0, 16.0), 11.0, 17.0, "11 12 13 14 15 16 17"),
        ((-3.0, 1.0), -4.0, 2.0, "−4 −3 −2 −1 0 1 2"),
        # one value all along lies in the middle of a scale of its own size
        ((50.0, 50.0), 44.0, 56.0, "44 46 48 50 52 54 56"),
        ((0.0, 0.0), -1.5, 1.5, "−1.5 −1.0 −0.5 0.0 0.5 1.0 1.5"),
    ],
)
def test_steps_of_a_scale(values: tuple[float, ...], low: float, high: float, ticks: str) -> None:
    *found, written = ends(LENGTH, *values)
    assert found == pytest.approx([low, high])
    assert written == ticks.split()


def test_a_scale_from_zero_has_it_on_either_side() -> None:
    assert ends(replace(LENGTH, from_zero=True), 12.0, 16.0)[0] == 0.0
    assert ends(replace(LENGTH, from_zero=True), -12.0, -16.0)[1] == 0.0


def test_a_scale_that_is_not_even_ends_with_its_values() -> None:
    assert ends(LENGTH, 0.5, 4.5, even=False) == (0.5, 4.5, ["1", "2", "3", "4"])


def test_counts_have_nothing_between_them() -> None:
    assert ends(COUNT, 0.0, 2.0)[2] == ["0", "1", "2", "3"]


@pytest.mark.parametrize(
    ("largest", "heading", "last"),
    [
        (4.5e6, "way, 10⁶ m", "5"), (9e5, "way, m", "1,000,000"), (4.5e-4, "way, 10⁻⁶ m", "500"),
        (0.0045, "way, m", "0.005"), (4.5e9, "way, 10⁹ m", "5"),
    ],
)  # fmt: skip
def test_powers_of_ten_stand_in_the_heading(largest: float, heading: str, last: str) -> None:
    made = scale(LENGTH, "author", [0.0, largest], 5, even=True)
    assert (made.heading, made.ticks[-1][1].replace("\u202f", ",")) == (heading, last)


def test_where_a_value_lies_on_an_axis() -> None:
    """90 km/h, 25 m/s, on a scale from 0 to 100 km/h; 60 mph, 26.8224 m/s, on one from 0 to 60 mph."""
    metric = scale(SPEED, "author", [0.0, 98 / 3.6], 5, even=True)
    assert (metric.low, metric.high) == (0.0, 100.0)
    assert metric.share(25.0) == pytest.approx(0.9)
    assert metric.share_of(40.0) == pytest.approx(0.4)
    us = scale(SPEED, "us", [0.0, 26.0], 6, even=True)
    assert us.heading == "speed, mph"
    assert us.share(26.8224) == pytest.approx(60 / us.high)


def test_the_other_systems_of_a_chart() -> None:
    spec = ChartSpec(title="t", description="d.", x=LENGTH, y=SPEED, series=(CURVE,))
    assert other_systems(spec) == ["us"]
    assert other_systems(replace(spec, x=Axis("t", "time", "s"), y=Axis("n", "count", ""))) == []
    bars = BarSpec(
        title="t", description="d.", x=Axis("v", "speed", "mph"), bars=(Bar(label="a", value=1.0),)
    )
    assert other_systems(bars) == ["metric"]


def test_a_thinned_curve_keeps_its_ends_and_its_extremes() -> None:
    points = [(float(at), sin(at / 40)) for at in range(1000)]
    points[437] = (437.0, 5.0)
    points[211] = (211.0, -5.0)
    thin = thinned(points, most=100)
    assert len(thin) <= 104
    assert (thin[0], thin[-1]) == (points[0], points[-1])
    assert {(437.0, 5.0), (211.0, -5.0)} <= set(thin)
    assert thin == sorted(thin)
    assert thinned(points, most=1000) == points


def test_curves_upon_each_other_are_merged() -> None:
    """Nearer than a five-hundredth of the range of all: 0.02 of 10."""
    low, near = CURVE, replace(CURVE, label="b", y=[2.0, 3.019])
    far, high = replace(CURVE, label="c", y=[2.0, 3.021]), replace(CURVE, label="d", y=[0.0, 10.0])
    assert [one.label for one in merged([low, near, high])] == ["a and b", "d"]
    assert [one.label for one in merged([low, far, high])] == ["a", "c", "d"]
    assert [one.label for one in merged([low, replace(near, points_only=True), high])] == ["a", "b", "d"]
    box = [replace(CURVE, label=f"box, {name}") for name in ("slot", "oval", "ram")]
    assert [one.label for one in merged(box)] == ["box, slot, oval and ram"]


def spec(**changes: Any) -> ChartSpec:
    usual: dict[str, Any] = {"x": LENGTH, "y": SPEED, "series": (CURVE,)}
    return ChartSpec(title="t", description="d.", **usual | changes)


def bars(*made: Bar, **changes: Any) -> BarSpec:
    return BarSpec(title="t", description="d.", x=LENGTH, bars=made, **changes)


BAR = Bar(label="a", value=1.0)


@pytest.mark.parametrize(
    ("refused", "found"),
    [
        (spec(series=()), "no curve"),
        (spec(series=(CURVE,) * (MOST_SERIES + 1)), f"{MOST_SERIES + 1} curves"),
        (spec(series=(replace(CURVE, y=[1.0]),)), "curve “a” with 2 x and 1 y values"),
        (spec(series=(replace(CURVE, x=[1.0], y=[1.0]),)), "curve “a” with 1 point"),
        (spec(series=(replace(CURVE, x=[], y=[], points_only=True),)), "curve “a” with 0 points"),
        (spec(series=(replace(CURVE, low=[1.0, 2.0]),)), "curve “a” with 0 values of high"),
        (spec(series=(replace(CURVE, low=[1.0], high=[1.0, 2.0]),)), "curve “a” with 1 values of low"),
        (spec(series=(replace(CURVE, y=[1.0, nan]),)), "curve “a” with speed nan at point 2"),
        (spec(series=(replace(CURVE, x=[inf, 1.0]),)), "curve “a” with way inf at point 1"),
        (
            spec(series=(replace(CURVE, low=[1.0, 2.0], high=[1.0, inf]),)),
            "curve “a” with speed inf at point 2",
        ),
        (spec(arrows=(Arrow(label="a", start=(0.0, 0.0), end=(0.0, inf)),)), "arrow “a” at infinity"),
        (spec(markers=(Marker("a", x=inf),)), "marker “a” at infinity"),
        (spec(markers=(Marker("a", y=nan),)), "marker “a” at infinity"),
        (spec(zones=(Zone(label="a", low=1.0, high=inf),)), "zone “a” to infinity"),
        (spec(equal_scale=True), "a plan with m across and km/h up"),
        (bars(), "0 bars"),
        (bars(*[BAR] * (MOST_BARS + 1)), f"{MOST_BARS + 1} bars"),
        (bars(replace(BAR, high=inf)), "bar “a” up to infinity"),
        (bars(replace(BAR, start=nan)), "bar “a” up to infinity"),
        (bars(BAR, markers=(Marker("a", x=nan),)), "marker “a” at infinity"),
    ],
)
def test_what_cannot_be_drawn_honestly(refused: ChartSpec | BarSpec, found: str) -> None:
    with pytest.raises(Refused) as caught:
        check(refused)
    assert caught.value.found == found


@pytest.mark.parametrize(
    "fine",
    [
        spec(series=(CURVE,) * MOST_SERIES),
        spec(series=(replace(CURVE, x=[1.0], y=[1.0], points_only=True),)),
        spec(series=(replace(CURVE, low=[1.0, 2.0], high=[3.0, 4.0]),)),
        spec(markers=(Marker("a", x=1.0),), zones=(Zone(label="a"),)),
        spec(y=LENGTH, equal_scale=True),
        bars(*[BAR] * MOST_BARS),
        bars(replace(BAR, low=0.5, high=1.5)),
    ],
)
def test_what_can_be_drawn(fine: ChartSpec | BarSpec) -> None:
    check(fine)


@pytest.mark.parametrize(
    ("value", "found"), [(1.1e12, "way up to 1.1e+12 m"), (9e-291, "way up to 9e-291 m")]
)
def test_sizes_that_no_scale_has(value: float, found: str) -> None:
    scale(LENGTH, "author", [0.0, 1e12], 5, even=True)
    scale(LENGTH, "author", [0.0, 1e-290], 5, even=True)
    with pytest.raises(Refused) as refused:
        scale(LENGTH, "author", [0.0, value], 5, even=True)
    assert refused.value.found == found
