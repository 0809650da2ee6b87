"""`buildlog proof`: the gate."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from buildlog.commands.site import chosen_pages, lines_of, open_site, site_option
from buildlog.proof import proof
from buildlog.report.text import findings_text, summary_text


@click.command("proof")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--quiet", is_flag=True, help="Only findings, no summary.")
@site_option
def proof_command(paths: tuple[Path, ...], quiet: bool, site: Path) -> None:
    """Compare every figure of the site, or of PATHS, with what it rests on.

    Exits with 0 when all agree, with 1 when something does not hold, with 2 when it could not run.
    Notes and warnings do not change the exit code.
    """
    book = open_site(site)
    report = proof(book, chosen_pages(book, paths))
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    noted = [finding for finding in report.findings if finding.severity <= 1 or not quiet]
    if noted:
        click.echo(findings_text(noted, lines_of(book), colour=colour))
    if not quiet:
        click.echo(summary_text(report))
    sys.exit(1 if report.errors else 0)
