"""Cited and told figures against the facts of their sources."""

from pathlib import Path

import pytest

from buildlog.diagnostics import Severity
from buildlog.proof.amending import amendments
from buildlog.proof.proof import Report, proof_book
from tests.samples import open_site

SOURCES = """\
axle-sheet:
  title: Overhaul of the final drive
  facts:
    drain-plug: 39 ± 3 N·m
    cover: 22–26 N·m
    backlash: 0.13 mm
    case-bolts: 93 N·m
driver:
  who: Ines
  when: after the run
  facts: {top-speed: 105 km/h}
"""


def proofed(folder: Path, prose: str, sources: str = SOURCES) -> Report:
    return proof_book(open_site(folder, {"a.md": prose + "\n", "sources.yml": sources}))


def codes(report: Report) -> list[str]:
    return [finding.code.name for finding in report.findings if finding.code.name != "unused-source"]


@pytest.mark.parametrize(
    "figure",
    [
        "[39 N·m](cite:axle-sheet.drain-plug)",
        "[29 lb-ft](cite:axle-sheet.drain-plug)",  # 39 N·m is 28.8 lbf·ft (1 lbf·ft is 1.3558 N·m, SP 811)
        "[about 40 N·m](cite:axle-sheet.drain-plug)",
        "[36–42 N·m](cite:axle-sheet.drain-plug)",
        "[39 ± 3 N·m](cite:axle-sheet.drain-plug)",
        "[22 to 26 N·m](cite:axle-sheet.cover)",
        "[24 ± 2 N·m](cite:axle-sheet.cover)",
        "[at most 0.13 mm](cite:axle-sheet.backlash)",
        "[0.13](cite:axle-sheet.backlash 'in mm')",
        "[](cite:axle-sheet.cover)",
        "[105 km/h](told:driver.top-speed)",
    ],
)
def test_a_copy_of_a_fact_agrees(tmp_path: Path, figure: str) -> None:
    report = proofed(tmp_path, figure)
    assert codes(report) == []
    assert report.entries[0].agrees


@pytest.mark.parametrize(
    ("figure", "code"),
    [
        ("[93 N·m](cite:axle-sheet.drain-plug)", "cited-differently"),
        ("[41 N·m](cite:axle-sheet.drain-plug)", "cited-differently"),  # within ± 3, and no copy
        ("[35–42 N·m](cite:axle-sheet.drain-plug)", "cited-differently"),
        ("[39 ± 5 N·m](cite:axle-sheet.drain-plug)", "cited-differently"),
        ("[22 N·m](cite:axle-sheet.cover)", "cited-differently"),
        ("[10–40 N·m](cite:axle-sheet.cover)", "cited-differently"),
        ("[at most 0.2 mm](cite:axle-sheet.backlash)", "cited-differently"),
        ("[0.1–0.2 mm](cite:axle-sheet.backlash)", "cited-differently"),
        ("[0.13 kg](cite:axle-sheet.backlash)", "wrong-dimension"),
        ("[0.13](cite:axle-sheet.backlash)", "figure-without-unit"),
        ("[39 N·m](cite:axle-sheet.drian-plug)", "unknown-fact"),
        ("[106 km/h](told:driver.top-speed)", "cited-differently"),
    ],
)
def test_what_is_no_copy_of_a_fact_is_an_error(tmp_path: Path, figure: str, code: str) -> None:
    report = proofed(tmp_path, figure)
    assert codes(report) == [code]
    assert report.errors
    assert not report.entries[0].agrees


@pytest.mark.parametrize(
    ("figure", "severity"),
    [
        ("[39 N·m](cite:axle-sheet)", Severity.WARNING),
        ('[39 N·m](cite:axle-sheet "for the drain plug")', Severity.ERROR),
    ],
)
def test_a_cited_torque_wants_a_fact(tmp_path: Path, figure: str, severity: Severity) -> None:
    report = proofed(tmp_path, figure)
    assert codes(report) == ["torque-without-fact"]
    (finding,) = [one for one in report.findings if one.code.name == "torque-without-fact"]
    assert finding.severity is severity
    assert report.entries[0].agrees is (severity is Severity.WARNING)


def test_what_is_not_a_torque_needs_none(tmp_path: Path) -> None:
    assert codes(proofed(tmp_path, "[0.13 mm](cite:axle-sheet), [three rounds](told:driver)")) == []


@pytest.mark.parametrize(
    ("second", "found"),
    [
        ('[93 N·m](cite:axle-sheet.case-bolts "for the drain  plug")', ["purpose-given-twice"]),
        ('[29 lb-ft](cite:axle-sheet.drain-plug "for the Drain plug")', []),
        ('[93 N·m](cite:axle-sheet.case-bolts "for the case")', []),
    ],
)
def test_one_purpose_has_one_value(tmp_path: Path, second: str, found: list[str]) -> None:
    prose = f'[39 N·m](cite:axle-sheet.drain-plug "for the drain plug"), {second}'
    assert codes(proofed(tmp_path, prose)) == found


@pytest.mark.parametrize(
    ("fact", "found"),
    [
        ("at most 3 N·m", "“at most 3 N·m”"),
        ("39 Nmm·x", "“Nmm·x”"),
        ("[1, 2]", "a list"),
        ("about 39 N·m", "“about 39 N·m”"),
    ],
)
def test_what_is_no_fact(tmp_path: Path, fact: str, found: str) -> None:
    sources = f"s:\n  title: A sheet\n  facts:\n    plug: {fact}\n"
    report = proofed(tmp_path, "[1 m](cite:s)", sources)
    assert codes(report) == ["source-shape"]
    assert report.errors[0].found == found
    assert str(report.errors[0].position) == "content/sources.yml:4:11"


def test_a_changed_fact_is_brought_to_every_sentence(tmp_path: Path) -> None:
    prose = "[39 N·m](cite:axle-sheet.drain-plug) and [29 lb-ft](cite:axle-sheet.drain-plug)\n"
    sources = SOURCES.replace("39 ± 3", "45 ± 3")
    book = open_site(tmp_path, {"a.md": prose, "sources.yml": sources})
    changes, left = amendments(book, ["a"])
    assert [change.new for change in changes] == ["45 N·m", "33 lb-ft"]  # 45 / 1.3558 = 33.19
    assert left == []
