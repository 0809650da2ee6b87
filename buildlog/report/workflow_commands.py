"""Findings as workflow commands, which a CI host shows beside the changed lines.

The host shows ten errors and ten warnings a step and drops the rest, so that the worst come first and no
more than that are sent; the full text is printed as well.
"""

from __future__ import annotations

from collections.abc import Iterable

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.report.printable import printable

SHOWN = 10
_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def workflow_commands(findings: Iterable[Diagnostic]) -> str:
    """One line a finding, at most `SHOWN` of each severity, errors first."""
    every = list(findings)
    lines = []
    for severity in Severity:
        chosen = [finding for finding in every if finding.severity is severity][:SHOWN]
        lines += [_command(finding) for finding in chosen]
    return "".join(f"{line}\n" for line in lines)


def _command(finding: Diagnostic) -> str:
    place = finding.position
    end = place.column + finding.length - 1
    properties = {
        "file": place.path,
        "line": str(place.line),
        "col": str(place.column),
        "endColumn": str(end),
        "title": finding.code,
    }
    listed = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    parts = [finding.message, f"Expected {finding.expected}." if finding.expected else "", finding.help]
    return f"::{_COMMANDS[finding.severity]} {listed}::{_data(' '.join(filter(None, parts)))}"


def _data(text: str) -> str:
    return printable(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
