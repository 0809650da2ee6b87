"""Drawings among the site's files: stale ones, those of nothing, and figures in them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from buildlog.diagnostics import Diagnostic
from buildlog.files.text import LARGEST_FILE
from buildlog.proof.proof import proof_book
from buildlog.render.pattern import pattern_files
from tests.patterns.plates_of_blocks import STRIP, header_with_strips
from tests.samples import GEARING, open_site


@pytest.fixture(autouse=True)
def _with_strips() -> Iterator[None]:
    with header_with_strips():
        yield


def _page(speed: int = 7200) -> str:
    return f"# Strip\n\n```yaml calc\n{STRIP.format(speed=speed)}```\n\n{GEARING}\n"


def _saved(folder: Path, ending: str, speed: int = 7200) -> str:
    """A drawing as it is saved from the page."""
    folder.mkdir(exist_ok=True)
    block = open_site(folder, {"part.md": _page(speed)}).results["part", "strip"]
    files = pattern_files(block)
    return next(content.decode() for path, content in files.items() if path.endswith(ending))


def _findings(folder: Path, name: str, drawing: str | bytes, page: str = "") -> list[Diagnostic]:
    """What the proof says of one drawing."""
    book = open_site(folder, {"part.md": page or _page(), f"drawings/{name}": drawing})
    return [one for one in proof_book(book).findings if one.position.path.endswith(name)]


def _codes(findings: list[Diagnostic]) -> list[str]:
    return [one.code.name for one in findings]


@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_a_drawing_that_shows_what_its_block_gives_is_right(ending: str, tmp_path: Path) -> None:
    assert _findings(tmp_path, f"strip{ending}", _saved(tmp_path / "before", ending)) == []


@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_a_drawing_of_another_part_is_stale(ending: str, tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ending, speed=7000)
    (stale, *_) = _findings(tmp_path, f"strip{ending}", saved)
    assert stale.code.name == "drawing-stale"
    line = saved.splitlines()[stale.position.line - 1]
    assert "buildlog_pattern" in line  # that is where it says what it shows
    assert "part#strip" in stale.found


def test_a_stale_figure_of_a_drawing_is_told_as_in_a_page(tmp_path: Path) -> None:
    found = _findings(tmp_path, "strip.svg", _saved(tmp_path / "before", ".svg", speed=7000))
    assert "figure-disagrees" in _codes(found)


def test_a_changed_digit_is_told_where_it_stands(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".svg")
    before, link, after = saved.partition('<a href="calc:part#strip.primary_length">')
    digit = next(number for number, sign in enumerate(after) if sign.isdigit())
    wrong = before + link + after[:digit] + str((int(after[digit]) + 1) % 10) + after[digit + 1 :]
    (told,) = _findings(tmp_path, "strip.svg", wrong)
    assert told.code.name == "figure-disagrees"
    assert told.position.line == before.count("\n") + 1
    assert told.position.column == len(before) - before.rfind("\n")


def test_an_authors_own_drawing_may_have_figures(tmp_path: Path) -> None:
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">\n'
        '<text><a xlink:href="calc:part#shorter-final.before.speed_at_limit.5">100 km/h</a></text></svg>'
    )
    (told,) = _findings(tmp_path, "own.svg", drawn)
    assert (told.code.name, told.position.line) == ("figure-disagrees", 2)


def test_a_drawing_names_the_page_of_a_block(tmp_path: Path) -> None:
    drawn = '<svg><a href="calc:strip.primary_length">400 mm</a></svg>'
    assert _codes(_findings(tmp_path, "own.svg", drawn)) == ["page-not-named"]


@pytest.mark.parametrize(
    ("what", "change"),
    [
        ("another block", ("part#strip", "part#stripe")),
        ("another page", ("part#strip", "parts#strip")),
        ("a case", ('"case": ""', '"case": "wide"')),
        ("a name", ('"name": ""', '"name": "left"')),
    ],
)
@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_a_drawing_of_what_no_block_gives_is_told(
    ending: str, what: str, change: tuple[str, str], tmp_path: Path
) -> None:
    saved = _saved(tmp_path / "before", ending)
    assert change[0] in saved, what
    codes = _codes(_findings(tmp_path, f"strip{ending}", saved.replace(*change)))
    assert codes[0] == "drawing-of-nothing"


def test_a_block_at_fault_is_told_once_and_its_drawings_are_not(tmp_path: Path) -> None:
    page = _page().replace("back_pressure: 12 kPa", "back_pressure: 12 metres")
    codes = _codes(_findings(tmp_path, "strip.dxf", _saved(tmp_path / "before", ".dxf"), page))
    assert codes == []


@pytest.mark.parametrize(
    ("what", "change"),
    [
        ("cut metadata", ('"digest"', '"dig')),
        ("not closed", ("</svg>", "")),
        ("an entity", ("<svg ", '<!DOCTYPE svg [<!ENTITY a "b">]><svg ')),
    ],
)
def test_what_cannot_be_read_is_told(what: str, change: tuple[str, str], tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".svg")
    assert change[0] in saved, what
    codes = _codes(_findings(tmp_path, "strip.svg", saved.replace(*change, 1)))
    assert codes == ["drawing-unreadable"]


def test_entities_that_multiply_take_no_time(tmp_path: Path) -> None:
    """The “billion laughs”: nine entities, each ten times the one before."""
    entities = "".join(f'<!ENTITY l{number + 1} "{f"&l{number};" * 10}">' for number in range(9))
    bomb = (
        f'<!DOCTYPE svg [<!ENTITY l0 "lol">{entities}]><svg><metadata>buildlog_pattern &l9;</metadata></svg>'
    )
    assert _codes(_findings(tmp_path, "bomb.svg", bomb)) == ["drawing-unreadable"]


@pytest.mark.parametrize(
    "drawing",
    [
        "<svg><path d='M0 0'/></svg>",
        "<svg",
        "no SVG",
        b"\xff\xfe\x00",
        "<svg>" * 20_000,
        "x" * (LARGEST_FILE + 10),
    ],
    ids=["a picture", "cut", "words", "bytes", "nested", "large"],
)
@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_files_with_nothing_of_ours_are_nobodys_to_judge(
    drawing: str | bytes, ending: str, tmp_path: Path
) -> None:
    assert _findings(tmp_path, f"picture{ending}", drawing) == []


def test_a_drawing_that_is_too_large_is_told(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".svg").replace("</svg>", " " * LARGEST_FILE + "</svg>")
    assert _codes(_findings(tmp_path, "strip.svg", saved)) == ["file-too-large"]


def test_a_drawing_that_the_site_excludes_is_not_looked_at(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".dxf", speed=7000)
    assert _findings(tmp_path, ".strip.dxf", saved) == []
