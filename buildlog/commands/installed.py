"""What of buildlog is installed here, and what to type to run a program of this very installation."""

from __future__ import annotations

import json
import os
import shutil
import sys
import sysconfig
from importlib import metadata
from importlib.util import find_spec

from buildlog.version import __version__

COMPLETE = "mkdocs-buildlog"
_PARTS = ("buildlog-proof", COMPLETE)
_BUILDS = ("mkdocs", "material", "mkdocs_buildlog")


def requirement() -> str:
    """What pip installs the complete buildlog from again, in this version: by its name, or from the address
    of a repository or an archive, where it was installed from one (PEP 610), but no path of this machine."""
    lines = [line for name in _PARTS if (line := _from_address(name))]
    if not any(line.startswith(COMPLETE) for line in lines):
        lines.append(f"{COMPLETE}=={__version__}")
    return "\n".join(lines)


def builds_sites() -> bool:
    """Whether what builds a site is installed, and not the proof alone."""
    return all(find_spec(name) is not None for name in _BUILDS)


def typed(program: str, module: str) -> str:
    """What to type to run a program: its name where the shell finds the one of this installation."""
    found = shutil.which(program)
    if found and os.path.realpath(os.path.dirname(os.path.realpath(found))) == os.path.realpath(
        sysconfig.get_path("scripts")
    ):
        return program
    return f"{_quoted(sys.executable)} -m {module}"


def pip_install(what: str) -> str:
    """What to type to install into this very environment."""
    return f"{_quoted(sys.executable)} -m pip install {what}"


def _quoted(path: str) -> str:
    return f'"{path}"' if " " in path else path


def _from_address(name: str) -> str:
    try:
        installed = metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return ""
    record = json.loads(installed.read_text("direct_url.json") or "{}")
    url = record.get("url", "")
    extra = "[pages]" if name != COMPLETE else ""
    folder = f"#subdirectory={record['subdirectory']}" if "subdirectory" in record else ""
    if "vcs_info" in record:
        version = record["vcs_info"]
        return f"{name}{extra} @ {version['vcs']}+{url}@{version['commit_id']}{folder}"
    if "archive_info" in record and url.startswith("https://"):
        return f"{name}{extra} @ {url}{folder}"
    return ""
