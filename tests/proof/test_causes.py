"""One cause, one finding. That the cause is the cause is shown by mending it alone: then all is well."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.proof import FORMATS
from buildlog.proof.proof import Report, proof_book
from buildlog.report.following import fold, what_follows
from tests.samples import GEARING, calc, open_site

CAR = """\
name: Test car
about: Invented for the tests.
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  final_drive: 4.10
"""
OF_CAR = calc("id: {}\nkind: gearing\ncar: test")
RESTING = calc(
    """
    id: second
    kind: gearing
    inputs:
      {gears: [3.3, 2.0], tyre: 195/50R15, rev_limit: 8200 rpm, final_drive: calc:a#first.overall_ratio.5}
    """
)
FIGURE = "[149 km/h](calc:a#first.speed_at_limit.3 '± 9 %')"
FIGURES = f"{FIGURE} and {FIGURE}.\n"
SITE = {
    "cars/test.yml": CAR,
    "a.md": f"# A\n\n{OF_CAR.format('first')}\n{OF_CAR.format('other')}\n",
    "b.md": f"# B\n\n{FIGURES}\n{RESTING}\n",
    "c.md": f"# C\n\n{FIGURES}\n[105 km/h](calc:b#second.speed_at_limit.2 '± 9 %') by\n"
    "[the sheet](cite:sheet) or [the other](cite:sheet)\n",
    "sources.yml": "sheet: {title: Axle sheet}\n",
}
FAULTS = {
    "a value misspelt in the car's sheet": ("cars/test.yml", "rev_limit:", "rev_limt:"),
    "a value without a unit in the car's sheet": ("cars/test.yml", "8200 rpm", "8200"),
    "a sheet that is no sheet": ("cars/test.yml", "inputs:", "imputs:"),
    "a sheet that cannot be read": ("cars/test.yml", "name: Test car", "name: [a"),
    "a block of a kind that is none": ("a.md", "id: first\nkind: gearing", "id: first\nkind: geering"),
    "an id that cannot be read": ("a.md", "id: first", "id: The First"),
    "a sheet's name that cannot be read": (
        "a.md",
        "id: first\nkind: gearing\ncar: test",
        "id: first\nkind: gearing\ncar: täst",
    ),
    "a block that another one rests on": ("b.md", "195/50R15", "195/50"),
    "sources that cannot be read": ("sources.yml", "sheet: {", "sheet: [{"),
}


def report_of(folder: Path, files: Mapping[str, str | bytes]) -> Report:
    return proof_book(open_site(folder, dict(files)))


def with_fault(name: str) -> dict[str, str | bytes]:
    file, right, wrong = FAULTS[name]
    assert SITE[file].count(right) == 1
    return {**SITE, file: SITE[file].replace(right, wrong)}


def leading_errors(report: Report) -> list[str]:
    return [f"{one.position.path} {one.code.name}" for one in fold(report.errors)]


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["proof", *arguments, "--site", str(folder)])


def test_the_site_as_it_should_be_has_no_error(tmp_path: Path) -> None:
    """So in each test below the one fault is the cause of every error."""
    assert report_of(tmp_path, SITE).errors == ()


@pytest.mark.parametrize("name", FAULTS)
def test_one_fault_is_one_finding_at_its_own_file(tmp_path: Path, name: str) -> None:
    report = report_of(tmp_path, with_fault(name))
    assert len(report.errors) > 1, "it has echoes"
    led = leading_errors(report)
    assert len(led) == 1, led
    assert led[0].startswith(f"content/{FAULTS[name][0]} ")


def test_a_page_that_was_renamed_is_one_finding(tmp_path: Path) -> None:
    files = {("moved.md" if name == "a.md" else name): text for name, text in SITE.items()}
    report = report_of(tmp_path, files)
    assert leading_errors(report) == ["content/b.md unknown-address"]
    (leader,) = fold(report.errors)
    assert leader.found == "the page “a”"
    # In b a figure more and the input, in c two figures; and the figure on b's block.
    assert (
        what_follows(fold(report.errors)[leader]) == "1 figure rests on it; the same stands in 4 more places"
    )


def test_a_block_that_was_renamed_is_one_finding(tmp_path: Path) -> None:
    files = {**SITE, "a.md": SITE["a.md"].replace("id: first", "id: last")}
    assert leading_errors(report_of(tmp_path, files)) == ["content/b.md unknown-address"]


def test_a_loop_is_one_finding(tmp_path: Path) -> None:
    ring = "id: {}\nkind: gearing\n"
    ring += "inputs: {{gears: [3.3], tyre: 195/50R15, rev_limit: 8200 rpm, final_drive: {}}}"
    blocks = [
        ("x", "calc:y.overall_ratio.1"),
        ("y", "calc:z.overall_ratio.1"),
        ("z", "calc:x.overall_ratio.1"),
    ]
    page = "\n".join(calc(ring.format(*pair)) for pair in blocks)
    report = report_of(tmp_path, {"a.md": f"{page}\n[9 km/h](calc:y.speed_at_limit.1)\n"})
    assert len(report.errors) == 4
    assert leading_errors(report) == ["content/a.md block-loop"]


def test_the_first_cause_is_named_and_not_the_next(tmp_path: Path) -> None:
    report = report_of(tmp_path, with_fault("a value without a unit in the car's sheet"))
    last = next(one for one in report.errors if one.position.path == "content/c.md" and "second" in one.found)
    assert last.follows is not None
    assert (last.follows.position.path, last.follows.code) == ("content/cars/test.yml", "missing-unit")


def test_two_faults_are_two_findings(tmp_path: Path) -> None:
    files = with_fault("a value without a unit in the car's sheet")
    files["b.md"] = f"{SITE['b.md']}\n[9 km/h](calc:seconde.speed_at_limit.2)\n"
    files["c.md"] = f"{SITE['c.md']}\n[9 km/h](cite:shet)\n"
    assert leading_errors(report_of(tmp_path, files)) == [
        "content/b.md unknown-address",
        "content/c.md unknown-source",
        "content/cars/test.yml missing-unit",
    ]


def test_a_figure_that_is_wrong_by_itself_follows_from_nothing(tmp_path: Path) -> None:
    page = f"[9 km/h](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"
    assert leading_errors(report_of(tmp_path, {"a.md": f"{page}\n{page.replace('shorter', 'longer')}"})) == [
        "content/a.md figure-disagrees",
        "content/a.md figure-disagrees",
    ]


def test_a_warning_hides_no_error(tmp_path: Path) -> None:
    """A fence that opens no block is a warning; that its block is missing stops the site all the same."""
    page = (
        f"[9 km/h](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING.replace('yaml calc', 'yml calc')}"
    )
    report = report_of(tmp_path, {"a.md": page})
    assert leading_errors(report) == ["content/a.md unknown-address"]


def test_without_its_cause_the_first_echo_stands_for_all(tmp_path: Path) -> None:
    """The proof of some pages, where the block at fault stands on another one."""
    open_site(tmp_path, with_fault("a block of a kind that is none"))
    report = proof_book(Book.open(root=tmp_path), ["c"])
    assert leading_errors(report) == ["content/c.md rests-on-fault"]
    assert len(report.errors) == 3


# --- what is shown of it ---------------------------------------------------------------------------


@pytest.mark.parametrize("form", [form for form in FORMATS if form not in ("json",)])
def test_a_format_shows_the_cause_once_and_all_when_asked(tmp_path: Path, form: str) -> None:
    open_site(tmp_path, with_fault("a value without a unit in the car's sheet"))
    folded, every = run(tmp_path, "--format", form), run(tmp_path, "--format", form, "--all")
    assert folded.exit_code == every.exit_code == 1
    assert "missing-unit" in folded.output
    assert "rest on it" in " ".join(folded.output.split())
    assert "rests-on-fault" not in folded.output
    assert "rests-on-fault" in every.output
    assert "rest on it" not in " ".join(every.output.split())


def test_json_keeps_all_and_says_what_follows_from_what(tmp_path: Path) -> None:
    open_site(tmp_path, with_fault("a value without a unit in the car's sheet"))
    document = json.loads(run(tmp_path, "--format", "json").output)
    cause = {"path": "content/cars/test.yml", "line": 6, "column": 14, "code": "missing-unit"}
    errors = [one for one in document["findings"] if one["severity"] == "error"]
    assert document["summary"]["errors"] == len(errors) == 7
    assert [one.get("follows") for one in errors if one["code"] == "missing-unit"] == [None]
    followers = [one["follows"] for one in errors if one["code"] != "missing-unit"]
    assert [{**one, "as": ""} for one in followers] == [{**cause, "as": ""}] * 6
    assert sorted(one["as"] for one in followers) == ["figure"] * 5 + ["input"]


def test_the_summary_counts_causes_and_what_follows(tmp_path: Path) -> None:
    open_site(tmp_path, with_fault("a value without a unit in the car's sheet"))
    lines = run(tmp_path).output.splitlines()
    assert "6 findings more follow from these; “buildlog proof --all” lists them." in lines
    assert any(re.fullmatch(r"1 error(, \d+ notes?)?\.", line) for line in lines)
    assert "    5 figures and 1 input rest on it." in lines
