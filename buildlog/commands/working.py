"""`buildlog working`: how a block was computed, and what another value would do."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from buildlog.commands.site import Stop, lines_of, open_site, page_named, site_option, with_hint
from buildlog.diagnostics import did_you_mean
from buildlog.report.text import findings_text
from buildlog.report.working import trial_text, working_text


@click.command("working", short_help="Print the working of one block, or try other values.")
@click.argument("address", metavar="PAGE#BLOCK")
@click.option("--set", "changes", multiple=True, metavar="INPUT=VALUE", help="Try another value of an input.")
@site_option
def working_command(address: str, changes: tuple[str, ...], site: Path) -> None:
    """Print the working of one block: inputs, each formula with its numbers, results, sources.

    With --set the block is shown as written and as tried, side by side; no file is touched.
    """
    book = open_site(site)
    page, mark, block_id = address.partition("#")
    page = page_named(book, page)
    known = [f"{key}#{name}" for key, name in book.results]
    result = book.result(page, block_id) if mark else None
    if result is None:
        raise Stop(_no_block(address, block_id, sorted(known)))
    if result.faults:
        click.echo(findings_text(result.faults, lines_of(book)))
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
    changed = ", ".join(f"{name} = {value}" for name, value in pairs.items())
    click.echo(trial_text(result, tried, changed), nl=False)


def _no_block(address: str, block_id: str, known: list[str]) -> str:
    """That there is no such block, and which there are."""
    # Who names the block without its page, or with another one's, is led to it.
    same = [name for name in known if name.partition("#")[2] in (address, block_id)]
    near = f"did you mean “{same[0]}”?" if same else did_you_mean(address, known)
    missing = with_hint(f"no block “{address}”", near)
    if not known:
        return f"{missing}: this site has none"
    return "\n".join([missing, "The blocks of this site:", *(f"  {name}" for name in known)])
