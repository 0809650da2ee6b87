"""Markers of lists: where one is found, where not, and what is said of a name that is none."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.reading.markdown.scanner import scan
from buildlog.reading.markers import NAMES, marker_faults, read_markers

MARKER = '<div data-buildlog="ledger"></div>'


def names(text: str) -> list[tuple[str, int, int]]:
    return [(one.name, one.line, one.column) for one in read_markers(scan(text, "content/a.md"))]


@pytest.mark.parametrize("before", ["", "Text before.\n\n", "---\ntitle: A\n---\n", "<!-- a -->\n"])
def test_a_line_of_its_own_is_a_marker(before: str) -> None:
    assert names(f"{before}{MARKER}\n") == [("ledger", before.count("\n") + 1, 21)]


def test_spaces_single_quotes_and_line_ends() -> None:
    assert names(MARKER.replace('"', "'") + "  \r\n") == [("ledger", 1, 21)]
    assert names(f"   {MARKER}") == [("ledger", 1, 24)]


@pytest.mark.parametrize(
    "text",
    [
        f"```html\n{MARKER}\n```\n",
        f"~~~\n{MARKER}\n~~~\n",
        f"    {MARKER}\n",
        f"Write {MARKER} on a line.\n",
        f"`{MARKER}`\n",
        f"<!--\n{MARKER}\n-->\n",
        f"---\ntitle: |\n  {MARKER}\n---\n",
        '<div data-buildlog="ledger">text</div>\n',
    ],
)
def test_what_only_looks_like_one_is_none(text: str) -> None:
    assert names(text) == []


def test_an_unknown_name_is_said_with_its_place() -> None:
    (found,) = marker_faults(scan('\n<div data-buildlog="legder"></div>\n', "content/a.md"))
    assert (found.code.name, str(found.position)) == ("unknown-marker", "content/a.md:2:21")
    assert found.help == "did you mean “ledger”?"
    assert marker_faults(scan("".join(f'<div data-buildlog="{name}"></div>\n' for name in NAMES), "a")) == []


def test_many_openings_take_linear_time() -> None:
    assert names(('<div data-buildlog="' + "a" * 70 + "\n") * 20_000) == []


def test_the_manual_tells_of_every_marker() -> None:
    manual = Path(__file__).parents[2].joinpath("content/manual/how-to.md").read_text(encoding="utf-8")
    assert [name for name in NAMES if f'<div data-buildlog="{name}"></div>' not in manual] == []
