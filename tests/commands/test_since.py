"""Proofing only what has changed: what git says, and every page that rests on it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from buildlog.book.affected import affected_pages, files_for_all
from buildlog.book.book import Book
from buildlog.commands.proof import proof_command
from buildlog.reading.history import changed_files
from buildlog.reading.known import NAME
from tests.samples import GEARING, calc, write_site
from tests.systems import link, pipe

CAR = "name: Brindle\nabout: invented\ninputs: {rev_limit: 8200 rpm, tyre: 195/50R15}\n"
BLOCK = GEARING.replace("inputs:\n", "car: brindle\ninputs:\n").replace(
    "  tyre: 195/50R15\n  rev_limit: 8200 rpm\n", ""
)
NEXT = calc(
    """
    id: next
    kind: gearing
    inputs:
      gears: [1.4]
      tyre: 195/50R15
      final_drive: calc:a#shorter-final.after.overall_ratio.5
      rev_limit: 8200 rpm
    """
)
RUN = calc(
    """
    id: launch
    kind: acceleration
    inputs: {torque_curve: {data: runs/before.csv}}
    """
)
FILES: dict[str, str | bytes] = {
    "a.md": f"[](calc:shorter-final.after.speed_at_limit.3)\n\n{BLOCK}",
    "b.md": NEXT,  # takes a value from a
    "c.md": "[](calc:b#next.speed_at_limit.1)",  # rests on b, and so on a
    "d.md": "Nothing at all.",
    "e/f.md": "[5](cite:book)",
    "g.md": RUN,
    "cars/brindle.yml": CAR,
    "sources.yml": "book: {title: A book}\n",
    "runs/before.csv": "engine_speed [rpm],torque [N·m]\n1500,112\n8300,136\n",
}


def git(folder: Path, *arguments: str) -> str:
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("GIT_")},
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_CONFIG_NOSYSTEM": "1",
        **{
            f"GIT_{who}_{what}": "x@example.org"
            for who in ("AUTHOR", "COMMITTER")
            for what in ("NAME", "EMAIL")
        },
    }
    done = subprocess.run(["git", *arguments], cwd=folder, env=environment, check=True, capture_output=True)
    return done.stdout.decode()


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site in a repository with one commit, the tag `first`."""
    folder = tmp_path / "logs" / "site"
    folder.mkdir(parents=True)
    write_site(folder, FILES)
    (folder / "mkdocs.yml").write_text("docs_dir: content\n")
    (tmp_path / ".gitignore").write_text("*.draft.md\n")
    git(tmp_path, "init", "-q", "-b", "main")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-qm", "first")
    git(tmp_path, "tag", "first")
    return folder


def run(folder: Path, *arguments: str) -> Result:
    return CliRunner().invoke(proof_command, [*arguments, "--site", str(folder)], catch_exceptions=False)


def pages(folder: Path, revision: str = "first") -> list[str]:
    book = Book.open(root=folder)
    return affected_pages(book, changed_files(book.content, revision, files_for_all(book)))


@pytest.mark.parametrize(
    ("name", "affected"),
    [
        ("content/a.md", ["a", "b", "c"]),
        ("content/b.md", ["b", "c"]),
        ("content/c.md", ["c"]),
        ("content/d.md", ["d"]),
        ("content/e/f.md", ["e/f"]),
        ("content/cars/brindle.yml", ["a", "b", "c"]),
        ("content/runs/before.csv", ["g"]),
        ("content/sources.yml", ["e/f"]),
        ("content/new.css", []),
        ("README.md", []),
        ("../README.md", []),
        ("mkdocs.yml", ["a", "b", "c", "d", "e/f", "g"]),
        ("content/figures.lock", ["a", "b", "c", "d", "e/f", "g"]),
        ("known-findings.yml", ["a", "b", "c", "d", "e/f", "g"]),
    ],
)
@pytest.mark.parametrize("how", ["saved", "staged", "committed"])
def test_a_change_is_followed_to_all_that_rests_on_it(
    site: Path, name: str, affected: list[str], how: str
) -> None:
    assert pages(site) == []
    path = site / name
    old = path.read_text() if path.exists() else ""
    path.write_text(old + "\n")
    if how != "saved":
        git(site, "add", "--", name)
    if how == "committed":
        git(site, "commit", "-qm", "second")
    assert pages(site) == affected
    assert pages(site, "HEAD") == (affected if how != "committed" else [])


