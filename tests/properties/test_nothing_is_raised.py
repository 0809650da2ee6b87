"""Whatever becomes of a text, findings come of it and nothing else, each at a place that the text has."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.diagnostics import CODES, Diagnostic
from buildlog.files.text import Lines
from buildlog.kinds import catalogue
from buildlog.kinds.results import Value
from buildlog.proof.proof import proof_book
from buildlog.report.findings_json import findings_json
from buildlog.report.text import findings_text
from tests.examples import with_examples
from tests.house import ROOT
from tests.properties.changed_texts import changed
from tests.samples import open_site

PAGE = "page"
SEEDS = st.integers(0, 10**9)


@cache
def empty() -> Book:
    with TemporaryDirectory() as folder:
        return open_site(
            Path(folder), {"page.md": "", "sources.yml": "sheet: {title: T, facts: {nut: 9 N·m}}\n"}
        )


@cache
def demonstration() -> Book:
    return Book.open(root=ROOT)


def hold(findings: Iterable[Diagnostic], book: Book, page: str) -> None:
    """What every finding has to be."""
    lines = Lines(book.pages[page].text).raw
    for finding in findings:
        assert finding.code is CODES[finding.code.name]
        assert finding.code.name != "calculator-fault", (finding.found, finding.expected)
        assert finding.message
        if finding.position.path == book.pages[page].path:
            assert 1 <= finding.position.line <= len(lines)
            assert 1 <= finding.position.column <= len(lines[finding.position.line - 1]) + 1


def proofed(book: Book, page: str, text: str) -> Book:
    """A book with a page of this text: proofed, and told in words and as data."""
    book = book.with_page(page, text)
    report = proof_book(book, (page,))
    hold(report.findings, book, page)
    findings_json(report)
    findings_text(report.findings, lambda position: "")
    for result in book.results.values():
        for case in result.cases.values():
            for value in case.values.values():
                for one in value.values() if isinstance(value, dict) else (value,):
                    assert not isinstance(one, Value) or abs(one.si) < float("inf")
    return book


@pytest.mark.parametrize("kind", sorted(catalogue.kind_names()))
@pytest.mark.slow
@with_examples(6)
@given(SEEDS, st.integers(1, 4))
def test_the_examples_of_the_kinds_changed(kind: str, seed: int, times: int) -> None:
    """A calculator has a guard before each root, logarithm and quotient."""
    for example in catalogue.load_kind(kind).examples[:1]:
        block = changed(example, seed, times)
        proofed(empty(), PAGE, f"```yaml calc\n{block}```\n\nSee [9 mm](calc:a.b) and 9 mm.\n")


EPISODES = sorted(key for key in ("final-drive", "clutch", "cold-air-duct", "flywheel", "wheels-and-scales"))


@pytest.mark.slow
@with_examples(6)
@given(st.sampled_from(EPISODES), SEEDS, st.integers(1, 6))
def test_the_pages_of_the_demonstration_changed(episode: str, seed: int, times: int) -> None:
    book = demonstration()
    key = f"episodes/{episode}"
    proofed(book, key, changed(book.pages[key].text, seed, times))


PARTS = st.sampled_from(
    [
        "```yaml calc\n",
        "```\n",
        "id: a\n",
        "kind: gearing\n",
        "kind: parts\n",
        "inputs:\n",
        "  rev_limit: 1 rpm\n",
        "cases:\n",
        "  x: {final_drive: 4}\n",
        "show: [speed_at_limit]\n",
        "find: final_drive\n",
        "so_that: {}\n",
        "sweep: rev_limit\n",
        "of: []\n",
        "predicts: {a: calc:b.c}\n",
        "common: []\n",
        "car: none\n",
        "state: x\n",
        "---\n",
        "buildlog:\n",
        "  series: S\n",
        "  episode: 1\n",
        "  bill: a\n",
        "  steps: x\n",
        "title: x\n",
        "[1 mm](calc:a.b)",
        "[](calc:a.x.speed_at_limit.1)",
        "[9 N·m](cite:sheet.nut)",
        "[9](told:x 'vs y; ± 2 %')",
        "\n",
        "\n\n",
        "# x\n",
        "- ",
        "> ",
        "    ",
        "| a | b |\n|---|---|\n",
        "<!-- buildlog: ledger -->\n",
        "9 mm ",
        "[^1]",
        "[^1]: ",
        "!!! note\n",
        "[x](caution:fuel)",
        "![a](b.png)",
        "<div markdown>\n",
        "</div>\n",
        "&#8722;",
        "[a]: calc:a.b 'c'\n",
        "[9 km/h][a] ",
        "twice as [fast](calc:a.b 'vs c') ",
    ]
)


@with_examples(150)
@given(st.lists(PARTS | st.text(max_size=3), max_size=30).map("".join))
def test_pages_made_of_what_pages_have(text: str) -> None:
    proofed(empty(), PAGE, text)
