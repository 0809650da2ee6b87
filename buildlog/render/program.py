"""The program that computed a site, as a package to install: what runs here, file by file, and the versions
of what it needs.

A site may have been made with a version that no index has, so the site publishes it itself: the light
distribution, as `pip` builds it from the root of the repository but for what readers of an index are told.
"""

from __future__ import annotations

import base64
import hashlib
import importlib.metadata
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

import buildlog_installed
from buildlog.render.archive import archive
from buildlog.version import __version__

NAME = buildlog_installed.OURS
NEEDS = ("click", "numpy", "pathspec", "pint", "pyyaml")
"""What a proof imports. The lock has what these need in their turn."""
_FILES = (".py", ".typed", ".txt", ".j2", ".css", ".js", ".json", ".yml")  # as in pyproject.toml
_LOCKED = re.compile(r"([a-z0-9-]+)==(\S+)((?: --hash=sha256:[0-9a-f]{64})+)")


@dataclass(frozen=True, kw_only=True)
class Program:
    """`file` is the name of the package, `content` its bytes. `requirements` are the lines that install it;
    they have hashes where `hashed`."""

    file: str
    content: bytes
    requirements: str
    hashed: bool


@cache
def running_program() -> Program:
    """The program that runs now, and the versions that run with it."""
    stem = f"{NAME.replace('-', '_')}-{__version__}"
    files = {f"buildlog/{path}": content for path, content in _files(resources.files("buildlog"))}
    files["buildlog_installed.py"] = Path(buildlog_installed.__file__).read_bytes()
    about = f"{stem}.dist-info"
    files[f"{about}/METADATA"] = _metadata().encode()
    files[f"{about}/WHEEL"] = (
        b"Wheel-Version: 1.0\nGenerator: buildlog\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    )
    files[f"{about}/entry_points.txt"] = b"[console_scripts]\nbuildlog = buildlog_installed:main\n"
    files[f"{about}/licenses/LICENSE"] = _licence().encode()
    files[f"{about}/RECORD"] = _record(files, f"{about}/RECORD").encode()
    content = archive(files)
    name = f"{stem}-py3-none-any.whl"
    locked = locked_versions()
    hashed = all(_installed(package) in (version, "") for package, (version, _) in locked.items())
    lines = [f"./{name}"]
    if hashed:
        lines[0] += f" --hash=sha256:{hashlib.sha256(content).hexdigest()}"
        lines += [f"{package}=={version}{hashes}" for package, (version, hashes) in locked.items()]
    else:
        lines += [f"{package}=={version}" for package in locked if (version := _installed(package))]
    return Program(file=name, content=content, requirements="\n".join(lines) + "\n", hashed=hashed)


def locked_versions() -> dict[str, tuple[str, str]]:
    """Package → version and hashes of buildlog's own lock, of those that a proof needs."""
    text = (resources.files("buildlog.render") / "locked.txt").read_text("utf-8")
    return {found[1]: (found[2], found[3]) for found in _LOCKED.finditer(text)}


def _installed(package: str) -> str:
    """The version that is installed, "" where the package is not."""
    try:
        return importlib.metadata.version(package)
    except importlib.metadata.PackageNotFoundError:
        return ""


def _files(folder: Traversable, path: str = "") -> Iterator[tuple[str, bytes]]:
    """What is packed of a folder: nothing but what belongs to the package, whatever else lies there."""
    for entry in folder.iterdir():
        if entry.is_dir():
            if entry.name != "__pycache__":
                yield from _files(entry, f"{path}{entry.name}/")
        elif entry.name.endswith(_FILES) and not entry.name.startswith("."):
            yield f"{path}{entry.name}", entry.read_bytes()


def _metadata() -> str:
    needs = "".join(f"Requires-Dist: {name}\n" for name in NEEDS)
    return (
        f"Metadata-Version: 2.1\nName: {NAME}\nVersion: {__version__}\n"
        "Summary: buildlog as it computed a site, to proof its pages with\n"
        f"License: MIT\nRequires-Python: >=3.11\n{needs}"
    )


def _licence() -> str:
    """As it was installed, or as it lies in the checkout that runs."""
    in_checkout = Path(buildlog_installed.__file__).with_name("LICENSE")
    if in_checkout.is_file():
        return in_checkout.read_text("utf-8")
    installed = (one.read_text("licenses/LICENSE") for one in importlib.metadata.distributions(name=NAME))
    return next(filter(None, installed), "MIT License. Copyright (c) 2026 buildlog contributors.\n")


def _record(files: dict[str, bytes], own: str) -> str:
    """The list of files with their hashes, as the specification of recorded installs has it."""

    def digest(content: bytes) -> str:
        return base64.urlsafe_b64encode(hashlib.sha256(content).digest()).rstrip(b"=").decode()

    lines = [f"{name},sha256={digest(files[name])},{len(files[name])}" for name in sorted(files)]
    return "\n".join([*lines, f"{own},,"]) + "\n"
