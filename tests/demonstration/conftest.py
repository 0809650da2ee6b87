"""The demo, built once for all tests of its pages."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config

ROOT = Path(__file__).resolve().parents[2]
_LONGEST_BUILD = 1800.0  # s


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the built site. Where several processes share the tests, the first builds it for all."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return _built(tmp_path_factory.mktemp("demo") / "site")
    shared = tmp_path_factory.getbasetemp().parent / "demo"
    shared.mkdir(exist_ok=True)
    done = shared / "done"
    # A lock that every system has and that goes with its process: a database that one at a time may write to.
    with closing(sqlite3.connect(shared / "lock", timeout=_LONGEST_BUILD, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        if not done.exists():
            shutil.rmtree(shared / "site", ignore_errors=True)
            _built(shared / "site")
            done.touch()
    return shared / "site"


def _built(folder: Path) -> Path:
    config = load_config(str(ROOT / "mkdocs.yml"), site_dir=str(folder))
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return folder
