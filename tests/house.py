"""The floors of the house: the one list that the tests hold the code to, and that DEVELOPERS.md shows."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent


class Room(NamedTuple):
    """A file or a folder. The files of a folder may import each other, as long as no circle comes of it."""

    place: str
    purpose: str


# A file imports its own room and rooms on lower floors. Rooms on one floor do not know each other.
FLOORS: tuple[tuple[Room, ...], ...] = (
    (
        Room("buildlog/version.py", "the version"),
        Room(
            "buildlog_installed.py",
            "beside the package: whether it is ours and whole, which layers there are, and the command",
        ),
        Room(
            "buildlog/diagnostics.py",
            "position, finding with a stable code, the exceptions that formulae raise",
        ),
        Room("buildlog/formulae/", "the formula that ran, read from its function; as text and as MathML"),
        Room("buildlog/said.py", "a text with values in it, which can be said in another language"),
    ),
    (
        Room("buildlog/files/", "text and its lines; files written whole or not at all; CSV"),
        Room("buildlog/figures/", "what a figure is: units, numbers, values, labels, the agreement rule"),
        Room("buildlog/physics/", "formulae by subject: pure functions of SI floats"),
    ),
    (
        Room(
            "buildlog/kinds/",
            "how a kind is declared, found and checked, its forms, cautions, money and results",
        ),
        Room("buildlog/reading/markdown/", "the scanner: blocks and links with exact positions"),
    ),
    (
        Room("buildlog/kinds/models/", "what several kinds model alike: a car, ducts, burnt gas, a line"),
        Room("buildlog/charts/", "a chart as data, the place of everything in it, its drawing as SVG"),
        Room(
            "buildlog/patterns/", "a part's pattern at full size: in a page, on paper, as DXF, and its digest"
        ),
        Room("buildlog/kept/", "what a run keeps on disk for the next one: signed, bounded, never needed"),
        Room("buildlog/reading/", "files → front matter, blocks, settings; block → validated inputs"),
    ),
    (
        Room("buildlog/calculators/", "one kind, one file; they never import each other"),
        Room("buildlog/book/", "all pages together: blocks computed in order, where an address leads"),
    ),
    (Room("buildlog/proof/", "figures against what they rest on; loose figures; the ledger; the series"),),
    (
        Room("buildlog/render/", "results, figures and lists as HTML"),
        Room("buildlog/report/", "findings and results as text, JSON and the formats of CI"),
    ),
    (
        Room(
            "buildlog/browser/",
            "a block as a reader's browser computes it again: what is sent there, and what runs there",
        ),
    ),
    (
        Room(
            "buildlog/built/",
            "a site as it is built: the files beside its pages, and whether it shows what was proofed",
        ),
    ),
    (
        Room("buildlog/page/", "the Python-Markdown extension: cards, figures and furniture in a page"),
        Room("buildlog/commands/", "one command, one file"),
    ),
    (
        Room("buildlog/cli.py", "the command line that the commands make"),
        Room("buildlog/__init__.py", "what other programs may use"),
        Room("plugins/mkdocs_buildlog/", "the only code that knows MkDocs"),
    ),
)
ROOMS = tuple(room for floor in FLOORS for room in floor)

_BEGIN = "<!-- floors: made by `make generate` from tests/house.py -->"
_END = "<!-- end of floors -->"


def room_of(file: str) -> str | None:
    """The room that a file belongs to: the innermost of those that hold it."""
    holding = [
        room.place
        for room in ROOMS
        if file == room.place or (room.place.endswith("/") and file.startswith(room.place))
    ]
    return max(holding, key=len, default=None)


def floor_of(place: str) -> int:
    """The floor of a room, the lowest is 0."""
    return next(number for number, floor in enumerate(FLOORS) if place in [room.place for room in floor])


def floors_table() -> str:
    """The floors as a table of Markdown, from the top."""
    rows = ["| floor | room | what it is |", "|---|---|---|"]
    for number, floor in reversed(list(enumerate(FLOORS))):
        rows += [f"| {number} | `{room.place}` | {room.purpose} |" for room in floor]
    return "\n".join(rows)


def with_floors(text: str) -> str:
    """DEVELOPERS.md with the table between its two marks made anew."""
    before, rest = text.split(_BEGIN)
    _, after = rest.split(_END)
    return f"{before}{_BEGIN}\n\n{floors_table()}\n\n{_END}{after}"
