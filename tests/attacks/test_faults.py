"""Faults of the machine while files are written: killed, disk full, a folder that is read-only, interrupted.

Each leaves every file as it was or as it should be, and the next run of the same command leaves nothing else.
"""

from __future__ import annotations

import errno
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner, Result
from mkdocs.exceptions import PluginError

from buildlog.cli import main
from buildlog.files import whole_file
from buildlog.files.whole_file import clear_left, is_temporary, write_new, write_whole
from buildlog.render.feed import FeedEntry
from mkdocs_buildlog.generated import MadeFile
from mkdocs_buildlog.head import PageHeads
from tests.samples import GEARING, write_site
from tests.systems import is_superuser, link, on_unix, read_only

FIGURES = 40
PAGES = 3
ADDRESS = "calc:a0#shorter-final.after.speed_at_limit.3"


def page(number: int, value: str) -> str:
    block = GEARING if number == 0 else ""
    figures = "".join(f"Third: [{value} km/h]({ADDRESS}).\n\n" for _ in range(FIGURES))
    return f"# A{number}\n\n{figures}{block}"


WRONG = {f"a{number}.md": page(number, "153.5") for number in range(PAGES)}
RIGHT = {f"a{number}.md": page(number, "135.5") for number in range(PAGES)}
RENAMED = {name: text.replace("shorter-final", "final-two") for name, text in RIGHT.items()}


