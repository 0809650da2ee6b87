"""The program as one digest: whatever of it changes, nothing that it made before is taken for its own."""

from __future__ import annotations

import platform
import sys
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from buildlog.version import __version__

_PACKAGE = Path(__file__).resolve().parent.parent
_SUFFIXES = (".py", ".txt", ".yml", ".html", ".css", ".js", ".json")
_PACKAGES = ("numpy", "pyyaml")
"""Those whose version may change a result."""


@cache
def program_digest() -> str:
    """Of every file of the package, the interpreter, the machine's kind of arithmetic and what computes."""
    digest = sha256(
        repr((__version__, sys.version_info[:3], sys.implementation.name, platform.machine())).encode()
    )
    for package in _PACKAGES:
        digest.update(f"{package} {_version(package)}\n".encode())
    for file in sorted(_files(_PACKAGE)):
        digest.update(f"{file.relative_to(_PACKAGE).as_posix()}\n".encode())
        digest.update(sha256(file.read_bytes()).digest())
    return digest.hexdigest()


def _files(folder: Path) -> Iterable[Path]:
    return (file for file in folder.rglob("*") if file.suffix in _SUFFIXES)


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "-"
