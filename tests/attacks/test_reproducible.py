"""A site is the same to the byte wherever and however it is built: every file of it is compared."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from click.testing import CliRunner

from buildlog.cli import main
from buildlog.kept.store import FOLDER
from tests.jobs import FILES
from tests.samples import write_site

pytestmark = pytest.mark.slow

# With charts, draws, a list over the site, a feed, a search, languages and a table of data.
_SETTINGS = """\
site_name: A log
site_url: https://example.com/log/
site_author: somebody
docs_dir: content
theme: material
markdown_extensions: [attr_list, md_in_html, tables, pymdownx.superfences]
plugins:
  - search
  - buildlog"""
_KINDS = ("gearing", "acceleration", "exhaust", "bolted_joint", "duct")


@dataclass(frozen=True, kw_only=True)
class Way:
    """A way to build the site: what of it is another than usual."""

    environment: dict[str, str] = field(default_factory=dict)
    folder: str = "site"
    options: str = ""  # of the plugin, as ":\n      bundles: true"
    times: int = 1
    is_written_backwards: bool = False
    umask: int = 0o022
    cores: int = 1


WAYS = {
    "no language but C, in ASCII": Way(
        environment={"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    ),
    "German": Way(environment={"LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de"}),
    "a time zone ahead": Way(environment={"TZ": "Pacific/Kiritimati"}),
    "a time zone behind": Way(environment={"TZ": "Etc/GMT+12"}),
    "one hash seed": Way(environment={"PYTHONHASHSEED": "1"}),
    "another hash seed": Way(environment={"PYTHONHASHSEED": "4294967295"}),
    "a folder far down, with signs": Way(folder="a b/ü #1/(c)/site"),
    "files written in another order": Way(is_written_backwards=True),
    "other rights on files": Way(umask=0o077),
    "built again with what was kept": Way(times=2),
    "with nothing kept": Way(options=":\n      cache: false"),
    "on two cores": Way(cores=2),
    "on five cores, with nothing kept": Way(cores=5, options=":\n      cache: false"),
    "on three cores, then with what these kept": Way(cores=3, times=2),
}


# Blocks go to processes however few they are; the build fails where none of them came from there.
_ON_MANY = """\
from mkdocs.__main__ import cli
from tests import many_cores
many_cores.use()
try:
    cli()
finally:
    assert many_cores.elsewhere
"""


def site_of_some_kinds(folder: Path, way: Way) -> None:
    """A site of two jobs, with an episode of each of some kinds, as `buildlog start` writes them."""
    source = folder.parent / f"{folder.name}-source"
    source.mkdir(parents=True)
    write_site(source, {**FILES, "all.md": '# All\n\n<div data-buildlog="ledger"></div>\n'})
    (source / "mkdocs.yml").write_text(f"{_SETTINGS}{way.options}\n", "utf-8")
    for kind in _KINDS:
        words = ["start", f"About {kind}", "--kind", kind, "--site", str(source)]
        result = CliRunner().invoke(main, words)
        assert result.exit_code == 0, result.output
    paths = sorted(path for path in source.rglob("*") if path.is_file())
    for path in reversed(paths) if way.is_written_backwards else paths:
        to = folder / path.relative_to(source)
        to.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, to)
    shutil.rmtree(source)


def german(folder: Path) -> dict[str, str]:
    """The German locale, made where it can be: without it a system passes over the wish for one."""
    made = shutil.which("localedef") and subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")],
        capture_output=True,
        check=False,
    )
    return {"LOCPATH": str(folder)} if made and not made.returncode else {}


def build(folder: Path, way: Way) -> dict[str, bytes]:
    """Every file of the site, built in a process of its own."""
    site_of_some_kinds(folder, way)
    environment = {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
        "SOURCE_DATE_EPOCH": "1790000000",  # the generator's own day of the build
        "NO_MKDOCS_2_WARNING": "1",
        "XDG_STATE_HOME": str(folder.parent / "state"),
        "BUILDLOG_CORES": str(way.cores),
        **way.environment,
    }
    if way is WAYS["German"]:
        environment |= german(folder.parent)
    for time in range(way.times):
        program = ["-c", _ON_MANY] if way.cores > 1 and not time else ["-m", "mkdocs"]
        built = subprocess.run(
            [sys.executable, *program, "build", "--quiet", "--clean", "--site-dir", "out"],
            cwd=folder,
            env=environment,
            capture_output=True,
            check=False,
            umask=way.umask if os.name == "posix" else -1,
        )
        assert built.returncode == 0, built.stderr.decode()
    assert bool(list((folder / FOLDER).glob("??/*"))) == ("cache: false" not in way.options)
    out = folder / "out"
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return build(tmp_path_factory.mktemp("usual") / "site", Way())


def test_the_site_has_what_could_differ(usual: dict[str, bytes]) -> None:
    endings = {name.rpartition(".")[2] for name in usual}
    assert {"html", "json", "whl", "zip", "js", "css", "xml", "gz"} <= endings
    assert sum(b"<svg" in content and b"buildlog-" in content for content in usual.values()) >= 4
    assert any(name.endswith("-sheet.html") for name in usual)


@pytest.mark.parametrize("name", WAYS)
def test_the_same_bytes(tmp_path: Path, usual: dict[str, bytes], name: str) -> None:
    way = WAYS[name]
    again = build(tmp_path / way.folder, way)
    assert again.keys() == usual.keys()
    assert [file for file, content in again.items() if content != usual[file]] == []
