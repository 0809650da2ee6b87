"""Findings as a code quality report: the JSON that a CI host reads into its merge requests."""

from __future__ import annotations

from buildlog.diagnostics import Severity
from buildlog.proof.proof import Report
from buildlog.report.fingerprints import fingerprints
from buildlog.report.following import fold, what_follows
from buildlog.report.json_text import json_text
from buildlog.report.places import RepositoryPlaces
from buildlog.report.printable import printable
from buildlog.report.wording import wording

_SEVERITIES = {Severity.ERROR: "critical", Severity.WARNING: "minor", Severity.NOTE: "info"}


def code_quality(report: Report) -> str:
    """An array of findings. The host takes findings with equal fingerprints for one; these all differ."""
    places = RepositoryPlaces(report)
    folded = fold(report.findings)
    rows = [
        {
            "description": printable(wording(finding, what_follows(folded[finding]), help=False)),
            "check_name": finding.code.name,
            "fingerprint": name,
            "severity": _SEVERITIES[finding.severity],
            "location": {
                "path": places.path(finding.position.path),
                "lines": {"begin": finding.position.line},
            },
        }
        for finding, name in zip(report.findings, fingerprints(report), strict=True)
        if finding in folded
    ]
    return json_text(rows)
