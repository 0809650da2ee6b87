"""`buildlog amend`: stated figures brought into line, shown first and written only when asked."""

from __future__ import annotations

import difflib
import sys
from pathlib import Path

import click

from buildlog.amending import Amendment, amended_text, amendments, write_page
from buildlog.book import Book
from buildlog.commands.site import Stop, chosen_pages, open_site, site_option
from buildlog.diagnostics import Refused
from buildlog.report.printable import printable
from buildlog.report.text import plural


@click.command("amend")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--write", is_flag=True, help="Write the changes; without it they are only shown.")
@site_option
def amend_command(paths: tuple[Path, ...], write: bool, site: Path) -> None:
    """Bring the computed figures of the site, or of PATHS, into line with what they rest on.

    Only numbers in labels change, in the author's own digits and style. Shows a diff; writes only with
    --write. Exits with 0 when nothing is left out of line, with 1 when something is.
    """
    book = open_site(site)
    pages = chosen_pages(book, paths) or list(book.pages)
    changes, left = amendments(book, pages)
    for key in pages:
        own = [change for change in changes if change.page == key]
        if own:
            _show(book, key, own)
            if write:
                _write(book, key, own)
    for one in left:
        click.echo(f"{printable(str(one.position))}: left as it is: “{printable(one.label)}”: {one.why}.")
    verb = "changed" if write else "to change (nothing was written; --write does)"
    click.echo(
        f"{plural(len(changes), 'figure')} {verb}, {len(left)} left to you."
        if changes or left
        else "Every computed figure is in line."
    )
    sys.exit(1 if left or (changes and not write) else 0)


def _show(book: Book, key: str, changes: list[Amendment]) -> None:
    page = book.pages[key]
    before, after = page.text, amended_text(page.text, changes)
    lines = difflib.unified_diff(
        before.splitlines(), after.splitlines(), f"a/{page.path}", f"b/{page.path}", lineterm="", n=1
    )
    click.echo("\n".join(printable(line) for line in lines))


def _write(book: Book, key: str, changes: list[Amendment]) -> None:
    page = book.pages[key]
    try:
        write_page(book.content / f"{key}.md", page.text, amended_text(page.text, changes))
    except Refused as error:
        raise Stop(f"{error.found}; {error.help}") from error
    except OSError as error:
        raise Stop(f"cannot write {page.path}: {error.strerror}") from error
