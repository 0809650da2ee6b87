"""Which calculator answers to which kind. A new file in ``buildlog/calculators`` is found by its name."""

from __future__ import annotations

import importlib
import pkgutil
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from buildlog.diagnostics import Refused, declare, did_you_mean

if TYPE_CHECKING:
    from buildlog.kinds.kind import Kind

# By name, so that the declarations that calculators are made of do not import the calculators.
_CALCULATORS = "buildlog.calculators"
_TITLE = re.compile(r'"""(.*?)\.?\s*(?:"""|$)', re.MULTILINE)

UNKNOWN_KIND = declare(
    "unknown-kind",
    "no calculator of this kind",
    why="Without a calculator nothing can be computed.",
    mend="`buildlog kinds` lists the kinds.",
    example="kind: gearin",
)


@cache
def kind_names() -> tuple[str, ...]:
    """Names of all kinds, sorted. The file's name is the kind's name."""
    folder = importlib.import_module(_CALCULATORS).__path__
    return tuple(sorted(module.name for module in pkgutil.iter_modules(folder)))


def kind_titles() -> list[tuple[str, str]]:
    """Names and titles of all kinds, from the first lines of their files: a list takes no loading."""
    (folder,) = importlib.import_module(_CALCULATORS).__path__
    titles = []
    for name in kind_names():
        found = _TITLE.match((Path(folder) / f"{name}.py").read_text(encoding="utf-8"))
        titles.append((name, found[1] if found else ""))
    return titles


@cache
def load_kind(name: str) -> Kind:
    """The kind of this name. Raises `Refused` (code ``unknown-kind``) with near names, and `KindError` where
    its file declares what does not hold together."""
    if name not in kind_names():
        raise Refused(
            "kind",
            f"“{name}”",
            "one of " + ", ".join(kind_names()),
            help=did_you_mean(name, kind_names()),
            code=UNKNOWN_KIND,
        )
    from buildlog.kinds.kind import read_kind  # what a kind is made of is wanted by no list of names

    file = f"{_CALCULATORS.replace('.', '/')}/{name}.py"
    return read_kind(importlib.import_module(f"{_CALCULATORS}.{name}"), name, file)
