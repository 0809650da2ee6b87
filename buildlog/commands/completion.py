"""`buildlog completion`: what a shell needs to complete commands and options."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

SHELLS = ("bash", "zsh", "fish")


@click.command("completion", short_help="Print the completion script of a shell.")
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
def completion_command(context: click.Context, shell: str) -> None:
    """Print the completion script of a shell, for its start-up file: see the manual."""
    made = get_completion_class(shell)
    assert made is not None
    command = context.find_root().command
    script = made(command, {}, "buildlog", "_BUILDLOG_COMPLETE")
    click.echo(script.source())
