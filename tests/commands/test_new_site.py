"""`buildlog start` where there is no site yet: what it writes, what it leaves alone, and what it says."""

from __future__ import annotations

import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result

from buildlog.book.book import Book
from buildlog.cli import main
from buildlog.commands import installed
from buildlog.files import new_files
from buildlog.kinds import catalogue
from buildlog.proof.proof import Report, proof_book
from buildlog.report import episode
from buildlog.report.new_site import CI_FILES
from buildlog.version import __version__
from tests.samples import write_site
from tests.systems import is_superuser, link, on_unix, read_only

ROOT = Path(__file__).resolve().parents[2]
COMMON = [
    ".gitignore",
    "content/cars/my-car.yml",
    "content/episodes/a-first-episode.md",
    "content/index.md",
    "content/sources.yml",
    "mkdocs.yml",
    "requirements.txt",
]


def start(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["start", *arguments, "--site", str(folder)], catch_exceptions=False)


def files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def proof(folder: Path) -> Report:
    return proof_book(Book.open(root=folder))


# --- what is written --------------------------------------------------------------------------------


@pytest.mark.parametrize("host", ["none", *CI_FILES])
def test_an_empty_folder_becomes_a_site_that_proofs_clean(tmp_path: Path, host: str) -> None:
    result = start(tmp_path, "--host", host)
    assert result.exit_code == 0, result.output
    ci = [CI_FILES[host]] if host in CI_FILES else []
    assert files(tmp_path) == sorted(COMMON + ci)
    for name in files(tmp_path):
        assert re.search(rf"^  {re.escape(name)}  +\S", result.output, re.M), f"{name} is not told"
    report = proof(tmp_path)
    assert report.findings == ()
    assert (report.count("cited"), report.count("told"), report.count("loose")) == (1, 1, 0)
    assert report.count("computed") >= 7
    assert set(report.book.pages) == {"index", "episodes/a-first-episode"}
    kinds = [block.kind for block in report.book.results.values() if block.page]
    assert kinds == ["gearing", "decision"]


@pytest.mark.parametrize("kind", catalogue.kind_names())
def test_a_site_begins_with_any_kind_and_what_is_the_cars_is_in_its_sheet(tmp_path: Path, kind: str) -> None:
    assert start(tmp_path, "Begun so", "--kind", kind).exit_code == 0
    report = proof(tmp_path)
    assert report.findings == ()
    sheet = yaml.safe_load((tmp_path / "content" / "cars" / "my-car.yml").read_text("utf-8"))
    example = yaml.safe_load(catalogue.load_kind(kind).examples[0])
    of_the_car = episode._OF_THE_CAR & set(example.get("inputs", {}))
    assert set(sheet["inputs"]) == of_the_car
    text = (tmp_path / "content" / "episodes" / "begun-so.md").read_text("utf-8")
    assert ("\ncar: my-car\n" in text) == bool(of_the_car)
    assert "Everything on these pages is invented" in (tmp_path / "content" / "index.md").read_text("utf-8")


def test_what_belongs_into_a_sheet_are_inputs_that_there_are() -> None:
    every = {
        declared.name for kind in catalogue.kind_names() for declared in catalogue.load_kind(kind).inputs
    }
    assert episode._OF_THE_CAR - every == set()


@pytest.mark.parametrize(
    "title", ["Größere Düse", "Noise: less of it", "A [link](x) | *b* `c` _d_ <b> & more", "#1 & 2", "---"]
)
def test_odd_names_in_an_odd_folder(tmp_path: Path, title: str) -> None:
    folder = tmp_path / "Käfer & Co (neu) 'x'"
    folder.mkdir()
    result = start(folder, title)
    if title == "---":
        assert (result.exit_code, list(folder.iterdir())) == (2, [])
        return
    assert result.exit_code == 0, result.output
    report = proof(folder)
    assert report.findings == ()
    (page,) = (page for key, page in report.book.pages.items() if key != "index")
    assert yaml.safe_load(page.text.split("---\n")[1])["title"] == title


@pytest.mark.parametrize("name", ["con", "NUL", "com1.md", "Lpt9"])
def test_no_page_is_called_as_a_device_of_windows(tmp_path: Path, name: str) -> None:
    result = start(tmp_path, name)
    assert result.exit_code == 2
    assert "Windows keeps the file name" in result.output
    assert files(tmp_path) == []


