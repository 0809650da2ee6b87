"""`buildlog files`: what pages lead to, written beside them where no plugin of the generator does it."""

from __future__ import annotations

import os
import posixpath
import re
import sys
from html import unescape
from pathlib import Path
from urllib.parse import quote

import click

from buildlog.book.book import Book
from buildlog.built.places import built_page
from buildlog.commands.built_site import built_folder
from buildlog.commands.site import Site, open_site, site_option
from buildlog.commands.stop import Stop
from buildlog.files import whole_file
from buildlog.files.page_names import ending_of, without_ending
from buildlog.proof.overview import Overview
from buildlog.report.wording import plural

_CANONICAL = re.compile(r"<link\b[^<>]*\brel=\"?canonical\"?[^<>]*>", re.IGNORECASE)
_ADDRESS = re.compile(r"\bhref=(?:\"([^\"]*)\"|'([^']*)'|([^\s\"'<>]+))", re.IGNORECASE)


@click.command("files")
@click.argument("built", type=click.Path(path_type=Path))
@site_option
def files_command(built: Path, site: Site) -> None:
    """Write what pages lead to into the site that is built in the folder BUILT.

    These are workshop sheets, results as JSON, bundles, and the scripts for a reader's own numbers. Run it
    after each build of a generator that has only our Markdown extension, whose entry says “files: true”. With
    the plugin for MkDocs it is not needed. Nothing is written while the proof finds an error.
    """
    from buildlog.built.files import site_files  # brings the templates, which no proof wants

    book = open_site(site)
    folder = built_folder(book, built)
    overview = Overview(book)
    if errors := overview.report.errors:
        click.echo(
            f"{plural(len(errors), 'error')}; nothing was written. “buildlog proof” lists them.", err=True
        )
        sys.exit(1)
    places = {key: path for key in overview.report.pages if (path := built_page(folder, key)) is not None}

    def publishes(name: str) -> bool:
        if ending_of(name):
            return without_ending(name) in places
        return (folder / name).is_file()

    def addresses(key: str) -> tuple[str, str]:
        from_sheet = posixpath.relpath(places[key], posixpath.dirname(key) or ".")
        return quote(from_sheet), canonical_address(
            (folder / places[key]).read_text("utf-8", "replace")
        ) or places[key]

    made = site_files(overview, places, publishes, addresses)
    _refuse_what_is_in_the_way(book, list(made))
    try:
        written = sum(_write(folder / path, content) for path, content in made.items())
    except OSError as error:
        raise Stop(f"cannot write {error.filename2 or error.filename}: {error.strerror}") from error
    click.echo(f"{plural(written, 'file')} written into {built}, {len(made) - written} as they were.")


def canonical_address(html: str) -> str:
    """Where a finished page says that it is on the web, "" where it does not say it."""
    tag = _CANONICAL.search(html)
    address = _ADDRESS.search(tag[0]) if tag else None
    return unescape(next(filter(None, address.groups()), "")) if address else ""


def _refuse_what_is_in_the_way(book: Book, paths: list[str]) -> None:
    for path in paths:
        if (book.content / path).exists():
            shown = book.shown(book.content / path)
            raise Stop(f"{shown} is in the way of a file that is made; give it another name.")


def _write(path: Path, content: bytes) -> bool:
    """Write a file unless it is the same already; whether it was written."""
    if path.is_file() and path.read_bytes() == content:
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    whole_file.write_whole(Path(os.path.realpath(path)), content, lambda made: made.chmod(0o644))
    return True
