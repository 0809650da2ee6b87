"""The files that are made from the code: one list, that `make generate` writes and a test compares.

``python -m tests.generated`` writes those that are not current and removes what is made no more. What it
writes is to be read in the diff before it is committed.
"""

from __future__ import annotations

import importlib.metadata
import os
import re
import sys
from collections.abc import Callable
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from buildlog.diagnostics import Code
from buildlog.figures.factors import factor_table_module
from buildlog.render.program import NEEDS
from buildlog.report.codes import all_codes, code_list_module, codes_pages
from buildlog.report.limits import limits_page
from buildlog.report.manual import kinds_pages
from buildlog.report.schemas import schema_files
from buildlog.report.unit_list import units_page
from tests.house import ROOT, with_floors


def declared_codes() -> list[Code]:
    """Every code, but for those that tests declare."""
    return [code for code in all_codes() if not code.name.startswith("test-")]


def findings_pages() -> dict[str, str]:
    """A page for each code."""
    return codes_pages(declared_codes())


def locked() -> dict[str, str]:
    """The lines of the lock, by their packages."""
    lock = (ROOT / "requirements.lock").read_text("utf-8").replace("\\\n", "")
    return {line.partition("==")[0]: line for line in lock.splitlines() if re.match("[a-z0-9-]+==", line)}


def with_locked_versions(text: str) -> str:
    """A page whose tables have packages and, beside each, the version that tests are run with."""
    pins = locked()

    def row(match: re.Match[str]) -> str:
        version = pins[match[2]].split()[0].partition("==")[2]
        return f"{match[1]}{version} |"

    return re.sub(r"^(\| `([a-z0-9-]+)` \| )[0-9][^ |]* \|", row, text, flags=re.M)


def locked_versions() -> str:
    """The part of the lock that a proof needs, for readers who repeat the figures of a page: it goes with the
    package, which the lock itself does not."""
    pins = locked()
    wanted, waiting = set[str](), list(NEEDS)
    while waiting:
        name = canonicalize_name(waiting.pop())
        if name in wanted:
            continue
        wanted.add(name)
        for text in importlib.metadata.requires(name) or ():
            requirement = Requirement(text)
            if requirement.marker is None or requirement.marker.evaluate({"extra": ""}):
                waiting.append(requirement.name)
    return "".join(f"{' '.join(pins[name].split())}\n" for name in sorted(wanted))


def ci_files() -> list[str]:
    """The files for CI hosts that the manual shows, which `buildlog start` writes: GitHub's, GitLab's."""
    page = (ROOT / "content" / "manual" / "ci.md").read_text("utf-8")
    github, gitlab = re.findall(r"^```yaml\n(.*?)^```", page, re.M | re.S)
    return [github, gitlab]


# Folders that hold nothing else, so that a file left over from a kind that is gone is seen.
FOLDERS: dict[str, Callable[[], dict[str, str]]] = {
    "content/manual/kinds": kinds_pages,
    "content/manual/findings": findings_pages,
    "content/assets/schemas": schema_files,
}
_LOADED = {
    "buildlog/figures/factor_table.py": factor_table_module,
    "buildlog/reading/code_list.py": lambda: code_list_module(declared_codes()),
}
"""What all else is made with, and this program has loaded."""
FILES: dict[str, Callable[[], str]] = {
    **_LOADED,
    "buildlog/render/locked.txt": locked_versions,
    "buildlog/report/new_site/github.yml": lambda: ci_files()[0],
    "buildlog/report/new_site/gitlab.yml": lambda: ci_files()[1],
    "content/manual/limits.md": limits_page,
    "content/manual/units.md": units_page,
    "content/manual/plugins.md": lambda: with_locked_versions(
        (ROOT / "content" / "manual" / "plugins.md").read_text("utf-8")
    ),
    "DEVELOPERS.md": lambda: with_floors((ROOT / "DEVELOPERS.md").read_text("utf-8")),
}
PLACES = (*FILES, *FOLDERS)


def files_of(place: str) -> dict[str, str]:
    """What is to stand at a place: path from the root → text."""
    if place in FOLDERS:
        return {f"{place}/{name}": text for name, text in FOLDERS[place]().items()}
    return {place: FILES[place]()}


def files_at(place: str, root: Path = ROOT) -> dict[str, str]:
    """What stands there now."""
    at = root / place
    paths = at.iterdir() if place in FOLDERS and at.is_dir() else [at]
    return {path.relative_to(root).as_posix(): path.read_text("utf-8") for path in paths if path.is_file()}


def write_generated(place: str, root: Path = ROOT) -> list[str]:
    """Bring a place up to date; the paths that were written or removed."""
    wanted, present = files_of(place), files_at(place, root)
    changed = [path for path, text in wanted.items() if present.get(path) != text]
    for path in changed:
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(wanted[path], "utf-8")
    gone = sorted(present.keys() - wanted.keys())
    for path in gone:
        (root / path).unlink()
    return changed + gone


if __name__ == "__main__":
    for place in PLACES:
        for path in write_generated(place):
            print(path)
            if path in _LOADED:
                os.execv(sys.executable, [sys.executable, "-m", "tests.generated"])
