"""Blocks that processes compute on the other cores, while the book computes on its own.

The book goes through its blocks from the front, whether there are processes or not; they take from the back
what rests on nothing that is still to come, until they meet. What comes of a block follows from the block and
what it rests on, so that it is the same wherever it was computed. Whatever a process does not answer, the
book computes itself: there a finding is found and told, too.

The processes are our own program and nothing else (`worker.py`): this interpreter, isolated from the
environment and the folder that it is started in, with the paths that ours looks for modules in.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from threading import Condition, Thread
from time import perf_counter
from typing import TYPE_CHECKING
from zlib import compress, decompress, error

from buildlog.book.evaluation import references
from buildlog.book.frames import receive, send
from buildlog.kept.packing import Unpackable, pack, unpack
from buildlog.kinds.results import BlockResult
from buildlog.reading.blocks import Block
from buildlog.reading.decisions import KIND as DECISION

if TYPE_CHECKING:
    from subprocess import Popen

Name = tuple[str, str]
"""(page, id) of a block."""

PROGRAM = "import sys; sys.path[:] = sys.argv[1:]; from buildlog.book.worker import work; work()"
LOOK_AFTER = 0.2
"""Seconds of computing after which it is first looked whether processes are worth their start."""
WORTH = 1.0
"""Seconds of computing that there have to be for each: a start takes about a third of that."""
PATIENCE = 60.0
"""Seconds for which the book waits for a block that a process has begun: a stopped one never answers."""


@dataclass(frozen=True, kw_only=True)
class Cold:
    """What has to be computed of a site. `order` is that of the book, `results` are the book's, which grow;
    `is_kept` says whether an earlier run has left a block's result on disk, `site` makes what a process has
    to know of the site."""

    blocks: Mapping[Name, Block]
    order: Sequence[Name]
    needs: Mapping[Name, Collection[Name]]
    results: Mapping[Name, BlockResult]
    is_kept: Callable[[Block], bool]
    site: Callable[[], bytes]


class Ahead:
    """Up to so many processes for one run through a site's blocks. To be told of each block in their order,
    and ended."""

    def __init__(self, cold: Cold, processes: int) -> None:
        self._cold = cold
        self._most = processes
        self._work: Work | None = None
        self._look_after = LOOK_AFTER
        self._spent = 0.0
        self._computed = 0
        self._began: float | None = None

    def result(self, block: Block) -> tuple[BlockResult, dict[str, str]] | None:
        """A block as a process has computed it, with the data files that it read and their digests; None
        where the book is to compute it."""
        answer = self._work.take((block.page, block.id)) if self._work is not None else b""
        if answer:
            with suppress(Unpackable, error):
                return read_packed(answer)
        self._began = perf_counter()
        return None

    def go_on(self, name: Name) -> None:
        """A block's result is among the book's. Is it worth it to have others computed elsewhere?"""
        if self._began is not None:
            self._spent += perf_counter() - self._began
            self._computed += 1
            self._began = None
        if self._work is not None:
            if self._work.is_wanted(name):
                self._work.give(name, self._packed(name))
        elif self._most > 0 and self._spent >= self._look_after:
            self._look_after *= 2
            self._look(self._cold.order[self._cold.order.index(name) + 1 :])

    def end(self) -> None:
        """No process is left."""
        if self._work is not None:
            self._work.end()

    def _look(self, left: Sequence[Name]) -> None:
        """Start processes, where what is left is worth it by what was computed so far."""
        left = [name for name in left if not self._cold.is_kept(self._cold.blocks[name])]
        worth = int(self._spent / self._computed * len(left) / WORTH)
        handed = self._requests(left)
        processes = min(self._most, worth, len(handed))
        if processes < 1:
            return
        try:
            site = self._cold.site()
        except Unpackable:
            return
        self._work = Work(handed, {name: set(self._cold.needs[name]) for name in handed})
        for name in {need for other in handed for need in self._cold.needs[other]}:
            if name in self._cold.results:
                self._work.give(name, self._packed(name))
        for _ in range(processes):
            self._work.start(site)

    def _requests(self, names: Sequence[Name]) -> dict[Name, bytes]:
        """The blocks that may be computed elsewhere, packed. What a decision's doubts are called rests on all
        blocks before it; a value at a row of a sweep is computed from another block's text."""
        requests = {}
        for name in names:
            block = self._cold.blocks[name]
            here = block.kind == DECISION or any("@" in text for text, _ in references(block))
            with suppress(Unpackable):
                if not here and not block.faults:
                    requests[name] = pack(block)
        return requests

    def _packed(self, name: Name) -> bytes:
        """A result of the book's, as a process gives it; b"" for one that no other can be computed from."""
        result = self._cold.results[name]
        with suppress(Unpackable):
            if not result.faults:
                return packed(result, {})
        return b""


