"""Findings as MkDocs tells them: in its log, or as the error that ends a build."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mkdocs.exceptions import PluginError
from mkdocs.plugins import get_plugin_logger

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.proof.proof import Report
from buildlog.report.fingerprints import fingerprints
from buildlog.report.following import fold
from buildlog.report.text import findings_text, summary_text
from buildlog.report.wording import plural

log = get_plugin_logger("buildlog")

Told = tuple[str, str, str, str]
"""A finding by its fingerprint and by what it says, without its place."""
_LOG_AT = {Severity.ERROR: log.error, Severity.WARNING: log.warning, Severity.NOTE: log.info}


def relay_findings(
    report: Report, book: Book, *, serving: bool = False, before: frozenset[Told] = frozenset()
) -> frozenset[Told]:
    """Tell MkDocs' log what the proof found. While serving, notes stand in the pages only, and what was told
    `before` is not repeated, wherever it stands now. Returns all that holds of this build."""
    named = zip(report.findings, fingerprints(report), strict=True)
    now = {finding: (name, finding.message, finding.found, finding.expected) for finding, name in named}
    for finding, following in fold(report.findings).items():
        if serving and (finding.severity is Severity.NOTE or now[finding] in before):
            continue
        told = findings_text((finding, *following), lambda position: quote_line(book, position))
        _LOG_AT[finding.severity](told.rstrip())
    log.info(summary_text(report).strip())
    return frozenset(now.values())


def refuse_if_any_stops(report: Report, book: Book, *, strict: bool) -> None:
    """End the build at an error; in strict mode at a warning too."""
    worst = Severity.WARNING if strict else Severity.ERROR
    stopping = tuple(finding for finding in report.findings if finding.severity <= worst)
    if stopping:
        remark = "strict: warnings count" if strict else ""
        raise refusal_of(stopping, remark, lambda position: quote_line(book, position))


def refusal_of(findings: Sequence[Diagnostic], remark: str, quote: Callable[[Position], str]) -> PluginError:
    """The error that ends a build. `quote` gives the text of a line, for the message to show."""
    count = plural(len(fold(findings)), "finding")
    note = f" ({remark})" if remark else ""
    return PluginError(
        f"buildlog: {count}{note}; no page was written.\n\n"
        f"{findings_text(findings, quote)}"
        "Mend them, or see each in its page with “mkdocs serve”."
    )


def quote_line(book: Book, position: Position) -> str:
    """The text of a line of a page; empty where there is none."""
    text = next((page.text for page in book.pages.values() if page.path == position.path), "")
    lines = text.splitlines()
    return lines[position.line - 1] if position.line <= len(lines) else ""
