"""`buildlog kinds`: the manual of the calculators."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.completion import completed
from buildlog.commands.stop import Stop
from buildlog.commands.writing import write_pages
from buildlog.diagnostics import Refused
from buildlog.kinds import catalogue
from buildlog.report.kind_list import kinds_text


@click.command("kinds")
@click.argument("kind", required=False, shell_complete=completed(catalogue.kind_names))
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), help="Write all pages as Markdown to a folder."
)
def kinds_command(kind: str | None, folder: Path | None) -> None:
    """List the kinds of calculation, or print the manual page of one."""
    if kind is None and folder is None:
        click.echo(kinds_text(catalogue.kind_titles()), nl=False)
        return
    from buildlog.report.manual import kinds_pages, manual_text  # which loads what the list does without

    if kind is None or folder is not None:
        assert folder is not None
        write_pages(folder, kinds_pages())
        return
    try:
        known = catalogue.load_kind(kind)
    except Refused as error:
        raise Stop(
            f"no kind “{kind}”; {error.help or 'known are ' + error.expected.removeprefix('one of ')}"
        ) from error
    click.echo(manual_text(known), nl=False)
