"""The packages of a release, made so that two people get the same bytes: a source distribution and a wheel of
each of our two distributions.

``python -m tests.packages dist`` makes them from what git keeps. The wheel is made from the source
distribution, so that this has all that it takes.
"""

from __future__ import annotations

import gzip
import importlib.metadata
import io
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterable
from pathlib import Path

from tests.systems import link

ROOT = Path(__file__).resolve().parents[1]
PROJECTS = (".", "plugins")
"""Where the light distribution and the complete one are made."""
_BUILD = "import sys; from setuptools import build_meta as build; getattr(build, sys.argv[1])(sys.argv[2])"


def kept_files() -> list[str]:
    """What git keeps, and what is about to be given to it."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, capture_output=True, cwd=ROOT, check=True, timeout=60).stdout.decode()
    return sorted({name for name in listed.split("\0") if name and (ROOT / name).is_file()})


def last_commit_time() -> int:
    """Seconds since 1970: the time that every packed file bears."""
    command = ["git", "log", "-1", "--format=%ct"]
    return int(subprocess.run(command, capture_output=True, cwd=ROOT, check=True, timeout=60).stdout)


def make_packages(into: Path, time: int) -> list[Path]:
    """Make them; their paths, the source distribution and the wheel of each project in turn."""
    into.mkdir(parents=True, exist_ok=True)
    made = []
    with tempfile.TemporaryDirectory() as name:
        source, unpacked = Path(name, "source"), Path(name, "unpacked")
        for file in kept_files():
            (source / file).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / file, source / file)
        for project in PROJECTS:
            packed = _build("build_sdist", source / project, Path(name, "packed", project), time)
            made.append(into / packed.name)
            made[-1].write_bytes(_without_traces(packed, time))
            with tarfile.open(made[-1]) as archive:
                archive.extractall(unpacked, filter="data")
            there = unpacked / packed.name.removesuffix(".tar.gz")
            wheel = _build("build_wheel", there, Path(name, "wheel", project), time)
            made.append(Path(shutil.copyfile(wheel, into / wheel.name)))
    return made


def link_packages(folder: Path, names: Iterable[str]) -> None:
    """Lay into a folder what some distributions have installed here, as links: on Python's path these and no
    others."""
    for name in names:
        for file in importlib.metadata.files(name) or ():
            top = file.parts[0]
            if top not in ("..", "__pycache__") and not (folder / top).exists():
                link(folder / top, Path(str(file.locate())).parents[len(file.parts) - 1] / top)


def _build(what: str, project: Path, into: Path, time: int) -> Path:
    into.mkdir(parents=True)
    ran = subprocess.run(
        [sys.executable, "-c", _BUILD, what, str(into)],
        cwd=project,
        env={**os.environ, "SOURCE_DATE_EPOCH": str(time), "PYTHONPATH": ""},
        umask=0o022,
        capture_output=True,
        text=True,
        timeout=300,
    )
    if ran.returncode:
        raise SystemExit(f"{what} in {project} failed:\n{ran.stderr}")
    (made,) = (path for path in into.iterdir() if path.is_file())
    return made


def _without_traces(packed: Path, time: int) -> bytes:
    """A source distribution without who made it and when, and its files in order."""
    made = io.BytesIO()
    with (
        tarfile.open(packed) as old,
        gzip.GzipFile("", "wb", fileobj=made, mtime=time) as zipped,
        tarfile.open(fileobj=zipped, mode="w", format=tarfile.PAX_FORMAT) as new,
    ):
        for member in sorted(old.getmembers(), key=lambda one: one.name):
            clean = tarfile.TarInfo(member.name)
            clean.type, clean.size, clean.mtime = member.type, member.size, time
            clean.mode = 0o755 if member.isdir() else 0o644
            new.addfile(clean, old.extractfile(member))
    return made.getvalue()


if __name__ == "__main__":
    for path in make_packages(Path(sys.argv[1]), last_commit_time()):
        print(path)
