"""What each finding is about: the figure of the ledger, and the block that it rests on or lies in."""

from __future__ import annotations

from dataclasses import dataclass

from buildlog.diagnostics import Diagnostic, Severity
from buildlog.kinds.results import BlockResult
from buildlog.proof.judging import Entry
from buildlog.proof.proof import Report


@dataclass(frozen=True)
class Subject:
    """Either may be missing: a page that is not UTF-8 is about neither."""

    entry: Entry | None = None
    block: BlockResult | None = None


def subjects(report: Report) -> list[Subject]:
    """One subject a finding, in the order of the findings."""
    known: dict[Diagnostic, Subject] = {}
    for block in report.book.by_place.values():
        for fault in block.faults:
            known.setdefault(_of_any_level(fault), Subject(block=block))
    for entry in report.entries:
        if entry.judged is not None:
            for fault in entry.judged.diagnostics:
                known[_of_any_level(fault)] = Subject(entry, entry.judged.block)
    entries = {entry.position: entry for entry in report.entries}

    def subject(finding: Diagnostic) -> Subject:
        told = known.get(_of_any_level(finding))
        if told is not None:
            return told
        # What only the whole site shows is not among a figure's own findings, but stands at its place.
        entry = entries.get(finding.position)
        if entry is None:
            return Subject(block=report.book.by_place.get(finding.position))
        return Subject(entry, entry.judged.block if entry.judged else None)

    return [subject(finding) for finding in report.findings]


def _of_any_level(finding: Diagnostic) -> Diagnostic:
    """A site sets levels after a figure was judged; the finding is the same one."""
    return finding.with_severity(Severity.ERROR)
