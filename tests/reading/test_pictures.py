"""Pictures of a page: words that are missing, captions that nobody reads, loose figures in their words."""

from __future__ import annotations

import pytest

from buildlog.book.book import Page
from buildlog.proof.loose_figures import find_loose
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.pictures import picture_name, read_pictures, words_of_pictures
from buildlog.reading.whole_page import read_page

OURS = "# A page\n\nIt weighs [4.2 kg](told:us).\n\n"


def page(text: str, ours: str = OURS) -> Page:
    return read_page("page", "page.md", ours + text)


def found(text: str, ours: str = OURS) -> list[str]:
    return [
        f"{fault.position.line}:{fault.position.column} {fault.code.name}"
        for fault in page(text, ours).faults
    ]


def test_the_parts_of_a_picture_are_read_where_they_stand() -> None:
    text = 'Before\n\n![The [old] duct](a%20b.jpg "Before") and ![](c.jpg)\n'
    first, second = read_pictures(scan(text, "page.md"))
    assert (first.words, first.address, first.label) == ("The [old] duct", "a%20b.jpg", "Before")
    assert text[first.words_start :].startswith("The [old]")
    assert text[first.label_start :].startswith("Before")
    assert (second.words, second.address, second.label) == ("", "c.jpg", "")


@pytest.mark.parametrize("written", ["![](a.jpg)", "![ ](a.jpg)", '![](a.jpg "Before")'])
def test_a_picture_needs_words(written: str) -> None:
    assert found(f"{written}\n") == ["5:1 picture-without-words"]


def test_a_page_that_has_nothing_of_ours_is_left_alone() -> None:
    assert found("![](a.jpg)\n\n<figcaption>78 mm</figcaption>\n", ours="# A page\n\n") == []


@pytest.mark.parametrize(
    "figure,codes",
    [
        ("<figure>\n<figcaption>It clears the road by 78 mm.</figcaption>\n</figure>", ["caption-not-read"]),
        (
            "<figure markdown>\n<figcaption>It clears the road by 78 mm.</figcaption>\n</figure>",
            ["caption-not-read"],
        ),
        ("<figure>\n<FIGCAPTION\nclass=a>It clears 78 mm.</FigCaption>\n</figure>", ["caption-not-read"]),
        ("<figure markdown>\n<figcaption markdown>It clears 78 mm.</figcaption>\n</figure>", []),
        ('<figure markdown="span">\n<figcaption markdown="span">78 mm.</figcaption>\n</figure>', []),
        ("<figure>\n<figcaption>Without a figure.</figcaption>\n</figure>", []),
        ("```html\n<figcaption>It clears 78 mm.</figcaption>\n```", []),
        ("<figure>\n<figcaption>It clears 78 mm.", []),
        ("<figure>\n<figcaption>[78 mm](calc:a.b)</figcaption>\n</figure>", ["figure-in-html"]),
    ],
)
def test_a_caption_that_is_not_read_is_told(figure: str, codes: list[str]) -> None:
    assert [fault.split()[1] for fault in found(figure + "\n")] == codes


def test_many_openings_of_captions_take_no_time_that_grows_with_their_square() -> None:
    assert found("<figcaption>1 \n" * 20_000) == []


def test_loose_figures_are_found_in_captions_words_and_labels() -> None:
    text = (
        "<figure markdown>\n"
        '![The duct clears\nthe road by 78 mm.](a.jpg "It is 79 mm")\n'
        "<figcaption markdown>It is 80 mm high.</figcaption>\n</figure>\n"
    )
    loose = {(each.position.line, each.position.column, each.text) for each in find_loose(page(text).scanned)}
    assert loose == {(7, 13, "78 mm"), (7, 34, "79 mm"), (8, 28, "80 mm")}


def test_findings_on_pictures_say_what_stands_there_and_how_long_it_is() -> None:
    faults = page(
        "Words ![ ](a.jpg 'x')\n\n<figure>\n<figcaption class=b> It clears 78 mm.</figcaption>\n"
    ).faults
    without, unread = faults
    assert (without.found, without.length) == ("![ ](a.jpg 'x')", len("![ ](a.jpg 'x')"))
    assert without.expected == "what is to be seen, ![the duct from below](…)"
    assert (without.position.line, without.position.column) == (5, 7)
    opening = "<figcaption class=b>"
    assert (unread.found, unread.length) == (f"{opening}It clears 78 mm.", len(opening))
    assert unread.expected == "<figcaption markdown>"
    assert (unread.position.line, unread.position.column) == (8, 1)


@pytest.mark.parametrize(
    ("address", "key", "name"),
    [
        ("a.jpg", "page", "a.jpg"),
        ("a.jpg", "deep/page", "deep/a.jpg"),
        ("../a.jpg", "deep/page", "a.jpg"),
        ("../../a.jpg", "deep/page", ""),  # outside of the content
        ("..", "page", ""),
        ("./b/../a%20b.jpg#top", "page", "a b.jpg"),
        ("a.jpg?x=1", "page", "a.jpg"),
        ("<a b.jpg>", "page", "a b.jpg"),
        ("/a.jpg", "page", ""),
        ("https://example.org/a.jpg", "page", ""),
        ("//example.org/a.jpg", "page", ""),
        ("data:image/png;base64,x", "page", ""),
        ("#top", "page", ""),
        ("", "page", ""),
        ("a%00.jpg", "page", ""),
        ("http://[", "page", ""),
    ],
)
def test_where_a_pictures_address_leads(address: str, key: str, name: str) -> None:
    """RFC 3986: relative to the page's folder, percent-encodings undone, without query and fragment."""
    assert picture_name(address, key) == name


def test_words_of_several_lines_stand_where_they_are_written() -> None:
    text = 'A ![one\ntwo](a.jpg "three\nfour") b\n'
    told = [(span.line, span.column, span.text) for span in words_of_pictures(scan(text, "a.md"))]
    assert told == [(1, 5, "one"), (2, 1, "two"), (2, 13, "three"), (3, 1, "four")]
