"""The sentences of “Pages of strangers” that no other test here is about, and its examples as they stand."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from mkdocs.exceptions import Abort

from tests.attacks.proofing import proof_there
from tests.attacks.test_nothing_runs import RUNS
from tests.guests.small_sites import build_site
from tests.house import ROOT
from tests.samples import GEARING, write_site

PAGE = (ROOT / "content" / "manual" / "strangers.md").read_text("utf-8")
SCRIPT = "</title><script>alert(1)</script>"


def example(language: str, of: str) -> str:
    """The block of the page that holds a word."""
    blocks = re.findall(rf"^ *```{language}\n(.*?)^ *```", PAGE, re.M | re.S)
    (found,) = [block for block in blocks if of in block]
    return str(found)


def site(folder: Path, front: str, theme: str, hook: bool) -> Path:
    write_site(
        folder, {"index.md": "# Home\n", "a.md": f"---\n{front}\n---\n\n# A\n\n<script>b()</script>\n"}
    )
    hooks = "hooks: [front_matter.py]\n" if hook else ""
    (folder / "front_matter.py").write_text(example("python", "on_page_markdown"), "utf-8")
    (folder / "mkdocs.yml").write_text(
        f"site_name: x\ndocs_dir: content\ntheme: {theme}\nplugins: [buildlog]\n{hooks}", "utf-8"
    )
    return build_site(folder)


@pytest.mark.parametrize("theme", ["mkdocs", "material"])
def test_a_title_and_raw_html_come_out_as_they_are(tmp_path: Path, theme: str) -> None:
    """Of the generator and its themes. Where they learn to escape it, the page has to say something else."""
    built = site(tmp_path, f'title: "{SCRIPT}"', theme, hook=False)
    assert SCRIPT in (built / "a" / "index.html").read_text("utf-8")
    assert "<script>b()</script>" in (built / "a" / "index.html").read_text("utf-8")
    assert "<script>alert(1)</script>" in (built / "index.html").read_text("utf-8")  # in the navigation


@pytest.mark.parametrize(
    "front",
    [
        f'title: "{SCRIPT}"',
        "description: 'x\" onload=\"y'",
        "hide: ['<b>']",
        "extra: {deep: [{er: '<'}]}",
        "'<b>': x",
    ],
)
def test_the_hook_of_the_manual_stops_it(
    tmp_path: Path, front: str, caplog: pytest.LogCaptureFixture
) -> None:
    with pytest.raises(Abort):
        site(tmp_path, front, "mkdocs", hook=True)
    assert 'a.md: < > or " in the front matter' in caplog.text
    assert not (tmp_path / "site" / "a").exists()


def test_the_hook_lets_pass_what_is_meant_well(tmp_path: Path) -> None:
    front = (
        "title: ‹Gears› & “drives”, it's\ndate: 2024-05-31\nhide: [toc]\nbuildlog: {series: S, episode: 1}"
    )
    assert (site(tmp_path, front, "mkdocs", hook=True) / "a" / "index.html").is_file()


def test_the_gate_of_the_manual() -> None:
    jobs = yaml.safe_load(example("yaml", "publish:"))["jobs"]
    assert jobs["publish"]["needs"] == "proof"
    assert "push" in jobs["publish"]["if"]
    assert not any("mkdocs" in step["run"] for step in jobs["proof"]["steps"])


@pytest.mark.parametrize(
    ("options", "is_read"),
    [
        (yaml.safe_load(example("yaml", "base_path"))["markdown_extensions"][0]["pymdownx.snippets"], False),
        ({}, True),
        ({"base_path": ["content"], "restrict_base_path": False}, True),
    ],
    ids=["a folder", "none", "unrestricted"],
)
def test_snippets_come_from_where_the_settings_say(tmp_path: Path, options: object, is_read: bool) -> None:
    content = write_site(tmp_path, {"snippets/own.md": "own", "a.md": f'--8<-- "../beside.md"\n\n{GEARING}'})
    (tmp_path / "beside.md").write_text("[9 mm](cite:beside)\n", "utf-8")
    if not options:
        (content / "a.md").write_text(f'--8<-- "beside.md"\n\n{GEARING}', "utf-8")
    settings = {"site_name": "x", "docs_dir": "content", "plugins": ["buildlog"]}
    (tmp_path / "mkdocs.yml").write_text(
        yaml.safe_dump({**settings, "markdown_extensions": [{"pymdownx.snippets": options}]}), "utf-8"
    )
    told = proof_there(tmp_path)
    assert ("beside" in str(told.of("unknown-source"))) == is_read


@pytest.mark.parametrize(("isolated", "runs"), [(["-I"], False), ([], True)])
def test_python_looks_in_the_folder_unless_it_is_isolated(
    tmp_path: Path, isolated: list[str], runs: bool
) -> None:
    write_site(tmp_path, {"a.md": "# A\n"})
    (tmp_path / "yaml.py").write_text(RUNS, "utf-8")
    command = [sys.executable, *isolated, "-m", "buildlog.cli", "proof"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, timeout=120, check=False)
    assert (tmp_path / "owned").exists() == runs


def test_the_page_is_named_and_nobody_is_invented() -> None:
    assert "content/manual/strangers.md" in (ROOT / "README.md").read_text("utf-8")
    security = (ROOT / "SECURITY.md").read_text("utf-8")
    assert "content/manual/strangers.md" in security
    for text in (PAGE, security):
        assert not re.search(r"@|https?:|mailto:", re.sub(r"^ *```.*?^ *```", "", text, flags=re.M | re.S))