def test_what_is_taken_away_counts_too(site: Path) -> None:
    (site / "content" / "a.md").unlink()
    assert pages(site) == ["b", "c"]
    git(site, "checkout", "--", "content/a.md")
    (site / "content" / "cars" / "brindle.yml").unlink()
    assert pages(site) == ["a", "b", "c"]


def test_a_renamed_page_is_a_new_and_a_gone_one(site: Path) -> None:
    git(site, "mv", "content/a.md", "content/z.md")
    assert pages(site) == ["b", "c", "z"]


def test_pages_that_git_does_not_track(site: Path) -> None:
    """New ones, and those that it is told to pass over: both are published."""
    write_site(site, {"new page é.md": "x", "i.draft.md": "y"})
    assert pages(site) == ["i.draft", "new page é"]


def test_what_only_others_have_changed_is_left_out(site: Path) -> None:
    """Since a branch was left: what went on there after that is not this branch's change."""
    git(site, "checkout", "-qb", "topic")
    write_site(site, {"d.md": "topic"})
    git(site, "commit", "-qam", "topic")
    git(site, "checkout", "-q", "main")
    write_site(site, {"e/f.md": "main"})
    git(site, "commit", "-qam", "main")
    git(site, "checkout", "-q", "topic")
    assert pages(site, "main") == ["d"]


def test_histories_without_a_common_ancestor(site: Path) -> None:
    git(site, "checkout", "-q", "--orphan", "other")
    write_site(site, {"d.md": "other"})
    git(site, "commit", "-qam", "other")
    assert pages(site, "first") == ["d"]


def test_the_command_proofs_those_pages_only(site: Path) -> None:
    write_site(site, {"d.md": "[5 kg](cite:nobody)", "e/f.md": "[5 kg](cite:nobody)"})
    git(site, "commit", "-qam", "wrong")
    write_site(site, {"d.md": "[6 kg](cite:nobody)"})
    done = run(site, "--since", "HEAD")
    assert done.exit_code == 1
    assert "content/d.md" in done.stdout
    assert "content/e/f.md" not in done.stdout
    assert "1 page, " in done.stdout
    assert run(site, "--since", "HEAD", "--only", "c").exit_code == 0
    assert run(site, "--since", "HEAD", str(site / "content" / "e")).exit_code == 0
    git(site, "commit", "-qam", "all")
    nothing = run(site, "--since", "HEAD")
    assert nothing.exit_code == 0
    assert nothing.stdout == "No page to proof.\n"


def test_single_pages(site: Path) -> None:
    done = run(site, "--only", "a", "--only", "c.md", "--only", "a")
    assert "2 pages, " in done.stdout
    assert "3 pages, " in run(site, "--only", "a", "--only", "d", str(site / "content" / "e")).stdout
    wrong = run(site, "--only", "e/g")
    assert wrong.exit_code == 2
    assert "--only: there is no page “e/g”; did you mean “e/f”?" in wrong.stderr


@pytest.mark.parametrize(
    "revision", ["nowhere", "-v", "--output=/tmp/x", "", "first^{tree}", "a\nb", "a\x00b", "first..HEAD"]
)
def test_a_revision_that_is_not_there(site: Path, revision: str) -> None:
    done = run(site, f"--since={revision}")
    assert done.exit_code == 2
    assert "no revision “" in done.stderr
    assert "git fetch" in done.stderr


def test_a_folder_without_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    write_site(tmp_path, FILES)
    done = run(tmp_path, "--since", "HEAD")
    assert done.exit_code == 2
    assert "not a git repository" in done.stderr


def test_without_git(site: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path / "empty"))
    done = run(site, "--since", "HEAD")
    assert done.exit_code == 2
    assert "git is not installed; install it, or proof the whole site" in done.stderr


