"""The kind `measured`: means, intervals, changes and verdicts, against scipy and the Guide."""

from __future__ import annotations

from math import sqrt
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest
from scipy import stats

from buildlog.book.evaluation import Evaluation
from buildlog.diagnostics import Position
from buildlog.files.spreadsheet import csv_text
from buildlog.kinds import catalogue
from buildlog.kinds.keys import address_key
from buildlog.kinds.results import BlockResult, Value
from buildlog.reading.blocks import read_block
from buildlog.reading.nodes import whole_file
from buildlog.render.table import tables
from tests.samples import calc, open_site

HILL = """
before: [21.84 s, 21.97 s, 21.79 s, 21.91 s]
after: [21.42 s, 21.55 s, 21.38 s, 21.51 s]
"""


def block(folder: Path, inputs: str, data: str = "", cases: str = "") -> BlockResult:
    text = "id: x\nkind: measured\ninputs:\n" + "\n".join(f"  {line}" for line in inputs.splitlines())
    files: dict[str, str | bytes] = {"page.md": calc(text + "\n" + cases)}
    if data:
        files["runs.csv"] = data
    return open_site(folder, files).results["page", "x"]


def good(folder: Path, inputs: str, data: str = "", cases: str = "") -> BlockResult:
    result = block(folder, inputs, data, cases)
    assert not result.faults, [str(fault) for fault in result.faults]
    return result


def number(result: BlockResult, name: str, key: str = "", case: str = "") -> Value:
    value = result.value(case, name, key)
    assert isinstance(value, Value), f"{name} {key} is {value!r}"
    return value


# --- one thing ----------------------------------------------------------------------------------


def test_the_temperatures_of_the_guide(tmp_path: Path) -> None:
    # JCGM 100:2008, 4.4.3, table 1 (from memory, sure): 20 readings of a temperature, mean 100.145 °C,
    # s = 1.489 °C, s/√n = 0.333 °C. The interval: scipy.stats.t.interval of 95.45 %.
    # fmt: off
    readings = [96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
                100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72]
    # fmt: on
    listed = ", ".join(f"{one:.2f} °C" for one in readings)
    result = good(tmp_path, f"readings: [{listed}]")
    mean, deviation = number(result, "mean"), number(result, "deviation")
    assert mean.si - 273.15 == pytest.approx(100.145, abs=0.0051)
    assert deviation.si == pytest.approx(1.489, abs=0.0005)
    assert (deviation.dimension, deviation.unit) == ("temperature difference", "K")
    low, high = stats.t.interval(0.9545, 19, loc=np.mean(readings), scale=stats.sem(readings))
    assert 2 * mean.expanded_uncertainty == pytest.approx(high - low, rel=1e-9)


def test_resolution_and_correction_by_hand(tmp_path: Path) -> None:
    # JCGM 100:2008, F.2.2.1 and 4.3.7: s/√n·t/2, q/√12 and a/√3 in squares; t(2) = 4.5269 by scipy.
    result = good(
        tmp_path,
        "readings: [24.1 mm, 24.3 mm, 24.2 mm]\nresolution: 0.1 mm\ncorrection: -0.05 ± 0.20 mm limits",
    )
    mean = number(result, "mean")
    assert mean.si == pytest.approx(0.02415)
    scatter = 0.1 / sqrt(3) * float(stats.t.ppf(0.97725, 2)) / 2
    expected = 2e-3 * sqrt(scatter**2 + 0.1**2 / 12 + 0.2**2 / 3)
    assert mean.expanded_uncertainty == pytest.approx(expected, rel=1e-6)
    assert (number(result, "lowest").si, number(result, "highest").si) == pytest.approx((0.0241, 0.0243))


def test_the_correction_is_shared_and_does_not_shrink(tmp_path: Path) -> None:
    many = ", ".join(["9.9 kg", "10.1 kg"] * 50)
    mean = number(good(tmp_path, f"readings: [{many}]\ncorrection: 0.0 ± 0.3 kg"), "mean")
    assert mean.expanded_uncertainty == pytest.approx(0.6, rel=0.01)  # 2 × 0.3, by hand


def test_readings_that_are_all_the_same_are_as_sure_as_their_step(tmp_path: Path) -> None:
    mean = number(good(tmp_path, "readings: [7.6 kg, 7.6 kg, 7.6 kg]\nresolution: 0.1 kg"), "mean")
    assert mean.expanded_uncertainty == pytest.approx(2 * 0.1 / sqrt(12))  # JCGM 100:2008, F.2.2.1


def test_another_unit_among_them(tmp_path: Path) -> None:
    mean = number(good(tmp_path, "readings: [24.0 mm, 2.42 cm]"), "mean")
    assert mean.si == pytest.approx(0.0241)
    assert mean.unit == "mm"


