"""A name for each finding that outlives moved lines: of its page, its code and what it is about."""

from __future__ import annotations

import hashlib

from buildlog.diagnostics import Diagnostic
from buildlog.proof.proof import Report
from buildlog.report.subjects import Subject, subjects


def fingerprints(report: Report) -> list[str]:
    """One fingerprint a finding, in order, all different.

    A figure is known by its label and address, so that neither a moved line nor a changed computed value
    makes a new finding of it; anything else by its block and what was found. Equals on a page are told
    apart by their order.
    """
    seen: dict[tuple[str, ...], int] = {}
    names = []
    for finding, subject in zip(report.findings, subjects(report), strict=True):
        key = (finding.position.path, finding.code.name, *_about(finding, subject))
        seen[key] = seen.get(key, 0) + 1
        text = "\x1f".join((*key, str(seen[key])))
        names.append(hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32])
    return names


def _about(finding: Diagnostic, subject: Subject) -> tuple[str, ...]:
    if subject.entry is not None:
        return "figure", subject.entry.label, subject.entry.address
    block = subject.block.id if subject.block else ""
    return "block", block, finding.found
