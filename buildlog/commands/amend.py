"""`buildlog amend`: stated figures brought into line and front matter moved under our key, shown first and
written only when asked."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from buildlog.book.book import Book, read_page
from buildlog.commands.site import Site, chosen_pages, open_site, site_option
from buildlog.commands.stop import Stop
from buildlog.diagnostics import Refused, Severity
from buildlog.proof.amending import (
    Amendment,
    Left,
    amended_text,
    amendments,
    byte_order_mark,
    is_unchanged,
    write_page,
)
from buildlog.proof.drawings import drawing_findings
from buildlog.proof.moving import moved_text
from buildlog.proof.proof import levelled
from buildlog.report.diff import diff_text
from buildlog.report.printable import printable, printable_path
from buildlog.report.wording import plural


@click.command("amend")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--write", is_flag=True, help="Write the changes; without it they are only shown.")
@site_option
def amend_command(paths: tuple[Path, ...], write: bool, site: Site) -> None:
    """Bring the computed figures of the site, or of PATHS, into line with what they rest on.

    Only numbers in labels change, in the author's own digits and style, and front matter as buildlog 0.1
    had it is moved under the key “buildlog”. Shows a diff; writes only with --write. Exits with 0 when every
    figure is in line or can be brought there, with 1 when some are left to the author, as those of drawings
    are, with 2 when it could not run.
    """
    book = open_site(site, to_write=write)
    pages = chosen_pages(book, paths) or list(book.published)
    changes, left = amendments(book, pages)
    texts, moves, not_moved = _new_texts(book, pages, changes)
    for key, text in texts.items():
        click.echo(_diff(book, key, text))
    if write:
        _write(book, texts)
    for figure in left:
        click.echo(_reason(figure))
    for line in not_moved:
        click.echo(line)
    drawn = 0 if paths else len(levelled(drawing_findings(book), book))
    in_line = f"Every computed figure {'of the pages ' if drawn else ''}is in line."
    click.echo(_summary(len(changes), moves, len(left) + len(not_moved), write) or in_line)
    if drawn:
        click.echo(f"Drawings are not amended: “buildlog proof” tells {plural(drawn, 'finding')} in them.")
    faults = [*book.faults, *(fault for key in pages for fault in book.pages[key].faults)]
    if any(fault.severity is Severity.ERROR for fault in faults):
        click.echo("Not all could be read: “buildlog proof” says what is wrong.")
    sys.exit(1 if left or not_moved or drawn else 0)


def _new_texts(
    book: Book, pages: Iterable[str], changes: Iterable[Amendment]
) -> tuple[dict[str, str], int, list[str]]:
    """The new texts of the pages that change, how many of them have front matter to move, and what is said of
    front matter that is left to the author."""
    texts: dict[str, str] = {}
    moves = 0
    left: list[str] = []
    for key in pages:
        page = book.pages[key]
        text = amended_text(page.text, [change for change in changes if change.page == key])
        if page.howto.moved:
            try:
                text = moved_text(read_page(key, page.path, text))
                moves += 1
            except Refused as reason:
                place = printable_path(str(page.howto.moved[0].position))
                left.append(f"{place}: front matter left as it is: {reason.found}; {reason.help}.")
        if text != page.text:
            texts[key] = text
    return texts, moves, left


def _summary(changed: int, moved: int, left: int, written: bool) -> str:
    """What was done; "" where there was nothing to do."""
    if not changed and not moved and not left:
        return ""
    verb = "changed" if written else "to change (nothing was written; --write does)"
    if not moved:
        return f"{plural(changed, 'figure')} {verb}, {left} left to you."
    figures = f"{plural(changed, 'figure')} and the" if changed else "The"
    return f"{figures} front matter of {plural(moved, 'page')} {verb}, {left} left to you."


def _reason(figure: Left) -> str:
    computed = f" ({printable(figure.computed)} is computed)" if figure.computed else ""
    place, label = printable_path(str(figure.position)), printable(figure.label)
    return f"{place}: left as it is: “{label}”{computed}: {printable(figure.why)}."


def _diff(book: Book, key: str, after: str) -> str:
    page = book.pages[key]
    mark = byte_order_mark(book.content / book.file_of(key))
    return diff_text(mark + page.text, mark + after, page.path)


def _write(book: Book, texts: dict[str, str]) -> None:
    """Write the pages, none of them where one has changed on disk since it was read."""
    paths = {key: (book.content / book.file_of(key)).resolve() for key in texts}
    keys = list({path: key for key, path in reversed(paths.items())}.values())  # a link and its end are one
    written: list[str] = []
    for step in (_check, write_page):
        for key in keys:
            page = book.pages[key]
            try:
                step(paths[key], page.text, texts[key])
            except (Refused, OSError) as error:
                raise Stop(f"cannot write {page.path}: {_why(error)}. {_so_far(written)}") from error
            if step is write_page:
                written.append(page.path)


def _why(error: Refused | OSError) -> str | None:
    if isinstance(error, Refused):
        return f"{error.found}; {error.help}"
    return error.strerror


def _so_far(written: list[str]) -> str:
    if not written:
        return "Nothing was written."
    return f"Written before that: {', '.join(written)}."


def _check(path: Path, before: str, after: str) -> None:
    if not is_unchanged(path, before):
        raise Refused(
            "", f"{path.name} has changed on disk", "the text that was proofed", help="run it again"
        )
