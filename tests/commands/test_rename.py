"""`buildlog rename`: every address follows, the way back leads back, and nothing is half done."""

from __future__ import annotations

import os
import subprocess
from itertools import count
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import buildlog.commands.rename as rename_module
from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.proof.proof import proof_book
from tests.parts import PARTS, with_part
from tests.samples import GEARING, calc, write_site

BILL = calc(
    """
    id: bill
    kind: parts
    inputs:
      currency: EUR
      parts:
        - {name: hose clamp, mass: 40 g, price: 3 EUR}
        - {name: "duct, 2 m", mass: 400 g, price: 30 EUR}
    """
)
SPARE = calc(
    """
    id: spare
    kind: gearing
    inputs:
      gears: [3.3, 2.0]
      tyre: 195/50R15
      rev_limit: 8200 rpm
      final_drive: calc:episodes/axle#shorter-final.after.overall_ratio.5
    """
)
PREDICTS = """predicts:
  after.speed_at_limit.3: calc:episodes/other#spare.speed_at_limit.2
  speed_at_limit.2: calc:shorter-final.after.speed_at_limit.1
cases:"""
FILES: dict[str, str | bytes] = {
    "episodes/axle.md": f"""\
---
title: The axle
buildlog:
  bill: [bill]
---
# Axle

Third runs out at [135.5 km/h](calc:shorter-final.after.speed_at_limit.3), which is
[15.1 km/h](calc:shorter-final.after.speed_at_limit.3 "± 0.1 km/h; vs before") less,
or [15.1 km/h][so] less, to [135.52 km/h], and a clamp weighs [40 g](calc:bill.line_mass.hose-clamp).
The same stands in [the other](other.md), [from here](../index.md#top) and ![a picture](../a.png).

[so]: calc:episodes/axle#shorter-final.after.speed_at_limit.3 "in km/h; vs before"
[135.52 km/h]: <calc:episodes/axle.md#shorter-final.after.speed_at_limit.3>

{GEARING.replace("cases:", PREDICTS)}
{BILL}
""",
    "episodes/other.md": f"""\
# Other

See [the axle](axle.md), <a href="axle.md#gears">its gears</a> and [again][axle], where [135.5 km/h](
calc:episodes/axle#shorter-final.after.speed_at_limit.3) is told.

[axle]: axle.md "The axle"

{SPARE}
""",
    "index.md": "\ufeff# Home\r\n\r\nThe [axle](episodes/axle.md) gives "
    "[135 km/h](calc:episodes/axle#shorter-final.after.speed_at_limit.3 '± 1 km/h')\r\n",
}
SETTINGS = """\
site_name: Test
docs_dir: content
nav: [index.md, {The axle: episodes/axle.md}, episodes/axle.md.txt, more/episodes/axle.md]
plugins: [buildlog]
"""
KNOWN = """\
"content/episodes/axle.md":
  loose-figure:
    - "[9 kg](calc:shorter-final.after.mass)"
"content/index.md":
  loose-figure:
    - "[9 kg](calc:episodes/axle#shorter-final.after.mass)"
"""
# What is renamed, to what, and what leads back.
RENAMINGS = {
    "page": ("episodes/axle", "episodes/final-drive", "episodes/final-drive", "episodes/axle"),
    "page to another folder": ("episodes/axle", "car/axle", "car/axle", "episodes/axle"),
    "block": ("episodes/axle#shorter-final", "ratio", "episodes/axle#ratio", "shorter-final"),
    "case": (
        "episodes/axle#shorter-final.after",
        "fitted",
        "episodes/axle#shorter-final.fitted",
        "after",
    ),
    "row": ("episodes/axle#bill.hose-clamp", "hose clip", "episodes/axle#bill.hose-clip", "hose clamp"),
    "row by its words": ("episodes/axle#bill.duct, 2 m", "pipe", "episodes/axle#bill.pipe", "duct, 2 m"),
}


@pytest.fixture(name="site")
def make_site(tmp_path: Path) -> Path:
    write_site(tmp_path, FILES)
    (tmp_path / "mkdocs.yml").write_text(SETTINGS)
    (tmp_path / "known-findings.yml").write_text(KNOWN)
    recorded = CliRunner().invoke(main, ["ledger", "--record", "--site", str(tmp_path)])
    assert recorded.exit_code == 0, recorded.output
    return tmp_path


def run(site: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["rename", *arguments, "--site", str(site)])


def contents(site: Path) -> dict[str, bytes]:
    return {
        path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()
    }


