"""What a site and a page set about findings, and what is said where a setting is not understood."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.diagnostics import CODES, Severity
from buildlog.proof.proof import proof_book
from buildlog.report.codes import all_codes
from tests.samples import write_site

# A page of ours, since it has a list; on others nobody looks for loose figures that they do not ask for.
LIST = '\n<div data-buildlog="sources"></div>\n'
LOOSE = f"# A\n\nIt weighs 4.2 kg on an 8 mm standoff.\n{LIST}"
OWN = "---\nbuildlog:\n  loose: {}\n---\n# B\n\nIt weighs 4.2 kg.\n"


def proofed(folder: Path, options: str, **pages: str) -> list[str]:
    """(path code level) of each finding of a site with some options under ``buildlog:``."""
    write_site(folder, {f"{name}.md": text for name, text in pages.items()})
    (folder / "mkdocs.yml").write_text(f"docs_dir: content\nplugins:\n  - buildlog: {options}\n")
    found = proof_book(Book.open(root=folder)).findings
    return [f"{Path(one.position.path).stem} {one.code.name} {one.severity.word}" for one in found]


@pytest.mark.parametrize(
    ("options", "level"),
    [
        ("{}", "note"),
        ("{loose: warn}", "warning"),
        ("{loose: fail}", "error"),
        ("{findings: {loose-figure: warn}}", "warning"),
        ("{loose: note, findings: {loose-figure: fail}}", "error"),
        ("{loose: off}", ""),
        ("{loose: warn, findings: {loose-figure: off}}", ""),
    ],
)
@pytest.mark.parametrize(("own", "own_level"), [("off", ""), ("note", "note"), ("fail", "error")])
def test_a_page_has_its_own_say_on_loose_figures(
    tmp_path: Path, options: str, level: str, own: str, own_level: str
) -> None:
    found = proofed(tmp_path, options, a=f"# A\n\nIt weighs 4.2 kg.\n{LIST}", b=OWN.format(own))
    wanted = [(name, word) for name, word in (("a", level), ("b", own_level)) if word]
    assert found == [f"{name} loose-figure {word}" for name, word in wanted]


def test_nouns_of_nominal_sizes(tmp_path: Path) -> None:
    assert len(proofed(tmp_path, "{}", a=LOOSE)) == 2
    assert len(proofed(tmp_path, "{nominal_nouns: [bellmouth, Standoff]}", a=LOOSE)) == 1


@pytest.mark.parametrize(
    "options",
    [
        "5",
        "[loose]",
        "{nominal_nouns: standoff}",
        "{nominal_nouns: [[a]]}",
        "{nominal_nouns: [a, '']}",
        "{loose: loud}",
        "{lose: fail}",
        "{findings: [loose-figure]}",
        "{findings: {loose-figure: loud}}",
    ],
)
def test_a_setting_that_is_not_understood_is_never_passed_over(tmp_path: Path, options: str) -> None:
    assert "mkdocs setting error" in proofed(tmp_path, options, a="# A\n")


def test_no_options_are_no_fault(tmp_path: Path) -> None:
    assert proofed(tmp_path, "", a="# A\n") == []
    assert proofed(tmp_path, "null", a="# A\n") == []


def test_a_page_with_an_unknown_level_is_told_where_it_stands(tmp_path: Path) -> None:
    write_site(tmp_path, {"b.md": OWN.format("loud")})
    result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert result.exit_code == 1
    assert "content/b.md:3:10  error  how-to-shape\n" in result.output
    assert "found     “loud”" in result.output
    assert "off, note, warn, fail" in result.output


@pytest.mark.parametrize("code", [code.name for code in all_codes() if code.severity is not Severity.ERROR])
def test_each_warning_and_note_can_be_set_alone(tmp_path: Path, code: str) -> None:
    """In mkdocs.yml of a site whose command line has read no other file than it needs."""
    write_site(tmp_path, {"a.md": "# A\n"})
    (tmp_path / "mkdocs.yml").write_text(
        f"docs_dir: content\nplugins:\n  - buildlog:\n      findings: {{{code}: off}}\n"
    )
    result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert (result.exit_code, "  setting" in result.output) == (0, False), result.output
    assert code in CODES


def test_no_content_folder(tmp_path: Path) -> None:
    (tmp_path / "mkdocs.yml").write_text("site_name: A\n")
    result = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert result.exit_code == 2
    assert result.output.startswith(f"buildlog: there is no folder docs in {tmp_path.resolve()}. Run this")


def test_settings_that_are_no_text(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": "# A\n"})
    (tmp_path / "mkdocs.yml").write_bytes(b"site_name: x\n# \xfc\n")
    (error,) = proof_book(Book.open(root=tmp_path)).errors
    assert (error.code.name, str(error.position)) == ("not-utf-8", "mkdocs.yml:2:3")


@pytest.mark.parametrize("units", ["written", "metric", "us"])
def test_a_site_has_units_of_its_own(tmp_path: Path, units: str) -> None:
    assert proofed(tmp_path, f"{{units: {units}}}", a="# A\n") == []


def test_units_that_there_are_none_of_are_told(tmp_path: Path) -> None:
    assert proofed(tmp_path, "{units: imperial}", a="# A\n") == ["mkdocs setting error"]
