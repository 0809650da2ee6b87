"""The kind `decision`: margins, verdicts, options, and what stands in a page's text on them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.book.book import Book
from buildlog.calculators import decision
from buildlog.diagnostics import InputsConflict
from buildlog.kinds.declaration import Measure, Working
from buildlog.kinds.results import BlockResult, Value, carried_interval
from buildlog.physics.requirement import coverage_factor
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, calc, open_site


def metres(si: float) -> Measure:
    return Measure(si, "length", "m", 2)


def verdict(margin: float, uncertainty: float, limit: float = 1.0, **row: Any) -> str:
    """The verdict on a margin with its standard uncertainty."""
    values = {
        "margin": {"a": _value(margin, uncertainty)},
        "value": {"a": _value(limit + margin)},
        "limit": {"a": _value(limit)},
    }
    said = decision.conclude({"requires": [{"name": "a", **row}]}, values)
    assert said["overall"] == said["verdict"]["a"]  # type: ignore[index]
    return str(said["overall"])


def _value(si: float, uncertainty: float = 0.0) -> Value:
    return Value(
        si=si,
        dimension="length",
        unit="m",
        decimals=2,
        contributions={"x": uncertainty} if uncertainty else {},
    )


def result(folder: Path, text: str, name: str = "choice") -> BlockResult:
    return _book(folder, text).results["page", name]


def _book(folder: Path, text: str) -> Book:
    return open_site(folder, {"page.md": GEARING + calc(text)})


def test_a_lopsided_value_makes_a_lopsided_margin() -> None:
    """A value that is 0, and by its draws from 0 to 20, leaves of a limit of 12 from −8 to 12: derived. Twice
    its standard uncertainty of 5 would say that it holds."""
    value = replace(_value(0.0, 5.0), low=0.0, high=20.0)
    assert carried_interval(12.0, {"x": -5.0}, [value]) == pytest.approx((-8.0, 12.0))
    assert carried_interval(12.0, {"x": -5.0, "y": 1.0}, [value]) == (None, None)
    margin = replace(_value(12.0, -5.0), low=-8.0, high=12.0)
    values = {"margin": {"a": margin}, "value": {"a": value}, "limit": {"a": _value(12.0)}}
    assert decision.conclude({"requires": [{"name": "a"}]}, values)["overall"] == "too close to call"
    assert verdict(12.0, 5.0) == "holds"


# --- the rule ----------------------------------------------------------------------


def test_a_breakdown_voltage_below_its_upper_limit() -> None:
    """JCGM 106:2012, 7.3.3, example 1 (numbers from memory): −5.47 V, u = 0.05 V, at most −5.40 V; the
    probability of conformity is 0.92."""
    margin, u = -5.40 - -5.47, 0.05
    assert verdict(margin, u, sure=0.91) == "holds"
    assert verdict(margin, u, sure=0.93) == "too close to call"
    assert verdict(margin, u) == "too close to call"


def test_a_burst_strength_above_its_lower_limit() -> None:
    """JCGM 106:2012, 7.3.3, example 2 (numbers from memory): 509.7 kPa, u = 8.6 kPa, at least 490 kPa; the
    probability of conformity is 0.99."""
    margin, u = 509.7 - 490, 8.6
    assert verdict(margin, u) == "holds"
    assert verdict(margin, u, sure=0.985) == "holds"
    assert verdict(margin, u, sure=0.995) == "too close to call"


@pytest.mark.parametrize("probability,factor", [(0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_coverage_factors(probability: float, factor: float) -> None:
    """JCGM 106:2012, 7.3.3, table 1, and any table of the normal distribution (from memory)."""
    assert coverage_factor(probability) == pytest.approx(factor, abs=0.006)


def test_a_miss_within_its_uncertainty_is_too_close_and_beyond_it_fails() -> None:
    assert verdict(-0.019, 0.01) == "too close to call"
    assert verdict(-0.021, 0.01) == "fails"


def test_the_limit_itself_is_met_and_float_noise_is_no_miss() -> None:
    assert verdict(0.3 - (0.1 + 0.2), 0.0, limit=0.3) == "holds"
    assert verdict(-1e-9, 0.0, limit=0.3) == "fails"


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e5))
def test_a_verdict_turns_with_the_sign(margin: float, uncertainty: float) -> None:
    turned = {"holds": "fails", "fails": "holds", "too close to call": "too close to call"}
    if margin:
        assert verdict(-margin, uncertainty, limit=1e6) == turned[verdict(margin, uncertainty, limit=1e6)]


def test_one_failure_fails_all_and_one_doubt_leaves_all_open() -> None:
    from buildlog.kinds.verdicts import overall_verdict

    assert overall_verdict(["holds", "too close to call", "fails"]) == "fails"
    assert overall_verdict(["holds", "too close to call"]) == "too close to call"
    assert overall_verdict(["holds", "holds"]) == "holds"


# --- margins -----------------------------------------------------------------------


def test_margins_are_on_the_good_side_of_either_limit() -> None:
    rows = [
        {"name": "long", "value": metres(3.0), "at_least": metres(2.5)},
        {"name": "short enough", "value": metres(3.0), "at_most": metres(2.5)},
    ]
    outputs = decision.compute({"requires": rows}, Working())
    assert outputs["margin"] == {"long": 0.5, "short-enough": -0.5}


@pytest.mark.parametrize(
    "row,found",
    [
        ({}, "no limit"),
        ({"at_least": metres(1), "at_most": metres(2)}, "at_least and at_most"),
        ({"key": "overall", "at_least": metres(1)}, "a word of the decision's own"),
        ({"name": "?!", "at_least": metres(1)}, "without letters or digits"),
    ],
)
def test_rows_that_cannot_be_judged_are_refused(row: dict[str, Any], found: str) -> None:
    with pytest.raises(InputsConflict, match=found):
        decision.compute({"requires": [{"name": "a", "value": metres(1), **row}]}, Working())


def test_two_rows_of_one_name_are_refused() -> None:
    row = {"name": "a", "value": metres(1), "at_least": metres(1)}
    with pytest.raises(InputsConflict, match="two rows"):
        decision.compute({"requires": [row, row]}, Working())


def test_a_margin_of_temperatures_is_a_difference(tmp_path: Path) -> None:
    block = result(
        tmp_path,
        """
        id: choice
        kind: decision
        requires: [{name: oil, value: 118 ± 1 °C, at_most: 130 °C}]
        """,
    )
    margin = block.value("", "margin", "oil")
    assert isinstance(margin, Value)
    assert margin.dimension == "temperature difference"
    assert margin.si == pytest.approx(12)
    assert margin.expanded_uncertainty == pytest.approx(2)


def test_the_doubt_of_the_method_counts_and_cancels_where_both_sides_share_it(tmp_path: Path) -> None:
    """The height of one tyre is off in both cases alike (JCGM 100:2008, F.1.2): it is in the margin over a
    fixed limit, and not in the ratio of margins over the other case, which both scale with it."""
    fixed = """
    id: fixed
    kind: decision
    requires:
      - {name: quick, value: calc:shorter-final.before.speed_at_limit.3, at_least: 100 km/h}
      - {name: quicker, value: calc:shorter-final.before.speed_at_limit.3, at_least: calc:shorter-final.before.speed_at_limit.3}
    """  # noqa: E501
    book = _book(tmp_path, fixed)
    block, gearing = book.results["page", "fixed"], book.results["page", "shorter-final"]
    speed = gearing.value("before", "speed_at_limit", "3")
    alone, shared = (block.value("", "margin", key) for key in ("quick", "quicker"))
    assert isinstance(speed, Value)
    assert isinstance(alone, Value)
    assert isinstance(shared, Value)
    assert speed.expanded_of_method > 0
    assert alone.expanded_of_method == pytest.approx(speed.expanded_of_method)
    assert shared.expanded_uncertainty == pytest.approx(0.0, abs=1e-9 * speed.si)


# --- options and addresses ----------------------------------------------------------

CHOICE = """
    id: choice
    kind: decision
    requires:
      - {name: pulls out of the hairpin, key: hairpin, value: calc:shorter-final.rpm_at.3, at_least: 4000 rpm}
      - {name: no slower in third, value: calc:shorter-final.speed_at_limit.3, at_least: calc:shorter-final.before.speed_at_limit.3}
    options: {old: before, new: after}
    chosen: new
    """  # noqa: E501


def test_an_option_stands_for_a_case_and_a_limit_that_names_one_stays(tmp_path: Path) -> None:
    book = _book(tmp_path, CHOICE)
    block, gearing = book.results["page", "choice"], book.results["page", "shorter-final"]
    assert block.faults == ()
    for option, case in (("old", "before"), ("new", "after")):
        value = block.value(option, "value", "hairpin")
        assert isinstance(value, Value)
        assert value.si == gearing.value(case, "rpm_at", "3").si  # type: ignore[union-attr]
    assert block.value("old", "verdict", "no-slower-in-third") == "holds"
    assert block.value("new", "verdict", "no-slower-in-third") == "fails"
    assert block.value("new", "overall") == "fails"


def test_what_both_rest_on_cancels(tmp_path: Path) -> None:
    """Speeds are proportional to the rolling circumference: relatively, the margin is as uncertain."""
    sure = GEARING.replace("  tyre: 195/50R15", "  rolling_circumference: 1.80 ± 0.018 m")
    book = open_site(tmp_path, {"page.md": sure + calc(CHOICE)})
    margin = book.results["page", "choice"].value("new", "margin", "no-slower-in-third")
    assert isinstance(margin, Value)
    assert margin.standard_uncertainty == pytest.approx(0.01 * abs(margin.si), rel=1e-6)
    assert margin.standard_uncertainty > 0


def test_a_case_that_a_block_does_not_have_is_told_at_its_address(tmp_path: Path) -> None:
    block = result(tmp_path, CHOICE.replace("new: after", "new: afterwards"))
    (fault, *_) = block.faults
    assert fault.code.name == "unknown-address"
    assert "afterwards" in fault.found
    line = (tmp_path / "content/page.md").read_text().splitlines()[fault.position.line - 1]
    assert line[fault.position.column - 1 :].startswith("calc:shorter-final.rpm_at.3")
    assert "after" in fault.help


def test_a_limit_of_another_dimension_is_told_at_the_limit(tmp_path: Path) -> None:
    block = result(tmp_path, CHOICE.replace("4000 rpm", "40 N·m"))
    assert {fault.code.name for fault in block.faults} == {"wrong-dimension"}
    line = (tmp_path / "content/page.md").read_text().splitlines()[block.faults[0].position.line - 1]
    assert line[block.faults[0].position.column - 1 :].startswith("40 N·m")


def test_what_an_option_has_for_itself(tmp_path: Path) -> None:
    block = result(
        tmp_path,
        """
        id: choice
        kind: decision
        requires: [{name: light, value: {old: 1210 kg, new: 1195 kg}, at_most: 1200 kg}]
        options: [old, new]
        """,
    )
    assert [block.value(option, "overall") for option in ("old", "new")] == ["fails", "holds"]


@pytest.mark.parametrize(
    "change,found,expected",
    [
        (("chosen: new", "chosen: newer"), "“newer”", "one of the options: old, new"),
        (("options: [old, new]", ""), "a mapping", "a value with its unit"),
        (("options: [old, new]", "options: old"), "“old”", "options: {OPTION: CASE, …} or [OPTION, …]"),
        (("options: [old, new]", "options: [old, old]"), "“old” twice", "each option once"),
        (("options: [old, new]", "options: [old, n.w]"), "“n.w”", "a name of letters, digits, - and _"),
        (("new: 1195 kg", "newer: 1195 kg"), "“newer”", "an option: old, new"),
        (("new: 1195 kg", "newer: 1195 kg"), "no value for new", "one for each option"),
        (("chosen: new", "inputs: {}"), "“inputs”", "one of id, kind, title"),
    ],
)
def test_shapes_that_are_refused(tmp_path: Path, change: tuple[str, str], found: str, expected: str) -> None:
    text = """
        id: choice
        kind: decision
        requires: [{name: light, value: {old: 1210 kg, new: 1195 kg}, at_most: 1200 kg}]
        options: [old, new]
        chosen: new
        """
    faults = result(tmp_path, text.replace(*change)).faults
    assert any(found in fault.found and expected in fault.expected for fault in faults), faults


def test_other_blocks_have_no_options(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"page.md": GEARING.replace("cases:", "chosen: after\ncases:")})
    assert [fault.code.name for fault in book.results["page", "shorter-final"].faults] == ["unknown-key"]


def test_a_decision_on_itself_is_a_loop(tmp_path: Path) -> None:
    block = result(tmp_path, CHOICE.replace("at_least: 4000 rpm", "at_least: calc:choice.new.hairpin"))
    assert [fault.code.name for fault in block.faults] == ["block-loop"]


def test_figures_rest_on_requirements(tmp_path: Path) -> None:
    """With and without the option, by the short form and the long one."""
    book = _book(tmp_path, CHOICE)
    block = book.results["page", "choice"]
    shown = {}
    for option in ("old", "new"):
        margin = block.value(option, "margin", "hairpin")
        assert isinstance(margin, Value)
        shown[option] = f"{margin.si * 30 / 3.141592653589793:.0f} rpm".replace("-", "−")
    text = (tmp_path / "content/page.md").read_text()
    figures = (
        f"[{shown['new']}](calc:choice.hairpin) [{shown['new']}](calc:choice.new.hairpin) "
        f"[{shown['old']}](calc:choice.old.hairpin) [{shown['old']}](calc:choice.old.margin.hairpin)\n"
    )
    report = proof_book(open_site(tmp_path, {"page.md": text + figures}))
    assert [entry.agrees for entry in report.entries] == [True] * 4, report.findings


# --- the option that was chosen ---------------------------------------------------------


def findings(folder: Path, text: str) -> list[Any]:
    report = proof_book(_book(folder, text))
    return [finding for finding in report.findings if finding.code.name.startswith("chosen-option")]


def test_a_chosen_option_that_fails_is_an_error_at_its_name(tmp_path: Path) -> None:
    (finding,) = findings(tmp_path, CHOICE)
    assert finding.severity.word == "error"
    assert finding.found.startswith("new, where “no slower in third” fails: ")
    lines = (tmp_path / "content/page.md").read_text().splitlines()
    assert lines[finding.position.line - 1][finding.position.column - 1 :] == "new"
    assert "no slower in third" in lines[finding.second.line - 1]


def test_a_chosen_option_that_is_too_close_is_a_warning(tmp_path: Path) -> None:
    (finding,) = findings(
        tmp_path,
        """
        id: choice
        kind: decision
        requires: [{name: light, value: 1195 ± 4 kg, at_most: 1200 kg}]
        options: [new]
        chosen: new
        """,
    )
    assert finding.severity.word == "warning"
    assert "a margin of 5 ± 8 kg" in finding.found


def test_an_option_that_was_not_chosen_may_fail(tmp_path: Path) -> None:
    assert findings(tmp_path, CHOICE.replace("chosen: new", "chosen: old").replace("4000", "3000")) == []


def test_without_options_nothing_is_chosen(tmp_path: Path) -> None:
    text = """
        id: choice
        kind: decision
        requires: [{name: light, value: 1210 kg, at_most: 1200 kg}]
        """
    assert findings(tmp_path, text) == []
    assert result(tmp_path, text).value("", "verdict", "light") == "fails"
