"""Findings as SARIF 2.1.0 (OASIS Standard, 2020), with code-point columns and partial fingerprints."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

import buildlog
from buildlog.diagnostics import CODES, Diagnostic, Position, Severity
from buildlog.proof import Report
from buildlog.report.fingerprints import fingerprints
from buildlog.report.printable import printable

MOST_RESULTS = 25_000
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def sarif(report: Report) -> str:
    """A SARIF log with one run. Results beyond `MOST_RESULTS`, the hosts' cap, are left out, worst first."""
    named = list(zip(report.findings, fingerprints(report.findings), strict=True))
    named.sort(key=lambda pair: int(pair[0].severity))
    named = named[:MOST_RESULTS]
    codes = sorted({finding.code for finding, _ in named})
    rules = [_rule(code) for code in codes]
    run = {
        "tool": {
            "driver": {
                "name": "buildlog",
                "semanticVersion": buildlog.__version__,
                "rules": rules,
            }
        },
        "columnKind": "unicodeCodePoints",
        "results": [_result(finding, name, codes.index(finding.code)) for finding, name in named],
    }
    return json.dumps({"version": "2.1.0", "runs": [run]}, ensure_ascii=False, indent=1) + "\n"


def _rule(name: str) -> dict[str, Any]:
    code = CODES[name]
    return {
        "id": name,
        "shortDescription": {"text": code.meaning},
        "fullDescription": {"text": code.why},
        "help": {"text": code.mend},
        "defaultConfiguration": {"level": _LEVELS[code.severity]},
    }


def _location(place: Position, length: int = 0) -> dict[str, Any]:
    region: dict[str, Any] = {"startLine": place.line, "startColumn": place.column}
    if length:
        region["endColumn"] = place.column + length
    return {"physicalLocation": {"artifactLocation": {"uri": quote(place.path)}, "region": region}}


def _result(finding: Diagnostic, name: str, rule: int) -> dict[str, Any]:
    parts = [finding.message + ".", f"Expected {finding.expected}." if finding.expected else "", finding.help]
    result: dict[str, Any] = {
        "ruleId": finding.code,
        "ruleIndex": rule,
        "level": _LEVELS[finding.severity],
        "message": {"text": printable(" ".join(filter(None, parts)))},
        "locations": [_location(finding.position, finding.length)],
        "partialFingerprints": {"buildlogFinding/v1": name},
    }
    if finding.second is not None:
        second = _location(finding.second)
        second["message"] = {"text": printable(finding.second_label or "see also")}
        result["relatedLocations"] = [second]
    return result
