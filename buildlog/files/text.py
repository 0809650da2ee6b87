"""A file's bytes → its text, and a text → its lines, with positions that an editor would show.

Lines end at CR LF, CR or LF, as in every editor, and nowhere else: a form feed, a vertical tab, NEL or
U+2028, at which ``str.splitlines`` parts a text, stand within a line. A byte order mark is no part of the
text. Columns are counted in code points from 1.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
from bisect import bisect_right
from itertools import pairwise
from pathlib import Path

from buildlog.diagnostics import Diagnostic, Position, declare

LARGEST_FILE = 4 * 1024 * 1024
TAB_STOP = 4  # Python-Markdown's tab_length; the containers of Markdown are four columns deep

_HEAD = 8000  # so much git reads of a file to tell a text
_PART = 1024 * 1024
_LINE_END = re.compile(r"\r\n|\r|\n")
# Python-Markdown keeps these two for its own marks and takes them out of what it reads.
_DROPPED = {0x02: None, 0x03: None}

NOT_UTF8 = declare(
    "not-utf-8",
    "the file is not UTF-8 text",
    why="In another encoding a sign such as ± or ° would be read as something else.",
    mend="Save the file as UTF-8.",
    example="a page saved as Latin-1",
    always_counts=True,
)
FILE_UNREADABLE = declare(
    "file-unreadable",
    "the file cannot be read",
    why="What cannot be read cannot be proofed.",
    mend="A site is made of regular files, in folders, that whoever builds it may read.",
    example="a page that the build may not read",
    always_counts=True,
)
FILE_TOO_LARGE = declare(
    "file-too-large",
    "the file is larger than a page may be",
    why="A limit keeps the proof quick whatever is given to it.",
    mend="Split the page, or move its data to a data file.",
    example="a page of 5 MiB",
    always_counts=True,
)
NUL_CHARACTER = declare(
    "nul-character",
    "the file holds a NUL character",
    why="Text has none: it is probably not a text file, or it was saved as UTF-16.",
    mend="Save the file as UTF-8 text, without NUL characters.",
    example="a page cut off by a crash and filled up with zeros",
    always_counts=True,
)


def read_text(path: Path, shown: str) -> tuple[str, list[Diagnostic]]:
    """The text of a file, or "" and what is wrong with it. `shown` is the path as people see it.

    Line ends are kept as they are, since positions are offsets into this text. Devices, pipes and
    folders are refused, and no more than `LARGEST_FILE` bytes are read.
    """
    start = Position(shown)
    try:
        data = read_data(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        return "", [FILE_UNREADABLE.at(start, found=reason, expected="a regular file that can be read")]
    if len(data) > LARGEST_FILE:
        return "", [
            FILE_TOO_LARGE.at(
                start,
                found=f"more than {LARGEST_FILE // 1024**2} MiB",
                expected=f"at most {LARGEST_FILE // 1024**2} MiB",
            )
        ]
    return decode(data, shown)


def read_data(path: Path) -> bytes:
    """The bytes of a regular file, one more than `LARGEST_FILE` where it has as many. Raises `OSError`; and
    `ValueError` where a path cannot be one."""
    # Without O_NONBLOCK, opening a pipe would wait for a writer.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "not a regular file")
        with open(handle, "rb", closefd=False) as file:
            return file.read(LARGEST_FILE + 1)
    finally:
        os.close(handle)


def sha256_of(path: Path) -> str:
    """The SHA-256 of a regular file as it is, which is never whole in memory. Raises `OSError`."""
    made = hashlib.sha256()
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with open(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "not a regular file")
        while part := file.read(_PART):
            made.update(part)
    return made.hexdigest()


def decode(data: bytes, shown: str) -> tuple[str, list[Diagnostic]]:
    """Bytes → text without a byte order mark, or "" and where the first bad byte is."""
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        good = data[: error.start].decode("utf-8")
        bad = " ".join(f"{byte:02X}" for byte in data[error.start : min(error.end, error.start + 4)])
        return "", [NOT_UTF8.at(_place(good, len(good), shown), found=f"byte {bad}", expected="UTF-8 text")]
    nul = text.find("\0")
    if nul >= 0:
        place = _place(text, nul, shown)
        return "", [NUL_CHARACTER.at(place, found="a NUL character", expected="text")]
    return text, []


def _place(text: str, offset: int, path: str) -> Position:
    """The one position of a text that is wanted; its lines are not kept, of which there can be millions."""
    before = text[:offset]
    lines = before.count("\n") + before.count("\r") - before.count("\r\n")
    return Position(path, lines + 1, offset - max(before.rfind("\n"), before.rfind("\r")))


def with_unix_line_ends(data: bytes) -> bytes:
    """A text's bytes with LF for CR LF, as git keeps it; a file with a NUL near its head stays as it is.

    That is where git looks too (`core.autocrlf`): what it turns around in a checkout on Windows is turned
    back here. A binary file without a NUL in its first 8000 bytes is taken for text, by git and by us.
    """
    return data if b"\0" in data[:_HEAD] else data.replace(b"\r\n", b"\n")


def digest(data: bytes) -> str:
    """The SHA-256 of a file's bytes, in hexadecimal; of a text with LF line ends, so that it is the same in
    a checkout that has CR LF. Two files that differ only in that have one hash."""
    return hashlib.sha256(with_unix_line_ends(data)).hexdigest()


def digest_of(path: Path) -> str:
    """The `digest` of a file, which is never whole in memory. Raises `OSError`."""
    made = hashlib.sha256()
    with path.open("rb") as file:
        part = file.read(_PART)
        is_text = b"\0" not in part[:_HEAD]
        while part:
            while is_text and part.endswith(b"\r") and (more := file.read(1)):  # its LF may follow
                part += more
            made.update(part.replace(b"\r\n", b"\n") if is_text else part)
            part = file.read(_PART)
    return made.hexdigest()


def split_lines(text: str, *, keepends: bool = False) -> list[str]:
    """The lines of a text, as an editor counts them; one more than there are line ends. `keepends` leaves
    their ends to them, and leaves out an empty last one: joined, they are the text."""
    if not keepends:
        return Lines(text).raw
    ends = [match.end() for match in _LINE_END.finditer(text)]
    return [text[start:end] for start, end in pairwise([0, *ends, len(text)]) if start < end]


class Lines:
    """The lines of a text: `starts` are their offsets, `raw` their text without the line end."""

    __slots__ = ("raw", "starts", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.starts = [0]
        if "\r" in text:
            ends = [(match.start(), match.end()) for match in _LINE_END.finditer(text)]
            self.starts += [end for _, end in ends]
            self.raw = [
                text[start:stop]
                for start, stop in zip(self.starts, [stop for stop, _ in ends] + [len(text)], strict=True)
            ]
        else:
            self.raw = text.split("\n")
            offset = 0
            for line in self.raw[:-1]:
                offset += len(line) + 1
                self.starts.append(offset)

    def line_of(self, offset: int) -> int:
        """Index of the line that holds an offset."""
        return bisect_right(self.starts, offset) - 1

    def position(self, offset: int, path: str) -> Position:
        """Offset → path:line:column."""
        offset = max(0, min(offset, len(self.text)))
        line = self.line_of(offset)
        return Position(path, line + 1, offset - self.starts[line] + 1)


def expand(line: str) -> str:
    """A line with its tabs set to the four-column stops, as Python-Markdown reads it."""
    if "\x02" in line or "\x03" in line:
        line = line.translate(_DROPPED)
    return line.expandtabs(TAB_STOP) if "\t" in line else line


def columns_of(line: str) -> list[int] | None:
    """For each column of `expand(line)` the index in `line` it comes from, and one for its end.

    None where nothing was expanded, so that the two are the same.
    """
    if not ("\t" in line or "\x02" in line or "\x03" in line):
        return None
    origin: list[int] = []
    for index, character in enumerate(line):
        if character == "\t":
            origin.extend([index] * (TAB_STOP - len(origin) % TAB_STOP))
        elif character not in "\x02\x03":
            origin.append(index)
    origin.append(len(line))
    return origin
