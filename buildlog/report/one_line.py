"""Findings for editors and for narrow eyes: one line each, ``path:line:column: severity code words``."""

from __future__ import annotations

from buildlog.diagnostics import Diagnostic
from buildlog.proof.proof import Report
from buildlog.report.codes import sentence
from buildlog.report.following import fold, what_follows
from buildlog.report.printable import printable, printable_path


def findings_lines(report: Report) -> str:
    """One line a finding and nothing else: what it is and what to do, in the order of their places."""
    folded = fold(report.findings).items()
    return "".join(f"{_line(finding, what_follows(following))}\n" for finding, following in folded)


def _line(finding: Diagnostic, following: str) -> str:
    words = finding.message
    if finding.found and not finding.rows and finding.found not in words:
        words += f": {finding.found}"
    words = " ".join(sentence(part) for part in (words, finding.help, following) if part)
    place = printable_path(str(finding.position))
    return f"{place}: {finding.severity.word} {finding.code.name} {printable(words)}"
