"""Which files have changed since a revision, asked of git.

Only names are asked for, and git is told to run nothing that a repository's files could name: no external
diff, no text conversion, no file system monitor, and no lock is taken.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from buildlog.diagnostics import Refused

_GIT = (
    "git",
    "--no-pager",
    "--literal-pathspecs",
    "-c",
    "core.fsmonitor=false",
    "-c",
    "core.quotePath=false",
)
# A hook is run with these set for the repository at hand, and relative to a folder that is not ours: git
# then takes the folder that it is started in for the work tree's top. (git-rev-parse, --local-env-vars)
_OF_A_HOOK = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_COMMON_DIR")
_DIFF = ("diff", "--name-only", "-z", "--no-renames", "--no-relative", "--no-ext-diff", "--no-textconv")


def changed_files(folder: Path, revision: str, others: tuple[Path, ...] = ()) -> set[Path]:
    """Resolved paths of the files that differ from `revision`: deleted ones and, in `folder` and among
    `others`, ones that git does not track too.

    Where the branch has left `revision` behind, what counts is what has changed since it was left: files
    that only others have changed are not among them. Raises `Refused` where git or the revision is missing.
    """
    folder = folder.resolve()
    top = _top(folder)
    base = _base(top, revision)
    inside = [path for path in (folder, *(path.resolve() for path in others)) if path.is_relative_to(top)]
    names = _differing(top, base)
    names += _run(top, "ls-files", "--others", "-z", "--", *map(str, inside)).split(b"\0")
    return {top / os.fsdecode(name) for name in names if name}


def _differing(top: Path, base: str) -> list[bytes]:
    """Names of tracked files that differ from a commit.

    Where a file was touched and is the same, `git diff` notes its new time in the index, whatever it is told
    of optional locks. So it gets a copy of the index: a proof writes nothing.
    """
    index = top / os.fsdecode(_run(top, "rev-parse", "--git-path", "index").removesuffix(b"\n"))
    if not index.is_file():
        return _run(top, *_DIFF, base, "--").split(b"\0")
    with TemporaryDirectory() as folder:
        copied = shutil.copyfile(index, Path(folder) / "index")
        return _run(top, *_DIFF, base, "--", index=copied).split(b"\0")


def file_at(path: Path, revision: str) -> bytes | None:
    """What a file held where the branch has left `revision`; None where there was no such file.

    Raises `Refused` where git or the revision is missing.
    """
    path = path.resolve()
    top = _top(path.parent)
    name = f"{_base(top, revision)}:{path.relative_to(top).as_posix()}"
    try:
        return _run(top, "cat-file", "blob", name)
    except Refused:
        return None


def _top(folder: Path) -> Path:
    """The root of the repository that a folder is in."""
    return Path(os.fsdecode(_run(folder, "rev-parse", "--show-toplevel").removesuffix(b"\n"))).resolve()


def _base(top: Path, revision: str) -> str:
    """Where the branch has left a revision."""
    commit = _commit(top, revision)
    try:
        return _run(top, "merge-base", commit, "HEAD").decode().split()[0]
    except Refused:  # no common ancestor, or in a shallow clone none that is there
        return commit


def _commit(top: Path, revision: str) -> str:
    if revision and not revision.startswith("-") and revision.isprintable():
        try:
            return _run(top, "rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}").decode().strip()
        except Refused:
            pass
    raise Refused(
        "revision",
        f"no revision “{revision}” in the repository of {top.name}",
        "a commit, a branch or a tag",
        help="in a shallow clone fetch it first, as with “git fetch origin main”",
    )


def _run(folder: Path, *arguments: str, index: Path | None = None) -> bytes:
    kept = {name: value for name, value in os.environ.items() if name not in _OF_A_HOOK}
    environment = {**kept, "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"}
    if index is not None:
        environment["GIT_INDEX_FILE"] = str(index)
    try:
        done = subprocess.run(
            [*_GIT, *arguments], cwd=folder, env=environment, stdin=subprocess.DEVNULL, capture_output=True
        )
    except FileNotFoundError as error:
        raise Refused(
            "git", "git is not installed", "git", help="install it, or proof the whole site"
        ) from error
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().split("\n")[0].removeprefix("fatal: ")
        raise Refused(
            "git",
            said or f"git {arguments[0]} failed",
            "a git repository",
        )
    return done.stdout
