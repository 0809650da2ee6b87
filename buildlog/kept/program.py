"""The program as one digest: whatever of it changes, nothing that it made before is taken for its own."""

from __future__ import annotations

import platform
import sys
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path

from buildlog.version import __version__

_PACKAGE = Path(__file__).resolve().parent.parent
_SUFFIXES = (".py", ".txt", ".yml", ".html", ".j2", ".css", ".js", ".json")
_PACKAGES = ("numpy", "pyyaml")
"""Those whose version may change a result."""


@cache
def program_digest() -> str:
    """Of every file of the package, the interpreter, the machine's kind of arithmetic and what computes."""
    digest = sha256(
        repr((__version__, sys.version_info[:3], sys.implementation.name, platform.machine())).encode()
    )
    for package in _PACKAGES:
        digest.update(f"{package} {version_of(package)}\n".encode())
    digest.update(files_digest(_PACKAGE).encode())
    return digest.hexdigest()


def files_digest(folder: Path) -> str:
    """Of the files of a program's folder."""
    digest = sha256()
    for file in sorted(_files(folder)):
        digest.update(f"{file.relative_to(folder).as_posix()}\n".encode())
        digest.update(sha256(file.read_bytes()).digest())
    return digest.hexdigest()


def _files(folder: Path) -> Iterable[Path]:
    return (file for file in folder.rglob("*") if file.suffix in _SUFFIXES)


def source_digest(module: str) -> str:
    """Of the package that a module is in, or of the file that it is; "" where there is none."""
    try:
        found = find_spec(module.partition(".")[0])
    except (ImportError, ValueError):
        return ""
    if found is None:
        return ""
    if found.submodule_search_locations is not None:
        return "".join(files_digest(Path(folder)) for folder in found.submodule_search_locations)
    file = Path(found.origin or "")
    return sha256(file.read_bytes()).hexdigest() if file.is_file() else ""


def version_of(package: str) -> str:
    """The version of an installed package, "-" where it is none."""
    try:
        return version(package)
    except PackageNotFoundError:
        return "-"
