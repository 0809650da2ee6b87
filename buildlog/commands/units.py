"""`buildlog units`: the list of units that blocks and figures may use."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.completion import completed
from buildlog.commands.own_units import with_own_units
from buildlog.commands.stop import Stop
from buildlog.commands.writing import write_pages
from buildlog.diagnostics import did_you_mean
from buildlog.figures import units
from buildlog.report.unit_list import units_page, units_text


@click.command("units")
@click.argument("dimension", required=False, shell_complete=completed(lambda: units.DIMENSIONS))
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), help="Write the page as Markdown to a folder."
)
@with_own_units
def units_command(dimension: str | None, folder: Path | None) -> None:
    """List the units by dimension, or those of one: what each is, and how else it may be written. The own
    units of the site in this folder are among them."""
    if folder is not None:
        write_pages(folder, {"units.md": units_page()})
        return
    if dimension is not None and dimension not in units.DIMENSIONS:
        near = did_you_mean(dimension, units.DIMENSIONS) or "“buildlog units” lists them"
        raise Stop(f"no dimension “{dimension}”; {near}")
    click.echo(units_text(dimension), nl=False)
