"""What is packed for a reader's browser: nothing is missing, and it computes what the proof computes."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from math import isclose
from pathlib import Path
from typing import Any

import pytest

from buildlog.book.book import Book
from buildlog.browser import packing
from buildlog.browser.description import describe
from buildlog.kinds import catalogue
from buildlog.kinds.quantities import shown
from buildlog.kinds.results import BlockResult, Value
from tests.house import ROOT

KINDS = tuple(name for name in catalogue.kind_names() if packing.runs_in_browser(name))
TOLERANCE = 1e-12


@cache
def demonstration() -> Book:
    return Book.open(root=ROOT)


def blocks() -> list[tuple[BlockResult, dict[str, Any]]]:
    """Every block of the demonstration that a browser can compute, with its description."""
    book = demonstration()
    described = ((one, describe(book, one)) for one in book.results.values() if one.kind in KINDS)
    return [(block, description) for block, description in described if description is not None]


def answers(asked: list[tuple[Any, Any]]) -> list[Any]:
    """What the packed code answers, run by this Python without the rest of buildlog."""
    program = Path(__file__).with_name("packed_python.py")
    given = json.dumps({"sources": packing.modules_of(KINDS), "asked": asked})
    ran = subprocess.run(
        [sys.executable, "-S", "-P", str(program)],
        input=given,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-3000:]
    answered: list[Any] = json.loads(ran.stdout)
    return answered


def differences(block: BlockResult, answer: dict[str, Any]) -> list[str]:
    """In what an answer differs from a block as it was computed."""
    found = [f"{block.address}: {fault['text']}" for fault in answer["faults"]]
    if found:
        return found
    rows = [f"{output.name}.{key}" if key else output.name for output, key in block.rows()]
    if rows != list(answer["rows"]):
        found.append(f"{block.address}: rows {list(answer['rows'])}, expected {rows}")
        return found
    for output, key in block.rows():
        name = f"{output.name}.{key}" if key else output.name
        for case in block.cases:
            cell = answer["rows"][name]["cases"].get(case)
            found += _differences(f"{block.address} {case} {name}", block.value(case, output.name, key), cell)
    remarks = [remark for case in block.cases.values() for remark in case.remarks]
    if not any(case.simulation for case in block.cases.values()):
        ours = [remark for remark, _ in answer["remarks"]]
        if ours != list(dict.fromkeys(remarks)):
            found.append(f"{block.address}: remarks {ours}, expected {remarks}")
    if len(answer["charts"]) != len(block.charts):
        found.append(f"{block.address}: {len(answer['charts'])} charts, expected {len(block.charts)}")
    return found


def _differences(place: str, value: Value | str | None, cell: dict[str, Any] | None) -> list[str]:
    if value is None or isinstance(value, str):
        expected = None if value is None else {"words": value}
        return [] if cell == expected else [f"{place}: {cell}, expected {expected}"]
    if cell is None:
        return [f"{place}: nothing, expected {value.si}"]
    written = shown(value)
    found = []
    if not isclose(cell["si"], value.si, rel_tol=TOLERANCE):
        found.append(f"{place}: {cell['si']!r}, expected {value.si!r}")
    if cell["unit"] != written.unit:
        found.append(f"{place}: the unit {cell['unit']}, expected {written.unit}")
    if not cell["bent"]:  # what was drawn is to first order here
        own = (cell["number"], cell["margin"])
        if own != (written.number, written.margin):
            found.append(f"{place}: {own}, expected {(written.number, written.margin)}")
        if not isclose(cell["expanded"], value.expanded_uncertainty, rel_tol=1e-9, abs_tol=1e-300):
            found.append(f"{place}: U {cell['expanded']!r}, expected {value.expanded_uncertainty!r}")
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_imports_nothing_that_is_not_sent(kind: str) -> None:
    sources = packing.modules_of((kind,))
    there = sources.keys() | packing.standard_modules()
    for name, source in sources.items():
        compile(source, name, "exec")
        missing = set(packing.imported_by(name, source)) - there
        ours = {module for module in missing if module.split(".")[0] == "buildlog"}
        assert not {module for module in ours if packing.is_module(module)}, name
        assert not {module for module in missing - ours if module in packing.NOT_THERE}, name


def test_the_packed_code_gives_what_the_proof_gives() -> None:
    known = blocks()
    assert {block.kind for block, _ in known} == set(KINDS) - {"timed_run", "measured"} or known
    answered = answers([(description, {}) for _, description in known])
    assert [
        line
        for (block, _), answer in zip(known, answered, strict=True)
        for line in differences(block, answer)
    ] == []
