"""The list of known findings at the command line: used, begun, and made shorter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

import click

from buildlog.commands.stop import Stop, with_hint
from buildlog.commands.writing import write_whole
from buildlog.diagnostics import Diagnostic, Refused
from buildlog.proof.proof import Report
from buildlog.reading.history import NotThere, file_at
from buildlog.reading.known import NAME, Key, parse_known, read_known
from buildlog.report.baseline import (
    begin_list,
    counted,
    find_growth,
    find_mended,
    shrink_list,
    with_faults,
    without_known,
)
from buildlog.report.printable import printable_path
from buildlog.report.wording import plural


def known_options(function: Callable[..., None]) -> Callable[..., None]:
    """The options about known findings."""
    known = click.option(
        "--known",
        type=click.Path(path_type=Path, dir_okay=False),
        help=f"Take the known findings, which do not count, from this file. [default: the site's {NAME}]",
    )
    start = click.option("--start", is_flag=True, help="Begin the list with all that is found now.")
    shrink = click.option("--shrink", is_flag=True, help="Take out of the list what is mended.")
    return known(start(shrink(function)))


def without_known_findings(
    report: Report, known: Path | None, *, start: bool, shrink: bool, whole: bool, since: str | None = None
) -> Report:
    """The report without what is known. `whole` says that it is about the whole site; only then is it seen
    what is mended, and only then is the list written. Against a revision, `since`, it must not have grown."""
    path = known or report.book.root / NAME
    shown = printable_path(report.book.shown(path))
    _refuse_what_excludes_itself(start, shrink, whole)
    if start:
        return _start(report, path, shown)
    if not path.is_file():
        if known is not None or shrink:
            raise Stop(f"there is no {shown}; --start begins it")
        return report
    listed, faults = read_known(path, report.book.shown(path))
    if faults:
        if shrink:
            raise Stop(f"{faults[0].position}: {faults[0].message}; it was left as it is")
        return with_faults(without_known(report, listed), faults)
    if shrink:
        _shrink(report, path, listed, shown)
    elif whole:
        _tell_of_mended(report, listed, shown, known)
    growth = _growth(path, listed, since, report) if since else []
    return with_faults(without_known(report, listed), growth)


def _refuse_what_excludes_itself(start: bool, shrink: bool, whole: bool) -> None:
    if start and shrink:
        raise Stop("--start begins a list and --shrink shortens one; say one of them")
    if (start or shrink) and not whole:
        word = "--start" if start else "--shrink"
        raise Stop(f"{word} is about the whole site; leave out paths, --only and --since")


def _shrink(report: Report, path: Path, listed: Counter[Key], shown: str) -> None:
    mended = find_mended(report, listed).total()
    if not mended:
        click.echo(f"Nothing in {shown} is mended; it was left as it is.", err=True)
        return
    write_whole(path, shrink_list(report, listed))
    left = listed.total() - mended
    rest = f"{left} left" if left else "none is left, and the file can go"
    click.echo(f"{plural(mended, 'finding')} taken out of {shown}; {rest}.", err=True)


def _tell_of_mended(report: Report, listed: Counter[Key], shown: str, known: Path | None) -> None:
    mended = find_mended(report, listed).total()
    if not mended:
        return
    are, them = ("is", "it") if mended == 1 else ("are", "them")
    again = "" if known is None else f" --known {printable_path(str(known))}"
    click.echo(
        f"{plural(mended, 'finding')} in {shown} {are} mended: "
        f"“buildlog proof{again} --shrink” takes {them} out.",
        err=True,
    )


def _growth(path: Path, listed: Counter[Key], since: str, report: Report) -> list[Diagnostic]:
    """What a list has more than where the branch has left a revision; a new list may have anything."""
    try:
        before = file_at(path, since)
    except NotThere as error:
        raise Stop(
            with_hint(f"--since {since}: {report.book.shown(path)}: {error.found}", error.help)
        ) from error
    except Refused:  # a list of another place than the site's repository
        return []
    if before is None:
        return []
    shown = report.book.shown(path)
    return find_growth(listed, parse_known(before.decode("utf-8-sig", "replace"), shown)[0], shown)


def _start(report: Report, path: Path, shown: str) -> Report:
    if path.exists() or path.is_symlink():
        raise Stop(f"{shown} is there already, and only gets shorter; --shrink takes out what is mended")
    found = counted(report)
    rest = without_known(report, found)
    if not found and (rest.errors or rest.warnings):
        raise Stop("there is nothing that can be listed: what cannot be read, or leads out, is to be mended")
    if not found:
        raise Stop("there is no error and no warning, so no list is needed")
    try:
        write_whole(path, begin_list(report))
    except Refused as error:
        raise Stop(f"{error.found}, and {error.expected} are wanted; {error.help}") from error
    click.echo(
        f"{plural(found.total(), 'finding')} listed in {shown}; from now on only others count.", err=True
    )
    if more := len(rest.errors) + len(rest.warnings):
        them = "it is" if more == 1 else "they are"
        click.echo(
            f"{plural(more, 'finding')} cannot be listed, since what cannot be read, or leads out, is not "
            f"proofed: {them} to be mended.",
            err=True,
        )
    return rest
