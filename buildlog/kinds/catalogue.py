"""Which calculator answers to which kind. A new file in ``buildlog/calculators`` is found by its name."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from buildlog.diagnostics import Refused, declare, did_you_mean
from buildlog.kinds.kind import Kind, read_kind

# By name, so that the declarations that calculators are made of do not import the calculators.
_CALCULATORS = "buildlog.calculators"

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
    file = f"{_CALCULATORS.replace('.', '/')}/{name}.py"
    return read_kind(importlib.import_module(f"{_CALCULATORS}.{name}"), name, file)
