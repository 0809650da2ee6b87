"""Findings for programs and hosts: JSON as its schema says, annotations within the caps, files whole."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

import buildlog.report
from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.proof import FORMATS
from buildlog.proof.proof import Report, proof_book
from buildlog.report.code_quality import code_quality
from buildlog.report.findings_json import findings_json
from buildlog.report.summary_markdown import MOST_ROWS, summary_markdown
from buildlog.report.workflow_commands import SHOWN, workflow_commands
from tests.samples import GEARING, write_site
from tests.systems import link as make_link
from tests.systems import on_unix

SCHEMA = Path(buildlog.report.__file__).parent / "schemas" / "findings.schema.json"
FIGURE = "[153.5 km/h](calc:shorter-final.after.speed_at_limit.3)"
PAGE = f"# A\n\nThird: {FIGURE}, again {FIGURE}, and 39 N·m.\n\n{GEARING}"


def report(folder: Path, text: str = PAGE) -> Report:
    return proof_book(Book.open(write_site(folder, {"a.md": text}), root=folder))


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["proof", *arguments, "--site", str(folder)])


def as_json(folder: Path, text: str) -> list[dict[str, Any]]:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    document = json.loads(findings_json(report(folder, text)))
    Draft202012Validator(schema).validate(document)
    findings: list[dict[str, Any]] = document["findings"]
    return findings


# --- JSON --------------------------------------------------------------------------


def test_json_is_what_its_schema_says(tmp_path: Path) -> None:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    document = json.loads(findings_json(report(tmp_path)))
    Draft202012Validator(schema).validate(document)
    assert document["summary"]["loose"] == 1
    for broken in ({**document, "format": 2}, {**document, "more": 1}, {**document, "findings": [{}]}):
        assert list(Draft202012Validator(schema).iter_errors(broken))


def test_json_tells_all_of_a_figure_that_disagrees(tmp_path: Path) -> None:
    first = as_json(tmp_path, PAGE)[0]
    assert (first["code"], first["severity"], first["path"]) == ("figure-disagrees", "error", "content/a.md")
    assert (first["line"], first["column"], first["end_column"]) == (3, 9, 19)
    assert first["see"]["line"] == first["block"]["line"] == 5
    assert first["block"] == {"address": "a#shorter-final", "kind": "gearing", "line": 5}
    figure = first["figure"]
    assert (figure["label"], figure["standing"]) == ("153.5 km/h", "computed")
    assert (figure["case"], figure["quantity"], figure["key"]) == ("after", "speed_at_limit", "3")
    assert (figure["stated"], figure["stated_to"], figure["unit"]) == (153.5, 153.5, "km/h")
    # The interval of the agreement rule: half a unit of the last digit either way.
    assert (figure["lowest"], figure["highest"]) == (153.45, 153.55)
    assert figure["difference"] == pytest.approx(figure["computed"] - 153.5, abs=1e-9)
    # v = ω U / (2π i) by hand: 8200 rpm, 1/(1.4·41/9) and the circumference that the block reports.
    book = Book.open(tmp_path / "content", root=tmp_path)
    circumference = book.results["a", "shorter-final"].cases["after"].outputs["rolling_circumference"]
    by_hand = 8200 / 60 * circumference / (1.4 * 41 / 9) * 3.6
    assert figure["computed"] == pytest.approx(by_hand, rel=1e-9)


def test_json_has_null_for_the_open_side_and_both_ends_of_a_range(tmp_path: Path) -> None:
    address = "calc:shorter-final.after.speed_at_limit.3"
    text = f"Third: [under 100 km/h]({address}), [140–150 km/h]({address}).\n\n{GEARING}"
    under, between = (one["figure"] for one in as_json(tmp_path, text)[:2])
    assert (under["lowest"], under["highest"]) == (None, 100.0)
    assert (between["stated"], between["stated_to"]) == (140.0, 150.0)
    assert between["difference"] == pytest.approx(between["computed"] - 140.0, abs=1e-9)


def test_json_names_the_figure_and_the_block_wherever_in_them_the_fault_is(tmp_path: Path) -> None:
    text = f"[9 km/h](calc:shorter-final.after.sped.3)\n\n{GEARING}".replace("8200 rpm", "8200")
    fault, missing = as_json(tmp_path, text)
    assert (fault["code"], fault["column"]) == ("rests-on-fault", 10)
    assert fault["figure"] == {
        "label": "9 km/h",
        "standing": "computed",
        "address": "calc:shorter-final.after.sped.3",
    }
    assert (missing["code"], missing["block"]["address"]) == ("missing-unit", "a#shorter-final")
    assert "figure" not in missing


def test_a_label_over_two_lines_ends_on_its_first(tmp_path: Path) -> None:
    text = f"[153.5\nkm/h](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"
    (only,) = as_json(tmp_path, text)
    assert (only["line"], only["column"], only["end_column"]) == (1, 2, 7)


# --- annotations, code quality, Markdown ---------------------------------------------


def test_annotations_keep_to_the_hosts_cap_worst_first(tmp_path: Path) -> None:
    many = "\n\n".join(f"Third: {FIGURE} and 39 N·m." for _ in range(15))
    lines = workflow_commands(report(tmp_path, f"{many}\n\n{GEARING}")).splitlines()
    kinds = [line.split(" ")[0] for line in lines]
    assert kinds == ["::error"] * SHOWN + ["::notice"] * SHOWN
    assert lines[0].startswith("::error file=content/a.md,line=1,col=9,endColumn=18,title=figure-disagrees::")


def test_annotations_come_by_themselves_in_a_workflow(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    plain = run(tmp_path).output
    assert "::error" not in plain
    monkeypatch.setenv("GITHUB_ACTIONS", "true")
    announced = run(tmp_path).output
    assert announced.startswith(plain), "the full text stays"
    commands = announced.removeprefix(plain).splitlines()
    assert [line.split(" ")[0] for line in commands] == ["::error", "::error", "::notice"]
    assert run(tmp_path, "--format", "annotations").output == announced
    assert run(tmp_path, "--format", "text").output == plain, "asked for text, it is only text"


def test_code_quality_has_unique_fingerprints(tmp_path: Path) -> None:
    rows = json.loads(code_quality(report(tmp_path)))
    assert len({row["fingerprint"] for row in rows}) == len(rows) == 3
    assert rows[0]["location"] == {"path": "content/a.md", "lines": {"begin": 3}}
    assert [row["severity"] for row in rows] == ["critical", "critical", "info"]


def test_code_quality_without_findings_is_an_empty_array(tmp_path: Path) -> None:
    assert json.loads(code_quality(report(tmp_path, "# A\n"))) == []


def test_the_summary_lists_the_worst_and_says_how_many_more(tmp_path: Path) -> None:
    many = "\n\n".join("And 39 N·m." for _ in range(MOST_ROWS))
    text = summary_markdown(report(tmp_path, f"{many}\n\n{FIGURE}\n\n{GEARING}"))
    rows = [line for line in text.splitlines() if line.startswith("| content")]
    assert len(rows) == MOST_ROWS
    assert "error" in rows[0]
    assert text.endswith("\n1 more findings are in the text of the proof.\n")


def test_paths_start_at_the_root_of_the_repository(tmp_path: Path) -> None:
    """A host looks for the files from there, wherever in the repository the site is."""
    (tmp_path / ".git").mkdir()
    site = tmp_path / "docs" / "log"
    site.mkdir(parents=True)
    write_site(site, {"a.md": PAGE})
    found = proof_book(Book.open(site / "content", root=site))
    assert "::error file=docs/log/content/a.md,line=3" in workflow_commands(found)
    assert json.loads(code_quality(found))[0]["location"]["path"] == "docs/log/content/a.md"
    document = json.loads(findings_json(found))
    assert document["folder"] + document["findings"][0]["path"] == "docs/log/content/a.md"


# --- files and exit codes --------------------------------------------------------------


@pytest.mark.parametrize("form", FORMATS)
def test_a_format_does_not_change_the_exit_code(tmp_path: Path, form: str) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    assert run(tmp_path, "--format", form).exit_code == 1
    write_site(tmp_path, {"a.md": "# A\n\nAnd 39 N·m.\n"})
    assert run(tmp_path, "--format", form).exit_code == 0


@pytest.mark.parametrize("form", FORMATS)
def test_a_file_holds_what_the_screen_would_and_the_screen_the_text(tmp_path: Path, form: str) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    target = tmp_path / "report"
    written = run(tmp_path, "--format", form, "--output", str(target))
    assert written.exit_code == 1
    assert target.read_text("utf-8") == run(tmp_path, "--format", form).output
    assert written.output == run(tmp_path).output
    assert run(tmp_path, "--format", form).output == run(tmp_path, "--format", form).output


def test_quiet_leaves_notes_out_of_every_format(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    for form in FORMATS:
        assert "loose-figure" not in run(tmp_path, "--quiet", "--format", form).output


def test_a_report_that_cannot_be_written_leaves_the_old_one_and_no_rubbish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    folder = tmp_path / "reports"
    folder.mkdir()
    target = folder / "findings.json"
    target.write_text("old", "utf-8")

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(os, "replace", fails)
        result = run(tmp_path, "--format", "json", "--output", str(target))
    assert result.exit_code == 2
    assert "No space left" in result.output
    assert [path.name for path in folder.iterdir()] == ["findings.json"]
    assert target.read_text("utf-8") == "old"
    assert run(tmp_path, "--output", str(tmp_path / "no" / "x")).exit_code == 2


@on_unix
def test_a_report_keeps_the_mode_of_a_file_and_follows_a_link(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    target, link = tmp_path / "real.json", tmp_path / "link.json"
    target.write_text("old", "utf-8")
    target.chmod(0o600)
    make_link(link, target)
    assert run(tmp_path, "--format", "json", "--output", str(link)).exit_code == 1
    assert link.is_symlink()
    assert json.loads(target.read_text("utf-8"))["format"] == 1
    assert stat.S_IMODE(target.stat().st_mode) == 0o600


@on_unix
def test_a_device_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    assert run(tmp_path, "--format", "sarif", "--output", os.devnull).exit_code == 1
    assert stat.S_ISCHR(os.stat(os.devnull).st_mode)
