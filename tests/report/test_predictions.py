"""Predictions in the ledger: as lines, and as JSON that its schema describes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

import buildlog.report
from buildlog.cli import main
from buildlog.proof.proof import Report, proof_book
from buildlog.report.ledger import ledger_json, ledger_text
from tests.proof.test_predicting import GUESS, gearing, measured
from tests.samples import open_site

SCHEMA = Path(buildlog.report.__file__).parent / "schemas" / "ledger.schema.json"
TOLD = '[170 km/h](told:driver "of calc:a#guess.speed_at_limit.1"), 4 kg\n\n'
RATIO = "predicts: {overall_ratio.1: calc:a#guess.overall_ratio.1}"


def report(folder: Path) -> Report:
    files: dict[str, str | bytes] = {
        "a.md": GUESS + measured(),
        "b.md": TOLD + gearing("third", "1.8 m", more=RATIO),
        "sources.yml": "driver: {who: Ines, when: after the run}\n",
    }
    return proof_book(open_site(folder, files))


def test_the_json_is_as_its_schema_says(tmp_path: Path) -> None:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    document = json.loads(ledger_json(report(tmp_path)))
    assert list(Draft202012Validator(schema).iter_errors(document)) == []
    assert len(document["predictions"]) == 3
    document["predictions"][0].pop("agrees")
    assert list(Draft202012Validator(schema).iter_errors(document))


def test_a_prediction_for_programs(tmp_path: Path) -> None:
    """45.0 and 45.5 m/s are 162.0 and 163.8 km/h, U = 1.62 and 2.16; 1.8 ± 2.7: see test_predicting."""
    first: dict[str, Any] = json.loads(ledger_json(report(tmp_path)))["predictions"][0]
    assert (first["page"], first["standing"], first["unit"]) == ("a", "predicted", "km/h")
    assert first["prediction"] == "calc:a#guess.speed_at_limit.1"
    assert first["measurement"] == "calc:a#watch.speed_at_limit.1"
    assert first["predicted"] == pytest.approx({"value": 162.0, "uncertainty": 1.62})
    assert first["measured"] == pytest.approx({"value": 163.8, "uncertainty": 2.16})
    assert first["off_by"] == pytest.approx({"value": -1.8, "uncertainty": 2.7})
    assert first["normalised_error"] == pytest.approx(-2 / 3)
    assert (first["agrees"], first["shared"]) == (True, False)


def test_what_cannot_be_told_is_null_and_a_claim_has_who_said_it(tmp_path: Path) -> None:
    rows = json.loads(ledger_json(report(tmp_path)))["predictions"]
    (told,) = [row for row in rows if row["standing"] == "told"]
    assert (told["by"], told["claim"], told["agrees"]) == ("driver", "170 km/h", False)
    assert told["about"] == "calc:a#guess.speed_at_limit.1"
    (untold,) = [row for row in rows if row["standing"] == "predicted" and row["page"] == "b"]
    assert (untold["normalised_error"], untold["agrees"]) == (None, None)


def test_the_same_as_lines(tmp_path: Path) -> None:
    text = ledger_text(report(tmp_path)).replace("\u00a0", " ")
    assert (
        "2 predictions: 1 held, 0 did not, 1 cannot be told; 1 claim that can be computed: 0 agreed" in text
    )
    assert "watch.speed_at_limit.1: 162.0 ± 1.6 km/h predicted, 163.8 ± 2.2 km/h" in text
    assert "measured, En −0.67: agrees" in text
    assert "“170 km/h” told, 162.0 km/h ± 1.62 km/h computed: DOES NOT AGREE" in text
    assert "third.overall_ratio.1: 4.000 predicted, 4.000 measured: cannot tell" in text


def test_a_site_without_any_has_no_such_lines(tmp_path: Path) -> None:
    plain = proof_book(open_site(tmp_path, {"a.md": GUESS}))
    assert "prediction" not in ledger_text(plain)
    assert json.loads(ledger_json(plain))["predictions"] == []


def test_the_working_of_a_block_ends_with_what_foretold_it(tmp_path: Path) -> None:
    report(tmp_path)
    command = ["working", "a#watch", "--site", str(tmp_path)]
    lines = CliRunner().invoke(main, command).output.replace("\u00a0", " ").splitlines()
    assert lines[-3] == "Foretold and found (En from −1 to 1 agrees)"
    assert "162.0 ± 1.6 km/h predicted, 163.8 ± 2.2 km/h measured, En −0.67: agrees" in lines[-2]
    assert lines[-1] == "    by calc:a#guess.speed_at_limit.1"
    assert "Foretold" not in CliRunner().invoke(main, [*command, "--set", "final_drive=4.2"]).output
