"""How the house is built: what may import what, and what every file of a kind has in common.

Nothing here runs a calculation. DEVELOPERS.md says why the floors are as they are.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import subprocess
import sys
import typing
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest

from buildlog.physics.declared import DeclaredFormula
from tests.house import ROOMS, ROOT, floor_of, floors_table, room_of, with_floors

# Packages that only these places may import. What is not named here may be imported anywhere above.
ONLY_IN = {
    "mkdocs": ("plugins/mkdocs_buildlog/",),
    "material": (),
    "matplotlib": (),
    "pint": ("buildlog/figures/factors.py",),
    "PIL": ("buildlog/files/picture_size.py",),
    "scipy": (),
    "markdown": ("buildlog/page/", "plugins/mkdocs_buildlog/"),
    "pymdownx": ("buildlog/page/extension.py", "plugins/mkdocs_buildlog/"),
    "jinja2": ("buildlog/render/",),
    "click": ("buildlog/commands/", "buildlog/cli.py"),
}

# These must be able to run in a reader's browser one day: no files, clocks, threads or processes,
# and no package but numpy (figures/factors.py reads its own list, and makes its table with pint).
PURE = (
    "buildlog/figures/",
    "buildlog/physics/",
    "buildlog/kinds/models/",
    "buildlog/calculators/",
)
NOT_PURE = frozenset(
    "asyncio concurrent ctypes datetime glob io locale logging multiprocessing os pathlib pickle random "
    "shutil signal socket sqlite3 subprocess tempfile threading time urllib".split()
)
PURE_PACKAGES = {"numpy"}


def sources() -> list[str]:
    inside = (path for folder in ("buildlog", "plugins") for path in (ROOT / folder).rglob("*.py"))
    return sorted(
        path.relative_to(ROOT).as_posix()
        for path in [*inside, ROOT / "buildlog_installed.py"]
        if "__pycache__" not in path.parts
    )


def under(file: str, places: Iterable[str]) -> str | None:
    """The place that a file belongs to."""
    return next((at for at in places if file == at or (at.endswith("/") and file.startswith(at))), None)


@cache
def tree(file: str) -> ast.Module:
    return ast.parse((ROOT / file).read_text(encoding="utf-8"), file)


def module_name(file: str) -> str:
    return file.removeprefix("plugins/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")


@cache
def files_by_module() -> dict[str, str]:
    return {module_name(file): file for file in sources()}


def imported_names(file: str) -> Iterator[tuple[int, str]]:
    """(line, dotted name) of each import, wherever in the file it stands; relative ones resolved."""
    package = module_name(file).split(".")
    if not file.endswith("/__init__.py"):
        package = package[:-1]
    for node in ast.walk(tree(file)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            base += node.module.split(".") if node.module else []
            for alias in node.names:
                yield node.lineno, ".".join([*base, alias.name])


def own_imports(file: str) -> Iterator[tuple[int, str]]:
    """(line, file) of each import of our own files."""
    modules = files_by_module()
    for line, name in imported_names(file):
        while name and name not in modules:
            name = name.rpartition(".")[0]
        if name and modules[name] != file:
            yield line, modules[name]


def foreign_imports(file: str) -> Iterator[tuple[int, str]]:
    """(line, top-level package) of each import that is neither ours nor the standard library's."""
    for line, name in imported_names(file):
        top = name.split(".")[0]
        if top not in sys.stdlib_module_names and top not in (
            "buildlog",
            "buildlog_installed",
            "mkdocs_buildlog",
        ):
            yield line, top


@pytest.mark.parametrize("file", sources())
def test_each_file_has_a_room_and_imports_only_downwards(file: str) -> None:
    room = room_of(file)
    assert room, f"{file} is in no room: put it into one, or add a room to tests/house.py"
    wrong = []
    for line, other in own_imports(file):
        target = room_of(other)
        if target is None:
            continue  # that file's own test says so
        if target == room:
            if room == "buildlog/calculators/" and not other.endswith("/__init__.py"):
                wrong.append(f"{file}:{line} imports {other}: calculators never import each other")
        elif floor_of(target) >= floor_of(room):
            wrong.append(f"{file}:{line} (floor {floor_of(room)}) imports {other} (floor {floor_of(target)})")
    assert not wrong, "\n".join(wrong)


