"""A site as ``mkdocs serve`` keeps it, in a process of its own: no site's memory slows the other."""

from __future__ import annotations

import gc
import logging
import multiprocessing
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from tests.bench.site_of_copies import write_site

SAVED, CHANGED_INPUT, BUILT, END = "saved", "changed input", "built", "end"
Seconds = tuple[float, float]  # by the clock, and of the processor: the latter bears other work beside it
# Of the first set's final drive, on whose block the set's clutch, flywheel and exhaust rest.
_INPUT = "after: {final_drive: 41/9}"


class Served:
    """Does what ``mkdocs.commands.serve`` does at a save: reads the configuration, builds; plugins stay."""

    def __init__(self, folder: Path, *, plugin: bool) -> None:
        self.folder = folder
        self.episodes = write_site(folder, plugin=plugin)
        self.site = str(folder / "site")
        self._config().plugins.on_startup(command="serve", dirty=False)

    def _config(self) -> Any:
        from mkdocs.config import load_config

        return load_config(str(self.folder / "mkdocs.yml"), site_dir=self.site)

    def built(self, number: int = 0) -> Seconds:
        """What a build takes. The collector is left as it is: it runs while people serve, too."""
        from mkdocs.commands.build import build

        gc.collect()
        start, worked = time.perf_counter(), time.process_time()
        build(self._config(), serve_url="http://127.0.0.1:8000/")
        return time.perf_counter() - start, time.process_time() - worked

    def saved(self, number: int) -> Seconds:
        """A line more in one episode."""
        path = self.episodes[number * 37 % len(self.episodes)]
        path.write_text(path.read_text("utf-8") + f"\nSaved for the {number}th time.\n", "utf-8")
        return self.built()

    def changed_input(self, number: int) -> Seconds:
        """Another value for an input that blocks of other pages rest on."""
        path = next(one for one in self.episodes if one.name == "final-drive.md")
        text = path.read_text("utf-8")
        assert _INPUT in text
        path.write_text(text.replace(_INPUT, f"after: {{final_drive: 4.5{number}}}", 1), "utf-8")
        try:
            return self.built()
        finally:
            path.write_text(text, "utf-8")


class Process:
    """Such a site in another process."""

    def __init__(self, folder: Path, *, plugin: bool) -> None:
        self.folder = folder
        context = multiprocessing.get_context("spawn")
        self.connection, theirs = context.Pipe()
        self.process = context.Process(target=_work, args=(folder, plugin, theirs), daemon=True)
        self.process.start()

    def seconds(self, what: str, number: int = 0) -> Seconds:
        self.connection.send((what, number))
        by_the_clock, of_the_processor = self.connection.recv()
        return by_the_clock, of_the_processor

    def end(self) -> None:
        self.connection.send((END, 0))
        self.process.join(10)


def _work(folder: Path, plugin: bool, connection: Connection) -> None:
    logging.getLogger("mkdocs").setLevel(logging.CRITICAL)
    site = Served(folder, plugin=plugin)
    work = {SAVED: site.saved, CHANGED_INPUT: site.changed_input, BUILT: site.built}
    while True:
        what, number = connection.recv()
        if what == END:
            return
        connection.send(work[what](number))
