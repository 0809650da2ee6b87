"""Findings with those that only follow from them, for whatever shows one cause once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from buildlog.diagnostics import Cause, Diagnostic, Severity, Tie
from buildlog.report.wording import plural

Folded = dict[Diagnostic, tuple[Diagnostic, ...]]
_MANY_WARNINGS = 10
"""So many warnings of one code on one page are read one by one; of more the first stands for all."""


def fold(findings: Iterable[Diagnostic]) -> Folded:
    """Each finding that stands for itself, in order, with those that follow from it.

    Where a cause is not among them, because it stands on a page that was not asked for or is known, the
    first that follows from it stands for the others.
    """
    every = list(findings)
    by_cause = {(finding.position, finding.code.name): finding for finding in every if not finding.follows}
    following: dict[Diagnostic, list[Diagnostic]] = {}
    for finding in every:
        leader = finding
        if finding.follows is not None:
            leader = by_cause.setdefault((finding.follows.position, finding.follows.code), finding)
        following.setdefault(leader, [])
        if leader is not finding:
            following[leader].append(finding)
    return {finding: tuple(following[finding]) for finding in every if finding in following}


def once_a_page(findings: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The findings for a person's eyes, to be given to `fold`: notes of one code on one page are told with
    the first of them, and so are warnings where there are more than ten. Errors stay, each for itself, and
    so does what others follow from. The text of the command line and the plugin's log tell them so; what is
    for programs (JSON, SARIF, lines) is made of the findings as they are.
    """
    every = list(findings)
    causes = {(finding.follows.position, finding.follows.code) for finding in every if finding.follows}
    alone = [
        finding
        for finding in every
        if finding.follows is None and (finding.position, finding.code.name) not in causes
    ]
    counts = Counter(map(_kind_on_page, alone))
    first: dict[tuple[str, str, Severity], Diagnostic] = {}
    told_with: dict[Diagnostic, Diagnostic] = {}
    for finding in alone:
        kind = _kind_on_page(finding)
        many = _MANY_WARNINGS if finding.severity is Severity.WARNING else 1
        if finding.severity is not Severity.ERROR and counts[kind] > many:
            told_with[finding] = first.setdefault(kind, finding)
    return tuple(
        finding
        if told_with.get(finding, finding) is finding
        else replace(finding, follows=Cause(told_with[finding].position, finding.code.name, Tie.PAGE))
        for finding in every
    )


def _kind_on_page(finding: Diagnostic) -> tuple[str, str, Severity]:
    return finding.position.path, finding.code.name, finding.severity


def unfolded(findings: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The findings as if none followed from another."""
    return tuple(finding.standing_alone() for finding in findings)


def what_follows(following: tuple[Diagnostic, ...]) -> str:
    """``18 figures and 1 input rest on it``; "" where nothing does."""
    ties = Counter(finding.follows.tie for finding in following if finding.follows is not None)
    counts = ((ties[Tie.FIGURE], "figure"), (ties[Tie.INPUT], "input"))
    resting = " and ".join(plural(count, word) for count, word in counts if count)
    parts = []
    if resting:
        rest = "rests" if ties[Tie.FIGURE] + ties[Tie.INPUT] == 1 else "rest"
        parts.append(f"{resting} {rest} on it")
    if same := ties[Tie.SAME]:
        parts.append(f"the same stands in {plural(same, 'more place', 'more places')}")
    if more := ties[Tie.PAGE]:
        them = "it" if more == 1 else "them"
        parts.append(f"{more} more on this page; “buildlog proof --all” lists {them}")
    return "; ".join(parts)
