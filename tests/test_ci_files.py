"""The CI files of the manual: read as YAML, held to what they promise, and their commands run in a clone.

What is tried here is all but the hosts themselves: the actions that they bring, and the upload of results.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from buildlog.kept.store import FOLDER
from tests.samples import GEARING, write_site
from tests.systems import on_unix

pytestmark = on_unix  # steps run in bash, as on the hosts' runners
ROOT = Path(__file__).resolve().parents[1]
PAGE = (ROOT / "content" / "manual" / "ci.md").read_text("utf-8")
GITHUB, GITLAB = (yaml.safe_load(text) for text in re.findall(r"^```yaml\n(.*?)^```", PAGE, re.M | re.S))
RIGHT = f"# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}"
SETTINGS = "site_name: A log\ndocs_dir: content\nplugins:\n  - buildlog: {{loose: {loose}}}\n"


def git(folder: Path, *arguments: str) -> None:
    command = ["git", "-c", "user.name=A", "-c", "user.email=a@example.com", *arguments]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=60)


@pytest.fixture
def origin(tmp_path: Path) -> Path:
    """A log's repository, with its main branch."""
    folder = tmp_path / "origin"
    folder.mkdir()
    write_site(folder, {"index.md": "# A log\n", "a.md": RIGHT})
    (folder / "mkdocs.yml").write_text(SETTINGS.format(loose="fail"))
    (folder / "requirements.txt").write_text("mkdocs-buildlog\n")
    git(folder, "init", "-q", "-b", "main")
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "The log")
    return folder


def proposal(origin: Path, folder: Path, files: dict[str, str | bytes], settings: str = "") -> Path:
    """A clone with a change committed on a branch."""
    git(origin.parent, "clone", "-q", str(origin), str(folder))
    git(folder, "checkout", "-q", "-b", "change")
    write_site(folder, files)
    if settings:
        (folder / "mkdocs.yml").write_text(settings)
        (folder / "requirements.txt").write_text("something-else\n")
    git(folder, "commit", "-q", "--allow-empty", "-a", "-m", "A change")
    return folder


