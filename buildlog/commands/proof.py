"""`buildlog proof`: the gate."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import click

from buildlog.commands.site import Stop, chosen_pages, lines_of, open_site, site_option
from buildlog.proof import Report, proof
from buildlog.report.code_quality import code_quality
from buildlog.report.findings_json import findings_json
from buildlog.report.sarif import sarif
from buildlog.report.summary_markdown import summary_markdown
from buildlog.report.text import findings_text, summary_text
from buildlog.report.workflow_commands import workflow_commands

_FORMATS: dict[str, Callable[[Report], str]] = {
    "json": findings_json,
    "annotations": lambda report: workflow_commands(report.findings),
    "sarif": sarif,
    "code-quality": lambda report: code_quality(report.findings),
    "markdown": summary_markdown,
}


@click.command("proof")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--quiet", is_flag=True, help="Only findings, no summary.")
@click.option(
    "--format", "form", type=click.Choice(["text", *_FORMATS]), default="text", show_default=True,
    help="How the findings are written.",
)  # fmt: skip
@click.option(
    "--output", type=click.Path(path_type=Path), help="Write to a file, and the text to the screen."
)
@site_option
def proof_command(paths: tuple[Path, ...], quiet: bool, form: str, output: Path | None, site: Path) -> None:
    """Compare every figure of the site, or of PATHS, with what it rests on.

    Exits with 0 when all agree, with 1 when something does not hold, with 2 when it could not run.
    Notes and warnings do not change the exit code. In a workflow that announces itself the findings are
    also given as annotations.
    """
    book = open_site(site)
    report = proof(book, chosen_pages(book, paths))
    if form != "text":
        written = _FORMATS[form](report)
        if output is None:
            click.echo(written, nl=False)
            sys.exit(1 if report.errors else 0)
        _write(output, written)
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    noted = [finding for finding in report.findings if finding.severity <= 1 or not quiet]
    text = findings_text(noted, lines_of(book), colour=colour and output is None) if noted else ""
    if form == "text" and output is not None:
        _write(output, text + summary_text(report) + "\n")
    if text:
        click.echo(text)
    if not quiet:
        click.echo(summary_text(report))
    if form == "text" and os.environ.get("GITHUB_ACTIONS") == "true":
        click.echo(workflow_commands(report.findings), nl=False)
    sys.exit(1 if report.errors else 0)


def _write(path: Path, text: str) -> None:
    """Write a report, all or nothing."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)
        Path(name).chmod(0o644)
        os.replace(name, path)
    except OSError as error:
        raise Stop(f"cannot write {path}: {error.strerror}") from error