def verdicts(site: Path) -> tuple[list[str], list[tuple[str, bool]]]:
    report = proof_book(Book.open(root=site))
    return sorted(one.code.name for one in report.findings), sorted(
        (entry.label, entry.agrees) for entry in report.entries
    )


def test_the_site_proofs_clean(site: Path) -> None:
    report = proof_book(Book.open(root=site))
    assert report.errors == ()
    assert report.count("computed") == 7


@pytest.mark.parametrize("name", RENAMINGS)
def test_there_and_back_every_byte_is_as_it_was(site: Path, name: str) -> None:
    old, new, *back = RENAMINGS[name]
    before, found = contents(site), verdicts(site)
    there = run(site, old, new, "--write")
    assert there.exit_code == 0, there.output
    assert contents(site) != before
    assert verdicts(site) == found
    home = run(site, *back, "--write")
    assert home.exit_code == 0, home.output
    assert contents(site) == before


@pytest.mark.parametrize(
    ("name", "gone", "left"),
    [
        ("page", "axle.md", 2),  # the two in mkdocs.yml that are other files
        ("block", "shorter-final", 0),
        ("case", ".after", 0),
        ("row", "hose clamp", 0),
    ],
)
def test_the_old_name_is_nowhere_any_more(site: Path, name: str, gone: str, left: int) -> None:
    old, new, *_ = RENAMINGS[name]
    assert sum(text.count(gone.encode()) for text in contents(site).values()) > left
    assert run(site, old, new, "--write").exit_code == 0
    assert sum(text.count(gone.encode()) for text in contents(site).values()) == left


def test_a_page_takes_its_links_along(site: Path) -> None:
    assert run(site, "episodes/axle", "axle", "--write").exit_code == 0
    page = (site / "content" / "axle.md").read_text()
    assert "[the other](episodes/other.md), [from here](index.md#top) and ![a picture](a.png)" in page
    other = (site / "content" / "episodes" / "other.md").read_text()
    assert '[the axle](../axle.md), <a href="../axle.md#gears">' in other
    assert '[axle]: ../axle.md "The axle"' in other


@pytest.mark.parametrize("name", RENAMINGS)
def test_without_write_a_diff_is_shown_that_git_takes(site: Path, name: str) -> None:
    old, new, *_ = RENAMINGS[name]
    before = contents(site)
    shown = run(site, old, new)
    assert (shown.exit_code, contents(site)) == (0, before)
    assert "nothing was written" in shown.output
    patch = shown.stdout_bytes[: shown.stdout_bytes.rindex(name.split()[0].encode() + b" ")]
    subprocess.run(["git", "init", "-q"], cwd=site, check=True)
    subprocess.run(["git", "apply", "--unidiff-zero", "-"], input=patch, cwd=site, check=True)
    subprocess.run(["rm", "-rf", ".git"], cwd=site, check=True)
    applied = contents(site)
    for path in list(site.rglob("*")):
        if path.is_file():
            path.unlink()
    for relative, text in before.items():
        (site / relative).parent.mkdir(exist_ok=True, parents=True)
        (site / relative).write_bytes(text)
    assert run(site, old, new, "--write").exit_code == 0
    assert contents(site) == applied


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("episodes/axel", "x", "there is no page “episodes/axel”; expected a page; did you mean"),
        ("episodes/axle", "index", "“index” is there already"),
        ("episodes/axle", "../out", "“../out” is no name"),
        ("episodes/axle", "a//b", "“a//b” is no name"),
        ("episodes/axle#shorter", "x", "there is no block “shorter” on episodes/axle"),
        ("episodes/axle#shorter-final", "bill", "“bill” is there already"),
        ("episodes/axle#shorter-final", "Bad Name", "“Bad Name” is no name"),
        ("episodes/axle#shorter-final.before", "after", "“after” is there already"),
        ("episodes/axle#shorter-final.befor", "x", "shorter-final has no case and no row “befor”"),
        ("episodes/axle#bill.hose-clamp", "duct, 2 m", "“duct, 2 m” is no new name for a row"),
        ("episodes/axle#bill.hose-clamp", "!", "“!” is no new name for a row"),
    ],
)
def test_what_cannot_be_renamed_is_told_in_a_line(site: Path, old: str, new: str, said: str) -> None:
    before = contents(site)
    result = run(site, old, new, "--write")
    assert (result.exit_code, contents(site)) == (2, before)
    assert said in result.output


