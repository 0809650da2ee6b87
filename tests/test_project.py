"""The project as it is handed on: locks, licence, what is packed, what the set-up promises."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from buildlog.version import __version__
from tests.packages import kept_files
from tests.systems import on_unix

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PLUGIN = tomllib.loads((ROOT / "plugins" / "pyproject.toml").read_text(encoding="utf-8"))
LIGHT, COMPLETE = PROJECT["project"], PLUGIN["project"]
# What the complete distribution asks for besides the light one.
BESIDES = [line for line in COMPLETE["dependencies"] if Requirement(line).name != LIGHT["name"]]
LOCKS = ("requirements-build.lock", "requirements.lock")


# --- the locks ---------------------------------------------------------------------


LOCKED = re.compile(r"([a-z0-9-]+)==(\S+?)(?:\s*;\s*[^-]+?)?((?:\s+--hash=sha256:[0-9a-f]{64})*)")


def locked(name: str) -> dict[str, tuple[str, list[str]]]:
    """distribution → (version, hashes); a line of any other kind is a fault."""
    text = (ROOT / name).read_text(encoding="utf-8").replace("\\\n", " ")
    found = {}
    for line in text.splitlines():
        line = line.partition("#")[0].strip()
        if not line:
            continue
        match = re.fullmatch(
            r"([a-z0-9-]+)==(\S+?)(?:\s*;\s*[^-]+?)?((?:\s+--hash=sha256:[0-9a-f]{64})*)", line
        )
        assert match, f"{name}: not a pinned requirement: {line[:80]}"
        found[match[1]] = (match[2], match[3].split())
    return found


@pytest.mark.parametrize("name", LOCKS)
def test_every_locked_package_has_a_hash(name: str) -> None:
    packages = locked(name)
    assert packages
    assert [package for package, (_, hashes) in packages.items() if not hashes] == []


def test_the_locks_hold_all_that_pyproject_asks_for() -> None:
    asked = {
        "requirements-build.lock": PROJECT["build-system"]["requires"],
        "requirements.lock": LIGHT["dependencies"]
        + [line for extra in LIGHT["optional-dependencies"].values() for line in extra]
        + BESIDES,
    }
    for name, lines in asked.items():
        packages = locked(name)
        for requirement in map(Requirement, lines):
            package = canonicalize_name(requirement.name)
            assert package in packages, f"{package} is not in {name}: run make lock"
            version = packages[package][0]
            assert requirement.specifier.contains(version), f"{requirement} but {version}: run make lock"


def test_this_environment_is_the_locked_one() -> None:
    here = {package: importlib.metadata.version(package) for name in LOCKS for package in locked(name)}
    assert here == {package: version for name in LOCKS for package, (version, _) in locked(name).items()}


# --- what the project says of itself -----------------------------------------------

# In pieces, so that this file passes its own test.
REGISTRIES = (
    ("pypi", ".org"),
    ("python", "hosted.org"),
    ("npm", "js.org"),
    ("npm", "js.com"),
    ("yarn", "pkg.com"),
    ("deb.debian", ".org"),
    ("crates", ".io"),
    ("proxy.golang", ".org"),
    ("conda", ".org"),
    ("maven", ".org"),
)
OPTIONS = re.compile("|".join(f"(?<!no-emit-){a}[-_]{b}" for a, b in (("index", "url"), ("find", "links"))))


def test_no_file_names_a_package_registry() -> None:
    hosts = ["".join(pieces) for pieces in REGISTRIES]
    faults = []
    for name in kept_files():
        text = (ROOT / name).read_bytes().decode("utf-8", "replace").casefold()
        faults += [f"{name} names {host}" for host in hosts if host in text]
        faults += [f"{name} has {option}" for option in OPTIONS.findall(text)]
    assert faults == []


def test_the_licence_is_mit() -> None:
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert text.startswith("MIT License\n")
    assert "buildlog contributors" in text
    assert (ROOT / "plugins" / "LICENSE").read_text(encoding="utf-8") == text
    assert LIGHT["license"] == COMPLETE["license"] == "MIT"


def test_the_readme_opens_with_the_job_and_names_the_two_commands() -> None:
    assert LIGHT["readme"] == "README.md"
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.startswith("# ")
    opening = next(part for part in text.split("\n\n")[1:] if not part.startswith(("!", "[!", "<")))
    assert 20 <= len(opening.split()) <= 150, "the first paragraph tells the job, and only that"
    assert "make site" in text
    assert "make test" in text
    for link in re.findall(r"\]\(([^)#:\s]+)\)", text):
        assert (ROOT / link).exists(), f"README.md links to {link}, which is not there"


def named(lines: Iterable[str]) -> set[str]:
    """Requirements as names."""
    return {canonicalize_name(Requirement(line).name) for line in lines}


def imported(folder: str) -> set[str]:
    """Top-level packages that the files of a folder import and that are neither ours nor Python's."""
    used = set()
    for path in (ROOT / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module]
            used |= {name.split(".")[0] for name in names}
    return used - set(sys.stdlib_module_names) - {"buildlog", "buildlog_installed", "mkdocs_buildlog"}


