"""The folder of a built site at the command line."""

from __future__ import annotations

from pathlib import Path

from buildlog.book.book import Book
from buildlog.built.places import built_page
from buildlog.commands.stop import Stop


def built_folder(book: Book, folder: Path) -> Path:
    """The folder of a built site, which has to be one: with a page of the site in it, and not its content."""
    if not folder.is_dir():
        raise Stop(
            f"{folder} is not a folder; build the site first, and name the folder that it is built in."
        )
    built, content = folder.resolve(), book.content.resolve()
    if built == content or built.is_relative_to(content) or content.is_relative_to(built):
        raise Stop(f"{folder} is where the pages are written; name the folder that the site is built in.")
    if book.pages and not any(built_page(built, key) for key in book.pages):
        raise Stop(f"{folder} has no page of this site; build the site first, and name where it is built.")
    return built
