"""What a test needs of the system it runs on: made, or the test is skipped with the reason."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

on_unix = pytest.mark.skipif(
    os.name != "posix", reason="it is about bash, modes or devices, as Unix has them"
)


def link(path: Path, target: Path | str) -> None:
    """Make a link. Windows refuses them to most users."""
    is_folder = path.parent.joinpath(target).is_dir()
    try:
        path.symlink_to(target, target_is_directory=is_folder)
    except OSError as error:
        pytest.skip(f"links are refused here: {error.strerror}")


def pipe(path: Path) -> None:
    """Make a named pipe."""
    if not hasattr(os, "mkfifo"):
        pytest.skip("a named pipe has no place in a folder here")
    os.mkfifo(path)


def is_superuser() -> bool:
    return hasattr(os, "getuid") and os.getuid() == 0


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Nothing can be written into a folder, by the superuser neither."""
    if not is_superuser():
        modes = [(path, path.stat().st_mode) for path in (folder, *folder.rglob("*")) if path.is_dir()]
        for path, _ in modes:
            path.chmod(0o500)
        try:
            yield
        finally:
            for path, mode in modes:
                path.chmod(mode)
        return
    bound = ["mount", "--bind", str(folder), str(folder)]
    if subprocess.run(bound, capture_output=True, check=False).returncode:
        pytest.skip("no folder can be mounted read-only here")
    try:
        subprocess.run(["mount", "-o", "remount,bind,ro", str(folder)], check=True)
        yield
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)