def files(folder: Path) -> dict[str, bytes]:
    """What is in a folder, our own cache aside."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".cache" not in path.parts
    }


def in_content(pages: dict[str, str]) -> dict[str, bytes]:
    return {f"content/{name}": text.encode() for name, text in pages.items()}


def run(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, [*words, "--site", str(folder)])


# --- killed ---

# The command runs until it has done the n-th thing with a file that changes something, and then no further:
# each moment between two of them is met once, however fast the machine is.
_KILLED_AT = """
import os, signal, sys
from buildlog.cli import main
left, folder = int(sys.argv.pop(1)), sys.argv[-1]
def tell(event, arguments):
    global left
    # What is kept between runs has tests of its own.
    if not (arguments and str(arguments[0]).startswith(folder)) or ".cache" in str(arguments[0]):
        return
    writes = event == "open" and isinstance(arguments[2], int) and arguments[2] & (os.O_WRONLY | os.O_RDWR)
    if writes or event in ("os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.chmod"):
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(tell)
sys.exit(main())
"""


def killed_at(moment: int, folder: Path, *words: str) -> bool:
    """Whether the command was killed, before it changed anything for the n-th time."""
    code = subprocess.run(
        [sys.executable, "-c", _KILLED_AT, str(moment), *words, "--site", str(folder)],
        capture_output=True,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        check=False,
    ).returncode
    assert code in (0, 1, -signal.SIGKILL)
    return code == -signal.SIGKILL


def killed_everywhere(
    prepare: Callable[[], Path], words: tuple[str, ...], holds: Callable[[Path], None]
) -> int:
    """Kill a command at each moment at which it is about to change something; how many there are."""
    moment = 0
    while killed_at(moment, folder := prepare(), *words):
        holds(folder)
        moment += 1
    return moment


@pytest.fixture
def fresh(tmp_path: Path) -> Callable[[dict[str, str]], Callable[[], Path]]:
    """A new site with some pages, each time that one is asked for."""

    def of(pages: dict[str, str]) -> Callable[[], Path]:
        def make() -> Path:
            folder = tmp_path / "site"
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            if pages:
                write_site(folder, dict(pages))
            return folder

        return make

    return of


Fresh = Callable[[dict[str, str]], Callable[[], Path]]


@on_unix
@pytest.mark.slow
def test_amend_killed_at_each_moment(fresh: Fresh) -> None:
    before, after = in_content(WRONG), in_content(RIGHT)

    def holds(folder: Path) -> None:
        for name, content in files(folder).items():
            if not is_temporary(Path(name).name):
                assert content in (before[name], after[name])
        assert run(folder, "amend", "--write").exit_code == 0
        assert files(folder) == after

    assert killed_everywhere(fresh(WRONG), ("amend", "--write"), holds) > PAGES * 2


@on_unix
@pytest.mark.slow
def test_rename_killed_at_each_moment_leaves_whole_files(fresh: Fresh) -> None:
    before, after = in_content(RIGHT), in_content(RENAMED)

    def holds(folder: Path) -> None:
        now = {name: one for name, one in files(folder).items() if not is_temporary(Path(name).name)}
        assert now.keys() == before.keys()
        assert all(content in (before[name], after[name]) for name, content in now.items())
        if now != before and now != after:  # it is told, and not published
            assert run(folder, "proof").exit_code == 1
        if now == before:
            assert run(folder, *words).exit_code == 0
            assert files(folder) == after

    words = ("rename", "--write", "a0#shorter-final", "a0#final-two")
    assert killed_everywhere(fresh(RIGHT), words, holds) > PAGES * 2


@on_unix
@pytest.mark.slow
def test_record_killed_at_each_moment(fresh: Fresh, tmp_path: Path) -> None:
    wanted = tmp_path / "wanted"
    wanted.mkdir()
    write_site(wanted, dict(RIGHT))
    assert run(wanted, "ledger", "--record").exit_code == 0

    def holds(folder: Path) -> None:
        record = folder / "content" / "figures.lock"
        assert not record.exists() or record.read_bytes() == files(wanted)["content/figures.lock"]
        assert run(folder, "ledger", "--record").exit_code == 0
        assert files(folder) == files(wanted)

    assert killed_everywhere(fresh(RIGHT), ("ledger", "--record"), holds) >= 2


@on_unix
@pytest.mark.slow
@pytest.mark.parametrize("words", [("start",), ("start", "My own title", "--host", "github")])
def test_start_killed_at_each_moment(fresh: Fresh, tmp_path: Path, words: tuple[str, ...]) -> None:
    wanted = tmp_path / "wanted"
    wanted.mkdir()
    assert run(wanted, *words).exit_code == 0

    def holds(folder: Path) -> None:
        now = {name: one for name, one in files(folder).items() if not is_temporary(Path(name).name)}
        assert now.items() <= files(wanted).items()
        if now != files(wanted):  # else it was killed when all was done
            again = run(folder, *words)
            assert again.exit_code == 0, again.output
        assert files(folder).keys() - files(wanted).keys() <= _temporary_ones(folder)
        assert {name: one for name, one in files(folder).items() if name in files(wanted)} == files(wanted)
        assert run(folder, "proof").exit_code == 0

    assert killed_everywhere(fresh({}), words, holds) > 8


def _temporary_ones(folder: Path) -> set[str]:
    return {name for name in files(folder) if is_temporary(Path(name).name)}


_BUILD = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--config-file"]
_SETTINGS = "site_name: A\ndocs_dir: content\nplugins: [buildlog]\n"


def build(folder: Path, said: int = subprocess.DEVNULL) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*_BUILD, str(folder / "mkdocs.yml")],
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1", "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.DEVNULL,
        stderr=said,
    )


@on_unix
@pytest.mark.slow
def test_a_build_killed_at_any_moment_leaves_the_pages_and_the_next_one_is_whole(fresh: Fresh) -> None:
    """At moments by a fixed seed, over the time that a build takes here."""
    make = fresh(RIGHT)
    folder = make()
    (folder / "mkdocs.yml").write_text(_SETTINGS, "utf-8")
    begun = time.monotonic()
    assert build(folder).wait() == 0
    lasts = time.monotonic() - begun
    whole = files(folder / "site")
    moments = random.Random(15)
    for _ in range(4):
        shutil.rmtree(folder / "site", ignore_errors=True)
        shutil.rmtree(folder / ".cache", ignore_errors=True)
        builder = build(folder)
        time.sleep(moments.uniform(0.2, 1) * lasts)
        builder.kill()
        builder.wait()
        assert in_content(RIGHT).items() <= files(folder).items()
        assert _temporary_ones(folder / "content") == set()
    assert build(folder).wait() == 0
    assert files(folder / "site") == whole


# --- what a killed process has left ---


@on_unix
def test_what_a_process_left_is_cleared_once_it_is_gone(tmp_path: Path) -> None:
    gone = subprocess.Popen([sys.executable, "-c", "pass"])
    gone.wait()
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as running:
        names = {
            one: f".bl~{whole_file._in_digits(process, 5)}00"
            for one, process in (("gone", gone.pid), ("running", running.pid), ("own", os.getpid()))
        }
        for name in (*names.values(), ".bl~mine", ".gitignore", "x.bl~0000100"):
            (tmp_path / name).write_text("x", "utf-8")
        clear_left(tmp_path)
        assert sorted(os.listdir(tmp_path)) == sorted(
            [names["running"], ".bl~mine", ".gitignore", "x.bl~0000100"]
        )
        an_hour_ago = time.time() - 3601  # whoever has that number by now
        os.utime(tmp_path / names["running"], (an_hour_ago, an_hour_ago))
        clear_left(tmp_path)
        assert names["running"] not in os.listdir(tmp_path)
        assert running.stdin is not None
        running.stdin.close()


def test_what_is_being_written_is_not_cleared(tmp_path: Path) -> None:
    def ready(made: Path) -> None:
        clear_left(tmp_path)
        assert made.read_bytes() == b"x"

    write_whole(tmp_path / "a", b"x", ready)
    assert os.listdir(tmp_path) == ["a"]


def test_the_number_of_a_process_that_was_killed_may_come_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As it does in a container, where every run has the same one."""
    monkeypatch.setattr(whole_file, "_NUMBERS", iter(range(10)))
    (tmp_path / f".bl~{whole_file._in_digits(os.getpid(), 5)}00").write_text("left", "utf-8")
    write_whole(tmp_path / "a", b"x")
    assert files(tmp_path) == {"a": b"x"}


