"""What is in the content folder, looked at as MkDocs goes through it: the files of pages, and whatever else
the site would publish though it is not for it to publish.

MkDocs follows links, to folders too, and copies each file that is no page. So a link in a stranger's proposal
could publish any file of the machine that builds the site, and a device would never end.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from errno import EACCES
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position, declare
from buildlog.files.page_names import ending_of, without_ending
from buildlog.files.text import FILE_UNREADABLE
from buildlog.files.whole_file import is_temporary
from buildlog.reading.publication import ALWAYS_EXCLUDED, Publication, Standing, dropped

MOST_LINKED_FOLDERS = 1000
"""So many ways a site's folders may be entered through links (house rule)."""

OUTSIDE = declare(
    "outside-content",
    "a file or folder that lies outside the content folder",
    why="A link could publish any file of the machine that builds the site.",
    mend="Put the file or the folder itself into the content folder.",
    example="notes.md is a link to ../private/notes.md",
    always_counts=True,
)
LINKS_WITHOUT_END = declare(
    "links-without-end",
    "links between folders that make a site without end",
    why="A generator goes through each link as if it were a folder: one that leads back has itself inside, "
    "and a few that lead to each other multiply.",
    mend="Take the link out, or let it lead to a folder that does not lead back.",
    example="content/episodes/all is a link to the folder content",
    always_counts=True,
)


DRAWINGS = (".svg", ".dxf")
"""What drawings of parts end with that are looked into; whoever wrote them."""


@dataclass(kw_only=True)
class ContentFolder:
    """A content folder as it was gone through. `pages` and `drawings` are sorted. `left` are files that a
    killed process has left while it wrote."""

    pages: list[tuple[Path, Standing]] = field(default_factory=list)
    drawings: list[Path] = field(default_factory=list)
    faults: list[Diagnostic] = field(default_factory=list)
    left: list[Path] = field(default_factory=list)


def read_content_folder(
    content: Path, publication: Publication, shown: Callable[[Path], str]
) -> ContentFolder:
    """Go through a content folder. `shown` is a path as people see it.

    Of pages, what MkDocs always excludes, such as files whose names begin with a dot, is left out, and so is
    what the site excludes beside a page of the same name; the rest that it excludes is not: others may rest
    on it.
    """
    walk = _Walk(content, publication, shown)
    files = dict(walk.files())
    found = {name: publication.standing(name) for name in files}
    for name in dropped(found):
        found[name] = Standing.EXCLUDED
    taken = {without_ending(name) for name, standing in found.items() if standing is not Standing.EXCLUDED}
    kept = [
        (Path(files[name]), standing)
        for name, standing in found.items()
        if standing is not Standing.EXCLUDED
        or not (ALWAYS_EXCLUDED.match_file(name) or without_ending(name) in taken)
    ]
    return ContentFolder(
        pages=sorted(kept, key=lambda one: one[0]),
        drawings=sorted(walk.drawings),
        faults=walk.faults,
        left=walk.left,
    )


@dataclass(frozen=True)
class _Folder:
    """A folder on the way: its path, its name under content with a "/" behind it ("" for content itself),
    where it really is, and the places of the folders whose links lead here. Pages are taken from it where
    `has_pages`."""

    path: str
    name: str
    real: str
    through: tuple[str, ...] = ()
    has_pages: bool = True


