"""In which order files are found, blocks stand on a page and cases in a block never changes a result."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.kinds.results import BlockResult, Value
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, calc, open_site

NOISE = 1e-12
"""Sums of squares in another order differ in the last digits of a float."""

CAR = """\
name: Test
state: old
inputs: {tyre: 195/50R15, rev_limit: 8200 rpm, gears: [3.3, 2.0, 1.4], rolling_circumference: 1.76 ± 0.01 m}
changes:
  - {state: new, since: now, inputs: {rev_limit: 7900 rpm}}
"""
BLOCKS = [
    calc(
        """
        id: first
        kind: gearing
        car: test
        cases: {old: {state: old, final_drive: 4.1}, new: {final_drive: 41/9}}
        """
    ),
    calc("id: second\nkind: gearing\ncar: test\ninputs: {final_drive: calc:third.overall_ratio.1}"),
    calc(
        "id: third\nkind: gearing\ncar: test\ninputs: {gears: [1.0], final_drive: calc:b#far.overall_ratio.1}"
    ),
    calc("id: fourth\nkind: gearing\ncar: test\ninputs: {final_drive: 4.3 ± 0.1}"),
    calc(
        """
        id: bill
        kind: parts
        inputs:
          currency: EUR
          parts: [{name: a, mass: 2.1 ± 0.1 kg}, {name: b, mass: 0.9 ± 0.2 kg, action: removed}]
        """
    ),
]
FAR = calc("id: far\nkind: gearing\ncar: test\ninputs: {gears: [1.0], final_drive: 4.1 ± 0.05}")
PROSE = (
    "\n\nIt ran to [150 km/h](calc:first.old.speed_at_limit.3), "
    '[10 %](calc:first.new.speed_at_limit.3 "vs old") less.\n'
)


def values_of(block: BlockResult) -> dict[tuple[str, str, str], object]:
    """Each number with its uncertainty, by case, output and key, and each word."""
    found: dict[tuple[str, str, str], object] = {}
    for name, case in block.cases.items():
        for output, value in case.values.items():
            for key, one in value.items() if isinstance(value, dict) else [("", value)]:
                found[name, output, key] = one
    return found


def all_of(book: Book) -> dict[tuple[str, str, str, str, str], object]:
    return {
        (page, block, *name): value
        for (page, block), result in book.results.items()
        for name, value in values_of(result).items()
    }


def assert_alike(one: Mapping[Any, object], other: Mapping[Any, object]) -> None:
    assert one.keys() == other.keys()
    for name, value in one.items():
        again = other[name]
        if not isinstance(value, Value):
            assert again == value
            continue
        assert isinstance(again, Value)
        assert (again.si, again.unit, again.decimals) == (value.si, value.unit, value.decimals), name
        assert math.isclose(again.standard_uncertainty, value.standard_uncertainty, rel_tol=NOISE), name
        for end, same in zip(again.ends, value.ends, strict=True):
            assert math.isclose(end, same, rel_tol=1e-9), name


def site(folder: Path, blocks: list[str], prose: str = PROSE) -> Book:
    files: dict[str, str | bytes] = {"a.md": prose + "\n".join(blocks), "b.md": FAR, "cars/test.yml": CAR}
    book = open_site(folder, files)
    assert not [fault for result in book.results.values() for fault in result.faults]
    return book


@pytest.mark.parametrize("seed", range(6))
def test_of_blocks(tmp_path: Path, seed: int) -> None:
    """Blocks that take values from blocks below them and on other pages, all of them uncertain."""
    first = site(tmp_path, BLOCKS)
    shuffled = list(BLOCKS)
    Random(seed).shuffle(shuffled)
    again = site(tmp_path, shuffled)
    assert_alike(all_of(first), all_of(again))
    assert len(all_of(first)) > 50
    verdicts = [[(one.label, one.agrees) for one in proof_book(book).entries] for book in (first, again)]
    assert verdicts[0] == verdicts[1] != []


@pytest.mark.parametrize("seed", range(4))
def test_of_cases(tmp_path: Path, seed: int) -> None:
    head, _, cases = GEARING.replace("100 km/h", "100 ± 2 km/h").partition("cases:\n")
    lines = cases.removesuffix("```\n").splitlines()
    more = [*lines, "  third: {tyre: 185/60R14, final_drive: 4.3 ± 0.1}", "  fourth: {final_drive: 4.0}"]
    shuffled = list(more)
    Random(seed).shuffle(shuffled)
    results = []
    for order in (more, shuffled):
        text = head + "cases:\n" + "".join(f"{line}\n" for line in order) + "```\n"
        (result,) = open_site(tmp_path, {"a.md": text}).results.values()
        assert not result.faults
        results.append(values_of(result))
    assert_alike(*results)


@pytest.mark.parametrize("seed", range(4))
def test_of_files(tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder lists its files in an order of its own."""
    files: dict[str, str | bytes] = {f"p{at}.md": block for at, block in enumerate(BLOCKS)}
    for at, block in enumerate(BLOCKS):
        files[f"p{at}.md"] = block.replace("calc:third", "calc:p2#third")
    files |= {"b.md": FAR, "cars/test.yml": CAR, "z.md": PROSE.replace("calc:", "calc:p0#") + "\n5 mm\n"}
    first = open_site(tmp_path, files)

    listed = os.scandir

    @contextmanager
    def shuffled(path: str = ".") -> Iterator[Iterator[os.DirEntry[str]]]:
        with listed(path) as entries:
            found = list(entries)
        Random(seed).shuffle(found)
        yield iter(found)

    monkeypatch.setattr(os, "scandir", shuffled)
    again = open_site(tmp_path, files)
    assert_alike(all_of(first), all_of(again))
    reports = [proof_book(book) for book in (first, again)]
    assert sorted(map(str, reports[0].findings)) == sorted(map(str, reports[1].findings)) != []
    assert {(one.label, one.address, one.agrees) for one in reports[0].entries} == {
        (one.label, one.address, one.agrees) for one in reports[1].entries
    }
