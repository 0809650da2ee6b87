"""`buildlog ledger`: every figure."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from buildlog import units
from buildlog.commands.site import Stop, chosen_pages, open_site, site_option
from buildlog.diagnostics import Refused
from buildlog.proof import Report, proof
from buildlog.report.ledger import ledger_csv, ledger_json, ledger_text
from buildlog.report.text import summary_text
from buildlog.values import parse_value


@click.command("ledger")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True
)
@click.option(
    "--at-least", "least", metavar="SHARE", help="Exit with 1 when fewer figures rest on something: 95%."
)
@site_option
def ledger_command(paths: tuple[Path, ...], form: str, least: str | None, site: Path) -> None:
    """Print every figure of the site, or of PATHS: where it stands, what it rests on, whether it agrees."""
    wanted = _share(least) if least is not None else None
    book = open_site(site)
    report: Report = proof(book, chosen_pages(book, paths))
    writers = {"text": ledger_text, "csv": ledger_csv, "json": ledger_json}
    click.echo(writers[form](report), nl=False)
    if form == "text":
        click.echo(summary_text(report))
    if wanted is not None and report.coverage < wanted:
        click.echo(f"Less than {least} of the figures rest on something.", err=True)
        sys.exit(1)


def _share(text: str) -> float:
    """A share as written, ``95%`` or ``0.95``."""
    try:
        written = parse_value(text)
        share = units.find(written.unit, "ratio").to_si(float(written.number.value)) if written.unit else None
    except Refused as error:
        raise Stop(f"--at-least takes a share like 95%: {error.found}") from error
    share = float(written.number.value) if share is None else share
    if not 0 <= share <= 1:
        raise Stop(f"--at-least takes a share from 0% to 100%, and {text} is not one")
    return share
