"""Drawings among the site's files: stale ones, those of nothing, and figures in them."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import nan
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.commands.amend import amend_command
from buildlog.diagnostics import Diagnostic
from buildlog.files.text import LARGEST_FILE
from buildlog.kinds import catalogue
from buildlog.kinds.declaration import CaseView
from buildlog.kinds.pattern import Pattern
from buildlog.patterns.layout import PATTERN_NOT_DRAWN
from buildlog.proof.drawings import drawing_findings
from buildlog.proof.proof import proof_book
from buildlog.render.pattern import pattern_files
from buildlog.report.text import findings_text
from tests.patterns.plates_of_blocks import STRIP, header_with_strips, strips
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
    column = len(before) - before.rfind("\n") + len(link)
    assert told.position.column == column + len(after[:digit]) - len(after[:digit].lstrip())
    assert told.length == len(after.partition("</a>")[0])


@pytest.mark.parametrize(
    ("written", "marked"),
    [
        ('<a href="calc:strip.primary_length">400 mm</a>', "calc:strip"),
        ('<a\r\n  href="calc:strip.primary_length">400 mm</a>', "calc:strip"),
        ('<a href="calc:part#strip.primary_lengths">400 mm</a>', "calc:part#strip"),
        ('<a href="calc:part#strip.primary_length">\n  <tspan>4 mm</tspan></a>', "4 mm"),
        ('<a href="calc:part#strip.primary_length"><tspan>4</tspan> mm</a>', "<a href"),
        ('<a href="calc:part#strip.primary_length" class="ö😀">4 mm</a>', "4 mm"),
    ],
)
def test_a_finding_of_a_drawing_stands_at_what_is_wrong(tmp_path: Path, written: str, marked: str) -> None:
    drawn = f"<svg>\n<text>ö😀{written}</text></svg>"
    (told,) = _findings(tmp_path, "own.svg", drawn)
    line = drawn.replace("\r\n", "\n").split("\n")[told.position.line - 1]
    assert line[told.position.column - 1 :].startswith(marked)


def test_an_authors_own_drawing_may_have_figures(tmp_path: Path) -> None:
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">\n'
        '<text><a xlink:href="calc:part#shorter-final.before.speed_at_limit.5">100 km/h</a></text></svg>'
    )
    (told,) = _findings(tmp_path, "own.svg", drawn)
    assert (told.code.name, told.position.line) == ("figure-disagrees", 2)


def test_a_pattern_whose_dimension_is_not_as_long_as_its_value_is_a_finding(tmp_path: Path) -> None:
    kind = catalogue.load_kind("header")

    def too_long(cases: Mapping[str, CaseView]) -> tuple[Pattern, ...]:
        (right,) = strips(cases)
        dimension = replace(right.dimensions[0], end=(1.0, 0.0))
        return (replace(right, name="left", dimensions=(dimension,)),)

    object.__setattr__(kind, "patterns", too_long)
    book = open_site(tmp_path, {"part.md": _page()})
    (told,) = [one for one in proof_book(book).findings if one.code == PATTERN_NOT_DRAWN]
    assert (told.position.path, told.position.line) == ("content/part.md", 3)
    assert "left" in told.found


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


LINK = "calc:part#strip.primary_length"


def _own(text: str) -> str:
    """A drawing of an author's own."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:x="http://www.w3.org/1999/xlink">{text}</svg>'


@pytest.mark.parametrize(
    ("what", "changes"),
    [
        ("line ends of Windows", [("\n", "\r\n")]),
        ("a byte order mark", [("<?xml", "\ufeff<?xml")]),
        ("another encoding declared", [("UTF-8", "UTF-16")]),
        ("RDF in the metadata", [("</metadata>", "<RDF xmlns='r'><t>image/{svg}</t></RDF></metadata>")]),
        ("words before", [("<metadata>", "<metadata><format>image/{svg}+xml</format>")]),
        ("metadata over lines", [('": ', '":\n   '), ("<metadata>", "<metadata>\n\t")]),
        ("quotation marks escaped", [('"buildlog_pattern"', "&quot;buildlog_pattern&quot;")]),
        (
            "a prefix for SVG",
            [
                ("<svg xmlns=", "<s:svg xmlns:s="), ("</svg", "</s:svg"), ("metadata>", "s:metadata>"),
                ("</s:metadata", "</s:metadata"), ("<a ", "<s:a "), ("</a>", "</s:a>"), ("<text", "<s:text"),
                ("</text", "</s:text"), ("<path", "<s:path"), ("title>", "s:title>"),
            ],
        ),
    ],
)  # fmt: skip
def test_what_programs_do_to_a_drawing_hides_nothing(
    what: str, changes: list[tuple[str, str]], tmp_path: Path
) -> None:
    changed = _saved(tmp_path / "before", ".svg", speed=7000)
    for before, after in changes:
        assert before in changed, what
        changed = changed.replace(before, after)
    codes = _codes(_findings(tmp_path, "strip.svg", changed))
    assert codes == ["drawing-stale", "figure-disagrees"]


