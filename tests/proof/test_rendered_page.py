"""A page as it is rendered against the file that was proofed: what is lost, added or changed, and where in
the file that is, counted by hand.
"""

from __future__ import annotations

from collections import Counter

import pytest

from buildlog.diagnostics import Position
from buildlog.proof.rendered_page import PagePlaces, compare_cards, compare_with_proof
from buildlog.reading.markdown.scanner import scan

HEAD = "---\ntitle: A\n---\n\n"
TEXT = "One [1 m](calc:a.b) and\ntwo [2 m](cite:c 'for it').\n\nThree [3 m](told:d).\n"


def found(rendered: str, proofed: str = HEAD + TEXT) -> list[tuple[str, str, str, str]]:
    """Code, place in the file, found and expected."""
    file = scan(proofed, "a.md")
    page = scan(rendered, "a.md")
    places = PagePlaces.of("a.md", page, 0, file)
    return [
        (one.code.name, f"{one.position.line}:{one.position.column}", one.found, one.expected)
        for one in compare_with_proof(file, page, places)
    ]


def test_a_page_that_shows_what_was_proofed_has_nothing_to_tell() -> None:
    assert found(TEXT) == []
    assert found(TEXT.replace("One ", "One more word, ").replace("Three", "> Three")) == []
    assert found(TEXT.replace("[1 m]", "[1  m]").replace("'for it'", '"for  it"')) == []  # blanks
    assert found("", HEAD) == []
    front = "---\ntitle: A\nbuildlog: {time: '[5 h](told:d)'}\n---\n\n"
    assert found(TEXT, front + TEXT) == []  # what stands in the front matter is in the panel


LOST = "no such figure on the page"
ONLY = "only figures that the proof has read"


@pytest.mark.parametrize(
    ("rendered", "told"),
    [
        (TEXT.replace("[1 m](calc:a.b)", "1 m"), [("figure-not-shown", "5:6", LOST, "[1 m](calc:a.b)")]),
        (
            TEXT.replace("[2 m](cite:c 'for it')", "2 m"),
            [("figure-not-shown", "6:6", LOST, '[2 m](cite:c "for it")')],
        ),
        (
            TEXT.replace("1 m]", "4 m]"),
            [("figure-changed", "5:6", "[4 m](calc:a.b)", "[1 m](calc:a.b)")],
        ),
        (
            TEXT.replace("'for it'", "'for that'"),
            [("figure-changed", "6:6", '[2 m](cite:c "for that")', '[2 m](cite:c "for it")')],
        ),
        (
            TEXT.replace("(told:d)", "(told:e)"),
            [("figure-changed", "8:8", "[3 m](told:e)", "[3 m](told:d)")],
        ),
        (
            TEXT + "\nFour [4 m](told:f).\n",
            # the first line that is not the file's: it ends with a blank one
            [("figure-not-proofed", "10:7", "“4 m”, which leads to told:f", ONLY)],
        ),
        (
            TEXT.replace("Three", "[4 m](told:f) three"),
            [("figure-not-proofed", "8:1", "“4 m”, which leads to told:f", ONLY)],
        ),
        (
            "[3 m](told:d)\n",
            [
                ("figure-not-shown", "5:6", LOST, "[1 m](calc:a.b)"),
                ("figure-not-shown", "6:6", LOST, '[2 m](cite:c "for it")'),
            ],
        ),
        (
            TEXT.replace("[1 m](calc:a.b)", "[8 m](calc:x.y) [9 m](calc:z.y)"),
            [
                ("figure-changed", "5:6", "[8 m](calc:x.y)", "[1 m](calc:a.b)"),
                ("figure-not-proofed", "5:1", "“9 m”, which leads to calc:z.y", ONLY),
            ],
        ),
    ],
)
def test_what_a_page_shows_otherwise(rendered: str, told: list[tuple[str, str, str, str]]) -> None:
    result = found(rendered)
    assert [(code, what, wanted) for code, _, what, wanted in result] == [
        (code, what, wanted) for code, _, what, wanted in told
    ]
    for (code, place, *_), (_, expected, *_) in zip(result, told, strict=True):
        if code != "figure-not-proofed":
            assert place == expected
        else:  # no line of the file has it: the line is told, and no column that is not there
            assert place.split(":")[0] == expected.split(":")[0] or int(place.split(":")[0]) <= 9


def test_the_place_of_a_line_that_another_plugin_has_left_alone() -> None:
    """Offsets of the rendered text lead to the lines of the file, also behind tabs and blanks at the ends."""
    file = scan(HEAD + "a\n\tb [1 m](calc:a.b)\nc\n", "a.md")
    page = scan("a\n    b [1 m](calc:a.b)\nother\n", "a.md")
    places = PagePlaces.of("a.md", page, 0, file)
    assert places.at(0) == Position("a.md", 5, 1)
    assert places.at(page.text.index("b")) == Position("a.md", 6, 5)
    assert places.at(page.text.index("other")) == Position("a.md", 7)
    # above it a line is another: the first that differs is told
    page = scan("x\nsecond\nthird\n", "a.md")
    places = PagePlaces.of("a.md", page, 0, file)
    assert places.at(page.text.index("third")) == Position("a.md", 5)
    assert PagePlaces.of("a.md", page, 0, None).at(page.text.index("third")) == Position("a.md", 3, 1)


def test_where_lines_are_put_above_the_text() -> None:
    """`shift` lines of the rendered text are no lines of the file."""
    file = scan(TEXT, "a.md")
    page = scan("put above\n" + TEXT, "a.md")
    places = PagePlaces.of("a.md", page, 1, file)
    assert places.at(page.text.index("One")) == Position("a.md", 1, 1)
    assert places.at(page.text.index("Three")) == Position("a.md", 4, 1)
    alone = PagePlaces.of("a.md", page, 1, None)
    assert alone.at(page.text.index("Three")) == Position("a.md", 4, 1)


def test_where_an_address_stands_that_is_no_link() -> None:
    text = "a [1 m](calc:a.b) and CALC:a.b, calc:a.b\n"
    page = scan(text, "a.md")
    places = PagePlaces.of("a.md", page, 0, page)
    assert places.find("calc:a.b") == Position("a.md", 1, text.index("CALC") + 1)
    assert places.find("calc:c.d") == Position("a.md")


def test_each_block_has_its_card_once() -> None:
    expected = {number: Position("a.md", number + 1, 1) for number in range(4)}
    found = list(compare_cards(Counter({0: 1, 1: 2, 3: 1, 9: 1}), expected))
    assert [(one.code.name, one.position.line, one.found) for one in found] == [
        ("block-not-shown", 2, "its card 2 times on the page"),
        ("block-not-shown", 3, "its card 0 times on the page"),
    ]
