"""What a calculator refuses in a row is told at that row and its column, in its author's words."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

BILL = """
id: a
kind: parts
inputs:
  currency: USD
  parts:
    - {name: bolt, mass: 1 oz}
    - {name: old box, mass: 2 lb, action: removed, price: $4}
"""
RINGS = """
id: a
kind: flywheel
inputs:
  rev_limit: 8000 rpm
  rings:
    - {name: disc, outer_diameter: 10 in, width: 1/2 in, density: 7850 kg/m³}
    - {name: rim, outer_diameter: 9 in, inner_diameter: 9.5 in, width: 1/2 in, density: 7850 kg/m³}
"""
DUCT = """
id: a
kind: duct
inputs:
  air_temperature: 20 °C
  altitude: 0 m
  volume_flow: 0.05 m³/s
  segments:
    - {name: mouth, kind: inlet, diameter: 4 in, edge: sharp}
    - {name: hose, kind: hose, diameter: 3 in, length: 20 in, roughness: 0.1 mm}
"""
LINE = """
id: a
kind: exhaust
inputs:
  power: 120 kW
  specific_fuel_consumption: 300 g/(kW·h)
  air_fuel_ratio: 12.8
  ambient_pressure: 955 hPa
  gas_temperature: 720 °C
  roughness: 0.05 mm
  material: mild-steel
  wall_thickness: 1.5 mm
  segments:
    - {name: front, kind: tube, outer_diameter: 2 in, length: 30 in}
    - {name: front, kind: tube, outer_diameter: 2 in, length: 30 in}
"""


def place_of(words: str, text: str) -> str:
    """Where words stand last in a page, in figures of its own."""
    start = text.rindex(words)
    return f"content/a.md:{text.count(chr(10), 0, start) + 1}:{start - text.rfind(chr(10), 0, start)}"


@pytest.mark.parametrize(
    ("block", "at", "found"),
    [
        (BILL, "$4", "a price for “old box”, which is removed"),
        (RINGS, "9.5 in", "ring rim: 9.5 in inside, 9 in outside"),
        (DUCT, "3 in", "segment hose (hose) of 3 in after a bore of 4 in"),
        (DUCT.replace("kind: hose", "kind: exit"), "20 in", "segment hose (exit) with length"),
        (LINE, "front", "two segments named front"),
    ],
)
def test_a_refusal_of_a_row_stands_at_it(tmp_path: Path, block: str, at: str, found: str) -> None:
    text = calc(block)
    (error,) = proof_book(open_site(tmp_path, {"a.md": text})).errors
    assert (error.code.name, error.found) == ("inputs-conflict", found)
    assert str(error.position) == place_of(at, text)


def test_rows_of_a_data_file_are_told_with_both_places(tmp_path: Path) -> None:
    bill = "name,mass [kg],action,price [USD]\nbolt,0.1,fitted,4\nold box,1.2,removed,3\n"
    block = "id: a\nkind: parts\ninputs:\n  currency: USD\n  parts: {data: bill.csv}\n"
    book = open_site(tmp_path, {"a.md": calc(block), "bill.csv": bill})
    (error,) = proof_book(book).errors
    assert (error.code.name, str(error.position)) == ("inputs-conflict", "content/bill.csv:3:21")
    assert str(error.second) == "content/a.md:6:10"


def test_a_fault_of_the_second_row_that_the_reader_finds_is_at_it(tmp_path: Path) -> None:
    wrong = BILL.replace("mass: 2 lb, action: removed, price: $4", "mass: 2000 lb")
    (error,) = proof_book(open_site(tmp_path, {"a.md": calc(wrong)})).errors
    assert str(error.position) == place_of("2000 lb", calc(wrong))
    assert error.found == "2000 lb, which is 907.185 kg"  # 1 lb is 0.45359237 kg (NIST SP 811)


def test_an_input_that_a_calculator_refuses_comes_back_as_it_is_written(tmp_path: Path) -> None:
    """1 in is 25.4 mm (NIST SP 811)."""
    block = """
    id: a
    kind: flywheel
    inputs:
      rev_limit: 8000 rpm
      outer_diameter: 9 in
      rings:
        - {outer_diameter: 10 in, width: 1/2 in, density: 7850 kg/m³}
    """
    (error,) = proof_book(open_site(tmp_path, {"a.md": calc(block)})).errors
    assert (error.found, str(error.position)) == ("9 in, which is 228.6 mm", "content/a.md:6:19")