@pytest.mark.parametrize(
    "link",
    [
        f"<a href='{LINK}'>1 mm</a>",
        f'<a x:href = "\n {LINK} ">1 mm</a>',
        f'<a href="{LINK}"><tspan>1</tspan>\n   <tspan>mm</tspan></a>',
        f'<a href="{LINK}"><title>1766 mm</title>1 mm</a>',
        f'<a href="{LINK}"><a>1</a> mm</a>',
        f'<a href="{LINK}"><![CDATA[1 mm]]><!-- 1766 --></a>',
    ],
)
def test_a_figure_is_found_however_its_link_is_written(link: str, tmp_path: Path) -> None:
    (told,) = _findings(tmp_path, "own.svg", _own(link))
    assert told.code.name == "figure-disagrees"
    assert told.found.startswith("1 mm")


@pytest.mark.parametrize("kind", ['PUBLIC "-//W3C//DTD SVG 1.1//EN"', "SYSTEM"])
def test_an_entity_that_only_another_file_has_is_refused(kind: str, tmp_path: Path) -> None:
    """Left out, it would leave another figure: 1&point;5 would be 15."""
    (tmp_path / "point.dtd").write_text('<!ENTITY point ".">')
    drawn = f'<!DOCTYPE svg {kind} "{tmp_path}/point.dtd">' + _own(f'<a href="{LINK}">1&point;5 mm</a>')
    assert _codes(_findings(tmp_path, "own.svg", drawn)) == ["drawing-unreadable"]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be"])
def test_a_drawing_in_another_encoding_is_told(encoding: str, tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".svg", speed=7000).encode(encoding)
    assert _codes(_findings(tmp_path, "strip.svg", saved)) == ["not-utf-8"]


def test_a_dxf_may_have_the_code_page_of_its_program(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".dxf", speed=7000).replace("  0\nEOF", "999\n90° weiß\n  0\nEOF")
    assert _codes(_findings(tmp_path, "strip.dxf", saved.encode("cp1252"))) == ["drawing-stale"]


def test_each_drawing_of_a_dxf_that_was_put_together_is_judged(tmp_path: Path) -> None:
    right = _saved(tmp_path / "before", ".dxf")
    both = right + _saved(tmp_path / "then", ".dxf", speed=7000)
    (stale,) = _findings(tmp_path, "both.dxf", both.replace("\n", "\r\n"))
    assert (stale.code.name, stale.position.line) == ("drawing-stale", right.count("\n") + 2)


def test_a_digest_that_is_no_comment_any_more_is_told(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".dxf").replace("999\n", "1\n", 1)
    assert _codes(_findings(tmp_path, "strip.dxf", saved)) == ["drawing-unreadable"]


def test_nothing_of_a_drawing_steers_a_terminal(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".svg")
    hostile = saved.replace("part#strip", r"\u001b[31m\ud800", 1).replace(LINK, LINK + "&#x9b;31m&#x202e;")
    book = open_site(tmp_path, {"part.md": _page(), "drawings/strip.svg": hostile})
    report = proof_book(book)
    said = findings_text(report.findings, lambda place: "")
    assert "drawing-of-nothing" in said
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e\ud800]", said)


def test_text_in_many_parts_takes_no_longer_than_in_one(tmp_path: Path) -> None:
    """A text that is put together piece by piece takes the square of its length: here minutes."""
    drawn = _own(f'<a href="{LINK}">' + "xy<b/>" * 600_000 + "</a>")
    started = time.process_time()
    _findings(tmp_path, "own.svg", drawn)
    assert time.process_time() - started < 30


def test_amend_says_that_drawings_are_left(tmp_path: Path) -> None:
    drawn = _own(f'<a href="{LINK}">1 mm</a>')
    open_site(tmp_path, {"part.md": _page(), "drawings/own.svg": drawn})
    told = CliRunner().invoke(amend_command, ["--write", "--site", str(tmp_path)], catch_exceptions=False)
    assert told.exit_code == 1
    assert told.output.startswith("Every computed figure of the pages is in line.")
    assert "Drawings are not amended: “buildlog proof” tells 1 finding in them." in told.output
    assert (tmp_path / "content/drawings/own.svg").read_text() == drawn
    page = str(tmp_path / "content/part.md")
    alone = CliRunner().invoke(amend_command, [page, "--site", str(tmp_path)], catch_exceptions=False)
    assert (alone.exit_code, "Drawings" in alone.output) == (0, False)


def test_a_drawing_of_a_pattern_that_is_not_drawn_any_more_is_told(tmp_path: Path) -> None:
    saved = _saved(tmp_path / "before", ".dxf")
    book = open_site(tmp_path, {"part.md": _page(), "drawings/strip.dxf": saved})
    block = book.results["part", "strip"]
    (pattern,) = block.patterns
    lines = (replace(pattern.lines[0], points=((0.0, 0.0), (nan, 0.0))),)
    book.results["part", "strip"] = replace(block, patterns=(replace(pattern, lines=lines),))
    assert _codes(list(drawing_findings(book))) == ["drawing-of-nothing"]
