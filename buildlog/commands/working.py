"""`buildlog working`: how a block was computed, and what another value would do."""

from __future__ import annotations

import sys

import click

from buildlog.book.book import Book
from buildlog.commands.site import Site, lines_of, open_site, page_named, site_option
from buildlog.commands.stop import Stop, with_hint
from buildlog.diagnostics import did_you_mean
from buildlog.kinds.results import BlockResult
from buildlog.proof.predicting import predictions_of
from buildlog.report.budget import NoBudget, budget_text, working_json
from buildlog.report.predictions import foretold_text
from buildlog.report.text import findings_text
from buildlog.report.working import trial_text, working_text


@click.command("working")
@click.argument("address", metavar="PAGE#BLOCK")
@click.option("--set", "changes", multiple=True, metavar="INPUT=VALUE", help="Try another value of an input.")
@click.option("--budget", "result", metavar="RESULT", help="What one result's ± comes from.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="For people, or every result with its budget for programs.",
)
@site_option
def working_command(
    address: str, changes: tuple[str, ...], result: str | None, form: str, site: Site
) -> None:
    """Print the working of one block: inputs, each formula with its numbers, results, sources.

    With --set the block is shown as written and as tried, side by side; no file is touched. With --budget
    each doubt of one result stands in a table: how far it was said to be off, the ± it would bring alone, its
    share, and the ± that would be left if it were half as large. --format json has that of every result.
    """
    if (result is not None) + (form == "json") + bool(changes) > 1:
        raise Stop("--set, --budget and --format json each print something of its own: give one of them")
    book = open_site(site)
    page, mark, block_id = address.partition("#")
    page = page_named(book, page)
    known = [f"{key}#{name}" for key, name in book.results]
    block = book.result(page, block_id) if mark else None
    if block is None:
        raise Stop(_no_block(address, block_id, sorted(known)))
    if block.faults:
        click.echo(findings_text(block.faults, lines_of(book)))
        sys.exit(1)
    if not changes:
        click.echo(_printed(block, result, form), nl=False)
        if result is None and form == "text":
            click.echo(_foretold(book, block), nl=False)
        return
    pairs = dict(change.partition("=")[::2] for change in changes)
    if bad := [change for change in changes if "=" not in change]:
        raise Stop(f"“{bad[0]}” is not INPUT=VALUE, as in --set final_drive=4.30")
    tried = book.tried(page, block_id, pairs)
    if tried.faults:
        click.echo(findings_text(tried.faults, lambda position: ""))
        sys.exit(1)
    changed = ", ".join(f"{name} = {value}" for name, value in pairs.items())
    click.echo(trial_text(block, tried, changed), nl=False)


def _printed(block: BlockResult, result: str | None, form: str) -> str:
    if form == "json":
        return working_json(block)
    if result is None:
        return working_text(block)
    try:
        return budget_text(block, result)
    except NoBudget as error:
        raise Stop(str(error)) from error


def _foretold(book: Book, block: BlockResult) -> str:
    """The predictions that the block's results are held beside; a car's sheet has none."""
    blocks = book.pages[block.page].blocks if block.page in book.pages else ()
    written = [one for one in blocks if one.position == block.position]
    return foretold_text([held for one in written for held in predictions_of(book, one)[0]])


def _no_block(address: str, block_id: str, known: list[str]) -> str:
    """That there is no such block, and which there are."""
    # Who names the block without its page, or with another one's, is led to it.
    same = [name for name in known if name.partition("#")[2] in (address, block_id)]
    near = f"did you mean “{same[0]}”?" if same else did_you_mean(address, known)
    missing = with_hint(f"no block “{address}”", near)
    if not known:
        return f"{missing}: this site has none"
    return "\n".join([missing, "The blocks of this site:", *(f"  {name}" for name in known)])
