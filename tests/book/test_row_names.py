"""Rows and listed values in addresses: by the words of their author, so that none is taken for another."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Refused
from buildlog.proof.amending import amendments
from buildlog.proof.proof import proof_book
from buildlog.reading.addresses import read_address
from tests.samples import calc, open_site

BILL = """
id: bill
kind: parts
inputs:
  currency: EUR
  parts:
    - {name: hose clamp, quantity: 4, mass: 35 g, price: 2.40 EUR}
    - {name: M8×40 bolt (long), mass: 20 g, price: 1.50 EUR}
"""
RUN = """
id: run
kind: acceleration
inputs:
  torque_curve:
    - {engine_speed: 1000 rpm, torque: 150 N·m}
    - {engine_speed: 8000 rpm, torque: 150 N·m}
  rev_limit: 8000 rpm
  gears: [2.8, 1.9, 1.4, 1.0]
  final_drive: 4.1
  rolling_circumference: 1.8 m
  driveline_efficiency: 90 %
  vehicle_mass: 700 kg
  drag_area: 0.6 m²
  rolling_coefficient: 0.013
  air_density: 1.2 kg/m³
  engine_inertia: 0.1 kg·m²
  wheel_inertia: 0.7 kg·m²
  start_speed: 20 mph
  shift_time: 0.3 s
  speed_from: [30 mph, 60 mph]
  speed_to: [60 mph, 140 km/h]
"""
RINGS = """
id: disc
kind: flywheel
inputs:
  rev_limit: 8000 rpm
  bore: 60 mm
  poisson_ratio: 0.3
  rings:
    - {outer_diameter: 270 mm, inner_diameter: 60 mm, width: 12 mm, density: 7850 kg/m³}
    - {name: rim, outer_diameter: 270 mm, inner_diameter: 210 mm, width: 11 mm, density: 7850 kg/m³}