def test_no_page_is_read_from_what_was_left(tmp_path: Path) -> None:
    content = write_site(tmp_path, dict(RIGHT))
    (content / ".bl~zzzzz00").write_text("[1 mm](calc:no.such)", "utf-8")
    assert run(tmp_path, "proof").exit_code == 0
    assert (content / ".bl~zzzzz00").exists()  # a proof writes nothing, and takes nothing away
    assert run(tmp_path, "amend", "--write").exit_code == 0
    assert files(tmp_path) == in_content(RIGHT)


# --- a full disk ---


@contextmanager
def small_disk(path: Path, kibibytes: int) -> Iterator[Path]:
    """A disk with so much room. Skipped where it cannot be had."""
    path.mkdir()
    mounted = (
        is_superuser()
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={kibibytes}k", "tmpfs", str(path)],
            capture_output=True,
            check=False,
        ).returncode
    )
    if not mounted:
        pytest.skip("only the superuser may mount a small disk")
    try:
        yield path
    finally:
        subprocess.run(["umount", "-l", str(path)], check=True)


def fill(folder: Path, room: int) -> None:
    """Fill a disk but for so many bytes."""
    status = os.statvfs(folder)
    with (folder / "filling").open("wb") as file:
        file.write(b"x" * (status.f_bavail * status.f_frsize - room))


WRITING = {
    "amend": (WRONG, ("amend", "--write")),
    "rename": (RIGHT, ("rename", "--write", "a0#shorter-final", "a0#final-two")),
    "record": (RIGHT, ("ledger", "--record")),
    "known": (WRONG, ("proof", "--start")),
    "episode": (RIGHT, ("start", "Another one")),
    "output": (RIGHT, ("proof", "--format", "json", "--output", "SITE/out.json")),
    "kinds": (RIGHT, ("kinds", "--write", "SITE/kinds")),
}


@on_unix
@pytest.mark.parametrize("name", [*WRITING, "site"])
def test_a_full_disk(tmp_path: Path, name: str) -> None:
    pages, words = WRITING.get(name, ({}, ("start",)))
    with small_disk(tmp_path / "disk", 1024) as disk:
        folder = disk / "site"
        folder.mkdir()
        if pages:
            write_site(folder, dict(pages))
        if name == "episode":
            (folder / "mkdocs.yml").write_text(_SETTINGS, "utf-8")
        words = tuple(word.replace("SITE", str(folder)) for word in words)
        fill(disk, 4096 if name in ("site", "kinds", "rename") else 0)
        before = files(folder)
        asked = words if name == "kinds" else (*words, "--site", str(folder))
        result = CliRunner().invoke(main, asked)
        assert result.exit_code == 2
        assert "No space left on device" in result.stderr
        assert "Traceback" not in result.output
        assert "fault of buildlog" not in result.output
        if name in ("amend", "kinds"):  # page by page: each is whole
            assert _temporary_ones(folder) == set()
        else:
            assert files(folder) == before
        (disk / "filling").unlink()
        again = CliRunner().invoke(main, asked)
        assert again.exit_code == 0, again.output
        assert _temporary_ones(folder) == set()


