"""Values that were found independently: by their normalised error, and somebody's word beside a result."""

from math import sqrt
from pathlib import Path

import pytest
from uncertainties import ufloat

from buildlog.figures.comparison import normalised_error
from buildlog.proof.judging import Judged, still_holds
from buildlog.proof.proof import Report, proof_book
from buildlog.render.figure import render_figure
from tests.parsed_html import parse
from tests.samples import calc, open_site


def gearing(name: str, rolling: str, final: str = "4.0") -> str:
    return calc(
        f"""
        id: {name}
        kind: gearing
        inputs: {{gears: [1.0], final_drive: {final}, rolling_circumference: {rolling}, rev_limit: 6000 rpm}}
        """
    )


# Speed goes as the circumference: 6000 rpm / 4.0 is 25 turns a second, 45 m/s and 45.5 m/s.
BLOCKS = gearing("predicted", "1.800 ± 0.009 m") + gearing("measured", "1.820 ± 0.012 m")
OWN = "calc:predicted.speed_at_limit.1"
SOURCES = "driver: {who: Ines, when: after the run, facts: {gain: 20 km/h}}\n"


def proofed(folder: Path, prose: str, blocks: str = BLOCKS) -> Report:
    return proof_book(open_site(folder, {"a.md": f"{prose}\n\n{blocks}", "sources.yml": SOURCES}))


def codes(report: Report) -> list[str]:
    left_out = ("unused-block", "unused-source")
    return [finding.code.name for finding in report.findings if finding.code.name not in left_out]


def judged_of(report: Report) -> Judged:
    (judged,) = [entry.judged for entry in report.entries if entry.judged is not None]
    return judged


def words(report: Report) -> str:
    shown = render_figure(judged_of(report), "a", "note").html(lambda link: f"#{link.anchor}")
    return parse(shown).words.replace("\N{NO-BREAK SPACE}", " ")


def test_normalised_error_is_the_difference_in_its_uncertainty() -> None:
    """ISO/IEC 17043, En = (x − X) / √(U² + U_ref²): 10.5 − 10.0 with 0.3 and 0.4 is 0.5 / 0.5 (3, 4, 5)."""
    assert normalised_error(10.5 - 10.0, sqrt(0.3**2 + 0.4**2)) == pytest.approx(1.0)
    assert normalised_error(-0.25, 0.5) == 0.5


def test_values_within_their_uncertainties_agree(tmp_path: Path) -> None:
    """25 · 0.020 = 0.5 m/s apart; u 0.225 and 0.300 m/s make U = 2 · 0.375 = 0.75 m/s, En = 0.67. The package
    uncertainties gives the same U for the difference."""
    difference = 25 * ufloat(1.820, 0.012) - 25 * ufloat(1.800, 0.009)
    assert abs(difference.n) / (2 * difference.s) == pytest.approx(2 / 3)
    report = proofed(tmp_path, f'[162.0 km/h]({OWN} "against calc:measured.speed_at_limit.1")')
    assert codes(report) == []
    comparison = judged_of(report).comparison
    assert comparison is not None
    assert comparison.agrees
    assert "En = 0.67, not more than 1" in comparison.sentence
    assert "En = 0.67" in words(report)


def test_values_farther_apart_than_that_are_a_warning(tmp_path: Path) -> None:
    """40 mm of circumference are 1.0 m/s, En = 1.33."""
    blocks = BLOCKS.replace("1.820 ± 0.012", "1.840 ± 0.012")
    report = proofed(tmp_path, f'[162.0 km/h]({OWN} "against calc:measured.speed_at_limit.1")', blocks)
    assert codes(report) == ["values-differ"]
    assert not report.errors
    assert "En = 1.33," in report.warnings[0].found


def test_what_both_rest_on_counts_once(tmp_path: Path) -> None:
    """Both take one circumference: the difference is that of the final drives alone, and what is uncertain of
    it is (1 / 4.0 − 1 / 4.1) of the circumference's part (JCGM 100:2008, F.1.2)."""
    blocks = gearing("predicted", "1.800 ± 0.009 m") + gearing(
        "measured", "calc:predicted.rolling_circumference", "4.1"
    )
    report = proofed(tmp_path, f'[162.0 km/h]({OWN} "against calc:measured.speed_at_limit.1")', blocks)
    assert codes(report) == ["values-differ"]
    # (1/4 − 1/4.1) · 1.8 over 2 · (1/4 − 1/4.1) · 0.009 is 1.8 / 0.018
    assert "En = 100," in report.warnings[0].found
    assert "what both rest on counts once" in report.warnings[0].found


