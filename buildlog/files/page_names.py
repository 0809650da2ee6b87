"""The names of pages: which files are pages, and the key of each, its path without the ending."""

from __future__ import annotations

ENDINGS = (".md", ".markdown", ".mdown", ".mkdn", ".mkd")
"""What site generators take for pages; MkDocs' own list, which minds small and capital letters."""


def ending_of(path: str) -> str:
    """The ending of a page's file, "" of any other file."""
    return next((ending for ending in ENDINGS if path.endswith(ending)), "")


def without_ending(path: str) -> str:
    return path.removesuffix(ending_of(path))
