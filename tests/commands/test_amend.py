"""Pages written by `buildlog amend`: byte for byte, all or nothing, and a diff that others can read."""

from __future__ import annotations

import os
import stat
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.commands.amend import amend_command
from buildlog.diagnostics import Refused
from buildlog.proof.amending import Amendment, amendments, write_page
from tests.proof.test_amending import THIRD, run
from tests.samples import GEARING, open_site, write_site
from tests.systems import is_superuser, link

ODD = [
    b"\xef\xbb\xbf{}",
    "Über\tall  \r\n\r\n{} \u200b\x0b \n\r\n".encode(),
    "a \u2028 b\r\r{}\x0c\r\n".encode(),
    b"\t\n  \n{}  \n\n\n\n",
    "# 東京 🏁\r\n\r\n🏁 {}\r".encode(),
    "e\u0301\ufeff {}\n".encode(),
]


@pytest.mark.parametrize("frame", ODD)
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", ["", "\n \t ", "\r\n\r\n"])
def test_everything_else_stays_byte_for_byte(tmp_path: Path, frame: bytes, ending: str, last: str) -> None:
    """Byte order mark, mixed line ends, trailing spaces, tabs and odd characters outlive the change."""
    figure = f"[153.5 km/h]({THIRD})".encode()
    block = ending.join(["", "", *GEARING.splitlines()])
    raw = frame.replace(b"{}", figure) + block.encode() + ending.encode() + last.encode()
    content = write_site(tmp_path, {"a.md": raw})
    (content / "a.md").chmod(0o640)
    assert run(tmp_path, "--write")[0] == 0
    assert (content / "a.md").read_bytes() == raw.replace(b"153.5", b"135.5")
    if os.name == "posix":
        assert stat.S_IMODE((content / "a.md").stat().st_mode) == 0o640
    assert [path.name for path in content.iterdir()] == ["a.md"]


