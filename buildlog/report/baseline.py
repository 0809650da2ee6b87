"""Old findings and new ones: a list of known findings, which do not stop a site and may only get fewer.

A finding is known by its page, its code and what it is about: a figure's label and address, or the block
and what was found. So the list outlives moved lines, other figures that are mended, and another computed
value. Of equal findings on a page as many are known as the list has.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from buildlog.diagnostics import Diagnostic, Position, Refused, Severity
from buildlog.proof.proof import Report
from buildlog.reading.known import KNOWN_GROWN, NAME, Key, known_text, parse_known, read_known
from buildlog.report.subjects import Subject, subjects


def keys(report: Report) -> list[Key]:
    """One key a finding, in order."""
    return [
        (finding.position.path, finding.code.name, _about(finding, subject))
        for finding, subject in zip(report.findings, subjects(report), strict=True)
    ]


def _about(finding: Diagnostic, subject: Subject) -> str:
    if subject.entry is not None:
        label, address = subject.entry.label, subject.entry.address
        return f"[{label}]({address})" if address else label
    if subject.block is not None:
        return f"{subject.block.id}: {finding.found}"
    return finding.found


def counted(report: Report) -> Counter[Key]:
    """The errors and warnings of a report that can be known. Notes stop nothing, so none needs to be."""
    pairs = zip(report.findings, keys(report), strict=True)
    return Counter(key for finding, key in pairs if _can_be_known(finding))


def _can_be_known(finding: Diagnostic) -> bool:
    return finding.severity is not Severity.NOTE and not finding.code.always_counts


def without_known(report: Report, known: Mapping[Key, int]) -> Report:
    """The report with its known errors and warnings set aside, in `Report.known`."""
    waiting = Counter(known)
    new: list[Diagnostic] = []
    old: list[Diagnostic] = []
    for finding, key in zip(report.findings, keys(report), strict=True):
        if _can_be_known(finding) and waiting[key] > 0:
            waiting[key] -= 1
            old.append(finding)
        else:
            new.append(finding)
    return replace(report, findings=tuple(new), known=tuple(old))


def of_site(report: Report) -> Report:
    """The report without what the site's own list knows, if it has one; faults of the list are findings."""
    path = report.book.root / NAME
    if not path.is_file():
        return report
    known, faults = read_known(path, NAME)
    return with_faults(without_known(report, known), faults)


def with_faults(report: Report, faults: list[Diagnostic]) -> Report:
    """The report with what is wrong with the list."""
    if not faults:
        return report
    findings = sorted((*report.findings, *faults), key=lambda finding: finding.sort_key)
    return replace(report, findings=tuple(findings))


def find_growth(now: Mapping[Key, int], before: Mapping[Key, int], shown: str) -> list[Diagnostic]:
    """A finding where a list has more than it had. A page that was renamed may be renamed in the list."""
    page_of = {(code, about): page for page, code, about in now}
    more = _whatever_page(now) - _whatever_page(before)
    if not more:
        return []
    (code, about), *_ = sorted(more)
    found = f"“{about}” ({code}, {page_of[code, about]})"
    others = more.total() - 1
    if others:
        found += f" and {others} more"
    return [KNOWN_GROWN.at(Position(shown), found=found, expected="a list that only gets shorter")]


def _whatever_page(known: Mapping[Key, int]) -> Counter[tuple[str, str]]:
    count: Counter[tuple[str, str]] = Counter()
    for (_, code, about), times in known.items():
        count[code, about] += times
    return count


def find_mended(report: Report, known: Mapping[Key, int]) -> Counter[Key]:
    """What the list has and a proof of the whole site has no more."""
    return Counter(known) - counted(report)


def begin_list(report: Report) -> str:
    """A new list with all that a report has. Raises `Refused` where it would be too long to be read."""
    text = known_text(counted(report))
    known, faults = parse_known(text, NAME)
    if faults or known != counted(report):
        raise Refused(
            "",
            f"{counted(report).total()} findings",
            "fewer than can be read back",
            help="set loose: off first, and let pages that were gone through say buildlog: {loose: fail}",
        )
    return text


def shrink_list(report: Report, known: Mapping[Key, int]) -> str:
    """The list without what is mended; nothing is ever added."""
    return known_text(Counter(known) & counted(report))
