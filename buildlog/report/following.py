"""Findings with those that only follow from them, for whatever shows one cause once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from buildlog.diagnostics import Diagnostic, Tie
from buildlog.report.wording import plural

Folded = dict[Diagnostic, tuple[Diagnostic, ...]]


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
    return "; ".join(parts)
