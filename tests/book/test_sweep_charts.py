"""Points of a sweep, and its charts: one for each dimension, with a line for what the block has."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.goals import in_words, points_of, the_one
from buildlog.diagnostics import NoSolution, Refused
from buildlog.kinds.chart import ChartSpec
from buildlog.kinds.results import BlockResult
from tests.samples import calc, open_site


@pytest.mark.parametrize(
    ("start", "stop", "step", "points"),
    [
        (1.0, 2.0, 0.5, [1.0, 1.5, 2.0]),
        (1.0, 2.0, 0.4, [1.0, 1.4, 1.8]),
        (1.0, 2.0, 1.0, [1.0, 2.0]),
        (1.0, 2.0, 3.0, [1.0]),
        (0.0, 0.3, 0.1, [0.0, 0.1, 0.2, 0.3]),  # 0.1 three times is a little more than 0.3 in binary
        (-1.0, 1.0, 1.0, [-1.0, 0.0, 1.0]),
    ],
)
def test_points_from_start_to_stop(start: float, stop: float, step: float, points: list[float]) -> None:
    assert points_of(start, stop, step) == pytest.approx(points)


@pytest.mark.parametrize("sweep", [(2.0, 1.0, 0.5), (1.0, 1.0, 0.5), (1.0, 2.0, 0.0), (1.0, 2.0, -0.5)])
def test_a_sweep_that_goes_nowhere(sweep: tuple[float, float, float]) -> None:
    with pytest.raises(Refused) as refused:
        points_of(*sweep)
    assert refused.value.found == "a sweep that goes nowhere"
    assert refused.value.code.name == "goal-shape"


def test_so_many_points_and_no_more() -> None:
    """The manual’s page of limits: 200 points of a sweep."""
    assert len(points_of(0.0, 199.0, 1.0)) == 200
    assert len(points_of(0.0, 199.9, 1.0)) == 200
    with pytest.raises(Refused) as refused:
        points_of(0.0, 200.0, 1.0)
    assert (refused.value.found, refused.value.expected) == ("201 points", "at most 200")


def told(roots: list[float], met: bool = True) -> NoSolution:
    with pytest.raises(NoSolution) as raised:
        the_one(
            roots,
            lambda x: x * x if met else None,
            -1.0,
            3.0,
            lambda x: f"{x:g} m",
            lambda y: f"{y:g} m²",
            "side",
            "area = 16 m²",
        )
    return raised.value


def test_what_is_said_of_no_root_and_of_several() -> None:
    assert the_one([2.0], lambda x: x, 0, 1, str, str, "a", "b") == 2.0
    assert told([]).found == "area = 16 m² is nowhere met for side from -1 m to 3 m"
    assert told([]).expected == "a target within 0 m² to 9 m²"
    assert told([], met=False).found == "no result at all for side from -1 m to 3 m"
    assert told([1.0, 2.0]).found == "2 values of side: 1 m, 2 m"
    assert told([float(n) for n in range(8)]).found == "8 values of side: 0 m, 1 m, 2 m, 3 m, 4 m, 5 m"


def gears(folder: Path, of: str, cases: str) -> BlockResult:
    inputs = "{gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4}"
    sweep = f"sweep: final_drive from 3 to 5 by 0.5\nof: {of}\ncases: {cases}"
    result = open_site(folder, {"a.md": calc(f"id: a\nkind: gearing\ninputs: {inputs}\n{sweep}")}).result(
        "a", "a"
    )
    assert result is not None
    assert result.faults == ()
    return result


def lines(result: BlockResult) -> list[ChartSpec]:
    """The charts over the swept input."""
    return [
        chart for chart in result.charts if isinstance(chart, ChartSpec) and chart.x.label == "final drive"
    ]


def test_a_chart_for_each_dimension(tmp_path: Path) -> None:
    result = gears(
        tmp_path,
        "[speed_at_limit.2, overall_ratio.1, speed_at_limit.1]",
        "{plain: {}, short: {final_drive: 4.5}, tall: {final_drive: 6}}",
    )
    speed, ratio = lines(result)
    assert [(chart.x.label, chart.y.dimension) for chart in (speed, ratio)] == [
        ("final drive", "speed"),
        ("final drive", "ratio"),
    ]
    assert speed.title == "Road speed at the rev limit over final drive"
    assert speed.description == "All else is as in the block; final drive alone is changed."
    assert [series.label for series in speed.series] == [
        f"{case}, road speed at the rev limit, gear {gear}"
        for case in ("plain", "short", "tall")
        for gear in (2, 1)
    ]
    # with one quantity alone its cases are all that is to be told apart
    assert [series.label for series in ratio.series] == ["plain", "short", "tall"]
    assert speed.series[0].x == [3.0, 3.5, 4.0, 4.5, 5.0]
    assert speed.series[0].y == pytest.approx([180 / 3, 180 / 3.5, 45.0, 40.0, 36.0])
    assert [series.style for series in speed.series] == list(range(6))
    # a line where each case is, but for the one beyond the sweep
    assert [(marker.label, marker.x) for marker in speed.markers if marker.x is not None] == [
        ("plain", 4.0),
        ("short", 4.5),
    ]


def test_cases_that_agree_have_one_line(tmp_path: Path) -> None:
    chart = lines(gears(tmp_path, "[speed_at_limit.2]", "{one: {}, two: {rev_limit: 7000 rpm}}"))[0]
    assert [(marker.label, marker.x) for marker in chart.markers if marker.x is not None] == [
        ("in the block", 4.0)
    ]
    assert chart.title == "Road speed at the rev limit, gear 2 over final drive"
    assert [series.label for series in chart.series] == ["one", "two"]


def test_a_swept_quantity_in_words(tmp_path: Path) -> None:
    result = gears(tmp_path, "[speed_at_limit.2, rolling_circumference]", "{one: {}}")
    assert result.sweep is not None
    assert result.sweep.columns
    words = [in_words(output, key) for _, output, key in result.sweep.columns]
    assert words[0] == "road speed at the rev limit, gear 2"
    assert words[1] == result.outputs["rolling_circumference"].title