def test_every_room_exists_and_stands_once() -> None:
    rooms = [room.place for room in ROOMS]
    assert len(rooms) == len(set(rooms))
    assert {room_of(file) for file in sources()} == set(rooms)


def test_developers_shows_these_floors() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert floors_table() in text, "run `make generate`"
    assert with_floors(text) == text, "run `make generate`"


def test_no_import_goes_round_in_a_loop() -> None:
    graph = {file: sorted({other for _, other in own_imports(file)}) for file in sources()}
    done: set[str] = set()

    def walk(file: str, path: list[str]) -> None:
        assert file not in path, " → ".join([*path[path.index(file) :], file])
        if file not in done:
            for other in graph[file]:
                walk(other, [*path, file])
            done.add(file)

    for file in graph:
        walk(file, [])


@pytest.mark.parametrize("file", sources())
def test_packages_are_imported_only_where_they_belong(file: str) -> None:
    for line, package in foreign_imports(file):
        if package in ONLY_IN:
            places = ONLY_IN[package]
            assert under(file, places), f"{file}:{line}: {package} belongs only in {places or 'tests'}"


@pytest.mark.parametrize("file", [file for file in sources() if under(file, PURE)])
def test_what_computes_is_free_of_files_clocks_and_threads(file: str) -> None:
    allowed = PURE_PACKAGES | ({"pint"} if file == "buildlog/figures/factors.py" else set())
    for line, name in imported_names(file):
        assert name.split(".")[0] not in NOT_PURE, f"{file}:{line} imports {name}"
    for line, package in foreign_imports(file):
        assert package in allowed, f"{file}:{line} imports {package}"
    for node in ast.walk(tree(file)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("open", "eval", "exec", "compile", "input", "__import__"), (
                f"{file}:{node.lineno} calls {node.func.id}"
            )


def test_the_proof_starts_without_charts_or_a_site() -> None:
    program = (
        "import sys, buildlog.proof.proof, buildlog.cli\n"
        "heavy = ('matplotlib', 'mkdocs', 'scipy', 'numpy.linalg', 'material')\n"
        "print(*[name for name in heavy if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.split() == []


# --- sizes and names ---------------------------------------------------------------


def test_no_file_is_a_drawer_for_everything() -> None:
    drawers = ("util", "utils", "helper", "helpers", "common", "misc")
    assert [file for file in sources() if Path(file).stem in drawers] == []


# --- calculators -------------------------------------------------------------------

EXPOSED = "KIND INPUTS OUTPUTS SOURCES DOUBTS DRAWS HAZARDS compute conclude chart sheets patterns".split()
OPTIONAL = {"DOUBTS", "DRAWS", "conclude", "sheets", "patterns"}
CALCULATORS = [
    file for file in sources() if under(file, ["buildlog/calculators/"]) and "__init__" not in file
]


def public_names(module: ast.Module) -> Iterator[str]:
    """What a file defines itself, in order, less what begins with an underscore."""
    for node in module.body:
        names: list[str] = []
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names = [node.name]
        elif isinstance(node, ast.Assign):
            names = [name.id for at in node.targets for name in ast.walk(at) if isinstance(name, ast.Name)]
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            names = [node.target.id]
        yield from (name for name in names if not name.startswith("_"))


@pytest.mark.parametrize("file", CALCULATORS)
def test_every_calculator_exposes_the_same_names_in_the_same_order(file: str) -> None:
    assert ast.get_docstring(tree(file)), f"{file} has no docstring, which is its page in the manual"
    names = list(public_names(tree(file)))
    assert names == [name for name in EXPOSED if name in names or name not in OPTIONAL]
    kind = next(
        node.value.value
        for node in tree(file).body
        if isinstance(node, ast.Assign)
        and isinstance(node.value, ast.Constant)
        and getattr(node.targets[0], "id", "") == "KIND"
    )
    assert kind == Path(file).stem


# --- formulae ----------------------------------------------------------------------

PHYSICS = [
    file
    for file in sources()
    if under(file, ["buildlog/physics/"])
    and Path(file).name not in ("__init__.py", "limits.py", "declared.py")
]
# Base and derived units of the SI (SI Brochure, 9th edition, tables 2 and 4), "1" for a plain ratio.
# Money has no SI unit; each currency is its own base unit.
SI_UNITS = frozenset("currency 1 m kg s A K mol cd rad sr Hz N Pa J W C V F Ω S Wb T H".split())


def formulae() -> list[tuple[str, str]]:
    """(file, name) of each public formula, whether written as a function or declared."""
    named: list[tuple[str, str]] = []
    for file in PHYSICS:
        module = importlib.import_module(module_name(file))
        for name in public_names(tree(file)):
            value = getattr(module, name)
            if inspect.isfunction(value) or isinstance(value, DeclaredFormula):
                named.append((file, name))
    return named


def test_declared_formulae_are_called_what_they_are_assigned_to() -> None:
    declared = [
        (name, getattr(importlib.import_module(module_name(file)), name)) for file, name in formulae()
    ]
    names = [(name, formula.name) for name, formula in declared if isinstance(formula, DeclaredFormula)]
    assert len(names) > 60
    assert [pair for pair in names if pair[0] != pair[1]] == []


def is_si(unit: str) -> bool:
    """Products and quotients of coherent units: ``kg·m²/s``, ``W/(m·K)``, ``1/s``, ``s^0.5``."""
    if unit == "dB":  # a level is one of its own: accepted beside the SI (SI Brochure, 9th ed., table 8)
        return True
    factors = re.split(r"[·/]", unit.replace("(", "").replace(")", ""))
    return all(re.sub(r"([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+|\^0\.5)$", "", factor) in SI_UNITS for factor in factors)


@pytest.mark.parametrize(
    "unit,si",
    [
        ("m/s", True),
        ("kg·m²", True),
        ("W/(m·K)", True),
        ("km/h", False),
        ("rpm", False),
        ("", False),
        ("dB", True),
        ("dB/m", False),
    ],
)
def test_si_units_are_told_from_others(unit: str, si: bool) -> None:
    assert is_si(unit) is si


@pytest.mark.parametrize("file,name", formulae())
def test_every_formula_names_symbols_units_range_and_source(file: str, name: str) -> None:
    """A public function of physics is a formula, but for those that read text or give a record."""
    function = getattr(importlib.import_module(module_name(file)), name)
    doc = inspect.getdoc(function) or ""
    assert re.search(r"\bSources?:", doc), f"{file}: {name} names no source"
    hints = typing.get_type_hints(function, include_extras=True)
    given = hints.pop("return", None)
    parameters = list(inspect.signature(function).parameters)
    assert set(parameters) == set(hints), f"{file}: {name} leaves a parameter without its type"
    assert given is not None, f"{file}: {name} does not say what it gives"

    def exempt(hint: object) -> bool:
        """Text, counts, yes or no, functions, and our own records have no symbol or unit."""
        if hint in (str, int, bool) or typing.get_origin(hint) is Callable:
            return True
        return getattr(hint, "__module__", "").startswith("buildlog.physics")

    if exempt(given):
        return
    for part, hint in [*hints.items(), ("return", given)]:
        if exempt(hint):
            continue
        assert typing.get_origin(hint) is typing.Annotated, f"{file}: {name}: {part} has no symbol and unit"
        assert len(hint.__metadata__) == 2, f"{file}: {name}: {part} wants a symbol and a unit"
        symbol, unit = hint.__metadata__
        named = re.search(rf"(?<!\w){re.escape(symbol)}(?!\w)", doc)
        assert is_si(unit), f"{file}: {name}: {part} is in {unit!r}, which is not a coherent SI unit"
        assert named, f"{file}: {name}: {symbol} is not explained"
        assert f"({unit}" in doc, f"{file}: {name}: the unit ({unit}) of {symbol} is not given"
    for label in ("Formula:", "Range:"):
        assert label in doc, f"{file}: {name}: the docstring has no “{label}”"
