"""The command line. Exit codes: 0 all agrees, 1 findings, 2 could not run."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import click

import buildlog
from buildlog import catalogue
from buildlog.book import Book
from buildlog.diagnostics import Position, Refused, did_you_mean
from buildlog.proof import Report, proof
from buildlog.report.ledger import ledger_csv, ledger_json, ledger_text
from buildlog.report.manual import kinds_pages, manual_text
from buildlog.report.text import findings_text, summary_text
from buildlog.report.working import kinds_text, trial_text, working_text


class Stop(click.ClickException):
    """The command could not run: one line that says why, exit code 2."""

    exit_code = 2

    def show(self, file: Any = None) -> None:
        click.echo(f"buildlog: {self.message}", err=True)


def _site(function: Callable[..., None]) -> Callable[..., None]:
    """The option that says where the site is."""
    return click.option(
        "--site",
        type=click.Path(path_type=Path),
        default=Path("."),
        show_default=True,
        help="The folder with mkdocs.yml, or with content/.",
    )(function)


def _open(site: Path) -> Book:
    if not site.is_dir():
        raise Stop(f"{site} is not a folder; --site takes the one with mkdocs.yml or content/.")
    book = Book.open(root=site)
    if not book.content.is_dir():
        raise Stop(
            f"there is no folder {book.shown(book.content)} in {site}. "
            "Run this where mkdocs.yml is, or say --site."
        )
    return book


def _lines(book: Book) -> Callable[[Position], str]:
    """The text of a line, from the pages in memory or from a file of the site."""

    @cache
    def lines(path: str) -> list[str]:
        for page in book.pages.values():
            if page.path == path:
                return page.text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        try:
            return (book.root / path).read_text("utf-8-sig").split("\n")
        except (OSError, UnicodeDecodeError):
            return []

    def line_of(position: Position) -> str:
        found = lines(position.path)
        return found[position.line - 1] if position.line <= len(found) else ""

    return line_of


def _chosen(book: Book, paths: tuple[Path, ...]) -> list[str] | None:
    """Page keys of the files and folders that were named; None for all."""
    if not paths:
        return None
    keys: list[str] = []
    for path in paths:
        full = path.resolve()
        found = [
            key
            for key in book.pages
            if (place := (book.content / f"{key}.md").resolve()) == full or place.is_relative_to(full)
        ]
        if not found:
            near = did_you_mean(path.name, [Path(page.path).name for page in book.pages.values()])
            raise Stop(f"{path} is no page and no folder of pages of this site. {near}".strip())
        keys += found
    return list(dict.fromkeys(keys))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(buildlog.__version__, prog_name="buildlog")
def main() -> None:
    """Build write-ups in which every figure is computed, cited or marked as somebody's word."""


@main.command("proof")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option("--quiet", is_flag=True, help="Only findings, no summary.")
@_site
def proof_command(paths: tuple[Path, ...], quiet: bool, site: Path) -> None:
    """Compare every figure of the site, or of PATHS, with what it rests on.

    Exits with 0 when all agree, with 1 when something does not hold, with 2 when it could not run.
    Notes and warnings do not change the exit code.
    """
    book = _open(site)
    report = proof(book, _chosen(book, paths))
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    noted = [finding for finding in report.findings if finding.severity <= 1 or not quiet]
    if noted:
        click.echo(findings_text(noted, _lines(book), colour=colour))
    if not quiet:
        click.echo(summary_text(report))
    sys.exit(1 if report.errors else 0)


@main.command("working")
@click.argument("address", metavar="PAGE#BLOCK")
@click.option("--set", "changes", multiple=True, metavar="INPUT=VALUE", help="Try another value of an input.")
@_site
def working_command(address: str, changes: tuple[str, ...], site: Path) -> None:
    """Print the working of one block: inputs, each formula with its numbers, results, sources.

    With --set the block is shown as written and as tried, side by side; no file is touched.
    """
    book = _open(site)
    page, mark, block_id = address.partition("#")
    page = page.removesuffix(".md")
    known = [f"{key}#{name}" for key, name in book.results]
    result = book.result(page, block_id) if mark else None
    if result is None:
        near = did_you_mean(address, known)
        listed = "\n".join(f"  {one}" for one in sorted(known))
        raise Stop(f"no block “{address}”. {near}\nThe blocks of this site:\n{listed}")
    if result.faults:
        click.echo(findings_text(result.faults, _lines(book)))
        sys.exit(1)
    if not changes:
        click.echo(working_text(result), nl=False)
        return
    pairs = dict(change.partition("=")[::2] for change in changes)
    if bad := [change for change in changes if "=" not in change]:
        raise Stop(f"“{bad[0]}” is not INPUT=VALUE, as in --set final_drive=4.30")
    tried = book.tried(page, block_id, pairs)
    if tried.faults:
        click.echo(findings_text(tried.faults, lambda position: ""))
        sys.exit(1)
    click.echo(
        trial_text(result, tried, ", ".join(f"{name} = {value}" for name, value in pairs.items())), nl=False
    )


@main.command("kinds")
@click.argument("kind", required=False)
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), help="Write all pages as Markdown to a folder."
)
def kinds_command(kind: str | None, folder: Path | None) -> None:
    """List the kinds of calculation, or print the manual page of one."""
    if folder is not None:
        _write_pages(folder, kinds_pages())
        return
    if kind is None:
        listed = [(name, catalogue.title(catalogue.calculator(name))) for name in catalogue.kinds()]
        click.echo(kinds_text(listed), nl=False)
        return
    try:
        module = catalogue.calculator(kind)
    except Refused as error:
        raise Stop(
            f"no kind “{kind}”; {error.help or 'known are ' + error.expected.removeprefix('one of ')}"
        ) from error
    click.echo(manual_text(module), nl=False)


def _write_pages(folder: Path, pages: dict[str, str]) -> None:
    """Write generated pages; only files whose text changes are touched."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in pages.items():
            path = folder / name
            if not path.is_file() or path.read_text("utf-8") != text:
                path.write_text(text, "utf-8")
                click.echo(f"wrote {path}")
    except OSError as error:
        raise Stop(f"cannot write to {folder}: {error.strerror}") from error


@main.command("ledger")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True
)
@_site
def ledger_command(paths: tuple[Path, ...], form: str, site: Path) -> None:
    """Print every figure of the site, or of PATHS: where it stands, what it rests on, whether it agrees."""
    book = _open(site)
    report: Report = proof(book, _chosen(book, paths))
    writers = {"text": ledger_text, "csv": ledger_csv, "json": ledger_json}
    click.echo(writers[form](report), nl=False)
    if form == "text":
        click.echo(summary_text(report))


if __name__ == "__main__":
    main()
