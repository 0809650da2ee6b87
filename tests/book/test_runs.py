"""A case computed again and again: what can be sought and swept, how many digits a found value has, and the
columns of a sweep. v = n U / i with U = 1.8 m at 6000 rpm, so that v · i is 180 m/s.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.figures import units
from buildlog.kinds.results import BlockResult, Value
from tests.samples import calc, open_site

INPUTS = "inputs: {gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4}"
PLAIN = "inputs: {gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm}"


def result_of(folder: Path, lines: str, inputs: str = INPUTS) -> BlockResult:
    book = open_site(folder, {"a.md": calc(f"id: a\nkind: gearing\n{inputs}\n{lines}")})
    result = book.result("a", "a")
    assert result is not None
    return result


@pytest.mark.parametrize(
    ("name", "given", "between", "speed", "found", "decimals"),
    [
        ("final_drive", "final_drive: 4", "[3, 6]", "40 m/s", 4.5, 3),  # 4.500
        ("rolling_circumference", "rolling_circumference: 1.8 m", "[1.5 m, 2.5 m]", "50 m/s", 2.0, 3),
        ("rev_limit", "rev_limit: 6000 rpm", "[3000 rpm, 9000 rpm]", "37.5 m/s", 5000.0, 0),
        ("rev_limit", "rev_limit: 6000 rpm", "[500 rpm, 9000 rpm]", "6 m/s", 800.0, 1),
    ],
)
def test_a_found_value_has_four_significant_digits(
    tmp_path: Path, name: str, given: str, between: str, speed: str, found: float, decimals: int
) -> None:
    """Of what else the block has, v · i = n U still holds: n = v i / U, U = v i / n, i = n U / v."""
    goal = f"find: {name}\nso_that: {{speed_at_limit.2: {speed}}}\nbetween: {between}"
    inputs = INPUTS.replace(f", {given}", "")
    result = result_of(tmp_path, goal, inputs)
    assert result.faults == ()
    value = result.value("", name)
    assert isinstance(value, Value)
    assert units.find(value.unit, value.dimension).from_si(value.si) == pytest.approx(found)
    assert value.decimals == decimals


@pytest.mark.parametrize(
    ("lines", "found", "expected", "help"),
    [
        (
            "find: final_drvie\nso_that: {speed_at_limit.2: 40 m/s}\nbetween: [3, 6]",
            "“final_drvie”",
            "an input that is one number",
            "did you mean “final_drive” or “standard_final_drive”?",
        ),
        (
            "find: gears\nso_that: {speed_at_limit.2: 40 m/s}\nbetween: [3, 6]",
            "“gears”",
            "an input that is one number",
            None,
        ),
        (
            "find: final_drive\nso_that: {speed_at_limit: 40 m/s}\nbetween: [3, 6]",
            "“speed_at_limit”",
            "speed_at_limit.GEAR",
            None,
        ),
        (
            "find: final_drive\nso_that: {sped_at_limit.2: 40 m/s}\nbetween: [3, 6]",
            "“sped_at_limit.2”",
            "a quantity",
            "did you mean “speed_at_limit” or “speed_at”?",
        ),
        (
            "find: final_drive\nso_that: {speed_at_limit.3: 40 m/s}\nbetween: [3, 6]",
            "“speed_at_limit.3”",
            "speed_at_limit and one of 1, 2",
            None,
        ),
        (
            "find: final_drive\nso_that: {speed_at_limit.2: 40 m/s}\nbetween: [6, 3]",
            "bounds that are not low, high",
            "between: [low, high]",
            None,
        ),
        (
            "find: final_drive\nso_that: {speed_at_limit.2: 40 m/s}\nbetween: [4, 4]",
            "bounds that are not low, high",
            "between: [low, high]",
            None,
        ),
        (
            "sweep: gears from 3 to 4 by 1\nof: [speed_at_limit.2]",
            "“gears”",
            "an input that is one number",
            None,
        ),
        (
            "sweep: final_drive from 3 to 4 by 1\nof: [speed_at_limit.5]",
            "“speed_at_limit.5”",
            "speed_at_limit and one of 1, 2",
            None,
        ),
        (
            "sweep: final_drive from 3 to 4 by 1\nof: [rolling_radius.2]",
            "“rolling_radius.2”",
            "a quantity",
            None,
        ),
    ],
)
def test_what_cannot_be_sought_or_swept(
    tmp_path: Path, lines: str, found: str, expected: str, help: str | None
) -> None:
    inputs = INPUTS if lines.startswith("sweep") else PLAIN
    (fault, *more) = result_of(tmp_path, lines, inputs).faults
    assert (fault.code.name, fault.found, fault.expected) == ("goal-shape", found, expected)
    if help is not None:
        assert fault.help == help
    if not more:
        assert fault.position.line == 5


def test_the_columns_of_a_sweep(tmp_path: Path) -> None:
    """A column for each case and quantity, in their order, with a number for each point."""
    lines = (
        "sweep: final_drive from 3 to 6 by 1.5\nof: [speed_at_limit.2, rolling_circumference]\n"
        "cases: {long: {}, short: {gears: [2.0, 1.5]}}"
    )
    sweep = result_of(tmp_path, lines).sweep
    assert sweep is not None
    assert (sweep.name, sweep.label, sweep.points) == ("final_drive", "final drive", (3.0, 4.5, 6.0))
    assert [(case, output.name, key) for case, output, key in sweep.columns] == [
        ("long", "speed_at_limit", "2"),
        ("long", "rolling_circumference", ""),
        ("short", "speed_at_limit", "2"),
        ("short", "rolling_circumference", ""),
    ]
    numbers = [sweep.values[column] for column in sweep.columns]
    assert numbers[0] == pytest.approx((60.0, 40.0, 30.0))
    assert numbers[2] == pytest.approx((40.0, 80 / 3, 20.0))
    assert numbers[1] == numbers[3] == pytest.approx((1.8, 1.8, 1.8))
    assert sweep.refusal == ""
