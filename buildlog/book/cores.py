"""How many cores a site may be computed on: those there are, or as many as the user says."""

from __future__ import annotations

import os

from buildlog.diagnostics import Diagnostic, Position, declare, shorten

VARIABLE = "BUILDLOG_CORES"
USUAL_MOST = 8
"""Where nobody says how many: a container often has less than what it sees of its host, and each process
takes its start and some seventy megabytes."""
MOST = 64

CORES_UNREADABLE = declare(
    "cores-unreadable",
    f"the environment's {VARIABLE} is no number of cores",
    why="What is meant cannot be guessed; all was computed on one core.",
    mend=f"Give a whole number from 1 to {MOST}, or take the variable away: then it is the machine's cores.",
    example=f"{VARIABLE}=all",
)


def cores(settings: str) -> tuple[int, list[Diagnostic]]:
    """How many cores to compute on, and what is wrong with what the user says of it. That stands in no
    file: hosts of CI are shown the one with the site's `settings`."""
    said = os.environ.get(VARIABLE, "").strip()
    if not said:
        return min(_there(), USUAL_MOST), []
    number = int(said) if said.isascii() and said.isdecimal() and len(said) <= len(str(MOST)) else 0
    if 1 <= number <= MOST:
        return number, []
    found, expected = f"{VARIABLE}={shorten(said)}", f"a number from 1 to {MOST}"
    return 1, [CORES_UNREADABLE.at(Position(settings), found=found, expected=expected)]


def _there() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
