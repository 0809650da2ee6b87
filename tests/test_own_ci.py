"""The CI files of this repository, with which a fork tries three systems. They are read, and compared with
each other and with what the project promises; that the hosts run them was not tried."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml

ROOT = Path(__file__).resolve().parents[1]
GITHUB = ROOT / ".github" / "workflows" / "check.yml"
GITLAB = ROOT / ".gitlab-ci.yml"
PROJECTS = [path for path in (ROOT / "pyproject.toml", ROOT / "plugins" / "pyproject.toml") if path.is_file()]


def read(path: Path) -> dict[Any, Any]:
    found: dict[Any, Any] = yaml.safe_load(path.read_text("utf-8"))
    return found


def github_commands() -> list[str]:
    return [step["run"] for step in read(GITHUB)["jobs"]["check"]["steps"] if "run" in step]


def gitlab_commands() -> list[str]:
    commands: list[str] = read(GITLAB)[".check"]["script"]
    return commands


def test_both_hosts_run_the_same_plain_python_on_three_systems() -> None:
    assert github_commands() == gitlab_commands()
    for command in github_commands():
        assert re.fullmatch(r'python (?:[\w./=,-]+|"[\w .\[\],-]+|")[^$&|<>;`\'%]*', command), command
    assert {
        name.partition("-")[0] for name in read(GITHUB)["jobs"]["check"]["strategy"]["matrix"]["system"]
    } == {
        "ubuntu",
        "macos",
        "windows",
    }
    jobs = {
        name for name, job in read(GITLAB).items() if isinstance(job, dict) and job.get("extends") == ".check"
    }
    assert jobs == {"linux", "macos", "windows"}


def test_the_versions_of_python_are_those_that_the_project_names() -> None:
    matrices = [read(GITHUB)["jobs"]["check"]["strategy"]["matrix"]["python"]]
    matrices += [
        read(GITLAB)[job]["parallel"]["matrix"][0]["PYTHON"] for job in ("linux", "macos", "windows")
    ]
    for project in PROJECTS:
        text = tomllib.loads(project.read_text("utf-8"))["project"]
        named = re.findall(r"Python :: (3\.\d+)", "\n".join(text["classifiers"]))
        assert matrices == [named] * 4
        assert text["requires-python"] == f">={named[0]}"


def test_every_package_of_the_repository_is_installed() -> None:
    (install,) = (command for command in github_commands() if "pip install" in command)
    folders = {place.partition("[")[0] for place in re.findall(r'--editable "?([\w.\[\],/]+)', install)}
    assert {path.parent.relative_to(ROOT).as_posix() for path in PROJECTS} == folders


def test_a_strangers_proposal_gets_nothing_and_actions_are_those_of_the_manual() -> None:
    text = GITHUB.read_text("utf-8")
    manual = (ROOT / "content" / "manual" / "ci.md").read_text("utf-8")
    uses = re.findall(r"uses: (\S+ # \S+)$", text, re.M)
    assert len(uses) == 2
    assert set(uses) <= set(re.findall(r"uses: (\S+ # \S+)$", manual, re.M))
    workflow = read(GITHUB)
    assert workflow["permissions"] == {"contents": "read"}
    assert set(workflow[True]) == {"pull_request", "push"}  # YAML 1.1 reads the word “on” as yes
    assert "secrets." not in text
    assert workflow["jobs"]["check"]["steps"][0]["with"]["persist-credentials"] is False


def test_constraints_are_the_versions_of_the_locks(tmp_path: Path) -> None:
    (command,) = (command for command in github_commands() if "constraints.py" in command)
    target = tmp_path / "new" / "constraints.txt"
    script = command.split()[1]
    subprocess.run([sys.executable, script, str(target)], cwd=ROOT, check=True, timeout=60)
    lines = target.read_text("utf-8").splitlines()
    locks = "".join(
        (ROOT / name).read_text("utf-8") for name in ("requirements-build.lock", "requirements.lock")
    )
    assert len(lines) == len(re.findall(r"^\S+==", locks, re.M)) > 60
    assert all(f"\n{line} " in f"\n{locks}" for line in lines)


@pytest.mark.parametrize("path", [GITHUB, GITLAB])
def test_they_say_what_is_the_whole_of_it(path: Path) -> None:
    assert "bash .ci/run" in path.read_text("utf-8").partition("\n\n")[0]
    assert "make test" in (ROOT / ".ci" / "run").read_text("utf-8")
