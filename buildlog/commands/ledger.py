"""`buildlog ledger`: every figure."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.site import chosen_pages, open_site, site_option
from buildlog.proof import Report, proof
from buildlog.report.ledger import ledger_csv, ledger_json, ledger_text
from buildlog.report.text import summary_text


@click.command("ledger")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True
)
@site_option
def ledger_command(paths: tuple[Path, ...], form: str, site: Path) -> None:
    """Print every figure of the site, or of PATHS: where it stands, what it rests on, whether it agrees."""
    book = open_site(site)
    report: Report = proof(book, chosen_pages(book, paths))
    writers = {"text": ledger_text, "csv": ledger_csv, "json": ledger_json}
    click.echo(writers[form](report), nl=False)
    if form == "text":
        click.echo(summary_text(report))
