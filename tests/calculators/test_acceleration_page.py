"""The kind `acceleration` in a page: the manual's example, a curve from a file, uncertainty and charts."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.calculators import acceleration
from buildlog.formulae.formula import formula_of
from buildlog.kinds.chart import ChartSpec
from buildlog.kinds.results import BlockResult, Value
from buildlog.physics import gear_run
from buildlog.render.working import working
from buildlog.report.working import working_text
from tests.samples import open_site

MANUAL = acceleration.__doc__ or ""
EXAMPLE = MANUAL[MANUAL.index("```yaml") :].replace("```yaml", "```yaml calc", 1)
ROWS = EXAMPLE[EXAMPLE.index("  torque_curve:") : EXAMPLE.index("  rev_limit")]
CSV = "engine speed [rpm];torque [N·m]\n1500;118\n3000;146\n5500;168\n7000;157\n8100;131\n"


def computed(folder: Path, text: str, **files: str) -> BlockResult:
    book = open_site(folder, {"hill.md": f"# Hill\n\n{text}", "runs/curve.csv": CSV, **files})
    (block,) = book.results.values()
    return block


def test_the_manuals_example(tmp_path: Path) -> None:
    block = computed(tmp_path, EXAMPLE)
    assert block.faults == ()
    assert set(block.cases) == {"before", "after"}
    text = working_text(block).replace("\N{NO-BREAK SPACE}", " ")
    assert "found by integration from x = 402.336 m" in text
    assert "F = 0.9 × (168 N·m) × 11.0994 / (0.282659 m)" in text
    for formula in working(block).steps:
        assert formula.reference > 0, formula.label


def test_a_curve_from_a_file_is_the_same_curve(tmp_path: Path) -> None:
    written = computed(tmp_path, EXAMPLE)
    read = computed(tmp_path, EXAMPLE.replace(ROWS, "  torque_curve: {data: runs/curve.csv}\n"))
    assert read.faults == ()
    for case in ("before", "after"):
        one, other = written.value(case, "course_time"), read.value(case, "course_time")
        assert isinstance(one, Value)
        assert isinstance(other, Value)
        assert one.si == pytest.approx(other.si, rel=1e-12)


def test_uncertainty_goes_through_the_run(tmp_path: Path) -> None:
    """The time's share by the mass, against the slope between two runs that were made for it."""
    mass = "vehicle_mass: 742 kg"
    block, lighter, heavier = (
        computed(tmp_path, EXAMPLE.replace(mass, f"vehicle_mass: {text}"))
        for text in ("742 ± 6 kg", "736 kg", "748 kg")
    )
    value, low, high = (one.value("after", "course_time") for one in (block, lighter, heavier))
    assert isinstance(value, Value) and isinstance(low, Value) and isinstance(high, Value)  # noqa: PT018
    (share,) = (value.contributions[origin] for origin in value.contributions.keys() - low.contributions)
    assert share == pytest.approx((high.si - low.si) / 2, rel=1e-9)
    assert 0.02 < share < 0.5
    assert value.expanded_of_method > 0


def test_faults_are_placed(tmp_path: Path) -> None:
    block = computed(tmp_path, EXAMPLE.replace("8100 rpm\n  gears", "9000 rpm\n  gears"))
    (fault,) = block.faults
    assert fault.code.name == "inputs-conflict"
    assert "rows up to rev_limit, 9000 rpm" in fault.expected


def curves(block: BlockResult) -> list[ChartSpec]:
    return [chart for chart in block.charts if isinstance(chart, ChartSpec)]


def test_chart_of_several_cases(tmp_path: Path) -> None:
    block = computed(tmp_path, EXAMPLE)
    chart, accelerations, second, gained = curves(block)
    assert [series.label for series in accelerations.series] == ["before", "after"]
    assert all(len(series.low) == len(series.x) for series in accelerations.series)
    assert [series.label for series in gained.series] == ["after"]
    assert [series.label for series in chart.series] == ["before", "after", "resistance"]
    assert [marker.label for marker in chart.markers] == ["tyres' limit"]
    before = chart.series[0]
    assert before.y[-1] == pytest.approx(0.9 * 131 * 3.9 / (1.776 / 6.283185307179586))
    assert all(25 <= len(series.x) <= 120 for series in chart.series)
    for case, series in zip(("before", "after"), second.series, strict=True):
        value = block.value(case, "course_time")
        assert isinstance(value, Value)
        assert series.label == case
        assert series.x[-1] == pytest.approx(value.si, abs=1e-5)
        assert list(series.x) == sorted(series.x)
        assert len(series.x) <= 120


def test_chart_of_one_case_has_every_gear(tmp_path: Path) -> None:
    one = (
        EXAMPLE[: EXAMPLE.index("cases:")].replace("  rev_limit", "  final_drive: 41/9\n  rev_limit", 1)
        + "```\n"
    )
    chart, _, second = curves(computed(tmp_path, one))
    assert [series.label for series in second.series] == ["speed"]
    assert [series.label for series in chart.series] == [*(f"gear {n}" for n in range(1, 6)), "resistance"]
    assert len({series.style for series in chart.series}) == 6
    # Each gear's force at the limiter is to the next as their ratios (kinematics).
    assert chart.series[0].y[-1] / chart.series[4].y[-1] == pytest.approx(2.846)
    # At standstill only rolling and the slope hold: 742 g (0.013 cos θ + sin θ) with tan θ = 0.09.
    assert chart.series[-1].y[0] == pytest.approx(742 * 9.80665 * (0.013 + 0.09) / (1 + 0.09**2) ** 0.5)


def test_without_a_start_there_is_no_chart_of_speed(tmp_path: Path) -> None:
    standing = EXAMPLE.replace("  launch_speed: 5000 rpm\n", "").replace("  distance: 640 m\n", "")
    block = computed(tmp_path, standing)
    assert block.faults == ()
    assert [chart.title for chart in block.charts] == [
        "Wheel force and resistance",
        "Acceleration and speed",
    ]


def test_integrals_are_said_to_be_integrated() -> None:
    for function in (gear_run.time_to_speed, gear_run.time_over_distance, gear_run.speed_over_distance):
        formula = formula_of(function)
        assert formula.in_words == "found by integration"
        assert "∫" in formula.text()
    assert formula_of(gear_run.best_shift_speed).in_words != "found by integration"
