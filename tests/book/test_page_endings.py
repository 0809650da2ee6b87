"""Every file that MkDocs renders is a page, whatever its ending; two files of one name are a finding."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from mkdocs.utils import markdown_extensions

from buildlog.book.affected import affected_pages
from buildlog.cli import main
from buildlog.files.page_names import ENDINGS, ending_of, without_ending
from buildlog.proof.proof import proof_book
from tests.samples import GEARING, open_site

WRONG = f"{GEARING}\n[9 km/h](calc:shorter-final.after.speed_at_limit.3)\n"


def test_the_endings_are_those_of_mkdocs() -> None:
    assert sorted(ENDINGS) == sorted(markdown_extensions)


@pytest.mark.parametrize("ending", markdown_extensions)
def test_a_page_of_any_ending_is_proofed(tmp_path: Path, ending: str) -> None:
    book = open_site(tmp_path, {f"log/notes{ending}": WRONG})
    (error,) = proof_book(book).errors
    assert (error.code.name, error.position.path) == ("figure-disagrees", f"content/log/notes{ending}")
    assert list(book.pages) == ["log/notes"]
    assert book.file_of("log/notes") == f"log/notes{ending}"


def test_other_files_are_no_pages(tmp_path: Path) -> None:
    names = ("a.MD", "a.mdx", "a.txt", "a.md.bak", "amd", ".hidden.markdown")
    pages: dict[str, str | bytes] = dict.fromkeys(names, WRONG)
    assert not open_site(tmp_path, pages).pages
    assert [ending_of(name) for name in names[:-1]] == [""] * 5
    assert without_ending("a/b.c.mkd") == "a/b.c"


def test_two_files_of_one_name_are_a_finding(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.markdown": WRONG, "a.md": "# Other\n", "b/a.md": "# Third\n"})
    faults = [fault for fault in proof_book(book).errors if fault.code.name == "same-page-twice"]
    assert [(str(fault.position), str(fault.second)) for fault in faults] == [
        ("content/a.md:1:1", "content/a.markdown:1:1")
    ]


def test_another_page_is_named_with_or_without_its_ending(tmp_path: Path) -> None:
    right = "[124.8 km/h](calc:{}#shorter-final.before.speed_at_limit.2 '± 50 %')\n"
    pages: dict[str, str | bytes] = {
        "gears.mkd": GEARING,
        "one.md": right.format("gears"),
        "two.md": right.format("gears.mkd"),
    }
    assert proof_book(open_site(tmp_path, pages)).errors == ()


def test_a_change_is_followed_to_such_a_page(tmp_path: Path) -> None:
    book = open_site(tmp_path, {"a.markdown": GEARING, "b.md": "# Other\n"})
    changed = {Path(os.path.realpath(tmp_path / "content" / "a.markdown"))}
    assert affected_pages(book, changed) == ["a"]


def test_such_a_page_is_amended(tmp_path: Path) -> None:
    open_site(tmp_path, {"notes.markdown": WRONG.replace("[9 km/h]", "[120 km/h]")})
    outcome = CliRunner().invoke(main, ["amend", "--write", "--site", str(tmp_path)])
    assert outcome.exit_code == 0, outcome.output
    assert "[120 km/h]" not in (tmp_path / "content" / "notes.markdown").read_text()
    assert sorted(path.name for path in (tmp_path / "content").iterdir()) == ["notes.markdown"]
