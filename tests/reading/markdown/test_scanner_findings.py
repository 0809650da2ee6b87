"""What the scanner says of a page, and where: the places are counted by hand in the text beside them."""

from __future__ import annotations

import pytest

from buildlog.reading.markdown.scanner import scan

# The text, then code, place, second place and what it is called, what was found, what is expected.
FINDINGS = [
    (
        'see [a](calc:b){title="for c"} d',
        ("attribute-of-figure", "1:17", None, ""),
        ('title="for c"', "no title in the list"),
    ),
    (
        "x\n\n> see [a](calc:b){: .c href=d title='e' }",
        ("attribute-of-figure", "3:24", None, ""),
        ("href=d", "no href in the list"),
    ),
    (
        "- see [a](calc:b){ href=cite:d title=e }",
        ("attribute-of-figure", "1:32", None, ""),
        ("title=e", "no title in the list"),
    ),
    ("a [b <br> c](calc:d) <i>e", ("html-in-label", "1:6", None, ""), ("<br>", "no tag")),
    ("x\n\n- [b <i>](calc:d) e", ("html-in-label", "3:6", None, ""), ("<i>", "no tag")),
    ("é [a [b](calc:c)](calc:d)", ("link-in-label", "1:8", "1:3", "the label begins here"), ("", "")),
    (
        "```yaml calc\nid: a\n\ntext\n",
        ("block-unclosed", "1:1", "5:1", "given up after this line"),
        ("", ""),
    ),
    (
        "x\n\n> ```yaml calc\n> id: a\ntext\n",
        ("block-unclosed", "3:3", "4:1", "given up after this line"),
        ("", ""),
    ),
    (
        "x\n\n  ```yml calc\n  id: a\n  ```",
        ("block-not-read", "3:3", None, ""),
        ("```yml calc", "```yaml calc"),
    ),
    (
        "x\n\n- ```yaml calc\n  id: a",
        ("block-not-read", "3:3", None, ""),
        ("```yaml calc", "```yaml calc"),
    ),
    (
        "a[^1]\n\n[^1]: b\n[^1]: c\n",
        ("footnote-twice", "3:1", "4:1", "the one that is shown"),
        ("", ""),
    ),
    ("a[^1]\n\n[^1]: b\n\n      [^2]: c\n", ("footnote-in-footnote", "5:7", None, ""), ("", "")),
    (
        "x\n\n" + "> " * 41 + "a",
        ("nested-too-deep", "3:1", None, ""),
        ("more than 40 inside each other", "at most 40"),
    ),
    (
        "x\n" + "y" * 20_001,
        ("line-too-long", "2:20001", None, ""),
        ("20001 characters", "at most 20000"),
    ),
    ("x [a](calc:'( c", ("address-unclosed", "1:7", None, ""), ("", "")),
]


@pytest.mark.parametrize(("text", "where", "what"), FINDINGS)
def test_what_is_said_and_where(
    text: str, where: tuple[str, str, str | None, str], what: tuple[str, str]
) -> None:
    found = scan(text, "a.md").diagnostics
    first = found[0]
    if where[0] == "attribute-of-figure" and "href=d" in text:
        assert [one.found for one in found] == ["href=d", "title='e'"]
    else:
        assert len(found) == 1, [str(one) for one in found]
    second = None if first.second is None else f"{first.second.line}:{first.second.column}"
    place = f"{first.position.line}:{first.position.column}"
    assert (first.code.name, place, second, first.second_label) == where
    if what[0]:
        assert (first.found, first.expected) == what


@pytest.mark.parametrize(
    "text",
    [
        "> " * 40 + "a",
        "y" * 20_000,
        "[a](calc:b){: .c #d } and [e](calc:f) {title=x}",
        "[a](https://b){title=c}",
        "[a <i>b</i>](https://c)",
        "a <!-- ```yaml calc -->",
        "<!--\n```yml calc\n-->",
        "a[^1] b[^2]\n\n[^1]: b\n[^2]: c\n",
    ],
)
def test_what_is_nothing_to_tell(text: str) -> None:
    assert scan(text, "a.md").diagnostics == ()


# How a fence with tabs is read: by the docstring of `Fence`, character i of a line of the body stands in
# column `body_columns + i`; blanks that a tab leaves beside the prefix are blanks of the line.
TABS = [
    ("\t```text\n\ta\n\t\tb\n\t```", ["a", "\tb"], [2, 2]),
    ("- x\n\n\t```text\n    a\n\t  b\n\t```", ["a", "  b"], [5, 2]),
    ("  ```text\n\ta\n  b\n  ```", ["  a", "b"], [0, 3]),
    (" ```text\n\ta\n b\n ```", ["   a", "b"], [-1, 2]),
    ("```text\n\ta\nb\tc\n```", ["\ta", "b\tc"], [1, 1]),
    ("    ```text\n\t\ta\n    ```", ["\ta"], [2]),
]


@pytest.mark.parametrize(("text", "body", "columns"), TABS)
def test_tabs_in_a_fence(text: str, body: list[str], columns: list[int]) -> None:
    if not text.startswith("- "):
        text = f"- x\n\n{text}" if text.startswith(("\t", "    ")) else text
    fences = scan(text, "a.md").fences
    (fence,) = fences
    assert list(fence.body_lines) == body
    assert list(fence.body_columns) == columns
    assert fence.closed


@pytest.mark.parametrize(
    ("text", "others"),
    [
        ("[a](clac:b.c) [d](https://e)", [("clac", "b.c", "a")]),
        ("[a][r] [b](mailto:x@y)\n\n[r]: <Own:c>", [("own", "c", "a")]),
        ("[a](/b:c) [d](e/f:g) [h](#i:j)", []),
    ],
)
def test_links_with_schemes_that_nobody_knows(text: str, others: list[tuple[str, str, str]]) -> None:
    assert [tuple(one) for one in scan(text, "a.md").surroundings.others] == others
