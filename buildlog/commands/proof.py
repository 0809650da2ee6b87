"""`buildlog proof`: the gate."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import click

from buildlog.book.book import Book
from buildlog.built.comparison import compare_built
from buildlog.commands.built_site import built_folder
from buildlog.commands.known import known_options, without_known_findings
from buildlog.commands.selection import selected_pages, selection_options
from buildlog.commands.site import Site, lines_of, open_site, site_option
from buildlog.commands.writing import write_whole
from buildlog.diagnostics import Severity
from buildlog.proof.proof import Report, proof_book
from buildlog.reading.page_makers import page_makers
from buildlog.reading.toml_configuration import find_toml
from buildlog.report.code_quality import code_quality
from buildlog.report.findings_json import findings_json
from buildlog.report.following import once_a_page, unfolded
from buildlog.report.layout import USUAL_WIDTH, room
from buildlog.report.one_line import findings_lines
from buildlog.report.printable import printable_path
from buildlog.report.sarif import sarif
from buildlog.report.summary_markdown import summary_markdown
from buildlog.report.text import findings_text, summary_text
from buildlog.report.workflow_commands import workflow_commands

_FOR_PROGRAMS: dict[str, Callable[[Report], str]] = {
    "lines": findings_lines,
    "json": findings_json,
    "sarif": sarif,
    "code-quality": code_quality,
    "markdown": summary_markdown,
}
FORMATS = ("text", "annotations", *_FOR_PROGRAMS)


@click.command("proof")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--quiet", is_flag=True, help="Print only errors and warnings: no notes, and no summary in the text."
)
@click.option(
    "--all",
    "every",
    is_flag=True,
    help="List each finding: what only follows from another one too, and every note of a page.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMATS),
    help="How the findings are written. [default: text; annotations where GITHUB_ACTIONS is true]",
)
@click.option(
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the findings to this file, and the text to the screen.",
)
@click.option(
    "--built",
    type=click.Path(path_type=Path),
    help="Compare the site that is built in this folder, too: each card, figure and list has to be there.",
)
@click.option("--drafts", is_flag=True, help="Proof the pages too that the site does not publish.")
@selection_options
@known_options
@site_option
def proof_command(
    paths: tuple[Path, ...],
    quiet: bool,
    every: bool,
    form: str | None,
    output: Path | None,
    built: Path | None,
    drafts: bool,
    only: tuple[str, ...],
    since: str | None,
    known: Path | None,
    start: bool,
    shrink: bool,
    site: Site,
) -> None:
    """Compare every figure of the site, or of PATHS, with what it rests on.

    Exits with 0 when all agree, with 1 when something does not hold, with 2 when it could not run.
    Notes and warnings do not change the exit code. Annotations are the text, and after it the worst
    findings as commands to a CI host that shows them beside the changed lines.
    """
    book = open_site(site, drafts=drafts)
    pages = selected_pages(book, paths, only, since)
    report = proof_book(book, pages)
    if built is not None:
        differing = compare_built(report, built_folder(book, built), printable_path(built.as_posix()))
        report = replace(
            report, findings=tuple(sorted((*report.findings, *differing), key=lambda one: one.sort_key))
        )
    report = without_known_findings(
        report, known, start=start, shrink=shrink, whole=pages is None, since=since
    )
    if quiet:
        loud = tuple(finding for finding in report.findings if finding.severity is not Severity.NOTE)
        report = replace(report, findings=loud)
    shown = replace(report, findings=unfolded(report.findings)) if every else report

    def text(form: str, colour: bool = False, width: int = USUAL_WIDTH) -> str:
        parts: list[str] = []
        if report.findings:
            told = shown.findings if every else once_a_page(shown.findings)
            explained = None if every else set[str]()
            parts.append(findings_text(told, lines_of(book), colour=colour, width=width, explained=explained))
        if not quiet:
            parts.append("\n".join([summary_text(shown), *_of_the_build(book)]))
        written = "".join(f"{part}\n" for part in parts)
        if form == "annotations":
            written += workflow_commands(shown)
        return written

    usual = "annotations" if os.environ.get("GITHUB_ACTIONS") == "true" else "text"
    form = form or usual
    on_screen = form
    if output is not None:
        on_screen = usual
        write_for = _FOR_PROGRAMS.get(form)
        write_whole(output, write_for(shown) if write_for else text(form))
    if on_screen in _FOR_PROGRAMS:
        click.echo(_FOR_PROGRAMS[on_screen](shown).encode("utf-8", "backslashreplace"), nl=False)
    else:
        watched = sys.stdout is not None and sys.stdout.isatty()
        colour = watched and not os.environ.get("NO_COLOR")
        width = room(shutil.get_terminal_size().columns) if watched else USUAL_WIDTH
        click.echo(text(on_screen, colour, width), nl=False)
    sys.exit(1 if report.errors else 0)


def _of_the_build(book: Book) -> Iterator[str]:
    """What a build of the site does that the proof of its files cannot speak of."""
    settings = book.settings
    reads_includes = all(book.pages[key].is_read_whole for key in book.published)
    if makers := page_makers(settings, reads_includes=reads_includes):
        yield (
            f"What makes or changes pages in the build: {', '.join(makers)}. "
            "The build proofs what comes of that; this proof has not read it."
        )
    if settings.configuration is None:
        return
    read = book.shown(settings.configuration)
    if settings.is_switched_off:
        yield f"The plugin is switched off in {read}: a build proofs nothing."
    toml = find_toml(book.root)
    if toml is not None and toml != settings.configuration:
        yield (
            f"{book.shown(toml)} was not read, {read} was. Zensical builds by the former: "
            "compare what it builds with --built."
        )
