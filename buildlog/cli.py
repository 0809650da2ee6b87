"""The command line. Exit codes: 0 all agrees, 1 findings, 2 could not run."""

from __future__ import annotations

import codecs
import importlib
import os
import sys
import traceback
from io import TextIOWrapper
from typing import Any, cast

import click
from click.shell_completion import CompletionItem

from buildlog.commands.stop import Stop
from buildlog.report.printable import PLAINER, plainer
from buildlog.version import __version__
from buildlog_installed import lacking, stop_if_in_the_way

COMMANDS = {
    "proof": "Compare every figure with what it rests on.",
    "working": "Print the working of one block, or try other values.",
    "kinds": "List the kinds of calculation, or print the manual of one.",
    "ledger": "Print every figure, and what it rests on.",
    "units": "List the units, and how each may be written.",
    "findings": "List the kinds of finding, or explain one.",
    "amend": "Bring stated figures into line with what they rest on.",
    "rename": "Rename a page, a block, a case or a row, and all that names it.",
    "start": "Write a new site, or a new episode, that proofs clean.",
    "files": "Write sheets, data and bundles into a built site.",
    "schema": "Print a JSON Schema for editors.",
    "completion": "Print the completion script of a shell.",
}
"""Each is the file of its name in `buildlog.commands`, loaded when it is run: what one needs is nothing to
another."""


class _Commands(click.Group):
    """The commands. What the machine does not let them do is said in one line, and is no finding."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return super().get_command(ctx, cmd_name)  # one that another program has added
        module = importlib.import_module(f"buildlog.commands.{cmd_name}")
        return cast(click.Command, getattr(module, f"{cmd_name}_command"))

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name]) for name in self.list_commands(ctx)])

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        names = [name for name in self.list_commands(ctx) if name.startswith(incomplete)]
        commands = [CompletionItem(name, help=COMMANDS[name]) for name in names]
        return commands + click.Command.shell_complete(self, ctx, incomplete)

    def make_context(self, *arguments: Any, **more: Any) -> click.Context:
        # Before anything is printed: --help is answered while the command line is read.
        codecs.register_error(PLAINER, plainer)
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):
                stream.reconfigure(errors=PLAINER)
        return super().make_context(*arguments, **more)

    def invoke(self, context: click.Context) -> object:
        try:
            return super().invoke(context)
        except BrokenPipeError:  # whoever read along has seen enough: nothing waits to be written
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise click.exceptions.Exit(2) from None
        except KeyboardInterrupt:
            raise Stop("interrupted") from None
        except OSError as error:
            where = f" {error.filename}" if error.filename is not None else ""
            raise Stop(f"stopped{where}: {error.strerror or error}") from error
        except ModuleNotFoundError as error:
            raise Stop(lacking(error.name or "") or _own_fault(error, context)) from error
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as error:
            if context.params.get("debug"):
                click.echo(traceback.format_exc(), err=True, nl=False)
            raise Stop(_own_fault(error, context)) from error


def _own_fault(error: Exception, context: click.Context) -> str:
    """A fault that no command expects is buildlog's own: its author should not have to read our source."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    lines = [f"this is a fault of buildlog, not of your pages: {what}"]
    lines.append(f"It happened in {place.name}, line {place.lineno} of {place.filename}.")
    if not context.params.get("debug"):
        lines.append(f"“buildlog --debug {context.invoked_subcommand} …” shows how it came there.")
    lines.append("Please report it with these lines and the page or file that brings it about.")
    return "\n".join(lines)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="buildlog", help="Show the version, and do nothing else.")
@click.option("--debug", is_flag=True, help="Show where in buildlog a fault of its own happened.")
def main(debug: bool) -> None:
    """Publish build write-ups in which every figure is computed, cited or marked as somebody's word.

    Run it in the folder with mkdocs.yml. “buildlog start” makes a site with a first episode, “buildlog proof”
    says what does not hold, and “buildlog COMMAND --help” explains a command. Exits with 0 when all is well,
    with 1 when something is found, with 2 when it could not run.
    """


if __name__ == "__main__":
    stop_if_in_the_way()
    main()