@pytest.mark.parametrize(
    ("title", "code"),
    [
        ("against calc:measured.overall_ratio.1", "option-unreadable"),
        ("against calc:measured.speed_at_limit.7", "unknown-address"),
        ("against measured", "option-unreadable"),
        ("of calc:measured.speed_at_limit.1", "option-unreadable"),
    ],
)
def test_what_cannot_be_compared_is_told_at_the_title(tmp_path: Path, title: str, code: str) -> None:
    link = f'[162.0 km/h]({OWN} "{title}")'
    report = proofed(tmp_path, link)
    assert codes(report) == [code]
    assert report.errors[0].position.column == link.index(title) + 1


def test_two_values_without_uncertainty_are_refused(tmp_path: Path) -> None:
    blocks = gearing("predicted", "1.800 m") + gearing("measured", "1.820 m")
    report = proofed(tmp_path, f'[162.0 km/h]({OWN} "against calc:measured.speed_at_limit.1")', blocks)
    assert codes(report) == ["option-unreadable"]
    assert "±" in report.errors[0].expected


def test_a_wrong_copy_is_wrong_whatever_it_is_compared_with(tmp_path: Path) -> None:
    report = proofed(tmp_path, f'[162.9 km/h]({OWN} "against calc:measured.speed_at_limit.1")')
    assert codes(report) == ["figure-disagrees"]


# --- somebody's word ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "agrees"),
    [
        ("162 km/h", True),
        ("163 km/h", True),  # 162.0 ± 1.6 km/h, and 162.5 to 163.5
        ("165 km/h", False),
        ("about 170 km/h", True),  # ± 5 % of it begins at 161.5
        ("over 170 km/h", False),
        ("100 mph", True),  # 160.9 km/h, to half a mile per hour
    ],
)
def test_a_claim_beside_the_computed_value(tmp_path: Path, label: str, agrees: bool) -> None:
    report = proofed(tmp_path, f'[{label}](told:driver "of {OWN}")')
    assert codes(report) == ([] if agrees else ["claim-differs"])
    assert report.errors == report.warnings == ()
    assert report.entries[0].agrees, "a claim may be wrong, and is no error"
    shown = words(report)
    assert ("told; agrees with" in shown) is agrees
    assert ("told; does not agree with" in shown) is not agrees
    assert "162.0" in shown or "100.7 mph" in shown  # 162.0 / 1.609344 is 100.66


@pytest.mark.parametrize(("label", "agrees"), [("1.8 km/h", True), ("20 km/h", False), ("1 %", True)])
def test_a_claim_about_a_change(tmp_path: Path, label: str, agrees: bool) -> None:
    """1.820 / 1.800 is 1.1 % and 1.8 km/h more."""
    title = "of measured.speed_at_limit.1 vs predicted"
    report = proofed(tmp_path, f'[{label}](told:driver "{title}")')
    assert codes(report) == ([] if agrees else ["claim-differs"])


def test_a_claim_that_nobody_can_compute_stays_a_claim(tmp_path: Path) -> None:
    report = proofed(tmp_path, "[half a second](told:driver)")
    assert codes(report) == []
    assert "half a second told" in words(report)


@pytest.mark.parametrize(
    ("link", "code"),
    [
        (f'[162 km/h](told:driver "vs {OWN}")', "option-unreadable"),
        ('[162 km/h](told:driver "of calc:gone.speed_at_limit.1")', "unknown-address"),
        (f'[162 kg](told:driver "of {OWN}")', "wrong-dimension"),
        (f'[splendid](told:driver "of {OWN}")', "figure-unreadable"),
    ],
)
def test_a_claim_that_cannot_be_compared(tmp_path: Path, link: str, code: str) -> None:
    assert codes(proofed(tmp_path, link)) == [code]


def test_a_judgement_holds_no_longer_than_what_it_was_compared_with(tmp_path: Path) -> None:
    report = proofed(tmp_path, f'[162.0 km/h]({OWN} "against calc:measured.speed_at_limit.1")')
    assert still_holds(report.book, judged_of(report))
    changed = report.book.with_page("a", report.book.pages["a"].text.replace("1.820", "1.821"))
    assert not still_holds(changed, judged_of(report))
