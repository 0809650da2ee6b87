"""Findings as a code quality report: the JSON that a CI host reads into its merge requests."""

from __future__ import annotations

import json
from collections.abc import Sequence

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.report.fingerprints import fingerprints
from buildlog.report.printable import printable

_SEVERITIES = {Severity.ERROR: "critical", Severity.WARNING: "minor", Severity.NOTE: "info"}


def code_quality(findings: Sequence[Diagnostic]) -> str:
    """An array with a unique fingerprint for each finding."""
    report = [
        {
            "description": printable(f"{finding.message}; expected {finding.expected or 'otherwise'}"),
            "check_name": finding.code,
            "fingerprint": name,
            "severity": _SEVERITIES[finding.severity],
            "location": {"path": finding.position.path, "lines": {"begin": finding.position.line}},
        }
        for finding, name in zip(findings, fingerprints(findings), strict=True)
    ]
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"
