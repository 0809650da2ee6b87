"""The order in which blocks can be computed, and the loops that stop it."""

from __future__ import annotations

from collections.abc import Mapping

Name = tuple[str, str]


def in_order(needs: Mapping[Name, set[Name]]) -> tuple[list[Name], list[list[Name]]]:
    """Blocks so that each comes after what it needs, and the loops among them.

    Kahn's ordering; what is left then lies in a loop or needs one. Loops are found by walking needs
    until a block is met again; what needs a loop then follows it.
    """
    waiting = {name: set(targets) for name, targets in needs.items()}
    wanted_by = _wanted_by(needs)
    order: list[Name] = []

    def release(ready: list[Name]) -> None:
        while ready:
            name = ready.pop()
            order.append(name)
            for other in wanted_by.get(name, ()):
                if name in waiting[other]:
                    waiting[other].discard(name)
                    if not waiting[other]:
                        ready.append(other)

    release([name for name, targets in waiting.items() if not targets])
    loops: list[list[Name]] = []
    # A loop that needs another one is seen when that one is out of the way.
    while found := _loops(waiting, {name for name, targets in waiting.items() if targets}):
        loops += found
        for loop in found:
            for name in loop:
                waiting[name] = set()
            release(list(loop))
    return order, loops


def _wanted_by(needs: Mapping[Name, set[Name]]) -> dict[Name, list[Name]]:
    wanted: dict[Name, list[Name]] = {}
    for name, targets in needs.items():
        for target in targets:
            wanted.setdefault(target, []).append(name)
    return wanted


def _loops(waiting: Mapping[Name, set[Name]], left: set[Name]) -> list[list[Name]]:
    """Loops among the blocks that are left, one at least: needs are walked until a block is met again."""
    loops: list[list[Name]] = []
    seen: set[Name] = set()
    for start in sorted(left):
        trail: list[Name] = []
        name = start
        while name in left and name not in seen:
            seen.add(name)
            trail.append(name)
            name = min(waiting[name])
        if name in trail:  # else it leads into a loop that was met before
            loops.append(trail[trail.index(name) :])
    return loops
