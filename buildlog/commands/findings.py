"""`buildlog findings`: what the proof can say, and what to do about it."""

from __future__ import annotations

from pathlib import Path

import click

from buildlog.commands.completion import completed
from buildlog.commands.stop import Stop
from buildlog.commands.writing import write_pages
from buildlog.diagnostics import did_you_mean
from buildlog.reading import code_list
from buildlog.report.codes import code_text, codes_pages, codes_text, listed_codes


@click.command("findings")
@click.argument(
    "code", required=False, shell_complete=completed(lambda: [name for name, *_ in code_list.CODES])
)
@click.option(
    "--write", "folder", type=click.Path(path_type=Path), help="Write all pages as Markdown to a folder."
)
def findings_command(code: str | None, folder: Path | None) -> None:
    """List the kinds of finding, or say what one means, why it matters and how to mend it."""
    codes = listed_codes()
    if folder is not None:
        write_pages(folder, codes_pages(codes))
    elif code is None:
        click.echo(codes_text(codes), nl=False)
    else:
        known = {one.name: one for one in codes}
        if code not in known:
            raise Stop(
                f"no finding has the code “{code}”; "
                f"{did_you_mean(code, known) or '“buildlog findings” lists them'}"
            )
        click.echo(code_text(known[code]), nl=False)
