"""The command line. Exit codes: 0 all agrees, 1 findings, 2 could not run."""

from __future__ import annotations

import click

import buildlog
from buildlog.commands.amend import amend_command
from buildlog.commands.completion import completion_command
from buildlog.commands.findings import findings_command
from buildlog.commands.kinds import kinds_command
from buildlog.commands.ledger import ledger_command
from buildlog.commands.proof import proof_command
from buildlog.commands.schema import schema_command
from buildlog.commands.start import start_command
from buildlog.commands.units import units_command
from buildlog.commands.working import working_command


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(buildlog.__version__, prog_name="buildlog")
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
