"""What a program takes in a process of its own: of the processor, by the clock, and of memory. Linux alone.

Its children count, and theirs, also those that outlive it. Memory is the resident set of all of them, where
what they share counts once: of one process that is its RSS. It is looked at ten times a second; the most is
told.
"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

CORES = 2
_EVERY = 0.1  # seconds
_PR_SET_CHILD_SUBREAPER = 36  # linux/prctl.h
_MEGABYTES = 1024 / 1e6  # a kB of /proc, which has 1024 bytes
ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """Seconds of the processor and by the clock, and the greatest memory in megabytes."""

    processor: float
    clock: float
    megabytes: float


def prepare() -> int:
    """Two cores for all that is measured, and what a measured program leaves behind is ours to wait for. Says
    how many cores there are: fewer than two on a smaller machine."""
    if sys.platform != "linux":
        raise SystemExit("This bench reads /proc, which only Linux has.")
    ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)
    cores = sorted(os.sched_getaffinity(0))[:CORES]
    os.sched_setaffinity(0, cores)
    return len(cores)


def environment() -> dict[str, str]:
    """Of a program that is measured: this checkout's own code, and no notices of the theme."""
    return {**os.environ, "PYTHONPATH": f"{ROOT}:{ROOT / 'plugins'}", "NO_MKDOCS_2_WARNING": "1"}


def run(folder: Path, *arguments: str) -> Taken:
    """Run Python with these arguments in a folder."""
    start = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-W", "ignore", *arguments],
        cwd=folder,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        memory = _Memory(process.pid)
        assert process.stdout is not None
        said = process.stdout.read()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    clock = time.perf_counter() - start
    processor = used.ru_utime + used.ru_stime + sum(_orphans())
    if process.returncode:
        raise SystemExit(
            f"{' '.join(arguments)} in {folder} ended with {process.returncode}:\n{said[-3000:]}"
        )
    return Taken(processor=round(processor, 3), clock=round(clock, 3), megabytes=round(memory.greatest(), 1))


def _orphans() -> Iterator[float]:
    """Processor time of what outlived its parent and so became our child. It is waited for."""
    while True:
        try:
            _, _, used = os.wait4(-1, 0)
        except ChildProcessError:
            return
        yield used.ru_utime + used.ru_stime


class _Memory:
    """Looks at a process and its descendants until they are gone."""

    def __init__(self, process: int) -> None:
        self.process = process
        self.most = 0
        self.thread = threading.Thread(target=self._watch, daemon=True)
        self.thread.start()

    def greatest(self) -> float:
        self.thread.join()
        return self.most * _MEGABYTES

    def _watch(self) -> None:
        while now := _resident(_with_descendants(self.process)):
            self.most = max(self.most, now)
            time.sleep(_EVERY)


def _with_descendants(process: int) -> Sequence[int]:
    found = [process]
    for one in found:  # grows as it goes
        tasks = Path(f"/proc/{one}/task")
        try:
            threads = os.listdir(tasks)
        except OSError:  # it has ended meanwhile
            continue
        for thread in threads:
            found.extend(map(int, _read(tasks / thread / "children").split()))
    return found


def _resident(processes: Sequence[int]) -> int:
    """In kB. What is in files (libraries, mostly) is mapped by each of them, and by strangers too: of that
    the process with most of it stands for all."""
    own, in_files = 0, 0
    for process in processes:
        lines = _read(Path(f"/proc/{process}/smaps_rollup")).splitlines()[1:]
        kilobytes = {name: int(rest.split()[0]) for name, _, rest in (line.partition(":") for line in lines)}
        own += kilobytes.get("Pss_Anon", 0) + kilobytes.get("Pss_Shmem", 0)
        in_files = max(in_files, kilobytes.get("Rss", 0) - kilobytes.get("Anonymous", 0))
    return own + in_files


def _read(path: Path) -> str:
    try:
        return path.read_text("ascii")
    except OSError:  # it has ended meanwhile
        return ""