def test_the_interval_covers_the_truth_as_often_as_it_says(tmp_path: Path) -> None:
    # 400 seeded samples of 4 with numpy: 95.45 % of the intervals have to hold 10 (binomial: ± 2.1 %).
    samples = np.random.default_rng(12).normal(10.0, 0.3, size=(400, 4))
    cases = "cases:\n" + "\n".join(
        f"  c{index}: {{readings: [{', '.join(f'{one:.6f} s' for one in sample)}]}}"
        for index, sample in enumerate(samples[:80])
    )
    result = open_site(tmp_path, {"page.md": calc("id: x\nkind: measured\n" + cases)}).results["page", "x"]
    assert not result.faults
    held = 0
    for index, sample in enumerate(samples[:80]):
        value = number(result, "mean", case=f"c{index}")
        assert value.si == pytest.approx(float(np.mean(sample)), abs=1e-6)
        held += abs(value.si - 10.0) <= value.expanded_uncertainty
    assert 0.88 <= held / 80 <= 1.0


# --- before and after ---------------------------------------------------------------------------


def listed(text: str) -> str:
    return "readings:\n" + "\n".join(f"  {line}" for line in text.strip().splitlines())


def test_the_change_is_welchs(tmp_path: Path) -> None:
    # scipy.stats.ttest_ind, equal_var=False: the interval of 95.45 %.
    before, after = [21.84, 21.97, 21.79, 21.91], [21.42, 21.55, 21.38, 21.51]
    low, high = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.9545)
    change = number(good(tmp_path, listed(HILL)), "change", "after")
    assert change.si == pytest.approx((low + high) / 2)
    assert change.expanded_uncertainty == pytest.approx((high - low) / 2, rel=1e-9)


def test_what_the_instrument_is_off_by_cancels_in_the_change_and_its_rounding_does_not(
    tmp_path: Path,
) -> None:
    plain = number(good(tmp_path, listed(HILL)), "change", "after")
    text = listed(HILL) + "\nresolution: 0.1 s\ncorrection: 0.3 ± 0.5 s"
    change = number(good(tmp_path, text), "change", "after")
    assert change.si == pytest.approx(plain.si)
    rounding = 2 * sqrt(2) * 0.1 / sqrt(12)
    assert change.expanded_uncertainty == pytest.approx(sqrt(plain.expanded_uncertainty**2 + rounding**2))


@pytest.mark.parametrize(
    "after, said",
    [
        ("[21.42 s, 21.55 s, 21.38 s]", "a fall"),
        ("[22.42 s, 22.55 s, 22.38 s]", "a rise"),
        ("[21.90 s, 21.75 s, 21.96 s]", "no change shown"),
    ],
)
def test_what_the_readings_show(tmp_path: Path, after: str, said: str) -> None:
    result = good(tmp_path, listed(f"before: [21.84 s, 21.97 s, 21.79 s]\nafter: {after}"))
    assert result.value("", "shown", "after") == said
    assert "cannot tell a change smaller than" in " ".join(result.cases[""].remarks)


def test_the_sheet_of_a_plan(tmp_path: Path) -> None:
    """The headings that `test_plan` prints, with a column of its own and a run that was not driven."""
    sheet = (
        "run,condition,reading [s],wind,note\n1,long axle,21.84,still,\n2,short axle,21.42,still,\n"
        "3,short axle,21.55,,gust\n4,long axle,21.97,,\n5,long axle,,,rain\n"
    )
    result = good(tmp_path, "readings: {data: runs.csv}", sheet)
    change = number(result, "change", "short-axle")
    assert change.si == pytest.approx((21.42 + 21.55) / 2 - (21.84 + 21.97) / 2)
    assert "1 row without a reading, not counted." in result.cases[""].remarks


def test_a_case_that_is_of_one_condition(tmp_path: Path) -> None:
    cases = "cases:\n  old: {condition: before}\n  new: {condition: after}"
    result = good(tmp_path, listed(HILL), cases=cases)
    assert number(result, "mean", case="old").si == pytest.approx(21.8775)
    assert number(result, "mean", case="new").si == pytest.approx(21.465)
    assert len(result.charts) == 1


