"""Files that a command writes where it was told to."""

from __future__ import annotations

import os
from pathlib import Path

import click

from buildlog.commands.stop import Stop
from buildlog.files import whole_file


def write_pages(folder: Path, pages: dict[str, str]) -> None:
    """Write generated pages; only files whose text changes are touched."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Stop(f"cannot write to {folder}: {error.strerror}") from error
    for name, text in pages.items():
        path = folder / name
        if not path.is_file() or path.read_text("utf-8", "replace") != text:
            write_whole(path, text)
            click.echo(f"wrote {path}")


def write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all; what is no file, such as /dev/null, is written to."""
    content = text.encode("utf-8", "backslashreplace")
    try:
        target = Path(os.path.realpath(path))
        if target.exists() and not target.is_file():
            target.write_bytes(content)
            return
        mode = 0o644
        if target.exists():
            mode = target.stat().st_mode & 0o777
        whole_file.clear_left(target.parent)
        whole_file.write_whole(target, content, lambda made: made.chmod(mode))
    except OSError as error:
        raise Stop(f"cannot write {path}: {error.strerror}") from error
