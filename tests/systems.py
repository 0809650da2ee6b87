"""What a test needs of the system it runs on: made, or the test is skipped with the reason."""

from __future__ import annotations

import os
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
