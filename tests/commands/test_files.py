"""`buildlog files` and `buildlog proof --built`: what stands beside a built site's pages, and its gate."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildlog.cli import main
from buildlog.commands.files import canonical_address
from tests.built.built_sites import build_site
from tests.jobs import FILES
from tests.samples import write_site

WRONG = "# Wrong\n\nIt weighs [30 kg](calc:episodes/final#pair.mass_fitted).\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_site(tmp_path, dict(FILES))
    build_site(tmp_path, files=True)
    return tmp_path


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments, "--site", str(folder)])


def test_the_links_lead_nowhere_until_the_files_are_written(folder: Path) -> None:
    site = str(folder / "site")
    before = run(folder, "proof", "--built", site)
    assert before.exit_code == 1
    assert "dead-link" in before.output
    assert "Run buildlog files on the built site" in before.output
    written = run(folder, "files", site)
    assert written.exit_code == 0, written.output
    after = run(folder, "proof", "--built", site)
    assert after.exit_code == 0, after.output


def test_a_second_run_writes_only_what_has_changed(folder: Path) -> None:
    run(folder, "files", str(folder / "site"))
    (folder / "site" / "episodes" / "final-sheet.html").write_text("old", encoding="utf-8")
    assert run(folder, "files", str(folder / "site")).output.startswith("1 file written into")


def test_the_sheet_leads_to_its_page_and_says_where_that_is_on_the_web(folder: Path) -> None:
    page = folder / "site" / "episodes" / "final.html"
    link = '<link rel="canonical" href="https://build.test.example/episodes/final.html">'
    page.write_text(link + page.read_text("utf-8"), encoding="utf-8")
    run(folder, "files", str(folder / "site"))
    sheet = (folder / "site" / "episodes" / "final-sheet.html").read_text("utf-8")
    assert 'href="final.html"' in sheet
    assert "build.test.example/episodes/final.html" in sheet


@pytest.mark.parametrize(
    ("html", "address"),
    [
        ('<link rel="canonical" href="https://a.example/b?c&amp;d">', "https://a.example/b?c&d"),
        ("<link href=https://a.example/ rel=canonical>", "https://a.example/"),
        ('<link rel="icon" href="https://a.example/">', ""),
    ],
)
def test_the_address_of_a_page_is_the_one_that_it_states(html: str, address: str) -> None:
    assert canonical_address(html) == address


def test_nothing_is_written_while_a_figure_does_not_agree(folder: Path) -> None:
    (folder / "content" / "wrong.md").write_text(WRONG, encoding="utf-8")
    result = run(folder, "files", str(folder / "site"))
    assert result.exit_code == 1
    assert "1 error; nothing was written" in result.output
    assert not (folder / "site" / "episodes" / "final-sheet.html").exists()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("none", "is not a folder"),
        ("content", "is where the pages are written"),
        (".", "is where the pages are written"),
        ("empty", "has no page of this site"),
    ],
)
def test_what_is_no_built_site_is_refused_in_one_line(folder: Path, name: str, said: str) -> None:
    (folder / "empty").mkdir()
    for command in (("files",), ("proof", "--built")):
        result = run(folder, *command, str(folder / name))
        assert result.exit_code == 2
        assert said in result.output


def test_a_page_of_the_author_is_not_overwritten(folder: Path) -> None:
    (folder / "content" / "episodes" / "final-sheet.html").write_text("mine", encoding="utf-8")
    result = run(folder, "files", str(folder / "site"))
    assert result.exit_code == 2
    assert "content/episodes/final-sheet.html is in the way" in result.output
