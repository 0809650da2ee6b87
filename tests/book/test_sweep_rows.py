"""Rows of a sweep by their address, `calc:block.quantity.key@value`: which row is meant, and what is said
where there is none. The speeds are v = n U / i with U = 1.8 m, by hand: at 6000 rpm and 4.00 it is 162 km/h.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Refused
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from tests.samples import calc, open_site

SWEPT = calc(
    """
    id: gears
    kind: gearing
    sweep: final_drive from 3.50 to 4.50 by 0.25
    of: [speed_at_limit.1, speed_at_limit.2]
    inputs:
      gears: [2.0, 1.0]
      rolling_circumference: 1.8 m
      rev_limit: 6000 rpm
      final_drive: 4.00
    cases:
      short: {gears: [2.5, 1.0]}
      long: {}
    """
)
PLAIN = calc(
    """
    id: plain
    kind: gearing
    inputs: {gears: [2.0, 1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4.00}
    """
)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return open_site(tmp_path_factory.mktemp("sweep"), {"a.md": f"{SWEPT}\n{PLAIN}"})


# 6000/60 · 1.8 / (i_gear · i_final) m/s, times 3.6
ROWS = [
    ("gears.long.speed_at_limit.2@4.00", 162.0),
    ("gears.long.speed_at_limit.2@4", 162.0),
    ("gears.long.speed_at_limit.2@3.5", 648 / 3.5),
    ("gears.long.speed_at_limit.2@4.5", 144.0),
    ("gears.long.speed_at_limit.1@4.00", 81.0),
    ("gears.short.speed_at_limit.1@4.00", 64.8),
    ("gears.long.speed_at_limit.2@3.75", 172.8),
]


@pytest.mark.parametrize(("address", "expected"), ROWS)
def test_a_row_is_computed_as_a_block_with_that_input_is(book: Book, address: str, expected: float) -> None:
    target = book.target("a", read_address(f"calc:{address}"))
    assert target.number.si * 3.6 == pytest.approx(expected, rel=1e-9)
    assert target.at == address.partition("@")[2]
    assert target.words == address
    assert target.name[-1] == f"{target.key}@{target.at}"


@pytest.mark.parametrize(
    ("address", "found", "expected"),
    [
        ("plain.speed_at_limit.2@4.00", "“@4.00”, a row of a sweep", "a block with a sweep, unlike plain"),
        (
            "gears.long.speed_at_limit.2@4.10",
            "“@4.10”",
            "a row of the sweep over final drive: 3.5 to 4.5",
        ),
        (
            "gears.long.speed_at_limit.2@5.00",
            "“@5.00”",
            "a row of the sweep over final drive: 3.5 to 4.5",
        ),
        (
            "gears.long.speed_at_limit.2@4mm",
            "“@4mm”",
            "a row of the sweep over final drive: 3.5 to 4.5",
        ),
        (
            "gears.long.speed_at_limit.2@four",
            "“@four”",
            "a row of the sweep over final drive: 3.5 to 4.5",
        ),
        (
            "gears.long.rolling_radius@4.00",
            "“rolling_radius”, which the sweep does not list",
            "one of speed_at_limit.1, speed_at_limit.2",
        ),
    ],
)
def test_what_the_sweep_does_not_have(book: Book, address: str, found: str, expected: str) -> None:
    with pytest.raises(Refused) as refused:
        book.target("a", read_address(f"calc:{address}"))
    assert (refused.value.found, refused.value.expected) == (found, expected)
    assert refused.value.code.name == "unknown-address"


def test_a_value_is_met_however_its_unit_is_written(tmp_path: Path) -> None:
    """A row's value and the address' may differ by the arithmetic of units, and by no more."""
    block = calc(
        """
        id: swept
        kind: gearing
        sweep: rev_limit from 6000 rpm to 7000 rpm by 500 rpm
        of: [speed_at_limit.1]
        inputs: {gears: [1.0], rolling_circumference: 1.8 m, rev_limit: 6000 rpm, final_drive: 4.00}
        """
    )
    book = open_site(tmp_path, {"a.md": block})
    for at in ("6500rpm", "6500 rpm", "6,500 rpm", "39000°/s"):  # a turn is 360°
        target = book.target("a", read_address(f"calc:swept.speed_at_limit.1@{at}"))
        assert target.number.si == pytest.approx(6500 / 60 * 1.8 / 4)
    with pytest.raises(Refused) as refused:
        book.target("a", read_address("calc:swept.speed_at_limit.1@6501rpm"))
    assert refused.value.expected == "a row of the sweep over rev limit: 6000 rpm to 7000 rpm"


def test_a_change_between_cases_is_taken_at_the_same_row(tmp_path: Path) -> None:
    """First gear 2.5 against 2.0: a fifth less, at each final drive."""
    prose = 'It is [20 %](calc:gears.short.speed_at_limit.1@4.25 "vs long") less.'
    report = proof_book(open_site(tmp_path, {"a.md": f"{prose}\n\n{SWEPT}"}), ["a"])
    assert report.errors == ()
    (entry,) = report.entries
    assert entry.judged is not None
    assert [target.at for target in entry.judged.targets] == ["4.25", "4.25"]