# --- what is there is left alone -----------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in COMMON if name != "mkdocs.yml"])
def test_a_file_that_is_there_stays_and_the_rest_proofs_clean_without_it(tmp_path: Path, name: str) -> None:
    kept = {
        "content/cars/my-car.yml": "name: Mine\n",
        "content/sources.yml": "",
        "content/index.md": "# Mine\n",
        "content/episodes/a-first-episode.md": "# Mine\n",
    }.get(name, "mine\n")
    (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / name).write_text(kept)
    result = start(tmp_path)
    assert result.exit_code == 0, result.output
    assert (tmp_path / name).read_text() == kept
    assert re.search(
        rf"^  {re.escape(name)}  +was there already, and was left as it is$", result.output, re.M
    )
    assert files(tmp_path) == sorted(COMMON)
    faults = {finding.code.name for finding in proof(tmp_path).findings}
    assert faults <= {"unused-car-value", "unused-source"}, (
        "notes on ours, which the page that is there does not use"
    )


def test_a_readme_is_the_home_page_that_is_there(tmp_path: Path) -> None:
    write_site(tmp_path, {"README.md": "# Mine\n"})
    assert "content/README.md" in start(tmp_path).output
    assert not (tmp_path / "content" / "index.md").exists()


def test_an_episode_of_that_name_stops_it_before_anything_is_written(tmp_path: Path) -> None:
    write_site(tmp_path, {"episodes/clutch.md": "# Mine\n"})
    result = start(tmp_path, "Clutch")
    assert result.exit_code == 2
    assert "is there already" in result.output
    assert files(tmp_path) == ["content/episodes/clutch.md"]


@pytest.mark.parametrize("settings", ["mkdocs.yml", "mkdocs.yaml", "zensical.toml"])
def test_a_folder_with_settings_gets_the_episode_alone(tmp_path: Path, settings: str) -> None:
    text = '[project]\nsite_name = "A"\ndocs_dir = "content"\n'
    (tmp_path / settings).write_text(text if settings.endswith("toml") else "docs_dir: content\n")
    assert start(tmp_path, "Gears").exit_code == 0
    assert files(tmp_path) == sorted([settings, "content/episodes/gears.md"])
    assert proof(tmp_path).findings == ()


def test_twice_in_a_row(tmp_path: Path) -> None:
    assert start(tmp_path).exit_code == 0
    before = {name: (tmp_path / name).read_bytes() for name in files(tmp_path)}
    again = start(tmp_path)
    assert again.exit_code == 2
    assert "there is a site in this folder already (mkdocs.yml)" in again.output
    assert 'buildlog start "A shorter final drive"\n' in again.output
    assert {name: (tmp_path / name).read_bytes() for name in files(tmp_path)} == before
    assert start(tmp_path, "A second one").exit_code == 0
    assert proof(tmp_path).findings == ()


def test_the_ci_file_can_come_later(tmp_path: Path) -> None:
    start(tmp_path)
    result = start(tmp_path, "--host", "gitlab")
    assert result.exit_code == 0, result.output
    assert files(tmp_path) == sorted([*COMMON, ".gitlab-ci.yml"])
    assert "Wrote .gitlab-ci.yml" in result.output
    assert "requirements.txt" not in result.output
    (tmp_path / "requirements.txt").write_text("something-else\n")
    result = start(tmp_path, "Next", "--host", "github")
    assert "It installs what requirements.txt names" in result.output
    assert f"mkdocs-buildlog=={__version__}" in result.output
    again = start(tmp_path, "Another", "--host", "github")
    assert again.exit_code == 2
    assert not (tmp_path / "content" / "episodes" / "another.md").exists()


