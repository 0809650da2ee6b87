"""Figures brought into line: what changes byte for byte, and what is left to the author."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.amending import amendments, write_page
from buildlog.book import Book
from buildlog.cli import main
from buildlog.diagnostics import Refused
from buildlog.proof import proof
from tests.samples import GEARING, write_site

AFTER = "calc:shorter-final.after"  # third: 135.5246 km/h; rpm_at.1 at 100 km/h: 14262.0 rpm; change −10.0 %
ROOT = Path(__file__).resolve().parent.parent


def run(folder: Path, *arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["amend", *arguments, "--site", str(folder)], catch_exceptions=False)
    return result.exit_code, result.output


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (f"[153.5 km/h]({AFTER}.speed_at_limit.3)", "[135.5 km/h]"),
        (f"[153 km/h]({AFTER}.speed_at_limit.3)", "[136 km/h]"),
        (f"[about 180 km/h]({AFTER}.speed_at_limit.3)", "[about 136 km/h]"),
        (f"[95.0 mph]({AFTER}.speed_at_limit.3)", "[84.2 mph]"),
        (f'[153.5]({AFTER}.speed_at_limit.3 "in km/h")', "[135.5]"),
        (f"[15,000 rpm]({AFTER}.rpm_at.1)", "[14,262 rpm]"),
        (f"**[153.5 km/h]({AFTER}.speed_at_limit.3)**", "[135.5 km/h]"),
        (f'[12.0 %]({AFTER}.speed_at_limit.3 "vs before")', "[10.0 %]"),
        (f'[−12.0 %]({AFTER}.speed_at_limit.3 "vs before")', "[−10.0 %]"),
        (f"[4.100]({AFTER}.overall_ratio.5)", "[4.556]"),
    ],
)
def test_the_number_changes_and_the_style_stays(tmp_path: Path, old: str, new: str) -> None:
    content = write_site(tmp_path, {"a.md": f"See {old}.\n\n{GEARING}"})
    assert run(tmp_path)[0] == 1
    code, output = run(tmp_path, "--write")
    assert code == 0
    assert "1 figure changed, 0 left to you." in output
    assert new in (content / "a.md").read_text("utf-8").replace("**", "")
    assert proof(Book.open(content, root=tmp_path)).errors == ()
    assert run(tmp_path) == (0, "Every computed figure is in line.\n")


@pytest.mark.parametrize(
    ("figure", "why"),
    [
        (f"[over 140 km/h]({AFTER}.speed_at_limit.3)", "comparison"),
        (f"[140–150 km/h]({AFTER}.speed_at_limit.3)", "range"),
        (f"[nearly 150 km/h]({AFTER}.speed_at_limit.3)", "on which side"),
        (f'[+12.0 %]({AFTER}.speed_at_limit.3 "vs before")', "the other way"),
        (f"[43/9]({AFTER}.overall_ratio.5)", "would not do"),
        (f"[135.5 N·m]({AFTER}.speed_at_limit.3)", "does not measure"),
        (f"[1 m]({AFTER}.sped_at_limit.3)", "not there"),
    ],
)
def test_what_is_left_to_the_author(tmp_path: Path, figure: str, why: str) -> None:
    content = write_site(tmp_path, {"a.md": f"See {figure}.\n\n{GEARING}"})
    before = (content / "a.md").read_bytes()
    code, output = run(tmp_path, "--write")
    assert code == 1
    assert why in output
    assert "content/a.md:1:6: left as it is" in output
    assert (content / "a.md").read_bytes() == before


def test_everything_else_stays_byte_for_byte(tmp_path: Path) -> None:
    """Byte order mark, mixed line ends, trailing spaces, tabs and odd characters outlive the change."""
    wrong = f"Über\tall  \r\n\r\n[153.5 km/h]({AFTER}.speed_at_limit.3) \u200b\x0b \n\r\n"
    raw = b"\xef\xbb\xbf" + wrong.encode() + GEARING.replace("\n", "\r\n").encode() + b"\n \t "
    content = write_site(tmp_path, {"a.md": raw})
    (content / "a.md").chmod(0o640)
    assert run(tmp_path, "--write")[0] == 0
    assert (content / "a.md").read_bytes() == raw.replace(b"153.5", b"135.5")
    assert stat.S_IMODE((content / "a.md").stat().st_mode) == 0o640
    assert [path.name for path in content.iterdir()] == ["a.md"]


def test_nothing_is_written_without_being_asked(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": f"[153.5 km/h]({AFTER}.speed_at_limit.3)\n\n{GEARING}"})
    before = (content / "a.md").read_bytes()
    code, output = run(tmp_path)
    assert code == 1
    assert "-[153.5 km/h]" in output
    assert "+[135.5 km/h]" in output
    assert "nothing was written" in output
    assert (content / "a.md").read_bytes() == before


def test_a_file_that_changed_meanwhile_is_not_touched(tmp_path: Path) -> None:
    content = write_site(tmp_path, {"a.md": "new text"})
    with pytest.raises(Refused):
        write_page(content / "a.md", "old text", "amended text")
    assert (content / "a.md").read_text() == "new text"


def test_stale_figures_of_the_demo_are_brought_into_line(tmp_path: Path) -> None:
    import shutil

    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content)
    sheet = content / "cars" / "brindle.yml"
    sheet.write_text(sheet.read_text("utf-8").replace("8100 rpm", "7950 rpm"), "utf-8")
    changes, left = amendments(
        Book.open(content, root=tmp_path), list(Book.open(content, root=tmp_path).pages)
    )
    assert len(changes) > 10
    run(tmp_path, "--write")
    errors = {str(one.position) for one in proof(Book.open(content, root=tmp_path)).errors}
    assert errors <= {str(one.position) for one in left}
