"""Our packages as they are installed: what is in them, each layer with what it asks for, and another package
of the name in their way.

The other one is made here: what a package called `buildlog` does to ours follows from its name alone.
"""

from __future__ import annotations

import base64
import hashlib
import importlib.metadata
import os
import re
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from buildlog.cli import main as command_line
from buildlog.render.program import locked_versions
from buildlog.report.codes import all_codes, codes_text
from buildlog.version import __version__
from buildlog_installed import PAGES
from tests.packages import kept_files, last_commit_time, link_packages, make_packages
from tests.samples import GEARING, write_site

ROOT = Path(__file__).resolve().parents[1]
SETTINGS = "site_name: S\ndocs_dir: content\nplugins: [buildlog]\n"


@pytest.fixture(scope="module")
def packages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return make_packages(tmp_path_factory.mktemp("packages"), last_commit_time())


@pytest.fixture(scope="module")
def wheels(packages: list[Path]) -> dict[str, Path]:
    """By the name of the distribution."""
    return {path.name.partition("-")[0].replace("_", "-"): path for path in packages if path.suffix == ".whl"}


class Environment:
    """An environment of its own, with what is installed here, or some of it, behind what is put into it."""

    def __init__(self, folder: Path, behind: Path) -> None:
        self.folder = folder
        venv.create(folder, symlinks=True)
        (self.site,) = (folder / "lib").glob("python*/site-packages")
        (self.site / "behind.pth").write_text(f"{behind}\n")

    def run(self, *command: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
        """A program of the environment."""
        return subprocess.run(
            [str(self.folder / "bin" / command[0]), *command[1:]],
            cwd=cwd or self.folder,
            env={"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "NO_MKDOCS_2_WARNING": "1"},
            capture_output=True,
            text=True,
            timeout=300,
        )

    def pip(self, *arguments: str) -> None:
        """This process's pip at work on the environment: the other one needs none."""
        subprocess.run(
            [
                *(sys.executable, "-m", "pip", "--python", str(self.folder / "bin" / "python")),
                *("--disable-pip-version-check", "--quiet", *arguments),
            ],
            cwd=self.folder,
            env={name: value for name, value in os.environ.items() if name != "PYTHONPATH"},
            check=True,
            timeout=300,
        )

    def install(self, *paths: Path) -> None:
        self.pip("install", "--no-index", "--no-deps", "--no-compile", *map(str, paths))


@pytest.fixture
def environment(tmp_path: Path) -> Environment:
    """With all that is installed here but our own packages: links to a checkout are not followed there."""
    here = Path(str(importlib.metadata.distribution("click").locate_file("")))
    return Environment(tmp_path / "environment", here)


# --- what is packed -----------------------------------------------------------------------------


def test_the_packages_hold_every_file_of_ours_and_none_besides(
    packages: list[Path], wheels: dict[str, Path]
) -> None:
    assert len(packages) == 4
    light, complete = (
        {name for name in zipfile.ZipFile(wheels[name]).namelist() if ".dist-info/" not in name}
        for name in ("buildlog-proof", "mkdocs-buildlog")
    )
    kept = kept_files()
    assert light == {"buildlog_installed.py", *(name for name in kept if name.startswith("buildlog/"))}
    assert complete == {
        name.removeprefix("plugins/") for name in kept if name.startswith("plugins/mkdocs_buildlog/")
    }
    for wheel in wheels.values():
        packed = zipfile.ZipFile(wheel)
        (licence,) = (name for name in packed.namelist() if name.endswith("licenses/LICENSE"))
        assert packed.read(licence) == (ROOT / "LICENSE").read_bytes()


def test_the_packages_are_the_same_whoever_makes_them_and_when(packages: list[Path], tmp_path: Path) -> None:
    before = os.umask(0o077)
    try:
        again = make_packages(tmp_path / "again", last_commit_time())
    finally:
        os.umask(before)
    assert [path.name for path in again] == [path.name for path in packages]
    assert [path.read_bytes() for path in again] == [path.read_bytes() for path in packages]


# --- the light layer ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def light(tmp_path_factory: pytest.TempPathFactory, wheels: dict[str, Path]) -> Environment:
    """The light distribution with what it asks for, as pip would have put it there, and nothing else."""
    behind = tmp_path_factory.mktemp("behind")
    link_packages(behind, locked_versions())
    made = Environment(tmp_path_factory.mktemp("light") / "environment", behind)
    made.install(wheels["buildlog-proof"])
    return made


@pytest.fixture
def site(tmp_path: Path) -> Path:
    (tmp_path / "site").mkdir()
    write_site(tmp_path / "site", {"a.md": f"# A\n\n{GEARING}\n"})
    (tmp_path / "site" / "mkdocs.yml").write_text(SETTINGS)
    return tmp_path / "site"


def test_the_light_layer_has_none_of_what_it_leaves_out(light: Environment) -> None:
    program = "import sys, importlib.util as u; print(*[n for n in sys.argv[1:] if u.find_spec(n)])"
    names = (*PAGES, "mkdocs", "material", "pymdownx", "mkdocs_buildlog")
    ran = light.run("python", "-c", program, *names, "numpy")
    assert ran.stdout.split() == ["numpy"], ran.stderr


WORKS_IN_LIGHT: dict[str, list[str]] = {
    "amend": [],
    "completion": ["bash"],
    "findings": [],
    "kinds": [],
    "ledger": [],
    "proof": [],
    "rename": ["a", "b"],
    "schema": ["sources"],
    "start": ["second"],
    "units": [],
    "working": ["a#shorter-final"],
}


WANTS_MORE = {"files": ["built"]}
"""Commands that draw pages, and so want more than the light layer has."""


@pytest.mark.parametrize("name", sorted(command_line.commands.keys() - WANTS_MORE.keys()))
def test_every_command_works_in_the_light_layer(light: Environment, site: Path, name: str) -> None:
    ran = light.run("buildlog", name, *WORKS_IN_LIGHT[name], cwd=site)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout


@pytest.mark.parametrize("name", sorted(WANTS_MORE))
def test_a_command_that_wants_more_says_what_to_type(light: Environment, site: Path, name: str) -> None:
    (site / "built").mkdir()
    (site / "built" / "index.html").touch()
    ran = light.run("buildlog", name, *WANTS_MORE[name], cwd=site)
    assert (ran.returncode, ran.stdout) == (2, "")
    (line,) = ran.stderr.splitlines()
    assert re.search(
        r"^buildlog: \w+ is not in the light install\. Type: python -m pip install \S+\[pages\]", line
    )


def test_a_built_site_is_compared_in_the_light_layer(light: Environment, site: Path) -> None:
    (site / "built" / "a").mkdir(parents=True)
    (site / "built" / "a" / "index.html").write_text("<html><body><h1>A</h1></body></html>")
    ran = light.run("buildlog", "proof", "--built", "built", cwd=site)
    assert ran.returncode == 1, ran.stderr
    assert "is not in the light install" not in ran.stderr


def test_all_findings_are_known_in_the_light_layer(light: Environment) -> None:
    """Codes are declared where they are checked; no check may need what is left out."""
    assert light.run("buildlog", "findings").stdout == codes_text(
        [code for code in all_codes() if not code.name.startswith("test-")]
    )


def test_what_is_left_out_is_told_with_what_to_type(light: Environment, tmp_path: Path) -> None:
    """The extension, whichever generator asks for it, and a command: one line, no traceback."""
    ran = light.run("python", "-c", "import buildlog.page.extension")
    last = ran.stderr.splitlines()[-1]
    assert re.search(r'buildlog: \w+ is not in the light install\. Type: python -m pip install "(.+)"$', last)
    # A command whose import is missing, as one would be that came to draw a page.
    program = (
        "import click\nfrom buildlog.cli import main\n"
        "@main.command()\ndef draws():\n    import jinja2\n"
        "@main.command()\ndef breaks():\n    import no_such_package\n"
        "main()"
    )
    ran = light.run("python", "-c", program, "draws")
    assert ran.returncode == 2
    (line,) = ran.stderr.splitlines()
    assert line.startswith("buildlog: jinja2 is not in the light install. Type: python -m pip install ")
    assert "[pages]" in line
    ran = light.run("python", "-c", program, "breaks")
    assert ran.returncode == 2
    assert "a fault of buildlog" in ran.stderr, "what no layer has is not put down to the install"


# --- another package of the name --------------------------------------------------------------------


def other_package(folder: Path, files: dict[str, str]) -> Path:
    """A wheel of a package called `buildlog` that has a command of that name too."""
    about = "buildlog-9.9.dist-info"
    content = {
        **files,
        f"{about}/METADATA": "Metadata-Version: 2.1\nName: buildlog\nVersion: 9.9\n",
        f"{about}/WHEEL": "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        f"{about}/entry_points.txt": "[console_scripts]\nbuildlog = buildlog:main\n",
    }
    lines = []
    for name, text in content.items():
        digest = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).rstrip(b"=").decode()
        lines.append(f"{name},sha256={digest},{len(text.encode())}")
    content[f"{about}/RECORD"] = "\n".join([*lines, f"{about}/RECORD,,", ""])
    folder.mkdir(exist_ok=True)
    with zipfile.ZipFile(folder / "buildlog-9.9-py3-none-any.whl", "w") as wheel:
        for name, text in content.items():
            wheel.writestr(name, text)
    return folder / "buildlog-9.9-py3-none-any.whl"


OTHER = {"buildlog/__init__.py": "def main():\n    print('the other program')\n"}


def do_as_told(environment: Environment, message: str) -> None:
    """Type what a message says to type."""
    typed = re.findall(r"^ +python -m pip (.+)$", message, re.M)
    assert typed
    for line in typed:
        arguments = [word.strip('"') for word in re.findall(r'"[^"]+"|\S+', line)]
        extra = {"uninstall": ["--yes"], "install": ["--no-index", "--no-compile"]}[arguments[0]]
        environment.pip(arguments[0], *extra, *arguments[1:])


def builds(environment: Environment, site: Path) -> subprocess.CompletedProcess[str]:
    return environment.run("python", "-m", "mkdocs", "build", "--quiet", cwd=site)


def test_a_package_of_the_name_over_ours(
    environment: Environment, wheels: dict[str, Path], site: Path, tmp_path: Path
) -> None:
    environment.install(*wheels.values())
    assert environment.run("buildlog", "--version").stdout == f"buildlog, version {__version__}\n"
    environment.install(other_package(tmp_path / "other", OTHER))
    assert environment.run("buildlog").stdout == "the other program\n", "the command is not ours any more"
    ran = environment.run("python", "-m", "buildlog.cli", "proof", cwd=site)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert "another program's package “buildlog” 9.9" in ran.stderr
    assert "Traceback" not in ran.stderr
    stopped = builds(environment, site)
    assert stopped.returncode == 1
    assert "Traceback" not in stopped.stderr
    told = ran.stderr.removeprefix("buildlog: ").strip()
    assert told in stopped.stderr, "the build says the same"
    do_as_told(environment, told)
    assert environment.run("buildlog", "--version").stdout == f"buildlog, version {__version__}\n"
    assert builds(environment, site).returncode == 0


def test_a_package_of_the_name_under_ours(
    environment: Environment, wheels: dict[str, Path], site: Path, tmp_path: Path
) -> None:
    """Its folder `cli` would be taken for our file `cli.py`."""
    environment.install(other_package(tmp_path / "other", {**OTHER, "buildlog/cli/__init__.py": ""}))
    environment.install(*wheels.values())
    ran = environment.run("buildlog", "proof", cwd=site)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert "Traceback" not in ran.stderr
    do_as_told(environment, ran.stderr)
    assert environment.run("buildlog", "proof", cwd=site).returncode == 0


def test_a_package_of_the_name_that_was_taken_away_again(
    environment: Environment, wheels: dict[str, Path], site: Path, tmp_path: Path
) -> None:
    environment.install(*wheels.values(), other_package(tmp_path / "other", OTHER))
    environment.pip("uninstall", "--yes", "buildlog")
    stopped = builds(environment, site)
    assert stopped.returncode == 1
    assert "Traceback" not in stopped.stderr
    assert "files of ours are missing, the first is buildlog/__init__.py, in" in stopped.stderr
    assert "pip uninstall" not in stopped.stderr, "it is gone"
    do_as_told(environment, stopped.stderr)
    assert builds(environment, site).returncode == 0


def test_the_light_package_is_missing(environment: Environment, wheels: dict[str, Path], site: Path) -> None:
    environment.install(wheels["mkdocs-buildlog"])
    stopped = builds(environment, site)
    assert stopped.returncode == 1
    assert "buildlog-proof" in stopped.stderr
    assert "Traceback" not in stopped.stderr


def test_a_file_of_the_name_where_python_is_started(
    environment: Environment, wheels: dict[str, Path], site: Path
) -> None:
    environment.install(*wheels.values())
    (site / "buildlog.py").write_text("")
    stopped = builds(environment, site)
    assert stopped.returncode == 1
    assert f"Python finds another “buildlog” before ours: {site / 'buildlog.py'}." in stopped.stderr
    assert "Traceback" not in stopped.stderr


def test_a_changed_file_of_ours_is_nobody_elses(
    environment: Environment, wheels: dict[str, Path], site: Path
) -> None:
    """Who looks for a fault may write into an installed file; only the first tells whose package it is."""
    environment.install(wheels["buildlog-proof"])
    with (environment.site / "buildlog" / "diagnostics.py").open("a") as file:
        file.write("\n# a line more\n")
    assert environment.run("buildlog", "proof", cwd=site).returncode == 0
    with (environment.site / "buildlog" / "__init__.py").open("a") as file:
        file.write("\n# a line more\n")
    ran = environment.run("buildlog", "proof", cwd=site)
    assert ran.returncode == 2
    assert "buildlog/__init__.py is not our file" in ran.stderr