def test_a_ci_file_below_the_root_of_the_repository_is_said_to_be_in_the_wrong_place(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    folder = tmp_path / "site"
    folder.mkdir()
    result = start(folder, "--host", "github")
    assert "works at the root of the repository" in result.output
    assert "works at the root" not in start(tmp_path, "--host", "github").output


@pytest.mark.parametrize("where", ["content", "content/episodes"])
def test_in_the_pages_of_a_site_it_makes_no_second_one(tmp_path: Path, where: str) -> None:
    (tmp_path / "mkdocs.yml").write_text("docs_dir: content\n")
    (tmp_path / where).mkdir(parents=True)
    result = start(tmp_path / where, "Gears")
    assert result.exit_code == 2
    assert "holds pages of the site in" in result.output
    assert files(tmp_path) == ["mkdocs.yml"]
    beside = tmp_path / "other"
    beside.mkdir()
    assert start(beside).exit_code == 0


def test_a_title_without_quotes_is_not_taken_apart_nor_an_empty_one_for_none(tmp_path: Path) -> None:
    result = start(tmp_path, "A", "shorter", "drive")
    assert (result.exit_code, files(tmp_path)) == (2, [])
    assert result.output == (
        'buildlog: a title of several words stands in quotes: buildlog start "A shorter drive"\n'
    )
    assert start(tmp_path, "").exit_code == 2
    assert files(tmp_path) == []


# --- all or nothing -------------------------------------------------------------------------------------


@on_unix
def test_a_folder_that_may_not_be_written_to(tmp_path: Path) -> None:
    with read_only(tmp_path):
        result = start(tmp_path)
    assert result.exit_code == 2
    why = "Read-only file system" if is_superuser() else "Permission denied"
    assert f"cannot write content: {why}. Nothing was written." in result.output
    assert files(tmp_path) == []


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("failing", ["mkdocs.yml", "content/cars/my-car.yml", "requirements.txt"])
def test_where_writing_fails_in_the_middle_nothing_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str, full: bool
) -> None:
    write_site(tmp_path, {"own.md": "# Mine\n"})
    opened, linked = Path.open, os.link

    class Full(io.BytesIO):
        def write(self, content: Any) -> int:
            raise OSError(28, "No space left on device")

    def fail(path: Path, *arguments: Any, **more: Any) -> Any:
        if path == tmp_path / failing and "xb" in arguments:
            if not full:
                raise PermissionError(13, "Permission denied", str(path))
            opened(path, "xb").close()  # a full disk shows when there is a file already
            return Full()
        return opened(path, *arguments, **more)

    def refuse(made: Path, path: Path) -> None:  # as a file system without hard links does
        if path == tmp_path / failing:
            raise PermissionError(1, "Operation not permitted", str(made), None, str(path))
        linked(made, path)

    monkeypatch.setattr(os, "link", refuse)
    monkeypatch.setattr(Path, "open", fail)
    result = start(tmp_path)
    monkeypatch.undo()
    assert result.exit_code == 2
    why = "No space left on device" if full else "Permission denied"
    assert f"cannot write {failing}: {why}. Nothing was written." in result.output
    assert files(tmp_path) == ["content/own.md"]
    assert [path.name for path in tmp_path.rglob("*") if path.is_dir()] == ["content"]


def test_what_cannot_be_taken_away_again_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "content").mkdir()
    (tmp_path / "content" / "cars").write_text("in the way")
    monkeypatch.setattr(Path, "unlink", lambda path, **more: (_ for _ in ()).throw(PermissionError(13, "no")))
    result = start(tmp_path)
    assert result.exit_code == 2
    assert "these could not be taken away again: content/index.md, content/episodes/" in result.output


def test_an_interrupt_takes_back_too(tmp_path: Path) -> None:
    class Interrupted(dict[Path, str]):
        def items(self):  # type: ignore[no-untyped-def]
            yield tmp_path / "a" / "b.md", "one"
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        new_files.write_new_files(Interrupted())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["content", "content/episodes", ".github"])
def test_a_file_where_a_folder_belongs_and_a_link_that_leads_out(tmp_path: Path, name: str) -> None:
    site, outside = tmp_path / "site", tmp_path / "outside"
    outside.mkdir()
    (site / name).parent.mkdir(parents=True)
    (site / name).write_text("mine")
    result = start(site, "--host", "github")
    assert result.exit_code == 2
    assert "Nothing was written." in result.output
    assert files(site) == [name]
    (site / name).unlink()
    link(site / name, outside)
    result = start(site, "--host", "github")
    if name == "content":  # pages may be elsewhere, if their author has it so
        assert result.exit_code == 0
    else:
        assert "leads out of the folder. Nothing was written." in result.output
        assert list(outside.iterdir()) == []


# --- what it says to type next -------------------------------------------------------------------------


