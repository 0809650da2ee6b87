"""Pictures of a page: words that are missing, captions that nobody reads, loose figures in their words."""

from __future__ import annotations

import pytest

from buildlog.book.book import Page
from buildlog.proof.loose_figures import find_loose
from buildlog.reading.markdown.scanner import scan
from buildlog.reading.pictures import read_pictures
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
