"""Findings as MkDocs tells them: in its log, or as the error that ends a build."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from mkdocs.exceptions import PluginError
from mkdocs.plugins import get_plugin_logger

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.files.text import split_lines
from buildlog.proof.proof import Report
from buildlog.report.fingerprints import fingerprints
from buildlog.report.following import fold
from buildlog.report.text import findings_text, summary_text
from buildlog.report.wording import plural

log = get_plugin_logger("buildlog")

Told = tuple[str, str, str, str]
"""A finding by its fingerprint and by what it says, without its place."""


def relay_findings(
    report: Report, book: Book, *, serving: bool = False, before: frozenset[Told] = frozenset()
) -> frozenset[Told]:
    """Tell MkDocs' log what the proof found, a line a page; all of it where the log is asked for more. While
    serving, errors are told in full, notes stand in the pages only, and what was told `before` is not
    repeated, wherever it stands now. Returns all that holds of this build."""
    named = zip(report.findings, fingerprints(report), strict=True)
    now = {finding: (name, finding.message, finding.found, finding.expected) for finding, name in named}
    lines: dict[str, list[Diagnostic]] = {}
    for finding, following in fold(report.findings).items():
        if serving and (finding.severity is Severity.NOTE or now[finding] in before):
            continue
        log_at = log.error if finding.severity is Severity.ERROR else log.debug
        log_at(findings_text((finding, *following), lambda position: quote_line(book, position)).rstrip())
        if finding.severity is not Severity.ERROR:
            lines.setdefault(finding.position.path, []).append(finding)
    for path, found in lines.items():
        warns = any(finding.severity is Severity.WARNING and _counts(finding, book) for finding in found)
        (log.warning if warns else log.info)(line_of_page(path, found))
    log.info(summary_text(report).strip())
    return frozenset(now.values())


def tell_of_pages(report: Report, book: Book) -> None:
    """Tell quietly what was found on the pages of a site that has nothing of ours: what was meant to be ours,
    perhaps."""
    pages = {page.path for page in book.pages.values()}
    for path in pages:
        found = [finding for finding in report.findings if finding.position.path == path]
        if found:
            log.info(line_of_page(path, found))


def line_of_page(path: str, findings: Sequence[Diagnostic]) -> str:
    """How many findings of which codes a page has, and how to see them."""
    kinds = []
    for severity in Severity:
        codes = Counter(finding.code.name for finding in findings if finding.severity is severity)
        if codes:
            each = ", ".join(f"{count} {code}" for code, count in codes.most_common())
            kinds.append(f"{plural(codes.total(), severity.word)} ({each})")
    first = min(finding.position.line for finding in findings)
    return f"{path}: {', '.join(kinds)}, from line {first} on. In full: buildlog proof {path}, or -v here."


def _counts(finding: Diagnostic, book: Book) -> bool:
    """Whether a warning is for this site to mend: on a page of ours, or in a file that is no page."""
    on = next((page for page in book.pages.values() if page.path == finding.position.path), None)
    return on is None or on.is_ours


def refuse_if_any_stops(report: Report, book: Book, *, strict: bool) -> None:
    """End the build at an error; in strict mode at a warning too, unless it is on a page that has nothing of
    ours."""
    stopping = tuple(
        finding
        for finding in report.findings
        if finding.severity is Severity.ERROR
        or (strict and finding.severity is Severity.WARNING and _counts(finding, book))
    )
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


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """While we write a file of the site ourselves: a full disk, or a folder that another build empties, is
    said in a line. MkDocs, which writes all others, tells of its own by itself."""
    try:
        yield
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise PluginError(
            f"buildlog: cannot write {path}: {why}. The site is not whole: mend that and build it again."
        ) from error


def quote_line(book: Book, position: Position) -> str:
    """The text of a line of a page; empty where there is none."""
    text = next((page.text for page in book.pages.values() if page.path == position.path), "")
    lines = split_lines(text)
    return lines[position.line - 1] if position.line <= len(lines) else ""
