"""The files of a new site: settings, home page, first episode, sources, the car's sheet, and what a
repository needs. Those whose texts are fixed stand in the folder beside this file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from buildlog.kinds.kind import Kind
from buildlog.reading.configuration import NAMES
from buildlog.report.episode import as_text, episode

SETTINGS = (*NAMES, "zensical.toml")
"""Files that make a folder a site, each by itself."""
CONTENT = "content"
EPISODES = "episodes"
CAR = "my-car"
REQUIREMENTS = "requirements.txt"
CI_FILES = {"github": ".github/workflows/build-log.yml", "gitlab": ".gitlab-ci.yml"}
_TEXTS = Path(__file__).parent / "new_site"
_SHEET = f"{CONTENT}/cars/{CAR}.yml"
_SOURCES = f"{CONTENT}/sources.yml"
_HOMES = (f"{CONTENT}/index.md", f"{CONTENT}/README.md")  # each is the page of its folder, and not both
_PAGE_OF = re.compile(r"(?<=\]\(calc:)")


class NewFile(NamedTuple):
    """A file with what it is for, in a few words."""

    path: str
    text: str
    about: str


def new_site(
    title: str, file: str, kind: Kind, *, host: str, requirement: str, is_there: Callable[[str], bool]
) -> list[NewFile]:
    """All files of a site, those that are there too. What is there is not known to have what ours have: an
    episode rests on the sheet and the sources only where both of it are new."""
    first = episode(title, kind, car="" if is_there(_SHEET) else CAR, cited=not is_there(_SOURCES))
    page = f"{EPISODES}/{file}"
    figure = ""
    if not is_there(f"{CONTENT}/{page}"):
        line = _PAGE_OF.sub(f"{page.removesuffix('.md')}#", first.line)
        figure = f". {line}"
    home = _text("index.txt").format(title=as_text(title), file=file, figure=figure)
    values = "".join(f"\n{line}" for line in first.of_the_car.split("\n")) if first.of_the_car else " {}"
    files = [
        NewFile("mkdocs.yml", _text("mkdocs.yml"), "the settings"),
        NewFile(next(filter(is_there, _HOMES), _HOMES[0]), home, "the home page"),
        NewFile(f"{CONTENT}/{page}", first.text, f"an episode, with the example of {kind.name}"),
        NewFile(_SOURCES, _text("sources.yml"), "what cited and told figures rest on"),
        NewFile(_SHEET, _text("car.txt").format(car=CAR, inputs=values), "the car's sheet"),
        NewFile(".gitignore", _text("gitignore.txt"), "what git leaves out"),
        NewFile(REQUIREMENTS, requirements(requirement), "what the site is built with"),
    ]
    return [*files, *ci_file(host)]


def ci_file(host: str) -> list[NewFile]:
    """The CI file of a host as the manual has it, none for the host “none”."""
    if host not in CI_FILES:
        return []
    return [NewFile(CI_FILES[host], _text(f"{host}.yml"), "proofs each proposal, publishes the main branch")]


def requirements(requirement: str) -> str:
    return _text(REQUIREMENTS).format(requirement=requirement)


def _text(name: str) -> str:
    return (_TEXTS / name).read_text("utf-8")
