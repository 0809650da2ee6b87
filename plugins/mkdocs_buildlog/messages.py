"""Findings as MkDocs tells them: in its log, or as the error that ends a build."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mkdocs.exceptions import PluginError
from mkdocs.plugins import get_plugin_logger

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.proof.proof import Report
from buildlog.report.text import findings_text, plural, summary_text

log = get_plugin_logger("buildlog")

_LOG_AT = {Severity.ERROR: log.error, Severity.WARNING: log.warning, Severity.NOTE: log.info}


def relay_findings(report: Report, book: Book) -> None:
    """Tell MkDocs' log what the proof found."""
    for finding in report.findings:
        tell = _LOG_AT[finding.severity]
        tell(findings_text((finding,), lambda position: quote_line(book, position)).rstrip())
    log.info(summary_text(report).strip())


def refuse_if_any_stops(report: Report, book: Book, *, strict: bool) -> None:
    """End the build at an error; in strict mode at a warning too."""
    worst = Severity.WARNING if strict else Severity.ERROR
    stopping = tuple(finding for finding in report.findings if finding.severity <= worst)
    if stopping:
        remark = "strict: warnings count" if strict else ""
        raise refusal_of(stopping, remark, lambda position: quote_line(book, position))


def refusal_of(findings: Sequence[Diagnostic], remark: str, quote: Callable[[Position], str]) -> PluginError:
    """The error that ends a build. `quote` gives the text of a line, for the message to show."""
    count = plural(len(findings), "finding")
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
