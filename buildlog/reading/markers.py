"""Where an author wants a list: ``<div data-buildlog="ledger"></div>`` on a line of its own.

It is HTML, so that every other reader of the page shows nothing there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from buildlog.diagnostics import Diagnostic, Position, declare, did_you_mean, shorten
from buildlog.reading.markdown.page import ScannedPage

PARTS_LIST = "parts"
LISTS = ("ledger", "coverage", "sources", "series", PARTS_LIST, "predictions", "cautions")
"""Lists of the whole site."""
NAMES = (*LISTS, "needs")
"""What a marker can ask for: besides the lists, what the page's own job needs."""
_MARKER = re.compile(r"( {0,3})<div data-buildlog=(?:\"([^\"<>]{0,80})\"|'([^'<>]{0,80})')></div>[ \t]*")

UNKNOWN_MARKER = declare(
    "unknown-marker",
    "no such list",
    why="The page would show nothing where a list was meant to be.",
    mend="Write one of the names that the manual lists.",
    example='<div data-buildlog="legder"></div>',
)


@dataclass(frozen=True)
class ListMarker:
    """One place for a list; `line` counts from 1, `column` is that of the name."""

    name: str
    line: int
    column: int


def read_markers(scanned: ScannedPage) -> list[ListMarker]:
    """The markers of a page, known or not. What stands in a fence or a comment is none."""
    if "data-buildlog" not in scanned.text:
        return []
    fenced = {line for fence in scanned.fences for line in range(fence.line, fence.end_line + 1)}
    first = scanned.front_matter.end_line if scanned.front_matter else 0
    markers = []
    in_comment = False
    for number, line in enumerate(scanned.lines.raw, start=1):
        if number <= first or number in fenced:
            continue
        if not in_comment and (match := _MARKER.fullmatch(line)):
            name = match[2] if match[2] is not None else match[3]
            markers.append(ListMarker(name, number, line.index("=") + 3))
        # Whichever of the two stands last in the line decides for the lines below.
        opened, closed = line.rfind("<!--"), line.rfind("-->")
        if opened != closed:
            in_comment = opened > closed
    return markers


def marker_faults(scanned: ScannedPage) -> list[Diagnostic]:
    """Findings on markers of unknown names."""
    return [
        UNKNOWN_MARKER.at(
            Position(scanned.path, marker.line, marker.column),
            found=f"“{shorten(marker.name)}”",
            expected="one of " + ", ".join(NAMES),
            help=did_you_mean(marker.name, NAMES),
            length=len(marker.name),
        )
        for marker in read_markers(scanned)
        if marker.name not in NAMES
    ]
