"""What is uncertain, as a reader is told of it: the input, the row by its name or number and its column; and
how far each is off, as it was written.
"""

from __future__ import annotations

from pathlib import Path

from buildlog.kinds.results import CaseResult
from tests.samples import calc, open_site

PARTS = """
id: a
kind: parts
inputs:
  currency: EUR
  parts:
    - {name: duct, mass: 0.84 ± 0.01 kg}
    - {name: hose, length: 0.9 m, mass_per_metre: 0.62   ± 0.02 kg/m}
    - {name: clamp, mass: 35 g}
"""
GEARS = """
id: b
kind: gearing
inputs:
  gears: [3.300 ± 0.003, 2.0, 1.4 ± 0.002]
  final_drive: 4.0
  rev_limit: 8000 rpm
  rolling_circumference: calc:tyre.rolling_circumference
"""
TYRE = """
id: tyre
kind: gearing
inputs: {gears: [1.0], final_drive: 4, rev_limit: 6000 rpm, rolling_circumference: 1.800 ± 0.009 m}
"""


def told(folder: Path, block: str) -> list[tuple[str, str]]:
    book = open_site(folder, {"p.md": calc(TYRE) + calc(block)})
    result = book.results["p", block.split("id: ")[1][0]]
    assert result.faults == ()
    case: CaseResult = result.cases[""]
    pairs = [(str(words), str(case.stated[origin])) for origin, words in case.origins.items()]
    return sorted((words.replace("\u00a0", " "), text.replace("\u00a0", " ")) for words, text in pairs)


def test_a_row_goes_by_its_name_and_an_item_by_its_number(tmp_path: Path) -> None:
    assert told(tmp_path, PARTS) == [
        ("parts, duct, mass", "0.84 ± 0.01 kg"),
        ("parts, hose, mass per metre", "0.62 ± 0.02 kg/m"),
    ]


def test_what_comes_from_another_block_is_stated_by_its_whole_doubt(tmp_path: Path) -> None:
    """1.800 ± 0.009 m is written as it is stated; another block has it as a value, and its ± at k = 2."""
    found = told(tmp_path, GEARS)
    assert ("gears, 1", "3.300 ± 0.003") in found
    assert ("gears, 3", "1.4 ± 0.002") in found
    resting = [text for words, text in found if words == "rolling circumference"]
    assert resting
    assert all(text.startswith("± ") and text.endswith(" (k = 2)") for text in resting)
    assert not [words for words, _ in found if words.startswith("gears, 2")]
