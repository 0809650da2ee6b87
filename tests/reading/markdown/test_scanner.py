"""The scanner's positions, masks and limits.

The expected positions of the hand-made pages were counted by hand in the text beside them. What
Python-Markdown itself makes of pages is checked in test_scanner_differential.py.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from mkdocs.utils import meta

from buildlog.diagnostics import Position
from buildlog.files.text import LARGEST_FILE, Lines, columns_of, decode, expand, read_text
from buildlog.reading.markdown.page import MASK, LinkForm
from buildlog.reading.markdown.scanner import LONGEST_LINE, scan
from tests.examples import with_examples
from tests.reading.markdown.places import every_place_slices_back
from tests.systems import pipe

# Files → text.


def write(folder: Path, data: bytes) -> Path:
    path = folder / "page.md"
    path.write_bytes(data)
    return path


def test_a_byte_order_mark_takes_no_column(tmp_path: Path) -> None:
    text, diagnostics = read_text(write(tmp_path, b"\xef\xbb\xbf[a](calc:b)\r\n"), "page.md")
    assert text == "[a](calc:b)\r\n"
    assert not diagnostics
    assert str(scan(text, "page.md").links[0].address_position) == "page.md:1:5"


@pytest.mark.parametrize(
    ("data", "place", "found"),
    [
        (b"abc\xff", "page.md:1:4", "byte FF"),
        (b"\xef\xbb\xbfab\r\n\xc2\xb0\xe9t\xe9", "page.md:2:2", "byte E9"),  # ° and then Latin-1
        (b"a\rb\n\xe2\x82", "page.md:3:1", "byte E2 82"),  # cut off in the middle of €
        (b"\xff\xfea\x00", "page.md:1:1", "byte FF"),  # UTF-16 with its mark
    ],
)
def test_bytes_that_are_not_utf_8(tmp_path: Path, data: bytes, place: str, found: str) -> None:
    text, (diagnostic,) = read_text(write(tmp_path, data), "page.md")
    assert text == ""
    assert (diagnostic.code.name, str(diagnostic.position), diagnostic.found) == ("not-utf-8", place, found)


def test_nul_characters(tmp_path: Path) -> None:
    text, (diagnostic,) = read_text(write(tmp_path, b"a\nb\x00c"), "page.md")
    assert text == ""
    assert (diagnostic.code.name, str(diagnostic.position)) == ("nul-character", "page.md:2:2")


def test_files_that_are_too_large(tmp_path: Path) -> None:
    assert read_text(write(tmp_path, b"a" * LARGEST_FILE), "page.md")[1] == []
    text, (diagnostic,) = read_text(write(tmp_path, b"a" * (LARGEST_FILE + 1)), "page.md")
    assert (text, diagnostic.code.name) == ("", "file-too-large")


def test_only_regular_files_are_read(tmp_path: Path) -> None:
    pipe(tmp_path / "pipe")  # opening this one for reading would wait for ever
    for path in (tmp_path, tmp_path / "pipe", Path("/dev/zero"), tmp_path / "missing.md"):
        text, (diagnostic,) = read_text(path, "page.md")
        assert (text, diagnostic.code.name) == ("", "file-unreadable")


@given(st.text())
def test_text_survives_its_bytes(text: str) -> None:
    back, diagnostics = decode(b"\xef\xbb\xbf" + text.encode(), "page.md")
    assert back == ("" if "\0" in text else text)
    assert bool(diagnostics) == ("\0" in text)


# Lines and columns.


@given(st.text(alphabet="ab\r\n\t\u2028\x0b"))
def test_lines_end_as_in_an_editor(text: str) -> None:
    """Against str.splitlines on a text in which only CR LF, CR and LF can be line ends."""
    lines = Lines(text)
    plain = text.replace("\u2028", "x").replace("\x0b", "x")
    expected = plain.splitlines()
    if not plain or plain[-1] in "\r\n":
        expected.append("")
    assert [line.replace("\u2028", "x").replace("\x0b", "x") for line in lines.raw] == expected
    for offset in range(len(text) + 1):
        place = lines.position(offset, "p")
        assert lines.starts[place.line - 1] + place.column - 1 == offset


@given(st.text(alphabet="a\t \x02é"))
def test_columns_of_expanded_lines(line: str) -> None:
    """Tabs are set as str.expandtabs does, which is what Python-Markdown calls."""
    expanded = expand(line)
    assert expanded == line.replace("\x02", "").expandtabs(4)
    origin = columns_of(line) or list(range(len(line) + 1))
    assert len(origin) == len(expanded) + 1
    for column, character in enumerate(expanded):
        assert line[origin[column]] == (character if line[origin[column]] != "\t" else "\t")


# Front matter.


@pytest.mark.parametrize(
    "text",
    [
        "---\ntitle: a\n---\ntext [a](calc:b)\n",
        "---\ntitle: a\n...\n\n\ntext\n",
        "---  \ntitle: a\n---\t\ntext\n",
        "---\n\ntitle: a\n---\n",
        "---\ntitle: a\n----\ntext\n---\n",
        "---\ntitle: a\n --- \nb: c\n---\nx\n",
        "\n---\ntitle: a\n---\n",
        "text\n---\ntitle: a\n---\n",
        "---\ntitle: a\ntext\n",
        "---\ntitle: a\n---",
        "--\ntitle: a\n--\n",
        "---\n\nA rule, and [5 mm](calc:x) between two.\n\n---\n\ntext\n",
        "---\n- a list\n---\ntext\n",
        "---\na: [\n---\ntext\n",
    ],
)
def test_front_matter_is_what_mkdocs_takes_off(text: str) -> None:
    """MkDocs 1.6, mkdocs.utils.meta.get_data."""
    page = scan(text, "page.md")
    rest = text
    if page.front_matter is not None:
        rest = "\n".join(text.split("\n")[page.front_matter.end_line :])
        assert text.split("\n")[page.front_matter.line - 1] == page.front_matter.text.split("\n")[0]
    assert meta.get_data(text)[0].lstrip("\n") == rest.lstrip("\n")


def test_front_matter_holds_no_figures() -> None:
    page = scan('---\nabout: "[a](calc:b) 5 mm"\n---\n[c](calc:d)\n', "page.md")
    assert page.front_matter is not None
    assert page.front_matter.line == 2
    assert [str(link.position) for link in page.links] == ["page.md:4:1"]
    assert "5 mm" not in "".join(span.text for span in page.prose)


# Blocks: (line, column, end line, prefix, columns in which the body's lines begin).

BLOCKS = [
    ("```yaml calc\nid: a\n```", (1, 1, 3, "", (1,))),
    ("- item\n\n    ```yaml calc\n    id: a\n\n      x: 1\n    ```", (3, 5, 7, "    ", (5, 1, 5))),
    ("> text\n> ```yaml calc\n> id: a\n>\n> b: c\n> ```", (2, 3, 6, "> ", (3, 2, 3))),
    ("!!! note\n    > ~~~~yaml calc\n    > ~~~\n    > ~~~~", (2, 7, 4, "    > ", (7,))),
    ('=== "Tab"\n\n\t```yaml calc\n\tid: a\n    b: c\n\t```', (3, 2, 6, "\t", (2, 5))),
    ("1. a\n    1. b\n\n\t  ```yaml calc\n\t  id: a\n      b:\tc\n\t  ```", (4, 4, 7, "\t  ", (4, 7))),
    ("  ```yaml calc\n\tid: two blanks of the tab are left\n  ```", (1, 3, 3, "  ", (0,))),
    ("````md\n```yaml calc\n```\n````\n\n```yaml calc\n```", (6, 1, 7, "", ())),
    ("text\r\n\r\n```yaml calc\r\nid: a\r\n```\r\n", (3, 1, 5, "", (1,))),
    ("text\r\r```yaml calc\rid: a\r```\r", (3, 1, 5, "", (1,))),
    ("<div markdown>\n```yaml calc\nid: a\n```\n</div>", (2, 1, 4, "", (1,))),
]


@pytest.mark.parametrize(("text", "expected"), BLOCKS)
def test_positions_of_blocks(text: str, expected: tuple[int, int, int, str, tuple[int, ...]]) -> None:
    (fence,) = (fence for fence in scan(text, "page.md").fences if fence.is_calc)
    assert (fence.line, fence.column, fence.end_line, fence.prefix, fence.body_columns) == expected
    assert fence.closed


def test_a_place_in_a_body_has_its_place_in_the_file() -> None:
    text = "- a\n\n    ```yaml calc\n    id: a\n      deep: 1\n    ```\n"
    (fence,) = scan(text, "page.md").fences
    assert fence.body == "id: a\n  deep: 1"
    assert str(fence.position("page.md", 1, 2)) == "page.md:5:7"
    assert str(fence.position("page.md", 2, 0)) == "page.md:6:5"


def test_other_fences_are_no_calculation() -> None:
    text = "```yaml\na\n```\n\n```python hl_lines=\"1 3-4\" linenums='1'\nb\n```\n\n~~~ {.yaml .calc}\nc\n~~~"
    page = scan(text, "page.md")
    assert [(fence.language, fence.is_calc) for fence in page.fences] == [
        ("yaml", False),
        ("python", False),
        ("", False),
    ]
    assert page.fences[1].words == ('hl_lines="1', '3-4"', "linenums='1'")


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("a\n\n```yaml calc\nid: a\n", "block-unclosed", "page.md:3:1"),
        ("- a\n\n    ```yaml calc\n  id: a\n    ```\n", "block-unclosed", "page.md:3:5"),
        ("```yaml calc\nid: a\n````\n", "block-unclosed", "page.md:1:1"),
        ("```yml calc\nid: a\n```\n", "block-not-read", "page.md:1:1"),
        ("> ```yaml calc now\n> ```\n", "block-not-read", "page.md:1:3"),
        ("```{.yaml .calc}\nid: a\n```\n", "block-not-read", "page.md:1:1"),
        ("- ```yaml calc\n  id: a\n  ```\n", "block-not-read", "page.md:1:3"),
        ("a [b [c](calc:d) e](calc:f)", "link-in-label", "page.md:1:8"),
        ("a [b](calc:'( c", "address-unclosed", "page.md:1:7"),
        ("[a](calc:b)" + " " * LONGEST_LINE, "line-too-long", f"page.md:1:{LONGEST_LINE + 1}"),
        ("> " * 100 + "a", "nested-too-deep", "page.md:1:1"),
        (("[a](" * 100 + "\n") * 100, "links-tangled", "page.md:1:1"),
    ],
)
def test_what_is_reported(text: str, code: str, place: str) -> None:
    diagnostics = scan(text, "page.md").diagnostics
    assert [(diagnostic.code.name, str(diagnostic.position)) for diagnostic in diagnostics] == [(code, place)]


@pytest.mark.parametrize(
    ("text", "given_up"),
    [
        ("a\n\n```yaml calc\nid: a\nkind: b", "page.md:5:1"),  # the last line of the page
        ("- a\n\n    ```yaml calc\n    id: a\n\n  b\n    ```\n", "page.md:5:1"),  # the line before b
        ("> ```yaml calc\n> id: a\nb\n> ```\n", "page.md:2:1"),
    ],
)
def test_where_an_unclosed_block_is_given_up(text: str, given_up: str) -> None:
    (unclosed,) = (one for one in scan(text, "page.md").diagnostics if one.code.name == "block-unclosed")
    assert str(unclosed.second) == given_up


@pytest.mark.parametrize(
    "text",
    [
        "    ```yaml calc\n    id: shown as code\n",
        "````md\n```yaml calc\n````\n",
        "Write `` ```yaml calc `` on a line.",
        "<!--\n```yaml calc\n-->\n",
        "```yaml\ncalc: 1\n```\n",
    ],
)
def test_what_is_not_reported(text: str) -> None:
    assert not scan(text, "page.md").diagnostics


# Links: (place, place of the address, place of the title, label, address, title).

LINKS = [
    ("[a](calc:b)", ("1:1", "1:5", None, "a", "calc:b", None)),
    ("é° [12,5 km/h](calc:x.y.3 \"vs before\")", ("1:4", "1:16", "1:28", "12,5 km/h", "calc:x.y.3", "vs before")),  # noqa: E501
    ("- x\n\n    1. [](<cite:m>  'p. 3')", ("3:8", "3:12", "3:22", "", "cite:m", "p. 3")),
    ("> [a\n> b](told:c\n> \"t\")", ("1:3", "2:6", "3:4", "a\nb", "told:c", "t")),
    ("| a | b |\n|---|---|\n| [1](calc:a) |\t[2](calc:b) |", ("3:3", "3:7", None, "1", "calc:a", None)),
    ("# Head [x \\] y](calc:a\\_b)", ("1:8", "1:17", None, "x \\] y", "calc:a_b", None)),
    ("\t\n\n- a\n\t- [b\tc](calc:d)", ("4:4", "4:10", None, "b\tc", "calc:d", None)),
    ('!!! tip "Now [3 mm](calc:a)"', ("1:14", "1:21", None, "3 mm", "calc:a", None)),
    ("a\r\nb [c](calc:d)\r\n", ("2:3", "2:7", None, "c", "calc:d", None)),
    ("[use][it]\n\n> [It]: <calc:a>\n>   \"vs b\"", ("1:1", "3:10", "4:6", "use", "calc:a", "vs b")),
    ("x [it]\n\n[it]:\n  calc:a", ("1:3", "4:3", None, "it", "calc:a", None)),
    ("Text[^1]\n\n[^1]: first\n\n    [a](calc:b)", ("5:5", "5:9", None, "a", "calc:b", None)),
    ("T\n: [a](calc:b)", ("2:3", "2:7", None, "a", "calc:b", None)),
    ("<calc://a>", ("1:1", "1:2", None, "calc://a", "calc://a", None)),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), LINKS)
def test_positions_of_links(text: str, expected: tuple[str, str, str | None, str, str, str | None]) -> None:
    link = scan(text, "p").links[0]

    def short(place: Position | None) -> str | None:
        return None if place is None else f"{place.line}:{place.column}"

    assert (
        short(link.position),
        short(link.address_position),
        short(link.title_position),
        link.label,
        link.address,
        link.title,
    ) == expected


def test_forms_of_links() -> None:
    text = "[a](calc:a) [b][n] [n] <calc://c>\n\n  [n]: calc:n\n"
    page = scan(text, "page.md")
    assert [link.form for link in page.links] == list(LinkForm)
    assert [str(link.definition) for link in page.links if link.definition] == ["page.md:3:3"] * 2
    assert page.links[0].scheme == "calc"


# Running text.


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a `5 mm` b", [(1, 1, "a ****** b")]),
        ("5 mm\n\n    6 mm\n\n7 mm", [(1, 1, "5 mm"), (5, 1, "7 mm")]),
        ("a ![5 mm](6.png) [7 mm](8.md) b", [(1, 1, "a ************** *7 mm******* b")]),
        ("[5 mm](calc:a) c", [(1, 1, "************** c")]),
        (
            "<b title='5 mm'>6 mm</b> <!-- 7 mm --> &#176;",
            [(1, 1, "*" * 16 + "6 mm**** ************* ******")],
        ),
        ("a <https://e.org/5> b[^1] c\n\n[^1]: 6 mm", [(1, 1, "a " + "*" * 17 + " b**** c"), (3, 7, "6 mm")]),
        ("a *5 mm*{: title=6 } b { x }", [(1, 1, "a *5 mm************* b { x }")]),
        ("> - 5 mm\n>   6 mm", [(1, 5, "5 mm"), (2, 3, "  6 mm")]),
        ("|\t5 mm | b |\n|---|---|\n| 6 mm |", [(1, 3, "5 mm"), (1, 10, "b"), (3, 3, "6 mm")]),
        ("[r]: x '5 mm'\n```yaml\n6 mm\n```\n7 mm", [(5, 1, "7 mm")]),
        ("<div>\n5 mm\n</div>\n\n6 mm", [(5, 1, "6 mm")]),
        ("a\\*5 mm", [(1, 1, "a\\*5 mm")]),
    ],
)
def test_running_text(text: str, expected: list[tuple[int, int, str]]) -> None:
    """`*` stands for the mask here, except where the text itself has one at that place."""
    page = scan(text, "page.md")
    shown = []
    for span in page.prose:
        raw = page.lines.raw[span.line - 1][span.column - 1 :]
        assert all(a in (b, MASK) for a, b in zip(span.text, raw, strict=False))
        shown.append((span.line, span.column, span.text.replace(MASK, "*")))
    assert shown == expected


def test_headings_and_tables_are_told() -> None:
    page = scan("# a\n\nb\n=\n\nc\n\n| d | e |\n|---|---|\n", "page.md")
    assert [(span.text, span.is_heading, span.in_table) for span in page.prose] == [
        ("a", True, False),
        ("b", True, False),
        ("c", False, False),
        ("d", False, True),
        ("e", False, True),
    ]


# Whatever is given to it.

HOSTILE = st.lists(
    st.sampled_from(list("[]()`*<>!\\#|:~-=_'\"^&;{}?/ \t\r\n\0\x02\x03\ufeffaé5."))
    | st.text(max_size=3)
    | st.sampled_from(
        [
            "calc:",
            "](calc:a)",
            "```yaml calc",
            "```",
            "\n\n",
            "    ",
            "<div markdown>",
            "[^1]:",
            "<!--",
            "-->",
            "!!! a",
            '=== "a"',
            "??? a",
            "[r]: ",
            "- ",
            "1. ",
            "> ",
            "|--|",
        ]
    ),
    max_size=40,
).map("".join)


@with_examples(200)
@given(HOSTILE)
def test_any_text_is_read_and_every_offset_leads_back_to_it(text: str) -> None:
    page = scan(text, "page.md")
    assert page.text == text
    every_place_slices_back(page)


def test_a_footnote_in_a_footnote_leaves_the_text_what_it_was() -> None:
    text = "Seen[^5].\n\n[^5]: Note\n\n    - item\n\n        [^3]: [13 mm](cite:sheet)\n"
    page = scan(text, "page.md")
    assert [one.code.name for one in page.diagnostics] == ["footnote-in-footnote"]
    assert page.text == text


@pytest.mark.parametrize(
    "unit", ["[", "`", "*", "<", "(", " ", "!", "~", "\\", ">", "|", "[a](", "<a ", "\t", "- "]
)
def test_a_line_of_a_million_characters(unit: str) -> None:
    text = (unit * 1_000_000)[:1_000_000]
    page = scan(text, "page.md")
    assert [diagnostic.code.name for diagnostic in page.diagnostics] == ["line-too-long"]
    assert not page.links


@pytest.mark.bench
@pytest.mark.parametrize(
    "unit",
    [
        "[" * 99 + "\n",
        "`" * 99 + "\n",
        "[a](" * 25 + "\n",
        "<a " * 33 + "\n",
        '<a "' * 25 + "\n",
        "<!--" * 25 + "\n",
        "<b>" * 33 + "\n",
        "[a](b ' (" * 11 + "\n",
        "![" * 50 + "\n",
        "[^" * 50 + "\n",
        "`a``b```" * 12 + "\n",
        "- a\n",
        "# a\n",
        "---\n",
        "!!! a\n",
        '=== "a"\n',
        ": a\n",
        "a\n: b\n",
        "[^1]: a\n",
        "[a]:\n",
        "|a|\n",
        "<div markdown>\n",
        "</div>\n",
        "<b>\n<!---->\n",
        "> ```\n",
        "```yaml calc\n",
        "    a\n\n",
        "> > > a\n",
        '[a]: "' + '"' * 90 + "\n",
        "`\\" * 50 + "\n",
    ],
)
def test_time_grows_with_length_only(unit: str) -> None:
    """Quadratic growth would take sixteen times as long for four times the text; linear takes four."""

    def seconds(length: int) -> float:
        text = unit * (length // len(unit))
        start = time.process_time()
        scan(text, "page.md")
        return time.process_time() - start

    small = min(seconds(40_000) for _ in range(2))
    assert seconds(160_000) < 9 * small + 0.1


@pytest.mark.bench
def test_speed_of_an_ordinary_page() -> None:
    """Two hundred such pages take about a fifth of a second; the bound only catches a disaster."""
    part = (
        "The drain plug takes [39 N·m](cite:manual), and third now runs out at\n"
        "[124.8 km/h](calc:shorter-final.after.speed_at_limit.3), which is a change for the better.\n\n"
        "- Drain the oil\n- Undo the bolts\n\n"
        "Plain lines make up most of a page, in the end, and they go on for a few lines because\n"
        "people write like that. Then they stop, and the next paragraph begins with another thought.\n\n"
    )
    page = part * (6600 // len(part))
    start = time.process_time()
    for _ in range(20):
        scan(page, "page.md")
    assert time.process_time() - start < 1
