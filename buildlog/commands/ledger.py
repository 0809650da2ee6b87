"""`buildlog ledger`: every figure."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

import click

from buildlog.book.book import Book
from buildlog.book.repeating import hash_lines
from buildlog.commands.site import Site, chosen_pages, open_site, site_option
from buildlog.commands.stop import Stop
from buildlog.commands.writing import write_whole
from buildlog.diagnostics import Refused
from buildlog.figures import units
from buildlog.figures.values import parse_value
from buildlog.proof.drift import moved, record_of
from buildlog.proof.proof import Report, proof_book
from buildlog.reading.record import NAME, Record, read_record, record_text
from buildlog.report.ledger import ledger_csv, ledger_json, ledger_text
from buildlog.report.printable import printable
from buildlog.report.text import summary_text
from buildlog.report.wording import plural


@click.command("ledger")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="How the figures are written.",
)
@click.option(
    "--at-least",
    "least",
    metavar="SHARE",
    help="Exit with 1 when fewer figures than this rest on something, such as 95%.",
)
@click.option(
    "--hashes",
    is_flag=True,
    help="Print the hashes of inputs, calculators and data instead, as each page shows them.",
)
@click.option(
    "--record", is_flag=True, help=f"Write what the figures rest on now to {NAME} beside the pages."
)
@site_option
def ledger_command(
    paths: tuple[Path, ...], form: str, least: str | None, hashes: bool, record: bool, site: Site
) -> None:
    """Print every figure of the site, or of PATHS: where it stands, what it rests on, whether it agrees.

    With --record the computed values are kept, and later proofs say what has moved and why. Nothing is
    recorded while there are errors. With --hashes two copies of a log are compared: where the lines are the
    same, so are the results.
    """
    wanted = None
    if least is not None:
        wanted = _share(least)
    if record and paths:
        raise Stop("--record keeps the whole site; leave the paths out.")
    if hashes and (record or least is not None or form != "text"):
        raise Stop("--hashes prints lines of its own; leave --format, --at-least and --record out.")
    book = open_site(site, to_write=record)
    if hashes:
        click.echo(_hashes(book, chosen_pages(book, paths)).encode("utf-8", "backslashreplace"), nl=False)
        return
    report = proof_book(book, chosen_pages(book, paths))
    if record:
        _record(book, report)
    else:
        writers = {"text": ledger_text, "csv": ledger_csv, "json": ledger_json}
        written = writers[form](report)
        if form == "text":
            click.echo(f"{written}{summary_text(report)}")
        else:  # for programs, in UTF-8 whatever the terminal takes
            click.echo(written.encode("utf-8", "backslashreplace"), nl=False)
    if wanted is not None and not _reaches(report, wanted):
        rest = len(report.entries) - report.count("loose")
        click.echo(
            f"{rest} of {plural(len(report.entries), 'figure')} rest on something: less than {least}.",
            err=True,
        )
        sys.exit(1)


def _hashes(book: Book, pages: list[str] | None) -> str:
    """The lines of each page that computes something, an empty line between two pages."""
    lines = (hash_lines(book, key) for key in (book.pages if pages is None else pages))
    return "\n".join("".join(f"{printable(line)}\n" for line in of_page) for of_page in lines if of_page)


def _record(book: Book, report: Report) -> None:
    if report.errors:
        click.echo(
            f"Nothing was recorded: {plural(len(report.errors), 'error')}; “buildlog proof” shows them.",
            err=True,
        )
        sys.exit(1)
    path = book.content / NAME
    if path.is_symlink():
        raise Stop(f"{book.shown(book.content)}/{NAME} is a link; buildlog writes only the file itself.")
    before = read_record(path, NAME)[0] or Record()
    now = record_of(book, report.entries)
    write_whole(path, record_text(now))
    new, gone = now.values.keys() - before.values.keys(), before.values.keys() - now.values.keys()
    changed = len(moved(book, report.entries, before))
    click.echo(
        f"Recorded {plural(len(now.values), 'value')} of {plural(len(now.blocks), 'block')} "
        f"in {book.shown(path)}: {changed} moved, {len(new)} new, {len(gone)} gone."
    )


def _reaches(report: Report, wanted: Fraction) -> bool:
    """Whether the coverage is at least a share, in whole numbers: nothing is rounded in its favour."""
    return len(report.entries) - report.count("loose") >= wanted * len(report.entries)


def _share(text: str) -> Fraction:
    """A share as written, ``95%`` or ``0.95``."""
    try:
        written = parse_value(text)
        factor = 1.0
        if written.unit:
            factor = units.find(written.unit, "ratio").factor
    except Refused as error:
        raise Stop(f"--at-least takes a share like 95%, and “{text}” is not one") from error
    share = written.number.value * Fraction(str(factor))
    if not 0 <= share <= 1:
        if 1 < share <= 100 and not written.unit:
            raise Stop(f"--at-least takes a share like 95%: did you mean {text}%?")
        raise Stop(f"--at-least takes a share from 0% to 100%, and “{text}” is not one")
    return share
