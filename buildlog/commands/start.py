"""`buildlog start`: a new site with its first episode, or a new episode of a site that is there."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Callable
from pathlib import Path

import click

from buildlog.commands.completion import completed
from buildlog.commands.installed import COMPLETE, builds_sites, pip_install, requirement, typed
from buildlog.commands.site import Site, site_option
from buildlog.commands.stop import Stop
from buildlog.diagnostics import Refused
from buildlog.files.file_names import is_of_a_device
from buildlog.files.new_files import LeftBehind, write_new_files
from buildlog.files.page_names import without_ending
from buildlog.kinds import catalogue
from buildlog.kinds.kind import Kind
from buildlog.reading.configuration import find_configuration, shown_from
from buildlog.reading.settings import read_settings
from buildlog.report.episode import episode_text
from buildlog.report.new_site import (
    CI_FILES,
    CONTENT,
    EPISODES,
    REQUIREMENTS,
    SETTINGS,
    NewFile,
    ci_file,
    new_site,
)
from buildlog.report.printable import printable, printable_path

_FIRST = "A first episode"


@click.command("start")
@click.argument("words", nargs=-1, metavar="[NAME]")
@click.option(
    "--kind",
    default="gearing",
    show_default=True,
    shell_complete=completed(catalogue.kind_names),
    help="Choose the kind of calculation to begin with.",
)
@click.option(
    "--host",
    type=click.Choice([*CI_FILES, "none"]),
    default="none",
    show_default=True,
    help="Choose whose CI file is written too: it proofs each proposal and publishes the site.",
)
@site_option
def start_command(words: tuple[str, ...], kind: str, host: str, site: Site) -> None:
    """Write a new site with a first episode, or a new episode of a site. Either proofs clean as it is.

    NAME is the episode's title, in quotes where it has several words; a new site begins with “A first
    episode” where it is left out. In a folder without mkdocs.yml it writes the settings, the home page, the
    episode, the sources, a car's sheet and what a repository needs; in a site, content/episodes/NAME.md
    alone, and the CI file of the --host. A file that is there is left alone.
    """
    root = site.root
    if len(words) > 1:
        title = " ".join(words).replace('"', "")
        raise Stop(f'a title of several words stands in quotes: buildlog start "{printable(title)}"')
    name = words[0] if words else None
    try:
        chosen = catalogue.load_kind(kind)
    except Refused as error:
        raise Stop(f"no kind “{kind}”; {error.help or '“buildlog kinds” lists them'}") from error
    settings = next((there for there in SETTINGS if (root / there).exists()), "")
    if site.configuration is not None:
        settings = site.configuration.name
    if settings:
        _in_site(site, name, chosen, host, settings)
    else:
        _new_site(root, name, chosen, host)


# Letters that Unicode takes apart into nothing of a to z; casefold makes ss of ß.
_LETTERS = str.maketrans({"æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})


def named(name: str) -> tuple[str, str]:
    """The title and the file's name: ``A shorter final drive`` → ``a-shorter-final-drive.md``."""
    words = printable(" ".join(without_ending(name).split()))
    if not 0 < len(words) <= 100 or "/" in words or "\\" in words or words.startswith("."):
        raise Stop("NAME is the episode's title, such as “A shorter final drive”, and no path.")
    whole = words.casefold().translate(_LETTERS)
    plain = unicodedata.normalize("NFKD", whole).encode("ascii", "ignore").decode()
    slug = re.sub("[^a-z0-9]+", "-", plain).strip("-")
    if not slug:
        raise Stop(f"no file name can be made of “{words}”: it has no letters from a to z and no digits.")
    if is_of_a_device(slug):
        raise Stop(f"Windows keeps the file name “{slug}” for a device; give a title of more words.")
    title = words
    if " " not in words:  # NAME was written as a file's name
        title = words.replace("-", " ").replace("_", " ").strip()
    return title[:1].upper() + title[1:], f"{slug}.md"


# --- an episode of a site ------------------------------------------------------------------------------


def _in_site(site: Site, name: str | None, kind: Kind, host: str, settings: str) -> None:
    """An episode, a CI file, or both."""
    if name is None and host == "none":
        raise Stop(
            f"there is a site in this folder already ({settings}). For another episode give its title: "
            'buildlog start "A shorter final drive"'
        )
    root, content = site.root, site.settings().content
    files = {}
    shown = ""
    if name is not None:
        title, file_name = named(name)
        path = content / EPISODES / file_name
        shown = shown_from(root, path)
        files[path] = NewFile(shown, episode_text(title, kind), "")
    for file in ci_file(host):
        files[root / file.path] = file
    # A killed start has written the first of them: asked for again, it writes the rest.
    new = dict(files)
    while len(new) > 1 and _is_written(*next(iter(new.items()))):
        del new[next(iter(new))]
    for path, file in new.items():
        if os.path.lexists(path):
            other = "; give another name" if file.path == shown else ""
            raise Stop(f"{file.path} is there already and was left as it is{other}.")
    _write(new, root, content)
    if shown in [file.path for file in new.values()]:
        click.echo(
            f"Wrote {shown}: the block is the example of {kind.name}, and its figures are what it computes."
        )
        click.echo(
            "Now: put your inputs into the block, run “buildlog proof”, and mend the figures as it says"
        )
        click.echo(
            f"(“buildlog amend --write” does so for you). Where {settings} has a nav, name the page there."
        )
    for file in ci_file(host):
        if file in new.values():
            click.echo(f"Wrote {file.path}: {file.about}.")
        _about_ci(root, file)