def test_a_name_that_an_address_has_already_is_refused(site: Path) -> None:
    """Afterwards nobody could tell which of them were renamed."""
    page = site / "content" / "index.md"
    page.write_text("[9 km/h](calc:episodes/axle#ratio.after.speed_at_limit.3)\n")
    result = run(site, "episodes/axle#shorter-final", "ratio", "--write")
    assert result.exit_code == 2
    assert "the proof would find something else afterwards: error figure-disagrees;" in result.output


def test_an_address_that_is_written_in_another_way_is_not_lost(site: Path) -> None:
    page = site / "content" / "episodes" / "other.md"
    address = "calc:episodes/axle#shorter-final.after.overall_ratio.5"
    escaped = '"' + address.replace("#", r"\x23") + '"'
    speed = "\n[57 km/h](calc:spare.speed_at_limit.1) in first.\n"
    page.write_text(page.read_text().replace(address, escaped) + speed)
    assert escaped in page.read_text()
    assert not proof_book(Book.open(root=site)).errors
    before = contents(site)
    result = run(site, "episodes/axle#shorter-final", "ratio", "--write")
    assert (result.exit_code, contents(site)) == (2, before)
    assert "afterwards: error rests-on-fault, error unknown-address, “57 km/h” would be" in result.output
    assert "write the addresses that name it plainly" in result.output


@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_all_files_or_none(site: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int) -> None:
    before = contents(site)
    put, calls = os.replace, count(1)

    def fails(made: Path, path: Path) -> None:
        if next(calls) == fails_at:
            raise OSError(28, "No space left on device", str(made), None, str(path))
        put(made, path)

    monkeypatch.setattr(os, "replace", fails)
    result = run(site, "episodes/axle", "axle", "--write")
    assert result.exit_code == 2
    assert "No space left on device. Nothing was changed." in result.output
    assert contents(site) == before


def test_a_file_that_has_changed_meanwhile_is_left_alone(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = site / "content" / "index.md"
    seen = rename_module._see_that_it_holds

    def edits(*arguments: object) -> None:
        seen(*arguments)  # type: ignore[arg-type]
        page.write_text("Other.\n")

    monkeypatch.setattr(rename_module, "_see_that_it_holds", edits)
    result = run(site, "episodes/axle", "axle", "--write")
    assert result.exit_code == 2
    assert "has changed on disk. Nothing was written" in result.output
    assert page.read_text() == "Other.\n"
    assert (site / "content" / "episodes" / "axle.md").is_file()


# --- files of parts ---------------------------------------------------------------------------------


@pytest.fixture(name="garage")
def make_garage(tmp_path: Path) -> Path:
    """A site with parts, whose files name pages and a block that draws one; the written forms differ."""
    box = (
        PARTS["box-b"]
        .replace("{of: second#side}", '{of: "second#side"}')
        .replace("by: second}", "by: 'second'}")
    )
    write_site(
        tmp_path,
        {**with_part("box-b", box.replace("\n", "\r\n")), "parts/old-box.yml": "\ufeff" + PARTS["old-box"]},
    )
    (tmp_path / "mkdocs.yml").write_text("site_name: Test\ndocs_dir: content\nplugins: [buildlog]\n")
    return tmp_path


@pytest.mark.parametrize(
    ("old", "new", "back", "home", "named"),
    [
        (
            "second",
            "episodes/two",
            "episodes/two",
            "second",
            ['"episodes/two#side"', "page: episodes/two\r\n", "by: 'episodes/two'"],
        ),
        (
            "second#side",
            "wall",
            "second#wall",
            "side",
            ['{of: "second#wall"}', "page: second\r\n", "by: 'second'"],
        ),
    ],
)
def test_files_of_parts_follow_there_and_back(
    garage: Path, old: str, new: str, back: str, home: str, named: list[str]
) -> None:
    before, found = contents(garage), verdicts(garage)
    there = run(garage, old, new, "--write")
    assert there.exit_code == 0, there.output
    text = (garage / "content" / "parts" / "box-b.yml").read_bytes().decode()
    for written in named:
        assert written in text
    assert verdicts(garage) == found
    assert run(garage, back, home, "--write").exit_code == 0
    assert contents(garage) == before


def test_a_part_that_names_another_page_stays_as_it_is(garage: Path) -> None:
    before = contents(garage)
    assert run(garage, "box", "first", "--write").exit_code == 0
    after = contents(garage)
    assert after["content/parts/box-b.yml"] == before["content/parts/box-b.yml"]
    assert "by: first," in after["content/parts/old-box.yml"].decode("utf-8-sig")
    assert after["content/parts/old-box.yml"].startswith(b"\xef\xbb\xbf")
