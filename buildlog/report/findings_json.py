"""Findings as JSON. The format is described by ``schemas/findings.schema.json`` and has a version."""

from __future__ import annotations

from math import isfinite
from typing import Any

from buildlog.diagnostics import Diagnostic
from buildlog.proof.judging import Entry
from buildlog.proof.proof import Report
from buildlog.report.fingerprints import fingerprints
from buildlog.report.json_text import json_text
from buildlog.report.places import RepositoryPlaces, folder_in_repository
from buildlog.report.subjects import Subject, subjects

FORMAT = 1


def findings_json(report: Report) -> str:
    """``{"format": 1, "folder": "", "summary": {…}, "findings": [{code, severity, path, line, …}]}``."""
    places = RepositoryPlaces(report)
    every = zip(report.findings, fingerprints(report), subjects(report), strict=True)
    return json_text(
        {
            "format": FORMAT,
            "folder": folder_in_repository(report.book.root),
            "summary": _summary(report),
            "findings": [_finding(finding, name, subject, places) for finding, name, subject in every],
        }
    )


def _summary(report: Report) -> dict[str, Any]:
    return {
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
        "known": len(report.known),
    }


def _finding(finding: Diagnostic, name: str, subject: Subject, places: RepositoryPlaces) -> dict[str, Any]:
    place = finding.position
    written: dict[str, Any] = {
        "code": finding.code.name,
        "severity": finding.severity.word,
        "path": place.path,
        "line": place.line,
        "column": place.column,
        "end_column": places.end_column(finding),
        "message": finding.message,
        "found": finding.found,
        "expected": finding.expected,
        "help": finding.help,
        "fingerprint": name,
    }
    if finding.second is not None:
        second = finding.second
        written["see"] = {
            "path": second.path,
            "line": second.line,
            "column": second.column,
            "label": finding.second_label,
        }
    if finding.follows is not None:
        cause = finding.follows
        written["follows"] = {
            "path": cause.position.path,
            "line": cause.position.line,
            "column": cause.position.column,
            "code": cause.code,
            "as": cause.tie.value,
        }
    if subject.entry is not None:
        written["figure"] = _figure(subject.entry)
    if subject.block is not None:
        block = subject.block
        written["block"] = {"address": block.address, "kind": block.kind, "line": block.position.line}
    return written


def _figure(entry: Entry) -> dict[str, Any]:
    """The figure as stated, and the numbers it was compared by where it could be compared."""
    figure: dict[str, Any] = {"label": entry.label, "standing": entry.standing, "address": entry.address}
    judged = entry.judged
    if judged is None or judged.verdict is None or judged.stated is None:
        return figure
    verdict, stated = judged.verdict, judged.stated
    numbers = {
        "stated": float(stated.low.value),
        "stated_to": float(stated.high.value),
        "computed": verdict.computed,
        "difference": verdict.difference,
        "lowest": verdict.allowed_low,
        "highest": verdict.allowed_high,
    }
    # Infinite is the open side of a comparison; JSON has no such number.
    figure |= {key: number if isfinite(number) else None for key, number in numbers.items()}
    figure |= {"unit": verdict.unit.symbol, "case": judged.case, "quantity": judged.output}
    return figure | {"key": judged.key, "versus": judged.versus}
