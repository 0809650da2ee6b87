"""What of us is installed: whether the package `buildlog` that Python finds is ours and whole, and which
layers are there. And the command ``buildlog``, which asks first.

A package of the index bears the name already, with the same import name: both are installed into one folder,
the later over the earlier. This file stands beside our package and imports nothing of it, so that it can
speak where the package is the other one.
"""

from __future__ import annotations

import base64
import hashlib
import importlib
import importlib.util
import json
import sys
from importlib import metadata
from pathlib import Path

OURS = "buildlog-proof"
"""The distribution that the package `buildlog` is installed with."""
PAGES = ("brython", "jinja2", "markdown", "markupsafe", "PIL")
"""What its extra `pages` brings, by import names."""
_PACKAGE = "buildlog"
_SITE = Path(__file__).resolve().parent


def main() -> None:
    """The command."""
    stop_if_in_the_way()
    importlib.import_module("buildlog.cli").main()


def stop_if_in_the_way() -> None:
    """End the program with exit code 2 and say why, where the package is not ours or not whole."""
    if fault := in_the_way():
        print(f"buildlog: {fault}", file=sys.stderr)  # noqa: T201
        sys.exit(2)


def in_the_way() -> str:
    """What stands in the place of our package and what to type, "" where all is in order."""
    spec = importlib.util.find_spec(_PACKAGE)
    found = None
    if spec is not None:
        found = Path(spec.origin or next(iter(spec.submodule_search_locations or ()), "")).resolve()
    own = _SITE / _PACKAGE
    ours, other = _installed(OURS), _installed(_PACKAGE)
    if other is not None and _is_here(other):
        return _told(
            f"another program's package “{_PACKAGE}” {other.version} is installed in the folder of ours, "
            f"{own}: files of the one stand in place of the other's. They cannot share an environment.",
            uninstall=[_PACKAGE],
        )
    if found is not None and own not in (found, found.parent):
        what = f"Python finds another “{_PACKAGE}” before ours: {found}. Ours is {own}."
        if other is not None:
            return _told(what, uninstall=[_PACKAGE])
        return f"{what}\nRename that file or folder, or start Python in another folder."
    if ours is None or not _is_here(ours):  # a checkout, or an install that links to one
        return ""
    if broken := _not_as_installed(ours):
        # Whose it is takes a look at every package that is installed; it is asked for only here.
        named = metadata.packages_distributions().get(_PACKAGE, ())
        others = [one for name in named if name != OURS and (one := _installed(name))]
        owners = [one.metadata["Name"] for one in others if _is_here(one)]
        return _told(
            f"{broken} in {_SITE}: another package of the name was installed over ours, or was removed "
            "and took files of ours with it.",
            uninstall=owners,
        )
    return ""


def lacking(name: str) -> str:
    """What to type where a package is wanted that the light install leaves out, "" for any other package."""
    if name not in PAGES:
        return ""
    return f"{name} is not in the light install. Type: python -m pip install {_requirement('[pages]')}"


def _requirement(extra: str = "") -> str:
    """Our distribution as pip takes it, from where it was installed from (PEP 610)."""
    ours = _installed(OURS)
    if ours is None:
        return f'"{OURS}{extra}"'
    recorded = ours.read_text("direct_url.json")
    if not recorded:
        return f'"{OURS}{extra}=={ours.version}"'
    record = json.loads(recorded)
    url, vcs = record["url"], record.get("vcs_info")
    return f'"{OURS}{extra} @ {vcs["vcs"]}+{url}@{vcs["commit_id"]}"' if vcs else f'"{OURS}{extra} @ {url}"'


def _told(what: str, *, uninstall: list[str]) -> str:
    lines = [f"    python -m pip uninstall {name}" for name in dict.fromkeys(uninstall)]
    lines.append(f"    python -m pip install --force-reinstall --no-deps {_requirement()}")
    return "\n".join([what, "To mend it, type:", *lines])


def _installed(name: str) -> metadata.Distribution | None:
    """The first that has a record of what was installed, which what a build leaves in a checkout has not."""
    found = metadata.distributions(name=name)
    return next((distribution for distribution in found if distribution.read_text("RECORD")), None)


def _recorded(distribution: metadata.Distribution) -> dict[str, str]:
    """The files of the package `buildlog` that it installed, each with its hash as recorded.

    Not by `distribution.files`, which makes objects for tens of milliseconds, and no command should wait.
    """
    lines = (distribution.read_text("RECORD") or "").splitlines()
    cells = (line.split(",") for line in lines if line.startswith(f"{_PACKAGE}/"))
    return {path: digest for path, digest, *_ in cells if not path.endswith(".pyc")}


def _is_here(distribution: metadata.Distribution) -> bool:
    """Whether it was installed into the folder that this file stands beside."""
    return Path(str(distribution.locate_file(""))).resolve() == _SITE and bool(_recorded(distribution))


def _not_as_installed(ours: metadata.Distribution) -> str:
    """What is missing of our files, or that the first of them is another's; "" where all is as it was."""
    files = _recorded(ours)
    missing = [name for name in files if not (_SITE / name).is_file()]
    if missing:
        return f"{len(missing)} of {len(files)} files of ours are missing, the first is {missing[0]},"
    first = f"{_PACKAGE}/__init__.py"
    method, _, recorded = files[first].partition("=")
    there = hashlib.new(method, (_SITE / first).read_bytes()).digest()
    if base64.urlsafe_b64encode(there).rstrip(b"=").decode() != recorded:
        return f"{first} is not our file"
    return ""
