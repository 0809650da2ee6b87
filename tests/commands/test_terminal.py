"""Commands on a terminal and without one: progress, odd encodings, streams that fail."""

from __future__ import annotations

import io
import json
import os
import select
import subprocess
import sys
from pathlib import Path

import pytest

from buildlog.report.progress import PACE, PATIENCE, ProgressLine
from tests.samples import GEARING, write_site
from tests.systems import on_unix

WRONG = f"# A\n\nThird: [−153.5 km/h](calc:shorter-final.after.speed_at_limit.3) ½ ≤.\n\n{GEARING}"
RIGHT = f"# A\n\nThird: [135.5 km/h](calc:shorter-final.after.speed_at_limit.3).\n\n{GEARING}"
IMPATIENT = (
    "import sys, buildlog.report.progress as progress; progress.PATIENCE = progress.PACE = 0;"
    "from buildlog.cli import main; main(sys.argv[1:])"
)


class Screen(io.StringIO):
    """A terminal as far as asked; `line` is what stands on it, by the two signs that move its cursor."""

    def isatty(self) -> bool:
        return True

    def line(self) -> str:
        shown: list[str] = []
        at = 0
        for sign in self.getvalue():
            assert sign.isprintable() or sign == "\r", "no escape sequence"
            if sign == "\r":
                at = 0
                continue
            shown[at : at + 1] = [sign]
            at += 1
        return "".join(shown)


class Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    for name in ("CI", "NO_COLOR", "PYTHONIOENCODING", "PYTHONUTF8"):
        monkeypatch.delenv(name, raising=False)


# --- the line -----------------------------------------------------------------------------


def test_nothing_is_shown_within_a_second() -> None:
    screen, clock = Screen(), Clock()
    with ProgressLine(screen, clock) as progress:
        progress("pages", 1, 10)
        clock.now += PATIENCE - 0.01
        progress("pages", 9, 10)
    assert screen.getvalue() == ""


def test_after_a_second_the_line_is_rewritten_and_then_taken_away() -> None:
    screen, clock = Screen(), Clock()
    with ProgressLine(screen, clock) as progress:
        clock.now += PATIENCE
        progress("pages", 99, 120)
        assert screen.line() == "pages: 99 of 120"
        progress("pages", 100, 120)
        assert screen.line() == "pages: 99 of 120", "not more often than an eye can follow"
        clock.now += 2 * PACE
        progress("charts", 3)
        assert screen.line().rstrip() == "charts: 3"
    assert screen.line().strip() == ""
    assert screen.getvalue().endswith("\r"), "the cursor is where it was"


def test_a_narrow_terminal_is_not_written_over(monkeypatch: pytest.MonkeyPatch) -> None:
    class Narrow(Screen):
        def fileno(self) -> int:
            return 2

    monkeypatch.setattr(os, "get_terminal_size", lambda handle: os.terminal_size((10, 3)))
    screen, clock = Narrow(), Clock()
    progress = ProgressLine(screen, clock)
    clock.now += PATIENCE
    progress("pages rendered", 1, 200)
    assert screen.line() == "pages ren", "a line that is full would go on below, and stay there"


def test_the_line_goes_when_the_work_fails() -> None:
    screen, clock = Screen(), Clock()

    def work() -> None:
        with ProgressLine(screen, clock) as progress:
            clock.now += PATIENCE
            progress("blocks", 1, 2)
            raise KeyError

    with pytest.raises(KeyError):
        work()
    assert screen.line().strip() == ""


def test_other_work_has_a_second_of_its_own() -> None:
    screen, clock = Screen(), Clock()
    progress = ProgressLine(screen, clock)
    clock.now += PATIENCE
    progress("pages", 1, 2)
    progress.restart()
    assert screen.line().strip() == ""
    progress("blocks", 1, 2)
    assert screen.line().strip() == ""


@pytest.mark.parametrize(("name", "value"), [("TERM", "dumb"), ("CI", "true")])
def test_nothing_where_nobody_watches(name: str, value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(name, value)
    screen, clock = Screen(), Clock()
    progress = ProgressLine(screen, clock)
    clock.now += PATIENCE
    progress("pages", 1, 2)
    assert screen.getvalue() == ""


def test_a_terminal_that_is_gone_stops_no_work() -> None:
    class Gone(Screen):
        def write(self, text: str) -> int:
            raise OSError(5, "Input/output error")

    clock = Clock()
    with ProgressLine(Gone(), clock) as progress:
        clock.now += PATIENCE
        progress("pages", 1, 2)
    closed = io.StringIO()
    closed.close()
    ProgressLine(closed)("pages", 1, 2)


# --- commands on a terminal, and without ------------------------------------------------------


def on_terminal(command: list[str], **environment: str) -> tuple[str, str, int]:
    """Run with standard error on a pseudo-terminal: standard output, what the terminal got, the exit code."""
    ours, theirs = pytest.importorskip("pty").openpty()
    try:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=theirs,
            env={**os.environ, **environment},
        )
        os.close(theirs)
        output, _ = process.communicate(timeout=60)
        shown = b""
        while select.select([ours], [], [], 0)[0]:
            try:
                read = os.read(ours, 65536)
            except OSError:  # Linux says so at the end of a terminal that nobody writes to any more
                break
            if not read:
                break
            shown += read
        return output.decode(), shown.decode(), process.returncode
    finally:
        os.close(ours)


def impatient(site: Path, *arguments: str) -> list[str]:
    return [sys.executable, "-c", IMPATIENT, *arguments, "--site", str(site)]


