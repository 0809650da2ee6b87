"""Searches, sweeps and trials: closed forms beside each, and what is said when there is no answer."""

from __future__ import annotations

from math import cos, pi
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.book.goals import points_of, solve, the_one
from buildlog.cli import main
from buildlog.diagnostics import NoSolution, Refused
from buildlog.kinds.chart import ChartSpec
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from buildlog.render.sweep import sweep_table
from tests.samples import calc, open_site, write_site

BLOCK = """
id: a
kind: gearing
find: final_drive
so_that: {rpm_at.4: 3500 rpm}
between: [3.0, 5.0]
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  rolling_circumference: 1.800 ± 0.009 m
  rev_limit: 8200 rpm
  cruise_speed: 90 km/h
"""


def site(tmp_path: Path, block: str, prose: str = "") -> Book:
    return open_site(tmp_path, {"a.md": f"{prose}\n\n{calc(block)}"})


def test_a_final_drive_for_given_revs(tmp_path: Path) -> None:
    """i_f = n U / (60 v i_g): 3500/60 · 1.8 / (25 · 1.1) = 3.8181818 (kinematics, by hand)."""
    book = site(tmp_path, BLOCK, "We ordered [3.818](calc:a.final_drive) for [3500 rpm](calc:a.rpm_at.4).")
    assert proof_book(book).findings == ()
    result = book.result("a", "a")
    assert result is not None
    found = result.value("", "final_drive")
    assert isinstance(found, Value)
    assert found.si == pytest.approx(3500 / 60 * 1.8 / (25 * 1.1), rel=1e-10)
    assert result.cases[""].given["final_drive"].origin == "found"
    # i_f is proportional to U, so that its relative uncertainty is U's (JCGM 100:2008, 5.1.6)
    assert found.standard_uncertainty / found.si == pytest.approx(0.009 / 1.8, rel=1e-4)


def test_each_case_has_its_own_answer(tmp_path: Path) -> None:
    block = BLOCK.replace("  cruise_speed: 90 km/h\n", "") + (
        "cases:\n  slow: {cruise_speed: 90 km/h}\n  fast: {cruise_speed: 100 km/h}\n"
    )
    result = site(tmp_path, block).result("a", "a")
    assert result is not None
    slow, fast = result.value("slow", "final_drive"), result.value("fast", "final_drive")
    assert isinstance(slow, Value)
    assert isinstance(fast, Value)
    assert slow.si / fast.si == pytest.approx(100 / 90, rel=1e-9)


@pytest.mark.parametrize(
    ("old", "new", "code", "found", "line"),
    [
        ("3500 rpm", "9000 rpm", "no-solution", "rpm_at.4 = 9000 rpm is nowhere met", 6),
        ("so_that: {rpm_at.4: 3500 rpm}\n", "", "goal-shape", "no so_that", 6),
        ("rpm_at.4", "rpm_att.4", "goal-shape", "“rpm_att.4”", 6),
        ("rpm_at.4", "rpm_at", "goal-shape", "“rpm_at”", 6),
        ("find: final_drive", "find: gears", "goal-shape", "“gears”", 6),
        ("[3.0, 5.0]", "[5.0, 3.0]", "goal-shape", "bounds that are not low, high", 6),
        ("[3.0, 5.0]", "[3.0, 50]", "out-of-range", "50", 8),
        ("3500 rpm", "3500 N·m", "wrong-dimension", "", 7),
        ("3500 rpm", "3500", "missing-unit", "“3500” without a unit", 7),
        ("[3.0, 5.0]", "3.0", "goal-shape", "“3.0”", 8),
    ],
)
def test_what_is_said_when_it_cannot_be_found(
    tmp_path: Path, old: str, new: str, code: str, found: str, line: int
) -> None:
    findings = proof_book(site(tmp_path, BLOCK.replace(old, new))).findings
    finding = next(one for one in findings if one.code.name == code)
    assert found in finding.found
    assert finding.position.line == line
    if code == "no-solution":
        assert "a target within 2750 rpm to 4583 rpm" in finding.expected.replace("\u00a0", " ")


def test_several_solutions_are_said() -> None:
    """cos(x) = 0.5 on 0 … 2π at π/3 and 5π/3 (analytic)."""
    assert solve(cos, 0.5, 0, 2 * pi) == pytest.approx([pi / 3, 5 * pi / 3], rel=1e-12)