def test_the_next_commands_are_those_that_are_installed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scripts = Path(sys.executable).parent
    monkeypatch.setenv("PATH", str(scripts))
    output = start(tmp_path).output
    assert re.search(r"^  buildlog proof  +\S", output, re.M)
    assert re.search(r"^  mkdocs serve  +\S", output, re.M)
    proofed = output.partition("Next, type:\n")[2].split("\n")[0].strip().partition("  ")[0]
    ran = subprocess.run(
        shlex.split(proofed), cwd=tmp_path, capture_output=True, text=True, timeout=60, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def test_programs_of_another_environment_are_not_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    for name in ("buildlog", "mkdocs"):
        (other / name).write_text("#!/bin/sh\n")
        (other / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(other))
    site = tmp_path / "site"
    site.mkdir()
    output = start(site).output
    assert f"{sys.executable} -m mkdocs serve" in output
    assert f"{sys.executable} -m buildlog.cli proof" in output


def test_where_the_proof_alone_is_installed_it_says_what_builds_the_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(installed, "find_spec", lambda name: None)
    output = start(tmp_path).output
    assert "mkdocs serve" not in output
    assert f"-m pip install mkdocs-buildlog=={__version__}" in output


@pytest.mark.parametrize(
    ("record", "line"),
    [
        ({"url": "file:///somewhere/buildlog", "dir_info": {}}, f"mkdocs-buildlog=={__version__}"),
        ({"url": "file:///w/x.whl", "archive_info": {}}, f"mkdocs-buildlog=={__version__}"),
        (
            {"url": "https://git.example.com/b", "vcs_info": {"vcs": "git", "commit_id": "ab12"}},
            "mkdocs-buildlog @ git+https://git.example.com/b@ab12",
        ),
        (
            {"url": "https://example.com/x.whl", "archive_info": {}},
            "mkdocs-buildlog @ https://example.com/x.whl",
        ),
    ],
)
def test_the_requirement_is_where_it_was_installed_from(
    monkeypatch: pytest.MonkeyPatch, record: dict[str, object], line: str
) -> None:
    class Installed:
        def read_text(self, name: str) -> str:
            assert name == "direct_url.json"
            return json.dumps(record)

    def distribution(name: str) -> Installed:
        if name != "mkdocs-buildlog":
            raise metadata.PackageNotFoundError(name)
        return Installed()

    monkeypatch.setattr(metadata, "distribution", distribution)
    assert installed.requirement() == line


# --- what it is one with -------------------------------------------------------------------------------


@pytest.mark.parametrize(("number", "host"), list(enumerate(CI_FILES)))
def test_the_ci_files_are_those_of_the_manual(tmp_path: Path, number: int, host: str) -> None:
    page = (ROOT / "content" / "manual" / "ci.md").read_text("utf-8")
    start(tmp_path, "--host", host)
    shown = re.findall(r"^```yaml\n(.*?)^```", page, re.M | re.S)[number]
    assert (tmp_path / CI_FILES[host]).read_text("utf-8") == shown
    assert f"`{CI_FILES[host]}`" in page


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["gearing", "exhaust", "parts"])
def test_it_builds_strictly_with_mkdocs(tmp_path: Path, kind: str) -> None:
    folder = tmp_path / "Käfer (neu)"
    folder.mkdir()
    assert start(folder, "Größe & <Maß> [x](y) _z_", "--kind", kind, "--host", "gitlab").exit_code == 0
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet"]
    ran = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120, check=False)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")
    (page,) = (folder / "site" / "episodes").glob("*.html")
    assert 'class="buildlog-card' in page.read_text("utf-8")
    with_mkdocs = page.read_text("utf-8")
    zensical = [sys.executable, "-m", "zensical", "build", "--clean", "--strict"]
    ran = subprocess.run(zensical, cwd=folder, capture_output=True, text=True, timeout=120, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    for part in ('class="buildlog-card', 'class="buildlog-figure'):
        assert page.read_text("utf-8").count(part) == with_mkdocs.count(part)
    assert not re.search(r"class=\"[^\"]*buildlog-wrong", page.read_text("utf-8") + with_mkdocs)
    git = shutil.which("git")
    assert git
    subprocess.run([git, "init", "-q"], cwd=folder, check=True, timeout=60)
    listed = subprocess.run(
        [git, "status", "--porcelain", "-uall"],
        cwd=folder,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout
    assert len(listed.splitlines()) == len(COMMON) + 1, "what is made is left out of the repository"
