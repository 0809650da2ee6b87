"""What the manual shows as an example is what a reader gets who follows it."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands.proof import FORMATS
from buildlog.commands.site import lines_of
from buildlog.diagnostics import Diagnostic
from buildlog.proof.proof import proof_book
from buildlog.report.text import findings_text
from buildlog.version import __version__
from tests.samples import open_site

ROOT = Path(__file__).resolve().parents[1]
MANUAL = ROOT / "content" / "manual"


def fenced(text: str, opening: str) -> list[str]:
    """The bodies of the fences that open with this line, nested ones in longer fences included."""
    return [match[2] for match in re.finditer(rf"(?ms)^(`{{3,}}){re.escape(opening)}\n(.*?)^\1$", text)]


def printed(finding: Diagnostic, book: Book) -> str:
    """A finding as the proof prints it, its no-break spaces as the manual shows them."""
    return findings_text([finding], lines_of(book)).replace("\u00a0", " ").strip()


def test_the_finding_shown_to_editors_is_the_one_that_the_page_gives() -> None:
    (shown,) = [one for one in fenced((MANUAL / "editors.md").read_text(), "text") if "stated" in one]
    place = re.match(r"content/(.+)\.md:([0-9]+):[0-9]+  error  .*›(.+?)‹", shown, re.DOTALL)
    assert place is not None
    key, line, stated = place[1], int(place[2]), place[3]
    right = re.search("Write “(.+?)”", shown)
    assert right is not None
    book = Book.open(root=ROOT)
    lines = book.pages[key].text.split("\n")
    assert right[1] in lines[line - 1]
    lines[line - 1] = lines[line - 1].replace(right[1], stated)
    wrong = book.with_page(key, "\n".join(lines))
    (error,) = proof_book(wrong, [key]).errors
    assert printed(error, wrong) == shown.strip()


def test_the_manual_lists_every_format() -> None:
    text = (MANUAL / "editors.md").read_text("utf-8")
    (table,) = re.findall(r"^\| format \| for \|\n\|[-|]+\n((?:\|.*\n)+)", text, re.MULTILINE)
    assert tuple(re.findall(r"^\| `([^`]+)` \|", table, re.MULTILINE)) == FORMATS


def test_the_finding_of_the_readme_is_the_one_that_its_episode_gives(tmp_path: Path) -> None:
    text = (ROOT / "README.md").read_text()
    (episode,) = fenced(text, "markdown")
    (shown,) = fenced(text, "text")
    book = open_site(tmp_path, {"index.md": episode.replace("137 km/h", "173 km/h")})
    (error,) = proof_book(book).errors
    assert printed(error, book).startswith(shown.strip())
    assert not proof_book(open_site(tmp_path, {"index.md": episode})).errors


def test_the_first_episode_is_the_same_in_the_readme_and_the_manual() -> None:
    assert fenced((ROOT / "README.md").read_text(), "markdown")[0] in fenced(
        (MANUAL / "index.md").read_text(), "markdown"
    )


def test_the_first_page_comes_about_as_the_manual_tells(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is printed, the figure that is changed, what the proof then says, and the tyre that all follow."""
    text = (MANUAL / "index.md").read_text("utf-8")
    site = tmp_path / "my-car"
    site.mkdir()
    monkeypatch.chdir(site)
    monkeypatch.setenv("PATH", str(Path(sys.executable).parent))
    printed_by_start, finding = fenced(text, "text")
    output = CliRunner().invoke(main, ["start"]).output
    assert output.replace(str(site), "/home/ines/my-car") == printed_by_start
    episode = site / "content" / "episodes" / "a-first-episode.md"
    named = re.search(r"In `content/episodes/a-first-episode\.md` write `(.+?)` for `(.+?)`", text)
    assert named is not None
    wrong, right = named[1], named[2]
    assert f"Write `{right}` again" in text
    as_written = episode.read_text("utf-8")
    episode.write_text(as_written.replace(f"[{right}]", f"[{wrong}]", 1), "utf-8")
    proofed = CliRunner().invoke(main, ["proof"])
    assert proofed.exit_code == 1
    assert proofed.output.replace("\u00a0", " ").startswith(finding + "\n")
    episode.write_text(as_written, "utf-8")
    sheet = site / "content" / "cars" / "my-car.yml"
    sheet.write_text(sheet.read_text("utf-8").replace("tyre: 195/50R15", "tyre: 185/60R14"), "utf-8")
    follow = CliRunner().invoke(main, ["proof"]).output
    assert "content/index.md" in follow
    assert "content/episodes/a-first-episode.md" in follow
    CliRunner().invoke(main, ["amend", "--write"])
    assert CliRunner().invoke(main, ["proof"]).exit_code == 0


def test_every_place_that_names_a_wheel_names_this_version() -> None:
    text = (MANUAL / "index.md").read_text("utf-8")
    assert set(re.findall(r"-([0-9.]+)-py3-none-any", text)) == {__version__}
    assert set(re.findall(r"buildlog@v([0-9.]+)[\"#]", text)) == {__version__}


def test_front_matter_car_and_sources_are_read_as_shown(tmp_path: Path) -> None:
    front, *_ = fenced((MANUAL / "how-to.md").read_text(), "yaml")
    # There is no such block and no such heading on this page.
    front = front.replace("  bill: pair\n", "").replace("  steps: How it goes in\n", "")
    examples = fenced((MANUAL / "index.md").read_text(), "yaml")
    (car,) = [one for one in examples if one.startswith("name: Brindle")]
    (sources,) = [one for one in examples if one.startswith("clutch-sheet:")]
    block = "```yaml calc\nid: now\nkind: gearing\ncar: brindle\ninputs: {rev_limit: 7000 rpm}\n```\n"
    book = open_site(
        tmp_path,
        {
            "a.md": f"{front}# A\n\n{block}\n[4.56](calc:now.overall_ratio.5) "
            "[22–26 N·m](cite:clutch-sheet.cover-bolts) "
            "[105 km/h](told:first-driver)\n",
            "cars/brindle.yml": car,
            "sources.yml": sources + "axle-sheet: {title: Axle}\n",
        },
    )
    assert not proof_book(book).errors
