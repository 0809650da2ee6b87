"""SARIF: valid by the standard's own schema, positions in code points, rules with help, within the caps."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from jsonschema import Draft4Validator

import buildlog.report.sarif
from buildlog.book.book import Book
from buildlog.proof.proof import Report, proof_book
from buildlog.report.sarif import sarif
from tests.samples import GEARING, write_site

STANDARD = Path(__file__).resolve().parents[1] / "data" / "sarif" / "sarif-schema-2.1.0.json"
FIGURE = "[153.5 km/h](calc:shorter-final.after.speed_at_limit.3)"
PAGE = f"# A\n\nThird: {FIGURE}, again {FIGURE}, and 39 N·m.\n\n{GEARING}"


@cache
def validator() -> Draft4Validator:
    """The JSON Schema of OASIS SARIF 2.1.0 plus Errata 01; see tests/data/sarif/README.md."""
    schema = json.loads(STANDARD.read_text("utf-8"))
    Draft4Validator.check_schema(schema)
    return Draft4Validator(schema)


def report(folder: Path, files: dict[str, str | bytes]) -> Report:
    return proof_book(Book.open(write_site(folder, files), root=folder))


def log(folder: Path, files: dict[str, str | bytes]) -> dict[str, Any]:
    """The run of a valid log."""
    document = json.loads(sarif(report(folder, files)))
    validator().validate(document)
    (run,) = document["runs"]
    assert isinstance(run, dict)
    return run


def test_it_is_valid_by_the_schema_of_the_standard(tmp_path: Path) -> None:
    run = log(tmp_path, {"a.md": PAGE})
    assert run["columnKind"] == "unicodeCodePoints"
    assert len(run["results"]) == 3
    for broken in ("tool", "results"):
        document: dict[str, Any] = {"version": "2.1.0", "runs": [{**run, broken: "nothing"}]}
        assert not validator().is_valid(document), "the schema refuses what is no SARIF"


def test_every_code_that_a_site_can_meet_is_a_valid_rule(tmp_path: Path) -> None:
    """Faults of many kinds at once: YAML, blocks, sources, addresses, labels, whole files."""
    files: dict[str, str | bytes] = {
        "a.md": PAGE,
        "b.md": b"\xff\xfe not text",
        "c.md": "[9](calc:x.y) [9 km](calc:a#shorter-final.after.speed_at_limit.3) [1 m](cite:no)\n",
        "d.md": "```yaml calc\nid: x\nkind: gearin\ninputs: {a: 1, a: 2}\n```\n",
        "e.md": "```yaml calc\nid: y\nkind: gearing\ninputs: {rev_limit: 8200, tyre: &t 5}\n```\n",
        "f.md": "```yaml calc\nid: z\n",
        "sources.yml": "manual: {}\n",
        "cars/odd.yml": "name: Odd\ninputs: {wing_area: 3 m}\n",
    }
    run = log(tmp_path, files)
    rules = run["tool"]["driver"]["rules"]
    assert len(rules) > 8
    assert {rule["id"] for rule in rules} == {result["ruleId"] for result in run["results"]}
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        region = result["locations"][0]["physicalLocation"]["region"]
        assert region["endColumn"] > region["startColumn"]
    for rule in rules:
        assert rule["shortDescription"]["text"].endswith((".", "?", "!"))
        assert "**How to mend it:**" in rule["help"]["markdown"]


def test_columns_count_code_points(tmp_path: Path) -> None:
    """U+1F3CE is one code point, two UTF-16 units and four bytes: the figure starts at the tenth sign."""
    run = log(tmp_path, {"a.md": f"Third 🏎 {FIGURE}\n\n{GEARING}"})
    place = run["results"][0]["locations"][0]["physicalLocation"]
    assert place["region"] == {"startLine": 1, "startColumn": 10, "endColumn": 20}
    assert place["artifactLocation"] == {"uri": "content/a.md", "uriBaseId": "%SRCROOT%"}


def test_the_block_is_a_related_place(tmp_path: Path) -> None:
    run = log(tmp_path, {"a.md": PAGE})
    (related,) = run["results"][0]["relatedLocations"]
    assert related["physicalLocation"]["region"]["startLine"] == 5
    assert "shorter-final" in related["message"]["text"]


def test_braces_and_links_in_a_message_mean_nothing(tmp_path: Path) -> None:
    """SARIF 2.1.0, 3.11.5: { and } stand twice in a message; 3.11.6: [text](address) would be a link."""
    run = log(tmp_path, {"a.md": f"[9 {{0}}](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"})
    text = run["results"][0]["message"]["text"]
    assert "{{0}}" in text
    assert "{0}" not in text.replace("{{0}}", "")
    run = log(
        tmp_path, {"a.md": f"[`9](javascript:x)`](calc:shorter-final.after.speed_at_limit.3)\n\n{GEARING}"}
    )
    assert all("](" not in result["message"]["text"] for result in run["results"])


def test_addresses_of_files_are_uris(tmp_path: Path) -> None:
    """RFC 3986: spaces, percent signs, colons and what is not ASCII are written in percent."""
    name = "a b/ü%41:c#d?.md"
    run = log(tmp_path, {name: PAGE})
    uri = run["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert unquote(uri) == f"content/{name}"
    assert set(uri) <= set("abcdefghijklmnopqrstuvwxyzABCDEF0123456789%/-._~")


def test_more_than_the_hosts_take_is_left_out_and_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert buildlog.report.sarif.MOST_RESULTS == 25_000
    monkeypatch.setattr(buildlog.report.sarif, "MOST_RESULTS", 2)
    run = log(tmp_path, {"a.md": f"# A\n\nAnd 39 N·m.\n\n{PAGE}"})
    assert [result["level"] for result in run["results"]] == ["error", "error"]
    (said,) = run["invocations"][0]["toolExecutionNotifications"]
    assert said["message"]["text"].startswith("2 findings")
