"""Findings as SARIF 2.1.0 (OASIS Standard with Errata 01, 2023): one run, columns in code points.

Hosts take 25,000 results and 10 MB compressed; `MOST_RESULTS` keeps to the first and lies far below the
second. They know a finding again by ``primaryLocationLineHash``, and by any other name they leave it.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from buildlog.diagnostics import Code, Diagnostic, Position, Severity
from buildlog.proof.proof import Report
from buildlog.report.codes import sentence
from buildlog.report.fingerprints import fingerprints
from buildlog.report.following import fold, what_follows
from buildlog.report.json_text import json_text
from buildlog.report.places import RepositoryPlaces
from buildlog.report.printable import printable
from buildlog.report.wording import wording
from buildlog.version import __version__

MOST_RESULTS = 25_000
_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}
_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_ROOT = "%SRCROOT%"


def sarif(report: Report) -> str:
    """A SARIF log, worst findings first. What is beyond `MOST_RESULTS` is left out, and the log says so."""
    folded = fold(report.findings)
    named = [pair for pair in zip(report.findings, fingerprints(report), strict=True) if pair[0] in folded]
    named.sort(key=lambda pair: int(pair[0].severity))
    left_out = len(named) - MOST_RESULTS
    named = named[:MOST_RESULTS]
    codes = sorted({finding.code for finding, _ in named}, key=lambda code: code.name)
    rules = {code: index for index, code in enumerate(codes)}
    places = RepositoryPlaces(report)
    invocation: dict[str, Any] = {"executionSuccessful": True}
    if left_out > 0:
        text = f"{left_out} findings more than the {MOST_RESULTS} that hosts take were left out."
        invocation["toolExecutionNotifications"] = [{"level": "warning", "message": {"text": text}}]
    run = {
        "tool": {
            "driver": {
                "name": "buildlog",
                "version": __version__,
                "semanticVersion": __version__,
                "rules": [_rule(code) for code in codes],
            }
        },
        "language": "en-GB",
        "invocations": [invocation],
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {_ROOT: {"description": {"text": "The root of the repository."}}},
        "results": [
            _result(finding, name, rule=rules[finding.code], places=places, following=folded[finding])
            for finding, name in named
        ],
    }
    return json_text({"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]})


def _rule(code: Code) -> dict[str, Any]:
    why, mend = sentence(code.why), sentence(code.mend)
    markdown = [sentence(code.meaning), f"**Why it matters:** {why}", f"**How to mend it:** {mend}"]
    if code.example:
        markdown += ["**Example:**", f"````text\n{code.example}\n````"]
    return {
        "id": code.name,
        "name": code.name.title().replace("-", ""),
        "shortDescription": {"text": _message(code.meaning)},
        "fullDescription": {"text": _message(code.why)},
        "help": {"text": _message(code.why, code.mend), "markdown": "\n\n".join(markdown)},
        "defaultConfiguration": {"level": _LEVELS[code.severity]},
    }


def _message(*parts: str) -> str:
    """Plain text of a message: braces stand twice, and no link arises (SARIF 2.1.0, 3.11.5 and 3.11.6)."""
    text = printable(" ".join(sentence(part) for part in parts if part))
    return text.replace("{", "{{").replace("}", "}}").replace("](", "] (")


def _location(place: Position, places: RepositoryPlaces, end: int = 0) -> dict[str, Any]:
    region = {"startLine": place.line, "startColumn": place.column}
    if end:
        region["endColumn"] = end
    return {"physicalLocation": {"artifactLocation": _artifact(places.path(place.path)), "region": region}}


def _artifact(path: str) -> dict[str, str]:
    uri = quote(path, errors="surrogateescape")
    return {"uri": f"file://{uri}"} if path.startswith("/") else {"uri": uri, "uriBaseId": _ROOT}


def _result(
    finding: Diagnostic, name: str, rule: int, places: RepositoryPlaces, following: tuple[Diagnostic, ...]
) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.code.name,
        "ruleIndex": rule,
        "level": _LEVELS[finding.severity],
        "message": {"text": _message(wording(finding, what_follows(following)))},
        "locations": [_location(finding.position, places, places.end_column(finding))],
        "partialFingerprints": _known_by(name),
    }
    if finding.second is not None:
        second = _location(finding.second, places)
        second["message"] = {"text": _message(finding.second_label or "see also")}
        result["relatedLocations"] = [second]
    return result


def _known_by(name: str) -> dict[str, str]:
    return {"buildlogFinding/v1": name, "primaryLocationLineHash": name}
