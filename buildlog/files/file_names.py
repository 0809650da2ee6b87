"""File names on other systems: what Windows cannot hold, and which names are one there and on macOS."""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path, PurePosixPath

# Microsoft, “Naming Files, Paths, and Namespaces”, as CPython's ntpath has it; with any ending too.
_OF_A_DEVICE = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[1-9¹²³]) *([.:].*)?", re.I | re.S)
_NOT_IN_A_NAME = re.compile(r'[\x00-\x1f<>:"|?*\\]')


def is_of_a_device(name: str) -> bool:
    """Whether Windows keeps a name for a device."""
    return _OF_A_DEVICE.fullmatch(name) is not None


def refused_by_windows(name: str) -> str:
    """Why Windows cannot hold a file or folder of this name, "" where it can."""
    if is_of_a_device(name):
        return "which Windows keeps for a device"
    if sign := _NOT_IN_A_NAME.search(name):
        return f"with “{sign[0]}”" if sign[0].isprintable() else f"with the sign {ord(sign[0]):#04x}"
    if name.endswith((".", " ")):
        return "which ends in a full stop" if name.endswith(".") else "which ends in a blank"
    return ""


def as_one_name(name: str) -> str:
    """What names have in common that Windows or macOS takes for one."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def how_they_differ(name: str, other: str) -> str:
    """In what two names differ that are `as_one_name`."""
    if unicodedata.normalize("NFC", name) == unicodedata.normalize("NFC", other):
        return "in how an accent is put together"
    return "in capital letters"


def as_listed(folder: Path, name: str) -> str | None:
    """A path below a folder as the folders on its way spell it, "/" between the parts as in `name`;
    None where no such file is listed.

    Asked whether it exists, a system that does not tell capital letters apart says yes to any spelling.
    Folders that may be gone through and not listed are believed.
    """
    spelled: list[str] = []
    for part in PurePosixPath(name).parts:
        there = part if part == ".." else _listed_part(folder.joinpath(*spelled), part)
        if there is None:
            return None
        spelled.append(there)
    return "/".join(spelled)


def _listed_part(folder: Path, part: str) -> str | None:
    try:
        names = os.listdir(folder)
    except PermissionError:
        return part
    except OSError:
        return None
    if part in names:
        return part
    return next((name for name in sorted(names) if as_one_name(name) == as_one_name(part)), None)
