"""Findings as JSON. The format is described by ``schemas/findings.schema.json`` and has a version."""

from __future__ import annotations

import json
from typing import Any

from buildlog.diagnostics import Diagnostic
from buildlog.proof import Report
from buildlog.report.fingerprints import fingerprints

FORMAT = 1


def findings_json(report: Report) -> str:
    """``{"format": 1, "summary": {…}, "findings": [{code, severity, path, line, column, …}]}``."""
    stated = {entry.position: entry for entry in report.entries}
    summary = {
        "pages": len(report.pages),
        "blocks": report.blocks,
        "figures": len(report.entries),
        "computed": report.count("computed"),
        "cited": report.count("cited"),
        "told": report.count("told"),
        "loose": report.count("loose"),
        "coverage": report.coverage,
        "errors": len(report.errors),
        "warnings": len(report.warnings),
        "notes": len(report.findings) - len(report.errors) - len(report.warnings),
    }
    findings = []
    for finding, name in zip(report.findings, fingerprints(report.findings), strict=True):
        one = _finding(finding, name)
        entry = stated.get(finding.position)
        if entry is not None and entry.judged is not None and entry.judged.verdict is not None:
            verdict = entry.judged.verdict
            one["figure"] = {
                "label": entry.label,
                "address": entry.address,
                "computed": verdict.computed,
                "difference": verdict.difference,
                "unit": verdict.unit.symbol,
            }
        findings.append(one)
    document = {"format": FORMAT, "summary": summary, "findings": findings}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _finding(finding: Diagnostic, name: str) -> dict[str, Any]:
    place = finding.position
    one: dict[str, Any] = {
        "code": finding.code,
        "severity": finding.severity.word,
        "path": place.path,
        "line": place.line,
        "column": place.column,
        "end_column": place.column + finding.length,
        "message": finding.message,
        "found": finding.found,
        "expected": finding.expected,
        "help": finding.help,
        "fingerprint": name,
    }
    if finding.second is not None:
        second = finding.second
        one["see"] = {
            "path": second.path,
            "line": second.line,
            "column": second.column,
            "label": finding.second_label,
        }
    return one