# --- a site ----------------------------------------------------------------------------------------------


def _new_site(root: Path, name: str | None, kind: Kind, host: str) -> None:
    _see_that_it_is_no_sites_content(root)
    title, file_name = named(_FIRST if name is None else name)

    def all_files(is_there: Callable[[str], bool]) -> list[NewFile]:
        return new_site(title, file_name, kind, host=host, requirement=requirement(), is_there=is_there)

    # What a killed start has written of the same site is as good as new.
    ours = [file.path for file in all_files(lambda path: False) if _is_written(root / file.path, file)]
    files = all_files(lambda path: path not in ours and os.path.lexists(root / path))
    there = [file for file in files if os.path.lexists(root / file.path)]
    page = f"{CONTENT}/{EPISODES}/{file_name}"
    if name is not None and any(file.path == page and not _is_written(root / page, file) for file in there):
        raise Stop(f"{page} is there already and was left as it is; give another name. Nothing was written.")
    # The settings come last: without them whoever is killed before can ask again, and the rest is written.
    new = sorted((file for file in files if file not in there), key=lambda file: file.path in SETTINGS)
    _write({root / file.path: file for file in new}, root, root / CONTENT)
    width = max(len(file.path) for file in files)
    click.echo(f"A new site in {printable_path(str(root))}:")
    for file in files:
        about = "was there already, and was left as it is" if file in there else file.about
        click.echo(f"  {file.path:{width}}  {about}")
    click.echo()
    _next()
    for file in ci_file(host):
        _about_ci(root, file)


def _see_that_it_is_no_sites_content(root: Path) -> None:
    """Whoever is in the folder of pages, or of episodes, means the site that they belong to."""
    for above in root.parents:
        if find_configuration(above) is not None:
            if root.is_relative_to(read_settings(above).content.resolve()):
                raise Stop(
                    f"this folder holds pages of the site in {above}. Run it there, or say --site {above}."
                )
            return


def _next() -> None:
    """What to type now, with what is installed here."""
    rows = [(_proof(), "says what does not hold: nothing yet")]
    if builds_sites():
        rows.append((f"{typed('mkdocs', 'mkdocs')} serve", "shows the site in your browser while you write"))
    width = max(len(line) for line, _ in rows)
    click.echo("Everything in it is invented, and it proofs clean. Next, type:")
    for line, about in rows:
        click.echo(f"  {line:{width}}  {about}")
    if not builds_sites():
        click.echo("What builds the site is not installed here, the proof alone is. To look at the pages:")
        click.echo(f"  {pip_install(_quoted(requirement()))}")
    click.echo("Then change a figure of the episode, and ask for the proof again.")


def _quoted(lines: str) -> str:
    """Requirements as arguments of pip; a shell takes spaces and brackets for its own."""
    return " ".join(f'"{line}"' if set(line) & set(" [#") else line for line in lines.split("\n"))


def _proof() -> str:
    return f"{typed('buildlog', 'buildlog.cli')} proof"


def _about_ci(root: Path, file: NewFile) -> None:
    """What the CI file asks for besides itself."""
    above = next((one for one in (root, *root.parents) if (one / ".git").exists()), root)
    if above != root:
        click.echo(f"{file.path} works at the root of the repository, which is {printable_path(str(above))}:")
        click.echo("move it there, and name this folder in its commands.")
    try:
        asked = (root / REQUIREMENTS).read_text("utf-8", "replace")
    except OSError:
        asked = ""
    if COMPLETE not in asked:
        click.echo(f"It installs what {REQUIREMENTS} names, and that is to have a line such as this one:")
        click.echo(f"  {requirement().splitlines()[-1]}")


# --- writing -----------------------------------------------------------------------------------------------


def _is_written(path: Path, file: NewFile) -> bool:
    """Whether a file that is there is what would be written."""
    return path.is_file() and not path.is_symlink() and path.read_bytes() == file.text.encode("utf-8")


def _write(files: dict[Path, NewFile], root: Path, content: Path) -> None:
    """Write files that are not there yet, all or none, and none outside of the site."""
    shown = {path: file.path for path, file in files.items()}
    homes = [Path(os.path.realpath(place)) for place in (root, content)]
    for path in files:
        folder = Path(os.path.realpath(path.parent))
        if not any(folder.is_relative_to(home) for home in homes[path.is_relative_to(content) :]):
            raise Stop(f"{os.path.dirname(shown[path])} leads out of the folder. Nothing was written.")
    try:
        write_new_files({path: file.text for path, file in files.items()})
    except LeftBehind as error:
        left = ", ".join(shown[path] for path in error.paths)
        raise Stop(f"stopped in the middle, and these could not be taken away again: {left}") from error
    except OSError as error:
        where = shown_from(root, Path(str(error.filename)))
        raise Stop(f"cannot write {where}: {error.strerror}. Nothing was written.") from error
