"""The proof as Markdown, for the summary page of a CI job."""

from __future__ import annotations

from buildlog.proof import Report
from buildlog.reading.nodes import shorten
from buildlog.report.printable import printable
from buildlog.report.text import summary_text

MOST_ROWS = 50
LONGEST_CELL = 300
_SPECIAL = set("\\`*_{}[]<>()#+-.!|~&:@$^=")


def summary_markdown(report: Report) -> str:
    """Counts, and a table of the findings that matter most."""
    lines = ["## Proof", "", *(f"{line}  " for line in summary_text(report).splitlines()), ""]
    findings = sorted(report.findings, key=lambda one: (int(one.severity), one.position))
    if findings:
        lines += ["| where | what | expected | code |", "|---|---|---|---|"]
        for one in findings[:MOST_ROWS]:
            cells = (str(one.position), f"{one.severity.word}: {one.message}", one.expected, one.code)
            lines.append("| " + " | ".join(_escaped(cell) for cell in cells) + " |")
        if len(findings) > MOST_ROWS:
            lines += ["", f"{len(findings) - MOST_ROWS} more findings are in the text of the proof."]
    return "\n".join(lines) + "\n"


def _escaped(text: str) -> str:
    """Text that no Markdown reader takes for markup."""
    return "".join(
        f"\\{char}" if char in _SPECIAL else char for char in printable(shorten(text, LONGEST_CELL))
    )
