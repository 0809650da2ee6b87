"""The scripts that a reader's browser loads to compute a block: the interpreter, what all kinds need, and a
script for each kind.

They are plain scripts, so that they load from a file as well as from a server. Their names carry a hash of
what is in them, so that a browser may keep them for good.
"""

from __future__ import annotations

import ast
import difflib
import hashlib
import json
import re
import statistics
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

from buildlog.browser.mending import mended
from buildlog.browser.shaking import Shaken
from buildlog.figures import units
from buildlog.kept.once import kept_or_made
from buildlog.kept.program import program_digest
from buildlog.kept.store import Store, key_for

_HERE = Path(__file__).resolve().parent
_ENTRY = "buildlog.browser.answer"
_FACTORS = "buildlog.figures.factor_table"
_TAKEN = (
    "KIND",
    "INPUTS",
    "OUTPUTS",
    "SOURCES",
    "HAZARDS",
    "compute",
    "chart",
    "DOUBTS",
    "DRAWS",
    "conclude",
)
"""What is asked of a calculator’s file; its sheets to be filled in by hand and its patterns are not."""
NOT_THERE = frozenset({"numpy", "yaml", "pint", "matplotlib", "os", "pathlib", "csv"})
"""What a browser has not. A kind that needs one of them is not offered there."""

_OF_OURS = {
    "buildlog.kinds.catalogue": "catalogue",
    "buildlog.physics.in_unit": "in_unit",
    "buildlog.said": "said",
}
_OF_PYTHON = tuple(
    name
    for name in sorted(path.name.removesuffix(".py.txt") for path in (_HERE / "stand_ins").iterdir())
    if name not in _OF_OURS.values()
)
STAND_INS: Mapping[str, Path] = {
    **{name: _HERE / "stand_ins" / f"{file}.py.txt" for name, file in _OF_OURS.items()},
    **{name: _HERE / "stand_ins" / f"{name}.py.txt" for name in _OF_PYTHON},
    # The same as on the machine that builds the site, less what nobody needs of it.
    **{module.__name__: Path(module.__file__) for module in (difflib, statistics) if module.__file__},
}
"""By the name of a module, the file of what stands in for it in a browser."""


@dataclass(frozen=True, kw_only=True)
class Script:
    """A script to be put beside a page. `name` carries a hash of its text."""

    name: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Packed:
    """The scripts of a site: `first` for every block, then that of the kind."""

    first: tuple[Script, ...]
    kinds: Mapping[str, Script]

    def of(self, kind: str) -> tuple[str, ...]:
        """The names of the scripts that a block of a kind needs, in order."""
        return (*(script.name for script in self.first), self.kinds[kind].name)

    @property
    def scripts(self) -> tuple[Script, ...]:
        """All of them."""
        return (*self.first, *self.kinds.values())


@cache
def needed_by(kind: str) -> frozenset[str]:
    """The modules that a kind needs in a browser; none where it needs what is not there. Without a kind,
    those that every kind needs."""
    shaken = _shaken((kind,) if kind else ())
    if NOT_THERE & {name.split(".")[0] for name in shaken.outside | shaken.later}:
        return frozenset()
    return frozenset(shaken.modules)


def runs_in_browser(kind: str, store: Store | None = None) -> bool:
    """Whether a kind can be computed in a reader's browser; as an earlier run has found, where `store` has
    that, since our own source is read for it."""
    key = "" if store is None else key_for("runs in a browser", program_digest(), kind)
    return kept_or_made(store, key, bool, lambda: bool(needed_by(kind)))


@units.forgotten_with_units
@cache
def modules_of(kinds: tuple[str, ...]) -> Mapping[str, str]:
    """The source of every module that some kinds need in a browser, by name."""
    sources = _shaken(kinds).sources()
    own = units.own_units()
    if own.units:
        sources[_FACTORS] += f"\nDIMENSIONS += {own.dimensions!r}\nUNITS += {own.units!r}\n"
    return {name: source for name, source in sources.items() if source.strip()}


def _shaken(kinds: tuple[str, ...]) -> Shaken:
    shaken = _for_every_kind().copy()
    for kind in kinds:
        for name in _TAKEN:
            shaken.want(f"buildlog.calculators.{kind}", name)
    return shaken


@cache
def _for_every_kind() -> Shaken:
    shaken = Shaken(STAND_INS)
    for name in _OF_PYTHON:  # Python's own modules may want what ours do not
        shaken.want(name)
    shaken.want(_ENTRY, "answer")
    return shaken


def outside_of(sources: Mapping[str, str]) -> frozenset[str]:
    """The modules that are imported where some are loaded, less those themselves."""
    found = {wanted for name, source in sources.items() for wanted in _loaded_with(name, source)}
    known = found & (sources.keys() | _library().keys())
    return frozenset(known - sources.keys()) | {name for name in found if name.split(".")[0] in NOT_THERE}


