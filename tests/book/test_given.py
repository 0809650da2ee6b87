"""Where each input of a block came from, as its table tells; and what a saved page leaves as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.kinds.results import GivenInput
from buildlog.proof.proof import proof_book
from tests.samples import calc, open_site

CAR = """\
name: Wren
about: invented
state: standard
inputs: {gears: [3.3, 2.0], final_drive: 4.10, rev_limit: 8000 rpm}
changes:
  - {state: short, since: the final drive, inputs: {final_drive: 41/9}}
"""
BLOCK = """\
id: a
kind: gearing
car: wren
inputs:
  rolling_circumference: calc:b.rolling_circumference
  cruise_speed: 90   km/h
"""
OTHER = calc(
    "id: b\nkind: gearing\ncar: wren\nstate: standard\ninputs: {rolling_circumference: 1.8 m, gears: [3.0]}"
)


def given(folder: Path, block: str, case: str = "", **files: str) -> dict[str, GivenInput]:
    book = open_site(folder, {"p.md": calc(block) + OTHER, "cars/wren.yml": CAR, **files})
    result = book.result("p", "a")
    assert result is not None
    assert result.faults == ()
    return dict(result.cases[case].given)


def test_each_input_says_where_it_came_from(tmp_path: Path) -> None:
    told = {name: (one.origin, one.written, one.reference) for name, one in given(tmp_path, BLOCK).items()}
    assert told["cruise_speed"] == ("block", "90 km/h", "")
    assert told["rolling_circumference"] == (
        "calc",
        "calc:b.rolling_circumference",
        "calc:b.rolling_circumference",
    )
    assert told["final_drive"] == ("car", "41/9", "wren")  # the last state goes without its name
    assert told["gears"] == ("car", "[3.3, 2.0]", "wren")
    defaults = [one for one in told.values() if one[0] == "default"]
    assert all(written for _, written, _ in defaults)


def test_a_case_has_inputs_of_its_own_and_a_state(tmp_path: Path) -> None:
    block = BLOCK + "cases:\n  old: {state: standard}\n  tall: {final_drive: 3.9}\n"
    old = given(tmp_path, block, "old")["final_drive"]
    assert (old.origin, old.written, old.reference) == ("car", "4.10", "wren, standard")
    tall = given(tmp_path, block, "tall")["final_drive"]
    assert (tall.origin, tall.written, tall.reference) == ("case", "3.9", "")
    assert tall.position is not None
    assert tall.position.line == 10  # of the fence on line 1


def test_what_was_sought_says_for_what(tmp_path: Path) -> None:
    """n = 60 v i_g i_f / U is 3500 rpm at i_f = 3500/60 · 1.8 / (25 · 2.0) = 2.1 (kinematics, by hand)."""
    block = BLOCK.replace("car: wren\n", "car: wren\nfind: final_drive\nso_that: {rpm_at.2: 3500 rpm}\n")
    block = block.replace("inputs:", "between: [2.0, 5.0]\ninputs:")
    found = given(tmp_path, block)["final_drive"]
    assert (found.origin, found.written, found.reference) == ("found", "", "rpm_at.2 = 3500 rpm")
    assert found.value == pytest.approx(2.1, rel=1e-9)


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        ("rolling_circumference", "no tyre or rolling_circumference"),
        ("cruise_speed", ""),  # nobody needs it
    ],
)
def test_what_is_left_out_is_missed_where_it_is_needed(tmp_path: Path, left_out: str, said: str) -> None:
    block = "".join(line for line in BLOCK.splitlines(keepends=True) if left_out not in line)
    book = open_site(tmp_path, {"p.md": calc(block) + OTHER, "cars/wren.yml": CAR})
    result = book.result("p", "a")
    assert result is not None
    assert bool(result.faults) == bool(said)


# --- a page that is saved -------------------------------------------------------------------

FIGURE = "[{value}](calc:a.overall_ratio.1)\n\n"


def pages(final_drive: str, value: str) -> str:
    inputs = f"{{rolling_circumference: 1.8 m, final_drive: {final_drive}}}"
    return FIGURE.format(value=value) + calc(f"id: a\nkind: gearing\ncar: wren\ninputs: {inputs}")


def codes(book: Book) -> list[str]:
    return [one.code.name for one in proof_book(book).errors]


def test_a_page_that_is_saved_is_computed_where_its_blocks_changed(tmp_path: Path) -> None:
    """3.3 · 4.0 = 13.2 and 3.3 · 4.5 = 14.85."""
    files: dict[str, str | bytes] = {"p.md": pages("4.0", "13.20"), "q.md": OTHER, "cars/wren.yml": CAR}
    book = open_site(tmp_path, files)
    assert codes(book) == []
    # Other words and figures: nothing is computed again, and the results are the very same.
    worded = book.with_page("p", "More words.\n\n" + pages("4.0", "13.20"))
    assert codes(worded) == []
    stale = book.with_page("p", pages("4.0", "14.85"))
    assert codes(stale) == ["figure-disagrees"]
    assert stale.result("p", "a") is book.result("p", "a")
    # Another block: it is computed, and those that have nothing to do with it are taken over.
    changed = book.with_page("p", pages("4.5", "14.85"))
    assert codes(changed) == []
    assert changed.result("q", "b") is book.result("q", "b")
    assert codes(book.with_page("p", pages("4.5", "13.20"))) == ["figure-disagrees"]
    # And a page that was not there before.
    new = book.with_page("r", "[13.20](calc:p#a.overall_ratio.1)\n")
    assert codes(new) == []
    assert new.pages.keys() == {"p", "q", "r"}


def test_what_a_block_rests_on_takes_it_along(tmp_path: Path) -> None:
    """A block whose value comes from a changed one is computed anew, on whatever page: 3.0 · 1.8/1.9."""
    resting = (
        "id: a\nkind: gearing\ncar: wren\ninputs: {rolling_circumference: calc:q#b.rolling_circumference}"
    )
    files: dict[str, str | bytes] = {"p.md": calc(resting), "q.md": OTHER, "cars/wren.yml": CAR}
    book = open_site(tmp_path, files)
    changed = book.with_page("q", OTHER.replace("1.8 m", "1.9 m"))
    (before, after) = (one.result("p", "a") for one in (book, changed))
    assert before is not None
    assert after is not None
    speeds = [one.value("", "speed_at_limit", "1") for one in (before, after)]
    ratio = speeds[1].si / speeds[0].si  # type: ignore[union-attr]
    assert ratio == pytest.approx(1.9 / 1.8)
