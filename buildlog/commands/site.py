"""What the commands share that are about a site: which one, and which of its pages."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, wraps
from pathlib import Path
from typing import Any

import click

from buildlog.book.book import Book
from buildlog.commands.stop import Stop, with_hint
from buildlog.diagnostics import Position, did_you_mean
from buildlog.files.page_names import without_ending
from buildlog.files.text import read_text, split_lines
from buildlog.files.whole_file import clear_files, clear_left
from buildlog.kept.store import Store
from buildlog.reading.configuration import NAMES
from buildlog.reading.settings import ALL, Settings, read_settings
from buildlog.report.progress import ProgressLine
from buildlog.report.secret import told_of_secret


@dataclass(frozen=True)
class Site:
    """Where a site is: its folder, and its file of settings where one was named; and whether what earlier
    runs have kept on disk is made use of."""

    folder: Path
    configuration: Path | None = None
    cache: bool = True

    @property
    def root(self) -> Path:
        """The folder, which has to be there."""
        if self.configuration is not None and not self.configuration.is_file():
            raise Stop(
                f"there is no file {self.configuration}; --config-file takes the settings of the site."
            )
        if not self.folder.is_dir():
            raise Stop(f"{self.folder} is not a folder; --site takes the one with {NAMES[0]} or content/.")
        return self.folder.resolve()

    def settings(self) -> Settings:
        file = self.configuration
        settings = read_settings(self.root, file and self.root / file.name)
        return settings if self.cache else replace(settings, cache=False)


def site_option(function: Callable[..., None]) -> Callable[..., None]:
    """The options that say where the site is, which a command gets as `site`."""

    @wraps(function)
    def with_site(*arguments: Any, site: Path, config_file: Path | None, no_cache: bool, **more: Any) -> None:
        folder = site if config_file is None else config_file.parent
        function(*arguments, site=Site(folder, config_file, not no_cache), **more)

    folder = click.option(
        "--site",
        type=click.Path(path_type=Path),
        default=Path("."),
        show_default=True,
        help=f"Say where the site is: the folder with {NAMES[0]}, or with content/.",
    )
    file = click.option(
        "-f",
        "--config-file",
        type=click.Path(path_type=Path),
        help=f"Say which file has the site's settings, as for MkDocs. [default: {' or '.join(NAMES)}]",
    )
    cache = click.option(
        "--no-cache", is_flag=True, help="Compute all anew, and keep nothing on disk for the next run."
    )
    return folder(file(cache(with_site)))


def open_site(site: Site, *, drafts: bool = False, to_write: bool = False) -> Book:
    """The site's book. Its `drafts`, pages that it does not publish, are judged where that is asked. Where
    files are `to_write`, what a killed command has left of such a work is cleared first."""
    settings = site.settings()
    settings = replace(settings, drafts=ALL) if drafts else settings
    with ProgressLine() as progress:
        store = Store(site.root) if settings.cache else None
        if why := told_of_secret(store):
            click.echo(f"buildlog: {why}", err=True)
        book = Book.open(root=site.root, settings=settings, progress=progress, store=store)
    if not book.content.is_dir() and not settings.faults:
        raise Stop(
            f"there is no folder {book.shown(book.content)} in {site.root}. "
            f"Run this where {NAMES[0]} is, or say --site."
        )
    if to_write:
        clear_files(book.left)
        clear_left(book.root)
    return book


def lines_of(book: Book) -> Callable[[Position], str]:
    """The text of a line, from the pages in memory or from a file of the site: never from one that a link
    in the content folder leads out to."""
    content = os.path.realpath(book.content)

    @cache
    def lines(path: str) -> list[str]:
        for page in book.pages.values():
            if page.path == path:
                return split_lines(page.text)
        file = Path(os.path.normpath(book.root / path))
        if file.is_relative_to(book.content) and not Path(os.path.realpath(file)).is_relative_to(content):
            return []
        return split_lines(read_text(file, path)[0])

    def line_of(position: Position) -> str:
        known = lines(position.path)
        if position.line > len(known):  # a finding on a file that is missing, or too large to be read
            return ""
        return known[position.line - 1]

    return line_of


def chosen_pages(book: Book, paths: tuple[Path, ...]) -> list[str] | None:
    """Page keys of the files and folders that were named, and of pages as figures name them; None for all."""
    if not paths:
        return None
    keys: list[str] = []
    for path in paths:
        full = Path(os.path.realpath(path))  # a link that leads to itself is no error of ours
        named = [
            key
            for key in book.pages
            if _real_path(book, key) == full or full in _real_path(book, key).parents
        ]
        if not named and (key := page_named(book, path.as_posix())) in book.pages:
            named = [key]
        if not named:
            near = _near(book, path.name)
            raise Stop(with_hint(f"{path} is no page and no folder of pages of this site", near))
        keys += named
    return list(dict.fromkeys(keys))


def _near(book: Book, name: str) -> str:
    """Which pages have a name like this one, by the whole paths of their files."""
    paths = {Path(page.path).name: page.path for page in book.pages.values()}
    return re.sub("“([^”]+)”", lambda near: f"“{paths.get(near[1], near[1])}”", did_you_mean(name, paths))


def page_named(book: Book, name: str) -> str:
    """The key of a page that is named as figures name it, or as a shell completes the path of its file."""
    key = without_ending(name)
    if key in book.pages or not name:
        return key
    there = {os.path.realpath(place / f"{name}{end}") for place in (Path(), book.root) for end in ("", ".md")}
    return next((one for one in book.pages if f"{_real_path(book, one)}" in there), key)


def _real_path(book: Book, key: str) -> Path:
    return Path(os.path.realpath(book.content / book.file_of(key)))
