"""The hashes of a block: they change with what an author decides about its results, and with nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.provenance import NOTHING, provenance, sheet_provenance
from buildlog.reading.record import Hashes
from tests.samples import calc, open_site

CAR = """\
name: Wren
about: invented
state: standard
inputs: {gears: [3.3, 2.0], final_drive: 4.10, rev_limit: 8000 rpm, wheelbase: 2.1 m}
changes:
  - {state: short, since: the final drive, inputs: {final_drive: 41/9}}
"""
BLOCK = """\
id: a
kind: gearing
title: Gears
car: wren
inputs:
  rolling_circumference: 1.8 m
  cruise_speed: 90 km/h
cases:
  old: {state: standard}
  new: {rev_limit: 8200 rpm}
"""
SOUGHT = """\
id: a
kind: gearing
find: final_drive
so_that: {rpm_at.2: 3500 rpm}
between: [2.0, 5.0]
inputs:
  gears: [3.3, 2.0]
  rev_limit: 8000 rpm
  rolling_circumference: 1.8 m ± 1 %
  cruise_speed: 90 km/h
"""


def hashes(folder: Path, block: str, car: str = CAR) -> Hashes:
    book = open_site(folder, {"p.md": calc(block), "cars/wren.yml": car})
    (read,) = book.pages["p"].blocks
    return provenance(book, read)


@pytest.mark.parametrize(
    ("block", "old", "new"),
    [
        (BLOCK, "90 km/h", "91 km/h"),
        (BLOCK, "90 km/h", "90.0 km/h"),  # as it is written
        (BLOCK, "  cruise_speed: 90 km/h\n", ""),
        (BLOCK, "rev_limit: 8200 rpm", "rev_limit: 8300 rpm"),
        (BLOCK, "rev_limit: 8200 rpm", "final_drive: 4.2"),
        (BLOCK, "{state: standard}", "{}"),
        (BLOCK, "new:", "newer:"),
        (SOUGHT, "3500 rpm", "3600 rpm"),
        (SOUGHT, "[2.0, 5.0]", "[2.0, 6.0]"),
        (SOUGHT, "[2.0, 5.0]", "[1.9, 5.0]"),
        (SOUGHT, "rpm_at.2", "rpm_at.1"),
        (SOUGHT, "± 1 %", "± 2 %"),
        (SOUGHT, "[3.3, 2.0]", "[2.0, 3.3]"),
        (SOUGHT, "gearing", "wheel_fit"),
    ],
)
def test_what_is_decided_counts(tmp_path: Path, block: str, old: str, new: str) -> None:
    before, after = (hashes(tmp_path, text) for text in (block, block.replace(old, new)))
    assert before.inputs != after.inputs


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("title: Gears", "title: Other words"),
        ("  rolling_circumference: 1.8 m\n  cruise_speed: 90 km/h\n",
         "  cruise_speed: 90 km/h\n  rolling_circumference: 1.8 m\n"),
        ("1.8 m\n", "1.8 m    # measured\n"),
        ("{state: standard}", "\n    state: standard"),
        ("id: a", "id: b"),
    ],
)  # fmt: skip
def test_what_is_only_shown_and_where_it_stands_do_not(tmp_path: Path, old: str, new: str) -> None:
    assert hashes(tmp_path, BLOCK.replace(old, new)) == hashes(tmp_path, BLOCK)


@pytest.mark.parametrize(
    ("old", "new", "changes"),
    [
        ("41/9", "4.2", True),
        ("4.10", "4.20", True),  # the case `old` is of that state
        ("2.1 m", "2.2 m", False),  # which this kind has no use for
        ("8000 rpm", "8100 rpm", True),
        ("name: Wren", "name: Robin", False),
    ],
)
def test_of_a_car_what_the_block_takes_counts(tmp_path: Path, old: str, new: str, changes: bool) -> None:
    before = hashes(tmp_path, BLOCK)
    after = hashes(tmp_path, BLOCK, CAR.replace(old, new))
    assert (before != after) == changes


def test_a_state_that_no_case_is_of_does_not_count(tmp_path: Path) -> None:
    block = BLOCK.replace("  old: {state: standard}\n", "")
    changed = CAR.replace("4.10", "4.20")
    assert hashes(tmp_path, block) == hashes(tmp_path, block, changed)
    standard = block.replace("car: wren", "car: wren\nstate: standard")
    assert hashes(tmp_path, standard) != hashes(tmp_path, standard, changed)
    # What the block or the case gives itself, the car does not.
    own = BLOCK.replace("inputs:\n", "inputs:\n  final_drive: 4.0\n")
    assert hashes(tmp_path, own) == hashes(tmp_path, own, changed)


def test_a_kind_that_nobody_knows_has_a_hash_of_its_inputs_alone(tmp_path: Path) -> None:
    unknown = hashes(tmp_path, BLOCK.replace("gearing", "gaering"))
    assert (unknown.calculator, unknown.data) == (NOTHING, NOTHING)
    assert unknown.inputs != hashes(tmp_path, BLOCK).inputs
    known = hashes(tmp_path, BLOCK)
    assert known.calculator != NOTHING
    assert known.data == NOTHING


@pytest.mark.parametrize("old", ["41/9", "4.10", "2.1 m", "short"])
def test_of_a_sheet_all_counts_that_it_says_of_the_car(tmp_path: Path, old: str) -> None:
    found = []
    for car in (CAR, CAR.replace(old, "other"), CAR.replace("invented", "other words")):
        book = open_site(tmp_path, {"p.md": calc(BLOCK), "cars/wren.yml": car})
        found.append(sheet_provenance(book, "wren"))
    assert found[0] != found[1]
    assert found[0] == found[2]
    assert found[0].calculator == found[0].data == NOTHING


def test_what_a_calculator_names_is_in_its_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another number in a constant, or another function behind a name, is another calculator."""
    from buildlog.book.provenance import calculator_hash
    from buildlog.calculators import gearing
    from buildlog.kinds.catalogue import load_kind
    from buildlog.physics import tyres

    kind = load_kind("gearing")

    def now() -> str:
        calculator_hash.cache_clear()
        return calculator_hash(kind)

    before = now()
    assert now() == before
    with monkeypatch.context() as changed:
        changed.setattr(gearing, "_LEAST_FACTOR", 2.7)
        assert now() != before
    with monkeypatch.context() as changed:
        changed.setattr(tyres, "rolling_radius", tyres.rolling_circumference)
        assert now() != before
    with monkeypatch.context() as changed:
        changed.setattr(gearing, "HAZARDS", ("driveline",))
        changed.setattr(gearing, "SOURCES", ())
        assert now() == before
    assert now() == before


def test_what_is_followed_and_how_it_is_noted() -> None:
    from buildlog.book.provenance import Followed
    from buildlog.calculators import gearing
    from buildlog.physics import drivetrain

    followed = Followed()
    followed.thing(gearing.compute, "gearing")
    assert followed.found["= buildlog.calculators.gearing._LEAST_FACTOR"] == "'2.8'"
    assert "buildlog.physics.drivetrain.road_speed" in followed.found
    assert not [name for name in followed.found if name.startswith(("math.", "buildlog.diagnostics"))]
    alone = Followed()
    alone.thing(drivetrain, "drivetrain")  # a module by itself is nothing that runs
    assert alone.found == {}