@pytest.mark.parametrize("command", ["proof", "ledger", "amend"])
def test_a_command_shows_pages_and_blocks_and_leaves_nothing(tmp_path: Path, command: str) -> None:
    write_site(tmp_path, {"a.md": RIGHT, "b.md": RIGHT})
    output, shown, code = on_terminal(impatient(tmp_path, command))
    assert code == 0
    assert "pages: 1 of 2" in shown
    assert "blocks: 1 of 2" in shown
    screen = Screen()
    screen.write(shown)
    assert screen.line().strip() == ""
    assert "of 2" not in output


BUILD = (
    "import sys, buildlog.report.progress as progress; progress.PATIENCE = progress.PACE = 0;"
    "from mkdocs.__main__ import cli; cli(['build', '-f', sys.argv[1]])"
)


def test_a_build_shows_pages_blocks_and_charts_and_gives_way_to_the_log(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT, "b.md": RIGHT + "\nSee [there](nowhere.md).\n"})
    settings = tmp_path / "mkdocs.yml"
    settings.write_text("site_name: Test\ndocs_dir: content\nplugins: [buildlog]\n")
    output, shown, code = on_terminal([sys.executable, "-c", BUILD, str(settings)])
    assert (code, output) == (0, "")
    for state in ("pages: 1 of 2", "blocks: 1 of 2", "pages rendered: 2 of 2", "charts drawn: 2"):
        assert state in shown
    assert "pages written: 2 of 2" in shown
    ends = [line.rsplit("\r", 1)[-1].rstrip() for line in shown.replace("\r\n", "\n").split("\n")]
    log = [end for end in ends if end]
    assert any("nowhere.md" in line for line in log)
    # What stands on a line when it ends is MkDocs' own, and begins at its beginning.
    levels = [line for line in log if "INFO " in line or "WARNING " in line]
    assert len(levels) > 2
    assert all(line.startswith(("\x1b[", "INFO ", "WARNING ")) for line in levels), levels
    assert not any(" of 2" in line or "charts" in line for line in log)


def test_a_build_that_is_refused_leaves_no_line(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    settings = tmp_path / "mkdocs.yml"
    settings.write_text("site_name: Test\ndocs_dir: content\nplugins: [buildlog]\n")
    _, shown, code = on_terminal([sys.executable, "-c", BUILD, str(settings)])
    assert code == 1
    first = next(line for line in shown.split("\n") if "figure-disagrees" in line or "buildlog: " in line)
    assert "pages:" not in first.rstrip("\r").rsplit("\r", 1)[-1]


def test_an_interrupted_command_leaves_no_line_and_is_no_finding(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT, "b.md": RIGHT})
    stop = (
        "from buildlog.book.book import Book\n"
        "def stop(book): raise KeyboardInterrupt\nBook._read_sources = stop\n"
    )
    _, shown, code = on_terminal([sys.executable, "-c", stop + IMPATIENT, "proof", "--site", str(tmp_path)])
    assert code == 2
    assert "pages: 1 of 2" in shown
    assert shown.rsplit("\r\n", 2)[-2].rsplit("\r", 1)[-1] == "buildlog: interrupted"


def test_a_quick_command_shows_nothing(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    _, shown, _ = on_terminal([sys.executable, "-m", "buildlog.cli", "proof", "--site", str(tmp_path)])
    assert shown == ""


def test_nothing_is_shown_to_a_pipe(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    done = subprocess.run(impatient(tmp_path, "proof"), capture_output=True, check=True)
    assert done.stderr == b""


# --- streams that take less, or nothing --------------------------------------------------------


def buildlog(site: Path, *arguments: str, encoding: str = "utf-8") -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "buildlog.cli", *arguments, "--site", str(site)]
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    return subprocess.run(command, capture_output=True, env=environment, check=False)


@pytest.mark.parametrize("command", ["proof", "amend", "ledger"])
def test_signs_that_a_terminal_lacks_have_a_plain_likeness(tmp_path: Path, command: str) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    done = buildlog(tmp_path, command, encoding="cp1252")
    assert done.returncode == (0 if command == "ledger" else 1)
    assert done.stderr == b""
    assert b"-153.5 km/h" in done.stdout
    assert b"\\u" not in done.stdout


@pytest.mark.parametrize(("command", "form"), [("proof", "json"), ("proof", "sarif"), ("ledger", "json")])
def test_formats_for_programs_are_utf_8_everywhere(tmp_path: Path, command: str, form: str) -> None:
    write_site(tmp_path, {"a.md": WRONG})
    done = buildlog(tmp_path, command, "--format", form, encoding="cp1252")
    assert json.loads(done.stdout.decode("utf-8"))
    assert done.stdout == buildlog(tmp_path, command, "--format", form).stdout


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="Linux has it")
@pytest.mark.parametrize("command", ["proof", "amend", "ledger"])
def test_a_full_disk_is_no_finding(tmp_path: Path, command: str) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "buildlog.cli", command, "--site", str(tmp_path)],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == b"buildlog: stopped: No space left on device\n"


def test_a_pipe_that_is_closed_early_is_no_finding(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "buildlog.cli", "proof", "--site", str(tmp_path)],
            stdout=writing,
            stderr=subprocess.PIPE,
            check=False,
        )
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (2, b"")


@on_unix
def test_no_standard_output_at_all(tmp_path: Path) -> None:
    write_site(tmp_path, {"a.md": RIGHT})
    shell = f'"{sys.executable}" -m buildlog.cli proof --site "{tmp_path}" >&-'
    done = subprocess.run(["bash", "-c", shell], stderr=subprocess.PIPE, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
