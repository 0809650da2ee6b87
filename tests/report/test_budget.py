"""The budgets of a block for a terminal and for programs; what is in them is tested in tests/kinds."""

from __future__ import annotations

import json
from math import sqrt
from pathlib import Path

import pytest

from buildlog.report.budget import NoBudget, budget_text, working_json
from tests.commands.test_cli import run
from tests.render.blocks import GEARING, compute, uncertain
from tests.render.test_sureness import block
from tests.samples import GEARING as FENCED
from tests.samples import write_site


def test_a_budget_for_a_terminal() -> None:
    """U = 2 √(3² + 4²) = 10; halved 7.2 and 8.5 (JCGM 100:2008, 5.1.2)."""
    assert budget_text(block(), "speed_at_limit.1").splitlines() == [
        "speed_at_limit.1: ± 10 m/s",
        "  Share                     Alone  If halved  As stated        Doubt",
        "   64 %  █████████████  ± 8.0 m/s  ± 7.2 m/s  ± 4 % (k = 2)    slip of the tyre (method)",
        "   36 %  ███████        ± 6.0 m/s  ± 8.5 m/s  1.752 ± 0.003 m  rolling circumference",
        "",
        "Shares are of the variance; ± are expanded uncertainties, k = 2.",
    ]


def test_every_case_has_its_own() -> None:
    text = budget_text(uncertain(), "speed_at_limit.2")
    assert "speed_at_limit.2 before: ±" in text
    assert "speed_at_limit.2 after: ±" in text


def test_what_has_no_budget_is_told_what_has() -> None:
    with pytest.raises(
        NoBudget, match=r"no result “speed_at_limt\.1”.*did you mean “speed_at_limit\.1”"
    ) as told:
        budget_text(block(), "speed_at_limt.1")
    assert "  speed_at_limit.1" in str(told.value).splitlines()


def test_all_budgets_as_json() -> None:
    document = json.loads(working_json(block(low=99.0, high=112.0)))
    assert (document["format"], document["address"], document["kind"]) == (
        1,
        "episode#shorter-final",
        "gearing",
    )
    (case,) = document["cases"]
    assert "from the seed 42" in case["drawn"]
    (result,) = case["results"]
    assert result["name"] == "speed_at_limit.1"
    assert (result["value"], result["unit"], result["interval"]) == (100.0, "m/s", [99.0, 112.0])
    assert result["uncertainty"] == pytest.approx(10.0)
    first, second = result["budget"]
    assert first["doubt"] == "slip of the tyre (method)"
    assert first["stated"] == "± 4 % (k = 2)"
    assert [first["alone"], first["share"], first["together"]] == [8.0, pytest.approx(0.64), 0]
    assert first["halved"] == pytest.approx(2 * sqrt(9 + 4))
    assert second["halved"] == pytest.approx(2 * sqrt(16 + 2.25))


def test_words_and_exact_results_are_there_without_a_budget() -> None:
    document = json.loads(
        working_json(compute(GEARING.replace("tyre: 195/50R15", "rolling_circumference: 1.8 ± 0 m")))
    )
    results = {result["name"]: result for case in document["cases"] for result in case["results"]}
    exact = results["overall_ratio.1"]
    assert (exact["uncertainty"], exact["budget"]) == (0.0, [])


def test_the_command_prints_each(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": f"# A\n\n{FENCED}```\n"})
    assert "If halved" in run(tmp_path, "working", "a#shorter-final", "--budget", "speed_at_limit.2").output
    assert json.loads(run(tmp_path, "working", "a#shorter-final", "--format", "json").output)["format"] == 1


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--budget", "top"], "no result “top” that has an uncertainty"),
        (["--budget", "speed_at_limit.2", "--format", "json"], "give one of them"),
        (["--budget", "speed_at_limit.2", "--set", "final_drive=4.30"], "give one of them"),
    ],
)
def test_what_cannot_be_printed_together_is_told(tmp_path: Path, options: list[str], told: str) -> None:
    write_site(tmp_path, {"a.md": f"# A\n\n{FENCED}```\n"})
    done = run(tmp_path, "working", "a#shorter-final", *options)
    assert done.exit_code == 2
    assert told in done.output
