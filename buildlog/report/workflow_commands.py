"""Findings as workflow commands, which a CI host shows beside the changed lines.

The host shows ten errors and ten warnings a step and drops the rest, so that the worst come first and no
more than that are sent; the full text is printed as well. It also drops what is longer than `LONGEST`.
"""

from __future__ import annotations

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.proof.proof import Report
from buildlog.report.following import fold, what_follows
from buildlog.report.places import RepositoryPlaces
from buildlog.report.printable import printable
from buildlog.report.wording import wording

SHOWN = 10
LONGEST = 4000
_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def workflow_commands(report: Report) -> str:
    """One line a finding, at most `SHOWN` of each severity, errors first."""
    places = RepositoryPlaces(report)
    folded = fold(report.findings)
    lines = []
    for severity in Severity:
        chosen = [finding for finding in folded if finding.severity is severity][:SHOWN]
        lines += [_command(finding, what_follows(folded[finding]), places) for finding in chosen]
    return "".join(f"{line}\n" for line in lines)


def _command(finding: Diagnostic, following: str, places: RepositoryPlaces) -> str:
    place = finding.position
    properties = {
        "file": places.path(place.path),
        "line": str(place.line),
        "col": str(place.column),
        "endColumn": str(max(place.column, places.end_column(finding) - 1)),
        "title": finding.code.name,
    }
    listed = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{_COMMANDS[finding.severity]} {listed}::{_data(wording(finding, following)[:LONGEST])}"


def _data(text: str) -> str:
    return printable(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
