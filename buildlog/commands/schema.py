"""`buildlog schema`: JSON Schemas for editors."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.own_units import with_own_units
from buildlog.commands.writing import write_pages
from buildlog.report.schema_names import NAMES


@click.command("schema")
@click.argument("name", required=False, type=click.Choice(NAMES))
@click.option("--write", "folder", type=click.Path(path_type=Path), help="Write all schemas to a folder.")
@with_own_units
def schema_command(name: str | None, folder: Path | None) -> None:
    """Print the JSON Schema of a block, a car's sheet, a part, sources.yml, a page's front matter or the
    options in mkdocs.yml. The own units of the site in this folder are among those of its values."""
    if name is None and folder is None:
        click.echo(
            "Schemas: " + ", ".join(NAMES) + ". “buildlog schema car” prints one, --write FOLDER writes all."
        )
        return
    from buildlog.report.schemas import schema_files, schema_text  # which loads every kind

    if folder is not None:
        write_pages(folder, schema_files())
    elif name is not None:
        click.echo(schema_text(name), nl=False)