"""


def site(folder: Path, *lines: str) -> Book:
    return open_site(folder, {"a.md": "# A\n\n" + "\n\n".join(lines)})


def errors(folder: Path, *lines: str) -> tuple[Diagnostic, ...]:
    return proof_book(site(folder, *lines)).errors


@pytest.mark.parametrize(
    "address",
    [
        "bill.line_cost.hose-clamp",
        "bill.line_cost.hose clamp",
        "bill.line_cost.hose\u00a0clamp",
    ],
)
def test_a_row_goes_by_its_name(tmp_path: Path, address: str) -> None:
    """4 × 2.40 = 9.60."""
    assert errors(tmp_path, f"It takes [9.60 EUR](calc:{address}).", calc(BILL)) == ()
    (error,) = errors(tmp_path, f"It takes [9.70 EUR](calc:{address}).", calc(BILL))
    assert error.code.name == "figure-disagrees"


def test_a_name_with_signs_goes_by_what_an_address_can_hold(tmp_path: Path) -> None:
    assert errors(tmp_path, "[20 g](calc:bill.line_mass.M8×40-bolt-long)", calc(BILL)) == ()


def test_a_value_of_a_block_goes_by_a_row_of_another(tmp_path: Path) -> None:
    other = BILL.replace("id: bill", "id: again").replace("35 g", "calc:bill.line_mass.hose-clamp")
    assert errors(tmp_path, "[560 g](calc:again.line_mass.hose-clamp)", calc(BILL), calc(other)) == ()


@pytest.mark.parametrize(
    ("block", "address", "now"),
    [
        (BILL, "bill.line_cost.1", "line_cost.hose-clamp"),
        (BILL, "bill.line_mass.2", "line_mass.M8×40-bolt-long"),
        (RUN, "run.time_between.1", "time_between.30-60-mph"),
        (RUN, "run.time_between.2", "time_between.60-mph-140-km/h"),
        (RINGS, "disc.ring_mass.2", "ring_mass.rim"),
    ],
)
def test_an_address_by_number_is_told_its_new_form(
    tmp_path: Path, block: str, address: str, now: str
) -> None:
    (error,) = errors(tmp_path, f"[1 s](calc:{address})", calc(block))
    assert (error.code.name, error.expected) == ("unknown-address", now)
    assert now in error.help
    again = f"[1 s](calc:{address.split('.')[0]}.{now})"
    assert [one.code.name for one in errors(tmp_path, again, calc(block))] != ["unknown-address"]


def test_a_row_without_a_name_is_nothing_to_rest_on(tmp_path: Path) -> None:
    (error,) = errors(tmp_path, "[5.1 kg](calc:disc.ring_mass.1)", calc(RINGS))
    assert error.code.name == "unknown-address"
    assert error.expected == "name: NAME in row 1 of rings, and ring_mass.NAME here"


def test_two_rows_of_one_name_are_refused_at_the_second(tmp_path: Path) -> None:
    (error,) = errors(tmp_path, calc(BILL.replace("M8×40 bolt (long)", "hose-clamp")))
    assert (error.code.name, error.found) == ("inputs-conflict", "two rows named “hose-clamp”")
    assert str(error.position) == "content/a.md:10:14"


@pytest.mark.parametrize(
    ("block", "figure", "old", "new"),
    [
        (
            BILL,
            "[9.60 EUR](calc:bill.line_cost.hose-clamp)",
            "  parts:\n",
            "  parts:\n    - {name: bearing, mass: 1 kg, price: 389 EUR}\n",
        ),
        (RUN, "[{}](calc:run.time_between.30-60-mph)", "[30 mph, ", "[20 mph, 30 mph, "),
    ],
)
def test_a_row_put_before_changes_no_figure(
    tmp_path: Path, block: str, figure: str, old: str, new: str
) -> None:
    result = site(tmp_path, calc(block)).result("a", "run")
    if result is not None:
        value = result.value("", "time_between", "30-60-mph")
        figure = figure.format(f"{getattr(value, 'si', 0):.2f} s")
    changed = block.replace(old, new).replace("speed_to: [60 mph, ", "speed_to: [40 mph, 60 mph, ")
    assert changed != block
    book = site(tmp_path, figure, calc(changed))
    assert proof_book(book).errors == ()
    assert amendments(book, book.pages) == ([], [])


def test_amend_leaves_a_figure_whose_key_is_no_row_any_more(tmp_path: Path) -> None:
    old = BILL.replace("hose clamp", "old clamp")
    book = site(
        tmp_path, "[9.60 EUR](calc:bill.line_cost.hose-clamp), [1 EUR](calc:bill.line_cost.1)", calc(old)
    )
    changes, left = amendments(book, book.pages)
    assert changes == []
    assert [figure.label for figure in left] == ["9.60 EUR", "1 EUR"]


def test_an_uncertain_asked_value_keeps_its_key_and_its_doubt(tmp_path: Path) -> None:
    block = RUN.replace("[30 mph, 60 mph]", "[30 ± 1 mph, 60 mph]")
    result = site(tmp_path, calc(block)).result("a", "run")
    assert result is not None
    value = result.value("", "time_between", "30-60-mph")
    assert getattr(value, "standard_uncertainty", 0) > 0


def test_a_goal_and_a_sweep_take_keys_as_their_author_wrote_them(tmp_path: Path) -> None:
    goal = RUN.replace("  vehicle_mass: 700 kg\n", "") + (
        "find: vehicle_mass\nso_that: {time_between.30-60 mph: 4.0 s}\nbetween: [400 kg, 1500 kg]\n"
    )
    sweep = RUN.replace("id: run", "id: swept") + (
        "sweep: vehicle_mass from 600 kg to 700 kg by 50 kg\nof: [time_between.60-mph-140-km/h]\n"
    )
    book = site(tmp_path, "[4.00 s](calc:run.time_between.30-60-mph)", calc(goal), calc(sweep))
    assert proof_book(book).errors == ()
    swept = book.result("a", "swept")
    assert swept is not None
    assert swept.sweep is not None
    (points,) = swept.sweep.values.values()
    times = [time for time in points if time is not None]
    assert len(times) == 3
    assert times == sorted(times), "a heavier car takes longer"


@pytest.mark.parametrize(
    ("block", "figure"),
    [
        (BILL, "[35 g](calc:bill.parts.hose-clamp.mass)"),
        (BILL, "[35 g](calc:bill.parts.hose clamp.mass)"),
        (RUN, "[1.4](calc:run.gears.3)"),
        (RUN, "[60 mph](calc:run.speed_from.60-mph)"),
    ],
)
def test_inputs_go_by_the_same_names(tmp_path: Path, block: str, figure: str) -> None:
    assert errors(tmp_path, figure, calc(block)) == ()


@pytest.mark.parametrize(
    ("block", "address"),
    [
        (BILL, "bill.parts.1.mass"),
        (RUN, "run.torque_curve.2.torque"),
        (RUN, "run.speed_from.2"),
        (RINGS, "disc.rings.1.width"),
    ],
)
def test_no_input_of_a_row_goes_by_a_number_that_the_trade_does_not_count(
    tmp_path: Path, block: str, address: str
) -> None:
    (error,) = errors(tmp_path, f"[1 m](calc:{address})", calc(block))
    assert error.code.name == "unknown-address"


def test_a_change_is_told_against_a_row_of_another_block(tmp_path: Path) -> None:
    """Eight clamps at 2.40 EUR are 9.60 EUR more than four."""
    more = BILL.replace("id: bill", "id: more").replace("quantity: 4", "quantity: 8")
    figure = '[9.60 EUR](calc:more.line_cost.hose-clamp "vs bill.line_cost.hose-clamp") more'
    assert errors(tmp_path, figure, calc(BILL), calc(more)) == ()


def test_an_input_that_is_to_be_found_is_not_missing_where_its_goal_cannot_be_read(tmp_path: Path) -> None:
    goal = RUN.replace("  vehicle_mass: 700 kg\n", "") + (
        "find: vehicle_mass\nso_that: {time_between.30-60-mph: 4,000 s}\nbetween: [400 kg, 1500 kg]\n"
    )
    assert [error.code.name for error in errors(tmp_path, calc(goal))] == ["goal-shape"]


def test_thousands_in_the_braces_of_a_case_are_told_how_to_be_written(tmp_path: Path) -> None:
    cases = RUN.replace("  rev_limit: 8000 rpm\n", "") + "cases: {old: {rev_limit: 8,000 rpm}}\n"
    (unknown,) = [error for error in errors(tmp_path, calc(cases)) if error.code.name == "unknown-input"]
    assert "write 8000 rpm, or quotes around “8,000 rpm”" in unknown.help


@pytest.mark.parametrize(
    "asked",
    [
        "find: vehicle_mass\nso_that: {time_between.1: 4.0 s}\nbetween: [400 kg, 1500 kg]\n",
        "sweep: vehicle_mass from 600 kg to 700 kg by 50 kg\nof: [time_between.1]\n",
    ],
)
def test_a_goal_or_a_sweep_of_a_key_that_is_not_there_is_refused(tmp_path: Path, asked: str) -> None:
    (error,) = errors(
        tmp_path,
        calc(RUN.replace("  vehicle_mass: 700 kg\n", "") + asked if "find" in asked else RUN + asked),
    )
    assert (error.code.name, error.found) == ("goal-shape", "“time_between.1”")
    assert "30-60-mph" in error.expected


@pytest.mark.parametrize(
    ("block", "address", "found", "expected"),
    [
        (BILL, "bill.line_mass.1", "“line_mass.1”", "line_mass.hose-clamp"),
        (BILL, "bill.line_mass.2", "“line_mass.2”", "line_mass.M8×40-bolt-long"),
        (BILL, "bill.line_mass.3", "line_mass.3", "line_mass and one of hose-clamp, M8×40-bolt-long"),
        (BILL, "bill.line_mass.0", "line_mass.0", "line_mass and one of hose-clamp, M8×40-bolt-long"),
        (
            RINGS,
            "disc.ring_mass.1",
            "“ring_mass.1”, a row without a name",
            "name: NAME in row 1 of rings, and ring_mass.NAME here",
        ),
        (RINGS, "disc.ring_mass.2", "“ring_mass.2”", "ring_mass.rim"),
        (RINGS, "disc.ring_mass.3", "ring_mass.3", "ring_mass and one of 1, rim"),
        (RUN, "run.time_between.1", "“time_between.1”", "time_between.30-60-mph"),
        (RUN, "run.time_between.2", "“time_between.2”", "time_between.60-mph-140-km/h"),
        (RUN, "run.time_between.3", "time_between.3", "time_between and one of 30-60-mph, 60-mph-140-km/h"),
    ],
)
def test_a_number_is_told_the_words_of_its_own_row(
    tmp_path: Path, block: str, address: str, found: str, expected: str
) -> None:
    """The first row is 1, and each number is told its own row's words and no other's."""
    book = site(tmp_path, calc(block))
    with pytest.raises(Refused) as refused:
        book.target("a", read_address(f"calc:{address}"))
    assert (refused.value.found, refused.value.expected) == (found, expected)
    if found.startswith("“") and "row" not in found:
        assert refused.value.help.endswith(f"not by numbers: write {expected}")
