"""What could not run: one line that says why. It loads nothing that only some commands need."""

from __future__ import annotations

from typing import Any

import click

from buildlog.report.printable import printable_path


class Stop(click.ClickException):
    """The command could not run: one line that says why, exit code 2."""

    exit_code = 2

    def show(self, file: Any = None) -> None:
        first, *more = (printable_path(line) for line in self.message.split("\n"))
        click.echo("\n".join([f"buildlog: {first}", *more]), err=True)


def with_hint(text: str, hint: str) -> str:
    """What is wrong and, where anything is known, what was perhaps meant."""
    return f"{text}; {hint}" if hint else text