@pytest.mark.parametrize("name", ["amend", "rename", "record", "known", "output"])
def test_a_disk_that_is_full_when_a_file_is_put_in_its_place(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file system that copies on writing may have no room for that either."""
    pages, words = WRITING[name]
    write_site(tmp_path, dict(pages))
    words = tuple(word.replace("SITE", str(tmp_path)) for word in words)
    before = files(tmp_path)
    replace, left = os.replace, iter((True, False))

    def full(source: Any, target: Any) -> None:
        is_kept = ".cache" in Path(target).parts  # what is kept between runs has tests of its own
        if is_kept or (name == "rename" and next(left, False)):
            replace(source, target)  # the first is put, and taken back
            return
        monkeypatch.setattr(os, "replace", replace)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(source), None, str(target))

    monkeypatch.setattr(os, "replace", full)
    result = run(tmp_path, *words)
    assert result.exit_code == 2
    assert "No space left on device" in result.stderr
    assert files(tmp_path) == before


@on_unix
def test_nobody_reads_what_is_printed_to_a_full_disk(tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("there is no device that is always full")
    write_site(tmp_path, dict(WRONG))
    with open("/dev/full", "wb") as full:
        result = subprocess.run(
            [sys.executable, "-m", "buildlog.cli", "proof", "--site", str(tmp_path)],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert result.returncode not in (0, 1)
    assert b"No space left on device" in result.stderr
    assert b"Traceback" not in result.stderr


# --- a folder that is read-only ---


@on_unix
@pytest.mark.parametrize("name", [*WRITING, "site"])
def test_a_folder_that_is_read_only(tmp_path: Path, name: str) -> None:
    pages, words = WRITING.get(name, ({}, ("start",)))
    folder = tmp_path / "site"
    folder.mkdir()
    if pages:
        write_site(folder, dict(pages))
    if name == "episode":
        (folder / "mkdocs.yml").write_text(_SETTINGS, "utf-8")
    words = tuple(word.replace("SITE", str(folder)) for word in words)
    before = files(folder)
    asked = words if name == "kinds" else (*words, "--site", str(folder))
    with read_only(folder):
        result = CliRunner().invoke(main, asked)
    assert result.exit_code == 2
    assert re.search("Read-only file system|Permission denied|write-protected", result.stderr)
    assert "fault of buildlog" not in result.stderr
    assert files(folder) == before


@on_unix
@pytest.mark.slow
def test_a_site_that_is_read_only_is_proofed_and_built(tmp_path: Path) -> None:
    """Nothing of ours has to be kept beside the pages."""
    folder = tmp_path / "site"
    folder.mkdir()
    write_site(folder, dict(RIGHT))
    out = tmp_path / "out"
    (folder / "mkdocs.yml").write_text(f"{_SETTINGS}site_dir: {out}\n", "utf-8")
    before = files(folder)
    with read_only(folder):
        assert run(folder, "proof").exit_code == 0
        builder = build(folder, subprocess.PIPE)
        _, said = builder.communicate()
        assert builder.returncode == 0, said.decode()
    assert (out / "a0" / "index.html").is_file()
    assert files(folder) == before


# --- interrupted ---


@pytest.mark.parametrize("name", ["amend", "rename", "record", "known", "output"])
@pytest.mark.parametrize("when", ["replace", "fdopen"])
def test_interrupted_while_a_file_is_written(
    tmp_path: Path, name: str, when: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    pages, words = WRITING[name]
    write_site(tmp_path, dict(pages))
    words = tuple(word.replace("SITE", str(tmp_path)) for word in words)
    before = files(tmp_path)
    usual, calls = getattr(os, when), iter(range(9))

    def interrupt(*given: Any) -> Any:
        if next(calls) == (2 if name == "rename" else 0):
            monkeypatch.setattr(os, when, usual)
            if when == "fdopen":
                os.close(given[0])
            raise KeyboardInterrupt
        return usual(*given)

    monkeypatch.setattr(os, when, interrupt)
    result = run(tmp_path, *words)
    assert result.exit_code == 2
    assert "interrupted" in result.stderr
    assert files(tmp_path) == before


# --- new files ---


def test_a_new_file_where_there_are_no_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*given: Any) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    write_new(tmp_path / "a", b"x")
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "a", b"y")
    assert files(tmp_path) == {"a": b"x"}


@pytest.mark.parametrize("is_link", [False, True])
def test_a_new_file_is_put_over_none(tmp_path: Path, is_link: bool) -> None:
    if is_link:
        link(tmp_path / "a", "nowhere")
    else:
        (tmp_path / "a").write_bytes(b"mine")
    with pytest.raises(FileExistsError) as refused:
        write_new(tmp_path / "a", b"x")
    assert refused.value.filename == str(tmp_path / "a")
    assert os.listdir(tmp_path) == ["a"]
    assert is_link or (tmp_path / "a").read_bytes() == b"mine"


# --- what the plugin writes itself ---


def test_a_feed_that_cannot_be_written_ends_the_build_in_a_line(tmp_path: Path) -> None:
    """As on a full disk, or where a second build has taken the folder away. All other files of a site are the
    generator's, which tells of them itself."""
    heads = PageHeads()
    heads.entries = {
        "a": FeedEntry(
            title="A", address="https://example.com/a/", published="2026-03-01", updated="", summary=""
        )
    }
    config: Any = SimpleNamespace(
        site_name="A", site_author="somebody", site_url="https://example.com/", site_dir=tmp_path / "gone"
    )
    with pytest.raises(PluginError) as refused:
        heads.write_feed(config)
    assert str(refused.value) == (
        f"buildlog: cannot write {tmp_path / 'gone' / 'feed.xml'}: No such file or directory. "
        "The site is not whole: mend that and build it again."
    )


def test_a_made_file_that_does_not_fit_on_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*given: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    config: Any = SimpleNamespace(site_dir=str(tmp_path), use_directory_urls=False)
    made = MadeFile(config, "assets/buildlog/a.json", "{}")
    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(PluginError, match="No space left on device"):
        _ = made.abs_src_path
    monkeypatch.undo()
    assert Path(made.abs_src_path).read_bytes() == b"{}"


# --- files that vanish ---


@pytest.mark.parametrize("name", ["a0.md", "runs/a.csv", "cars/test.yml", "sources.yml"])
def test_a_file_that_vanishes_between_listing_and_reading(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is a finding where it is missed, or as if it had never been there; and no fault of ours."""
    write_site(
        tmp_path, {**RIGHT, "runs/a.csv": "a\n1\n", "cars/test.yml": "inputs: {}\n", "sources.yml": ""}
    )
    going, opened = tmp_path / "content" / name, os.open

    def vanish(path: Any, *more: Any, **given: Any) -> int:
        if str(path) == str(going):
            going.unlink(missing_ok=True)
        return opened(path, *more, **given)

    monkeypatch.setattr(os, "open", vanish)
    result = run(tmp_path, "proof")
    assert result.exit_code == (0 if name.endswith("csv") else 1)  # nobody reads that one
    assert "fault of buildlog" not in result.output
    if not name.endswith("csv"):
        assert f"content/{name}" in result.stdout
        assert "file-unreadable" in result.stdout


def test_a_folder_that_vanishes_while_it_is_gone_through(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_site(tmp_path, {**RIGHT, "inner/b.md": "# B"})
    going, scandir = tmp_path / "content" / "inner", os.scandir

    def vanish(path: Any) -> Any:
        if str(path) == str(going):
            shutil.rmtree(going)
        return scandir(path)

    monkeypatch.setattr(os, "scandir", vanish)
    result = run(tmp_path, "proof")
    assert result.exit_code == 1
    assert "content/inner" in result.stdout


def test_a_built_page_that_vanishes_while_it_is_compared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where another build clears the folder."""
    write_site(tmp_path, dict(RIGHT))
    for key in range(PAGES):
        (tmp_path / "site" / f"a{key}").mkdir(parents=True)
        (tmp_path / "site" / f"a{key}" / "index.html").write_text("<p>", "utf-8")
    read = Path.read_text

    def vanish(path: Path, *given: Any, **more: Any) -> str:
        if path.name == "index.html":
            path.unlink()
        return read(path, *given, **more)

    monkeypatch.setattr(Path, "read_text", vanish)
    result = run(tmp_path, "proof", "--built", str(tmp_path / "site"))
    assert result.exit_code == 2
    assert "index.html: No such file or directory" in result.stderr
    assert result.stderr.count("\n") == 1
