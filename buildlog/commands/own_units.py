"""A site's own units at the command line, where no page is read."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import click

from buildlog.commands.stop import Stop
from buildlog.figures import units
from buildlog.report.printable import printable_path


def with_own_units(function: Callable[..., None]) -> Callable[..., None]:
    """The option that says which site's own units there are beside ours."""

    @wraps(function)
    def with_units(*arguments: Any, site: Path, **more: Any) -> None:
        _use_units_of(site)
        function(*arguments, **more)

    return click.option(
        "--site",
        type=click.Path(path_type=Path),
        default=Path("."),
        show_default=True,
        help="Take the own units of this site too: the folder with its settings, or with content/.",
    )(with_units)


def _use_units_of(site: Path) -> None:
    from buildlog.reading.own_units import NAME, own_units_in
    from buildlog.reading.pages_folder import find_content  # which --help does not wait for

    if not site.is_dir():
        raise Stop(f"{site} is not a folder; --site takes the one with mkdocs.yml or content/.")
    content = find_content(site.resolve())
    own, faults = own_units_in(content, f"{content.name}/{NAME}")
    units.use(own)
    for fault in faults:
        where = printable_path(str(fault.position))
        click.echo(f"buildlog: {where}: {fault.message}; “buildlog proof” says more", err=True)
