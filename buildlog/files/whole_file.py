"""Files that are written whole or not at all.

A file is made beside its place, under a name of ours, and put there once it is whole. Whoever is killed
between the two leaves that name behind. It has the number of its process, and once that is gone, the next
command that writes there clears it. Nobody reads such a file, and generators pass over names with a dot.
"""

from __future__ import annotations

import os
import re
import string
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

# Short, since on Windows a path may be as long as it can be already: five digits for the process, two to tell
# its files apart.
_DIGITS = string.digits + string.ascii_lowercase
_TEMPORARY = re.compile(r"\.bl~([0-9a-z]{5})[0-9a-z]{2}")
_NUMBERS = count()
_LONGEST_WRITE = 3600  # s; what is older nobody is writing any more, whoever has its number by now
_at_work: set[str] = set()  # names: a folder may be named in several ways


def write_whole(path: Path, content: bytes, ready: Callable[[Path], None] = lambda made: None) -> None:
    """Put a file in a path's place. It is made beside it; `ready` sees to what else it needs, and may raise:
    then, as with any `OSError`, the path is as it was and nothing is left behind. Windows refuses to replace
    a file that another program holds open."""
    with made_ready(path, content, ready) as put:
        put()


@contextmanager
def made_ready(
    path: Path, content: bytes, ready: Callable[[Path], None] = lambda made: None
) -> Iterator[Callable[[], None]]:
    """A file that is whole and waits beside its place, where calling what this gives puts it: of several, the
    first is put when the last is known to fit on the disk. One that was not put is taken away."""
    with _temporary(path, content, 0o600) as made:

        def put() -> None:
            with _errors_of(path):
                os.replace(made, path)

        with _errors_of(path):
            ready(made)
        yield put


def write_new(path: Path, content: bytes) -> None:
    """Put a file where there is none. Raises `FileExistsError`, at a link too, and changes nothing then."""
    with _temporary(path, content, 0o666) as made, _errors_of(path):
        _place_new(made, path, content)


@contextmanager
def _temporary(path: Path, content: bytes, mode: int) -> Iterator[Path]:
    """A file beside a path while it is wanted."""
    made: Path | None = None
    try:
        with _errors_of(path):
            made, handle = _open_temporary(path.parent, mode)
            with os.fdopen(handle, "wb") as file:
                file.write(content)
        yield made
    finally:
        if made is not None:
            with suppress(OSError):  # what was raised says more
                made.unlink(missing_ok=True)
            _at_work.discard(made.name)


@contextmanager
def _errors_of(path: Path) -> Iterator[None]:
    """What goes wrong with a path's temporary file is said of the path."""
    try:
        yield
    except OSError as error:
        if error.filename is None or is_temporary(os.path.basename(error.filename)):
            error.filename = str(path)
        raise


def _open_temporary(folder: Path, mode: int) -> tuple[Path, int]:
    """A file of this process that was not there before, and its handle."""
    while True:
        made = folder / f".bl~{_in_digits(os.getpid(), 5)}{_in_digits(next(_NUMBERS), 2)}"
        _at_work.add(made.name)
        try:
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
            return made, os.open(made, flags, mode)
        except FileExistsError:  # of an earlier process with this number
            _at_work.discard(made.name)
            clear_left(folder)
        except BaseException:
            _at_work.discard(made.name)
            raise


def _place_new(made: Path, path: Path, content: bytes) -> None:
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without such links: the file is there before it is whole
        with path.open("xb") as file:
            try:
                file.write(content)
                file.flush()
            except BaseException:
                file.close()
                path.unlink()
                raise


def _in_digits(number: int, places: int) -> str:
    """The last digits of a number in base 36."""
    digits = ""
    for _ in range(places):
        number, last = divmod(number, len(_DIGITS))
        digits = _DIGITS[last] + digits
    return digits


# --- what a killed process has left ----------------------------------------------------------------------


def is_temporary(name: str) -> bool:
    """Whether a file's name is of those that are only there while a file is written."""
    return _TEMPORARY.fullmatch(name) is not None


def clear_left(*folders: Path) -> None:
    """Take away what killed processes have left in folders; what cannot be taken away stays."""
    for folder in folders:
        with suppress(OSError):
            clear_files(folder / name for name in os.listdir(folder) if is_temporary(name))


def clear_files(paths: Iterable[Path]) -> None:
    """Of temporary files, take away those whose process is gone."""
    for path in paths:
        with suppress(OSError):
            if path.name not in _at_work and _is_left(path):
                path.unlink()


def _is_left(path: Path) -> bool:
    match = _TEMPORARY.fullmatch(path.name)
    if match is None:
        return False
    process = int(match[1], len(_DIGITS))
    if process == os.getpid() or time.time() - path.lstat().st_mtime > _LONGEST_WRITE:
        return True  # an earlier process with this number, as every one in a container may have
    return os.name == "posix" and not _is_running(process)


def _is_running(process: int) -> bool:
    """Whether there is a process. Windows cannot be asked so: there the question would end it."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:  # somebody else's
        return True
    return True