@pytest.mark.parametrize(
    ("folder", "lines"),
    [
        ("buildlog", [*LIGHT["dependencies"], *LIGHT["optional-dependencies"]["pages"]]),
        ("plugins", [*COMPLETE["dependencies"], *LIGHT["optional-dependencies"]["pages"]]),
    ],
)
def test_every_import_is_asked_for(folder: str, lines: list[str]) -> None:
    provided_by, asked = importlib.metadata.packages_distributions(), named(lines)
    missing = {
        name
        for name in imported(folder)
        if not asked & {canonicalize_name(by) for by in provided_by.get(name, [])}
    }
    assert missing == set(), "imported, but not in pyproject.toml's dependencies"


def test_every_dependency_is_explained() -> None:
    explained = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").casefold()
    extras = [line for extra in LIGHT["optional-dependencies"].values() for line in extra]
    every = named([*LIGHT["dependencies"], *extras, *BESIDES])
    assert [name for name in sorted(every) if f"`{name}`" not in explained] == []


def test_the_two_distributions_are_of_one_version_and_agree() -> None:
    """pip takes the light one that the complete one was made with, and no other."""
    assert COMPLETE["version"] == __version__
    (on_light,) = (line for line in COMPLETE["dependencies"] if line not in BESIDES)
    assert on_light == f"{LIGHT['name']}[pages]=={__version__}"
    for key in ("requires-python", "license", "authors"):
        assert LIGHT[key] == COMPLETE[key]
    assert set(COMPLETE["classifiers"]) - set(LIGHT["classifiers"]) == {"Framework :: MkDocs"}
    assert PROJECT["build-system"] == PLUGIN["build-system"]
    assert PROJECT["tool"]["setuptools"]["package-data"] == PLUGIN["tool"]["setuptools"]["package-data"]


@pytest.mark.parametrize("document", ["DEVELOPERS.md", "README.md"])
def test_files_and_folders_that_are_named_exist(document: str) -> None:
    """A path in a guide that leads nowhere costs a newcomer the trust in the rest of it."""
    text = (ROOT / document).read_text(encoding="utf-8")
    named = re.findall(r"`((?:buildlog|plugins|tests|content|physics|kinds|figures|page)/[\w./]*)`", text)
    homes = [ROOT, ROOT / "buildlog"]
    missing = [
        path for path in named if "KIND" not in path and not any((home / path).exists() for home in homes)
    ]
    assert len(named) > 0 or document == "README.md"
    assert missing == []


def test_the_manual_pins_the_version_that_it_is_about() -> None:
    """A site's hook that names an older tag than its manual proofs by other rules than it reads."""
    text = (ROOT / "content" / "manual" / "tools.md").read_text(encoding="utf-8")
    assert re.findall(r"^ *rev: v(.+)$", text, re.M) == [__version__]


# --- what it is made of when installed ------------------------------------------------


@pytest.mark.parametrize(
    ("distribution", "expected"),
    [
        ("buildlog-proof", {("console_scripts", "buildlog"), ("markdown.extensions", "buildlog")}),
        ("mkdocs-buildlog", {("console_scripts", "buildlog"), ("mkdocs.plugins", "buildlog")}),
    ],
)
def test_entry_points_lead_somewhere(distribution: str, expected: set[tuple[str, str]]) -> None:
    points = importlib.metadata.distribution(distribution).entry_points
    assert {(point.group, point.name) for point in points} == expected
    assert all(callable(point.load()) for point in points)


@on_unix
def test_make_and_ci_run_the_same_commands() -> None:
    script = ROOT / ".ci" / "run"
    subprocess.run(["bash", "-n", str(script)], check=True, timeout=60)
    lines = script.read_text(encoding="utf-8").splitlines()
    assert lines.index("make test") < lines.index("make site")
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.M))
    assert {"site", "test", "serve", "lock", "clean", "help"} <= targets


@on_unix
def test_make_says_so_when_python_is_too_old(tmp_path: Path) -> None:
    old = tmp_path / "python"
    old.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    old.chmod(0o755)
    for name in ("Makefile", "pyproject.toml", *LOCKS):
        shutil.copyfile(ROOT / name, tmp_path / name)
    ran = subprocess.run(
        ["make", "site", f"PYTHON={old}"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
        timeout=60,
    )
    assert ran.returncode == 2
    assert "Python 3.11 or newer is needed" in ran.stderr
    assert not (tmp_path / ".venv").exists()