class Work:
    """Who computes which block. The book and a thread for each process ask it; it knows bytes and names."""

    def __init__(self, requests: Mapping[Name, bytes], needs: Mapping[Name, set[Name]]) -> None:
        self._requests = requests
        self._needs = needs
        self._place = {name: number for number, name in enumerate(requests)}
        self._open = dict.fromkeys(requests)
        self._running: set[Name] = set()
        self._answers: dict[Name, bytes] = {}
        self._given: dict[Name, bytes] = {}  # what blocks still to be computed rest on
        self._wanted = {need for every in needs.values() for need in every}
        self._changed = Condition()
        self._is_over = False
        self._processes: list[Popen[bytes]] = []
        self._threads: list[Thread] = []

    def take(self, name: Name) -> bytes:
        """What came of a block; b"" where the book is to compute it, which nobody else does then."""
        with self._changed:
            self._open.pop(name, None)
            self._changed.wait_for(lambda: name not in self._running, PATIENCE)
            return self._answers.pop(name, b"")

    def is_wanted(self, name: Name) -> bool:
        """Whether blocks rest on one that they have not got."""
        return name in self._wanted and name not in self._given

    def give(self, name: Name, answer: bytes) -> None:
        """What others may rest on."""
        if answer:
            with self._changed:
                self._given[name] = answer
                self._changed.notify_all()

    def start(self, site: bytes) -> None:
        """One process more."""
        thread = Thread(target=self._attend, args=(site,), daemon=True)
        self._threads.append(thread)
        thread.start()

    def end(self) -> None:
        with self._changed:
            self._is_over = True
            self._changed.notify_all()
            for process in self._processes:
                process.kill()
        for thread in self._threads:
            thread.join()

    def _attend(self, site: bytes) -> None:
        """Start a process and give it blocks, until there are none or it dies."""
        with suppress(Exception), self._started() as process:  # whatever it is, the book computes the block
            try:
                assert process.stdin is not None
                assert process.stdout is not None
                send(process.stdin, site)
                receive(process.stdout)  # it has come so far as to read that
                while (name := self._next()) is not None:
                    answer = b""
                    try:
                        send(process.stdin, self._request(name))
                        answer = receive(process.stdout)
                    finally:
                        self._answered(name, answer)
            finally:
                process.kill()

    def _started(self) -> Popen[bytes]:
        """A process of our own program. What it has to say goes to nobody but us."""
        import subprocess  # only where there is work for it
        from subprocess import DEVNULL, PIPE

        hidden = 0
        if sys.platform == "win32":
            hidden = subprocess.CREATE_NO_WINDOW
        options = ["-I", "-X", f"utf8={sys.flags.utf8_mode}", *(["-B"] if sys.dont_write_bytecode else [])]
        with self._changed:
            if self._is_over:
                raise ChildProcessError("nobody waits for it")
            process = subprocess.Popen(
                [sys.executable, *options, "-c", PROGRAM, *sys.path],
                stdin=PIPE,
                stdout=PIPE,
                stderr=DEVNULL,
                creationflags=hidden,
            )
            self._processes.append(process)
        return process

    def _next(self) -> Name | None:
        """The last of the blocks that nobody computes and that all is there for; None when there will be
        none."""
        with self._changed:
            while self._open and not self._is_over:
                ready = (name for name in reversed(self._open) if self._given.keys() >= self._needs[name])
                if (name := next(ready, None)) is not None:
                    del self._open[name]
                    self._running.add(name)
                    return name
                self._changed.wait()
        return None

    def _request(self, name: Name) -> bytes:
        """A block and what it rests on."""
        given = {need: self._given[need] for need in self._needs[name]}
        return pack((self._requests[name], given))

    def _answered(self, name: Name, answer: bytes) -> None:
        with self._changed:
            self._running.discard(name)
            if answer:
                self._answers[name] = answer
                if name in self._wanted:
                    self._given[name] = answer
            self._changed.notify_all()


def packed(result: BlockResult, digests: Mapping[str, str]) -> bytes:
    """A result with the data files that it was computed from. Raises `Unpackable`."""
    return compress(pack((result, dict(digests))), 1)


def read_packed(content: bytes) -> tuple[BlockResult, dict[str, str]]:
    """Raises `Unpackable`, or `error` of zlib."""
    result, digests = unpack(decompress(content))
    return result, digests