def test_a_shallow_clone_says_what_to_fetch(site: Path, tmp_path: Path) -> None:
    git(site, "tag", "-d", "first")
    first = git(site, "rev-parse", "HEAD").strip()
    write_site(site, {"d.md": "second"})
    git(site, "commit", "-qam", "second")
    git(tmp_path, "clone", "-q", "--depth=1", f"file://{tmp_path}", "shallow")
    done = run(tmp_path / "shallow" / "logs" / "site", "--since", first)
    assert done.exit_code == 2
    assert "in a shallow clone fetch it first" in done.stderr


def test_git_runs_nothing_that_the_settings_name(site: Path, tmp_path: Path) -> None:
    trap = tmp_path / "trap"
    trap.write_text(f"#!/bin/sh\ntouch {tmp_path}/sprung\n")
    trap.chmod(0o755)
    for setting in ("diff.external", "core.fsmonitor", "diff.x.textconv", "diff.x.command", "core.pager"):
        git(site, "config", setting, str(trap))
    (site / ".gitattributes").write_text("*.md diff=x\n")
    write_site(site, {"d.md": "changed"})
    assert pages(site) == ["d"]
    assert not (tmp_path / "sprung").exists()


@pytest.fixture
def sprung(tmp_path: Path) -> Path:
    """A file that is there once `trap` of the same folder has been run."""
    trap = tmp_path / "trap"
    trap.write_text(f"#!/bin/sh\ntouch {tmp_path}/sprung\ncat\n")
    trap.chmod(0o755)
    return tmp_path / "sprung"


def touch_all(site: Path, when: float = 1_000_000_000) -> None:
    """Files that are as they were, and that git has to read to know it."""
    for path in site.rglob("*"):
        if path.is_file():
            os.utime(path, (when, when))


def all_of(repository: Path) -> dict[str, tuple[int, bytes]]:
    return {
        str(path.relative_to(repository)): (path.stat().st_mtime_ns, path.read_bytes())
        for path in sorted(repository.rglob("*"))
        if path.is_file()
    }


@pytest.mark.parametrize("just_now", [False, True], ids=["touched", "written as the index was"])
@pytest.mark.parametrize("key", ["clean", "process", "smudge"])
@pytest.mark.parametrize("name", ["x", "a.b=c d"])
def test_git_runs_no_filter(site: Path, sprung: Path, name: str, key: str, just_now: bool) -> None:
    """Of the repository's own settings or of a file that they include; required or not."""
    more = site / "more"
    included = f'[filter "{name}"]\n{key} = {sprung.parent}/trap\nrequired = true\n'
    more.write_text(included)
    git(site, "config", "include.path", str(more))
    repository = site.parent.parent / ".git"
    (repository / "info" / "attributes").write_text("*.md filter=x\n")
    write_site(site, {"d.md": "changed"})
    if just_now:
        touch_all(site, (repository / "index").stat().st_mtime)
    else:
        touch_all(site)
    assert pages(site) == ["d"]
    assert not sprung.exists()


@pytest.mark.parametrize("where", ["hooks", "elsewhere"])
def test_git_runs_no_hook(site: Path, sprung: Path, where: str) -> None:
    folder = site.parent.parent / ".git" / "hooks"
    if where == "elsewhere":
        folder = sprung.parent / "of-hooks"
        git(site, "config", "core.hooksPath", str(folder))
    folder.mkdir(exist_ok=True)
    shutil.copy(sprung.parent / "trap", folder / "post-index-change")
    touch_all(site)
    assert pages(site) == []
    assert not sprung.exists()


def test_a_repository_inside_is_not_looked_into_and_counts_as_changed(site: Path, sprung: Path) -> None:
    """Whatever is in it may have changed: untracked, as a commit of another repository, and when that is
    dirty, with settings of its own."""
    inner = site / "content" / "inner"
    inner.mkdir()
    (inner / "page.md").write_text("Inside.")
    git(inner, "init", "-q")
    git(inner, "add", ".")
    git(inner, "commit", "-qm", "inner")
    (inner / ".git" / "info" / "attributes").write_text("* filter=x\n")
    git(inner, "config", "filter.x.clean", str(sprung.parent / "trap"))
    git(inner, "config", "core.fsmonitor", str(sprung.parent / "trap"))
    touch_all(inner)
    everything = ["a", "b", "c", "d", "e/f", "g", "inner/page"]
    assert pages(site) == everything
    git(site, "-c", "advice.addEmbeddedRepo=false", "add", "-A")
    git(site, "commit", "-qm", "as one")
    sprung.unlink(missing_ok=True)
    assert pages(site, "HEAD") == everything
    (inner / "page.md").write_text("Changed inside.")
    assert pages(site, "HEAD") == everything
    assert not sprung.exists()


