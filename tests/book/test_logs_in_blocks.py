"""Logs in the blocks of a site: read once, noticed when they change, named in what has to be repeated."""

from __future__ import annotations

from hashlib import sha256
from math import cos
from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.book.provenance import provenance
from buildlog.kinds.results import Value, change_between
from buildlog.proof.proof import proof_book
from buildlog.report.working import working_text
from tests.samples import write_site

ROWS = [f"{row},{60 + 8 * cos(row / 3):.2f},{60 + 8 * cos((row - 1) / 3):.2f}" for row in range(60)]
CSV = "time,wheel,receiver\n" + "\n".join(ROWS) + "\n"
BLOCK = """
```yaml calc
id: {id}
kind: instrument_lag
inputs:
  log:
    data: {data}
    time: {{heading: time, unit: s}}
    columns:
      leader: {{heading: wheel, unit: km/h}}
      follower: {{heading: receiver, unit: km/h}}
  search: 5 s
```
"""
PAGE = "# A\n" + BLOCK.format(id="one", data="runs/a.csv") + BLOCK.format(id="two", data="runs/a.csv")


def opened(folder: Path, earlier: Book | None = None) -> Book:
    return Book.open(folder / "content", root=folder, earlier=earlier)


def lag(book: Book, block: str) -> Value:
    result = book.results["a", block]
    assert not result.faults, result.faults
    value = result.value("", "lag")
    assert isinstance(value, Value)
    return value


def test_a_log_is_read_once_for_blocks_that_read_it_alike(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE, "runs/a.csv": CSV})
    book = opened(tmp_path)
    assert len(book.logs_read) == 1
    logs = [book.results["a", block].cases[""].given["log"].value[0] for block in ("one", "two")]
    assert logs[0] is logs[1]
    # The receiver is a row late: 1 s.
    assert lag(book, "one").si == pytest.approx(1, abs=0.05)
    assert book.data_used == {"runs/a.csv": sha256(CSV.encode()).hexdigest()}
    assert book.data_names == {("a", "one"): {"runs/a.csv"}, ("a", "two"): {"runs/a.csv"}}


def findings_on(folder: Path, address: str) -> list[str]:
    """What is found on a figure that leads to the log of a block which is read from its first second on."""
    page = (
        PAGE.replace("time: {heading", "from: 1 s\n    time: {heading") + f"\nIt is [1 s](calc:{address}).\n"
    )
    write_site(folder, {"a.md": page, "runs/a.csv": CSV})
    errors = proof_book(opened(folder)).errors
    assert {one.position.line for one in errors} <= {len(page.splitlines())}
    return [one.code.name for one in errors]


def test_a_rule_of_a_log_has_an_address(tmp_path: Path) -> None:
    assert findings_on(tmp_path, "one.log.from") == []


@pytest.mark.parametrize("address", ["one.log", "one.log.greatest", "one.log.leader"])
def test_what_a_log_has_no_address_for_is_a_finding(tmp_path: Path, address: str) -> None:
    assert len(findings_on(tmp_path, address)) == 1


def test_a_log_that_changes_is_read_again(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE, "runs/a.csv": CSV})
    book = opened(tmp_path)
    again = opened(tmp_path, book)
    assert again.results["a", "one"] is book.results["a", "one"]
    block = next(block for block in book.pages["a"].blocks if block.id == "one")
    before = provenance(book, block)
    (tmp_path / "content/runs/a.csv").write_text(CSV.replace("59,", "59.5,"))
    changed = opened(tmp_path, book)
    assert changed.results["a", "one"] is not book.results["a", "one"]
    after = provenance(changed, block)
    assert (after.inputs, after.calculator) == (before.inputs, before.calculator)
    assert after.data != before.data
    assert len(opened(tmp_path, changed).logs_read) == 1  # that of the earlier file is not kept for ever


def test_every_file_of_a_list_is_named(tmp_path: Path) -> None:
    page = "# A\n" + BLOCK.format(id="one", data="[runs/a.csv, runs/b.csv]")
    write_site(tmp_path, {"a.md": page, "runs/a.csv": CSV, "runs/b.csv": CSV.replace("59,", "59.5,")})
    book = opened(tmp_path)
    (fault,) = book.results["a", "one"].faults or (None,)
    if fault is not None:  # a kind that takes one log at a time says so, and has read both
        assert "log" in fault.found or "file" in fault.found
    assert set(book.data_used) == {"runs/a.csv", "runs/b.csv"}


def test_a_log_has_no_value_with_a_name_and_working_says_how_it_was_read(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE + "\n[1 s](calc:one.log)\n", "runs/a.csv": CSV})
    book = opened(tmp_path)
    (fault,) = proof_book(book).errors
    assert (fault.found, fault.expected) == ("“log”, which has no value with a name", "a result of the block")
    text = working_text(book.results["a", "one"])
    assert "runs/a.csv: 60\u00a0rows of 60 used; 59 s with a row every 1 s" in text


def test_what_is_wrong_has_its_place_in_the_file_and_in_the_block(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE, "runs/a.csv": CSV.replace("\n7,", "\n7,x", 1)})
    book = opened(tmp_path)
    (fault,) = book.results["a", "one"].faults
    assert fault.code.name == "log-unclear"
    assert str(fault.position) == "content/runs/a.csv:9:3"
    assert fault.second is not None
    assert str(fault.second) == "content/a.md:8:11"


def test_the_scatter_of_two_blocks_is_two_errors_and_of_one_block_one(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": PAGE, "runs/a.csv": CSV.replace(",68.00,", ",67.00,")})
    book = opened(tmp_path)
    one, two = lag(book, "one"), lag(book, "two")
    assert one.standard_uncertainty > 0
    readings = [origin for origin in one.contributions if origin.startswith("a#one")]
    assert readings
    assert change_between(one, one).standard_uncertainty == 0
    assert change_between(one, two).standard_uncertainty > 0
