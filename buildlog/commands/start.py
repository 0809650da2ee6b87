"""`buildlog start`: a new episode to fill in."""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path

import click

from buildlog.commands.site import Site, Stop, completed, site_option
from buildlog.diagnostics import Refused
from buildlog.files.page_names import without_ending
from buildlog.kinds import catalogue
from buildlog.report.episode import episode_text
from buildlog.report.printable import printable

FOLDER = "episodes"


@click.command("start", short_help="Write a new episode that proofs clean.")
@click.argument("name")
@click.option(
    "--kind",
    default="gearing",
    show_default=True,
    shell_complete=completed(catalogue.kind_names),
    help="Choose the kind of calculation to begin with.",
)
@site_option
def start_command(name: str, kind: str, site: Site) -> None:
    """Write a new episode, episodes/NAME.md in the folder of the pages, which proofs clean as it is.

    NAME is its title, in quotes where it has several words. A file that is there is left alone.
    """
    root = site.root
    title, file_name = named(name)
    try:
        text = episode_text(title, catalogue.load_kind(kind))
    except Refused as error:
        raise Stop(f"no kind “{kind}”; {error.help or '“buildlog kinds” lists them'}") from error
    content = site.settings().content
    path = content / FOLDER / file_name
    shown = os.path.relpath(path, root)
    _write(path, content, shown, text)
    click.echo(f"Wrote {shown}: the block is the example of {kind}, and its figures are what it computes.")
    click.echo("Now: put your inputs into the block, run “buildlog proof”, and mend the figures as it says")
    click.echo("(“buildlog amend --write” does so for you). Where the site has a nav, name the page there.")


def named(name: str) -> tuple[str, str]:
    """The title and the file's name: ``A shorter final drive`` → ``a-shorter-final-drive.md``."""
    words = printable(" ".join(without_ending(name).split()))
    if not 0 < len(words) <= 100 or "/" in words or "\\" in words or words.startswith("."):
        raise Stop("NAME is the episode's title, such as “A shorter final drive”, and no path.")
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    slug = re.sub("[^a-z0-9]+", "-", plain).strip("-")
    if not slug:
        raise Stop(f"no file name can be made of “{words}”: it has no letters from a to z and no digits.")
    title = words
    if " " not in words:  # NAME was written as a file's name
        title = words.replace("-", " ").replace("_", " ").strip()
    return title[:1].upper() + title[1:], f"{slug}.md"


def _write(path: Path, content: Path, shown: str, text: str) -> None:
    """Write a file that is not there yet, inside the content folder."""
    try:
        if not Path(os.path.realpath(path.parent)).is_relative_to(os.path.realpath(content)):
            raise Stop(f"{os.path.dirname(shown)} leads out of the content folder.")
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        raise Stop(f"{shown} is there already and was left as it is; give another name.") from error
    except OSError as error:
        raise Stop(f"cannot write {shown}: {error.strerror}") from error
