"""`buildlog kinds`: the manual of the calculators."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.site import Stop, completed, write_pages
from buildlog.diagnostics import Refused
from buildlog.kinds import catalogue
from buildlog.report.manual import kinds_pages, manual_text
from buildlog.report.working import kinds_text


@click.command("kinds", short_help="List the kinds of calculation, or print the manual of one.")
@click.argument("kind", required=False, shell_complete=completed(catalogue.kind_names))
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), help="Write all pages as Markdown to a folder."
)
def kinds_command(kind: str | None, folder: Path | None) -> None:
    """List the kinds of calculation, or print the manual page of one."""
    if folder is not None:
        write_pages(folder, kinds_pages())
        return
    if kind is None:
        listed = [(name, catalogue.load_kind(name).title) for name in catalogue.kind_names()]
        click.echo(kinds_text(listed), nl=False)
        return
    try:
        known = catalogue.load_kind(kind)
    except Refused as error:
        raise Stop(
            f"no kind “{kind}”; {error.help or 'known are ' + error.expected.removeprefix('one of ')}"
        ) from error
    click.echo(manual_text(known), nl=False)
