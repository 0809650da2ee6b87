"""`buildlog kinds`: the manual of the calculators."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog import catalogue
from buildlog.commands.site import Stop
from buildlog.diagnostics import Refused
from buildlog.report.manual import kinds_pages, manual_text
from buildlog.report.working import kinds_text


@click.command("kinds")
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
