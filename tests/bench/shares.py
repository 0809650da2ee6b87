"""Whose work a build is: its processor time by the package at work, looked at every few milliseconds.

``python -m tests.bench.shares`` builds the site of the folder that it is started in and prints JSON. What
buildlog calls, be it YAML or NumPy, counts as buildlog's; so does all that its own processes do.
"""

from __future__ import annotations

import json
import logging
import signal
import sys
import time
from collections import defaultdict
from pathlib import Path
from types import FrameType

OURS = "buildlog"
START = "imports, but buildlog's"
OTHER = "other"
SEARCH = "search index"
_OUR_FOLDERS = tuple(f"{Path(__file__).resolve().parents[2]}/{name}/" for name in ("buildlog", "plugins"))
_EVERY = 0.004  # seconds of the processor, as often as Linux looks
_IMPORT = "<frozen importlib"
_PLACES = (  # the first that a file's name holds
    ("/site-packages/markdown/", "Python-Markdown"),
    ("/site-packages/pymdownx/", "PyMdown Extensions"),
    ("/site-packages/pygments/", "Pygments"),
    ("/site-packages/mkdocs/contrib/search/", SEARCH),
    ("/site-packages/material/plugins/search/", SEARCH),
    ("/site-packages/jinja2/", "Jinja2 and the theme's templates"),
    ("/templates/", "Jinja2 and the theme's templates"),
    ("/theme/", "Jinja2 and the theme's templates"),
    ("/site-packages/yaml/", "PyYAML"),
    ("/site-packages/mkdocs/", "MkDocs"),
)


class Sampler:
    """Gives the processor's time to whoever is at work."""

    def __init__(self) -> None:
        self.seconds: defaultdict[str, float] = defaultdict(float)
        self.last = 0.0

    def start(self) -> None:
        signal.signal(signal.SIGPROF, self._look)
        self.last = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, _EVERY, _EVERY)

    def end(self) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0)

    def _look(self, _: int, frame: FrameType | None) -> None:
        """A signal waits while one call of C runs, so the time since the last one counts, not the signals."""
        now = time.process_time()
        self.seconds[_owner(frame)] += now - self.last
        self.last = now


def _owner(frame: FrameType | None) -> str:
    """The innermost package at work, which is ours wherever it works for ours; imports by themselves. The
    search is called through us, but does its own work."""
    found = ""
    while frame is not None:
        name = frame.f_code.co_filename.replace("\\", "/")
        if name.startswith(_OUR_FOLDERS):
            return found if found == SEARCH else OURS
        if not found and _IMPORT in name:
            found = START
        found = found or next((owner for place, owner in _PLACES if place in name), "")
        frame = frame.f_back
    return found or OTHER


def main() -> None:
    logging.getLogger("mkdocs").setLevel(logging.CRITICAL)
    sampler = Sampler()
    sampler.start()
    import resource  # of Unix alone

    # Imported here, since a build's imports are its own.
    from mkdocs.commands.build import build
    from mkdocs.config import load_config

    build(load_config("mkdocs.yml"))
    sampler.end()
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    sampler.seconds[OURS] += children.ru_utime + children.ru_stime
    json.dump(sampler.seconds, sys.stdout)


if __name__ == "__main__":
    main()