def test_nothing_is_written_without_being_asked(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": f"[153.5 km/h]({THIRD})\n\n{GEARING}"})
    before = (content / "a.md").read_bytes()
    code, output = run(tmp_path)
    assert code == 0
    assert "1 figure to change (nothing was written; --write does), 0 left to you." in output
    assert (content / "a.md").read_bytes() == before


@pytest.mark.parametrize("end", ["\n", "", "\n\n", "\n\nlast"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_the_diff_is_one_that_git_applies(tmp_path: Path, end: str, ending: str, mark: str) -> None:
    """git 2.x, `git apply`: the unified diff is read by a program that is not ours."""
    text = f"{mark}One\n\ttwo [153.5 km/h]({THIRD})\n\nthree\n\n{GEARING}\nand [95.0 mph]({THIRD}) so{end}"
    text = text.replace("\n", ending)
    content = write_site(tmp_path, {"a.md": text})
    done = CliRunner().invoke(amend_command, ["--site", str(tmp_path)])
    assert done.exit_code == 0
    patch, _, _ = done.stdout_bytes.partition(b"2 figures to change")
    assert patch.startswith(b"--- a/content/a.md\n+++ b/content/a.md\n")
    subprocess.run(["git", "apply", "-"], input=patch, cwd=tmp_path, check=True)
    wanted = text.replace("153.5", "135.5").replace("95.0", "84.2")
    assert (content / "a.md").read_bytes() == wanted.encode()


def test_the_diff_gives_no_orders(tmp_path: Path) -> None:
    """Neither to a terminal nor to a CI runner, which also reads orders after blanks."""
    text = f"\x1b[31m red \u202e\n::error::no\n[153.5 km/h]({THIRD})\n##[group]no\n\n{GEARING}"
    write_site(tmp_path, {"a.md": text})
    output = run(tmp_path)[1]
    assert "+[135.5 km/h]" in output
    assert not {"\x1b", "\u202e"} & set(output)
    assert not [line for line in output.splitlines() if line.strip().startswith(("::", "##["))]


def test_a_file_that_changed_meanwhile_is_not_touched(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": "new text"})
    with pytest.raises(Refused):
        write_page(content / "a.md", "old text", "amended text")
    assert (content / "a.md").read_text() == "new text"
    assert [path.name for path in content.iterdir()] == ["a.md"]


def test_no_page_is_written_when_one_has_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    figure = f"[153.5 km/h](calc:a#{THIRD[5:]})\n"
    content = write_site(tmp_path, {"a.md": figure + GEARING, "b.md": figure, "c.md": figure})

    def meddle(book: Book, pages: list[str]) -> tuple[list[Amendment], list[object]]:
        (content / "b.md").write_text("somebody's new text")
        return amendments(book, pages)  # type: ignore[return-value]

    monkeypatch.setattr("buildlog.commands.amend.amendments", meddle)
    code, output = run(tmp_path, "--write")
    assert code == 2
    assert "content/b.md: b.md has changed on disk; run it again. Nothing was written." in output
    assert (content / "a.md").read_text() == figure + GEARING
    assert (content / "b.md").read_text() == "somebody's new text"


def test_a_full_disk_leaves_the_page_and_no_scrap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_site(tmp_path, {"a.md": f"[153.5 km/h]({THIRD})\n\n{GEARING}"})
    before = (content / "a.md").read_bytes()

    def full(number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    code, output = run(tmp_path, "--write")
    assert code == 2
    assert "No space left on device. Nothing was written." in output
    assert (content / "a.md").read_bytes() == before
    assert [path.name for path in content.iterdir()] == ["a.md"]


def test_an_owner_that_cannot_be_kept_stops_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_site(tmp_path, {"a.md": "text"})
    if is_superuser():
        os.chown(content / "a.md", 12345, 12346)
        write_page(content / "a.md", "text", "other")
        status = (content / "a.md").stat()
        assert (status.st_uid, status.st_gid) == (12345, 12346)

        def refuse(*arguments: object) -> None:
            raise PermissionError(1, "Operation not permitted")

        monkeypatch.setattr(os, "chown", refuse)
        with pytest.raises(PermissionError):
            write_page(content / "a.md", "other", "third")
        assert (content / "a.md").read_text() == "other"


def test_a_write_protected_page_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_site(tmp_path, {"a.md": "text"})
    monkeypatch.setattr(os, "access", lambda path, mode: False)  # as for anybody but root
    with pytest.raises(PermissionError):
        write_page(content / "a.md", "text", "other")
    assert (content / "a.md").read_text() == "text"


def test_of_a_link_the_file_at_its_end_is_written(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": f"[153.5 km/h]({THIRD})\n\n{GEARING}"})
    link(content / "b.md", "a.md")
    code, output = run(tmp_path, "--write")
    assert code == 0, output
    assert (content / "b.md").is_symlink()
    assert not (content / "a.md").is_symlink()
    assert "[135.5 km/h]" in (content / "b.md").read_text()


def test_a_label_that_would_make_the_page_another_is_left(tmp_path: Path) -> None:
    """A label is also read as Markdown: nothing is changed where the page would fall apart otherwise."""
    book = open_site(tmp_path, {"a.md": f"[153.5 km/h]({THIRD}) [1 %]({THIRD} 'vs before')\n\n{GEARING}"})
    from buildlog.proof.amending import _reads_alike

    page = book.pages["a"]
    link = page.scanned.links[0]
    good, bad = (
        Amendment(
            page="a",
            position=link.label_position,
            start=link.label_start,
            end=link.label_end,
            old=link.label,
            new=new,
        )
        for new in ("135.5 km/h", "135.5] km/h")
    )
    assert _reads_alike(page, [good])
    assert not _reads_alike(page, [bad])


def test_only_the_pages_that_were_named(tmp_path: Path) -> None:
    figure = f"[153.5 km/h](calc:a#{THIRD[5:]})\n"
    content = write_site(tmp_path, {"a.md": figure + GEARING, "b.md": figure})
    assert run(tmp_path, str(content / "b.md"), "--write")[0] == 0
    assert "153.5" in (content / "a.md").read_text()
    assert "135.5" in (content / "b.md").read_text()
    assert run(tmp_path, str(content / "no.md"))[0] == 2


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_figures_of_the_front_matter_are_brought_into_line_too(
    tmp_path: Path, mark: bytes, ending: str
) -> None:
    """Plain, in single and in double quotes, in a list, as a key; comments and other keys stay."""
    figure = f"[153.5 km/h]({THIRD})"
    front = ending.join(
        [
            "---",
            "title:  'A'   # 153.5",
            "buildlog:",
            f"  time: to {figure}   # soon",
            "  tools:",
            f'  - "to {figure}"',
            "",
            f"  - 'to {figure}'",
            "  measure:",
            f'  - "up to {figure}" :  km/h',
            "---",
            "",
            "",
        ]
    )
    raw = mark + (front + ending.join(GEARING.splitlines()) + ending).encode()
    content = write_site(tmp_path, {"a.md": raw})
    code, output = run(tmp_path, "--write")
    assert (code, output.splitlines()[-1]) == (0, "4 figures changed, 0 left to you.")
    assert (content / "a.md").read_bytes() == raw.replace(b"[153.5", b"[135.5")


def test_a_front_matter_that_is_not_read_is_not_called_in_line(tmp_path: Path) -> None:
    text = f"---\nbuildlog:\n  undo: >\n   up to\n   [153.5 km/h]({THIRD})\n---\n\n{GEARING}"
    write_site(tmp_path, {"a.md": text})
    code, output = run(tmp_path)
    assert code == 0
    assert output.splitlines()[-1] == "Not all could be read: “buildlog proof” says what is wrong."