def test_a_work_tree_of_another_place_is_refused(site: Path, tmp_path: Path) -> None:
    other = tmp_path.parent / f"{tmp_path.name}-other"
    other.mkdir()
    git(other, "init", "-q")
    git(other, "commit", "-q", "--allow-empty", "-m", "first")
    git(other, "tag", "first")
    git(site, "config", "core.worktree", str(other))
    done = run(site, "--since", "first")
    assert done.exit_code == 2
    assert "Traceback" not in done.output


@pytest.mark.parametrize("revision", ["^first", "^HEAD", "x" * 131_060])
def test_what_is_no_one_commit_is_no_revision(site: Path, revision: str) -> None:
    done = run(site, f"--since={revision}")
    assert done.exit_code == 2
    assert "no revision “" in done.stderr


def test_a_git_that_gives_no_answer(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    index = site.parent.parent / ".git" / "index"
    index.unlink()
    pipe(index)
    monkeypatch.setattr("buildlog.reading.history._LONGEST", 1)
    done = run(site, "--since", "first")
    assert done.exit_code == 2
    assert "git diff-index gave no answer in 1 s" in done.stderr


def test_nothing_is_fetched(listed: Path, tmp_path: Path, sprung: Path) -> None:
    """What a partial clone lacks would be fetched by a program that its settings name. The list of known
    findings of then cannot be read, so that nobody knows whether it has grown."""
    (listed / NAME).write_text(LISTED + '    - "6 kg"\n')
    git(listed, "commit", "-qam", "more")
    git(tmp_path, "config", "uploadpack.allowFilter", "true")
    git(tmp_path, "clone", "-q", "--filter=blob:none", f"file://{tmp_path}", "partial")
    partial = tmp_path / "partial"
    git(partial, "config", "remote.origin.uploadpack", str(sprung.parent / "trap"))
    site = partial / "logs" / "site"
    touch_all(site)
    assert pages(site, "HEAD") == []
    done = run(site, "--since", "listed", "--only", "d")
    assert done.exit_code == 2
    assert "known-findings.yml" in done.stderr
    assert "nothing is fetched here" in done.stderr
    assert not sprung.exists()


@pytest.mark.parametrize("settings", [{}, {"core.splitIndex": "true", "splitIndex.maxPercentChange": "0"}])
def test_the_index_is_left_alone(site: Path, settings: dict[str, str]) -> None:
    repository = site.parent.parent / ".git"
    for name, value in settings.items():
        git(site, "config", name, value)
    git(site, "update-index", "--split-index" if settings else "--no-split-index")
    write_site(site, {"d.md": str(FILES["d.md"])})  # touched, the same
    touch_all(site)  # long before the index was written: git trusts the time of such a file
    before = all_of(repository)
    assert pages(site) == []
    after = all_of(repository)
    assert {name: content for name, (_, content) in after.items()} == {
        name: content for name, (_, content) in before.items()
    }
    if not settings:  # the file that a split index shares gets a new time whoever reads it
        assert after == before


def test_a_touched_text_with_other_line_ends_is_the_same(site: Path) -> None:
    git(site, "config", "core.autocrlf", "true")
    path = site / "content" / "b.md"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert pages(site) == []
    path.write_bytes(path.read_bytes() + b"More.\r\n")
    assert pages(site) == ["b", "c"]


def test_settings_in_the_environment_are_kept(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    git(site, "config", "filter.x.clean", "cat")
    git(site, "config", "core.fileMode", "true")
    monkeypatch.setenv("GIT_CONFIG_COUNT", "1")
    monkeypatch.setenv("GIT_CONFIG_KEY_0", "core.fileMode")
    monkeypatch.setenv("GIT_CONFIG_VALUE_0", "false")
    (site / "content" / "d.md").chmod(0o755)
    assert pages(site) == []
    monkeypatch.setenv("GIT_CONFIG_COUNT", "no number")
    assert run(site, "--since", "first").exit_code == 2


@pytest.mark.parametrize("tree", [{}, {"GIT_WORK_TREE": "."}])
def test_in_a_hook(site: Path, monkeypatch: pytest.MonkeyPatch, tree: dict[str, str]) -> None:
    """git sets these for a hook, relative to the repository's top, and in a work tree of its own absolute."""
    write_site(site, {"d.md": "changed"})
    repository = site.parent.parent / ".git"
    for place in (".git", str(repository)):
        for name, value in {"GIT_DIR": place, "GIT_INDEX_FILE": f"{place}/index", **tree}.items():
            monkeypatch.setenv(name, value)
        assert pages(site) == ["d"]


def test_nothing_has_changed(site: Path) -> None:
    done = run(site, "--since", "first")
    assert (done.exit_code, done.output) == (0, "No page to proof.\n")


def test_content_that_is_a_link(site: Path, tmp_path: Path) -> None:
    shutil.move(site / "content", site / "pages")
    link(site / "content", "pages")
    git(site, "add", "-A")
    git(site, "commit", "-qm", "moved")
    write_site(site, {"d.md": "changed"})
    book = Book.open(root=site)
    assert affected_pages(book, changed_files(book.content, "HEAD", files_for_all(book))) == ["d"]


def test_a_page_that_is_a_link_to_another(site: Path) -> None:
    link(site / "content" / "h.md", "d.md")
    git(site, "add", "-A")
    git(site, "commit", "-qm", "link")
    write_site(site, {"d.md": "changed"})
    assert pages(site, "HEAD") == ["d", "h"]


# --- the list of known findings against a revision ----------------------------------------


LISTED = '"content/d.md":\n  loose-figure:\n    - "4 kg"\n    - "5 kg"\n'


@pytest.fixture
def listed(site: Path) -> Path:
    """The site with a list, which the tag `listed` has."""
    write_site(site, {"d.md": "---\nbuildlog: {loose: fail}\n---\n\nIt weighs 4 kg, then 5 kg, then 6 kg.\n"})
    (site / NAME).write_text(LISTED)
    git(site, "add", "-A")
    git(site, "commit", "-qm", "listed")
    git(site, "tag", "listed")
    return site


def test_a_list_that_has_grown_hides_nothing_unseen(listed: Path) -> None:
    before = run(listed, "--since", "listed", "--only", "d")
    assert (before.exit_code, before.output) == (0, "No page to proof.\n")
    (listed / NAME).write_text(LISTED + '    - "6 kg"\n')
    done = run(listed, "--since", "listed", "--only", "d")
    assert done.exit_code == 1
    assert "known-findings.yml:1:1  error  known-grown\n  The list of known findings has more" in done.stdout
    assert "found     “6 kg” (loose-figure, content/d.md)" in done.stdout
    assert json.loads(run(listed, "--since", "listed", "--format", "json").stdout)["findings"][-1][
        "code"
    ] == ("known-grown")
    git(listed, "commit", "-qam", "more")
    assert run(listed, "--since", "listed", "--only", "d").exit_code == 1, "committed or only saved"


@pytest.mark.parametrize(
    "text",
    [
        LISTED,
        LISTED.replace("\n", "\r\n"),
        LISTED.replace('    - "5 kg"\n', ""),
        LISTED.replace("/d.md", "/renamed.md"),
    ],
)
def test_a_list_that_has_shrunk_or_names_a_renamed_page_has_not_grown(listed: Path, text: str) -> None:
    (listed / NAME).write_bytes(text.encode())
    assert "known-grown" not in run(listed, "--since", "listed").stdout


def test_a_list_that_is_begun_has_not_grown(site: Path) -> None:
    (site / NAME).write_text(LISTED)
    assert "known-grown" not in run(site, "--since", "first").stdout
