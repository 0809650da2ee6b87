"""What stands in running text for programs is no figure; a figure beside it is found, where it stands."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown import Markdown

from buildlog.diagnostics import Position
from buildlog.proof.loose_figures import LooseFigure, find_loose
from buildlog.proof.machine_text import without_machine_text
from buildlog.reading.markdown.page import MASK
from buildlog.reading.markdown.scanner import scan
from tests.examples import with_examples
from tests.proof.labelled import sentences


def loose(page: str) -> list[str]:
    return [figure.text for figure in find_loose(scan(page, "page.md"))]


FOR_PROGRAMS = [
    # Math as pymdownx.arithmatex, KaTeX and MathJax know it.
    "$v = 5 m$",
    "$1$",
    r"$5\%$ and $5\,\text{kg}$",
    "$3 \\times 10 mm$",
    "$$ x = 5 kg $$",
    "$$\nx = 5 kg\n$$",
    r"\(5 km\) and \[5 kg\]",
    r"\\(5 km\\) and \\[5 kg\\]",
    "\\begin{align*}\nx &= 5 kg \\\\\ny &= 3 m\n\\end{align*}",
    "```math\nx = 5 kg\n```",
    "| a |\n|---|\n| $5 m$ |",
    # Addresses.
    "https://example.org/5kg/20mm?at=3%20km#4mm",
    "(http://example.org/a_5kg)",
    "ftp://example.org/5kg",
    "www.example.org/5kg",
    "example.org/a/5kg?x=20km",
    "example.org:8080 m",
    "mailto:5kg@example.org",
    "5kg@example.org",
    "<https://example.org/5kg>",
    "[label](https://example.org/5kg)",
    "![5 kg](5kg.png)",
    # Percent-encodings, hexadecimal, code points, printf.
    "a%20km",
    "%20km",
    '"%2F" or "%5C"',
    "%5kg",
    "0x1F",
    "0x1F kg",
    "#1a2b3c",
    "U+003C",
    "U+0021–2F",
    "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b",
    "123e4567-e89b-12d3-a456-426614174000",
    "12345678-1234-1234-1234-12345678901d",
    # Versions, machines.
    "1.2.3-5m",
    "v1.5 m",
    "192.168.1.1",
    "2001:db8::5c",
    "Python 3.9 in [the matrix](x.md)",
    # Files and folders.
    "5mm.txt",
    "100km.md:12:5",
    "docs/100km/index.md",
    r"C:\5kg\a.txt",
    r"C:\5kg\20mm",
    r"\\server\5kg",
    "./5mm/",
    "../5mm",
    "~/5kg",
    "/usr/share/5kg",
    "20mm/30kg.png",
    # Templates, attributes, short codes, keys, notes.
    "{{ 5 kg }}",
    "{% set x = 5 kg %}",
    "{# 5 kg #}",
    "${5kg}",
    'para\n{: data-x="5 kg" }',
    "x{ .w5km width=5mm }",
    ":5km:",
    ":1234m:",
    "*[HTML]: 5 kg of it\n*[W3C]: 5 kg of it",
    "text[^5kg]",
    "++ctrl+5+m++",
    "++5+m++",
    '[=45% "45%"]',
    '--8<-- "5mm.md"',
    "--width=5mm",
    "@0x00cl",
    # What the scanner masks.
    "<!-- 5 kg -->",
    "`#!python 5 kg`",
    '<a title="5 kg">x</a>',
    "> ```\n> 5 kg\n> ```",
]


@pytest.mark.parametrize("text", FOR_PROGRAMS)
def test_what_is_for_programs_is_no_figure(text: str) -> None:
    assert loose(f"{text}\n") == []


@pytest.mark.parametrize("text", [text for text in FOR_PROGRAMS if "\n" not in text and "[HTML]" not in text])
def test_a_figure_on_either_side_is_found_where_it_stands(text: str) -> None:
    if text.startswith(("--8<--", "|")):
        return  # they have the line to themselves
    found = find_loose(scan(f"It weighs 4.2 kg and {text} then 62 N·m.\n", "page.md"))
    after = len(f"It weighs 4.2 kg and {text} then ") + 1
    assert found == [
        LooseFigure(Position("page.md", 1, 11), "4.2 kg"),
        LooseFigure(Position("page.md", 1, after), "62 N·m"),
    ]


@pytest.mark.parametrize(
    "text,expected",
    [
        ("the 62 N·m of [x](https://example.org/5kg)", ["62 N·m"]),
        ("see https://example.org, 5 kg", ["5 kg"]),
        ("(https://example.org) 5 kg", ["5 kg"]),
        ("https://example.org/a_(5kg) 4.1 kg", ["4.1 kg"]),
        # Money: a price is none of math, on a site with math or without.
        ("it costs $5", ["$5"]),
        ("it costs $5 and $6", ["$5", "$6"]),
        ("it costs $5–$6, US$5/US$6 or $5-$6", ["$5–$6", "US$5", "US$6", "$5-$6"]),
        ("it costs $5 or 10$", ["$5", "10$"]),
        ("$5 for the 20 kg (that is A$)", ["$5", "20 kg"]),
        ("a $ and 5 kg, another $", ["5 kg"]),
        ("\\$5 and 5 kg and \\$6", ["\\$5", "5 kg", "\\$6"]),
        ("$x$ of 5 kg and $y$", ["5 kg"]),
        # Signs that figures have too.
        ("60 km/h, 5 N·m/rad, 5/8 in, 10/12 mm", ["60 km/h", "5 N·m/rad", "5/8 in", "10/12 mm"]),
        ("50% to 60%, (100%), 5%/10%", ["50% to 60%", "100%", "5%", "10%"]),
        ("62 N·m @5000 rpm", ["62 N·m", "5000 rpm"]),
        ("a 4.56:1 pair", ["4.56:1"]),
        ("50 N.m and 10kg.m", ["50 N.m", "10kg.m"]),
        ("40x20 mm, 2.0x1.5 mm", ["40x20 mm", "2.0x1.5 mm"]),
        ("with m=5kg, so k = 5 N/mm", ["5kg", "5 N/mm"]),
        ("**5 kg**, _6 kg_, ==7 kg==, ~8 kg~, ^^9 kg^^", ["5 kg", "6 kg", "7 kg", "8 kg", "9 kg"]),
        ("{5 kg}, [5 kg], [[6 kg]]", ["5 kg", "5 kg", "6 kg"]),
        ("a 3/4 in `hose`, and 3.5 in.", ["3/4 in", "3.5 in"]),
        ("6 l /100 km", ["6 l /100 km"]),
        ("It is 5 kg.The rest is 6 kg.", ["5 kg", "6 kg"]),
    ],
)
def test_a_figure_beside_it_is_found(text: str, expected: list[str]) -> None:
    assert loose(f"{text}\n") == expected


def test_nothing_is_covered_in_sentences_that_people_have_labelled() -> None:
    for name in ("sentences.tsv", "held_out.tsv", "words.tsv", "words_held_out.tsv"):
        for case in sentences(name):
            read = without_machine_text(case.text)
            assert all(MASK not in read[start:end] for start, end in case.spans), case.text


@pytest.mark.parametrize(
    "text",
    ["$5$", "$ 5$", "$5 $", "a $x = 5$ b", "\\$5$ 6$", "$a\\$ b$", "$5\\%$", "$$5$$", "\\(5\\)", "a $ b $ c"],
)
def test_math_is_what_pymdownx_takes_for_math(text: str) -> None:
    """Against pymdownx.arithmatex itself. Where a digit follows or words make a price of it we differ, on
    purpose: see the module."""
    renderer = Markdown(extensions=["pymdownx.arithmatex"], extension_configs={})
    is_math = "arithmatex" in renderer.convert(text)
    assert (MASK in without_machine_text(text)) == is_math


PIECES = (
    *r"$ $$ \( \) \[ \] \begin{a} \end{a} {{ }} {% %} [= ] [^ ++ : / \ . @ % 0x U+ 5 kg mm .md".split(),
    *("https:// www. - = _ # ~ ( ) ' é 5kg a5 a".split()),
    *(" ", "\n", MASK),
)


@with_examples(200)
@given(st.lists(st.sampled_from(PIECES), max_size=40).map("".join))
def test_what_is_covered_keeps_its_length(text: str) -> None:
    read = without_machine_text(text)
    assert len(read) == len(text)
    assert all(new in (old, MASK) for old, new in zip(text, read, strict=True))


@pytest.mark.bench
@pytest.mark.parametrize(
    "piece", [*PIECES, "$5", "a$", "\\$", "{{ ", "a.", "a/", "/a5", "5.", "a-5", ":a5", "5%a"]
)
def test_it_takes_time_in_proportion(piece: str) -> None:
    """Twice the text takes about twice the time; a search that begins anew at every sign takes four times."""

    def taken(length: int) -> float:
        text = piece * (length // len(piece))
        best = 9.0
        for _ in range(2):
            start = time.process_time()
            without_machine_text(text)
            best = min(best, time.process_time() - start)
        return best

    taken(1000)
    short = taken(10_000)
    assert taken(40_000) < max(9 * short, 0.2)
