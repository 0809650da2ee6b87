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
    if not colour:
        return text
    return f"\x1b[{code}m{text}\x1b[0m"


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
    start, before = 0, ""
    if at + length > WIDEST:
        # Some of what stands before the place is kept: a place without its sentence is hard to find.
        start = at - min(20, at)
        before = "…" if start else ""
    end = min(len(text), start + WIDEST)
    before += printable(text[start:at])
    marked = printable(text[at : at + length])
    after = printable(text[at + length : end])
    if end < len(text):
        after += "…"
    number = str(finding.position.line)
    under = "^" * max(1, _width(marked))
    return [
        f"  {number} | {before}{marked}{after}",
        f"  {' ' * len(number)} | {' ' * _width(before)}"
        + _painted(under, _COLOURS[finding.severity], colour),
    ]


def plural(count: int, singular: str, many: str = "") -> str:
    """``1 figure``, ``2 figures``."""
    if count == 1:
        return f"1 {singular}"
    return f"{count} {many or singular + 's'}"


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
    if computed:
        disagreeing = sum(entry.standing == "computed" and not entry.agrees for entry in report.entries)
        lines.append(_agreement(computed, disagreeing))
    notes = len(report.findings) - len(report.errors) - len(report.warnings)
    counted = ((len(report.errors), "error"), (len(report.warnings), "warning"), (notes, "note"))
    if report.findings:
        lines.append(", ".join(plural(number, word) for number, word in counted if number) + ".")
    if report.known:
        lines.append(f"{plural(len(report.known), 'known finding')} {do(len(report.known))} not count.")
    return "\n".join(lines)


def _agreement(computed: int, disagreeing: int) -> str:
    if disagreeing:
        return f"{plural(disagreeing, 'computed figure')} of {computed} {do(disagreeing)} not hold."
    if computed == 1:
        return "The computed figure agrees."
    return f"All {plural(computed, 'computed figure')} agree."


def do(count: int) -> str:
    """The verb that goes with so many: one does, two do."""
    return "does" if count == 1 else "do"


def percent(share: float) -> str:
    """A share in percent; never rounded up to 100, which says that nothing is missing."""
    if share == 1:
        return "100 %"
    return f"{min(int(share * 1000) / 10, 99.9):g} %"
