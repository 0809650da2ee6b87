"""Our packages with the oldest versions of what they need, and with the newest, on every Python that is here.

``python -m tests.versions`` builds the wheels and makes an environment for each run: the lower bounds of the
two pyproject.toml on the oldest Python, and on every Python what pip takes today, as it does for somebody
who installs now. In it the demonstration is proofed and built, and tests run, with the installed packages
and not with the checkout. Needs an index; `.ci/run` runs it.
"""

from __future__ import annotations

import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from packaging.requirements import Requirement

from tests.packages import ROOT, kept_files, last_commit_time, make_packages

PYTHONS = ("3.11", "3.12", "3.13", "3.14")
"""Those that are looked for. The classifiers name the ones that were tried."""
TOOLS = ("pytest", "hypothesis")
"""What the tests below need besides our packages; in the versions of the lock."""
TESTS = ("tests/figures/test_agreement.py", "tests/figures/test_labels.py", "tests/figures/test_units.py")
# The tests find our packages where they are installed: nothing of them is copied there.
COPIED = ("content/", "tests/", "theme/", "mkdocs.yml")
_PYTEST = """\
[pytest]
pythonpath = .
markers =
    bench: not here
    browser: not here
    slow: wanted here too
addopts = -q -m "not bench and not browser" --import-mode=importlib --tb=short -p no:cacheprovider
"""


class Run(NamedTuple):
    python: str
    executable: str
    which: str
    """lowest or newest."""


def main() -> int:
    """Run all; 1 where any failed."""
    found = {version: path for version in PYTHONS if (path := python_of(version))}
    for version in PYTHONS:
        if version not in found:
            print(f"Python {version} is not on this machine: not tried.", flush=True)
    runs = [Run(version, path, "newest") for version, path in found.items()]
    oldest = next(iter(found))
    runs.insert(0, Run(oldest, found[oldest], "lowest"))
    with tempfile.TemporaryDirectory(prefix="buildlog-versions-") as name:
        folder = Path(name)
        make_packages(folder / "packages", last_commit_time())
        wheels = sorted((folder / "packages").glob("*.whl"))
        with ThreadPoolExecutor(max_workers=min(2, os.cpu_count() or 1)) as pool:
            failed = list(pool.map(lambda run: fault_of(run, wheels, folder), runs))
    return int(any(failed))


def python_of(version: str) -> str:
    """A Python of a version that starts, "" where there is none."""
    named = [shutil.which(f"python{version}") or ""]
    named += sorted(glob.glob(os.path.expanduser(f"~/.pyenv/versions/{version}.*/bin/python")))
    asked = "import sys, venv, ensurepip; print('%d.%d' % sys.version_info[:2])"
    for path in filter(None, named):
        ran = subprocess.run([path, "-c", asked], capture_output=True, text=True, timeout=60)
        if ran.stdout.strip() == version:
            return path
    return ""


def fault_of(run: Run, wheels: list[Path], folder: Path) -> bool:
    """Make the environment, try all in it, and say how it went."""
    began, place = time.monotonic(), folder / f"{run.which}-{run.python}"
    said = f"Python {run.python} with the {run.which} versions"
    try:
        for command in commands(run, wheels, place):
            ran = subprocess.run(
                command, cwd=place / "site", env=environment(), capture_output=True, text=True, timeout=1200
            )
            if ran.returncode:
                print(f"{said}: FAILED\n$ {' '.join(command)}\n{ran.stdout}{ran.stderr}", flush=True)
                return True
        counted = re.findall(r"^\d+ passed.*$", ran.stdout, re.M)
        took = time.monotonic() - began
        print(f"{said}: demonstration proofed and built, {' '.join(counted)} ({took:.0f} s)", flush=True)
        return False
    finally:
        shutil.rmtree(place, ignore_errors=True)


def commands(run: Run, wheels: list[Path], place: Path) -> list[list[str]]:
    """What is done, one after another, where the demonstration and the tests were copied to."""
    for name in kept_files():
        if name.startswith(COPIED):
            (place / "site" / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, place / "site" / name)
    (place / "site" / "pytest.ini").write_text(_PYTEST, "utf-8")
    python = str(place / "venv" / "bin" / "python")
    light = next(wheel for wheel in wheels if wheel.name.startswith("buildlog_proof"))
    wanted = [f"buildlog-proof[pages] @ {light.as_uri()}", *(str(one) for one in wheels if one != light)]
    pins = lowest_versions() if run.which == "lowest" else []
    pip = [python, "-m", "pip", "--disable-pip-version-check", "--quiet", "install"]
    return [
        [run.executable, "-m", "venv", str(place / "venv")],
        [*pip, *wanted, *pins, *tools()],
        [python, "-c", _ONLY_INSTALLED],
        [str(place / "venv" / "bin" / "buildlog"), "proof", "--quiet"],
        [str(place / "venv" / "bin" / "mkdocs"), "build", "--quiet", "--strict"],
        [python, "-m", "pytest", *TESTS],
    ]


_ONLY_INSTALLED = (
    "import sys, buildlog, mkdocs_buildlog\n"
    "wrong = [m.__file__ for m in (buildlog, mkdocs_buildlog) if not m.__file__.startswith(sys.prefix)]\n"
    "sys.exit(' '.join(wrong) or 0)"
)


def environment() -> dict[str, str]:
    """Nothing of the checkout's own."""
    left = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "MAKE"))}
    return {**left, "NO_MKDOCS_2_WARNING": "1", "BUILDLOG_QUICK": "1"}


def lowest_versions() -> list[str]:
    """The lower bounds of both distributions as pins."""
    light = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    complete = tomllib.loads((ROOT / "plugins" / "pyproject.toml").read_text("utf-8"))["project"]
    lines = [*light["dependencies"], *light["optional-dependencies"]["pages"], *complete["dependencies"]]
    bounds = [
        (requirement.name, part.version)
        for requirement in map(Requirement, lines)
        for part in requirement.specifier
        if part.operator == ">="
    ]
    return [f"{name}=={version}" for name, version in bounds]


def tools() -> list[str]:
    """What tests, as it is locked."""
    locked = (ROOT / "requirements.lock").read_text("utf-8")
    return [match[0] for name in TOOLS if (match := re.search(rf"^{name}==[\w.]+", locked, re.M))]


if __name__ == "__main__":
    sys.exit(main())
