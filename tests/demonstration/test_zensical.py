"""The demonstration built by Zensical with our extension alone, beside the same built by MkDocs."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import zensical as generator
from click.testing import CliRunner, Result

from buildlog.built.html import FinishedPage
from buildlog.cli import main
from tests.demonstration.conftest import ROOT

pytestmark = pytest.mark.slow

_CHART = re.compile(r'<figure class="buildlog-chart"')
_FINDINGS = re.compile(r'class="(?:buildlog-box-title|buildlog-verdict)"')


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, demo: Path) -> Path:
    """The demonstration as Zensical builds it, in its folder. Charts that MkDocs has drawn are taken over."""
    folder = tmp_path_factory.mktemp("zensical")
    for name in ("content", "theme"):
        shutil.copytree(ROOT / name, folder / name)
    shutil.copy(ROOT / "mkdocs.yml", folder)
    if (drawn := ROOT / ".cache" / "buildlog").is_dir():
        shutil.copytree(drawn, folder / ".cache" / "buildlog")
    paths = os.pathsep.join(os.path.abspath(path) for path in sys.path if path)
    run = subprocess.run(
        [sys.executable, "-m", generator.__name__, "build"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return folder


def pages_with_figures(demo: Path) -> Iterator[tuple[str, str]]:
    for page in sorted(demo.rglob("*.html")):
        html = page.read_text("utf-8")
        if "buildlog-card" in html or "buildlog-mark" in html:
            yield page.relative_to(demo).as_posix(), html


def test_every_page_has_the_same_cards_charts_and_figures_as_with_the_plugin(
    folder: Path, demo: Path
) -> None:
    compared = cards = charts = figures = 0
    for name, html in pages_with_figures(demo):
        other = (folder / "site" / name).read_text("utf-8")
        ours, theirs = FinishedPage(html), FinishedPage(other)
        assert theirs.labels == ours.labels, name
        assert theirs.cards == ours.cards, name
        for pattern in (_CHART, _FINDINGS):
            assert len(pattern.findall(other)) == len(pattern.findall(html)), name
        compared += 1
        cards, figures = cards + ours.cards, figures + len(ours.labels)
        charts += len(_CHART.findall(html))
    assert compared >= 12
    assert cards >= 80
    assert charts >= 30
    assert figures >= 400


def command(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments, str(folder / "site"), "--site", str(folder)])


def test_what_is_written_beside_the_pages_is_what_the_plugin_publishes(folder: Path, demo: Path) -> None:
    written = command(folder, "files")
    assert written.exit_code == 0, written.output
    theirs = {path.relative_to(demo) for path in demo.rglob("*-sheet.html")}
    theirs |= {path.relative_to(demo) for path in (demo / "assets" / "buildlog").rglob("*") if path.is_file()}
    assert len(theirs) > 100
    for path in theirs:
        assert (folder / "site" / path).read_bytes() == (demo / path).read_bytes(), path
    gate = command(folder, "proof", "--built")
    assert gate.exit_code == 0, gate.output
