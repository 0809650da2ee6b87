"""Small sites for tests, written to a temporary folder."""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent

from buildlog.book.book import Book

GEARING = """\
```yaml calc
id: shorter-final
kind: gearing
inputs:
  gears: [3.3, 2.0, 1.4, 1.1, 1.0]
  tyre: 195/50R15
  rev_limit: 8200 rpm
  cruise_speed: 100 km/h
cases:
  before: {final_drive: 4.10}
  after: {final_drive: 41/9}
```
"""


def write_site(folder: Path, files: dict[str, str | bytes]) -> Path:
    """Write files under `folder`/content and return that folder."""
    content = folder / "content"
    content.mkdir(exist_ok=True)
    for name, text in files.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return content


def open_site(folder: Path, files: dict[str, str | bytes]) -> Book:
    return Book.open(write_site(folder, files), root=folder)


def calc(text: str) -> str:
    """A calculation block from the indented text of a test."""
    return f"```yaml calc\n{dedent(text).strip()}\n```\n"