def test_several_answers_are_listed_and_not_chosen_from() -> None:
    """The message names every root; cos(x) = 0.5 as above."""
    roots = solve(cos, 0.5, 0, 2 * pi)
    with pytest.raises(NoSolution) as refused:
        the_one(
            roots,
            cos,
            low=0,
            high=2 * pi,
            show_input="{:.3f}".format,
            show_quantity="{:.3f}".format,
            name="x",
            goal="cos = 0.5",
        )
    assert refused.value.found == "2 values of x: 1.047, 5.236"
    assert "closer" in refused.value.help


def test_a_jump_is_no_root() -> None:
    assert solve(lambda x: -1.0 if x < 0.3 else 1.0, 0.0, 0, 1) == []
    assert solve(lambda x: 1 / (x - 0.3) if x != 0.3 else None, 0.0, 0, 1) == []


@given(st.floats(-5, 5), st.floats(0.1, 3))
def test_roots_of_a_cubic(root: float, slope: float) -> None:
    """x³ + s x is strictly rising, so that it meets any value once (analysis)."""
    target = root**3 + slope * root
    assert solve(lambda x: x**3 + slope * x, target, -6, 6.1) == pytest.approx([root], abs=1e-9)


def test_a_sweep_is_a_table_and_charts(tmp_path: Path) -> None:
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace(
        "inputs:\n", "sweep: final_drive from 3.9 to 4.9 by 0.1\nof: [rpm_at.4, speed_at_limit.4]\ninputs:\n"
    )
    block = block.replace("  rev_limit", "  final_drive: 4.1\n  rev_limit")
    result = site(tmp_path, block).result("a", "a")
    assert result is not None
    sweep = result.sweep
    assert sweep is not None
    assert len(sweep.points) == 11
    assert sweep.points[-1] == pytest.approx(4.9)
    rows = dict(zip([output.name for _, output, _ in sweep.columns], sweep.values.values(), strict=True))
    for point, revs in zip(sweep.points, rows["rpm_at"], strict=True):
        assert revs == pytest.approx(2 * pi * 1.1 * point * 25 / 1.8, rel=1e-12)
    drawn = [chart for chart in result.charts[:2] if isinstance(chart, ChartSpec)]
    assert [chart.y.dimension for chart in drawn] == ["rotational speed", "speed"]
    # What the block has itself is a line in the chart of the sweep.
    (line,) = drawn[0].markers
    assert line.label == "in the block"
    assert line.x == pytest.approx(4.1)


LIMITED = """\
id: a
kind: forced_induction
sweep: pressure_ratio from 1 to 2 by 0.1
of: [clutch_margin, charge_temperature]
inputs:
  inlet_pressure: 98 kPa
  inlet_temperature: 20 °C
  isentropic_efficiency: 0.70
  engine_displacement: 1600 cm³
  volumetric_efficiency: 95 %
  engine_torque: 165 N·m
  engine_speed: 5500 rpm
  clutch_capacity: 200 N·m
cases:
  mild: {pressure_ratio: 1.3}
  wild: {pressure_ratio: 1.8}
"""


def test_the_chart_of_a_sweep_has_choices_and_limits_as_lines(tmp_path: Path) -> None:
    """The limit is the manual's: nothing left of the clutch, a margin of 0."""
    result = site(tmp_path, LIMITED).result("a", "a")
    assert result is not None
    assert result.faults == ()
    margin, temperature = [chart for chart in result.charts[:2] if isinstance(chart, ChartSpec)]
    choices = [("mild", 1.3, None), ("wild", 1.8, None)]
    assert [(one.label, one.x, one.y) for one in margin.markers] == [*choices, ("at least", None, 0.0)]
    assert [(one.label, one.x, one.y) for one in temperature.markers] == choices


def test_the_table_of_a_sweep_shows_its_numbers_in_both_systems(tmp_path: Path) -> None:
    """By hand: v = n U / (60 i_f i_g) = 223.64/i_f m/s; 1 mph is 1.609344 km/h."""
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace(
        "inputs:\n", "sweep: final_drive from 4 to 5 by 0.5\nof: [rpm_at.4, speed_at_limit.4]\ninputs:\n"
    )
    result = site(tmp_path, block.replace("  rev_limit", "  final_drive: 4.1\n  rev_limit")).result("a", "a")
    assert result is not None
    assert result.sweep is not None
    drive, revs, speed = sweep_table(result.sweep).columns
    assert (drive.name, revs.name) == ("final drive", "engine speed at the cruise speed, gear 4")
    assert drive.values == ("4.0", "4.5", "5.0")
    # 25 m/s · 60 · 1.1 i_f / 1.8 m = 916.67 i_f per minute
    assert [value.replace(",", "") for value in revs.values] == ["3667", "4125", "4583"]
    assert speed.values == ("201.3", "178.9", "161.0")
    assert (speed.unit, speed.other_unit) == ("km/h", "mph")
    assert speed.others == ("125.1", "111.2", "100.1")


