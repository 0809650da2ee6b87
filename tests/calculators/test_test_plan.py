"""A plan of runs: its numbers by scipy, its orders by a drift that is put through them, its sheet as read."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import numpy as np
import pytest
from scipy import stats

from buildlog.calculators import test_plan as planning
from buildlog.diagnostics import InputsConflict, MissingInput, NoSolution
from buildlog.kinds.declaration import Measure, Outputs, Working
from buildlog.proof.proof import proof_book
from buildlog.render.card import render_card
from buildlog.render.download import downloads
from tests.calculators.seen import seen
from tests.samples import calc, open_site


def seconds(value: float) -> Measure:
    return Measure(value, "time", "s", 2)


GIVEN: dict[str, Any] = {
    "conditions": ["short axle", "long axle"],
    "change": seconds(0.35),
    "scatter": seconds(0.22),
    "power": 0.8,
    "level": 0.05,
    "order": "alternating",
}


def run(**changed: Any) -> tuple[Outputs, Working]:
    working = Working()
    return planning.compute({**GIVEN, **changed}, working), working


def number(value: object) -> float:
    assert isinstance(value, float)
    return value


def test_the_runs_of_the_example() -> None:
    """By scipy's nct: with 0.35 / 0.22 = 1.59 scatters, 7 runs of each show it with 79.7 %, 8 with 84 %."""

    def by_scipy(runs: int) -> float:
        limit = stats.t.isf(0.025, 2 * runs - 2)
        return float(stats.nct.sf(limit, 2 * runs - 2, 0.35 / 0.22 * np.sqrt(runs / 2)))

    assert by_scipy(7) < 0.8 < by_scipy(8)
    outputs, _ = run()
    assert outputs["runs_needed"] == 8
    outputs, _ = run(runs=7)
    assert number(outputs["power_planned"]) == pytest.approx(by_scipy(7), abs=1e-5)
    assert by_scipy(7) == pytest.approx(0.78, abs=0.02)


def test_the_smallest_change_of_a_short_evening() -> None:
    """Three runs of each: that change, planned for anew, needs just three (scipy's nct in tests/physics)."""
    outputs, _ = run(runs=3)
    least = number(outputs["least_change"])
    assert isinstance(outputs["least_change"], Measure)
    assert (outputs["least_change"].dimension, outputs["least_change"].unit) == ("time", "s")
    again, _ = run(change=seconds(least * 1.0001))
    assert again["runs_needed"] == 3


@pytest.mark.parametrize("order", ["alternating", "there and back", "one change"])
@pytest.mark.parametrize("runs", [2, 4, 5, 6])
def test_a_drift_that_is_put_through_the_order_is_what_the_plan_says(order: str, runs: int) -> None:
    """Readings that do nothing but drift, averaged by numpy over the rows of the sheet."""
    given = {**GIVEN, "order": order, "runs": runs, "drift": seconds(0.03)}
    view = seen(planning.compute, given)
    (sheet,) = planning.sheets({"": view})
    named = np.array([row[1] for row in sheet.rows])
    drifting = 0.03 * np.arange(2 * runs)
    difference = drifting[named == "long axle"].mean() - drifting[named == "short axle"].mean()
    assert view.outputs["drift_in_difference"] == pytest.approx(difference, abs=1e-12)
    if order != "one change" and runs % 2 == 0:
        assert difference == pytest.approx(0, abs=1e-12)
    assert list(named).count("long axle") == runs
    assert view.outputs["changeovers"] == sum(named[1:] != named[:-1])


def test_a_drift_along_a_parabola_cancels_in_eight() -> None:
    """Averaged by numpy over the rows of the sheet."""
    view = seen(planning.compute, {**GIVEN, "runs": 4})
    (sheet,) = planning.sheets({"": view})
    named = np.array([row[1] for row in sheet.rows])
    bent = (np.arange(8) - 2.0) ** 2
    assert bent[named == "long axle"].mean() == bent[named == "short axle"].mean()


def test_an_order_that_wants_pairs_gets_them() -> None:
    odd = {"change": seconds(0.5)}
    assert run(**odd, order="one change")[0]["runs_needed"] == 5
    assert run(**odd, order="one change")[0]["runs_planned"] == 5
    assert run(**odd)[0]["runs_planned"] == 6
    outputs, working = run(**odd, runs=5)
    assert outputs["runs_planned"] == 5
    assert working.remarks == ["With 5 runs of each a steady drift does not cancel: it wants an even number."]


