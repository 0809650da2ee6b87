"""The proof as Markdown, for the summary page of a CI job."""

from __future__ import annotations

import re

from buildlog.diagnostics import Diagnostic, shorten
from buildlog.proof.proof import Report
from buildlog.report.following import fold, what_follows
from buildlog.report.printable import printable
from buildlog.report.text import summary_text

MOST_ROWS = 50
LONGEST_CELL = 300
_SPECIAL = re.compile(r"[\\`*_\[\]{}<>#!|~&$^]|:(?=//)|(?<=www)\.", re.IGNORECASE)


def summary_markdown(report: Report) -> str:
    """Counts, and a table of the findings that matter most."""
    lines = ["## Proof", "", *(f"{line}  " for line in summary_text(report).splitlines()), ""]
    folded = fold(report.findings)
    findings = sorted(folded, key=lambda finding: (int(finding.severity), finding.position))
    if findings:
        lines += ["| where | what | expected | code |", "|---|---|---|---|"]
        for finding in findings[:MOST_ROWS]:
            cells = (
                str(finding.position),
                "; ".join(filter(None, (_what(finding), what_follows(folded[finding])))),
                finding.expected,
                finding.code.name,
            )
            lines.append("| " + " | ".join(_escaped(cell) for cell in cells) + " |")
        if len(findings) > MOST_ROWS:
            lines += ["", f"{len(findings) - MOST_ROWS} more findings are in the text of the proof."]
    return "\n".join(lines) + "\n"


def _what(finding: Diagnostic) -> str:
    return f"{finding.severity.word}: {finding.message}"


def _escaped(text: str) -> str:
    """Text that no reader of Markdown takes for markup, whichever signs its dialect lets be escaped.

    But for an address of mail, of which some make a link to that address.
    """
    shown = printable(shorten(text, LONGEST_CELL))
    return _SPECIAL.sub(lambda found: f"&#{ord(found[0])};", shown)
