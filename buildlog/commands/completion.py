"""`buildlog completion`: what a shell needs to complete commands and options."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import click
from click.shell_completion import get_completion_class

SHELLS = ("bash", "zsh", "fish")


@click.command("completion")
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
def completion_command(context: click.Context, shell: str) -> None:
    """Print the completion script of a shell, for its start-up file: see the manual."""
    made = get_completion_class(shell)
    assert made is not None
    command = context.find_root().command
    script = made(command, {}, "buildlog", "_BUILDLOG_COMPLETE")
    click.echo(script.source())


def completed(words: Callable[[], Iterable[str]]) -> Callable[..., list[str]]:
    """What a shell completes an argument with: the words that begin as it does."""
    return lambda context, parameter, incomplete: [word for word in words() if word.startswith(incomplete)]