def run(script: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """A step as a runner runs it; installing has been done."""
    if script.startswith("python -I -m pip install -r "):
        assert (folder / script.rpartition(" ")[2]).read_text() == "mkdocs-buildlog\n"
        script = "true"
    path = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    return subprocess.run(
        ["bash", "--noprofile", "--norc", "-eo", "pipefail", "-c", script],
        cwd=folder,
        env={**os.environ, "PATH": path, "CI": "true", "NO_MKDOCS_2_WARNING": "1", **environment},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


# --- GitHub Actions ---------------------------------------------------------------------------------


def steps(job: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = GITHUB["jobs"][job]["steps"]
    return found


def github(origin: Path, folder: Path) -> dict[str, subprocess.CompletedProcess[str]]:
    """The steps of the proof, by name, until one fails that nothing lets pass."""
    git(folder, "clone", "-q", str(origin), str(folder / "rules"))
    done: dict[str, subprocess.CompletedProcess[str]] = {}
    failed = False
    for number, step in enumerate(steps("proof")):
        if "run" in step and (not failed or "if" in step):
            summary = {"GITHUB_STEP_SUMMARY": str(folder / "summary.md"), "GITHUB_ACTIONS": "true"}
            ran = done[step.get("name", str(number))] = run(step["run"], folder, **summary)
            failed = failed or ran.returncode != 0
    return done


def test_a_good_proposal_passes(origin: Path, tmp_path: Path) -> None:
    folder = tmp_path / "runner"
    folder.mkdir()
    proposal(
        origin,
        folder / "proposed",
        {"b.md": "# B\n\nSee [135.5 km/h](calc:a#shorter-final.after.speed_at_limit.3).\n"},
    )
    done = github(origin, folder)
    assert {name: ran.returncode for name, ran in done.items() if ran.returncode} == {}
    assert (folder / "findings.sarif").is_file()
    assert "agree" in (folder / "summary.md").read_text("utf-8")


def test_a_wrong_figure_fails_with_an_annotation_at_its_place_in_the_repository(
    origin: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "runner"
    folder.mkdir()
    proposal(origin, folder / "proposed", {"a.md": RIGHT.replace("135.5", "153.5")})
    done = github(origin, folder)
    assert done["Proof"].returncode == 1
    assert re.search(r"^::error file=content/a\.md,line=3,", done["Proof"].stdout, re.M)
    assert done["Summary"].returncode == 0
    assert "153.5" in (folder / "summary.md").read_text("utf-8")
    assert "153.5" in (folder / "findings.sarif").read_text("utf-8")


def test_a_proposal_does_not_choose_the_rules_it_is_judged_by(origin: Path, tmp_path: Path) -> None:
    folder = tmp_path / "runner"
    folder.mkdir()
    loose = {"a.md": RIGHT + "\nThe flywheel weighs 4.2 kg.\n"}
    rules = SETTINGS.format(loose="off") + "hooks: [steal.py]\n"
    proposal(origin, folder / "proposed", dict(loose), rules)
    done = github(origin, folder)
    assert done["Proof"].returncode == 1
    assert "loose-figure" in done["Proof"].stdout
    # The same without the step that brings the rules back: else this test would prove nothing.
    (folder / "proposed" / "mkdocs.yml").write_text(rules)
    assert run("buildlog proof --site proposed", folder).returncode == 0


LISTED = '"content/a.md":\n  loose-figure:\n    - "4.2 kg"\n'


def test_a_proposal_does_not_list_its_own_findings_as_known(origin: Path, tmp_path: Path) -> None:
    loose = {"a.md": RIGHT + "\nThe flywheel weighs 4.2 kg.\n"}
    for name, listed in (("new", False), ("known", True)):
        folder = tmp_path / name
        folder.mkdir()
        proposal(origin, folder / "proposed", dict(loose))
        (folder / "proposed" / "known-findings.yml").write_text(LISTED)
        if listed:  # and where the main branch has it in its list, it is known
            (origin / "known-findings.yml").write_text(LISTED)
            git(origin, "add", "known-findings.yml")
            git(origin, "commit", "-q", "-m", "An old site")
        assert github(origin, folder)["Proof"].returncode == (0 if listed else 1)
        merge = proposal(origin, tmp_path / f"{name}-merge", dict(loose))
        (merge / "known-findings.yml").write_text(LISTED)
        assert gitlab(merge, "proof").returncode == (0 if listed else 1)


def test_nothing_in_a_proposal_is_run_in_place_of_pip(tmp_path: Path) -> None:
    (tmp_path / "pip.py").write_text("print('run')")
    assert "run" in run("python -m pip --version", tmp_path).stdout, "else this test would prove nothing"
    assert run("python -I -m pip --version", tmp_path).stdout.startswith("pip ")
    assert not re.findall(r"python (?!-I )", PAGE.replace("`python ", "").partition("## GitHub")[2])


def test_actions_are_pinned_to_commits() -> None:
    uses = re.findall(r"uses: (\S+)( # v[0-9.]+)?$", PAGE, re.M)
    assert len(uses) == 10
    assert all(re.fullmatch(r"[a-z/-]+@[0-9a-f]{40}", action) and version for action, version in uses)


def test_strangers_get_no_secrets_and_nothing_to_write_with() -> None:
    triggers = GITHUB[True]  # YAML 1.1 reads the word “on” as yes; the host does not
    assert set(triggers) == {"pull_request", "push"}
    assert GITHUB["permissions"] == {"contents": "read"}
    text = PAGE.partition("## GitHub Actions")[2].partition("## GitLab CI")[0]
    assert "secrets." not in text
    for job in GITHUB["jobs"].values():
        for step in job["steps"]:
            assert not re.search(r"\$\{\{.*\}\}", step.get("run", "")), (
                "an expression in a script is injected"
            )
            if step.get("uses", "").startswith("actions/checkout"):
                assert step["with"]["persist-credentials"] is False
    publish = GITHUB["jobs"]["publish"]
    assert publish["if"] == "github.event_name == 'push'"
    assert publish["needs"] == "proof"
    assert triggers["push"]["branches"] == ["main"]
    assert not any("mkdocs build" in step.get("run", "") for step in steps("proof"))


def test_the_site_is_built_for_publishing(origin: Path) -> None:
    for step in steps("publish"):
        if "run" in step:
            assert run(step["run"], origin).returncode == 0
    (upload,) = (step for step in steps("publish") if "upload-pages" in step.get("uses", ""))
    assert (origin / upload["with"]["path"] / "a" / "index.html").is_file()


# --- GitLab CI ---------------------------------------------------------------------------------------


def gitlab(folder: Path, job: str) -> subprocess.CompletedProcess[str]:
    """A job's lines, one after another until one fails."""
    for line in GITLAB[job]["script"]:
        ran = run(line, folder, CI_DEFAULT_BRANCH="main", GITLAB_CI="true")
        if ran.returncode:
            break
    return ran


def test_a_merge_request_is_proofed_by_the_main_branchs_rules(origin: Path, tmp_path: Path) -> None:
    good = proposal(origin, tmp_path / "good", {"b.md": "# B\n"})
    assert gitlab(good, "proof").returncode == 0
    (report,) = GITLAB["proof"]["artifacts"]["reports"].values()
    assert (good / report).read_text() == "[]\n"
    loose = {"a.md": RIGHT + "\nThe flywheel weighs 4.2 kg.\n"}
    bad = proposal(origin, tmp_path / "bad", dict(loose), SETTINGS.format(loose="off"))
    ran = gitlab(bad, "proof")
    assert ran.returncode == 1
    assert "4.2 kg" in ran.stdout
    assert "content/a.md" in (bad / report).read_text("utf-8")
    assert GITLAB["proof"]["artifacts"]["when"] == "always"


def test_a_proposal_brings_nothing_that_is_kept_between_runs(origin: Path, tmp_path: Path) -> None:
    """On GitLab the secret lies in the project's folder, where a proposal could bring its own."""
    clone = proposal(origin, tmp_path / "clone", {})
    (refusal,) = (line for line in GITLAB["proof"]["script"] if ".cache" in line)
    assert run(refusal, clone).returncode == 0
    (clone / ".cache" / "state" / "buildlog").mkdir(parents=True)
    (clone / ".cache" / "state" / "buildlog" / "key").write_bytes(bytes(32))
    assert run(refusal, clone).returncode == 0  # what an earlier run of this job has left
    git(clone, "add", "-f", ".cache")
    assert run(refusal, clone).returncode == 1
    assert GITLAB["proof"]["script"].index(refusal) < len(GITLAB["proof"]["script"]) - 1


def test_on_github_what_a_proposal_brings_is_taken_out_before_what_is_kept_is_read() -> None:
    for job, gone in (("proof", "proposed/.cache"), ("publish", ".cache")):
        steps = GITHUB["jobs"][job]["steps"]
        takes_out = [at for at, step in enumerate(steps) if gone in step.get("run", "").split()]
        reads = [at for at, step in enumerate(steps) if "actions/cache" in step.get("uses", "")]
        assert takes_out[0] < reads[0]
        assert steps[takes_out[0]]["run"].strip().startswith("rm -rf ")


def test_what_is_kept_between_runs_is_what_the_program_keeps() -> None:
    """The folders of the CI files are those that the program writes."""
    folder, secret = FOLDER.as_posix(), ".local/state/buildlog"
    for job, site in (("proof", "proposed/"), ("publish", "")):
        (step,) = (step for step in GITHUB["jobs"][job]["steps"] if "actions/cache" in step.get("uses", ""))
        assert step["with"]["path"].split() == [f"{site}{folder}", f"~/{secret}"]
    assert GITLAB["cache"]["paths"] == [folder, ".cache/state"]
    assert GITLAB["variables"]["XDG_STATE_HOME"].endswith("/.cache/state")


def test_only_the_main_branch_is_published(origin: Path) -> None:
    assert GITLAB["pages"]["rules"] == [{"if": "$CI_COMMIT_BRANCH == $CI_DEFAULT_BRANCH"}]
    assert gitlab(origin, "pages").returncode == 0
    (folder,) = GITLAB["pages"]["artifacts"]["paths"]
    assert (origin / folder / "a" / "index.html").is_file()
    assert {GITLAB[job]["stage"] for job in ("proof", "pages")} == set(GITLAB["stages"])
