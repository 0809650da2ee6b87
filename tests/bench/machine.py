"""The machine that a bench runs on, and what is installed there. Linux alone."""

from __future__ import annotations

import os
import platform
import subprocess
from importlib.metadata import version
from pathlib import Path

from buildlog.version import __version__
from tests.bench.site_of_copies import ROOT

_PACKAGES = (
    "mkdocs",
    "mkdocs-material",
    "markdown",
    "pymdown-extensions",
    "pygments",
    "jinja2",
    "numpy",
    "matplotlib",
    "pint",
    "markdown-exec",
)


def describe(cores: int) -> dict[str, str]:
    """What stands on the page, by its heading; `cores` are those that the bench keeps to."""
    waiting, _, _ = os.getloadavg()
    return {
        "Processor": _value("/proc/cpuinfo", "model name"),
        "Cores": f"{os.cpu_count()}, of which the bench keeps to {cores}",
        "Memory": f"{int(_value('/proc/meminfo', 'MemTotal').split()[0]) * 1024 / 1e9:.1f} GB",
        "System": f"{_system()}, Linux {platform.release()}",
        "Other work": f"{waiting:.1f} programs ran or waited for a core in the minute before the start",
        "Python": f"{platform.python_implementation()} {platform.python_version()}",
        "buildlog": f"{__version__}, commit {_commit()}",
        "Packages": ", ".join(f"{name} {version(name)}" for name in _PACKAGES),
    }


def _value(path: str, key: str) -> str:
    for line in Path(path).read_text("utf-8").splitlines():
        name, _, value = line.partition(":")
        if name.strip() == key:
            return " ".join(value.split())
    return "not told by the system"


def _system() -> str:
    try:
        return platform.freedesktop_os_release()["PRETTY_NAME"]
    except (OSError, KeyError):
        return "not told by the system"


def _commit() -> str:
    asked = subprocess.run(
        ["git", "describe", "--always", "--dirty"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return asked.stdout.strip() or "unknown"
