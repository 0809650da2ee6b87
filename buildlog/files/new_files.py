"""Files that were not there before: all of them are written, or none."""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from buildlog.files.whole_file import clear_left, write_new


class LeftBehind(Exception):
    """Writing failed, and what had been written could not all be taken away again."""

    def __init__(self, paths: list[Path]) -> None:
        super().__init__(", ".join(map(str, paths)))
        self.paths = paths


def write_new_files(texts: Mapping[Path, str]) -> None:
    """Write files with the folders that they need, in their order. Where one cannot be written, is there
    after all, or the work is interrupted, those that were written are taken away and the error is raised;
    nothing is ever overwritten, and a link in a file's place is not followed. Who is killed leaves whole
    files, so that the last one tells whether all are there."""
    files: list[Path] = []
    folders: list[Path] = []
    try:
        for path, text in texts.items():
            missing = [folder for folder in path.parents if not os.path.lexists(folder)]
            for folder in reversed(missing):
                folder.mkdir()
                folders.append(folder)
            clear_left(path.parent)
            write_new(path, text.encode("utf-8"))
            files.append(path)
    except BaseException as error:
        for path in files:
            with suppress(OSError):
                path.unlink()
        for folder in reversed(folders):
            with suppress(OSError):  # somebody else has put a file there
                folder.rmdir()
        if left := [path for path in files if os.path.lexists(path)]:
            raise LeftBehind(left) from error
        raise
