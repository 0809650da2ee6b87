"""Which pages a command is about: by path, by key, or by what has changed since a revision."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from buildlog.book.affected import affected_pages, files_for_all
from buildlog.book.book import Book
from buildlog.commands.site import chosen_pages
from buildlog.commands.stop import Stop, with_hint
from buildlog.diagnostics import Refused, did_you_mean
from buildlog.files.page_names import without_ending
from buildlog.reading.history import changed_files


def selection_options(function: Callable[..., None]) -> Callable[..., None]:
    """The options that narrow a run down to some pages."""
    since = click.option(
        "--since",
        metavar="REV",
        help="Take only pages changed since a git revision, and those that rest on what has changed.",
    )
    only = click.option(
        "--only",
        multiple=True,
        metavar="PAGE",
        help="Take only this page, named by its path under the content folder.",
    )
    return since(only(function))


def selected_pages(
    book: Book, paths: tuple[Path, ...], only: tuple[str, ...], since: str | None
) -> list[str] | None:
    """Page keys: those named by path or key, of them only the changed ones where a revision is given.

    None for the whole site, where nothing narrows it down.
    """
    named = chosen_pages(book, paths) or []
    for key in only:
        name = without_ending(key)
        if name not in book.pages:
            raise Stop(with_hint(f"--only: there is no page “{key}”", did_you_mean(name, book.pages)))
        named.append(name)
    if since is None:
        return list(dict.fromkeys(named)) or None
    try:
        changed = changed_files(book.content, since, files_for_all(book))
    except Refused as error:
        raise Stop(with_hint(f"--since {since}: {error.found}", error.help)) from error
    return [key for key in affected_pages(book, changed) if not named or key in named]
