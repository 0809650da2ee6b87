"""Zensical, which runs no MkDocs plugins, with our Markdown extension alone; and the gate on what it builds.

The generator itself builds small sites here, in a process of its own; tests/demonstration has the whole one.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
import zensical as generator
from click.testing import CliRunner, Result

from buildlog.cli import main
from tests.jobs import FILES
from tests.parsed_html import parse
from tests.samples import calc, write_site

SETTINGS = """\
site_name: Test
docs_dir: content
watch: [content]
plugins: [search, buildlog]
markdown_extensions:
  - tables
  - buildlog:
      files: true
"""
TOML = """\
[project]
site_name = "Test"
docs_dir = "content"
watch = ["content"]
use_directory_urls = false
[project.plugins.buildlog]
units = "us"
[project.markdown_extensions.tables]
[project.markdown_extensions.buildlog]
files = true
"""
LOG = "# Log\n\nThe mean is [7.6 mm](calc:plate.mean).\n\n" + calc(
    """
    id: plate
    kind: measured
    inputs: {readings: {data: plate.csv}, resolution: 0.01 mm}
    """
)
PLATE = "reading [mm]\n7.62\n7.58\n7.60\n7.63\n"
THINNER = PLATE.replace("7.6", "7.5")  # 7.52, 7.58, 7.50, 7.53: 7.5325 mm, by hand
PAGES: dict[str, str | bytes] = {
    **FILES,
    "index.md": "# Home\n",
    "log.md": LOG,
    "plate.csv": PLATE,
    "ledger.md": '# All figures\n\n<div data-buildlog="ledger"></div>\n',
}


def zensical(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", generator.__name__, "build"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(os.path.abspath(path) for path in sys.path if path)},
        capture_output=True,
        text=True,
        check=False,
    )


def built(folder: Path, settings: str = SETTINGS, name: str = "mkdocs.yml") -> Path:
    """A site of the pages, built."""
    write_site(folder, PAGES)
    (folder / name).write_text(settings, encoding="utf-8")
    run = zensical(folder)
    assert run.returncode == 0, run.stderr
    return folder / "site"


def buildlog(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments, "--site", str(folder)])


def words_of(page: Path) -> str:
    return " ".join(parse(page.read_text("utf-8")).words.split())


@pytest.mark.slow
def test_with_the_extension_and_one_command_the_site_is_what_was_proofed(tmp_path: Path) -> None:
    site = built(tmp_path)
    page = (site / "episodes" / "final" / "index.html").read_text("utf-8")
    assert 'id="calc-pair"' in page
    assert 'href="../final-sheet.html"' in page  # Zensical writes the addresses anew for its folders
    assert 'src="../../assets/buildlog-yours.js"' in page
    assert buildlog(tmp_path, "proof", "--built", str(site)).exit_code == 1
    assert buildlog(tmp_path, "files", str(site)).exit_code == 0
    after = buildlog(tmp_path, "proof", "--built", str(site))
    assert after.exit_code == 0, after.output
    for file in (
        "episodes/final-sheet.html",
        "assets/buildlog/episodes/final.zip",
        "assets/buildlog/log.json",
    ):
        assert (site / file).is_file()


@pytest.mark.slow
def test_settings_that_the_plugin_is_enough_for_publish_raw_blocks_and_the_gate_says_so(
    tmp_path: Path,
) -> None:
    site = built(tmp_path, SETTINGS.partition("  - buildlog:\n")[0])
    gate = buildlog(tmp_path, "proof", "--built", str(site), "--format", "lines")
    assert gate.exit_code == 1
    errors = [line for line in gate.output.splitlines() if ": error " in line]
    assert sorted(line.split(":")[0] for line in errors if "page-not-computed" in line) == [
        "content/episodes/duct.md",
        "content/episodes/final.md",
        "content/log.md",
    ]
    lists = [line.split(":")[0] for line in errors if "list-not-shown" in line]
    assert sorted(lists) == ["content/episodes/final.md", "content/ledger.md"]


@pytest.mark.slow
def test_a_changed_data_file_reaches_the_site_if_it_is_watched(tmp_path: Path) -> None:
    site = built(tmp_path)
    (tmp_path / "content" / "plate.csv").write_text(THINNER, encoding="utf-8")
    (tmp_path / "content" / "log.md").write_text(LOG.replace("7.6 mm", "7.5 mm"), encoding="utf-8")
    assert zensical(tmp_path).returncode == 0
    page = (site / "log" / "index.html").read_text("utf-8")
    assert "7.5 mm" in page
    assert "Computed: 7.532 " in page or "Computed: 7.533 " in page
    assert "7.5 mm" in (site / "ledger" / "index.html").read_text("utf-8")  # its own file is what it was


@pytest.mark.slow
def test_the_gate_finds_a_page_that_was_kept_though_its_data_have_changed(tmp_path: Path) -> None:
    site = built(tmp_path, SETTINGS.replace("watch: [content]\n", ""))
    (tmp_path / "content" / "plate.csv").write_text(PLATE.replace("7.63", "7.62"), encoding="utf-8")
    assert buildlog(tmp_path, "proof").exit_code == 0  # it rounds to the same
    assert zensical(tmp_path).returncode == 0
    assert buildlog(tmp_path, "files", str(site)).exit_code == 0
    gate = buildlog(tmp_path, "proof", "--built", str(site), "--format", "lines")
    assert gate.exit_code == 1
    assert "content/log.md:1:1: error page-stale" in gate.output


@pytest.mark.slow
def test_a_build_that_is_to_refuse_errors_stops_and_names_them(tmp_path: Path) -> None:
    write_site(tmp_path, {**PAGES, "plate.csv": THINNER})
    (tmp_path / "mkdocs.yml").write_text(SETTINGS + "      refuse: true\n", encoding="utf-8")
    run = zensical(tmp_path)
    assert run.returncode == 1
    assert "content/log.md:3:14: error figure-disagrees" in run.stderr
    assert not (tmp_path / "site" / "log" / "index.html").exists()


@pytest.mark.slow
def test_its_own_settings_are_read_too_and_pages_may_be_files(tmp_path: Path) -> None:
    site = built(tmp_path, TOML, "zensical.toml")
    assert 'data-units="us"' in (site / "log.html").read_text("utf-8")
    assert buildlog(tmp_path, "files", str(site)).exit_code == 0
    gate = buildlog(tmp_path, "proof", "--built", str(site))
    assert gate.exit_code == 0, gate.output
