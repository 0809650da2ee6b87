"""Findings for people: the place, what was stated and computed, the line marked, what to do."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable

from buildlog.diagnostics import Diagnostic, Position, Severity
from buildlog.proof.proof import Report
from buildlog.report.printable import printable, printable_path

WIDEST = 100
_COLOURS = {Severity.ERROR: "31", Severity.WARNING: "33", Severity.NOTE: "36"}

Lines = Callable[[Position], str]


def findings_text(findings: Iterable[Diagnostic], line_of: Lines, *, colour: bool = False) -> str:
    """Each finding as a paragraph that starts ``path:line:column: severity: message [code]``."""
    return "\n".join(_paragraph(finding, line_of, colour) for finding in findings)


def _painted(text: str, code: str, colour: bool) -> str:
    return f"\x1b[{code}m{text}\x1b[0m" if colour else text


def _paragraph(finding: Diagnostic, line_of: Lines, colour: bool) -> str:
    word = _painted(finding.severity.word, _COLOURS[finding.severity], colour)
    place = printable_path(str(finding.position))
    lines = [f"{place}: {word}: {printable(finding.message)} [{finding.code.name}]"]
    lines += _quoted(finding, line_of, colour)
    if finding.found and finding.found not in finding.message:
        lines.append(f"    found     {printable(finding.found)}")
    if finding.expected:
        lines.append(f"    expected  {printable(finding.expected)}")
    if finding.second is not None:
        lines.append(f"    see       {printable(str(finding.second))}: {printable(finding.second_label)}")
    if finding.help:
        lines.append(f"    help      {printable(finding.help)}")
    return "\n".join(lines) + "\n"


def _width(text: str) -> int:
    wide = sum(unicodedata.east_asian_width(char) in "WF" for char in text)
    return len(text) + wide - sum(unicodedata.combining(char) > 0 for char in text)


def _quoted(finding: Diagnostic, line_of: Lines, colour: bool) -> list[str]:
    """The line, cut to a window around the place, with the place underlined."""
    text = line_of(finding.position)
    if not text.strip():
        return []
    at = min(finding.position.column - 1, len(text))
    length = max(1, min(finding.length, len(text) - at, WIDEST))
    start = 0 if at + length <= WIDEST else at - min(20, at)
    end = min(len(text), start + WIDEST)
    before = ("…" if start else "") + printable(text[start:at])
    marked = printable(text[at : at + length])
    after = printable(text[at + length : end]) + ("…" if end < len(text) else "")
    number = str(finding.position.line)
    under = "^" * max(1, _width(marked))
    return [
        f"  {number} | {before}{marked}{after}",
        f"  {' ' * len(number)} | {' ' * _width(before)}"
        + _painted(under, _COLOURS[finding.severity], colour),
    ]


def plural(count: int, one: str, many: str = "") -> str:
    """``1 figure``, ``2 figures``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def summary_text(report: Report) -> str:
    """The proof in a few lines: what was looked at, what rests on what, what was found."""
    if not report.pages and not report.findings:
        return "No page to proof."
    computed, cited, told, loose = (report.count(name) for name in ("computed", "cited", "told", "loose"))
    lines = [
        f"{plural(len(report.pages), 'page')}, {plural(report.blocks, 'calculation block')}, "
        f"{plural(len(report.entries), 'figure')}: "
        f"{computed} computed, {cited} cited, {told} told, {loose} loose "
        f"({percent(report.coverage)} rest on something)."
    ]
    disagreeing = sum(entry.standing == "computed" and not entry.agrees for entry in report.entries)
    if computed:
        lines.append(
            f"All {plural(computed, 'computed figure')} agree."
            if not disagreeing and computed > 1
            else "The computed figure agrees."
            if not disagreeing
            else f"{plural(disagreeing, 'computed figure')} of {computed} "
            f"{'does' if disagreeing == 1 else 'do'} not hold."
        )
    notes = len(report.findings) - len(report.errors) - len(report.warnings)
    if report.findings:
        counts = [
            plural(number, word)
            for number, word in (
                (len(report.errors), "error"),
                (len(report.warnings), "warning"),
                (notes, "note"),
            )
            if number
        ]
        lines.append(", ".join(counts) + ".")
    if report.known:
        count = len(report.known)
        lines.append(f"{plural(count, 'known finding')} {'does' if count == 1 else 'do'} not count.")
    return "\n".join(lines)


def percent(share: float) -> str:
    """A share in percent; never rounded up to 100."""
    return "100 %" if share == 1 else f"{min(int(share * 1000) / 10, 99.9):g} %"
