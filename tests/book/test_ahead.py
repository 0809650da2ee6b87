"""Blocks computed in processes on the other cores: the same book, whatever becomes of the processes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from buildlog.book import ahead
from buildlog.book.ahead import PROGRAM, Ahead, Work
from buildlog.book.book import Book
from buildlog.book.cores import MOST, USUAL_MOST, VARIABLE, cores
from buildlog.book.evaluation import Evaluation
from buildlog.book.frames import receive, send
from buildlog.cli import main
from buildlog.kept.packing import pack
from buildlog.kept.store import Store
from buildlog.kinds.logs import Log
from buildlog.kinds.results import BlockResult
from tests import many_cores
from tests.book.test_reopening import SITE, fresh, same
from tests.house import ROOT
from tests.proof.test_drift import A
from tests.samples import GEARING, calc, write_site

pytestmark = pytest.mark.slow

CHAIN = "# Chain\n\n" + "".join(
    calc(
        f"""
        id: link-{number}
        kind: gearing
        inputs:
          gears: [3.3, 2.0, 1.4, 1.1, 1.0]
          tyre: 195/50R15
          rev_limit: 8200 rpm
          cruise_speed: {"100 km/h" if not number else f"calc:link-{number - 1}.speed_at_limit.3"}
          final_drive: 4.{number}
        """
    )
    + "\n"
    for number in range(4)
)
AT_A_ROW = calc(
    """
    id: swept
    kind: gearing
    inputs:
      gears: [3.3, 2.0]
      tyre: 195/50R15
      rev_limit: 8200 rpm
      final_drive: 4.1
    sweep: final_drive from 4.0 to 4.4 by 0.1
    of: [speed_at_limit.1]
    """
) + calc(
    """
    id: at-a-row
    kind: gearing
    inputs:
      gears: [3.3, 2.0]
      tyre: 195/50R15
      rev_limit: 8200 rpm
      cruise_speed: calc:swept.speed_at_limit.1@4.2
      final_drive: 4.1
    """
)
FAULTY = (
    "# Faulty\n\n"
    + GEARING.replace("41/9", "4.x")
    + GEARING.replace("id: shorter-final", "id: on-it").replace("100 km/h", "calc:shorter-final.x.y.1")
    + GEARING.replace("id: shorter-final", "id: too-fast").replace("8200 rpm", "0 rpm")
    + GEARING.replace("id: shorter-final", "id: loop").replace("100 km/h", "calc:loop.after.speed_at_limit.1")
    + GEARING.replace("id: shorter-final\n", "")
)
FILES: dict[str, str | bytes] = {**SITE, "chain.md": CHAIN, "row.md": AT_A_ROW, "z.md": FAULTY}


@pytest.fixture
def processes(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[subprocess.Popen[bytes]]]:
    """Three cores, processes for any block, and the book waits for all that they can do. At the end none of
    them is left."""
    monkeypatch.setenv(VARIABLE, "3")
    for name in ("LOOK_AFTER", "WORTH", "PATIENCE", "PROGRAM"):
        monkeypatch.setattr(ahead, name, getattr(ahead, name))
    monkeypatch.setattr(Ahead, "_look", Ahead._look)
    monkeypatch.setattr(Work, "_answered", Work._answered)
    many_cores.elsewhere.clear()
    many_cores.use()
    started: list[subprocess.Popen[bytes]] = []
    real = Work._started

    def noted(self: Work) -> subprocess.Popen[bytes]:
        started.append(process := real(self))
        return process

    monkeypatch.setattr(Work, "_started", noted)
    yield started
    assert [process for process in started if process.poll() is None] == []


def alone(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """The site computed on one core."""
    with monkeypatch.context() as here:
        here.setenv(VARIABLE, "1")
        return fresh(folder)


def test_the_same_book_on_any_number_of_cores(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, processes: list[Any]
) -> None:
    write_site(tmp_path, FILES)
    book = fresh(tmp_path)
    there = set(many_cores.elsewhere)
    assert {("chain", "link-1"), ("chain", "link-2"), ("chain", "link-3")} <= there
    assert len(there) >= 6
    assert not {("row", "at-a-row"), ("z", "shorter-final"), ("z", "too-fast"), ("z", "loop")} & there
    assert len(processes) == 2
    same(book, alone(tmp_path, monkeypatch))
    assert list(book.results) == list(alone(tmp_path, monkeypatch).results)


def test_the_demonstration(monkeypatch: pytest.MonkeyPatch, processes: list[Any]) -> None:
    """Decisions, logs, draws, sheets of cars: all that there is."""
    book = Book.open(root=ROOT)
    assert len(many_cores.elsewhere) > 50
    other = with_one_core(ROOT, monkeypatch)
    assert list(book.results) == list(other.results)
    assert [without_logs(one) for one in book.results.values()] == list(
        map(without_logs, other.results.values())
    )
    assert (book.faults, book.data_used, book.data_names) == (
        other.faults,
        other.data_used,
        other.data_names,
    )


def without_logs(result: BlockResult) -> BlockResult:
    """A result without the readings of its logs: gaps in these are no numbers, which equal nothing, and they
    remember what was worked out of them. Their digests are compared."""
    return replace(
        result,
        cases={
            name: replace(
                case,
                given={
                    key: replace(one, value=None) if one.files or is_log(one.value) else one
                    for key, one in case.given.items()
                },
            )
            for name, case in result.cases.items()
        },
    )


def is_log(value: object) -> bool:
    """Whether these are the readings of logs, which may stand in the block too: then its text is compared."""
    return isinstance(value, tuple) and any(isinstance(one, Log) for one in value)


def with_one_core(root: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    with monkeypatch.context() as here:
        here.setenv(VARIABLE, "1")
        return Book.open(root=root)


def test_findings_are_told_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, processes: list[Any]
) -> None:
    write_site(tmp_path, FILES)
    command = ["proof", "--all", "--no-cache", "--site", str(tmp_path)]
    told = CliRunner().invoke(main, command)
    assert processes
    monkeypatch.setenv(VARIABLE, "1")
    before = CliRunner().invoke(main, command)
    assert told.output == before.output
    assert told.exit_code == before.exit_code == 1
    assert "too-fast" in told.output or "0 rpm" in told.output


@pytest.mark.parametrize(
    "program",
    [
        "raise SystemExit",
        "raise ValueError('broken')",
        "import time; time.sleep(600)",
        "print('a word of welcome'); " + PROGRAM,
        "print('a word of welcome' * 99)",
        "import sys, os; sys.stdout.buffer.write(b'buildlog' + b'\\xff' * 8)",
        PROGRAM.replace(
            "work()", "import buildlog.book.worker as w; w.answer = lambda *x: w.os._exit(9); work()"
        ),
        PROGRAM.replace("work()", "import buildlog.book.worker as w; w.answer = lambda *x: 1 / 0; work()"),
        PROGRAM.replace("work()", "import buildlog.book.worker as w; w.answer = lambda *x: b'x'; work()"),
        PROGRAM.replace(
            "work()", "import buildlog.book.worker as w, time; w.answer = lambda *x: time.sleep(600); work()"
        ),
    ],
    ids=[
        "ends at once",
        "traceback",
        "hangs at its start",
        "greets",
        "babbles",
        "promises too much",
        "killed at a block",
        "traceback at a block",
        "nonsense",
        "hangs at a block",
    ],
)
def test_what_a_process_does_not_answer_is_computed_here(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    processes: list[Any],
    program: str,
) -> None:
    monkeypatch.setattr(ahead, "PROGRAM", program)
    monkeypatch.setattr(ahead, "PATIENCE", 0.2)
    monkeypatch.setattr(many_cores, "LONG", 2.0)
    write_site(tmp_path, FILES)
    book = fresh(tmp_path)
    assert len(processes) == 2
    same(book, alone(tmp_path, monkeypatch))
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("python", ["", "/no/such/python", str(ROOT)])
def test_where_no_process_can_be_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, processes: list[Any], python: str
) -> None:
    monkeypatch.setattr(sys, "executable", python)
    write_site(tmp_path, FILES)
    same(fresh(tmp_path), alone(tmp_path, monkeypatch))
    assert not processes


def test_an_interrupt_leaves_no_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, processes: list[Any]
) -> None:
    computed: list[str] = []
    real = Evaluation.run

    def interrupted(self: Evaluation) -> object:
        if computed:
            raise KeyboardInterrupt
        computed.append(self.block.id)
        return real(self)

    monkeypatch.setattr(Evaluation, "run", interrupted)
    write_site(tmp_path, {**FILES, "0.md": GEARING})
    with pytest.raises(KeyboardInterrupt):
        fresh(tmp_path)
    assert len(processes) == 2  # the fixture looks whether they are gone


def test_a_process_ends_with_whoever_started_it(tmp_path: Path) -> None:
    """In the middle of a block: its input ends when nobody holds the other end of the pipe."""
    slow = "import buildlog.book.worker as w, time; w.answer = lambda *x: time.sleep(600); work()"
    program = PROGRAM.replace("work()", slow)
    command = [sys.executable, "-I", "-c", program, *sys.path]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        book = Book.open(write_site(tmp_path, {"a.md": A}), root=tmp_path)
        send(process.stdin, pack((book.root, book.content, book.settings.own_units, book.cars, book.parts)))
        assert receive(process.stdout) == b""
        send(process.stdin, b"a block")
        process.stdin.close()
        assert process.wait(60) == 0


def test_no_process_where_it_is_not_worth_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*things: object, **more: object) -> None:
        raise AssertionError("a process")

    monkeypatch.setattr(subprocess, "Popen", never)
    monkeypatch.setattr(Work, "start", never)
    write_site(tmp_path, FILES)
    monkeypatch.setenv(VARIABLE, "1")
    monkeypatch.setattr(ahead, "LOOK_AFTER", 0.0)
    fresh(tmp_path)
    monkeypatch.setenv(VARIABLE, "8")
    monkeypatch.setattr(ahead, "WORTH", 1e9)
    fresh(tmp_path)


def test_what_is_kept_is_given_to_no_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, processes: list[Any]
) -> None:
    write_site(tmp_path, FILES)
    store = Store(tmp_path, bytes(32))
    Book.open(tmp_path / "content", root=tmp_path, store=store)
    many_cores.elsewhere.clear()
    write_site(tmp_path, {"0.md": GEARING, "a.md": A.replace("41/9", "4.3"), "d.md": GEARING})
    again = Book.open(tmp_path / "content", root=tmp_path, store=store)
    assert set(many_cores.elsewhere) <= {
        ("0", "shorter-final"),
        ("a", "shorter-final"),
        ("b", "launch"),
        ("d", "shorter-final"),
    }
    assert many_cores.elsewhere
    same(again, alone(tmp_path, monkeypatch))
    many_cores.elsewhere.clear()
    processes.clear()
    same(Book.open(tmp_path / "content", root=tmp_path, store=store), again)
    assert not many_cores.elsewhere


@pytest.mark.parametrize("said", ["all", "0", "-1", "1.5", str(MOST + 1), "9" * 5000, "٣", "2 3", "1e1", "²"])
def test_a_number_of_cores_that_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str) -> None:
    monkeypatch.setenv(VARIABLE, said)
    number, (fault,) = cores("mkdocs.yml")
    assert number == 1
    assert fault.position.path == "mkdocs.yml"
    assert fault.code.name == "cores-unreadable"
    write_site(tmp_path, {"a.md": GEARING})
    told = CliRunner().invoke(main, ["proof", "--site", str(tmp_path)])
    assert told.exit_code == 1
    assert "cores-unreadable" in told.output


@pytest.mark.parametrize(("said", "number"), [("1", 1), (" 2 ", 2), (str(MOST), MOST), ("08", 8)])
def test_a_number_of_cores(monkeypatch: pytest.MonkeyPatch, said: str, number: int) -> None:
    monkeypatch.setenv(VARIABLE, said)
    assert cores("mkdocs.yml") == (number, [])


@pytest.mark.parametrize("there", [1, 2, 200])
def test_the_cores_that_there_are(monkeypatch: pytest.MonkeyPatch, there: int) -> None:
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setattr("os.sched_getaffinity", lambda process: set(range(there)), raising=False)
    assert cores("mkdocs.yml") == (min(there, USUAL_MOST), [])
    monkeypatch.delattr("os.sched_getaffinity", raising=False)
    for known, number in ((there, min(there, USUAL_MOST)), (None, 1)):
        monkeypatch.setattr("os.cpu_count", lambda known=known: known)
        assert cores("mkdocs.yml") == (number, [])
