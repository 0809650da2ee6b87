"""The command line. Exit codes: 0 all agrees, 1 findings, 2 could not run."""

from __future__ import annotations

import os
import sys
from io import TextIOWrapper

import click

from buildlog.commands.amend import amend_command
from buildlog.commands.completion import completion_command
from buildlog.commands.findings import findings_command
from buildlog.commands.kinds import kinds_command
from buildlog.commands.ledger import ledger_command
from buildlog.commands.proof import proof_command
from buildlog.commands.schema import schema_command
from buildlog.commands.site import Stop
from buildlog.commands.start import start_command
from buildlog.commands.units import units_command
from buildlog.commands.working import working_command
from buildlog.version import __version__


class _Commands(click.Group):
    """The commands. What the machine does not let them do is said in one line, and is no finding."""

    def invoke(self, context: click.Context) -> object:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):  # signs that its encoding lacks are escaped
                stream.reconfigure(errors="backslashreplace")
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


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="buildlog")
def main() -> None:
    """Build write-ups in which every figure is computed, cited or marked as somebody's word."""


for command in (
    proof_command,
    working_command,
    kinds_command,
    ledger_command,
    units_command,
    findings_command,
    amend_command,
    start_command,
    schema_command,
    completion_command,
):
    main.add_command(command)


if __name__ == "__main__":
    main()
