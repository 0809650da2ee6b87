"""A site of an attacker, proofed: whatever is in it, findings come of it and nothing else, and soon."""

from __future__ import annotations

import json
import time
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from buildlog.cli import main
from tests.samples import write_site

SECONDS = 60
"""Of processor time, for any attack: hundreds of times what an honest page takes. What grows with more than
the size of the text does not end in it."""


@dataclass(frozen=True, kw_only=True)
class Proofed:
    exit_code: int
    findings: list[dict[str, Any]]

    @property
    def codes(self) -> set[str]:
        return {finding["code"] for finding in self.findings}

    def of(self, code: str) -> list[dict[str, Any]]:
        return [finding for finding in self.findings if finding["code"] == code]


def proof(folder: Path, files: Mapping[str, str | bytes], *arguments: str) -> Proofed:
    """The findings of a site, by `buildlog proof`. Fails where anything else comes of it."""
    write_site(folder, dict(files))
    return proof_there(folder, *arguments)


def proof_there(folder: Path, *arguments: str) -> Proofed:
    began = time.process_time()
    run = CliRunner().invoke(main, ["proof", "--format", "json", "--all", *arguments, "--site", str(folder)])
    spent = time.process_time() - began
    assert run.exception is None or isinstance(run.exception, SystemExit), run.exception
    assert run.exit_code in (0, 1), run.output
    assert spent < SECONDS
    obeyed = {
        sign for sign in run.output if sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf", "Cs")
    }
    assert obeyed == set()
    findings = json.loads(run.stdout)["findings"]
    for finding in findings:
        assert finding["code"] != "calculator-fault", finding
        assert finding["line"] >= 1
        assert finding["column"] >= 1
        assert finding["message"]
    return Proofed(exit_code=run.exit_code, findings=findings)