@units.forgotten_with_units
@cache
def packed(kinds: tuple[str, ...]) -> Packed:
    """The scripts for some kinds, of which each runs in a browser."""
    # A module that several kinds need has what any of them needs of it, so that it is the same for all.
    sources = modules_of(kinds)
    always = needed_by("")
    needing = {name: [kind for kind in kinds if name in needed_by(kind)] for name in sources}
    shared = {name for name in sources if name in always or len(needing[name]) > 1}
    common = {name: sources[name] for name in sorted(_with_imported(shared, sources))}

    def own(kind: str) -> dict[str, str]:
        return {
            name: source for name, source in sources.items() if name not in common and needing[name] == [kind]
        }

    return Packed(
        first=(
            _script("interpreter", mended(brython_file("brython.js"))),
            _script("python", _virtual_files(_standard(outside_of(sources)))),
            _script("common", _virtual_files({**_packages(sources), **_as_files(common)}) + _loader()),
        ),
        kinds={kind: _script(kind, _virtual_files(_as_files(own(kind)))) for kind in kinds},
    )


def _with_imported(names: Iterable[str], sources: Mapping[str, str]) -> set[str]:
    """Modules with all that they import when they are loaded: of a module that several kinds need, what one
    kind alone needs of it may import a module that is needed for nothing else."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += sources.keys() & _loaded_with(name, sources[name])
    return found


def _as_files(sources: Mapping[str, str]) -> dict[str, list[object]]:
    return {name: [".py", source, []] for name, source in sources.items()}


def _packages(names: Iterable[str]) -> dict[str, list[object]]:
    """The packages that modules are in. Those of ours do nothing."""
    return {
        ".".join(parts[:depth]): [".py", "", [], 1]
        for parts in (name.split(".") for name in names)
        for depth in range(1, len(parts))
    }


# --- Python's own modules ---------------------------------------------------------------------


def brython_file(name: str) -> str:
    """A file of the interpreter's package."""
    return resources.files("brython").joinpath("data", name).read_text(encoding="utf-8")


_MISSING_THERE = {
    "itertools": """
def pairwise(values):
 values=iter(values)
 before=next(values,None)
 for value in values:
  yield before,value
  before=value
"""
}
"""What the interpreter's modules have not."""


@cache
def _library() -> Mapping[str, list[object]]:
    """The interpreter's own modules as virtual files."""
    text = brython_file("brython_stdlib.js")
    begin = text.index("{", text.index("var scripts"))
    files: dict[str, list[object]] = json.JSONDecoder().raw_decode(text, begin)[0]
    return files


def _standard(wanted: Iterable[str]) -> dict[str, list[object]]:
    """The modules of Python that are wanted, with those that they import when they are loaded."""
    library, found = _library(), dict[str, list[object]]()
    waiting = list(wanted)
    while waiting:
        name = waiting.pop()
        if "." in name:
            waiting.append(name.rpartition(".")[0])
        if name in found or name in STAND_INS or name not in library:
            continue
        extension, source, *rest = library[name]
        found[name] = [extension, f"{source}\n{_MISSING_THERE.get(name, '')}", [], *rest[1:]]
        if extension == ".py":
            waiting += _loaded_with(name, str(source), is_package=bool(rest[1:]))
    return {name: found[name] for name in sorted(found)}


def standard_modules(sources: Mapping[str, str]) -> frozenset[str]:
    """The modules of Python that are sent with some of ours."""
    return frozenset(_standard(outside_of(sources)))


def _loaded_with(name: str, source: str, *, is_package: bool = False) -> list[str]:
    """What a module imports when it is loaded, and not when it is used."""
    package = name if is_package else name.rpartition(".")[0]
    wanted: list[str] = []
    try:
        waiting: list[ast.AST] = [ast.parse(source)]
    except SyntaxError:  # newer Python than ours
        return re.findall(r"^(?:from|import) *([A-Za-z_.]+)", source, re.MULTILINE)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.If) and "__name__" in ast.unparse(node.test):  # as a program
            continue
        if isinstance(node, ast.Import):
            wanted += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            inside = ".".join(filter(None, (package if node.level else "", node.module)))
            wanted += [inside, *(f"{inside}.{alias.name}" for alias in node.names)]
        waiting += ast.iter_child_nodes(node)
    return wanted


# --- scripts ------------------------------------------------------------------------------------


def _loader() -> str:
    return (_HERE / "loader.js").read_text(encoding="utf-8")


def _script(name: str, text: str) -> Script:
    digest = hashlib.sha256(text.encode()).hexdigest()[:12]
    return Script(name=f"own-{name.replace('_', '-')}-{digest}.js", text=text)


def _virtual_files(files: Mapping[str, list[object]]) -> str:
    body = json.dumps(files, ensure_ascii=False, separators=(",", ":")).replace("</", "<\\/")
    return f"__BRYTHON__.use_VFS=true;__BRYTHON__.update_VFS({body});\n"