# --- limits -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "limits, said",
    # The mean is 24.2 ± 0.26 mm by Student's t (scipy: 4.527 · 0.1 / √3).
    [
        ("at_most: 24.5 mm", "holds"),
        ("at_most: 24.3 mm", "too close to call"),
        ("at_most: 23.9 mm", "fails"),
        ("at_least: 23.9 mm", "holds"),
        ("at_least: 24.5 mm", "fails"),
        ("drawing: 24.0 mm\ntolerance: 0.5 mm", "holds"),
        ("drawing: 24.0 mm\ntolerance: 0.3 mm", "too close to call"),
        ("drawing: 23.0 mm\ntolerance: 0.5 mm", "fails"),
    ],
)
def test_verdicts(tmp_path: Path, limits: str, said: str) -> None:
    result = good(tmp_path, f"readings: [24.1 mm, 24.3 mm, 24.2 mm]\n{limits}")
    assert result.value("", "verdict") == said
    keyed = good(tmp_path, f"readings: {{a: [24.1 mm, 24.3 mm, 24.2 mm]}}\n{limits}")
    assert keyed.value("", "verdict_of", "a") == said


def test_off_the_drawing(tmp_path: Path) -> None:
    result = good(tmp_path, "readings: [24.1 mm, 24.3 mm]\ndrawing: 24.0 mm")
    assert number(result, "off").si == pytest.approx(0.0002)
    assert result.value("", "verdict") is None


# --- what is told -------------------------------------------------------------------------------


def test_a_reading_one_step_from_its_fellow_is_no_outlier(tmp_path: Path) -> None:
    # Two alike and one beside lie 1.1547 s off at any distance; Grubbs, 5 %, n = 3: 1.155 (ISO 5725-2, 5)
    # is the same but for its rounding. What a step of 0.1 s parts may be equal (JCGM 100:2008, F.2.2.1).
    for third, named in (("21.9 s", False), ("22.1 s", True)):
        result = good(tmp_path, f"readings: [21.8 s, 21.8 s, {third}]\nresolution: 0.1 s")
        assert any("standard deviations" in remark for remark in result.cases[""].remarks) is named


def test_an_outlier_is_named_and_counted(tmp_path: Path) -> None:
    # Grubbs, 5 %, n = 6: 1.887 (ISO 5725-2, table 5); the last lies 2.03 s off.
    text = "readings: [9.8 s, 9.9 s, 9.8 s, 9.9 s, 9.8 s, 11.4 s]"
    result = good(tmp_path, text)
    assert number(result, "mean").si == pytest.approx(np.mean([9.8, 9.9, 9.8, 9.9, 9.8, 11.4]))
    (said,) = [remark for remark in result.cases[""].remarks if "standard deviations" in remark]
    assert said.replace("\u00a0", " ").startswith("Reading 6, 11.4 s, lies 2.0 standard deviations")
    assert "It is counted" in said
    assert not any("standard deviations" in one for one in good(tmp_path, listed(HILL)).cases[""].remarks)


def test_a_drift_is_named(tmp_path: Path) -> None:
    result = good(tmp_path, "readings: {warm: [40.0 °C, 41.1 °C, 41.9 °C, 43.0 °C, 44.1 °C]}")
    (said,) = [remark for remark in result.cases[""].remarks if "from the first to the last" in remark]
    assert said.replace("\u00a0", " ").startswith("The readings warm rise by 4.04 K")  # by numpy.polyfit


def test_it_says_that_nothing_is_known_of_the_instrument(tmp_path: Path) -> None:
    alone = "scatter alone"
    assert alone in " ".join(good(tmp_path, "readings: [1.0 kg, 1.1 kg]").cases[""].remarks)
    told = good(tmp_path, "readings: [1.0 kg, 1.1 kg]\nresolution: 0.1 kg").cases[""].remarks
    assert alone not in " ".join(told)


def test_plain_numbers_are_told(tmp_path: Path) -> None:
    result = good(tmp_path, "readings: {data: runs.csv}", "run,condition,reading\n1,,9.8\n2,,9.9\n")
    assert any("have no unit" in remark for remark in result.cases[""].remarks)


def test_the_chart_has_every_reading_and_the_band_of_the_mean(tmp_path: Path) -> None:
    result = good(tmp_path, listed(HILL) + "\nat_most: 21.8 s")
    (chart,) = result.charts
    points = [one for one in chart.series if one.points_only]  # type: ignore[union-attr]
    assert [len(one.x) for one in points] == [4, 4]
    means = [one for one in chart.series if not one.points_only]  # type: ignore[union-attr]
    assert all(one.low[0] < one.y[0] < one.high[0] for one in means)
    assert [marker.y for marker in chart.markers] == [21.8]


