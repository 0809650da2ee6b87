"""Figures that rest on a car's sheet itself: what is said of them, when they disagree and when they move.

A state without a name cannot be addressed, so it is called nothing: nobody reads the program's word for it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Severity
from buildlog.proof.drift import moved, record_of
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import called
from buildlog.reading.record import NAME, record_text
from tests.samples import open_site

SHEET = "name: Brindle\nabout: invented\ninputs: {rev_limit: 8200 rpm, tyre: 195/50R15}\n"
STATES = SHEET.replace("name: Brindle", "name: Brindle\nstate: standard") + (
    "changes:\n- {state: freed, inputs: {rev_limit: 8400 rpm}}\n"
)
PAGE = "It stops at [8200 rpm](calc:cars/brindle.rev_limit).\n"


def site(folder: Path, page: str, sheet: str) -> Book:
    return open_site(folder, {"a.md": page, "cars/brindle.yml": sheet})


def of_figures(book: Book) -> list[Diagnostic]:
    return [one for one in proof_book(book).findings if one.code.name.startswith(("moved-", "figure-"))]


@pytest.mark.parametrize(
    ("sheet", "address", "said"),
    [
        (SHEET, "cars/brindle.rev_limit", "cars/brindle.rev_limit"),
        (STATES, "cars/brindle.standard.rev_limit", "cars/brindle.standard.rev_limit"),
        (STATES, "cars/brindle.rev_limit", "cars/brindle.freed.rev_limit"),
    ],
)
def test_what_a_figure_of_a_sheet_rests_on(tmp_path: Path, sheet: str, address: str, said: str) -> None:
    (finding,) = of_figures(site(tmp_path, f"See [7000 rpm](calc:{address}).\n", sheet))
    assert finding.expected.endswith(f"({said})")
    assert ("rests on", said) in [(row.name, row.value) for row in finding.rows]
    assert finding.second_label == "given by cars/brindle (car)"


@pytest.mark.parametrize(
    ("now", "then", "told"),
    [
        ("8205 rpm", "8200\u00a0rpm", "8205\u00a0rpm"),
        ("8200.2 rpm", "8200.0\u00a0rpm", "8200.2\u00a0rpm"),  # as many digits as tell them apart
        ("8200.0 rpm", "", ""),
        ("8200 ± 3 rpm", "", ""),  # how sure a value is does not move it
    ],
)
def test_a_figure_of_a_sheet_moves_with_it(tmp_path: Path, now: str, then: str, told: str) -> None:
    book = site(tmp_path, PAGE, SHEET)
    entries = proof_book(book).entries
    record = record_of(book, entries)
    assert list(record.values) == [("", "cars/brindle", "@1", "rev_limit", "")]
    assert record.blocks == {}
    assert moved(book, entries, record) == []
    (tmp_path / "content" / NAME).write_text(record_text(record), "utf-8")
    book = site(
        tmp_path,
        PAGE.replace("8200 rpm", now.split(" ±")[0].removesuffix(" rpm") + " rpm"),
        SHEET.replace("8200 rpm", now),
    )
    assert len(moved(book, proof_book(book).entries, record)) == bool(told)
    findings = of_figures(book)
    assert [(one.code.name, one.severity) for one in findings] == (
        [("moved-by-input", Severity.NOTE)] if told else []
    )
    for one in findings:
        assert one.found == f"{told} (cars/brindle.rev_limit); the car's sheet was changed"
        assert one.expected == f"{then}, as recorded"
        assert (one.position.line, one.position.column) == (1, 14)
        assert one.length == len(now)


def test_what_a_case_is_called() -> None:
    assert [called(case) for case in ("", "@1", "@12", "freed", "a-b")] == ["", "", "", "freed", "a-b"]


def test_states_without_names_are_not_offered_for_a_comparison(tmp_path: Path) -> None:
    page = '[3 %](calc:cars/brindle.rev_limit "vs nought")\n'
    (finding,) = [
        one for one in proof_book(site(tmp_path, page, SHEET)).errors if one.code.name == "option-unreadable"
    ]
    assert finding.expected == "another case of the block: it has none"
