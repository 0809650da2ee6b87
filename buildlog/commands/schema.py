"""`buildlog schema`: JSON Schemas for editors."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.site import write_pages
from buildlog.report.schemas import NAMES, schema_files, schema_text


@click.command("schema", short_help="Print a JSON Schema for editors.")
@click.argument("name", required=False, type=click.Choice(NAMES))
@click.option("--write", "folder", type=click.Path(path_type=Path), help="Write all schemas to a folder.")
def schema_command(name: str | None, folder: Path | None) -> None:
    """Print the JSON Schema of a block, a car's sheet, sources.yml, a page's front matter or the options in
    mkdocs.yml."""
    if folder is not None:
        write_pages(folder, schema_files())
    elif name is not None:
        click.echo(schema_text(name), nl=False)
    else:
        click.echo(
            "Schemas: " + ", ".join(NAMES) + ". “buildlog schema car” prints one, --write FOLDER writes all."
        )