@pytest.mark.parametrize(
    ("sweep", "words"),
    [
        ("final_drive from 3.9 to 4.9", "input from low to high by step"),
        ("final_drive from 4.9 to 3.9 by 0.1", "from low to high"),
        ("final_drive from 3.9 to 4.9 by 0.0001", "at most 200"),
        ("final_drive from 3.9 to 99 by 1", "1.5 to 8"),
        ("gears from 1 to 2 by 1", "an input that is one number"),
    ],
)
def test_sweeps_that_are_refused(tmp_path: Path, sweep: str, words: str) -> None:
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace("inputs:\n", f"sweep: {sweep}\nof: [rpm_at.4]\ninputs:\n  final_drive: 4.1\n")
    (finding,) = proof_book(site(tmp_path, block)).errors
    assert words in finding.expected


@pytest.mark.parametrize(("start", "stop", "step"), [(3.9, 4.9, 0), (4.9, 3.9, 0.1), (0, 1, 1e-6)])
def test_a_sweep_that_cannot_be_meant_is_no_equation_without_solution(
    start: float, stop: float, step: float
) -> None:
    with pytest.raises(Refused) as refused:
        points_of(start, stop, step)
    assert refused.value.code.name == "goal-shape"


def test_where_the_calculation_refuses_there_is_no_solution() -> None:
    """x − 1/96 is zero amid two of the places looked at, 1/240 apart, and refused just about there."""
    low, high = 2 / 240, 3 / 240
    root = (low + high) / 2
    assert solve(lambda x: x - root, 0.0, 0, 1) == pytest.approx([root])
    assert solve(lambda x: None if abs(x - root) < 1e-4 else x - root, 0.0, 0, 1) == []


def test_points_include_the_end_where_the_step_fits() -> None:
    assert points_of(3.9, 4.9, 0.1)[-1] == pytest.approx(4.9)
    assert points_of(0, 1, 0.3)[-1] == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("circumference", "change"),
    # odometer_error is 1.8 m over the circumference, less one: 4 % as written, then 5 %, 3.5 % and the same.
    [(1.8 / 1.05, "+1 percentage point"), (1.8 / 1.035, "−0.5 percentage points"), (1.8 / 1.04, "")],
)
def test_a_trial_of_a_percentage_is_told_in_points(tmp_path: Path, circumference: float, change: str) -> None:
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace("1.800 ± 0.009 m", f"{1.8 / 1.04!r} m")
    block += "  final_drive: 4.0\n  speed_sensor: wheel\n  standard_rolling_circumference: 1.800 m\n"
    write_site(tmp_path, {"a.md": calc(block)})
    asked = ["working", "a#a", "--set", f"rolling_circumference={circumference!r} m", "--site", str(tmp_path)]
    result = CliRunner().invoke(main, asked)
    assert result.exit_code == 0
    (line,) = (line for line in result.output.splitlines() if line.strip().startswith("odometer_error"))
    assert " ".join(line.split()[5:]) == change


def test_a_trial_shows_both_and_writes_nothing(tmp_path: Path) -> None:
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace("  rev_limit", "  final_drive: 4.0\n  rev_limit")
    content = write_site(tmp_path, {"a.md": calc(block)})
    before = (content / "a.md").read_bytes()
    result = CliRunner().invoke(main, ["working", "a#a", "--set", "final_drive=4.4", "--site", str(tmp_path)])
    assert result.exit_code == 0
    line = next(line for line in result.output.splitlines() if line.strip().startswith("overall_ratio.5"))
    assert line.split() == ["overall_ratio.5", "4.000", "4.400", "+10", "%"]
    assert (content / "a.md").read_bytes() == before
    assert CliRunner().invoke(main, ["working", "a#a", "--set", "x", "--site", str(tmp_path)]).exit_code == 2
    wrong = CliRunner().invoke(main, ["working", "a#a", "--set", "final_drive=44", "--site", str(tmp_path)])
    assert wrong.exit_code == 1
    assert "out-of-range" in wrong.output


# --- at the ends ------------------------------------------------------------------------------


@pytest.mark.parametrize("root", [0.0, 0.25, 0.5, 0.75, 1.0])
def test_a_root_at_a_place_looked_at_is_one_root(root: float) -> None:
    """The bounds are looked at in steps of 1/240, so that these lie on a step, the first and the last among
    them."""
    assert solve(lambda x: x - root, 0.0, 0, 1) == [root]
    assert solve(lambda x: root - x, 0.0, 0, 1) == [root]
    assert solve(lambda x: 3 * x + 1, 3 * root + 1, 0, 1) == [root]


