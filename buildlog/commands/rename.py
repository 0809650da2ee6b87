"""`buildlog rename`: another name for a page, a block, a case or a row, and every address with it."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from buildlog.book.book import Book
from buildlog.commands.site import Site, open_site, site_option
from buildlog.commands.stop import Stop, with_hint
from buildlog.diagnostics import Refused, Severity
from buildlog.files.whole_file import made_ready, write_whole
from buildlog.proof.judging import Entry
from buildlog.proof.proof import Report, proof_book
from buildlog.proof.renaming import (
    Renaming,
    read_renaming,
    renamed_in_known,
    renamed_in_part,
    renamed_in_settings,
    renamed_record,
    renamed_texts,
)
from buildlog.reading.known import NAME as KNOWN
from buildlog.reading.own_units import NAME as OWN_UNITS
from buildlog.reading.parts import Part
from buildlog.reading.record import NAME as RECORD
from buildlog.reading.record import read_record, record_text
from buildlog.report.diff import diff_text
from buildlog.report.wording import plural

_MARK = b"\xef\xbb\xbf"
_LEVELS = frozenset(severity.word for severity in Severity)


@dataclass(frozen=True)
class _File:
    """A file that changes: where it is and will be, and what is and will be in it."""

    path: Path
    new_path: Path
    before: bytes
    after: bytes


@click.command("rename")
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@click.option("--write", is_flag=True, help="Write the changes; without it they are only shown.")
@site_option
def rename_command(old: str, new: str, write: bool, site: Site) -> None:
    """Give OLD the name NEW, and let every address of the site follow.

    OLD is PAGE, PAGE#BLOCK, PAGE#BLOCK.CASE or PAGE#BLOCK.ROW, with PAGE as addresses have it, and NEW is the
    new name. A page's file, the links to it and the site's nav follow too. Shows a diff; writes only with
    --write, and all files or none. Exits with 0 when it could be done, with 2 when it could not.
    """
    book = open_site(site, to_write=write)
    try:
        renaming = read_renaming(book, old, new)
        files = _files(book, renaming)
        _see_that_it_holds(book, renaming, files)
    except Refused as error:
        expected = f"; expected {error.expected}" if error.expected else ""
        raise Stop(with_hint(f"{error.found}{expected}", error.help)) from error
    for file in files:
        click.echo(_diff(book, file))
    if write:
        _write(book, files)
    done = "changed" if write else "to change (nothing was written; --write does)"
    click.echo(f"{renaming.kind} {renaming.old} → {renaming.new}: {plural(len(files), 'file')} {done}.")


def _files(book: Book, renaming: Renaming) -> list[_File]:
    """Every file of the site that changes."""
    files = []
    for change in renamed_texts(book, renaming):
        path, new_path = book.content / change.path, book.content / change.new_path
        raw = path.read_bytes()
        mark = _MARK if raw.startswith(_MARK) else b""
        if raw != mark + change.before.encode() or path.is_symlink():
            raise Refused("", f"{change.path} is not on disk as it was read, or is a link", "the file itself")
        if new_path != path and os.path.lexists(new_path):
            raise Refused("", f"there is a file {change.new_path} already", "a name that is free")
        files.append(_File(path, new_path, raw, mark + change.after.encode()))
    for path, after in _beside_the_pages(book, renaming):
        if path.is_file() and (new := after(path)) != (raw := path.read_bytes()):
            files.append(_File(path, path, raw, new))
    return files


def _beside_the_pages(book: Book, renaming: Renaming) -> Iterator[tuple[Path, Callable[[Path], bytes]]]:
    """The other files that may name it, each with what makes its new bytes."""

    def record(path: Path) -> bytes:
        found, faults = read_record(path, RECORD)
        if found is None or faults:
            return path.read_bytes()
        return record_text(renamed_record(found, renaming)).encode("utf-8", "backslashreplace")

    def settings(path: Path) -> bytes:
        return renamed_in_settings(path.read_bytes().decode(), book, renaming).encode()

    def known(path: Path) -> bytes:
        return renamed_in_known(path.read_bytes().decode(), book, renaming).encode()

    def part(path: Path) -> bytes:
        raw = path.read_bytes()
        mark = _MARK if raw.startswith(_MARK) else b""
        text = raw.removeprefix(mark).decode()
        return mark + renamed_in_part(text, book.parts[path.stem], renaming).encode()

    for one in book.parts.values():
        yield book.root / one.path, part
    yield book.content / RECORD, record
    if book.settings.configuration is not None:
        yield book.settings.configuration, settings
    yield book.root / KNOWN, known


# --- whether it holds --------------------------------------------------------------------------------


def _see_that_it_holds(book: Book, renaming: Renaming, files: list[_File]) -> None:
    """Raise `Refused` where the proof would find something else afterwards, or the way back would lead
    somewhere else: then a name is written in a way that is not followed."""
    with TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        _copy(book, root, {file.path: file for file in files})
        after = Book.open(root=root, settings=replace(book.settings, content=root / "content"))
        before_report, after_report = proof_book(book), proof_book(after)
        if _counted(before_report) != _counted(after_report):
            more = _counted(after_report) - _counted(before_report)
            changed = ", ".join(_told(*one) for one in sorted(more, key=_findings_first)[:3])
            raise Refused(
                "",
                f"the proof would find something else afterwards{changed and f': {changed}'}",
                "the same findings",
                help="write the addresses that name it plainly, then rename",
            )
        texts = {change.path: change.after for change in renamed_texts(after, renaming.back)}
        for file in files:
            new = file.new_path.relative_to(book.content).as_posix() if _is_page(book, file) else ""
            if new and texts.get(new, "") != file.before.removeprefix(_MARK).decode():
                raise Refused(
                    "",
                    f"{book.shown(file.path)} names “{renaming.new}” already, or names it in another way",
                    "a name that can be changed back",
                    help="choose another name, or write its links and addresses in their shortest form",
                )


def _findings_first(counted: tuple[str, str]) -> tuple[bool, str, str]:
    return counted[0] not in _LEVELS, *counted


def _told(standing: str, label: str) -> str:
    """One of what is counted, as the terminal has it."""
    return f"{standing} {label}" if standing in _LEVELS else f"“{label}” would be {standing}"


def _is_page(book: Book, file: _File) -> bool:
    return any(book.content / page.file == file.path for page in book.pages.values())


def _counted(report: Report) -> Counter[tuple[str, str]]:
    """Findings by severity and code, and figures by verdict and label."""
    counts = Counter((finding.severity.word, finding.code.name) for finding in report.findings)
    counts.update((_standing_of(entry), entry.label) for entry in report.entries)
    return counts


def _standing_of(entry: Entry) -> str:
    return entry.standing if entry.agrees else f"{entry.standing} and wrong"


def _copy(book: Book, root: Path, changed: dict[Path, _File]) -> None:
    """What the proof reads of a site, as it would be."""
    inside = os.path.realpath(book.content)
    of_parts = {book.content / name for part in book.parts.values() for name in _files_named(part)}
    for path in sorted(book.content.rglob("*")):
        wanted = (
            path.suffix in (".yml", ".csv", ".lock")
            or path == book.content / OWN_UNITS
            or path in of_parts
            or any(book.content / page.file == path for page in book.pages.values())
        )
        if not wanted or not path.is_file() or not Path(os.path.realpath(path)).is_relative_to(inside):
            continue
        file = changed.get(path)
        target = root / "content" / (file.new_path if file else path).relative_to(book.content)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(file.after if file else path.read_bytes())


def _files_named(part: Part) -> Iterator[str]:
    yield part.licence_text
    yield from (drawing.of for drawing in part.drawings if drawing.block is None)


# --- the files ------------------------------------------------------------------------------------------


def _diff(book: Book, file: _File) -> str:
    before, after = (raw.decode("utf-8", "backslashreplace") for raw in (file.before, file.after))
    return diff_text(before, after, book.shown(file.path), book.shown(file.new_path))


def _write(book: Book, files: list[_File]) -> None:
    """Write every file, or none: all of them are made before the first is put in its place, and what was put
    there is taken back when one cannot be."""
    if stale := [file for file in files if _bytes_of(file.path) != file.before]:
        raise Stop(f"{book.shown(stale[0].path)} has changed on disk. Nothing was written; run it again.")
    done: list[_File] = []
    try:
        with ExitStack() as waiting:
            puts = []
            for file in files:
                puts.append(waiting.enter_context(_made_ready(file)))
            for file, put in zip(files, puts, strict=True):
                done.append(file)
                put()
            for file in files:
                if file.new_path != file.path:
                    file.path.unlink()
        _remove_empty(file.path.parent for file in files)
    except BaseException as error:
        for one in reversed(done):
            _take_back(one)
        _remove_empty(one.new_path.parent for one in files)
        if not isinstance(error, OSError):
            raise
        where = book.shown(Path(str(error.filename)))
        raise Stop(f"cannot write {where}: {error.strerror}. Nothing was changed.") from error


def _made_ready(file: _File) -> AbstractContextManager[Callable[[], None]]:
    if not os.access(file.path, os.W_OK):
        raise PermissionError(13, "it is write-protected", str(file.path))
    mode = file.path.stat().st_mode & 0o777
    file.new_path.parent.mkdir(parents=True, exist_ok=True)
    return made_ready(file.new_path, file.after, lambda made: made.chmod(mode))


def _remove_empty(folders: Iterable[Path]) -> None:
    for folder in folders:
        with suppress(OSError):  # other files are in it
            folder.rmdir()


def _bytes_of(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def _take_back(file: _File) -> None:
    if _bytes_of(file.path) != file.before:
        mode = file.new_path.stat().st_mode & 0o777
        write_whole(file.path, file.before, lambda made: made.chmod(mode))
    if file.new_path != file.path:
        file.new_path.unlink(missing_ok=True)
