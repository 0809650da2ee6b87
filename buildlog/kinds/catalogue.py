"""Which calculator answers to which kind. A new file in ``buildlog/calculators`` is found by its name."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache
from types import ModuleType

from buildlog.diagnostics import Refused, declare, did_you_mean

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
def kinds() -> tuple[str, ...]:
    """Names of all kinds, sorted. The file's name is the kind's name."""
    folder = importlib.import_module(_CALCULATORS).__path__
    return tuple(sorted(module.name for module in pkgutil.iter_modules(folder)))


@cache
def calculator(kind: str) -> ModuleType:
    """The calculator of a kind. Raises `Refused` (code ``unknown-kind``) with near names."""
    if kind not in kinds():
        raise Refused(
            "kind",
            f"“{kind}”",
            "one of " + ", ".join(kinds()),
            help=did_you_mean(kind, kinds()),
            code=UNKNOWN_KIND,
        )
    return importlib.import_module(f"{_CALCULATORS}.{kind}")


def title(module: ModuleType) -> str:
    """First line of a calculator's manual page, without its full stop."""
    return (module.__doc__ or module.__name__).strip().splitlines()[0].rstrip(".")
