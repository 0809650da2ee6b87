"""Findings in the formats of editors and CI hosts: valid, stable when lines move, and harmless."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

import buildlog.report
from buildlog.book import Book
from buildlog.cli import main
from buildlog.proof import Report, proof
from buildlog.report.code_quality import code_quality
from buildlog.report.findings_json import findings_json
from buildlog.report.sarif import sarif
from buildlog.report.summary_markdown import summary_markdown
from buildlog.report.workflow_commands import SHOWN, workflow_commands
from tests.samples import GEARING, write_site

ROOT = Path(__file__).resolve().parents[1]
SCHEMA = Path(buildlog.report.__file__).parent / "schemas" / "findings.schema.json"
FIGURE = "[153.5 km/h](calc:shorter-final.after.speed_at_limit.3)"
PAGE = f"# A\n\nThird: {FIGURE}, again {FIGURE}, and 39 N·m.\n\n{GEARING}"
HOSTILE = "[x\x1b[31m%0A::error::y\u202e|`<script>](calc:shorter-final.after.speed_at_limit.3)"


def report(folder: Path, text: str = PAGE) -> Report:
    return proof(Book.open(write_site(folder, {"a.md": text}), root=folder))


def test_json_is_what_its_schema_says(tmp_path: Path) -> None:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    document = json.loads(findings_json(report(tmp_path)))
    Draft202012Validator(schema).validate(document)
    first = document["findings"][0]
    assert (first["line"], first["column"], first["end_column"]) == (3, 9, 19)
    assert first["figure"]["difference"] == pytest.approx(135.5246 - 153.5, abs=1e-3)
    assert document["summary"]["loose"] == 1
    broken = {**document, "format": 2}
    assert list(Draft202012Validator(schema).iter_errors(broken))


def test_sarif_against_the_schema_of_the_standard(tmp_path: Path) -> None:
    """JSON Schema of OASIS SARIF 2.1.0; see tests/data/sarif/README.md."""
    schema = json.loads((ROOT / "data" / "sarif" / "sarif-2.1.0.json").read_text("utf-8"))
    log = json.loads(sarif(report(tmp_path)))
    Draft202012Validator(schema).validate(log)
    run = log["runs"][0]
    assert run["columnKind"] == "unicodeCodePoints"
    region = run["results"][0]["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": 3, "startColumn": 9, "endColumn": 19}
    for result in run["results"]:
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
    del log["runs"][0]["tool"]
    assert list(Draft202012Validator(schema).iter_errors(log)), "the schema refuses what is no SARIF"


def prints(log: str) -> list[str]:
    return [one["partialFingerprints"]["buildlogFinding/v1"] for one in json.loads(log)["runs"][0]["results"]]


def test_fingerprints_outlive_moved_lines_and_tell_equals_apart(tmp_path: Path) -> None:
    first = prints(sarif(report(tmp_path)))
    moved = prints(
        sarif(report(tmp_path, PAGE.replace("# A\n", "# A\n\nA paragraph more.\n\nAnd one more.\n")))
    )
    assert first == moved
    assert len(set(first)) == len(first) == 3


def test_code_quality_has_unique_fingerprints(tmp_path: Path) -> None:
    rows = json.loads(code_quality(report(tmp_path).findings))
    assert len({row["fingerprint"] for row in rows}) == len(rows) == 3
    assert rows[0]["location"] == {"path": "content/a.md", "lines": {"begin": 3}}
    assert rows[0]["severity"] == "critical"


def test_annotations_keep_to_the_hosts_cap_worst_first(tmp_path: Path) -> None:
    many = "\n\n".join(f"Third: {FIGURE} and 39 N·m." for _ in range(15))
    lines = workflow_commands(report(tmp_path, f"{many}\n\n{GEARING}").findings).splitlines()
    kinds = [line.split(" ")[0] for line in lines]
    assert kinds == ["::error"] * SHOWN + ["::notice"] * SHOWN
    assert lines[0].startswith("::error file=content/a.md,line=1,col=9,endColumn=18,title=figure-disagrees::")


@pytest.mark.parametrize("form", ["json", "annotations", "sarif", "code-quality", "markdown", "text"])
def test_hostile_content_is_neutralised(tmp_path: Path, form: str) -> None:
    write_site(tmp_path, {"a.md": f"{HOSTILE}\n\n{GEARING}"})
    result = CliRunner().invoke(main, ["proof", "--format", form, "--site", str(tmp_path)])
    assert result.exit_code == 1
    assert "\x1b" not in result.output
    assert "\u202e" not in result.output or form == "json"
    assert not re.search(r"^::error::", result.output, re.MULTILINE)
    if form == "markdown":
        assert "<script>" not in result.output
    if form == "annotations":
        assert "%0A::error" not in result.output


def test_annotations_come_by_themselves_in_a_workflow(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    monkeypatch.delenv("GITHUB_ACTIONS", raising=False)
    assert "::error" not in CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output
    monkeypatch.setenv("GITHUB_ACTIONS", "true")
    assert "::error file=" in CliRunner().invoke(main, ["proof", "--site", str(tmp_path)]).output


def test_output_to_a_file_still_tells_people(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    target = tmp_path / "findings.sarif"
    arguments = ["proof", "--format", "sarif", "--output", str(target), "--site", str(tmp_path)]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 1
    assert "figure-disagrees" in result.output
    assert json.loads(target.read_text("utf-8"))["version"] == "2.1.0"
    missing = [*arguments[:4], str(tmp_path / "no" / "x.sarif"), *arguments[5:]]
    assert CliRunner().invoke(main, missing).exit_code == 2


def test_summary_for_a_job(tmp_path: Path) -> None:
    """Regression: the shape of the page."""
    text = summary_markdown(report(tmp_path))
    assert text.startswith("## Proof\n\n1 page, 1 calculation block, 3 figures: 2 computed")
    assert text.count("\n| content/a\\.md\\:3\\:") == 3
