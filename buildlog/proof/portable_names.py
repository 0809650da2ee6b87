"""Names of files that Windows or macOS cannot hold: of the pages that are ours, and of what they rest on."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from buildlog.book.book import Book
from buildlog.diagnostics import Diagnostic, Position, Severity, declare
from buildlog.files.file_names import as_listed, as_one_name, how_they_differ, refused_by_windows
from buildlog.reading.addresses import CARS, PARTS
from buildlog.reading.pictures import picture_name, read_pictures

NAME_REFUSED_BY_WINDOWS = declare(
    "name-refused-by-windows",
    "a file or folder whose name Windows cannot hold",
    why="Who works on Windows cannot check the site out: git stops, or the file is missing there.",
    mend='Give it a name without < > : " | ? * \\, without a full stop or blank at its end, and other than '
    "con, prn, aux, nul, com1 to com9 and lpt1 to lpt9.",
    severity=Severity.WARNING,
    example="content/episodes/aux.md",
)
NAMES_TAKEN_FOR_ONE = declare(
    "names-taken-for-one",
    "two names that are one on Windows and macOS",
    why="Names that differ in capital letters only, or in how an accent is put together, are one there: one "
    "of the two files hides the other.",
    mend="Give one of the two another name.",
    severity=Severity.WARNING,
    example="runs/Before.csv and runs/before.csv",
)


def name_findings(book: Book, pages: Iterable[str]) -> Iterator[Diagnostic]:
    """Findings on the names of some pages' files and folders, and of the files that those rest on."""
    first: dict[str, str] = {}
    for file in sorted({file for key in pages for file in _files_of(book, key)}):
        parts = file.split("/")
        for depth in range(1, len(parts) + 1):
            first.setdefault("/".join(parts[:depth]), file)
    names_in: dict[str, dict[str, list[str]]] = {}
    told: set[str] = set()
    for path, file in first.items():
        folder, _, name = path.rpartition("/")
        place = Position(book.shown(book.content / file))
        if why := refused_by_windows(name):
            yield NAME_REFUSED_BY_WINDOWS.at(
                place, found=f"“{name}”, {why}", expected="a name that every system can hold"
            )
        if folder not in names_in:
            names_in[folder] = _listed(book.content / folder)
        for other in names_in[folder].get(as_one_name(name), ()):
            if other != name:
                if path not in told:
                    yield _taken_for_one(book, place, name, other, folder)
                told.add(f"{folder}/{other}" if folder else other)


def _taken_for_one(book: Book, place: Position, name: str, other: str, folder: str) -> Diagnostic:
    return NAMES_TAKEN_FOR_ONE.at(
        place,
        found=f"“{name}” beside “{other}”, which differs {how_they_differ(name, other)}",
        expected="one of the two",
        second=Position(book.shown(book.content / folder / other)),
        second_label="the other one",
    )


def _files_of(book: Book, key: str) -> Iterator[str]:
    """A page of ours and the files that it rests on, as paths under content; of any other page none."""
    page = book.pages[key]
    if not page.is_ours:
        return
    yield page.file
    for block in page.blocks:
        if block.car in book.cars:
            yield f"{CARS}{block.car}.yml"
        for _, needed in book.needed(block):
            if needed.removeprefix(PARTS) in book.parts and needed.startswith(PARTS):
                yield f"{needed}.yml"
        for name in book.data_names.get((key, block.id), ()):
            yield from _there(book.content, name)
    for picture in read_pictures(page.scanned):
        yield from _there(book.content, picture_name(picture.address, key))
    root = Path(os.path.realpath(book.content))
    yield from (path.relative_to(root).as_posix() for path in page.snippets if path.is_relative_to(root))


def _there(content: Path, name: str) -> Iterator[str]:
    """The file of a name, where it is there."""
    listed = as_listed(content, name) if name else None
    if listed is not None:
        yield os.path.normpath(listed).replace(os.sep, "/")


def _listed(folder: Path) -> dict[str, list[str]]:
    """The names in a folder by what they have in common that Windows or macOS takes for one."""
    alike: dict[str, list[str]] = {}
    try:
        for name in sorted(os.listdir(folder)):
            alike.setdefault(as_one_name(name), []).append(name)
    except OSError:
        return {}
    return alike