# --- what is refused ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "inputs, said",
    [
        ("readings: [1.0 kg]", "2 or more"),
        ("readings: {a: [1.0 kg, 1.1 kg], b: [1.0 kg]}", "1 reading of b"),
        ("readings: [1.0 kg, 2.0 m]", "a length beside a mass"),
        ("readings: [1.0 kg, 1.0 kg]", "all the same"),
        ("readings: {a: [1.0 kg, 1.1 kg], b: [1.0 kg, 1.0 kg]}", "readings of b that are all the same"),
        ("readings: [7, 8]\nresolution: 0 ", "more than 0"),
        ("readings: [1.0 kg, 1.1 kg]\nresolution: 0.1 m", "a unit of length"),
        ("readings: [10 °C, 11 °C]\nresolution: 1 °F·m", "°F·m"),
        ("readings: [1.0 kg, 1.1 kg]\ntolerance: 0.1 kg", "tolerance without drawing"),
        ("readings: [1.0 kg, 1.1 kg]\ndrawing: 1 kg\ntolerance: 0 kg", "more than 0"),
        ("readings: [1.0 kg, 1.1 kg]\ndrawing: 1 kg\ntolerance: 1 kg\nat_most: 3 kg", "beside a tolerance"),
        ("readings: [1.0 kg, 1.1 kg]\nat_least: 2 kg\nat_most: 1 kg", "less than at_least"),
        ("readings: [{condition: a, reading: 1 kg}, {reading: 2 kg}]", "rows without"),
        ("readings: [{note: rain}, {note: snow}]", "rows without a reading"),
        ("readings: {a b: [1.0 kg, 1.1 kg], a-b: [1.0 kg, 1.1 kg]}", "nearly the same as “a b”"),
        ("readings: {'?!': [1.0 kg, 1.1 kg]}", "letters or digits"),
        ("readings: {a: [1.0 kg, 1.1 kg]}\ncondition: b", "one of a"),
        ("readings: [1.0 kg, 1.1 kg]\ncondition: b", "the readings have none"),
        ("readings: {a: 1.0 kg}", "a list of"),
        ("readings: 1.0 kg", "a list of readings"),
        ("readings: [1.0 kg, {}, 2.0 kg]", "a row"),
    ],
)
def test_refused(tmp_path: Path, inputs: str, said: str) -> None:
    faults = block(tmp_path, inputs).faults
    assert faults
    told = " ".join(f"{fault.found} {fault.expected} {fault.help}" for fault in faults)
    assert said in told


@pytest.mark.parametrize(
    "sheet, said",
    [
        ("run,condition,reading [s]\n1,a,9.8\n2,a,9.9s9\n", "“s9”"),
        ("run,condition,reading [blips]\n1,a,9.8\n2,a,9.9\n", "blips"),
        ("run,condition,note [s],reading [s]\n1,a,x,9.8\n2,a,x,9.9\n", "note, which has no unit"),
    ],
)
def test_sheets_that_are_refused(tmp_path: Path, sheet: str, said: str) -> None:
    faults = block(tmp_path, "readings: {data: runs.csv}", sheet).faults
    told = " ".join(f"{fault.position} {fault.found} {fault.expected} {fault.help}" for fault in faults)
    assert said in told
    assert "runs.csv" in told


def test_the_card_says_what_each_condition_shows_and_keeps_to(tmp_path: Path) -> None:
    """Words that are listed by condition: each with its own, and a place to lead to."""
    words = tables(good(tmp_path, listed(HILL) + "\nat_most: 21.6 s")).words
    assert [(one.label, one.texts) for one in words] == [
        ("Verdict on the mean, condition before", (("", "fails"),)),
        ("Verdict on the mean, condition after", (("", "holds"),)),
        ("Finding on the change, condition after", (("", "a fall"),)),
    ]
    assert [one.anchor for one in words][-1] == "calc-x.shown.after"


def test_what_a_plan_prints_is_what_is_read(tmp_path: Path) -> None:
    """The empty sheet of `test_plan`, filled in by its condition, with its last run left out."""
    plan = block_of_plan()
    (sheet,) = plan.sheets
    column = next(index for index, name in enumerate(sheet.headings) if name.startswith("reading"))
    condition = sheet.headings.index("condition")
    names = list(dict.fromkeys(row[condition] for row in sheet.rows))
    assert len(names) == 2
    filled = [list(row) for row in sheet.rows]
    for number, row in enumerate(filled[:-1]):
        row[column] = f"{20 + 0.1 * (number % 3) - names.index(row[condition]):.2f}"
    result = good(tmp_path, "readings: {data: runs.csv}", csv_text(sheet.headings, filled))
    assert result.value("", "shown", address_key(names[1])) == "a fall"
    assert "1 row without a reading, not counted." in result.cases[""].remarks


def block_of_plan() -> BlockResult:
    """The example of `test_plan`'s manual page."""
    text = catalogue.load_kind("test_plan").examples[0]
    block = read_block(text, whole_file("example.md"), "example", Position("e.md"))

    def nothing(*_: object) -> NoReturn:
        raise AssertionError("an example rests on itself alone")

    return Evaluation(block, None, nothing, nothing).run()
