"""The manual's page of other people's plugins: what it says was tried is what these tests try."""

from __future__ import annotations

import importlib.metadata
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "content" / "manual" / "plugins.md").read_text("utf-8")
TESTS = {
    path: path.read_text("utf-8") for path in Path(__file__).parent.glob("*.py") if path != Path(__file__)
}
ROWS: list[tuple[str, str, str]] = []
for _package, _version, _plugins in re.findall(r"^\| (`[^|]+` )?\| ([^|]+ )?\| (`[^|]+` )?\|", PAGE, re.M):
    if _plugins:  # a row without a package is of the one above it
        package, version = (_package.strip("` "), _version.strip()) if _package else ROWS[-1][:2]
        ROWS += [(package, version, plugin) for plugin in re.findall(r"`([^`]+)`", _plugins)]


def test_the_versions_are_those_that_these_tests_are_run_with() -> None:
    assert len(ROWS) > 15
    assert {package: version for package, version, _ in ROWS} == {
        package: importlib.metadata.version(package) for package, _, _ in ROWS
    }


@pytest.mark.parametrize(("package", "plugin"), [(package, plugin) for package, _, plugin in ROWS])
def test_a_plugin_of_the_table_is_there_and_is_tried(package: str, plugin: str) -> None:
    points = importlib.metadata.distribution(package).entry_points
    assert {plugin, f"material/{plugin}"} & {point.name for point in points}
    named = rf"(?:- |\[|, )(?:material/)?{re.escape(plugin)}(?:[\\:,\]\n]|$)"
    assert [path.name for path, text in TESTS.items() if re.search(named, text)], "no test has it in a site"


def test_each_guest_that_is_installed_for_tests_is_in_the_table() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = [Requirement(line).name for line in project["optional-dependencies"]["test"]]
    guests = {
        name
        for name in asked
        if any(
            point.group in ("mkdocs.plugins", "zensical")
            for point in importlib.metadata.distribution(name).entry_points
        )
    }
    assert guests - {package for package, _, _ in ROWS} == set()
    assert len(guests) > 10
