"""The text of a finding: the author's words and the values below each other; and one line each."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.site import lines_of
from buildlog.diagnostics import Position, Row
from buildlog.proof.judging import FIGURE_DISAGREES
from buildlog.proof.proof import LOOSE_FIGURE, proof_book
from buildlog.report.excerpt import Excerpt, excerpt
from buildlog.report.following import fold
from buildlog.report.layout import NARROWEST, WIDEST, cut_end, cut_start, room, width_of, wrap
from buildlog.report.text import findings_text
from tests.samples import GEARING, write_site

ADDRESS = "calc:shorter-final.after.speed_at_limit.3"
PAGE = f"""\
# A

Third now runs out at [153.5 km/h]({ADDRESS} "± 0.1 %") with the new axle, where [135 km/h]({ADDRESS}) was,
and the last owner, who sold the car for [€ 900](told:nobody), always said that the plug takes 39 N·m or so.

{GEARING.replace("8200 rpm", "8200")}
{GEARING.replace("shorter-final", "spare")}
Third ends at [153.5 km/h](calc:spare.after.speed_at_limit.3).
"""
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


def marked(line: str, words: str, width: int = 76) -> str:
    """The excerpt about some words of a line, as it is printed."""
    found = excerpt(line, line.index(words) + 1, len(words), width)
    assert found is not None
    return f"{found.before}›{found.marked}‹{found.after}"


def shown(folder: Path, width: int, *, colour: bool = False) -> str:
    book = Book.open(write_site(folder, {"a.md": PAGE}), root=folder)
    return findings_text(proof_book(book).findings, lines_of(book), colour=colour, width=width)


# --- the author's words ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "words", "as_read"),
    [
        ("It runs [9 km/h](calc:a.b) now.", "9 km/h", "It runs ›9 km/h‹ now."),
        ("[1 m](cite:a), [2 m](told:b 'x'), [3 m](calc:c \"vs d\")", "2 m", "1 m, ›2 m‹, 3 m"),
        ("[1 m](cite:a) or [2 m](cite:b)", "cite:b", "1 m or [2 m](›cite:b‹)"),
        ('[1 m](calc:a.b "in x") or so', "in x", '[1 m](calc:a.b "›in x‹") or so'),
        ("  rev_limit: 8200", "8200", "rev_limit: ›8200‹"),
        ("See [the sheet](sheet.md), 4 kg.", "4 kg", "See [the sheet](sheet.md), ›4 kg‹."),
        ("[1 m](calc:a.b) end", "[1 m](calc:a.b)", "›[1 m](calc:a.b)‹ end"),
    ],
)
def test_figures_are_quoted_as_a_reader_reads_them(line: str, words: str, as_read: str) -> None:
    assert marked(line, words) == as_read


def test_a_long_line_is_cut_between_words_and_keeps_the_place() -> None:
    line = " ".join(f"word{number:02}" for number in range(40))
    quoted = marked(line, "word20", 40)
    assert quoted == "…word18 word19 ›word20‹ word21 word22…"
    assert marked(line, "word00", 40) == "›word00‹ word01 word02 word03 word04…"
    assert marked(line, "word39", 40) == "…word35 word36 word37 word38 ›word39‹"


@pytest.mark.parametrize(
    ("line", "column", "as_marked"),
    [("loose: loud, so", 8, "loud"), ("```yml calc", 1, "```"), ("m: 1.5 kg", 4, "1.5"), ("(9) m", 2, "9")],
)
def test_a_place_without_a_length_is_the_word_there(line: str, column: int, as_marked: str) -> None:
    found = excerpt(line, column, 1, 40)
    assert found is not None
    assert found.marked == as_marked


def test_there_is_no_excerpt_of_nothing() -> None:
    assert excerpt("   ", 1, 1, 40) is None
    assert excerpt("short", 90, 3, 40) == Excerpt("short", "", "")


@given(st.text(), st.integers(1, 60), st.integers(1, 60), st.integers(20, 90))
def test_an_excerpt_has_its_place_and_its_width(line: str, column: int, length: int, width: int) -> None:
    quoted = excerpt(line, column, length, width)
    if quoted is None:
        assert not line.strip()
    else:
        assert width_of(quoted.before + quoted.marked + quoted.after) + 2 <= width


# --- columns -----------------------------------------------------------------------------------


def test_width_counts_what_a_terminal_shows() -> None:
    # UAX #11: F and W take two columns; a combining sign stands on the letter before it.
    assert (width_of("km/h"), width_of("車体"), width_of("e\u0301")) == (4, 4, 1)


@given(st.text(st.characters(exclude_characters="…")), st.integers(1, 40))
def test_what_is_cut_fits_and_is_an_end_of_the_text(text: str, most: int) -> None:
    begins, ends = cut_end(text, most), cut_start(text, most)
    assert max(width_of(begins), width_of(ends)) <= most
    assert text.startswith(begins.removesuffix("…"))
    assert text.endswith(ends.removeprefix("…"))
    assert (begins == text) == (ends == text) == (width_of(text) <= most)


@given(st.text(st.sampled_from("ab車 "), max_size=60), st.integers(4, 30))
def test_wrapping_keeps_every_word(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert " ".join(lines).split() == text.split()
    assert all(width_of(line) <= width or " " not in line.strip() for line in lines)


def test_a_value_is_not_parted_from_its_unit() -> None:
    assert wrap("or 135.52\u00a0km/h", 10) == ["or", "135.52\u00a0km/h"]


def test_the_room_on_a_terminal_has_bounds() -> None:
    assert [room(columns) for columns in (0, 20, 80, 500)] == [NARROWEST, NARROWEST, 80, WIDEST]


# --- findings ----------------------------------------------------------------------------------


def test_stated_and_computed_stand_below_each_other() -> None:
    rows = (Row("stated", "1.5 kg", "stands for 1.45 to 1.55 kg"), Row("computed", "12.25 kg", "11 kg more"))
    finding = FIGURE_DISAGREES.at(
        Position("a.md", 3, 6), "m", found="x", expected="y", help="write “12.3 kg”", length=6, rows=rows
    )
    assert findings_text([finding], lambda position: "The [1.5 kg](calc:a.b) wheel") == (
        "a.md:3:6  error  figure-disagrees\n"
        "    The ›1.5 kg‹ wheel\n"
        "      stated    1.5 kg    stands for 1.45 to 1.55 kg\n"
        "      computed  12.25 kg  11 kg more\n"
        "    Write “12.3 kg”.\n"
    )


@pytest.mark.parametrize("width", [NARROWEST, 60, 80, WIDEST])
def test_no_line_is_longer_than_the_room_but_for_what_cannot_be_parted(tmp_path: Path, width: int) -> None:
    text = shown(tmp_path, width)
    assert text.count("error") >= 2
    for line in text.splitlines():
        heading = re.fullmatch(r"\S+:\d+:\d+  \w+  \S+", line)
        words = re.sub("^ *(?:found|expected|stated|computed|rests on|see)? *", "", line)
        assert width_of(line) <= width or heading or " " not in words


def test_the_look_is_no_compilers(tmp_path: Path) -> None:
    text = shown(tmp_path, 80)
    assert not re.search(r"\^|-->|^ *\d* *[|│┃]|~~~|\bhelp\b|= note|[╭╰─]|^ +\d+ +\|", text, re.MULTILINE)


def test_colour_adds_nothing_but_colour(tmp_path: Path) -> None:
    coloured, plain = shown(tmp_path, 80, colour=True), shown(tmp_path, 80)
    assert ESCAPE.sub("", coloured) == plain
    words = re.findall(r"\x1b\[[0-9;]+m(.*?)\x1b\[0m", coloured)
    assert {"error", "note", "›153.5 km/h‹"} <= set(words)


def test_the_message_is_said_where_no_rows_say_it() -> None:
    finding = LOOSE_FIGURE.at(Position("a.md"), found="“4 kg”", expected="a figure that rests on something")
    short, long = (findings_text([finding], lambda position: "", width=width) for width in (80, 40))
    assert short.startswith("a.md:1:1  note  loose-figure: a figure that rests on nothing\n")
    assert long.startswith("a.md:1:1  note  loose-figure\n  A figure that rests on nothing.\n")
    assert "found     “4 kg”" in short


# --- one line each --------------------------------------------------------------------------------


def test_one_line_a_finding_as_editors_read_them(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    book = Book.open(tmp_path / "content", root=tmp_path)
    result = CliRunner().invoke(main, ["proof", "--format", "lines", "--site", str(tmp_path)])
    assert result.exit_code == 1
    # Vim's own %f:%l:%c: %t%*[^ ] %m, as an expression.
    read = [
        re.fullmatch(r"([^:]+):([0-9]+):([0-9]+): (error|warning|note) ([a-z0-9-]+) (.+)", line)
        for line in result.output.splitlines()
    ]
    expected = [
        (one.position.path, one.position.line, one.position.column, one.severity.word, one.code.name)
        for one in fold(proof_book(book).findings)
    ]
    assert len(expected) > 3
    assert [(one[1], int(one[2]), int(one[3]), one[4], one[5]) for one in read if one is not None] == expected


def test_a_line_says_what_was_found_and_what_to_do(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE})
    text = CliRunner().invoke(main, ["proof", "--format", "lines", "--site", str(tmp_path)]).output
    assert "error unknown-source No such entry in sources.yml: “nobody”. " in text
    assert re.search(
        r"error figure-disagrees “153\.5 km/h” is stated, 135\.5\S*\skm/h is computed\. Write", text
    )


def test_all_agreeing_there_is_nothing_to_read(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": f"[135.5 km/h]({ADDRESS})\n\n{GEARING}"})
    result = CliRunner().invoke(main, ["proof", "--format", "lines", "--site", str(tmp_path)])
    assert (result.exit_code, result.output) == (0, "")