class _Walk:
    """One way through a content folder. Links in it count from where they really lead."""

    def __init__(self, content: Path, publication: Publication, shown: Callable[[Path], str]) -> None:
        self.content = content
        self.publication = publication
        self.shown = shown
        self.takes_dots = any(pattern.include is False for pattern in publication.excluded.patterns)
        self.inside = os.path.realpath(content)
        self.linked = 0
        self.faults: list[Diagnostic] = []
        self.left: list[Path] = []
        self.drawings: list[Path] = []

    def files(self) -> Iterator[tuple[str, str]]:
        """The files of pages, each by its name under content, with its path."""
        waiting = [_Folder(str(self.content), "", self.inside)]
        while waiting:
            folder = waiting.pop()
            try:
                with os.scandir(folder.path) as listing:
                    entries = list(listing)
            except OSError as error:
                if os.path.lexists(self.content) and not self._is_excluded(folder.name):
                    self._tell_unreadable(folder.path, error, "folder")
                continue
            for entry in entries:
                name = folder.name + entry.name
                if _is_folder(entry):
                    waiting += self._inner(folder, entry, f"{name}/")
                elif is_temporary(entry.name):
                    self.left.append(Path(entry.path))
                elif not ending_of(entry.name):
                    self._look_at(entry, name)
                elif folder.has_pages and self._is_read(entry, name):
                    yield name, entry.path

    def _inner(self, folder: _Folder, entry: os.DirEntry[str], name: str) -> list[_Folder]:
        """A folder in a folder, where it is one to go through. MkDocs goes through hidden and excluded ones
        too, though it takes nothing from them: what leads out of them or has no end is told all the same."""
        has_pages = folder.has_pages and (self.takes_dots or not entry.name.startswith("."))
        if not _is_link(entry):
            real = f"{folder.real}{os.sep}{entry.name}"
            return [_Folder(entry.path, name, real, folder.through, has_pages)]
        there = os.path.realpath(entry.path)
        if not self._is_inside(there):
            self._tell_outside(entry.path)
            return []
        through = (*folder.through, folder.real)
        self.linked += 1
        if any(f"{one}{os.sep}".startswith(f"{there}{os.sep}") for one in through):
            self._tell_without_end(entry.path, "a link that leads back to where it stands")
            return []
        if self.linked > MOST_LINKED_FOLDERS:
            if self.linked == MOST_LINKED_FOLDERS + 1:
                found = f"more than {MOST_LINKED_FOLDERS} folders that are entered through links"
                self._tell_without_end(entry.path, found)
            return []
        return [_Folder(entry.path, name, there, through, has_pages)]

    def _is_read(self, entry: os.DirEntry[str], name: str) -> bool:
        """Whether a page is the folder's own; whether it can be read, its reader says."""
        if not _is_link(entry) or self._is_inside(os.path.realpath(entry.path)):
            return True
        if not self._is_excluded(name):
            self._tell_outside(entry.path)
        return False

    def _look_at(self, entry: os.DirEntry[str], name: str) -> None:
        """Tell what is wrong with a file that is no page, where the site publishes it."""
        error: OSError | None = None
        is_outside = is_regular = False
        try:
            if _is_link(entry):
                is_outside = not self._is_inside(os.path.realpath(entry.path))
                is_regular = is_outside or stat.S_ISREG(os.stat(entry.path).st_mode)
            else:
                is_regular = entry.is_file(follow_symlinks=False)
            if is_regular and not is_outside and not os.access(entry.path, os.R_OK):
                error = PermissionError(EACCES, os.strerror(EACCES))
        except OSError as met:
            error = met
        if self._is_excluded(name):
            return
        if is_regular and not is_outside and error is None:
            if entry.name.lower().endswith(DRAWINGS):
                self.drawings.append(Path(entry.path))
            return
        if is_outside:
            self._tell_outside(entry.path)
        elif error is not None:
            self._tell_unreadable(entry.path, error, "file")
        else:
            place = Position(self.shown(Path(entry.path)))
            self.faults.append(
                FILE_UNREADABLE.at(place, found="not a regular file", expected="a regular file")
            )

    def _is_excluded(self, name: str) -> bool:
        return self.publication.excluded.match_file(name)

    def _is_inside(self, path: str) -> bool:
        return f"{path}{os.sep}".startswith(f"{self.inside.rstrip(os.sep)}{os.sep}")

    def _tell_outside(self, path: str) -> None:
        self.faults.append(outside(self.shown(Path(path))))

    def _tell_without_end(self, path: str, found: str) -> None:
        place = Position(self.shown(Path(path)))
        self.faults.append(LINKS_WITHOUT_END.at(place, found=found, expected="folders that have an end"))

    def _tell_unreadable(self, path: str, error: OSError, what: str) -> None:
        self.faults.append(
            FILE_UNREADABLE.at(
                Position(self.shown(Path(path))),
                f"the {what} cannot be read",
                found=error.strerror or type(error).__name__,
                expected=f"a {what} that can be read",
            )
        )


def outside(shown: str) -> Diagnostic:
    """That a file or a folder is a link out of the content folder."""
    return OUTSIDE.at(Position(shown), found="a link that leads out", expected="a file in the folder")


def _is_link(entry: os.DirEntry[str]) -> bool:
    """Whether an entry is a link, or what Windows calls a junction; Python knows those from 3.12 on."""
    is_junction: Callable[[], bool] = getattr(entry, "is_junction", bool)
    return entry.is_symlink() or is_junction()


def _is_folder(entry: os.DirEntry[str]) -> bool:
    """Whether an entry is a folder, or a link to one."""
    try:
        return entry.is_dir()
    except OSError:
        return False
