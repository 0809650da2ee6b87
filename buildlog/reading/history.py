"""Which files have changed since a revision, asked of git.

Only names are asked for, and git is told to run nothing that a repository's files or settings could name: no
external diff, no text conversion, no filter, no hook, no file system monitor, nothing that would fetch from
another place. Submodules are not looked into, nothing is written, and no lock is taken.
"""

from __future__ import annotations

import os
import re
import stat
import subprocess
from collections.abc import Iterable, Iterator, Mapping
from hashlib import sha1, sha256
from pathlib import Path

from buildlog.diagnostics import Refused
from buildlog.files.text import with_unix_line_ends

_GIT = (
    "git",
    "--no-pager",
    "--literal-pathspecs",
    *("-c", "core.fsmonitor=false"),
    *("-c", f"core.hooksPath={os.devnull}"),
    *("-c", "core.quotePath=false"),
    *("-c", "submodule.recurse=false"),
)
# A hook is run with these set for the repository at hand, and relative to a folder that is not ours: git
# then takes the folder that it is started in for the work tree's top. (git-rev-parse, --local-env-vars)
_OF_A_HOOK = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_COMMON_DIR")
# In a partial clone git fetches what is missing, by whatever programs its settings name.
_FETCHING_NOTHING = {"GIT_NO_LAZY_FETCH": "1", "GIT_ALLOW_PROTOCOL": ""}
_QUIET = {**_FETCHING_NOTHING, "GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
_DIFF = ("diff-index", "--raw", "-z", "--no-renames", "--no-relative", "--ignore-submodules=all")
_SUBMODULE = b"160000"
_FILES = (b"100644", b"100755")
_LONGEST = 300
"""Seconds that git may take for an answer: minutes in the largest of repositories."""


class NotThere(Refused):
    """What git knows of and has not got, as in a partial clone."""


def changed_files(folder: Path, revision: str, others: tuple[Path, ...] = ()) -> set[Path]:
    """Resolved paths of the files that differ from `revision`: deleted ones and, in `folder` and among
    `others`, ones that git does not track too. Where there is a repository in `folder` that is not looked
    into, all of `others` count as changed.

    Where the branch has left `revision` behind, what counts is what has changed since it was left: files
    that only others have changed are not among them. Raises `Refused` where git or the revision is missing.
    """
    folder = folder.resolve()
    resolved = [path.resolve() for path in others]
    top = _top(folder)
    base = _base(top, revision)
    inside = [str(path) for path in (folder, *resolved) if path.is_relative_to(top)]
    names = list(_differing(top, base))
    untracked = _names(_run(top, "ls-files", "--others", "-z", "--", *inside))
    changed = {top / os.fsdecode(name) for name in (*names, *untracked)}
    tracked = _names(_run(top, "ls-files", "--stage", "-z", "--", str(folder)))
    if any(name.endswith(b"/") for name in untracked) or any(map(_is_submodule, tracked)):
        changed.update(resolved)
    return changed


def _names(said: bytes) -> list[bytes]:
    return [name for name in said.split(b"\0") if name]


def _is_submodule(entry: bytes) -> bool:
    """Whether an entry of the index is another repository's commit."""
    return entry.startswith(_SUBMODULE)


def _differing(top: Path, base: str) -> Iterator[bytes]:
    """Names of tracked files that differ from a commit.

    `git diff` would write the index where a file was touched and is the same, whatever it is told of optional
    locks. What it is made of tells of every touched file, which then is compared here.
    """
    said = iter(_names(_run(top, *_DIFF, base, "--", settings=_without_filters(top))))
    for entry, name in zip(said, said, strict=True):
        mode, mode_now, digest, digest_now, _ = entry.removeprefix(b":").split(b" ")
        touched = not digest_now.strip(b"0") and mode == mode_now and mode in _FILES
        if not (touched and _is_same(top / os.fsdecode(name), digest.decode())):
            yield name


def _is_same(path: Path, digest: str) -> bool:
    """Whether a file is what git has by this digest; a text may have other line ends, as git keeps them."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return False
        data = path.read_bytes()
    except OSError:
        return False
    return any(_blob_digest(content, digest) for content in (data, with_unix_line_ends(data)))


def _blob_digest(content: bytes, digest: str) -> bool:
    """Whether git calls a content by this digest. (gitformat: blob, its size, NUL and the content)"""
    whole = b"blob %d\0%s" % (len(content), content)
    made = sha1(whole, usedforsecurity=False) if len(digest) == 40 else sha256(whole)
    return made.hexdigest() == digest


def _without_filters(top: Path) -> dict[str, str]:
    """Settings that switch off every filter that is set somewhere: git runs them to compare a file that was
    written just before the index was. (git-config, GIT_CONFIG_COUNT)"""
    try:
        said = _run(top, "config", "-z", "--name-only", "--get-regexp", r"^filter\.")
    except Refused:  # there is none
        return {}
    names = {os.fsdecode(key).rpartition(".")[0] for key in _names(said)}
    off = {"clean": "", "smudge": "", "process": "", "required": "false"}
    return {f"{name}.{key}": value for name in sorted(names) for key, value in off.items()}


def file_at(path: Path, revision: str) -> bytes | None:
    """What a file held where the branch has left `revision`; None where there was no such file.

    Raises `Refused` where git or the revision is missing, and `NotThere` where the file is.
    """
    path = path.resolve()
    top = _top(path.parent)
    base = _base(top, revision)
    name = path.relative_to(top).as_posix()
    if not _run(top, "ls-tree", "-z", "--full-tree", base, "--", name):
        return None
    try:
        return _run(top, "cat-file", "blob", f"{base}:{name}")
    except Refused as error:
        raise NotThere("git", error.found, error.expected, help=error.help) from error


def _top(folder: Path) -> Path:
    """The root of the repository that a folder is in."""
    top = Path(os.fsdecode(_run(folder, "rev-parse", "--show-toplevel").removesuffix(b"\n"))).resolve()
    if folder.is_relative_to(top):
        return top
    raise Refused("git", "a repository of another place (core.worktree)", "the repository of these files")


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
            said = _run(top, "rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}").decode().strip()
        except Refused:
            said = ""
        if re.fullmatch("[0-9a-f]{40,64}", said):  # “^main” would be all but main
            return said
    raise Refused(
        "revision",
        f"no revision “{revision}” in the repository of {top.name}",
        "a commit, a branch or a tag",
        help="in a shallow clone fetch it first, as with “git fetch origin main”",
    )


def _run(folder: Path, *arguments: str, settings: Mapping[str, str] | None = None) -> bytes:
    try:
        done = subprocess.run(
            [*_GIT, *arguments],
            cwd=folder,
            env=_environment(settings or {}),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_LONGEST,
        )
    except FileNotFoundError as error:
        raise Refused(
            "git", "git is not installed", "git", help="install it, or proof the whole site"
        ) from error
    except subprocess.TimeoutExpired as error:
        raise Refused(
            "git",
            f"git {arguments[0]} gave no answer in {_LONGEST} s",
            "an answer",
            help="proof the whole site",
        ) from error
    except OSError as error:  # a revision longer than a command may be
        raise Refused("git", f"git {arguments[0]} cannot be run", "a git repository") from error
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().split("\n")[0].removeprefix("fatal: ")
        raise Refused(
            "git",
            said or f"git {arguments[0]} failed",
            "a git repository",
            help=_help(done.stderr),
        )
    return done.stdout


def _help(said: bytes) -> str:
    missing: Iterable[bytes] = (b"unable to read", b"not allowed", b"promisor", b"bad object", b"lazy fetch")
    if any(words in said for words in missing):
        return "nothing is fetched here: in a partial clone fetch what is missing first, or clone it whole"
    return ""


def _environment(settings: Mapping[str, str]) -> dict[str, str]:
    """The environment of git, with settings beside those that are in it."""
    made = {name: value for name, value in os.environ.items() if name not in _OF_A_HOOK} | _QUIET
    there = made.get("GIT_CONFIG_COUNT", "")
    count = int(there) if re.fullmatch("[0-9]{1,6}", there) else 0
    for number, (name, value) in enumerate(settings.items(), count):
        made |= {f"GIT_CONFIG_KEY_{number}": name, f"GIT_CONFIG_VALUE_{number}": value}
    if settings:
        made["GIT_CONFIG_COUNT"] = str(count + len(settings))
    return made
