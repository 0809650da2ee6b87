"""Where the pages of a site are once it is built, with addresses of folders or of files."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator
from pathlib import Path

INDEX = "index"
_NAMED_AS_INDEX = (INDEX, "README")  # MkDocs takes the latter for the page of its folder


def built_page(site: Path, key: str) -> str | None:
    """The file of a page, as its path under the built site; None where it has none."""
    return next((path for path in _candidates(key) if (site / path).is_file()), None)


def _candidates(key: str) -> Iterator[str]:
    folder, name = posixpath.split(key)
    if name in _NAMED_AS_INDEX:
        yield posixpath.join(folder, f"{INDEX}.html")
    yield f"{key}.html"
    yield f"{key}/{INDEX}.html"
