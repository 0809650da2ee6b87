"""The terms of a glossary, as they are read from a page."""

from __future__ import annotations

from pathlib import Path

import markdown
import pytest

from buildlog.book.book import Book
from buildlog.reading.glossary import read_terms
from buildlog.reading.markdown.scanner import scan

PAGE = """\
---
buildlog: {glossary: yes}
---

# Words

shim
:   A ring.

**k = 2**
packing ring

:   Two names, and an empty line.
    More of it.

```text
not this
:   It is in a fence.
```

A paragraph

Ratio: one
: Short.
"""


def test_terms_are_those_of_definition_lists() -> None:
    terms = read_terms(scan(PAGE, "words.md"), "words")
    assert [(term.words, term.anchor, term.position.line) for term in terms] == [
        ("shim", "term-shim", 7),
        ("k = 2", "term-k-2", 10),
        ("packing ring", "term-packing-ring", 11),
        ("Ratio: one", "term-ratio-one", 23),
    ]


def test_python_markdown_makes_a_list_of_the_same_terms() -> None:
    html = markdown.markdown(PAGE.split("---\n", 2)[2], extensions=["def_list", "fenced_code"])
    assert html.count("<dt>") == len(read_terms(scan(PAGE, "words.md"), "words"))


@pytest.mark.parametrize(
    ("text", "terms"),
    [
        ("shim\n:   A ring.", ["shim"]),  # from the very first line
        (":   A ring.", []),
        ("\n:   A ring.", []),
        ("shim\n\n:   A ring.", ["shim"]),
        ("shim\n\n\n:   A ring.", []),  # two empty lines part them
        ("a\nb\nc\n:   Three names.", ["a", "b", "c"]),
        ("a\n\nb\n:   One name.", ["b"]),
        ("shim\n:   A ring.\n:   And a washer.", ["shim"]),
        ("shim\n:   A ring.\nspacer\n:   A tube.", ["shim", "spacer"]),
        ("# shim\n:   A ring.", []),
        ("> shim\n:   A ring.", []),
        ("    shim\n:   A ring.", []),
        ("\tshim\n:   A ring.", []),
        ("| shim |\n:   A ring.", []),
        ("  shim\n:   A ring.", ["shim"]),
        ("shim\n   : A ring.", ["shim"]),
        ("shim\n:    A ring.", []),  # a fourth space makes it code, and no explanation
        ("shim\n:A ring.", []),
        ("shim\n: ", []),
        ("**two   words**\n:   A ring.", ["two words"]),
        ("```text\nshim\n:   A ring.\n```\nspacer\n:   A tube.", ["spacer"]),
        ("spacer\n:   A tube.\n```text\nshim\n:   A ring.\n```", ["spacer"]),
    ],
)
def test_what_is_a_term(text: str, terms: list[str]) -> None:
    for before in ("", "---\ntitle: a\n---\n"):
        page = scan(before + text + "\n", "a.md")
        found = read_terms(page, "a")
        assert [term.words for term in found] == terms
        for term in found:
            line = page.lines.raw[term.position.line - 1]
            assert line[term.position.column - 1 :].strip("* ")[:3] == term.words[:3]


@pytest.mark.parametrize(
    ("files", "code", "found"),
    [
        (
            {"a.md": "---\nbuildlog: {glossary: yes}\n---\n\n# No list\n"},
            "glossary-term",
            "a glossary without terms",
        ),
        ({"a.md": f"{PAGE}\nShim\n:   Again.\n"}, "glossary-term", "“Shim” for the second time"),
        ({"a.md": PAGE, "b.md": PAGE}, "glossary-term", "“shim” for the second time"),
        ({"a.md": "---\nbuildlog: {glossary: perhaps}\n---\n\n# A\n"}, "how-to-shape", "“perhaps”"),
    ],
)
def test_what_is_refused(tmp_path: Path, files: dict[str, str], code: str, found: str) -> None:
    for name, text in files.items():
        (tmp_path / name).write_text(text, "utf-8")
    book = Book.open(tmp_path)
    faults = [*book.faults, *(fault for page in book.pages.values() for fault in page.faults)]
    assert (code, found) in [(fault.code.name, fault.found) for fault in faults]


def test_a_page_that_is_no_glossary_has_no_terms_to_be_refused(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_text("---\nbuildlog: {glossary: no}\n---\n\n# A\n", "utf-8")
    assert Book.open(tmp_path).faults == []