def test_beyond_the_bounds_there_is_no_root() -> None:
    assert solve(lambda x: x - 1.0001, 0.0, 0, 1) == []
    assert solve(lambda x: x + 0.0001, 0.0, 0, 1) == []


def test_a_target_that_is_only_touched_is_seen_where_it_is_looked_at_alone() -> None:
    """(x − 1/2)² touches 0 on a step, (x − 0.3001)² amid two: what the docstring says of it."""
    assert solve(lambda x: (x - 0.5) ** 2, 0.0, 0, 1) == [0.5]
    assert solve(lambda x: (x - 0.3001) ** 2, 0.0, 0, 1) == []


def test_values_that_are_no_numbers_are_none() -> None:
    assert solve(lambda x: float("inf") if x < 0.5 else x - 0.75, 0.0, 0, 1) == [0.75]
    assert solve(lambda x: float("nan"), 0.0, 0, 1) == []


@pytest.mark.parametrize(
    ("start", "stop", "step", "count"),
    [(0, 199, 1, 200), (0, 1, 1, 2), (0, 1, 0.6, 2), (0, 1, 2, 1), (0, 0.3, 0.1, 4), (1, 1.7, 0.1, 8)],
)
def test_how_many_points_a_sweep_has(start: float, stop: float, step: float, count: int) -> None:
    points = points_of(start, stop, step)
    assert len(points) == count
    assert points[0] == start
    assert points[-1] <= stop + 1e-9


@pytest.mark.parametrize(("stop", "step"), [(200, 1), (200.5, 1), (1, 0.0049)])
def test_a_point_more_than_there_may_be(stop: float, step: float) -> None:
    """At most 200 points; the message tells how many it would have been."""
    with pytest.raises(Refused) as refused:
        points_of(0, stop, step)
    assert refused.value.found == f"{int(stop / step) + 1} points"
    assert refused.value.expected == "at most 200"


def test_what_was_met_instead_is_told_with_its_least_and_greatest() -> None:
    """x² on −1 … 2 is from 0 to 4."""
    with pytest.raises(NoSolution) as refused:
        the_one(
            [],
            lambda x: x * x if x < 2 else 4.0,
            low=-1,
            high=2,
            show_input="{:.3f}".format,
            show_quantity="{:.3f}".format,
            name="x",
            goal="x² = 5",
        )
    assert refused.value.found == "x² = 5 is nowhere met for x from -1.000 to 2.000"
    assert refused.value.expected == "a target within 0.000 to 4.000"


def test_where_nothing_can_be_computed_that_is_told() -> None:
    with pytest.raises(NoSolution) as refused:
        the_one(
            [],
            lambda x: None,
            low=0,
            high=1,
            show_input=str,
            show_quantity=str,
            name="x",
            goal="y = 1",
        )
    assert refused.value.found == "no result at all for x from 0 to 1"


def test_one_root_is_the_answer() -> None:
    assert the_one([0.5], abs, 0, 1, str, str, "x", "y = 1") == 0.5


@pytest.mark.parametrize(
    ("finals", "lines"),
    [
        ([4.1, 4.1], [("in the block", 4.1)]),  # the cases agree
        ([4.1, 4.3], [("a", 4.1), ("b", 4.3)]),
        ([4.3, 4.1], [("b", 4.1), ("a", 4.3)]),
        ([3.9, 4.9], [("a", 3.9), ("b", 4.9)]),  # the ends are within
        ([3.8, 4.3], [("in the block", 4.3)]),
        ([3.8, 5.0], []),
    ],
)
def test_lines_for_what_the_cases_have(
    tmp_path: Path, finals: list[float], lines: list[tuple[str, float]]
) -> None:
    block = BLOCK.replace("find: final_drive\nso_that: {rpm_at.4: 3500 rpm}\nbetween: [3.0, 5.0]\n", "")
    block = block.replace("inputs:\n", "sweep: final_drive from 3.9 to 4.9 by 0.5\nof: [rpm_at.4]\ninputs:\n")
    block += "cases:\n" + "".join(
        f"  {name}: {{final_drive: {final}}}\n" for name, final in zip("ab", finals, strict=True)
    )
    result = site(tmp_path, block).result("a", "a")
    assert result is not None
    assert result.faults == ()
    drawn = next(chart for chart in result.charts if isinstance(chart, ChartSpec))
    assert [one.label for one in drawn.markers] == [label for label, _ in lines]
    assert [one.x for one in drawn.markers] == pytest.approx([x for _, x in lines])
    assert [one.label for one in drawn.series] == ["a", "b"]