def test_without_a_number_of_runs_there_is_no_power() -> None:
    """Were the scatter larger, more would be driven."""
    outputs, working = run()
    assert not {"power_planned", "least_change", "expected_interval"} & set(outputs)
    assert not working.limits


def test_the_time_is_that_of_runs_and_changes() -> None:
    """By hand: 12 runs of 4 min, 2 changes of 90 min, 228 min."""
    outputs, _ = run(runs=6, order="there and back", time_for_run=240.0, time_for_changeover=5400.0)
    assert outputs["session_time"] == 228 * 60


@pytest.mark.parametrize(
    "changed, name, found",
    [
        ({"scatter": Measure(0.2, "mass", "kg", 1)}, "scatter", "mass, beside a change of time"),
        ({"drift": Measure(0.2, "mass", "kg", 1)}, "drift", "mass, beside a change of time"),
        ({"change": seconds(-0.35)}, "change", "-0.35"),
        ({"scatter": seconds(0)}, "scatter", "0"),
        ({"conditions": ["Old", "old"]}, "conditions", "“Old” twice"),
        ({"note_each": ["wind", "Note"]}, "note_each", "“Note”, which the sheet has already"),
    ],
)
def test_what_no_plan_can_be_made_of(changed: dict[str, Any], name: str, found: str) -> None:
    with pytest.raises(InputsConflict) as refused:
        run(**changed)
    assert (refused.value.name, refused.value.found) == (name, found)


def test_a_time_of_changes_alone_is_refused() -> None:
    with pytest.raises(MissingInput):
        run(time_for_changeover=60.0)


def test_a_change_that_is_lost_in_the_scatter_is_refused() -> None:
    with pytest.raises(NoSolution):
        run(change=seconds(0.001))


def test_kelvins_of_a_change_and_of_a_scatter_are_the_same() -> None:
    """A scatter that another block computed is a difference of temperatures; 4 K written down is none."""
    outputs, _ = run(
        change=Measure(4.0, "temperature", "K", 0), scatter=Measure(2.0, "temperature difference", "K", 1)
    )
    assert outputs["effect_size"] == 2


PLAN = """
id: plan
kind: test_plan
inputs:
  conditions: [old, new]
  change: 0.4 s
  scatter: 0.2 ± 0.05 s
  runs: 4
  note_once: [wind, fuel]
  note_each: [air temperature]
"""


def test_the_card_prints_the_sheet_and_has_it_as_a_file(tmp_path: Path) -> None:
    site = open_site(tmp_path, {"a.md": calc(PLAN)})
    assert not proof_book(site).errors
    block = site.result("a", "plan")
    assert block is not None
    html = render_card(block).html(lambda link: link.file)
    assert "<dt>wind</dt><dd></dd>" in html
    assert html.count('<th scope="row">8</th><td>new</td><td></td><td></td><td></td>') == 1
    file = next(file for file in downloads(block) if "sheet" in file.name)
    assert (file.name, file.label) == ("plan-sheet.csv", "Empty sheet as CSV")
    rows = list(csv.reader(io.StringIO(unquote(file.address.partition(",")[2]))))
    assert rows[0] == ["run", "condition", "reading [s]", "air temperature", "note"]
    assert [row[:2] for row in rows[1:5]] == [["1", "old"], ["2", "new"], ["3", "new"], ["4", "old"]]
    assert all(not any(row[2:]) for row in rows[1:])


def test_nobody_fills_in_a_thousand_rows() -> None:
    assert planning.sheets({"": seen(planning.compute, {**GIVEN, "runs": 400})}) == ()


def test_what_the_runs_will_miss_is_said(tmp_path: Path) -> None:
    text = calc(PLAN.replace("runs: 4", "runs: 2").replace("change: 0.4 s", "change: 0.1 s"))
    site = open_site(tmp_path, {"a.md": text})
    block = site.result("a", "plan")
    assert block is not None
    assert any("the change will be missed more often" in one for one in block.cases[""].remarks)
