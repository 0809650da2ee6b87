"""Notes are told once a page to people, and each for itself to programs; errors stay."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.diagnostics import CODES, Cause, Diagnostic, Position, Severity, Tie
from buildlog.proof.proof import LOOSE_FIGURE
from buildlog.reading.markdown.slips import NEARLY_A_FIGURE
from buildlog.report.following import fold, once_a_page, what_follows
from buildlog.report.text import findings_text
from tests.samples import write_site

LIST = '\n<div data-buildlog="sources"></div>\n'


def loose(page: str, line: int, severity: Severity = Severity.NOTE) -> Diagnostic:
    return LOOSE_FIGURE.at(Position(page, line, 1), found=f"“{line} kg”", severity=severity)


def told(*findings: Diagnostic) -> list[tuple[str, int, int]]:
    """Page, line and how many more are told with it."""
    folded = fold(once_a_page(findings))
    return [(leader.position.path, leader.position.line, len(more)) for leader, more in folded.items()]


def test_notes_of_a_page_are_told_with_its_first() -> None:
    notes = [loose(page, line) for page in ("a.md", "b.md") for line in (1, 2, 3)]
    assert told(*notes) == [("a.md", 1, 2), ("b.md", 1, 2)]
    assert what_follows(next(iter(fold(once_a_page(notes)).values()))).startswith("2 more on this page")
    assert told(loose("a.md", 1)) == [("a.md", 1, 0)]


@pytest.mark.parametrize(("count", "paragraphs"), [(10, 10), (11, 1), (100, 1)])
def test_warnings_are_told_one_by_one_until_they_are_many(count: int, paragraphs: int) -> None:
    found = told(*(loose("a.md", line, Severity.WARNING) for line in range(1, count + 1)))
    assert len(found) == paragraphs
    assert sum(1 + more for _, _, more in found) == count


def test_errors_stand_each_for_itself() -> None:
    errors = [NEARLY_A_FIGURE.at(Position("a.md", line)) for line in range(1, 40)]
    assert len(told(*errors)) == 39
    assert len(told(*(loose("a.md", line, Severity.ERROR) for line in range(1, 40)))) == 39


def test_a_note_that_others_follow_from_stays() -> None:
    first, second = loose("a.md", 1), loose("a.md", 2)
    cause = Cause(second.position, LOOSE_FIGURE.name, Tie.SAME)
    follower = replace(loose("c.md", 1), follows=cause)
    assert told(first, second, follower) == [("a.md", 1, 0), ("a.md", 2, 1)]


def test_what_a_note_means_is_said_once_and_then_a_line_a_page() -> None:
    notes = once_a_page([loose(page, line) for page in ("a.md", "b.md", "c.md") for line in (4, 5)])
    text = findings_text(notes, lambda position: "", explained=set())
    assert text.count(LOOSE_FIGURE.mend[:20]) == 1
    assert text.splitlines()[-2:] == [
        "b.md:4:1  note  loose-figure: “4 kg”, and 1 more on this page",
        "c.md:4:1  note  loose-figure: “4 kg”, and 1 more on this page",
    ]
    explained = {LOOSE_FIGURE.name}
    assert len(findings_text(notes, lambda position: "", explained=explained).splitlines()) == 3


def test_a_first_episode_of_forty_loose_figures_and_three_hundred_pages_of_others(tmp_path: Path) -> None:
    episode = "".join(f"It had {line}.5 kg on it.\n\n" for line in range(40))
    pages: dict[str, str | bytes] = {"a.md": episode + LIST, "b.md": f"It is 5 kg or 6 kg.\n{LIST}"}
    pages |= {f"other/{number}.md": "# Other\n\nIt is 5 kg and $v = 5 m$.\n" for number in range(300)}
    write_site(tmp_path, pages)
    (tmp_path / "mkdocs.yml").write_text("docs_dir: content\nplugins: [buildlog]\n")

    def said(*options: str) -> str:
        result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path), *options])
        assert result.exit_code == 0, result.output
        return result.output

    text = said()
    assert len(text.splitlines()) < 15
    assert "39 more on this page" in text
    assert "42 notes." in text
    assert said("--all").count("loose-figure") == 42
    assert len(said("--format", "lines").splitlines()) == 42
    assert len(json.loads(said("--format", "json"))["findings"]) == 42
    assert said("--format", "annotations").count("::notice") == 10
    assert CODES["loose-figure"].severity is Severity.NOTE
