"""What the rows of a table reach, worked out by hand from the rows themselves."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

CURVE = """
id: a
kind: gearing
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  rolling_circumference: 1.800 m
  rev_limit: 8200 rpm
  final_drive: 4.0
"""


def codes(folder: Path, *figures: str, block: str = CURVE) -> list[list[str]]:
    """The codes of findings on each figure."""
    text = "\n\n".join([*figures, calc(block)])
    book: Book = open_site(folder, {"a.md": text})
    assert proof_book(book).findings is not None
    return [
        [one.code.name for one in proof_book(book).findings if one.position.line == 1 + 2 * number]
        for number in range(len(figures))
    ]


@pytest.mark.parametrize(
    "figure",
    [
        "[1.0](calc:a.gears.least)",
        "[3.3](calc:a.gears.greatest)",
        "[1.76](calc:a.gears.mean)",  # (3.3 + 2.0 + 1.4 + 1.1 + 1.0)/5 = 8.8/5
    ],
)
def test_a_list_has_its_least_its_greatest_and_its_mean(tmp_path: Path, figure: str) -> None:
    wrong = figure.replace("[", "[9", 1)
    assert codes(tmp_path, figure, wrong) == [[], ["figure-disagrees"]]


@pytest.mark.parametrize("name", ["least_1", "greatest_gear", "middle", "mean_", "greatest_power"])
def test_what_a_list_has_not(tmp_path: Path, name: str) -> None:
    assert codes(tmp_path, f"[1.0](calc:a.gears.{name})") == [["unknown-address"]]
