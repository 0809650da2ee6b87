"""Predictions: by their normalised error with its sign, case by case, and what cannot be a prediction."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest
from uncertainties import ufloat

from buildlog.book.affected import affected_pages
from buildlog.figures.comparison import signed_normalised_error, within_uncertainty, write_error
from buildlog.proof.predicting import AGREES, DISAGREES, UNTOLD, Claim, Foretold, tally
from buildlog.proof.proof import Report, proof_book
from tests.kinds.models.test_lagging import logged
from tests.samples import calc, open_site


def gearing(name: str, rolling: str, final: str = "4.0", more: str = "") -> str:
    return calc(
        f"""
        id: {name}
        kind: gearing
        inputs: {{gears: [1.0], final_drive: {final}, rolling_circumference: {rolling}, rev_limit: 6000 rpm}}
        {more}
        """
    )


# Speed goes as the circumference: 6000 rpm / 4.0 is 25 turns a second, 45 m/s and 45.5 m/s.
GUESS = gearing("guess", "1.800 ± 0.009 m")
SPEED = "predicts: {speed_at_limit.1: calc:guess.speed_at_limit.1}"


def measured(rolling: str = "1.820 ± 0.012 m", more: str = SPEED) -> str:
    return gearing("watch", rolling, more=more)


def proofed(folder: Path, text: str, **files: str) -> Report:
    pages: dict[str, str | bytes] = {f"{name}.md": page for name, page in {"a": text, **files}.items()}
    pages["sources.yml"] = "driver: {who: Ines, when: after the run}\n"
    return proof_book(open_site(folder, pages))


def codes(report: Report) -> list[str]:
    unused = ("unused-source", "unused-block", "claim-differs", "values-differ")
    return [finding.code.name for finding in report.findings if finding.code.name not in unused]


def only(report: Report) -> Foretold:
    (one,) = report.predictions
    assert isinstance(one, Foretold)
    return one


# --- the number -----------------------------------------------------------------------------


def test_a_prediction_that_is_too_low_has_an_error_below_nought(tmp_path: Path) -> None:
    """ISO/IEC 17043, En = (x − X) / √(U² + U_ref²). 25 · 0.020 = 0.5 m/s too low; U are 2 · 0.225 and 2 · 0.3
    m/s, so that En is −0.5 / 0.75. The package uncertainties gives the same U for the difference."""
    difference = 25 * ufloat(1.800, 0.009) - 25 * ufloat(1.820, 0.012)
    assert difference.n / (2 * difference.s) == pytest.approx(-2 / 3)
    report = proofed(tmp_path, GUESS + measured())
    assert codes(report) == []
    one = only(report)
    assert one.error == pytest.approx(-2 / 3)
    assert one.difference.si == pytest.approx(-0.5)
    assert one.difference.expanded_uncertainty == pytest.approx(2 * sqrt(0.225**2 + 0.300**2))
    assert (one.verdict, one.shared) == (AGREES, False)
    assert (one.predicted.block.id, one.measured.block.id) == ("guess", "watch")


def test_a_prediction_that_fails_is_a_result_and_no_finding(tmp_path: Path) -> None:
    """40 mm of circumference are 1.0 m/s, En = −1.0 / 0.75."""
    report = proofed(tmp_path, GUESS + measured("1.840 ± 0.012 m"))
    assert codes(report) == []
    assert [finding.code.name for finding in report.findings] == ["unused-source"]
    assert only(report).error == pytest.approx(-4 / 3)
    assert only(report).verdict == DISAGREES


def test_what_both_rest_on_counts_once(tmp_path: Path) -> None:
    """Both take one circumference: the difference is (1/4.0 − 1/4.1) of it, and so is what is uncertain of it
    (JCGM 100:2008, F.1.2): 1.8 over 2 · 0.009."""
    shared = gearing("watch", "calc:guess.rolling_circumference", "4.1", SPEED)
    one = only(proofed(tmp_path, GUESS + shared))
    assert one.shared
    assert one.error == pytest.approx(1.8 / 0.018)


def test_an_en_of_one_agrees_whatever_arithmetic_leaves(tmp_path: Path) -> None:
    """30 mm against √(18² + 24²) mm = 30 mm (3, 4, 5)."""
    one = only(proofed(tmp_path, GUESS + measured("1.830 ± 0.012 m")))
    assert one.error == pytest.approx(-1, abs=1e-9)
    assert one.verdict == AGREES
    assert not within_uncertainty(-1.0001)


def test_where_nothing_is_uncertain_nobody_can_tell(tmp_path: Path) -> None:
    one = only(proofed(tmp_path, gearing("guess", "1.8 m") + measured("1.9 m")))
    assert (one.error, one.verdict) == (None, UNTOLD)


def test_one_uncertainty_is_enough(tmp_path: Path) -> None:
    """0.5 m/s over 2 · 0.300 m/s."""
    one = only(proofed(tmp_path, gearing("guess", "1.8 m") + measured()))
    assert one.error == pytest.approx(-0.5 / 0.6)


@pytest.mark.parametrize(
    ("error", "written"),
    [
        (0.0, "0.00"),
        (-2 / 3, "−0.67"),
        (1.0, "+1.00"),
        (1.004, "+1.004"),
        (-1.0000001, "−1.0000001"),
        (99.96, "+100.0"),
        (250.4, "+250"),
    ],
)
def test_an_error_is_written_on_its_own_side_of_one(error: float, written: str) -> None:
    assert write_error(error) == written


def test_no_error_of_what_is_not_uncertain() -> None:
    with pytest.raises(ValueError, match="above 0"):
        signed_normalised_error(1.0, 0.0)


# --- cases ------------------------------------------------------------------------------------

CASES = "cases: {old: {final_drive: 4.0}, new: {final_drive: 4.4}}"


def with_cases(name: str, rolling: str, cases: str = CASES, more: str = "") -> str:
    return calc(
        f"""
        id: {name}
        kind: gearing
        inputs: {{gears: [1.0], rolling_circumference: {rolling}, rev_limit: 6000 rpm}}
        {cases}
        {more}
        """
    )


def test_a_line_without_a_case_holds_each_to_that_of_its_name(tmp_path: Path) -> None:
    blocks = with_cases("guess", "1.800 ± 0.009 m") + with_cases("watch", "1.820 ± 0.012 m", more=SPEED)
    predictions = proofed(tmp_path, blocks).predictions
    cases = [(one.predicted.case, one.measured.case) for one in predictions if isinstance(one, Foretold)]
    assert cases == [("old", "old"), ("new", "new")]


@pytest.mark.parametrize(
    ("line", "cases"),
    [
        ("new.speed_at_limit.1: calc:guess.speed_at_limit.1", [("new", "new")]),
        ("new.speed_at_limit.1: calc:guess.old.speed_at_limit.1", [("old", "new")]),
        ("speed_at_limit.1: calc:guess.old.speed_at_limit.1", [("old", "old"), ("old", "new")]),
        ("rev_limit: calc:guess.rev_limit", [("old", "old")]),
    ],
)
def test_cases_that_are_named(tmp_path: Path, line: str, cases: list[tuple[str, str]]) -> None:
    blocks = with_cases("guess", "1.800 ± 0.009 m")
    blocks += with_cases("watch", "1.820 ± 0.012 m", more=f"predicts: {{{line}}}")
    report = proofed(tmp_path, blocks)
    assert codes(report) == []
    held = [one for one in report.predictions if isinstance(one, Foretold)]
    assert [(one.predicted.case, one.measured.case) for one in held] == cases


def test_a_case_that_the_prediction_has_not(tmp_path: Path) -> None:
    other = "cases: {old: {final_drive: 4.0}, newest: {final_drive: 4.4}}"
    blocks = with_cases("guess", "1.8 ± 0.009 m", other) + with_cases("watch", "1.82 m", more=SPEED)
    report = proofed(tmp_path, blocks)
    assert codes(report) == ["unknown-address"]
    assert "in the case new" in report.errors[0].found
    assert "did you mean “newest”?" in report.errors[0].help


def test_a_row_of_a_sweep_may_have_foretold_it(tmp_path: Path) -> None:
    """At 4.2 it is 6000 rpm / 60 / 4.2 · 1.800 m, 42.857 m/s."""
    sweep = "sweep: final_drive from 4.0 to 4.4 by 0.2\n        of: speed_at_limit.1"
    line = "predicts: {speed_at_limit.1: calc:guess.speed_at_limit.1@4.2}"
    report = proofed(tmp_path, gearing("guess", "1.800 ± 0.009 m", more=sweep) + measured(more=line))
    assert codes(report) == []
    assert only(report).predicted.number.si == pytest.approx(100 / 4.2 * 1.8)


# --- what cannot be a prediction ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "code", "at", "said"),
    [
        (
            "speed_at_limit.2: calc:guess.speed_at_limit.1",
            "unknown-address",
            "speed_at_limit.2:",
            "speed_at_limit.2",
        ),
        ("sped_at_limit.1: calc:guess.speed_at_limit.1", "unknown-address", "sped_at", "sped_at_limit"),
        ("speed_at_limit.1: calc:guess.speed_at_limit.3", "unknown-address", "calc:", "speed_at_limit.3"),
        ("speed_at_limit.1: calc:gone.speed_at_limit.1", "unknown-address", "calc:", "the block “gone”"),
        ("speed_at_limit.1: calc:b#guess.speed_at_limit.1", "unknown-address", "calc:", "the page “b”"),
        (
            "speed_at_limit.1: calc:guess.overall_ratio.1",
            "wrong-dimension",
            "calc:",
            "guess.overall_ratio.1, a ratio",
        ),
        (
            "speed_at_limit.1: calc:watch.speed_at_limit.1",
            "prediction-from-result",
            "calc:",
            "the measured value itself",
        ),
        (
            "speed_at_limit.1: guess.speed_at_limit.1",
            "address-unreadable",
            "guess.",
            "guess.speed_at_limit.1",
        ),
        ("speed_at_limit.1: calc:guess", "address-unreadable", "calc:", "calc:guess"),
        ("speed_at_limit.1: told:driver", "predicts-shape", "told:", "told:driver"),
        ("speed_at_limit.1: [calc:guess.speed_at_limit.1]", "predicts-shape", "[calc", "list"),
        (
            "calc:watch.speed_at_limit.1: calc:guess.speed_at_limit.1",
            "predicts-shape",
            "calc:watch",
            "calc:watch",
        ),
        ("speed at limit: calc:guess.speed_at_limit.1", "unknown-address", "speed at", "speed at limit"),
    ],
)
def test_what_is_wrong_is_told_where_it_stands(
    tmp_path: Path, line: str, code: str, at: str, said: str
) -> None:
    text = GUESS + measured(more=f"predicts: {{{line}}}")
    report = proofed(tmp_path, text)
    assert codes(report) == [code]
    assert not report.predictions
    error = report.errors[0]
    assert said in error.found
    assert text.splitlines()[error.position.line - 1][error.position.column - 1 :].startswith(at)


@pytest.mark.parametrize(
    ("line", "second", "label"),
    [
        ("speed_at_limit.2: calc:guess.speed_at_limit.1", "watch", "the block that measured"),
        ("speed_at_limit.1: calc:guess.speed_at_limit.3", "guess", "the block that it names"),
        ("speed_at_limit.1: calc:guess.overall_ratio.1", "guess", "the block that it names"),
        ("speed_at_limit.1: calc:gone.speed_at_limit.1", None, ""),
    ],
)
def test_the_other_place_is_told_where_there_is_one(
    tmp_path: Path, line: str, second: str | None, label: str
) -> None:
    text = GUESS + measured(more=f"predicts: {{{line}}}")
    (error,) = proofed(tmp_path, text).errors
    assert error.second_label == label
    if second is None:
        assert error.second is None
        return
    assert error.second is not None
    after = text.splitlines()[error.second.line - 1 :]
    assert next(line for line in after if line.startswith("id: ")) == f"id: {second}"


@pytest.mark.parametrize("shape", ["calc:guess.speed_at_limit.1", "[]", "{}", ""])
def test_a_line_has_two_sides(tmp_path: Path, shape: str) -> None:
    report = proofed(tmp_path, GUESS + measured(more=f"predicts: {shape}"))
    assert codes(report) == ["predicts-shape"]
    assert "a quantity of this block and what foretold it" in report.errors[0].expected


def test_no_more_lines_than_a_card_can_show(tmp_path: Path) -> None:
    lines = ", ".join(f"q{number}: calc:guess.speed_at_limit.1" for number in range(41))
    report = proofed(tmp_path, GUESS + measured(more=f"predicts: {{{lines}}}"))
    assert codes(report) == ["predicts-shape"]
    assert report.errors[0].found == "41 predictions"


def test_what_takes_the_result_foretells_nothing(tmp_path: Path) -> None:
    """guess takes the speed of watch by way of a third block."""
    middle = gearing("middle", "1.8 m", "calc:watch.overall_ratio.1")
    guess = gearing("guess", "1.9 m", "calc:middle.overall_ratio.1")
    watch = gearing("watch", "1.8 ± 0.1 m", more="predicts: {overall_ratio.1: calc:guess.overall_ratio.1}")
    report = proofed(tmp_path, guess + middle + watch)
    assert codes(report) == ["prediction-from-result"]
    assert "guess, which takes middle" in report.errors[0].found
    assert "which takes watch.overall_ratio.1" in report.errors[0].found


def test_nor_does_what_takes_it_from_another_page(tmp_path: Path) -> None:
    """On page b the guess takes a block of its own page, which takes what page a measured."""
    other = gearing("middle", "1.8 m", "calc:a#watch.overall_ratio.1")
    other += gearing("guess", "1.9 m", "calc:middle.overall_ratio.1")
    watch = gearing("watch", "1.8 ± 0.1 m", more="predicts: {overall_ratio.1: calc:b#guess.overall_ratio.1}")
    report = proofed(tmp_path, watch, b=other)
    assert codes(report) == ["prediction-from-result"]
    assert "middle.overall_ratio.1, which takes watch.overall_ratio.1" in report.errors[0].found


def test_a_result_that_comes_twice_the_same_way_is_told_once(tmp_path: Path) -> None:
    """Two cases of the prediction take the same value of the block that measured."""
    guess = calc(
        """
        id: guess
        kind: gearing
        inputs: {gears: [1.0], rolling_circumference: 1.9 m, rev_limit: 6000 rpm}
        cases:
          old: {final_drive: calc:watch.overall_ratio.1}
          new: {final_drive: calc:watch.overall_ratio.1}
        """
    )
    watch = gearing(
        "watch", "1.8 ± 0.1 m", more="predicts: {overall_ratio.1: calc:guess.old.overall_ratio.1}"
    )
    assert codes(proofed(tmp_path, guess + watch)) == ["prediction-from-result"]


def test_another_value_of_the_block_that_measured_may_go_into_a_prediction(tmp_path: Path) -> None:
    guess = gearing("guess", "1.8 ± 0.009 m", "calc:watch.overall_ratio.1")
    report = proofed(tmp_path, guess + measured())
    assert codes(report) == []
    assert only(report).error == pytest.approx(-2 / 3)


def test_a_prediction_that_cannot_be_computed_follows_from_that(tmp_path: Path) -> None:
    report = proofed(tmp_path, gearing("guess", "1.8 kg") + measured())
    assert codes(report) == ["wrong-dimension", "rests-on-fault"]
    cause = report.errors[1].follows
    assert cause is not None
    assert cause.code == "wrong-dimension"


def test_a_block_at_fault_has_no_predictions(tmp_path: Path) -> None:
    report = proofed(tmp_path, GUESS + measured("1.8 kg"))
    assert codes(report) == ["wrong-dimension"]
    assert report.predictions == ()


# --- the whole site ----------------------------------------------------------------------------


def test_what_the_text_compares_stands_in_the_same_list_once(tmp_path: Path) -> None:
    prose = (
        '[162.0 km/h](calc:guess.speed_at_limit.1 "against calc:watch.speed_at_limit.1"), '
        '[163.8 km/h](calc:watch.speed_at_limit.1 "against calc:guess.speed_at_limit.1"), '
        '[1.800 m](calc:guess.rolling_circumference "against calc:watch.rolling_circumference"), '
        '[1.800 m](calc:guess.rolling_circumference "against calc:watch.rolling_circumference"), '
        '[170 km/h](told:driver "of calc:guess.speed_at_limit.1").\n\n'
    )
    report = proofed(tmp_path, prose + GUESS + measured())
    told, pair, first = sorted(report.predictions, key=lambda one: type(one).__name__ + str(one.position))
    assert isinstance(told, Claim)
    assert told.verdict == DISAGREES
    assert isinstance(pair, Foretold)
    assert isinstance(first, Foretold)
    assert {(one.by_block, one.measured.output) for one in (pair, first)} == {
        (True, "speed_at_limit"),
        (False, "rolling_circumference"),
    }


def test_the_tally_has_sign_and_size(tmp_path: Path) -> None:
    """(−2/3 and +4/3): mean 1/3, root of the mean square √((4/9 + 16/9) / 2) = √(10/9)."""
    low = GUESS + measured()
    high = gearing("second", "1.780 ± 0.012 m", more=SPEED)
    exact = calc(
        "id: third\nkind: gearing\ninputs: {gears: [1.0], final_drive: 4.1, rolling_circumference: 1.8 m, "
        "rev_limit: 6000 rpm}\npredicts: {overall_ratio.1: calc:guess.overall_ratio.1}"
    )
    report = proofed(tmp_path, low + high.replace("1.780", "1.760") + exact)
    found = tally(one for one in report.predictions if isinstance(one, Foretold))
    assert (found.count, found.agreed, found.failed, found.untold, found.known) == (3, 1, 1, 1, 2)
    assert found.mean == pytest.approx(1 / 3)
    assert found.size == pytest.approx(sqrt(10 / 9))
    assert tally(()).mean is None


def test_a_block_that_foretold_or_measured_is_used(tmp_path: Path) -> None:
    found = proofed(tmp_path, GUESS + measured()).findings
    assert [finding.code.name for finding in found] == ["unused-source"]


def test_a_page_rests_on_what_foretold_its_results(tmp_path: Path) -> None:
    line = "predicts: {speed_at_limit.1: calc:b#guess.speed_at_limit.1}"
    book = open_site(tmp_path, {"a.md": measured(more=line), "b.md": GUESS, "c.md": "# C\n"})
    changed = {(tmp_path / "content" / "b.md").resolve()}
    assert affected_pages(book, changed) == ["a", "b"]


def test_nothing_is_computed_with_a_prediction(tmp_path: Path) -> None:
    """Each foretold by the other is no loop; each comparison is one."""
    guess = gearing(
        "guess", "1.8 ± 0.009 m", more="predicts: {speed_at_limit.1: calc:watch.speed_at_limit.1}"
    )
    report = proofed(tmp_path, guess + measured())
    assert codes(report) == []
    assert len(report.predictions) == 2


def test_two_values_of_one_log_are_said_to_be(tmp_path: Path) -> None:
    """The scatter of each is an error of its own block: that both have the same readings is not in it."""
    signal = logged(1, dead_time=1.0)
    rows = "".join(
        f"{time:.3f},{leader:.4f},{follower:.4f}\n"
        for time, leader, follower in zip(signal.times, signal.leader, signal.follower, strict=True)
    )
    block = """
        id: {name}
        kind: instrument_lag
        inputs:
          log: {{data: {file}.csv, time: {{heading: t, unit: s}}, columns: {columns}}}
        {more}
        """
    columns = "{leader: {heading: a, unit: km/h}, follower: {heading: b, unit: km/h}}"
    line = "predicts: {lag: calc:guess.lag}"
    for file, logs in (("drive", ("drive.csv",)), ("other", ())):
        guess = calc(block.format(name="guess", file="drive", columns=columns, more=""))
        watch = calc(block.format(name="watch", file=file, columns=columns, more=line))
        files: dict[str, str | bytes] = {"a.md": guess + watch}
        files |= {f"{name}.csv": f"t,a,b\n{rows}" for name in ("drive", "other")}
        report = proof_book(open_site(tmp_path, files))
        assert codes(report) == []
        assert only(report).logs == logs
